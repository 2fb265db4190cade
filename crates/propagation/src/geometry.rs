//! Where a straight ray meets walls, floors and fixed objects.
//!
//! One rule decides ties: the ray is thought of as moved by an infinitely small step to one side, the same for both
//! directions of travel. A wall's end that lies exactly on the ray is then on one side, for all walls that share it: a
//! ray through a joint crosses the walls that a ray just beside it crosses, and neither slips through nor counts one
//! wall twice. A point exactly on a wall's centre line belongs to the wall's left; a point inside a wall belongs to
//! the side of the centre line that it lies on. Heights are half open, so that stacked walls are met once.

use building::{Cut, Resolved};
use units::{Point2, Point3};

/// A wall's centre line for the ray test.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Segment {
    pub a: Point2,
    pub b: Point2,
    pub z0: f64,
    pub z1: f64,
    /// Unit normal in plan.
    pub normal: Point2,
    pub length: f64,
    /// Half the wall's thickness.
    pub half: f64,
    pub assembly: u32,
}

/// What a ray met.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Met {
    /// A panel, and the position of its cut if it was met in an opening.
    Panel(u32, Option<u32>),
    /// A deck.
    Deck(u32),
    /// A block, with the length of the way through it \[m\].
    Block(u32, f64),
}

/// One crossing.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Hit {
    /// Place along the ray, 0 to 1.
    pub t: f64,
    pub met: Met,
    pub assembly: u32,
    /// Cosine of the angle of incidence.
    pub cos: f32,
    /// TE direction along the ray's theta and phi.
    pub te_theta: f32,
    pub te_phi: f32,
}

/// The straight line from one point to another.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Ray {
    pub from: Point3,
    pub to: Point3,
    dx: f64,
    dy: f64,
    dz: f64,
    pub length: f64,
    /// Direction in plan, of length one; along x for an upright ray.
    hx: f64,
    hy: f64,
    /// Horizontal and vertical part of the unit direction.
    horizontal: f64,
    pub vertical: f64,
    /// Turns the ray for the side test, so that both directions of travel decide ties alike.
    turn: f64,
}

impl Ray {
    #[inline]
    pub(crate) fn new(from: Point3, to: Point3) -> Self {
        let (dx, dy, dz) = (to.x - from.x, to.y - from.y, to.z - from.z);
        let plan2 = dx * dx + dy * dy;
        let plan = plan2.sqrt();
        let length = (plan2 + dz * dz).sqrt();
        let (hx, hy) = if plan > 0.0 { (dx / plan, dy / plan) } else { (1.0, 0.0) };
        let (horizontal, vertical) = if length > 0.0 { (plan / length, dz / length) } else { (0.0, 1.0) };
        let turn = if dx < 0.0 || (dx == 0.0 && dy < 0.0) { -1.0 } else { 1.0 };
        Self { from, to, dx, dy, dz, length, hx, hy, horizontal, vertical, turn }
    }

    /// Where the ray crosses a segment in plan: place along the ray and along the segment, both 0 to 1.
    #[inline]
    fn crosses(&self, a: Point2, b: Point2) -> Option<(f64, f64)> {
        let (ax, ay) = (a.x - self.from.x, a.y - self.from.y);
        let (bx, by) = (b.x - self.from.x, b.y - self.from.y);
        let side_a = self.dx * ay - self.dy * ax;
        let side_b = self.dx * by - self.dy * bx;
        if (side_a * self.turn >= 0.0) == (side_b * self.turn >= 0.0) {
            return None;
        }
        let (ex, ey) = (bx - ax, by - ay);
        let start = ey * ax - ex * ay;
        let end = start + ex * self.dy - ey * self.dx;
        if (start >= 0.0) == (end >= 0.0) {
            return None;
        }
        Some((start / (start - end), side_a / (side_a - side_b)))
    }

    #[inline]
    fn height(&self, t: f64) -> f64 {
        self.from.z + t * self.dz
    }

    /// The place at a share of the way.
    #[inline]
    pub(crate) fn at(&self, t: f64) -> Point3 {
        self.plan(t).at_height(self.height(t))
    }

    #[inline]
    fn plan(&self, t: f64) -> Point2 {
        Point2::new(self.from.x + t * self.dx, self.from.y + t * self.dy)
    }

    /// Components of a vector along the ray's theta and phi.
    #[inline]
    pub(crate) fn across(&self, v: [f64; 3]) -> (f64, f64) {
        let theta = self.vertical * (self.hx * v[0] + self.hy * v[1]) - self.horizontal * v[2];
        (theta, self.hx * v[1] - self.hy * v[0])
    }

    /// Angle and TE direction at an upright wall.
    #[inline]
    pub(crate) fn at_wall(&self, normal: Point2) -> (f32, f32, f32) {
        let along = self.hx * normal.x + self.hy * normal.y;
        let across = self.hx * normal.y - self.hy * normal.x;
        let cos = (self.horizontal * along).abs();
        // k × n, in theta and phi.
        let (theta, phi) = (-across, self.vertical * along);
        let sin2 = theta * theta + phi * phi;
        if sin2 < 1e-18 {
            return (cos as f32, 1.0, 0.0);
        }
        let scale = 1.0 / sin2.sqrt();
        (cos as f32, (theta * scale) as f32, (phi * scale) as f32)
    }
}

/// The parts of a home that rays can meet.
#[derive(Clone, Debug, Default)]
pub(crate) struct Geometry {
    pub segments: Vec<Segment>,
    pub cuts: Vec<Vec<Cut>>,
    pub decks: Vec<Plate>,
    pub blocks: Vec<Prism>,
}

/// A deck at half its height.
#[derive(Clone, Debug)]
pub(crate) struct Plate {
    pub z: f64,
    /// Lower and upper face.
    pub faces: (f64, f64),
    pub outline: Vec<Point2>,
    pub holes: Vec<Vec<Point2>>,
    pub assembly: u32,
}

/// A block.
#[derive(Clone, Debug)]
pub(crate) struct Prism {
    pub outline: Vec<Point2>,
    pub low: Point2,
    pub high: Point2,
    pub z0: f64,
    pub z1: f64,
}

impl Geometry {
    pub(crate) fn new(home: &Resolved) -> Self {
        let segments = home
            .panels
            .iter()
            .map(|p| {
                let length = p.a.distance(p.b);
                let normal = Point2::new(-(p.b.y - p.a.y) / length, (p.b.x - p.a.x) / length);
                let half = if p.thickness > 0.0 { 0.5 * p.thickness } else { 0.0 };
                Segment { a: p.a, b: p.b, z0: p.z0, z1: p.z1, normal, length, half, assembly: p.assembly as u32 }
            })
            .collect();
        let decks = home
            .decks
            .iter()
            .map(|d| Plate {
                z: 0.5 * (d.z_top + d.z_bottom),
                faces: (d.z_bottom.min(d.z_top), d.z_top.max(d.z_bottom)),
                outline: d.outline.clone(),
                holes: d.holes.clone(),
                assembly: d.assembly as u32,
            })
            .collect();
        let blocks = home
            .blocks
            .iter()
            .map(|b| {
                let (low, high) = bounds(&b.outline);
                Prism { outline: b.outline.clone(), low, high, z0: b.z0, z1: b.z1 }
            })
            .collect();
        Self { segments, cuts: home.panels.iter().map(|p| p.cuts.clone()).collect(), decks, blocks }
    }

    /// Indices of all segments.
    pub(crate) fn all(&self) -> Vec<u32> {
        (0..self.segments.len() as u32).collect()
    }

    /// Which of the segments rays from a point into a box can meet.
    pub(crate) fn near(&self, segments: &[u32], from: Point3, low: Point3, high: Point3, out: &mut Vec<u32>) {
        let (x0, x1) = (from.x.min(low.x), from.x.max(high.x));
        let (y0, y1) = (from.y.min(low.y), from.y.max(high.y));
        let (z0, z1) = (from.z.min(low.z), from.z.max(high.z));
        out.clear();
        out.extend(segments.iter().copied().filter(|&i| {
            self.segments.get(i as usize).is_some_and(|s| {
                s.a.x.min(s.b.x) <= x1
                    && s.a.x.max(s.b.x) >= x0
                    && s.a.y.min(s.b.y) <= y1
                    && s.a.y.max(s.b.y) >= y0
                    && s.z0 <= z1
                    && s.z1 >= z0
            })
        }));
    }

    /// What a ray meets among some segments and all decks and blocks, in order from its start.
    #[inline]
    pub(crate) fn trace(&self, segments: &[u32], ray: &Ray, hits: &mut Vec<Hit>) {
        hits.clear();
        for &index in segments {
            let Some(segment) = self.segments.get(index as usize) else { continue };
            let Some((t, along)) = ray.crosses(segment.a, segment.b) else { continue };
            let z = ray.height(t);
            if z < segment.z0 || z >= segment.z1 {
                continue;
            }
            let Some((assembly, cut)) = self.filling(index as usize, segment, along * segment.length, z) else {
                continue;
            };
            let (cos, te_theta, te_phi) = ray.at_wall(segment.normal);
            hits.push(Hit { t, met: Met::Panel(index, cut), assembly, cos, te_theta, te_phi });
        }
        for (index, deck) in self.decks.iter().enumerate() {
            if (ray.from.z >= deck.z) == (ray.to.z >= deck.z) {
                continue;
            }
            let t = (deck.z - ray.from.z) / ray.dz;
            let at = ray.plan(t);
            if !inside(&deck.outline, at) || deck.holes.iter().any(|h| inside(h, at)) {
                continue;
            }
            let cos = ray.vertical.abs() as f32;
            let met = Met::Deck(index as u32);
            hits.push(Hit { t, met, assembly: deck.assembly, cos, te_theta: 0.0, te_phi: -1.0 });
        }
        for (index, block) in self.blocks.iter().enumerate() {
            if let Some((t, chord)) = block.chord(ray) {
                let met = Met::Block(index as u32, chord);
                hits.push(Hit { t, met, assembly: u32::MAX, cos: 1.0, te_theta: 1.0, te_phi: 0.0 });
            }
        }
        // Few and nearly sorted: insertion is fastest, and stable.
        for i in 1..hits.len() {
            let mut j = i;
            while j > 0 && hits[j].t < hits[j - 1].t {
                hits.swap(j, j - 1);
                j -= 1;
            }
        }
    }

    /// What fills a panel at a point of its plane: its assembly, or an opening's with the opening's number.
    ///
    /// Of a panel's two ends the one with the lesser coordinates belongs to it, however it is drawn, so that of panels
    /// in line one and only one has their joint.
    pub(crate) fn panel_at(&self, panel: u32, at: Point3) -> Option<(u32, Option<u32>)> {
        let segment = self.segments.get(panel as usize)?;
        let (ex, ey) = ((segment.b.x - segment.a.x) / segment.length, (segment.b.y - segment.a.y) / segment.length);
        let s = (at.x - segment.a.x) * ex + (at.y - segment.a.y) * ey;
        let forward = (segment.a.x, segment.a.y) <= (segment.b.x, segment.b.y);
        let is_along = if forward { s >= 0.0 && s < segment.length } else { s > 0.0 && s <= segment.length };
        if !is_along || at.z < segment.z0 || at.z >= segment.z1 {
            return None;
        }
        self.filling(panel as usize, segment, s, at.z)
    }

    /// What fills a panel at a place: its own assembly, an opening's, or nothing.
    #[inline]
    pub(crate) fn filling(&self, panel: usize, segment: &Segment, s: f64, z: f64) -> Option<(u32, Option<u32>)> {
        for (index, cut) in self.cuts.get(panel).into_iter().flatten().enumerate() {
            if s >= cut.s0 && s < cut.s1 && z >= cut.z0 && z < cut.z1 {
                return cut.assembly.map(|a| (a as u32, Some(index as u32)));
            }
        }
        Some((segment.assembly, None))
    }
}

impl Plate {
    /// True if the deck is there at a place in plan.
    pub(crate) fn covers(&self, at: Point2) -> bool {
        inside(&self.outline, at) && !self.holes.iter().any(|h| inside(h, at))
    }
}

impl Prism {
    /// Where a ray enters and how long its way inside is \[m\].
    fn chord(&self, ray: &Ray) -> Option<(f64, f64)> {
        let apart = |p: f64, q: f64, low: f64, high: f64| p.max(q) < low || p.min(q) > high;
        if apart(ray.from.z, ray.to.z, self.z0, self.z1)
            || apart(ray.from.x, ray.to.x, self.low.x, self.high.x)
            || apart(ray.from.y, ray.to.y, self.low.y, self.high.y)
        {
            return None;
        }
        // The part of the ray between underside and top.
        let (mut t0, mut t1) = (0.0f64, 1.0f64);
        if ray.dz != 0.0 {
            let (a, b) = ((self.z0 - ray.from.z) / ray.dz, (self.z1 - ray.from.z) / ray.dz);
            t0 = t0.max(a.min(b));
            t1 = t1.min(a.max(b));
        }
        if t0 >= t1 {
            return None;
        }
        if ray.dx == 0.0 && ray.dy == 0.0 {
            return inside(&self.outline, ray.from.plan()).then_some((t0, (t1 - t0) * ray.length));
        }
        // Where the unbounded line crosses the outline: always an even number of times.
        let mut places: Vec<f64> = Vec::with_capacity(8);
        for (a, b) in edges(&self.outline) {
            let (ax, ay) = (a.x - ray.from.x, a.y - ray.from.y);
            let (bx, by) = (b.x - ray.from.x, b.y - ray.from.y);
            let side_a = ray.dx * ay - ray.dy * ax;
            let side_b = ray.dx * by - ray.dy * bx;
            if (side_a * ray.turn >= 0.0) != (side_b * ray.turn >= 0.0) {
                let share = side_a / (side_a - side_b);
                let (x, y) = (ax + share * (bx - ax), ay + share * (by - ay));
                places.push((x * ray.dx + y * ray.dy) / (ray.dx * ray.dx + ray.dy * ray.dy));
            }
        }
        places.sort_by(f64::total_cmp);
        let mut first = None;
        let mut length = 0.0;
        for pair in places.chunks_exact(2) {
            let (enter, leave) = (pair[0].max(t0), pair[1].min(t1));
            if leave > enter {
                first.get_or_insert(enter);
                length += (leave - enter) * ray.length;
            }
        }
        first.map(|t| (t, length))
    }
}

/// True if a point lies inside an outline (even–odd; lower and left edges belong to it).
pub(crate) fn inside(outline: &[Point2], at: Point2) -> bool {
    let mut is_inside = false;
    for (a, b) in edges(outline) {
        if (a.y > at.y) != (b.y > at.y) && at.x < a.x + (at.y - a.y) / (b.y - a.y) * (b.x - a.x) {
            is_inside = !is_inside;
        }
    }
    is_inside
}

pub(crate) fn edges(outline: &[Point2]) -> impl Iterator<Item = (Point2, Point2)> + '_ {
    outline.iter().copied().zip(outline.iter().copied().cycle().skip(1))
}

/// Lower left and upper right corner of some points.
pub(crate) fn bounds(points: &[Point2]) -> (Point2, Point2) {
    let mut low = Point2::new(f64::INFINITY, f64::INFINITY);
    let mut high = Point2::new(f64::NEG_INFINITY, f64::NEG_INFINITY);
    for p in points {
        low = Point2::new(low.x.min(p.x), low.y.min(p.y));
        high = Point2::new(high.x.max(p.x), high.y.max(p.y));
    }
    (low, high)
}
