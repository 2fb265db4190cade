//! Take-off, labour and price of a design.
//!
//! - [`evaluate`]: the one door; [`Input`], [`Terms`] in, [`Quote`] out
//! - [`cautions`]: what the work that a design contains needs care with
//! - [`RULES`]: what is checked
//!
//! Cable lengths are rectilinear estimates and are marked so; real routes are not this crate's.

mod cautions;
mod figures;
mod judge;
mod labour;
mod price;
mod quote;
mod route;
mod rules;
mod take_off;
mod terms;
mod work;

pub use cautions::cautions;
pub use labour::Hours;
pub use price::Breakdown;
pub use quote::{Input, Quote, evaluate};
pub use rules::RULES;
pub use terms::{Access, Terms};
