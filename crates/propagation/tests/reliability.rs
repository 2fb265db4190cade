//! Probabilities against closed forms and seeded trials.

#![expect(clippy::print_stdout, reason = "tests show what they measured")]

mod common;

use common::Seeded;
use propagation::reliability::{
    COMMON_BIAS_DB, COVERED, DELAY_SPREAD, Shadowing, Solver, covered_share, cumulative, fading_margin, probability,
};
use units::Hertz;

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
