//! Line terminations, routers without Wi-Fi, switches, PoE injectors and media converters.

use super::{BOX_MTBF, GIGABIT, GIGABIT_2_5, SIMPLE_MTBF, SPREAD, part};
use crate::part::{Part, PartKind};

/// Parts with ports and without radios, from the line inwards.
pub(super) fn parts() -> Vec<Part> {
    let mut all = terminations();
    all.push(
        part("router-wired", "Router without Wi-Fi, 4 LAN ports", PartKind::Router)
            .shapes(GIGABIT)
            .ports(1, GIGABIT, 4, GIGABIT)
            .draws(6.0)
            .fails_every(BOX_MTBF, SPREAD)
            .with_segments(),
    );
    all.extend(switches());
    all.extend(injectors());
    all.push(
        part(
            "media-converter-1g",
            "Media converter, 1 Gbit/s, twisted pair to single-mode fibre",
            PartKind::MediaConverter,
        )
        .ports(0, 0.0, 1, GIGABIT)
        .fibre_ports(1, GIGABIT)
        .draws(2.5)
        .fails_every(SIMPLE_MTBF, SPREAD),
    );
    all
}

fn terminations() -> Vec<Part> {
    let termination = |id: &str, name: &str, rate: f64, watts: f64| {
        part(id, name, PartKind::LineTermination).ports(1, rate, 1, rate).draws(watts).fails_every(BOX_MTBF, SPREAD)
    };
    vec![
        termination("ont-1g", "Optical network termination, 1 Gbit/s port", GIGABIT, 5.0),
        termination("ont-2g5", "Optical network termination, 2.5 Gbit/s port", GIGABIT_2_5, 8.0),
        termination("modem-cable", "Cable modem, 2.5 Gbit/s port", GIGABIT_2_5, 12.0),
        termination("modem-dsl", "DSL modem", GIGABIT, 7.0),
        termination("terminal-radio", "Terminal of a fixed wireless, satellite or mobile line", GIGABIT, 25.0),
    ]
}

fn switches() -> Vec<Part> {
    // A plain switch has no port of its own towards the line: any of its ports takes the cable from the router.
    let plain = |id: &str, name: &str, ports: u32, watts: f64| {
        part(id, name, PartKind::Switch).ports(0, 0.0, ports, GIGABIT).draws(watts).fails_every(SIMPLE_MTBF, SPREAD)
    };
    let poe = |id: &str, name: &str, ports: u32, class: u8, budget: f64, watts: f64, rate: f64| {
        part(id, name, PartKind::Switch)
            .ports(2, rate, ports, rate)
            .draws(watts)
            .powers(ports, class, budget)
            .fails_every(BOX_MTBF, SPREAD)
            .with_segments()
    };
    vec![
        plain("switch-5", "Switch, 5 ports 1 Gbit/s", 5, 2.5),
        plain("switch-8", "Switch, 8 ports 1 Gbit/s", 8, 4.0),
        plain("switch-16", "Switch, 16 ports 1 Gbit/s", 16, 8.0),
        plain("switch-8-managed", "Managed switch, 8 ports 1 Gbit/s", 8, 5.0).with_segments(),
        plain("switch-16-managed", "Managed switch, 16 ports 1 Gbit/s", 16, 10.0).with_segments(),
        poe("switch-8-poe", "Managed PoE switch, 8 ports class 4, 65 W", 8, 4, 65.0, 9.0, GIGABIT),
        poe("switch-8-poe-120", "Managed PoE switch, 8 ports class 4, 120 W", 8, 4, 120.0, 11.0, GIGABIT),
        poe("switch-16-poe", "Managed PoE switch, 16 ports class 4, 250 W", 16, 4, 250.0, 18.0, GIGABIT),
        poe("switch-8-poe-bt", "Managed PoE switch, 8 ports 2.5 Gbit/s class 6, 240 W", 8, 6, 240.0, 18.0, GIGABIT_2_5),
    ]
}

fn injectors() -> Vec<Part> {
    let injector = |id: &str, name: &str, class: u8, watts: f64, rate: f64| {
        part(id, name, PartKind::Injector)
            .ports(1, rate, 1, rate)
            .draws(1.5)
            .powers(1, class, watts)
            .fails_every(SIMPLE_MTBF, SPREAD)
    };
    vec![
        injector("injector-class-4", "PoE injector, one port class 4", 4, 30.0, GIGABIT),
        injector("injector-class-6", "PoE injector, one port class 6", 6, 60.0, GIGABIT_2_5),
    ]
}
