//! What a country allows on a channel: radiated power, density, radar detection with its waiting times, indoor use.

use findings::Source;
use radio_profile::Band;
use units::{Date, Db, Dbm, Hertz, Seconds};

use crate::availability::{DfsRegion, availability, is_listed};
use crate::rules::{Row, rows};
use crate::{Channel, channel_at};

/// Who sends.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Role {
    /// An access point, indoors.
    AccessPoint,
    /// A device that an access point controls.
    Client,
}

/// Radar detection (dynamic frequency selection) and its waiting times.
#[derive(Clone, Debug, PartialEq)]
pub struct Dfs {
    /// Silence before the channel may be used (channel availability check).
    pub availability_check: Seconds,
    /// How long the channel stays closed once radar is heard.
    pub non_occupancy: Seconds,
    /// Time to leave it.
    pub move_time: Seconds,
    /// Sending in all while leaving.
    pub closing_time: Seconds,
    /// Where the times come from.
    pub source: Source,
}

/// Limits on a channel.
#[derive(Clone, Debug, PartialEq)]
pub struct Limits {
    /// Highest radiated power over isotropic of a signal that fills the channel.
    pub eirp_max: Dbm,
    /// Highest total radiated power, whatever the width.
    pub eirp_total: Dbm,
    /// Highest radiated density [dBm in 1 MHz], if limited.
    pub density: Option<Dbm>,
    /// Highest conducted power, if limited by itself.
    pub conducted_max: Option<Dbm>,
    /// Radar detection, if radar has priority.
    pub dfs: Option<Dfs>,
    /// Only indoors.
    pub indoor_only: bool,
    /// The rule; the strictest one where the channel lies under several.
    pub rule: Source,
    /// Date of the edition cited.
    pub date: Date,
}

/// Years after which a cited edition is taken to be old. Rules of these bands were amended every five to ten years so far (common practice, no source).
pub const STALE_YEARS: f64 = 10.0;

/// How the date of a rule stands to the date that a job speaks of.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum RuleAge {
    /// The edition cited is younger than the job: what held then may have been another rule.
    NotYet {
        /// Days until it.
        days: i64,
    },
    /// In force, as far as is known.
    Current {
        /// Its age [years of 365.25 days].
        years: f64,
    },
    /// Older than [`STALE_YEARS`]: look for a newer edition.
    Stale {
        /// Its age [years of 365.25 days].
        years: f64,
    },
}

/// How the date of a rule stands to a date.
///
/// # Example
/// ```
/// let day = |text: &str| text.parse::<units::Date>().unwrap();
/// assert_eq!(wlan::rule_age(day("2021-06-17"), day("2021-06-10")), wlan::RuleAge::NotYet { days: 7 });
/// ```
#[must_use]
pub fn rule_age(rule: Date, on: Date) -> RuleAge {
    let days = on.days_since(rule);
    let years = days as f64 / 365.25;
    if days < 0 {
        RuleAge::NotYet { days: -days }
    } else if years > STALE_YEARS {
        RuleAge::Stale { years }
    } else {
        RuleAge::Current { years }
    }
}

impl Limits {
    /// How the date of the edition cited stands to the date that a job speaks of.
    #[must_use]
    pub fn age(&self, on: Date) -> RuleAge {
        rule_age(self.date, on)
    }

    /// Highest radiated power of a signal of a width in this channel: the lesser of the total and density times width.
    #[must_use]
    pub fn eirp_at(&self, width: Hertz) -> Dbm {
        self.density.map_or(self.eirp_total, |d| self.eirp_total.min(d + Db::from_ratio(width.mhz())))
    }

    /// Radiated power of a radio that is held to these limits: conducted power clipped, antenna gain added, sum clipped.
    #[must_use]
    pub fn clip(&self, conducted: Dbm, antenna_gain: Db, width: Hertz) -> Dbm {
        let conducted = self.conducted_max.map_or(conducted, |most| conducted.min(most));
        (conducted + antenna_gain).min(self.eirp_at(width))
    }
}

/// Why there are no limits.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum RegulationError {
    /// No such country.
    #[error("`{country}` is not a known country{}", nearest_hint(.nearest))]
    UnknownCountry {
        /// What was asked for.
        country: String,
        /// The code most likely meant.
        nearest: Option<String>,
    },
    /// 802.11 has no such channel.
    #[error("{band:?} has no channel of {width_mhz} MHz with its centre at {centre_mhz} MHz")]
    NoSuchChannel {
        /// The band.
        band: Band,
        /// The centre [MHz].
        centre_mhz: f64,
        /// The width [MHz].
        width_mhz: f64,
    },
    /// The country does not allow the channel.
    #[error("channel {number} ({width_mhz} MHz around {centre_mhz} MHz) is not allowed in {country}")]
    NotAllowed {
        /// The country.
        country: String,
        /// The channel.
        number: u16,
        /// Its width [MHz].
        width_mhz: u16,
        /// Its centre [MHz].
        centre_mhz: u16,
    },
    /// The channel may be allowed, but no power rule is cited for it here.
    #[error("no cited power rule for channel {number} ({width_mhz} MHz) in {country}; its limit is unknown")]
    Unknown {
        /// The country.
        country: String,
        /// The channel.
        number: u16,
        /// Its width [MHz].
        width_mhz: u16,
    },
}

fn nearest_hint(nearest: &Option<String>) -> String {
    match nearest {
        Some(code) => format!("; the nearest is `{code}` ({})", site::country_name(code).unwrap_or("?")),
        None => "; write the two letters of ISO 3166-1, for example `DE`".to_owned(),
    }
}

/// What a country allows on a channel, indoors.
///
/// # Model
/// Availability, radar and indoor flags from wireless-regdb 2026.05.30; power from the rules cited in each row. Where a channel lies under two
/// rules, the stricter value of each holds for all of it. Radios are taken to have no transmit power control and, in 6 GHz, to be of the low-power
/// indoor class without coordination. Limits on conducted power are with an antenna of 6 dBi.
///
/// # Units
/// Levels [dBm], density [dBm in 1 MHz].
///
/// # Errors
/// [`RegulationError`]; `Unknown` where no power rule is cited, never a number in its place.
///
/// # Example
/// ```
/// use radio_profile::Band;
/// use units::Hertz;
/// let mhz = Hertz::from_mhz;
/// let limits = wlan::limits("DE", Band::Ghz5, mhz(5210.0), mhz(80.0), wlan::Role::AccessPoint).unwrap();
/// assert!((limits.eirp_max.0 - 23.01).abs() < 0.01 && limits.indoor_only && limits.dfs.is_none());
/// ```
pub fn limits(country: &str, band: Band, centre: Hertz, width: Hertz, role: Role) -> Result<Limits, RegulationError> {
    if !is_listed(country) && site::country_name(country).is_none() {
        let nearest = site::nearest_country(country).map(str::to_owned);
        return Err(RegulationError::UnknownCountry { country: country.chars().take(40).collect(), nearest });
    }
    let channel = channel_at(band, centre, width).ok_or(RegulationError::NoSuchChannel {
        band,
        centre_mhz: centre.mhz(),
        width_mhz: width.mhz(),
    })?;
    channel_limits(country, &channel, role)
}

/// As [`limits`], for a channel and a country code that exist.
pub(crate) fn channel_limits(country: &str, channel: &Channel, role: Role) -> Result<Limits, RegulationError> {
    let unknown = || RegulationError::Unknown {
        country: country.to_owned(),
        number: channel.number,
        width_mhz: channel.width_mhz,
    };
    let not_allowed = || RegulationError::NotAllowed {
        country: country.to_owned(),
        number: channel.number,
        width_mhz: channel.width_mhz,
        centre_mhz: channel.centre_mhz,
    };
    if !is_listed(country) {
        return Err(unknown());
    }
    let available = availability(country, channel).ok_or_else(not_allowed)?;
    let rows = rows(country).ok_or_else(unknown)?;
    let (low, high) = channel.edges_mhz();
    let mut used: Vec<&Row> =
        rows.iter().filter(|r| r.role.is_none_or(|x| x == role) && r.low < high && low < r.high).collect();
    used.sort_by(|a, b| a.low.total_cmp(&b.low));
    let mut reached = low;
    for row in &used {
        if row.low > reached {
            break;
        }
        reached = reached.max(row.high);
    }
    if reached < high {
        // A gap inside a cited set of rules. Canada's 5600 to 5650 MHz is one: the rule forbids it.
        let forbidden = country == "CA" && low < 5650.0 && high > 5600.0;
        return Err(if forbidden { not_allowed() } else { unknown() });
    }
    let at_width = |row: &Row| {
        let by_density = row.density.map_or(f64::INFINITY, |d| d + 10.0 * f64::from(channel.width_mhz).log10());
        row.eirp.min(by_density)
    };
    let strictest = used.iter().min_by(|a, b| at_width(a).total_cmp(&at_width(b))).ok_or_else(unknown)?;
    let least = |values: &mut dyn Iterator<Item = f64>| values.min_by(f64::total_cmp).map(Dbm);
    let mut limits = Limits {
        eirp_max: Dbm(at_width(strictest)),
        eirp_total: least(&mut used.iter().map(|r| r.eirp)).ok_or_else(unknown)?,
        density: least(&mut used.iter().filter_map(|r| r.density)),
        conducted_max: least(&mut used.iter().filter_map(|r| r.conducted)),
        dfs: (available.radar).then(|| dfs(available.region, low, high)),
        indoor_only: available.indoor_only || used.iter().any(|r| r.indoor_only),
        rule: strictest.source(),
        date: strictest.date.parse().map_err(|_| unknown())?,
    };
    limits.eirp_max = limits.eirp_at(channel.width());
    Ok(limits)
}

/// Waiting times of radar detection. 600 s before use of 5600 to 5650 MHz (weather radar) is the rule of EN 301 893 only.
fn dfs(region: DfsRegion, low: f64, high: f64) -> Dfs {
    let weather = low < 5650.0 && high > 5600.0;
    let etsi = region == DfsRegion::Etsi;
    let source = match region {
        DfsRegion::Etsi => Source::standard("EN 301 893, Annex D: times of radar detection"),
        DfsRegion::Fcc => {
            Source::regulation("47 CFR 15.407(h)(2) and its test procedure KDB 905462: times of radar detection")
        }
        DfsRegion::Japan | DfsRegion::Unset => {
            Source::regulation("times of radar detection taken as in 47 CFR 15.407(h)(2)").from_memory()
        }
    };
    Dfs {
        availability_check: Seconds(if etsi && weather { 600.0 } else { 60.0 }),
        non_occupancy: Seconds(1800.0),
        move_time: Seconds(10.0),
        closing_time: Seconds(if etsi { 1.0 } else { 0.26 }),
        source,
    }
}
