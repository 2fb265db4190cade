//! Pipes and raceways that are new, by how full the cables make them.

use equipment::id::{BURIED_CONDUIT, CONDUITS, RACEWAY};
use network::wiring::Way;

use super::cable::diameter;
use super::{Pathway, Plan, TakeOff};

/// Cables that one surface raceway takes (generic figure).
const RACEWAY_CABLES: usize = 4;

/// Metres of new pipe and raceway: a pipe that is not a cable space of the home, a chase, the ground, a raceway.
///
/// A way that takes more cables than the widest pipe holds gets several side by side.
pub(super) fn pipes(plan: &Plan, list: &mut TakeOff) {
    let ways = std::mem::take(&mut list.pathways);
    let mut metres: Vec<(&str, f64)> = Vec::new();
    let mut add = |part: &'static str, length: f64| match metres.iter_mut().find(|(known, _)| *known == part) {
        Some((_, sum)) => *sum += length,
        None => metres.push((part, length)),
    };
    for way in &ways {
        let length = way.length.value();
        match way.way {
            Way::Raceway => add(RACEWAY, length * way.links.len().div_ceil(RACEWAY_CABLES) as f64),
            Way::Buried => {
                let (part, pipes) = pipe(plan, way, &[BURIED_CONDUIT]);
                add(part, length * pipes);
            }
            Way::Conduit if way.element.is_none() => {
                let (part, pipes) = pipe(plan, way, &CONDUITS);
                add(part, length * pipes);
            }
            Way::Chase => {
                let (part, pipes) = pipe(plan, way, &CONDUITS);
                add(part, length * pipes);
            }
            _ => {}
        }
    }
    list.pathways = ways;
    for (part, length) in metres {
        list.metres(part, length);
    }
}

/// The narrowest pipe that takes the cables of a way; else how many of the widest.
fn pipe(plan: &Plan, way: &Pathway, pipes: &[(f64, &'static str)]) -> (&'static str, f64) {
    // A circle's area without π/4, which both sides share.
    let squares = |links: &[findings::Id]| {
        links.iter().filter_map(|link| plan.route(link)).fold(0.0, |sum, route| {
            let d = diameter(plan.catalog.get(&route.cable));
            sum + d * d
        })
    };
    let takes = |inner: f64, links: &[findings::Id]| squares(links) <= crate::most_fill(links.len()) * inner * inner;
    if let Some((_, part)) = pipes.iter().find(|(inner, _)| takes(*inner, &way.links)) {
        return (part, 1.0);
    }
    let Some((inner, part)) = pipes.last() else { return ("", 0.0) };
    // As many as are needed when the cables are dealt out in equal numbers; one a pipe at the worst.
    let count = (2..way.links.len())
        .find(|count| way.links.chunks(way.links.len().div_ceil(*count)).all(|some| takes(*inner, some)))
        .unwrap_or(way.links.len());
    (part, count as f64)
}
