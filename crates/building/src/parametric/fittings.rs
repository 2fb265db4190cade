//! Sockets, large fixed things of metal, and the place where the line enters.
//!
//! Numbers, heights and sizes: common practice, no source.

use units::Point2;

use super::frame::Frame;
use super::layout::{Layout, Level};
use super::openings::{Hole, longest_free};
use super::random::Random;
use super::rect::Rect;
use super::sizes::Kind;
use super::walls::{Edge, Span};
use crate::elements::OpeningKind;

/// Free floor in front of a door [cm].
const DOORWAY: i32 = 85;
/// An outlet's centre beside an opening's frame, and off the wall's face [cm].
const BESIDE_OPENING: i32 = 12;
const OFF_FACE: f64 = 1.0;

/// A socket.
#[derive(Clone, Debug)]
pub(super) struct Socket {
    pub room: usize,
    pub at: Point2,
    pub height: f64,
}

/// A fixed thing.
#[derive(Clone, Debug)]
pub(super) struct Thing {
    pub name: &'static str,
    pub outline: Vec<Point2>,
    pub base: f64,
    pub height: f64,
}

/// A storey with its walls and openings.
pub(super) struct Shell<'a> {
    pub frame: &'a Frame,
    pub layout: &'a Layout,
    pub level: Level,
    pub spans: &'a [Span],
    pub edges: &'a [Edge],
    pub holes: &'a [Hole],
}

impl Shell<'_> {
    fn kind(&self, room: usize) -> Option<Kind> {
        room.checked_sub(1).and_then(|r| self.layout.rooms.get(r)).map(|r| r.kind)
    }

    fn area(&self, room: usize) -> f64 {
        match room.checked_sub(1).and_then(|r| self.layout.rooms.get(r)) {
            Some(r) => r.rect.gross(),
            None => self.layout.hall.iter().map(|r| r.gross()).sum(),
        }
    }

    /// What keeps sockets off an edge: openings, and flights of stairs.
    fn taken(&self, edge: &Edge) -> Vec<(i32, i32)> {
        let mut taken: Vec<(i32, i32)> = self
            .spans
            .get(edge.wall)
            .map(|s| s.taken.iter().map(|(a, b)| (a - BESIDE_OPENING, b + BESIDE_OPENING)).collect())
            .unwrap_or_default();
        if let Some(stair) = self.frame.stair.filter(|_| edge.room == 0) {
            let f = stair.flight();
            let (near, lo, hi) = if edge.line.along_u {
                (f.v0.min(f.v1) - 40 < edge.line.at && edge.line.at < f.v1 + 40, f.u0, f.u1)
            } else {
                (f.u0 - 40 < edge.line.at && edge.line.at < f.u1 + 40, f.v0, f.v1)
            };
            if near {
                taken.push((lo, hi));
            }
        }
        taken
    }

    /// An edge between the faces of the walls at its ends [cm].
    fn faces(&self, edge: &Edge) -> (i32, i32) {
        let half = |at: i32| (self.frame.half(edge.line.along_u, at) * 100.0).ceil() as i32;
        (edge.line.lo + half(edge.line.lo), edge.line.hi - half(edge.line.hi))
    }

    pub(super) fn sockets(&self) -> Vec<Socket> {
        let mut sockets = Vec::new();
        for room in 0..=self.layout.rooms.len() {
            let area = self.area(room);
            let (count, height) = match self.kind(room) {
                None => ((area / 5.0).clamp(1.0, 3.0), 0.45),
                Some(Kind::Bath | Kind::Shower) => (1.0, 1.3),
                Some(Kind::Store | Kind::Dressing) => (1.0, 0.45),
                Some(Kind::Kitchen) => ((area / 2.5).clamp(4.0, 9.0), 1.1),
                Some(Kind::Utility | Kind::Plant) => (2.0, 1.1),
                Some(Kind::Cellar) => ((area / 10.0).clamp(1.0, 4.0), 0.45),
                Some(Kind::Living | Kind::OpenLiving | Kind::Studio | Kind::Sitting) => {
                    ((area / 3.5).clamp(5.0, 14.0), 0.45)
                }
                Some(_) => ((area / 3.5).clamp(3.0, 8.0), 0.45),
            };
            self.around(room, count.round() as usize, height, &mut sockets);
        }
        sockets
    }

    /// Sockets at even steps around a room.
    fn around(&self, room: usize, count: usize, height: f64, sockets: &mut Vec<Socket>) {
        let before = sockets.len();
        let edges: Vec<&Edge> = self.edges.iter().filter(|e| e.room == room && e.length() > 30).collect();
        let whole: i32 = edges.iter().map(|e| e.length()).sum();
        let put = |edge: &Edge, along: i32, sockets: &mut Vec<Socket>| {
            let (u, v) = edge.off_face(f64::from(along), OFF_FACE);
            sockets.push(Socket { room, at: self.frame.point(u, v), height });
        };
        for k in 0..count {
            let mut along = (f64::from(whole) * (k as f64 + 0.5) / count as f64) as i32;
            for edge in &edges {
                if along >= edge.length() {
                    along -= edge.length();
                    continue;
                }
                let (lo, hi) = self.faces(edge);
                let wanted = edge.line.lo + along;
                let taken = self.taken(edge);
                let is_free = |x: i32| x > lo + 8 && x < hi - 8 && !taken.iter().any(|(a, b)| (*a..=*b).contains(&x));
                let nearest =
                    (0..=edge.length()).step_by(5).flat_map(|d| [wanted + d, wanted - d]).find(|x| is_free(*x));
                if let Some(x) = nearest {
                    put(edge, x, sockets);
                }
                break;
            }
        }
        if sockets.len() == before {
            let best = edges
                .iter()
                .filter_map(|e| {
                    let (lo, hi) = self.faces(e);
                    longest_free(&self.taken(e), lo, hi).map(|(a, b)| (b - a, (a + b) / 2, *e))
                })
                .max_by_key(|(length, _, _)| *length);
            if let Some((_, x, edge)) = best {
                put(edge, x, sockets);
            }
        }
    }

    pub(super) fn things(&self, random: &mut Random) -> Vec<Thing> {
        let mut things = Vec::new();
        let has_utility = self.layout.rooms.iter().any(|r| r.kind == Kind::Utility);
        for room in 1..=self.layout.rooms.len() {
            let Some(kind) = self.kind(room) else { continue };
            // Name, width, depth, base, height [cm].
            let mut wanted: Vec<(&'static str, i32, i32, i32, i32)> = Vec::new();
            if kind.cooks() {
                wanted.extend([("refrigerator", 60, 65, 0, 180), ("cooker", 60, 60, 0, 90)]);
                if random.chance(0.7) {
                    wanted.push(("dishwasher", 60, 60, 0, 85));
                }
                if !has_utility && random.chance(0.6) {
                    wanted.push(("washing machine", 60, 60, 0, 85));
                }
            }
            match kind {
                Kind::Utility => {
                    wanted.push(("washing machine", 60, 60, 0, 85));
                    if random.chance(0.6) {
                        wanted.push(("tumble dryer", 60, 60, 0, 85));
                    }
                }
                Kind::Bath if random.chance(0.75) => wanted.push(("bathtub", 170, 70, 0, 55)),
                Kind::Plant => wanted.extend([("boiler", 60, 60, 0, 140), ("hot-water cylinder", 60, 60, 0, 160)]),
                _ => {}
            }
            if wanted.is_empty() {
                continue;
            }
            let mut edges: Vec<&Edge> = self.edges.iter().filter(|e| e.room == room && e.length() > 110).collect();
            random.shuffle(&mut edges);
            let mut blocked = self.doorways(room);
            for thing in wanted {
                if let Some(rect) = self.stand(&edges, thing, &blocked) {
                    // Things stand side by side, so that only what is behind them is blocked.
                    blocked.push(rect);
                    things.push(Thing {
                        name: thing.0,
                        outline: self.corners(rect),
                        base: f64::from(thing.3) / 100.0,
                        height: f64::from(thing.4) / 100.0,
                    });
                }
            }
        }
        things
    }

    fn corners(&self, r: Rect) -> Vec<Point2> {
        let (u0, u1, v0, v1) = (f64::from(r.u0), f64::from(r.u1), f64::from(r.v0), f64::from(r.v1));
        vec![self.frame.point(u0, v0), self.frame.point(u1, v0), self.frame.point(u1, v1), self.frame.point(u0, v1)]
    }

    /// Floor that must stay free in front of a room's doors.
    fn doorways(&self, room: usize) -> Vec<Rect> {
        let mut zones = Vec::new();
        for edge in self.edges.iter().filter(|e| e.room == room) {
            for hole in self.holes.iter().filter(|h| h.wall == edge.wall && h.kind != OpeningKind::Window) {
                if hole.lo >= edge.line.lo && hole.hi <= edge.line.hi {
                    let (a, b) = if edge.room_above {
                        (edge.line.at, edge.line.at + DOORWAY)
                    } else {
                        (edge.line.at - DOORWAY, edge.line.at)
                    };
                    zones.push(if edge.line.along_u {
                        Rect::new(hole.lo, hole.hi, a, b)
                    } else {
                        Rect::new(a, b, hole.lo, hole.hi)
                    });
                }
            }
        }
        zones
    }

    /// The first free place for a thing along a room's edges; low things may stand under windows.
    fn stand(
        &self,
        edges: &[&Edge],
        (_, width, depth, _, height): (&str, i32, i32, i32, i32),
        blocked: &[Rect],
    ) -> Option<Rect> {
        for edge in edges {
            let (lo, hi) = self.faces(edge);
            let room = self.layout.rooms.get(edge.room.checked_sub(1)?)?.rect;
            let (u, v) = self.frame.clear(room);
            let across = if edge.line.along_u { v } else { u };
            if across < f64::from(depth) / 100.0 + 0.65 {
                continue;
            }
            let in_the_way: Vec<(i32, i32)> = self
                .holes
                .iter()
                .filter(|h| {
                    h.wall == edge.wall && (h.kind != OpeningKind::Window || h.sill * 100.0 < f64::from(height))
                })
                .map(|h| (h.lo - 5, h.hi + 5))
                .collect();
            let mut x = lo + 2;
            while x + width <= hi - 2 {
                let (_, near) = edge.off_face(f64::from(x), 2.0);
                let (face, _) = if edge.line.along_u { (near, 0) } else { (edge.off_face(f64::from(x), 2.0).0, 0) };
                let far = face + f64::from(depth) * if edge.room_above { 1.0 } else { -1.0 };
                let (a, b) = (face.min(far).round() as i32, face.max(far).round() as i32);
                let rect =
                    if edge.line.along_u { Rect::new(x, x + width, a, b) } else { Rect::new(a, b, x, x + width) };
                let free = !in_the_way.iter().any(|(p, q)| x < *q && x + width > *p)
                    && !blocked.iter().any(|z| z.overlap(rect) > 0.0);
                if free {
                    return Some(rect);
                }
                x += 10;
            }
        }
        None
    }

    /// Where the line enters: beside the front door, or in the plant room below ground. The place and its height [m].
    pub(super) fn demarcation(&self) -> Option<(Point2, f64)> {
        let room = if self.level.dark {
            self.layout.rooms.iter().position(|r| r.kind == Kind::Plant).map(|i| i + 1)?
        } else {
            0
        };
        let has_front_door = |e: &Edge| {
            self.holes
                .iter()
                .any(|h| h.wall == e.wall && h.label == "front-door" && h.lo >= e.line.lo && h.hi <= e.line.hi)
        };
        let mut edges: Vec<&Edge> = self.edges.iter().filter(|e| e.room == room && e.length() > 60).collect();
        edges.sort_by_key(|e| (!has_front_door(e), e.other.is_some(), -e.length()));
        edges.iter().find_map(|e| {
            let (lo, hi) = self.faces(e);
            let (a, b) = longest_free(&self.taken(e), lo + 5, hi - 5).filter(|(a, b)| b - a >= 12)?;
            let (u, v) = e.off_face(f64::from(a + b) / 2.0, OFF_FACE);
            Some((self.frame.point(u, v), if self.level.dark { 1.4 } else { 0.6 }))
        })
    }
}
