//! The question with all that cannot matter left out: dead ends, places in a row, passages that another beats.

use std::collections::BTreeMap;

use super::bound::Dual;
use super::improve::Plan;
use super::shortest::{Graph, Search};
use super::{Demand, Network, SAME};

/// A passage of the core: passages of the network in a row.
#[derive(Clone, Debug)]
pub(super) struct Strand {
    pub ends: [usize; 2],
    pub fixed: f64,
    pub each: f64,
    /// The network's passages, from the first end to the second.
    pub members: Vec<usize>,
    /// For each whether it is travelled from its own first end to its second.
    pub forth: Vec<bool>,
    /// Strands of the core before, by their arc there that runs from the first end to the second.
    pub were: Vec<usize>,
}

/// Demands with the same ends.
#[derive(Clone, Debug)]
pub(super) struct Cable {
    pub from: usize,
    pub to: usize,
    pub count: f64,
    /// Numbers of the demands.
    pub demands: Vec<usize>,
    /// Number of its source among the sources.
    pub source: usize,
}

#[derive(Clone, Debug)]
pub(super) struct Core {
    pub places: usize,
    pub passages: Vec<Strand>,
    /// Cost for each cable in each strand, side by side for the searches.
    pub each: Vec<f64>,
    /// Cost once of each strand, likewise.
    pub fixed: Vec<f64>,
    pub cables: Vec<Cable>,
    pub graph: Graph,
    /// How many sources there are; cables are sorted by them.
    pub sources: usize,
    num_demands: usize,
}

impl Core {
    pub fn new(network: &Network, demands: &[Demand]) -> Self {
        let sound = |x: f64| x.is_finite() && x >= 0.0;
        let passages: Vec<Strand> = network
            .passages
            .iter()
            .enumerate()
            .filter(|(_, p)| p.ends.iter().all(|e| *e < network.places) && p.ends[0] != p.ends[1])
            .filter(|(_, p)| sound(p.fixed) && sound(p.each))
            .map(|(i, p)| Strand {
                ends: p.ends,
                fixed: p.fixed,
                each: p.each,
                members: vec![i],
                forth: vec![true],
                were: vec![2 * i],
            })
            .collect();
        let graph = Graph::new(network.places, passages.iter().map(|p| p.ends));
        let mut pairs: BTreeMap<(usize, usize), Vec<usize>> = BTreeMap::new();
        for (i, d) in demands.iter().enumerate() {
            if d.from < network.places && d.to < network.places && d.from != d.to {
                pairs.entry((d.from, d.to)).or_default().push(i);
            }
        }
        // What cannot be reached has no part in the question.
        let groups = graph.parts();
        let mut cables: Vec<Cable> = Vec::new();
        for ((from, to), demands) in pairs {
            if groups[from] == groups[to] {
                let source = cables.last().map_or(0, |c| c.source + usize::from(c.from != from));
                cables.push(Cable { from, to, count: demands.len() as f64, demands, source });
            }
        }
        let sources = cables.last().map_or(0, |c| c.source + 1);
        let each = passages.iter().map(|p| p.each).collect();
        let fixed = passages.iter().map(|p| p.fixed).collect();
        Self { places: network.places, passages, each, fixed, cables, graph, sources, num_demands: demands.len() }
    }

    pub fn places_left(&self) -> usize {
        (0..self.places).filter(|p| !self.graph.around(*p).is_empty()).count()
    }

    /// Drops dead ends, joins passages in a row, and drops passages that another between the same places beats.
    pub fn contract(&mut self) {
        let mut keep = vec![false; self.places];
        for c in &self.cables {
            keep[c.from] = true;
            keep[c.to] = true;
        }
        let mut all: Vec<Option<Strand>> = self.passages.drain(..).map(Some).collect();
        let mut at: Vec<Vec<usize>> = vec![Vec::new(); self.places];
        for i in 0..all.len() {
            join(&mut all, &mut at, i, &mut Vec::new());
        }
        let mut waiting: Vec<usize> = (0..self.places).rev().collect();
        while let Some(v) = waiting.pop() {
            at[v].retain(|&i| all[i].is_some());
            if keep[v] {
                continue;
            }
            match at[v].as_slice() {
                [only] => {
                    if let Some(gone) = all[*only].take() {
                        waiting.push(other(&gone, v));
                    }
                }
                [first, second] => {
                    let (Some(a), Some(b)) = (all[*first].take(), all[*second].take()) else { continue };
                    let (x, y) = (other(&a, v), other(&b, v));
                    if x != y {
                        all.push(Some(in_a_row(a, b, v)));
                        let new = all.len() - 1;
                        join(&mut all, &mut at, new, &mut waiting);
                    }
                    waiting.extend([x, y]);
                }
                _ => {}
            }
        }
        self.passages = all.into_iter().flatten().collect();
        self.each = self.passages.iter().map(|p| p.each).collect();
        self.fixed = self.passages.iter().map(|p| p.fixed).collect();
        self.graph = Graph::new(self.places, self.passages.iter().map(|p| p.ends));
    }

    /// Drops passages that no answer cheaper than `cost` uses; true if any was dropped; `before` is called on the
    /// core as it was then. To be followed by
    /// [`Core::contract`]; then `were` names the strands as the dual numbers them.
    pub fn drop_dear(&mut self, dual: &Dual, cost: f64, before: impl FnOnce(&Self)) -> bool {
        let n = self.passages.len();
        let mut least = vec![f64::INFINITY; n];
        let (mut there, mut back) = (Search::new(self.places), Search::new(self.places));
        for (k, cable) in self.cables.iter().enumerate() {
            let length = |arc: usize| cable.count * self.passages[arc / 2].each + dual.share(k, arc);
            there.run(&self.graph, cable.from, None, length);
            // Searched backwards, an arc stands for the one against it.
            back.run(&self.graph, cable.to, None, |arc| length(arc ^ 1));
            let shortest = there.distance[cable.to];
            for (p, strand) in self.passages.iter().enumerate() {
                let [a, b] = strand.ends;
                let forth = there.distance[a] + length(2 * p) + back.distance[b];
                let against = there.distance[b] + length(2 * p + 1) + back.distance[a];
                least[p] = least[p].min(forth.min(against) - shortest);
            }
        }
        let room = cost - dual.bound + SAME * cost.abs().max(1.0);
        let keep: Vec<bool> = (0..n).map(|p| least[p] + dual.unshared(self, p).max(0.0) <= room).collect();
        if keep.iter().all(|k| *k) {
            return false;
        }
        before(self);
        for (i, strand) in self.passages.iter_mut().enumerate() {
            strand.were = vec![2 * i];
        }
        let mut kept = keep.iter();
        self.passages.retain(|_| kept.next().copied().unwrap_or(true));
        true
    }

    /// The plan's ways in the network's passages, one for each demand; empty where there is none.
    pub fn unfold(&self, plan: &Plan) -> Vec<Vec<usize>> {
        let mut ways = vec![Vec::new(); self.num_demands];
        for (cable, way) in self.cables.iter().zip(&plan.ways) {
            let mut at = cable.from;
            let mut members = Vec::new();
            for &p in way {
                let strand = &self.passages[p];
                if strand.ends[0] == at {
                    members.extend(&strand.members);
                } else {
                    members.extend(strand.members.iter().rev());
                }
                at = other(strand, at);
            }
            for &d in &cable.demands {
                ways[d].clone_from(&members);
            }
        }
        ways
    }

    /// Writes down what each demand bears of the network's passages' fixed costs, by the dual: for each passage of the core
    /// all shares in it, as the demand, the arc of the network and the share.
    ///
    /// A strand's share is laid on its passages in proportion to their fixed costs, and a cable's on its demands evenly.
    pub fn write_down(&self, dual: &Dual, fixed: impl Fn(usize) -> f64, book: &mut [Vec<(usize, usize, f64)>]) {
        for (p, strand) in self.passages.iter().enumerate().filter(|(_, s)| s.fixed > 0.0) {
            for (&m, &forth) in strand.members.iter().zip(&strand.forth) {
                let page = &mut book[m];
                page.clear();
                for (k, cable) in self.cables.iter().enumerate() {
                    for direction in 0..2 {
                        let part = dual.share(k, 2 * p + direction) * fixed(m) / strand.fixed / cable.count;
                        if part > 0.0 {
                            let arc = 2 * m + (usize::from(!forth) ^ direction);
                            page.extend(cable.demands.iter().map(|&d| (d, arc, part)));
                        }
                    }
                }
            }
        }
    }
}

fn other(strand: &Strand, v: usize) -> usize {
    if strand.ends[0] == v { strand.ends[1] } else { strand.ends[0] }
}

/// Puts a strand on the lists of its ends, unless another there beats it; drops those that it beats.
fn join(all: &mut [Option<Strand>], at: &mut [Vec<usize>], new: usize, waiting: &mut Vec<usize>) {
    let Some(strand) = all[new].as_ref() else { return };
    let ([a, b], fixed, each) = (strand.ends, strand.fixed, strand.each);
    let here: Vec<usize> = at[a].iter().copied().filter(|&i| i != new).collect();
    for i in here {
        let Some(rival) = all[i].as_ref().filter(|r| r.ends.contains(&b)) else { continue };
        if rival.fixed <= fixed && rival.each <= each {
            all[new] = None;
            return;
        }
        if rival.fixed >= fixed && rival.each >= each {
            all[i] = None;
            waiting.extend([a, b]);
        }
    }
    at[a].push(new);
    at[b].push(new);
}

/// Two strands that meet at `v` as one.
fn in_a_row(mut a: Strand, mut b: Strand, v: usize) -> Strand {
    let ends = [other(&a, v), other(&b, v)];
    if a.ends[0] == v {
        a.members.reverse();
        a.forth = a.forth.iter().rev().map(|f| !f).collect();
        a.were = a.were.iter().rev().map(|arc| arc ^ 1).collect();
    }
    if b.ends[1] == v {
        b.members.reverse();
        b.forth = b.forth.iter().rev().map(|f| !f).collect();
        b.were = b.were.iter().rev().map(|arc| arc ^ 1).collect();
    }
    a.members.extend(b.members);
    a.forth.extend(b.forth);
    a.were.extend(b.were);
    Strand { ends, fixed: a.fixed + b.fixed, each: a.each + b.each, members: a.members, forth: a.forth, were: a.were }
}
