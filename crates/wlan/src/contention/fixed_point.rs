//! The fixed point of saturated contention: rounds, and the backoff of each kind of station, made to agree.

use super::round::{Group, Law, Lengths, Outcome, follow};

/// Rounds of the fixed point at most.
const ITERATIONS: u32 = 2_000;
/// Largest relative change at which it has converged.
pub(super) const TOLERANCE: f64 = 1e-8;

/// A kind of station, in plain numbers.
#[derive(Clone, Debug)]
pub(super) struct Kind {
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
}

/// What the iteration changes, for each kind.
#[derive(Clone, Debug)]
struct State {
    /// Chance to transmit at an opportunity of a station that was not in the last transmission.
    chance: f64,
    /// Share of block ack requests in that.
    recovery: f64,
    /// Chances slot by slot after a failure.
    after_failure: Vec<f64>,
}

/// Chance at each slot, given none before, of a backoff drawn uniformly from one of several windows.
fn hazards(windows: &[usize], weights: &[f64]) -> Vec<f64> {
    let longest = windows.iter().zip(weights).filter(|(_, w)| **w > 0.0).map(|(n, _)| *n).max().unwrap_or(1);
    let left =
        |k: usize| -> f64 { windows.iter().zip(weights).map(|(n, w)| w * (1.0 - k as f64 / *n as f64).max(0.0)).sum() };
    let mut now = left(0);
    (0..longest)
        .map(|k| {
            let next = left(k + 1);
            let hazard = if now > 0.0 { 1.0 - next / now } else { 1.0 };
            now = next;
            hazard
        })
        .collect()
}

/// For a fresh backoff drawn from a window: chance that it does not end in its first round, and expected opportunities needed after it.
fn leftover(window: usize, silent: &[f64], edca: bool) -> (f64, f64) {
    let (mut later, mut needed, mut sum) = (0.0, 0.0, 0.0);
    for b in 0..window {
        let here = silent.get(b).copied().unwrap_or(0.0);
        // EDCA: opportunities at slots 0 ... b; DCF: at 1 ... b, slot 0 only for a fresh backoff of 0.
        if edca || b > 0 {
            sum += here;
        }
        later += 1.0 - here;
        needed += match (edca, b) {
            (true, _) => b as f64 + 1.0 - sum,
            (false, 0) => 1.0 - here,
            (false, _) => b as f64 - sum,
        };
    }
    (later / window as f64, needed / window as f64)
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

fn after_success<'a>(winner: usize, kinds: &[Kind], states: &[State], fresh: &'a [Vec<f64>]) -> Vec<Group<'a>> {
    let mut groups = vec![Group {
        kind: winner,
        size: 1.0,
        start: kinds[winner].aifs,
        law: Law::Fresh(&fresh[winner]),
        recovery: 0.0,
    }];
    for (k, (kind, state)) in kinds.iter().zip(states).enumerate() {
        let size = if k == winner { kind.count - 1.0 } else { kind.count };
        groups.push(steady(k, kind, state, size, kind.aifs));
    }
    groups
}

fn steady<'a>(k: usize, kind: &Kind, state: &State, size: f64, start: f64) -> Group<'a> {
    let law = Law::Steady { chance: state.chance, first: usize::from(!kind.edca) };
    Group { kind: k, size: size.max(0.0), start, law, recovery: state.recovery }
}

fn after_collision<'a>(party: &Party, kinds: &[Kind], states: &'a [State], times: &Times) -> Vec<Group<'a>> {
    let all: f64 = party.iter().map(|p| p.0).sum();
    let longest: f64 = party.iter().map(|p| p.1).sum();
    // A bystander follows one of the frames; if it is not the longest, its EIFS ends with the busy period or soon after.
    let heard = times.heard * if all > 0.0 { longest / all } else { 1.0 };
    let mut groups = Vec::with_capacity(4 * kinds.len());
    for (k, (kind, state)) in kinds.iter().zip(states).enumerate() {
        let (total, long) = party.get(k).copied().unwrap_or((0.0, 0.0));
        let recovery = if kind.recovery.is_some() { 1.0 } else { 0.0 };
        for (size, start) in [(long, times.timeout + kind.aifs), (total - long, kind.aifs)] {
            let law = Law::Fresh(&state.after_failure);
            groups.push(Group { kind: k, size: size.clamp(0.0, kind.count), start, law, recovery });
        }
        let rest = (kind.count - total).max(0.0);
        groups.push(steady(k, kind, state, rest * (1.0 - heard), kind.aifs));
        groups.push(steady(k, kind, state, rest * heard, times.eifs_extra + kind.aifs));
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

/// The kind's chance, share of requests and weights of the stages after a failure, from what it met.
fn backoff(kind: &Kind, met: &Met) -> (f64, f64, Vec<f64>) {
    let mean = |(weight, curve): &(f64, Vec<f64>)| -> Vec<f64> {
        if *weight > 0.0 { curve.iter().map(|c| c / weight).collect() } else { Vec::new() }
    };
    let (success, collision) = (mean(&met.silent_success), mean(&met.silent_collision));
    let [first, again, later] = met.counts.map(failure_share);
    let (mut attempts, mut opportunities, mut requests) = (0.0, 0.0, 0.0);
    let mut visits = 1.0;
    let mut weights = vec![0.0; kind.windows.len()];
    for (stage, window) in kind.windows.iter().enumerate() {
        let (curve, fresh) = if stage == 0 { (&success, first) } else { (&collision, again) };
        let (left, needed) = leftover(*window, curve, kind.edca);
        attempts += visits * left;
        opportunities += visits * needed;
        if stage > 0 && kind.recovery.is_some() {
            requests += visits * left;
        }
        if stage > 0 {
            weights[stage] = visits;
        }
        visits *= (1.0 - left) * fresh + left * later;
    }
    // After the last stage the window is the least again.
    weights[0] = visits;
    let total: f64 = weights.iter().sum();
    if total > 0.0 {
        weights.iter_mut().for_each(|w| *w /= total);
    } else if let Some(next) = weights.last_mut() {
        *next = 1.0;
    }
    let chance = if opportunities > 0.0 { (attempts / opportunities).clamp(0.0, 1.0) } else { 0.0 };
    (chance, if attempts > 0.0 { requests / attempts } else { 0.0 }, weights)
}

/// A group of a round, as far as the sums need it.
#[derive(Clone, Copy, Debug)]
struct Position {
    kind: usize,
    size: f64,
    recovery: f64,
    fresh: bool,
}

impl From<&Group<'_>> for Position {
    fn from(g: &Group) -> Self {
        Position { kind: g.kind, size: g.size, recovery: g.recovery, fresh: matches!(g.law, Law::Fresh(_)) }
    }
}

/// One kind of round: how the busy period before it ended, who is where, and what comes of it.
struct Round {
    collided: bool,
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
            let (slot, curve) = match (position.fresh, round.collided) {
                (true, false) => (0, Some(&mut met.silent_success)),
                (true, true) => (1, Some(&mut met.silent_collision)),
                (false, _) => (2, None),
            };
            met.counts[slot].0 += round.share * deeds.attempts;
            met.counts[slot].1 += round.share * deeds.successes;
            if let Some(curve) = curve {
                add_weighted(curve, round.share * position.size, &deeds.silent);
            }
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
pub(super) fn solve(kinds: &[Kind], times: &Times) -> Solution {
    let distinct = distinct_lengths(kinds);
    let lengths = length_shares(kinds, &distinct);
    let fresh: Vec<Vec<f64>> = kinds.iter().map(|k| hazards(k.windows.get(..1).unwrap_or(&[]), &[1.0])).collect();
    let stations: f64 = kinds.iter().map(|k| k.count).sum();
    let first_guess = |k: &Kind| 2.0 / (k.windows.first().copied().unwrap_or(1) as f64 + 1.0) / stations.sqrt();
    let mut states: Vec<State> = kinds
        .iter()
        .zip(&fresh)
        .map(|(k, f)| State { chance: first_guess(k), recovery: 0.0, after_failure: f.clone() })
        .collect();
    let pair: Party = kinds.iter().map(|k| k.count.min(2.0 * k.count / stations)).map(|m| (m, m)).collect();
    let mut parties: Vec<Party> = vec![pair; distinct.len()];
    let events = kinds.len() + distinct.len();
    let mut shares = vec![1.0 / events as f64; events];
    let (mut residual, mut iterations) = (f64::INFINITY, 0);
    let mut rounds: Vec<Round> = Vec::new();
    while iterations < ITERATIONS && residual > TOLERANCE {
        iterations += 1;
        rounds = (0..events)
            .map(|e| {
                let groups = match e.checked_sub(kinds.len()) {
                    None => after_success(e, kinds, &states, &fresh),
                    Some(l) => after_collision(&parties[l], kinds, &states, times),
                };
                Round {
                    collided: e >= kinds.len(),
                    share: shares[e],
                    positions: groups.iter().map(Position::from).collect(),
                    outcome: follow(&groups, &lengths, times.slot),
                }
            })
            .collect();
        let mut next = vec![0.0; events];
        let mut sums: Vec<Party> = vec![vec![(0.0, 0.0); kinds.len()]; distinct.len()];
        for round in &rounds {
            for (g, position, deeds) in round.members() {
                next[position.kind] += round.share * deeds.successes;
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
                *party = sum.iter().map(|(a, b)| (a / weight, b / weight)).collect();
            }
        }
        for (share, new) in shares.iter_mut().zip(&next) {
            let new = new / total;
            residual = residual.max((new - *share).abs());
            // Half a step, here and below: a chain or a mix that alternates would not settle.
            *share = 0.5 * (*share + new);
        }
        for ((state, kind), met) in states.iter_mut().zip(kinds).zip(&met) {
            let (chance, recovery, weights) = backoff(kind, met);
            residual = residual.max((chance - state.chance).abs() / chance.max(1e-12));
            let mixed = 0.5 * (state.chance + chance);
            *state = State { chance: mixed, recovery, after_failure: hazards(&kind.windows, &weights) };
        }
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
        }
        for (sum, c) in collisions.iter_mut().zip(&round.outcome.collision) {
            sum.1 += round.share * c;
        }
    }
    Solution { kinds: rates, collisions, idle, iterations, residual }
}
