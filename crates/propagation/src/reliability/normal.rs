//! The normal distribution.

/// Probability that a standard normal variable is below `x`.
///
/// # Model
/// Rational approximation of Hart (1968) in the double-precision form of West, "Better approximations to cumulative
/// normal functions" (2005); coefficients from memory, checked against tabulated values to 1e-14.
///
/// # Example
/// ```
/// assert!((propagation::reliability::cumulative(1.959963984540054) - 0.975).abs() < 1e-14);
/// ```
#[must_use]
pub fn cumulative(x: f64) -> f64 {
    let z = x.abs();
    let tail = if z > 37.0 {
        0.0
    } else if z < 7.071_067_811_865_47 {
        let above = [
            3.526_249_659_989_11e-2,
            0.700_383_064_443_688,
            6.373_962_203_531_65,
            33.912_866_078_383,
            112.079_291_497_871,
            221.213_596_169_931,
            220.206_867_912_376,
        ];
        let below = [
            8.838_834_764_831_84e-2,
            1.755_667_163_182_64,
            16.064_177_579_207,
            86.780_732_202_946_1,
            296.564_248_779_674,
            637.333_633_378_831,
            793.826_512_519_948,
            440.413_735_824_752,
        ];
        let polynomial = |c: &[f64]| c.iter().fold(0.0, |sum, c| sum * z + c);
        (-0.5 * z * z).exp() * polynomial(&above) / polynomial(&below)
    } else {
        let fraction = z + 1.0 / (z + 2.0 / (z + 3.0 / (z + 4.0 / (z + 0.65))));
        (-0.5 * z * z).exp() / fraction / std::f64::consts::TAU.sqrt()
    };
    if x > 0.0 { 1.0 - tail } else { tail }
}

/// The value that a standard normal variable is below with a probability: the inverse of [`cumulative`].
///
/// By bisection over ±38, to the last bits of the argument; −38 and 38 stand for probabilities beyond what a double
/// holds. NaN for what is no probability.
///
/// # Example
/// ```
/// assert!((propagation::reliability::quantile(0.95) - 1.644_853_626_951_472_2).abs() < 1e-12);
/// ```
#[must_use]
pub fn quantile(probability: f64) -> f64 {
    if !(0.0..=1.0).contains(&probability) {
        return f64::NAN;
    }
    let (mut low, mut high) = (-38.0, 38.0);
    for _ in 0..64 {
        let middle = 0.5 * (low + high);
        if cumulative(middle) < probability { low = middle } else { high = middle }
    }
    high
}

#[cfg(test)]
mod tests {
    use super::{cumulative, quantile};

    /// Percentage points of the normal distribution (Abramowitz and Stegun, table 26.5, and by symmetry).
    #[test]
    fn percentage_points() {
        for (p, x) in
            [(0.5, 0.0), (0.95, 1.644_853_627), (0.975, 1.959_963_985), (0.99, 2.326_347_874), (0.05, -1.644_853_627)]
        {
            assert!((quantile(p) - x).abs() < 1e-9, "{p}: {}", quantile(p));
        }
        assert!(quantile(1.0) > 8.0 && quantile(0.0) < -37.0 && quantile(1.5).is_nan() && quantile(f64::NAN).is_nan());
    }

    /// Values of the error function's tables (NIST Digital Library of Mathematical Functions, chapter 7, by
    /// `Φ(x) = erfc(−x/√2)/2`, evaluated with a 50-digit library).
    #[test]
    fn tabulated_values() {
        for (x, expected) in [
            (0.0, 0.5),
            (1.0, 0.841_344_746_068_542_9),
            (-1.0, 0.158_655_253_931_457_05),
            (2.5, 0.993_790_334_674_223_8),
            (-3.0, 1.349_898_031_630_094_5e-3),
            (-6.0, 9.865_876_450_376_98e-10),
            (-8.0, 6.220_960_574_271_786e-16),
        ] {
            assert!((cumulative(x) - expected).abs() < 1e-14 + 1e-6 * expected.min(1e-8), "{x}: {}", cumulative(x));
        }
    }

    #[test]
    fn ends() {
        assert_eq!(cumulative(f64::INFINITY), 1.0);
        assert_eq!(cumulative(f64::NEG_INFINITY), 0.0);
    }
}
