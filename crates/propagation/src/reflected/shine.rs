//! What the paths that a sweep found bring to the cells.

use crate::antenna::Antenna;
use crate::search::SHORTEST_CHORD;

use super::chain::{Chain, Rows};
use super::lanes::{self, Step, View};
use super::level::{self, Levels};
use super::sweep::{Powers, Scratch, World};

impl World<'_> {
    /// Adds a path so near that it is not the same at all points of a cell.
    pub(super) fn points_alone(
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
            self.starts(chain, way, y, (self.rows, from, to), &mut scratch.starts);
            let weights = (from, &scratch.factors[..], &scratch.starts[..]);
            lanes::add(&view, &chain.normals, &self.columns[carrier], &steps, weights, &mut scratch.walls, &mut power);
            for (point, power) in (from as usize..).zip(power) {
                if let Some(cell) = powers.power.get_mut(carrier).and_then(|p| p.get_mut(point / self.points)) {
                    *cell += power;
                }
            }
        }
    }

    /// Adds the paths of a row's cells, each taken at the cells' centres and weighed by the points that have it.
    pub(super) fn shine(&self, chain: &Chain, way: &Levels, y: f64, scratch: &mut Scratch, powers: &mut Powers) {
        let step = self.rows.step * self.points as f64;
        let rows = Rows { first: self.rows.first + 0.5 * (step - self.rows.step), step };
        let Scratch { groups, steps, weights, factors, starts, walls, .. } = scratch;
        for group in groups.iter() {
            let range = group.start as usize..group.end as usize;
            let weights = weights.get(group.weights..).and_then(|w| w.get(range.clone()));
            let steps = steps.get(group.steps.0..group.steps.1);
            let (Some(weights), Some(steps)) = (weights, steps) else { continue };
            self.starts(chain, way, y, (rows, group.start, group.end), starts);
            for (carrier, power) in powers.power.iter_mut().enumerate() {
                let Some(power) = power.get_mut(range.clone()) else { continue };
                let view = self.view(chain, way, y, carrier, (rows.first, rows.step));
                let mut weights = (group.start, weights, &starts[..]);
                if !chain.blocks.is_empty() {
                    factors.clear();
                    factors.extend_from_slice(weights.1);
                    self.blocks(chain, way, y, (rows, group.start), carrier, factors);
                    weights.1 = factors;
                }
                lanes::add(&view, &chain.normals, &self.columns[carrier], steps, weights, walls, power);
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
            for &block in &chain.blocks {
                level::chords(&self.scene.geometry, block, (chain, way), self.rows, (own, y), length, |chord| {
                    if chord >= SHORTEST_CHORD {
                        *factor *= self.scene.through_block(block, carrier, chord) as f32;
                    }
                });
            }
        }
    }
}
