//! What a part is.

use findings::{Id, Source};
use radio_profile::RadioProfile;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use units::{BitsPerSecond, Seconds, WattHours, Watts};

use crate::cable::CableSpec;

/// What a part does.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum PartKind {
    /// Ends the line: ONT, cable modem, DSL modem.
    LineTermination,
    /// A provider's box: line termination, router, switch and Wi-Fi in one.
    Gateway,
    /// A router with Wi-Fi.
    WirelessRouter,
    /// A router without Wi-Fi.
    Router,
    /// A switch.
    Switch,
    /// An access point fed by cable.
    AccessPoint,
    /// An access point that can use a radio as its uplink.
    RadioNode,
    /// A PoE injector.
    Injector,
    /// Goes over from twisted pairs to glass fibre and back.
    MediaConverter,
    /// A battery supply.
    BatterySupply,
    /// A structured-wiring panel.
    Panel,
    /// A patch panel.
    PatchPanel,
    /// Cable, priced by the metre.
    Cable,
    /// A patch cord.
    Cord,
    /// An outlet: box, plate and jack.
    OutletKit,
    /// A ceiling or wall mount.
    Mount,
    /// A surface raceway or a pipe for cables, priced by the metre.
    Raceway,
    /// A small part that joins, marks or protects a cable.
    Fitting,
    /// A firestop seal.
    Firestop,
}

/// The ports of a part.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Ports {
    /// Ports towards the line.
    #[serde(default)]
    pub uplink: u32,
    /// Ports towards the home.
    #[serde(default)]
    pub lan: u32,
    /// Rate of the uplink ports.
    #[serde(default)]
    pub uplink_rate: BitsPerSecond,
    /// Rate of the ports towards the home.
    #[serde(default)]
    pub lan_rate: BitsPerSecond,
    /// Ports for glass fibre, beside the others.
    #[serde(default, skip_serializing_if = "is_zero")]
    pub fibre: u32,
    /// Rate of the ports for glass fibre.
    #[serde(default, skip_serializing_if = "no_rate")]
    pub fibre_rate: BitsPerSecond,
}

fn is_zero(count: &u32) -> bool {
    *count == 0
}

fn no_rate(rate: &BitsPerSecond) -> bool {
    rate.0 == 0.0
}

/// Power that a part takes over its data cable.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Poe {
    /// Class of IEEE 802.3, 0 to 8.
    pub class: u8,
    /// Highest draw at the part.
    pub worst_draw: Watts,
}

/// Power that a part gives over data cables.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PoeSupply {
    /// How many of its ports give power.
    pub ports: u32,
    /// Highest class a port serves.
    pub class: u8,
    /// Power that it gives in all.
    pub budget: Watts,
}

/// How often a part fails and how long it takes to replace.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Failure {
    /// Mean time between failures.
    pub mtbf: Seconds,
    /// Mean time to repair: usually to buy and fit another one.
    pub mttr: Seconds,
    /// Factor by which the mean time between failures may be off either way.
    pub factor: f64,
    /// Where the figures come from.
    pub source: Source,
}

/// What the cells of a battery are made of.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Chemistry {
    /// Valve-regulated lead-acid.
    LeadAcid,
    /// Lithium ion, or lithium iron phosphate.
    Lithium,
}

/// What a battery supply gives to its load.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum SupplyOutput {
    /// Mains voltage from an inverter; the load's own adapters stay in use.
    #[default]
    Alternating,
    /// Direct current in place of the load's adapter; no inverter.
    Direct,
}

/// The cells of a battery as printed on them.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Cells {
    /// What they are made of.
    pub chemistry: Chemistry,
    /// Printed energy: volts times ampere-hours, at the rated discharge time.
    pub printed: WattHours,
    /// Discharge time at which they hold what is printed [h]; 20 h is usual of lead-acid, 5 h of lithium.
    pub rated_hours: f64,
    /// Exponent of Peukert's law, 1 where the rate does not matter; a generic figure of the chemistry if absent.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub peukert: Option<f64>,
    /// Share of the energy that the supply uses before it switches off, 0 to 1.
    #[serde(default = "whole")]
    pub used_share: f64,
}

fn whole() -> f64 {
    1.0
}

/// The store of a battery supply.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Battery {
    /// Usable energy when new, where nothing is known of the cells.
    pub energy: WattHours,
    /// Highest load.
    pub max_load: Watts,
    /// Efficiency from battery to load, 0 to 1.
    pub efficiency: f64,
    /// What it draws by itself.
    pub own_draw: Watts,
    /// Its cells; the usable energy is taken at any rate of discharge if absent.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cells: Option<Cells>,
    /// What it gives.
    #[serde(default)]
    pub output: SupplyOutput,
    /// Highest apparent power of the load [VA]; unknown if absent.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rated_va: Option<f64>,
    /// Power that charges the cells; unknown if absent.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub charger: Option<Watts>,
}

/// A generic part.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Part {
    /// Id, such as `ap-ax-2x2-ceiling`.
    pub id: Id,
    /// Name for people; never a brand.
    pub name: String,
    /// What it does.
    pub kind: PartKind,
    /// Its network ports.
    #[serde(default)]
    pub ports: Ports,
    /// Its radios, if any.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub radio: Option<RadioProfile>,
    /// Whether one of its radios is kept for the uplink.
    #[serde(default)]
    pub dedicated_uplink_radio: bool,
    /// Highest sum of both directions at which it can hold a line's rate and give each flow its turn (RFC 8290); it
    /// cannot if absent.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub shapes_line: Option<BitsPerSecond>,
    /// Typical mains draw, without what it gives over PoE.
    #[serde(default)]
    pub draw: Watts,
    /// Power that it can take over its data cable.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub poe: Option<Poe>,
    /// Power that it gives over data cables.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub poe_supply: Option<PoeSupply>,
    /// Its battery, if it is a battery supply.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub battery: Option<Battery>,
    /// What it is, if it is a cable or cord; unknown if absent.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cable: Option<CableSpec>,
    /// True if it is met in homes but never offered, so that it has no price.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub found_only: bool,
    /// How often it fails; unknown if absent.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub failure: Option<Failure>,
    /// Can carry segments (VLANs).
    #[serde(default)]
    pub segments: bool,
    /// Hangs from ceilings or walls; otherwise it stands.
    #[serde(default)]
    pub mountable: bool,
    /// Where its figures come from.
    pub source: Source,
}
