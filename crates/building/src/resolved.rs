//! The home as engines see it: ids resolved to indices, walls cut by their openings, room outlines, mountable places.

use std::collections::{BTreeMap, BTreeSet};

use findings::Id;
use units::{Point2, Point3};

use crate::elements::{CableSpaceKind, NoGoReason, OpeningKind, RoomUse, SlabKind, StoreyUse, WallKind};
use crate::material::{Electrical, Material};

/// A home with everything derived that more than one engine needs. Made once, by [`Resolved::new`], from a valid
/// [`Building`](crate::Building); all numbers are finite and all indices hold.
#[derive(Clone, Debug, Default)]
pub struct Resolved {
    /// Storeys by rising elevation.
    pub storeys: Vec<ResolvedStorey>,
    /// Rooms, in the document's order, or as found from the walls.
    pub rooms: Vec<ResolvedRoom>,
    /// Walls, as upright rectangles with cuts.
    pub panels: Vec<Panel>,
    /// Floors, ceilings and roofs.
    pub decks: Vec<Deck>,
    /// Fixed objects.
    pub blocks: Vec<Block>,
    /// Every assembly in use.
    pub assemblies: Vec<ResolvedAssembly>,
    /// Outlets with their room.
    pub outlets: Vec<ResolvedOutlet>,
    /// Where the line enters, if known.
    pub demarcation: Option<Point3>,
    /// Doors and gaps between rooms, and stairs: which rooms a person can walk between (indices into `rooms`).
    pub passages: Vec<(usize, usize)>,
    /// Where cables can run.
    pub cable_spaces: Vec<ResolvedCableSpace>,
    /// Data cables that are there already.
    pub existing_cables: Vec<ResolvedCable>,
    /// Where no cable may run.
    pub no_go_zones: Vec<ResolvedNoGoZone>,
    /// How long walls and slabs that are stated to stop a fire must do so [min].
    pub fire_minutes: BTreeMap<Id, u32>,
    /// Slabs that nobody may drill, because they are prestressed or post-tensioned.
    pub tensioned: BTreeSet<Id>,
    /// Stated directions of slabs' joists, anticlockwise from x [rad].
    pub joists: BTreeMap<Id, f64>,
}

/// A space that cables can run in.
#[derive(Clone, Debug)]
pub struct ResolvedCableSpace {
    /// The space.
    pub space: Id,
    /// What kind of space it is.
    pub kind: CableSpaceKind,
    /// Indices of the storeys that it can be reached from, rising.
    pub storeys: Vec<usize>,
    /// Outline, anticlockwise, not closed.
    pub outline: Vec<Point2>,
    /// Inner diameter [m], if it is a pipe and known.
    pub bore: Option<f64>,
}

/// A data cable that is there already.
#[derive(Clone, Debug)]
pub struct ResolvedCable {
    /// The cable.
    pub cable: Id,
    /// The equipment part that it is, or is like.
    pub part: Id,
    /// Its ends [m].
    pub ends: [Point3; 2],
}

/// An upright prism where no cable may run.
#[derive(Clone, Debug)]
pub struct ResolvedNoGoZone {
    /// The zone.
    pub zone: Id,
    /// Why.
    pub reason: NoGoReason,
    /// Outline, anticlockwise, not closed.
    pub outline: Vec<Point2>,
    /// Underside [m].
    pub z0: f64,
    /// Top [m].
    pub z1: f64,
}

/// A storey.
#[derive(Clone, Debug)]
pub struct ResolvedStorey {
    /// Id.
    pub id: Id,
    /// Name for people.
    pub name: String,
    /// Finished floor [m].
    pub floor_z: f64,
    /// Underside of the ceiling [m].
    pub ceiling_z: f64,
    /// What it is used for.
    pub usage: StoreyUse,
}

/// A room with its outline.
#[derive(Clone, Debug)]
pub struct ResolvedRoom {
    /// Id.
    pub id: Id,
    /// Name for people.
    pub name: String,
    /// Index of its storey.
    pub storey: usize,
    /// What it is used for.
    pub usage: RoomUse,
    /// Outline along the walls' inner faces, anticlockwise, not closed.
    pub outline: Vec<Point2>,
    /// Holes in it (shafts, chimneys), clockwise.
    pub holes: Vec<Vec<Point2>>,
    /// Floor area [m²].
    pub area: f64,
    /// A point inside.
    pub inside: Point2,
}

/// A wall on its centre line.
#[derive(Clone, Debug)]
pub struct Panel {
    /// The wall.
    pub wall: Id,
    /// Index of its storey.
    pub storey: usize,
    /// What lies on its far side.
    pub kind: WallKind,
    /// One end.
    pub a: Point2,
    /// The other end.
    pub b: Point2,
    /// Foot [m].
    pub z0: f64,
    /// Head [m].
    pub z1: f64,
    /// Thickness [m].
    pub thickness: f64,
    /// Index of its assembly.
    pub assembly: usize,
    /// Openings, by rising `s0`; they do not overlap.
    pub cuts: Vec<Cut>,
}

/// An opening in a panel.
#[derive(Clone, Debug)]
pub struct Cut {
    /// The opening.
    pub opening: Id,
    /// What fills it.
    pub kind: OpeningKind,
    /// Nearer jamb, from the panel's `a` [m].
    pub s0: f64,
    /// Farther jamb [m].
    pub s1: f64,
    /// Lower edge [m], building zero.
    pub z0: f64,
    /// Upper edge [m], building zero.
    pub z1: f64,
    /// Index of the leaf's or pane's assembly; none for a gap.
    pub assembly: Option<usize>,
}

/// A floor, ceiling or roof.
#[derive(Clone, Debug)]
pub struct Deck {
    /// The slab.
    pub slab: Id,
    /// Index of its storey.
    pub storey: usize,
    /// What it is.
    pub kind: SlabKind,
    /// Outline, anticlockwise, not closed.
    pub outline: Vec<Point2>,
    /// Holes, clockwise.
    pub holes: Vec<Vec<Point2>>,
    /// Upper face [m].
    pub z_top: f64,
    /// Lower face [m].
    pub z_bottom: f64,
    /// Index of its assembly.
    pub assembly: usize,
}

/// A fixed object as an upright prism.
#[derive(Clone, Debug)]
pub struct Block {
    /// The object.
    pub object: Id,
    /// Outline, anticlockwise, not closed.
    pub outline: Vec<Point2>,
    /// Underside [m].
    pub z0: f64,
    /// Top [m].
    pub z1: f64,
    /// What it is made of.
    pub electrical: Electrical,
}

/// An assembly with its materials in place.
#[derive(Clone, Debug, PartialEq)]
pub struct ResolvedAssembly {
    /// Id.
    pub id: Id,
    /// Name for people.
    pub name: String,
    /// Layers in order.
    pub layers: Vec<ResolvedLayer>,
}

/// A layer with its material.
#[derive(Clone, Debug, PartialEq)]
pub struct ResolvedLayer {
    /// What fills it.
    pub material: Material,
    /// Thickness [m].
    pub thickness: f64,
    /// Members, if it is a framing layer.
    pub framing: Option<ResolvedFraming>,
}

/// Members of a framing layer.
#[derive(Clone, Debug, PartialEq)]
pub struct ResolvedFraming {
    /// What the members are made of.
    pub material: Material,
    /// Centre to centre [m].
    pub spacing: f64,
    /// Width of a face [m].
    pub width: f64,
}

/// An outlet with its room.
#[derive(Clone, Debug)]
pub struct ResolvedOutlet {
    /// The outlet.
    pub outlet: Id,
    /// What it gives.
    pub kind: crate::elements::OutletKind,
    /// Index of its room, if it is in one.
    pub room: Option<usize>,
    /// Its place [m].
    pub at: Point3,
}

/// What a part can be held by.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum MountKind {
    /// Under a ceiling.
    Ceiling,
    /// On a wall.
    Wall,
    /// On a shelf or other furniture against a wall.
    Shelf,
}

/// A place where a part could be held.
#[derive(Clone, Debug)]
pub struct MountPoint {
    /// What holds it.
    pub kind: MountKind,
    /// Index of its room.
    pub room: usize,
    /// Its place [m].
    pub at: Point3,
    /// Direction away from the surface, in plan; zero under a ceiling.
    pub facing: Point2,
    /// Index of the nearest mains outlet in the same room, if there is one.
    pub outlet: Option<usize>,
    /// Distance to that outlet along the surfaces, rectilinear [m]; infinite if there is none.
    pub outlet_distance: f64,
}
