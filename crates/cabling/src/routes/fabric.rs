//! What walls and floors are to somebody who pulls a cable: studs and joists, or solid.

use building::{Deck, Electrical, Panel, Resolved, ResolvedAssembly, ResolvedLayer};

use super::plan::Frame;

/// Thickness from which a single unframed layer is solid to work in [m] (common practice, no source).
const SOLID_LAYER: f64 = 0.06;
/// Relative permittivity from which a layer is solid rather than air or insulation, at 1 GHz: ITU-R P.2040-4
/// Table 3 has wood lowest of the building materials at 1.99 and ceiling board at 1.48.
const SOLID_PERMITTIVITY: f64 = 1.8;
/// Space between studs that a cable can be led through [m] (common practice, no source).
const LEAST_STUD_SPACE: f64 = 0.035;
/// Space between joists that a cable can be led through [m] (common practice, no source).
const LEAST_JOIST_SPACE: f64 = 0.09;
/// Widest and narrowest spacing of studs and joists that is believed [m].
const SPACINGS: (f64, f64) = (0.2, 1.3);

/// Members with room for cables between them.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Members {
    /// Centre to centre [m].
    pub spacing: f64,
    /// Width of a member [m].
    pub width: f64,
    /// Depth of a member [m].
    pub depth: f64,
}

fn is_dense(layer: &ResolvedLayer) -> bool {
    match layer.material.electrical {
        Electrical::Dielectric { a, .. } => a >= SOLID_PERMITTIVITY,
        Electrical::Sheet { .. } | Electrical::Mesh { .. } => false,
        Electrical::Metal => true,
    }
}

/// The members of an assembly whose bays are free or hold soft insulation; the deepest if there are several.
fn members(assembly: &ResolvedAssembly, least: f64) -> Option<Members> {
    assembly
        .layers
        .iter()
        .filter(|l| !is_dense(l) && l.thickness >= least)
        .filter_map(|l| {
            let f = l.framing.as_ref()?;
            // Webs of hollow blocks and slabs are members too, but of stone: nothing is led past them.
            let stone = matches!(f.material.electrical, Electrical::Dielectric { a, .. } if a > STONE_PERMITTIVITY);
            let believed = f.spacing >= SPACINGS.0 && f.spacing <= SPACINGS.1;
            (believed && !stone).then_some(Members { spacing: f.spacing, width: f.width, depth: l.thickness })
        })
        .max_by(|a, b| a.depth.total_cmp(&b.depth))
}

/// Relative permittivity above which a member is stone rather than wood: ITU-R P.2040-4 Table 3 has wood at 1.99,
/// plasterboard at 2.73 and brick at 3.91.
const STONE_PERMITTIVITY: f64 = 3.0;

/// The studs of a wall, if it has bays.
pub(super) fn studs(home: &Resolved, wall: &Panel) -> Option<Members> {
    home.assemblies.get(wall.assembly).and_then(|a| members(a, LEAST_STUD_SPACE))
}

/// The joists of a floor, if it has bays.
pub(super) fn joists(home: &Resolved, deck: &Deck) -> Option<Members> {
    home.assemblies.get(deck.assembly).and_then(|a| members(a, LEAST_JOIST_SPACE))
}

/// True if holes go through masonry or concrete.
pub(super) fn is_solid(home: &Resolved, assembly: usize) -> bool {
    home.assemblies.get(assembly).is_some_and(|a| {
        let heavy = |l: &ResolvedLayer| l.framing.is_none() && l.thickness >= SOLID_LAYER && is_dense(l);
        let hollow = |l: &ResolvedLayer| {
            l.framing.as_ref().is_some_and(
                |f| matches!(f.material.electrical, Electrical::Dielectric { a, .. } if a > STONE_PERMITTIVITY),
            )
        };
        a.layers.iter().any(|l| heavy(l) || hollow(l))
    })
}

/// True if the underside of a floor is open: nothing hangs under its joists, or it is bare.
pub(super) fn is_open_below(home: &Resolved, deck: &Deck) -> bool {
    home.assemblies
        .get(deck.assembly)
        .and_then(|a| a.layers.last())
        .is_none_or(|l| l.framing.is_some() || is_dense(l) && l.thickness >= SOLID_LAYER)
}

/// Thickness of what hangs under a floor's joists [m].
pub(super) fn lining(home: &Resolved, deck: &Deck) -> f64 {
    home.assemblies
        .get(deck.assembly)
        .map_or(0.0, |a| a.layers.iter().rev().take_while(|l| l.framing.is_none()).map(|l| l.thickness).sum())
}

/// The frame of a deck with `u` along its joists: as stated, or across its shorter side as it lies in the home.
pub(super) fn joist_frame(home: &Resolved, deck: &Deck, frame: Frame) -> Frame {
    if let Some(direction) = home.joists.get(&deck.slab) {
        let far = units::Point2::new(direction.cos(), direction.sin());
        return Frame::along(units::Point2::default(), far);
    }
    let Some([u0, u1, v0, v1]) = super::plan::bounds(frame, deck.outline.iter().copied()) else { return frame };
    // A hair's difference decides nothing: a square deck takes the home's own direction.
    if (u1 - u0) > (v1 - v0) * (1.0 + 1e-6) { frame.quarter() } else { frame }
}
