//! How the cables of a design run through the building: plain results that cabling makes and others read.

use findings::{Figure, Id};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use units::{Metres, Point3};

use crate::results::Gap;

/// What a stretch of cable runs in or on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Way {
    /// Inside a framed wall, between two studs.
    StudBay,
    /// Inside a floor, along its joists.
    JoistBay,
    /// Inside a floor, across its joists.
    AcrossJoists,
    /// Above a hung ceiling.
    CeilingVoid,
    /// Under the roof.
    Attic,
    /// Under the ground floor.
    CrawlSpace,
    /// Along the open ceiling of a basement or garage.
    OpenCeiling,
    /// In a vertical shaft.
    Riser,
    /// In a pipe laid for cables.
    Conduit,
    /// In a channel on the surface of a wall or ceiling.
    Raceway,
    /// In a groove cut into a solid wall and closed again.
    Chase,
    /// On the outside of the building.
    Facade,
    /// In the ground between buildings.
    Buried,
    /// A cable that is there already.
    Existing,
    /// From the last fixed place to the equipment or panel, in the open.
    Open,
    /// Through a hole.
    Through,
    /// Under a door.
    UnderDoor,
}

/// A straight stretch of a cable's way.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Stretch {
    /// What it runs in or on.
    pub way: Way,
    /// The wall, slab or cable space that it runs in, if it is one.
    pub element: Option<Id>,
    /// Where it begins [m], nearer to the line.
    pub from: Point3,
    /// Where it ends [m].
    pub to: Point3,
}

/// What a hole goes through.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum HoleKind {
    /// An inside wall.
    Wall,
    /// A wall to a neighbour.
    PartyWall,
    /// A wall to the outside.
    OuterWall,
    /// A floor or ceiling.
    Floor,
    /// The plate at the head or foot of a framed wall.
    Plate,
    /// A joist.
    Joist,
}

/// A hole that cables pass through; those that pass together share it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Hole {
    /// Id, such as `hole-3`.
    pub id: Id,
    /// What it goes through.
    pub kind: HoleKind,
    /// The wall or slab.
    pub element: Id,
    /// Its place [m].
    pub at: Point3,
    /// How thick what it goes through is.
    pub depth: Metres,
    /// Its diameter, so that the cables fill no more of it than is allowed.
    pub diameter: Metres,
    /// Links whose cables pass.
    pub links: Vec<Id>,
    /// True if it must be sealed against fire with a tested seal.
    pub fire_seal: bool,
}

/// A stretch that has to be made before a cable can run in it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Made {
    /// What is made, and where.
    pub stretch: Stretch,
    /// Links whose cables run in it.
    pub links: Vec<Id>,
}

/// The way of one fixed cable.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct CableRoute {
    /// The link that the cable is.
    pub link: Id,
    /// What stands on both its ends, on the panel and on the plan.
    pub label: String,
    /// The equipment part that the cable is.
    pub cable: Id,
    /// Its way, from the end that is nearer to the line.
    pub stretches: Vec<Stretch>,
    /// Holes that it passes, in order.
    pub holes: Vec<Id>,
    /// Length of the way, without loops.
    pub way_length: Metres,
    /// Length of cable that is installed: the way and the loops at both ends. Its interval says how far it may be off.
    pub length: Figure,
    /// True if a cable that is there already is used.
    pub existing: bool,
}

/// How all fixed cables of a design run.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Wiring {
    /// One entry for each fixed cable that can be laid, in the order of the design's links.
    pub routes: Vec<CableRoute>,
    /// Holes, in the order of their places.
    pub holes: Vec<Hole>,
    /// What is made once for all cables in it: raceways, grooves, trenches, runs on the facade. Each is listed once,
    /// however many cables run there.
    pub made: Vec<Made>,
    /// How far the cost of all ways together may be from the least possible; absent if nothing is laid.
    pub gap: Option<Gap>,
    /// Places in the graph of ways that was searched.
    pub graph_places: usize,
    /// Ways between them.
    pub graph_ways: usize,
}
