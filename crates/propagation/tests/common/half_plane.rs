//! The field of a plane wave at a perfectly conducting half plane.

use num_complex::Complex64;
use std::f64::consts::{FRAC_PI_4, PI};

/// ∫_from^∞ e^{−jt²} dt by numbers: Simpson along a path turned into the plane where the integrand dies away.
pub fn fresnel_tail(from: f64) -> Complex64 {
    // t = from + e^{−jπ/4} u: −jt² = −j·from² − 2j·from·e^{−jπ/4}u − u².
    let turn = Complex64::from_polar(1.0, -FRAC_PI_4);
    let value = |u: f64| {
        let t = from + turn * u;
        (-Complex64::i() * t * t).exp() * turn
    };
    let (steps, end) = (12_000, 8.0);
    let h = end / f64::from(steps);
    let sum: Complex64 = (1..steps).map(|i| value(f64::from(i) * h) * if i % 2 == 1 { 4.0 } else { 2.0 }).sum();
    (value(0.0) + value(end) + sum) * h / 3.0
}

/// Sommerfeld's exact solution for a plane wave at a perfectly conducting half plane, by numerical integration.
pub fn sommerfeld(k: f64, rho: f64, to: f64, from: f64, soft: bool) -> Complex64 {
    // e^{jπ/4}/√π · e^{jkρ cos β} ∫_{−√(2kρ) cos(β/2)}^∞ e^{−jt²} dt for β = φ ∓ φ'
    let part = |beta: f64| {
        let lower = -(2.0 * k * rho).sqrt() * (0.5 * beta).cos();
        let tail = if lower >= 0.0 {
            fresnel_tail(lower)
        } else {
            PI.sqrt() * Complex64::from_polar(1.0, -FRAC_PI_4) - fresnel_tail(-lower)
        };
        Complex64::from_polar(1.0 / PI.sqrt(), FRAC_PI_4 + k * rho * beta.cos()) * tail
    };
    let reflected = part(to + from);
    if soft { part(to - from) - reflected } else { part(to - from) + reflected }
}
