//! What cables need of a home: spaces to run in, cables that are there, zones and slabs to stay out of.

use std::collections::BTreeMap;

use findings::Id;
use units::Point3;

use crate::elements::{Building, CableEnd};
use crate::geometry::tidy;
use crate::resolved::{Resolved, ResolvedCable, ResolvedCableSpace, ResolvedNoGoZone};

/// A zone without a height goes on this far above the ceiling, through the floor over it [m].
const THROUGH_CEILING: f64 = 0.5;

pub(super) fn add(building: &Building, storey_idx: &BTreeMap<Id, usize>, home: &mut Resolved) {
    let storey = |id: &Id| storey_idx.get(id).copied();
    for s in &building.cable_spaces {
        let mut storeys: Vec<usize> = s.storeys.iter().filter_map(storey).collect();
        storeys.sort_unstable();
        storeys.dedup();
        home.cable_spaces.push(ResolvedCableSpace {
            space: s.id.clone(),
            kind: s.kind,
            storeys,
            outline: tidy(s.outline.iter().copied(), true),
            bore: s.bore.map(|b| b.0),
        });
    }
    let end = |end: &CableEnd, home: &Resolved| -> Option<Point3> {
        match end {
            CableEnd::Outlet { outlet } => home.outlets.iter().find(|o| &o.outlet == outlet).map(|o| o.at),
            CableEnd::Place { storey: id, at, height } => {
                home.storeys.get(storey(id)?).map(|s| at.at_height(s.floor_z + height.0))
            }
        }
    };
    for c in &building.existing_cables {
        let (Some(from), Some(to)) = (end(&c.from, home), end(&c.to, home)) else { continue };
        home.existing_cables.push(ResolvedCable { cable: c.id.clone(), part: c.part.clone(), ends: [from, to] });
    }
    for z in &building.no_go_zones {
        let Some(at) = storey(&z.storey).and_then(|s| home.storeys.get(s)) else { continue };
        let z0 = at.floor_z + z.base.0;
        home.no_go_zones.push(ResolvedNoGoZone {
            zone: z.id.clone(),
            reason: z.reason,
            outline: tidy(z.outline.iter().copied(), true),
            z0,
            z1: z.height.map_or(at.ceiling_z + THROUGH_CEILING, |h| z0 + h.0),
        });
    }
    for w in &building.walls {
        if let Some(minutes) = w.fire_minutes {
            home.fire_minutes.insert(w.id.clone(), minutes);
        }
    }
    for s in &building.slabs {
        if let Some(minutes) = s.fire_minutes {
            home.fire_minutes.insert(s.id.clone(), minutes);
        }
        if s.tensioned {
            home.tensioned.insert(s.id.clone());
        }
        if let Some(direction) = s.joists {
            home.joists.insert(s.id.clone(), direction.0.to_radians());
        }
    }
}
