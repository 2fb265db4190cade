//! The best settings of some access points within one block of spectrum: branch and bound. Which of them are in the block, `plan_search` decides.

use crate::plan_choices::{Candidate, Choices};

/// Values closer than this are equal.
pub(crate) const PLAY: f64 = 1e-9;

/// Candidates of a band with what each takes from every access point.
pub(crate) struct Problem<'a> {
    pub choices: &'a Choices,
    /// Weight at each access point, `[group][candidate][receiver]`.
    takes: Vec<Vec<Vec<f64>>>,
}

impl<'a> Problem<'a> {
    pub fn new(choices: &'a Choices) -> Self {
        let num = choices.gain.len();
        let of = |group: usize, c: &Candidate| (0..num).map(|ap| choices.weight_of(ap, group, c)).collect();
        let rows = choices.candidates.iter().enumerate();
        let takes = rows.map(|(group, list)| list.iter().map(|c| of(group, c)).collect()).collect();
        Self { choices, takes }
    }

    pub fn members(&self, group: usize) -> &[usize] {
        &self.choices.groups[group]
    }

    pub fn candidate(&self, group: usize, idx: usize) -> &Candidate {
        &self.choices.candidates[group][idx]
    }

    /// Weight that a group's candidate has at an access point.
    pub fn take(&self, group: usize, idx: usize, receiver: usize) -> f64 {
        self.takes[group][idx][receiver]
    }

    /// Weights at the members of a group of the group itself.
    pub fn inner(&self, group: usize, idx: usize) -> Vec<f64> {
        self.members(group).iter().map(|m| self.take(group, idx, *m)).collect()
    }

    /// Value of a candidate with nothing of one's own on the air but its group.
    pub fn alone(&self, group: usize, idx: usize) -> f64 {
        self.choices.value(self.candidate(group, idx), &self.inner(group, idx))
    }
}

/// What was found for a set of groups in a block.
pub(crate) struct Solved {
    pub value: f64,
    /// Candidate of each group of the set, as its index among all of the group's.
    pub chosen: Vec<usize>,
    /// True if nothing better exists.
    pub complete: bool,
}

/// A set of groups in a block. Indices in here are positions in the set.
struct Inner<'a> {
    problem: &'a Problem<'a>,
    set: &'a [usize],
    /// Candidates that lie in the block, by position.
    candidates: &'a [&'a [usize]],
    /// Upper bound of the groups from a position on.
    open_bound: &'a [f64],
    /// Lower and upper edge [MHz] if the block is even: see [`is_even`].
    even: Option<(f64, f64)>,
    best: Vec<usize>,
    best_value: f64,
    budget: &'a mut u64,
    complete: bool,
}

/// True if a block falls into halves again and again, each as good as the other for every group: then halves in which nothing is yet can be swapped,
/// and only the lower needs to be tried.
pub(crate) fn is_even(lists: &[Vec<&Candidate>], (low, high): (f64, f64)) -> bool {
    let halves = ((high - low) / 20.0).log2();
    let same = |a: &Candidate, b: &Candidate| {
        let members = a.members.iter().zip(&b.members);
        a.air == b.air && members.into_iter().all(|(x, y)| x.eirp == y.eirp && x.worth.to_bits() == y.worth.to_bits())
    };
    (halves - halves.round()).abs() < 1e-9
        && lists.iter().all(|list| {
            let is_kept = |c: &&Candidate| {
                let twins = list.iter().filter(|d| d.channel.width_mhz == c.channel.width_mhz && same(c, d)).count();
                (twins as f64 * f64::from(c.channel.width_mhz) - (high - low)).abs() < 1e-9
            };
            list.iter().all(is_kept)
        })
}

/// A partial plan. Contention is that of own access points, by member.
#[derive(Clone)]
struct State {
    chosen: Vec<usize>,
    placed: Vec<Vec<f64>>,
    placed_value: Vec<f64>,
    /// `[position][candidate, then member]`, of positions still open.
    open: Vec<Vec<f64>>,
    open_value: Vec<Vec<f64>>,
}

/// Branch and bound over a set of groups in a block. `open_bound[k]` bounds the value of the groups from the k-th on.
///
/// One plan is always finished, whatever is left of the budget.
pub(crate) fn solve(
    problem: &Problem,
    set: &[usize],
    candidates: &[&[usize]],
    open_bound: &[f64],
    even: Option<(f64, f64)>,
    budget: &mut u64,
) -> Solved {
    let mut start = State {
        chosen: Vec::new(),
        placed: Vec::new(),
        placed_value: Vec::new(),
        open: Vec::new(),
        open_value: Vec::new(),
    };
    for (group, list) in set.iter().zip(candidates) {
        start.open.push(list.iter().flat_map(|idx| problem.inner(*group, *idx)).collect());
        start.open_value.push(list.iter().map(|idx| problem.alone(*group, *idx)).collect());
    }
    let (best, best_value) = (Vec::new(), f64::NEG_INFINITY);
    let mut inner = Inner { problem, set, candidates, open_bound, even, best, best_value, budget, complete: true };
    inner.descend(&start);
    Solved { value: inner.best_value, chosen: inner.best, complete: inner.complete }
}

fn best_of(values: &[f64]) -> f64 {
    values.iter().copied().fold(f64::NEG_INFINITY, f64::max)
}

impl Inner<'_> {
    fn at(&self, position: usize, k: usize) -> (usize, usize) {
        (self.set[position], self.candidates[position][k])
    }

    /// Contention at the placed groups with one more candidate, and what they then are worth.
    fn pressed(&self, state: &State, group: usize, idx: usize) -> (Vec<Vec<f64>>, Vec<f64>) {
        let mut placed = state.placed.clone();
        let mut values = state.placed_value.clone();
        let channel = &self.problem.candidate(group, idx).channel;
        for (position, chosen) in state.chosen.iter().enumerate() {
            let at = self.set[position];
            let candidate = self.problem.candidate(at, *chosen);
            if !candidate.channel.overlaps(channel) {
                continue;
            }
            for (own, receiver) in placed[position].iter_mut().zip(self.problem.members(at)) {
                *own += self.problem.take(group, idx, *receiver);
            }
            values[position] = self.problem.choices.value(candidate, &placed[position]);
        }
        (placed, values)
    }

    fn rest(&self, state: &State, from: usize) -> f64 {
        let each: f64 = state.open_value.iter().skip(from).map(|v| best_of(v)).sum();
        each.min(self.open_bound.get(from).copied().unwrap_or(0.0))
    }

    fn descend(&mut self, state: &State) {
        let position = state.chosen.len();
        if position == self.set.len() {
            let value: f64 = state.placed_value.iter().sum();
            if value > self.best_value + PLAY {
                self.best_value = value;
                self.best.clone_from(&state.chosen);
            }
            return;
        }
        let rest = self.rest(state, position + 1);
        let mut branches: Vec<(usize, f64)> = (0..self.candidates[position].len())
            .filter(|k| self.is_first_of_twins(state, position, *k))
            .map(|k| {
                let (group, idx) = self.at(position, k);
                let placed: f64 = self.pressed(state, group, idx).1.iter().sum();
                (k, placed + state.open_value[position][k])
            })
            .collect();
        branches.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
        for (k, value) in branches {
            if value + rest <= self.best_value + PLAY {
                return; // Those that follow are no better.
            }
            if *self.budget == 0 && self.best_value > f64::NEG_INFINITY {
                self.complete = false;
                return;
            }
            *self.budget = self.budget.saturating_sub(1);
            let next = self.place(state, position, k);
            if value + self.rest(&next, position + 1) <= self.best_value + PLAY {
                continue;
            }
            self.descend(&next);
        }
    }

    /// False for a channel in the upper of two halves of an even block in which nothing is placed.
    fn is_first_of_twins(&self, state: &State, position: usize, k: usize) -> bool {
        let Some((mut low, mut high)) = self.even else { return true };
        let (group, idx) = self.at(position, k);
        let (from, to) = self.problem.candidate(group, idx).channel.edges_mhz();
        let placed = state.chosen.iter().enumerate();
        let placed: Vec<(f64, f64)> =
            placed.map(|(at, chosen)| self.problem.candidate(self.set[at], *chosen).channel.edges_mhz()).collect();
        while high - low > to - from + 1e-9 {
            let middle = (low + high) / 2.0;
            let is_touched = placed.iter().any(|(a, b)| *a < high && low < *b && b - a < high - low - 1e-9);
            if from >= middle {
                if !is_touched {
                    return false;
                }
                low = middle;
            } else {
                high = middle;
            }
        }
        true
    }

    /// The state with a candidate placed at the first open position.
    fn place(&self, state: &State, position: usize, k: usize) -> State {
        let (group, idx) = self.at(position, k);
        let (placed, placed_value) = self.pressed(state, group, idx);
        let mut next = State { placed, placed_value, ..state.clone() };
        let num = self.problem.members(group).len();
        next.placed.push(state.open[position][k * num..][..num].to_vec());
        next.placed_value.push(state.open_value[position][k]);
        next.chosen.push(idx);
        let channel = &self.problem.candidate(group, idx).channel;
        for later in position + 1..self.set.len() {
            let members = self.problem.members(self.set[later]);
            for j in 0..self.candidates[later].len() {
                let (other, other_idx) = self.at(later, j);
                let candidate = self.problem.candidate(other, other_idx);
                if !candidate.channel.overlaps(channel) {
                    continue;
                }
                let own = &mut next.open[later][j * members.len()..][..members.len()];
                for (own, receiver) in own.iter_mut().zip(members) {
                    *own += self.problem.take(group, idx, *receiver);
                }
                next.open_value[later][j] = self.problem.choices.value(candidate, own);
            }
        }
        next
    }
}
