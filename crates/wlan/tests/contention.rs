//! Saturated contention against 72 runs of the packet simulator ns-3.44 (`data/mac/cases.json`).

#![expect(clippy::print_stdout, reason = "prints the table of errors with --nocapture")]

mod common;

use common::cases::{Case, beside, cases, more_cases, predict, read, setting};

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

/// Largest relative errors of the aggregate, ascending, with the run's name.
fn aggregate_errors(of: impl Iterator<Item = Case>) -> Vec<(f64, String)> {
    let mut all: Vec<(f64, String)> = of
        .map(|case| (beside(&case, &predict(&case).unwrap())[0].error().unwrap(), case.name))
        .inspect(|(e, name)| println!("{name}: {:+.2} %", 100.0 * e))
        .map(|(e, name)| (e.abs(), name))
        .collect();
    all.sort_by(|a, b| a.0.total_cmp(&b.0));
    all
}

/// Two access points on one channel, other modes, A-MSDU, TXOP: all stations hear each other.
#[test]
fn further_runs_of_the_packet_simulator() {
    let complete = |case: &Case| setting(case).unwrap().hearing.is_complete();
    let all = aggregate_errors(more_cases().into_iter().filter(complete));
    assert!(all.len() >= 30);
    let (median, worst) = (&all[all.len() / 2], &all[all.len() - 1]);
    println!("median {median:?}, worst {worst:?}");
    assert!(median.0 < 0.025, "{median:?}");
    // 40 MHz HT with two access points; the next is 7.4 %.
    assert!(worst.0 < 0.12, "{worst:?}");
    assert!(all[all.len() - 2].0 < 0.08, "{:?}", all[all.len() - 2]);
}

/// Not all hear each other: single frames and protected ones. Unprotected aggregates of hidden stations are known not to be met; see the README.
#[test]
fn runs_with_partial_hearing() {
    let partial = |case: &Case| !setting(case).unwrap().hearing.is_complete();
    let (aggregates, single): (Vec<Case>, Vec<Case>) =
        more_cases().into_iter().filter(partial).partition(|c| c.max_ampdu_bytes > 0 && !c.rts);
    let all = aggregate_errors(single.into_iter());
    assert!(all.len() >= 8);
    assert!(all[all.len() / 2].0 < 0.1, "{all:?}");
    assert!(all[all.len() - 1].0 < 0.5, "{all:?}");
    for (error, name) in aggregate_errors(aggregates.into_iter()) {
        assert!((0.3..1.0).contains(&error), "{name}: {error}: better than the README says, or worse");
    }
}

/// Whatever a file says, the answer is a number or an error with the run and its key.
#[test]
fn what_cannot_be_read_is_named() {
    let good = r#"{"label": "x", "std": "a", "channel": "{36, 20, BAND_5GHZ, 0}", "dir": "ul", "n_sta_per_ap": 2, "mode": "OfdmRate6Mbps"}"#;
    let answer = |case: &str| -> Result<f64, String> {
        let cases = read(&format!(r#"{{"cases": [{case}]}}"#)).map_err(|e| e.to_string())?;
        predict(&cases[0]).map(|s| s.aggregate().mbps()).map_err(|e| e.to_string())
    };
    assert!(answer(good).unwrap() > 4.0);
    for (from, to, key) in [
        ("\"a\"", "\"z9\"", "std"),
        ("\"a\"", "7", "std"),
        ("\"ul\"", "\"up\"", "dir"),
        ("{36, 20, BAND_5GHZ, 0}", "36", "channel"),
        ("BAND_5GHZ", "BAND_9GHZ", "channel"),
        ("BAND_5GHZ, 0", "BAND_5GHZ, 3", "channel"),
        ("BAND_5GHZ", "BAND_2_4GHZ", "channel"),
        ("OfdmRate6Mbps", "OfdmRate7Mbps", "mode"),
        ("OfdmRate6Mbps", "HeMcs11", "mode"),
        ("OfdmRate6Mbps", "", "mode"),
        ("\"n_sta_per_ap\": 2", "\"n_sta_per_ap\": 0", "n_sta_per_ap"),
        ("\"n_sta_per_ap\": 2", "\"n_sta_per_ap\": 2.5", "n_sta_per_ap"),
        ("\"n_sta_per_ap\": 2", "\"n_sta_per_ap\": 1e300", "n_sta_per_ap"),
        ("\"n_sta_per_ap\": 2", "\"n_sta_per_ap\": 2, \"n_slow\": 1", "slow_mode"),
        ("\"n_sta_per_ap\": 2", "\"n_sta_per_ap\": 2, \"per_station_mbps\": [1]", "per_station_mbps"),
        ("\"n_sta_per_ap\": 2", "\"n_sta_per_ap\": 2, \"udp_payload_bytes\": -1", "udp_payload_bytes"),
        ("\"n_sta_per_ap\": 2", "\"n_sta_per_ap\": 2, \"rts\": 1", "rts"),
        ("\"mode\"", "\"mood\"", "mode"),
    ] {
        assert!(good.contains(from), "{from}");
        let error = answer(&good.replace(from, to)).unwrap_err();
        assert!(error.contains("0 (x)") && error.contains(&format!("`{key}`")), "{from} -> {to}: {error}");
    }
    assert!(read("not json").is_err() && read("{}").is_err() && read("[3]").is_err());
}
