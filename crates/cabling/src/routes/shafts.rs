//! Ways that the document gives: shafts and pipes.

use building::{CableSpaceKind, ResolvedCableSpace};
use network::wiring::{HoleKind, Way};
use units::Point2;

use super::graph::{Drilled, Ways};
use super::home::Home;
use super::plan::{edges, lerp, project};
use super::rooms::{Loops, reach};
use super::spaces::{Space, attach};

/// A shaft or pipe ends at rooms no farther away than this [m].
const REACH: f64 = 3.0;
/// Height of a pipe's box above the floor [m] (common practice, no source: as outlets).
const BOX_HEIGHT: f64 = 0.4;

/// Lays all shafts and pipes.
pub(super) fn lay(home: &Home, spaces: &[Space], loops: &[Loops], ways: &mut Ways) {
    for space in &home.resolved.cable_spaces {
        match (space.kind, space.storeys.len()) {
            (CableSpaceKind::Conduit, 1) => level_pipe(home, loops, ways, space),
            (CableSpaceKind::Riser | CableSpaceKind::Conduit, _) => upright(home, spaces, loops, ways, space),
            _ => {}
        }
    }
}

fn middle(outline: &[Point2]) -> Point2 {
    let n = outline.len().max(1) as f64;
    Point2::new(outline.iter().map(|p| p.x).sum::<f64>() / n, outline.iter().map(|p| p.y).sum::<f64>() / n)
}

/// The room of a storey that contains a place, or is nearest to it within reach and has raceways.
fn room_near(home: &Home, loops: &[Loops], storey: usize, at: Point2) -> Option<usize> {
    let rooms = home.resolved.rooms.iter().enumerate();
    rooms
        .filter(|(i, r)| r.storey == storey && loops.get(*i).is_some_and(|l| !l.cornice.is_empty()))
        .map(|(i, r)| {
            let off = if r.contains(at) {
                0.0
            } else {
                edges(&r.outline).map(|(a, b)| project(at, a, b).1).fold(f64::INFINITY, f64::min)
            };
            (i, off)
        })
        .filter(|(_, off)| *off <= REACH)
        .min_by(|a, b| (a.1 * 1e6).round().total_cmp(&(b.1 * 1e6).round()))
        .map(|(i, _)| i)
}

/// A shaft, or a pipe that rises, with a way out at each storey.
fn upright(home: &Home, spaces: &[Space], loops: &[Loops], ways: &mut Ways, space: &ResolvedCableSpace) {
    let at = middle(&space.outline);
    let way = if space.kind == CableSpaceKind::Riser { Way::Riser } else { Way::Conduit };
    let mut heights: Vec<(f64, usize, bool)> = Vec::new();
    for &s in &space.storeys {
        let Some(storey) = home.resolved.storeys.get(s) else { continue };
        heights.push((storey.floor_z + BOX_HEIGHT, s, false));
        heights.push((storey.ceiling_z, s, true));
    }
    heights.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut last: Option<usize> = None;
    for (z, storey, top) in heights {
        let spot = ways.spot(at.at_height(z));
        if let Some(before) = last {
            ways.line([before, spot], way, Some(space.space.clone())).bore = space.bore;
        }
        last = Some(spot);
        if let Some(room) = room_near(home, loops, storey, at) {
            let lines = if top { &loops[room].cornice } else { &loops[room].skirting };
            if let Some((stop, _)) = reach(ways, lines, at) {
                let line = ways.line([spot, stop], Way::Raceway, Some(space.space.clone()));
                // A pipe ends in a box in the wall; a shaft has walls of its own.
                if way == Way::Riser {
                    let minutes = home.terms.hole(HoleKind::Wall, false, false);
                    let (kind, element) = (HoleKind::Wall, space.space.clone());
                    line.holes.push(Drilled { t: 0.0, kind, element, depth: 0.1, seal: false, minutes });
                }
            }
        }
        if top && way == Way::Riser {
            for over in spaces.iter().filter(|s| s.over.contains(&storey) && s.encloses(at)) {
                let inside = ways.spot(at.at_height(over.z));
                ways.line([spot, inside], Way::Riser, Some(space.space.clone()));
                attach(home, over, ways, inside);
            }
        }
    }
}

/// A pipe along a storey, between the middles of the two ends of its outline.
fn level_pipe(home: &Home, loops: &[Loops], ways: &mut Ways, space: &ResolvedCableSpace) {
    let Some(&storey) = space.storeys.first() else { return };
    let Some(floor_z) = home.resolved.storeys.get(storey).map(|s| s.floor_z) else { return };
    let mut sides: Vec<(f64, Point2)> = edges(&space.outline).map(|(a, b)| (a.distance(b), lerp(a, b, 0.5))).collect();
    sides.sort_by(|a, b| (a.0 * 1e6).round().total_cmp(&(b.0 * 1e6).round()));
    let [(_, one), (_, other), ..] = sides.as_slice() else { return };
    let ends = [*one, *other].map(|p| ways.spot(p.at_height(floor_z + BOX_HEIGHT)));
    ways.line(ends, Way::Conduit, Some(space.space.clone())).bore = space.bore;
    for (spot, at) in ends.into_iter().zip([*one, *other]) {
        let Some(room) = room_near(home, loops, storey, at) else { continue };
        if let Some((stop, _)) = reach(ways, &loops[room].skirting, at) {
            ways.line([spot, stop], Way::Raceway, Some(space.space.clone()));
        }
    }
}
