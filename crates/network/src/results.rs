//! Plain results that one engine hands to another.

use findings::{Figure, Finding, Id};
use radio_profile::Band;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use units::{BitsPerSecond, Db, Dbm, Metres, Money, Point2, Point3, Seconds, Watts};

use crate::{Design, Family};

/// Path gains from one site to the cells of one storey in one band.
///
/// Cell `(row, column)` has its centre at `origin + ((column + ½) cell, (row + ½) cell)`; row 0 is the lowest `y`.
#[derive(Clone, Debug, PartialEq)]
pub struct GainMap {
    /// The storey.
    pub storey: Id,
    /// Lower left corner of the grid [m].
    pub origin: Point2,
    /// Side of a square cell [m].
    pub cell: f64,
    /// Number of rows (along y).
    pub rows: usize,
    /// Number of columns (along x).
    pub columns: usize,
    /// Height of the cells' centres above the building's zero level [m].
    pub z: f64,
    /// Local-mean path gain between isotropic antennas [dB], `[rows(y), columns(x)]`, negative; `-inf` if nothing arrives.
    pub gain_db: Vec<f32>,
}

/// What a wireless link carries.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct LinkRate {
    /// The device, or the far part of a radio link.
    pub to: Id,
    /// The part that serves it.
    pub from: Id,
    /// The band.
    pub band: Band,
    /// Local-mean level at the far end.
    pub level_down: Dbm,
    /// Local-mean level at the near end.
    pub level_up: Dbm,
    /// What it carries towards the far end, alone on the channel.
    pub down: BitsPerSecond,
    /// What it carries from the far end, alone on the channel.
    pub up: BitsPerSecond,
}

/// How a cable runs.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Route {
    /// The link that the cable is.
    pub link: Id,
    /// Its length with drops and loops.
    pub length: Metres,
    /// Walls and floors that it passes.
    pub penetrations: u32,
    /// True while the length is an estimate.
    pub estimate: bool,
}

/// One line of a take-off: what is bought, how much of it, and what it costs.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct TakeOffLine {
    /// The equipment part.
    pub part: Id,
    /// Name for people.
    pub name: String,
    /// How much: pieces, or metres of cable.
    pub quantity: f64,
    /// `piece` or `m`.
    pub unit: String,
    /// Price of one; unknown if the list has none.
    pub unit_price: Option<Money>,
    /// Price of all.
    pub price: Option<Money>,
}

/// Work to be done.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct LabourLine {
    /// What is done.
    pub task: String,
    /// How many times.
    pub quantity: f64,
    /// Time in all.
    pub time: Seconds,
}

/// What a part draws.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Draw {
    /// The placed part.
    pub part: Id,
    /// Its draw at the supply.
    pub power: Watts,
}

/// How a radio level came about, leg by leg.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Crossing {
    /// The wall, opening, slab or object crossed.
    pub element: Id,
    /// What it is made of.
    pub assembly: Id,
    /// Where the way meets it [m].
    pub at: Point3,
    /// Angle of incidence from the normal [°].
    pub angle_deg: f64,
    /// Loss.
    pub loss: Db,
}

/// A piece of work of a design, and what it needs care with. The local code and licensed trades come first.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Caution {
    /// The work.
    pub work: String,
    /// What to do and not to do.
    pub text: String,
}

/// A design with all that was computed of it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct DesignOption {
    /// Hash of the design's content.
    pub id: Id,
    /// Its family.
    pub family: Family,
    /// The design.
    pub design: Design,
    /// Its figures.
    pub figures: Vec<Figure>,
    /// Its findings.
    pub findings: Vec<Finding>,
    /// What its work needs care with.
    #[serde(default)]
    pub cautions: Vec<Caution>,
    /// How far it may be from the best of its family, where a bound is known.
    pub gap: Option<Gap>,
    /// What it beats, and in which figures.
    pub beats: Vec<Comparison>,
    /// What beats it, and in which figures.
    pub beaten_by: Vec<Comparison>,
}

/// How far a found value may be from the best possible one.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Gap {
    /// The figure that was searched for.
    pub figure: String,
    /// The value found.
    pub found: f64,
    /// A bound that no design of the same kind can pass.
    pub bound: f64,
    /// How the bound was obtained.
    pub method: String,
}

/// How one option compares with another.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Comparison {
    /// The other option.
    pub option: Id,
    /// Figures in which the better one is better, with both values.
    pub figures: Vec<FigureDifference>,
}

/// One figure of two options.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct FigureDifference {
    /// The figure's id.
    pub figure: String,
    /// This option's value.
    pub this: f64,
    /// The other's value.
    pub other: f64,
    /// The unit.
    pub unit: String,
}

/// A family that was left out, and why.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Excluded {
    /// The family.
    pub family: Family,
    /// The computed reason.
    pub reason: String,
}

/// What `plan` returns.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Plan {
    /// What was assumed because the job does not say it.
    pub assumptions: Vec<String>,
    /// Options, best first.
    pub options: Vec<DesignOption>,
    /// Families left out.
    pub excluded: Vec<Excluded>,
}
