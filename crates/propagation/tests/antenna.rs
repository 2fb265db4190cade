//! Antennas: gains by integration, mounting, pattern files, and the same on paths and maps.

#![expect(clippy::print_stdout, reason = "tests show what they measured")]

mod common;

use common::{id, sheet_scene};
use findings::NoProgress;
use propagation::antenna::{Antenna, Mounted, Pattern, PatternError};
use propagation::{Carrier, Grid, MapConfig, PathConfig, Scene, Site, Tolerance};
use std::f64::consts::{PI, TAU};
use units::{Hertz, Metres, Point2, Point3};

fn mounted(antenna: Antenna, azimuth_deg: f64, downtilt_deg: f64) -> Mounted {
    Mounted { antenna, azimuth_deg, downtilt_deg }
}

/// Mean power gain over the sphere.
fn mean(m: &Mounted) -> f64 {
    let (rows, columns) = (400, 200);
    let mut sum = 0.0;
    for i in 0..rows {
        let z = -1.0 + 2.0 * (f64::from(i) + 0.5) / f64::from(rows);
        for j in 0..columns {
            let a = TAU * f64::from(j) / f64::from(columns);
            let r = (1.0 - z * z).sqrt();
            sum += m.gain([r * a.cos(), r * a.sin(), z]);
        }
    }
    sum / f64::from(rows * columns)
}

/// A lossless antenna sends as much as an isotropic one, however it is mounted.
#[test]
fn gains_are_over_isotropic() {
    for antenna in [Antenna::Isotropic, Antenna::HalfWaveDipole, Antenna::CeilingPatch] {
        for (azimuth, tilt) in [(0.0, 0.0), (35.0, 20.0), (-100.0, 90.0)] {
            let mean = mean(&mounted(antenna.clone(), azimuth, tilt));
            println!("{antenna:?} {azimuth} {tilt}: mean gain {mean:.4}");
            assert!((mean - 1.0).abs() < 0.01, "{antenna:?} {mean}");
        }
    }
    // Balanis: 2.15 dBi broadside, 78° half-power width; nothing along the axis.
    let dipole = mounted(Antenna::HalfWaveDipole, 0.0, 0.0);
    assert!((10.0 * dipole.gain([1.0, 0.0, 0.0]).log10() - 2.15).abs() < 0.01 && dipole.gain([0.0, 0.0, 1.0]) == 0.0);
    let half = 39.0f64.to_radians();
    assert!((dipole.gain([half.cos(), 0.0, half.sin()]) / dipole.gain([1.0, 0.0, 0.0]) - 0.5).abs() < 0.01);
    // Tilted by 90° the dipole lies along x and its field with it.
    let lying = mounted(Antenna::HalfWaveDipole, 0.0, 90.0);
    assert!(lying.gain([1.0, 0.0, 0.0]) < 1e-12 && (lying.gain([0.0, 1.0, 0.0]) - 1.643).abs() < 1e-9);
    let [theta, phi] = lying.amplitude([0.0, 1.0, 0.0]);
    assert!(theta.abs() < 1e-9 && (phi.abs() - 1.643f64.sqrt()).abs() < 1e-9);
    let patch = mounted(Antenna::CeilingPatch, 0.0, 0.0);
    assert!(patch.gain([0.0, 0.0, -1.0]) > 100.0 * patch.gain([0.0, 0.0, 1.0]) * 0.999);
}

fn csv(azimuths: &[f64], elevations: &[f64], gain: impl Fn(f64, f64) -> f64) -> String {
    let mut out = String::from("azimuth_deg,elevation_deg,gain_dbi\n");
    for a in azimuths {
        for e in elevations {
            out += &format!("{a},{e},{}\n", gain(*a, *e));
        }
    }
    out
}

fn steps(from: f64, to: f64, step: f64) -> Vec<f64> {
    (0..=((to - from) / step).round() as i32).map(|i| from + f64::from(i) * step).collect()
}

#[test]
fn pattern_files() {
    let (azimuths, elevations) = (steps(0.0, 350.0, 10.0), steps(-90.0, 90.0, 5.0));
    let gain = |a: f64, e: f64| 3.0 + 2.0 * a.to_radians().cos() * e.to_radians().cos();
    let text = csv(&azimuths, &elevations, gain);
    let pattern = Pattern::from_csv(&text).unwrap();
    for (a, e) in [(0.0, 0.0), (40.0, -35.0), (350.0, 90.0), (360.0, 0.0)] {
        assert!((10.0 * pattern.gain(a, e).log10() - gain(a, e)).abs() < 1e-9, "{a} {e}");
    }
    // Between, and across the seam at 360°.
    assert!((10.0 * pattern.gain(355.0, 2.5).log10() - gain(355.0, 2.5)).abs() < 0.02);
    // With 360 beside 0, and rows in any order.
    let closed = csv(&steps(0.0, 360.0, 10.0), &elevations, gain);
    let mut lines: Vec<&str> = closed.lines().collect();
    lines[1..].reverse();
    assert_eq!(Pattern::from_csv(&lines.join("\n")).unwrap(), pattern);
    let m = mounted(Antenna::Pattern(pattern), 90.0, 0.0);
    assert!((10.0 * m.gain([0.0, 1.0, 0.0]).log10() - 5.0).abs() < 1e-6);

    // Gaps and nonsense are refused.
    let without = |pick: &dyn Fn(usize) -> bool| {
        let kept: Vec<&str> = text.lines().enumerate().filter(|(i, _)| !pick(*i)).map(|(_, l)| l).collect();
        Pattern::from_csv(&kept.join("\n"))
    };
    assert!(matches!(without(&|i| i == 77), Err(PatternError::Gap { count: 0, .. })));
    assert!(matches!(without(&|i| i == 0), Err(PatternError::Heading { .. })));
    assert!(matches!(Pattern::from_csv(&(text.clone() + "0,0,3\n")), Err(PatternError::Gap { count: 2, .. })));
    for row in ["0,0", "0,0,x", "0,0,NaN", "0,95,1", "-1,0,1", "0,0,1e9", "0,0,1,2"] {
        assert!(
            matches!(Pattern::from_csv(&(text.clone() + row + "\n")), Err(PatternError::Row { line: 1334, .. })),
            "{row}"
        );
    }
    let open = |a: &[f64], e: &[f64]| Pattern::from_csv(&csv(a, e, gain));
    for (a, e) in [
        (steps(0.0, 180.0, 10.0), elevations.clone()),
        (azimuths.clone(), steps(-90.0, 60.0, 5.0)),
        (azimuths.clone(), steps(-80.0, 90.0, 5.0)),
        (azimuths.clone(), vec![-90.0, 0.0, 90.0]),
        (vec![], vec![]),
        (vec![0.0], vec![0.0]),
    ] {
        assert!(matches!(open(&a, &e), Err(PatternError::Open { .. })), "{a:?} {e:?}");
    }
    assert!(matches!(Pattern::from_csv(""), Err(PatternError::Heading { .. })));
}

/// Antennas weigh every path by its own directions; maps and paths agree; exchanging the ends keeps the coherent gain.
#[test]
fn paths_and_maps_with_antennas() {
    let (home, _) = sheet_scene(include_str!("data/S2d.json"));
    let carrier = Carrier::new(Hertz::from_ghz(5.25), Hertz(0.0));
    let s = Scene::with_tolerance(&home, &[carrier], Tolerance::EXACT).unwrap();
    let at = Point3::new(6.13, 4.57, 2.3);
    let grid = Grid::new(id("s"), Point2::new(0.1331, 0.0717), Metres(0.9), (9, 12), 1.0).unwrap();
    let antennas = [
        mounted(Antenna::Isotropic, 0.0, 0.0),
        mounted(Antenna::HalfWaveDipole, 0.0, 0.0),
        mounted(Antenna::HalfWaveDipole, 30.0, 60.0),
        mounted(Antenna::CeilingPatch, 40.0, 15.0),
    ];
    for m in antennas {
        let site = Site { at, mounted: m };
        let paths = PathConfig { reflections: 2, diffraction: true };
        let config = MapConfig { paths, points: 1, neglect: 0.0 };
        let maps = s.maps_with(std::slice::from_ref(&site), std::slice::from_ref(&grid), &config, &NoProgress).unwrap();
        let mut worst: f64 = 0.0;
        for (index, gain) in maps.gains[0][0][0].gain_db.iter().enumerate() {
            let to: Site = grid.centre(index / grid.columns(), index % grid.columns()).into();
            let got = s.paths_between(&site, &to, 0, &paths);
            worst = worst.max((got.gain.0 - f64::from(*gain)).abs());
        }
        println!("{:?}: maps against paths worst {worst:.5} dB", site.mounted);
        assert!(worst < 1e-3, "{worst}");
        let other = Site { at: Point3::new(2.04, 1.17, 0.93), mounted: mounted(Antenna::HalfWaveDipole, 10.0, 35.0) };
        let config = PathConfig { reflections: 2, diffraction: false };
        let (forth, back) = (s.paths_between(&site, &other, 0, &config), s.paths_between(&other, &site, 0, &config));
        assert!(
            (forth.gain_coherent.0 - back.gain_coherent.0).abs() < 0.02,
            "{} {}",
            forth.gain_coherent,
            back.gain_coherent
        );
        assert!((forth.gain_vertical.0 - back.gain_vertical.0).abs() < 1e-3);
        for path in &forth.paths {
            let mut gain = path.antenna_gains[0].0 + path.antenna_gains[1].0 - path.free_space.0;
            for leg in &path.legs {
                gain -= leg.crossings.iter().map(|c| c.loss.0).sum::<f64>();
                if let Some(propagation::Interaction::Reflection(mirror)) = &leg.end {
                    gain -= mirror.loss.0;
                }
            }
            assert!((path.gain.0 - gain).abs() < 1e-3, "{path:?}");
        }
    }
    // Two dipoles in free space: both gains.
    let empty = Scene::new(&building::Resolved::default(), &[carrier]).unwrap();
    let dipole = |x: f64| Site { at: Point3::new(x, 0.0, 1.0), mounted: mounted(Antenna::HalfWaveDipole, 0.0, 0.0) };
    let got = empty.paths_between(&dipole(0.0), &dipole(5.0), 0, &PathConfig::default());
    let expected = 2.0 * 10.0 * 1.643f64.log10() - 20.0 * (4.0 * PI * 5.0 / carrier.wavelength()).log10();
    assert!((got.gain.0 - expected).abs() < 1e-4 && (got.gain_coherent.0 - expected).abs() < 1e-4);
}
