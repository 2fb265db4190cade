//! Airtime of beacons: worked by hand, by the trade's rule of thumb, and with absurd input.

use proptest::prelude::*;
use radio_profile::{Band, Generation};
use units::Hertz;
use wlan::{
    BEACON_INTERVAL, BasicRate, BeaconError, BeaconSource, MANAGEMENT_LIMIT, NAME_OCTETS, Searching, beacon_octets,
    check_beacons, management_load,
};

fn source(id: &str, networks: u32, mbps: f64, band: Band) -> BeaconSource {
    let octets = beacon_octets(Generation::Ax, band, NAME_OCTETS);
    let rate = BasicRate::new(mbps, band).unwrap();
    BeaconSource { id: id.parse().unwrap(), networks, octets, rate, is_own: true }
}

#[test]
fn lengths_by_hand() {
    let at = |mbps: f64, band| BasicRate::new(mbps, band).unwrap().airtime(300, band).0 * 1e6;
    assert!((at(1.0, Band::Ghz2) - 2592.0).abs() < 1e-6);
    assert!((at(11.0, Band::Ghz2) - (192.0 + 2400.0 / 11.0)).abs() < 1e-6);
    // 2422 bits in symbols of 24: 101; and 6 µs of signal extension in 2.4 GHz.
    assert!((at(6.0, Band::Ghz5) - 424.0).abs() < 1e-6);
    assert!((at(6.0, Band::Ghz2) - 430.0).abs() < 1e-6);
}

#[test]
fn a_network_at_1_mbps_takes_one_to_three_percent() {
    // The trade's rule of thumb: each name takes 1 to 3 % of the time at 1 Mbit/s. 802.11be, with its new elements, is the longest.
    for generation in [Generation::N, Generation::Ac, Generation::Ax, Generation::Be] {
        let octets = beacon_octets(generation, Band::Ghz2, NAME_OCTETS);
        let share = BasicRate::usual(Band::Ghz2).airtime(octets, Band::Ghz2).0 / BEACON_INTERVAL.0;
        assert!((0.01..0.031).contains(&share), "{generation:?}: {octets} octets, {share}");
        // And a fifth to an eighth of it at 6 Mbit/s.
        let above = beacon_octets(generation, Band::Ghz5, NAME_OCTETS);
        let share = BasicRate::usual(Band::Ghz5).airtime(above, Band::Ghz5).0 / BEACON_INTERVAL.0;
        assert!((0.003..0.007).contains(&share), "{generation:?}: {share}");
    }
}

#[test]
fn twelve_names_are_found_with_what_would_be_left() {
    let sources = [source("ap-1", 12, 1.0, Band::Ghz2)];
    let finding = check_beacons(&sources, Band::Ghz2, Hertz::from_mhz(2437.0), &Searching::default()).unwrap().unwrap();
    assert_eq!(finding.rule, "wlan.beacon-airtime");
    let measured = finding.measured.unwrap().value;
    let load = management_load(&sources, Band::Ghz2, &Searching::default()).unwrap();
    assert!((measured - load.total * 100.0).abs() < 1e-9 && load.total > MANAGEMENT_LIMIT);
    assert!((load.by_source[0].1 - load.beacons).abs() < 1e-12);
    assert_eq!(finding.remedies.len(), 2);
    // The figure after is that of the changed setting.
    let after = management_load(&[source("ap-1", 12, 6.0, Band::Ghz2)], Band::Ghz2, &Searching::default()).unwrap();
    assert!(finding.remedies[0].text.ends_with(&format!("{:.1} %", after.total * 100.0)), "{:?}", finding.remedies);
    // One or two names are no finding, nor are neighbours alone.
    let quiet = [source("ap-1", 2, 1.0, Band::Ghz2)];
    assert_eq!(check_beacons(&quiet, Band::Ghz2, Hertz::from_mhz(2437.0), &Searching::default()), Ok(None));
    let neighbours: Vec<BeaconSource> =
        (0..12).map(|i| BeaconSource { is_own: false, ..source(&format!("n-{i}"), 1, 1.0, Band::Ghz2) }).collect();
    assert_eq!(check_beacons(&neighbours, Band::Ghz2, Hertz::from_mhz(2437.0), &Searching::default()), Ok(None));
}

#[test]
fn bad_rates_are_refused() {
    for (mbps, band) in [(1.0, Band::Ghz5), (7.0, Band::Ghz2), (f64::NAN, Band::Ghz2), (0.0, Band::Ghz6)] {
        assert!(matches!(BasicRate::new(mbps, band), Err(BeaconError::NoSuchRate { .. })));
    }
    // A rate of another band is refused where it is used.
    let astray = [source("ap-1", 1, 1.0, Band::Ghz2)];
    assert!(management_load(&astray, Band::Ghz5, &Searching::default()).is_err());
    let search = Searching { searches_per_second: f64::NAN, ..Searching::default() };
    assert!(management_load(&astray, Band::Ghz2, &search).is_err());
    let none = management_load(&[], Band::Ghz2, &Searching::default()).unwrap();
    assert_eq!((none.total, none.by_source.len()), (0.0, 0));
    let absurd = [BeaconSource { networks: u32::MAX, octets: u32::MAX, ..source("ap-1", 1, 1.0, Band::Ghz2) }];
    assert_eq!(management_load(&absurd, Band::Ghz2, &Searching::default()).unwrap().total, 1.0);
}

proptest! {
    #[test]
    fn shares_add_up_and_fall_with_the_rate(networks in prop::collection::vec(0u32..6, 1..5)) {
        let at = |mbps: f64| {
            let all: Vec<BeaconSource> =
                networks.iter().enumerate().map(|(i, n)| source(&format!("ap-{i}"), *n, mbps, Band::Ghz2)).collect();
            management_load(&all, Band::Ghz2, &Searching { searches_per_second: 0.0, request_octets: 0 }).unwrap()
        };
        let slow = at(1.0);
        prop_assert!((slow.by_source.iter().map(|s| s.1).sum::<f64>() - slow.beacons).abs() < 1e-12);
        let mut before = slow.total;
        for mbps in [2.0, 5.5, 6.0, 12.0, 24.0] {
            let now = at(mbps).total;
            prop_assert!(now <= before + 1e-12);
            before = now;
        }
    }
}
