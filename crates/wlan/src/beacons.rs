//! Airtime of beacons and of the search for networks, by basic rate. What the data needs is not here.

use findings::{Finding, Id, Rule, Severity, Source};
use radio_profile::{Band, Generation};
use units::{Dbm, Hertz, Seconds};

use crate::goodput::{control_frame, sifs, signal_extension};

/// Time between beacons: 100 time units of 1.024 ms (the usual value; IEEE 802.11-2020, 11.1.2.1 leaves it open).
pub const BEACON_INTERVAL: Seconds = Seconds(0.1024);

/// Share of a channel's time for beacons and searching above which they are found too many. Common practice, no source.
pub const MANAGEMENT_LIMIT: f64 = 0.10;

/// Beacons and searching take too much of a channel.
pub const BEACON_AIRTIME: Rule = Rule {
    id: "wlan.beacon-airtime",
    severity: Severity::Risk,
    summary: "Beacons and the search for networks take much of a channel's time",
    limit: "10 % of the time",
    cite: Source::common_practice,
};

/// A rate at which every station of a network must understand: that of beacons, and of answers to a search.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct BasicRate(f64);

/// Why beacons have no airtime.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum BeaconError {
    /// Not a legacy rate, or not one of the band.
    #[error(
        "{mbps} Mbit/s is no basic rate in {} GHz; use 6, 9, 12, 18, 24, 36, 48 or 54{}",
        .band.label(), if *.band == Band::Ghz2 { ", 1, 2, 5.5 or 11" } else { "" }
    )]
    NoSuchRate {
        /// The rate asked for [Mbit/s].
        mbps: f64,
        /// The band.
        band: Band,
    },
    /// A share, rate or interval is not a number or out of range.
    #[error("{0}")]
    BadValue(String),
}

const DSSS_RATES: [f64; 4] = [1.0, 2.0, 5.5, 11.0];
const OFDM_RATES: [f64; 8] = [6.0, 9.0, 12.0, 18.0, 24.0, 36.0, 48.0, 54.0];

impl BasicRate {
    /// A rate of 802.11b (in 2.4 GHz) or 802.11a/g.
    ///
    /// # Errors
    /// [`BeaconError::NoSuchRate`].
    pub fn new(mbps: f64, band: Band) -> Result<Self, BeaconError> {
        let exists = OFDM_RATES.contains(&mbps) || (band == Band::Ghz2 && DSSS_RATES.contains(&mbps));
        if exists { Ok(Self(mbps)) } else { Err(BeaconError::NoSuchRate { mbps, band }) }
    }

    /// What an access point uses unless set otherwise: 1 Mbit/s in 2.4 GHz, 6 Mbit/s above.
    #[must_use]
    pub const fn usual(band: Band) -> Self {
        match band {
            Band::Ghz2 => Self(1.0),
            Band::Ghz5 | Band::Ghz6 => Self(6.0),
        }
    }

    /// The rate [Mbit/s].
    #[must_use]
    pub const fn mbps(self) -> f64 {
        self.0
    }

    fn is_dsss(self) -> bool {
        DSSS_RATES.contains(&self.0)
    }

    /// The level below which a frame at this rate is lost too often: minimum sensitivity of 20 MHz (IEEE 802.11-2020, Table 17-18), and of 802.11b
    /// (15.4.6.2: -80 dBm at 2 Mbit/s; 16.3.8.2: -76 dBm at 11 Mbit/s; those at 1 and 5.5 Mbit/s 3 dB lower, from memory).
    #[must_use]
    pub fn sensitivity(self) -> Dbm {
        let all = [
            (1.0, -83.0),
            (2.0, -80.0),
            (5.5, -79.0),
            (11.0, -76.0),
            (6.0, -82.0),
            (9.0, -81.0),
            (12.0, -79.0),
            (18.0, -77.0),
            (24.0, -74.0),
            (36.0, -70.0),
            (48.0, -66.0),
            (54.0, -65.0),
        ];
        // Every rate that can be made is in the list.
        Dbm(all.into_iter().find(|(rate, _)| *rate == self.0).map_or(f64::INFINITY, |(_, level)| level))
    }

    /// Length on the air of a frame of so many octets.
    ///
    /// # Model
    /// 802.11b: 192 µs of long preamble and header, then the octets at the rate (IEEE 802.11-2020, 16.2.2, 16.3.4). 802.11a/g: 20 µs, then symbols of
    /// 4 µs that carry `4 · rate` bits, 22 of them service and tail (17.4.3); 6 µs more in 2.4 GHz (18.3.2.4).
    #[must_use]
    pub fn airtime(self, octets: u32, band: Band) -> Seconds {
        Seconds(if self.is_dsss() {
            192e-6 + 8.0 * f64::from(octets) / (self.0 * 1e6)
        } else {
            control_frame(octets, 4.0 * self.0) + signal_extension(band)
        })
    }
}

/// Length of a beacon with a network name of so many octets.
///
/// # Model
/// Sum of what IEEE 802.11-2020, 9.3.3.2 and 802.11ax-2021 put in one, with usual contents: header and FCS 28, fixed fields 12, name 2 + n, rates 10,
/// TIM 6, country 8, security 22, extended capabilities 12, HT 28 + 24, EDCA parameters 26; 2.4 GHz: channel, ERP and more rates 12; VHT 14 + 7 in
/// 5 GHz; HE 34 + 9 and MU EDCA 16; EHT 20 + 9, multi-link 19 and reduced neighbour report 21 (EHT lengths from memory). No HT, VHT in 6 GHz.
/// Vendors' own elements 40 (generic figure).
#[must_use]
pub fn beacon_octets(generation: Generation, band: Band, name_octets: u32) -> u32 {
    let common = 28 + 12 + 2 + name_octets.min(32) + 10 + 6 + 8 + 22 + 12 + 26 + 40;
    let ht = if band == Band::Ghz6 { 0 } else { 28 + 24 };
    let erp = if band == Band::Ghz2 { 12 } else { 0 };
    let vht = if band == Band::Ghz5 && generation >= Generation::Ac { 14 + 7 } else { 0 };
    let he = if generation >= Generation::Ax { 34 + 9 + 16 } else { 0 };
    let eht = if generation >= Generation::Be { 20 + 9 + 19 + 21 } else { 0 };
    common + ht + erp + vht + he + eht
}

/// Length of a name where none is given: 10 octets, a generic figure.
pub const NAME_OCTETS: u32 = 10;

/// A radio that sends beacons on a channel: one of one's own, or a neighbour's.
#[derive(Clone, Debug, PartialEq)]
pub struct BeaconSource {
    /// The part, or the neighbour.
    pub id: Id,
    /// Networks (names) that it announces, each with beacons of its own.
    pub networks: u32,
    /// Length of one beacon [octets]; see [`beacon_octets`].
    pub octets: u32,
    /// Rate of its beacons.
    pub rate: BasicRate,
    /// True if it is part of the design, so that the design can change it.
    pub is_own: bool,
}

/// Devices that look for a network.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Searching {
    /// Searches on this channel in a second, of all devices around.
    pub searches_per_second: f64,
    /// Length of the request [octets].
    pub request_octets: u32,
}

impl Default for Searching {
    /// One search on the channel in ten seconds, requests of 120 octets: generic figures (a dozen devices that look every two minutes).
    fn default() -> Self {
        Self { searches_per_second: 0.1, request_octets: 120 }
    }
}

/// Share of a channel's time for managing networks.
#[derive(Clone, Debug, PartialEq)]
pub struct ManagementLoad {
    /// Beacons of each source, in the order given, 0 to 1.
    pub by_source: Vec<(Id, f64)>,
    /// Beacons of all.
    pub beacons: f64,
    /// Requests, answers and their acknowledgements.
    pub searching: f64,
    /// Both, at most 1.
    pub total: f64,
}

/// Share of a channel's time that beacons and searches take, of all sources heard there.
///
/// # Model
/// Beacons: networks · airtime / 102.4 ms, for each source. A search: one request, and from each network of each source an answer as long as its
/// beacon and an acknowledgement a SIFS later, at its rate.
///
/// # Validity
/// Arbitration gaps are left out, as are FILS discovery frames of 6 GHz (about 0.3 % for one every 20 ms at 6 Mbit/s), beacons for several networks in
/// one (multiple BSSID) and retries of answers that nobody hears.
///
/// # Errors
/// [`BeaconError`] if a rate is none of the band or the search rate is negative or not a number.
pub fn management_load(
    sources: &[BeaconSource],
    band: Band,
    searching: &Searching,
) -> Result<ManagementLoad, BeaconError> {
    let searches = searching.searches_per_second;
    if !(searches.is_finite() && searches >= 0.0) {
        return Err(BeaconError::BadValue(format!("{searches} searches a second; give 0 or more")));
    }
    let mut by_source = Vec::new();
    let (mut beacons, mut answers, mut slowest) = (0.0, 0.0, None);
    for source in sources {
        BasicRate::new(source.rate.0, band)?;
        let (num, one) = (f64::from(source.networks), source.rate.airtime(source.octets, band).0);
        let share = num * one / BEACON_INTERVAL.0;
        beacons += share;
        answers += num * (one + sifs(band) + source.rate.airtime(14, band).0);
        slowest = Some(slowest.map_or(source.rate, |s: BasicRate| if source.rate < s { source.rate } else { s }));
        by_source.push((source.id.clone(), share));
    }
    let request = slowest.map_or(0.0, |rate| rate.airtime(searching.request_octets, band).0);
    let searching = searches * (request + answers);
    Ok(ManagementLoad { by_source, beacons, searching, total: (beacons + searching).min(1.0) })
}

/// A finding if beacons and searching take more than [`MANAGEMENT_LIMIT`] of a channel, with what fewer names or a faster rate would leave.
///
/// # Errors
/// As [`management_load`].
pub fn check_beacons(
    sources: &[BeaconSource],
    band: Band,
    centre: Hertz,
    searching: &Searching,
) -> Result<Option<Finding>, BeaconError> {
    let load = management_load(sources, band, searching)?;
    let own: Vec<Id> = sources.iter().filter(|s| s.is_own).map(|s| s.id.clone()).collect();
    // Neighbours' beacons alone are nothing that the design can mend.
    if load.total <= MANAGEMENT_LIMIT || own.is_empty() {
        return Ok(None);
    }
    let num: u32 = sources.iter().map(|s| s.networks).fold(0, u32::saturating_add);
    let message = format!(
        "beacons of {num} networks and the search for them take {:.1} % of the time at {:.0} MHz",
        load.total * 100.0,
        centre.mhz()
    );
    let mut finding =
        Finding::of(&BEACON_AIRTIME, own, message).against(load.total * 100.0, MANAGEMENT_LIMIT * 100.0, "%");
    let with = |change: &dyn Fn(&BeaconSource) -> BeaconSource| {
        let changed: Vec<BeaconSource> = sources.iter().map(|s| if s.is_own { change(s) } else { s.clone() }).collect();
        management_load(&changed, band, searching).map(|l| l.total * 100.0)
    };
    let ofdm = BasicRate(6.0);
    if sources.iter().any(|s| s.is_own && s.rate < ofdm) {
        let left = with(&|s| BeaconSource { rate: if s.rate < ofdm { ofdm } else { s.rate }, ..s.clone() })?;
        let text = format!("set the lowest basic rate to 6 Mbit/s, which leaves out 802.11b devices: {left:.1} %");
        finding = finding.remedy(text, vec![]);
    }
    if sources.iter().any(|s| s.is_own && s.networks > 1) {
        let left = with(&|s| BeaconSource { networks: s.networks.min(1), ..s.clone() })?;
        finding = finding.remedy(format!("announce one network on each radio: {left:.1} %"), vec![]);
    }
    if sources.iter().any(|s| !s.is_own) {
        finding = finding.remedy("move to a channel with fewer networks", vec![]);
    }
    Ok(Some(finding))
}
