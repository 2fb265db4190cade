//! People by role, the rooms they use, devices, activities with their needs, targets, wishes and what is already there.
//!
//! - [`Household`]: what the job document says of it
//! - [`default_household`]: a stated household where nobody was asked
//! - [`validate`], [`RULES`]: everything that is wrong with a household
//! - [`served_rooms`], [`Household::target_of`]: what each room must get
//! - [`device_radio`]: the radio of a device
//! - [`Recording`], [`ThingNetwork`]: what cameras keep, and small things beside Wi-Fi
//!
//! This crate computes no demand; it says what people do, not what the network makes of it.

mod check;
mod default;
mod radio;
mod rates;

pub use check::{MAX_DEVICE_COUNT, RULES, validate};
pub use default::default_household;
pub use radio::device_radio;

use findings::Id;
use radio_profile::RadioProfile;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use units::{BitsPerSecond, Metres, Money, Point2, Seconds, WattHours, Watts};

/// Who lives here and what they need.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Household {
    /// People, by role.
    #[serde(default)]
    pub people: Vec<Person>,
    /// Devices.
    #[serde(default)]
    pub devices: Vec<Device>,
    /// What people and devices do in the busy hour.
    #[serde(default)]
    pub activities: Vec<Activity>,
    /// What a room must get; rooms without an entry take the first target with no rooms.
    #[serde(default)]
    pub targets: Vec<Target>,
    /// Networks of small things that are not Wi-Fi: locks and sensors that talk to a hub.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub thing_networks: Vec<ThingNetwork>,
    /// Parts that are already there and stay, at no cost.
    #[serde(default)]
    pub kept: Vec<Kept>,
    /// Wishes and limits.
    #[serde(default)]
    pub wishes: Wishes,
    /// What was assumed rather than asked, in plain sentences.
    #[serde(default)]
    pub assumptions: Vec<String>,
}

impl Household {
    /// True if it says nothing that a design could be made for.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.people.is_empty() && self.devices.is_empty() && self.activities.is_empty()
    }

    /// The target that holds in a room: the first that names it, else the first that names no room; none if the room
    /// is not served.
    #[must_use]
    pub fn target_of(&self, room: &Id) -> Option<&Target> {
        self.targets
            .iter()
            .find(|t| t.rooms.contains(room))
            .or_else(|| self.targets.iter().find(|t| t.rooms.is_empty()))
    }

    /// The target that counts in a room: none where its rates are zero, and outdoors only one that names the place.
    #[must_use]
    pub fn counted_target(&self, room: &Id, is_outdoors: bool) -> Option<&Target> {
        let target = self.target_of(room)?;
        let counts = target.down.0 > 0.0 || target.up.0 > 0.0;
        (counts && (!is_outdoors || target.rooms.contains(room))).then_some(target)
    }
}

/// The rooms that have a target, each with it, in the order given.
#[must_use]
pub fn served_rooms<'a>(household: &'a Household, rooms: &'a [Id]) -> Vec<(&'a Id, &'a Target)> {
    rooms.iter().filter_map(|room| household.target_of(room).map(|target| (room, target))).collect()
}

/// A person by role; never by name.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Person {
    /// Id.
    pub id: Id,
    /// Role, such as `adult 1`.
    pub role: String,
    /// Rooms that they use.
    #[serde(default)]
    pub rooms: Vec<Id>,
}

/// What a device is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum DeviceKind {
    /// Telephone in a pocket.
    Phone,
    /// Tablet.
    Tablet,
    /// Portable computer.
    Laptop,
    /// Computer that stays.
    Desktop,
    /// Television or a box at it.
    Television,
    /// Game console.
    Console,
    /// Speaker.
    Speaker,
    /// Camera.
    Camera,
    /// Doorbell.
    Doorbell,
    /// Lock, sensor, lamp, plug: a small thing.
    Thing,
    /// Printer.
    Printer,
    /// Storage on the network.
    Storage,
    /// Alarm or care call that must reach its centre.
    Alarm,
    /// Anything else.
    Other,
}

/// How a device joins the network.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Attachment {
    /// By Wi-Fi.
    Wireless,
    /// By cable.
    Wired,
    /// By cable where there is one, else by Wi-Fi.
    Either,
    /// By the hub of a [`ThingNetwork`]; the home's Wi-Fi does not carry it.
    ThingNetwork,
}

/// A device, or several alike in one place.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Device {
    /// Id.
    pub id: Id,
    /// What it is.
    pub kind: DeviceKind,
    /// How many there are.
    #[serde(default = "one")]
    pub count: u32,
    /// Whose it is, if anyone's.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub owner: Option<Id>,
    /// The room it is mostly used in.
    pub room: Id,
    /// Its place in plan, if it stays there.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub at: Option<Point2>,
    /// Its height above the floor; 1 m if absent.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub height: Option<Metres>,
    /// How it joins the network.
    pub attachment: Attachment,
    /// Its radio; the generic one of its kind if absent.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub radio: Option<RadioProfile>,
    /// True if it must stay connected when something fails.
    #[serde(default)]
    pub must_stay_up: bool,
    /// True if it runs on its own battery in an outage.
    #[serde(default)]
    pub has_battery: bool,
    /// How it is powered; generic figures of its kind where nothing is said.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub power: Option<OwnPower>,
    /// What it records, if it is a camera.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub recording: Option<Recording>,
}

/// How a device is powered.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(default, deny_unknown_fields)]
pub struct OwnPower {
    /// What it draws in use; a generic figure of its kind if absent.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub draw: Option<Watts>,
    /// Energy of its own battery; a generic figure of its kind if absent and it has one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub battery: Option<WattHours>,
    /// The mains outlet that it is on.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub outlet: Option<Id>,
    /// What it takes over its data cable, if that is how it is powered.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub over_cable: Option<OverCable>,
}

/// What one device takes over its data cable.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct OverCable {
    /// Power class it asks for, 0 to 8 (IEEE 802.3).
    pub class: u8,
    /// Most that it draws: at night, with heaters on, or while it starts.
    pub worst_draw: Watts,
}

impl Device {
    /// What each of it takes over its data cable, if that is how it is powered.
    #[must_use]
    pub fn over_cable(&self) -> Option<OverCable> {
        self.power.as_ref().and_then(|p| p.over_cable)
    }
}

/// What a camera records and how long that is to be kept. The stream is demand of its own, beside the activities.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Recording {
    /// Rate of the stream while it records.
    pub rate: BitsPerSecond,
    /// Share of time that it records, 0 to 1: 1 records all day, a small share only when something moves.
    #[serde(default = "always")]
    pub share: f64,
    /// How long recordings are to be kept.
    pub keep: Seconds,
    /// The device of the home that stores them; absent if they go over the line.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub store: Option<Id>,
    /// Room that the store has for this camera [octets]; unknown if absent.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub capacity_octets: Option<f64>,
}

fn always() -> f64 {
    1.0
}

/// How a network of small things talks.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum ThingRadio {
    /// IEEE 802.15.4 in 2.4 GHz.
    Ieee802154,
    /// Bluetooth Low Energy.
    BluetoothLe,
}

/// A hub and the small things that talk to it in 2.4 GHz beside Wi-Fi.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ThingNetwork {
    /// Id.
    pub id: Id,
    /// How it talks.
    pub radio: ThingRadio,
    /// The device that is its hub or border router.
    pub hub: Id,
    /// Its channel, 11 to 26 for IEEE 802.15.4; unknown if absent.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub channel: Option<u8>,
    /// The devices in it.
    #[serde(default)]
    pub devices: Vec<Id>,
}

fn one() -> u32 {
    1
}

/// What is being done with a device.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum ActivityKind {
    /// A call with pictures.
    VideoCall,
    /// A call with sound.
    VoiceCall,
    /// Watching.
    Video,
    /// Listening.
    Audio,
    /// Playing against others.
    Game,
    /// Reading, writing, buying.
    Browsing,
    /// Working at a distance.
    RemoteWork,
    /// Fetching a large file or an update.
    Download,
    /// Sending large files: backup, camera.
    Upload,
    /// Small messages of things.
    Telemetry,
}

/// Something that a device carries in the busy hour.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Activity {
    /// Id.
    pub id: Id,
    /// What is done.
    pub kind: ActivityKind,
    /// The device that does it.
    pub device: Id,
    /// Rate towards the device while it runs.
    pub down: BitsPerSecond,
    /// Rate from the device while it runs.
    pub up: BitsPerSecond,
    /// Probability that it runs at a moment of the busy hour, or of its hours if it has any, 0 to 1.
    pub busy_share: f64,
    /// The person who does it: one person does one thing at a time of those that hold the attention. Absent if the device does it by itself.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub person: Option<Id>,
    /// Hours of the day in which it may run; all of them if absent.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub hours: Option<Hours>,
    /// True if it takes what it can get, its rates being what it needs at least, as the transfer of a file does; as usual for its kind if absent.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub greedy: Option<bool>,
    /// Longest one-way delay that it bears, if it minds.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub max_delay: Option<Seconds>,
    /// Largest share of lost packets that it bears, if it minds.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub max_loss: Option<f64>,
    /// True if it ends at another device of the home, so that the line does not carry it.
    #[serde(default)]
    pub local: bool,
    /// True if it must stay up when something fails.
    #[serde(default)]
    pub must_stay_up: bool,
}

impl Activity {
    /// True if it takes what it can get.
    #[must_use]
    pub fn is_greedy(&self) -> bool {
        self.greedy.unwrap_or(matches!(self.kind, ActivityKind::Download | ActivityKind::Upload))
    }
}

impl ActivityKind {
    /// True if a person who does it does nothing else of that sort at the same moment.
    #[must_use]
    pub const fn holds_attention(self) -> bool {
        match self {
            Self::VideoCall | Self::VoiceCall | Self::Video | Self::Game | Self::Browsing | Self::RemoteWork => true,
            Self::Audio | Self::Download | Self::Upload | Self::Telemetry => false,
        }
    }
}

/// Hours of the day, local time; over midnight if `to` is not after `from`.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Hours {
    /// First, 0 to 24.
    pub from: f64,
    /// End, 0 to 24.
    pub to: f64,
}

impl Hours {
    /// How much of the hour that starts at a whole hour is inside, 0 to 1.
    #[must_use]
    pub fn share_of(&self, hour: u8) -> f64 {
        let hour = f64::from(hour % 24);
        let overlap = |from: f64, to: f64| (to.min(hour + 1.0) - from.max(hour)).max(0.0);
        if self.to > self.from { overlap(self.from, self.to) } else { overlap(self.from, 24.0) + overlap(0.0, self.to) }
    }
}

/// What every device in a room must be able to get over the air, alone on the channel, both ways.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Target {
    /// Id.
    pub id: Id,
    /// The rooms; all others if empty.
    #[serde(default)]
    pub rooms: Vec<Id>,
    /// Rate towards the device.
    pub down: BitsPerSecond,
    /// Rate from the device.
    pub up: BitsPerSecond,
    /// Height above the floor at which devices are held.
    #[serde(default = "held")]
    pub height: Metres,
}

fn held() -> Metres {
    Metres(1.0)
}

/// A part that is already there and stays.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Kept {
    /// Id.
    pub id: Id,
    /// The equipment part that it is, or is like.
    pub part: Id,
    /// The room it is in, if it has its place.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub room: Option<Id>,
}

/// Wishes and limits. What is absent is not minded.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Wishes {
    /// Most that may be spent, installed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub budget: Option<Money>,
    /// True if nothing may be drilled, as in many rentals.
    #[serde(default)]
    pub no_drilling: bool,
    /// True if nothing may hang from ceilings.
    #[serde(default)]
    pub no_ceiling_mounts: bool,
    /// Rooms that no equipment may stand in.
    #[serde(default)]
    pub rooms_without_equipment: Vec<Id>,
    /// How long the activities that must stay up are to run on battery.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub battery_runtime: Option<Seconds>,
    /// True if guests and things are to be kept apart from the household's own devices.
    #[serde(default)]
    pub separate_segments: bool,
}
