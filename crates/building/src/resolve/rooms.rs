//! Rooms: outlines as given, or as found from the walls.

use std::collections::BTreeMap;

use findings::{Finding, Id};
use geo::InteriorPoint;
use units::{Point2, Point3};

use super::faces::{Face, ROOM_HEIGHT, faces};
use super::joints::Bodies;
use crate::elements::{Building, Room, RoomUse, StoreyUse};
use crate::geometry::{area, boundary_distance, contains, polygon, tidy};
use crate::resolved::{Block, Resolved, ResolvedRoom, ResolvedStorey};
use crate::validate::rules;

impl ResolvedRoom {
    /// Whether a point in plan is in the room; its boundary counts as inside.
    #[must_use]
    pub fn contains(&self, at: Point2) -> bool {
        contains(&self.outline, &self.holes, at)
    }
}

impl Block {
    /// Whether a point is in the object; its surface counts as inside.
    #[must_use]
    pub fn contains(&self, at: Point3) -> bool {
        (self.z0..=self.z1).contains(&at.z) && contains(&self.outline, &[], at.plan())
    }
}

/// The room of a storey that contains a point, or else the nearest one within reach [m].
pub(super) fn room_near(resolved: &Resolved, storey: usize, at: Point2, reach: f64) -> Option<usize> {
    resolved.room_at(storey, at).or_else(|| {
        let away = |r: &ResolvedRoom| boundary_distance(&r.outline, &r.holes, at);
        let rooms = resolved.rooms.iter().enumerate().filter(|(_, r)| r.storey == storey);
        let nearest = rooms.map(|(i, r)| (away(r), i)).min_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)))?;
        (nearest.0 <= reach).then_some(nearest.1)
    })
}

/// All rooms, with findings about those that cannot be found.
pub(super) fn rooms(
    building: &Building,
    storeys: &[ResolvedStorey],
    storey_idx: &BTreeMap<Id, usize>,
    bodies: &Bodies,
    found: &mut Vec<Finding>,
) -> Vec<ResolvedRoom> {
    if building.rooms.is_empty() {
        let rooms = enclosed(storeys, bodies);
        if rooms.is_empty() {
            found.push(
                Finding::of(
                    rules::get("building.no-rooms"),
                    Vec::new(),
                    "no rooms are given and the walls enclose none",
                )
                .remedy("close the gaps between the walls, or give rooms with outlines", Vec::new()),
            );
        }
        return rooms;
    }
    let mut faces_of: BTreeMap<usize, Vec<Face>> = BTreeMap::new();
    let mut taken: BTreeMap<(usize, usize), Id> = BTreeMap::new();
    let mut rooms = Vec::new();
    for room in &building.rooms {
        let Some(&storey) = storey_idx.get(&room.storey) else { continue };
        if let Some(outline) = &room.outline {
            let outline = tidy(outline.iter().copied(), true);
            let area = area(&outline, &[]);
            rooms.push(resolved(room, storey, outline, Vec::new(), area));
            continue;
        }
        let faces = faces_of.entry(storey).or_insert_with(|| faces(bodies, storeys[storey].floor_z + ROOM_HEIGHT));
        let Some(index) = faces.iter().position(|f| f.contains(room.inside)) else {
            found.push(open_room(room, bodies));
            continue;
        };
        if let Some(first) = taken.get(&(storey, index)) {
            let text = format!(
                "rooms `{first}` and `{}` lie in the same space between walls ({:.1} m²): no wall parts them",
                room.id, faces[index].area
            );
            found.push(
                Finding::of(rules::get("building.rooms-share-space"), vec![room.id.clone(), first.clone()], text)
                    .at(room.storey.clone(), room.inside)
                    .remedy(
                        "give both rooms an `outline`, or remove one of them, or draw the wall between them",
                        Vec::new(),
                    ),
            );
            continue;
        }
        taken.insert((storey, index), room.id.clone());
        let face = &faces[index];
        rooms.push(resolved(room, storey, face.outline.clone(), face.holes.clone(), face.area));
    }
    rooms
}

fn resolved(room: &Room, storey: usize, outline: Vec<Point2>, holes: Vec<Vec<Point2>>, area: f64) -> ResolvedRoom {
    ResolvedRoom {
        id: room.id.clone(),
        name: room.name.clone(),
        storey,
        usage: room.usage,
        outline,
        holes,
        area,
        inside: room.inside,
    }
}

fn open_room(room: &Room, bodies: &Bodies) -> Finding {
    let in_wall = !bodies.at(room.inside, 0.0).is_empty();
    let why = if in_wall { "its point lies in a wall" } else { "the walls around its point are not closed" };
    let text = format!("room `{}` at ({:.2}, {:.2}) has no outline and {why}", room.id, room.inside.x, room.inside.y);
    Finding::of(rules::get("building.room-not-enclosed"), vec![room.id.clone()], text)
        .at(room.storey.clone(), room.inside)
        .remedy("move `inside` into the room, close the gaps between its walls, or give it an `outline`", Vec::new())
}

/// Every enclosed face as a room, storey by storey from below.
fn enclosed(storeys: &[ResolvedStorey], bodies: &Bodies) -> Vec<ResolvedRoom> {
    let mut rooms = Vec::new();
    for (storey, at) in storeys.iter().enumerate() {
        if matches!(at.usage, StoreyUse::Structure | StoreyUse::CrawlSpace) {
            continue;
        }
        for face in faces(bodies, at.floor_z + ROOM_HEIGHT) {
            if !face.is_room() {
                continue;
            }
            let Some(inside) = polygon(&face.outline, &face.holes).interior_point() else { continue };
            let number = rooms.len() + 1;
            rooms.push(ResolvedRoom {
                id: Id::from_label(&format!("room-{number}")),
                name: format!("Room {number}"),
                storey,
                usage: RoomUse::Other,
                outline: face.outline,
                holes: face.holes,
                area: face.area,
                inside: Point2::new(inside.x(), inside.y()),
            });
        }
    }
    rooms
}
