//! Stations with an offered load against the event-driven simulator.

#![expect(clippy::print_stdout, reason = "prints the table of errors with --nocapture")]

mod common;

use common::simulator::simulate;
use radio_profile::Band;
use units::BitsPerSecond;
use wlan::contention::{Access, Channel, ContentionError, Frame, Load, Phy, Station, loaded, saturated};

fn ofdm(mbps: f64) -> Station {
    Station {
        access: Access::DCF_OFDM,
        exchanges: vec![Frame::new(Phy::Ofdm { mbps }, Band::Ghz5).exchange().unwrap()],
    }
}

/// Largest relative error of what a station delivers; that stable queues are told from others.
fn check(name: &str, loads: &[Load]) -> f64 {
    let channel = Channel::ofdm();
    let shares = loaded(&channel, loads).unwrap();
    let stations: Vec<Station> = loads.iter().map(|l| l.station.clone()).collect();
    let rates: Vec<Option<f64>> =
        loads.iter().map(|l| Some(l.offered.0 / l.station.exchanges[0].payload_bits)).collect();
    let counts = simulate(&channel, &stations, &rates, 7, 120.0);
    let mut worst: f64 = 0.0;
    for (i, ((share, count), load)) in shares.iter().zip(&counts).zip(loads).enumerate() {
        let delay = count.sojourn.0 / count.sojourn.1 as f64;
        println!(
            "{name} {i}: stable {} offered {:.2} model {:.3} simulated {:.3} Mbit/s; utilisation {:.3} {:.3}; delay {:.3} {:.3} ms",
            share.stable,
            load.offered.mbps(),
            share.throughput.mbps(),
            count.delivered_bits * 1e-6,
            share.utilisation,
            count.backlogged,
            share.delay.0 * 1e3,
            delay * 1e3
        );
        assert_eq!(share.stable, count.delivered_bits > 0.97 * load.offered.0, "{name} {i}");
        worst = worst.max((share.throughput.0 / count.delivered_bits - 1.0).abs());
    }
    worst
}

fn load(mbps: f64, offered: f64) -> Load {
    Load { station: ofdm(mbps), offered: BitsPerSecond::from_mbps(offered) }
}

#[test]
fn loads_are_carried_as_in_the_simulator() {
    for (name, loads) in [
        ("light", vec![load(54.0, 1.0); 5]),
        ("heavy", vec![load(54.0, 5.2); 5]),
        ("too heavy", vec![load(54.0, 7.0); 5]),
        ("one too heavy", [vec![load(54.0, 2.0); 4], vec![load(54.0, 40.0)]].concat()),
        ("a slow one", [vec![load(54.0, 2.0); 4], vec![load(6.0, 1.5)]].concat()),
        ("slow and too heavy", [vec![load(54.0, 2.0); 4], vec![load(6.0, 5.0)]].concat()),
    ] {
        let worst = check(name, &loads);
        assert!(worst < 0.05, "{name}: {worst}");
    }
}

#[test]
fn full_load_is_saturation() {
    let channel = Channel::ofdm();
    let shares = loaded(&channel, &vec![load(54.0, 1000.0); 8]).unwrap();
    let full = saturated(&channel, &vec![ofdm(54.0); 8]).unwrap();
    assert!(!shares[0].stable && shares[0].delay.0.is_infinite());
    assert!((shares[0].throughput.0 / full.stations[0].throughput.0 - 1.0).abs() < 0.01);
}

#[test]
fn bad_loads_are_refused() {
    let channel = Channel::ofdm();
    assert_eq!(loaded(&channel, &[]), Err(ContentionError::NoStations));
    for offered in [f64::NAN, -1.0, f64::INFINITY] {
        let bad = Load { station: ofdm(6.0), offered: BitsPerSecond(offered) };
        assert!(matches!(loaded(&channel, &[bad]), Err(ContentionError::Station { .. })));
    }
    let silent = loaded(&channel, &[load(54.0, 0.0), load(54.0, 1.0)]).unwrap();
    assert!(silent[0].stable && silent[0].throughput.0 == 0.0 && silent[0].utilisation < 1e-5);
}
