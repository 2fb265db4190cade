//! Storeys: that there are some, that they stack, and that people can live on them.

use findings::{Edit, Finding};
use geo::{Area, BooleanOps, ConvexHull, MultiPoint, Polygon};

use super::rules;
use crate::elements::{Building, OutletKind, Storey, StoreyUse};
use crate::geometry::coord;
use crate::resolved::Resolved;

/// Storeys may reach into each other by this much [m].
const OVERLAP: f64 = 0.001;
/// A wider space between a ceiling and the floor above is unusual [m].
const WIDE_GAP: f64 = 1.0;
/// Share of a storey outside the one below from which it is unusual.
const OUTSIDE: f64 = 0.5;

pub(super) fn check(b: &Building, found: &mut Vec<Finding>) {
    if b.storeys.is_empty() {
        found.push(
            Finding::of(rules::get("building.no-storeys"), Vec::new(), "the building has no storeys")
                .remedy("add a storey with its elevation and height to `building/storeys`", Vec::new()),
        );
    }
    if b.walls.is_empty() {
        found.push(
            Finding::of(rules::get("building.no-walls"), Vec::new(), "the building has no walls")
                .remedy("add the walls to `building/walls`", Vec::new()),
        );
    }
    for (lower, upper) in stacked(b) {
        let (top, floor) = (lower.elevation.0 + lower.height.0, upper.elevation.0);
        let subjects = vec![lower.id.clone(), upper.id.clone()];
        if top - floor > OVERLAP {
            let text = format!(
                "storey `{}` ends at {top:.3} m, above the floor of storey `{}` at {floor:.3} m",
                lower.id, upper.id
            );
            let room = floor - lower.elevation.0;
            let edits = if room > 0.0 {
                vec![Edit::set(format!("building/storeys/{}/height", lower.id), room.into())]
            } else {
                Vec::new()
            };
            let remedy = format!("make `{}` at most {room:.3} m high, or correct an elevation", lower.id);
            found.push(
                Finding::of(rules::get("building.storeys-overlap"), subjects, text)
                    .against(top - floor, OVERLAP, "m")
                    .remedy(remedy, edits),
            );
        } else if floor - top > WIDE_GAP {
            let gap = floor - top;
            let text = format!(
                "there are {gap:.2} m between the ceiling of storey `{}` and the floor of storey `{}`",
                lower.id, upper.id
            );
            found.push(
                Finding::of(rules::get("building.storeys-apart"), subjects, text)
                    .against(gap, WIDE_GAP, "m")
                    .remedy("correct a height or an elevation, or add the storey between them", Vec::new()),
            );
        }
    }
    if b.demarcation.is_none() {
        found.push(
            Finding::of(rules::get("building.no-demarcation"), Vec::new(), "it is not said where the line enters")
                .remedy("add `building/demarcation` with its storey and place", Vec::new()),
        );
    }
}

/// Each storey with the next above; storeys that are only structure reach into others by nature.
fn stacked(b: &Building) -> Vec<(&Storey, &Storey)> {
    let mut sorted: Vec<&Storey> = b
        .storeys
        .iter()
        .filter(|s| s.usage != StoreyUse::Structure && s.elevation.is_finite() && s.height.is_finite())
        .collect();
    sorted.sort_by(|a, b| a.elevation.total_cmp(&b.elevation).then_with(|| a.id.cmp(&b.id)));
    sorted.iter().copied().zip(sorted.iter().copied().skip(1)).collect()
}

/// What needs the derived home.
pub(super) fn derived(b: &Building, home: &Resolved, found: &mut Vec<Finding>) {
    let hulls: Vec<Option<Polygon<f64>>> = (0..home.storeys.len()).map(|i| hull(home, i)).collect();
    let lived_in = |i: usize| home.storeys[i].usage != StoreyUse::Structure;
    let mut below: Option<usize> = None;
    for upper in (0..home.storeys.len()).filter(|&i| lived_in(i)) {
        if let Some(lower) = below
            && let (Some(one), Some(two)) = (&hulls[lower], &hulls[upper])
        {
            let outside = two.difference(one).unsigned_area() / two.unsigned_area();
            if outside > OUTSIDE {
                let (l, u) = (&home.storeys[lower].id, &home.storeys[upper].id);
                let text = format!("{:.0} % of storey `{u}` lies outside storey `{l}` below it", outside * 100.0);
                found.push(
                    Finding::of(rules::get("building.storeys-not-stacked"), vec![u.clone(), l.clone()], text)
                        .against(outside * 100.0, OUTSIDE * 100.0, "%")
                        .remedy("check that both storeys are drawn from the same origin", Vec::new()),
                );
            }
        }
        if hulls[upper].is_some() {
            below = Some(upper);
        }
    }
    for (i, storey) in home.storeys.iter().enumerate() {
        if storey.usage == StoreyUse::Living && home.rooms.iter().all(|r| r.storey != i) {
            let text = format!("people live on storey `{}` and it has no room", storey.id);
            found.push(
                Finding::of(rules::get("building.storey-without-room"), vec![storey.id.clone()], text)
                    .remedy("add its rooms, or say what else it is with `use`", Vec::new()),
            );
        }
    }
    for (outlet, given) in home.outlets.iter().zip(&b.outlets) {
        if outlet.kind == OutletKind::Mains && outlet.room.is_none() {
            let text = format!(
                "mains outlet `{}` at ({:.2}, {:.2}) is in no room of storey `{}`",
                given.id, given.at.x, given.at.y, given.storey
            );
            found.push(
                Finding::of(rules::get("building.outlet-outside"), vec![given.id.clone()], text)
                    .at(given.storey.clone(), given.at)
                    .remedy("move it to the room that it serves; it powers nothing until then", Vec::new()),
            );
        }
    }
}

/// The convex hull of a storey's walls; none if they span no area.
fn hull(home: &Resolved, storey: usize) -> Option<Polygon<f64>> {
    let ends: Vec<geo::Point<f64>> = home
        .panels
        .iter()
        .filter(|p| p.storey == storey)
        .flat_map(|p| [geo::Point::from(coord(p.a)), geo::Point::from(coord(p.b))])
        .collect();
    if ends.len() < 3 {
        return None;
    }
    let hull = MultiPoint::new(ends).convex_hull();
    (hull.unsigned_area() > 1.0).then_some(hull)
}

#[cfg(test)]
mod tests {
    use findings::{Id, Severity};

    use super::*;

    #[test]
    fn a_structure_storey_may_reach_into_others() {
        let storey = |id: &str, elevation: f64, usage| Storey {
            id: Id::from_label(id),
            name: id.to_owned(),
            elevation: units::Metres(elevation),
            height: units::Metres(2.5),
            usage,
            model_id: None,
        };
        let b = |usage| Building {
            storeys: vec![storey("ground", 0.0, StoreyUse::Living), storey("roof", 2.0, usage)],
            ..Building::default()
        };
        let fails = |b: &Building| {
            let mut found = Vec::new();
            check(b, &mut found);
            found.iter().any(|f| f.rule == "building.storeys-overlap" && f.severity == Severity::Fails)
        };
        assert!(fails(&b(StoreyUse::Attic)));
        assert!(!fails(&b(StoreyUse::Structure)));
    }
}
