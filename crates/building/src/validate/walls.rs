//! Walls and the openings in them.

use std::collections::BTreeMap;

use findings::{Edit, Finding, Id};
use units::Point2;

use super::{MAX_OVERLAPPING, MAX_TOUCHING, rules};
use crate::elements::{Building, Opening, Wall};
use crate::geometry::{add, cross, direction, dot, project, sub};
use crate::library;
use crate::resolve::JOIN_TOLERANCE;
use crate::resolve::joints::{Bodies, Body, meetings};
use crate::resolve::wall_extent;

/// An opening may stick out of its wall by this much; it is clipped [m].
const STICK_OUT: f64 = 0.01;
/// Openings may overlap by this much [m].
const OPENING_OVERLAP: f64 = 0.001;
/// Wall ends this far from another wall's body are reported as gaps [m].
const GAP: f64 = 0.3;
/// Walls that run in each other over less than this are a joint [m].
const OVERLAP: f64 = 0.05;
/// Most findings about one wall's overlaps.
const MAX_OVERLAPS: usize = 3;

pub(super) fn check(b: &Building, found: &mut Vec<Finding>) {
    openings(b, found);
    let (walls, bodies) = bodies(b);
    let most = MAX_TOUCHING.0 + MAX_TOUCHING.1 * walls.len();
    if bodies.touching_pairs(most) > most {
        crowded(most, "touch each other", found);
        return;
    }
    gaps(&walls, &bodies, found);
    overlaps(&walls, &bodies, found);
}

/// The walls whose numbers and references are good enough to look at, with their bodies.
fn bodies(b: &Building) -> (Vec<&Wall>, Bodies) {
    let storeys: BTreeMap<&Id, (f64, f64)> = b.storeys.iter().map(|s| (&s.id, (s.elevation.0, s.height.0))).collect();
    let thickness: BTreeMap<&Id, f64> =
        library::assemblies().iter().chain(&b.assemblies).map(|a| (&a.id, a.thickness().0)).collect();
    let body = |w: &Wall| {
        let (floor, height) = storeys.get(&w.storey)?;
        let (foot, head) = wall_extent(w, *height);
        let body =
            Body { a: w.from, b: w.to, thickness: *thickness.get(&w.assembly)?, z0: floor + foot, z1: floor + head };
        let finite = body.a.is_finite() && body.b.is_finite() && (body.z0 + body.z1).is_finite();
        (finite && (0.0..=5.0).contains(&body.thickness) && body.length() > 0.0).then_some(body)
    };
    let (walls, bodies): (Vec<&Wall>, Vec<Body>) = b.walls.iter().filter_map(|w| Some((w, body(w)?))).unzip();
    (walls, Bodies::new(bodies))
}

fn openings(b: &Building, found: &mut Vec<Finding>) {
    let heights: BTreeMap<&Id, f64> = b.storeys.iter().map(|s| (&s.id, s.height.0)).collect();
    let mut in_wall: BTreeMap<&Id, Vec<&Opening>> = BTreeMap::new();
    for o in &b.openings {
        in_wall.entry(&o.wall).or_default().push(o);
    }
    for wall in &b.walls {
        let Some(mut list) = in_wall.remove(&wall.id) else { continue };
        let length = wall.from.distance(wall.to);
        for o in &list {
            beyond(o, wall, length, found);
            if let Some(height) = heights.get(&wall.storey) {
                too_high(o, wall, wall_extent(wall, *height), found);
            }
        }
        list.sort_by(|a, b| a.at.total_cmp(&b.at).then_with(|| a.id.cmp(&b.id)));
        for (i, one) in list.iter().enumerate() {
            let end = one.at.0 + one.width.0;
            let overlap = |two: &&&Opening| {
                let up = (one.sill.0 + one.height.0).min(two.sill.0 + two.height.0) - one.sill.0.max(two.sill.0);
                up > OPENING_OVERLAP
            };
            let next = list[i + 1..].iter().take_while(|two| end - two.at.0 > OPENING_OVERLAP).find(overlap);
            if let Some(two) = next {
                let by = end.min(two.at.0 + two.width.0) - two.at.0;
                let text = format!("openings `{}` and `{}` of wall `{}` overlap by {by:.3} m", one.id, two.id, wall.id);
                found.push(
                    Finding::of(
                        rules::get("building.openings-overlap"),
                        vec![one.id.clone(), two.id.clone(), wall.id.clone()],
                        text,
                    )
                    .against(by, OPENING_OVERLAP, "m")
                    .at(wall.storey.clone(), along(wall, two.at.0))
                    .remedy(
                        format!("move one of them along the wall, or start `{}` at {end:.3} m", two.id),
                        vec![Edit::set(format!("building/openings/{}/at", two.id), end.into())],
                    ),
                );
            }
        }
    }
}

fn along(wall: &Wall, s: f64) -> Point2 {
    add(wall.from, direction(wall.from, wall.to), s)
}

fn beyond(o: &Opening, wall: &Wall, length: f64, found: &mut Vec<Finding>) {
    let by = (-o.at.0).max(o.at.0 + o.width.0 - length);
    if by <= STICK_OUT || !by.is_finite() {
        return;
    }
    let text = format!(
        "opening `{}` spans {:.3} m to {:.3} m of wall `{}`, which is {length:.3} m long",
        o.id,
        o.at.0,
        o.at.0 + o.width.0,
        wall.id
    );
    let (remedy, edits) = if o.width.0 <= length {
        let at = o.at.0.clamp(0.0, length - o.width.0);
        let edit = Edit::set(format!("building/openings/{}/at", o.id), at.into());
        (format!("start it at {at:.3} m, or make it narrower"), vec![edit])
    } else {
        (format!("make it narrower than {length:.3} m, or put it in the right wall"), Vec::new())
    };
    found.push(
        Finding::of(rules::get("building.opening-beyond-wall"), vec![o.id.clone(), wall.id.clone()], text)
            .against(by, STICK_OUT, "m")
            .at(wall.storey.clone(), along(wall, o.at.0.clamp(0.0, length)))
            .remedy(remedy, edits),
    );
}

fn too_high(o: &Opening, wall: &Wall, (foot, head): (f64, f64), found: &mut Vec<Finding>) {
    let top = o.sill.0 + o.height.0;
    let by = (top - head).max(foot - o.sill.0);
    if by <= STICK_OUT || !by.is_finite() {
        return;
    }
    let text = format!(
        "opening `{}` spans {:.3} m to {top:.3} m above the floor, and wall `{}` {foot:.3} m to {head:.3} m",
        o.id, o.sill.0, wall.id
    );
    found.push(
        Finding::of(rules::get("building.opening-too-high"), vec![o.id.clone(), wall.id.clone()], text)
            .against(by, STICK_OUT, "m")
            .at(wall.storey.clone(), along(wall, o.at.0 + o.width.0 / 2.0))
            .remedy("lower its `sill` or its `height`, or correct the wall's `base` and `height`", Vec::new()),
    );
}

fn gaps(walls: &[&Wall], bodies: &Bodies, found: &mut Vec<Finding>) {
    for (i, wall) in walls.iter().enumerate() {
        for at_b in [false, true] {
            if !meetings(bodies, i, at_b).is_empty() {
                continue;
            }
            let end = if at_b { wall.to } else { wall.from };
            let away = |j: usize| {
                let other = &bodies.all[j];
                project(end, other.a, other.b).1 - other.thickness / 2.0
            };
            let nearest = bodies
                .near(i, GAP)
                .into_iter()
                .map(|j| (away(j), j))
                .min_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
            let Some((gap, j)) = nearest.filter(|(gap, _)| *gap > JOIN_TOLERANCE && *gap <= GAP) else { continue };
            let other = &bodies.all[j];
            let (s, _) = project(end, other.a, other.b);
            let target = add(other.a, direction(other.a, other.b), s);
            let field = if at_b { "to" } else { "from" };
            let text = format!(
                "wall `{}` ends at ({:.3}, {:.3}), {:.0} mm short of wall `{}`",
                wall.id,
                end.x,
                end.y,
                gap * 1000.0,
                walls[j].id
            );
            let edit =
                Edit::set(format!("building/walls/{}/{field}", wall.id), serde_json::json!([target.x, target.y]));
            found.push(
                Finding::of(rules::get("building.wall-gap"), vec![wall.id.clone(), walls[j].id.clone()], text)
                    .against(gap, JOIN_TOLERANCE, "m")
                    .at(wall.storey.clone(), end)
                    .remedy(format!("move its end to ({:.3}, {:.3}) if they meet", target.x, target.y), vec![edit]),
            );
        }
    }
}

fn crowded(most: usize, how: &str, found: &mut Vec<Finding>) {
    let text = format!("more than {most} pairs of walls {how}");
    found.push(
        Finding::of(rules::get("building.too-large"), Vec::new(), text)
            .against(most as f64 + 1.0, most as f64, "pairs")
            .remedy("remove walls that repeat each other", Vec::new()),
    );
}

fn overlaps(walls: &[&Wall], bodies: &Bodies, found: &mut Vec<Finding>) {
    let mut pairs = 0;
    for i in 0..walls.len() {
        let own = &bodies.all[i];
        let (axis, length) = (direction(own.a, own.b), own.length());
        let overlap = |j: usize| {
            let other = &bodies.all[j];
            if cross(axis, direction(other.a, other.b)).abs() > 0.02 {
                return None;
            }
            let (sa, sb) = (dot(sub(other.a, own.a), axis), dot(sub(other.b, own.a), axis));
            let (from, to) = (sa.min(sb).max(0.0), sa.max(sb).min(length));
            let aside = project(add(own.a, axis, (from + to) / 2.0), other.a, other.b).1;
            let shared = to - from;
            let deep = (own.thickness + other.thickness) / 2.0 - aside;
            (shared > OVERLAP && deep > 0.25 * own.thickness.min(other.thickness)).then_some((j, shared, from))
        };
        let near = bodies.near(i, 0.0);
        let all: Vec<_> = near.into_iter().filter(|j| *j > i).filter_map(overlap).collect();
        pairs += all.len();
        if pairs > MAX_OVERLAPPING {
            crowded(MAX_OVERLAPPING, "run in each other", found);
            return;
        }
        for (j, shared, from) in all.into_iter().take(MAX_OVERLAPS) {
            let text = format!("walls `{}` and `{}` run in each other for {shared:.3} m", walls[i].id, walls[j].id);
            found.push(
                Finding::of(rules::get("building.walls-overlap"), vec![walls[i].id.clone(), walls[j].id.clone()], text)
                    .against(shared, OVERLAP, "m")
                    .at(walls[i].storey.clone(), add(own.a, axis, from))
                    .remedy("remove one of them, or shorten one to where the other begins", Vec::new()),
            );
        }
    }
}
