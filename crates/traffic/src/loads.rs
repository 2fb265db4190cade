//! What is said of demands and loads one by one: what cannot be, what is above its link, figures and the bottleneck.

use findings::{Figure, Finding, Id, Source as Cite, SourceKind};
use household::{Activity, Device};
use network::RadioSetting;
use site::Neighbour;

use crate::paths::Joined;
use crate::rates::activity_rates;
use crate::rules::{ACTIVITY_ABOVE_LINK, BOTTLENECK, IMPOSSIBLE_DEMAND, RATE_BELOW_GUIDE};
use crate::{Load, Resource};

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
        let quiet = n.level.0 < wlan::HOLD_BACK_LEVEL.0;
        overlap && !quiet
    };
    let load =
        |n: &Neighbour| n.load.filter(|l| l.is_finite()).map_or(wlan::ASSUMED_NEIGHBOUR_LOAD, |l| l.clamp(0.0, 1.0));
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
    Figure::known(id, of, load.demand.p95 + load.taken, "1")
        .between(load.demand.mean + load.taken, load.demand.all + load.taken, None)
        .input("share taken by neighbours and beacons", load.taken, "1")
        .source(model())
}

/// What is full first, if demand leaves it no room to grow.
pub(crate) fn bottleneck_finding(load: &Load, headroom: f64) -> Option<Finding> {
    if headroom >= 1.0 {
        return None;
    }
    let (used, what) = (load.demand.p95 + load.taken, name(&load.resource));
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
