//! Take-off and work against counts made by hand: each way, each end, each hole.

use building::{
    Electrical, Material, Panel, Resolved, ResolvedAssembly, ResolvedLayer, ResolvedRoom, ResolvedStorey, RoomUse,
    StoreyUse, WallKind,
};
use cabling::labour::labour;
use cabling::take_off::{Plan, TakeOff, take_off};
use equipment::{Access, Catalog, Terms};
use findings::{Figure, Id, Source};
use household::Household;
use network::wiring::{CableRoute, Hole, HoleKind, Stretch, Way, Wiring};
use network::{Design, Family, Link, Medium, Mounting, PlacedPart};
use rust_decimal::Decimal;
use units::{Metres, Point2, Point3};

fn id(text: &str) -> Id {
    text.parse().expect("test id")
}

type Place = (f64, f64, f64);

fn at(p: Place) -> Point3 {
    Point3::new(p.0, p.1, p.2)
}

/// What is tested, to be changed by a test.
#[derive(Default)]
struct Case {
    parts: Vec<PlacedPart>,
    links: Vec<Link>,
    wiring: Wiring,
    home: Resolved,
    household: Household,
    terms: Terms,
}

impl Case {
    fn part(&mut self, name: &str, part: &str, place: Place, mounting: Mounting) -> &mut PlacedPart {
        self.parts.push(PlacedPart {
            id: id(name),
            part: id(part),
            room: id("r"),
            at: at(place),
            mounting,
            aim: None,
            kept: false,
        });
        self.parts.last_mut().unwrap()
    }

    fn cord(&mut self, name: &str, from: &str, to: &str) {
        self.links.push(Link { id: id(name), from: id(from), to: id(to), medium: Medium::Cord });
    }

    /// A cable that runs in one way from place to place, with 3.4 m of loops.
    fn cable(&mut self, name: &str, part: &str, to: &str, way: Way, places: &[Place]) -> &mut CableRoute {
        self.links.push(Link {
            id: id(name),
            from: id("switch"),
            to: id(to),
            medium: Medium::Cable { part: id(part) },
        });
        let stretches: Vec<Stretch> =
            places.windows(2).map(|w| Stretch { way, element: None, from: at(w[0]), to: at(w[1]) }).collect();
        let length: f64 = stretches.iter().map(|s| s.from.distance(s.to)).sum();
        self.wiring.routes.push(CableRoute {
            link: id(name),
            label: name.into(),
            cable: id(part),
            stretches,
            holes: Vec::new(),
            way_length: Metres(length),
            length: Figure::known("cable.length", id(name), length + 3.4, "m"),
            existing: false,
        });
        self.wiring.routes.last_mut().unwrap()
    }

    fn hole(&mut self, kind: HoleKind, element: &str, fire_seal: bool) {
        self.wiring.holes.push(Hole {
            id: id(&format!("hole-{}", self.wiring.holes.len() + 1)),
            kind,
            element: id(element),
            at: at((0.0, 0.0, 0.0)),
            depth: Metres(0.1),
            diameter: Metres(0.02),
            links: Vec::new(),
            fire_seal,
        });
    }

    fn run<T>(&self, with: impl FnOnce(&Plan, &TakeOff) -> T) -> T {
        let design = Design {
            id: id("d"),
            name: "d".into(),
            family: Family::HomeRunPanel,
            parts: self.parts.clone(),
            links: self.links.clone(),
            radios: Vec::new(),
            segments: Vec::new(),
            feeds: Vec::new(),
            line_queue: network::LineQueue::Plain,
            upkeep: network::Upkeep::default(),
        };
        let catalog = Catalog::builtin();
        let plan = Plan {
            design: &design,
            wiring: &self.wiring,
            home: &self.home,
            household: &self.household,
            catalog: &catalog,
        };
        with(&plan, &take_off(&plan, &self.terms.materials))
    }

    fn take_off(&self) -> TakeOff {
        self.run(|_, list| list.clone())
    }

    fn count(&self, part: &str) -> i64 {
        let list = self.take_off();
        let sum: Decimal = list.items.iter().filter(|i| i.part == id(part)).map(|i| i.quantity).sum();
        sum.to_string().parse().unwrap()
    }

    /// Quantity of the work whose name begins so.
    fn work(&self, task: &str) -> f64 {
        let all = self.run(|plan, list| labour(plan, list, &self.terms));
        all.lines.iter().filter(|l| l.task.starts_with(task)).map(|l| l.quantity).sum()
    }
}

fn near(found: f64, wanted: f64) {
    assert!((found - wanted).abs() < 1e-9, "{found} instead of {wanted}");
}

#[test]
fn two_jacks_share_an_outlet_where_two_cables_end() {
    let mut case = Case::default();
    case.part("switch", "switch-8", (0.0, 0.0, 1.0), Mounting::Shelf);
    for (name, y) in [("a", 4.0), ("b", 4.1), ("c", 9.0)] {
        case.cable(name, "cable-cat6", "desk", Way::StudBay, &[(0.0, 0.0, 0.4), (6.0, 0.0, 0.4), (6.0, y, 0.4)]);
    }
    // Three ends at the switch: two outlets and a jack; far away two in one place and one alone.
    assert_eq!((case.count("outlet-kit-cat6"), case.count("jack-cat6")), (4 + 1, 2 + 1));
    near(case.work("Fit and terminate an outlet"), 4.0);
    near(case.work("Terminate a further jack"), 2.0);
    // At a patch panel the near ends need neither; the panel's jacks are its own.
    case.part("panel", "patch-panel-12", (0.0, 0.0, 1.0), Mounting::Panel);
    assert_eq!((case.count("outlet-kit-cat6"), case.count("jack-cat6")), (2 + 1, 1 + 1));
    near(case.work("Terminate a cable at the patch panel"), 3.0);
    // Two labels a cable and one a port; at the panel 1 m cords, at the desk 3 m ones.
    assert_eq!(case.count("label-cable"), 3 * 2 + 12);
    assert_eq!((case.count("cord-cat6-1m"), case.count("cord-cat6-3m")), (3, 3));
    // Category 6A has jacks of its own, in outlets of their own.
    case.cable("d", "cable-cat6a", "desk", Way::StudBay, &[(0.0, 0.0, 0.4), (6.0, 9.0, 0.4)]);
    assert_eq!((case.count("outlet-kit-cat6a"), case.count("outlet-kit-cat6")), (1 + 1, 2 + 1));
    // No spares if none are wanted.
    case.terms.materials.spares = units::Percent::new(0);
    assert_eq!((case.count("outlet-kit-cat6"), case.count("jack-cat6")), (2, 1));
}

#[test]
fn pipes_follow_how_many_cables_they_take() {
    let mut case = Case::default();
    case.part("switch", "switch-8", (0.0, 0.0, 1.0), Mounting::Shelf);
    let way = [(0.0, 0.0, 0.0), (10.0, 0.0, 0.0)];
    case.cable("a", "cable-cat6", "x", Way::Conduit, &way);
    // One cable of 6.0 mm: 36 mm² of 0.53 × 14.1² = 105 mm².
    assert_eq!(case.count("conduit-20"), 10);
    case.cable("b", "cable-cat6", "x", Way::Conduit, &way);
    // Two: 72 mm² of 0.31 × 14.1² = 61.6 mm² do not fit; 0.31 × 18.3² = 103.8 mm² take them.
    assert_eq!((case.count("conduit-20"), case.count("conduit-25")), (0, 10));
    for name in ["c", "d", "e", "f"] {
        case.cable(name, "cable-cat6", "x", Way::Conduit, &way);
    }
    // Six: 216 mm² of 0.40 × 24.3² = 236 mm². Seven: two pipes of four and three.
    assert_eq!(case.count("conduit-32"), 10);
    case.cable("g", "cable-cat6", "x", Way::Conduit, &way);
    assert_eq!(case.count("conduit-32"), 20);
    near(case.work("Lay pipe"), 10.0);
    // A pipe of the home is there already.
    for route in &mut case.wiring.routes {
        route.stretches.iter_mut().for_each(|s| s.element = Some(id("pipe-1")));
    }
    assert_eq!(case.count("conduit-32"), 0);
    near(case.work("Lay pipe"), 0.0);
    // In a raceway four cables lie side by side.
    for route in &mut case.wiring.routes {
        route.stretches.iter_mut().for_each(|s| s.way = Way::Raceway);
    }
    assert_eq!(case.count("raceway-surface"), 20);
}

#[test]
fn cables_that_run_together_are_pulled_together() {
    let mut case = Case::default();
    case.part("switch", "switch-8", (0.0, 0.0, 1.0), Mounting::Shelf);
    case.cable("a", "cable-cat6", "x", Way::Attic, &[(0.0, 0.0, 3.0), (10.0, 0.0, 3.0)]);
    case.cable("b", "cable-cat6", "y", Way::Attic, &[(0.0, 0.0, 3.0), (6.0, 0.0, 3.0), (6.0, 5.0, 3.0)]);
    near(case.work("Pull cable, by the metre of way (attic or crawl space)"), 15.0);
    near(case.work("Pull further cables with it, by the metre (attic or crawl space)"), 6.0);
    // 13.4 and 14.4 m, a tenth more: 30.58 m, so 31 m, from two spools since they are pulled together.
    let list = case.take_off();
    assert_eq!(case.count("cable-cat6"), 31);
    assert_eq!((list.spools[0].open, list.spools[0].spools.len()), (2, 2));
    case.terms.materials.pulled_at_once = 1;
    assert_eq!(case.take_off().spools[0].spools.len(), 1);
    // Where a length may be more than the waste allows for, the longest of it is cut, and what is likely is paid.
    case.wiring.routes[0].length.high = Some(40.0);
    let list = case.take_off();
    near(list.spools[0].cut.value(), 40.0 + 15.84);
    assert_eq!(case.count("cable-cat6"), 31);
}

#[test]
fn what_is_there_already_takes_neither_cable_nor_holes() {
    let mut case = Case::default();
    case.part("switch", "switch-8", (0.0, 0.0, 1.0), Mounting::Shelf);
    case.cable("a", "cable-cat6", "x", Way::Existing, &[(0.0, 0.0, 0.4), (10.0, 0.0, 0.4)]).existing = true;
    let list = case.take_off();
    assert_eq!((case.count("cable-cat6"), case.count("outlet-kit-cat6"), list.spools.len()), (0, 0, 0));
    // It is tested, labelled and plugged in.
    assert_eq!((case.count("label-cable"), case.count("cord-cat6"), case.count("cord-cat6-3m")), (2, 1, 1));
    near(case.work("Test and label"), 1.0);
    near(case.work("Pull cable"), 0.0);
    near(case.work("Come back"), 0.0);
}

#[test]
fn copper_outdoors_is_protected_and_fibre_needs_it_not() {
    let mut case = Case::default();
    case.part("switch", "switch-8", (0.0, 0.0, 1.0), Mounting::Shelf);
    case.cable("a", "cable-cat6-outdoor", "x", Way::Buried, &[(0.0, 0.0, -0.5), (20.0, 0.0, -0.5)]);
    assert_eq!((case.count("surge-protector-data"), case.count("bonding-kit")), (2, 2));
    assert_eq!(case.count("conduit-buried-50"), 20);
    near(case.work("Dig and close a trench"), 20.0);
    near(case.work("Fit and bond a surge protector"), 2.0);
    case.wiring.routes[0].stretches[0].way = Way::Facade;
    assert_eq!((case.count("surge-protector-data"), case.count("conduit-buried-50")), (1, 0));
    near(case.work("Fix cable on the outside, by the metre (outside)"), 20.0);
    // Fibre comes in its length with its plugs: no spool, no jack, no cord, no surge.
    let mut fibre = Case::default();
    fibre.part("switch", "switch-8", (0.0, 0.0, 1.0), Mounting::Shelf);
    fibre.cable("a", "cable-fibre-pair", "x", Way::Buried, &[(0.0, 0.0, -0.5), (20.0, 0.0, -0.5)]);
    assert_eq!(fibre.count("cable-fibre-pair"), 26); // 23.4 × 1.1 = 25.74
    for part in ["surge-protector-data", "outlet-kit-cat6", "cord-cat6", "cord-cat6-1m", "cord-cat6-3m"] {
        assert_eq!(fibre.count(part), 0, "{part}");
    }
    assert!(fibre.take_off().spools.is_empty());
}

#[test]
fn cords_are_as_long_as_they_must_be() {
    let mut case = Case::default();
    case.part("switch", "switch-8", (0.0, 0.0, 1.0), Mounting::Shelf);
    case.part("router", "router-ax", (1.0, 1.0, 1.5), Mounting::Shelf);
    case.cord("a", "router", "switch");
    // 1 + 1 + 0.5 and half a metre more: exactly 3 m.
    assert_eq!(case.count("cord-cat6-3m"), 1);
    case.parts[1].at.x = 1.1;
    assert_eq!(case.count("cord-cat6-5m"), 1);
    // A device without a place of its own.
    case.cord("b", "router", "desk");
    assert_eq!(case.count("cord-cat6-3m"), 1);
    case.parts[1].at.x = 30.0;
    let list = case.take_off();
    assert_eq!(list.findings[0].rule, "cabling.cord-too-long");
    assert_eq!(list.findings[0].measured.as_ref().unwrap().value, 32.0);
    // Both ends were there: so was the cord.
    case.parts.iter_mut().for_each(|p| p.kept = true);
    assert_eq!((case.count("cord-cat6-10m"), case.take_off().findings.len()), (0, 0));
}

#[test]
fn holes_bring_their_seals_and_their_work() {
    let mut case = Case::default();
    case.part("switch", "switch-8", (0.0, 0.0, 1.0), Mounting::Shelf);
    case.cable("a", "cable-cat6", "x", Way::StudBay, &[(0.0, 0.0, 0.4), (10.0, 0.0, 0.4)]);
    case.hole(HoleKind::Wall, "light", false);
    case.hole(HoleKind::Wall, "brick", false);
    case.hole(HoleKind::PartyWall, "brick", true);
    case.hole(HoleKind::Floor, "floor", true);
    case.hole(HoleKind::OuterWall, "light", false);
    case.hole(HoleKind::Plate, "light", false);
    case.hole(HoleKind::Joist, "floor", false);
    let material = Material {
        id: id("brick"),
        name: "brick".into(),
        electrical: Electrical::Dielectric { a: 3.91, b: 0.0, c: 0.02, d: 0.16, min_ghz: 1.0, max_ghz: 40.0 },
        source: Source::generic(),
    };
    case.home.assemblies = vec![ResolvedAssembly {
        id: id("brick"),
        name: "brick".into(),
        layers: vec![ResolvedLayer { material, thickness: 0.24, framing: None }],
    }];
    case.home.panels = vec![Panel {
        wall: id("brick"),
        storey: 0,
        kind: WallKind::Inside,
        a: Point2::new(0.0, 0.0),
        b: Point2::new(1.0, 0.0),
        z0: 0.0,
        z1: 2.5,
        thickness: 0.24,
        assembly: 0,
        cuts: Vec::new(),
    }];
    assert_eq!((case.count("firestop-seal"), case.count("seal-weather")), (2, 1));
    near(case.work("Seal a hole against fire"), 2.0);
    near(case.work("Make a hole through a wall (finished walls)"), 1.0);
    near(case.work("Make a hole through a wall (solid walls)"), 2.0);
    near(case.work("Make a hole through a floor (finished walls)"), 1.0);
    near(case.work("Make a hole to the outside"), 1.0);
    near(case.work("Drill through a wall's plate"), 1.0);
    near(case.work("Drill through a joist"), 1.0);
    case.terms.access = Some(Access::OpenWalls);
    near(case.work("Make a hole through a wall (open)"), 3.0);
}

#[test]
fn the_more_is_known_to_be_missing_the_less_is_guessed() {
    let mut case = Case::default();
    case.part("switch", "switch-8", (0.0, 0.0, 1.0), Mounting::Shelf);
    case.cable("a", "cable-cat6", "x", Way::StudBay, &[(0.0, 0.0, 0.4), (10.0, 0.0, 0.4)]);
    assert!(case.take_off().missing.is_empty());
    case.wiring.routes[0].length.value = Some(f64::INFINITY);
    assert_eq!(case.take_off().missing, ["a believable length of cable `a`"]);
    case.wiring.routes.clear();
    let list = case.take_off();
    assert_eq!(list.missing, ["a route of cable `a`"]);
    assert!(list.spools.is_empty() && list.pathways.is_empty());
}

#[test]
fn a_room_is_walked_once() {
    let mut case = Case::default();
    case.part("router", "router-ax", (0.0, 0.0, 1.0), Mounting::Shelf);
    case.home.storeys =
        vec![ResolvedStorey { id: id("s"), name: "s".into(), floor_z: 0.0, ceiling_z: 2.5, usage: StoreyUse::Living }];
    let room = |name: &str| ResolvedRoom {
        id: id(name),
        name: name.into(),
        storey: 0,
        usage: RoomUse::Living,
        outline: Vec::new(),
        holes: Vec::new(),
        area: 10.0,
        inside: Point2::new(0.0, 0.0),
    };
    case.home.rooms = vec![room("r"), room("s")];
    near(case.work("Walk test"), 2.0);
    near(case.work("Set up a router"), 1.0);
}
