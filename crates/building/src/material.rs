//! What walls, floors and doors are made of.

use findings::{Id, Source};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use units::{Hertz, Metres};

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
    /// A square mesh of metal wires that are joined where they cross, such as expanded metal lath or wire mesh in render.
    Mesh {
        /// Distance from wire to wire, centre to centre [m].
        pitch: f64,
        /// Radius of a wire [m].
        radius: f64,
    },
    /// A good conductor, opaque at any building thickness.
    Metal,
}

/// Why a material has no bulk constants to give at a frequency.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum OutOfRange {
    /// The frequency is outside the range over which the constants were measured.
    #[error(
        "its constants hold from {min_ghz} to {max_ghz} GHz and {asked_ghz} GHz was asked for; \
         use a material whose constants hold there"
    )]
    Frequency {
        /// The frequency asked for [GHz].
        asked_ghz: f64,
        /// Lowest frequency at which the constants hold [GHz].
        min_ghz: f64,
        /// Highest frequency at which the constants hold [GHz].
        max_ghz: f64,
    },
    /// A sheet has a surface resistance and no permittivity of a bulk.
    #[error("it is a sheet of {ohm_per_square} Ω per square and has no permittivity; treat it as a shunt resistance")]
    Sheet {
        /// Its surface resistance [Ω per square].
        ohm_per_square: f64,
    },
    /// A mesh has a reactance as a sheet and no permittivity of a bulk.
    #[error(
        "it is a mesh of wires of {radius} m radius every {pitch} m and has no permittivity; treat it as a shunt reactance"
    )]
    Mesh {
        /// Distance from wire to wire [m].
        pitch: f64,
        /// Radius of a wire [m].
        radius: f64,
    },
}

/// Speed of light in vacuum [m/s], exact by the SI.
const SPEED_OF_LIGHT: f64 = 299_792_458.0;

/// Conductivity of metal [S/m], ITU-R P.2040-4 Table 3.
pub const METAL_CONDUCTIVITY: f64 = 1e7;

impl Electrical {
    /// Real part of the relative permittivity and conductivity [S/m] at a frequency.
    ///
    /// # Model
    /// ITU-R P.2040-4 section 2.1.4: `a f^b` and `c f^d` with `f` in GHz. Metal is 1 and 1e7 S/m at every frequency.
    ///
    /// # Validity
    /// From `min_ghz` to `max_ghz`, both included; nothing is extrapolated.
    ///
    /// # Errors
    /// [`OutOfRange`] if the frequency is outside the range (or not a number), or if this is a sheet or a mesh.
    ///
    /// # Example
    /// ```
    /// let concrete = building::library::material("concrete").unwrap();
    /// let (permittivity, conductivity) = concrete.electrical.permittivity(units::Hertz::from_ghz(1.0)).unwrap();
    /// assert_eq!((permittivity, conductivity), (5.24, 0.0462));
    /// ```
    pub fn permittivity(&self, frequency: Hertz) -> Result<(f64, f64), OutOfRange> {
        self.check(frequency)?;
        let f = frequency.ghz();
        match *self {
            Self::Dielectric { a, b, c, d, .. } => Ok((a * f.powf(b), c * f.powf(d))),
            Self::Metal => Ok((1.0, METAL_CONDUCTIVITY)),
            Self::Sheet { ohm_per_square } => Err(OutOfRange::Sheet { ohm_per_square }),
            Self::Mesh { pitch, radius } => Err(OutOfRange::Mesh { pitch, radius }),
        }
    }

    /// Whether the constants hold at a frequency; sheets and metal hold at all that are used in homes, a mesh up to where its
    /// pitch is a wavelength in vacuum: from there on it throws waves into other directions as well, and no sheet does.
    ///
    /// # Errors
    /// [`OutOfRange::Frequency`] if they do not.
    pub fn check(&self, frequency: Hertz) -> Result<(), OutOfRange> {
        let (min_ghz, max_ghz) = match *self {
            Self::Dielectric { min_ghz, max_ghz, .. } => (min_ghz, max_ghz),
            Self::Mesh { pitch, .. } => (0.0, SPEED_OF_LIGHT / pitch / 1e9),
            Self::Sheet { .. } | Self::Metal => return Ok(()),
        };
        let asked_ghz = frequency.ghz();
        if asked_ghz >= min_ghz && asked_ghz <= max_ghz {
            Ok(())
        } else {
            Err(OutOfRange::Frequency { asked_ghz, min_ghz, max_ghz })
        }
    }
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
