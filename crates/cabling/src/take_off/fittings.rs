//! What joins, marks and protects cables: outlets and jacks, cords, seals, labels, surge protection.

use equipment::{Materials, PartKind, id};
use findings::{Finding, Id};
use network::wiring::{CableRoute, HoleKind, Way};
use network::{Link, Medium};
use units::Point3;

use super::{CORD_TOO_LONG, Core, Plan, TakeOff, core, to_f64};

/// Cables that end nearer to each other than this share an outlet [m] (common practice, no source).
const ONE_PLACE: f64 = 0.3;
/// Jacks that one plate takes (generic figure: most plates take one or two).
const JACKS_A_PLATE: usize = 2;
/// What a cord needs beyond the way between its ends [m] (common practice, no source).
const CORD_SLACK: f64 = 0.5;
/// Cord at a patch panel [m] (common practice, no source).
const PANEL_CORD: f64 = 1.0;
/// Cord from an outlet to a part beside it [m] (common practice, no source).
const PART_CORD: f64 = 2.0;
/// Cord from an outlet to a device, or between a part and a device without a place of its own [m] (common practice, no
/// source).
const DEVICE_CORD: f64 = 3.0;
/// Height of a device above the floor where the household does not say [m] (common practice, no source).
const DEVICE_HEIGHT: f64 = 1.0;

/// Where cables end in outlets: outlets fitted and jacks beyond the first in each, for one kind of jack.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(crate) struct Ends {
    /// Outlets: box, plate and first jack.
    pub outlets: u32,
    /// Further jacks in their plates.
    pub jacks: u32,
}

/// Where new cables of pairs end in outlets: of category 6, and of category 6A.
pub(crate) fn ends(plan: &Plan) -> [Ends; 2] {
    [Core::Pairs, Core::Pairs6a].map(|kind| {
        let mut places: Vec<(Option<Point3>, &Id, usize)> = Vec::new();
        let mut add = |at: Option<Point3>, owner| {
            let same = |place: &&mut (Option<Point3>, &Id, usize)| match (place.0, at) {
                (Some(a), Some(b)) => a.distance(b) <= ONE_PLACE,
                _ => place.1 == owner,
            };
            match places.iter_mut().find(same) {
                Some(place) => place.2 += 1,
                None => places.push((at, owner, 1)),
            }
        };
        for (link, route) in plan.routed().into_iter().filter(|(_, r)| !r.existing) {
            if core(plan.catalog.get(&route.cable)) != kind {
                continue;
            }
            if !plan.ends_at_panel() {
                add(route.stretches.first().map(|s| s.from), &link.from);
            }
            add(route.stretches.last().map(|s| s.to), &link.to);
        }
        let mut ends = Ends::default();
        for (_, _, count) in &places {
            let outlets = count.div_ceil(JACKS_A_PLATE);
            ends.outlets = ends.outlets.saturating_add(small(outlets));
            ends.jacks = ends.jacks.saturating_add(small(count - outlets));
        }
        ends
    })
}

/// Outlets, further jacks in them, and spares of both.
pub(super) fn outlets(plan: &Plan, materials: &Materials, list: &mut TakeOff) {
    let spares = to_f64(materials.spares.share());
    let with_spares = |count: u32| {
        let extra = (f64::from(count) * spares - 1e-9).ceil();
        count.saturating_add(if extra > 0.0 { extra as u32 } else { 0 })
    };
    let parts = [(id::OUTLET_CAT6, id::JACK_CAT6), (id::OUTLET_CAT6A, id::JACK_CAT6A)];
    for (ends, (outlet, jack)) in ends(plan).into_iter().zip(parts) {
        list.pieces(outlet, with_spares(ends.outlets));
        list.pieces(jack, with_spares(ends.jacks));
    }
}

/// A cord for each cord link, unless both its ends were there before, and one at each end of a cable of pairs where
/// something is plugged in.
pub(super) fn cords(plan: &Plan, list: &mut TakeOff) {
    let mut wanted: Vec<(f64, &Id)> = Vec::new();
    let kept = |end: &Id| plan.design.part(end).is_some_and(|p| p.kept);
    for link in plan.design.links.iter().filter(|l| matches!(l.medium, Medium::Cord)) {
        if !(kept(&link.from) && kept(&link.to)) {
            wanted.push((between(plan, link), &link.id));
        }
    }
    for (link, route) in plan.routed() {
        if core(plan.catalog.get(&route.cable)) == Core::Fibre {
            continue;
        }
        wanted.push((if plan.ends_at_panel() { PANEL_CORD } else { PART_CORD }, &link.id));
        // Nothing is plugged into an outlet that stands by.
        if !plan.ends_in_outlet(link) {
            let to_part = plan.design.part(&link.to).is_some();
            wanted.push((if to_part { PANEL_CORD } else { DEVICE_CORD }, &link.id));
        }
    }
    let mut counts = [0_u32; id::CORDS.len()];
    for (length, link) in wanted {
        let fits = id::CORDS.iter().position(|(cord, _)| *cord >= length - 1e-9);
        if fits.is_none() {
            let longest = id::CORDS.last().map_or(0.0, |c| c.0);
            let message =
                format!("the ends of cord `{link}` are {length:.1} m of cord apart; the longest has {longest} m");
            list.findings.push(
                Finding::of(&CORD_TOO_LONG, vec![link.clone(), plan.design.id.clone()], message)
                    .against(length, longest, "m")
                    .remedy("fix a cable between them", Vec::new()),
            );
        }
        if let Some(count) = counts.get_mut(fits.unwrap_or(id::CORDS.len() - 1)) {
            *count += 1;
        }
    }
    for (count, (_, cord)) in counts.into_iter().zip(id::CORDS) {
        list.pieces(cord, count);
    }
}

/// Cord that a link between two places needs: along the axes, and some slack.
fn between(plan: &Plan, link: &Link) -> f64 {
    match (place(plan, &link.from), place(plan, &link.to)) {
        (Some(a), Some(b)) => {
            let length = (a.x - b.x).abs() + (a.y - b.y).abs() + (a.z - b.z).abs() + CORD_SLACK;
            if length.is_finite() { length } else { DEVICE_CORD }
        }
        _ => DEVICE_CORD,
    }
}

/// The place of a part, or of a device that has one.
fn place(plan: &Plan, end: &Id) -> Option<Point3> {
    if let Some(part) = plan.design.part(end) {
        return Some(part.at);
    }
    let device = plan.household.devices.iter().find(|d| &d.id == end)?;
    let room = plan.home.rooms.iter().find(|r| r.id == device.room)?;
    let floor = plan.home.storeys.get(room.storey)?.floor_z;
    Some(device.at?.at_height(floor + device.height.map_or(DEVICE_HEIGHT, |h| h.value())))
}

/// Seals of holes against fire, and sleeves of holes to the outside.
pub(super) fn holes(plan: &Plan, list: &mut TakeOff) {
    let count =
        |wanted: fn(&network::wiring::Hole) -> bool| small(plan.wiring.holes.iter().filter(|h| wanted(h)).count());
    list.pieces(id::FIRESTOP, count(|h| h.fire_seal));
    list.pieces(id::WEATHER_SEAL, count(|h| h.kind == HoleKind::OuterWall));
}

/// Two labels for each cable, also for those that were there, and one for each port of a patch panel.
pub(super) fn labels(plan: &Plan, list: &mut TakeOff) {
    let cables = small(plan.routed().len()).saturating_mul(2);
    let ports = plan.counted_parts().filter_map(|p| plan.catalog.get(&p.part)).fold(0_u32, |sum, part| {
        sum.saturating_add(if part.kind == PartKind::PatchPanel { part.ports.lan } else { 0 })
    });
    list.pieces(id::LABEL, if cables == 0 { 0 } else { cables.saturating_add(ports) });
}

/// Ends of a cable at which copper from outdoors comes into a building: two for a cable in the ground between buildings,
/// one for a cable on the outside.
#[must_use]
pub(crate) fn protected_ends(plan: &Plan, route: &CableRoute) -> u32 {
    if core(plan.catalog.get(&route.cable)) == Core::Fibre {
        return 0;
    }
    let runs = |way: Way| route.stretches.iter().any(|s| s.way == way);
    if runs(Way::Buried) { 2 } else { u32::from(runs(Way::Facade)) }
}

/// Surge protection and its bonding where copper leaves the building.
pub(super) fn outdoors(plan: &Plan, list: &mut TakeOff) {
    let ends = plan.routed().iter().fold(0_u32, |sum, (_, route)| sum.saturating_add(protected_ends(plan, route)));
    list.pieces(id::SURGE_PROTECTOR, ends);
    list.pieces(id::BONDING, ends);
}

fn small(count: usize) -> u32 {
    u32::try_from(count).unwrap_or(u32::MAX)
}
