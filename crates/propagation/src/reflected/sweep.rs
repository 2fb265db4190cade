//! One row of receivers and one image: which of them see it through which walls, and what that brings.

use crate::antenna::Mounted;
use crate::scene::Scene;
use crate::wall::Answer;

use super::bounds::Bounds;
use super::chain::{Chain, Rows, Shadow, Stretch};
use super::lanes::{Column, LEVEL, Step, Walls};
use super::level::{self, Layer, Levels};
use super::sheet::{Sheet, Stuff};

/// A path from nearer than this many cells is computed at every point of a cell, others at the centre.
///
/// The gain falls as the square of the distance: 0.02 dB between the mean over 2 × 2 points and the centre at 6 cells.
const NEAR_CELLS: f64 = 6.0;

/// Of what may be neglected the share that one image may take: many weak paths are left out, not one that matters.
const SMALL: f32 = 0.02;

/// Everything that rows of a map share.
pub(super) struct World<'a> {
    pub scene: &'a Scene,
    pub sheets: &'a [Sheet],
    /// `[carrier]`: columns of tables, by [`Self::column`].
    pub columns: &'a [Vec<Column>],
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
    pub power: Vec<Vec<f32>>,
    /// No more than this was left out.
    pub left_out: Vec<Vec<f32>>,
}

impl Powers {
    pub(super) fn new(carriers: usize, cells: usize) -> Self {
        Self { power: vec![vec![0.0; cells]; carriers], left_out: vec![vec![0.0; cells]; carriers] }
    }
}

/// Memory that rows reuse.
#[derive(Default)]
pub(super) struct Scratch {
    lines: Vec<Seen>,
    /// Parts of a line for one way in height.
    parts: Vec<Part>,
    breaks: Vec<u32>,
    stretches: Vec<Stretch>,
    pub on_way: Vec<(f32, Step)>,
    /// Paths through the same things that cells of a row have, with their steps and weights.
    pub groups: Vec<Group>,
    pub steps: Vec<Step>,
    pub weights: Vec<f32>,
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
    /// Where the weights of the row's cells start.
    pub weights: usize,
}

/// Part of a line in a wall's shadow, whatever the heights.
#[derive(Clone, Copy, Debug)]
struct Span<'a> {
    start: u32,
    end: u32,
    shadow: &'a Shadow,
    /// Which mirror, if it is one.
    mirror: Option<u8>,
}

/// Part of a line that meets something.
#[derive(Clone, Copy, Debug)]
struct Part {
    start: u32,
    end: u32,
    step: Step,
    /// One over its place on the way, at the line's point 0 and from point to point.
    inverse: [f32; 2],
    /// Which mirror it is, upright ones first; none for a crossing.
    mirror: Option<u8>,
}

/// Points of a line that can see an image through all upright mirrors.
#[derive(Clone, Copy, Debug)]
struct Seen {
    y: f64,
    start: u32,
    end: u32,
    /// Whether some path can be so near that every point of a cell is computed.
    is_near: bool,
}

impl World<'_> {
    /// Which column of the tables an answer is in.
    pub(super) fn column(&self, stuff: Stuff, answer: Answer) -> u32 {
        let kind = match answer {
            Answer::Through => 0,
            Answer::BackFromFirst => 1,
            Answer::BackFromLast => 2,
        };
        let assemblies = self.scene.names.assemblies.len();
        match stuff {
            Stuff::Assembly(index) => (index as usize * 3 + kind) as u32,
            Stuff::Block(index) => (assemblies * 3 + index as usize) as u32,
        }
    }

    /// How low and how high paths with a number of upright mirrors come.
    pub(super) fn heights(&self, mirrors: usize) -> (f64, f64) {
        let ways = self.ways.iter().filter(|way| way.order + mirrors <= self.order);
        ways.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), way| (low.min(way.low), high.max(way.high)))
    }

    fn layer(&self, layer: Layer, answer: Answer) -> Step {
        let stuff = match layer {
            Layer::Deck(index) => {
                let deck = self.scene.geometry.decks.get(index as usize);
                Stuff::Assembly(deck.map_or(u32::MAX, |d| d.assembly))
            }
            Layer::Lid(index) => Stuff::Block(index),
        };
        Step { column: self.column(stuff, answer), class: LEVEL }
    }

    /// Adds what an image brings to a row of cells.
    pub(super) fn sweep(&self, chain: &Chain, row: usize, scratch: &mut Scratch, powers: &mut Powers) {
        scratch.lines.clear();
        for line in 0..self.points {
            let y = self.bottom + ((row * self.points + line) as f64 + 0.5) * self.rows.step;
            scratch.lines.extend(self.seen(chain, y));
        }
        let start = scratch.lines.iter().map(|l| l.start).min();
        let end = scratch.lines.iter().map(|l| l.end).max();
        let (Some(start), Some(end)) = (start, end) else { return };
        let middle = self.bottom + (row as f64 + 0.5) * self.rows.step * self.points as f64;
        for way in self.ways {
            if way.order + chain.gates.len() > self.order {
                break;
            }
            if self.is_left_out(chain, way, (row, start, end), powers) {
                continue;
            }
            scratch.groups.clear();
            scratch.steps.clear();
            scratch.weights.clear();
            for line in 0..scratch.lines.len() {
                let mut seen = scratch.lines[line];
                seen.is_near = self.points > 1
                    && Bounds::of(self, chain, way, (seen.y, seen.y), (seen.start, seen.end)).length.0 < self.near();
                self.line(chain, way, seen, scratch, powers);
            }
            self.shine(chain, way, middle, scratch, powers);
        }
    }

    /// Points of a line that can see an image through all upright mirrors.
    fn seen(&self, chain: &Chain, y: f64) -> Option<Seen> {
        let (mut start, mut end) = (0, self.count);
        for gate in &chain.gates {
            let (mut low, mut high) = (u32::MAX, 0);
            for shadow in gate {
                let (from, to) = shadow.stretch(y).samples(self.count);
                if from < to {
                    low = low.min(from);
                    high = high.max(to);
                }
            }
            start = start.max(low);
            end = end.min(high);
            if start >= end {
                return None;
            }
        }
        Some(Seen { y, start, end, is_near: false })
    }

    /// Finds the paths to one line of points.
    fn line(&self, chain: &Chain, way: &Levels, seen: Seen, scratch: &mut Scratch, powers: &mut Powers) {
        scratch.parts.clear();
        for (leg, crossings) in chain.crossings.iter().enumerate() {
            let gate = chain.gates.get(leg).into_iter().flatten();
            let shadows = crossings.iter().map(|s| (s, None)).chain(gate.map(|s| (s, Some(leg as u8))));
            for (shadow, mirror) in shadows {
                let (from, to) = shadow.stretch(seen.y).samples(self.count);
                let (start, end) = (from.max(seen.start), to.min(seen.end));
                if start < end {
                    self.part(Span { start, end, shadow, mirror }, way, seen, &mut scratch.parts);
                }
            }
        }
        self.level_parts(chain, way, seen, scratch);
        scratch.breaks.clear();
        scratch.breaks.extend([seen.start, seen.end]);
        scratch.breaks.extend(scratch.parts.iter().flat_map(|p| [p.start, p.end]));
        // Where an upright wall and a level thing change their order on the way: they turn the field differently.
        let places = way.mirrors.iter().map(|(place, _)| *place).chain(way.passed.iter().map(|(place, _)| *place));
        for inverse in places.map(|place| (1.0 / place) as f32) {
            for part in scratch.parts.iter().filter(|p| p.inverse[1] != 0.0) {
                let at = (inverse - part.inverse[0]) / part.inverse[1];
                if at > part.start as f32 && at < part.end as f32 {
                    scratch.breaks.push(at as u32 + 1);
                }
            }
        }
        scratch.breaks.sort_unstable();
        scratch.breaks.dedup();
        for at in 1..scratch.breaks.len() {
            let (from, to) = (scratch.breaks[at - 1], scratch.breaks[at]);
            self.run(chain, way, (seen, from, to), scratch, powers);
        }
    }

    /// Of a line in an upright wall's shadow the parts whose paths have the wall's height there.
    fn part(&self, span: Span<'_>, way: &Levels, seen: Seen, parts: &mut Vec<Part>) {
        let Span { start, end, shadow, mirror } = span;
        let Some(sheet) = self.sheets.get(shadow.sheet as usize) else { return };
        let (step, inverse) = (shadow.step, shadow.inverse.on_line(seen.y));
        if way.is_covered(sheet) {
            parts.push(Part { start, end, step, inverse, mirror });
            return;
        }
        let base = shadow.stretch(seen.y);
        for (a, b) in way.within(sheet.z0, sheet.z1) {
            // The place on the way is from a to below b: one over it from above 1/b to 1/a.
            let mut part = base;
            if b < 1.0 {
                part = part.and(shadow.inverse.stretch(seen.y, 1.0 / b, true));
            }
            if a > 0.0 {
                part = part.and(shadow.inverse.stretch(seen.y, 1.0 / a, false));
            }
            let (from, to) = part.samples(self.count);
            let (start, end) = (from.max(start), to.min(end));
            if start < end {
                parts.push(Part { start, end, step, inverse, mirror });
            }
        }
    }

    /// Level mirrors and decks in the way, and where along the line.
    fn level_parts(&self, chain: &Chain, way: &Levels, seen: Seen, scratch: &mut Scratch) {
        let gates = chain.gates.len();
        let mirrors = way.mirrors.iter().enumerate().flat_map(|(index, (place, layers))| {
            layers.iter().map(move |&(layer, answer)| (*place, layer, answer, Some((gates + index) as u8)))
        });
        let passed = way.passed.iter().map(|&(place, deck)| (place, Layer::Deck(deck), Answer::Through, None));
        let Scratch { parts, stretches, .. } = scratch;
        for (place, layer, answer, mirror) in mirrors.chain(passed) {
            stretches.clear();
            level::stretches(&self.scene.geometry, layer, chain, self.rows, (seen.y, place), stretches);
            for stretch in stretches.iter() {
                let (from, to) = stretch.samples(self.count);
                let (start, end) = (from.max(seen.start), to.min(seen.end));
                if start < end {
                    let inverse = [(1.0 / place) as f32, 0.0];
                    parts.push(Part { start, end, step: self.layer(layer, answer), inverse, mirror });
                }
            }
        }
    }

    /// Notes a path to points that meet the same things on it.
    fn run(
        &self,
        chain: &Chain,
        way: &Levels,
        (seen, from, to): (Seen, u32, u32),
        scratch: &mut Scratch,
        powers: &mut Powers,
    ) {
        let middle = 0.5 * (from + to - 1) as f32;
        let Scratch { parts, on_way, .. } = scratch;
        on_way.clear();
        let mut met = 0u32;
        for part in parts.iter() {
            if part.start > from || part.end < to {
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
        if seen.is_near && Bounds::of(self, chain, way, (seen.y, seen.y), (from, to)).length.0 < self.near() {
            self.points_alone(chain, way, seen.y, (from, to), scratch, powers);
            return;
        }
        let Scratch { on_way, groups, steps, weights, .. } = scratch;
        let cells = self.cells();
        let is_same = |group: &Group| {
            let known = steps.get(group.steps.0..group.steps.1).unwrap_or(&[]);
            group.start <= last
                && group.end >= first
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
                let group = Group { start: first, end: last, steps: (start, steps.len()), weights: weights.len() };
                weights.resize(weights.len() + cells, 0.0);
                groups.push(group);
                group
            }
        };
        let per_point = 1.0 / (self.points * self.points) as f32;
        if let Some(weights) = weights.get_mut(group.weights..group.weights + cells) {
            for (cell, weight) in weights.iter_mut().enumerate().take(last as usize).skip(first as usize) {
                *weight += per_point * self.share(cell, (from, to)) as f32;
            }
        }
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
        if chain.gates.len() + way.order == 0 || self.neglect == 0.0 {
            return false;
        }
        let points = self.points as u32;
        let cells = (start / points) as usize..((end - 1) / points + 1) as usize;
        let line = |line: usize| self.bottom + ((row * self.points + line) as f64 + 0.5) * self.rows.step;
        // Whole cells, so that their centres are within the bounds too.
        let whole = (start / points * points, (end - 1) / points * points + points);
        let bounds = Bounds::of(self, chain, way, (line(0), line(self.points - 1)), whole);
        let level = bounds.cos(chain, LEVEL);
        let most = |carrier: usize| {
            let peak = |step: Step, (low, high): (f32, f32)| {
                self.columns[carrier].get(step.column as usize).map_or(1.0, |c| c.peak(low, high))
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
        let carriers = || powers.power.iter().zip(&powers.left_out).enumerate();
        let is_small = |(carrier, (power, left_out)): (usize, (&Vec<f32>, &Vec<f32>))| {
            let (Some(power), Some(left_out)) = (power.get(cells.clone()), left_out.get(cells.clone())) else {
                return false;
            };
            let most = most(carrier);
            power.iter().zip(left_out).all(|(p, l)| most <= self.neglect * SMALL * p && l + most <= self.neglect * p)
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
