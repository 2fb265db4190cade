//! What the store does for one person at a time: create, list, get, edit, undo, redo, duplicate, archive, history.

mod common;

use common::{house, note, open, place, rename, says_ok, small};
use findings::Edit;
use serde_json::json;
use store::{Entry, EntryKind, JobId, MAX_EDITS, MAX_TEXT, StoreError};

fn told(entry: &Entry) -> (u64, &str, EntryKind, bool) {
    assert_eq!(entry.seq, entry.revision);
    (entry.seq, entry.label.as_str(), entry.kind, entry.undone)
}

#[tokio::test]
async fn a_job_goes_in_and_comes_out_after_a_restart() {
    let (_folder, path) = place();
    let store = open(&path).await;
    let made = store.create(&house(), " adult 1 ", "From a file").await.unwrap();
    assert_eq!((made.revision, made.archived, made.can_undo(), made.can_redo()), (1, false, false, false));
    assert_eq!(made.name, house().name);
    assert_eq!(made.id.to_string().parse::<JobId>().unwrap(), made.id);
    assert_eq!(store.get(made.id).await.unwrap(), (made.clone(), house()));
    store.close().await;

    let store = open(&path).await;
    assert_eq!(store.get(made.id).await.unwrap(), (made.clone(), house()));
    assert_eq!(store.list(false).await.unwrap(), std::slice::from_ref(&made));
    let history = store.history(made.id).await.unwrap();
    assert_eq!(history.iter().map(told).collect::<Vec<_>>(), [(1, "From a file", EntryKind::Edit, false)]);
    assert_eq!((history[0].who.as_str(), history[0].at), ("adult 1", made.created_at));
    store.check_integrity().await.unwrap();
    store.close().await;
    says_ok(&path);
}

#[tokio::test]
async fn the_newest_change_comes_first_and_archived_jobs_are_apart() {
    let (_folder, path) = place();
    let store = open(&path).await;
    let mut ids = Vec::new();
    for name in ["A", "B", "C"] {
        ids.push(store.create(&small(name), "", "New").await.unwrap().id);
    }
    let names =
        async |archived| store.list(archived).await.unwrap().into_iter().map(|r| r.name).collect::<Vec<_>>().join(" ");
    assert_eq!((names(false).await, names(true).await), ("C B A".into(), String::new()));
    store.edit(ids[1], 1, "", "Rename", &rename("Bee")).await.unwrap();
    assert_eq!(names(false).await, "Bee C A");
    let put_away = store.set_archived(ids[2], true, "adult 2").await.unwrap();
    assert_eq!((put_away.archived, put_away.revision), (true, 1));
    assert_eq!((names(false).await, names(true).await), ("Bee A".into(), "C".into()));
    // Archived twice is archived; the document can still be read and changed.
    assert_eq!(store.set_archived(ids[2], true, "").await.unwrap(), put_away);
    store.edit(ids[2], 1, "", "Rename", &rename("Sea")).await.unwrap();
    assert!(!store.set_archived(ids[2], false, "").await.unwrap().archived);
    assert_eq!(names(false).await, "Sea Bee A");
    store.check_integrity().await.unwrap();
}

#[tokio::test]
async fn undo_and_redo_survive_a_restart() {
    let (_folder, path) = place();
    let store = open(&path).await;
    let id = store.create(&small("A"), "", "New").await.unwrap().id;
    let head = store.edit(id, 1, "adult 1", "Call it B", &rename("B")).await.unwrap();
    assert_eq!((head.revision, head.undo_label.as_deref(), head.redo_label), (2, Some("Call it B"), None));
    let several = [rename("C"), note("one"), note("two"), vec![Edit::remove("notes/0")]].concat();
    store.edit(id, 2, "adult 1", "Call it C, with notes", &several).await.unwrap();
    let head = store.undo(id, 3, "adult 2").await.unwrap();
    assert_eq!(head.redo_label.as_deref(), Some("Call it C, with notes"));
    assert_eq!(store.get(id).await.unwrap().1, small("B"));
    store.close().await;

    let store = open(&path).await;
    let (record, _) = store.get(id).await.unwrap();
    assert_eq!(record.head(), head);
    let head = store.undo(id, 4, "").await.unwrap();
    assert_eq!((head.revision, head.undo_label, head.redo_label.as_deref()), (5, None, Some("Call it B")));
    assert_eq!(store.get(id).await.unwrap().1, small("A"));
    assert!(matches!(store.undo(id, 5, "").await, Err(StoreError::NothingToUndo)));
    store.close().await;

    let store = open(&path).await;
    store.redo(id, 5, "").await.unwrap();
    let head = store.redo(id, 6, "").await.unwrap();
    assert_eq!((head.undo_label.as_deref(), head.redo_label), (Some("Call it C, with notes"), None));
    let (record, job) = store.get(id).await.unwrap();
    assert_eq!((record.name.as_str(), job.notes), ("C", vec!["two".to_owned()]));
    assert!(matches!(store.redo(id, 7, "").await, Err(StoreError::NothingToRedo)));
    store.check_integrity().await.unwrap();
}

#[tokio::test]
async fn an_edit_after_an_undo_forgets_what_was_undone_but_history_keeps_it() {
    let (_folder, path) = place();
    let store = open(&path).await;
    let id = store.create(&small("A"), "", "New").await.unwrap().id;
    store.edit(id, 1, "", "B", &rename("B")).await.unwrap();
    store.edit(id, 2, "", "C", &rename("C")).await.unwrap();
    store.undo(id, 3, "").await.unwrap();
    let head = store.edit(id, 4, "", "D", &rename("D")).await.unwrap();
    assert_eq!((head.undo_label.as_deref(), head.redo_label), (Some("D"), None));
    assert!(matches!(store.redo(id, 5, "").await, Err(StoreError::NothingToRedo)));
    store.undo(id, 5, "").await.unwrap();
    let head = store.undo(id, 6, "").await.unwrap();
    assert_eq!((head.undo_label, head.redo_label.as_deref()), (None, Some("B")));
    store.redo(id, 7, "").await.unwrap();
    let history = store.history(id).await.unwrap();
    use EntryKind::{Edit, Redo, Undo};
    assert_eq!(
        history.iter().map(told).collect::<Vec<_>>(),
        [
            (1, "New", Edit, false),
            (2, "B", Edit, false),
            (3, "C", Edit, true),
            (4, "C", Undo, false),
            (5, "D", Edit, true),
            (6, "D", Undo, false),
            (7, "B", Undo, false),
            (8, "B", Redo, false),
        ]
    );
    assert!(history.is_sorted_by_key(|entry| entry.at));
    store.check_integrity().await.unwrap();
}

#[tokio::test]
async fn what_is_refused_leaves_everything_as_it_was() {
    let (_folder, path) = place();
    let store = open(&path).await;
    let id = store.create(&small("A"), "", "New").await.unwrap().id;
    store.edit(id, 1, "", "B", &rename("B")).await.unwrap();
    let before = (store.get(id).await.unwrap(), store.history(id).await.unwrap());

    let half = [rename("C"), vec![Edit::set("nmae", json!("D"))]].concat();
    match store.edit(id, 2, "", "Half", &half).await {
        Err(StoreError::Refused(error)) => {
            assert_eq!(error.path, "nmae");
            assert!(error.problem.contains("unknown field `nmae`"), "{error}");
        }
        other => panic!("{other:?}"),
    }
    assert!(matches!(store.edit(id, 1, "", "Old base", &rename("C")).await, Err(StoreError::Stale { revision: 2 })));
    assert!(matches!(store.edit(id, u64::MAX, "", "x", &rename("C")).await, Err(StoreError::Stale { revision: 2 })));
    assert!(matches!(store.undo(id, 1, "").await, Err(StoreError::Stale { revision: 2 })));
    assert!(matches!(store.redo(id, 3, "").await, Err(StoreError::Stale { revision: 2 })));
    assert!(matches!(store.redo(id, 2, "").await, Err(StoreError::NothingToRedo)));
    let invalid = async |who: &str, label: &str, edits: &[Edit], field| match store.edit(id, 2, who, label, edits).await
    {
        Err(StoreError::Invalid { field: named, .. }) => assert_eq!(named, field),
        other => panic!("{other:?}"),
    };
    invalid("a\nb", "x", &rename("C"), "who").await;
    invalid(&"w".repeat(MAX_TEXT + 1), "x", &rename("C"), "who").await;
    invalid("", "", &rename("C"), "label").await;
    invalid("", "\u{1b}[2J", &rename("C"), "label").await;
    invalid("", "x", &[], "edits").await;
    invalid("", "x", &vec![Edit::set("name", json!("C")); MAX_EDITS + 1], "edits").await;
    let large = "x".repeat(job::MAX_BYTES);
    invalid("", "x", &rename(&large), "document").await;
    assert!(matches!(store.undo(id, 2, "a\0").await, Err(StoreError::Invalid { field: "who", .. })));

    assert_eq!((store.get(id).await.unwrap(), store.history(id).await.unwrap()), before);
    let mut infinite = small("A");
    infinite.building.north.0 = f64::INFINITY;
    assert!(matches!(store.create(&infinite, "", "x").await, Err(StoreError::Invalid { field: "document", .. })));
    let mut newer = small("A");
    newer.format = "wallplate/9".into();
    let error = store.create(&newer, "", "x").await.unwrap_err();
    assert!(error.to_string().contains("`wallplate/9`"), "{error}");
    assert_eq!(store.list(false).await.unwrap().len(), 1);
    store.check_integrity().await.unwrap();
}

#[tokio::test]
async fn a_design_that_makes_no_sense_is_kept_all_the_same() {
    let (_folder, path) = place();
    let store = open(&path).await;
    let record = store.create(&small("A"), "", "New").await.unwrap();
    assert!(!job::validate(&store.get(record.id).await.unwrap().1).is_empty(), "a home without storeys is at fault");
    let wall = json!({"id": "w1", "storey": "nowhere", "from": [0, 0], "to": [0, 0], "assembly": "unknown"});
    let head = store.edit(record.id, 1, "", "Wall", &[Edit::insert("building/walls", wall)]).await.unwrap();
    assert_eq!(head.revision, 2);
    store.check_integrity().await.unwrap();
}

#[tokio::test]
async fn what_is_not_there_is_missing() {
    let (_folder, path) = place();
    let store = open(&path).await;
    let id: JobId = "01990000-0000-7000-8000-000000000000".parse().unwrap();
    let missing =
        |error: StoreError| assert!(matches!(error, StoreError::Missing { id: named } if named == id), "{error}");
    missing(store.get(id).await.unwrap_err());
    missing(store.edit(id, 1, "", "x", &rename("B")).await.unwrap_err());
    missing(store.undo(id, 1, "").await.unwrap_err());
    missing(store.redo(id, 1, "").await.unwrap_err());
    missing(store.history(id).await.unwrap_err());
    missing(store.duplicate(id, "B", "").await.unwrap_err());
    missing(store.set_archived(id, true, "").await.unwrap_err());
    assert!("../../etc".parse::<JobId>().is_err() && "".parse::<JobId>().is_err());
}

#[tokio::test]
async fn a_copy_has_a_name_and_a_history_of_its_own() {
    let (_folder, path) = place();
    let store = open(&path).await;
    let first = store.create(&small("A\u{202e}\n\0"), "", "New").await.unwrap();
    store.edit(first.id, 1, "", "Note", &note("one")).await.unwrap();
    let copy = store.duplicate(first.id, "Second", "adult 1").await.unwrap();
    assert_eq!((copy.name.as_str(), copy.revision, copy.can_undo()), ("Second", 1, false));
    assert_ne!(copy.id, first.id);
    assert!(copy.id > first.id, "ids sort by the time they were made");
    let (_, job) = store.get(copy.id).await.unwrap();
    assert_eq!((job.name.as_str(), job.notes.len()), ("Second", 1));
    assert_eq!(store.history(copy.id).await.unwrap()[0].label, "Copy of A");
    // A change of the one leaves the other alone.
    store.edit(copy.id, 1, "", "Note", &note("two")).await.unwrap();
    assert_eq!(store.get(first.id).await.unwrap().1.notes, ["one"]);
    assert!(matches!(store.duplicate(first.id, " ", "").await, Err(StoreError::Invalid { field: "name", .. })));
    store.check_integrity().await.unwrap();
}

#[tokio::test]
async fn names_and_notes_may_be_any_text() {
    let (_folder, path) = place();
    let store = open(&path).await;
    let name = "<script>alert(1)</script>'; DROP TABLE jobs; -- \u{0} \u{1F3E0} %s";
    let id = store.create(&small(name), "'; --", "\"x\"').--").await.unwrap().id;
    store.edit(id, 1, "", "x", &note(name)).await.unwrap();
    let (record, job) = store.get(id).await.unwrap();
    assert_eq!((record.name.as_str(), job.name.as_str(), job.notes[0].as_str()), (name, name, name));
    store.check_integrity().await.unwrap();
}
