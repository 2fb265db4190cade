//! The outdoor edge: a garden that must be served through the outer wall, and a neighbour's signal that comes in.

use std::sync::Arc;

use assessment::{Evaluator, Home};
use building::{Room, RoomUse};
use findings::{Id, NoProgress};
use household::Target;
use job::Job;
use network::Design;
use network::results::DesignOption;
use planner::{Config, plan, plan_with};
use site::{Neighbour, Transmitter};
use units::{BitsPerSecond, Dbm, Hertz, Metres, Point2, Point3};

fn demo(name: &str) -> Job {
    let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../../demo").join(name).join("job.toml");
    let text = std::fs::read_to_string(path).expect("a demo home");
    job::parse(&text, job::Encoding::Toml).expect("a job")
}

fn id(name: &str) -> Id {
    Id::from_label(name)
}

/// The lowest and highest coordinates of the walls.
fn bounds(job: &Job) -> (Point2, Point2) {
    let ends = job.building.walls.iter().flat_map(|w| [w.from, w.to]);
    ends.fold((Point2::new(f64::MAX, f64::MAX), Point2::new(f64::MIN, f64::MIN)), |(low, high), p| {
        (Point2::new(low.x.min(p.x), low.y.min(p.y)), Point2::new(high.x.max(p.x), high.y.max(p.y)))
    })
}

/// The cottage with a garden of a depth beside it.
fn with_garden(depth: f64, rate: Option<f64>) -> Job {
    let mut job = demo("cottage");
    let (low, high) = bounds(&job);
    let (x0, x1) = (high.x + 1.0, high.x + 1.0 + depth);
    job.building.rooms.push(Room {
        id: id("garden"),
        name: "Garden".into(),
        storey: job.building.storeys[0].id.clone(),
        inside: Point2::new(0.5 * (x0 + x1), 0.5 * (low.y + high.y)),
        usage: RoomUse::Outdoor,
        outline: Some([(x0, low.y), (x1, low.y), (x1, high.y), (x0, high.y)].map(|(x, y)| Point2::new(x, y)).to_vec()),
        stated_area: None,
        model_id: None,
    });
    if let Some(mbit) = rate {
        let household = job.household.as_mut().expect("a household");
        household.targets.push(Target {
            id: id("garden"),
            rooms: vec![id("garden")],
            down: BitsPerSecond(mbit * 1e6),
            up: BitsPerSecond(1e6),
            height: Metres(1.0),
        });
    }
    job
}

fn value(option: &DesignOption, figure: &str) -> Option<f64> {
    option.figures.iter().find(|f| f.id == figure).and_then(|f| f.value)
}

#[test]
fn a_garden_counts_where_a_target_names_it() {
    let config = Config { families: vec![network::Family::Gateway], ..Config::default() };
    let of = |job: &Job| plan(job, &config, &NoProgress).expect("a plan").options.remove(0);
    let (without, unnamed, near, far) = (
        of(&demo("cottage")),
        of(&with_garden(6.0, None)),
        of(&with_garden(6.0, Some(40.0))),
        of(&with_garden(90.0, Some(40.0))),
    );
    assert_eq!(value(&without, "coverage.outdoors"), None);
    assert_eq!(value(&unnamed, "coverage.outdoors"), None);
    // What is asked for outdoors does not move the figure of the house.
    for option in [&unnamed, &near, &far] {
        let indoors = (value(option, "coverage"), value(&without, "coverage"));
        assert!(matches!(indoors, (Some(a), Some(b)) if (a - b).abs() < 0.6), "{indoors:?}");
    }
    let outdoors = |o: &DesignOption| value(o, "coverage.outdoors").expect("the figure");
    assert!(outdoors(&far) < outdoors(&near) && outdoors(&far) < 99.0, "{} {}", outdoors(&far), outdoors(&near));
    let told = far.findings.iter().any(|f| f.rule == "coverage.room-below-target" && f.subjects[0] == id("garden"));
    assert!(told, "the garden is below its target");
}

#[test]
fn a_channel_for_indoors_does_not_serve_the_garden() {
    // Commission Implementing Decision (EU) 2022/179: 5150 to 5250 MHz indoors; the generic plan puts 5 GHz there.
    let mut job = with_garden(3.0, Some(60.0));
    job.site.country = "DE".into();
    let evaluator = Evaluator::new(Arc::new(Home::new(&job).expect("a job"))).expect("a scene");
    let config = Config { families: vec![network::Family::Gateway], ..Config::default() };
    let option = plan_with(&evaluator, &config, &NoProgress).expect("a plan").options.remove(0);
    let outdoors = |design: &Design| {
        let assessment = evaluator.assess(design, &NoProgress).expect("an assessment");
        assessment.coverage.outdoors.expect("a garden").value
    };
    let on = |mhz: f64| {
        let mut design = option.design.clone();
        let radio = design.radios.iter_mut().find(|r| r.band == radio_profile::Band::Ghz5).expect("5 GHz");
        (radio.centre, radio.width) = (Hertz::from_mhz(mhz), Hertz::from_mhz(80.0));
        outdoors(&design)
    };
    assert!(on(5210.0) < on(5530.0), "{} {}", on(5210.0), on(5530.0));
}

#[test]
fn a_neighbours_signal_comes_in_through_the_wall() {
    let mut job = demo("cottage");
    let (low, high) = bounds(&job);
    let at = Point3::new(high.x + 9.0, 0.5 * (low.y + high.y), 1.5);
    let neighbour = |transmitter| Neighbour {
        id: id("next-door"),
        centre: Hertz::from_mhz(5210.0),
        width: Hertz::from_mhz(80.0),
        level: Dbm(-90.0),
        transmitter,
        load: Some(0.4),
    };
    let eirp = Dbm(23.0);
    job.site.neighbours = vec![neighbour(Some(Transmitter { at, eirp }))];
    let home = Home::new(&job).expect("a job");
    let evaluator = Evaluator::new(Arc::new(home)).expect("a scene");
    let config = Config { families: vec![network::Family::Gateway], ..Config::default() };
    let option = plan_with(&evaluator, &config, &NoProgress).expect("a plan").options.remove(0);
    let figure = option.figures.iter().find(|f| f.id == "neighbour.level").expect("the figure");
    let level = figure.value.expect("a level");
    let gateway = option.design.parts.iter().find(|p| option.design.radios.iter().any(|r| r.part == p.id));
    let distance = gateway.expect("a radio").at.distance(at);
    // Free space by ITU-R P.525; a building of the traditional kind enters with 0 to 40 dB more (ITU-R P.2109, 1 to 99 %),
    // less a few decibels that reflections bring.
    let entry = eirp.0 - (32.45 + 20.0 * (distance / 1000.0).log10() + 20.0 * 5210f64.log10()) - level;
    assert!((-3.0..=40.0).contains(&entry), "{entry} dB at {distance} m");
    assert_eq!(figure.subject, id("next-door"));
    // Without a place what was heard stays.
    job.site.neighbours = vec![neighbour(None)];
    let heard = plan(&job, &config, &NoProgress).expect("a plan").options.remove(0);
    assert!(value(&heard, "neighbour.level").is_none());
}
