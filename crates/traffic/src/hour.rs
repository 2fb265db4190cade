//! What the busy hour comes to, as data for sheets, the interface and documents. Nothing is computed here.

use findings::{Id, Source};
use household::{ActivityKind, DeviceKind};
use network::LineQueue;
use radio_profile::Band;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use units::{BitsPerSecond, Hertz, Seconds};

/// A quantity over the sampled evenings.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Spread {
    /// Half of the evenings are better, half worse.
    pub median: f64,
    /// One evening of twenty is worse: the 95th percentile of loads, delays and losses, the 5th of rates and quality.
    pub poor: f64,
}

/// The busy hour of a design.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct BusyHour {
    /// The hour of the day that it is, by its start; absent if nothing that is done has hours.
    pub hour: Option<u8>,
    /// Evenings sampled.
    pub evenings: u32,
    /// The channels, in the order of the design's radios.
    pub channels: Vec<ChannelHour>,
    /// What each device on the air takes of its channel's time, in the order of the household; one entry for all that are alike.
    pub devices: Vec<DeviceHour>,
    /// Cables and radio links between parts, in the order of the design's links.
    pub uplinks: Vec<UplinkHour>,
    /// The main line; absent if there is none.
    pub line: Option<LineHour>,
    /// What is done, in the order of the household: activities, then what devices do by themselves.
    pub activities: Vec<ActivityHour>,
    /// What cameras keep.
    pub recordings: Vec<RecordingHour>,
    /// What is full first.
    pub bottleneck: Option<Bottleneck>,
    /// Where the models come from, and what was assumed.
    pub sources: Vec<Source>,
}

/// A channel in the busy hour. Shares are of its time.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct ChannelHour {
    /// The part whose radio it is.
    pub part: Id,
    /// The band.
    pub band: Band,
    /// Centre of the channel.
    pub centre: Hertz,
    /// Its width.
    pub width: Hertz,
    /// Other parts of the home that share its time.
    pub shared_with: Vec<Id>,
    /// Devices that it serves.
    pub devices: u32,
    /// Time of the home's own frames, with their answers.
    pub own: Spread,
    /// Time lost in collisions.
    pub collided: Spread,
    /// Time of beacons, the home's own.
    pub beacons: f64,
    /// Time of neighbours.
    pub neighbours: f64,
    /// All of it together.
    pub busy: Spread,
    /// Largest share that should be busy.
    pub limit: f64,
    /// Share of evenings in which some station has more to send than it gets.
    pub overloaded: f64,
}

/// A device on the air.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct DeviceHour {
    /// The device.
    pub device: Id,
    /// Share of its channel's time that its frames and those sent to it take, for what is needed.
    pub airtime: Spread,
}

/// A way between parts in the busy hour, towards the far part and back.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct UplinkHour {
    /// The far part.
    pub part: Id,
    /// The part nearer to the line.
    pub parent: Id,
    /// The band, if it is a radio link.
    pub band: Option<Band>,
    /// What it carries, alone.
    pub rate_down: BitsPerSecond,
    /// The same from the part.
    pub rate_up: BitsPerSecond,
    /// Share in use towards the part.
    pub down: Spread,
    /// Share in use from the part.
    pub up: Spread,
    /// Largest share that should be in use.
    pub limit: f64,
}

/// The line in the busy hour.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct LineHour {
    /// The line.
    pub line: Id,
    /// Its rate towards the home.
    pub rate_down: BitsPerSecond,
    /// Its rate from the home.
    pub rate_up: BitsPerSecond,
    /// The queue that the design has.
    pub queue: LineQueue,
    /// Share in use towards the home.
    pub down: Spread,
    /// Share in use from the home.
    pub up: Spread,
    /// Largest share that should be in use.
    pub limit: f64,
    /// Time that a call's packet waits before the line on its way out, with a plain queue [s].
    pub wait_plain: Spread,
    /// The same with a fair queue that controls delay [s].
    pub wait_fair: Spread,
    /// The same two on the way in.
    pub wait_plain_down: Spread,
    /// The same two on the way in.
    pub wait_fair_down: Spread,
    /// Least rates with which every need is met in nineteen evenings of twenty; a rate is absent if no line would do.
    pub suffices: Tier,
}

/// Rates of a service.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Tier {
    /// Towards the home.
    pub down: Option<BitsPerSecond>,
    /// From the home.
    pub up: Option<BitsPerSecond>,
}

/// Who causes demand.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Cause {
    /// A person, or a device on a person's behalf.
    Activity,
    /// A camera's stream.
    Recording,
}

/// Something that is done in the busy hour, while it is done.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct ActivityHour {
    /// The activity, or the device that does it by itself.
    pub id: Id,
    /// Who causes it.
    pub cause: Cause,
    /// What is done.
    pub kind: ActivityKind,
    /// The device.
    pub device: Id,
    /// What the device is.
    pub device_kind: DeviceKind,
    /// Share of evenings in which it runs at the sampled moments.
    pub runs: f64,
    /// Rate needed towards the device.
    pub needs_down: BitsPerSecond,
    /// Rate needed from the device.
    pub needs_up: BitsPerSecond,
    /// Rate that it gets towards the device [bit/s]; absent if it never runs or nothing serves it.
    pub down: Option<Spread>,
    /// Rate that it gets from the device [bit/s].
    pub up: Option<Spread>,
    /// One-way delay to the provider's edge, or to the other end in the home, the worse way [s].
    pub delay: Option<Spread>,
    /// Longest one-way delay that it bears.
    pub max_delay: Option<Seconds>,
    /// Share of packets lost or too late.
    pub loss: Option<Spread>,
    /// Quality of a call by ITU-T G.107: the rating R, and the mean opinion score that follows.
    pub rating: Option<Spread>,
    /// Mean opinion score, 1 to 4.5.
    pub opinion: Option<Spread>,
    /// Share of its evenings in which it gets what it needs; absent if it never runs.
    pub met: Option<f64>,
    /// What holds it back most often when it does not.
    pub held_back_by: Option<Bottleneck>,
}

/// What a camera keeps.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct RecordingHour {
    /// The camera.
    pub device: Id,
    /// How many alike.
    pub cameras: u32,
    /// Where it is stored; absent if over the line.
    pub store: Option<Id>,
    /// Octets a day, of all.
    pub octets_a_day: f64,
    /// Time that it is to be kept.
    pub wanted: Seconds,
    /// Octets that this takes, with reserve.
    pub needed_octets: f64,
    /// Octets that are there; unknown if absent.
    pub has_octets: Option<f64>,
    /// Time that what is there keeps; unknown if absent.
    pub keeps: Option<Seconds>,
}

/// What sort of thing is full.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Carrier {
    /// The device's own link.
    Link,
    /// A radio's channel.
    Channel,
    /// A radio link between parts with a channel of its own.
    RadioUplink,
    /// A cable between parts.
    Cable,
    /// The line towards the home.
    LineDown,
    /// The line from the home.
    LineUp,
    /// Waiting, before the line or for the channel.
    Delay,
}

/// What is full first, and by how much.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Bottleneck {
    /// What sort of thing it is.
    pub carrier: Carrier,
    /// The part, device or line.
    pub subject: Id,
    /// The band, if it is a channel or radio link.
    pub band: Option<Band>,
    /// Share in use in one evening of twenty.
    pub load: f64,
    /// Largest share that should be in use.
    pub limit: f64,
}
