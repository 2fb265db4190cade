//! Support of the contention tests.

#![allow(dead_code, reason = "each test file uses a part")]

pub mod cases;
pub mod mixes;
pub mod queues;
pub mod simulator;
