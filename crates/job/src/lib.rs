//! The job document as text and as edits. This crate touches no disk.
//!
//! - [`Job`]: the one document
//! - [`parse()`], [`print`], [`Encoding`], [`JobError`]: TOML and JSON, lossless both ways, with precise errors
//! - [`validate()`], [`RULES`]: everything that is wrong with a job
//! - [`apply`], [`EditError`]: edits and their inverse
//! - [`schema()`]: its JSON Schema
//! - [`fresh`]: a whole job from eight answers

mod document;
mod edit;
mod encoding;
mod error;
pub mod fresh;
mod migrate;
mod parse;
mod schema;
mod tree;
mod validate;

pub use document::{Equipment, FORMAT, GUESSED, Job};
pub use edit::{EditError, apply};
pub use encoding::{Encoding, print};
pub use error::JobError;
pub use parse::{MAX_BYTES, parse};
pub use schema::schema;
pub use validate::{RULES, validate};
