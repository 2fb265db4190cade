//! What a caller knows beside the design, as data. All of it may be left out.

use equipment::Failure;
use findings::{Id, Source};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use site::Line;
use units::{Seconds, WattHours, Watts};

use crate::battery::CellState;
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
    /// Other ways to the internet that are not lines of the home.
    pub failovers: Vec<Failover>,
    /// Roles that services need beside the path.
    pub roles: Vec<Role>,
    /// How devices are powered.
    pub own_power: Vec<OwnPower>,
    /// Figures of failures that replace the generic ones, by placed part, link, line, circuit, shared way or device.
    pub failures: Vec<KnownFailure>,
    /// What is switched off in an outage to spare a battery.
    pub shedding: Vec<Shed>,
    /// State of battery supplies; new and at 25 °C where not said.
    pub cells: Vec<SupplyCells>,
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

/// Another way to the internet: a telephone's mobile connection, or a mobile router.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Failover {
    /// The line that it goes over; its kind gives a generic figure where it has none of its own.
    pub line: Line,
    /// The placed part that it is joined to; devices join it by themselves if absent.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub through: Option<Id>,
    /// The devices that can use it; all if empty.
    #[serde(default)]
    pub devices: Vec<Id>,
    /// Rate over that of the main line, if known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rate_share: Option<f64>,
}

/// What a role is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum RoleKind {
    /// Gives addresses (DHCP).
    Addresses,
    /// Resolves names (DNS).
    Names,
    /// Manages access points or things.
    Controller,
}

/// A role that services need. Addresses and names are the router's unless said otherwise here.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Role {
    /// What it is.
    pub kind: RoleKind,
    /// The placed part or device that has it; with several entries of a kind any one of them is enough.
    pub host: Id,
    /// Devices that need it; all if empty.
    #[serde(default)]
    pub devices: Vec<Id>,
}

/// How a device is powered.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct OwnPower {
    /// The device.
    pub device: Id,
    /// What it draws in use; a generic figure of its kind if absent.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub draw: Option<Watts>,
    /// Energy of its own battery; a generic figure of its kind if absent and it has one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub battery: Option<WattHours>,
    /// The mains outlet that it is on.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub outlet: Option<Id>,
}

/// Figures that replace the generic ones of one thing.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct KnownFailure {
    /// The thing.
    pub id: Id,
    /// How often it fails and how long it takes to mend.
    pub failure: Failure,
}

/// Parts that are switched off some time after the mains went.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Shed {
    /// The placed battery supply.
    pub supply: Id,
    /// How long after.
    pub after: Seconds,
    /// Parts that are then switched off, with what they feed over data cables.
    pub parts: Vec<Id>,
}

/// State of one battery supply.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SupplyCells {
    /// The placed battery supply.
    pub supply: Id,
    /// State of its cells.
    pub state: CellState,
}

impl Facts {
    pub(crate) fn failure(&self, id: &Id) -> Option<&Failure> {
        self.failures.iter().find(|f| &f.id == id).map(|f| &f.failure)
    }

    pub(crate) fn circuit(&self, outlet: &Id) -> Option<&Id> {
        self.circuits.iter().find(|c| &c.outlet == outlet).map(|c| &c.circuit)
    }

    pub(crate) fn cell_state(&self, supply: &Id) -> CellState {
        self.cells.iter().find(|c| &c.supply == supply).map_or_else(CellState::default, |c| c.state)
    }

    pub(crate) fn own_power(&self, device: &Id) -> Option<&OwnPower> {
        self.own_power.iter().find(|o| &o.device == device)
    }
}
