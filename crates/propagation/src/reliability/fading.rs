//! How far small-scale fading can pull a channel's power below its local mean.

use findings::Source;
use units::{Db, Hertz, Seconds};

use crate::quadrature::Quadrature;

/// Root-mean-square delay spread of a home: 15 ns.
///
/// IEEE 802.11-03/940r4 (TGn channel models), model B, residential; kept by the 802.11ac and ax models. From memory.
pub const DELAY_SPREAD: Seconds = Seconds(15e-9);

/// Probability with which the margin suffices.
pub const CONFIDENCE: f64 = 0.95;

/// Most frequencies at which a channel's correlation is sampled.
const MAX_NODES: usize = 48;

/// How many independently fading parts a channel is worth by the variance of its mean power, at least 1.
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
/// Rayleigh fading with the exponential delay profile of [`DELAY_SPREAD`], whose amplitudes `Δf` apart correlate as
/// `1/(1 + j2πτΔf)`. The mean power over the channel is a sum of independent exponential variables whose means are the
/// eigenvalues of that correlation over the channel (Karhunen–Loève); the margin is the 5 % quantile of the sum, below
/// its mean. No direct ray stronger than the others and no second antenna are counted, so that the margin errs on the
/// safe side.
///
/// Takes a few milliseconds; ask once for each width.
///
/// # Validity
/// Up to 320 MHz. A width of zero or less gives the single-frequency Rayleigh value, 12.9 dB.
///
/// # Example
/// ```
/// use propagation::reliability::fading_margin;
/// use units::Hertz;
/// let (narrow, _) = fading_margin(Hertz::from_mhz(20.0));
/// let (wide, _) = fading_margin(Hertz::from_mhz(160.0));
/// assert!(narrow.0 > 7.0 && wide.0 < 5.0);
/// ```
#[must_use]
pub fn fading_margin(width: Hertz) -> (Db, Source) {
    let means = branch_means(width, DELAY_SPREAD);
    let quantile = quantile(&means, 1.0 - CONFIDENCE);
    let source =
        Source::standard("IEEE 802.11-03/940r4 model B, delay spread 15 ns; mean power over the channel, 5 % quantile");
    (Db(-10.0 * quantile.log10()), source.from_memory())
}

/// Means of the independent parts of a channel's mean power, largest first; they sum to one.
fn branch_means(width: Hertz, delay_spread: Seconds) -> Vec<f64> {
    let u = std::f64::consts::TAU * delay_spread.0 * width.0;
    if !(u.is_finite() && u > 1e-3) {
        return vec![1.0];
    }
    let count = ((12.0 + u).ceil() as usize).min(MAX_NODES);
    let nodes: Vec<(f64, f64)> = Quadrature::legendre(count).nodes().collect();
    // The complex Hermitian matrix as a real symmetric one of twice the size: every eigenvalue comes twice.
    let size = 2 * count;
    let mut matrix = vec![0.0; size * size];
    for (i, (x, v)) in nodes.iter().enumerate() {
        for (j, (y, w)) in nodes.iter().enumerate() {
            let apart = 0.5 * u * (x - y);
            let scale = (v * w).sqrt() / (1.0 + apart * apart);
            let (re, im) = (scale, -scale * apart);
            matrix[i * size + j] = re;
            matrix[(count + i) * size + count + j] = re;
            matrix[i * size + count + j] = -im;
            matrix[(count + i) * size + j] = im;
        }
    }
    let mut values = eigenvalues(matrix, size);
    values.sort_by(|a, b| b.total_cmp(a));
    values.into_iter().step_by(2).collect()
}

/// Eigenvalues of a symmetric matrix by cyclic Jacobi rotations.
fn eigenvalues(mut a: Vec<f64>, n: usize) -> Vec<f64> {
    for _ in 0..30 {
        let off: f64 = (0..n).map(|i| (0..i).map(|j| a[i * n + j] * a[i * n + j]).sum::<f64>()).sum();
        if off < 1e-22 {
            break;
        }
        for p in 0..n {
            for q in p + 1..n {
                let apq = a[p * n + q];
                if apq.abs() < 1e-16 {
                    continue;
                }
                let theta = (a[q * n + q] - a[p * n + p]) / (2.0 * apq);
                let t = theta.signum() / (theta.abs() + (theta * theta + 1.0).sqrt());
                let c = 1.0 / (t * t + 1.0).sqrt();
                let s = t * c;
                for k in 0..n {
                    let (x, y) = (a[p * n + k], a[q * n + k]);
                    a[p * n + k] = c * x - s * y;
                    a[q * n + k] = s * x + c * y;
                }
                for k in 0..n {
                    let (x, y) = (a[k * n + p], a[k * n + q]);
                    a[k * n + p] = c * x - s * y;
                    a[k * n + q] = s * x + c * y;
                }
            }
        }
    }
    (0..n).map(|i| a[i * n + i]).collect()
}

/// Value below which a sum of independent exponential variables lies with a probability; by bisection.
///
/// Parts that make up under a thousandth of the mean are taken as constant.
fn quantile(means: &[f64], probability: f64) -> f64 {
    let random: Vec<f64> = means.iter().copied().filter(|m| *m >= 1e-3).collect();
    let constant = 1.0 - random.iter().sum::<f64>();
    // P(sum > x) = Σ cᵢ e^{−x/λᵢ} with cᵢ = Π λᵢ/(λᵢ − λⱼ), all means being different.
    let factors: Vec<(f64, f64)> = random
        .iter()
        .enumerate()
        .map(|(i, own)| {
            let others = random.iter().enumerate().filter(|(j, _)| *j != i);
            (*own, others.map(|(_, other)| own / (own - other)).product())
        })
        .collect();
    let below = |x: f64| factors.iter().map(|(mean, factor): &(f64, f64)| -factor * (-x / mean).exp_m1()).sum::<f64>();
    let (mut low, mut high) = (0.0, 1.0);
    for _ in 0..100 {
        let middle = 0.5 * (low + high);
        if below(middle) < probability {
            low = middle;
        } else {
            high = middle;
        }
    }
    constant + 0.5 * (low + high)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_frequency_is_rayleigh() {
        let (margin, _) = fading_margin(Hertz(0.0));
        assert!((margin.0 + 10.0 * (-(0.95f64.ln())).log10()).abs() < 1e-9);
    }

    #[test]
    fn two_parts_by_hand() {
        // P(sum < x) = 1 − (a e^{−x/a} − b e^{−x/b})/(a − b)
        let (a, b): (f64, f64) = (0.7, 0.3);
        let x = quantile(&[a, b], 0.05);
        let below = 1.0 - (a * (-x / a).exp() - b * (-x / b).exp()) / (a - b);
        assert!((below - 0.05).abs() < 1e-12);
    }

    #[test]
    fn means_have_the_sum_and_variance_of_the_channel() {
        for mhz in [5.0, 20.0, 80.0, 160.0, 320.0] {
            let means = branch_means(Hertz::from_mhz(mhz), DELAY_SPREAD);
            assert!((means.iter().sum::<f64>() - 1.0).abs() < 1e-10, "{mhz}");
            let variance: f64 = means.iter().map(|m| m * m).sum();
            let branches = diversity_branches(Hertz::from_mhz(mhz), DELAY_SPREAD);
            assert!((variance * branches - 1.0).abs() < 5e-3, "{mhz}: {}", variance * branches);
        }
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
