//! Take-off and work of whole homes whose cables are routed: what is bought is what is laid.

mod common;

use building::Resolved;
use building::parametric::Construction;
use cabling::labour::labour;
use cabling::take_off::{Plan, take_off};
use cabling::{RouteTerms, Routing, route};
use common::{id, input, resolved, star, three_storeys};
use equipment::{Catalog, Terms};
use findings::Id;
use household::Household;
use network::Design;
use network::wiring::{HoleKind, Way};
use rust_decimal::Decimal;

/// A routed home with its design.
struct Routed {
    home: Resolved,
    design: Design,
    routing: Routing,
}

fn routed(construction: Construction, drops: usize) -> Routed {
    let home = resolved(&three_storeys(construction));
    let design = star(&home, drops);
    let household = Household::default();
    let routing = route(&home, &RouteTerms::default(), &input(&design, &household));
    Routed { home, design, routing }
}

fn check(case: &Routed) {
    let (catalog, household, terms) = (Catalog::builtin(), Household::default(), Terms::default());
    let plan = Plan {
        design: &case.design,
        wiring: &case.routing.wiring,
        home: &case.home,
        household: &household,
        catalog: &catalog,
    };
    let list = take_off(&plan, &terms.materials);
    let wiring = &case.routing.wiring;
    assert!(!wiring.routes.is_empty());
    // Ways, each with its cables, are the cables' stretches.
    let laid: f64 = wiring.routes.iter().flat_map(|r| &r.stretches).map(|s| s.from.distance(s.to)).sum();
    let along: f64 = list.pathways.iter().map(|p| p.length.value() * p.links.len() as f64).sum();
    assert!((laid - along).abs() < 0.01 * laid, "{laid} m laid, {along} m of way");
    // What routing says has to be made is what is fixed here, found in another way.
    for way in [Way::Raceway, Way::Chase, Way::Facade, Way::Buried] {
        let of = |found: Way| found == way;
        let made: f64 =
            wiring.made.iter().map(|m| &m.stretch).filter(|s| of(s.way)).map(|s| s.from.distance(s.to)).sum();
        let ours: f64 = list.pathways.iter().filter(|p| of(p.way)).map(|p| p.length.value()).sum();
        assert!((made - ours).abs() < 0.05 + 0.01 * made, "{way:?}: {made} m made, {ours} m of way");
    }
    // Cable: a tenth more than all lengths, in whole metres, cut from spools that hold it.
    let length: f64 = wiring.routes.iter().map(|r| r.length.value.unwrap()).sum();
    let cable = list.items.iter().find(|i| i.part == id("cable-cat6")).unwrap();
    assert_eq!(cable.quantity, Decimal::from((length * 1.1 - 1e-6).ceil() as i64));
    assert_eq!(list.spools.len(), 1);
    let spools = &list.spools[0];
    assert!(spools.cut.value() >= length * 1.1 - 1e-6 && spools.bought >= spools.cut && spools.bound <= spools.bought);
    assert!(spools.bought.value() <= spools.bound.value() * 1.01, "{spools:?}");
    let mut cut: Vec<&Id> = spools.spools.iter().flat_map(|s| &s.links).collect();
    cut.sort();
    let mut links: Vec<&Id> = wiring.routes.iter().map(|r| &r.link).collect();
    links.sort();
    assert_eq!(cut, links);
    let work = labour(&plan, &list, &terms);
    let done = |task: &str| work.lines.iter().filter(|l| l.task.starts_with(task)).map(|l| l.quantity).sum::<f64>();
    let holes = |kind: HoleKind| wiring.holes.iter().filter(|h| h.kind == kind).count() as f64;
    assert_eq!(done("Drill through a wall's plate"), holes(HoleKind::Plate));
    assert_eq!(done("Drill through a joist"), holes(HoleKind::Joist));
    assert_eq!(done("Make a hole through a floor"), holes(HoleKind::Floor));
    assert_eq!(done("Test and label"), wiring.routes.len() as f64);
    assert!(work.hours.p80 / work.hours.p50 > 1.25 && work.hours.p80 / work.hours.p50 < 1.7, "{:?}", work.hours);
    assert!(work.crew.people == 2 && work.crew.days >= Some(1));
}

#[test]
fn a_timber_house_is_bought_as_it_is_laid() {
    for drops in [1, 8, 40] {
        check(&routed(Construction::TimberFrame, drops));
    }
}

#[test]
fn a_masonry_house_is_bought_as_it_is_laid() {
    check(&routed(Construction::MasonrySolid, 12));
}
