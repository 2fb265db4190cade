//! A home as a plan draws it: wall outlines joined at corners, openings by their jambs, rooms, stairs, outlets.
//!
//! Nothing is judged or computed on here; engines work on [`Resolved`] itself.

mod outline;

use building::{Building, OutletKind, Panel, Resolved, RoomUse, Stair, StoreyUse, WallKind};
use findings::{Finding, Id};
use household::{Household, default_household};
use job::Job;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use site::UnitSystem;
use units::Point2;

/// A home as a plan draws it. Lengths in metres, x to the right, y up the sheet.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct House {
    /// Revision of the job that is drawn; 0 for a home that is not stored.
    pub revision: u64,
    /// Name for people.
    pub name: String,
    /// Units that people see.
    pub units: UnitSystem,
    /// Direction of north, clockwise from up the sheet [°].
    pub north_deg: f64,
    /// Everything drawn lies within.
    pub bounds: Bounds,
    /// Where the line enters, if the job says so.
    pub demarcation: Option<PlanPlace>,
    /// Storeys, the lowest first.
    pub storeys: Vec<PlanStorey>,
}

/// An upright rectangle in plan.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Bounds {
    /// Lower left corner.
    pub min: Point2,
    /// Upper right corner.
    pub max: Point2,
}

/// A place on a storey.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct PlanPlace {
    /// The storey.
    pub storey: Id,
    /// The place in plan.
    pub at: Point2,
}

/// A storey as drawn.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct PlanStorey {
    /// Id.
    pub id: Id,
    /// Name for people.
    pub name: String,
    /// What it is used for.
    #[serde(rename = "use")]
    pub usage: StoreyUse,
    /// Finished floor, above the building's zero level.
    pub floor_z: f64,
    /// Underside of the ceiling, above the building's zero level.
    pub ceiling_z: f64,
    /// Walls that stand on it.
    pub walls: Vec<PlanWall>,
    /// Openings in those walls.
    pub openings: Vec<PlanOpening>,
    /// Rooms.
    pub rooms: Vec<PlanRoom>,
    /// Stairs that start or end here.
    pub stairs: Vec<Stair>,
    /// Outlets.
    pub outlets: Vec<PlanOutlet>,
    /// Large fixed things.
    pub objects: Vec<PlanObject>,
}

/// A wall as drawn.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct PlanWall {
    /// Id.
    pub id: Id,
    /// What lies on its far side.
    pub kind: WallKind,
    /// What it is made of.
    pub assembly: Id,
    /// Name of that for people.
    pub assembly_name: String,
    /// Thickness.
    pub thickness_m: f64,
    /// Length of its centre line, as the job has it.
    pub length_m: f64,
    /// Outlines of what a cut 1.2 m above the floor goes through, anticlockwise; none for a wall that is lower or
    /// higher. Outlines of walls that meet overlap, so that they merge when painted in one colour.
    pub solids: Vec<Vec<Point2>>,
}

/// A door, window or gap as drawn.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct PlanOpening {
    /// Id.
    pub id: Id,
    /// The wall that it is in.
    pub wall: Id,
    /// What fills it.
    pub kind: building::OpeningKind,
    /// One jamb, on the wall's centre line.
    pub from: Point2,
    /// The other jamb.
    pub to: Point2,
    /// Thickness of the wall.
    pub thickness_m: f64,
    /// Lower edge above the storey's floor.
    pub sill_m: f64,
    /// Upper edge above the storey's floor.
    pub head_m: f64,
}

/// A room as drawn.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct PlanRoom {
    /// Id.
    pub id: Id,
    /// Name for people.
    pub name: String,
    /// What it is used for.
    #[serde(rename = "use")]
    pub usage: RoomUse,
    /// Floor area.
    pub area_m2: f64,
    /// Outline along the walls' faces, anticlockwise.
    pub outline: Vec<Point2>,
    /// Holes in it, clockwise.
    pub holes: Vec<Vec<Point2>>,
    /// A point inside.
    pub inside: Point2,
    /// What it must get; absent where nothing is asked for.
    pub target: Option<RoomTarget>,
}

/// Rates that a room must get.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct RoomTarget {
    /// Towards the device [bit/s].
    pub down_bps: f64,
    /// From the device [bit/s].
    pub up_bps: f64,
}

/// An outlet as drawn.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct PlanOutlet {
    /// Id.
    pub id: Id,
    /// What it gives.
    pub kind: OutletKind,
    /// Its place.
    pub at: Point2,
    /// Height above the storey's floor.
    pub height_m: f64,
    /// The room that it is in.
    pub room: Option<Id>,
}

/// A large fixed thing as drawn.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct PlanObject {
    /// Id.
    pub id: Id,
    /// What it is.
    pub name: String,
    /// Its outline.
    pub outline: Vec<Point2>,
}

/// Draws a job's home.
///
/// # Errors
/// Every finding that keeps the building from being resolved.
pub fn draw(job: &Job, revision: u64) -> Result<House, Vec<Finding>> {
    let building = &job.building;
    let resolved = Resolved::new(building)?;
    let household = household_of(job, &resolved);
    let outlines = outline::solids(&resolved);
    let storeys: Vec<PlanStorey> =
        (0..resolved.storeys.len()).map(|at| storey(building, &resolved, &household, &outlines, at)).collect();
    Ok(House {
        revision,
        name: job.name.clone(),
        units: job.site.units,
        north_deg: building.north.0,
        bounds: bounds(&storeys, building),
        demarcation: building.demarcation.as_ref().map(|d| PlanPlace { storey: d.storey.clone(), at: d.at }),
        storeys,
    })
}

/// The household, the stated default if the job has none.
fn household_of(job: &Job, resolved: &Resolved) -> Household {
    let rooms = || resolved.rooms.iter().map(|r| (r.id.clone(), r.usage, r.name.clone())).collect::<Vec<_>>();
    job.household.clone().unwrap_or_else(|| default_household(&rooms()))
}

fn storey(
    building: &Building,
    resolved: &Resolved,
    household: &Household,
    outlines: &[Vec<Vec<Point2>>],
    at: usize,
) -> PlanStorey {
    let storey = &resolved.storeys[at];
    let panels = || resolved.panels.iter().zip(outlines).filter(|(p, _)| p.storey == at);
    let lengths: std::collections::BTreeMap<&Id, f64> =
        building.walls.iter().map(|w| (&w.id, w.from.distance(w.to))).collect();
    let wall = |(panel, solids): (&Panel, &Vec<Vec<Point2>>)| PlanWall {
        id: panel.wall.clone(),
        kind: panel.kind,
        assembly: resolved.assemblies[panel.assembly].id.clone(),
        assembly_name: resolved.assemblies[panel.assembly].name.clone(),
        thickness_m: panel.thickness,
        length_m: lengths.get(&panel.wall).copied().unwrap_or_else(|| panel.a.distance(panel.b)),
        solids: solids.clone(),
    };
    let rooms = resolved.rooms.iter().filter(|r| r.storey == at).map(|room| PlanRoom {
        id: room.id.clone(),
        name: room.name.clone(),
        usage: room.usage,
        area_m2: room.area,
        outline: room.outline.clone(),
        holes: room.holes.clone(),
        inside: room.inside,
        target: target(household, room),
    });
    // The resolved outlets stand in the document's order but know no storey; the document's know no room.
    let room_of: std::collections::BTreeMap<&Id, Option<usize>> =
        resolved.outlets.iter().map(|o| (&o.outlet, o.room)).collect();
    let outlets = building.outlets.iter().filter(|o| o.storey == storey.id).map(|outlet| PlanOutlet {
        id: outlet.id.clone(),
        kind: outlet.kind,
        at: outlet.at,
        height_m: outlet.height.0,
        room: room_of.get(&outlet.id).copied().flatten().map(|i| resolved.rooms[i].id.clone()),
    });
    let objects = building.fixed_objects.iter().filter(|o| o.storey == storey.id).map(|object| PlanObject {
        id: object.id.clone(),
        name: object.name.clone(),
        outline: object.outline.clone(),
    });
    PlanStorey {
        id: storey.id.clone(),
        name: storey.name.clone(),
        usage: storey.usage,
        floor_z: storey.floor_z,
        ceiling_z: storey.ceiling_z,
        walls: panels().map(wall).collect(),
        openings: panels().flat_map(|(panel, _)| openings(panel, storey.floor_z)).collect(),
        rooms: rooms.collect(),
        stairs: building.stairs.iter().filter(|s| s.from == storey.id || s.to == storey.id).cloned().collect(),
        outlets: outlets.collect(),
        objects: objects.collect(),
    }
}

/// As coverage has it.
fn target(household: &Household, room: &building::ResolvedRoom) -> Option<RoomTarget> {
    let target = household.counted_target(&room.id, room.usage == RoomUse::Outdoor)?;
    Some(RoomTarget { down_bps: target.down.0, up_bps: target.up.0 })
}

fn openings(panel: &Panel, floor_z: f64) -> impl Iterator<Item = PlanOpening> + '_ {
    panel.cuts.iter().map(move |cut| PlanOpening {
        id: cut.opening.clone(),
        wall: panel.wall.clone(),
        kind: cut.kind,
        from: outline::along(panel, cut.s0),
        to: outline::along(panel, cut.s1),
        thickness_m: panel.thickness,
        sill_m: cut.z0 - floor_z,
        head_m: cut.z1 - floor_z,
    })
}

/// The rectangle around everything drawn; a metre about the origin if there is nothing.
fn bounds(storeys: &[PlanStorey], building: &Building) -> Bounds {
    let points = storeys.iter().flat_map(|s| {
        let walls = s.walls.iter().flat_map(|w| w.solids.iter().flatten());
        let rooms = s.rooms.iter().flat_map(|r| &r.outline);
        let stairs = s.stairs.iter().flat_map(|s| &s.outline);
        let objects = s.objects.iter().flat_map(|o| &o.outline);
        let outlets = s.outlets.iter().map(|o| &o.at);
        walls.chain(rooms).chain(stairs).chain(objects).chain(outlets)
    });
    let points = points.chain(building.demarcation.as_ref().map(|d| &d.at));
    let start = (Point2::new(f64::INFINITY, f64::INFINITY), Point2::new(f64::NEG_INFINITY, f64::NEG_INFINITY));
    let (min, max) = points.fold(start, |(min, max), p| {
        (Point2::new(min.x.min(p.x), min.y.min(p.y)), Point2::new(max.x.max(p.x), max.y.max(p.y)))
    });
    if min.is_finite() && max.is_finite() {
        Bounds { min, max }
    } else {
        Bounds { min: Point2::new(-0.5, -0.5), max: Point2::new(0.5, 0.5) }
    }
}
