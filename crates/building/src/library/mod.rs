//! Built-in materials and assemblies, each with its source. A building's own come first, see [`find_material`].
//!
//! - [`materials`], [`material`], [`find_material`]
//! - [`assemblies`], [`assembly`], [`find_assembly`]
//! - [`p2040_1`]: the constants of the 2015 edition, for comparison only
//!
//! A layer of studs, joists or furring is a cavity with members at a stated spacing, never a solid slab.

mod floors;
mod materials;
mod openings;
mod p2040;
mod walls;

use std::sync::LazyLock;

use findings::{Id, Source};
use units::Metres;

use crate::elements::Building;
use crate::material::{Assembly, Framing, Layer, Material};

pub use p2040::p2040_1;

static MATERIALS: LazyLock<Vec<Material>> = LazyLock::new(|| {
    let mut all = p2040::p2040_4();
    all.extend(materials::beside_p2040());
    all
});

static ASSEMBLIES: LazyLock<Vec<Assembly>> = LazyLock::new(|| {
    let mut all = walls::walls();
    all.extend(floors::floors());
    all.extend(openings::openings());
    all
});

/// Every built-in material: first those of ITU-R P.2040-4 Table 3, then those that it lacks.
#[must_use]
pub fn materials() -> &'static [Material] {
    &MATERIALS
}

/// Every built-in assembly: walls, then floors and roofs, then doors and windows.
#[must_use]
pub fn assemblies() -> &'static [Assembly] {
    &ASSEMBLIES
}

/// A built-in material.
#[must_use]
pub fn material(id: &str) -> Option<&'static Material> {
    materials().iter().find(|m| m.id.as_str() == id)
}

/// A built-in assembly.
#[must_use]
pub fn assembly(id: &str) -> Option<&'static Assembly> {
    assemblies().iter().find(|a| a.id.as_str() == id)
}

/// A material that a building can use: its own first, then the built-in ones.
#[must_use]
pub fn find_material<'a>(building: &'a Building, id: &Id) -> Option<&'a Material> {
    building.materials.iter().find(|m| m.id == *id).or_else(|| material(id.as_str()))
}

/// An assembly that a building can use: its own first, then the built-in ones.
#[must_use]
pub fn find_assembly<'a>(building: &'a Building, id: &Id) -> Option<&'a Assembly> {
    building.assemblies.iter().find(|a| a.id == *id).or_else(|| assembly(id.as_str()))
}

/// A solid layer [mm].
fn solid(material: &str, mm: f64) -> Layer {
    Layer { material: Id::from_label(material), thickness: Metres::from_mm(mm), framing: None }
}

/// A framing layer [mm]: `fill` between members of `member`, `width` wide, every `spacing` centre to centre.
fn framed(fill: &str, mm: f64, member: &str, spacing: f64, width: f64) -> Layer {
    let framing =
        Framing { material: Id::from_label(member), spacing: Metres::from_mm(spacing), width: Metres::from_mm(width) };
    Layer { framing: Some(framing), ..solid(fill, mm) }
}

/// An assembly as the trade builds it.
fn usual(id: &str, name: &str, layers: Vec<Layer>) -> Assembly {
    Assembly { id: Id::from_label(id), name: name.to_owned(), layers, source: Source::common_practice() }
}
