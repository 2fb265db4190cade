//! What the wires are judged by: surroundings, habits and the local code, each of which a caller may replace.

use equipment::{Euroclass, FireListing, id};
use findings::Id;
use network::wiring::Way;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use units::Metres;

use crate::poe::bundle::Surrounding;

/// Length low, likely and high [m].
pub type Span = [f64; 3];

/// What the wires are judged by.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Terms {
    /// The equipment part that cords are.
    pub cord: Id,
    /// Length of each cord where its part does not say it: shortest, likely, longest [m].
    pub cord_length: Span,
    /// Temperatures on a hot day.
    pub ambient: Ambient,
    /// Thickness of insulation where cables lie in it.
    pub insulation: Metres,
    /// What the local code asks of jackets.
    pub jackets: JacketCode,
    /// True if air is moved through the space above hung ceilings.
    pub ceiling_moves_air: bool,
    /// Share of ports that is to stay free.
    pub spare_ports: f64,
    /// Highest sum of port rates over the rate of the uplink, for stores and cameras.
    pub most_oversubscription: f64,
    /// Efficiency of a PoE supply from mains to port, 0 to 1.
    pub supply_efficiency: f64,
    /// The panel or rack.
    pub panel: PanelTerms,
}

impl Default for Terms {
    fn default() -> Self {
        Self {
            cord: Id::from_label(id::CORD),
            cord_length: [0.5, 2.0, 5.0],
            ambient: Ambient::default(),
            insulation: Metres(0.1),
            jackets: JacketCode::Unknown,
            ceiling_moves_air: false,
            spare_ports: 0.25,
            most_oversubscription: 4.0,
            supply_efficiency: 0.9,
            panel: PanelTerms::default(),
        }
    }
}

/// Temperatures on a hot day [°C] (generic figures: what the trade plans for; an attic under a dark roof reaches 60 °C).
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Ambient {
    /// In rooms, walls and floors.
    pub indoors: f64,
    /// Under the roof.
    pub attic: f64,
    /// Under the ground floor.
    pub crawl_space: f64,
    /// On the outside of the building, in the sun.
    pub facade: f64,
    /// In the ground.
    pub ground: f64,
}

impl Default for Ambient {
    fn default() -> Self {
        Self { indoors: 25.0, attic: 60.0, crawl_space: 25.0, facade: 50.0, ground: 20.0 }
    }
}

impl Ambient {
    /// The temperature around a cable on its way [°C].
    #[must_use]
    pub const fn of(&self, way: Way) -> f64 {
        match way {
            Way::Attic => self.attic,
            Way::CrawlSpace => self.crawl_space,
            Way::Facade => self.facade,
            Way::Buried => self.ground,
            _ => self.indoors,
        }
    }
}

/// What may surround a bundle on its way: usually, and at worst.
#[must_use]
pub(crate) const fn surroundings(way: Way, insulation: Metres) -> [Surrounding; 2] {
    let wool = Surrounding::Insulation { thickness: insulation };
    match way {
        Way::Conduit | Way::Raceway | Way::Chase | Way::Riser | Way::Buried => [Surrounding::Pipe; 2],
        Way::StudBay | Way::JoistBay | Way::AcrossJoists | Way::Attic | Way::Existing => [Surrounding::Air, wool],
        Way::CeilingVoid
        | Way::CrawlSpace
        | Way::OpenCeiling
        | Way::Facade
        | Way::Open
        | Way::Through
        | Way::UnderDoor => [Surrounding::Air; 2],
    }
}

/// What the local code asks of jackets in dwellings. The local code and the inspector decide; this only points at what to ask.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(tag = "kind", rename_all = "kebab-case", deny_unknown_fields)]
pub enum JacketCode {
    /// Fire listings by place (NFPA 70 article 800 and the Canadian code, from memory).
    NorthAmerica {
        /// Least listing in shafts from floor to floor.
        riser: FireListing,
        /// Least listing elsewhere indoors.
        indoors: FireListing,
    },
    /// Reaction to fire by EN 13501-6.
    Europe {
        /// Least class indoors.
        indoors: Euroclass,
    },
    /// Not known: only what sun, water and ground ask is judged.
    Unknown,
}

impl JacketCode {
    /// The usual code of a country, two letters of ISO 3166-1.
    ///
    /// North America: riser cable in shafts and CMX in dwellings otherwise. European Union, Great Britain and their neighbours: at
    /// least Eca, since below it nothing is known; several countries ask for more (from memory).
    #[must_use]
    pub fn for_country(country: &str) -> Self {
        const EUROPE: [&str; 32] = [
            "AT", "BE", "BG", "CH", "CY", "CZ", "DE", "DK", "EE", "ES", "FI", "FR", "GB", "GR", "HR", "HU", "IE", "IS",
            "IT", "LI", "LT", "LU", "LV", "MT", "NL", "NO", "PL", "PT", "RO", "SE", "SI", "SK",
        ];
        match country {
            "US" | "CA" => Self::NorthAmerica { riser: FireListing::Cmr, indoors: FireListing::Cmx },
            other if EUROPE.contains(&other) => Self::Europe { indoors: Euroclass::Eca },
            _ => Self::Unknown,
        }
    }

    /// How far a cable that is only fit for outdoors may run indoors [m]: 15 m from the point of entry in North America (NFPA 70,
    /// 800.48), 2 m under EN 50174-2 (both from memory).
    #[must_use]
    pub const fn outdoor_cable_indoors(self) -> f64 {
        match self {
            JacketCode::NorthAmerica { .. } => 15.0,
            JacketCode::Europe { .. } | JacketCode::Unknown => 2.0,
        }
    }
}

/// A panel or rack and the air around it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PanelTerms {
    /// Surface through which it gives off heat [m²]: front and sides; the back stands in or at a wall.
    pub surface_m2: f64,
    /// Heat that passes its walls [W/(m²·K)]: air on both sides of thin sheet.
    pub passes: f64,
    /// Air that flows through it [m³/s]; none behind a closed door.
    pub air_flow: f64,
    /// Most that it may be warmer inside than the room [K].
    pub most_rise: f64,
    /// Units of height that it has.
    pub units: u32,
    /// Sockets that it has.
    pub sockets: u32,
}

impl Default for PanelTerms {
    /// A structured-wiring panel of 0.71 m by 0.36 m and 0.10 m deep, let into a wall (generic figure): its front is free, its
    /// sides are half; 4 W/(m²·K) for thin sheet between still air and still air (EN ISO 6946 surface resistances). Equipment
    /// bears 40 °C, a warm room has 25 °C. Two duplex outlets (common practice).
    fn default() -> Self {
        Self { surface_m2: 0.36, passes: 4.0, air_flow: 0.0, most_rise: 15.0, units: 10, sockets: 4 }
    }
}

/// Why terms cannot be used; all of it.
#[must_use]
pub fn problems(terms: &Terms) -> Vec<String> {
    let mut problems = Vec::new();
    let mut within = |name: &str, value: f64, low: f64, high: f64| {
        if !(low..=high).contains(&value) {
            problems.push(format!("`{name}` is {value}; it must be {low} to {high}"));
        }
    };
    let [low, likely, high] = terms.cord_length;
    within("cord_length", low, 0.0, 100.0);
    within("cord_length", likely, low, 100.0);
    within("cord_length", high, likely, 100.0);
    let ambient = &terms.ambient;
    for (name, value) in [
        ("ambient.indoors", ambient.indoors),
        ("ambient.attic", ambient.attic),
        ("ambient.crawl_space", ambient.crawl_space),
        ("ambient.facade", ambient.facade),
        ("ambient.ground", ambient.ground),
    ] {
        within(name, value, -40.0, 80.0);
    }
    within("insulation", terms.insulation.value(), 0.0, 2.0);
    within("spare_ports", terms.spare_ports, 0.0, 10.0);
    within("most_oversubscription", terms.most_oversubscription, 1.0, 1000.0);
    within("supply_efficiency", terms.supply_efficiency, 0.3, 1.0);
    within("panel.surface_m2", terms.panel.surface_m2, 0.0, 100.0);
    within("panel.passes", terms.panel.passes, 0.0, 100.0);
    within("panel.air_flow", terms.panel.air_flow, 0.0, 10.0);
    within("panel.most_rise", terms.panel.most_rise, 0.0, 60.0);
    problems
}
