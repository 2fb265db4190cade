//! Diffracted paths of a map that is brought up to date.
//!
//! A path by way of an edge is followed anew if the edge is not in both scenes, or if seen from above something that is
//! not may be on one of its two legs.

use findings::Progress;
use rayon::prelude::*;
use units::Point2;

use crate::antenna::Site;
use crate::detour::Detour;
use crate::edge::{Edge, Kind};
use crate::grid::Grid;
use crate::scene::Scene;
use crate::surface::place;

use super::MapError;
use super::stage::{bits, in_order};
use super::sum::times;
use super::sweep::Powers;

/// What is nearer than this touches \[m\].
const TOUCH: f64 = 1e-5;

/// An edge of the older, the newer or both scenes.
struct Pair<'a> {
    /// With its scene; minus one to take away, one to add.
    edges: Vec<(&'a Scene, &'a Edge, i32)>,
    /// Its two ends, seen from above.
    ends: [Point2; 2],
    /// True if all paths by way of it are to be followed.
    is_changed: bool,
}

impl Scene {
    /// Adds what the paths by way of edges bring more than they did in another scene at the same carriers.
    pub(super) fn diffract_again(
        &self,
        old: &Self,
        (site, grid): (&Site, &Grid),
        powers: &mut [Powers],
        (progress, done, total): (&dyn Progress, u64, u64),
    ) -> Result<(), MapError> {
        let changed = changed(old, self);
        let from = site.at.plan();
        let touches = |leg: &[Point2]| changed.iter().any(|outline| !is_apart(outline, leg));
        let mut pairs = pairs(old, self);
        for pair in &mut pairs {
            pair.is_changed |= pair.edges.len() < 2 || touches(&[from, pair.ends[0], pair.ends[1]]);
        }
        powers.par_iter_mut().enumerate().try_for_each_init(Detour::default, |detour, (row, powers)| {
            progress.step("path gain", done, total)?;
            let centre = |column: usize| grid.centre(row, column);
            let corners = (centre(0), centre(grid.columns().saturating_sub(1)));
            let [left, right] = [corners.0.plan(), corners.1.plan()];
            for pair in &pairs {
                let [start, end] = pair.ends;
                if !pair.is_changed && !touches(&[start, end, left, right]) {
                    continue;
                }
                for &(scene, edge, sign) in &pair.edges {
                    detour.aim(scene, edge, site.at, corners);
                    for column in 0..grid.columns() {
                        let to = centre(column);
                        if !pair.is_changed && !touches(&[start, end, to.plan()]) {
                            continue;
                        }
                        detour.powers(scene, edge, (site, to), |carrier, gain| {
                            if let Some(sum) = powers.sums.get_mut(carrier).and_then(|s| s.get_mut(column)) {
                                *sum = sum.wrapping_add(times(gain, sign));
                            }
                        });
                    }
                }
            }
            Ok(())
        })
    }
}

/// The edges of two scenes.
fn pairs<'a>(old: &'a Scene, new: &'a Scene) -> Vec<Pair<'a>> {
    let keys = |scene: &Scene| scene.edges().iter().map(|edge| edge_key(scene, edge)).collect::<Vec<_>>();
    let pair = |(of_old, of_new): (Option<usize>, Option<usize>)| {
        let of_old = of_old.and_then(|i| Some((old, old.edges().get(i)?, -1)));
        let of_new = of_new.and_then(|i| Some((new, new.edges().get(i)?, 1)));
        let edges: Vec<_> = of_old.into_iter().chain(of_new).collect();
        let (_, edge, _) = edges.first()?;
        let end = |u: f64| place(std::array::from_fn(|i| edge.start[i] + u * edge.along[i])).plan();
        let ends = [end(0.0), end(edge.length)];
        Some(Pair { edges, ends, is_changed: false })
    };
    in_order(&keys(old), &keys(new)).into_iter().filter_map(pair).collect()
}

/// Equal keys of edges of two scenes mean that both turn a field in the same way.
fn edge_key(scene: &Scene, edge: &Edge) -> (Vec<u64>, [Option<Vec<u64>>; 2]) {
    let mut numbers: Vec<f64> = [edge.start, edge.along, edge.into, edge.normal].concat();
    numbers.extend([edge.length, edge.hand]);
    let assemblies = match edge.kind {
        Kind::Sheet { plane, one, other } => {
            numbers.extend(plane_numbers(scene, plane));
            [one, other].map(|assembly| scene.stuff.get(assembly? as usize).map(|a| a.content()))
        }
        Kind::Corner { n } => {
            numbers.push(n);
            [None, None]
        }
    };
    (numbers.into_iter().map(f64::to_bits).collect(), assemblies)
}

fn plane_numbers(scene: &Scene, plane: u32) -> [f64; 4] {
    let plane = scene.surfaces().planes.get(plane as usize);
    plane.map_or([0.0; 4], |p| [p.normal[0], p.normal[1], p.normal[2], p.offset])
}

/// Outlines of all walls and blocks that are not in both scenes; if decks are not, an empty one, which is everywhere.
///
/// None mean that scenes at the same carriers and tolerance are the same.
pub(super) fn changed(old: &Scene, new: &Scene) -> Vec<Vec<Point2>> {
    let deck_keys = |scene: &Scene| -> Vec<_> {
        let decks = scene.geometry.decks.iter();
        let key = |d: &crate::geometry::Plate| {
            let rings: Vec<_> = std::iter::once(&d.outline).chain(&d.holes).map(|ring| bits(ring)).collect();
            let assembly = scene.stuff.get(d.assembly as usize).map(|a| a.content());
            (d.z.to_bits(), rings, assembly)
        };
        decks.map(key).collect()
    };
    if deck_keys(old) != deck_keys(new) {
        return vec![Vec::new()];
    }
    let mut out = Vec::new();
    let wall = |scene: &Scene, index: usize| scene.geometry.segments.get(index).map(|s| vec![s.a, s.b]);
    let wall_keys = |scene: &Scene| (0..scene.geometry.segments.len()).map(|i| wall_key(scene, i)).collect::<Vec<_>>();
    let block = |scene: &Scene, index: usize| scene.geometry.blocks.get(index).map(|b| b.outline.clone());
    let block_keys = |scene: &Scene| -> Vec<_> {
        let key = |(index, b): (usize, &crate::geometry::Prism)| {
            (bits(&b.outline), [b.z0, b.z1].map(f64::to_bits), scene.body_content(index))
        };
        scene.geometry.blocks.iter().enumerate().map(key).collect()
    };
    for (of_old, of_new) in in_order(&wall_keys(old), &wall_keys(new)) {
        if of_old.is_none() || of_new.is_none() {
            out.extend(of_old.and_then(|i| wall(old, i)).into_iter().chain(of_new.and_then(|i| wall(new, i))));
        }
    }
    for (of_old, of_new) in in_order(&block_keys(old), &block_keys(new)) {
        if of_old.is_none() || of_new.is_none() {
            out.extend(of_old.and_then(|i| block(old, i)).into_iter().chain(of_new.and_then(|i| block(new, i))));
        }
    }
    out
}

/// Equal keys of walls of two scenes mean that rays meet the same in both.
fn wall_key(scene: &Scene, index: usize) -> (Vec<u64>, Vec<Option<Vec<u64>>>) {
    let Some(s) = scene.geometry.segments.get(index) else { return (Vec::new(), Vec::new()) };
    let content = |assembly: usize| scene.stuff.get(assembly).map(|a| a.content());
    let mut numbers = vec![s.a.x, s.a.y, s.b.x, s.b.y, s.z0, s.z1];
    let plane = scene.surfaces().of_panel.get(index).copied().unwrap_or(u32::MAX);
    numbers.extend(plane_numbers(scene, plane));
    let mut assemblies = vec![content(s.assembly as usize)];
    for cut in scene.geometry.cuts.get(index).into_iter().flatten() {
        numbers.extend([cut.s0, cut.s1, cut.z0, cut.z1]);
        assemblies.push(cut.assembly.and_then(content));
    }
    (numbers.into_iter().map(f64::to_bits).collect(), assemblies)
}

/// True if an axis shows that the hulls of two sets of points do not touch; an empty set is everywhere.
fn is_apart(a: &[Point2], b: &[Point2]) -> bool {
    if a.is_empty() || b.is_empty() {
        return false;
    }
    let axes = |points: &[Point2]| -> Vec<[f64; 2]> {
        let next = points.iter().cycle().skip(1);
        points.iter().zip(next).map(|(p, q)| [p.y - q.y, q.x - p.x]).collect()
    };
    let range = |points: &[Point2], [x, y]: [f64; 2]| {
        let along = points.iter().map(|p| p.x * x + p.y * y);
        along.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), v| (low.min(v), high.max(v)))
    };
    axes(a).into_iter().chain(axes(b)).chain([[1.0, 0.0], [0.0, 1.0]]).any(|axis| {
        let touch = TOUCH * axis[0].hypot(axis[1]);
        let ((a0, a1), (b0, b1)) = (range(a, axis), range(b, axis));
        touch > 0.0 && (a1 + touch < b0 || b1 + touch < a0)
    })
}
