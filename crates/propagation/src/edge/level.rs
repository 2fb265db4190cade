//! Level edges of a home: rims of floors and of the voids in them, lintels and sills of openings, tops and feet of
//! walls that end in the air, tops and undersides of metal objects.
//!
//! Only what is free diffracts: where a wall stands on a floor's rim or under it, where floors meet and where a wall ends
//! near a floor or goes on in the next storey there is a joint, and joints do not diffract.

use units::Point2;

use super::upright::{TOUCH, lengthen_or_push};
use super::{Edge, Kind};
use crate::geometry::{Geometry, Met, Plate, Segment, edges};
use crate::surface::{Surfaces, Vector};

/// Gaps up to this between a floor and a wall or object are drawn, not built \[m\]. A stated choice.
const GAP: f64 = 0.01;

/// A wall that ends nearer than this to a floor goes on to it, behind a suspended ceiling or because it was drawn with the
/// room's height \[m\]. A stated choice.
const TO_FLOOR: f64 = 0.3;

/// Walls that stand over each other with no more than this between them are one wall: a floor's thickness between two
/// storeys \[m\]. A stated choice.
const STOREY: f64 = 0.6;

/// A level line in plan, at a height.
#[derive(Clone, Copy)]
struct Line {
    a: Point2,
    along: Point2,
    length: f64,
}

impl Line {
    fn new(a: Point2, b: Point2) -> Option<Self> {
        let length = a.distance(b);
        (length > TOUCH).then(|| Self { a, along: Point2::new((b.x - a.x) / length, (b.y - a.y) / length), length })
    }

    fn at(&self, s: f64) -> Point2 {
        Point2::new(self.a.x + s * self.along.x, self.a.y + s * self.along.y)
    }

    /// To the left.
    fn left(&self) -> Point2 {
        Point2::new(-self.along.y, self.along.x)
    }

    /// How far along and how far to the left a place is.
    fn local(&self, p: Point2) -> (f64, f64) {
        let (x, y) = (p.x - self.a.x, p.y - self.a.y);
        (x * self.along.x + y * self.along.y, y * self.along.x - x * self.along.y)
    }

    fn place(&self, s: f64, z: f64) -> Vector {
        let p = self.at(s);
        [p.x, p.y, z]
    }

    /// Places along the line where an outline crosses it or has a corner near it.
    fn meets(&self, outline: &[Point2], out: &mut Vec<f64>) {
        for (p, q) in edges(outline) {
            let ((s, left), (t, right)) = (self.local(p), self.local(q));
            if left.abs() < GAP {
                out.push(s);
            }
            if (left > 0.0) != (right > 0.0) {
                out.push(s + (t - s) * left / (left - right));
            }
        }
    }

    /// The part of the line in a wall's body, a little widened.
    fn within(&self, wall: &Segment) -> Option<(f64, f64)> {
        let half = wall.half + GAP;
        let ((s, left), (t, right)) = (self.local(wall.a), self.local(wall.b));
        let (ex, ey) = ((t - s) / wall.length, (right - left) / wall.length);
        // The line is the set of (u, 0); along the wall and across it that is linear in u.
        let clip = |at_zero: f64, slope: f64, low: f64, high: f64| {
            if slope.abs() < 1e-12 {
                return (low..=high).contains(&at_zero).then_some((f64::NEG_INFINITY, f64::INFINITY));
            }
            let (p, q) = ((low - at_zero) / slope, (high - at_zero) / slope);
            Some((p.min(q), p.max(q)))
        };
        let (p, q) = clip(-s * ex - left * ey, ex, -GAP, wall.length + GAP)?;
        let (r, t) = clip(s * ey - left * ex, -ey, -half, half)?;
        let (first, last) = (p.max(r).max(0.0), q.min(t).min(self.length));
        (first < last).then_some((first, last))
    }

    /// Pieces between places, each with its middle.
    fn pieces(&self, mut places: Vec<f64>) -> Vec<(f64, f64, f64)> {
        places.extend([0.0, self.length]);
        places.retain(|s| (0.0..=self.length).contains(s));
        places.sort_by(f64::total_cmp);
        places.dedup_by(|a, b| (*a - *b).abs() < TOUCH);
        places.iter().zip(places.iter().skip(1)).map(|(&s, &t)| (s, t, 0.5 * (s + t))).collect()
    }
}

/// All level edges.
pub(super) fn all(geometry: &Geometry, surfaces: &Surfaces, is_metal: impl Fn(u32) -> bool, out: &mut Vec<Edge>) {
    for panel in 0..geometry.segments.len() as u32 {
        of_panel(geometry, surfaces, panel, out);
    }
    for (deck, plate) in geometry.decks.iter().enumerate() {
        for ring in std::iter::once(&plate.outline).chain(&plate.holes) {
            for (a, b) in edges(ring) {
                if let Some(line) = Line::new(a, b) {
                    of_deck(geometry, surfaces, (deck as u32, plate), line, out);
                }
            }
        }
    }
    for (index, block) in geometry.blocks.iter().enumerate() {
        if is_metal(index as u32) {
            let twice: f64 = edges(&block.outline).map(|(p, q)| p.x * q.y - q.x * p.y).sum();
            for (a, b) in edges(&block.outline) {
                let Some(line) = (if twice >= 0.0 { Line::new(a, b) } else { Line::new(b, a) }) else { continue };
                for (z, down) in [(block.z1, -1.0), (block.z0, 1.0)] {
                    of_block(geometry, (index as u32, z, down), line, out);
                }
            }
        }
    }
}

/// Lintels and sills, and a panel's own top and bottom where they are free.
fn of_panel(geometry: &Geometry, surfaces: &Surfaces, panel: u32, out: &mut Vec<Edge>) {
    let Some(segment) = geometry.segments.get(panel as usize) else { return };
    let Some(line) = Line::new(segment.a, segment.b) else { return };
    let cuts = geometry.cuts.get(panel as usize).map_or(&[][..], |c| c);
    let plane = surfaces.of_panel.get(panel as usize).copied().unwrap_or(u32::MAX);
    let mut heights: Vec<f64> = cuts.iter().flat_map(|c| [c.z0, c.z1]).chain([segment.z0, segment.z1]).collect();
    heights.retain(|z| (segment.z0..=segment.z1).contains(z));
    heights.sort_by(f64::total_cmp);
    heights.dedup_by(|a, b| (*a - *b).abs() < TOUCH);
    for z in heights {
        let is_end = z < segment.z0 + TOUCH || z > segment.z1 - TOUCH;
        let mut places: Vec<f64> = cuts.iter().flat_map(|c| [c.s0, c.s1]).collect();
        let is_top = z > segment.z1 - TOUCH;
        let near = (z - TO_FLOOR, z + TO_FLOOR);
        let mut walls = Vec::new();
        if is_end {
            beside(geometry, surfaces, (panel, plane), &line, &mut places);
            walls = covered(geometry, &line, (z - STOREY, z + STOREY), |index, wall| {
                let goes_on = if is_top { wall.z1 > z + TOUCH } else { wall.z0 < z - TOUCH };
                // What touches in the same plane is looked at below.
                let start = if is_top { wall.z0 } else { wall.z1 };
                let is_in_line = surfaces.of_panel.get(index as usize) == Some(&plane) && (start - z).abs() < TOUCH;
                index != panel && goes_on && !is_in_line
            });
            places.extend(walls.iter().flat_map(|&(s, t)| [s, t]));
            for deck in at_height(geometry, near) {
                std::iter::once(&deck.outline).chain(&deck.holes).for_each(|ring| line.meets(ring, &mut places));
            }
        }
        let first = out.len();
        for (s0, s1, middle) in line.pieces(places) {
            let fill = |z: f64| {
                let at = line.at(middle).at_height(z);
                geometry.panel_at(panel, at).map(|(assembly, cut)| (assembly, Met::Panel(panel, cut)))
            };
            let (mut below, mut above) = (fill(z - TOUCH), fill(z + TOUCH));
            if is_end {
                let is_joint = is_within(&walls, middle)
                    || at_height(geometry, near).any(|deck| is_at(deck, line.at(middle), segment.half));
                if is_joint {
                    continue;
                }
                // A wall with no floor below it stands on the ground.
                let is_below = |d: &Plate| d.z < z && d.covers(line.at(middle));
                if !is_top && !geometry.decks.iter().any(is_below) {
                    continue;
                }
                let beyond = line.place(middle, if is_top { z + TOUCH } else { z - TOUCH });
                let found = surfaces.planes.get(plane as usize).and_then(|p| p.at(geometry, beyond, true));
                // Of two panels one above the other the first makes the edge.
                if matches!(found, Some(f) if matches!(f.met, Met::Panel(other, _) if other < panel)) {
                    continue;
                }
                *(if is_top { &mut above } else { &mut below }) = found.and_then(|f| Some((f.assembly?, f.met)));
            }
            let (one, other, into) = match (below, above) {
                (Some(b), None) => (b, None, -1.0),
                (b, Some(a)) if b.map(|b| b.0) != Some(a.0) => (a, b, 1.0),
                _ => continue,
            };
            let normal = [segment.normal.x, segment.normal.y, 0.0];
            let kind = Kind::Sheet { plane, one: Some(one.0), other: other.map(|o| o.0) };
            let way = (line.place(s0, z), [line.along.x, line.along.y, 0.0], s1 - s0);
            lengthen_or_push(out, first, Edge::new(way, [[0.0, 0.0, into], normal], kind, one.1));
        }
    }
}

/// Where other panels of a plane, and openings in them, begin and end along one of them.
fn beside(geometry: &Geometry, surfaces: &Surfaces, (own, plane): (u32, u32), line: &Line, out: &mut Vec<f64>) {
    for (index, other) in geometry.segments.iter().enumerate() {
        if index as u32 == own || surfaces.of_panel.get(index) != Some(&plane) {
            continue;
        }
        let ((s, _), (t, _)) = (line.local(other.a), line.local(other.b));
        let step = (t - s) / other.length;
        let cuts = geometry.cuts.get(index).into_iter().flatten();
        out.extend(cuts.flat_map(|c| [c.s0, c.s1]).map(|c| s + c * step).chain([s, t]));
    }
}

/// Decks that something between two heights touches.
fn at_height(geometry: &Geometry, (low, high): (f64, f64)) -> impl Iterator<Item = &Plate> {
    geometry.decks.iter().filter(move |d| high >= d.faces.0 - GAP && low <= d.faces.1 + GAP)
}

/// True if a deck is at a place in plan, or its rim is so near.
fn is_at(deck: &Plate, at: Point2, near: f64) -> bool {
    deck.covers(at)
        || std::iter::once(&deck.outline).chain(&deck.holes).flat_map(|ring| edges(ring)).any(|(a, b)| {
            Line::new(a, b).is_some_and(|line| {
                let (s, left) = line.local(at);
                left.hypot(s - s.clamp(0.0, line.length)) < near + GAP
            })
        })
}

/// The pieces of a line that some walls cover between two heights.
fn covered(
    geometry: &Geometry,
    line: &Line,
    (low, high): (f64, f64),
    is_one: impl Fn(u32, &Segment) -> bool,
) -> Vec<(f64, f64)> {
    let walls = geometry
        .segments
        .iter()
        .enumerate()
        .filter(|(index, s)| s.z0 <= high + GAP && s.z1 >= low - GAP && is_one(*index as u32, s));
    walls.filter_map(|(_, wall)| line.within(wall)).collect()
}

fn is_within(pieces: &[(f64, f64)], s: f64) -> bool {
    pieces.iter().any(|&(first, last)| s > first && s < last)
}

/// One side of a deck's outline or of a hole in it.
fn of_deck(geometry: &Geometry, surfaces: &Surfaces, (index, deck): (u32, &Plate), line: Line, out: &mut Vec<Edge>) {
    let plane = surfaces.of_deck.get(index as usize).copied().unwrap_or(u32::MAX);
    let walls = covered(geometry, &line, (deck.faces.0 - TO_FLOOR, deck.faces.1 + TO_FLOOR), |_, _| true);
    let mut places: Vec<f64> = walls.iter().flat_map(|&(s, t)| [s, t]).collect();
    let near = || {
        let others = geometry.decks.iter().enumerate().filter(|(i, _)| *i != index as usize);
        others.filter(|(_, d)| d.faces.0 <= deck.faces.1 + GAP && d.faces.1 >= deck.faces.0 - GAP)
    };
    for (_, other) in near() {
        std::iter::once(&other.outline).chain(&other.holes).for_each(|ring| line.meets(ring, &mut places));
    }
    let first = out.len();
    for (s0, s1, middle) in line.pieces(places) {
        if is_within(&walls, middle) {
            continue;
        }
        let beside = |side: f64| {
            let (p, left) = (line.at(middle), line.left());
            Point2::new(p.x + side * left.x, p.y + side * left.y)
        };
        let side = match [1.0, -1.0].map(|side| deck.covers(beside(side * TOUCH))) {
            [true, false] => 1.0,
            [false, true] => -1.0,
            // Drawn twice, or an outline that goes there and back.
            _ => continue,
        };
        let in_plane = |i: usize| surfaces.of_deck.get(i) == Some(&plane);
        let is_over = |d: &Plate| d.covers(beside(side * TOUCH));
        // Drawn twice: the first makes the edge.
        if near().any(|(i, d)| i < index as usize && in_plane(i) && is_over(d)) {
            continue;
        }
        // A neighbour, perhaps with a gap as wide as drawings have; a ceiling that goes on under this deck is none.
        let neighbour = near().find(|&(i, d)| d.covers(beside(-side * GAP)) && (in_plane(i) || !is_over(d)));
        let other = match neighbour {
            None => None,
            // Of two decks in line the first makes the edge.
            Some((i, d)) if in_plane(i) && i as u32 > index && d.assembly != deck.assembly => Some(d.assembly),
            Some(_) => continue,
        };
        let left = line.left();
        let into = [side * left.x, side * left.y, 0.0];
        let kind = Kind::Sheet { plane, one: Some(deck.assembly), other };
        let way = (line.place(s0, deck.z), [line.along.x, line.along.y, 0.0], s1 - s0);
        lengthen_or_push(out, first, Edge::new(way, [into, [0.0, 0.0, 1.0]], kind, Met::Deck(index)));
    }
}

/// The upper or lower end of one side of a metal object; the object is on the line's left.
fn of_block(geometry: &Geometry, (index, z, down): (u32, f64, f64), line: Line, out: &mut Vec<Edge>) {
    let walls = covered(geometry, &line, (z, z), |_, _| true);
    let mut places: Vec<f64> = walls.iter().flat_map(|&(s, t)| [s, t]).collect();
    for deck in at_height(geometry, (z, z)) {
        std::iter::once(&deck.outline).chain(&deck.holes).for_each(|ring| line.meets(ring, &mut places));
    }
    let first = out.len();
    for (s0, s1, middle) in line.pieces(places) {
        let is_joint =
            is_within(&walls, middle) || at_height(geometry, (z, z)).any(|deck| is_at(deck, line.at(middle), 0.0));
        if !is_joint {
            let left = line.left();
            let faces = [[0.0, 0.0, down], [-left.x, -left.y, 0.0]];
            let way = (line.place(s0, z), [line.along.x, line.along.y, 0.0], s1 - s0);
            let edge = Edge::new(way, faces, Kind::Corner { n: 1.5 }, Met::Block(index, 0.0));
            lengthen_or_push(out, first, edge);
        }
    }
}

#[cfg(test)]
mod tests {
    use building::{Cut, Deck, OpeningKind, Panel, Resolved, SlabKind, WallKind};
    use findings::Id;

    use super::*;

    fn ring(x0: f64, y0: f64, x1: f64, y1: f64) -> Vec<Point2> {
        [(x0, y0), (x1, y0), (x1, y1), (x0, y1)].map(|(x, y)| Point2::new(x, y)).to_vec()
    }

    fn deck(outline: Vec<Point2>, z_top: f64, assembly: usize) -> Deck {
        let (slab, kind) = (Id::from_label("d"), SlabKind::Floor);
        Deck { slab, storey: 0, kind, outline, holes: Vec::new(), z_top, z_bottom: z_top - 0.2, assembly }
    }

    fn panel(a: (f64, f64), b: (f64, f64), (z0, z1): (f64, f64), assembly: usize) -> Panel {
        Panel {
            wall: Id::from_label("w"),
            storey: 0,
            kind: WallKind::Inside,
            a: Point2::new(a.0, a.1),
            b: Point2::new(b.0, b.1),
            z0,
            z1,
            thickness: 0.2,
            assembly,
            cuts: Vec::new(),
        }
    }

    /// Start, end and height of all level edges, and what is on either side.
    fn found(home: &Resolved) -> Vec<([f64; 5], Option<u32>)> {
        let geometry = Geometry::new(home);
        let mut out = Vec::new();
        all(&geometry, &Surfaces::new(&geometry), |_| true, &mut out);
        out.iter()
            .map(|e| {
                let end: Vector = std::array::from_fn(|i| e.start[i] + e.length * e.along[i]);
                let Kind::Sheet { other, .. } = e.kind else { panic!("not a sheet") };
                let round = |x: f64| (x * 1e6).round() / 1e6;
                ([e.start[0], e.start[1], end[0], end[1], e.start[2]].map(round), other)
            })
            .collect()
    }

    #[test]
    fn rims_of_a_void_but_for_the_side_with_a_wall() {
        let mut slab = deck(ring(-0.1, -0.1, 10.1, 8.1), 2.7, 0);
        slab.holes.push(ring(3.0, 4.1, 4.2, 7.0));
        // Outer walls below, at whose outer faces the slab ends, and one along half of a side of the void. At the top they
        // end at the slab.
        let corners = [(0.0, 0.0), (10.0, 0.0), (10.0, 8.0), (0.0, 8.0)];
        let mut panels: Vec<Panel> = (0..4).map(|i| panel(corners[i], corners[(i + 1) % 4], (0.0, 2.5), 0)).collect();
        (panels[0].a.x, panels[0].b.x, panels[2].a.x, panels[2].b.x) = (-0.1, 10.1, 10.1, -0.1);
        panels.push(panel((3.6, 4.0), (8.0, 4.0), (0.0, 2.5), 0));
        let home = Resolved { decks: vec![slab], panels, ..Resolved::default() };
        let lengths: f64 = found(&home).iter().map(|(e, _)| (e[2] - e[0]).hypot(e[3] - e[1])).sum();
        // 2.9 + 1.2 + 2.9 and 0.6, less the drawn gap beside the wall and at its face.
        assert!((lengths - (7.6 - 0.02)).abs() < 1e-6, "{:?}", found(&home));
        assert!(found(&home).iter().all(|(e, other)| e[4] == 2.6 && other.is_none()));
        // High above a floor a wall's foot is free, above nothing it stands on the ground.
        let wall = panel((0.0, 0.0), (4.0, 0.0), (1.0, 2.0), 0);
        let mut home = Resolved { panels: vec![wall], ..Resolved::default() };
        assert_eq!(found(&home).iter().map(|(e, _)| e[4]).collect::<Vec<_>>(), [2.0]);
        home.decks.push(deck(ring(-9.0, -9.0, 9.0, 9.0), 0.0, 0));
        let heights: Vec<f64> = found(&home).iter().map(|(e, _)| e[4]).filter(|z| *z > 0.0).collect();
        assert_eq!(heights, [1.0, 2.0]);
    }

    #[test]
    fn floors_that_meet() {
        let home = |assembly: usize, z: f64, gap: f64| {
            let decks = vec![deck(ring(0.0, 0.0, 2.0, 2.0), 0.0, 0), deck(ring(2.0 + gap, 0.0, 4.0, 2.0), z, assembly)];
            Resolved { decks, ..Resolved::default() }
        };
        let at_joint = |home: &Resolved| {
            let edges = found(home);
            edges.into_iter().filter(|(e, _)| e[0] == e[2] && (e[0] - 2.0).abs() < 0.2).collect::<Vec<_>>()
        };
        assert!(at_joint(&home(0, 0.0, 0.0)).is_empty());
        // What differs diffracts once; steps and drawn gaps are joints, wide gaps have two rims.
        assert_eq!(at_joint(&home(1, 0.0, 0.0)).iter().map(|e| e.1).collect::<Vec<_>>(), [Some(1)]);
        assert!(at_joint(&home(1, 0.02, 0.0)).is_empty());
        assert!(at_joint(&home(0, 0.0, 0.005)).is_empty());
        assert_eq!(at_joint(&home(0, 0.0, 0.1)).len(), 2);
        // Drawn twice: four rims, not eight.
        let twice = vec![deck(ring(0.0, 0.0, 2.0, 2.0), 0.0, 0); 2];
        assert_eq!(found(&Resolved { decks: twice, ..Resolved::default() }).len(), 4);
    }

    #[test]
    fn lintels_sills_and_tops_of_walls() {
        let cut = |(s0, s1), (z0, z1), assembly| Cut {
            opening: Id::from_label("o"),
            kind: OpeningKind::Window,
            s0,
            s1,
            z0,
            z1,
            assembly,
        };
        let mut wall = panel((0.0, 0.0), (6.0, 0.0), (0.0, 2.5), 0);
        wall.cuts = vec![cut((1.0, 2.0), (0.0, 2.0), None), cut((3.0, 4.0), (0.9, 2.0), Some(1))];
        // An upper floor that ends before the wall does, and a wall on it, over the void a wall that goes on.
        let decks = vec![deck(ring(0.0, -3.0, 6.0, 3.0), 0.0, 0), deck(ring(0.0, -3.0, 4.5, 3.0), 2.8, 0)];
        let above = panel((5.5, 0.05), (6.0, 0.05), (2.8, 5.0), 0);
        let home = Resolved { panels: vec![wall, above], decks, ..Resolved::default() };
        let mut of_wall: Vec<_> = found(&home).into_iter().filter(|(e, _)| e[1] == 0.0 && e[3] == 0.0).collect();
        of_wall.sort_by(|a, b| a.0[4].total_cmp(&b.0[4]).then(a.0[0].total_cmp(&b.0[0])));
        let expected = [
            ([3.0, 0.0, 4.0, 0.0, 0.9], Some(0)),
            ([1.0, 0.0, 2.0, 0.0, 2.0], None),
            ([3.0, 0.0, 4.0, 0.0, 2.0], Some(1)),
            // Free where the upper floor has ended and no wall goes on.
            ([4.5, 0.0, 5.49, 0.0, 2.5], None),
        ];
        assert_eq!(of_wall, expected);
    }
}
