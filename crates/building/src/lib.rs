//! A home: storeys, walls, openings, floors, rooms, layered assemblies, materials, outlets and the demarcation point.
//!
//! - [`Building`]: what the job document says
//! - [`Material`], [`Assembly`], [`library`]: what things are made of, and the built-in ones with their sources
//! - [`validate`], [`RULES`]: everything that is wrong with a building, with ids, numbers and remedies
//! - [`parametric`]: a whole home from a few wishes and a seed
//! - [`Resolved`]: joined walls, faces, room outlines and mountable places, derived once and used by all engines
//!
//! This crate knows nothing of radio: materials carry their electrical constants, not their losses.

mod elements;
mod geometry;
pub mod library;
mod material;
pub mod parametric;
mod resolve;
mod resolved;
mod validate;

pub use elements::{
    Building, CableEnd, CableSpace, CableSpaceKind, Circuit, Demarcation, ExistingCable, FixedObject, NoGoReason,
    NoGoZone, Opening, OpeningKind, Outlet, OutletKind, Room, RoomUse, Slab, SlabKind, Stair, Storey, StoreyUse, Wall,
    WallKind,
};
pub use material::{Assembly, Electrical, Framing, Layer, METAL_CONDUCTIVITY, Material, OutOfRange};
pub use resolve::JOIN_TOLERANCE;
pub use resolved::{
    Block, Cut, Deck, MountKind, MountPoint, Panel, Resolved, ResolvedAssembly, ResolvedCable, ResolvedCableSpace,
    ResolvedFraming, ResolvedLayer, ResolvedNoGoZone, ResolvedOutlet, ResolvedRoom, ResolvedStorey,
};
pub use validate::{MAX_ELEMENTS, MAX_OUTLINE_POINTS, RULES, validate};
