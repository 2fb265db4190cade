//! Rooms found from walls: the enclosed faces of the walls' plan areas.

use geo::{Area, BooleanOps, BoundingRect, MultiPolygon, Polygon, unary_union};
use units::Point2;

use super::joints::{Bodies, footprints};
use crate::geometry::{area, contains, polygon, ring_points, tidy};

/// Walls bound rooms if their body is there at this height above the floor [m]; lower ones are parapets and counters.
pub(crate) const ROOM_HEIGHT: f64 = 1.0;
/// A smaller enclosed face is a shaft or a wall cavity, not a room [m²].
pub(crate) const MIN_ROOM_AREA: f64 = 0.5;
/// A narrower enclosed face is a wall cavity, not a room [m].
pub(crate) const MIN_ROOM_WIDTH: f64 = 0.3;

/// An enclosed face.
#[derive(Clone, Debug)]
pub(crate) struct Face {
    pub outline: Vec<Point2>,
    pub holes: Vec<Vec<Point2>>,
    pub area: f64,
}

impl Face {
    pub(crate) fn contains(&self, p: Point2) -> bool {
        contains(&self.outline, &self.holes, p)
    }

    /// Whether people could use it as a room.
    pub(crate) fn is_room(&self) -> bool {
        let around: f64 = crate::geometry::edges(&self.outline).map(|(a, b)| a.distance(b)).sum();
        self.area >= MIN_ROOM_AREA && 2.0 * self.area >= MIN_ROOM_WIDTH * around
    }
}

/// The enclosed faces between walls at a height, by rising y and then x of their lowest corner.
pub(crate) fn faces(bodies: &Bodies, z: f64) -> Vec<Face> {
    let among: Vec<usize> = (0..bodies.all.len()).filter(|&i| bodies.all[i].z0 <= z && bodies.all[i].z1 >= z).collect();
    let shapes = footprints(bodies, &among);
    let walls: MultiPolygon<f64> = unary_union(&shapes);
    let Some(bounds) = walls.bounding_rect() else { return Vec::new() };
    let (min, max) = (bounds.min(), bounds.max());
    let sheet = [
        Point2::new(min.x - 1.0, min.y - 1.0),
        Point2::new(max.x + 1.0, min.y - 1.0),
        Point2::new(max.x + 1.0, max.y + 1.0),
        Point2::new(min.x - 1.0, max.y + 1.0),
    ];
    let free = polygon(&sheet, &[]).difference(&walls);
    let mut found: Vec<Face> = free
        .0
        .iter()
        // The face that reaches the edge of the sheet is the outside.
        .filter(|p| p.bounding_rect().is_some_and(|r| r.min().x > min.x - 0.5))
        .map(face)
        .filter(|f| f.outline.len() >= 3 && f.area > 0.0)
        .collect();
    found.sort_by(|f, g| {
        let key = |f: &Face| {
            f.outline.iter().map(|p| (p.y, p.x)).min_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)))
        };
        let (f, g) = (key(f).unwrap_or_default(), key(g).unwrap_or_default());
        f.0.total_cmp(&g.0).then(f.1.total_cmp(&g.1))
    });
    found
}

fn face(shape: &Polygon<f64>) -> Face {
    let outline = tidy(ring_points(shape.exterior()), true);
    let holes: Vec<Vec<Point2>> = shape
        .interiors()
        .iter()
        .map(|r| tidy(ring_points(r), false))
        .filter(|r| r.len() >= 3 && area(r, &[]) > 1e-6)
        .collect();
    Face { area: shape.unsigned_area(), outline, holes }
}
