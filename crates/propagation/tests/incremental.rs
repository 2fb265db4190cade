//! Maps that are brought up to date have the bits of maps that are made anew.

mod common;

use building::{Block, Electrical, Resolved};
use common::{Seeded, assembly, cut, id, layer, panel, rectangle, sheet_scene};
use findings::{Cancelled, NoProgress, Progress};
use propagation::antenna::{Antenna, Mounted};
use propagation::{Carrier, Grid, MapConfig, MapError, MapMemory, Maps, PathConfig, Scene, Site, Tolerance};
use std::sync::atomic::{AtomicU64, Ordering};
use units::{Hertz, Metres, Point2, Point3};

fn bits(maps: &Maps) -> Vec<u32> {
    maps.gains.iter().flatten().flatten().flat_map(|m| &m.gain_db).map(|g| g.to_bits()).collect()
}

/// The shared house with one assembly more, for edits to choose.
fn house() -> Resolved {
    let mut home = common::house::house();
    home.assemblies.push(assembly("brick", vec![layer("brick", 115.0)]));
    home
}

/// One edit of a home, drawn by lot; what it was.
fn edit(home: &mut Resolved, lot: &mut Seeded) -> String {
    let mut pick = |count: usize| (lot.next() % count.max(1) as u64) as usize;
    let (kind, wall) = (pick(13), pick(home.panels.len()));
    let assemblies = home.assemblies.len();
    let (x, y) = (0.1 * pick(90) as f64 + 0.05, 0.1 * pick(70) as f64 + 0.03);
    let way = [-0.2, 0.2, 0.5][pick(3)];
    let (assembly, open, block, deck) = (pick(assemblies), pick(3), pick(home.blocks.len()), pick(home.decks.len()));
    let at = pick(home.panels.len() + 1);
    match kind {
        0 => {
            // Squarely, so that it may lie in line with others or meet them.
            let p = &mut home.panels[wall];
            let (dx, dy) = if p.a.x == p.b.x { (way, 0.0) } else { (0.0, way) };
            (p.a, p.b) = (Point2::new(p.a.x + dx, p.a.y + dy), Point2::new(p.b.x + dx, p.b.y + dy));
        }
        1 => {
            let p = &mut home.panels[wall];
            p.b = Point2::new(p.b.x + 0.3 * way, p.b.y + 0.2 * way);
        }
        2 | 3 => {
            // A door or window opened, shut, or filled with something else.
            let filled = [None, Some(2.min(assemblies - 1)), Some(assembly)][open];
            match home.panels[wall].cuts.first_mut() {
                Some(cut) => cut.assembly = filled,
                None => {
                    let (length, z0) = (home.panels[wall].a.distance(home.panels[wall].b), home.panels[wall].z0);
                    let opening = cut("new", (0.3 * length, 0.5 * length), (z0, z0 + 2.0), filled);
                    home.panels[wall].cuts.push(opening);
                }
            }
        }
        4 => home.panels[wall].assembly = assembly,
        5 => {
            let (z0, z1) = (home.panels[wall].z0, home.panels[wall].z1);
            let end = if open == 0 { [x + 2.0, y] } else { [x, y + 1.7] };
            home.panels.insert(at, panel("added", [x, y], end, (z0, z1), assembly));
        }
        6 if home.panels.len() > 4 => drop(home.panels.remove(wall)),
        7 if !home.blocks.is_empty() => {
            let block = &mut home.blocks[block];
            block.outline.iter_mut().for_each(|p| *p = Point2::new(p.x + way, p.y - way));
        }
        8 if home.blocks.len() < 4 => home.blocks.push(Block {
            object: id("added"),
            outline: rectangle(x, y, x + 0.7, y + 0.8),
            z0: 0.0,
            z1: 1.1 + 0.1 * open as f64,
            electrical: Electrical::Metal,
        }),
        9 if !home.blocks.is_empty() => drop(home.blocks.remove(block)),
        10 => {
            let last = home.panels.len() - 1;
            home.panels.swap(wall, at.min(last));
        }
        11 if !home.decks.is_empty() => match open {
            0 => home.decks[deck].assembly = assembly,
            1 => home.decks[deck].holes.push(rectangle(x, y, x + 1.1, y + 1.3)),
            _ => home.decks[deck].holes.clear(),
        },
        // Layers of an assembly itself.
        _ => {
            if let Some(layer) = home.assemblies[assembly].layers.first_mut() {
                layer.thickness = 0.01 + 0.005 * open as f64;
            }
        }
    }
    format!("{kind} wall {wall} way {way} assembly {assembly} open {open} block {block} at {at} ({x}, {y})")
}

/// Random edits of the home and the sites, one after the other; after each the maps are those made anew.
fn follow(
    name: &str,
    mut home: Resolved,
    (carriers, tolerance): (&[Carrier], Tolerance),
    (mut sites, grids): (Vec<Site>, Vec<Grid>),
    config: &MapConfig,
    (seed, edits): (u64, usize),
) {
    let mut lot = Seeded(seed);
    let mut memory = MapMemory::default();
    let mut carriers = carriers.to_vec();
    let mut scene = Scene::with_tolerance(&home, &carriers, tolerance).unwrap();
    for step in 0..edits {
        let what = match lot.next() % 8 {
            0 => {
                let index = (lot.next() % sites.len() as u64) as usize;
                sites[index].at.x += 0.3;
                sites[index].at.y -= 0.1;
                "site moved".into()
            }
            1 if sites.len() < 3 => {
                let mounted = Mounted { antenna: Antenna::CeilingPatch, ..Mounted::default() };
                let at = Point3::new(lot.between(0.5, 9.0), lot.between(0.5, 7.0), lot.between(0.3, 2.3));
                sites.push(Site { at, mounted });
                "site added".into()
            }
            2 if sites.len() > 1 => {
                sites.remove(0);
                "site removed".into()
            }
            3 if step % 5 == 4 => {
                let last = carriers.len() - 1;
                carriers[last] = Carrier::new(Hertz(carriers[last].centre.0 + 20e6), carriers[last].width);
                scene = Scene::with_tolerance(&home, &carriers, tolerance).unwrap();
                "carrier changed".into()
            }
            _ => {
                let mut what = edit(&mut home, &mut lot);
                if lot.next().is_multiple_of(3) {
                    what = format!("{what}; {}", edit(&mut home, &mut lot));
                }
                scene = scene.after_edit(&home).unwrap();
                what
            }
        };
        let again = scene.maps_again(&sites, &grids, config, &mut memory, &NoProgress).unwrap();
        // Now and then from scratch, tables too.
        let anew = (step % 5 == 4).then(|| Scene::with_tolerance(&home, &carriers, tolerance).unwrap());
        let full = anew.as_ref().unwrap_or(&scene).maps_with(&sites, &grids, config, &NoProgress).unwrap();
        let (again, full) = (bits(&again), bits(&full));
        let differ = again.iter().zip(&full).filter(|(a, b)| a != b).count();
        assert!(again.len() == full.len() && differ == 0, "{name}, seed {seed}, edit {step}: {what}: {differ} cells");
    }
}

fn s2(description: &serde_json::Value) -> Vec<Site> {
    let number = |v: &serde_json::Value| v.as_f64().unwrap();
    let points = description["tx"].as_array().unwrap().iter();
    points.map(|v| Point3::new(number(&v[0]), number(&v[1]), number(&v[2])).into()).collect()
}

const EXACT: ([Carrier; 1], Tolerance) = ([Carrier::new(Hertz(5.25e9), Hertz(0.0))], Tolerance::EXACT);

#[test]
fn one_storey() {
    for (seed, points, scene) in [(1, 2, include_str!("data/S2.json")), (2, 1, include_str!("data/S2d.json"))] {
        let (home, description) = sheet_scene(scene);
        // Cells that lie exactly on walls and joints, too.
        let grid = Grid::new(id("s"), Point2::new(0.0, 0.0), Metres(0.5), (18, 24), 1.0).unwrap();
        let config = MapConfig { points, ..MapConfig::default() };
        let sites = s2(&description)[..1].to_vec();
        follow("one storey", home, (&EXACT.0, EXACT.1), (sites, vec![grid]), &config, (seed, 24));
    }
}

#[test]
fn two_storeys() {
    let carriers = [
        Carrier::new(Hertz::from_mhz(2437.0), Hertz::from_mhz(20.0)),
        Carrier::new(Hertz::from_mhz(5250.0), Hertz::from_mhz(80.0)),
    ];
    let grids = vec![
        Grid::new(id("s0"), Point2::new(-1.0, -1.0), Metres(0.5), (20, 24), 1.0).unwrap(),
        Grid::new(id("s1"), Point2::new(0.05, 0.1), Metres(0.8), (10, 12), 3.8).unwrap(),
    ];
    let sites = vec![Point3::new(5.13, 6.31, 2.37).into()];
    for (seed, paths) in [
        (3, PathConfig { reflections: 2, diffraction: false }),
        (4, PathConfig { reflections: 1, diffraction: true }),
        (5, PathConfig { reflections: 2, diffraction: true }),
    ] {
        let config = MapConfig { paths, ..MapConfig::default() };
        let world = (sites.clone(), grids.clone());
        follow("two storeys", house(), (&carriers, Tolerance::EXACT), world, &config, (seed, 15));
    }
}

#[test]
fn two_storeys_three_reflections() {
    let carriers = [Carrier::new(Hertz::from_mhz(5250.0), Hertz::from_mhz(80.0))];
    let grid = Grid::new(id("s0"), Point2::new(0.0, 0.0), Metres(1.0), (8, 10), 1.0).unwrap();
    let sites = vec![Point3::new(2.0, 3.0, 2.37).into()];
    let config = MapConfig::default();
    follow("three", house(), (&carriers, Tolerance::EXACT), (sites, vec![grid]), &config, (6, 10));
}

/// Stops after some steps.
struct StopAfter(AtomicU64);

impl Progress for StopAfter {
    fn step(&self, _: &str, _: u64, _: u64) -> Result<(), Cancelled> {
        let left = self.0.fetch_update(Ordering::Relaxed, Ordering::Relaxed, |n| Some(n.saturating_sub(1)));
        if left == Ok(0) { Err(Cancelled) } else { Ok(()) }
    }
}

#[test]
fn cancelled_maps_leave_memory_sound() {
    let (mut home, description) = sheet_scene(include_str!("data/S2.json"));
    let grid = [Grid::new(id("s"), Point2::new(0.0, 0.0), Metres(0.5), (18, 24), 1.0).unwrap()];
    let sites = s2(&description);
    let config = MapConfig { paths: PathConfig { reflections: 2, diffraction: true }, ..MapConfig::default() };
    let mut memory = MapMemory::default();
    let mut scene = Scene::with_tolerance(&home, &EXACT.0, EXACT.1).unwrap();
    let mut was_cancelled = 0;
    for steps in [0, 1, 10, 30, 60, 100, 150, 1_000_000] {
        let progress = StopAfter(AtomicU64::new(steps));
        let again = scene.maps_again(&sites, &grid, &config, &mut memory, &progress);
        was_cancelled += usize::from(matches!(again, Err(MapError::Cancelled(_))));
        home.panels[5].assembly = steps as usize % 2;
        scene = scene.after_edit(&home).unwrap();
    }
    assert!(was_cancelled >= 4, "{was_cancelled}");
    let again = scene.maps_again(&sites, &grid, &config, &mut memory, &NoProgress).unwrap();
    assert!(bits(&again) == bits(&scene.maps_with(&sites, &grid, &config, &NoProgress).unwrap()));
}

#[test]
fn memory_is_bounded() {
    let home = house();
    let scene = Scene::with_tolerance(&home, &EXACT.0, EXACT.1).unwrap();
    let config = MapConfig { paths: PathConfig { reflections: 1, diffraction: false }, ..MapConfig::default() };
    let grids = [Grid::new(id("s0"), Point2::new(0.0, 0.0), Metres(0.25), (32, 40), 1.0).unwrap()];
    let site = |i: usize| [Site::from(Point3::new(1.0 + 0.1 * i as f64, 2.0, 1.5))];
    let ask = |memory: &mut MapMemory, i: usize| {
        let again = scene.maps_again(&site(i), &grids, &config, memory, &NoProgress).unwrap();
        assert!(bits(&again) == bits(&scene.maps_with(&site(i), &grids, &config, &NoProgress).unwrap()));
    };
    // 16 bytes a cell, and the tables of the scene.
    let mut memory = MapMemory::default();
    ask(&mut memory, 0);
    let one = memory.bytes();
    ask(&mut memory, 1);
    assert_eq!(memory.bytes() - one, 32 * 40 * 16);
    let mut memory = MapMemory::new(one + 3 * 32 * 40 * 16);
    for i in 0..8 {
        ask(&mut memory, i);
        assert!(memory.bytes() <= one + 3 * 32 * 40 * 16 && memory.maps() == (i + 1).min(4));
    }
    // The one asked for longest ago went first: these are known.
    for i in 4..8 {
        ask(&mut memory, i);
        assert_eq!(memory.maps(), 4);
    }
    let mut none = MapMemory::new(0);
    ask(&mut none, 0);
    assert!(none.maps() == 0 && none.bytes() == 0);
}

#[test]
fn odd_asks_are_answered() {
    let scene = Scene::with_tolerance(&house(), &EXACT.0, EXACT.1).unwrap();
    let grid = Grid::new(id("s0"), Point2::new(0.0, 0.0), Metres(1.0), (8, 10), 1.0).unwrap();
    let mut memory = MapMemory::default();
    let config = MapConfig { paths: PathConfig { reflections: 1, diffraction: true }, ..MapConfig::default() };
    // The same site twice, one that is nowhere, and paths left out.
    let sites =
        [Point3::new(1.0, 1.0, 1.0), Point3::new(f64::NAN, 0.0, 0.0), Point3::new(1.0, 1.0, 1.0)].map(Site::from);
    for neglect in [0.0, 0.1, 0.0] {
        let config = MapConfig { neglect, ..config };
        let again = scene.maps_again(&sites, std::slice::from_ref(&grid), &config, &mut memory, &NoProgress).unwrap();
        let full = scene.maps_with(&sites, std::slice::from_ref(&grid), &config, &NoProgress).unwrap();
        assert!(bits(&again) == bits(&full) && again.left_out == full.left_out);
        assert!(again.gains[1][0][0].gain_db.iter().all(|&g| g == f32::NEG_INFINITY));
    }
    let refused = scene.maps_again(&sites, &[grid], &MapConfig { points: 0, ..config }, &mut memory, &NoProgress);
    assert!(matches!(refused, Err(MapError::Grid(_))));
}
