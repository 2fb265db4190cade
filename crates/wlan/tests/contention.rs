//! Saturated contention against 72 runs of the packet simulator ns-3.44 (`data/mac/cases.json`).

#![expect(clippy::print_stdout, reason = "prints the table of errors with --nocapture")]

mod common;

use common::cases::{beside, cases, predict, read, setting};

#[test]
fn packet_simulator_cases() {
    let mut all = Vec::new();
    for (i, case) in cases().iter().enumerate() {
        let shares = predict(case).unwrap();
        let errors: Vec<f64> = beside(case, &shares).iter().filter_map(|b| b.error()).collect();
        println!(
            "{i:2} {} {} {:2} {:14} {:9.3} {:9.3} {:?} p {:.3} iterations {} {}",
            case.std,
            if case.downlink { "dl" } else { "ul" },
            case.n_sta_per_ap,
            case.mode,
            case.aggregate_mbps.unwrap(),
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
