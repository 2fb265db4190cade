//! Jobs, the log of their edits, and their revisions, kept in one SQLite file. An edit is acknowledged when it is on disk.
//!
//! - [`Store`]: open a file; create, list, get, edit, undo, redo, duplicate and archive jobs
//! - [`JobId`], [`Record`], [`Head`], [`Entry`], [`EntryKind`]: what is kept of a job beside its document
//! - [`StoreError`]: what went wrong, and what to do
//!
//! This crate does not know what a job says: whether a home or a design makes sense is for others.

mod clock;
mod connect;
mod document;
mod error;
mod integrity;
mod log;
mod record;
mod store;
mod text;

#[cfg(doctest)]
#[doc = include_str!("../README.md")]
struct Readme;

pub use error::StoreError;
pub use record::{Entry, EntryKind, Head, JobId, Record};
pub use store::Store;
pub use text::{MAX_EDITS, MAX_TEXT};
