//! What can reflect: panels, decks and the faces of blocks, gathered into planes.
//!
//! A path reflects at a plane; which surface of that plane it meets, if any, is asked of the point. So a wall drawn in
//! several pieces counts as one mirror, and surfaces that lie on each other reflect once.

use units::Point3;

use crate::geometry::{Geometry, Met, edges, inside};
use crate::wall::Answer;

/// Surfaces nearer than this to a plane lie in it \[m\].
const SAME_PLANE: f64 = 1e-6;

/// A face of an object that is narrower or lower than this is no mirror \[m\].
///
/// About the first Fresnel zone halfway along 5 m at 5 GHz (0.53 m across); smaller faces scatter. A stated choice.
const SMALLEST_FACE: f64 = 0.5;

/// A vector or place in space.
pub(crate) type Vector = [f64; 3];

pub(crate) fn dot(a: Vector, b: Vector) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}

pub(crate) fn vector(p: Point3) -> Vector {
    [p.x, p.y, p.z]
}

pub(crate) fn place(v: Vector) -> Point3 {
    Point3::new(v[0], v[1], v[2])
}

/// One surface of a plane.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Member {
    Panel(u32),
    Deck(u32),
    /// An upright face of a block, by the edge of its outline.
    Side(u32, u32),
    /// A block's top or underside.
    Lid(u32, bool),
}

/// Surfaces in one plane.
#[derive(Clone, Debug)]
pub(crate) struct Plane {
    /// Unit normal; level planes have it upwards.
    pub normal: Vector,
    /// Distance of the plane from the origin along the normal.
    pub offset: f64,
    /// Members, and whether a member's own first side is the normal's.
    pub members: Vec<(Member, bool)>,
    /// Corners of all members, for tests of sides; of an upright member foot and head of its start, then of its end.
    corners: Vec<Vector>,
}

/// What a path meets at a plane.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Found {
    pub met: Met,
    /// The assembly; none for a block.
    pub assembly: Option<u32>,
    pub side: Answer,
}

impl Plane {
    /// Distance on the normal's side.
    pub(crate) fn distance(&self, p: Vector) -> f64 {
        dot(self.normal, p) - self.offset
    }

    pub(crate) fn mirror(&self, p: Vector) -> Vector {
        let twice = 2.0 * self.distance(p);
        [p[0] - twice * self.normal[0], p[1] - twice * self.normal[1], p[2] - twice * self.normal[2]]
    }

    /// The plane with none of its surfaces.
    pub(crate) fn bare(&self) -> Self {
        Self { normal: self.normal, offset: self.offset, members: Vec::new(), corners: Vec::new() }
    }

    pub(crate) fn is_level(&self) -> bool {
        self.normal[2] != 0.0
    }

    /// Corners of all members; of an upright member foot and head of its start, then of its end.
    pub(crate) fn corners(&self) -> &[Vector] {
        &self.corners
    }

    /// True if some part of the plane's surfaces lies on one side of another plane.
    pub(crate) fn reaches(&self, other: &Self, above: bool) -> bool {
        self.corners.iter().any(|&c| {
            let distance = other.distance(c);
            if above { distance > SAME_PLANE } else { distance < -SAME_PLANE }
        })
    }

    /// The surface at a point of the plane, met from the normal's side or from the other.
    pub(crate) fn at(&self, geometry: &Geometry, p: Vector, above: bool) -> Option<Found> {
        self.members.iter().find_map(|&(member, aligned)| {
            let first = above == aligned;
            let side = if first { Answer::BackFromFirst } else { Answer::BackFromLast };
            match member {
                Member::Panel(index) => {
                    let (assembly, cut) = geometry.panel_at(index, place(p))?;
                    Some(Found { met: Met::Panel(index, cut), assembly: Some(assembly), side })
                }
                Member::Deck(index) => {
                    let deck = geometry.decks.get(index as usize)?;
                    let at = place(p).plan();
                    let is_there = inside(&deck.outline, at) && !deck.holes.iter().any(|h| inside(h, at));
                    is_there.then_some(Found { met: Met::Deck(index), assembly: Some(deck.assembly), side })
                }
                Member::Side(index, edge) => {
                    let block = geometry.blocks.get(index as usize)?;
                    let (a, b) = edges(&block.outline).nth(edge as usize)?;
                    let (ex, ey) = (b.x - a.x, b.y - a.y);
                    let s = (p[0] - a.x) * ex + (p[1] - a.y) * ey;
                    let is_there = s >= 0.0 && s < ex * ex + ey * ey && p[2] >= block.z0 && p[2] < block.z1;
                    (first && is_there).then_some(Found { met: Met::Block(index, 0.0), assembly: None, side })
                }
                Member::Lid(index, _) => {
                    let block = geometry.blocks.get(index as usize)?;
                    let is_there = inside(&block.outline, place(p).plan());
                    (first && is_there).then_some(Found { met: Met::Block(index, 0.0), assembly: None, side })
                }
            }
        })
    }
}

/// All planes, and which plane each panel and deck lies in.
#[derive(Clone, Debug, Default)]
pub(crate) struct Surfaces {
    pub planes: Vec<Plane>,
    pub of_panel: Vec<u32>,
    pub of_deck: Vec<u32>,
}

impl Surfaces {
    pub(crate) fn new(geometry: &Geometry) -> Self {
        let mut out = Self::default();
        for (index, s) in geometry.segments.iter().enumerate() {
            let corners = [(s.a, s.z0), (s.a, s.z1), (s.b, s.z0), (s.b, s.z1)].map(|(p, z)| [p.x, p.y, z]);
            let plane = out.add(Member::Panel(index as u32), [s.normal.x, s.normal.y, 0.0], &corners);
            out.of_panel.push(plane);
        }
        for (index, d) in geometry.decks.iter().enumerate() {
            let corners: Vec<Vector> = d.outline.iter().map(|p| [p.x, p.y, d.z]).collect();
            let plane = out.add(Member::Deck(index as u32), [0.0, 0.0, 1.0], &corners);
            out.of_deck.push(plane);
        }
        for (index, b) in geometry.blocks.iter().enumerate() {
            let twice: f64 = edges(&b.outline).map(|(p, q)| p.x * q.y - q.x * p.y).sum();
            let turn = if twice >= 0.0 { 1.0 } else { -1.0 };
            for (edge, (p, q)) in edges(&b.outline).enumerate() {
                let length = p.distance(q);
                if length >= SMALLEST_FACE && b.z1 - b.z0 >= SMALLEST_FACE {
                    let outward = [turn * (q.y - p.y) / length, -turn * (q.x - p.x) / length, 0.0];
                    let corners = [(p, b.z0), (p, b.z1), (q, b.z0), (q, b.z1)].map(|(p, z)| [p.x, p.y, z]);
                    out.add(Member::Side(index as u32, edge as u32), outward, &corners);
                }
            }
            if (b.high.x - b.low.x).min(b.high.y - b.low.y) < SMALLEST_FACE {
                continue;
            }
            for (z, up) in [(b.z1, true), (b.z0, false)] {
                let corners: Vec<Vector> = b.outline.iter().map(|p| [p.x, p.y, z]).collect();
                let outward = [0.0, 0.0, if up { 1.0 } else { -1.0 }];
                out.add(Member::Lid(index as u32, up), outward, &corners);
            }
        }
        out
    }

    /// The largest coordinate of a corner \[m\].
    pub(crate) fn largest(&self) -> f64 {
        self.planes.iter().flat_map(|p| &p.corners).flatten().fold(0.0, |most, x| x.abs().max(most))
    }

    /// Puts a surface into its plane; the number of that plane.
    fn add(&mut self, member: Member, normal: Vector, corners: &[Vector]) -> u32 {
        let found = self.planes.iter().position(|plane| {
            plane.is_level() == (normal[2] != 0.0) && corners.iter().all(|&c| plane.distance(c).abs() < SAME_PLANE)
        });
        if let Some((index, plane)) = found.and_then(|i| Some((i, self.planes.get_mut(i)?))) {
            plane.members.push((member, dot(plane.normal, normal) > 0.0));
            plane.corners.extend_from_slice(corners);
            return index as u32;
        }
        let up = if normal[2] < 0.0 { normal.map(|x| -x) } else { normal };
        let offset = corners.first().map_or(0.0, |&c| dot(up, c));
        let members = vec![(member, dot(up, normal) > 0.0)];
        self.planes.push(Plane { normal: up, offset, members, corners: corners.to_vec() });
        self.planes.len() as u32 - 1
    }
}
