//! Branch and bound over channels for one band. What a channel is worth comes from `plan`.

use radio_profile::Band;
use units::{Db, Dbm};

use crate::plan::weight;
use crate::{ApInput, Channel};

/// Partial plans looked at in one band before the search stops with what it has.
pub(crate) const MAX_NODES: u64 = 20_000;

/// Two own access points on one channel lose somewhat more than the time they share, to collisions. Common practice, no source.
const SHARING_COST: f64 = 1.1;

/// Values closer than this are equal.
const PLAY: f64 = 1e-9;

/// A channel that a group of access points could use.
pub(crate) struct Candidate {
    pub channel: Channel,
    /// For each member of the group: radiated power, logarithm of worth, contention with neighbours.
    pub members: Vec<(Dbm, f64, f64)>,
}

/// The search and what it found: the candidate of each group.
pub(crate) struct Search<'a> {
    choices: &'a [Vec<Candidate>],
    groups: &'a [Vec<usize>],
    /// Path gain plus the receiver's antenna gain, `[receiver][sender]` [dB].
    gain: Vec<Vec<f64>>,
    pub best: Vec<usize>,
    pub best_value: f64,
    pub nodes: u64,
}

/// A partial plan.
#[derive(Clone)]
struct State {
    chosen: Vec<usize>,
    /// Contention, `[group][candidate, then member]`: of groups not yet placed beside those placed; of placed ones at their candidate.
    contention: Vec<Vec<f64>>,
    /// Value of each candidate of each group under that contention.
    value: Vec<Vec<f64>>,
}

impl<'a> Search<'a> {
    pub fn run(
        aps: &[ApInput],
        groups: &'a [Vec<usize>],
        choices: &'a [Vec<Candidate>],
        coupling: &dyn Fn(usize, usize, Band) -> Db,
        band: Band,
    ) -> Self {
        let antenna = |i: usize| aps.get(i).and_then(|a| a.radio.band(band)).map_or(0.0, |r| r.antenna_gain.0);
        let row =
            |i: usize| (0..aps.len()).map(|j| if i == j { 0.0 } else { coupling(i, j, band).0 + antenna(i) }).collect();
        let gain = (0..aps.len()).map(row).collect();
        let best = vec![0; groups.len()];
        let mut search = Search { choices, groups, gain, best, best_value: f64::NEG_INFINITY, nodes: 0 };
        let mut start = State { chosen: Vec::new(), contention: Vec::new(), value: Vec::new() };
        for (group, candidates) in choices.iter().enumerate() {
            let contention = candidates.iter().flat_map(|c| search.alone(group, c)).collect();
            start.contention.push(contention);
            start.value.push(vec![0.0; candidates.len()]);
        }
        for (group, candidates) in choices.iter().enumerate() {
            for idx in 0..candidates.len() {
                start.value[group][idx] = search.value_of(&start, group, idx);
            }
        }
        search.descend(&start);
        search
    }

    /// Contention of each member of a group on a candidate, with neighbours and with the other members, which share its channel.
    fn alone(&self, group: usize, candidate: &Candidate) -> Vec<f64> {
        let members = &self.groups[group];
        let at = |(k, own): (usize, &(Dbm, f64, f64))| {
            let others = candidate.members.iter().enumerate().filter(|(other, _)| *other != k);
            own.2 + others.map(|(other, (eirp, ..))| self.share(members[k], members[other], *eirp)).sum::<f64>()
        };
        candidate.members.iter().enumerate().map(at).collect()
    }

    /// Share of time that a sender takes at a receiver.
    fn share(&self, receiver: usize, sender: usize, eirp: Dbm) -> f64 {
        SHARING_COST * weight(eirp.0 + self.gain[receiver][sender])
    }

    fn value_of(&self, state: &State, group: usize, idx: usize) -> f64 {
        let members = &self.choices[group][idx].members;
        let contention = &state.contention[group][idx * members.len()..][..members.len()];
        members.iter().zip(contention).map(|((_, worth, _), c)| worth - c.ln()).sum()
    }

    /// Adds to the contention of one group's candidate what another group's candidate takes from it.
    fn press(&self, state: &mut State, on: (usize, usize), by: (usize, usize)) {
        let (at, from) = (&self.choices[on.0][on.1], &self.choices[by.0][by.1]);
        if !at.channel.overlaps(&from.channel) {
            return;
        }
        let num = at.members.len();
        for (k, receiver) in self.groups[on.0].iter().enumerate() {
            let senders = self.groups[by.0].iter().zip(&from.members);
            let taken: f64 = senders.map(|(sender, (eirp, ..))| self.share(*receiver, *sender, *eirp)).sum();
            state.contention[on.0][on.1 * num + k] += taken;
        }
        state.value[on.0][on.1] = self.value_of(state, on.0, on.1);
    }

    /// What a candidate of the next group takes from the groups placed, as a loss of value.
    fn taken(&self, state: &State, group: usize, idx: usize) -> f64 {
        let from = &self.choices[group][idx];
        let mut loss = 0.0;
        for (placed, chosen) in state.chosen.iter().enumerate() {
            let at = &self.choices[placed][*chosen];
            if !at.channel.overlaps(&from.channel) {
                continue;
            }
            for (k, receiver) in self.groups[placed].iter().enumerate() {
                let before = state.contention[placed][chosen * at.members.len() + k];
                let senders = self.groups[group].iter().zip(&from.members);
                let taken: f64 = senders.map(|(sender, (eirp, ..))| self.share(*receiver, *sender, *eirp)).sum();
                loss += ((before + taken) / before).ln();
            }
        }
        loss
    }

    fn descend(&mut self, state: &State) {
        let group = state.chosen.len();
        let placed: f64 = state.chosen.iter().enumerate().map(|(g, idx)| state.value[g][*idx]).sum();
        if group == self.groups.len() {
            if placed > self.best_value + PLAY {
                self.best_value = placed;
                self.best.clone_from(&state.chosen);
            }
            return;
        }
        // Groups still open can at best have their best candidate beside what is placed: later ones only take away.
        let best_of = |state: &State, g: usize| state.value[g].iter().copied().fold(f64::NEG_INFINITY, f64::max);
        let rest: f64 = (group + 1..self.groups.len()).map(|g| best_of(state, g)).sum();
        let value = |idx: usize| placed + state.value[group][idx] - self.taken(state, group, idx);
        let mut branches: Vec<(usize, f64)> = (0..self.choices[group].len()).map(|idx| (idx, value(idx))).collect();
        branches.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
        for (idx, value) in branches {
            let full = self.nodes >= MAX_NODES && self.best_value > f64::NEG_INFINITY;
            if full || value + rest <= self.best_value + PLAY {
                return; // Those that follow are no better.
            }
            self.nodes += 1;
            let mut next = state.clone();
            for (g, chosen) in state.chosen.iter().enumerate() {
                self.press(&mut next, (g, *chosen), (group, idx));
            }
            for g in group + 1..self.groups.len() {
                for c in 0..self.choices[g].len() {
                    self.press(&mut next, (g, c), (group, idx));
                }
            }
            let rest: f64 = (group + 1..self.groups.len()).map(|g| best_of(&next, g)).sum();
            if value + rest <= self.best_value + PLAY {
                continue;
            }
            next.chosen.push(idx);
            self.descend(&next);
        }
    }
}
