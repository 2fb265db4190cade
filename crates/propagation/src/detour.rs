//! Many paths by way of an edge, of which only the power is asked: what maps add up.

use units::Point3;

use crate::antenna::Site;
use crate::edge::{Edge, Form};
use crate::free_space::MIN_DISTANCE;
use crate::geometry::{Geometry, Hit};
use crate::path::LEAST_SHARE;
use crate::scene::{Field, Scene};
use crate::search::between;
use crate::surface::{Surfaces, place};
use crate::table::LANES;

/// Boxes are widened by this, so that rounding hides no wall \[m\].
const SLACK: f64 = 1e-6;

/// Paths from a place by way of one edge into a box of receivers, with memory that is used again.
#[derive(Default)]
pub(crate) struct Detour {
    /// What can stand in the way of the first and of the second leg.
    segments: [Vec<u32>; 2],
    hits: [Vec<Hit>; 2],
}

impl Detour {
    /// Turns to an edge and to receivers between two corners.
    pub(crate) fn aim(&mut self, scene: &Scene, edge: &Edge, from: Point3, to: (Point3, Point3)) {
        let ends = [0.0, edge.length].map(|u| place(std::array::from_fn(|i| edge.start[i] + u * edge.along[i])));
        let all = [[from, from], [to.0, to.1]];
        for (segments, others) in self.segments.iter_mut().zip(all) {
            let corners = [ends[0], ends[1], others[0], others[1]];
            let low = |of: fn(&Point3) -> f64| corners.iter().map(of).fold(f64::INFINITY, f64::min) - SLACK;
            let high = |of: fn(&Point3) -> f64| corners.iter().map(of).fold(f64::NEG_INFINITY, f64::max) + SLACK;
            let low = Point3::new(low(|p| p.x), low(|p| p.y), low(|p| p.z));
            let high = Point3::new(high(|p| p.x), high(|p| p.y), high(|p| p.z));
            of_others(&scene.geometry, scene.surfaces(), edge, (low, high), segments);
        }
    }

    /// Adds the gain over both polarisations at a point, for each carrier, by way of the edge that it was turned to.
    pub(crate) fn powers(
        &mut self,
        scene: &Scene,
        edge: &Edge,
        (site, to): (&Site, Point3),
        mut add: impl FnMut(usize, f32),
    ) {
        let Some(way) = edge.way(site.at, to) else { return };
        let rays = way.rays(site.at, to);
        for ((ray, segments), hits) in rays.iter().zip(&self.segments).zip(&mut self.hits) {
            scene.geometry.trace(segments, ray, hits);
            hits.retain(|hit| !edge.is_met(scene.surfaces(), hit));
        }
        let [theta, phi] = site.mounted.amplitude(between(site.at, way.at));
        let start = Field::of(theta as f32, phi as f32);
        let length = (rays[0].length + rays[1].length).max(MIN_DISTANCE);
        for group in 0..scene.groups() {
            let carriers = group * LANES..scene.carriers.len().min((group + 1) * LANES);
            let mut field = start;
            self.hits[0].iter().for_each(|hit| scene.pass(hit, group, &mut field));
            for (lane, carrier) in carriers.clone().enumerate() {
                if let Some(matrix) = scene.turned(edge, &way, &rays, carrier, Form::Quick) {
                    field.turn(&matrix, lane);
                }
            }
            self.hits[1].iter().for_each(|hit| scene.pass(hit, group, &mut field));
            let both = field.both();
            for ((carrier, power), at) in carriers.zip(both).zip(scene.carriers.iter().skip(group * LANES)) {
                let spread = at.wavelength() / (4.0 * std::f64::consts::PI * length);
                add(carrier, power.max(LEAST_SHARE) * (spread * spread) as f32);
            }
        }
    }
}

/// Segments in a box that are not in the edge's own plane.
fn of_others(geometry: &Geometry, surfaces: &Surfaces, edge: &Edge, (low, high): (Point3, Point3), out: &mut Vec<u32>) {
    let plane = edge.plane();
    out.clear();
    out.extend((0..geometry.segments.len() as u32).filter(|&i| {
        let (Some(s), of) = (geometry.segments.get(i as usize), surfaces.of_panel.get(i as usize)) else {
            return false;
        };
        s.a.x.min(s.b.x) <= high.x
            && s.a.x.max(s.b.x) >= low.x
            && s.a.y.min(s.b.y) <= high.y
            && s.a.y.max(s.b.y) >= low.y
            && s.z0 <= high.z
            && s.z1 >= low.z
            && (plane.is_none() || of != plane.as_ref())
    }));
}
