//! What a part must give over its data cables.

use equipment::poe_class_watts;
use findings::Id;
use network::{Design, FeedSource};
use units::Watts;

use crate::Parts;

/// What hangs on one PoE supply.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct PoeLoad {
    /// Each fed part with its class, in the design's order.
    pub classes: Vec<(Id, u8)>,
    /// Highest draw of all together at the supply's ports: each device's worst draw, with the cable loss of its class's
    /// worst case in proportion (IEEE 802.3).
    pub worst: Watts,
}

/// The load on a placed part's powered ports; nothing if it feeds no part over data cables.
#[must_use]
pub fn poe_load(design: &Design, supply: &Id, parts: &Parts) -> Option<PoeLoad> {
    let mut load = PoeLoad::default();
    for feed in &design.feeds {
        if !matches!(&feed.source, FeedSource::Poe { part } if part == supply) {
            continue;
        }
        let poe = design.part(&feed.part).and_then(|placed| parts(&placed.part)).and_then(|p| p.poe.as_ref());
        // A part that cannot be fed over its data cable at all shows up as class 9, above every supply.
        let Some(poe) = poe else {
            load.classes.push((feed.part.clone(), 9));
            continue;
        };
        load.classes.push((feed.part.clone(), poe.class));
        // An unknown class is refused by the catalogue; here it adds its own draw.
        let (at_device, at_port) = poe_class_watts(poe.class).unwrap_or((Watts(1.0), Watts(1.0)));
        load.worst += poe.worst_draw * (at_port / at_device);
    }
    (!load.classes.is_empty()).then_some(load)
}
