//! What a caller knows beside the design, as data. All of it may be left out.

use findings::{Id, Source};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use units::Seconds;

use crate::outages::Lengths;

/// What is known beside the design. The default knows nothing more.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(default, deny_unknown_fields)]
pub struct Facts {
    /// Which mains circuit an outlet is on. Outlets that are not named share no breaker with others.
    pub circuits: Vec<OutletCircuit>,
    /// Conduits, ducts and holes that several cables or lines share.
    pub shared_ways: Vec<SharedWay>,
    /// Lines whose far end was tested with the mains out.
    pub line_backups: Vec<LineBackup>,
    /// Which placed part ends which line.
    pub terminations: Vec<Termination>,
    /// What other access points give a device, as a share of the rate that its own gives.
    pub reach: Vec<Reach>,
    /// How the lengths of outages are distributed.
    pub lengths: Lengths,
}

/// An outlet's circuit.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct OutletCircuit {
    /// The outlet.
    pub outlet: Id,
    /// Its circuit.
    pub circuit: Id,
}

/// A way that several cables or lines share, so that one cut takes all.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SharedWay {
    /// Id.
    pub id: Id,
    /// Links of the design that pass.
    #[serde(default)]
    pub links: Vec<Id>,
    /// Lines of the site that pass.
    #[serde(default)]
    pub lines: Vec<Id>,
}

/// How long a line goes on with the mains out, as tested or as the provider says.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct LineBackup {
    /// The line.
    pub line: Id,
    /// How long its far end goes on.
    pub runtime: Seconds,
    /// Who says so.
    pub source: Source,
}

/// The part that ends a line.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Termination {
    /// The line.
    pub line: Id,
    /// The placed part.
    pub part: Id,
}

/// What a part gives a wireless device that is usually served by another.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Reach {
    /// The device.
    pub device: Id,
    /// The placed part.
    pub by: Id,
    /// Rate over that of the usual one.
    pub rate_share: f64,
}

impl Facts {
    pub(crate) fn circuit(&self, outlet: &Id) -> Option<&Id> {
        self.circuits.iter().find(|c| &c.outlet == outlet).map(|c| &c.circuit)
    }
}
