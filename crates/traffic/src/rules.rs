//! The rules of this crate and the limits that they hold loads against.

use findings::{Rule, Severity, Source, SourceKind};

use crate::rates::activity_rates_source;

/// Highest share of time that a channel should be busy in the busy hour. Above it delay grows fast and the slowest station rules.
pub const AIRTIME_LIMIT: f64 = 0.5;
/// Highest share of a line's or cable's rate that should be used in the busy hour.
pub const WIRE_LIMIT: f64 = 0.8;

fn airtime_rule() -> Source {
    Source::new(
        SourceKind::CommonPractice,
        "common practice, no source: a channel busy half of the time is full; a wire at 80 %",
    )
}

/// Something is full.
pub const BOTTLENECK: Rule = Rule {
    id: "traffic.bottleneck",
    severity: Severity::Fails,
    summary: "In the busy hour the 95th percentile of demand passes what a channel, cable or line should carry",
    limit: "50 % of a channel's time, 80 % of a cable's or line's rate, neighbours taken off",
    cite: airtime_rule,
};
/// A device that nothing serves.
pub const DEVICE_UNSERVED: Rule = Rule {
    id: "traffic.device-unserved",
    severity: Severity::Fails,
    summary: "A device has no link",
    limit: "one link for each device",
    cite: Source::common_practice,
};
/// An activity that its device's own link cannot carry.
pub const ACTIVITY_ABOVE_LINK: Rule = Rule {
    id: "traffic.activity-above-link",
    severity: Severity::Fails,
    summary: "An activity needs more than its device's own link or uplink carries, even alone",
    limit: "the link's rate",
    cite: || Source::new(SourceKind::Model, "rate of the link alone on its channel"),
};
/// Demand that is not a number or cannot be.
pub const IMPOSSIBLE_DEMAND: Rule = Rule {
    id: "traffic.impossible-demand",
    severity: Severity::Fails,
    summary: "An activity has a negative rate, a share outside 0 to 1, a value that is not a number, or a device that is not there",
    limit: "rates of 0 or more, share 0 to 1",
    cite: Source::common_practice,
};
/// Uplinks in a circle.
pub const CIRCULAR_UPLINK: Rule = Rule {
    id: "traffic.circular-uplink",
    severity: Severity::Fails,
    summary: "A part's uplinks lead back to itself and never reach the line",
    limit: "every uplink leads to the router",
    cite: Source::common_practice,
};
/// An uplink that carries nothing.
pub const DEAD_UPLINK: Rule = Rule {
    id: "traffic.dead-uplink",
    severity: Severity::Fails,
    summary: "A part with demand has an uplink that carries nothing",
    limit: "a rate above 0",
    cite: || Source::new(SourceKind::Model, "rate of the uplink alone on its channel"),
};
/// A radio without a setting.
pub const UNSET_RADIO: Rule = Rule {
    id: "traffic.unset-radio",
    severity: Severity::Fails,
    summary: "A part serves devices in a band for which the design sets no channel",
    limit: "a setting for every radio in use",
    cite: Source::common_practice,
};
/// Less than the published rate.
pub const RATE_BELOW_GUIDE: Rule = Rule {
    id: "traffic.rate-below-guide",
    severity: Severity::Note,
    summary: "An activity is stated with less than the lowest published rate of its kind",
    limit: "lowest rate of the guide",
    cite: activity_rates_source,
};

/// Every rule of this crate.
pub const RULES: &[Rule] = &[
    BOTTLENECK,
    DEVICE_UNSERVED,
    ACTIVITY_ABOVE_LINK,
    IMPOSSIBLE_DEMAND,
    CIRCULAR_UPLINK,
    DEAD_UPLINK,
    UNSET_RADIO,
    RATE_BELOW_GUIDE,
];
