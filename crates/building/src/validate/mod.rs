//! Everything that is wrong with a building: ids, numbers and a remedy for each, never only the first.
//!
//! A finding that `fails` means that the building cannot be computed on; `risk` and `note` mean that it can, and that
//! someone should look. This module does not know what a design needs of a building.

mod numbers;
mod outlines;
mod references;
pub(crate) mod rules;
mod storeys;
mod walls;

use findings::{Finding, Severity};

use crate::elements::Building;
use crate::resolve::derive;

pub use rules::RULES;

/// A building with more storeys, walls, openings, slabs, rooms, stairs, outlets, circuits, objects, spaces, layers and
/// materials than this is refused.
pub const MAX_ELEMENTS: usize = 20_000;

/// An outline with more points than this is refused.
pub const MAX_OUTLINE_POINTS: usize = 1_000;

/// A building whose outlines have more points together than this is refused.
const MAX_POINTS: usize = 50_000;

/// A building in which more pairs of walls touch than this, and this for each wall, is refused: the work grows with their
/// number, and a home has about three for each wall.
const MAX_TOUCHING: (usize, usize) = (5_000, 20);

/// A building in which more pairs of walls run in each other than this is refused.
const MAX_OVERLAPPING: usize = 2_000;

/// A building in which more pairs of rooms lie on or beside each other than this is refused.
const MAX_ROOM_PAIRS: usize = 200_000;

/// Lists every problem of a building, worst first, then in the order of the document.
///
/// # Model
/// Rooms, passages and areas are only derived, and their findings only listed, once nothing else `fails`.
/// A building over the limits ([`MAX_ELEMENTS`], [`MAX_OUTLINE_POINTS`]) gets that one finding and is not looked at further.
///
/// # Example
/// ```
/// let found = building::validate(&building::Building::default());
/// assert!(found.iter().any(|f| f.rule == "building.no-storeys"));
/// ```
#[must_use]
pub fn validate(building: &Building) -> Vec<Finding> {
    let mut found = structural(building);
    if found.iter().all(|f| f.severity > Severity::Fails) {
        let (resolved, more) = derive(building);
        found.extend(more);
        outlines::derived(building, &resolved, &mut found);
        storeys::derived(building, &resolved, &mut found);
    }
    found.sort_by_key(|f| f.severity);
    found
}

/// What can be said without deriving anything. If none of it fails, the building can be derived.
pub(crate) fn structural(building: &Building) -> Vec<Finding> {
    let mut found = limits(building);
    if !found.is_empty() {
        return found;
    }
    numbers::check(building, &mut found);
    references::check(building, &mut found);
    storeys::check(building, &mut found);
    walls::check(building, &mut found);
    outlines::check(building, &mut found);
    found
}

fn limits(b: &Building) -> Vec<Finding> {
    let layers: usize = b.assemblies.iter().map(|a| a.layers.len()).sum();
    let spaces: usize = b.cable_spaces.iter().map(|s| s.storeys.len()).sum();
    let elements = b.storeys.len()
        + b.walls.len()
        + b.openings.len()
        + b.slabs.len()
        + b.rooms.len()
        + b.stairs.len()
        + b.outlets.len()
        + b.circuits.len()
        + b.fixed_objects.len()
        + b.cable_spaces.len()
        + b.existing_cables.len()
        + b.no_go_zones.len()
        + b.assemblies.len()
        + b.materials.len()
        + layers
        + spaces;
    let rule = rules::get("building.too-large");
    let mut found = Vec::new();
    if elements > MAX_ELEMENTS {
        let text = format!("the building has {elements} elements and the limit is {MAX_ELEMENTS}");
        found.push(
            Finding::of(rule, Vec::new(), text)
                .against(elements as f64, MAX_ELEMENTS as f64, "elements")
                .remedy("keep only one dwelling, or leave out what does not stop radio or carry cables", Vec::new()),
        );
    }
    let mut points = 0;
    for outline in outlines::outlines(b) {
        points += outline.points.len();
        if outline.points.len() > MAX_OUTLINE_POINTS {
            let text =
                format!("{} has {} points and the limit is {MAX_OUTLINE_POINTS}", outline.what(), outline.points.len());
            found.push(
                Finding::of(rule, vec![outline.id.clone()], text)
                    .against(outline.points.len() as f64, MAX_OUTLINE_POINTS as f64, "points")
                    .remedy("draw curves with fewer points", Vec::new()),
            );
        }
    }
    if points > MAX_POINTS {
        let text = format!("the outlines have {points} points together and the limit is {MAX_POINTS}");
        found.push(
            Finding::of(rule, Vec::new(), text)
                .against(points as f64, MAX_POINTS as f64, "points")
                .remedy("draw curves with fewer points", Vec::new()),
        );
    }
    found
}
