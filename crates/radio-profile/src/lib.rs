//! What a radio is: bands, streams, widths, power, antenna gain, noise figure. It does not know who owns it.

pub mod generic;
mod validate;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use units::{Db, Dbm, Hertz};

/// A Wi-Fi band.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
pub enum Band {
    /// 2 400 to 2 500 MHz.
    #[serde(rename = "2.4")]
    Ghz2,
    /// 5 150 to 5 895 MHz.
    #[serde(rename = "5")]
    Ghz5,
    /// 5 925 to 7 125 MHz.
    #[serde(rename = "6")]
    Ghz6,
}

impl Band {
    /// All bands, lowest first.
    pub const ALL: [Band; 3] = [Band::Ghz2, Band::Ghz5, Band::Ghz6];

    /// Short name: `2.4`, `5` or `6`.
    #[must_use]
    pub const fn label(self) -> &'static str {
        match self {
            Band::Ghz2 => "2.4",
            Band::Ghz5 => "5",
            Band::Ghz6 => "6",
        }
    }

    /// Position in [`Band::ALL`].
    #[must_use]
    pub const fn index(self) -> usize {
        self as usize
    }
}

/// An 802.11 generation, oldest first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
pub enum Generation {
    /// 802.11n, HT.
    #[serde(rename = "802.11n")]
    N,
    /// 802.11ac, VHT.
    #[serde(rename = "802.11ac")]
    Ac,
    /// 802.11ax, HE.
    #[serde(rename = "802.11ax")]
    Ax,
    /// 802.11be, EHT.
    #[serde(rename = "802.11be")]
    Be,
}

/// What a radio can do in one band.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct BandRadio {
    /// The band.
    pub band: Band,
    /// Spatial streams.
    pub streams: u8,
    /// Widest channel.
    pub max_width: Hertz,
    /// Conducted power summed over its chains.
    pub tx_power: Dbm,
    /// Antenna gain over isotropic, mean over the directions in use, or of the strongest direction of a pattern [dBi].
    pub antenna_gain: Db,
    /// Receiver noise figure.
    pub noise_figure: Db,
}

/// A radio or a set of radios that work together.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct RadioProfile {
    /// Newest 802.11 generation that it speaks.
    pub generation: Generation,
    /// Its bands.
    pub bands: Vec<BandRadio>,
    /// True if all bands work at the same time.
    #[serde(default)]
    pub concurrent: bool,
    /// What its antennas send into which direction.
    #[serde(default, skip_serializing_if = "AntennaPattern::is_even")]
    pub pattern: AntennaPattern,
    /// Whether it uses several bands for one association (802.11be).
    #[serde(default, skip_serializing_if = "MultiLink::is_none")]
    pub multi_link: MultiLink,
}

/// How a radio uses several bands for one association (IEEE 802.11be-2024, clause 35.3).
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum MultiLink {
    /// One band at a time, joined anew to change.
    #[default]
    None,
    /// Listens in all its bands and exchanges frames in one at a time (enhanced multi-link single radio, EMLSR).
    SingleRadio,
    /// Sends and receives in all its bands at once (simultaneous transmit and receive, STR).
    Simultaneous,
}

impl MultiLink {
    /// Whether it uses one band at a time only.
    #[must_use]
    pub fn is_none(&self) -> bool {
        *self == Self::None
    }
}

/// What antennas send into which direction.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum AntennaPattern {
    /// Alike into all directions in use: the antenna gain is their mean.
    #[default]
    Even,
    /// An upright half-wave dipole. The antenna gain is that broadside to it.
    HalfWaveDipole,
    /// A patch that looks away from the ceiling or wall that it hangs on. The antenna gain is that into its strongest
    /// direction.
    CeilingPatch,
    /// As measured, in CSV with the heading `azimuth_deg,elevation_deg,gain_dbi`. The antenna gain is that into its
    /// strongest direction.
    Measured(String),
}

impl AntennaPattern {
    /// Whether it is alike into all directions.
    #[must_use]
    pub fn is_even(&self) -> bool {
        *self == Self::Even
    }
}

impl RadioProfile {
    /// What it can do in a band, if anything.
    #[must_use]
    pub fn band(&self, band: Band) -> Option<&BandRadio> {
        self.bands.iter().find(|b| b.band == band)
    }
}
