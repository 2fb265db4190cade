//! A process that is killed while it edits: every edit that it was told is on disk is there afterwards.
//!
//! A kill takes the process, not the machine: what the system had been handed but not flushed survives it. That a commit
//! flushes is for SQLite's `synchronous = FULL`, which a test of `connect.rs` holds every connection to.

mod common;

use std::io::{BufRead, BufReader, Write};
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use common::{open, place, rename, says_ok, small};
use store::{JobId, Store};

/// Rounds of each kind, a fraction of a second each; `STORE_KILL_ROUNDS` asks for more.
fn num_rounds() -> u64 {
    std::env::var("STORE_KILL_ROUNDS").ok().and_then(|rounds| rounds.parse().ok()).unwrap_or(20)
}

/// Edits, takes back and makes again until it is killed, and says each time that it was told so. Two jobs at once.
#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
#[ignore = "run, and killed, by the tests below"]
async fn edits_until_killed() {
    let Ok(path) = std::env::var("STORE_TEST_PATH") else { return };
    let store = open(Path::new(&path)).await;
    let mut tasks = Vec::new();
    for name in ["A", "B"] {
        tasks.push(tokio::spawn(edit_for_ever(store.clone(), name)));
    }
    for task in tasks {
        task.await.unwrap();
    }
}

async fn edit_for_ever(store: Store, name: &'static str) {
    let known = store.list(false).await.unwrap().into_iter().find(|record| record.name.starts_with(name));
    let (id, mut revision) = match known {
        Some(record) => (record.id, record.revision),
        None => {
            let record = store.create(&small(name), "", "New").await.unwrap();
            say(record.id, 1, "New", name);
            (record.id, 1)
        }
    };
    loop {
        let label = format!("{name} for {}", revision + 1);
        let head = store.edit(id, revision, "", &label, &rename(&label)).await.unwrap();
        revision = head.revision;
        say(id, revision, &label, &label);
        if revision % 5 == 0 {
            revision = store.undo(id, revision, "").await.unwrap().revision;
            say(id, revision, &label, &store.get(id).await.unwrap().1.name);
        }
        if revision % 10 == 1 {
            revision = store.redo(id, revision, "").await.unwrap().revision;
            say(id, revision, &label, &label);
        }
    }
}

/// Says that a revision was acknowledged, with its label and the name that the document has with it.
fn say(id: JobId, revision: u64, label: &str, name: &str) {
    let mut out = std::io::stdout().lock();
    writeln!(out, "\nACK {id}|{revision}|{label}|{name}|").unwrap();
    out.flush().unwrap();
}

struct Ack {
    id: JobId,
    revision: u64,
    label: String,
    name: String,
}

/// Lines that the kill cut short are no acknowledgements.
fn read_ack(line: &str) -> Option<Ack> {
    let mut fields = line.strip_prefix("ACK ")?.strip_suffix('|')?.split('|');
    let ack = Ack {
        id: fields.next()?.parse().ok()?,
        revision: fields.next()?.parse().ok()?,
        label: fields.next()?.to_owned(),
        name: fields.next()?.to_owned(),
    };
    fields.next().is_none().then_some(ack)
}

/// Lets a process edit, kills it `after` it is there or after its first acknowledgement, and gives what it said.
fn run_and_kill(path: &Path, after: Duration, from_first: bool) -> Vec<Ack> {
    let mut child = Command::new(std::env::current_exe().unwrap())
        .args(["--ignored", "--exact", "edits_until_killed", "--nocapture"])
        .env("STORE_TEST_PATH", path)
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .unwrap();
    let lines = BufReader::new(child.stdout.take().unwrap()).lines();
    let (sender, receiver) = std::sync::mpsc::channel();
    let reader = std::thread::spawn(move || {
        let mut acks = Vec::new();
        for line in lines.map_while(Result::ok) {
            if let Some(ack) = read_ack(&line) {
                acks.push(ack);
                let _ = sender.send(());
            }
        }
        acks
    });
    if from_first {
        receiver.recv_timeout(Duration::from_secs(60)).expect("it acknowledges something");
    }
    std::thread::sleep(after);
    // On Unix, SIGKILL.
    child.kill().unwrap();
    let status = child.wait().unwrap();
    assert!(!status.success(), "it was still running");
    reader.join().unwrap()
}

/// Opens what is left and holds it to what was acknowledged.
async fn look(path: &Path, acks: &[Ack]) {
    let store = open(path).await;
    for ack in acks {
        let history = store.history(ack.id).await.unwrap();
        let entry = history.iter().find(|entry| entry.revision == ack.revision);
        assert_eq!(entry.map(|entry| entry.label.as_str()), Some(ack.label.as_str()), "revision {}", ack.revision);
        let (record, _) = store.get(ack.id).await.unwrap();
        assert!(record.revision >= ack.revision);
        if record.revision == ack.revision {
            assert_eq!(record.name, ack.name);
        }
    }
    for record in store.list(false).await.unwrap() {
        let last = acks.iter().filter(|ack| ack.id == record.id).map(|ack| ack.revision).max();
        // At most the one change that was under way when the process was killed is there without being acknowledged.
        if let Some(last) = last {
            assert!(record.revision <= last + 1, "{} after {last}", record.revision);
        }
    }
    store.check_integrity().await.unwrap();
    store.close().await;
    says_ok(path);
}

/// A fixed sequence that looks random, so that a failure can be repeated (xorshift, Marsaglia 2003).
fn scatter(seed: &mut u64) -> u64 {
    *seed ^= *seed << 13;
    *seed ^= *seed >> 7;
    *seed ^= *seed << 17;
    *seed
}

#[tokio::test]
#[expect(clippy::print_stdout, reason = "how much was tried")]
async fn every_acknowledged_edit_outlives_a_kill() {
    let (_folder, path) = place();
    let mut seed = 0x5eed;
    let mut num_acks = 0;
    for _ in 0..num_rounds() {
        let after = Duration::from_micros(scatter(&mut seed) % 120_000);
        let acks = run_and_kill(&path, after, true);
        assert!(!acks.is_empty());
        num_acks += acks.len();
        look(&path, &acks).await;
    }
    println!("{num_acks} acknowledged edits, all there");
    assert!(num_acks > 5 * usize::try_from(num_rounds()).unwrap(), "{num_acks}");
}

#[tokio::test]
async fn a_kill_while_the_file_is_made_leaves_a_file_that_opens() {
    // How long the way to the first acknowledgement is here, to spread the kills over it.
    let (_folder, path) = place();
    let started = Instant::now();
    run_and_kill(&path, Duration::ZERO, true);
    let way = u64::try_from(started.elapsed().as_micros()).unwrap().max(1000);
    let mut seed = 0xfeed;
    for _ in 0..num_rounds() {
        let (_folder, path) = place();
        let acks = run_and_kill(&path, Duration::from_micros(scatter(&mut seed) % way), false);
        look(&path, &acks).await;
    }
}
