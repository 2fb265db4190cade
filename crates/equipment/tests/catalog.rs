//! The built-in parts and their merging with a job's own.

use equipment::{Catalog, Part, PartKind, PriceList, check_part, poe_class_watts};
use findings::Id;
use units::{Db, Watts};

fn id(text: &str) -> Id {
    text.parse().expect("test id")
}

fn own(part: &str, change: impl FnOnce(&mut Part)) -> Part {
    let mut part = Catalog::builtin().get(&id(part)).expect("built-in part").clone();
    change(&mut part);
    part
}

/// Field names of the problems of one changed built-in part.
fn problems(part: &str, change: impl FnOnce(&mut Part)) -> Vec<String> {
    check_part(&own(part, change)).into_iter().map(|p| p.field).collect()
}

#[test]
fn class_powers_are_those_of_the_standard() {
    // Columns `class`, `PD_W`, `published_PSE_W` of tests/data/poe_classes.csv (see SOURCE.md there).
    let table = include_str!("data/poe_classes.csv");
    let mut rows = 0;
    for row in table.lines().skip(1) {
        let cells: Vec<&str> = row.split(',').collect();
        let (part, port) = poe_class_watts(cells[0].parse().unwrap()).unwrap();
        assert_eq!(part.value(), cells[5].parse::<f64>().unwrap(), "class {}", cells[0]);
        assert_eq!(port.value(), cells[6].parse::<f64>().unwrap(), "class {}", cells[0]);
        rows += 1;
    }
    assert_eq!(rows, 8);
}

#[test]
fn built_in_parts_have_no_problem_and_own_ids() {
    let catalog = Catalog::builtin();
    assert!(catalog.iter().count() >= 30);
    assert_eq!(catalog.iter().count(), equipment::catalog().len());
    for part in catalog.iter() {
        assert_eq!(check_part(part), [], "{}", part.id);
        assert_eq!(catalog.get(&part.id), Some(part), "two parts have the id {}", part.id);
        assert!(!part.source.cite.is_empty());
        // What an access point takes fits its class, and what a supply gives on one port fits its budget.
        if let Some(poe) = &part.poe {
            let (limit, _) = poe_class_watts(poe.class).unwrap();
            assert!(part.draw <= poe.worst_draw && poe.worst_draw <= limit, "{}", part.id);
        }
        if let Some(supply) = &part.poe_supply {
            let (_, port) = poe_class_watts(supply.class).unwrap();
            assert!(supply.budget >= port, "{} cannot feed one port of its class", part.id);
        }
        let text = serde_json::to_string(part).unwrap();
        assert_eq!(&serde_json::from_str::<Part>(&text).unwrap(), part, "{}", part.id);
    }
    for name in [
        equipment::id::CORD,
        equipment::id::OUTLET_CAT6,
        equipment::id::OUTLET_CAT6A,
        equipment::id::CABLE_CAT6,
        equipment::id::CABLE_CAT6A,
        equipment::id::CABLE_OUTDOOR,
        equipment::id::CABLE_FIBRE,
        equipment::id::MEDIA_CONVERTER,
        equipment::id::MOUNT,
        equipment::id::FIRESTOP,
    ] {
        assert!(catalog.get(&id(name)).is_some(), "{name}");
    }
}

#[test]
fn every_cable_and_cord_says_what_it_is_and_clad_aluminium_is_only_found() {
    let catalog = Catalog::builtin();
    for part in catalog.iter() {
        let is_cable = matches!(part.kind, PartKind::Cable | PartKind::Cord);
        assert_eq!(part.cable.is_some(), is_cable, "{}", part.id);
        if let Some(equipment::CableCore::TwistedPairs { conductor, .. }) = part.cable.as_ref().map(|c| &c.core) {
            assert_eq!(part.found_only, *conductor == equipment::Conductor::CopperCladAluminium, "{}", part.id);
        }
    }
}

#[test]
fn an_ordinary_home_router_has_four_lan_ports() {
    let catalog = Catalog::builtin();
    for kind in [PartKind::Gateway, PartKind::WirelessRouter, PartKind::Router] {
        for part in catalog.of_kind(kind) {
            assert_eq!(part.ports.lan, 4, "{}", part.id);
        }
    }
}

#[test]
fn every_built_in_part_has_a_generic_price_in_every_built_in_list() {
    let catalog = Catalog::builtin();
    for code in ["USD", "EUR", "GBP"] {
        let list = PriceList::generic(code.parse().unwrap()).unwrap();
        assert_eq!(list.currency().code(), code);
        assert_eq!(list.unknown_parts(&catalog), []);
        assert!(list.labour_hour().is_some());
        for part in catalog.iter().filter(|part| part.found_only) {
            assert_eq!(list.get(&part.id), None, "{} is never offered", part.id);
        }
        for part in catalog.iter().filter(|part| !part.found_only) {
            let price = list.get(&part.id).unwrap_or_else(|| panic!("{} has no price in {code}", part.id));
            let by_metre = matches!(part.kind, PartKind::Cable | PartKind::Raceway);
            assert_eq!(price.unit == equipment::PriceUnit::Metre, by_metre, "{}", part.id);
        }
    }
    assert!(PriceList::generic("CHF".parse().unwrap()).is_none());
}

#[test]
fn the_job_s_parts_come_last_and_replace_in_place() {
    let cheap = own("router-ax", |p| p.name = "Another router".into());
    let added = own("ap-ax-2x2-ceiling", |p| p.id = id("ap-own"));
    let catalog = Catalog::with(&[added, cheap]).unwrap();
    let ids: Vec<_> = catalog.iter().map(|p| p.id.clone()).collect();
    let builtin: Vec<_> = Catalog::builtin().iter().map(|p| p.id.clone()).collect();
    assert_eq!(ids[..builtin.len()], builtin);
    assert_eq!(ids[builtin.len()..], [id("ap-own")]);
    assert_eq!(catalog.get(&id("router-ax")).unwrap().name, "Another router");
}

#[test]
fn all_problems_of_the_job_s_parts_are_listed() {
    let bad = own("ap-ax-2x2-ceiling", |p| {
        p.id = id("bad");
        p.poe.as_mut().unwrap().class = 9;
        p.draw = Watts(f64::NAN);
    });
    let found = Catalog::with(&[bad.clone(), bad]).unwrap_err();
    let fields: Vec<_> = found.iter().map(|p| p.field.as_str()).collect();
    assert_eq!(fields, ["draw", "poe.class", "draw", "poe.class", "id"]);
    assert!(found[1].to_string().contains("class `9` does not exist"), "{}", found[1]);
}

#[test]
fn figures_that_cannot_be_used_are_found() {
    assert_eq!(problems("ap-ax-2x2-ceiling", |p| p.poe.as_mut().unwrap().worst_draw = Watts(13.0)), ["poe.worst_draw"]);
    assert_eq!(problems("battery-dc-12v", |p| p.battery.as_mut().unwrap().efficiency = 1.1), ["battery.efficiency"]);
    assert_eq!(
        problems("battery-dc-12v", |p| p.battery.as_mut().unwrap().efficiency = f64::NAN),
        ["battery.efficiency"]
    );
    assert_eq!(problems("battery-dc-12v", |p| p.battery.as_mut().unwrap().efficiency = 0.0), ["battery.efficiency"]);
    assert_eq!(problems("switch-8-poe", |p| p.poe_supply.as_mut().unwrap().ports = 11), ["poe_supply.ports"]);
    assert_eq!(problems("switch-5", |p| p.ports.lan = 5000), ["ports.lan"]);
    assert_eq!(problems("switch-5", |p| p.ports.lan_rate = units::BitsPerSecond(0.0)), ["ports.lan_rate"]);
    assert_eq!(problems("router-ax", |p| p.failure.as_mut().unwrap().factor = 0.5), ["failure.factor"]);
    assert_eq!(problems("router-ax", |p| p.failure.as_mut().unwrap().mtbf = units::Seconds(0.0)), ["failure.mtbf"]);
    assert_eq!(problems("switch-5", |p| p.dedicated_uplink_radio = true), ["dedicated_uplink_radio"]);
    assert_eq!(problems("router-ax", |p| p.name = " ".into()), ["name"]);
    let cable = |change: fn(&mut equipment::CableSpec)| problems("cable-cat6", |p| change(p.cable.as_mut().unwrap()));
    assert_eq!(cable(|c| c.outer_diameter = units::Metres(f64::NAN)), ["cable.outer_diameter"]);
    assert_eq!(cable(|c| c.piece_length = Some(units::Metres(0.0))), ["cable.piece_length"]);
    assert_eq!(cable(|c| c.core = equipment::CableCore::Fibre { fibres: 0, single_mode: true }), ["cable.core.fibres"]);
    assert_eq!(
        problems("media-converter-1g", |p| p.ports.fibre_rate = units::BitsPerSecond(0.0)),
        ["ports.fibre_rate"]
    );
    let radio =
        |change: fn(&mut radio_profile::RadioProfile)| problems("router-ax", |p| change(p.radio.as_mut().unwrap()));
    assert_eq!(radio(|r| r.bands.clear()), ["radio"]);
    assert_eq!(radio(|r| r.bands[0].streams = 0), ["radio"]);
    assert_eq!(radio(|r| r.bands[0].noise_figure = Db(f64::INFINITY)), ["radio"]);
    assert_eq!(radio(|r| r.bands[1] = r.bands[0].clone()), ["radio"]);
}

#[test]
fn an_unknown_id_names_the_nearest_known_one() {
    let catalog = Catalog::builtin();
    assert_eq!(catalog.nearest(&id("switch-8-pe")).unwrap().as_str(), "switch-8-poe");
    assert_eq!(catalog.nearest(&id("router_ax")).unwrap().as_str(), "router-ax");
    assert_eq!(catalog.nearest(&id("zzz")), None);
}
