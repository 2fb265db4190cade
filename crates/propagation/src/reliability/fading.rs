//! How far small-scale fading can pull a channel's power below its local mean.

use findings::Source;
use units::{Db, Hertz, Seconds};

/// Root-mean-square delay spread of a home: 15 ns.
///
/// IEEE 802.11-03/940r4 (TGn channel models), model B, residential; kept by the 802.11ac and ax models. From memory.
pub const DELAY_SPREAD: Seconds = Seconds(15e-9);

/// Probability with which the margin suffices.
pub const CONFIDENCE: f64 = 0.95;

/// How many independently fading parts a channel is worth, at least 1.
///
/// # Model
/// Rayleigh fading with an exponential delay profile of spread τ: amplitudes `Δf` apart correlate as
/// `1/(1 + j2πτΔf)`. The power averaged over a width `W` then has a variance over squared mean of
/// `1/M = (2/W²) ∫₀ᵂ (W − x)/(1 + (2πτx)²) dx = 2[atan(u)/u − ln(1 + u²)/(2u²)]` with `u = 2πτW`.
#[must_use]
pub fn diversity_branches(width: Hertz, delay_spread: Seconds) -> f64 {
    let u = std::f64::consts::TAU * delay_spread.0 * width.0;
    if !(u.is_finite() && u > 1e-3) {
        return 1.0;
    }
    1.0 / (2.0 * (u.atan() / u - (u * u).ln_1p() / (2.0 * u * u)))
}

/// What a link must have above its need so that small-scale fading leaves enough with [`CONFIDENCE`] probability.
///
/// # Model
/// The channel's mean power is taken as gamma distributed with shape `M` of [`diversity_branches`] (it has the right
/// mean and variance, and is exact for a single frequency); the margin is its 5 % quantile below the mean. No direct
/// ray stronger than the others and no second antenna are counted, so that the margin errs on the safe side.
///
/// # Validity
/// A width of zero or less gives the single-frequency Rayleigh value, 12.9 dB.
///
/// # Example
/// ```
/// use propagation::reliability::fading_margin;
/// use units::Hertz;
/// let (narrow, _) = fading_margin(Hertz::from_mhz(20.0));
/// let (wide, _) = fading_margin(Hertz::from_mhz(160.0));
/// assert!(narrow.0 > 9.0 && wide.0 < 5.0);
/// ```
#[must_use]
pub fn fading_margin(width: Hertz) -> (Db, Source) {
    let shape = diversity_branches(width, DELAY_SPREAD);
    let quantile = gamma_quantile(shape, 1.0 - CONFIDENCE) / shape;
    let source =
        Source::standard("IEEE 802.11-03/940r4 model B, delay spread 15 ns; mean power over the channel, 5 % quantile");
    (Db(-10.0 * quantile.log10()), source.from_memory())
}

/// Value below which a gamma variable of a shape (1 or more) lies with a probability; by bisection.
fn gamma_quantile(shape: f64, probability: f64) -> f64 {
    let (mut low, mut high) = (0.0, shape.max(1.0));
    for _ in 0..200 {
        let middle = 0.5 * (low + high);
        if lower_gamma(shape, middle) < probability {
            low = middle;
        } else {
            high = middle;
        }
    }
    0.5 * (low + high)
}

/// Regularised lower incomplete gamma function by its power series, for `x` not far above the shape.
fn lower_gamma(shape: f64, x: f64) -> f64 {
    if x <= 0.0 {
        return 0.0;
    }
    let mut term = 1.0 / shape;
    let mut sum = term;
    let mut n = shape;
    for _ in 0..10_000 {
        n += 1.0;
        term *= x / n;
        sum += term;
        if term < sum * 1e-16 {
            break;
        }
    }
    sum * (shape * x.ln() - x - ln_gamma(shape)).exp()
}

/// Logarithm of the gamma function for positive arguments: Stirling's series after moving the argument above 10.
fn ln_gamma(x: f64) -> f64 {
    let mut shift = 0.0;
    let mut z = x;
    while z < 10.0 {
        shift += z.ln();
        z += 1.0;
    }
    let z2 = z * z;
    let series =
        1.0 / (12.0 * z) - 1.0 / (360.0 * z * z2) + 1.0 / (1260.0 * z * z2 * z2) - 1.0 / (1680.0 * z * z2 * z2 * z2);
    (z - 0.5) * z.ln() - z + 0.5 * std::f64::consts::TAU.ln() + series - shift
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn gamma_function_at_known_places() {
        assert!((ln_gamma(0.5) - std::f64::consts::PI.sqrt().ln()).abs() < 1e-11);
        assert!((ln_gamma(5.0) - 24f64.ln()).abs() < 1e-11);
        // Shape 1 is the exponential distribution, shape 2 that of a sum of two.
        assert!((lower_gamma(1.0, 0.7) - (1.0 - (-0.7f64).exp())).abs() < 1e-12);
        assert!((lower_gamma(2.0, 0.7) - (1.0 - 1.7 * (-0.7f64).exp())).abs() < 1e-12);
    }

    #[test]
    fn one_frequency_is_rayleigh() {
        let (margin, _) = fading_margin(Hertz(0.0));
        assert!((margin.0 + 10.0 * (-(0.95f64.ln())).log10()).abs() < 1e-9);
    }

    #[test]
    fn variance_integral_matches_its_sum() {
        let (width, spread) = (80e6, 15e-9);
        let steps = 200_000;
        let mut sum = 0.0;
        for i in 0..steps {
            let x = width * (f64::from(i) + 0.5) / f64::from(steps);
            sum += (width - x) / (1.0 + (std::f64::consts::TAU * spread * x).powi(2));
        }
        let inverse = 2.0 / (width * width) * sum * width / f64::from(steps);
        assert!((diversity_branches(Hertz(width), Seconds(spread)) * inverse - 1.0).abs() < 1e-6);
    }
}
