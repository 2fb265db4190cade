//! Stations that do not all hear each other, against an event-driven simulator of our own over generated homes.

#![expect(clippy::print_stdout, reason = "prints the table of errors with --nocapture")]

mod common;

use common::among::simulate_among;
use common::simulator::Random;
use radio_profile::{Band, Generation};
use units::{Db, Dbm, Hertz};
use wlan::contention::{
    Access, Channel, Frame, Hearing, Path, Phy, Protection, Radio, Speaker, Station, hearing, needed_sinr, saturated,
    saturated_among,
};
use wlan::{GuardInterval, Mode};

/// One way to send.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Kind {
    Plain,
    Protected,
    Aggregate,
    ProtectedAggregate,
}

impl Kind {
    fn protected(self) -> bool {
        matches!(self, Kind::Protected | Kind::ProtectedAggregate)
    }
}

/// A home: access points in the middle and stations about them, up or down, and who hears whom.
fn home(
    kind: Kind,
    downlink: bool,
    num_aps: usize,
    num_stations: usize,
    radius_m: f64,
    random: &mut Random,
) -> (Vec<Station>, Hearing) {
    let phy = match kind {
        Kind::Plain | Kind::Protected => Phy::Ofdm { mbps: [6.0, 12.0, 24.0][random.up_to(2) as usize] },
        Kind::Aggregate | Kind::ProtectedAggregate => Phy::High(Mode {
            generation: Generation::N,
            width: Hertz::from_mhz(20.0),
            streams: 1,
            mcs: random.up_to(3) as u8,
            gi: GuardInterval::Ns800,
        }),
    };
    let mut frame = Frame::new(phy, Band::Ghz5);
    if kind.protected() {
        frame.protection = Protection::RtsCts { mbps: 6.0 };
    }
    if kind == Kind::Aggregate || kind == Kind::ProtectedAggregate {
        frame.mpdus_max = Some(4 + random.up_to(12));
    }
    let access = if matches!(phy, Phy::High(_)) { Access::BEST_EFFORT } else { Access::DCF_OFDM };
    let exchange = frame.exchange().unwrap();
    let mut places: Vec<(f64, f64)> = (0..num_aps).map(|a| (a as f64 * 1.2 * radius_m, 0.0)).collect();
    for i in 0..num_stations {
        let (angle, part) = (std::f64::consts::TAU * random.unit(), random.unit().sqrt());
        let centre = places[i % num_aps];
        places.push((centre.0 + radius_m * part * angle.cos(), centre.1 + radius_m * part * angle.sin()));
    }
    let data = needed_sinr(phy).unwrap();
    let first = if kind.protected() { Db(4.0) } else { data };
    let path = |to| Path { to, first, data };
    let (mut stations, mut senders) = (Vec::new(), Vec::new());
    if downlink {
        for a in 0..num_aps {
            let clients: Vec<usize> = (0..num_stations).filter(|i| i % num_aps == a).map(|i| num_aps + i).collect();
            if !clients.is_empty() {
                stations.push(Station { access, exchanges: vec![exchange; clients.len()] });
                senders.push(Speaker { radio: a, paths: clients.iter().map(|c| path(*c)).collect() });
            }
        }
    } else {
        for i in 0..num_stations {
            stations.push(Station { access, exchanges: vec![exchange] });
            senders.push(Speaker { radio: num_aps + i, paths: vec![path(i % num_aps)] });
        }
    }
    let mhz = Hertz::from_mhz;
    let radio = Radio { centre: mhz(5180.0), width: mhz(20.0), primary: mhz(5180.0), noise: Dbm(-94.0) };
    let level =
        |a: &(f64, f64), b: &(f64, f64)| Dbm(16.0 - 46.7 - 30.0 * (a.0 - b.0).hypot(a.1 - b.1).max(1.0).log10());
    let levels: Vec<Vec<Dbm>> = places.iter().map(|a| places.iter().map(|b| level(a, b)).collect()).collect();
    let hearing = hearing(&vec![radio; places.len()], &levels, &senders).unwrap();
    (stations, hearing)
}

/// Errors of aggregate and of single stations, as shares of the aggregate, over generated homes.
fn family(kind: Kind, downlink: bool, radius_m: f64, seed: u64) -> Vec<(f64, f64)> {
    let mut random = Random::new(seed);
    let channel = Channel::ofdm();
    let mut errors = Vec::new();
    for run in 0..3 {
        let num_aps = if downlink { 2 } else { 1 + run % 2 };
        let num_stations = 2 + random.up_to(10) as usize;
        let (stations, hearing) = home(kind, downlink, num_aps, num_stations, radius_m, &mut random);
        let shares = saturated_among(&channel, &stations, &hearing).unwrap();
        let counts = simulate_among(&channel, &stations, &hearing, seed + run as u64, 10.0);
        let simulated: f64 = counts.iter().map(|c| c.delivered_bits).sum();
        let aggregate = shares.aggregate().0 / simulated - 1.0;
        let worst = shares
            .stations
            .iter()
            .zip(&counts)
            .map(|(s, c)| (s.throughput.0 - c.delivered_bits).abs() / simulated)
            .fold(0.0, f64::max);
        println!(
            "{kind:?} {} {radius_m} m: {num_aps} x {num_stations} complete {} {:.2} Mbit/s {:+.1} % worst {:.1} % converged {}",
            if downlink { "down" } else { "up" },
            hearing.is_complete(),
            simulated * 1e-6,
            100.0 * aggregate,
            100.0 * worst,
            shares.converged,
        );
        errors.push((aggregate.abs(), worst));
    }
    errors
}

fn middle(mut values: Vec<f64>) -> (f64, f64) {
    values.sort_by(f64::total_cmp);
    (values[values.len() / 2], values[values.len() - 1])
}

/// A station that hears all and one method for all: the simulator beside the rounds.
#[test]
fn the_simulator_agrees_with_the_rounds_where_all_hear_all() {
    let exchange = Frame::new(Phy::Ofdm { mbps: 24.0 }, Band::Ghz5).exchange().unwrap();
    for count in [1, 2, 5, 12] {
        let stations = vec![Station { access: Access::DCF_OFDM, exchanges: vec![exchange] }; count];
        let hearing = Hearing::complete(&vec![1; count]);
        let counts = simulate_among(&Channel::ofdm(), &stations, &hearing, 3, 30.0);
        let simulated: f64 = counts.iter().map(|c| c.delivered_bits).sum();
        let error = saturated(&Channel::ofdm(), &stations).unwrap().aggregate().0 / simulated - 1.0;
        println!("{count}: {:+.2} %", 100.0 * error);
        assert!(error.abs() < 0.015, "{count}: {error}");
    }
}

/// Reached, as median and largest error of the aggregate: up 9.4 and 91, 5.1 and 57, 8.8 and 58, 3.7 and 820 %; down 0.2 and 25, 0.6 and 47, 0.9 and 33,
/// 3.1 and 185 %. The largest are homes in which hidden stations share a few percent of the channel, or starve each other in turns.
fn homes(downlink: bool, median_most: f64) {
    for kind in [Kind::Plain, Kind::Protected, Kind::Aggregate, Kind::ProtectedAggregate] {
        let mut all = Vec::new();
        for radius_m in [15.0, 30.0, 45.0] {
            all.extend(family(kind, downlink, radius_m, 11));
        }
        let (aggregate, worst) = middle(all.iter().map(|e| e.0).collect());
        let (station, worst_station) = middle(all.iter().map(|e| e.1).collect());
        println!(
            "== {kind:?} {}: aggregate median {:.1} % worst {:.1} %, worst station median {:.1} % worst {:.1} % of the aggregate",
            if downlink { "down" } else { "up" },
            100.0 * aggregate,
            100.0 * worst,
            100.0 * station,
            100.0 * worst_station
        );
        assert!(aggregate < median_most, "{kind:?} {downlink}: {aggregate}");
        assert!(station < 0.2, "{kind:?} {downlink}: {station}");
    }
}

#[test]
fn generated_homes_up() {
    homes(false, 0.15);
}

#[test]
fn generated_homes_down() {
    homes(true, 0.05);
}
