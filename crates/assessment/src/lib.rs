//! Runs the engines on a design and collects their figures and findings. No rule's number is owned here.
//!
//! - [`Home`]: everything of a job that designs are judged against, resolved once
//! - [`Evaluator`]: keeps gain maps by site, so that a second design at the same places costs little
//! - [`Assessment`]: what comes out
//! - [`CoverageMap`], [`Probe`]: coverage drawn over a storey, and explained at a point
//! - [`Capacity`]: what a design carries in the busy hour, and its radios' channels
//! - [`Wired`]: how its cables run and what they bear
//! - [`Stays`]: how its services stay up, and what would help
//! - [`buildings`]: which rooms stand in which building
//! - [`rules`]: every rule of every engine

mod antennas;
mod buildings;
mod built;
mod capacity;
mod coverage;
mod enclosed;
mod evaluator;
mod gains;
mod home;
mod links;
mod map;
mod neighbours;
mod probe;
mod rules;
mod stays;
mod telephone;
mod wires;

pub use buildings::{CABLE_BETWEEN_BUILDINGS, buildings};
pub use built::Wired;
pub use capacity::data::{Capacity, FallbackRadio, Join, PlannedRadio, RadioPlan, ThingChannel, ThingLink};
pub use coverage::{BandCoverage, Coverage, Field, Served};
pub use enclosed::RADIO_ENCLOSED;
pub use evaluator::{Assessment, Evaluator};
pub use home::{Home, NotComputable};
pub use links::dependable_margin;
pub use map::{CoverageMap, MapError, MapRequest, Quantity};
pub use probe::{Leg, OtherPaths, PathCrossing, Probe, ProbePath, ProbeTarget, Turn, TurnKind};
pub use rules::rules;
pub use stays::{Helpful, Stays};
