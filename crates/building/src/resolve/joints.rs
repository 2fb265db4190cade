//! Where walls meet: wall ends are extended so that centre lines meet and no slit is left for a ray.

use geo::Intersects;
use rstar::{AABB, RTree, RTreeObject};
use units::Point2;

use crate::geometry::{add, coord, cross, direction, dot, left_of, polygon, project, strip, sub, tidy};

/// Wall ends this far from a true joint are still joined [m]. A joint is where the bodies of two walls touch: an end may
/// stop at the other wall's face or at its centre line, whichever way the plan was drawn. Common practice: drawings
/// are true to a few centimetres.
pub const JOIN_TOLERANCE: f64 = 0.05;

/// Walls that cross at less than this sine are treated as parallel: 10°.
const PARALLEL_SINE: f64 = 0.174;

/// A wall's body as joints see it.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Body {
    pub a: Point2,
    pub b: Point2,
    pub thickness: f64,
    pub z0: f64,
    pub z1: f64,
}

impl Body {
    /// The end and the unit vector that points out of the wall there.
    fn end(&self, at_b: bool) -> (Point2, Point2) {
        if at_b { (self.b, direction(self.a, self.b)) } else { (self.a, direction(self.b, self.a)) }
    }

    pub(crate) fn length(&self) -> f64 {
        self.a.distance(self.b)
    }

    /// Whether two bodies touch in plan and share some height.
    fn touches(&self, other: &Self) -> bool {
        let line = |b: &Self| geo::Line::new(coord(b.a), coord(b.b));
        let near = |p: Point2, b: &Self| project(p, b.a, b.b).1 <= (self.thickness + other.thickness) / 2.0;
        self.shares_height(other)
            && (near(self.a, other)
                || near(self.b, other)
                || near(other.a, self)
                || near(other.b, self)
                || line(self).intersects(&line(other)))
    }

    fn shares_height(&self, other: &Self) -> bool {
        self.z1.min(other.z1) - self.z0.max(other.z0) > 0.01
    }

    /// Whether another wall's plan area hides this one's.
    fn lies_in(&self, other: &Self) -> bool {
        let (axis, half) = (direction(other.a, other.b), self.thickness / 2.0);
        let own = left_of(direction(self.a, self.b));
        [(self.a, half), (self.a, -half), (self.b, half), (self.b, -half)].iter().all(|&(end, side)| {
            let p = sub(add(end, own, side), other.a);
            let (along, aside) = (dot(p, axis), cross(axis, p).abs());
            aside <= other.thickness / 2.0 + HIDDEN && along >= -HIDDEN && along <= other.length() + HIDDEN
        })
    }
}

/// Pairs of boxes looked at before a plan is held to be too crowded.
const MAX_LOOKS: usize = 4_000_000;

/// A wall that sticks out of another by less than this adds nothing to its plan area [m].
const HIDDEN: f64 = 0.001;

/// How far from a wall's body others can be that it meets [m].
fn reach(own: &Body) -> f64 {
    2.0 * own.thickness + JOIN_TOLERANCE
}

struct Boxed {
    index: usize,
    envelope: AABB<[f64; 2]>,
}

impl RTreeObject for Boxed {
    type Envelope = AABB<[f64; 2]>;
    fn envelope(&self) -> Self::Envelope {
        self.envelope
    }
}

fn envelope(body: &Body, margin: f64) -> AABB<[f64; 2]> {
    let m = margin + body.thickness / 2.0;
    AABB::from_corners(
        [body.a.x.min(body.b.x) - m, body.a.y.min(body.b.y) - m],
        [body.a.x.max(body.b.x) + m, body.a.y.max(body.b.y) + m],
    )
}

/// Walls, indexed by place.
pub(crate) struct Bodies {
    pub all: Vec<Body>,
    tree: RTree<Boxed>,
}

impl Bodies {
    /// All numbers must be finite.
    pub(crate) fn new(all: Vec<Body>) -> Self {
        let boxes = all.iter().enumerate().map(|(index, b)| Boxed { index, envelope: envelope(b, 0.0) }).collect();
        Self { tree: RTree::bulk_load(boxes), all }
    }

    /// Number of pairs of walls whose bodies touch, counted up to a limit, which is passed by one at most.
    pub(crate) fn touching_pairs(&self, limit: usize) -> usize {
        let (mut count, mut looked_at) = (0, 0);
        for (i, own) in self.all.iter().enumerate() {
            for boxed in self.tree.locate_in_envelope_intersecting(&envelope(own, 0.0)) {
                looked_at += 1;
                count += usize::from(boxed.index > i && own.touches(&self.all[boxed.index]));
                if count > limit || looked_at > MAX_LOOKS {
                    return limit + 1;
                }
            }
        }
        count
    }

    /// Walls whose boxes come within `margin` of a wall's box and that share some of its height, by rising index.
    pub(crate) fn near(&self, i: usize, margin: f64) -> Vec<usize> {
        let own = &self.all[i];
        let mut found: Vec<usize> = self
            .tree
            .locate_in_envelope_intersecting(&envelope(own, margin))
            .map(|b| b.index)
            .filter(|&j| j != i && own.shares_height(&self.all[j]))
            .collect();
        found.sort_unstable();
        found
    }

    /// Walls whose body contains a point, by rising index.
    pub(crate) fn at(&self, p: Point2, margin: f64) -> Vec<usize> {
        let window = AABB::from_corners([p.x - margin, p.y - margin], [p.x + margin, p.y + margin]);
        let mut found: Vec<usize> = self
            .tree
            .locate_in_envelope_intersecting(&window)
            .map(|b| b.index)
            .filter(|&j| {
                let body = &self.all[j];
                project(p, body.a, body.b).1 <= body.thickness / 2.0 + margin
            })
            .collect();
        found.sort_unstable();
        found
    }
}

/// A place where an end of a wall meets another wall.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Meeting {
    /// The other wall.
    pub other: usize,
    /// The other wall's end that is met; none if it is met between its ends.
    pub other_end: Option<bool>,
    /// Where the centre lines meet.
    pub at: Point2,
    /// How far the end must be moved outwards to get there; never negative [m].
    pub extension: f64,
}

/// Where an end of wall `i` meets other walls.
pub(crate) fn meetings(bodies: &Bodies, i: usize, at_b: bool) -> Vec<Meeting> {
    let own = &bodies.all[i];
    let (end, out) = own.end(at_b);
    bodies.near(i, reach(own)).into_iter().filter_map(|j| meeting(own, end, out, &bodies.all[j], j)).collect()
}

fn meeting(own: &Body, end: Point2, out: Point2, other: &Body, j: usize) -> Option<Meeting> {
    let along = direction(other.a, other.b);
    let (sine, cosine) = (cross(out, along), dot(out, along).abs());
    let (half_own, half_other) = (own.thickness / 2.0, other.thickness / 2.0);
    if sine.abs() < PARALLEL_SINE {
        return in_line(own, end, out, other, j);
    }
    let to_other = sub(other.a, end);
    let past_end = cross(to_other, along) / sine;
    let on_other = cross(to_other, out) / sine;
    // How far the bodies go past the crossing of the centre lines.
    let past = |across: f64, own: f64| (across + cosine * own) / sine.abs() + JOIN_TOLERANCE;
    let (own_reach, other_reach) = (past(half_other, half_own), past(half_own, half_other));
    let length = other.length();
    let beyond_other = (-on_other).max(on_other - length).max(0.0);
    if past_end.abs() > own_reach || past_end <= -own.length() || beyond_other > other_reach {
        return None;
    }
    let other_end = if on_other <= other_reach && on_other <= length / 2.0 {
        Some(false)
    } else if length - on_other <= other_reach {
        Some(true)
    } else {
        None
    };
    Some(Meeting { other: j, other_end, at: add(end, out, past_end), extension: past_end.max(0.0) })
}

/// Two walls in one line, end to end.
fn in_line(own: &Body, end: Point2, out: Point2, other: &Body, j: usize) -> Option<Meeting> {
    let (sa, sb) = (dot(sub(other.a, end), out), dot(sub(other.b, end), out));
    let at_b = sb < sa;
    let (gap, far) = if at_b { (sb, sa) } else { (sa, sb) };
    let nearest = if at_b { other.b } else { other.a };
    let aside = cross(out, sub(nearest, end)).abs();
    if gap.abs() > JOIN_TOLERANCE || far <= gap || aside > (own.thickness + other.thickness) / 2.0 {
        return None;
    }
    // Centre lines that are offset pass each other by the offset, so that only rays nearly along the wall slip between.
    let extension = (gap.max(0.0) + aside) / 2.0;
    Some(Meeting { other: j, other_end: Some(at_b), at: add(end, out, gap / 2.0), extension })
}

/// How far each wall must be extended at its `a` and its `b` end [m].
pub(crate) fn extensions(bodies: &Bodies) -> Vec<(f64, f64)> {
    let longest = |i, at_b| meetings(bodies, i, at_b).iter().map(|m| m.extension).fold(0.0, f64::max);
    (0..bodies.all.len()).map(|i| (longest(i, false), longest(i, true))).collect()
}

/// The plan areas of walls, corners filled: a strip for each wall and a mitre where exactly two ends meet. Walls that
/// lie in another are left out: they add no area, and unions of outlines that nearly coincide are slow.
pub(crate) fn footprints(bodies: &Bodies, among: &[usize]) -> Vec<geo::Polygon<f64>> {
    let mut is_hidden = vec![false; bodies.all.len()];
    for &i in among {
        is_hidden[i] = bodies.near(i, 0.0).into_iter().any(|j| {
            let other = &bodies.all[j];
            !is_hidden[j] && among.binary_search(&j).is_ok() && bodies.all[i].lies_in(other)
        });
    }
    let mut shapes: Vec<_> = among
        .iter()
        .filter(|&&i| !is_hidden[i])
        .map(|&i| {
            let body = &bodies.all[i];
            strip(body.a, body.b, body.thickness)
        })
        .collect();
    for &i in among {
        for at_b in [false, true] {
            let met = meetings(bodies, i, at_b);
            if let [Meeting { other, other_end: Some(other_at_b), at, .. }] = met[..]
                && other > i
                && among.binary_search(&other).is_ok()
            {
                shapes.extend(mitre(&bodies.all[i], at_b, &bodies.all[other], other_at_b, at));
            }
        }
    }
    shapes
}

/// The outer corner that two butt ends leave open.
fn mitre(one: &Body, one_at_b: bool, two: &Body, two_at_b: bool, at: Point2) -> Option<geo::Polygon<f64>> {
    let ((_, out1), (_, out2)) = (one.end(one_at_b), two.end(two_at_b));
    let facing = |n: Point2, d: Point2| if dot(n, d) >= 0.0 { n } else { Point2::new(-n.x, -n.y) };
    let (n1, n2) = (facing(left_of(out1), out2), facing(left_of(out2), out1));
    let (h1, h2) = (one.thickness / 2.0, two.thickness / 2.0);
    let turn = dot(out1, n2);
    if turn < PARALLEL_SINE {
        return None;
    }
    let tip = add(add(at, n1, h1), out1, (h2 - dot(n1, n2) * h1) / turn);
    // A very sharp corner is cut off, as a builder would.
    let corners = [at, add(at, n1, h1), tip, add(at, n2, h2)];
    let blunt = tip.distance(at) <= 2.0 * (one.thickness + two.thickness);
    let outline = if blunt { corners.to_vec() } else { vec![corners[0], corners[1], corners[3]] };
    // Unions add windings up: every shape must turn the same way.
    Some(polygon(&tidy(outline, true), &[]))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn body(a: [f64; 2], b: [f64; 2]) -> Body {
        Body { a: a.into(), b: b.into(), thickness: 0.2, z0: 0.0, z1: 2.5 }
    }

    fn extended(bodies: Vec<Body>) -> Vec<(f64, f64)> {
        extensions(&Bodies::new(bodies))
    }

    #[test]
    fn an_end_at_a_face_is_extended_to_the_centre_line() {
        let found = extended(vec![body([0.0, 0.0], [4.0, 0.0]), body([2.0, 0.1], [2.0, 3.0])]);
        assert_eq!(found[0], (0.0, 0.0));
        assert!((found[1].0 - 0.1).abs() < 1e-12 && found[1].1 == 0.0, "{found:?}");
    }

    #[test]
    fn a_corner_with_an_open_square_is_closed_from_both_sides() {
        let found = extended(vec![body([0.1, 0.0], [4.0, 0.0]), body([0.0, 0.1], [0.0, 3.0])]);
        assert!((found[0].0 - 0.1).abs() < 1e-12 && (found[1].0 - 0.1).abs() < 1e-12, "{found:?}");
    }

    #[test]
    fn a_gap_wider_than_the_tolerance_stays_open() {
        let gap = |g: f64| extended(vec![body([0.0, 0.0], [4.0, 0.0]), body([2.0, 0.1 + g], [2.0, 3.0])])[1].0;
        assert!(gap(0.049) > 0.0);
        assert_eq!(gap(0.051), 0.0);
    }

    #[test]
    fn walls_in_line_meet_half_way() {
        let found = extended(vec![body([0.0, 0.0], [2.0, 0.0]), body([2.04, 0.0], [4.0, 0.0])]);
        assert!((found[0].1 - 0.02).abs() < 1e-12 && (found[1].0 - 0.02).abs() < 1e-12, "{found:?}");
    }

    #[test]
    fn walls_one_above_the_other_do_not_meet() {
        let above = Body { z0: 2.5, z1: 5.0, ..body([2.0, 0.1], [2.0, 3.0]) };
        assert_eq!(extended(vec![body([0.0, 0.0], [4.0, 0.0]), above])[1], (0.0, 0.0));
    }
}
