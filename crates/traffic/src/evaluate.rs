//! The busy hour itself: demand on every resource, the first that is full, and what is wrong.

use findings::{Figure, Finding, Id, Source as Cite, SourceKind};
use household::{Activity, Device};
use network::RadioSetting;
use site::Neighbour;

use crate::paths::{Joined, Network};
use crate::rates::activity_rates;
use crate::rules::{
    ACTIVITY_ABOVE_LINK, AIRTIME_LIMIT, BOTTLENECK, DEVICE_UNSERVED, IMPOSSIBLE_DEMAND, RATE_BELOW_GUIDE, WIRE_LIMIT,
};
use crate::{Input, Load, Outcome, Resource, Source, sum_of};

/// Share of time taken for a neighbour whose load is not known. Common practice, no source.
const ASSUMED_NEIGHBOUR_LOAD: f64 = 0.3;
/// Neighbours below this level do not hold the home's own stations back (IEEE 802.11-2020, 17.3.10.6).
const HOLD_BACK_DBM: f64 = -82.0;

/// The busy hour of a home.
///
/// # Model
/// Every device of an activity runs it at its stated rate with the probability `busy_share`, independently of all others. While it runs it takes
/// `rate / link rate` of the time of its channel, in each direction, of every radio hop on the way, and of the rate of cables and the main line
/// (not the line if it ends in the home). Own radios whose channels overlap share one channel's time, as if all heard each other. Neighbours at
/// -82 dBm or more take their load off. The 95th percentile of demand is [`sum_of`] the running activities; it is held against [`AIRTIME_LIMIT`] and
/// [`WIRE_LIMIT`]. Links are taken at their rate alone on the channel: what contention costs beyond sharing time is what the limit leaves room for.
///
/// # Figures
/// - `headroom`: factor by which the 95th percentile of demand could grow before the first resource passes its limit; `low` with everything running at
///   once, `high` at the mean demand. Unknown without demand.
/// - `airtime.2.4`, `airtime.5`, `airtime.6` of a part, `uplink-load` of a part, `line-load.down`, `line-load.up` of the line: 95th percentile as a
///   share; `low` the mean, `high` everything at once.
#[must_use]
pub fn evaluate(input: &Input) -> Outcome {
    let network = Network::new(input);
    let mut findings = Vec::new();
    let resources = network.resources();
    let mut sources: Vec<Vec<Source>> = vec![Vec::new(); resources.len()];
    let mut broken = vec![false; resources.len()];
    // Kept apart, so that looking whether one is said already stays cheap.
    let mut on_paths = Vec::new();
    let mut devices = std::collections::BTreeMap::new();
    for device in &input.household.devices {
        devices.entry(&device.id).or_insert(device);
        if network.joined(&device.id).is_none() && device.attachment != household::Attachment::ThingNetwork {
            let message = format!("`{}` has no link: no radio or cable of the design reaches it", device.id);
            findings.push(Finding::of(&DEVICE_UNSERVED, vec![device.id.clone()], message));
        }
    }
    for activity in &input.household.activities {
        let device = devices.get(&activity.device).copied();
        let Some(device) = possible(activity, device, &mut findings) else { continue };
        let Some(joined) = network.joined(&device.id) else { continue };
        above_link(activity, joined, &mut findings);
        for (resource, load) in network.takes(joined, activity, &mut on_paths) {
            match (sources.get_mut(resource), load.is_finite()) {
                (Some(list), true) => list.push(Source { load, share: activity.busy_share, count: device.count }),
                (Some(_), false) => {
                    if let Some(flag) = broken.get_mut(resource) {
                        *flag |= activity.busy_share > 0.0 && device.count > 0;
                    }
                }
                (None, _) => {}
            }
        }
    }
    findings.append(&mut on_paths);
    let mut loads = Vec::new();
    for ((resource, sources), broken) in resources.into_iter().zip(&sources).zip(broken) {
        let demand = sum_of(sources);
        if demand.all <= 0.0 && !broken {
            continue;
        }
        let (limit, neighbours) = match &resource {
            Resource::Channel { part, band } => {
                let setting = network.radio(part, *band).and_then(|idx| input.radios.get(idx));
                (AIRTIME_LIMIT, setting.map_or(0.0, |s| neighbours_on(&input.site.neighbours, s)))
            }
            Resource::RadioUplink { .. } => (AIRTIME_LIMIT, 0.0),
            _ => (WIRE_LIMIT, 0.0),
        };
        loads.push(Load { resource, demand, neighbours, limit, broken });
    }
    let headrooms = loads.iter().enumerate().filter_map(|(idx, load)| Some((idx, load.headroom(load.demand.p95)?)));
    let bottleneck = headrooms.min_by(|a, b| a.1.total_cmp(&b.1)).map(|(idx, _)| idx);
    let mut figures = vec![headroom(input.subject, &loads, bottleneck)];
    figures.extend(loads.iter().map(load_figure));
    if let Some(load) = bottleneck.and_then(|idx| loads.get(idx)) {
        findings.extend(load.headroom(load.demand.p95).and_then(|headroom| bottleneck_finding(load, headroom)));
    }
    Outcome { figures, findings, loads, bottleneck }
}

/// The device of an activity whose numbers can be; else a finding.
pub(crate) fn possible<'a>(
    activity: &Activity,
    device: Option<&'a Device>,
    findings: &mut Vec<Finding>,
) -> Option<&'a Device> {
    let rate_ok = |rate: f64| rate.is_finite() && rate >= 0.0;
    let wrong = if device.is_none() {
        Some(format!("its device `{}` is not in the household", activity.device))
    } else if !rate_ok(activity.down.0) || !rate_ok(activity.up.0) {
        Some(format!("its rates are {} and {}; give 0 or more", activity.down, activity.up))
    } else if !(0.0..=1.0).contains(&activity.busy_share) {
        Some(format!("its share of the busy hour is {}; give 0 to 1", activity.busy_share))
    } else {
        None
    };
    if let Some(wrong) = wrong {
        let message = format!("`{}` is left out: {wrong}", activity.id);
        findings.push(Finding::of(&IMPOSSIBLE_DEMAND, vec![activity.id.clone(), activity.device.clone()], message));
        return None;
    }
    let lowest = activity_rates().iter().filter(|r| r.kind == activity.kind).map(|r| r.low_mbps);
    let lowest = lowest.fold(f64::INFINITY, f64::min);
    let stated = activity.down.mbps();
    if lowest.is_finite() && stated < lowest && stated > 0.0 {
        let message =
            format!("`{}` is stated with {stated} Mbit/s towards the home; the guide's least is {lowest}", activity.id);
        let finding = Finding::of(&RATE_BELOW_GUIDE, vec![activity.id.clone()], message);
        findings.push(finding.against(stated, lowest, "Mbit/s"));
    }
    device
}

pub(crate) fn above_link(activity: &Activity, joined: Joined, findings: &mut Vec<Finding>) {
    let (down, up) = match joined {
        Joined::Air(link) => (link.down, link.up),
        Joined::Wire(wire) => (wire.rate, wire.rate),
    };
    for (way, wanted, has) in [("towards", activity.down, down), ("from", activity.up, up)] {
        // Written so that a rate that is not a number counts as none.
        let carries = wanted.0 <= 0.0 || has.0 >= wanted.0;
        if !carries {
            let (wanted, has) = (wanted.mbps(), has.mbps());
            let message = format!(
                "`{}` needs {wanted:.1} Mbit/s {way} `{}`; its link carries {has:.1}",
                activity.id, activity.device
            );
            let subjects = vec![activity.device.clone(), activity.id.clone()];
            findings.push(Finding::of(&ACTIVITY_ABOVE_LINK, subjects, message).against(has, wanted, "Mbit/s"));
        }
    }
}

/// Loads of the neighbours on a radio's channel that it holds back for.
pub(crate) fn neighbours_on(neighbours: &[Neighbour], setting: &RadioSetting) -> f64 {
    let half = setting.width.0 / 2.0;
    let on_it = |n: &&Neighbour| {
        let overlap = (n.centre.0 - setting.centre.0).abs() < half + n.width.0 / 2.0;
        // A level that is not a number counts.
        let quiet = n.level.0 < HOLD_BACK_DBM;
        overlap && !quiet
    };
    let load = |n: &Neighbour| n.load.filter(|l| l.is_finite()).map_or(ASSUMED_NEIGHBOUR_LOAD, |l| l.clamp(0.0, 1.0));
    neighbours.iter().filter(on_it).map(load).sum()
}

fn model() -> Cite {
    Cite::model("independent activities over shared channels, cables and the line")
}

pub(crate) fn limits_source() -> Cite {
    Cite::new(SourceKind::CommonPractice, "common practice, no source: 50 % of a channel's time, 80 % of a wire's rate")
}

/// A resource in words.
pub(crate) fn name(resource: &Resource) -> String {
    match resource {
        Resource::Channel { part, band } => format!("{} GHz channel of `{part}`", band.label()),
        Resource::RadioUplink { part } => format!("radio uplink of `{part}`"),
        Resource::CableDown { part } => format!("cable towards `{part}`"),
        Resource::CableUp { part } => format!("cable from `{part}`"),
        Resource::LineDown { line } => format!("line `{line}` towards the home"),
        Resource::LineUp { line } => format!("line `{line}` from the home"),
    }
}

fn subject(resource: &Resource) -> &Id {
    match resource {
        Resource::Channel { part, .. }
        | Resource::RadioUplink { part }
        | Resource::CableDown { part }
        | Resource::CableUp { part } => part,
        Resource::LineDown { line } | Resource::LineUp { line } => line,
    }
}

fn headroom(of: &Id, loads: &[Load], bottleneck: Option<usize>) -> Figure {
    let Some(load) = bottleneck.and_then(|idx| loads.get(idx)) else {
        let missing = vec!["demand: no activity of a device with a link runs in the busy hour".to_owned()];
        return Figure::unknown("headroom", of.clone(), "1", missing).source(model());
    };
    let least = |demand: &dyn Fn(&Load) -> f64| {
        loads.iter().filter_map(|l| l.headroom(demand(l))).min_by(f64::total_cmp).unwrap_or(0.0)
    };
    let value = load.headroom(load.demand.p95).unwrap_or(0.0);
    Figure::known("headroom", of.clone(), value, "1")
        .between(least(&|l| l.demand.all), least(&|l| l.demand.mean), None)
        .input(format!("demand on the {}, 95th percentile", name(&load.resource)), load.demand.p95, "1")
        .input("share taken by neighbours", load.neighbours, "1")
        .input("limit", load.limit, "1")
        .source(model())
        .source(limits_source())
}

pub(crate) fn load_figure(load: &Load) -> Figure {
    let id = match &load.resource {
        Resource::Channel { band, .. } => format!("airtime.{}", band.label()),
        Resource::RadioUplink { .. } => "uplink-load.radio".to_owned(),
        Resource::CableDown { .. } => "uplink-load.down".to_owned(),
        Resource::CableUp { .. } => "uplink-load.up".to_owned(),
        Resource::LineDown { .. } => "line-load.down".to_owned(),
        Resource::LineUp { .. } => "line-load.up".to_owned(),
    };
    let of = subject(&load.resource).clone();
    if load.broken {
        return Figure::unknown(id, of, "1", vec!["a rate above 0 of the link that must carry this".to_owned()])
            .source(model());
    }
    Figure::known(id, of, load.demand.p95 + load.neighbours, "1")
        .between(load.demand.mean + load.neighbours, load.demand.all + load.neighbours, None)
        .input("share taken by neighbours", load.neighbours, "1")
        .source(model())
}

/// What is full first, if demand leaves it no room to grow.
pub(crate) fn bottleneck_finding(load: &Load, headroom: f64) -> Option<Finding> {
    if headroom >= 1.0 {
        return None;
    }
    let (used, what) = (load.demand.p95 + load.neighbours, name(&load.resource));
    let message = if load.broken {
        format!("the {what} must carry demand over a link that carries nothing")
    } else if used < load.limit {
        format!(
            "the {what} does not carry what is asked in the worst moments of one evening of twenty; it is used to {:.0} % in such an hour",
            100.0 * used
        )
    } else {
        format!(
            "the {what} is used to {:.0} % in the busy hour (95th percentile); {:.0} % is the limit",
            100.0 * used,
            100.0 * load.limit
        )
    };
    let remedy = match &load.resource {
        Resource::Channel { .. } => {
            "move a device to a cable or a faster band, or share it with one more access point on another channel"
        }
        Resource::RadioUplink { .. } => "join the part by cable, or set it nearer",
        Resource::CableDown { .. } | Resource::CableUp { .. } => "use ports of a higher rate between the parts",
        Resource::LineDown { .. } | Resource::LineUp { .. } => {
            "order a faster service, or move a large transfer out of the busy hour"
        }
    };
    let finding = Finding::of(&BOTTLENECK, vec![subject(&load.resource).clone()], message);
    let finding = if load.broken { finding } else { finding.against(100.0 * used, 100.0 * load.limit, "%") };
    Some(finding.remedy(remedy, vec![]))
}
