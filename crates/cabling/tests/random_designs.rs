//! Random designs: nothing panics, rings are as many as graph theory says, and intervals hold their values.

use cabling::{Input, Terms, evaluate};
use equipment::{Catalog, Part};
use findings::{Figure, Id};
use network::wiring::{CableRoute, Stretch, Way, Wiring};
use network::{Design, Family, Feed, FeedSource, LineQueue, Link, Medium, Mounting, PlacedPart};
use proptest::prelude::*;
use radio_profile::Band;
use units::{Metres, Point3};

fn id(text: &str) -> Id {
    Id::from_label(text)
}

/// A number that a broken document may hold.
fn odd_number() -> impl Strategy<Value = f64> {
    prop_oneof![Just(f64::NAN), Just(f64::INFINITY), Just(-1.0), Just(0.0), Just(1e300), 0.0..300.0_f64]
}

fn medium() -> impl Strategy<Value = Medium> {
    let cable = prop_oneof![
        Just("cable-cat6"),
        Just("cable-cat6a"),
        Just("cable-cca"),
        Just("cable-fibre-pair"),
        Just("cord-thin"),
        Just("switch-5"),
        Just("no-such-part"),
    ];
    prop_oneof![
        Just(Medium::Cord),
        Just(Medium::Radio { band: Band::Ghz5 }),
        cable.prop_map(|part| Medium::Cable { part: id(part) }),
    ]
}

const PARTS: [&str; 8] = [
    "router-wired",
    "switch-8-poe",
    "switch-5",
    "ap-be-4x4-ceiling",
    "node-ax-dual",
    "patch-panel-12",
    "media-converter-1g",
    "no-such-part",
];

prop_compose! {
    fn designs()(
        kinds in prop::collection::vec(0..PARTS.len(), 1..10),
        links in prop::collection::vec((0..12_usize, 0..12_usize, medium(), odd_number(), odd_number()), 0..25),
        feeds in prop::collection::vec((0..12_usize, 0..12_usize), 0..10),
    ) -> (Design, Wiring) {
        let parts = kinds.iter().enumerate().map(|(i, kind)| PlacedPart {
            id: id(&format!("p{i}")),
            part: id(PARTS[*kind]),
            room: id("room"),
            at: Point3::new(0.0, 0.0, 0.0),
            mounting: if i % 2 == 0 { Mounting::Panel } else { Mounting::Shelf },
            aim: None,
            kept: false,
        }).collect();
        let mut wiring = Wiring::default();
        let links = links.into_iter().enumerate().map(|(i, (from, to, medium, length, end))| {
            let link = Link { id: id(&format!("l{i}")), from: id(&format!("p{from}")), to: id(&format!("p{to}")), medium };
            if let Medium::Cable { part } = &link.medium && i % 3 != 0 {
                wiring.routes.push(CableRoute {
                    link: link.id.clone(),
                    label: String::new(),
                    cable: part.clone(),
                    stretches: vec![Stretch {
                        way: if i % 2 == 0 { Way::Attic } else { Way::Buried },
                        element: None,
                        from: Point3::new(0.0, 0.0, 0.0),
                        to: Point3::new(end, 0.0, 0.0),
                    }],
                    holes: vec![],
                    way_length: Metres(length),
                    length: Figure::known("cable.length", link.id.clone(), length, "m"),
                    existing: false,
                });
            }
            link
        }).collect();
        let feeds = feeds.into_iter().map(|(part, supply)| Feed {
            part: id(&format!("p{part}")),
            source: FeedSource::Poe { part: id(&format!("p{supply}")) },
        }).collect();
        let design = Design {
            id: id("d"),
            name: "random".into(),
            family: Family::OwnRouter,
            parts,
            links,
            radios: vec![],
            segments: vec![],
            feeds,
            line_queue: LineQueue::Plain,
            upkeep: network::Upkeep::default(),
        };
        (design, wiring)
    }
}

/// Independent rings among placed parts: links less parts plus pieces that hang together.
fn rings(design: &Design) -> usize {
    let is_placed = |end: &Id| design.part(end).is_some();
    // A link from a thing to itself is a ring whether it is placed or not.
    let links: Vec<&Link> =
        design.links.iter().filter(|l| l.from == l.to || (is_placed(&l.from) && is_placed(&l.to))).collect();
    let mut nodes: Vec<&Id> = links.iter().flat_map(|l| [&l.from, &l.to]).collect();
    nodes.sort();
    nodes.dedup();
    let mut seen: Vec<&Id> = Vec::new();
    let mut pieces = 0;
    for node in &nodes {
        if seen.contains(node) {
            continue;
        }
        pieces += 1;
        let mut open = vec![*node];
        while let Some(at) = open.pop() {
            if seen.contains(&at) {
                continue;
            }
            seen.push(at);
            open.extend(links.iter().filter(|l| &l.from == at).map(|l| &l.to));
            open.extend(links.iter().filter(|l| &l.to == at).map(|l| &l.from));
        }
    }
    links.len() + pieces - nodes.len()
}

fn check_figure(figure: &Figure) -> Result<(), TestCaseError> {
    prop_assert!(figure.value.is_some() || !figure.missing.is_empty(), "{figure:?} does not say what is missing");
    if let (Some(value), Some(low), Some(high)) = (figure.value, figure.low, figure.high) {
        prop_assert!(value.is_finite(), "{figure:?}");
        prop_assert!(low <= value && value <= high, "{figure:?}");
    }
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn nothing_panics_and_every_figure_is_known_or_says_why_not((design, wiring) in designs()) {
        let parts: Vec<Part> = Catalog::builtin().iter().cloned().collect();
        let lookup = |wanted: &Id| parts.iter().find(|p| &p.id == wanted);
        let terms = Terms::default();
        let input = Input { design: &design, parts: &lookup, wiring: Some(&wiring), household: None, terms: &terms };
        let outcome = evaluate(&input).unwrap();
        prop_assert_eq!(&outcome, &evaluate(&input).unwrap());
        for row in &outcome.sheet.cables {
            for figure in [
                &row.fixed_length, &row.channel_length, &row.most_cord, &row.loss_margin, &row.loop_resistance, &row.delay, &row.skew,
            ] {
                check_figure(figure)?;
            }
        }
        for row in &outcome.sheet.supplies {
            for figure in [&row.worst_draw, &row.margin, &row.own_loss] {
                check_figure(figure)?;
            }
            for fed in &row.fed {
                for figure in [&fed.at_port, &fed.voltage, &fed.current] {
                    check_figure(figure)?;
                }
            }
        }
        for row in &outcome.sheet.bundles {
            check_figure(&row.rise)?;
        }
        let told = outcome.findings.iter().filter(|f| f.rule == "cabling.loop").count();
        let rings = rings(&design);
        // Twenty are told one by one, the rest in one sentence.
        prop_assert_eq!(told, if rings > 20 { 21 } else { rings });
    }
}
