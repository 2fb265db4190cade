//! Reinforcing bars and wire meshes against an exact solution: conducting cylinders side by side in a medium with losses,
//! every cylinder scattering what all the others do (multipoles and lattice sums).

#![expect(clippy::print_stdout, reason = "tests show what they measured")]

mod common;

use building::Electrical;
use common::{assembly, framed, id, layer};
use num_complex::Complex64;
use propagation::slab::{
    FREE_SPACE_IMPEDANCE, Layer, Medium, SPEED_OF_LIGHT, coefficients, mesh_reactance, permittivity,
};
use propagation::wall::{Answer, Wall};
use propagation::{Carrier, PathConfig, PropagationError, Scene, Tolerance};
use std::f64::consts::{FRAC_PI_2, PI, TAU};
use units::{Hertz, Point3};

/// Multipoles of a cylinder: −`ORDERS` to `ORDERS`.
const ORDERS: usize = 12;
const EULER: f64 = 0.577_215_664_901_532_9;

fn c(x: f64) -> Complex64 {
    Complex64::from(x)
}

/// `J_n` by its power series; for |z| up to about 8.
fn bessel_j(n: usize, z: Complex64) -> Complex64 {
    let mut term = (1..=n).fold(c(1.0), |t, k| t * z / (2.0 * k as f64));
    let mut sum = term;
    for k in 1..60 {
        term *= -z * z / (4.0 * k as f64 * (n + k) as f64);
        sum += term;
    }
    sum
}

/// `H_n⁽²⁾` for `n` from 0 to `most`.
fn hankel(most: usize, z: Complex64) -> Vec<Complex64> {
    let (h0, h1) = if z.norm() > 14.0 {
        (far(0.0, z), far(1.0, z))
    } else {
        // Y₀ and Y₁ by their series (Abramowitz and Stegun 9.1.11).
        let log = (z / 2.0).ln() + EULER;
        let (mut y0, mut y1) = (log * bessel_j(0, z), c(0.0));
        let (mut term, mut harmonic) = (c(1.0), 0.0);
        for k in 1..60 {
            harmonic += 1.0 / k as f64;
            term *= -z * z / (4.0 * (k * k) as f64);
            y0 -= term * harmonic;
        }
        let (mut term, mut harmonic) = (z / 2.0, 0.0);
        for k in 0..60 {
            if k > 0 {
                harmonic += 1.0 / k as f64;
                term *= -z * z / (4.0 * (k * (k + 1)) as f64);
            }
            y1 += term * (2.0 * harmonic + 1.0 / (k + 1) as f64);
        }
        let y0 = y0 * (2.0 / PI);
        let y1 = (2.0 / PI) * log * bessel_j(1, z) - 2.0 / (PI * z) - y1 / PI;
        let i = Complex64::i();
        (bessel_j(0, z) - i * y0, bessel_j(1, z) - i * y1)
    };
    let mut out = vec![h0, h1];
    for n in 1..most {
        out.push(out[n] * (2.0 * n as f64) / z - out[n - 1]);
    }
    out
}

/// Asymptotic expansion of `H_n⁽²⁾`.
fn far(n: f64, z: Complex64) -> Complex64 {
    let mut term = c(1.0);
    let mut sum = c(1.0);
    for k in 1..14 {
        let odd = 2.0 * f64::from(k) - 1.0;
        term *= -Complex64::i() * (4.0 * n * n - odd * odd) / (8.0 * f64::from(k) * z);
        sum += term;
    }
    (2.0 / (PI * z)).sqrt() * (-Complex64::i() * (z - n * FRAC_PI_2 - PI / 4.0)).exp() * sum
}

#[derive(Clone, Copy, Debug)]
struct Grating {
    /// Straight on, in amplitude.
    transmitted: Complex64,
    reflected: Complex64,
    /// Power behind it, over that which arrives, in all directions in which a wave goes on.
    behind: f64,
    /// The same before it.
    before: f64,
}

/// A wave along the normal of cylinders of a radius, every `pitch`, its electric field along them or across.
fn grating(wave_number: Complex64, pitch: f64, radius: f64, is_along: bool) -> Grating {
    let k = wave_number;
    let most = 2 * ORDERS + 2;
    // S_l = 2 Σ H_l(k p d) for even l; the sums of odd l cancel between left and right.
    let mut sums = vec![c(0.0); most];
    for p in 1..200_000 {
        let terms = hankel(most, k * pitch * f64::from(p));
        for (sum, term) in sums.iter_mut().zip(&terms).step_by(2) {
            *sum += 2.0 * term;
        }
        if (-(k.im) * pitch * f64::from(p)) > 34.0 {
            break;
        }
    }
    let own = hankel(ORDERS + 1, k * radius);
    let regular: Vec<Complex64> = (0..=ORDERS + 1).map(|n| bessel_j(n, k * radius)).collect();
    // Ratio of scattered to incident multipole: −J/H, or of the derivatives.
    let ratio = |n: usize| {
        let slope = |f: &[Complex64]| if n == 0 { -f[1] } else { (f[n - 1] - f[n + 1]) * 0.5 };
        if is_along { -regular[n] / own[n] } else { -slope(&regular) / slope(&own) }
    };
    let size = 2 * ORDERS + 1;
    let order = |row: usize| row as i64 - ORDERS as i64;
    let mut matrix = vec![vec![c(0.0); size + 1]; size];
    for (row, line) in matrix.iter_mut().enumerate() {
        let m = order(row);
        let ratio = ratio(m.unsigned_abs() as usize);
        for (column, value) in line.iter_mut().take(size).enumerate() {
            let l = (order(column) - m).unsigned_abs() as usize;
            *value = c(if row == column { 1.0 } else { 0.0 }) - ratio * sums[l];
        }
        line[size] = ratio * if m % 2 == 0 { 1.0 } else { -1.0 };
    }
    let scattered = solve(matrix);
    let radiates = |k_along: Complex64, forward: bool| {
        let k_on = (k * k - k_along * k_along).sqrt();
        let k_on = if k_on.im > 0.0 { -k_on } else { k_on };
        // e^{jφ} of the direction.
        let turn = (k_along + Complex64::i() * if forward { k_on } else { -k_on }) / k;
        let sum: Complex64 =
            scattered.iter().enumerate().map(|(i, b)| b * (Complex64::i() * turn).powi(order(i) as i32)).sum();
        (sum * 2.0 / (k_on * pitch), k_on)
    };
    let transmitted = 1.0 + radiates(c(0.0), true).0;
    let reflected = radiates(c(0.0), false).0;
    let [mut behind, mut before] = [transmitted, reflected].map(|a| a.norm_sqr());
    for m in 1..40 {
        let along = c(TAU * f64::from(m) / pitch);
        if along.re < k.re {
            for (sum, forward) in [(&mut behind, true), (&mut before, false)] {
                let (amplitude, k_on) = radiates(along, forward);
                *sum += 2.0 * amplitude.norm_sqr() * k_on.re / k.re;
            }
        }
    }
    Grating { transmitted, reflected, behind, before }
}

/// Gauss–Jordan with pivots.
fn solve(mut m: Vec<Vec<Complex64>>) -> Vec<Complex64> {
    let n = m.len();
    for i in 0..n {
        let pivot = (i..n).max_by(|&a, &b| m[a][i].norm().total_cmp(&m[b][i].norm())).unwrap();
        m.swap(i, pivot);
        let head = m[i][i];
        m[i].iter_mut().for_each(|x| *x /= head);
        for row in 0..n {
            if row != i {
                let factor = m[row][i];
                let above = m[i].clone();
                m[row].iter_mut().zip(above).for_each(|(x, a)| *x -= factor * a);
            }
        }
    }
    m.into_iter().map(|row| row[n]).collect()
}

fn db(power: f64) -> f64 {
    -10.0 * power.log10()
}

/// `J` and `H⁽²⁾` against tabulated values, series and asymptotic form against each other, and the Wronskian.
#[test]
fn cylinder_functions() {
    assert!((bessel_j(0, c(1.0)) - 0.765_197_686_557_967).norm() < 1e-14);
    let h = hankel(2, c(1.0));
    assert!((h[0].im + 0.088_256_964_215_677).abs() < 1e-13 && (h[1].im - 0.781_212_821_300_289).abs() < 1e-13);
    for z in [c(0.3), Complex64::new(5.0, -0.7), Complex64::new(1.0, -2.0)] {
        let h = hankel(1, z);
        // J₁ H₀ − J₀ H₁ = −(J₀ Y₁ − J₁ Y₀)(−i) = 2/(iπz) for the second kind.
        let wronskian = bessel_j(1, z) * h[0] - bessel_j(0, z) * h[1];
        assert!((wronskian - 2.0 / (Complex64::i() * PI * z)).norm() < 1e-10, "{z} {wronskian}");
    }
}

/// Concrete's wave number.
fn concrete(ghz: f64) -> Complex64 {
    let Electrical::Dielectric { a, c, d, .. } = common::material("concrete").electrical else { panic!() };
    permittivity(a, c * ghz.powf(d), ghz * 1e9).sqrt() * (TAU * ghz * 1e9 / SPEED_OF_LIGHT)
}

/// With next to no losses in the medium all power is before or behind; a fine grid lets little through along, all across.
#[test]
fn cylinders_keep_power() {
    for (pitch, radius) in [(0.15, 0.005), (0.08, 0.01), (0.02, 0.002)] {
        for is_along in [true, false] {
            let g = grating(Complex64::new(100.0, -0.005), pitch, radius, is_along);
            let sum = g.behind + g.before;
            println!("{pitch} {radius} {is_along}: {} behind, {} before", g.behind, g.before);
            assert!((sum - 1.0).abs() < 2e-3, "{pitch} {radius} {is_along}: {sum}");
        }
    }
    let [along, across] = [true, false].map(|is_along| grating(concrete(2.437), 0.005, 0.0005, is_along));
    assert!(db(along.transmitted.norm_sqr()) > 10.0 && db(across.transmitted.norm_sqr()) < 0.1);
    assert!(along.reflected.norm() > 0.9 && across.reflected.norm() < 0.1);
}

/// A square mat of 10 mm bars every 150 mm in concrete: the stated mixture (a shadow) beside the exact solution, whose bars
/// along and across a field are taken one after the other. What a mat throws back is printed: the shadow takes its whole face, 0.13 of the
/// power for bars both ways.
///
/// At 2.4 GHz such bars stand 2.7 wavelengths of concrete apart: the reactance of a fine grid does not hold for them.
#[test]
fn reinforcing_bars() {
    for ghz in [2.437, 5.25, 6.5] {
        let [along, across] = [true, false].map(|is_along| grating(concrete(ghz), 0.15, 0.005, is_along));
        let straight = db(along.transmitted.norm_sqr()) + db(across.transmitted.norm_sqr());
        let all = db(along.behind) + db(across.behind);
        let carrier = Carrier::new(Hertz::from_ghz(ghz), Hertz(0.0));
        let loss = |layers| db(Wall::new(&assembly("w", layers), carrier, Tolerance::EXACT).unwrap().at(1.0).te);
        let plain = loss(vec![layer("concrete", 150.0)]);
        let mat = |width: f64| {
            let bars = building::ResolvedLayer {
                framing: framed("metal", 10.0, 150.0, width).framing,
                ..layer("concrete", 10.0)
            };
            loss(vec![layer("concrete", 25.0), bars, layer("concrete", 115.0)]) - plain
        };
        // As the library has them.
        let slab = building::library::assembly("concrete-slab-150").unwrap();
        let width = slab.layers.iter().find_map(|l| l.framing.as_ref()).unwrap().width;
        let (one_way, both_ways) = (mat(10.0), mat(width.mm()));
        println!(
            "{ghz} GHz, 150 mm of concrete {plain:.2} dB; a mat: exact {straight:.2} dB straight on, {all:.2} dB in all \
             directions; shadow of bars one way {one_way:.2} dB, both ways {both_ways:.2} dB; thrown back {:.3}",
            along.before + across.before
        );
        assert!((along.before + across.before - width.0 / 0.15).abs() < 0.06);
        assert!(straight > all && straight - one_way < 1.0 && (both_ways - all).abs() < 0.15);
    }
}

/// The library's meshes as shunt reactances, in air, beside parallel wires along the field, at four frequencies; what a resistive
/// sheet of the same transmission at 4.1 GHz would say is printed beside.
#[test]
fn meshes() {
    for name in ["metal-lath", "wire-mesh"] {
        let (pitch, radius) = mesh(name);
        for ghz in [1.0, 2.437, 4.1, 5.25, 6.5, 7.0] {
            let k = TAU * ghz * 1e9 / SPEED_OF_LIGHT;
            let exact = db(grating(Complex64::new(k, -2e-3 * k), pitch, radius, true).transmitted.norm_sqr());
            let of = |medium| {
                let found = coefficients(&[Layer { medium, thickness: 0.0 }], ghz * 1e9, 1.0);
                assert!((found.te.transmitted - found.tm.transmitted).norm() < 1e-12);
                (db(found.te.transmittance()), found.te.absorptance())
            };
            let (reactive, absorbed) = of(Medium::Mesh { pitch, radius });
            let (resistive, _) = of(Medium::Sheet(sheet_like(pitch, radius)));
            println!(
                "{name} {ghz} GHz, pitch {:.2} λ: exact {exact:.2}, reactance {reactive:.2}, sheet {resistive:.2} dB",
                pitch * k / TAU
            );
            assert!(absorbed.abs() < 1e-9);
            let wavelengths = pitch * k / TAU;
            assert!((reactive - exact).abs() < if wavelengths < 0.2 { 0.4 } else { 1.0 }, "{reactive} {exact}");
        }
    }
    // Without holes, or with none left between the wires: a perfect conductor, not a number that is none.
    for radius in [0.01, 0.00159, 1.0] {
        let closed = coefficients(&[Layer { medium: Medium::Mesh { pitch: 0.01, radius }, thickness: 0.0 }], 5e9, 0.5);
        assert!(closed.te.reflectance() > 0.999 && closed.tm.reflectance() > 0.999, "{closed:?}");
    }
}

fn material(name: &str) -> building::Material {
    building::library::material(name).unwrap().clone()
}

fn mesh(name: &str) -> (f64, f64) {
    let electrical = material(name).electrical;
    let Electrical::Mesh { pitch, radius } = electrical else { panic!("{name} is {electrical:?}") };
    (pitch, radius)
}

/// Resistance of the sheet that passes as much in air as a mesh at 4.1 GHz \[Ω per square\].
fn sheet_like(pitch: f64, radius: f64) -> f64 {
    let medium = Medium::Mesh { pitch, radius };
    let passed = coefficients(&[Layer { medium, thickness: 0.0 }], 4.13e9, 1.0).te.transmitted.norm();
    0.5 * FREE_SPACE_IMPEDANCE * passed / (1.0 - passed)
}

/// Walls of the library that hold a mesh, beside the same with a sheet that is right at 4.1 GHz. Lath costs far more at 2.4 GHz
/// and far less above 5; a wide mesh in render costs little, and can match thin layers to the air, as any inductance can.
#[test]
fn walls_with_meshes() {
    for (wall, name) in [("plaster-metal-lath-partition", "metal-lath"), ("stud-outer-stucco", "wire-mesh")] {
        let (pitch, radius) = mesh(name);
        let layers = |electrical: Option<Electrical>| {
            let layers = building::library::assembly(wall).unwrap().layers.iter().filter_map(|l| {
                let mut found = building::ResolvedLayer {
                    material: material(l.material.as_str()),
                    thickness: l.thickness.0,
                    framing: None,
                };
                if l.material.as_str() == name {
                    found.material.electrical = electrical?;
                }
                found.framing = l.framing.as_ref().map(|f| building::ResolvedFraming {
                    material: material(f.material.as_str()),
                    spacing: f.spacing.0,
                    width: f.width.0,
                });
                Some(found)
            });
            assembly(wall, layers.collect())
        };
        let sheet = Electrical::Sheet { ohm_per_square: sheet_like(pitch, radius) };
        let of = |electrical, ghz| {
            let carrier = Carrier::new(Hertz::from_ghz(ghz), Hertz::from_mhz(80.0));
            let wall = Wall::new(&layers(electrical), carrier, Tolerance::default()).unwrap();
            (db(wall.at(1.0).te), wall.answer(Answer::BackFromFirst, 1.0).te)
        };
        let mut found = Vec::new();
        for ghz in [2.437, 5.25, 6.5] {
            let [(bare, _), (old, back), (new, thrown)] =
                [None, Some(sheet), Some(material(name).electrical)].map(|e| of(e, ghz));
            println!(
                "{wall} {ghz} GHz: {new:.2} dB ({thrown:.2} thrown back), with a sheet {old:.2} dB ({back:.2}), without {bare:.2} dB"
            );
            found.push([new, old, bare]);
        }
        if name == "metal-lath" {
            assert!(
                found[0][0] > found[0][1] + 3.0 && found[1][0] < found[1][1] - 3.0 && found[2][0] < found[2][1] - 3.0
            );
        } else {
            assert!(found.iter().all(|[new, _, bare]| (new - bare).abs() < 1.2), "{found:?}");
        }
    }
    // In the render itself, against the exact solution, straight on: the wires' own part alone.
    let (pitch, radius) = mesh("wire-mesh");
    let Electrical::Dielectric { a, c, d, .. } = material("cement-render").electrical else { panic!() };
    for ghz in [2.437f64, 5.25, 6.5] {
        let epsilon = permittivity(a, c * ghz.powf(d), ghz * 1e9);
        let k = epsilon.sqrt() * (TAU * ghz * 1e9 / SPEED_OF_LIGHT);
        let [along, across] = [true, false].map(|is_along| grating(k, pitch, radius, is_along));
        // A shunt X between half spaces of impedance Z₀/n.
        let x = Complex64::i() * mesh_reactance(pitch, radius, ghz * 1e9);
        let shunt = db((1.0 / (1.0 + FREE_SPACE_IMPEDANCE / epsilon.sqrt() / (2.0 * x))).norm_sqr());
        let straight = db(along.transmitted.norm_sqr()) + db(across.transmitted.norm_sqr());
        let all = db(along.behind) + db(across.behind);
        println!(
            "wire-mesh in render, {ghz} GHz, pitch {:.2} λ there: exact {straight:.2} dB straight on, {all:.2} in all directions; reactance {shunt:.2} dB",
            pitch * k.re / TAU
        );
        // Past a wavelength part of it goes on in other directions; a sheet counts that as passed, rightly so on average.
        assert!((shunt - all).abs() < 0.3 && (pitch * k.re / TAU > 1.0 || (shunt - straight).abs() < 0.15));
    }
}

/// Objects of mesh let through and reflect as a mesh does, and their reflections keep power.
#[test]
fn objects_of_mesh() {
    let electrical = material("wire-mesh").electrical;
    let (pitch, radius) = mesh("wire-mesh");
    let block = |electrical| building::Block {
        object: id("cage"),
        outline: common::rectangle(2.0, -1.0, 3.0, 1.0),
        z0: 0.0,
        z1: 2.0,
        electrical,
    };
    let gain = |electrical: Option<Electrical>, ghz, to| {
        let home =
            building::Resolved { blocks: electrical.map(block).into_iter().collect(), ..building::Resolved::default() };
        let carrier = Carrier::new(Hertz::from_ghz(ghz), Hertz(0.0));
        let scene = Scene::with_tolerance(&home, &[carrier], Tolerance::EXACT).unwrap();
        scene.paths(Point3::new(0.0, 0.01, 1.0), to, 0, &PathConfig { reflections: 1, diffraction: false })
    };
    for ghz in [2.437, 6.5] {
        let slab = [Layer { medium: Medium::Mesh { pitch, radius }, thickness: 0.0 }];
        let face = coefficients(&slab, ghz * 1e9, 1.0).te;
        let behind = Point3::new(5.0, 0.01, 1.0);
        let [with, without] = [Some(electrical), None].map(|e| gain(e, ghz, behind).paths[0].gain.0);
        assert!((without - with - 2.0 * db(face.transmittance())).abs() < 1e-3, "{with} {without}");
        // Back to where it came from: a reflection along the normal, 3.9 m instead of 0.1 m.
        let before = gain(Some(electrical), ghz, Point3::new(0.1, 0.01, 1.0));
        let reflected = before.paths.iter().find(|p| p.num_reflections() == 1).unwrap();
        let loss = -reflected.gain.0 - reflected.free_space.0;
        assert!((loss - db(face.reflectance())).abs() < 1e-3, "{loss} {}", db(face.reflectance()));
    }
    // Refused where its pitch is over a wavelength, and without holes.
    let refused = |electrical, ghz| {
        let home = building::Resolved { blocks: vec![block(electrical)], ..building::Resolved::default() };
        Scene::new(&home, &[Carrier::new(Hertz::from_ghz(ghz), Hertz(0.0))]).err()
    };
    assert!(matches!(refused(electrical, 12.5), Some(PropagationError::Material { .. })));
    for (pitch, radius) in [(0.01, 0.005), (0.01, 0.0), (f64::NAN, 0.001), (0.01, f64::NAN), (f64::INFINITY, 0.001)] {
        let error = refused(Electrical::Mesh { pitch, radius }, 5.0);
        assert!(matches!(error, Some(PropagationError::Mesh { .. })), "{pitch} {radius}: {error:?}");
    }
}
