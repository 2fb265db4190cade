//! Plane geometry between this crate's points and the `geo` library's polygons.

use geo::line_intersection::{LineIntersection, line_intersection};
use geo::{Area, Coord, Line, LineString, Polygon};
use units::Point2;

/// Points of an outline nearer than this are one point [m].
pub(crate) const SAME_POINT: f64 = 1e-6;

pub(crate) fn coord(p: Point2) -> Coord<f64> {
    Coord { x: p.x, y: p.y }
}

pub(crate) fn add(p: Point2, d: Point2, k: f64) -> Point2 {
    Point2::new(p.x + d.x * k, p.y + d.y * k)
}

pub(crate) fn sub(p: Point2, q: Point2) -> Point2 {
    Point2::new(p.x - q.x, p.y - q.y)
}

pub(crate) fn dot(p: Point2, q: Point2) -> f64 {
    p.x * q.x + p.y * q.y
}

pub(crate) fn cross(p: Point2, q: Point2) -> f64 {
    p.x * q.y - p.y * q.x
}

/// Unit vector from `a` to `b`; zero if they coincide.
pub(crate) fn direction(a: Point2, b: Point2) -> Point2 {
    let length = a.distance(b);
    if length > 0.0 { Point2::new((b.x - a.x) / length, (b.y - a.y) / length) } else { Point2::default() }
}

/// The vector turned a quarter to the left.
pub(crate) fn left_of(d: Point2) -> Point2 {
    Point2::new(-d.y, d.x)
}

/// Distance along `a`–`b` of the place nearest to `p`, and the distance from there to `p` [m].
pub(crate) fn project(p: Point2, a: Point2, b: Point2) -> (f64, f64) {
    let along = dot(sub(p, a), direction(a, b)).clamp(0.0, a.distance(b));
    (along, p.distance(add(a, direction(a, b), along)))
}

pub(crate) fn ring(points: &[Point2]) -> LineString<f64> {
    points.iter().map(|p| coord(*p)).collect()
}

pub(crate) fn polygon(outline: &[Point2], holes: &[Vec<Point2>]) -> Polygon<f64> {
    Polygon::new(ring(outline), holes.iter().map(|h| ring(h)).collect())
}

/// Rectangle around the segment `a`–`b`.
pub(crate) fn strip(a: Point2, b: Point2, thickness: f64) -> Polygon<f64> {
    let n = left_of(direction(a, b));
    let h = thickness / 2.0;
    polygon(&[add(a, n, -h), add(b, n, -h), add(b, n, h), add(a, n, h)], &[])
}

/// The points of a ring, open, without repeated points and without points on a straight line between their
/// neighbours; anticlockwise or clockwise as asked.
pub(crate) fn tidy(points: impl IntoIterator<Item = Point2>, anticlockwise: bool) -> Vec<Point2> {
    let mut out: Vec<Point2> = Vec::new();
    for p in points {
        if out.last().is_none_or(|q| q.distance(p) > SAME_POINT) {
            out.push(p);
        }
    }
    while out.len() > 1 && out[0].distance(out[out.len() - 1]) <= SAME_POINT {
        out.pop();
    }
    let on_line = |p: Point2, q: Point2, r: Point2| {
        let (pq, qr) = (sub(q, p), sub(r, q));
        cross(pq, qr).abs() <= SAME_POINT * p.distance(r) && dot(pq, qr) > 0.0
    };
    let n = out.len();
    let kept: Vec<Point2> =
        (0..n).filter(|&i| n < 4 || !on_line(out[(i + n - 1) % n], out[i], out[(i + 1) % n])).map(|i| out[i]).collect();
    let mut out = if kept.len() >= 3 { kept } else { out };
    if (signed_area(&out) > 0.0) != anticlockwise {
        out.reverse();
    }
    out
}

/// The ring of a `geo` polygon as open points.
pub(crate) fn ring_points(ring: &LineString<f64>) -> impl Iterator<Item = Point2> + '_ {
    ring.coords().map(|c| Point2::new(c.x, c.y))
}

pub(crate) fn signed_area(points: &[Point2]) -> f64 {
    Polygon::new(ring(points), Vec::new()).signed_area()
}

pub(crate) fn area(outline: &[Point2], holes: &[Vec<Point2>]) -> f64 {
    polygon(outline, holes).unsigned_area()
}

/// The edges of a closed outline.
pub(crate) fn edges(outline: &[Point2]) -> impl Iterator<Item = (Point2, Point2)> + '_ {
    outline.iter().copied().zip(outline.iter().copied().cycle().skip(1))
}

/// Whether an outline with holes contains a point; its boundary counts as inside.
pub(crate) fn contains(outline: &[Point2], holes: &[Vec<Point2>], p: Point2) -> bool {
    let on_edge = |ring: &[Point2]| edges(ring).any(|(a, b)| project(p, a, b).1 <= 1e-9);
    let within = |ring: &[Point2]| {
        // Even-odd rule: a plain loop, because this is asked for every cell of every map.
        edges(ring).fold(false, |inside, (a, b)| {
            let crosses = (a.y > p.y) != (b.y > p.y) && p.x < (b.x - a.x) * (p.y - a.y) / (b.y - a.y) + a.x;
            inside != crosses
        })
    };
    (within(outline) || on_edge(outline)) && holes.iter().all(|h| !within(h) || on_edge(h))
}

/// Distance from a point to the nearest edge of an outline and its holes [m].
pub(crate) fn boundary_distance(outline: &[Point2], holes: &[Vec<Point2>], p: Point2) -> f64 {
    std::iter::once(outline)
        .chain(holes.iter().map(Vec::as_slice))
        .flat_map(edges)
        .map(|(a, b)| project(p, a, b).1)
        .fold(f64::INFINITY, f64::min)
}

/// The first place where an outline crosses, touches or folds back on itself.
pub(crate) fn self_crossing(outline: &[Point2]) -> Option<Point2> {
    let lines: Vec<Line<f64>> = edges(outline).map(|(a, b)| Line::new(coord(a), coord(b))).collect();
    let n = lines.len();
    for i in 0..n {
        for j in i + 1..n {
            // Most pairs of edges are far apart: their spans in x say so at once.
            let span = |l: &Line<f64>| (l.start.x.min(l.end.x), l.start.x.max(l.end.x));
            let ((i0, i1), (j0, j1)) = (span(&lines[i]), span(&lines[j]));
            if i1 < j0 || j1 < i0 {
                continue;
            }
            let adjacent = j == i + 1 || (i == 0 && j == n - 1);
            match line_intersection(lines[i], lines[j]) {
                Some(LineIntersection::SinglePoint { intersection, .. }) if !adjacent => {
                    return Some(Point2::new(intersection.x, intersection.y));
                }
                Some(LineIntersection::Collinear { intersection }) => {
                    return Some(Point2::new(intersection.start.x, intersection.start.y));
                }
                _ => {}
            }
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    fn points(p: &[[f64; 2]]) -> Vec<Point2> {
        p.iter().map(|p| Point2::from(*p)).collect()
    }

    #[test]
    fn tidy_opens_turns_and_straightens() {
        let clockwise = points(&[[0.0, 0.0], [0.0, 2.0], [2.0, 2.0], [2.0, 0.0], [1.0, 0.0], [0.0, 0.0]]);
        let out = tidy(clockwise, true);
        assert_eq!(out.len(), 4);
        assert!((signed_area(&out) - 4.0).abs() < 1e-12);
    }

    #[test]
    fn a_bow_tie_crosses_itself_and_a_square_does_not() {
        assert_eq!(
            self_crossing(&points(&[[0.0, 0.0], [2.0, 2.0], [2.0, 0.0], [0.0, 2.0]])),
            Some(Point2::new(1.0, 1.0))
        );
        assert_eq!(self_crossing(&points(&[[0.0, 0.0], [2.0, 0.0], [2.0, 2.0], [0.0, 2.0]])), None);
        assert!(self_crossing(&points(&[[0.0, 0.0], [4.0, 0.0], [2.0, 0.0], [2.0, 2.0]])).is_some(), "a spike");
    }

    #[test]
    fn the_boundary_is_inside_and_a_hole_is_not() {
        let square = points(&[[0.0, 0.0], [4.0, 0.0], [4.0, 4.0], [0.0, 4.0]]);
        let hole = vec![points(&[[1.0, 1.0], [1.0, 2.0], [2.0, 2.0], [2.0, 1.0]])];
        for (p, inside) in [([0.0, 2.0], true), ([1.5, 1.5], false), ([1.0, 1.5], true), ([4.1, 2.0], false)] {
            assert_eq!(contains(&square, &hole, Point2::from(p)), inside, "{p:?}");
        }
    }
}
