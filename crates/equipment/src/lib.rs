//! Generic parts, each figure with its source, and a price list that the user can replace. No brands.
//!
//! - [`Part`]: what a part is; [`catalog`]: the built-in ones; [`Catalog`]: those and the job's own
//! - [`CableSpec`]: what a cable or cord is
//! - [`check_part`]: what makes a part's figures unusable
//! - [`poe_class_watts`]: the power classes of IEEE 802.3
//! - [`PriceList`]: prices from a CSV file, or generic ones
//! - [`Terms`]: what a firm adds, how it works and what it asks for

mod builtin;
mod cable;
mod catalog;
mod check;
mod part;
mod poe;
mod price;
mod terms;

#[cfg(doctest)]
#[doc = include_str!("../README.md")]
struct Readme;

pub use builtin::{catalog, id};
pub use cable::{CableCore, CableSpec, Category, Conductor, Euroclass, FireListing, Jacket};
pub use catalog::Catalog;
pub use check::{PartProblem, check_part};
pub use part::{Battery, Cells, Chemistry, Failure, Part, PartKind, Poe, PoeSupply, Ports, SupplyOutput};
pub use poe::poe_class_watts;
pub use price::{LABOUR_HOUR, Price, PriceList, PriceProblem, PriceUnit};
pub use terms::{Access, Materials, Stage, Tax, TermProblem, Terms};
