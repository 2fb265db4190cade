//! Where a radio goes when radar is heard on its channel: the best setting that needs no radar check, what it costs and how long nothing is sent.

use findings::{Id, Source};
use network::RadioSetting;
use radio_profile::Band;
use site::Site;
use units::{Db, Dbm, Seconds};

use crate::Channel;
use crate::plan::{ApInput, Joined, Judged, judge, of_group};
use crate::plan_choices::Candidate;
use crate::plan_power::PowerChoice;
use crate::regulation::{Dfs, Role, channel_limits};

/// What a radio on a radar channel does when it must leave.
#[derive(Clone, Debug, PartialEq)]
pub struct Fallback {
    /// The placed part.
    pub part: Id,
    /// The band.
    pub band: Band,
    /// Its setting.
    pub from: RadioSetting,
    /// The setting to go to; nothing if every channel of the band needs a radar check.
    pub to: Option<RadioSetting>,
    /// Parts that are joined to it by this radio and so move with it.
    pub together: Vec<Id>,
    /// Time times width on the fallback, as a share of the present one's; 0 if there is none.
    pub left: f64,
    /// Change of the plan's objective, other radios as they are; minus infinity if there is no fallback.
    pub change: f64,
    /// How long nothing is sent, at most: the time to leave, and the check of the next radar channel or the closed time where there is no fallback.
    pub silence: Seconds,
    /// How long the present channel stays closed.
    pub closed: Seconds,
    /// Check before it may be used again.
    pub check: Seconds,
    /// Where the times come from.
    pub source: Source,
    /// The reason in one sentence.
    pub why: String,
}

/// The fallback of every radio whose channel radar can close, by band, then access point.
///
/// # Model
/// Of the channels that need no radar check, the one with the best objective of [`crate::plan_radios`] while the other radios stay; power as now, or
/// what is allowed there if that is less. Radios that are joined move together. A radio leaves within the move time, during which it announces
/// the next channel; a channel without check is used at once. Without one, the next radar channel that the present one does not touch is
/// checked first; without that, the present one is closed for the non-occupancy time and checked again.
///
/// # Units
/// As [`crate::plan_radios`].
///
/// # Validity
/// A band in which some radio has no setting, or one that is not allowed, has no fallbacks here.
#[must_use]
pub fn fallbacks(
    settings: &[RadioSetting],
    aps: &[ApInput],
    joined: &[Joined],
    coupling: &dyn Fn(usize, usize, Band) -> Db,
    site: &Site,
    power: Option<&PowerChoice>,
) -> Vec<Fallback> {
    let mut found = Vec::new();
    if joined.iter().any(|j| j.a >= aps.len() || j.b >= aps.len()) {
        return found;
    }
    for band in Band::ALL {
        let Some(judged) = judge(settings, aps, joined, coupling, (site, band), power) else { continue };
        for group in 0..judged.chosen.len() {
            of_radios(&judged, group, aps, site, &mut found);
        }
    }
    found
}

fn dfs_of(site: &Site, channel: &Channel) -> Option<Dfs> {
    channel_limits(&site.country, channel, Role::AccessPoint).ok()?.dfs
}

fn of_radios(judged: &Judged, group: usize, aps: &[ApInput], site: &Site, found: &mut Vec<Fallback>) {
    let (Some(now), Some(members)) = (judged.chosen.get(group), judged.choices.groups.get(group)) else { return };
    let Some(dfs) = dfs_of(site, &now.channel) else { return };
    let others: Vec<&Candidate> = judged.chosen.iter().collect();
    let before = judged.choices.total(&others);
    let all = judged.choices.candidates.get(group).map_or(&[][..], Vec::as_slice);
    let mut best: Option<(f64, Candidate)> = None;
    for (k, other) in all.iter().enumerate() {
        // The first of a channel has the highest power.
        let again = all.iter().take(k).any(|c| c.channel == other.channel);
        if again || other.radar {
            continue;
        }
        let eirps: Vec<Dbm> = other.members.iter().zip(&now.members).map(|(to, from)| to.eirp.min(from.eirp)).collect();
        let to = judged.ground.candidate(members, &judged.choices.air, &other.channel, &eirps);
        let Some(to) = to else { continue };
        let mut after = others.clone();
        if let Some(slot) = after.get_mut(group) {
            *slot = &to;
        }
        let change = judged.choices.total(&after) - before;
        if best.as_ref().is_none_or(|b| change > b.0 + 1e-9) {
            best = Some((change, to));
        }
    }
    let carried = |candidate: &Candidate| {
        let mut plain = candidate.clone();
        let width = f64::from(candidate.channel.width_mhz);
        plain.members.iter_mut().for_each(|m| m.worth = width.ln());
        judged.choices.value_beside(group, &plain, &others) / members.len().max(1) as f64
    };
    let checks = |c: &&Candidate| !c.channel.overlaps(&now.channel);
    let next_check = all.iter().filter(checks).filter_map(|c| dfs_of(site, &c.channel)).map(|d| d.availability_check);
    let next_check = next_check.min_by(Seconds::total_cmp);
    let (left, change, silence, why) = match (&best, next_check) {
        (Some((change, to)), _) => {
            let left = (carried(to) - carried(now)).exp();
            let why = format!(
                "channel {} of {} MHz needs no radar check and leaves {:.0} % of time and width",
                to.channel.number,
                to.channel.width_mhz,
                left * 100.0
            );
            (left, *change, dfs.move_time, why)
        }
        (None, Some(check)) => {
            let why = format!("every channel needs a radar check; the next takes {:.0} s", check.0);
            (0.0, f64::NEG_INFINITY, dfs.move_time + check, why)
        }
        (None, None) => {
            let why =
                format!("no other channel is allowed; this one is closed for {:.0} min", dfs.non_occupancy.0 / 60.0);
            (0.0, f64::NEG_INFINITY, dfs.non_occupancy + dfs.availability_check, why)
        }
    };
    let to = best.map(|(_, to)| of_group(aps, members, &to)).unwrap_or_default();
    let group_parts: Vec<Id> = of_group(aps, members, now).into_iter().map(|(_, s)| s.part).collect();
    for (place, from) in of_group(aps, members, now) {
        found.push(Fallback {
            part: from.part.clone(),
            band: from.band,
            to: to.iter().find(|(p, _)| *p == place).map(|(_, s)| s.clone()),
            together: group_parts.iter().filter(|p| **p != from.part).cloned().collect(),
            from,
            left,
            change,
            silence,
            closed: dfs.non_occupancy,
            check: dfs.availability_check,
            source: dfs.source.clone(),
            why: why.clone(),
        });
    }
}

/// The settings with a radio and those joined to it on their fallback; as they are if it has none.
#[must_use]
pub fn with_fallback(settings: &[RadioSetting], fallbacks: &[Fallback], part: &Id, band: Band) -> Vec<RadioSetting> {
    let of = |part: &Id| fallbacks.iter().find(|f| f.part == *part && f.band == band);
    let together = of(part).map_or(&[][..], |f| f.together.as_slice());
    let goes = |s: &RadioSetting| {
        let moves = s.band == band && (s.part == *part || together.contains(&s.part));
        moves.then(|| of(&s.part)?.to.clone()).flatten()
    };
    settings.iter().map(|s| goes(s).unwrap_or_else(|| s.clone())).collect()
}
