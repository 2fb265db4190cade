//! ITU-R P.2109: what a building costs a signal on its way in, or out.

use units::{Db, Hertz};

use super::{ModelError, within};
use crate::reliability::quantile;

const NAME: &str = "ITU-R P.2109 building entry loss";

/// The two kinds of building that the Recommendation tells apart.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum BuildingClass {
    /// No metallised glass and no foil in walls.
    Traditional,
    /// Metallised glass, foil-backed panels, metal frames.
    ThermallyEfficient,
}

impl BuildingClass {
    /// r, s, t, u, v, w, x, y, z of Table 1.
    fn coefficients(self) -> [f64; 9] {
        match self {
            Self::Traditional => [12.64, 3.72, 0.96, 9.6, 2.0, 9.1, -3.0, 4.5, -2.0],
            Self::ThermallyEfficient => [28.19, -3.0, 8.48, 13.5, 3.8, 27.8, -2.9, 9.4, -2.1],
        }
    }
}

/// Building entry loss that is not exceeded with a probability, over all places inside a building of a class.
///
/// # Model
/// ITU-R P.2109-2, equation (1) and Table 1: two log-normal distributions added in power, their medians and deviations
/// polynomials in `log₁₀ f`; 0.212 dB for each degree of elevation at the façade. The constants as open implementations carry
/// them.
///
/// It is the loss of a signal from far outside against that at the façade, over whatever building of its class and any place in
/// it: more often a large one than a home, with more walls inside. The same holds for the way out.
///
/// # Units
/// `elevation_deg` above or below the horizon \[°\]; `probability` between 0 and 1.
///
/// # Validity
/// 0.08 to 100 GHz, −90° to 90°, probabilities from 1e-9 to 1 − 1e-9.
///
/// # Errors
/// [`ModelError::Range`] outside of that.
///
/// # Example
/// ```
/// use propagation::models::{BuildingClass, entry_loss};
/// let loss = entry_loss(BuildingClass::Traditional, units::Hertz::from_ghz(5.25), 0.0, 0.5).unwrap();
/// assert!((loss.0 - 16.3959).abs() < 1e-4);
/// ```
pub fn entry_loss(
    class: BuildingClass,
    frequency: Hertz,
    elevation_deg: f64,
    probability: f64,
) -> Result<Db, ModelError> {
    within(NAME, "frequency", frequency.ghz(), (0.08, 100.0), "GHz")?;
    within(NAME, "elevation", elevation_deg, (-90.0, 90.0), "°")?;
    within(NAME, "probability", probability, (1e-9, 1.0 - 1e-9), "(of 1)")?;
    let [r, s, t, u, v, w, x, y, z] = class.coefficients();
    let f = frequency.ghz().log10();
    let normal = quantile(probability);
    let horizontal = r + s * f + t * f * f;
    let a = normal * (u + v * f) + horizontal + 0.212 * elevation_deg.abs();
    let b = normal * (y + z * f) + w + x * f;
    let c = -3.0;
    let sum: f64 = [a, b, c].iter().map(|db| 10f64.powf(0.1 * db)).sum();
    Ok(Db(10.0 * sum.log10()))
}
