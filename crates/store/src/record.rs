//! What is kept of a job beside its document.

use std::fmt;
use std::str::FromStr;

use jiff::Timestamp;
use serde::{Deserialize, Serialize};
use uuid::Uuid;

/// The id of a job in a store: a UUID of version 7, so that ids sort by the time they were made.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(transparent)]
pub struct JobId(pub(crate) Uuid);

impl fmt::Display for JobId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.hyphenated().fmt(f)
    }
}

/// Reads the hyphenated form that `Display` writes.
impl FromStr for JobId {
    type Err = uuid::Error;
    fn from_str(text: &str) -> Result<Self, uuid::Error> {
        Uuid::parse_str(text).map(Self)
    }
}

/// A job as a list shows it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Record {
    /// Its id in this store.
    pub id: JobId,
    /// The name that its document has.
    pub name: String,
    /// Grows by one with every edit, undo and redo, from 1.
    pub revision: u64,
    /// Whether it was put away.
    pub archived: bool,
    /// When it came into this store.
    pub created_at: Timestamp,
    /// When its document last changed; archiving is no change.
    pub changed_at: Timestamp,
    /// What an undo would take back.
    pub undo_label: Option<String>,
    /// What a redo would make again.
    pub redo_label: Option<String>,
}

impl Record {
    /// Whether there is an edit to take back.
    #[must_use]
    pub fn can_undo(&self) -> bool {
        self.undo_label.is_some()
    }

    /// Whether there is an edit to make again.
    #[must_use]
    pub fn can_redo(&self) -> bool {
        self.redo_label.is_some()
    }

    /// Where the job stands.
    #[must_use]
    pub fn head(&self) -> Head {
        Head { revision: self.revision, undo_label: self.undo_label.clone(), redo_label: self.redo_label.clone() }
    }
}

/// Where a job stands after an edit, undo or redo.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Head {
    /// The revision, to be named as the base of the next edit.
    pub revision: u64,
    /// What an undo would take back.
    pub undo_label: Option<String>,
    /// What a redo would make again.
    pub redo_label: Option<String>,
}

/// What kind of entry it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum EntryKind {
    /// Edits were made, or the job itself (the first entry, which cannot be taken back).
    Edit,
    /// An edit was taken back.
    Undo,
    /// An edit that had been taken back was made again.
    Redo,
}

/// One entry of a job's history.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Entry {
    /// Its place in the history, from 1 without gaps.
    pub seq: u64,
    /// The job's revision after it; the same number as `seq`, for only entries make revisions.
    pub revision: u64,
    /// When it was made.
    pub at: Timestamp,
    /// Who made it, as they said; may be empty.
    pub who: String,
    /// What it did, in words.
    pub label: String,
    /// What kind it is.
    pub kind: EntryKind,
    /// Whether it is an edit that the document no longer shows.
    pub undone: bool,
}
