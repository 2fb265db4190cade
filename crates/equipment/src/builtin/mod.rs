//! The built-in parts: generic classes of equipment, never a product. Prices are kept apart, in price lists.
//!
//! What is a standard's is cited; every other figure is a generic figure of its class of equipment: typical of what is
//! sold, taken from no data sheet, written down from memory. A job replaces any of them by a part with the same id.

mod cables;
mod fixings;
mod power;
mod radio;
mod take_off;
mod wired;

use std::sync::LazyLock;

use findings::{Id, Source, SourceKind};
use units::{BitsPerSecond, Seconds, Watts};

use crate::part::{Failure, Part, PartKind, Poe, PoeSupply, Ports};

/// Ids of built-in parts that the program itself asks for by name.
pub mod id {
    /// Cord of category 6.
    pub const CORD: &str = "cord-cat6";
    /// Outlet of category 6: box, plate and jack.
    pub const OUTLET_CAT6: &str = "outlet-kit-cat6";
    /// Outlet of category 6A: box, plate and jack.
    pub const OUTLET_CAT6A: &str = "outlet-kit-cat6a";
    /// Cable of category 6 for outdoors and the ground, by the metre.
    pub const CABLE_OUTDOOR: &str = "cable-cat6-outdoor";
    /// A pair of single-mode fibres for outdoors and the ground, by the metre.
    pub const CABLE_FIBRE: &str = "cable-fibre-pair";
    /// Converter from twisted pairs to glass fibre.
    pub const MEDIA_CONVERTER: &str = "media-converter-1g";
    /// Cable of category 6, by the metre.
    pub const CABLE_CAT6: &str = "cable-cat6";
    /// Cable of category 6A, by the metre.
    pub const CABLE_CAT6A: &str = "cable-cat6a";
    /// Ceiling or wall mount.
    pub const MOUNT: &str = "mount-ap";
    /// Seal of one hole through a fire-rated wall or floor.
    pub const FIRESTOP: &str = "firestop-seal";

    /// Jack of category 6 for a plate that is there.
    pub const JACK_CAT6: &str = "jack-cat6";
    /// Jack of category 6A for a plate that is there.
    pub const JACK_CAT6A: &str = "jack-cat6a";
    /// Label of a cable end or a port.
    pub const LABEL: &str = "label-cable";
    /// Sleeve and seal of a hole to the outside.
    pub const WEATHER_SEAL: &str = "seal-weather";
    /// Surge protector for one data cable.
    pub const SURGE_PROTECTOR: &str = "surge-protector-data";
    /// What bonds a surge protector to earth.
    pub const BONDING: &str = "bonding-kit";
    /// Surface raceway, by the metre.
    pub const RACEWAY: &str = "raceway-surface";
    pub use super::take_off::{BURIED_CONDUIT, CONDUITS, CORDS};
}

/// The built-in parts, always in the same order: from the line inwards, then power, then cabling and fixings.
#[must_use]
pub fn catalog() -> &'static [Part] {
    static PARTS: LazyLock<Vec<Part>> = LazyLock::new(|| {
        [wired::parts(), radio::parts(), power::parts(), fixings::parts(), cables::parts(), take_off::parts()].concat()
    });
    &PARTS
}

/// 1 Gbit/s [bit/s] (1000BASE-T, IEEE 802.3-2022 clause 40).
const GIGABIT: f64 = 1e9;
/// 2.5 Gbit/s [bit/s] (2.5GBASE-T, IEEE 802.3-2022 clause 126).
const GIGABIT_2_5: f64 = 2.5e9;
/// 10 Gbit/s [bit/s] (10GBASE-T, IEEE 802.3-2022 clause 55).
const GIGABIT_10: f64 = 10e9;

/// A part with nothing but its name; the rest is added by the methods below.
fn part(id: &str, name: &str, kind: PartKind) -> Part {
    Part {
        id: Id::from_label(id),
        name: name.to_owned(),
        kind,
        ports: Ports::default(),
        radio: None,
        dedicated_uplink_radio: false,
        shapes_line: None,
        draw: Watts(0.0),
        poe: None,
        poe_supply: None,
        battery: None,
        cable: None,
        found_only: false,
        failure: None,
        segments: false,
        mountable: false,
        source: Source::generic().from_memory(),
    }
}

impl Part {
    /// Highest sum of both directions at which it can shape a line [bit/s]: what its processor bears (generic figure).
    fn shapes(mut self, rate: f64) -> Self {
        self.shapes_line = Some(BitsPerSecond(rate));
        self
    }

    /// Ports towards the line and towards the home, each with its rate [bit/s].
    fn ports(mut self, uplink: u32, uplink_rate: f64, lan: u32, lan_rate: f64) -> Self {
        self.ports = Ports {
            uplink,
            uplink_rate: BitsPerSecond(uplink_rate),
            lan,
            lan_rate: BitsPerSecond(lan_rate),
            ..Ports::default()
        };
        self
    }

    /// Ports for glass fibre, beside the others, with their rate [bit/s].
    fn fibre_ports(mut self, ports: u32, rate: f64) -> Self {
        self.ports.fibre = ports;
        self.ports.fibre_rate = BitsPerSecond(rate);
        self
    }

    /// Typical mains draw [W].
    fn draws(mut self, watts: f64) -> Self {
        self.draw = Watts(watts);
        self
    }

    /// Takes power over its data cable: class, worst draw [W].
    fn powered(mut self, class: u8, worst_draw: f64) -> Self {
        self.poe = Some(Poe { class, worst_draw: Watts(worst_draw) });
        self.cites_poe()
    }

    /// Gives power over data cables: ports, highest class, budget [W].
    fn powers(mut self, ports: u32, class: u8, budget: f64) -> Self {
        self.poe_supply = Some(PoeSupply { ports, class, budget: Watts(budget) });
        self.cites_poe()
    }

    fn cites_poe(mut self) -> Self {
        self.source = Source::new(
            SourceKind::GenericFigure,
            "generic figure; power class as IEEE 802.3-2022 clauses 33 and 145 define it",
        )
        .from_memory();
        self
    }

    /// Mean time between failures [h] and the factor by which it may be off.
    fn fails_every(mut self, mtbf_hours: f64, factor: f64) -> Self {
        self.failure = Some(Failure {
            mtbf: Seconds(mtbf_hours * 3600.0),
            mttr: Seconds(REPLACEMENT_HOURS * 3600.0),
            factor,
            source: Source::generic().from_memory(),
        });
        self
    }

    fn with_segments(mut self) -> Self {
        self.segments = true;
        self
    }

    fn mountable(mut self) -> Self {
        self.mountable = true;
        self
    }
}

/// Time to buy and fit another one [h] (generic figure: a shop or a delivery on the third day).
const REPLACEMENT_HOURS: f64 = 48.0;
/// Mean time between failures of a box with a fan-less mains adapter and much software [h] (generic figure: one in
/// nine fails in a year, counting its adapter).
const BOX_MTBF: f64 = 75_000.0;
/// The same of a simple switch or an access point fed over its cable [h] (generic figure).
const SIMPLE_MTBF: f64 = 150_000.0;
/// Factor by which these figures may be off either way (generic figure: field reports differ by about this much).
const SPREAD: f64 = 3.0;
