//! Several at once: editors with the same base, clones, futures that are dropped, a second process, connections' settings.

mod common;

use std::path::Path;
use std::process::{Command, Stdio};

use common::{note, open, place, rename, says_ok, small};
use store::{Store, StoreError};

#[tokio::test(flavor = "multi_thread", worker_threads = 4)]
async fn of_two_editors_with_the_same_base_exactly_one_wins() {
    let (_folder, path) = place();
    // Two stores on one file, as two processes would have.
    let (one, other) = (open(&path).await, open(&path).await);
    let id = one.create(&small("A"), "", "New").await.unwrap().id;
    for round in 0..25_u64 {
        let base = 1 + round;
        let tries: Vec<_> = [one.clone(), one.clone(), other.clone(), other.clone()]
            .into_iter()
            .enumerate()
            .map(|(who, store)| {
                tokio::spawn(async move {
                    let name = format!("{round} by {who}");
                    (name.clone(), store.edit(id, base, "", &name, &rename(&name)).await)
                })
            })
            .collect();
        let mut won = Vec::new();
        for task in tries {
            match task.await.unwrap() {
                (name, Ok(head)) => {
                    assert_eq!((head.revision, head.undo_label.as_ref()), (base + 1, Some(&name)));
                    won.push(name);
                }
                (_, Err(StoreError::Stale { revision })) => assert_eq!(revision, base + 1),
                (_, Err(error)) => panic!("{error}"),
            }
        }
        assert_eq!(won.len(), 1);
        let (record, job) = other.get(id).await.unwrap();
        assert_eq!((&record.name, &job.name, record.revision), (&won[0], &won[0], base + 1));
    }
    one.check_integrity().await.unwrap();
}

#[tokio::test(flavor = "multi_thread", worker_threads = 4)]
async fn undo_and_edit_on_the_same_base_exclude_each_other() {
    let (_folder, path) = place();
    let store = open(&path).await;
    let id = store.create(&small("A"), "", "New").await.unwrap().id;
    let mut revision = store.edit(id, 1, "", "B", &rename("B")).await.unwrap().revision;
    for _ in 0..10 {
        let (a, b) = (store.clone(), store.clone());
        let undo = tokio::spawn(async move { a.undo(id, revision, "").await });
        let edit = tokio::spawn(async move { b.edit(id, revision, "", "C", &rename("C")).await });
        let done = [undo.await.unwrap(), edit.await.unwrap()];
        assert_eq!(done.iter().filter(|d| d.is_ok()).count(), 1, "{done:?}");
        // So that there is something to undo in the next round too.
        revision = store.edit(id, revision + 1, "", "D", &rename("D")).await.unwrap().revision;
    }
    store.check_integrity().await.unwrap();
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn an_edit_that_nobody_waits_for_is_made_or_not_but_never_half() {
    let (_folder, path) = place();
    let store = open(&path).await;
    let id = store.create(&small("A"), "", "New").await.unwrap().id;
    for round in 0..60_u64 {
        let revision = store.get(id).await.unwrap().0.revision;
        let editor = store.clone();
        let task = tokio::spawn(async move { editor.edit(id, revision, "", "x", &note("x")).await });
        tokio::time::sleep(std::time::Duration::from_micros(round * 70)).await;
        task.abort();
        let _ = task.await;
    }
    // The store goes on working. The last one may still be on its way to the disk: the writer finishes it first.
    store.set_archived(id, false, "").await.unwrap();
    // Every revision has its entry and its note.
    let (record, job) = store.get(id).await.unwrap();
    assert_eq!(job.notes.len() as u64, record.revision - 1);
    store.edit(id, record.revision, "", "y", &note("y")).await.unwrap();
    store.check_integrity().await.unwrap();
}

#[tokio::test]
async fn readers_see_whole_revisions_while_others_write() {
    let (_folder, path) = place();
    let store = open(&path).await;
    let id = store.create(&small("1"), "", "New").await.unwrap().id;
    let writer = store.clone();
    let task = tokio::spawn(async move {
        for revision in 1..60_u64 {
            writer.edit(id, revision, "", "x", &rename(&(revision + 1).to_string())).await.unwrap();
        }
    });
    let mut last = 0;
    while !task.is_finished() {
        let (record, job) = store.get(id).await.unwrap();
        assert_eq!((record.revision.to_string(), &record.name), (job.name.clone(), &job.name));
        assert!(record.revision >= last);
        last = record.revision;
    }
    task.await.unwrap();
    // Two that look for damage do not hold up each other or an edit.
    let edits = rename("x");
    let (a, b, c) = tokio::join!(store.check_integrity(), store.check_integrity(), store.edit(id, 60, "", "x", &edits));
    assert!(a.is_ok() && b.is_ok() && c.is_ok(), "{a:?} {b:?} {c:?}");
}

/// What a process of its own does: adds notes to the one job, going after the others where it is overtaken.
#[tokio::test]
#[ignore = "run by several_processes_may_hold_one_file"]
async fn adds_notes() {
    let Ok(path) = std::env::var("STORE_TEST_PATH") else { return };
    let store = open(Path::new(&path)).await;
    add_notes(&store, 20).await;
}

async fn add_notes(store: &Store, num_notes: usize) {
    let (mut added, mut id) = (0, None);
    while added < num_notes {
        let Some(record) = store.list(false).await.unwrap().pop() else {
            tokio::time::sleep(std::time::Duration::from_millis(5)).await;
            continue;
        };
        assert_eq!(*id.get_or_insert(record.id), record.id);
        match store.edit(record.id, record.revision, "", "Note", &note("x")).await {
            Ok(_) => added += 1,
            Err(StoreError::Stale { .. }) => {}
            Err(error) => panic!("{error}"),
        }
    }
}

#[tokio::test]
async fn several_processes_may_hold_one_file() {
    let (_folder, path) = place();
    // All of them find no file at first: they race to make it.
    let spawn = || {
        Command::new(std::env::current_exe().unwrap())
            .args(["--ignored", "--exact", "adds_notes"])
            .env("STORE_TEST_PATH", &path)
            .stdout(Stdio::null())
            .spawn()
            .unwrap()
    };
    let mut others = [spawn(), spawn(), spawn()];
    let store = open(&path).await;
    store.create(&small("A"), "", "New").await.unwrap();
    add_notes(&store, 20).await;
    for other in &mut others {
        assert!(other.wait().unwrap().success());
    }
    let record = store.list(false).await.unwrap().pop().unwrap();
    let (record, job) = store.get(record.id).await.unwrap();
    assert_eq!((record.revision, job.notes.len()), (81, 80));
    store.check_integrity().await.unwrap();
    store.close().await;
    says_ok(&path);
}

#[tokio::test(flavor = "multi_thread", worker_threads = 4)]
async fn many_may_open_a_new_file_at_once() {
    for _ in 0..10 {
        let (_folder, path) = place();
        let tasks: Vec<_> = (0..6)
            .map(|_| {
                let path = path.clone();
                tokio::spawn(async move { Store::open(&path).await })
            })
            .collect();
        for task in tasks {
            task.await.unwrap().unwrap_or_else(|e| panic!("{e}")).check_integrity().await.unwrap();
        }
    }
}

#[tokio::test]
async fn a_write_waits_for_another_program_and_then_says_so() {
    let (_folder, path) = place();
    let store = open(&path).await;
    let id = store.create(&small("A"), "", "New").await.unwrap().id;
    let other = rusqlite::Connection::open(&path).unwrap();
    other.execute_batch("BEGIN IMMEDIATE").unwrap();
    // Reading goes on.
    assert_eq!(store.get(id).await.unwrap().1, small("A"));
    let writer = store.clone();
    let edit = tokio::spawn(async move { writer.edit(id, 1, "", "B", &rename("B")).await });
    tokio::time::sleep(std::time::Duration::from_millis(300)).await;
    assert!(!edit.is_finished());
    other.execute_batch("ROLLBACK").unwrap();
    assert_eq!(edit.await.unwrap().unwrap().revision, 2);
    other.execute_batch("BEGIN IMMEDIATE").unwrap();
    let edits = rename("C");
    let (edited, opened) = tokio::join!(store.edit(id, 2, "", "C", &edits), Store::open(&path));
    for error in [edited.unwrap_err(), opened.unwrap_err()] {
        assert!(matches!(error, StoreError::Busy { .. }), "{error}");
        assert!(error.to_string().contains("jobs.db") && error.to_string().contains("hint:"), "{error}");
    }
    other.execute_batch("ROLLBACK").unwrap();
    assert_eq!(store.get(id).await.unwrap().0.revision, 2);
    store.edit(id, 2, "", "C", &rename("C")).await.unwrap();
}
