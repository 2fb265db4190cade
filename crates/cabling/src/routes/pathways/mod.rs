//! The cheapest shared pathways for many cables: a fixed charge for each passage used by any, and a cost for each cable in it.
//!
//! - [`Network`], [`Passage`], [`Demand`]: the question, free of buildings
//! - [`solve`], [`Effort`], [`Hint`]: the search
//! - [`Answer`]: ways, their cost, and a bound that no ways can pass
//!
//! This module knows nothing of walls, minutes or links.

mod ascent;
mod bound;
mod core;
mod improve;
pub(super) mod shortest;

use std::collections::BTreeMap;

use self::bound::Dual;
use self::core::Core;
use self::improve::Plan;

/// A way between two places that cables may share.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Passage {
    /// The places that it joins; it may be used both ways.
    pub ends: [usize; 2],
    /// Cost once, if any cable uses it.
    pub fixed: f64,
    /// Cost for each cable that uses it.
    pub each: f64,
}

/// Places and the passages between them.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Network {
    /// How many places there are.
    pub places: usize,
    /// Passages; those with a negative or unbounded cost, or to places that are not there, are not used.
    pub passages: Vec<Passage>,
}

/// A cable that is wanted.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Demand {
    /// Where it begins.
    pub from: usize,
    /// Where it ends.
    pub to: usize,
}

/// How hard to search.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Effort {
    /// Most rounds of raising the bound; each is one shortest path for each cable.
    pub rounds: usize,
    /// The search ends when cost and bound are no farther apart than this share of the cost.
    pub enough: f64,
}

impl Effort {
    /// A little: for an answer much like the one that the hint comes from, while somebody waits.
    #[must_use]
    pub fn quick() -> Self {
        Self { rounds: 8, enough: 0.01 }
    }
}

impl Default for Effort {
    fn default() -> Self {
        Self { rounds: 150, enough: 0.004 }
    }
}

/// What is known from a question much like this one. It speeds the search and never makes its answer wrong.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Hint {
    /// For each demand the passages that it may take; empty if nothing is known.
    pub ways: Vec<Vec<usize>>,
    /// For each demand the share of passages' fixed costs that it was held to bear, as in [`Answer::shares`].
    pub shares: Vec<Vec<(usize, f64)>>,
}

/// The answer.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Answer {
    /// For each demand its passages in order; none if its end cannot be reached.
    pub ways: Vec<Option<Vec<usize>>>,
    /// Cost of all ways together.
    pub cost: f64,
    /// No ways for the same demands cost less.
    pub bound: f64,
    /// For each demand the share of passages' fixed costs that it bears in the bound: twice the number of the passage, plus
    /// one if it is travelled from its second end to its first.
    pub shares: Vec<Vec<(usize, f64)>>,
    /// Rounds that the bound took.
    pub rounds: usize,
    /// Places and passages that were left to search after those that cannot matter were dropped.
    pub left: (usize, usize),
}

impl Answer {
    /// How far the cost may be from the least possible, as a share of the cost.
    #[must_use]
    pub fn gap(&self) -> f64 {
        if self.cost > 0.0 { ((self.cost - self.bound) / self.cost).max(0.0) } else { 0.0 }
    }
}

/// Finds cheap ways for all demands, and proves how cheap.
///
/// # Model
/// Uncapacitated fixed-charge network design: least `Σ fixed(p) · [p is used] + Σ each(p) · cables in p` with one way for each
/// demand. The bound is dual: each passage's fixed cost is shared out among the demands so that the sum of their shortest ways
/// is as great as can be. Demands of one source never need a passage both ways, so that its cost is shared out once for each
/// direction; that is what makes the bound tight (Wong, Mathematical Programming 28, 1984). It is raised by dual ascent (Balakrishnan, Magnanti and Wong, Operations Research 37, 1989: every
/// raise lifts all places behind a cut) and then by projected subgradients. Passages without which every answer is at least as
/// cheap are dropped by reduced costs. Ways come from slope scaling (Kim and Pardalos 1999), then each cable, each bundle and
/// each passage in turn is rerouted, opened or closed while that helps.
///
/// # Validity
/// Any number of sources. Demands that cannot be met, or name places that are not there, have no way and no part in cost or
/// bound. The same question gives the same answer.
///
/// # Example
/// ```
/// use cabling::pathways::{Demand, Effort, Hint, Network, Passage, solve};
/// // Two outlets: a hole each, or one hole for both and a little more cable.
/// let p = |a, b, fixed, each| Passage { ends: [a, b], fixed, each };
/// let passages = vec![p(0, 1, 10.0, 1.0), p(0, 2, 10.0, 1.0), p(1, 2, 0.0, 2.0)];
/// let demands = [Demand { from: 0, to: 1 }, Demand { from: 0, to: 2 }];
/// let answer = solve(&Network { places: 3, passages }, &demands, &Hint::default(), Effort::default());
/// assert!((answer.cost - 14.0).abs() < 1e-9 && answer.gap() < 1e-3);
/// ```
#[must_use]
pub fn solve(network: &Network, demands: &[Demand], hint: &Hint, effort: Effort) -> Answer {
    // A way serves both directions: demands are turned so that as few places as can be are sources.
    let mut ends: BTreeMap<usize, usize> = BTreeMap::new();
    for end in demands.iter().flat_map(|d| [d.from, d.to]) {
        *ends.entry(end).or_default() += 1;
    }
    let often = |end: usize| (ends.get(&end).copied().unwrap_or(0), std::cmp::Reverse(end));
    let is_turned: Vec<bool> = demands.iter().map(|d| often(d.to) > often(d.from)).collect();
    let turned = |demand: &Demand, turn: bool| {
        if turn { Demand { from: demand.to, to: demand.from } } else { *demand }
    };
    let demands: Vec<Demand> = demands.iter().zip(&is_turned).map(|(d, t)| turned(d, *t)).collect();
    let mut hint = hint.clone();
    for (d, _) in is_turned.iter().enumerate().filter(|(_, t)| **t) {
        hint.ways.get_mut(d).into_iter().for_each(|way| way.reverse());
        hint.shares.get_mut(d).into_iter().flatten().for_each(|(arc, _)| *arc ^= 1);
    }
    let mut answer = solve_turned(network, &demands, &hint, effort);
    for (d, _) in is_turned.iter().enumerate().filter(|(_, t)| **t) {
        answer.ways.get_mut(d).into_iter().flatten().for_each(|way| way.reverse());
        answer.shares.get_mut(d).into_iter().flatten().for_each(|(arc, _)| *arc ^= 1);
    }
    answer
}

fn solve_turned(network: &Network, demands: &[Demand], hint: &Hint, effort: Effort) -> Answer {
    let mut core = Core::new(network, demands);
    let mut answer = Answer { ways: vec![None; demands.len()], ..Answer::default() };
    if core.cables.is_empty() {
        for (way, demand) in answer.ways.iter_mut().zip(demands) {
            *way = (demand.from == demand.to && demand.from < network.places).then(Vec::new);
        }
        answer.shares = vec![Vec::new(); demands.len()];
        return answer;
    }
    core.contract();
    let mut plan = improve::first(&core, &hint.ways);
    improve::improve(&core, &mut plan, false);
    let mut dual = Dual::new(&core, &hint.shares);
    ascent::ascend(&core, &mut dual);
    dual.spread(&core);
    if dual.value(&core) < plan.cost * (1.0 - GOOD_HINT) && hint.shares.iter().any(|s| !s.is_empty()) {
        // Ascent only adds to shares: it finds more from none than from some that are off the mark.
        let mut raised = Dual::new(&core, &[]);
        ascent::ascend(&core, &mut raised);
        raised.spread(&core);
        if raised.value(&core) > dual.bound {
            dual = raised;
        }
    }
    let mut book = vec![Vec::new(); network.passages.len()];
    let mut steps = bound::Steps::default();
    let mut best = core.unfold(&plan);
    let mut thorough = false;
    while plan.cost - dual.bound > effort.enough * plan.cost {
        let before = core.passages.len();
        if effort.rounds > FEW_ROUNDS * 2
            && core.drop_dear(&dual, plan.cost, |core| core.write_down(&dual, |m| network.passages[m].fixed, &mut book))
        {
            core.contract();
            dual = dual.carried(&core);
            plan = improve::first(&core, &best);
        }
        if !thorough && effort.rounds > FEW_ROUNDS * 2 {
            improve::improve(&core, &mut plan, true);
            thorough = true;
        }
        let shrunk = core.passages.len() * 10 < before * 9;
        let budget = if shrunk { FEW_ROUNDS } else { MANY_ROUNDS }.min(effort.rounds.saturating_sub(answer.rounds));
        let raised = steps.raise(&core, &mut dual, &mut plan, budget, effort.enough);
        answer.rounds += raised;
        best = core.unfold(&plan);
        // Less than its budget is raised only when the bound is near enough or steps have become too short.
        if answer.rounds >= effort.rounds || raised < budget {
            break;
        }
    }
    core.write_down(&dual, |m| network.passages[m].fixed, &mut book);
    answer.shares = vec![Vec::new(); demands.len()];
    for (demand, arc, share) in book.into_iter().flatten() {
        answer.shares[demand].push((arc, share));
    }
    answer.left = (core.places_left(), core.passages.len());
    answer.cost = plan.cost;
    answer.bound = dual.bound.min(plan.cost);
    for ((way, found), demand) in answer.ways.iter_mut().zip(best).zip(demands) {
        *way = if demand.from == demand.to && demand.from < network.places {
            Some(Vec::new())
        } else if found.is_empty() {
            None
        } else {
            Some(found)
        };
    }
    answer
}

/// Rounds between two attempts to drop passages, while dropping goes well and otherwise.
const FEW_ROUNDS: usize = 10;
const MANY_ROUNDS: usize = 30;
/// Shares from before need no ascent if they bound to within this share of the cost.
const GOOD_HINT: f64 = 0.03;

/// Costs nearer than this are the same, as a share of the larger.
const SAME: f64 = 1e-9;

/// True if a cost is lower than another by more than rounding.
fn lower(cost: f64, than: f64) -> bool {
    cost < than - SAME * than.abs().max(1.0)
}

impl Plan {
    /// Cost of the passages used and of the cables in them.
    fn total(&self, core: &Core) -> f64 {
        let fixed: f64 = core.passages.iter().zip(&self.users).filter(|(_, u)| **u > 0).map(|(p, _)| p.fixed).sum();
        let each: f64 = core
            .cables
            .iter()
            .zip(&self.ways)
            .map(|(c, way)| c.count * way.iter().map(|&p| core.passages[p].each).sum::<f64>())
            .sum();
        fixed + each
    }
}
