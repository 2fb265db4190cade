//! Published reliability of the mains by region, where a country's own mean says little of one home.

use findings::{Source, SourceKind};
use site::Mains;
use units::Seconds;

/// Medians and extremes over the years of a region's published indices.
#[derive(Clone, Debug, PartialEq)]
pub struct RegionalMains {
    /// Medians of SAIDI and SAIFI, as a site would state them.
    pub mains: Mains,
    /// Least and most interruption a customer and year (SAIDI).
    pub saidi: (Seconds, Seconds),
    /// Least and most interruptions a customer and year (SAIFI).
    pub saifi: (f64, f64),
}

/// State; SAIDI of all events [min/yr]: median, least, most of the years 2013 to 2023; SAIFI of all events [1/yr]: the same.
type Row = (&'static str, f64, f64, f64, f64, f64, f64);

/// States of the United States, with major events.
const STATES: [Row; 51] = [
    ("AK", 339.3, 149.2, 891.3, 2.298, 1.574, 4.959),
    ("AL", 272.9, 174.2, 3320.4, 1.973, 1.378, 3.499),
    ("AR", 400.5, 238.5, 915.3, 1.94, 1.674, 2.16),
    ("AZ", 89.5, 70.6, 136.9, 0.865, 0.797, 1.055),
    ("CA", 202.4, 100.2, 610.7, 1.093, 0.839, 1.409),
    ("CO", 136.4, 86.7, 185.4, 1.041, 0.925, 1.214),
    ("CT", 193.4, 93.7, 3033.8, 0.989, 0.757, 1.982),
    ("DC", 77.0, 33.7, 124.0, 0.59, 0.302, 0.88),
    ("DE", 148.7, 64.3, 271.9, 1.131, 0.842, 1.53),
    ("FL", 172.3, 79.3, 2693.2, 1.112, 0.901, 2.068),
    ("GA", 248.2, 124.9, 1030.8, 1.542, 1.266, 2.214),
    ("HI", 182.1, 109.3, 254.3, 1.794, 1.207, 3.922),
    ("IA", 128.1, 83.9, 1066.5, 1.068, 0.859, 1.489),
    ("ID", 183.0, 134.4, 438.0, 1.338, 1.071, 1.779),
    ("IL", 143.8, 90.8, 335.6, 0.923, 0.756, 1.124),
    ("IN", 266.6, 223.5, 467.4, 1.347, 1.206, 1.524),
    ("KS", 241.2, 106.6, 368.6, 1.361, 0.945, 1.629),
    ("KY", 249.5, 175.6, 861.5, 1.595, 1.336, 1.859),
    ("LA", 499.1, 285.7, 5868.8, 2.267, 1.881, 3.355),
    ("MA", 224.1, 86.4, 865.3, 1.093, 0.781, 1.661),
    ("MD", 127.6, 103.1, 330.4, 1.049, 0.898, 1.284),
    ("ME", 963.6, 213.6, 2492.6, 2.814, 1.871, 5.123),
    ("MI", 570.2, 268.4, 1127.7, 1.375, 1.13, 1.647),
    ("MN", 129.8, 121.0, 388.1, 1.032, 0.953, 1.247),
    ("MO", 215.4, 134.3, 379.0, 1.079, 0.974, 1.324),
    ("MS", 455.9, 198.7, 1611.7, 2.121, 1.729, 2.627),
    ("MT", 172.0, 113.9, 295.4, 1.345, 1.052, 1.694),
    ("NC", 287.5, 215.2, 1877.6, 1.512, 1.249, 2.284),
    ("ND", 113.6, 91.2, 677.6, 1.151, 0.954, 2.38),
    ("NE", 98.3, 63.1, 556.9, 0.702, 0.555, 1.165),
    ("NH", 408.5, 117.3, 915.4, 1.514, 1.095, 2.004),
    ("NJ", 139.2, 85.5, 943.3, 1.002, 0.876, 1.581),
    ("NM", 134.9, 74.5, 204.3, 1.102, 0.812, 1.34),
    ("NV", 102.4, 68.2, 195.1, 0.835, 0.617, 0.984),
    ("NY", 274.1, 146.4, 447.4, 1.313, 1.127, 1.518),
    ("OH", 244.9, 167.5, 413.6, 1.33, 1.168, 1.518),
    ("OK", 194.0, 115.9, 1339.4, 1.6, 1.117, 2.079),
    ("OR", 233.5, 111.4, 1588.3, 1.105, 0.808, 1.604),
    ("PA", 222.6, 132.3, 564.0, 1.163, 1.0, 1.489),
    ("RI", 341.8, 54.2, 783.2, 1.231, 0.762, 1.966),
    ("SC", 332.6, 117.7, 1698.8, 1.512, 1.058, 2.445),
    ("SD", 120.6, 78.1, 1010.9, 1.121, 0.979, 1.88),
    ("TN", 277.7, 183.2, 926.9, 1.956, 1.681, 3.326),
    ("TX", 254.8, 149.6, 1496.4, 1.66, 1.426, 3.33),
    ("UT", 144.4, 108.7, 591.8, 1.075, 0.858, 1.461),
    ("VA", 337.7, 249.0, 1133.7, 1.808, 1.548, 2.605),
    ("VT", 240.0, 158.4, 1792.4, 2.25, 1.552, 3.39),
    ("WA", 310.9, 153.8, 620.9, 1.327, 1.05, 1.756),
    ("WI", 162.9, 107.8, 383.5, 0.913, 0.768, 1.456),
    ("WV", 743.4, 542.1, 1117.2, 2.383, 2.294, 2.801),
    ("WY", 180.2, 121.4, 386.5, 1.505, 0.935, 1.892),
];

/// Reliability of the mains in a region of a country, `US` with a state's two letters for now.
///
/// The region may be written with its country, as in ISO 3166-2 (`US-VT`), or without. Nothing where no figure is at hand.
///
/// # References
/// U.S. Energy Information Administration, annual electric power industry report (form EIA-861), reliability by state,
/// all events, 2013 to 2023. Medians and extremes are taken over the years; a home can be far off its state.
///
/// # Example
/// ```
/// let vermont = resilience::regional_mains("US", "US-VT").unwrap();
/// let minutes = vermont.mains.saidi.unwrap().0 / 60.0;
/// assert!(minutes > 100.0 && minutes < 2000.0);
/// assert!(resilience::regional_mains("DE", "BY").is_none());
/// ```
#[must_use]
pub fn regional_mains(country: &str, region: &str) -> Option<RegionalMains> {
    if country != "US" {
        return None;
    }
    let state = region.strip_prefix("US-").unwrap_or(region);
    let row = STATES.iter().find(|r| r.0.eq_ignore_ascii_case(state))?;
    let &(_, saidi, saidi_least, saidi_most, saifi, saifi_least, saifi_most) = row;
    let seconds = |minutes: f64| Seconds(minutes * 60.0);
    Some(RegionalMains {
        mains: Mains { saidi: Some(seconds(saidi)), saifi: Some(saifi), source: Some(source(row.0)) },
        saidi: (seconds(saidi_least), seconds(saidi_most)),
        saifi: (saifi_least, saifi_most),
    })
}

fn source(state: &str) -> Source {
    Source::new(
        SourceKind::Dataset,
        format!("U.S. Energy Information Administration, form EIA-861, {state}, all events, median of 2013 to 2023"),
    )
}
