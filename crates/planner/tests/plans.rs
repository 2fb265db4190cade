//! Plans of whole homes through the one door.

mod common;

use assessment::{Evaluator, Home};
use common::{Build, LIGHT, home, id};
use findings::{Finding, NoProgress, Severity};
use household::{Attachment, Device, DeviceKind, Household, OverCable, OwnPower, Target};
use job::Job;
use network::results::{DesignOption, Plan};
use network::{Family, FeedSource};
use planner::{Config, PlanError, gateway, plan};
use units::{BitsPerSecond, Metres, Watts};

/// Stated targets of the trend tests: a room's devices get 100 Mbit/s down and 30 Mbit/s up over the air.
fn with_target(mut job: Job, down: f64, up: f64) -> Job {
    let rooms: Vec<_> = job.building.rooms.iter().map(|r| (r.id.clone(), r.usage, r.name.clone())).collect();
    let mut household = household::default_household(&rooms);
    household.targets = vec![Target {
        id: id("all"),
        rooms: vec![],
        down: BitsPerSecond::from_mbps(down),
        up: BitsPerSecond::from_mbps(up),
        height: Metres(1.0),
    }];
    job.household = Some(household);
    job
}

fn planned(job: &Job) -> Plan {
    plan(job, &Config::default(), &NoProgress).expect("a plan")
}

fn figure(option: &DesignOption, id: &str) -> f64 {
    option.figures.iter().find(|f| f.id == id).and_then(|f| f.value).expect("a known figure")
}

/// Covered share of the provider's box alone [%].
fn gateway_coverage(job: &Job) -> f64 {
    let home = Home::new(job).expect("a computable job");
    let design = gateway(&home).expect("a design");
    100.0
        * Evaluator::new(home.into())
            .expect("a scene")
            .assess(&design, &NoProgress)
            .expect("an assessment")
            .coverage
            .any()
}

const HEAVY: Build = Build {
    outer: "brick-cavity-insulated",
    inner: "brick-partition-102",
    floor: "joist-floor-plaster-ceiling",
    basement_outer: "basement-concrete-200",
};

#[test]
fn the_served_share_falls_with_storeys_and_a_basement() {
    // Common practice, no source. 12.0 m × 9.3 m are 1,200 sq ft a storey; both directions count; the box stands at the
    // demarcation point; no material was adjusted.
    let share =
        |storeys, basement| gateway_coverage(&with_target(home(12.0, 9.3, storeys, basement, &LIGHT), 300.0, 30.0));
    let (one, two, three) = (share(1, false), share(2, false), share(2, true));
    assert!(one > two && two > three, "{one:.1} %, {two:.1} %, {three:.1} %");
}

#[test]
fn the_served_share_rises_with_each_access_point() {
    // Common practice, no source.
    let job = with_target(home(20.0, 15.0, 2, true, &HEAVY), 250.0, 80.0);
    let share = |most| {
        let config = Config { families: vec![Family::WiredBackhaul], max_access_points: most, ..Config::default() };
        let plan = plan(&job, &config, &NoProgress).expect("a plan");
        figure(plan.options.first().expect("an option"), "coverage")
    };
    let shares = [gateway_coverage(&job), share(1), share(2)];
    assert!(shares.windows(2).all(|w| w[1] > w[0]), "{shares:.1?}");
}

#[test]
fn a_fifth_wired_device_brings_a_switch() {
    // Common practice, no source: an ordinary home router has four LAN ports.
    let mut job = with_target(home(12.0, 9.3, 1, false, &LIGHT), 25.0, 5.0);
    let household = job.household.as_mut().expect("a household");
    household.devices.retain(|d| d.attachment == Attachment::Wireless);
    household.activities.retain(|a| household.devices.iter().any(|d| d.id == a.device));
    household.devices.extend((0..4).map(|i| wired(&format!("desk-{i}"))));
    let four = planned(&job);
    assert!(four.options.iter().any(|o| o.family == Family::OwnRouter));
    let reason = four.excluded.iter().find(|e| e.family == Family::AccessSwitch).expect("left out");
    assert!(reason.reason.contains("4 LAN ports"), "{}", reason.reason);

    job.household.as_mut().expect("a household").devices.push(wired("desk-5"));
    let five = planned(&job);
    assert!(five.options.iter().any(|o| o.family == Family::AccessSwitch));
    let reason = five.excluded.iter().find(|e| e.family == Family::OwnRouter).expect("left out");
    assert!(reason.reason.contains("5 devices must be wired"), "{}", reason.reason);
    for option in five.options {
        assert!(!option.findings.iter().any(|f| f.rule == "cabling.ports-exceeded"), "{}", option.family);
    }
}

fn wired(name: &str) -> Device {
    Device {
        id: id(name),
        kind: DeviceKind::Desktop,
        count: 1,
        owner: None,
        room: id("s0-d"),
        at: None,
        height: None,
        attachment: Attachment::Wired,
        radio: None,
        must_stay_up: false,
        has_battery: false,
        power: None,
        recording: None,
    }
}

#[test]
fn cameras_powered_over_their_cables_bring_a_switch_that_feeds_them() {
    let mut job = with_target(home(12.0, 9.3, 1, false, &LIGHT), 25.0, 5.0);
    let household = job.household.as_mut().expect("a household");
    household.devices.retain(|d| d.attachment == Attachment::Wireless);
    household.activities.retain(|a| household.devices.iter().any(|d| d.id == a.device));
    let over_cable = OverCable { class: 3, worst_draw: Watts(12.95) };
    household.devices.push(Device {
        kind: DeviceKind::Camera,
        count: 3,
        power: Some(OwnPower { over_cable: Some(over_cable), ..OwnPower::default() }),
        ..wired("camera")
    });
    let plan = planned(&job);
    let reason = plan.excluded.iter().find(|e| e.family == Family::OwnRouter).expect("left out");
    assert!(reason.reason.contains("camera takes its power over its data cable"), "{}", reason.reason);
    assert!(plan.options.iter().any(|o| o.family == Family::AccessSwitch));
    let mut fed_at_night = 0;
    for option in &plan.options {
        // That they start one after the other is a note.
        let is_wrong = |f: &&Finding| f.rule.starts_with("cabling.poe-") && f.severity != Severity::Note;
        let wrong: Vec<_> = option.findings.iter().filter(is_wrong).collect();
        assert!(wrong.is_empty(), "{}: {wrong:#?}", option.family);
        fed_at_night += option
            .design
            .feeds
            .iter()
            .filter(|f| f.part == id("camera") && matches!(f.source, FeedSource::Poe { .. }))
            .count();
    }
    assert_eq!(fed_at_night, plan.options.len());
}

#[test]
fn power_over_the_cable_asks_for_no_outlet() {
    // Common practice, no source. Only the hall, where the line enters, keeps its sockets.
    let mut job = with_target(home(20.0, 15.0, 2, true, &HEAVY), 400.0, 80.0);
    job.building.outlets.retain(|o| o.id.as_str().starts_with("s0-hall"));
    let plan = planned(&job);
    let poe = plan.options.iter().find(|o| o.family == Family::PoeCeiling).expect("the family fits");
    let fed_over_cable = poe.design.feeds.iter().filter(|f| matches!(f.source, FeedSource::Poe { .. })).count();
    assert!(fed_over_cable >= 2);
    // Access points on mains cords can only stand where an outlet is.
    for option in plan.options.iter().filter(|o| o.family == Family::WiredBackhaul) {
        for part in option.design.parts.iter().filter(|p| p.id.as_str().starts_with("ap-")) {
            assert_eq!(part.room.as_str(), "s0-hall");
        }
        assert!(figure(option, "coverage") < figure(poe, "coverage"));
    }
}

#[test]
fn plans_are_complete_and_the_same_each_time() {
    let job = home(14.0, 11.0, 2, true, &HEAVY);
    let plan = planned(&job);
    assert!(!plan.assumptions.is_empty(), "the default household is said to be assumed");
    let mut families: Vec<Family> = plan.options.iter().map(|o| o.family).collect();
    families.sort();
    families.dedup();
    assert!(plan.options.len() >= 5 && families.len() >= 4, "{} options of {families:?}", plan.options.len());
    for family in Family::ALL {
        let there = families.contains(&family);
        let left_out = plan.excluded.iter().any(|e| e.family == family && !e.reason.is_empty());
        assert!(there != left_out, "{family} is neither offered nor left out, or both");
    }
    for option in &plan.options {
        for id in ["coverage.5", "coverage", "headroom", "outage.minutes", "price"] {
            let found = option.figures.iter().find(|f| f.id == id).expect("the figure is there");
            let (low, value, high) = (found.low, found.value, found.high);
            assert!(low <= value && value <= high, "{} {found:?}", option.family);
            assert!(id == "price" || !found.sources.is_empty(), "{} {found:?}", option.family);
        }
        assert!(option.gap.as_ref().is_none_or(|g| g.found <= g.bound), "{:?}", option.gap);
        let of =
            |list: &[network::results::Comparison]| list.iter().all(|c| plan.options.iter().any(|o| o.id == c.option));
        assert!(of(&option.beats) && of(&option.beaten_by));
    }
    assert_eq!(plan, planned(&job));
}

#[test]
fn where_nothing_may_be_drilled_no_cable_is_laid() {
    let mut job = with_target(home(14.0, 11.0, 2, false, &HEAVY), 100.0, 30.0);
    job.household.as_mut().expect("a household").wishes.no_drilling = true;
    let plan = planned(&job);
    for option in &plan.options {
        let laid = option.design.links.iter().any(|l| matches!(l.medium, network::Medium::Cable { .. }));
        assert!(!laid, "{} lays a cable", option.family);
    }
    for family in [Family::WiredBackhaul, Family::PoeCeiling, Family::HomeRunPanel] {
        assert!(plan.excluded.iter().any(|e| e.family == family && e.reason.contains("drilling")));
    }
}

#[test]
fn only_a_household_that_was_emptied_is_refused() {
    let mut job = home(12.0, 9.3, 1, false, &LIGHT);
    job.household = Some(Household::default());
    let refused = plan(&job, &Config::default(), &NoProgress).expect_err("nobody lives there");
    assert!(matches!(refused, PlanError::EmptyHousehold), "{refused}");
    job.household = None;
    job.site.lines.clear();
    assert!(matches!(plan(&job, &Config::default(), &NoProgress), Err(PlanError::NoLine)));
}

#[test]
fn a_cancelled_plan_stops() {
    struct Never;
    impl findings::Progress for Never {
        fn step(&self, _: &str, _: u64, _: u64) -> Result<(), findings::Cancelled> {
            Err(findings::Cancelled)
        }
    }
    let job = home(12.0, 9.3, 1, false, &LIGHT);
    assert!(matches!(plan(&job, &Config::default(), &Never), Err(PlanError::Cancelled)));
}
