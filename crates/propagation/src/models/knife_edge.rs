//! ITU-R P.526: loss at a single knife edge.

use units::Db;

/// Loss over free space at an absorbing half plane, by the Recommendation's approximation.
///
/// # Model
/// ITU-R P.526-15 section 4.1 (clause from memory): `J(ν) = 6.9 + 20 log₁₀(√((ν − 0.1)² + 1) + ν − 0.1)` dB, with
/// `ν = h √(2 (d₁ + d₂)/(λ d₁ d₂))`, the edge `h` above the straight line. For comparison; paths use the coefficients in
/// [`diffraction`](crate::diffraction), which know angles and polarisation.
///
/// # Validity
/// Above −0.78, within 0.17 dB of the exact Fresnel integrals; below it the loss is taken as none. NaN for NaN.
///
/// # Example
/// ```
/// assert!((propagation::models::knife_edge_loss(0.0).0 - 6.0329).abs() < 1e-4);
/// ```
#[must_use]
pub fn knife_edge_loss(nu: f64) -> Db {
    if nu <= -0.78 {
        return Db(0.0);
    }
    let x = nu - 0.1;
    Db(6.9 + 20.0 * (x.hypot(1.0) + x).log10())
}
