//! Saturated contention against 72 runs of the packet simulator ns-3.44 (`data/mac/cases.json`).

#![expect(clippy::print_stdout, reason = "prints the table of errors with --nocapture")]

mod common;

use common::cases::{Case, cases, setting};
use wlan::contention::{Shares, saturated};

/// Relative errors: of the aggregate, and of the mean of each class of stations with the same parameters.
fn errors(case: &Case, shares: &Shares) -> Vec<f64> {
    let got: Vec<f64> = if case.downlink() {
        shares.stations[0].by_exchange.iter().map(|b| b.mbps()).collect()
    } else {
        shares.stations.iter().map(|s| s.throughput.mbps()).collect()
    };
    assert_eq!(got.len(), case.per_station_mbps.len());
    let slow = case.n_slow;
    let mean = |v: &[f64]| v.iter().sum::<f64>() / v.len() as f64;
    let mut errors = vec![shares.aggregate().mbps() / case.aggregate_mbps - 1.0];
    if slow > 0 {
        errors.push(mean(&got[..slow]) / mean(&case.per_station_mbps[..slow]) - 1.0);
        errors.push(mean(&got[slow..]) / mean(&case.per_station_mbps[slow..]) - 1.0);
    }
    errors
}

#[test]
fn packet_simulator_cases() {
    let mut all = Vec::new();
    for (i, case) in cases().iter().enumerate() {
        let (channel, stations) = setting(case);
        let shares = saturated(&channel, &stations).unwrap();
        let errors = errors(case, &shares);
        println!(
            "{i:2} {} {} {:2} {:14} {:9.3} {:9.3} {:?} p {:.3} iterations {} {}",
            case.std,
            case.dir,
            case.n_sta_per_ap,
            case.mode,
            case.aggregate_mbps,
            shares.aggregate().mbps(),
            errors.iter().map(|e| format!("{:+.2}%", 100.0 * e)).collect::<Vec<_>>(),
            shares.stations[0].collision_probability,
            shares.iterations,
            shares.converged,
        );
        assert!(shares.converged, "case {i}");
        for e in errors {
            all.push((e.abs(), i));
        }
    }
    assert!(all.len() >= 72);
    all.sort_by(|a, b| a.0.total_cmp(&b.0));
    let median = all[all.len() / 2].0;
    println!("median {median:.5}, largest {:?}", &all[all.len() - 6..]);
    // Reached: median 0.16 %; the reason of each larger miss is in the README.
    assert!(median < 0.005, "median {median}");
    let misses: Vec<_> = all.iter().filter(|(e, _)| *e > 0.1).collect();
    assert!(misses.is_empty(), "{misses:?}");
}
