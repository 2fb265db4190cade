//! Profiles as loops in their own plane [m].

use crate::ImportError;
use crate::curve::num_chords;
use crate::entity::Entity;
use crate::geometry::Geometry;
use crate::plan::{P2, signed_area};
use crate::transform::Transform;

/// An area bounded by loops: the first is the outer one, the others are holes. Several areas in a composite profile.
pub(crate) type Loops = Vec<Vec<P2>>;

impl<'m> Geometry<'m> {
    /// The areas of a profile; empty if its kind is not read.
    pub fn profile(&self, profile: Entity<'m>, depth: usize) -> Result<Vec<Loops>, ImportError> {
        self.step(profile, depth)?;
        let m = self.model.metre;
        let size = |i: usize| profile.real(i).map(|x| x * m).filter(|x| *x > 0.);
        let placed = |points: Option<Vec<P2>>| {
            let at = profile.entity(2).map_or(Transform::IDENTITY, |p| self.model.axis_placement(p));
            points.map(|p| vec![place(p, &at)])
        };
        let one: Option<Loops> = match profile.keyword() {
            "IFCARBITRARYCLOSEDPROFILEDEF" | "IFCARBITRARYPROFILEDEFWITHVOIDS" => {
                let Some(outer) = profile.entity(2) else { return Ok(Vec::new()) };
                let Some(outer) = self.curve(outer, depth + 1)? else { return Ok(Vec::new()) };
                let mut loops = vec![clean(outer.iter().map(|p| [p[0], p[1]]).collect())];
                if profile.is(&["IFCARBITRARYPROFILEDEFWITHVOIDS"]) {
                    for hole in profile.entities(3) {
                        if let Some(hole) = self.curve(hole, depth + 1)? {
                            loops.push(clean(hole.iter().map(|p| [p[0], p[1]]).collect()));
                        }
                    }
                }
                Some(loops)
            }
            "IFCCENTERLINEPROFILEDEF" => {
                let Some(line) = profile.entity(2) else { return Ok(Vec::new()) };
                let line = self.curve(line, depth + 1)?;
                line.zip(size(3)).map(|(l, t)| vec![band(&l.iter().map(|p| [p[0], p[1]]).collect::<Vec<_>>(), t)])
            }
            "IFCRECTANGLEPROFILEDEF" | "IFCROUNDEDRECTANGLEPROFILEDEF" => {
                placed(size(3).zip(size(4)).map(|(x, y)| rectangle(x, y)))
            }
            "IFCRECTANGLEHOLLOWPROFILEDEF" => {
                let outer = placed(size(3).zip(size(4)).map(|(x, y)| rectangle(x, y)));
                let t = size(5).unwrap_or(0.);
                let inner = size(3).zip(size(4)).filter(|(x, y)| 2. * t < x.min(*y));
                let inner = placed(inner.map(|(x, y)| rectangle(x - 2. * t, y - 2. * t)));
                outer.map(|o| o.into_iter().chain(inner.into_iter().flatten()).collect())
            }
            "IFCCIRCLEPROFILEDEF" => placed(size(3).map(|r| ellipse(r, r))),
            "IFCCIRCLEHOLLOWPROFILEDEF" => {
                let inner = size(3).zip(size(4)).filter(|(r, t)| t < r).map(|(r, t)| ellipse(r - t, r - t));
                let inner = placed(inner);
                placed(size(3).map(|r| ellipse(r, r)))
                    .map(|o| o.into_iter().chain(inner.into_iter().flatten()).collect())
            }
            "IFCELLIPSEPROFILEDEF" => placed(size(3).zip(size(4)).map(|(a, b)| ellipse(a, b))),
            "IFCTRAPEZIUMPROFILEDEF" => placed(size(3).zip(size(4)).zip(size(5)).map(|((bottom, top), y)| {
                let off = profile.real(6).unwrap_or(0.) * m;
                let (x, y) = (-bottom / 2., y / 2.);
                vec![[x, -y], [x + bottom, -y], [x + off + top, y], [x + off, y]]
            })),
            // Rolled sections: depth and width of the whole section bound them.
            "IFCISHAPEPROFILEDEF" => placed(size(4).zip(size(3)).map(|(depth, width)| rectangle(width, depth))),
            "IFCASYMMETRICISHAPEPROFILEDEF" => {
                placed(size(4).zip(size(3)).map(|(depth, width)| rectangle(width, depth)))
            }
            "IFCLSHAPEPROFILEDEF" => placed(size(3).map(|depth| rectangle(size(4).unwrap_or(depth), depth))),
            "IFCTSHAPEPROFILEDEF" | "IFCUSHAPEPROFILEDEF" | "IFCZSHAPEPROFILEDEF" | "IFCCSHAPEPROFILEDEF" => {
                placed(size(3).zip(size(4)).map(|(depth, width)| rectangle(width, depth)))
            }
            "IFCDERIVEDPROFILEDEF" | "IFCMIRROREDPROFILEDEF" => {
                let Some(parent) = profile.entity(2) else { return Ok(Vec::new()) };
                let mut at = profile.entity(3).map_or(Transform::IDENTITY, |o| self.model.operator(o));
                if profile.is(&["IFCMIRROREDPROFILEDEF"]) {
                    at.x = [-1., 0., 0.];
                }
                let areas = self.profile(parent, depth + 1)?;
                return Ok(areas.into_iter().map(|a| a.into_iter().map(|l| place(l, &at)).collect()).collect());
            }
            "IFCCOMPOSITEPROFILEDEF" => {
                let mut areas = Vec::new();
                for part in profile.entities(2) {
                    areas.extend(self.profile(part, depth + 1)?);
                }
                return Ok(areas);
            }
            _ => {
                self.unread(profile);
                None
            }
        };
        Ok(one.filter(|l| l.first().is_some_and(|o| o.len() >= 3)).into_iter().collect())
    }
}

fn place(points: Vec<P2>, at: &Transform) -> Vec<P2> {
    points
        .into_iter()
        .map(|p| {
            let q = at.point([p[0], p[1], 0.]);
            [q[0], q[1]]
        })
        .collect()
}

fn rectangle(x: f64, y: f64) -> Vec<P2> {
    let (x, y) = (x / 2., y / 2.);
    vec![[-x, -y], [x, -y], [x, y], [-x, y]]
}

fn ellipse(a: f64, b: f64) -> Vec<P2> {
    let n = num_chords(a.max(b), std::f64::consts::TAU);
    (0..n)
        .map(|i| {
            let t = std::f64::consts::TAU * i as f64 / n as f64;
            [a * t.cos(), b * t.sin()]
        })
        .collect()
}

/// A line given a thickness, mitred by averaging the normals of its joints.
fn band(line: &[P2], thickness: f64) -> Vec<P2> {
    let normal = |a: P2, b: P2| {
        let (dx, dy) = (b[0] - a[0], b[1] - a[1]);
        let length = dx.hypot(dy).max(1e-12);
        [-dy / length, dx / length]
    };
    let side = |sign: f64| {
        (0..line.len())
            .map(|i| {
                let before = normal(line[i.saturating_sub(1)], line[i.max(1)]);
                let after = normal(line[i.min(line.len() - 2)], line[(i + 1).min(line.len() - 1)]);
                let sum = [before[0] + after[0], before[1] + after[1]];
                let length2 = (sum[0] * sum[0] + sum[1] * sum[1]).max(0.1);
                let k = sign * thickness / length2;
                [line[i][0] + sum[0] * k, line[i][1] + sum[1] * k]
            })
            .collect::<Vec<P2>>()
    };
    side(-1.).into_iter().chain(side(1.).into_iter().rev()).collect()
}

/// Drops repeated points and the closing point.
pub(crate) fn clean(mut points: Vec<P2>) -> Vec<P2> {
    let near = |a: &P2, b: &P2| (a[0] - b[0]).abs() < 1e-7 && (a[1] - b[1]).abs() < 1e-7;
    points.dedup_by(|a, b| near(a, b));
    while points.len() > 1 && near(&points[0], &points[points.len() - 1]) {
        points.pop();
    }
    if signed_area(&points) < 0. {
        points.reverse();
    }
    points
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::signed_area;

    #[test]
    fn band_of_a_straight_line_is_a_rectangle() {
        let b = band(&[[0., 0.], [4., 0.]], 0.2);
        assert!((signed_area(&b).abs() - 0.8).abs() < 1e-12, "{b:?}");
    }

    #[test]
    fn ellipse_area_is_within_the_chord_error() {
        let area = signed_area(&ellipse(2., 1.));
        assert!((area - std::f64::consts::PI * 2.).abs() < 0.01 * area);
    }
}
