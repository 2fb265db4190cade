//! The published two-dwelling house, from the architects' model to options (demo/two-dwelling-house/SOURCE.md).

use building::{Resolved, StoreyUse, WallKind};
use findings::NoProgress;
use job::Job;
use network::Family;
use planner::{Config, plan};
use propagation::wall::Wall;
use propagation::{Carrier, Tolerance};
use site::Site;
use units::{Hertz, Seconds};

fn house() -> Job {
    let read = |name: &str| {
        std::fs::read(format!("{}/../../demo/two-dwelling-house/{name}", env!("CARGO_MANIFEST_DIR")))
            .expect("the model")
    };
    let options = ifc::Options { dwelling: Some("A".into()), ..ifc::Options::default() };
    let import = ifc::read(&read("architecture.ifc"), Some(&read("electrical.ifc")), &options, &NoProgress);
    Job {
        format: job::FORMAT.to_owned(),
        name: "house".into(),
        notes: vec![],
        site: Site::default_for("US", "2026-11-25".parse().expect("a date")),
        household: None,
        equipment: job::Equipment::default(),
        terms: None,
        building: import.expect("the house imports").building,
        designs: vec![],
    }
}

#[test]
fn dwelling_a_gets_at_least_five_options_of_four_families() {
    let job = house();
    let living = job.building.storeys.iter().filter(|s| s.usage == StoreyUse::Living).count();
    assert_eq!(living, 2);
    assert!(job.building.walls.iter().any(|w| w.kind == WallKind::Party));
    let plan = plan(&job, &Config::default(), &NoProgress).expect("a plan");
    let mut families: Vec<Family> = plan.options.iter().map(|o| o.family).collect();
    families.sort();
    families.dedup();
    assert!(plan.options.len() >= 5 && families.len() >= 4, "{} options of {families:?}", plan.options.len());
    assert!(plan.assumptions.iter().any(|a| a.contains("default one was assumed")));
    for option in &plan.options {
        for id in ["coverage.2.4", "coverage.5", "coverage", "headroom", "outage.minutes", "price"] {
            let figure = option.figures.iter().find(|f| f.id == id).expect("the figure is there");
            assert!(figure.value.is_some(), "{}: {id} is unknown: {:?}", option.family, figure.missing);
        }
    }
}

#[test]
fn interior_partitions_with_metal_studs_are_cavities() {
    let job = house();
    let resolved = Resolved::new(&job.building).expect("a sound building");
    let carrier = Carrier::new(Hertz::from_ghz(5.25), Hertz::from_mhz(80.0));
    let mut seen = 0;
    for panel in resolved.panels.iter().filter(|p| p.kind == WallKind::Inside) {
        let assembly = &resolved.assemblies[panel.assembly];
        let studs = assembly.layers.iter().any(|l| l.framing.is_some());
        let masonry = assembly.layers.iter().any(|l| l.material.id.as_str() == "concrete-block");
        if !studs || masonry {
            continue;
        }
        seen += 1;
        let wall = Wall::new(assembly, carrier, Tolerance::default()).expect("materials in range");
        let loss = -10.0 * wall.at(1.0).mean().log10();
        assert!((0.0..10.0).contains(&loss), "{} ({}): {loss:.1} dB", panel.wall, assembly.name);
    }
    assert!(seen >= 10, "{seen} partitions");
    // The joist floors' 286 mm timber layer is a cavity with joists as well.
    let joists = |l: &building::ResolvedLayer| (l.thickness - 0.286).abs() < 1e-6;
    assert!(resolved.assemblies.iter().flat_map(|a| &a.layers).any(joists));
    assert!(resolved.assemblies.iter().flat_map(|a| &a.layers).filter(|l| joists(l)).all(|l| l.framing.is_some()));
}

#[test]
fn a_wish_for_battery_runtime_ranks_the_protected_path_above_equals_without_one() {
    let mut job = house();
    let rooms: Vec<_> = job.building.rooms.iter().map(|r| (r.id.clone(), r.usage, r.name.clone())).collect();
    let mut household = household::default_household(&rooms);
    // Targets that any place meets, so that only the wish tells options apart.
    for target in &mut household.targets {
        target.down = units::BitsPerSecond(1000.0);
        target.up = units::BitsPerSecond(1000.0);
    }
    household.activities.clear();
    household.devices.iter_mut().for_each(|d| d.must_stay_up = d.id.as_str() == "work-computer");
    household.wishes.battery_runtime = Some(Seconds(3600.0));
    job.household = Some(household);
    let config = Config { families: vec![Family::Gateway, Family::ProtectedPath], ..Config::default() };
    let plan = plan(&job, &config, &NoProgress).expect("a plan");
    assert_eq!(plan.options.first().map(|o| o.family), Some(Family::ProtectedPath));
}
