//! Ports, switch depth and PoE through the crate's one door.

use cabling::{Input, Outcome, Terms, evaluate};
use equipment::{Part, PartKind, Poe, PoeSupply, Ports};
use findings::{Id, Source};
use household::{Attachment, Device, DeviceKind, Household, OverCable, OwnPower};
use network::{Design, Family, Feed, FeedSource, Link, Medium, Mounting, PlacedPart};
use units::{Point3, Watts};

fn id(text: &str) -> Id {
    text.parse().expect("a well-formed id")
}

fn part(name: &str, kind: PartKind, uplink: u32, lan: u32) -> Part {
    let mut part: Part = bare_part(name, kind);
    part.ports = Ports { uplink, lan, ..Ports::default() };
    part
}

fn bare_part(name: &str, kind: PartKind) -> Part {
    Part {
        id: id(name),
        name: name.to_owned(),
        kind,
        ports: Ports::default(),
        radio: None,
        dedicated_uplink_radio: false,
        shapes_line: None,
        draw: Watts(0.0),
        poe: None,
        poe_supply: None,
        battery: None,
        cable: None,
        found_only: false,
        failure: None,
        segments: false,
        mountable: false,
        source: Source::generic(),
    }
}

/// A router with `wired` devices on it.
fn design(wired: usize) -> Design {
    Design {
        id: id("d"),
        name: "test".into(),
        family: Family::OwnRouter,
        parts: vec![placed("router", "router")],
        links: (0..wired).map(|i| cord("router", &format!("device-{i}"))).collect(),
        radios: vec![],
        segments: vec![],
        feeds: vec![],
        line_queue: network::LineQueue::Plain,
        upkeep: network::Upkeep::default(),
    }
}

fn placed(name: &str, part: &str) -> PlacedPart {
    PlacedPart {
        id: id(name),
        part: id(part),
        room: id("room"),
        at: Point3::new(0.0, 0.0, 1.0),
        mounting: Mounting::Shelf,
        aim: None,
        kept: false,
    }
}

fn cord(from: &str, to: &str) -> Link {
    Link { id: id(&format!("{from}-{to}")), from: id(from), to: id(to), medium: Medium::Cord }
}

fn rules(design: &Design, parts: &[Part]) -> Vec<String> {
    cabling::check(design, &|wanted| parts.iter().find(|p| &p.id == wanted)).into_iter().map(|f| f.rule).collect()
}

#[test]
fn a_fifth_wired_device_does_not_fit_a_router_with_four_lan_ports() {
    // Common practice, no source: an ordinary home router has four LAN ports.
    let parts = [part("router", PartKind::WirelessRouter, 1, 4)];
    assert!(rules(&design(4), &parts).is_empty());
    assert_eq!(rules(&design(5), &parts), ["cabling.ports-exceeded"]);
}

#[test]
fn a_plain_switch_takes_its_uplink_at_a_lan_port() {
    let parts = [part("router", PartKind::Router, 1, 4), part("switch", PartKind::Switch, 0, 5)];
    let mut design = design(0);
    design.parts.push(placed("sw", "switch"));
    design.links.push(cord("router", "sw"));
    design.links.extend((0..3).map(|i| cord("sw", &format!("pc-{i}"))));
    // One port of five is left, a quarter of the four in use.
    assert!(rules(&design, &parts).is_empty());
    design.links.push(cord("sw", "pc-4"));
    assert_eq!(rules(&design, &parts), ["cabling.spare-ports"]);
    design.links.push(cord("sw", "pc-5"));
    assert_eq!(rules(&design, &parts), ["cabling.ports-exceeded"]);
}

#[test]
fn a_fourth_switch_in_a_row_is_found_and_a_loop_ends() {
    let parts = [part("router", PartKind::Router, 1, 4), part("switch", PartKind::Switch, 0, 5)];
    let mut chain = design(0);
    for i in 0..4 {
        chain.parts.push(placed(&format!("sw{i}"), "switch"));
        chain.links.push(cord(&if i == 0 { "router".into() } else { format!("sw{}", i - 1) }, &format!("sw{i}")));
    }
    chain.links.push(cord("sw3", "pc"));
    assert_eq!(rules(&chain, &parts), ["cabling.switch-depth"]);
    chain.links.retain(|l| l.from != id("router"));
    chain.links.push(cord("sw3", "sw0"));
    assert!(rules(&chain, &parts).contains(&"cabling.loop".to_owned()));
}

#[test]
fn poe_is_held_against_class_ports_and_four_fifths_of_the_budget() {
    let mut ap = part("ap", PartKind::AccessPoint, 1, 0);
    ap.poe = Some(Poe { class: 4, worst_draw: Watts(25.5) });
    let mut switch = part("switch", PartKind::Switch, 0, 8);
    switch.poe_supply = Some(PoeSupply { ports: 2, class: 4, budget: Watts(65.0) });
    let fed = |count: usize| {
        let mut design = design(0);
        design.parts = vec![placed("sw", "switch")];
        for i in 0..count {
            let name = format!("ap-{i}");
            design.parts.push(placed(&name, "ap"));
            design.links.push(cord("sw", &name));
            design.feeds.push(Feed { part: id(&name), source: FeedSource::Poe { part: id("sw") } });
        }
        design
    };
    // IEEE 802.3 class 4: 25.5 W at the device are 30 W at the port; 52 W of the 65 W are usable.
    let parts = [ap.clone(), switch.clone()];
    assert!(rules(&fed(1), &parts).is_empty());
    assert_eq!(rules(&fed(2), &parts), ["cabling.poe-budget"]);
    assert_eq!(rules(&fed(3), &parts), ["cabling.poe-ports", "cabling.poe-budget"]);
    switch.poe_supply = Some(PoeSupply { ports: 2, class: 3, budget: Watts(65.0) });
    assert_eq!(rules(&fed(1), &[ap.clone(), switch.clone()]), ["cabling.poe-class"]);
    ap.poe = None;
    assert_eq!(rules(&fed(1), &[ap, switch]), ["cabling.poe-class"]);
}

/// Cameras outdoors that ask for class 3 and draw all of it at night.
fn cameras(count: u32) -> Household {
    let over_cable = OverCable { class: 3, worst_draw: Watts(12.95) };
    let camera = Device {
        id: id("camera"),
        kind: DeviceKind::Camera,
        count,
        owner: None,
        room: id("room"),
        at: None,
        height: None,
        attachment: Attachment::Wired,
        radio: None,
        must_stay_up: false,
        has_battery: false,
        power: Some(OwnPower { over_cable: Some(over_cable), ..OwnPower::default() }),
        recording: None,
    };
    Household { devices: vec![camera], ..Household::default() }
}

fn evaluated(design: &Design, parts: &[Part], household: &Household) -> Outcome {
    let parts = |wanted: &Id| parts.iter().find(|p| &p.id == wanted);
    let terms = Terms::default();
    evaluate(&Input { design, parts: &parts, wiring: None, household: Some(household), terms: &terms })
        .expect("a sheet")
}

#[test]
fn cameras_of_the_household_draw_on_the_switch_that_feeds_them() {
    let mut switch = part("switch", PartKind::Switch, 0, 8);
    switch.poe_supply = Some(PoeSupply { ports: 4, class: 4, budget: Watts(65.0) });
    let parts = [switch];
    let mut design = design(0);
    design.parts = vec![placed("sw", "switch")];
    let rules = |design: &Design, count: u32| -> Vec<String> {
        evaluated(design, &parts, &cameras(count)).findings.into_iter().map(|f| f.rule).collect()
    };
    let linked = |count: usize| {
        let mut design = design.clone();
        design.links = (0..count).map(|i| Link { id: id(&format!("c{i}")), ..cord("sw", "camera") }).collect();
        design
    };
    assert_eq!(rules(&design, 2), ["cabling.poe-unfed"]);
    assert_eq!(rules(&linked(2), 2), ["cabling.poe-unfed"]);
    let fed = |count: usize| {
        let mut design = linked(count);
        design.feeds = vec![
            Feed { part: id("sw"), source: FeedSource::Mains { outlet: None } },
            Feed { part: id("camera"), source: FeedSource::Poe { part: id("sw") } },
        ];
        design
    };
    // IEEE 802.3 class 3: 12.95 W at the device are 15.4 W at the port.
    let row = evaluated(&fed(2), &parts, &cameras(2)).sheet.supplies.remove(0);
    assert_eq!(row.fed.len(), 2);
    let worst = row.worst_draw.high.expect("a bound");
    assert!((worst - 30.8).abs() < 0.1, "{worst} W");
    assert_eq!(rules(&fed(2), 2), Vec::<String>::new());
    // Three that start together take up to 450 mA at 57 V each, 77 W: one after the other they fit (IEEE 802.3).
    assert_eq!(rules(&fed(3), 3), ["cabling.poe-start"]);
    assert!(rules(&fed(4), 4).contains(&"cabling.poe-budget".to_owned()));
    assert!(rules(&fed(5), 5).contains(&"cabling.poe-ports".to_owned()));
    // One cable fewer than cameras.
    assert!(rules(&fed(2), 3).contains(&"cabling.poe-no-cable".to_owned()));
}
