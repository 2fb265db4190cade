//! What a job says of staying up changes what is computed of it.

use std::sync::Arc;

use assessment::{Evaluator, Home, Stays};
use findings::{Id, NoProgress};
use job::{Encoding, Job};
use network::{
    CellState, Design, Family, Feed, FeedSource, Link, Medium, Mounting, PlacedPart, Shed, SupplyCells, Upkeep,
};
use resilience::AlternativeKind;
use units::{Point3, Seconds};

fn id(text: &str) -> Id {
    text.parse().unwrap()
}

fn placed(name: &str, part: &str, x: f64) -> PlacedPart {
    PlacedPart {
        id: id(name),
        part: id(part),
        room: id("kitchen"),
        at: Point3::new(x, 2.0, 1.0),
        mounting: Mounting::Shelf,
        aim: None,
        kept: false,
    }
}

/// The top-floor flat with a router and a switch on a battery.
fn flat() -> Job {
    let path = format!("{}/../../demo/top-floor-rental/job.toml", env!("CARGO_MANIFEST_DIR"));
    let mut job = job::parse(&std::fs::read_to_string(path).unwrap(), Encoding::Toml).unwrap();
    let battery = || FeedSource::Battery { part: id("battery") };
    let feeds = [("router", battery()), ("switch", battery()), ("battery", FeedSource::Mains { outlet: None })];
    job.designs = vec![Design {
        id: id("kept"),
        name: "Router and switch on a battery".into(),
        family: Family::AccessSwitch,
        parts: vec![
            placed("router", "router-ax", 1.0),
            placed("switch", "switch-8-poe", 1.3),
            placed("battery", "battery-ac-900va", 1.6),
        ],
        links: vec![Link { id: id("cord"), from: id("router"), to: id("switch"), medium: Medium::Cord }],
        radios: Vec::new(),
        segments: Vec::new(),
        feeds: feeds.map(|(part, source)| Feed { part: id(part), source }).to_vec(),
        line_queue: Default::default(),
        upkeep: Upkeep::default(),
    }];
    job
}

fn stays(job: &Job) -> Stays {
    let wrong: Vec<_> = job::validate(job).into_iter().filter(|f| f.severity == findings::Severity::Fails).collect();
    assert!(wrong.is_empty(), "{wrong:#?}");
    let evaluator = Evaluator::new(Arc::new(Home::new(job).unwrap())).unwrap();
    evaluator.staying(&job.designs[0], &NoProgress).unwrap()
}

fn runtime(stays: &Stays) -> f64 {
    stays.staying.batteries[0].runtime.unwrap().0
}

#[test]
fn cold_cells_and_shedding_change_the_runtime() {
    let mut job = flat();
    let new = runtime(&stays(&job));
    let state = CellState { temperature_c: 5.0, age_years: 3.0, power_factor: None };
    job.designs[0].upkeep.cells = vec![SupplyCells { supply: id("battery"), state }];
    let worn = runtime(&stays(&job));
    assert!(worn < 0.8 * new, "{worn} of {new} s");
    job.designs[0].upkeep.cells.clear();
    job.designs[0].upkeep.shedding =
        vec![Shed { supply: id("battery"), after: Seconds(600.0), parts: vec![id("switch")] }];
    let spared = stays(&job);
    assert!(runtime(&spared) > new, "{} of {new} s", runtime(&spared));
    assert_eq!(spared.staying.batteries[0].stages.len(), 2);
}

#[test]
fn a_telephone_stands_in_for_the_line() {
    let mut job = flat();
    let before = stays(&job);
    let line = site::Line { id: id("telephone"), kind: site::LineKind::Mobile, ..job.site.lines[0].clone() };
    job.site.failovers = vec![site::Failover { line, devices: Vec::new() }];
    let after = stays(&job);
    let mut known = 0;
    for (was, now) in before.staying.services.iter().zip(&after.staying.services) {
        assert_eq!(was.id, now.id);
        let by_telephone = now.alternatives.iter().any(|a| a.kind == AlternativeKind::Failover);
        if let (true, Some(was), Some(now)) = (by_telephone, was.minutes, now.minutes) {
            assert!(now.value < was.value, "{} of {}", now.value, was.value);
            known += 1;
        }
    }
    assert!(known > 0);
}
