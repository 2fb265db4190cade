//! From rectangles to walls: where two rooms, or a room and the outside, meet.

use std::collections::BTreeSet;

use units::Point2;

use super::fabric::{BASEMENT, Fabric, thickness};
use super::frame::{Frame, Side};
use super::layout::{Layout, Level};
use super::rect::{Shared, metres};
use crate::elements::WallKind;

/// A wall of a storey.
#[derive(Clone, Debug)]
pub(super) struct Span {
    /// Its line in the frame [cm].
    pub line: Shared,
    pub kind: WallKind,
    pub assembly: &'static str,
    /// Ends in the plan [m]; the outside is on the left of outer walls.
    pub from: Point2,
    pub to: Point2,
    /// True if it runs against the frame's axis.
    pub reversed: bool,
    /// Openings along it [cm from `line.lo`].
    pub taken: Vec<(i32, i32)>,
}

/// A piece of wall as a room sees it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Edge {
    pub wall: usize,
    pub line: Shared,
    /// 0 is the hall, others are the layout's rooms from 1.
    pub room: usize,
    /// The room on the other side; none outside.
    pub other: Option<usize>,
    pub kind: WallKind,
    /// True if the room lies at larger coordinates of the frame.
    pub room_above: bool,
    /// Half the wall's thickness [m].
    pub half: f64,
}

impl Edge {
    /// Length between its ends [cm].
    pub(super) fn length(&self) -> i32 {
        self.line.hi - self.line.lo
    }

    /// The point of the frame [cm] at a place along the line and a distance into the room from the wall's face.
    pub(super) fn off_face(&self, along: f64, off: f64) -> (f64, f64) {
        let away = (self.half * 100.0 + off) * if self.room_above { 1.0 } else { -1.0 };
        let at = f64::from(self.line.at) + away;
        if self.line.along_u { (along, at) } else { (at, along) }
    }
}

/// The walls of a storey and the edges of its rooms.
pub(super) fn walls(frame: &Frame, layout: &Layout, level: Level, fabric: &Fabric) -> (Vec<Span>, Vec<Edge>) {
    let grid = Grid::new(layout);
    let is_bath = |label: Option<usize>| {
        label.filter(|l| *l > 0).and_then(|l| layout.rooms.get(l - 1)).is_some_and(|r| r.kind.is_bathroom())
    };
    let (mut spans, mut edges): (Vec<Span>, Vec<Edge>) = (Vec::new(), Vec::new());
    for along_u in [true, false] {
        let (lines, steps) = if along_u { (&grid.v, &grid.u) } else { (&grid.u, &grid.v) };
        for (j, &at) in lines.iter().enumerate() {
            let mut open: Option<usize> = None;
            for (i, pair) in steps.windows(2).enumerate() {
                let (before, after) = (grid.label(along_u, i, j.checked_sub(1)), grid.label(along_u, i, Some(j)));
                if before == after {
                    open = None;
                    continue;
                }
                let kind = if before.is_some() && after.is_some() {
                    WallKind::Inside
                } else {
                    let side = match (along_u, before.is_none()) {
                        (true, true) => Side::VLow,
                        (true, false) => Side::VHigh,
                        (false, true) => Side::UStart,
                        (false, false) => Side::UEnd,
                    };
                    frame.side(side)
                };
                let assembly = match kind {
                    WallKind::Inside if is_bath(before) || is_bath(after) => fabric.wet,
                    WallKind::Inside => fabric.inside,
                    _ if level.dark => BASEMENT,
                    WallKind::Party => fabric.party,
                    WallKind::Outer => fabric.outer,
                };
                let wall = match open.filter(|w| spans[*w].kind == kind && spans[*w].assembly == assembly) {
                    Some(wall) => {
                        spans[wall].line.hi = pair[1];
                        wall
                    }
                    None => {
                        let line = Shared { along_u, at, lo: pair[0], hi: pair[1] };
                        let zero = Point2::default();
                        // Outer walls keep the outside on their left: settled when they have their length.
                        spans.push(Span {
                            line,
                            kind,
                            assembly,
                            from: zero,
                            to: zero,
                            reversed: before.is_some(),
                            taken: Vec::new(),
                        });
                        spans.len() - 1
                    }
                };
                open = Some(wall);
                for (room, other, room_above) in [(before, after, false), (after, before, true)] {
                    let Some(room) = room else { continue };
                    let joined = edges.iter_mut().rev().take(4).find(|e| {
                        e.wall == wall
                            && e.room == room
                            && e.other == other
                            && e.line.hi == pair[0]
                            && e.room_above == room_above
                    });
                    match joined {
                        Some(edge) => edge.line.hi = pair[1],
                        None => {
                            let line = Shared { along_u, at, lo: pair[0], hi: pair[1] };
                            let half = thickness(assembly) / 2.0;
                            edges.push(Edge { wall, line, room, other, kind, room_above, half });
                        }
                    }
                }
            }
        }
    }
    for span in &mut spans {
        place(frame, span);
    }
    (spans, edges)
}

/// Gives a wall its ends in the plan.
fn place(frame: &Frame, span: &mut Span) {
    let l = span.line;
    let end = |along: i32| {
        let (u, v) = if l.along_u { (along, l.at) } else { (l.at, along) };
        frame.point(f64::from(u), f64::from(v))
    };
    // `reversed` so far says whether the room lies at smaller coordinates, that is, whether the outside is above.
    let outside_above = span.reversed;
    let (a, b) = (end(l.lo), end(l.hi));
    let away = if outside_above { 1.0 } else { -1.0 };
    let (u, v) =
        if l.along_u { (f64::from(l.lo), f64::from(l.at) + away) } else { (f64::from(l.at) + away, f64::from(l.lo)) };
    let out = frame.point(u, v);
    let turn = (b.x - a.x) * (out.y - a.y) - (b.y - a.y) * (out.x - a.x);
    span.reversed = turn < 0.0;
    (span.from, span.to) = if span.reversed { (b, a) } else { (a, b) };
}

impl Span {
    /// Distance of a piece's nearer jamb from `from` [m].
    pub(super) fn along(&self, lo: i32, hi: i32) -> f64 {
        metres(if self.reversed { self.line.hi - hi } else { lo - self.line.lo })
    }
}

/// Which room each cell between the lines belongs to.
struct Grid {
    u: Vec<i32>,
    v: Vec<i32>,
    labels: Vec<Option<usize>>,
}

impl Grid {
    fn new(layout: &Layout) -> Self {
        let mut lines: [BTreeSet<i32>; 2] = [BTreeSet::new(), BTreeSet::new()];
        let rects =
            || layout.hall.iter().map(|r| (0, *r)).chain(layout.rooms.iter().enumerate().map(|(i, r)| (i + 1, r.rect)));
        for (_, r) in rects() {
            lines[0].extend([r.u0, r.u1]);
            lines[1].extend([r.v0, r.v1]);
        }
        let [u, v] = lines.map(|l| l.into_iter().collect::<Vec<_>>());
        let mut labels = vec![None; u.len().saturating_sub(1) * v.len().saturating_sub(1)];
        for (label, r) in rects() {
            for i in 0..u.len().saturating_sub(1) {
                for j in 0..v.len().saturating_sub(1) {
                    if r.u0 <= u[i] && u[i + 1] <= r.u1 && r.v0 <= v[j] && v[j + 1] <= r.v1 {
                        labels[i * (v.len() - 1) + j] = Some(label);
                    }
                }
            }
        }
        Self { u, v, labels }
    }

    /// The room between steps `i` and `i + 1` along the axis and lines `j` and `j + 1` across it; none outside.
    fn label(&self, along_u: bool, i: usize, j: Option<usize>) -> Option<usize> {
        let (i, j) = if along_u { (i, j?) } else { (j?, i) };
        if i + 1 >= self.u.len() || j + 1 >= self.v.len() {
            return None;
        }
        self.labels[i * (self.v.len() - 1) + j]
    }
}
