//! How long a battery supply carries what hangs on it.

use equipment::{Battery, Part};
use findings::Id;
use network::{Design, FeedSource};
use units::{Seconds, Watts};

/// Time that a battery carries a load: energy × efficiency over load and its own draw; an estimate, without the rate
/// and age of the cells.
///
/// Nothing if the load is above what the supply bears, or if a figure makes no sense.
#[must_use]
pub fn battery_runtime(battery: &Battery, load: Watts) -> Option<Seconds> {
    let fine = battery.efficiency > 0.0
        && battery.efficiency <= 1.0
        && battery.energy.0 >= 0.0
        && load.0 >= 0.0
        && load.0 <= battery.max_load.0;
    let drawn = load.0 / battery.efficiency + battery.own_draw.0.max(0.0);
    (fine && drawn > 0.0).then(|| Seconds(battery.energy.0 / drawn * 3600.0))
}

/// What hangs on a battery supply: the draw of each part that it feeds, and of the parts that those feed over data
/// cables.
#[must_use]
pub fn battery_load<'a>(design: &Design, supply: &Id, parts: &dyn Fn(&Id) -> Option<&'a Part>) -> Watts {
    let mut load = Watts(0.0);
    for feed in &design.feeds {
        let on_battery = matches!(&feed.source, FeedSource::Battery { part } if part == supply);
        if on_battery {
            load += draw_of(design, &feed.part, parts);
            for over_cable in &design.feeds {
                if matches!(&over_cable.source, FeedSource::Poe { part } if *part == feed.part) {
                    load += draw_of(design, &over_cable.part, parts);
                }
            }
        }
    }
    load
}

fn draw_of<'a>(design: &Design, placed: &Id, parts: &dyn Fn(&Id) -> Option<&'a Part>) -> Watts {
    design.part(placed).and_then(|p| parts(&p.part)).map_or(Watts(0.0), |p| match &p.poe {
        Some(poe) if p.draw.0 == 0.0 => poe.worst_draw,
        _ => p.draw,
    })
}
