//! The home as maps see it: that of one scene, or two scenes laid over each other.
//!
//! Of two scenes everything that is the same in both, to the last bit, is there once, and the rest is marked with the scene
//! that it is of. Lists keep the order that they have in each scene, since of things in one place the first counts.

use std::sync::Arc;

use rayon::prelude::*;

use crate::geometry::{Geometry, Plate, Prism};
use crate::scene::{self, Scene};
use crate::surface::{Member, Plane, Surfaces};
use crate::wall::Answer;

use super::lanes::Column;
use super::sheet::{self, Sheet, Stuff};

/// Marks what is of the scene that a map is already known of, and what of the scene that it is asked of.
pub(super) const OLD: u8 = 1;
/// See [`OLD`].
pub(super) const NEW: u8 = 2;

/// Most pairs that are looked at to find what two lists share in order; beyond, nothing in their middle is shared.
const MOST_PAIRS: usize = 4_000_000;

/// A home, or two.
pub(super) struct Stage<'a> {
    /// The marks of what is in every scene of it.
    pub all: u8,
    /// Planes; members only of level ones.
    pub surfaces: Surfaces,
    /// Decks and blocks; no walls.
    pub geometry: Geometry,
    pub sheets: Vec<Sheet>,
    /// Sheets of each plane.
    of_plane: Vec<Vec<u32>>,
    /// Sheets that are not in both scenes.
    pub changed: Vec<u32>,
    /// Marks of decks and of blocks.
    pub decks: Vec<u8>,
    pub blocks: Vec<u8>,
    /// True if decks, or tops and undersides of blocks, are not the same in both scenes.
    pub has_changed_levels: bool,
    assemblies: Vec<&'a Arc<scene::Stuff>>,
    /// Whose each block is.
    bodies: Vec<(&'a Scene, u32)>,
    /// `[carrier]`: columns of tables, by [`Self::column`].
    pub columns: Vec<Vec<&'a Column>>,
}

/// Where things of one scene are on the stage.
#[derive(Default)]
struct Numbers {
    planes: Vec<u32>,
    assemblies: Vec<u32>,
    blocks: Vec<u32>,
}

impl<'a> Stage<'a> {
    /// Lays a scene over an older one at the same carriers.
    pub(super) fn new(old: Option<&'a Scene>, new: &'a Scene) -> Self {
        let mut stage = Self {
            all: if old.is_some() { OLD | NEW } else { NEW },
            surfaces: Surfaces::default(),
            geometry: Geometry::default(),
            sheets: Vec::new(),
            of_plane: Vec::new(),
            changed: Vec::new(),
            decks: Vec::new(),
            blocks: Vec::new(),
            has_changed_levels: false,
            assemblies: Vec::new(),
            bodies: Vec::new(),
            columns: Vec::new(),
        };
        let mut numbers = [Numbers::default(), Numbers::default()];
        let scenes = [old, Some(new)];
        for (scene, numbers) in scenes.iter().zip(&mut numbers) {
            let Some(scene) = scene else { continue };
            numbers.assemblies = scene.stuff.iter().map(|a| stage.assembly(a)).collect();
            let mut taken = vec![false; stage.surfaces.planes.len()];
            numbers.planes = scene.surfaces().planes.iter().map(|p| stage.plane(p, &mut taken)).collect();
        }
        stage.add_decks(&scenes, &numbers);
        stage.add_blocks(&scenes, &mut numbers);
        stage.add_sheets(&scenes, &numbers);
        // Each makes its tables on one thread, and does not wait in it for others.
        stage.assemblies.par_iter().for_each(|assembly| {
            assembly.columns();
        });
        for carrier in 0..new.carriers.len() {
            let tables = stage.assemblies.iter().flat_map(|a| a.columns().get(carrier).into_iter().flatten());
            let faces = stage.bodies.iter().filter_map(|(scene, block)| scene.face_column(*block, carrier));
            stage.columns.push(tables.chain(faces).collect());
        }
        stage
    }

    /// The sheets of a plane.
    pub(super) fn of_plane(&self, plane: usize) -> impl Iterator<Item = (u32, &Sheet)> {
        let of_plane = self.of_plane.get(plane).into_iter().flatten();
        of_plane.filter_map(|&index| Some((index, self.sheets.get(index as usize)?)))
    }

    /// Which column of the tables an answer is in.
    pub(super) fn column(&self, stuff: Stuff, answer: Answer) -> u32 {
        let kind = match answer {
            Answer::Through => 0,
            Answer::BackFromFirst => 1,
            Answer::BackFromLast => 2,
        };
        match stuff {
            Stuff::Assembly(index) => index * 3 + kind,
            Stuff::Block(index) => self.assemblies.len() as u32 * 3 + index,
        }
    }

    /// Power transmission through a block along a way through it \[m\].
    pub(super) fn through_block(&self, block: u32, carrier: usize, length: f64) -> f64 {
        self.bodies.get(block as usize).map_or(1.0, |(scene, own)| scene.through_block(*own, carrier, length))
    }

    fn assembly(&mut self, assembly: &'a Arc<scene::Stuff>) -> u32 {
        let is_same = |known: &Arc<scene::Stuff>| Arc::ptr_eq(known, assembly) || known.content() == assembly.content();
        let found = self.assemblies.iter().position(|known| is_same(known));
        found.unwrap_or_else(|| {
            self.assemblies.push(assembly);
            self.assemblies.len() - 1
        }) as u32
    }

    /// Each plane counts once for a scene.
    fn plane(&mut self, plane: &Plane, taken: &mut [bool]) -> u32 {
        let key = |p: &Plane| [p.normal[0], p.normal[1], p.normal[2], p.offset].map(f64::to_bits);
        let is_free = |&index: &usize| !taken[index] && key(&self.surfaces.planes[index]) == key(plane);
        if let Some(index) = (0..taken.len()).find(is_free) {
            taken[index] = true;
            return index as u32;
        }
        self.surfaces.planes.push(plane.bare());
        self.of_plane.push(Vec::new());
        self.surfaces.planes.len() as u32 - 1
    }

    fn add_decks(&mut self, scenes: &[Option<&'a Scene>; 2], numbers: &[Numbers; 2]) {
        let [old, new] = [0, 1].map(|i| {
            let decks = scenes[i].map_or(&[][..], |s| &s.geometry.decks);
            let of = |(index, deck): (usize, &Plate)| {
                let member = member(scenes[i], Member::Deck(index as u32));
                let plane = member.map(|(plane, aligned)| (numbers[i].plane(plane), aligned));
                let deck = Plate { assembly: numbers[i].assembly(deck.assembly), ..deck.clone() };
                (deck, plane)
            };
            decks.iter().enumerate().map(of).collect::<Vec<_>>()
        });
        let key = |(deck, plane): &(Plate, Option<(u32, bool)>)| {
            let rings = std::iter::once(&deck.outline).chain(&deck.holes);
            let points: Vec<Vec<[u64; 2]>> = rings.map(|ring| bits(ring)).collect();
            (deck.z.to_bits(), points, deck.assembly, *plane)
        };
        for (deck, marks) in merge(old, new, key) {
            let index = self.decks.len() as u32;
            self.has_changed_levels |= marks != self.all;
            let (deck, plane) = deck;
            let (plane, aligned) = plane.unwrap_or((u32::MAX, true));
            if let Some(plane) = self.surfaces.planes.get_mut(plane as usize) {
                plane.members.push((Member::Deck(index), aligned));
            }
            self.surfaces.of_deck.push(plane);
            self.geometry.decks.push(deck);
            self.decks.push(marks);
        }
    }

    fn add_blocks(&mut self, scenes: &[Option<&'a Scene>; 2], numbers: &mut [Numbers; 2]) {
        struct Body<'a> {
            prism: Prism,
            /// Planes of top and underside, if they are mirrors.
            lids: [Option<(u32, bool)>; 2],
            of: (&'a Scene, u32),
        }
        let [old, new] = [0, 1].map(|i| {
            let Some(scene) = scenes[i] else { return Vec::new() };
            let of = |(index, prism): (u32, &Prism)| {
                let lid = |up| member(Some(scene), Member::Lid(index, up));
                let lids = [true, false].map(|up| lid(up).map(|(plane, aligned)| (numbers[i].plane(plane), aligned)));
                Body { prism: prism.clone(), lids, of: (scene, index) }
            };
            (0..).zip(&scene.geometry.blocks).map(of).collect()
        });
        let key = |body: &Body<'_>| {
            let heights = [body.prism.z0, body.prism.z1].map(f64::to_bits);
            (bits(&body.prism.outline), heights, body.lids, body.of.0.body_content(body.of.1 as usize))
        };
        for (body, marks) in merge(old, new, key) {
            let index = self.blocks.len() as u32;
            for (numbers, mark) in numbers.iter_mut().zip([OLD, NEW]) {
                if marks & mark != 0 {
                    numbers.blocks.push(index);
                }
            }
            for (lid, up) in body.lids.into_iter().zip([true, false]) {
                let Some((plane, aligned)) = lid else { continue };
                self.has_changed_levels |= marks != self.all;
                if let Some(plane) = self.surfaces.planes.get_mut(plane as usize) {
                    plane.members.push((Member::Lid(index, up), aligned));
                }
            }
            self.geometry.blocks.push(body.prism);
            self.bodies.push(body.of);
            self.blocks.push(marks);
        }
    }

    fn add_sheets(&mut self, scenes: &[Option<&'a Scene>; 2], numbers: &[Numbers; 2]) {
        let [old, new] = [0, 1].map(|i| {
            let Some(scene) = scenes[i] else { return Vec::new() };
            let mut sheets = sheet::sheets(&scene.geometry, scene.surfaces());
            for sheet in &mut sheets {
                sheet.plane = numbers[i].plane(sheet.plane);
                sheet.stuff = match sheet.stuff {
                    Stuff::Assembly(index) => Stuff::Assembly(numbers[i].assembly(index)),
                    Stuff::Block(index) => Stuff::Block(number(&numbers[i].blocks, index)),
                };
            }
            sheets
        });
        let key = |s: &Sheet| {
            let places = [s.a.x, s.a.y, s.b.x, s.b.y, s.z0, s.z1].map(f64::to_bits);
            (places, s.stuff, s.plane, s.aligned)
        };
        for (mut sheet, marks) in merge(old, new, key) {
            let index = self.sheets.len() as u32;
            sheet.marks = marks;
            if marks != self.all {
                self.changed.push(index);
            }
            if let Some(of_plane) = self.of_plane.get_mut(sheet.plane as usize) {
                of_plane.push(index);
            }
            self.sheets.push(sheet);
        }
    }
}

impl Numbers {
    fn plane(&self, index: u32) -> u32 {
        number(&self.planes, index)
    }

    fn assembly(&self, index: u32) -> u32 {
        number(&self.assemblies, index)
    }
}

fn number(numbers: &[u32], index: u32) -> u32 {
    numbers.get(index as usize).copied().unwrap_or(u32::MAX)
}

pub(super) fn bits(points: &[units::Point2]) -> Vec<[u64; 2]> {
    points.iter().map(|p| [p.x.to_bits(), p.y.to_bits()]).collect()
}

fn marks(of_old: bool, of_new: bool) -> u8 {
    let mark = |is_of: bool, mark: u8| if is_of { mark } else { 0 };
    mark(of_old, OLD) | mark(of_new, NEW)
}

/// The plane of a surface, and whether the surface's first side is the plane's.
fn member(scene: Option<&Scene>, member: Member) -> Option<(u32, bool)> {
    let planes = &scene?.surfaces().planes;
    (0..).zip(planes).find_map(|(index, plane)| {
        plane.members.iter().find(|(known, _)| *known == member).map(|(_, aligned)| (index, *aligned))
    })
}

/// Two lists in one, in which the order of both is kept, each thing with its marks.
fn merge<T, K: PartialEq>(old: Vec<T>, new: Vec<T>, key: impl Fn(&T) -> K) -> Vec<(T, u8)> {
    let keys = |list: &[T]| list.iter().map(&key).collect::<Vec<K>>();
    let pairs = in_order(&keys(&old), &keys(&new));
    let (mut old, mut new) = (old.into_iter(), new.into_iter());
    let mut out = Vec::with_capacity(pairs.len());
    for (of_old, of_new) in pairs {
        let (from_old, from_new) = (of_old.and_then(|_| old.next()), of_new.and_then(|_| new.next()));
        let marks = marks(from_old.is_some(), from_new.is_some());
        out.extend(from_new.or(from_old).map(|thing| (thing, marks)));
    }
    out
}

/// Which of two lists' things are the same, so that the order of both is kept: their longest common subsequence.
pub(super) fn in_order<K: PartialEq>(old: &[K], new: &[K]) -> Vec<(Option<usize>, Option<usize>)> {
    let start = old.iter().zip(new).take_while(|(a, b)| a == b).count();
    let (old_rest, new_rest) = (&old[start..], &new[start..]);
    let end = old_rest.iter().rev().zip(new_rest.iter().rev()).take_while(|(a, b)| a == b).count();
    let (n, m) = (old_rest.len() - end, new_rest.len() - end);
    let mut out: Vec<_> = (0..start).map(|i| (Some(i), Some(i))).collect();
    let (mut i, mut j) = (0, 0);
    if n.saturating_mul(m) <= MOST_PAIRS {
        // Length of the longest for what is left of both lists.
        let mut longest = vec![0u32; (n + 1) * (m + 1)];
        let at = |i: usize, j: usize| i * (m + 1) + j;
        for i in (0..n).rev() {
            for j in (0..m).rev() {
                longest[at(i, j)] = if old_rest[i] == new_rest[j] {
                    longest[at(i + 1, j + 1)] + 1
                } else {
                    longest[at(i + 1, j)].max(longest[at(i, j + 1)])
                };
            }
        }
        while i < n && j < m {
            if old_rest[i] == new_rest[j] {
                out.push((Some(start + i), Some(start + j)));
                (i, j) = (i + 1, j + 1);
            } else if longest[at(i + 1, j)] >= longest[at(i, j + 1)] {
                out.push((Some(start + i), None));
                i += 1;
            } else {
                out.push((None, Some(start + j)));
                j += 1;
            }
        }
    }
    out.extend((i..n).map(|i| (Some(start + i), None)));
    out.extend((j..m).map(|j| (None, Some(start + j))));
    out.extend((0..end).map(|k| (Some(start + n + k), Some(start + m + k))));
    out
}

#[cfg(test)]
mod tests {
    use super::in_order;

    fn check(old: &str, new: &str, expected: &str) {
        let (a, b): (Vec<char>, Vec<char>) = (old.chars().collect(), new.chars().collect());
        let of = |pair: &(Option<usize>, Option<usize>)| match *pair {
            (Some(i), Some(j)) => {
                assert_eq!(a[i], b[j]);
                a[i].to_string()
            }
            (Some(i), None) => format!("-{}", a[i]),
            (None, j) => format!("+{}", j.map_or('?', |j| b[j])),
        };
        assert_eq!(in_order(&a, &b).iter().map(of).collect::<String>(), expected);
    }

    #[test]
    fn lists_keep_their_order() {
        check("abcd", "abcd", "abcd");
        check("abcd", "abxd", "ab-c+xd");
        check("abcd", "bcda", "-abcd+a");
        check("", "ab", "+a+b");
        check("ab", "", "-a-b");
        check("aa", "a", "a-a");
    }
}
