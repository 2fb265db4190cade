//! Plane geometry in a frame that turns with the home.

use units::Point2;

/// A frame along a direction of the home: `u` along it, `v` to its left. Nothing here depends on the plan's own axes.
#[derive(Clone, Copy, Debug)]
pub(super) struct Frame {
    along: Point2,
}

impl Frame {
    /// A frame along `a`–`b`; along x if they coincide.
    pub fn along(a: Point2, b: Point2) -> Self {
        let length = a.distance(b);
        let along =
            if length > 0.0 { Point2::new((b.x - a.x) / length, (b.y - a.y) / length) } else { Point2::new(1.0, 0.0) };
        Self { along }
    }

    /// The frame turned a quarter to the left.
    pub fn quarter(self) -> Self {
        Self { along: Point2::new(-self.along.y, self.along.x) }
    }

    /// `(u, v)` of a place [m].
    pub fn of(self, p: Point2) -> (f64, f64) {
        (p.x * self.along.x + p.y * self.along.y, p.y * self.along.x - p.x * self.along.y)
    }

    /// The place at `(u, v)`.
    pub fn at(self, (u, v): (f64, f64)) -> Point2 {
        Point2::new(u * self.along.x - v * self.along.y, u * self.along.y + v * self.along.x)
    }
}

pub(super) fn lerp(a: Point2, b: Point2, share: f64) -> Point2 {
    Point2::new(a.x + (b.x - a.x) * share, a.y + (b.y - a.y) * share)
}

/// The place on `a`–`b` at a distance from `a`.
pub(super) fn along(a: Point2, b: Point2, s: f64) -> Point2 {
    let length = a.distance(b);
    if length > 0.0 { lerp(a, b, s / length) } else { a }
}

/// Unit vector to the left of `a`–`b`.
pub(super) fn left(a: Point2, b: Point2) -> Point2 {
    let length = a.distance(b).max(f64::MIN_POSITIVE);
    Point2::new((a.y - b.y) / length, (b.x - a.x) / length)
}

pub(super) fn shifted(p: Point2, by: Point2, k: f64) -> Point2 {
    Point2::new(p.x + by.x * k, p.y + by.y * k)
}

/// Distance from `a` of the place on `a`–`b` nearest to `p`, and how far `p` is from it [m].
pub(super) fn project(p: Point2, a: Point2, b: Point2) -> (f64, f64) {
    let length = a.distance(b);
    if length <= 0.0 {
        return (0.0, p.distance(a));
    }
    let s = (((p.x - a.x) * (b.x - a.x) + (p.y - a.y) * (b.y - a.y)) / length).clamp(0.0, length);
    (s, p.distance(along(a, b, s)))
}

pub(super) fn edges(outline: &[Point2]) -> impl Iterator<Item = (Point2, Point2)> + '_ {
    outline.iter().copied().zip(outline.iter().copied().cycle().skip(1))
}

/// Even-odd rule; the boundary may count either way.
pub(super) fn encloses(outline: &[Point2], at: Point2) -> bool {
    edges(outline).fold(false, |inside, (p, q)| {
        let crosses = (p.y > at.y) != (q.y > at.y) && at.x < p.x + (at.y - p.y) / (q.y - p.y) * (q.x - p.x);
        inside != crosses
    })
}

/// Share of `a`–`b` at which it passes `p`–`q`, if it does. An end of `p`–`q` counts on one side only, so that a way over
/// the joint of two walls passes one of them; walls in line with the way are not passed.
pub(super) fn crossing(a: Point2, b: Point2, p: Point2, q: Point2) -> Option<(f64, f64)> {
    let side = |r: Point2| (b.x - a.x) * (r.y - a.y) - (b.y - a.y) * (r.x - a.x);
    let (sp, sq) = (side(p), side(q));
    let scale = 1e-9 * a.distance(b) * p.distance(q).max(1.0);
    let (sp, sq) = (if sp.abs() < scale { 0.0 } else { sp }, if sq.abs() < scale { 0.0 } else { sq });
    if (sp > 0.0) == (sq > 0.0) {
        return None;
    }
    let on_wall = sp / (sp - sq);
    let hit = lerp(p, q, on_wall);
    let length = a.distance(b);
    let s = ((hit.x - a.x) * (b.x - a.x) + (hit.y - a.y) * (b.y - a.y)) / length / length;
    (s > 1e-9 && s <= 1.0 + 1e-9).then_some((s.min(1.0), on_wall))
}

/// True if a stretch enters an outline or lies in it.
pub(super) fn enters(a: Point2, b: Point2, outline: &[Point2]) -> bool {
    encloses(outline, lerp(a, b, 0.5))
        || encloses(outline, a)
        || encloses(outline, b)
        || edges(outline).any(|(p, q)| crossing(a, b, p, q).is_some())
}

/// Bounds in a frame: least and greatest `u`, least and greatest `v`.
pub(super) fn bounds(frame: Frame, points: impl Iterator<Item = Point2>) -> Option<[f64; 4]> {
    points.map(|p| frame.of(p)).fold(None, |all, (u, v)| {
        let [u0, u1, v0, v1] = all.unwrap_or([u, u, v, v]);
        Some([u0.min(u), u1.max(u), v0.min(v), v1.max(v)])
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_way_over_the_joint_of_two_walls_passes_one() {
        let (a, b) = (Point2::new(0.0, 0.0), Point2::new(4.0, 0.0));
        let joint = Point2::new(2.0, 0.0);
        let up = crossing(a, b, joint, Point2::new(2.0, 3.0));
        let down = crossing(a, b, joint, Point2::new(2.0, -3.0));
        assert_eq!([up, down].iter().flatten().count(), 1);
        assert_eq!(crossing(a, b, Point2::new(1.0, 0.0), Point2::new(3.0, 0.0)), None);
    }

    #[test]
    fn a_frame_goes_there_and_back() {
        let frame = Frame::along(Point2::new(1.0, 1.0), Point2::new(4.0, 5.0));
        let p = Point2::new(-3.0, 2.5);
        assert!(frame.at(frame.of(p)).distance(p) < 1e-12);
        assert!(frame.at(frame.quarter().of(p)).distance(p) > 0.1);
    }
}
