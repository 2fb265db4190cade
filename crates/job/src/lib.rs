//! The job document as text and as edits. This crate touches no disk.
//!
//! - [`Job`]: the one document
//! - [`parse()`], [`print`], [`Encoding`], [`JobError`]: TOML and JSON, lossless both ways, with precise errors
//! - [`schema()`]: its JSON Schema

mod document;
mod encoding;
mod error;
mod migrate;
mod parse;
mod schema;
mod tree;

pub use document::{Equipment, FORMAT, Job};
pub use encoding::{Encoding, print};
pub use error::JobError;
pub use parse::{MAX_BYTES, parse};
pub use schema::schema;
