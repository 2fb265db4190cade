//! ITU-R P.2040 Table 3: the only constants here that a recommendation gives.

use findings::{Id, Source};

use crate::material::{Electrical, Material};

/// Id, name, `a`, `b`, `c`, `d`, lowest and highest frequency [GHz].
type Row = (&'static str, &'static str, f64, f64, f64, f64, f64, f64);

/// ITU-R P.2040-4 (09/2025) Table 3; the same values stand in P.2040-3. Metal is listed apart.
const P2040_4: [Row; 14] = [
    ("air", "Air", 1.0, 0.0, 0.0, 0.0, 0.001, 100.0),
    ("concrete", "Concrete", 5.24, 0.0, 0.0462, 0.7822, 1.0, 100.0),
    ("brick", "Brick", 3.91, 0.0, 0.0238, 0.16, 1.0, 40.0),
    ("plasterboard", "Plasterboard (gypsum board)", 2.73, 0.0, 0.0085, 0.9395, 1.0, 100.0),
    ("wood", "Wood", 1.99, 0.0, 0.0047, 1.0718, 0.001, 100.0),
    ("glass", "Glass", 6.31, 0.0, 0.0036, 1.3394, 0.1, 100.0),
    ("ceiling-board", "Ceiling board", 1.48, 0.0, 0.0011, 1.0750, 1.0, 100.0),
    ("chipboard", "Chipboard", 2.58, 0.0, 0.0217, 0.7800, 1.0, 100.0),
    ("plywood", "Plywood", 2.71, 0.0, 0.33, 0.0, 1.0, 40.0),
    ("marble", "Marble", 7.074, 0.0, 0.0055, 0.9262, 1.0, 60.0),
    ("floorboard", "Floorboard (50 to 100 GHz only)", 3.66, 0.0, 0.0044, 1.3515, 50.0, 100.0),
    ("vinyl-tile", "Vinyl tile", 3.62, 0.0, 0.0051, 0.8422, 1.0, 40.0),
    ("carpet-tile", "Carpet tile", 2.08, 0.0, 0.0009, 0.8200, 1.0, 40.0),
    ("asphalt-concrete", "Asphalt concrete", 4.83, 0.0, 0.0108, 1.3969, 1.0, 40.0),
];

/// ITU-R P.2040-1 (07/2015) Table 3.
const P2040_1: [Row; 8] = [
    ("concrete", "Concrete", 5.31, 0.0, 0.0326, 0.8095, 1.0, 100.0),
    ("brick", "Brick", 3.75, 0.0, 0.038, 0.0, 1.0, 10.0),
    ("plasterboard", "Plasterboard", 2.94, 0.0, 0.0116, 0.7076, 1.0, 100.0),
    ("wood", "Wood", 1.99, 0.0, 0.0047, 1.0718, 0.001, 100.0),
    ("glass", "Glass", 6.27, 0.0, 0.0043, 1.1925, 0.1, 100.0),
    ("ceiling-board", "Ceiling board", 1.50, 0.0, 0.0005, 1.1634, 1.0, 100.0),
    ("chipboard", "Chipboard", 2.58, 0.0, 0.0217, 0.7800, 1.0, 100.0),
    ("floorboard", "Floorboard", 3.66, 0.0, 0.0044, 1.3515, 50.0, 100.0),
];

fn dielectric(rows: &[Row], source: &Source) -> Vec<Material> {
    rows.iter()
        .map(|&(id, name, a, b, c, d, min_ghz, max_ghz)| Material {
            id: Id::from_label(id),
            name: name.to_owned(),
            electrical: Electrical::Dielectric { a, b, c, d, min_ghz, max_ghz },
            source: source.clone(),
        })
        .collect()
}

/// Table 3 of the current edition, metal last.
pub(super) fn p2040_4() -> Vec<Material> {
    let source = Source::standard("ITU-R P.2040-4 (09/2025), Table 3");
    let mut all = dielectric(&P2040_4, &source);
    all.push(Material { id: Id::from_label("metal"), name: "Metal".to_owned(), electrical: Electrical::Metal, source });
    all
}

/// Table 3 of the 2015 edition: not used by any assembly, kept so that published values of that edition can be
/// reproduced with the same code.
#[must_use]
pub fn p2040_1() -> Vec<Material> {
    // The constants were written down from memory; each reproduces the published 9 GHz values of that edition.
    dielectric(&P2040_1, &Source::standard("ITU-R P.2040-1 (07/2015), Table 3").from_memory())
}
