//! Long because each case is a few lines and all share one builder of designs.
//!
//! The wires of whole designs through the crate's one door: lengths, rates, jackets, rings, panels, bundles and power.

use cabling::terms::{JacketCode, Terms};
use cabling::{Input, Outcome, evaluate, fibre_instead};
use equipment::{CableCore, Catalog, Part, PartKind, PoeSupply};
use findings::{Figure, Finding, Id, Severity};
use household::{Attachment, Device, DeviceKind, Household};
use network::wiring::{CableRoute, Hole, HoleKind, Stretch, Way, Wiring};
use network::{Design, Family, Feed, FeedSource, LineQueue, Link, Medium, Mounting, PlacedPart};
use radio_profile::Band;
use units::{BitsPerSecond, Metres, Point3, Watts};

fn id(text: &str) -> Id {
    text.parse().expect("a well-formed id")
}

/// A design in the making, its parts, its routes and who lives there.
struct Case {
    design: Design,
    parts: Vec<Part>,
    wiring: Option<Wiring>,
    household: Household,
    terms: Terms,
}

impl Case {
    /// A router with nothing on it yet.
    fn new() -> Self {
        let design = Design {
            id: id("d"),
            name: "test".into(),
            family: Family::OwnRouter,
            parts: vec![],
            links: vec![],
            radios: vec![],
            segments: vec![],
            feeds: vec![],
            line_queue: LineQueue::Plain,
            upkeep: network::Upkeep::default(),
        };
        let parts = Catalog::builtin().iter().cloned().collect();
        let mut case = Self { design, parts, wiring: None, household: Household::default(), terms: Terms::default() };
        case.place("router", "router-wired");
        case
    }

    fn place(&mut self, name: &str, part: &str) -> &mut PlacedPart {
        self.design.parts.push(PlacedPart {
            id: id(name),
            part: id(part),
            room: id("room"),
            at: Point3::new(0.0, 0.0, 1.0),
            mounting: Mounting::Shelf,
            aim: None,
            kept: false,
        });
        self.design.parts.last_mut().unwrap()
    }

    fn own(&mut self, like: &str, name: &str, change: impl FnOnce(&mut Part)) {
        let mut part = self.parts.iter().find(|p| p.id == id(like)).unwrap().clone();
        part.id = id(name);
        change(&mut part);
        self.parts.push(part);
    }

    fn link(&mut self, from: &str, to: &str, medium: Medium) {
        let link =
            Link { id: id(&format!("{from}-{to}-{}", self.design.links.len())), from: id(from), to: id(to), medium };
        self.design.links.push(link);
    }

    fn cord(&mut self, from: &str, to: &str) {
        self.link(from, to, Medium::Cord);
    }

    /// A fixed cable of a length in one way.
    fn cable(&mut self, from: &str, to: &str, part: &str, metres: f64, ways: &[(Way, f64)]) {
        self.link(from, to, Medium::Cable { part: id(part) });
        let link = self.design.links.last().unwrap().id.clone();
        let mut at = 0.0;
        let stretches = ways
            .iter()
            .map(|(way, length)| {
                let from = Point3::new(at, 0.0, 1.0);
                at += length;
                Stretch { way: *way, element: None, from, to: Point3::new(at, 0.0, 1.0) }
            })
            .collect();
        let mut length = Figure::known("cable.length", link.clone(), metres, "m");
        length.low = Some(0.9 * metres);
        length.high = Some(1.1 * metres);
        let route = CableRoute {
            link,
            label: "A-1".into(),
            cable: id(part),
            stretches,
            holes: vec![],
            way_length: Metres(metres),
            length,
            existing: false,
        };
        self.wiring.get_or_insert_with(Wiring::default).routes.push(route);
    }

    fn feed(&mut self, part: &str, supply: &str) {
        self.design.feeds.push(Feed { part: id(part), source: FeedSource::Poe { part: id(supply) } });
    }

    fn mains(&mut self, part: &str) {
        self.design.feeds.push(Feed { part: id(part), source: FeedSource::Mains { outlet: Some(id("o1")) } });
    }

    fn device(&mut self, name: &str, kind: DeviceKind, count: u32) {
        self.household.devices.push(Device {
            id: id(name),
            kind,
            count,
            owner: None,
            room: id("room"),
            at: None,
            height: None,
            attachment: Attachment::Wired,
            radio: None,
            must_stay_up: false,
            has_battery: false,
            power: None,
            recording: None,
        });
    }

    fn run(&self) -> Outcome {
        let lookup = |wanted: &Id| self.parts.iter().find(|p| &p.id == wanted);
        let input = Input {
            design: &self.design,
            parts: &lookup,
            wiring: self.wiring.as_ref(),
            household: Some(&self.household),
            terms: &self.terms,
        };
        evaluate(&input).expect("usable terms")
    }

    fn rules(&self) -> Vec<String> {
        self.run().findings.into_iter().map(|f| f.rule).collect()
    }
}

fn found<'a>(outcome: &'a Outcome, rule: &str) -> &'a Finding {
    outcome.findings.iter().find(|f| f.rule == rule).unwrap_or_else(|| panic!("no {rule} in {:?}", outcome.findings))
}

fn has(rules: &[String], rule: &str) -> bool {
    rules.iter().any(|r| r == rule)
}

/// A switch with one computer on a cable of a length.
fn drop(metres: f64) -> Case {
    let mut case = Case::new();
    case.place("sw", "switch-8");
    case.cord("router", "sw");
    case.cable("sw", "pc", "cable-cat6", metres, &[(Way::StudBay, 1.0)]);
    case
}

#[test]
fn ninety_metres_pass_and_more_do_not() {
    assert_eq!(drop(80.0).rules(), Vec::<String>::new());
    let at_limit = drop(90.0).run();
    assert_eq!(found(&at_limit, "cabling.channel-too-long").severity, Severity::Risk);
    let too_long = drop(91.0).run();
    let finding = found(&too_long, "cabling.channel-too-long");
    assert_eq!(finding.severity, Severity::Fails);
    assert_eq!(finding.measured.as_ref().unwrap().value, 91.0);
    assert!(drop(0.0).rules().is_empty());
}

#[test]
fn without_routes_a_length_is_unknown_and_says_what_is_missing() {
    let mut case = drop(50.0);
    case.wiring = None;
    let outcome = case.run();
    let row = &outcome.sheet.cables[1];
    assert_eq!((row.channel_length.value, row.loop_resistance.value, row.fastest), (None, None, None));
    assert_eq!(row.channel_length.missing, ["routes of the cables"]);
    case.wiring = Some(Wiring::default());
    assert_eq!(case.run().sheet.cables[1].channel_length.missing, ["a way for the cable of `sw-pc-1`"]);
    // A length that is no number is unknown, too.
    let mut case = drop(50.0);
    case.wiring.as_mut().unwrap().routes[0].length.value = Some(f64::NAN);
    assert_eq!(case.run().sheet.cables[1].channel_length.value, None);
}

#[test]
fn a_row_says_what_the_cable_does() {
    let outcome = drop(50.0).run();
    let row = &outcome.sheet.cables[1];
    assert_eq!(row.channel_length.value, Some(54.0));
    assert_eq!(row.label, "A-1");
    assert_eq!(row.category, "category 6");
    assert_eq!(row.bend_radius_mm, Some(24.0));
    assert_eq!(row.most_pull_n, Some(110.0));
    // 50 m of 23 AWG and 4 m of stranded 24 AWG, out and back, and two connections; 25 °C.
    let warm = 1.0 + 0.00393 * 5.0;
    let by_hand = 2.0 * warm * (50.0 * 0.066784 + 4.0 * 0.084213 * 1.02) + 2.0 * 0.08;
    assert!((row.loop_resistance.value.unwrap() - by_hand).abs() < 1e-3, "{:?}", row.loop_resistance);
    assert!(
        row.loop_resistance.low < row.loop_resistance.value && row.loop_resistance.value < row.loop_resistance.high
    );
    assert!(row.loss_margin.value.unwrap() > 10.0);
    assert!((row.delay.value.unwrap() - ((534.0 + 36.0 / 10_f64.sqrt()) * 0.54 + 5.0)).abs() < 1e-9);
    assert_eq!(row.fastest.unwrap().name(), "5GBASE-T");
    assert_eq!(row.fastest_if_quiet.unwrap().name(), "10GBASE-T");
    // The sheet is written and read back.
    let text = serde_json::to_string(&outcome.sheet).unwrap();
    assert_eq!(serde_json::from_str::<cabling::WireSheet>(&text).unwrap(), outcome.sheet);
}

#[test]
fn ten_gigabit_on_category_6_is_told_by_length_with_better_cable_as_remedy() {
    let ten = |metres| {
        let mut case = drop(metres);
        case.own("switch-8", "switch-fast", |p| p.ports.lan_rate = BitsPerSecond(10e9));
        case.design.parts[1].part = id("switch-fast");
        case.run()
    };
    assert!(!ten(30.0).findings.iter().any(|f| f.rule == "cabling.rate-not-carried"));
    let quiet = ten(45.0);
    assert_eq!(found(&quiet, "cabling.rate-not-carried").severity, Severity::Note);
    let far = ten(70.0);
    let finding = found(&far, "cabling.rate-not-carried");
    assert_eq!(finding.severity, Severity::Risk);
    let edit = &finding.remedies[0].edits[0];
    assert_eq!(edit.path, "designs/d/links/sw-pc-1/medium");
    assert_eq!(edit.value.as_ref().unwrap()["part"], "cable-cat6a");
}

#[test]
fn clad_aluminium_is_refused_and_unsafe_with_power() {
    let mut case = Case::new();
    case.place("sw", "switch-8-poe");
    case.place("ap", "ap-ax-2x2-ceiling");
    case.cord("router", "sw");
    case.cable("sw", "ap", "cable-cca", 30.0, &[(Way::Attic, 1.0)]);
    case.mains("sw");
    case.mains("router");
    let plain = case.run();
    assert_eq!(found(&plain, "cabling.clad-aluminium").severity, Severity::Fails);
    case.feed("ap", "sw");
    let powered = case.run();
    let finding = found(&powered, "cabling.clad-aluminium");
    assert_eq!(finding.severity, Severity::Unsafe);
    assert_eq!(finding.remedies[0].edits[0].value.as_ref().unwrap()["part"], "cable-cat6");
}

#[test]
fn stranded_cable_in_walls_and_thin_cords_with_power_are_found() {
    let mut case = Case::new();
    case.own("cable-cat6", "cable-soft", |p| {
        if let Some(CableCore::TwistedPairs { stranded, .. }) = p.cable.as_mut().map(|c| &mut c.core) {
            *stranded = true;
        }
    });
    case.place("sw", "switch-8-poe");
    case.place("ap", "ap-ax-2x2-ceiling");
    case.cord("router", "sw");
    case.cable("sw", "ap", "cable-soft", 20.0, &[(Way::StudBay, 1.0)]);
    case.mains("sw");
    case.mains("router");
    case.feed("ap", "sw");
    assert!(has(&case.rules(), "cabling.stranded-fixed") && !has(&case.rules(), "cabling.thin-cord"));
    case.terms.cord = id("cord-thin");
    assert!(has(&case.rules(), "cabling.thin-cord"));
}

#[test]
fn jackets_are_judged_by_place_and_region() {
    let jacket = |part: &str, code, way, metres| {
        let mut case = drop(1.0);
        case.design.links.pop();
        case.wiring = None;
        case.terms.jackets = code;
        case.cable("sw", "pc", part, metres, &[(way, 1.0)]);
        case.rules()
    };
    let (america, europe) = (JacketCode::for_country("US"), JacketCode::for_country("DE"));
    assert_eq!(JacketCode::for_country("XX"), JacketCode::Unknown);
    assert!(!has(&jacket("cable-cat6", america, Way::Riser, 20.0), "cabling.wrong-jacket"));
    assert!(!has(&jacket("cable-cat6", europe, Way::StudBay, 20.0), "cabling.wrong-jacket"));
    assert!(has(&jacket("cable-cat6", america, Way::Facade, 20.0), "cabling.wrong-jacket"));
    assert!(has(&jacket("cable-cat6", JacketCode::Unknown, Way::Buried, 20.0), "cabling.wrong-jacket"));
    assert!(!has(&jacket("cable-cat6-outdoor", JacketCode::Unknown, Way::Buried, 20.0), "cabling.wrong-jacket"));
    assert!(has(&jacket("cable-cat6-outdoor", america, Way::Riser, 20.0), "cabling.wrong-jacket"));
    assert!(has(&jacket("cable-cat6-outdoor", europe, Way::StudBay, 20.0), "cabling.wrong-jacket"));
    // Copper outside is told of in any jacket.
    assert!(has(&jacket("cable-cat6-outdoor", europe, Way::Buried, 20.0), "cabling.copper-outside"));
    let mut moved = drop(1.0);
    moved.terms.jackets = america;
    moved.terms.ceiling_moves_air = true;
    moved.design.links.pop();
    moved.wiring = None;
    moved.cable("sw", "pc", "cable-cat6", 20.0, &[(Way::CeilingVoid, 1.0)]);
    assert!(has(&moved.rules(), "cabling.wrong-jacket"));
}

#[test]
fn fibre_takes_fibre_ports_and_its_edits_mend_copper_outside() {
    let mut case = Case::new();
    case.place("sw", "switch-8");
    case.cable("router", "sw", "cable-fibre-pair", 40.0, &[(Way::Buried, 1.0)]);
    let rules = case.rules();
    assert_eq!(rules.iter().filter(|r| *r == "cabling.port-mismatch").count(), 2, "{rules:?}");

    let mut copper = Case::new();
    copper.place("sw", "switch-8");
    copper.cable("router", "sw", "cable-cat6-outdoor", 40.0, &[(Way::Buried, 1.0)]);
    let outcome = copper.run();
    let edits = &found(&outcome, "cabling.copper-outside").remedies[0].edits;
    assert_eq!(Some(edits.clone()), fibre_instead(&copper.design, &copper.design.links[0]));
    let mut document = serde_json::json!({ "designs": [copper.design] });
    for edit in edits {
        apply(&mut document, edit);
    }
    copper.design = serde_json::from_value(document["designs"][0].clone()).unwrap();
    assert!(!has(&copper.rules(), "cabling.port-mismatch"));
    assert!(!has(&copper.rules(), "cabling.ports-exceeded"), "{:?}", copper.run().findings);
    assert_eq!(copper.design.links.len(), 3);
    assert_eq!(copper.run().sheet.cables[0].category, "2 single-mode fibres");
}

/// Applies an edit in the way that the job does: lists are addressed by the ids in them.
fn apply(document: &mut serde_json::Value, edit: &findings::Edit) {
    let mut steps: Vec<&str> = edit.path.split('/').collect();
    let last = if edit.kind == findings::EditKind::Insert { None } else { steps.pop() };
    let mut at = document;
    for step in steps {
        at = match at {
            serde_json::Value::Array(list) => list.iter_mut().find(|e| e["id"] == step).unwrap(),
            other => &mut other[step],
        };
    }
    match last {
        Some(field) => at[field] = edit.value.clone().unwrap(),
        None => at.as_array_mut().unwrap().push(edit.value.clone().unwrap()),
    }
}

#[test]
fn rings_are_found_over_wires_and_over_radio() {
    let mut wires = Case::new();
    for name in ["a", "b"] {
        wires.place(name, "switch-8");
    }
    wires.cord("router", "a");
    wires.cord("a", "b");
    assert!(!has(&wires.rules(), "cabling.loop"));
    wires.cord("router", "b");
    let outcome = wires.run();
    let ring = found(&outcome, "cabling.loop");
    assert_eq!(ring.severity, Severity::Fails);
    assert_eq!(ring.subjects.len(), 4);
    assert_eq!(ring.remedies[0].edits[0].path, "designs/d/links/router-b-2");
    wires.design.parts[1].part = id("switch-8-managed");
    assert_eq!(found(&wires.run(), "cabling.loop").severity, Severity::Risk);

    let mut radio = Case::new();
    radio.place("node-1", "node-ax-dual");
    radio.place("node-2", "node-ax-dual");
    radio.cord("router", "node-1");
    radio.link("node-1", "node-2", Medium::Radio { band: Band::Ghz5 });
    assert!(!has(&radio.rules(), "cabling.loop"));
    radio.cord("router", "node-2");
    let outcome = radio.run();
    assert!(found(&outcome, "cabling.loop").message.contains("by cable and by radio"));

    let mut speakers = Case::new();
    speakers.device("speaker", DeviceKind::Speaker, 2);
    speakers.cord("router", "speaker");
    assert!(!has(&speakers.rules(), "cabling.cabled-bridges"));
    speakers.cord("router", "speaker");
    assert!(has(&speakers.rules(), "cabling.cabled-bridges"));
    // A part that is joined to itself is a ring of one.
    let mut itself = Case::new();
    itself.cord("router", "router");
    assert!(has(&itself.rules(), "cabling.loop"));
}

#[test]
fn uplinks_of_cameras_and_stores_are_told_of() {
    let mut case = Case::new();
    case.place("sw", "switch-8");
    case.cord("router", "sw");
    for i in 0..5 {
        case.cord("sw", &format!("pc-{i}"));
    }
    assert!(!has(&case.rules(), "cabling.oversubscribed"));
    case.device("store", DeviceKind::Storage, 1);
    case.cord("sw", "store");
    let outcome = case.run();
    assert_eq!(found(&outcome, "cabling.oversubscribed").measured.as_ref().unwrap().value, 6.0);
    // Cameras count with what they send at most.
    let mut cameras = Case::new();
    cameras.place("sw", "switch-8");
    cameras.cord("router", "sw");
    for i in 0..5 {
        cameras.device(&format!("cam-{i}"), DeviceKind::Camera, 1);
        cameras.cord("sw", &format!("cam-{i}"));
    }
    assert!(!has(&cameras.rules(), "cabling.oversubscribed"));
    assert_eq!(cameras.run().sheet.ports[1].oversubscription, Some(0.5));
}

/// A PoE switch and access points on cables of a length.
fn powered(count: usize, ap: &str, supply: &str, metres: f64, way: Way) -> Case {
    let mut case = Case::new();
    case.place("sw", supply);
    case.cord("router", "sw");
    case.mains("sw");
    case.mains("router");
    for i in 0..count {
        let name = format!("ap-{i}");
        case.place(&name, ap);
        case.cable("sw", &name, "cable-cat6", metres, &[(way, metres)]);
        case.feed(&name, "sw");
    }
    case
}

#[test]
fn power_at_the_end_of_a_real_cable() {
    let outcome = powered(2, "ap-be-2x2-ceiling", "switch-8-poe", 60.0, Way::Attic).run();
    let row = &outcome.sheet.supplies[0];
    let fed = &row.fed[0];
    // 21 W over 60 m of 23 AWG at 60 °C and 4 m of 24 AWG at 25 °C, from 50 V: solved by hand.
    let hot = 1.0 + 0.00393 * 40.0;
    let loop_ohm = 2.0 * (60.0 * 0.066784 * hot + 4.0 * 0.084213 * 1.02 * (1.0 + 0.00393 * 5.0)) + 0.16;
    let ohm = loop_ohm / 2.0;
    let volts = (50.0 + (2500.0 - 4.0 * ohm * 21.0_f64).sqrt()) / 2.0;
    assert!((fed.voltage.value.unwrap() - volts).abs() < 0.001, "{:?} against {volts}", fed.voltage);
    assert_eq!(fed.least_voltage, Some(42.5));
    let each = fed.at_port.value.unwrap();
    assert!((row.worst_draw.value.unwrap() - 2.0 * each).abs() < 1e-9);
    assert!((row.margin.value.unwrap() - (65.0 - 2.0 * each)).abs() < 1e-9);
    assert!(row.own_loss.value.unwrap() > 9.0);
    // The interval holds the value, and a longer cable loses more.
    assert!(row.worst_draw.low < row.worst_draw.value && row.worst_draw.value < row.worst_draw.high);
    let short = powered(2, "ap-be-2x2-ceiling", "switch-8-poe", 5.0, Way::StudBay).run();
    assert!(short.sheet.supplies[0].worst_draw.value < row.worst_draw.value);
    // Without routes the likely value is unknown, and its bounds are those of the standard.
    let mut unknown = powered(2, "ap-be-2x2-ceiling", "switch-8-poe", 5.0, Way::StudBay);
    unknown.wiring = None;
    let outcome = unknown.run();
    let row = &outcome.sheet.supplies[0];
    assert_eq!(
        (row.worst_draw.value, row.worst_draw.missing.as_slice()),
        (None, ["routes of the cables".to_owned()].as_slice())
    );
    assert_eq!(row.worst_draw.low, Some(42.0));
    let at_worst = 50.0 * 21.0 / ((50.0 + (2500.0 - 4.0 * 12.5 * 21.0_f64).sqrt()) / 2.0);
    assert!((row.worst_draw.high.unwrap() - 2.0 * at_worst).abs() < 1e-9);
}

#[test]
fn a_cable_that_is_too_long_for_its_load_is_said_so() {
    // No cabling standard allows this length; the load makes it impossible.
    let outcome = powered(1, "ap-be-2x2-ceiling", "switch-8-poe", 500.0, Way::StudBay).run();
    let finding = found(&outcome, "cabling.poe-voltage");
    assert!(finding.message.contains("too long for the load"), "{}", finding.message);
    assert_eq!(finding.severity, Severity::Fails);
    assert_eq!(outcome.sheet.supplies[0].fed[0].voltage.value, None);
    // Long, but it settles below what the part needs.
    let low = powered(1, "ap-be-2x2-ceiling", "switch-8-poe", 250.0, Way::StudBay).run();
    assert!(found(&low, "cabling.poe-voltage").measured.as_ref().unwrap().value < 42.5);
    let fine = powered(1, "ap-be-2x2-ceiling", "switch-8-poe", 70.0, Way::StudBay).run();
    assert!(!fine.findings.iter().any(|f| f.rule == "cabling.poe-voltage"), "{:?}", fine.findings);
}

#[test]
fn budgets_classes_cables_and_starts_of_supplies() {
    let three = powered(3, "ap-be-2x2-ceiling", "switch-8-poe", 30.0, Way::StudBay).run();
    assert_eq!(found(&three, "cabling.poe-budget").severity, Severity::Fails);
    // A budget that the load fits but the rush of all at once does not.
    let mut tight = powered(4, "ap-ax-2x2-ceiling", "tight", 20.0, Way::StudBay);
    tight.own("switch-8-poe", "tight", |p| p.poe_supply = Some(PoeSupply { ports: 8, class: 4, budget: Watts(75.0) }));
    let outcome = tight.run();
    let start = &outcome.sheet.supplies[0].start;
    assert!(start.fits && start.steps.len() == 3, "{start:?}");
    assert_eq!(found(&outcome, "cabling.poe-start").severity, Severity::Note);
    assert!(!outcome.findings.iter().any(|f| f.rule == "cabling.poe-budget"));
    // Fed over glass, or with no cable at all.
    let mut glass = powered(1, "ap-ax-2x2-ceiling", "switch-8-poe", 20.0, Way::StudBay);
    glass.design.links[1].medium = Medium::Cable { part: id("cable-fibre-pair") };
    assert!(has(&glass.rules(), "cabling.poe-no-cable"));
    glass.design.links.truncate(1);
    assert!(has(&glass.rules(), "cabling.poe-no-cable"));
    // A class that does not exist and a part that takes no power.
    let mut ninth = powered(1, "nine", "switch-8-poe", 20.0, Way::StudBay);
    ninth.own("ap-ax-2x2-ceiling", "nine", |p| p.poe.as_mut().unwrap().class = 9);
    assert!(has(&ninth.rules(), "cabling.poe-class"));
}

#[test]
fn powered_ports_are_given_to_what_is_fed_and_spares_are_counted() {
    let mut case = powered(2, "ap-ax-2x2-ceiling", "half", 20.0, Way::StudBay);
    case.own("switch-8-poe", "half", |p| p.poe_supply.as_mut().unwrap().ports = 4);
    case.design.links.insert(1, Link { id: id("pc-link"), from: id("sw"), to: id("pc"), medium: Medium::Cord });
    let outcome = case.run();
    let sheet = outcome.sheet.ports.iter().find(|s| s.part == id("sw")).unwrap();
    let lan: Vec<_> = sheet.ports.iter().filter(|p| p.port.starts_with("port")).collect();
    assert_eq!(lan.len(), 8);
    assert_eq!(lan[0].to, Some(id("ap-0")));
    assert_eq!((lan[0].gives_class, lan[0].feeds_class), (Some(4), Some(3)));
    assert_eq!((lan[2].to.clone(), lan[2].feeds_class), (Some(id("pc")), None));
    assert_eq!(lan[4].gives_class, None);
    assert_eq!(sheet.spare, 6);
    assert_eq!(lan[0].rate, Some(BitsPerSecond(1e9)));
}

#[test]
fn bundles_warm_up_with_what_surrounds_them() {
    let case = powered(8, "ap-be-4x4-ceiling", "switch-8-poe-bt", 20.0, Way::CeilingVoid);
    let outcome = case.run();
    let bundle = &outcome.sheet.bundles[0];
    assert_eq!((bundle.links.len(), bundle.powered), (8, 8));
    assert!((bundle.length - 20.0).abs() < 1e-9);
    let rise = bundle.rise.value.unwrap();
    assert!(rise > 0.2 && rise < 5.0, "{rise}");
    // Eight of 6 mm fill 40 % of a pipe of 26.8 mm.
    assert!((bundle.least_pipe_mm - (8.0 * 36.0_f64 / 0.4).sqrt()).abs() < 1e-6);
    let mut many = powered(30, "hot", "big", 20.0, Way::Attic);
    many.own("ap-be-4x4-ceiling", "hot", |p| {
        let poe = p.poe.as_mut().unwrap();
        poe.class = 8;
        poe.worst_draw = Watts(71.3);
    });
    many.own("switch-8-poe-bt", "big", |p| {
        p.ports.lan = 48;
        p.poe_supply = Some(PoeSupply { ports: 48, class: 8, budget: Watts(4000.0) });
    });
    let outcome = many.run();
    assert!(found(&outcome, "cabling.bundle-heat").message.contains("60 °C"));
    assert_eq!(found(&outcome, "cabling.bundle-size").measured.as_ref().unwrap().value, 30.0);
}

#[test]
fn holes_that_are_too_full_are_found() {
    let mut case = powered(4, "ap-ax-2x2-ceiling", "switch-8-poe", 20.0, Way::StudBay);
    let links: Vec<Id> = case.design.links.iter().skip(1).map(|l| l.id.clone()).collect();
    let hole = |mm: f64| Hole {
        id: id("hole-1"),
        kind: HoleKind::Plate,
        element: id("w1"),
        at: Point3::new(0.0, 0.0, 2.4),
        depth: Metres(0.09),
        diameter: Metres(mm / 1000.0),
        links: links.clone(),
        fire_seal: false,
    };
    // Four of 6 mm: 144 mm² of diameters squared; 40 % of 19 mm squared are 144.4.
    case.wiring.as_mut().unwrap().holes = vec![hole(19.0)];
    assert!(!has(&case.rules(), "cabling.fill"));
    case.wiring.as_mut().unwrap().holes = vec![hole(18.9)];
    assert!(has(&case.rules(), "cabling.fill"));
    case.wiring.as_mut().unwrap().holes = vec![hole(f64::NAN), hole(0.0)];
    assert!(!has(&case.rules(), "cabling.fill"));
}

#[test]
fn panels_are_laid_out_and_held_against_heat_sockets_and_height() {
    let mut case = powered(2, "ap-ax-2x2-ceiling", "switch-8-poe", 20.0, Way::StudBay);
    case.place("panel", "panel-structured");
    case.place("patch", "patch-panel-12");
    case.place("ups", "battery-ac-400va");
    case.mains("ups");
    for part in &mut case.design.parts {
        if ["patch", "sw", "router", "ups"].contains(&part.id.as_str()) {
            part.mounting = Mounting::Panel;
        }
    }
    let outcome = case.run();
    let panel = &outcome.sheet.panels[0];
    let order: Vec<&str> = panel.rows.iter().map(|r| r.part.as_str()).collect();
    assert_eq!(order, ["patch", "sw", "router", "ups"]);
    assert_eq!(panel.rows.iter().map(|r| r.unit).collect::<Vec<_>>(), [1, 2, 3, 5]);
    assert_eq!((panel.units_used, panel.plugs, panel.duplex_outlets), (6, 3, 2));
    // Router 6 W, switch 9 W and a ninth of what it gives, battery supply 6 W.
    let given = outcome.sheet.supplies[0].worst_draw.value.unwrap();
    let heat = 6.0 + 9.0 + given * (1.0 / 0.9 - 1.0) + 6.0;
    assert!((panel.heat.value.unwrap() - heat).abs() < 1e-9);
    assert!((panel.heat_btu_h.value.unwrap() - heat * 3.412_142).abs() < 1e-6);
    assert!((panel.rise.value.unwrap() - heat / (4.0 * 0.36)).abs() < 1e-9);
    assert!(has(&case.rules(), "cabling.panel-heat"));
    case.terms.panel.air_flow = 0.01;
    assert!(!has(&case.rules(), "cabling.panel-heat"));
    case.terms.panel.units = 5;
    assert!(has(&case.rules(), "cabling.panel-full"));
    case.terms.panel.sockets = 2;
    assert!(has(&case.rules(), "cabling.panel-sockets"));
    (case.terms.panel.air_flow, case.terms.panel.passes) = (0.0, 0.0);
    assert!(found(&case.run(), "cabling.panel-heat").message.contains("no heat can leave"));
    // No outlet known, and a part without any power.
    for feed in &mut case.design.feeds {
        if let FeedSource::Mains { outlet } = &mut feed.source {
            *outlet = None;
        }
    }
    assert!(has(&case.rules(), "cabling.panel-without-power"));
    case.design.feeds.retain(|f| f.part != id("router"));
    let outcome = case.run();
    assert_eq!(found(&outcome, "cabling.not-powered").subjects, [id("router")]);
}

#[test]
fn unusable_terms_are_refused_with_every_problem() {
    let case = Case::new();
    let lookup = |wanted: &Id| case.parts.iter().find(|p| &p.id == wanted);
    let mut terms = Terms::default();
    terms.ambient.attic = f64::NAN;
    terms.supply_efficiency = 0.0;
    terms.cord_length = [5.0, 2.0, 1.0];
    let input = Input { design: &case.design, parts: &lookup, wiring: None, household: None, terms: &terms };
    let problems = evaluate(&input).unwrap_err().0;
    assert_eq!(problems.len(), 4, "{problems:?}");
}

#[test]
fn cold_and_odd_places_do_not_panic() {
    let mut case = powered(1, "ap-ax-2x2-ceiling", "switch-8-poe", 20.0, Way::Facade);
    case.terms.ambient.facade = -40.0;
    assert!(case.run().sheet.supplies[0].worst_draw.value.is_some());
    let route = &mut case.wiring.as_mut().unwrap().routes[0];
    route.stretches[0].to = Point3::new(f64::NAN, 0.0, 0.0);
    route.length.low = Some(f64::NAN);
    route.length.high = Some(-1.0);
    let outcome = case.run();
    assert_eq!(outcome.sheet.cables[1].fixed_length.value, Some(20.0));
    // A route without any length.
    route_to_nothing(&mut case);
    let _ = case.run();
}

fn route_to_nothing(case: &mut Case) {
    let route = &mut case.wiring.as_mut().unwrap().routes[0];
    route.stretches.clear();
    route.length = Figure::unknown("cable.length", id("x"), "m", vec!["a way".into()]);
}

#[test]
fn ten_thousand_cables_at_one_part_are_laid_out() {
    let work = |ports: usize| {
        let mut case = Case::new();
        case.place("sw", "big");
        case.own("switch-8", "big", |p| p.ports.lan = 20_000);
        for i in 0..ports {
            case.cord("sw", &format!("pc-{i}"));
        }
        let outcome = case.run();
        let sheet = outcome.sheet.ports.iter().find(|s| s.part == id("sw")).unwrap();
        assert_eq!(sheet.spare as usize, 20_000 - ports);
    };
    work(10_000);
    assert_eq!(Catalog::builtin().of_kind(PartKind::MediaConverter).count(), 1);
}
