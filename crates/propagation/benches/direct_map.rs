//! Direct path gain over three storeys of a house at 0.25 m: 4 access points × 3 bands.
//!
//! The goal is 16 ms on two cores. `cargo bench -p propagation` prints this machine's time, cells × access points ×
//! bands a second, and the ratio to the goal.

mod house;

use std::time::Instant;

use building::Resolved;
use findings::NoProgress;
use house::house;
use propagation::{Carrier, Grid, MapConfig, PathConfig, Scene};
use units::{Hertz, Metres, Point3};

const GOAL_SECONDS: f64 = 0.016;

fn carriers() -> [Carrier; 3] {
    [(2437.0, 20.0), (5250.0, 80.0), (6505.0, 160.0)]
        .map(|(centre, width)| Carrier::new(Hertz::from_mhz(centre), Hertz::from_mhz(width)))
}

fn sites() -> [Point3; 4] {
    [Point3::new(5.0, 4.7, 2.4), Point3::new(1.3, 8.1, 0.8), Point3::new(8.9, 2.2, 5.2), Point3::new(3.2, 6.6, 8.0)]
}

fn grids(home: &Resolved) -> Vec<Grid> {
    (0..home.storeys.len()).filter_map(|s| Grid::over(home, s, Metres(0.25), Metres(1.0)).ok()).collect()
}

#[divan::bench(sample_count = 30)]
fn maps(bencher: divan::Bencher) {
    let home = house();
    let (Ok(scene), grids) = (Scene::new(&home, &carriers()), grids(&home)) else { return };
    let cells: usize = grids.iter().map(|g| g.rows() * g.columns()).sum();
    bencher
        .counter(divan::counter::ItemsCount::new(cells * sites().len() * 3))
        .bench(|| scene.maps(&sites(), &grids, &NoProgress));
}

#[divan::bench(sample_count = 5)]
fn prepare_scene(bencher: divan::Bencher) {
    let home = house();
    bencher.bench(|| Scene::new(&home, &carriers()).is_ok());
}

#[divan::bench]
fn one_path(bencher: divan::Bencher) {
    let home = house();
    let Ok(scene) = Scene::new(&home, &carriers()) else { return };
    bencher.bench(|| scene.path(Point3::new(1.3, 8.1, 0.8), Point3::new(8.7, 1.2, 6.6), 1));
}

#[expect(clippy::print_stdout, reason = "a bench reports on the terminal")]
fn ratio() {
    let home = house();
    let (Ok(scene), grids) = (Scene::new(&home, &carriers()), grids(&home)) else { return };
    let cells: usize = grids.iter().map(|g| g.rows() * g.columns()).sum();
    let mut times: Vec<f64> = (0..21)
        .map(|_| {
            let start = Instant::now();
            let _ = divan::black_box(scene.maps(&sites(), &grids, &NoProgress));
            start.elapsed().as_secs_f64()
        })
        .collect();
    times.sort_by(f64::total_cmp);
    let seconds = times[10];
    println!(
        "direct map: {cells} cells x 4 access points x 3 bands in {:.2} ms on {} threads ({:.1} million a second); goal 16 ms; ratio {:.2}",
        seconds * 1e3,
        rayon::current_num_threads(),
        cells as f64 * 12.0 / seconds / 1e6,
        seconds / GOAL_SECONDS
    );
    println!(
        "BENCH direct-map ours={:.2} ms limit={} ms ratio={:.2}",
        seconds * 1e3,
        GOAL_SECONDS * 1e3,
        seconds / GOAL_SECONDS
    );
    println!("table error: {:.4} dB", scene.table_error().0);
    let diffracted = MapConfig { paths: PathConfig { reflections: 0, diffraction: true }, points: 1, neglect: 0.0 };
    let direct = MapConfig { paths: PathConfig::DIRECT, ..diffracted };
    for (bands, name) in [(1, "one band"), (3, "three bands")] {
        let Ok(scene) = Scene::new(&home, carriers().get(..bands).unwrap_or_default()) else { return };
        let [direct, diffracted] = [direct, diffracted].map(|config| {
            let run = || {
                let start = Instant::now();
                let site = sites().map(Into::into)[..1].to_vec();
                let _ =
                    divan::black_box(scene.maps_with(&site, grids.get(..1).unwrap_or_default(), &config, &NoProgress));
                start.elapsed().as_secs_f64() * 1e3
            };
            run();
            let mut times: Vec<f64> = (0..11).map(|_| run()).collect();
            times.sort_by(f64::total_cmp);
            (times[5], times[0])
        });
        println!(
            "one storey, one access point, {name}: direct {:.2} ms (least {:.2}), with diffraction {:.2} ms (least {:.2})",
            direct.0, direct.1, diffracted.0, diffracted.1
        );
    }
}

fn main() {
    divan::main();
    ratio();
}
