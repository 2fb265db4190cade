//! Cables and cords. None of them has ports: a cable joins those of others.

use findings::{Source, SourceKind};
use units::Metres;

use super::part;
use crate::cable::{CableCore, CableSpec, Category, Conductor, Euroclass, FireListing, Jacket};
use crate::part::{Part, PartKind};

/// Cables by the metre and cords by the piece.
///
/// Gauges and diameters are what most cables of a category have; jackets are the usual ones of indoor cable (generic
/// figures, from memory). What is printed on the cable decides.
pub(super) fn parts() -> Vec<Part> {
    let pairs = |category, gauge_awg, stranded| CableCore::TwistedPairs {
        category,
        gauge_awg,
        conductor: Conductor::Copper,
        stranded,
        screened: false,
    };
    let inside = Jacket { euroclass: Some(Euroclass::Dca), listing: Some(FireListing::Cmr), ..Jacket::default() };
    let cord_jacket = Jacket { euroclass: Some(Euroclass::Eca), listing: Some(FireListing::Cm), ..Jacket::default() };
    // Polyethylene bears sun and water and burns: outdoor cable ends soon after it has come in.
    let outside = Jacket {
        euroclass: Some(Euroclass::Fca),
        listing: Some(FireListing::Cmx),
        sunlight: true,
        water: true,
        burial: true,
    };
    let clad = CableCore::TwistedPairs {
        category: Category::Cat5e,
        gauge_awg: 24,
        conductor: Conductor::CopperCladAluminium,
        stranded: false,
        screened: false,
    };
    let unknown = Jacket::default();
    let mut clad = cable("cable-cca", "Cable, 4 pairs, copper-clad aluminium, as found", clad, 5.2, unknown);
    clad.found_only = true;
    vec![
        cable("cable-cat6", "Cable, 4 pairs, category 6, solid copper", pairs(Category::Cat6, 23, false), 6.0, inside),
        cable(
            "cable-cat6a",
            "Cable, 4 pairs, category 6A, solid copper",
            pairs(Category::Cat6a, 23, false),
            7.5,
            inside,
        ),
        cable(
            "cable-cat6-outdoor",
            "Cable for outdoors and the ground, 4 pairs, category 6, solid copper, gel-filled",
            pairs(Category::Cat6, 23, false),
            7.5,
            outside,
        ),
        cable(
            "cable-fibre-pair",
            "Cable for outdoors and the ground, 2 single-mode fibres, made up with plugs",
            CableCore::Fibre { fibres: 2, single_mode: true },
            5.0,
            outside,
        ),
        clad,
        cord("cord-cat6", "Patch cord, category 6", pairs(Category::Cat6, 24, true), 5.8, cord_jacket),
        cord("cord-thin", "Thin patch cord, category 6, 28 AWG", pairs(Category::Cat6, 28, true), 3.8, cord_jacket),
    ]
}

fn cable(id: &str, name: &str, core: CableCore, diameter_mm: f64, jacket: Jacket) -> Part {
    let spec = CableSpec { core, outer_diameter: Metres(diameter_mm / 1000.0), jacket, piece_length: None };
    Part {
        cable: Some(spec),
        source: Source::new(
            SourceKind::GenericFigure,
            "generic figure; gauge, diameter and jacket as most of the category have them",
        )
        .from_memory(),
        ..part(id, name, PartKind::Cable)
    }
}

fn cord(id: &str, name: &str, core: CableCore, diameter_mm: f64, jacket: Jacket) -> Part {
    let mut cord = cable(id, name, core, diameter_mm, jacket);
    cord.kind = PartKind::Cord;
    if let Some(spec) = &mut cord.cable {
        // Cords of two metres suit a panel and a shelf alike (common practice, no source).
        spec.piece_length = Some(Metres(2.0));
    }
    cord
}
