//! The channel plan against a search of everything, and the checks of a design.

use findings::{Finding, Id};
use network::{Design, Family, Mounting, PlacedPart, RadioSetting};
use radio_profile::{Band, BandRadio, Generation, RadioProfile};
use site::{Neighbour, Site};
use units::{Db, Dbm, Hertz, Point3};
use wlan::{ApInput, ChannelPlan, Joined, PlanError, channel_plan, check, check_overlaps, plan_channels};

fn site(country: &str) -> Site {
    Site::default_for(country, "2026-11-25".parse().unwrap())
}

fn ap() -> RadioProfile {
    let radio = |band, streams, mhz, power| BandRadio {
        band,
        streams,
        max_width: Hertz::from_mhz(mhz),
        tx_power: Dbm(power),
        antenna_gain: Db(3.0),
        noise_figure: Db(6.0),
    };
    let bands =
        vec![radio(Band::Ghz2, 2, 40.0, 20.0), radio(Band::Ghz5, 4, 80.0, 23.0), radio(Band::Ghz6, 4, 160.0, 23.0)];
    RadioProfile {
        generation: Generation::Ax,
        bands,
        concurrent: true,
        pattern: radio_profile::AntennaPattern::Even,
        multi_link: radio_profile::MultiLink::None,
    }
}

fn id(n: usize) -> Id {
    Id::from_label(&format!("ap-{n}"))
}

fn inputs(radio: &RadioProfile, num: usize) -> Vec<ApInput<'_>> {
    (0..num).map(|n| ApInput { part: id(n), radio }).collect()
}

fn plan(num: usize, country: &str) -> ChannelPlan {
    plan_channels(&inputs(&ap(), num), &[], &|_, _, _| Db(-65.0), &site(country)).unwrap()
}

fn of(plan: &ChannelPlan, band: Band) -> Vec<(f64, f64)> {
    plan.settings.iter().filter(|s| s.band == band).map(|s| (s.centre.mhz(), s.width.mhz())).collect()
}

#[test]
fn one_access_point_gets_the_widest_channel_without_radar() {
    for country in ["US", "CA", "DE", "FR", "GB", "JP"] {
        let plan = plan(1, country);
        assert_eq!(of(&plan, Band::Ghz2), [(2412.0, 20.0)], "{country}");
        let [(centre, width)] = of(&plan, Band::Ghz5)[..] else { panic!("{country}") };
        assert_eq!(width, 80.0, "{country}");
        assert!(centre == 5210.0 || centre == 5775.0, "{country}: {centre} MHz needs radar detection");
        assert_eq!(of(&plan, Band::Ghz6)[0].1, 160.0, "{country}");
        assert!(plan.bands.iter().all(|b| b.proven && b.refused.is_none()));
    }
}

#[test]
fn three_access_points_share_nothing() {
    let plan = plan(3, "US");
    assert_eq!(of(&plan, Band::Ghz2), [(2412.0, 20.0), (2437.0, 20.0), (2462.0, 20.0)]);
    for band in Band::ALL {
        let used = of(&plan, band);
        for (i, a) in used.iter().enumerate() {
            for b in &used[i + 1..] {
                assert!((a.0 - b.0).abs() >= (a.1 + b.1) / 2.0, "{band:?}: {used:?}");
            }
        }
    }
}

#[test]
fn a_neighbour_on_channel_one_moves_the_plan() {
    let mut site = site("US");
    site.neighbours.push(Neighbour {
        id: id(99),
        centre: Hertz::from_mhz(2412.0),
        width: Hertz::from_mhz(20.0),
        level: Dbm(-60.0),
        transmitter: None,
        load: Some(0.5),
    });
    let plan = plan_channels(&inputs(&ap(), 1), &[], &|_, _, _| Db(-65.0), &site).unwrap();
    assert_eq!(of(&plan, Band::Ghz2), [(2437.0, 20.0)]);
}

#[test]
fn access_points_joined_by_radio_share_their_channel() {
    let radio = ap();
    let inputs = inputs(&radio, 3);
    let join = |a, b| Joined { a, b, band: Band::Ghz5 };
    let plan = |joined: &[Joined]| plan_channels(&inputs, joined, &|_, _, _| Db(-65.0), &site("DE"));
    let five = of(&plan(&[join(1, 0), join(2, 1)]).unwrap(), Band::Ghz5);
    assert!(five.len() == 3 && five.iter().all(|c| *c == five[0]), "{five:?}");
    // A circle is no more than a chain.
    assert_eq!(of(&plan(&[join(2, 1), join(0, 2), join(1, 0)]).unwrap(), Band::Ghz5), five);
    assert_eq!(plan(&[join(0, 0)]).unwrap_err(), PlanError::BadJoin { a: 0, b: 0, num: 3 });
    assert_eq!(plan(&[join(0, 3)]).unwrap_err(), PlanError::BadJoin { a: 0, b: 3, num: 3 });
}

/// With 2.4 GHz only there are 3ⁿ plans; the objective is recomputed here for each.
#[test]
fn the_search_finds_the_best_of_all_plans() {
    let mut radio = ap();
    radio.bands.truncate(1);
    for num in 1..=6usize {
        for seed in 0..8usize {
            let gain = move |i: usize, j: usize| -55.0 - 7.3 * (((i * j + (i + j) * (seed + 3)) % 11) as f64);
            let plan = plan_channels(&inputs(&radio, num), &[], &|i, j, _| Db(gain(i, j)), &site("US")).unwrap();
            let value = |channels: &[usize]| -> f64 {
                (0..num)
                    .map(|i| {
                        let others = (0..num).filter(|j| *j != i && channels[*j] == channels[i]);
                        // EIRP 23 dBm and 3 dBi at the other end; -82 dBm counts in full.
                        let heard = |j| 10f64.powf((23.0 + 3.0 + gain(i, j) + 82.0) / 10.0).min(1.0);
                        let others = others.map(heard).sum::<f64>();
                        // As many turns as senders, and what collisions take.
                        20f64.ln() - ((1.0 + others) * (1.0 + 0.0715 * others / (1.0 + 0.075 * others))).ln()
                    })
                    .sum()
            };
            let best = (0..3usize.pow(num as u32))
                .map(|code| value(&(0..num).map(|i| code / 3usize.pow(i as u32) % 3).collect::<Vec<_>>()))
                .fold(f64::NEG_INFINITY, f64::max);
            let outcome = &plan.bands[0];
            assert!(outcome.proven);
            assert!((outcome.objective - best).abs() < 1e-6, "{num} {seed}: {} against {best}", outcome.objective);
        }
    }
}

#[test]
fn a_band_that_is_not_allowed_is_left_out_and_an_unknown_country_is_an_error() {
    let plan = plan(1, "US");
    assert_eq!(plan.bands.len(), 3);
    let error = channel_plan(&inputs(&ap(), 1), &|_, _, _| Db(-65.0), &site("UK")).unwrap_err();
    assert!(error.to_string().contains("`GB`"), "{error}");
    let error = channel_plan(&inputs(&ap(), 1), &|_, _, _| Db(-65.0), &site("AU")).unwrap_err();
    assert!(error.to_string().contains("unknown"), "{error}");
    assert_eq!(channel_plan(&[], &|_, _, _| Db(-65.0), &site("US")), Err(PlanError::NoRadio));
    let mut dead = ap();
    dead.bands.iter_mut().for_each(|b| b.streams = 0);
    assert_eq!(channel_plan(&inputs(&dead, 1), &|_, _, _| Db(-65.0), &site("US")), Err(PlanError::NoRadio));
    // Couplings that are not numbers count in full.
    let plan = plan_channels(&inputs(&ap(), 2), &[], &|_, _, _| Db(f64::NAN), &site("US")).unwrap();
    assert_eq!(of(&plan, Band::Ghz2), [(2412.0, 20.0), (2437.0, 20.0)]);
}

#[test]
fn equal_input_gives_equal_plans_and_no_plan_breaks_a_rule() {
    for country in wlan::countries_with_limits() {
        for num in [1, 2, 5] {
            let first = plan(num, country);
            assert_eq!(first, plan(num, country));
            let found = check(&design(&first.settings), &site(country), &|_| None);
            let broken: Vec<&Finding> =
                found.iter().filter(|f| f.rule != "wlan.beyond-radio" && f.rule != "wlan.radar-only-plan").collect();
            assert!(broken.is_empty(), "{country}: {broken:?}");
        }
    }
}

fn design(radios: &[RadioSetting]) -> Design {
    let mut parts: Vec<PlacedPart> = Vec::new();
    for setting in radios {
        if parts.iter().all(|p| p.id != setting.part) {
            parts.push(PlacedPart {
                id: setting.part.clone(),
                part: Id::from_label("ap"),
                room: Id::from_label("hall"),
                at: Point3 { x: 0.0, y: 0.0, z: 2.4 },
                mounting: Mounting::Ceiling,
                aim: None,
                kept: false,
            });
        }
    }
    Design {
        id: Id::from_label("d1"),
        name: "test".into(),
        family: Family::WiredBackhaul,
        parts,
        links: vec![],
        radios: radios.to_vec(),
        segments: vec![],
        feeds: vec![],
        line_queue: network::LineQueue::Plain,
        upkeep: network::Upkeep::default(),
    }
}

fn set(n: usize, band: Band, centre: f64, width: f64, eirp: f64) -> RadioSetting {
    RadioSetting { part: id(n), band, centre: Hertz::from_mhz(centre), width: Hertz::from_mhz(width), eirp: Dbm(eirp) }
}

fn found(radios: &[RadioSetting], site: &Site, gain: f64) -> Vec<Finding> {
    let radio = ap();
    let design = design(radios);
    let mut found = check(&design, site, &|_| Some(&radio));
    found.extend(check_overlaps(&design, &|_, _, _| Some(Db(gain))));
    found
}

fn rules(radios: &[RadioSetting], country: &str, gain: f64) -> Vec<String> {
    found(radios, &site(country), gain).into_iter().map(|f| f.rule).collect()
}

#[test]
fn each_rule_finds_its_own_condition_only() {
    use Band::{Ghz2, Ghz5, Ghz6};
    let good = set(0, Ghz5, 5210.0, 80.0, 23.0);
    assert_eq!(rules(std::slice::from_ref(&good), "DE", -65.0), Vec::<String>::new());
    assert_eq!(rules(&[set(0, Ghz2, 2472.0, 20.0, 20.0)], "US", -65.0), ["wlan.channel-not-allowed"]);
    assert_eq!(rules(&[set(0, Ghz5, 5211.0, 80.0, 20.0)], "DE", -65.0), ["wlan.channel-not-allowed"]);
    assert_eq!(rules(&[set(0, Ghz5, 5210.0, 80.0, 24.0)], "DE", -65.0), ["wlan.power-above-limit"]);
    assert_eq!(rules(&[set(0, Ghz5, 5775.0, 80.0, 30.0)], "US", -65.0), ["wlan.beyond-radio"]);
    assert_eq!(rules(&[set(0, Ghz6, 6105.0, 320.0, 23.0)], "US", -65.0), ["wlan.beyond-radio"]);
    assert_eq!(rules(&[set(0, Ghz5, 5210.0, 80.0, 20.0)], "AU", -65.0), ["wlan.limit-unknown"]);
    assert_eq!(rules(&[good.clone(), set(1, Ghz5, 5775.0, 80.0, 10.0)], "UK", -65.0), ["wlan.country-unknown"]);
    assert_eq!(rules(&[set(0, Ghz5, 5290.0, 80.0, 20.0)], "DE", -65.0), ["wlan.radar-only-plan"]);
    assert_eq!(rules(&[good.clone(), set(1, Ghz5, 5190.0, 40.0, 20.0)], "DE", -65.0), ["wlan.own-overlap"]);
    assert_eq!(rules(&[good.clone(), set(1, Ghz5, 5190.0, 40.0, 20.0)], "DE", -110.0), Vec::<String>::new());
    assert_eq!(rules(&[good.clone(), good], "DE", -65.0), ["wlan.duplicate-setting"]);
    assert_eq!(rules(&[set(0, Ghz5, 5210.0, 80.0, f64::NAN)], "DE", -65.0), ["wlan.beyond-radio"]);
}

#[test]
fn too_wide_is_found_with_the_channel_that_leaves_more() {
    let mut site = site("DE");
    for n in 0..4 {
        site.neighbours.push(Neighbour {
            id: id(90 + n),
            centre: Hertz::from_mhz(5240.0),
            width: Hertz::from_mhz(20.0),
            level: Dbm(-60.0),
            transmitter: None,
            load: Some(0.5),
        });
    }
    let found = found(&[set(0, Band::Ghz5, 5210.0, 80.0, 23.0)], &site, -65.0);
    assert_eq!(found.len(), 1);
    assert_eq!(found[0].rule, "wlan.too-wide");
    // Four neighbours that want half each and this one: a fifth of 80 MHz, less collisions, against 40 MHz of channel 38 alone.
    let measured = found[0].measured.clone().unwrap().value;
    assert!((measured - 16.0 / (1.0 + 0.0715 * 4.0 / 1.3)).abs() < 1e-9, "{measured}");
    assert!(found[0].limit.clone().unwrap().value == 40.0);
    assert_eq!(found[0].remedies[0].edits[0].path, "designs/d1/radios");
}
