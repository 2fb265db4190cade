//! How long services stay up: what each needs, with parts that several share, and how long a battery lasts.
//!
//! - [`evaluate`]: availability of each service that must stay up, minutes of outage a year, single points of failure
//! - [`Structure`]: exact availability of a structure of components, shared ones included
//! - [`availability`], [`ride_through`], [`battery_runtime`]: the formulas by themselves
//!
//! Fault trees by decision diagram, cut sets and importance measures are not here yet.

mod battery;
mod chain;
mod evaluate;
mod failure;
mod structure;

pub use battery::{battery_load, battery_runtime};
pub use evaluate::{BATTERY_GAP, DEVICE_OFF, Input, Outcome, RULES, RUNTIME_SHORT, SINGLE_POINT, Service, evaluate};
pub use failure::{Availability, availability, line_failures, ride_through};
pub use structure::{MAX_REPEATED, Structure, TooComplex};

/// Minutes in a year of 365 days, the base of SAIDI (IEEE Std 1366).
pub const MINUTES_A_YEAR: f64 = 525_600.0;
