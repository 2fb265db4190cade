//! The document as text: what is read, what is refused and in which words, and the schema.

mod common;

use common::{FULL, full};
use job::{Encoding, parse, print, schema, validate};
use serde_json::Value;

/// The error that a changed document gives.
fn error_toml(change: impl Fn(String) -> String) -> String {
    parse(&change(FULL.to_owned()), Encoding::Toml).unwrap_err().to_string()
}

fn line_of(needle: &str) -> usize {
    FULL.lines().position(|line| line.contains(needle)).unwrap() + 1
}

#[test]
fn the_full_document_is_sound_and_survives_both_encodings() {
    let job = full();
    assert_eq!(validate(&job), vec![]);
    for encoding in [Encoding::Toml, Encoding::Json] {
        let text = print(&job, encoding).unwrap();
        assert_eq!(Encoding::guess(&text), encoding);
        assert_eq!(parse(&text, encoding).unwrap(), job);
    }
}

#[test]
fn an_unknown_key_names_line_path_id_and_the_nearest_known_key() {
    let line = line_of("id = \"w4\"") + 4;
    assert_eq!(
        error_toml(|t| t.replacen(
            "from = [0.0, 3.0]\nto = [0.0, 0.0]\nassembly",
            "from = [0.0, 3.0]\nto = [0.0, 0.0]\nasembly",
            1
        )),
        format!("line {line}, column 1: building.walls[3] (w4): unknown key `asembly`; did you mean `assembly`?")
    );
    let at_root = error_toml(|t| t.replace("notes = ", "qqq = "));
    assert!(at_root.starts_with("line 4, column 1: qqq: unknown key `qqq`; known are `format`, `name`"), "{at_root}");
}

#[test]
fn json_errors_are_as_precise() {
    let text = print(&full(), Encoding::Json).unwrap();
    let broken = text.replacen("\"busy_share\"", "\"busy_shar\"", 1);
    let line = broken.lines().position(|l| l.contains("busy_shar\"")).unwrap() + 1;
    let column = broken.lines().nth(line - 1).unwrap().find('"').unwrap() + 1;
    assert_eq!(
        parse(&broken, Encoding::Json).unwrap_err().to_string(),
        format!(
            "line {line}, column {column}: household.activities[0] (work): unknown key `busy_shar`; did you mean `busy_share`?"
        )
    );
    let broken = text.replacen("\"feet-inches\"", "\"feet-inch\"", 1);
    let error = parse(&broken, Encoding::Json).unwrap_err().to_string();
    assert!(error.contains("site.units: `feet-inch` is not known; did you mean `feet-inches`?"), "{error}");
    for cut in [0, 1, 50, text.len() / 2, text.len() - 2] {
        let error = parse(&text[..cut], Encoding::Json).unwrap_err();
        assert!(error.line.is_some() && error.problem.starts_with("this is not JSON"), "{error}");
    }
    let error = parse(&(text + "}"), Encoding::Json).unwrap_err();
    assert!(error.problem.contains("trailing characters"), "{error}");
}

#[test]
fn an_error_in_every_section_names_its_place() {
    let check = |from: &str, to: &str, path: &str, word: &str| {
        assert!(FULL.contains(from), "{from}");
        let error = parse(&FULL.replacen(from, to, 1), Encoding::Toml).unwrap_err();
        let line = line_of(from.lines().last().unwrap());
        assert_eq!((error.line, error.path.as_str()), (Some(line), path), "{error}");
        assert!(error.problem.contains(word), "{error}");
    };
    check("currency = \"USD\"", "currency = \"dollar\"", "site.currency", "ISO 4217");
    check("date = \"2026-11-25\"", "date = 2026-11-25", "site.date", "in quotes: \"2026-11-25\"");
    check("kind = \"fibre\"", "kind = \"fiber\"", "site.lines[0].kind", "did you mean `fibre`?");
    check("down = \"500 Mbit/s\"", "down = \"500 furlongs\"", "site.lines[0].down", "furlongs");
    check("load = 0.1", "load = \"much\"", "site.neighbours[0].load", "expected f64");
    check("role = \"adult 1\"", "role = 1", "household.people[0].role", "expected a string");
    check(
        "attachment = \"either\"",
        "attachment = \"glue\"",
        "household.devices[0].attachment",
        "known are `wireless`",
    );
    check("count = 3", "count = -3", "household.devices[1].count", "u32");
    check("budget = \"1250.00 USD\"", "budget = 1250", "household.wishes.budget", "string");
    check("draw = \"12 W\"", "draw = \"12 VA\"", "equipment.parts[0].draw", "unknown unit `VA`");
    check("height = 2.4", "height = \"tall\"", "building.storeys[0].height", "length");
    check("inside = [2.0, 1.5]", "inside = [2.0]", "building.rooms[0].inside", "2");
    check("wall = \"w1\"", "wall = \"w 1\"", "building.openings[0].wall", "is not an id");
    check("mounting = \"shelf\"", "mounting = \"shelve\"", "designs[0].parts[1].mounting", "did you mean `shelf`?");
    check("family = \"own-router\"", "family = \"mesh\"", "designs[0].family", "`radio-backhaul`");
}

#[test]
fn a_missing_key_is_named() {
    let error = error_toml(|t| t.replacen("elevation = 0.0\n", "", 1));
    assert!(error.contains("building.storeys[0] (ground): the key `elevation` is missing"), "{error}");
}

#[test]
fn formats_that_cannot_be_read_are_named() {
    let missing = error_toml(|t| t.replace("format = \"wallplate/1\"\n", ""));
    assert_eq!(missing, "line 1, column 1: the key `format` is missing; write `format = \"wallplate/1\"`");
    let newer = error_toml(|t| t.replace("wallplate/1", "wallplate/2") + "\n[future]\nx = 1\n");
    assert!(
        newer.starts_with("line 2, column 10: format: this job is written in `wallplate/2`, which is newer"),
        "{newer}"
    );
    assert!(error_toml(|t| t.replace("wallplate/1", "wallplate/0")).contains("`wallplate/0` is older"));
    assert!(error_toml(|t| t.replace("\"wallplate/1\"", "1")).contains("the format is a text"));
    let text = print(&full(), Encoding::Json).unwrap().replace("wallplate/1", "wallplate/7");
    assert!(parse(&text, Encoding::Json).unwrap_err().to_string().contains("`wallplate/7`"));
}

#[test]
fn broken_toml_names_line_and_column() {
    let error = error_toml(|t| t.replacen("name = \"Test home\"", "name = \"Test home", 1));
    assert!(error.starts_with("line 3, column "), "{error}");
    let error = error_toml(|t| t.replacen("name = \"Test home\"", "name = \"a\"\nname = \"b\"", 1));
    assert!(error.starts_with("line 4, column 1: this is not TOML: duplicate key"), "{error}");
    for cut in (0..FULL.len()).filter(|i| FULL.is_char_boundary(*i)).step_by(7) {
        // A cut document is refused or reads as a shorter one; it never panics.
        let _ = parse(&FULL[..cut], Encoding::Toml);
    }
}

#[test]
fn deep_nesting_and_huge_texts_are_refused() {
    let deep = format!("format = 'wallplate/1'\nx = {}{}", "[".repeat(100_000), "]".repeat(100_000));
    assert!(parse(&deep, Encoding::Toml).is_err());
    let deep = format!("{{\"format\": \"wallplate/1\", \"x\": {}{}}}", "[".repeat(100_000), "]".repeat(100_000));
    assert!(parse(&deep, Encoding::Json).is_err());
    let tables = format!("format = 'wallplate/1'\n[{}x]\n", "a.".repeat(100_000));
    assert!(parse(&tables, Encoding::Toml).is_err());
    let huge = " ".repeat(job::MAX_BYTES + 1);
    for encoding in [Encoding::Toml, Encoding::Json] {
        assert!(parse(&huge, encoding).unwrap_err().problem.contains("the most that is read"));
    }
}

#[test]
fn other_things_than_a_job_are_refused() {
    for text in ["", "[]", "null", "3", "\"x\"", "{}", "\u{feff}{}", "{\"format\": 3}", "[1"] {
        for encoding in [Encoding::Toml, Encoding::Json] {
            assert!(!parse(text, encoding).unwrap_err().problem.is_empty(), "{text}");
        }
    }
}

#[test]
fn numbers_that_are_not_finite_are_read_found_and_not_written() {
    for number in ["nan", "inf", "-inf"] {
        let job = parse(&FULL.replace("load = 0.1", &format!("load = {number}")), Encoding::Toml).unwrap();
        let findings = validate(&job);
        assert!(findings.iter().any(|f| f.rule == "job.not-finite" && f.message.contains("site.neighbours[0].load")));
        let job =
            parse(&FULL.replace("from = [0.0, 0.0]", &format!("from = [0.0, {number}]")), Encoding::Toml).unwrap();
        let findings = validate(&job);
        let found = findings.iter().find(|f| f.rule == "job.not-finite").unwrap();
        assert_eq!((found.subjects[0].as_str(), found.message.contains("building.walls[0].from[1]")), ("w1", true));
        assert!(print(&job, Encoding::Json).unwrap_err().to_string().starts_with("building.walls[0].from[1] (w1)"));
    }
}

#[test]
fn the_schema_accepts_what_is_read_and_refuses_what_is_not() {
    let schema = schema();
    assert_eq!(schema["$schema"], "https://json-schema.org/draft/2020-12/schema");
    assert_eq!(schema["$id"], "urn:wallplate:job:1");
    let validator = jsonschema::draft202012::new(&schema).unwrap();
    let good: Value = serde_json::from_str(&print(&full(), Encoding::Json).unwrap()).unwrap();
    assert!(validator.is_valid(&good));
    let by_hand: Value = serde_json::to_value(FULL.parse::<toml::Table>().unwrap()).unwrap();
    assert!(validator.is_valid(&by_hand), "quantities as texts with units are part of the form");
    let refused = |pointer: &str, change: &dyn Fn(&mut Value)| {
        let mut bad = good.clone();
        change(bad.pointer_mut(pointer).unwrap_or_else(|| panic!("{pointer}")));
        assert!(!validator.is_valid(&bad), "{pointer}");
        assert!(parse(&bad.to_string(), Encoding::Json).is_err(), "{pointer}");
    };
    let add_key = |value: &mut Value| value["surprise"] = 1.into();
    // Unknown keys are errors in every table.
    for table in [
        "",
        "/site",
        "/site/lines/0",
        "/site/mains",
        "/household",
        "/household/devices/0",
        "/household/wishes",
        "/equipment",
        "/equipment/parts/0",
        "/equipment/parts/0/failure/source",
        "/building",
        "/building/walls/0",
        "/building/assemblies/0/layers/1/framing",
        "/building/materials/0/electrical",
        "/designs/0",
        "/designs/0/parts/0",
        "/designs/0/links/1/medium",
        "/designs/0/feeds/0/source",
    ] {
        refused(table, &add_key);
    }
    refused("/format", &|v| *v = "wallplate/2".into());
    refused("/building/walls/0/id", &|v| *v = "two words".into());
    refused("/household/activities/0/busy_share", &|v| *v = "often".into());
    refused("/designs/0/family", &|v| *v = "mesh".into());
    refused("/building", &|v| drop(v.as_object_mut().unwrap().remove("storeys")));
}
