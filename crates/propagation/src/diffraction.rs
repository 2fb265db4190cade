//! Diffraction at straight edges by the uniform theory of diffraction (UTD).
//!
//! Metal wedges have its coefficients. For edges of walls and floors that let part of the field through there is no exact
//! theory of use; the stated heuristic weighs the same terms by what the wall passes and reflects. Edges where walls and
//! floors join do not diffract here, nor do the ends of edges (corners of openings).

use std::sync::LazyLock;

use num_complex::Complex64;

/// Below this root of the argument a series is used, above a continued fraction.
const SERIES_LIMIT: f64 = 2.0;

/// Transition function `F(x) = 2j √x e^{jx} ∫_{√x}^∞ e^{−jt²} dt`.
///
/// # Validity
/// `x ≥ 0`; goes to one for large `x`. Better than 1e-10.
///
/// # References
/// R. G. Kouyoumjian and P. H. Pathak, "A uniform geometrical theory of diffraction for an edge in a perfectly conducting
/// surface", Proc. IEEE 62, 1974 (from memory).
#[must_use]
pub fn transition(x: f64) -> Complex64 {
    let root = x.max(0.0).sqrt();
    let j = Complex64::i();
    // ∫_r^∞ e^{−jt²} dt = (√π/2) e^{−jπ/4} erfc(e^{jπ/4} r)
    let z = Complex64::from_polar(root, std::f64::consts::FRAC_PI_4);
    let half = std::f64::consts::PI.sqrt() / 2.0;
    if root < SERIES_LIMIT {
        let integral = Complex64::from_polar(half, -std::f64::consts::FRAC_PI_4) * (1.0 - erf_series(z));
        return 2.0 * j * root * Complex64::from_polar(1.0, x) * integral;
    }
    // erfc(z) = e^{−z²}/(√π) · 1/(z + (1/2)/(z + 1/(z + (3/2)/(z + …)))), and e^{−z²} = e^{−jx} cancels e^{jx}.
    // The larger the argument, the sooner the fraction has settled.
    let depth = 10 + (200.0 / x).min(50.0) as u32;
    let mut tail = z;
    for k in (1..=depth).rev() {
        tail = z + 0.5 * f64::from(k) / tail;
    }
    let scaled = (std::f64::consts::PI.sqrt() * tail).inv();
    2.0 * j * root * Complex64::from_polar(half, -std::f64::consts::FRAC_PI_4) * scaled
}

/// `erf(z) = 2/√π Σ (−1)ⁿ z^{2n+1} / (n! (2n+1))`.
fn erf_series(z: Complex64) -> Complex64 {
    let square = z * z;
    let mut term = z;
    let mut sum = z;
    for n in 1..80 {
        term = -term * square / f64::from(n);
        sum += term / f64::from(2 * n + 1);
        if term.norm_sqr() < 1e-32 * sum.norm_sqr() {
            break;
        }
    }
    sum * (2.0 / std::f64::consts::PI.sqrt())
}

/// Where source and receiver are, seen along an edge.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bend {
    /// Exterior angle of the wedge over π: 2 for a thin sheet, 1.5 for a right-angled corner.
    pub n: f64,
    /// Angle of the receiver from the wedge's first face, 0 to nπ \[rad\].
    pub to: f64,
    /// Angle of the source from the same face \[rad\].
    pub from: f64,
    /// Sine of the angle between the ray and the edge.
    pub sin_edge: f64,
    /// Length from the source to the edge \[m\].
    pub before: f64,
    /// Length from the edge to the receiver \[m\].
    pub after: f64,
}

/// The parts of a diffraction coefficient \[√m\].
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Terms {
    /// What makes up for the edge of the incident wave's shadow.
    pub incident: Complex64,
    /// What makes up for the edge of the reflection in the first face.
    pub first_face: Complex64,
    /// What makes up for the edge of the reflection in the other face.
    pub other_face: Complex64,
}

impl Bend {
    /// The four terms of the UTD coefficient, the two of the incident wave in one.
    ///
    /// # Model
    /// For a perfectly conducting wedge the coefficient is `incident ∓ (first_face + other_face)`, minus for the electric
    /// field along the edge. A field `E` at the edge becomes
    /// `E · D · √(s/(s'(s + s'))) e^{−jks'}` at the receiver, `s` before and `s'` after the edge.
    ///
    /// # Units
    /// `wavelength` \[m\]; the result in √m.
    #[must_use]
    pub fn terms(&self, wavelength: f64) -> Terms {
        self.terms_by(wavelength, |root| transition(root * root))
    }

    /// The terms by some form of the transition function, given the root of its argument.
    pub(crate) fn terms_by(&self, wavelength: f64, transition: impl Fn(f64) -> Complex64) -> Terms {
        let wave_number = std::f64::consts::TAU / wavelength;
        let (s, t) = (self.before, self.after);
        let length = s * t * self.sin_edge * self.sin_edge / (s + t);
        let scale = scale(self.n, wave_number, self.sin_edge);
        let (minus, plus) = (self.to - self.from, self.to + self.from);
        if self.n == 2.0 {
            // A sheet: both terms of a pair have one transition function.
            let root = (2.0 * wave_number * length).sqrt();
            let pair = |beta: f64| scale * half_plane((0.5 * beta).cos(), root, &transition);
            let reflected = 0.5 * pair(plus);
            return Terms { incident: pair(minus), first_face: reflected, other_face: reflected };
        }
        let term =
            |beta: f64, sign: f64| scale * cot_times_transition(self.n, beta, sign, wave_number * length, &transition);
        Terms {
            incident: term(minus, 1.0) + term(minus, -1.0),
            first_face: term(plus, -1.0),
            other_face: term(plus, 1.0),
        }
    }
}

/// What all terms have in common: `−e^{−jπ/4}/(2n √(2πk) sin β₀)`.
pub(crate) fn scale(n: f64, wave_number: f64, sin_edge: f64) -> Complex64 {
    let half = std::f64::consts::FRAC_1_SQRT_2;
    -Complex64::new(half, -half) / (2.0 * n * (std::f64::consts::TAU * wave_number).sqrt() * sin_edge)
}

/// The sum of both terms for `n = 2`: `2 F(2kL cos²(β/2)) / cos(β/2)`, continued through the shadow's edge; by `cos(β/2)`
/// and `√(2kL)`.
pub(crate) fn half_plane(cos: f64, root: f64, transition: impl Fn(f64) -> Complex64) -> Complex64 {
    if cos.abs() < 1e-7 {
        let side = if cos < 0.0 { -1.0 } else { 1.0 };
        return 2.0
            * side
            * root
            * std::f64::consts::PI.sqrt()
            * Complex64::from_polar(1.0, std::f64::consts::FRAC_PI_4);
    }
    2.0 * transition(root * cos.abs()) / cos
}

/// Intervals of the table of the transition function for each one of the root of its argument.
const TABLE_DENSITY: f64 = 64.0;
/// From this root of the argument on, a series in its inverse has an error of 2e-8.
const TABLE_END: f64 = 6.0;

static TABLE: LazyLock<Vec<Complex64>> = LazyLock::new(|| {
    let count = (TABLE_END * TABLE_DENSITY) as u32 + 2;
    (0..count).map(|i| transition((f64::from(i) / TABLE_DENSITY).powi(2))).collect()
});

/// The transition function by the root of its argument, for maps: within 1e-7 of [`transition`].
pub(crate) fn quick_transition(root: f64) -> Complex64 {
    if root >= TABLE_END {
        // Σ (2k − 1)‼ (j/2x)ᵏ
        let v = 0.5 / (root * root);
        let w = v * v;
        let re = 1.0 - w * (3.0 - w * (105.0 - w * 10_395.0));
        let im = v * (1.0 - w * (15.0 - w * 945.0));
        return Complex64::new(re, im);
    }
    let position = root.max(0.0) * TABLE_DENSITY;
    let first = (position as usize).saturating_sub(1);
    let Some(&[a, b, c, d]) = TABLE.get(first..first + 4).and_then(|v| v.first_chunk()) else {
        return transition(root * root);
    };
    let [e, f, g, h] = crate::table::cubic_weights(position - first as f64);
    a * e + b * f + c * g + d * h
}

/// `cot((π ± β)/2n) F(kL a±(β))`, continued through the shadow's edge.
fn cot_times_transition(
    n: f64,
    beta: f64,
    sign: f64,
    distance: f64,
    transition: impl Fn(f64) -> Complex64,
) -> Complex64 {
    use std::f64::consts::{FRAC_PI_4, PI};
    // The integer that most nearly makes 2πnN − β = ±π.
    let turns = ((beta + sign * PI) / (2.0 * PI * n)).round();
    // How far from the edge of a shadow: zero where cotangent and transition function meet at ∞ · 0.
    let epsilon = PI + sign * beta - 2.0 * PI * n * sign * turns;
    if epsilon.abs() < 1e-6 {
        let side = if epsilon < 0.0 { -1.0 } else { 1.0 };
        let first = Complex64::from((2.0 * PI * distance).sqrt() * side);
        let second = 2.0 * distance * epsilon * Complex64::from_polar(1.0, FRAC_PI_4);
        return n * (first - second) * Complex64::from_polar(1.0, FRAC_PI_4);
    }
    let a = 2.0 * ((2.0 * PI * n * turns - beta) / 2.0).cos().powi(2);
    transition((distance * a).sqrt()) / ((PI + sign * beta) / (2.0 * n)).tan()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn quick_form() {
        for i in 0..40_000 {
            let root = f64::from(i) * 3.1e-4;
            assert!((quick_transition(root) - transition(root * root)).norm() < 1e-7, "{root}");
        }
        assert!((quick_transition(1e4) - transition(1e8)).norm() < 1e-7);
    }
}
