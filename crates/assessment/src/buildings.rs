//! Which rooms stand in which building, and what a cable between two of them needs care with.

use building::{ResolvedRoom, RoomUse};
use findings::{Finding, Id, Rule, Severity, Source};
use network::{Design, Link, Medium};
use units::Point2;

use crate::home::Home;

/// Rooms of one storey that are nearer to each other than this stand in one building [m] (common practice, no source:
/// more than the thickest walls of homes).
const SAME_BUILDING: f64 = 1.0;

/// A copper cable runs outdoors from one building to another.
pub const CABLE_BETWEEN_BUILDINGS: Rule = Rule {
    id: "cabling.cable-between-buildings",
    severity: Severity::Risk,
    summary: "A copper cable runs outdoors between two buildings, which may have different earths",
    limit: "glass fibre, or copper with surge protection bonded at both ends",
    cite: || {
        Source::standard("EN 50174-3 (cabling outside buildings); IEC 62305-4 (surges on lines between structures)")
            .from_memory()
    },
};

/// Rules of cables outdoors.
pub const RULES: &[Rule] = &[CABLE_BETWEEN_BUILDINGS];

/// For each room the number of its building: rooms that are near each other on one storey, lie above each other, or can
/// be walked between stand in one; gardens and the like in none.
#[must_use]
pub fn buildings(home: &Home) -> Vec<usize> {
    let rooms = &home.resolved.rooms;
    let mut building: Vec<usize> = (0..rooms.len()).collect();
    let is_inside = |i: usize| rooms[i].usage != RoomUse::Outdoor;
    for i in (0..rooms.len()).filter(|&i| is_inside(i)) {
        for j in (i + 1..rooms.len()).filter(|&j| is_inside(j)) {
            if building[i] != building[j] && are_together(&rooms[i], &rooms[j]) {
                join(&mut building, i, j);
            }
        }
    }
    for &(i, j) in &home.resolved.passages {
        if is_inside(i) && is_inside(j) {
            join(&mut building, i, j);
        }
    }
    building
}

fn join(building: &mut [usize], i: usize, j: usize) {
    let (keep, drop) = (building[i].min(building[j]), building[i].max(building[j]));
    building.iter_mut().filter(|b| **b == drop).for_each(|b| *b = keep);
}

/// Whether two rooms are near each other on one storey or overlap in plan on two.
fn are_together(a: &ResolvedRoom, b: &ResolvedRoom) -> bool {
    let reach = if a.storey == b.storey { SAME_BUILDING } else { 0.0 };
    let ((a_low, a_high), (b_low, b_high)) = (span(&a.outline), span(&b.outline));
    let apart = a_low.x > b_high.x + reach
        || b_low.x > a_high.x + reach
        || a_low.y > b_high.y + reach
        || b_low.y > a_high.y + reach;
    if apart {
        return false;
    }
    if a.storey != b.storey {
        let over = |one: &ResolvedRoom, other: &ResolvedRoom| {
            one.outline.iter().chain([&one.inside]).any(|p| other.contains(*p))
        };
        return over(a, b) || over(b, a);
    }
    let near = |one: &ResolvedRoom, other: &ResolvedRoom| {
        one.outline.iter().any(|p| sides(&other.outline).any(|(s, t)| from_side(*p, s, t) < SAME_BUILDING))
    };
    near(a, b) || near(b, a)
}

fn span(outline: &[Point2]) -> (Point2, Point2) {
    let fold = |f: fn(f64, f64) -> f64, start: f64| {
        outline.iter().fold(Point2::new(start, start), |m, p| Point2::new(f(m.x, p.x), f(m.y, p.y)))
    };
    (fold(f64::min, f64::INFINITY), fold(f64::max, f64::NEG_INFINITY))
}

pub(crate) fn sides(outline: &[Point2]) -> impl Iterator<Item = (Point2, Point2)> + '_ {
    outline.iter().zip(outline.iter().cycle().skip(1)).map(|(a, b)| (*a, *b))
}

/// Distance of a point from a side [m].
pub(crate) fn from_side(p: Point2, a: Point2, b: Point2) -> f64 {
    let (x, y) = (b.x - a.x, b.y - a.y);
    let length = x * x + y * y;
    let along = if length > 0.0 { (((p.x - a.x) * x + (p.y - a.y) * y) / length).clamp(0.0, 1.0) } else { 0.0 };
    p.distance(Point2::new(a.x + along * x, a.y + along * y))
}

/// A finding for each fixed copper cable of a design that runs from one building to another.
///
/// Lightning nearby and different earths drive surges through copper; glass fibre is passed over. The trench is not in the
/// price.
pub(crate) fn between_buildings(home: &Home, design: &Design) -> Vec<Finding> {
    let building = buildings(home);
    let end = |id: &Id| {
        if let Some(part) = design.part(id) {
            return Some((home.room(&part.room)?, part.at));
        }
        let device = home.household.devices.iter().find(|d| &d.id == id)?;
        Some((home.room(&device.room)?, home.device_place(device)?))
    };
    let is_copper = |link: &&Link| match &link.medium {
        Medium::Cable { part } => !home.catalog.get(part).and_then(|p| p.cable.as_ref()).is_some_and(|c| c.is_fibre()),
        Medium::Cord | Medium::Radio { .. } => false,
    };
    let mut findings = Vec::new();
    for link in design.links.iter().filter(is_copper) {
        let (Some((near, from)), Some((far, to))) = (end(&link.from), end(&link.to)) else { continue };
        if building[near] == building[far] {
            continue;
        }
        let message = format!(
            "the cable from {} to {} runs outdoors between two buildings, {:.0} m apart at its ends: lightning nearby and different earths drive surges through copper; the trench and its depth (as the local code has it) are not in the price",
            link.from,
            link.to,
            from.distance(to)
        );
        findings.push(
            Finding::of(&CABLE_BETWEEN_BUILDINGS, vec![link.to.clone(), link.id.clone()], message)
                .remedy(
                    "lay glass fibre in a duct instead, with a media converter at either end: it carries no surge and joins no earths",
                    cabling::fibre_instead(design, link).unwrap_or_default(),
                )
                .remedy(
                    "or use outdoor cable with a surge protector at either end, bonded to each building's earth by a licensed electrician",
                    Vec::new(),
                ),
        );
    }
    findings
}
