//! Maps and probes of planned designs hold together with the figures that they draw and explain.

use std::sync::Arc;

use assessment::{Evaluator, Home, MapError, MapRequest, Quantity};
use findings::{Id, NoProgress};
use job::Job;
use network::Design;
use network::results::{DesignOption, Plan};
use planner::{Config, plan_with};
use radio_profile::{AntennaPattern, Band};
use units::Point2;

fn demo(name: &str) -> Job {
    let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../../demo").join(name).join("job.toml");
    let text = std::fs::read_to_string(path).expect("a demo home");
    job::parse(&text, job::Encoding::Toml).expect("a job")
}

fn planned(name: &str) -> (Evaluator, Plan) {
    let home = Home::new(&demo(name)).expect("a computable job");
    let evaluator = Evaluator::new(Arc::new(home)).expect("a scene");
    let plan = plan_with(&evaluator, &Config::default(), &NoProgress).expect("a plan");
    (evaluator, plan)
}

fn storeys(evaluator: &Evaluator) -> Vec<Id> {
    let home = &evaluator.home().resolved;
    let has_rooms = |idx: usize| home.rooms.iter().any(|r| r.storey == idx);
    home.storeys.iter().enumerate().filter(|(i, _)| has_rooms(*i)).map(|(_, s)| s.id.clone()).collect()
}

fn figure(option: &DesignOption, id: &str) -> Option<f64> {
    option.figures.iter().find(|f| f.id == id).and_then(|f| f.value)
}

fn request(storey: &Id, band: Option<Band>, quantity: Quantity) -> MapRequest {
    MapRequest { storey: storey.clone(), band, quantity, cell: None }
}

#[test]
fn the_share_of_cells_above_the_target_line_is_the_coverage_figure() {
    let (evaluator, plan) = planned("two-storey-basement");
    let mut num_checked = 0;
    for option in &plan.options {
        for band in [None, Some(Band::Ghz2), Some(Band::Ghz5), Some(Band::Ghz6)] {
            let id = band.map_or("coverage".to_owned(), |b| format!("coverage.{}", b.label()));
            let Some(stated) = figure(option, &id) else { continue };
            let (mut served, mut covered) = (0.0, 0.0);
            for storey in storeys(&evaluator) {
                let request = request(&storey, band, Quantity::Probability);
                let map = evaluator.map(&option.design, &request, &NoProgress).expect("a map");
                for (margin, value) in map.margin_db.iter().zip(&map.values) {
                    let (Some(margin), Some(value)) = (margin, value) else { continue };
                    served += 1.0;
                    covered += f64::from(u8::from(*margin >= 0.0));
                    // The line and the probability say the same, but for rounding to hundredths.
                    assert!(
                        (*margin >= 0.0) == (*value >= 95.0) || (value - 95.0).abs() < 0.02,
                        "{margin} dB, {value} %"
                    );
                }
            }
            assert!((100.0 * covered / served - stated).abs() < 1e-9, "{id} of {}: {stated}", option.family);
            num_checked += 1;
        }
    }
    assert!(num_checked > 10, "{num_checked}");
}

#[test]
fn a_probe_explains_the_cell_that_it_stands_on() {
    let (evaluator, plan) = planned("two-storey");
    let storeys = storeys(&evaluator);
    let floored = |v: f64| (v * 100.0).floor() / 100.0;
    let (mut num_walls, mut num_turns) = (0, 0);
    for option in &plan.options {
        for band in [None, Some(Band::Ghz5)] {
            let storey = &storeys[1];
            let map = |q| evaluator.map(&option.design, &request(storey, band, q), &NoProgress).expect("a map");
            let (level, rate) = (map(Quantity::Level), map(Quantity::Rate));
            for at in (0..level.values.len()).step_by(37) {
                let Some(value) = level.values[at] else { continue };
                let (row, column) = ((at / level.columns) as f64, (at % level.columns) as f64);
                let point = Point2::new(
                    level.origin.x + (column + 0.5) * level.cell,
                    level.origin.y + (row + 0.5) * level.cell,
                );
                let probe = evaluator.probe(&option.design, storey, point, band).expect("a probe");
                // A map is held in single precision.
                let near = |a: Option<f64>, b: f64| a.is_some_and(|a| (a - b).abs() < 0.0101);
                let in_probe = probe.level.expect("a level").0;
                assert!(near(Some(value), floored(in_probe)), "{value} {in_probe}");
                assert!(near(rate.values[at], floored(probe.down.expect("a rate").0 / 1e6)));
                let sum: f64 = probe.legs.iter().map(|leg| leg.value).sum();
                assert!((sum - in_probe).abs() < 1e-9, "{sum} {in_probe}: {:?}", probe.legs);
                // The level is the sum of what the paths bring.
                let power = |dbm: f64| 10f64.powf(dbm / 10.0);
                let told: f64 = probe.paths.iter().map(|path| power(path.level.0)).sum();
                let rest = probe.others.map_or(0.0, |others| power(others.level.0));
                assert!((10.0 * (told + rest).log10() - in_probe).abs() < 1e-4, "{told} {rest} {in_probe}");
                for path in &probe.paths {
                    assert_eq!(path.points.len(), path.turns.len() + 2);
                    let legs = path.points.windows(2).map(|p| p[0].distance(p[1])).sum::<f64>();
                    assert!((legs - path.length.0).abs() < 1e-9);
                    assert!((path.delay_ns - legs / 0.299_792_458).abs() < 1e-6);
                }
                num_turns += probe.paths.iter().map(|path| path.turns.len()).sum::<usize>();
                num_walls += probe.legs.iter().filter(|leg| leg.element.is_some()).count();
                assert_eq!(probe.covered, probe.margin.map(|m| m.0 >= 0.0));
            }
        }
    }
    assert!(num_walls > 50 && num_turns > 50, "{num_walls} {num_turns}");
}

#[test]
fn covered_by_one_router_means_that_it_carries_the_target() {
    let (evaluator, plan) = planned("two-storey");
    let option = plan.options.iter().find(|o| o.family == network::Family::OwnRouter).expect("an own router");
    let mut seen = [0, 0];
    for storey in storeys(&evaluator) {
        for (x, y) in (0..20).flat_map(|x| (0..20).map(move |y| (f64::from(x) * 0.7, f64::from(y) * 0.6))) {
            let probe = evaluator.probe(&option.design, &storey, Point2::new(x, y), None).expect("a probe");
            let (Some(target), Some(covered)) = (probe.target, probe.covered) else { continue };
            let (down, up) = (probe.down.expect("a rate"), probe.up.expect("a rate"));
            let carries = down.0 >= target.down.0 * (1.0 - 1e-6) && up.0 >= target.up.0 * (1.0 - 1e-6);
            assert_eq!(covered, carries, "{x} {y}: {down:?} {up:?} {:?}", probe.margin);
            seen[usize::from(covered)] += 1;
        }
    }
    assert!(seen[1] > 100, "{seen:?}");
}

#[test]
fn what_is_missing_is_said() {
    let (evaluator, plan) = planned("cottage");
    let storey = &storeys(&evaluator)[0];
    let empty = Design { radios: Vec::new(), ..plan.options[0].design.clone() };
    let map = evaluator.map(&empty, &request(storey, None, Quantity::Level), &NoProgress).expect("a map");
    assert!(map.values.iter().all(Option::is_none) && map.missing.len() == 1, "{:?}", map.missing);
    assert!(map.margin_db.iter().flatten().all(|m| *m < 0.0) && map.margin_db.iter().any(Option::is_some));
    let probe = evaluator.probe(&empty, storey, Point2::new(-50.0, 0.0), None).expect("a probe");
    assert!(probe.level.is_none() && probe.covered.is_none() && probe.missing.len() == 2, "{:?}", probe.missing);
    let nowhere = request(&Id::from_label("nowhere"), None, Quantity::Level);
    let error = evaluator.map(&empty, &nowhere, &NoProgress).expect_err("no such storey");
    assert!(matches!(error, MapError::NoStorey { .. }), "{error}");
}

#[test]
fn the_served_share_is_told_with_what_is_sure() {
    let (_, plan) = planned("three-generation-terrace");
    for option in &plan.options {
        let served = option.figures.iter().find(|f| f.id == "served.area").expect("the figure");
        let (expected, at_least) = (served.value.expect("a value"), served.low.expect("a lower end"));
        assert!(
            0.0 < at_least && at_least <= expected && expected <= 100.0,
            "{}: {at_least} {expected}",
            option.family
        );
        assert_eq!((served.high, served.confidence), (Some(100.0), Some(0.9)));
    }
    // More coverage, more service.
    let both = |o: &DesignOption| (figure(o, "coverage").unwrap_or(0.0), figure(o, "served.area").unwrap_or(0.0));
    let (mut least, mut most) = ((100.0, 100.0), (0.0, 0.0));
    for option in &plan.options {
        let (covered, served) = both(option);
        least = if covered < least.0 { (covered, served) } else { least };
        most = if covered > most.0 { (covered, served) } else { most };
    }
    assert!(least.0 + 5.0 < most.0 && least.1 < most.1, "{least:?} {most:?}");
}

#[test]
fn after_an_edit_all_is_as_if_computed_anew() {
    let (before, plan) = planned("studio");
    let design = &plan.options[0].design;
    let mut job = demo("studio");
    let storey = storeys(&before)[0].clone();
    let map = |e: &Evaluator| e.map(design, &request(&storey, None, Quantity::Level), &NoProgress).expect("a map");
    let same = before.after_edit(Arc::new(Home::new(&job).expect("a job"))).expect("a scene");
    assert_eq!(map(&same), map(&before));
    let inner = job.building.walls.iter_mut().find(|w| w.kind == building::WallKind::default()).expect("a wall");
    inner.assembly = Id::from_label("concrete-wall-150");
    let home = Arc::new(Home::new(&job).expect("a job"));
    let (after, anew) = (before.after_edit(home.clone()).expect("a scene"), Evaluator::new(home).expect("a scene"));
    assert_eq!(map(&after), map(&anew));
    assert_ne!(map(&after), map(&before));
    let assess = |e: &Evaluator| e.assess(design, &NoProgress).expect("an assessment").figures;
    assert_eq!(assess(&after), assess(&anew));
}

/// A part of one's own: the first radio of a design with another pattern of its antennas.
fn with_pattern(job: &Job, design: &Design, pattern: AntennaPattern) -> (Job, Design) {
    let (mut job, mut design) = (job.clone(), design.clone());
    let radio = design.parts.iter_mut().find(|p| design.radios.iter().any(|r| r.part == p.id)).expect("a radio");
    let mut part = equipment::Catalog::builtin().get(&radio.part).expect("a part").clone();
    part.id = Id::from_label("own-antenna");
    part.radio.as_mut().expect("a radio").pattern = pattern;
    radio.part = part.id.clone();
    (radio.mounting, radio.aim) = (network::Mounting::Wall, None);
    job.equipment.parts.push(part);
    (job, design)
}

#[test]
fn an_antenna_sends_where_it_is_aimed() {
    let (even, plan) = planned("studio");
    let option = plan.options.iter().find(|o| o.design.radios.len() <= 3).expect("one radio");
    let storey = storeys(&even)[0].clone();
    let level = |pattern: AntennaPattern, aim: Option<f64>| {
        let (job, mut design) = with_pattern(&demo("studio"), &option.design, pattern);
        if let Some(azimuth_deg) = aim {
            let radio = design.parts.iter_mut().find(|p| p.part.as_str() == "own-antenna").expect("the part");
            radio.aim = Some(network::Aim { azimuth_deg, downtilt_deg: -90.0 });
        }
        let evaluator = Evaluator::new(Arc::new(Home::new(&job).expect("a job"))).expect("a scene");
        let map = evaluator.map(&design, &request(&storey, None, Quantity::Level), &NoProgress).expect("a map");
        let values: Vec<f64> = map.values.iter().flatten().copied().collect();
        let at = |k: usize| {
            let (row, column) = (k / map.columns, k % map.columns);
            let (x, y) = ((column as f64 + 0.5) * map.cell, (row as f64 + 0.5) * map.cell);
            Point2::new(map.origin.x + x, map.origin.y + y)
        };
        let place = map.values.iter().position(Option::is_some).map(at).expect("a cell");
        let probe = evaluator.probe(&design, &storey, place, None).expect("a probe");
        let sum: f64 = probe.legs.iter().map(|leg| leg.value).sum();
        assert!((sum - probe.level.expect("a level").0).abs() < 1e-6, "{:?}", probe.legs);
        values.iter().sum::<f64>() / values.len() as f64
    };
    let alike = level(AntennaPattern::Even, None);
    // A pattern that is the same everywhere is no pattern, whatever its gain is.
    let rows = (0..12).flat_map(|a| (-6..=6).map(move |e| format!("{},{},4.5\n", a * 30, e * 15)));
    let csv = format!("azimuth_deg,elevation_deg,gain_dbi\n{}", rows.collect::<String>());
    assert!((level(AntennaPattern::Measured(csv), None) - alike).abs() < 0.02);
    // A patch aimed away from most of the flat gives less than one aimed into it, and none gives more than its peak.
    let aimed: Vec<f64> = (0..4).map(|k| level(AntennaPattern::CeilingPatch, Some(90.0 * f64::from(k)))).collect();
    let (least, most) = aimed.iter().fold((0.0f64, f64::NEG_INFINITY), |(l, m), &v| (l.min(v), m.max(v)));
    assert!(least + 3.0 < most && most < alike, "{aimed:?} {alike}");
    let usual = level(AntennaPattern::CeilingPatch, None);
    assert!(least <= usual && usual <= most + 1.0, "off the wall: {usual}, {aimed:?}");

    let broken = AntennaPattern::Measured("azimuth_deg,elevation_deg,gain_dbi\n0,0,3\n".into());
    let (job, _) = with_pattern(&demo("studio"), &option.design, broken);
    let refused = Home::new(&job).expect_err("a gap").to_string();
    assert!(refused.contains("own-antenna") && refused.contains("elevation"), "{refused}");
}
