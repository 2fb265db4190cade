//! One evening: at each moment, what every stream gets of wires and channels. Percentiles over evenings are not here.

use units::BitsPerSecond;
use wlan::contention::{Access, Busy, Carried, Carrier, Flow, Sender};

use crate::evening_demand::{MOMENTS, Random};
use crate::evening_judge::{Air, Ran};
use crate::evening_network::{Place, Table};

/// More than any stream takes [bit/s].
const RATE_MAX: f64 = 1e12;
/// Shortfall that counts as none.
pub(crate) const NEARLY: f64 = 0.99;

/// What an evening came to.
#[derive(Clone, Debug)]
pub(crate) struct Evening {
    /// By place: share of time or rate that needs take, mean over the moments.
    pub mean: Vec<f64>,
    /// By place: needs over what can be had, in the worst moment; above 1 something that is needed is missed.
    pub worst: Vec<f64>,
    /// By place: most that is needed of a wire, in its units.
    pub peak: Vec<f64>,
    /// By group: own frames and collisions, mean over the moments.
    pub own: Vec<f64>,
    pub collided: Vec<f64>,
    /// By group: true if some station had more to send than it got.
    pub overloaded: Vec<bool>,
    /// True if needs were above what a device's own link carries.
    pub above_link: f64,
    /// Longest wait before the line: towards the home and from it, each plain and fair [s].
    pub waits: [[f64; 2]; 2],
    /// By entry.
    pub ran: Vec<Ran>,
}

/// A stream at a moment.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Flowing {
    /// Most that it asks for [bit/s].
    cap: f64,
    /// What wires leave it.
    pub offer: f64,
    /// The wire that holds it below what it asks for.
    pub wire: Option<usize>,
    /// What it gets.
    pub got: f64,
    /// Its channels.
    pub air: Air,
}

/// What a group's channel was asked last, and what it answered.
#[derive(Clone, Debug, Default)]
struct Memory {
    asked: Vec<(usize, f64)>,
    answered: Vec<Carried>,
    busy: Busy,
    fails: bool,
}

/// Rounds of a moment: needs alone; greedy flows; greedy flows with what was freed.
const ROUNDS: usize = 3;

/// Computes evenings, and keeps its lists so that moments allocate nothing.
pub(crate) struct Worker<'t, 'a> {
    pub table: &'t Table<'a>,
    carriers: Vec<Option<Carrier>>,
    memory: Vec<[Memory; ROUNDS]>,
    asked: Vec<(usize, f64)>,
    flows: Vec<Flow>,
    senders: Vec<Sender>,
    pub active: Vec<usize>,
    pub flowing: Vec<Flowing>,
    /// By wire: sent, as rate or share of time.
    pub sent: Vec<f64>,
    left: Vec<f64>,
    asking: Vec<f64>,
    open: Vec<usize>,
}

impl<'t, 'a> Worker<'t, 'a> {
    pub fn new(table: &'t Table<'a>) -> Self {
        Self {
            table,
            carriers: table.groups.iter().map(|g| Carrier::new(&g.medium).ok()).collect(),
            memory: table.groups.iter().map(|_| <[Memory; ROUNDS]>::default()).collect(),
            asked: Vec::new(),
            flows: Vec::new(),
            senders: Vec::new(),
            active: Vec::new(),
            flowing: vec![Flowing::default(); table.streams.len()],
            sent: vec![0.0; table.wires.len()],
            left: vec![0.0; table.wires.len()],
            asking: vec![0.0; table.wires.len()],
            open: Vec::new(),
        }
    }

    pub fn evening(&mut self, seed: u64, number: u32) -> Evening {
        let table = self.table;
        let (groups, places) = (table.groups.len(), table.groups.len() + table.wires.len());
        let mut evening = Evening {
            mean: vec![0.0; places],
            worst: vec![0.0; places],
            peak: vec![0.0; places],
            own: vec![0.0; groups],
            collided: vec![0.0; groups],
            overloaded: vec![false; groups],
            above_link: 0.0,
            waits: [[0.0; 2]; 2],
            ran: vec![Ran::default(); table.entries.len()],
        };
        let mut on = Vec::new();
        let mut random = Random::of_evening(seed, u64::from(number));
        table.demand.evening(&mut random, &mut on, |on| self.moment(on, &mut evening));
        evening
    }

    fn moment(&mut self, on: &[bool], evening: &mut Evening) {
        let table = self.table;
        self.active.clear();
        let runs = |unit: usize| on.get(unit).copied().unwrap_or(false);
        self.active.extend(table.streams.iter().enumerate().filter(|(_, s)| runs(s.unit)).map(|(i, _)| i));
        let mut greedy = false;
        for i in &self.active {
            let (Some(stream), Some(flowing)) = (table.streams.get(*i), self.flowing.get_mut(*i)) else { continue };
            *flowing = Flowing { cap: stream.need.min(stream.ceiling).min(RATE_MAX), ..Flowing::default() };
            greedy |= stream.greedy;
        }
        self.fill();
        self.carry(0);
        self.needs(evening);
        if greedy {
            for i in &self.active {
                if let (Some(stream), Some(flowing)) = (table.streams.get(*i), self.flowing.get_mut(*i))
                    && stream.greedy
                {
                    flowing.cap = stream.ceiling.min(RATE_MAX);
                }
            }
            self.fill();
            self.carry(1);
            // What channels do not carry is free on the wires for others.
            let mut freed = false;
            for i in &self.active {
                if let Some(flowing) = self.flowing.get_mut(*i)
                    && flowing.got < NEARLY * flowing.offer
                {
                    flowing.cap = flowing.got;
                    freed |= flowing.wire.is_some();
                }
            }
            if freed || self.shared_wires_freed() {
                self.fill();
                self.carry(2);
            }
        }
        self.judge(evening);
    }

    /// True if a wire that holds somebody back has room now.
    fn shared_wires_freed(&self) -> bool {
        let held = || self.active.iter().filter_map(|i| self.flowing.get(*i)).filter_map(|f| f.wire);
        let short = |wire: usize| {
            self.active.iter().any(|i| {
                let (Some(stream), Some(flowing)) = (self.table.streams.get(*i), self.flowing.get(*i)) else {
                    return false;
                };
                let on_it = self.table.uses.get(stream.uses.clone()).is_some_and(|u| u.iter().any(|(w, _)| *w == wire));
                on_it && flowing.got < NEARLY * flowing.offer
            })
        };
        held().any(short)
    }

    /// Shares wires by max-min fairness, each device alike.
    fn fill(&mut self) {
        let table = self.table;
        self.sent.iter_mut().for_each(|s| *s = 0.0);
        for i in &self.active {
            let (Some(stream), Some(flowing)) = (table.streams.get(*i), self.flowing.get_mut(*i)) else { continue };
            (flowing.offer, flowing.wire) = (flowing.cap, None);
            for (wire, takes) in table.uses.get(stream.uses.clone()).unwrap_or_default() {
                if let Some(sent) = self.sent.get_mut(*wire) {
                    *sent += takes * flowing.cap;
                }
            }
        }
        let bears =
            |(sent, wire): (&f64, &crate::evening_network::Wire)| *sent <= wire.capacity * wire.share * (1.0 + 1e-9);
        if self.sent.iter().zip(&table.wires).all(bears) {
            return;
        }
        for (left, wire) in self.left.iter_mut().zip(&table.wires) {
            *left = wire.capacity * wire.share;
        }
        self.open.clear();
        self.open.extend_from_slice(&self.active);
        while !self.open.is_empty() {
            self.asking.iter_mut().for_each(|a| *a = 0.0);
            for i in &self.open {
                for (wire, takes) in uses(table, *i) {
                    if let Some(asking) = self.asking.get_mut(*wire) {
                        *asking += takes * weight(table, *i);
                    }
                }
            }
            let levels = self.left.iter().zip(&self.asking).enumerate().filter(|(_, (_, asking))| **asking > 0.0);
            let levels = levels.map(|(wire, (left, asking))| (wire, (left / asking).max(0.0)));
            let (full, level) = levels.min_by(|a, b| a.1.total_cmp(&b.1)).unwrap_or((usize::MAX, f64::INFINITY));
            // Those that ask for less than the level are content; else the first full wire holds its streams.
            let content = |f: &Flowing, i: usize| f.cap <= level * weight(table, i);
            let some = self.open.iter().any(|i| self.flowing.get(*i).is_none_or(|f| content(f, *i)));
            let (flowing, left) = (&mut self.flowing, &mut self.left);
            self.open.retain(|i| {
                let Some(f) = flowing.get_mut(*i) else { return false };
                let settled = if some { content(f, *i) } else { uses(table, *i).iter().any(|(wire, _)| *wire == full) };
                if settled {
                    if some {
                        (f.offer, f.wire) = (f.cap, None);
                    } else {
                        (f.offer, f.wire) = (level * weight(table, *i), Some(full));
                    }
                    for (wire, takes) in uses(table, *i) {
                        if let Some(left) = left.get_mut(*wire) {
                            *left -= takes * f.offer;
                        }
                    }
                }
                !settled
            });
        }
    }

    /// What channels carry of the offers.
    fn carry(&mut self, round: usize) {
        let table = self.table;
        for i in &self.active {
            if let Some(flowing) = self.flowing.get_mut(*i) {
                (flowing.got, flowing.air) = (flowing.offer, Air::default());
            }
        }
        for (place, group) in table.groups.iter().enumerate() {
            self.asked.clear();
            for (number, leg) in group.legs.iter().enumerate() {
                let stream = table.streams.get(leg.stream);
                // A stream that does not run keeps what it was offered when it last did.
                let runs = stream.is_some() && self.active.binary_search(&leg.stream).is_ok();
                let offer = self.flowing.get(leg.stream).map_or(0.0, |f| f.offer);
                if runs && offer > 0.0 {
                    self.asked.push((number, offer));
                }
            }
            let Some(memory) = self.memory.get_mut(place).and_then(|m| m.get_mut(round)) else { continue };
            if self.asked != memory.asked {
                std::mem::swap(&mut self.asked, &mut memory.asked);
                self.flows.clear();
                self.senders.clear();
                let mut last = None;
                for (number, offer) in &memory.asked {
                    let Some(leg) = group.legs.get(*number) else { continue };
                    let end = self.flows.len() + 1;
                    match self.senders.last_mut().filter(|_| last == Some(leg.sender)) {
                        Some(sender) => sender.flows.end = end,
                        None => self.senders.push(Sender { access: Access::BEST_EFFORT, flows: end - 1..end }),
                    }
                    last = Some(leg.sender);
                    self.flows.push(Flow { offered: BitsPerSecond(*offer), burst: leg.burst });
                }
                let carrier = self.carriers.get_mut(place).and_then(Option::as_mut);
                let busy = carrier.and_then(|c| c.carry(&self.senders, &self.flows, &mut memory.answered).ok());
                memory.fails = busy.is_none();
                memory.busy = busy.unwrap_or_default();
            }
            for (at, (number, _)) in memory.asked.iter().enumerate() {
                let stream = group.legs.get(*number).map_or(usize::MAX, |l| l.stream);
                let Some(flowing) = self.flowing.get_mut(stream) else { continue };
                match memory.answered.get(at).filter(|_| !memory.fails) {
                    Some(carried) => {
                        if carried.throughput.0 < flowing.got {
                            flowing.got = carried.throughput.0;
                        }
                        flowing.air.add(carried, place);
                    }
                    None => flowing.got = 0.0,
                }
            }
        }
    }

    /// Loads of what is needed, and how near each place comes to missing some of it.
    fn needs(&mut self, evening: &mut Evening) {
        let table = self.table;
        let (moments, groups) = (MOMENTS as f64, table.groups.len());
        self.sent.iter_mut().for_each(|s| *s = 0.0);
        for i in &self.active {
            let Some(stream) = table.streams.get(*i) else { continue };
            let over = stream.need / stream.ceiling;
            match stream.ceiling_at {
                // Written so that a ceiling of 0 counts.
                Some(place) => raise(&mut evening.worst, place, over),
                None => evening.above_link = evening.above_link.max(over),
            }
            for (wire, takes) in uses(table, *i) {
                if let Some(sent) = self.sent.get_mut(*wire) {
                    *sent += takes * stream.need;
                }
            }
        }
        for (w, (sent, wire)) in self.sent.iter().zip(&table.wires).enumerate() {
            if *sent > 0.0 {
                raise(&mut evening.worst, groups + w, sent / (wire.capacity * wire.share));
                raise(&mut evening.peak, groups + w, *sent);
                if let Some(mean) = evening.mean.get_mut(groups + w) {
                    *mean += sent / wire.capacity / moments;
                }
            }
        }
        for (place, group) in table.groups.iter().enumerate() {
            let Some(memory) = self.memory.get(place).and_then(|m| m.first()) else { continue };
            let (mut time, mut asked, mut got) = (0.0, 0.0, 0.0);
            for (at, (number, offer)) in memory.asked.iter().enumerate() {
                time += group.legs.get(*number).map_or(0.0, |l| l.cost * offer);
                asked += offer;
                got += memory.answered.get(at).filter(|_| !memory.fails).map_or(0.0, |c| c.throughput.0.min(*offer));
            }
            if asked <= 0.0 {
                continue;
            }
            // Time with full bursts is what a growing load comes to; what the channel does not carry now is missed now.
            let missed = if got < NEARLY * asked { asked / got } else { 0.0 };
            raise(&mut evening.worst, place, (time / (1.0 - group.taken())).max(missed));
            let (own, collided) = (memory.busy.own, memory.busy.collided);
            for (list, value) in
                [(&mut evening.own, own), (&mut evening.collided, collided), (&mut evening.mean, own + collided)]
            {
                if let Some(slot) = list.get_mut(place) {
                    *slot += value / moments;
                }
            }
            if let Some(flag) = evening.overloaded.get_mut(place) {
                *flag |= got < NEARLY * asked;
            }
        }
    }
}

fn raise(list: &mut [f64], place: Place, value: f64) {
    if let Some(slot) = list.get_mut(place) {
        // What is not a number cannot be had.
        *slot = slot.max(if value.is_nan() { f64::INFINITY } else { value });
    }
}

pub(crate) fn uses<'t>(table: &'t Table, stream: usize) -> &'t [(usize, f64)] {
    table.streams.get(stream).and_then(|s| table.uses.get(s.uses.clone())).unwrap_or_default()
}

fn weight(table: &Table, stream: usize) -> f64 {
    table.streams.get(stream).and_then(|s| table.units.get(s.unit)).map_or(1.0, |u| u.weight)
}
