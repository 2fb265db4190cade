//! Who starts at a slot boundary, given how often each sender does: collisions, waiting times and the sums that [`super::Carrier`]'s turns need.

use super::carried_solve::{LEAST_LEFT, before, meets};
use super::carried_state::{Active, Class, Scratch, Times};

/// Least chance that nobody starts at a boundary: thousands of senders would make it nothing.
const LEAST_QUIET: f64 = 1e-30;

impl Scratch {
    /// The first boundary of all, and how many each class must let pass.
    pub fn zones(&mut self, times: &Times) {
        let active = || self.classes.iter().filter(|c| c.active > 0);
        let start = active().map(|c| c.start).fold(f64::INFINITY, f64::min);
        self.totals.start = start;
        for class in self.classes.iter_mut().filter(|c| c.active > 0) {
            class.zone = ((class.start - start) / times.slot).round().max(0.0);
        }
    }

    /// Who starts at a boundary: odds, collisions, and the sums that every sender needs.
    pub fn contend(&mut self, times: &Times) {
        let totals = &mut self.totals;
        for class in &mut self.classes {
            class.quiet = 1.0;
            class.weight = 0.0;
            class.odds = 0.0;
        }
        let (mut fixed, mut shared, mut odds, mut loaded) = (0.0, 0.0, 0.0, 0.0);
        let (mut held, mut residual, mut lost) = (0.0, 0.0, 0.0);
        let (mut together, mut clashes, mut starts, mut cubes, mut squares) = (1.0, 0.0, 0.0, 0.0, 0.0);
        for s in &mut self.senders {
            let class = &mut self.classes[s.class];
            s.raw = s.odds / (class.worth * s.gain);
            let raw = s.raw;
            class.quiet = (class.quiet * (1.0 + raw)).min(1.0 / LEAST_QUIET);
            class.odds += raw;
            class.weight += s.ready / class.active as f64;
            fixed += s.fixed;
            shared += s.shared;
            odds += s.odds;
            loaded += s.busy;
            held += s.rate * s.hold;
            residual += 0.5 * s.rate * s.hold2;
            lost += s.odds * s.lost;
            together = (together * (1.0 + meets(s))).min(1.0 / LEAST_QUIET);
            let contended = s.busy + (1.0 - s.busy) * s.met;
            clashes += 0.5 * s.rate * s.collisions * contended;
            starts += s.rate;
            cubes += s.rate * s.hold2 * s.hold;
            squares += s.rate * s.rate;
        }
        self.classes.iter_mut().for_each(|c| c.quiet = 1.0 / c.quiet);
        let collisions = share_boundaries(&mut self.classes);
        // After a collision those that waited for an answer, those in EIFS and the rest count on different grids of slots and meet only their own.
        let two = (2.0 / loaded.max(2.0)).min(1.0);
        let apart = 1.0 - two * two - (1.0 - two).powi(2) * (times.heard * times.heard + (1.0 - times.heard).powi(2));
        totals.clash = 1.0 - collisions / (collisions + odds).max(1e-300) * apart;
        totals.collisions = collisions * totals.clash;
        // A neighbour's busy period is followed by the waiting time too.
        totals.taken =
            times.taken * (1.0 + if times.period > 0.0 { totals.start / times.period } else { 0.0 }).min(2.0);
        totals.fixed = fixed + totals.taken;
        totals.shared = shared;
        totals.odds = odds;
        totals.mean_lost = if odds > 0.0 { lost / odds } else { 0.0 };
        totals.lost = longer_of_two(&self.senders, &mut self.by_length);
        // Participants wait for an answer that does not come, bystanders that made out a frame wait EIFS, the rest go on at once.
        let after = two * times.timeout + (1.0 - two) * times.heard * times.eifs_extra;
        totals.after = after + totals.start;
        totals.collision = totals.lost + totals.after;
        let left = (1.0 - totals.fixed).max(LEAST_LEFT);
        totals.boundary = (times.slot + totals.collisions * totals.collision + shared) / left;
        // Who waits, waits in a crowd: those that came at random in one transmission see each other at the time t that is left of it with the mean of t²,
        // which is 4/3 of the square of the mean of t. With two senders there is no third to wait for.
        let others = (starts * starts / squares - 1.0).max(1.0);
        totals.crowd = 1.0 + (1.0 - 1.0 / others) / 3.0;
        totals.end = 2.0 - 1.0 / totals.crowd;
        totals.clashes = clashes;
        totals.together = 1.0 / together;
        totals.each = if starts > 0.0 { clashes * totals.collision / starts } else { 0.0 };
        totals.held = held + totals.taken + clashes * totals.collision;
        // A neighbour that comes while another holds the channel follows it, so that what is left is the work of an M/M/1 queue.
        totals.by_free = 1.0 / (1.0 - totals.taken).max(LEAST_LEFT);
        let free = (1.0 - times.taken).max(LEAST_LEFT);
        totals.residual = residual + times.taken * times.period / free;
        let rest = times.period / (free * free);
        totals.residual2 = cubes / 3.0 + 3.0 * times.taken * rest * rest;
        self.meetings();
    }

    /// For each class, how long those of others that are loaded go before a frame of it.
    fn meetings(&mut self) {
        let each = self.totals.each;
        for c in 0..self.classes.len() {
            if self.classes[c].active == 0 {
                continue;
            }
            let own = self.classes[c].weight;
            let mut meet = 0.0;
            for s in &self.senders {
                let wins = if s.class == c {
                    0.5
                } else {
                    let other = self.classes[s.class].weight;
                    other / (own + other)
                };
                meet += before(s.there, s.busy, wins) * (s.hold + each);
            }
            self.classes[c].meet = meet;
        }
    }
}

/// Follows the boundaries after a busy period, zone by zone as classes come in, and gives each class what its odds are worth. Collisions for each idle boundary.
fn share_boundaries(classes: &mut [Class]) -> f64 {
    let zone_after = |classes: &[Class], at: f64| {
        classes.iter().filter(|c| c.active > 0 && c.zone > at).map(|c| c.zone).fold(f64::INFINITY, f64::min)
    };
    for class in classes.iter_mut() {
        (class.idle, class.boundaries) = (0.0, 0.0);
    }
    let (mut at, mut survival, mut all_idle, mut collisions) = (0.0, 1.0, 0.0, 0.0);
    while at < f64::INFINITY {
        let next = zone_after(classes, at);
        let (mut quiet, mut odds) = (1.0, 0.0);
        for class in classes.iter().filter(|c| c.active > 0 && c.zone <= at) {
            quiet *= class.quiet;
            odds += class.odds;
        }
        let passed = if next.is_finite() { quiet.powf(next - at) } else { 0.0 };
        let boundaries = if quiet < 1.0 - 1e-12 {
            survival * (1.0 - passed) / (1.0 - quiet)
        } else if next.is_finite() {
            survival * (next - at)
        } else {
            survival * 1e12
        };
        for class in classes.iter_mut().filter(|c| c.active > 0 && c.zone <= at) {
            class.idle += boundaries * quiet;
            class.boundaries += boundaries;
        }
        all_idle += boundaries * quiet;
        collisions += boundaries * (1.0 - quiet * (1.0 + odds)).max(0.0);
        survival *= passed;
        at = next;
    }
    for class in classes.iter_mut().filter(|c| c.active > 0) {
        class.quiet_share = if class.boundaries > 0.0 { class.idle / class.boundaries } else { 1.0 };
        class.worth = (class.idle / all_idle).clamp(1e-6, 1.0);
    }
    collisions / all_idle
}

/// Mean of the longer of two collided frames, drawn by odds from different senders [s].
fn longer_of_two(senders: &[Active], by_length: &mut Vec<usize>) -> f64 {
    if by_length.len() != senders.len() {
        by_length.clear();
        by_length.extend(0..senders.len());
    }
    // All but sorted from the round before.
    for i in 1..by_length.len() {
        let mut k = i;
        while k > 0 && senders[by_length[k]].lost < senders[by_length[k - 1]].lost {
            by_length.swap(k, k - 1);
            k -= 1;
        }
    }
    let (mut pairs, mut sum, mut below) = (0.0, 0.0, 0.0);
    for s in by_length.iter().filter_map(|i| senders.get(*i)) {
        pairs += s.odds * below;
        sum += s.odds * below * s.lost;
        below += s.odds;
    }
    if pairs > 0.0 { sum / pairs } else { 0.0 }
}
