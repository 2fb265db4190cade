//! How a moment serves what runs: rates, delay, loss, a call's rating, and what holds it back. Who gets what is decided before.

use household::ActivityKind;
use wlan::contention::Carried;

use crate::call::{Codec, EModel, Still};
use crate::evening_entries::Entry;
use crate::evening_moment::{Evening, NEARLY, Worker, uses};
use crate::evening_network::{Place, Stream, Way};
use crate::line::{bulk_wait, plain_loss, plain_wait, sparse_wait};
use crate::queue::mg1_wait;

/// Wait of a frame whose sender has more to send than the channel carries [s]: senders keep about this much. Generic figure, from memory.
const AIR_QUEUE: f64 = 0.2;
/// Mean time that a radio hop of its own takes for an aggregate and its answer [s]. Generic figure: a few milliseconds.
const HOP_SERVICE: f64 = 0.002;
/// What a call's voice waits outside of the home's network [s]: 20 ms of voice in a packet, 40 ms before it is played, 20 ms beyond the provider's edge.
/// Generic figures, from memory.
pub(crate) const CALL_BEYOND: f64 = 0.080;
/// Delay above the mean that the buffer before playing bears [s].
const PLAY_OUT: f64 = 0.040;
/// Round-trip time beyond the provider's edge of a transfer [s]. Generic figure, from memory.
const BEYOND: f64 = 0.030;
/// Least rating of a call that is good enough: some users are dissatisfied (ITU-T G.109, Table 1).
pub const RATING_LIMIT: f64 = 70.0;
/// Share of a line at which it is full.
const FULL: f64 = 0.999;

/// What holds something back.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Held {
    /// The device's own link.
    Link,
    /// Something that is full.
    Full(Place),
    /// Waiting for it.
    Waiting(Place),
}

/// A stream's channels at a moment.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Air {
    /// Mean time to be delivered [s].
    delay: f64,
    /// What 95 % do not pass.
    late: f64,
    /// The channel that gives it least.
    least: Option<(f64, Place)>,
}

impl Air {
    pub fn add(&mut self, carried: &Carried, place: Place) {
        let held = |time: f64, most: f64| if time.is_finite() { time.min(most) } else { most };
        self.delay += held(carried.delay.0, AIR_QUEUE);
        self.late += held(carried.delay_p95.0, 2.0 * AIR_QUEUE);
        if self.least.is_none_or(|l| carried.throughput.0 < l.0) {
            self.least = Some((carried.throughput.0, place));
        }
    }

    /// Share of packets that come too late to be played, with an exponential tail through the 95 % point.
    fn too_late(&self) -> f64 {
        if self.late > 0.0 { (-20f64.ln() * (self.delay + PLAY_OUT) / self.late).exp() } else { 0.0 }
    }
}

/// An entry in an evening: its worst moments.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Ran {
    pub ran: bool,
    /// Rate of one device [bit/s].
    pub down: f64,
    pub up: f64,
    pub delay: f64,
    pub loss: f64,
    /// Rating with the design's queue, and with the other.
    pub rating: [f64; 2],
    pub met: bool,
    /// True if it would be met with the other queue as far as waiting and rating go.
    pub met_other: bool,
    /// True if a rate or what it asks of channels fails it, not the line's queue alone.
    pub held: Option<Held>,
}

impl Default for Ran {
    fn default() -> Self {
        Self {
            ran: false,
            down: f64::INFINITY,
            up: f64::INFINITY,
            delay: 0.0,
            loss: 0.0,
            rating: [f64::INFINITY; 2],
            met: true,
            met_other: true,
            held: None,
        }
    }
}

/// Waits before the line one way.
#[derive(Clone, Copy, Debug, Default)]
struct Waits {
    plain: f64,
    sparse: f64,
    bulk: f64,
    /// Loss in a plain queue that transfers keep full.
    loss: f64,
}

fn is_call(kind: ActivityKind) -> bool {
    matches!(kind, ActivityKind::VideoCall | ActivityKind::VoiceCall)
}

/// True for what loses packets rather than waiting for them to be sent again.
pub(crate) fn minds_loss(kind: ActivityKind) -> bool {
    is_call(kind) || kind == ActivityKind::Game
}

/// One direction of an entry.
struct Served {
    got: f64,
    /// The rate to be told of: of a transfer, that while it sends, if it was looked at.
    told: Option<f64>,
    need: f64,
    delay: [f64; 2],
    loss: [f64; 2],
    /// What holds its rate back.
    short: Option<Held>,
    /// Where it waits longest, with the design's queue.
    waits_at: Held,
}

impl Worker<'_, '_> {
    /// Judges everything that runs, and the waits before the line.
    pub fn judge(&mut self, evening: &mut Evening) {
        let table = self.table;
        self.sent.iter_mut().for_each(|s| *s = 0.0);
        for i in &self.active {
            let got = self.flowing.get(*i).map_or(0.0, |f| f.got);
            for (wire, takes) in uses(table, *i) {
                if let Some(sent) = self.sent.get_mut(*wire) {
                    *sent += takes * got;
                }
            }
        }
        let line = [self.waits(0, evening), self.waits(1, evening)];
        for i in 0..self.active.len() {
            let Some(stream) = self.active.get(i).and_then(|i| table.streams.get(*i)) else { continue };
            let Some(unit) = table.units.get(stream.unit) else { continue };
            // Both directions of a unit are judged at the first that runs.
            let first = unit.down.or(unit.up);
            if self.active.get(i).copied() != first {
                continue;
            }
            let ways = [unit.down, unit.up];
            let served = ways.map(|way| way.and_then(|s| self.served(s, &line)));
            if let (Some(entry), Some(ran)) = (table.entries.get(unit.entry), evening.ran.get_mut(unit.entry)) {
                ran.add(&served, unit.weight, entry, &self.still);
            }
        }
    }

    fn waits(&self, way: usize, evening: &mut Evening) -> Waits {
        let table = self.table;
        let Some(line) = &table.line else { return Waits::default() };
        let Some(wire) = table.wires.get(line.down + way) else { return Waits::default() };
        let sent = self.sent.get(line.down + way).copied().unwrap_or(0.0);
        let used = sent / (wire.capacity * wire.share);
        let full = line.full.get(way).copied().unwrap_or(0.0);
        let fair_rate = wire.capacity * line.fair_share;
        let (mut flows, mut sparse, mut sparse_sent, mut greedy) = (0.0, 0.0, 0.0, 0.0);
        for i in &self.active {
            let Some(stream) = table.streams.get(*i) else { continue };
            let this_way = (stream.way == Way::Up) == (way == 1);
            if !stream.over_line || !this_way {
                continue;
            }
            flows += 1.0;
            if stream.sparse {
                sparse += 1.0;
                sparse_sent += self.flowing.get(*i).map_or(0.0, |f| f.got);
            }
            greedy += f64::from(u8::from(stream.greedy));
        }
        let others = |of: f64| (of - 1.0f64).max(0.0);
        let plain = plain_wait(wire.capacity, used, full);
        let loss = if used >= FULL && greedy > 0.0 {
            plain_loss(wire.capacity / greedy, 2.0 * line.idle + full + BEYOND)
        } else {
            0.0
        };
        let waits = Waits {
            plain,
            sparse: sparse_wait(fair_rate, used, sparse_sent / fair_rate, others(sparse)),
            bulk: bulk_wait(fair_rate, used, others(flows)),
            loss,
        };
        if let Some([worst_plain, worst_fair]) = evening.waits.get_mut(way) {
            *worst_plain = worst_plain.max(waits.plain);
            *worst_fair = worst_fair.max(waits.sparse);
        }
        waits
    }

    fn served(&self, stream: usize, line: &[Waits; 2]) -> Option<Served> {
        let table = self.table;
        let (s, f) = (table.streams.get(stream)?, self.flowing.get(stream)?);
        let short = (f.got < NEARLY * s.need).then(|| self.short(s, f.offer, f.wire, f.air.least));
        let mut delay = f.air.delay;
        let mut waits_at = (f.air.delay, f.air.least.map_or(Held::Link, |l| Held::Waiting(l.1)));
        for (wire, _) in uses(table, stream) {
            let Some(w) = table.wires.get(*wire).filter(|w| w.is_radio) else { continue };
            let used = self.sent.get(*wire).copied().unwrap_or(0.0) / w.capacity;
            let wait = mg1_wait(used / HOP_SERVICE, HOP_SERVICE, 1.0).map_or(AIR_QUEUE, |w| w.min(AIR_QUEUE));
            delay += HOP_SERVICE + wait;
            if HOP_SERVICE + wait > waits_at.0 {
                waits_at = (HOP_SERVICE + wait, Held::Waiting(table.groups.len() + wire));
            }
        }
        let kept = if s.need > 0.0 { (f.got / s.need).min(1.0) } else { 1.0 };
        let arrives = kept * (1.0 - f.air.too_late());
        let (mut delays, mut losses) = ([delay; 2], [1.0 - arrives; 2]);
        if let Some(ways) = table.line.as_ref().filter(|_| s.over_line) {
            let way = usize::from(s.way == Way::Up);
            let waits = line.get(way).copied().unwrap_or_default();
            let fair = if s.sparse && short.is_none() { waits.sparse } else { waits.bulk };
            let both = if ways.is_fair { [fair, waits.plain] } else { [waits.plain, fair] };
            let lost = if ways.is_fair { [0.0, waits.loss] } else { [waits.loss, 0.0] };
            delays = both.map(|wait| delay + wait + ways.idle);
            losses = lost.map(|lost| 1.0 - arrives * (1.0 - lost));
            if both.first().is_some_and(|wait| *wait > waits_at.0) {
                waits_at.1 = Held::Waiting(table.groups.len() + ways.down + way);
            }
        }
        let told = if s.greedy && short.is_none() { f.sends } else { Some(f.got) };
        Some(Served { got: f.got, told, need: s.need, delay: delays, loss: losses, short, waits_at: waits_at.1 })
    }

    fn short(&self, s: &Stream, offer: f64, wire: Option<usize>, least: Option<(f64, Place)>) -> Held {
        if s.ceiling < NEARLY * s.need {
            s.ceiling_at.map_or(Held::Link, Held::Full)
        } else if let Some(wire) = wire.filter(|_| offer < NEARLY * s.need) {
            Held::Full(self.table.groups.len() + wire)
        } else {
            least.map_or(Held::Link, |l| Held::Full(l.1))
        }
    }
}

impl Ran {
    /// Rate one way; infinite if it was not looked at.
    pub fn of(&self, way: Way) -> f64 {
        if way == Way::Up { self.up } else { self.down }
    }

    fn add(&mut self, served: &[Option<Served>; 2], weight: f64, entry: &Entry, still: &Still) {
        self.ran = true;
        let both = |of: fn(&Served) -> [f64; 2]| {
            served.iter().flatten().map(of).fold([0.0f64; 2], |a, b| [a[0].max(b[0]), a[1].max(b[1])])
        };
        let (delay, loss) = (both(|s| s.delay), both(|s| s.loss));
        self.delay = self.delay.max(delay[0]);
        let minds = minds_loss(entry.kind);
        if minds {
            self.loss = self.loss.max(loss[0]);
        }
        let mut rating = [f64::INFINITY; 2];
        if is_call(entry.kind) {
            for s in served.iter().flatten() {
                for ((rating, delay), loss) in rating.iter_mut().zip(s.delay).zip(s.loss) {
                    let heard = EModel::of_call(delay + CALL_BEYOND, loss, Codec::G711_CONCEALED).rating_with(still);
                    *rating = rating.min(heard);
                }
            }
            for (worst, now) in self.rating.iter_mut().zip(rating) {
                *worst = worst.min(now);
            }
        }
        for (slot, s) in [&mut self.down, &mut self.up].into_iter().zip(served) {
            if let Some(rate) = s.as_ref().and_then(|s| s.told) {
                *slot = slot.min(rate / weight);
            }
        }
        let short = served.iter().flatten().find(|s| s.got < NEARLY * s.need).and_then(|s| s.short);
        let bears = |n: usize| {
            let (delay, loss) = (delay.get(n).copied().unwrap_or(0.0), loss.get(n).copied().unwrap_or(0.0));
            let heard = rating.get(n).copied().unwrap_or(f64::INFINITY);
            entry.max_delay.is_none_or(|most| delay <= most)
                && (!minds || entry.max_loss.is_none_or(|most| loss <= most))
                && heard >= RATING_LIMIT
        };
        let (met, met_other) = (short.is_none() && bears(0), short.is_none() && bears(1));
        if !met && self.met {
            let waits = served.iter().flatten().max_by(|a, b| a.delay[0].total_cmp(&b.delay[0])).map(|s| s.waits_at);
            self.held = short.or(waits);
        }
        self.met &= met;
        self.met_other &= met_other;
    }
}
