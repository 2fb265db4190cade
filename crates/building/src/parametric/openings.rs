//! Doors, windows and wide openings.
//!
//! Sizes of leaves, sills and panes: common practice, no source, unless stated.

use super::fabric::Fabric;
use super::frame::{Entrance, Frame};
use super::layout::{Layout, Level};
use super::random::Random;
use super::rect::cm;
use super::sizes::Kind;
use super::usable::free_piece;
use super::walls::{Edge, Span};
use crate::elements::{OpeningKind, WallKind};

/// Area of panes by floor area; the International Residential Code asks for 8 % (R303.1, from memory), more is usual.
const GLAZING: f64 = 0.14;
/// Free wall beside a door or window [cm].
const BESIDE: i32 = 6;

/// An opening in a wall of a storey.
#[derive(Clone, Debug)]
pub(super) struct Hole {
    pub wall: usize,
    pub kind: OpeningKind,
    /// Along the wall's line in the frame [cm].
    pub lo: i32,
    pub hi: i32,
    /// [m]
    pub sill: f64,
    pub height: f64,
    pub assembly: Option<&'static str>,
    /// What it is called, such as `bath-door`.
    pub label: String,
}

/// A storey while openings are made.
pub(super) struct Site<'a> {
    pub frame: &'a Frame,
    pub layout: &'a Layout,
    pub level: Level,
    pub fabric: &'a Fabric,
    pub height: f64,
    /// True if the home stands on its own ground.
    pub house: bool,
    pub names: &'a [String],
}

impl Site<'_> {
    fn kind(&self, room: usize) -> Option<Kind> {
        room.checked_sub(1).and_then(|r| self.layout.rooms.get(r)).map(|r| r.kind)
    }

    fn name(&self, room: usize) -> &str {
        self.names.get(room).map_or("room", String::as_str)
    }

    /// Room between crossing walls at the ends of an edge [cm].
    fn within(&self, edge: &Edge, (lo, hi): (i32, i32)) -> (i32, i32) {
        let half = |at: i32| cm(self.frame.half(edge.line.along_u, at)) + BESIDE;
        (lo + half(lo), hi - half(hi))
    }

    /// Which way an edge faces in the plan: 0 front, 1 rear, 2 a side.
    fn facing(&self, edge: &Edge) -> usize {
        let along = f64::from(edge.line.lo + edge.line.hi) / 2.0;
        let at = f64::from(edge.line.at);
        let (u, v) = if edge.line.along_u { (along, at) } else { (at, along) };
        let y = self.frame.point(u, v).y;
        let depth = if self.frame.turn.u_is_y { self.frame.length } else { self.frame.breadth };
        if y < 0.01 {
            0
        } else if y > f64::from(depth) / 100.0 - 0.01 {
            1
        } else {
            2
        }
    }

    pub(super) fn openings(&self, spans: &mut [Span], edges: &[Edge], random: &mut Random) -> Vec<Hole> {
        let mut holes = Vec::new();
        if self.level.entrance {
            self.front_door(spans, edges, &mut holes);
        }
        for room in 1..=self.layout.rooms.len() {
            self.door(room, spans, edges, &mut holes, random);
        }
        self.wide(spans, edges, &mut holes, random);
        if self.level.entrance && self.house {
            self.garden(spans, edges, &mut holes, random);
        }
        for room in 0..=self.layout.rooms.len() {
            self.windows(room, spans, edges, &mut holes, random);
        }
        holes
    }

    fn front_door(&self, spans: &mut [Span], edges: &[Edge], holes: &mut Vec<Hole>) {
        let frame = self.frame;
        let on_side = |e: &&Edge| match frame.entrance {
            Entrance::Spine => !e.line.along_u && e.line.at == 0,
            Entrance::Band => {
                e.line.along_u
                    && e.line.at == 0
                    && self.layout.lobby.is_some_and(|l| e.line.lo < l.u1 && e.line.hi > l.u0)
            }
        };
        let Some(edge) = edges.iter().filter(|e| e.room == 0 && e.other.is_none()).find(on_side) else { return };
        let mut piece = (edge.line.lo, edge.line.hi);
        if let (Entrance::Band, Some(l)) = (frame.entrance, self.layout.lobby) {
            piece = (l.u0, l.u1);
        } else if let Some(super::frame::Stair::InStrip(f)) = frame.stair {
            // Opposite the passage, not the flight.
            piece.0 = f.v1 - 10;
        }
        let (lo, hi) = self.within(edge, piece);
        let width = (hi - lo).min(92);
        let at = lo + (hi - lo - width) / 2;
        self.cut(
            spans,
            holes,
            edge,
            at,
            width,
            OpeningKind::Door,
            0.0,
            2.1,
            Some(self.fabric.front_door),
            "front-door".into(),
        );
    }

    fn door(&self, room: usize, spans: &mut [Span], edges: &[Edge], holes: &mut Vec<Hole>, random: &mut Random) {
        let Some(placed) = self.layout.rooms.get(room - 1) else { return };
        let other = placed.through.map_or(0, |t| t + 1);
        let best = edges
            .iter()
            .filter(|e| e.room == room && e.other == Some(other))
            .filter_map(|e| free_piece(self.frame, e.line).map(|p| (e, p)))
            .max_by_key(|(_, p)| p.1 - p.0);
        let Some((edge, piece)) = best else { return };
        let (lo, hi) = self.within(edge, piece);
        let wish = if placed.kind.is_bathroom() || placed.kind == Kind::Store { 71 } else { 81 };
        let width = (hi - lo).min(wish);
        let slack = hi - lo - width;
        // Doors stand near a corner, so that furniture finds a wall.
        let near = slack.min(8);
        let at = if slack > 160 && random.chance(0.25) {
            lo + slack / 2
        } else if random.chance(0.5) {
            lo + near
        } else {
            hi - width - near
        };
        let label = format!("{}-door", self.name(room));
        self.cut(spans, holes, edge, at, width, OpeningKind::Door, 0.0, 2.03, Some(self.fabric.door), label);
    }

    /// Openings between rooms that are used together.
    fn wide(&self, spans: &mut [Span], edges: &[Edge], holes: &mut Vec<Hole>, random: &mut Random) {
        for edge in edges {
            let (Some(one), Some(two)) = (self.kind(edge.room), edge.other.and_then(|o| self.kind(o))) else {
                continue;
            };
            let together = matches!(
                (one, two),
                (Kind::Dining, Kind::Kitchen | Kind::OpenLiving | Kind::Living) | (Kind::Kitchen, Kind::Living)
            );
            if !together || !random.chance(0.6) {
                continue;
            }
            let (lo, hi) = self.within(edge, (edge.line.lo, edge.line.hi));
            let Some((lo, hi)) = spans.get(edge.wall).and_then(|s| longest_free(&s.taken, lo, hi)) else { continue };
            let room = hi - lo - 20;
            if room < 90 {
                continue;
            }
            let open = random.chance(0.6);
            let width = if open { room.min(cm(random.between(1.2, 2.2))) } else { room.min(81) };
            let at = lo + (hi - lo - width) / 2;
            let (kind, assembly) =
                if open { (OpeningKind::Gap, None) } else { (OpeningKind::Door, Some(self.fabric.door)) };
            let label = format!("{}-opening-{}", self.name(edge.room), edge.other.map_or("", |o| self.name(o)));
            self.cut(spans, holes, edge, at, width, kind, 0.0, 2.03, assembly, label);
        }
    }

    /// Doors to the garden: a glazed one, and a plain one at the kitchen.
    fn garden(&self, spans: &mut [Span], edges: &[Edge], holes: &mut Vec<Hole>, random: &mut Random) {
        let mut glazed = 0;
        for wanted in [Kind::OpenLiving, Kind::Dining, Kind::Living, Kind::Kitchen, Kind::Sitting, Kind::Utility] {
            for edge in edges {
                let garden = edge.kind == WallKind::Outer && edge.other.is_none() && self.facing(edge) == 1;
                if self.kind(edge.room) != Some(wanted) || !garden {
                    continue;
                }
                let plain = matches!(wanted, Kind::Kitchen | Kind::Utility) && edge.length() < 330;
                if glazed >= 2 || (glazed == 1 && (plain || !random.chance(0.4))) {
                    continue;
                }
                let (lo, hi) = self.within(edge, (edge.line.lo, edge.line.hi));
                let Some((lo, hi)) = spans.get(edge.wall).and_then(|s| longest_free(&s.taken, lo, hi)) else {
                    continue;
                };
                let width = if plain { 86 } else { cm(random.between(1.5, 2.4)) }.min(hi - lo - 10);
                if width < 76 {
                    continue;
                }
                let at = if plain { lo + 4 } else { lo + (hi - lo - width) / 2 };
                let (assembly, label) =
                    if plain { (self.fabric.front_door, "back-door") } else { (self.fabric.patio, "patio-door") };
                let label = format!("{}-{label}", self.name(edge.room));
                self.cut(spans, holes, edge, at, width, OpeningKind::Door, 0.0, 2.05, Some(assembly), label);
                glazed += 1;
            }
        }
    }

    fn windows(&self, room: usize, spans: &mut [Span], edges: &[Edge], holes: &mut Vec<Hole>, random: &mut Random) {
        let kind = self.kind(room);
        let outer = |e: &&Edge| e.room == room && e.kind == WallKind::Outer && e.other.is_none();
        let mut sides: Vec<&Edge> = edges.iter().filter(outer).collect();
        // Front and rear before sides, long before short.
        sides.sort_by_key(|e| (usize::from(self.facing(e) == 2), -e.length(), e.line.at));
        let area = match room.checked_sub(1).and_then(|r| self.layout.rooms.get(r)) {
            Some(r) => r.rect.gross(),
            None => 5.0,
        };
        let (sill, height, widest, mut need) = if self.level.dark {
            (self.height - 0.5, 0.35, 90, 70)
        } else {
            match kind {
                None => (0.9, 1.2, 90, 70),
                Some(Kind::Bath | Kind::Shower | Kind::Store | Kind::Dressing) => (1.25, 0.8, 80, 60),
                Some(Kind::Kitchen | Kind::Utility) => (1.05, 1.0, 180, cm(area * GLAZING / 1.0)),
                _ => (0.85, 1.3, 210, cm(area * GLAZING / 1.3)),
            }
        };
        let small = matches!(kind, Some(Kind::Store | Kind::Dressing | Kind::Plant) | None) || self.level.dark;
        need = need.clamp(60, 620);
        let label = format!("{}-window", self.name(room));
        for (i, edge) in sides.iter().enumerate() {
            // A patio door is a window too.
            let already: i32 = holes
                .iter()
                .filter(|h| {
                    h.wall == edge.wall && h.kind == OpeningKind::Door && h.lo >= edge.line.lo && h.hi <= edge.line.hi
                })
                .map(|h| if h.assembly == Some(self.fabric.patio) { h.hi - h.lo } else { 0 })
                .sum();
            need -= already + already / 2;
            if need <= 0 || (i > 0 && need < 80 && !random.chance(0.3)) || (small && i > 0) {
                break;
            }
            if self.level.dark && self.facing(edge) == 2 && random.chance(0.5) {
                continue;
            }
            let (lo, hi) = self.within(edge, (edge.line.lo, edge.line.hi));
            let Some((lo, hi)) = spans.get(edge.wall).and_then(|s| longest_free(&s.taken, lo, hi)) else { continue };
            let room_here = hi - lo - 16;
            if room_here < 45 {
                continue;
            }
            let share = if i == 0 && sides.len() > 1 { need * 7 / 10 } else { need };
            let count = ((share + widest - 1) / widest).clamp(1, ((room_here + 60) / 150).max(1));
            let width = (share / count).clamp(50, widest).min((room_here - 40 * (count - 1)) / count);
            if width < 45 {
                continue;
            }
            // Evenly: half a gap at the ends.
            let gap = (hi - lo - width * count) / (2 * count);
            for k in 0..count {
                let at = lo + gap + k * (width + 2 * gap);
                self.cut(
                    spans,
                    holes,
                    edge,
                    at,
                    width,
                    OpeningKind::Window,
                    sill,
                    height,
                    Some(self.fabric.window),
                    label.clone(),
                );
                need -= width;
            }
            if small {
                break;
            }
        }
    }

    #[expect(
        clippy::too_many_arguments,
        reason = "an opening has that many figures, and each call names them in order"
    )]
    fn cut(
        &self,
        spans: &mut [Span],
        holes: &mut Vec<Hole>,
        edge: &Edge,
        lo: i32,
        width: i32,
        kind: OpeningKind,
        sill: f64,
        height: f64,
        assembly: Option<&'static str>,
        label: String,
    ) {
        let Some(span) = spans.get_mut(edge.wall) else { return };
        let hi = lo + width;
        let crosses = span.taken.iter().any(|(a, b)| lo < *b && hi > *a);
        if width < 40 || crosses {
            return;
        }
        span.taken.push((lo, hi));
        holes.push(Hole {
            wall: edge.wall,
            kind,
            lo,
            hi,
            sill,
            height: height.min(self.height - sill - 0.1),
            assembly,
            label,
        });
    }
}

/// The longest piece of a wall between what is taken [cm].
pub(super) fn longest_free(taken: &[(i32, i32)], lo: i32, hi: i32) -> Option<(i32, i32)> {
    let mut sorted: Vec<(i32, i32)> = taken.iter().copied().filter(|(a, b)| *b > lo && *a < hi).collect();
    sorted.sort_unstable();
    let mut from = lo;
    let mut best: Option<(i32, i32)> = None;
    for (a, b) in sorted.into_iter().chain([(hi, hi)]) {
        if a > from && best.is_none_or(|(x, y)| a - from > y - x) {
            best = Some((from, a));
        }
        from = from.max(b + BESIDE);
    }
    best
}
