//! One row of receivers and one image: which of them see it through which walls, and what that brings.

use crate::scene::Scene;
use crate::wall::Answer;

use super::chain::{Chain, Plan, Rows, Shadow, Stretch};
use super::lanes::{self, Column, LEVEL, Step, View};
use super::level::{self, Layer, Levels};
use super::sheet::{Sheet, Stuff};

/// Everything that rows of a map share.
pub(super) struct World<'a> {
    pub scene: &'a Scene,
    pub sheets: &'a [Sheet],
    /// `[carrier]`: columns of tables, by [`Self::column`].
    pub columns: &'a [Vec<Column>],
    /// Square of the wavelength over 4π, for each carrier.
    pub spreads: &'a [f64],
    pub rows: Rows,
    /// Receivers in a row.
    pub count: u32,
    pub ways: &'a [Levels],
    /// Most mirrors on one path.
    pub order: usize,
    /// Share of a receiver's power that paths left out may have together.
    pub neglect: f32,
}

/// Power at the receivers of a row so far.
#[derive(Clone, Debug)]
pub(super) struct Powers {
    /// `[carrier][receiver]`.
    pub power: Vec<Vec<f32>>,
    /// No more than this was left out.
    pub left_out: Vec<Vec<f32>>,
}

impl Powers {
    pub(super) fn new(carriers: usize, count: usize) -> Self {
        Self { power: vec![vec![0.0; count]; carriers], left_out: vec![vec![0.0; count]; carriers] }
    }
}

/// Memory that rows reuse.
#[derive(Default)]
pub(super) struct Scratch {
    /// Parts of the row in a wall's shadow, whatever the heights.
    spans: Vec<Span>,
    /// Parts of the row for one way in height.
    parts: Vec<Part>,
    breaks: Vec<u32>,
    stretches: Vec<Stretch>,
    on_way: Vec<(f32, Step)>,
    steps: Vec<Step>,
    factors: Vec<f32>,
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
    /// Linear in the receiver; the number of the shadow, and of its gate.
    Shadow(u32, Option<u8>),
    /// The same for all.
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

    /// Adds what an image brings to a row.
    pub(super) fn sweep(&self, chain: &Chain, y: f64, scratch: &mut Scratch, powers: &mut Powers) {
        // Receivers that can see the image through all mirrors.
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
        for (index, shadow) in chain.crossings.iter().enumerate() {
            let (from, to) = shadow.stretch(y).samples(self.count);
            if from < end && to > start && from < to {
                scratch.spans.push(Span { start: from, end: to, index: index as u32, gate: None });
            }
        }
        for way in self.ways {
            if way.order + chain.gates.len() > self.order {
                break;
            }
            self.way(chain, way, y, (start, end), scratch, powers);
        }
    }

    /// Adds what one way in height brings.
    fn way(
        &self,
        chain: &Chain,
        way: &Levels,
        y: f64,
        (start, end): (u32, u32),
        scratch: &mut Scratch,
        powers: &mut Powers,
    ) {
        let gates = chain.gates.len();
        if self.is_too_weak(chain, way, y, (start, end), powers) {
            return;
        }
        let Scratch { spans, parts, stretches, breaks, .. } = scratch;
        parts.clear();
        for span in spans.iter() {
            let (shadow, answer) = match span.gate {
                Some(gate) => match chain.gates.get(usize::from(gate)).and_then(|g| g.get(span.index as usize)) {
                    Some((shadow, answer)) => (shadow, *answer),
                    None => continue,
                },
                None => match chain.crossings.get(span.index as usize) {
                    Some(shadow) => (shadow, Answer::Through),
                    None => continue,
                },
            };
            let Some(sheet) = self.sheets.get(shadow.sheet as usize) else { continue };
            let step = Step { column: self.column(sheet.stuff, answer), class: shadow.class };
            let place = Place::Shadow(span.index, span.gate);
            let mut push = |from: u32, to: u32| {
                let (from, to) = (from.max(start), to.min(end));
                if from < to {
                    parts.push(Part { start: from, end: to, step, place, mirror: span.gate });
                }
            };
            if way.is_covered(sheet) {
                push(span.start, span.end);
            } else {
                let base = shadow.stretch(y);
                for (a, b) in way.within(sheet.z0, sheet.z1) {
                    // The place on the way is from a to below b: 1/place from above 1/b to 1/a.
                    let mut part = base;
                    if b < 1.0 {
                        part = part.and(shadow.inverse.stretch(y, 1.0 / b, true));
                    }
                    if a > 0.0 {
                        part = part.and(shadow.inverse.stretch(y, 1.0 / a, false));
                    }
                    let (from, to) = part.samples(self.count);
                    push(from, to);
                }
            }
        }
        let geometry = &self.scene.geometry;
        for (index, (place, layers)) in way.mirrors.iter().enumerate() {
            let mirror = Some((gates + index) as u8);
            let mut is_any = false;
            for &(layer, answer) in layers {
                stretches.clear();
                level::stretches(geometry, layer, chain, self.rows, (y, *place), stretches);
                for stretch in stretches.iter() {
                    let (from, to) = stretch.samples(self.count);
                    let (from, to) = (from.max(start), to.min(end));
                    if from < to {
                        is_any = true;
                        let step = self.layer(layer, answer);
                        parts.push(Part { start: from, end: to, step, place: Place::At(*place as f32), mirror });
                    }
                }
            }
            if !is_any {
                return;
            }
        }
        for &(place, deck) in &way.passed {
            stretches.clear();
            level::stretches(geometry, Layer::Deck(deck), chain, self.rows, (y, place), stretches);
            for stretch in stretches.iter() {
                let (from, to) = stretch.samples(self.count);
                let (from, to) = (from.max(start), to.min(end));
                if from < to {
                    let step = self.layer(Layer::Deck(deck), Answer::Through);
                    parts.push(Part { start: from, end: to, step, place: Place::At(place as f32), mirror: None });
                }
            }
        }
        breaks.clear();
        breaks.extend([start, end]);
        breaks.extend(parts.iter().flat_map(|p| [p.start, p.end]));
        breaks.sort_unstable();
        breaks.dedup();
        for at in 1..scratch.breaks.len() {
            let (from, to) = (scratch.breaks[at - 1], scratch.breaks[at]);
            self.run(chain, way, y, (from, to), scratch, powers);
        }
    }

    /// Adds a path to receivers that meet the same things on it.
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
        let Scratch { parts, on_way, steps, factors, .. } = scratch;
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
                    shadow.map_or(1.0, |s| (1.0 / s.inverse.at(middle, y)) as f32)
                }
            };
            on_way.push((place, part.step));
        }
        if met.count_ones() as usize != mirrors {
            return;
        }
        for i in 1..on_way.len() {
            let mut j = i;
            while j > 0 && on_way[j].0 < on_way[j - 1].0 {
                on_way.swap(j, j - 1);
                j -= 1;
            }
        }
        steps.clear();
        steps.extend(on_way.iter().map(|(_, step)| *step));
        let bounds = Bounds::of(self, chain, way, y, (from, to));
        factors.clear();
        for carrier in 0..self.spreads.len() {
            let columns = &self.columns[carrier];
            let view = self.view(chain, way, y, carrier);
            let range = from as usize..to as usize;
            let (Some(power), Some(left_out)) = (powers.power.get_mut(carrier), powers.left_out.get_mut(carrier))
            else {
                continue;
            };
            let (power, left_out) = (&mut power[range.clone()], &mut left_out[range]);
            let mut most = self.spreads[carrier] as f32 / bounds.nearest2;
            for step in steps.iter() {
                let (low, high) = bounds.cos(chain, step.class);
                most *= columns.get(usize::from(step.column)).map_or(1.0, |c| c.peak(low, high));
            }
            if is_small(self.neglect, most, power, left_out) {
                left_out.iter_mut().for_each(|l| *l += most);
                continue;
            }
            if !self.scene.geometry.blocks.is_empty() {
                self.blocks(chain, way, y, (from, to), carrier, factors);
            }
            lanes::add(&view, &chain.normals, columns, steps, from, factors, power);
        }
    }

    fn view(&self, chain: &Chain, way: &Levels, y: f64, carrier: usize) -> View {
        View {
            x: (self.rows.first - chain.image[0]) as f32,
            step: self.rows.step as f32,
            y: (y - chain.image[1]) as f32,
            rise: way.rise as f32,
            spread: self.spreads[carrier] as f32,
        }
    }

    /// What blocks in the way leave of the power, for each receiver; nothing if no block is in the way.
    fn blocks(
        &self,
        chain: &Chain,
        way: &Levels,
        y: f64,
        (from, to): (u32, u32),
        carrier: usize,
        factors: &mut Vec<f32>,
    ) {
        factors.clear();
        let mut is_any = false;
        for sample in from..to {
            let u = f64::from(sample);
            let dx = self.rows.first + u * self.rows.step - chain.image[0];
            let dy = y - chain.image[1];
            let length = (dx * dx + dy * dy + way.rise * way.rise).sqrt();
            let mut factor = 1.0;
            for block in 0..self.scene.geometry.blocks.len() as u32 {
                level::chords(&self.scene.geometry, block, (chain, way), self.rows, (u, y), length, |chord| {
                    if chord >= crate::paths::SHORTEST_CHORD {
                        is_any = true;
                        factor *= self.scene.through_block(block, carrier, chord);
                    }
                });
            }
            factors.push(factor as f32);
        }
        if !is_any {
            factors.clear();
        }
    }

    /// True if no path of an image can matter to a part of a row; it is then counted as left out.
    fn is_too_weak(&self, chain: &Chain, way: &Levels, y: f64, (start, end): (u32, u32), powers: &mut Powers) -> bool {
        let range = start as usize..end as usize;
        let bounds = Bounds::of(self, chain, way, y, (start, end));
        let mut is_weak = true;
        let mut most = [0.0f32; 16];
        if self.spreads.len() > most.len() || chain.gates.len() + way.order == 0 {
            return false;
        }
        for (carrier, most) in most.iter_mut().enumerate().take(self.spreads.len()) {
            *most = self.spreads[carrier] as f32 / bounds.nearest2;
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
