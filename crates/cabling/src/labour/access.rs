//! How hard it is to get a cable in: by what its way runs in, and by what a hole goes through.

use building::{Electrical, Resolved, ResolvedAssembly};
use equipment::Access;
use network::wiring::{Hole, HoleKind, Way};

/// Thickness from which a single unframed layer makes a wall or floor solid to work in [m] (common practice, no source).
const SOLID_LAYER: f64 = 0.06;
/// Relative permittivity from which a layer is solid rather than air or insulation, at 1 GHz: ITU-R P.2040-4
/// Table 3 has wood lowest of the building materials at 1.99 and ceiling board at 1.48.
const SOLID_PERMITTIVITY: f64 = 1.8;

/// Access of a way; what is stated for the building wins.
pub(crate) fn of_way(way: Way, stated: Option<Access>) -> Access {
    stated.unwrap_or(match way {
        Way::StudBay | Way::JoistBay | Way::AcrossJoists => Access::Finished,
        Way::Attic | Way::CrawlSpace => Access::AtticOrCrawlSpace,
        Way::Facade => Access::Outside,
        Way::Chase => Access::Solid,
        Way::CeilingVoid
        | Way::OpenCeiling
        | Way::Riser
        | Way::Conduit
        | Way::Raceway
        | Way::Buried
        | Way::Existing
        | Way::Open
        | Way::Through
        | Way::UnderDoor => Access::OpenWalls,
    })
}

/// Access of a hole: solid if what it goes through is, else a finished wall or floor; what is stated wins.
pub(crate) fn of_hole(hole: &Hole, home: &Resolved, stated: Option<Access>) -> Access {
    if let Some(stated) = stated {
        return stated;
    }
    let assembly = match hole.kind {
        HoleKind::Plate | HoleKind::Joist => None,
        HoleKind::Floor => home.decks.iter().find(|d| d.slab == hole.element).map(|d| d.assembly),
        HoleKind::Wall | HoleKind::PartyWall | HoleKind::OuterWall => {
            home.panels.iter().find(|p| p.wall == hole.element).map(|p| p.assembly)
        }
    };
    match assembly.and_then(|index| home.assemblies.get(index)) {
        Some(assembly) if is_solid(assembly) => Access::Solid,
        _ => Access::Finished,
    }
}

/// True if one unframed layer is thick and dense.
fn is_solid(assembly: &ResolvedAssembly) -> bool {
    assembly.layers.iter().any(|layer| {
        let dense = match layer.material.electrical {
            Electrical::Dielectric { a, .. } => a >= SOLID_PERMITTIVITY,
            Electrical::Sheet { .. } | Electrical::Mesh { .. } => false,
            Electrical::Metal => true,
        };
        layer.framing.is_none() && layer.thickness >= SOLID_LAYER && dense
    })
}
