//! The channel and power plan against a search of everything, and what it proves at the size of a home.

mod plan_homes;

use plan_homes::{ap, gains, id, inputs, site};
use radio_profile::{Band, RadioProfile, generic};
use units::{Db, Dbm, Hertz};
use wlan::{PowerChoice, Role, balanced_eirp, limits, plan_channels, plan_objective, plan_radios};

fn only(band: Band, widest: f64) -> RadioProfile {
    let mut radio = ap();
    radio.bands.retain(|b| b.band == band);
    radio.bands[0].max_width = Hertz::from_mhz(widest);
    radio
}

fn matched<'a>(client: &'a RadioProfile, least: &'a dyn Fn(usize, Band) -> Option<Dbm>) -> PowerChoice<'a> {
    PowerChoice { client, allowance: PowerChoice::ALLOWANCE, least }
}

/// Every combination of channel and power, each judged through [`plan_objective`], whose parts are worked by hand below and in `tests/plan.rs`.
#[test]
fn channels_and_powers_are_the_best_of_all() {
    let phone = generic::phone();
    let least = |place: usize, _: Band| if place == 1 { Some(Dbm(14.0)) } else { None };
    let (mut lowered, mut num) = (0, 0);
    for seed in 0..12_u64 {
        // Three access points, 2.4 GHz: (3 channels × 6 or 4 levels)³ plans.
        let radio = only(Band::Ghz2, 20.0);
        let mut air = site("US");
        plan_homes::add_neighbours(&mut air, seed, 3);
        let gain = gains(seed, 3);
        let coupling = |i: usize, j: usize, _: Band| Db(gain[i][j]);
        let power = matched(&phone, &least);
        let aps = inputs(&radio, 3);
        let plan = plan_radios(&aps, &[], &coupling, &air, Some(&power)).unwrap();
        let outcome = &plan.bands[0];
        assert!(outcome.proven && outcome.bound == outcome.objective);
        let limit = limits("US", Band::Ghz2, Hertz::from_mhz(2437.0), Hertz::from_mhz(20.0), Role::Client).unwrap();
        let (own, client) = (radio.band(Band::Ghz2).unwrap(), phone.band(Band::Ghz2).unwrap());
        let top = balanced_eirp((&radio, own), (&phone, client), &limit, power.allowance).min(Dbm(23.0));
        let levels = |place: usize| -> Vec<f64> {
            let floor = if place == 1 { 14.0 } else { 5.0 };
            let mut levels: Vec<f64> = (0..20).map(|k| top.0 - 3.0 * f64::from(k)).filter(|l| *l > floor).collect();
            if place == 1 {
                levels.push(floor);
            }
            levels
        };
        let settings: Vec<Vec<_>> = (0..3)
            .map(|place| {
                let at = |centre: f64| {
                    levels(place).into_iter().map(move |l| plan_homes::set(place, Band::Ghz2, centre, 20.0, l))
                };
                [2412.0, 2437.0, 2462.0].into_iter().flat_map(at).collect()
            })
            .collect();
        let mut best = f64::NEG_INFINITY;
        for a in &settings[0] {
            for b in &settings[1] {
                for c in &settings[2] {
                    let plan = [a.clone(), b.clone(), c.clone()];
                    let value = plan_objective(&plan, &aps, &[], &coupling, (&air, Band::Ghz2), Some(&power)).unwrap();
                    best = best.max(value);
                    num += 1;
                }
            }
        }
        assert!((outcome.objective - best).abs() < 1e-7, "{seed}: {} against {best}", outcome.objective);
        lowered += plan.settings.iter().filter(|s| s.eirp.0 < top.0 - 0.1).count();
    }
    assert!(num > 10_000 && lowered > 0, "{num} plans, {lowered} powers lowered");
}

/// Widths as well: two access points in all of 5 GHz of Germany, 20 to 80 MHz; three in what 40 MHz radios have.
#[test]
fn channels_and_widths_are_the_best_of_all() {
    for (num, widest, seeds) in [(2, 80.0, 6_u64), (3, 20.0, 2)] {
        for seed in 0..seeds {
            let radio = only(Band::Ghz5, widest);
            let mut air = site("DE");
            plan_homes::add_neighbours_5(&mut air, seed, 14);
            let gain = gains(seed + 50, num);
            let coupling = |i: usize, j: usize, _: Band| Db(gain[i][j]);
            let aps = inputs(&radio, num);
            let plan = plan_channels(&aps, &[], &coupling, &air).unwrap();
            let mut settings: Vec<Vec<_>> = vec![Vec::new(); num];
            for channel in wlan::all_channels() {
                if channel.band != Band::Ghz5 || f64::from(channel.width_mhz) > widest || channel.edges_mhz().1 > 5850.0
                {
                    continue;
                }
                let Ok(limit) = limits("DE", Band::Ghz5, channel.centre(), channel.width(), Role::AccessPoint) else {
                    continue;
                };
                let eirp = limit.clip(Dbm(23.0), Db(3.0), channel.width());
                for (place, list) in settings.iter_mut().enumerate() {
                    let (centre, width) = (channel.centre().mhz(), channel.width().mhz());
                    list.push(plan_homes::set(place, Band::Ghz5, centre, width, eirp.0));
                }
            }
            let mut best = f64::NEG_INFINITY;
            let all = settings[0].len().pow(num as u32);
            for code in 0..all {
                let mut rest = code;
                let mut plan = Vec::new();
                for list in &settings {
                    plan.push(list[rest % list.len()].clone());
                    rest /= list.len();
                }
                // Plans in which the order is not rising are mirrored only where all couplings are equal, which they are not.
                if let Some(value) = plan_objective(&plan, &aps, &[], &coupling, (&air, Band::Ghz5), None) {
                    best = best.max(value);
                }
            }
            let outcome = &plan.bands[0];
            assert!(outcome.proven, "{seed}");
            assert!((outcome.objective - best).abs() < 1e-7, "{num} {seed}: {} against {best}", outcome.objective);
        }
    }
}

/// Eight access points with three bands, with and without powers: each band is proven, in every country tried and for any couplings tried.
#[test]
fn eight_access_points_are_proven() {
    let (phone, radio) = (generic::phone(), ap());
    let none = |_: usize, _: Band| None;
    let least = |place: usize, _: Band| Some(Dbm(8.0 + place as f64));
    let mut most = 0;
    for (seed, country) in ["US", "DE", "GB", "JP"].into_iter().enumerate() {
        let mut air = site(country);
        plan_homes::add_neighbours(&mut air, seed as u64, 6);
        plan_homes::add_neighbours_5(&mut air, seed as u64, 10);
        let gain = gains(seed as u64 + 9, 8);
        let coupling = |i: usize, j: usize, _: Band| Db(gain[i][j]);
        for power in [None, Some(matched(&phone, &none)), Some(matched(&phone, &least))] {
            let plan = plan_radios(&inputs(&radio, 8), &[], &coupling, &air, power.as_ref()).unwrap();
            for band in plan.bands.iter().filter(|b| b.refused.is_none()) {
                most = most.max(band.nodes);
                assert!(band.proven, "{country} {:?}: gap {:.3}, {} nodes", band.band, band.gap(8), band.nodes);
            }
        }
    }
    assert!(most > 0);
}

/// Fifty access points: bounded work, a valid plan, a bound that says how far the best may be.
#[test]
fn fifty_access_points_get_a_plan_with_its_gap() {
    let radio = ap();
    let gain = gains(3, 50);
    let plan = plan_channels(&inputs(&radio, 50), &[], &|i, j, _| Db(gain[i][j]), &site("DE")).unwrap();
    assert_eq!(plan.settings.len(), 150);
    for band in &plan.bands {
        assert!(!band.proven && band.bound > band.objective && band.gap(50) > 0.0);
        assert!(band.nodes <= 600_000, "{}", band.nodes);
    }
    let design = plan_homes::design(&plan.settings);
    let broken = wlan::check(&design, &site("DE"), &|_| Some(&radio));
    assert!(broken.iter().all(|f| f.severity > findings::Severity::Fails), "{broken:?}");
    assert_eq!(id(3), plan.settings[9].part);
}

#[test]
fn power_is_matched_to_the_client() {
    let (phone, radio) = (generic::phone(), ap());
    let none = |_: usize, _: Band| None;
    // Alone: no reason to go below what the phone can answer, none to go above.
    let power = PowerChoice { allowance: Db(0.0), ..matched(&phone, &none) };
    let alone = plan_radios(&inputs(&radio, 1), &[], &|_, _, _| Db(-65.0), &site("US"), Some(&power)).unwrap();
    // 2.4 GHz: 15 dBm - 3 dBi sent; 3 dBi against -3, noise 6 against 7 dB, 2 chains against 2: 12 + 6 + 1 = 19 dBm.
    assert!((alone.settings[0].eirp.0 - 19.0).abs() < 1e-9, "{:?}", alone.settings[0]);
    // 5 GHz: 14 - 3; 4 chains against 2: 11 + 6 + 1 + 3.01 = 21.01 dBm.
    assert!((alone.settings[1].eirp.0 - 21.01).abs() < 0.01, "{:?}", alone.settings[1]);
    // The link model finds the slowest mode as far up as down at that power.
    let setting = plan_homes::set(0, Band::Ghz2, 2437.0, 20.0, 19.0);
    let end = |r: &'static RadioProfile| wlan::End { generation: r.generation, radio: r.band(Band::Ghz2).unwrap() };
    let (ap_end, phone_end) = (end(Box::leak(Box::new(ap()))), end(Box::leak(Box::new(generic::phone()))));
    let link = wlan::LinkModel::new("US", ap_end, phone_end, &setting).unwrap();
    let first = |way| link.steps(way)[0].min_gain.0;
    assert!((first(wlan::Direction::Down) - first(wlan::Direction::Up)).abs() < 1e-9);
    // What coverage needs comes first, even above that; what may not be radiated is said.
    let needs = |eirp: f64| {
        let least = move |_: usize, band: Band| (band == Band::Ghz5).then_some(Dbm(eirp));
        let plan = plan_radios(
            &inputs(&ap(), 1),
            &[],
            &|_, _, _| Db(-65.0),
            &site("US"),
            Some(&PowerChoice { least: &least, ..matched(&generic::phone(), &none) }),
        )
        .unwrap();
        (plan.settings[1].eirp.0, plan.bands[1].short.clone())
    };
    assert_eq!(needs(25.5), (25.5, vec![]));
    assert_eq!(needs(40.0), (26.0, vec![id(0)]));
    assert_eq!(needs(f64::NAN).1, vec![]);
}

/// Two floors apart, on one channel because neighbours fill the others: with room to spare, less power parts them.
#[test]
fn power_is_lowered_where_that_parts_two_access_points() {
    let (phone, radio) = (generic::phone(), only(Band::Ghz2, 20.0));
    let mut air = site("US");
    for (n, centre) in [2437.0, 2462.0, 2437.0, 2462.0].into_iter().enumerate() {
        air.neighbours.push(plan_homes::neighbour(n, centre, 20.0, -60.0, Some(0.9)));
    }
    let least = |_: usize, _: Band| Some(Dbm(8.0));
    let plan = |gain: f64| {
        plan_radios(&inputs(&radio, 2), &[], &move |_, _, _| Db(gain), &air, Some(&matched(&phone, &least))).unwrap()
    };
    let far = plan(-104.0);
    assert!(far.settings.iter().all(|s| s.centre.mhz() == 2412.0), "{far:?}");
    assert!(far.settings.iter().all(|s| s.eirp.0 < 19.0), "{far:?}");
    // So near that no power parts them: there is nothing to gain from less.
    let near = plan(-50.0);
    assert!(near.settings.iter().all(|s| s.eirp.0 > 20.0), "{near:?}");
}
