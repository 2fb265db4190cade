//! What is wrong with the sampled evenings, with what mends it and the figure after it.

use std::collections::BTreeMap;

use findings::{Edit, Finding, Id};
use household::{ActivityKind, DeviceKind};
use serde_json::json;

use crate::cameras::UPSTREAM_LIMIT;
use crate::evening_gather::{Gathered, asked, low_is_poor};
use crate::evening_judge::RATING_LIMIT;
use crate::evening_wires::FAIR_SHARE;
use crate::hour::{ActivityHour, Bottleneck, BusyHour, Carrier, LineHour};
use crate::loads::bottleneck_finding;
use crate::rules::{CAMERA_RETENTION, CAMERA_UPLINK, NEED_MISSED, SERVICE_TOO_SMALL, SLOW_STATION, UPLOAD_RUINS_CALLS};

/// Share of evenings that may be poor.
const POOR_SHARE: f64 = 0.05;
/// Share of a channel's time that one device may take before it is worth a word, and how much longer than the others' its bits may take.
pub(crate) const SLOW_SHARE: f64 = 0.4;
pub(crate) const SLOW_FACTOR: f64 = 2.0;
/// A channel that is this full in a poor evening is looked at: half of its limit.
const LOADED: f64 = crate::rules::AIRTIME_LIMIT / 2.0;

pub(crate) fn findings(all: &Gathered, hour: &BusyHour) -> Vec<Finding> {
    let mut found = all.table.findings.clone();
    bottleneck(all, &mut found);
    if let Some(line) = &hour.line {
        upload_ruins_calls(all, hour, line, &mut found);
        service_too_small(all, line, &mut found);
        camera_uplink(all, line, &mut found);
    }
    retention(hour, &mut found);
    slow_stations(all, hour, &mut found);
    needs_missed(all, hour, &mut found);
    found
}

fn bottleneck(all: &Gathered, found: &mut Vec<Finding>) {
    let Some(room) = all.first.and_then(|n| all.rooms.iter().find(|r| r.load == n)) else { return };
    let Some(load) = all.loads.get(room.load) else { return };
    found.extend(bottleneck_finding(load, room.poor));
}

/// Calls that the line's plain queue ruins and a fair one would not.
fn upload_ruins_calls(all: &Gathered, hour: &BusyHour, line: &LineHour, found: &mut Vec<Finding>) {
    if !line.queue.is_plain() {
        return;
    }
    for (n, activity) in hour.activities.iter().enumerate() {
        if activity.rating.is_none() {
            continue;
        }
        let ran: Vec<_> = all.sampled.iter().filter_map(|e| e.ran.get(n)).filter(|r| r.ran).collect();
        let ruined = ran.iter().filter(|r| !r.met && r.met_other).count() as f64 / ran.len().max(1) as f64;
        if ruined < POOR_SHARE {
            continue;
        }
        let missed = ran.iter().filter(|r| !r.met).count() as f64 / ran.len().max(1) as f64;
        let after = ran.iter().filter(|r| !r.met_other).count() as f64 / ran.len().max(1) as f64;
        let rating = low_is_poor(ran.iter().map(|r| r.rating[0])).poor;
        let rating_after = low_is_poor(ran.iter().map(|r| r.rating[1])).poor;
        let waits = line.wait_plain.poor.max(line.wait_plain_down.poor);
        let message = format!(
            "in {:.0} % of its evenings `{}` is ruined while a transfer fills the line: packets wait up to {:.0} ms before it, and the call is rated {rating:.0} \
             in one evening of twenty; {RATING_LIMIT} is the least",
            100.0 * missed,
            activity.id,
            1e3 * waits
        );
        let subjects = vec![activity.id.clone(), activity.device.clone(), line.line.clone()];
        let finding = Finding::of(&UPLOAD_RUINS_CALLS, subjects, message).against(rating, RATING_LIMIT, "1");
        let text = format!(
            "give each flow its turn before the line, at {:.0} % of its rate: the call is then rated {rating_after:.0}, and {:.0} % of its evenings are ruined",
            100.0 * FAIR_SHARE,
            100.0 * after
        );
        let edit = Edit::set(
            format!("designs/{}/line_queue", all.input.subject),
            json!({ "kind": "fair", "share": FAIR_SHARE }),
        );
        found.push(finding.remedy(text, vec![edit]));
    }
}

fn service_too_small(all: &Gathered, line: &LineHour, found: &mut Vec<Finding>) {
    let Some(ways) = &all.table.line else { return };
    for (wire, rate, tier, way) in [
        (ways.down, line.rate_down, line.suffices.down, "towards the home"),
        (ways.down + 1, line.rate_up, line.suffices.up, "from the home"),
    ] {
        let share = all.table.wires.get(wire).map_or(1.0, |w| w.share);
        let (peak, mean) = asked(all, wire);
        let needed = (peak / share).max(mean / line.limit);
        // Written so that a rate that is not a number is too small.
        let enough = needed <= 0.0 || rate.0 >= needed;
        if enough {
            continue;
        }
        let message = format!(
            "the line `{}` has {:.0} Mbit/s {way}; what is done in the busy hour needs {:.0} in one evening of twenty",
            line.line,
            rate.mbps(),
            needed / 1e6
        );
        let finding = Finding::of(&SERVICE_TOO_SMALL, vec![line.line.clone()], message);
        let text = match tier {
            Some(tier) => format!(
                "order a service of {:.0} Mbit/s {way}; the needs are then met in nineteen evenings of twenty",
                tier.mbps()
            ),
            None => "no usual service is enough: do less at a time".to_owned(),
        };
        found.push(finding.against(rate.mbps(), needed / 1e6, "Mbit/s").remedy(text, vec![]));
    }
}

fn camera_uplink(all: &Gathered, line: &LineHour, found: &mut Vec<Finding>) {
    let household = all.input.household;
    let cameras = household.devices.iter().filter_map(|d| Some((d, d.recording.as_ref()?)));
    let over: Vec<_> = cameras.filter(|(_, r)| r.store.is_none() && r.rate.0.is_finite() && r.rate.0 > 0.0).collect();
    let sum: f64 = over.iter().map(|(d, r)| r.rate.0 * f64::from(d.count)).sum();
    let share = sum / line.rate_up.0;
    let within = sum <= 0.0 || share <= UPSTREAM_LIMIT;
    if within {
        return;
    }
    let mut subjects: Vec<Id> = over.iter().map(|(d, _)| d.id.clone()).collect();
    subjects.push(line.line.clone());
    let message = format!(
        "{} cameras send {:.1} Mbit/s over the line when all record; that is {:.0} % of its rate from the home, {:.0} % is the limit",
        over.iter().fold(0u32, |n, (d, _)| n.saturating_add(d.count)),
        sum / 1e6,
        100.0 * share,
        100.0 * UPSTREAM_LIMIT
    );
    let finding = Finding::of(&CAMERA_UPLINK, subjects, message).against(100.0 * share, 100.0 * UPSTREAM_LIMIT, "%");
    let store =
        household.devices.iter().find(|d| d.kind == DeviceKind::Storage && all.table.network.joined(&d.id).is_some());
    let finding = match store {
        Some(store) => {
            let edit = |(d, _): &(&household::Device, &household::Recording)| {
                Edit::set(format!("household/devices/{}/recording/store", d.id), json!(store.id))
            };
            let text = format!("record on `{}` in the home: the cameras then take 0 % of the line", store.id);
            finding.remedy(text, over.iter().map(edit).collect())
        }
        None => finding
            .remedy("record in the home, on a device with storage: the cameras then take 0 % of the line", vec![]),
    };
    let tier = sum / UPSTREAM_LIMIT / 1e6;
    found.push(finding.remedy(format!("or order at least {tier:.0} Mbit/s from the home"), vec![]));
}

fn retention(hour: &BusyHour, found: &mut Vec<Finding>) {
    for recording in &hour.recordings {
        let Some(keeps) = recording.keeps else { continue };
        if keeps.0 >= recording.wanted.0 * (1.0 - 1e-9) {
            continue;
        }
        let days = |s: f64| s / 86_400.0;
        let message = format!(
            "what `{}` records lasts {:.1} days in the room that is there; {:.0} are wanted",
            recording.device,
            days(keeps.0),
            days(recording.wanted.0)
        );
        let finding = Finding::of(&CAMERA_RETENTION, vec![recording.device.clone()], message);
        let text = format!(
            "give it {:.0} GB, at {:.1} GB a day with 15 % reserve and 90 % of a disk usable: {:.0} days are then kept",
            (recording.needed_octets / 1e9).ceil(),
            recording.octets_a_day / 1e9,
            days(recording.wanted.0)
        );
        let path = format!("household/devices/{}/recording/capacity_octets", recording.device);
        let edit = Edit::set(path, json!((recording.needed_octets / 1e9).ceil() * 1e9));
        found.push(finding.against(days(keeps.0), days(recording.wanted.0), "d").remedy(text, vec![edit]));
    }
}

/// Expected time and bits of a device on a channel.
#[derive(Clone, Copy, Default)]
struct OnAir {
    time: f64,
    bits: f64,
}

/// A device that holds a loaded channel for much longer than its bits would take others.
fn slow_stations(all: &Gathered, hour: &BusyHour, found: &mut Vec<Finding>) {
    let table = all.table;
    for group in &table.groups {
        let Some(radio) = group.radios.first().and_then(|r| all.input.radios.get(*r)) else { continue };
        let busy =
            hour.channels.iter().find(|c| c.part == radio.part && c.band == radio.band).map_or(0.0, |c| c.busy.poor);
        if busy < LOADED {
            continue;
        }
        let mut devices: BTreeMap<&Id, OnAir> = BTreeMap::new();
        let mut total = OnAir::default();
        for leg in group.legs.iter().filter(|l| l.device.is_some()) {
            let Some((stream, entry)) = table.streams.get(leg.stream).and_then(|s| {
                let unit = table.units.get(s.unit)?;
                Some((s, table.entries.get(unit.entry)?))
            }) else {
                continue;
            };
            let bits = entry.share * stream.need;
            for slot in [devices.entry(&entry.device.id).or_default(), &mut total] {
                slot.bits += bits;
                slot.time += bits * leg.cost;
            }
        }
        let longest = devices.iter().max_by(|a, b| a.1.time.total_cmp(&b.1.time).then_with(|| b.0.cmp(a.0)));
        let Some((device, own)) = longest else { continue };
        let others = OnAir { time: total.time - own.time, bits: total.bits - own.bits };
        let share = own.time / total.time;
        let slower = (own.time / own.bits) / (others.time / others.bits);
        let rules = devices.len() > 1 && share >= SLOW_SHARE && slower >= SLOW_FACTOR;
        if !rules {
            continue;
        }
        let after = busy * (1.0 - share) + (group.neighbours + group.beacons) * share;
        let message = format!(
            "`{device}` holds the {} GHz channel of `{}` for {:.0} % of what the home sends there: each of its megabits takes {:.1} ms, {slower:.1} times as \
             long as the others'",
            radio.band.label(),
            radio.part,
            100.0 * share,
            1e9 * own.time / own.bits
        );
        let finding = Finding::of(&SLOW_STATION, vec![(*device).clone(), radio.part.clone()], message);
        let text = format!(
            "join it by cable, set an access point nearer to it, or give it a channel of its own: this one is then busy for about {:.0} % in place of {:.0} %",
            100.0 * after,
            100.0 * busy
        );
        found.push(finding.against(slower, SLOW_FACTOR, "times as long").remedy(text, vec![]));
    }
}

fn says(held: &Bottleneck) -> String {
    let band = held.band.map_or(String::new(), |b| format!("{} GHz ", b.label()));
    match held.carrier {
        Carrier::Link => format!("the link of `{}`", held.subject),
        Carrier::Channel => format!("the {band}channel of `{}`", held.subject),
        Carrier::RadioUplink => format!("the radio uplink of `{}`", held.subject),
        Carrier::Cable => format!("the cable of `{}`", held.subject),
        Carrier::LineDown => format!("the line `{}` towards the home", held.subject),
        Carrier::LineUp => format!("the line `{}` from the home", held.subject),
        Carrier::Delay => format!("waiting for `{}`", held.subject),
    }
}

/// What would help, by what holds it back.
fn helps(held: &Bottleneck) -> &'static str {
    match held.carrier {
        Carrier::Link => "join the device by cable, or set an access point nearer to it",
        Carrier::Channel => "move devices to cables or a faster band, or add an access point on another channel",
        Carrier::RadioUplink => "join the part by cable, or set it nearer",
        Carrier::Cable => "use ports of a higher rate between the parts",
        Carrier::LineDown | Carrier::LineUp => "order the service that suffices, or do less at a time",
        Carrier::Delay => "give each flow its turn before the line, or move the device to a cable",
    }
}

fn needs_missed(all: &Gathered, hour: &BusyHour, found: &mut Vec<Finding>) {
    for activity in &hour.activities {
        let Some(met) = activity.met else { continue };
        // What upload ruins has been said with its remedy.
        let said = found.iter().any(|f| f.rule == UPLOAD_RUINS_CALLS.id && f.subjects.first() == Some(&activity.id));
        if met >= 1.0 - POOR_SHARE || said {
            continue;
        }
        let held = activity.held_back_by.as_ref();
        let by = held.map_or(String::new(), |held| format!(", held back by {}", says(held)));
        let message = format!(
            "`{}` gets what it needs in {:.0} % of its evenings{by}: {}",
            activity.id,
            100.0 * met,
            gets(activity)
        );
        let mut subjects = vec![activity.id.clone(), activity.device.clone()];
        subjects.extend(held.map(|h| h.subject.clone()).filter(|s| *s != activity.device));
        let finding =
            Finding::of(&NEED_MISSED, subjects, message).against(100.0 * met, 100.0 * (1.0 - POOR_SHARE), "%");
        let finding = match held {
            Some(held) => remedy(all, hour, activity, held, finding),
            None => finding,
        };
        found.push(finding);
    }
}

fn remedy(all: &Gathered, hour: &BusyHour, activity: &ActivityHour, held: &Bottleneck, finding: Finding) -> Finding {
    let waits_for_line = held.carrier == Carrier::Delay
        && hour.line.as_ref().is_some_and(|l| l.line == held.subject && l.queue.is_plain());
    if !waits_for_line {
        return finding.remedy(helps(held), vec![]);
    }
    let n = hour.activities.iter().position(|a| a.id == activity.id && a.cause == activity.cause).unwrap_or(usize::MAX);
    let ran: Vec<_> = all.sampled.iter().filter_map(|e| e.ran.get(n)).filter(|r| r.ran).collect();
    let after = ran.iter().filter(|r| r.met_other).count() as f64 / ran.len().max(1) as f64;
    let path = format!("designs/{}/line_queue", all.input.subject);
    let text = format!(
        "give each flow its turn before the line, at {:.0} % of its rate: it then gets what it needs in {:.0} % of its evenings",
        100.0 * FAIR_SHARE,
        100.0 * after
    );
    finding.remedy(text, vec![Edit::set(path, json!({ "kind": "fair", "share": FAIR_SHARE }))])
}

/// What it gets in a poor evening against what it needs.
fn gets(activity: &ActivityHour) -> String {
    let mut parts = Vec::new();
    for (rate, needs, way) in
        [(activity.down, activity.needs_down, "towards"), (activity.up, activity.needs_up, "from")]
    {
        if let Some(rate) = rate.filter(|r| r.poor < needs.0) {
            parts.push(format!("{:.1} of {:.1} Mbit/s {way} the device", rate.poor / 1e6, needs.mbps()));
        }
    }
    if let (Some(delay), Some(most)) = (activity.delay, activity.max_delay)
        && delay.poor > most.0
    {
        parts.push(format!("a delay of {:.0} ms where {:.0} are borne", 1e3 * delay.poor, 1e3 * most.0));
    }
    if let Some(rating) = activity.rating.filter(|r| r.poor < RATING_LIMIT) {
        parts.push(format!("a rating of {:.0} where {RATING_LIMIT} is the least", rating.poor));
    }
    if parts.is_empty()
        && let Some(loss) = activity.loss
    {
        parts.push(format!("{:.1} % of packets lost or too late", 100.0 * loss.poor));
    }
    debug_assert!(activity.kind != ActivityKind::Telemetry || activity.rating.is_none());
    if parts.is_empty() { "a little less".to_owned() } else { format!("{} in one evening of twenty", parts.join(", ")) }
}
