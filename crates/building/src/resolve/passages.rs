//! Which rooms a person can walk between.

use std::collections::{BTreeMap, BTreeSet};

use findings::Id;
use geo::{Area, BooleanOps};
use units::Point2;

use super::faces::ROOM_HEIGHT;
use super::joints::Bodies;
use super::rooms::room_near;
use crate::elements::{Building, OpeningKind};
use crate::geometry::{add, boundary_distance, direction, dot, edges, left_of, polygon, project, sub};
use crate::resolved::{Panel, Resolved, ResolvedRoom};

/// A higher sill is a window or a hatch, not a way through [m].
const MAX_STEP: f64 = 0.4;
/// Outlines this near to each other touch [m].
const TOUCH: f64 = 0.05;
/// Rooms are open to each other if more than this much of a shared boundary has no wall on it [m].
const OPEN_BOUNDARY: f64 = 0.5;
/// Step along a shared boundary when looking for walls on it [m].
const STEP: f64 = 0.1;
/// Most steps along one shared boundary.
const MAX_STEPS: usize = 1000;
/// A stair belongs to a room this near where none contains it: a landing's outline often leaves the stairwell out [m].
const STAIR_REACH: f64 = 0.6;

/// Pairs of rooms, smaller index first, sorted, without repetition.
pub(super) fn passages(
    building: &Building,
    resolved: &Resolved,
    bodies: &Bodies,
    storey_idx: &BTreeMap<Id, usize>,
) -> Vec<(usize, usize)> {
    let mut found = BTreeSet::new();
    let mut join = |one: Option<usize>, two: Option<usize>| {
        if let (Some(one), Some(two)) = (one, two)
            && one != two
        {
            found.insert((one.min(two), one.max(two)));
        }
    };
    for panel in &resolved.panels {
        let along = direction(panel.a, panel.b);
        let across = left_of(along);
        for cut in panel.cuts.iter().filter(|c| c.kind != OpeningKind::Window) {
            let Some(storey) = resolved.storey_at(cut.z0 + MAX_STEP) else { continue };
            if cut.z0 - resolved.storeys[storey].floor_z > MAX_STEP {
                continue;
            }
            let middle = add(panel.a, along, (cut.s0 + cut.s1) / 2.0);
            join(
                beside(resolved, storey, middle, across, panel.thickness),
                beside(resolved, storey, middle, across, -panel.thickness),
            );
        }
    }
    for (i, j) in neighbours(&resolved.rooms) {
        if open_length(resolved, bodies, i, j) > OPEN_BOUNDARY {
            join(Some(i), Some(j));
        }
    }
    for stair in &building.stairs {
        let end = |id: &Id| storey_idx.get(id).and_then(|&storey| room_of_stair(resolved, storey, &stair.outline));
        join(end(&stair.from), end(&stair.to));
    }
    found.into_iter().collect()
}

/// The room beside a wall: the first one met going away from the centre line, half a metre beyond the face at most.
fn beside(resolved: &Resolved, storey: usize, middle: Point2, across: Point2, thickness: f64) -> Option<usize> {
    let side = thickness.signum();
    [0.02, 0.1, 0.2, 0.35, 0.5]
        .iter()
        .find_map(|d| resolved.room_at(storey, add(middle, across, thickness / 2.0 + side * d)))
}

/// Pairs of outlines of one storey whose boxes touch, in order; up to a limit, which is passed by one at most.
pub(crate) fn touching<S: PartialEq>(outlines: &[(S, &[Point2])], limit: usize) -> Vec<(usize, usize)> {
    struct Span {
        index: usize,
        min: Point2,
        max: Point2,
    }
    let mut spans: Vec<Span> = outlines
        .iter()
        .enumerate()
        .map(|(index, (_, outline))| {
            let fold = |f: fn(f64, f64) -> f64, start: f64| {
                outline.iter().fold(Point2::new(start, start), |m, p| Point2::new(f(m.x, p.x), f(m.y, p.y)))
            };
            Span { index, min: fold(f64::min, f64::INFINITY), max: fold(f64::max, f64::NEG_INFINITY) }
        })
        .collect();
    spans.sort_by(|a, b| a.min.x.total_cmp(&b.min.x).then(a.index.cmp(&b.index)));
    let mut pairs = Vec::new();
    for (k, one) in spans.iter().enumerate() {
        for two in spans[k + 1..].iter().take_while(|two| two.min.x <= one.max.x + TOUCH) {
            let apart = one.min.y > two.max.y + TOUCH || two.min.y > one.max.y + TOUCH;
            if !apart && outlines[one.index].0 == outlines[two.index].0 && pairs.len() <= limit {
                pairs.push((one.index.min(two.index), one.index.max(two.index)));
            }
        }
    }
    pairs.sort_unstable();
    pairs
}

/// Pairs of rooms of one storey whose boxes touch, in order.
pub(crate) fn neighbours(rooms: &[ResolvedRoom]) -> Vec<(usize, usize)> {
    let outlines: Vec<(usize, &[Point2])> = rooms.iter().map(|r| (r.storey, r.outline.as_slice())).collect();
    touching(&outlines, usize::MAX)
}

/// Length of the boundary that two rooms share and on which no wall stands [m].
fn open_length(resolved: &Resolved, bodies: &Bodies, i: usize, j: usize) -> f64 {
    let (one, two) = (&resolved.rooms[i], &resolved.rooms[j]);
    let z = resolved.storeys[one.storey].floor_z + ROOM_HEIGHT;
    let mut open = 0.0;
    for (a, b) in edges(&one.outline) {
        for (c, d) in edges(&two.outline) {
            let along = direction(a, b);
            // Both run anticlockwise, so a shared boundary is run in opposite directions.
            if dot(along, direction(c, d)) > -0.99 {
                continue;
            }
            let (s, e) = (dot(sub(d, a), along).max(0.0), dot(sub(c, a), along).min(a.distance(b)));
            if e - s < STEP || project(add(a, along, (s + e) / 2.0), c, d).1 > TOUCH {
                continue;
            }
            let steps = (((e - s) / STEP) as usize).clamp(1, MAX_STEPS);
            let step = (e - s) / steps as f64;
            let free = (0..steps).filter(|k| {
                let at = add(a, along, s + step * (*k as f64 + 0.5));
                !walled(resolved, bodies, at, z)
            });
            open += free.count() as f64 * step;
        }
    }
    open
}

/// Whether a wall stands at a point at a height; doors count as wall here, gaps do not.
fn walled(resolved: &Resolved, bodies: &Bodies, at: Point2, z: f64) -> bool {
    bodies.at(at, 0.0).into_iter().any(|k| {
        let panel: &Panel = &resolved.panels[k];
        let s = dot(sub(at, panel.a), direction(panel.a, panel.b));
        let in_gap = |c: &crate::Cut| c.kind == OpeningKind::Gap && c.s0 <= s && s <= c.s1 && c.z0 <= z && z <= c.z1;
        panel.z0 <= z && z <= panel.z1 && !panel.cuts.iter().any(in_gap)
    })
}

/// The room that a stair stands in or reaches: the one that shares most of its outline, or the nearest within reach.
fn room_of_stair(resolved: &Resolved, storey: usize, outline: &[Point2]) -> Option<usize> {
    let stair = polygon(outline, &[]);
    let mut best: Option<(f64, usize)> = None;
    for (i, room) in resolved.rooms.iter().enumerate().filter(|(_, r)| r.storey == storey) {
        let shared = polygon(&room.outline, &room.holes).intersection(&stair).unsigned_area();
        if shared > 0.05 && best.is_none_or(|(most, _)| shared > most + 1e-9) {
            best = Some((shared, i));
        }
    }
    let nearest = || {
        outline
            .iter()
            .filter_map(|p| {
                let room = room_near(resolved, storey, *p, STAIR_REACH)?;
                let away = boundary_distance(&resolved.rooms[room].outline, &resolved.rooms[room].holes, *p);
                Some((away, room))
            })
            .min_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)))
    };
    best.or_else(nearest).map(|(_, room)| room)
}
