//! Radar fallbacks, and the remedies of crowded air: applied, they do what they say.

mod plan_homes;

use findings::{Finding, Id};
use network::{Design, Link, Medium, RadioSetting};
use plan_homes::{ap, design, id, inputs, neighbour, set, site};
use radio_profile::Band;
use site::Site;
use units::{Db, Dbm, Hertz};
use wlan::{AirContext, Joined, Role, check, check_air, fallbacks, limits, plan_objective};

fn far(_: usize, _: usize, _: Band) -> Db {
    Db(-150.0)
}

#[test]
fn the_fallback_is_the_best_channel_without_a_check() {
    let radio = ap();
    let aps = inputs(&radio, 2);
    for country in ["US", "DE", "GB", "CA", "JP"] {
        let mut air = site(country);
        air.neighbours.push(neighbour(1, 5180.0, 20.0, -60.0, Some(0.6)));
        let now = [set(0, Band::Ghz5, 5530.0, 80.0, 23.0), set(1, Band::Ghz5, 5210.0, 80.0, 23.0)];
        let gain = |_: usize, _: usize, _: Band| Db(-70.0);
        let found = fallbacks(&now, &aps, &[], &gain, &air, None);
        assert_eq!(found.len(), 1, "{country}: only one is on a radar channel");
        let fallback = &found[0];
        let to = fallback.to.clone().unwrap();
        let objective = |to: &RadioSetting| {
            plan_objective(&[to.clone(), now[1].clone()], &aps, &[], &gain, (&air, Band::Ghz5), None)
        };
        // Every other channel without a check, by hand.
        let mut best = f64::NEG_INFINITY;
        for channel in wlan::all_channels().into_iter().filter(|c| c.band == Band::Ghz5 && c.width_mhz <= 80) {
            let limit = limits(country, Band::Ghz5, channel.centre(), channel.width(), Role::AccessPoint);
            if let Ok(limit) = limit
                && limit.dfs.is_none()
                && channel.edges_mhz().1 <= 5850.0
            {
                let eirp = limit.clip(Dbm(23.0), Db(3.0), channel.width()).min(Dbm(23.0));
                let other = set(0, Band::Ghz5, channel.centre().mhz(), channel.width().mhz(), eirp.0);
                best = best.max(objective(&other).unwrap());
            }
        }
        let limit = limits(country, Band::Ghz5, to.centre, to.width, Role::AccessPoint).unwrap();
        assert!(limit.dfs.is_none() && to.eirp.0 <= limit.eirp_max.0 + 1e-9, "{country}: {to:?}");
        assert!((objective(&to).unwrap() - best).abs() < 1e-9, "{country}: {fallback:?}");
        assert!((objective(&to).unwrap() - objective(&now[0]).unwrap() - fallback.change).abs() < 1e-9);
        // It leaves at once what needs no check.
        assert_eq!((fallback.silence.0, fallback.closed.0), (10.0, 1800.0));
        assert!(fallback.left > 0.0 && fallback.left <= 1.0 + 1e-9, "{}", fallback.left);
    }
}

#[test]
fn time_and_width_left_are_worked_by_hand() {
    let radio = ap();
    let aps = inputs(&radio, 1);
    let mut air = site("JP");
    // 36 to 48 are all that Japan has without radar; a neighbour takes 40 % of 36 and 40.
    air.neighbours.push(neighbour(1, 5190.0, 40.0, -60.0, Some(0.4)));
    let found = fallbacks(&[set(0, Band::Ghz5, 5290.0, 80.0, 20.0)], &aps, &[], &far, &air, None);
    let to = found[0].to.clone().unwrap();
    assert_eq!((to.centre.mhz(), to.width.mhz(), to.eirp.0), (5210.0, 80.0, 20.0));
    // 1 / 0.6 senders, and what collisions take.
    let senders: f64 = 1.0 / 0.6;
    let contention = senders * (1.0 + 0.0715 * (senders - 1.0) / (1.0 + 0.075 * (senders - 1.0)));
    assert!((found[0].left - 1.0 / contention).abs() < 1e-9, "{:?}", found[0]);
    assert_eq!(found[0].check.0, 60.0);
    // The weather-radar band of EN 301 893.
    let weather = fallbacks(&[set(0, Band::Ghz5, 5610.0, 80.0, 20.0)], &aps, &[], &far, &site("DE"), None);
    assert_eq!(weather[0].check.0, 600.0);
}

#[test]
fn joined_radios_move_together_and_bad_input_has_no_fallback() {
    let radio = ap();
    let aps = inputs(&radio, 2);
    let join = Joined { a: 0, b: 1, band: Band::Ghz5 };
    let now = [set(0, Band::Ghz5, 5530.0, 80.0, 23.0), set(1, Band::Ghz5, 5530.0, 80.0, 20.0)];
    let found = fallbacks(&now, &aps, &[join], &far, &site("US"), None);
    assert_eq!(found.len(), 2);
    let to: Vec<RadioSetting> = found.iter().map(|f| f.to.clone().unwrap()).collect();
    assert!(to[0].centre == to[1].centre && to[0].width == to[1].width);
    assert_eq!((to[0].eirp.0, to[1].eirp.0, &found[0].together), (23.0, 20.0, &vec![id(1)]));
    let moved = wlan::with_fallback(&now, &found, &id(0), Band::Ghz5);
    assert_eq!(moved, to);
    // Joined radios on two channels, a channel that is none, an unknown country, a join that cannot be.
    let apart = [now[0].clone(), set(1, Band::Ghz5, 5210.0, 80.0, 20.0)];
    assert!(fallbacks(&apart, &aps, &[join], &far, &site("US"), None).is_empty());
    let odd = [set(0, Band::Ghz5, 5531.0, 80.0, 23.0), now[1].clone()];
    assert!(fallbacks(&odd, &aps, &[], &far, &site("US"), None).is_empty());
    assert!(fallbacks(&now, &aps, &[], &far, &site("UK"), None).is_empty());
    assert!(fallbacks(&now, &aps, &[Joined { b: 7, ..join }], &far, &site("US"), None).is_empty());
    assert!(fallbacks(&[], &[], &[], &far, &site("US"), None).is_empty());
    let loud = [set(0, Band::Ghz5, 5530.0, 80.0, f64::NAN), now[1].clone()];
    assert!(fallbacks(&loud, &aps, &[], &far, &site("US"), None).is_empty());
    // No coupling known: counted in full, still an answer.
    assert_eq!(fallbacks(&now, &aps, &[], &|_, _, _| Db(f64::NAN), &site("US"), None).len(), 2);
}

/// Applies a remedy that sets the radios.
fn applied(design: &Design, finding: &Finding, remedy: usize) -> Design {
    let edit = &finding.remedies[remedy].edits[0];
    assert_eq!(edit.path, format!("designs/{}/radios", design.id));
    let mut changed = design.clone();
    changed.radios = serde_json::from_value(edit.value.clone().unwrap()).unwrap();
    changed
}

#[test]
fn the_remedy_of_a_radar_only_plan_mends_it() {
    let radio = ap();
    let mut home = design(&[set(0, Band::Ghz5, 5290.0, 80.0, 20.0), set(1, Band::Ghz5, 5530.0, 80.0, 20.0)]);
    let air = site("DE");
    let found = check(&home, &air, &|_| Some(&radio));
    assert_eq!(found.len(), 1);
    assert_eq!(found[0].rule, "wlan.radar-only-plan");
    assert!(found[0].remedies[0].text.contains("1 of 2 radios"), "{}", found[0].remedies[0].text);
    assert_eq!(check(&applied(&home, &found[0], 0), &air, &|_| Some(&radio)), vec![]);
    // Joined by that radio, both move.
    home.radios[1].centre = home.radios[0].centre;
    home.links.push(Link { id: id(77), from: id(0), to: id(1), medium: Medium::Radio { band: Band::Ghz5 } });
    let found = check(&home, &air, &|_| Some(&radio));
    let mended = applied(&home, &found[0], 0);
    assert_eq!(mended.radios[0].centre, mended.radios[1].centre);
    assert_eq!(check(&mended, &air, &|_| Some(&radio)), vec![]);
    // Without a radio there is nothing to compute with.
    assert!(
        check(&home, &air, &|_| None)
            .iter()
            .any(|f| f.rule == "wlan.radar-only-plan" && f.remedies[0].edits.is_empty())
    );
}

fn crowd(design: &Design, site: &Site, gain: f64) -> Vec<Finding> {
    let radio = ap();
    let context = AirContext {
        site,
        heard_at: &|_| None,
        coupling: &|_: &Id, _: &Id, _| Some(Db(gain)),
        radio: &|_| Some(&radio),
    };
    check_air(design, &context)
}

#[test]
fn a_crowded_channel_is_left_for_the_emptiest() {
    let mut air = site("US");
    for (n, (centre, load)) in [(2412.0, 0.4), (2412.0, 0.3), (2437.0, 0.2), (2462.0, 0.45)].into_iter().enumerate() {
        air.neighbours.push(neighbour(n, centre, 20.0, -70.0, Some(load)));
    }
    let home = design(&[set(0, Band::Ghz2, 2412.0, 20.0, 20.0)]);
    let found = crowd(&home, &air, -65.0);
    assert_eq!(found.len(), 1);
    assert_eq!(found[0].rule, "wlan.crowded-2.4");
    assert!((found[0].measured.clone().unwrap().value - 70.0).abs() < 1e-9);
    assert!(found[0].remedies[0].text.contains("channel 6 of 20 MHz: others take 20 %"), "{:?}", found[0].remedies);
    let mended = applied(&home, &found[0], 0);
    assert_eq!(mended.radios[0].centre.mhz(), 2437.0);
    assert_eq!(crowd(&mended, &air, -65.0), vec![]);
    // 40 MHz lies on both.
    let wide = design(&[set(0, Band::Ghz2, 2422.0, 40.0, 20.0)]);
    assert!((crowd(&wide, &air, -65.0)[0].measured.clone().unwrap().value - 90.0).abs() < 1e-9);
    // As heard where it stands: far below -82 dBm there is no crowd.
    let quiet = |_: &Id| {
        let mut here = air.clone();
        here.neighbours.iter_mut().for_each(|n| n.level = Dbm(-105.0));
        Some(here)
    };
    let coupling = |_: &Id, _: &Id, _: Band| None;
    let context = AirContext { site: &air, heard_at: &quiet, coupling: &coupling, radio: &|_| None };
    assert_eq!(check_air(&home, &context), vec![]);
}

#[test]
fn the_second_own_access_point_can_be_switched_off() {
    let mut air = site("US");
    for (n, centre) in [2412.0, 2437.0, 2462.0].into_iter().enumerate() {
        air.neighbours.push(neighbour(n, centre, 20.0, -70.0, Some(0.4)));
    }
    let home = design(&[set(0, Band::Ghz2, 2412.0, 20.0, 20.0), set(1, Band::Ghz2, 2412.0, 20.0, 20.0)]);
    let found = crowd(&home, &air, -70.0);
    assert_eq!(found.len(), 2);
    // 40 % and 30 %: on 6 or 11 it is 40 %; without the other as well.
    assert_eq!(found[0].remedies.len(), 2, "{found:?}");
    assert!(found[0].remedies[1].text.contains("`ap-1`: others then take 40 %"), "{:?}", found[0].remedies[1]);
    let mended = applied(&home, &found[0], 1);
    assert_eq!(mended.radios.len(), 1);
    assert_eq!(crowd(&mended, &air, -70.0), vec![]);
}

#[test]
fn too_many_on_one_channel_are_parted() {
    let all: Vec<RadioSetting> = (0..4).map(|n| set(n, Band::Ghz2, 2437.0, 20.0, 20.0)).collect();
    let home = design(&all);
    let air = site("US");
    let many = |found: Vec<Finding>| -> Vec<Finding> {
        found.into_iter().filter(|f| f.rule == "wlan.too-many-access-points").collect()
    };
    let found = many(crowd(&home, &air, -98.0));
    assert_eq!(found.len(), 1);
    assert_eq!(found[0].measured.clone().unwrap().value, 4.0);
    // 20 - 98 = -78 dBm; below 16 dBm none hears another.
    assert!(found[0].remedies[1].text.contains("15.9 dBm: 1 then"), "{:?}", found[0].remedies);
    assert_eq!(many(crowd(&applied(&home, &found[0], 1), &air, -98.0)), vec![]);
    assert_eq!(many(crowd(&applied(&home, &found[0], 0), &air, -98.0))[0].measured.clone().unwrap().value, 3.0);
    // In one room no power that a phone could answer parts them.
    assert_eq!(many(crowd(&home, &air, -60.0))[0].remedies.len(), 1);
    assert_eq!(many(crowd(&home, &air, -103.0)), vec![]);
    // In 80 MHz the same power is 6 dB less in each 20 MHz.
    let wide: Vec<RadioSetting> = (0..3).map(|n| set(n, Band::Ghz5, 5210.0, 80.0, 20.0)).collect();
    assert_eq!(many(crowd(&design(&wide), &air, -98.0)), vec![]);
    assert_eq!(many(crowd(&design(&wide), &air, -95.0)).len(), 1);
    // Their own radio link needs it.
    let mut meant = design(&wide);
    for (a, b) in [(0, 1), (1, 2), (0, 2)] {
        meant.links.push(Link { id: id(77), from: id(a), to: id(b), medium: Medium::Radio { band: Band::Ghz5 } });
    }
    assert_eq!(crowd(&meant, &air, -95.0), vec![]);
}

#[test]
fn power_that_no_phone_answers_is_found_where_it_costs_something() {
    let air = site("US");
    let two = |eirp: f64| design(&[set(0, Band::Ghz2, 2437.0, 20.0, eirp), set(1, Band::Ghz2, 2437.0, 20.0, 15.0)]);
    // Balanced: 19 dBm and 3 dB.
    let found = crowd(&two(23.0), &air, -100.0);
    assert_eq!(found.len(), 1, "{found:?}");
    assert_eq!(found[0].rule, "wlan.too-much-power");
    assert!((found[0].limit.clone().unwrap().value - 22.0).abs() < 1e-9);
    assert!(found[0].remedies[0].text.contains("-78 dBm there; 1 instead of 1"), "{:?}", found[0].remedies);
    assert_eq!(crowd(&applied(&two(23.0), &found[0], 0), &air, -100.0), vec![]);
    // Nobody of one's own holds back for it.
    assert_eq!(crowd(&two(23.0), &air, -120.0), vec![]);
    let odd = design(&[set(0, Band::Ghz2, 2437.0, 20.0, f64::NAN), set(1, Band::Ghz2, 2400.0, 20.0, 15.0)]);
    assert_eq!(crowd(&odd, &air, f64::NAN), vec![]);
}

/// A density limit leaves less power to a narrower channel: the remedy of a channel that is too wide keeps the law.
#[test]
fn the_remedy_of_too_wide_keeps_the_law() {
    let radio = ap();
    let mut air = site("US");
    for n in 0..6 {
        air.neighbours.push(neighbour(n, 5955.0 + 20.0 * f64::from(u32::from(n > 2)), 20.0, -60.0, Some(0.9)));
    }
    let home = design(&[set(0, Band::Ghz6, 5985.0, 80.0, 24.0)]);
    let found = check(&home, &air, &|_| Some(&radio));
    assert_eq!(found.len(), 1, "{found:?}");
    let mended = applied(&home, &found[0], 0);
    assert!(mended.radios[0].width < Hertz::from_mhz(80.0) && mended.radios[0].eirp.0 < 23.0, "{:?}", mended.radios);
    assert_eq!(check(&mended, &air, &|_| Some(&radio)), vec![]);
}
