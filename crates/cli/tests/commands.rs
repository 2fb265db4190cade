//! What each command prints, as text and as JSON, and how it ends.

mod common;

use common::{Folder, Run, TWO_ROOMS, house};
use serde_json::Value;

fn keys(value: &Value) -> Vec<&str> {
    value.as_object().unwrap().keys().map(String::as_str).collect()
}

#[track_caller]
fn has_keys(value: &Value, wanted: &[&str]) {
    for key in wanted {
        assert!(value.get(key).is_some(), "`{key}` is missing among {:?}", keys(value));
    }
}

#[track_caller]
fn fits_80_columns(run: &Run) {
    for line in run.stdout.lines() {
        assert!(line.chars().count() <= 80, "{} columns: {line}", line.chars().count());
    }
}

fn home() -> Folder {
    let folder = Folder::new();
    folder.write("home.toml", TWO_ROOMS);
    folder
}

/// Imports dwelling A of the demonstration house.
fn import(folder: &Folder, more: &[&str]) -> Run {
    let (architecture, electrical) = (house("architecture.ifc"), house("electrical.ifc"));
    let mut arguments = vec![
        "import",
        architecture.to_str().unwrap(),
        "--electrical",
        electrical.to_str().unwrap(),
        "--dwelling",
        "A",
        "--date",
        "2026-11-25",
    ];
    arguments.extend(more);
    folder.run(&arguments)
}

#[test]
fn import_writes_a_job_that_checks_and_says_what_it_assumed() {
    let folder = Folder::new();
    let run = import(&folder, &["-o", "house.toml"]);
    assert!(run.code < 2, "{run:?}");
    fits_80_columns(&run);
    for part in ["Understood", "Guessed", "Left out", "household was not asked", "line is assumed", "wallplate plan"] {
        assert!(run.stdout.contains(part), "`{part}` is not in {}", run.stdout);
    }
    assert_eq!(folder.names(), ["house.toml"]);
    let check = folder.run(&["check", "house.toml"]);
    assert!(check.code < 2, "{check:?}");
    let rooms = folder.run(&["show", "house.toml", "rooms", "--json"]).json();
    // The rooms of dwelling A and their areas in the model's own property sets.
    let rooms = rooms["rooms"].as_array().unwrap();
    assert_eq!(rooms.len(), 10, "{rooms:?}");
    let stated: f64 = rooms.iter().map(|r| r["stated_area"].as_f64().unwrap()).sum();
    assert!((stated - 138.2).abs() < 0.05, "{stated} m²");
    // The outlines lie within the walls' faces, so that they hold less than the stated areas.
    assert!(rooms.iter().all(|r| r["area"].as_f64().unwrap() > 0.7 * r["stated_area"].as_f64().unwrap()), "{rooms:?}");
    let job = folder.read("house.toml").unwrap();
    assert!(job.contains("The household was not asked"), "the job says that the household is assumed");
}

#[test]
fn import_in_json_follows_the_contract_and_both_encodings_hold_the_same() {
    let folder = Folder::new();
    let run = import(&folder, &["-o", "house.json", "--json"]);
    assert!(run.code < 2, "{run:?}");
    let report = run.json();
    has_keys(&report, &["understood", "guessed", "left_out"]);
    for guess in report["guessed"].as_array().unwrap() {
        assert!(!guess["why"].as_str().unwrap().is_empty(), "each guess has its rule: {guess}");
    }
    import(&folder, &["-o", "house.toml"]);
    let rooms = |job: &str| folder.run(&["show", job, "rooms", "--json"]).stdout;
    assert_eq!(rooms("house.json"), rooms("house.toml"));
    // With --force the job is written over, and nothing else is left beside it.
    assert!(import(&folder, &["-o", "house.json", "--force"]).code < 2);
    assert_eq!(folder.names(), ["house.json", "house.toml"]);
}

#[test]
fn check_lists_all_problems_at_once() {
    let folder = Folder::new();
    let bad =
        TWO_ROOMS.replacen("height = 2.5", "height = -2.5", 1).replacen("country = \"DE\"", "country = \"QQ\"", 1);
    folder.write("home.toml", bad);
    let run = folder.run(&["check", "home.toml"]);
    run.refused(&["home.toml", "the first is"]);
    fits_80_columns(&run);
    assert!(run.stdout.contains("QQ") && run.stdout.contains("ground"), "{}", run.stdout);
    let json = folder.run(&["check", "home.toml", "--json"]);
    assert_eq!(json.code, 2);
    let json = json.json();
    assert_eq!(json["computable"], false);
    let findings = json["findings"].as_array().unwrap();
    assert!(findings.len() >= 2, "{findings:?}");
    findings.iter().for_each(|f| {
        has_keys(f, &["rule", "severity", "subjects", "measured", "limit", "source", "remedies"]);
    });
}

#[test]
fn check_reads_standard_input() {
    let folder = Folder::new();
    let run = folder.run_with(&["check", "-"], TWO_ROOMS);
    assert!(run.code < 2, "{run:?}");
}

#[test]
fn every_section_can_be_shown_as_text_and_json() {
    let folder = home();
    for section in [
        "overview",
        "storeys",
        "rooms",
        "walls",
        "openings",
        "slabs",
        "outlets",
        "objects",
        "assemblies",
        "materials",
        "household",
        "site",
        "equipment",
        "designs",
        "notes",
    ] {
        let text = folder.run(&["show", "home.toml", section]);
        assert_eq!(text.code, 0, "{section}: {text:?}");
        assert!(!text.stdout.trim().is_empty(), "{section}");
        fits_80_columns(&text);
        let json = folder.run(&["show", "home.toml", section, "--json"]);
        assert!(json.json().is_object(), "{section}");
    }
    let walls = folder.run(&["show", "home.toml", "walls"]).stdout;
    assert!(walls.contains("w-between") && walls.contains("3.50 m"), "{walls}");
}

#[test]
fn lengths_follow_the_units_of_the_site() {
    let folder = Folder::new();
    folder.write("home.toml", TWO_ROOMS.replacen("\"metric\"", "\"feet-inches\"", 1));
    let walls = folder.run(&["show", "home.toml", "walls"]).stdout;
    // 3.5 m are 11 feet 5.8 inches.
    assert!(walls.contains("11'6\""), "{walls}");
}

#[test]
fn schema_is_a_json_schema() {
    let schema = Folder::new().run(&["schema"]).json();
    has_keys(&schema, &["$schema", "properties"]);
    has_keys(&schema["properties"], &["format", "site", "household", "building", "designs"]);
}

#[test]
fn rules_have_a_severity_and_a_source() {
    let folder = Folder::new();
    let run = folder.run(&["rules", "--json"]);
    assert_eq!(run.code, 0);
    let json = run.json();
    let rules = json["rules"].as_array().unwrap();
    assert!(rules.len() > 20, "{} rules", rules.len());
    let mut ids: Vec<&str> = Vec::new();
    for rule in rules {
        has_keys(rule, &["id", "severity", "summary", "limit", "source"]);
        assert!(!rule["source"]["cite"].as_str().unwrap().is_empty(), "{rule}");
        ids.push(rule["id"].as_str().unwrap());
    }
    let num = ids.len();
    ids.sort_unstable();
    ids.dedup();
    assert_eq!(ids.len(), num, "each rule is listed once");
    fits_80_columns(&folder.run(&["rules", "--subject", "building"]));
}

#[test]
fn completions_exist_for_shells() {
    let folder = Folder::new();
    for shell in ["bash", "zsh", "fish", "powershell", "elvish"] {
        let run = folder.run(&["completions", shell]);
        assert!(run.code == 0 && run.stdout.contains("import"), "{shell}: {run:?}");
    }
}

#[test]
fn help_of_every_command_has_an_example() {
    let folder = Folder::new();
    for command in ["import", "new", "check", "plan", "assess", "show", "schema", "rules", "completions"] {
        let run = folder.run(&[command, "--help"]);
        assert_eq!(run.code, 0);
        assert!(run.stdout.contains("Example"), "{command}: {}", run.stdout);
        assert!(run.stdout.contains(&format!("wallplate {command}")), "{command}");
    }
}

#[test]
fn plan_and_assess_follow_the_contract() {
    let folder = home();
    let run = folder.run(&["plan", "home.toml", "--json"]);
    assert!(run.code < 2, "{run:?}");
    let plan = run.json();
    has_keys(&plan, &["options", "excluded", "assumptions"]);
    let options = plan["options"].as_array().unwrap();
    assert!(!options.is_empty());
    for option in options {
        has_keys(option, &["id", "family", "design", "figures", "findings", "gap", "beats", "beaten_by"]);
        for id in ["coverage.2.4", "coverage.5", "headroom", "outage.minutes", "price"] {
            assert!(option["figures"].as_array().unwrap().iter().any(|f| f["id"] == id), "{id} of {}", option["id"]);
        }
    }
    for excluded in plan["excluded"].as_array().unwrap() {
        has_keys(excluded, &["family", "reason"]);
        assert!(!excluded["reason"].as_str().unwrap().is_empty());
    }
    // Assessing an option of the plan gives the plan's own figures.
    let id = options[0]["id"].as_str().unwrap();
    let run = folder.run(&["assess", "home.toml", "--option", id, "--json"]);
    assert!(run.code < 2, "{run:?}");
    let assessed = run.json();
    has_keys(&assessed, &["figures", "findings"]);
    assert_eq!(assessed["figures"], options[0]["figures"]);
    for figure in assessed["figures"].as_array().unwrap() {
        has_keys(figure, &["id", "subject", "value", "unit", "low", "high", "confidence", "sources"]);
    }
    for finding in assessed["findings"].as_array().unwrap() {
        has_keys(finding, &["rule", "severity", "subjects", "measured", "limit", "source", "remedies"]);
    }
}

#[test]
fn plan_reads_well_and_the_provider_box_can_be_assessed() {
    let folder = home();
    let run = folder.run(&["plan", "home.toml", "--families", "gateway,own-router"]);
    assert!(run.code < 2, "{run:?}");
    fits_80_columns(&run);
    for part in ["family", "price", "Parts", "Sources"] {
        assert!(run.stdout.contains(part), "`{part}` is not in {}", run.stdout);
    }
    let run = folder.run(&["assess", "home.toml"]);
    assert!(run.code < 2, "{run:?}");
    fits_80_columns(&run);
    assert!(run.stdout.contains("coverage"), "{}", run.stdout);
}
