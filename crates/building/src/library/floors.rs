//! Built-in floors.

use super::{framed, solid, usual};
use crate::material::Assembly;

/// Every built-in assembly of this kind.
pub(super) fn floors() -> Vec<Assembly> {
    vec![usual("x-floors", "x", vec![solid("plasterboard", 12.5), framed("air", 89.0, "wood", 400.0, 38.0)])]
}
