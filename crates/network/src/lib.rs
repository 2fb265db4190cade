//! A design, and the plain result types that cross engines. Nothing is computed here.
//!
//! - [`Design`]: placed parts, links, radio settings, segments, feeds
//! - [`results`]: gain map, link, route, take-off, draw, price, service
//! - [`DesignOption`]: a whole design with its figures and what it beats

mod design;
pub mod results;

pub use design::{
    Aim, Design, Family, Feed, FeedSource, LineQueue, Link, Medium, Mounting, PlacedPart, RadioSetting, Segment,
    SegmentPurpose,
};
