//! Direct paths against the exact image method on sheet geometry, and the rules for ties, decks, openings and blocks.

#![expect(clippy::print_stdout, reason = "tests show what they measured")]

mod common;

use building::{Block, Electrical, Resolved};
use common::{assembly, cut, deck, id, layer, panel, rectangle, sheet_scene};
use findings::NoProgress;
use propagation::wall::Wall;
use propagation::{Carrier, Grid, MIN_DISTANCE, PropagationError, Scene, Tolerance, free_space_loss};
use proptest::prelude::*;
use units::{Hertz, Metres, Point2, Point3};

fn single(ghz: f64) -> Carrier {
    Carrier::new(Hertz::from_ghz(ghz), Hertz(0.0))
}

fn point(v: &serde_json::Value) -> Point3 {
    let n = |i: usize| v[i].as_f64().unwrap();
    Point3::new(n(0), n(1), n(2))
}

/// The exact image method's direct path, three frequencies, vertical and both polarisations, within 0.05 dB RMS.
#[test]
fn image_method_direct_path() {
    let files = [
        (include_str!("data/S1.json"), include_str!("data/exact_S1.json")),
        (include_str!("data/S2.json"), include_str!("data/exact_S2.json")),
        (include_str!("data/S2d.json"), include_str!("data/exact_S2d.json")),
    ];
    for (scene, exact) in files {
        let (home, _) = sheet_scene(scene);
        let exact: serde_json::Value = serde_json::from_str(exact).unwrap();
        for result in exact["results"].as_array().unwrap() {
            let carrier = single(result["f_ghz"].as_f64().unwrap());
            let scene = Scene::with_tolerance(&home, &[carrier], Tolerance::EXACT).unwrap();
            let (mut vertical, mut both, mut worst, mut count) = (0.0f64, 0.0f64, 0.0f64, 0.0);
            for (i, rx) in exact["rx"].as_array().unwrap().iter().enumerate() {
                let path = scene.path(point(&result["tx"]), point(rx), 0);
                let value = |key: &str| result["direct"][key][i].as_f64().unwrap();
                let (v, b) = (path.gain_vertical.0 - value("incoherent_V_dB"), path.gain.0 - value("incoherent_VH_dB"));
                vertical += v * v;
                both += b * b;
                worst = worst.max(v.abs()).max(b.abs());
                count += 1.0;
            }
            let (vertical, both) = ((vertical / count).sqrt(), (both / count).sqrt());
            println!(
                "{} tx {} {} GHz: {vertical:.4} dB RMS vertical, {both:.4} both, worst {worst:.4}",
                exact["scene"], result["tx_index"], result["f_ghz"]
            );
            assert!(vertical < 0.05 && both < 0.05, "{vertical} {both}");
        }
    }
}

/// A wall along y at x = 0 from y = −5 to 5.
fn one_wall(layers: Vec<building::ResolvedLayer>) -> Resolved {
    Resolved {
        assemblies: vec![assembly("wall", layers)],
        panels: vec![panel("w", [0.0, -50.0], [0.0, 50.0], (0.0, 3.0), 0)],
        ..Resolved::default()
    }
}

fn carriers() -> [Carrier; 3] {
    [
        Carrier::new(Hertz::from_mhz(2437.0), Hertz::from_mhz(20.0)),
        Carrier::new(Hertz::from_mhz(5250.0), Hertz::from_mhz(80.0)),
        Carrier::new(Hertz::from_mhz(6505.0), Hertz::from_mhz(160.0)),
    ]
}

/// Tables against direct evaluation at angles between their entries, for five build-ups.
#[test]
fn table_error_is_bounded() {
    let build_ups: Vec<Vec<building::ResolvedLayer>> = vec![
        vec![layer("plasterboard", 16.0), common::framed("metal", 92.0, 406.0, 41.0), layer("plasterboard", 16.0)],
        vec![layer("brick", 102.5), layer("air", 100.0), layer("concrete", 100.0)],
        vec![layer("glass", 4.0), layer("air", 16.0), layer("glass", 4.0)],
        vec![layer("chipboard", 22.0), common::framed("wood", 286.0, 406.0, 45.0), layer("plasterboard", 16.0)],
        vec![layer("concrete", 300.0)],
    ];
    let mut random = common::Seeded(7);
    for tolerance in [Tolerance::default(), Tolerance::EXACT] {
        let mut worst: f64 = 0.0;
        for layers in &build_ups {
            let scene = Scene::with_tolerance(&one_wall(layers.clone()), &carriers(), tolerance).unwrap();
            for (idx, &carrier) in carriers().iter().enumerate() {
                let wall = Wall::new(&assembly("w", layers.clone()), carrier, tolerance).unwrap();
                for _ in 0..200 {
                    // In the horizontal plane the vertical field is TE.
                    let angle = random.between(-89.0f64, 89.0).to_radians();
                    let from = Point3::new(-0.4 * angle.cos(), -0.4 * angle.sin(), 1.0);
                    let to = Point3::new(0.4 * angle.cos(), 0.4 * angle.sin(), 1.0);
                    let path = scene.path(from, to, idx);
                    let got = path.gain.0 + path.free_space.0;
                    worst = worst.max((got - 10.0 * wall.at(angle.cos()).te.log10()).abs());
                }
            }
            assert!(scene.table_error().0 < 0.05, "{}", scene.table_error());
            assert!(worst < 0.05, "{worst}");
        }
        println!("{tolerance:?}: worst table error {worst:.4} dB");
    }
}

/// The losses of the crossings and free space make up the gain.
#[test]
fn crossings_add_up() {
    let (home, scene) = sheet_scene(include_str!("data/S2d.json"));
    let s = Scene::new(&home, &carriers()).unwrap();
    for tx in scene["tx"].as_array().unwrap() {
        for rx in scene["rx"].as_array().unwrap() {
            for c in 0..3 {
                let path = s.path(point(tx), point(rx), c);
                let losses: f64 = path.crossings.iter().map(|c| c.loss.0).sum();
                assert!((path.gain.0 + path.free_space.0 + losses).abs() < 1e-4, "{path:?}");
                assert!(path.crossings.iter().all(|c| (0.0..=90.0).contains(&c.angle_deg)));
            }
        }
    }
}

/// Four walls around the origin whose corners meet exactly, and a cross of two walls inside.
fn room() -> Resolved {
    let z = (0.0, 2.5);
    Resolved {
        assemblies: vec![assembly("brick", vec![layer("brick", 100.0)]), assembly("door", vec![layer("wood", 40.0)])],
        panels: vec![
            panel("s", [-2.0, -2.0], [2.0, -2.0], z, 0),
            panel("e", [2.0, 2.0], [2.0, -2.0], z, 0),
            panel("n", [2.0, 2.0], [-2.0, 2.0], z, 0),
            panel("w", [-2.0, 2.0], [-2.0, -2.0], z, 0),
        ],
        ..Resolved::default()
    }
}

fn scene(home: &Resolved) -> Scene {
    Scene::new(home, &carriers()).unwrap()
}

/// A ray through a corner crosses one wall going out, whichever way the walls are drawn, and both ways alike.
#[test]
fn a_corner_neither_slips_nor_doubles() {
    for flip in 0..16u32 {
        let mut home = room();
        for (i, p) in home.panels.iter_mut().enumerate() {
            if flip >> i & 1 == 1 {
                std::mem::swap(&mut p.a, &mut p.b);
            }
        }
        let s = scene(&home);
        for (x, y) in [(3.0, 3.0), (-3.0, 3.0), (3.0, -3.0), (-3.0, -3.0)] {
            let (inner, outer) = (Point3::new(0.0, 0.0, 1.0), Point3::new(x, y, 1.0));
            assert_eq!(s.path(inner, outer, 0).crossings.len(), 1, "{flip} {x} {y}");
            assert_eq!(s.path(outer, inner, 0).crossings.len(), 1, "{flip} {x} {y}");
            // Straight through the room, from corner to corner.
            let across = s.path(Point3::new(-x, -y, 1.0), outer, 0);
            assert_eq!(across.crossings.len(), 2, "{flip} {x} {y}");
        }
        // Past a corner outside, touching it: none or both, never one.
        let past = s.path(Point3::new(1.0, 3.0, 1.0), Point3::new(3.0, 1.0, 1.0), 0);
        assert!(past.crossings.len() != 1, "{flip}: {past:?}");
    }
}

/// Along a wall's centre line nothing of it is crossed; the walls at its ends are.
#[test]
fn along_a_wall() {
    let s = scene(&room());
    let along = s.path(Point3::new(-1.0, 2.0, 1.0), Point3::new(1.0, 2.0, 1.0), 0);
    assert!(along.crossings.is_empty(), "{along:?}");
}

/// Stacked walls that meet at a height are crossed once.
#[test]
fn stacked_walls_count_once() {
    let mut home = one_wall(vec![layer("brick", 100.0)]);
    home.panels.push(panel("upper", [0.0, -50.0], [0.0, 50.0], (3.0, 6.0), 0));
    let s = scene(&home);
    for z in [2.9, 3.0, 3.1] {
        let path = s.path(Point3::new(-1.0, 0.0, z), Point3::new(1.0, 0.0, z), 0);
        assert_eq!(path.crossings.len(), 1, "{z}");
    }
}

/// Openings: a gap costs nothing, a leaf what it is made of, the wall above it what the wall costs.
#[test]
fn openings() {
    let mut home = room();
    home.panels[1].cuts =
        vec![cut("gap", (0.5, 1.5), (0.0, 2.05), None), cut("door", (2.5, 3.5), (0.0, 2.05), Some(1))];
    let s = scene(&home);
    let through = |y: f64, z: f64| s.path(Point3::new(1.0, y, z), Point3::new(3.0, y, z), 1);
    // The panel runs from y = 2 downwards.
    assert!(through(1.0, 1.0).crossings.is_empty());
    let door = through(-1.0, 1.0);
    assert_eq!((door.crossings[0].element.as_str(), door.crossings[0].assembly.as_str()), ("door", "door"));
    let above = through(1.0, 2.2);
    assert_eq!(above.crossings[0].element.as_str(), "e");
    let wall = through(0.0, 1.0);
    assert!(wall.gain < door.gain && door.gain < through(1.0, 1.0).gain);
}

/// A deck costs what its build-up does at the ray's true angle; through its hole nothing.
#[test]
fn decks_and_holes() {
    let mut home = Resolved {
        assemblies: vec![assembly(
            "floor",
            vec![layer("chipboard", 22.0), layer("air", 200.0), layer("plasterboard", 12.5)],
        )],
        decks: vec![deck("d", rectangle(-5.0, -5.0, 5.0, 5.0), 2.7, 0)],
        ..Resolved::default()
    };
    home.decks[0].holes = vec![rectangle(1.0, 1.0, 2.0, 3.0)];
    let s = scene(&home);
    let at = |x: f64, y: f64| s.path(Point3::new(x, y, 1.0), Point3::new(x, y, 4.0), 1);
    assert!(at(1.5, 2.0).crossings.is_empty() && at(7.0, 0.0).crossings.is_empty());
    let straight = at(0.0, 0.0);
    assert!(straight.crossings[0].angle_deg < 0.1);
    let wall = Wall::new(&home.assemblies[0], carriers()[1], Tolerance::default()).unwrap();
    // Slanting: a vertical field lies in the plane of incidence of a floor.
    let path = s.path(Point3::new(-2.0, -1.0, 1.0), Point3::new(0.5, -1.0, 4.0), 1);
    let cos = 3.0 / (2.5f64 * 2.5 + 9.0).sqrt();
    assert!((path.crossings[0].angle_deg - cos.acos().to_degrees()).abs() < 0.01);
    assert!((path.crossings[0].loss.0 + 10.0 * wall.at(cos).tm.log10()).abs() < 0.02, "{path:?}");
}

/// Metal blocks are opaque where the ray meets them and nothing where it does not.
#[test]
fn blocks() {
    let block = |electrical| Block {
        object: id("fridge"),
        outline: rectangle(-0.3, -0.3, 0.3, 0.3),
        z0: 0.0,
        z1: 1.8,
        electrical,
    };
    let with = |electrical| scene(&Resolved { blocks: vec![block(electrical)], ..Resolved::default() });
    let s = with(Electrical::Metal);
    let across = |s: &Scene, y: f64, z: f64| s.path(Point3::new(-2.0, y, z), Point3::new(2.0, y, z), 1);
    let hit = across(&s, 0.1, 1.0);
    assert_eq!(hit.crossings.len(), 1);
    assert!((hit.crossings[0].loss.0 - 80.0).abs() < 0.01, "{hit:?}");
    assert!(across(&s, 0.1, 2.0).crossings.is_empty() && across(&s, 0.5, 1.0).crossings.is_empty());
    // Down through its top, upright and slanting.
    assert_eq!(s.path(Point3::new(0.0, 0.0, 2.5), Point3::new(0.0, 0.0, 1.0), 1).crossings.len(), 1);
    assert_eq!(s.path(Point3::new(-1.0, 0.0, 2.5), Point3::new(0.0, 0.0, 1.0), 1).crossings.len(), 1);
    // A fish tank: 0.6 m of glass-like bulk loses less than metal, more the longer the way.
    let glass = with(common::material("glass").electrical);
    let loss = across(&glass, 0.1, 1.0).crossings[0].loss.0;
    assert!(loss > 3.0 && loss < 30.0, "{loss}");
}

/// The field turns at a slanting wall met from above; power over both polarisations by hand for one crossing.
#[test]
fn one_slanting_crossing_by_hand() {
    let layers = vec![layer("glass", 6.0)];
    let s = Scene::with_tolerance(&one_wall(layers.clone()), &[single(5.25)], Tolerance::EXACT).unwrap();
    let (from, to) = (Point3::new(-1.0, 0.0, 2.5), Point3::new(1.0, 1.7, 0.2));
    let wall = Wall::new(&assembly("w", layers), single(5.25), Tolerance::EXACT).unwrap();
    let d = [2.0, 1.7, -2.3];
    let norm = d.iter().map(|x: &f64| x * x).sum::<f64>().sqrt();
    let k = d.map(|x| x / norm);
    let horizontal = k[0].hypot(k[1]);
    let theta = [k[2] * k[0] / horizontal, k[2] * k[1] / horizontal, -horizontal];
    // n = x: k × n = (0, k_z, −k_y)
    let sin = k[1].hypot(k[2]);
    let te = (theta[1] * k[2] - theta[2] * k[1]) / sin;
    let r = wall.at(k[0]);
    let both = te * te * r.te + (1.0 - te * te) * r.tm;
    let path = s.path(from, to, 0);
    assert!((path.crossings[0].loss.0 + 10.0 * both.log10()).abs() < 0.02, "{path:?} {both}");
    let vertical = te.powi(4) * r.te + (1.0 - te * te).powi(2) * r.tm + 2.0 * te * te * (1.0 - te * te) * r.cross.re;
    assert!((path.gain_vertical.0 + path.free_space.0 - 10.0 * vertical.log10()).abs() < 0.02);
}

#[test]
fn nearest_distance_and_bad_points() {
    let s = scene(&room());
    let p = Point3::new(0.0, 0.0, 1.0);
    let same = s.path(p, p, 1);
    assert!(same.gain.is_finite() && same.distance.0 == MIN_DISTANCE && same.crossings.is_empty());
    assert!((same.gain.0 + free_space_loss(Metres(MIN_DISTANCE), Hertz::from_mhz(5250.0)).0).abs() < 1e-9);
    for bad in [f64::NAN, f64::INFINITY] {
        assert_eq!(s.path(p, Point3::new(bad, 0.0, 0.0), 1).gain.0, f64::NEG_INFINITY);
    }
    assert_eq!(s.path(p, p, 3).gain.0, f64::NEG_INFINITY);
    // On a wall's centre line: one side only.
    let on = Point3::new(2.0, 0.0, 1.0);
    let (left, right) = (s.path(on, Point3::new(3.0, 0.0, 1.0), 1), s.path(on, Point3::new(1.0, 0.0, 1.0), 1));
    assert_eq!(left.crossings.len() + right.crossings.len(), 1);
}

#[test]
fn bad_homes_are_refused() {
    let new = |change: fn(&mut Resolved)| {
        let mut home = room();
        change(&mut home);
        Scene::new(&home, &carriers()).map(|_| ()).unwrap_err()
    };
    assert!(matches!(new(|h| h.panels[0].assembly = 9), PropagationError::Assembly { index: 9, .. }));
    assert!(matches!(new(|h| h.panels[0].a.x = f64::NAN), PropagationError::Geometry { .. }));
    assert!(matches!(new(|h| h.panels[0].b = h.panels[0].a), PropagationError::Geometry { .. }));
    assert!(matches!(
        new(|h| h.assemblies[0].layers[0] = layer("floorboard", 20.0)),
        PropagationError::Material { .. }
    ));
}

/// P.525, every row of the table, and the Friis vectors of the ns-3 propagation test suite.
#[test]
fn free_space() {
    let mut rows = csv::Reader::from_reader(include_str!("data/p525_free_space.csv").as_bytes());
    let mut count = 0;
    for row in rows.records() {
        let row = row.unwrap();
        let n = |i: usize| row[i].parse::<f64>().unwrap();
        let loss = free_space_loss(Metres(n(1)), Hertz::from_mhz(n(0)));
        assert!((loss.0 - n(2)).abs() < 1e-4, "{row:?} {loss}");
        count += 1;
    }
    assert!(count > 10);
    let frequency = Hertz(propagation::slab::SPEED_OF_LIGHT / 0.125);
    for (distance, watts) in [(100.0, 4.98265e-10), (500.0, 1.99306e-11), (1000.0, 4.98265e-12), (2000.0, 1.24566e-12)]
    {
        let got = 0.050_357_02 / free_space_loss(Metres(distance), frequency).ratio();
        assert!((got / watts - 1.0).abs() < 3e-6, "{distance}: {got}");
    }
}

/// Two storeys of a house: outer brick, partitions with doors, a floor with a stairwell, a refrigerator.
fn house() -> Resolved {
    let mut home = Resolved {
        assemblies: vec![
            assembly("outer", vec![layer("brick", 102.5), layer("air", 50.0), layer("concrete", 100.0)]),
            assembly(
                "partition",
                vec![
                    layer("plasterboard", 12.5),
                    common::framed("wood", 90.0, 406.0, 38.0),
                    layer("plasterboard", 12.5),
                ],
            ),
            assembly("door", vec![layer("wood", 40.0)]),
            assembly("floor", vec![layer("chipboard", 22.0), layer("air", 220.0), layer("plasterboard", 12.5)]),
        ],
        ..Resolved::default()
    };
    for (storey, z0) in [(0, 0.0), (1, 2.8)] {
        let z = (z0, z0 + 2.5);
        let ends = [
            ([0.0, 0.0], [10.0, 0.0], 0),
            ([10.0, 0.0], [10.0, 8.0], 0),
            ([10.0, 8.0], [0.0, 8.0], 0),
            ([0.0, 8.0], [0.0, 0.0], 0),
            ([4.0, 0.0], [4.0, 8.0], 1),
            ([4.0, 3.5], [10.0, 3.5], 1),
            ([0.0, 5.0], [4.0, 5.0], 1),
            ([7.0, 3.5], [7.0, 8.0], 1),
        ];
        for (i, (a, b, assembly)) in ends.into_iter().enumerate() {
            let mut p = panel(&format!("w{storey}{i}"), a, b, z, assembly);
            p.storey = storey;
            if assembly == 1 {
                p.cuts.push(cut(&format!("d{storey}{i}"), (1.0, 1.9), (z0, z0 + 2.05), Some(2)));
            }
            home.panels.push(p);
        }
    }
    let mut floor = deck("floor", rectangle(0.0, 0.0, 10.0, 8.0), 2.65, 3);
    floor.holes = vec![rectangle(4.5, 4.0, 6.5, 5.0)];
    home.decks.push(floor);
    home.blocks.push(Block {
        object: id("fridge"),
        outline: rectangle(9.2, 0.3, 9.8, 0.9),
        z0: 0.0,
        z1: 1.8,
        electrical: Electrical::Metal,
    });
    home
}

/// Maps give what paths give at the cells' centres, and the same bits for any number of threads.
#[test]
fn maps_equal_paths() {
    let s = scene(&house());
    let sites = [Point3::new(5.1, 4.3, 2.4), Point3::new(1.0, 6.0, 5.1), Point3::new(12.0, 4.0, 1.5)];
    let grids = [
        Grid::new(id("s0"), Point2::new(-1.0, -1.0), Metres(0.25), (40, 48), 1.0).unwrap(),
        Grid::new(id("s1"), Point2::new(0.0, 0.0), Metres(0.4), (20, 25), 3.8).unwrap(),
    ];
    let maps = s.maps(&sites, &grids, &NoProgress).unwrap();
    let mut worst: f64 = 0.0;
    for (site, of_site) in sites.iter().zip(&maps) {
        for (grid, of_grid) in grids.iter().zip(of_site) {
            assert_eq!(of_grid.len(), 3);
            for (carrier, map) in of_grid.iter().enumerate() {
                assert_eq!(map.gain_db.len(), grid.rows() * grid.columns());
                for row in 0..grid.rows() {
                    for column in 0..grid.columns() {
                        let path = s.path(*site, grid.centre(row, column), carrier);
                        let got = f64::from(map.gain_db[row * grid.columns() + column]);
                        worst = worst.max((got - path.gain.0).abs());
                    }
                }
            }
        }
    }
    println!("maps against paths: worst {worst:.6} dB");
    assert!(worst < 0.02, "{worst}");
    let bits = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
        let maps = pool.install(|| s.maps(&sites, &grids, &NoProgress).unwrap());
        maps.into_iter().flatten().flatten().flat_map(|m| m.gain_db).map(f32::to_bits).collect::<Vec<_>>()
    };
    let one = bits(1);
    assert!(one == bits(2) && one == bits(5));
}

#[test]
fn maps_can_be_cancelled() {
    struct Stop;
    impl findings::Progress for Stop {
        fn step(&self, _: &str, done: u64, _: u64) -> Result<(), findings::Cancelled> {
            if done >= 64 { Err(findings::Cancelled) } else { Ok(()) }
        }
    }
    let s = scene(&house());
    let grid = Grid::new(id("s0"), Point2::new(0.0, 0.0), Metres(0.1), (100, 100), 1.0).unwrap();
    assert!(s.maps(&[Point3::new(1.0, 1.0, 1.0)], &[grid], &Stop).is_err());
}

#[test]
fn grids() {
    let mut home = house();
    assert!(matches!(Grid::over(&home, 0, Metres(0.25), Metres(1.0)), Err(PropagationError::Storey { .. })));
    home.storeys.push(building::ResolvedStorey {
        id: id("ground"),
        name: "Ground".into(),
        floor_z: 0.1,
        ceiling_z: 2.5,
        usage: building::StoreyUse::Living,
    });
    assert!(matches!(Grid::over(&home, 0, Metres(0.25), Metres(1.0)), Err(PropagationError::NoRooms { .. })));
    home.rooms.push(building::ResolvedRoom {
        id: id("r"),
        name: "Room".into(),
        storey: 0,
        usage: building::RoomUse::Living,
        outline: rectangle(0.1, 0.2, 4.1, 3.3),
        holes: Vec::new(),
        area: 12.4,
        inside: Point2::new(1.0, 1.0),
    });
    let grid = Grid::over(&home, 0, Metres(0.25), Metres(1.0)).unwrap();
    assert_eq!((grid.rows(), grid.columns()), (13, 16));
    assert!((grid.z() - 1.1).abs() < 1e-12 && (grid.centre(0, 0).x - 0.225).abs() < 1e-12);
    for cell in [1e-7, 0.0, -1.0, f64::NAN] {
        assert!(
            matches!(Grid::over(&home, 0, Metres(cell), Metres(1.0)), Err(PropagationError::Grid { .. })),
            "{cell}"
        );
    }
    let huge = Grid::new(id("x"), Point2::new(0.0, 0.0), Metres(0.1), (100_000, 10_000), 1.0);
    assert!(matches!(huge, Err(PropagationError::Grid { .. })));
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, failure_persistence: None, ..ProptestConfig::default() })]

    /// Exchanging the ends keeps the vertical gain and the crossings; moving and turning the home keeps everything.
    #[test]
    fn reciprocity_and_invariance(
        a in (-2.0f64..12.0, -2.0f64..10.0, 0.2f64..5.0),
        b in (-2.0f64..12.0, -2.0f64..10.0, 0.2f64..5.0),
        angle in -3.0f64..3.0,
        shift in (-100.0f64..100.0, -100.0f64..100.0),
    ) {
        let home = house();
        let carriers = [carriers()[1]];
        let s = Scene::with_tolerance(&home, &carriers, Tolerance::EXACT).unwrap();
        // Off the lattice of the walls: on an edge to the last bit, turning the home decides the tie by rounding.
        let off = |p: (f64, f64, f64)| Point3::new(p.0 + 0.001_37, p.1 + 0.002_13, p.2 + 0.000_71);
        let (a, b) = (off(a), off(b));
        let (forth, back) = (s.path(a, b, 0), s.path(b, a, 0));
        prop_assert!((forth.gain_vertical.0 - back.gain_vertical.0).abs() < 1e-3, "{forth:?} {back:?}");
        prop_assert_eq!(forth.crossings.len(), back.crossings.len());

        let (sin, cos) = angle.sin_cos();
        let turn = |p: Point2| Point2::new(cos * p.x - sin * p.y + shift.0, sin * p.x + cos * p.y + shift.1);
        let turn3 = |p: Point3| turn(p.plan()).at_height(p.z);
        let mut moved = home;
        for p in &mut moved.panels {
            (p.a, p.b) = (turn(p.a), turn(p.b));
        }
        for d in &mut moved.decks {
            d.outline.iter_mut().chain(d.holes.iter_mut().flatten()).for_each(|p| *p = turn(*p));
        }
        for o in &mut moved.blocks {
            o.outline.iter_mut().for_each(|p| *p = turn(*p));
        }
        let s = Scene::with_tolerance(&moved, &carriers, Tolerance::EXACT).unwrap();
        let turned = s.path(turn3(a), turn3(b), 0);
        prop_assert!((turned.gain.0 - forth.gain.0).abs() < 2e-3, "{forth:?} {turned:?}");
    }
}
