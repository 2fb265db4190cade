//! What a wall, floor or door passes on average over a channel and over what builders tolerate.
//!
//! A slab computed at one frequency and exact thickness ripples by many decibels (double glazing from 0.2 to 9 dB);
//! no real pane sits on one point of that ripple over a whole channel, and a design must not depend on where. The mean
//! power is taken here. Framing layers are cavities with members, mixed in power.

use std::sync::OnceLock;

use building::{Electrical, Material, ResolvedAssembly, ResolvedFraming};
use findings::Id;
use num_complex::Complex64;
use units::Hertz;

use crate::error::PropagationError;
use crate::quadrature::Quadrature;
use crate::slab::{self, Layer, Medium};
use crate::table::AmplitudeTable;

/// A channel: what a radio transmits at.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Carrier {
    /// Centre frequency.
    pub centre: Hertz,
    /// Bandwidth; zero for a single frequency.
    pub width: Hertz,
}

impl Carrier {
    /// A channel from its centre and width.
    #[must_use]
    pub const fn new(centre: Hertz, width: Hertz) -> Self {
        Self { centre, width }
    }

    /// Wavelength at the centre \[m\].
    #[must_use]
    pub fn wavelength(&self) -> f64 {
        slab::SPEED_OF_LIGHT / self.centre.0
    }

    pub(crate) fn check(&self, index: usize) -> Result<(), PropagationError> {
        let (centre, width) = (self.centre.0, self.width.0);
        if centre.is_finite() && centre > 0.0 && width >= 0.0 && width < 2.0 * centre {
            return Ok(());
        }
        Err(PropagationError::Carrier { index, centre, width })
    }
}

/// Over what thicknesses the transmission of a build-up is averaged.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tolerance {
    /// Largest deviation from the stated thickness, as a share of it; 0 for exact thickness.
    pub thickness: f64,
}

impl Tolerance {
    /// Exact thickness.
    pub const EXACT: Self = Self { thickness: 0.0 };

    pub(crate) fn check(self) -> Result<(), PropagationError> {
        if (0.0..1.0).contains(&self.thickness) {
            return Ok(());
        }
        Err(PropagationError::Tolerance { thickness: self.thickness })
    }
}

impl Default for Tolerance {
    /// ±10 %, evenly distributed, the same for all layers and cavities of a build-up: a stated choice, no source.
    fn default() -> Self {
        Self { thickness: 0.10 }
    }
}

/// Frequencies at which a channel is evaluated (Gauss–Legendre).
///
/// With [`THICKNESS_NODES`] within 0.006 dB of a dense mean for 160 MHz at 7 GHz, build-ups up to 0.43 m and 80°.
pub const CHANNEL_NODES: usize = 2;

/// Thicknesses at which the tolerance is evaluated (Gauss–Legendre).
///
/// See [`CHANNEL_NODES`] for the error.
pub const THICKNESS_NODES: usize = 16;

/// Most framing layers in one assembly; each doubles the work.
pub const MAX_FRAMING_LAYERS: usize = 4;

/// Largest share of a framing layer that opaque members can shadow.
///
/// Straight rays say that beyond some angle metal studs hide each other entirely; diffraction round them and the
/// service holes in them leave some power to pass: 5 % (13 dB). A stated choice, no source.
pub const MAX_SHADOW: f64 = 0.95;

/// Most that one crossing is said to cost in decibels: what passes a joint, a gap or another way round is more than what
/// passes through a metre of concrete. A stated choice, no source.
pub const MAX_CROSSING_LOSS_DB: f64 = slab::OPAQUE_LOSS_DB;

/// Mean transmission or reflection of a build-up at one angle.
///
/// Amplitudes relate the field's component along the wall, so that TE and TM agree at normal incidence.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Response {
    /// Mean share of power, electric field perpendicular to the plane of incidence.
    pub te: f64,
    /// Mean share of power, electric field in the plane of incidence.
    pub tm: f64,
    /// Mean of `t_TE · conj(t_TM)`: how far both stay in step, so that a field that is neither can be followed.
    pub cross: Complex64,
}

/// What is asked of a wall.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Answer {
    /// What passes; the same from both sides.
    Through,
    /// What is thrown back to the side of the first layer (a wall's left, a floor's top).
    BackFromFirst,
    /// What is thrown back to the side of the last layer.
    BackFromLast,
}

/// Every answer, by its number.
pub(crate) const ANSWERS: [Answer; 3] = [Answer::Through, Answer::BackFromFirst, Answer::BackFromLast];

impl Response {
    pub(crate) const NOTHING: Self = Self { te: 0.0, tm: 0.0, cross: Complex64::ZERO };

    fn add(&mut self, weight: f64, other: Response) {
        self.te += weight * other.te;
        self.tm += weight * other.tm;
        self.cross += other.cross * weight;
    }

    fn opaque(answer: Answer) -> Self {
        let passed = 10f64.powf(-MAX_CROSSING_LOSS_DB / 10.0);
        let share = if answer == Answer::Through { passed } else { 1.0 - passed };
        Self { te: share, tm: share, cross: Complex64::from(share) }
    }

    /// Holds both losses within [`MAX_CROSSING_LOSS_DB`].
    fn limited(self) -> Self {
        let least = 10f64.powf(-MAX_CROSSING_LOSS_DB / 10.0);
        Self { te: self.te.max(least), tm: self.tm.max(least), cross: self.cross }
    }

    /// Mean of both polarisations' power transmission.
    #[must_use]
    pub fn mean(&self) -> f64 {
        0.5 * (self.te + self.tm)
    }
}

/// An assembly at a carrier, ready to be asked for any angle.
///
/// # Model
/// Mean of the slab's power transmission over the channel (evenly, [`CHANNEL_NODES`]) and over a thickness tolerance
/// (evenly, one factor for all layers and cavities, [`THICKNESS_NODES`]).
///
/// A framing layer mixes in power `(1 − f)·T(cavity) + f·T(members)`:
/// - opaque members (metal): `T(members)` is that of an opaque layer and `f(θ) = (width + depth·tan θ)/spacing`, the
///   share that upright members shadow, at most [`MAX_SHADOW`];
/// - penetrable members (wood): the layer filled solid with the member's material, and `f = width/spacing` at every
///   angle, which keeps the mean length of way through the member.
///
/// Several framing layers are mixed independently.
///
/// # Validity
/// Members closer than a wavelength diffract, which the mixture leaves out.
#[derive(Clone, Debug)]
pub struct Wall {
    parts: Vec<Part>,
    framing: Vec<Frame>,
    centre: f64,
    frequencies: Vec<(f64, f64)>,
    scales: Quadrature,
    /// Amplitudes over the angle, for maps with diffraction: made when first asked for.
    tabulated: OnceLock<[AmplitudeTable; 3]>,
}

/// One combination of cavity and members: what the layers are at each frequency node; none if a member is opaque.
#[derive(Clone, Debug)]
struct Part {
    layers: Option<Vec<Vec<Layer>>>,
    /// The same at the channel's centre.
    centre: Option<Vec<Layer>>,
}

#[derive(Clone, Debug)]
struct Frame {
    layer: usize,
    width: f64,
    depth: f64,
    spacing: f64,
    opaque: bool,
}

impl Frame {
    fn of(layer: usize, depth: f64, framing: &ResolvedFraming) -> Self {
        let opaque = matches!(framing.material.electrical, Electrical::Metal);
        Self { layer, width: framing.width, depth, spacing: framing.spacing, opaque }
    }

    /// Share of the layer that the members take up for a ray.
    fn share(&self, cos: f64) -> f64 {
        if !self.opaque {
            return (self.width / self.spacing).clamp(0.0, 1.0);
        }
        let tan = (1.0 - cos * cos).max(0.0).sqrt() / cos;
        ((self.width + self.depth * tan) / self.spacing).clamp(0.0, MAX_SHADOW)
    }
}

impl Wall {
    /// Prepares an assembly for a carrier.
    ///
    /// # Errors
    /// A material whose constants do not hold over the whole channel, a sheet without a positive resistance, too many
    /// framing layers, a size that is no size, or a carrier that is no channel.
    pub fn new(assembly: &ResolvedAssembly, carrier: Carrier, tolerance: Tolerance) -> Result<Self, PropagationError> {
        carrier.check(0)?;
        tolerance.check()?;
        let framing = frames(assembly)?;
        for edge in [-0.5, 0.5] {
            let frequency = carrier.centre.0 + edge * carrier.width.0;
            for layer in &assembly.layers {
                medium(&assembly.id, &layer.material, frequency)?;
                if let Some(framing) = &layer.framing {
                    medium(&assembly.id, &framing.material, frequency)?;
                }
            }
        }
        let channel = Quadrature::over(carrier.width.0 > 0.0, CHANNEL_NODES);
        let frequencies: Vec<(f64, f64)> =
            channel.nodes().map(|(x, w)| (carrier.centre.0 + 0.5 * carrier.width.0 * x, w)).collect();
        let mut scales = Quadrature::over(tolerance.thickness > 0.0, THICKNESS_NODES);
        scales.map(|x| 1.0 + tolerance.thickness * x);

        let mut parts = Vec::with_capacity(1 << framing.len());
        for choice in 0..1usize << framing.len() {
            let solid =
                |layer: usize| framing.iter().enumerate().any(|(i, f)| f.layer == layer && choice >> i & 1 == 1);
            if framing.iter().enumerate().any(|(i, f)| f.opaque && choice >> i & 1 == 1) {
                parts.push(Part { layers: None, centre: None });
                continue;
            }
            let stack = |frequency: f64| -> Result<Vec<Layer>, PropagationError> {
                let mut stack = Vec::with_capacity(assembly.layers.len());
                for (index, layer) in assembly.layers.iter().enumerate() {
                    let material = match &layer.framing {
                        Some(framing) if solid(index) => &framing.material,
                        _ => &layer.material,
                    };
                    stack
                        .push(Layer { medium: medium(&assembly.id, material, frequency)?, thickness: layer.thickness });
                }
                Ok(stack)
            };
            let layers: Result<Vec<_>, _> = frequencies.iter().map(|&(frequency, _)| stack(frequency)).collect();
            parts.push(Part { layers: Some(layers?), centre: Some(stack(carrier.centre.0)?) });
        }
        Ok(Self { parts, framing, centre: carrier.centre.0, frequencies, scales, tabulated: OnceLock::new() })
    }

    /// Mean transmission at an angle of incidence, given by its cosine (0 grazing, 1 along the normal).
    #[must_use]
    pub fn at(&self, cos_incidence: f64) -> Response {
        self.answer(Answer::Through, cos_incidence)
    }

    /// Mean transmission or reflection at an angle of incidence, given by its cosine.
    ///
    /// A framing layer's reflection is mixed in power with the same shares as its transmission.
    #[must_use]
    pub fn answer(&self, answer: Answer, cos_incidence: f64) -> Response {
        self.combine(
            answer,
            cos_incidence,
            (0..self.parts()).map(|part| self.part(part, cos_incidence)[answer as usize]),
        )
    }

    /// Amplitudes for TE and TM at the channel's centre and the stated thicknesses.
    ///
    /// What keeps its phase behind or before a framing layer is the mean of the amplitudes, weighted by the shares.
    #[must_use]
    pub fn amplitudes(&self, answer: Answer, cos_incidence: f64) -> (Complex64, Complex64) {
        let mut sum = (Complex64::ZERO, Complex64::ZERO);
        let mut prepared = Vec::new();
        for (index, part) in self.parts.iter().enumerate() {
            let share = self.share(index, cos_incidence);
            let (te, tm) = match &part.centre {
                None => {
                    let amplitude = Response::opaque(answer).te.sqrt();
                    let both = Complex64::from(if answer == Answer::Through { amplitude } else { -amplitude });
                    (both, both)
                }
                Some(stack) => {
                    let cos = slab::prepare(stack, self.centre, cos_incidence, &mut prepared);
                    if answer == Answer::BackFromLast {
                        prepared.reverse();
                    }
                    let c = slab::evaluate(&prepared, cos, 1.0);
                    (pick(answer, c.te), pick(answer, c.tm))
                }
            };
            sum.0 += te * share;
            sum.1 += tm * share;
        }
        sum
    }

    /// As [`Wall::amplitudes`], from a table, within 1e-5 but where a member's shadow sets in.
    pub(crate) fn tabulated_amplitudes(&self, answer: Answer, cos_incidence: f64) -> (Complex64, Complex64) {
        let tables = self.tabulated.get_or_init(|| {
            [Answer::Through, Answer::BackFromFirst, Answer::BackFromLast]
                .map(|answer| AmplitudeTable::new(|cos| self.amplitudes(answer, cos)))
        });
        let [through, first, last] = tables;
        match answer {
            Answer::Through => through.at(cos_incidence),
            Answer::BackFromFirst => first.at(cos_incidence),
            Answer::BackFromLast => last.at(cos_incidence),
        }
    }

    /// How many combinations of cavity and members there are.
    pub(crate) fn parts(&self) -> usize {
        self.parts.len()
    }

    /// Share of the wall that a combination takes up at an angle; all shares sum to one.
    pub(crate) fn share(&self, part: usize, cos: f64) -> f64 {
        let cos = cos.clamp(1e-6, 1.0);
        let mut share = 1.0;
        for (i, frame) in self.framing.iter().enumerate() {
            let f = frame.share(cos);
            share *= if part >> i & 1 == 1 { f } else { 1.0 - f };
        }
        share
    }

    /// Mean answers of one combination in the order of [`ANSWERS`], smooth over the angle.
    pub(crate) fn part(&self, part: usize, cos: f64) -> [Response; 3] {
        let Some(Part { layers: Some(stacks), .. }) = self.parts.get(part) else {
            return ANSWERS.map(Response::opaque);
        };
        let mut sums = [Response::NOTHING; 3];
        let mut prepared = Vec::new();
        for (&(frequency, weight), stack) in self.frequencies.iter().zip(stacks) {
            let cos = slab::prepare(stack, frequency, cos, &mut prepared);
            for (scale, share) in self.scales.nodes() {
                let (c, [back_te, back_tm]) = slab::both_sides(&prepared, cos, scale);
                let answers =
                    [(c.te.transmitted, c.tm.transmitted), (c.te.reflected, c.tm.reflected), (back_te, back_tm)];
                for (sum, (te, tm)) in sums.iter_mut().zip(answers) {
                    let response = Response { te: te.norm_sqr(), tm: tm.norm_sqr(), cross: te * tm.conj() };
                    sum.add(weight * share, response);
                }
            }
        }
        sums
    }

    pub(crate) fn combine(&self, answer: Answer, cos: f64, parts: impl Iterator<Item = Response>) -> Response {
        let mut sum = Response::NOTHING;
        for (part, response) in parts.enumerate() {
            sum.add(self.share(part, cos), response);
        }
        if answer == Answer::Through { sum.limited() } else { sum }
    }
}

fn pick(answer: Answer, amplitudes: slab::Amplitudes) -> Complex64 {
    if answer == Answer::Through { amplitudes.transmitted } else { amplitudes.reflected }
}

/// Framing layers of an assembly, and whether all sizes are sizes.
fn frames(assembly: &ResolvedAssembly) -> Result<Vec<Frame>, PropagationError> {
    let size = |what: &'static str, value: f64, above_zero: bool| {
        if value.is_finite() && value >= 0.0 && !(above_zero && value == 0.0) {
            return Ok(());
        }
        Err(PropagationError::Geometry { element: assembly.id.clone(), what, value })
    };
    let mut framing = Vec::new();
    for (index, layer) in assembly.layers.iter().enumerate() {
        size("the thickness of a layer", layer.thickness, false)?;
        if let Some(f) = &layer.framing {
            size("the spacing of members", f.spacing, true)?;
            size("the width of members", f.width, false)?;
            framing.push(Frame::of(index, layer.thickness, f));
        }
    }
    if framing.len() > MAX_FRAMING_LAYERS {
        return Err(PropagationError::Framing {
            assembly: assembly.id.clone(),
            count: framing.len(),
            limit: MAX_FRAMING_LAYERS,
        });
    }
    Ok(framing)
}

/// A material as a slab's medium at a frequency \[Hz\].
pub(crate) fn medium(owner: &Id, material: &Material, frequency: f64) -> Result<Medium, PropagationError> {
    electrical_medium(owner, &material.id, &material.electrical, frequency)
}

pub(crate) fn electrical_medium(
    owner: &Id,
    material: &Id,
    electrical: &Electrical,
    frequency: f64,
) -> Result<Medium, PropagationError> {
    let outside = |reason| {
        let (assembly, material) = (owner.clone(), material.clone());
        PropagationError::Material { assembly, material, ghz: frequency / 1e9, reason }
    };
    match *electrical {
        Electrical::Metal => Ok(Medium::Opaque),
        Electrical::Sheet { ohm_per_square } if ohm_per_square.is_finite() && ohm_per_square > 0.0 => {
            Ok(Medium::Sheet(ohm_per_square))
        }
        Electrical::Sheet { ohm_per_square } => {
            Err(PropagationError::Sheet { assembly: owner.clone(), material: material.clone(), ohm_per_square })
        }
        Electrical::Mesh { pitch, radius } => {
            if !(pitch.is_finite() && radius > 0.0 && pitch > 2.0 * radius) {
                let (assembly, material) = (owner.clone(), material.clone());
                return Err(PropagationError::Mesh { assembly, material, pitch, radius });
            }
            electrical.check(Hertz(frequency)).map_err(outside)?;
            Ok(Medium::Mesh { pitch, radius })
        }
        Electrical::Dielectric { .. } => {
            let (real, conductivity) = electrical.permittivity(Hertz(frequency)).map_err(outside)?;
            Ok(Medium::Bulk(slab::permittivity(real, conductivity, frequency)))
        }
    }
}
