//! What the paths that a sweep found bring to the cells.

use crate::antenna::Antenna;
use crate::search::SHORTEST_CHORD;

use super::chain::Chain;
use super::lanes::{self, Step, View, Weights};
use super::level::{self, Levels};
use super::shadow::Rows;
use super::sweep::{Powers, Scratch, Side, World};

impl World<'_> {
    /// Adds a path so near that it is not the same at all points of a cell.
    pub(super) fn points_alone(
        &self,
        chain: &Chain,
        way: &Levels,
        y: f64,
        (from, to, side): (u32, u32, Side),
        scratch: &mut Scratch,
        powers: &mut Powers,
    ) {
        let steps: Vec<Step> = scratch.on_way.iter().map(|(_, step)| *step).collect();
        let count = (to - from) as usize;
        let counts = vec![side.sign; count];
        let mut sums = vec![0; count];
        for carrier in 0..self.spreads.len() {
            let view = self.view(chain, way, y, carrier, (self.rows.first, self.rows.step));
            scratch.factors.clear();
            if !chain.blocks.is_empty() {
                scratch.factors.resize(count, 1.0);
                self.blocks(chain, way, (y, side.mark), (self.rows, from), carrier, &mut scratch.factors);
            }
            self.starts(chain, way, y, (self.rows, from, to), &mut scratch.starts);
            let Scratch { factors, starts, walls, .. } = scratch;
            let weights = Weights { start: from, counts: &counts, factors, starts };
            sums.fill(0);
            lanes::add(&view, &chain.normals, &self.stage.columns[carrier], &steps, weights, walls, &mut sums);
            let cells = powers.sums.get_mut(carrier).map_or(&mut [][..], |s| s);
            for (point, sum) in (from as usize..).zip(&sums) {
                if let Some(cell) = cells.get_mut(point / self.points) {
                    *cell = cell.wrapping_add(*sum);
                }
            }
        }
    }

    /// Adds the paths of a row's cells, each taken at the cells' centres as often as there are points that have it.
    pub(super) fn shine(&self, chain: &Chain, way: &Levels, y: f64, scratch: &mut Scratch, powers: &mut Powers) {
        let step = self.rows.step * self.points as f64;
        let rows = Rows { first: self.rows.first + 0.5 * (step - self.rows.step), step };
        let Scratch { groups, steps, counts, factors, starts, walls, .. } = scratch;
        for group in groups.iter() {
            let range = group.start as usize..group.end as usize;
            let counts = counts.get(group.counts..).and_then(|c| c.get(range.clone()));
            let steps = steps.get(group.steps.0..group.steps.1);
            let (Some(counts), Some(steps)) = (counts, steps) else { continue };
            // Of two scenes most have what they had.
            if counts.iter().all(|&count| count == 0) {
                continue;
            }
            self.starts(chain, way, y, (rows, group.start, group.end), starts);
            for (carrier, sums) in powers.sums.iter_mut().enumerate() {
                let Some(sums) = sums.get_mut(range.clone()) else { continue };
                let view = self.view(chain, way, y, carrier, (rows.first, rows.step));
                factors.clear();
                if !chain.blocks.is_empty() {
                    factors.resize(counts.len(), 1.0);
                    self.blocks(chain, way, (y, group.mark), (rows, group.start), carrier, factors);
                }
                let weights = Weights { start: group.start, counts, factors, starts };
                lanes::add(&view, &chain.normals, &self.stage.columns[carrier], steps, weights, walls, sums);
            }
        }
    }

    /// The field at the transmitter towards each of some receivers, as the mirrors show it; nothing if it is vertical.
    fn starts(&self, chain: &Chain, way: &Levels, y: f64, (rows, from, to): (Rows, u32, u32), out: &mut Vec<[f32; 3]>) {
        out.clear();
        if self.mounted.antenna == Antenna::Isotropic {
            return;
        }
        let Some(frame) = chain.frames.first() else { return };
        let up = if way.climbs.first().is_some_and(|c| c.to < c.from) { -1.0 } else { 1.0 };
        // Every upright mirror turns phi the other way; heights are unfolded so that the way rises, which turns theta of
        // one that leaves downwards.
        let turns = if chain.gates.len().is_multiple_of(2) { up } else { -up };
        out.extend((from..to).map(|receiver| {
            let x = rows.first + f64::from(receiver) * rows.step;
            let [dx, dy] = frame.back_turn([x - chain.image[0], y - chain.image[1]]);
            let [theta, phi] = self.mounted.amplitude([dx, dy, up * way.rise]);
            [theta * theta, phi * phi, turns * theta * phi].map(|v| v as f32)
        }));
    }

    /// The strength is that of one point of a cell.
    fn view(&self, chain: &Chain, way: &Levels, y: f64, carrier: usize, (first, step): (f64, f64)) -> View {
        View {
            x: (first - chain.image[0]) as f32,
            step: step as f32,
            y: (y - chain.image[1]) as f32,
            rise: way.rise as f32,
            spread: self.spreads[carrier] as f32 / (self.points * self.points) as f32,
        }
    }

    /// Multiplies factors, one for each receiver from a first one on, by what blocks in the way let pass.
    fn blocks(
        &self,
        chain: &Chain,
        way: &Levels,
        (y, mark): (f64, u8),
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
            for &block in chain.blocks.iter().filter(|&&block| self.is_block_of(block, mark)) {
                level::chords(&self.stage.geometry, block, (chain, way), self.rows, (own, y), length, |chord| {
                    if chord >= SHORTEST_CHORD {
                        *factor *= self.stage.through_block(block, carrier, chord) as f32;
                    }
                });
            }
        }
    }
}
