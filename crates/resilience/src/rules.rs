//! The rules of this engine.

use findings::{Rule, Severity, Source, SourceKind};

/// A path that must stay up is only partly on a battery.
pub const BATTERY_GAP: Rule = Rule {
    id: "resilience.battery-gap",
    severity: Severity::Fails,
    summary: "a part on a path that must stay up is on the mains while others of the path are on a battery",
    limit: "every part between the device and the line is on a battery",
    cite: Source::common_practice,
};

/// A battery does not last as long as wished.
pub const RUNTIME_SHORT: Rule = Rule {
    id: "resilience.runtime-short",
    severity: Severity::Fails,
    summary: "a battery supply carries its load for less than the household asks",
    limit: "the household's battery runtime",
    cite: || Source::new(SourceKind::Stated, "household.wishes.battery_runtime"),
};

/// A battery will not last as long as wished when it is old.
pub const RUNTIME_WHEN_OLD: Rule = Rule {
    id: "resilience.runtime-when-old",
    severity: Severity::Note,
    summary: "a battery supply carries its load for less than the household asks once its battery is at the end of its life",
    limit: "the household's battery runtime",
    cite: || Source::standard("IEEE Std 1188: replacement at 80 % of the capacity").from_memory(),
};

/// Something that must stay up hangs on single parts.
pub const SINGLE_POINT: Rule = Rule {
    id: "resilience.single-point",
    severity: Severity::Note,
    summary: "a service that must stay up is down if any one of the named parts fails",
    limit: "no single point of failure",
    cite: Source::common_practice,
};

/// A device has no battery of its own though its path has one.
pub const DEVICE_OFF: Rule = Rule {
    id: "resilience.device-off",
    severity: Severity::Note,
    summary: "a device that must stay up is off in an outage though its path is on a battery",
    limit: "the device has a battery of its own, or is on one",
    cite: Source::common_practice,
};

/// The router is on a battery, what ends its line is not.
pub const TERMINATION_OFF: Rule = Rule {
    id: "resilience.termination-off",
    severity: Severity::Risk,
    summary: "the router is on a battery while the part that ends its line is on the mains, so that there is no internet in an outage",
    limit: "modem or ONT on the same battery as the router",
    cite: Source::common_practice,
};

/// The router is on a battery, an access point that devices with a battery use is not.
pub const ACCESS_POINT_OFF: Rule = Rule {
    id: "resilience.access-point-off",
    severity: Severity::Note,
    summary: "the router is on a battery while an access point that serves devices is on the mains",
    limit: "access points on the battery, by PoE or by themselves",
    cite: Source::common_practice,
};

/// A work computer hangs on one box more than it must.
pub const BEHIND_SWITCH: Rule = Rule {
    id: "resilience.behind-switch",
    severity: Severity::Note,
    summary: "a device that must stay up is behind a switch though the router has a free port",
    limit: "one shared part fewer: patched into the router",
    cite: Source::common_practice,
};

/// A battery without energy.
pub const BATTERY_EMPTY: Rule = Rule {
    id: "resilience.battery-empty",
    severity: Severity::Fails,
    summary: "a battery supply has no energy, so that it carries nothing",
    limit: "more than 0 Wh",
    cite: Source::common_practice,
};

/// A battery's load is above what it bears.
pub const BATTERY_OVERLOAD: Rule = Rule {
    id: "resilience.battery-overload",
    severity: Severity::Fails,
    summary: "the load of a battery supply is above what it bears, in watts or in volt-amperes",
    limit: "rated watts and volt-amperes of the supply",
    cite: Source::common_practice,
};

/// Figures of a battery give no runtime.
pub const BATTERY_UNKNOWN: Rule = Rule {
    id: "resilience.battery-unknown",
    severity: Severity::Fails,
    summary: "figures of a battery supply make no sense or lie outside what is known of its cells, so that its runtime is unknown",
    limit: "efficiency above 0 and at most 1, energy and load 0 or more, temperature within the cells' range",
    cite: Source::common_practice,
};

/// The volt-amperes on a supply's front were taken for watt-hours.
pub const VA_AS_ENERGY: Rule = Rule {
    id: "resilience.va-as-energy",
    severity: Severity::Risk,
    summary: "a battery supply's energy in watt-hours is as large as its rating in volt-amperes, which says how much it bears and not for how long",
    limit: "energy below the rating; small supplies hold about a fifth of it",
    cite: Source::common_practice,
};

/// A supply that feeds itself, or supplies that feed each other.
pub const POWER_LOOP: Rule = Rule {
    id: "resilience.power-loop",
    severity: Severity::Fails,
    summary: "feeds lead in a circle, so that nothing comes from the mains",
    limit: "every feed ends at the mains",
    cite: Source::common_practice,
};

/// Links that never reach the line.
pub const LINK_LOOP: Rule = Rule {
    id: "resilience.link-loop",
    severity: Severity::Fails,
    summary: "links lead in a circle and never to the line",
    limit: "every way ends at a line",
    cite: Source::common_practice,
};

/// Two lines that go down together.
pub const SHARED_BY_LINES: Rule = Rule {
    id: "resilience.shared-by-lines",
    severity: Severity::Risk,
    summary: "both ways to the internet hang on the same thing besides the router",
    limit: "lines that share no part, supply or way into the building",
    cite: Source::common_practice,
};

/// A line that no part ends.
pub const LINE_UNUSED: Rule = Rule {
    id: "resilience.line-unused",
    severity: Severity::Note,
    summary: "a line of the site is ended by no part of the design, so that it is no second way",
    limit: "a part that ends each line",
    cite: Source::common_practice,
};

/// Nobody knows how long the line goes on without mains.
pub const LINE_BACKUP_UNKNOWN: Rule = Rule {
    id: "resilience.line-backup-unknown",
    severity: Severity::Note,
    summary: "the home's battery keeps the path up, but it is unknown whether the line's far end has power in an outage",
    limit: "tested once, with the mains off in the street or as the provider states",
    cite: Source::common_practice,
};

/// A rate is missing.
pub const MISSING_RATE: Rule = Rule {
    id: "resilience.missing-rate",
    severity: Severity::Note,
    summary: "a figure of failures is missing or makes no sense, so that availabilities are unknown",
    limit: "time between failures above 0, repair time of 0 or more",
    cite: Source::common_practice,
};

/// A repair takes no time.
pub const NO_REPAIR_TIME: Rule = Rule {
    id: "resilience.no-repair-time",
    severity: Severity::Note,
    summary: "a repair time is 0, so that the thing counts as always up",
    limit: "a repair time above 0",
    cite: Source::common_practice,
};

/// Every rule of this engine.
pub const RULES: &[Rule] = &[
    BATTERY_GAP,
    RUNTIME_SHORT,
    RUNTIME_WHEN_OLD,
    SINGLE_POINT,
    DEVICE_OFF,
    TERMINATION_OFF,
    ACCESS_POINT_OFF,
    BEHIND_SWITCH,
    BATTERY_EMPTY,
    BATTERY_OVERLOAD,
    BATTERY_UNKNOWN,
    VA_AS_ENERGY,
    POWER_LOOP,
    LINK_LOOP,
    SHARED_BY_LINES,
    LINE_UNUSED,
    LINE_BACKUP_UNKNOWN,
    MISSING_RATE,
    NO_REPAIR_TIME,
];
