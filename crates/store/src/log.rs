//! The rows of the database, and the statements that read and write them.
//!
//! The statements are plain SQL, the same for SQLite and PostgreSQL. A change starts with an update that names the
//! revision it builds on: that takes the lock and finds out about others in one step.

use jiff::Timestamp;
use job::FORMAT;
use sqlx::sqlite::{SqliteConnection, SqliteRow};
use sqlx::{FromRow, Row};

use crate::document::Changed;
use crate::{Entry, EntryKind, JobId, Record};

/// The columns of a [`Record`], and where they come from; `$1` is the present format.
macro_rules! record_sql {
    ($more:literal, $rest:literal) => {
        concat!(
            "SELECT j.id, j.name, j.revision, j.archived, j.created_at, j.changed_at, \
             u.label AS undo_label, r.label AS redo_label",
            $more,
            " FROM jobs j \
             JOIN entries e ON e.job_id = j.id AND e.seq = j.revision \
             LEFT JOIN entries u ON u.job_id = j.id AND u.seq = e.undo_seq AND u.seq > j.base_seq AND j.format = $1 \
             LEFT JOIN entries r ON r.job_id = j.id AND r.seq = e.redo_seq AND r.seq > j.base_seq AND j.format = $1 ",
            $rest
        )
    };
}

impl FromRow<'_, SqliteRow> for Record {
    fn from_row(row: &SqliteRow) -> Result<Self, sqlx::Error> {
        Ok(Self {
            id: id(row, "id")?,
            name: row.try_get("name")?,
            revision: count(row, "revision")?,
            archived: row.try_get("archived")?,
            created_at: time(row, "created_at")?,
            changed_at: time(row, "changed_at")?,
            undo_label: row.try_get("undo_label")?,
            redo_label: row.try_get("redo_label")?,
        })
    }
}

/// A job as it is stored, with what the next change needs to know.
#[derive(Debug)]
pub(crate) struct Stored {
    pub revision: u64,
    pub changed_at: Timestamp,
    pub format: String,
    pub document: String,
    /// The edit that an undo takes back, and the one that a redo makes again.
    pub undo_seq: Option<i64>,
    pub redo_seq: Option<i64>,
}

impl FromRow<'_, SqliteRow> for Stored {
    fn from_row(row: &SqliteRow) -> Result<Self, sqlx::Error> {
        Ok(Self {
            revision: count(row, "revision")?,
            changed_at: time(row, "changed_at")?,
            format: row.try_get("format")?,
            document: row.try_get("document")?,
            undo_seq: row.try_get("undo_seq")?,
            redo_seq: row.try_get("redo_seq")?,
        })
    }
}

/// An entry to be added.
#[derive(Debug)]
pub(crate) struct NewEntry<'a> {
    pub job: JobId,
    pub seq: i64,
    pub at: Timestamp,
    pub who: &'a str,
    pub label: &'a str,
    pub kind: &'static str,
    pub of_seq: Option<i64>,
    pub undo_seq: Option<i64>,
    pub redo_seq: Option<i64>,
    pub edits: &'a str,
    pub inverse: &'a str,
}

/// What an undo or redo needs of the edit that it is about.
#[derive(Debug, FromRow)]
pub(crate) struct Target {
    pub label: String,
    /// The edits to make now, as a JSON list.
    pub edits: String,
    /// What is below it on the stack that it comes from.
    pub below: Option<i64>,
}

pub(crate) async fn list(c: &mut SqliteConnection, archived: bool) -> Result<Vec<Record>, sqlx::Error> {
    sqlx::query_as(record_sql!("", "WHERE j.archived = $2 ORDER BY j.changed_at DESC, j.id DESC"))
        .bind(FORMAT)
        .bind(archived)
        .fetch_all(c)
        .await
}

pub(crate) async fn record(c: &mut SqliteConnection, id: JobId) -> Result<Option<Record>, sqlx::Error> {
    sqlx::query_as(record_sql!("", "WHERE j.id = $2")).bind(FORMAT).bind(id.to_string()).fetch_optional(c).await
}

pub(crate) async fn record_and_document(
    c: &mut SqliteConnection,
    id: JobId,
) -> Result<Option<(Record, String)>, sqlx::Error> {
    let row = sqlx::query(record_sql!(", j.document", "WHERE j.id = $2"))
        .bind(FORMAT)
        .bind(id.to_string())
        .fetch_optional(c)
        .await?;
    row.map(|row| Ok((Record::from_row(&row)?, row.try_get("document")?))).transpose()
}

pub(crate) async fn stored(c: &mut SqliteConnection, id: JobId) -> Result<Option<Stored>, sqlx::Error> {
    // Edits made in an older format are history: they are not taken back from a document of the present one.
    sqlx::query_as(
        "SELECT j.revision, j.changed_at, j.format, j.document, \
         CASE WHEN e.undo_seq > j.base_seq AND j.format = $1 THEN e.undo_seq END AS undo_seq, \
         CASE WHEN e.redo_seq > j.base_seq AND j.format = $1 THEN e.redo_seq END AS redo_seq \
         FROM jobs j JOIN entries e ON e.job_id = j.id AND e.seq = j.revision WHERE j.id = $2",
    )
    .bind(FORMAT)
    .bind(id.to_string())
    .fetch_optional(c)
    .await
}

pub(crate) async fn revision(c: &mut SqliteConnection, id: JobId) -> Result<Option<i64>, sqlx::Error> {
    sqlx::query_scalar("SELECT revision FROM jobs WHERE id = $1").bind(id.to_string()).fetch_optional(c).await
}

pub(crate) async fn undo_target(c: &mut SqliteConnection, id: JobId, seq: i64) -> Result<Target, sqlx::Error> {
    sqlx::query_as(
        "SELECT e.label, e.inverse AS edits, before.undo_seq AS below \
         FROM entries e JOIN entries before ON before.job_id = e.job_id AND before.seq = e.seq - 1 \
         WHERE e.job_id = $1 AND e.seq = $2",
    )
    .bind(id.to_string())
    .bind(seq)
    .fetch_one(c)
    .await
}

pub(crate) async fn redo_target(c: &mut SqliteConnection, id: JobId, seq: i64) -> Result<Target, sqlx::Error> {
    // What was to be made again before this edit was last taken back is what is to be made again after it.
    sqlx::query_as(
        "SELECT e.label, e.edits, before.redo_seq AS below \
         FROM entries e JOIN entries before ON before.job_id = e.job_id AND before.seq = \
         (SELECT max(taken.seq) - 1 FROM entries taken \
         WHERE taken.job_id = e.job_id AND taken.of_seq = e.seq AND taken.kind = 'undo') \
         WHERE e.job_id = $1 AND e.seq = $2",
    )
    .bind(id.to_string())
    .bind(seq)
    .fetch_one(c)
    .await
}

/// Every entry, the oldest first.
pub(crate) async fn history(c: &mut SqliteConnection, id: JobId) -> Result<Vec<Entry>, sqlx::Error> {
    let rows = sqlx::query("SELECT seq, at, who, label, kind, undo_seq FROM entries WHERE job_id = $1 ORDER BY seq")
        .bind(id.to_string())
        .fetch_all(c)
        .await?;
    let mut entries = Vec::with_capacity(rows.len());
    let mut undo_seqs: Vec<Option<i64>> = Vec::with_capacity(rows.len());
    for row in &rows {
        let seq = count(row, "seq")?;
        let kind: String = row.try_get("kind")?;
        let kind_read = match kind.as_str() {
            "undo" => EntryKind::Undo,
            "redo" => EntryKind::Redo,
            _ => EntryKind::Edit,
        };
        undo_seqs.push(row.try_get("undo_seq")?);
        entries.push(Entry {
            seq,
            revision: seq,
            at: time(row, "at")?,
            who: row.try_get("who")?,
            label: row.try_get("label")?,
            kind: kind_read,
            undone: kind == "edit",
        });
    }
    // The edits that the document shows: the one on top, the one that was on top when that was made, and so on.
    let mut place = undo_seqs.last().copied().flatten().map_or(0, place_of);
    while let Some(entry) = place.checked_sub(1).and_then(|index| entries.get_mut(index)) {
        entry.undone = false;
        let below = place.checked_sub(2).and_then(|index| undo_seqs.get(index).copied().flatten()).map_or(0, place_of);
        // It goes down in an intact log; in a damaged one it must end too.
        place = if below < place { below } else { 0 };
    }
    Ok(entries)
}

fn place_of(seq: i64) -> usize {
    usize::try_from(seq).unwrap_or(0)
}

pub(crate) async fn add_job(c: &mut SqliteConnection, record: &Record, document: &str) -> Result<(), sqlx::Error> {
    sqlx::query(
        "INSERT INTO jobs (id, name, revision, archived, created_at, changed_at, format, base_seq, document) \
         VALUES ($1, $2, 1, $3, $4, $4, $5, 1, $6)",
    )
    .bind(record.id.to_string())
    .bind(&record.name)
    .bind(record.archived)
    .bind(record.created_at.as_microsecond())
    .bind(FORMAT)
    .bind(document)
    .execute(&mut *c)
    .await?;
    sqlx::query("INSERT INTO bases (job_id, document) VALUES ($1, $2)")
        .bind(record.id.to_string())
        .bind(document)
        .execute(c)
        .await?;
    Ok(())
}

/// Puts the document after a change in the place of the one before it, if that is still at revision `seq - 1`; says whether.
pub(crate) async fn replace_document(
    c: &mut SqliteConnection,
    id: JobId,
    seq: i64,
    at: Timestamp,
    changed: &Changed,
) -> Result<bool, sqlx::Error> {
    let done = sqlx::query(
        "UPDATE jobs SET name = $1, revision = $2, changed_at = $3, format = $4, document = $5 \
         WHERE id = $6 AND revision = $2 - 1",
    )
    .bind(&changed.name)
    .bind(seq)
    .bind(at.as_microsecond())
    .bind(FORMAT)
    .bind(&changed.document)
    .bind(id.to_string())
    .execute(&mut *c)
    .await?;
    if done.rows_affected() == 0 {
        return Ok(false);
    }
    if let Some(base) = &changed.base {
        sqlx::query("UPDATE jobs SET base_seq = $1 - 1 WHERE id = $2")
            .bind(seq)
            .bind(id.to_string())
            .execute(&mut *c)
            .await?;
        sqlx::query("UPDATE bases SET document = $1 WHERE job_id = $2")
            .bind(base)
            .bind(id.to_string())
            .execute(c)
            .await?;
    }
    Ok(true)
}

pub(crate) async fn add_entry(c: &mut SqliteConnection, entry: &NewEntry<'_>) -> Result<(), sqlx::Error> {
    sqlx::query(
        "INSERT INTO entries (job_id, seq, at, who, label, kind, of_seq, undo_seq, redo_seq, edits, inverse) \
         VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11)",
    )
    .bind(entry.job.to_string())
    .bind(entry.seq)
    .bind(entry.at.as_microsecond())
    .bind(entry.who)
    .bind(entry.label)
    .bind(entry.kind)
    .bind(entry.of_seq)
    .bind(entry.undo_seq)
    .bind(entry.redo_seq)
    .bind(entry.edits)
    .bind(entry.inverse)
    .execute(c)
    .await?;
    Ok(())
}

pub(crate) async fn set_archived(
    c: &mut SqliteConnection,
    id: JobId,
    archived: bool,
    at: Timestamp,
    who: &str,
) -> Result<(), sqlx::Error> {
    // What is so already keeps the name of whoever made it so.
    sqlx::query("UPDATE jobs SET archived = $1, archived_at = $2, archived_by = $3 WHERE id = $4 AND archived <> $1")
        .bind(archived)
        .bind(at.as_microsecond())
        .bind(who)
        .bind(id.to_string())
        .execute(c)
        .await?;
    Ok(())
}

pub(crate) fn count(row: &SqliteRow, column: &str) -> Result<u64, sqlx::Error> {
    let number: i64 = row.try_get(column)?;
    u64::try_from(number).map_err(|error| undecodable(column, error))
}

fn time(row: &SqliteRow, column: &str) -> Result<Timestamp, sqlx::Error> {
    let number: i64 = row.try_get(column)?;
    Timestamp::from_microsecond(number).map_err(|error| undecodable(column, error))
}

fn id(row: &SqliteRow, column: &str) -> Result<JobId, sqlx::Error> {
    let text: &str = row.try_get(column)?;
    text.parse().map_err(|error: uuid::Error| undecodable(column, error))
}

fn undecodable(column: &str, error: impl std::error::Error + Send + Sync + 'static) -> sqlx::Error {
    sqlx::Error::ColumnDecode { index: column.to_owned(), source: Box::new(error) }
}
