//! What paths to the points of a line meet, and at which of the points.

use crate::wall::Answer;

use super::chain::Chain;
use super::lanes::{LEVEL, Step};
use super::level::{self, Layer, Levels};
use super::shadow::Shadow;
use super::sheet::Stuff;
use super::sweep::{Line, Scratch, World};

/// Part of a line in a wall's shadow, whatever the heights.
#[derive(Clone, Copy, Debug)]
pub(super) struct Span {
    pub start: u32,
    pub end: u32,
    /// Which piece of the way, and which of its crossings or, if it is a mirror, of its gate.
    pub leg: u8,
    pub is_mirror: bool,
    pub shadow: u32,
}

/// Part of a line that meets something.
#[derive(Clone, Copy, Debug)]
pub(super) struct Part {
    pub start: u32,
    pub end: u32,
    pub step: Step,
    /// One over its place on the way, at the line's point 0 and from point to point.
    pub inverse: [f32; 2],
    /// Which mirror it is, upright ones first; none for a crossing.
    pub mirror: Option<u8>,
    /// Which scenes it is in.
    pub marks: u8,
}

impl World<'_> {
    pub(super) fn layer(&self, layer: Layer, answer: Answer) -> Step {
        let stuff = match layer {
            Layer::Deck(index) => {
                let deck = self.stage.geometry.decks.get(index as usize);
                Stuff::Assembly(deck.map_or(u32::MAX, |d| d.assembly))
            }
            Layer::Lid(index) => Stuff::Block(index),
        };
        Step { column: self.stage.column(stuff, answer), class: LEVEL }
    }

    /// Which scenes a level thing is in.
    fn marks(&self, layer: Layer) -> u8 {
        let marks = match layer {
            Layer::Deck(index) => self.stage.decks.get(index as usize),
            Layer::Lid(index) => self.stage.blocks.get(index as usize),
        };
        marks.copied().unwrap_or(0)
    }

    /// Shadows on a line.
    #[inline(always)]
    pub(super) fn spans(&self, chain: &Chain, line: Line, spans: &mut Vec<Span>) {
        for (leg, crossings) in chain.crossings.iter().enumerate() {
            let gate = chain.gates.get(leg).map_or(&[][..], |g| g);
            for (is_mirror, shadows) in [(false, &crossings[..]), (true, gate)] {
                for (index, shadow) in shadows.iter().enumerate() {
                    let (from, to) = shadow.stretch(line.y).samples(self.count);
                    let (start, end) = (from.max(line.start), to.min(line.end));
                    if start < end {
                        spans.push(Span { start, end, leg: leg as u8, is_mirror, shadow: index as u32 });
                    }
                }
            }
        }
    }

    /// Of a line in an upright wall's shadow the parts whose paths have the wall's height there.
    #[inline(always)]
    pub(super) fn part(
        &self,
        shadow: &Shadow,
        (start, end): (u32, u32),
        mirror: Option<u8>,
        way: &Levels,
        y: f64,
        parts: &mut Vec<Part>,
    ) {
        let Some(sheet) = self.stage.sheets.get(shadow.sheet as usize) else { return };
        let (step, inverse, marks) = (shadow.step, shadow.inverse.on_line(y), shadow.marks);
        let part = Part { start, end, step, inverse, mirror, marks };
        if way.is_covered(sheet) {
            parts.push(part);
        } else {
            self.parts_in_height(shadow, part, (sheet.z0, sheet.z1), way, y, parts);
        }
    }

    /// Those of a wall's part on which the way has heights from `z0` to below `z1`.
    fn parts_in_height(
        &self,
        shadow: &Shadow,
        whole: Part,
        (z0, z1): (f64, f64),
        way: &Levels,
        y: f64,
        parts: &mut Vec<Part>,
    ) {
        let base = shadow.stretch(y);
        for (a, b) in way.within(z0, z1) {
            // The place on the way is from a to below b: one over it from above 1/b to 1/a.
            let mut part = base;
            if b < 1.0 {
                part = part.and(shadow.inverse.stretch(y, 1.0 / b, true));
            }
            if a > 0.0 {
                part = part.and(shadow.inverse.stretch(y, 1.0 / a, false));
            }
            let (from, to) = part.samples(self.count);
            let (start, end) = (from.max(whole.start), to.min(whole.end));
            if start < end {
                parts.push(Part { start, end, ..whole });
            }
        }
    }

    /// Level mirrors and decks in the way, and where along the line.
    pub(super) fn level_parts(&self, chain: &Chain, way: &Levels, line: Line, scratch: &mut Scratch) {
        let gates = chain.gates.len();
        let mirrors = way.mirrors.iter().enumerate().flat_map(|(index, (place, layers))| {
            layers.iter().map(move |&(layer, answer)| (*place, layer, answer, Some((gates + index) as u8)))
        });
        let passed = way.passed.iter().map(|&(place, deck)| (place, Layer::Deck(deck), Answer::Through, None));
        let Scratch { parts, stretches, .. } = scratch;
        for (place, layer, answer, mirror) in mirrors.chain(passed) {
            stretches.clear();
            level::stretches(&self.stage.geometry, layer, chain, self.rows, (line.y, place), stretches);
            for stretch in stretches.iter() {
                let (from, to) = stretch.samples(self.count);
                let (start, end) = (from.max(line.start), to.min(line.end));
                if start < end {
                    let (step, inverse) = (self.layer(layer, answer), [(1.0 / place) as f32, 0.0]);
                    parts.push(Part { start, end, step, inverse, mirror, marks: self.marks(layer) });
                }
            }
        }
    }

    /// Where on a line something is on the way that is not in both scenes.
    ///
    /// A part of the line whose points meet the same things, and that none of it reaches, is such a part in both scenes.
    pub(super) fn touched(&self, chain: &Chain, line: Line, parts: &[Part], touched: &mut Vec<(u32, u32)>) {
        touched.clear();
        if chain.starts_in_changed {
            touched.push((line.start, line.end));
        }
        let blocks = chain.changed_blocks(line.y, line.middle, self.points as u32);
        touched.extend(blocks.map(|stretch| stretch.samples(self.count)).filter(|(from, to)| from < to));
        touched.extend(parts.iter().filter(|p| p.marks != self.stage.all).map(|p| (p.start, p.end)));
    }
}
