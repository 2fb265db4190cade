//! What a cable or cord is: its core, its jacket and how thick it is. What it carries is not computed here.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use units::Metres;

/// Category of a twisted-pair cable (TIA-568 name; ISO/IEC 11801 has classes D, E, EA and I for channels of them).
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Category {
    /// Category 5e, to 100 MHz.
    Cat5e,
    /// Category 6, to 250 MHz.
    Cat6,
    /// Category 6A, to 500 MHz.
    Cat6a,
    /// Category 8, to 2000 MHz, over short channels only.
    Cat8,
}

impl Category {
    /// Its name for people.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Category::Cat5e => "category 5e",
            Category::Cat6 => "category 6",
            Category::Cat6a => "category 6A",
            Category::Cat8 => "category 8",
        }
    }
}

/// What a conductor is made of.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Conductor {
    /// Copper throughout, as every cabling standard asks for.
    Copper,
    /// Aluminium with a skin of copper: no cabling standard permits it.
    CopperCladAluminium,
}

/// How the core of a cable is built.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(tag = "kind", rename_all = "kebab-case", deny_unknown_fields)]
pub enum CableCore {
    /// Four twisted pairs.
    TwistedPairs {
        /// Its category.
        category: Category,
        /// Gauge of the conductors [AWG]; a larger number is thinner.
        gauge_awg: u8,
        /// What the conductors are made of.
        conductor: Conductor,
        /// True if each conductor is made of several wires, as in cords.
        #[serde(default)]
        stranded: bool,
        /// True if there is a screen around the pairs or around each.
        #[serde(default)]
        screened: bool,
    },
    /// Glass fibres.
    Fibre {
        /// How many fibres there are.
        fibres: u32,
        /// True for single-mode fibre; else multi-mode.
        #[serde(default)]
        single_mode: bool,
    },
}

/// Reaction to fire by EN 13501-6, best first; it is printed on cables sold in the European Union and Great Britain.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Euroclass {
    /// B2ca.
    B2ca,
    /// Cca.
    Cca,
    /// Dca.
    Dca,
    /// Eca.
    Eca,
    /// Fca: no more is known than that it failed Eca, or it was not tested.
    Fca,
}

/// Fire listing of communication cables in the United States' and Canada's electrical codes, best first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum FireListing {
    /// CMP: for spaces that air is moved through (plenums).
    Cmp,
    /// CMR: for shafts from floor to floor.
    Cmr,
    /// CM or CMG: for general use.
    Cm,
    /// CMX: thin cable in dwellings, and outdoors where it says so.
    Cmx,
}

/// What a cable's jacket is fit for.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Jacket {
    /// Reaction to fire by EN 13501-6; unknown if absent.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub euroclass: Option<Euroclass>,
    /// Fire listing of North America; unknown or none if absent.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub listing: Option<FireListing>,
    /// Bears sun and frost.
    #[serde(default)]
    pub sunlight: bool,
    /// Bears standing water: gel-filled or with swelling tape.
    #[serde(default)]
    pub water: bool,
    /// May lie in the ground without a pipe.
    #[serde(default)]
    pub burial: bool,
}

/// What a cable or cord is.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct CableSpec {
    /// Its core.
    pub core: CableCore,
    /// Outer diameter.
    pub outer_diameter: Metres,
    /// Its jacket.
    #[serde(default)]
    pub jacket: Jacket,
    /// Length of one piece, if it is sold by the piece as cords are.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub piece_length: Option<Metres>,
}

impl CableSpec {
    /// True if it is glass fibre.
    #[must_use]
    pub const fn is_fibre(&self) -> bool {
        matches!(self.core, CableCore::Fibre { .. })
    }
}
