//! Time of an acknowledged edit against a plain file's, and of opening and listing with 200 jobs.

use std::fs::{File, OpenOptions};
use std::io::Write;
use std::path::Path;
use std::time::Instant;

use findings::Edit;
use job::Encoding;
use serde_json::json;
use store::Store;

const NUM_JOBS: usize = 200;

/// Runs; the median is printed.
const RUNS: usize = 100;

fn main() {
    // Beside the build, for a temporary folder may lie in memory, where being on disk costs nothing.
    let folder = tempfile::tempdir_in(env!("CARGO_TARGET_TMPDIR")).expect("a folder");
    let path = folder.path().join("jobs.db");
    let runtime = tokio::runtime::Builder::new_multi_thread().worker_threads(2).enable_all().build().expect("threads");
    runtime.block_on(run(&path));
}

async fn run(path: &Path) {
    let text = std::fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/../../demo/two-storey/job.toml"))
        .expect("the demo house is there");
    let job = job::parse(&text, Encoding::Toml).expect("a job");
    let document = job::print(&job, Encoding::Json).expect("its text");

    let store = Store::open(path).await.expect("a store");
    let mut id = None;
    for _ in 0..NUM_JOBS {
        let record = store.create(&job, "", "New").await.expect("a job");
        store.edit(record.id, 1, "", "Note", &[Edit::insert("notes", json!("x"))]).await.expect("an edit");
        id = Some(record.id);
    }
    let id = id.expect("jobs");

    let mut edits = Vec::new();
    for revision in 2..2 + RUNS as u64 {
        let started = Instant::now();
        let edit = Edit::set("name", json!(format!("House {revision}")));
        store.edit(id, revision, "", "Rename", &[edit]).await.expect("an edit");
        edits.push(started.elapsed().as_secs_f64() * 1e3);
    }
    let mut work = Vec::new();
    for _ in 0..RUNS {
        let started = Instant::now();
        let before = job::parse(&document, Encoding::Json).expect("a job");
        let (after, _) = job::apply(&before, &Edit::set("name", json!("House"))).expect("an edit");
        job::print(&after, Encoding::Json).expect("its text");
        work.push(started.elapsed().as_secs_f64() * 1e3);
    }
    // For comparison: the same edit worked out, and its document added to a plain file and flushed. The log of the database
    // keeps its size once it has grown, which a plain file does not, and a flush of that costs less.
    let flushed = flushes(&path.with_extension("plain"), document.as_bytes());
    say_peer("store-edit", median(edits), median(work) + median(flushed), "ms");

    let mut lists = Vec::new();
    let mut gets = Vec::new();
    for _ in 0..RUNS {
        let started = Instant::now();
        assert_eq!(store.list(false).await.expect("a list").len(), NUM_JOBS);
        lists.push(started.elapsed().as_secs_f64() * 1e3);
        let started = Instant::now();
        store.get(id).await.expect("a job");
        gets.push(started.elapsed().as_secs_f64() * 1e3);
    }
    say_limit("store-list-200", median(lists), 20.0, "ms");
    // A plain read of the same document, without a database.
    let plain = path.with_extension("json");
    std::fs::write(&plain, &document).expect("written");
    let mut reads = Vec::new();
    for _ in 0..RUNS {
        let started = Instant::now();
        job::parse(&std::fs::read_to_string(&plain).expect("read"), Encoding::Json).expect("a job");
        reads.push(started.elapsed().as_secs_f64() * 1e3);
    }
    say_peer("store-get", median(gets), median(reads), "ms");
    store.close().await;

    let (mut opens, mut peers) = (Vec::new(), Vec::new());
    for _ in 0..RUNS / 4 {
        let started = Instant::now();
        let store = Store::open(path).await.expect("a store");
        opens.push(started.elapsed().as_secs_f64() * 1e3);
        store.close().await;
        let started = Instant::now();
        let plain = rusqlite::Connection::open(path).expect("a database");
        plain.query_row("SELECT count(*) FROM jobs", [], |row| row.get::<_, i64>(0)).expect("a count");
        peers.push(started.elapsed().as_secs_f64() * 1e3);
    }
    say_peer("store-open-200", median(opens), median(peers), "ms");
}

/// Milliseconds of each time that the bytes are added to a file and flushed.
fn flushes(path: &Path, bytes: &[u8]) -> Vec<f64> {
    let mut file: File = OpenOptions::new().create(true).append(true).open(path).expect("a file");
    (0..RUNS)
        .map(|_| {
            let started = Instant::now();
            file.write_all(bytes).expect("written");
            file.sync_data().expect("flushed");
            started.elapsed().as_secs_f64() * 1e3
        })
        .collect()
}

fn median(mut values: Vec<f64>) -> f64 {
    values.sort_by(f64::total_cmp);
    values[values.len() / 2]
}

#[expect(clippy::print_stdout, reason = "a bench prints its figures")]
fn say_limit(name: &str, ours: f64, limit: f64, unit: &str) {
    println!("BENCH {name} ours={ours:.3} {unit} limit={limit} {unit} ratio={:.3}", ours / limit);
}

#[expect(clippy::print_stdout, reason = "a bench prints its figures")]
fn say_peer(name: &str, ours: f64, peer: f64, unit: &str) {
    println!("BENCH {name} ours={ours:.3} {unit} peer={peer:.3} {unit} ratio={:.3}", ours / peer);
}
