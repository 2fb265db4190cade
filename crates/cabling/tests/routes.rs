//! Routes in whole homes.

mod common;

use building::parametric::Construction;
use building::{
    Building, CableEnd, CableSpace, CableSpaceKind, ExistingCable, NoGoReason, NoGoZone, Resolved, RoomUse,
};
use cabling::pathways::Effort;
use cabling::{Memory, Prepared, RouteTerms, Routing, route};
use common::{id, input, link, resolved, star, three_storeys};
use household::Household;
use network::Design;
use network::wiring::{HoleKind, Way};
use units::{Metres, Point2, Point3};

fn routed(home: &Resolved, design: &Design) -> Routing {
    route(home, &RouteTerms::default(), &input(design, &Household::default()))
}

fn rules(routing: &Routing) -> Vec<&str> {
    routing.findings.iter().map(|f| f.rule.as_str()).collect()
}

fn cost(routing: &Routing) -> f64 {
    routing.wiring.gap.as_ref().map_or(0.0, |g| g.found)
}

#[test]
fn forty_drops_in_three_storeys_are_within_a_hundredth_of_the_least() {
    for construction in [Construction::TimberFrame, Construction::MasonryCavity, Construction::Concrete] {
        let home = resolved(&three_storeys(construction));
        let design = star(&home, 40);
        let routing = routed(&home, &design);
        let w = &routing.wiring;
        let gap = w.gap.as_ref().expect("a gap");
        assert_eq!(w.routes.len(), 40, "{construction:?}: {:?}", routing.findings);
        assert!(gap.bound <= gap.found && gap.found - gap.bound < 0.01 * gap.found, "{construction:?}: {gap:?}");
        assert!(w.graph_places > 500 && w.graph_ways < 4000, "{} places, {} ways", w.graph_places, w.graph_ways);
        // After one outlet moved, the answer from memory is as good.
        let terms = RouteTerms::default();
        let prepared = Prepared::new(&home, &terms);
        let mut moved = design.clone();
        let inside = home.rooms.iter().find(|r| r.id == moved.parts[7].room).expect("a room").inside;
        moved.parts[7].at = inside.at_height(moved.parts[7].at.z);
        let household = Household::default();
        let quick = cabling::RouteInput { effort: Effort::quick(), ..input(&moved, &household) };
        let again = prepared.route(&quick, &routing.memory).wiring.gap.expect("a gap");
        let anew = prepared.route(&input(&moved, &household), &Memory::default()).wiring.gap.expect("a gap");
        assert!(again.found <= anew.found * 1.02, "{again:?} {anew:?}");
        assert!(again.bound <= anew.found && anew.bound <= again.found, "{again:?} {anew:?}");
        assert!(again.found - again.bound < 0.05 * again.found, "{again:?}");
    }
}

#[test]
fn every_route_is_whole_and_its_length_adds_up() {
    let home = resolved(&three_storeys(Construction::TimberFrame));
    let design = star(&home, 25);
    let routing = routed(&home, &design);
    let mut labels: Vec<&str> = Vec::new();
    for r in &routing.wiring.routes {
        for pair in r.stretches.windows(2) {
            // Where an outlet is moved to its bay, the stretch lies in the wall: its ends may be half a wall apart.
            assert!(pair[0].to.distance(pair[1].from) < 1e-6, "{}: {pair:?}", r.link);
        }
        let to = design.part(&design.links.iter().find(|l| l.id == r.link).expect("a link").to).expect("a part").at;
        assert!(r.stretches.last().expect("a stretch").to.distance(to) < 1e-6);
        let length = r.length.value.expect("a length");
        assert!((length - r.way_length.0 - 3.4).abs() < 1e-9);
        assert!((r.length.low.expect("low") - 0.9 * length).abs() < 1e-9);
        assert!((r.length.high.expect("high") - 1.1 * length).abs() < 1e-9);
        let straight = r.stretches[0].from.distance(to);
        assert!(r.way_length.0 >= straight - 0.2 && r.way_length.0 < 90.0, "{}: {}", r.link, r.way_length.0);
        labels.push(&r.label);
        for hole in &r.holes {
            assert!(routing.wiring.holes.iter().any(|h| &h.id == hole && h.links.contains(&r.link)), "{hole}");
        }
    }
    labels.sort_unstable();
    labels.dedup();
    assert_eq!((labels.len(), labels[0]), (25, "A-01"));
    for h in &routing.wiring.holes {
        assert!(!h.links.is_empty() && h.depth.0 > 0.0);
        // Cables of 6.2 mm: one fills 53 %, two 31 %, more 40 % of their hole.
        let fill = [0.53, 0.31, 0.40][h.links.len().min(3) - 1];
        let expected = 0.0062 * (h.links.len() as f64 / fill).sqrt();
        assert!((h.diameter.0 - expected).abs() < 1e-9, "{h:?}");
    }
    assert!(routing.wiring.holes.iter().any(|h| h.kind == HoleKind::Plate && h.links.len() > 1), "holes are shared");
}

#[test]
fn one_more_cable_never_lowers_the_cost_and_never_its_bound() {
    let home = resolved(&three_storeys(Construction::MasonryCavity));
    let mut last = (0.0, 0.0);
    for drops in [1, 2, 3, 5, 8, 12] {
        let routing = routed(&home, &star(&home, drops));
        let gap = routing.wiring.gap.expect("a gap");
        assert!(gap.found >= last.1 - 1e-6, "{drops} drops: {gap:?}, before {last:?}");
        assert!(gap.found * 1.01 >= last.0, "{drops} drops: {gap:?}, before {last:?}");
        last = (gap.found, gap.bound);
    }
}

/// A building turned by a quarter and moved.
fn turned(b: &Building) -> Building {
    let t = |p: &mut Point2| *p = Point2::new(100.0 - p.y, p.x - 37.0);
    let mut b = b.clone();
    b.walls.iter_mut().for_each(|w| {
        t(&mut w.from);
        t(&mut w.to);
    });
    b.slabs.iter_mut().for_each(|s| s.outline.iter_mut().chain(s.holes.iter_mut().flatten()).for_each(t));
    b.rooms.iter_mut().for_each(|r| {
        t(&mut r.inside);
        r.outline.iter_mut().flatten().for_each(t);
    });
    b.stairs.iter_mut().for_each(|s| s.outline.iter_mut().for_each(t));
    b.outlets.iter_mut().for_each(|o| t(&mut o.at));
    b.fixed_objects.iter_mut().for_each(|o| o.outline.iter_mut().for_each(t));
    b.cable_spaces.iter_mut().for_each(|s| s.outline.iter_mut().for_each(t));
    b.demarcation.iter_mut().for_each(|d| t(&mut d.at));
    b
}

#[test]
fn a_home_that_is_moved_and_turned_has_the_same_routes() {
    for construction in [Construction::TimberFrame, Construction::MasonrySolid] {
        let b = three_storeys(construction);
        let design = star(&resolved(&b), 12);
        let mut other = design.clone();
        for p in &mut other.parts {
            p.at = Point3::new(100.0 - p.at.y, p.at.x - 37.0, p.at.z);
        }
        let (one, two) = (routed(&resolved(&b), &design), routed(&resolved(&turned(&b)), &other));
        assert!((cost(&one) - cost(&two)).abs() < 1e-3 * cost(&one), "{} and {}", cost(&one), cost(&two));
        // Of two equally good ways either may be taken, and a stop that rounding puts on a corner is none.
        let (a, b) = (one.wiring.graph_ways as f64, two.wiring.graph_ways as f64);
        assert!((a - b).abs() < 0.005 * a, "{a} and {b} ways");
    }
}

#[test]
fn where_nothing_may_be_drilled_nothing_is() {
    let home = resolved(&three_storeys(Construction::MasonryCavity));
    let design = star(&home, 12);
    let mut household = Household::default();
    household.wishes.no_drilling = true;
    let routing = route(&home, &RouteTerms::default(), &input(&design, &household));
    assert!(routing.wiring.holes.is_empty());
    assert!(!routing.wiring.routes.is_empty());
    for r in &routing.wiring.routes {
        for s in &r.stretches {
            assert!(matches!(s.way, Way::Raceway | Way::UnderDoor | Way::Open | Way::Through), "{:?}", s.way);
        }
    }
    // What is not reached is said.
    for l in design.links.iter().filter(|l| routing.wiring.routes.iter().all(|r| r.link != l.id)) {
        let f = routing.findings.iter().find(|f| f.subjects.contains(&l.id)).expect("a finding");
        assert!(f.rule == "cabling.unreachable" && f.message.contains("without drilling"), "{}", f.message);
    }
}

#[test]
fn a_zone_over_a_room_is_named_as_the_barrier() {
    let mut b = three_storeys(Construction::TimberFrame);
    let home = resolved(&b);
    let room = home.rooms.iter().find(|r| r.usage == RoomUse::Bedroom).expect("a bedroom");
    let design = star(&home, 20);
    let inside = design.parts.iter().filter(|p| p.room == room.id).count();
    assert!(inside > 0);
    // All of the room, its walls, and what is over and under it.
    let grown: Vec<Point2> = room
        .outline
        .iter()
        .map(|p| Point2::new(p.x + (p.x - room.inside.x).signum() * 0.5, p.y + (p.y - room.inside.y).signum() * 0.5))
        .collect();
    b.no_go_zones.push(NoGoZone {
        id: id("asbestos"),
        reason: NoGoReason::HazardousMaterial,
        storey: home.storeys[room.storey].id.clone(),
        outline: grown,
        base: Metres(-0.6),
        height: Some(Metres(4.2)),
    });
    let routing = routed(&resolved(&b), &design);
    let named: Vec<&str> =
        routing.findings.iter().filter(|f| f.rule == "cabling.unreachable").map(|f| f.message.as_str()).collect();
    // Outlets on the other side of its walls may be shut off with it.
    assert!(named.len() >= inside && named.len() < 20, "{:?}", routing.findings);
    for p in design.parts.iter().filter(|p| p.room == room.id) {
        assert!(named.iter().any(|m| m.contains(&format!("to `{}`", p.id))), "{}: {named:?}", p.id);
    }
    assert!(named.iter().all(|m| m.contains("zone `asbestos`") && m.contains("hazardous")), "{named:?}");
}

#[test]
fn a_flue_is_passed_around_and_costs_no_less() {
    let mut b = three_storeys(Construction::TimberFrame);
    let home = resolved(&b);
    let design = star(&home, 20);
    let free = routed(&home, &design);
    // In the way of the hole that most cables share.
    let hole = free.wiring.holes.iter().max_by_key(|h| h.links.len()).expect("a hole");
    let storey = home.storeys.iter().rev().find(|s| s.floor_z <= hole.at.z + 0.3).expect("a storey");
    let (x, y) = (hole.at.x, hole.at.y);
    b.no_go_zones.push(NoGoZone {
        id: id("flue"),
        reason: NoGoReason::Flue,
        storey: storey.id.clone(),
        outline: [[-0.3, -0.3], [0.3, -0.3], [0.3, 0.3], [-0.3, 0.3]]
            .map(|[dx, dy]| Point2::new(x + dx, y + dy))
            .to_vec(),
        base: Metres(-1.0),
        height: Some(Metres(5.0)),
    });
    let around = routed(&resolved(&b), &design);
    assert_eq!(
        around.wiring.routes.len() + around.findings.iter().filter(|f| f.rule == "cabling.unreachable").count(),
        20
    );
    assert!(
        around
            .wiring
            .holes
            .iter()
            .all(|h| (h.at.x - x).abs() > 0.3 || (h.at.y - y).abs() > 0.3 || (h.at.z - hole.at.z).abs() > 1.0)
    );
    if around.wiring.routes.len() == 20 {
        assert!(cost(&around) >= free.wiring.gap.as_ref().expect("a gap").bound - 1e-6);
    }
}

#[test]
fn rated_and_party_walls_are_sealed_and_tensioned_slabs_left_alone() {
    let mut b = three_storeys(Construction::Concrete);
    let home = resolved(&b);
    let design = star(&home, 20);
    let plain = routed(&home, &design);
    assert!(plain.wiring.holes.iter().any(|h| h.kind == HoleKind::Floor));
    assert!(plain.wiring.holes.iter().all(|h| !h.fire_seal), "nothing is rated");
    for w in &mut b.walls {
        w.fire_minutes = Some(60);
    }
    let rated = routed(&resolved(&b), &design);
    assert!(rated.wiring.holes.iter().filter(|h| h.kind == HoleKind::Wall).all(|h| h.fire_seal));
    assert!(cost(&rated) >= plain.wiring.gap.as_ref().expect("a gap").bound);
    b.slabs.iter_mut().for_each(|s| s.tensioned = true);
    let spared = routed(&resolved(&b), &design);
    assert!(
        spared.wiring.holes.iter().all(|h| h.kind != HoleKind::Floor || !b.slabs.iter().any(|s| s.id == h.element))
    );
}

#[test]
fn a_cable_that_is_there_is_used() {
    let mut b = three_storeys(Construction::MasonryCavity);
    let home = resolved(&b);
    let design = star(&home, 6);
    let end = |k: usize| {
        let p = &design.parts[k];
        let room = home.rooms.iter().find(|r| r.id == p.room).expect("a room");
        let storey = &home.storeys[room.storey];
        CableEnd::Place { storey: storey.id.clone(), at: p.at.plan(), height: Metres(p.at.z - storey.floor_z) }
    };
    b.existing_cables.push(ExistingCable { id: id("old"), part: id("cable-cat6"), from: end(3), to: end(0) });
    b.existing_cables.push(ExistingCable { id: id("phone"), part: id("cable-phone"), from: end(2), to: end(0) });
    let routing = routed(&resolved(&b), &design);
    let used: Vec<&str> = routing.wiring.routes.iter().filter(|r| r.existing).map(|r| r.link.as_str()).collect();
    assert_eq!(used, ["cable-3"], "only the one of the same kind");
    assert!(routing.wiring.routes[2].holes.is_empty() && routing.wiring.routes[2].length.estimate);
    assert_eq!(routing.wiring.routes.len(), 6);
    assert!(cost(&routing) <= cost(&routed(&home, &design)) + 1e-6);
}

#[test]
fn a_pipe_takes_cables_up_to_its_fill() {
    let mut b = three_storeys(Construction::Concrete);
    let home = resolved(&b);
    let design = star(&home, 30);
    // Where most cables pass a floor, which is made dear.
    let mut terms = RouteTerms::default();
    terms.hole.insert(HoleKind::Floor, 200.0);
    terms.hole.insert(HoleKind::Plate, 200.0);
    let plain = routed(&home, &design);
    let floors = plain.wiring.holes.iter().filter(|h| h.kind == HoleKind::Floor);
    let at = floors.max_by_key(|h| h.links.len()).expect("a hole through a floor").at.plan();
    let routed = |home: &Resolved, design: &Design| route(home, &terms, &input(design, &Household::default()));
    let pipe = |bore: Option<Metres>| CableSpace {
        id: id("pipe"),
        kind: CableSpaceKind::Conduit,
        storeys: home.storeys.iter().map(|s| s.id.clone()).collect(),
        outline: [[-0.05, -0.05], [0.05, -0.05], [0.05, 0.05], [-0.05, 0.05]]
            .map(|[x, y]| Point2::new(at.x + x, at.y + y))
            .to_vec(),
        bore,
    };
    // Most cables in the pipe at any height.
    let inside = |routing: &Routing| {
        let at = |z: f64| {
            let runs = |r: &&network::wiring::CableRoute| {
                let spans = |s: &network::wiring::Stretch| s.from.z.min(s.to.z) < z && z < s.from.z.max(s.to.z);
                r.stretches.iter().any(|s| s.way == Way::Conduit && spans(s))
            };
            routing.wiring.routes.iter().filter(runs).count()
        };
        (0..100).map(|k| at(0.1 * f64::from(k) + 0.033)).max().unwrap_or(0)
    };
    b.cable_spaces.push(pipe(None));
    let wide = routed(&resolved(&b), &design);
    assert!(inside(&wide) > 4, "{} cables in the pipe", inside(&wide));
    b.cable_spaces.pop();
    // 20 mm: 0.4 · 20² / 6.2² = 4.2 cables.
    b.cable_spaces.push(pipe(Some(Metres(0.020))));
    let narrow = routed(&resolved(&b), &design);
    assert!((1..=4).contains(&inside(&narrow)), "{} cables in the pipe", inside(&narrow));
    assert_eq!(narrow.wiring.routes.len(), wide.wiring.routes.len());
    assert!(cost(&narrow) >= cost(&wide) * 0.99);
}

#[test]
fn bad_input_is_answered_by_findings() {
    let home = resolved(&three_storeys(Construction::TimberFrame));
    let mut design = star(&home, 6);
    design.parts[1].at.x = f64::NAN;
    design.parts[2].at.x += 500.0;
    design.links.push(link("to-nothing", "panel", "nobody"));
    design.links.push(link("to-itself", "panel", "panel"));
    design.links.push(design.links[3].clone());
    let routing = routed(&home, &design);
    let mut found = rules(&routing);
    found.sort_unstable();
    found.dedup();
    assert_eq!(found, ["cabling.end-outside", "cabling.end-without-place"]);
    let outside = routing.findings.iter().find(|f| f.rule == "cabling.end-outside").expect("a finding");
    assert!(outside.message.contains("outlet-2") && outside.message.contains("wall"), "{}", outside.message);
    assert_eq!(routing.wiring.routes.len(), 6);
    // No panel, no home, no costs.
    design.parts.remove(0);
    assert!(routed(&home, &design).wiring.routes.is_empty());
    assert!(routed(&Resolved::default(), &star(&home, 2)).wiring.routes.is_empty());
    let mut terms = RouteTerms { solid: f64::NAN, seal: -1.0, spread: f64::NAN, ..RouteTerms::default() };
    terms.pull.clear();
    terms.hole.clear();
    terms.set_up.insert(Way::Raceway, f64::NAN);
    terms.diameter = Metres(-1.0);
    let odd = route(&home, &terms, &input(&star(&home, 4), &Household::default()));
    assert_eq!(odd.wiring.routes.len(), 4);
    assert!(odd.wiring.routes.iter().all(|r| r.length.low.is_some_and(f64::is_finite)));
}

#[test]
fn a_cable_longer_than_a_permanent_link_is_reported() {
    let home = resolved(&three_storeys(Construction::TimberFrame));
    let terms = RouteTerms { panel_loop: Metres(80.0), ..RouteTerms::default() };
    let design = star(&home, 3);
    let routing = route(&home, &terms, &input(&design, &Household::default()));
    assert!(rules(&routing).contains(&"cabling.permanent-link-too-long"));
    assert!(!rules(&routed(&home, &design)).contains(&"cabling.permanent-link-too-long"));
}
