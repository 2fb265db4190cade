//! A small job, a store of its own for each test, and another way to look at the file.
#![allow(dead_code)]

use std::path::{Path, PathBuf};

use findings::Edit;
use job::{Encoding, Job};
use serde_json::json;
use store::Store;
use tempfile::TempDir;

const SMALL: &str = r#"{
    "format": "wallplate/1",
    "name": "Cottage",
    "site": { "country": "GB", "currency": "GBP", "date": "2026-11-25" },
    "building": { "storeys": [] }
}"#;

/// A job that is well formed and says little.
pub fn small(name: &str) -> Job {
    let mut job = job::parse(SMALL, Encoding::Json).unwrap();
    name.clone_into(&mut job.name);
    job
}

/// A home of ordinary size.
pub fn house() -> Job {
    let text = std::fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/../../demo/two-storey/job.toml")).unwrap();
    job::parse(&text, Encoding::Toml).unwrap()
}

/// A folder that goes away, and the file for a database in it.
pub fn place() -> (TempDir, PathBuf) {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("jobs.db");
    (folder, path)
}

pub async fn open(path: &Path) -> Store {
    Store::open(path).await.unwrap_or_else(|e| panic!("{e}"))
}

pub fn rename(name: &str) -> Vec<Edit> {
    vec![Edit::set("name", json!(name))]
}

pub fn note(text: &str) -> Vec<Edit> {
    vec![Edit::insert("notes", json!(text))]
}

/// What another library says of the file, with our own code out of the way.
pub fn says_ok(path: &Path) {
    let database = rusqlite::Connection::open(path).unwrap();
    let said: String = database.query_row("PRAGMA integrity_check", [], |row| row.get(0)).unwrap();
    assert_eq!(said, "ok");
    let mut orphans = database.prepare("PRAGMA foreign_key_check").unwrap();
    assert!(!orphans.exists([]).unwrap());
}
