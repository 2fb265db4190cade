//! What a take-off must know of a cable: what it ends in and how thick it is.

use equipment::{CableCore, Category, Part};

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
    match part.and_then(|p| p.cable.as_ref()).map(|c| &c.core) {
        Some(CableCore::Fibre { .. }) => Core::Fibre,
        Some(CableCore::TwistedPairs { category: Category::Cat6a | Category::Cat8, .. }) => Core::Pairs6a,
        Some(CableCore::TwistedPairs { .. }) | None => Core::Pairs,
    }
}

/// True if a cable is known to be glass fibre.
#[must_use]
pub fn is_fibre(part: Option<&Part>) -> bool {
    core(part) == Core::Fibre
}

/// Outer diameter of a cable [m].
pub(crate) fn diameter(part: Option<&Part>) -> f64 {
    let stated = part.and_then(|p| p.cable.as_ref()).map(|c| c.outer_diameter.value());
    stated.filter(|d| *d > 0.0 && d.is_finite()).unwrap_or(DIAMETER)
}
