//! Level edges (rims of floors, lintels, tops of walls) against upright ones, the exact half plane and the knife edge of
//! ITU-R P.526.

#![expect(clippy::print_stdout, reason = "tests show what they measured")]

mod common;

use building::{Deck, Resolved};
use common::half_plane::sommerfeld;
use common::{Seeded, assembly, cut, deck, framed, id, layer, panel, rectangle};
use findings::NoProgress;
use num_complex::Complex64;
use propagation::antenna::{Antenna, Mounted, Site};
use propagation::{Carrier, Grid, Interaction, Leg, MapConfig, PathConfig, RayPath, Scene, Tolerance};
use std::f64::consts::TAU;
use units::{Hertz, Metres, Point2, Point3};

const ONCE: PathConfig = PathConfig { reflections: 1, diffraction: true };

fn scene(home: &Resolved, ghz: f64) -> Scene {
    Scene::with_tolerance(home, &[Carrier::new(Hertz::from_ghz(ghz), Hertz(0.0))], Tolerance::EXACT).unwrap()
}

/// A dipole along x, y or z.
fn dipole(at: Point3, axis: usize) -> Site {
    let (azimuth_deg, downtilt_deg) = [(0.0, 90.0), (90.0, 90.0), (0.0, 0.0)][axis];
    Site { at, mounted: Mounted { antenna: Antenna::HalfWaveDipole, azimuth_deg, downtilt_deg } }
}

/// A wall with a free upright end on the z axis, and the same turned about the x axis into a floor with a rim on the y axis.
fn turned(layers: Vec<building::ResolvedLayer>) -> [Resolved; 2] {
    let assemblies = vec![assembly("w", layers)];
    let wall = panel("w", [0.0, 0.0], [40.0, 0.0], (-40.0, 40.0), 0);
    let floor = deck("f", rectangle(0.0, -40.0, 40.0, 40.0), 0.0, 0);
    let upright = Resolved { assemblies: assemblies.clone(), panels: vec![wall], ..Resolved::default() };
    [upright, Resolved { assemblies, decks: vec![floor], ..Resolved::default() }]
}

fn turn(p: Point3) -> Point3 {
    Point3::new(p.x, -p.z, p.y)
}

fn edge_of(path: &RayPath) -> Option<Point3> {
    path.legs.iter().find(|l| matches!(l.end, Some(Interaction::Diffraction { .. }))).map(|l| l.to)
}

/// Turned with all that is in it, a scene keeps its gains: upright edges become level ones.
#[test]
fn turned_scenes_are_alike() {
    let mut random = Seeded(5);
    let (mut worst, mut count) = (0.0f64, 0);
    for layers in [
        vec![layer("metal", 1.0)],
        vec![layer("plasterboard", 25.0)],
        vec![layer("brick", 100.0), layer("air", 50.0), layer("glass", 6.0)],
    ] {
        let [upright, level] = turned(layers).map(|home| scene(&home, 5.25));
        for _ in 0..30 {
            let mut place = || [random.between(-3.0, 3.0), random.between(-3.0, 3.0), random.between(-3.0, 3.0)];
            let [a, b] = [place(), place()].map(|p| Point3::new(p[0], p[1], p[2]));
            for (axis, after) in [(0, 0), (1, 2), (2, 1)] {
                let one = upright.paths_between(&dipole(a, axis), &b.into(), 0, &ONCE);
                let other = level.paths_between(&dipole(turn(a), after), &turn(b).into(), 0, &ONCE);
                // The free end or rim on the axis; the others are 40 m away, and a wall's foot is none.
                let power = |paths: &[RayPath], of: &dyn Fn(Option<Point3>) -> bool| -> (f64, usize) {
                    let found: Vec<f64> =
                        paths.iter().filter(|p| of(edge_of(p))).map(|p| 10f64.powf(p.gain.0 / 10.0)).collect();
                    (found.iter().sum(), found.len())
                };
                let near = |e: Point3| e.x.abs() < 1e-6;
                for of in [&|e: Option<Point3>| e.is_none_or(near), &|e: Option<Point3>| e.is_some_and(near)]
                    as [&dyn Fn(Option<Point3>) -> bool; 2]
                {
                    let ((one, m), (other, n)) = (power(&one.paths, of), power(&other.paths, of));
                    assert_eq!(m, n);
                    // Where a null of the antenna leaves less, single precision shows.
                    if one > 1e-15 {
                        worst = worst.max((10.0 * (one / other).log10()).abs());
                    }
                }
                count += 1;
            }
        }
    }
    println!("upright against level, {count} gains, total and by way of edges: worst {worst:.1e} dB");
    assert!(worst < 1e-3, "{worst}");
}

/// The field behind, before and above a metal floor's rim, far from the transmitter, is Sommerfeld's; both polarisations.
#[test]
fn metal_rim_is_exact() {
    let [_, level] = turned(vec![layer("metal", 1.0)]).map(|home| scene(&home, 5.25));
    let k = TAU / Carrier::new(Hertz::from_ghz(5.25), Hertz(0.0)).wavelength();
    // So far that the wave is plane to 1e-4 of a radian.
    let far = 1e7;
    let (mut worst, mut count) = (0.0f64, 0);
    for from in [0.3f64, 1.0, 1.7, 2.6] {
        for rho in [0.3, 0.7, 3.0] {
            for step in 1..40 {
                let to = TAU * f64::from(step) / 40.0 + 0.01;
                let at = |angle: f64, r: f64| Point3::new(r * angle.cos(), 0.0, r * angle.sin());
                // The electric field along the rim (soft) of a level dipole, the magnetic one (hard) of one that stands.
                for (axis, soft) in [(1, true), (2, false)] {
                    let (site, receiver) = (dipole(at(from, far), axis), at(to, rho));
                    let along = |e: [Complex64; 3], k: [f64; 3]| if soft { e[1] } else { k[2] * e[0] - k[0] * e[2] };
                    let got = level.paths_between(&site, &receiver.into(), 0, &ONCE);
                    let near = got.paths.iter().filter(|p| edge_of(p).is_none_or(|e| e.x.abs() < 1e-6));
                    let field: Complex64 = near
                        .map(|p| {
                            let last = p.legs.last().unwrap();
                            let k = unit(last.from, last.to);
                            along(in_space(k, p.field), k)
                        })
                        .sum();
                    // What arrives at the rim without it.
                    let k_in = [-from.cos(), 0.0, -from.sin()];
                    let free = Complex64::from_polar(1.0 / (2.0 * k * far), -k * far);
                    let start = site.mounted.amplitude(k_in).map(|a| free * a);
                    let exact = sommerfeld(k, rho, to, from, soft);
                    worst = worst.max((field / along(in_space(k_in, start), k_in) - exact).norm());
                    count += 1;
                }
            }
        }
    }
    println!("metal rim, {count} fields: worst difference {worst:.1e} of the incident field");
    assert!(worst < 5e-4, "{worst}");
}

/// The top of a metal wall between two ends loses what the knife edge of P.526 does: the mean of the fields along and
/// across the edge has no reflected part.
#[test]
fn top_of_a_wall_is_a_knife_edge() {
    let home = Resolved {
        assemblies: vec![assembly("w", vec![layer("metal", 1.0)])],
        panels: vec![panel("w", [0.0, -500.0], [0.0, 500.0], (-500.0, 0.0), 0)],
        ..Resolved::default()
    };
    let frequency = 299_792_458.0 / 0.05;
    let [walled, open] = [home, Resolved::default()].map(|home| scene(&home, frequency / 1e9));
    let mut rows = csv::Reader::from_reader(include_str!("data/p526_knife_edge.csv").as_bytes());
    let d = 200.0f64;
    let (mut worst, mut count) = (0.0f64, 0);
    for row in rows.records() {
        let row = row.unwrap();
        let (nu, exact) = (row[0].parse::<f64>().unwrap(), row[2].parse::<f64>().unwrap());
        // Not exactly on the edge of the shadow, where it is chance whether the direct ray passes.
        let h = nu / (2.0f64 / 0.05 * 2.0 / d).sqrt() - 1e-9;
        let (from, to) = (Point3::new(-d, 0.0, -h), Point3::new(d, 0.0, -h));
        let config = PathConfig { reflections: 0, diffraction: true };
        // Along the edge, of a level dipole, seen broadside; across it, of an antenna with no pattern.
        let fields = [(dipole(from, 1), 1), (from.into(), 0)].map(|(site, component)| {
            let sum = |scene: &Scene| -> Complex64 {
                let got = scene.paths_between(&site, &to.into(), 0, &config);
                // Without what the metal is said to let through.
                let near = got.paths.iter().filter(|p| edge_of(p).is_none_or(|e| e.z == 0.0));
                let near = near.filter(|p| p.legs.iter().all(|l| l.crossings.is_empty()));
                near.map(|p| p.field[component]).sum()
            };
            sum(&walled) / sum(&open)
        });
        let loss = -20.0 * (0.5 * (fields[0] + fields[1]).norm()).log10();
        worst = worst.max((loss - exact).abs());
        count += 1;
    }
    println!("top of a wall against the knife edge of P.526, {count} rows: worst {worst:.4} dB");
    assert!(count > 10 && worst < 0.02, "{worst}");
}

/// Both components of the field are continuous where the direct path and a reflection end, met askew.
#[test]
fn continuous_askew() {
    for layers in [vec![layer("metal", 1.0)], vec![layer("plasterboard", 25.0)], vec![layer("brick", 100.0)]] {
        for (home, is_level) in turned(layers).into_iter().zip([false, true]) {
            let s = scene(&home, 5.25);
            let seen = |p: Point3| if is_level { turn(p) } else { p };
            let from = seen(Point3::new(1.0, 3.0, -2.5));
            for (name, y) in [("shadow", -2.25), ("reflection", 2.25)] {
                let at = |off: f64| {
                    let got = s.paths(from, seen(Point3::new(-0.75 + off, y, 1.9)), 0, &ONCE);
                    let fields = got.paths.iter().map(|p| {
                        let last = p.legs.last().unwrap();
                        in_space(unit(last.from, last.to), p.field)
                    });
                    let sum = fields.fold([Complex64::ZERO; 3], |a, b| std::array::from_fn(|i| a[i] + b[i]));
                    (sum, got.paths.len())
                };
                let ((before, m), (after, n)) = (at(-1e-7), at(1e-7));
                let norm = |v: [Complex64; 3]| v.iter().map(Complex64::norm_sqr).sum::<f64>().sqrt();
                let step = norm(std::array::from_fn(|i| before[i] - after[i])) / norm(before);
                println!("{name}, level {is_level}: step {step:.1e} of the field, {m} and {n} paths");
                assert!(step < 1e-4, "{name}: {step}");
            }
        }
    }
}

fn unit(from: Point3, to: Point3) -> [f64; 3] {
    let d = [to.x - from.x, to.y - from.y, to.z - from.z];
    let length = d.iter().map(|x| x * x).sum::<f64>().sqrt();
    d.map(|x| x / length)
}

/// A field of theta and phi in space, of a ray in some direction.
fn in_space(k: [f64; 3], [along_theta, along_phi]: [Complex64; 2]) -> [Complex64; 3] {
    let plan = k[0].hypot(k[1]);
    let theta = [k[2] * k[0] / plan, k[2] * k[1] / plan, -plan];
    let phi = [-k[1] / plan, k[0] / plan, 0.0];
    std::array::from_fn(|i| along_theta * theta[i] + along_phi * phi[i])
}

fn bars() -> building::ResolvedLayer {
    building::ResolvedLayer { material: common::material("concrete"), ..framed("metal", 10.0, 150.0, 10.0) }
}

/// Two storeys under one roof with a stairwell, doors, a window and a low wall; turned about the vertical if asked.
fn house(degrees: f64) -> Resolved {
    let (sin, cos) = degrees.to_radians().sin_cos();
    let point = |x: f64, y: f64| [x * cos - y * sin, x * sin + y * cos];
    let ring = |x0: f64, y0: f64, x1: f64, y1: f64| -> Vec<Point2> {
        [(x0, y0), (x1, y0), (x1, y1), (x0, y1)].map(|(x, y)| point(x, y).into()).to_vec()
    };
    let mut home = Resolved {
        assemblies: vec![
            assembly("brick", vec![layer("brick", 200.0)]),
            assembly("partition", vec![layer("plasterboard", 25.0)]),
            // Reinforced: a mat of 10 mm bars every 150 mm near each face.
            assembly(
                "concrete",
                vec![layer("concrete", 40.0), bars(), layer("concrete", 100.0), bars(), layer("concrete", 40.0)],
            ),
            assembly("window", vec![layer("glass", 6.0)]),
        ],
        ..Resolved::default()
    };
    for (storey, z0) in [(0, 0.0), (1, 2.7)] {
        let heights = (z0, z0 + 2.5);
        for (i, (a, b)) in [((0., 0.), (10., 0.)), ((10., 0.), (10., 8.)), ((10., 8.), (0., 8.)), ((0., 8.), (0., 0.))]
            .into_iter()
            .enumerate()
        {
            let mut wall = panel(&format!("outer-{storey}-{i}"), point(a.0, a.1), point(b.0, b.1), heights, 0);
            wall.thickness = 0.2;
            wall.cuts.push(cut(&format!("window-{storey}-{i}"), (3.0, 4.5), (z0 + 0.9, z0 + 2.1), Some(3)));
            home.panels.push(wall);
        }
        let mut wall = panel(&format!("inner-{storey}"), point(0.0, 4.0), point(10.0, 4.0), heights, 1);
        wall.cuts.push(cut(&format!("door-{storey}"), (1.0, 1.9), (z0, z0 + 2.05), None));
        home.panels.push(wall);
        home.panels.push(panel(&format!("low-{storey}"), point(7.0, 0.0), point(7.0, 3.0), (z0, z0 + 1.2), 1));
    }
    let slab = |name: &str, z_top: f64, holes: Vec<Vec<Point2>>| Deck {
        holes,
        z_top,
        z_bottom: z_top - 0.2,
        ..deck(name, ring(-0.1, -0.1, 10.1, 8.1), 0.0, 2)
    };
    // Clockwise; one side is along the inner wall.
    let mut void = ring(3.0, 4.0, 4.2, 7.0);
    void.reverse();
    home.decks = vec![slab("ground", 0.0, Vec::new()), slab("upper", 2.7, vec![void]), slab("roof", 5.4, Vec::new())];
    home
}

/// Turned about the vertical and with the ends exchanged a house with level edges has the same gains.
#[test]
fn turned_and_exchanged() {
    let [plain, askew] = [0.0, 37.0].map(|degrees| scene(&house(degrees), 2.437));
    let (sin, cos) = 37f64.to_radians().sin_cos();
    let turn = |p: Point3| Point3::new(p.x * cos - p.y * sin, p.x * sin + p.y * cos, p.z);
    let mut random = Seeded(3);
    let (mut by_turning, mut by_exchange) = (0.0f64, 0.0f64);
    for _ in 0..60 {
        let mut place = || Point3::new(random.between(0.2, 9.8), random.between(0.2, 7.8), random.between(0.2, 5.0));
        let (a, b) = (place(), place());
        let config = PathConfig { reflections: 0, diffraction: true };
        let forth = plain.paths(a, b, 0, &config);
        let turned = askew.paths(turn(a), turn(b), 0, &config);
        let back = plain.paths(b, a, 0, &config);
        assert_eq!(forth.paths.len(), turned.paths.len());
        assert_eq!(forth.paths.len(), back.paths.len());
        by_turning = by_turning.max((forth.gain.0 - turned.gain.0).abs());
        by_exchange = by_exchange.max((forth.gain_vertical.0 - back.gain_vertical.0).abs());
    }
    println!("worst after turning {by_turning:.5} dB, after exchange of the ends {by_exchange:.5} dB");
    assert!(by_turning < 2e-3 && by_exchange < 2e-3);
}

/// Maps have what points have, on both storeys of a house with a stairwell; and what the stairwell's rim brings.
#[test]
fn stairwell() {
    let carriers = [2.437, 5.25].map(|ghz| Carrier::new(Hertz::from_ghz(ghz), Hertz(0.0)));
    let home = house(0.0);
    let s = Scene::with_tolerance(&home, &carriers, Tolerance::EXACT).unwrap();
    let site = Point3::new(3.6, 5.5, 1.0);
    let grids = [1.0, 3.7].map(|z| Grid::new(id("s"), Point2::new(0.07, 0.05), Metres(0.6), (13, 16), z).unwrap());
    let map = |paths: PathConfig| {
        let config = MapConfig { paths, points: 1, neglect: 0.0 };
        s.maps_with(&[site.into()], &grids, &config, &NoProgress).unwrap().gains.remove(0)
    };
    let paths = PathConfig { reflections: 0, diffraction: true };
    let (with, without) = (map(paths), map(PathConfig { diffraction: false, ..paths }));
    let mut worst = 0.0f64;
    for (grid, maps) in grids.iter().zip(&with) {
        for (carrier, map) in maps.iter().enumerate() {
            for (index, gain) in map.gain_db.iter().enumerate() {
                let at = grid.centre(index / grid.columns(), index % grid.columns());
                worst = worst.max((s.paths(site, at, carrier, &paths).gain.0 - f64::from(*gain)).abs());
            }
        }
    }
    println!("maps of two storeys against paths: worst {worst:.5} dB");
    assert!(worst < 1e-3);
    // On the upper storey, where the slab hides the access point: what the void's rim brings, and what all edges do.
    let is_of_rim = |p: &RayPath| {
        let of = |l: &Leg| matches!(&l.end, Some(Interaction::Diffraction { element, .. }) if *element == id("upper"));
        p.legs.iter().any(of)
    };
    let power = |gain: f64| 10f64.powf(gain / 10.0);
    for (carrier, name) in ["2.437", "5.25"].iter().enumerate() {
        let (mut by_rim, mut by_all) = (Vec::new(), Vec::new());
        for (index, (with, without)) in with[1][carrier].gain_db.iter().zip(&without[1][carrier].gain_db).enumerate() {
            let at = grids[1].centre(index / grids[1].columns(), index % grids[1].columns());
            if s.path(site, at, carrier).crossings.iter().any(|c| c.element == id("upper")) {
                let got = s.paths(site, at, carrier, &paths);
                let rim: f64 = got.paths.iter().filter(|p| is_of_rim(p)).map(|p| power(p.gain.0)).sum();
                by_rim.push(10.0 * (1.0 + rim / power(f64::from(*without))).log10());
                by_all.push(f64::from(with - without));
            }
        }
        for (what, added) in [("the void's rim", &mut by_rim), ("all edges", &mut by_all)] {
            added.sort_by(f64::total_cmp);
            let at = |share: f64| added[(share * (added.len() - 1) as f64) as usize];
            println!(
                "{name} GHz: {what} {:.1} dB in the median (quartiles {:.1} and {:.1}, most {:.1}) at {} cells behind the slab",
                at(0.5),
                at(0.25),
                at(0.75),
                at(1.0),
                added.len()
            );
            assert!(at(1.0) > 1.0);
        }
    }
    // The rim itself: named after its slab, on the void's sides that no wall stands on.
    let got = s.paths(site, Point3::new(7.5, 6.0, 3.7), 1, &paths);
    let rim = got.paths.iter().find(|p| is_of_rim(p));
    let at = edge_of(rim.unwrap()).unwrap();
    assert!((at.z - 2.6).abs() < 1e-9 && (at.x - 4.2).abs() < 1e-9 && at.y > 4.1 && at.y < 7.0, "{at:?}");
}
