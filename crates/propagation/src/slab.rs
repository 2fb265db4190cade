//! Transmission and reflection of a plane wave at a stack of flat layers with air on both sides.
//!
//! This is the coherent answer at one frequency, one angle and exact thicknesses. What a wall of a real home does over
//! a channel, with real tolerances and studs, is in [`wall`](crate::wall).

use num_complex::Complex64;

/// Speed of light in vacuum \[m/s\], exact by the SI.
pub const SPEED_OF_LIGHT: f64 = 299_792_458.0;

/// Electric constant \[F/m\], CODATA 2018.
pub const ELECTRIC_CONSTANT: f64 = 8.854_187_812_8e-12;

/// Impedance of free space \[Ω\]: `1 / (ε₀ c)`.
pub const FREE_SPACE_IMPEDANCE: f64 = 1.0 / (ELECTRIC_CONSTANT * SPEED_OF_LIGHT);

/// Loss of an opaque (metal) layer, in decibels.
///
/// A millimetre of metal is hundreds of skin depths thick, so that the computed transmission is zero for every
/// purpose. What passes a metal part in a home goes round it or through its gaps; 80 dB stands for "nothing that
/// matters to a link". A stated choice, no source.
pub const OPAQUE_LOSS_DB: f64 = 80.0;

/// Smallest cosine of the angle of incidence that is evaluated; grazing incidence is its limit.
const MIN_COS: f64 = 1e-9;

/// What a layer is made of, at one frequency.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Medium {
    /// A bulk with complex relative permittivity `ε′ − jσ/(ωε₀)`; the imaginary part is zero or negative.
    Bulk(Complex64),
    /// A sheet far thinner than its skin depth \[Ω per square\]; its thickness is ignored.
    Sheet(f64),
    /// A square mesh of metal wires that are joined where they cross, such as lath in plaster; its thickness is ignored.
    Mesh {
        /// Distance from wire to wire \[m\]; far below half a wavelength in the media beside it.
        pitch: f64,
        /// Radius of a wire \[m\], less than the pitch over 2π.
        radius: f64,
    },
    /// Metal.
    Opaque,
}

/// Reactance of a mesh as a sheet \[Ω\]: `X = Z₀ (p/λ) ln(p/2πr)`, λ in vacuum, whatever is beside it.
///
/// # Model
/// Shunt inductance of parallel wires along the field (G. G. MacFarlane, JIEE 93 IIIA, 1946); wires across it do next to
/// nothing. Lossless. That joined wires have less of it for TM at a slant (by `sin²θ/2ε`, from memory) is left out.
///
/// # Validity
/// Beside an exact solution for wires along the field at normal incidence: up to 0.4 dB too much loss in air (pitch to 0.6
/// wavelengths), 0.3 to 0.6 dB in concrete (pitch of 0.2 to 0.5 wavelengths of concrete). Reinforcing bars stand farther apart
/// than a wavelength and are no mesh. Never below zero.
#[must_use]
pub fn mesh_reactance(pitch: f64, radius: f64, frequency: f64) -> f64 {
    let wavelength = SPEED_OF_LIGHT / frequency;
    (FREE_SPACE_IMPEDANCE * pitch / wavelength * (pitch / (std::f64::consts::TAU * radius)).ln()).max(0.0)
}

/// One layer.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Layer {
    /// What it is made of.
    pub medium: Medium,
    /// Thickness \[m\].
    pub thickness: f64,
}

/// Amplitude coefficients of one polarisation.
///
/// Both relate the electric field's component along the layers, so that at normal incidence TE and TM agree.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Amplitudes {
    /// Transmitted over incident.
    pub transmitted: Complex64,
    /// Reflected over incident, at the first layer's face.
    pub reflected: Complex64,
}

impl Amplitudes {
    /// Share of the incident power that passes.
    #[must_use]
    pub fn transmittance(&self) -> f64 {
        self.transmitted.norm_sqr()
    }

    /// Share of the incident power that is thrown back.
    #[must_use]
    pub fn reflectance(&self) -> f64 {
        self.reflected.norm_sqr()
    }

    /// Share of the incident power that stays in the layers.
    #[must_use]
    pub fn absorptance(&self) -> f64 {
        1.0 - self.transmittance() - self.reflectance()
    }
}

/// Coefficients of both polarisations.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Coefficients {
    /// Electric field perpendicular to the plane of incidence.
    pub te: Amplitudes,
    /// Electric field in the plane of incidence.
    pub tm: Amplitudes,
}

/// Complex relative permittivity `ε′ − jσ/(ωε₀)`, for `exp(+jωt)`.
///
/// # Units
/// `conductivity` \[S/m\], `frequency` \[Hz\].
#[must_use]
pub fn permittivity(real: f64, conductivity: f64, frequency: f64) -> Complex64 {
    Complex64::new(real, -conductivity / (std::f64::consts::TAU * frequency * ELECTRIC_CONSTANT))
}

/// Transmission and reflection of a stack of layers, the wave meeting the first layer first.
///
/// # Model
/// Transfer (ABCD) matrices of ITU-R P.2040-4, attachment 1, with the time convention `exp(+jωt)`. The growing
/// exponential is taken out of every layer's matrix and only its inverse is multiplied up, so that layers of any
/// thickness and loss neither overflow nor lose digits. A sheet is a shunt admittance `Z₀/Rₛ`; at normal incidence
/// alone it transmits `1/(1 + Z₀/2Rₛ)`. An opaque layer transmits [`OPAQUE_LOSS_DB`] less than one, whatever lies
/// beside it, and is a perfect conductor to the layers before it. A mesh is a shunt admittance `Z₀/jX`, see
/// [`mesh_reactance`].
///
/// # Units
/// `frequency` \[Hz\]; `cos_incidence` is the cosine of the angle from the normal, 0 to 1; the result is in amplitude.
///
/// # Validity
/// Permittivity not zero, imaginary part not positive. `cos_incidence` is held within 1e-9 and 1: at grazing incidence
/// nothing passes. No layers pass everything.
///
/// # Example
/// ```
/// use propagation::slab::{Layer, Medium, coefficients};
/// let foil = [Layer { medium: Medium::Sheet(5.0), thickness: 1e-5 }];
/// let t = coefficients(&foil, 5.25e9, 1.0).te.transmitted.re;
/// assert!((t - 1.0 / (1.0 + 376.73 / 10.0)).abs() < 1e-6);
/// ```
///
/// # References
/// ITU-R P.2040-4 section 2.2.2.2 and attachment 1.
#[must_use]
pub fn coefficients(layers: &[Layer], frequency: f64, cos_incidence: f64) -> Coefficients {
    let mut prepared = Vec::with_capacity(layers.len());
    let cos = prepare(layers, frequency, cos_incidence, &mut prepared);
    evaluate(&prepared, cos, 1.0)
}

/// What of a layer does not depend on its thickness.
#[derive(Clone, Copy, Debug)]
pub(crate) enum Prepared {
    Bulk { epsilon: Complex64, q2: Complex64, q2_over_epsilon: Complex64, one_over_q: Complex64, phase: Complex64 },
    Shunt(Complex64),
    Opaque,
}

/// Prepares layers for an angle; returns the cosine that is used.
pub(crate) fn prepare(layers: &[Layer], frequency: f64, cos_incidence: f64, out: &mut Vec<Prepared>) -> f64 {
    let cos = if cos_incidence.is_nan() { MIN_COS } else { cos_incidence.clamp(MIN_COS, 1.0) };
    let sin2 = 1.0 - cos * cos;
    let wave_number = std::f64::consts::TAU * frequency / SPEED_OF_LIGHT;
    out.clear();
    out.extend(layers.iter().map(|layer| match layer.medium {
        Medium::Bulk(epsilon) => {
            let q2 = epsilon - sin2;
            // Zero only for a bulk thinner than air met at its critical angle; a hair beside it is as good.
            let q = if q2 == Complex64::ZERO { Complex64::from(MIN_COS) } else { root(q2) };
            let phase = q * (wave_number * layer.thickness);
            Prepared::Bulk { epsilon, q2, q2_over_epsilon: q2 / epsilon, one_over_q: q.inv(), phase }
        }
        Medium::Sheet(ohm_per_square) => Prepared::Shunt(Complex64::from(FREE_SPACE_IMPEDANCE / ohm_per_square)),
        Medium::Mesh { pitch, radius } => {
            // A mesh without holes is a perfect conductor; a hair of reactance is as good.
            let reactance = mesh_reactance(pitch, radius, frequency).max(MIN_COS);
            Prepared::Shunt(FREE_SPACE_IMPEDANCE / (Complex64::i() * reactance))
        }
        Medium::Opaque => Prepared::Opaque,
    }));
    cos
}

/// Coefficients with all thicknesses times `scale`.
pub(crate) fn evaluate(layers: &[Prepared], cos: f64, scale: f64) -> Coefficients {
    match stacks(layers.iter(), cos, scale) {
        Ok([te, tm]) => Coefficients { te: te.open(cos), tm: tm.open(1.0 / cos) },
        Err(shorted) => shorted,
    }
}

/// As [`coefficients`] of prepared layers with all thicknesses times `scale`, and what is reflected to the side of the
/// last layer: TE, TM.
pub(crate) fn both_sides(layers: &[Prepared], cos: f64, scale: f64) -> (Coefficients, [Complex64; 2]) {
    match stacks(layers.iter(), cos, scale) {
        Ok([te, tm]) => {
            let front = Coefficients { te: te.open(cos), tm: tm.open(1.0 / cos) };
            (front, [te.reversed().open(cos).reflected, tm.reversed().open(1.0 / cos).reflected])
        }
        Err(front) => {
            let back = stacks(layers.iter().rev(), cos, scale).err().unwrap_or(front);
            (front, [back.te.reflected, back.tm.reflected])
        }
    }
}

/// The layers' matrices multiplied up, TE and TM; the coefficients at once if a layer is opaque.
fn stacks<'a>(layers: impl Iterator<Item = &'a Prepared>, cos: f64, scale: f64) -> Result<[Stack; 2], Coefficients> {
    let mut te = Stack::EMPTY;
    let mut tm = Stack::EMPTY;
    for layer in layers {
        match *layer {
            Prepared::Bulk { epsilon, q2, q2_over_epsilon, one_over_q, phase } => {
                let phase = phase * scale;
                // p = e^{-jγ}: at most one in magnitude, since Im q <= 0.
                let p = (-Complex64::i() * phase).exp();
                let p2 = p * p;
                let even = (p2 + 1.0) * 0.5;
                // j sinγ e^{-jγ} / q, continued through q = 0 (grazing in an air layer).
                let odd = if phase.norm_sqr() < 1e-8 {
                    Complex64::i() * (phase * one_over_q) * p * (1.0 - phase * phase / 6.0)
                } else {
                    (1.0 - p2) * 0.5 * one_over_q
                };
                te.push(even, odd, odd * q2, p);
                tm.push(even, odd * q2_over_epsilon, odd * epsilon, p);
            }
            Prepared::Shunt(admittance) => {
                te.shunt(admittance);
                tm.shunt(admittance);
            }
            Prepared::Opaque => return Err(Coefficients { te: te.shorted(cos), tm: tm.shorted(1.0 / cos) }),
        }
    }
    Ok([te, tm])
}

/// The square root that decays: imaginary part not positive.
fn root(z: Complex64) -> Complex64 {
    let q = z.sqrt();
    if q.im > 0.0 { -q } else { q }
}

/// The product of the layers' matrices (impedances over Z₀), without their decay.
#[derive(Clone, Copy)]
struct Stack {
    a: Complex64,
    b: Complex64,
    c: Complex64,
    d: Complex64,
    decay: Complex64,
}

impl Stack {
    const EMPTY: Self =
        Self { a: Complex64::ONE, b: Complex64::ZERO, c: Complex64::ZERO, d: Complex64::ONE, decay: Complex64::ONE };

    fn push(&mut self, even: Complex64, b: Complex64, c: Complex64, decay: Complex64) {
        *self = Self {
            a: self.a * even + self.b * c,
            b: self.a * b + self.b * even,
            c: self.c * even + self.d * c,
            d: self.c * b + self.d * even,
            decay: self.decay * decay,
        };
    }

    fn shunt(&mut self, admittance: Complex64) {
        self.a += self.b * admittance;
        self.c += self.d * admittance;
    }

    /// The layers in the opposite order: each of them is symmetric.
    fn reversed(self) -> Self {
        Self { a: self.d, d: self.a, ..self }
    }

    /// Air of normalised admittance `y` behind.
    fn open(&self, y: f64) -> Amplitudes {
        let (front, back) = (self.a + self.b * y, self.c + self.d * y);
        let sum = front * y + back;
        Amplitudes { transmitted: self.decay * (2.0 * y) / sum, reflected: (front * y - back) / sum }
    }

    /// A perfect conductor behind; the reflection gives up what the opaque layer is said to pass.
    fn shorted(&self, y: f64) -> Amplitudes {
        let passed = 10f64.powf(-OPAQUE_LOSS_DB / 10.0);
        let reflected = (self.b * y - self.d) / (self.b * y + self.d);
        Amplitudes { transmitted: Complex64::from(passed.sqrt()), reflected: reflected * (1.0 - passed).sqrt() }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_passes_everything() {
        let c = coefficients(&[], 5e9, 0.3);
        assert!((c.te.transmittance() - 1.0).abs() < 1e-12 && c.tm.reflectance() < 1e-12);
    }

    #[test]
    fn air_passes_everything_at_any_angle() {
        let air = [Layer { medium: Medium::Bulk(Complex64::ONE), thickness: 0.3 }];
        for cos in [1.0, 0.5, 1e-3, 1e-6, 0.0] {
            let c = coefficients(&air, 5e9, cos);
            assert!((c.te.transmittance() - 1.0).abs() < 1e-6, "{cos}");
            assert!((c.tm.transmittance() - 1.0).abs() < 1e-6, "{cos}");
        }
    }

    #[test]
    fn grazing_passes_nothing() {
        let brick = [Layer { medium: Medium::Bulk(permittivity(3.91, 0.03, 5e9)), thickness: 0.1 }];
        let c = coefficients(&brick, 5e9, 0.0);
        assert!(c.te.transmittance() < 1e-12 && c.tm.transmittance() < 1e-12);
        assert!((c.te.reflectance() - 1.0).abs() < 1e-6);
    }

    #[test]
    fn a_very_thick_layer_does_not_overflow() {
        let concrete = [Layer { medium: Medium::Bulk(permittivity(5.24, 0.17, 5e9)), thickness: 1e4 }; 3];
        let c = coefficients(&concrete, 5e9, 0.7);
        assert_eq!(c.te.transmittance(), 0.0);
        assert!(c.te.reflectance() > 0.0 && c.te.reflectance() < 1.0);
    }
}
