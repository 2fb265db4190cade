//! Channels, widths and powers for the access points of one home. What other stations do on a channel is reckoned as a share of its time only.

use findings::Id;
use network::RadioSetting;
use radio_profile::{Band, BandRadio, RadioProfile};
use site::{Neighbour, Site};
use units::{Db, Dbm, Hertz};

use crate::plan_search::{Candidate, MAX_NODES, Search};
use crate::rates::widest_mhz;
use crate::regulation::{Limits, RegulationError, Role, channel_limits, limits};
use crate::{Channel, channels};

/// Level at which a station holds back for another's preamble in 20 MHz: -82 dBm (IEEE 802.11-2020, 17.3.10.6).
pub const HOLD_BACK_LEVEL: Dbm = Dbm(-82.0);

/// Share of time taken for a neighbour whose load is not known. Common practice, no source.
pub const ASSUMED_NEIGHBOUR_LOAD: f64 = 0.3;

/// Power beyond which a room gains nothing, because the device's own 12 to 15 dBm limit the way back (generic figure).
const USEFUL_EIRP: Dbm = Dbm(20.0);

/// Worth of a channel that radar can close, against one that it cannot; and of one with the ten-minute wait. Common practice, no source.
const RADAR_WORTH: f64 = 0.8;
const WEATHER_RADAR_WORTH: f64 = 0.7;

/// Floor area reached changes by this factor for each decibel less power: range falls by ten for 30 dB, area with its square (generic figure).
const AREA_DECIBELS: f64 = 15.0;

/// An access point to be given channels.
#[derive(Clone, Debug)]
pub struct ApInput<'a> {
    /// The placed part.
    pub part: Id,
    /// Its radios.
    pub radio: &'a RadioProfile,
}

/// Two access points, by their places in the list, that must share a channel in a band because that radio joins them.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Joined {
    /// One of them.
    pub a: usize,
    /// The other.
    pub b: usize,
    /// The band.
    pub band: Band,
}

/// What was found for one band.
#[derive(Clone, Debug, PartialEq)]
pub struct BandOutcome {
    /// The band.
    pub band: Band,
    /// True if no better plan exists under this objective.
    pub proven: bool,
    /// Partial plans looked at.
    pub nodes: u64,
    /// The objective: sum over access points of the logarithm of megahertz times share of time, worth and area.
    pub objective: f64,
    /// Why the band is not used, if it is not.
    pub refused: Option<RegulationError>,
}

/// A plan of channels.
#[derive(Clone, Debug, PartialEq)]
pub struct ChannelPlan {
    /// One setting for each radio, by access point, then band.
    pub settings: Vec<RadioSetting>,
    /// What was found, by band.
    pub bands: Vec<BandOutcome>,
}

/// Why there is no plan.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum PlanError {
    /// No band can be used.
    #[error("no band can be planned in `{country}`: {first}")]
    NoBand {
        /// The country.
        country: String,
        /// The reason in the first band.
        first: RegulationError,
    },
    /// A join of access points that cannot be.
    #[error("access points {a} and {b} cannot be joined: give two different places in a list of {num}")]
    BadJoin {
        /// One place in the list.
        a: usize,
        /// The other.
        b: usize,
        /// Length of the list.
        num: usize,
    },
    /// No access point has a radio.
    #[error("no access point has a radio; nothing to plan")]
    NoRadio,
}

/// Channels, widths and powers for the access points of a home, best under a stated objective.
///
/// # Model
/// For each band on its own, the plan maximises `Σ ln(width · worth · area / contention)`: contention is 1 plus the loads of neighbours on the channel
/// plus the own access points on it, each weighted by how far its level at this one lies below [`HOLD_BACK_LEVEL`]; worth is less for channels
/// that radar can close; area falls with the power
/// allowed to a 20 MHz signal, where that is below 20 dBm. Candidates: channels 1, 6 and 11 of 20 MHz in 2.4 GHz; 80, 40 and
/// 20 MHz in 5 GHz up to 5850 MHz; 160, 80, 40 and 20 MHz in 6 GHz; only those the country allows to both roles with a known limit. Every radio gets the highest
/// power that it has and the country allows.
///
/// Branch and bound; the bound of a partial plan gives every access point left its best channel beside those placed. Ties keep the first found, with
/// wider then lower channels first, so that equal input gives equal plans.
///
/// # Units
/// `coupling(i, j, band)`: path gain between isotropic antennas of two access points [dB, negative].
///
/// # Errors
/// [`PlanError`]; a band that the country does not allow, or whose limits are unknown, is left out and named in the outcome unless none is left.
pub fn plan_channels(
    aps: &[ApInput],
    joined: &[Joined],
    coupling: &dyn Fn(usize, usize, Band) -> Db,
    site: &Site,
) -> Result<ChannelPlan, PlanError> {
    let num = aps.len();
    if let Some(bad) = joined.iter().find(|j| j.a >= num || j.b >= num || j.a == j.b) {
        return Err(PlanError::BadJoin { a: bad.a, b: bad.b, num });
    }
    let mut settings: Vec<(usize, Band, RadioSetting)> = Vec::new();
    let mut bands = Vec::new();
    for band in Band::ALL {
        let groups = groups(aps, joined, band);
        if groups.is_empty() {
            continue;
        }
        match plan_band(aps, &groups, coupling, site, band) {
            Ok((outcome, mut found)) => {
                bands.push(outcome);
                settings.append(&mut found);
            }
            Err(refused) => {
                let refused = Some(refused);
                bands.push(BandOutcome { band, proven: false, nodes: 0, objective: 0.0, refused });
            }
        }
    }
    if settings.is_empty() {
        return Err(match bands.into_iter().find_map(|b| b.refused) {
            Some(first) => PlanError::NoBand { country: site.country.chars().take(40).collect(), first },
            None => PlanError::NoRadio,
        });
    }
    settings.sort_by_key(|(ap, band, _)| (*ap, *band));
    Ok(ChannelPlan { settings: settings.into_iter().map(|(_, _, s)| s).collect(), bands })
}

/// The settings of [`plan_channels`] for access points of which none is joined to another by radio.
///
/// # Errors
/// As [`plan_channels`].
pub fn channel_plan(
    aps: &[ApInput],
    coupling: &dyn Fn(usize, usize, Band) -> Db,
    site: &Site,
) -> Result<Vec<RadioSetting>, PlanError> {
    plan_channels(aps, &[], coupling, site).map(|plan| plan.settings)
}

/// Access points with a radio in a band, grouped by the channel that they must share; in order of their first member.
fn groups(aps: &[ApInput], joined: &[Joined], band: Band) -> Vec<Vec<usize>> {
    let usable = |ap: &ApInput| {
        let works = widest_mhz(ap.radio.generation, band).is_some();
        ap.radio.band(band).is_some_and(|r| r.streams > 0 && works && r.max_width.mhz() >= 20.0)
    };
    let mut group_of: Vec<Option<usize>> = aps.iter().enumerate().map(|(i, ap)| usable(ap).then_some(i)).collect();
    for join in joined.iter().filter(|j| j.band == band) {
        if let (Some(Some(a)), Some(Some(b))) = (group_of.get(join.a).copied(), group_of.get(join.b).copied()) {
            for slot in group_of.iter_mut().filter(|g| **g == Some(a.max(b))) {
                *slot = Some(a.min(b));
            }
        }
    }
    let mut groups: Vec<Vec<usize>> = Vec::new();
    for leader in 0..aps.len() {
        let members: Vec<usize> = (0..aps.len()).filter(|i| group_of.get(*i) == Some(&Some(leader))).collect();
        if !members.is_empty() {
            groups.push(members);
        }
    }
    groups
}

fn candidate_channels(band: Band) -> Vec<Channel> {
    match band {
        Band::Ghz2 => channels(band, 20).into_iter().filter(|c| matches!(c.number, 1 | 6 | 11)).collect(),
        // Above 5850 MHz few devices can follow (common practice, no source).
        Band::Ghz5 => {
            let followed = |c: &Channel| c.edges_mhz().1 <= 5850.0;
            [80, 40, 20].into_iter().flat_map(|w| channels(band, w)).filter(followed).collect()
        }
        Band::Ghz6 => [160, 80, 40, 20].into_iter().flat_map(|w| channels(band, w)).collect(),
    }
}

/// Weight of a station heard at a level: 1 where one holds back for it, falling with its power below that. Unknown levels count in full.
pub(crate) fn weight(level: f64) -> f64 {
    if level.is_nan() { 1.0 } else { 10f64.powf((level - HOLD_BACK_LEVEL.0) / 10.0).min(1.0) }
}

/// Loads of the neighbours on a channel.
pub(crate) fn neighbours_load(site: &Site, channel: &Channel) -> f64 {
    let (low, high) = channel.edges_mhz();
    let on_it = |n: &&Neighbour| {
        let (centre, half) = (n.centre.mhz(), n.width.mhz() / 2.0);
        centre - half < high && low < centre + half
    };
    let load = |n: &Neighbour| n.load.filter(|l| l.is_finite()).map_or(ASSUMED_NEIGHBOUR_LOAD, |l| l.clamp(0.0, 1.0));
    site.neighbours.iter().filter(on_it).map(|n| load(n) * weight(n.level.0)).sum()
}

fn worth(limits: &Limits) -> f64 {
    match &limits.dfs {
        None => 1.0,
        Some(dfs) if dfs.availability_check.0 > 60.0 => WEATHER_RADAR_WORTH,
        Some(_) => RADAR_WORTH,
    }
}

type BandPlan = (BandOutcome, Vec<(usize, Band, RadioSetting)>);

fn plan_band(
    aps: &[ApInput],
    groups: &[Vec<usize>],
    coupling: &dyn Fn(usize, usize, Band) -> Db,
    site: &Site,
    band: Band,
) -> Result<BandPlan, RegulationError> {
    let all = candidate_channels(band);
    let mut allowed: Vec<(Channel, Limits)> = Vec::new();
    let mut refused = None;
    for channel in &all {
        // The first goes through the front door, so that an unknown country is named as such.
        let checked = match &refused {
            None if allowed.is_empty() => {
                limits(&site.country, band, channel.centre(), channel.width(), Role::AccessPoint)
            }
            _ => channel_limits(&site.country, channel, Role::AccessPoint),
        };
        let both = checked.and_then(|ap| channel_limits(&site.country, channel, Role::Client).map(|_| ap));
        match both {
            Ok(limits) => allowed.push((*channel, limits)),
            Err(error) => _ = refused.get_or_insert(error),
        }
    }
    let radio = |ap: usize| -> Option<&BandRadio> { aps.get(ap).and_then(|a| a.radio.band(band)) };
    let none = || refused.clone().unwrap_or(RegulationError::NoSuchChannel { band, centre_mhz: 0.0, width_mhz: 0.0 });
    let narrow = Hertz::from_mhz(20.0);
    let mut choices: Vec<Vec<Candidate>> = Vec::new();
    for members in groups {
        let widest = members.iter().filter_map(|m| {
            let generation = aps.get(*m)?.radio.generation;
            Some(radio(*m)?.max_width.mhz().min(f64::from(widest_mhz(generation, band)?)))
        });
        let widest = widest.fold(f64::INFINITY, f64::min);
        let reach = |limits: &Limits, m: usize| {
            radio(m).map_or(f64::NEG_INFINITY, |r| limits.clip(r.tx_power, r.antenna_gain, narrow).min(USEFUL_EIRP).0)
        };
        let fitting: Vec<_> = allowed.iter().filter(|(c, _)| f64::from(c.width_mhz) <= widest).collect();
        let best: Vec<f64> = members
            .iter()
            .map(|m| fitting.iter().map(|(_, l)| reach(l, *m)).fold(f64::NEG_INFINITY, f64::max))
            .collect();
        let candidates = fitting.iter().map(|(channel, limits)| {
            let load = 1.0 + neighbours_load(site, channel);
            let member = |(m, best): (&usize, &f64)| {
                let eirp = radio(*m).map_or(Dbm(0.0), |r| limits.clip(r.tx_power, r.antenna_gain, channel.width()));
                let area = (reach(limits, *m) - best) / AREA_DECIBELS * std::f64::consts::LN_10;
                (eirp, (f64::from(channel.width_mhz) * worth(limits)).ln() + area, load)
            };
            Candidate { channel: *channel, members: members.iter().zip(&best).map(member).collect() }
        });
        let candidates: Vec<Candidate> = candidates.collect();
        if candidates.is_empty() {
            return Err(none());
        }
        choices.push(candidates);
    }
    let search = Search::run(aps, groups, &choices, coupling, band);
    let mut found = Vec::new();
    for ((members, candidates), chosen) in groups.iter().zip(&choices).zip(&search.best) {
        let Some(candidate) = candidates.get(*chosen) else { continue };
        for (m, (eirp, ..)) in members.iter().zip(&candidate.members) {
            let Some(ap) = aps.get(*m) else { continue };
            let (centre, width) = (candidate.channel.centre(), candidate.channel.width());
            found.push((*m, band, RadioSetting { part: ap.part.clone(), band, centre, width, eirp: *eirp }));
        }
    }
    let proven = search.nodes < MAX_NODES;
    Ok((BandOutcome { band, proven, nodes: search.nodes, objective: search.best_value, refused: None }, found))
}
