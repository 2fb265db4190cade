//! The frame of a home: its footprint, the strip that people walk through, the stair and the entrance.
//!
//! All storeys share one frame, so that outer walls, the spine's walls and the stairs line up. The frame is laid out along
//! its own axes and turned into the plan at the end.

use units::Point2;

use super::fabric::{BASEMENT, Fabric, thickness};
use super::random::Random;
use super::rect::{Rect, cm};
use super::{Attached, Wish};
use crate::elements::WallKind;

/// Least free width of a hall or landing [m]: Approved Document M (England), volume 1, diagram 2.2, 0.9 m (from memory).
pub(super) const PASSAGE: f64 = 0.9;
/// Width of a flight of stairs in small and in other homes [m]: common practice, no source.
const FLIGHTS: (f64, f64) = (0.82, 0.9);
/// Storeys below this area are small: they get narrow, steep stairs, and winders where the stair turns [m²].
const SMALL: f64 = 48.0;
/// Steps of two quarter turns of winders, three kites each: common practice, no source.
const WINDERS: f64 = 6.0;
/// Largest rise of a step [m]: Approved Document K (England), Table 1.1, private stair, 0.22 m (from memory); less is usual.
const RISE: f64 = 0.2;
/// Goings of steep and of easy stairs [m]: Approved Document K, Table 1.1, private stair, at least 0.22 m (from memory).
const GOINGS: (f64, f64) = (0.225, 0.25);
/// Free floor at the foot and the head of a flight [cm].
pub(super) const LANDING: i32 = 90;

/// Outer wall that a room with windows takes up [m]: common practice, no source.
const FACADE: f64 = 3.0;

/// How a side of the frame is used.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Side {
    UStart,
    UEnd,
    VLow,
    VHigh,
}

/// Where the front door leads in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Entrance {
    /// At the start of the spine.
    Spine,
    /// Through a cell in the low band.
    Band,
}

/// Where the stair is.
#[derive(Clone, Copy, Debug)]
pub(super) enum Stair {
    /// A straight flight along the low side of the strip.
    InStrip(Rect),
    /// Two flights in a cell of a band; `flight` is their outline.
    Cell { cell: Rect, flight: Rect },
}

impl Stair {
    pub(super) fn flight(self) -> Rect {
        match self {
            Stair::InStrip(flight) | Stair::Cell { flight, .. } => flight,
        }
    }
}

/// How the frame lies in the plan.
#[derive(Clone, Copy, Debug)]
pub(super) struct Turn {
    /// True if `u` runs up the sheet.
    pub u_is_y: bool,
    pub flip_x: bool,
    pub flip_y: bool,
}

/// See the module.
#[derive(Clone, Debug)]
pub(super) struct Frame {
    /// Between the centre lines of the outer walls [cm].
    pub length: i32,
    pub breadth: i32,
    /// The strip lies between these lines; a band is missing where a line is the frame's own side [cm].
    pub low: i32,
    pub high: i32,
    /// Kinds of the sides `u` start, `u` end, `v` low, `v` high.
    pub sides: [WallKind; 4],
    /// Half thickness of the walls on those sides, and of inside walls [m].
    pub half_sides: [f64; 4],
    pub half_inside: f64,
    pub entrance: Entrance,
    pub stair: Option<Stair>,
    pub turn: Turn,
}

impl Frame {
    pub(super) fn side(&self, side: Side) -> WallKind {
        self.sides[side as usize]
    }

    /// Half thickness of the wall on a line across `u` or across `v` [m].
    pub(super) fn half(&self, across_u: bool, at: i32) -> f64 {
        let (start, end, far) = if across_u { (0, 1, self.length) } else { (2, 3, self.breadth) };
        if at == 0 {
            self.half_sides[start]
        } else if at == far {
            self.half_sides[end]
        } else {
            self.half_inside
        }
    }

    /// Length along `u` and along `v` between the faces of the walls [m].
    pub(super) fn clear(&self, r: Rect) -> (f64, f64) {
        let u = f64::from(r.u1 - r.u0) / 100.0 - self.half(true, r.u0) - self.half(true, r.u1);
        let v = f64::from(r.v1 - r.v0) / 100.0 - self.half(false, r.v0) - self.half(false, r.v1);
        (u, v)
    }

    /// Depth of the low or high band between its walls [m]; not positive if it is missing.
    pub(super) fn band_depth(&self, low: bool) -> f64 {
        let r = if low { Rect::new(0, 100, 0, self.low) } else { Rect::new(0, 100, self.high, self.breadth) };
        self.clear(r).1
    }

    /// Clear width of the strip [m].
    pub(super) fn strip_width(&self) -> f64 {
        self.clear(Rect::new(0, 100, self.low, self.high)).1
    }

    /// A point of the frame [cm] in the plan [m].
    pub(super) fn point(&self, u: f64, v: f64) -> Point2 {
        let (mut x, mut y) = if self.turn.u_is_y { (v, u) } else { (u, v) };
        let (width, depth) = if self.turn.u_is_y { (self.breadth, self.length) } else { (self.length, self.breadth) };
        if self.turn.flip_x {
            x = f64::from(width) - x;
        }
        if self.turn.flip_y {
            y = f64::from(depth) - y;
        }
        Point2::new(x / 100.0, y / 100.0)
    }

    /// Area between the inner faces of the outer and party walls [m²].
    pub(super) fn inner_area(&self) -> f64 {
        let (u, v) = self.clear(Rect::new(0, self.length, 0, self.breadth));
        u * v
    }

    /// A frame for a wish, or none if what was drawn cannot work.
    pub(super) fn draw(wish: &Wish, fabric: &Fabric, rise: f64, random: &mut Random) -> Option<Self> {
        let area = wish.floor_area_m2 / f64::from(wish.storeys);
        let shape = Shape::draw(wish, random);
        let half = |kind: WallKind| thickness(if kind == WallKind::Party { fabric.party } else { fabric.outer }) / 2.0;
        let half_sides = shape.sides.map(half);
        let half_inside = thickness(fabric.inside).max(thickness(fabric.wet)) / 2.0;
        // Width along the street by depth, between the walls' faces.
        let ratio = random.between(shape.ratio.0, shape.ratio.1);
        let (width, depth) = ((area * ratio).sqrt(), (area / ratio).sqrt());
        let breadth_clear = if shape.turn.u_is_y { width } else { depth };
        let breadth = cm(breadth_clear + half_sides[2] + half_sides[3]);
        let breadth_clear = f64::from(breadth) / 100.0 - half_sides[2] - half_sides[3];
        let length = cm(area / breadth_clear + half_sides[0] + half_sides[1]);
        let mut frame = Self {
            length,
            breadth,
            low: 0,
            high: breadth,
            sides: shape.sides,
            half_sides,
            half_inside,
            entrance: shape.entrance,
            stair: None,
            turn: shape.turn,
        };
        frame.place_strip(wish, area, rise, random)?;
        Some(frame)
    }

    fn place_strip(&mut self, wish: &Wish, area: f64, rise: f64, random: &mut Random) -> Option<()> {
        let has_stair = wish.storeys > 1 || wish.basement;
        // Walls below ground may be thicker; the flights clear them too.
        let below = if wish.basement { thickness(BASEMENT) / 2.0 } else { 0.0 };
        let face = |half: f64, outside: bool| (half.max(if outside { below } else { 0.0 }) * 100.0).ceil() as i32;
        let roomy = (area / 90.0).clamp(0.0, 1.0);
        let small = area < SMALL;
        let passage = if small {
            PASSAGE + random.between(0.02, 0.1)
        } else {
            random.between(PASSAGE + 0.08, 1.1 + 0.25 * roomy)
        };
        let flight = if small { FLIGHTS.0 } else { FLIGHTS.1 };
        let going = if small { GOINGS.0 } else { GOINGS.1 };
        let risers = (rise / RISE).ceil();
        let straight = (risers - 1.0) * going;
        // Two flights side by side with a landing, or with winders, at the turn.
        let landing = if small { WINDERS } else { 1.0 };
        let turned = ((risers - 1.0 - landing) / 2.0).ceil() * going + flight;
        let in_strip = has_stair && random.chance(0.6);
        let strip = if in_strip { passage + flight + 0.05 + (below - self.half_inside).max(0.0) } else { passage };
        let widest = !small && random.chance(0.15);
        let strip = if in_strip && widest { strip + random.between(0.1, 0.5) } else { strip };
        let strip_cm = cm(strip + 2.0 * self.half_inside);
        let room = self.breadth - strip_cm;
        // One band on one side, or two.
        let single = self.entrance == Entrance::Spine && f64::from(room) / 100.0 < random.between(4.8, 7.2);
        if single {
            self.low = 0;
            self.high = cm(strip + self.half_sides[2] + self.half_inside);
        } else {
            let dark_low = self.side(Side::VLow) != WallKind::Outer;
            let dark_high = self.side(Side::VHigh) != WallKind::Outer;
            let low = match (dark_low, dark_high) {
                (true, false) => cm(random.between(1.75, 3.0)),
                (false, true) => room - cm(random.between(1.75, 3.0)),
                _ => (f64::from(room) * random.between(0.36, 0.64)).round() as i32,
            };
            self.low = low;
            self.high = low + strip_cm;
        }
        if self.breadth - self.high < 150 || (self.low != 0 && self.low < 150) {
            return None;
        }
        if !has_stair {
            return Some(());
        }
        if in_strip {
            let v0 = self.low + face(self.half(false, self.low), self.low == 0);
            let run = cm(straight);
            let slack = self.length - run - 2 * LANDING - cm(self.half_sides[0] + self.half_sides[1]);
            if slack < 0 {
                return None;
            }
            // Near the front door, or far enough for a room before it upstairs.
            let place = random.between(0.0, 1.0);
            let place = if random.chance(0.5) { place * place } else { place };
            let u0 = LANDING + cm(self.half_sides[0]) + (f64::from(slack) * place).round() as i32;
            self.stair = Some(Stair::InStrip(Rect::new(u0, u0 + run, v0, v0 + cm(flight))));
        } else {
            let in_low = self.low > 0 && random.chance(0.3);
            let (v0, v1) = if in_low { (0, self.low) } else { (self.high, self.breadth) };
            let depth = self.band_depth(in_low);
            if depth < turned + 0.05 || depth > turned + 2.4 {
                return None;
            }
            let width = cm(2.0 * flight
                + 0.12
                + self.half_inside
                + self.half_inside.max(self.half_sides[0]).max(self.half_sides[1]).max(below));
            let slack = self.length - width;
            if slack < 0 {
                return None;
            }
            let u0 = match random.below(3) {
                0 => 0,
                1 => slack,
                _ => (f64::from(slack) * random.between(0.25, 0.75)).round() as i32,
            };
            let cell = Rect::new(u0, u0 + width, v0, v1);
            // The flights stand against the far wall of the band.
            let run = cm(turned);
            let a = cell.u0 + face(self.half(true, cell.u0), cell.u0 == 0);
            let (f0, f1) = if in_low {
                let v = face(self.half(false, 0), true);
                (v, v + run)
            } else {
                let v = self.breadth - face(self.half(false, self.breadth), true);
                (v - run, v)
            };
            let flights = Rect::new(a, a + cm(2.0 * flight + 0.1), f0, f1);
            self.stair = Some(Stair::Cell { cell, flight: flights });
        }
        Some(())
    }
}

/// Which sides are joined to what, and how the frame lies.
struct Shape {
    sides: [WallKind; 4],
    entrance: Entrance,
    turn: Turn,
    /// Width along the street by depth.
    ratio: (f64, f64),
}

impl Shape {
    fn draw(wish: &Wish, random: &mut Random) -> Self {
        use WallKind::{Outer, Party};
        let one_storey = wish.storeys == 1;
        let area = wish.floor_area_m2 / f64::from(wish.storeys);
        // Rooms with windows on a storey.
        let rooms = wish.rooms;
        let lit =
            f64::from(rooms.bedrooms + rooms.offices + 1 + u32::from(!rooms.open_kitchen)) / f64::from(wish.storeys);
        let flip_x = random.chance(0.5);
        let deep = random.chance(match wish.attached {
            Attached::Terraced if lit > 3.2 => 0.2,
            Attached::Terraced => 0.75,
            Attached::SemiDetached => 0.65,
            Attached::Detached => 0.4,
            Attached::Flat => 0.45,
        });
        // Front, rear, left, right; `flip_x` changes left and right.
        let ([front, rear, left, right], ratio): ([WallKind; 4], (f64, f64)) = match wish.attached {
            Attached::Detached => ([Outer, Outer, Outer, Outer], if one_storey { (0.8, 2.1) } else { (0.58, 1.7) }),
            Attached::SemiDetached => ([Outer, Outer, Outer, Party], if one_storey { (0.6, 1.6) } else { (0.55, 1.1) }),
            Attached::Terraced => ([Outer, Outer, Party, Party], (0.4, 0.85)),
            Attached::Flat => match random.below(5) {
                0 | 1 => ([Outer, Party, Party, Party], (0.75, 2.2)),
                2 | 3 => ([Outer, Party, Outer, Party], (0.6, 1.8)),
                _ => ([Outer, Outer, Party, Party], (0.5, 1.5)),
            },
        };
        // Each window room needs some of the street or garden side where neighbours take the others.
        let fronts = [front, rear].iter().filter(|k| **k == Outer).count() as f64;
        let sides_closed = left == Party && right == Party;
        let need = if sides_closed { (lit * FACADE / fronts).powi(2) / area } else { 0.0 };
        let ratio = (ratio.0.max(0.75 * need), ratio.1.max(1.25 * need));
        let turn = |u_is_y: bool, flip_y: bool| Turn { u_is_y, flip_x, flip_y };
        let through = wish.attached == Attached::Flat && rear == Outer;
        let (sides, entrance, turn) = if through {
            // From the stairwell at the left.
            if deep {
                ([front, rear, left, right], Entrance::Band, turn(true, false))
            } else {
                ([left, right, front, rear], Entrance::Spine, turn(false, false))
            }
        } else if wish.attached == Attached::Flat {
            // From the common corridor at the rear.
            if deep {
                ([rear, front, left, right], Entrance::Spine, turn(true, true))
            } else {
                ([left, right, rear, front], Entrance::Band, turn(false, true))
            }
        } else if deep {
            ([front, rear, left, right], Entrance::Spine, turn(true, false))
        } else if left == Outer && random.chance(0.2) {
            // The front door is at the side.
            ([left, right, front, rear], Entrance::Spine, turn(false, false))
        } else {
            ([left, right, front, rear], Entrance::Band, turn(false, false))
        };
        // The single band of a deep plan may lie on either side: turned over, left and right change.
        if deep && left != right && random.chance(0.5) {
            let [start, end, low, high] = sides;
            let turn = Turn { flip_x: !turn.flip_x, ..turn };
            if entrance == Entrance::Spine {
                return Self { sides: [start, end, high, low], entrance, turn, ratio };
            }
        }
        Self { sides, entrance, turn, ratio }
    }
}
