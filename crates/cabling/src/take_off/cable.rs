//! What a take-off must know of a cable: its core and how thick it is.

use equipment::{Part, id};

/// What a cable ends in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Core {
    /// Twisted pairs that end in jacks up to category 6.
    Pairs,
    /// Twisted pairs that end in jacks of category 6A.
    Pairs6a,
    /// Glass fibre, made up with plugs in its length.
    Fibre,
}

/// Outer diameter of a cable that does not say its own [m] (generic figure: category 6A, the thickest in use).
const DIAMETER: f64 = 0.0075;

/// What a cable ends in; up to category 6 if it is not known.
pub(crate) fn core(part: Option<&Part>) -> Core {
    match part.map(|p| p.id.as_str()) {
        Some(id::CABLE_CAT6A) => Core::Pairs6a,
        _ => Core::Pairs,
    }
}

/// True if a cable is known to be glass fibre.
#[must_use]
pub fn is_fibre(part: Option<&Part>) -> bool {
    core(part) == Core::Fibre
}

/// Outer diameter of a cable [m].
pub(crate) fn diameter(_part: Option<&Part>) -> f64 {
    DIAMETER
}
