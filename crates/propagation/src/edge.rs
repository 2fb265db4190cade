//! Upright edges at which something changes: jambs of openings, free ends of walls, corners of metal objects.

use findings::Id;
use num_complex::Complex64;
use units::{Point2, Point3};

use crate::diffraction::Bend;
use crate::geometry::{Geometry, Met, Ray, edges};
use crate::scene::Scene;
use crate::slab::Medium;
use crate::surface::Surfaces;
use crate::wall::Answer;

/// Nearer than this things touch \[m\].
const TOUCH: f64 = 1e-6;

/// An end nearer than this to an edge, in plan, is not diffracted by it \[m\].
const NEAREST: f64 = 1e-3;

/// A field's two components to two others.
pub(crate) type Matrix = [[Complex64; 2]; 2];

/// An upright edge.
#[derive(Clone, Debug)]
pub(crate) struct Edge {
    pub at: Point2,
    pub z0: f64,
    pub z1: f64,
    pub kind: Kind,
    /// What it belongs to.
    pub met: Met,
}

#[derive(Clone, Copy, Debug)]
pub(crate) enum Kind {
    /// In a wall: its plane, the direction in it to the one side, and what is on that and on the other side; nothing
    /// for a gap.
    Sheet { plane: u32, along: Point2, normal: Point2, one: Option<u32>, other: Option<u32> },
    /// The corner of a metal object: direction of one face and exterior angle over π.
    Corner { face: f64, n: f64 },
}

/// How an edge turns a field on its way from one point to another.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Turned {
    pub at: Point3,
    /// Theta and phi after over theta and phi before; free space is that of the whole length.
    pub matrix: Matrix,
    /// Angle by which the way turns in plan \[°\].
    pub angle_deg: f64,
}

/// All edges of a home.
pub(crate) fn all(geometry: &Geometry, surfaces: &Surfaces, is_metal: impl Fn(u32) -> bool) -> Vec<Edge> {
    let mut out = Vec::new();
    for panel in 0..geometry.segments.len() as u32 {
        of_panel(geometry, surfaces, panel, &mut out);
    }
    for (index, block) in geometry.blocks.iter().enumerate() {
        if is_metal(index as u32) {
            let twice: f64 = edges(&block.outline).map(|(p, q)| p.x * q.y - q.x * p.y).sum();
            let corners: Vec<Point2> =
                if twice >= 0.0 { block.outline.clone() } else { block.outline.iter().rev().copied().collect() };
            for (i, &at) in corners.iter().enumerate() {
                let count = corners.len();
                let (before, after) = (corners[(i + count - 1) % count], corners[(i + 1) % count]);
                let face = (after.y - at.y).atan2(after.x - at.x);
                let back = (before.y - at.y).atan2(before.x - at.x);
                let inner = (back - face).rem_euclid(std::f64::consts::TAU);
                if inner > 1e-6 && inner < std::f64::consts::PI - 1e-6 {
                    let n = 2.0 - inner / std::f64::consts::PI;
                    let met = Met::Block(index as u32, 0.0);
                    out.push(Edge { at, z0: block.z0, z1: block.z1, kind: Kind::Corner { face, n }, met });
                }
            }
        }
    }
    out
}

/// Jambs and free ends of one panel.
fn of_panel(geometry: &Geometry, surfaces: &Surfaces, panel: u32, out: &mut Vec<Edge>) {
    let Some(segment) = geometry.segments.get(panel as usize) else { return };
    let cuts = geometry.cuts.get(panel as usize).map_or(&[][..], |c| c);
    let plane = surfaces.of_panel.get(panel as usize).copied().unwrap_or(u32::MAX);
    let along = Point2::new((segment.b.x - segment.a.x) / segment.length, (segment.b.y - segment.a.y) / segment.length);
    let point = |s: f64| Point2::new(segment.a.x + s * along.x, segment.a.y + s * along.y);
    let mut places: Vec<f64> = cuts.iter().flat_map(|c| [c.s0, c.s1]).chain([0.0, segment.length]).collect();
    places.retain(|&s| (0.0..=segment.length).contains(&s));
    places.sort_by(f64::total_cmp);
    places.dedup_by(|a, b| (*a - *b).abs() < TOUCH);
    for s in places {
        let mut heights: Vec<f64> = cuts.iter().flat_map(|c| [c.z0, c.z1]).chain([segment.z0, segment.z1]).collect();
        heights.retain(|z| (segment.z0..=segment.z1).contains(z));
        heights.sort_by(f64::total_cmp);
        heights.dedup();
        let first = out.len();
        for (&z0, &z1) in heights.iter().zip(heights.iter().skip(1)) {
            let middle = 0.5 * (z0 + z1);
            let fill = |s: f64| {
                let at = point(s).at_height(middle);
                geometry.panel_at(panel, at).map(|(assembly, cut)| (assembly, Met::Panel(panel, cut)))
            };
            let (before, after) = (fill(s - TOUCH), fill(s + TOUCH));
            let is_end = s < TOUCH || s > segment.length - TOUCH;
            let beyond = || match joined(geometry, surfaces, panel, point(s), middle) {
                Joint::Free => Some(None),
                // Of two panels in line the first makes the edge.
                Joint::InLine(other, filling) if other > panel => Some(filling),
                Joint::InLine(..) | Joint::Corner => None,
            };
            let (before, after) = if !is_end {
                (before, after)
            } else if s < TOUCH {
                let Some(beyond) = beyond() else { continue };
                (beyond, after)
            } else {
                let Some(beyond) = beyond() else { continue };
                (before, beyond)
            };
            let (one, other, along) = match (before, after) {
                (Some(b), None) => (b, None, Point2::new(-along.x, -along.y)),
                (b, Some(a)) if b.map(|b| b.0) != Some(a.0) => (a, b, along),
                _ => continue,
            };
            let kind =
                Kind::Sheet { plane, along, normal: segment.normal, one: Some(one.0), other: other.map(|o| o.0) };
            match out.get_mut(first..).and_then(|new| new.last_mut()) {
                Some(below) if below.z1 == z0 && below.met == one.1 && is_same(&below.kind, &kind) => below.z1 = z1,
                _ => out.push(Edge { at: point(s), z0, z1, kind, met: one.1 }),
            }
        }
    }
}

fn is_same(a: &Kind, b: &Kind) -> bool {
    match (a, b) {
        (Kind::Sheet { one: a, other: b, along: p, .. }, Kind::Sheet { one: c, other: d, along: q, .. }) => {
            a == c && b == d && p == q
        }
        _ => false,
    }
}

/// What a panel's end meets.
enum Joint {
    Free,
    /// Another panel goes on in the same plane, filled with this.
    InLine(u32, Option<(u32, Met)>),
    /// A panel of another plane.
    Corner,
}

fn joined(geometry: &Geometry, surfaces: &Surfaces, panel: u32, at: Point2, z: f64) -> Joint {
    let plane = surfaces.of_panel.get(panel as usize);
    let mut out = Joint::Free;
    for (index, other) in geometry.segments.iter().enumerate() {
        if index == panel as usize || z < other.z0 || z >= other.z1 {
            continue;
        }
        let (ex, ey) = ((other.b.x - other.a.x) / other.length, (other.b.y - other.a.y) / other.length);
        let (dx, dy) = (at.x - other.a.x, at.y - other.a.y);
        let s = dx * ex + dy * ey;
        if (dx * ey - dy * ex).abs() > TOUCH || s < -TOUCH || s > other.length + TOUCH {
            continue;
        }
        if surfaces.of_panel.get(index) != plane {
            return Joint::Corner;
        }
        let inner = s.clamp(TOUCH, (other.length - TOUCH).max(TOUCH));
        let place = Point3::new(other.a.x + inner * ex, other.a.y + inner * ey, z);
        let filling = geometry.panel_at(index as u32, place).map(|(a, cut)| (a, Met::Panel(index as u32, cut)));
        out = Joint::InLine(index as u32, filling);
    }
    out
}

impl Scene {
    /// How an edge turns the field from one point to another at a carrier's centre; nothing if it does not.
    pub(crate) fn bend(&self, edge: &Edge, from: Point3, to: Point3, carrier_idx: usize) -> Option<Turned> {
        let wavelength = self.carriers.get(carrier_idx)?.wavelength();
        let (fx, fy) = (from.x - edge.at.x, from.y - edge.at.y);
        let (tx, ty) = (to.x - edge.at.x, to.y - edge.at.y);
        let (before, after) = (fx.hypot(fy), tx.hypot(ty));
        if !(before > NEAREST && after > NEAREST) {
            return None;
        }
        let z = from.z + (to.z - from.z) * before / (before + after);
        if z < edge.z0 || z >= edge.z1 {
            return None;
        }
        let at = edge.at.at_height(z);
        let (s, t) = (before.hypot(z - from.z), after.hypot(to.z - z));
        let sin_edge = before / s;
        let tau = std::f64::consts::TAU;
        let (n, angles) = match edge.kind {
            Kind::Sheet { along, normal, .. } => {
                let angle =
                    |x: f64, y: f64| (normal.x * x + normal.y * y).atan2(along.x * x + along.y * y).rem_euclid(tau);
                (2.0, [angle(fx, fy), angle(tx, ty)])
            }
            Kind::Corner { face, n } => {
                let angle = |x: f64, y: f64| (face - y.atan2(x)).rem_euclid(tau);
                (n, [angle(fx, fy), angle(tx, ty)])
            }
        };
        // In the wedge, or along a face.
        let is_outside = |a: f64| a > 1e-9 && a < n * std::f64::consts::PI - 1e-9;
        if !angles.iter().all(|&a| is_outside(a)) {
            return None;
        }
        let terms = Bend { n, to: angles[1], from: angles[0], sin_edge, before: s, after: t }.terms(wavelength);
        let one = Complex64::ONE;
        let (passed, first, other) = match edge.kind {
            Kind::Corner { .. } => {
                let metal = [[-one, Complex64::ZERO], [Complex64::ZERO, one]];
                (IDENTITY, metal, metal)
            }
            Kind::Sheet { normal, one, other, .. } => {
                let side = |angle: f64| {
                    if angle < std::f64::consts::PI { Answer::BackFromFirst } else { Answer::BackFromLast }
                };
                let rays = [Ray::new(from, at), Ray::new(at, to)];
                let what = |answers: [Answer; 2], assembly: Option<u32>, empty: Matrix| {
                    let Some(wall) = assembly.and_then(|a| self.walls(a, carrier_idx)) else { return empty };
                    let [a, b] = [0, 1].map(|i| {
                        let (cos, t, p) = rays[i].at_wall(normal);
                        rotated(wall.amplitudes(answers[i], f64::from(cos)), f64::from(t), f64::from(p))
                    });
                    // The mean over both directions, so that the way back is the same.
                    combine(&a, &b, |a, b| 0.5 * (a + b))
                };
                let through = [Answer::Through; 2];
                let back = [side(angles[0]), side(angles[1])];
                let passed = combine(&what(through, other, IDENTITY), &what(through, one, IDENTITY), |b, a| b - a);
                let mut reflected = combine(&what(back, one, NOTHING), &what(back, other, NOTHING), |a, b| a - b);
                // Out of the mirror: phi of the real ray points the other way.
                reflected[1] = reflected[1].map(|x| -x);
                (passed, reflected, reflected)
            }
        };
        let spread = ((s + t) / (s * t)).sqrt();
        let mut matrix = NOTHING;
        for (i, row) in matrix.iter_mut().enumerate() {
            for (k, value) in row.iter_mut().enumerate() {
                *value = spread
                    * (terms.incident * passed[i][k] + terms.first_face * first[i][k] + terms.other_face * other[i][k]);
            }
        }
        let turned = (fx * tx + fy * ty) / (before * after);
        Some(Turned { at, matrix, angle_deg: (-turned).clamp(-1.0, 1.0).acos().to_degrees() })
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

const IDENTITY: Matrix = [[Complex64::ONE, Complex64::ZERO], [Complex64::ZERO, Complex64::ONE]];
const NOTHING: Matrix = [[Complex64::ZERO; 2]; 2];

fn combine(a: &Matrix, b: &Matrix, with: impl Fn(Complex64, Complex64) -> Complex64) -> Matrix {
    std::array::from_fn(|i| std::array::from_fn(|k| with(a[i][k], b[i][k])))
}

/// Amplitudes for TE and TM as a matrix for theta and phi.
fn rotated((te, tm): (Complex64, Complex64), t: f64, p: f64) -> Matrix {
    let mixed = t * p * (te - tm);
    [[t * t * te + p * p * tm, mixed], [mixed, p * p * te + t * t * tm]]
}
