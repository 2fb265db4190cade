//! From a wish to laid-out storeys: frames and arrangements are drawn and the cheapest is kept.

use super::fabric::{BASEMENT, Fabric, thickness};
use super::frame::Frame;
use super::layout::{Layout, Level, attempt};
use super::programme::{self, Storey};
use super::random::Random;
use super::sizes::Kind;
use super::{Wish, judge};

/// Frames that are drawn before a wish is held not to fit.
pub(super) const MOST_FRAMES: usize = 600;
/// Frames that work before the best of them is taken.
const ENOUGH: usize = 8;
/// Frames of which none works before each is tried harder.
const HARD: usize = 60;
/// Arrangements that are drawn for a storey of a frame; those without one that works; and those that work.
const ATTEMPTS: (usize, usize, usize) = (28, 12, 6);
/// Share of a storey that is neither room nor inside wall, with and without a stair: common practice, no source.
const HALL: (f64, f64) = (0.18, 0.13);

/// A home laid out, without walls.
#[derive(Clone, Debug)]
pub(super) struct Scheme {
    pub frame: Frame,
    /// From below.
    pub storeys: Vec<Floor>,
    pub fabric: Fabric,
    /// Floor to ceiling [m].
    pub height: f64,
}

/// A storey of a scheme.
#[derive(Clone, Debug)]
pub(super) struct Floor {
    pub level: Level,
    pub programme: Storey,
    pub layout: Layout,
}

/// The best of the homes that are drawn for a wish; none if nothing works within so many frames. What works within few
/// works within many.
pub(super) fn search(wish: &Wish, frames: usize) -> Option<Scheme> {
    let mut random = Random::new(wish.seed);
    let fabric = Fabric::of(wish.construction, &mut random);
    // Heights in whole centimetres.
    let height = (random.between(fabric.height.0, fabric.height.1) * 100.0).round() / 100.0;
    let rise = height + thickness(fabric.floor);
    let mut best: Option<(f64, Scheme)> = None;
    let mut worked = 0;
    for drawn in 0..frames {
        // What is hard to fit is tried harder.
        let effort = if worked == 0 && drawn > HARD { 4 } else { 1 };
        let programme = programme::storeys(wish, &mut random);
        let Some(frame) = Frame::draw(wish, &fabric, rise, &mut random) else { continue };
        let limit = best.as_ref().map_or(f64::INFINITY, |b| b.0);
        let Some((cost, storeys)) = lay_out(wish, &frame, &programme, (limit, effort), &mut random) else { continue };
        worked += 1;
        if cost < limit && !storeys.is_empty() {
            best = Some((cost, Scheme { frame, storeys, fabric, height }));
        }
        if worked >= ENOUGH {
            break;
        }
    }
    best.map(|b| b.1)
}

fn lay_out(
    wish: &Wish,
    frame: &Frame,
    programme: &[Storey],
    (limit, effort): (f64, usize),
    random: &mut Random,
) -> Option<(f64, Vec<Floor>)> {
    let count = programme.len();
    let mut floors: Vec<Floor> = Vec::with_capacity(count + 1);
    let mut total = 0.0;
    for (i, storey) in programme.iter().enumerate() {
        let level = Level { entrance: i == 0, up: i + 1 < count, arrive: i > 0 || wish.basement, dark: false };
        let layout = best_of(frame, &storey.rooms, level, (floors.last().map(|f| &f.layout), effort), random)?;
        total += layout.cost;
        if total > limit {
            // It works, and is no better: nothing is kept of it.
            return Some((total, Vec::new()));
        }
        floors.push(Floor { level, programme: storey.clone(), layout });
    }
    if wish.basement {
        let half = thickness(BASEMENT) / 2.0;
        let mut below = frame.clone();
        below.half_sides = [half; 4];
        let level = Level { entrance: false, up: true, arrive: false, dark: true };
        let storey = programme::basement(wish, random);
        let layout = best_of(&below, &storey.rooms, level, (None, effort), random)?;
        total += 0.3 * layout.cost;
        floors.insert(0, Floor { level, programme: storey, layout });
    }
    Some((total, floors))
}

fn best_of(
    frame: &Frame,
    rooms: &[Kind],
    level: Level,
    (below, effort): (Option<&Layout>, usize),
    random: &mut Random,
) -> Option<Layout> {
    let areas = areas(frame, rooms);
    let mut best: Option<Layout> = None;
    let mut worked = 0;
    for tried in 0..ATTEMPTS.0 * effort {
        if worked >= ATTEMPTS.2 || (worked == 0 && tried >= ATTEMPTS.1 * effort) {
            break;
        }
        let Some(mut layout) = attempt(frame, rooms, &areas, level, random) else { continue };
        worked += 1;
        layout.cost = judge::cost(frame, &layout, &areas, level, below);
        if best.as_ref().is_none_or(|b| layout.cost < b.cost) {
            best = Some(layout);
        }
    }
    best
}

/// What each room of a storey should have [m²]: its usual area, larger or smaller as the storey is; small rooms grow less.
fn areas(frame: &Frame, rooms: &[Kind]) -> Vec<f64> {
    let hall = if frame.stair.is_some() { HALL.0 } else { HALL.1 };
    let net = frame.inner_area() * (1.0 - hall - 0.04);
    let (mut fixed, mut free) = (0.0, 0.0);
    let is_small =
        |k: &Kind| matches!(k, Kind::Bath | Kind::Shower | Kind::Utility | Kind::Store | Kind::Dressing | Kind::Plant);
    for kind in rooms {
        if is_small(kind) { fixed += kind.size().usual } else { free += kind.size().usual }
    }
    let scale = net / (fixed + free).max(1.0);
    let small = scale.powf(0.6).min(1.6);
    let large = if free > 0.0 { ((net - small * fixed) / free).max(0.3) } else { scale };
    let small = if free > 0.0 { small } else { scale };
    rooms
        .iter()
        .map(|k| {
            let size = k.size();
            (size.usual * if is_small(k) { small } else { large }).clamp(size.least, size.most)
        })
        .collect()
}
