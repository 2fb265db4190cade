//! How near and at which angles the paths to a part of a map can be: what bounds their power.

use super::chain::{Chain, Plan};
use super::level::Levels;
use super::sweep::World;

/// Nearest distance and ranges of angles for a part of a row.
pub(super) struct Bounds {
    /// Square of the least length \[m²\].
    pub nearest2: f32,
    /// Least and largest length \[m\].
    pub length: (f64, f64),
    rise: f64,
    corners: [Plan; 4],
}

impl Bounds {
    /// For points `from..to` of lines from one `y` to another.
    pub(super) fn of(
        world: &World<'_>,
        chain: &Chain,
        way: &Levels,
        (bottom, top): (f64, f64),
        (from, to): (u32, u32),
    ) -> Self {
        let at = |sample: u32| world.rows.first + f64::from(sample) * world.rows.step - chain.image[0];
        let (a, b) = (at(from), at(to.max(1) - 1));
        let (c, d) = (bottom - chain.image[1], top - chain.image[1]);
        let nearest = |a: f64, b: f64| if a * b <= 0.0 { 0.0 } else { a.abs().min(b.abs()) };
        let (near_x, near_y) = (nearest(a, b), nearest(c, d));
        let (far_x, far_y) = (a.abs().max(b.abs()), c.abs().max(d.abs()));
        let rise2 = way.rise * way.rise;
        let near2 = near_x * near_x + near_y * near_y + rise2;
        Self {
            nearest2: near2.max(crate::MIN_DISTANCE * crate::MIN_DISTANCE) as f32,
            length: (near2.sqrt(), (far_x * far_x + far_y * far_y + rise2).sqrt()),
            rise: way.rise,
            corners: [[a, c], [b, c], [a, d], [b, d]],
        }
    }

    /// Least and largest cosine of the angle of incidence.
    pub(super) fn cos(&self, chain: &Chain, class: u16) -> (f32, f32) {
        let (near, far) = self.length;
        let (low, high) = match chain.normals.get(usize::from(class)) {
            None => (self.rise, self.rise),
            Some(n) => {
                let along = self.corners.map(|p| f64::from(n[0]) * p[0] + f64::from(n[1]) * p[1]);
                let low = along.into_iter().fold(f64::INFINITY, f64::min);
                let high = along.into_iter().fold(f64::NEG_INFINITY, f64::max);
                (low.max(-high).max(0.0), high.max(-low))
            }
        };
        ((low / far.max(1e-9)) as f32, (high / near.max(1e-9)).min(1.0) as f32)
    }
}
