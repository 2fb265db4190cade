//! What comes with the address: internet lines, radio surroundings, mains reliability, country, currency and language.
//!
//! - [`Site`], [`Line`], [`Mains`], [`Neighbour`], [`Transmitter`]: what the job document says
//! - [`validate`], [`RULES`]: everything that is wrong with a site
//! - [`Site::default_for`], [`default_mains`], [`mains_range`]: stated defaults where nobody was asked
//! - [`usual_delay`], [`Line::delays`]: what a line does to packets
//! - [`country_names`], [`country_name`], [`nearest_country`]: countries of ISO 3166-1

mod country;
mod default;
mod validate;

pub use country::{country_name, country_names, nearest_country};
pub use default::{MainsRange, UsualDelay, default_mains, mains_range, usual_delay};
pub use validate::{DUPLICATE_ID, IMPOSSIBLE_VALUE, NO_LINE, RULES, UNKNOWN_COUNTRY, validate};

use findings::{Id, Source};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use units::{BitsPerSecond, Currency, Date, Dbm, Hertz, Point3, Seconds};

/// An address without its name.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Site {
    /// Country, two letters of ISO 3166-1.
    pub country: String,
    /// Region whose building and electrical codes hold, if not the whole country.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub code_region: Option<String>,
    /// Currency of prices.
    pub currency: Currency,
    /// Units shown to people.
    #[serde(default)]
    pub units: UnitSystem,
    /// Language of documents, BCP 47.
    #[serde(default = "english")]
    pub language: String,
    /// Date that the job speaks of, for rules and prices.
    pub date: Date,
    /// Lines into the home, the main one first.
    #[serde(default)]
    pub lines: Vec<Line>,
    /// Other ways to the internet, for when the lines are down.
    #[serde(default)]
    pub failovers: Vec<Failover>,
    /// The mains supply.
    #[serde(default)]
    pub mains: Mains,
    /// Neighbours' networks heard here.
    #[serde(default)]
    pub neighbours: Vec<Neighbour>,
}

fn english() -> String {
    "en".into()
}

/// Which units people see.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum UnitSystem {
    /// Metres and square metres.
    #[default]
    Metric,
    /// Feet, inches and square feet.
    FeetInches,
}

/// How a line reaches the home.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum LineKind {
    /// Optical fibre to the home.
    Fibre,
    /// Cable television network.
    Coax,
    /// Telephone pair.
    Dsl,
    /// A radio mast in sight.
    FixedWireless,
    /// Satellites.
    Satellite,
    /// The mobile network.
    Mobile,
}

/// How the line is handed over.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Handover {
    /// Plain Ethernet, addresses by DHCP.
    #[default]
    Ethernet,
    /// PPP over Ethernet.
    Pppoe,
    /// Tagged Ethernet.
    TaggedEthernet,
}

/// A line into the home.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Line {
    /// Id.
    pub id: Id,
    /// How it reaches the home.
    pub kind: LineKind,
    /// Rate towards the home.
    pub down: BitsPerSecond,
    /// Rate from the home.
    pub up: BitsPerSecond,
    /// How it is handed over.
    #[serde(default)]
    pub handover: Handover,
    /// Length of the IPv6 prefix that is delegated, if known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ipv6_prefix_length: Option<u8>,
    /// True if the provider translates addresses; unknown if absent.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub carrier_nat: Option<bool>,
    /// A box of the provider's that must stay: the equipment part that it is.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub fixed_box: Option<Id>,
    /// One-way delay to the provider's edge when nothing else is sent; a generic figure of its kind if absent.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub delay: Option<Seconds>,
    /// How long a packet waits in the full queue before the line, as measured by the added delay under load; a generic figure if absent.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub queue: Option<Seconds>,
    /// How often it fails and for how long; a generic figure of its kind if absent.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub failures: Option<FailureRate>,
    /// How long its far end goes on while the mains are out, as tried or as the provider says; unknown if absent.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub far_end_runtime: Option<Seconds>,
}

/// Another way to the internet that is no line of the home: the mobile connection of a telephone or tablet, which devices
/// join by themselves.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Failover {
    /// The line that it goes over; its kind gives a generic figure where it has none of its own.
    pub line: Line,
    /// The devices that can use it; all that can join it by radio if empty.
    #[serde(default)]
    pub devices: Vec<Id>,
}

/// How often something fails and how long it then stays down.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct FailureRate {
    /// Mean time between failures.
    pub mtbf: Seconds,
    /// Mean time to repair.
    pub mttr: Seconds,
    /// Where the figures come from.
    pub source: Source,
}

/// The mains supply's reliability; a published figure of the country, if there is one, where absent.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Mains {
    /// Interruption a customer and year (SAIDI).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub saidi: Option<Seconds>,
    /// Interruptions a customer and year (SAIFI).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub saifi: Option<f64>,
    /// Where the figures come from.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub source: Option<Source>,
}

/// Where a neighbour's network is sent from.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Transmitter {
    /// Its place, height above the building's zero level [m].
    pub at: Point3,
    /// What it radiates.
    pub eirp: Dbm,
}

/// A neighbour's network heard in the home.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Neighbour {
    /// Id.
    pub id: Id,
    /// Centre frequency of its channel.
    pub centre: Hertz,
    /// Width of its channel.
    pub width: Hertz,
    /// Level heard; not used where the transmitter is given.
    pub level: Dbm,
    /// Where it is sent from, so that its level at every place follows; unknown if absent.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub transmitter: Option<Transmitter>,
    /// Share of time that it is on the air, 0 to 1; unknown if absent.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub load: Option<f64>,
}
