//! Diffraction against the exact half plane, the knife edge of ITU-R P.526, and one ray-tracing library.

#![expect(clippy::print_stdout, reason = "tests show what they measured")]

mod common;

use building::{Block, Electrical, Resolved};
use common::half_plane::{fresnel_tail, sommerfeld};
use common::{assembly, id, layer, panel, rectangle, sheet_scene};
use findings::NoProgress;
use num_complex::Complex64;
use propagation::diffraction::{Bend, transition};
use propagation::{Carrier, Grid, Interaction, MapConfig, PathConfig, RayPath, Scene, Tolerance};
use std::f64::consts::{PI, TAU};
use units::{Hertz, Metres, Point2, Point3};

fn single(ghz: f64) -> Carrier {
    Carrier::new(Hertz::from_ghz(ghz), Hertz(0.0))
}

#[test]
fn transition_function() {
    for x in [0.0f64, 1e-4, 0.01, 0.3, 1.0, 3.0, 3.99, 4.0, 4.01, 5.5, 10.0, 100.0] {
        let root = x.sqrt();
        let exact = 2.0 * Complex64::i() * root * Complex64::from_polar(1.0, x) * fresnel_tail(root);
        assert!((transition(x) - exact).norm() < 1e-9, "{x}: {} {exact}", transition(x));
    }
    assert!((transition(1e6) - 1.0).norm() < 1e-5);
}

/// UTD of a source far away equals the exact solution, in the light, in the shadow and on both of their edges.
#[test]
fn half_plane_is_exact() {
    let wavelength = 0.0571;
    let k = TAU / wavelength;
    let (mut worst, mut count) = (0.0f64, 0);
    for from in [0.3, 1.0, 1.7, 2.6] {
        for rho in [0.1, 0.7, 3.0] {
            for step in 1..60 {
                let to = TAU * f64::from(step) / 60.0;
                // So far away that L is ρ and the spreading one over √ρ.
                let bend = Bend { n: 2.0, to, from, sin_edge: 1.0, before: 1e9, after: rho };
                let terms = bend.terms(wavelength);
                for soft in [true, false] {
                    let sign = if soft { -1.0 } else { 1.0 };
                    let d = terms.incident + sign * (terms.first_face + terms.other_face);
                    let mut utd = d / rho.sqrt() * Complex64::from_polar(1.0, -k * rho);
                    if to - from < PI {
                        utd += Complex64::from_polar(1.0, k * rho * (to - from).cos());
                    }
                    if to + from < PI {
                        utd += sign * Complex64::from_polar(1.0, k * rho * (to + from).cos());
                    }
                    let exact = sommerfeld(k, rho, to, from, soft);
                    worst = worst.max((utd - exact).norm());
                    count += 1;
                }
            }
        }
    }
    println!("half plane, {count} fields: worst difference {worst:.2e} of the incident field");
    assert!(worst < 1e-6, "{worst}");
}

/// An absorbing edge (the incident term alone) loses what the knife edge of P.526 does, at small angles.
#[test]
fn knife_edge() {
    let mut rows = csv::Reader::from_reader(include_str!("data/p526_knife_edge.csv").as_bytes());
    let (wavelength, d) = (0.05, 200.0);
    let k = TAU / wavelength;
    let (mut worst, mut count) = (0.0f64, 0);
    for row in rows.records() {
        let row = row.unwrap();
        let n = |i: usize| row[i].parse::<f64>().unwrap();
        let (nu, exact) = (n(0), n(2));
        // ν = h √(2/λ (1/d1 + 1/d2)), the edge h above the line between the ends.
        let h = nu / (2.0 / wavelength * 2.0 / d).sqrt();
        let s = d.hypot(h);
        // The screen points down from the edge; angles from it.
        let below = (d / h.abs()).atan();
        let angle = if h >= 0.0 { below } else { PI - below };
        let bend = Bend { n: 2.0, to: TAU - angle, from: angle, sin_edge: 1.0, before: s, after: s };
        let direct = 2.0 * d;
        let spread = (1.0 / (s * s * (s + s))).sqrt();
        let mut field = bend.terms(wavelength).incident * Complex64::from_polar(spread, -k * 2.0 * s);
        if h < 0.0 {
            field += Complex64::from_polar(1.0 / direct, -k * direct);
        }
        let loss = -20.0 * (field.norm() * direct).log10();
        worst = worst.max((loss - exact).abs());
        count += 1;
        assert!((loss - exact).abs() < 0.02, "ν {nu}: {loss} {exact}");
    }
    println!("knife edge of P.526, {count} rows: worst {worst:.4} dB");
    assert!(count > 10);
}

/// The field is continuous where the direct path and a reflection end at a free edge, and vanishing walls do nothing.
#[test]
fn continuous_at_the_edges_of_shadows() {
    let home = |layers| Resolved {
        assemblies: vec![assembly("w", layers)],
        panels: vec![panel("w", [0.0, 0.0], [20.0, 0.0], (-20.0, 20.0), 0)],
        ..Resolved::default()
    };
    let config = PathConfig { reflections: 1, diffraction: true };
    let from = Point3::new(1.0, 3.0, 0.0);
    for layers in [vec![layer("metal", 1.0)], vec![layer("plasterboard", 25.0)], vec![layer("brick", 100.0)]] {
        let s = Scene::with_tolerance(&home(layers.clone()), &[single(5.25)], Tolerance::EXACT).unwrap();
        // The wall's other end is 20 m away and diffracts too, evenly.
        for (boundary, name) in [((-0.75f64, -2.25f64), "shadow"), ((-0.75, 2.25), "reflection")] {
            let at = |off: f64| s.paths(from, Point3::new(boundary.0 + off, boundary.1, 0.4), 0, &config);
            let (before, after) = (at(-1e-4), at(1e-4));
            let step = (before.gain_coherent.0 - after.gain_coherent.0).abs();
            println!("{name}: {:.4} dB, {} and {} paths", step, before.paths.len(), after.paths.len());
            assert!(step < 0.05, "{name}: {step}");
        }
    }
    // A wall of air: the edge's path is there and carries nothing.
    let s = Scene::with_tolerance(&home(vec![layer("air", 1e-6)]), &[single(5.25)], Tolerance::EXACT).unwrap();
    let got = s.paths(from, Point3::new(-1.0, -2.0, 0.4), 0, &config);
    let weak =
        got.paths.iter().filter(|p| p.legs.iter().any(|l| matches!(l.end, Some(Interaction::Diffraction { .. }))));
    assert!(weak.count() > 0 && (got.gain.0 - s.path(from, Point3::new(-1.0, -2.0, 0.4), 0).gain.0).abs() < 1e-3);
}

/// Round the corner of a metal object: a path of two legs whose losses add up, the same both ways.
#[test]
fn metal_corner_and_reciprocity() {
    let block = Block {
        object: id("m"),
        outline: rectangle(0.0, 0.0, 1.0, 1.0),
        z0: -1.0,
        z1: 2.0,
        electrical: Electrical::Metal,
    };
    let home = Resolved { blocks: vec![block], ..Resolved::default() };
    let s = Scene::with_tolerance(&home, &[single(5.25)], Tolerance::EXACT).unwrap();
    let config = PathConfig { reflections: 0, diffraction: true };
    let (from, to) = (Point3::new(-1.5, 0.4, 0.3), Point3::new(0.6, -1.2, 1.1));
    let (forth, back) = (s.paths(from, to, 0, &config), s.paths(to, from, 0, &config));
    assert_eq!(forth.paths.len(), back.paths.len());
    assert!((forth.gain_vertical.0 - back.gain_vertical.0).abs() < 1e-3);
    for path in &forth.paths {
        let mut loss = path.free_space.0;
        for leg in &path.legs {
            loss += leg.crossings.iter().map(|c| c.loss.0).sum::<f64>();
            if let Some(Interaction::Diffraction { loss: edge, element, angle_deg }) = &leg.end {
                assert!(element.as_str() == "m" && *angle_deg > 0.0 && edge.0 > 5.0);
                loss += edge.0;
            }
        }
        assert!((path.gain.0 + loss).abs() < 1e-3);
    }
    let (home, _) = sheet_scene(include_str!("data/S2d.json"));
    let s = Scene::with_tolerance(&home, &[single(2.437)], Tolerance::EXACT).unwrap();
    let mut random = common::Seeded(11);
    for _ in 0..40 {
        let mut place = || Point3::new(random.between(0.1, 11.9), random.between(0.1, 8.9), random.between(0.2, 2.3));
        let (a, b) = (place(), place());
        let (forth, back) = (s.paths(a, b, 0, &config), s.paths(b, a, 0, &config));
        assert_eq!(forth.paths.len(), back.paths.len());
        assert!(
            (forth.gain_vertical.0 - back.gain_vertical.0).abs() < 0.02,
            "{} {}",
            forth.gain_vertical,
            back.gain_vertical
        );
    }
}

/// What diffraction adds in the scene with doorways, beside one ray-tracing library that was not cross-checked.
#[test]
fn beside_a_ray_tracing_library() {
    let (home, scene) = sheet_scene(include_str!("data/S2d.json"));
    let reference: serde_json::Value = serde_json::from_str(include_str!("data/diffraction_S2d.json")).unwrap();
    let point =
        |v: &serde_json::Value| Point3::new(v[0].as_f64().unwrap(), v[1].as_f64().unwrap(), v[2].as_f64().unwrap());
    for result in reference["results"].as_array().unwrap() {
        let s = Scene::with_tolerance(&home, &[single(result["f_ghz"].as_f64().unwrap())], Tolerance::EXACT).unwrap();
        let (mut ours, mut theirs, mut jambs, mut difference) = (Vec::new(), Vec::new(), Vec::new(), Vec::new());
        for (i, rx) in scene["rx"].as_array().unwrap().iter().enumerate() {
            let got = s.paths(point(&result["tx"]), point(rx), 0, &PathConfig { reflections: 0, diffraction: true });
            let power = |of: &dyn Fn(&RayPath) -> bool| -> f64 {
                let bent = got.paths.iter().filter(|p| p.legs.len() == 2 && of(p));
                bent.map(|p| 10f64.powf(p.gain_vertical.0 / 10.0)).sum()
            };
            // The lintels are 2.05 m above the floor.
            let (all, by_jambs) = (power(&|_| true), power(&|p| p.legs[0].to.z != 2.05));
            let Some(theirs_db) = result["diffracted_only_true"]["incoherent_V_dB"][i].as_f64() else { continue };
            let before = 10f64.powf(result["no_diffraction"]["incoherent_V_dB"][i].as_f64().unwrap() / 10.0);
            ours.push(10.0 * (1.0 + all / before).log10());
            theirs.push(10.0 * (1.0 + 10f64.powf(theirs_db / 10.0) / before).log10());
            difference.push(10.0 * all.log10() - theirs_db);
            jambs.push(10.0 * by_jambs.log10() - theirs_db);
        }
        let median = |v: &mut Vec<f64>| {
            v.sort_by(f64::total_cmp);
            v[v.len() / 2]
        };
        let (adds, adds_there) = (median(&mut ours), median(&mut theirs));
        println!(
            "tx {} {} GHz: diffraction adds {adds:.3} dB here, {adds_there:.3} dB there (medians)",
            result["tx_index"], result["f_ghz"]
        );
        for (what, of) in [("jambs alone", &mut jambs), ("with lintels", &mut difference)] {
            let (median, n) = (median(of), of.len());
            println!(
                "  {what}, here over there: {median:.2} dB (median), {:.2} to {:.2} (quartiles)",
                of[n / 4],
                of[3 * n / 4]
            );
        }
        assert!(median(&mut difference).abs() < 3.0 && (adds - adds_there).abs() < 0.2);
    }
}

/// Maps add what the paths by way of edges bring to the cells' centres.
#[test]
fn maps_equal_paths() {
    let (home, _) = sheet_scene(include_str!("data/S2d.json"));
    let s = Scene::with_tolerance(&home, &[single(2.437), single(5.25)], Tolerance::EXACT).unwrap();
    let site = Point3::new(6.13, 4.57, 2.3);
    let paths = PathConfig { reflections: 1, diffraction: true };
    let grid = Grid::new(id("s"), Point2::new(0.1, 0.05), Metres(0.7), (12, 16), 1.0).unwrap();
    let config = MapConfig { paths, points: 1, neglect: 0.0 };
    let maps = s.maps_with(&[site.into()], std::slice::from_ref(&grid), &config, &NoProgress).unwrap();
    let mut worst: f64 = 0.0;
    for (carrier, map) in maps.gains[0][0].iter().enumerate() {
        for (index, gain) in map.gain_db.iter().enumerate() {
            let at = grid.centre(index / grid.columns(), index % grid.columns());
            worst = worst.max((s.paths(site, at, carrier, &paths).gain.0 - f64::from(*gain)).abs());
        }
    }
    println!("maps with diffraction against paths: worst {worst:.5} dB");
    assert!(worst < 1e-3);
}
