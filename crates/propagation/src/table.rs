//! Tables of mean transmission over the angle of incidence, for all carriers side by side.
//!
//! Made once for each assembly; the error against direct evaluation is measured while they are made and kept.

use num_complex::Complex64;

use crate::wall::{ANSWERS, Answer, Response, Wall};

/// Carriers that are traced side by side.
pub(crate) const LANES: usize = 4;

/// One value for each carrier of a group.
pub(crate) type Lanes = [f32; LANES];

/// Smallest cosine in the tables: 89.5°. Beyond, the wall is taken as met at 89.5°, since a wall of a few metres is
/// no infinite slab.
pub(crate) const MIN_COS: f64 = 0.008_726_535_498_373_935;

/// Error of the adaptive curve at which it is refined once more and kept \[dB\].
const CURVE_ERROR_DB: f64 = 0.01;
/// What that last refinement divides the error by: 16 for a smooth curve, less near a sharp bend.
const LAST_REFINEMENT: f64 = 4.0;
/// Error that the linear table aims at \[dB\].
const TABLE_ERROR_DB: f64 = 0.008;
/// Error of tabulated amplitudes at which they are refined once more and kept.
const AMPLITUDE_ERROR: f64 = 2e-5;
const FIRST_INTERVALS: usize = 32;
const MAX_CURVE_INTERVALS: usize = 4096;
const FIRST_TABLE_INTERVALS: usize = 512;
const MAX_TABLE_INTERVALS: usize = 8192;

/// Mean transmission of up to [`LANES`] carriers at one angle.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Entry {
    pub te: Lanes,
    pub tm: Lanes,
    pub cross_re: Lanes,
    pub cross_im: Lanes,
}

/// One assembly's transmission over the cosine of the angle, for all carriers.
#[derive(Clone, Debug)]
pub(crate) struct Table {
    /// `[interval][group]`.
    entries: Vec<Entry>,
    intervals: usize,
    groups: usize,
    /// Largest difference from direct evaluation that was found \[dB\].
    pub error_db: f64,
}

/// All that an assembly answers, in the order of [`ANSWERS`]: made together, since the layers' matrices are the same.
pub(crate) fn tables(walls: &[Wall]) -> [Table; 3] {
    let curves: Vec<Vec<Curve>> =
        walls.iter().map(|wall| (0..wall.parts()).map(|part| Curve::new(wall, part)).collect()).collect();
    ANSWERS.map(|answer| Table::new(walls, &curves, answer))
}

impl Table {
    fn new(walls: &[Wall], curves: &[Vec<Curve>], answer: Answer) -> Self {
        let floor = floor(answer);
        let exact = |carrier: usize, cos: f64| {
            walls[carrier].combine(answer, cos, curves[carrier].iter().map(|c| c.at(answer, cos)))
        };
        let curve_error = curves.iter().flatten().map(|c| c.error_db).fold(0.0, f64::max);
        let mut intervals = FIRST_TABLE_INTERVALS;
        loop {
            let mut error: f64 = 0.0;
            for carrier in 0..walls.len() {
                let mut left = exact(carrier, cos_at(0.0, intervals));
                for i in 0..intervals {
                    let right = exact(carrier, cos_at(i as f64 + 1.0, intervals));
                    let middle = exact(carrier, cos_at(i as f64 + 0.5, intervals));
                    error = error.max(difference_db(middle, mix(&[(0.5, left), (0.5, right)]), floor));
                    left = right;
                }
            }
            if error <= TABLE_ERROR_DB || intervals >= MAX_TABLE_INTERVALS {
                let groups = walls.len().div_ceil(LANES);
                let entries = fill(walls.len(), groups, intervals, exact);
                return Self { entries, intervals, groups, error_db: error + curve_error };
            }
            intervals *= 2;
        }
    }

    /// One carrier's entries: TE, TM, and real and imaginary part of how far they stay in step.
    pub(crate) fn column(&self, group: usize, lane: usize) -> Vec<[f32; 4]> {
        let entries = self.entries.iter().skip(group).step_by(self.groups.max(1));
        entries.map(|e| [e.te[lane], e.tm[lane], e.cross_re[lane], e.cross_im[lane]]).collect()
    }

    /// Memory that it takes \[bytes\].
    pub(crate) fn bytes(&self) -> usize {
        self.entries.len() * size_of::<Entry>()
    }

    /// Transmission at an angle, linear between the entries.
    #[inline]
    pub(crate) fn at(&self, cos: f32, group: usize) -> Entry {
        const MIN: f32 = MIN_COS as f32;
        let position = ((cos - MIN) * (1.0 / (1.0 - MIN))).clamp(0.0, 1.0) * self.intervals as f32;
        let index = (position as usize).min(self.intervals - 1);
        let share = position - index as f32;
        let at = index * self.groups + group;
        let (Some(a), Some(b)) = (self.entries.get(at), self.entries.get(at + self.groups)) else {
            return Entry::default();
        };
        let mut out = Entry::default();
        for l in 0..LANES {
            out.te[l] = a.te[l] + share * (b.te[l] - a.te[l]);
            out.tm[l] = a.tm[l] + share * (b.tm[l] - a.tm[l]);
            out.cross_re[l] = a.cross_re[l] + share * (b.cross_re[l] - a.cross_re[l]);
            out.cross_im[l] = a.cross_im[l] + share * (b.cross_im[l] - a.cross_im[l]);
        }
        out
    }
}

fn fill(carriers: usize, groups: usize, intervals: usize, exact: impl Fn(usize, f64) -> Response) -> Vec<Entry> {
    let mut entries = vec![Entry::default(); (intervals + 1) * groups];
    for (at, entry) in entries.iter_mut().enumerate() {
        let cos = cos_at((at / groups) as f64, intervals);
        for lane in 0..LANES {
            let carrier = (at % groups) * LANES + lane;
            if carrier < carriers {
                let r = exact(carrier, cos);
                entry.te[lane] = r.te as f32;
                entry.tm[lane] = r.tm as f32;
                entry.cross_re[lane] = r.cross.re as f32;
                entry.cross_im[lane] = r.cross.im as f32;
            }
        }
    }
    entries
}

/// The answers of one combination over the angle, cubic between evenly spaced values that are as many as their shapes
/// need.
struct Curve {
    values: Vec<[Response; 3]>,
    error_db: f64,
}

impl Curve {
    fn new(wall: &Wall, part: usize) -> Self {
        let exact = |position: f64, intervals: usize| wall.part(part, cos_at(position, intervals));
        let mut values: Vec<[Response; 3]> = (0..=FIRST_INTERVALS).map(|i| exact(i as f64, FIRST_INTERVALS)).collect();
        loop {
            let intervals = values.len() - 1;
            let middles: Vec<[Response; 3]> = (0..intervals).map(|i| exact(i as f64 + 0.5, intervals)).collect();
            let error_at = |(i, middle): (usize, &[Response; 3])| {
                let errors = ANSWERS.map(|answer| {
                    let interpolated = cubic(&values, answer, i as f64 + 0.5);
                    difference_db(middle[answer as usize], interpolated, floor(answer))
                });
                errors.into_iter().fold(0.0, f64::max)
            };
            let error = middles.iter().enumerate().map(error_at).fold(0.0, f64::max);
            let mut finer = Vec::with_capacity(2 * intervals + 1);
            for (value, middle) in values.iter().zip(&middles) {
                finer.extend([*value, *middle]);
            }
            finer.extend(values.last());
            values = finer;
            if error <= CURVE_ERROR_DB || 2 * intervals >= MAX_CURVE_INTERVALS {
                // The kept values are twice as dense as those whose error was measured.
                return Self { values, error_db: error / LAST_REFINEMENT };
            }
        }
    }

    fn at(&self, answer: Answer, cos: f64) -> Response {
        let intervals = (self.values.len() - 1) as f64;
        cubic(&self.values, answer, ((cos - MIN_COS) / (1.0 - MIN_COS)).clamp(0.0, 1.0) * intervals)
    }
}

/// Complex amplitudes (TE, TM) over the cosine of the angle, cubic between evenly spaced values from 0 to 1.
#[derive(Clone, Debug)]
pub(crate) struct AmplitudeTable {
    values: Vec<[f64; 4]>,
}

impl AmplitudeTable {
    pub(crate) fn new(exact: impl Fn(f64) -> (Complex64, Complex64)) -> Self {
        let at = |cos: f64| {
            let (te, tm) = exact(cos);
            [te.re, te.im, tm.re, tm.im]
        };
        let mut out = Self { values: (0..=FIRST_INTERVALS).map(|i| at(i as f64 / FIRST_INTERVALS as f64)).collect() };
        loop {
            let intervals = out.values.len() - 1;
            let middle = |i: usize| (i as f64 + 0.5) / intervals as f64;
            let middles: Vec<[f64; 4]> = (0..intervals).map(|i| at(middle(i))).collect();
            let error = |i: usize, exact: &[f64; 4]| -> f64 {
                let (te, tm) = out.at(middle(i));
                [te.re, te.im, tm.re, tm.im].iter().zip(exact).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max)
            };
            let worst = middles.iter().enumerate().map(|(i, exact)| error(i, exact)).fold(0.0, f64::max);
            let mut finer = Vec::with_capacity(2 * intervals + 1);
            for (value, middle) in out.values.iter().zip(&middles) {
                finer.extend([*value, *middle]);
            }
            finer.extend(out.values.last());
            out.values = finer;
            // The kept values are twice as dense as those whose error was found.
            if worst < AMPLITUDE_ERROR || 2 * intervals >= MAX_CURVE_INTERVALS {
                return out;
            }
        }
    }

    #[inline]
    pub(crate) fn at(&self, cos: f64) -> (Complex64, Complex64) {
        let intervals = self.values.len().saturating_sub(1);
        let position = cos.clamp(0.0, 1.0) * intervals as f64;
        let first = (position as usize).saturating_sub(1).min(intervals.saturating_sub(3));
        let Some(values) = self.values.get(first..first + 4) else { return Default::default() };
        let mut sum = [0.0; 4];
        for (value, weight) in values.iter().zip(cubic_weights(position - first as f64)) {
            for (sum, value) in sum.iter_mut().zip(value) {
                *sum += weight * value;
            }
        }
        (Complex64::new(sum[0], sum[1]), Complex64::new(sum[2], sum[3]))
    }
}

fn cos_at(position: f64, intervals: usize) -> f64 {
    (MIN_COS + (1.0 - MIN_COS) * position / intervals as f64).min(1.0)
}

/// Four-point Lagrange interpolation.
fn cubic(values: &[[Response; 3]], answer: Answer, position: f64) -> Response {
    let first = (position.floor() as usize).saturating_sub(1).min(values.len().saturating_sub(4));
    let weights = cubic_weights(position - first as f64);
    let mut terms = [(0.0, Response::NOTHING); 4];
    for ((term, weight), value) in terms.iter_mut().zip(weights).zip(values.iter().skip(first)) {
        *term = (weight, value[answer as usize]);
    }
    mix(&terms)
}

/// Weights of four values at 0, 1, 2 and 3 for the cubic through them at `t`.
pub(crate) fn cubic_weights(t: f64) -> [f64; 4] {
    [
        -(t - 1.0) * (t - 2.0) * (t - 3.0) / 6.0,
        t * (t - 2.0) * (t - 3.0) / 2.0,
        -t * (t - 1.0) * (t - 3.0) / 2.0,
        t * (t - 1.0) * (t - 2.0) / 6.0,
    ]
}

fn mix(terms: &[(f64, Response)]) -> Response {
    let mut sum = Response::NOTHING;
    for (weight, r) in terms {
        sum.te += weight * r.te;
        sum.tm += weight * r.tm;
        sum.cross += r.cross * *weight;
    }
    sum
}

/// Shares of power below this are not told apart: what lies beyond the largest loss of a crossing, and reflections
/// 30 dB down (at Brewster's angle a reflection vanishes, and decibels say nothing there).
fn floor(answer: Answer) -> f64 {
    match answer {
        Answer::Through => 10f64.powf(-crate::wall::MAX_CROSSING_LOSS_DB / 10.0),
        Answer::BackFromFirst | Answer::BackFromLast => 1e-3,
    }
}

/// How far apart two responses are \[dB\], ignoring what is below the least share.
fn difference_db(a: Response, b: Response, least: f64) -> f64 {
    let db = |x: f64, y: f64| (10.0 * (x.max(least) / y.max(least)).log10()).abs();
    let scale = (a.te * a.tm).sqrt().max(least);
    let cross = 10.0 * std::f64::consts::LOG10_E * (a.cross - b.cross).norm() / scale;
    db(a.te, b.te).max(db(a.tm, b.tm)).max(cross)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::slab::{self, Layer, Medium};

    /// Tabulated amplitudes of a thick and a resonant build-up at 7 GHz.
    #[test]
    fn amplitudes() {
        let bulk = |re: f64, im: f64, thickness: f64| Layer { medium: Medium::Bulk(Complex64::new(re, im)), thickness };
        let glass = || bulk(6.3, -0.1, 0.004);
        for stack in [vec![bulk(3.9, -0.2, 0.35)], vec![glass(), bulk(1.0, 0.0, 0.016), glass()]] {
            let exact = |cos: f64| {
                let mut prepared = Vec::new();
                let cos = slab::prepare(&stack, 7e9, cos, &mut prepared);
                let c = slab::evaluate(&prepared, cos, 1.0);
                (c.te.transmitted, c.tm.reflected)
            };
            let table = AmplitudeTable::new(exact);
            for i in 0..10_000 {
                let cos = (f64::from(i) + 0.37) * 1e-4;
                let ((a, b), (c, d)) = (table.at(cos), exact(cos));
                assert!((a - c).norm() < 1e-5 && (b - d).norm() < 1e-5, "{cos}");
            }
        }
    }
}
