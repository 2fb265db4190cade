//! The schedule of a design's wires: what pages, commands and documents print.

use findings::{Figure, Id};
use network::wiring::Way;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use units::{BitsPerSecond, Seconds};

use crate::poe::{Pairs, StartOrder};
use crate::rate::Ethernet;

/// Everything that the wires of a design bear.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct WireSheet {
    /// One row for each link over cable or cord, in the design's order.
    pub cables: Vec<CableRow>,
    /// The ports of each part that has any, in the design's order.
    pub ports: Vec<PortSheet>,
    /// One row for each part that feeds others over data cables.
    pub supplies: Vec<SupplyRow>,
    /// Cables that run side by side, warmest first.
    pub bundles: Vec<BundleRow>,
    /// Panels and racks.
    pub panels: Vec<PanelRow>,
    /// Said of all of them.
    pub notes: Vec<String>,
}

/// One cable or cord with what it does to signal and power.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct CableRow {
    /// The link.
    pub link: Id,
    /// What stands on both ends; empty if not known.
    pub label: String,
    /// The equipment part that the fixed cable is; absent for a cord.
    pub cable: Option<Id>,
    /// Category or kind of fibre, in words; empty if not known.
    pub category: String,
    /// Length of the fixed cable [m].
    pub fixed_length: Figure,
    /// Length of fixed cable and cords [m].
    pub channel_length: Figure,
    /// Most cord that goes with this fixed cable, both ends together [m].
    pub most_cord: Figure,
    /// Loss below the limit of the channel at the category's highest frequency [dB].
    pub loss_margin: Figure,
    /// Resistance of a pair out and back [Ω].
    pub loop_resistance: Figure,
    /// Delay [ns].
    pub delay: Figure,
    /// Most by which pairs differ in delay [ns].
    pub skew: Figure,
    /// The fastest Ethernet that it carries in any bundle.
    pub fastest: Option<Ethernet>,
    /// The fastest that it carries in a quiet bundle.
    pub fastest_if_quiet: Option<Ethernet>,
    /// Smallest radius that it may be bent to [mm]: four times its diameter (TIA-569 and ISO/IEC 14763-2).
    pub bend_radius_mm: Option<f64>,
    /// Strongest pull [N]: 110 N for four pairs (TIA-568); what its maker says for fibre.
    pub most_pull_n: Option<f64>,
    /// What it runs in or on.
    pub ways: Vec<Way>,
}

/// What is plugged into a part.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct PortSheet {
    /// The placed part.
    pub part: Id,
    /// Its ports, uplinks first, then those towards the home, then fibre; those that are taken but not there come last.
    pub ports: Vec<PortRow>,
    /// Ports that are free.
    pub spare: u32,
    /// Sum of the rates of what is plugged in over the rate of the uplink; absent where it has no uplink.
    pub oversubscription: Option<f64>,
}

/// One port.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct PortRow {
    /// What is printed beside it, such as `uplink 1` or `port 3`.
    pub port: String,
    /// False if the part has no such port.
    pub exists: bool,
    /// The link that is plugged in; absent if it is free.
    pub link: Option<Id>,
    /// What is at the other end.
    pub to: Option<Id>,
    /// What it runs at; absent if it is free or unknown.
    pub rate: Option<BitsPerSecond>,
    /// Class of the power that it gives; absent if it gives none.
    pub gives_class: Option<u8>,
    /// Class of the part that it feeds.
    pub feeds_class: Option<u8>,
}

/// What a supply gives over its data cables.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct SupplyRow {
    /// The placed part.
    pub supply: Id,
    /// What it can give in all [W]; absent if it gives nothing.
    pub budget: Option<f64>,
    /// Highest draw of all ports together [W].
    pub worst_draw: Figure,
    /// What is left of the budget at that [W].
    pub margin: Figure,
    /// What the supply turns into heat by itself, with the load [W].
    pub own_loss: Figure,
    /// Each part that it feeds.
    pub fed: Vec<FedRow>,
    /// In which order they start.
    pub start: StartOrder,
}

/// A part that is fed over its data cable.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct FedRow {
    /// The placed part.
    pub part: Id,
    /// Its class.
    pub class: u8,
    /// Over how many pairs.
    pub pairs: Option<Pairs>,
    /// Its highest draw [W].
    pub draw: f64,
    /// What the port gives for it [W].
    pub at_port: Figure,
    /// Voltage at the part [V].
    pub voltage: Figure,
    /// Least voltage that the standard has there [V].
    pub least_voltage: Option<f64>,
    /// Current in all pairs together [A].
    pub current: Figure,
}

/// Cables that run side by side for a length.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct BundleRow {
    /// The links.
    pub links: Vec<Id>,
    /// How many of them carry power.
    pub powered: usize,
    /// What they run in or on.
    pub way: Way,
    /// For how long [m].
    pub length: f64,
    /// How warm it is around them [°C].
    pub ambient: f64,
    /// How much warmer the middle of the bundle gets [K].
    pub rise: Figure,
    /// Section that the cables take [mm²].
    pub section_mm2: f64,
    /// Least inner diameter of a pipe for them [mm], so that they fill no more of it than is allowed.
    pub least_pipe_mm: f64,
}

/// What stands in a panel or rack.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct PanelRow {
    /// The room.
    pub room: Id,
    /// The placed panel, if the design names one.
    pub panel: Option<Id>,
    /// What stands in it, from the top.
    pub rows: Vec<PanelPlace>,
    /// Units of height taken.
    pub units_used: u32,
    /// Units of height that it has.
    pub units: u32,
    /// Ports of switches and panels in it, and how many are taken.
    pub ports: u32,
    /// How many of them are taken.
    pub ports_used: u32,
    /// Heat [W].
    pub heat: Figure,
    /// The same [BTU/h].
    pub heat_btu_h: Figure,
    /// How much warmer than the room it gets inside [K].
    pub rise: Figure,
    /// Plugs that need a socket.
    pub plugs: u32,
    /// Duplex outlets to be there, with spares.
    pub duplex_outlets: u32,
}

/// One thing in a panel.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct PanelPlace {
    /// First unit from the top, from 1.
    pub unit: u32,
    /// Units of height that it takes.
    pub height: u32,
    /// The placed part.
    pub part: Id,
    /// Heat [W].
    pub heat_w: f64,
}

/// Time from the first start of a supply's parts to the last.
#[must_use]
pub fn start_time(row: &SupplyRow) -> Seconds {
    row.start.steps.last().map_or(Seconds(0.0), |step| step.after)
}
