//! Curves as chains of points [m].

use std::f64::consts::TAU;

use crate::ImportError;
use crate::entity::{Entity, Value};
use crate::geometry::{Geometry, SAGITTA};
use crate::transform::{Transform, Vec3, add, scale, sub};

impl<'m> Geometry<'m> {
    /// Points along a curve, in the coordinate system that holds it; `None` if its kind is not read.
    pub fn curve(&self, curve: Entity<'m>, depth: usize) -> Result<Option<Vec<Vec3>>, ImportError> {
        self.step(curve, depth)?;
        let points = match curve.keyword() {
            "IFCPOLYLINE" => curve.entities(0).map(|p| self.model.point(p)).collect(),
            "IFCINDEXEDPOLYCURVE" => self.indexed_curve(curve),
            "IFCCOMPOSITECURVE" | "IFC2DCOMPOSITECURVE" | "IFCOUTERBOUNDARYCURVE" | "IFCBOUNDARYCURVE" => {
                let mut points: Vec<Vec3> = Vec::new();
                for segment in curve.entities(0) {
                    let Some(parent) = segment.entity(2) else { continue };
                    let Some(mut part) = self.curve(parent, depth + 1)? else { return Ok(None) };
                    if segment.name(1) == "F" {
                        part.reverse();
                    }
                    join(&mut points, part);
                }
                points
            }
            "IFCCIRCLE" | "IFCELLIPSE" => self.conic(curve).map(|c| c.points(0., TAU)).unwrap_or_default(),
            "IFCTRIMMEDCURVE" => match self.trimmed(curve) {
                Some(points) => points,
                None => match curve.entity(0) {
                    // A trimmed polyline or composite curve: the whole of it.
                    Some(basis) if !basis.is(&["IFCLINE", "IFCCIRCLE", "IFCELLIPSE"]) => {
                        return self.curve(basis, depth + 1);
                    }
                    _ => return Ok(None),
                },
            },
            k if k.starts_with("IFCBSPLINECURVE") || k.starts_with("IFCRATIONALBSPLINECURVE") => {
                self.b_spline(curve).unwrap_or_default()
            }
            _ => {
                self.unread(curve);
                return Ok(None);
            }
        };
        Ok((points.len() >= 2).then_some(points))
    }

    fn indexed_curve(&self, curve: Entity<'m>) -> Vec<Vec3> {
        let Some(list) = curve.entity(0) else { return Vec::new() };
        let points: Vec<Vec3> = list.at(0).items().map(|row| self.row(row)).collect();
        let mut out = Vec::new();
        let mut any = false;
        for segment in curve.at(1).items() {
            any = true;
            let part: Vec<Vec3> = segment.items().filter_map(|i| points.get(i.index()?)).copied().collect();
            match (segment.type_name(), part.as_slice()) {
                ("IFCARCINDEX", [a, b, c]) => join(&mut out, arc_through(*a, *b, *c)),
                _ => join(&mut out, part),
            }
        }
        if any { out } else { points }
    }

    /// Coordinates in a list [m].
    pub fn row(&self, row: Value<'m>) -> Vec3 {
        let mut p = [0.; 3];
        for (c, v) in p.iter_mut().zip(row.items()) {
            *c = v.real().unwrap_or(0.) * self.model.metre;
        }
        p
    }

    fn conic(&self, curve: Entity<'m>) -> Option<Conic> {
        let at = self.model.axis_placement(curve.entity(0)?);
        let a = curve.real(1)? * self.model.metre;
        let b = if curve.is(&["IFCELLIPSE"]) { curve.real(2)? * self.model.metre } else { a };
        (a > 0. && b > 0.).then_some(Conic { at, a, b })
    }

    fn trimmed(&self, curve: Entity<'m>) -> Option<Vec<Vec3>> {
        let basis = curve.entity(0)?;
        let forward = curve.name(3) != "F";
        let by_parameter = curve.name(4) == "PARAMETER";
        let trim = |i: usize| {
            let point = curve.at(i).items().find_map(|v| v.entity()).map(|p| self.model.point(p));
            let parameter = curve.at(i).items().find(|v| v.entity().is_none()).and_then(|v| v.real());
            (point, parameter)
        };
        let (start, end) = (trim(1), trim(2));
        if basis.is(&["IFCLINE"]) {
            let origin = self.model.point(basis.entity(0)?);
            let vector = basis.entity(1)?;
            let along = crate::transform::unit(self.model.direction(vector.entity(0)?))?;
            let along = scale(along, vector.real(1).unwrap_or(1.) * self.model.metre);
            let place = |(point, parameter): (Option<Vec3>, Option<f64>)| {
                let from_parameter = parameter.map(|t| add(origin, scale(along, t)));
                if by_parameter { from_parameter.or(point) } else { point.or(from_parameter) }
            };
            let (start, end) = (place(start)?, place(end)?);
            return Some(vec![start, end]);
        }
        if !basis.is(&["IFCCIRCLE", "IFCELLIPSE"]) {
            return None;
        }
        let conic = self.conic(basis)?;
        let angle = |(point, parameter): (Option<Vec3>, Option<f64>)| {
            let from_parameter = parameter.map(|t| t * self.model.radian);
            let from_point = point.and_then(|p| conic.angle(p));
            if by_parameter { from_parameter.or(from_point) } else { from_point.or(from_parameter) }
        };
        let (a, b) = (angle(start)?, angle(end)?);
        let mut sweep = if forward { (b - a).rem_euclid(TAU) } else { -(a - b).rem_euclid(TAU) };
        if sweep == 0. {
            sweep = if forward { TAU } else { -TAU };
        }
        Some(conic.points(a, sweep))
    }

    /// A B-spline by de Boor's recursion, sampled evenly between its knots.
    fn b_spline(&self, curve: Entity<'m>) -> Option<Vec<Vec3>> {
        let degree = curve.at(0).index()? + 1;
        let control: Vec<Vec3> = curve.entities(1).map(|p| self.model.point(p)).collect();
        // Plain B-splines of IFC2x3 state no knots: Bézier curves do not need them.
        let mut knots = Vec::new();
        for (times, knot) in curve.at(5).items().zip(curve.at(6).items()) {
            let times = times.index()? + 1;
            if times > degree + 1 {
                return None;
            }
            knots.extend(std::iter::repeat_n(knot.real()?, times));
        }
        if knots.is_empty() {
            knots = (0..control.len() + degree + 1).map(|i| if i <= degree { 0. } else { 1. }).collect();
            if control.len() != degree + 1 {
                return None;
            }
        }
        if degree > 16 || control.len() <= degree || knots.len() != control.len() + degree + 1 {
            return None;
        }
        let weights: Vec<f64> = match curve.at(8).items().map(|w| w.real()).collect::<Option<Vec<_>>>() {
            Some(w) if w.len() == control.len() => w,
            _ => vec![1.; control.len()],
        };
        let (start, end) = (*knots.get(degree)?, *knots.get(control.len())?);
        let num_samples = (control.len() * 8).min(512);
        let mut points = Vec::new();
        for n in 0..=num_samples {
            let t = start + (end - start) * n as f64 / num_samples as f64;
            let span = (degree..control.len()).rev().find(|k| knots[*k] <= t).unwrap_or(degree);
            let mut d: Vec<[f64; 4]> = (0..=degree)
                .map(|j| {
                    let i = j + span - degree;
                    let w = weights[i];
                    [control[i][0] * w, control[i][1] * w, control[i][2] * w, w]
                })
                .collect();
            for r in 1..=degree {
                for j in (r..=degree).rev() {
                    let i = j + span - degree;
                    let width = knots[i + degree + 1 - r] - knots[i];
                    let alpha = if width > 0. { (t - knots[i]) / width } else { 0. };
                    let before = d[j - 1];
                    for (c, b) in d[j].iter_mut().zip(before) {
                        *c = (1. - alpha) * b + alpha * *c;
                    }
                }
            }
            let [x, y, z, w] = d[degree];
            if w.abs() < 1e-12 {
                return None;
            }
            points.push([x / w, y / w, z / w]);
        }
        Some(points)
    }
}

struct Conic {
    at: Transform,
    a: f64,
    b: f64,
}

impl Conic {
    fn points(&self, start: f64, sweep: f64) -> Vec<Vec3> {
        let n = num_chords(self.a.max(self.b), sweep);
        (0..=n)
            .map(|i| {
                let t = start + sweep * i as f64 / n as f64;
                self.at.point([self.a * t.cos(), self.b * t.sin(), 0.])
            })
            .collect()
    }

    fn angle(&self, p: Vec3) -> Option<f64> {
        let local = self.at.inverse()?.point(p);
        Some((local[1] / self.b).atan2(local[0] / self.a))
    }
}

/// Chords for an arc, so that none is farther than [`SAGITTA`] from it.
pub(crate) fn num_chords(radius: f64, sweep: f64) -> usize {
    let step = 2. * (1. - (SAGITTA / radius.max(SAGITTA)).min(1.)).acos();
    ((sweep.abs() / step.max(0.02)).ceil() as usize).clamp(2, 512)
}

/// Chords of the arc through three points, in their plane.
fn arc_through(a: Vec3, b: Vec3, c: Vec3) -> Vec<Vec3> {
    let (u, v) = (sub(b, a), sub(c, a));
    let normal = crate::transform::cross(u, v);
    let n2 = crate::transform::dot(normal, normal);
    let (uu, vv) = (crate::transform::dot(u, u), crate::transform::dot(v, v));
    if n2 <= 1e-18 * uu * vv || n2 == 0. {
        return vec![a, b, c];
    }
    // Circumcentre of a triangle from one corner.
    let to_centre = crate::transform::cross(sub(scale(v, uu), scale(u, vv)), normal);
    let to_centre = scale(to_centre, 1. / (2. * n2));
    let centre = add(a, to_centre);
    let at = Transform::from_axes(centre, Some(normal), Some(sub(a, centre)));
    let radius = crate::transform::dot(to_centre, to_centre).sqrt();
    let conic = Conic { at, a: radius, b: radius };
    let Some(end) = conic.angle(c) else { return vec![a, b, c] };
    conic.points(0., end.rem_euclid(TAU))
}

/// Appends a part to a chain, dropping the doubled joint; a part that runs the wrong way is turned.
fn join(points: &mut Vec<Vec3>, mut part: Vec<Vec3>) {
    let near = |a: Vec3, b: Vec3| {
        let d = sub(a, b);
        crate::transform::dot(d, d).sqrt() < 1e-6
    };
    if let (Some(last), Some(first), Some(end)) = (points.last(), part.first(), part.last())
        && !near(*last, *first)
        && near(*last, *end)
    {
        part.reverse();
    }
    let doubled = matches!((points.last(), part.first()), (Some(l), Some(f)) if near(*l, *f));
    points.extend(part.into_iter().skip(usize::from(doubled)));
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn arc_through_three_points_keeps_the_radius_and_the_ends() {
        let points = arc_through([1., 0., 0.], [0., 1., 0.], [-1., 0., 0.]);
        assert!(points.len() > 8);
        for p in &points {
            assert!((p[0].hypot(p[1]) - 1.).abs() < 1e-9, "{p:?}");
        }
        assert!(points.iter().all(|p| p[1] > -1e-9), "it runs through the middle point");
        let end = points.last().unwrap();
        assert!((end[0] + 1.).abs() < 1e-9 && end[1].abs() < 1e-9);
    }

    #[test]
    fn straight_arc_is_a_line() {
        assert_eq!(arc_through([0.; 3], [1., 0., 0.], [2., 0., 0.]).len(), 3);
    }
}
