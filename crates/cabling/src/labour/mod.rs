//! What has to be done for a design, how long it takes, and who does it in how many days.

mod access;
mod crew;
mod distribution;
mod tasks;

use equipment::{Access, PartKind, Terms};
use findings::{Finding, Rule, Severity, Source};
use network::Mounting;
use network::results::LabourLine;
use network::wiring::{HoleKind, Way};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use units::Seconds;

use crate::take_off::{Ends, Plan, TakeOff, ends, protected_ends};
use tasks::WorkList;

pub use crew::Crew;
pub use distribution::{Hours, access_factors};

/// The work needs more people than are sent.
pub const CREW_TOO_SMALL: Rule = Rule {
    id: "cabling.crew-too-small",
    severity: Severity::Risk,
    summary: "Some of the work needs two people, and one is sent",
    limit: "2 people",
    cite: Source::common_practice,
};

/// The work of a design.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Labour {
    /// What is done, in the order of the work; times add up to the median of the total.
    pub lines: Vec<LabourLine>,
    /// Hours of all people together.
    pub hours: Hours,
    /// Who does it in how many days.
    pub crew: Crew,
    /// How cables are got in, easiest first.
    pub access: Vec<Access>,
    /// What is wrong.
    pub findings: Vec<Finding>,
}

/// The work that a design takes.
///
/// # Model
/// Ways, holes and ends of the new cables, each under its access; placed parts that are new; tests, set-up, papers and
/// travel. Repeated tasks, sums and quantiles as the head of `labour/distribution.rs` says. Nothing is done for parts
/// that are already there. Cables that run along one way are pulled together: the first takes the time of the way, each
/// further one a third of it.
///
/// # Units
/// Hours are those of all people together.
#[must_use]
pub fn labour(plan: &Plan, take_off: &TakeOff, terms: &Terms) -> Labour {
    let mut list = work(plan, take_off, terms);
    let crew = crew::send(&mut list, terms.crew, terms.day.value() / 3600.0);
    finish(plan, &list, crew)
}

/// The work that a design takes while a crew is there that was sent for a slightly different one: people, days and
/// travel are the crew's.
#[must_use]
pub fn labour_with(plan: &Plan, take_off: &TakeOff, terms: &Terms, crew: &Crew) -> Labour {
    let mut list = work(plan, take_off, terms);
    crew::visit(&mut list, crew.people, crew.days.unwrap_or(0));
    finish(plan, &list, crew.clone())
}

/// All tasks but the travel.
fn work(plan: &Plan, take_off: &TakeOff, terms: &Terms) -> WorkList {
    let mut list = WorkList::default();
    let easy = Access::OpenWalls;
    ways(plan, take_off, terms.access, &mut list);
    holes(plan, terms.access, &mut list);
    let all = plan.routed();
    let new = all.iter().filter(|(_, r)| !r.existing).count() as f64;
    for Ends { outlets, jacks } in ends(plan) {
        list.add(tasks::OUTLET, f64::from(outlets), easy);
        list.add(tasks::JACK, f64::from(jacks), easy);
    }
    if plan.ends_at_panel() {
        list.add(tasks::PANEL_END, new, easy);
    }
    let surge = all.iter().fold(0_u32, |sum, (_, route)| sum.saturating_add(protected_ends(plan, route)));
    list.add(tasks::SURGE, f64::from(surge), easy);
    list.add(tasks::TEST, all.len() as f64, easy);
    parts(plan, &mut list);
    let cords = take_off.items.iter().filter(|i| plan.catalog.get(&i.part).is_some_and(|p| p.kind == PartKind::Cord));
    list.add(tasks::PATCH, cords.map(|i| crate::take_off::to_f64(i.quantity)).sum(), easy);
    list.add(tasks::SET_UP_SEGMENT, plan.design.segments.len() as f64, easy);
    let new_parts = plan.counted_parts().any(|p| !p.kept);
    if new_parts || !list.lines.is_empty() {
        list.add(tasks::WALK_ROOM, plan.home.rooms.len() as f64, easy);
        list.add(tasks::PAPERS, all.len() as f64, easy);
        list.add(tasks::HAND_OVER, 1.0, easy);
        if new > 0.0 {
            list.add(tasks::RETURN_VISIT, f64::from(terms.return_visits), easy);
        }
    }
    list
}

fn finish(plan: &Plan, list: &WorkList, crew: Crew) -> Labour {
    let hours = Hours::of(&list.lines);
    let means: Vec<f64> = list.lines.iter().map(distribution::mean_hours).collect();
    let total: f64 = means.iter().sum();
    let lines = list
        .lines
        .iter()
        .zip(means)
        .map(|(work, mean)| LabourLine {
            task: match work.access {
                Some(access) => format!("{} ({})", work.task.name, access.name()),
                None => work.task.name.to_owned(),
            },
            quantity: work.quantity,
            time: Seconds(mean / total * hours.p50 * 3600.0),
        })
        .collect();
    let mut access: Vec<Access> = list.lines.iter().filter_map(|w| w.access).collect();
    access.sort_unstable();
    access.dedup();
    let mut findings = Vec::new();
    if crew.people == 1 && crew.hours_by_two > 0.0 {
        let message =
            format!("one person is sent, but two have to work together for {:.1} h of both", crew.hours_by_two);
        findings.push(
            Finding::of(&CREW_TOO_SMALL, vec![plan.design.id.clone()], message)
                .against(1.0, 2.0, "people")
                .remedy("send two people", Vec::new()),
        );
    }
    Labour { lines, hours, crew, access, findings }
}

/// Work along the ways of new cables.
fn ways(plan: &Plan, take_off: &TakeOff, stated: Option<Access>, list: &mut WorkList) {
    for (_, route) in plan.routed().into_iter().filter(|(_, r)| !r.existing) {
        let hardest = route.stretches.iter().map(|s| access::of_way(s.way, stated)).max();
        list.add(tasks::PULL_SET_UP, 1.0, hardest.or(stated).unwrap_or(Access::Finished));
    }
    for way in &take_off.pathways {
        let access = access::of_way(way.way, stated);
        let length = way.length.value();
        match way.way {
            Way::Raceway => list.add(tasks::RACEWAY_METRE, length, access),
            Way::Chase => list.add(tasks::CHASE_METRE, length, access),
            Way::Buried => list.add(tasks::TRENCH_METRE, length, access),
            Way::Facade => list.add(tasks::FACADE_METRE, length, access),
            Way::Conduit if way.element.is_none() => list.add(tasks::PIPE_METRE, length, access),
            _ => {}
        }
        // A groove is closed over its pipe, and cable goes through that as through any pipe.
        let pulling = if way.way == Way::Chase { stated.unwrap_or(Access::OpenWalls) } else { access };
        list.add(tasks::PULL_METRE, length, pulling);
        list.add(tasks::PULL_ALONG, length * way.links.len().saturating_sub(1) as f64, pulling);
    }
}

/// Holes and their seals.
fn holes(plan: &Plan, stated: Option<Access>, list: &mut WorkList) {
    for hole in &plan.wiring.holes {
        let task = match hole.kind {
            HoleKind::Wall | HoleKind::PartyWall => tasks::WALL_HOLE,
            HoleKind::OuterWall => tasks::OUTER_HOLE,
            HoleKind::Floor => tasks::FLOOR_HOLE,
            HoleKind::Plate => tasks::PLATE_HOLE,
            HoleKind::Joist => tasks::JOIST_HOLE,
        };
        list.add(task, 1.0, access::of_hole(hole, plan.home, stated));
    }
    let sealed = plan.wiring.holes.iter().filter(|h| h.fire_seal).count();
    list.add(tasks::SEAL, sealed as f64, Access::OpenWalls);
}

/// Fitting and setting up of parts that are new.
fn parts(plan: &Plan, list: &mut WorkList) {
    let easy = Access::OpenWalls;
    for placed in plan.counted_parts().filter(|p| !p.kept) {
        let part = plan.catalog.get(&placed.part);
        let kind = part.map(|p| p.kind);
        match placed.mounting {
            _ if matches!(kind, Some(PartKind::Panel)) => list.add(tasks::FIT_PANEL, 1.0, easy),
            Mounting::Ceiling | Mounting::Wall => list.add(tasks::MOUNT, 1.0, easy),
            Mounting::Shelf | Mounting::Panel => list.add(tasks::PLACE, 1.0, easy),
        }
        match kind {
            Some(PartKind::Gateway | PartKind::WirelessRouter | PartKind::Router) => {
                list.add(tasks::SET_UP_ROUTER, 1.0, easy);
            }
            Some(PartKind::AccessPoint | PartKind::RadioNode) => list.add(tasks::SET_UP_RADIO, 1.0, easy),
            Some(PartKind::Switch) if part.is_some_and(|p| p.segments) => list.add(tasks::SET_UP_SWITCH, 1.0, easy),
            _ => {}
        }
    }
}
