//! Ways of computing a link's loss as values behind one trait, so that they can be laid side by side.
//!
//! The statistical ones know a link by its length, its frequency and what the straight line crosses; [`RayModel`] knows
//! the home. They are here for comparison: no design rests on a statistical model.
//!
//! - [`FreeSpace`]: ITU-R P.525
//! - [`P1238SiteSpecific`], [`P1238SiteGeneral`]: ITU-R P.1238, both forms
//! - [`Cost231MultiWall`]: COST 231
//! - [`TgaxResidential`]: IEEE 802.11-14/0980
//! - [`RayModel`]: this crate's paths
//! - [`entry_loss`]: ITU-R P.2109, from outdoors in
//! - [`knife_edge_loss`]: ITU-R P.526
//!
//! Outside of its range a model refuses; nothing is extrapolated.

mod cost231;
mod entry;
mod knife_edge;
mod link;
mod p1238;
mod ray;
mod residential;

use findings::{Id, Source};
use units::{Db, Hertz, Metres};

pub use cost231::Cost231MultiWall;
pub use entry::{BuildingClass, entry_loss};
pub use knife_edge::knife_edge_loss;
pub use link::{HEAVY_FROM, Link, ONE_FLOOR, Walls};
pub use p1238::{Dwelling, P1238SiteGeneral, P1238SiteSpecific, Space};
pub use ray::{FreeSpace, RayModel};
pub use residential::TgaxResidential;

/// What a model says of a link between isotropic antennas.
#[derive(Clone, Debug, PartialEq)]
pub struct Loss {
    /// Median of the basic transmission loss, positive.
    pub median: Db,
    /// Standard deviation about it, log-normal, if the model gives one.
    pub spread: Option<Db>,
    /// Where the figures come from.
    pub source: Source,
}

/// Over what a model holds, both ends included.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Validity {
    /// Frequencies.
    pub frequency: [Hertz; 2],
    /// Lengths of the straight line.
    pub distance: [Metres; 2],
    /// Most floors that it may cross; no limit if none is stated.
    pub most_floors: Option<usize>,
}

/// A way of computing a link's loss.
pub trait LossModel {
    /// What it is called.
    fn name(&self) -> &'static str;

    /// Over what it holds, for a link with the sight and the frequency of this one.
    fn validity(&self, link: &Link) -> Validity;

    /// Loss of a link.
    ///
    /// # Errors
    /// [`ModelError`] if the model does not hold for the link.
    fn loss(&self, link: &Link) -> Result<Loss, ModelError>;
}

/// Why a model says nothing of a link.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum ModelError {
    /// Outside the range over which the model holds.
    #[error("{model}: the {what} is {value} {unit}, but it holds from {min} to {max} {unit}; use another model there")]
    Range {
        /// The model.
        model: &'static str,
        /// Which quantity.
        what: &'static str,
        /// Its value.
        value: f64,
        /// Lower end of the range.
        min: f64,
        /// Upper end of the range.
        max: f64,
        /// Unit of all three.
        unit: &'static str,
    },
    /// A wall that the model has no loss for.
    #[error(
        "{model}: `{element}` holds metal, for which it has no class of wall; use a model that knows what walls are made of"
    )]
    NoClass {
        /// The model.
        model: &'static str,
        /// The wall or opening.
        element: Id,
    },
    /// The home was not made ready for this frequency.
    #[error("{model}: {ghz} GHz is the centre of none of the scene's carriers; make the scene with that carrier")]
    NoCarrier {
        /// The model.
        model: &'static str,
        /// The frequency \[GHz\].
        ghz: f64,
    },
    /// A place or a frequency is not a finite number.
    #[error("a link's ends and frequency must be finite numbers, but its {what} is {value}")]
    NotFinite {
        /// Which.
        what: &'static str,
        /// Its value.
        value: f64,
    },
}

impl Validity {
    /// Refuses a link outside of the range.
    fn check(&self, model: &'static str, link: &Link) -> Result<(), ModelError> {
        link.check()?;
        let [low, high] = self.frequency.map(Hertz::ghz);
        within(model, "frequency", link.frequency.ghz(), (low, high), "GHz")?;
        within(model, "distance", link.distance().0, (self.distance[0].0, self.distance[1].0), "m")?;
        let most = self.most_floors.map_or(f64::INFINITY, |floors| floors as f64);
        within(model, "number of floors", link.floors as f64, (0.0, most), "floors")
    }
}

fn within(
    model: &'static str,
    what: &'static str,
    value: f64,
    (min, max): (f64, f64),
    unit: &'static str,
) -> Result<(), ModelError> {
    if value >= min && value <= max {
        return Ok(());
    }
    Err(ModelError::Range { model, what, value, min, max, unit })
}

/// Largest distance that a model without an upper limit of its own is asked for \[m\]: farther is no home. A stated
/// choice, no source.
const FARTHEST: f64 = 1000.0;

/// A row that is given for one frequency serves within a tenth of it, and a row for a band within a tenth beyond its ends:
/// `20 log₁₀ 1.1` is 0.8 dB. A stated choice, no source.
const NEAR_A_ROW: f64 = 0.1;

/// What a row for a band serves, in whole megahertz.
fn near_a_row(low_ghz: f64, high_ghz: f64) -> [Hertz; 2] {
    [low_ghz * (1.0 - NEAR_A_ROW), high_ghz * (1.0 + NEAR_A_ROW)].map(|ghz| Hertz::from_mhz((ghz * 1e3).round()))
}

/// `k^((k + 2)/(k + 1) − b)`: how floors count, COST 231 with `b = 0.46`, taken over by IEEE 802.11-14/0980.
fn floor_factor(floors: usize, b: f64) -> f64 {
    let k = floors as f64;
    if floors == 0 { 0.0 } else { k.powf((k + 2.0) / (k + 1.0) - b) }
}
