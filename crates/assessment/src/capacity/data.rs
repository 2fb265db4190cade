//! What a design carries, as data for sheets, the interface and documents.

use findings::{Id, Source};
use household::{DeviceKind, ThingRadio};
use radio_profile::Band;
use schemars::JsonSchema;
use serde::Serialize;
use traffic::hour::{BusyHour, Spread};
use units::{Db, Dbm, Hertz, Seconds};

/// What a design carries in the busy hour, and what its radios are set to.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct Capacity {
    /// The busy hour.
    pub hour: BusyHour,
    /// Channels, widths and powers, and what to do when radar is heard.
    pub radio_plan: RadioPlan,
    /// Which access point each wireless device joins, in the order of the household.
    pub joins: Vec<Join>,
    /// Small things beside Wi-Fi, in the order of their networks.
    pub things: Vec<ThingLink>,
}

/// What the radios of a design are set to.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct RadioPlan {
    /// The radios, in the order of the design.
    pub radios: Vec<PlannedRadio>,
    /// The channels of IEEE 802.15.4, best first; empty where the home has no such network.
    pub thing_channels: Vec<ThingChannel>,
    /// The channel that the home's network of things is on, if it is known.
    pub thing_channel_now: Option<u8>,
    /// What to do about that channel, in a sentence; absent where the home has no such network.
    pub thing_channel_advice: Option<String>,
}

/// A radio as it is set.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct PlannedRadio {
    /// The part.
    pub part: Id,
    /// The band.
    pub band: Band,
    /// Number of the channel; absent if there is no such channel.
    pub channel: Option<u16>,
    /// Its centre.
    pub centre: Hertz,
    /// Its width.
    pub width: Hertz,
    /// What is radiated at most.
    pub eirp: Dbm,
    /// What may be radiated at most; unknown if absent.
    pub eirp_limit: Option<Dbm>,
    /// The rule that limits it; unknown if absent.
    pub rule: Option<Source>,
    /// True if radar can close the channel.
    pub radar: bool,
    /// Where the radio goes when radar is heard.
    pub fallback: Option<FallbackRadio>,
}

/// Where a radio goes when radar closes its channel.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct FallbackRadio {
    /// Number of the channel; absent if none is free of radar.
    pub channel: Option<u16>,
    /// Its width.
    pub width: Option<Hertz>,
    /// What may be radiated there.
    pub eirp: Option<Dbm>,
    /// How long the radio is silent on the way.
    pub silence: Seconds,
    /// What it costs and why, in a sentence.
    pub why: String,
}

/// A channel of IEEE 802.15.4 beside the Wi-Fi that is heard.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct ThingChannel {
    /// Its number, 11 to 26.
    pub channel: u8,
    /// Share of frames that arrive at the first try.
    pub success: f64,
    /// True if no Wi-Fi channel in use overlaps it.
    pub clear: bool,
}

/// Which access point a device joins.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct Join {
    /// The device.
    pub device: Id,
    /// What it is.
    pub device_kind: DeviceKind,
    /// The part that it joins; absent if none is heard.
    pub part: Option<Id>,
    /// In which band.
    pub band: Option<Band>,
    /// Level at the device.
    pub level: Option<Dbm>,
    /// The next best part, if there is another.
    pub next: Option<Id>,
    /// How much the chosen one is above it.
    pub margin: Option<Db>,
    /// Share of its channel's time that its frames and those sent to it take; absent if it joins no part.
    pub airtime: Option<Spread>,
    /// Chance that it stays on a worse part when it comes from elsewhere, levels being as uncertain as they are.
    pub stays: Option<f64>,
}

/// A small thing and its hub.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct ThingLink {
    /// The network.
    pub network: Id,
    /// How it talks.
    pub radio: ThingRadio,
    /// The device.
    pub device: Id,
    /// Path gain from the hub to it.
    pub gain: Db,
    /// What the link has in hand above what the receiver needs.
    pub margin: Db,
    /// Probability that this is enough, shadowing and fading being what they are.
    pub reliability: f64,
}
