//! A small house, a design in it, its wiring made by hand, and a price list.

#![allow(dead_code, reason = "each test file uses its own part of this")]

use building::{
    Deck, Electrical, Material, Panel, Resolved, ResolvedAssembly, ResolvedFraming, ResolvedLayer, ResolvedRoom,
    ResolvedStorey, RoomUse, SlabKind, StoreyUse, WallKind,
};
use cost::{Input, Quote, Terms, evaluate};
use equipment::{Catalog, PriceList};
use findings::{Figure, Id, Source};
use household::{Attachment, Device, DeviceKind, Household};
use network::wiring::{CableRoute, Hole, HoleKind, Stretch, Way, Wiring};
use network::{Design, Family, Feed, FeedSource, Link, Medium, Mounting, PlacedPart};
use site::Site;
use units::{Metres, Point2, Point3};

pub fn id(text: &str) -> Id {
    text.parse().expect("test id")
}

pub fn layer(a: f64, thickness: f64, framed: bool) -> ResolvedLayer {
    let material = Material {
        id: id("m"),
        name: "m".into(),
        electrical: Electrical::Dielectric { a, b: 0.0, c: 0.01, d: 0.8, min_ghz: 1.0, max_ghz: 10.0 },
        source: Source::generic(),
    };
    let framing = framed.then(|| ResolvedFraming { material: material.clone(), spacing: 0.4, width: 0.045 });
    ResolvedLayer { material, thickness, framing }
}

pub fn wall(name: &str, storey: usize, kind: WallKind, assembly: usize, a: (f64, f64), b: (f64, f64)) -> Panel {
    let z0 = 3.0 * storey as f64;
    Panel {
        wall: id(name),
        storey,
        kind,
        a: Point2::new(a.0, a.1),
        b: Point2::new(b.0, b.1),
        z0,
        z1: z0 + 2.6,
        thickness: 0.12,
        assembly,
        cuts: Vec::new(),
    }
}

/// Two storeys 3 m apart with ceilings at 2.6 m, 10 m by 8 m, a light wall at x = 5 m on each, one stairwell.
pub fn home() -> Resolved {
    let square = |x0: f64, y0: f64, x1: f64, y1: f64| {
        vec![Point2::new(x0, y0), Point2::new(x1, y0), Point2::new(x1, y1), Point2::new(x0, y1)]
    };
    let storey = |name: &str, z: f64| ResolvedStorey {
        id: id(name),
        name: name.into(),
        floor_z: z,
        ceiling_z: z + 2.6,
        usage: StoreyUse::Living,
    };
    let room = |name: &str, storey: usize, x0: f64, x1: f64| ResolvedRoom {
        id: id(name),
        name: name.into(),
        storey,
        usage: RoomUse::Living,
        outline: square(x0, 0.0, x1, 8.0),
        holes: Vec::new(),
        area: (x1 - x0) * 8.0,
        inside: Point2::new((x0 + x1) / 2.0, 4.0),
    };
    let floor = |storey: usize, holes| Deck {
        slab: id("floor"),
        storey,
        kind: SlabKind::Floor,
        outline: square(0.0, 0.0, 10.0, 8.0),
        holes,
        z_top: 3.0 * storey as f64,
        z_bottom: 3.0 * storey as f64 - 0.3,
        assembly: 0,
    };
    let assembly = |name: &str, layers| ResolvedAssembly { id: id(name), name: name.into(), layers };
    Resolved {
        storeys: vec![storey("ground", 0.0), storey("upper", 3.0)],
        rooms: vec![
            room("west", 0, 0.0, 5.0),
            room("east", 0, 5.0, 10.0),
            room("up-west", 1, 0.0, 5.0),
            room("up-east", 1, 5.0, 10.0),
        ],
        panels: vec![
            wall("middle", 0, WallKind::Inside, 0, (5.0, 0.0), (5.0, 8.0)),
            wall("middle-up", 1, WallKind::Inside, 0, (5.0, 0.0), (5.0, 8.0)),
        ],
        decks: vec![floor(0, Vec::new()), floor(1, vec![square(0.0, 0.0, 1.0, 8.0)])],
        assemblies: vec![
            assembly("light", vec![layer(2.73, 0.0125, false), layer(1.99, 0.09, true), layer(2.73, 0.0125, false)]),
            assembly("brick", vec![layer(3.91, 0.24, false)]),
        ],
        ..Resolved::default()
    }
}

pub fn placed(name: &str, part: &str, room: &str, at: (f64, f64, f64), mounting: Mounting) -> PlacedPart {
    PlacedPart {
        id: id(name),
        part: id(part),
        room: id(room),
        at: Point3::new(at.0, at.1, at.2),
        mounting,
        aim: None,
        kept: false,
    }
}

pub fn cable(name: &str, from: &str, to: &str) -> Link {
    Link { id: id(name), from: id(from), to: id(to), medium: Medium::Cable { part: id("cable-cat6") } }
}

/// A kept gateway, a PoE switch beside it, a ceiling access point in the other room.
pub fn design() -> Design {
    let mut gateway = placed("gateway", "gateway-ax", "west", (1.0, 1.0, 1.0), Mounting::Shelf);
    gateway.kept = true;
    Design {
        id: id("d"),
        name: "test".into(),
        family: Family::PoeCeiling,
        parts: vec![
            gateway,
            placed("switch", "switch-8-poe", "west", (1.0, 1.0, 1.0), Mounting::Shelf),
            placed("ap-1", "ap-ax-2x2-ceiling", "east", (8.0, 4.0, 2.6), Mounting::Ceiling),
        ],
        links: vec![
            Link { id: id("l1"), from: id("gateway"), to: id("switch"), medium: Medium::Cord },
            cable("l2", "switch", "ap-1"),
        ],
        radios: Vec::new(),
        segments: Vec::new(),
        feeds: vec![
            Feed { part: id("switch"), source: FeedSource::Mains { outlet: Some(id("o1")) } },
            Feed { part: id("ap-1"), source: FeedSource::Poe { part: id("switch") } },
        ],
        line_queue: network::LineQueue::Plain,
        upkeep: network::Upkeep::default(),
    }
}

pub fn site() -> Site {
    Site {
        failovers: Vec::new(),
        country: "DE".into(),
        code_region: None,
        currency: "EUR".parse().unwrap(),
        units: site::UnitSystem::Metric,
        language: "en".into(),
        date: "2026-11-25".parse().unwrap(),
        lines: Vec::new(),
        mains: site::Mains::default(),
        neighbours: Vec::new(),
    }
}

pub const PRICES: &str = "part,price,currency,date,unit,source\n\
    switch-8-poe,110.00,EUR,2026-11-01,piece,shop\n\
    ap-ax-2x2-ceiling,99.99,EUR,2026-11-01,piece,shop\n\
    cable-cat6,0.615,EUR,2026-11-01,m,shop\n\
    outlet-kit-cat6,14.95,EUR,2026-11-01,piece,shop\n\
    cord-cat6,4.49,EUR,2026-11-01,piece,shop\n\
    cord-cat6-1m,3.49,EUR,2026-11-01,piece,shop\n\
    cord-cat6-3m,5.49,EUR,2026-11-01,piece,shop\n\
    jack-cat6,5.95,EUR,2026-11-01,piece,shop\n\
    label-cable,0.25,EUR,2026-11-01,piece,shop\n\
    mount-ap,12.00,EUR,2026-11-01,piece,shop\n\
    firestop-seal,9.00,EUR,2026-11-01,piece,shop\n\
    labour-hour,64.00,EUR,2026-11-01,hour,own rate\n";

/// Everything that a quote is made from, to be changed by a test.
pub struct Case {
    pub design: Design,
    pub wiring: Wiring,
    pub home: Resolved,
    pub household: Household,
    pub prices: PriceList,
    pub terms: Terms,
    pub site: Site,
    pub catalog: Catalog,
}

impl Case {
    pub fn new() -> Self {
        Self {
            design: design(),
            wiring: Wiring {
                routes: vec![joist_route()],
                holes: vec![hole("hole-1", HoleKind::Wall, "middle", &["l2"])],
                ..Wiring::default()
            },
            home: home(),
            household: Household::default(),
            prices: PriceList::from_csv(PRICES).unwrap(),
            terms: Terms::default(),
            site: site(),
            catalog: Catalog::builtin(),
        }
    }

    pub fn input(&self) -> Input<'_> {
        Input {
            design: &self.design,
            wiring: &self.wiring,
            resolved: &self.home,
            catalog: &self.catalog,
            prices: &self.prices,
            household: &self.household,
            site: &self.site,
            terms: &self.terms,
        }
    }

    pub fn quote(&self) -> Quote {
        evaluate(&self.input())
    }

    pub fn rules(&self) -> Vec<String> {
        self.quote().findings.into_iter().map(|f| f.rule).collect()
    }
}

/// A stretch of a way from one point to the next.
pub fn stretch(way: Way, element: Option<&str>, from: (f64, f64, f64), to: (f64, f64, f64)) -> Stretch {
    let at = |p: (f64, f64, f64)| Point3::new(p.0, p.1, p.2);
    Stretch { way, element: element.map(id), from: at(from), to: at(to) }
}

/// A route of a category 6 cable, so many metres long with its loops.
pub fn route(link: &str, stretches: Vec<Stretch>, length: f64, holes: &[&str]) -> CableRoute {
    let way_length = stretches.iter().map(|s| s.from.distance(s.to)).sum();
    CableRoute {
        link: id(link),
        label: link.to_uppercase(),
        cable: id("cable-cat6"),
        stretches,
        holes: holes.iter().map(|h| id(h)).collect(),
        way_length: Metres(way_length),
        length: Figure::known("cable.length", id(link), length, "m"),
        existing: false,
    }
}

/// The way of `l2` from the switch up the wall, over the joists and through the wall to the access point: 11.6 m, and
/// 3.4 m of loops.
pub fn joist_route() -> CableRoute {
    route(
        "l2",
        vec![
            stretch(Way::StudBay, Some("middle"), (1.0, 1.0, 1.0), (1.0, 1.0, 2.6)),
            stretch(Way::JoistBay, Some("floor"), (1.0, 1.0, 2.6), (8.0, 1.0, 2.6)),
            stretch(Way::JoistBay, Some("floor"), (8.0, 1.0, 2.6), (8.0, 4.0, 2.6)),
        ],
        15.0,
        &["hole-1"],
    )
}

/// A hole at a fixed place.
pub fn hole(name: &str, kind: HoleKind, element: &str, links: &[&str]) -> Hole {
    Hole {
        id: id(name),
        kind,
        element: id(element),
        at: Point3::new(5.0, 1.0, 2.6),
        depth: Metres(0.12),
        diameter: Metres(0.02),
        links: links.iter().map(|l| id(l)).collect(),
        fire_seal: matches!(kind, HoleKind::PartyWall | HoleKind::Floor),
    }
}

/// A wired device.
pub fn device(name: &str, room: &str, at: Option<(f64, f64)>) -> Device {
    Device {
        id: id(name),
        kind: DeviceKind::Desktop,
        count: 1,
        owner: None,
        room: id(room),
        at: at.map(|(x, y)| Point2::new(x, y)),
        height: None,
        attachment: Attachment::Wired,
        radio: None,
        must_stay_up: false,
        has_battery: false,
        power: None,
        recording: None,
    }
}
