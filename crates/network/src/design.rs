//! What a design is made of.

use std::fmt;

use findings::Id;
use radio_profile::Band;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use units::{Dbm, Hertz, Point3};

use crate::upkeep::Upkeep;

/// The families of designs, simplest first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Family {
    /// The provider's box alone.
    Gateway,
    /// A router of one's own behind the line termination.
    OwnRouter,
    /// A router and an access switch for wired devices.
    AccessSwitch,
    /// What must stay up is patched straight to the router; battery on the whole path.
    ProtectedPath,
    /// More access points, joined by radio.
    RadioBackhaul,
    /// More access points, joined by cable.
    WiredBackhaul,
    /// Ceiling access points powered over their cable; things and guests in segments.
    PoeCeiling,
    /// Every room cabled to one panel.
    HomeRunPanel,
    /// An access point in a building apart, joined by radio or by a cable outdoors.
    Outbuilding,
}

impl Family {
    /// All families, simplest first.
    pub const ALL: [Family; 9] = [
        Family::Gateway,
        Family::OwnRouter,
        Family::AccessSwitch,
        Family::ProtectedPath,
        Family::RadioBackhaul,
        Family::WiredBackhaul,
        Family::PoeCeiling,
        Family::HomeRunPanel,
        Family::Outbuilding,
    ];

    /// Its name in documents and commands.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Family::Gateway => "gateway",
            Family::OwnRouter => "own-router",
            Family::AccessSwitch => "access-switch",
            Family::ProtectedPath => "protected-path",
            Family::RadioBackhaul => "radio-backhaul",
            Family::WiredBackhaul => "wired-backhaul",
            Family::PoeCeiling => "poe-ceiling",
            Family::HomeRunPanel => "home-run-panel",
            Family::Outbuilding => "outbuilding",
        }
    }
}

impl fmt::Display for Family {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.name())
    }
}

/// A design: parts in their places and how they are joined.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Design {
    /// Id; a hash of the content while it is only an option.
    pub id: Id,
    /// Name for people.
    pub name: String,
    /// The family it belongs to.
    pub family: Family,
    /// Parts in their places.
    pub parts: Vec<PlacedPart>,
    /// How parts and wired devices are joined.
    #[serde(default)]
    pub links: Vec<Link>,
    /// What each radio is set to.
    #[serde(default)]
    pub radios: Vec<RadioSetting>,
    /// Segments; one for all if empty.
    #[serde(default)]
    pub segments: Vec<Segment>,
    /// What each part is powered from.
    #[serde(default)]
    pub feeds: Vec<Feed>,
    /// The queue before the line.
    #[serde(default, skip_serializing_if = "LineQueue::is_plain")]
    pub line_queue: LineQueue,
    /// What is known of how it stays up.
    #[serde(default, skip_serializing_if = "Upkeep::is_empty")]
    pub upkeep: Upkeep,
}

/// The queue before the line, in both directions.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(tag = "kind", rename_all = "kebab-case", deny_unknown_fields)]
pub enum LineQueue {
    /// First in, first out, as long as the provider's equipment has it.
    #[default]
    Plain,
    /// The router holds the rate a little below the line's and gives each flow its turn, with the delay of each controlled (RFC 8290).
    Fair {
        /// Share of the line's rate that is used, 0 to 1.
        share: f64,
    },
}

impl LineQueue {
    /// Whether it is the plain one.
    #[must_use]
    pub fn is_plain(&self) -> bool {
        *self == Self::Plain
    }
}

impl Design {
    /// The placed part with an id.
    #[must_use]
    pub fn part(&self, id: &Id) -> Option<&PlacedPart> {
        self.parts.iter().find(|p| &p.id == id)
    }
}

/// How a part is held in its place.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Mounting {
    /// Under a ceiling.
    Ceiling,
    /// On a wall.
    Wall,
    /// Standing on furniture or a shelf.
    Shelf,
    /// In a panel or rack.
    Panel,
}

/// Where a part looks: turned about its own sideways axis first, then about the vertical.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Aim {
    /// Direction in plan that its forward side points to, anticlockwise from x [°].
    #[serde(default)]
    pub azimuth_deg: f64,
    /// How far that is tilted below the horizon [°].
    #[serde(default)]
    pub downtilt_deg: f64,
}

/// A part in its place.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PlacedPart {
    /// Id in this design, such as `ap-1`.
    pub id: Id,
    /// The equipment part.
    pub part: Id,
    /// The room.
    pub room: Id,
    /// Its place [m], z from the building's zero level.
    pub at: Point3,
    /// How it is held.
    pub mounting: Mounting,
    /// Where it looks; as usual for its mounting if absent.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub aim: Option<Aim>,
    /// True if it is already there, so that it costs nothing.
    #[serde(default)]
    pub kept: bool,
}

/// What a link runs over.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(tag = "over", rename_all = "kebab-case", deny_unknown_fields)]
pub enum Medium {
    /// A cable fixed in the building, from panel or part to outlet.
    Cable {
        /// The equipment part that the cable is.
        part: Id,
    },
    /// A cord between parts in one place.
    Cord,
    /// A radio link between two parts.
    Radio {
        /// The band that it uses.
        band: Band,
    },
}

/// A link between two parts, or between a part and a wired device.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Link {
    /// Id.
    pub id: Id,
    /// The end nearer to the line: a placed part.
    pub from: Id,
    /// The other end: a placed part or a device of the household.
    pub to: Id,
    /// What it runs over.
    pub medium: Medium,
}

/// What a radio is set to.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct RadioSetting {
    /// The placed part.
    pub part: Id,
    /// The band.
    pub band: Band,
    /// Centre frequency of the channel.
    pub centre: Hertz,
    /// Width of the channel.
    pub width: Hertz,
    /// Radiated power over isotropic (EIRP).
    pub eirp: Dbm,
}

/// What a segment is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum SegmentPurpose {
    /// The household's own devices.
    Home,
    /// Things that need little and are trusted little.
    Things,
    /// Visitors.
    Guests,
    /// Cameras.
    Cameras,
    /// Work.
    Work,
    /// The network's own parts.
    Management,
}

/// A part of the network that is kept apart from the others.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Segment {
    /// Id.
    pub id: Id,
    /// What it is for.
    pub purpose: SegmentPurpose,
    /// Devices in it; those in no segment are in the home segment.
    #[serde(default)]
    pub devices: Vec<Id>,
}

/// What a part is powered from.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(tag = "from", rename_all = "kebab-case", deny_unknown_fields)]
pub enum FeedSource {
    /// A mains outlet; the id is absent where none is known near it.
    Mains {
        /// The outlet.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        outlet: Option<Id>,
    },
    /// A battery supply: the placed part.
    Battery {
        /// The placed battery supply.
        part: Id,
    },
    /// The data cable from a placed part that gives PoE.
    Poe {
        /// The placed switch or injector.
        part: Id,
    },
}

/// A part or device and what powers it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Feed {
    /// The placed part, or a device of the household.
    pub part: Id,
    /// Its source.
    pub source: FeedSource,
}
