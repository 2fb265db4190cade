//! What can go wrong, and what to do about it.

use std::path::{Path, PathBuf};

use job::{EditError, JobError};

use crate::JobId;

/// Why a store did not do what it was asked. Whatever it was, nothing is half done.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum StoreError {
    /// The folder in which the database should lie does not exist.
    #[error("the folder of `{}` does not exist\nhint: create the folder, or name another file", path.display())]
    NoFolder {
        /// The database file.
        path: PathBuf,
    },
    /// Something that is no file lies where the database should.
    #[error("`{}` is not a file\nhint: name the database file itself, such as `{}`", path.display(), path.join("jobs.db").display())]
    NotAFile {
        /// What was named.
        path: PathBuf,
    },
    /// The system does not let the file be read and written.
    #[error("`{}` cannot be opened for reading and writing: {detail}\nhint: the file and its folder must be writable, for the database keeps files beside it while it works", path.display())]
    NotWritable {
        /// The database file.
        path: PathBuf,
        /// What the database library says.
        detail: String,
    },
    /// The file is no database. It was left as it is.
    #[error("`{}` is not a database and was left as it is\nhint: name another file; a new one is created where there is none", path.display())]
    NotADatabase {
        /// The file.
        path: PathBuf,
    },
    /// The file is a database of another program. It was left as it is.
    #[error("`{}` is a database of another program and was left as it is\nhint: name another file; a new one is created where there is none", path.display())]
    Foreign {
        /// The file.
        path: PathBuf,
    },
    /// The database was written by a newer version of this program. It was left as it is.
    #[error("`{}` is a database of version {version} (`{name}`), and this program knows versions up to {known}; it was left as it is\nhint: use a newer version of the program", path.display())]
    NewerDatabase {
        /// The database file.
        path: PathBuf,
        /// Its version: the number of the last migration made on it.
        version: i64,
        /// The name of that migration.
        name: String,
        /// The newest version that this program knows.
        known: i64,
    },
    /// The database is damaged.
    #[error("the database `{}` is damaged: {}\nhint: copy the file and those beside it before anything else, then put back a backup", path.display(), problems.join("; "))]
    Damaged {
        /// The database file.
        path: PathBuf,
        /// Everything that was found.
        problems: Vec<String>,
    },
    /// The database was locked for too long, by another process or by too much work in this one.
    #[error("the database `{}` is busy\nhint: try again; if it stays busy, see whether another process has it open", path.display())]
    Busy {
        /// The database file.
        path: PathBuf,
    },
    /// There is no room left on the disk.
    #[error("there is no room left on the disk of `{}`\nhint: make room and try again; nothing that was acknowledged is lost", path.display())]
    DiskFull {
        /// The database file.
        path: PathBuf,
    },
    /// Any other failure of the database.
    #[error("the database `{}` failed: {source}\nhint: try again; if it fails again, copy the file and those beside it, then put back a backup", path.display())]
    Database {
        /// The database file.
        path: PathBuf,
        /// What the database library says.
        source: sqlx::Error,
    },
    /// There is no job with this id.
    #[error("there is no job `{id}`")]
    Missing {
        /// The id that was asked for.
        id: JobId,
    },
    /// Somebody else changed the job: the base of the edit is not its revision.
    #[error("the job is at revision {revision} by now\nhint: read it again and make the change on that")]
    Stale {
        /// The job's revision.
        revision: u64,
    },
    /// An edit cannot be made on this document.
    #[error(transparent)]
    Refused(#[from] EditError),
    /// Something given is not acceptable.
    #[error("{field}: {problem}")]
    Invalid {
        /// What was given: `who`, `label`, `name`, `edits` or `document`.
        field: &'static str,
        /// What is wrong with it and what to do.
        problem: String,
    },
    /// There is no edit to take back.
    #[error("there is nothing to undo")]
    NothingToUndo,
    /// There is no edit to make again.
    #[error("there is nothing to redo")]
    NothingToRedo,
    /// A stored document cannot be read, for example because a newer version of the program wrote it. It was left as it is.
    #[error("the document of job `{id}` in `{}` cannot be read and was left as it is: {source}", path.display())]
    Unreadable {
        /// The database file.
        path: PathBuf,
        /// The job.
        id: JobId,
        /// What is wrong with the document.
        source: Box<JobError>,
    },
    /// The work was broken off, because the program ends or because of a bug.
    #[error("the work on the job was broken off: {detail}")]
    BrokenOff {
        /// What is known of it.
        detail: String,
    },
}

impl StoreError {
    /// Sorts out what the database library says, by SQLite's result codes (<https://www.sqlite.org/rescode.html>).
    pub(crate) fn of(path: &Path, source: sqlx::Error) -> Self {
        let path = path.to_owned();
        let detail = source.as_database_error().map(|error| error.message().to_owned()).unwrap_or_default();
        match (primary_code(&source), &source) {
            (Some(BUSY | LOCKED), _) | (_, sqlx::Error::PoolTimedOut) => Self::Busy { path },
            (Some(PERM | READONLY | CANTOPEN), _) => Self::NotWritable { path, detail },
            (Some(CORRUPT), _) => Self::Damaged { path, problems: vec![detail] },
            (_, sqlx::Error::ColumnDecode { .. } | sqlx::Error::Decode(_)) => {
                Self::Damaged { path, problems: vec![source.to_string()] }
            }
            (Some(FULL), _) => Self::DiskFull { path },
            (Some(NOTADB), _) => Self::NotADatabase { path },
            _ => Self::Database { path, source },
        }
    }
}

const PERM: i32 = 3;
const BUSY: i32 = 5;
const LOCKED: i32 = 6;
const READONLY: i32 = 8;
const CORRUPT: i32 = 11;
const FULL: i32 = 13;
const CANTOPEN: i32 = 14;
const NOTADB: i32 = 26;

/// SQLite's result code without the refinement in its upper bytes.
fn primary_code(error: &sqlx::Error) -> Option<i32> {
    error.as_database_error()?.code()?.parse::<i32>().ok().map(|code| code & 0xff)
}

/// Whether a lock was in the way.
pub(crate) fn is_busy(error: &sqlx::Error) -> bool {
    matches!(primary_code(error), Some(BUSY | LOCKED))
}
