//! Ways on the surface: raceway round each room under the ceiling and along the skirting, through walls and floors, and
//! under doors.

use std::collections::BTreeMap;

use building::{Cut, OpeningKind, Panel, SlabKind};
use network::wiring::{HoleKind, Way};
use units::{Point2, Point3};

use super::fabric;
use super::graph::{Drilled, Ways};
use super::home::Home;
use super::plan::{along, edges, encloses, left, project, shifted};

/// Height of a raceway above the floor, and below the ceiling [m].
const SKIRTING: f64 = 0.08;
const CORNICE: f64 = 0.05;
/// Openings whose lower edge is below this break the skirting [m].
const THRESHOLD: f64 = 0.15;
/// Places along a wall that are tried for a hole are this far apart [m].
const TRIED_EVERY: f64 = 0.4;
/// A raceway along a wall longer than this has a hole at both ends of it [m].
const TWO_HOLES: f64 = 1.5;
/// Most holes through a floor that are offered between two rooms.
const FLOOR_HOLES: usize = 3;
/// Holes through a floor stand this far from the wall [m].
const FROM_WALL: f64 = 0.06;
/// Ceilings and floors this near in height belong together [m].
const SAME_LEVEL: f64 = 0.8;

/// Lines round a room: along the skirting, and under the ceiling.
#[derive(Clone, Debug, Default)]
pub(super) struct Loops {
    pub skirting: Vec<usize>,
    pub cornice: Vec<usize>,
}

/// Raceways of all rooms.
pub(super) fn lay(home: &Home, ways: &mut Ways) -> Vec<Loops> {
    let mut jambs: BTreeMap<(usize, usize), Vec<Jambs>> = BTreeMap::new();
    let loops: Vec<Loops> = (0..home.resolved.rooms.len()).map(|room| round(home, ways, room, &mut jambs)).collect();
    doors(home, ways, &jambs);
    walls(home, ways, &loops);
    open_boundaries(home, ways, &loops);
    floors(home, ways, &loops);
    stairs(home, ways, &loops);
    loops
}

/// Spots on both sides of an opening, on one room's side of its wall.
struct Jambs {
    room: usize,
    spots: [usize; 2],
}

/// Heights of a room's two raceways [m].
fn heights(home: &Home, room: usize) -> Option<[f64; 2]> {
    let storey = home.resolved.storeys.get(home.resolved.rooms.get(room)?.storey)?;
    Some([storey.floor_z + SKIRTING, storey.ceiling_z - CORNICE])
}

/// The room's two loops, joined at its corners. The skirting is broken at openings that reach the floor.
fn round(home: &Home, ways: &mut Ways, room: usize, jambs: &mut BTreeMap<(usize, usize), Vec<Jambs>>) -> Loops {
    let mut loops = Loops::default();
    let (Some(r), Some([low, high])) = (home.resolved.rooms.get(room), heights(home, room)) else { return loops };
    if !home.is_inside(room) || home.is_wet(room) || r.outline.len() < 3 {
        return loops;
    }
    let corners: Vec<[usize; 2]> =
        r.outline.iter().map(|p| [ways.spot(p.at_height(low)), ways.spot(p.at_height(high))]).collect();
    for &[foot, head] in &corners {
        ways.line([foot, head], Way::Raceway, None).bars = home.zone_bars(ways.spots[foot], ways.spots[head]);
    }
    for (i, (a, b)) in edges(&r.outline).enumerate() {
        let next = (i + 1) % corners.len();
        let beside: Vec<(usize, &Panel)> = home
            .resolved
            .panels
            .iter()
            .enumerate()
            .filter(|(_, p)| p.storey == r.storey && runs_beside(p, a, b))
            .collect();
        let wall = beside.first().map(|(_, p)| p.wall.clone());
        let bars = home.zone_bars(a.at_height(high), b.at_height(high));
        ways.line([corners[i][1], corners[next][1]], Way::Raceway, wall.clone()).bars = bars;
        loops.cornice.push(ways.lines.len() - 1);
        let mut breaks: Vec<(f64, f64, usize, usize)> = Vec::new();
        for (index, p) in &beside {
            for (c, cut) in p.cuts.iter().enumerate().filter(|(_, c)| c.z0 < low - SKIRTING + THRESHOLD) {
                let (s, t) = (project(along(p.a, p.b, cut.s0), a, b).0, project(along(p.a, p.b, cut.s1), a, b).0);
                if (s - t).abs() > 0.05 {
                    breaks.push((s.min(t), s.max(t), *index, c));
                }
            }
        }
        breaks.sort_by(|x, y| x.0.total_cmp(&y.0));
        let (mut at, mut spot) = (0.0, corners[i][0]);
        for (s0, s1, panel, cut) in breaks {
            if s0 < at {
                continue;
            }
            let pair = [s0, s1].map(|s| ways.spot(along(a, b, s).at_height(low)));
            skirting(home, ways, [spot, pair[0]], wall.clone(), &mut loops);
            // Jambs are listed as the wall runs, not as the room does.
            let runs = home.resolved.panels.get(panel).is_some_and(|p| project(p.a, a, b).0 <= project(p.b, a, b).0);
            let spots = if runs { pair } else { [pair[1], pair[0]] };
            jambs.entry((panel, cut)).or_default().push(Jambs { room, spots });
            (at, spot) = (s1, pair[1]);
        }
        skirting(home, ways, [spot, corners[next][0]], wall, &mut loops);
    }
    loops
}

fn skirting(home: &Home, ways: &mut Ways, ends: [usize; 2], wall: Option<findings::Id>, loops: &mut Loops) {
    let bars = home.zone_bars(ways.spots[ends[0]], ways.spots[ends[1]]);
    ways.line(ends, Way::Raceway, wall).bars = bars;
    loops.skirting.push(ways.lines.len() - 1);
}

/// True if an edge of a room's outline is a face of a wall.
pub(super) fn runs_beside(wall: &Panel, a: Point2, b: Point2) -> bool {
    let n = left(wall.a, wall.b);
    let off = |p: Point2| (p.x - wall.a.x) * n.x + (p.y - wall.a.y) * n.y;
    let (x, y) = (off(a), off(b));
    if (x - y).abs() > 0.02 * a.distance(b).max(1.0) || x.abs() > wall.thickness / 2.0 + 0.06 {
        return false;
    }
    let length = wall.a.distance(wall.b);
    let s = |p: Point2| ((p.x - wall.a.x) * (wall.b.x - wall.a.x) + (p.y - wall.a.y) * (wall.b.y - wall.a.y)) / length;
    let (s, t) = (s(a).min(s(b)), s(a).max(s(b)));
    t.min(length) - s.max(0.0) > 0.05
}

/// Past doors: across the threshold in a room, and under the leaf into the next.
fn doors(home: &Home, ways: &mut Ways, jambs: &BTreeMap<(usize, usize), Vec<Jambs>>) {
    for ((panel, cut), sides) in jambs {
        let Some(wall) = home.resolved.panels.get(*panel) else { continue };
        let Some(cut) = wall.cuts.get(*cut) else { continue };
        if cut.kind == OpeningKind::Window {
            continue;
        }
        let way = if cut.kind == OpeningKind::Gap { Way::Raceway } else { Way::UnderDoor };
        for side in sides {
            ways.line(side.spots, Way::UnderDoor, Some(wall.wall.clone()));
        }
        if let [one, other] = sides.as_slice()
            && one.room != other.room
            && home.party_bar(wall, along(wall.a, wall.b, (cut.s0 + cut.s1) / 2.0)).is_none()
        {
            for jamb in 0..2 {
                ways.line([one.spots[jamb], other.spots[jamb]], way, Some(wall.wall.clone()));
            }
        }
    }
}

/// The place on a loop nearest to a place in plan: its spot, and how far it is [m].
pub(super) fn reach(ways: &mut Ways, lines: &[usize], at: Point2) -> Option<(usize, f64)> {
    let (line, t, distance) = lines
        .iter()
        .map(|&line| {
            let [a, b] = ways.lines[line].ends.map(|e| ways.spots[e].plan());
            let (t, distance) = project(at, a, b);
            (line, t, distance)
        })
        .min_by(|x, y| (x.2 * 1e6).round().total_cmp(&(y.2 * 1e6).round()))?;
    Some((ways.stop(line, t), distance))
}

fn is_shut(cuts: &[Cut], s: f64, z: f64) -> bool {
    cuts.iter().all(|c| s < c.s0 - 0.05 || s > c.s1 + 0.05 || z < c.z0 || z > c.z1)
}

/// Holes through walls between the raceways of two rooms: under the ceiling at both ends of what they share, and in the
/// middle along the skirting.
fn walls(home: &Home, ways: &mut Ways, loops: &[Loops]) {
    for wall in &home.resolved.panels {
        let length = wall.a.distance(wall.b);
        let tries = (length / TRIED_EVERY).floor() as usize;
        let mut shared: BTreeMap<(usize, usize), Vec<f64>> = BTreeMap::new();
        for k in 0..tries {
            let s = length / 2.0 + (k as f64 - (tries as f64 - 1.0) / 2.0) * TRIED_EVERY;
            if let [Some(one), Some(other)] = home.sides(wall, s)
                && one != other
                && home.is_inside(one)
                && home.is_inside(other)
            {
                shared.entry((one, other)).or_default().push(s);
            }
        }
        for ((one, other), places) in shared {
            let Some([low, high]) = heights(home, one) else { continue };
            let (Some(&first), Some(&last)) = (places.first(), places.last()) else { continue };
            let middle = places[places.len() / 2];
            let tops = if last - first > TWO_HOLES { vec![first, last] } else { vec![middle] };
            for (s, z) in tops.into_iter().map(|s| (s, high)).chain([(middle, low)]) {
                let top = z > low;
                if z > wall.z1 || !is_shut(&wall.cuts, s, z) {
                    continue;
                }
                let at = along(wall.a, wall.b, s);
                let lines = |room: usize| loops.get(room).map(|l| if top { &l.cornice } else { &l.skirting });
                let Some((from, _)) = lines(one).and_then(|l| reach(ways, l, at)) else { continue };
                let Some((to, _)) = lines(other).and_then(|l| reach(ways, l, at)) else { continue };
                let bar = home.party_bar(wall, at);
                let mut bars = home.zone_bars(ways.spots[from], ways.spots[to]);
                bars.extend(bar);
                let line = ways.line([from, to], Way::Through, Some(wall.wall.clone()));
                line.holes.push(home.wall_hole(wall, line.length / 2.0));
                line.bars = bars;
            }
        }
    }
}

/// Rooms with no wall between: their raceways meet.
fn open_boundaries(home: &Home, ways: &mut Ways, loops: &[Loops]) {
    for &(i, j) in &home.resolved.passages {
        let (Some(one), Some(other)) = (home.resolved.rooms.get(i), home.resolved.rooms.get(j)) else { continue };
        if one.storey != other.storey {
            continue;
        }
        let corners = [(one, j), (other, i)];
        for (from, to) in corners {
            for &p in &from.outline {
                for top in [false, true] {
                    let pick = |room: usize| loops.get(room).map(|l| if top { &l.cornice } else { &l.skirting });
                    let Some((there, distance)) = pick(to).and_then(|l| reach(ways, l, p)) else { continue };
                    if distance > 0.02 {
                        continue;
                    }
                    let here = if to == j { i } else { j };
                    if let Some((here, _)) = pick(here).and_then(|l| reach(ways, l, p)) {
                        ways.line([here, there], Way::Raceway, None);
                    }
                }
            }
        }
    }
}

/// Holes through floors in the corners of rooms.
fn floors(home: &Home, ways: &mut Ways, loops: &[Loops]) {
    let resolved = home.resolved;
    for (upper, room) in resolved.rooms.iter().enumerate() {
        let Some(floor_z) = resolved.storeys.get(room.storey).map(|s| s.floor_z) else { continue };
        let mut offered: BTreeMap<usize, Vec<(f64, Point3)>> = BTreeMap::new();
        for &corner in &room.outline {
            let inward = shifted(corner, toward(corner, room.inside), FROM_WALL * 2.0_f64.sqrt());
            let under = resolved.rooms.iter().position(|r| {
                r.storey != room.storey
                    && resolved
                        .storeys
                        .get(r.storey)
                        .is_some_and(|s| s.ceiling_z <= floor_z + 0.1 && floor_z - s.ceiling_z < SAME_LEVEL)
                    && r.contains(inward)
            });
            if let Some(under) = under {
                let near = edges(&resolved.rooms[under].outline).map(|(a, b)| project(inward, a, b).1);
                offered.entry(under).or_default().push((near.fold(f64::INFINITY, f64::min), inward.at_height(floor_z)));
            }
        }
        for (under, mut places) in offered {
            places.sort_by(|a, b| (a.0 * 1e6).round().total_cmp(&(b.0 * 1e6).round()));
            for (_, at) in places.into_iter().take(FLOOR_HOLES) {
                let (Some(above), Some(below)) = (loops.get(upper), loops.get(under)) else { continue };
                let Some((from, _)) = reach(ways, &below.cornice, at.plan()) else { continue };
                let Some((to, _)) = reach(ways, &above.skirting, at.plan()) else { continue };
                through_floor(home, ways, [from, to], at);
            }
        }
    }
}

fn toward(from: Point2, to: Point2) -> Point2 {
    let length = from.distance(to).max(f64::MIN_POSITIVE);
    Point2::new((to.x - from.x) / length, (to.y - from.y) / length)
}

/// From a raceway under a ceiling up through the floor there, to one along the skirting above.
fn through_floor(home: &Home, ways: &mut Ways, [from, to]: [usize; 2], at: Point3) {
    let [low, high] = [from, to].map(|s| ways.spots[s]);
    let passed: Vec<&building::Deck> = home
        .resolved
        .decks
        .iter()
        .filter(|d| d.kind != SlabKind::Roof && d.z_top > low.z - 0.1 && d.z_bottom < high.z + 0.1)
        .filter(|d| encloses(&d.outline, at.plan()))
        .collect();
    // A storey without floors in the model is taken to have one.
    let well = passed.iter().any(|d| d.holes.iter().any(|h| encloses(h, at.plan())));
    let floor = passed
        .iter()
        .filter(|d| !d.holes.iter().any(|h| encloses(h, at.plan())))
        .max_by(|a, b| (a.z_top - a.z_bottom).total_cmp(&(b.z_top - b.z_bottom)));
    // Below the floor the way runs along the ceiling from the wall to the hole.
    let spot = ways.spot(at.plan().at_height(low.z));
    ways.line([from, spot], Way::Raceway, None).bars = home.zone_bars(low, ways.spots[spot]);
    let bars = home.zone_bars(ways.spots[spot], high);
    let line = ways.line([spot, to], Way::Through, floor.map(|d| d.slab.clone()));
    line.bars = bars;
    if floor.is_none() && well {
        line.way = Way::Raceway;
        return;
    }
    let element = floor.map_or_else(|| findings::Id::from_label("floor"), |d| d.slab.clone());
    let seal = floor.is_some_and(|d| home.resolved.fire_minutes.contains_key(&d.slab));
    let solid = floor.is_none_or(|d| fabric::is_solid(home.resolved, d.assembly));
    let depth = floor.map_or(line.length, |d| d.z_top - d.z_bottom);
    let minutes = home.terms.hole(HoleKind::Floor, solid, seal);
    line.bars.extend(home.slab_bar(&element));
    line.holes.push(Drilled { t: line.length / 2.0, kind: HoleKind::Floor, element, depth, seal, minutes });
}

/// Up a stairwell in raceway.
fn stairs(home: &Home, ways: &mut Ways, loops: &[Loops]) {
    for &(i, j) in &home.resolved.passages {
        let (Some(a), Some(b)) = (home.resolved.rooms.get(i), home.resolved.rooms.get(j)) else { continue };
        if a.storey == b.storey {
            continue;
        }
        let (low, high) = if a.storey < b.storey { (i, j) } else { (j, i) };
        let (Some(below), Some(above)) = (loops.get(low), loops.get(high)) else { continue };
        let nearest = home.resolved.rooms[high]
            .outline
            .iter()
            .filter_map(|p| {
                let near = edges(&home.resolved.rooms[low].outline).map(|(a, b)| project(*p, a, b).1);
                Some(((near.min_by(f64::total_cmp)? * 1e6).round(), *p))
            })
            .min_by(|x, y| x.0.total_cmp(&y.0));
        let Some((_, at)) = nearest else { continue };
        if let (Some((from, _)), Some((to, _))) = (reach(ways, &below.cornice, at), reach(ways, &above.skirting, at)) {
            ways.line([from, to], Way::Raceway, None);
        }
    }
}
