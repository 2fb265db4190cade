//! The demo homes: sound as documents, different in kind, and each given a design that makes sense for it.
//!
//! What is expected of a first option is a trade fact (common practice, no source), said as a property of the design,
//! never as a figure.

use std::collections::BTreeSet;

use findings::{NoProgress, Severity};
use job::{Encoding, Job};
use network::results::{DesignOption, Plan};
use network::{Family, FeedSource, Medium, Mounting, PlacedPart, SegmentPurpose};
use planner::{Config, plan};

const DEMOS: [&str; 8] = [
    "top-floor-rental",
    "three-generation-terrace",
    "semi-detached-garden-office",
    "barn-conversion",
    "flat-with-party-wall",
    "bungalow-with-alarms",
    "split-level",
    "studio",
];

fn demo(name: &str) -> Job {
    let path = format!("{}/../../demo/{name}/job.toml", env!("CARGO_MANIFEST_DIR"));
    let text = std::fs::read_to_string(&path).expect("the demo");
    job::parse(&text, Encoding::Toml).unwrap_or_else(|e| panic!("{name}: {e}"))
}

/// A plan in which every family is offered or left out with a reason.
fn planned(name: &str) -> Plan {
    let plan = plan(&demo(name), &Config::default(), &NoProgress).unwrap_or_else(|e| panic!("{name}: {e}"));
    for family in Family::ALL {
        let offered = plan.options.iter().any(|o| o.family == family);
        let left_out = plan.excluded.iter().any(|e| e.family == family && !e.reason.is_empty());
        assert!(offered != left_out, "{name}: {family} is neither offered nor left out, or both");
    }
    plan
}

fn first(plan: &Plan) -> &DesignOption {
    plan.options.first().expect("an option")
}

fn figure(option: &DesignOption, id: &str) -> Option<f64> {
    option.figures.iter().find(|f| f.id == id).and_then(|f| f.value)
}

fn known(option: &DesignOption, id: &str) -> f64 {
    figure(option, id).unwrap_or_else(|| panic!("{}: {id} is unknown", option.family))
}

fn reason(plan: &Plan, family: Family) -> &str {
    plan.excluded.iter().find(|e| e.family == family).map_or("", |e| &e.reason)
}

fn cables(option: &DesignOption) -> usize {
    option.design.links.iter().filter(|l| matches!(l.medium, Medium::Cable { .. })).count()
}

/// Placed parts that are set to a channel.
fn radios(option: &DesignOption) -> Vec<&PlacedPart> {
    option.design.parts.iter().filter(|p| option.design.radios.iter().any(|r| r.part == p.id)).collect()
}

fn meets_what_is_asked_for(option: &DesignOption) {
    assert!(known(option, "coverage") >= 95.0, "{}", option.family);
    assert!(known(option, "headroom") >= 1.0 - 0.01, "{}", option.family);
}

fn of(plan: &Plan, family: Family) -> impl Iterator<Item = &DesignOption> {
    plan.options.iter().filter(move |o| o.family == family)
}

#[test]
fn nothing_is_wrong_with_any_document() {
    for name in DEMOS {
        let job = demo(name);
        let wrong: Vec<_> = job::validate(&job).into_iter().filter(|f| f.severity <= Severity::Risk).collect();
        assert!(wrong.is_empty(), "{name}: {wrong:?}");
        let summary = job.notes.first().expect("a summary");
        assert!((20..=110).contains(&summary.len()) && !summary.ends_with('.'), "{name}: {summary}");
        assert!(job.notes.iter().any(|n| n.contains("Made up for the demo")), "{name}");
        assert!(job.building.demarcation.is_some() && job.household.is_some(), "{name}");
    }
}

#[test]
fn the_eight_differ_in_kind() {
    let jobs = DEMOS.map(demo);
    let kinds = |of: &dyn Fn(&Job) -> String| jobs.iter().map(of).collect::<BTreeSet<String>>().len();
    let wishes = |j: &Job| j.household.as_ref().map(|h| h.wishes.clone()).unwrap_or_default();
    let devices = |j: &Job| j.household.iter().flat_map(|h| &h.devices).map(|d| d.count).sum::<u32>();
    assert!(kinds(&|j| j.building.storeys.len().to_string()) >= 3, "storeys");
    assert!(kinds(&|j| j.building.walls[0].assembly.to_string()) >= 6, "construction");
    assert!(kinds(&|j| j.building.slabs.iter().map(|s| s.assembly.to_string()).collect::<Vec<_>>().join(" ")) >= 6);
    assert!(kinds(&|j| j.site.country.clone()) >= 5, "countries");
    assert!(kinds(&|j| j.site.currency.code().to_owned()) >= 4, "currencies");
    assert!(kinds(&|j| format!("{:?}", j.site.lines[0].kind)) >= 4, "lines");
    assert!(kinds(&|j| devices(j).to_string()) >= 6, "devices");
    assert!(jobs.iter().map(devices).min() < Some(6) && jobs.iter().map(devices).max() > Some(35), "devices");
    assert!(kinds(&|j| wishes(j).no_drilling.to_string()) == 2, "tenure");
    assert!(kinds(&|j| j.household.iter().flat_map(|h| &h.devices).any(|d| d.must_stay_up).to_string()) == 2);
    assert!(kinds(&|j| j.building.walls.iter().any(|w| w.kind == building::WallKind::Party).to_string()) == 2);
}

#[test]
fn in_the_rental_nothing_is_drilled() {
    let plan = planned("top-floor-rental");
    meets_what_is_asked_for(first(&plan));
    for option in &plan.options {
        assert_eq!(cables(option), 0, "{} lays a cable", option.family);
        let stand = option.design.parts.iter().all(|p| p.mounting == Mounting::Shelf);
        assert!(stand, "{} screws something to a wall or ceiling", option.family);
        assert!(!option.findings.iter().any(|f| f.rule == "cost.drilling-not-wished"), "{}", option.family);
    }
    for family in [Family::WiredBackhaul, Family::HomeRunPanel] {
        assert!(reason(&plan, family).contains("drilling"), "{family}: {}", reason(&plan, family));
    }
    assert!(reason(&plan, Family::PoeCeiling).contains("ceilings"));
}

#[test]
fn concrete_floors_take_more_than_one_radio() {
    let plan = planned("three-generation-terrace");
    meets_what_is_asked_for(first(&plan));
    let job = demo("three-generation-terrace");
    let storey = |part: &PlacedPart| job.building.rooms.iter().find(|r| r.id == part.room).map(|r| r.storey.clone());
    let storeys: BTreeSet<_> = radios(first(&plan)).into_iter().map(storey).collect();
    assert!(storeys.len() >= 2, "radios on {storeys:?}");
    let alone = of(&plan, Family::Gateway).next().expect("the provider's box");
    assert!(known(alone, "coverage") < 95.0);
}

#[test]
fn the_garden_office_is_served_from_within() {
    let plan = planned("semi-detached-garden-office");
    let top = first(&plan);
    meets_what_is_asked_for(top);
    let by_radio = of(&plan, Family::Outbuilding).next().expect("an office joined without copper");
    let office = |o: &DesignOption| {
        o.findings.iter().any(|f| f.rule == "coverage.room-below-target" && f.subjects[0].as_str() == "garden-office")
    };
    for option in [top, by_radio] {
        assert!(radios(option).iter().any(|p| p.room.as_str() == "garden-office"), "{}", option.family);
        assert!(!office(option), "{}: the office is below its target", option.family);
    }
    let alone = of(&plan, Family::Gateway).next().expect("the provider's box");
    assert!(office(alone), "foil keeps the house's radio out");
    // Copper between buildings is never offered without its risk, whichever family lays it.
    let mut warned = 0;
    for option in &plan.options {
        let risks = option.findings.iter().filter(|f| f.rule == assessment::CABLE_BETWEEN_BUILDINGS.id).count();
        let crossing = option
            .design
            .links
            .iter()
            .filter(|l| matches!(l.medium, Medium::Cable { .. }))
            .filter(|l| {
                let there = |id: &findings::Id| {
                    id.as_str() == "work-computer"
                        || option.design.part(id).is_some_and(|p| p.room.as_str() == "garden-office")
                };
                there(&l.from) != there(&l.to)
            })
            .count();
        assert_eq!(risks, crossing, "{}", option.family);
        warned += risks;
    }
    assert!(warned > 0, "some option lays a cable to the office");
}

#[test]
fn an_office_beyond_copper_and_radio_says_what_would_reach_it() {
    let mut job = demo("semi-detached-garden-office");
    // The garden is made 300 m long: everything that stands beyond it moves with it.
    let (garden, away) = (15.0, 300.0);
    let moved = |p: &mut units::Point2| {
        if p.y > garden {
            p.y += away;
        }
    };
    let building = &mut job.building;
    building.walls.iter_mut().flat_map(|w| [&mut w.from, &mut w.to]).for_each(moved);
    building.slabs.iter_mut().flat_map(|s| &mut s.outline).for_each(moved);
    building.rooms.iter_mut().map(|r| &mut r.inside).for_each(moved);
    building.outlets.iter_mut().map(|o| &mut o.at).for_each(moved);
    let config = Config { families: vec![Family::Outbuilding], ..Config::default() };
    let plan = plan(&job, &config, &NoProgress).expect("a plan");
    assert!(plan.options.is_empty(), "{:?}", plan.options.iter().map(|o| &o.design.name).collect::<Vec<_>>());
    let reason = reason(&plan, Family::Outbuilding);
    assert!(reason.contains("no radio link") && reason.contains("glass fibre"), "{reason}");
}

#[test]
fn an_office_is_joined_by_radio_where_nothing_may_be_drilled() {
    let mut job = demo("semi-detached-garden-office");
    job.household.as_mut().expect("a household").wishes.no_drilling = true;
    let config = Config { families: vec![Family::WiredBackhaul, Family::Outbuilding], ..Config::default() };
    let plan = plan(&job, &config, &NoProgress).expect("a plan");
    for option in &plan.options {
        assert_eq!(cables(option), 0, "{}", option.family);
    }
    let joined = of(&plan, Family::Outbuilding).next();
    assert!(joined.is_some() || !reason(&plan, Family::Outbuilding).is_empty());
    if let Some(option) = joined {
        assert!(radios(option).iter().any(|p| p.room.as_str() == "garden-office"));
    }
}

#[test]
fn nothing_hangs_in_the_middle_of_the_great_hall() {
    let plan = planned("barn-conversion");
    meets_what_is_asked_for(first(&plan));
    // The line enters in the utility room.
    assert!(
        radios(first(&plan)).iter().any(|p| p.room.as_str() != "utility"),
        "a radio where the line enters does not reach through the stone"
    );
    let mut ceilings = 0;
    for part in plan.options.iter().flat_map(|o| &o.design.parts).filter(|p| p.mounting == Mounting::Ceiling) {
        assert_ne!(part.room.as_str(), "hall-open");
        ceilings += 1;
    }
    assert!(ceilings > 0, "ceilings elsewhere are used");
}

#[test]
fn one_box_does_for_a_light_flat_and_a_studio() {
    for name in ["flat-with-party-wall", "studio"] {
        let plan = planned(name);
        assert!(reason(&plan, Family::Outbuilding).contains("no outbuilding"), "{name}");
        let top = first(&plan);
        meets_what_is_asked_for(top);
        assert_eq!((radios(top).len(), cables(top)), (1, 0), "{name}");
        let fewest = plan.options.iter().map(|o| o.design.parts.len()).min();
        assert_eq!(Some(top.design.parts.len()), fewest, "{name}");
        // No price list in yen: unknown is a value, and the simplest option still comes first.
        let priced = plan.options.iter().any(|o| figure(o, "price").is_some());
        assert_eq!(priced, name != "studio");
    }
}

#[test]
fn the_alarms_path_is_on_a_battery() {
    let plan = planned("bungalow-with-alarms");
    let top = first(&plan);
    meets_what_is_asked_for(top);
    let on_battery = |id: &findings::Id| {
        top.design.feeds.iter().any(|f| &f.part == id && matches!(f.source, FeedSource::Battery { .. }))
    };
    let path: Vec<_> = top.design.parts.iter().filter(|p| !p.part.as_str().starts_with("battery")).collect();
    assert!(!path.is_empty() && path.iter().all(|p| on_battery(&p.id)), "{:?}", top.design.feeds);
    assert!(known(top, "battery.runtime") >= 180.0, "three hours are asked for");
    // With the same boxes, the battery takes minutes off: those of the mains that it outlasts.
    let same_boxes = |o: &&DesignOption| {
        o.family == Family::Gateway && path.iter().all(|p| o.design.parts.iter().any(|q| q.part == p.part))
    };
    let without = plan.options.iter().find(same_boxes).expect("the same boxes on the mains");
    assert!(known(top, "outage.minutes") < known(without, "outage.minutes"));
    let told = top.beats.iter().filter(|c| c.option == without.id).flat_map(|c| &c.figures);
    assert!(told.into_iter().any(|d| d.figure == "outage.minutes"), "the reasons name the minutes");
}

#[test]
fn wired_cameras_are_kept_apart() {
    let plan = planned("split-level");
    let top = first(&plan);
    meets_what_is_asked_for(top);
    let cameras: Vec<_> = demo("split-level").household.iter().flat_map(|h| h.devices.clone()).collect();
    let cameras: Vec<_> = cameras.into_iter().filter(|d| d.kind == household::DeviceKind::Camera).collect();
    assert_eq!(cameras.len(), 4);
    for option in &plan.options {
        let segment = option.design.segments.iter().find(|s| s.purpose == SegmentPurpose::Cameras);
        let segment = segment.unwrap_or_else(|| panic!("{} has no segment for cameras", option.family));
        for camera in &cameras {
            assert!(segment.devices.contains(&camera.id), "{}", option.family);
            assert!(option.design.links.iter().any(|l| l.to == camera.id), "{}", option.family);
        }
        // A switch that knows no segments would join again what is to be kept apart.
        for part in option.design.parts.iter().filter(|p| p.id.as_str() == "switch") {
            let catalog = equipment::Catalog::builtin();
            assert!(catalog.get(&part.part).is_some_and(|p| p.segments), "{}: {}", option.family, part.part);
        }
    }
    assert!(reason(&plan, Family::Gateway).contains("LAN ports"));
}
