//! Plane geometry of outlines: areas, inside tests, unions.

use geo::{BooleanOps, Coord, LineString, MultiPolygon, Polygon, Simplify};
/// Lines of more points are thinned before they are simplified.
const MAX_LINE_POINTS: usize = 4_000;

/// A point in plan [m].
pub(crate) type P2 = [f64; 2];

/// An area with holes.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Area {
    /// Outer loop, anticlockwise, not closed.
    pub outer: Vec<P2>,
    /// Holes.
    pub holes: Vec<Vec<P2>>,
}

impl Area {
    /// Area less its holes [m²].
    pub fn size(&self) -> f64 {
        signed_area(&self.outer).abs() - self.holes.iter().map(|h| signed_area(h).abs()).sum::<f64>()
    }

    /// True if a point lies inside.
    pub fn contains(&self, p: P2) -> bool {
        inside(&self.outer, p) && !self.holes.iter().any(|h| inside(h, p))
    }

    /// Distance from a point: zero inside, to the nearest edge outside [m].
    pub fn distance(&self, p: P2) -> f64 {
        if self.contains(p) {
            return 0.;
        }
        self.loops().flat_map(|l| edges(l)).map(|(a, b)| segment_distance(p, a, b)).fold(f64::INFINITY, f64::min)
    }

    /// Outer loop and holes.
    pub fn loops(&self) -> impl Iterator<Item = &Vec<P2>> {
        std::iter::once(&self.outer).chain(&self.holes)
    }

    /// A point well inside: the middle of the widest of a set of horizontal cuts.
    pub fn inner_point(&self) -> P2 {
        let (low, high) = bounds(&self.outer);
        let mut best = (0., [(low[0] + high[0]) / 2., (low[1] + high[1]) / 2.]);
        for n in 1..16 {
            // An odd fraction, so that cuts miss the usual corners.
            let y = low[1] + (high[1] - low[1]) * (f64::from(n) + 0.123) / 16.;
            let mut xs: Vec<f64> = self
                .loops()
                .flat_map(|l| edges(l))
                .filter(|(a, b)| (a[1] > y) != (b[1] > y))
                .map(|(a, b)| a[0] + (y - a[1]) / (b[1] - a[1]) * (b[0] - a[0]))
                .collect();
            xs.sort_by(f64::total_cmp);
            for pair in xs.chunks_exact(2) {
                let width = pair[1] - pair[0];
                // Cuts near the middle of the room's depth win over slightly wider ones at its edge.
                let score = width.min(2. * (y - low[1])).min(2. * (high[1] - y));
                if score > best.0 {
                    best = (score, [(pair[0] + pair[1]) / 2., y]);
                }
            }
        }
        best.1
    }

    fn polygon(&self) -> Polygon<f64> {
        let ring = |l: &Vec<P2>| LineString(l.iter().map(|p| Coord { x: p[0], y: p[1] }).collect());
        Polygon::new(ring(&self.outer), self.holes.iter().map(ring).collect())
    }
}

/// Areas of a multipolygon, slivers under 1 cm² dropped.
fn areas(polygons: &MultiPolygon<f64>) -> Vec<Area> {
    let ring = |l: &LineString<f64>| crate::profile::clean(l.coords().map(|c| [c.x, c.y]).collect());
    polygons
        .0
        .iter()
        .map(|p| Area {
            outer: ring(p.exterior()),
            holes: p.interiors().iter().map(ring).filter(|h| h.len() >= 3 && signed_area(h).abs() > 1e-4).collect(),
        })
        .filter(|a| a.outer.len() >= 3 && a.size() > 1e-4)
        .collect()
}

/// The union of areas.
pub(crate) fn union(parts: &[Area]) -> Vec<Area> {
    if let [one] = parts {
        return vec![one.clone()];
    }
    let polygons: Vec<Polygon<f64>> = parts.iter().filter(|a| is_sound(a)).map(Area::polygon).collect();
    areas(&geo::unary_union(&polygons))
}

/// The common part of two areas.
pub(crate) fn intersection(a: &Area, b: &Area) -> Vec<Area> {
    if !is_sound(a) || !is_sound(b) || !bounds_meet(a, b) {
        return Vec::new();
    }
    areas(&a.polygon().intersection(&b.polygon()))
}

/// The first area without the second.
pub(crate) fn difference(a: &Area, b: &Area) -> Vec<Area> {
    if !is_sound(a) || !is_sound(b) || !bounds_meet(a, b) {
        return vec![a.clone()];
    }
    areas(&a.polygon().difference(&b.polygon()))
}

fn bounds_meet(a: &Area, b: &Area) -> bool {
    let (al, ah) = bounds(&a.outer);
    let (bl, bh) = bounds(&b.outer);
    (0..2).all(|i| al[i] <= bh[i] && bl[i] <= ah[i])
}

/// Outlines that the polygon library may be given: finite and of a size that a building can have.
pub(crate) fn is_sound(a: &Area) -> bool {
    a.outer.len() >= 3 && a.loops().flatten().flatten().all(|c| c.is_finite() && c.abs() < 1e7)
}

/// A line with the points dropped that lie within a distance of what is left (Ramer, Douglas and Peucker).
pub(crate) fn simplified(points: &[P2], distance: f64) -> Vec<P2> {
    // Each step may halve the line or take off one point: the recursion is bounded by the points that it is given.
    let stride = points.len().div_ceil(MAX_LINE_POINTS).max(1);
    let last = points.last().filter(|_| stride > 1);
    let points = points.iter().step_by(stride).chain(last);
    let line = LineString(points.map(|p| Coord { x: p[0], y: p[1] }).collect());
    line.simplify(distance).coords().map(|c| [c.x, c.y]).collect()
}

/// Edges of a loop.
pub(crate) fn edges(points: &[P2]) -> impl Iterator<Item = (P2, P2)> {
    (0..points.len()).map(move |i| (points[i], points[(i + 1) % points.len()]))
}

/// Twice the enclosed area over two, positive anticlockwise.
pub(crate) fn signed_area(points: &[P2]) -> f64 {
    let Some(o) = points.first() else { return 0. };
    points
        .iter()
        .zip(points.iter().cycle().skip(1))
        .map(|(a, b)| (a[0] - o[0]) * (b[1] - o[1]) - (b[0] - o[0]) * (a[1] - o[1]))
        .sum::<f64>()
        / 2.
}

/// True if a point lies inside a loop (even-odd rule).
pub(crate) fn inside(points: &[P2], p: P2) -> bool {
    let mut is_inside = false;
    let mut j = points.len().wrapping_sub(1);
    for i in 0..points.len() {
        let (a, b) = (points[i], points[j]);
        if (a[1] > p[1]) != (b[1] > p[1]) && p[0] < (b[0] - a[0]) * (p[1] - a[1]) / (b[1] - a[1]) + a[0] {
            is_inside = !is_inside;
        }
        j = i;
    }
    is_inside
}

/// Least and greatest coordinates.
pub(crate) fn bounds(points: &[P2]) -> (P2, P2) {
    points.iter().fold(([f64::INFINITY; 2], [f64::NEG_INFINITY; 2]), |(l, h), p| {
        ([l[0].min(p[0]), l[1].min(p[1])], [h[0].max(p[0]), h[1].max(p[1])])
    })
}

/// Distance from a point to a segment.
pub(crate) fn segment_distance(p: P2, a: P2, b: P2) -> f64 {
    let (dx, dy) = (b[0] - a[0], b[1] - a[1]);
    let l2 = dx * dx + dy * dy;
    let t = if l2 > 0. { (((p[0] - a[0]) * dx + (p[1] - a[1]) * dy) / l2).clamp(0., 1.) } else { 0. };
    (p[0] - a[0] - t * dx).hypot(p[1] - a[1] - t * dy)
}

/// True if two segments cross or touch.
pub(crate) fn segments_cross(a: P2, b: P2, c: P2, d: P2) -> bool {
    let side = |p: P2, q: P2, r: P2| (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0]);
    let (d1, d2, d3, d4) = (side(a, b, c), side(a, b, d), side(c, d, a), side(c, d, b));
    d1 * d2 <= 0. && d3 * d4 <= 0. && (d1 != d2 || d3 != d4)
}

/// The rectangle of least area around points, as its corners, the longer side first. It lies along an edge of the
/// convex hull (Freeman and Shapira 1975).
pub(crate) fn least_rectangle(points: &[P2]) -> Option<[P2; 4]> {
    let hull = convex_hull(points);
    let mut best: Option<(f64, [P2; 4])> = None;
    for i in 0..hull.len() {
        let (a, b) = (hull[i], hull[(i + 1) % hull.len()]);
        let length = (b[0] - a[0]).hypot(b[1] - a[1]);
        if length < 1e-9 {
            continue;
        }
        let u = [(b[0] - a[0]) / length, (b[1] - a[1]) / length];
        let turned: Vec<P2> = hull.iter().map(|p| [p[0] * u[0] + p[1] * u[1], p[1] * u[0] - p[0] * u[1]]).collect();
        let (l, h) = bounds(&turned);
        let size = (h[0] - l[0]) * (h[1] - l[1]);
        if best.as_ref().is_none_or(|(s, _)| size < *s - 1e-9) {
            let back = |x: f64, y: f64| [x * u[0] - y * u[1], x * u[1] + y * u[0]];
            let mut corners = [back(l[0], l[1]), back(h[0], l[1]), back(h[0], h[1]), back(l[0], h[1])];
            if h[0] - l[0] < h[1] - l[1] {
                corners.rotate_left(1);
            }
            best = Some((size, corners));
        }
    }
    best.map(|b| b.1)
}

fn convex_hull(points: &[P2]) -> Vec<P2> {
    let mut sorted: Vec<P2> = points.iter().copied().filter(|p| p[0].is_finite() && p[1].is_finite()).collect();
    sorted.sort_by(|a, b| a[0].total_cmp(&b[0]).then(a[1].total_cmp(&b[1])));
    sorted.dedup();
    let half = |points: &mut dyn Iterator<Item = P2>| {
        let mut out: Vec<P2> = Vec::new();
        for p in points {
            while let [.., a, b] = out.as_slice() {
                if (b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0]) > 0. {
                    break;
                }
                out.pop();
            }
            out.push(p);
        }
        out.pop();
        out
    };
    let mut hull = half(&mut sorted.iter().copied());
    hull.extend(half(&mut sorted.iter().rev().copied()));
    hull
}

#[cfg(test)]
mod tests {
    use super::*;

    fn square(x: f64, y: f64, s: f64) -> Area {
        Area { outer: vec![[x, y], [x + s, y], [x + s, y + s], [x, y + s]], holes: Vec::new() }
    }

    #[test]
    fn areas_and_points() {
        let l = Area { outer: vec![[0., 0.], [4., 0.], [4., 1.], [1., 1.], [1., 4.], [0., 4.]], holes: Vec::new() };
        assert!((l.size() - 7.).abs() < 1e-12);
        assert!(l.contains(l.inner_point()));
        assert!((l.distance([2., 2.]) - 1.).abs() < 1e-12);
    }

    #[test]
    fn unions_and_differences() {
        let both = union(&[square(0., 0., 2.), square(1., 0., 2.)]);
        assert_eq!(both.len(), 1);
        assert!((both[0].size() - 6.).abs() < 1e-6);
        let ring = difference(&square(0., 0., 3.), &square(1., 1., 1.));
        assert!((ring[0].size() - 8.).abs() < 1e-6);
        assert_eq!(ring[0].holes.len(), 1);
    }

    #[test]
    fn least_rectangle_of_a_turned_square() {
        let c = least_rectangle(&[[0., 0.], [1., 1.], [0., 2.], [-1., 1.], [0., 1.]]).unwrap();
        assert!((signed_area(&c).abs() - 2.).abs() < 1e-9);
    }
}
