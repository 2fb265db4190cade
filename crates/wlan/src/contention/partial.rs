//! The fixed point of stations that hear each other only in part. Which of them do is not decided here.

use super::hearing::{Hearing, Survival};

/// Steps of the fixed point at most.
const ITERATIONS: u32 = 400;
/// Largest change at which it has converged.
pub(super) const TOLERANCE: f64 = 1e-6;
/// Most sets of stations on the air at once that are followed.
pub(super) const SETS_MAX: usize = 40_000;

/// A station in plain numbers; lengths are means over its exchanges.
#[derive(Clone, Debug)]
pub(super) struct Member {
    /// Its index in the hearing.
    pub index: usize,
    /// SIFS and AIFSN slots [s].
    pub aifs: f64,
    /// Number of values of the window at each stage.
    pub windows: Vec<usize>,
    /// First frame [s].
    pub first: f64,
    /// Part of it after which something has arrived [s]: less than all of it for an aggregate.
    pub unit: f64,
    /// What follows it when it succeeds [s].
    pub rest: f64,
    /// From the end of a lost first frame until the sender gives up [s].
    pub timeout: f64,
}

/// What a station does on average.
#[derive(Clone, Debug, Default)]
pub(super) struct Conduct {
    /// Accesses with success [1/s].
    pub successes: f64,
    /// Share of attempts that fail.
    pub failure: f64,
    /// By exchange, of all accesses with success: its share, and the part of its payload that arrives.
    pub shares: Vec<(f64, f64)>,
}

/// The answer for one set of stations.
#[derive(Clone, Debug)]
pub(super) struct Answer {
    pub members: Vec<Conduct>,
    /// Share of time in which nobody is on the air.
    pub idle: f64,
    pub iterations: u32,
    pub residual: f64,
}

/// What pairs of members do to each other.
struct Pairs {
    /// `[i][k]`: i and k cannot both be in their first frames.
    first: Vec<Vec<bool>>,
    /// `[i][k]`: k cannot begin during what follows the first frame of i.
    rest: Vec<Vec<bool>>,
    /// `[i][exchange][k]`: what becomes of it when k sends.
    survives: Vec<Vec<Vec<Survival>>>,
}

fn pairs(members: &[Member], hearing: &Hearing) -> Pairs {
    let hears =
        |l: usize, s: usize| hearing.senses.get(l).and_then(|row| row.get(s)).is_some_and(|sense| sense.holds_back());
    let answered = |l: usize, s: usize| {
        let answers = hearing.answers.get(l).and_then(|row| row.get(s));
        // Where some exchanges' answers are heard and some are not, most decide.
        answers.is_some_and(|a| 2 * a.iter().filter(|sense| sense.holds_back()).count() >= a.len().max(1))
    };
    let table = |of: &dyn Fn(usize, usize) -> bool| -> Vec<Vec<bool>> {
        members.iter().map(|i| members.iter().map(|k| i.index != k.index && of(i.index, k.index)).collect()).collect()
    };
    Pairs {
        first: table(&|i, k| hears(i, k) || hears(k, i)),
        rest: table(&|i, k| hears(i, k) || hears(k, i) || answered(k, i)),
        survives: members
            .iter()
            .map(|i| {
                let rows = hearing.survives.get(i.index).into_iter().flatten();
                let of = |row: &Vec<Survival>| {
                    members.iter().map(|k| row.get(k.index).copied().unwrap_or(Survival::LOST)).collect()
                };
                rows.map(of).collect()
            })
            .collect(),
    }
}

/// Members on the air: in their first frame, or in what follows it.
type Set = Vec<(usize, bool)>;

/// All sets that can be on the air at once; nothing if there are too many.
fn sets(pairs: &Pairs, count: usize) -> Option<Vec<Set>> {
    let mut all: Vec<Set> = vec![Vec::new()];
    for i in 0..count {
        let mut more = Vec::new();
        for set in &all {
            for rest in [false, true] {
                let fits = set.iter().all(|&(k, other_rest)| {
                    let (a, b) = (
                        if rest { &pairs.rest } else { &pairs.first },
                        if other_rest { &pairs.rest } else { &pairs.first },
                    );
                    !a[i][k] && !b[k][i]
                });
                if fits {
                    let mut larger = set.clone();
                    larger.push((i, rest));
                    more.push(larger);
                }
            }
        }
        all.append(&mut more);
        if all.len() > SETS_MAX {
            return None;
        }
    }
    Some(all)
}

/// How a station's backoff stands, from its failure share.
struct Backoff {
    /// Mean number of slots drawn for an attempt.
    slots: f64,
    /// Shares of the time that backoffs from each window take.
    shares: Vec<(f64, f64)>,
}

fn backoff(windows: &[usize], failure: f64) -> Backoff {
    let (mut visits, mut all, mut slots) = (1.0, 0.0, 0.0);
    let mut shares = Vec::with_capacity(windows.len());
    for window in windows {
        let mean = 0.5 * (*window as f64 - 1.0);
        all += visits;
        slots += visits * mean;
        shares.push((*window as f64, visits * (mean + 0.5)));
        visits *= failure;
    }
    let sum: f64 = shares.iter().map(|s| s.1).sum();
    shares.iter_mut().for_each(|s| s.1 /= sum);
    Backoff { slots: slots / all, shares }
}

impl Backoff {
    /// Chance that a backoff looked at at any time lasts for so many slots more: `(1 - v/W)²` for one drawn evenly up to W.
    fn lasts(&self, slots: f64) -> f64 {
        self.shares.iter().map(|(window, share)| share * (1.0 - slots / window).max(0.0).powi(2)).sum()
    }
}

/// Iterates until attempts, sets on the air and failures agree.
///
/// # Model
/// Sets of stations on the air are weighted as in a network of ideal carrier sensing (Boorstyn, Kershenbaum, Maglaris, Sahin 1987): the product of each one's
/// attempt rate while it is free to count, and of the time that it takes; first frame and rest are told apart, since the rest is announced by the answer. A
/// first frame fails by what is on the air when it begins, by others that count in the same slot, and by hidden stations that begin before its end: their
/// backoff, seen at any time, must last longer. Each station's failures set its windows.
pub(super) fn settle(members: &[Member], hearing: &Hearing, slot: f64) -> Option<Answer> {
    let pairs = pairs(members, hearing);
    let sets = sets(&pairs, members.len())?;
    let n = members.len();
    let mut failure = vec![0.3_f64; n];
    // Of attempts, those whose first frame fails: the others take the time of the whole exchange, even if the data is lost.
    let mut refused = vec![0.3_f64; n];
    let (mut residual, mut iterations, mut step) = (f64::INFINITY, 0, 0.5);
    // Rests begin only where no hidden first frame is on the air; this brings them back to the rate at which first frames succeed.
    let mut flow = vec![1.0_f64; n];
    let mut answer = Answer { members: vec![Conduct::default(); n], idle: 1.0, iterations: 0, residual };
    let free = |set: &Set, k: usize| {
        set.iter().all(|&(j, rest)| j != k && !if rest { pairs.rest[j][k] } else { pairs.first[j][k] })
    };
    // Who is free to count in each set: the sets do not change, so this is worked out once.
    let free_in: Vec<Vec<bool>> = sets.iter().map(|set| (0..n).map(|k| free(set, k)).collect()).collect();
    while iterations < ITERATIONS && residual > TOLERANCE {
        iterations += 1;
        let backoffs: Vec<Backoff> = members.iter().zip(&failure).map(|(m, p)| backoff(&m.windows, *p)).collect();
        let rates: Vec<f64> = backoffs.iter().map(|b| 1.0 / (slot * b.slots.max(0.5))).collect();
        let lengths: Vec<(f64, f64)> = members
            .iter()
            .zip(&refused)
            .map(|(m, p)| (m.first + p * (m.timeout + m.aifs), (1.0 - p) * (m.rest + m.aifs)))
            .zip(&flow)
            .map(|((first, rest), flow)| (first, rest * flow))
            .collect();
        let weight = |set: &Set| -> f64 {
            set.iter().map(|&(i, rest)| rates[i] * if rest { lengths[i].1 } else { lengths[i].0 }).product()
        };
        let weights: Vec<f64> = sets.iter().map(weight).collect();
        let total: f64 = weights.iter().sum();
        if !(total.is_finite() && total > 0.0) {
            break;
        }
        let mut open = vec![0.0; n];
        // By exchange, chances that the first frame arrives, and the data as well, as far as what is on the air at the beginning goes.
        let mut unharmed: Vec<Vec<(f64, f64)>> = pairs.survives.iter().map(|e| vec![(0.0, 0.0); e.len()]).collect();
        // Time that i is in its first frame, or the rest, and of that the time that k is free to count.
        let mut during = vec![[0.0; 2]; n];
        let mut compatible = vec![0.0; n];
        let mut counting = vec![vec![[0.0; 2]; n]; n];
        for ((set, free), weight) in sets.iter().zip(&free_in).zip(&weights) {
            let share = weight / total;
            for i in (0..n).filter(|i| free[*i]) {
                open[i] += share;
                let quiet = set.iter().all(|&(j, rest)| rest || !pairs.rest[i][j]);
                compatible[i] += if quiet { share } else { 0.0 };
                // The receiver follows another's frame only if that began while nothing came from here.
                let gap = slot * backoffs[i].slots + members[i].aifs;
                for (sum, survives) in unharmed[i].iter_mut().zip(&pairs.survives[i]) {
                    let (mut first, mut whole) = (1.0, 1.0);
                    for &(j, rest) in set {
                        let time = if rest { members[j].rest } else { members[j].first };
                        let all = if rest { time } else { lengths[j].0 };
                        let followed = if time > 0.0 { (gap / time).min(1.0) } else { 0.0 };
                        let Survival { earlier, later, data, .. } = survives[j];
                        let arrives = earlier + (later - earlier).max(0.0) * (1.0 - followed);
                        let on_air = time / all.max(time).max(1e-12);
                        first *= 1.0 - on_air * (1.0 - arrives);
                        whole *= 1.0 - on_air * (1.0 - arrives * data);
                    }
                    for k in (0..n).filter(|k| *k != i && free[*k] && pairs.first[i][*k]) {
                        let Survival { together, data, .. } = survives[k];
                        first *= 1.0 - (1.0 - together) / (backoffs[k].slots + 1.0);
                        whole *= 1.0 - (1.0 - together * data) / (backoffs[k].slots + 1.0);
                    }
                    *sum = (sum.0 + share * first, sum.1 + share * whole);
                }
            }
            for &(i, rest) in set {
                let phase = usize::from(rest);
                during[i][phase] += share;
                for k in (0..n).filter(|k| free[*k]) {
                    counting[i][k][phase] += share;
                }
            }
        }
        residual = 0.0;
        for i in 0..n {
            // Chance that no hidden station begins within a time from the beginning of the phase.
            let spared = |survives: &[Survival], phase: usize, time: f64, whole: bool| -> f64 {
                if during[i][phase] <= 0.0 {
                    return 1.0;
                }
                let of = |k: usize| {
                    let slots = time / slot * (counting[i][k][phase] / during[i][phase]).min(1.0);
                    let survives =
                        if whole { survives[k].data } else { 1.0 } * if phase == 0 { survives[k].later } else { 1.0 };
                    1.0 - (1.0 - survives) * (1.0 - backoffs[k].lasts(slots))
                };
                (0..n).filter(|k| *k != i).map(of).product()
            };
            let units = (members[i].first / members[i].unit).round().clamp(1.0, 64.0);
            let tries = members[i].windows.len() as i32;
            let (mut attempts, mut turns, mut no_answer, mut shares) = (0.0, 0.0, 0.0, Vec::new());
            for (survives, unharmed) in pairs.survives[i].iter().zip(&unharmed[i]) {
                let unit = members[i].unit;
                let (first, whole) =
                    if open[i] > 0.0 { (unharmed.0 / open[i], unharmed.1 / open[i]) } else { (1.0, 1.0) };
                let answered = first * spared(survives, 0, unit, false);
                let some = spared(survives, 0, unit, true);
                let lost = 1.0 - whole * some * spared(survives, 1, members[i].rest, true);
                let lost = lost.clamp(0.0, 1.0 - 1e-9);
                // After so many tries a frame is given up and the next one's turn comes.
                let given_up = lost.powi(tries);
                let tried = (1.0 - given_up) / (1.0 - lost);
                attempts += tried;
                no_answer += tried * (1.0 - answered).clamp(0.0, 1.0);
                turns += 1.0 - given_up;
                let all: f64 =
                    (1..=units as usize).map(|u| spared(survives, 0, members[i].first * u as f64 / units, true)).sum();
                let arrived = if some > 0.0 { (all / units / some).clamp(0.0, 1.0) } else { 0.0 };
                shares.push((1.0 - given_up, arrived));
            }
            for share in &mut shares {
                share.0 /= f64::max(turns, 1e-300);
            }
            let new = (1.0 - turns / f64::max(attempts, 1e-300)).clamp(0.0, 1.0 - 1e-9);
            let successes = rates[i] * open[i] * (1.0 - new);
            answer.members[i] = Conduct { successes, failure: new, shares };
            residual = residual.max((new - failure[i]).abs());
            if compatible[i] > 0.0 {
                let wanted = (open[i] / compatible[i]).clamp(1.0, 1e6);
                residual = residual.max((wanted / flow[i] - 1.0).abs());
                flow[i] *= (wanted / flow[i]).powf(step);
            }
            failure[i] += step * (new - failure[i]);
            refused[i] += step * ((no_answer / f64::max(attempts, 1e-300)).min(1.0 - 1e-9) - refused[i]);
        }
        answer.idle = weights.first().map_or(1.0, |w| w / total);
        if iterations % 50 == 0 {
            step = (0.5_f64 * step).max(0.05);
        }
    }
    answer.iterations = iterations;
    answer.residual = residual;
    Some(answer)
}
