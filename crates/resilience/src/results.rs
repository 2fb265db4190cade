//! What the analysis returns, as plain data for pages, programs and documents.

use findings::{Finding, Id, Source};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use units::{Seconds, Watts};

use crate::battery::Stage;
use crate::component::ComponentKind;
use crate::load::LoadItem;
use crate::services::{Alternative, ServiceKind};

/// A value with what its inputs bear.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Interval {
    /// From the best figures.
    pub value: f64,
    /// Lower end of the 90 % interval.
    pub low: f64,
    /// Upper end of the 90 % interval.
    pub high: f64,
    /// If all inputs are at the end that makes it least.
    pub least: f64,
    /// If all inputs are at the end that makes it most.
    pub most: f64,
    /// Significant digits to show, by the 90 % interval: 2 or 3.
    pub digits: u32,
}

impl Interval {
    /// From a value, its 90 % interval and its bounds.
    ///
    /// # Example
    /// ```
    /// let minutes = resilience::Interval::of(336.2, (110.0, 1004.0), (100.0, 1200.0));
    /// assert_eq!((minutes.digits, minutes.shown()), (2, 340.0));
    /// ```
    #[must_use]
    pub fn of(value: f64, likely: (f64, f64), bounds: (f64, f64)) -> Self {
        let (low, high) = (likely.0.min(value), likely.1.max(value));
        let half = (high - low) / 2.0;
        let digits = if half > 0.0 && value != 0.0 {
            // A digit is borne if a half of its unit is not finer than a tenth of the interval; as with all figures a wide
            // interval still leaves two.
            (1.0 + libm::log10((value / half).abs().max(1e-3))).floor().clamp(2.0, 3.0)
        } else {
            3.0
        };
        Self { value, low, high, least: bounds.0.min(low), most: bounds.1.max(high), digits: digits as u32 }
    }

    /// The value with no more digits than it bears.
    #[must_use]
    pub fn shown(&self) -> f64 {
        rounded(self.value, self.digits)
    }
}

/// A number with so many significant digits.
#[must_use]
pub fn rounded(value: f64, digits: u32) -> f64 {
    if value == 0.0 || !value.is_finite() {
        return value;
    }
    let scale = libm::pow(10.0, f64::from(digits.max(1)) - 1.0 - libm::floor(libm::log10(value.abs())));
    if scale.is_finite() && scale > 0.0 { libm::round(value * scale) / scale } else { value }
}

/// A component in a cut set: the thing, and for an outage how long it has gone on.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
pub struct Member {
    /// The thing.
    pub id: Id,
    /// What it is.
    pub kind: ComponentKind,
    /// For an outage: minutes that it must have gone on, rounded up.
    pub longer_than_min: Option<u32>,
}

/// Things that together bring a service down.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct CutSet {
    /// The things.
    pub members: Vec<Member>,
    /// Minutes a year in which all of them are down at once; nothing if unknown.
    pub minutes: Option<f64>,
}

/// How much one thing matters to a service.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Importance {
    /// The thing.
    pub id: Id,
    /// What it is.
    pub kind: ComponentKind,
    /// Birnbaum: the service's availability with it up for good, less that with it down for good.
    pub birnbaum: f64,
    /// Criticality: share of the service's outage that would be spared if it never failed.
    pub criticality: f64,
    /// Fussell–Vesely from the listed cut sets, each taken by itself: share of outage in which a cut with it is down.
    pub fussell_vesely: f64,
}

/// What mains outages do to a service.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct MainsEffect {
    /// How long it goes on in an outage, all else being up; absent if the mains do not matter to it.
    pub outlasts: Option<Seconds>,
    /// True if that holds only while a line's far end, which nobody has tested, has power.
    pub if_line_holds: bool,
    /// Share of outages that it rides through, lengths being exponential.
    pub ridden: Option<f64>,
    /// The same with the lognormal law ([`crate::Lengths::LONG_TAILED`]).
    pub ridden_long_tailed: Option<f64>,
    /// Minutes a year lost to the mains, lengths being exponential.
    pub minutes: Option<f64>,
    /// The same with the lognormal law.
    pub minutes_long_tailed: Option<f64>,
}

/// One service.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct ServiceRow {
    /// The device, the activity, or `internet`.
    pub id: Id,
    /// What it is.
    pub kind: ServiceKind,
    /// The device.
    pub device: Option<Id>,
    /// True if it must stay up.
    pub must_stay_up: bool,
    /// Share of time that it is up, by any way; nothing if unknown.
    pub availability: Option<Interval>,
    /// Minutes a year in which it is down by every way.
    pub minutes: Option<Interval>,
    /// Minutes a year in which its usual way is down.
    pub usual_minutes: Option<f64>,
    /// Minutes a year if the untested far ends of lines go down with the mains; absent if none matters.
    pub minutes_if_line_dies: Option<f64>,
    /// What would have to be known.
    pub missing: Vec<String>,
    /// Things any one of which brings it down.
    pub single_points: Vec<Member>,
    /// Minimal cut sets, fewest members first.
    pub cuts: Vec<CutSet>,
    /// Up to how many members all cut sets are listed.
    pub cuts_complete_to: usize,
    /// How much each thing matters, most critical first; empty if a figure is missing.
    pub importances: Vec<Importance>,
    /// Other ways.
    pub alternatives: Vec<Alternative>,
    /// What mains outages do to it.
    pub mains: MainsEffect,
}

/// One thing that can fail.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct ComponentRow {
    /// The thing.
    pub id: Id,
    /// What it is.
    pub kind: ComponentKind,
    /// Minutes a year in which it is down; nothing if unknown.
    pub minutes: Option<Interval>,
    /// True if no figure is at hand and it is taken to hold.
    pub taken_to_hold: bool,
    /// What would have to be known.
    pub missing: Option<String>,
    /// Where its figures come from.
    pub source: Source,
    /// Services that are down while it is.
    pub takes_down: Vec<Id>,
    /// Services that go on by another way while it is down.
    pub by_alternative: Vec<Id>,
}

/// One battery supply.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct BatteryRow {
    /// The placed supply.
    pub id: Id,
    /// What hangs on it.
    pub items: Vec<LoadItem>,
    /// All of that.
    pub load: Watts,
    /// What its cells give for it: load over efficiency, and its own draw.
    pub drawn: Watts,
    /// How long it carries what hangs on it; nothing if unknown.
    pub runtime: Option<Seconds>,
    /// At the end of the battery's life.
    pub runtime_low: Option<Seconds>,
    /// With the better end of what is not known of its cells.
    pub runtime_high: Option<Seconds>,
    /// Stages of a discharge.
    pub stages: Vec<Stage>,
    /// How long it carries each load of the curve, from a tenth of what it bears to all of it.
    pub curve: Vec<CurvePoint>,
    /// Time to charge it when empty; nothing if unknown.
    pub recharge: Option<Seconds>,
    /// Energy that it uses up a year by standing by [kWh].
    pub standby_kwh: f64,
    /// Why there is no runtime.
    pub problem: Option<String>,
}

/// A device that runs on its own battery.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct OwnBatteryRow {
    /// The device.
    pub device: Id,
    /// How long it runs in use; nothing if unknown.
    pub runtime: Option<Seconds>,
    /// True if its energy or draw is a generic figure of its kind.
    pub is_generic: bool,
}

/// A load and how long it is carried.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct CurvePoint {
    /// The load.
    pub load: Watts,
    /// How long.
    pub runtime: Seconds,
}

/// Outages of the mains or of a line.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct OutageRow {
    /// The mains or the line.
    pub id: Id,
    /// What it is.
    pub kind: ComponentKind,
    /// Outages a year.
    pub a_year: Option<f64>,
    /// Mean length of one.
    pub mean: Option<Seconds>,
    /// Minutes a year, bounds included.
    pub minutes: Option<Interval>,
    /// The law of their lengths, as assumed.
    pub law: String,
    /// For a line: how long its far end goes on with the mains out; unknown until tested.
    pub far_end: Option<Seconds>,
    /// Where the figures come from.
    pub source: Source,
}

/// How the services of a design stay up.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Staying {
    /// The design.
    pub design: Id,
    /// Services: devices in the household's order, then the router's connection, then activities.
    pub services: Vec<ServiceRow>,
    /// Things that can fail, in the order in which they were met.
    pub components: Vec<ComponentRow>,
    /// Battery supplies.
    pub batteries: Vec<BatteryRow>,
    /// Devices with a battery of their own.
    pub own_batteries: Vec<OwnBatteryRow>,
    /// Outages of the mains, of circuits and of lines.
    pub outages: Vec<OutageRow>,
    /// What is wrong or worth knowing.
    pub findings: Vec<Finding>,
    /// What was taken for granted, in plain sentences.
    pub assumptions: Vec<String>,
}
