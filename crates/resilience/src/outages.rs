//! How long outages last, and what is left of them for somebody who outlasts their beginning.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use units::Seconds;

/// Spread of the lognormal law that is set beside the exponential one [standard deviation of the natural logarithm].
///
/// Assumed, no source: with it one outage in twenty lasts above eight times the median.
pub const LOGNORMAL_SPREAD: f64 = 1.25;

/// How the lengths of outages are distributed about their mean. Only means are published: the law is an assumption.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(tag = "law", rename_all = "kebab-case", deny_unknown_fields)]
pub enum Lengths {
    /// Exponential: an outage does not remember how long it has lasted.
    #[default]
    Exponential,
    /// Lognormal: many short ones and a long tail.
    Lognormal {
        /// Standard deviation of the natural logarithm of the length.
        spread: f64,
    },
}

impl Lengths {
    /// The lognormal law with the usual spread ([`LOGNORMAL_SPREAD`]).
    pub const LONG_TAILED: Self = Self::Lognormal { spread: LOGNORMAL_SPREAD };

    /// Share of outages that last longer than a time.
    ///
    /// # Validity
    /// With a mean or spread that is not above 0, or a time that is not a number, outages of no length: 0 beyond time 0.
    #[must_use]
    pub fn longer_than(self, mean: Seconds, time: Seconds) -> f64 {
        if time.0 <= 0.0 {
            return 1.0;
        }
        if time.0.is_nan() || !is_above_0(mean) {
            return 0.0;
        }
        match self {
            Self::Exponential => libm::exp(-time.0 / mean.0),
            Self::Lognormal { spread } if spread > 0.0 => normal((middle(mean, spread) - libm::log(time.0)) / spread),
            Self::Lognormal { .. } => f64::from(u8::from(time.0 < mean.0)),
        }
    }

    /// Share of outage time that comes after the first `time` of each outage: `E[(D − t)⁺] / E[D]`.
    ///
    /// # Model
    /// Exponential: `exp(−t / mean)`. Lognormal with μ = ln mean − σ²/2:
    /// `Φ((μ + σ² − ln t)/σ) − (t / mean) Φ((μ − ln t)/σ)`, the stop-loss transform of the actuaries.
    ///
    /// # Validity
    /// As [`Lengths::longer_than`].
    ///
    /// # Example
    /// ```
    /// use resilience::Lengths;
    /// use units::Seconds;
    /// let (mean, hour) = (Seconds(6000.0), Seconds(3600.0));
    /// assert!((Lengths::Exponential.left_after(mean, hour) - (-0.6f64).exp()).abs() < 1e-12);
    /// // A long tail leaves more of it.
    /// assert!(Lengths::LONG_TAILED.left_after(mean, hour) > Lengths::Exponential.left_after(mean, hour));
    /// ```
    #[must_use]
    pub fn left_after(self, mean: Seconds, time: Seconds) -> f64 {
        if time.0.is_nan() || !is_above_0(mean) {
            return 0.0;
        }
        if time.0 <= 0.0 {
            return 1.0;
        }
        if time.0.is_infinite() {
            return 0.0;
        }
        match self {
            Self::Exponential => libm::exp(-time.0 / mean.0),
            Self::Lognormal { spread } if spread > 0.0 => {
                let distance = (middle(mean, spread) - libm::log(time.0)) / spread;
                (normal(distance + spread) - time.0 / mean.0 * normal(distance)).clamp(0.0, 1.0)
            }
            Self::Lognormal { .. } => (1.0 - time.0 / mean.0).max(0.0),
        }
    }
}

/// False for what is no number.
fn is_above_0(mean: Seconds) -> bool {
    mean.0 > 0.0
}

/// Mean of the logarithm of a lognormal length.
fn middle(mean: Seconds, spread: f64) -> f64 {
    libm::log(mean.0) - spread * spread / 2.0
}

/// Distribution function of the standard normal law.
fn normal(x: f64) -> f64 {
    0.5 * libm::erfc(-x / std::f64::consts::SQRT_2)
}

/// Share of outage time that is left when outages are ridden through for a time, their lengths being exponentially
/// distributed with a mean: `E[(D − t)⁺] / E[D] = exp(−t / mean)`.
///
/// Only means are published; that lengths are exponential is assumed.
#[must_use]
pub fn ride_through(mean: Seconds, runtime: Seconds) -> f64 {
    Lengths::Exponential.left_after(mean, runtime)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn laws_keep_their_mean() {
        // ∫ P(D > t) dt = mean, by the trapezium rule over 60 means; the long tail beyond them is small.
        for lengths in [Lengths::Exponential, Lengths::LONG_TAILED, Lengths::Lognormal { spread: 0.0 }] {
            let (mean, steps) = (100.0, 60_000);
            let step = 60.0 * mean / f64::from(steps);
            let area: f64 = (0..steps)
                .map(|i| lengths.longer_than(Seconds(mean), Seconds((f64::from(i) + 0.5) * step)) * step)
                .sum();
            assert!((area / mean - 1.0).abs() < 5e-3, "{lengths:?}: {area}");
        }
    }

    #[test]
    fn what_is_left_is_the_integral_of_what_lasts_longer() {
        let (mean, from) = (Seconds(100.0), 70.0);
        let step = 0.1;
        let area: f64 = (0..400_000)
            .map(|i| Lengths::LONG_TAILED.longer_than(mean, Seconds(from + (f64::from(i) + 0.5) * step)) * step)
            .sum();
        let left = Lengths::LONG_TAILED.left_after(mean, Seconds(from));
        assert!((area / mean.0 - left).abs() < 1e-4, "{area} {left}");
    }

    #[test]
    fn senseless_times_leave_nothing_or_all() {
        for lengths in [Lengths::Exponential, Lengths::LONG_TAILED, Lengths::Lognormal { spread: f64::NAN }] {
            assert_eq!(lengths.left_after(Seconds(f64::NAN), Seconds(1.0)), 0.0);
            assert_eq!(lengths.left_after(Seconds(1.0), Seconds(f64::NAN)), 0.0);
            assert_eq!(lengths.left_after(Seconds(1.0), Seconds(-1.0)), 1.0);
            assert!(lengths.left_after(Seconds(1.0), Seconds(f64::INFINITY)) <= 0.0);
        }
    }
}
