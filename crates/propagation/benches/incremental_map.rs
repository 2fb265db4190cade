//! Maps brought up to date after one change, as a share of the time of maps made anew.
//!
//! Both on one thread, by its time on the processor; the maps have the same bits. Preparing the scene is not counted.

#![expect(clippy::print_stdout, reason = "a bench reports on the terminal")]

#[path = "../tests/common/mod.rs"]
mod common;
mod house;

use building::Resolved;
use common::sheet_scene;
use findings::NoProgress;
use propagation::{Carrier, Grid, MapConfig, MapMemory, Maps, PathConfig, Scene, Site, Tolerance};
use units::{Hertz, Metres, Point2, Point3};

fn main() {
    let (home, description) = sheet_scene(include_str!("../tests/data/S2d.json"));
    let number = |v: &serde_json::Value| v.as_f64().unwrap();
    let mut sites: Vec<Site> = description["tx"]
        .as_array()
        .unwrap()
        .iter()
        .map(|v| Point3::new(number(&v[0]), number(&v[1]), number(&v[2])).into())
        .collect();
    sites.extend([[2.1, 7.2, 2.4], [10.3, 2.2, 2.4]].map(|[x, y, z]| Site::from(Point3::new(x, y, z))));
    let grid = Grid::new(common::id("s"), Point2::new(1e-4, 0.7e-4), Metres(0.25), (36, 48), 1.0).unwrap();
    let carrier = Carrier::new(Hertz::from_ghz(5.25), Hertz(0.0));
    let partition = home.panels.iter().position(|p| !p.cuts.is_empty()).unwrap();
    let scene = Scene::with_tolerance(&home, &[carrier], Tolerance::EXACT).unwrap();
    let paths = |reflections, diffraction| PathConfig { reflections, diffraction };
    for (name, paths) in [
        ("seven rooms, three reflections", paths(3, false)),
        ("seven rooms, two reflections", paths(2, false)),
        ("seven rooms, one diffraction", paths(0, true)),
    ] {
        report(name, (&home, &scene, partition), (&sites, &grid), paths, 5);
    }

    let home = house::house();
    let carrier = Carrier::new(Hertz::from_mhz(5250.0), Hertz::from_mhz(80.0));
    let scene = Scene::new(&home, &[carrier]).unwrap();
    let grid = Grid::over(&home, 0, Metres(0.25), Metres(1.0)).unwrap();
    let sites = [[5.0, 4.7, 2.4], [1.3, 8.1, 0.8], [8.9, 2.2, 5.2], [3.2, 6.6, 8.0]]
        .map(|[x, y, z]| Site::from(Point3::new(x, y, z)));
    // Between two rooms of the ground floor, with a door.
    let partition = 15;
    for (name, paths, runs) in
        [("75 walls, two reflections", paths(2, false), 3), ("75 walls, three reflections", paths(3, false), 1)]
    {
        report(name, (&home, &scene, partition), (&sites, &grid), paths, runs);
    }
}

fn report(
    name: &str,
    (home, scene, partition): (&Resolved, &Scene, usize),
    (sites, grid): (&[Site], &Grid),
    paths: PathConfig,
    runs: usize,
) {
    let pool = rayon::ThreadPoolBuilder::new().num_threads(1).build().unwrap();
    let config = MapConfig { paths, ..MapConfig::default() };
    let grids = std::slice::from_ref(grid);
    let edited = |edit: &dyn Fn(&mut Resolved)| {
        let mut home = home.clone();
        edit(&mut home);
        scene.after_edit(&home).unwrap()
    };
    let other = |own: usize| home.panels.iter().map(|p| p.assembly).find(|&a| a != own).unwrap();
    let mut moved = sites.to_vec();
    moved[0].at.x += 0.2;
    let nothing: &[(&str, Scene, &[Site])] = &[
        ("nothing", edited(&|_| {}), sites),
        (
            "door opened",
            edited(&|home| {
                let cut = &mut home.panels[partition].cuts[0];
                cut.assembly = cut.assembly.map_or(Some(0), |_| None);
            }),
            sites,
        ),
        (
            "partition's assembly",
            edited(&|home| home.panels[partition].assembly = other(home.panels[partition].assembly)),
            sites,
        ),
        (
            "wall moved 0.2 m",
            edited(&|home| {
                let p = &mut home.panels[partition];
                let (dx, dy) = (0.2 * (p.b.y - p.a.y) / p.a.distance(p.b), 0.2 * (p.a.x - p.b.x) / p.a.distance(p.b));
                (p.a, p.b) = (Point2::new(p.a.x + dx, p.a.y + dy), Point2::new(p.b.x + dx, p.b.y + dy));
            }),
            sites,
        ),
        ("one of four sites moved", edited(&|_| {}), &moved),
    ];
    for (what, after, asked) in nothing {
        // With a word on the command line only what it is in.
        let word = std::env::args().skip(1).find(|a| !a.starts_with('-'));
        if word.is_some_and(|word| !format!("{name}: {what}").contains(&word)) {
            continue;
        }
        let full = || after.maps_with(asked, grids, &config, &NoProgress).unwrap();
        let expected = pool.install(full);
        let (mut anew, mut again) = (f64::INFINITY, f64::INFINITY);
        for _ in 0..runs {
            anew = anew.min(pool.install(|| processor_seconds(&mut || drop(std::hint::black_box(full())))));
            let mut memory = MapMemory::default();
            pool.install(|| scene.maps_again(sites, grids, &config, &mut memory, &NoProgress).unwrap());
            let mut maps = None;
            let mut up_to_date =
                || maps = Some(after.maps_again(asked, grids, &config, &mut memory, &NoProgress).unwrap());
            again = again.min(pool.install(|| processor_seconds(&mut up_to_date)));
            assert!(bits(&maps.unwrap()) == bits(&expected), "{name}: {what}");
        }
        println!("BENCH {name}: {what} ours={:.2} ms peer={:.2} ms ratio={:.3}", again * 1e3, anew * 1e3, again / anew);
    }
}

fn bits(maps: &Maps) -> Vec<u32> {
    maps.gains.iter().flatten().flatten().flat_map(|m| &m.gain_db).map(|g| g.to_bits()).collect()
}

/// Time on the processor that a run takes on its own thread, where the system tells; elsewhere by the clock.
fn processor_seconds(run: &mut (impl FnMut() + Send)) -> f64 {
    let now = || -> Option<f64> {
        let text = std::fs::read_to_string("/proc/thread-self/schedstat").ok()?;
        Some(text.split_whitespace().next()?.parse::<f64>().ok()? * 1e-9)
    };
    let clock = std::time::Instant::now();
    let start = now();
    run();
    start.zip(now()).map_or(clock.elapsed().as_secs_f64(), |(start, end)| end - start)
}
