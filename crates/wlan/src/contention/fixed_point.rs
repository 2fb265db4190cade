//! The fixed point of saturated contention: rounds, and the backoff of each kind of station, made to agree.

use super::round::{Group, Lengths, Outcome, Overlap, follow};

/// Rounds of the fixed point at most.
const ITERATIONS: u32 = 2_000;
/// Largest relative change at which it has converged.
pub(super) const TOLERANCE: f64 = 1e-8;

/// A kind of station, in plain numbers.
#[derive(Clone, Debug)]
pub(super) struct Kind {
    /// How many contend.
    pub count: f64,
    /// SIFS and AIFSN slots [s].
    pub aifs: f64,
    /// Contention window at each stage, number of values (CW + 1).
    pub windows: Vec<usize>,
    /// True if the backoff counts down at the end of AIFS already (EDCA).
    pub edca: bool,
    /// Data exchanges, served in turn: length of the first frame [s].
    pub data: Vec<f64>,
    /// Length of the block ack request that follows an unanswered aggregate [s].
    pub recovery: Option<f64>,
    /// Share of the data exchanges that one follows when they fail.
    pub asks: f64,
}

/// Times that all kinds share [s].
#[derive(Clone, Copy, Debug)]
pub(super) struct Times {
    pub slot: f64,
    /// From the end of an unanswered frame until its sender gives up.
    pub timeout: f64,
    /// What EIFS is longer than the ordinary waiting time.
    pub eifs_extra: f64,
    /// Share of bystanders that wait EIFS.
    pub heard: f64,
}

/// Rates for one round on average.
#[derive(Clone, Debug)]
pub(super) struct Solution {
    /// By kind, of all its stations: data successes, block-ack-request successes, attempts, failures.
    pub kinds: Vec<Rates>,
    /// Collisions by the length of the longest frame: (length [s], number).
    pub collisions: Vec<(f64, f64)>,
    /// Idle time [s].
    pub idle: f64,
    pub iterations: u32,
    pub residual: f64,
}

/// See [`Solution::kinds`].
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Rates {
    pub data: f64,
    pub recovery: f64,
    pub attempts: f64,
    pub failures: f64,
    /// Rounds that end with its successes, to these: below 1 where some overlap.
    pub rounds: f64,
}

/// What the iteration changes, for each kind.
#[derive(Clone, Debug)]
struct State {
    /// Remaining backoff of stations that were not in the last transmission, as shares by its value.
    remaining: Vec<f64>,
    /// The chance slot by slot that follows from it.
    steady: Vec<f64>,
    /// Share of block ack requests in that.
    recovery: f64,
    /// Backoff drawn after a failure, as shares by its value.
    redrawn: Vec<f64>,
    /// The chance slot by slot that follows from it.
    after_failure: Vec<f64>,
}

impl State {
    /// Part of the way to a new state, and how far that is.
    fn approach(&mut self, new: &State, step: f64) -> f64 {
        let mut change = (new.recovery - self.recovery).abs();
        self.recovery += step * (new.recovery - self.recovery);
        for (old, new) in [(&mut self.remaining, &new.remaining), (&mut self.redrawn, &new.redrawn)] {
            old.resize(old.len().max(new.len()), 0.0);
            for (o, n) in old.iter_mut().zip(new.iter().copied().chain(std::iter::repeat(0.0))) {
                change += (n - *o).abs();
                *o += step * (n - *o);
            }
        }
        self.steady = hazards_of(&self.remaining);
        self.after_failure = hazards_of(&self.redrawn);
        change
    }
}

/// Chance at each slot, given none before, of a backoff with given shares.
fn hazards_of(shares: &[f64]) -> Vec<f64> {
    let mut left: f64 = shares.iter().sum();
    let mut chances = Vec::with_capacity(shares.len());
    for share in shares {
        chances.push(if left > 0.0 { (share / left).clamp(0.0, 1.0) } else { 1.0 });
        left -= share;
    }
    chances
}

/// Shares of a backoff drawn uniformly from one of several windows, by its value.
fn drawn(windows: &[usize], weights: &[f64]) -> Vec<f64> {
    let longest = windows.iter().zip(weights).filter(|(_, w)| **w > 0.0).map(|(n, _)| *n).max().unwrap_or(1);
    let mut shares = vec![0.0; longest];
    for (window, weight) in windows.iter().zip(weights).filter(|(_, w)| **w > 0.0) {
        shares.iter_mut().take(*window).for_each(|s| *s += weight / *window as f64);
    }
    shares
}

/// Chance that a backoff drawn from a window ends in its first round.
fn ended(window: usize, silent: &[f64]) -> f64 {
    silent.iter().take(window).sum::<f64>() / window as f64
}

/// Where a round leaves a backoff that does not end in it: adds, for each value it had, what others' transmission makes of it.
///
/// When others transmit after `i` of its slot boundaries, EDCA has counted `i + 1`, DCF `i` (the first boundary is the end of the interframe space).
fn carry(value: usize, mass: f64, silent: &[f64], edca: bool, into: &mut [f64]) {
    let at = |i: usize| silent.get(i).copied().unwrap_or(0.0);
    for i in 0..value.min(silent.len()) {
        let rest = if edca { value - 1 - i } else { value - i };
        if let Some(sum) = into.get_mut(rest) {
            *sum += mass * (at(i) - at(i + 1));
        }
    }
    if let Some(sum) = into.get_mut(value) {
        *sum += mass * (1.0 - at(0));
    }
}

/// Remaining backoff of stations that count on, from what flows in and what a round leaves: solved from the largest value down, since none grows.
fn remaining(mut inflow: Vec<f64>, silent: &[f64], edca: bool) -> Vec<f64> {
    let at = |i: usize| silent.get(i).copied().unwrap_or(0.0);
    for value in (0..inflow.len()).rev() {
        let unchanged = if edca || value == 0 { 1.0 - at(0) } else { 1.0 - at(1) };
        let total = inflow[value] / (1.0 - unchanged).max(1e-9);
        let first = usize::from(!edca);
        for i in first..value.min(silent.len()) {
            let rest = if edca { value - 1 - i } else { value - i };
            inflow[rest] += total * (at(i) - at(i + 1));
        }
        inflow[value] = total;
    }
    let sum: f64 = inflow.iter().sum();
    if sum > 0.0 {
        inflow.iter_mut().for_each(|v| *v /= sum);
    }
    inflow
}

fn distinct_lengths(kinds: &[Kind]) -> Vec<f64> {
    let mut all: Vec<f64> = kinds.iter().flat_map(|k| k.data.iter().copied().chain(k.recovery)).collect();
    all.sort_by(f64::total_cmp);
    all.dedup_by(|a, b| (*a - *b).abs() < 1e-9);
    all
}

/// Number of distinct first-frame lengths; the work grows with its square.
pub(super) fn length_count(kinds: &[Kind]) -> usize {
    distinct_lengths(kinds).len()
}

fn length_shares(kinds: &[Kind], distinct: &[f64]) -> Lengths {
    let up_to = |values: &[f64]| -> Vec<f64> {
        distinct
            .iter()
            .map(|d| values.iter().filter(|v| **v < d + 1e-9).count() as f64 / values.len().max(1) as f64)
            .collect()
    };
    Lengths {
        data: kinds.iter().map(|k| up_to(&k.data)).collect(),
        recovery: kinds.iter().map(|k| up_to(k.recovery.as_slice())).collect(),
        count: distinct.len(),
    }
}

/// Who was in a collision whose longest frame has a given length: by kind, (participants, those with the longest frame).
type Party = Vec<(f64, f64)>;

/// `beside`: who was on the air as well, by kind (with success, in vain); empty if nobody.
fn after_success<'a>(
    winner: usize,
    beside: &Party,
    kinds: &[Kind],
    states: &'a [State],
    fresh: &'a [Vec<f64>],
) -> Vec<Group<'a>> {
    let new = |k: usize, kind: &Kind, size| Group {
        kind: k,
        size,
        start: kind.aifs,
        hazards: &fresh[k],
        fresh: true,
        lost: false,
        recovery: 0.0,
    };
    let mut groups = vec![new(winner, &kinds[winner], 1.0)];
    for (k, (kind, state)) in kinds.iter().zip(states).enumerate() {
        let left = if k == winner { (kind.count - 1.0).max(0.0) } else { kind.count };
        let (won, lost) = beside.get(k).copied().unwrap_or((0.0, 0.0));
        let (won, lost) = (won.clamp(0.0, left), lost.clamp(0.0, (left - won).max(0.0)));
        if won + lost > 0.0 {
            let recovery = kind.asks;
            groups.push(new(k, kind, won));
            groups.push(Group { hazards: &state.after_failure, lost: true, recovery, ..new(k, kind, lost) });
        }
        groups.push(steady(k, state, left - won - lost, kind.aifs));
    }
    groups
}

fn steady<'a>(k: usize, state: &'a State, size: f64, start: f64) -> Group<'a> {
    let hazards = &state.steady;
    Group { kind: k, size: size.max(0.0), start, hazards, fresh: false, lost: false, recovery: state.recovery }
}

fn after_collision<'a>(party: &Party, kinds: &[Kind], states: &'a [State], times: &Times) -> Vec<Group<'a>> {
    let all: f64 = party.iter().map(|p| p.0).sum();
    let longest: f64 = party.iter().map(|p| p.1).sum();
    // A bystander follows one of the frames; if it is not the longest, its EIFS ends with the busy period or soon after.
    let heard = times.heard * if all > 0.0 { longest / all } else { 1.0 };
    let mut groups = Vec::with_capacity(4 * kinds.len());
    for (k, (kind, state)) in kinds.iter().zip(states).enumerate() {
        let (total, long) = party.get(k).copied().unwrap_or((0.0, 0.0));
        let recovery = kind.asks;
        for (size, start) in [(long, times.timeout + kind.aifs), (total - long, kind.aifs)] {
            let hazards = &state.after_failure;
            let size = size.clamp(0.0, kind.count);
            groups.push(Group { kind: k, size, start, hazards, fresh: true, lost: true, recovery });
        }
        let rest = (kind.count - total).max(0.0);
        groups.push(steady(k, state, rest * (1.0 - heard), kind.aifs));
        groups.push(steady(k, state, rest * heard, times.eifs_extra + kind.aifs));
    }
    groups
}

/// What one kind met on average.
#[derive(Clone, Debug, Default)]
struct Met {
    /// Attempts and successes: fresh after its own success, fresh after a collision, later.
    counts: [(f64, f64); 3],
    silent_success: (f64, Vec<f64>),
    silent_collision: (f64, Vec<f64>),
    silent_steady: (f64, Vec<f64>),
}

fn add_weighted(sum: &mut (f64, Vec<f64>), weight: f64, curve: &[f64]) {
    if sum.1.len() < curve.len() {
        sum.1.resize(curve.len(), 0.0);
    }
    for (s, c) in sum.1.iter_mut().zip(curve) {
        *s += weight * c;
    }
    sum.0 += weight;
}

fn failure_share((attempts, successes): (f64, f64)) -> f64 {
    if attempts > 0.0 { (1.0 - successes / attempts).clamp(0.0, 1.0) } else { 0.0 }
}

/// The kind's state that follows from what it met.
fn backoff(kind: &Kind, met: &Met) -> State {
    let mean = |(weight, curve): &(f64, Vec<f64>)| -> Vec<f64> {
        if *weight > 0.0 { curve.iter().map(|c| c / weight).collect() } else { Vec::new() }
    };
    let (success, collision) = (mean(&met.silent_success), mean(&met.silent_collision));
    let [first, again, later] = met.counts.map(failure_share);
    let (mut all, mut requests, mut visits) = (0.0, 0.0, 1.0);
    let mut weights = vec![0.0; kind.windows.len()];
    for (stage, window) in kind.windows.iter().enumerate() {
        let (curve, fresh) = if stage == 0 { (&success, first) } else { (&collision, again) };
        let left = 1.0 - ended(*window, curve);
        all += visits * left;
        if stage > 0 {
            weights[stage] = visits;
            requests += kind.asks * visits * left;
        }
        visits *= (1.0 - left) * fresh + left * later;
    }
    // After the last stage the window is the least again.
    weights[0] = visits;
    let longest = kind.windows.iter().copied().max().unwrap_or(1);
    let mut inflow = vec![0.0; longest];
    let initial = drawn(kind.windows.get(..1).unwrap_or(&[]), &[1.0]);
    for (value, mass) in initial.iter().enumerate() {
        carry(value, *mass, &success, kind.edca, &mut inflow);
    }
    for (value, mass) in drawn(&kind.windows, &weights).iter().enumerate() {
        carry(value, *mass, &collision, kind.edca, &mut inflow);
    }
    let remaining = remaining(inflow, &mean(&met.silent_steady), kind.edca);
    let total: f64 = weights.iter().sum();
    if total > 0.0 {
        weights.iter_mut().for_each(|w| *w /= total);
    } else if let Some(next) = weights.last_mut() {
        *next = 1.0;
    }
    let recovery = if all > 0.0 { requests / all } else { 0.0 };
    let redrawn = drawn(&kind.windows, &weights);
    State { remaining, redrawn, recovery, steady: Vec::new(), after_failure: Vec::new() }
}

/// A group of a round, as far as the sums need it.
#[derive(Clone, Copy, Debug)]
struct Position {
    kind: usize,
    size: f64,
    recovery: f64,
    fresh: bool,
    lost: bool,
}

impl From<&Group<'_>> for Position {
    fn from(g: &Group) -> Self {
        Position { kind: g.kind, size: g.size, recovery: g.recovery, fresh: g.fresh, lost: g.lost }
    }
}

/// One kind of round: how the busy period before it ended, who is where, and what comes of it.
struct Round {
    share: f64,
    positions: Vec<Position>,
    outcome: Outcome,
}

impl Round {
    fn members(&self) -> impl Iterator<Item = (usize, &Position, &super::round::Deeds)> {
        self.positions.iter().zip(&self.outcome.deeds).enumerate().map(|(g, (p, d))| (g, p, d))
    }
}

fn meetings(rounds: &[Round], kinds: usize) -> Vec<Met> {
    let mut met = vec![Met::default(); kinds];
    for round in rounds {
        for (_, position, deeds) in round.members() {
            let met = &mut met[position.kind];
            let (slot, curve) = match (position.fresh, position.lost) {
                (true, false) => (0, &mut met.silent_success),
                (true, true) => (1, &mut met.silent_collision),
                (false, _) => (2, &mut met.silent_steady),
            };
            met.counts[slot].0 += round.share * deeds.attempts;
            met.counts[slot].1 += round.share * deeds.successes;
            add_weighted(curve, round.share * position.size, &deeds.silent);
        }
    }
    met
}

/// Iterates until rounds and backoff agree.
///
/// # Model
/// Bianchi's decoupling, refined: a round of contention is followed slot by slot for each way in which the last busy period ended, because the stations
/// that were in it draw anew while the others count on (Foh and Tantra 2005; Tinnirello, Bianchi and Xiao 2010), and because after a collision its
/// participants, the stations that wait EIFS and the rest start to count at different times. The kinds of rounds form a Markov chain.
///
/// Capture: `overlaps[kind][other]` is what arrives although one of the other kind begins in the same slot; empty: nothing.
/// Stations whose frames are overlapped in vain wait no longer than the others after it, since they hear the end of the exchange.
pub(super) fn solve_with(kinds: &[Kind], times: &Times, overlaps: &[Vec<Overlap>]) -> Solution {
    let distinct = distinct_lengths(kinds);
    let lengths = length_shares(kinds, &distinct);
    let initial: Vec<Vec<f64>> = kinds.iter().map(|k| drawn(k.windows.get(..1).unwrap_or(&[]), &[1.0])).collect();
    let fresh: Vec<Vec<f64>> = initial.iter().map(|shares| hazards_of(shares)).collect();
    let stations: f64 = kinds.iter().map(|k| k.count).sum();
    let mut states: Vec<State> = kinds
        .iter()
        .map(|kind| {
            // The first guess: backoffs from the largest window, so that many stations do not all collide.
            let remaining = drawn(kind.windows.last().map(std::slice::from_ref).unwrap_or(&[]), &[1.0]);
            let steady = hazards_of(&remaining);
            State { after_failure: steady.clone(), steady, redrawn: remaining.clone(), remaining, recovery: 0.0 }
        })
        .collect();
    let pair: Party = kinds.iter().map(|k| k.count.min(2.0 * k.count / stations)).map(|m| (m, m)).collect();
    let mut parties: Vec<Party> = vec![pair; distinct.len()];
    let mut beside: Vec<Party> = vec![vec![(0.0, 0.0); kinds.len()]; kinds.len()];
    let events = kinds.len() + distinct.len();
    let mut shares = vec![1.0 / events as f64; events];
    // A part of each step only: a chain or a mix that alternates would not settle.
    let (mut residual, mut last, mut step, mut iterations) = (f64::INFINITY, f64::INFINITY, 0.5, 0);
    let mut rounds: Vec<Round> = Vec::new();
    while iterations < ITERATIONS && residual > TOLERANCE {
        iterations += 1;
        rounds = (0..events)
            .map(|e| {
                let groups = match e.checked_sub(kinds.len()) {
                    None => after_success(e, &beside[e], kinds, &states, &fresh),
                    Some(l) => after_collision(&parties[l], kinds, &states, times),
                };
                Round {
                    share: shares[e],
                    positions: groups.iter().map(Position::from).collect(),
                    outcome: follow(&groups, &lengths, times.slot, overlaps),
                }
            })
            .collect();
        let mut next = vec![0.0; events];
        let mut sums: Vec<Party> = vec![vec![(0.0, 0.0); kinds.len()]; distinct.len()];
        let mut besides: Vec<Party> = vec![vec![(0.0, 0.0); kinds.len()]; kinds.len()];
        for round in &rounds {
            for (g, position, deeds) in round.members() {
                next[position.kind] += round.share * deeds.ends;
                for (other, (won, lost)) in round.positions.iter().zip(&deeds.beside) {
                    let sum = &mut besides[position.kind][other.kind];
                    *sum = (sum.0 + round.share * won, sum.1 + round.share * lost);
                }
                for (sum, party) in sums.iter_mut().zip(&round.outcome.participants) {
                    sum[position.kind].0 += round.share * party[g].0.max(0.0);
                    sum[position.kind].1 += round.share * party[g].1.max(0.0);
                }
            }
            for (n, c) in next.iter_mut().skip(kinds.len()).zip(&round.outcome.collision) {
                *n += round.share * c;
            }
        }
        let met = meetings(&rounds, kinds.len());
        let total: f64 = next.iter().sum();
        if !(total.is_finite() && total > 0.0) {
            residual = f64::INFINITY;
            break;
        }
        residual = 0.0;
        for ((party, sum), weight) in parties.iter_mut().zip(&sums).zip(next.iter().skip(kinds.len())) {
            if *weight > 1e-14 {
                for (old, (all, long)) in party.iter_mut().zip(sum) {
                    old.0 += step * (all / weight - old.0);
                    old.1 += step * (long / weight - old.1);
                }
            }
        }
        for ((party, sum), weight) in beside.iter_mut().zip(&besides).zip(&next) {
            if *weight > 1e-14 {
                for (old, (won, lost)) in party.iter_mut().zip(sum) {
                    old.0 += step * (won / weight - old.0);
                    old.1 += step * (lost / weight - old.1);
                }
            }
        }
        for (share, new) in shares.iter_mut().zip(&next) {
            let new = new / total;
            residual = residual.max((new - *share).abs());
            *share += step * (new - *share);
        }
        for ((state, kind), met) in states.iter_mut().zip(kinds).zip(&met) {
            residual = residual.max(state.approach(&backoff(kind, met), step));
        }
        // Where the whole step overshoots, smaller ones settle.
        if residual > 0.95 * last {
            step = (0.8 * step).max(0.02);
        }
        last = residual;
    }
    summary(kinds.len(), &distinct, &rounds, iterations, residual)
}

fn summary(kinds: usize, distinct: &[f64], rounds: &[Round], iterations: u32, residual: f64) -> Solution {
    let mut rates = vec![Rates::default(); kinds];
    let mut collisions: Vec<(f64, f64)> = distinct.iter().map(|d| (*d, 0.0)).collect();
    let mut idle = 0.0;
    for round in rounds {
        idle += round.share * round.outcome.idle;
        for (_, position, deeds) in round.members() {
            let rate = &mut rates[position.kind];
            rate.attempts += round.share * deeds.attempts;
            rate.failures += round.share * (deeds.attempts - deeds.successes);
            rate.recovery += round.share * deeds.successes * position.recovery;
            rate.data += round.share * deeds.successes * (1.0 - position.recovery);
            rate.rounds += round.share * deeds.ends;
        }
        for (sum, c) in collisions.iter_mut().zip(&round.outcome.collision) {
            sum.1 += round.share * c;
        }
    }
    for rate in &mut rates {
        let successes = rate.data + rate.recovery;
        rate.rounds = if successes > 0.0 { rate.rounds / successes } else { 1.0 };
    }
    Solution { kinds: rates, collisions, idle, iterations, residual }
}
