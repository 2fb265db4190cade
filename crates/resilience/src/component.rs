//! Things that can fail, and how likely each is up for given draws of what is uncertain.

use equipment::Failure;
use findings::{Id, Source};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use units::Seconds;

use crate::failure::Availability;

/// What a component is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum ComponentKind {
    /// The mains of the address.
    Mains,
    /// A circuit of the home with its breaker.
    Circuit,
    /// A line, up to its termination.
    Line,
    /// The supply at the far end of a line while the mains are out, which nobody has tested.
    LineBackup,
    /// A placed part.
    Part,
    /// A cable or cord.
    Cable,
    /// A radio hop between parts.
    Radio,
    /// A conduit, hole or duct that several cables share.
    SharedWay,
    /// A device of the household that others need.
    Device,
}

/// How its state comes about.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Law {
    /// No figure of its failures is at hand; it is taken to hold.
    Held,
    /// Taken to hold, but it may as well never hold.
    Untested,
    /// Nothing can be said.
    Unknown,
    /// Fails and is mended: repair time over time between failures, and by what factor that may be off.
    Repaired { odds: f64, factor: f64 },
    /// An outage that has gone on for a time is on, given that none is on that has gone on for the next longer time
    /// that matters.
    Interrupted { share: f64, left: f64, left_next: f64, best: f64, worst: f64 },
}

/// How what is uncertain is taken.
#[derive(Clone, Copy, Debug)]
pub(crate) enum Take<'a> {
    /// The best figure.
    Nominal,
    /// All as bad as it may be.
    Bad,
    /// All as good as it may be.
    Good,
    /// Standard normal draws, one for each quantity.
    Drawn(&'a [f64]),
}

/// One thing that can fail.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Component {
    pub id: Id,
    pub kind: ComponentKind,
    /// For an outage: it has gone on for longer than this.
    pub longer_than: Option<Seconds>,
    pub law: Law,
    /// Which uncertain quantity it hangs on.
    pub quantity: usize,
    pub source: Source,
    /// What would have to be known, if it is unknown.
    pub missing: String,
}

/// The 95 % quantile of the standard normal law: given factors are taken as the ends of a 90 % interval.
const QUANTILE_95: f64 = 1.644_853_626_951_472_2;

impl Component {
    /// Probability that it is up; nothing if unknown.
    pub fn up(&self, take: Take) -> Option<f64> {
        let scale = |best: f64, worst: f64| match take {
            Take::Nominal => 1.0,
            Take::Bad => worst,
            Take::Good => 1.0 / best,
            Take::Drawn(draws) => {
                let z = draws.get(self.quantity).copied().unwrap_or(0.0) / QUANTILE_95;
                if z > 0.0 { libm::pow(worst, z) } else { libm::pow(best, z) }
            }
        };
        match self.law {
            Law::Held => Some(1.0),
            Law::Untested => Some(if matches!(take, Take::Bad) { 0.0 } else { 1.0 }),
            Law::Unknown => None,
            Law::Repaired { odds, factor } => Some(1.0 / (1.0 + odds * scale(factor, factor))),
            Law::Interrupted { share, left, left_next, best, worst } => {
                let down = (share * scale(best, worst)).min(1.0);
                let none_longer = 1.0 - down * left_next;
                Some(if none_longer > 0.0 { (1.0 - down * left) / none_longer } else { 0.0 })
            }
        }
    }

    /// Its availability with the interval that its inputs bear.
    pub fn availability(&self) -> Option<Availability> {
        Some(Availability { value: self.up(Take::Nominal)?, low: self.up(Take::Bad)?, high: self.up(Take::Good)? })
    }
}

impl Law {
    /// From a part's figures; unknown if they make no sense.
    pub fn of(failure: &Failure) -> Self {
        let (mtbf, mttr, factor) = (failure.mtbf.0, failure.mttr.0, failure.factor);
        let fine = mtbf.is_finite() && mtbf > 0.0 && mttr.is_finite() && mttr >= 0.0;
        if fine && factor.is_finite() && factor >= 1.0 {
            Self::Repaired { odds: mttr / mtbf, factor }
        } else {
            Self::Unknown
        }
    }
}
