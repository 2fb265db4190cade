//! Homes and star designs to route in.
#![allow(dead_code)]

use building::parametric::{Attached, Construction, Rooms, Wish, generate};
use building::{Building, Resolved, RoomUse};
use cabling::RouteInput;
use cabling::pathways::Effort;
use findings::Id;
use household::Household;
use network::{Design, Family, Link, Medium, Mounting, PlacedPart};
use units::{Point2, Point3};

pub fn id(text: &str) -> Id {
    Id::from_label(text)
}

/// A house of three storeys in timber frame.
pub fn three_storeys(construction: Construction) -> Building {
    let wish = Wish {
        floor_area_m2: 240.0,
        storeys: 3,
        basement: false,
        attic: true,
        construction,
        attached: Attached::Detached,
        rooms: Rooms { bedrooms: 5, bathrooms: 3, offices: 2, utility: true, open_kitchen: false },
        seed: 7,
    };
    generate(&wish).unwrap_or_else(|p| panic!("{p:?}")).building
}

pub fn resolved(building: &Building) -> Resolved {
    Resolved::new(building).unwrap_or_else(|f| panic!("{f:?}"))
}

/// A panel in the first utility room or hall, and `drops` outlets along the walls of the other rooms in turn.
pub fn star(home: &Resolved, drops: usize) -> Design {
    let pick = |usage: RoomUse| home.rooms.iter().find(|r| r.usage == usage);
    let panel = pick(RoomUse::Utility).or_else(|| pick(RoomUse::Hall)).or(home.rooms.first()).expect("a room");
    let floor = |storey: usize| home.storeys[storey].floor_z;
    let part = |name: &str, room: &Id, at: Point3| PlacedPart {
        id: id(name),
        part: id("outlet-kit-cat6"),
        room: room.clone(),
        at,
        mounting: Mounting::Wall,
        aim: None,
        kept: false,
    };
    let mut parts = vec![part("panel", &panel.id, panel.inside.at_height(floor(panel.storey) + 1.4))];
    let rooms: Vec<_> =
        home.rooms.iter().filter(|r| !matches!(r.usage, RoomUse::Bath | RoomUse::Outdoor | RoomUse::Stair)).collect();
    for k in 0..drops {
        let room = rooms[k % rooms.len()];
        // Round the room: each further outlet of a room is on its next wall.
        let edge = (k / rooms.len() * 2 + 1) % room.outline.len();
        let (a, b) = (room.outline[edge], room.outline[(edge + 1) % room.outline.len()]);
        let share = 0.3 + 0.1 * (k % 5) as f64;
        let on = Point2::new(a.x + (b.x - a.x) * share, a.y + (b.y - a.y) * share);
        parts.push(part(&format!("outlet-{}", k + 1), &room.id, on.at_height(floor(room.storey) + 0.4)));
    }
    let links = (1..=drops).map(|k| link(&format!("cable-{k}"), "panel", &format!("outlet-{k}"))).collect();
    Design {
        id: id("star"),
        name: "Star".into(),
        family: Family::HomeRunPanel,
        parts,
        links,
        radios: Vec::new(),
        segments: Vec::new(),
        feeds: Vec::new(),
        line_queue: network::LineQueue::Plain,
        upkeep: network::Upkeep::default(),
    }
}

pub fn link(name: &str, from: &str, to: &str) -> Link {
    Link { id: id(name), from: id(from), to: id(to), medium: Medium::Cable { part: id("cable-cat6") } }
}

pub fn input<'a>(design: &'a Design, household: &'a Household) -> RouteInput<'a> {
    RouteInput { design, household, effort: Effort::default() }
}
