//! Upright edges of a home: jambs of openings, free ends of walls, corners of metal objects.

use units::{Point2, Point3};

use super::{Edge, Kind};
use crate::geometry::{Geometry, Met, edges};
use crate::surface::Surfaces;

/// Nearer than this things touch \[m\].
pub(super) const TOUCH: f64 = 1e-6;

const UP: [f64; 3] = [0.0, 0.0, 1.0];

/// All upright edges.
pub(super) fn all(geometry: &Geometry, surfaces: &Surfaces, is_metal: impl Fn(u32) -> bool, out: &mut Vec<Edge>) {
    for panel in 0..geometry.segments.len() as u32 {
        of_panel(geometry, surfaces, panel, out);
    }
    for (index, block) in geometry.blocks.iter().enumerate() {
        if is_metal(index as u32) {
            let twice: f64 = edges(&block.outline).map(|(p, q)| p.x * q.y - q.x * p.y).sum();
            let corners: Vec<Point2> =
                if twice >= 0.0 { block.outline.clone() } else { block.outline.iter().rev().copied().collect() };
            for (i, &at) in corners.iter().enumerate() {
                let count = corners.len();
                let (before, after) = (corners[(i + count - 1) % count], corners[(i + 1) % count]);
                let face = (after.y - at.y).atan2(after.x - at.x);
                let back = (before.y - at.y).atan2(before.x - at.x);
                let inner = (back - face).rem_euclid(std::f64::consts::TAU);
                if inner > 1e-6 && inner < std::f64::consts::PI - 1e-6 {
                    let n = 2.0 - inner / std::f64::consts::PI;
                    let (sin, cos) = face.sin_cos();
                    out.push(Edge::new(
                        ([at.x, at.y, block.z0], UP, block.z1 - block.z0),
                        [[cos, sin, 0.0], [sin, -cos, 0.0]],
                        Kind::Corner { n },
                        Met::Block(index as u32, 0.0),
                    ));
                }
            }
        }
    }
}

/// Jambs and free ends of one panel.
fn of_panel(geometry: &Geometry, surfaces: &Surfaces, panel: u32, out: &mut Vec<Edge>) {
    let Some(segment) = geometry.segments.get(panel as usize) else { return };
    let cuts = geometry.cuts.get(panel as usize).map_or(&[][..], |c| c);
    let plane = surfaces.of_panel.get(panel as usize).copied().unwrap_or(u32::MAX);
    let along = Point2::new((segment.b.x - segment.a.x) / segment.length, (segment.b.y - segment.a.y) / segment.length);
    let point = |s: f64| Point2::new(segment.a.x + s * along.x, segment.a.y + s * along.y);
    let mut places: Vec<f64> = cuts.iter().flat_map(|c| [c.s0, c.s1]).chain([0.0, segment.length]).collect();
    places.retain(|&s| (0.0..=segment.length).contains(&s));
    places.sort_by(f64::total_cmp);
    places.dedup_by(|a, b| (*a - *b).abs() < TOUCH);
    for s in places {
        let mut heights: Vec<f64> = cuts.iter().flat_map(|c| [c.z0, c.z1]).chain([segment.z0, segment.z1]).collect();
        heights.retain(|z| (segment.z0..=segment.z1).contains(z));
        heights.sort_by(f64::total_cmp);
        heights.dedup();
        let first = out.len();
        for (&z0, &z1) in heights.iter().zip(heights.iter().skip(1)) {
            let middle = 0.5 * (z0 + z1);
            let fill = |s: f64| {
                let at = point(s).at_height(middle);
                geometry.panel_at(panel, at).map(|(assembly, cut)| (assembly, Met::Panel(panel, cut)))
            };
            let (before, after) = (fill(s - TOUCH), fill(s + TOUCH));
            let is_end = s < TOUCH || s > segment.length - TOUCH;
            let beyond = || match joined(geometry, surfaces, panel, point(s), middle) {
                Joint::Free => Some(None),
                // Of two panels in line the first makes the edge.
                Joint::InLine(other, filling) if other > panel => Some(filling),
                Joint::InLine(..) | Joint::Corner => None,
            };
            let (before, after) = if !is_end {
                (before, after)
            } else if s < TOUCH {
                let Some(beyond) = beyond() else { continue };
                (beyond, after)
            } else {
                let Some(beyond) = beyond() else { continue };
                (before, beyond)
            };
            let (one, other, along) = match (before, after) {
                (Some(b), None) => (b, None, Point2::new(-along.x, -along.y)),
                (b, Some(a)) if b.map(|b| b.0) != Some(a.0) => (a, b, along),
                _ => continue,
            };
            let edge = Edge::new(
                ([point(s).x, point(s).y, z0], UP, z1 - z0),
                [[along.x, along.y, 0.0], [segment.normal.x, segment.normal.y, 0.0]],
                Kind::Sheet { plane, one: Some(one.0), other: other.map(|o| o.0) },
                one.1,
            );
            lengthen_or_push(out, first, edge);
        }
    }
}

/// Adds an edge, or lengthens the last of those from `first` on if it only goes on.
pub(super) fn lengthen_or_push(out: &mut Vec<Edge>, first: usize, edge: Edge) {
    match out.get_mut(first..).and_then(|new| new.last_mut()) {
        Some(last)
            if last.met == edge.met
                && last.kind == edge.kind
                && last.into == edge.into
                && (0..3).all(|i| (last.start[i] + last.length * last.along[i] - edge.start[i]).abs() < TOUCH) =>
        {
            last.length += edge.length;
        }
        _ => out.push(edge),
    }
}

/// What a panel's end meets.
enum Joint {
    Free,
    /// Another panel goes on in the same plane, filled with this.
    InLine(u32, Option<(u32, Met)>),
    /// A panel of another plane.
    Corner,
}

fn joined(geometry: &Geometry, surfaces: &Surfaces, panel: u32, at: Point2, z: f64) -> Joint {
    let plane = surfaces.of_panel.get(panel as usize);
    let mut out = Joint::Free;
    for (index, other) in geometry.segments.iter().enumerate() {
        if index == panel as usize || z < other.z0 || z >= other.z1 {
            continue;
        }
        let (ex, ey) = ((other.b.x - other.a.x) / other.length, (other.b.y - other.a.y) / other.length);
        let (dx, dy) = (at.x - other.a.x, at.y - other.a.y);
        let s = dx * ex + dy * ey;
        if (dx * ey - dy * ex).abs() > TOUCH || s < -TOUCH || s > other.length + TOUCH {
            continue;
        }
        if surfaces.of_panel.get(index) != plane {
            return Joint::Corner;
        }
        let inner = s.clamp(TOUCH, (other.length - TOUCH).max(TOUCH));
        let place = Point3::new(other.a.x + inner * ex, other.a.y + inner * ey, z);
        let filling = geometry.panel_at(index as u32, place).map(|(a, cut)| (a, Met::Panel(index as u32, cut)));
        out = Joint::InLine(index as u32, filling);
    }
    out
}
