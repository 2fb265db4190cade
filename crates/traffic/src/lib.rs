//! The busy hour: what people and devices ask for, against what links, channels, cables and the line carry.
//!
//! It does not know how a link's rate came about.
//!
//! - [`busy_hour`], [`HourInput`], [`HourOutcome`]: the busy hour over sampled evenings
//! - [`AirLink`], [`OwnRadio`], [`EVENINGS`]: what goes in beside the design
//! - [`octets_a_day`]: what cameras keep
//! - [`WiredLink`], [`Uplink`], [`UplinkKind`]: how wired devices and parts hang together
//! - [`Load`], [`Demand`], [`Resource`]: what each channel, cable and line has to carry
//! - [`activity_rates`]: published rates of activities
//! - [`queue`], [`line`]: what packets wait
//! - [`call`]: how a call sounds
//! - [`hour`]: what the sampled evenings come to, as data
//! - [`RULES`], [`AIRTIME_LIMIT`], [`WIRE_LIMIT`]

pub mod call;
mod cameras;
mod evening;
mod evening_demand;
mod evening_entries;
mod evening_figures;
mod evening_findings;
mod evening_frames;
mod evening_gather;
mod evening_judge;
mod evening_moment;
mod evening_network;
mod evening_wires;
pub mod hour;
pub mod line;
mod loads;
mod paths;
pub mod queue;
mod rates;
mod rules;

use findings::Id;
use radio_profile::Band;
use units::BitsPerSecond;

pub use cameras::{RESERVE, UPSTREAM_LIMIT, USABLE, octets_a_day};
pub use evening::{AirLink, EVENINGS, EVENINGS_MAX, HourInput, HourOutcome, OwnRadio, busy_hour};
pub use evening_judge::RATING_LIMIT;
pub use rates::{ActivityRate, activity_rates, activity_rates_source};
pub use rules::{AIRTIME_LIMIT, RULES, WIRE_LIMIT};

/// How a wired device is joined.
#[derive(Clone, Debug, PartialEq)]
pub struct WiredLink {
    /// The device.
    pub device: Id,
    /// Rate of its cable, each way.
    pub rate: BitsPerSecond,
    /// Parts that it passes on the way to the line, nearest first; empty if it is joined to the router itself.
    pub via: Vec<Id>,
}

/// What a part's uplink runs over.
#[derive(Clone, Debug, PartialEq)]
pub enum UplinkKind {
    /// A cable.
    Wired {
        /// Its rate, each way.
        rate: BitsPerSecond,
    },
    /// A radio link.
    Radio {
        /// Its band.
        band: Band,
        /// What it carries towards the part, alone on the channel.
        down: BitsPerSecond,
        /// What it carries from the part.
        up: BitsPerSecond,
        /// True if it uses the channel that also serves devices; false if it has a radio and channel of its own.
        shared: bool,
    },
}

/// How a part reaches the next one towards the line.
#[derive(Clone, Debug, PartialEq)]
pub struct Uplink {
    /// The part: access point or switch.
    pub part: Id,
    /// The next part towards the line.
    pub parent: Id,
    /// What it runs over.
    pub kind: UplinkKind,
}

/// What carries traffic and can be full.
#[derive(Clone, Debug, PartialEq)]
pub enum Resource {
    /// The channel of a radio, with everything of the home that overlaps it.
    Channel {
        /// The part.
        part: Id,
        /// Its band.
        band: Band,
    },
    /// A radio link with a channel of its own.
    RadioUplink {
        /// The part whose uplink it is.
        part: Id,
    },
    /// A cable between parts, towards the part.
    CableDown {
        /// The part whose uplink it is.
        part: Id,
    },
    /// A cable between parts, from the part.
    CableUp {
        /// The part whose uplink it is.
        part: Id,
    },
    /// The main line, towards the home.
    LineDown {
        /// The line.
        line: Id,
    },
    /// The main line, from the home.
    LineUp {
        /// The line.
        line: Id,
    },
}

/// Demand on a resource, as a share of what it can carry.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Demand {
    /// Mean over the evenings.
    pub mean: f64,
    /// What one evening of twenty passes.
    pub p95: f64,
    /// Everything at once.
    pub all: f64,
}

/// What one resource has to carry, each as a share of what it can: 1 is all its time or all its rate.
#[derive(Clone, Debug, PartialEq)]
pub struct Load {
    /// The resource.
    pub resource: Resource,
    /// The home's own demand.
    pub demand: Demand,
    /// Share taken by neighbours and by the home's own beacons.
    pub taken: f64,
    /// Share that may be used in all.
    pub limit: f64,
    /// True if something that carries nothing must carry demand here.
    pub broken: bool,
}

impl Load {
    /// Factor by which a demand on this resource could grow before the limit is passed; nothing without demand.
    #[must_use]
    pub fn headroom(&self, demand: f64) -> Option<f64> {
        if self.broken {
            return Some(0.0);
        }
        (demand > 0.0).then(|| ((self.limit - self.taken) / demand).max(0.0))
    }
}
