//! A home: storeys, walls, openings, floors, rooms, layered assemblies, materials, outlets and the demarcation point.
//!
//! - [`Building`]: what the job document says
//! - [`material`], [`assembly`]: what things are made of
//! - [`Resolved`]: joined walls, faces, room outlines and mountable places, derived once and used by all engines
//!
//! This crate knows nothing of radio: materials carry their electrical constants, not their losses.

mod elements;
mod material;
mod resolved;

pub use elements::{
    Building, CableSpace, CableSpaceKind, Circuit, Demarcation, FixedObject, Opening, OpeningKind, Outlet, OutletKind,
    Room, RoomUse, Slab, SlabKind, Stair, Storey, StoreyUse, Wall, WallKind,
};
pub use material::{Assembly, Electrical, Framing, Layer, Material};
pub use resolved::{
    Block, Cut, Deck, MountKind, MountPoint, Panel, Resolved, ResolvedAssembly, ResolvedFraming, ResolvedLayer,
    ResolvedOutlet, ResolvedRoom, ResolvedStorey,
};
