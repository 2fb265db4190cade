//! The bound: fixed costs shared out among the cables so that their shortest ways together are as long as can be.

use rayon::prelude::*;

use super::core::{Core, Strand};
use super::improve::{self, Plan};
use super::lower;
use super::shortest::Search;

/// How the strands' fixed costs are shared out.
///
/// A strand's fixed cost is divided into budgets, one for each source. A source's budget is shared out among its cables twice:
/// once among those that travel the strand forth, and once among those that travel it back, because no two cables of one source
/// need it in opposite directions.
#[derive(Clone, Debug)]
pub(super) struct Dual {
    /// Share of cable `k` in arc `a` at `k * arcs + a`; at least 0.
    shares: Vec<f64>,
    /// Budget of source `s` in strand `p` at `p * sources + s`; together no more than the fixed cost.
    budgets: Vec<f64>,
    /// Sum of the shares of source `s` in arc `a` at `a * sources + s`, as long as only [`Dual::add`] changes them.
    laid: Vec<f64>,
    arcs: usize,
    cables: usize,
    /// Cables of each source: where they begin, and one past the last.
    spans: Vec<[usize; 2]>,
    /// Source of each cable.
    source: Vec<usize>,
    /// Sum of the shortest ways with the shares so far: no answer costs less.
    pub bound: f64,
}

impl Dual {
    /// Shares as hinted for the network's arcs, cut to what is allowed.
    pub fn new(core: &Core, hint: &[Vec<(usize, f64)>]) -> Self {
        let cables = core.cables.len();
        let mut spans = vec![[cables, 0]; core.sources];
        for (k, cable) in core.cables.iter().enumerate() {
            let [first, past] = spans[cable.source];
            spans[cable.source] = [first.min(k), past.max(k + 1)];
        }
        let mut dual = Self {
            shares: vec![0.0; 2 * cables * core.passages.len()],
            budgets: vec![0.0; core.sources * core.passages.len()],
            laid: vec![0.0; 2 * core.sources * core.passages.len()],
            arcs: 2 * core.passages.len(),
            cables,
            spans,
            source: core.cables.iter().map(|c| c.source).collect(),
            bound: 0.0,
        };
        if hint.iter().any(|h| !h.is_empty()) {
            dual.take(core, hint);
        }
        dual
    }

    fn take(&mut self, core: &Core, hint: &[Vec<(usize, f64)>]) {
        let members = core.passages.iter().flat_map(|s| s.members.iter().copied()).max().map_or(0, |m| m + 1);
        let mut arc_of = vec![usize::MAX; members];
        for (p, strand) in core.passages.iter().enumerate() {
            for (&m, &forth) in strand.members.iter().zip(&strand.forth) {
                arc_of[m] = 2 * p + usize::from(!forth);
            }
        }
        for (k, cable) in core.cables.iter().enumerate() {
            for (arc, share) in cable.demands.iter().filter_map(|&d| hint.get(d)).flatten() {
                let own = arc_of.get(*arc / 2).copied().unwrap_or(usize::MAX);
                if own != usize::MAX && share.is_finite() {
                    self.add(k, own ^ (arc % 2), share.max(0.0));
                }
            }
        }
        for (p, strand) in core.passages.iter().enumerate() {
            let total = strand.fixed - self.unshared(core, p);
            if total > strand.fixed {
                let scale = strand.fixed / total;
                let sources = self.spans.len();
                self.budgets[p * sources..(p + 1) * sources].iter_mut().for_each(|b| *b *= scale);
                self.laid[2 * p * sources..2 * (p + 1) * sources].iter_mut().for_each(|l| *l *= scale);
                for k in 0..self.cables {
                    self.shares[k * self.arcs + 2 * p..][..2].iter_mut().for_each(|w| *w *= scale);
                }
            }
        }
    }

    pub fn share(&self, k: usize, arc: usize) -> f64 {
        self.shares[k * self.arcs + arc]
    }

    /// Shares of a source's cables in an arc.
    fn of(&self, arc: usize, source: usize) -> impl Iterator<Item = f64> + '_ {
        let [first, past] = self.spans[source];
        (first..past).map(move |k| self.shares[k * self.arcs + arc])
    }

    /// Changes the shares of a source's cables in an arc.
    fn change(&mut self, arc: usize, source: usize, row: &mut Vec<f64>, how: impl FnOnce(&mut [f64])) {
        row.clear();
        row.extend(self.of(arc, source));
        how(row);
        let first = self.spans[source][0];
        for (i, share) in row.iter().enumerate() {
            self.shares[(first + i) * self.arcs + arc] = *share;
        }
    }

    /// Lays more of an arc's fixed cost on a cable, and raises its source's budget where that is needed.
    pub fn add(&mut self, k: usize, arc: usize, more: f64) {
        self.shares[k * self.arcs + arc] += more;
        let (source, sources) = (self.source[k], self.spans.len());
        let laid = &mut self.laid[arc * sources + source];
        *laid += more;
        let budget = &mut self.budgets[arc / 2 * sources + source];
        *budget = budget.max(*laid);
    }

    /// How much more of an arc's fixed cost can be laid on the cables of a source, as long as only [`Dual::add`] changed
    /// shares.
    pub fn room(&self, core: &Core, source: usize, arc: usize) -> f64 {
        let sources = self.spans.len();
        self.budgets[arc / 2 * sources + source] - self.laid[arc * sources + source] + self.unshared(core, arc / 2)
    }

    /// What of a strand's fixed cost is in no source's budget.
    pub fn unshared(&self, core: &Core, p: usize) -> f64 {
        let sources = self.spans.len();
        core.passages[p].fixed - self.budgets[p * sources..(p + 1) * sources].iter().sum::<f64>()
    }

    /// Shares out what no cable bears. It never lowers the bound.
    pub fn spread(&mut self, core: &Core) {
        let sources = self.spans.len();
        let mut row = Vec::new();
        for p in 0..core.passages.len() {
            let each = self.unshared(core, p).max(0.0) / sources as f64;
            for s in 0..sources {
                self.budgets[p * sources + s] += each;
                let budget = self.budgets[p * sources + s];
                for arc in [2 * p, 2 * p + 1] {
                    self.change(arc, s, &mut row, |shares| {
                        let more = (budget - shares.iter().sum::<f64>()).max(0.0) / shares.len() as f64;
                        shares.iter_mut().for_each(|w| *w += more);
                    });
                }
            }
        }
    }

    /// The same shares on the strands of a core that was made from this one's.
    pub fn carried(&self, core: &Core) -> Self {
        let sources = self.spans.len();
        let mut shares = Vec::with_capacity(2 * core.passages.len() * self.cables);
        for k in 0..self.cables {
            for strand in &core.passages {
                let sum = |turn: usize| strand.were.iter().map(|&arc| self.share(k, arc ^ turn)).sum::<f64>();
                shares.extend([sum(0), sum(1)]);
            }
        }
        let of = |strand: &Strand, s: usize| -> f64 {
            strand.were.iter().map(|arc| self.budgets[arc / 2 * sources + s]).sum()
        };
        let budgets = core.passages.iter().flat_map(|strand| (0..sources).map(move |s| of(strand, s))).collect();
        let arcs = 2 * core.passages.len();
        Self {
            shares,
            budgets,
            laid: Vec::new(),
            arcs,
            spans: self.spans.clone(),
            source: self.source.clone(),
            ..*self
        }
    }

    /// Finds the bound for the shares, and keeps it.
    pub fn value(&mut self, core: &Core) -> f64 {
        let mut search = Search::new(core.places);
        self.bound = (0..self.cables).map(|k| self.shortest(core, k, &mut search)).sum();
        self.bound
    }

    fn shortest(&self, core: &Core, k: usize, search: &mut Search) -> f64 {
        let cable = &core.cables[k];
        let own = &self.shares[k * self.arcs..(k + 1) * self.arcs];
        search.run(&core.graph, cable.from, Some(cable.to), |arc| cable.count * core.each[arc / 2] + own[arc]);
        search.distance[cable.to]
    }
}

/// The state of the subgradient method between its calls.
#[derive(Debug)]
pub(super) struct Steps {
    /// Share of the distance between cost and bound that a step aims at.
    reach: f64,
    /// Rounds since the bound last rose.
    idle: usize,
}

impl Default for Steps {
    fn default() -> Self {
        Self { reach: 1.0, idle: 0 }
    }
}

/// Rounds without a higher bound after which steps become shorter.
const PATIENCE: usize = 6;
/// How much shorter.
const SHORTER: f64 = 0.6;
/// Rounds between two plans drawn from the dual.
const PLAN_EVERY: usize = 10;
/// Steps shorter than this share of the distance move nothing.
const SHORTEST_REACH: f64 = 1e-3;
/// How much of the last direction is kept.
const MOMENTUM: f64 = 0.5;
/// A direction smaller than this is none.
const NO_MOVE: f64 = 0.02;
/// How much of what was lately in use is kept from one round to the next.
const LATELY: f64 = 0.7;

impl Steps {
    /// Raises the bound by at most `rounds` steps along projected subgradients, and betters the plan from what they show.
    /// Returns the rounds made; less than `rounds` if nothing more is to be had.
    pub fn raise(&mut self, core: &Core, dual: &mut Dual, plan: &mut Plan, rounds: usize, enough: f64) -> usize {
        let (n, cables, sources) = (core.passages.len(), core.cables.len(), core.sources);
        let mut at = dual.clone();
        let mut direction = vec![0.0_f64; 2 * n * cables];
        let mut toward = vec![0.0_f64; n * sources];
        let mut shares = Vec::new();
        // How much each strand was lately in use, 0 to 1.
        let mut used = vec![0.0_f64; n];
        for round in 0..rounds {
            if plan.cost - dual.bound <= enough * plan.cost || self.reach < SHORTEST_REACH {
                return round;
            }
            let mut in_use = vec![false; n * sources];
            let mut ways: Vec<Vec<usize>> = Vec::with_capacity(cables);
            let mut value = 0.0;
            // Each cable's search is its own; sums are taken in the cables' order.
            let found: Vec<(f64, Vec<usize>)> = (0..cables)
                .into_par_iter()
                .map_init(
                    || Search::new(core.places),
                    |search, k| {
                        let cable = &core.cables[k];
                        (at.shortest(core, k, search), search.arcs(cable.from, cable.to))
                    },
                )
                .collect();
            for (cable, (length, way)) in core.cables.iter().zip(found) {
                value += length;
                way.iter().for_each(|&arc| in_use[arc / 2 * sources + cable.source] = true);
                ways.push(way);
            }
            at.bound = value;
            for p in 0..n {
                let now = in_use[p * sources..(p + 1) * sources].iter().any(|u| *u);
                used[p] = LATELY * used[p] + (1.0 - LATELY) * f64::from(u8::from(now));
            }
            if round % PLAN_EVERY == PLAN_EVERY - 1 {
                improve::from_shown(core, plan, &used);
            }
            if lower(dual.bound, value) {
                dual.clone_from(&at);
                self.idle = 0;
            } else {
                self.idle += 1;
                if self.idle >= PATIENCE {
                    self.reach *= SHORTER;
                    self.idle = 0;
                    at.clone_from(dual);
                    direction.fill(0.0);
                    toward.fill(0.0);
                    continue;
                }
            }
            // A subgradient: one for each arc with a fixed cost on a cable's shortest way, less the mean over the cables of
            // its source, because shares only move between those.
            for d in direction.iter_mut().chain(&mut toward) {
                *d = if d.abs() < NO_MOVE { 0.0 } else { *d * MOMENTUM };
            }
            for (k, way) in ways.iter().enumerate() {
                for &arc in way.iter().filter(|&&arc| core.passages[arc / 2].fixed > 0.0) {
                    direction[arc * cables + k] += 1.0;
                }
            }
            let mut norm = 0.0;
            for arc in 0..2 * n {
                for &[first, past] in &at.spans {
                    norm += centre(&mut direction[arc * cables + first..arc * cables + past]);
                }
            }
            for p in (0..n).filter(|&p| sources > 1 && core.passages[p].fixed > 0.0) {
                for s in 0..sources {
                    toward[p * sources + s] += f64::from(u8::from(in_use[p * sources + s]));
                }
                norm += centre(&mut toward[p * sources..(p + 1) * sources]);
            }
            if norm <= 0.0 {
                return round;
            }
            let step = self.reach * (plan.cost - value).max(0.0) / norm;
            for p in (0..n).filter(|&p| core.passages[p].fixed > 0.0) {
                let moved = &toward[p * sources..(p + 1) * sources];
                let budgets_move = moved.iter().any(|d| *d != 0.0);
                if budgets_move {
                    let budgets = &mut at.budgets[p * sources..(p + 1) * sources];
                    budgets.iter_mut().zip(moved).for_each(|(b, d)| *b += step * d);
                    project(budgets, core.passages[p].fixed);
                }
                for arc in [2 * p, 2 * p + 1] {
                    for s in 0..sources {
                        let [first, past] = at.spans[s];
                        let row = &direction[arc * cables + first..arc * cables + past];
                        if budgets_move || row.iter().any(|d| *d != 0.0) {
                            let budget = at.budgets[p * sources + s];
                            at.change(arc, s, &mut shares, |shares| {
                                shares.iter_mut().zip(row).for_each(|(w, d)| *w += step * d);
                                project(shares, budget);
                            });
                        }
                    }
                }
            }
        }
        rounds
    }
}

/// Takes the mean from a row; returns the sum of its squares then.
fn centre(row: &mut [f64]) -> f64 {
    let mean = row.iter().sum::<f64>() / row.len().max(1) as f64;
    if row.iter().all(|d| *d == 0.0) {
        return 0.0;
    }
    row.iter_mut().for_each(|d| *d -= mean);
    row.iter().map(|d| d * d).sum()
}

/// The nearest shares that are none below 0 and together the budget (Held, Wolfe and Crowder 1974).
fn project(shares: &mut [f64], budget: f64) {
    let mut falling = shares.to_vec();
    falling.sort_by(|a, b| b.total_cmp(a));
    let (mut sum, mut cut) = (0.0, 0.0);
    for (i, share) in falling.iter().enumerate() {
        sum += share;
        let level = (sum - budget) / (i + 1) as f64;
        if *share <= level {
            break;
        }
        cut = level;
    }
    shares.iter_mut().for_each(|w| *w = (*w - cut).max(0.0));
}

#[cfg(test)]
mod tests {
    use super::project;

    #[test]
    fn projected_shares_are_allowed_and_nearest() {
        let mut shares = [3.0, 1.0, -2.0];
        project(&mut shares, 2.0);
        assert_eq!(shares, [2.0, 0.0, 0.0]);
        let mut shares = [1.0, 1.0, 0.0];
        project(&mut shares, 3.0);
        assert!(shares.iter().zip([4.0 / 3.0, 4.0 / 3.0, 1.0 / 3.0]).all(|(a, b)| (a - b).abs() < 1e-12));
    }
}
