//! How much of an area is served, as a random number: its mean, its spread, and what is served with a confidence.
//!
//! Neighbouring places share their shadowing, so that an area is served or missed in patches. What share of the cells is
//! likely to hold says nothing of that; here the shadowing of the whole area is drawn again and again.

use findings::Source;
use units::{Metres, Point3};

use super::draws::draw;
use super::patches::Patches;
use super::{COMMON_BIAS_DB, Shadowing, Solver};

/// How many times the shadowing of an area is drawn: a prime, as the lattice needs it.
pub const DRAWS: usize = 1021;

/// Most links of one cell.
pub const MAX_LINKS: usize = 64;

/// Confidences that the draws can bear: at least five draws on either side.
const CONFIDENCES: std::ops::RangeInclusive<f64> = 0.01..=0.99;

/// Farther from the origin than this no home lies \[m\]; keeps sums of places finite.
const FARTHEST: f64 = 1e9;

/// No deviation is larger \[dB\]; keeps single precision finite.
const LARGEST_DB: f64 = 1e3;

/// Correlation of the shadowing at two places a distance apart: `exp(−d/D)`.
///
/// # Units
/// Distances in metres; no decorrelation distance, or NaN, correlates only a place with itself, an infinite one all places.
///
/// # References
/// M. Gudmundson, "Correlation model for shadow fading in mobile radio systems", Electronics Letters 27, 1991 (from
/// memory); 3GPP TR 38.901 section 7.4.4.
///
/// # Example
/// ```
/// use propagation::reliability::spatial_correlation;
/// use units::Metres;
/// assert!((spatial_correlation(Metres(3.0), Metres(6.0)) - (-0.5f64).exp()).abs() < 1e-12);
/// ```
#[must_use]
pub fn spatial_correlation(distance: Metres, decorrelation: Metres) -> f64 {
    if distance.0 <= 0.0 || decorrelation.0 == f64::INFINITY {
        1.0
    } else if decorrelation.0 > 0.0 {
        (-distance.0 / decorrelation.0).exp()
    } else {
        0.0
    }
}

/// What moves the links of an area away from their predicted margins.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AreaConfig {
    /// Shadowing at one place.
    pub shadowing: Shadowing,
    /// Distance over which its correlation falls to 1/e, see [`spatial_correlation`].
    pub decorrelation: Metres,
    /// Standard deviation of an error that all links at all places share \[dB\]; 0 leaves it out.
    pub common_db: f64,
    /// Probability with which [`AreaShare::at_least`] is served, 0.01 to 0.99.
    pub confidence: f64,
}

impl Default for AreaConfig {
    /// [`Shadowing::default`] over 6 m, [`COMMON_BIAS_DB`], 90 %.
    fn default() -> Self {
        Self { shadowing: Shadowing::default(), decorrelation: Metres(6.0), common_db: COMMON_BIAS_DB, confidence: 0.9 }
    }
}

impl AreaConfig {
    /// Where the default decorrelation distance comes from.
    ///
    /// In one measured flat 1.3 m fitted best (see the crate's README); the longer distance makes the share less sure.
    #[must_use]
    pub fn decorrelation_source() -> Source {
        Source::standard("3GPP TR 38.901 Table 7.5-6, indoor office: shadowing decorrelates over 6 m without line of sight (10 m with)")
            .from_memory()
    }
}

/// A cell of an area and its candidate links.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AreaCell<'a> {
    /// Its centre.
    pub at: Point3,
    /// Its area, any unit.
    pub area: f64,
    /// Margins of its links \[dB\], as for [`covered_share`](super::covered_share); the same index is the same site in every
    /// cell. NaN or −∞ is no link.
    pub margins_db: &'a [f64],
}

/// The share of an area that is served.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AreaShare {
    /// Mean: the mean of the cells' probabilities, 0 to 1.
    pub expected: f64,
    /// Standard deviation.
    pub deviation: f64,
    /// The share is at least this with a probability of [`AreaShare::confidence`].
    pub at_least: f64,
    /// See [`AreaConfig::confidence`].
    pub confidence: f64,
}

/// Why there is no share.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum AreaError {
    /// No area.
    #[error("there is no area to be served: it adds up to {total}; give at least one cell of more than zero")]
    Empty {
        /// Sum of the areas.
        total: f64,
    },
    /// A cell that cannot be used.
    #[error("cell {index}: {what} is {value}, which is not allowed")]
    Cell {
        /// Position of the cell.
        index: usize,
        /// What is wrong.
        what: &'static str,
        /// Its value.
        value: f64,
    },
    /// Too many links.
    #[error("cell {index} has {count} links; at most {MAX_LINKS} are looked at, so leave out the weakest")]
    Links {
        /// Position of the cell.
        index: usize,
        /// How many it has.
        count: usize,
    },
    /// A setting that cannot be used.
    #[error("{what} is {value}, which is not allowed")]
    Config {
        /// What is wrong.
        what: &'static str,
        /// Its value.
        value: f64,
    },
}

/// The share of an area that is served: mean, deviation and what is served with a confidence.
///
/// # Model
/// Cell `i` is served if one of its links holds: `m_l + σ(√ρ Z(x) + √(1−ρ) X_l(x)) + σ_c C ≥ 0`, where `Z` and all `X_l`
/// are independent standard normal fields with the correlation of [`spatial_correlation`], and `C` one normal number for the
/// whole area. At one place this is the model of [`probability`](super::probability).
///
/// The mean is exact: the mean of the cells' probabilities. Deviation and quantile come from [`DRAWS`] seeded draws
/// of all fields. The area is cut into at most 128 cubic patches, of a quarter of the decorrelation distance if that many
/// suffice. The cells of a patch have the shadowing of its middle, and a part of their own so large that the mean correlation
/// of all pairs of cells is right; it is next to nothing if patches are small. Of every field its level and slopes where the
/// cells are undecided are drawn by a lattice rule, the rest by Latin hypercube.
///
/// # Units
/// Margins and deviations in decibels, places in metres, areas in any unit.
///
/// # Validity
/// Against dense draws of a storey's cells, decorrelation distances of 1 to 20 m, one to three links: deviation within 6 %,
/// the share at a confidence within 0.012; both limits, none and infinity, within 5 % (in the tests). What rarely happens
/// rests on few of the draws.
///
/// # Errors
/// [`AreaError`] for no area, areas and places that are not finite, more than [`MAX_LINKS`] links, a deviation or
/// confidence that is none. A shadowing correlation is held within 0 and 1.
///
/// # References
/// M. D. McKay, R. J. Beckman, W. J. Conover, Technometrics 21, 1979 (Latin hypercube, from memory).
pub fn area_share(cells: &[AreaCell<'_>], config: &AreaConfig) -> Result<AreaShare, AreaError> {
    let total = check(cells, config)?;
    let probabilities = probabilities(cells, config);
    let expected = cells.iter().zip(&probabilities).map(|(cell, p)| cell.area * p).sum::<f64>() / total;
    let patches = Patches::new(cells, &probabilities, config.decorrelation);
    let mut shares = draw(cells, config, total, &patches);
    let variance = shares.iter().map(|s| (s - expected).powi(2)).sum::<f64>() / DRAWS as f64;
    shares.sort_by(f64::total_cmp);
    let below = ((1.0 - config.confidence) * DRAWS as f64 + 1e-9).floor() as usize;
    let at_least = shares.get(below.min(DRAWS - 1)).copied().unwrap_or(0.0);
    Ok(AreaShare { expected, deviation: variance.sqrt(), at_least, confidence: config.confidence })
}

/// The sum of the areas, if everything can be used.
fn check(cells: &[AreaCell<'_>], config: &AreaConfig) -> Result<f64, AreaError> {
    let Shadowing { sigma_db, correlation } = config.shadowing;
    let settings = [
        ("the shadowing's deviation", sigma_db, (0.0..=LARGEST_DB).contains(&sigma_db)),
        ("the correlation between links", correlation, !correlation.is_nan()),
        ("the common error's deviation", config.common_db, (0.0..=LARGEST_DB).contains(&config.common_db)),
        ("the decorrelation distance", config.decorrelation.0, config.decorrelation.0 >= 0.0),
        ("the confidence", config.confidence, CONFIDENCES.contains(&config.confidence)),
    ];
    if let Some(&(what, value, _)) = settings.iter().find(|s| !s.2) {
        return Err(AreaError::Config { what, value });
    }
    let mut total = 0.0;
    for (index, cell) in cells.iter().enumerate() {
        if !(cell.area.is_finite() && cell.area >= 0.0) {
            return Err(AreaError::Cell { index, what: "its area", value: cell.area });
        }
        let far = [cell.at.x, cell.at.y, cell.at.z].into_iter().find(|x| x.is_nan() || x.abs() > FARTHEST);
        if let Some(value) = far {
            return Err(AreaError::Cell { index, what: "a coordinate", value });
        }
        if cell.margins_db.len() > MAX_LINKS {
            return Err(AreaError::Links { index, count: cell.margins_db.len() });
        }
        total += cell.area;
    }
    if total.is_finite() && total > 0.0 { Ok(total) } else { Err(AreaError::Empty { total }) }
}

/// The cells' probabilities; the common error is one more variance that all links share.
fn probabilities(cells: &[AreaCell<'_>], config: &AreaConfig) -> Vec<f64> {
    let Shadowing { sigma_db, correlation } = config.shadowing;
    let (own, common) = (sigma_db * sigma_db, config.common_db * config.common_db);
    let all = own + common;
    let shared = if all > 0.0 { (correlation.clamp(0.0, 1.0) * own + common) / all } else { 0.0 };
    let solver = Solver::new(Shadowing { sigma_db: all.sqrt(), correlation: shared });
    cells.iter().map(|c| solver.probability(c.margins_db)).collect()
}
