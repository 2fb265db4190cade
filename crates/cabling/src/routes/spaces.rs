//! Level spaces that cables run in: joist floors, hung ceilings, attics, crawl spaces, open ceilings of basements.

use building::{CableSpaceKind, Deck, Panel, Resolved, SlabKind, StoreyUse, WallKind};
use findings::Id;
use network::wiring::{HoleKind, Way};
use units::Point2;

use super::fabric::{self, Members};
use super::graph::{Bar, Drilled, Line, Ways};
use super::home::Home;
use super::plan::{Frame, bounds, encloses, lerp, project};

/// Lines of a space nearer than this are one [m].
const SAME_LINE: f64 = 0.303;
/// Lines of a space are no farther apart than this [m].
const FARTHEST_LINES: f64 = 2.5;
/// A line keeps this far from the edge of its space and from walls that it cannot run over [m].
const KEEP_OFF: f64 = 0.2;
/// A line farther away than this is not reached from a place in or beside a space [m].
const REACH: f64 = 3.0;
/// Ceilings and floors this near in height belong together [m].
const SAME_LEVEL: f64 = 0.6;
/// Height of cables above an attic's or crawl space's floor, and below an open ceiling [m].
const CLEAR: f64 = 0.1;

/// A level space.
#[derive(Clone, Debug)]
pub(super) struct Space {
    /// Storeys from whose ceilings it is reached.
    pub over: Vec<usize>,
    /// Storeys from whose floors it is reached.
    pub under: Vec<usize>,
    /// `u` runs along the joists, if it has any.
    pub frame: Frame,
    pub outlines: Vec<Vec<Point2>>,
    pub holes: Vec<Vec<Point2>>,
    pub z: f64,
    /// Along the joists, and across them.
    pub ways: [Way; 2],
    pub element: Option<Id>,
    /// Members that are drilled across, with `v` of the first.
    pub joists: Option<(Members, f64)>,
    /// Walls that reach through it.
    pub walls: Vec<usize>,
    /// True if holes through its underside must be sealed.
    pub seal: bool,
    /// True if nothing hangs under it.
    pub open: bool,
    /// Thickness of what is between it and the rooms below, and the rooms above [m].
    pub skins: [f64; 2],
    /// Its lines along `u` and along `v`.
    pub lines: [Vec<usize>; 2],
}

impl Space {
    pub fn encloses(&self, p: Point2) -> bool {
        self.outlines.iter().any(|o| encloses(o, p)) && !self.holes.iter().any(|h| encloses(h, p))
    }
}

/// All level spaces of a home, without their lines.
pub(super) fn spaces(home: &Home) -> Vec<Space> {
    let resolved = home.resolved;
    let mut spaces = Vec::new();
    for storey in 0..resolved.storeys.len() {
        floors(home, storey, &mut spaces);
    }
    basements(home, &mut spaces);
    for s in &resolved.cable_spaces {
        let (Some(&first), Some(&last)) = (s.storeys.first(), s.storeys.last()) else { continue };
        let outline = vec![s.outline.clone()];
        match s.kind {
            CableSpaceKind::Attic => attic(home, last, outline, Some(s.space.clone()), &mut spaces),
            CableSpaceKind::CrawlSpace => crawl(home, first, outline, Some(s.space.clone()), &mut spaces),
            CableSpaceKind::CeilingVoid => void(home, first, last, outline, &s.space, &mut spaces),
            CableSpaceKind::Riser | CableSpaceKind::Conduit => {}
        }
    }
    for (i, s) in resolved.storeys.iter().enumerate() {
        let known = |spaces: &[Space], way: Way, at: usize| {
            spaces.iter().any(|s| s.ways[0] == way && (s.over.contains(&at) || s.under.contains(&at)))
        };
        if s.usage == StoreyUse::Attic && i > 0 && !known(&spaces, Way::Attic, i - 1) {
            attic(home, i - 1, storey_outlines(resolved, i - 1), None, &mut spaces);
        }
        if s.usage == StoreyUse::CrawlSpace && i + 1 < resolved.storeys.len() && !known(&spaces, Way::CrawlSpace, i + 1)
        {
            crawl(home, i + 1, storey_outlines(resolved, i + 1), None, &mut spaces);
        }
    }
    spaces
}

fn plain(home: &Home, ways: [Way; 2], outlines: Vec<Vec<Point2>>, z: f64) -> Space {
    Space {
        over: Vec::new(),
        under: Vec::new(),
        frame: home.frame,
        outlines,
        holes: Vec::new(),
        z,
        ways,
        element: None,
        joists: None,
        walls: Vec::new(),
        seal: false,
        open: false,
        skins: [0.0; 2],
        lines: [Vec::new(), Vec::new()],
    }
}

fn is_deck_of(deck: &Deck, storey: usize, kind: SlabKind) -> bool {
    deck.storey == storey && deck.kind == kind
}

/// Storeys whose ceilings a deck lies on.
fn below(home: &Home, deck: &Deck) -> Vec<usize> {
    let resolved = home.resolved;
    (0..resolved.storeys.len())
        .filter(|&s| (resolved.storeys[s].ceiling_z - deck.z_bottom).abs() < SAME_LEVEL)
        .filter(|&s| resolved.rooms.iter().any(|r| r.storey == s && encloses(&deck.outline, r.inside)))
        .collect()
}

/// Walls that reach through a height, or hold up what is there.
fn walls(resolved: &Resolved, which: impl Fn(&Panel) -> bool) -> Vec<usize> {
    resolved.panels.iter().enumerate().filter(|(_, p)| which(p)).map(|(i, _)| i).collect()
}

/// The joist floors of a storey: one space for all slabs with the same joists.
fn floors(home: &Home, storey: usize, spaces: &mut Vec<Space>) {
    let resolved = home.resolved;
    let mut decks: Vec<(&Deck, Members)> = resolved
        .decks
        .iter()
        .filter(|d| is_deck_of(d, storey, SlabKind::Floor))
        .filter_map(|d| Some((d, fabric::joists(resolved, d)?)))
        .collect();
    while let Some(&(first, members)) = decks.first() {
        let frame = fabric::joist_frame(resolved, first, home.frame);
        let turned = |d: &Deck| fabric::joist_frame(resolved, d, home.frame).of(Point2::new(1.0, 0.0));
        let like = |d: &Deck, m: &Members| {
            let ((a, b), (c, e)) = (turned(first), turned(d));
            (m.spacing - members.spacing).abs() < 0.02
                && (a * e - b * c).abs() < 0.02
                && (d.z_bottom - first.z_bottom).abs() < SAME_LEVEL
        };
        let (same, rest): (Vec<_>, Vec<_>) = decks.iter().copied().partition(|(d, m)| like(d, m));
        let mut over: Vec<usize> = same.iter().flat_map(|(d, _)| below(home, d)).collect();
        over.sort_unstable();
        over.dedup();
        let open = over.iter().any(|&s| resolved.storeys[s].usage == StoreyUse::Basement)
            && same.iter().all(|(d, _)| fabric::is_open_below(resolved, d));
        let outlines: Vec<Vec<Point2>> = same.iter().map(|(d, _)| d.outline.clone()).collect();
        let origin = bounds(frame, outlines.iter().flatten().copied()).map_or(0.0, |b| b[2]);
        let lining = same.iter().map(|(d, _)| fabric::lining(resolved, d)).fold(0.0, f64::max);
        let through = (first.z_top - first.z_bottom - lining - members.depth).max(0.01);
        spaces.push(Space {
            under: vec![storey],
            frame,
            holes: same.iter().flat_map(|(d, _)| d.holes.iter().cloned()).collect(),
            element: Some(first.slab.clone()),
            // Members stand a little off the edge, so that no wall's line falls on one by rounding.
            joists: Some((members, origin - 0.0137)),
            walls: walls(resolved, |p| {
                over.contains(&p.storey)
                    && p.z1 > first.z_bottom - SAME_LEVEL
                    && (home.seals(p) || fabric::studs(resolved, p).is_none())
            }),
            seal: same.iter().any(|(d, _)| resolved.fire_minutes.contains_key(&d.slab)),
            open,
            over,
            skins: [lining, through],
            ..plain(home, [Way::JoistBay, Way::AcrossJoists], outlines, first.z_bottom + lining + members.depth / 2.0)
        });
        decks = rest;
    }
}

/// Open ceilings of basements: bare joists or bare concrete.
fn basements(home: &Home, spaces: &mut Vec<Space>) {
    let resolved = home.resolved;
    for (i, storey) in resolved.storeys.iter().enumerate().filter(|(_, s)| s.usage == StoreyUse::Basement) {
        let decks: Vec<&Deck> = resolved
            .decks
            .iter()
            .filter(|d| d.kind == SlabKind::Floor && below(home, d).contains(&i))
            .filter(|d| fabric::is_open_below(resolved, d))
            .collect();
        let Some(first) = decks.first() else { continue };
        let z = storey.ceiling_z - CLEAR;
        let mut above: Vec<usize> = decks.iter().map(|d| d.storey).collect();
        above.dedup();
        spaces.push(Space {
            over: vec![i],
            under: above,
            holes: decks.iter().flat_map(|d| d.holes.iter().cloned()).collect(),
            element: Some(first.slab.clone()),
            walls: walls(resolved, |p| p.storey == i && p.z1 > z - CLEAR),
            seal: decks.iter().any(|d| resolved.fire_minutes.contains_key(&d.slab)),
            open: true,
            skins: [0.0, first.z_top - first.z_bottom],
            ..plain(home, [Way::OpenCeiling, Way::OpenCeiling], decks.iter().map(|d| d.outline.clone()).collect(), z)
        });
    }
}

fn storey_outlines(resolved: &Resolved, storey: usize) -> Vec<Vec<Point2>> {
    let over = resolved.decks.iter().filter(|d| d.storey == storey && d.kind != SlabKind::Roof);
    let outlines: Vec<Vec<Point2>> = over.map(|d| d.outline.clone()).collect();
    if outlines.is_empty() {
        resolved.rooms.iter().filter(|r| r.storey == storey).map(|r| r.outline.clone()).collect()
    } else {
        outlines
    }
}

fn attic(home: &Home, over: usize, outlines: Vec<Vec<Point2>>, element: Option<Id>, spaces: &mut Vec<Space>) {
    let resolved = home.resolved;
    let Some(storey) = resolved.storeys.get(over) else { return };
    let ceiling = resolved
        .decks
        .iter()
        .filter(|d| (d.z_bottom - storey.ceiling_z).abs() < SAME_LEVEL && d.kind != SlabKind::Roof)
        .max_by(|a, b| a.z_top.total_cmp(&b.z_top));
    let top = ceiling.map_or(storey.ceiling_z, |d| d.z_top);
    let z = top + CLEAR;
    spaces.push(Space {
        over: vec![over],
        element: element.or_else(|| ceiling.map(|d| d.slab.clone())),
        walls: walls(resolved, |p| p.z0 <= z && p.z1 >= z || p.storey == over && home.seals(p)),
        seal: ceiling.is_some_and(|d| resolved.fire_minutes.contains_key(&d.slab)),
        skins: [(top - storey.ceiling_z).max(0.0), 0.0],
        ..plain(home, [Way::Attic, Way::Attic], outlines, z)
    });
}

fn crawl(home: &Home, under: usize, outlines: Vec<Vec<Point2>>, element: Option<Id>, spaces: &mut Vec<Space>) {
    let resolved = home.resolved;
    let Some(storey) = resolved.storeys.get(under) else { return };
    let floor = resolved.decks.iter().find(|d| is_deck_of(d, under, SlabKind::Floor));
    let bottom = floor.map_or(storey.floor_z - 0.2, |d| d.z_bottom);
    let z = bottom - CLEAR;
    spaces.push(Space {
        under: vec![under],
        walls: walls(resolved, |p| p.z0 <= z && p.z1 >= z || p.storey == under && p.kind == WallKind::Party),
        seal: floor.is_some_and(|d| resolved.fire_minutes.contains_key(&d.slab)),
        skins: [0.0, storey.floor_z - bottom],
        element,
        ..plain(home, [Way::CrawlSpace, Way::CrawlSpace], outlines, z)
    });
}

/// The void above a hung ceiling, unless the space that the document means is a joist floor that is there already.
fn void(home: &Home, low: usize, high: usize, outlines: Vec<Vec<Point2>>, id: &Id, spaces: &mut Vec<Space>) {
    let resolved = home.resolved;
    if spaces.iter().any(|s| s.joists.is_some() && s.over.contains(&low)) {
        return;
    }
    let Some(storey) = resolved.storeys.get(low) else { return };
    let z = storey.ceiling_z + CLEAR / 2.0;
    spaces.push(Space {
        over: vec![low],
        under: if high > low { vec![high] } else { Vec::new() },
        element: Some(id.clone()),
        walls: walls(resolved, |p| p.storey == low && (p.z1 > storey.ceiling_z + CLEAR / 2.0 || home.seals(p))),
        skins: [0.015, resolved.storeys.get(high).map_or(0.2, |s| (s.floor_z - storey.ceiling_z).max(0.1))],
        ..plain(home, [Way::CeilingVoid, Way::CeilingVoid], outlines, z)
    });
}

/// Lays a space's lines: over walls, and between them where they are far apart.
pub(super) fn lay(home: &Home, space: &mut Space, ways: &mut Ways) {
    let Some([u0, u1, v0, v1]) = bounds(space.frame, space.outlines.iter().flatten().copied()) else { return };
    let (mut us, mut vs) = (Vec::new(), Vec::new());
    for (i, wall) in home.resolved.panels.iter().enumerate() {
        if !space.over.contains(&wall.storey) && !space.under.contains(&wall.storey) {
            continue;
        }
        let ((ua, va), (ub, vb)) = (space.frame.of(wall.a), space.frame.of(wall.b));
        let offsets: &[f64] = if space.walls.contains(&i) {
            &[wall.thickness / 2.0 + KEEP_OFF, -wall.thickness / 2.0 - KEEP_OFF]
        } else {
            &[0.0]
        };
        // Only walls that stand along the space's own directions give it lines.
        if (va - vb).abs() < 0.1 {
            vs.extend(offsets.iter().map(|o| (va + vb) / 2.0 + o));
        } else if (ua - ub).abs() < 0.1 {
            us.extend(offsets.iter().map(|o| (ua + ub) / 2.0 + o));
        }
    }
    let (us, vs) = (spread(us, u0, u1), spread(vs, v0, v1));
    let mut spots = vec![vec![None; vs.len()]; us.len()];
    for (i, &u) in us.iter().enumerate() {
        for (j, &v) in vs.iter().enumerate() {
            let at = space.frame.at((u, v));
            if space.encloses(at) {
                spots[i][j] = Some(ways.spot(at.at_height(space.z)));
            }
        }
    }
    for i in 0..us.len() {
        for j in 0..vs.len() {
            let Some(here) = spots[i][j] else { continue };
            for (direction, next) in
                [(0, spots.get(i + 1).and_then(|c| c[j])), (1, spots[i].get(j + 1).copied().flatten())]
            {
                let Some(next) = next else { continue };
                let middle = lerp(ways.spots[here].plan(), ways.spots[next].plan(), 0.5);
                if space.encloses(middle) {
                    let line = stretch(home, space, ways, [here, next], direction);
                    space.lines[direction].push(line);
                }
            }
        }
    }
}

/// Coordinates of lines within bounds: none nearer than [`SAME_LINE`], none farther apart than [`FARTHEST_LINES`].
fn spread(mut at: Vec<f64>, low: f64, high: f64) -> Vec<f64> {
    let (low, high) = (low + KEEP_OFF.min((high - low) / 3.0), high - KEEP_OFF.min((high - low) / 3.0));
    at.iter_mut().for_each(|x| *x = x.clamp(low, high));
    at.extend([low, high]);
    at.sort_by(f64::total_cmp);
    let mut lines: Vec<f64> = Vec::new();
    for x in at {
        let Some(&last) = lines.last() else {
            lines.push(x);
            continue;
        };
        if x - last < SAME_LINE {
            continue;
        }
        let parts = ((x - last) / FARTHEST_LINES - 1e-6).ceil().max(1.0) as usize;
        lines.extend((1..=parts).map(|k| last + (x - last) * k as f64 / parts as f64));
    }
    lines
}

/// A line in a space between two spots of it, along `u` (0) or along `v` (1), with the holes it needs.
pub(super) fn stretch(home: &Home, space: &Space, ways: &mut Ways, ends: [usize; 2], direction: usize) -> usize {
    let [a, b] = ends.map(|e| ways.spots.get(e).copied().unwrap_or_default());
    let (mut holes, mut bars) = home.walls_met(a.plan(), b.plan(), &space.walls);
    if let (1, Some((members, origin)), Some(slab)) = (direction, space.joists, &space.element) {
        let (va, vb) = (space.frame.of(a.plan()).1, space.frame.of(b.plan()).1);
        let number = |v: f64| ((v - origin) / members.spacing).floor() as i64;
        let (low, high) = (number(va).min(number(vb)), number(va).max(number(vb)));
        let minutes = home.terms.hole(HoleKind::Joist, false, false);
        holes.extend((low + 1..=high).map(|n| Drilled {
            t: (origin + n as f64 * members.spacing - va).abs(),
            kind: HoleKind::Joist,
            element: slab.clone(),
            depth: members.width,
            seal: false,
            minutes,
        }));
        holes.sort_by(|x, y| x.t.total_cmp(&y.t));
    }
    bars.extend(home.zone_bars(a, b));
    let middle = lerp(a.plan(), b.plan(), 0.5);
    let pipes = !matches!(space.ways[0], Way::OpenCeiling | Way::Attic | Way::CrawlSpace);
    if pipes {
        let rooms = home.resolved.rooms.iter().enumerate();
        let wet = rooms.filter(|(i, r)| space.under.contains(&r.storey) && home.is_wet(*i) && r.contains(middle));
        bars.extend(wet.map(|(_, r)| Bar::WetRoom(r.id.clone())));
    }
    let length = a.plan().distance(b.plan());
    let way = space.ways[direction];
    ways.push(Line { ends, way, element: space.element.clone(), length, holes, bars, cuts: false, bore: None });
    ways.lines.len() - 1
}

/// Joins a spot in a space to the nearest of its lines along `u` and along `v`; true if any is near.
pub(super) fn attach(home: &Home, space: &Space, ways: &mut Ways, spot: usize) -> bool {
    let Some(at) = ways.spots.get(spot).map(|p| p.plan()) else { return false };
    let mut any = false;
    for direction in 0..2 {
        let nearest = space.lines[direction]
            .iter()
            .map(|&line| {
                let [a, b] = ways.lines[line].ends.map(|e| ways.spots[e].plan());
                let (t, distance) = project(at, a, b);
                (line, t, distance)
            })
            // Rounded, so that of two lines equally near the first is taken however the home lies.
            .min_by(|x, y| ((x.2 * 1e6).round()).total_cmp(&(y.2 * 1e6).round()));
        let Some((line, t, distance)) = nearest.filter(|n| n.2 <= REACH) else { continue };
        any = true;
        let stop = ways.stop(line, t);
        if distance < 1e-6 {
            ways.line([spot, stop], space.ways[direction], space.element.clone());
            continue;
        }
        // Off the end of a line the way has both directions: it is counted across, the dearer one.
        stretch(home, space, ways, [spot, stop], 1 - direction);
    }
    any
}
