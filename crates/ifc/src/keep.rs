//! What of a model belongs to one dwelling: its walls, cut where the neighbour's begin, and what lies beyond them.

use building::{RoomUse, WallKind};

use crate::plan::{bounds, intersection};
use crate::slabs::{Flight, Plate};
use crate::spaces::Space;
use crate::walls::{Piece, is_lining};

/// Part of a wall piece that bounds the dwelling.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Part {
    /// Along the piece [m].
    pub s0: f64,
    pub s1: f64,
    pub kind: WallKind,
}

/// Free distance from a wall within which a room is what the wall bounds [m].
const REACH: f64 = 0.6;
/// Distance through other walls and free space together [m]: two thick walls with a lining each.
const DEPTH: f64 = 1.6;
/// Distance between the places at which a wall's sides are looked at [m].
const STEP: f64 = 0.1;
/// Parts shorter than this go with their neighbour [m].
const LEAST_PART: f64 = 0.5;
/// A cut is moved to the centre line of a meeting wall within this distance [m].
const TO_JOINT: f64 = 0.8;

/// What one side of a wall shows.
#[derive(Clone, Copy)]
struct Side {
    space: Option<usize>,
    /// A thicker wall stands before it: this wall is that wall's lining.
    is_behind_thicker: bool,
}

/// What can be seen from a wall, found once for all places along it.
struct Around<'a> {
    spaces: Vec<(usize, &'a Space)>,
    walls: Vec<&'a Piece>,
}

/// A dwelling in its model.
pub(crate) struct View<'a> {
    pub spaces: &'a [Space],
    pub of_space: &'a [Option<usize>],
    pub pieces: &'a [Piece],
    pub dwelling: usize,
}

impl View<'_> {
    /// True if a space belongs to the dwelling.
    pub fn has(&self, space: usize) -> bool {
        self.of_space.get(space).copied().flatten() == Some(self.dwelling)
    }

    /// The spaces and walls that can be seen from a wall.
    fn around(&self, i: usize) -> Around<'_> {
        let piece = &self.pieces[i];
        let (low, high) = bounds(&[piece.a, piece.b]);
        let reach = DEPTH + piece.thickness;
        let is_close = |s: &Space| {
            let (l, h) = bounds(&s.area.outer);
            s.z0 - 1. <= piece.z1
                && piece.z0 <= s.z1 + 1.
                && (0..2).all(|k| l[k] <= high[k] + reach && low[k] <= h[k] + reach)
        };
        Around {
            spaces: self.spaces.iter().enumerate().filter(|(_, s)| is_close(s)).collect(),
            walls: self
                .pieces
                .iter()
                .enumerate()
                .filter(|(j, w)| *j != i && w.is_near(low, high, reach + w.thickness))
                .map(|(_, w)| w)
                .collect(),
        }
    }

    fn look(&self, around: &Around<'_>, i: usize, s: f64, sign: f64, z: f64) -> Side {
        let piece = &self.pieces[i];
        let mut free = 0.;
        let mut is_behind_thicker = false;
        let mut d = piece.thickness / 2. + 0.02;
        let end = piece.thickness / 2. + DEPTH;
        while d < end && free < REACH {
            let p = piece.point(s, sign * d);
            let holds = |r: &Space| r.z0 - 0.1 <= z && z <= r.z1 + 0.1 && r.area.contains(p);
            let found = around.spaces.iter().find(|(_, r)| holds(r)).map(|(n, _)| *n);
            if found.is_some() {
                return Side { space: found, is_behind_thicker };
            }
            match around.walls.iter().find(|w| w.z0 <= z && z <= w.z1 && w.covers(p, 0.)) {
                Some(w) => is_behind_thicker |= w.thickness > piece.thickness,
                None => free += 0.05,
            }
            d += 0.05;
        }
        Side { space: None, is_behind_thicker }
    }

    /// What the wall is at a place along it: none if it does not bound the dwelling.
    fn kind_at(&self, around: &Around<'_>, i: usize, s: f64) -> Option<WallKind> {
        let piece = &self.pieces[i];
        let height = piece.z1 - piece.z0;
        let mut heights = vec![piece.z0 + height / 2., piece.z0 + height * 0.2, piece.z0 + height * 0.8];
        if height < 1.2 {
            // A low wall between two storeys is looked at from the rooms above and below; one over a roof or under the
            // ground has rooms on one of these sides only.
            let sees = |z: f64| {
                [1., -1.].iter().any(|side| self.look(around, i, s, *side, z).space.is_some_and(|x| self.has(x)))
            };
            if sees(piece.z0 - 0.5) && sees(piece.z1 + 0.5) {
                heights.extend([piece.z0 - 0.5, piece.z1 + 0.5]);
            }
        }
        let mut best = None;
        for z in heights {
            let (l, r) = (self.look(around, i, s, 1., z), self.look(around, i, s, -1., z));
            let has = |side: Side| side.space.is_some_and(|x| self.has(x));
            let outdoors = |side: Side| side.space.is_none_or(|x| self.spaces[x].usage == RoomUse::Outdoor);
            let found = match (has(l), has(r)) {
                (true, true) if outdoors(l) || outdoors(r) => WallKind::Outer,
                (true, true) => return Some(WallKind::Inside),
                (false, false) => continue,
                (left, _) => {
                    let (near, far) = if left { (l, r) } else { (r, l) };
                    if near.is_behind_thicker {
                        // The neighbour's lining, or the weather side's.
                        continue;
                    }
                    if far.is_behind_thicker {
                        WallKind::Inside
                    } else if !outdoors(far) {
                        WallKind::Party
                    } else if piece.is_external == Some(false) {
                        // Nothing within reach, and the model says that it is no weather wall: a shaft or a void.
                        WallKind::Inside
                    } else {
                        WallKind::Outer
                    }
                }
            };
            best = best.or(Some(found));
        }
        best
    }

    /// The parts of a wall piece that bound the dwelling.
    pub fn parts(&self, i: usize) -> Vec<Part> {
        let piece = &self.pieces[i];
        let length = piece.length();
        let n = ((length / STEP).ceil() as usize).clamp(3, 1000);
        let step = length / n as f64;
        let around = self.around(i);
        let kinds: Vec<Option<WallKind>> = (0..n).map(|k| self.kind_at(&around, i, (k as f64 + 0.5) * step)).collect();
        let mut runs: Vec<(usize, usize, Option<WallKind>)> = Vec::new();
        for (k, kind) in kinds.iter().enumerate() {
            match runs.last_mut() {
                Some(run) if run.2 == *kind => run.1 = k + 1,
                _ => runs.push((k, k + 1, *kind)),
            }
        }
        // Short runs are corners and junctions: they go with the longer neighbour.
        let least = (LEAST_PART / step) as usize;
        while runs.len() > 1 {
            let Some(short) = (0..runs.len())
                .filter(|r| runs[*r].1 - runs[*r].0 < least.max(1))
                .min_by_key(|r| runs[*r].1 - runs[*r].0)
            else {
                break;
            };
            let size = |r: usize| runs.get(r).map_or(0, |x| x.1 - x.0);
            let before = short.checked_sub(1).map_or(0, size);
            let into = if before >= size(short + 1) && short > 0 { short - 1 } else { short + 1 };
            let (from, to) = (runs[short].0.min(runs[into].0), runs[short].1.max(runs[into].1));
            runs[into].0 = from;
            runs[into].1 = to;
            runs.remove(short);
            let mut merged: Vec<(usize, usize, Option<WallKind>)> = Vec::new();
            for run in runs.drain(..) {
                match merged.last_mut() {
                    Some(m) if m.2 == run.2 => m.1 = run.1,
                    _ => merged.push(run),
                }
            }
            runs = merged;
        }
        let cuts: Vec<f64> = std::iter::once(0.)
            .chain(runs.iter().skip(1).map(|r| self.joint_near(i, r.0 as f64 * step)))
            .chain(std::iter::once(length))
            .collect();
        runs.iter()
            .zip(cuts.windows(2))
            .filter_map(|(r, c)| r.2.map(|kind| Part { s0: c[0], s1: c[1], kind }))
            .filter(|p| p.s1 - p.s0 > 0.02)
            .collect()
    }

    /// The centre line of a wall that meets this one near a place, else the place.
    fn joint_near(&self, i: usize, s: f64) -> f64 {
        let piece = &self.pieces[i];
        let mut best = (TO_JOINT, s);
        for (j, other) in self.pieces.iter().enumerate() {
            if i == j || is_lining(other, piece) || other.z0.max(piece.z0) + 0.2 > other.z1.min(piece.z1) {
                continue;
            }
            for end in [other.a, other.b] {
                let q = piece.coordinates(end);
                let v = other.along();
                let u = piece.along();
                let is_crossing = (u[0] * v[1] - u[1] * v[0]).abs() > 0.26;
                if is_crossing && q[1].abs() < piece.thickness / 2. + 0.05 && (q[0] - s).abs() < best.0 {
                    best = ((q[0] - s).abs(), q[0]);
                }
            }
        }
        best.1.clamp(0., piece.length())
    }

    /// True if a floor, ceiling or roof lies under or over a room of the dwelling.
    pub fn has_plate(&self, plate: &Plate) -> bool {
        self.spaces.iter().enumerate().filter(|(i, _)| self.has(*i)).any(|(_, s)| {
            let below = plate.z1 > s.z0 - 1.0 && plate.z1 < s.z0 + 0.1;
            // Hung below the room's own ceiling, a gallery in a tall room, or over it within a joist's depth or two.
            let above = plate.z0 > s.z0 + 1.5 && plate.z0 < s.z1 + 1.2;
            (below || above)
                && intersection(&plate.area, &s.area).iter().map(crate::plan::Area::size).sum::<f64>() > 0.1
        })
    }

    /// True if a stair ends in a room of the dwelling or by its edge.
    pub fn has_flight(&self, flight: &Flight) -> bool {
        self.spaces.iter().enumerate().filter(|(i, _)| self.has(*i)).any(|(_, s)| {
            [(flight.foot, flight.z0 + 1.), (flight.head, flight.z1 + 1.)]
                .iter()
                .any(|(p, z)| s.z0 - 0.3 <= *z && *z <= s.z1 && s.area.distance(*p) < 0.3)
        })
    }

    /// The nearest space to a point, with its distance [m].
    pub fn nearest(&self, p: [f64; 2], z: f64) -> Option<(f64, usize)> {
        let mut best: Option<(f64, usize)> = None;
        for (i, s) in self.spaces.iter().enumerate() {
            if s.z0 - 0.3 <= z && z <= s.z1 + 0.3 {
                let d = s.area.distance(p);
                if best.is_none_or(|b| d < b.0 - 1e-9) {
                    best = Some((d, i));
                }
            }
        }
        best
    }
}
