//! Direct and reflected paths against the exact image method on sheet geometry, and properties of any image method.

#![expect(clippy::print_stdout, reason = "tests show what they measured")]

mod common;

use common::sheet_scene;
use findings::NoProgress;
use propagation::{Carrier, Grid, MapConfig, PathConfig, Scene, Tolerance};
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
                    let got = scene.paths(point(&result["tx"]), point(rx), 0, &PathConfig { reflections });
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
    let sites: Vec<Point3> = scene["tx"].as_array().unwrap().iter().map(point).collect();
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
