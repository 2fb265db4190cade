//! Dwellings: rooms joined by doors, open boundaries and stairs, whatever they are called.

use building::{OpeningKind, RoomUse};
use schemars::JsonSchema;
use serde::Serialize;
use units::SquareMetres;

use crate::openings::Hole;
use crate::plan::{P2, edges, segments_cross};
use crate::report::Collector;
use crate::slabs::Flight;
use crate::spaces::Space;
use crate::walls::Piece;

/// A dwelling found in a model.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct Dwelling {
    /// Its number, from 1, in the order of the model's rooms.
    pub number: usize,
    /// What the names of most of its rooms begin with, if that tells it from the others. A label only.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub label: Option<String>,
    /// Its rooms in the model's order.
    pub rooms: Vec<DwellingRoom>,
    /// Sum of the rooms' areas, as each is given.
    pub area: SquareMetres,
}

/// A room of a dwelling.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct DwellingRoom {
    /// Id in the job.
    pub id: String,
    /// Name for people.
    pub name: String,
    /// Its floor area as the model states it; that of its outline, inside the walls' faces, if it states none.
    pub area: SquareMetres,
}

/// Which dwelling each space belongs to (index), and the dwellings.
pub(crate) struct Dwellings {
    pub of_space: Vec<Option<usize>>,
    pub list: Vec<Dwelling>,
}

/// How far from a wall's face a room is looked for [m].
const REACH: f64 = 0.6;
/// Least length of an open boundary that people walk through [m]: a narrow door's clear width. Common practice.
const WALKABLE: f64 = 0.6;
/// Least height of a gap that people walk through [m]. Common practice.
const HEADROOM: f64 = 1.6;

/// The space that holds a point.
pub(crate) fn space_at(spaces: &[Space], p: P2, z: f64) -> Option<usize> {
    spaces.iter().position(|s| s.z0 - 0.3 <= z && z <= s.z1 && s.area.contains(p))
}

/// Groups spaces into dwellings.
pub(crate) fn find(
    spaces: &[Space],
    pieces: &[Piece],
    holes: &[Hole],
    flights: &[Flight],
    report: &mut Collector,
) -> Dwellings {
    let mut joints = doors(spaces, pieces, holes);
    joints.extend(open_boundaries(spaces, pieces));
    joints.extend(stairs(spaces, pieces, flights));
    let common = common_rooms(spaces, &joints);
    for c in &common {
        report.guessed(
            "common rooms",
            "without this hall the rooms fall into parts with a kitchen and a bath each, so that it belongs to none",
            spaces[*c].id.clone(),
        );
    }
    let group = components(spaces.len(), &joints, &common);
    let is_home = |g: usize| {
        (0..spaces.len()).any(|i| {
            group[i] == g
                && !common.contains(&i)
                && !matches!(
                    spaces[i].usage,
                    RoomUse::Outdoor | RoomUse::Garage | RoomUse::Utility | RoomUse::Hall | RoomUse::Stair
                )
        })
    };
    let mut order: Vec<usize> = Vec::new();
    for g in &group {
        if !order.contains(g) {
            order.push(*g);
        }
    }
    let mut homes: Vec<usize> = order.iter().copied().filter(|g| is_home(*g)).collect();
    if homes.is_empty() {
        homes = order
            .iter()
            .copied()
            .filter(|g| (0..spaces.len()).any(|i| group[i] == *g && spaces[i].usage != RoomUse::Outdoor))
            .collect();
    }
    let of_space: Vec<Option<usize>> =
        (0..spaces.len()).map(|i| homes.iter().position(|g| *g == group[i] && !common.contains(&i))).collect();
    let mut list: Vec<Dwelling> = (0..homes.len())
        .map(|d| {
            let rooms: Vec<DwellingRoom> = (0..spaces.len())
                .filter(|i| of_space[*i] == Some(d))
                .map(|i| DwellingRoom {
                    id: spaces[i].id.clone(),
                    name: spaces[i].name.clone(),
                    area: SquareMetres(spaces[i].stated.unwrap_or_else(|| spaces[i].area.size())),
                })
                .collect();
            let area = rooms.iter().map(|r| r.area.value()).sum();
            Dwelling { number: d + 1, label: label_of(&rooms), rooms, area: SquareMetres(area) }
        })
        .collect();
    // A label that two dwellings share tells nothing.
    let labels: Vec<Option<String>> = list.iter().map(|d| d.label.clone()).collect();
    for d in &mut list {
        if labels.iter().filter(|l| **l == d.label).count() > 1 {
            d.label = None;
        }
    }
    Dwellings { of_space, list }
}

/// What most of the rooms' ids begin with, up to the first digit or mark.
fn label_of(rooms: &[DwellingRoom]) -> Option<String> {
    let prefix = |id: &str| -> String {
        let letters: String = id.chars().take_while(|c| c.is_alphabetic()).collect();
        if letters.is_empty() { id.split(['.', '-', '_', ':']).next().unwrap_or("").to_owned() } else { letters }
    };
    let all: Vec<String> = rooms.iter().map(|r| prefix(&r.id)).collect();
    let best = all.iter().max_by_key(|p| (all.iter().filter(|q| q == p).count(), std::cmp::Reverse(p.len())))?;
    let count = all.iter().filter(|p| *p == best).count();
    (count * 2 > all.len() && !best.is_empty()).then(|| best.clone())
}

fn doors(spaces: &[Space], pieces: &[Piece], holes: &[Hole]) -> Vec<(usize, usize)> {
    let mut joints = Vec::new();
    for h in holes {
        let is_way = match h.kind {
            OpeningKind::Door => true,
            OpeningKind::Gap => h.z1 - h.z0 >= HEADROOM && h.s1 - h.s0 >= 0.5,
            OpeningKind::Window => false,
        };
        let Some(piece) = pieces.get(h.piece).filter(|_| is_way) else { continue };
        let s = (h.s0 + h.s1) / 2.;
        let z = h.z0 + 1.0;
        let side = |sign: f64| {
            (1..=12).find_map(|n| {
                space_at(
                    spaces,
                    piece.point(s, sign * (piece.thickness / 2. + 0.02 + REACH * f64::from(n - 1) / 12.)),
                    z,
                )
            })
        };
        if let (Some(a), Some(b)) = (side(1.), side(-1.))
            && a != b
        {
            joints.push((a, b));
        }
    }
    joints
}

/// True if a wall stands between two points at a height.
fn is_walled(pieces: &[&Piece], a: P2, b: P2, z: f64) -> bool {
    pieces
        .iter()
        .any(|w| w.z0 <= z && z <= w.z1 && segments_cross(a, b, w.point(-0.02, 0.), w.point(w.length() + 0.02, 0.)))
}

fn open_boundaries(spaces: &[Space], pieces: &[Piece]) -> Vec<(usize, usize)> {
    const STEP: f64 = 0.1;
    let mut joints = Vec::new();
    for (i, s) in spaces.iter().enumerate() {
        for (j, t) in spaces.iter().enumerate().skip(i + 1) {
            let (low, high) = (s.z0.max(t.z0), s.z1.min(t.z1));
            if high - low < HEADROOM || !near(s, t) {
                continue;
            }
            let mut open = 0.;
            let (l, h) = crate::plan::bounds(&s.area.outer);
            let walls: Vec<&Piece> = pieces.iter().filter(|w| w.is_near(l, h, 0.5)).collect();
            for (a, b) in edges(&s.area.outer) {
                let l = (b[0] - a[0]).hypot(b[1] - a[1]);
                // An anticlockwise loop has its outside on the right.
                let out = [(b[1] - a[1]) / l.max(1e-12), -(b[0] - a[0]) / l.max(1e-12)];
                let n = ((l / STEP) as usize).min(2000);
                for k in 0..n {
                    let f = (k as f64 + 0.5) / n as f64;
                    let at = |d: f64| [a[0] + (b[0] - a[0]) * f + out[0] * d, a[1] + (b[1] - a[1]) * f + out[1] * d];
                    let Some(d) = [0.02, 0.1, 0.2, 0.3].into_iter().find(|d| t.area.contains(at(*d))) else { continue };
                    if [1.0, 1.5].iter().all(|h| !is_walled(&walls, at(-0.05), at(d + 0.03), low + h)) {
                        open += l / n as f64;
                    }
                }
            }
            if open >= WALKABLE {
                joints.push((i, j));
            }
        }
    }
    joints
}

fn near(s: &Space, t: &Space) -> bool {
    let ((al, ah), (bl, bh)) = (crate::plan::bounds(&s.area.outer), crate::plan::bounds(&t.area.outer));
    (0..2).all(|k| al[k] <= bh[k] + 0.4 && bl[k] <= ah[k] + 0.4)
}

fn stairs(spaces: &[Space], pieces: &[Piece], flights: &[Flight]) -> Vec<(usize, usize)> {
    let mut joints = Vec::new();
    let pieces: Vec<&Piece> = pieces.iter().collect();
    for f in flights {
        let at_end = |p: P2, z: f64| {
            let mut close: Vec<(f64, usize)> = spaces
                .iter()
                .enumerate()
                .filter(|(_, s)| s.z0 - 0.3 <= z && z <= s.z1)
                .map(|(i, s)| (s.area.distance(p), i))
                .filter(|c| c.0 < 1.0)
                .collect();
            close.sort_by(|a, b| a.0.total_cmp(&b.0));
            close.into_iter().find(|(_, i)| !is_walled(&pieces, p, nearest(&spaces[*i], p), z)).map(|c| c.1)
        };
        if let (Some(a), Some(b)) = (at_end(f.foot, f.z0 + 1.0), at_end(f.head, f.z1 + 1.0))
            && a != b
        {
            joints.push((a, b));
        }
    }
    joints
}

/// The point of a space nearest to another point.
fn nearest(space: &Space, p: P2) -> P2 {
    if space.area.contains(p) {
        return p;
    }
    let mut best = (f64::INFINITY, p);
    for (a, b) in space.area.loops().flat_map(|l| edges(l)) {
        let (dx, dy) = (b[0] - a[0], b[1] - a[1]);
        let l2 = (dx * dx + dy * dy).max(1e-18);
        let t = (((p[0] - a[0]) * dx + (p[1] - a[1]) * dy) / l2).clamp(0., 1.);
        let q = [a[0] + t * dx, a[1] + t * dy];
        let d = (p[0] - q[0]).hypot(p[1] - q[1]);
        if d < best.0 {
            best = (d, q);
        }
    }
    best.1
}

/// Components of the graph without some rooms; a left-out room is a component of its own.
fn components(n: usize, joints: &[(usize, usize)], without: &[usize]) -> Vec<usize> {
    let mut group: Vec<usize> = (0..n).collect();
    let root = |group: &[usize], mut i: usize| {
        while group[i] != i {
            i = group[i];
        }
        i
    };
    for (a, b) in joints.iter().filter(|(a, b)| !without.contains(a) && !without.contains(b)) {
        let (a, b) = (root(&group, *a), root(&group, *b));
        group[a.max(b)] = a.min(b);
    }
    (0..n).map(|i| root(&group, i)).collect()
}

/// Halls, stairs and the like that hold separate homes together: without one of them, the rooms that it joined fall
/// into two or more parts that each have a kitchen and a bath.
fn common_rooms(spaces: &[Space], joints: &[(usize, usize)]) -> Vec<usize> {
    let mut common: Vec<usize> = Vec::new();
    loop {
        let before = components(spaces.len(), joints, &common);
        let homes = |group: &[usize], members: &[usize]| {
            let mut roots: Vec<usize> = members.iter().map(|i| group[*i]).collect();
            roots.sort_unstable();
            roots.dedup();
            let with = |r: usize, usage: RoomUse| members.iter().any(|i| group[*i] == r && spaces[*i].usage == usage);
            roots.into_iter().filter(|r| with(*r, RoomUse::Kitchen) && with(*r, RoomUse::Bath)).count()
        };
        let found = (0..spaces.len()).find(|c| {
            let is_hall = matches!(
                spaces[*c].usage,
                RoomUse::Hall | RoomUse::Stair | RoomUse::Utility | RoomUse::Garage | RoomUse::Outdoor | RoomUse::Other
            );
            if !is_hall || common.contains(c) {
                return false;
            }
            let members: Vec<usize> =
                (0..spaces.len()).filter(|i| i != c && before[*i] == before[*c] && !common.contains(i)).collect();
            let mut without = common.clone();
            without.push(*c);
            homes(&components(spaces.len(), joints, &without), &members) >= 2
        });
        match found {
            Some(c) => common.push(c),
            None => return common,
        }
    }
}
