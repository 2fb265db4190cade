//! Cable lengths from rectilinear paths. An estimate: it knows walls and storeys, but neither joists nor ducts.

use building::{Deck, OpeningKind, Panel, Resolved, SlabKind, StoreyUse, WallKind};
use findings::Id;
use household::Household;
use network::{Design, Link};
use units::{Point2, Point3};

use crate::terms::Access;

/// Loop left at the end that is nearer to the line [m] (common practice, no source).
const PANEL_LOOP: f64 = 3.0;
/// Loop left behind the outlet [m] (common practice, no source: 0.3 to 0.5 m).
const OUTLET_LOOP: f64 = 0.4;
/// Height of an outlet above the floor [m] (common practice, no source).
const OUTLET_HEIGHT: f64 = 0.4;
/// Farthest place from the plan's origin that is believed [m]; NaN is not within it.
const FARTHEST: f64 = 100_000.0;
/// A wall whose head is lower than this below the ceiling is passed over, not through [m].
const HEAD_GAP: f64 = 0.1;
/// Thickness from which a single unframed layer makes a wall solid to work in [m] (common practice, no source).
const SOLID_LAYER: f64 = 0.06;
/// Relative permittivity from which a layer is solid rather than air or insulation, at 1 GHz: ITU-R P.2040-4
/// Table 3 has wood lowest of the building materials at 1.99 and ceiling board at 1.48.
const SOLID_PERMITTIVITY: f64 = 1.8;

/// How a cable runs, by estimate.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Run {
    /// Length with loops, without waste [m].
    pub length: f64,
    /// Inside walls that it passes.
    pub walls: u32,
    /// Walls to a neighbour that it passes; each needs a fire seal.
    pub party_walls: u32,
    /// Floors that it passes; each needs a fire seal.
    pub floors: u32,
    /// How hard it is to get in.
    pub access: Access,
}

/// One end of a cable.
struct End {
    at: Point3,
    storey: Option<usize>,
}

/// The run of a link, or what is missing to find it.
pub(crate) fn run(link: &Link, design: &Design, household: &Household, home: &Resolved) -> Result<Run, Vec<String>> {
    match (end(&link.from, design, household, home), end(&link.to, design, household, home)) {
        (Ok(from), Ok(to)) => Ok(between(&from, &to, home)),
        (from, to) => Err([from.err(), to.err()].into_iter().flatten().collect()),
    }
}

/// The place of a link's end: a placed part, or the outlet at a device.
fn end(id: &Id, design: &Design, household: &Household, home: &Resolved) -> Result<End, String> {
    let storey_of = |room: &Id| home.rooms.iter().find(|r| &r.id == room).map(|r| r.storey);
    if let Some(part) = design.part(id) {
        if ![part.at.x, part.at.y, part.at.z].iter().all(|c| c.abs() <= FARTHEST) {
            return Err(format!("a place of part `{id}` within {FARTHEST} m"));
        }
        let storey = storey_of(&part.room).or_else(|| storey_at(home, part.at.z));
        return Ok(End { at: part.at, storey: storey.filter(|s| *s < home.storeys.len()) });
    }
    let Some(device) = household.devices.iter().find(|d| &d.id == id) else {
        return Err(format!("a placed part or a device with the id `{id}`"));
    };
    let room = home.rooms.iter().find(|r| r.id == device.room);
    let storey = room.and_then(|r| Some((r, r.storey, home.storeys.get(r.storey)?)));
    let Some((room, index, storey)) = storey else {
        return Err(format!("room `{}` of device `{id}`", device.room));
    };
    let at = device.at.unwrap_or(room.inside);
    if ![at.x, at.y].iter().all(|c| c.abs() <= FARTHEST) {
        return Err(format!("a place of device `{id}` within {FARTHEST} m"));
    }
    Ok(End { at: at.at_height(storey.floor_z + OUTLET_HEIGHT), storey: Some(index) })
}

/// The storey whose floor is the highest one not above a height.
fn storey_at(home: &Resolved, z: f64) -> Option<usize> {
    // A part may stand on the floor itself; 0.05 m forgives rounding.
    home.storeys.iter().rposition(|s| s.floor_z <= z + 0.05)
}

/// Up to the ceiling of the lower storey, across, and up or down to the other end.
fn between(a: &End, b: &End, home: &Resolved) -> Run {
    let loops = PANEL_LOOP + OUTLET_LOOP;
    let across = (a.at.x - b.at.x).abs() + (a.at.y - b.at.y).abs();
    let (Some(storey_a), Some(storey_b)) = (a.storey, b.storey) else {
        let rise = (a.at.z - b.at.z).abs();
        return Run { length: across + rise + loops, walls: 0, party_walls: 0, floors: 0, access: Access::Finished };
    };
    let (low, high, top_end) = if storey_a <= storey_b { (storey_a, storey_b, b) } else { (storey_b, storey_a, a) };
    let level = home.storeys[low].ceiling_z;
    let rise = (a.at.z - level).abs() + (b.at.z - level).abs();
    let walls = walls_crossed(a.at.plan(), b.at.plan(), low, level, home);
    let floors = (low + 1..=high).filter(|s| passes_floor(*s, top_end.at.plan(), home)).count() as u32;
    let party_walls = walls.iter().filter(|w| w.kind == WallKind::Party).count() as u32;
    let above = home.storeys.get(low + 1).map(|s| s.usage);
    let access = if walls.iter().any(|w| is_solid(w, home)) {
        Access::Solid
    } else if above == Some(StoreyUse::Attic) || home.storeys[low].usage == StoreyUse::CrawlSpace {
        Access::AtticOrCrawlSpace
    } else {
        Access::Finished
    };
    Run { length: across + rise + loops, walls: walls.len() as u32 - party_walls, party_walls, floors, access }
}

/// Walls that the better of the two rectilinear paths passes at the ceiling's height: first the one that stays inside
/// the home's own walls more, then the one with fewer walls, then the one along x first.
fn walls_crossed(a: Point2, b: Point2, storey: usize, level: f64, home: &Resolved) -> Vec<&Panel> {
    let path = |corner: Point2| -> Vec<&Panel> {
        home.panels
            .iter()
            .filter(|p| p.storey == storey && p.z0 < level && p.z1 > level - HEAD_GAP)
            .flat_map(|p| {
                let times = usize::from(passes(a, corner, p, level)) + usize::from(passes(corner, b, p, level));
                std::iter::repeat_n(p, times)
            })
            .collect()
    };
    let x_first = path(Point2::new(b.x, a.y));
    let y_first = path(Point2::new(a.x, b.y));
    let rank = |walls: &[&Panel]| (walls.iter().filter(|w| w.kind != WallKind::Inside).count(), walls.len());
    if rank(&y_first) < rank(&x_first) { y_first } else { x_first }
}

/// True if a leg along x or along y passes the wall's centre line where the wall stands.
fn passes(from: Point2, to: Point2, wall: &Panel, level: f64) -> bool {
    let along_x = from.y == to.y;
    // Across is the leg's fixed coordinate, along is the one that changes.
    let split = |p: Point2| if along_x { (p.y, p.x) } else { (p.x, p.y) };
    let ((fixed, start), (_, stop)) = (split(from), split(to));
    let ((across_a, along_a), (across_b, along_b)) = (split(wall.a), split(wall.b));
    // Half open, so that a leg through the joint of two walls in line counts once; a wall parallel to the leg never.
    if (across_a > fixed) == (across_b > fixed) {
        return false;
    }
    let share = (fixed - across_a) / (across_b - across_a);
    let hit = along_a + share * (along_b - along_a);
    if !(hit > start.min(stop) && hit < start.max(stop)) {
        return false;
    }
    let s = share * wall.a.distance(wall.b);
    // A gap up to the ceiling leaves nothing to drill.
    !wall.cuts.iter().any(|c| c.kind == OpeningKind::Gap && c.z1 > level - HEAD_GAP && c.s0 < s && s < c.s1)
}

/// True if a rising cable passes a floor of the storey. A storey without floors in the model is taken to have one.
fn passes_floor(storey: usize, at: Point2, home: &Resolved) -> bool {
    let mut floors = home.decks.iter().filter(|d| d.storey == storey && d.kind == SlabKind::Floor).peekable();
    floors.peek().is_none() || floors.any(|deck| lies_in(deck, at))
}

fn lies_in(deck: &Deck, at: Point2) -> bool {
    encloses(&deck.outline, at) && !deck.holes.iter().any(|hole| encloses(hole, at))
}

/// Even-odd rule.
fn encloses(outline: &[Point2], at: Point2) -> bool {
    let mut inside = false;
    for (i, p) in outline.iter().enumerate() {
        let q = outline[(i + 1) % outline.len()];
        if (p.y > at.y) != (q.y > at.y) && at.x < p.x + (at.y - p.y) / (q.y - p.y) * (q.x - p.x) {
            inside = !inside;
        }
    }
    inside
}

/// True if one unframed layer is thick and dense.
fn is_solid(wall: &Panel, home: &Resolved) -> bool {
    home.assemblies.get(wall.assembly).is_some_and(|assembly| {
        assembly.layers.iter().any(|layer| {
            let dense = match layer.material.electrical {
                building::Electrical::Dielectric { a, .. } => a >= SOLID_PERMITTIVITY,
                building::Electrical::Sheet { .. } | building::Electrical::Mesh { .. } => false,
                building::Electrical::Metal => true,
            };
            layer.framing.is_none() && layer.thickness >= SOLID_LAYER && dense
        })
    })
}
