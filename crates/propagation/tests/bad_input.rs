//! Input as no one should give it: through the public door it gets a finite answer that can be defended, or a refusal that
//! says what is wrong, where, and what to do.

#![expect(clippy::print_stdout, reason = "tests show what they measured")]

mod common;

use building::{Block, Electrical, Panel, Resolved};
use common::{Seeded, assembly, cut, deck, framed, id, layer, panel, rectangle};
use findings::NoProgress;
use propagation::antenna::{Antenna, LARGEST_STEP_DEG, MAX_PATTERN_ROWS, Mounted, Pattern, PatternError};
use propagation::{
    Carrier, Grid, MAX_CELLS, MIN_DISTANCE, MapConfig, MapError, PathConfig, Paths, PropagationError, Scene, Site,
    Tolerance, free_space_loss,
};
use proptest::prelude::*;
use units::{Db, Hertz, Metres, Point2, Point3};

const CARRIER: Carrier = Carrier::new(Hertz::from_mhz(5250.0), Hertz::from_mhz(80.0));
const ALL: PathConfig = PathConfig { reflections: 2, diffraction: true };

/// Two rooms of 6 m by 4 m under a roof: brick outside, a partition at x = 3 with an open doorway from y = 2.5 to 3.4.
fn home() -> Resolved {
    let mut home = Resolved {
        assemblies: vec![
            assembly("outer", vec![layer("brick", 102.5), layer("air", 50.0), layer("brick", 102.5)]),
            assembly(
                "partition",
                vec![layer("plasterboard", 12.5), framed("wood", 90.0, 406.0, 38.0), layer("plasterboard", 12.5)],
            ),
            assembly("roof", vec![layer("chipboard", 22.0), layer("air", 200.0), layer("plasterboard", 12.5)]),
        ],
        ..Resolved::default()
    };
    for (name, a, b, assembly) in [
        ("south", [0.0, 0.0], [6.0, 0.0], 0),
        ("east", [6.0, 0.0], [6.0, 4.0], 0),
        ("north", [6.0, 4.0], [0.0, 4.0], 0),
        ("west", [0.0, 4.0], [0.0, 0.0], 0),
        ("partition", [3.0, 0.0], [3.0, 4.0], 1),
    ] {
        home.panels.push(panel(name, a, b, (0.0, 2.5), assembly));
    }
    home.panels[4].cuts.push(cut("doorway", (2.5, 3.4), (0.0, 2.05), None));
    home.decks.push(deck("ground", rectangle(0.0, 0.0, 6.0, 4.0), 0.0, 2));
    home.decks.push(deck("roof", rectangle(0.0, 0.0, 6.0, 4.0), 2.5, 2));
    home
}

fn scene(home: &Resolved) -> Scene {
    Scene::new(home, &[CARRIER]).unwrap_or_else(|e| panic!("{e}"))
}

fn at(x: f64, y: f64, z: f64) -> Point3 {
    Point3::new(x, y, z)
}

/// What is refused, told.
fn refused(change: impl FnOnce(&mut Resolved)) -> PropagationError {
    let mut home = home();
    change(&mut home);
    Scene::new(&home, &[CARRIER]).map(|_| ()).unwrap_err()
}

/// Elements that the direct path crosses.
fn crossed(scene: &Scene, from: Point3, to: Point3) -> Vec<String> {
    scene.path(from, to, 0).crossings.iter().map(|c| c.element.as_str().to_owned()).collect()
}

/// A finite gain that no set of so many paths can exceed: each is no shorter than the straight line and loses nothing at
/// best. An edge may double a field where its two shadows meet.
#[track_caller]
fn defensible(found: &Paths, from: Point3, to: Point3) {
    let free = -free_space_loss(Metres(from.distance(to)), CARRIER.centre).0;
    let most = free + 10.0 * (found.paths.len() as f64).log10() + 6.1;
    for gain in [found.gain, found.gain_vertical, found.gain_coherent] {
        assert!(!gain.0.is_nan(), "{from:?} {to:?} {found:?}");
    }
    assert!(found.gain.0.is_finite() && found.gain.0 <= most, "{from:?} {to:?}: {} over {most}", found.gain);
    assert!(found.gain_coherent.0 <= free + 20.0 * (found.paths.len() as f64).log10() + 6.1, "{found:?}");
    for path in &found.paths {
        assert!(path.gain.0.is_finite() && path.length.0 >= from.distance(to) - 1e-9, "{path:?}");
    }
}

/// Transmitters inside a wall, on its centre line, in a corner, in a joint, in an object's place, outside, above and below.
#[test]
fn transmitters_where_none_should_stand() {
    let s = scene(&home());
    let (room, beyond) = (at(1.1, 1.3, 1.2), at(4.7, 1.1, 1.2));
    // Inside the partition: on the side of the centre line that it lies on.
    assert_eq!(crossed(&s, at(2.97, 1.2, 1.2), room), [""; 0]);
    assert_eq!(crossed(&s, at(2.97, 1.2, 1.2), beyond), ["partition"]);
    // On the centre line: on one side, never on both or none.
    let on = at(3.0, 1.2, 1.2);
    assert_eq!(crossed(&s, on, room).len() + crossed(&s, on, beyond).len(), 1);
    // Outside, above the roof, under the ground.
    assert_eq!(crossed(&s, at(-2.0, 1.2, 1.2), room), ["west"]);
    assert_eq!(crossed(&s, at(1.0, 1.2, 9.0), room), ["roof"]);
    assert_eq!(crossed(&s, at(1.0, 1.2, -1.0), room), ["ground"]);

    let odd = [
        at(2.97, 1.2, 1.2),
        on,
        at(0.0, 0.0, 1.2),
        at(3.0, 0.0, 1.2),
        at(3.0, 2.5, 1.2),
        at(6.0, 4.0, 2.5),
        at(1.0, 1.0, 0.0),
        at(1.0, 1.0, 2.5),
        at(-2.0, 1.2, 1.2),
        at(1.0, 1.2, 9.0),
        at(1.0, 1.2, -1.0),
    ];
    for from in odd {
        for to in [room, beyond, at(8.0, 9.0, 1.0)].into_iter().chain(odd) {
            defensible(&s.paths(from, to, 0, &ALL), from, to);
        }
    }
    let grid = Grid::new(id("s"), Point2::new(-1.0, -1.0), Metres(0.5), (12, 16), 1.2).unwrap();
    for config in [PathConfig::DIRECT, ALL] {
        let config = MapConfig { paths: config, ..MapConfig::default() };
        let maps = s.maps_with(&odd.map(Site::from), std::slice::from_ref(&grid), &config, &NoProgress).unwrap();
        for map in maps.gains.iter().flatten().flatten() {
            assert!(map.gain_db.iter().all(|g| g.is_finite() && *g < 0.0), "{:?}", map.gain_db);
        }
    }
}

/// A receiver at the transmitter, or nearer than 0.1 m to it, is 0.1 m away.
#[test]
fn a_receiver_at_the_transmitter() {
    let s = scene(&home());
    let p = at(1.0, 1.0, 1.0);
    let nearest = -free_space_loss(Metres(MIN_DISTANCE), CARRIER.centre).0;
    for to in [p, at(1.05, 1.0, 1.0), at(1.0, 1.0, 1.0 + 1e-12)] {
        assert!((s.path(p, to, 0).gain.0 - nearest).abs() < 1e-6);
        let found = s.paths(p, to, 0, &ALL);
        assert!((found.gain.0 - nearest).abs() < 0.1 && found.gain.0 >= nearest - 1e-3, "{} {nearest}", found.gain);
    }
    let grid = Grid::new(id("s"), Point2::new(0.75, 0.75), Metres(0.5), (1, 1), 1.0).unwrap();
    let maps = s.maps_with(&[p.into()], &[grid], &MapConfig { points: 1, ..MapConfig::default() }, &NoProgress);
    let gain = maps.unwrap().gains[0][0][0].gain_db[0];
    assert!((f64::from(gain) - nearest).abs() < 0.1, "{gain} {nearest}");
}

/// At an edge that diffracts nothing is added by it; in a mirror's plane nothing is reflected by that mirror.
#[test]
fn sites_at_an_edge_and_in_a_mirror() {
    let mirror = Resolved {
        assemblies: vec![assembly("m", vec![layer("metal", 1.0)])],
        panels: vec![panel("mirror", [0.0, 0.0], [4.0, 0.0], (0.0, 3.0), 0)],
        ..Resolved::default()
    };
    let s = scene(&mirror);
    let to = at(2.5, 2.0, 1.5);
    let config = PathConfig { reflections: 3, diffraction: false };
    assert_eq!(s.paths(at(1.5, 1.0, 1.5), to, 0, &config).paths.len(), 2);
    assert_eq!(s.paths(at(1.5, 0.0, 1.5), to, 0, &config).paths.len(), 1);
    let edges = |from: Point3| s.paths(from, to, 0, &PathConfig { diffraction: true, ..PathConfig::DIRECT });
    let turns = |found: &Paths, at: Point2| {
        found.paths.iter().any(|p| p.legs.len() == 2 && p.legs[0].to.plan().distance(at) < 1e-9)
    };
    let beside = edges(at(4.5, -1.0, 1.5));
    assert!(turns(&beside, Point2::new(4.0, 0.0)) && turns(&beside, Point2::new(0.0, 0.0)));
    for from in [at(4.0, 0.0, 1.5), at(4.0, 1e-4, 1.5), at(0.0, 0.0, 1.5)] {
        let found = edges(from);
        assert!(!turns(&found, from.plan()), "{from:?}");
        defensible(&found, from, to);
    }
}

/// Walls without a length or with a head under its foot are refused by name; one without a height is not there.
#[test]
fn degenerate_walls() {
    let error = refused(|h| h.panels[4].b = h.panels[4].a);
    assert!(matches!(&error, PropagationError::Geometry { element, .. } if element.as_str() == "partition"), "{error}");
    let error = refused(|h| (h.panels[4].z0, h.panels[4].z1) = (2.5, 0.0));
    assert!(error.to_string().contains("partition") && error.to_string().contains("height"), "{error}");
    let error = refused(|h| (h.panels[4].cuts[0].s0, h.panels[4].cuts[0].s1) = (3.4, 2.5));
    assert!(error.to_string().contains("doorway") && error.to_string().contains("width"), "{error}");
    let error = refused(|h| (h.panels[4].cuts[0].z0, h.panels[4].cuts[0].z1) = (2.0, 0.0));
    assert!(error.to_string().contains("doorway") && error.to_string().contains("height"), "{error}");
    let error = refused(|h| h.decks[0].z_top = -1.0);
    assert!(error.to_string().contains("ground"), "{error}");

    let mut flat = home();
    flat.panels[4].z1 = 0.0;
    let mut without = home();
    without.panels.remove(4);
    let (from, to) = (at(1.1, 1.3, 1.2), at(4.7, 1.1, 1.2));
    let [flat, without] = [flat, without].map(|home| scene(&home).paths(from, to, 0, &ALL).gain);
    assert_eq!(flat, without);
    // Outlines of no area, and none at all.
    let mut home = home();
    home.decks.push(deck("line", vec![Point2::new(0.0, 0.0), Point2::new(1.0, 1.0)], 1.0, 2));
    home.decks.push(deck("none", Vec::new(), 1.0, 2));
    let block = |outline| Block { object: id("b"), outline, z0: 0.0, z1: 1.0, electrical: Electrical::Metal };
    home.blocks = vec![block(Vec::new()), block(vec![Point2::new(1.0, 1.0)]), block(rectangle(1.0, 1.0, 1.0, 1.0))];
    let s = scene(&home);
    assert_eq!(s.paths(from, to, 0, &ALL).paths.len(), scene(&self::home()).paths(from, to, 0, &ALL).paths.len());
}

/// A wall drawn twice is two walls for what passes, and one mirror; so is a wall laid over part of another.
#[test]
fn duplicate_and_overlapping_walls() {
    let (from, to) = (at(1.1, 1.3, 1.2), at(4.7, 1.1, 1.2));
    let single = scene(&home());
    let loss = |s: &Scene| s.path(from, to, 0).crossings.iter().map(|c| c.loss.0).collect::<Vec<_>>();
    let once = loss(&single);
    for (a, b) in [([3.0, 0.0], [3.0, 4.0]), ([3.0, 4.0], [3.0, 0.0]), ([3.0, 0.5], [3.0, 2.0])] {
        let mut home = home();
        home.panels.push(panel("again", a, b, (0.0, 2.5), 1));
        let s = scene(&home);
        let twice = loss(&s);
        assert_eq!(twice.len(), 2);
        assert!(twice.iter().all(|l| (l - once[0]).abs() < 0.05), "{twice:?} {once:?}");
        let inside = at(2.2, 2.4, 1.2);
        let reflections = |s: &Scene| s.paths(from, inside, 0, &PathConfig { reflections: 1, ..ALL }).paths.len();
        assert_eq!(reflections(&s), reflections(&single));
        defensible(&s.paths(from, to, 0, &ALL), from, to);
    }
}

/// Where two walls cross in an X, a ray through the crossing meets both once, as the rays beside it do.
#[test]
fn walls_crossing_in_an_x() {
    let home = Resolved {
        assemblies: vec![assembly("board", vec![layer("plasterboard", 12.5)])],
        panels: vec![
            panel("rising", [-2.0, -2.0], [2.0, 2.0], (0.0, 3.0), 0),
            panel("falling", [-2.0, 2.0], [2.0, -2.0], (0.0, 3.0), 0),
        ],
        ..Resolved::default()
    };
    let s = scene(&home);
    for y in [0.0, 1e-9, -1e-9, 0.2, -0.2] {
        let (from, to) = (at(-1.5, y, 1.0), at(1.5, y, 1.0));
        assert_eq!(crossed(&s, from, to).len(), 2, "{y}");
        assert_eq!(crossed(&s, to, from).len(), 2, "{y}");
        defensible(&s.paths(from, to, 0, &ALL), from, to);
    }
    // Along one wall, through the crossing: the other once, and itself not.
    assert_eq!(crossed(&s, at(-1.0, -1.0, 1.0), at(1.0, 1.0, 1.0)), ["falling"]);
}

/// A frequency outside a material's range is refused, naming material, assembly and range; so is an object's.
#[test]
fn frequencies_outside_of_a_material() {
    let at_edge = Carrier::new(Hertz::from_ghz(40.0), Hertz::from_mhz(160.0));
    let error = Scene::new(&home(), &[CARRIER, at_edge]).map(|_| ()).unwrap_err().to_string();
    for part in ["`brick`", "`outer`", "40.08 GHz", "1 to 40 GHz", "use a material"] {
        assert!(error.contains(part), "{part}: {error}");
    }
    let error = refused(|h| h.assemblies[1].layers[0] = layer("floorboard", 20.0)).to_string();
    for part in ["`floorboard`", "`partition`", "50 to 100 GHz"] {
        assert!(error.contains(part), "{part}: {error}");
    }
    let error = refused(|h| {
        let electrical = common::material("floorboard").electrical;
        let outline = rectangle(1.0, 1.0, 2.0, 2.0);
        h.blocks.push(Block { object: id("bench"), outline, z0: 0.0, z1: 1.0, electrical });
    });
    assert!(error.to_string().contains("`bench`") && error.to_string().contains("50 to 100 GHz"), "{error}");
}

const HEADING: &str = "azimuth_deg,elevation_deg,gain_dbi\n";

/// A pattern every 30°, without the rows for which `leave` says so.
fn pattern(leave: impl Fn(i32, i32) -> bool) -> String {
    let mut text = HEADING.to_owned();
    for azimuth in (0..360).step_by(30) {
        for elevation in (-90..=90).step_by(30) {
            if !leave(azimuth, elevation) {
                text += &format!("{azimuth},{elevation},0\n");
            }
        }
    }
    text
}

#[test]
fn pattern_without_a_heading() {
    let error = Pattern::from_csv("0,0,1\n").unwrap_err();
    assert!(matches!(error, PatternError::Heading { .. }) && error.to_string().contains("`0,0,1`"), "{error}");
}

#[test]
fn pattern_with_a_bad_row() {
    for (row, says) in [("0,0", "2 values"), ("0,0,x", "`x`"), ("0,91,0", "91"), ("0,0,inf", "inf")] {
        let error = Pattern::from_csv(&(pattern(|_, _| false) + row + "\n")).unwrap_err();
        assert!(matches!(error, PatternError::Row { line: 86, .. }) && error.to_string().contains(says), "{error}");
    }
}

#[test]
fn pattern_with_a_direction_left_out_or_twice() {
    let error = Pattern::from_csv(&pattern(|a, e| (a, e) == (60, 30))).unwrap_err();
    assert!(matches!(error, PatternError::Gap { azimuth: 60.0, elevation: 30.0, count: 0 }), "{error}");
    let error = Pattern::from_csv(&(pattern(|_, _| false) + "90,-30,1\n")).unwrap_err();
    assert!(matches!(error, PatternError::Gap { azimuth: 90.0, elevation: -30.0, count: 2 }), "{error}");
}

#[test]
fn pattern_that_leaves_the_sphere_open() {
    let error = Pattern::from_csv(&pattern(|a, _| (100..=180).contains(&a))).unwrap_err();
    assert!(matches!(error, PatternError::Open { angle: "azimuth", from: 90.0, to: 210.0 }), "{error}");
    let error = Pattern::from_csv(&pattern(|_, e| e == -90)).unwrap_err();
    assert!(matches!(error, PatternError::Open { angle: "elevation", .. }), "{error}");
    assert!(error.to_string().contains(&format!("{LARGEST_STEP_DEG}°")), "{error}");
}

#[test]
fn pattern_with_too_many_rows() {
    let mut text = HEADING.to_owned();
    text.extend((0..=MAX_PATTERN_ROWS).map(|_| "0,0,0\n"));
    assert_eq!(Pattern::from_csv(&text).unwrap_err(), PatternError::Rows);
}

/// Directions that share no angle would make a table of as many rows squared: told as the gap it is, without the table.
#[test]
fn pattern_of_scattered_directions() {
    let mut text = HEADING.to_owned();
    let count = 500_000;
    for i in 0..=count {
        let share = f64::from(i) / f64::from(count);
        text += &format!("{},{},0\n", 360.0 * share, 180.0 * share - 90.0);
    }
    assert!(matches!(Pattern::from_csv(&text), Err(PatternError::Gap { count: 0, .. })));
}

/// Grids of a billion cells are refused before anything is allocated, by themselves and by points in cells.
#[test]
fn grids_of_a_billion_cells() {
    let new = |rows, columns, cell| Grid::new(id("s"), Point2::new(0.0, 0.0), Metres(cell), (rows, columns), 1.0);
    for (rows, columns) in [(40_000, 25_000), (usize::MAX, usize::MAX), (1, MAX_CELLS + 1), (0, 5)] {
        let error = new(rows, columns, 0.1).unwrap_err();
        assert!(matches!(error, PropagationError::Grid { .. }) && error.to_string().contains("another cell size"));
    }
    let s = scene(&home());
    let site = [Site::from(at(1.0, 1.0, 1.0))];
    let grid = [new(1000, 1000, 0.01).unwrap()];
    for points in [32, 1 << 40, usize::MAX, 0] {
        let config = MapConfig { points, ..MapConfig::default() };
        let refused = s.maps_with(&site, &grid, &config, &NoProgress).unwrap_err();
        assert!(matches!(&refused, MapError::Grid(PropagationError::Grid { .. })), "{points}: {refused}");
    }
}

/// Numbers that are none: refused where a home or a carrier is made, −∞ dB where a point is asked for.
#[test]
fn numbers_that_are_none() {
    for bad in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
        let named = |error: PropagationError, name: &str| {
            assert!(matches!(error, PropagationError::Geometry { .. }) && error.to_string().contains(name), "{error}");
        };
        named(refused(|h| h.panels[0].a.x = bad), "south");
        named(refused(|h| h.panels[1].z1 = bad), "east");
        named(refused(|h| h.panels[4].cuts[0].s1 = bad), "doorway");
        named(refused(|h| h.decks[1].outline[2].y = bad), "roof");
        named(refused(|h| h.decks[1].z_top = bad), "roof");
        named(refused(|h| h.assemblies[0].layers[1].thickness = bad), "outer");
        let carriers = [
            Carrier::new(Hertz(bad), Hertz(0.0)),
            Carrier::new(CARRIER.centre, Hertz(bad)),
            Carrier::new(Hertz(-bad), Hertz(bad)),
        ];
        for carrier in carriers {
            let error = Scene::new(&home(), &[CARRIER, carrier]).map(|_| ()).unwrap_err();
            assert!(matches!(error, PropagationError::Carrier { index: 1, .. }), "{error}");
        }
        for thickness in [bad, -0.1, 1.0] {
            let error = Scene::with_tolerance(&home(), &[CARRIER], Tolerance { thickness }).map(|_| ()).unwrap_err();
            assert!(error.to_string().contains("tolerance"), "{error}");
        }

        let s = scene(&home());
        let (good, nowhere) = (at(1.0, 1.0, 1.0), at(bad, 1.0, 1.0));
        for (from, to) in [(good, nowhere), (nowhere, good), (nowhere, nowhere)] {
            assert_eq!(s.path(from, to, 0).gain, Db(f64::NEG_INFINITY));
            let found = s.paths(from, to, 0, &ALL);
            assert_eq!((found.gain, found.paths.len()), (Db(f64::NEG_INFINITY), 0));
        }
        let grid = Grid::new(id("s"), Point2::new(0.0, 0.0), Metres(0.5), (4, 4), 1.0).unwrap();
        let maps = s.maps(&[nowhere], std::slice::from_ref(&grid), &NoProgress).unwrap();
        assert!(maps[0][0][0].gain_db.iter().all(|g| *g == f32::NEG_INFINITY));
        let config = MapConfig { neglect: bad, ..MapConfig::default() };
        let maps =
            s.maps_with(&[nowhere.into(), good.into()], std::slice::from_ref(&grid), &config, &NoProgress).unwrap();
        assert!(maps.gains[0][0][0].gain_db.iter().all(|g| *g == f32::NEG_INFINITY));
        assert!(maps.gains[1][0][0].gain_db.iter().all(|g| g.is_finite()));
        for (origin, cell, z) in [(bad, 0.5, 1.0), (0.0, bad, 1.0), (0.0, 0.5, bad)] {
            assert!(Grid::new(id("s"), Point2::new(origin, 0.0), Metres(cell), (4, 4), z).is_err());
        }

        // An antenna that looks nowhere.
        for (azimuth_deg, downtilt_deg) in [(bad, 0.0), (0.0, bad)] {
            for antenna in [Antenna::Isotropic, Antenna::HalfWaveDipole, Antenna::CeilingPatch] {
                let mounted = Mounted { antenna, azimuth_deg, downtilt_deg };
                let site = Site { at: good, mounted };
                let there = at(4.0, 2.0, 1.0).into();
                let expected = match site.mounted.antenna {
                    Antenna::Isotropic => s.path(good, at(4.0, 2.0, 1.0), 0).gain,
                    _ => Db(f64::NEG_INFINITY),
                };
                for found in [
                    s.paths_between(&site, &there, 0, &PathConfig::DIRECT),
                    s.paths_between(&there, &site, 0, &PathConfig::DIRECT),
                ] {
                    assert_eq!((found.gain, found.gain_coherent.0.is_nan()), (expected, false));
                }
                let maps = s
                    .maps_with(std::slice::from_ref(&site), std::slice::from_ref(&grid), &config, &NoProgress)
                    .unwrap();
                let gains = &maps.gains[0][0][0].gain_db;
                let is_silent = site.mounted.antenna != Antenna::Isotropic;
                assert!(gains.iter().all(|g| !g.is_nan() && (!is_silent || *g < -200.0)), "{gains:?}");
            }
        }
        assert!(!free_space_loss(Metres(bad.abs()), CARRIER.centre).0.is_finite());
        assert!(!free_space_loss(Metres(1.0), Hertz(bad)).0.is_finite());
    }
    let s = scene(&home());
    assert_eq!(s.path(at(1.0, 1.0, 1.0), at(2.0, 1.0, 1.0), 1).gain, Db(f64::NEG_INFINITY));
    assert_eq!(s.path(at(1.0, 1.0, 1.0), at(1e200, 1e200, 1.0), 0).gain, Db(f64::NEG_INFINITY));
}

/// Anything may be drawn: walls of any slant and height through each other, openings beyond their ends, slabs and objects on
/// each other, places on them.
fn ugly(seed: u64, walls: usize) -> (Resolved, Vec<Point3>) {
    let mut random = Seeded(seed);
    let mut home = self::home();
    // Half of the coordinates on a coarse lattice, so that ends, lines and planes coincide.
    let mut coordinate = move || {
        let x = random.between(-8.0, 8.0);
        if random.uniform() < 0.5 { x.round() } else { x }
    };
    let mut points = vec![at(1.0, 1.0, 1.0)];
    for i in 0..walls {
        let (a, b) = ([coordinate(), coordinate()], [coordinate(), coordinate()]);
        let (low, high) = (coordinate(), coordinate());
        let z = (low.min(high), low.max(high));
        let mut p: Panel = panel(&format!("u{i}"), a, b, z, i % 3);
        if a == b {
            continue;
        }
        let (s0, s1) = (coordinate(), coordinate());
        let assembly = [None, Some(i % 3)][i % 2];
        p.cuts.push(cut(&format!("c{i}"), (s0.min(s1), s0.max(s1)), (z.0 - 0.1, z.1 - 0.5), assembly));
        if z.1 - 0.5 < z.0 - 0.1 {
            p.cuts.clear();
        }
        home.panels.push(p);
        let corner = Point2::new(coordinate(), coordinate());
        let outline = vec![Point2::from(a), Point2::from(b), corner];
        match i % 4 {
            0 => home.decks.push(deck(&format!("d{i}"), outline, coordinate(), i % 3)),
            1 => {
                let electrical = if i % 8 == 1 { Electrical::Metal } else { common::material("wood").electrical };
                home.blocks.push(Block { object: id(&format!("b{i}")), outline, z0: z.0, z1: z.1, electrical });
            }
            _ => {}
        }
        points.push(corner.at_height(coordinate()));
        // On a wall, at its end.
        points.push(Point2::from(a).at_height(z.0));
        points.push(Point2::new(0.5 * (a[0] + b[0]), 0.5 * (a[1] + b[1])).at_height(0.5 * (z.0 + z.1)));
    }
    (home, points)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, failure_persistence: None, ..ProptestConfig::default() })]

    /// Never a panic, always finite, never above free space by more than the number of paths allows; maps likewise.
    #[test]
    fn ugly_geometry(seed: u64, walls in 0usize..10) {
        let (home, points) = ugly(seed, walls);
        let s = scene(&home);
        for (&from, &to) in points.iter().zip(points.iter().rev()).chain(points.iter().zip(&points).take(2)) {
            let found = s.paths(from, to, 0, &ALL);
            let free = -free_space_loss(Metres(from.distance(to)), CARRIER.centre).0;
            prop_assert!(found.gain.0.is_finite() && !found.gain_coherent.0.is_nan());
            let most = free + 10.0 * (found.paths.len() as f64).log10() + 6.1;
            prop_assert!(found.gain.0 <= most, "{seed} {from:?} {to:?}: {} over {most}", found.gain);
        }
        let grid = Grid::new(id("s"), Point2::new(-8.0, -8.0), Metres(1.0), (16, 16), 1.0).unwrap();
        let config = MapConfig { paths: ALL, points: 1, neglect: 0.0 };
        let sites: Vec<Site> = points.iter().take(3).map(|&p| p.into()).collect();
        let maps = s.maps_with(&sites, &[grid], &config, &NoProgress).unwrap();
        prop_assert!(maps.gains.iter().flatten().flatten().all(|m| m.gain_db.iter().all(|g| g.is_finite())));
    }
}

/// How the time of one pair grows with the number of walls at three reflections; prints, and asserts nothing about time.
#[test]
#[ignore = "takes minutes; run to measure"]
fn many_walls() {
    for walls in [100, 200, 400, 1000] {
        let mut home = home();
        let mut random = Seeded(9);
        for i in 0..walls {
            let a = [random.between(0.0, 60.0), random.between(0.0, 60.0)];
            let turn: f64 = random.between(0.0, 6.2);
            let b = [a[0] + 3.0 * turn.cos(), a[1] + 3.0 * turn.sin()];
            home.panels.push(panel(&format!("m{i}"), a, b, (0.0, 2.5), 1));
        }
        let s = scene(&home);
        for reflections in 0..=3 {
            let start = std::time::Instant::now();
            let found =
                s.paths(at(1.0, 1.0, 1.0), at(40.0, 31.0, 1.3), 0, &PathConfig { reflections, diffraction: false });
            println!(
                "{walls} walls, order {reflections}: {} paths, {:.3} s",
                found.paths.len(),
                start.elapsed().as_secs_f64()
            );
        }
    }
}
