//! Access points that stand in metal or close to it: coverage falls by what no material table says.

use building::{Block, Electrical, MountKind};
use findings::{Edit, Finding, Rule, Severity, Source};
use network::{Design, Mounting, PlacedPart};
use serde_json::json;
use units::Point3;

use crate::buildings::{from_side, sides};
use crate::home::Home;

/// Distance from metal under which an antenna is disturbed [m] (common practice, no source: two wavelengths at 2.4 GHz).
const METAL_CLEARANCE: f64 = 0.25;
/// Spacing of the places that are offered instead [m].
const PLACES: f64 = 1.0;

/// An access point stands in a cabinet, in a panel or beside metal.
pub const RADIO_ENCLOSED: Rule = Rule {
    id: "coverage.radio-enclosed",
    severity: Severity::Fails,
    summary: "A part with a radio stands inside a panel or a fixed object, or close to a metal one",
    limit: "0.25 m from metal, and outside of cabinets and panels",
    cite: Source::common_practice,
};

/// Rules of this kind.
pub const RULES: &[Rule] = &[RADIO_ENCLOSED];

/// Every radio of a design that is shut in or stands beside metal, with a freer place in its room.
pub(crate) fn findings(home: &Home, design: &Design) -> Vec<Finding> {
    let with_radio = |p: &&PlacedPart| home.catalog.get(&p.part).is_some_and(|part| part.radio.is_some());
    design.parts.iter().filter(with_radio).filter_map(|placed| finding(home, design, placed)).collect()
}

fn finding(home: &Home, design: &Design, placed: &PlacedPart) -> Option<Finding> {
    let id = &placed.id;
    let holder = home.resolved.blocks.iter().find(|b| b.contains(placed.at));
    let metal = nearest_metal(home, placed.at).filter(|(_, distance)| *distance < METAL_CLEARANCE);
    let about = |message: String, severity: Severity| {
        let mut finding = Finding::of(&RADIO_ENCLOSED, vec![id.clone()], message);
        finding.severity = severity;
        finding
    };
    let finding = match (holder, metal) {
        _ if placed.mounting == Mounting::Panel => about(
            format!("`{id}` is in a panel: if that is of metal, next to nothing of its radio gets out"),
            Severity::Fails,
        ),
        (Some(block), _) if is_metal(block) => {
            about(format!("`{id}` stands inside `{}`, which is of metal", block.object), Severity::Fails)
        }
        (Some(block), _) => about(format!("`{id}` stands inside `{}`", block.object), Severity::Risk),
        (None, Some((block, distance))) => about(
            format!("`{id}` stands {distance:.2} m from `{}`, which is of metal and throws a shadow", block.object),
            Severity::Risk,
        )
        .against(distance, METAL_CLEARANCE, "m"),
        (None, None) => return None,
    };
    Some(match freer_place(home, placed) {
        Some((at, mounting)) => {
            let path = format!("designs/{}/parts/{id}", design.id);
            let edits = vec![
                Edit::set(format!("{path}/at"), json!(at)),
                Edit::set(format!("{path}/mounting"), json!(mounting)),
            ];
            let away = at.distance(placed.at);
            finding.remedy(format!("put it {away:.1} m from there, in the open"), edits)
        }
        None => finding.remedy("put it into the open, away from metal", Vec::new()),
    })
}

fn is_metal(block: &Block) -> bool {
    matches!(block.electrical, Electrical::Metal | Electrical::Sheet { .. } | Electrical::Mesh { .. })
}

/// The metal object that is nearest to a place at its height, and how far it is [m].
fn nearest_metal(home: &Home, at: Point3) -> Option<(&Block, f64)> {
    let beside = |b: &&Block| is_metal(b) && b.z0 - METAL_CLEARANCE < at.z && at.z < b.z1 + METAL_CLEARANCE;
    let distance = |b: &Block| {
        if b.contains(at) {
            return 0.0;
        }
        let across = sides(&b.outline).map(|(s, t)| from_side(at.plan(), s, t)).fold(f64::INFINITY, f64::min);
        let inside = b.contains(at.plan().at_height(0.5 * (b.z0 + b.z1)));
        let up = (b.z0 - at.z).max(at.z - b.z1).max(0.0);
        if inside { up } else { across.hypot(up) }
    };
    home.resolved.blocks.iter().filter(beside).map(|b| (b, distance(b))).min_by(|x, y| x.1.total_cmp(&y.1))
}

/// The nearest place in the same room that is in the open, and how a part is held there.
fn freer_place(home: &Home, placed: &PlacedPart) -> Option<(Point3, Mounting)> {
    let room = home.room(&placed.room)?;
    let mountable = home.catalog.get(&placed.part).is_some_and(|p| p.mountable);
    let mounting = |kind| match kind {
        MountKind::Ceiling => Mounting::Ceiling,
        MountKind::Wall => Mounting::Wall,
        MountKind::Shelf => Mounting::Shelf,
    };
    let wishes = &home.household.wishes;
    let allowed = |kind| match kind {
        MountKind::Ceiling => mountable && !wishes.no_ceiling_mounts && !wishes.no_drilling,
        MountKind::Wall => mountable && !wishes.no_drilling,
        MountKind::Shelf => true,
    };
    let is_open = |at: Point3| home.is_free(at) && nearest_metal(home, at).is_none_or(|(_, d)| d >= METAL_CLEARANCE);
    let places = home.resolved.mount_points(PLACES);
    let here = places.iter().filter(|p| p.room == room && allowed(p.kind) && is_open(p.at));
    let nearest = here.min_by(|a, b| a.at.distance(placed.at).total_cmp(&b.at.distance(placed.at)))?;
    Some((nearest.at, mounting(nearest.kind)))
}
