//! Batteries against worked examples and trade facts.

mod home;

use equipment::{Battery, Catalog, Cells, Chemistry, Part, SupplyOutput};
use findings::Id;
use home::{full, id, on_battery, over_cable};
use network::CellState;
use resilience::{
    ADAPTER_EFFICIENCY, END_OF_LIFE, POE_EFFICIENCY, RuntimeProblem, battery_load, capacity_share, loads, peukert,
    recharge, runtime, stages,
};
use units::{Seconds, WattHours, Watts};

fn hours(time: Seconds) -> f64 {
    time.0 / 3600.0
}

/// 12 V blocks, as the worked examples give ampere-hours.
fn block(amp_hours: f64, amps: f64, exponent: f64) -> f64 {
    hours(peukert(WattHours(12.0 * amp_hours), 20.0, exponent, Watts(12.0 * amps)).expect("sound figures"))
}

#[test]
fn peukert_gives_the_worked_examples() {
    // Form with hours, t = H (C / (I H))^k (tests/data/SOURCE.md).
    for (amp_hours, amps, exponent, expected) in [
        (100.0, 5.0, 1.2, 20.0),
        (100.0, 10.0, 1.2, 8.7055),
        (100.0, 20.0, 1.2, 3.7893),
        (9.0, 3.0, 1.2, 2.0528),
        (9.0, 2.5, 1.15, 2.7835),
        (7.0, 2.0, 1.25, 2.2637),
    ] {
        let time = block(amp_hours, amps, exponent);
        assert!((time - expected).abs() < 6e-5, "{amp_hours} Ah, {amps} A: {time}");
    }
    // Printed discharge curves of 12 V 7 Ah blocks: about 40 minutes at 7 A. That lies between exponents 1.1 and 1.2.
    assert!(block(7.0, 7.0, 1.1) * 60.0 > 40.0 && block(7.0, 7.0, 1.2) * 60.0 < 40.0);
    // Slower than rated: what is printed, no more.
    assert!((block(100.0, 1.0, 1.2) - 100.0).abs() < 1e-9);
}

fn lead_acid(printed: f64, efficiency: f64, own_draw: f64) -> Battery {
    Battery {
        energy: WattHours(printed * 0.6),
        max_load: Watts(500.0),
        efficiency,
        own_draw: Watts(own_draw),
        cells: Some(Cells {
            chemistry: Chemistry::LeadAcid,
            printed: WattHours(printed),
            rated_hours: 20.0,
            peukert: Some(1.2),
            used_share: 1.0,
        }),
        output: SupplyOutput::Alternating,
        rated_va: None,
        charger: Some(Watts(20.0)),
    }
}

#[test]
fn a_supply_gives_the_worked_runtime() {
    // 35 W through an inverter of 0.85 from 12 V 9 Ah (20 h), exponent 1.2: 1.7471 h; by energy alone 2.6229 h.
    let battery = lead_acid(108.0, 0.85, 0.0);
    let time = runtime(&battery, Watts(35.0), &CellState::default()).expect("sound figures");
    assert!((hours(time.value) - 1.7471).abs() < 6e-5, "{time:?}");
    let by_energy = Battery { energy: WattHours(108.0), cells: None, ..battery };
    let time = runtime(&by_energy, Watts(35.0), &CellState::default()).expect("sound figures");
    assert!((hours(time.value) - 2.6229).abs() < 6e-5, "{time:?}");
}

#[test]
fn age_cold_and_rate_shorten_it() {
    let battery = lead_acid(84.0, 0.8, 6.0);
    let time = |state: CellState| runtime(&battery, Watts(25.0), &state).expect("sound figures").value;
    let new = time(CellState::default());
    let cold = time(CellState { temperature_c: 0.0, ..CellState::default() });
    let old = time(CellState { age_years: 4.0, ..CellState::default() });
    let hot_and_old = time(CellState { temperature_c: 35.0, age_years: 4.0, ..CellState::default() });
    assert!(cold < new && old < new && hot_and_old < old);
    // At the end of life 80 % of the capacity is left, to the power of the exponent in time.
    assert!(((old / new) - END_OF_LIFE.powf(1.2)).abs() < 1e-9);
    // IEEE Std 485 from memory: 1.11 at 15.6 °C, 1.19 at 10 °C.
    for (temperature, factor) in [(25.0, 1.0), (15.6, 1.11), (10.0, 1.19), (4.4, 1.30)] {
        let share = capacity_share(Chemistry::LeadAcid, temperature, 0.0).expect("in range");
        assert!((share * factor - 1.0).abs() < 1e-9);
    }
    assert!(matches!(capacity_share(Chemistry::LeadAcid, -10.0, 0.0), Err(RuntimeProblem::Temperature { .. })));
    assert!(capacity_share(Chemistry::Lithium, -10.0, 0.0).is_ok());
    for nonsense in [f64::NAN, -300.0, 200.0] {
        assert!(capacity_share(Chemistry::Lithium, nonsense, 0.0).is_err());
        assert!(capacity_share(Chemistry::Lithium, 20.0, nonsense).is_err() || nonsense > 0.0);
    }
    // Twice the load takes more than half of the time of lead-acid, and half of the time of what has no rate.
    let (small, large) = (new, runtime(&battery, Watts(56.0 * 0.8), &CellState::default()).expect("sound").value);
    let ratio = ((25.0 / 0.8 + 6.0) / (56.0 + 6.0_f64)).powf(1.2);
    assert!((large / small - ratio).abs() < 1e-9);
}

#[test]
fn stages_use_up_the_battery_once() {
    let battery = lead_acid(108.0, 0.85, 0.0);
    let state = CellState::default();
    let whole = |load: f64| runtime(&battery, Watts(load), &state).expect("sound").value.0;
    let plan = [(Watts(60.0), Seconds(1200.0)), (Watts(35.0), Seconds(3000.0)), (Watts(20.0), Seconds(f64::INFINITY))];
    let stages = stages(&battery, &plan, &state).expect("sound");
    let used: f64 = stages.iter().map(|s| (s.to - s.from).0 / whole(s.load.0)).sum();
    assert!((used - 1.0).abs() < 1e-12 && stages.len() == 3, "{stages:?}");
    // It is empty before the second stage would begin.
    let long = [(Watts(60.0), Seconds(1e6)), (Watts(20.0), Seconds(f64::INFINITY))];
    let stages = resilience::stages(&battery, &long, &state).expect("sound");
    assert!(stages.len() == 1 && (stages[0].to.0 - whole(60.0)).abs() < 1e-9);
}

#[test]
fn watts_and_volt_amperes_are_held_apart() {
    let battery = Battery { rated_va: Some(400.0), max_load: Watts(300.0), ..lead_acid(84.0, 0.8, 6.0) };
    let state = CellState::default();
    // 250 W are below 300 W, but at a power factor of 0.6 they are 417 VA.
    let problem = runtime(&battery, Watts(250.0), &state).expect_err("too much");
    assert!(matches!(problem, RuntimeProblem::ApparentOverload { load, .. } if (load - 416.67).abs() < 0.01));
    assert!(runtime(&battery, Watts(250.0), &CellState { power_factor: Some(0.95), ..state }).is_ok());
    assert!(matches!(runtime(&battery, Watts(301.0), &state), Err(RuntimeProblem::Overload { .. })));
}

#[test]
fn charging_takes_its_time() {
    // 84 Wh, of which 80 % of what goes in is kept, at 20 W.
    let time = recharge(&lead_acid(84.0, 0.8, 6.0)).expect("known");
    assert!((hours(time) - 84.0 / 0.8 / 20.0).abs() < 1e-9);
    assert_eq!(recharge(&Battery { charger: None, ..lead_acid(84.0, 0.8, 6.0) }), None);
    assert_eq!(recharge(&Battery { charger: Some(Watts(0.0)), ..lead_acid(84.0, 0.8, 6.0) }), None);
}

#[test]
fn loads_count_what_is_lost_on_the_way() {
    let home = full();
    let parts = |id: &Id| -> Option<&Part> { home.catalog.get(id) };
    let items = loads(&home.design, &id("ups"), &parts, &|_| None);
    let names: Vec<&str> = items.iter().map(|i| i.id.as_str()).collect();
    assert_eq!(names, ["ont", "router", "switch", "ap-1", "ap-2"]);
    // IEEE 802.3: the class's port and part powers bound the loss of the longest cable.
    let ap = home.catalog.get(&id("ap-ax-2x2-ceiling")).expect("built in");
    let (class, draw) = (ap.poe.as_ref().expect("over the cable").class, ap.draw.0.max(0.0));
    let draw = if draw == 0.0 { ap.poe.as_ref().expect("over the cable").worst_draw.0 } else { draw };
    let (at_part, at_port) = equipment::poe_class_watts(class).expect("a class");
    let most = draw * (at_port.0 / at_part.0) / POE_EFFICIENCY;
    let item = items.iter().find(|i| i.id == id("ap-1")).expect("there");
    assert!(item.load.0 > draw / POE_EFFICIENCY && item.load.0 <= most, "{item:?}, {most}");
    let whole: f64 = items.iter().map(|i| i.load.0).sum();
    assert!((battery_load(&home.design, &id("ups"), &parts).0 - whole).abs() < 1e-12);
    // Direct current spares the adapters.
    let catalog = Catalog::builtin();
    let direct = home::design(
        &[("router", "router-ax"), ("dc", "battery-dc-12v")],
        &[],
        vec![("router", on_battery("dc")), ("ap", over_cable("router"))],
    );
    let lookup = |id: &Id| -> Option<&Part> { catalog.get(id) };
    let router = catalog.get(&id("router-ax")).expect("built in").draw.0;
    let load = battery_load(&direct, &id("dc"), &lookup).0;
    assert!((load - router * ADAPTER_EFFICIENCY).abs() < 1e-9, "{load}");
}

#[test]
fn built_in_supplies_last_as_the_trade_says() {
    // Common practice, no source: a small line-interactive supply carries modem and router for one to three hours.
    let catalog = Catalog::builtin();
    let battery = catalog.get(&id("battery-ac-400va")).and_then(|p| p.battery.clone()).expect("built in");
    let time = runtime(&battery, Watts(18.0), &CellState::default()).expect("sound");
    assert!((1.0..3.0).contains(&hours(time.value)), "{time:?}");
    assert!(time.low < time.value && time.value < time.high);
}
