//! What has to be done for a design: holes, fixings and tasks.

use building::Resolved;
use equipment::{Catalog, PartKind};
use network::{Design, Link, Mounting};

use crate::labour::{self, WorkList};
use crate::route::Run;
use crate::take_off::{counted_parts, ends_at_panel};
use crate::terms::Access;

/// What has to be drilled.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(crate) struct Holes {
    pub walls: u32,
    pub floors: u32,
    pub sealed: u32,
    pub outlets: u32,
    pub mounts: u32,
    pub ceiling_mounts: u32,
}

impl Holes {
    pub fn penetrations(&self) -> u32 {
        self.walls.saturating_add(self.floors)
    }
    pub fn any(&self) -> bool {
        self.penetrations() > 0 || self.outlets > 0 || self.mounts > 0
    }
}

/// What is drilled for cables and for new parts.
pub(crate) fn holes(design: &Design, catalog: &Catalog, runs: &[(&Link, Run)]) -> Holes {
    let mut holes = Holes::default();
    for placed in counted_parts(design, catalog).filter(|p| !p.kept) {
        match placed.mounting {
            Mounting::Ceiling => {
                holes.mounts += 1;
                holes.ceiling_mounts += 1;
            }
            Mounting::Wall => holes.mounts += 1,
            Mounting::Panel if catalog.get(&placed.part).is_some_and(|p| p.kind == PartKind::Panel) => {
                holes.mounts += 1;
            }
            Mounting::Panel | Mounting::Shelf => {}
        }
    }
    let kits = if ends_at_panel(design, catalog) { 1 } else { 2 };
    for (_, run) in runs {
        holes.walls += run.walls + run.party_walls;
        holes.floors += run.floors;
        holes.sealed += run.party_walls + run.floors;
        holes.outlets += kits;
    }
    holes
}

/// The tasks of a design; nothing is done for parts that are already there.
pub(crate) fn work(
    design: &Design,
    catalog: &Catalog,
    home: &Resolved,
    runs: &[(&Link, Run)],
    holes: Holes,
) -> WorkList {
    let mut list = WorkList::default();
    let easy = Access::OpenWalls;
    for (_, run) in runs {
        list.add(labour::PULL_SET_UP, 1.0, run.access);
        list.add(labour::PULL_METRE, run.length, run.access);
        list.add(labour::WALL_HOLE, f64::from(run.walls + run.party_walls), run.access);
        list.add(labour::FLOOR_HOLE, f64::from(run.floors), run.access);
    }
    list.add(labour::SEAL, f64::from(holes.sealed), easy);
    list.add(labour::OUTLET, f64::from(holes.outlets), easy);
    if ends_at_panel(design, catalog) {
        list.add(labour::PANEL_END, runs.len() as f64, easy);
    }
    list.add(labour::TEST, runs.len() as f64, easy);
    let mut new_parts = false;
    for placed in counted_parts(design, catalog).filter(|p| !p.kept) {
        new_parts = true;
        let kind = catalog.get(&placed.part).map(|p| p.kind);
        match placed.mounting {
            _ if matches!(kind, Some(PartKind::Panel)) => list.add(labour::FIT_PANEL, 1.0, easy),
            Mounting::Ceiling | Mounting::Wall => list.add(labour::MOUNT, 1.0, easy),
            Mounting::Shelf | Mounting::Panel => list.add(labour::PLACE, 1.0, easy),
        }
        match kind {
            Some(PartKind::Gateway | PartKind::WirelessRouter | PartKind::Router) => {
                list.add(labour::SET_UP_ROUTER, 1.0, easy);
            }
            Some(PartKind::AccessPoint | PartKind::RadioNode) => list.add(labour::SET_UP_RADIO, 1.0, easy),
            Some(PartKind::Switch) if catalog.get(&placed.part).is_some_and(|p| p.segments) => {
                list.add(labour::SET_UP_SWITCH, 1.0, easy);
            }
            _ => {}
        }
    }
    list.add(labour::SET_UP_SEGMENT, design.segments.len() as f64, easy);
    if new_parts || !list.is_empty() {
        list.add(labour::WALK_ROOM, home.rooms.len() as f64, easy);
        list.add(labour::HAND_OVER, 1.0, easy);
        list.add(labour::VISIT, 1.0, easy);
    }
    list
}
