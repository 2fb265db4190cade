//! What sampled evenings come to: medians and poor evenings as data. Figures are in `evening_figures`, findings in `evening_findings`.

use findings::{Id, Source, SourceKind};
use network::LineQueue;
use units::{BitsPerSecond, Seconds};

use crate::cameras::recordings;
use crate::evening::{HourInput, HourOutcome};
use crate::evening_demand::MOMENTS;
use crate::evening_figures::figures;
use crate::evening_findings::findings;
use crate::evening_judge::Held;
use crate::evening_moment::Evening;
use crate::evening_network::{Place, Table};
use crate::hour::{
    ActivityHour, Bottleneck, BusyHour, Carrier, Cause, ChannelHour, DeviceHour, LineHour, Spread, Tier, UplinkHour,
};
use crate::rules::{AIRTIME_LIMIT, WIRE_LIMIT};
use crate::{Demand, Load, Resource, UplinkKind};

/// Rates of lines that are usual on offer [Mbit/s]. Common practice, no source.
const TIERS: [f64; 26] = [
    1.0, 2.0, 5.0, 10.0, 16.0, 20.0, 25.0, 30.0, 40.0, 50.0, 75.0, 100.0, 150.0, 200.0, 250.0, 300.0, 400.0, 500.0,
    600.0, 750.0, 1000.0, 2000.0, 2500.0, 5000.0, 8000.0, 10_000.0,
];
/// One evening of twenty.
const POOR: f64 = 0.95;

/// The least value that a share of evenings does not pass.
fn quantile(sorted: &[f64], share: f64) -> f64 {
    let rank = (share * sorted.len() as f64 - 1e-9).ceil().max(1.0) as usize;
    sorted.get(rank - 1).or(sorted.last()).copied().unwrap_or(0.0)
}

/// Median, and what one evening of twenty passes.
pub(crate) fn high_is_poor(values: impl Iterator<Item = f64>) -> Spread {
    let mut sorted: Vec<f64> = values.collect();
    sorted.sort_by(f64::total_cmp);
    Spread { median: quantile(&sorted, 0.5), poor: quantile(&sorted, POOR) }
}

/// Median, and what one evening of twenty falls below.
pub(crate) fn low_is_poor(values: impl Iterator<Item = f64>) -> Spread {
    let spread = high_is_poor(values.map(|v| -v));
    // Not minus zero.
    Spread { median: 0.0 - spread.median, poor: 0.0 - spread.poor }
}

/// What a place can bear: how demand may grow on it.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Room {
    /// Index in the outcome's loads.
    pub load: usize,
    /// Factor in the poor evening, the worst and the median one.
    pub poor: f64,
    pub worst: f64,
    pub median: f64,
}

/// Everything that figures and findings are made from.
pub(crate) struct Gathered<'g, 'a> {
    pub input: &'g HourInput<'a>,
    pub table: &'g Table<'a>,
    pub sampled: &'g [Evening],
    pub loads: Vec<Load>,
    /// The place of each load.
    pub places: Vec<Place>,
    pub rooms: Vec<Room>,
    /// Over all: poor, worst, median.
    pub headroom: Option<(f64, f64, f64)>,
    pub first: Option<usize>,
}

pub(crate) fn gather(input: &HourInput, table: &Table, sampled: &[Evening]) -> HourOutcome {
    let (loads, places) = loads(table, sampled);
    let rooms: Vec<Room> =
        loads.iter().zip(&places).enumerate().filter_map(|(n, (l, p))| room(n, l, *p, sampled)).collect();
    let first = rooms.iter().min_by(|a, b| a.poor.total_cmp(&b.poor)).map(|r| r.load);
    let mut all = Gathered { input, table, sampled, loads, places, rooms, headroom: None, first };
    all.headroom = headroom(&all);
    let hour = BusyHour {
        hour: table.hour,
        evenings: u32::try_from(sampled.len()).unwrap_or(u32::MAX),
        channels: channels(&all),
        devices: devices(&all),
        uplinks: uplinks(&all),
        line: line(&all),
        activities: activities(&all),
        recordings: recordings(input.household),
        bottleneck: all.first.and_then(|n| Some((n, all.loads.get(n)?, *all.places.get(n)?))).map(
            |(_, load, place)| Bottleneck {
                load: load.demand.p95 + load.taken,
                limit: load.limit,
                ..all.bottleneck_at(place)
            },
        ),
        sources: sources(table),
    };
    let figures = figures(&all, &hour);
    let found = findings(&all, &hour);
    HourOutcome { hour, figures, findings: found, loads: all.loads }
}

fn sources(table: &Table) -> Vec<Source> {
    let mut sources = vec![
        Source::model("evenings sampled: people and devices over shared channels, cables and the line"),
        Source::new(
            SourceKind::CommonPractice,
            format!(
                "common practice, no source: {MOMENTS} moments an hour; mean times of activities 5 min to 1 h, of a camera's recording 30 s; 50 % of a \
                 channel's time, 80 % of a wire's rate"
            ),
        ),
        Source::standard("ITU-T G.107 (06/2015), E-model; pictures are judged by the sound's delay and loss"),
        Source::standard("ITU-T G.113 (11/2007), Appendix I: G.711 with concealment of losses").from_memory(),
        Source::new(SourceKind::Publication, "RFC 8290 and RFC 8289: fair queue with controlled delay"),
        Source::new(
            SourceKind::Publication,
            "L. Kleinrock, Queueing Systems, volume 1, 1975: Pollaczek-Khinchine formula",
        ),
    ];
    if let Some(line) = table.network.line() {
        sources.push(line.delays().source);
    }
    sources
}

/// Every resource with demand: channels by radio, uplinks, line.
fn loads(table: &Table, sampled: &[Evening]) -> (Vec<Load>, Vec<Place>) {
    let (radios, groups) = (table.group_of.len(), table.groups.len());
    let mut all = (Vec::new(), Vec::new());
    for (n, resource) in table.network.resources().into_iter().enumerate() {
        let place = if n < radios { table.group_of.get(n).copied() } else { Some(groups + n - radios) };
        let Some(place) = place else { continue };
        let at_once = at_once(table, place);
        let demand = demand_at(sampled, place, at_once);
        let broken = sampled.iter().any(|e| e.worst.get(place).is_some_and(|w| w.is_infinite()));
        if at_once <= 0.0 && !broken {
            continue;
        }
        let group = table.groups.get(place);
        let taken = group.map_or(0.0, |g| g.neighbours + g.beacons);
        let limit = match resource {
            Resource::Channel { .. } | Resource::RadioUplink { .. } => AIRTIME_LIMIT,
            _ => WIRE_LIMIT,
        };
        all.0.push(Load { resource, demand, taken, limit, broken });
        all.1.push(place);
    }
    all
}

fn demand_at(sampled: &[Evening], place: Place, at_once: f64) -> Demand {
    let of = |e: &Evening| e.mean.get(place).copied().unwrap_or(0.0);
    let spread = high_is_poor(sampled.iter().map(of));
    let mean = sampled.iter().map(of).sum::<f64>() / sampled.len().max(1) as f64;
    Demand { mean, p95: spread.poor, all: at_once.max(spread.poor) }
}

/// Everything on at once, with full bursts on channels.
fn at_once(table: &Table, place: Place) -> f64 {
    let need = |stream: usize| table.streams.get(stream).map_or(0.0, |s| s.need);
    if let Some(group) = table.groups.get(place) {
        return group.legs.iter().map(|l| l.cost * need(l.stream)).sum();
    }
    let wire = place - table.groups.len();
    let Some(capacity) = table.wires.get(wire).map(|w| w.capacity) else { return 0.0 };
    let takes = |s: &crate::evening_network::Stream| -> f64 {
        let uses = table.uses.get(s.uses.clone()).unwrap_or_default();
        uses.iter().filter(|(w, _)| *w == wire).map(|(_, takes)| takes * s.need).sum()
    };
    table.streams.iter().map(takes).filter(|t| *t > 0.0).map(|t| t / capacity).sum()
}

fn room(load: usize, of: &Load, place: Place, sampled: &[Evening]) -> Option<Room> {
    if of.broken {
        return Some(Room { load, poor: 0.0, worst: 0.0, median: 0.0 });
    }
    let at = |e: &Evening, list: fn(&Evening) -> &Vec<f64>| list(e).get(place).copied().unwrap_or(0.0);
    let missed = high_is_poor(sampled.iter().map(|e| at(e, |e| &e.worst)));
    let mean = high_is_poor(sampled.iter().map(|e| at(e, |e| &e.mean)));
    let most = |list: fn(&Evening) -> &Vec<f64>| sampled.iter().map(|e| at(e, list)).fold(0.0, f64::max);
    let factor = |missed: f64, mean: f64| {
        let by_limit = (of.limit - of.taken).max(0.0) / mean;
        (1.0 / missed).min(by_limit)
    };
    let (worst_missed, worst_mean) = (most(|e| &e.worst), most(|e| &e.mean));
    (worst_missed > 0.0).then(|| Room {
        load,
        poor: factor(missed.poor, mean.poor),
        worst: factor(worst_missed, worst_mean),
        median: factor(missed.median, mean.median),
    })
}

/// Over all resources and the devices' own links: an evening is as good as its worst resource.
fn headroom(all: &Gathered) -> Option<(f64, f64, f64)> {
    let worst = |e: &Evening| {
        // A device's own link says nothing of how all share; it is found as such.
        let own = if e.above_link > 1.0 { e.above_link } else { 0.0 };
        all.places.iter().filter_map(|p| e.worst.get(*p)).copied().fold(own, f64::max)
    };
    let missed = high_is_poor(all.sampled.iter().map(worst));
    let most = all.sampled.iter().map(worst).fold(0.0, f64::max);
    let least = |of: fn(&Room) -> f64, missed: f64| {
        all.rooms.iter().map(of).chain([1.0 / missed]).min_by(f64::total_cmp).unwrap_or(0.0)
    };
    (most > 0.0).then(|| (least(|r| r.poor, missed.poor), least(|r| r.worst, most), least(|r| r.median, missed.median)))
}

impl Gathered<'_, '_> {
    /// What a place is, without its load.
    pub fn bottleneck_at(&self, place: Place) -> Bottleneck {
        let table = self.table;
        let radios = table.group_of.len();
        let resource = match table.groups.get(place) {
            Some(group) => group.radios.first().copied(),
            None => Some(radios + place - table.groups.len()),
        };
        let resource = resource.and_then(|n| table.network.resources().into_iter().nth(n));
        let load = self.places.iter().position(|p| *p == place).and_then(|n| self.loads.get(n));
        let (carrier, subject, band) = match resource {
            Some(Resource::Channel { part, band }) => (Carrier::Channel, part, Some(band)),
            Some(Resource::RadioUplink { part }) => {
                let uplink = table.network.uplinks().find(|u| u.part == part);
                let band = uplink.and_then(|u| match u.kind {
                    UplinkKind::Radio { band, .. } => Some(band),
                    UplinkKind::Wired { .. } => None,
                });
                (Carrier::RadioUplink, part, band)
            }
            Some(Resource::CableDown { part } | Resource::CableUp { part }) => (Carrier::Cable, part, None),
            Some(Resource::LineDown { line }) => (Carrier::LineDown, line, None),
            Some(Resource::LineUp { line }) => (Carrier::LineUp, line, None),
            None => (Carrier::Link, self.input.subject.clone(), None),
        };
        let (load, limit) = load.map_or((0.0, 1.0), |l| (l.demand.p95 + l.taken, l.limit));
        Bottleneck { carrier, subject, band, load, limit }
    }

    fn held(&self, held: Held, device: &Id) -> Bottleneck {
        match held {
            Held::Link => {
                Bottleneck { carrier: Carrier::Link, subject: device.clone(), band: None, load: 1.0, limit: 1.0 }
            }
            Held::Full(place) => self.bottleneck_at(place),
            Held::Waiting(place) => Bottleneck { carrier: Carrier::Delay, ..self.bottleneck_at(place) },
        }
    }
}

fn devices(all: &Gathered) -> Vec<DeviceHour> {
    let number = |id: &Id| all.table.devices.iter().position(|d| d == id);
    let on_air = all.input.household.devices.iter().filter_map(|d| Some((&d.id, number(&d.id)?)));
    on_air
        .map(|(id, number)| DeviceHour {
            device: id.clone(),
            airtime: high_is_poor(all.sampled.iter().map(|e| e.devices.get(number).copied().unwrap_or(0.0))),
        })
        .collect()
}

fn channels(all: &Gathered) -> Vec<ChannelHour> {
    let table = all.table;
    let mut hours = Vec::new();
    for (radio, setting) in all.input.radios.iter().enumerate() {
        let Some((place, group)) = table.group_of.get(radio).and_then(|g| Some((*g, table.groups.get(*g)?))) else {
            continue;
        };
        let of = |list: fn(&Evening) -> &Vec<f64>| {
            high_is_poor(all.sampled.iter().map(|e| list(e).get(place).copied().unwrap_or(0.0)))
        };
        let mut shared_with: Vec<Id> = Vec::new();
        for other in group.radios.iter().filter_map(|r| all.input.radios.get(*r)) {
            if other.part != setting.part && !shared_with.contains(&other.part) {
                shared_with.push(other.part.clone());
            }
        }
        let others = group.neighbours + group.beacons;
        let busy = of(|e| &e.mean);
        let served = |id: &Id| match table.network.joined(id) {
            Some(crate::paths::Joined::Air(link)) => link.from == setting.part && link.band == setting.band,
            _ => false,
        };
        let num_over = all.sampled.iter().filter(|e| e.overloaded.get(place).copied().unwrap_or(false)).count();
        hours.push(ChannelHour {
            part: setting.part.clone(),
            band: setting.band,
            centre: setting.centre,
            width: setting.width,
            shared_with,
            devices: all
                .input
                .household
                .devices
                .iter()
                .filter(|d| served(&d.id))
                .fold(0, |n, d| n.saturating_add(d.count)),
            own: of(|e| &e.own),
            collided: of(|e| &e.collided),
            beacons: group.beacons,
            neighbours: group.neighbours,
            busy: Spread { median: busy.median + others, poor: busy.poor + others },
            limit: AIRTIME_LIMIT,
            overloaded: num_over as f64 / all.sampled.len().max(1) as f64,
        });
    }
    hours
}

fn uplinks(all: &Gathered) -> Vec<UplinkHour> {
    let groups = all.table.groups.len();
    let of = |place: Place| high_is_poor(all.sampled.iter().map(|e| e.mean.get(place).copied().unwrap_or(0.0)));
    let hour = |(n, uplink): (usize, &crate::Uplink)| {
        let place = groups + 2 * n;
        let (mut down, mut up) = (of(place), of(place + 1));
        let (band, rates, limit) = match uplink.kind {
            UplinkKind::Wired { rate } => (None, (rate, rate), WIRE_LIMIT),
            UplinkKind::Radio { band, down: d, up: u, shared } => {
                let channel =
                    all.table.network.radio(&uplink.parent, band).or(all.table.network.radio(&uplink.part, band));
                if let Some(group) = channel.filter(|_| shared).and_then(|r| all.table.group_of.get(r)) {
                    down = of(*group);
                }
                // One radio serves both ways: its time is one.
                up = down;
                (Some(band), (d, u), AIRTIME_LIMIT)
            }
        };
        let (part, parent) = (uplink.part.clone(), uplink.parent.clone());
        UplinkHour { part, parent, band, rate_down: rates.0, rate_up: rates.1, down, up, limit }
    };
    all.table.network.uplinks().enumerate().map(hour).collect()
}

fn line(all: &Gathered) -> Option<LineHour> {
    let (line, ways) = (all.table.network.line()?, all.table.line.as_ref()?);
    let place = all.table.groups.len() + ways.down;
    let of = |place: Place| high_is_poor(all.sampled.iter().map(|e| e.mean.get(place).copied().unwrap_or(0.0)));
    let wait = |way: usize, queue: usize| {
        let value = |e: &Evening| e.waits.get(way).and_then(|w| w.get(queue)).copied().unwrap_or(0.0);
        high_is_poor(all.sampled.iter().map(value))
    };
    let queue = match all.input.line_queue {
        LineQueue::Plain => LineQueue::Plain,
        LineQueue::Fair { .. } => LineQueue::Fair { share: ways.fair_share },
    };
    Some(LineHour {
        line: line.id.clone(),
        rate_down: line.down,
        rate_up: line.up,
        queue,
        down: of(place),
        up: of(place + 1),
        limit: WIRE_LIMIT,
        wait_plain: wait(1, 0),
        wait_fair: wait(1, 1),
        wait_plain_down: wait(0, 0),
        wait_fair_down: wait(0, 1),
        suffices: Tier { down: tier(all, ways.down), up: tier(all, ways.down + 1) },
    })
}

/// The least usual rate at which the line's needs are met in nineteen evenings of twenty, and its load is within the limit in as many.
fn tier(all: &Gathered, wire: usize) -> Option<BitsPerSecond> {
    let (share, need) = (all.table.wires.get(wire)?.share, asked(all, wire));
    TIERS.iter().map(|t| BitsPerSecond::from_mbps(*t)).find(|t| t.0 * share >= need.0 && t.0 * WIRE_LIMIT >= need.1)
}

/// What the line has to carry one way in the poor evening: in its worst moment, and on average [bit/s].
pub(crate) fn asked(all: &Gathered, wire: usize) -> (f64, f64) {
    let place = all.table.groups.len() + wire;
    let Some(w) = all.table.wires.get(wire) else { return (0.0, 0.0) };
    let at = |list: fn(&Evening) -> &Vec<f64>| {
        high_is_poor(all.sampled.iter().map(|e| list(e).get(place).copied().unwrap_or(0.0))).poor
    };
    (at(|e| &e.peak), at(|e| &e.mean) * w.capacity)
}

fn activities(all: &Gathered) -> Vec<ActivityHour> {
    let mut hours = Vec::new();
    for (n, entry) in all.table.entries.iter().enumerate() {
        let ran: Vec<_> = all.sampled.iter().filter_map(|e| e.ran.get(n)).filter(|r| r.ran).collect();
        let num = ran.len() as f64;
        let rate = |needed: f64, of: fn(&crate::evening_judge::Ran) -> f64| {
            (num > 0.0 && needed > 0.0).then(|| low_is_poor(ran.iter().map(|r| of(r))))
        };
        let is_call = ran.iter().any(|r| r.rating[0].is_finite());
        let waits = num > 0.0 && (entry.down > 0.0 || entry.up > 0.0);
        let rating = is_call.then(|| low_is_poor(ran.iter().map(|r| r.rating[0])));
        // Most frequent; the first of equals in a fixed order.
        let mut held: Vec<Held> = ran.iter().filter(|r| !r.met).filter_map(|r| r.held).collect();
        held.sort_unstable();
        let runs = held.chunk_by(|a, b| a == b).map(|c| (c.len(), c.first().copied()));
        let most = runs.fold((0, None), |best: (usize, Option<Held>), c| if c.0 > best.0 { c } else { best }).1;
        let minds = crate::evening_judge::minds_loss(entry.kind);
        let met = ran.iter().filter(|r| r.met).count() as f64;
        hours.push(ActivityHour {
            id: entry.id.clone(),
            cause: entry.cause,
            kind: entry.kind,
            device: entry.device.id.clone(),
            device_kind: entry.device.kind,
            runs: num / all.sampled.len().max(1) as f64,
            needs_down: BitsPerSecond(entry.down),
            needs_up: BitsPerSecond(entry.up),
            down: rate(entry.down, |r| r.down),
            up: rate(entry.up, |r| r.up),
            delay: waits.then(|| high_is_poor(ran.iter().map(|r| r.delay))),
            max_delay: entry.max_delay.map(Seconds),
            loss: (waits && minds).then(|| high_is_poor(ran.iter().map(|r| r.loss))),
            rating,
            opinion: rating
                .map(|r| Spread { median: crate::call::opinion(r.median), poor: crate::call::opinion(r.poor) }),
            met: (num > 0.0).then(|| met / num),
            held_back_by: most.map(|held| all.held(held, &entry.device.id)),
        });
        debug_assert!(entry.cause == Cause::Activity || entry.down <= 0.0);
    }
    hours
}
