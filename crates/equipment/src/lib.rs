//! Generic parts, each figure with its source, and a price list that the user can replace. No brands.

mod part;

pub use part::{Battery, Failure, Part, PartKind, Poe, PoeSupply, Ports};
