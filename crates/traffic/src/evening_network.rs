//! Every stream that may run, with the wires it uses and the frames it sends, reckoned once before any evening. No moments here.

use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;

use findings::{Finding, Id};
use household::ActivityKind;
use network::RadioSetting;
use radio_profile::Band;
use wlan::contention::{Burst, Medium};

use crate::UplinkKind;
use crate::evening::HourInput;
use crate::evening_demand::{Demand, RECORDING_SECONDS, mean_seconds};
use crate::evening_entries::{Entry, Told, busy_hour_of, entries};
use crate::evening_frames::{Arrival, Modes, WAITING_SLOTS, channel_of, minds_waiting, sound_rate};
use crate::evening_wires::wires;
use crate::hour::Cause;
use crate::loads::neighbours_on;
use crate::paths::{Joined, Network};

/// Devices of one entry that come and go by themselves; more are taken in equal heaps.
const HEAPS_MAX: u32 = 32;
/// Things that may run in all, before heaps grow.
const UNITS_MAX: usize = 8192;
/// Most that neighbours and beacons are taken to hold: own stations contend too and are not shut out. Common practice, no source.
const TAKEN_MAX: f64 = 0.9;
/// Rate at which packets come in that do not come over the line: gigabit Ethernet [bit/s].
const LOCAL_RATE: f64 = 1e9;
/// Which way a stream goes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Way {
    Down,
    Up,
}

/// Something that carries and can be full: a group of radios or a wire.
pub(crate) type Place = usize;

/// A cable one way, a radio hop of its own, or the line one way.
#[derive(Clone, Debug)]
pub(crate) struct Wire {
    /// What it carries: bit/s, or 1 for all the time of a radio hop.
    pub capacity: f64,
    /// Share of the capacity that is used: below 1 where a fair queue holds the rate down.
    pub share: f64,
    /// True for a radio hop of its own, on which packets wait.
    pub is_radio: bool,
}

/// Radios that share one channel's time, and the frames on it.
#[derive(Clone, Debug)]
pub(crate) struct Group {
    /// Places in the design's list.
    pub radios: Vec<usize>,
    /// Streams on it, by lane.
    pub legs: Vec<Leg>,
    /// Frames of one kind from one sender to one receiver, by sender.
    pub lanes: Vec<Lane>,
    pub neighbours: f64,
    pub beacons: f64,
    pub medium: Medium,
}

impl Group {
    /// Share that others take, held to what leaves own stations a chance.
    pub fn taken(&self) -> f64 {
        self.medium.taken
    }
}

/// Frames of one kind from one sender to one receiver: they go together.
#[derive(Clone, Debug)]
pub(crate) struct Lane {
    /// Number of the sender in its group.
    pub sender: usize,
    pub burst: Burst,
    /// The device at one of its ends; none for a hop.
    pub device: Option<usize>,
}

/// A stream on one channel.
#[derive(Clone, Debug)]
pub(crate) struct Leg {
    pub stream: usize,
    /// Number of its lane in the group.
    pub lane: usize,
    /// Time for each bit, alone and with full bursts [s].
    pub cost: f64,
    /// The device whose link it is; none for a hop.
    pub device: Option<usize>,
}

/// One direction of something that runs.
#[derive(Clone, Debug)]
pub(crate) struct Stream {
    pub unit: usize,
    pub way: Way,
    /// Rate needed, of all devices of the heap [bit/s].
    pub need: f64,
    pub greedy: bool,
    /// Share of the time that it runs in which a greedy one sends: alone it has sent its octets in so much of it.
    pub sends: f64,
    /// Most that its own links carry [bit/s].
    pub ceiling: f64,
    /// What sets the ceiling: none for the device's own link.
    pub ceiling_at: Option<Place>,
    /// Wires on its way, as a range of `uses`.
    pub uses: Range<usize>,
    /// True if it is small and minds waiting: a call, a game, messages.
    pub sparse: bool,
    pub over_line: bool,
}

/// Devices of an entry that run together.
#[derive(Clone, Debug)]
pub(crate) struct Unit {
    pub entry: usize,
    /// How many.
    pub weight: f64,
    pub down: Option<usize>,
    pub up: Option<usize>,
}

/// The line both ways.
#[derive(Clone, Debug)]
pub(crate) struct LineWays {
    /// Wire towards the home; the next is from it.
    pub down: usize,
    pub idle: f64,
    pub full: [f64; 2],
    /// Share of the rate that a fair queue uses, of the design or the usual one.
    pub fair_share: f64,
    pub is_fair: bool,
}

/// All of it.
pub(crate) struct Table<'a> {
    pub entries: Vec<Entry<'a>>,
    pub hour: Option<u8>,
    pub units: Vec<Unit>,
    pub streams: Vec<Stream>,
    pub wires: Vec<Wire>,
    pub uses: Vec<(usize, f64)>,
    pub groups: Vec<Group>,
    pub group_of: Vec<usize>,
    pub line: Option<LineWays>,
    pub demand: Demand,
    pub network: Network<'a>,
    /// The devices on the air, by their numbers.
    pub devices: Vec<Id>,
    pub findings: Vec<Finding>,
}

#[derive(Clone, PartialEq, Eq, PartialOrd, Ord)]
enum Sender {
    Radio(usize),
    Part(usize),
    Device(usize, u32),
}

struct NewLeg {
    group: usize,
    sender: Sender,
    receiver: Sender,
    burst: Burst,
    leg: Leg,
}

impl NewLeg {
    /// What makes two go together.
    fn lane(&self) -> (usize, &Sender, &Sender, [u64; 4]) {
        let b = &self.burst;
        let times = [b.overhead.0, b.per_mpdu.0, b.mpdu_bits].map(f64::to_bits);
        let [overhead, per_mpdu, bits] = times;
        (self.group, &self.sender, &self.receiver, [overhead, per_mpdu, bits, u64::from(b.most_mpdus)])
    }
}

impl<'a> Table<'a> {
    pub fn new(input: &HourInput<'a>) -> Self {
        let network = Network::new(input);
        let mut told = Told::default();
        let (hour, entries) = {
            let hour = busy_hour_of(input.household);
            (hour, entries(input.household, hour, &network, &mut told))
        };
        let (groups, group_of) = groups(input, &network);
        let (wires, line) = wires(input, &network);
        let mut table = Table {
            entries,
            hour,
            units: Vec::new(),
            streams: Vec::new(),
            wires,
            uses: Vec::new(),
            groups,
            group_of,
            line,
            demand: Demand::default(),
            network,
            devices: Vec::new(),
            findings: Vec::new(),
        };
        table.fill(input, &mut told);
        table.devices = told.devices();
        table.findings = told.findings;
        table
    }

    fn fill(&mut self, input: &HourInput<'a>, told: &mut Told) {
        let mut modes = Modes::new(input);
        let mut legs: Vec<NewLeg> = Vec::new();
        let room = u32::try_from((UNITS_MAX / self.entries.len().max(1)).max(1)).unwrap_or(1).min(HEAPS_MAX);
        for entry_idx in 0..self.entries.len() {
            let Some(entry) = self.entries.get(entry_idx).cloned() else { continue };
            // What always runs alike needs no heaps.
            let small = entry.kind == ActivityKind::Telemetry && entry.share >= 1.0;
            let heaps = match (entry.served, small) {
                (false, _) => 0,
                (true, true) => 1,
                (true, false) => entry.device.count.min(room),
            };
            for heap in 0..heaps {
                let unit = self.units.len();
                let weight = f64::from(entry.device.count) / f64::from(heaps);
                self.units.push(Unit { entry: entry_idx, weight, down: None, up: None });
                for (way, rate) in [(Way::Down, entry.down), (Way::Up, entry.up)] {
                    if rate > 0.0 {
                        let stream = self.stream(&entry, heap, unit, way, rate * weight, &mut modes, &mut legs, told);
                        if let Some(u) = self.units.get_mut(unit) {
                            *(if way == Way::Down { &mut u.down } else { &mut u.up }) = stream;
                        }
                    }
                }
            }
        }
        self.settle(legs);
        self.draw(told);
    }

    /// Numbers senders and lanes, and puts what goes together in one.
    fn settle(&mut self, mut legs: Vec<NewLeg>) {
        legs.sort_by(|a, b| a.lane().cmp(&b.lane()).then(a.leg.stream.cmp(&b.leg.stream)));
        let mut last: Option<&NewLeg> = None;
        let mut sender = 0;
        for new in &legs {
            let before = last.filter(|l| l.group == new.group);
            sender = before.map_or(0, |l| if l.sender == new.sender { sender } else { sender + 1 });
            let Some(group) = self.groups.get_mut(new.group) else { continue };
            if before.is_none_or(|l| l.lane() != new.lane()) {
                group.lanes.push(Lane { sender, burst: new.burst, device: new.leg.device });
            }
            group.legs.push(Leg { lane: group.lanes.len() - 1, ..new.leg.clone() });
            last = Some(new);
        }
    }

    /// Who draws what: people one thing at a time, the rest by themselves.
    fn draw(&mut self, told: &mut Told) {
        self.demand = Demand::new(self.units.len());
        let mut people: BTreeMap<&str, Vec<(usize, f64, f64)>> = BTreeMap::new();
        for (unit_idx, unit) in self.units.iter().enumerate() {
            let Some(entry) = self.entries.get(unit.entry) else { continue };
            let seconds = if entry.cause == Cause::Recording { RECORDING_SECONDS } else { mean_seconds(entry.kind) };
            match entry.person {
                Some(person) if entry.kind.holds_attention() && entry.device.count == 1 => {
                    people.entry(person.as_str()).or_default().push((unit_idx, entry.share, seconds));
                }
                _ => self.demand.single(unit_idx, entry.share, seconds),
            }
        }
        for (person, mut does) in people {
            let sum: f64 = does.iter().map(|d| d.1).sum();
            if sum > 1.0 + 1e-9 {
                told.overbooked(person, sum);
            }
            for one in &mut does {
                one.1 /= sum.max(1.0);
            }
            self.demand.person(&does);
        }
    }

    /// Share of time in which a stream alone sends what it needs on average, the wires from `first_use` on being its own.
    fn sends(&self, need: f64, ceiling: f64, first_use: usize) -> f64 {
        let wire = |(wire, takes): &(usize, f64)| {
            self.wires.get(*wire).map_or(f64::INFINITY, |w| w.capacity * w.share / takes.max(f64::MIN_POSITIVE))
        };
        let own = self.uses.iter().skip(first_use).map(wire).fold(ceiling, f64::min);
        if own > 0.0 { (need / own).min(1.0) } else { 1.0 }
    }

    #[expect(clippy::too_many_arguments, reason = "what a stream is made of")]
    fn stream(
        &mut self,
        entry: &Entry<'a>,
        heap: u32,
        unit: usize,
        way: Way,
        need: f64,
        modes: &mut Modes<'a, '_>,
        legs: &mut Vec<NewLeg>,
        told: &mut Told,
    ) -> Option<usize> {
        let stream = self.streams.len();
        let first_use = self.uses.len();
        let mut reach = Reach { ceiling: f64::INFINITY, at: None };
        let over_line = self.line.is_some() && !entry.local && entry.store.is_none();
        let joined = self.network.joined(entry.carrier)?;
        let mut hops = self.network.way(joined, &mut told.findings);
        let weight = self.units.get(unit).map_or(1.0, |u| u.weight);
        let train = self.network.line().filter(|_| over_line).map_or(LOCAL_RATE, |l| l.down.0);
        let arrival = Arrival { kind: entry.kind, way, cause: entry.cause, rate: need / weight, train };
        let mut ends = vec![(entry.carrier, joined, way)];
        let mut back = Vec::new();
        if let Some((store, there)) = entry.store.and_then(|s| Some((s, self.network.joined(s)?))) {
            back = self.network.way(there, &mut told.findings);
            // What both ways have in common lies beyond the point where they meet.
            while hops.last().is_some() && hops.last() == back.last() {
                hops.pop();
                back.pop();
            }
            ends.push((store, there, Way::Down));
        }
        for (device, joined, way) in ends {
            match joined {
                Joined::Wire(wire) => reach.hold(if sound_rate(wire.rate.0) { wire.rate.0 } else { 0.0 }, None),
                Joined::Air(link) => {
                    let Some(radio) = self.network.radio(&link.from, link.band) else {
                        crate::paths::unset(&link.from, link.band, &mut told.findings);
                        continue;
                    };
                    let device_idx = told.device_number(device);
                    let mut ends = (Sender::Radio(radio), Sender::Device(device_idx, heap));
                    if way == Way::Up {
                        ends = (ends.1, ends.0);
                    }
                    let rate = if way == Way::Down { link.down.0 } else { link.up.0 };
                    let arrival = Arrival { way, ..arrival };
                    let burst = modes.burst(device.as_str(), radio, rate, &arrival);
                    let most = burst.as_ref().map_or(0.0, |b| b.most().0);
                    reach.hold(most, None);
                    legs.extend(self.leg(stream, radio, ends, burst, Some(device_idx)));
                }
            }
        }
        for (idx, way) in hops.iter().map(|h| (*h, way)).chain(back.iter().map(|b| (*b, Way::Down))) {
            self.hop(stream, idx, &Arrival { way, ..arrival }, modes, legs, &mut reach, told);
        }
        if let Some(line) = self.line.as_ref().filter(|_| over_line) {
            self.uses.push((line.down + usize::from(way == Way::Up), 1.0));
        }
        self.streams.push(Stream {
            unit,
            way,
            need,
            greedy: entry.is_greedy(way),
            sends: self.sends(need, reach.ceiling, first_use),
            ceiling: reach.ceiling,
            ceiling_at: reach.at,
            uses: first_use..self.uses.len(),
            sparse: minds_waiting(entry.kind),
            over_line,
        });
        Some(stream)
    }

    #[expect(clippy::too_many_arguments, reason = "what a stream is made of")]
    fn hop(
        &mut self,
        stream: usize,
        idx: usize,
        arrival: &Arrival,
        modes: &mut Modes<'a, '_>,
        legs: &mut Vec<NewLeg>,
        reach: &mut Reach,
        told: &mut Told,
    ) {
        let Some(uplink) = self.network.uplink(idx) else { return };
        let way = arrival.way;
        let (wire, place) = (2 * idx, self.groups.len() + 2 * idx);
        let rate = match uplink.kind {
            UplinkKind::Wired { rate } => rate.0,
            UplinkKind::Radio { down, up, .. } => {
                if way == Way::Down {
                    down.0
                } else {
                    up.0
                }
            }
        };
        if !sound_rate(rate) {
            told.dead(uplink);
            reach.hold(
                0.0,
                Some(place + usize::from(way == Way::Up && matches!(uplink.kind, UplinkKind::Wired { .. }))),
            );
            return;
        }
        match uplink.kind {
            UplinkKind::Wired { .. } => self.uses.push((wire + usize::from(way == Way::Up), 1.0)),
            UplinkKind::Radio { band, shared: true, .. } => {
                // The hop is on the parent's channel; where no setting says which, it is kept by itself.
                let (near, far) = (self.network.radio(&uplink.parent, band), self.network.radio(&uplink.part, band));
                let Some(radio) = near.or(far) else {
                    self.uses.push((wire, 1.0 / rate));
                    return;
                };
                let from = if way == Way::Down { near } else { far };
                let sender = from.filter(|f| self.group_of.get(*f) == self.group_of.get(radio));
                let sender = sender.map_or(Sender::Part(2 * idx + usize::from(way == Way::Up)), Sender::Radio);
                let burst = modes.near(radio, rate, arrival);
                reach.hold(burst.as_ref().map_or(0.0, |b| b.most().0), self.group_of.get(radio).copied());
                let ends = (sender, Sender::Part(2 * idx + usize::from(way == Way::Up)));
                legs.extend(self.leg(stream, radio, ends, burst, None));
            }
            UplinkKind::Radio { .. } => self.uses.push((wire, 1.0 / rate)),
        }
    }

    fn leg(
        &self,
        stream: usize,
        radio: usize,
        (sender, receiver): (Sender, Sender),
        burst: Option<Burst>,
        device: Option<usize>,
    ) -> Option<NewLeg> {
        let (group, burst) = (*self.group_of.get(radio)?, burst?);
        let channel = &self.groups.get(group)?.medium.channel;
        let most = f64::from(burst.most_mpdus);
        let waiting = channel.sifs.0 + WAITING_SLOTS * channel.slot.0;
        let cost = (burst.length(most).0 + waiting) / (most * burst.mpdu_bits);
        Some(NewLeg { group, sender, receiver, burst, leg: Leg { stream, lane: 0, cost, device } })
    }
}

/// Most that a way's links carry, and which of them.
struct Reach {
    ceiling: f64,
    at: Option<Place>,
}

impl Reach {
    fn hold(&mut self, rate: f64, at: Option<Place>) {
        if rate < self.ceiling {
            (self.ceiling, self.at) = (rate, at);
        }
    }
}

/// Radios joined by spectrum that they share and by hearing each other, over others as well.
fn groups(input: &HourInput, network: &Network) -> (Vec<Group>, Vec<usize>) {
    let num = input.radios.len();
    let mut of: Vec<usize> = (0..num).collect();
    let pairs: Option<BTreeSet<(usize, usize)>> =
        input.hears.map(|h| h.iter().map(|(a, b)| (*a.min(b), *a.max(b))).collect());
    let hears = |a: usize, b: usize| pairs.as_ref().is_none_or(|p| p.contains(&(a.min(b), a.max(b))));
    for a in 0..num {
        for b in network.sharing(a).iter().copied().filter(|b| *b > a && hears(a, *b)) {
            let (keep, gone) = match (of.get(a), of.get(b)) {
                (Some(x), Some(y)) => (*x.min(y), *x.max(y)),
                _ => continue,
            };
            of.iter_mut().filter(|o| **o == gone).for_each(|o| *o = keep);
        }
    }
    let firsts: BTreeSet<usize> = of.iter().copied().collect();
    let number: BTreeMap<usize, usize> = firsts.iter().enumerate().map(|(n, f)| (*f, n)).collect();
    let group_of: Vec<usize> = of.iter().filter_map(|o| number.get(o).copied()).collect();
    let groups = firsts.iter().map(|first| {
        let radios: Vec<usize> = (0..num).filter(|r| of.get(*r) == Some(first)).collect();
        let settings = || radios.iter().filter_map(|r| input.radios.get(*r));
        let neighbours = settings().map(|s| neighbours_on(&input.site.neighbours, s)).fold(0.0, f64::max);
        let beacon = |r: &usize| input.own.get(*r).map_or(0.0, |o| o.beacons).clamp(0.0, 1.0);
        let beacons: f64 = radios.iter().map(beacon).filter(|b| b.is_finite()).sum();
        let lowest = settings().map(|s: &RadioSetting| s.band).min();
        let channel = channel_of(lowest.unwrap_or(Band::Ghz5));
        let medium = Medium { channel, taken: (neighbours + beacons).min(TAKEN_MAX) };
        Group { radios, legs: Vec::new(), lanes: Vec::new(), neighbours, beacons, medium }
    });
    (groups.collect(), group_of)
}
