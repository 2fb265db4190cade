//! Goodput against a packet simulator's published figures, and the link budget with its inverse.

use network::RadioSetting;
use proptest::prelude::*;
use radio_profile::{Band, BandRadio, Generation, generic};
use units::{BitsPerSecond, Db, Dbm, Hertz};
use wlan::{Direction, End, GuardInterval, LinkModel, MacConfig, Mode, goodput};

/// ns-3, wifi testing document: 802.11n, one station, saturating UDP, no encryption. HT20, long guard interval, MCS 0 to 7; HT40, two streams, MCS 15
/// (7 for each stream), short guard interval.
#[test]
fn goodput_of_one_station_matches_the_packet_simulator() {
    let published = [5.81381, 11.8266, 17.7935, 23.7958, 35.7331, 47.6174, 53.6102, 59.5501];
    let check = |mode: Mode, expected: f64| {
        let got = goodput(&mode, Band::Ghz5, &MacConfig::open()).unwrap().mbps();
        let error = got / expected - 1.0;
        // Reached: +0.30 to +0.41 % for HT20, +0.51 % for HT40; ours has no beacons.
        assert!(error.abs() < 0.006, "{mode:?}: {got} against {expected}");
    };
    for (mcs, expected) in published.into_iter().enumerate() {
        let width = Hertz::from_mhz(20.0);
        let mode = Mode { generation: Generation::N, width, streams: 1, mcs: mcs as u8, gi: GuardInterval::Ns800 };
        check(mode, expected);
    }
    let width = Hertz::from_mhz(40.0);
    check(Mode { generation: Generation::N, width, streams: 2, mcs: 7, gi: GuardInterval::Ns400 }, 254.902);
}

fn ap_radio(band: Band) -> BandRadio {
    let width = if band == Band::Ghz2 { 40.0 } else { 160.0 };
    BandRadio {
        band,
        streams: 4,
        max_width: Hertz::from_mhz(width),
        tx_power: Dbm(23.0),
        antenna_gain: Db(3.0),
        noise_figure: Db(6.0),
    }
}

fn setting(band: Band, centre: f64, width: f64, eirp: f64) -> RadioSetting {
    let part = "ap-1".parse().unwrap();
    RadioSetting { part, band, centre: Hertz::from_mhz(centre), width: Hertz::from_mhz(width), eirp: Dbm(eirp) }
}

fn phone_link(country: &str, setting: &RadioSetting) -> LinkModel {
    let (ap, phone) = (ap_radio(setting.band), generic::phone());
    let ap = End { generation: Generation::Ax, radio: &ap };
    LinkModel::new(country, ap, End { generation: phone.generation, radio: phone.band(setting.band).unwrap() }, setting)
        .unwrap()
}

#[test]
fn the_phones_uplink_limits_the_link() {
    let link = phone_link("US", &setting(Band::Ghz5, 5775.0, 80.0, 26.0));
    let targets = (BitsPerSecond::from_mbps(100.0), BitsPerSecond::from_mbps(100.0));
    let required = link.required_gain(targets.0, targets.1, Db(0.0)).unwrap();
    assert_eq!(required.limiting, Direction::Up);
    assert!(required.other_gain_db < required.gain_db - 3.0);
}

#[test]
fn a_weak_uplink_falls_back_to_20_mhz() {
    let link = phone_link("US", &setting(Band::Ghz5, 5775.0, 80.0, 26.0));
    let weakest = link.steps(Direction::Up)[0];
    assert_eq!(weakest.mode.width, Hertz::from_mhz(20.0));
    // By hand: sensitivity -82 dBm, 4 dB better noise figure, phone 14 - 3 dBm, access point 3 dBi and four chains (6.02 dB).
    assert!((weakest.min_gain.0 - (-82.0 - 4.0 - 11.0 - 3.0 - 6.0206)).abs() < 1e-3, "{weakest:?}");
}

#[test]
fn a_density_limit_lowers_narrow_signals() {
    // 6 GHz low-power indoor client of the United States: 12 dBm in 20 MHz; the phone's own 12 - 3 dBm are below it.
    let link = phone_link("US", &setting(Band::Ghz6, 5985.0, 80.0, 24.0));
    for step in link.steps(Direction::Down) {
        let limit = 5.0 + 10.0 * step.mode.width.mhz().log10();
        assert!(step.eirp.0 <= limit + 1e-9, "{step:?}");
    }
}

#[test]
fn impossible_links_say_why() {
    let (ap, phone) = (ap_radio(Band::Ghz5), generic::phone());
    fn end(radio: &BandRadio) -> End<'_> {
        End { generation: Generation::Ax, radio }
    }
    let set = setting(Band::Ghz5, 5775.0, 80.0, 26.0);
    let error = |country: &str, ap: &BandRadio, client: &BandRadio, set: &RadioSetting| {
        LinkModel::new(country, end(ap), end(client), set).unwrap_err().to_string()
    };
    let client = phone.band(Band::Ghz5).unwrap();
    assert!(error("UK", &ap, client, &set).contains("`GB`"));
    assert!(error("US", &ap, phone.band(Band::Ghz2).unwrap(), &set).contains("band 2.4"));
    assert!(error("US", &ap, &BandRadio { streams: 0, ..client.clone() }, &set).contains("0 spatial streams"));
    assert!(error("US", &ap, &BandRadio { tx_power: Dbm(f64::NAN), ..client.clone() }, &set).contains("not a number"));
    let old = End { generation: Generation::Ac, radio: &ap_radio(Band::Ghz6) };
    let set = setting(Band::Ghz6, 5985.0, 80.0, 24.0);
    let error = LinkModel::new("US", old, end(phone.band(Band::Ghz6).unwrap()), &set).unwrap_err().to_string();
    assert!(error.contains("does not exist in band 6"), "{error}");
    let link = phone_link("US", &set);
    assert_eq!(link.required_gain(BitsPerSecond::from_mbps(1e5), BitsPerSecond(0.0), Db(0.0)), None);
    assert_eq!(link.required_gain(BitsPerSecond(f64::NAN), BitsPerSecond(0.0), Db(0.0)), None);
    let nothing = link.budget(Db(f64::NAN));
    assert_eq!((nothing.down.0, nothing.up.0), (0.0, 0.0));
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn the_required_gain_is_the_exact_inverse(
        band in 0usize..3, down in 0.0..1500.0f64, up in 0.0..1500.0f64, margin in 0.0..20.0f64, power in 0.0..30.0f64,
    ) {
        let band = Band::ALL[band];
        let set = match band {
            Band::Ghz2 => setting(band, 2437.0, 20.0, power),
            Band::Ghz5 => setting(band, 5210.0, 80.0, power),
            Band::Ghz6 => setting(band, 6025.0, 160.0, power),
        };
        let link = phone_link("DE", &set);
        let (down, up) = (BitsPerSecond::from_mbps(down), BitsPerSecond::from_mbps(up));
        let meets = |gain: f64| {
            let budget = link.budget(Db(gain));
            budget.mode_down.is_some() && budget.mode_up.is_some() && budget.down.0 >= down.0 && budget.up.0 >= up.0
        };
        match link.required_gain(down, up, Db(0.0)) {
            Some(required) => {
                prop_assert!(meets(required.gain_db));
                prop_assert!(!meets(required.gain_db.next_down()));
                let raised = link.required_gain(down, up, Db(margin)).unwrap();
                prop_assert!((raised.gain_db - required.gain_db - margin).abs() < 1e-9);
                prop_assert_eq!(raised.limiting, required.limiting);
            }
            None => prop_assert!(!meets(0.0)),
        }
    }

    #[test]
    fn rates_never_fall_with_gain(a in -150.0..0.0f64, b in -150.0..0.0f64) {
        let link = phone_link("GB", &setting(Band::Ghz5, 5210.0, 80.0, 20.0));
        let (low, high) = (link.budget(Db(a.min(b))), link.budget(Db(a.max(b))));
        prop_assert!(low.down.0 <= high.down.0 && low.up.0 <= high.up.0);
    }
}
