//! How results are shown as text. Nothing is computed here; numbers are only rounded to what they bear.

pub mod capacity;
pub mod design;
pub mod figures;
pub mod finding;
pub mod number;
pub mod plan;
pub mod source;
pub mod staying;
pub mod table;
pub mod text;
pub mod wires;
pub mod work;
