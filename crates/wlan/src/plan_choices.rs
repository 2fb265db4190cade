//! What each access point may be set to in a band, and what each setting is worth by itself. The best combination is searched in `plan_search`.

use radio_profile::{Band, BandRadio, RadioProfile};
use site::Site;
use units::{Db, Dbm, Hertz};

use crate::plan::{ApInput, Joined};
use crate::plan_power::{LOWEST_EIRP, PowerChoice, STEP, balanced_eirp};
use crate::plan_share::{Air, in_20_mhz, weight};
use crate::rates::widest_mhz;
use crate::regulation::{Limits, RegulationError, Role, channel_limits, limits};
use crate::{Channel, channels};

/// Power beyond which a room gains nothing where no client is given to match it to: a phone's own 12 to 15 dBm limit the way back (generic figure).
const USEFUL_EIRP: Dbm = Dbm(20.0);

/// Worth of a channel that radar can close, against one that it cannot; and of one with the ten-minute wait. Common practice, no source.
const RADAR_WORTH: f64 = 0.8;
const WEATHER_RADAR_WORTH: f64 = 0.7;

/// Floor area reached changes by this factor for each decibel less power: range falls by ten for 30 dB, area with its square (generic figure).
const AREA_SLOPE: f64 = std::f64::consts::LN_10 / 15.0;

/// Where coverage is seen to by the caller, a decibel less costs rate alone: `d ln lb(1 + s) / d dB` at a signal-to-noise ratio of 30 dB, that of
/// a client in a neighbouring room (generic figure).
const RATE_SLOPE: f64 = std::f64::consts::LN_10 / 10.0 / 6.9088;

/// One radio at one setting of its group.
#[derive(Clone, Debug)]
pub(crate) struct Member {
    pub eirp: Dbm,
    /// Logarithm of its worth alone on the channel.
    pub worth: f64,
}

/// A setting that a group of radios could have.
#[derive(Clone, Debug)]
pub(crate) struct Candidate {
    pub channel: Channel,
    pub members: Vec<Member>,
    /// Place of the channel's neighbours in [`Choices::air`].
    pub air: usize,
    pub radar: bool,
}

/// All that a band's search needs.
pub(crate) struct Choices {
    /// Access points that share a channel, by their places; in order of their first member.
    pub groups: Vec<Vec<usize>>,
    /// By group.
    pub candidates: Vec<Vec<Candidate>>,
    pub air: Vec<Air>,
    /// Path gain plus the receiver's antenna gain, `[receiver][sender]` [dB].
    pub gain: Vec<Vec<f64>>,
    /// Access points whose least power is more than they may radiate.
    pub short: Vec<usize>,
}

/// True if an access point has a radio that works in a band.
pub(crate) fn works(ap: &ApInput, band: Band) -> bool {
    let exists = widest_mhz(ap.radio.generation, band).is_some();
    ap.radio.band(band).is_some_and(|r| r.streams > 0 && exists && r.max_width.mhz() >= 20.0)
}

/// Access points with a radio in a band, grouped by the channel that they must share; in order of their first member.
fn groups(aps: &[ApInput], joined: &[Joined], band: Band) -> Vec<Vec<usize>> {
    let mut group_of: Vec<Option<usize>> = aps.iter().enumerate().map(|(i, ap)| works(ap, band).then_some(i)).collect();
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

fn worth(limits: &Limits) -> f64 {
    match &limits.dfs {
        None => 1.0,
        Some(dfs) if dfs.availability_check.0 > 60.0 => WEATHER_RADAR_WORTH,
        Some(_) => RADAR_WORTH,
    }
}

/// Channels that the country allows to both roles with a known limit, wider then lower first; why the first other one is not, if any.
struct Allowed {
    channels: Vec<(Channel, Limits, Limits)>,
    refused: Option<RegulationError>,
}

fn allowed(country: &str, band: Band) -> Allowed {
    let mut found = Allowed { channels: Vec::new(), refused: None };
    for channel in candidate_channels(band) {
        // The first goes through the front door, so that an unknown country is named as such.
        let checked = match &found.refused {
            None if found.channels.is_empty() => {
                limits(country, band, channel.centre(), channel.width(), Role::AccessPoint)
            }
            _ => channel_limits(country, &channel, Role::AccessPoint),
        };
        let both = checked.and_then(|ap| channel_limits(country, &channel, Role::Client).map(|client| (ap, client)));
        match both {
            Ok((ap, client)) => found.channels.push((channel, ap, client)),
            Err(error) => _ = found.refused.get_or_insert(error),
        }
    }
    found
}

/// One radio of a group: what it may radiate where, and what that is worth.
struct Sender<'a> {
    place: usize,
    profile: &'a RadioProfile,
    radio: &'a BandRadio,
    /// Joined to others by this radio: the link between them needs its power.
    is_joined: bool,
    least: Option<Dbm>,
    /// Best reach on any channel that fits.
    best: f64,
}

const NARROW: Hertz = Hertz::from_mhz(20.0);

impl Sender<'_> {
    /// Power that this radio can use on a channel.
    fn useful(&self, client_limits: &Limits, power: Option<&PowerChoice>) -> Dbm {
        let Some(power) = power else { return USEFUL_EIRP };
        let client = power.client.band(self.radio.band).filter(|c| c.streams > 0 && c.tx_power.is_finite());
        let balanced = client
            .map(|c| balanced_eirp((self.profile, self.radio), (power.client, c), client_limits, power.allowance).0);
        balanced.filter(|b| b.is_finite()).map_or(USEFUL_EIRP, Dbm)
    }

    fn highest(&self, limits: &Limits, width: Hertz) -> Dbm {
        limits.clip(self.radio.tx_power, self.radio.antenna_gain, width)
    }

    /// Useful part of what is radiated in 20 MHz of a channel by a radio set to a power.
    fn reach(&self, (_, ap, client): &(Channel, Limits, Limits), eirp: Dbm, power: Option<&PowerChoice>) -> f64 {
        self.highest(ap, NARROW).min(eirp).min(self.useful(client, power)).0
    }

    /// Powers to choose from on a channel, highest first.
    fn levels(&self, at: &(Channel, Limits, Limits), power: Option<&PowerChoice>) -> Vec<Dbm> {
        let highest = self.highest(&at.1, at.0.width());
        if power.is_none() || self.is_joined {
            return vec![highest];
        }
        let top = highest.min(self.useful(&at.2, power).max(self.least.unwrap_or(LOWEST_EIRP)));
        let floor = self.least.unwrap_or(LOWEST_EIRP);
        let mut levels = vec![top];
        let mut level = top - STEP;
        while level > floor && levels.len() < 8 {
            levels.push(level);
            level = level - STEP;
        }
        if self.least.is_some_and(|least| least < top) {
            levels.push(floor);
        }
        levels
    }

    fn member(&self, at: &(Channel, Limits, Limits), eirp: Dbm, power: Option<&PowerChoice>) -> Member {
        let slope = if self.least.is_some() { RATE_SLOPE } else { AREA_SLOPE };
        let lost = (self.reach(at, eirp, power) - self.best) * slope;
        Member { eirp, worth: (f64::from(at.0.width_mhz) * worth(&at.1)).ln() + lost }
    }

    fn is_enough(&self, eirp: Dbm) -> bool {
        self.least.is_none_or(|least| eirp.0 >= least.0 - 1e-9)
    }
}

/// What is known of a band before any access point is set.
pub(crate) struct Ground<'a> {
    aps: &'a [ApInput<'a>],
    site: &'a Site,
    allowed: Allowed,
    power: Option<&'a PowerChoice<'a>>,
    band: Band,
}

impl<'a> Ground<'a> {
    pub fn new(
        aps: &'a [ApInput<'a>],
        site: &'a Site,
        band: Band,
        power: Option<&'a PowerChoice<'a>>,
    ) -> Result<Self, RegulationError> {
        let allowed = allowed(&site.country, band);
        if allowed.channels.is_empty() {
            let none = RegulationError::NoSuchChannel { band, centre_mhz: 0.0, width_mhz: 0.0 };
            return Err(allowed.refused.unwrap_or(none));
        }
        Ok(Self { aps, site, allowed, power, band })
    }

    fn senders(&self, members: &[usize]) -> Vec<Sender<'a>> {
        let one = |m: &usize| {
            let ap = self.aps.get(*m)?;
            let least = self.power.and_then(|p| (p.least)(*m, self.band)).filter(|l| !l.0.is_nan());
            let is_joined = members.len() > 1;
            let radio = ap.radio.band(self.band)?;
            Some(Sender { place: *m, profile: ap.radio, radio, is_joined, least, best: f64::NEG_INFINITY })
        };
        let mut senders: Vec<Sender> = members.iter().filter_map(one).collect();
        let widest = widest(&senders);
        for sender in &mut senders {
            for at in self.allowed.channels.iter().filter(|at| f64::from(at.0.width_mhz) <= widest) {
                sender.best = sender.best.max(sender.reach(at, Dbm(f64::INFINITY), self.power));
            }
        }
        senders
    }

    fn air(&self) -> Vec<Air> {
        let mut air: Vec<Air> = Vec::new();
        for (channel, ..) in &self.allowed.channels {
            let here = Air::of(self.site, channel);
            if !air.contains(&here) {
                air.push(here);
            }
        }
        air
    }

    fn air_at(&self, air: &[Air], channel: &Channel) -> usize {
        let here = Air::of(self.site, channel);
        air.iter().position(|a| *a == here).unwrap_or(0)
    }

    /// All settings of all groups.
    ///
    /// # Errors
    /// Why a group has no channel.
    pub fn choices(
        &self,
        joined: &[Joined],
        coupling: &dyn Fn(usize, usize, Band) -> Db,
    ) -> Result<Choices, RegulationError> {
        let groups = groups(self.aps, joined, self.band);
        let air = self.air();
        let places: Vec<usize> = self.allowed.channels.iter().map(|(channel, ..)| self.air_at(&air, channel)).collect();
        let mut short = Vec::new();
        let mut all = Vec::new();
        for members in &groups {
            let senders = self.senders(members);
            let widest = widest(&senders);
            let fitting =
                || self.allowed.channels.iter().zip(&places).filter(|(at, _)| f64::from(at.0.width_mhz) <= widest);
            let settings = |enough: bool| {
                let mut candidates = Vec::new();
                for (at, place) in fitting() {
                    let candidate =
                        |members| Candidate { channel: at.0, members, air: *place, radar: at.1.dfs.is_some() };
                    let levels: Vec<Vec<Dbm>> = senders.iter().map(|s| s.levels(at, self.power)).collect();
                    // Only a radio by itself has more than one level.
                    for level in 0..levels.iter().map(Vec::len).min().unwrap_or(0) {
                        let set = senders.iter().zip(&levels);
                        let set: Vec<Member> =
                            set.filter_map(|(s, l)| Some(s.member(at, *l.get(level)?, self.power))).collect();
                        let reaches = senders.iter().zip(&set).all(|(s, m)| s.is_enough(m.eirp));
                        if set.len() == members.len() && (reaches || !enough) {
                            candidates.push(candidate(set));
                        }
                    }
                }
                candidates
            };
            let mut candidates = settings(true);
            if candidates.is_empty() {
                candidates = settings(false);
                let lacking = |s: &&Sender| fitting().all(|(at, _)| !s.is_enough(s.highest(&at.1, at.0.width())));
                short.extend(senders.iter().filter(lacking).map(|s| s.place));
            }
            // A power that is not a number has no worth that could be compared.
            candidates.retain(|c| c.members.iter().all(|m| m.worth.is_finite() && m.eirp.is_finite()));
            if candidates.is_empty() {
                let refused = self.allowed.refused.clone();
                let none = RegulationError::NoSuchChannel { band: self.band, centre_mhz: 0.0, width_mhz: 0.0 };
                return Err(refused.unwrap_or(none));
            }
            all.push(candidates);
        }
        let antenna =
            |i: usize| self.aps.get(i).and_then(|a| a.radio.band(self.band)).map_or(0.0, |r| r.antenna_gain.0);
        let num = self.aps.len();
        let row =
            |i: usize| (0..num).map(|j| if i == j { 0.0 } else { coupling(i, j, self.band).0 + antenna(i) }).collect();
        let gain = (0..num).map(row).collect();
        Ok(Choices { groups, candidates: all, air, gain, short })
    }

    /// The candidate that a group's settings are; nothing if a channel is not allowed.
    pub fn candidate(&self, members: &[usize], air: &[Air], channel: &Channel, eirps: &[Dbm]) -> Option<Candidate> {
        let at = self.allowed.channels.iter().find(|at| at.0 == *channel)?;
        let senders = self.senders(members);
        let members = senders.iter().zip(eirps).map(|(s, eirp)| s.member(at, *eirp, self.power)).collect();
        Some(Candidate { channel: *channel, members, air: self.air_at(air, channel), radar: at.1.dfs.is_some() })
    }
}

/// Widest channel that all radios have [MHz].
fn widest(senders: &[Sender]) -> f64 {
    let of = |s: &Sender| {
        let generation = widest_mhz(s.profile.generation, s.radio.band).map_or(0.0, f64::from);
        s.radio.max_width.mhz().min(generation)
    };
    senders.iter().map(of).fold(f64::INFINITY, f64::min)
}

impl Choices {
    /// Weight at an access point of what another sends.
    pub fn share(&self, receiver: usize, sender: usize, eirp: Dbm, channel: &Channel) -> f64 {
        let gain = self.gain.get(receiver).and_then(|row| row.get(sender)).copied().unwrap_or(f64::NAN);
        weight(in_20_mhz(eirp, f64::from(channel.width_mhz)).0 + gain)
    }

    /// Weights at an access point of a candidate of a group, save its own.
    pub fn weight_of(&self, receiver: usize, group: usize, candidate: &Candidate) -> f64 {
        let members = self.groups.get(group).map_or(&[][..], Vec::as_slice);
        let senders = members.iter().zip(&candidate.members).filter(|(sender, _)| **sender != receiver);
        senders.map(|(sender, m)| self.share(receiver, *sender, m.eirp, &candidate.channel)).sum()
    }

    /// Value of a group's candidate where other access points weigh `own` at each of its members.
    pub fn value(&self, candidate: &Candidate, own: &[f64]) -> f64 {
        let air = self.air.get(candidate.air);
        let one = |(m, own): (&Member, &f64)| m.worth - air.map_or(1.0, |a| a.contention(*own)).ln();
        candidate.members.iter().zip(own).map(one).sum()
    }

    /// The objective of one candidate for each group.
    pub fn total(&self, chosen: &[&Candidate]) -> f64 {
        let mut total = 0.0;
        for (group, candidate) in chosen.iter().enumerate() {
            total += self.value_beside(group, candidate, chosen);
        }
        total
    }

    /// Value of one group's candidate beside those of the others.
    pub fn value_beside(&self, group: usize, candidate: &Candidate, chosen: &[&Candidate]) -> f64 {
        let members = self.groups.get(group).map_or(&[][..], Vec::as_slice);
        let own: Vec<f64> = members
            .iter()
            .map(|receiver| {
                let others = chosen.iter().enumerate();
                let heard = others.filter(|(g, c)| *g != group && c.channel.overlaps(&candidate.channel));
                self.weight_of(*receiver, group, candidate)
                    + heard.map(|(g, c)| self.weight_of(*receiver, g, c)).sum::<f64>()
            })
            .collect();
        self.value(candidate, &own)
    }
}
