//! Ways up and down inside walls: stud bays of framed walls, grooves in solid ones.

use building::{OutletKind, Panel};
use network::wiring::{HoleKind, Way};
use units::Point2;

use super::fabric;
use super::graph::{Drilled, Ways};
use super::home::Home;
use super::plan::along;
use super::spaces::{Space, attach};

/// Pitch at which grooves in solid walls are shared [m] (common practice, no source).
const GROOVE_PITCH: f64 = 0.5;
/// A bay's middle keeps this far from openings and the wall's ends [m]: jambs are doubled.
const KEEP_OFF: f64 = 0.12;
/// Plates at the head of a wall are doubled, those at the foot single [m] (North American practice, from memory).
const PLATES: [f64; 2] = [0.076, 0.038];
/// Walls lower than this carry nothing to the ceiling [m].
const FULL_HEIGHT: f64 = 0.2;
/// Distance between ways up that are offered along a wall [m].
const RISER_EVERY: f64 = 3.0;
/// A mains outlet's cable rises beside its box: half the width of the box [m] (common practice, no source).
const HALF_BOX: f64 = 0.04;

/// A bay or groove.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Bay {
    pub panel: usize,
    pub number: i64,
}

/// A bay that is in the graph.
#[derive(Clone, Copy, Debug)]
pub(super) struct Built {
    /// Its line, from foot to head.
    pub line: usize,
    pub at: Point2,
}

/// Where bays begin, and how wide they are [m].
fn rhythm(home: &Home, wall: &Panel) -> (f64, Way) {
    fabric::studs(home.resolved, wall).map_or((GROOVE_PITCH, Way::Chase), |m| (m.spacing, Way::StudBay))
}

/// The middle of a bay, from the wall's end `a` [m].
fn middle(home: &Home, wall: &Panel, number: i64) -> f64 {
    let (pitch, _) = rhythm(home, wall);
    // Bays are counted from the wall's middle: both of its ends are alike.
    wall.a.distance(wall.b) / 2.0 + (number as f64 + 0.5) * pitch
}

/// True if a bay is free from foot to head and far enough from mains cables.
fn is_free(home: &Home, wall: &Panel, s: f64) -> bool {
    let length = wall.a.distance(wall.b);
    let clear = |c: &building::Cut| s < c.s0 - KEEP_OFF || s > c.s1 + KEEP_OFF;
    if s < KEEP_OFF || s > length - KEEP_OFF || !wall.cuts.iter().all(clear) {
        return false;
    }
    let apart = home.terms.separation.0.max(0.0) + HALF_BOX;
    !home.resolved.outlets.iter().any(|o| {
        if o.kind != OutletKind::Mains || o.at.z < wall.z0 || o.at.z > wall.z1 {
            return false;
        }
        let (along, off) = super::plan::project(o.at.plan(), wall.a, wall.b);
        off < wall.thickness / 2.0 + 0.1 && (along - s).abs() < apart
    })
}

/// The free bay nearest to a place along a wall, if there is one within reach.
pub(super) fn nearest(home: &Home, panel: usize, s: f64, reach: f64) -> Option<Bay> {
    let wall = home.resolved.panels.get(panel)?;
    let (pitch, _) = rhythm(home, wall);
    let number = ((s - wall.a.distance(wall.b) / 2.0) / pitch - 0.5).round() as i64;
    let most = (reach / pitch).ceil() as i64;
    (-most..=most)
        .map(|k| number + k)
        .map(|n| (n, middle(home, wall, n)))
        .filter(|(_, at)| (at - s).abs() <= reach && is_free(home, wall, *at))
        .min_by(|x, y| ((x.1 - s).abs() * 1e6).round().total_cmp(&((y.1 - s).abs() * 1e6).round()))
        .map(|(number, _)| Bay { panel, number })
}

/// Bays of framed walls that make good ways up: away from rooms with water, every few metres.
pub(super) fn risers(home: &Home) -> Vec<Bay> {
    let mut bays = Vec::new();
    for (panel, wall) in home.resolved.panels.iter().enumerate() {
        if fabric::studs(home.resolved, wall).is_none() {
            continue;
        }
        let length = wall.a.distance(wall.b);
        let parts = (length / RISER_EVERY).ceil().max(1.0) as usize;
        let mut last = None;
        for k in 0..parts {
            let s = length * (k as f64 + 0.5) / parts as f64;
            let Some(bay) = nearest(home, panel, s, RISER_EVERY / 2.0) else { continue };
            let wet = home.sides(wall, middle(home, wall, bay.number)).iter().flatten().any(|&r| home.is_wet(r));
            if !wet && last != Some(bay) {
                bays.push(bay);
                last = Some(bay);
            }
        }
    }
    bays
}

/// Puts a bay into the graph and joins it to the spaces above and below. `both` asks for both; then nothing is built
/// where one of them is missing.
pub(super) fn build(home: &Home, spaces: &[Space], ways: &mut Ways, bay: Bay, both: bool) -> Option<Built> {
    let wall = home.resolved.panels.get(bay.panel)?;
    let storey = home.resolved.storeys.get(wall.storey)?;
    let at = along(wall.a, wall.b, middle(home, wall, bay.number));
    let full = wall.z1 > storey.ceiling_z - FULL_HEIGHT;
    let near = |space: &&Space| full && reaches(space, at);
    let above: Vec<&Space> = spaces.iter().filter(|s| s.over.contains(&wall.storey)).filter(near).collect();
    let below: Vec<&Space> = spaces.iter().filter(|s| s.under.contains(&wall.storey)).filter(near).collect();
    if both && (above.is_empty() || below.is_empty()) {
        return None;
    }
    let (_, mut way) = rhythm(home, wall);
    // On the walls of an unlined basement cables are simply fixed.
    if way == Way::Chase && above.iter().any(|s| s.ways[0] == Way::OpenCeiling) {
        way = Way::OpenCeiling;
    }
    let (foot, head) = (ways.spot(at.at_height(wall.z0)), ways.spot(at.at_height(wall.z1)));
    let bars = home.zone_bars(ways.spots[foot], ways.spots[head]);
    let line = ways.line([foot, head], way, Some(wall.wall.clone()));
    line.cuts = way != Way::OpenCeiling;
    line.bars = bars;
    let line = ways.lines.len() - 1;
    for (spaces, end, side) in [(above, head, 0), (below, foot, 1)] {
        for space in spaces {
            let spot = ways.spot(at.at_height(space.z));
            let framed = way == Way::StudBay;
            // Into an open ceiling from below there is nothing to drill; into any other space there is its skin.
            let open = space.open && side == 0 && space.ways[0] == Way::OpenCeiling;
            let kind = if framed { HoleKind::Plate } else { HoleKind::Floor };
            let solid = !framed && side == 1;
            let minutes = home.terms.hole(kind, solid, space.seal);
            let slab = space.element.clone().unwrap_or_else(|| wall.wall.clone());
            let depth =
                if framed { PLATES[side] + if side == 1 { space.skins[1] } else { 0.0 } } else { space.skins[side] };
            let bar = space.element.as_ref().filter(|_| !framed).and_then(|s| home.slab_bar(s));
            let joint = ways.line([end, spot], way, Some(wall.wall.clone()));
            if !open || framed {
                let element = if framed { wall.wall.clone() } else { slab };
                joint.holes.push(Drilled { t: 0.0, kind, element, depth, seal: space.seal, minutes });
            }
            joint.bars.extend(bar);
            attach(home, space, ways, spot);
        }
    }
    Some(Built { line, at })
}

/// Outer walls stand on the edge of a floor, sometimes just outside its outline.
fn reaches(space: &Space, at: Point2) -> bool {
    space.encloses(at)
        || space
            .outlines
            .iter()
            .flat_map(|o| super::plan::edges(o))
            .any(|(a, b)| super::plan::project(at, a, b).1 < EDGE_REACH)
}

/// A wall this near to a space's edge reaches it [m]: half of a thick outer wall.
const EDGE_REACH: f64 = 0.35;
