//! Direct and reflected paths against the exact image method on sheet geometry, and properties of any image method.

#![expect(clippy::print_stdout, reason = "tests show what they measured")]

mod common;

use building::{Block, Electrical, Resolved};
use common::house::house;
use common::{assembly, framed, id, layer, panel, rectangle, sheet_scene};
use findings::{Cancelled, NoProgress, Progress};
use propagation::wall::{Answer, Wall};
use propagation::{
    Carrier, Grid, Interaction, MapConfig, MapError, PathConfig, PropagationError, Scene, Site, Tolerance,
};
use proptest::prelude::*;
use units::{Hertz, Metres, Point2, Point3};

fn single(ghz: f64) -> Carrier {
    Carrier::new(Hertz::from_ghz(ghz), Hertz(0.0))
}

fn point(v: &serde_json::Value) -> Point3 {
    let n = |i: usize| v[i].as_f64().unwrap();
    Point3::new(n(0), n(1), n(2))
}

/// Points, orders 0 to 3, three frequencies: incoherent vertical and both, coherent vertical, within 0.05 dB RMS.
#[test]
fn image_method() {
    let files = [
        (include_str!("data/S1.json"), include_str!("data/exact_S1.json")),
        (include_str!("data/S2.json"), include_str!("data/exact_S2.json")),
        (include_str!("data/S2d.json"), include_str!("data/exact_S2d.json")),
    ];
    let orders = ["direct", "up_to_1_reflection", "up_to_2_reflections", "up_to_3_reflections"];
    for (scene, exact) in files {
        let (home, _) = sheet_scene(scene);
        let exact: serde_json::Value = serde_json::from_str(exact).unwrap();
        for result in exact["results"].as_array().unwrap() {
            let carrier = single(result["f_ghz"].as_f64().unwrap());
            let scene = Scene::with_tolerance(&home, &[carrier], Tolerance::EXACT).unwrap();
            for (reflections, order) in orders.into_iter().enumerate() {
                let mut squares = [0.0f64; 3];
                let (mut worst, mut count, mut paths, mut expected) = (0.0f64, 0.0, 0, 0.0);
                for (i, rx) in exact["rx"].as_array().unwrap().iter().enumerate() {
                    let got = scene.paths(
                        point(&result["tx"]),
                        point(rx),
                        0,
                        &PathConfig { reflections, ..PathConfig::default() },
                    );
                    let value = |key: &str| result[order][key][i].as_f64().unwrap();
                    let pairs = [
                        (got.gain_vertical, "incoherent_V_dB"),
                        (got.gain, "incoherent_VH_dB"),
                        (got.gain_coherent, "coherent_V_dB"),
                    ];
                    for (square, (gain, key)) in squares.iter_mut().zip(pairs) {
                        let error = gain.0 - value(key);
                        *square += error * error;
                        worst = worst.max(error.abs());
                    }
                    paths += got.paths.len();
                    expected += result[order]["paths"][i].as_f64().unwrap_or(f64::NAN);
                    count += 1.0;
                }
                let rms = squares.map(|s| (s / count).sqrt());
                println!(
                    "{} tx {} {} GHz {order}: {:.4} V, {:.4} V+H, {:.4} coherent dB RMS, worst {worst:.4}; {paths} paths of {expected}",
                    exact["scene"], result["tx_index"], result["f_ghz"], rms[0], rms[1], rms[2]
                );
                assert!(rms.iter().all(|&r| r < 0.05), "{rms:?}");
            }
        }
    }
}

fn reference_map(scene: &str, map: &str, neglect: f64) -> (f64, f64, f64) {
    let (home, scene) = sheet_scene(scene);
    let map: serde_json::Value = serde_json::from_str(map).unwrap();
    let s = Scene::with_tolerance(&home, &[single(5.25)], Tolerance::EXACT).unwrap();
    let sites: Vec<Site> = scene["tx"].as_array().unwrap().iter().map(|v| point(v).into()).collect();
    let rows = map["gain_dB"][0].as_array().unwrap().len();
    let columns = map["gain_dB"][0][0].as_array().unwrap().len();
    // The points are shifted off the planes of symmetry.
    let grid = Grid::new(common::id("s"), Point2::new(1e-4, 0.7e-4), Metres(0.25), (rows, columns), 1.0).unwrap();
    let config = MapConfig { neglect, ..MapConfig::default() };
    let start = std::time::Instant::now();
    let maps = s.maps_with(&sites, &[grid], &config, &NoProgress).unwrap();
    let first = start.elapsed().as_secs_f64();
    let (mut square, mut worst, mut count) = (0.0f64, 0.0f64, 0.0);
    for (site, of_site) in maps.gains.iter().enumerate() {
        for (index, gain) in of_site[0][0].gain_db.iter().enumerate() {
            let expected = map["gain_dB"][site][index / columns][index % columns].as_f64().unwrap();
            let error = f64::from(*gain) - expected;
            square += error * error;
            worst = worst.max(error.abs());
            count += 1.0;
        }
    }
    println!("{first:.3} s with tables; left out at most {}", maps.left_out);
    ((square / count).sqrt(), worst, maps.left_out.0)
}

/// Order 3, both polarisations, 2 × 2 points a cell, both scenes' maps.
#[test]
fn image_method_maps() {
    let s1 = (include_str!("data/S1.json"), include_str!("data/exact_S1_5.25GHz_z1.0.json"));
    let s2 = (include_str!("data/S2.json"), include_str!("data/exact_S2_5.25GHz_z1.0.json"));
    for (name, (scene, map)) in [("S1", s1), ("S2", s2)] {
        for neglect in [0.0, 0.001, 0.005, 0.01, 0.02, 0.05] {
            let (rms, worst, left_out) = reference_map(scene, map, neglect);
            println!(
                "{name} neglect {neglect}: {rms:.4} dB RMS, worst {worst:.4} dB; at most {left_out:.4} dB left out"
            );
            assert!(rms < 0.05 && left_out <= 10.0 * (1.0f64 + neglect).log10() + 1e-3, "{rms} {left_out}");
        }
    }
}

fn carriers() -> [Carrier; 3] {
    [
        Carrier::new(Hertz::from_mhz(2437.0), Hertz::from_mhz(20.0)),
        Carrier::new(Hertz::from_mhz(5250.0), Hertz::from_mhz(80.0)),
        Carrier::new(Hertz::from_mhz(6505.0), Hertz::from_mhz(160.0)),
    ]
}

/// Turns about the origin and shifts.
fn moved(home: &Resolved, angle: f64, shift: Point2) -> Resolved {
    let mut home = home.clone();
    let turn = |p: Point2| turned(p, angle, shift);
    for p in &mut home.panels {
        (p.a, p.b) = (turn(p.a), turn(p.b));
    }
    for d in &mut home.decks {
        d.outline.iter_mut().chain(d.holes.iter_mut().flatten()).for_each(|p| *p = turn(*p));
    }
    for o in &mut home.blocks {
        o.outline.iter_mut().for_each(|p| *p = turn(*p));
    }
    home
}

fn turned(p: Point2, angle: f64, shift: Point2) -> Point2 {
    let (sin, cos) = angle.sin_cos();
    Point2::new(cos * p.x - sin * p.y + shift.x, sin * p.x + cos * p.y + shift.y)
}

/// Maps at cells' centres without anything left out are the sums of the explained paths: openings, stairwell, a wall
/// askew, objects, several carriers, sites on both storeys and outside, the home as drawn and turned.
#[test]
fn maps_equal_paths() {
    let config = MapConfig { points: 1, neglect: 0.0, ..MapConfig::default() };
    for angle in [0.0, 0.4] {
        let home = moved(&house(), angle, Point2::new(0.3, -0.2));
        let s = Scene::new(&home, &carriers()).unwrap();
        let place = |x: f64, y: f64, z: f64| turned(Point2::new(x, y), angle, Point2::new(0.3, -0.2)).at_height(z);
        let sites = [place(5.13, 6.31, 2.37), place(1.03, 2.09, 4.71), place(12.1, 4.07, 1.53)].map(Site::from);
        let grids = [
            Grid::new(id("s0"), Point2::new(-4.0, -1.0), Metres(0.73), (17, 22), 1.01).unwrap(),
            Grid::new(id("s1"), Point2::new(-3.0, 0.0), Metres(0.91), (12, 14), 3.79).unwrap(),
        ];
        let maps = s.maps_with(&sites, &grids, &config, &NoProgress).unwrap();
        let (mut square, mut worst, mut count, mut off) = (0.0f64, 0.0f64, 0.0, 0);
        for (site, of_site) in sites.iter().zip(&maps.gains) {
            for (grid, of_grid) in grids.iter().zip(of_site) {
                for row in 0..grid.rows() {
                    for column in 0..grid.columns() {
                        for (carrier, map) in of_grid.iter().enumerate().skip((row + column) % 3).take(1) {
                            let paths = s.paths(site.at, grid.centre(row, column), carrier, &PathConfig::default());
                            let error = (f64::from(map.gain_db[row * grid.columns() + column]) - paths.gain.0).abs();
                            square += error * error;
                            worst = worst.max(error);
                            off += usize::from(error > 0.01);
                            count += 1.0;
                        }
                    }
                }
            }
        }
        println!(
            "turned {angle}: {:.5} dB RMS, worst {worst:.4} dB, {off} of {count} cells by more than 0.01 dB",
            (square / count).sqrt()
        );
        assert!((square / count).sqrt() < 0.01 && off <= 2, "{worst} {off}");
    }
}

/// The same bits for any number of threads, and nothing that is left out beyond what was allowed.
#[test]
fn maps_do_not_depend_on_threads() {
    let home = house();
    let s = Scene::new(&home, &carriers()).unwrap();
    let sites = [Point3::new(5.13, 6.31, 2.37), Point3::new(f64::NAN, 0.0, 0.0)].map(Site::from);
    let grid = Grid::new(id("s0"), Point2::new(-1.0, -1.0), Metres(0.5), (20, 24), 1.01).unwrap();
    let config = MapConfig { paths: PathConfig { reflections: 2, ..PathConfig::default() }, ..MapConfig::default() };
    let bits = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
        let maps = pool.install(|| s.maps_with(&sites, std::slice::from_ref(&grid), &config, &NoProgress).unwrap());
        assert!(maps.left_out.0 <= 10.0 * 1.005f64.log10() + 1e-4, "{}", maps.left_out);
        assert!(maps.gains[1][0][2].gain_db.iter().all(|&g| g == f32::NEG_INFINITY));
        maps.gains.into_iter().flatten().flatten().flat_map(|m| m.gain_db).map(f32::to_bits).collect::<Vec<_>>()
    };
    let one = bits(1);
    assert!(one == bits(2) && one == bits(5));
}

/// A scene after an edit has the bits of one made anew.
#[test]
fn a_scene_after_an_edit_is_that_of_the_edited_home() {
    let before = Scene::new(&house(), &carriers()).unwrap();
    let mut home = house();
    home.assemblies[1].layers[0].thickness = 0.025;
    home.panels[4].cuts[0].assembly = Some(2);
    home.panels.remove(6);
    let (anew, after) = (Scene::new(&home, &carriers()).unwrap(), before.after_edit(&home).unwrap());
    let (from, to) = (Point3::new(5.13, 6.31, 2.37), Point3::new(2.04, 1.17, 0.93));
    let config = PathConfig { reflections: 2, diffraction: true };
    assert_eq!(anew.paths(from, to, 2, &config), after.paths(from, to, 2, &config));
    assert_ne!(before.paths(from, to, 2, &config), after.paths(from, to, 2, &config));
    home.assemblies[1].layers[0].thickness = -1.0;
    assert!(matches!(before.after_edit(&home), Err(propagation::PropagationError::Geometry { .. })));
}

/// What is left out changes no cell by more than the bound says.
#[test]
fn what_is_left_out_is_bounded() {
    let (home, scene) = sheet_scene(include_str!("data/S2.json"));
    let s = Scene::with_tolerance(&home, &[single(5.25)], Tolerance::EXACT).unwrap();
    let sites: Vec<Site> = scene["tx"].as_array().unwrap().iter().map(|v| point(v).into()).collect();
    let grid = Grid::new(id("s"), Point2::new(0.0, 0.0), Metres(0.25), (36, 48), 1.0).unwrap();
    let with = |neglect: f64| {
        let config = MapConfig { neglect, ..MapConfig::default() };
        s.maps_with(&sites, std::slice::from_ref(&grid), &config, &NoProgress).unwrap()
    };
    let all = with(0.0);
    assert_eq!(all.left_out.0, 0.0);
    for neglect in [0.005, 0.05, 0.3] {
        let some = with(neglect);
        let (mut worst, mut square, mut count) = (0.0f64, 0.0, 0.0);
        for (a, b) in all.gains.iter().flatten().flatten().zip(some.gains.iter().flatten().flatten()) {
            for (a, b) in a.gain_db.iter().zip(&b.gain_db) {
                let less = f64::from(a - b);
                assert!(less > -1e-3, "{less}");
                worst = worst.max(less);
                square += less * less;
                count += 1.0;
            }
        }
        println!(
            "neglect {neglect}: {:.4} dB RMS, worst {worst:.4} dB, proven {:.4} dB",
            (square / count).sqrt(),
            some.left_out.0
        );
        assert!(
            some.left_out.0 > 0.0
                && worst <= some.left_out.0 + 1e-3
                && some.left_out.0 <= 10.0 * (1.0 + neglect).log10() * 1.3
        );
    }
}

#[test]
fn maps_can_be_cancelled_and_refused() {
    struct Stop;
    impl Progress for Stop {
        fn step(&self, _: &str, _: u64, _: u64) -> Result<(), Cancelled> {
            Err(Cancelled)
        }
    }
    let s = Scene::new(&house(), &carriers()).unwrap();
    let site = [Point3::new(1.0, 1.0, 1.0).into()];
    let grid = Grid::new(id("s0"), Point2::new(0.0, 0.0), Metres(0.5), (10, 10), 1.0).unwrap();
    let cancelled = s.maps_with(&site, &[grid], &MapConfig::default(), &Stop);
    assert!(matches!(cancelled, Err(MapError::Cancelled(_))));
    // Allowed as a grid of cells, but not with this many points in each; and none at all.
    let grid = Grid::new(id("s0"), Point2::new(0.0, 0.0), Metres(0.01), (2000, 2000), 1.0).unwrap();
    for points in [2, usize::MAX, 0] {
        let refused =
            s.maps_with(&site, std::slice::from_ref(&grid), &MapConfig { points, ..MapConfig::default() }, &NoProgress);
        assert!(matches!(refused, Err(MapError::Grid(PropagationError::Grid { .. }))), "{points}");
    }
}

/// Legs join up, crossings and reflections add up to the gain, and reflections are where they should be.
#[test]
fn paths_are_explained() {
    let s = Scene::new(&house(), &carriers()).unwrap();
    let (from, to) = (Point3::new(5.13, 6.31, 2.37), Point3::new(2.04, 1.17, 0.93));
    let all = s.paths(from, to, 1, &PathConfig::default());
    let direct = s.path(from, to, 1);
    assert!(all.paths.len() > 50);
    assert!(all.paths.windows(2).all(|p| p[0].gain >= p[1].gain));
    for path in &all.paths {
        assert_eq!((path.legs[0].from, path.legs[path.legs.len() - 1].to), (from, to));
        assert!(path.legs.windows(2).all(|l| l[0].to == l[1].from && l[0].end.is_some()));
        let length: f64 = path.legs.iter().map(|l| l.from.distance(l.to)).sum();
        assert!((length - path.length.0).abs() < 1e-9);
        assert!((path.delay - length / propagation::slab::SPEED_OF_LIGHT).abs() < 1e-18);
        let mut loss = path.free_space.0;
        for leg in &path.legs {
            // What is crossed lies on the way, in the order in which it is met.
            let mut gone = 0.0;
            for crossing in &leg.crossings {
                let (before, after) = (leg.from.distance(crossing.at), crossing.at.distance(leg.to));
                assert!((before + after - leg.from.distance(leg.to)).abs() < 1e-9 && before >= gone - 1e-9);
                gone = before;
            }
            loss += leg.crossings.iter().map(|c| c.loss.0).sum::<f64>();
            match &leg.end {
                Some(Interaction::Reflection(mirror)) => loss += mirror.loss.0,
                _ => assert_eq!(leg.to, to),
            }
        }
        assert!((path.gain.0 + loss).abs() < 1e-4, "{path:?}");
        if path.num_reflections() == 0 {
            assert!((path.gain.0 - direct.gain.0).abs() < 1e-9);
            assert_eq!(path.legs[0].crossings, direct.crossings);
        }
    }
}

/// One mirror by hand: a metal face is a perfect image, a vertical field keeps its sign under a floor and turns it at a wall.
#[test]
fn one_mirror_by_hand() {
    let block = |outline, z0, z1| Block { object: id("m"), outline, z0, z1, electrical: Electrical::Metal };
    let carrier = [single(5.25)];
    let config = PathConfig { reflections: 1, ..PathConfig::default() };
    let (from, to) = (Point3::new(0.0, 0.0, 1.0), Point3::new(3.0, 0.0, 1.4));
    let wall = Resolved { blocks: vec![block(rectangle(-50.0, 2.0, 50.0, 3.0), -50.0, 50.0)], ..Resolved::default() };
    let floor = Resolved { blocks: vec![block(rectangle(-50.0, -50.0, 50.0, 50.0), -2.0, 0.0)], ..Resolved::default() };
    for (home, sign, square) in [(wall, -1.0, 3.0f64 * 3.0 + 16.0 + 0.16), (floor, 1.0, 9.0 + 2.4 * 2.4)] {
        let s = Scene::with_tolerance(&home, &carrier, Tolerance::EXACT).unwrap();
        let got = s.paths(from, to, 0, &config);
        assert_eq!(got.paths.len(), 2);
        let lambda = carrier[0].wavelength();
        let ray = |d: f64| {
            num_complex::Complex64::from_polar(
                lambda / (4.0 * std::f64::consts::PI * d),
                -std::f64::consts::TAU * d / lambda,
            )
        };
        let mirrored = ray(square.sqrt());
        assert!((got.paths[1].field[0] - mirrored * sign).norm() < 1e-4 * mirrored.norm(), "{:?}", got.paths[1].field);
        let sum = ray((9.16f64).sqrt()) + mirrored * sign;
        assert!((got.gain_coherent.0 - 20.0 * sum.norm().log10()).abs() < 0.01);
    }
}

/// A face under half a metre is no mirror; a larger one is, on its outside only.
#[test]
fn small_objects_do_not_reflect() {
    let count = |width: f64, height: f64| {
        let outline = rectangle(-0.5 * width, 1.0, 0.5 * width, 1.0 + width);
        let block = Block {
            object: id("m"),
            outline,
            z0: 1.2 - 0.5 * height,
            z1: 1.2 + 0.5 * height,
            electrical: Electrical::Metal,
        };
        let home = Resolved { blocks: vec![block], ..Resolved::default() };
        let s = Scene::new(&home, &[single(5.25)]).unwrap();
        s.paths(Point3::new(-1.0, 0.0, 1.2), Point3::new(1.0, 0.0, 1.2), 0, &PathConfig::default()).paths.len()
    };
    assert_eq!((count(0.6, 0.6), count(0.4, 0.6), count(0.6, 0.4)), (2, 1, 1));
}

/// Reflected and passed power never exceed one, of averaged and framed walls too, and sum to one without losses.
#[test]
fn walls_keep_power() {
    let lossless = |name: &str, mm: f64| {
        let mut layer = layer(name, mm);
        if let Electrical::Dielectric { c, .. } = &mut layer.material.electrical {
            *c = 0.0;
        }
        layer
    };
    let build_ups = [
        vec![layer("brick", 102.5), layer("air", 50.0), layer("concrete", 100.0)],
        vec![layer("plasterboard", 12.5), framed("wood", 90.0, 406.0, 38.0), layer("plasterboard", 12.5)],
        vec![layer("plasterboard", 16.0), framed("metal", 92.0, 406.0, 41.0), layer("plasterboard", 16.0)],
        vec![layer("glass", 4.0), layer("air", 16.0), layer("glass", 4.0)],
        vec![lossless("glass", 4.0), layer("air", 16.0), lossless("glass", 6.0)],
    ];
    for (index, layers) in build_ups.into_iter().enumerate() {
        for carrier in carriers() {
            let wall = Wall::new(&assembly("w", layers.clone()), carrier, Tolerance::default()).unwrap();
            for degrees in (0..90).step_by(3) {
                let cos = f64::from(degrees).to_radians().cos();
                let [t, first, last] =
                    [Answer::Through, Answer::BackFromFirst, Answer::BackFromLast].map(|a| wall.answer(a, cos));
                for (t, r) in [(t.te, first.te), (t.tm, first.tm), (t.te, last.te), (t.tm, last.tm)] {
                    assert!(t + r <= 1.0 + 1e-9 && r >= 0.0, "{index} {degrees}: {t} {r}");
                    assert!(index != 4 || (t + r - 1.0).abs() < 1e-9, "{degrees}: {t} {r}");
                }
                // In step no farther than the powers allow.
                for r in [t, first, last] {
                    assert!(r.cross.norm_sqr() <= r.te * r.tm * (1.0 + 1e-9) + 1e-15);
                }
                if degrees == 0 {
                    assert!((first.te - first.tm).abs() < 1e-9 && (first.cross.re - first.te).abs() < 1e-9);
                }
            }
        }
    }
}

/// Ends at each other, on a wall, in a wall, in an object, far outside; walls on each other; a home without anything.
#[test]
fn odd_places_are_answered() {
    let mut home = house();
    home.panels.push(home.panels[4].clone());
    home.panels.push(panel("short", [4.0, 8.0], [4.0, 8.0 + 1e-12], (0.0, 2.5), 1));
    let odd = [
        Point3::new(5.0, 5.0, 1.0),
        Point3::new(4.0, 3.0, 1.0),
        Point3::new(4.0, 3.5, 1.0),
        Point3::new(4.03, 3.0, 1.0),
        Point3::new(9.5, 0.6, 0.5),
        Point3::new(1.8, 6.8, 0.5),
        Point3::new(10.0, 8.0, 2.65),
        Point3::new(5.0, 5.0, -0.1),
        Point3::new(1e6, -1e6, 1e6),
        Point3::new(1e300, 0.0, 0.0),
    ];
    for home in [home, Resolved::default()] {
        let s = Scene::new(&home, &carriers()).unwrap();
        for from in odd {
            for to in odd {
                let got = s.paths(from, to, 1, &PathConfig { reflections: 2, ..PathConfig::default() });
                assert!(!got.gain.0.is_nan() && got.gain.0 < 0.0, "{from:?} {to:?} {}", got.gain);
                assert!(got.paths.iter().all(|p| p.gain.0.is_finite()));
            }
        }
        let grid = Grid::new(id("s0"), Point2::new(-0.25, -0.25), Metres(0.5), (18, 22), 1.0).unwrap();
        let maps = s.maps_with(&odd.map(Site::from), &[grid], &MapConfig::default(), &NoProgress).unwrap();
        for map in maps.gains.iter().flatten().flatten() {
            assert!(map.gain_db.iter().all(|g| !g.is_nan() && *g < 0.0), "{:?}", map.gain_db);
        }
    }
    let s = Scene::new(&house(), &carriers()).unwrap();
    assert_eq!(s.paths(odd[0], Point3::new(f64::NAN, 0.0, 0.0), 1, &PathConfig::default()).gain.0, f64::NEG_INFINITY);
    assert_eq!(s.paths(odd[0], odd[1], 3, &PathConfig::default()).gain.0, f64::NEG_INFINITY);
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, failure_persistence: None, ..ProptestConfig::default() })]

    /// Exchanging the ends keeps every path and the vertical gains; moving and turning the home keeps everything.
    #[test]
    fn reciprocity_and_invariance(
        a in (-2.0f64..12.0, -2.0f64..10.0, 0.2f64..5.0),
        b in (-2.0f64..12.0, -2.0f64..10.0, 0.2f64..5.0),
        angle in -3.0f64..3.0,
        shift in (-100.0f64..100.0, -100.0f64..100.0),
    ) {
        let home = house();
        let carriers = [single(5.25)];
        let config = PathConfig { reflections: 2, ..PathConfig::default() };
        let s = Scene::with_tolerance(&home, &carriers, Tolerance::EXACT).unwrap();
        let off = |p: (f64, f64, f64)| Point3::new(p.0 + 0.001_37, p.1 + 0.002_13, p.2 + 0.000_71);
        let (a, b) = (off(a), off(b));
        let (forth, back) = (s.paths(a, b, 0, &config), s.paths(b, a, 0, &config));
        prop_assert_eq!(forth.paths.len(), back.paths.len());
        prop_assert!((forth.gain_vertical.0 - back.gain_vertical.0).abs() < 1e-3);
        prop_assert!((forth.gain_coherent.0 - back.gain_coherent.0).abs() < 0.02, "{} {}", forth.gain_coherent, back.gain_coherent);
        let shift = Point2::new(shift.0, shift.1);
        let s = Scene::with_tolerance(&moved(&home, angle, shift), &carriers, Tolerance::EXACT).unwrap();
        let turn = |p: Point3| turned(p.plan(), angle, shift).at_height(p.z);
        let there = s.paths(turn(a), turn(b), 0, &config);
        prop_assert_eq!(forth.paths.len(), there.paths.len());
        prop_assert!((forth.gain.0 - there.gain.0).abs() < 2e-3);
        prop_assert!((forth.gain_coherent.0 - there.gain_coherent.0).abs() < 0.02);
    }
}
