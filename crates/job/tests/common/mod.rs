//! A small job that uses every section, and generated ones.
#![allow(dead_code)]

use job::{Encoding, Job};

/// A job with every section filled.
pub const FULL: &str = include_str!("../data/full.toml");

pub fn full() -> Job {
    job::parse(FULL, Encoding::Toml).unwrap_or_else(|e| panic!("{e}"))
}
