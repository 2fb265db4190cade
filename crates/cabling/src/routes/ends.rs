//! Where cables end: at a placed part, or at the outlet beside a device.

use std::collections::BTreeMap;

use building::{OutletKind, WallKind};
use findings::Id;
use household::Household;
use network::wiring::{HoleKind, Way};
use network::{Design, Mounting};
use units::{Point2, Point3};

use super::bays::{self, Bay, Built};
use super::graph::{Drilled, Ways};
use super::home::Home;
use super::plan::{along, edges, left, project, shifted};
use super::rooms::{Loops, reach, runs_beside};
use super::spaces::{Space, attach};

/// Height of an outlet above the floor [m] (common practice, no source).
const OUTLET_HEIGHT: f64 = 0.4;
/// Farthest place from the plan's origin that is believed [m]; NaN is not within it.
const FARTHEST: f64 = 100_000.0;
/// A part this far outside every room still belongs to the nearest: it hangs on its outer wall [m].
const OUTSIDE_REACH: f64 = 1.0;
/// A data outlet this near to a device in its room is the device's [m] (common practice, no source).
const OUTLET_REACH: f64 = 2.5;
/// An outlet may be moved along its wall this far to the next free bay [m] (common practice, no source).
const BAY_REACH: f64 = 1.5;

/// One end of a cable.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct End {
    pub at: Point3,
    pub storey: usize,
    /// The room it is in, or on whose outer wall it hangs.
    pub room: usize,
    /// True if it hangs outside.
    pub outside: bool,
    pub ceiling: bool,
}

/// Why an end has no place.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum NoEnd {
    /// The design and the household do not know it.
    Unknown,
    /// What is missing of its place.
    NoPlace(String),
    /// It is outside the home; the wall it lies behind, if there is one near.
    Outside(Point3, Option<Id>),
}

/// The place of an end.
pub(super) fn find(id: &Id, design: &Design, household: &Household, home: &Home) -> Result<End, NoEnd> {
    let resolved = home.resolved;
    let believed = |cs: &[f64]| cs.iter().all(|c| c.abs() <= FARTHEST);
    let number = |room: &Id| resolved.rooms.iter().position(|r| &r.id == room);
    if let Some(part) = design.part(id) {
        if !believed(&[part.at.x, part.at.y, part.at.z]) {
            return Err(NoEnd::NoPlace(format!("a place within {FARTHEST} m")));
        }
        let stated = number(&part.room);
        let storey = stated.map(|r| resolved.rooms[r].storey).or_else(|| resolved.storey_at(part.at.z + 0.05));
        let storey = storey.filter(|s| *s < resolved.storeys.len()).ok_or_else(|| NoEnd::NoPlace("a storey".into()))?;
        return place(home, part.at, storey, stated, part.mounting == Mounting::Ceiling);
    }
    let device = household.devices.iter().find(|d| &d.id == id).ok_or(NoEnd::Unknown)?;
    let room = number(&device.room).ok_or_else(|| NoEnd::NoPlace(format!("room `{}`", device.room)))?;
    let r = &resolved.rooms[room];
    let at = device.at.unwrap_or(r.inside);
    if !believed(&[at.x, at.y]) {
        return Err(NoEnd::NoPlace(format!("a place within {FARTHEST} m")));
    }
    let storey = resolved.storeys.get(r.storey).ok_or_else(|| NoEnd::NoPlace("a storey".into()))?;
    let outlet = resolved
        .outlets
        .iter()
        .filter(|o| o.kind == OutletKind::Data && o.room == Some(room) && o.at.plan().distance(at) <= OUTLET_REACH)
        .min_by(|a, b| a.at.plan().distance(at).total_cmp(&b.at.plan().distance(at)));
    let at = outlet.map_or_else(|| at.at_height(storey.floor_z + OUTLET_HEIGHT), |o| o.at);
    place(home, at, r.storey, Some(room), false)
}

fn place(home: &Home, at: Point3, storey: usize, stated: Option<usize>, ceiling: bool) -> Result<End, NoEnd> {
    let resolved = home.resolved;
    let plan = at.plan();
    let off =
        |r: usize| edges(&resolved.rooms[r].outline).map(|(a, b)| project(plan, a, b).1).fold(f64::INFINITY, f64::min);
    let inside = |r: usize| home.is_inside(r);
    if let Some(room) = resolved.room_at(storey, plan).filter(|r| inside(*r)) {
        return Ok(End { at, storey, room, outside: false, ceiling });
    }
    // On or in a wall of the stated room.
    if let Some(room) = stated.filter(|r| inside(*r) && off(*r) <= WALL_REACH) {
        return Ok(End { at, storey, room, outside: false, ceiling });
    }
    let nearest = (0..resolved.rooms.len())
        .filter(|r| resolved.rooms[*r].storey == storey && inside(*r))
        .map(|r| (off(r), r))
        .min_by(|a, b| (a.0 * 1e6).round().total_cmp(&(b.0 * 1e6).round()));
    match nearest {
        Some((distance, room)) if distance <= OUTSIDE_REACH => {
            let outside = distance > WALL_REACH || stated.is_some_and(|r| !inside(r));
            Ok(End { at, storey, room, outside, ceiling: ceiling && !outside })
        }
        _ => {
            let behind = resolved
                .panels
                .iter()
                .filter(|p| p.storey == storey && p.kind != WallKind::Inside)
                .map(|p| (project(plan, p.a, p.b).1, p))
                .min_by(|a, b| a.0.total_cmp(&b.0))
                .map(|(_, p)| p.wall.clone());
            Err(NoEnd::Outside(at, behind))
        }
    }
}

/// An end this near to a room's outline stands on or in its wall [m].
const WALL_REACH: f64 = 0.35;

/// Bays that are in the graph, so that ends on one bay share it.
pub(super) type Bays = BTreeMap<Bay, Option<Built>>;

/// The graph that ends are joined to.
pub(super) struct Joining<'a, 'b> {
    pub home: &'a Home<'b>,
    pub spaces: &'a [Space],
    pub loops: &'a [Loops],
    pub ways: &'a mut Ways,
    pub bays: &'a mut Bays,
}

impl Joining<'_, '_> {
    /// Puts an end into the graph and joins it to the ways around it; returns its spot.
    pub fn join(&mut self, end: &End) -> usize {
        let spot = self.ways.spot(end.at);
        if end.ceiling {
            self.ceiling(end, spot);
        } else {
            self.walls(end, spot);
        }
        spot
    }

    /// Up through the ceiling's lining, or along the ceiling in raceway.
    fn ceiling(&mut self, end: &End, spot: usize) {
        for space in self.spaces.iter().filter(|s| s.over.contains(&end.storey) && s.encloses(end.at.plan())) {
            if self.home.is_wet(end.room) {
                continue;
            }
            let inside = self.ways.spot(end.at.plan().at_height(space.z));
            let bars = self.home.zone_bars(end.at, self.ways.spots[inside]);
            let line = self.ways.line([spot, inside], Way::Through, space.element.clone());
            line.bars = bars;
            if space.ways[0] != Way::OpenCeiling {
                let element = space.element.clone().unwrap_or_else(|| Id::from_label("ceiling"));
                let minutes = self.home.terms.hole(HoleKind::Floor, false, space.seal) / 2.0;
                let (kind, depth, seal) = (HoleKind::Floor, space.skins[0], space.seal);
                line.holes.push(Drilled { t: 0.0, kind, element, depth, seal, minutes });
            }
            attach(self.home, space, self.ways, inside);
        }
        if let Some((stop, _)) = self.loops.get(end.room).and_then(|l| reach(self.ways, &l.cornice, end.at.plan())) {
            self.ways.line([spot, stop], Way::Raceway, None);
        }
    }

    /// To the nearest walls of the room, and from there up, down and along.
    fn walls(&mut self, end: &End, spot: usize) {
        let Some(room) = self.home.resolved.rooms.get(end.room) else { return };
        let at = end.at.plan();
        let mut faces: Vec<(f64, usize, Point2)> = Vec::new();
        for (a, b) in edges(&room.outline) {
            let (s, off) = project(at, a, b);
            let face = along(a, b, s);
            let wall = self.home.resolved.panels.iter().enumerate().find(|(_, p)| {
                p.storey == end.storey && runs_beside(p, a, b) && project(face, p.a, p.b).1 <= p.thickness / 2.0 + 0.1
            });
            if let Some((panel, _)) = wall {
                faces.push(((off * 1e6).round(), panel, face));
            }
        }
        faces.sort_by(|x, y| x.0.total_cmp(&y.0));
        // The nearest wall carries raceway; a bay may be in it or in the next one.
        let reachable = !self.home.is_wet(end.room) || end.outside;
        for (rank, &(_, panel, face)) in faces.iter().take(2).enumerate() {
            if !reachable {
                break;
            }
            let on_wall = self.ways.spot(face.at_height(end.at.z));
            self.ways.line([spot, on_wall], Way::Open, None);
            if end.outside {
                self.outside(panel, face, on_wall);
            }
            self.bay(panel, face, on_wall, end);
            if rank == 0
                && !end.outside
                && let Some(loops) = self.loops.get(end.room)
            {
                for lines in [&loops.skirting, &loops.cornice] {
                    if let Some((stop, _)) = reach(self.ways, lines, face) {
                        let bars = self.home.zone_bars(self.ways.spots[on_wall], self.ways.spots[stop]);
                        self.ways.line([on_wall, stop], Way::Raceway, None).bars = bars;
                    }
                }
            }
        }
    }

    /// Into the free bay nearest to a place on a wall.
    fn bay(&mut self, panel: usize, face: Point2, on_wall: usize, end: &End) {
        let Some(wall) = self.home.resolved.panels.get(panel) else { return };
        let (s, _) = project(face, wall.a, wall.b);
        let Some(bay) = bays::nearest(self.home, panel, s, BAY_REACH) else { return };
        let built = match self.bays.get(&bay) {
            Some(known) => *known,
            None => {
                let built = bays::build(self.home, self.spaces, self.ways, bay, false);
                self.bays.insert(bay, built);
                built
            }
        };
        let Some(built) = built else { return };
        let z = end.at.z.clamp(wall.z0, wall.z1);
        let stop = self.ways.stop(built.line, z - wall.z0);
        // Along the wall the outlet is moved; what remains is the depth of the wall.
        let line = self.ways.line([on_wall, stop], Way::Open, Some(wall.wall.clone()));
        line.length = (face.distance(built.at) - wall.thickness / 2.0).max(0.0);
        line.cuts = true;
        if end.outside {
            let mut hole = self.home.wall_hole(wall, 0.0);
            hole.depth /= 2.0;
            line.holes.push(hole);
        }
    }

    /// Straight through the outer wall to the raceways inside.
    fn outside(&mut self, panel: usize, face: Point2, on_wall: usize) {
        let Some(wall) = self.home.resolved.panels.get(panel) else { return };
        let (s, _) = project(face, wall.a, wall.b);
        for (side, room) in [1.0, -1.0].into_iter().zip(self.home.sides(wall, s)) {
            let Some(loops) = room.and_then(|r| self.loops.get(r)) else { continue };
            let inner = shifted(along(wall.a, wall.b, s), left(wall.a, wall.b), side * wall.thickness / 2.0);
            let inside = self.ways.spot(inner.at_height(self.ways.spots[on_wall].z));
            let line = self.ways.line([on_wall, inside], Way::Through, Some(wall.wall.clone()));
            line.holes.push(self.home.wall_hole(wall, 0.0));
            for lines in [&loops.skirting, &loops.cornice] {
                if let Some((stop, _)) = reach(self.ways, lines, inner) {
                    self.ways.line([inside, stop], Way::Raceway, None);
                }
            }
        }
    }
}
