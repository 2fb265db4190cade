//! What one switch is to feed over data cables.

use std::fmt;

use equipment::{Part, poe_class_watts};
use household::Device;
use units::Watts;

/// What is to be fed over data cables by one switch.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Powered {
    /// Highest class that is asked for.
    pub class: u8,
    /// Ports that give power.
    pub ports: u32,
    /// Highest draw at the switch, cable loss included [W].
    pub draw: f64,
}

impl Powered {
    /// Of the devices that take power over their data cables; nothing if none does.
    pub fn of(devices: &[&Device]) -> Option<Self> {
        let each = devices.iter().filter_map(|d| Some((d.over_cable()?, d.count)));
        each.map(|(o, count)| Self::alike(o.class, o.worst_draw, count)).reduce(Self::and)
    }

    /// Of several that are alike.
    pub fn alike(class: u8, worst_draw: Watts, count: u32) -> Self {
        let loss = poe_class_watts(class).map_or(1.0, |(device, port)| port / device);
        Self { class, ports: count, draw: worst_draw.0 * f64::from(count) * loss }
    }

    pub fn and(self, other: Self) -> Self {
        Self { class: self.class.max(other.class), ports: self.ports + other.ports, draw: self.draw + other.draw }
    }

    pub fn is_fed_by(&self, switch: &Part) -> bool {
        switch.poe_supply.as_ref().is_some_and(|s| {
            s.class >= self.class && s.ports >= self.ports && s.budget.0 * cabling::POE_USABLE_SHARE >= self.draw
        })
    }
}

impl fmt::Display for Powered {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:.0} W on {} ports of class {}", self.draw, self.ports, self.class)
    }
}
