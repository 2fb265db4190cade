//! How long services stay up: what each needs, with parts that several share, and how long a battery lasts.
//!
//! - [`evaluate`]: availability of each service that must stay up, minutes of outage a year, single points of failure
//! - [`Model`]: the full analysis ([`Model::staying`]), [`Model::what_if`], [`Model::rank`], and what a planner asks
//! - [`Facts`]: what is known beside the design
//! - [`Diagram`], [`Structure`]: exact availability, importances and minimal cut sets of any structure
//! - [`Lengths`], [`regional_mains`], [`line_failures`]: outages of mains and lines
//! - [`runtime`], [`stages`], [`recharge`], [`peukert`], [`loads`]: batteries and what hangs on them
//! - [`RULES`]: every rule of this engine

mod analyse;
mod battery;
mod builder;
mod changes;
mod component;
mod diagram;
mod evaluate;
mod facts;
mod failure;
mod judge;
mod load;
mod mains;
mod model;
mod need;
mod outages;
mod random;
mod regions;
mod results;
mod rules;
mod services;
mod structure;
mod supply;
mod walk;
mod what_if;

pub use battery::{
    END_OF_LIFE, POWER_FACTOR, Runtime, RuntimeProblem, Stage, battery_runtime, capacity_share, drawn, peukert,
    recharge, runtime, stages,
};
pub use builder::Trouble;
pub use changes::{Change, ChangeKind, Ranked};
pub use component::ComponentKind;
pub use diagram::{CUT_ORDER, Cuts, Diagram, MAX_NODES};
pub use evaluate::{Input, Outcome, Service, evaluate};
pub use facts::{Facts, LineBackup, OutletCircuit, Reach, SharedWay, Termination};
pub use failure::{Availability, availability, line_failures};
pub use load::{ADAPTER_EFFICIENCY, DeviceLoad, LoadItem, POE_EFFICIENCY, battery_load, loads};
pub use model::Model;
pub use outages::{LOGNORMAL_SPREAD, Lengths, ride_through};
pub use regions::{RegionalMains, regional_mains};
pub use results::{
    BatteryRow, ComponentRow, CurvePoint, CutSet, Importance, Interval, MainsEffect, Member, OutageRow, OwnBatteryRow,
    ServiceRow, Staying, rounded,
};
pub use rules::{
    ACCESS_POINT_OFF, BATTERY_EMPTY, BATTERY_GAP, BATTERY_OVERLOAD, BATTERY_UNKNOWN, BEHIND_SWITCH, DEVICE_OFF,
    LINE_BACKUP_UNKNOWN, LINE_UNUSED, LINK_LOOP, MISSING_RATE, NO_REPAIR_TIME, POWER_LOOP, RULES, RUNTIME_SHORT,
    RUNTIME_WHEN_OLD, SHARED_BY_LINES, SINGLE_POINT, TERMINATION_OFF, VA_AS_ENERGY,
};
pub use services::{Alternative, AlternativeKind, Scope, ServiceKind};
pub use structure::{Structure, TooComplex};
pub use what_if::{Fared, Off, ServiceState, WhatIf};

/// Minutes in a year of 365 days, the base of SAIDI (IEEE Std 1366).
pub const MINUTES_A_YEAR: f64 = 525_600.0;
