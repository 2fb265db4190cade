//! One row of receivers and one image: which of them see it through which walls, and what that brings.

use crate::antenna::Mounted;

use super::bounds::Bounds;
use super::chain::Chain;
use super::lanes::{LEVEL, Step, Walls};
use super::level::Levels;
use super::parts::{Part, Span};
use super::shadow::{Rows, Stretch};
use super::stage::{NEW, OLD, Stage};
use super::sum::{Sum, at_least};

/// A path from nearer than this many cells is computed at every point of a cell, others at the centre.
///
/// The gain falls as the square of the distance: 0.02 dB between the mean over 2 × 2 points and the centre at 6 cells.
const NEAR_CELLS: f64 = 6.0;

/// Of what may be neglected the share that one image may take: many weak paths are left out, not one that matters.
const SMALL: f32 = 0.02;

/// A scene whose paths are followed.
#[derive(Clone, Copy)]
pub(super) struct Side {
    /// Its mark.
    pub mark: u8,
    /// One to add what its paths bring, minus one to take it away.
    pub sign: i32,
}

/// To add all that a scene's paths bring.
const WHOLE: &[Side] = &[Side { mark: NEW, sign: 1 }];
/// To take away what paths that a change concerns brought, and to add what they bring.
const CHANGE: &[Side] = &[Side { mark: OLD, sign: -1 }, Side { mark: NEW, sign: 1 }];

const fn sides<const ALONE: bool>() -> &'static [Side] {
    if ALONE { WHOLE } else { CHANGE }
}

/// Everything that rows of a map share.
pub(super) struct World<'a> {
    pub stage: &'a Stage<'a>,
    /// Square of the wavelength over 4π, for each carrier.
    pub spreads: &'a [f64],
    pub rows: Rows,
    /// Points on a line.
    pub count: u32,
    /// Points along a cell's side.
    pub points: usize,
    /// Lower edge of the lowest row of cells.
    pub bottom: f64,
    pub ways: &'a [Levels],
    /// The transmitter's antenna.
    pub mounted: &'a Mounted,
    /// No more than this is its power gain in any direction.
    pub most_gain: f32,
    /// Most mirrors on one path.
    pub order: usize,
    /// Share of a receiver's power that paths left out may have together.
    pub neglect: f32,
}

/// Power in the cells of a row so far: means over their points.
#[derive(Clone, Debug)]
pub(super) struct Powers {
    /// `[carrier][cell]`.
    pub sums: Vec<Vec<Sum>>,
    /// No more than this was left out; empty if nothing may be.
    pub left_out: Vec<Vec<f32>>,
}

impl Powers {
    pub(super) fn new(carriers: usize, cells: usize, leaves_out: bool) -> Self {
        let left_out = if leaves_out { vec![vec![0.0; cells]; carriers] } else { Vec::new() };
        Self { sums: vec![vec![0; cells]; carriers], left_out }
    }
}

/// Memory that rows reuse.
#[derive(Default)]
pub(super) struct Scratch {
    lines: Vec<Line>,
    /// Shadows on each line.
    spans: Vec<Span>,
    /// Where on a line two scenes differ.
    touched: Vec<(u32, u32)>,
    /// Parts of a line for one way in height.
    pub parts: Vec<Part>,
    breaks: Vec<u32>,
    pub stretches: Vec<Stretch>,
    pub on_way: Vec<(f32, Step)>,
    /// Paths through the same things that cells of a row have, with their steps and weights.
    pub groups: Vec<Group>,
    pub steps: Vec<Step>,
    /// How many points of a cell have a path.
    pub counts: Vec<i32>,
    pub factors: Vec<f32>,
    pub starts: Vec<[f32; 3]>,
    pub walls: Walls,
}

/// Cells that have a path through the same things.
#[derive(Clone, Copy, Debug)]
pub(super) struct Group {
    /// Cells.
    pub start: u32,
    pub end: u32,
    pub steps: (usize, usize),
    /// Where the counts of the row's cells start.
    pub counts: usize,
    /// The mark of the scene that they are of, if that makes a difference; else zero.
    pub mark: u8,
}

/// A line of points.
#[derive(Clone, Copy, Debug)]
pub(super) struct Line {
    pub y: f64,
    /// Where the centres of its row of cells are.
    pub middle: f64,
    /// For each side the points that can see the image through all upright mirrors.
    seen: [(u32, u32); 2],
    /// From the first to the last of them.
    pub start: u32,
    pub end: u32,
    /// Which of the row's spans are its.
    spans: (usize, usize),
    /// Whether some path can be so near that every point of a cell is computed.
    is_near: bool,
}

impl World<'_> {
    /// How low and how high paths with a number of upright mirrors come.
    pub(super) fn heights(&self, mirrors: usize) -> (f64, f64) {
        let ways = self.ways.iter().filter(|way| way.order + mirrors <= self.order);
        ways.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), way| (low.min(way.low), high.max(way.high)))
    }

    /// Where a row's line of points is.
    pub(super) fn y(&self, row: usize, line: usize) -> f64 {
        self.bottom + ((row * self.points + line) as f64 + 0.5) * self.rows.step
    }

    /// Where the centres of a row of cells are.
    fn middle(&self, row: usize) -> f64 {
        self.bottom + (row as f64 + 0.5) * self.rows.step * self.points as f64
    }

    /// Adds what an image brings to a row of cells; of two scenes, what differs between them.
    pub(super) fn sweep(&self, chain: &Chain, row: usize, scratch: &mut Scratch, powers: &mut Powers) {
        // Apart, so that one scene alone has no marks to look at.
        if self.stage.all == NEW {
            self.sweep_in::<true>(chain, row, scratch, powers);
        } else {
            self.sweep_in::<false>(chain, row, scratch, powers);
        }
    }

    fn sweep_in<const ALONE: bool>(&self, chain: &Chain, row: usize, scratch: &mut Scratch, powers: &mut Powers) {
        scratch.lines.clear();
        scratch.lines.extend((0..self.points).filter_map(|line| self.seen::<ALONE>(chain, (row, line))));
        let start = scratch.lines.iter().map(|l| l.start).min();
        let end = scratch.lines.iter().map(|l| l.end).max();
        let (Some(start), Some(end)) = (start, end) else { return };
        let middle = self.middle(row);
        scratch.spans.clear();
        for line in &mut scratch.lines {
            let first = scratch.spans.len();
            self.spans(chain, *line, &mut scratch.spans);
            line.spans = (first, scratch.spans.len());
        }
        for way in self.ways {
            if way.order + chain.gates.len() > self.order {
                break;
            }
            if self.neglect > 0.0 && self.is_left_out(chain, way, (row, start, end), powers) {
                continue;
            }
            scratch.groups.clear();
            scratch.steps.clear();
            scratch.counts.clear();
            for line in 0..scratch.lines.len() {
                let mut line = scratch.lines[line];
                line.is_near = self.points > 1
                    && Bounds::of(self, chain, way, (line.y, line.y), (line.start, line.end)).length.0 < self.near();
                self.line::<ALONE>(chain, way, line, scratch, powers);
            }
            self.shine(chain, way, middle, scratch, powers);
        }
    }

    /// True if a change can be on the way to some row's points, or if there is one scene alone.
    pub(super) fn is_touched(&self, chain: &Chain, rows: usize) -> bool {
        let mut lines = (0..rows).flat_map(|row| (0..self.points).map(move |line| (row, line)));
        self.stage.all == NEW
            || self.stage.has_changed_levels
            || lines.any(|(row, line)| self.is_line_touched(chain, (row, line)))
    }

    fn is_line_touched(&self, chain: &Chain, (row, line): (usize, usize)) -> bool {
        chain.is_touched(self.y(row, line), self.middle(row), self.points as u32, self.count)
    }

    /// Points of a line that can see an image through all upright mirrors; of two scenes nothing if no change is on the
    /// way to any.
    #[inline(always)]
    fn seen<const ALONE: bool>(&self, chain: &Chain, (row, line): (usize, usize)) -> Option<Line> {
        if !ALONE && !self.stage.has_changed_levels && !self.is_line_touched(chain, (row, line)) {
            return None;
        }
        let (y, middle) = (self.y(row, line), self.middle(row));
        let mut out = Line { y, middle, seen: [(0, 0); 2], start: u32::MAX, end: 0, spans: (0, 0), is_near: false };
        for (side, seen) in sides::<ALONE>().iter().zip(&mut out.seen) {
            let (mut start, mut end) = (0, self.count);
            for gate in &chain.gates {
                let (mut low, mut high) = (u32::MAX, 0);
                for shadow in gate.iter().filter(|s| ALONE || s.marks & side.mark != 0) {
                    let (from, to) = shadow.stretch(y).samples(self.count);
                    if from < to {
                        low = low.min(from);
                        high = high.max(to);
                    }
                }
                start = start.max(low);
                end = end.min(high);
                if start >= end {
                    break;
                }
            }
            if start < end {
                *seen = (start, end);
                out.start = out.start.min(start);
                out.end = out.end.max(end);
            }
        }
        (out.start < out.end).then_some(out)
    }

    /// Finds the paths to one line of points.
    fn line<const ALONE: bool>(
        &self,
        chain: &Chain,
        way: &Levels,
        line: Line,
        scratch: &mut Scratch,
        powers: &mut Powers,
    ) {
        scratch.parts.clear();
        if !ALONE {
            for shadow in &chain.changed {
                let (from, to) = shadow.stretch(line.y).samples(self.count);
                let (start, end) = (from.max(line.start), to.min(line.end));
                if start < end {
                    self.part(shadow, (start, end), None, way, line.y, &mut scratch.parts);
                }
            }
            if self.stage.has_changed_levels {
                self.level_parts(chain, way, line, scratch);
            }
            self.touched(chain, line, &scratch.parts, &mut scratch.touched);
            scratch.parts.clear();
            if scratch.touched.is_empty() {
                return;
            }
        }
        let Scratch { spans, parts, .. } = scratch;
        for span in spans.get(line.spans.0..line.spans.1).unwrap_or(&[]) {
            let leg = usize::from(span.leg);
            let shadows = if span.is_mirror { chain.gates.get(leg) } else { chain.crossings.get(leg) };
            let Some(shadow) = shadows.and_then(|s| s.get(span.shadow as usize)) else { continue };
            self.part(shadow, (span.start, span.end), span.is_mirror.then_some(span.leg), way, line.y, parts);
        }
        self.level_parts(chain, way, line, scratch);
        for (side, seen) in sides::<ALONE>().iter().zip(line.seen) {
            if seen.0 < seen.1 {
                self.runs::<ALONE>(chain, way, (line, *side, seen), scratch, powers);
            }
        }
    }

    /// Finds one scene's paths to the touched points of a line.
    fn runs<const ALONE: bool>(
        &self,
        chain: &Chain,
        way: &Levels,
        (line, side, seen): (Line, Side, (u32, u32)),
        scratch: &mut Scratch,
        powers: &mut Powers,
    ) {
        let Scratch { parts, breaks, .. } = scratch;
        let is_own = |part: &Part| ALONE || part.marks & side.mark != 0;
        breaks.clear();
        breaks.extend([seen.0, seen.1]);
        for part in parts.iter().filter(|p| is_own(p)) {
            breaks.push(part.start);
            breaks.push(part.end);
        }
        // Where an upright wall and a level thing change their order on the way: they turn the field differently.
        for level in parts.iter().filter(|p| p.step.class == LEVEL && is_own(p)) {
            for part in parts.iter().filter(|p| p.step.class != LEVEL && p.inverse[1] != 0.0 && is_own(p)) {
                let at = (level.inverse[0] - part.inverse[0]) / part.inverse[1];
                let (start, end) = (level.start.max(part.start), level.end.min(part.end));
                if at > start as f32 && at < end as f32 {
                    breaks.push(at as u32 + 1);
                }
            }
        }
        if !ALONE {
            breaks.retain(|&b| b >= seen.0 && b <= seen.1);
        }
        breaks.sort_unstable();
        breaks.dedup();
        for at in 1..scratch.breaks.len() {
            let (from, to) = (scratch.breaks[at - 1], scratch.breaks[at]);
            if ALONE || scratch.touched.iter().any(|t| t.0 <= to && t.1 >= from) {
                self.run::<ALONE>(chain, way, (line, side, from, to), scratch, powers);
            }
        }
    }

    /// Notes a path to points that meet the same things on it.
    fn run<const ALONE: bool>(
        &self,
        chain: &Chain,
        way: &Levels,
        (line, side, from, to): (Line, Side, u32, u32),
        scratch: &mut Scratch,
        powers: &mut Powers,
    ) {
        let middle = 0.5 * (from + to - 1) as f32;
        let Scratch { parts, on_way, .. } = scratch;
        on_way.clear();
        let mut met = 0u32;
        for part in parts.iter() {
            if part.start > from || part.end < to || !ALONE && part.marks & side.mark == 0 {
                continue;
            }
            if let Some(mirror) = part.mirror {
                // Of surfaces that lie on each other the first reflects.
                if met >> mirror & 1 == 1 {
                    continue;
                }
                met |= 1 << mirror;
            }
            on_way.push((part.inverse[0] + part.inverse[1] * middle, part.step));
        }
        if met.count_ones() as usize != chain.gates.len() + way.order {
            return;
        }
        // Few and nearly sorted: insertion is fastest, and stable. One over the place falls along the way.
        for i in 1..on_way.len() {
            let mut j = i;
            while j > 0 && on_way[j].0 > on_way[j - 1].0 {
                on_way.swap(j, j - 1);
                j -= 1;
            }
        }
        let points = self.points as u32;
        let (first, last) = (from / points, (to - 1) / points + 1);
        if line.is_near && Bounds::of(self, chain, way, (line.y, line.y), (from, to)).length.0 < self.near() {
            self.points_alone(chain, way, line.y, (from, to, side), scratch, powers);
            return;
        }
        let Scratch { on_way, groups, steps, counts, .. } = scratch;
        let cells = self.cells();
        // Blocks are no steps: what they let pass is found when the path is followed.
        let mark = if !ALONE && chain.has_changed_blocks() { side.mark } else { 0 };
        let is_same = |group: &Group| {
            let known = steps.get(group.steps.0..group.steps.1).unwrap_or(&[]);
            group.start <= last
                && group.end >= first
                && group.mark == mark
                && known.len() == on_way.len()
                && known.iter().zip(on_way.iter()).all(|(a, (_, b))| a == b)
        };
        let found = groups.iter().position(is_same);
        let group = match found.and_then(|i| groups.get_mut(i)) {
            Some(group) => {
                group.start = group.start.min(first);
                group.end = group.end.max(last);
                *group
            }
            None => {
                let start = steps.len();
                steps.extend(on_way.iter().map(|(_, step)| *step));
                let (steps, counted) = ((start, steps.len()), counts.len());
                let group = Group { start: first, end: last, steps, counts: counted, mark };
                counts.resize(counted + cells, 0);
                groups.push(group);
                group
            }
        };
        if let Some(counts) = counts.get_mut(group.counts..group.counts + cells) {
            for (cell, count) in counts.iter_mut().enumerate().take(last as usize).skip(first as usize) {
                *count += side.sign * self.share(cell, (from, to)) as i32;
            }
        }
    }

    /// True if a block counts for a group or a run with a mark.
    pub(super) fn is_block_of(&self, block: u32, mark: u8) -> bool {
        mark == 0 || self.stage.blocks.get(block as usize).is_some_and(|m| m & mark != 0)
    }

    /// Paths from nearer are computed at every point \[m\].
    fn near(&self) -> f64 {
        NEAR_CELLS * self.rows.step * self.points as f64
    }

    /// How many of a cell's points on a line are in a part of it.
    fn share(&self, cell: usize, (from, to): (u32, u32)) -> u32 {
        let points = self.points as u32;
        let start = cell as u32 * points;
        to.min(start + points) - from.max(start)
    }

    fn cells(&self) -> usize {
        self.count as usize / self.points
    }

    /// True if no path of an image, on one way in height, can matter to a row's cells; they are then counted as left out.
    fn is_left_out(
        &self,
        chain: &Chain,
        way: &Levels,
        (row, start, end): (usize, u32, u32),
        powers: &mut Powers,
    ) -> bool {
        if chain.gates.len() + way.order == 0 {
            return false;
        }
        let points = self.points as u32;
        let cells = (start / points) as usize..((end - 1) / points + 1) as usize;
        // Whole cells, so that their centres are within the bounds too.
        let whole = (start / points * points, (end - 1) / points * points + points);
        let bounds = Bounds::of(self, chain, way, (self.y(row, 0), self.y(row, self.points - 1)), whole);
        let level = bounds.cos(chain, LEVEL);
        let most = |carrier: usize| {
            let peak = |step: Step, (low, high): (f32, f32)| {
                self.stage.columns[carrier].get(step.column as usize).map_or(1.0, |c| c.peak(low, high))
            };
            let mut most = self.most_gain * self.spreads[carrier] as f32 / bounds.nearest2;
            for gate in &chain.gates {
                let peaks = gate.iter().map(|shadow| peak(shadow.step, bounds.cos(chain, shadow.step.class)));
                most *= peaks.fold(0.0, f32::max);
            }
            for (_, layers) in &way.mirrors {
                let peaks = layers.iter().map(|&(layer, answer)| peak(self.layer(layer, answer), level));
                most *= peaks.fold(0.0, f32::max);
            }
            most
        };
        // All carriers or none: they share the work of finding the path.
        let carriers = || powers.sums.iter().zip(&powers.left_out).enumerate();
        let is_small = |(carrier, (sums, left_out)): (usize, (&Vec<Sum>, &Vec<f32>))| {
            let (Some(sums), Some(left_out)) = (sums.get(cells.clone()), left_out.get(cells.clone())) else {
                return false;
            };
            let most = most(carrier);
            let mut powers = sums.iter().map(|&sum| at_least(sum)).zip(left_out);
            powers.all(|(p, l)| most <= self.neglect * SMALL * p && l + most <= self.neglect * p)
        };
        if !carriers().all(is_small) {
            return false;
        }
        for carrier in 0..self.spreads.len() {
            let most = most(carrier);
            let left_out = powers.left_out.get_mut(carrier).and_then(|l| l.get_mut(cells.clone()));
            left_out.into_iter().flatten().for_each(|l| *l += most);
        }
        true
    }
}
