//! What walls, floors and doors are made of.

use findings::{Id, Source};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use units::Metres;

/// How a material answers to a radio wave.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(tag = "model", rename_all = "kebab-case", deny_unknown_fields)]
pub enum Electrical {
    /// ITU-R P.2040 section 2.1.4: relative permittivity `a f^b`, conductivity `c f^d` [S/m], `f` in GHz.
    Dielectric {
        /// Real part of the relative permittivity at 1 GHz.
        a: f64,
        /// Its exponent over frequency.
        b: f64,
        /// Conductivity at 1 GHz [S/m].
        c: f64,
        /// Its exponent over frequency.
        d: f64,
        /// Lowest frequency at which the constants hold [GHz].
        min_ghz: f64,
        /// Highest frequency at which the constants hold [GHz].
        max_ghz: f64,
    },
    /// A layer far thinner than its skin depth, such as foil or a low-emissivity coating [Ω per square].
    Sheet {
        /// Surface resistance [Ω per square].
        ohm_per_square: f64,
    },
    /// A good conductor, opaque at any building thickness.
    Metal,
}

/// A material with its source.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Material {
    /// Id used by layers.
    pub id: Id,
    /// Name for people.
    pub name: String,
    /// Its electrical constants.
    pub electrical: Electrical,
    /// Where they come from.
    pub source: Source,
}

/// Members in a framing layer: studs, joists or furring at a spacing; the layer's material fills the space between.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Framing {
    /// What the members are made of.
    pub material: Id,
    /// Distance from member to member, centre to centre.
    pub spacing: Metres,
    /// Width of a member's face.
    pub width: Metres,
}

/// One layer of an assembly.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Layer {
    /// What fills the layer, between the members if it is framed.
    pub material: Id,
    /// Its thickness.
    pub thickness: Metres,
    /// Its members, if it is a framing layer.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub framing: Option<Framing>,
}

/// A wall, floor, door or pane as layers: from the left of a wall's direction to its right, or from top to bottom.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Assembly {
    /// Id used by walls, slabs and openings.
    pub id: Id,
    /// Name for people.
    pub name: String,
    /// The layers in order.
    pub layers: Vec<Layer>,
    /// Where the build-up comes from.
    pub source: Source,
}

impl Assembly {
    /// Sum of the layers' thicknesses.
    #[must_use]
    pub fn thickness(&self) -> Metres {
        self.layers.iter().map(|l| l.thickness).sum()
    }
}
