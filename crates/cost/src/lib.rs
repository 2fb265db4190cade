//! Labour and parts as a price: what a design costs, on which terms, and what the offer rests on.
//!
//! - [`evaluate`]: the one door; [`Input`] in, [`Quote`] out
//! - [`breakdown`]: parts and hours as a price, in exact decimals
//! - [`cautions`]: what the work that a design contains needs care with
//! - [`three_of`]: a good, a better and a best offer from ranked options
//! - [`RULES`]: what is checked
//!
//! What is bought and done is reckoned in `cabling`; terms are part of `equipment`, so that a job can hold them.

mod cautions;
mod extras;
mod figures;
mod judge;
mod lines;
mod price;
mod quote;
mod rules;
mod statements;
mod three;

pub use cautions::cautions;
pub use equipment::{Access, Materials, Stage, Tax, Terms};
pub use extras::UnitRate;
pub use lines::Order;
pub use price::{Breakdown, Costs, Due, TaxSum, breakdown};
pub use quote::{Input, Quote, evaluate};
pub use rules::RULES;
pub use statements::{Statement, StatementKind};
pub use three::{Choice, Tier, three_of};
