//! Edits: what they do, that they are taken back bit by bit, and what is said of bad ones.

mod common;

use common::full;
use findings::{Edit, EditKind};
use job::{Job, apply};
use proptest::prelude::*;
use serde_json::{Value, json};

/// Every number as its bits, so that -0 differs from 0.
fn bits(job: &Job) -> String {
    serde_json::to_string(job).unwrap()
}

fn refused(edit: &Edit, word: &str) {
    let before = full();
    let error = apply(&before, edit).unwrap_err();
    assert!(error.to_string().contains(word), "{error}");
    assert_eq!(before, full());
}

fn there_and_back(edit: &Edit) -> Job {
    let before = full();
    let (after, back) = apply(&before, edit).unwrap_or_else(|e| panic!("{e}"));
    assert_ne!(after, before, "{edit:?}");
    let (again, forth) = apply(&after, &back).unwrap_or_else(|e| panic!("{back:?}: {e}"));
    assert_eq!(bits(&again), bits(&before));
    assert_eq!(bits(&apply(&again, &forth).unwrap().0), bits(&after));
    after
}

#[test]
fn fields_elements_and_lists_change_and_change_back() {
    let after = there_and_back(&Edit::set("building/walls/w3/assembly", json!("stud-partition-wood-89")));
    assert_eq!(after.building.walls[2].assembly.as_str(), "stud-partition-wood-89");
    assert!(there_and_back(&Edit { value: None, ..Edit::set("household", json!(0)) }).household.is_none());
    there_and_back(&Edit::set("building/storeys/ground/height", json!("7'10\"")));
    there_and_back(&Edit::set("building/walls/w1/id", json!("south")));
    there_and_back(&Edit::set("building/walls/w1/height", json!(2.0)));
    there_and_back(&Edit::set(
        "designs/d1/feeds/1",
        json!({"part": "router", "source": {"from": "battery", "part": "ont"}}),
    ));
    there_and_back(&Edit::insert("designs/d1/feeds", json!({"part": "x", "source": {"from": "mains"}})));
    there_and_back(&Edit::remove("designs/d1/feeds/0"));
    there_and_back(&Edit::insert("household/wishes/rooms_without_equipment", json!("sit")));
    there_and_back(&Edit::remove("household/people/adult-1/rooms/sit"));
    there_and_back(&Edit::set("building/slabs/floor/outline/2", json!([4.5, 3.5])));
    there_and_back(&Edit::remove("building/openings/door"));
    let wall = serde_json::to_value(&full().building.walls[0]).unwrap();
    let mut fifth = wall.clone();
    fifth["id"] = "w5".into();
    let after = there_and_back(&Edit { position: Some(1), ..Edit::insert("building/walls", fifth.clone()) });
    assert_eq!(after.building.walls[1].id.as_str(), "w5");
    // An element may be replaced by one with another id.
    there_and_back(&Edit::set("building/walls/w1", fifth));
}

#[test]
fn unsetting_what_is_absent_is_taken_back_too() {
    let before = full();
    let edit = Edit { value: None, ..Edit::set("building/walls/w1/height", json!(0)) };
    let (after, back) = apply(&before, &edit).unwrap();
    assert_eq!((&after, &apply(&after, &back).unwrap().0), (&before, &before));
    // A value that is written as absence.
    let edit = Edit::set("equipment/parts/own-router/source/from_memory", json!(false));
    let (after, back) = apply(&before, &edit).unwrap();
    assert_eq!(bits(&apply(&after, &back).unwrap().0), bits(&before));
}

#[test]
fn bad_edits_are_refused_with_a_reason() {
    refused(&Edit::set("building/walls/w9/assembly", json!("x")), "no element with id `w9`");
    refused(&Edit::set("building/wals/w1/assembly", json!("x")), "did you mean `walls`?");
    refused(&Edit::set("building/walls/w1/asembly", json!("x")), "unknown field `asembly`");
    refused(&Edit { value: None, ..Edit::set("building/walls/w1/hight", json!(0)) }, "does not exist");
    refused(&Edit::set("building/walls/w1/assembly", json!(3)), "building.walls[0].assembly");
    refused(&Edit::set("building/walls/w1/assembly", json!("two words")), "is not an id");
    refused(&Edit::set("building/walls/w1/id", json!("w2")), "already has an element with id `w2`");
    refused(&Edit::insert("building/walls", serde_json::to_value(&full().building.walls[0]).unwrap()), "already has");
    refused(&Edit::insert("building/walls", json!({"id": "w7"})), "missing field");
    refused(&Edit::insert("building", json!(1)), "the path of a list");
    refused(
        &Edit { position: Some(9), ..Edit::insert("household/people", json!({"id": "p9", "role": "x"})) },
        "past the end",
    );
    refused(&Edit { value: None, ..Edit::insert("building/walls", json!(0)) }, "needs a value");
    refused(&Edit::remove("building"), "out of a list");
    refused(&Edit::remove("building/walls/w9"), "no element");
    refused(&Edit::remove("designs/d1/feeds/7"), "3 elements");
    refused(&Edit::set("format", json!("wallplate/2")), "format is always");
    refused(&Edit::set("name/x", json!(1)), "plain value");
    for path in ["", "/", "building//walls", "/name", "name/"] {
        refused(&Edit::set(path, json!(1)), "single `/`");
    }
    let mut broken = full();
    broken.site.neighbours[0].load = Some(f64::NAN);
    assert!(
        apply(&broken, &Edit::set("name", json!("x"))).unwrap_err().to_string().contains("site.neighbours[0].load")
    );
}

/// Every path of a document, and what is there.
fn paths(value: &Value, path: &str, found: &mut Vec<(String, Value)>) {
    let join = |step: &str| if path.is_empty() { step.to_owned() } else { format!("{path}/{step}") };
    if !path.is_empty() {
        found.push((path.to_owned(), value.clone()));
    }
    match value {
        Value::Object(map) => map.iter().for_each(|(key, item)| paths(item, &join(key), found)),
        Value::Array(list) => {
            for (i, item) in list.iter().enumerate() {
                let step = item.get("id").and_then(Value::as_str).map_or_else(|| i.to_string(), str::to_owned);
                paths(item, &join(&step), found);
            }
        }
        _ => {}
    }
}

/// An edit made of numbers: mostly a sensible one, sometimes nonsense.
fn edit_of(job: &Job, (kind, place, other, number): (u8, usize, usize, f64)) -> Edit {
    let mut found = Vec::new();
    paths(&serde_json::to_value(job).unwrap(), "", &mut found);
    let (path, here) = found[place % found.len()].clone();
    let borrowed = found[other % found.len()].1.clone();
    let value = match (&here, kind % 5) {
        (_, 0) => borrowed,
        (Value::Number(_), _) => json!(number),
        (Value::String(_), _) => json!(format!("t{other}")),
        (Value::Bool(truth), _) => json!(!truth),
        (Value::Array(list), _) => list.first().map_or(json!("x"), |first| {
            let mut first = first.clone();
            if first.get("id").is_some() {
                first["id"] = json!(format!("new{other}"));
            }
            first
        }),
        _ => here.clone(),
    };
    let edit_kind = match kind % 7 {
        0 => EditKind::Remove,
        1 | 2 => EditKind::Insert,
        _ => EditKind::Set,
    };
    let value = (edit_kind != EditKind::Remove && kind % 11 != 3).then_some(value);
    let position = (edit_kind == EditKind::Insert && kind % 2 == 0).then_some(other % 4);
    Edit { kind: edit_kind, path, value, position }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 128, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_sequence_of_edits_is_taken_back_bit_by_bit(
        seeds in prop::collection::vec((any::<u8>(), any::<usize>(), any::<usize>(), -1e9..1e9f64), 1..24)
    ) {
        let before = full();
        let mut job = before.clone();
        let mut history = Vec::new();
        for seed in seeds {
            let edit = edit_of(&job, seed);
            let kept = job.clone();
            match apply(&job, &edit) {
                Ok((after, back)) => {
                    history.push((bits(&job), back));
                    job = after;
                }
                Err(error) => {
                    prop_assert!(!error.problem.is_empty());
                    prop_assert_eq!(&job, &kept);
                }
            }
        }
        while let Some((was, back)) = history.pop() {
            let undone = apply(&job, &back);
            prop_assert!(undone.is_ok(), "{:?} {:?}", back, undone.err());
            job = undone.unwrap().0;
            prop_assert_eq!(bits(&job), was);
        }
        prop_assert_eq!(job, before);
    }

    #[test]
    fn any_job_survives_both_encodings(
        seeds in prop::collection::vec((any::<u8>(), any::<usize>(), any::<usize>(), any::<f64>()), 0..24),
        name in ".*",
        x in any::<f64>(),
    ) {
        use job::{Encoding, parse, print};
        let mut job = full();
        job.name = name;
        if x.is_finite() {
            job.building.walls[0].from.x = x;
            job.site.lines[0].down = units::BitsPerSecond(x);
        }
        for seed in seeds.into_iter().filter(|seed| seed.3.is_finite()) {
            let edit = edit_of(&job, seed);
            if let Ok((after, _)) = apply(&job, &edit) {
                job = after;
            }
        }
        let toml = print(&job, Encoding::Toml).unwrap();
        let json = print(&job, Encoding::Json).unwrap();
        let of_toml = parse(&toml, Encoding::Toml).unwrap();
        let of_json = parse(&json, Encoding::Json).unwrap();
        prop_assert_eq!(bits(&of_toml), bits(&job));
        prop_assert_eq!(bits(&of_json), bits(&job));
        // From TOML to JSON and back to TOML, byte for byte.
        let round = print(&parse(&print(&of_toml, Encoding::Json).unwrap(), Encoding::Json).unwrap(), Encoding::Toml);
        prop_assert_eq!(round.unwrap(), toml);
    }
}
