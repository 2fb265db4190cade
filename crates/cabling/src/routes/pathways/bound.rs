//! The bound: fixed costs shared out among the cables so that their shortest ways together are as long as can be.

use super::core::Core;
use super::improve::{self, Plan};
use super::lower;
use super::shortest::Search;

/// How the strands' fixed costs are shared out.
#[derive(Clone, Debug)]
pub(super) struct Dual {
    /// Share of cable `k` in strand `p` at `p * cables + k`; at least 0, and together no more than the fixed cost.
    shares: Vec<f64>,
    cables: usize,
    /// Sum of the shortest ways with the shares so far: no answer costs less.
    pub bound: f64,
}

impl Dual {
    /// Shares as hinted for the network's passages, cut to what is allowed.
    pub fn new(core: &Core, hint: &[Vec<(usize, f64)>]) -> Self {
        let cables = core.cables.len();
        let mut dual = Self { shares: vec![0.0; cables * core.passages.len()], cables, bound: 0.0 };
        if hint.is_empty() {
            return dual;
        }
        let members = core.passages.iter().flat_map(|s| s.members.iter().copied()).max().map_or(0, |m| m + 1);
        let mut strand_of = vec![usize::MAX; members];
        for (p, strand) in core.passages.iter().enumerate() {
            for &m in &strand.members {
                strand_of[m] = p;
            }
        }
        for (k, cable) in core.cables.iter().enumerate() {
            for (m, share) in cable.demands.iter().filter_map(|&d| hint.get(d)).flatten() {
                let p = strand_of.get(*m).copied().unwrap_or(usize::MAX);
                if p != usize::MAX && share.is_finite() {
                    dual.shares[p * cables + k] += share.max(0.0);
                }
            }
        }
        for (p, strand) in core.passages.iter().enumerate() {
            let total: f64 = dual.of(p).iter().sum();
            if total > strand.fixed {
                let scale = strand.fixed / total;
                dual.of_mut(p).iter_mut().for_each(|w| *w *= scale);
            }
        }
        dual
    }

    fn of(&self, p: usize) -> &[f64] {
        &self.shares[p * self.cables..(p + 1) * self.cables]
    }

    fn of_mut(&mut self, p: usize) -> &mut [f64] {
        &mut self.shares[p * self.cables..(p + 1) * self.cables]
    }

    pub fn share(&self, k: usize, p: usize) -> f64 {
        self.shares[p * self.cables + k]
    }

    pub fn add(&mut self, k: usize, p: usize, more: f64) {
        self.shares[p * self.cables + k] += more;
    }

    /// What of a strand's fixed cost no cable bears.
    pub fn unshared(&self, core: &Core, p: usize) -> f64 {
        core.passages[p].fixed - self.of(p).iter().sum::<f64>()
    }

    /// Shares out what no cable bears. It never lowers the bound.
    pub fn spread(&mut self, core: &Core) {
        for p in 0..core.passages.len() {
            let each = self.unshared(core, p).max(0.0) / self.cables as f64;
            self.of_mut(p).iter_mut().for_each(|w| *w += each);
        }
    }

    /// The same shares on the strands of a core that was made from this one's.
    pub fn carried(&self, core: &Core) -> Self {
        let mut shares = Vec::with_capacity(core.passages.len() * self.cables);
        for strand in &core.passages {
            shares.extend((0..self.cables).map(|k| strand.were.iter().map(|&w| self.share(k, w)).sum::<f64>()));
        }
        Self { shares, cables: self.cables, bound: self.bound }
    }

    /// Finds the bound for the shares, and keeps it.
    pub fn value(&mut self, core: &Core) -> f64 {
        let mut search = Search::new(core.places);
        self.bound = (0..self.cables).map(|k| self.shortest(core, k, &mut search)).sum();
        self.bound
    }

    fn shortest(&self, core: &Core, k: usize, search: &mut Search) -> f64 {
        let cable = &core.cables[k];
        search.run(&core.graph, cable.from, Some(cable.to), |p| cable.count * core.passages[p].each + self.share(k, p));
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

/// Rounds without a higher bound after which steps are halved.
const PATIENCE: usize = 6;
/// Rounds between two plans drawn from the dual.
const PLAN_EVERY: usize = 5;
/// Steps shorter than this share of the distance move nothing.
const SHORTEST_REACH: f64 = 1e-4;
/// How much of the last direction is kept.
const MOMENTUM: f64 = 0.5;

impl Steps {
    /// Raises the bound by at most `rounds` steps along projected subgradients, and betters the plan from what they show.
    /// Returns the rounds made.
    pub fn raise(&mut self, core: &Core, dual: &mut Dual, plan: &mut Plan, rounds: usize, enough: f64) -> usize {
        let (n, cables) = (core.passages.len(), core.cables.len());
        let mut search = Search::new(core.places);
        let mut at = dual.clone();
        let mut direction = vec![0.0; n * cables];
        // How much each strand was lately in use, 0 to 1.
        let mut used = vec![0.0_f64; n];
        for round in 0..rounds {
            if plan.cost - dual.bound <= enough * plan.cost || self.reach < SHORTEST_REACH {
                return round;
            }
            let mut users = vec![0_u32; n];
            let mut ways: Vec<Vec<usize>> = Vec::with_capacity(cables);
            let mut value = 0.0;
            for (k, cable) in core.cables.iter().enumerate() {
                value += at.shortest(core, k, &mut search);
                let way = search.way(cable.from, cable.to);
                way.iter().for_each(|&p| users[p] += 1);
                ways.push(way);
            }
            at.bound = value;
            if lower(dual.bound, value) {
                *dual = at.clone();
                self.idle = 0;
            } else {
                self.idle += 1;
                if self.idle >= PATIENCE {
                    self.reach *= 0.6;
                    self.idle = 0;
                    at = dual.clone();
                    direction.fill(0.0);
                    continue;
                }
            }
            for p in 0..n {
                used[p] = 0.7 * used[p] + 0.3 * f64::from(u8::from(users[p] > 0));
            }
            if round % PLAN_EVERY == 0 {
                improve::from_shown(core, plan, &used);
            }
            // A subgradient: one for each strand with a fixed cost on a cable's shortest way, less the mean over cables,
            // because shares of one strand only move between cables.
            direction.iter_mut().for_each(|d| *d *= MOMENTUM);
            for (k, way) in ways.iter().enumerate() {
                for &p in way.iter().filter(|&&p| core.passages[p].fixed > 0.0) {
                    direction[p * cables + k] += 1.0;
                }
            }
            let mut norm = 0.0;
            for p in 0..n {
                let row = &mut direction[p * cables..(p + 1) * cables];
                let mean = row.iter().sum::<f64>() / cables as f64;
                row.iter_mut().for_each(|d| *d -= mean);
                norm += row.iter().map(|d| d * d).sum::<f64>();
            }
            if norm <= 0.0 {
                return round + 1;
            }
            let step = self.reach * (plan.cost - value).max(0.0) / norm;
            for p in 0..n {
                let row = &direction[p * cables..(p + 1) * cables];
                if core.passages[p].fixed > 0.0 && row.iter().any(|d| *d != 0.0) {
                    let shares = at.of_mut(p);
                    shares.iter_mut().zip(row).for_each(|(w, d)| *w += step * d);
                    project(shares, core.passages[p].fixed);
                }
            }
        }
        rounds
    }
}

/// The nearest shares that are none below 0 and together the fixed cost (Held, Wolfe and Crowder 1974).
fn project(shares: &mut [f64], fixed: f64) {
    let mut falling = shares.to_vec();
    falling.sort_by(|a, b| b.total_cmp(a));
    let (mut sum, mut cut) = (0.0, 0.0);
    for (i, share) in falling.iter().enumerate() {
        sum += share;
        let level = (sum - fixed) / (i + 1) as f64;
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
