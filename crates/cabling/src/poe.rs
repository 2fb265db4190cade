//! What a part must give over its data cables.

use findings::Id;
use network::{Design, FeedSource};
use units::Watts;

use crate::Parts;

/// What hangs on one PoE supply.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct PoeLoad {
    /// Each fed part with its class, in the design's order.
    pub classes: Vec<(Id, u8)>,
    /// Highest draw of all together, at the supply's ports: the class power of IEEE 802.3 where it is higher than the
    /// device's own worst draw would ask for is not assumed; cable loss is the class's worst case in proportion.
    pub worst: Watts,
}

/// Power a supply must provide and a device may draw, by class [W] (IEEE 802.3-2022, tables 33-1, 145-1 and 145-11).
const CLASS_WATTS: [(f64, f64); 9] = [
    (15.4, 12.95),
    (4.0, 3.84),
    (7.0, 6.49),
    (15.4, 12.95),
    (30.0, 25.5),
    (45.0, 40.0),
    (60.0, 51.0),
    (75.0, 62.0),
    (90.0, 71.3),
];

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
        let (at_port, at_device) = CLASS_WATTS.get(usize::from(poe.class)).copied().unwrap_or((90.0, 71.3));
        load.worst += poe.worst_draw * (at_port / at_device);
    }
    (!load.classes.is_empty()).then_some(load)
}
