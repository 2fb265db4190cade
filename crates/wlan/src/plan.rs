//! Channels, widths and powers for the access points of one home. What other stations do on a channel is reckoned as a share of its time only.

use findings::Id;
use network::RadioSetting;
use radio_profile::{Band, RadioProfile};
use site::Site;
use units::{Db, Dbm};

use crate::channel_at;
use crate::plan_block::PLAY;
use crate::plan_choices::{Candidate, Choices, Ground};
use crate::plan_power::PowerChoice;
use crate::plan_search::search;
use crate::regulation::RegulationError;

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
    /// Work done: partial plans looked at, and each round of dealing the access points out to blocks of spectrum by its length.
    pub nodes: u64,
    /// The objective: sum over access points of the logarithm of megahertz times share of time, worth and reach.
    pub objective: f64,
    /// No plan has a higher objective than this; equal to it if proven.
    pub bound: f64,
    /// Access points whose least power is more than they may radiate; they have the highest that they may.
    pub short: Vec<Id>,
    /// Why the band is not used, if it is not.
    pub refused: Option<RegulationError>,
}

impl BandOutcome {
    /// Share of time times width that a better plan could give each access point more, on geometric average, at most; 0 if proven.
    #[must_use]
    pub fn gap(&self, num_aps: usize) -> f64 {
        ((self.bound - self.objective).max(0.0) / num_aps.max(1) as f64).exp() - 1.0
    }
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
/// For each band on its own, the plan maximises `Σ ln(width · worth · reach / contention)` over the access points.
/// - Contention: how many times less a saturated access point carries than alone. Neighbours get what they want up to an equal share, own access points
///   all want everything, and collisions cost what [`crate::contention::saturated`] says. Others count by how far their level in 20 MHz at this access point
///   lies below -82 dBm.
/// - Worth: 0.8 for channels that radar can close, 0.7 with the ten-minute wait (common practice, no source).
/// - Reach: with `power`, the power in 20 MHz up to what its client can answer ([`crate::balanced_eirp`]); without, up to 20 dBm. A decibel less costs area
///   (a factor of ten for 15 dB); where the least power that coverage needs is given, less is refused, and a decibel above it costs 3 % of rate.
///
/// Candidates: channels 1, 6 and 11 of 20 MHz in 2.4 GHz; 80, 40 and 20 MHz in 5 GHz up to 5850 MHz; 160, 80, 40 and 20 MHz in 6 GHz; only those that the
/// country allows to both roles with a known limit. Without `power` every radio gets the highest power that it has and the country allows. With it,
/// steps of 3 dB from the useful power down to the least (5 dBm if not given); radios that are joined to others keep the highest.
///
/// Access points are dealt out to blocks of spectrum that do not touch each other: a sum over blocks of what a set is worth in one, maximised over all ways to deal.
/// Sets have upper bounds from their parts until the best way to deal needs them exactly, which branch and bound within the block gives. The result is
/// proven best where bound and value meet; up to nine access points (or groups joined) are dealt out at once, more in parts and then improved one at a time, with
/// the sum of the parts' bounds. Ties keep the lower channel for the earlier access point, so that equal input gives equal plans.
///
/// # Units
/// `coupling(i, j, band)`: path gain between isotropic antennas of two access points [dB, negative]; a pair that is not a number counts in full.
///
/// # Errors
/// [`PlanError`]; a band that the country does not allow, or whose limits are unknown, is left out and named in the outcome unless none is left.
pub fn plan_radios(
    aps: &[ApInput],
    joined: &[Joined],
    coupling: &dyn Fn(usize, usize, Band) -> Db,
    site: &Site,
    power: Option<&PowerChoice>,
) -> Result<ChannelPlan, PlanError> {
    let num = aps.len();
    if let Some(bad) = joined.iter().find(|j| j.a >= num || j.b >= num || j.a == j.b) {
        return Err(PlanError::BadJoin { a: bad.a, b: bad.b, num });
    }
    let mut settings: Vec<(usize, Band, RadioSetting)> = Vec::new();
    let mut bands = Vec::new();
    for band in Band::ALL {
        let found = Ground::new(aps, site, band, power).and_then(|ground| ground.choices(joined, coupling));
        let has_radio = aps.iter().any(|ap| crate::plan_choices::works(ap, band));
        match found {
            _ if !has_radio => {}
            Ok(choices) => bands.push(plan_band(aps, &choices, band, &mut settings)),
            Err(refused) => bands.push(BandOutcome {
                band,
                proven: false,
                nodes: 0,
                objective: 0.0,
                bound: 0.0,
                short: Vec::new(),
                refused: Some(refused),
            }),
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

/// As [`plan_radios`], every radio at the highest power that it has and the country allows.
///
/// # Errors
/// As [`plan_radios`].
pub fn plan_channels(
    aps: &[ApInput],
    joined: &[Joined],
    coupling: &dyn Fn(usize, usize, Band) -> Db,
    site: &Site,
) -> Result<ChannelPlan, PlanError> {
    plan_radios(aps, joined, coupling, site, None)
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

fn plan_band(
    aps: &[ApInput],
    choices: &Choices,
    band: Band,
    settings: &mut Vec<(usize, Band, RadioSetting)>,
) -> BandOutcome {
    let found = search(choices);
    for ((members, candidates), chosen) in choices.groups.iter().zip(&choices.candidates).zip(&found.best) {
        let Some(candidate) = candidates.get(*chosen) else { continue };
        for (place, setting) in of_group(aps, members, candidate) {
            settings.push((place, band, setting));
        }
    }
    let short = choices.short.iter().filter_map(|place| Some(aps.get(*place)?.part.clone())).collect();
    let proven = found.bound <= found.value + PLAY;
    BandOutcome {
        band,
        proven,
        nodes: found.nodes,
        objective: found.value,
        bound: if proven { found.value } else { found.bound },
        short,
        refused: None,
    }
}

/// The settings of a group's members at a candidate.
pub(crate) fn of_group(aps: &[ApInput], members: &[usize], candidate: &Candidate) -> Vec<(usize, RadioSetting)> {
    let (centre, width) = (candidate.channel.centre(), candidate.channel.width());
    let one = |(place, member): (&usize, &crate::plan_choices::Member)| {
        let ap = aps.get(*place)?;
        let (part, band) = (ap.part.clone(), candidate.channel.band);
        Some((*place, RadioSetting { part, band, centre, width, eirp: member.eirp }))
    };
    members.iter().zip(&candidate.members).filter_map(one).collect()
}

/// A band of given settings, as the search sees it: what may be chosen, and what is.
pub(crate) struct Judged<'a> {
    pub ground: Ground<'a>,
    pub choices: Choices,
    pub chosen: Vec<Candidate>,
}

/// Reads settings of one band; nothing if a group has none, members on different channels, or a channel that is not allowed.
pub(crate) fn judge<'a>(
    settings: &[RadioSetting],
    aps: &'a [ApInput<'a>],
    joined: &[Joined],
    coupling: &dyn Fn(usize, usize, Band) -> Db,
    (site, band): (&'a Site, Band),
    power: Option<&'a PowerChoice<'a>>,
) -> Option<Judged<'a>> {
    let ground = Ground::new(aps, site, band, power).ok()?;
    let choices = ground.choices(joined, coupling).ok()?;
    let mut chosen = Vec::new();
    for members in &choices.groups {
        let of = |place: &usize| {
            let part = &aps.get(*place)?.part;
            settings.iter().find(|s| s.band == band && s.part == *part)
        };
        let set: Vec<&RadioSetting> = members.iter().map(of).collect::<Option<_>>()?;
        let channel = set.first().and_then(|s| channel_at(band, s.centre, s.width))?;
        let shared = set.iter().all(|s| channel_at(band, s.centre, s.width) == Some(channel));
        let eirps: Vec<Dbm> = set.iter().map(|s| s.eirp).collect();
        if !shared || eirps.iter().any(|e| !e.is_finite()) {
            return None;
        }
        chosen.push(ground.candidate(members, &choices.air, &channel, &eirps)?);
    }
    Some(Judged { ground, choices, chosen })
}

/// The objective of [`plan_radios`] for given settings of a band, to compare them with a plan's.
///
/// Nothing if a radio of the band has no setting, its channel is not among those considered, or its power is not a number.
#[must_use]
pub fn plan_objective(
    settings: &[RadioSetting],
    aps: &[ApInput],
    joined: &[Joined],
    coupling: &dyn Fn(usize, usize, Band) -> Db,
    (site, band): (&Site, Band),
    power: Option<&PowerChoice>,
) -> Option<f64> {
    if joined.iter().any(|j| j.a >= aps.len() || j.b >= aps.len()) {
        return None;
    }
    let judged = judge(settings, aps, joined, coupling, (site, band), power)?;
    let chosen: Vec<&Candidate> = judged.chosen.iter().collect();
    (!chosen.is_empty()).then(|| judged.choices.total(&chosen))
}
