//! Images of a site in upright mirrors, in plan, unfolded.
//!
//! Seen from behind its mirrors a path is a straight line from the last image to the receiver; every wall that can lie in
//! its way stands where the mirrors show it. A piece of a path between two mirrors meets only what lies between their
//! planes, so that clipping the walls by the planes once makes "crosses the wall on this piece of the way" the same as
//! "crosses the clipped wall". What is left of a wall throws a shadow; a row of receivers lies in the shadow from one
//! place to another, and both places are linear in the row's position.

use units::Point2;

use crate::geometry::{edges, inside};
use crate::surface::{Plane, Surfaces};
use crate::wall::Answer;

use super::lanes::{LEVEL, Step};
use super::shadow::{Linear, Rows, Shadow, Stretch};
use super::sheet::{Sheet, Stuff};
use super::stage::Stage;

pub(super) type Plan = [f64; 2];

/// Segments shorter than this are not there \[m\].
const SHORTEST: f64 = 1e-9;

/// What lies outside a wedge by less than this is not left out for it \[rad\]: wedges only save work, and what they leave
/// out must be far from every path.
const SLACK: f64 = 1e-9;

/// Directions are told apart to this \[rad\].
const DIRECTION: f64 = 1.0 / (1u32 << 20) as f64;

pub(super) fn cross(a: Plan, b: Plan) -> f64 {
    a[0] * b[1] - a[1] * b[0]
}

pub(super) fn minus(a: Plan, b: Plan) -> Plan {
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
    /// Shadows of what is not the same in both scenes: mirrors and crossings, and edges of blocks.
    pub changed: Vec<Shadow>,
    changed_blocks: Vec<Shadow>,
    /// True if the image stands in a block that is not in both scenes, so that all paths start in it.
    pub starts_in_changed: bool,
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
    pub(super) fn longer(&self, stage: &Stage<'_>) -> Vec<Self> {
        let mut out = Vec::new();
        let image = self.image();
        let planes = &stage.surfaces.planes;
        let last = self.planes.last().and_then(|&p| planes.get(p as usize));
        for (index, plane) in planes.iter().enumerate() {
            let height = distance(plane, image);
            if plane.is_level() || height == 0.0 || self.planes.last() == Some(&(index as u32)) {
                continue;
            }
            let mut wedge: Option<[Plan; 2]> = None;
            for (_, sheet) in stage.of_plane(index) {
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

    /// Prepares the sequence for rows of receivers; `heights` says how low and high its paths come.
    ///
    /// Nothing if two scenes are looked at and `is_touched` says that what differs between them is on none of its paths.
    pub(super) fn prepare(
        &self,
        stage: &Stage<'_>,
        (rows, heights): (Rows, (f64, f64)),
        is_touched: impl Fn(&Chain) -> bool,
    ) -> Option<Chain> {
        let is_high = |z0: f64, z1: f64| z0 <= heights.1 && z1 >= heights.0;
        let image = self.image();
        let planes: Vec<&Plane> = self.planes.iter().filter_map(|&p| stage.surfaces.planes.get(p as usize)).collect();
        let order = planes.len();
        let mut frames = vec![Frame::HERE; order + 1];
        for leg in (0..order).rev() {
            frames[leg] = frames[leg + 1].after(&Frame::mirror(planes[leg]));
        }
        let legs: Vec<Leg<'_>> = (0..=order)
            .map(|leg| Leg {
                frame: frames[leg],
                source: self.images.get(leg).copied().unwrap_or(image),
                before: leg.checked_sub(1).and_then(|l| planes.get(l)).copied(),
                after: planes.get(leg).copied(),
            })
            .collect();
        let is_seen = |segment: [Plan; 2]| {
            let Some(wedge) = self.wedge else { return true };
            seen(image, segment).is_none_or(|s| narrow(wedge, s).is_some())
        };
        let mut chain = Chain {
            image,
            gates: Vec::with_capacity(order),
            mirrors: Vec::with_capacity(order),
            crossings: Vec::new(),
            frames,
            normals: Vec::new(),
            blocks: Vec::new(),
            changed: Vec::new(),
            changed_blocks: Vec::new(),
            starts_in_changed: false,
        };
        for (leg, mirror) in legs.iter().zip(&self.planes) {
            let Some(plane) = leg.after else { continue };
            let height = distance(plane, leg.source);
            let mut gate = Vec::new();
            for (index, sheet) in stage.of_plane(*mirror as usize) {
                let Some(side) = sheet.side(height > 0.0) else { continue };
                if !is_high(sheet.z0, sheet.z1) {
                    continue;
                }
                let mut segment = [[sheet.a.x, sheet.a.y], [sheet.b.x, sheet.b.y]];
                if leg.before.is_some_and(|b| !clip(&mut segment, b, distance(b, leg.source) < 0.0)) {
                    continue;
                }
                let segment = segment.map(|p| leg.frame.of(p));
                gate.extend(chain.shadow(segment, rows, leg.frame, stage, (index, sheet, side)));
            }
            chain.changed.extend(gate.iter().filter(|s| s.marks != stage.all));
            chain.gates.push(gate);
            // 1/τ = 1 − d(c)/d(I), with the mirror's plane as the later mirrors show it.
            let normal = leg.frame.turn([plane.normal[0], plane.normal[1]]);
            let foot = leg.frame.of([plane.normal[0] * plane.offset, plane.normal[1] * plane.offset]);
            let offset = normal[0] * foot[0] + normal[1] * foot[1];
            let from_image = normal[0] * image[0] + normal[1] * image[1] - offset;
            chain.mirrors.push(Linear {
                constant: 1.0 - (normal[0] * rows.first - offset) / from_image,
                per_u: -normal[0] * rows.step / from_image,
                per_y: -normal[1] / from_image,
            });
        }
        for (index, block) in (0u32..).zip(&stage.geometry.blocks) {
            // A ray through a block leaves it by an edge that is seen, wherever it starts.
            let is_way = |leg: &Leg<'_>| {
                edges(&block.outline).any(|(a, b)| is_seen([[a.x, a.y], [b.x, b.y]].map(|p| leg.frame.of(p))))
            };
            if is_high(block.z0, block.z1) && legs.iter().any(is_way) {
                chain.blocks.push(index);
                if stage.blocks.get(index as usize).is_some_and(|&m| m != stage.all) {
                    chain.touch(&block.outline, rows);
                }
            }
        }
        let crossing = |chain: &mut Chain, number: usize, leg: &Leg<'_>, index: u32| {
            let sheet = stage.sheets.get(index as usize)?;
            let is_mirror = |p: usize| self.planes.get(p) == Some(&sheet.plane);
            if is_mirror(number)
                || number > 0 && is_mirror(number - 1)
                || matches!(sheet.stuff, Stuff::Block(_))
                || !is_high(sheet.z0, sheet.z1)
            {
                return None;
            }
            let mut segment = [[sheet.a.x, sheet.a.y], [sheet.b.x, sheet.b.y]];
            if !leg.clip(&mut segment) {
                return None;
            }
            let segment = segment.map(|p| leg.frame.of(p));
            if !is_seen(segment) {
                return None;
            }
            let shadow = chain.shadow(segment, rows, leg.frame, stage, (index, sheet, Answer::Through))?;
            Some((nearness(image, segment), shadow))
        };
        for (number, leg) in legs.iter().enumerate() {
            for &index in &stage.changed {
                let shadow = crossing(&mut chain, number, leg, index);
                chain.changed.extend(shadow.map(|(_, shadow)| shadow));
            }
        }
        if !is_touched(&chain) {
            return None;
        }
        for (number, leg) in legs.iter().enumerate() {
            let all = 0..stage.sheets.len() as u32;
            let mut crossings: Vec<_> = all.filter_map(|index| crossing(&mut chain, number, leg, index)).collect();
            crossings.sort_by(|a, b| a.0.total_cmp(&b.0));
            chain.crossings.push(crossings.into_iter().map(|(_, shadow)| shadow).collect());
        }
        Some(chain)
    }
}

/// A piece of the way.
struct Leg<'a> {
    frame: Frame,
    /// Where it seems to come from.
    source: Plan,
    /// Mirrors at its ends.
    before: Option<&'a Plane>,
    after: Option<&'a Plane>,
}

impl Leg<'_> {
    /// Keeps what lies beyond the mirror before and before the mirror after it; false if nothing is left.
    fn clip(&self, segment: &mut [Plan; 2]) -> bool {
        self.before.is_none_or(|b| clip(segment, b, distance(b, self.source) < 0.0))
            && self.after.is_none_or(|a| clip(segment, a, distance(a, self.source) > 0.0))
    }
}

impl Chain {
    /// True if what is on a path differs between scenes by a block.
    pub(super) fn has_changed_blocks(&self) -> bool {
        self.starts_in_changed || !self.changed_blocks.is_empty()
    }

    fn shadow(
        &mut self,
        segment: [Plan; 2],
        rows: Rows,
        frame: Frame,
        stage: &Stage<'_>,
        (index, sheet, answer): (u32, &Sheet, Answer),
    ) -> Option<Shadow> {
        let (limits, inverse) = Shadow::of(self.image, segment, rows)?;
        let class = self.class(frame, &stage.surfaces, sheet);
        let step = Step { column: stage.column(sheet.stuff, answer), class };
        Some(Shadow { limits, inverse, sheet: index, marks: sheet.marks, step })
    }

    fn class(&mut self, frame: Frame, surfaces: &Surfaces, sheet: &Sheet) -> u16 {
        let normal = surfaces.planes.get(sheet.plane as usize).map_or([0.0; 3], |p| p.normal);
        // Rounded, so that parallel walls share a class, and so that it is their own direction whatever else there is.
        let shown = frame.turn([normal[0], normal[1]]).map(|x| (x / DIRECTION).round() * DIRECTION);
        let turn = if shown[0] < 0.0 || shown[0] == 0.0 && shown[1] < 0.0 { -1.0 } else { 1.0 };
        // Plus zero, so that there is one zero.
        let shown = shown.map(|x| (turn * x + 0.0) as f32);
        let found = self.normals.iter().position(|known| *known == shown).unwrap_or_else(|| {
            self.normals.push(shown);
            self.normals.len() - 1
        });
        // A home of more directions than this has no memory to be in.
        found.min(usize::from(LEVEL - 1)) as u16
    }

    /// Notes where paths can lead through a block that is not in both scenes.
    fn touch(&mut self, outline: &[Point2], rows: Rows) {
        for frame in &self.frames {
            let image = frame.back(self.image);
            self.starts_in_changed |= inside(outline, Point2::new(image[0], image[1]));
            for (a, b) in edges(outline) {
                let segment = [[a.x, a.y], [b.x, b.y]].map(|p| frame.of(p));
                let shadow = Shadow::of(self.image, segment, rows);
                self.changed_blocks.extend(shadow.map(|(limits, inverse)| Shadow {
                    limits,
                    inverse,
                    sheet: u32::MAX,
                    marks: 0,
                    step: Step { column: u32::MAX, class: LEVEL },
                }));
            }
        }
    }

    /// Where along a line of points a block that is not in both scenes can be in the way to a point, or to the centre of a
    /// cell that has it, `middle` being the line of centres.
    pub(super) fn changed_blocks(&self, y: f64, middle: f64, points: u32) -> impl Iterator<Item = Stretch> {
        let shadows = self.changed_blocks.iter().flat_map(move |s| [s.stretch(y), s.stretch(middle)]);
        let cell = f64::from(points);
        let there = shadows.filter(|s| s.low <= s.high);
        there.map(move |s| Stretch { low: s.low - cell, high: s.high + cell })
    }

    /// True if what is not in both scenes can be in the way to a line of points, level things left out.
    pub(super) fn is_touched(&self, y: f64, middle: f64, points: u32, count: u32) -> bool {
        let walls = self.changed.iter().map(|shadow| shadow.stretch(y));
        let is_there = |stretch: Stretch| {
            let (from, to) = stretch.samples(count);
            from < to
        };
        self.starts_in_changed || walls.chain(self.changed_blocks(y, middle, points)).any(is_there)
    }
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
    let size = |v: Plan| v[0].abs() + v[1].abs();
    let turns_left = |a: Plan, b: Plan| cross(a, b) >= -SLACK * size(a) * size(b);
    let within = |w: [Plan; 2], v: Plan| turns_left(w[0], v) && turns_left(v, w[1]);
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
