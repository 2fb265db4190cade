//! What is wrong with the radios of a design: the law first, then what the radio can do, then what will not work well.

use findings::{Edit, Finding, Id, Rule, Severity, Source};
use network::{Design, Medium, RadioSetting};
use radio_profile::{Band, RadioProfile};
use serde_json::json;
use site::Site;
use units::{Db, Dbm, Hertz};

use crate::association::MAY_STICK;
use crate::beacons::BEACON_AIRTIME;
use crate::cells::{LITTLE_OVERLAP, NOT_NEEDED, POWER_UNBALANCED};
use crate::plan_fallback::{fallbacks, with_fallback};
use crate::plan_share::{Air, HOLD_BACK_LEVEL, in_20_mhz};
use crate::thing_channel::THING_CHANNEL;
use crate::{ApInput, Channel, Joined, Limits, RegulationError, Role, channel_at, channels, limits, widest_mhz};

fn regulation() -> Source {
    Source::regulation("the country's rule, named in the finding")
}

fn clear_channel() -> Source {
    Source::standard("IEEE 802.11-2020, 17.3.10.6: a station holds back for a preamble at -82 dBm or more")
}

/// The country is none.
pub const COUNTRY_UNKNOWN: Rule = Rule {
    id: "wlan.country-unknown",
    severity: Severity::Fails,
    summary: "The country is not known, so that no channel can be allowed",
    limit: "a code of ISO 3166-1",
    cite: regulation,
};
/// A channel that the country does not allow.
pub const CHANNEL_NOT_ALLOWED: Rule = Rule {
    id: "wlan.channel-not-allowed",
    severity: Severity::Unsafe,
    summary: "A radio is set to a channel or width that the country does not allow or that does not exist",
    limit: "the country's channels",
    cite: || Source::new(findings::SourceKind::Dataset, "wireless-regdb 2026.05.30"),
};
/// More power than the country allows.
pub const POWER_ABOVE_LIMIT: Rule = Rule {
    id: "wlan.power-above-limit",
    severity: Severity::Unsafe,
    summary: "A radio radiates more than the country allows on its channel",
    limit: "lesser of the total and density times width",
    cite: regulation,
};
/// No rule is cited.
pub const LIMIT_UNKNOWN: Rule = Rule {
    id: "wlan.limit-unknown",
    severity: Severity::Risk,
    summary: "No power rule is cited for a channel in this country",
    limit: "",
    cite: regulation,
};
/// More than the radio has.
pub const BEYOND_RADIO: Rule = Rule {
    id: "wlan.beyond-radio",
    severity: Severity::Fails,
    summary: "A setting asks for a band, width or power that the part's radio does not have",
    limit: "the part's radio",
    cite: || Source::new(findings::SourceKind::GenericFigure, "the part's radio profile"),
};
/// Two settings for one radio.
pub const DUPLICATE_SETTING: Rule = Rule {
    id: "wlan.duplicate-setting",
    severity: Severity::Fails,
    summary: "A part has two settings for one band, or a setting names a part that is not in the design",
    limit: "one setting for each radio",
    cite: Source::common_practice,
};
/// All fast radios can be closed by radar.
pub const RADAR_ONLY_PLAN: Rule = Rule {
    id: "wlan.radar-only-plan",
    severity: Severity::Risk,
    summary: "Every radio above 2.4 GHz is on a channel that radar can close",
    limit: "one radio above 2.4 GHz on a channel without radar detection",
    cite: Source::common_practice,
};
/// Own access points share a channel.
pub const OWN_OVERLAP: Rule = Rule {
    id: "wlan.own-overlap",
    severity: Severity::Risk,
    summary: "Two own access points on overlapping channels hear each other and share the time",
    limit: "-82 dBm at each other",
    cite: clear_channel,
};
/// Wider than the neighbourhood bears.
pub const TOO_WIDE: Rule = Rule {
    id: "wlan.too-wide",
    severity: Severity::Risk,
    summary: "A narrower channel would leave more, because neighbours use part of this one",
    limit: "width times share of time no less than any narrower part's",
    cite: Source::common_practice,
};

/// Every rule of this crate.
pub const RULES: &[Rule] = &[
    COUNTRY_UNKNOWN,
    CHANNEL_NOT_ALLOWED,
    POWER_ABOVE_LIMIT,
    LIMIT_UNKNOWN,
    BEYOND_RADIO,
    DUPLICATE_SETTING,
    RADAR_ONLY_PLAN,
    OWN_OVERLAP,
    TOO_WIDE,
    BEACON_AIRTIME,
    MAY_STICK,
    LITTLE_OVERLAP,
    NOT_NEEDED,
    POWER_UNBALANCED,
    THING_CHANNEL,
    crate::check_air::CROWDED,
    crate::check_air::TOO_MANY,
    crate::check_air::TOO_MUCH_POWER,
];

/// A decibel figure is compared with this much play, for figures rounded to a tenth.
const PLAY_DB: f64 = 0.05;

/// What is wrong with the radio settings of a design, each by itself; overlaps of own access points: see [`check_overlaps`].
///
/// `radio` gives the radio of a placed part, by its id in the design.
#[must_use]
pub fn check<'a>(design: &Design, site: &Site, radio: &dyn Fn(&Id) -> Option<&'a RadioProfile>) -> Vec<Finding> {
    check_heard(design, site, &|_| None, radio)
}

/// As [`check`], with the neighbours as each part hears them where that is known.
#[must_use]
pub fn check_heard<'a>(
    design: &Design,
    site: &Site,
    heard_at: &dyn Fn(&Id) -> Option<Site>,
    radio: &dyn Fn(&Id) -> Option<&'a RadioProfile>,
) -> Vec<Finding> {
    let mut findings = Vec::new();
    let mut radar: Vec<(&RadioSetting, bool)> = Vec::new();
    let mut country_said = false;
    for (idx, setting) in design.radios.iter().enumerate() {
        let subject = vec![setting.part.clone()];
        let band = setting.band;
        let twice = design.radios.iter().take(idx).any(|s| s.part == setting.part && s.band == band);
        let placed = design.part(&setting.part);
        if twice || placed.is_none() {
            let what = if twice { "has two settings for" } else { "is not in the design but has a setting for" };
            let message = format!("`{}` {what} {} GHz", setting.part, band.label());
            findings.push(Finding::of(&DUPLICATE_SETTING, subject.clone(), message));
        }
        if placed.is_some() {
            beyond_radio(setting, radio(&setting.part), &mut findings);
        }
        match limits(&site.country, band, setting.centre, setting.width, Role::AccessPoint) {
            Ok(limits) => {
                if band != Band::Ghz2 {
                    radar.push((setting, limits.dfs.is_some()));
                }
                too_strong(design, idx, setting, &limits, &mut findings);
            }
            Err(error) => {
                let rule = match &error {
                    RegulationError::UnknownCountry { .. } => &COUNTRY_UNKNOWN,
                    RegulationError::Unknown { .. } => &LIMIT_UNKNOWN,
                    RegulationError::NoSuchChannel { .. } | RegulationError::NotAllowed { .. } => &CHANNEL_NOT_ALLOWED,
                };
                let again = rule.id == COUNTRY_UNKNOWN.id && std::mem::replace(&mut country_said, true);
                if !again {
                    findings.push(Finding::of(rule, subject, format!("`{}`: {error}", setting.part)));
                }
            }
        }
        if let Some(channel) = channel_at(band, setting.centre, setting.width) {
            let heard = heard_at(&setting.part);
            too_wide(design, idx, heard.as_ref().unwrap_or(site), &channel, &mut findings);
        }
    }
    if !radar.is_empty() && radar.iter().all(|(_, closed)| *closed) {
        radar_only(design, site, radio, &radar, &mut findings);
    }
    findings
}

/// Joins of a design's radio links between parts of a list.
fn joins(design: &Design, aps: &[ApInput]) -> Vec<Joined> {
    let place = |id: &Id| aps.iter().position(|ap| ap.part == *id);
    let join = |link: &network::Link| match link.medium {
        Medium::Radio { band } => Some(Joined { a: place(&link.from)?, b: place(&link.to)?, band }),
        _ => None,
    };
    design.links.iter().filter_map(join).filter(|j| j.a != j.b).collect()
}

/// Every fast radio can be closed: the fallback that costs the plan least is the remedy. Couplings are not known here and count in full.
fn radar_only<'a>(
    design: &Design,
    site: &Site,
    radio: &dyn Fn(&Id) -> Option<&'a RadioProfile>,
    radar: &[(&RadioSetting, bool)],
    findings: &mut Vec<Finding>,
) {
    let mut subjects: Vec<Id> = radar.iter().map(|(s, _)| s.part.clone()).collect();
    subjects.dedup();
    let mut aps: Vec<ApInput> = Vec::new();
    for (setting, _) in radar {
        let known = aps.iter().any(|ap| ap.part == setting.part);
        if let (false, Some(radio)) = (known, radio(&setting.part)) {
            aps.push(ApInput { part: setting.part.clone(), radio });
        }
    }
    let joined = joins(design, &aps);
    let all = fallbacks(&design.radios, &aps, &joined, &|_, _, _| Db(f64::NAN), site, None);
    let best = all.iter().filter(|f| f.to.is_some()).max_by(|a, b| a.change.total_cmp(&b.change));
    let num = radar.len() as f64;
    let which = match radar.len() {
        1 => "the only radio above 2.4 GHz is on a channel".to_owned(),
        num => format!("all {num} radios above 2.4 GHz are on channels"),
    };
    let message = format!("{which} that radar can close for 30 min, with 1 min or more of silence before the next");
    let finding = Finding::of(&RADAR_ONLY_PLAN, subjects, message).against(num, num - 1.0, "radios");
    findings.push(match best {
        Some(fallback) => {
            let radios = with_fallback(&design.radios, &all, &fallback.part, fallback.band);
            let moved = 1 + fallback.together.len();
            let text = format!(
                "move `{}` in {} GHz: {}; {} of {} radios then wait for radar",
                fallback.part,
                fallback.band.label(),
                fallback.why,
                radar.len().saturating_sub(moved),
                radar.len()
            );
            finding.remedy(text, vec![Edit::set(format!("designs/{}/radios", design.id), json!(radios))])
        }
        None => finding.remedy("move one radio to a channel without radar detection", vec![]),
    });
}

/// An edit that replaces one radio setting; settings have no ids, so that the list is replaced.
pub(crate) fn replace_setting(design: &Design, idx: usize, with: RadioSetting) -> Vec<Edit> {
    let mut radios = design.radios.clone();
    match radios.get_mut(idx) {
        Some(slot) => *slot = with,
        None => return Vec::new(),
    }
    vec![Edit::set(format!("designs/{}/radios", design.id), json!(radios))]
}

fn too_strong(design: &Design, idx: usize, setting: &RadioSetting, limits: &Limits, findings: &mut Vec<Finding>) {
    let most = limits.eirp_max;
    // A power that is not a number is found as beyond the radio.
    let above = setting.eirp.0 > most.0 + PLAY_DB;
    if !above {
        return;
    }
    let message = format!(
        "`{}` radiates {:.1} dBm in {} GHz; {:.1} dBm is allowed on {} MHz there",
        setting.part,
        setting.eirp.0,
        setting.band.label(),
        most.0,
        setting.width.mhz()
    );
    let mut finding = Finding::of(&POWER_ABOVE_LIMIT, vec![setting.part.clone()], message);
    finding.source = limits.rule.clone();
    let edits = replace_setting(design, idx, RadioSetting { eirp: most, ..setting.clone() });
    findings
        .push(finding.against(setting.eirp.0, most.0, "dBm").remedy(format!("lower it to {:.1} dBm", most.0), edits));
}

fn beyond_radio(setting: &RadioSetting, profile: Option<&RadioProfile>, findings: &mut Vec<Finding>) {
    let subject = || vec![setting.part.clone()];
    let part = &setting.part;
    let band = setting.band;
    let Some((profile, radio)) = profile.and_then(|p| p.band(band).map(|r| (p, r))) else {
        let message = format!("`{part}` has no radio for {} GHz", band.label());
        findings.push(Finding::of(&BEYOND_RADIO, subject(), message));
        return;
    };
    let widest = widest_mhz(profile.generation, band).map_or(0.0, f64::from).min(radio.max_width.mhz());
    // Written so that NaN fails.
    let width_fits = setting.width.mhz() <= widest + 1e-6;
    if !width_fits {
        let message = format!("`{part}` is set to {} MHz; its radio has {widest} MHz", setting.width.mhz());
        findings.push(Finding::of(&BEYOND_RADIO, subject(), message).against(setting.width.mhz(), widest, "MHz"));
    }
    let most = radio.tx_power + radio.antenna_gain;
    let power_fits = setting.eirp.0 <= most.0 + PLAY_DB;
    if !power_fits {
        let message =
            format!("`{part}` is set to {:.1} dBm; its radio and antenna reach {:.1} dBm", setting.eirp.0, most.0);
        findings.push(Finding::of(&BEYOND_RADIO, subject(), message).against(setting.eirp.0, most.0, "dBm"));
    }
}

fn too_wide(design: &Design, idx: usize, site: &Site, channel: &Channel, findings: &mut Vec<Finding>) {
    let left = |c: &Channel| f64::from(c.width_mhz) / Air::of(site, c).contention(0.0);
    let (low, high) = channel.edges_mhz();
    let inside = |c: &Channel| {
        let (a, b) = c.edges_mhz();
        a >= low && b <= high
    };
    let narrower = [160, 80, 40, 20].into_iter().filter(|w| *w < channel.width_mhz);
    // A part that is known not to be allowed is no remedy; one whose limit is unknown is as the whole.
    let most = |c: &Channel| match limits(&site.country, c.band, c.centre(), c.width(), Role::AccessPoint) {
        Ok(limits) => Some(limits.eirp_max.0),
        Err(RegulationError::NotAllowed { .. }) => None,
        Err(_) => Some(f64::INFINITY),
    };
    let parts = narrower.flat_map(|w| channels(channel.band, w)).filter(inside);
    let best = parts
        .filter_map(|c| Some((left(&c), c, most(&c)?)))
        .max_by(|a, b| a.0.total_cmp(&b.0).then(b.1.centre_mhz.cmp(&a.1.centre_mhz)));
    let (Some((better, part, most)), Some(setting)) = (best, design.radios.get(idx)) else { return };
    let now = left(channel);
    if better <= now + 1e-9 {
        return;
    }
    let message = format!(
        "`{}` uses {} MHz of which neighbours leave {now:.0} MHz; channel {} of {} MHz leaves {better:.0} MHz",
        setting.part, channel.width_mhz, part.number, part.width_mhz
    );
    let finding = Finding::of(&TOO_WIDE, vec![setting.part.clone()], message).against(now, better, "MHz");
    // A density limit leaves less power to a narrower channel.
    let eirp = Dbm(if setting.eirp.0 > most { most } else { setting.eirp.0 });
    let with = RadioSetting { centre: part.centre(), width: part.width(), eirp, ..setting.clone() };
    let text = format!("use channel {} of {} MHz: neighbours leave {better:.0} MHz of it", part.number, part.width_mhz);
    findings.push(finding.remedy(text, replace_setting(design, idx, with)));
}

/// Own access points on overlapping channels that hear each other, save those whose radio link needs it.
///
/// `coupling` is the path gain between two placed parts in a band; pairs without one are passed over.
#[must_use]
pub fn check_overlaps(design: &Design, coupling: &dyn Fn(&Id, &Id, Band) -> Option<Db>) -> Vec<Finding> {
    let mut findings = Vec::new();
    let edges = |s: &RadioSetting| {
        let half = Hertz(s.width.0 / 2.0);
        ((s.centre - half).0, (s.centre + half).0)
    };
    for (idx, a) in design.radios.iter().enumerate() {
        for b in design.radios.iter().skip(idx + 1) {
            let ((a_low, a_high), (b_low, b_high)) = (edges(a), edges(b));
            let overlap = a.band == b.band && a.part != b.part && a_low < b_high && b_low < a_high;
            let meant = design.links.iter().any(|l| {
                let ends = (l.from == a.part && l.to == b.part) || (l.from == b.part && l.to == a.part);
                ends && l.medium == Medium::Radio { band: a.band }
            });
            if !overlap || meant {
                continue;
            }
            let Some(gain) = coupling(&a.part, &b.part, a.band) else { continue };
            // In 20 MHz, each of which has its own preamble.
            let sent = |s: &RadioSetting| in_20_mhz(s.eirp, s.width.mhz());
            let level = sent(a).max(sent(b)) + gain;
            if level.0 < HOLD_BACK_LEVEL.0 {
                continue;
            }
            let message = format!(
                "`{}` and `{}` overlap in {} GHz and hear each other at {:.0} dBm",
                a.part,
                b.part,
                a.band.label(),
                level.0
            );
            let subjects = vec![a.part.clone(), b.part.clone()];
            let finding = Finding::of(&OWN_OVERLAP, subjects, message).against(level.0, HOLD_BACK_LEVEL.0, "dBm");
            findings.push(finding.remedy("plan the channels again, narrower if none is free", vec![]));
        }
    }
    findings
}
