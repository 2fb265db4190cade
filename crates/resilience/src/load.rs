//! What hangs on a battery supply: the draw of each part, with what is lost on the way to it.

use equipment::{Part, SupplyOutput, poe_class_watts};
use findings::Id;
use network::{Design, FeedSource};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use units::Watts;

/// Efficiency of a mains adapter that a direct-current supply stands in for (generic figure, from memory: adapters of
/// 12 to 49 W must reach about 0.85 in the mean).
pub const ADAPTER_EFFICIENCY: f64 = 0.87;

/// Efficiency of making PoE voltage from a switch's mains input (common practice, from memory: 0.9).
pub const POE_EFFICIENCY: f64 = 0.9;

/// Most supplies in a row.
pub(crate) const LONGEST_CHAIN: usize = 16;

/// What one part takes from a battery supply.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct LoadItem {
    /// The placed part, or a device of the household.
    pub id: Id,
    /// What it takes at the supply's output, losses included.
    pub load: Watts,
    /// The part of it that is lost in cables and in making PoE.
    pub lost: Watts,
    /// The part that feeds it over its data cable, if one does.
    pub over: Option<Id>,
}

/// What hangs on a battery supply: the draw of each part that it feeds, and of the parts that those feed over data
/// cables, losses included.
#[must_use]
pub fn battery_load<'a>(design: &Design, supply: &Id, parts: &dyn Fn(&Id) -> Option<&'a Part>) -> Watts {
    Watts(loads(design, supply, parts, &|_| None).iter().map(|item| item.load.0).sum())
}

/// What a device of the household takes where it hangs on a supply.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DeviceLoad {
    /// What all that are alike draw together.
    pub draw: Watts,
    /// Its power class, if it is fed over its data cable.
    pub class: Option<u8>,
    /// How many there are.
    pub count: u32,
}

/// Each part that hangs on a battery supply, in the design's order; what hangs on it over data cables after its feeder.
///
/// # Model
/// PoE: the powered part's draw `p`, the loss of the longest cable that its class allows in proportion to the square of
/// the current, `(port − part) (p / part)²` with the class's powers, and [`POE_EFFICIENCY`]. A direct-current supply spares
/// the load's adapter ([`ADAPTER_EFFICIENCY`]). Draws of parts are the typical ones; a part that is only ever fed over its
/// data cable counts with its worst draw. `device` tells of a device of the household that hangs on a supply.
#[must_use]
pub fn loads<'a>(
    design: &Design,
    supply: &Id,
    parts: &dyn Fn(&Id) -> Option<&'a Part>,
    device: &dyn Fn(&Id) -> Option<DeviceLoad>,
) -> Vec<LoadItem> {
    let part_of = |placed: &Id| design.part(placed).and_then(|p| parts(&p.part));
    let is_direct = part_of(supply).and_then(|p| p.battery.as_ref()).is_some_and(|b| b.output == SupplyOutput::Direct);
    let adapter = if is_direct { ADAPTER_EFFICIENCY } else { 1.0 };
    let mut items: Vec<LoadItem> = Vec::new();
    // (part, what feeds it over its data cable); a part that is met twice is counted once.
    let mut open: Vec<(&Id, Option<&Id>)> = design
        .feeds
        .iter()
        .rev()
        .filter(|f| f.part != *supply && matches!(&f.source, FeedSource::Battery { part } if part == supply))
        .map(|f| (&f.part, None))
        .collect();
    while let Some((id, over)) = open.pop() {
        if items.iter().any(|item| item.id == *id) || id == supply {
            continue;
        }
        let part = part_of(id);
        let class = part.and_then(|p| p.poe.as_ref()).map(|poe| poe.class);
        let load = match part {
            Some(part) => Some(DeviceLoad { draw: draw_of(part), class, count: 1 }),
            None => device(id),
        };
        let draw = load.map_or(Watts(0.0), |l| l.draw);
        let lost = load.filter(|_| over.is_some()).map_or(Watts(0.0), poe_loss);
        items.push(LoadItem {
            id: id.clone(),
            load: (draw + lost) * adapter,
            lost: lost * adapter,
            over: over.cloned(),
        });
        for feed in design.feeds.iter().rev() {
            match &feed.source {
                FeedSource::Poe { part } if part == id => open.push((&feed.part, Some(id))),
                // A supply behind a supply passes on what it carries.
                FeedSource::Battery { part } if part == id => open.push((&feed.part, None)),
                _ => {}
            }
        }
    }
    items
}

fn draw_of(part: &Part) -> Watts {
    match &part.poe {
        Some(poe) if part.draw.0 == 0.0 => poe.worst_draw,
        _ => part.draw,
    }
}

/// What is lost on a data cable and in making the voltage for it.
fn poe_loss(load: DeviceLoad) -> Watts {
    let (draw, count) = (load.draw.0, f64::from(load.count.max(1)));
    let in_cable = load.class.and_then(poe_class_watts).map_or(0.0, |(at_part, at_port)| {
        let share = draw / count / at_part.0;
        count * (at_port.0 - at_part.0) * share * share
    });
    Watts((draw + in_cable) / POE_EFFICIENCY - draw)
}
