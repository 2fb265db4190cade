//! The best combination of settings in one band, with a proof or a bound. What a setting is worth comes from `plan_choices`.
//!
//! Channels that share no spectrum do not touch each other, so that a band falls into blocks (80 MHz in 5 GHz, 160 MHz in 6 GHz), and a plan is a
//! way to deal the access points out to the blocks, with the best settings in each.

use crate::plan_block::{PLAY, Problem, Solved, is_even, solve};
use crate::plan_choices::Choices;

/// Work of the search in one band: partial plans looked at, and each round of dealing out by its length.
pub(crate) const MAX_NODES: u64 = 400_000;

/// Combinations of sets and blocks that count as one partial plan.
const STEPS_PER_NODE: u64 = 2_000;

/// Most groups that are dealt out exactly: the work grows with 3 to their power.
const EXACT_GROUPS: usize = 9;

/// Passes of improvement of a plan that is not proven.
const PASSES: usize = 20;

/// What a search found.
pub(crate) struct Found {
    /// Candidate of each group.
    pub best: Vec<usize>,
    pub value: f64,
    /// No plan is worth more than this.
    pub bound: f64,
    pub nodes: u64,
}

/// The best candidate of each group.
pub(crate) fn search(choices: &Choices) -> Found {
    let problem = Problem::new(choices);
    let all: Vec<usize> = (0..choices.groups.len()).collect();
    let mut budget = MAX_NODES;
    let mut best = Vec::new();
    let mut bound = 0.0;
    // Larger homes are bounded, and begun, by dealing out a few access points at a time as if the others were not there.
    let parts = all.len().div_ceil(EXACT_GROUPS).max(1);
    let share = MAX_NODES / parts as u64;
    for part in all.chunks(all.len().div_ceil(parts).max(1)) {
        let mut left = share;
        let found = Deal::new(&problem, part).run(&mut left);
        budget = budget.saturating_sub(share - left);
        bound += found.1;
        best.extend(found.0);
    }
    let mut value = total(&problem, &best);
    if value < bound - PLAY {
        improve(&problem, &mut best);
        value = total(&problem, &best);
    }
    Found { best, value, bound: bound.max(value), nodes: MAX_NODES - budget }
}

fn total(problem: &Problem, best: &[usize]) -> f64 {
    let chosen: Vec<_> = best.iter().enumerate().map(|(g, idx)| problem.candidate(g, *idx)).collect();
    problem.choices.total(&chosen)
}

/// Changes one group's setting at a time for the better, until none is left or the passes are.
fn improve(problem: &Problem, best: &mut [usize]) {
    for _ in 0..PASSES {
        let mut changed = false;
        for group in 0..best.len() {
            // Contention at every member of the others without this group.
            let others: Vec<usize> = (0..best.len()).filter(|g| *g != group).collect();
            let own = |at: usize| -> Vec<f64> {
                let channel = &problem.candidate(at, best[at]).channel;
                let heard = |m: &usize| {
                    let on_it = others.iter().filter(|g| **g != at);
                    let on_it = on_it.filter(|g| problem.candidate(**g, best[**g]).channel.overlaps(channel));
                    problem.take(at, best[at], *m) + on_it.map(|g| problem.take(*g, best[*g], *m)).sum::<f64>()
                };
                problem.members(at).iter().map(heard).collect()
            };
            let before: Vec<(usize, Vec<f64>)> = others.iter().map(|at| (*at, own(*at))).collect();
            let worth = |idx: usize| {
                let candidate = problem.candidate(group, idx);
                let mut mine = problem.inner(group, idx);
                let mut sum = 0.0;
                for (at, own) in &before {
                    let other = problem.candidate(*at, best[*at]);
                    if !other.channel.overlaps(&candidate.channel) {
                        continue;
                    }
                    for (mine, receiver) in mine.iter_mut().zip(problem.members(group)) {
                        *mine += problem.take(*at, best[*at], *receiver);
                    }
                    let members = problem.members(*at).iter();
                    let pressed: Vec<f64> =
                        own.iter().zip(members).map(|(own, m)| own + problem.take(group, idx, *m)).collect();
                    sum += problem.choices.value(other, &pressed) - problem.choices.value(other, own);
                }
                sum + problem.choices.value(candidate, &mine)
            };
            let mut top = (best[group], worth(best[group]));
            for idx in 0..problem.choices.candidates[group].len() {
                let value = worth(idx);
                if value > top.1 + PLAY {
                    top = (idx, value);
                }
            }
            changed |= top.0 != best[group];
            best[group] = top.0;
        }
        if !changed {
            return;
        }
    }
}

/// A part of the band that shares no spectrum with the rest.
struct Block {
    /// Candidates in it, by group.
    candidates: Vec<Vec<usize>>,
    /// Blocks of one kind have the same candidates but for the frequency.
    kind: usize,
    /// Lower and upper edge [MHz] if its halves are alike.
    even: Option<(f64, f64)>,
}

/// What is known of the sets of groups in a kind of block, by bits.
struct Table {
    upper: Vec<f64>,
    solved: Vec<Option<Solved>>,
}

struct Deal<'a> {
    problem: &'a Problem<'a>,
    groups: &'a [usize],
    blocks: Vec<Block>,
    tables: Vec<Table>,
}

impl<'a> Deal<'a> {
    fn new(problem: &'a Problem<'a>, groups: &'a [usize]) -> Self {
        let mut deal = Deal { problem, groups, blocks: Vec::new(), tables: Vec::new() };
        let mut kinds: Vec<Vec<Vec<u64>>> = Vec::new();
        for candidates in deal.spans() {
            let kind = deal.kind_of(&candidates);
            let found = kinds.iter().position(|k| *k == kind).unwrap_or(kinds.len());
            if found == kinds.len() {
                deal.tables.push(deal.table(&candidates));
                kinds.push(kind);
            }
            let even = deal.even(&candidates);
            deal.blocks.push(Block { candidates, kind: found, even });
        }
        deal
    }

    /// Candidates by block and group; blocks from the lowest frequency up.
    fn spans(&self) -> Vec<Vec<Vec<usize>>> {
        let list = |g: &usize| &self.problem.choices.candidates[*g];
        let mut edges: Vec<(f64, f64)> = self.groups.iter().flat_map(list).map(|c| c.channel.edges_mhz()).collect();
        edges.sort_by(|a, b| a.0.total_cmp(&b.0).then(b.1.total_cmp(&a.1)));
        let mut spans: Vec<(f64, f64)> = Vec::new();
        for (low, high) in edges {
            match spans.last_mut() {
                Some(last) if low < last.1 => last.1 = last.1.max(high),
                _ => spans.push((low, high)),
            }
        }
        let within = |span: &(f64, f64), g: &usize| -> Vec<usize> {
            let inside = list(g).iter().enumerate().filter(|(_, c)| {
                let (low, high) = c.channel.edges_mhz();
                span.0 <= low && high <= span.1
            });
            inside.map(|(idx, _)| idx).collect()
        };
        spans.iter().map(|span| self.groups.iter().map(|g| within(span, g)).collect()).collect()
    }

    fn even(&self, candidates: &[Vec<usize>]) -> Option<(f64, f64)> {
        let lists: Vec<Vec<_>> = self
            .groups
            .iter()
            .zip(candidates)
            .map(|(g, list)| list.iter().map(|idx| self.problem.candidate(*g, *idx)).collect())
            .collect();
        let edges = || lists.iter().flatten().map(|c| c.channel.edges_mhz());
        let span = edges().fold((f64::INFINITY, f64::NEG_INFINITY), |s, e| (s.0.min(e.0), s.1.max(e.1)));
        is_even(&lists, span).then_some(span)
    }

    fn kind_of(&self, candidates: &[Vec<usize>]) -> Vec<Vec<u64>> {
        let all = self.groups.iter().zip(candidates);
        let all: Vec<_> =
            all.map(|(g, list)| list.iter().map(|idx| self.problem.candidate(*g, *idx)).collect::<Vec<_>>()).collect();
        let lowest = all.iter().flatten().map(|c| c.channel.edges_mhz().0).fold(f64::INFINITY, f64::min);
        let one = |list: &Vec<&crate::plan_choices::Candidate>| {
            let each = list.iter().flat_map(|c| {
                let (low, high) = c.channel.edges_mhz();
                let place = [(low - lowest).to_bits(), (high - low).to_bits(), c.air as u64];
                place.into_iter().chain(c.members.iter().flat_map(|m| [m.eirp.0.to_bits(), m.worth.to_bits()]))
            });
            each.collect()
        };
        all.iter().map(one).collect()
    }

    /// Nothing is known yet but what each group is worth alone.
    fn table(&self, candidates: &[Vec<usize>]) -> Table {
        let alone: Vec<f64> = self
            .groups
            .iter()
            .zip(candidates)
            .map(|(g, list)| list.iter().map(|idx| self.problem.alone(*g, *idx)).fold(f64::NEG_INFINITY, f64::max))
            .collect();
        let sum = |set: usize| alone.iter().enumerate().filter(|(g, _)| set >> g & 1 == 1).map(|(_, v)| v).sum();
        let upper: Vec<f64> = (0..1usize << self.groups.len()).map(sum).collect();
        let solved = upper.iter().map(|_| None).collect();
        Table { upper, solved }
    }

    /// Lowers the bound of each set by those of its parts: whoever is left out only makes the others' air better.
    fn tighten(&mut self) {
        let num = self.groups.len();
        for table in &mut self.tables {
            for set in 1..1usize << num {
                let size = f64::from(set.count_ones());
                if size < 2.0 || table.solved[set].as_ref().is_some_and(|s| s.complete) {
                    continue;
                }
                let (mut one, mut mean) = (f64::INFINITY, 0.0);
                for g in (0..num).filter(|g| set >> g & 1 == 1) {
                    let without = table.upper[set & !(1 << g)];
                    one = one.min(without + table.upper[1 << g]);
                    mean += without / (size - 1.0);
                }
                table.upper[set] = table.upper[set].min(one).min(mean);
            }
        }
    }

    /// The best way to deal the groups out to the blocks under the bounds: its bound, and the set of each block.
    fn deal(&self) -> (f64, Vec<usize>) {
        let all = (1usize << self.groups.len()) - 1;
        let mut value = vec![f64::NEG_INFINITY; all + 1];
        value[0] = 0.0;
        let mut given: Vec<Vec<usize>> = Vec::new();
        for block in &self.blocks {
            let upper = &self.tables[block.kind].upper;
            let mut next = value.clone();
            let mut from = vec![0; all + 1];
            for set in 1..=all {
                let mut part = set;
                while part > 0 {
                    let with = value[set & !part] + upper[part];
                    if with > next[set] + PLAY {
                        next[set] = with;
                        from[set] = part;
                    }
                    part = (part - 1) & set;
                }
            }
            given.push(from);
            value = next;
        }
        let mut sets = vec![0; self.blocks.len()];
        let mut left = all;
        for (k, from) in given.iter().enumerate().rev() {
            sets[k] = from[left];
            left &= !from[left];
        }
        (value[all], sets)
    }

    /// What to solve next of a set: the smallest of its parts that are not yet, since they bound the larger ones; at last the set itself.
    fn open_parts(&self, kind: usize, set: usize) -> Vec<usize> {
        let solved = &self.tables[kind].solved;
        let mut parts = Vec::new();
        let mut part = set;
        while part > 0 {
            if solved[part].is_none() {
                parts.push(part);
            }
            part = (part - 1) & set;
        }
        let smallest = parts.iter().map(|p| p.count_ones()).min().unwrap_or(0);
        parts.retain(|p| p.count_ones() == smallest);
        parts
    }

    fn solve(&mut self, block: usize, set: usize, budget: &mut u64) {
        let members: Vec<usize> = (0..self.groups.len()).filter(|g| set >> g & 1 == 1).collect();
        let Block { candidates, kind, even } = &self.blocks[block];
        let table = &self.tables[*kind];
        let groups: Vec<usize> = members.iter().map(|g| self.groups[*g]).collect();
        let lists: Vec<&[usize]> = members.iter().map(|g| &candidates[*g][..]).collect();
        let from = |k: usize| members[k..].iter().fold(0, |bits, g| bits | 1 << g);
        let open_bound: Vec<f64> = (0..=members.len()).map(|k| table.upper[from(k)]).collect();
        let mut found = solve(self.problem, &groups, &lists, &open_bound, *even, budget);
        // Kept as positions in the block's lists, which blocks of one kind share.
        for (chosen, list) in found.chosen.iter_mut().zip(&lists) {
            *chosen = list.iter().position(|idx| idx == chosen).unwrap_or(0);
        }
        let table = &mut self.tables[*kind];
        if found.complete {
            table.upper[set] = found.value;
        }
        table.solved[set] = Some(found);
    }

    /// Candidate of each group, and a bound of their value.
    fn run(mut self, budget: &mut u64) -> (Vec<usize>, f64) {
        let num = self.groups.len();
        let steps = 3u64.pow(num as u32) * self.blocks.len() as u64;
        let mut incumbent: (f64, Vec<usize>) = (f64::NEG_INFINITY, vec![0; num]);
        loop {
            self.tighten();
            let (bound, sets) = self.deal();
            let mut fresh = false;
            let mut value = 0.0;
            for (block, set) in sets.iter().enumerate().filter(|(_, set)| **set > 0) {
                let kind = self.blocks[block].kind;
                // With no budget left one plan is finished all the same.
                let open = if *budget > 0 { self.open_parts(kind, *set) } else { vec![*set] };
                for part in
                    open.into_iter().filter(|part| self.tables[kind].solved[*part].is_none()).collect::<Vec<_>>()
                {
                    fresh = true;
                    self.solve(block, part, budget);
                }
                value += self.tables[kind].solved[*set].as_ref().map_or(f64::NEG_INFINITY, |s| s.value);
            }
            if value > incumbent.0 + PLAY {
                incumbent = (value, self.plan(&sets));
            }
            let is_last = *budget == 0 && value > f64::NEG_INFINITY;
            *budget = budget.saturating_sub(1 + steps / STEPS_PER_NODE);
            // Nothing new: what is left open was given up for want of budget.
            if incumbent.0 >= bound - PLAY || !fresh || is_last {
                return (incumbent.1, bound);
            }
        }
    }

    /// The candidates of dealt sets. Among blocks of one kind the lower goes to the set with the earlier access point.
    fn plan(&self, sets: &[usize]) -> Vec<usize> {
        let mut plan = vec![0; self.groups.len()];
        for (kind, table) in self.tables.iter().enumerate() {
            let same = || self.blocks.iter().enumerate().filter(|(_, b)| b.kind == kind);
            let mut used: Vec<usize> = same().map(|(k, _)| sets[k]).filter(|set| *set > 0).collect();
            used.sort_by_key(|set| set.trailing_zeros());
            for (set, (_, block)) in used.iter().zip(same()) {
                let Some(solved) = &table.solved[*set] else { continue };
                let members = (0..self.groups.len()).filter(|g| set >> g & 1 == 1);
                for (g, chosen) in members.zip(&solved.chosen) {
                    plan[g] = block.candidates[g].get(*chosen).copied().unwrap_or(0);
                }
            }
        }
        plan
    }
}
