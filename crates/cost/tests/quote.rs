//! A design's take-off, work and price through the one door, against sums and lengths worked by hand.

use building::{
    Cut, Deck, Electrical, Material, OpeningKind, Panel, Resolved, ResolvedAssembly, ResolvedFraming, ResolvedLayer,
    ResolvedRoom, ResolvedStorey, RoomUse, SlabKind, StoreyUse, WallKind,
};
use cost::{Access, Input, Quote, Terms, cautions, evaluate};
use equipment::{Catalog, PriceList};
use findings::{Id, Source};
use household::{Attachment, Device, DeviceKind, Household};
use network::{Design, Family, Feed, FeedSource, Link, Medium, Mounting, PlacedPart};
use rust_decimal::Decimal;
use site::Site;
use units::{Point2, Point3};

fn id(text: &str) -> Id {
    text.parse().expect("test id")
}

fn layer(a: f64, thickness: f64, framed: bool) -> ResolvedLayer {
    let material = Material {
        id: id("m"),
        name: "m".into(),
        electrical: Electrical::Dielectric { a, b: 0.0, c: 0.01, d: 0.8, min_ghz: 1.0, max_ghz: 10.0 },
        source: Source::generic(),
    };
    let framing = framed.then(|| ResolvedFraming { material: material.clone(), spacing: 0.4, width: 0.045 });
    ResolvedLayer { material, thickness, framing }
}

fn wall(name: &str, storey: usize, kind: WallKind, assembly: usize, a: (f64, f64), b: (f64, f64)) -> Panel {
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
fn home() -> Resolved {
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

fn placed(name: &str, part: &str, room: &str, at: (f64, f64, f64), mounting: Mounting) -> PlacedPart {
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

fn cable(name: &str, from: &str, to: &str) -> Link {
    Link { id: id(name), from: id(from), to: id(to), medium: Medium::Cable { part: id("cable-cat6") } }
}

/// A kept gateway, a PoE switch beside it, a ceiling access point in the other room.
fn design() -> Design {
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
    }
}

fn site() -> Site {
    Site {
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

const PRICES: &str = "part,price,currency,date,unit,source\n\
    switch-8-poe,110.00,EUR,2026-11-01,piece,shop\n\
    ap-ax-2x2-ceiling,99.99,EUR,2026-11-01,piece,shop\n\
    cable-cat6,0.615,EUR,2026-11-01,m,shop\n\
    outlet-kit-cat6,14.95,EUR,2026-11-01,piece,shop\n\
    cord-cat6,4.49,EUR,2026-11-01,piece,shop\n\
    mount-ap,12.00,EUR,2026-11-01,piece,shop\n\
    firestop-seal,9.00,EUR,2026-11-01,piece,shop\n\
    labour-hour,64.00,EUR,2026-11-01,hour,own rate\n";

/// Everything that a quote is made from, to be changed by a test.
struct Case {
    design: Design,
    home: Resolved,
    household: Household,
    prices: PriceList,
    terms: Terms,
    site: Site,
    catalog: Catalog,
}

impl Case {
    fn new() -> Self {
        Self {
            design: design(),
            home: home(),
            household: Household::default(),
            prices: PriceList::from_csv(PRICES).unwrap(),
            terms: Terms::default(),
            site: site(),
            catalog: Catalog::builtin(),
        }
    }

    fn input(&self) -> Input<'_> {
        Input {
            design: &self.design,
            resolved: &self.home,
            catalog: &self.catalog,
            prices: &self.prices,
            household: &self.household,
            site: &self.site,
            terms: &self.terms,
        }
    }

    fn quote(&self) -> Quote {
        evaluate(&self.input())
    }

    fn rules(&self) -> Vec<String> {
        self.quote().findings.into_iter().map(|f| f.rule).collect()
    }
}

fn value(quote: &Quote, figure: &str) -> Option<f64> {
    quote.figure(figure).unwrap_or_else(|| panic!("no figure {figure}")).value
}

fn device(name: &str, room: &str, at: Option<(f64, f64)>) -> Device {
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
        recording: None,
    }
}

#[test]
fn length_and_take_off_worked_by_hand() {
    let quote = Case::new().quote();
    // Up 2.6 − 1.0, across 7 + 3, down 0, loops 3 + 0.4: 15 m. Bought: 15 × 1.1 = 16.5, so 17 m.
    assert!((quote.routes[0].length.value() - 15.0).abs() < 1e-9);
    assert_eq!(quote.routes[0].penetrations, 1);
    assert!(quote.routes[0].estimate && quote.figure("cable.length").unwrap().estimate);
    let lines: Vec<(String, f64, String)> = quote
        .take_off
        .iter()
        .map(|l| (l.part.to_string(), l.quantity, l.price.map_or("?".into(), |p| p.to_string())))
        .collect();
    let expected = [
        ("gateway-ax", 1.0, "0.00 EUR"),
        ("switch-8-poe", 1.0, "110.00 EUR"),
        ("ap-ax-2x2-ceiling", 1.0, "99.99 EUR"),
        ("cable-cat6", 17.0, "10.46 EUR"), // 17 × 0.615 = 10.455
        ("outlet-kit-cat6", 2.0, "29.90 EUR"),
        ("cord-cat6", 3.0, "13.47 EUR"),
        ("mount-ap", 1.0, "12.00 EUR"),
    ];
    assert_eq!(lines, expected.map(|(a, b, c)| (a.to_owned(), b, c.to_owned())));
    // 110.00 + 99.99 + 10.46 + 29.90 + 13.47 + 12.00
    let price = quote.price.unwrap();
    assert_eq!(price.parts.to_string(), "275.82 EUR");
}

#[test]
fn an_outlet_that_ends_a_cable_is_counted_once() {
    let without = Case::new().quote();
    let mut case = Case::new();
    case.design.parts.push(placed("spare", "outlet-kit-cat6", "east", (8.0, 4.0, 0.3), Mounting::Wall));
    case.design.links.push(cable("l3", "switch", "spare"));
    let with = case.quote();
    let count = |quote: &Quote, part: &str| {
        quote.take_off.iter().filter(|l| l.part.as_str() == part).map(|l| l.quantity).sum::<f64>()
    };
    // One more cable: a kit at either end, and one cord, since nothing is plugged into the spare outlet.
    assert_eq!(count(&with, "outlet-kit-cat6"), count(&without, "outlet-kit-cat6") + 2.0);
    assert_eq!(count(&with, "cord-cat6"), count(&without, "cord-cat6") + 1.0);
    let mounted =
        |quote: &Quote| quote.labour.iter().filter(|l| l.task.starts_with("Mount")).map(|l| l.quantity).sum::<f64>();
    assert_eq!(mounted(&with), mounted(&without));
}

#[test]
fn price_adds_up_to_the_cent_and_margin_is_over_price() {
    let mut case = Case::new();
    case.terms.tax = Some(Decimal::new(19, 2));
    let quote = case.quote();
    let sums = quote.price.clone().unwrap();
    let parts: Decimal = quote.take_off.iter().map(|l| l.price.unwrap().amount).sum();
    assert_eq!(sums.parts.amount, parts);
    let cost = sums.parts.amount + sums.labour.amount + sums.overhead.amount;
    let price = cost + sums.margin.amount;
    assert_eq!(price + sums.tax.amount, sums.total.amount);
    // Margin is (price − cost) / price: 20 % to within half a cent of the price.
    assert!((sums.margin.amount - price * Decimal::new(20, 2)).abs() <= Decimal::new(1, 2));
    let figure = quote.figure("price").unwrap();
    assert_eq!(figure.unit, "EUR");
    assert_eq!(figure.value.unwrap().to_string(), sums.total.amount.normalize().to_string());
    assert!(figure.low.unwrap() < figure.value.unwrap() && figure.value.unwrap() < figure.high.unwrap());
    assert!(!case.rules().contains(&"cost.tax-not-included".to_owned()));
}

#[test]
fn labour_lines_add_up_to_the_median() {
    let quote = Case::new().quote();
    let hours: f64 = quote.labour.iter().map(|l| l.time.value() / 3600.0).sum();
    assert!((hours - value(&quote, "labour.hours").unwrap()).abs() < 1e-9);
    assert!(quote.hours.p20 < quote.hours.p50 && quote.hours.p50 < quote.hours.p80);
    assert!(quote.labour.iter().any(|l| l.task == "Pull cable, by the metre (finished walls)" && l.quantity > 14.9));
}

#[test]
fn a_cable_between_storeys_rises_through_the_floor() {
    let mut case = Case::new();
    case.design.parts[2] = placed("ap-1", "ap-ax-2x2-ceiling", "up-east", (8.0, 4.0, 5.6), Mounting::Ceiling);
    let quote = case.quote();
    // Up 2.6 − 1.0, across 7 + 3, up 5.6 − 2.6, loops 3.4: 18 m; one wall, one floor, one seal.
    assert!((quote.routes[0].length.value() - 18.0).abs() < 1e-9);
    assert_eq!(quote.routes[0].penetrations, 2);
    let seal = quote.take_off.iter().find(|l| l.part.as_str() == "firestop-seal").unwrap();
    assert_eq!(seal.quantity, 1.0);
    // Rising through the stairwell passes no floor.
    case.design.parts[2] = placed("ap-1", "ap-ax-2x2-ceiling", "up-west", (0.5, 4.0, 5.6), Mounting::Ceiling);
    assert_eq!(case.quote().routes[0].penetrations, 0);
    // The cable is as long either way round, and passes as much.
    case.design.parts[2] = placed("ap-1", "ap-ax-2x2-ceiling", "up-east", (8.0, 4.0, 5.6), Mounting::Ceiling);
    let there = case.quote().routes[0].clone();
    case.design.links[1] = cable("l2", "ap-1", "switch");
    let back = case.quote().routes[0].clone();
    assert!((there.length.value() - back.length.value()).abs() < 1e-9);
    assert_eq!(there.penetrations, back.penetrations);
    // Without floors in the model, a storey is taken to have one.
    case.home.decks.clear();
    assert_eq!(case.quote().routes[0].penetrations, 2);
}

#[test]
fn a_cable_is_never_shorter_than_the_straight_line() {
    let mut case = Case::new();
    for (x, y, z) in [(1.0, 1.0, 1.0), (9.9, 7.9, 0.1), (0.1, 7.9, 2.6), (5.0, 4.0, 1.3), (9.0, 0.2, 2.0)] {
        case.design.parts[2].at = Point3::new(x, y, z);
        let straight = case.design.parts[1].at.distance(case.design.parts[2].at);
        assert!(case.quote().routes[0].length.value() >= straight + 3.4 - 1e-9);
    }
}

#[test]
fn an_outlet_at_a_device_stands_near_the_floor() {
    let mut case = Case::new();
    case.household.devices = vec![device("desk", "east", Some((7.0, 1.0))), device("tv", "west", None)];
    case.design.links = vec![cable("a", "switch", "desk"), cable("b", "switch", "tv")];
    let quote = case.quote();
    // Up 1.6, across 6, down 2.6 − 0.4, loops 3.4: 13.2 m; without a place, the room's inner point (2.5, 4).
    assert!((quote.routes[0].length.value() - 13.2).abs() < 1e-9);
    assert!((quote.routes[1].length.value() - (1.6 + 1.5 + 3.0 + 2.2 + 3.4)).abs() < 1e-9);
    assert_eq!((quote.routes[0].penetrations, quote.routes[1].penetrations), (1, 0));
}

#[test]
fn walls_in_line_count_once_and_the_path_with_fewer_outer_walls_is_taken() {
    let mut case = Case::new();
    // The path along x first runs at y = 1, through the joint of two walls in line there.
    case.home.panels[0].b = Point2::new(5.0, 1.0);
    case.home.panels.push(wall("middle-2", 0, WallKind::Inside, 0, (5.0, 1.0), (5.0, 8.0)));
    assert_eq!(case.quote().routes[0].penetrations, 1);
    // Along x first passes one outer wall, along y first passes two inside ones: stay inside.
    case.home.panels = vec![
        wall("outer", 0, WallKind::Outer, 0, (5.0, 0.0), (5.0, 3.0)),
        wall("in-1", 0, WallKind::Inside, 0, (5.0, 3.0), (5.0, 8.0)),
        wall("in-2", 0, WallKind::Inside, 0, (6.0, 3.0), (6.0, 8.0)),
    ];
    assert_eq!(case.quote().routes[0].penetrations, 2);
    // A gap up to the ceiling needs no hole; a door below it does not matter.
    let cut = |kind, z1| Cut { opening: id("o"), kind, s0: 0.0, s1: 5.0, z0: 0.0, z1, assembly: None };
    case.home.panels[1].cuts = vec![cut(OpeningKind::Gap, 2.6)];
    assert_eq!(case.quote().routes[0].penetrations, 1);
    case.home.panels[1].cuts = vec![cut(OpeningKind::Gap, 2.1)];
    assert_eq!(case.quote().routes[0].penetrations, 2);
    // A low wall is passed over.
    case.home.panels[1].z1 = 1.2;
    assert_eq!(case.quote().routes[0].penetrations, 1);
}

#[test]
fn harder_walls_take_longer_and_stated_access_wins() {
    let finished = Case::new().quote().hours.p50;
    let mut solid = Case::new();
    solid.home.panels[0].assembly = 1;
    assert!(solid.quote().hours.p50 > finished);
    assert!(solid.quote().labour.iter().any(|l| l.task.ends_with("(solid walls)")));
    solid.terms.access = Some(Access::OpenWalls);
    assert!(solid.quote().hours.p50 < finished);
    let mut attic = Case::new();
    attic.home.storeys[1].usage = StoreyUse::Attic;
    assert!(attic.quote().hours.p50 < finished);
}

#[test]
fn a_patch_panel_takes_the_near_ends() {
    let mut case = Case::new();
    case.design.parts.push(placed("patch", "patch-panel-12", "west", (1.0, 1.0, 1.0), Mounting::Panel));
    let quote = case.quote();
    let kits = quote.take_off.iter().find(|l| l.part.as_str() == "outlet-kit-cat6").unwrap();
    assert_eq!(kits.quantity, 1.0);
    assert!(quote.labour.iter().any(|l| l.task.starts_with("Terminate a cable at the patch panel")));
}

#[test]
fn a_missing_price_is_never_zero() {
    let mut case = Case::new();
    let without = PRICES.replace("ap-ax-2x2-ceiling,99.99,EUR,2026-11-01,piece,shop\n", "");
    case.prices = PriceList::from_csv(&without).unwrap();
    case.household.wishes.budget = Some("5000 EUR".parse().unwrap());
    let quote = case.quote();
    let figure = quote.figure("price").unwrap();
    assert_eq!((figure.value, quote.price.clone()), (None, None));
    assert_eq!(figure.missing, ["price of `ap-ax-2x2-ceiling`"]);
    assert_eq!(case.rules(), ["cost.price-missing", "cost.budget-not-compared"]);
    let line = quote.take_off.iter().find(|l| l.part.as_str() == "ap-ax-2x2-ceiling").unwrap();
    assert_eq!((line.unit_price, line.price), (None, None));
    // The rate of an hour is a price like any other.
    case.prices = PriceList::from_csv(&PRICES.replace("labour-hour,64.00,EUR,2026-11-01,hour,own rate\n", "")).unwrap();
    assert_eq!(case.quote().figure("price").unwrap().missing, ["price of `labour-hour`"]);
    // A price per piece is no price per metre.
    case.prices = PriceList::from_csv(&PRICES.replace("2026-11-01,m,", "2026-11-01,piece,")).unwrap();
    assert!(case.quote().figure("price").unwrap().missing[0].contains("`cable-cat6` per m; the list has it per piece"));
}

#[test]
fn unknown_parts_and_ends_are_named() {
    let mut case = Case::new();
    case.design.parts[2].part = id("ap-ax-2x2-celing");
    case.design.links.push(cable("l3", "switch", "nothing"));
    let quote = case.quote();
    let messages: Vec<_> = quote.findings.iter().map(|f| f.message.as_str()).collect();
    assert!(messages[0].contains("is `ap-ax-2x2-ceiling` meant?"), "{messages:#?}");
    assert!(messages[1].contains("a placed part or a device with the id `nothing`"), "{messages:#?}");
    for figure in ["price", "labour.hours", "cable.length", "penetrations"] {
        assert_eq!(value(&quote, figure), None, "{figure}");
        assert!(!quote.figure(figure).unwrap().missing.is_empty());
    }
    case.design.parts[1].at = Point3::new(f64::NAN, 0.0, 0.0);
    assert_eq!(value(&case.quote(), "cable.length"), None);
}

#[test]
fn kept_parts_alone_cost_nothing() {
    let mut case = Case::new();
    case.design.parts.truncate(1);
    case.design.links.clear();
    case.design.feeds.clear();
    let quote = case.quote();
    assert_eq!(value(&quote, "price"), Some(0.0));
    assert_eq!(value(&quote, "labour.hours"), Some(0.0));
    assert_eq!(quote.take_off.len(), 1);
    assert!(quote.labour.is_empty());
    assert!(cautions(&case.input(), &quote).is_empty());
}

#[test]
fn budget_and_drilling_are_held_against_the_wishes() {
    let mut case = Case::new();
    let total = case.quote().price.unwrap();
    case.household.wishes.no_drilling = true;
    case.household.wishes.budget = Some("100.00 EUR".parse().unwrap());
    assert_eq!(case.rules(), ["cost.drilling-not-wished", "cost.over-budget", "cost.tax-not-included"]);
    let finding = &case.quote().findings[0];
    // One wall, two outlets, one ceiling mount.
    assert_eq!(finding.measured.as_ref().unwrap().value, 4.0);
    case.household.wishes.no_drilling = false;
    case.household.wishes.budget = Some(total.total);
    assert_eq!(case.rules(), ["cost.budget-may-not-hold", "cost.tax-not-included"]);
    case.household.wishes.budget = Some(total.high);
    assert_eq!(case.rules(), ["cost.tax-not-included"]);
    case.household.wishes.budget = Some("9999 USD".parse().unwrap());
    assert_eq!(case.rules(), ["cost.budget-not-compared", "cost.tax-not-included"]);
}

#[test]
fn a_permanent_link_is_at_most_90_m() {
    let mut case = Case::new();
    // 1.6 up, 3 along y, 3.4 loops: 82 m along x makes 90 m exactly.
    case.design.parts[2].at = Point3::new(83.0, 4.0, 2.6);
    assert!((case.quote().routes[0].length.value() - 90.0).abs() < 1e-9);
    assert!(!case.rules().contains(&"cost.permanent-link-too-long".to_owned()));
    case.design.parts[2].at = Point3::new(83.5, 4.0, 2.6);
    assert!(case.rules().contains(&"cost.permanent-link-too-long".to_owned()));
}

#[test]
fn currency_date_and_terms_are_watched() {
    let mut case = Case::new();
    case.terms.tax = Some(Decimal::ZERO);
    case.site.currency = "USD".parse().unwrap();
    case.site.date = "2027-11-02".parse().unwrap();
    assert_eq!(case.rules(), ["cost.currency-differs", "cost.prices-old"]);
    case.site.date = "2027-11-01".parse().unwrap();
    assert_eq!(case.rules(), ["cost.currency-differs"]);
    case.terms.margin = Decimal::ONE;
    assert!(case.quote().figure("price").unwrap().missing[0].contains("a margin between 0 and 0.95"));
}

#[test]
fn cautions_are_those_of_the_work_at_hand() {
    let works =
        |case: &Case| -> Vec<String> { cautions(&case.input(), &case.quote()).into_iter().map(|c| c.work).collect() };
    let mut case = Case::new();
    assert_eq!(
        works(&case),
        [
            "drilling",
            "drilling in old finishes",
            "holes through walls and floors",
            "work at the ceiling",
            "pulling cable",
            "mains",
            "power over data cables",
            "radios",
        ]
    );
    case.home.storeys[1].usage = StoreyUse::Attic;
    assert!(works(&case).iter().any(|work| work == "attic or crawl space"));
    // One router on a shelf: no ladder, no drill.
    case.design.parts = vec![placed("r", "router-ax", "west", (1.0, 1.0, 1.0), Mounting::Shelf)];
    case.design.links.clear();
    case.design.feeds = vec![Feed { part: id("r"), source: FeedSource::Mains { outlet: None } }];
    assert_eq!(works(&case), ["new mains outlet", "mains", "radios", "alarms and emergency calls"]);
}

#[test]
fn without_a_price_list_all_but_the_price_is_known() {
    let mut case = Case::new();
    let works = |case: &Case| cautions(&case.input(), &case.quote());
    let (quote, with_list) = (case.quote(), works(&case));
    case.prices = PriceList::empty("JPY".parse().unwrap());
    let without = case.quote();
    assert_eq!(without.figure("price").unwrap().missing, ["a price list in JPY"]);
    assert!(quote.hours.p50 > 0.0);
    assert_eq!((without.hours, without.routes.len()), (quote.hours, quote.routes.len()));
    assert_eq!(works(&case), with_list);
}

#[test]
fn the_same_input_gives_the_same_quote() {
    assert_eq!(Case::new().quote(), Case::new().quote());
}

#[test]
fn rules_have_ids_of_this_crate() {
    let mut ids: Vec<_> = cost::RULES.iter().map(|r| r.id).collect();
    assert!(ids.iter().all(|id| id.starts_with("cost.")));
    ids.sort_unstable();
    ids.dedup();
    assert_eq!(ids.len(), cost::RULES.len());
}

mod random {
    use proptest::prelude::*;

    use super::*;

    proptest! {
        #![proptest_config(ProptestConfig { cases: 400, failure_persistence: None, ..ProptestConfig::default() })]

        /// Any places, finite or not, in any rooms: no panic; a known length is never below the straight line; sums hold.
        #[test]
        fn any_design_is_quoted_or_refused(
            places in prop::collection::vec(
                (prop_oneof![-20.0..20.0_f64, Just(f64::NAN), Just(1e300), Just(5.0)], -20.0..20.0_f64, -5.0..9.0_f64, 0..6_usize),
                2..8,
            ),
            parts in prop::collection::vec(0..45_usize, 8),
            kept in prop::collection::vec(any::<bool>(), 8),
        ) {
            let mut case = Case::new();
            case.prices = PriceList::generic("EUR".parse().unwrap()).unwrap();
            let rooms = ["west", "east", "up-west", "up-east", "nowhere", "west"];
            let all: Vec<_> = case.catalog.iter().map(|p| p.id.to_string()).collect();
            case.design.parts = places
                .iter()
                .enumerate()
                .map(|(i, (x, y, z, room))| {
                    let part = all.get(parts[i]).map_or("unknown", String::as_str);
                    let mut p = placed(&format!("p{i}"), part, rooms[*room], (*x, *y, *z), Mounting::Wall);
                    p.kept = kept[i];
                    p
                })
                .collect();
            case.design.links =
                (1..places.len()).map(|i| cable(&format!("l{i}"), &format!("p{}", i - 1), &format!("p{i}"))).collect();
            case.design.feeds.clear();
            let quote = case.quote();
            for (i, link) in case.design.links.iter().enumerate() {
                let Some(route) = quote.route(&link.id) else { continue };
                let straight = case.design.parts[i].at.distance(case.design.parts[i + 1].at);
                prop_assert!(route.length.value() >= straight * (1.0 - 1e-12));
            }
            match &quote.price {
                Some(sums) => {
                    prop_assert!(sums.low.amount <= sums.total.amount && sums.total.amount <= sums.high.amount);
                    let parts: Decimal = quote.take_off.iter().map(|l| l.price.unwrap().amount).sum();
                    prop_assert_eq!(sums.parts.amount, parts);
                }
                None => prop_assert!(!quote.figure("price").unwrap().missing.is_empty()),
            }
            // Each cable added makes the whole longer and dearer, never cheaper.
            case.design.links.pop();
            let less = case.quote();
            if let (Some(more), Some(less)) = (&quote.price, &less.price) {
                prop_assert!(less.total.amount < more.total.amount);
            }
            prop_assert!(cautions(&case.input(), &less).len() <= 14);
        }
    }
}
