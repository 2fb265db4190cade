//! How the cells of a home's access points lie: overlap, own radios on one channel, power against the weakest device. Whom a device joins: see
//! `association`.

use findings::{Finding, Id, Rule, Severity, Source};
use network::{Design, RadioSetting};
use radio_profile::Band;
use units::{Db, Dbm, Hertz};

use crate::check::replace_setting;
use crate::link::{Direction, LinkModel};
use crate::plan_share::HOLD_BACK_LEVEL;

/// Share of the covered places that should hear a second access point, so that a device can change over without a gap: 15 to 20 %, the lower end.
/// Common practice, no source.
pub const OVERLAP_LEAST: f64 = 0.15;
/// Share of places that may lie on a channel shared by two own access points. Common practice, no source.
pub const SHARED_MOST: f64 = 0.20;
/// Share of the places covered with an access point that must stay covered without it for it to be one too many. Common practice, no source.
const STAYS_COVERED: f64 = 0.98;
/// By how much the way down may reach farther than the way up. An imbalance of a few decibels costs nothing, since most data goes down. Common
/// practice, no source.
pub const POWER_EXCESS_MOST: Db = Db(6.0);

/// A gap between cells.
pub const LITTLE_OVERLAP: Rule = Rule {
    id: "wlan.little-overlap",
    severity: Severity::Note,
    summary: "Few places hear a second access point, so that a call drops while one walks from cell to cell",
    limit: "15 % of the covered places",
    cite: Source::common_practice,
};
/// An access point that only adds contention.
pub const NOT_NEEDED: Rule = Rule {
    id: "wlan.access-point-not-needed",
    severity: Severity::Risk,
    summary: "Own access points share a channel at many places, and one of them is not needed for coverage",
    limit: "20 % of the covered places",
    cite: Source::common_practice,
};
/// Louder than its devices.
pub const POWER_UNBALANCED: Rule = Rule {
    id: "wlan.power-unbalanced",
    severity: Severity::Risk,
    summary: "An access point is heard much farther than its weakest device, which then stays on it though it is not heard any more",
    limit: "6 dB",
    cite: Source::common_practice,
};

/// An own radio as it is heard at a place.
#[derive(Clone, Debug, PartialEq)]
pub struct Heard {
    /// The access point.
    pub ap: Id,
    /// Centre of its channel.
    pub centre: Hertz,
    /// Width of its channel.
    pub width: Hertz,
    /// Local-mean level at a device there.
    pub level: Dbm,
}

/// How the cells of one band lie over a list of places. Places weigh alike; give a regular grid for shares of area.
#[derive(Clone, Debug, PartialEq)]
pub struct Cells {
    /// Places given.
    pub places: usize,
    /// Share of them that hear an access point at the level.
    pub covered: f64,
    /// Share of the covered places that hear a second access point at the level.
    pub overlapped: f64,
    /// Mean over the covered places of the other own access points heard at -82 dBm or more on the channel of the strongest.
    pub sharing_mean: f64,
    /// Share of the covered places where there is at least one of these.
    pub shared: f64,
    /// For each access point, by id: the share of the covered places that stay covered without it.
    pub without: Vec<(Id, f64)>,
}

/// How the cells of one band lie; nothing without places, and shares of covered places are 0 where none is covered.
///
/// Levels that are not numbers are passed over. `level` is what a device needs, such as -67 dBm for calls.
#[must_use]
pub fn cells(places: &[Vec<Heard>], level: Dbm) -> Option<Cells> {
    if places.is_empty() || level.0.is_nan() {
        return None;
    }
    let mut ids: Vec<&Id> = places.iter().flatten().map(|h| &h.ap).collect();
    ids.sort();
    ids.dedup();
    let (mut covered, mut overlapped, mut sharing, mut shared) = (0usize, 0usize, 0usize, 0usize);
    let mut needing = vec![0usize; ids.len()];
    for heard in places {
        // The strongest radio of each access point, strongest first; id and channel break ties.
        let mut radios: Vec<&Heard> = heard.iter().filter(|h| !h.level.0.is_nan()).collect();
        radios.sort_by(|a, b| {
            let by_channel = || a.centre.total_cmp(&b.centre).then(a.width.total_cmp(&b.width));
            b.level.total_cmp(&a.level).then_with(|| a.ap.cmp(&b.ap)).then_with(by_channel)
        });
        let Some(best) = radios.first().copied().filter(|b| b.level >= level) else { continue };
        covered += 1;
        let second = radios.iter().find(|h| h.ap != best.ap && h.level >= level);
        match second {
            Some(_) => overlapped += 1,
            None => {
                if let Some(count) = ids.iter().position(|id| **id == best.ap).and_then(|idx| needing.get_mut(idx)) {
                    *count += 1;
                }
            }
        }
        let overlaps = |h: &Heard| (h.centre - best.centre).0.abs() < (h.width.0 + best.width.0) / 2.0;
        let mut others: Vec<&Id> = radios
            .iter()
            .filter(|h| h.ap != best.ap && h.level.0 >= HOLD_BACK_LEVEL.0 && overlaps(h))
            .map(|h| &h.ap)
            .collect();
        others.sort();
        others.dedup();
        sharing += others.len();
        shared += usize::from(!others.is_empty());
    }
    let of_covered = |num: usize| if covered == 0 { 0.0 } else { num as f64 / covered as f64 };
    let without = ids.into_iter().cloned().zip(needing).map(|(id, num)| (id, of_covered(covered - num))).collect();
    Some(Cells {
        places: places.len(),
        covered: covered as f64 / places.len() as f64,
        overlapped: of_covered(overlapped),
        sharing_mean: of_covered(sharing),
        shared: of_covered(shared),
        without,
    })
}

/// What is wrong with how the cells of one band lie: too little overlap, or access points that only contend.
///
/// Designs with one access point in the band are passed over.
#[must_use]
pub fn check_cells(design: &Design, band: Band, cells: &Cells) -> Vec<Finding> {
    let mut findings = Vec::new();
    if cells.without.len() < 2 || cells.covered <= 0.0 {
        return findings;
    }
    let label = band.label();
    let everyone = || cells.without.iter().map(|(id, _)| id.clone()).collect::<Vec<Id>>();
    if cells.overlapped < OVERLAP_LEAST {
        let message = format!(
            "in {label} GHz {:.0} % of the covered places hear a second access point",
            cells.overlapped * 100.0
        );
        let finding = Finding::of(&LITTLE_OVERLAP, everyone(), message).against(
            cells.overlapped * 100.0,
            OVERLAP_LEAST * 100.0,
            "%",
        );
        findings.push(finding.remedy("move the access points closer together, or raise their power", vec![]));
    }
    if cells.shared > SHARED_MOST {
        // The one that is needed least; the first by id of equals.
        let spare = cells.without.iter().filter(|(_, stays)| *stays >= STAYS_COVERED);
        let Some((id, stays)) = spare.reduce(|best, one| if one.1 > best.1 { one } else { best }) else {
            return findings;
        };
        let message = format!(
            "in {label} GHz {:.0} % of the covered places share their channel with another own access point, {:.1} on average, and {:.0} % stay covered without `{id}`",
            cells.shared * 100.0,
            cells.sharing_mean,
            stays * 100.0
        );
        let mut subjects = vec![id.clone()];
        subjects.extend(everyone().into_iter().filter(|other| other != id));
        let finding =
            Finding::of(&NOT_NEEDED, subjects, message).against(cells.shared * 100.0, SHARED_MOST * 100.0, "%");
        let left: Vec<RadioSetting> =
            design.radios.iter().filter(|s| !(&s.part == id && s.band == band)).cloned().collect();
        let is_set = left.len() < design.radios.len();
        let edits = if is_set {
            vec![findings::Edit::set(format!("designs/{}/radios", design.id), serde_json::json!(left))]
        } else {
            Vec::new()
        };
        let off = format!("switch off the {label} GHz radio of `{id}`: {:.0} % stay covered", stays * 100.0);
        findings.push(finding.remedy(off, edits).remedy("plan the channels again, narrower if none is free", vec![]));
    }
    findings
}

/// By how much the way down of a link reaches farther than its way up: difference of the least gains at which each has a mode. Positive where the
/// access point is the louder one; nothing if a direction has no mode.
///
/// Noise figures, chains and limits on power density count, since they are in the link's steps.
#[must_use]
pub fn power_excess(link: &LinkModel) -> Option<Db> {
    let least = |direction| link.steps(direction).first().map(|s| s.min_gain);
    Some(least(Direction::Up)? - least(Direction::Down)?)
}

/// A link of a device with a set radio, for [`check_power`].
#[derive(Clone, Copy, Debug)]
pub struct DeviceLink<'a> {
    /// The device.
    pub device: &'a Id,
    /// The access point.
    pub ap: &'a Id,
    /// The band.
    pub band: Band,
    /// The link.
    pub link: &'a LinkModel,
}

/// Radios that are heard more than [`POWER_EXCESS_MOST`] farther than the weakest of their devices, with the power that matches.
///
/// A finding is a note where the design has one access point, since nobody can stay on the wrong one. The remedy lowers the radio to the limit, not
/// below, as lower power costs rate on the way down.
#[must_use]
pub fn check_power(design: &Design, links: &[DeviceLink]) -> Vec<Finding> {
    let mut parts: Vec<&Id> = design.radios.iter().map(|s| &s.part).collect();
    parts.sort();
    parts.dedup();
    let mut findings = Vec::new();
    for (idx, setting) in design.radios.iter().enumerate() {
        let here = links.iter().filter(|l| l.ap == &setting.part && l.band == setting.band);
        let weakest = here
            .filter_map(|l| Some((power_excess(l.link)?, l)))
            .filter(|(excess, _)| excess.is_finite())
            .max_by(|a, b| a.0.total_cmp(&b.0).then_with(|| b.1.device.cmp(a.1.device)));
        let Some((excess, weakest)) = weakest else { continue };
        let Some(now) = weakest.link.steps(Direction::Down).first().map(|s| s.eirp) else { continue };
        if excess.0 <= POWER_EXCESS_MOST.0 {
            continue;
        }
        let matched = now - (excess - POWER_EXCESS_MOST);
        let message = format!(
            "`{}` is heard {:.0} dB farther in {} GHz than it hears `{}`",
            setting.part,
            excess.0,
            setting.band.label(),
            weakest.device
        );
        let subjects = vec![setting.part.clone(), weakest.device.clone()];
        let mut finding =
            Finding::of(&POWER_UNBALANCED, subjects, message).against(excess.0, POWER_EXCESS_MOST.0, "dB");
        if parts.len() < 2 {
            finding.severity = Severity::Note;
        }
        let edits = replace_setting(design, idx, RadioSetting { eirp: matched, ..setting.clone() });
        findings.push(finding.remedy(
            format!("lower it to {:.0} dBm, {:.0} dB above its weakest device", matched.0, POWER_EXCESS_MOST.0),
            edits,
        ));
    }
    findings
}
