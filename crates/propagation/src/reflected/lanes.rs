//! The power of one path at several receivers of a row side by side.
//!
//! Plain arrays that the compiler turns into the machine's vectors; no fused or reordered arithmetic, so that every
//! machine, run and number of threads gives the same bits.

use crate::free_space::MIN_DISTANCE;
use crate::path::LEAST_SHARE;
use crate::table::{LANES, MIN_COS, Table};

use super::sum::{Sum, times};

/// Receivers side by side.
pub(super) const WIDTH: usize = 4;

type Wide = [f32; WIDTH];

/// Parts of the range of cosines over which a table's peaks are kept.
const BINS: usize = 64;

/// One carrier's column of a table: TE, TM, and real and imaginary part of how far they stay in step.
#[derive(Clone, Debug)]
pub(crate) struct Column {
    entries: Vec<[f32; 4]>,
    /// Largest share of power that can pass, for each part of the cosines.
    peaks: [f32; BINS],
}

impl Column {
    pub(crate) fn of(table: &Table, carrier: usize) -> Self {
        Self::new(table.column(carrier / LANES, carrier % LANES))
    }

    pub(super) fn new(entries: Vec<[f32; 4]>) -> Self {
        let mut entries = entries;
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
        entries.extend(entries.last().copied());
        Self { entries, peaks }
    }

    /// Memory that it takes \[bytes\].
    pub(crate) fn bytes(&self) -> usize {
        size_of::<Self>() + self.entries.len() * size_of::<[f32; 4]>()
    }

    /// No more than this passes at any angle whose cosine lies between two.
    pub(super) fn peak(&self, low: f32, high: f32) -> f32 {
        let bin = |cos: f32| ((position(cos) * BINS as f32) as usize).min(BINS - 1);
        self.peaks.get(bin(low)..=bin(high)).map_or(f32::INFINITY, |p| p.iter().copied().fold(0.0, f32::max))
    }
}

/// Place in a table, 0 to 1.
#[inline(always)]
#[expect(clippy::manual_clamp, reason = "no number must become zero, and does with `max`")]
fn position(cos: f32) -> f32 {
    const MIN: f32 = MIN_COS as f32;
    const SCALE: f32 = 1.0 / (1.0 - MIN);
    ((cos - MIN) * SCALE).max(0.0).min(1.0)
}

/// A class of directions: level things, or walls with one normal.
pub(super) const LEVEL: u16 = u16::MAX;

/// One thing on a path: what of the run's lookups it uses, and the direction of its normal.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Step {
    pub column: u32,
    pub class: u16,
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
    /// Square of the wavelength over 4π, times the share of a cell that a point stands for.
    pub spread: f32,
}

/// What is the path's share of each receiver, from number `start` on.
#[derive(Clone, Copy)]
pub(super) struct Weights<'a> {
    pub start: u32,
    /// How many points have it, less how many it is taken from.
    pub counts: &'a [i32],
    /// What blocks in the way let pass, where there are any.
    pub factors: &'a [f32],
    /// State of the field at the transmitter (power along theta, along phi, and their product), where it is not vertical.
    pub starts: &'a [[f32; 3]],
}

/// Angle of incidence and the square and product of the TE direction's parts, for one class.
#[derive(Clone, Copy)]
struct Angle {
    cos: Wide,
    tt: Wide,
    tp: Wide,
}

/// What a path's walls do at several receivers: memory that paths reuse.
#[derive(Default)]
pub(super) struct Walls {
    /// Directions of normals that differ.
    classes: Vec<u16>,
    /// Steps that differ, each with its direction's number, and for each step of the way its number among them.
    distinct: Vec<(Step, usize)>,
    way: Vec<usize>,
    angles: Vec<Angle>,
    answers: Vec<[Wide; 4]>,
}

/// Adds a path's power to the receivers, `steps` in the order of the way.
///
/// What is added for a point depends on nothing but the receiver and the steps, so that adding and taking away cancel.
pub(super) fn add(
    view: &View,
    normals: &[[f32; 2]],
    columns: &[&Column],
    steps: &[Step],
    weights: Weights<'_>,
    walls: &mut Walls,
    sums: &mut [Sum],
) {
    let Weights { start, counts, factors, starts } = weights;
    let Walls { classes, distinct, way, angles, answers } = walls;
    classes.clear();
    distinct.clear();
    way.clear();
    for step in steps {
        let found = distinct.iter().position(|(d, _)| d == step).unwrap_or_else(|| {
            let class = classes.iter().position(|&c| c == step.class).unwrap_or_else(|| {
                classes.push(step.class);
                classes.len() - 1
            });
            distinct.push((*step, class));
            distinct.len() - 1
        });
        way.push(found);
    }
    for (chunk, (sums, counts)) in sums.chunks_mut(WIDTH).zip(counts.chunks(WIDTH)).enumerate() {
        if counts.iter().all(|&count| count == 0) {
            continue;
        }
        let base = Base::new(view, start as usize + chunk * WIDTH);
        angles.clear();
        angles.extend(classes.iter().map(|&class| match normals.get(usize::from(class)) {
            Some(&normal) => base.upright(view, normal),
            None => base.level(view),
        }));
        answers.clear();
        answers.extend(distinct.iter().map(|&(step, class)| {
            let column = columns.get(step.column as usize).zip(angles.get(class));
            column.map_or([[0.0; WIDTH]; 4], |(column, angle)| look_up(column, &angle.cos))
        }));
        let mut field = Field { theta: [1.0; WIDTH], phi: [0.0; WIDTH], re: [0.0; WIDTH], im: [0.0; WIDTH] };
        for (l, of) in starts.iter().skip(chunk * WIDTH).take(WIDTH).enumerate() {
            (field.theta[l], field.phi[l], field.re[l]) = (of[0], of[1], of[2]);
        }
        for &number in way.iter() {
            let (Some(&(step, class)), Some(wall)) = (distinct.get(number), answers.get(number)) else { continue };
            match angles.get(class) {
                Some(angle) if step.class != LEVEL => field.turned(angle, wall),
                _ => field.level(wall),
            }
        }
        let mut power: Wide = std::array::from_fn(|l| (field.theta[l] + field.phi[l]).max(LEAST_SHARE) * base.gain[l]);
        if let Some(factors) = factors.get(chunk * WIDTH..).filter(|f| !f.is_empty()) {
            power.iter_mut().zip(factors).for_each(|(power, factor)| *power *= factor);
        }
        for ((sum, count), power) in sums.iter_mut().zip(counts).zip(power) {
            *sum = sum.wrapping_add(times(power, *count));
        }
    }
}

/// Coherency of the field along theta and phi, one at the transmitter.
struct Field {
    theta: Wide,
    phi: Wide,
    re: Wide,
    im: Wide,
}

impl Field {
    /// Turns to the TE direction and to TM, passes the wall, and turns back.
    #[inline(always)]
    fn turned(&mut self, angle: &Angle, [te, tm, cross_re, cross_im]: &[Wide; 4]) {
        let Self { theta, phi, re, im } = self;
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

    /// As [`Self::turned`] for level things, to which phi is TE.
    #[inline(always)]
    fn level(&mut self, [te, tm, cross_re, cross_im]: &[Wide; 4]) {
        for l in 0..WIDTH {
            self.theta[l] *= tm[l];
            self.phi[l] *= te[l];
            // theta·phi* turns the other way than TE·TM*.
            let (re, im) = (self.re[l], self.im[l]);
            self.re[l] = re * cross_re[l] + im * cross_im[l];
            self.im[l] = im * cross_re[l] - re * cross_im[l];
        }
    }
}

/// Where several receivers are, seen from the image.
struct Base {
    x: Wide,
    /// One over the length in plan, and over the length.
    plan: Wide,
    inverse: Wide,
    /// Free space.
    gain: Wide,
}

impl Base {
    #[inline(always)]
    fn new(view: &View, first: usize) -> Self {
        let zero = [0.0; WIDTH];
        let mut out = Self { x: zero, plan: zero, inverse: zero, gain: zero };
        let rise2 = view.rise * view.rise;
        for l in 0..WIDTH {
            let x = view.x + view.step * (first + l) as f32;
            let plan2 = x * x + view.y * view.y;
            let square = plan2 + rise2;
            out.x[l] = x;
            // Held off zero for a receiver straight below.
            out.plan[l] = 1.0 / plan2.max(1e-12).sqrt();
            out.inverse[l] = 1.0 / square.max(1e-12).sqrt();
            out.gain[l] = view.spread / square.max((MIN_DISTANCE * MIN_DISTANCE) as f32);
        }
        out
    }

    #[inline(always)]
    fn upright(&self, view: &View, [nx, ny]: [f32; 2]) -> Angle {
        let mut out = Angle { cos: [0.0; WIDTH], tt: [0.0; WIDTH], tp: [0.0; WIDTH] };
        for l in 0..WIDTH {
            let along = self.x[l] * nx + view.y * ny;
            let across = (self.x[l] * ny - view.y * nx) * self.plan[l];
            out.cos[l] = along.abs() * self.inverse[l];
            // k × n, in theta and phi.
            let (t, p) = (-across, view.rise * self.inverse[l] * along * self.plan[l]);
            let square = t * t + p * p;
            let is_normal = square < 1e-18;
            let scale = 1.0 / square.max(1e-18);
            out.tt[l] = if is_normal { 1.0 } else { t * t * scale };
            out.tp[l] = if is_normal { 0.0 } else { t * p * scale };
        }
        out
    }

    #[inline(always)]
    fn level(&self, view: &View) -> Angle {
        let mut out = Angle { cos: [0.0; WIDTH], tt: [0.0; WIDTH], tp: [0.0; WIDTH] };
        for l in 0..WIDTH {
            out.cos[l] = view.rise.abs() * self.inverse[l];
        }
        out
    }
}

#[inline(always)]
fn look_up(column: &Column, cos: &Wide) -> [Wide; 4] {
    let intervals = column.entries.len().saturating_sub(2);
    let mut share: Wide = [0.0; WIDTH];
    let mut index = [0usize; WIDTH];
    for l in 0..WIDTH {
        let place = position(cos[l]) * intervals as f32;
        index[l] = (place as i32).max(0) as usize;
        share[l] = place - index[l] as f32;
    }
    let mut out = [[0.0; WIDTH]; 4];
    for l in 0..WIDTH {
        // The last entry is there twice, so that a place at the end has a neighbour.
        if let Some([a, b]) = column.entries.get(index[l]..index[l] + 2) {
            let row: [f32; 4] = std::array::from_fn(|c| a[c] + share[l] * (b[c] - a[c]));
            for c in 0..4 {
                out[c][l] = row[c];
            }
        }
    }
    out
}
