//! Small parts that a take-off adds to what a design places: jacks, cords by length, labels, pipes, protection.

use units::Metres;

use super::part;
use crate::part::{Part, PartKind};

/// Cords by their length [m], shortest first; the one without a length in its name is 2 m long.
pub const CORDS: [(f64, &str); 5] =
    [(1.0, "cord-cat6-1m"), (2.0, "cord-cat6"), (3.0, "cord-cat6-3m"), (5.0, "cord-cat6-5m"), (10.0, "cord-cat6-10m")];

/// Pipes inside the building by their inner diameter [m], narrowest first (EN 61386-22, outer 20, 25 and 32 mm; inner
/// diameters from memory).
pub const CONDUITS: [(f64, &str); 3] = [(0.0141, "conduit-20"), (0.0183, "conduit-25"), (0.0243, "conduit-32")];

/// The pipe for the ground: its inner diameter [m] (generic figure for an outer diameter of 50 mm) and id.
pub const BURIED_CONDUIT: (f64, &str) = (0.0400, "conduit-buried-50");

/// Parts of a take-off.
pub(super) fn parts() -> Vec<Part> {
    let fitting = |id: &str, name: &str| part(id, name, PartKind::Fitting);
    let mut parts = vec![
        fitting("jack-cat6", "Jack, category 6, for a plate or panel that is there"),
        fitting("jack-cat6a", "Jack, category 6A, for a plate or panel that is there"),
        fitting("label-cable", "Printed label of a cable end or port"),
        fitting("seal-weather", "Sleeve and seal of a hole to the outside"),
        fitting("surge-protector-data", "Surge protector for a data cable, one port"),
        fitting("bonding-kit", "Conductor and clamps that bond a surge protector to earth"),
        part("conduit-20", "Conduit, 20 mm, by the metre", PartKind::Raceway),
        part("conduit-25", "Conduit, 25 mm, by the metre", PartKind::Raceway),
        part("conduit-32", "Conduit, 32 mm, by the metre", PartKind::Raceway),
        part("conduit-buried-50", "Conduit for the ground, 50 mm, with warning tape, by the metre", PartKind::Raceway),
    ];
    // Like the cord of the catalogue, in other lengths.
    let like = super::cables::parts().into_iter().find(|p| p.id.as_str() == super::id::CORD);
    for (length, id) in CORDS.iter().filter(|(_, id)| *id != super::id::CORD) {
        let mut cord = part(id, &format!("Patch cord, category 6, {length} m"), PartKind::Cord);
        if let Some(like) = &like {
            cord.source = like.source.clone();
            cord.cable = like.cable.clone();
        }
        if let Some(spec) = &mut cord.cable {
            spec.piece_length = Some(Metres(*length));
        }
        parts.push(cord);
    }
    parts
}
