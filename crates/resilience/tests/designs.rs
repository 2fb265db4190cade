//! Designs through the engine's one door.

use equipment::{Catalog, Part};
use findings::Id;
use household::{Attachment, Device, DeviceKind, Household};
use network::{Design, Family, Feed, FeedSource, Link, Medium, Mounting, PlacedPart};
use resilience::{Input, Outcome, evaluate};
use site::Site;
use units::Point3;

fn id(text: &str) -> Id {
    text.parse().expect("a well-formed id")
}

fn placed(name: &str, part: &str) -> PlacedPart {
    PlacedPart {
        id: id(name),
        part: id(part),
        room: id("hall"),
        at: Point3::new(0.0, 0.0, 1.0),
        mounting: Mounting::Shelf,
        aim: None,
        kept: false,
    }
}

fn design(parts: &[(&str, &str)], links: &[(&str, &str)], feeds: Vec<(&str, FeedSource)>) -> Design {
    Design {
        id: id("d"),
        name: "test".into(),
        family: Family::ProtectedPath,
        parts: parts.iter().map(|(name, part)| placed(name, part)).collect(),
        links: links
            .iter()
            .enumerate()
            .map(|(i, (from, to))| Link { id: id(&format!("l{i}")), from: id(from), to: id(to), medium: Medium::Cord })
            .collect(),
        radios: vec![],
        segments: vec![],
        feeds: feeds.into_iter().map(|(part, source)| Feed { part: id(part), source }).collect(),
        line_queue: network::LineQueue::Plain,
    }
}

fn laptop() -> Household {
    let device: Device = Device {
        id: id("laptop"),
        kind: DeviceKind::Laptop,
        count: 1,
        owner: None,
        room: id("hall"),
        at: None,
        height: None,
        attachment: Attachment::Either,
        radio: None,
        must_stay_up: true,
        has_battery: true,
        recording: None,
    };
    Household { devices: vec![device], ..Household::default() }
}

fn site() -> Site {
    Site::default_for("US", "2026-11-25".parse().expect("a date"))
}

fn run(design: &Design, household: &Household, site: &Site) -> Outcome {
    let catalog = Catalog::builtin();
    let parts = |id: &Id| -> Option<&Part> { catalog.get(id) };
    evaluate(&Input { design, household, site, parts: &parts, serving: &[] })
}

fn minutes(outcome: &Outcome, subject: &str) -> f64 {
    let figure = outcome.figures.iter().find(|f| f.id == "outage.minutes" && f.subject.as_str() == subject);
    figure.and_then(|f| f.value).expect("a known figure")
}

const BATTERY: &str = "battery";

fn from_battery() -> FeedSource {
    FeedSource::Battery { part: id(BATTERY) }
}

#[test]
fn a_computer_on_the_router_shares_one_part_fewer_than_behind_a_switch() {
    // Common practice, no source.
    let direct =
        design(&[("ont", "ont-1g"), ("router", "router-ax")], &[("ont", "router"), ("router", "laptop")], vec![]);
    let behind = design(
        &[("ont", "ont-1g"), ("router", "router-ax"), ("switch", "switch-8")],
        &[("ont", "router"), ("router", "switch"), ("switch", "laptop")],
        vec![],
    );
    let (direct, behind) = (run(&direct, &laptop(), &site()), run(&behind, &laptop(), &site()));
    assert_eq!(direct.services[0].single_points.len() + 1, behind.services[0].single_points.len());
    assert!(minutes(&direct, "laptop") < minutes(&behind, "laptop"));
}

#[test]
fn a_battery_on_the_router_alone_keeps_no_internet() {
    // Common practice, no source: the router on a battery and the line termination on the mains keep no service.
    let parts = [("ont", "ont-1g"), ("router", "router-ax"), (BATTERY, "battery-ac-900va")];
    let links = [("ont", "router"), ("router", "laptop")];
    let none = design(&parts[..2], &links, vec![]);
    let half = design(&parts, &links, vec![("router", from_battery())]);
    let whole = design(&parts, &links, vec![("router", from_battery()), ("ont", from_battery())]);
    let [none, half, whole] = [none, half, whole].map(|d| run(&d, &laptop(), &site()));
    assert!((minutes(&half, "laptop") - minutes(&none, "laptop")).abs() < 1e-6);
    assert!(minutes(&whole, "laptop") < minutes(&none, "laptop"));
    let rules = |o: &Outcome| o.findings.iter().map(|f| f.rule.clone()).collect::<Vec<_>>();
    assert!(rules(&half).contains(&"resilience.battery-gap".to_owned()));
    assert!(!rules(&whole).contains(&"resilience.battery-gap".to_owned()));
    // Mains outages: 336 min a year in the mean; with none ridden through they are all in the figure.
    assert!(minutes(&none, "laptop") > 336.0);
}

#[test]
fn what_is_missing_is_named() {
    let design =
        design(&[("ont", "ont-1g"), ("router", "router-ax")], &[("ont", "router"), ("router", "laptop")], vec![]);
    // Spain: a country of whose mains only a range is at hand.
    let site = Site::default_for("ES", "2026-11-25".parse().expect("a date"));
    let outcome = run(&design, &laptop(), &site);
    let figure = outcome.figures.iter().find(|f| f.id == "outage.minutes").expect("the figure is there");
    assert_eq!(figure.value, None);
    assert!(figure.missing.iter().any(|m| m.contains("site.mains")), "{:?}", figure.missing);
}

#[test]
fn loops_and_unknown_parts_give_unknown_figures() {
    let links = design(&[("a", "switch-5"), ("router", "router-ax")], &[("a", "router"), ("router", "a")], vec![]);
    let feeds = design(
        &[("router", "router-ax"), ("a", "switch-8-poe")],
        &[("a", "router")],
        vec![("a", FeedSource::Poe { part: id("router") }), ("router", FeedSource::Poe { part: id("a") })],
    );
    let unknown = design(&[("router", "router-ax"), ("x", "no-such-part")], &[("x", "router")], vec![]);
    for design in [links, feeds, unknown] {
        let outcome = run(&design, &laptop(), &site());
        let internet = |f: &&findings::Figure| f.id == "outage.minutes" && f.subject.as_str() == "internet";
        let figure = outcome.figures.iter().find(internet).expect("the figure is there");
        assert!(figure.value.is_none() && !figure.missing.is_empty(), "{figure:?}");
    }
}

#[test]
fn intervals_hold_the_value() {
    let design =
        design(&[("ont", "ont-1g"), ("router", "router-ax")], &[("ont", "router"), ("router", "laptop")], vec![]);
    for figure in run(&design, &laptop(), &site()).figures {
        let (low, value, high) = (figure.low.unwrap(), figure.value.unwrap(), figure.high.unwrap());
        assert!(low <= value && value <= high && low < high, "{figure:?}");
    }
}
