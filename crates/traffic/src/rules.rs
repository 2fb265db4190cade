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
    limit: "50 % of a channel's time, 80 % of a cable's or line's rate, neighbours and beacons taken off",
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

/// Calls and transfers in one plain queue.
pub const UPLOAD_RUINS_CALLS: Rule = Rule {
    id: "traffic.upload-ruins-calls",
    severity: Severity::Fails,
    summary: "In one evening of twenty or more a call is ruined because a transfer fills the plain queue before the line",
    limit: "a rating R of 70, and the delay and loss that the call bears",
    cite: || Source::standard("ITU-T G.107 (06/2015) and G.109, Table 1: below 70 many users are dissatisfied"),
};
/// A line that is too slow.
pub const SERVICE_TOO_SMALL: Rule = Rule {
    id: "traffic.service-too-small",
    severity: Severity::Fails,
    summary: "The line is slower than what is done in the busy hour needs in one evening of twenty",
    limit: "needs of the worst moment within the rate, 80 % of the rate in the hour's mean",
    cite: airtime_rule,
};
/// Cameras that fill the line.
pub const CAMERA_UPLINK: Rule = Rule {
    id: "traffic.camera-uplink",
    severity: Severity::Risk,
    summary: "Cameras that record over the line take more of its rate from the home than they should",
    limit: "50 % of the rate from the home with all recording",
    cite: Source::common_practice,
};
/// Recordings that do not last.
pub const CAMERA_RETENTION: Rule = Rule {
    id: "traffic.camera-retention",
    severity: Severity::Fails,
    summary: "The room for a camera's recordings does not last as long as they are to be kept",
    limit: "the time wanted, with 15 % reserve and 90 % of a disk usable",
    cite: || Source::new(SourceKind::CommonPractice, "common practice, no source: reserve 10 to 20 %, usable 90 %"),
};
/// One device that rules a channel.
pub const SLOW_STATION: Rule = Rule {
    id: "traffic.slow-station",
    severity: Severity::Risk,
    summary: "On a loaded channel one device takes much of the time because its frames are slow",
    limit: "40 % of the home's time, or twice the time for each bit that the others take, on a channel that is busy for a quarter or more",
    cite: || {
        Source::new(
            SourceKind::Publication,
            "M. Heusse, F. Rousseau, G. Berger-Sabbatel, A. Duda, Performance anomaly of 802.11b, INFOCOM 2003; the limits are common practice, no source",
        )
    },
};
/// Something that people or devices do not get.
pub const NEED_MISSED: Rule = Rule {
    id: "traffic.need-missed",
    severity: Severity::Fails,
    summary: "An activity does not get the rate, delay or loss that it needs in more than one of twenty evenings in which it runs",
    limit: "95 % of its evenings",
    cite: || Source::model("evenings sampled: people and devices over shared channels, cables and the line"),
};
/// A person who does too much.
pub const PERSON_OVERBOOKED: Rule = Rule {
    id: "traffic.person-overbooked",
    severity: Severity::Note,
    summary: "What one person does and what holds the attention adds up to more than the busy hour has",
    limit: "shares that sum to 1",
    cite: || Source::model("one person does one thing at a time of those that hold the attention"),
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
    UPLOAD_RUINS_CALLS,
    SERVICE_TOO_SMALL,
    CAMERA_UPLINK,
    CAMERA_RETENTION,
    SLOW_STATION,
    NEED_MISSED,
    PERSON_OVERBOOKED,
];
