//! A radio that is shut in is named, and the place that is offered instead serves more of the home.

use std::sync::Arc;

use assessment::{Evaluator, Home, RADIO_ENCLOSED};
use findings::{Finding, Id, NoProgress, Severity};
use job::{Encoding, Job};
use network::{Design, Family, Feed, FeedSource, Mounting, PlacedPart, RadioSetting};
use radio_profile::Band;
use units::{Dbm, Hertz, Point3};

fn id(text: &str) -> Id {
    text.parse().unwrap()
}

/// The top-floor flat with a router at a place of its kitchen; the refrigerator there is of metal.
fn flat(at: Point3, mounting: Mounting) -> Job {
    let path = format!("{}/../../demo/top-floor-rental/job.toml", env!("CARGO_MANIFEST_DIR"));
    let mut job = job::parse(&std::fs::read_to_string(path).unwrap(), Encoding::Toml).unwrap();
    let router = id("router");
    let design = Design {
        id: id("kept"),
        name: "Router in the kitchen".into(),
        family: Family::OwnRouter,
        parts: vec![PlacedPart {
            id: router.clone(),
            part: id("router-ax"),
            room: id("kitchen"),
            at,
            mounting,
            aim: None,
            kept: false,
        }],
        links: Vec::new(),
        radios: vec![RadioSetting {
            part: router.clone(),
            band: Band::Ghz5,
            centre: Hertz(5.21e9),
            width: Hertz(80e6),
            eirp: Dbm(23.0),
        }],
        segments: Vec::new(),
        feeds: vec![Feed { part: router, source: FeedSource::Mains { outlet: None } }],
        line_queue: Default::default(),
        upkeep: network::Upkeep::default(),
    };
    job.designs = vec![design];
    job
}

fn judged(job: &Job) -> (Vec<Finding>, f64) {
    let evaluator = Evaluator::new(Arc::new(Home::new(job).unwrap())).unwrap();
    let assessment = evaluator.assess(&job.designs[0], &NoProgress).unwrap();
    let coverage = assessment.figures.iter().find(|f| f.id == "coverage").and_then(|f| f.value).unwrap();
    (assessment.findings.into_iter().filter(|f| f.rule == RADIO_ENCLOSED.id).collect(), coverage)
}

#[test]
fn a_router_in_the_refrigerator_is_taken_out() {
    let mut job = flat(Point3::new(2.95, 8.05, 1.0), Mounting::Shelf);
    let (findings, shut_in) = judged(&job);
    assert_eq!(findings.len(), 1);
    assert_eq!(findings[0].severity, Severity::Fails);
    assert!(findings[0].message.contains("refrigerator"), "{}", findings[0].message);
    for edit in &findings[0].remedies[0].edits {
        job = job::apply(&job, edit).unwrap().0;
    }
    let (findings, free) = judged(&job);
    assert!(findings.is_empty(), "{findings:?}");
    assert!(free > shut_in + 20.0, "{free} against {shut_in} %");
}

#[test]
fn beside_metal_is_a_risk_with_its_distance() {
    let (findings, _) = judged(&flat(Point3::new(2.95, 7.65, 1.0), Mounting::Shelf));
    assert_eq!(findings[0].severity, Severity::Risk);
    assert!((findings[0].measured.as_ref().unwrap().value - 0.1).abs() < 1e-6);
    let (findings, _) = judged(&flat(Point3::new(2.95, 7.2, 1.0), Mounting::Shelf));
    assert!(findings.is_empty(), "{findings:?}");
}

#[test]
fn a_panel_holds_no_radio() {
    let (findings, _) = judged(&flat(Point3::new(2.0, 7.0, 1.5), Mounting::Panel));
    assert_eq!(findings[0].severity, Severity::Fails);
    assert!(!findings[0].remedies[0].edits.is_empty());
}
