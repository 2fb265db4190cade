//! 802.15.4 channels beside Wi-Fi: the published clear ones, the order, a simulation of the collisions, and what a move costs.

mod on_off;
mod plan_homes;

use on_off::followed;
use plan_homes::neighbour;
use units::{Dbm, Hertz};
use wlan::{ThingAdvice, ThingNetwork, WifiUse, check_thing_channel, thing_channels};

fn wifi(centre: f64, width: f64, level: f64, airtime: f64) -> WifiUse {
    let (centre, width) = (Hertz::from_mhz(centre), Hertz::from_mhz(width));
    WifiUse { centre, width, level: Dbm(level), airtime, burst: WifiUse::BURST }
}

fn of(advice: &ThingAdvice, number: u8) -> &wlan::ThingChannel {
    advice.ranked.iter().find(|c| c.number == number).unwrap()
}

/// `tests/data/ieee802154_channels.csv`: which of 1, 6 and 11 cover each channel.
#[test]
fn the_published_clear_channels_are_clear_and_first() {
    let sources: Vec<WifiUse> = [2412.0, 2437.0, 2462.0].iter().map(|c| wifi(*c, 20.0, -55.0, 0.4)).collect();
    let advice = thing_channels(&sources, &ThingNetwork::new(Dbm(-75.0), 20, None)).unwrap();
    let mut table = csv::Reader::from_path("tests/data/ieee802154_channels.csv").unwrap();
    let mut rows = 0;
    for row in table.records() {
        let row = row.unwrap();
        let channel = of(&advice, row[0].parse().unwrap());
        assert_eq!(channel.centre.mhz(), row[1].parse::<f64>().unwrap());
        assert_eq!(channel.covered_by.is_empty(), &row[4] == "True", "{}", &row[0]);
        let names: Vec<String> = channel.covered_by.iter().map(|idx| ["1", "6", "11"][*idx].to_owned()).collect();
        assert_eq!(names.join(" "), row[5].trim(), "{}", &row[0]);
        rows += 1;
    }
    assert_eq!(rows, 16);
    let mut first: Vec<u8> = advice.ranked.iter().take(4).map(|c| c.number).collect();
    first.sort_unstable();
    assert_eq!(first, [15, 20, 25, 26], "{:?}", advice.ranked);
    // With 1, 7 and 13 it is 15, 16, 21 and 22 (IEEE 802.15.4, annex on coexistence).
    let sources: Vec<WifiUse> = [2412.0, 2442.0, 2472.0].iter().map(|c| wifi(*c, 20.0, -55.0, 0.4)).collect();
    let advice = thing_channels(&sources, &ThingNetwork::new(Dbm(-75.0), 20, None)).unwrap();
    let mut first: Vec<u8> = advice.ranked.iter().take(4).map(|c| c.number).collect();
    first.sort_unstable();
    assert_eq!(first, [15, 16, 21, 22]);
}

/// Message by message beside Wi-Fi followed in time, heard and not. Levels so far apart that a frame that is met is lost.
#[test]
fn the_chances_are_those_of_drawn_bursts() {
    for (airtime, level) in [(0.1, -50.0), (0.3, -50.0), (0.5, -50.0), (0.3, -66.0)] {
        let advice =
            thing_channels(&[wifi(2437.0, 20.0, level, airtime)], &ThingNetwork::new(Dbm(-85.0), 1, None)).unwrap();
        let channel = of(&advice, 18);
        // In 2 MHz the level is 9.7 dB less: -60 dBm is heard, -76 dBm is not.
        let (first, all) = followed(airtime, WifiUse::BURST.0, 50, level > -60.0, 40_000);
        assert!((first - channel.first_try).abs() < 0.012, "{airtime} {level}: {first} {channel:?}");
        // Retries are not quite independent: they find Wi-Fi in the stretch that hit the try before.
        assert!((all - channel.delivered).abs() < 0.04, "{airtime} {level}: {all} {channel:?}");
    }
}

#[test]
fn clear_channels_come_first_and_26_last() {
    let busy = [wifi(2412.0, 20.0, -50.0, 0.4), wifi(2437.0, 20.0, -55.0, 0.3), wifi(2462.0, 20.0, -60.0, 0.3)];
    let network = ThingNetwork::new(Dbm(-70.0), 12, None);
    let order = |wifi: &[WifiUse]| -> Vec<u8> {
        thing_channels(wifi, &network).unwrap().ranked.iter().map(|c| c.number).collect()
    };
    let mut first = order(&busy)[..4].to_vec();
    first.sort_unstable();
    assert_eq!(first, [15, 20, 25, 26]);
    // One close by is heard beside its channel too: 15 then waits for it.
    let close = order(&[wifi(2412.0, 20.0, -38.0, 0.4)]);
    let place = |number: u8| close.iter().position(|n| *n == number);
    assert!(place(15) > place(26), "{close:?}");
    // Without Wi-Fi all are alike and 26 is last.
    let quiet = order(&[]);
    assert_eq!((quiet[0], quiet[15]), (11, 26));
}

#[test]
fn more_airtime_level_and_overlap_are_worse() {
    let network = ThingNetwork::new(Dbm(-75.0), 10, None);
    let first = |sources: &[WifiUse], number| of(&thing_channels(sources, &network).unwrap(), number).first_try;
    let mut before = 1.1;
    for airtime in [0.0, 0.1, 0.3, 0.6, 0.9, 1.0] {
        let now = first(&[wifi(2437.0, 20.0, -50.0, airtime)], 17);
        assert!(now < before, "{airtime}: {now}");
        before = now;
    }
    // A weak neighbour does nothing, a strong one beside the channel does something.
    assert!(first(&[wifi(2437.0, 20.0, -95.0, 0.9)], 17) > 0.99);
    assert!(first(&[wifi(2437.0, 20.0, -25.0, 0.9)], 20) < first(&[wifi(2437.0, 20.0, -60.0, 0.9)], 20));
    // 40 MHz covers twice as many.
    let wide = thing_channels(&[wifi(2422.0, 40.0, -50.0, 0.3)], &network).unwrap();
    assert_eq!(wide.ranked.iter().filter(|c| !c.covered_by.is_empty()).count(), 8);
    assert!(wide.ranked[..8].iter().all(|c| c.covered_by.is_empty()), "{wide:?}");
    // 5 GHz is elsewhere.
    assert!(first(&[wifi(5210.0, 80.0, -30.0, 0.9)], 17) > 0.999);
}

#[test]
fn a_move_is_weighed_against_joining_every_device_again() {
    let busy = [wifi(2437.0, 20.0, -45.0, 0.5)];
    let advice = thing_channels(&busy, &ThingNetwork::new(Dbm(-75.0), 30, Some(18))).unwrap();
    assert_eq!(advice.move_minutes, 150.0);
    let lost = advice.lost_now.unwrap();
    // By hand: 3,000 messages a day.
    assert!((lost - 3000.0 * (1.0 - of(&advice, 18).delivered)).abs() < 1e-9);
    let days = 150.0 / (lost - advice.lost_best);
    assert!((advice.payback_days.unwrap() - days).abs() < 1e-9 && advice.is_worth_moving == Some(true));
    // Hardly any Wi-Fi: the loss does not pay for the work.
    let calm = [wifi(2437.0, 20.0, -45.0, 0.002)];
    let network = ThingNetwork { messages_per_day: 5.0, ..ThingNetwork::new(Dbm(-75.0), 30, Some(18)) };
    let advice = thing_channels(&calm, &network).unwrap();
    assert_eq!(advice.is_worth_moving, Some(false), "{}", advice.why);
    // On the best already; no network yet; no Wi-Fi at all.
    let advice = thing_channels(&busy, &ThingNetwork::new(Dbm(-75.0), 30, Some(advice.ranked[0].number))).unwrap();
    assert_eq!(advice.is_worth_moving, Some(false), "{}", advice.why);
    assert_eq!(thing_channels(&busy, &ThingNetwork::new(Dbm(-75.0), 30, None)).unwrap().is_worth_moving, None);
    let free = thing_channels(&[], &ThingNetwork::new(Dbm(-75.0), 30, Some(18))).unwrap();
    assert!(free.ranked.len() == 16 && free.lost_best < 1e-6 && free.is_worth_moving == Some(false));
}

#[test]
fn a_hub_is_told_where_to_go_and_what_it_costs() {
    let hub = "hub".parse().unwrap();
    let busy = [wifi(2437.0, 20.0, -45.0, 0.5)];
    let network = ThingNetwork::new(Dbm(-75.0), 12, Some(17));
    let advice = thing_channels(&busy, &network).unwrap();
    let finding = check_thing_channel(&hub, &network, &advice).unwrap();
    assert_eq!(finding.rule, "wlan.thing-channel");
    let (now, best) = (of(&advice, 17).first_try, advice.ranked[0].first_try);
    assert_eq!(finding.measured.as_ref().map(|m| m.value), Some(now * 100.0));
    assert_eq!(finding.limit.as_ref().map(|m| m.value), Some(best * 100.0));
    assert!(now < 0.2 && best > 0.99, "{now} {best}");
    let text = &finding.remedies[0].text;
    let to = format!("channel {}", advice.ranked[0].number);
    assert!(text.contains(&to) && text.contains("12 devices") && text.contains("60 min"), "{text}");
    // Clear already, too few messages, no network yet.
    for network in [
        ThingNetwork { current: Some(advice.ranked[0].number), ..network },
        ThingNetwork { messages_per_day: 0.001, ..network },
        ThingNetwork { current: None, ..network },
    ] {
        let advice = thing_channels(&busy, &network).unwrap();
        assert_eq!(check_thing_channel(&hub, &network, &advice), None, "{network:?}");
    }
}

#[test]
fn what_cannot_be_is_refused() {
    let good = ThingNetwork::new(Dbm(-75.0), 30, Some(18));
    let bad = [
        ThingNetwork { level: Dbm(f64::NAN), ..good },
        ThingNetwork { sensitivity: Dbm(f64::NAN), ..good },
        ThingNetwork { octets: 0, ..good },
        ThingNetwork { octets: 128, ..good },
        ThingNetwork { current: Some(10), ..good },
        ThingNetwork { current: Some(27), ..good },
        ThingNetwork { messages_per_day: f64::NAN, ..good },
        ThingNetwork { minutes_per_device: -1.0, ..good },
    ];
    for network in bad {
        assert!(thing_channels(&[], &network).is_err(), "{network:?}");
    }
    for source in [
        wifi(f64::NAN, 20.0, -50.0, 0.3),
        wifi(2437.0, 0.0, -50.0, 0.3),
        wifi(2437.0, f64::NAN, -50.0, 0.3),
        wifi(2437.0, 20.0, f64::NAN, 0.3),
        wifi(2437.0, 20.0, -50.0, f64::NAN),
        wifi(2437.0, 20.0, -50.0, 7.0),
    ] {
        assert!(thing_channels(&[source], &good).is_err(), "{source:?}");
    }
    // Airtime that is not known is taken as 30 %; levels and airtimes at their ends give shares.
    let unknown = WifiUse::of_neighbour(&neighbour(0, 2437.0, 20.0, -50.0, None));
    assert_eq!(unknown, wifi(2437.0, 20.0, -50.0, 0.3));
    for (told, used) in [(f64::NAN, 0.3), (0.7, 0.7), (7.0, 1.0), (-1.0, 0.0)] {
        assert_eq!(WifiUse::of_neighbour(&neighbour(0, 2437.0, 20.0, -50.0, Some(told))).airtime, used);
    }
    for source in [wifi(2437.0, 20.0, f64::NEG_INFINITY, 0.3), wifi(2437.0, 20.0, 30.0, 1.0)] {
        for channel in thing_channels(&[source; 40], &good).unwrap().ranked {
            assert!((0.0..=1.0).contains(&channel.delivered) && channel.first_try <= channel.delivered + 1e-12);
        }
    }
}
