//! The image method: finds the paths between two points and follows the field along each.
//!
//! Exact and one pair of points at a time; the plain form that the maps are tested against.

use network::results::Crossing;
use num_complex::Complex64;
use units::{Db, Metres, Point3};

use crate::antenna::Mounted;
use crate::beam::Beam;
use crate::edge::{Edge, Form};
use crate::free_space::{MIN_DISTANCE, free_space_loss};
use crate::geometry::{Hit, Met, Ray};
use crate::path::LEAST_SHARE;
use crate::paths::{Interaction, Leg, MAX_REFLECTIONS, RayPath};
use crate::scene::{Field, Scene};
use crate::slab::{FREE_SPACE_IMPEDANCE, Medium, SPEED_OF_LIGHT, mesh_reactance};
use crate::surface::{Found, Surfaces, Vector, place, vector};
use crate::table::{Entry, LANES};
use crate::wall::{Answer, Carrier};

/// A way through a block shorter than this, at the face that a path reflects at, is rounding \[m\].
pub(crate) const SHORTEST_CHORD: f64 = 1e-6;

/// A reflection on the way back from the receiver.
#[derive(Clone, Copy, Debug)]
struct Bounce {
    plane: usize,
    at: Vector,
    found: Found,
}

/// What is known while images are made.
pub(crate) struct Search<'a> {
    scene: &'a Scene,
    /// Antennas of transmitter and receiver.
    ends: [&'a Mounted; 2],
    surfaces: &'a Surfaces,
    to: Vector,
    carrier_idx: usize,
    carrier: Carrier,
    order: usize,
    /// Planes so far, with the transmitter's image behind each.
    images: Vec<(usize, Vector)>,
    from: Vector,
    segments: Vec<u32>,
    hits: Vec<Hit>,
    pub paths: Vec<RayPath>,
    pub sums: Sums,
}

#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Sums {
    pub both: f64,
    pub vertical: f64,
    pub field: Complex64,
}

impl<'a> Search<'a> {
    pub(crate) fn new(
        scene: &'a Scene,
        ends: [&'a Mounted; 2],
        (from, to): (Point3, Point3),
        (carrier_idx, carrier): (usize, Carrier),
        order: usize,
    ) -> Self {
        Self {
            scene,
            ends,
            surfaces: scene.surfaces(),
            to: vector(to),
            carrier_idx,
            carrier,
            order,
            images: Vec::with_capacity(MAX_REFLECTIONS),
            from: vector(from),
            segments: scene.geometry.all(),
            hits: Vec::new(),
            paths: Vec::new(),
            sums: Sums::default(),
        }
    }

    /// Finds all paths.
    pub(crate) fn all(&mut self, diffraction: bool) {
        self.path();
        let largest = self.from.iter().chain(&self.to).fold(self.surfaces.largest(), |most, x| x.abs().max(most));
        self.reflect(Some(Beam::from(self.from, largest)));
        if diffraction {
            for edge in self.scene.edges() {
                self.diffract(edge, place(self.from), place(self.to));
            }
        }
    }

    /// Adds a reflection in every plane that can follow, and looks for the path through all so far. No deeper than
    /// [`MAX_REFLECTIONS`]. With a beam, planes that it does not get to are left out; the paths found are the same without.
    pub(crate) fn reflect(&mut self, beam: Option<Beam>) {
        if self.images.len() >= self.order {
            return;
        }
        let last = self.images.last().copied();
        let is_last = self.images.len() + 1 == self.order;
        let source = last.map_or(self.from, |(_, image)| image);
        for (index, plane) in self.surfaces.planes.iter().enumerate() {
            let height = plane.distance(source);
            if height == 0.0 {
                continue;
            }
            let image = plane.mirror(source);
            if is_last && plane.distance(self.to) * plane.distance(image) >= 0.0 {
                // No path ends behind its last mirror.
                continue;
            }
            let next = match beam {
                // To follow the last reflection back is as quick as to ask whether the beam gets there.
                Some(beam) if !is_last => match beam.reflected(plane, image) {
                    None => continue,
                    next => next,
                },
                _ => None,
            };
            if let Some((before, image)) = last {
                // A ray leaves a mirror on the side away from its image.
                let mirror = &self.surfaces.planes[before];
                if before == index || !plane.reaches(mirror, mirror.distance(image) < 0.0) {
                    continue;
                }
            }
            self.images.push((index, image));
            self.path();
            self.reflect(next);
            self.images.pop();
        }
    }

    /// Follows the receiver's view of the last image back through the mirrors; adds the path if there is one.
    pub(crate) fn path(&mut self) {
        let mut bounces = [None; MAX_REFLECTIONS];
        let mut at = self.to;
        for (step, &(index, image)) in self.images.iter().enumerate().rev() {
            let plane = &self.surfaces.planes[index];
            let (near, far) = (plane.distance(at), plane.distance(image));
            if near * far >= 0.0 {
                return;
            }
            let share = near / (near - far);
            at = std::array::from_fn(|i| at[i] + share * (image[i] - at[i]));
            let Some(found) = plane.at(&self.scene.geometry, at, near > 0.0) else { return };
            bounces[step] = Some(Bounce { plane: index, at, found });
        }
        let bounces: Vec<Bounce> = bounces.into_iter().flatten().collect();
        self.add(&bounces);
    }

    /// Adds the path by way of an edge, if there is one.
    fn diffract(&mut self, edge: &Edge, from: Point3, to: Point3) {
        let Some(way) = edge.way(from, to) else { return };
        let rays = way.rays(from, to);
        let Some(matrix) = self.scene.turned(edge, &way, &rays, self.carrier_idx, Form::Plain) else { return };
        let lane = self.carrier_idx % LANES;
        let mut state = State::START;
        state.leave(self.ends[0], from, way.at);
        let mut legs = Vec::with_capacity(2);
        for (index, ray) in rays.iter().enumerate() {
            let crossings = self.cross(ray, &mut state, |search, hit| edge.is_met(search.surfaces, hit));
            let end = (index == 0).then(|| {
                state.field.turn(&matrix, lane);
                state.wave = std::array::from_fn(|i| matrix[i][0] * state.wave[0] + matrix[i][1] * state.wave[1]);
                let (element, loss) = (self.scene.element(edge.met), state.loss(lane));
                Interaction::Diffraction { element, angle_deg: way.angle_deg(), loss }
            });
            legs.push(Leg { from: ray.from, to: ray.to, crossings, end });
        }
        self.finish(state, legs);
    }

    /// Takes the field along a leg through all that is not of its ends.
    fn cross(&mut self, ray: &Ray, state: &mut State, is_own: impl Fn(&Self, &Hit) -> bool) -> Vec<Crossing> {
        let (group, lane) = (self.carrier_idx / LANES, self.carrier_idx % LANES);
        let mut hits = std::mem::take(&mut self.hits);
        self.scene.geometry.trace(&self.segments, ray, &mut hits);
        let mut crossings = Vec::with_capacity(hits.len());
        for hit in &hits {
            if is_own(self, hit) {
                continue;
            }
            self.scene.pass(hit, group, &mut state.field);
            self.through(hit, &mut state.wave);
            crossings.push(self.scene.crossing(hit, ray, state.loss(lane)));
        }
        self.hits = hits;
        crossings
    }

    fn add(&mut self, bounces: &[Bounce]) {
        let lane = self.carrier_idx % LANES;
        let mut state = State::START;
        let mut legs = Vec::with_capacity(bounces.len() + 1);
        let mut start: Option<&Bounce> = None;
        for end in bounces.iter().map(Some).chain([None]) {
            let from = place(start.map_or(self.from, |b| b.at));
            let to = place(end.map_or(self.to, |b| b.at));
            let ray = Ray::new(from, to);
            if start.is_none() {
                state.leave(self.ends[0], from, to);
            }
            let crossings = self.cross(&ray, &mut state, |search, hit| {
                [start, end].into_iter().flatten().any(|bounce| search.is_of(hit, bounce))
            });
            let end_of_leg = end.map(|bounce| {
                let hit = self.reflected(&ray, bounce, &mut state);
                Interaction::Reflection(self.scene.crossing(&hit, &ray, state.loss(lane)))
            });
            legs.push(Leg { from, to, crossings, end: end_of_leg });
            start = end;
        }
        self.finish(state, legs);
    }

    /// Adds a path whose field is known.
    fn finish(&mut self, state: State, legs: Vec<Leg>) {
        let length: f64 = legs.iter().map(|leg| leg.from.distance(leg.to)).sum();
        if !length.is_finite() {
            return;
        }
        let lane = self.carrier_idx % LANES;
        let distance = length.max(MIN_DISTANCE);
        let spread = self.carrier.wavelength() / (4.0 * std::f64::consts::PI * distance);
        let delay = length / SPEED_OF_LIGHT;
        // The cycles are cut off first, so that the sine sees a small angle.
        let cycles = (self.carrier.centre.0 * delay).fract();
        let phase = Complex64::from_polar(spread, -std::f64::consts::TAU * cycles);
        let wave = state.wave.map(|w| w * phase);
        let free_space = free_space_loss(Metres(distance), self.carrier.centre);
        // The receiver looks back along the way; its phi points the other way.
        let arrival = legs.last().map_or([0.0; 3], |leg| between(leg.to, leg.from));
        let [theta, phi] = self.ends[1].amplitude(arrival);
        let arrival_gain = self.ends[1].gain(arrival);
        let both = (state.field.both()[lane] * arrival_gain as f32).max(LEAST_SHARE);
        let vertical = state.field.along(theta as f32, -phi as f32)[lane].max(LEAST_SHARE);
        let received = wave[0] * theta - wave[1] * phi;
        let power = spread * spread;
        self.sums.both += power * f64::from(both);
        self.sums.vertical += power * f64::from(vertical);
        self.sums.field += received;
        let db = |share: f32| Db(10.0 * f64::from(share).log10()) - free_space;
        self.paths.push(RayPath {
            gain: db(both),
            gain_vertical: db(vertical),
            field: wave,
            length: Metres(length),
            delay,
            free_space,
            antenna_gains: [state.departure, arrival_gain].map(|g| Db(10.0 * g.log10())),
            legs,
        });
    }

    /// True if a leg meets this only because it starts or ends there.
    fn is_of(&self, hit: &Hit, bounce: &Bounce) -> bool {
        let plane = Some(&(bounce.plane as u32));
        match hit.met {
            Met::Panel(panel, _) => self.surfaces.of_panel.get(panel as usize) == plane,
            Met::Deck(deck) => self.surfaces.of_deck.get(deck as usize) == plane,
            Met::Block(block, chord) => {
                matches!(bounce.found.met, Met::Block(own, _) if own == block) && chord < SHORTEST_CHORD
            }
        }
    }

    /// Takes the field at the centre frequency through a crossing.
    fn through(&self, hit: &Hit, wave: &mut [Complex64; 2]) {
        match hit.met {
            Met::Panel(..) | Met::Deck(_) => {
                if let Some(wall) = self.scene.walls(hit.assembly, self.carrier_idx) {
                    let amplitudes = wall.amplitudes(Answer::Through, f64::from(hit.cos));
                    turn(wave, amplitudes, hit);
                }
            }
            Met::Block(block, chord) => {
                let passed = self.scene.through_block(block, self.carrier_idx, chord).sqrt();
                let index = match self.scene.medium(block, self.carrier_idx) {
                    Some(Medium::Bulk(epsilon)) => epsilon.sqrt().re,
                    _ => 1.0,
                };
                let phase = std::f64::consts::TAU * (index - 1.0) * chord / self.carrier.wavelength();
                let factor = Complex64::from_polar(passed, -phase);
                *wave = wave.map(|w| w * factor);
            }
        }
    }

    /// Reflects the field, mean and at the centre frequency; what was met.
    fn reflected(&self, ray: &Ray, bounce: &Bounce, state: &mut State) -> Hit {
        let State { field, wave, .. } = state;
        let plane = &self.surfaces.planes[bounce.plane];
        let (cos, te_theta, te_phi) = if plane.is_level() {
            (ray.vertical.abs() as f32, 0.0, -1.0)
        } else {
            ray.at_wall(units::Point2::new(plane.normal[0], plane.normal[1]))
        };
        let met = bounce.found.met;
        let hit = Hit { t: 1.0, met, assembly: bounce.found.assembly.unwrap_or(u32::MAX), cos, te_theta, te_phi };
        let group = self.carrier_idx / LANES;
        let amplitudes = match (bounce.found.assembly, met) {
            (Some(assembly), _) => {
                if let Some(stuff) = self.scene.stuff.get(assembly as usize) {
                    field.cross(&stuff.table(bounce.found.side).at(cos, group), te_theta, te_phi);
                }
                self.scene
                    .walls(assembly, self.carrier_idx)
                    .map_or_else(Default::default, |w| w.amplitudes(bounce.found.side, f64::from(cos)))
            }
            (None, Met::Block(block, _)) => {
                let medium = self.scene.medium(block, self.carrier_idx);
                let centre = self.carrier.centre.0;
                let (te, tm) = medium.map_or_else(Default::default, |m| face(m, centre, f64::from(cos)));
                field.cross(&entry(te, tm), te_theta, te_phi);
                (te, tm)
            }
            (None, _) => Default::default(),
        };
        turn(wave, amplitudes, &hit);
        // Seen in the mirror the ray went straight on; theta or phi of the real one points the other way.
        field.mirror();
        let flipped = usize::from(!plane.is_level());
        wave[flipped] = -wave[flipped];
        hit
    }
}

/// A field on its way.
#[derive(Clone, Copy, Debug)]
struct State {
    /// Mean powers.
    field: Field,
    /// At the carrier's centre, without the phase of free space.
    wave: [Complex64; 2],
    /// Power when a loss was last asked for.
    before: f32,
    /// Gain of the transmitter's antenna.
    departure: f64,
}

impl State {
    const START: Self =
        Self { field: Field::VERTICAL, wave: [Complex64::ONE, Complex64::ZERO], before: 1.0, departure: 1.0 };

    /// Starts from an antenna towards a place.
    fn leave(&mut self, mounted: &Mounted, from: Point3, to: Point3) {
        let [theta, phi] = mounted.amplitude(between(from, to));
        self.field = Field::of(theta as f32, phi as f32);
        self.wave = [theta, phi].map(Complex64::from);
        self.departure = theta * theta + phi * phi;
        self.before = self.field.both()[0].max(LEAST_SHARE);
    }

    /// Loss since it was last asked for.
    fn loss(&mut self, lane: usize) -> Db {
        let after = self.field.both()[lane].max(LEAST_SHARE);
        let before = std::mem::replace(&mut self.before, after);
        Db(10.0 * (f64::from(before) / f64::from(after)).log10())
    }
}

pub(crate) fn between(from: Point3, to: Point3) -> [f64; 3] {
    [to.x - from.x, to.y - from.y, to.z - from.z]
}

/// Turns a field to TE and TM of a wall, applies the amplitudes, and turns it back.
fn turn(wave: &mut [Complex64; 2], (te, tm): (Complex64, Complex64), hit: &Hit) {
    let (t, p) = (f64::from(hit.te_theta), f64::from(hit.te_phi));
    let along_te = (wave[0] * t + wave[1] * p) * te;
    let along_tm = (wave[1] * t - wave[0] * p) * tm;
    *wave = [along_te * t - along_tm * p, along_te * p + along_tm * t];
}

/// Amplitude reflection of a half space at a frequency \[Hz\] (TE, TM), for the field's component along the face.
pub(crate) fn face(medium: Medium, frequency: f64, cos: f64) -> (Complex64, Complex64) {
    let cos = cos.clamp(crate::table::MIN_COS, 1.0);
    match medium {
        Medium::Opaque => (-Complex64::ONE, -Complex64::ONE),
        // A shunt of impedance Z: −1/(1 + 2ZY) with the wave admittance Y of each polarisation.
        Medium::Sheet(ohm) => shunt(Complex64::from(ohm), cos),
        Medium::Mesh { pitch, radius } => shunt(Complex64::i() * mesh_reactance(pitch, radius, frequency), cos),
        Medium::Bulk(epsilon) => {
            let inner = (epsilon - (1.0 - cos * cos)).sqrt();
            let inner = if inner.im > 0.0 { -inner } else { inner };
            let te = (cos - inner) / (cos + inner);
            let tm = (inner - epsilon * cos) / (inner + epsilon * cos);
            (te, tm)
        }
    }
}

/// Reflection of a shunt impedance \[Ω\] in air (TE, TM).
fn shunt(impedance: Complex64, cos: f64) -> (Complex64, Complex64) {
    let twice = impedance * (2.0 / FREE_SPACE_IMPEDANCE);
    let of = |wave: f64| -(1.0 + twice * wave).inv();
    (of(cos), of(1.0 / cos))
}

fn entry(te: Complex64, tm: Complex64) -> Entry {
    let cross = te * tm.conj();
    Entry {
        te: [te.norm_sqr() as f32; LANES],
        tm: [tm.norm_sqr() as f32; LANES],
        cross_re: [cross.re as f32; LANES],
        cross_im: [cross.im as f32; LANES],
    }
}
