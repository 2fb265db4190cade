//! Upright rectangles, each of one build-up: panels cut along their openings, and the faces of blocks.

use units::Point2;

use crate::geometry::{Geometry, edges};
use crate::surface::{Member, Surfaces};
use crate::wall::Answer;

/// What a sheet is made of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Stuff {
    Assembly(u32),
    /// A face of a block: it reflects, and passing it is a matter of the block.
    Block(u32),
}

/// An upright rectangle.
#[derive(Clone, Copy, Debug)]
pub(super) struct Sheet {
    pub a: Point2,
    pub b: Point2,
    pub z0: f64,
    pub z1: f64,
    pub stuff: Stuff,
    /// Its plane.
    pub plane: u32,
    /// True if its own first side is that of the plane's normal.
    pub aligned: bool,
    /// Which scenes it is in, see [`super::stage`].
    pub marks: u8,
}

impl Sheet {
    /// Which of its sides is met from the plane's normal's side or from the other; none if it does not reflect there.
    pub(super) fn side(&self, above: bool) -> Option<Answer> {
        let first = above == self.aligned;
        match (self.stuff, first) {
            (Stuff::Assembly(_) | Stuff::Block(_), true) => Some(Answer::BackFromFirst),
            (Stuff::Assembly(_), false) => Some(Answer::BackFromLast),
            (Stuff::Block(_), false) => None,
        }
    }
}

/// All sheets, panels first, in the order of the home.
pub(super) fn sheets(geometry: &Geometry, surfaces: &Surfaces) -> Vec<Sheet> {
    // Not in the order of planes: which plane comes first depends on the walls that happen to lie in it.
    let mut upright = Vec::new();
    for (plane, of) in (0..).zip(&surfaces.planes) {
        for &(member, aligned) in &of.members {
            match member {
                Member::Panel(index) => upright.push(((0, index, 0), plane, aligned)),
                Member::Side(index, edge) => upright.push(((1, index, edge), plane, aligned)),
                Member::Deck(_) | Member::Lid(..) => {}
            }
        }
    }
    upright.sort_unstable();
    let mut out = Vec::new();
    for ((is_block, index, edge), plane, aligned) in upright {
        if is_block == 0 {
            panel(geometry, index, plane, aligned, &mut out);
            continue;
        }
        let Some(block) = geometry.blocks.get(index as usize) else { continue };
        let Some((a, b)) = edges(&block.outline).nth(edge as usize) else { continue };
        let (z0, z1, stuff) = (block.z0, block.z1, Stuff::Block(index));
        out.push(Sheet { a, b, z0, z1, stuff, plane, aligned, marks: 0 });
    }
    out
}

/// Cuts a panel along its openings.
fn panel(geometry: &Geometry, index: u32, plane: u32, aligned: bool, out: &mut Vec<Sheet>) {
    let Some(segment) = geometry.segments.get(index as usize) else { return };
    let cuts = geometry.cuts.get(index as usize).map_or(&[][..], |cuts| cuts);
    let length = segment.length;
    let along = breaks(cuts.iter().flat_map(|c| [c.s0, c.s1]), 0.0, length);
    let point = |s: f64| {
        // The ends themselves, so that panels that meet share them to the last bit.
        if s <= 0.0 {
            segment.a
        } else if s >= length {
            segment.b
        } else {
            let share = s / length;
            Point2::new(
                segment.a.x + share * (segment.b.x - segment.a.x),
                segment.a.y + share * (segment.b.y - segment.a.y),
            )
        }
    };
    for (&s0, &s1) in along.iter().zip(along.iter().skip(1)) {
        let middle = 0.5 * (s0 + s1);
        let here = cuts.iter().filter(|c| middle >= c.s0 && middle < c.s1);
        let upwards = breaks(here.flat_map(|c| [c.z0, c.z1]), segment.z0, segment.z1);
        let first = out.len();
        for (&z0, &z1) in upwards.iter().zip(upwards.iter().skip(1)) {
            let Some((assembly, _)) = geometry.filling(index as usize, segment, middle, 0.5 * (z0 + z1)) else {
                continue;
            };
            let stuff = Stuff::Assembly(assembly);
            match out.get_mut(first..).and_then(|column| column.last_mut()) {
                Some(below) if below.stuff == stuff && below.z1 == z0 => below.z1 = z1,
                _ => out.push(Sheet { a: point(s0), b: point(s1), z0, z1, stuff, plane, aligned, marks: 0 }),
            }
        }
    }
}

/// Places where something changes, from one end to the other.
fn breaks(values: impl Iterator<Item = f64>, low: f64, high: f64) -> Vec<f64> {
    let mut out: Vec<f64> = values.filter(|&v| v > low && v < high).chain([low, high]).collect();
    out.sort_by(f64::total_cmp);
    out.dedup();
    out
}
