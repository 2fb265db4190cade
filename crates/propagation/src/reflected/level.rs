//! The way of a path in height: level mirrors (floors, ceilings, tops of objects) and what level things it passes.
//!
//! Walls are upright and floors level, so that neither kind of mirror changes what the other sees: a path's way in
//! height is a reflected straight line of its own, shared by all images in plan.

use units::Point2;

use crate::geometry::{Geometry, edges, inside};
use crate::surface::{Member, Surfaces};
use crate::wall::Answer;

use super::chain::Chain;
use super::shadow::{Rows, Stretch};
use super::sheet::Sheet;

/// What a level crossing or mirror is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Layer {
    Deck(u32),
    Lid(u32),
}

/// A piece of the way in height.
#[derive(Clone, Copy, Debug)]
pub(super) struct Climb {
    pub from: f64,
    pub to: f64,
    /// Places of its ends on the way, 0 at the site and 1 at the receiver.
    pub start: f64,
    pub end: f64,
}

impl Climb {
    fn place(&self, z: f64) -> f64 {
        self.start + (self.end - self.start) * ((z - self.from) / (self.to - self.from))
    }
}

/// One way in height.
#[derive(Clone, Debug)]
pub(super) struct Levels {
    /// Number of mirrors.
    pub order: usize,
    /// Length in height.
    pub rise: f64,
    pub climbs: Vec<Climb>,
    /// For each mirror its place on the way, and what can reflect with the side that is met.
    pub mirrors: Vec<(f64, Vec<(Layer, Answer)>)>,
    /// Decks passed: place on the way and the deck.
    pub passed: Vec<(f64, u32)>,
    /// Least and greatest height.
    pub low: f64,
    pub high: f64,
}

impl Levels {
    /// All ways from one height to another with at most `order` level mirrors.
    pub(super) fn all(geometry: &Geometry, surfaces: &Surfaces, from: f64, to: f64, order: usize) -> Vec<Self> {
        let level: Vec<usize> = (0..surfaces.planes.len()).filter(|&p| surfaces.planes[p].is_level()).collect();
        let mut sequences: Vec<Vec<usize>> = vec![Vec::new()];
        let mut out = Vec::new();
        for _ in 0..=order {
            out.extend(sequences.iter().filter_map(|s| Self::of(geometry, surfaces, s, from, to)));
            let longer = |s: &Vec<usize>| {
                let fitting = level.iter().filter(|&&p| follows(surfaces, s, p, from)).copied();
                fitting.map(|p| s.iter().copied().chain([p]).collect()).collect::<Vec<Vec<usize>>>()
            };
            sequences = sequences.iter().flat_map(longer).collect();
        }
        out.sort_by_key(|l| l.order);
        out
    }

    fn of(geometry: &Geometry, surfaces: &Surfaces, planes: &[usize], from: f64, to: f64) -> Option<Self> {
        let height = |p: usize| surfaces.planes.get(p).map_or(0.0, |plane| plane.offset);
        let mut stops = vec![from];
        stops.extend(planes.iter().map(|&p| height(p)));
        stops.push(to);
        if let [.., before, last, end] = stops[..] {
            // The receiver must be on the side that the last mirror throws to.
            if !planes.is_empty() && (before - last) * (end - last) <= 0.0 {
                return None;
            }
        }
        let rise: f64 = stops.iter().zip(stops.iter().skip(1)).map(|(a, b)| (a - b).abs()).sum();
        let mut climbs = Vec::with_capacity(planes.len() + 1);
        let mut start = 0.0;
        for (&from, &to) in stops.iter().zip(stops.iter().skip(1)) {
            let end = if rise > 0.0 { start + (from - to).abs() / rise } else { 1.0 };
            climbs.push(Climb { from, to, start, end });
            start = end;
        }
        if let Some(last) = climbs.last_mut() {
            last.end = 1.0;
        }
        let mirrors = planes
            .iter()
            .zip(&climbs)
            .filter_map(|(&p, climb)| {
                let plane = surfaces.planes.get(p)?;
                let above = climb.from > climb.to;
                let members = plane.members.iter().filter_map(|&(member, aligned)| match member {
                    Member::Deck(index) => {
                        let side = if above == aligned { Answer::BackFromFirst } else { Answer::BackFromLast };
                        Some((Layer::Deck(index), side))
                    }
                    Member::Lid(index, _) => (above == aligned).then_some((Layer::Lid(index), Answer::BackFromFirst)),
                    Member::Panel(_) | Member::Side(..) => None,
                });
                Some((climb.end, members.collect()))
            })
            .collect();
        let mut passed = Vec::new();
        for (leg, climb) in climbs.iter().enumerate() {
            let is_mirror = |deck: usize| {
                let plane = surfaces.of_deck.get(deck).map(|&p| p as usize);
                plane.is_some()
                    && (planes.get(leg) == plane.as_ref() || leg > 0 && planes.get(leg - 1) == plane.as_ref())
            };
            for (index, deck) in geometry.decks.iter().enumerate() {
                if !is_mirror(index) && (climb.from >= deck.z) != (climb.to >= deck.z) {
                    passed.push((climb.place(deck.z), index as u32));
                }
            }
        }
        let low = stops.iter().copied().fold(f64::INFINITY, f64::min);
        let high = stops.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        Some(Self { order: planes.len(), rise, climbs, mirrors, passed, low, high })
    }

    /// True if a sheet stands in the way at every height of it.
    pub(super) fn is_covered(&self, sheet: &Sheet) -> bool {
        sheet.z0 <= self.low && sheet.z1 >= self.high && (self.rise > 0.0 || sheet.z1 > self.high)
    }

    /// Parts of the way at which its height is that of a band from `z0` to below `z1`.
    pub(super) fn within(&self, z0: f64, z1: f64) -> impl Iterator<Item = (f64, f64)> + '_ {
        self.climbs.iter().filter_map(move |climb| {
            let (low, high) = (climb.from.min(climb.to), climb.from.max(climb.to));
            if low == high {
                return (low >= z0 && low < z1).then_some((climb.start, climb.end));
            }
            let (z_low, z_high) = (low.max(z0), high.min(z1));
            if z_low >= z_high {
                return None;
            }
            let (a, b) = (climb.place(z_low), climb.place(z_high));
            Some((a.min(b), a.max(b)))
        })
    }
}

/// True if a level mirror can come next on the way.
fn follows(surfaces: &Surfaces, planes: &[usize], next: usize, from: f64) -> bool {
    let height = |p: usize| surfaces.planes.get(p).map_or(0.0, |plane| plane.offset);
    let at = height(next);
    match *planes {
        [] => at != from,
        [first] => (from - height(first)) * (at - height(first)) > 0.0,
        [.., before, last] => (height(before) - height(last)) * (at - height(last)) > 0.0,
    }
}

/// The outline of a layer with its holes.
fn outline(geometry: &Geometry, layer: Layer) -> (&[Point2], &[Vec<Point2>]) {
    match layer {
        Layer::Deck(index) => geometry.decks.get(index as usize).map_or((&[], &[]), |d| (&d.outline, &d.holes)),
        Layer::Lid(index) => geometry.blocks.get(index as usize).map_or((&[], &[]), |b| (&b.outline, &[])),
    }
}

/// Parts of a row whose paths meet a layer at a place on the way.
pub(super) fn stretches(
    geometry: &Geometry,
    layer: Layer,
    chain: &Chain,
    rows: Rows,
    (y, place): (f64, f64),
    out: &mut Vec<Stretch>,
) {
    let (outline, holes) = outline(geometry, layer);
    let inverse = 1.0 / place;
    for (leg, frame) in chain.frames.iter().enumerate() {
        // Between the mirrors at both ends of this piece of the way.
        let after = leg.checked_sub(1).and_then(|m| chain.mirrors.get(m));
        let mut part = after.map_or(Stretch::ALL, |m| m.stretch(y, inverse, true));
        if let Some(before) = chain.mirrors.get(leg) {
            part = part.and(before.stretch(y, inverse, false));
        }
        if part.low >= part.high {
            continue;
        }
        // The place on the row's paths moves evenly with the receiver.
        let at = |u: f64| {
            let c = [rows.first + u * rows.step, y];
            let shown = std::array::from_fn(|i| chain.image[i] + place * (c[i] - chain.image[i]));
            frame.back(shown)
        };
        let start = at(0.0);
        let move_ = frame.back_turn([place * rows.step, 0.0]);
        let mut places: Vec<f64> = Vec::with_capacity(8);
        for ring in std::iter::once(outline).chain(holes.iter().map(Vec::as_slice)) {
            for (a, b) in edges(ring) {
                let side = |p: Point2| move_[0] * (p.y - start[1]) - move_[1] * (p.x - start[0]);
                let (side_a, side_b) = (side(a), side(b));
                if (side_a >= 0.0) != (side_b >= 0.0) {
                    let share = side_a / (side_a - side_b);
                    let (x, y) = (a.x + share * (b.x - a.x) - start[0], a.y + share * (b.y - a.y) - start[1]);
                    places.push((x * move_[0] + y * move_[1]) / (move_[0] * move_[0] + move_[1] * move_[1]));
                }
            }
        }
        places.sort_by(f64::total_cmp);
        // Even–odd over outline and holes: a hole lies inside its outline.
        for pair in places.chunks_exact(2) {
            let piece = part.and(Stretch { low: pair[0], high: pair[1] });
            if piece.low < piece.high {
                out.push(piece);
            }
        }
    }
}

/// How much of each piece of a path's way leads through a block \[m\].
///
/// `u` and `y` say which receiver, `length` is the path's.
pub(super) fn chords(
    geometry: &Geometry,
    block: u32,
    (chain, levels): (&Chain, &Levels),
    rows: Rows,
    (u, y): (f64, f64),
    length: f64,
    mut each: impl FnMut(f64),
) {
    let Some(prism) = geometry.blocks.get(block as usize) else { return };
    let c = [rows.first + u * rows.step, y];
    for (leg, frame) in chain.frames.iter().enumerate() {
        let turn_at = |m: Option<usize>, else_at: f64| {
            m.and_then(|m| chain.mirrors.get(m)).map_or(else_at, |mirror| 1.0 / mirror.at(u, y))
        };
        let (start, end) = (turn_at(leg.checked_sub(1), 0.0), turn_at(Some(leg), 1.0));
        let (from, to) = (frame.back(chain.image), frame.back(c));
        let way = [to[0] - from[0], to[1] - from[1]];
        let square = way[0] * way[0] + way[1] * way[1];
        let mut places: Vec<f64> = Vec::with_capacity(8);
        if square == 0.0 {
            if inside(&prism.outline, Point2::new(from[0], from[1])) {
                places.extend([0.0, 1.0]);
            }
        } else {
            for (a, b) in edges(&prism.outline) {
                let side = |p: Point2| way[0] * (p.y - from[1]) - way[1] * (p.x - from[0]);
                let (side_a, side_b) = (side(a), side(b));
                if (side_a >= 0.0) != (side_b >= 0.0) {
                    let share = side_a / (side_a - side_b);
                    let (x, y) = (a.x + share * (b.x - a.x) - from[0], a.y + share * (b.y - a.y) - from[1]);
                    places.push((x * way[0] + y * way[1]) / square);
                }
            }
            places.sort_by(f64::total_cmp);
        }
        for (a, b) in levels.within(prism.z0, prism.z1) {
            let shares =
                places.chunks_exact(2).map(|pair| (pair[1].min(end).min(b) - pair[0].max(start).max(a)).max(0.0));
            let chord = shares.sum::<f64>() * length;
            if chord > 0.0 {
                each(chord);
            }
        }
    }
}
