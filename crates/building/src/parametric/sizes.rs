//! What each kind of room must and usually does measure. The generator and the hints for wishes that do not fit use the
//! same table.
//!
//! Bedrooms: "Technical housing standards: nationally described space standard" (England, 2015), paragraph 10: a single
//! bedroom has at least 7.5 m² and 2.15 m, the first double 11.5 m² and 2.75 m. Everything else: common practice, no source;
//! the tests hold the outcome against published statistics.

use crate::elements::RoomUse;

/// A kind of room.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Kind {
    /// Sitting room with its own door.
    Living,
    Kitchen,
    /// Living room and kitchen in one.
    OpenLiving,
    /// Living, cooking and sleeping in one.
    Studio,
    MainBedroom,
    Bedroom,
    Office,
    Bath,
    /// A second bathroom, with a shower.
    Shower,
    Utility,
    Dining,
    Sitting,
    Hobby,
    Library,
    Play,
    Store,
    Dressing,
    /// Room below ground.
    Cellar,
    /// Heating and meters below ground.
    Plant,
}

/// Sizes between the faces of the walls.
#[derive(Clone, Copy, Debug)]
pub(super) struct Size {
    /// Least area [m²].
    pub least: f64,
    /// Least width [m].
    pub width: f64,
    /// Usual area [m²].
    pub usual: f64,
    /// Largest area that is believed [m²].
    pub most: f64,
    /// Longest length for its width.
    pub slender: f64,
    /// True if it must have a window.
    pub daylight: bool,
}

const fn size(least: f64, width: f64, usual: f64, most: f64, slender: f64, daylight: bool) -> Size {
    Size { least, width, usual, most, slender, daylight }
}

impl Kind {
    pub(super) const fn size(self) -> Size {
        match self {
            Kind::Living => size(11.0, 2.7, 18.0, 48.0, 2.1, true),
            Kind::Kitchen => size(6.0, 2.0, 13.5, 34.0, 2.3, true),
            Kind::OpenLiving => size(17.0, 3.0, 31.0, 75.0, 2.3, true),
            Kind::Studio => size(16.0, 2.9, 25.0, 55.0, 2.4, true),
            Kind::MainBedroom => size(11.5, 2.75, 18.0, 32.0, 1.9, true),
            Kind::Bedroom => size(7.5, 2.15, 10.5, 26.0, 2.0, true),
            Kind::Office => size(5.0, 1.9, 8.5, 22.0, 2.1, true),
            Kind::Bath => size(3.5, 1.55, 5.5, 14.0, 2.4, false),
            Kind::Shower => size(2.4, 1.3, 3.8, 10.0, 2.5, false),
            Kind::Utility => size(2.8, 1.4, 5.0, 14.0, 2.5, false),
            Kind::Dining => size(8.5, 2.5, 13.0, 32.0, 2.0, true),
            Kind::Sitting => size(10.0, 2.7, 17.0, 42.0, 2.1, true),
            Kind::Hobby | Kind::Library | Kind::Play => size(7.5, 2.15, 12.0, 34.0, 2.0, true),
            Kind::Store => size(1.2, 0.9, 2.6, 9.0, 2.8, false),
            Kind::Dressing => size(2.4, 1.4, 4.5, 11.0, 2.4, false),
            Kind::Cellar => size(6.0, 1.9, 18.0, 70.0, 2.4, false),
            Kind::Plant => size(3.0, 1.5, 7.0, 22.0, 2.4, false),
        }
    }

    pub(super) const fn usage(self) -> RoomUse {
        match self {
            Kind::Living | Kind::OpenLiving | Kind::Studio | Kind::Sitting => RoomUse::Living,
            Kind::Kitchen => RoomUse::Kitchen,
            Kind::MainBedroom | Kind::Bedroom => RoomUse::Bedroom,
            Kind::Office => RoomUse::Office,
            Kind::Bath | Kind::Shower => RoomUse::Bath,
            Kind::Utility | Kind::Store | Kind::Plant | Kind::Cellar => RoomUse::Utility,
            Kind::Dining | Kind::Hobby | Kind::Library | Kind::Play | Kind::Dressing => RoomUse::Other,
        }
    }

    /// Name for people; bedrooms and further rooms of a kind are numbered.
    pub(super) const fn name(self) -> &'static str {
        match self {
            Kind::Living => "Living room",
            Kind::Kitchen => "Kitchen",
            Kind::OpenLiving => "Living room and kitchen",
            Kind::Studio => "Studio room",
            Kind::MainBedroom | Kind::Bedroom => "Bedroom",
            Kind::Office => "Office",
            Kind::Bath => "Bathroom",
            Kind::Shower => "Shower room",
            Kind::Utility => "Utility room",
            Kind::Dining => "Dining room",
            Kind::Sitting => "Sitting room",
            Kind::Hobby => "Hobby room",
            Kind::Library => "Library",
            Kind::Play => "Playroom",
            Kind::Store => "Store",
            Kind::Dressing => "Dressing room",
            Kind::Cellar => "Cellar",
            Kind::Plant => "Plant room",
        }
    }

    /// Id; bedrooms and further rooms of a kind are numbered.
    pub(super) const fn label(self) -> &'static str {
        match self {
            Kind::Living | Kind::OpenLiving | Kind::Studio => "living",
            Kind::Kitchen => "kitchen",
            Kind::MainBedroom | Kind::Bedroom => "bedroom",
            Kind::Office => "office",
            Kind::Bath => "bath",
            Kind::Shower => "shower",
            Kind::Utility => "utility",
            Kind::Dining => "dining",
            Kind::Sitting => "sitting",
            Kind::Hobby => "hobby",
            Kind::Library => "library",
            Kind::Play => "playroom",
            Kind::Store => "store",
            Kind::Dressing => "dressing",
            Kind::Cellar => "cellar",
            Kind::Plant => "plant",
        }
    }

    pub(super) const fn is_wet(self) -> bool {
        matches!(self, Kind::Kitchen | Kind::OpenLiving | Kind::Studio | Kind::Bath | Kind::Shower | Kind::Utility)
    }

    pub(super) const fn is_bathroom(self) -> bool {
        matches!(self, Kind::Bath | Kind::Shower)
    }

    pub(super) const fn is_bedroom(self) -> bool {
        matches!(self, Kind::MainBedroom | Kind::Bedroom)
    }

    /// Used by day and by guests.
    pub(super) const fn is_day(self) -> bool {
        matches!(
            self,
            Kind::Living
                | Kind::Kitchen
                | Kind::OpenLiving
                | Kind::Studio
                | Kind::Dining
                | Kind::Sitting
                | Kind::Utility
        )
    }

    pub(super) const fn cooks(self) -> bool {
        matches!(self, Kind::Kitchen | Kind::OpenLiving | Kind::Studio)
    }

    /// Whether one may have to go through `host` to get here.
    pub(super) const fn may_open_off(self, host: Kind) -> bool {
        match self {
            Kind::Shower => matches!(host, Kind::MainBedroom),
            Kind::Dressing => matches!(host, Kind::MainBedroom | Kind::Bedroom),
            Kind::Utility | Kind::Store => {
                matches!(host, Kind::Kitchen | Kind::OpenLiving | Kind::Studio | Kind::Utility)
            }
            Kind::Kitchen => matches!(host, Kind::Living | Kind::Dining),
            Kind::Dining => matches!(host, Kind::Living | Kind::Kitchen | Kind::OpenLiving),
            Kind::Bath => matches!(host, Kind::Studio),
            Kind::Plant => matches!(host, Kind::Cellar),
            _ => false,
        }
    }
}
