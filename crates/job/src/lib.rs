//! The job document as text and as edits. This crate touches no disk.

mod document;

pub use document::{Equipment, FORMAT, Job};
