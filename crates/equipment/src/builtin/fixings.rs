//! Panels, outlets and what holds things in place. None of them has electronics.

use super::{GIGABIT_10, SPREAD, part};
use crate::part::{Part, PartKind};

/// Panels and fixings.
///
/// A patch panel's rate is what category 6A carries over a full channel: 10GBASE-T (IEEE 802.3-2022 clause 55).
pub(super) fn parts() -> Vec<Part> {
    let patch = |id: &str, name: &str, ports: u32| {
        part(id, name, PartKind::PatchPanel).ports(0, 0.0, ports, GIGABIT_10).fails_every(PASSIVE_MTBF, SPREAD)
    };
    vec![
        part("panel-structured", "Structured-wiring panel with door", PartKind::Panel),
        patch("patch-panel-12", "Patch panel, 12 ports category 6A, jacks included", 12),
        patch("patch-panel-24", "Patch panel, 24 ports category 6A, jacks included", 24),
        part("outlet-kit-cat6", "Outlet, category 6: box, plate and jack", PartKind::OutletKit),
        part("outlet-kit-cat6a", "Outlet, category 6A: box, plate and jack", PartKind::OutletKit),
        part("mount-ap", "Ceiling or wall mount", PartKind::Mount),
        part("raceway-surface", "Surface raceway, by the metre", PartKind::Raceway),
        part("firestop-seal", "Firestop seal of one hole", PartKind::Firestop),
    ]
}

/// Mean time between failures of a passive part that nobody moves [h] (generic figure).
const PASSIVE_MTBF: f64 = 2_000_000.0;
