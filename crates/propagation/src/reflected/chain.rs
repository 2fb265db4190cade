//! Images of a site in upright mirrors, in plan, unfolded.
//!
//! Seen from behind its mirrors a path is a straight line from the last image to the receiver; every wall that can lie in
//! its way stands where the mirrors show it. A piece of a path between two mirrors meets only what lies between their
//! planes, so that clipping the walls by the planes once makes "crosses the wall on this piece of the way" the same as
//! "crosses the clipped wall". What is left of a wall throws a shadow; a row of receivers lies in the shadow from one
//! place to another, and both places are linear in the row's position.

use crate::geometry::{Geometry, edges};
use crate::surface::{Plane, Surfaces};
use crate::wall::Answer;

use super::lanes::{LEVEL, Step};
use super::sheet::{Sheet, Stuff};

pub(super) type Plan = [f64; 2];

/// Segments shorter than this are not there \[m\].
const SHORTEST: f64 = 1e-9;

pub(super) fn cross(a: Plan, b: Plan) -> f64 {
    a[0] * b[1] - a[1] * b[0]
}

fn minus(a: Plan, b: Plan) -> Plan {
    [a[0] - b[0], a[1] - b[1]]
}

/// A mirror or what several of them do in a row: `m·p + o`.
#[derive(Clone, Copy, Debug)]
pub(super) struct Frame {
    m: [Plan; 2],
    o: Plan,
}

impl Frame {
    const HERE: Self = Self { m: [[1.0, 0.0], [0.0, 1.0]], o: [0.0, 0.0] };

    fn mirror(plane: &Plane) -> Self {
        let [nx, ny, _] = plane.normal;
        let d = 2.0 * plane.offset;
        Self { m: [[1.0 - 2.0 * nx * nx, -2.0 * nx * ny], [-2.0 * nx * ny, 1.0 - 2.0 * ny * ny]], o: [d * nx, d * ny] }
    }

    fn turn(&self, v: Plan) -> Plan {
        [self.m[0][0] * v[0] + self.m[0][1] * v[1], self.m[1][0] * v[0] + self.m[1][1] * v[1]]
    }

    pub(super) fn of(&self, p: Plan) -> Plan {
        let v = self.turn(p);
        [v[0] + self.o[0], v[1] + self.o[1]]
    }

    /// First the other, then this.
    fn after(&self, other: &Self) -> Self {
        let columns = [self.turn([other.m[0][0], other.m[1][0]]), self.turn([other.m[0][1], other.m[1][1]])];
        Self { m: [[columns[0][0], columns[1][0]], [columns[0][1], columns[1][1]]], o: self.of(other.o) }
    }

    /// Back: a turn's inverse is its transpose.
    pub(super) fn back(&self, p: Plan) -> Plan {
        let v = minus(p, self.o);
        self.back_turn(v)
    }

    pub(super) fn back_turn(&self, v: Plan) -> Plan {
        [self.m[0][0] * v[0] + self.m[1][0] * v[1], self.m[0][1] * v[0] + self.m[1][1] * v[1]]
    }
}

/// Where rows of receivers are: `x = first + u·step`.
#[derive(Clone, Copy, Debug)]
pub(super) struct Rows {
    pub first: f64,
    pub step: f64,
}

/// A limit on `u`, linear in the row's `y`.
#[derive(Clone, Copy, Debug)]
struct Limit {
    at: f64,
    per_y: f64,
    kind: Kind,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Kind {
    From,
    UpTo,
    /// No limit on `u`; the value must not be negative.
    Everywhere,
}

/// Part of a row: `low ≤ u < high`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Stretch {
    pub low: f64,
    pub high: f64,
}

impl Stretch {
    pub(super) const ALL: Self = Self { low: f64::NEG_INFINITY, high: f64::INFINITY };
    const NONE: Self = Self { low: f64::INFINITY, high: f64::NEG_INFINITY };

    pub(super) fn and(self, other: Self) -> Self {
        Self { low: self.low.max(other.low), high: self.high.min(other.high) }
    }

    /// Whole numbers in it, held to `0..count`.
    #[inline]
    pub(super) fn samples(self, count: u32) -> (u32, u32) {
        // Rounded up by hand: older processors have no instruction for it. A cast makes zero of NaN.
        let at = |u: f64| {
            let held = u.max(0.0).min(f64::from(count));
            let whole = held as u32;
            whole + u32::from(f64::from(whole) < held)
        };
        (at(self.low), at(self.high))
    }
}

impl Limit {
    #[inline]
    fn hold(&self, y: f64, stretch: &mut Stretch) {
        let value = self.at + self.per_y * y;
        match self.kind {
            Kind::From => stretch.low = stretch.low.max(value),
            Kind::UpTo => stretch.high = stretch.high.min(value),
            Kind::Everywhere if value < 0.0 => *stretch = Stretch::NONE,
            Kind::Everywhere => {}
        }
    }
}

/// `constant + per_u·u + per_y·y`.
#[derive(Clone, Copy, Debug)]
pub(super) struct Linear {
    constant: f64,
    per_u: f64,
    per_y: f64,
}

impl Linear {
    #[inline]
    pub(super) fn at(&self, u: f64, y: f64) -> f64 {
        self.constant + self.per_u * u + self.per_y * y
    }

    /// On one line: its value at the line's point 0, and from point to point.
    #[inline]
    pub(super) fn on_line(&self, y: f64) -> [f32; 2] {
        [(self.constant + self.per_y * y) as f32, self.per_u as f32]
    }

    /// Where it is at least, or at most, a value.
    pub(super) fn stretch(&self, y: f64, value: f64, at_least: bool) -> Stretch {
        let rest = value - self.constant - self.per_y * y;
        let is_there = if at_least { rest <= 0.0 } else { rest >= 0.0 };
        if self.per_u == 0.0 {
            return if is_there { Stretch::ALL } else { Stretch::NONE };
        }
        let u = rest / self.per_u;
        if (self.per_u > 0.0) == at_least {
            Stretch { low: u, high: f64::INFINITY }
        } else {
            Stretch { low: f64::NEG_INFINITY, high: u }
        }
    }
}

/// What lies behind a wall, seen from an image.
#[derive(Clone, Copy, Debug)]
pub(super) struct Shadow {
    limits: [Limit; 3],
    /// One over the place of the wall on the way, 1 at the receiver.
    pub inverse: Linear,
    pub sheet: u32,
    /// What it does and the direction of its normal, a number in [`Chain::normals`].
    pub step: Step,
}

impl Shadow {
    /// Limits and inverse place of the shadow of a wall.
    fn of(image: Plan, [p, q]: [Plan; 2], rows: Rows) -> Option<([Limit; 3], Linear)> {
        let (p, q) = (minus(p, image), minus(q, image));
        let d = cross(p, q);
        if d == 0.0 || !d.is_finite() {
            return None;
        }
        let Rows { first, step } = rows;
        let x = first - image[0];
        // c − I = s·p + t·q; behind the wall s ≥ 0, t ≥ 0, s + t ≥ 1.
        let s = Linear { constant: (x * q[1] + image[1] * q[0]) / d, per_u: step * q[1] / d, per_y: -q[0] / d };
        let t = Linear { constant: -(image[1] * p[0] + x * p[1]) / d, per_u: -step * p[1] / d, per_y: p[0] / d };
        let sum = Linear { constant: s.constant + t.constant, per_u: s.per_u + t.per_u, per_y: s.per_y + t.per_y };
        // Through an end of a wall: from the end alone, so that walls that share it agree to the last bit.
        let through = |end: Plan, of: Linear| {
            if end[1] == 0.0 {
                return Limit { at: of.constant, per_y: of.per_y, kind: Kind::Everywhere };
            }
            let slope = end[0] / end[1];
            let kind = if of.per_u > 0.0 { Kind::From } else { Kind::UpTo };
            Limit { at: -(x + image[1] * slope) / step, per_y: slope / step, kind }
        };
        let behind = if sum.per_u == 0.0 {
            Limit { at: sum.constant - 1.0, per_y: sum.per_y, kind: Kind::Everywhere }
        } else {
            let kind = if sum.per_u > 0.0 { Kind::From } else { Kind::UpTo };
            Limit { at: (1.0 - sum.constant) / sum.per_u, per_y: -sum.per_y / sum.per_u, kind }
        };
        Some(([through(q, s), through(p, t), behind], sum))
    }

    /// The part of a row in the shadow.
    #[inline]
    pub(super) fn stretch(&self, y: f64) -> Stretch {
        let mut out = Stretch::ALL;
        for limit in &self.limits {
            limit.hold(y, &mut out);
        }
        out
    }
}

/// One image: the mirrors, and what stands between them.
#[derive(Clone, Debug)]
pub(super) struct Chain {
    pub image: Plan,
    /// For each mirror the sheets that can reflect.
    pub gates: Vec<Vec<Shadow>>,
    /// One over the place of each mirror's plane on the way.
    pub mirrors: Vec<Linear>,
    /// Everything that can be crossed, for each piece of the way, roughly in the order in which it is.
    pub crossings: Vec<Vec<Shadow>>,
    /// From each piece of the way to where the mirrors show it.
    pub frames: Vec<Frame>,
    /// Directions of normals as the mirrors show them.
    pub normals: Vec<[f32; 2]>,
    /// Blocks that can be in the way.
    pub blocks: Vec<u32>,
}

/// A sequence of mirrors with the images behind each, and the directions in which the last image can be seen.
#[derive(Clone, Debug)]
pub(super) struct Sequence {
    planes: Vec<u32>,
    /// The site, then its image behind each mirror.
    images: Vec<Plan>,
    /// Rightmost and leftmost direction; all round for the site itself.
    wedge: Option<[Plan; 2]>,
}

impl Sequence {
    pub(super) fn site(at: Plan) -> Self {
        Self { planes: Vec::new(), images: vec![at], wedge: None }
    }

    pub(super) fn order(&self) -> usize {
        self.planes.len()
    }

    fn image(&self) -> Plan {
        self.images.last().copied().unwrap_or_default()
    }

    /// The sequences with one more mirror in which something can be seen.
    pub(super) fn longer(&self, surfaces: &Surfaces, sheets: &[Sheet], of_plane: &[(usize, usize)]) -> Vec<Self> {
        let mut out = Vec::new();
        let image = self.image();
        let last = self.planes.last().and_then(|&p| surfaces.planes.get(p as usize));
        for (index, plane) in surfaces.planes.iter().enumerate() {
            let height = distance(plane, image);
            if plane.is_level() || height == 0.0 || self.planes.last() == Some(&(index as u32)) {
                continue;
            }
            let mut wedge: Option<[Plan; 2]> = None;
            for sheet in of(sheets, of_plane, index) {
                let mut segment = [[sheet.a.x, sheet.a.y], [sheet.b.x, sheet.b.y]];
                if sheet.side(height > 0.0).is_none()
                    || last.is_some_and(|last| !clip(&mut segment, last, distance(last, image) < 0.0))
                {
                    continue;
                }
                wedge = join(wedge, seen(image, segment));
            }
            let Some(mut wedge) = wedge else { continue };
            if let Some(before) = self.wedge {
                let Some(both) = narrow(before, wedge) else { continue };
                wedge = both;
            }
            let mirror = Frame::mirror(plane);
            let mut longer = self.clone();
            longer.planes.push(index as u32);
            longer.images.push(mirror.of(image));
            // A mirror swaps right and left.
            longer.wedge = Some([mirror.turn(wedge[1]), mirror.turn(wedge[0])]);
            out.push(longer);
        }
        out
    }

    /// Prepares the sequence for rows of receivers; `columns` says which column of the tables an answer is in, `heights`
    /// how low and high its paths come.
    pub(super) fn prepare(
        &self,
        (geometry, surfaces): (&Geometry, &Surfaces),
        (sheets, of_plane): (&[Sheet], &[(usize, usize)]),
        (rows, heights): (Rows, (f64, f64)),
        columns: impl Fn(Stuff, Answer) -> u32,
    ) -> Chain {
        let is_high = |z0: f64, z1: f64| z0 <= heights.1 && z1 >= heights.0;
        let image = self.image();
        let planes: Vec<&Plane> = self.planes.iter().filter_map(|&p| surfaces.planes.get(p as usize)).collect();
        let order = planes.len();
        let mut frames = vec![Frame::HERE; order + 1];
        for leg in (0..order).rev() {
            frames[leg] = frames[leg + 1].after(&Frame::mirror(planes[leg]));
        }
        let mut chain = Chain {
            image,
            gates: Vec::with_capacity(order),
            mirrors: Vec::with_capacity(order),
            crossings: Vec::new(),
            frames,
            normals: Vec::new(),
            blocks: Vec::new(),
        };
        for leg in 0..=order {
            let frame = chain.frames[leg];
            let before = leg.checked_sub(1).and_then(|l| planes.get(l)).copied();
            let after = planes.get(leg).copied();
            let source = self.images.get(leg).copied().unwrap_or(image);
            // The piece of the way lies beyond the mirror before it and before the mirror after it.
            let between = |segment: &mut [Plan; 2]| {
                before.is_none_or(|b| clip(segment, b, distance(b, source) < 0.0))
                    && after.is_none_or(|a| clip(segment, a, distance(a, source) > 0.0))
            };
            let is_seen = |segment: [Plan; 2]| {
                let Some(wedge) = self.wedge else { return true };
                seen(image, segment).is_none_or(|s| narrow(wedge, s).is_some())
            };
            let mut crossings = Vec::new();
            for (index, sheet) in sheets.iter().enumerate() {
                let is_mirror = |p: usize| self.planes.get(p) == Some(&sheet.plane);
                if is_mirror(leg) || leg > 0 && is_mirror(leg - 1) {
                    continue;
                }
                if matches!(sheet.stuff, Stuff::Block(_)) || !is_high(sheet.z0, sheet.z1) {
                    continue;
                }
                let mut segment = [[sheet.a.x, sheet.a.y], [sheet.b.x, sheet.b.y]];
                if !between(&mut segment) {
                    continue;
                }
                let segment = segment.map(|p| frame.of(p));
                if !is_seen(segment) {
                    continue;
                }
                if let Some((limits, inverse)) = Shadow::of(image, segment, rows) {
                    let class = chain.class(frame, surfaces, sheet);
                    let step = Step { column: columns(sheet.stuff, Answer::Through), class };
                    crossings.push((nearness(image, segment), Shadow { limits, inverse, sheet: index as u32, step }));
                }
            }
            for (index, block) in (0u32..).zip(&geometry.blocks) {
                // A ray through a block leaves it by an edge that is seen, wherever it starts.
                let is_seen =
                    edges(&block.outline).any(|(a, b)| is_seen([[a.x, a.y], [b.x, b.y]].map(|p| frame.of(p))));
                if is_seen && is_high(block.z0, block.z1) && !chain.blocks.contains(&index) {
                    chain.blocks.push(index);
                }
            }
            crossings.sort_by(|a, b| a.0.total_cmp(&b.0));
            chain.crossings.push(crossings.into_iter().map(|(_, shadow)| shadow).collect());
            if let Some(plane) = after {
                let height = distance(plane, source);
                let mut gate = Vec::new();
                let plane_idx = self.planes[leg] as usize;
                let (start, end) = of_plane.get(plane_idx).copied().unwrap_or((0, 0));
                for (index, sheet) in sheets.iter().enumerate().take(end).skip(start) {
                    let Some(side) = sheet.side(height > 0.0) else { continue };
                    if !is_high(sheet.z0, sheet.z1) {
                        continue;
                    }
                    let mut segment = [[sheet.a.x, sheet.a.y], [sheet.b.x, sheet.b.y]];
                    if before.is_some_and(|b| !clip(&mut segment, b, distance(b, source) < 0.0)) {
                        continue;
                    }
                    let segment = segment.map(|p| frame.of(p));
                    if let Some((limits, inverse)) = Shadow::of(image, segment, rows) {
                        let class = chain.class(frame, surfaces, sheet);
                        let step = Step { column: columns(sheet.stuff, side), class };
                        gate.push(Shadow { limits, inverse, sheet: index as u32, step });
                    }
                }
                chain.gates.push(gate);
                // 1/τ = 1 − d(c)/d(I), with the mirror's plane as the later mirrors show it.
                let normal = frame.turn([plane.normal[0], plane.normal[1]]);
                let foot = frame.of([plane.normal[0] * plane.offset, plane.normal[1] * plane.offset]);
                let offset = normal[0] * foot[0] + normal[1] * foot[1];
                let from_image = normal[0] * image[0] + normal[1] * image[1] - offset;
                chain.mirrors.push(Linear {
                    constant: 1.0 - (normal[0] * rows.first - offset) / from_image,
                    per_u: -normal[0] * rows.step / from_image,
                    per_y: -normal[1] / from_image,
                });
            }
        }
        chain
    }
}

impl Chain {
    fn class(&mut self, frame: Frame, surfaces: &Surfaces, sheet: &Sheet) -> u16 {
        let normal = surfaces.planes.get(sheet.plane as usize).map_or([0.0; 3], |p| p.normal);
        let shown = frame.turn([normal[0], normal[1]]);
        let shown = [shown[0] as f32, shown[1] as f32];
        let same = |n: &[f32; 2]| (n[0] * shown[1] - n[1] * shown[0]).abs() < 1e-6;
        let found = self.normals.iter().position(same).unwrap_or_else(|| {
            self.normals.push(shown);
            self.normals.len() - 1
        });
        // A home of more directions than this has no memory to be in.
        found.min(usize::from(LEVEL - 1)) as u16
    }
}

fn of<'a>(sheets: &'a [Sheet], of_plane: &[(usize, usize)], plane: usize) -> &'a [Sheet] {
    of_plane.get(plane).and_then(|&(start, end)| sheets.get(start..end)).unwrap_or(&[])
}

pub(super) fn distance(plane: &Plane, p: Plan) -> f64 {
    plane.distance([p[0], p[1], 0.0])
}

/// Keeps the part of a segment on one side of a plane; false if nothing is left.
fn clip(segment: &mut [Plan; 2], plane: &Plane, above: bool) -> bool {
    let sign = if above { 1.0 } else { -1.0 };
    let (p, q) = (sign * distance(plane, segment[0]), sign * distance(plane, segment[1]));
    if p <= SHORTEST && q <= SHORTEST {
        return false;
    }
    let meet = || {
        let share = p / (p - q);
        [
            segment[0][0] + share * (segment[1][0] - segment[0][0]),
            segment[0][1] + share * (segment[1][1] - segment[0][1]),
        ]
    };
    if p < -SHORTEST {
        segment[0] = meet();
    } else if q < -SHORTEST {
        segment[1] = meet();
    }
    true
}

/// Square of the distance of a segment's middle.
fn nearness(from: Plan, [p, q]: [Plan; 2]) -> f64 {
    let (x, y) = (0.5 * (p[0] + q[0]) - from[0], 0.5 * (p[1] + q[1]) - from[1]);
    x * x + y * y
}

/// Rightmost and leftmost direction of a segment from a point; none if it lies end on.
fn seen(from: Plan, [p, q]: [Plan; 2]) -> Option<[Plan; 2]> {
    let (p, q) = (minus(p, from), minus(q, from));
    let turn = cross(p, q);
    if turn > 0.0 {
        Some([p, q])
    } else if turn < 0.0 {
        Some([q, p])
    } else {
        None
    }
}

/// The narrowest wedge round two, which lie within half a turn.
fn join(a: Option<[Plan; 2]>, b: Option<[Plan; 2]>) -> Option<[Plan; 2]> {
    let (Some(a), Some(b)) = (a, b) else { return a.or(b) };
    let right = if cross(a[0], b[0]) < 0.0 { b[0] } else { a[0] };
    let left = if cross(a[1], b[1]) > 0.0 { b[1] } else { a[1] };
    Some([right, left])
}

/// What two wedges share; both are narrower than half a turn.
fn narrow(a: [Plan; 2], b: [Plan; 2]) -> Option<[Plan; 2]> {
    let within = |w: [Plan; 2], v: Plan| cross(w[0], v) >= 0.0 && cross(v, w[1]) >= 0.0;
    let right = if within(a, b[0]) {
        b[0]
    } else if within(b, a[0]) {
        a[0]
    } else {
        return None;
    };
    let left = if within(a, b[1]) { b[1] } else { a[1] };
    Some([right, left])
}
