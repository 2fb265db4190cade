//! One storey laid out: rooms in bands beside the spine, at its ends, and across the whole home.
//!
//! An attempt draws an arrangement and gives each room a length from its area; what breaks a least size, a door or daylight
//! is dropped, what is left is judged by [`super::judge`]. Nothing here knows walls.

use super::frame::{Entrance, Frame, LANDING, Side, Stair};
use super::random::Random;
use super::rect::{Rect, cm};
use super::sizes::Kind;
use super::usable::{CONTACT, works};
use crate::elements::WallKind;

/// Width of the cell behind a front door [m]: common practice, no source.
const LOBBY: (f64, f64) = (1.25, 1.9);

/// What a storey has to do with stairs and doors.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Level {
    pub entrance: bool,
    /// A flight goes up from here.
    pub up: bool,
    /// A flight arrives here.
    pub arrive: bool,
    /// Below ground: no room needs daylight.
    pub dark: bool,
}

/// A room in its place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Placed {
    pub kind: Kind,
    pub rect: Rect,
    /// The room that one has to go through, as an index; none if the door is in the hall.
    pub through: Option<usize>,
}

/// A storey laid out.
#[derive(Clone, Debug)]
pub(super) struct Layout {
    /// Rectangles of the hall or landing; they touch.
    pub hall: Vec<Rect>,
    pub rooms: Vec<Placed>,
    /// The cell behind the front door, if it is not the spine itself.
    pub lobby: Option<Rect>,
    pub cost: f64,
}

/// A row of rooms beside the spine.
struct Segment {
    low: bool,
    from: i32,
    to: i32,
    depth: f64,
    rooms: Vec<Item>,
    /// Area that is still free [m²].
    free: f64,
}

#[derive(Clone, Copy, Debug, PartialEq)]
enum Item {
    Room(usize),
    Lobby(i32),
}

/// Draws one arrangement; none if it does not work. `areas` are the areas that rooms should have [m²].
pub(super) fn attempt(
    frame: &Frame,
    kinds: &[Kind],
    areas: &[f64],
    level: Level,
    random: &mut Random,
) -> Option<Layout> {
    let mut draft = Draft {
        frame,
        kinds,
        areas,
        left: (0..kinds.len()).collect(),
        placed: vec![None; kinds.len()],
        from: 0,
        to: frame.length,
        spine: (0, frame.length),
    };
    random.shuffle(&mut draft.left);
    let (from_most, to_least) = spine_limits(frame, level);
    for end in if random.chance(0.5) { [false, true] } else { [true, false] } {
        let fixed = !end && from_most <= 0 || end && to_least >= frame.length;
        if fixed || draft.left.len() < 2 {
            continue;
        }
        let limit = if end { frame.length - to_least } else { from_most };
        if random.chance(0.62) {
            draft.cap(end, limit, level, random);
        } else if random.chance(0.6) {
            draft.strip_end(end, limit, level, random);
        }
    }
    if draft.spine.1 - draft.spine.0 < CONTACT {
        return None;
    }
    let mut hall = vec![Rect::new(draft.spine.0, draft.spine.1, frame.low, frame.high)];
    let mut segments = draft.segments(&mut hall)?;
    let lobby = level.entrance && frame.entrance == Entrance::Band;
    draft.fill(&mut segments, lobby, level, random)?;
    let lobby = draft.divide(&segments)?;
    hall.extend(lobby);
    let mut rooms = Vec::with_capacity(kinds.len());
    for (i, rect) in draft.placed.iter().enumerate() {
        rooms.push(Placed { kind: kinds[i], rect: (*rect)?, through: None });
    }
    let mut layout = Layout { hall, rooms, lobby, cost: 0.0 };
    works(frame, &mut layout, level).then_some(layout)
}

/// Where the spine must reach at least: it starts at or before the first and ends at or after the second.
fn spine_limits(frame: &Frame, level: Level) -> (i32, i32) {
    let wall = cm(frame.half_inside) + 2;
    let (mut from, mut to) = match frame.stair {
        Some(Stair::InStrip(f)) => {
            (f.u0 - if level.up { LANDING } else { wall }, f.u1 + if level.arrive { LANDING } else { wall })
        }
        Some(Stair::Cell { cell, .. }) => (cell.u0, cell.u1),
        None => (frame.length / 2 - 60, frame.length / 2 + 60),
    };
    if level.entrance && frame.entrance == Entrance::Spine {
        from = 0;
        to = to.min(frame.length - 1).max(130.min(frame.length));
    }
    (from.max(0), to.min(frame.length))
}

struct Draft<'a> {
    frame: &'a Frame,
    kinds: &'a [Kind],
    areas: &'a [f64],
    left: Vec<usize>,
    placed: Vec<Option<Rect>>,
    /// Where the bands start and end [cm].
    from: i32,
    to: i32,
    /// Where the spine starts and ends [cm].
    spine: (i32, i32),
}

impl Draft<'_> {
    fn take(&mut self, i: usize) -> usize {
        self.left.remove(i)
    }

    /// A rectangle of a depth at an end of the frame.
    fn at_end(&self, end: bool, depth: i32, v0: i32, v1: i32) -> Rect {
        if end { Rect::new(self.frame.length - depth, self.frame.length, v0, v1) } else { Rect::new(0, depth, v0, v1) }
    }

    /// A room, or two of which one opens off the other, across the whole home.
    fn cap(&mut self, end: bool, limit: i32, level: Level, random: &mut Random) {
        let frame = self.frame;
        let side = if end { Side::UEnd } else { Side::UStart };
        let across = frame.clear(Rect::new(0, 100, 0, frame.breadth)).1;
        let walls = frame.half_inside + frame.half_sides[side as usize];
        let room = random.below(self.left.len());
        let host = self.left[room];
        let size = self.kinds[host].size();
        if matches!(
            self.kinds[host],
            Kind::Store | Kind::Shower | Kind::Bath | Kind::Utility | Kind::Dressing | Kind::Plant
        ) {
            return;
        }
        if !level.dark && size.daylight && frame.side(side) != WallKind::Outer {
            return;
        }
        // Alone, if that is not too wide for its depth.
        let depth = (self.areas[host] / across).max(size.width).max(across / size.slender);
        if depth * across <= (self.areas[host] * 1.45).min(size.most) {
            let depth = cm(depth + walls);
            if depth <= limit {
                self.take(room);
                let rect = self.at_end(end, depth, 0, frame.breadth);
                self.placed[host] = Some(rect);
                self.cut(end, depth, true);
            }
            return;
        }
        let guest = self.left.iter().position(|g| *g != host && self.kinds[*g].may_open_off(self.kinds[host]));
        let Some(guest_at) = guest else { return };
        let guest = self.left[guest_at];
        let guest_size = self.kinds[guest].size();
        let together = self.areas[host] + self.areas[guest];
        let depth = (together / across).max(size.width).max(guest_size.width).max(size.least / across);
        let depth_cm = cm(depth + walls);
        if depth_cm > limit {
            return;
        }
        let share = self.areas[host] / together;
        let host_low = random.chance(0.5);
        let mut line = (f64::from(frame.breadth) * if host_low { share } else { 1.0 - share }).round() as i32;
        // The spine must end at the host.
        line = if host_low { line.max(frame.low + CONTACT) } else { line.min(frame.high - CONTACT) };
        if line < 90 || line > frame.breadth - 90 {
            return;
        }
        let low = self.at_end(end, depth_cm, 0, line);
        let high = self.at_end(end, depth_cm, line, frame.breadth);
        let (host_rect, guest_rect) = if host_low { (low, high) } else { (high, low) };
        self.placed[host] = Some(host_rect);
        self.placed[guest] = Some(guest_rect);
        self.left.retain(|i| *i != host && *i != guest);
        self.cut(end, depth_cm, true);
    }

    /// A room at an end of the strip, between the bands.
    fn strip_end(&mut self, end: bool, limit: i32, level: Level, random: &mut Random) {
        let frame = self.frame;
        let side = if end { Side::UEnd } else { Side::UStart };
        let width = frame.strip_width();
        let walls = frame.half_inside + frame.half_sides[side as usize];
        let room = random.below(self.left.len());
        let index = self.left[room];
        let size = self.kinds[index].size();
        if size.width > width || (!level.dark && size.daylight && frame.side(side) != WallKind::Outer) {
            return;
        }
        let depth = (self.areas[index] / width).max(size.width).max(size.least / width).max(width / size.slender);
        let depth = depth.min((width * size.slender).max(size.least / width));
        let depth = cm(depth + walls);
        if depth > limit {
            return;
        }
        self.take(room);
        self.placed[index] = Some(self.at_end(end, depth, frame.low, frame.high));
        self.cut(end, depth, false);
    }

    fn cut(&mut self, end: bool, depth: i32, bands_too: bool) {
        let at = if end { self.frame.length - depth } else { depth };
        if end {
            self.spine.1 = at;
        } else {
            self.spine.0 = at;
        }
        if bands_too {
            if end {
                self.to = at;
            } else {
                self.from = at;
            }
        }
    }

    /// The bands, without the stair's cell, which becomes part of the hall.
    fn segments(&self, hall: &mut Vec<Rect>) -> Option<Vec<Segment>> {
        let mut segments = Vec::new();
        for low in [true, false] {
            let depth = self.frame.band_depth(low);
            if depth <= 0.5 {
                continue;
            }
            let mut pieces = vec![(self.from, self.to)];
            if let Some(Stair::Cell { cell, .. }) = self.frame.stair
                && (cell.v0 == 0) == low
            {
                hall.push(cell);
                pieces = vec![(self.from, cell.u0), (cell.u1, self.to)];
            }
            for (from, to) in pieces {
                if to - from <= 0 {
                    continue;
                }
                if to - from < 100 {
                    return None;
                }
                let free = f64::from(to - from) / 100.0 * depth;
                segments.push(Segment { low, from, to, depth, rooms: Vec::new(), free });
            }
        }
        Some(segments)
    }

    /// Gives each room that is left to a segment, in an order that keeps daylight.
    fn fill(&self, segments: &mut [Segment], lobby: bool, level: Level, random: &mut Random) -> Option<()> {
        let frame = self.frame;
        if lobby {
            let able: Vec<usize> = (0..segments.len())
                .filter(|i| segments[*i].low && segments[*i].to - segments[*i].from >= 140)
                .collect();
            let at = *random.pick(&able)?;
            let width = cm(random.between(LOBBY.0, LOBBY.1) + 2.0 * frame.half_inside);
            segments[at].rooms.push(Item::Lobby(width));
            segments[at].free -= f64::from(width) / 100.0 * segments[at].depth;
        }
        let mut order = self.left.clone();
        order.sort_by(|a, b| self.areas[*b].total_cmp(&self.areas[*a]));
        for room in order {
            let kind = self.kinds[room];
            let size = kind.size();
            let mut best: Option<(f64, usize)> = None;
            for (i, s) in segments.iter().enumerate() {
                let lit = if !size.daylight || level.dark { usize::MAX } else { self.lit_places(s) };
                let lit_taken =
                    s.rooms.iter().filter(|r| matches!(r, Item::Room(k) if self.kinds[*k].size().daylight)).count();
                if s.depth < size.width || (size.daylight && !level.dark && lit_taken >= lit) {
                    continue;
                }
                // Dark places are for rooms that need no window.
                let dark_bonus = if !size.daylight && self.lit_places(s) < 9 { 4.0 } else { 0.0 };
                let worth = s.free + dark_bonus + random.between(0.0, 9.0);
                if best.is_none_or(|(most, _)| worth > most) {
                    best = Some((worth, i));
                }
            }
            let (_, at) = best?;
            segments[at].rooms.push(Item::Room(room));
            segments[at].free -= self.areas[room];
        }
        for segment in segments.iter_mut() {
            if segment.rooms.is_empty() {
                return None;
            }
            random.shuffle(&mut segment.rooms);
            self.lit_first(segment, level);
        }
        Some(())
    }

    /// How many rooms with windows a segment can hold.
    fn lit_places(&self, s: &Segment) -> usize {
        let frame = self.frame;
        let long = if s.low { Side::VLow } else { Side::VHigh };
        if frame.side(long) == WallKind::Outer {
            return usize::MAX;
        }
        let at_start = s.from == 0 && frame.side(Side::UStart) == WallKind::Outer;
        let at_end = s.to == frame.length && frame.side(Side::UEnd) == WallKind::Outer;
        usize::from(at_start) + usize::from(at_end)
    }

    /// Puts rooms that need daylight at the ends that have it.
    fn lit_first(&self, s: &mut Segment, level: Level) {
        if level.dark || self.lit_places(s) > 8 {
            return;
        }
        let needs = |item: &Item| matches!(item, Item::Room(k) if self.kinds[*k].size().daylight);
        let at_start = s.from == 0 && self.frame.side(Side::UStart) == WallKind::Outer;
        let at_end = s.to == self.frame.length && self.frame.side(Side::UEnd) == WallKind::Outer;
        let mut lit: Vec<Item> = s.rooms.iter().copied().filter(needs).collect();
        let dark: Vec<Item> = s.rooms.iter().copied().filter(|i| !needs(i)).collect();
        let last = if at_end && (lit.len() > 1 || !at_start) { lit.pop() } else { None };
        s.rooms = lit.into_iter().chain(dark).chain(last).collect();
    }

    /// Turns areas into lengths; gives the cell of the lobby.
    fn divide(&mut self, segments: &[Segment]) -> Option<Option<Rect>> {
        let frame = self.frame;
        let mut lobby = None;
        for s in segments {
            let (v0, v1) = if s.low { (0, frame.low) } else { (frame.high, frame.breadth) };
            let limits: Vec<[f64; 3]> = s
                .rooms
                .iter()
                .enumerate()
                .map(|(i, item)| {
                    let start = if i == 0 { frame.half(true, s.from) } else { frame.half_inside };
                    let end = if i + 1 == s.rooms.len() { frame.half(true, s.to) } else { frame.half_inside };
                    let walls = start + end;
                    match *item {
                        Item::Lobby(width) => {
                            [f64::from(width) / 100.0 - 0.1, f64::from(width) / 100.0, f64::from(width) / 100.0 + 0.6]
                        }
                        Item::Room(k) => {
                            let size = self.kinds[k].size();
                            let least = size.width.max(size.least / s.depth).max(s.depth / size.slender) + 0.01;
                            let most = (size.most / s.depth).min(s.depth * size.slender) - 0.01;
                            let wish = (self.areas[k] / s.depth).min(most).max(least);
                            [least + walls, wish + walls, most.max(least) + walls]
                        }
                    }
                })
                .collect();
            let lengths = fit(&limits, f64::from(s.to - s.from) / 100.0)?;
            let mut at = 0.0;
            let mut from = s.from;
            for (i, (item, length)) in s.rooms.iter().zip(&lengths).enumerate() {
                at += length;
                let to = if i + 1 == lengths.len() { s.to } else { s.from + cm(at) };
                let rect = Rect::new(from, to, v0, v1);
                match *item {
                    Item::Lobby(_) => lobby = Some(rect),
                    Item::Room(k) => self.placed[k] = Some(rect),
                }
                from = to;
            }
        }
        Some(lobby)
    }
}

/// Lengths between their limits that add up to a whole, each as near to its wish as the others.
fn fit(limits: &[[f64; 3]], whole: f64) -> Option<Vec<f64>> {
    let sum = |i: usize| limits.iter().map(|l| l[i]).sum::<f64>();
    let (least, wish, most) = (sum(0), sum(1), sum(2));
    if whole < least || whole > most {
        return None;
    }
    let share = if whole < wish {
        (whole - least) / (wish - least).max(1e-9)
    } else {
        (whole - wish) / (most - wish).max(1e-9)
    };
    Some(
        limits
            .iter()
            .map(|l| if whole < wish { l[0] + share * (l[1] - l[0]) } else { l[1] + share * (l[2] - l[1]) })
            .collect(),
    )
}
