//! Walls on their centre lines, from axis and layers or from the shape alone.
//!
//! Long because one wall has many ways to be drawn; the ways stand in order of preference.

use crate::ImportError;
use crate::entity::Entity;
use crate::geometry::Geometry;
use crate::layers::RawLayer;
use crate::plan::{Area, P2, edges, is_sound, least_rectangle, segment_distance, signed_area};
use crate::report::Collector;
use crate::shape::Shape;
use crate::storeys::Level;
use crate::words::{heaviest, thicknesses};

/// A straight piece of a wall of the model.
#[derive(Clone, Debug)]
pub(crate) struct Piece {
    pub entity: u32,
    pub id: String,
    pub global_id: String,
    pub level: usize,
    pub a: P2,
    pub b: P2,
    pub thickness: f64,
    /// Centre of the build-up before layers were left off, to the left of the centre line [m].
    pub reference: f64,
    pub z0: f64,
    pub z1: f64,
    /// From the left of `a`–`b` to its right.
    pub layers: Vec<RawLayer>,
    /// Name of the build-up.
    pub build_up: String,
    /// What the model says of the weather side.
    pub is_external: Option<bool>,
    /// A glazed wall.
    pub is_glazed: bool,
}

impl Piece {
    pub fn length(&self) -> f64 {
        (self.b[0] - self.a[0]).hypot(self.b[1] - self.a[1])
    }

    /// Unit vector along the wall.
    pub fn along(&self) -> P2 {
        let l = self.length().max(1e-12);
        [(self.b[0] - self.a[0]) / l, (self.b[1] - self.a[1]) / l]
    }

    /// Unit vector to its left.
    pub fn left(&self) -> P2 {
        let u = self.along();
        [-u[1], u[0]]
    }

    /// The point at a distance along the centre line and to its left [m].
    pub fn point(&self, s: f64, left: f64) -> P2 {
        let (u, n) = (self.along(), self.left());
        [self.a[0] + u[0] * s + n[0] * left, self.a[1] + u[1] * s + n[1] * left]
    }

    /// Distance along the centre line and to its left [m].
    pub fn coordinates(&self, p: P2) -> P2 {
        let (u, n) = (self.along(), self.left());
        let d = [p[0] - self.a[0], p[1] - self.a[1]];
        [d[0] * u[0] + d[1] * u[1], d[0] * n[0] + d[1] * n[1]]
    }

    /// True if the centre line comes within a distance of a box in plan [m].
    pub fn is_near(&self, low: P2, high: P2, reach: f64) -> bool {
        (0..2).all(|k| self.a[k].max(self.b[k]) >= low[k] - reach && self.a[k].min(self.b[k]) <= high[k] + reach)
    }

    /// True if a point in plan lies within the wall, its ends reaching a little further [m].
    pub fn covers(&self, p: P2, slack: f64) -> bool {
        let c = self.coordinates(p);
        c[0] > -slack && c[0] < self.length() + slack && c[1].abs() < self.thickness / 2.
    }
}

/// Entities that are walls.
const WALLS: &[&str] = &["IFCWALL", "IFCWALLSTANDARDCASE", "IFCWALLELEMENTEDCASE", "IFCCURTAINWALL"];

/// Walls shorter, thinner or lower than this are none [m].
const LEAST_SIZE: f64 = 1e-3;
/// Chords of a bent wall leave its line by at most this [m]: a tenth of a usual wall's thickness.
const CHORD_ERROR: f64 = 0.02;
/// Distance between the cuts by which a wall's shape is compared with its layers [m].
const CUT: f64 = 0.1;
/// Runs shorter than this take the build-up of their neighbour [m].
const LEAST_RUN: f64 = 0.3;

/// A line with what the layers along it say.
struct Line {
    a: P2,
    b: P2,
    thickness: f64,
    layers: Vec<RawLayer>,
}

impl<'m> Geometry<'m> {
    /// Every wall, in file order, cut into straight pieces of one build-up.
    pub fn walls(&self, levels: &[Level], report: &mut Collector) -> Result<Vec<Piece>, ImportError> {
        let mut pieces = Vec::new();
        for (n, e) in self.model.all(WALLS).into_iter().enumerate() {
            let id = format!("w{}", n + 1);
            let before = pieces.len();
            self.wall(e, &id, levels, &mut pieces, report)?;
            let found = &mut pieces[before..];
            if found.len() > 1 {
                for (k, p) in found.iter_mut().enumerate() {
                    p.id = format!("{id}.{}", k + 1);
                }
            }
        }
        Ok(pieces)
    }

    fn wall(
        &self,
        e: Entity<'m>,
        id: &str,
        levels: &[Level],
        pieces: &mut Vec<Piece>,
        report: &mut Collector,
    ) -> Result<(), ImportError> {
        let is_glazed = e.is(&["IFCCURTAINWALL"]);
        let mut body = self.body(e)?;
        if body.is_none() {
            let mut parts = Vec::new();
            for part in self.model.parts.get(&e.index).into_iter().flatten() {
                parts.extend(self.body(self.model.entity(*part))?);
            }
            body = (!parts.is_empty()).then_some(Shape::Union(parts));
        }
        let Some(body) = body else {
            report.left_out("walls", "they have no shape that can be read", e.global_id());
            return Ok(());
        };
        let Some((low, high)) = body.bounds() else { return Ok(()) };
        if !low.iter().chain(&high).all(|c| c.is_finite() && c.abs() < 1e7) || high[2] - low[2] < LEAST_SIZE {
            report.left_out("walls", "their shape is lower than 1 mm or lies beyond 10,000 km", e.global_id());
            return Ok(());
        }
        let build_up = self.model.build_up(e);
        let mut lines = self.lines_from_axis(e, &body, (low[2] + high[2]) / 2.)?;
        let from_axis = !lines.is_empty();
        if lines.is_empty() {
            lines = lines_from_footprint(&body.footprint());
            if is_glazed {
                lines = without_doubles(lines);
            }
        }
        if lines.is_empty() {
            report.left_out("walls", "their shape has no two long faces", e.global_id());
            return Ok(());
        }
        if !from_axis {
            report.guessed("walls without a reference line", "the centre line is that of the shape's long faces", id);
        }
        if lines.len() > 1 {
            report.guessed("bent or curved walls", "chords stand for the curve, one piece each", id);
        }
        if !build_up.layers.is_empty() && !is_glazed {
            report.understood("walls with material layers", id);
        }
        let is_external = self.model.property(e.index, "IsExternal").map(|v| v.name() == "T");
        let level = storey_of(self.level_of(e, low[2], levels), (low[2], high[2]), levels, id, report);
        let template = Piece {
            entity: e.index,
            id: id.to_owned(),
            global_id: e.global_id(),
            level,
            a: [0.; 2],
            b: [0.; 2],
            thickness: 0.,
            reference: 0.,
            z0: low[2],
            z1: high[2],
            layers: Vec::new(),
            build_up: if build_up.name.is_empty() { e.text(4).unwrap_or_default() } else { build_up.name.clone() },
            is_external,
            is_glazed,
        };
        for mut line in lines {
            if line.layers.is_empty() && !is_glazed {
                line.layers = if build_up.layers.is_empty() {
                    let name = format!("{} {}", e.text(2).unwrap_or_default(), build_up.name);
                    named_layers(&build_up.materials, &name, line.thickness, id, report)
                } else {
                    scaled(&build_up.layers, line.thickness)
                };
            } else if line.layers.is_empty() {
                line.layers = vec![RawLayer { name: "glass".to_owned(), thickness: line.thickness }];
            }
            if line.thickness < LEAST_SIZE || (line.b[0] - line.a[0]).hypot(line.b[1] - line.a[1]) < LEAST_SIZE {
                report.left_out("walls", "they are shorter or thinner than 1 mm", id);
                continue;
            }
            cut_by_shape(&template, line, &body, pieces, report);
        }
        Ok(())
    }

    /// Centre lines from the axis representation: offset by the layers' usage, or to the middle of the shape.
    fn lines_from_axis(&self, e: Entity<'m>, body: &Shape, mid: f64) -> Result<Vec<Line>, ImportError> {
        let Some(axis) = self.representation(e, &["Axis"]) else { return Ok(Vec::new()) };
        let Some(item) = axis.entities(3).next() else { return Ok(Vec::new()) };
        let Some(points) = self.curve(item, 0)? else { return Ok(Vec::new()) };
        let at = self.model.placement(e)?;
        let points: Vec<P2> = points
            .iter()
            .map(|p| {
                let q = at.point(*p);
                [q[0], q[1]]
            })
            .collect();
        let points = crate::plan::simplified(&points, CHORD_ERROR);
        let build_up = self.model.build_up(e);
        // A mirrored placement would turn left and right; IFC placements are right-handed.
        let (mut offset, mut thickness, mut layers) = (0., build_up.thickness(), Vec::new());
        let mut is_known = false;
        if let (Some((is_negative, start)), true) = (build_up.usage, thickness > 0.) {
            offset = if is_negative { start - thickness / 2. } else { start + thickness / 2. };
            layers = build_up.layers.clone();
            // Running against the normal, the first layer is the leftmost already.
            if !is_negative {
                layers.reverse();
            }
            let probe = chord(&points, points.len() / 2 - usize::from(points.len() > 1));
            is_known = probe.is_some_and(|c| touches(body, &c, offset, thickness, mid));
        }
        if !is_known {
            let mut ranges: Vec<(f64, f64)> =
                (0..points.len().saturating_sub(1)).filter_map(|i| across(body, &chord(&points, i)?, mid)).collect();
            ranges.sort_by(|a, b| (a.1 - a.0).total_cmp(&(b.1 - b.0)));
            let Some((lo, hi)) = ranges.get(ranges.len() / 2).copied() else { return Ok(Vec::new()) };
            offset = (lo + hi) / 2.;
            thickness = hi - lo;
            layers = Vec::new();
        }
        let line = offset_line(&points, offset);
        Ok(line
            .windows(2)
            .map(|w| Line { a: w[0], b: w[1], thickness, layers: layers.clone() })
            .filter(|l| (l.b[0] - l.a[0]).hypot(l.b[1] - l.a[1]) > 1e-6)
            .collect())
    }
}

/// The storey that a wall stands in: that of the model, unless most of the wall is in another.
fn storey_of(own: usize, (z0, z1): (f64, f64), levels: &[Level], id: &str, report: &mut Collector) -> usize {
    let within = |l: usize| {
        let top = levels.get(l + 1).map_or(f64::INFINITY, |n| n.z);
        (z1.min(top) - z0.max(levels[l].z)).max(0.)
    };
    let Some(best) = (0..levels.len()).max_by(|a, b| within(*a).total_cmp(&within(*b))) else { return own };
    if within(own) < 0.5 * within(best) {
        report.guessed(
            "walls that stand in another storey than the model lists them in",
            "the storey that holds most of their height is taken",
            id,
        );
        return best;
    }
    own
}

/// A segment as middle, unit vector along and unit vector to the left.
fn chord(points: &[P2], i: usize) -> Option<(P2, P2)> {
    let (a, b) = (points.get(i)?, points.get(i + 1)?);
    let l = (b[0] - a[0]).hypot(b[1] - a[1]);
    (l > 1e-9).then(|| {
        // A little off the middle, where a door is less likely.
        let t = 0.37;
        ([a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t], [-(b[1] - a[1]) / l, (b[0] - a[0]) / l])
    })
}

/// True if the shape fills at least one of some places across the line.
fn touches(body: &Shape, (p, n): &(P2, P2), offset: f64, thickness: f64, mid: f64) -> bool {
    let Some((low, high)) = body.bounds() else { return false };
    [-0.4, -0.2, 0., 0.2, 0.4].iter().any(|k| {
        let d = offset + k * thickness;
        [mid, low[2] + (high[2] - low[2]) * 0.9].iter().any(|z| {
            let spans = body.spans([p[0] + n[0] * d, p[1] + n[1] * d]);
            spans.iter().any(|s| s.0 <= *z && *z <= s.1)
        })
    })
}

/// The extent of a shape across a line, near it [m]: negative to the right.
fn across(body: &Shape, (p, n): &(P2, P2), mid: f64) -> Option<(f64, f64)> {
    const STEP: f64 = 0.005;
    let filled: Vec<f64> = (-200..=200)
        .map(|i| f64::from(i) * STEP + 1e-4)
        .filter(|d| body.spans([p[0] + n[0] * d, p[1] + n[1] * d]).iter().any(|s| s.0 <= mid && mid <= s.1))
        .collect();
    Some((filled.first()? - STEP / 2., filled.last()? + STEP / 2.))
}

/// A line moved to its left, its joints on the bisectors.
fn offset_line(points: &[P2], offset: f64) -> Vec<P2> {
    let normal = |i: usize| {
        let (a, b) = (points[i], points[i + 1]);
        let l = (b[0] - a[0]).hypot(b[1] - a[1]).max(1e-12);
        [-(b[1] - a[1]) / l, (b[0] - a[0]) / l]
    };
    (0..points.len())
        .map(|i| {
            let before = normal(i.saturating_sub(1).min(points.len() - 2));
            let after = normal(i.min(points.len() - 2));
            let sum = [before[0] + after[0], before[1] + after[1]];
            let k = 2. * offset / (sum[0] * sum[0] + sum[1] * sum[1]).max(0.2);
            [points[i][0] + sum[0] * k, points[i][1] + sum[1] * k]
        })
        .collect()
}

/// Layers of an element that names materials without thicknesses.
pub(crate) fn named_layers(
    materials: &[String],
    element: &str,
    thickness: f64,
    id: &str,
    report: &mut Collector,
) -> Vec<RawLayer> {
    let what = "elements without material layers";
    if let Some(found) = thicknesses(element, materials.len(), thickness) {
        report.guessed(what, "their name holds a thickness for each material, which sum to that of the shape", id);
        return materials.iter().zip(found).map(|(n, thickness)| RawLayer { name: n.clone(), thickness }).collect();
    }
    let rule = match materials.len() {
        0 => "one solid layer of unknown material",
        1 => "one solid layer of the material named",
        _ => "one solid layer of the heaviest material named",
    };
    report.guessed(what, rule, id);
    let name = heaviest(materials).cloned().unwrap_or_else(|| "unnamed material".to_owned());
    vec![RawLayer { name, thickness }]
}

/// Layers stretched to another thickness, when the shape and the layers differ.
fn scaled(layers: &[RawLayer], thickness: f64) -> Vec<RawLayer> {
    let sum: f64 = layers.iter().map(|l| l.thickness).sum();
    let k = if sum > 0. { thickness / sum } else { 1. };
    layers.iter().map(|l| RawLayer { name: l.name.clone(), thickness: l.thickness * k }).collect()
}

/// Centre lines of an area: of its rectangle, or between its facing edges.
fn lines_from_footprint(areas: &[Area]) -> Vec<Line> {
    let mut lines = Vec::new();
    for area in areas.iter().filter(|a| is_sound(a)) {
        let Some(r) = least_rectangle(&area.outer) else { continue };
        let long = (r[1][0] - r[0][0]).hypot(r[1][1] - r[0][1]);
        let short = (r[2][0] - r[1][0]).hypot(r[2][1] - r[1][1]);
        let middle = |a: P2, b: P2| [(a[0] + b[0]) / 2., (a[1] + b[1]) / 2.];
        if area.size() > 0.9 * signed_area(&r).abs() {
            let (a, b) = (middle(r[0], r[3]), middle(r[1], r[2]));
            lines.push(Line { a, b, thickness: short, layers: Vec::new() });
        } else {
            let between = facing_edges(area);
            if between.is_empty() && long > 0. {
                let (a, b) = (middle(r[0], r[3]), middle(r[1], r[2]));
                lines.push(Line { a, b, thickness: short, layers: Vec::new() });
            }
            lines.extend(between);
        }
    }
    lines
}

/// Leaves out lines that run along a longer one less than 0.3 m away, as the bars and panes of a glazed wall do.
fn without_doubles(mut lines: Vec<Line>) -> Vec<Line> {
    let length = |l: &Line| (l.b[0] - l.a[0]).hypot(l.b[1] - l.a[1]);
    lines.sort_by(|a, b| length(b).total_cmp(&length(a)));
    let mut kept: Vec<Line> = Vec::new();
    for line in lines {
        let is_double = |k: &Line| {
            let middle = [(line.a[0] + line.b[0]) / 2., (line.a[1] + line.b[1]) / 2.];
            let u = [(k.b[0] - k.a[0]) / length(k), (k.b[1] - k.a[1]) / length(k)];
            let cross = (line.b[0] - line.a[0]) * u[1] - (line.b[1] - line.a[1]) * u[0];
            segment_distance(middle, k.a, k.b) < 0.3 && cross.abs() < 0.3 * length(&line)
        };
        if !kept.iter().any(is_double) {
            kept.push(line);
        }
    }
    kept
}

/// Lines midway between edges that face each other across the area, each edge with its nearest partner.
fn facing_edges(area: &Area) -> Vec<Line> {
    let all: Vec<(P2, P2)> = area.loops().flat_map(|l| edges(l)).collect();
    let mut lines: Vec<Line> = Vec::new();
    // Long footprints of thousands of edges are no walls; the pairing below is quadratic.
    if all.len() > 600 {
        return lines;
    }
    for (i, (a, b)) in all.iter().enumerate() {
        let l = (b[0] - a[0]).hypot(b[1] - a[1]);
        if l < 0.05 {
            continue;
        }
        let u = [(b[0] - a[0]) / l, (b[1] - a[1]) / l];
        let mut best: Option<(f64, usize, f64, f64)> = None;
        for (j, (c, d)) in all.iter().enumerate() {
            let m = (d[0] - c[0]).hypot(d[1] - c[1]);
            // Facing edges run against each other (within 10 degrees).
            if i == j || m < 0.05 || (u[0] * (d[0] - c[0]) + u[1] * (d[1] - c[1])) / m > -0.985 {
                continue;
            }
            let local = |p: &P2| {
                let q = [p[0] - a[0], p[1] - a[1]];
                [q[0] * u[0] + q[1] * u[1], q[1] * u[0] - q[0] * u[1]]
            };
            let (c, d) = (local(c), local(d));
            let (lo, hi) = (d[0].min(c[0]).max(0.), d[0].max(c[0]).min(l));
            let gap = (c[1] + d[1]) / 2.;
            if hi - lo > 0.05 && gap > 0.02 && gap < 1.0 && best.is_none_or(|b| gap < b.0) {
                best = Some((gap, j, lo, hi));
            }
        }
        let Some((gap, j, lo, hi)) = best else { continue };
        // Each pair once, and only if it is longer than it is wide.
        if (hi - lo) < gap * 0.5 || (j < i && lines.iter().any(|m| is_same_line(m, *a, u, gap, lo, hi))) {
            continue;
        }
        let at = |s: f64| [a[0] + u[0] * s - u[1] * gap / 2., a[1] + u[1] * s + u[0] * gap / 2.];
        lines.push(Line { a: at(lo), b: at(hi), thickness: gap, layers: Vec::new() });
    }
    lines
}

fn is_same_line(line: &Line, a: P2, u: P2, gap: f64, lo: f64, hi: f64) -> bool {
    let m = [(line.a[0] + line.b[0]) / 2. - a[0], (line.a[1] + line.b[1]) / 2. - a[1]];
    let (s, t) = (m[0] * u[0] + m[1] * u[1], m[1] * u[0] - m[0] * u[1]);
    (t - gap / 2.).abs() < 0.05 && s > lo - 0.02 && s < hi + 0.02
}

/// Compares a line's layers with the shape, every [`CUT`] along it, and makes one piece for each run over which the
/// same layers are there; the piece's height is that of the shape.
fn cut_by_shape(template: &Piece, line: Line, body: &Shape, pieces: &mut Vec<Piece>, report: &mut Collector) {
    let whole =
        Piece { a: line.a, b: line.b, thickness: line.thickness, layers: line.layers.clone(), ..template.clone() };
    let length = whole.length();
    let n = ((length / CUT).ceil() as usize).clamp(3, 400);
    let middle = (template.z0 + template.z1) / 2.;
    let mut cuts: Vec<Option<Cut>> = Vec::with_capacity(n);
    for i in 0..n {
        let s = (i as f64 + 0.5) / n as f64 * length;
        let mut cut = Cut { has: Vec::new(), z0: f64::INFINITY, z1: f64::NEG_INFINITY };
        let mut left = line.thickness / 2.;
        for l in &line.layers {
            let spans = body.spans(whole.point(s, left - l.thickness / 2.));
            left -= l.thickness;
            cut.has.push(spans.iter().any(|p| p.0 <= middle && middle <= p.1));
            if let (Some(first), Some(last)) = (spans.first(), spans.last()) {
                cut.z0 = cut.z0.min(first.0);
                cut.z1 = cut.z1.max(last.1);
            }
        }
        let is_empty = cut.z0 > cut.z1 || !cut.z0.is_finite() || !cut.z1.is_finite();
        cuts.push((!is_empty).then_some(cut));
    }
    let (Some(first), Some(last)) = (cuts.iter().position(Option::is_some), cuts.iter().rposition(Option::is_some))
    else {
        report.guessed("walls whose shape is not where their layers are", "the layers are taken", template.id.clone());
        pieces.push(whole);
        return;
    };
    let found: Vec<&Cut> = cuts.iter().flatten().collect();
    let z0 = found.iter().map(|c| c.z0).fold(f64::INFINITY, f64::min);
    let tops: Vec<f64> = found.iter().map(|c| c.z1).collect();
    let z1 = tops.iter().sum::<f64>() / tops.len() as f64;
    let spread = tops.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |m, t| (m.0.min(*t), m.1.max(*t)));
    if spread.1 - spread.0 > 0.05 {
        report.guessed(
            "walls with a sloping head",
            "an upright rectangle of the mean height stands for them",
            template.id.clone(),
        );
    }
    if z1 - z0 < LEAST_SIZE {
        report.left_out("walls", "their shape is lower than 1 mm or lies beyond 10,000 km", template.id.clone());
        return;
    }
    // Runs of equal layers; a cut through an opening, where nothing is at mid-height, belongs to its neighbours.
    let mut runs: Vec<(usize, usize, Vec<bool>)> = Vec::new();
    for (i, cut) in cuts.iter().enumerate().take(last + 1).skip(first) {
        let has = cut.as_ref().and_then(|c| between_faces(&c.has));
        match (runs.last_mut(), has) {
            (Some(run), None) => run.1 = i + 1,
            (Some(run), Some(h)) if run.2 == h => run.1 = i + 1,
            (_, Some(h)) => runs.push((i, i + 1, h)),
            (None, None) => {}
        }
    }
    let step = length / n as f64;
    let long = |r: &(usize, usize, Vec<bool>)| (r.1 - r.0) as f64 * step >= LEAST_RUN;
    if runs.iter().any(long) {
        let mut kept: Vec<(usize, usize, Vec<bool>)> = Vec::new();
        for run in runs {
            match kept.last_mut() {
                Some(k) if !long(&run) || k.2 == run.2 => k.1 = run.1,
                _ if long(&run) => kept.push(run),
                _ => {}
            }
        }
        runs = kept;
    } else {
        runs.truncate(1);
    }
    if runs.is_empty() {
        runs.push((first, last + 1, vec![true; line.layers.len()]));
    }
    let num_runs = runs.len();
    for (k, (from, to, has)) in runs.into_iter().enumerate() {
        let (mut lost_left, mut lost_right) = (0., 0.);
        for (l, h) in line.layers.iter().zip(&has) {
            if *h {
                break;
            }
            lost_left += l.thickness;
        }
        for (l, h) in line.layers.iter().zip(&has).rev() {
            if *h {
                break;
            }
            lost_right += l.thickness;
        }
        let layers: Vec<RawLayer> = line.layers.iter().zip(&has).filter(|(_, h)| **h).map(|(l, _)| l.clone()).collect();
        if layers.len() < line.layers.len() {
            report.guessed(
                "walls cut back on a face",
                "the layers that the shape lacks over this length are left off",
                template.id.clone(),
            );
        }
        let shift = (lost_right - lost_left) / 2.;
        // The line's own ends are exact; only inner limits come from the cuts.
        let s0 = if k == 0 && from <= 1 { 0. } else { from as f64 * step };
        let s1 = if k + 1 == num_runs && to + 1 >= n { length } else { to as f64 * step };
        let thickness = layers.iter().map(|l| l.thickness).sum();
        let (a, b) = (whole.point(s0, shift), whole.point(s1, shift));
        pieces.push(Piece { a, b, thickness, reference: -shift, layers, z0, z1, ..template.clone() });
    }
}

/// Which layers belong to the wall at a cut: all from the first to the last that is there. What is missing between
/// them is the space between studs. None if there are none.
fn between_faces(has: &[bool]) -> Option<Vec<bool>> {
    let (first, last) = (has.iter().position(|h| *h)?, has.iter().rposition(|h| *h)?);
    Some((0..has.len()).map(|i| first <= i && i <= last).collect())
}

/// One cut across a wall: which layers are there at mid-height, and the foot and head of the shape.
struct Cut {
    has: Vec<bool>,
    z0: f64,
    z1: f64,
}

/// True if a wall is so thin against another that it can only be its lining.
pub(crate) fn is_lining(thin: &Piece, thick: &Piece) -> bool {
    thin.thickness < 0.5 * thick.thickness
}

/// Draws the ends of walls to the centre lines of the walls that they meet.
pub(crate) fn join_ends(pieces: &mut [Piece]) {
    let before = pieces.to_vec();
    for (i, piece) in pieces.iter_mut().enumerate() {
        let own = &before[i];
        let (u, length) = (own.along(), own.length());
        // Moves along the own direction, from either end.
        let mut best: [Option<(bool, f64)>; 2] = [None, None];
        for (j, other) in before.iter().enumerate() {
            if i == j || own.z0.max(other.z0) + 0.2 > own.z1.min(other.z1) {
                continue;
            }
            let v = other.along();
            let sine = u[0] * v[1] - u[1] * v[0];
            // Walls within 15 degrees of each other do not meet at a corner, nor do the chords of one bend.
            if sine.abs() < if own.entity == other.entity { 0.5 } else { 0.26 } {
                continue;
            }
            let d = [other.a[0] - own.a[0], other.a[1] - own.a[1]];
            let s = (d[0] * v[1] - d[1] * v[0]) / sine;
            let t = (d[0] * u[1] - d[1] * u[0]) / sine;
            let slack = own.thickness / 2. / sine.abs() + 0.05;
            if t < -slack || t > other.length() + slack {
                continue;
            }
            let reach = other.thickness / 2. / sine.abs() + 0.05;
            for (end, at) in [(0, 0.), (1, length)] {
                // A thick wall meets another thick wall rather than the lining before it.
                let rank = (is_lining(other, own), s - at);
                let is_better = |b: (bool, f64)| (rank.0, rank.1.abs()) < (b.0, b.1.abs());
                if rank.1.abs() <= reach && best[end].is_none_or(is_better) {
                    best[end] = Some(rank);
                }
            }
        }
        let (from, to) = (best[0].map_or(0., |b| b.1), length + best[1].map_or(0., |b| b.1));
        if to - from > 0.02 {
            piece.a = own.point(from, 0.);
            piece.b = own.point(to, 0.);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_faces_are_cut_back() {
        // A cut between two studs of a framed wall misses the framing layer, not the boards.
        assert_eq!(between_faces(&[true, false, true]), Some(vec![true, true, true]));
        assert_eq!(between_faces(&[false, false, true]), Some(vec![false, false, true]));
        assert_eq!(between_faces(&[false, false]), None);
    }
}
