//! The fixed point of [`super::Carrier`]: how often each sender has something to send, how much it sends at once, and how long a turn takes.
//!
//! Time is cut at slot boundaries: an idle slot, or a transmission and the waiting time after it. A sender that has something to send starts at a boundary
//! with the odds that its mean backoff gives; one that is not always loaded starts as often as its offer asks.

use super::carried::Busy;
use super::carried_state::{Active, Class, Scratch, Stream, Times, Totals};

/// Rounds of the fixed point at most.
const ROUNDS: u32 = 200;
/// Largest change of a share of time in one round at which it is done.
const TOLERANCE: f64 = 3e-4;
/// Part of each step that is gone where much is on offer: all answer to all, and whole steps overshoot. And the least part.
const STEP: f64 = 0.75;
const LEAST_STEP: f64 = 0.5;
/// Least share of the channel's time that others leave in the formulae: keeps them finite while rounds go on.
const LEAST_LEFT: f64 = 1e-3;
/// Share of time asked for, neighbours with it, up to which rounds begin from empty queues.
const LIGHT: f64 = 0.4;
/// Least chance that nobody starts at a boundary: thousands of senders would make it nothing.
const LEAST_QUIET: f64 = 1e-30;
/// Largest odds to start at a boundary.
const MOST_ODDS: f64 = 20.0;

/// Largest gain in odds from stations that do not meet after a collision.
const MOST_GAIN: f64 = 2.0;

impl Scratch {
    /// Runs rounds until rates and shares agree.
    pub fn solve(&mut self, times: &Times) {
        self.rounds = 0;
        self.totals = Totals::default();
        if self.senders.is_empty() {
            return;
        }
        self.zones(times);
        let asked: f64 = self.streams.iter().map(|s| s.arrivals * (s.overhead / s.most + s.per_mpdu)).sum();
        // With much on offer, from the side of full queues: where both a state of full queues and one with fewer collisions would last, the first is given,
        // so that no more is carried as offers grow.
        let full = asked + times.taken > LIGHT;
        let each = 1.0 / self.senders.len() as f64;
        for stream in &mut self.streams {
            stream.saturated = full;
            stream.busy = if full { 1.0 } else { 0.0 };
            stream.mpdus = if full { stream.most } else { 1.0 };
            stream.access = stream.overhead + stream.most * stream.per_mpdu;
            stream.rate = if full { each / stream.access } else { stream.arrivals / stream.most };
            stream.load = if full { stream.most } else { 0.0 };
        }
        for sender in &mut self.senders {
            let own = self.streams.get(sender.first..sender.end).unwrap_or_default();
            if full {
                sender.round = own.iter().map(|s| s.access).sum::<f64>() / each;
                sender.there = 1.0;
            }
            gather(sender, own, self.totals.start, times.slot, 1.0);
        }
        let (mut step, mut last) = (if full { STEP } else { 1.0 }, f64::INFINITY);
        while self.rounds < ROUNDS {
            self.rounds += 1;
            self.contend(times);
            let change = self.turns(times, step);
            if change < TOLERANCE {
                break;
            }
            // Where the whole step overshoots, smaller ones settle.
            if change > 0.6 * last {
                step = (0.8 * step).max(LEAST_STEP);
            }
            last = change;
        }
    }

    /// The first boundary of all, and how many each class must let pass.
    fn zones(&mut self, times: &Times) {
        let active = || self.classes.iter().filter(|c| c.active > 0);
        let start = active().map(|c| c.start).fold(f64::INFINITY, f64::min);
        self.totals.start = start;
        for class in self.classes.iter_mut().filter(|c| c.active > 0) {
            class.zone = ((class.start - start) / times.slot).round().max(0.0);
        }
    }

    /// Who starts at a boundary: odds, collisions, and the sums that every sender needs.
    fn contend(&mut self, times: &Times) {
        let totals = &mut self.totals;
        for class in &mut self.classes {
            class.quiet = 1.0;
            class.weight = 0.0;
            class.odds = 0.0;
        }
        let (mut fixed, mut shared, mut odds, mut loaded) = (0.0, 0.0, 0.0, 0.0);
        let (mut held, mut residual, mut lost) = (0.0, 0.0, 0.0);
        let (mut together, mut clashes, mut starts, mut cubes, mut squares) = (1.0, 0.0, 0.0, 0.0, 0.0);
        for s in &self.senders {
            let class = &mut self.classes[s.class];
            let raw = s.odds / (class.worth * s.gain);
            class.quiet = (class.quiet / (1.0 + raw)).max(LEAST_QUIET);
            class.odds += raw;
            class.weight += s.ready / class.active as f64;
            fixed += s.fixed;
            shared += s.shared;
            odds += s.odds;
            loaded += s.busy;
            held += s.rate * s.hold;
            residual += 0.5 * s.rate * s.hold2;
            lost += s.odds * s.lost;
            together = (together / (1.0 + meets(s))).max(LEAST_QUIET);
            let contended = s.busy + (1.0 - s.busy) * s.met;
            clashes += 0.5 * s.rate * s.collisions * contended;
            starts += s.rate;
            cubes += s.rate * s.hold2 * s.hold;
            squares += s.rate * s.rate;
        }
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
        totals.clashes = clashes;
        totals.together = together;
        totals.each = if starts > 0.0 { clashes * totals.collision / starts } else { 0.0 };
        totals.held = held + totals.taken + clashes * totals.collision;
        // A neighbour that comes while another holds the channel follows it, so that what is left is the work of an M/M/1 queue.
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
                let other = self.classes[s.class].weight;
                meet += before(s.there, s.busy, other / (own + other)) * (s.hold + each);
            }
            self.classes[c].meet = meet;
        }
    }

    /// Each sender's turn among the others, and what its flows make of it. The largest change.
    fn turns(&mut self, times: &Times, step: f64) -> f64 {
        let totals = self.totals;
        let mut change: f64 = 0.0;
        for s in &mut self.senders {
            let class = &self.classes[s.class];
            let raw = s.odds / (class.worth * s.gain);
            // Chance that no other starts at a boundary that it may use.
            let others = ((1.0 + raw) * class.quiet_share).min(1.0);
            let part = s.busy.powi(4);
            // While it comes and goes it meets those that wait for the same busy period to end.
            let meets = ((1.0 + meets(s)) * totals.together).min(1.0);
            let others = (part * others + (1.0 - part) * meets).max(1e-9);
            let fails = (1.0 - others) * totals.clash;
            s.collisions = fails / (1.0 - fails);
            s.gain = ((1.0 - fails) / others).min(MOST_GAIN);
            s.ready = class.count_down(s, fails) * class.worth * s.gain;
            let own_collision = s.lost.max(totals.mean_lost) + totals.after;
            let failed = s.collisions * own_collision;
            // While it is always loaded: the others' fixed share comes off, and their starts come by boundaries.
            let left = (1.0 - (totals.fixed - s.fixed)).max(LEAST_LEFT);
            let more = (s.ready - s.odds).max(0.0) * failed;
            let boundary = times.slot + (totals.shared - s.shared) + totals.collisions * totals.collision + more;
            let always = totals.start + boundary / s.ready;
            // While it comes and goes: its own backoff, and who is there at the same time.
            let meet = class.meet - before(s.there, s.busy, 0.5) * (s.hold + totals.each);
            let backoff = times.slot / s.ready + failed;
            let free = (1.0 - totals.taken).max(LEAST_LEFT);
            let sometimes = totals.start + backoff + meet;
            let (by_left, by_free) = (part / left, (1.0 - part) / free);
            let blend = |a: f64, b: f64| by_left * a + by_free * b;
            let (alpha, per) = (blend(always, sometimes), blend(1.0, 1.0));
            s.turn = alpha;
            // A frame that finds the sender idle waits if the channel is busy.
            let own = s.rate * s.hold;
            let idle = (1.0 - own).max(LEAST_LEFT);
            s.met = ((totals.held - own) / idle).clamp(0.0, 1.0);
            // Just after an access of its own the channel is idle; the others come back in time.
            let rest = (totals.residual - 0.5 * s.rate * s.hold2).max(0.0) / idle / free;
            let then = (backoff + meet) / free;
            let back = 1.0 / (1.0 + s.arrivals * rest / s.met.max(1e-9) * (1.0 - s.met));
            let rest = rest * back;
            s.met *= back;
            s.setup = rest + s.met * then;
            let rest2 = (totals.residual2 - s.rate * s.hold2 * s.hold / 3.0).max(0.0) / idle * back;
            s.setup2 = rest2 + 2.0 * rest * then + 1.5 * s.met * then * then;
            // Share of the others' time on the air in which it waits, and from that the chance that it is there when a transmission ends.
            let slots = backoff / free;
            let waits = (1.0 - s.busy) * (s.setup - s.met * slots) + s.busy * (s.cycle - s.hold - slots);
            let during = (s.rate * waits.max(0.0) / (totals.held - own).max(1e-9)).min(1.0);
            let during = totals.crowd * during / (1.0 + (totals.crowd - 1.0) * during);
            s.there += step * (2.0 * during / (1.0 + during) - s.there);
            let flows = self.streams.get_mut(s.first..s.end).unwrap_or_default();
            if let [one] = flows {
                one.alone(alpha, per, s, totals.start);
            } else {
                s.round = in_turn(flows, alpha, per, s, totals.start);
            }
            change = change.max(gather(s, flows, totals.start, totals.boundary, step));
        }
        change
    }

    /// How the channel's time is spent.
    pub fn busy(&self, times: &Times) -> Busy {
        let own: f64 = self.streams.iter().map(|s| s.rate * (s.overhead + s.mpdus * s.per_mpdu)).sum();
        let t = &self.totals;
        let own = own.min(1.0 - times.taken);
        let lost = if t.boundary > 0.0 { t.clashes * t.lost } else { 0.0 };
        let collided = lost.min(1.0 - times.taken - own).max(0.0);
        Busy { own, collided, idle: (1.0 - own - collided - times.taken).max(0.0), taken: times.taken }
    }
}

/// How often a sender goes before a frame: it is there with a chance, wins against it with another, and is there again after it has sent with a third.
pub(super) fn before(there: f64, again: f64, wins: f64) -> f64 {
    there * wins / (1.0 - again * wins)
}

/// Odds that a sender starts at a boundary where another does: it was there when the busy period ended, and has not gone before.
fn meets(s: &Active) -> f64 {
    s.ready * s.there * 0.5 * (1.0 + s.busy)
}

impl Class {
    /// Odds to start at a boundary that it may use, while loaded, if attempts fail with a chance; and how unequal that makes turns.
    fn count_down(&self, s: &mut Active, fails: f64) -> f64 {
        let (mut slots, mut attempts, mut share) = (0.0, 0.0, 1.0);
        for backoff in self.backoff.iter().take(self.stages) {
            slots += share * backoff;
            attempts += share;
            share *= fails;
            if share < 1e-9 {
                break;
            }
        }
        let [zeroth, first, ..] = self.backoff;
        s.fails = fails;
        s.first_slots = zeroth / slots;
        s.second_slots = (zeroth + first) / slots;
        let idle = slots / attempts - self.counted;
        (1.0 / idle.max(1.0 / MOST_ODDS)).min(MOST_ODDS)
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

/// `exp` of a number not above 0, within 2e-7 of the value: (e^(x/32))^32 by a series, and nothing below -16.
fn fast_exp(x: f64) -> f64 {
    if x < -16.0 {
        return 0.0;
    }
    let y = x / 32.0;
    let mut e = 1.0 + y * (1.0 + y * (0.5 + y * (1.0 / 6.0 + y * (1.0 / 24.0 + y * (1.0 / 120.0 + y / 720.0)))));
    for _ in 0..5 {
        e *= e;
    }
    e
}

/// Chance that nothing arrives in a turn, of which a part does not vary, if so many arrive on average: many turns are short and few are long, so that it
/// happens more often than in turns of the mean length. And its slope.
fn none_arrives(load: f64, fixed: f64, s: &Active) -> (f64, f64) {
    let (short, long) = (fixed + (1.0 - fixed) * s.first_slots, fixed + (1.0 - fixed) * s.second_slots);
    let (a, b) = ((1.0 - s.fails) * fast_exp(-load * short), s.fails * fast_exp(-load * long));
    (a + b, a * short + b * long)
}

impl Stream {
    /// The only flow of its sender: `x` MPDUs arrive in a turn; a burst takes those and, if there are none, waits for the first.
    fn alone(&mut self, alpha: f64, per: f64, s: &Active, start: f64) {
        let (rate, setup) = (self.arrivals, s.setup);
        let fixed = ((self.overhead + self.mpdus * self.per_mpdu + start) / self.access).min(1.0);
        let (alpha, tau) = (alpha + per * self.overhead, per * self.per_mpdu);
        let full = rate * (alpha + tau * self.most);
        self.saturated = full >= self.most;
        let mut x = full;
        let mut mpdus = self.most;
        if !self.saturated && self.most > 1.0 {
            let first = 1.0 + rate * setup;
            x = self.load.min(full);
            // One step of Newton's a round; what is left of the rest falls with it.
            let (none, fall) = none_arrives(x, fixed, s);
            let slope = (1.0 - rate * tau * (1.0 - fall * first)).max(0.05);
            let next = (x - (x - rate * (alpha + tau * (x + none * first))) / slope).clamp(0.0, full);
            self.none = (none - fall * (next - x)).clamp(0.3 * none, (3.0 * none).min(1.0));
            x = next;
            mpdus = x + self.none * first;
            if mpdus >= self.most {
                (x, mpdus) = (full, self.most);
            }
        }
        self.load = x;
        self.mpdus = mpdus;
        self.access = alpha + tau * mpdus;
        self.cycle = self.access;
        self.setup = setup;
        self.busy = if self.saturated { 1.0 } else { (x / mpdus).min(1.0) };
        self.rate = if self.saturated { 1.0 / self.access } else { rate / mpdus };
    }
}

/// Several flows of one sender, served in turn. The time of a round of those that are loaded, one step nearer.
fn in_turn(flows: &mut [Stream], alpha: f64, per: f64, s: &Active, start: f64) -> f64 {
    let (round, setup) = (s.round, s.setup);
    let sums = flows.iter().map(|f| (f.rate * f.access, f.rate * f.access * f.access));
    let (turns, squares) = sums.fold((0.0, 0.0), |(a, b), (c, d)| (a + c, b + d));
    let (mut cost, mut slope, mut most) = (0.0, 0.0, 0.0);
    for f in flows.iter_mut() {
        let rate = f.arrivals;
        // A frame that finds its flow idle may find the sender busy with others: the rest of their turn, and half of those that wait.
        let others = (turns - f.rate * f.access).max(0.0);
        let engaged = (others / (1.0 - f.busy).max(LEAST_LEFT)).min(1.0);
        let rest = if others > 0.0 { 0.5 * (squares - f.rate * f.access * f.access).max(0.0) / others } else { 0.0 };
        let then = 0.5 * (round - f.busy * f.access).max(0.0);
        f.engaged = engaged;
        f.setup = (1.0 - engaged) * setup + engaged * (rest + then);
        let (alpha, tau) = (alpha + per * f.overhead, per * f.per_mpdu);
        f.access = alpha + tau * f.mpdus;
        most += alpha + tau * f.most;
        // Its cycle is the round, and its own turn where that is not in the round.
        let grow = 1.0 + rate * f.access / f.mpdus;
        let x = rate * (round + f.access) / grow;
        let varies = (f.access - f.overhead - f.mpdus * f.per_mpdu - start).max(0.0);
        let (none, _) = none_arrives(x, 1.0 - (varies / (round + f.access)).min(1.0), s);
        f.none = none;
        let wanted = x + none * (1.0 + rate * f.setup);
        f.saturated = x >= f.most;
        f.load = x;
        if f.saturated {
            (f.mpdus, f.busy) = (f.most, 1.0);
        } else if wanted >= f.most {
            (f.mpdus, f.busy) = (f.most, x / f.most);
            slope += rate * (alpha / f.most + tau) / grow;
        } else {
            (f.mpdus, f.busy) = (wanted, (x / wanted).min(1.0));
            slope += rate * (tau + alpha * (none + x * none) / (wanted * wanted)) / grow;
        }
        f.access = alpha + tau * f.mpdus;
        f.cycle = if f.saturated { round } else { x / rate };
        cost += f.busy * f.access;
    }
    let next = if slope < 0.95 { round + (cost - round) / (1.0 - slope) } else { cost.max(round * 1.5) };
    let next = next.clamp(0.0, most);
    for f in flows.iter_mut() {
        f.rate = if f.saturated { 1.0 / f.cycle.max(cost) } else { f.arrivals / f.mpdus };
    }
    next
}

/// Sums of a sender over its flows, a part of the way. The largest change of a share of time.
fn gather(s: &mut Active, flows: &[Stream], start: f64, boundary: f64, step: f64) -> f64 {
    let (mut rate, mut busy, mut overhead, mut offered, mut kept) = (0.0, 0.0, 0.0, 0.0, 0.0);
    let (mut hold, mut hold2, mut lost, mut saturated) = (0.0, 0.0, 0.0, false);
    for f in flows {
        let time = f.overhead + f.mpdus * f.per_mpdu + start;
        rate += f.rate;
        busy += f.rate * f.access;
        overhead += f.rate * (f.overhead + start);
        hold += f.rate * time;
        hold2 += f.rate * time * time;
        lost += f.rate * f.lost();
        saturated |= f.saturated;
        if f.saturated {
            kept += f.rate * f.mpdus * f.per_mpdu;
        } else {
            offered += f.arrivals * f.per_mpdu;
        }
    }
    let turns = busy;
    let busy = if saturated { 1.0 } else { busy.min(1.0) };
    let always = busy.powi(4);
    let odds = (always * busy * s.ready + (1.0 - always) * rate * boundary).min(s.ready);
    let fixed = (1.0 - always) * overhead + offered;
    let shared = odds * (always * overhead + kept) / rate;
    let each = 1.0 / rate;
    let hold = hold * each;
    let change = (busy - s.busy).abs().max((odds - s.odds).abs() / s.ready).max((hold - s.hold).abs() / hold);
    for (old, new) in [
        (&mut s.busy, busy),
        (&mut s.fixed, fixed),
        (&mut s.shared, shared),
        (&mut s.odds, odds),
        (&mut s.rate, rate),
        (&mut s.hold, hold),
        (&mut s.hold2, hold2 * each),
        (&mut s.lost, lost * each),
        (&mut s.cycle, turns * each),
    ] {
        *old += step * (new - *old);
    }
    change
}
