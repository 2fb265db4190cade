//! Whether the air of a design is crowded: by neighbours and by its own access points. Rules on single settings are in `check`.

use findings::{Edit, Finding, Id, Rule, Severity, Source};
use network::{Design, Medium, RadioSetting};
use radio_profile::{Band, RadioProfile, generic};
use serde_json::json;
use site::Site;
use units::{Db, Dbm};

use crate::check::replace_setting;
use crate::plan_power::{PowerChoice, balanced_eirp};
use crate::plan_share::{ASSUMED_NEIGHBOUR_LOAD, Air, HOLD_BACK_LEVEL, in_20_mhz, weight};
use crate::{Channel, Role, channel_at, channels, limits};

/// Most of a channel's time that others may take before calls and reads wait noticeably. Common practice, no source.
const CROWDED_SHARE: f64 = 0.5;
/// Most own access points on one channel that hear each other. Common practice, no source.
const MANY: usize = 2;
/// A remedy lowers no access point below what a phone sends: then it would be the weaker end (generic figure).
const LOWEST_REMEDY: Dbm = Dbm(12.0);
/// A channel must leave this much more to be worth a change.
const WORTH_A_CHANGE: f64 = 0.05;

/// 2.4 GHz is full.
pub const CROWDED: Rule = Rule {
    id: "wlan.crowded-2.4",
    severity: Severity::Risk,
    summary: "Neighbours and other own access points take much of the time of a 2.4 GHz channel",
    limit: "50 % of the channel's time",
    cite: Source::common_practice,
};
/// Own access points crowd each other.
pub const TOO_MANY: Rule = Rule {
    id: "wlan.too-many-access-points",
    severity: Severity::Risk,
    summary: "Several own access points on one channel hear each other, so that each gets a part of its time",
    limit: "two that hear each other at -82 dBm in 20 MHz",
    cite: Source::common_practice,
};
/// More power than any phone can answer, heard by another own access point.
pub const TOO_MUCH_POWER: Rule = Rule {
    id: "wlan.too-much-power",
    severity: Severity::Note,
    summary: "An access point radiates more than a phone can answer, and another on its channel holds back for it",
    limit: "power at which a phone's way back has the same margin, and 3 dB",
    cite: || Source::model("balanced link to a generic phone of 12 to 15 dBm"),
};

/// What [`check_air`] looks at besides the design.
pub struct AirContext<'a, 'r> {
    /// The site, neighbours as heard anywhere.
    pub site: &'a Site,
    /// The site as heard at a part, if that is known.
    pub heard_at: &'a dyn Fn(&Id) -> Option<Site>,
    /// Path gain between two placed parts in a band; pairs without one are passed over.
    pub coupling: &'a dyn Fn(&Id, &Id, Band) -> Option<Db>,
    /// The radio of a placed part.
    pub radio: &'a dyn Fn(&Id) -> Option<&'r RadioProfile>,
}

/// Whether the air of a design is crowded by neighbours and own access points, each finding with a change that mends it and the figure after it.
///
/// # Model
/// Neighbours take their load (30 % if unknown), own access points 30 % each, weighted by how far their level lies below -82 dBm.
/// Own access points hear each other where the stronger one's level in 20 MHz is -82 dBm or more (IEEE 802.11-2020, 17.3.10.6); those whose radio link
/// needs a common channel are left out.
#[must_use]
pub fn check_air(design: &Design, context: &AirContext) -> Vec<Finding> {
    let mut findings = Vec::new();
    let own: Vec<Own> = design.radios.iter().enumerate().filter_map(|(idx, s)| Own::new(idx, s)).collect();
    for radio in own.iter().filter(|o| o.setting.band == Band::Ghz2) {
        crowded(design, context, &own, radio, &mut findings);
    }
    too_many(design, context, &own, &mut findings);
    for radio in &own {
        too_much_power(design, context, &own, radio, &mut findings);
    }
    findings
}

/// A setting on a channel that exists.
struct Own<'a> {
    idx: usize,
    setting: &'a RadioSetting,
    channel: Channel,
}

impl<'a> Own<'a> {
    fn new(idx: usize, setting: &'a RadioSetting) -> Option<Self> {
        let channel = channel_at(setting.band, setting.centre, setting.width)?;
        setting.eirp.is_finite().then_some(Self { idx, setting, channel })
    }

    fn sent(&self) -> Dbm {
        in_20_mhz(self.setting.eirp, f64::from(self.channel.width_mhz))
    }
}

fn is_meant(design: &Design, a: &RadioSetting, b: &RadioSetting) -> bool {
    design.links.iter().any(|l| {
        let ends = (l.from == a.part && l.to == b.part) || (l.from == b.part && l.to == a.part);
        ends && l.medium == Medium::Radio { band: a.band }
    })
}

fn set_all(design: &Design, radios: &[RadioSetting]) -> Vec<Edit> {
    vec![Edit::set(format!("designs/{}/radios", design.id), json!(radios))]
}

fn percent(share: f64) -> String {
    format!("{:.0} %", share * 100.0)
}

fn crowded(design: &Design, context: &AirContext, own: &[Own], radio: &Own, findings: &mut Vec<Finding>) {
    let heard = (context.heard_at)(&radio.setting.part);
    let site = heard.as_ref().unwrap_or(context.site);
    let from_own = |channel: &Channel, without: Option<&Id>| -> f64 {
        let others = own.iter().filter(|o| o.setting.part != radio.setting.part && Some(&o.setting.part) != without);
        let share = |o: &Own| {
            let gain = (context.coupling)(&radio.setting.part, &o.setting.part, Band::Ghz2)?;
            Some(ASSUMED_NEIGHBOUR_LOAD * weight((o.sent() + gain).0))
        };
        others.filter(|o| o.channel.overlaps(channel)).filter_map(share).sum()
    };
    let neighbours = |channel: &Channel| Air::of(site, channel).wanted();
    let taken = |channel: &Channel, without: Option<&Id>| (neighbours(channel) + from_own(channel, without)).min(1.0);
    let now = taken(&radio.channel, None);
    // Written so that a share that is not a number is found.
    let is_free = now <= CROWDED_SHARE;
    if is_free {
        return;
    }
    let setting = radio.setting;
    let message = format!(
        "`{}`: others take {} of the time of channel {} in 2.4 GHz, neighbours {} and own access points {}",
        setting.part,
        percent(now),
        radio.channel.number,
        percent(neighbours(&radio.channel)),
        percent(from_own(&radio.channel, None))
    );
    let mut finding =
        Finding::of(&CROWDED, vec![setting.part.clone()], message).against(now * 100.0, CROWDED_SHARE * 100.0, "%");
    let plain = channels(Band::Ghz2, 20).into_iter().filter(|c| matches!(c.number, 1 | 6 | 11));
    let allowed = plain.filter_map(|c| {
        let limit = limits(&site.country, Band::Ghz2, c.centre(), c.width(), Role::AccessPoint).ok()?;
        Some((taken(&c, None), c, limit.eirp_max))
    });
    let best = allowed.min_by(|a, b| a.0.total_cmp(&b.0).then(a.1.number.cmp(&b.1.number)));
    let is_joined = own.iter().any(|o| is_meant(design, setting, o.setting));
    if let Some((after, channel, most)) = best.filter(|b| b.0 < now - WORTH_A_CHANGE && !is_joined) {
        let eirp = setting.eirp.min(most);
        let with = RadioSetting { centre: channel.centre(), width: channel.width(), eirp, ..setting.clone() };
        let text = format!("use channel {} of 20 MHz: others take {} there", channel.number, percent(after));
        finding = finding.remedy(text, replace_setting(design, radio.idx, with));
    }
    // The own one that takes most.
    let without = own
        .iter()
        .filter(|o| {
            o.setting.band == Band::Ghz2 && o.setting.part != setting.part && !is_meant(design, setting, o.setting)
        })
        .map(|o| (taken(&radio.channel, Some(&o.setting.part)), o))
        .min_by(|a, b| a.0.total_cmp(&b.0));
    if let Some((after, other)) = without.filter(|w| w.0 < now - WORTH_A_CHANGE) {
        let mut radios = design.radios.clone();
        radios.retain(|s| !(s.part == other.setting.part && s.band == Band::Ghz2));
        let text = format!("switch off 2.4 GHz in `{}`: others then take {} here", other.setting.part, percent(after));
        finding = finding.remedy(text, set_all(design, &radios));
    }
    findings.push(finding);
}

/// Which of the settings hear each other, by places in `own`; each pair once.
fn pairs(design: &Design, context: &AirContext, own: &[Own]) -> Vec<(usize, usize, Db)> {
    let mut pairs = Vec::new();
    for (i, a) in own.iter().enumerate() {
        for (j, b) in own.iter().enumerate().skip(i + 1) {
            let apart = a.setting.part == b.setting.part || !a.channel.overlaps(&b.channel);
            if apart || a.setting.band != b.setting.band || is_meant(design, a.setting, b.setting) {
                continue;
            }
            let Some(gain) = (context.coupling)(&a.setting.part, &b.setting.part, a.setting.band) else { continue };
            if (a.sent().max(b.sent()) + gain).0 >= HOLD_BACK_LEVEL.0 {
                pairs.push((i, j, gain));
            }
        }
    }
    pairs
}

/// Most that hear each other: the largest number of partners of one, and itself, among some of the settings with powers held to a cap.
fn most(own: &[Own], pairs: &[(usize, usize, Db)], cluster: &[usize], without: Option<usize>, cap: Dbm) -> usize {
    let sent = |i: usize| {
        own.get(i)
            .map_or(Dbm(f64::NEG_INFINITY), |o| in_20_mhz(o.setting.eirp.min(cap), f64::from(o.channel.width_mhz)))
    };
    let hears = |i: usize| {
        let partners = pairs.iter().filter(|(a, b, gain)| {
            let mine = (*a == i || *b == i) && Some(*a) != without && Some(*b) != without;
            mine && (sent(*a).max(sent(*b)) + *gain).0 >= HOLD_BACK_LEVEL.0
        });
        1 + partners.count()
    };
    cluster.iter().filter(|i| Some(**i) != without).map(|i| hears(*i)).max().unwrap_or(0)
}

fn too_many(design: &Design, context: &AirContext, own: &[Own], findings: &mut Vec<Finding>) {
    let pairs = pairs(design, context, own);
    let mut cluster_of: Vec<usize> = (0..own.len()).collect();
    for (a, b, _) in &pairs {
        let (Some(x), Some(y)) = (cluster_of.get(*a).copied(), cluster_of.get(*b).copied()) else { continue };
        cluster_of.iter_mut().filter(|c| **c == x.max(y)).for_each(|c| *c = x.min(y));
    }
    let no_cap = Dbm(f64::INFINITY);
    let each = |num: usize| percent(1.0 / Air::default().contention(num.saturating_sub(1) as f64));
    for leader in 0..own.len() {
        let cluster: Vec<usize> = (0..own.len()).filter(|i| cluster_of.get(*i) == Some(&leader)).collect();
        let num = most(own, &pairs, &cluster, None, no_cap);
        let Some(first) = own.get(leader) else { continue };
        if num <= MANY {
            continue;
        }
        let band = first.setting.band;
        let members: Vec<&Own> = cluster.iter().filter_map(|i| own.get(*i)).collect();
        let subjects: Vec<Id> = members.iter().map(|o| o.setting.part.clone()).collect();
        let message = format!(
            "{num} own access points on channel {} of {} GHz hear each other; each gets {} of what it would alone when all send",
            first.channel.number,
            band.label(),
            each(num)
        );
        let mut finding = Finding::of(&TOO_MANY, subjects, message).against(num as f64, MANY as f64, "access points");
        if band == Band::Ghz2 {
            let off = cluster.iter().map(|i| (most(own, &pairs, &cluster, Some(*i), no_cap), *i)).min();
            if let Some((after, Some(other))) = off.map(|(n, i)| (n, own.get(i))).filter(|(n, _)| *n < num) {
                let mut radios = design.radios.clone();
                radios.retain(|s| !(s.part == other.setting.part && s.band == band));
                let text = format!(
                    "switch off 2.4 GHz in `{}`: {after} then hear each other, each with {}",
                    other.setting.part,
                    each(after)
                );
                finding = finding.remedy(text, set_all(design, &radios));
            }
        }
        // Just below each power at which some pair begins to hear each other, the highest that helps.
        let caps = pairs.iter().filter(|(a, _, _)| cluster.contains(a)).map(|(_, _, gain)| {
            let width = members.iter().map(|o| f64::from(o.channel.width_mhz)).fold(20.0, f64::min);
            Dbm(((HOLD_BACK_LEVEL.0 - gain.0 + 10.0 * (width / 20.0).log10()) * 10.0).floor() / 10.0 - 0.1)
        });
        let helps = caps
            .map(|cap| (most(own, &pairs, &cluster, None, cap), cap))
            .filter(|(after, cap)| *after < num && cap.0 >= LOWEST_REMEDY.0);
        let best = helps.min_by(|a, b| a.0.cmp(&b.0).then(b.1.total_cmp(&a.1)));
        if let Some((after, cap)) = best {
            let mut radios = design.radios.clone();
            for member in &members {
                if let Some(setting) = radios.get_mut(member.idx) {
                    setting.eirp = setting.eirp.min(cap);
                }
            }
            let text =
                format!("lower them to {:.1} dBm: {after} then hear each other, each with {}", cap.0, each(after));
            finding = finding.remedy(text, set_all(design, &radios));
        }
        findings.push(finding);
    }
}

fn too_much_power(design: &Design, context: &AirContext, own: &[Own], radio: &Own, findings: &mut Vec<Finding>) {
    let setting = radio.setting;
    let client = generic::phone();
    let Some(profile) = (context.radio)(&setting.part) else { return };
    let (Some(ap), Some(phone)) = (profile.band(setting.band), client.band(setting.band)) else { return };
    let country = &context.site.country;
    let Ok(limit) = limits(country, setting.band, setting.centre, setting.width, Role::Client) else { return };
    let useful = balanced_eirp((profile, ap), (&client, phone), &limit, PowerChoice::ALLOWANCE);
    let is_useful = !useful.is_finite() || setting.eirp.0 <= useful.0 + 0.05;
    if is_useful {
        return;
    }
    let hears = |eirp: Dbm| {
        let sent = in_20_mhz(eirp, f64::from(radio.channel.width_mhz));
        let others = own.iter().filter(|o| o.setting.part != setting.part && o.channel.overlaps(&radio.channel));
        let others = others.filter(|o| !is_meant(design, setting, o.setting));
        let mut heard: Vec<(Dbm, &RadioSetting)> = Vec::new();
        for other in others {
            let gain = (context.coupling)(&other.setting.part, &setting.part, setting.band);
            let level = gain.map(|gain| sent + gain).filter(|level| level.0 >= HOLD_BACK_LEVEL.0);
            heard.extend(level.map(|level| (level, other.setting)));
        }
        (heard.len(), heard.into_iter().max_by(|a, b| a.0.total_cmp(&b.0)))
    };
    let (num, Some((level, nearest))) = hears(setting.eirp) else { return };
    let message = format!(
        "`{}` radiates {:.1} dBm in {} GHz where a phone can answer {:.1}; `{}` on its channel hears it at {:.0} dBm in 20 MHz",
        setting.part,
        setting.eirp.0,
        setting.band.label(),
        useful.0,
        nearest.part,
        level.0
    );
    let subjects = vec![setting.part.clone(), nearest.part.clone()];
    let after = hears(useful).0;
    let text = format!(
        "lower it to {:.1} dBm: {:.0} dBm there; {after} instead of {num} own access points then hold back for it",
        useful.0,
        (level - (setting.eirp - useful)).0
    );
    let edits = replace_setting(design, radio.idx, RadioSetting { eirp: useful, ..setting.clone() });
    let finding = Finding::of(&TOO_MUCH_POWER, subjects, message).against(setting.eirp.0, useful.0, "dBm");
    findings.push(finding.remedy(text, edits));
}
