//! Reads an architect's IFC model into a building: storeys, walls with their layers, openings, floors, rooms, and from
//! a second model the outlets and appliances.
//!
//! - [`read`], [`Options`]: the import; [`dwellings`]: what there is to choose from
//! - [`Import`]: the building, the [`Report`] of what was understood, guessed and left out, and the [`Dwelling`]s
//! - [`Import::to_job`]: a whole job, with a stated default household and service
//! - [`RoomArea`]: a room's area to the walls' faces, to their centre lines, and as stated
//! - [`ImportError`]: why a file cannot be imported
//! - [`Limits`]: the largest file that is read
//!
//! STEP physical files (ISO 10303-21) of the schemas IFC2x3 and IFC4 are read. The crate derives nothing that
//! [`building::Resolved`] derives, and knows nothing of radio.

mod areas;
mod build;
mod curve;
mod dwelling;
mod electrical;
mod entity;
mod equip;
mod error;
mod geometry;
mod import;
mod keep;
mod layers;
mod model;
mod openings;
mod plan;
mod profile;
mod report;
mod shape;
mod slabs;
mod spaces;
mod step;
mod step_text;
mod storeys;
mod to_job;
mod transform;
mod walls;
mod words;

pub use areas::RoomArea;
pub use dwelling::{Dwelling, DwellingRoom};
pub use error::ImportError;
pub use import::{Import, Options, dwellings, read};
pub use report::{Entry, Report};
pub use step::{Limits, StepError};
pub use to_job::Origin;

/// Runs the example of the README.
#[cfg(doctest)]
#[doc = include_str!("../README.md")]
struct ReadMe;
