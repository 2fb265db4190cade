//! `wallplate new`: a home from eight answers, and wishes that cannot be met.

#[allow(dead_code, reason = "each test program uses other parts")]
mod common;

use common::{Folder, Run};
use serde_json::Value;

fn new(folder: &Folder, more: &[&str]) -> Run {
    let mut arguments = vec!["new", "--date", "2026-11-25"];
    arguments.extend(more);
    folder.run(&arguments)
}

fn names(rooms: &Value) -> Vec<&str> {
    rooms.as_array().unwrap().iter().map(|r| r["name"].as_str().unwrap()).collect()
}

#[test]
fn defaults_make_a_job_that_is_sound_and_says_what_it_assumed() {
    let folder = Folder::new();
    let run = new(&folder, &["-o", "home.toml"]);
    assert_eq!(run.code, 0, "{run:?}");
    for part in ["Living room", "Bedroom 1", "Assumed", "Only the number of people", "wallplate plan home.toml"] {
        assert!(run.stdout.contains(part), "`{part}` is not in {}", run.stdout);
    }
    for line in run.stdout.lines() {
        assert!(line.chars().count() <= 80, "{line}");
    }
    assert_eq!(folder.names(), ["home.toml"]);
    assert_eq!(folder.run(&["check", "home.toml"]).code, 0);
    // Not written over without being told to.
    new(&folder, &["-o", "home.toml"]).refused(&["--force"]);
    assert_eq!(new(&folder, &["-o", "home.toml", "--force"]).code, 0);
}

#[test]
fn flags_are_the_answers() {
    let folder = Folder::new();
    let run = new(
        &folder,
        &[
            "-o",
            "home.json",
            "--json",
            "--name",
            "Row house",
            "--country",
            "GB",
            "--floor-area",
            "1100 ft²",
            "--storeys",
            "2",
            "--basement",
            "--attic=no",
            "--construction",
            "masonry-solid",
            "--attached",
            "terraced",
            "--bedrooms",
            "2",
            "--bathrooms",
            "1",
            "--offices",
            "1",
            "--open-kitchen",
            "--people",
            "3",
            "--may-drill=no",
            "--line",
            "dsl 60/15",
            "--seed",
            "5",
        ],
    );
    assert_eq!(run.code, 0, "{run:?}");
    let report = run.json();
    assert!((report["floor_area_m2"].as_f64().unwrap() - 102.193).abs() < 0.01, "{report}");
    let rooms = names(&report["rooms"]);
    assert!(rooms.contains(&"Living room and kitchen") && rooms.contains(&"Office"), "{rooms:?}");
    assert_eq!(rooms.iter().filter(|r| r.starts_with("Bedroom")).count(), 2);
    let job: Value = serde_json::from_str(&folder.read("home.json").unwrap()).unwrap();
    assert_eq!(job["name"], "Row house");
    assert_eq!(job["household"]["people"].as_array().unwrap().len(), 3);
    assert_eq!(job["household"]["wishes"]["no_drilling"], true);
    assert_eq!(job["site"]["country"], "GB");
    assert_eq!(job["site"]["lines"][0]["kind"], "dsl");
    let storeys: Vec<&str> =
        job["building"]["storeys"].as_array().unwrap().iter().map(|s| s["id"].as_str().unwrap()).collect();
    assert_eq!(storeys, ["basement", "ground", "first"]);
}

#[test]
fn json_answers_and_flags_give_the_same_home() {
    let folder = Folder::new();
    let answers = r#"{"floor_area_m2": 61, "attached": "flat", "storeys": 1, "attic": false, "people": 2, "seed": 9,
        "construction": "concrete", "country": "DE", "rooms": {"bedrooms": 2, "bathrooms": 1}}"#;
    let run = folder.run_with(&["new", "--answers", "-", "-o", "one.json", "--date", "2026-11-25"], answers);
    assert_eq!(run.code, 0, "{run:?}");
    folder.write("answers.json", answers);
    let run = new(&folder, &["--answers", "answers.json", "-o", "two.json"]);
    assert_eq!(run.code, 0, "{run:?}");
    assert_eq!(folder.read("one.json"), folder.read("two.json"));
    // A flag goes before the file.
    let run = new(&folder, &["--answers", "answers.json", "--seed", "10", "-o", "three.json"]);
    assert_eq!(run.code, 0, "{run:?}");
    assert_ne!(folder.read("one.json"), folder.read("three.json"));
}

#[test]
fn wishes_that_cannot_be_met_are_told_what_fits_and_write_nothing() {
    let folder = Folder::new();
    let flat = ["-o", "x.toml", "--attached", "flat", "--floor-area", "40"];
    let with = |more: &[&'static str]| new(&folder, &[&flat[..], more].concat());
    with(&["--bedrooms", "11", "--bathrooms", "4", "--offices", "3"]).refused(&["40 m² hold at most", "fit from"]);
    with(&["--bedrooms", "20"]).refused(&["rooms/bedrooms", "40 m² hold at most"]);
    with(&["--storeys", "0"]).refused(&["storeys", "hint:"]);
    with(&["--storeys", "300"]).refused(&["storeys", "1 storey"]);
    with(&["--storeys", "-1"]).refused(&["--storeys", "whole number"]);
    with(&["--people", "0"]).refused(&["people", "1 to 20"]);
    with(&["--line", "fibre 0/0"]).refused(&["--line", "Mbit/s"]);
    with(&["--country", "QQ"]).refused(&["--country", "QQ"]);
    with(&["--construction", "straw"]).refused(&["timber-frame"]);
    with(&["--basement=maybe"]).refused(&["yes"]);
    with(&["--name", " "]).refused(&["name"]);
    for area in ["-40", "0", "1e9", "17"] {
        new(&folder, &["-o", "x.toml", "--floor-area", area]).refused(&["floor_area", "18 to 600"]);
    }
    for area in ["NaN", "inf", "wide", ""] {
        new(&folder, &["-o", "x.toml", "--floor-area", area]).refused(&["--floor-area", "95 m²"]);
    }
    let several = new(&folder, &["-o", "x.toml", "--floor-area", "-1", "--storeys", "0", "--people", "99", "--json"]);
    several.refused(&["3 problems"]);
    let problems = several.json();
    let paths: Vec<&str> =
        problems["error"]["problems"].as_array().unwrap().iter().map(|p| p["path"].as_str().unwrap()).collect();
    assert_eq!(paths, ["people", "floor_area_m2", "storeys"]);
    assert!(folder.names().is_empty(), "{:?}", folder.names());
}

#[test]
fn bad_files_of_answers_are_refused() {
    let folder = Folder::new();
    for (text, because) in [
        ("{\"stories\": 2}", "storeys"),
        ("{\"floor_area_m2\": \"big\"}", "line 1"),
        ("{\"storeys\": -1}", "line 1"),
        ("{\"rooms\": {\"bedrooms\": 1.5, \"bathrooms\": 1}}", "line 1"),
        ("{\"floor_area_m2\": 1e999}", "line 1"),
        ("not json", "line 1"),
        ("", "line 1"),
        ("[1, 2", "line 1"),
    ] {
        let run = folder.run_with(&["new", "--answers", "-", "-o", "x.toml"], text);
        run.refused(&["standard input", because]);
    }
    folder.write("binary.json", [0xff_u8, 0xfe, 0x00]);
    new(&folder, &["--answers", "binary.json", "-o", "x.toml"]).refused(&["binary.json", "UTF-8"]);
    new(&folder, &["--answers", "none.json", "-o", "x.toml"]).refused(&["none.json"]);
    folder.write("large.json", vec![b' '; (1 << 20) + 1]);
    new(&folder, &["--answers", "large.json", "-o", "x.toml"]).refused(&["large.json", "limit"]);
    new(&folder, &["-o", "x.xml"]).refused(&[".toml"]);
    new(&folder, &["-o", "no/such/x.toml"]).refused(&["folder"]);
    assert_eq!(folder.names(), ["binary.json", "large.json"]);
}

#[test]
fn homes_of_every_kind_can_be_planned() {
    let folder = Folder::new();
    for (attached, construction, area, more) in [
        ("flat", "concrete", "62", "--may-drill=no"),
        ("terraced", "masonry-solid", "95", "--attic=no"),
        ("semi-detached", "masonry-cavity", "100", "--basement"),
        ("detached", "timber-frame", "150", "--open-kitchen"),
    ] {
        let run = new(
            &folder,
            &[
                "-o",
                "home.toml",
                "--force",
                "--attached",
                attached,
                "--construction",
                construction,
                "--floor-area",
                area,
                more,
            ],
        );
        assert_eq!(run.code, 0, "{attached}: {run:?}");
        let run = folder.run(&["plan", "home.toml", "--json", "--families", "gateway,own-router"]);
        assert!(run.code < 2, "{attached}: {}", run.stderr);
        let plan = run.json();
        let options = plan["options"].as_array().unwrap();
        assert!(!options.is_empty(), "{attached}");
        for option in options {
            let covered = option["figures"].as_array().unwrap().iter().find(|f| f["id"] == "coverage.2.4").unwrap();
            assert!(covered["value"].as_f64().is_some(), "{attached}: {covered}");
        }
    }
}
