//! The power of one path at several receivers of a row side by side.
//!
//! Plain arrays that the compiler turns into the machine's vectors; no fused or reordered arithmetic, so that every
//! machine, run and number of threads gives the same bits.

use crate::free_space::MIN_DISTANCE;
use crate::path::LEAST_SHARE;
use crate::table::{LANES, MIN_COS, Table};

/// Receivers side by side.
pub(super) const WIDTH: usize = 8;

type Wide = [f32; WIDTH];

/// Parts of the range of cosines over which a table's peaks are kept.
const BINS: usize = 32;

/// One carrier's column of a table: TE, TM, and real and imaginary part of how far they stay in step.
#[derive(Clone, Debug)]
pub(super) struct Column {
    entries: Vec<[f32; 4]>,
    /// Largest share of power that can pass, for each part of the cosines.
    peaks: [f32; BINS],
}

impl Column {
    pub(super) fn of(table: &Table, carrier: usize) -> Self {
        Self::new(table.column(carrier / LANES, carrier % LANES))
    }

    pub(super) fn new(entries: Vec<[f32; 4]>) -> Self {
        let mut peaks = [0.0f32; BINS];
        let intervals = entries.len().saturating_sub(1).max(1);
        for (index, e) in entries.iter().enumerate() {
            let peak = e[0].max(e[1]);
            // An entry bounds the intervals on both its sides.
            let (low, high) = (index.saturating_sub(1) * BINS / intervals, (index + 1) * BINS / intervals);
            for bin in peaks.iter_mut().take(high.min(BINS - 1) + 1).skip(low) {
                *bin = bin.max(peak);
            }
        }
        Self { entries, peaks }
    }

    /// No more than this passes at any angle whose cosine lies between two.
    pub(super) fn peak(&self, low: f32, high: f32) -> f32 {
        let bin = |cos: f32| ((position(cos) * BINS as f32) as usize).min(BINS - 1);
        let (first, last) = (bin(low).saturating_sub(1), (bin(high) + 1).min(BINS - 1));
        self.peaks[first..=last].iter().copied().fold(0.0, f32::max)
    }
}

/// Place in a table, 0 to 1.
#[inline(always)]
fn position(cos: f32) -> f32 {
    const MIN: f32 = MIN_COS as f32;
    const SCALE: f32 = 1.0 / (1.0 - MIN);
    ((cos - MIN) * SCALE).max(0.0).min(1.0)
}

/// A class of directions: level things, or walls with one normal.
pub(super) const LEVEL: u8 = u8::MAX;

/// One thing on a path: what of the run's lookups it uses, and the direction of its normal.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Step {
    pub column: u16,
    pub class: u8,
}

/// Where a path's receivers are, seen from its last image.
#[derive(Clone, Copy, Debug)]
pub(super) struct View {
    /// From the image to the row's sample 0, and from sample to sample.
    pub x: f32,
    pub step: f32,
    pub y: f32,
    /// Length in height.
    pub rise: f32,
    /// Square of the wavelength over 4π.
    pub spread: f32,
}

/// Angle of incidence and the square and product of the TE direction's parts, for one class.
#[derive(Clone, Copy)]
struct Angle {
    cos: Wide,
    tt: Wide,
    tp: Wide,
}

/// Adds a path's power to the receivers `start..start + power.len()`.
///
/// `steps` in the order of the way; `factors`, if there are any, one for each receiver.
#[inline(always)]
pub(super) fn add(
    view: &View,
    normals: &[[f32; 2]],
    columns: &[Column],
    steps: &[Step],
    start: u32,
    factors: &[f32],
    power: &mut [f32],
) {
    for (chunk, power) in power.chunks_mut(WIDTH).enumerate() {
        let first = start as usize + chunk * WIDTH;
        let share = shares(view, normals, columns, steps, first);
        if factors.is_empty() {
            for (power, share) in power.iter_mut().zip(share) {
                *power += share;
            }
        } else {
            let factors = factors.iter().skip(chunk * WIDTH);
            for ((power, share), factor) in power.iter_mut().zip(share).zip(factors) {
                *power += share * factor;
            }
        }
    }
}

#[inline(always)]
fn shares(view: &View, normals: &[[f32; 2]], columns: &[Column], steps: &[Step], first: usize) -> Wide {
    let mut x: Wide = [0.0; WIDTH];
    let mut plan: Wide = [0.0; WIDTH];
    let mut inverse: Wide = [0.0; WIDTH];
    let mut gain: Wide = [0.0; WIDTH];
    let rise2 = view.rise * view.rise;
    for l in 0..WIDTH {
        x[l] = view.x + view.step * (first + l) as f32;
        let plan2 = x[l] * x[l] + view.y * view.y;
        let square = plan2 + rise2;
        // One over the length in plan, held off zero for a receiver straight below.
        plan[l] = 1.0 / plan2.max(1e-12).sqrt();
        inverse[l] = 1.0 / square.max(1e-12).sqrt();
        gain[l] = view.spread / square.max((MIN_DISTANCE * MIN_DISTANCE) as f32);
    }
    let (mut theta, mut phi, mut re, mut im) = ([1.0; WIDTH], [0.0; WIDTH], [0.0; WIDTH], [0.0; WIDTH]);
    let mut last = u8::MAX - 1;
    let mut angle = Angle { cos: [0.0; WIDTH], tt: [0.0; WIDTH], tp: [0.0; WIDTH] };
    let mut looked_up = Step { column: u16::MAX, class: 0 };
    let mut wall = [[0.0; WIDTH]; 4];
    for step in steps {
        if step.class != last {
            angle = match normals.get(usize::from(step.class)) {
                Some(&normal) => upright(view, normal, &x, &plan, &inverse),
                None => level(view, &inverse),
            };
            last = step.class;
        }
        if *step != looked_up {
            if let Some(column) = columns.get(usize::from(step.column)) {
                wall = look_up(column, &angle.cos);
            }
            looked_up = *step;
        }
        let [te, tm, cross_re, cross_im] = &wall;
        for l in 0..WIDTH {
            let (tt, tp) = (angle.tt[l], angle.tp[l]);
            let pp = 1.0 - tt;
            let along_te = (tt * theta[l] + pp * phi[l] + 2.0 * tp * re[l]) * te[l];
            let along_tm = (pp * theta[l] + tt * phi[l] - 2.0 * tp * re[l]) * tm[l];
            let mixed = tp * (phi[l] - theta[l]) + (tt - pp) * re[l];
            let mixed_re = mixed * cross_re[l] - im[l] * cross_im[l];
            let mixed_im = mixed * cross_im[l] + im[l] * cross_re[l];
            theta[l] = tt * along_te + pp * along_tm - 2.0 * tp * mixed_re;
            phi[l] = pp * along_te + tt * along_tm + 2.0 * tp * mixed_re;
            re[l] = tp * (along_te - along_tm) + (tt - pp) * mixed_re;
            im[l] = mixed_im;
        }
    }
    let mut out: Wide = [0.0; WIDTH];
    for l in 0..WIDTH {
        out[l] = (theta[l] + phi[l]).max(LEAST_SHARE) * gain[l];
    }
    out
}

#[inline(always)]
fn upright(view: &View, [nx, ny]: [f32; 2], x: &Wide, plan: &Wide, inverse: &Wide) -> Angle {
    let mut out = Angle { cos: [0.0; WIDTH], tt: [0.0; WIDTH], tp: [0.0; WIDTH] };
    for l in 0..WIDTH {
        let along = x[l] * nx + view.y * ny;
        let across = (x[l] * ny - view.y * nx) * plan[l];
        out.cos[l] = along.abs() * inverse[l];
        // k × n, in theta and phi.
        let (t, p) = (-across, view.rise * inverse[l] * along * plan[l]);
        let square = t * t + p * p;
        let is_normal = square < 1e-18;
        let scale = 1.0 / square.max(1e-18);
        out.tt[l] = if is_normal { 1.0 } else { t * t * scale };
        out.tp[l] = if is_normal { 0.0 } else { t * p * scale };
    }
    out
}

#[inline(always)]
fn level(view: &View, inverse: &Wide) -> Angle {
    let mut out = Angle { cos: [0.0; WIDTH], tt: [0.0; WIDTH], tp: [0.0; WIDTH] };
    for l in 0..WIDTH {
        out.cos[l] = view.rise.abs() * inverse[l];
    }
    out
}

#[inline(always)]
fn look_up(column: &Column, cos: &Wide) -> [Wide; 4] {
    let mut out = [[0.0; WIDTH]; 4];
    let intervals = column.entries.len().saturating_sub(1);
    for l in 0..WIDTH {
        let place = position(cos[l]) * intervals as f32;
        let index = (place as usize).min(intervals.saturating_sub(1));
        let share = place - index as f32;
        if let Some([a, b]) = column.entries.get(index..index + 2) {
            for c in 0..4 {
                out[c][l] = a[c] + share * (b[c] - a[c]);
            }
        }
    }
    out
}
