//! Straight edges at which something changes, and how they turn a field.
//!
//! The mathematics is that of an edge in any direction, in coordinates fixed to it; which edges a home has is found in
//! `upright` and `level`.

mod level;
mod upright;

use findings::Id;
use num_complex::Complex64;
use units::Point3;

use crate::diffraction::{self, Bend};
use crate::geometry::{Geometry, Hit, Met, Ray};
use crate::scene::Scene;
use crate::search::SHORTEST_CHORD;
use crate::slab::Medium;
use crate::surface::{Surfaces, Vector, dot, place, vector};
use crate::wall::{Answer, Wall};

/// An end nearer than this to an edge's line is not diffracted by it \[m\].
const NEAREST: f64 = 1e-3;

/// An end whose angle with a face is smaller than about this is along the face, and nothing diffracts.
const ALONG: f64 = 1e-9;

/// A field's two components to two others.
pub(crate) type Matrix = [[Complex64; 2]; 2];

/// A straight edge.
#[derive(Clone, Debug)]
pub(crate) struct Edge {
    /// One end; it belongs to the edge, the other does not.
    pub start: Vector,
    /// Unit vector towards the other end.
    pub along: Vector,
    pub length: f64,
    /// Unit vector from the edge into its first face (for a sheet, into the one of its sides), across the edge.
    pub into: Vector,
    /// Unit normal of that face; angles are counted from `into` towards it.
    pub normal: Vector,
    /// 1 if `into`, `normal` and `along` are right-handed, else −1.
    pub hand: f64,
    pub kind: Kind,
    /// What it belongs to.
    pub met: Met,
}

#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Kind {
    /// In a wall or floor: its plane, and what is on the one and on the other side of the edge; nothing for a gap.
    Sheet { plane: u32, one: Option<u32>, other: Option<u32> },
    /// The corner of a metal object: exterior angle over π.
    Corner { n: f64 },
}

/// The way from one point to another round an edge: at equal angles with it, as a string pulled tight over it lies.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Way {
    pub at: Point3,
    /// Directions of both legs along the edge, into the first face and along its normal.
    directions: [Vector; 2],
    /// Lengths of both legs.
    lengths: [f64; 2],
    sin_edge: f64,
    seen: Seen,
}

/// All edges of a home.
pub(crate) fn all(geometry: &Geometry, surfaces: &Surfaces, is_metal: impl Fn(u32) -> bool) -> Vec<Edge> {
    let mut out = Vec::new();
    upright::all(geometry, surfaces, &is_metal, &mut out);
    level::all(geometry, surfaces, &is_metal, &mut out);
    out
}

/// Where both ends are round an edge.
#[derive(Clone, Copy, Debug)]
enum Seen {
    /// Cosines of half the difference and half the sum of the angles from the one side, and whether the ends are on the
    /// normal's side.
    Sheet { minus: f64, plus: f64, above: [bool; 2], hand: f64 },
    /// Angles of receiver and source from the first face.
    Corner { n: f64, to: f64, from: f64 },
}

/// How a way's field is computed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Form {
    /// Directly.
    Plain,
    /// From tables, within 1e-5 of the incident field.
    Quick,
}

impl Edge {
    /// An edge from its start along a unit vector, with the face into which and the normal from which angles are counted.
    pub(crate) fn new(
        (start, along, length): (Vector, Vector, f64),
        [into, normal]: [Vector; 2],
        kind: Kind,
        met: Met,
    ) -> Self {
        let across = std::array::from_fn(|i| {
            let (j, k) = ((i + 1) % 3, (i + 2) % 3);
            into[j] * normal[k] - into[k] * normal[j]
        });
        let hand = dot(across, along).signum();
        Self { start, along, length, into, normal, hand, kind, met }
    }

    /// Along the edge, into the first face, along its normal; from the edge's start.
    fn local(&self, p: Point3) -> Vector {
        let d: Vector = std::array::from_fn(|i| vector(p)[i] - self.start[i]);
        [dot(d, self.along), dot(d, self.into), dot(d, self.normal)]
    }

    /// The way round this edge; nothing if it would not touch the edge between its ends or would go through a metal
    /// wedge.
    pub(crate) fn way(&self, from: Point3, to: Point3) -> Option<Way> {
        let [p, q] = [from, to].map(|p| self.local(p));
        let length = |x: f64, y: f64| (x * x + y * y).sqrt();
        let (fore, aft) = (length(p[1], p[2]), length(q[1], q[2]));
        if !(fore > NEAREST && aft > NEAREST) {
            return None;
        }
        let u = p[0] + (q[0] - p[0]) * fore / (fore + aft);
        if !(u >= 0.0 && u < self.length) {
            return None;
        }
        let seen = match self.kind {
            Kind::Sheet { .. } => {
                let [(cos_p, sin_p), (cos_q, sin_q)] = [half_angle(p, fore), half_angle(q, aft)];
                // Along the sheet.
                if sin_p < ALONG || sin_q < ALONG {
                    return None;
                }
                let (cosines, sines) = (cos_p * cos_q, sin_p * sin_q);
                let above = [p[2] > 0.0, q[2] > 0.0];
                Seen::Sheet { minus: cosines + sines, plus: cosines - sines, above, hand: self.hand }
            }
            Kind::Corner { n } => {
                let [from, to] = [p, q].map(|p| p[2].atan2(p[1]).rem_euclid(std::f64::consts::TAU));
                // In the wedge, or along a face.
                if ![from, to].iter().all(|&a| a > ALONG && a < n * std::f64::consts::PI - ALONG) {
                    return None;
                }
                Seen::Corner { n, to, from }
            }
        };
        let (s, t) = (length(fore, u - p[0]), length(aft, q[0] - u));
        let at = place(std::array::from_fn(|i| self.start[i] + u * self.along[i]));
        let directions = [[(u - p[0]) / s, -p[1] / s, -p[2] / s], [(q[0] - u) / t, q[1] / t, q[2] / t]];
        Some(Way { at, directions, lengths: [s, t], sin_edge: fore / s, seen })
    }

    /// The plane of the sheet that it belongs to.
    pub(crate) fn plane(&self) -> Option<u32> {
        match self.kind {
            Kind::Sheet { plane, .. } => Some(plane),
            Kind::Corner { .. } => None,
        }
    }

    /// True if a leg meets something only because it starts or ends at this edge.
    pub(crate) fn is_met(&self, surfaces: &Surfaces, hit: &Hit) -> bool {
        match (hit.met, self.kind) {
            (Met::Panel(panel, _), Kind::Sheet { plane, .. }) => surfaces.of_panel.get(panel as usize) == Some(&plane),
            (Met::Deck(deck), Kind::Sheet { plane, .. }) => surfaces.of_deck.get(deck as usize) == Some(&plane),
            (Met::Block(block, chord), Kind::Corner { .. }) => {
                matches!(self.met, Met::Block(own, _) if own == block) && chord < SHORTEST_CHORD
            }
            _ => false,
        }
    }

    /// Theta and phi of a ray to the components that the edge keeps apart: along the part of the edge across the ray, and
    /// across both. The matrix is its own inverse.
    fn split(&self, ray: &Ray, sin_edge: f64) -> [[f64; 2]; 2] {
        let (theta, phi) = ray.across(self.along);
        let (c, s) = (theta / sin_edge, phi / sin_edge);
        [[c, s], [s, -c]]
    }
}

/// Cosine and sine of half the angle from the first face, 0 to π.
fn half_angle([_, x, y]: Vector, distance: f64) -> (f64, f64) {
    // Of both the larger by the root, the other by the double angle, so that neither loses digits.
    let large = (0.5 * (distance + x.abs()) / distance).sqrt();
    let small = 0.5 * y.abs() / (distance * large);
    let (cos, sin) = if x >= 0.0 { (large, small) } else { (small, large) };
    (if y < 0.0 { -cos } else { cos }, sin)
}

impl Scene {
    /// How an edge turns the field along a way round it at a carrier's centre: theta and phi after over theta and phi before;
    /// free space is that of the whole length.
    pub(crate) fn turned(
        &self,
        edge: &Edge,
        way: &Way,
        [before, after]: &[Ray; 2],
        carrier_idx: usize,
        form: Form,
    ) -> Option<Matrix> {
        let wave_number = std::f64::consts::TAU / self.carriers.get(carrier_idx)?.wavelength();
        let own = match (edge.kind, way.seen) {
            (Kind::Sheet { one, other, .. }, Seen::Sheet { .. }) => {
                way.at_sheet([one, other].map(|a| a.and_then(|a| self.walls(a, carrier_idx))), wave_number, form)
            }
            (_, seen) => way.at_corner(seen, wave_number, form),
        };
        Some(times(&edge.split(after, way.sin_edge), &own, &edge.split(before, way.sin_edge)))
    }

    pub(crate) fn is_metal(&self, block: u32) -> bool {
        self.medium(block, 0) == Some(Medium::Opaque)
    }

    pub(crate) fn element(&self, met: Met) -> Id {
        let names = &self.names;
        let found = match met {
            Met::Panel(panel, cut) => names.panels.get(panel as usize).map(|(wall, cuts)| match cut {
                Some(cut) => cuts.get(cut as usize).unwrap_or(wall).clone(),
                None => wall.clone(),
            }),
            Met::Deck(deck) => names.decks.get(deck as usize).cloned(),
            Met::Block(block, _) => names.blocks.get(block as usize).map(|(object, _)| object.clone()),
        };
        found.unwrap_or_else(|| Id::from_label("unknown"))
    }
}

impl Way {
    /// Both legs.
    pub(crate) fn rays(&self, from: Point3, to: Point3) -> [Ray; 2] {
        [Ray::new(from, self.at), Ray::new(self.at, to)]
    }

    /// Angle by which the way turns in space \[°\].
    pub(crate) fn angle_deg(&self) -> f64 {
        dot(self.directions[0], self.directions[1]).clamp(-1.0, 1.0).acos().to_degrees()
    }

    /// The matrix of a metal wedge in the edge's components.
    fn at_corner(&self, seen: Seen, wave_number: f64, form: Form) -> Matrix {
        let Seen::Corner { n, to, from } = seen else { return NOTHING };
        let [s, t] = self.lengths;
        let bend = Bend { n, to, from, sin_edge: self.sin_edge, before: s, after: t };
        let terms = bend.terms_by(std::f64::consts::TAU / wave_number, form.transition());
        let spread = ((s + t) / (s * t)).sqrt();
        let reflected = terms.first_face + terms.other_face;
        let [soft, hard] = [terms.incident - reflected, terms.incident + reflected].map(|x| spread * x);
        [[soft, Complex64::ZERO], [Complex64::ZERO, hard]]
    }

    /// The matrix of the edge of a sheet with something on the one and on the other side, in the edge's components.
    ///
    /// The incident term is weighed by what the sides pass less or more, the reflected one by what they reflect less or more;
    /// each weight is the mean over both legs' directions, so that the way back is the same.
    fn at_sheet(&self, [one, other]: [Option<&Wall>; 2], wave_number: f64, form: Form) -> Matrix {
        let Seen::Sheet { minus, plus, above, hand } = self.seen else { return NOTHING };
        // The leg's cosine with the sheet's normal, and the TE direction in the edge's components.
        let at = self.directions.map(|[along, into, normal]| {
            let (t, p) = (into, hand * along * normal);
            let norm = (t * t + p * p).sqrt();
            let (t, p) = if norm < 1e-9 { (1.0, 0.0) } else { (t / norm, p / norm) };
            (normal.abs(), t, p)
        });
        // Reflected, the second leg is seen in the mirror, as the first is beyond it.
        let mirrored = [at[0], (at[1].0, at[1].1, -at[1].2)];
        let sides = above.map(|above| if above { Answer::BackFromFirst } else { Answer::BackFromLast });
        let what = |answers: [Answer; 2], at: [(f64, f64, f64); 2], wall: Option<&Wall>, empty: Matrix| {
            let Some(wall) = wall else { return empty };
            let [a, b] = [0, 1].map(|i| {
                let (cos, t, p) = at[i];
                let amplitudes = match form {
                    Form::Plain => wall.amplitudes(answers[i], cos),
                    Form::Quick => wall.tabulated_amplitudes(answers[i], cos),
                };
                rotated(amplitudes, t, p)
            });
            combine(&a, &b, |a, b| 0.5 * (a + b))
        };
        let through = [Answer::Through; 2];
        let passed = combine(&what(through, at, other, IDENTITY), &what(through, at, one, IDENTITY), |b, a| b - a);
        let back = combine(&what(sides, mirrored, one, NOTHING), &what(sides, mirrored, other, NOTHING), |a, b| a - b);
        // √(2kL), and the terms with the spreading √((s + t)/(st)).
        let [s, t] = self.lengths;
        let width = (s * t / (s + t)).sqrt();
        let root = (2.0 * wave_number).sqrt() * width * self.sin_edge;
        let scale = diffraction::scale(2.0, wave_number, self.sin_edge) / width;
        let [incident, reflected] =
            [minus, plus].map(|cos| scale * diffraction::half_plane(cos, root, form.transition()));
        let mut out = combine(&passed, &back, |passed, back| incident * passed + reflected * back);
        // Out of the mirror the component across edge and ray points the other way.
        for (k, out) in out[1].iter_mut().enumerate() {
            *out = incident * passed[1][k] - reflected * back[1][k];
        }
        out
    }
}

impl Form {
    /// The transition function by the root of its argument.
    fn transition(self) -> impl Fn(f64) -> Complex64 {
        move |root| match self {
            Self::Plain => diffraction::transition(root * root),
            Self::Quick => diffraction::quick_transition(root),
        }
    }
}

const IDENTITY: Matrix = [[Complex64::ONE, Complex64::ZERO], [Complex64::ZERO, Complex64::ONE]];
const NOTHING: Matrix = [[Complex64::ZERO; 2]; 2];

fn combine(a: &Matrix, b: &Matrix, with: impl Fn(Complex64, Complex64) -> Complex64) -> Matrix {
    std::array::from_fn(|i| std::array::from_fn(|k| with(a[i][k], b[i][k])))
}

/// A matrix between two real ones.
fn times(after: &[[f64; 2]; 2], own: &Matrix, before: &[[f64; 2]; 2]) -> Matrix {
    let right: Matrix =
        std::array::from_fn(|i| std::array::from_fn(|k| own[i][0] * before[0][k] + own[i][1] * before[1][k]));
    std::array::from_fn(|i| std::array::from_fn(|k| right[0][k] * after[i][0] + right[1][k] * after[i][1]))
}

/// Amplitudes for TE and TM as a matrix, for a TE direction `(t, p)`.
fn rotated((te, tm): (Complex64, Complex64), t: f64, p: f64) -> Matrix {
    let mixed = t * p * (te - tm);
    [[t * t * te + p * p * tm, mixed], [mixed, p * p * te + t * t * tm]]
}
