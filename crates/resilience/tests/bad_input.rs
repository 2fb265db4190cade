//! What makes no sense is named, and nothing panics.

mod home;

use equipment::{Battery, Part};
use findings::{Id, Source};
use home::{Home, design, full, id, laptop, on_battery, over_cable};
use network::{CellState, KnownFailure, SupplyCells};
use proptest::prelude::*;
use resilience::{Model, Off, Staying};
use units::{Seconds, WattHours, Watts};

fn finding<'a>(staying: &'a Staying, rule: &str) -> &'a findings::Finding {
    let rules: Vec<&str> = staying.findings.iter().map(|f| f.rule.as_str()).collect();
    staying.findings.iter().find(|f| f.rule == rule).unwrap_or_else(|| panic!("{rule} is not in {rules:?}"))
}

fn failing(name: &str, mtbf: f64, mttr: f64) -> KnownFailure {
    let failure =
        equipment::Failure { mtbf: Seconds(mtbf), mttr: Seconds(mttr), factor: 3.0, source: Source::generic() };
    KnownFailure { id: id(name), failure }
}

/// A home whose battery supply is changed.
fn with_battery(change: impl Fn(&mut Battery)) -> Home {
    let mut home = full();
    let mut part: Part = home.catalog.get(&id("battery-ac-900va")).expect("built in").clone();
    part.id = id("changed");
    change(part.battery.as_mut().expect("a battery"));
    home.own.push(part);
    for placed in home.design.parts.iter_mut().filter(|p| p.id == id("ups")) {
        placed.part = id("changed");
    }
    home
}

#[test]
fn a_missing_rate_leaves_cuts_and_single_points() {
    for (mtbf, mttr) in [(f64::NAN, 1.0), (0.0, 1.0), (-5.0, 1.0), (1.0, f64::INFINITY), (1.0, -1.0)] {
        let mut home = full();
        home.design.upkeep.failures = vec![failing("router", mtbf, mttr)];
        let staying = home.staying();
        let row = staying.services.iter().find(|s| s.id == id("laptop")).expect("the service");
        assert!(row.availability.is_none() && row.minutes.is_none() && row.importances.is_empty());
        assert!(row.missing.iter().any(|m| m.contains("router")), "{:?}", row.missing);
        assert!(row.single_points.iter().any(|m| m.id == id("router")) && row.cuts.len() > row.single_points.len());
        assert!(row.cuts.iter().any(|c| c.minutes.is_none()) && row.cuts.iter().any(|c| c.minutes.is_some()));
        assert_eq!(finding(&staying, "resilience.missing-rate").subjects, [id("router")]);
    }
}

#[test]
fn a_repair_in_no_time_is_always_up_and_said() {
    let mut home = full();
    home.design.upkeep.failures = vec![failing("router", 1000.0, 0.0)];
    let staying = home.staying();
    let router = staying.components.iter().find(|c| c.id == id("router")).expect("the router");
    assert_eq!(router.minutes.expect("known").value, 0.0);
    assert_eq!(finding(&staying, "resilience.no-repair-time").subjects, [id("router")]);
}

#[test]
fn circles_of_feeds_and_links_are_named() {
    let parts =
        [("ont", "ont-1g"), ("router", "router-ax"), ("ups", "battery-ac-900va"), ("ups-2", "battery-ac-400va")];
    let links = [("ont", "router"), ("router", "laptop")];
    let own =
        Home::new(design(&parts, &links, vec![("router", on_battery("ups")), ("ups", on_battery("ups"))]), laptop());
    let staying = own.staying();
    let finding_of = finding(&staying, "resilience.power-loop");
    assert_eq!(finding_of.subjects, [id("ups")]);
    assert!(!finding_of.remedies[0].edits.is_empty());
    assert!(staying.services.iter().all(|s| s.availability.is_none() && !s.missing.is_empty()));
    let each_other = vec![("router", on_battery("ups")), ("ups", on_battery("ups-2")), ("ups-2", on_battery("ups"))];
    finding(&Home::new(design(&parts, &links, each_other), laptop()).staying(), "resilience.power-loop");
    let poe = vec![("router", over_cable("ont")), ("ont", over_cable("router"))];
    finding(&Home::new(design(&parts, &links, poe), laptop()).staying(), "resilience.power-loop");
    let circle = [("router", "ont"), ("ont", "router"), ("router", "laptop")];
    finding(&Home::new(design(&parts, &circle, vec![]), laptop()).staying(), "resilience.link-loop");
    // A ring that reaches the line is no fault: it has two ways.
    let ring_parts = [("router", "router-ax"), ("a", "switch-5"), ("b", "switch-5")];
    let ring_links = [("router", "a"), ("router", "b"), ("a", "b"), ("b", "a"), ("b", "laptop")];
    let ring = Home::new(design(&ring_parts, &ring_links, vec![]), laptop()).staying();
    let row = ring.services.iter().find(|s| s.id == id("laptop")).expect("the service");
    assert!(row.availability.is_some() && row.single_points.iter().all(|m| m.id != id("a")));
}

#[test]
fn no_line_and_no_mains_figures_are_unknown() {
    let mut home = full();
    home.site.lines.clear();
    let staying = home.staying();
    let row = staying.services.iter().find(|s| s.id == id("work")).expect("the service");
    assert!(row.missing.iter().any(|m| m.contains("site.lines")), "{:?}", row.missing);
    let local = staying.services.iter().find(|s| s.id == id("backup")).expect("the service");
    assert!(local.availability.is_some());
    let mut home = full();
    home.site.mains.saidi = Some(Seconds(f64::NAN));
    let staying = home.staying();
    assert!(staying.services.iter().all(|s| s.availability.is_none()));
    assert!(finding(&staying, "resilience.missing-rate").message.contains("site.mains"));
}

#[test]
fn an_empty_battery_carries_nothing() {
    let home = with_battery(|b| b.cells.as_mut().expect("known cells").printed = WattHours(0.0));
    let staying = home.staying();
    assert_eq!(finding(&staying, "resilience.battery-empty").subjects, [id("ups")]);
    assert_eq!(staying.batteries[0].runtime, Some(Seconds(0.0)));
    assert_eq!(home.ask(|m| m.protected_runtime()), Some(Seconds(0.0)));
}

#[test]
fn volt_amperes_that_were_taken_for_watt_hours_are_seen() {
    let home = with_battery(|b| b.cells.as_mut().expect("known cells").printed = WattHours(900.0));
    assert_eq!(finding(&home.staying(), "resilience.va-as-energy").subjects, [id("ups")]);
    assert!(!full().staying().findings.iter().any(|f| f.rule == "resilience.va-as-energy"));
}

#[test]
fn overloads_and_senseless_figures_of_batteries_are_named() {
    let overload = with_battery(|b| b.max_load = Watts(20.0)).staying();
    let finding_of = finding(&overload, "resilience.battery-overload");
    assert!(finding_of.measured.as_ref().is_some_and(|m| m.value > 20.0));
    assert!(overload.batteries[0].runtime.is_none() && overload.batteries[0].problem.is_some());
    finding(&with_battery(|b| b.rated_va = Some(30.0)).staying(), "resilience.battery-overload");
    for change in [
        (|b: &mut Battery| b.efficiency = 0.0) as fn(&mut Battery),
        |b| b.efficiency = f64::NAN,
        |b| b.own_draw = Watts(f64::NAN),
        |b| b.cells.as_mut().expect("known cells").rated_hours = 0.0,
        |b| b.cells.as_mut().expect("known cells").peukert = Some(0.5),
        |b| b.cells.as_mut().expect("known cells").printed = WattHours(f64::NAN),
    ] {
        finding(&with_battery(change).staying(), "resilience.battery-unknown");
    }
    for temperature_c in [-40.0, -300.0, f64::NAN, 90.0] {
        let mut home = full();
        home.design.upkeep.cells =
            vec![SupplyCells { supply: id("ups"), state: CellState { temperature_c, ..CellState::default() } }];
        let staying = home.staying();
        assert!(finding(&staying, "resilience.battery-unknown").message.contains("°C"));
        assert!(staying.services.iter().all(|s| s.mains.outlasts.is_none_or(|t| t.0 == 0.0)), "nothing is promised");
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]
    #[test]
    fn nothing_panics(
        links in prop::collection::vec((0usize..7, 0usize..8), 0..12),
        feeds in prop::collection::vec((0usize..8, 0usize..7, 0usize..3), 0..10),
        numbers in prop::collection::vec(prop_oneof![Just(f64::NAN), Just(f64::INFINITY), Just(-1.0), Just(0.0), 0.0..1e9], 6),
    ) {
        let names = ["ont", "router", "switch", "ap-1", "ap-2", "ups", "shed", "laptop"];
        let mut home = full();
        home.design.links = links
            .iter()
            .enumerate()
            .map(|(i, (from, to))| network::Link {
                id: id(&format!("l{i}")),
                from: id(names[*from]),
                to: id(names[*to]),
                medium: network::Medium::Cord,
            })
            .collect();
        home.design.feeds = feeds
            .iter()
            .map(|(part, from, kind)| network::Feed {
                part: id(names[*part]),
                source: match kind {
                    0 => network::FeedSource::Mains { outlet: None },
                    1 => on_battery(names[*from]),
                    _ => over_cable(names[*from]),
                },
            })
            .collect();
        home.design.upkeep.failures = vec![failing("ont", numbers[0], numbers[1])];
        home.site.mains.saidi = Some(Seconds(numbers[2]));
        home.site.mains.saifi = Some(numbers[3]);
        home.design.upkeep.cells = vec![SupplyCells {
            supply: id("ups"),
            state: CellState { temperature_c: numbers[4], age_years: numbers[5], power_factor: None },
        }];
        let off = [Off::since(id("mains"), Seconds(numbers[5])), Off::for_good(id("switch"))];
        let ask = |m: &Model| (m.staying(), m.what_if(&off), m.outcome(), m.protected_runtime());
        let (staying, what_if, ..) = home.ask(ask);
        for service in &staying.services {
            if let Some(a) = service.availability {
                prop_assert!((0.0..=1.0).contains(&a.value), "{:?}", a);
            } else {
                prop_assert!(!service.missing.is_empty());
            }
        }
        prop_assert_eq!(what_if.services.len(), staying.services.len());
        let _: Option<&Id> = what_if.without_effect.first();
    }
}
