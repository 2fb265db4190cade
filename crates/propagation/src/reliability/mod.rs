//! How sure a link is: shadowing, small-scale fading, several sites, shares of an area.
//!
//! Path gain is a local mean. Two things move a real link away from it, and they are kept apart:
//! - shadowing: what the model does not know of this home, log-normal, shared in part between links
//!   ([`Shadowing`], [`probability`])
//! - small-scale fading: interference of paths over a few centimetres; less deep the wider the channel
//!   ([`fading_margin`])
//!
//! [`covered_share`] counts the cells that are sure enough; [`area_share`] says how much of an area will be served, and how
//! surely, its shadowing being patchy.

mod area;
mod draws;
mod fading;
mod normal;
mod patches;

use findings::Source;
use units::Db;

pub use area::{AreaCell, AreaConfig, AreaError, AreaShare, DRAWS, MAX_LINKS, area_share, spatial_correlation};
pub use fading::{CONFIDENCE, DELAY_SPREAD, diversity_branches, fading_margin};
pub use normal::{cumulative, quantile};

use crate::quadrature::Quadrature;

/// Probability that a cell's link must have to count as covered.
pub const COVERED: f64 = 0.95;

/// Spread of what the model does not know of a home.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Shadowing {
    /// Standard deviation \[dB\].
    pub sigma_db: f64,
    /// Correlation between any two links to one place, 0 to 1.
    pub correlation: f64,
}

impl Default for Shadowing {
    /// 5 dB; half of the variance shared between links.
    fn default() -> Self {
        Self { sigma_db: 5.0, correlation: 0.5 }
    }
}

impl Shadowing {
    /// Where the default values come from: deviation, then correlation.
    #[must_use]
    pub fn sources() -> [Source; 2] {
        [
            Source::standard("IEEE 802.11-14/0980, simulation scenarios, scenario 1 (residential): shadowing 5 dB"),
            Source::standard("3GPP TR 36.942 section 5.2: shadowing correlation 0.5 between sites").from_memory(),
        ]
    }
}

/// Common error of all predictions in one home, standard deviation \[dB\].
///
/// Uncalibrated indoor predictions are 5 to 8 dB off in root mean square. Taking the middle, 6.5 dB, and removing the
/// shadowing of 5 dB that differs from place to place, √(6.5² − 5²) = 4.15 dB are left that all places share (walls
/// denser or lighter than stated, a device's antenna). Common practice, no source.
pub const COMMON_BIAS_DB: f64 = 4.153_311_931_459_037;

/// Probability of the interval of a [`Share`]: the common error lies within one standard deviation.
pub const SHARE_CONFIDENCE: f64 = 0.683;

/// Correlation from which links count as one.
const ONE_LINK: f64 = 0.995;
/// Correlation up to which few nodes do.
const SMOOTH: f64 = 0.6;
const SMOOTH_NODES: usize = 24;

/// Probability that at least one of several links has a margin that its shadowing does not use up.
///
/// # Model
/// Link `i` holds if `m_i + S_i ≥ 0` with `S_i = σ(√ρ Z + √(1−ρ) X_i)`, all variables independent standard normal: one
/// common factor, every pair correlated by `ρ`. Given `Z` the links are independent; the mean over `Z` is taken by
/// quadrature with fixed nodes (24 Gauss–Hermite up to ρ = 0.6, above that 273 evenly spaced; from 0.995 on the links
/// count as one). One link gives `Φ(m/σ)` exactly.
///
/// # Units
/// Margins and `sigma_db` \[dB\]; a margin may be infinite.
///
/// # Validity
/// Error under 1e-4. `correlation` is held within 0 and 1. No links give 0; a NaN margin counts as no link; `sigma_db`
/// not above zero means no shadowing.
///
/// # Example
/// ```
/// use propagation::reliability::probability;
/// assert!((probability(&[8.224], 5.0, 0.5) - 0.95).abs() < 1e-4);
/// assert!(probability(&[8.224, 8.224], 5.0, 0.5) > 0.97);
/// ```
#[must_use]
pub fn probability(margins_db: &[f64], sigma_db: f64, correlation: f64) -> f64 {
    Solver::new(Shadowing { sigma_db, correlation }).probability(margins_db)
}

/// [`probability`] for many places, with its nodes computed once.
#[derive(Clone, Debug)]
pub struct Solver {
    shadowing: Shadowing,
    nodes: Vec<(f64, f64)>,
}

impl Solver {
    /// Prepares the nodes.
    #[must_use]
    pub fn new(shadowing: Shadowing) -> Self {
        let correlation = if shadowing.correlation.is_nan() { 0.0 } else { shadowing.correlation.clamp(0.0, 1.0) };
        let nodes = if correlation <= SMOOTH {
            Quadrature::normal(SMOOTH_NODES).nodes().collect()
        } else {
            // Evenly spaced nodes converge fast for a smooth integrand that vanishes at both ends.
            let step = 0.0625;
            let density = |z: f64| (-0.5 * z * z).exp() * step / std::f64::consts::TAU.sqrt();
            (-136..=136).map(|i| f64::from(i) * step).map(|z| (z, density(z))).collect()
        };
        Self { shadowing: Shadowing { correlation, ..shadowing }, nodes }
    }

    /// As [`probability`].
    #[must_use]
    pub fn probability(&self, margins_db: &[f64]) -> f64 {
        let Shadowing { sigma_db, correlation } = self.shadowing;
        let best = margins_db.iter().copied().filter(|m| !m.is_nan()).fold(f64::NEG_INFINITY, f64::max);
        if best == f64::NEG_INFINITY {
            return 0.0;
        }
        if sigma_db.is_nan() || sigma_db <= 0.0 {
            return if best >= 0.0 { 1.0 } else { 0.0 };
        }
        if margins_db.len() == 1 || correlation >= ONE_LINK {
            return cumulative(best / sigma_db);
        }
        let (common, own) = (correlation.sqrt(), (1.0 - correlation).sqrt());
        let mut none = 0.0;
        for &(z, weight) in &self.nodes {
            let mut product = 1.0;
            for margin in margins_db.iter().filter(|m| !m.is_nan()) {
                product *= cumulative(-(margin / sigma_db + common * z) / own);
            }
            none += weight * product;
        }
        (1.0 - none).clamp(0.0, 1.0)
    }

    /// True if the probability is at least a limit; spares the quadrature where bounds decide.
    #[must_use]
    pub fn reaches(&self, margins_db: &[f64], limit: f64) -> bool {
        let sigma = self.shadowing.sigma_db;
        if sigma > 0.0 {
            let single = |m: &f64| if m.is_nan() { 0.0 } else { cumulative(m / sigma) };
            if margins_db.iter().any(|m| single(m) >= limit) {
                return true;
            }
            if margins_db.iter().map(single).sum::<f64>() < limit {
                return false;
            }
        }
        self.probability(margins_db) >= limit
    }
}

/// A share of an area with its interval.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Share {
    /// Covered share of the area, 0 to 1.
    pub value: f64,
    /// The same if all gains are [`COMMON_BIAS_DB`] lower.
    pub low: f64,
    /// The same if all gains are [`COMMON_BIAS_DB`] higher.
    pub high: f64,
    /// Probability that the truth lies between: [`SHARE_CONFIDENCE`].
    pub confidence: f64,
}

/// Share of an area in which a link holds with at least [`COVERED`] probability.
///
/// # Units
/// For each cell its area (any unit) and the margins of its candidate links \[dB\]: local-mean level less what the target
/// needs less the fading margin, the worse of both directions.
///
/// Nothing is returned for an area of zero.
#[must_use]
pub fn covered_share<'a, I>(cells: I, shadowing: Shadowing) -> Option<Share>
where
    I: IntoIterator<Item = (f64, &'a [f64])>,
{
    let solver = Solver::new(shadowing);
    let mut total = 0.0;
    let mut covered = [0.0; 3];
    let mut shifted = Vec::new();
    for (area, margins) in cells {
        total += area;
        for (bias, covered) in [-COMMON_BIAS_DB, 0.0, COMMON_BIAS_DB].into_iter().zip(&mut covered) {
            shifted.clear();
            shifted.extend(margins.iter().map(|m| m + bias));
            if solver.reaches(&shifted, COVERED) {
                *covered += area;
            }
        }
    }
    if !(total.is_finite() && total > 0.0) {
        return None;
    }
    let [low, value, high] = covered.map(|c| c / total);
    Some(Share { value, low, high, confidence: SHARE_CONFIDENCE })
}

/// The bias and its source, for figures.
#[must_use]
pub fn common_bias() -> (Db, Source) {
    (Db(COMMON_BIAS_DB), Source::common_practice())
}
