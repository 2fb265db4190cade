//! Conductors, channels and feeds against values from outside (see tests/data/SOURCE.md).

use cabling::channel::{
    Piece, cable_loss_db_per_100m, channel_loss_db, channel_loss_limit_db, class_e_limit_db, cord_derating,
    crosstalk_limit, delay_ns, loss_factor, most_cord,
};
use cabling::conductor::{Wire, area, diameter, resistance_per_metre};
use cabling::poe::bundle::{MOST_RISE_K, Member, Surrounding, rise};
use cabling::poe::{Pairs, class_limits, feed, powered_ohm};
use cabling::rate::{Ethernet, fastest, reach};
use equipment::{CableCore, CableSpec, Category, Conductor, Jacket};
use units::{BitsPerSecond, Metres, Watts};

/// Rows of a CSV file without its header, as numbers; what is no number is NaN.
fn rows(text: &str) -> Vec<Vec<String>> {
    text.lines().skip(1).filter(|l| !l.is_empty()).map(|l| l.split(',').map(str::to_owned).collect()).collect()
}

fn number(cell: &str) -> f64 {
    cell.parse().unwrap_or(f64::NAN)
}

fn close(what: &str, ours: f64, outside: f64, tolerance: f64) {
    assert!((ours - outside).abs() <= tolerance, "{what}: {ours} against {outside}");
}

#[test]
fn copper_has_the_resistance_of_every_row() {
    let table = rows(include_str!("data/awg_copper.csv"));
    assert_eq!(table.len(), 9);
    for row in &table {
        let gauge: u8 = row[0].parse().unwrap();
        let ohm = |celsius| resistance_per_metre(Wire::copper(gauge), celsius).unwrap()[0] * 1000.0;
        // Half of the last digit of each column.
        close("diameter", diameter(gauge).unwrap().value() * 1000.0, number(&row[1]), 5.1e-5);
        close("area", area(gauge).unwrap() * 1e6, number(&row[2]), 5.1e-6);
        close("20 °C", ohm(20.0), number(&row[3]), 5.1e-4);
        close("1000 ft", ohm(20.0) * 0.3048, number(&row[4]), 5.1e-4);
        close("45 °C", ohm(45.0), number(&row[5]), 5.1e-4);
        close("60 °C", ohm(60.0), number(&row[6]), 5.1e-4);
    }
}

fn category(cell: &str) -> Option<Category> {
    match cell {
        "5e" => Some(Category::Cat5e),
        "6" => Some(Category::Cat6),
        "6A" => Some(Category::Cat6a),
        _ => None,
    }
}

#[test]
fn channels_have_the_limits_of_every_row() {
    let table = rows(include_str!("data/cabling_channel.csv"));
    let mut compared = 0;
    for row in &table {
        let mhz = number(&row[1]);
        let Some(category) = category(&row[0]) else {
            close("class E", class_e_limit_db(mhz).unwrap(), number(&row[3]), 0.006);
            compared += 1;
            continue;
        };
        let measured = crosstalk_limit(category, mhz).unwrap();
        close("cable", cable_loss_db_per_100m(category, mhz).unwrap(), number(&row[2]), 0.006);
        close("channel", channel_loss_limit_db(category, mhz).unwrap(), number(&row[3]), 0.006);
        close("crosstalk", measured.near_end_crosstalk_db, number(&row[4]), 0.006);
        close("return loss", measured.return_loss_db, number(&row[5]), 0.006);
        compared += 1;
    }
    assert_eq!(compared, table.len());
    assert!(compared >= 30);
}

#[test]
fn channels_have_the_published_limits_at_100_mhz() {
    for (category, cable, channel, crosstalk, return_loss) in
        [(Category::Cat5e, 22.0, 24.0, 30.1, 10.0), (Category::Cat6, 19.8, 21.3, 39.9, 12.0)]
    {
        let measured = crosstalk_limit(category, 100.0).unwrap();
        close("cable", cable_loss_db_per_100m(category, 100.0).unwrap(), cable, 0.06);
        close("channel", channel_loss_limit_db(category, 100.0).unwrap(), channel, 0.06);
        close("crosstalk", measured.near_end_crosstalk_db, crosstalk, 0.06);
        close("return loss", measured.return_loss_db, return_loss, 0.06);
    }
    for (mhz, published) in [(20.0, 17.0), (25.0, 16.03), (31.25, 15.06), (62.5, 12.05), (100.0, 10.01)] {
        close("5e", crosstalk_limit(Category::Cat5e, mhz).unwrap().return_loss_db, published, 0.01);
    }
    for (mhz, published) in
        [(1.0, 19.0), (16.0, 18.0), (20.0, 17.5), (25.0, 17.0), (31.25, 16.5), (62.5, 14.1), (250.0, 8.0)]
    {
        close("6", crosstalk_limit(Category::Cat6, mhz).unwrap().return_loss_db, published, 0.06);
    }
}

fn spec(category: Category, gauge_awg: u8, stranded: bool) -> CableSpec {
    CableSpec {
        core: CableCore::TwistedPairs { category, gauge_awg, conductor: Conductor::Copper, stranded, screened: false },
        outer_diameter: Metres(0.006),
        jacket: Jacket::default(),
        piece_length: None,
    }
}

#[test]
fn a_channel_of_90_and_10_metres_is_at_its_limit_and_heat_takes_it_over() {
    // 90 m of cable and 10 m of cords of 24 AWG with four connections are what the standard's formula is made of.
    for category in [Category::Cat5e, Category::Cat6] {
        let (cable, cord) = (spec(category, 24, false), spec(category, 24, true));
        let channel = |celsius| {
            [
                Piece { cable: &cable, length: Metres(90.0), celsius },
                Piece { cable: &cord, length: Metres(10.0), celsius: 20.0 },
            ]
        };
        let limit = channel_loss_limit_db(category, 100.0).unwrap();
        let reflections = if category == Category::Cat6 { 0.0003 * 100_f64.powf(1.5) } else { 0.0 };
        close("100 m", channel_loss_db(&channel(20.0), 4, 100.0).unwrap(), limit - reflections, 1e-9);
        assert!(channel_loss_db(&channel(60.0), 4, 100.0).unwrap() > limit + 3.0);
    }
    close("40 °C", loss_factor(40.0, false).unwrap(), 1.08, 1e-12);
    close("60 °C", loss_factor(60.0, false).unwrap(), 1.20, 1e-12);
    close("60 °C screened", loss_factor(60.0, true).unwrap(), 1.08, 1e-12);
}

#[test]
fn cords_are_as_long_as_published() {
    for row in rows(include_str!("data/cord_lengths.csv")) {
        let derating = cord_derating(row[0].parse().unwrap(), true).unwrap();
        close("cords", most_cord(Metres(number(&row[1])), derating).unwrap().value(), number(&row[2]), 0.2);
    }
}

#[test]
fn delay_of_100_metres_keeps_to_the_channel_limits() {
    let delay = delay_ns(Metres(100.0), 4, 10.0).unwrap();
    assert!(delay.delay_ns <= 556.0 && delay.delay_ns > 545.0, "{delay:?}");
    close("skew", delay.skew_ns, 50.0, 1e-9);
    assert_eq!(delay_ns(Metres(-1.0), 4, 10.0), None);
    assert_eq!(delay_ns(Metres(f64::NAN), 4, 10.0), None);
    assert_eq!(delay_ns(Metres(10.0), 4, f64::NAN), None);
}

#[test]
fn feeds_settle_where_every_row_says() {
    let table = rows(include_str!("data/poe_voltage_drop.csv"));
    assert_eq!(table.len(), 9);
    for row in &table {
        let [gauge, length, pairs, celsius, volts, watts, loop_ohm, at_device, amps, at_port, loss] =
            std::array::from_fn(|i| number(&row[i]));
        let each = resistance_per_metre(Wire::copper(gauge as u8), celsius).unwrap()[0];
        let pairs = if pairs == 2.0 { Pairs::Two } else { Pairs::Four };
        let ohm = powered_ohm(2.0 * each * length, pairs);
        let point = feed(volts, Watts(watts), ohm).unwrap();
        close("loop", ohm, loop_ohm, 5.1e-5);
        close("voltage", point.device_volts, at_device, 5.1e-5);
        close("current", point.amps, amps, 5.1e-6);
        close("port", point.at_port.value(), at_port, 5.1e-5);
        close("loss", point.in_cable.value(), loss, 5.1e-5);
    }
}

#[test]
fn class_powers_follow_from_voltage_and_resistance() {
    let table = rows(include_str!("data/poe_classes.csv"));
    assert_eq!(table.len(), 8);
    for row in &table {
        let class: u8 = row[0].parse().unwrap();
        let limits = class_limits(class).unwrap();
        assert_eq!(format!("{}p", limits.pairs.count()), row[2]);
        assert_eq!(limits.least_port_volts, number(&row[3]));
        assert_eq!(limits.most_ohm, number(&row[4]));
        let (device, port) = equipment::poe_class_watts(class).unwrap();
        assert_eq!(device.value(), number(&row[5]));
        let point = feed(limits.least_port_volts, device, limits.most_ohm).unwrap();
        close("port", point.at_port.value(), port.value(), 0.002 * port.value());
        close("voltage", point.device_volts, number(&row[7]), 5.1e-4);
        close("current", point.amps, number(&row[8]), 5.1e-5);
        close("cable", point.in_cable.value(), number(&row[10]), 5.1e-4);
        // At its own worst case a class has just the voltage that the standard promises it.
        assert!(point.device_volts >= limits.least_device_volts - 0.01, "class {class}");
    }
}

#[test]
fn bundles_get_as_warm_as_measured() {
    let mut worst: f64 = 0.0;
    for row in rows(include_str!("data/bundle_rise.csv")) {
        let member = Member {
            diameter: Metres(number(&row[2]) / 1000.0),
            wire: Wire::copper(row[1].parse().unwrap()),
            pairs: 4,
            amps_each: number(&row[3]),
        };
        let ours = rise(&[member; 100], Surrounding::Air, 20.0).unwrap();
        let measured = number(&row[4]);
        let off = ours / measured - 1.0;
        // The samples themselves scatter by 20 % about the contribution's own fit; ours must stay as near.
        assert!((-0.2..=0.2).contains(&off), "{row:?}: {ours:.2} K, {:.0} % off", 100.0 * off);
        worst = worst.max(off.abs());
    }
    assert!(worst > 0.0);
}

#[test]
fn twenty_four_cables_keep_to_15_kelvin_but_thin_ones_in_pipes_do_not() {
    // TSB-184-A: up to 1000 mA a pair, 24 cables, 15 K, and 26 AWG to be avoided.
    let bundle = |gauge, mm: f64| {
        [Member { diameter: Metres(mm / 1000.0), wire: Wire::copper(gauge), pairs: 4, amps_each: 1.0 }; 24]
    };
    for (gauge, mm) in [(24, 5.2), (23, 6.0), (23, 7.5), (22, 8.0)] {
        for surrounding in [Surrounding::Air, Surrounding::Pipe] {
            let rise = rise(&bundle(gauge, mm), surrounding, 45.0).unwrap();
            assert!(rise <= MOST_RISE_K, "{gauge} AWG {surrounding:?}: {rise}");
        }
    }
    assert!(rise(&bundle(26, 4.5), Surrounding::Pipe, 45.0).unwrap() > MOST_RISE_K);
}

#[test]
fn rates_reach_as_far_as_the_standards_say() {
    let sure = |category, ethernet| reach(category, ethernet).map(|r| r.sure.value());
    assert_eq!(sure(Category::Cat5e, Ethernet::Base1000), Some(100.0));
    assert_eq!(sure(Category::Cat5e, Ethernet::Base2500), Some(100.0));
    assert_eq!(sure(Category::Cat6, Ethernet::Base5000), Some(100.0));
    assert_eq!(sure(Category::Cat6, Ethernet::Base10000), Some(37.0));
    assert_eq!(reach(Category::Cat6, Ethernet::Base10000).unwrap().may, Metres(55.0));
    assert_eq!(sure(Category::Cat6a, Ethernet::Base10000), Some(100.0));
    assert_eq!(sure(Category::Cat5e, Ethernet::Base10000), None);
    assert_eq!(fastest(Category::Cat6, Metres(55.0)).may, Some(Ethernet::Base10000));
    assert_eq!(fastest(Category::Cat6, Metres(55.1)).may, Some(Ethernet::Base5000));
    for bad in [f64::NAN, -1.0, f64::INFINITY, 101.0] {
        assert_eq!(fastest(Category::Cat6a, Metres(bad)).sure, None);
    }
    assert_eq!(fastest(Category::Cat6a, Metres(0.0)).sure, Some(Ethernet::Base10000));
    assert_eq!(Ethernet::for_rate(BitsPerSecond(0.0)), None);
    assert_eq!(Ethernet::for_rate(BitsPerSecond(f64::NAN)), None);
    assert_eq!(Ethernet::for_rate(BitsPerSecond(1e9)), Some(Ethernet::Base1000));
}
