//! The store's door.

use std::path::Path;

use findings::Edit;
use job::Job;

use crate::{Entry, Head, JobId, Record, StoreError};

/// Jobs in a database file. Cheap to clone; all clones are one store.
#[derive(Clone, Debug)]
pub struct Store {}

#[allow(unused_variables)]
impl Store {
    /// Opens a database file, or creates it where there is none, and brings it up to the present version.
    ///
    /// # Errors
    /// Says with the path why not; see [`StoreError`].
    pub async fn open(path: &Path) -> Result<Self, StoreError> {
        todo!()
    }
    /// Puts a job into the store; `label` says how it came about.
    ///
    /// # Errors
    /// [`StoreError::Invalid`] if the document cannot be written as text, or `who` or `label` is not a readable line.
    pub async fn create(&self, job: &Job, who: &str, label: &str) -> Result<Record, StoreError> {
        todo!()
    }
    /// Jobs that are archived, or those that are not, the newest change first.
    ///
    /// # Errors
    /// Failures of the database.
    pub async fn list(&self, archived: bool) -> Result<Vec<Record>, StoreError> {
        todo!()
    }
    /// A job and its document.
    ///
    /// # Errors
    /// [`StoreError::Missing`]; [`StoreError::Unreadable`] if a newer program wrote the document.
    pub async fn get(&self, id: JobId) -> Result<(Record, Job), StoreError> {
        todo!()
    }
    /// Makes edits, all or none.
    ///
    /// # Errors
    /// [`StoreError::Stale`], [`StoreError::Refused`], [`StoreError::Invalid`], [`StoreError::Missing`].
    pub async fn edit(
        &self,
        id: JobId,
        base_revision: u64,
        who: &str,
        label: &str,
        edits: &[Edit],
    ) -> Result<Head, StoreError> {
        todo!()
    }
    /// Takes back the last edit that was not taken back.
    ///
    /// # Errors
    /// [`StoreError::NothingToUndo`], [`StoreError::Stale`], [`StoreError::Missing`].
    pub async fn undo(&self, id: JobId, base_revision: u64, who: &str) -> Result<Head, StoreError> {
        todo!()
    }
    /// Makes the edit again that was last taken back, if no other was made since.
    ///
    /// # Errors
    /// [`StoreError::NothingToRedo`], [`StoreError::Stale`], [`StoreError::Missing`].
    pub async fn redo(&self, id: JobId, base_revision: u64, who: &str) -> Result<Head, StoreError> {
        todo!()
    }
    /// Everything that was done to a job, the oldest first.
    ///
    /// # Errors
    /// [`StoreError::Missing`].
    pub async fn history(&self, id: JobId) -> Result<Vec<Entry>, StoreError> {
        todo!()
    }
    /// Puts a copy of a job's document into the store, under a name of its own.
    ///
    /// # Errors
    /// [`StoreError::Missing`], [`StoreError::Unreadable`], [`StoreError::Invalid`].
    pub async fn duplicate(&self, id: JobId, name: &str, who: &str) -> Result<Record, StoreError> {
        todo!()
    }
    /// Puts a job away, or takes it back.
    ///
    /// # Errors
    /// [`StoreError::Missing`].
    pub async fn set_archived(&self, id: JobId, archived: bool, who: &str) -> Result<Record, StoreError> {
        todo!()
    }
    /// Looks for damage: in the file, in the references, and in that every job's log leads to its document.
    ///
    /// # Errors
    /// [`StoreError::Damaged`] with everything that was found.
    pub async fn check_integrity(&self) -> Result<(), StoreError> {
        todo!()
    }
    /// Closes the file. A store that is not closed loses nothing; the next one that opens it tidies up.
    pub async fn close(self) {
        todo!()
    }
}
