//! Saturated contention against an event-driven simulator of our own, for mixes beyond the packet simulator's runs.

#![expect(clippy::print_stdout, reason = "prints the table of errors with --nocapture")]

mod common;

use common::cases::{Setting, cases, setting};
use common::simulator::simulate;
use radio_profile::{Band, Generation};
use units::{Hertz, Seconds};
use wlan::contention::{Access, Channel, Frame, Phy, Protection, Station, saturated};
use wlan::{GuardInterval, Mode};

fn frame(generation: Generation, band: Band, mhz: f64, streams: u8, mcs: u8) -> Frame {
    let mode = Mode { generation, width: Hertz::from_mhz(mhz), streams, mcs, gi: GuardInterval::Ns800 };
    Frame::new(Phy::High(mode), band)
}

fn several(count: usize, access: Access, frame: &Frame) -> Vec<Station> {
    vec![Station { access, exchanges: vec![frame.exchange().unwrap()] }; count]
}

/// The simulator's own check: the packet simulator's runs, without their beacons' few permille.
#[test]
fn the_simulator_agrees_with_the_packet_simulator() {
    let mut errors = Vec::new();
    for (i, case) in cases().iter().enumerate().filter(|(_, c)| !c.downlink) {
        let Setting { channel, stations, .. } = setting(case).unwrap();
        let counts = simulate(&channel, &stations, &vec![None; stations.len()], i as u64, 6.0);
        let beacons = channel.beacons.map_or(0.0, |b| (b.airtime.0 + 43e-6) / b.interval.0);
        let mbps = counts.iter().map(|c| c.delivered_bits).sum::<f64>() * 1e-6 * (1.0 - beacons);
        errors.push((mbps / case.aggregate_mbps.unwrap() - 1.0).abs());
    }
    errors.sort_by(f64::total_cmp);
    println!("median {:.4}, largest {:.4}", errors[errors.len() / 2], errors[errors.len() - 1]);
    assert!(errors[errors.len() / 2] < 0.01);
    assert!(errors[errors.len() - 1] < 0.1);
}

/// Mean of several seeds beside the engine: aggregate within 3 %, each class within 10 %.
fn check(name: &str, channel: &Channel, classes: &[Vec<Station>]) {
    let stations = classes.concat();
    let shares = saturated(channel, &stations).unwrap();
    assert!(shares.converged, "{name}");
    let seeds = 8;
    let mut sums = vec![0.0; stations.len()];
    let (mut attempts, mut failures) = (vec![0; stations.len()], vec![0; stations.len()]);
    for seed in 0..seeds {
        for (i, count) in simulate(channel, &stations, &vec![None; stations.len()], seed, 20.0).iter().enumerate() {
            sums[i] += count.delivered_bits / seeds as f64;
            attempts[i] += count.attempts;
            failures[i] += count.failures;
        }
    }
    let all = shares.aggregate().0 / sums.iter().sum::<f64>() - 1.0;
    println!("{name}: aggregate {:.2} Mbit/s {:+.2} %", shares.aggregate().mbps(), 100.0 * all);
    let mut from = 0;
    let mut errors = Vec::new();
    for class in classes {
        let to = from + class.len();
        let model: f64 = shares.stations[from..to].iter().map(|s| s.throughput.0).sum();
        let error = model / sums[from..to].iter().sum::<f64>() - 1.0;
        let p = failures[from..to].iter().sum::<u64>() as f64 / attempts[from..to].iter().sum::<u64>() as f64;
        println!(
            "    class of {}: {:+.2} %, p {:.3} simulated {p:.3}",
            class.len(),
            100.0 * error,
            shares.stations[from].collision_probability
        );
        errors.push(error);
        from = to;
    }
    assert!(all.abs() < 0.03, "{name}: aggregate {all}");
    assert!(errors.iter().all(|e| e.abs() < 0.1), "{name}: classes {errors:?}");
}

#[test]
fn other_mixes() {
    let ofdm = |mbps| Frame::new(Phy::Ofdm { mbps }, Band::Ghz5);
    let he = frame(Generation::Ax, Band::Ghz5, 80.0, 2, 9);
    let vht = frame(Generation::Ac, Band::Ghz5, 80.0, 1, 7);
    let ht = frame(Generation::N, Band::Ghz2, 20.0, 1, 5);
    let channel = Channel::ofdm();
    let best = Access::BEST_EFFORT;
    check(
        "three rates",
        &channel,
        &[
            several(2, Access::DCF_OFDM, &ofdm(6.0)),
            several(3, Access::DCF_OFDM, &ofdm(18.0)),
            several(6, Access::DCF_OFDM, &ofdm(54.0)),
        ],
    );
    check("aggregates of two generations", &channel, &[several(4, best, &he), several(4, best, &vht)]);
    check(
        "aggregate and single frames",
        &channel,
        &[several(3, best, &he), several(3, best, &Frame { mpdus_max: Some(1), ..vht.clone() })],
    );
    let protected = Frame { protection: Protection::RtsCts { mbps: 24.0 }, ..he.clone() };
    check("with and without RTS", &channel, &[several(3, best, &protected), several(3, best, &he)]);
    check(
        "2.4 GHz",
        &Channel::erp(),
        &[several(5, best, &ht), several(2, best, &Frame { mpdus_max: Some(1), ..ht.clone() })],
    );
    check(
        "802.11b and a short preamble",
        &Channel::dsss(),
        &[
            several(3, Access::DCF_DSSS, &Frame::new(Phy::Dsss { mbps: 5.5, short_preamble: true }, Band::Ghz2)),
            several(3, Access::DCF_DSSS, &Frame::new(Phy::Dsss { mbps: 2.0, short_preamble: false }, Band::Ghz2)),
        ],
    );
    let single = Frame { mpdus_max: Some(1), ..he.clone() };
    let plain = |access| Access { txop_limit: Seconds(0.0), ..access };
    check(
        "voice beside best effort",
        &channel,
        &[several(2, plain(Access::VOICE), &single), several(4, best, &single)],
    );
    check(
        "video bursts beside best effort",
        &channel,
        &[several(2, Access::VIDEO, &single), several(4, best, &single)],
    );
    check(
        "best effort beside background",
        &channel,
        &[several(3, best, &single), several(3, Access::BACKGROUND, &single)],
    );
    check("all bystanders wait EIFS", &Channel { heard: 1.0, ..Channel::erp() }, &[several(12, best, &ht)]);
    check("none waits EIFS", &Channel { heard: 0.0, ..Channel::erp() }, &[several(12, best, &ht)]);
    check("forty stations", &channel, &[several(40, best, &single)]);
}
