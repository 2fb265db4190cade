//! Looking for damage.

use std::collections::BTreeMap;

use findings::Edit;
use job::FORMAT;
use sqlx::Row;
use sqlx::sqlite::{SqliteConnection, SqliteRow};

use crate::StoreError;
use crate::connect::Database;
use crate::document::{apply_all, parse};

/// Everything that is wrong with a database.
pub(crate) async fn problems(database: &Database) -> Result<Vec<String>, StoreError> {
    let fail = |error| StoreError::of(&database.path, error);
    let mut connection = database.readers.acquire().await.map_err(fail)?;
    let mut problems = Vec::new();
    let said: Vec<String> =
        sqlx::query_scalar("PRAGMA integrity_check").fetch_all(&mut *connection).await.map_err(fail)?;
    problems.extend(said.into_iter().filter(|line| line != "ok"));
    let orphans = sqlx::query("PRAGMA foreign_key_check").fetch_all(&mut *connection).await.map_err(fail)?;
    if !orphans.is_empty() {
        problems.push(format!("{} rows refer to what is not there", orphans.len()));
    }
    if !problems.is_empty() {
        // Rows of a damaged file say nothing.
        return Ok(problems);
    }
    let ids: Vec<String> =
        sqlx::query_scalar("SELECT id FROM jobs ORDER BY id").fetch_all(&mut *connection).await.map_err(fail)?;
    for id in ids {
        let kept = read(&mut connection, &id).await.map_err(fail)?;
        let found = tokio::task::spawn_blocking(move || kept.problems())
            .await
            .map_err(|error| StoreError::BrokenOff { detail: error.to_string() })?;
        problems.extend(found.into_iter().map(|problem| format!("job {id}: {problem}")));
    }
    Ok(problems)
}

/// All that is kept of one job.
struct Kept {
    name: String,
    revision: i64,
    format: String,
    base_seq: i64,
    document: String,
    base: Option<String>,
    entries: Vec<KeptEntry>,
}

struct KeptEntry {
    seq: i64,
    kind: String,
    of_seq: Option<i64>,
    undo_seq: Option<i64>,
    redo_seq: Option<i64>,
    edits: String,
    inverse: String,
}

/// Reads a job and its entries as they are at one moment.
async fn read(connection: &mut SqliteConnection, id: &str) -> Result<Kept, sqlx::Error> {
    let mut moment = sqlx::Connection::begin(connection).await?;
    let row = sqlx::query(
        "SELECT j.name, j.revision, j.format, j.base_seq, j.document, b.document AS base \
         FROM jobs j LEFT JOIN bases b ON b.job_id = j.id WHERE j.id = $1",
    )
    .bind(id)
    .fetch_one(&mut *moment)
    .await?;
    let entries = sqlx::query(
        "SELECT seq, kind, of_seq, undo_seq, redo_seq, edits, inverse FROM entries WHERE job_id = $1 ORDER BY seq",
    )
    .bind(id)
    .fetch_all(&mut *moment)
    .await?;
    moment.rollback().await?;
    let entry = |row: SqliteRow| {
        Ok(KeptEntry {
            seq: row.try_get("seq")?,
            kind: row.try_get("kind")?,
            of_seq: row.try_get("of_seq")?,
            undo_seq: row.try_get("undo_seq")?,
            redo_seq: row.try_get("redo_seq")?,
            edits: row.try_get("edits")?,
            inverse: row.try_get("inverse")?,
        })
    };
    Ok(Kept {
        name: row.try_get("name")?,
        revision: row.try_get("revision")?,
        format: row.try_get("format")?,
        base_seq: row.try_get("base_seq")?,
        document: row.try_get("document")?,
        base: row.try_get("base")?,
        entries: entries.into_iter().map(entry).collect::<Result<_, sqlx::Error>>()?,
    })
}

impl Kept {
    fn problems(&self) -> Vec<String> {
        [self.order(), self.stacks(), self.replay().err()].into_iter().flatten().collect()
    }

    /// The entries lead from 1 to the revision without gaps, and the first is the making of the job.
    fn order(&self) -> Option<String> {
        let counted = self.entries.iter().zip(1..).all(|(entry, place)| entry.seq == place);
        let last = self.entries.last().map_or(0, |entry| entry.seq);
        if !counted || last != self.revision {
            return Some(format!(
                "its log of {} entries does not lead to revision {}",
                self.entries.len(),
                self.revision
            ));
        }
        let made = self.entries.iter().all(|entry| (entry.seq == 1) == (entry.kind == "create"));
        (!made).then(|| "its log does not begin with its making".to_owned())
    }

    /// What each entry says of undo and redo is what two stacks would say.
    fn stacks(&self) -> Option<String> {
        let (mut undo, mut redo) = (Vec::new(), Vec::new());
        for entry in &self.entries {
            let fits = match entry.kind.as_str() {
                "edit" => {
                    undo.push(entry.seq);
                    redo.clear();
                    true
                }
                "undo" => {
                    let taken = undo.pop();
                    redo.extend(taken);
                    taken.is_some() && taken == entry.of_seq
                }
                "redo" => {
                    let made = redo.pop();
                    undo.extend(made);
                    made.is_some() && made == entry.of_seq
                }
                _ => true,
            };
            if !fits || entry.undo_seq != undo.last().copied() || entry.redo_seq != redo.last().copied() {
                return Some(format!("entry {} of its log is not in step with those before it", entry.seq));
            }
        }
        None
    }

    /// The log's edits lead from the base to the document, and each entry is taken back by what it says.
    fn replay(&self) -> Result<(), String> {
        let document = parse(&self.document).map_err(|error| format!("its document cannot be read: {error}"))?;
        if document.name != self.name {
            return Err("its name is not that of its document".to_owned());
        }
        if self.format != FORMAT {
            // Edits in an older format are history; there is nothing to hold them to.
            return Ok(());
        }
        let base = self.base.as_ref().ok_or("its first document is not there")?;
        let mut job = parse(base).map_err(|error| format!("its first document cannot be read: {error}"))?;
        let by_seq: BTreeMap<i64, &KeptEntry> = self.entries.iter().map(|entry| (entry.seq, entry)).collect();
        for (seq, entry) in by_seq.range(self.base_seq.saturating_add(1)..) {
            let read = |edits: &str| {
                serde_json::from_str::<Vec<Edit>>(edits)
                    .map_err(|error| format!("entry {seq} of its log cannot be read: {error}"))
            };
            let (edits, inverse) = (read(&entry.edits)?, read(&entry.inverse)?);
            let (after, back) =
                apply_all(&job, &edits).map_err(|error| format!("entry {seq} of its log cannot be made: {error}"))?;
            if back != inverse {
                return Err(format!("entry {seq} of its log would not be taken back by what it says"));
            }
            job = after;
        }
        if job == document { Ok(()) } else { Err("its log leads to another document".to_owned()) }
    }
}
