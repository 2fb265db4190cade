//! Ways outside: along the facade, and in the ground between buildings.

use building::{Panel, WallKind};
use network::wiring::Way;
use units::Point2;

use super::graph::{Line, Ways};
use super::home::Home;
use super::plan::{along, crossing, left, project, shifted};
use super::rooms::{Loops, reach};

/// A way on the facade runs this far below the ceiling of its storey [m].
const BELOW_CEILING: f64 = 0.3;
/// Walls whose ends are nearer than this follow one another [m].
const SAME_CORNER: f64 = 0.5;
/// Depth of a trench [m] (common practice, no source; local codes ask for 0.3 to 0.6 m).
const TRENCH_DEPTH: f64 = 0.5;
/// Trenches offered between two buildings.
const TRENCHES: usize = 3;

/// A place where cables pass an outer wall.
struct Exit {
    panel: usize,
    /// The room inside.
    room: usize,
    spot: usize,
    at: Point2,
}

/// Lays facade and trenches. Every outer wall may be passed in the middle of its face to each room.
pub(super) fn lay(home: &Home, loops: &[Loops], ways: &mut Ways) {
    let mut exits = Vec::new();
    for (index, wall) in home.resolved.panels.iter().enumerate().filter(|(_, p)| p.kind == WallKind::Outer) {
        if let Some(exit) = exit(home, loops, ways, index, wall) {
            exits.push(exit);
        }
    }
    facade(home, &exits, ways);
    trenches(home, &exits, ways);
}

fn exit(home: &Home, loops: &[Loops], ways: &mut Ways, index: usize, wall: &Panel) -> Option<Exit> {
    let length = wall.a.distance(wall.b);
    let storey = home.resolved.storeys.get(wall.storey)?;
    let z = (storey.ceiling_z - BELOW_CEILING).min(wall.z1);
    // The middle is often a window's: the nearest place beside one is taken.
    let steps = (length / 0.2).floor() as i64;
    let s = (0..steps)
        .map(|k| length / 2.0 + 0.2 * if k % 2 == 0 { (k / 2) as f64 } else { -((k + 1) / 2) as f64 })
        .find(|s| {
            *s > 0.2 && *s < length - 0.2
                && wall.cuts.iter().all(|c| *s < c.s0 - 0.1 || *s > c.s1 + 0.1 || z < c.z0 || z > c.z1)
                && matches!(home.sides(wall, *s), [Some(r), None] | [None, Some(r)] if home.is_inside(r) && !home.is_wet(r))
        })?;
    let (room, k) = match home.sides(wall, s) {
        [Some(r), None] => (r, -1.0),
        [None, Some(r)] => (r, 1.0),
        _ => return None,
    };
    let face = along(wall.a, wall.b, s);
    let at = shifted(face, left(wall.a, wall.b), k * wall.thickness / 2.0);
    let (inside, _) = reach(ways, &loops.get(room)?.cornice, face)?;
    let spot = ways.spot(at.at_height(z));
    let line = ways.line([inside, spot], Way::Through, Some(wall.wall.clone()));
    let t = line.length / 2.0;
    line.holes.push(home.wall_hole(wall, t));
    Some(Exit { panel: index, room, spot, at })
}

/// Joins exits of walls that follow one another, and of walls above each other.
fn facade(home: &Home, exits: &[Exit], ways: &mut Ways) {
    let panels = &home.resolved.panels;
    for (i, one) in exits.iter().enumerate() {
        for other in &exits[i + 1..] {
            let (Some(a), Some(b)) = (panels.get(one.panel), panels.get(other.panel)) else { continue };
            if home.building.get(one.room) != home.building.get(other.room) {
                continue;
            }
            let corner = [a.a, a.b]
                .iter()
                .flat_map(|p| [b.a, b.b].map(|q| (p.distance(q), *p)))
                .min_by(|x, y| x.0.total_cmp(&y.0));
            let rise = (ways.spots[one.spot].z - ways.spots[other.spot].z).abs();
            let length = match corner {
                Some((near, at)) if a.storey == b.storey && near < SAME_CORNER => {
                    one.at.distance(at) + other.at.distance(at) + rise
                }
                // One wall stands over the other.
                _ if a.storey != b.storey && project(one.at, b.a, b.b).1 < SAME_CORNER => {
                    one.at.distance(other.at) + rise
                }
                _ => continue,
            };
            outdoors(ways, [one.spot, other.spot], Way::Facade, length);
        }
    }
}

fn outdoors(ways: &mut Ways, ends: [usize; 2], way: Way, length: f64) {
    ways.push(Line { ends, way, element: None, length, holes: Vec::new(), bars: Vec::new(), cuts: true, bore: None });
}

/// Trenches between buildings: the shortest few that pass no building.
fn trenches(home: &Home, exits: &[Exit], ways: &mut Ways) {
    let numbers: Vec<usize> = exits.iter().filter_map(|e| home.building.get(e.room).copied()).collect();
    let mut sorted = numbers.clone();
    sorted.sort_unstable();
    sorted.dedup();
    for (i, &one) in sorted.iter().enumerate() {
        for &other in &sorted[i + 1..] {
            let of = |n: usize| exits.iter().zip(&numbers).filter(move |(_, m)| **m == n).map(|(e, _)| e);
            let mut pairs: Vec<(f64, &Exit, &Exit)> = of(one)
                .flat_map(|a| of(other).map(move |b| (a.at.distance(b.at), a, b)))
                .filter(|(_, a, b)| is_clear(home, a, b))
                .collect();
            pairs.sort_by(|x, y| (x.0 * 1e6).round().total_cmp(&(y.0 * 1e6).round()));
            for (distance, a, b) in pairs.into_iter().take(TRENCHES) {
                let mut feet = [0; 2];
                for (foot, exit) in feet.iter_mut().zip([a, b]) {
                    let storey = home.resolved.rooms.get(exit.room).map(|r| r.storey);
                    let floor_z = storey.and_then(|s| home.resolved.storeys.get(s)).map_or(0.0, |s| s.floor_z);
                    *foot = ways.spot(exit.at.at_height(floor_z));
                    let drop = (ways.spots[exit.spot].z - floor_z).abs();
                    outdoors(ways, [exit.spot, *foot], Way::Facade, drop);
                }
                outdoors(ways, feet, Way::Buried, distance + 2.0 * TRENCH_DEPTH);
            }
        }
    }
}

/// True if the straight way between two exits passes no other outer wall.
fn is_clear(home: &Home, a: &Exit, b: &Exit) -> bool {
    let walls = home.resolved.panels.iter().enumerate().filter(|(i, _)| *i != a.panel && *i != b.panel);
    walls.filter(|(_, p)| p.kind == WallKind::Outer).all(|(_, p)| crossing(a.at, b.at, p.a, p.b).is_none())
}
