//! Random sequences of edits, undo, redo and restarts, held against two stacks in memory.

mod common;

use common::{note, open, place, rename, small};
use findings::Edit;
use job::Job;
use proptest::prelude::*;
use serde_json::json;
use store::{EntryKind, Head, StoreError};

/// What the store should be, in the plainest form.
struct Model {
    job: Job,
    revision: u64,
    /// Labels of edits with the document before (to undo) or after them (to redo), and their seq.
    undo: Vec<(String, Job, u64)>,
    redo: Vec<(String, Job, u64)>,
    history: Vec<(String, EntryKind)>,
}

impl Model {
    fn head(&self) -> Head {
        let label = |stack: &[(String, Job, u64)]| stack.last().map(|(label, ..)| label.clone());
        Head { revision: self.revision, undo_label: label(&self.undo), redo_label: label(&self.redo) }
    }

    fn edit(&mut self, label: &str, after: Job) {
        self.revision += 1;
        self.undo.push((label.to_owned(), std::mem::replace(&mut self.job, after), self.revision));
        self.redo.clear();
        self.history.push((label.to_owned(), EntryKind::Edit));
    }

    /// Moves the top of one stack to the other; false if there is none.
    fn turn(&mut self, kind: EntryKind) -> bool {
        let (from, to) =
            if kind == EntryKind::Undo { (&mut self.undo, &mut self.redo) } else { (&mut self.redo, &mut self.undo) };
        let Some((label, job, seq)) = from.pop() else { return false };
        to.push((label.clone(), std::mem::replace(&mut self.job, job), seq));
        self.revision += 1;
        self.history.push((label, kind));
        true
    }

    fn is_undone(&self, seq: u64, kind: EntryKind) -> bool {
        seq > 1 && kind == EntryKind::Edit && !self.undo.iter().any(|(.., done)| *done == seq)
    }
}

#[derive(Clone, Debug)]
enum Action {
    Edit(Vec<u8>),
    Undo,
    Redo,
    /// With a base that is off by this much.
    Stale(u64),
    Restart,
}

fn action() -> impl Strategy<Value = Action> {
    prop_oneof![
        5 => prop::collection::vec(any::<u8>(), 1..4).prop_map(Action::Edit),
        4 => Just(Action::Undo),
        3 => Just(Action::Redo),
        1 => (1..3u64).prop_map(Action::Stale),
        1 => Just(Action::Restart),
    ]
}

/// One of a few changes; some do nothing, some cannot be made on some documents.
fn edits_of(seeds: &[u8]) -> Vec<Edit> {
    let one = |seed: u8| match seed % 8 {
        0 | 1 => rename(&format!("name {seed}")),
        2 => note(&format!("note {seed}")),
        3 => vec![Edit { position: Some(0), ..Edit::insert("notes", json!(format!("first {seed}"))) }],
        4 => vec![Edit::remove("notes/0")],
        5 => vec![Edit::insert(
            "building/storeys",
            json!({"id": format!("s{}", seed % 3), "name": "Storey", "elevation": f64::from(seed) / 3.0, "height": 2.4}),
        )],
        6 => vec![Edit::remove(format!("building/storeys/s{}", seed % 3))],
        _ => vec![Edit::set("nowhere/at/all", json!(seed))],
    };
    seeds.iter().flat_map(|seed| one(*seed)).collect()
}

async fn follow(actions: Vec<Action>) {
    let (_folder, path) = place();
    let mut store = open(&path).await;
    let first = small("first");
    let id = store.create(&first, "", "New").await.unwrap().id;
    let mut model = Model {
        job: first,
        revision: 1,
        undo: vec![],
        redo: vec![],
        history: vec![("New".to_owned(), EntryKind::Edit)],
    };
    for (count, action) in actions.into_iter().enumerate() {
        match action {
            Action::Edit(seeds) => {
                let (edits, label) = (edits_of(&seeds), format!("edit {count}"));
                let after = edits.iter().try_fold(model.job.clone(), |job, e| job::apply(&job, e).map(|(job, _)| job));
                match (store.edit(id, model.revision, "", &label, &edits).await, after) {
                    (Ok(head), Ok(after)) => {
                        model.edit(&label, after);
                        assert_eq!(head, model.head());
                    }
                    (Err(StoreError::Refused(said)), Err(expected)) => assert_eq!(said, expected),
                    (said, expected) => panic!("{said:?}, {expected:?}"),
                }
            }
            Action::Undo => match store.undo(id, model.revision, "").await {
                Ok(head) => {
                    assert!(model.turn(EntryKind::Undo));
                    assert_eq!(head, model.head());
                }
                Err(error) => assert!(matches!(error, StoreError::NothingToUndo) && model.undo.is_empty(), "{error}"),
            },
            Action::Redo => match store.redo(id, model.revision, "").await {
                Ok(head) => {
                    assert!(model.turn(EntryKind::Redo));
                    assert_eq!(head, model.head());
                }
                Err(error) => assert!(matches!(error, StoreError::NothingToRedo) && model.redo.is_empty(), "{error}"),
            },
            Action::Stale(by) => {
                for base in [model.revision + by, model.revision - by.min(model.revision)] {
                    let said = store.edit(id, base, "", "x", &rename("x")).await;
                    assert!(
                        matches!(said, Err(StoreError::Stale { revision }) if revision == model.revision),
                        "{said:?}"
                    );
                }
            }
            Action::Restart => {
                store.close().await;
                store = open(&path).await;
            }
        }
        let (record, job) = store.get(id).await.unwrap();
        // As text, so that -0 differs from 0.
        let text = |job: &Job| job::print(job, job::Encoding::Json).unwrap();
        assert_eq!(text(&job), text(&model.job));
        assert_eq!(record.head(), model.head());
        assert_eq!(record.name, model.job.name);
    }
    let history = store.history(id).await.unwrap();
    assert_eq!(history.len(), model.history.len());
    for (entry, (label, kind)) in history.iter().zip(&model.history) {
        assert_eq!((&entry.label, entry.kind), (label, *kind), "{}", entry.seq);
        assert_eq!(entry.undone, model.is_undone(entry.seq, *kind), "{}", entry.seq);
    }
    store.check_integrity().await.unwrap();
    store.close().await;
    common::says_ok(&path);
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_sequence_is_what_two_stacks_say(actions in prop::collection::vec(action(), 1..40)) {
        tokio::runtime::Builder::new_current_thread().enable_all().build().unwrap().block_on(follow(actions));
    }
}
