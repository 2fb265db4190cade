//! Success rates against a packet simulator's test suite, the code's spectrum against its trellis, and what must hold for any frame.

use proptest::prelude::*;
use units::{Db, Dbm, Hertz};
use wlan::{Modulation, noise, snr_for, success};

#[test]
fn every_row_of_the_packet_simulator_is_met() {
    let mut reader = csv::Reader::from_path("tests/data/phy_success_rate_ns3.csv").unwrap();
    let mut rows = 0;
    for row in reader.records() {
        let row = row.unwrap();
        let number = |idx: usize| row[idx].parse::<f64>().unwrap();
        let (x, expected, tolerance) = (number(2), number(4), number(5));
        let rate = match &row[1] {
            "DsssDbpsk" => 1.0,
            "DsssDqpsk" => 2.0,
            "DsssDqpskCck5_5" => 5.5,
            "DsssDqpskCck11" => 11.0,
            ofdm => ofdm.trim_start_matches("OfdmRate").trim_end_matches("Mbps").parse().unwrap(),
        };
        // The DSSS rows give a level: noise in 22 MHz at 290 K, noise figure 7 dB; frames of 1024 octets and 54 of headers.
        let by_level = row[0].starts_with("DSSS");
        let snr = if by_level { Dbm(x) - noise(Hertz::from_mhz(22.0), Db(7.0)) } else { Db(x) };
        let octets = if by_level { 1024 + 54 } else { 2000 };
        let got = success(Modulation::of_legacy_rate(rate).unwrap(), snr, octets);
        assert!((got - expected).abs() <= tolerance, "{row:?}: {got}");
        rows += 1;
    }
    assert_eq!(rows, 64);
}

/// The first terms stand in D. Haccoun, G. Bégin, IEEE Trans. Commun. 37(11), 1989; here all that the model uses are counted.
#[test]
fn the_model_uses_the_spectrum_of_the_code() {
    for (mcs, free, terms, pattern, first) in [
        (0, 10, 9, vec![(1, 1)], vec![36, 211, 1404]),
        (5, 6, 10, vec![(1, 1), (1, 0)], vec![3, 70, 285]),
        (2, 5, 10, vec![(1, 1), (1, 0), (0, 1)], vec![42, 201, 1492]),
        (7, 4, 10, vec![(1, 1), (1, 0), (0, 1), (1, 0), (0, 1)], vec![92, 528, 8694]),
    ] {
        let step = if mcs == 0 { 2 } else { 1 };
        let most = free + step * (terms - 1);
        let counted: Vec<(usize, u64)> = spectrum(&pattern, most).into_iter().enumerate().filter(|c| c.1 > 0).collect();
        let weights: Vec<u64> = counted.iter().map(|c| c.1).collect();
        assert_eq!(weights.len(), terms);
        assert_eq!((counted[0].0, &weights[..3]), (free, &first[..]));
        let (constellation, rate) = match Modulation::of_mcs(mcs) {
            Some(Modulation::Ofdm(constellation, rate)) => (constellation, rate),
            other => panic!("{other:?}"),
        };
        // One octet in a ratio where errors are neither rare nor certain: success gives the bound back.
        let snr = snr_for(Modulation::Ofdm(constellation, rate), 1, 0.9).unwrap();
        let scale = if mcs >= 5 {
            21.0 * 2.0
        } else if mcs == 0 {
            1.0
        } else {
            2.0
        };
        let share = if mcs >= 5 { 7.0 / 12.0 } else { 1.0 };
        let p = share * 0.5 * libm::erfc((snr.ratio() / scale).sqrt());
        let d = (4.0 * p * (1.0 - p)).sqrt();
        let sum: f64 = counted.iter().map(|(distance, weight)| *weight as f64 * d.powi(*distance as i32)).sum();
        let expected = (1.0 - 0.5 * sum / pattern.len() as f64).powi(8);
        assert!((expected - 0.9).abs() < 1e-7, "MCS {mcs}: {expected}");
    }
}

/// Bit errors of all paths that leave the all-zero path and come back, by the weight of what is sent of them; the puncturing may start at any phase.
fn spectrum(pattern: &[(u32, u32)], most: usize) -> Vec<u64> {
    let mut bit_errors = vec![0u64; most + 1];
    for start in 0..pattern.len() {
        // By state and weight: paths and the ones among their information bits.
        let mut paths = vec![vec![(0u64, 0u64); most + 1]; 64];
        paths[0][0] = (1, 0);
        let mut phase = start;
        let mut is_first = true;
        loop {
            let mut next = vec![vec![(0u64, 0u64); most + 1]; 64];
            for (state, by_weight) in paths.iter().enumerate() {
                for (weight, (num, ones)) in by_weight.iter().enumerate().filter(|(_, p)| p.0 > 0) {
                    for bit in if is_first { 1..=1 } else { 0..=1u32 } {
                        let register = (bit << 6) | state as u32;
                        let sent = (register & 0o133).count_ones() % 2 * pattern[phase].0
                            + (register & 0o171).count_ones() % 2 * pattern[phase].1;
                        let slot = weight + sent as usize;
                        if slot <= most {
                            let entry = &mut next[(register >> 1) as usize][slot];
                            entry.0 += num;
                            entry.1 += ones + u64::from(bit) * num;
                        }
                    }
                }
            }
            for (weight, (_, ones)) in next[0].iter_mut().enumerate() {
                bit_errors[weight] += *ones;
                *ones = 0;
            }
            next[0].iter_mut().for_each(|p| *p = (0, 0));
            is_first = false;
            phase = (phase + 1) % pattern.len();
            paths = next;
            if paths.iter().flatten().all(|p| p.0 == 0) {
                break;
            }
        }
    }
    bit_errors
}

fn modulations() -> impl Strategy<Value = Modulation> {
    prop_oneof![
        (0u8..14).prop_map(|mcs| Modulation::of_mcs(mcs).unwrap()),
        prop::sample::select(vec![1.0, 2.0, 5.5, 11.0, 6.0, 9.0, 12.0, 18.0, 24.0, 36.0, 48.0, 54.0])
            .prop_map(|mbps| Modulation::of_legacy_rate(mbps).unwrap()),
    ]
}

proptest! {
    #[test]
    fn success_rises_with_the_ratio_and_falls_with_length(
        modulation in modulations(), snr in -30.0..60.0f64, more in 0.0..20.0f64, octets in 1u32..10_000, longer in 0u32..10_000,
    ) {
        let at = |snr: f64, octets: u32| success(modulation, Db(snr), octets);
        let base = at(snr, octets);
        prop_assert!((0.0..=1.0).contains(&base));
        prop_assert!(at(snr + more, octets) >= base - 1e-12);
        prop_assert!(at(snr, octets + longer) <= base + 1e-12);
    }

    #[test]
    fn the_ratio_for_a_share_is_the_inverse(modulation in modulations(), octets in 1u32..10_000, share in 0.01..0.999f64) {
        let snr = snr_for(modulation, octets, share).unwrap();
        // Frames of a few octets arrive by luck more often than that at any ratio.
        prop_assume!(snr.0 > -39.0);
        let got = success(modulation, snr, octets);
        prop_assert!(got >= share && got - share < 1e-4, "{got}");
    }

    #[test]
    fn a_denser_constellation_needs_more(octets in 40u32..5000, share in 0.05..0.999f64) {
        // MCS 5 to 13 by pairs of equal code rate, and within a constellation by code rate.
        let need = |mcs: u8| snr_for(Modulation::of_mcs(mcs).unwrap(), octets, share).unwrap().0;
        for (low, high) in [(0, 1), (1, 2), (1, 3), (3, 4), (2, 4), (4, 6), (5, 6), (6, 7), (6, 8), (8, 9), (8, 10), (10, 11), (10, 12), (12, 13)] {
            prop_assert!(need(low) < need(high), "MCS {low} and {high}");
        }
    }
}
