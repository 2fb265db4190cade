//! Availability of one thing from its mean times.

use findings::Source;
use site::{FailureRate, LineKind};
use units::Seconds;

/// The share of time that something is up, with the interval that its inputs bear.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Availability {
    /// Best figure, 0 to 1.
    pub value: f64,
    /// If the inputs are as bad as they may be.
    pub low: f64,
    /// If the inputs are as good as they may be.
    pub high: f64,
}

impl Availability {
    /// Always up.
    pub const ALWAYS: Self = Self { value: 1.0, low: 1.0, high: 1.0 };

    /// From mean times, the time between failures being off by up to a factor either way.
    ///
    /// Nothing if a time is negative or not finite, if both are zero, or if the factor is below 1.
    #[must_use]
    pub fn of(mtbf: Seconds, mttr: Seconds, factor: f64) -> Option<Self> {
        if !(factor >= 1.0 && factor.is_finite()) {
            return None;
        }
        Some(Self {
            value: availability(mtbf, mttr)?,
            low: availability(mtbf / factor, mttr)?,
            high: availability(mtbf * factor, mttr)?,
        })
    }
}

/// Steady-state availability `MTBF / (MTBF + MTTR)`.
///
/// Nothing if a time is negative or not finite, or if both are zero.
///
/// # Example
/// ```
/// use units::Seconds;
/// let a = resilience::availability(Seconds(8760.0 * 3600.0), Seconds(4.0 * 3600.0)).unwrap();
/// assert!((a - 8760.0 / 8764.0).abs() < 1e-15);
/// ```
#[must_use]
pub fn availability(mtbf: Seconds, mttr: Seconds) -> Option<f64> {
    let fine = mtbf.is_finite() && mttr.is_finite() && mtbf.0 >= 0.0 && mttr.0 >= 0.0 && mtbf.0 + mttr.0 > 0.0;
    fine.then(|| mtbf.0 / (mtbf.0 + mttr.0))
}

/// Factor by which the generic figures of lines may be off.
pub(crate) const LINE_FACTOR: f64 = 3.0;

/// Mean times of a kind of line: generic figures, to be replaced by the provider's or one's own.
#[must_use]
pub fn line_failures(kind: LineKind) -> FailureRate {
    let (between_days, repair_hours) = match kind {
        LineKind::Fibre => (700.0, 8.0),
        LineKind::Coax => (300.0, 8.0),
        LineKind::Dsl => (300.0, 12.0),
        LineKind::FixedWireless => (150.0, 8.0),
        LineKind::Mobile => (90.0, 3.0),
        LineKind::Satellite => (60.0, 3.0),
    };
    FailureRate {
        mtbf: Seconds(between_days * 86_400.0),
        mttr: Seconds(repair_hours * 3600.0),
        source: Source::generic().from_memory(),
    }
}
