//! The home as ways are laid in it: what is wet, rated or not to be drilled, and which rooms stand in one building.

use building::{Panel, Resolved, RoomUse, WallKind};
use findings::Id;
use network::wiring::HoleKind;
use units::{Point2, Point3};

use super::fabric;
use super::graph::{Bar, Drilled};
use super::plan::{Frame, bounds, crossing, enters, left, lerp, shifted};
use super::terms::{RouteTerms, WetRooms};

/// Rooms nearer than this stand in one building [m] (common practice, no source).
const SAME_BUILDING: f64 = 0.8;

/// The home with what laying ways asks of it again and again.
pub(super) struct Home<'a> {
    pub resolved: &'a Resolved,
    pub terms: &'a RouteTerms,
    /// Along the longest wall.
    pub frame: Frame,
    /// For each room the number of its building.
    pub building: Vec<usize>,
}

impl<'a> Home<'a> {
    pub fn new(resolved: &'a Resolved, terms: &'a RouteTerms) -> Self {
        // Lengths are compared to a millimetre, so that rounding does not choose between walls of one length.
        let longest = resolved.panels.iter().fold(None, |best: Option<&Panel>, p| match best {
            Some(b) if p.a.distance(p.b) <= b.a.distance(b.b) + 1e-3 => Some(b),
            _ => Some(p),
        });
        let frame =
            longest.map_or_else(|| Frame::along(Point2::default(), Point2::default()), |p| Frame::along(p.a, p.b));
        Self { resolved, terms, frame, building: buildings(resolved, frame) }
    }

    /// True if a room has water and is to be passed around.
    pub fn is_wet(&self, room: usize) -> bool {
        self.terms.wet_rooms == WetRooms::PassAround
            && self.resolved.rooms.get(room).is_some_and(|r| r.usage == RoomUse::Bath)
    }

    /// True if ways can be laid on a room's walls.
    pub fn is_inside(&self, room: usize) -> bool {
        self.resolved.rooms.get(room).is_some_and(|r| r.usage != RoomUse::Outdoor)
    }

    pub fn is_solid(&self, assembly: usize) -> bool {
        fabric::is_solid(self.resolved, assembly)
    }

    /// True if a hole through a wall must be sealed.
    pub fn seals(&self, wall: &Panel) -> bool {
        wall.kind == WallKind::Party || self.resolved.fire_minutes.contains_key(&wall.wall)
    }

    /// A hole through a wall at a distance along a line.
    pub fn wall_hole(&self, wall: &Panel, t: f64) -> Drilled {
        let kind = match wall.kind {
            WallKind::Inside => HoleKind::Wall,
            WallKind::Party => HoleKind::PartyWall,
            WallKind::Outer => HoleKind::OuterWall,
        };
        let seal = self.seals(wall);
        let minutes = self.terms.hole(kind, self.is_solid(wall.assembly), seal);
        Drilled { t, kind, element: wall.wall.clone(), depth: wall.thickness, seal, minutes }
    }

    /// Rooms of a storey on both sides of a wall at a distance from its end `a`.
    pub fn sides(&self, wall: &Panel, s: f64) -> [Option<usize>; 2] {
        let at = super::plan::along(wall.a, wall.b, s);
        let n = left(wall.a, wall.b);
        [1.0, -1.0].map(|k| self.resolved.room_at(wall.storey, shifted(at, n, k * (wall.thickness / 2.0 + 0.05))))
    }

    /// Why a wall to a neighbour may not be passed at a place: the home does not go on behind it.
    pub fn party_bar(&self, wall: &Panel, at: Point2) -> Option<Bar> {
        if wall.kind != WallKind::Party {
            return None;
        }
        let n = left(wall.a, wall.b);
        let both = [1.0, -1.0].iter().all(|k| {
            let p = shifted(at, n, k * (wall.thickness / 2.0 + 0.05));
            self.resolved.rooms.iter().any(|r| r.usage != RoomUse::Outdoor && r.contains(p))
        });
        (!both || !self.terms.through_party_walls).then(|| Bar::PartyWall(wall.wall.clone()))
    }

    /// Holes and bars of a straight stretch that meets the given walls.
    pub fn walls_met(&self, a: Point2, b: Point2, walls: &[usize]) -> (Vec<Drilled>, Vec<Bar>) {
        let (mut holes, mut bars) = (Vec::new(), Vec::new());
        for wall in walls.iter().filter_map(|&w| self.resolved.panels.get(w)) {
            let Some((share, _)) = crossing(a, b, wall.a, wall.b) else { continue };
            bars.extend(self.party_bar(wall, lerp(a, b, share)));
            holes.push(self.wall_hole(wall, share * a.distance(b)));
        }
        holes.sort_by(|x, y| x.t.total_cmp(&y.t));
        (holes, bars)
    }

    /// What bars a stretch: zones, and fixed objects.
    pub fn zone_bars(&self, a: Point3, b: Point3) -> Vec<Bar> {
        let (low, high) = (a.z.min(b.z), a.z.max(b.z));
        let zones =
            self.resolved.no_go_zones.iter().filter(|z| z.z0 < high && low < z.z1 || z.z0 <= low && high <= z.z1);
        let mut bars: Vec<Bar> = zones
            .filter(|z| enters(a.plan(), b.plan(), &z.outline))
            .map(|z| Bar::Zone(z.zone.clone(), z.reason))
            .collect();
        let blocks = self.resolved.blocks.iter().filter(|o| o.z0 <= low && high <= o.z1);
        bars.extend(blocks.filter(|o| enters(a.plan(), b.plan(), &o.outline)).map(|o| Bar::Object(o.object.clone())));
        bars
    }

    /// Why a slab may not be drilled.
    pub fn slab_bar(&self, slab: &Id) -> Option<Bar> {
        self.resolved.tensioned.contains(slab).then(|| Bar::Tensioned(slab.clone()))
    }
}

/// For each room the least number of a room in the same building: rooms that a person can walk between, that lie above each
/// other, or are near each other on one storey.
fn buildings(home: &Resolved, frame: Frame) -> Vec<usize> {
    let rooms = &home.rooms;
    let mut building: Vec<usize> = (0..rooms.len()).collect();
    let boxes: Vec<Option<[f64; 4]>> = rooms.iter().map(|r| bounds(frame, r.outline.iter().copied())).collect();
    let inside = |i: usize| rooms.get(i).is_some_and(|r| r.usage != RoomUse::Outdoor);
    let mut join = |i: usize, j: usize| {
        let (keep, drop) = (building[i].min(building[j]), building[i].max(building[j]));
        building.iter_mut().filter(|b| **b == drop).for_each(|b| *b = keep);
    };
    for i in (0..rooms.len()).filter(|&i| inside(i)) {
        for j in (i + 1..rooms.len()).filter(|&j| inside(j)) {
            let (Some(a), Some(b)) = (boxes[i], boxes[j]) else { continue };
            let reach = if rooms[i].storey == rooms[j].storey { SAME_BUILDING } else { 0.0 };
            if a[0] <= b[1] + reach && b[0] <= a[1] + reach && a[2] <= b[3] + reach && b[2] <= a[3] + reach {
                join(i, j);
            }
        }
    }
    for &(i, j) in home.passages.iter().filter(|(i, j)| inside(*i) && inside(*j)) {
        join(i, j);
    }
    building
}
