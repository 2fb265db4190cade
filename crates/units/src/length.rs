//! Lengths as people write them.

use crate::parse::{ParseQuantityError, Unit, parse_with_units};

/// Reads a length into metres.
pub(crate) fn parse_length(text: &str) -> Result<f64, ParseQuantityError> {
    parse_with_units(
        text,
        "length",
        &[Unit("m", 1.0), Unit("cm", 0.01), Unit("mm", 0.001), Unit("ft", 0.3048), Unit("in", 0.0254)],
        Some(1.0),
    )
}
