//! Ids by content.

use findings::Id;
use network::Design;

/// The design with a hash of its content as its id, so that the same design always has the same id.
pub(crate) fn with_hash(mut design: Design) -> Design {
    design.id = Id::from_label("content");
    // A design is plain data: it always serialises.
    let bytes = serde_json::to_vec(&design).unwrap_or_default();
    let hash = blake3::hash(&bytes).to_hex();
    design.id = Id::from_label(&hash[..12]);
    design
}
