//! A design, and the plain result types that cross engines. Nothing is computed here.
//!
//! - [`Design`]: placed parts, links, radio settings, segments, feeds
//! - [`Upkeep`]: what is known of how it stays up
//! - [`results`]: gain map, link, route, take-off, draw, price, service
//! - [`wiring`]: how cables run, and the holes they need
//! - [`results::DesignOption`]: a whole design with its figures and what it beats

mod design;
pub mod results;
mod upkeep;
pub mod wiring;

pub use design::{
    Aim, Design, Family, Feed, FeedSource, LineQueue, Link, Medium, Mounting, PlacedPart, RadioSetting, Segment,
    SegmentPurpose,
};
pub use upkeep::{CellState, KnownFailure, Role, RoleKind, Shed, SupplyCells, Upkeep};
