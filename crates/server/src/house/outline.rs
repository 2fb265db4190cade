//! Outlines of walls in plan, joined where walls meet.
//!
//! Every wall keeps outlines of its own, so that one can be pointed at; where walls meet, their outlines overlap instead
//! of abutting, because abutting edges leave a hairline when they are painted.

use building::{JOIN_TOLERANCE, Panel, Resolved};
use rstar::{AABB, RTree, RTreeObject};
use units::Point2;

/// Height of the horizontal cut that a plan shows, above the storey's floor [m]: common practice, no source.
pub(super) const CUT_HEIGHT: f64 = 1.2;

/// Walls that cross at less than this sine are treated as parallel: 10°.
const PARALLEL_SINE: f64 = 0.174;

/// How far a wall is drawn into the next one in the same line [m]. It shows nowhere.
const LAP: f64 = 0.01;

/// A piece of wall shorter than this is not drawn [m].
const SLIVER: f64 = 1e-6;

/// For each panel, the outlines of what the cut goes through.
pub(super) fn solids(resolved: &Resolved) -> Vec<Vec<Vec<Point2>>> {
    let is_cut = |panel: &Panel| {
        let z = resolved.storeys[panel.storey].floor_z + CUT_HEIGHT;
        panel.z0 <= z && panel.z1 >= z && panel.a.distance(panel.b) > SLIVER
    };
    let boxes = resolved.panels.iter().enumerate().filter(|(_, p)| is_cut(p)).map(|(index, p)| Boxed::new(index, p));
    let tree = RTree::bulk_load(boxes.collect());
    let outlines = |(index, panel): (usize, &Panel)| {
        if !is_cut(panel) {
            return Vec::new();
        }
        let z = resolved.storeys[panel.storey].floor_z + CUT_HEIGHT;
        let window = Boxed::new(index, panel).envelope();
        let mut near: Vec<usize> = tree
            .locate_in_envelope_intersecting(&window)
            .map(|b| b.index)
            .filter(|&i| i != index && resolved.panels[i].storey == panel.storey)
            .collect();
        near.sort_unstable();
        let near: Vec<&Panel> = near.into_iter().map(|i| &resolved.panels[i]).collect();
        pieces(panel, z, End::of(panel, false, &near), End::of(panel, true, &near))
    };
    resolved.panels.iter().enumerate().map(outlines).collect()
}

/// The point on a panel's centre line at a distance from its `a` [m].
pub(super) fn along(panel: &Panel, s: f64) -> Point2 {
    let d = direction(panel.a, panel.b);
    Point2::new(panel.a.x + d.x * s, panel.a.y + d.y * s)
}

struct Boxed {
    index: usize,
    envelope: AABB<[f64; 2]>,
}

impl Boxed {
    fn new(index: usize, p: &Panel) -> Self {
        let m = p.thickness / 2.0 + JOIN_TOLERANCE;
        let envelope = AABB::from_corners(
            [p.a.x.min(p.b.x) - m, p.a.y.min(p.b.y) - m],
            [p.a.x.max(p.b.x) + m, p.a.y.max(p.b.y) + m],
        );
        Self { index, envelope }
    }
}

impl RTreeObject for Boxed {
    type Envelope = AABB<[f64; 2]>;
    fn envelope(&self) -> Self::Envelope {
        self.envelope
    }
}

fn direction(a: Point2, b: Point2) -> Point2 {
    let length = a.distance(b);
    if length > 0.0 { Point2::new((b.x - a.x) / length, (b.y - a.y) / length) } else { Point2::default() }
}

fn sub(p: Point2, q: Point2) -> Point2 {
    Point2::new(p.x - q.x, p.y - q.y)
}

fn dot(p: Point2, q: Point2) -> f64 {
    p.x * q.x + p.y * q.y
}

fn cross(p: Point2, q: Point2) -> f64 {
    p.x * q.y - p.y * q.x
}

/// Where a wall's two faces end, beyond the end of its centre line, outwards [m].
#[derive(Clone, Copy, Debug, Default, PartialEq)]
struct End {
    /// On the left, looking out of the wall.
    left: f64,
    /// On the right.
    right: f64,
}

/// A wall's end: the point and the direction out of the wall.
fn end(panel: &Panel, at_b: bool) -> (Point2, Point2) {
    if at_b { (panel.b, direction(panel.a, panel.b)) } else { (panel.a, direction(panel.b, panel.a)) }
}

/// An end of another wall that is met: its direction out of that wall, its half thickness, and how far beyond our end
/// the centre lines cross [m].
#[derive(Clone, Copy)]
struct Met {
    out: Point2,
    half: f64,
    past: f64,
}

impl End {
    /// How an end is drawn among the walls near it.
    ///
    /// # Model
    /// - An end in a wall that runs on is cut along that wall's direction, so that it neither shows on the far side nor
    ///   leaves a gap when the walls meet at a slant.
    /// - Where ends meet, the two on either side of the open angle (more than 180°) run on to each other's outer face,
    ///   which closes the corner.
    /// - In a straight line the thinner wall runs a little into the other.
    /// - A free end is square.
    fn of(panel: &Panel, at_b: bool, near: &[&Panel]) -> Self {
        let (own_end, out) = end(panel, at_b);
        let half = panel.thickness / 2.0;
        let length = panel.a.distance(panel.b);
        let mut through = None;
        let mut ends: Vec<Met> = Vec::new();
        let mut lap = false;
        for other in near {
            let axis = direction(other.a, other.b);
            let sine = cross(out, axis);
            let other_half = other.thickness / 2.0;
            if sine.abs() < PARALLEL_SINE {
                for other_at_b in [false, true] {
                    let (p, other_out) = end(other, other_at_b);
                    let gap = sub(p, own_end);
                    let meets = dot(gap, out).abs() <= JOIN_TOLERANCE && cross(out, gap).abs() <= half + other_half;
                    if meets && dot(out, other_out) < 0.0 {
                        ends.push(Met { out: other_out, half: other_half, past: 0.0 });
                        lap |= half <= other_half;
                    }
                }
                continue;
            }
            let to_other = sub(other.a, own_end);
            let past = cross(to_other, axis) / sine;
            let on_other = cross(to_other, out) / sine;
            let slant = dot(out, axis).abs();
            let reach = |across: f64, own: f64| (across + slant * own) / sine.abs() + JOIN_TOLERANCE;
            let (own_reach, other_reach) = (reach(other_half, half), reach(half, other_half));
            let other_length = other.a.distance(other.b);
            let beyond = (-on_other).max(on_other - other_length).max(0.0);
            if past.abs() > own_reach || past <= -length || beyond > other_reach {
                continue;
            }
            if on_other <= other_reach && on_other <= other_length / 2.0 {
                ends.push(Met { out: end(other, false).1, half: other_half, past });
            } else if other_length - on_other <= other_reach {
                ends.push(Met { out: end(other, true).1, half: other_half, past });
            } else {
                through = Some(axis);
            }
        }
        if let Some(axis) = through {
            return Self::slanted(out, axis, half, 0.0);
        }
        if let Some(met) = across_open_angle(out, &ends) {
            return Self::to_outer_face(out, half, &met);
        }
        if lap { Self { left: LAP, right: LAP } } else { Self::default() }
    }

    /// Cut along a direction through a point of the centre line, `past` beyond the end.
    fn slanted(out: Point2, axis: Point2, half: f64, past: f64) -> Self {
        // A face `h` to the left of the centre line meets the cutting line `h · cot` further on or back.
        let cotangent = dot(out, axis) / cross(out, axis);
        Self { left: past + half * cotangent, right: past - half * cotangent }
    }

    /// Cut along the other wall's outer face, the one turned away from this wall's own body.
    fn to_outer_face(out: Point2, half: f64, met: &Met) -> Self {
        let sine = cross(out, met.out).abs();
        let centre = met.past + met.half / sine;
        let cut = Self::slanted(out, met.out, half, centre);
        // A very sharp corner is cut off, as a builder would.
        let longest = met.past.max(0.0) + 2.0 * (half + met.half);
        Self { left: cut.left.min(longest), right: cut.right.min(longest) }
    }
}

/// Of the walls that end here, the one on the other side of an angle of more than 180° from this wall, if there is one.
fn across_open_angle(out: Point2, ends: &[Met]) -> Option<Met> {
    // Angle from this wall's body, anticlockwise, to another's body, 0 to 2π.
    let angle = |met: &Met| {
        let turn = cross(out, met.out).atan2(dot(out, met.out));
        if turn < 0.0 { turn + std::f64::consts::TAU } else { turn }
    };
    let sine = |met: &Met| cross(out, met.out).abs() >= PARALLEL_SINE;
    let first = ends.iter().min_by(|m, n| angle(m).total_cmp(&angle(n)))?;
    let last = ends.iter().max_by(|m, n| angle(m).total_cmp(&angle(n)))?;
    // Between this wall and the first one, anticlockwise; and between the last one and this wall.
    let open = |gap: f64| gap > std::f64::consts::PI;
    if open(angle(first)) && sine(first) {
        return Some(*first);
    }
    (open(std::f64::consts::TAU - angle(last)) && sine(last)).then_some(*last)
}

/// What is left of a wall between its openings at the cut, each piece anticlockwise.
fn pieces(panel: &Panel, z: f64, at_a: End, at_b: End) -> Vec<Vec<Point2>> {
    let length = panel.a.distance(panel.b);
    let mut pieces = Vec::new();
    let mut from = 0.0;
    let gaps = panel.cuts.iter().filter(|cut| cut.z0 < z && cut.z1 > z).map(|cut| (cut.s0, cut.s1));
    for (s0, s1) in gaps.chain([(length, length)]) {
        if s0 - from > SLIVER {
            let start = if from <= 0.0 { at_a } else { End::default() };
            let stop = if s0 >= length { at_b } else { End::default() };
            pieces.push(outline(panel, (from, start), (s0, stop)));
        }
        from = from.max(s1);
    }
    pieces
}

/// Outline of a piece of wall between two distances from its `a`.
fn outline(panel: &Panel, (from, start): (f64, End), (to, stop): (f64, End)) -> Vec<Point2> {
    let (d, half) = (direction(panel.a, panel.b), panel.thickness / 2.0);
    let corner = |s: f64, side: f64| {
        Point2::new(panel.a.x + d.x * s - d.y * side * half, panel.a.y + d.y * s + d.x * side * half)
    };
    // Looking out of the `a` end, the wall's left is on the right. No corner may pass its opposite one.
    let middle = (from + to) / 2.0;
    let (from_left, from_right) = ((from - start.right).min(middle), (from - start.left).min(middle));
    let (to_left, to_right) = ((to + stop.left).max(middle), (to + stop.right).max(middle));
    vec![corner(from_right, -1.0), corner(to_right, -1.0), corner(to_left, 1.0), corner(from_left, 1.0)]
}

#[cfg(test)]
mod tests {
    use super::*;
    use building::{ResolvedStorey, StoreyUse, WallKind};

    fn panel(a: [f64; 2], b: [f64; 2], thickness: f64) -> Panel {
        Panel {
            wall: findings::Id::from_label("w"),
            storey: 0,
            kind: WallKind::Inside,
            a: a.into(),
            b: b.into(),
            z0: 0.0,
            z1: 2.5,
            thickness,
            assembly: 0,
            cuts: Vec::new(),
        }
    }

    fn drawn(panels: Vec<Panel>) -> Vec<Vec<Vec<Point2>>> {
        let storey = ResolvedStorey {
            id: findings::Id::from_label("s"),
            name: "s".into(),
            floor_z: 0.0,
            ceiling_z: 2.5,
            usage: StoreyUse::Living,
        };
        solids(&Resolved { storeys: vec![storey], panels, ..Resolved::default() })
    }

    fn check(panels: Vec<Panel>, index: usize, expected: &[[f64; 2]]) {
        let found = drawn(panels);
        assert_eq!(found[index].len(), 1);
        let found = &found[index][0];
        assert_eq!(found.len(), expected.len());
        for (p, q) in found.iter().zip(expected) {
            assert!(p.distance(Point2::from(*q)) < 1e-9, "{found:?} is not {expected:?}");
        }
    }

    #[test]
    fn a_free_end_is_square() {
        check(vec![panel([0.0, 0.0], [4.0, 0.0], 0.2)], 0, &[[0.0, -0.1], [4.0, -0.1], [4.0, 0.1], [0.0, 0.1]]);
    }

    #[test]
    fn both_walls_of_a_corner_reach_its_outer_edge() {
        let corner = vec![panel([0.0, 0.0], [4.0, 0.0], 0.2), panel([4.0, 0.0], [4.0, 3.0], 0.4)];
        check(corner.clone(), 0, &[[0.0, -0.1], [4.2, -0.1], [4.2, 0.1], [0.0, 0.1]]);
        check(corner, 1, &[[4.2, -0.1], [4.2, 3.0], [3.8, 3.0], [3.8, -0.1]]);
    }

    #[test]
    fn a_slanted_corner_comes_to_its_mitre() {
        // 45° between the walls' bodies: the outer faces meet at x = 4 + 0.1 / tan 22.5°.
        let corner = vec![panel([0.0, 0.0], [4.0, 0.0], 0.2), panel([4.0, 0.0], [1.0, 3.0], 0.2)];
        let found = drawn(corner);
        let tip = Point2::new(4.0 + 0.1 / 22.5_f64.to_radians().tan(), -0.1);
        for wall in &found {
            assert!(wall[0].iter().any(|p| p.distance(tip) < 1e-9), "{found:?} has no tip at {tip:?}");
        }
    }

    #[test]
    fn a_needle_sharp_corner_is_blunt() {
        let corner = vec![panel([0.0, 0.0], [4.0, 0.0], 0.2), panel([4.0, 0.0], [0.0, 1.0], 0.2)];
        for wall in drawn(corner) {
            assert!(wall[0].iter().all(|p| p.distance(Point2::new(4.0, 0.0)) < 5.0 && p.x < 4.5), "{wall:?}");
        }
    }

    #[test]
    fn a_wall_that_ends_in_another_stops_in_its_middle() {
        let tee = vec![panel([0.0, 0.0], [4.0, 0.0], 0.2), panel([2.0, 0.0], [2.0, 3.0], 0.1)];
        check(tee.clone(), 0, &[[0.0, -0.1], [4.0, -0.1], [4.0, 0.1], [0.0, 0.1]]);
        check(tee, 1, &[[2.05, 0.0], [2.05, 3.0], [1.95, 3.0], [1.95, 0.0]]);
    }

    #[test]
    fn a_slanted_wall_does_not_show_behind_the_one_that_it_ends_in() {
        // Thick into thin at 45°: a square end would stick out on the far side and leave a gap on the near one.
        let tee = vec![panel([0.0, 0.0], [4.0, 0.0], 0.1), panel([2.0, 0.0], [4.0, 2.0], 0.3)];
        let found = drawn(tee);
        let lowest = found[1][0].iter().map(|p| p.y).fold(f64::INFINITY, f64::min);
        let on_line = found[1][0].iter().filter(|p| p.y.abs() < 1e-9).count();
        assert!(lowest > -1e-9 && on_line == 2, "{found:?}");
    }

    #[test]
    fn where_three_ends_meet_only_the_open_side_is_closed() {
        // A straight run of two pieces with a third wall ending at their joint: nothing sticks out above.
        let tee = vec![
            panel([0.0, 0.0], [2.0, 0.0], 0.2),
            panel([2.0, 0.0], [4.0, 0.0], 0.2),
            panel([2.0, 0.0], [2.0, -3.0], 0.3),
        ];
        let found = drawn(tee);
        let highest = found.iter().flatten().flatten().map(|p| p.y).fold(f64::NEG_INFINITY, f64::max);
        assert!((highest - 0.1).abs() < 1e-9, "{found:?}");
        // The run has no slit: each piece reaches past the joint.
        assert!(found[0][0].iter().any(|p| p.x > 2.0) && found[1][0].iter().any(|p| p.x < 2.0));
    }

    #[test]
    fn openings_part_the_wall_only_at_the_height_of_the_cut() {
        let mut wall = panel([0.0, 0.0], [4.0, 0.0], 0.2);
        let cut = |s0, s1, z0, z1| building::Cut {
            opening: findings::Id::from_label("o"),
            kind: building::OpeningKind::Window,
            s0,
            s1,
            z0,
            z1,
            assembly: None,
        };
        wall.cuts = vec![cut(0.0, 0.5, 0.0, 2.0), cut(1.0, 2.0, 0.9, 2.1), cut(3.0, 3.5, 1.7, 2.1)];
        let found = drawn(vec![wall]);
        let spans: Vec<(f64, f64)> = found[0].iter().map(|p| (p[0].x, p[1].x)).collect();
        assert_eq!(spans, [(0.5, 1.0), (2.0, 4.0)]);
    }

    #[test]
    fn a_low_wall_is_not_cut() {
        let low = Panel { z1: 1.0, ..panel([0.0, 0.0], [4.0, 0.0], 0.2) };
        assert!(drawn(vec![low])[0].is_empty());
    }
}
