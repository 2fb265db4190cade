//! A part that is looked at elsewhere before anything is stored, and the paths of a point.

mod common;

use common::Page;
use serde_json::{Value, json};

/// The studio with its plan: where its addresses begin, and its best option.
async fn studio(page: &Page) -> (String, Value) {
    let opened = page.post("/api/demos/studio", json!({})).await.good(201);
    let at = format!("/api/jobs/{}", opened["id"].as_str().unwrap());
    let plan = page.get(&format!("{at}/plan")).await.good(200);
    (at, plan["plan"]["options"][0].clone())
}

/// The part of a design that has radios.
fn radio_of(design: &Value) -> Value {
    let id = &design["radios"][0]["part"];
    design["parts"].as_array().unwrap().iter().find(|part| part["id"] == *id).unwrap().clone()
}

/// A place in a room, well away from where the part is.
fn elsewhere(house: &Value, part: &Value) -> (f64, f64) {
    let rooms = house["storeys"][0]["rooms"].as_array().unwrap();
    let from = (part["at"][0].as_f64().unwrap(), part["at"][1].as_f64().unwrap());
    let places = rooms.iter().map(|r| (r["inside"][0].as_f64().unwrap(), r["inside"][1].as_f64().unwrap()));
    places.max_by(|a, b| (a.0 - from.0).hypot(a.1 - from.1).total_cmp(&(b.0 - from.0).hypot(b.1 - from.1))).unwrap()
}

#[tokio::test]
async fn a_part_thought_elsewhere_gives_the_map_that_it_has_once_it_is_there() {
    let page = Page::new().await;
    let (at, option) = studio(&page).await;
    let (design, part) = (option["id"].as_str().unwrap(), radio_of(&option["design"]));
    let house = page.get(&format!("{at}/house")).await.good(200);
    let storey = house["storeys"][0]["id"].as_str().unwrap();
    let (x, y) = elsewhere(&house, &part);
    let id = part["id"].as_str().unwrap();
    let there = format!("&move={id}&to_x={x}&to_y={y}");
    let asked = |of: &str, more: &str| format!("{at}/map?design={of}&storey={storey}&band=5{more}");
    let probed = |of: &str, more: &str| format!("{at}/probe?design={of}&storey={storey}&x=2&y=2&band=5{more}");

    let now = page.get(&asked(design, "")).await.good(200);
    let moved = page.get(&asked(design, &there)).await.good(200);
    assert_ne!(now["values"], moved["values"]);
    assert_eq!(now["room"], moved["room"]);
    let coarse = page.get(&asked(design, &format!("{there}&coarse=true"))).await.good(200);
    assert_eq!(coarse["cell"], 0.5);
    let (fine, few) = (moved["values"].as_array().unwrap().len(), coarse["values"].as_array().unwrap().len());
    assert!(few * 3 < fine && few * 5 > fine, "{few} of {fine} cells");
    // Moved to where it is, it is where it was.
    let back = format!("&move={id}&to_x={}&to_y={}", part["at"][0], part["at"][1]);
    assert_eq!(page.get(&asked(design, &back)).await.good(200), now);
    let probe_moved = page.get(&probed(design, &there)).await.good(200);
    assert_ne!(page.get(&probed(design, "")).await.good(200)["value"], probe_moved["value"]);
    // Nothing was stored by looking.
    assert_eq!(page.get(&at).await.good(200)["job"]["revision"], 1);

    // The same move as an edit of a kept copy: what was shown before is what is there afterwards.
    let mut copy = option["design"].clone();
    copy["id"] = json!("copy-1");
    let to = json!([x, y, part["at"][2]]);
    let room = house["storeys"][0]["rooms"].as_array().unwrap().iter().find(|r| r["inside"] == json!([x, y])).unwrap();
    let edits = json!({ "base_revision": 1, "label": "Move", "edits": [
        { "kind": "insert", "path": "designs", "value": copy },
        { "kind": "set", "path": format!("designs/copy-1/parts/{id}/at"), "value": to },
        { "kind": "set", "path": format!("designs/copy-1/parts/{id}/room"), "value": room["id"] },
    ] });
    page.post(&format!("{at}/edits"), edits).await.good(200);
    let kept = page.get(&asked("copy-1", "")).await.good(200);
    assert_eq!((&kept["revision"], &kept["values"]), (&json!(2), &moved["values"]));
    assert_eq!(page.get(&probed("copy-1", "")).await.good(200)["paths"], probe_moved["paths"]);
    page.post(&format!("{at}/undo"), json!({ "base_revision": 2 })).await.good(200);
    page.get(&asked("copy-1", "")).await.refused(404, &["copy-1"]);
    assert_eq!(page.get(&asked(design, "")).await.good(200)["values"], now["values"]);
}

#[tokio::test]
async fn moves_that_cannot_be_are_refused_with_what_to_do() {
    let page = Page::new().await;
    let (at, option) = studio(&page).await;
    let design = option["id"].as_str().unwrap();
    let id = radio_of(&option["design"])["id"].as_str().unwrap().to_owned();
    let house = page.get(&format!("{at}/house")).await.good(200);
    let storey = house["storeys"][0]["id"].as_str().unwrap();
    // The middle of a piece of wall is in no room.
    let solid = house["storeys"][0]["walls"][0]["solids"][0].as_array().unwrap();
    let middle = |axis: usize| solid.iter().map(|p| p[axis].as_f64().unwrap()).sum::<f64>() / solid.len() as f64;
    for route in ["map?", "probe?x=2&y=2&"] {
        let get = async |query: String| page.get(&format!("{at}/{route}design={design}&storey={storey}&{query}")).await;
        get("move=ap-99&to_x=2&to_y=2".into()).await.refused(404, &["no part `ap-99`", &id]);
        get(format!("move={id}")).await.refused(400, &["to_x", "go together"]);
        get(format!("move={id}&to_x=2")).await.refused(400, &["to_y", "go together"]);
        get("to_x=2&to_y=2".into()).await.refused(400, &["move", "go together"]);
        for bad in ["NaN", "inf", "-inf", "1e999"] {
            get(format!("move={id}&to_x=2&to_y={bad}")).await.refused(400, &["to_y", "finite"]);
        }
        get(format!("move={id}&to_x=left&to_y=2")).await.refused(400, &["to_x"]);
        for (x, y) in [(-500.0, 2.0), (1e300, -1e300), (middle(0), middle(1))] {
            get(format!("move={id}&to_x={x}&to_y={y}")).await.refused(422, &["none of the rooms", "a place in a room"]);
        }
        get(format!("move={id}&to_x=2&to_y=2&to_z=1")).await.refused(400, &["to_z"]);
    }
    page.get(&format!("{at}/map?design={design}&storey={storey}&coarse=perhaps")).await.refused(400, &["coarse"]);
}

#[tokio::test]
async fn an_edit_of_designs_alone_keeps_the_plan_and_any_other_makes_it_anew() {
    let page = Page::new().await;
    let (at, option) = studio(&page).await;
    let plan = page.get(&format!("{at}/plan")).await.good(200);
    let edit = |base: u64, path: &str, kind: &str, value: Value| json!({ "base_revision": base, "label": "x", "edits": [{ "kind": kind, "path": path, "value": value }] });
    let started = std::time::Instant::now();
    let anew = page.get(&format!("{at}/assessment?design={}", option["id"].as_str().unwrap())).await.good(200);
    assert_eq!(anew["option"], option);
    let known = started.elapsed();
    page.post(&format!("{at}/edits"), edit(1, "designs", "insert", option["design"].clone())).await.good(200);
    let same = page.get(&format!("{at}/plan")).await.good(200);
    assert_eq!((&same["revision"], &same["plan"]), (&json!(2), &plan["plan"]), "{known:?}");
    // What the plan depends on is not taken over: a note becomes an assumption of it.
    page.post(&format!("{at}/edits"), edit(2, "notes", "set", json!(["The attic was not seen."]))).await.good(200);
    let other = page.get(&format!("{at}/plan")).await.good(200);
    assert_eq!(other["revision"], 3);
    let assumptions = other["plan"]["assumptions"].as_array().unwrap();
    assert!(assumptions.contains(&json!("The attic was not seen.")), "{assumptions:?}");
}

#[tokio::test]
async fn a_point_tells_its_paths_and_their_powers_add_up_to_the_level() {
    let page = Page::new().await;
    let (at, option) = studio(&page).await;
    let design = option["id"].as_str().unwrap();
    let house = page.get(&format!("{at}/house")).await.good(200);
    let storey = &house["storeys"][0];
    let part = radio_of(&option["design"]);
    let mut kinds = std::collections::BTreeSet::new();
    for room in storey["rooms"].as_array().unwrap() {
        let (x, y) = (room["inside"][0].as_f64().unwrap() + 0.37, room["inside"][1].as_f64().unwrap() + 0.21);
        let address = format!("{at}/probe?design={design}&storey={}&x={x}&y={y}", storey["id"].as_str().unwrap());
        let probe = page.get(&address).await.good(200);
        let level = probe["value"]["level_dbm"].as_f64().unwrap();
        let paths = probe["paths"].as_array().unwrap();
        assert!(!paths.is_empty() && paths.len() <= 12);
        let power = |dbm: &Value| 10f64.powf(dbm.as_f64().unwrap() / 10.0);
        let sum: f64 = paths.iter().map(|p| power(&p["level_dbm"])).sum();
        let rest = if probe["others"].is_null() { 0.0 } else { power(&probe["others"]["level_dbm"]) };
        assert!((10.0 * (sum + rest).log10() - level).abs() < 1e-6, "{probe}");
        let legs: f64 = probe["legs"].as_array().unwrap().iter().map(|leg| leg["value"].as_f64().unwrap()).sum();
        assert!((legs - level).abs() < 1e-6, "{probe}");
        let levels: Vec<f64> = paths.iter().map(|p| p["level_dbm"].as_f64().unwrap()).collect();
        assert!(levels.is_sorted_by(|a, b| a >= b), "{levels:?}");
        for path in paths {
            let points = path["points"].as_array().unwrap();
            let turns = path["turns"].as_array().unwrap();
            assert_eq!(points.len(), turns.len() + 2);
            let number = |p: &Value, axis: usize| p[axis].as_f64().unwrap();
            let length: f64 = points
                .windows(2)
                .map(|w| (0..3).map(|a| (number(&w[1], a) - number(&w[0], a)).powi(2)).sum::<f64>().sqrt())
                .sum();
            assert!((length - path["length_m"].as_f64().unwrap()).abs() < 1e-6, "{path}");
            // Light takes 3.3356 ns a metre.
            assert!((path["delay_ns"].as_f64().unwrap() - length / 0.299_792_458).abs() < 1e-6, "{path}");
            assert!((0..3).all(|axis| (number(&points[0], axis) - number(&part["at"], axis)).abs() < 1e-9));
            for (turn, point) in turns.iter().zip(&points[1..]) {
                assert_eq!(&turn["at"], point);
                kinds.insert(turn["kind"].as_str().unwrap().to_owned());
            }
        }
    }
    assert!(kinds.contains("reflection"), "{kinds:?}");
    assert!(kinds.iter().all(|kind| kind == "reflection" || kind == "diffraction"), "{kinds:?}");
}
