//! Path loss in free space.

use units::{Db, Hertz, Metres};

use crate::slab::SPEED_OF_LIGHT;

/// Nearest distance at which path gain is evaluated \[m\]; nearer points are taken to be this far apart.
///
/// Nearer, two antennas of a few centimetres are not in each other's far field. A stated choice, no source.
pub const MIN_DISTANCE: f64 = 0.1;

/// Free-space loss between isotropic antennas, as a positive number.
///
/// # Model
/// `20 log₁₀(4πd/λ)`, ITU-R P.525-4 equation (3) with its exact constant (the Recommendation's `32.4 + 20 log f + 20 log d`
/// is rounded by 0.048 dB).
///
/// # Validity
/// Far field; nearer than [`MIN_DISTANCE`] it stays as at that distance. NaN if the distance or the frequency is no number.
///
/// # Example
/// ```
/// use units::{Hertz, Metres};
/// let loss = propagation::free_space_loss(Metres(10.0), Hertz::from_mhz(5250.0));
/// assert!((loss.0 - 66.8510).abs() < 1e-4);
/// ```
#[must_use]
pub fn free_space_loss(distance: Metres, frequency: Hertz) -> Db {
    let wavelength = SPEED_OF_LIGHT / frequency.0;
    // Not `max`, which would take NaN for near.
    let distance = if distance.0 < MIN_DISTANCE { MIN_DISTANCE } else { distance.0 };
    Db(20.0 * (4.0 * std::f64::consts::PI * distance / wavelength).log10())
}
