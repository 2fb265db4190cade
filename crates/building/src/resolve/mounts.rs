//! Places where a part could be held: ceilings, walls, shelves.

use units::{Point2, Point3};

use super::joints::{Bodies, Body};
use crate::elements::{OutletKind, RoomUse};
use crate::geometry::{add, boundary_distance, direction, dot, edges, left_of, project, sub};
use crate::resolved::{MountKind, MountPoint, Resolved, ResolvedRoom};

/// Free space around a part under a ceiling [m]: common practice, no source.
const CEILING_CLEARANCE: f64 = 0.5;
/// Free space that is still enough where a room is too narrow for more, such as a hall [m]: common practice, no source.
const NARROW_CLEARANCE: f64 = 0.3;
/// A part's centre below the ceiling [m]: generic figure.
const BELOW_CEILING: f64 = 0.05;
/// A wall part's centre below the ceiling, and its greatest height above the floor [m]: common practice, no source.
const WALL_BELOW_CEILING: f64 = 0.3;
const WALL_MAX_HEIGHT: f64 = 2.2;
/// A part's centre off the wall [m]: generic figure.
const OFF_WALL: f64 = 0.05;
/// A shelf's height, the distance of its middle from the wall, and from the nearest outlet [m]: common practice, no source.
const SHELF_HEIGHT: f64 = 1.2;
const SHELF_OFF_WALL: f64 = 0.15;
const SHELF_REACH: f64 = 2.0;
/// Shelves nearer to each other than this are one [m].
const SAME_SHELF: f64 = 0.3;
/// Free wall on either side of a part [m].
const SIDE: f64 = 0.15;
/// Steps inwards from an outline to a wall's face [m], and how many: to the middle of a wall 0.6 m thick.
const FACE_STEP: f64 = 0.01;
const FACE_STEPS: usize = 31;
/// Smallest and largest spacing accepted [m]; other values are moved to the nearer one.
const SPACING: (f64, f64) = (0.25, 50.0);
/// Most places in a home.
const MAX_PLACES: usize = 200_000;
/// Most places on one side of a room's grid, so that the work stays bounded.
const MAX_PER_SIDE: usize = 200;

impl Resolved {
    /// Places where an access point or another part could be held.
    ///
    /// # Model
    /// In every room but stairs and outdoor ones, room by room:
    /// - ceilings: a grid of `spacing` [m], at least 0.5 m from walls; in a room too narrow for that, its freest grid place
    ///   if that has 0.3 m;
    /// - walls: every `spacing` along inner faces that have a wall behind them, 0.3 m below the ceiling but no higher than
    ///   2.2 m, not over openings;
    /// - shelves: 1.2 m high against the wall nearest to a mains outlet, at it and up to 1 m on either side.
    ///
    /// The outlet distance runs rectilinearly along surfaces: along the walls or over the ceiling, whichever is shorter.
    /// The work is bounded: a home gets 200 000 places at most, a room's grid 200 on a side.
    #[must_use]
    pub fn mount_points(&self, spacing: f64) -> Vec<MountPoint> {
        let spacing = if spacing.is_finite() { spacing.clamp(SPACING.0, SPACING.1) } else { SPACING.1 };
        let bodies = Bodies::new(self.panels.iter().map(Body::from).collect());
        let mut points = Vec::new();
        let mut outlets: Vec<Vec<Power>> = self.rooms.iter().map(|_| Vec::new()).collect();
        for (index, outlet) in self.outlets.iter().enumerate() {
            if let Some(room) = outlet.room.filter(|_| outlet.kind == OutletKind::Mains) {
                outlets[room].push(Power::new(index, outlet.at, &self.rooms[room].outline));
            }
        }
        for (room, outlets) in outlets.into_iter().enumerate() {
            if matches!(self.rooms[room].usage, RoomUse::Stair | RoomUse::Outdoor) || points.len() >= MAX_PLACES {
                continue;
            }
            let around = edges(&self.rooms[room].outline).map(|(a, b)| a.distance(b)).sum();
            let mounts = Mounts { home: self, bodies: &bodies, room, outlets, around };
            mounts.ceilings(spacing, &mut points);
            mounts.walls(spacing, &mut points);
            mounts.shelves(&mut points);
            points.truncate(MAX_PLACES);
        }
        points
    }
}

/// A mains outlet of a room.
struct Power {
    index: usize,
    at: Point3,
    /// Direction of the wall that it is on.
    wall: Point2,
    /// Its place along the room's outline [m].
    place: f64,
}

impl Power {
    fn new(index: usize, at: Point3, outline: &[Point2]) -> Self {
        let wall = edge_at(outline, at.plan()).map_or(Point2::new(1.0, 0.0), |(a, b)| direction(a, b));
        Self { index, at, wall, place: place_on(outline, at.plan()) }
    }
}

struct Mounts<'a> {
    home: &'a Resolved,
    bodies: &'a Bodies,
    room: usize,
    outlets: Vec<Power>,
    /// Length of the room's outline [m].
    around: f64,
}

impl Mounts<'_> {
    fn room(&self) -> &ResolvedRoom {
        &self.home.rooms[self.room]
    }

    fn floor_z(&self) -> f64 {
        self.home.storeys[self.room().storey].floor_z
    }

    fn ceiling_z(&self) -> f64 {
        self.home.storeys[self.room().storey].ceiling_z
    }

    fn point(&self, kind: MountKind, at: Point3, facing: Point2) -> MountPoint {
        let place = if kind == MountKind::Ceiling { 0.0 } else { place_on(&self.room().outline, at.plan()) };
        let mut nearest: Option<(f64, usize)> = None;
        for outlet in &self.outlets {
            let away = self.along_surfaces(kind, at, place, outlet);
            if nearest.is_none_or(|(least, _)| away < least) {
                nearest = Some((away, outlet.index));
            }
        }
        MountPoint {
            kind,
            room: self.room,
            at,
            facing,
            outlet: nearest.map(|(_, i)| i),
            outlet_distance: nearest.map_or(f64::INFINITY, |(away, _)| away),
        }
    }

    /// Rectilinear distance along walls and ceiling [m]; `place` is where a wall's part is along the outline.
    fn along_surfaces(&self, kind: MountKind, at: Point3, place: f64, outlet: &Power) -> f64 {
        let across = sub(at.plan(), outlet.at.plan());
        let plan = dot(across, outlet.wall).abs() + dot(across, left_of(outlet.wall)).abs();
        let top = self.ceiling_z();
        let over_ceiling = (top - at.z).max(0.0) + (top - outlet.at.z).max(0.0) + plan;
        if kind == MountKind::Ceiling {
            return over_ceiling;
        }
        let one_way = (place - outlet.place).abs();
        over_ceiling.min(one_way.min(self.around - one_way) + (at.z - outlet.at.z).abs())
    }

    fn ceilings(&self, spacing: f64, points: &mut Vec<MountPoint>) {
        let room = self.room();
        // The grid lies along the room's longest wall, so that turning a plan turns its places with it.
        let along = edges(&room.outline)
            .fold((0.0, Point2::new(1.0, 0.0)), |(most, best), (a, b)| {
                if a.distance(b) > most + 1e-6 { (a.distance(b), direction(a, b)) } else { (most, best) }
            })
            .1;
        let across = left_of(along);
        let Some(origin) = room.outline.first().copied() else { return };
        let span = |d: Point2| {
            let at = room.outline.iter().map(|p| dot(sub(*p, origin), d));
            (at.clone().fold(f64::INFINITY, f64::min), at.fold(f64::NEG_INFINITY, f64::max))
        };
        let (us, vs) = (grid(span(along), spacing), grid(span(across), spacing));
        let mut freest: Option<(f64, Point2)> = None;
        let before = points.len();
        for v in &vs {
            for u in &us {
                let p = add(add(origin, along, *u), across, *v);
                if !room.contains(p) {
                    continue;
                }
                let clear = boundary_distance(&room.outline, &room.holes, p);
                if clear >= CEILING_CLEARANCE - 1e-9 {
                    points.push(self.under_ceiling(p));
                } else if freest.is_none_or(|(most, _)| clear > most + 1e-9) {
                    freest = Some((clear, p));
                }
            }
        }
        if points.len() == before
            && let Some((clear, p)) = freest
            && clear >= NARROW_CLEARANCE - 1e-9
        {
            points.push(self.under_ceiling(p));
        }
    }

    fn under_ceiling(&self, p: Point2) -> MountPoint {
        self.point(MountKind::Ceiling, p.at_height(self.ceiling_z() - BELOW_CEILING), Point2::default())
    }

    fn walls(&self, spacing: f64, points: &mut Vec<MountPoint>) {
        let height = (self.ceiling_z() - self.floor_z() - WALL_BELOW_CEILING).min(WALL_MAX_HEIGHT);
        if height <= 0.0 {
            return;
        }
        for (a, b) in edges(&self.room().outline) {
            let length = a.distance(b);
            for s in grid((0.0, length), spacing) {
                if s >= SIDE && length - s >= SIDE {
                    self.on_wall(MountKind::Wall, (a, b), s, height, OFF_WALL, points);
                }
            }
        }
    }

    fn shelves(&self, points: &mut Vec<MountPoint>) {
        if self.ceiling_z() - self.floor_z() <= SHELF_HEIGHT {
            return;
        }
        let before = points.len();
        for outlet in &self.outlets {
            let place = outlet.at.plan();
            let Some((a, b)) = edge_at(&self.room().outline, place) else { continue };
            let (s, away) = project(place, a, b);
            if away > SHELF_REACH {
                continue;
            }
            for shift in [0.0, -1.0, 1.0] {
                let at = s + shift;
                if at < SIDE || a.distance(b) - at < SIDE {
                    continue;
                }
                let p = add(add(a, direction(a, b), at), left_of(direction(a, b)), SHELF_OFF_WALL);
                if points[before..].iter().all(|m| m.at.plan().distance(p) >= SAME_SHELF) {
                    self.on_wall(MountKind::Shelf, (a, b), at, SHELF_HEIGHT, SHELF_OFF_WALL, points);
                }
            }
        }
    }

    /// Adds a place against the wall behind an outline's edge, if a wall is there and no opening is.
    fn on_wall(
        &self,
        kind: MountKind,
        edge: (Point2, Point2),
        s: f64,
        height: f64,
        off: f64,
        points: &mut Vec<MountPoint>,
    ) {
        let along = direction(edge.0, edge.1);
        let inward = left_of(along);
        let outline = add(edge.0, along, s);
        let Some(face) = self.face_at(outline, inward) else { return };
        let z = self.floor_z() + height;
        let p = add(face, inward, off);
        if self.room().contains(p) && self.solid_behind(add(face, inward, -0.02), z) {
            points.push(self.point(kind, p.at_height(z), inward));
        }
    }

    /// Where the wall's face is: a given outline may run along the wall's middle instead.
    fn face_at(&self, outline: Point2, inward: Point2) -> Option<Point2> {
        (0..FACE_STEPS)
            .map(|k| add(outline, inward, FACE_STEP * k as f64))
            .find(|p| self.bodies.at(add(*p, inward, FACE_STEP / 2.0), 0.0).is_empty())
    }

    fn solid_behind(&self, at: Point2, z: f64) -> bool {
        let walls = self.bodies.at(at, 0.02);
        let mut standing = walls.iter().map(|&k| &self.home.panels[k]).filter(|p| p.z0 <= z && z <= p.z1).peekable();
        standing.peek().is_some()
            && standing.all(|panel| {
                let s = dot(sub(at, panel.a), direction(panel.a, panel.b));
                panel.cuts.iter().all(|c| s < c.s0 - SIDE || s > c.s1 + SIDE || z < c.z0 - SIDE || z > c.z1 + SIDE)
            })
    }
}

/// Places along a span, `spacing` apart and centred, never on its ends.
fn grid(span: (f64, f64), spacing: f64) -> Vec<f64> {
    let length = span.1 - span.0;
    if !(length > 0.0 && length.is_finite()) {
        return Vec::new();
    }
    let count = ((length / spacing) as usize).clamp(1, MAX_PER_SIDE);
    let first = span.0 + (length - spacing * (count - 1) as f64) / 2.0;
    (0..count).map(|k| first + spacing * k as f64).collect()
}

fn edge_at(outline: &[Point2], p: Point2) -> Option<(Point2, Point2)> {
    edges(outline).min_by(|(a, b), (c, d)| project(p, *a, *b).1.total_cmp(&project(p, *c, *d).1))
}

/// Distance along the outline from its first point to the place nearest to `p` [m].
fn place_on(outline: &[Point2], p: Point2) -> f64 {
    let mut best = (f64::INFINITY, 0.0);
    let mut before = 0.0;
    for (a, b) in edges(outline) {
        let (s, away) = project(p, a, b);
        if away < best.0 {
            best = (away, before + s);
        }
        before += a.distance(b);
    }
    best.1
}
