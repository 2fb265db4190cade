//! One row of receivers and one image: which of them see it through which walls, and what that brings.

use crate::scene::Scene;
use crate::wall::Answer;

use super::chain::{Chain, Plan, Rows, Shadow, Stretch};
use super::lanes::{self, Column, LEVEL, Step, View, Walls};
use super::level::{self, Layer, Levels};
use super::sheet::{Sheet, Stuff};

/// A path from nearer than this many cells is computed at every point of a cell, others at the centre.
///
/// The gain falls as the square of the distance: 0.02 dB between the mean over 2 × 2 points and the centre at 6 cells.
const NEAR_CELLS: f64 = 6.0;

/// Directions of normals whose bounds are kept at hand.
const FEW: usize = 4;

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
    /// Parts of a line in a wall's shadow, whatever the heights.
    spans: Vec<Span>,
    /// Parts of a line for one way in height.
    parts: Vec<Part>,
    breaks: Vec<u32>,
    stretches: Vec<Stretch>,
    on_way: Vec<(f32, Step)>,
    /// Paths through the same things that cells of a row have, with their steps and weights.
    groups: Vec<Group>,
    steps: Vec<Step>,
    weights: Vec<f32>,
    factors: Vec<f32>,
    walls: Walls,
}

/// Cells that have a path through the same things.
#[derive(Clone, Copy, Debug)]
struct Group {
    /// Cells.
    start: u32,
    end: u32,
    steps: (usize, usize),
    /// Where the weights of the row's cells start.
    weights: usize,
}

#[derive(Clone, Copy, Debug)]
struct Span {
    start: u32,
    end: u32,
    /// Number of the crossing, or of the gate's sheet.
    index: u32,
    /// Which mirror, if it is one.
    gate: Option<u8>,
}

/// What happens where on the way.
#[derive(Clone, Copy, Debug)]
enum Place {
    /// One over its place is linear in the receiver; the number of the shadow, and of its gate.
    Shadow(u32, Option<u8>),
    /// One over its place, the same for all.
    At(f32),
}

#[derive(Clone, Copy, Debug)]
struct Part {
    start: u32,
    end: u32,
    step: Step,
    place: Place,
    /// Which mirror it is, upright ones first; none for a crossing.
    mirror: Option<u8>,
}

impl World<'_> {
    /// Which column of the tables an answer is in.
    fn column(&self, stuff: Stuff, answer: Answer) -> u16 {
        let kind = match answer {
            Answer::Through => 0,
            Answer::BackFromFirst => 1,
            Answer::BackFromLast => 2,
        };
        let assemblies = self.scene.names.assemblies.len();
        match stuff {
            Stuff::Assembly(index) => (index as usize * 3 + kind) as u16,
            Stuff::Block(index) => (assemblies * 3 + index as usize) as u16,
        }
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
        for way in self.ways {
            if way.order + chain.gates.len() > self.order {
                break;
            }
            scratch.groups.clear();
            scratch.steps.clear();
            scratch.weights.clear();
            for line in 0..self.points {
                let y = self.bottom + ((row * self.points + line) as f64 + 0.5) * self.rows.step;
                self.line(chain, way, y, scratch, powers);
            }
            let y = self.bottom + (row as f64 + 0.5) * self.rows.step * self.points as f64;
            self.shine(chain, way, y, scratch, powers);
        }
    }

    /// Finds the paths to one line of points.
    fn line(&self, chain: &Chain, way: &Levels, y: f64, scratch: &mut Scratch, powers: &mut Powers) {
        // Points that can see the image through all mirrors.
        let (mut start, mut end) = (0, self.count);
        scratch.spans.clear();
        for (gate, sheets) in chain.gates.iter().enumerate() {
            let (mut low, mut high) = (u32::MAX, 0);
            for (index, (shadow, _)) in sheets.iter().enumerate() {
                let (from, to) = shadow.stretch(y).samples(self.count);
                if from < to {
                    low = low.min(from);
                    high = high.max(to);
                    let span = Span { start: from, end: to, index: index as u32, gate: Some(gate as u8) };
                    scratch.spans.push(span);
                }
            }
            start = start.max(low);
            end = end.min(high);
            if start >= end {
                return;
            }
        }
        if self.is_too_weak(chain, way, y, (start, end), powers) {
            return;
        }
        for (index, shadow) in chain.crossings.iter().enumerate() {
            let (from, to) = shadow.stretch(y).samples(self.count);
            if from < end && to > start && from < to {
                scratch.spans.push(Span { start: from, end: to, index: index as u32, gate: None });
            }
        }
        self.parts(chain, way, y, (start, end), scratch);
        scratch.breaks.clear();
        scratch.breaks.extend([start, end]);
        scratch.breaks.extend(scratch.parts.iter().flat_map(|p| [p.start, p.end]));
        scratch.breaks.sort_unstable();
        scratch.breaks.dedup();
        for at in 1..scratch.breaks.len() {
            let (from, to) = (scratch.breaks[at - 1], scratch.breaks[at]);
            self.run(chain, way, y, (from, to), scratch, powers);
        }
    }

    /// What is met on one way in height, and where along the line.
    fn parts(&self, chain: &Chain, way: &Levels, y: f64, (start, end): (u32, u32), scratch: &mut Scratch) {
        let gates = chain.gates.len();
        let Scratch { spans, parts, stretches, .. } = scratch;
        parts.clear();
        for span in spans.iter() {
            let found = match span.gate {
                Some(gate) => {
                    chain.gates.get(usize::from(gate)).and_then(|g| g.get(span.index as usize)).map(|(s, a)| (s, *a))
                }
                None => chain.crossings.get(span.index as usize).map(|s| (s, Answer::Through)),
            };
            let Some((shadow, answer)) = found else { continue };
            let Some(sheet) = self.sheets.get(shadow.sheet as usize) else { continue };
            let step = Step { column: self.column(sheet.stuff, answer), class: shadow.class };
            let place = Place::Shadow(span.index, span.gate);
            let mut push = |(from, to): (u32, u32)| {
                let (from, to) = (from.max(start), to.min(end));
                if from < to {
                    parts.push(Part { start: from, end: to, step, place, mirror: span.gate });
                }
            };
            if way.is_covered(sheet) {
                push((span.start, span.end));
                continue;
            }
            let base = shadow.stretch(y);
            for (a, b) in way.within(sheet.z0, sheet.z1) {
                // The place on the way is from a to below b: one over it from above 1/b to 1/a.
                let mut part = base;
                if b < 1.0 {
                    part = part.and(shadow.inverse.stretch(y, 1.0 / b, true));
                }
                if a > 0.0 {
                    part = part.and(shadow.inverse.stretch(y, 1.0 / a, false));
                }
                push(part.samples(self.count));
            }
        }
        let geometry = &self.scene.geometry;
        let mirrors = way.mirrors.iter().enumerate().flat_map(|(index, (place, layers))| {
            layers.iter().map(move |&(layer, answer)| (*place, layer, answer, Some((gates + index) as u8)))
        });
        let passed = way.passed.iter().map(|&(place, deck)| (place, Layer::Deck(deck), Answer::Through, None));
        for (place, layer, answer, mirror) in mirrors.chain(passed) {
            stretches.clear();
            level::stretches(geometry, layer, chain, self.rows, (y, place), stretches);
            for stretch in stretches.iter() {
                let (from, to) = stretch.samples(self.count);
                let (from, to) = (from.max(start), to.min(end));
                if from < to {
                    let step = self.layer(layer, answer);
                    parts.push(Part { start: from, end: to, step, place: Place::At((1.0 / place) as f32), mirror });
                }
            }
        }
    }

    /// Notes a path to points that meet the same things on it, or leaves it out.
    fn run(
        &self,
        chain: &Chain,
        way: &Levels,
        y: f64,
        (from, to): (u32, u32),
        scratch: &mut Scratch,
        powers: &mut Powers,
    ) {
        let mirrors = chain.gates.len() + way.order;
        let middle = 0.5 * f64::from(from + to - 1);
        let Scratch { parts, on_way, .. } = scratch;
        on_way.clear();
        let mut met = 0u32;
        for part in parts.iter().filter(|p| p.start <= from && p.end >= to) {
            if let Some(mirror) = part.mirror {
                // Of surfaces that lie on each other the first reflects.
                if met >> mirror & 1 == 1 {
                    continue;
                }
                met |= 1 << mirror;
            }
            let place = match part.place {
                Place::At(place) => place,
                Place::Shadow(index, gate) => {
                    let shadow: Option<&Shadow> = match gate {
                        Some(gate) => {
                            chain.gates.get(usize::from(gate)).and_then(|g| g.get(index as usize)).map(|g| &g.0)
                        }
                        None => chain.crossings.get(index as usize),
                    };
                    shadow.map_or(1.0, |s| s.inverse.at(middle, y) as f32)
                }
            };
            on_way.push((place, part.step));
        }
        if met.count_ones() as usize != mirrors {
            return;
        }
        let bounds = Bounds::of(self, chain, way, y, (from, to));
        let per_point = 1.0 / (self.points * self.points) as f32;
        if mirrors > 0 && self.is_left_out(chain, &bounds, (from, to), on_way, powers) {
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
        let near = NEAR_CELLS * self.rows.step * self.points as f64;
        if self.points > 1 && bounds.length.0 < near {
            self.points_alone(chain, way, y, (from, to), scratch, powers);
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
        if let Some(weights) = weights.get_mut(group.weights..group.weights + cells) {
            for (cell, weight) in weights.iter_mut().enumerate().take(last as usize).skip(first as usize) {
                *weight += per_point * self.share(cell, (from, to)) as f32;
            }
        }
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

    /// Adds a path so near that it is not the same at all points of a cell.
    fn points_alone(
        &self,
        chain: &Chain,
        way: &Levels,
        y: f64,
        (from, to): (u32, u32),
        scratch: &mut Scratch,
        powers: &mut Powers,
    ) {
        let steps: Vec<Step> = scratch.on_way.iter().map(|(_, step)| *step).collect();
        let per_point = 1.0 / (self.points * self.points) as f32;
        for carrier in 0..self.spreads.len() {
            let view = self.view(chain, way, y, carrier, (self.rows.first, self.rows.step));
            scratch.factors.clear();
            scratch.factors.resize((to - from) as usize, per_point);
            self.blocks(chain, way, y, (self.rows, from), carrier, &mut scratch.factors);
            let mut power = vec![0.0; (to - from) as usize];
            let weights = (from, &scratch.factors[..]);
            lanes::add(&view, &chain.normals, &self.columns[carrier], &steps, weights, &mut scratch.walls, &mut power);
            for (point, power) in (from as usize..).zip(power) {
                if let Some(cell) = powers.power.get_mut(carrier).and_then(|p| p.get_mut(point / self.points)) {
                    *cell += power;
                }
            }
        }
    }

    /// Adds the paths of a row's cells, each taken at the cells' centres and weighed by the points that have it.
    fn shine(&self, chain: &Chain, way: &Levels, y: f64, scratch: &mut Scratch, powers: &mut Powers) {
        let step = self.rows.step * self.points as f64;
        let rows = Rows { first: self.rows.first + 0.5 * (step - self.rows.step), step };
        let Scratch { groups, steps, weights, factors, walls, .. } = scratch;
        for group in groups.iter() {
            let range = group.start as usize..group.end as usize;
            let weights = weights.get(group.weights..).and_then(|w| w.get(range.clone()));
            let steps = steps.get(group.steps.0..group.steps.1);
            let (Some(weights), Some(steps)) = (weights, steps) else { continue };
            for (carrier, power) in powers.power.iter_mut().enumerate() {
                let Some(power) = power.get_mut(range.clone()) else { continue };
                let view = self.view(chain, way, y, carrier, (rows.first, rows.step));
                let mut weights = (group.start, weights);
                if !self.scene.geometry.blocks.is_empty() {
                    factors.clear();
                    factors.extend_from_slice(weights.1);
                    self.blocks(chain, way, y, (rows, group.start), carrier, factors);
                    weights.1 = factors;
                }
                lanes::add(&view, &chain.normals, &self.columns[carrier], steps, weights, walls, power);
            }
        }
    }

    /// True if a path cannot matter to the cells of a part of a line; it is then counted as left out.
    fn is_left_out(
        &self,
        chain: &Chain,
        bounds: &Bounds,
        (from, to): (u32, u32),
        on_way: &[(f32, Step)],
        powers: &mut Powers,
    ) -> bool {
        let points = self.points as u32;
        let cells = (from / points) as usize..((to - 1) / points + 1) as usize;
        let per_line = 1.0 / self.points as f32;
        let classes = bounds.classes(chain);
        let most = |columns: &[Column], spread: f64| {
            let mut most = per_line * spread as f32 / bounds.nearest2;
            for (_, step) in on_way {
                let (low, high) = classes.get(usize::from(step.class)).copied().unwrap_or_else(|| bounds.cos(chain, step.class));
                most *= columns.get(usize::from(step.column)).map_or(1.0, |c| c.peak(low, high));
            }
            most
        };
        let of_carrier = |carrier: usize, powers: &Powers| {
            let most = most(&self.columns[carrier], self.spreads[carrier]);
            let of = powers.power.get(carrier).zip(powers.left_out.get(carrier));
            let (power, left_out) = of.and_then(|(p, l)| p.get(cells.clone()).zip(l.get(cells.clone())))?;
            is_small(self.neglect, most, power, left_out).then_some(most)
        };
        // All carriers or none: they share the work of finding the path.
        if !(0..self.spreads.len()).all(|carrier| of_carrier(carrier, powers).is_some()) {
            return false;
        }
        for carrier in 0..self.spreads.len() {
            let Some(most) = of_carrier(carrier, powers) else { continue };
            let left_out = powers.left_out.get_mut(carrier).and_then(|l| l.get_mut(cells.clone()));
            left_out.into_iter().flatten().for_each(|l| *l += most);
        }
        true
    }

    fn view(&self, chain: &Chain, way: &Levels, y: f64, carrier: usize, (first, step): (f64, f64)) -> View {
        View {
            x: (first - chain.image[0]) as f32,
            step: step as f32,
            y: (y - chain.image[1]) as f32,
            rise: way.rise as f32,
            spread: self.spreads[carrier] as f32,
        }
    }

    /// Multiplies factors, one for each receiver from a first one on, by what blocks in the way let pass.
    fn blocks(
        &self,
        chain: &Chain,
        way: &Levels,
        y: f64,
        (rows, from): (Rows, u32),
        carrier: usize,
        factors: &mut [f32],
    ) {
        for (factor, receiver) in factors.iter_mut().zip(from..) {
            let u = f64::from(receiver);
            let dx = rows.first + u * rows.step - chain.image[0];
            let dy = y - chain.image[1];
            let length = (dx * dx + dy * dy + way.rise * way.rise).sqrt();
            // The mirrors' places are linear in the map's own points.
            let own = (rows.first + u * rows.step - self.rows.first) / self.rows.step;
            for block in 0..self.scene.geometry.blocks.len() as u32 {
                level::chords(&self.scene.geometry, block, (chain, way), self.rows, (own, y), length, |chord| {
                    if chord >= crate::paths::SHORTEST_CHORD {
                        *factor *= self.scene.through_block(block, carrier, chord) as f32;
                    }
                });
            }
        }
    }

    /// True if no path of an image can matter to a part of a line; it is then counted as left out.
    fn is_too_weak(&self, chain: &Chain, way: &Levels, y: f64, (start, end): (u32, u32), powers: &mut Powers) -> bool {
        let points = self.points as u32;
        let range = (start / points) as usize..((end - 1) / points + 1) as usize;
        let per_line = 1.0 / self.points as f32;
        let bounds = Bounds::of(self, chain, way, y, (start, end));
        let mut is_weak = true;
        let mut most = [0.0f32; 16];
        if self.spreads.len() > most.len() || chain.gates.len() + way.order == 0 {
            return false;
        }
        for (carrier, most) in most.iter_mut().enumerate().take(self.spreads.len()) {
            *most = per_line * self.spreads[carrier] as f32 / bounds.nearest2;
            for gate in &chain.gates {
                let peaks = gate.iter().filter_map(|(shadow, answer)| {
                    let sheet = self.sheets.get(shadow.sheet as usize)?;
                    let (low, high) = bounds.cos(chain, shadow.class);
                    self.columns[carrier].get(usize::from(self.column(sheet.stuff, *answer))).map(|c| c.peak(low, high))
                });
                *most *= peaks.fold(0.0, f32::max);
            }
            let (low, high) = bounds.cos(chain, LEVEL);
            for (_, layers) in &way.mirrors {
                let peaks = layers.iter().filter_map(|&(layer, answer)| {
                    let column = usize::from(self.layer(layer, answer).column);
                    self.columns[carrier].get(column).map(|c| c.peak(low, high))
                });
                *most *= peaks.fold(0.0, f32::max);
            }
            let (Some(power), Some(left_out)) = (powers.power.get(carrier), powers.left_out.get(carrier)) else {
                return false;
            };
            is_weak &= is_small(self.neglect, *most, &power[range.clone()], &left_out[range.clone()]);
        }
        if is_weak {
            for (left_out, most) in powers.left_out.iter_mut().zip(most) {
                left_out[range.clone()].iter_mut().for_each(|l| *l += most);
            }
        }
        is_weak
    }
}

/// True if leaving out `most` more keeps all receivers within what may be neglected.
fn is_small(neglect: f32, most: f32, power: &[f32], left_out: &[f32]) -> bool {
    power.iter().zip(left_out).all(|(p, l)| l + most <= neglect * p)
}

/// Nearest distance and ranges of angles for a part of a row.
struct Bounds {
    /// Square of the least length \[m²\].
    nearest2: f32,
    /// Least and largest length \[m\].
    length: (f64, f64),
    rise: f64,
    ends: [Plan; 2],
}

impl Bounds {
    fn of(world: &World<'_>, chain: &Chain, way: &Levels, y: f64, (from, to): (u32, u32)) -> Self {
        let at = |sample: u32| world.rows.first + f64::from(sample) * world.rows.step - chain.image[0];
        let dy = y - chain.image[1];
        let (a, b) = (at(from), at(to.max(1) - 1));
        let nearest = if a * b <= 0.0 { 0.0 } else { a.abs().min(b.abs()) };
        let farthest = a.abs().max(b.abs());
        let rest = dy * dy + way.rise * way.rise;
        let near2 = nearest * nearest + rest;
        Self {
            nearest2: near2.max(crate::MIN_DISTANCE * crate::MIN_DISTANCE) as f32,
            length: (near2.sqrt(), (farthest * farthest + rest).sqrt()),
            rise: way.rise,
            ends: [[a, dy], [b, dy]],
        }
    }

    /// [`Self::cos`] for the first directions.
    fn classes(&self, chain: &Chain) -> [(f32, f32); FEW] {
        std::array::from_fn(|class| self.cos(chain, class as u8))
    }

    /// Least and largest cosine of the angle of incidence.
    fn cos(&self, chain: &Chain, class: u8) -> (f32, f32) {
        let (near, far) = self.length;
        let (low, high) = match chain.normals.get(usize::from(class)) {
            None => (self.rise, self.rise),
            Some(n) => {
                let along = |p: Plan| f64::from(n[0]) * p[0] + f64::from(n[1]) * p[1];
                let (a, b) = (along(self.ends[0]), along(self.ends[1]));
                let low = if a * b <= 0.0 { 0.0 } else { a.abs().min(b.abs()) };
                (low, a.abs().max(b.abs()))
            }
        };
        ((low / far.max(1e-9)) as f32, (high / near.max(1e-9)).min(1.0) as f32)
    }
}
