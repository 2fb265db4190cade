//! The store's door: what can be done with jobs.

use std::path::Path;
use std::sync::Arc;

use findings::Edit;
use job::{Job, JobError};
use sqlx::sqlite::Sqlite;
use sqlx::{SqliteConnection, Transaction};

use crate::connect::{self, Database};
use crate::document::{self, ChangeError, Changed};
use crate::log::{self, NewEntry, Stored};
use crate::text::{self, MAX_EDITS};
use crate::{Entry, Head, JobId, Record, StoreError, clock, integrity};

/// Jobs in a database file. Cheap to clone; all clones are one store.
///
/// A future that resolves to `Ok` has what it did on disk: the transaction was committed with SQLite's `synchronous` at
/// `FULL`. A future that is dropped before does all of its work or none of it.
#[derive(Clone, Debug)]
pub struct Store {
    database: Arc<Database>,
}

impl Store {
    /// Opens a database file, or creates it where there is none, and brings it up to the present version.
    ///
    /// Other processes may have the same file open; see the README.
    ///
    /// # Errors
    /// Says with the path why not; see [`StoreError`]. A file that is not a database of this program, or of a newer
    /// version, is left as it is.
    pub async fn open(path: &Path) -> Result<Self, StoreError> {
        Ok(Self { database: Arc::new(connect::open(path).await?) })
    }

    /// Puts a job into the store; `label` says how it came about and becomes the first entry of its history.
    ///
    /// # Errors
    /// [`StoreError::Invalid`] if the document cannot be written as text and read again, or `who` or `label` is not a
    /// readable line.
    pub async fn create(&self, job: &Job, who: &str, label: &str) -> Result<Record, StoreError> {
        let (who, label) = (text::line("who", who)?, text::filled_line("label", label)?);
        let job = job.clone();
        let (name, document) = blocking(move || document::print(&job).map(|text| (job.name, text))).await??;
        let now = clock::now();
        let record = Record {
            id: clock::new_id(),
            name,
            revision: 1,
            archived: false,
            created_at: now,
            changed_at: now,
            undo_label: None,
            redo_label: None,
        };
        let entry = NewEntry {
            job: record.id,
            seq: 1,
            at: now,
            who: &who,
            label: &label,
            kind: "create",
            of_seq: None,
            undo_seq: None,
            redo_seq: None,
            edits: "[]",
            inverse: "[]",
        };
        let mut transaction = self.writing().await?;
        self.on_disk(log::add_job(&mut transaction, &record, &document).await)?;
        self.on_disk(log::add_entry(&mut transaction, &entry).await)?;
        self.on_disk(transaction.commit().await)?;
        Ok(record)
    }

    /// The jobs that are archived, or those that are not, the newest change first.
    ///
    /// # Errors
    /// Failures of the database.
    pub async fn list(&self, archived: bool) -> Result<Vec<Record>, StoreError> {
        self.on_disk(log::list(&mut *self.reading().await?, archived).await)
    }

    /// A job and its document; a document of an older format comes in the present one.
    ///
    /// # Errors
    /// [`StoreError::Missing`]; [`StoreError::Unreadable`] with the format's name if a newer program wrote the document.
    pub async fn get(&self, id: JobId) -> Result<(Record, Job), StoreError> {
        let found = self.on_disk(log::record_and_document(&mut *self.reading().await?, id).await)?;
        let (record, document) = found.ok_or(StoreError::Missing { id })?;
        let job = blocking(move || document::parse(&document)).await?.map_err(|e| self.unreadable(id, e))?;
        Ok((record, job))
    }

    /// Makes edits, all or none. Whether the job makes sense after them is for [`job::validate`](job::validate()) to say.
    ///
    /// # Errors
    /// [`StoreError::Stale`] if the job is not at `base_revision`, [`StoreError::Refused`] if an edit cannot be made on
    /// its document, [`StoreError::Invalid`], [`StoreError::Missing`], [`StoreError::Unreadable`]. The job is as it was.
    pub async fn edit(
        &self,
        id: JobId,
        base_revision: u64,
        who: &str,
        label: &str,
        edits: &[Edit],
    ) -> Result<Head, StoreError> {
        let (who, label) = (text::line("who", who)?, text::filled_line("label", label)?);
        let problem = match edits.len() {
            0 => Some("is empty; give what is to be changed".to_owned()),
            more if more > MAX_EDITS => {
                Some(format!("has {more} edits; {MAX_EDITS} are the most that are made at once"))
            }
            _ => None,
        };
        if let Some(problem) = problem {
            return Err(StoreError::Invalid { field: "edits", problem });
        }
        let stored = self.stored(id, base_revision).await?;
        let step = Step { kind: "edit", label, of_seq: None, undo_seq: None, redo_seq: None };
        self.take(id, stored, &who, step, edits.to_vec()).await
    }

    /// Takes back the last edit that was not taken back.
    ///
    /// # Errors
    /// [`StoreError::NothingToUndo`], [`StoreError::Stale`], [`StoreError::Missing`], [`StoreError::Invalid`],
    /// [`StoreError::Unreadable`].
    pub async fn undo(&self, id: JobId, base_revision: u64, who: &str) -> Result<Head, StoreError> {
        let who = text::line("who", who)?;
        let stored = self.stored(id, base_revision).await?;
        let seq = stored.undo_seq.ok_or(StoreError::NothingToUndo)?;
        let target = self.on_disk(log::undo_target(&mut *self.reading().await?, id, seq).await)?;
        let edits = self.read_edits(&target.edits)?;
        let step =
            Step { kind: "undo", label: target.label, of_seq: Some(seq), undo_seq: target.below, redo_seq: Some(seq) };
        self.take(id, stored, &who, step, edits).await
    }

    /// Makes the edit again that was last taken back, if no other was made since.
    ///
    /// # Errors
    /// [`StoreError::NothingToRedo`], [`StoreError::Stale`], [`StoreError::Missing`], [`StoreError::Invalid`],
    /// [`StoreError::Unreadable`].
    pub async fn redo(&self, id: JobId, base_revision: u64, who: &str) -> Result<Head, StoreError> {
        let who = text::line("who", who)?;
        let stored = self.stored(id, base_revision).await?;
        let seq = stored.redo_seq.ok_or(StoreError::NothingToRedo)?;
        let target = self.on_disk(log::redo_target(&mut *self.reading().await?, id, seq).await)?;
        let edits = self.read_edits(&target.edits)?;
        let step =
            Step { kind: "redo", label: target.label, of_seq: Some(seq), undo_seq: Some(seq), redo_seq: target.below };
        self.take(id, stored, &who, step, edits).await
    }

    /// Everything that was done to a job, the oldest first; the first entry is its making.
    ///
    /// # Errors
    /// [`StoreError::Missing`].
    pub async fn history(&self, id: JobId) -> Result<Vec<Entry>, StoreError> {
        let entries = self.on_disk(log::history(&mut *self.reading().await?, id).await)?;
        if entries.is_empty() { Err(StoreError::Missing { id }) } else { Ok(entries) }
    }

    /// Puts a copy of a job's document into the store, under a name of its own and with a history of its own.
    ///
    /// # Errors
    /// [`StoreError::Missing`], [`StoreError::Unreadable`], [`StoreError::Invalid`].
    pub async fn duplicate(&self, id: JobId, name: &str, who: &str) -> Result<Record, StoreError> {
        let name = text::filled_line("name", name)?;
        let (_, mut job) = self.get(id).await?;
        let label = text::label_of_copy(&job.name);
        job.name = name;
        self.create(&job, who, &label).await
    }

    /// Puts a job away, or takes it back. This is no change of its document and makes no revision.
    ///
    /// # Errors
    /// [`StoreError::Missing`], [`StoreError::Invalid`].
    pub async fn set_archived(&self, id: JobId, archived: bool, who: &str) -> Result<Record, StoreError> {
        let who = text::line("who", who)?;
        let mut transaction = self.writing().await?;
        self.on_disk(log::set_archived(&mut transaction, id, archived, clock::now(), &who).await)?;
        let record = self.on_disk(log::record(&mut transaction, id).await)?;
        self.on_disk(transaction.commit().await)?;
        record.ok_or(StoreError::Missing { id })
    }

    /// Looks for damage: in the file, in references between rows, and in that every job's log leads to its document.
    ///
    /// # Errors
    /// [`StoreError::Damaged`] with everything that was found.
    pub async fn check_integrity(&self) -> Result<(), StoreError> {
        let problems = integrity::problems(&self.database).await?;
        if problems.is_empty() {
            Ok(())
        } else {
            Err(StoreError::Damaged { path: self.database.path.clone(), problems })
        }
    }

    /// Closes the file, for all clones. A store that is not closed loses nothing: the next one that opens it tidies up.
    pub async fn close(self) {
        self.database.readers.close().await;
        self.database.writer.close().await;
    }

    async fn reading(&self) -> Result<sqlx::pool::PoolConnection<Sqlite>, StoreError> {
        self.on_disk(self.database.readers.acquire().await)
    }

    async fn writing(&self) -> Result<Transaction<'static, Sqlite>, StoreError> {
        self.on_disk(self.database.writer.begin().await)
    }

    fn on_disk<T>(&self, result: Result<T, sqlx::Error>) -> Result<T, StoreError> {
        result.map_err(|error| StoreError::of(&self.database.path, error))
    }

    fn unreadable(&self, id: JobId, source: JobError) -> StoreError {
        StoreError::Unreadable { path: self.database.path.clone(), id, source: Box::new(source) }
    }

    fn read_edits(&self, edits: &str) -> Result<Vec<Edit>, StoreError> {
        serde_json::from_str(edits).map_err(|error| StoreError::Damaged {
            path: self.database.path.clone(),
            problems: vec![format!("an entry of the log cannot be read: {error}")],
        })
    }

    /// The job as it is stored, if it is at the revision that somebody wants to change.
    async fn stored(&self, id: JobId, base_revision: u64) -> Result<Stored, StoreError> {
        let stored = self.on_disk(log::stored(&mut *self.reading().await?, id).await)?;
        match stored {
            Some(stored) if stored.revision == base_revision => Ok(stored),
            Some(stored) => Err(StoreError::Stale { revision: stored.revision }),
            None => Err(StoreError::Missing { id }),
        }
    }

    /// Makes a step from what is stored to the next revision: works out the document with nothing locked, then writes it if
    /// nobody was faster.
    async fn take(
        &self,
        id: JobId,
        stored: Stored,
        who: &str,
        step: Step,
        edits: Vec<Edit>,
    ) -> Result<Head, StoreError> {
        let (revision, changed_at) = (stored.revision, stored.changed_at);
        let changed = blocking(move || document::change(&stored.document, &stored.format, &edits)).await?;
        let changed = changed.map_err(|error| match error {
            ChangeError::Unreadable(error) => self.unreadable(id, error),
            ChangeError::Store(error) => error,
        })?;
        let seq = i64::try_from(revision + 1).map_err(|_| StoreError::Stale { revision })?;
        // A clock that was set back does not turn the history round.
        let at = clock::now().max(changed_at);
        let mut transaction = self.writing().await?;
        if !self.on_disk(log::replace_document(&mut transaction, id, seq, at, &changed).await)? {
            return Err(self.overtaken(&mut transaction, id).await);
        }
        self.on_disk(log::add_entry(&mut transaction, &step.entry(id, seq, at, who, &changed)).await)?;
        let record = self.on_disk(log::record(&mut transaction, id).await)?;
        self.on_disk(transaction.commit().await)?;
        record.map(|record| record.head()).ok_or(StoreError::Missing { id })
    }

    /// Why no row was at the revision that was to be changed.
    async fn overtaken(&self, connection: &mut SqliteConnection, id: JobId) -> StoreError {
        match self.on_disk(log::revision(connection, id).await) {
            Ok(Some(revision)) => StoreError::Stale { revision: u64::try_from(revision).unwrap_or(0) },
            Ok(None) => StoreError::Missing { id },
            Err(error) => error,
        }
    }
}

/// A step in a job's history, before its edits are worked out.
struct Step {
    kind: &'static str,
    label: String,
    of_seq: Option<i64>,
    /// What an undo takes back after it; for an edit, the edit itself.
    undo_seq: Option<i64>,
    redo_seq: Option<i64>,
}

impl Step {
    fn entry<'a>(
        &'a self,
        job: JobId,
        seq: i64,
        at: jiff::Timestamp,
        who: &'a str,
        changed: &'a Changed,
    ) -> NewEntry<'a> {
        let undo_seq = if self.kind == "edit" { Some(seq) } else { self.undo_seq };
        NewEntry {
            job,
            seq,
            at,
            who,
            label: &self.label,
            kind: self.kind,
            of_seq: self.of_seq,
            undo_seq,
            redo_seq: self.redo_seq,
            edits: &changed.edits,
            inverse: &changed.inverse,
        }
    }
}

/// Runs work on a document where it holds nobody up: a large one takes a good part of a second.
async fn blocking<T: Send + 'static>(work: impl FnOnce() -> T + Send + 'static) -> Result<T, StoreError> {
    tokio::task::spawn_blocking(work).await.map_err(|error| StoreError::BrokenOff { detail: error.to_string() })
}

#[cfg(test)]
mod tests {
    use super::*;
    use job::Encoding;

    #[tokio::test]
    async fn a_full_disk_loses_nothing_that_was_acknowledged() {
        let folder = tempfile::tempdir().unwrap();
        let store = Store::open(&folder.path().join("jobs.db")).await.unwrap();
        let text = "format = 'wallplate/1'\nname = 'A'\nsite = { country = 'GB', currency = 'GBP', date = '2026-11-25' }\n\
                    building = { storeys = [] }";
        let job = job::parse(text, Encoding::Toml).unwrap();
        let id = store.create(&job, "", "New").await.unwrap().id;
        // SQLite says the same when the disk is full and when the file may not grow.
        sqlx::query("PRAGMA max_page_count = 16").execute(&store.database.writer).await.unwrap();
        let mut revision = 1;
        let error = loop {
            let edits = [Edit::insert("notes", serde_json::json!("x".repeat(1000)))];
            match store.edit(id, revision, "", "Note", &edits).await {
                Ok(head) => revision = head.revision,
                Err(error) => break error,
            }
            assert!(revision < 100);
        };
        assert!(matches!(error, StoreError::DiskFull { .. }), "{error}");
        assert!(error.to_string().contains("jobs.db") && error.to_string().contains("hint: make room"), "{error}");
        let (record, job) = store.get(id).await.unwrap();
        assert_eq!((record.revision, job.notes.len() as u64), (revision, revision - 1));
        assert!(revision > 2);
        store.check_integrity().await.unwrap();
        sqlx::query("PRAGMA max_page_count = 1000000").execute(&store.database.writer).await.unwrap();
        store.undo(id, revision, "").await.unwrap();
        store.check_integrity().await.unwrap();
    }
}
