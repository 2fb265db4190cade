//! The parts of a home as the job document holds them.

use findings::Id;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use units::{Degrees, Metres, Point2, SquareMetres};

use crate::material::{Assembly, Material};

/// A home. All coordinates are metres in one right-handed frame, z up.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Building {
    /// Direction of north, clockwise from up the sheet.
    #[serde(default)]
    pub north: Degrees,
    /// Storeys, in any order.
    pub storeys: Vec<Storey>,
    /// Walls on their centre lines.
    #[serde(default)]
    pub walls: Vec<Wall>,
    /// Doors, windows and gaps in walls.
    #[serde(default)]
    pub openings: Vec<Opening>,
    /// Floors, ceilings and roofs.
    #[serde(default)]
    pub slabs: Vec<Slab>,
    /// Rooms; found from the walls where none are given.
    #[serde(default)]
    pub rooms: Vec<Room>,
    /// Stairs.
    #[serde(default)]
    pub stairs: Vec<Stair>,
    /// Sockets and other outlets.
    #[serde(default)]
    pub outlets: Vec<Outlet>,
    /// Mains circuits.
    #[serde(default)]
    pub circuits: Vec<Circuit>,
    /// Large fixed things that stop or reflect radio.
    #[serde(default)]
    pub fixed_objects: Vec<FixedObject>,
    /// Where cables can run: attics, crawl spaces, risers, conduits.
    #[serde(default)]
    pub cable_spaces: Vec<CableSpace>,
    /// Data cables that are there already and may be used.
    #[serde(default)]
    pub existing_cables: Vec<ExistingCable>,
    /// Where no cable may run: flues, structure, pipes.
    #[serde(default)]
    pub no_go_zones: Vec<NoGoZone>,
    /// Where the line enters, if known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub demarcation: Option<Demarcation>,
    /// Assemblies of this home, beside the built-in ones.
    #[serde(default)]
    pub assemblies: Vec<Assembly>,
    /// Materials of this home, beside the built-in ones.
    #[serde(default)]
    pub materials: Vec<Material>,
}

/// What a storey is used for.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum StoreyUse {
    /// People live here.
    #[default]
    Living,
    /// Below ground.
    Basement,
    /// Under the roof, not lived in.
    Attic,
    /// Low space under the ground floor.
    CrawlSpace,
    /// Only structure: foundations, the roof.
    Structure,
}

/// A storey.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Storey {
    /// Id.
    pub id: Id,
    /// Name for people.
    pub name: String,
    /// Height of the finished floor above the building's zero level.
    pub elevation: Metres,
    /// From the finished floor to the underside of the ceiling.
    pub height: Metres,
    /// What it is used for.
    #[serde(default, rename = "use")]
    pub usage: StoreyUse,
    /// The element's id in the model that it was imported from.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub model_id: Option<String>,
}

/// What lies on the far side of a wall.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum WallKind {
    /// Rooms of this home on both sides.
    #[default]
    Inside,
    /// The open air, or the ground.
    Outer,
    /// A neighbour.
    Party,
}

/// A straight wall on its centre line.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Wall {
    /// Id.
    pub id: Id,
    /// The storey whose floor it stands on.
    pub storey: Id,
    /// One end of the centre line.
    pub from: Point2,
    /// The other end.
    pub to: Point2,
    /// What it is made of; the first layer is on the left, looking from `from` to `to`.
    pub assembly: Id,
    /// What lies on its far side.
    #[serde(default)]
    pub kind: WallKind,
    /// Height of its foot above the storey's floor.
    #[serde(default)]
    pub base: Metres,
    /// Its height; the storey's height if absent.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub height: Option<Metres>,
    /// How long it must hold a fire back [min], if it must; a wall to a neighbour must in any case.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub fire_minutes: Option<u32>,
    /// The element's id in the model that it was imported from.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub model_id: Option<String>,
}

/// What fills an opening.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum OpeningKind {
    /// A door leaf.
    Door,
    /// A pane in a frame.
    Window,
    /// Nothing.
    Gap,
}

/// A door, window or gap in a wall.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Opening {
    /// Id.
    pub id: Id,
    /// The wall that it is in.
    pub wall: Id,
    /// What fills it.
    pub kind: OpeningKind,
    /// From the wall's `from` end to the nearer jamb, along the wall.
    pub at: Metres,
    /// Width along the wall.
    pub width: Metres,
    /// Height.
    pub height: Metres,
    /// Height of its lower edge above the storey's floor.
    #[serde(default)]
    pub sill: Metres,
    /// What the leaf or pane is made of; needed for doors and windows, absent for gaps.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub assembly: Option<Id>,
    /// The element's id in the model that it was imported from.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub model_id: Option<String>,
}

/// What a horizontal element is.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum SlabKind {
    /// People walk on it.
    #[default]
    Floor,
    /// Hung below a floor or roof.
    Ceiling,
    /// The weather is above it.
    Roof,
}

/// A floor, ceiling or flat roof.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Slab {
    /// Id.
    pub id: Id,
    /// The storey that it belongs to.
    pub storey: Id,
    /// What it is.
    #[serde(default)]
    pub kind: SlabKind,
    /// Its outline in plan; the last point joins the first.
    pub outline: Vec<Point2>,
    /// Holes in it, such as a stairwell.
    #[serde(default)]
    pub holes: Vec<Vec<Point2>>,
    /// Height of its upper face above the storey's floor.
    #[serde(default)]
    pub top: Metres,
    /// What it is made of, from top to bottom.
    pub assembly: Id,
    /// Direction of its joists, anticlockwise from x; across its shorter side if absent.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub joists: Option<Degrees>,
    /// How long it must hold a fire back [min], if it must.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub fire_minutes: Option<u32>,
    /// True if it is prestressed or post-tensioned, so that nobody may drill it.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub tensioned: bool,
    /// The element's id in the model that it was imported from.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub model_id: Option<String>,
}

/// What a room is used for.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum RoomUse {
    /// Sitting, playing, watching.
    Living,
    /// Cooking, eating.
    Kitchen,
    /// Sleeping.
    Bedroom,
    /// Washing.
    Bath,
    /// Working.
    Office,
    /// Hall, landing, corridor.
    Hall,
    /// Stairs.
    Stair,
    /// Laundry, boiler, stores.
    Utility,
    /// Cars.
    Garage,
    /// Garden, roof, balcony.
    Outdoor,
    /// Anything else.
    #[default]
    Other,
}

/// A room: an id, a name and a point inside. Its outline is derived from the walls unless it is given.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Room {
    /// Id.
    pub id: Id,
    /// Name for people.
    pub name: String,
    /// The storey.
    pub storey: Id,
    /// A point inside it.
    pub inside: Point2,
    /// What it is used for.
    #[serde(default, rename = "use")]
    pub usage: RoomUse,
    /// Its outline, where walls alone do not bound it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub outline: Option<Vec<Point2>>,
    /// Its floor area as the model states it, for comparison.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub stated_area: Option<SquareMetres>,
    /// The element's id in the model that it was imported from.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub model_id: Option<String>,
}

/// A stair between two storeys.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Stair {
    /// Id.
    pub id: Id,
    /// The storey that it starts on.
    pub from: Id,
    /// The storey that it reaches.
    pub to: Id,
    /// Its outline in plan.
    pub outline: Vec<Point2>,
}

/// What an outlet gives.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum OutletKind {
    /// Mains power.
    Mains,
    /// Twisted-pair data.
    Data,
    /// Coaxial cable.
    Coax,
    /// A telephone pair.
    Phone,
}

/// A socket or other outlet.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Outlet {
    /// Id.
    pub id: Id,
    /// What it gives.
    pub kind: OutletKind,
    /// The storey.
    pub storey: Id,
    /// Its place in plan.
    pub at: Point2,
    /// Its height above the storey's floor.
    #[serde(default)]
    pub height: Metres,
    /// The mains circuit that feeds it, if known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub circuit: Option<Id>,
    /// The element's id in the model that it was imported from.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub model_id: Option<String>,
}

/// A mains circuit.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Circuit {
    /// Id.
    pub id: Id,
    /// Name for people.
    pub name: String,
}

/// A large fixed thing of metal or glass that stops or reflects radio, upright on its outline.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct FixedObject {
    /// Id.
    pub id: Id,
    /// What it is, such as `refrigerator`.
    pub name: String,
    /// The storey.
    pub storey: Id,
    /// Its outline in plan.
    pub outline: Vec<Point2>,
    /// Height of its underside above the storey's floor.
    #[serde(default)]
    pub base: Metres,
    /// Its height.
    pub height: Metres,
    /// What it is made of.
    pub material: Id,
    /// The element's id in the model that it was imported from.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub model_id: Option<String>,
}

/// What kind of space a cable can run in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum CableSpaceKind {
    /// Under the roof.
    Attic,
    /// Under the ground floor.
    CrawlSpace,
    /// Above a hung ceiling or between joists.
    CeilingVoid,
    /// A vertical shaft.
    Riser,
    /// A pipe laid for cables.
    Conduit,
}

/// A space that cables can run in.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct CableSpace {
    /// Id.
    pub id: Id,
    /// What kind of space it is.
    pub kind: CableSpaceKind,
    /// The storeys that it can be reached from.
    pub storeys: Vec<Id>,
    /// Its outline in plan.
    pub outline: Vec<Point2>,
    /// Inner diameter, if it is a pipe and known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bore: Option<Metres>,
}

/// A data cable that is there already.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ExistingCable {
    /// Id.
    pub id: Id,
    /// The equipment part that it is, or is like.
    pub part: Id,
    /// One end.
    pub from: CableEnd,
    /// The other end.
    pub to: CableEnd,
}

/// Where a cable that is there already ends.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(tag = "kind", rename_all = "kebab-case", deny_unknown_fields)]
pub enum CableEnd {
    /// At an outlet of the home.
    Outlet {
        /// The outlet.
        outlet: Id,
    },
    /// Somewhere else.
    Place {
        /// The storey.
        storey: Id,
        /// Its place in plan.
        at: Point2,
        /// Its height above the storey's floor.
        #[serde(default)]
        height: Metres,
    },
}

/// Why no cable may run somewhere.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum NoGoReason {
    /// A flue or chimney: hot.
    Flue,
    /// Beams, columns and walls that carry.
    Structure,
    /// Water, gas or waste pipes.
    Pipes,
    /// Electrical equipment.
    Mains,
    /// Asbestos or another material that must not be disturbed.
    HazardousMaterial,
    /// Anything else.
    Other,
}

/// An upright space where no cable may run.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct NoGoZone {
    /// Id.
    pub id: Id,
    /// Why.
    pub reason: NoGoReason,
    /// The storey.
    pub storey: Id,
    /// Its outline in plan.
    pub outline: Vec<Point2>,
    /// Height of its underside above the storey's floor.
    #[serde(default)]
    pub base: Metres,
    /// Its height; up to and through the ceiling of the storey if absent.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub height: Option<Metres>,
}

/// Where the line enters the home.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Demarcation {
    /// The storey.
    pub storey: Id,
    /// Its place in plan.
    pub at: Point2,
    /// Its height above the storey's floor.
    #[serde(default)]
    pub height: Metres,
    /// The element's id in the model that it was imported from.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub model_id: Option<String>,
}
