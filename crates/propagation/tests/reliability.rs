//! Probabilities against closed forms and seeded trials.

#![expect(clippy::print_stdout, reason = "tests show what they measured")]

mod common;

use common::Seeded;
use propagation::reliability::{
    AreaCell, AreaConfig, AreaError, AreaShare, COMMON_BIAS_DB, COVERED, DELAY_SPREAD, Shadowing, Solver, area_share,
    covered_share, cumulative, fading_margin, probability, spatial_correlation,
};
use units::{Hertz, Metres, Point3};

#[test]
fn one_link_is_the_normal_distribution() {
    for margin in [-20.0, -3.0, 0.0, 4.0, 8.224, 25.0] {
        for correlation in [0.0, 0.5, 1.0] {
            assert!((probability(&[margin], 5.0, correlation) - cumulative(margin / 5.0)).abs() < 1e-12);
        }
    }
}

#[test]
fn independent_links_multiply() {
    for margins in [vec![0.0, 0.0], vec![3.0, -2.0, 5.0], vec![-8.0, -8.0, -8.0, -8.0]] {
        let none: f64 = margins.iter().map(|m| 1.0 - cumulative(m / 5.0)).product();
        assert!((probability(&margins, 5.0, 0.0) - (1.0 - none)).abs() < 1e-10);
    }
}

#[test]
fn fully_correlated_links_count_as_the_best() {
    assert!((probability(&[1.0, 4.0, -7.0], 5.0, 1.0) - cumulative(0.8)).abs() < 1e-12);
}

/// Two links at zero margin: `1 − (1/4 + asin(ρ)/2π)`, the orthant probability (Sheppard 1899).
#[test]
fn two_links_at_zero_margin() {
    for rho in [0.0, 0.1, 0.3, 0.5, 0.6, 0.61, 0.8, 0.9, 0.95, 0.98] {
        let expected = 1.0 - (0.25 + f64::asin(rho) / std::f64::consts::TAU);
        let got = probability(&[0.0, 0.0], 5.0, rho);
        assert!((got - expected).abs() < 1e-4, "{rho}: {got} {expected}");
    }
}

/// Seeded trials, 400,000 each: three standard errors are under 0.0024.
#[test]
fn seeded_trials() {
    let mut random = Seeded(2026);
    for (margins, rho) in [(vec![2.0, -1.0, 4.0], 0.5), (vec![-3.0, -4.0, -2.0, -6.0], 0.3), (vec![6.0, 5.0], 0.8)] {
        let trials = 400_000;
        let mut held = 0;
        for _ in 0..trials {
            let z = random.normal();
            let mut any = false;
            for m in &margins {
                any |= m + 5.0 * (f64::sqrt(rho) * z + f64::sqrt(1.0 - rho) * random.normal()) >= 0.0;
            }
            held += u32::from(any);
        }
        let (got, expected) = (probability(&margins, 5.0, rho), f64::from(held) / f64::from(trials));
        assert!((got - expected).abs() < 0.0025, "{margins:?} {rho}: {got} {expected}");
    }
}

#[test]
fn odd_input() {
    assert_eq!(probability(&[], 5.0, 0.5), 0.0);
    assert_eq!(probability(&[f64::NAN], 5.0, 0.5), 0.0);
    assert_eq!(probability(&[f64::NEG_INFINITY, f64::NEG_INFINITY], 5.0, 0.5), 0.0);
    assert_eq!(probability(&[1.0], 0.0, 0.5), 1.0);
    assert!((probability(&[f64::INFINITY, 0.0], 5.0, 0.5) - 1.0).abs() < 1e-9);
    assert!((probability(&[3.0, f64::NAN], 5.0, 0.5) - cumulative(0.6)).abs() < 1e-6);
    assert!((probability(&[3.0, f64::NEG_INFINITY], 5.0, 0.5) - cumulative(0.6)).abs() < 1e-6);
}

/// The shortcut decides as the full probability does.
#[test]
fn shortcut_agrees() {
    let solver = Solver::new(Shadowing::default());
    let mut random = Seeded(3);
    for _ in 0..2000 {
        let margins: Vec<f64> = (0..4).map(|_| random.between(-15.0, 12.0)).collect();
        assert_eq!(solver.reaches(&margins, COVERED), solver.probability(&margins) >= COVERED, "{margins:?}");
    }
}

/// Fading: trials of a Rayleigh channel with an exponential delay profile, power averaged over the channel.
#[test]
fn fading_margin_against_trials() {
    let mut random = Seeded(11);
    for (mhz, tolerance) in [(20.0, 0.4), (40.0, 0.3), (80.0, 0.3), (160.0, 0.2)] {
        let (taps, step) = (60, 2e-9);
        let amplitude: Vec<f64> = (0..taps).map(|i| (-f64::from(i) * step / DELAY_SPREAD.0).exp().sqrt()).collect();
        let scale: f64 = amplitude.iter().map(|a| a * a).sum();
        let tones = 48;
        let mut powers: Vec<f64> = (0..8000)
            .map(|_| {
                let channel: Vec<(f64, f64)> =
                    amplitude.iter().map(|a| (a * random.normal(), a * random.normal())).collect();
                let mut sum = 0.0;
                for k in 0..tones {
                    let f = mhz * 1e6 * (f64::from(k) + 0.5) / f64::from(tones);
                    let (mut re, mut im) = (0.0, 0.0);
                    for (i, (x, y)) in channel.iter().enumerate() {
                        let (s, c) = (-std::f64::consts::TAU * f * i as f64 * step).sin_cos();
                        re += x * c - y * s;
                        im += x * s + y * c;
                    }
                    sum += (re * re + im * im) / (2.0 * scale);
                }
                sum / f64::from(tones)
            })
            .collect();
        powers.sort_by(f64::total_cmp);
        let trial = -10.0 * powers[400].log10();
        let (margin, source) = fading_margin(Hertz::from_mhz(mhz));
        println!("{mhz} MHz: margin {:.2} dB, trials {trial:.2} dB", margin.0);
        assert!((margin.0 - trial).abs() < tolerance, "{mhz}: {margin} {trial}");
        assert!(source.from_memory);
    }
}

#[test]
fn share_of_an_area() {
    // 1.645 σ = 8.22 dB decide for a single link.
    let margins = [[3.0], [7.0], [8.3], [10.0], [20.0]];
    let share = covered_share(margins.iter().map(|m| (2.0, m.as_slice())), Shadowing::default()).unwrap();
    assert!((share.value - 0.6).abs() < 1e-12);
    assert!((share.low - 0.2).abs() < 1e-12 && (share.high - 0.8).abs() < 1e-12);
    assert!((COMMON_BIAS_DB - (6.5f64 * 6.5 - 25.0).sqrt()).abs() < 1e-12);
    assert!((share.confidence - (cumulative(1.0) - cumulative(-1.0))).abs() < 1e-3);
    assert!(covered_share(std::iter::empty(), Shadowing::default()).is_none());
}

/// A field of cells, row by row, with the margins of its links.
fn field(rows: usize, columns: usize, cell: f64, margins: impl Fn(f64, f64) -> Vec<f64>) -> Vec<(Point3, Vec<f64>)> {
    let place = |i: usize| ((i % columns) as f64 * cell, (i / columns) as f64 * cell);
    (0..rows * columns).map(place).map(|(x, y)| (Point3::new(x, y, 1.0), margins(x, y))).collect()
}

fn share(cells: &[(Point3, Vec<f64>)], config: &AreaConfig) -> AreaShare {
    let cells: Vec<AreaCell> =
        cells.iter().map(|(at, margins)| AreaCell { at: *at, area: 2.0, margins_db: margins }).collect();
    area_share(&cells, config).unwrap()
}

fn config(decorrelation: f64, common_db: f64) -> AreaConfig {
    AreaConfig { decorrelation: Metres(decorrelation), common_db, ..AreaConfig::default() }
}

/// The mean over a disc is the share of W. C. Jakes, "Microwave Mobile Communications", 1974, section 2.5.3 (from memory):
/// `½ [1 − erf a + e^{(1 − 2ab)/b²} (1 − erf((1 − ab)/b))]`, `a = −margin/σ√2` at the edge, `b = 10 n log₁₀e/σ√2`. For an
/// exponent of 4, 8 dB and 75 % at the edge it is 91 %, as textbooks' curves show.
#[test]
fn share_of_a_disc() {
    let erf = |x: f64| 2.0 * cumulative(x * std::f64::consts::SQRT_2) - 1.0;
    for (exponent, sigma_db, edge, expected) in
        [(4.0, 8.0, 0.75, Some(0.907)), (2.0, 5.0, 0.9, None), (3.0, 8.0, 0.5, None)]
    {
        let margin = sigma_db * propagation::reliability::quantile(edge);
        let root2 = std::f64::consts::SQRT_2;
        let (a, b) = (-margin / (sigma_db * root2), 10.0 * exponent * std::f64::consts::LOG10_E / (sigma_db * root2));
        let jakes = 0.5 * (1.0 - erf(a) + ((1.0 - 2.0 * a * b) / (b * b)).exp() * (1.0 - erf((1.0 - a * b) / b)));
        let disc: Vec<_> = field(120, 120, 0.25, |x, y| vec![(x - 14.875f64).hypot(y - 14.875)])
            .into_iter()
            .filter(|(_, r)| r[0] <= 15.0)
            .map(|(at, r)| (at, vec![margin + 10.0 * exponent * (15.0 / r[0].max(1e-9)).log10()]))
            .collect();
        let shadowing = Shadowing { sigma_db, correlation: 0.5 };
        let found = share(&disc, &AreaConfig { shadowing, common_db: 0.0, ..AreaConfig::default() });
        println!("n {exponent}, {sigma_db} dB, edge {edge}: {:.4}, Jakes {jakes:.4}", found.expected);
        assert!((found.expected - jakes).abs() < 1e-3, "{} {jakes}", found.expected);
        assert!(expected.is_none_or(|e: f64| (e - jakes).abs() < 1e-3), "{jakes}");
    }
}

/// All places share one shadowing: all or nothing.
#[test]
fn one_shadowing_for_all() {
    for margin in [-2.0, 0.0, 4.0, 9.0] {
        let found = share(&field(20, 30, 0.5, |_, _| vec![margin]), &config(f64::INFINITY, 0.0));
        let p = cumulative(margin / 5.0);
        assert!((found.expected - p).abs() < 1e-9);
        assert!((found.deviation / (p * (1.0 - p)).sqrt() - 1.0).abs() < 0.05, "{} {p}", found.deviation);
        assert!((found.at_least - if p > 0.9 { 1.0 } else { 0.0 }).abs() < 1e-6, "{} {p}", found.at_least);
    }
    // The same of the common error alone.
    let alone = AreaConfig { shadowing: Shadowing { sigma_db: 0.0, correlation: 0.5 }, ..config(6.0, 4.0) };
    let found = share(&field(20, 30, 0.5, |_, _| vec![2.0]), &alone);
    let p = cumulative(0.5);
    assert!((found.expected - p).abs() < 1e-9 && (found.deviation / (p * (1.0 - p)).sqrt() - 1.0).abs() < 0.05);
}

/// Every place has its own shadowing: binomial.
#[test]
fn no_correlation() {
    for (margin, links) in [(0.0, 1), (4.0, 1), (-2.0, 3)] {
        let cells = field(20, 30, 0.5, |_, _| vec![margin; links]);
        let found = share(&cells, &config(0.0, 0.0));
        let p = probability(&vec![margin; links], 5.0, 0.5);
        let deviation = (p * (1.0 - p) / 600.0).sqrt();
        println!("binomial {deviation:.4}, found {:.4}", found.deviation);
        assert!((found.expected - p).abs() < 1e-9);
        assert!((found.deviation / deviation - 1.0).abs() < 0.1, "{} {deviation}", found.deviation);
        assert!((found.at_least - (p - 1.2816 * deviation)).abs() < 0.3 * deviation, "{found:?}");
    }
}

/// Two places at zero margin: the variance of their share is `1/8 + asin(R)/4π` (Sheppard 1899).
#[test]
fn two_places() {
    for distance in [0.5, 3.0, 6.0, 20.0] {
        let found = share(&field(1, 2, distance, |_, _| vec![0.0]), &config(6.0, 0.0));
        let correlation = spatial_correlation(Metres(distance), Metres(6.0));
        let deviation = (0.125 + correlation.asin() / (2.0 * std::f64::consts::TAU)).sqrt();
        assert!((found.deviation / deviation - 1.0).abs() < 0.03, "{distance}: {} {deviation}", found.deviation);
    }
}

/// Draws of dense fields: every cell its own variable, Cholesky's root of the whole covariance.
fn dense(cells: &[(Point3, Vec<f64>)], config: &AreaConfig, draws: usize, random: &mut Seeded) -> AreaShare {
    let n = cells.len();
    let mut root = vec![vec![0.0; n]; n];
    for i in 0..n {
        for k in 0..=i {
            let known: f64 = (0..k).map(|m| root[i][m] * root[k][m]).sum();
            let rest = spatial_correlation(Metres(cells[i].0.distance(cells[k].0)), config.decorrelation) - known;
            root[i][k] = if i == k { rest.max(1e-12).sqrt() } else { rest / root[k][k] };
        }
    }
    let Shadowing { sigma_db, correlation } = config.shadowing;
    let links = cells[0].1.len();
    let mut shares: Vec<f64> = (0..draws)
        .map(|_| {
            let fields: Vec<Vec<f64>> = (0..=links)
                .map(|_| {
                    let own: Vec<f64> = (0..n).map(|_| random.normal()).collect();
                    root.iter().map(|row| row.iter().zip(&own).map(|(a, b)| a * b).sum()).collect()
                })
                .collect();
            let common = config.common_db * random.normal();
            let is_served = |i: usize| {
                cells[i].1.iter().enumerate().any(|(l, m)| {
                    let own = correlation.sqrt() * fields[links][i] + (1.0 - correlation).sqrt() * fields[l][i];
                    m + sigma_db * own + common >= 0.0
                })
            };
            (0..n).filter(|i| is_served(*i)).count() as f64 / n as f64
        })
        .collect();
    let expected = shares.iter().sum::<f64>() / draws as f64;
    let variance = shares.iter().map(|s| (s - expected).powi(2)).sum::<f64>() / draws as f64;
    shares.sort_by(f64::total_cmp);
    let at_least = shares[((1.0 - config.confidence) * draws as f64) as usize];
    AreaShare { expected, deviation: variance.sqrt(), at_least, confidence: config.confidence }
}

/// 5,000 dense draws: their standard errors are about 1 % of the deviation and 0.025 deviations of the quantile.
#[test]
fn share_against_dense_draws() {
    let mut random = Seeded(42);
    let sites = [(1.0, 1.0), (10.0, 2.0), (5.0, 8.0)];
    // A storey of 11 × 9 m with three sites.
    let several = field(12, 14, 0.8, |x, y| {
        sites.iter().map(|(a, b)| 4.0 - 30.0 * ((x - a).hypot(y - b).max(0.3) / 4.0).log10()).collect()
    });
    let one = field(12, 14, 0.8, |x, y| vec![4.0 - 25.0 * (x.hypot(y).max(0.3) / 8.0).log10()]);
    for (name, cells, decorrelation, common_db, correlation) in [
        ("one", &one, 1.0, 0.0, 0.5),
        ("one", &one, 6.0, 0.0, 0.5),
        ("one", &one, 6.0, COMMON_BIAS_DB, 0.5),
        ("several", &several, 1.3, 0.0, 0.5),
        ("several", &several, 6.0, 0.0, 0.0),
        ("several", &several, 6.0, 0.0, 0.5),
        ("several", &several, 6.0, COMMON_BIAS_DB, 0.5),
        ("several", &several, 20.0, 0.0, 0.5),
    ] {
        let shadowing = Shadowing { sigma_db: 5.0, correlation };
        let config = AreaConfig { shadowing, ..config(decorrelation, common_db) };
        let (found, dense) = (share(cells, &config), dense(cells, &config, 5000, &mut random));
        println!(
            "{name} {decorrelation} m, common {common_db:.1}, correlation {correlation}: mean {:.4}/{:.4}, deviation {:.4}/{:.4}, at least {:.4}/{:.4}",
            found.expected, dense.expected, found.deviation, dense.deviation, found.at_least, dense.at_least
        );
        assert!((found.expected - dense.expected).abs() < 4.0 * dense.deviation / 5000f64.sqrt());
        assert!((found.deviation / dense.deviation - 1.0).abs() < 0.07);
        assert!((found.at_least - dense.at_least).abs() < 0.015);
    }
}

/// Twice the same, and the same within the draws for cells in another order.
#[test]
fn share_is_repeatable() {
    let mut cells = field(12, 14, 0.8, |x, y| vec![6.0 - 2.0 * x, 2.0 * y - 8.0]);
    let found = share(&cells, &AreaConfig::default());
    assert_eq!(found, share(&cells, &AreaConfig::default()));
    cells.reverse();
    let reversed = share(&cells, &AreaConfig::default());
    assert!((reversed.expected - found.expected).abs() < 1e-12 && (reversed.at_least - found.at_least).abs() < 0.03);
    // More cells than single precision could add up one by one.
    let many = share(&field(1, 300_000, 0.0, |_, _| vec![f64::INFINITY]), &AreaConfig::default());
    assert!(many.at_least > 0.999_99, "{many:?}");
}

#[test]
fn area_share_refuses_what_it_cannot_use() {
    let margins = [3.0];
    let cell = AreaCell { at: Point3::new(0.0, 0.0, 1.0), area: 1.0, margins_db: &margins };
    let refused = |cell: AreaCell, config: AreaConfig| area_share(&[cell], &config).unwrap_err();
    let usual = AreaConfig::default();
    assert!(matches!(area_share(&[], &usual), Err(AreaError::Empty { .. })));
    assert!(matches!(refused(AreaCell { area: 0.0, ..cell }, usual), AreaError::Empty { .. }));
    for area in [-1.0, f64::NAN, f64::INFINITY] {
        assert!(matches!(refused(AreaCell { area, ..cell }, usual), AreaError::Cell { index: 0, .. }));
    }
    for x in [f64::NAN, f64::INFINITY, 1e300] {
        let at = Point3::new(x, 0.0, 0.0);
        assert!(matches!(refused(AreaCell { at, ..cell }, usual), AreaError::Cell { index: 0, .. }));
    }
    let many = [0.0; 65];
    assert!(matches!(refused(AreaCell { margins_db: &many, ..cell }, usual), AreaError::Links { count: 65, .. }));
    for bad in [
        AreaConfig { confidence: 1.0, ..usual },
        AreaConfig { common_db: f64::NAN, ..usual },
        AreaConfig { decorrelation: Metres(-1.0), ..usual },
        AreaConfig { shadowing: Shadowing { sigma_db: -5.0, correlation: 0.5 }, ..usual },
    ] {
        let error = refused(cell, bad);
        assert!(matches!(error, AreaError::Config { .. }) && error.to_string().contains("not allowed"));
    }
    // No link, or links without end, are no error.
    let none = area_share(&[AreaCell { margins_db: &[], ..cell }, cell], &usual).unwrap();
    let half = area_share(&[AreaCell { margins_db: &[f64::NAN, f64::NEG_INFINITY], ..cell }, cell], &usual).unwrap();
    assert!(none.expected < 0.5 && none.expected == half.expected);
    let sure = area_share(&[AreaCell { margins_db: &[f64::INFINITY], ..cell }], &usual).unwrap();
    assert!(sure.expected > 0.999_999 && sure.at_least > 0.999_999 && sure.deviation < 1e-6);
}
