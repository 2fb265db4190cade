//! Delays of [`super::Carrier`], from the turns that its fixed point found.

use units::{BitsPerSecond, Seconds};

use super::carried::Carried;
use super::carried_solve::before;
use super::carried_state::{Active, Scratch, Stream, Times};

/// Share of MPDUs whose delay the percentile does not pass.
const LEVEL: f64 = 0.95;

/// A turn's mean [s], and its second and third moment in units of the mean.
#[derive(Clone, Copy)]
struct Turn {
    mean: f64,
    second: f64,
    third: f64,
}

/// Fills in what became of each flow.
pub(super) fn delays(scratch: &Scratch, times: &Times, out: &mut [Carried]) {
    // Variance of what others take in a turn: who is always there comes more regularly than who comes and goes.
    let spread = |s: &Active| before(s.there, s.busy, 0.5) * (s.hold2 - 2.0 / 3.0 * s.busy * s.hold * s.hold);
    let all: f64 = scratch.senders.iter().map(spread).sum();
    // Mean rest of the neighbours' busy periods.
    let free = (1.0 - times.taken).max(1e-3);
    let rest = times.period / (free * free);
    for s in &scratch.senders {
        let flows = scratch.streams.get(s.first..s.end).unwrap_or_default();
        let Some(class) = scratch.classes.get(s.class) else { continue };
        let others = (all - spread(s)).max(0.0);
        let round: f64 = flows.iter().map(|f| f.busy * (1.0 - f.busy) * f.access * f.access).sum();
        let [m1, m2, m3] = class.slots(s.collisions / (1.0 + s.collisions));
        for f in flows {
            // The wait goes with the slots that are counted; others and neighbours come on top.
            let air = f.overhead + f.mpdus * f.per_mpdu;
            let wait = (f.access - air - scratch.totals.start + class.counted * times.slot).max(0.0);
            let neighbours = 2.0 * f.cycle * times.taken * rest;
            let apart = others + (round - f.busy * (1.0 - f.busy) * f.access * f.access).max(0.0);
            let scale = wait / m1;
            let variance = (m2 - m1 * m1) * scale * scale;
            let skew = (m3 - 3.0 * m1 * m2 + 2.0 * m1 * m1 * m1).max(0.0) * scale * scale * scale;
            let cv2 = (variance + apart + neighbours) / (f.cycle * f.cycle);
            // What comes on top is skewed as a gamma distribution is.
            let skew = skew + 2.0 * apart * apart / f.cycle + 3.0 * neighbours * rest;
            let third = 1.0 + 3.0 * cv2 + skew / (f.cycle * f.cycle * f.cycle);
            let turn = Turn { mean: f.cycle, second: 1.0 + cv2, third };
            if let Some(carried) = out.get_mut(f.place) {
                *carried = of_flow(s, f, &turn);
            }
        }
    }
}

fn of_flow(s: &Active, f: &Stream, turn: &Turn) -> Carried {
    let air = f.overhead + f.mpdus * f.per_mpdu;
    let airtime = f.rate * air;
    if f.saturated {
        let infinite = Seconds(f64::INFINITY);
        let throughput = BitsPerSecond(f.rate * f.mpdus * f.bits);
        return Carried { throughput, delay: infinite, delay_p95: infinite, airtime, mpdus: f.mpdus, saturated: true };
    }
    let rate = f.arrivals;
    let (mean, square, none, ride) =
        if f.most <= 1.0 { one_by_one(s, f, rate, turn) } else { bursts(s, f, rate, turn) };
    let delay = mean + ride;
    // Waits beyond none at all follow a gamma distribution with the same mean and variance.
    let waits = (1.0 - none).max(1e-9);
    let (m, m2) = (mean / waits, square / waits);
    let spread = (m2 - m * m).max(0.01 * m * m);
    let tail = 1.0 - (1.0 - LEVEL) / waits;
    let p95 = if tail <= 0.0 { 0.0 } else { gamma_quantile(m, spread, tail) };
    Carried {
        throughput: BitsPerSecond(rate * f.bits),
        delay: Seconds(delay),
        delay_p95: Seconds(p95 + ride),
        airtime,
        mpdus: f.mpdus,
        saturated: false,
    }
}

/// Wait of a frame that finds its flow idle, mean and mean square, and the chance that it waits at all.
fn start_up(s: &Active, f: &Stream) -> (f64, f64, f64) {
    let met = 1.0 - (1.0 - f.engaged) * (1.0 - s.met);
    let square = (1.0 - f.engaged) * s.setup2;
    let more = f.setup - (1.0 - f.engaged) * s.setup;
    let square = square + if f.engaged > 0.0 { 1.5 * more * more / f.engaged } else { 0.0 };
    (f.setup, square, met)
}

/// Single frames: M/G/1 whose service is the turn, with a start-up wait. Mean and mean square of the wait, chance of none, time on the air.
fn one_by_one(s: &Active, f: &Stream, rate: f64, turn: &Turn) -> (f64, f64, f64, f64) {
    let left = (1.0 - f.load).max(1e-9);
    let queue = rate * turn.mean * turn.mean * turn.second / (2.0 * left);
    let queue2 = 2.0 * queue * queue + rate * turn.mean.powi(3) * turn.third / (3.0 * left);
    let (first, first2, met) = start_up(s, f);
    let setup = (2.0 * first + rate * first2) / (2.0 * (1.0 + rate * first));
    let mean = queue + setup;
    let square = queue2 + 2.0 * queue * setup + first2.max(setup * setup);
    (mean, square, left * (1.0 - met), f.overhead + f.per_mpdu)
}

/// Bursts: the rest of a turn, and what a full burst leaves behind.
fn bursts(s: &Active, f: &Stream, rate: f64, turn: &Turn) -> (f64, f64, f64, f64) {
    let (first, first2, met) = start_up(s, f);
    let fresh = f.none / f.mpdus;
    let found = 1.0 - (fresh * (1.0 + rate * first)).min(1.0);
    let rest = turn.mean * turn.second / 2.0;
    let rest2 = turn.mean * turn.mean * turn.third / 3.0;
    let spread = f.load + f.load * f.load * (turn.second - 1.0);
    let spare = (f.most - f.load).max(1e-9);
    let behind = spread / (2.0 * spare) * (-1.1654 * spare / spread.sqrt()).exp() / rate;
    let setup = fresh * (first + rate * first2 / 2.0);
    let mean = setup + found * rest + behind;
    let square = fresh * first2 + found * rest2 + 2.0 * behind * (mean - behind) + 2.0 * behind * behind;
    // A frame travels with those that came in the same turn.
    let with = (1.0 + f.busy * f.load * turn.second).min(f.most).max(f.mpdus);
    (mean, square, fresh * (1.0 - met), f.overhead + with * f.per_mpdu)
}

/// Quantile of a gamma distribution by mean and variance (E. B. Wilson and M. M. Hilferty, PNAS 17, 1931): within 1 % of the mean at 0.95 for shapes of 1 and more.
fn gamma_quantile(mean: f64, variance: f64, at: f64) -> f64 {
    let shape = (mean * mean / variance).max(0.05);
    let ninth = 1.0 / (9.0 * shape);
    let root = (1.0 - ninth + normal_quantile(at) * ninth.sqrt()).max(0.0);
    mean * root * root * root
}

/// Quantile of the normal distribution, within 4.5e-4 (M. Abramowitz and I. A. Stegun, Handbook of Mathematical Functions, 26.2.23).
fn normal_quantile(at: f64) -> f64 {
    let upper = if at < 0.5 { at } else { 1.0 - at };
    let t = (-2.0 * upper.max(1e-300).ln()).sqrt();
    let z =
        t - (2.515_517 + t * (0.802_853 + t * 0.010_328)) / (1.0 + t * (1.432_788 + t * (0.189_269 + t * 0.001_308)));
    if at < 0.5 { -z } else { z }
}
