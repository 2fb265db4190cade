//! Materials that homes are built of and ITU-R P.2040 has no row for, each with its own source.
//!
//! Most published figures are a permittivity and a loss tangent at one or a few frequencies. A loss tangent that does
//! not change with frequency is a conductivity that rises with its first power: `σ = 2π ε₀ a tanδ f`.

use findings::{Id, Source, SourceKind};

use crate::material::{Electrical, Material};

/// `2π ε₀` for a frequency in GHz [S/m].
const TWO_PI_EPS0_GHZ: f64 = 0.055_632_5;

/// Range over which a single published figure is held constant here [GHz]: the bands of homes with a margin.
const FLAT_RANGE_GHZ: (f64, f64) = (1.0, 10.0);

fn flat(id: &str, name: &str, permittivity: f64, loss_tangent: f64, source: Source) -> Material {
    Material {
        id: Id::from_label(id),
        name: name.to_owned(),
        electrical: Electrical::Dielectric {
            a: permittivity,
            b: 0.0,
            c: TWO_PI_EPS0_GHZ * permittivity * loss_tangent,
            d: 1.0,
            min_ghz: FLAT_RANGE_GHZ.0,
            max_ghz: FLAT_RANGE_GHZ.1,
        },
        source,
    }
}

fn sheet(id: &str, name: &str, ohm_per_square: f64, source: Source) -> Material {
    Material { id: Id::from_label(id), name: name.to_owned(), electrical: Electrical::Sheet { ohm_per_square }, source }
}

fn publication(cite: &str) -> Source {
    Source::new(SourceKind::Publication, cite)
}

/// Every material beside those of P.2040.
pub(super) fn beside_p2040() -> Vec<Material> {
    vec![
        flat("mineral-wool", "Mineral wool", 1.2, 0.005, Source::generic().from_memory()),
        sheet("low-e-coating", "Low-emissivity coating", 6.0, publication("TBD").from_memory()),
    ]
}
