//! Support of the contention tests.

pub mod cases;
