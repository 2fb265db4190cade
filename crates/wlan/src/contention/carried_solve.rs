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
pub(super) const LEAST_LEFT: f64 = 1e-3;
/// Share of time asked for, neighbours with it, up to which rounds begin from empty queues.
const LIGHT: f64 = 0.4;
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

    /// Each sender's turn among the others, and what its flows make of it. The largest change.
    fn turns(&mut self, times: &Times, step: f64) -> f64 {
        let totals = self.totals;
        let mut change: f64 = 0.0;
        for s in &mut self.senders {
            let class = &self.classes[s.class];
            // Quotients first, and few: this is where the time goes.
            let own = s.rate * s.hold;
            let by_idle = 1.0 / (1.0 - own).max(LEAST_LEFT);
            let by_others = 1.0 / (totals.held - own).max(1e-9);
            // While it is always loaded the others' fixed share comes off, and their starts come by boundaries.
            let part = fourth(s.busy);
            let by_left = part / (1.0 - (totals.fixed - s.fixed)).max(LEAST_LEFT);
            // Chance that no other starts at a boundary that it may use. While it comes and goes it meets those that wait for the same busy period to end.
            let others = ((1.0 + s.raw) * class.quiet_share).min(1.0);
            let meets = ((1.0 + meets(s)) * totals.together).min(1.0);
            let others = (part * others + (1.0 - part) * meets).max(1e-9);
            let fails = (1.0 - others) * totals.clash;
            let by_both = 1.0 / (others * (1.0 - fails));
            s.collisions = fails * others * by_both;
            s.gain = ((1.0 - fails) * (1.0 - fails) * by_both).min(MOST_GAIN);
            s.ready = class.count_down(s, fails) * class.worth * s.gain;
            let by_ready = 1.0 / s.ready;
            let failed = s.collisions * (s.lost.max(totals.mean_lost) + totals.after);
            let more = (s.ready - s.odds).max(0.0) * failed;
            let boundary = times.slot + (totals.shared - s.shared) + totals.collisions * totals.collision + more;
            let always = totals.start + boundary * by_ready;
            // While it comes and goes: its own backoff, and who is there at the same time.
            let meet = class.meet - before(s.there, s.busy, 0.5) * (s.hold + totals.each);
            let backoff = times.slot * by_ready + failed;
            let sometimes = totals.start + backoff + meet;
            let by_free = (1.0 - part) * totals.by_free;
            let (alpha, per) = (by_left * always + by_free * sometimes, by_left + by_free);
            // A frame that finds the sender idle waits if the channel is busy. Just after an access of its own the channel is idle; the others come back.
            let met = ((totals.held - own) * by_idle).clamp(0.0, 1.0);
            let rest = (totals.residual - 0.5 * s.rate * s.hold2).max(0.0) * totals.by_free;
            let then = (backoff + meet) * totals.by_free;
            let back = 1.0 / (1.0 + s.arrivals * rest * by_others * (1.0 - met));
            let rest = rest * by_idle * back;
            s.met = met * back;
            s.setup = rest + s.met * then;
            let rest2 = (totals.residual2 - s.rate * s.hold2 * s.hold / 3.0).max(0.0) * by_idle * back;
            s.setup2 = rest2 + 2.0 * rest * then + 1.5 * s.met * then * then;
            // Share of the others' time on the air in which it waits; from that, with the crowd, the chance that it is there when a transmission ends:
            // c d / (1 + (c - 1) d) in the midst of one, and 2 d / (1 + d) at its end.
            let slots = backoff * totals.by_free;
            let waits = (1.0 - s.busy) * (s.setup - s.met * slots) + s.busy * (s.cycle - s.hold - slots);
            let during = (s.rate * waits.max(0.0) * by_others).min(1.0) * totals.crowd;
            s.there += step * (2.0 * during / (1.0 + during * totals.end) - s.there);
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

/// Fourth power: how much of a state is that of full queues.
fn fourth(x: f64) -> f64 {
    (x * x) * (x * x)
}

/// How often a sender goes before a frame: it is there with a chance, wins against it with another, and is there again after it has sent with a third.
pub(super) fn before(there: f64, again: f64, wins: f64) -> f64 {
    there * wins / (1.0 - again * wins)
}

/// Odds that a sender starts at a boundary where another does: it was there when the busy period ended, and has not gone before.
pub(super) fn meets(s: &Active) -> f64 {
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
        let by_slots = 1.0 / slots;
        s.first_slots = zeroth * by_slots;
        s.second_slots = (zeroth + first) * by_slots;
        (attempts / (slots - self.counted * attempts).max(attempts / MOST_ODDS)).min(MOST_ODDS)
    }
}

/// `exp` of a number not above 0, within 2e-7 of the value, and nothing below -700: a power of two by its bits, and a series for the rest.
fn fast_exp(x: f64) -> f64 {
    if x < -700.0 {
        return 0.0;
    }
    let twos = x * std::f64::consts::LOG2_E;
    let whole = twos as i64;
    // From -1 to 0, so from -0.35 to 0.35 about the middle.
    let y = (twos - whole as f64 + 0.5) * std::f64::consts::LN_2;
    let series = 1.0 + y * (1.0 + y * (0.5 + y * (1.0 / 6.0 + y * (1.0 / 24.0 + y * (1.0 / 120.0 + y / 720.0)))));
    series * std::f64::consts::FRAC_1_SQRT_2 * f64::from_bits(((whole + 1023) as u64) << 52)
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
    let always = fourth(busy);
    let odds = (always * busy * s.ready + (1.0 - always) * rate * boundary).min(s.ready);
    let fixed = (1.0 - always) * overhead + offered;
    let each = 1.0 / rate;
    let shared = odds * (always * overhead + kept) * each;
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

#[cfg(test)]
mod tests {
    use super::{before, fast_exp};

    #[test]
    fn the_fast_exponential_is_close() {
        for i in 0..=7_000 {
            let x = -0.1 * f64::from(i);
            assert!((fast_exp(x) / x.exp() - 1.0).abs() < 2e-7, "{x}");
        }
        assert_eq!(fast_exp(-1e9), 0.0);
    }

    /// Of two that are always loaded with equal chances, one goes once before the other on average; a single frame goes first half of the time.
    #[test]
    fn those_that_are_always_there_go_once() {
        assert!((before(1.0, 1.0, 0.5) - 1.0).abs() < 1e-12);
        assert!((before(1.0, 0.0, 0.5) - 0.5).abs() < 1e-12);
    }
}
