//! Straight edges at which something changes, and how they turn a field.
//!
//! The mathematics is that of an edge in any direction, in coordinates fixed to it; which edges a home has is found in
//! `find` (upright ones) and `level`.

mod find;
mod level;

use findings::Id;
use num_complex::Complex64;
use units::Point3;

use crate::diffraction::Bend;
use crate::geometry::{Met, Ray};
use crate::scene::Scene;
use crate::slab::Medium;
use crate::surface::{Vector, dot, place, vector};
use crate::wall::{Answer, Wall};

pub(crate) use find::all;

/// An end nearer than this to an edge's line is not diffracted by it \[m\].
const NEAREST: f64 = 1e-3;

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
    hand: f64,
    bend: Bend,
}

/// How an edge turns a field on its way from one point to another.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Turned {
    pub at: Point3,
    /// Theta and phi after over theta and phi before; free space is that of the whole length.
    pub matrix: Matrix,
    /// Angle by which the way turns in space \[°\].
    pub angle_deg: f64,
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
        let (fore, aft) = (p[1].hypot(p[2]), q[1].hypot(q[2]));
        if !(fore > NEAREST && aft > NEAREST) {
            return None;
        }
        let u = p[0] + (q[0] - p[0]) * fore / (fore + aft);
        if !(u >= 0.0 && u < self.length) {
            return None;
        }
        let n = match self.kind {
            Kind::Sheet { .. } => 2.0,
            Kind::Corner { n } => n,
        };
        let angles = [p, q].map(|p| p[2].atan2(p[1]).rem_euclid(std::f64::consts::TAU));
        // In the wedge, or along a face.
        if !angles.iter().all(|&a| a > 1e-9 && a < n * std::f64::consts::PI - 1e-9) {
            return None;
        }
        let (s, t) = (fore.hypot(u - p[0]), aft.hypot(q[0] - u));
        let at = place(std::array::from_fn(|i| self.start[i] + u * self.along[i]));
        let directions = [[(u - p[0]) / s, -p[1] / s, -p[2] / s], [(q[0] - u) / t, q[1] / t, q[2] / t]];
        let bend = Bend { n, to: angles[1], from: angles[0], sin_edge: fore / s, before: s, after: t };
        Some(Way { at, directions, hand: self.hand, bend })
    }

    /// Theta and phi of a ray to the components that the edge keeps apart: along the part of the edge across the ray, and
    /// across both. The matrix is its own inverse.
    fn split(&self, ray: &Ray, sin_edge: f64) -> [[f64; 2]; 2] {
        let (theta, phi) = ray.across(self.along);
        let (c, s) = (theta / sin_edge, phi / sin_edge);
        [[c, s], [s, -c]]
    }
}

impl Scene {
    /// How an edge turns the field from one point to another at a carrier's centre; nothing if it does not.
    pub(crate) fn bend(&self, edge: &Edge, from: Point3, to: Point3, carrier_idx: usize) -> Option<Turned> {
        let wavelength = self.carriers.get(carrier_idx)?.wavelength();
        let way = edge.way(from, to)?;
        let terms = way.bend.terms(wavelength);
        let one = Complex64::ONE;
        let (passed, first, other) = match edge.kind {
            Kind::Corner { .. } => {
                let metal = [[-one, Complex64::ZERO], [Complex64::ZERO, one]];
                (IDENTITY, metal, metal)
            }
            Kind::Sheet { one, other, .. } => {
                let walls = [one, other].map(|a| a.and_then(|a| self.walls(a, carrier_idx)));
                let (passed, reflected) = way.sheet(walls);
                (passed, reflected, reflected)
            }
        };
        let (s, t) = (way.bend.before, way.bend.after);
        let spread = ((s + t) / (s * t)).sqrt();
        let own: Matrix = std::array::from_fn(|i| {
            std::array::from_fn(|k| {
                spread
                    * (terms.incident * passed[i][k] + terms.first_face * first[i][k] + terms.other_face * other[i][k])
            })
        });
        let [before, after] = [Ray::new(from, way.at), Ray::new(way.at, to)]
            .map(|ray| edge.split(&ray, way.bend.sin_edge).map(|row| row.map(Complex64::from)));
        let turned = dot(way.directions[0], way.directions[1]);
        Some(Turned {
            at: way.at,
            matrix: times(&after, &times(&own, &before)),
            angle_deg: turned.clamp(-1.0, 1.0).acos().to_degrees(),
        })
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
    /// What weighs the incident and the reflected terms at the edge of a sheet with something on the one and on the other
    /// side, in the edge's components.
    ///
    /// Each is the mean over both legs' directions, so that the way back is the same.
    fn sheet(&self, [one, other]: [Option<&Wall>; 2]) -> (Matrix, Matrix) {
        // The leg's cosine with the sheet's normal, and the TE direction in the edge's components.
        let at = self.directions.map(|[along, into, normal]| {
            let (t, p) = (into, self.hand * along * normal);
            let norm = t.hypot(p);
            let (t, p) = if norm < 1e-9 { (1.0, 0.0) } else { (t / norm, p / norm) };
            (normal.abs(), t, p)
        });
        // Reflected, the second leg is seen in the mirror, as the first is beyond it.
        let (_, t, p) = at[1];
        let mirrored = [at[0], (at[1].0, t, -p)];
        let sides = [self.bend.from, self.bend.to]
            .map(|angle| if angle < std::f64::consts::PI { Answer::BackFromFirst } else { Answer::BackFromLast });
        let what = |answers: [Answer; 2], wall: Option<&Wall>, empty: Matrix| {
            let Some(wall) = wall else { return empty };
            let at = if answers[0] == Answer::Through { at } else { mirrored };
            let [a, b] = [0, 1].map(|i| {
                let (cos, t, p) = at[i];
                rotated(wall.amplitudes(answers[i], cos), t, p)
            });
            combine(&a, &b, |a, b| 0.5 * (a + b))
        };
        let through = [Answer::Through; 2];
        let passed = combine(&what(through, other, IDENTITY), &what(through, one, IDENTITY), |b, a| b - a);
        let mut reflected = combine(&what(sides, one, NOTHING), &what(sides, other, NOTHING), |a, b| a - b);
        // Out of the mirror: the component across edge and ray points the other way.
        reflected[1] = reflected[1].map(|x| -x);
        (passed, reflected)
    }
}

const IDENTITY: Matrix = [[Complex64::ONE, Complex64::ZERO], [Complex64::ZERO, Complex64::ONE]];
const NOTHING: Matrix = [[Complex64::ZERO; 2]; 2];

fn combine(a: &Matrix, b: &Matrix, with: impl Fn(Complex64, Complex64) -> Complex64) -> Matrix {
    std::array::from_fn(|i| std::array::from_fn(|k| with(a[i][k], b[i][k])))
}

fn times(a: &Matrix, b: &Matrix) -> Matrix {
    std::array::from_fn(|i| std::array::from_fn(|k| a[i][0] * b[0][k] + a[i][1] * b[1][k]))
}

/// Amplitudes for TE and TM as a matrix, for a TE direction `(t, p)`.
fn rotated((te, tm): (Complex64, Complex64), t: f64, p: f64) -> Matrix {
    let mixed = t * p * (te - tm);
    [[t * t * te + p * p * tm, mixed], [mixed, p * p * te + t * t * tm]]
}
