//! One evening: at each moment, what every stream gets of wires and channels. Percentiles over evenings are not here.

use std::collections::BTreeMap;

use units::BitsPerSecond;
use wlan::contention::{Access, Busy, Carried, Carrier, Flow, Sender};

use crate::call::{EModel, Still};
use crate::evening_demand::{MOMENTS, Random};
use crate::evening_judge::{Air, Ran};
use crate::evening_network::{Group, Place, Table};

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
    /// By device: its own frames and those sent to it, as a share of its channel's time, mean over the moments.
    pub devices: Vec<f64>,
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
    /// What a transfer gets while it sends, if that was looked at.
    pub sends: Option<f64>,
    /// Its channels.
    pub air: Air,
}

/// What a channel answered.
#[derive(Clone, Debug, Default)]
struct Answer {
    asked: Vec<(usize, u64)>,
    /// In the order of what was asked.
    carried: Vec<Carried>,
    busy: Busy,
    /// True if there is no answer.
    fails: bool,
}

/// Answers that are kept of one channel; sets of devices that send at once come again and again.
const ANSWERS_MAX: usize = 1 << 14;
/// Offers of greedy flows are asked for in steps of so much, so that answers come again; what they get is their own offer at most.
const OFFER_STEP: f64 = 0.02;

/// A group's channel with what it answered before. An answer depends on what is asked alone, so that it does not matter who asked first.
#[derive(Debug, Default)]
struct Channel {
    carrier: Option<Carrier>,
    /// Places of answers by the digest of what was asked.
    known: BTreeMap<u64, usize>,
    answers: Vec<Answer>,
    /// What is asked now: lanes by their number in the group, and their offers' bits.
    asked: Vec<(usize, u64)>,
    /// The offers themselves.
    offers: Vec<f64>,
    /// Streams that run now, by their number in the group.
    running: Vec<usize>,
    /// What was asked last, and the answer's place.
    last: Vec<(usize, u64)>,
    answer: usize,
}

impl Channel {
    /// What runs and is offered, by lane.
    fn gather(&mut self, group: &Group, table: &Table, flowing: &[Flowing]) {
        self.asked.clear();
        self.offers.clear();
        let (mut last, mut in_steps) = (None, false);
        for leg in self.running.iter().filter_map(|l| group.legs.get(*l)) {
            let (Some(stream), Some(flowing)) = (table.streams.get(leg.stream), flowing.get(leg.stream)) else {
                continue;
            };
            if flowing.offer <= 0.0 {
                continue;
            }
            if last != Some(leg.lane) {
                (last, in_steps) = (Some(leg.lane), false);
                self.asked.push((leg.lane, 0));
                self.offers.push(0.0);
            }
            in_steps |= stream.greedy && flowing.offer > stream.need;
            if let (Some(asked), Some(offer)) = (self.asked.last_mut(), self.offers.last_mut()) {
                *offer += flowing.offer;
                let stepped = if in_steps { (OFFER_STEP * (offer.ln() / OFFER_STEP).ceil()).exp() } else { *offer };
                asked.1 = stepped.to_bits();
            }
        }
    }

    /// Answers what is asked.
    fn ask(&mut self, group: &Group, flows: &mut Vec<Flow>, senders: &mut Vec<Sender>) {
        if self.asked == self.last {
            return;
        }
        self.last.clone_from(&self.asked);
        let digest = digest(&self.asked);
        let known = self.known.get(&digest).copied();
        if let Some(known) = known.filter(|n| self.answers.get(*n).is_some_and(|a| a.asked == self.asked)) {
            self.answer = known;
            return;
        }
        flows.clear();
        senders.clear();
        let mut last = None;
        for (number, offer) in &self.asked {
            let Some(lane) = group.lanes.get(*number) else { continue };
            let end = flows.len() + 1;
            match senders.last_mut().filter(|_| last == Some(lane.sender)) {
                Some(sender) => sender.flows.end = end,
                None => senders.push(Sender { access: Access::BEST_EFFORT, flows: end - 1..end }),
            }
            last = Some(lane.sender);
            flows.push(Flow { offered: BitsPerSecond(f64::from_bits(*offer)), burst: lane.burst });
        }
        let mut answer = Answer { asked: self.asked.clone(), ..Answer::default() };
        let busy = self.carrier.as_mut().and_then(|c| c.carry(senders, flows, &mut answer.carried).ok());
        answer.fails = busy.is_none();
        answer.busy = busy.unwrap_or_default();
        // Beyond the last place only the last answer is kept.
        self.answer = self.answers.len().min(ANSWERS_MAX);
        if self.answer < ANSWERS_MAX {
            self.known.insert(digest, self.answer);
        }
        match self.answers.get_mut(self.answer) {
            Some(slot) => *slot = answer,
            None => self.answers.push(answer),
        }
    }
}

/// FNV-1a over whole words: to find what was asked before, not to tell it apart.
fn digest(asked: &[(usize, u64)]) -> u64 {
    let mix = |digest: u64, word: u64| (digest ^ word).wrapping_mul(0x0000_0100_0000_01b3).rotate_left(29);
    asked.iter().fold(0xcbf2_9ce4_8422_2325, |digest, (lane, offer)| mix(mix(digest, *lane as u64), *offer))
}

/// Computes evenings, and keeps its lists so that moments allocate nothing.
pub(crate) struct Worker<'t, 'a> {
    pub table: &'t Table<'a>,
    channels: Vec<Channel>,
    /// By stream: whether it runs now.
    running: Vec<bool>,
    flows: Vec<Flow>,
    senders: Vec<Sender>,
    pub active: Vec<usize>,
    pub flowing: Vec<Flowing>,
    /// By wire: sent, as rate or share of time.
    pub sent: Vec<f64>,
    left: Vec<f64>,
    asking: Vec<f64>,
    open: Vec<usize>,
    /// Of a call's rating, what stays.
    pub still: Still,
}

impl<'t, 'a> Worker<'t, 'a> {
    pub fn new(table: &'t Table<'a>) -> Self {
        Self {
            table,
            channels: table
                .groups
                .iter()
                .map(|g| Channel { carrier: Carrier::new(&g.medium).ok(), ..Channel::default() })
                .collect(),
            running: vec![false; table.streams.len()],
            flows: Vec::new(),
            senders: Vec::new(),
            active: Vec::new(),
            flowing: vec![Flowing::default(); table.streams.len()],
            sent: vec![0.0; table.wires.len()],
            left: vec![0.0; table.wires.len()],
            asking: vec![0.0; table.wires.len()],
            open: Vec::new(),
            still: EModel::default().still(),
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
            devices: vec![0.0; table.devices.len()],
            overloaded: vec![false; groups],
            above_link: 0.0,
            waits: [[0.0; 2]; 2],
            ran: vec![Ran::default(); table.entries.len()],
        };
        let mut on = Vec::new();
        let mut random = Random::of_evening(seed, u64::from(number));
        // Numbers of their own, so that what runs does not depend on how fast it is done.
        let mut hurries = Random::of_evening(!seed, u64::from(number));
        table.demand.evening(&mut random, &mut on, |on| self.moment(on, hurries.uniform(), &mut evening));
        evening
    }

    /// `hurries`: uniform in [0, 1), whether the transfers of this moment are met while they send. What they get then is looked at once an evening anyway.
    fn moment(&mut self, on: &[bool], hurries: f64, evening: &mut Evening) {
        let table = self.table;
        self.active.clear();
        for ((i, stream), running) in table.streams.iter().enumerate().zip(&mut self.running) {
            *running = on.get(stream.unit).copied().unwrap_or(false);
            if *running {
                self.active.push(i);
            }
        }
        for (group, channel) in table.groups.iter().zip(&mut self.channels) {
            channel.running.clear();
            let runs = |stream: usize| self.running.get(stream).copied().unwrap_or(false);
            let legs = group.legs.iter().enumerate().filter(|(_, l)| runs(l.stream));
            channel.running.extend(legs.map(|(number, _)| number));
        }
        // Whether some transfer runs whose rate has not been looked at this evening.
        let (mut sending, mut unseen) = (0.0, false);
        for i in &self.active {
            let (Some(stream), Some(flowing)) = (table.streams.get(*i), self.flowing.get_mut(*i)) else { continue };
            *flowing = Flowing { cap: stream.need.min(stream.ceiling).min(RATE_MAX), ..Flowing::default() };
            if stream.greedy {
                sending += stream.sends;
                let ran = table.units.get(stream.unit).and_then(|u| evening.ran.get(u.entry));
                unseen |= ran.is_some_and(|r| r.of(stream.way).is_infinite());
            }
        }
        self.fill();
        self.carry();
        self.needs(evening);
        let sends = hurries < sending;
        if sends || unseen {
            self.take_all();
            if !sends {
                self.put_back();
            }
        }
        self.judge(evening);
    }

    /// Greedy streams take what they get.
    fn take_all(&mut self) {
        let table = self.table;
        for i in &self.active {
            if let (Some(stream), Some(flowing)) = (table.streams.get(*i), self.flowing.get_mut(*i))
                && stream.greedy
            {
                flowing.cap = stream.ceiling.min(RATE_MAX);
            }
        }
        self.fill();
        self.carry();
        // What channels do not carry is free on the wires for others.
        if self.some_gain() {
            for i in &self.active {
                if let Some(flowing) = self.flowing.get_mut(*i)
                    && flowing.got < NEARLY * flowing.offer
                {
                    flowing.cap = flowing.got;
                }
            }
            self.fill();
            self.carry();
        }
        for i in &self.active {
            if let (Some(stream), Some(flowing)) = (table.streams.get(*i), self.flowing.get_mut(*i))
                && stream.greedy
            {
                flowing.sends = Some(flowing.got);
            }
        }
    }

    /// What all have while no transfer sends; of transfers it is kept what they get when they do.
    fn put_back(&mut self) {
        let table = self.table;
        for i in &self.active {
            let (Some(stream), Some(flowing)) = (table.streams.get(*i), self.flowing.get_mut(*i)) else { continue };
            let (cap, sends) = (stream.need.min(stream.ceiling).min(RATE_MAX), flowing.sends);
            *flowing = Flowing { cap, sends, ..Flowing::default() };
        }
        self.fill();
        self.carry();
    }

    /// True if a wire holds a stream that its channel would carry, while another on that wire does not use what it was left.
    fn some_gain(&self) -> bool {
        let short = |i: &usize| self.flowing.get(*i).is_some_and(|f| f.got < NEARLY * f.offer);
        let frees =
            |wire: usize| self.active.iter().any(|i| short(i) && uses(self.table, *i).iter().any(|(w, _)| *w == wire));
        self.active.iter().any(|i| !short(i) && self.flowing.get(*i).and_then(|f| f.wire).is_some_and(frees))
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
    fn carry(&mut self) {
        let table = self.table;
        for i in &self.active {
            if let Some(flowing) = self.flowing.get_mut(*i) {
                (flowing.got, flowing.air) = (flowing.offer, Air::default());
            }
        }
        for (place, (group, channel)) in table.groups.iter().zip(&mut self.channels).enumerate() {
            channel.gather(group, table, &self.flowing);
            if channel.asked.is_empty() {
                continue;
            }
            channel.ask(group, &mut self.flows, &mut self.senders);
            let Some(answer) = channel.answers.get(channel.answer) else { continue };
            let mut at = 0;
            for leg in channel.running.iter().filter_map(|l| group.legs.get(*l)) {
                let Some(flowing) = self.flowing.get_mut(leg.stream).filter(|f| f.offer > 0.0) else { continue };
                // Lanes stand in the order of the streams on them.
                while channel.asked.get(at).is_some_and(|a| a.0 < leg.lane) {
                    at += 1;
                }
                match answer.carried.get(at).filter(|_| !answer.fails) {
                    Some(carried) => {
                        let offered = channel.offers.get(at).copied().unwrap_or(0.0);
                        let share = (carried.throughput.0 / offered).min(1.0);
                        flowing.got = flowing.got.min(share * flowing.offer);
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
            let Some(channel) = self.channels.get(place) else { continue };
            let Some(answer) = channel.answers.get(channel.answer) else { continue };
            let mut time = 0.0;
            for leg in channel.running.iter().filter_map(|l| group.legs.get(*l)) {
                time += leg.cost * self.flowing.get(leg.stream).map_or(0.0, |f| f.offer);
            }
            let asked: f64 = channel.offers.iter().sum();
            let got = channel.offers.iter().enumerate().map(|(at, offer)| {
                answer.carried.get(at).filter(|_| !answer.fails).map_or(0.0, |c| c.throughput.0.min(*offer))
            });
            let got: f64 = got.sum();
            if asked <= 0.0 {
                continue;
            }
            // Time with full bursts is what a growing load comes to; what the channel does not carry now is missed now.
            let missed = if got < NEARLY * asked { asked / got } else { 0.0 };
            raise(&mut evening.worst, place, (time / (1.0 - group.taken())).max(missed));
            let (own, collided) = (answer.busy.own, answer.busy.collided);
            for (list, value) in
                [(&mut evening.own, own), (&mut evening.collided, collided), (&mut evening.mean, own + collided)]
            {
                if let Some(slot) = list.get_mut(place) {
                    *slot += value / moments;
                }
            }
            for ((lane, _), carried) in channel.asked.iter().zip(&answer.carried).filter(|_| !answer.fails) {
                let device = group.lanes.get(*lane).and_then(|l| l.device);
                if let Some(slot) = device.and_then(|d| evening.devices.get_mut(d)) {
                    *slot += carried.airtime / moments;
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
