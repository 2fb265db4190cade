//! No plan breaks a rule, in any country with cited limits, with powers fixed or chosen, for small and absurd input.

mod plan_homes;

use findings::Severity;
use plan_homes::{ap, design, gains, id, inputs, site};
use radio_profile::{Band, Generation, generic};
use units::{Db, Dbm, Hertz};
use wlan::{ChannelPlan, Joined, PlanError, PowerChoice, Role, check, fallbacks, limits, plan_radios};

/// Each setting against the limits of both roles, worked anew.
fn keeps_the_law(plan: &ChannelPlan, country: &str) {
    for setting in &plan.settings {
        for role in [Role::AccessPoint, Role::Client] {
            let limit = limits(country, setting.band, setting.centre, setting.width, role).unwrap();
            assert!(limit.date.to_string().len() == 10 && !limit.rule.cite.is_empty());
            if setting.band == Band::Ghz6 {
                assert!(limit.indoor_only, "{country}: 6 GHz without coordination is for indoors");
            }
            if role == Role::AccessPoint {
                assert!(setting.eirp.0 <= limit.eirp_total.0 + 1e-9, "{country}: {setting:?}");
                let in_one = setting.eirp.0 - 10.0 * setting.width.mhz().log10();
                assert!(limit.density.is_none_or(|d| in_one <= d.0 + 1e-9), "{country}: {setting:?}");
                let gain = 3.0;
                let most = limit.conducted_max.map_or(f64::INFINITY, |c| c.0 + gain);
                assert!(setting.eirp.0 <= most + 1e-9, "{country}: {setting:?}");
            }
            if let Some(dfs) = &limit.dfs {
                assert!(
                    setting.band == Band::Ghz5 && dfs.availability_check.0 >= 60.0 && dfs.non_occupancy.0 == 1800.0
                );
            }
        }
    }
}

#[test]
fn no_plan_and_no_fallback_breaks_a_rule() {
    let (radio, phone) = (ap(), generic::phone());
    let least = |place: usize, _: Band| (place == 0).then_some(Dbm(19.0));
    let gain = gains(4, 4);
    let coupling = |i: usize, j: usize, _: Band| Db(gain[i][j]);
    for country in wlan::countries_with_limits() {
        let air = site(country);
        let aps = inputs(&radio, 4);
        for power in [None, Some(PowerChoice { client: &phone, allowance: Db(3.0), least: &least })] {
            let plan = plan_radios(&aps, &[], &coupling, &air, power.as_ref()).unwrap();
            keeps_the_law(&plan, country);
            let found = check(&design(&plan.settings), &air, &|_| Some(&radio));
            assert!(found.iter().all(|f| f.severity > Severity::Fails), "{country}: {found:?}");
            let mut radar = 0;
            for setting in plan.settings.iter().filter(|s| s.band == Band::Ghz5) {
                let limit = limits(country, setting.band, setting.centre, setting.width, Role::AccessPoint).unwrap();
                radar += usize::from(limit.dfs.is_some());
            }
            let fallbacks = fallbacks(&plan.settings, &aps, &[], &coupling, &air, power.as_ref());
            assert_eq!(fallbacks.len(), radar, "{country}: every radio on a radar channel has its fallback named");
            let moved: Vec<_> = fallbacks.iter().filter_map(|f| f.to.clone()).collect();
            keeps_the_law(&ChannelPlan { settings: moved, bands: vec![] }, country);
        }
    }
}

#[test]
fn absurd_input_gives_an_error_or_a_plan_that_keeps_the_law() {
    let phone = generic::phone();
    let none = |_: usize, _: Band| None;
    let power = PowerChoice { client: &phone, allowance: Db(f64::NAN), least: &none };
    let near = |_: usize, _: usize, _: Band| Db(f64::NAN);
    // No access points; an unknown country; a country without cited limits.
    assert_eq!(plan_radios(&[], &[], &near, &site("US"), Some(&power)), Err(PlanError::NoRadio));
    for country in ["UK", "AU", "ZZ", ""] {
        let mut air = site("US");
        air.country = country.into();
        let radio = ap();
        let error = plan_radios(&inputs(&radio, 2), &[], &near, &air, None).unwrap_err();
        assert!(matches!(error, PlanError::NoBand { .. }), "{country}: {error}");
    }
    for value in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY, 1e9, -1e9, 0.0] {
        let mut radio = ap();
        for band in &mut radio.bands {
            band.tx_power = Dbm(value);
        }
        if let Ok(plan) = plan_radios(&inputs(&radio, 3), &[], &near, &site("DE"), Some(&power)) {
            assert!(plan.settings.iter().all(|s| s.eirp.is_finite()), "{value}");
            keeps_the_law(&plan, "DE");
        }
        let mut radio = ap();
        for band in &mut radio.bands {
            band.max_width = Hertz(value);
            band.antenna_gain = Db(value);
            band.noise_figure = Db(value);
        }
        drop(plan_radios(&inputs(&radio, 3), &[], &near, &site("DE"), Some(&power)));
        let least = move |_: usize, _: Band| Some(Dbm(value));
        let odd = PowerChoice { client: &phone, allowance: Db(value), least: &least };
        let radio = ap();
        let plan = plan_radios(&inputs(&radio, 3), &[], &move |_, _, _| Db(value), &site("DE"), Some(&odd)).unwrap();
        keeps_the_law(&plan, "DE");
        let mut air = site("DE");
        air.neighbours.push(plan_homes::neighbour(0, value, value, value, Some(value)));
        air.neighbours.push(plan_homes::neighbour(1, 5210.0, 80.0, value, Some(value)));
        let plan = plan_radios(&inputs(&radio, 3), &[], &near, &air, None).unwrap();
        assert!(plan.bands.iter().all(|b| b.objective.is_finite() && b.bound >= b.objective), "{value}: {plan:?}");
    }
    // One radio that lacks the bands of the others, one of an old generation, all joined.
    let (mut old, full) = (ap(), ap());
    old.generation = Generation::N;
    let mut few = ap();
    few.bands.truncate(1);
    let aps = [
        wlan::ApInput { part: id(0), radio: &old },
        wlan::ApInput { part: id(1), radio: &full },
        wlan::ApInput { part: id(2), radio: &few },
    ];
    let join = |a, b, band| Joined { a, b, band };
    let joined = [join(0, 1, Band::Ghz5), join(1, 2, Band::Ghz5), join(0, 1, Band::Ghz6)];
    let plan = plan_radios(&aps, &joined, &near, &site("DE"), Some(&power)).unwrap();
    keeps_the_law(&plan, "DE");
    let five: Vec<_> = plan.settings.iter().filter(|s| s.band == Band::Ghz5).collect();
    assert!(five.len() == 2 && five[0].centre == five[1].centre && five[0].width.mhz() <= 40.0, "{five:?}");
}
