//! What a household or its installer knows of how a design stays up, beside the figures of its parts.

use equipment::Failure;
use findings::Id;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use units::Seconds;

/// What is known of how a design stays up. The default knows nothing more than the parts say.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(default, deny_unknown_fields)]
pub struct Upkeep {
    /// Roles that services need beside their way to the line. Addresses and names are the router's where nothing is said.
    pub roles: Vec<Role>,
    /// What is switched off in an outage of the mains to spare a battery.
    pub shedding: Vec<Shed>,
    /// State of battery supplies; new and at 25 °C where nothing is said.
    pub cells: Vec<SupplyCells>,
    /// Figures of failures that replace the generic ones.
    pub failures: Vec<KnownFailure>,
}

impl Upkeep {
    /// Whether it says nothing.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        *self == Self::default()
    }

    /// The figures that replace those of a thing.
    #[must_use]
    pub fn failure(&self, id: &Id) -> Option<&Failure> {
        self.failures.iter().find(|f| &f.id == id).map(|f| &f.failure)
    }

    /// State of the cells of a placed battery supply.
    #[must_use]
    pub fn cell_state(&self, supply: &Id) -> CellState {
        self.cells.iter().find(|c| &c.supply == supply).map_or_else(CellState::default, |c| c.state)
    }
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

/// A role that services need.
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

/// State of a battery's cells and what is known of its load.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct CellState {
    /// Temperature of the cells [°C].
    #[serde(default = "rated_temperature")]
    pub temperature_c: f64,
    /// Age [years].
    #[serde(default)]
    pub age_years: f64,
    /// Power factor of the load, above 0 to 1; that of small adapters if absent.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub power_factor: Option<f64>,
}

fn rated_temperature() -> f64 {
    25.0
}

impl Default for CellState {
    fn default() -> Self {
        Self { temperature_c: rated_temperature(), age_years: 0.0, power_factor: None }
    }
}

/// Figures that replace the generic ones of one thing.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct KnownFailure {
    /// A placed part, link, line, circuit, cable space that several cables share, or device.
    pub id: Id,
    /// How often it fails and how long it takes to mend.
    pub failure: Failure,
}
