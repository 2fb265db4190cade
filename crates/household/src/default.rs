//! A stated household for a home about which nobody was asked.

use building::RoomUse;
use findings::Id;
use units::{Metres, Seconds};

use crate::rates::{fcc, guide, mbps, up};
use crate::{
    Activity, ActivityKind, Attachment, Device, DeviceKind, Hours, Household, Person, Recording, Target, Wishes,
};

/// One-way delay that a conversation bears: ITU-T G.114 (05/2003), clause 4, 150 ms.
const CONVERSATION_DELAY: Seconds = Seconds(0.150);
/// One-way delay that a player bears: common practice, no source.
const GAME_DELAY: Seconds = Seconds(0.050);
/// Share of lost packets that a call bears: common practice, no source.
const CONVERSATION_LOSS: f64 = 0.01;

/// Share of time that a doorbell records, something moving before it: common practice, no source.
const DOORBELL_SHARE: f64 = 0.05;
/// How long services keep what it records: two weeks, common practice, no source.
const DOORBELL_KEEP: Seconds = Seconds(14.0 * 86_400.0);

/// Two adults, two children, their devices and what they do in the busy hour, placed in the rooms given
/// (id, use and name, in the document's order).
///
/// Every choice is stated in [`Household::assumptions`]. Rates towards the home come from a published guide, shares of
/// the busy hour are assumed. With no rooms the household is empty, since nobody can be placed.
///
/// # Example
/// ```
/// use building::RoomUse;
/// let rooms = [("r1".parse().unwrap(), RoomUse::Living, "Living room".to_owned())];
/// let household = household::default_household(&rooms);
/// assert_eq!(household.people.len(), 4);
/// assert!(household.devices.iter().all(|device| device.room.as_str() == "r1"));
/// ```
#[must_use]
pub fn default_household(rooms: &[(Id, RoomUse, String)]) -> Household {
    let Some(places) = Places::of(rooms) else {
        return Household {
            assumptions: vec!["No household was assumed, because the home has no rooms to place it in.".into()],
            ..Household::default()
        };
    };
    let devices = devices(&places);
    let (targets, mut target_words) = targets(rooms);
    let mut assumptions = vec![
        "The household was not asked; a default one was assumed.".to_owned(),
        format!(
            "Two adults sleep in {}; two children sleep in {} and {}; all spend the evening in {}.",
            places.name(places.main_bedroom),
            places.name(places.child_bedrooms[0]),
            places.name(places.child_bedrooms[1]),
            places.name(places.living)
        ),
        format!(
            "Devices: four phones, two laptops, a tablet, a television, a game console, a speaker, a printer, a doorbell \
             and twelve small things such as sensors and lamps; one work computer stays in {}.",
            places.name(places.office)
        ),
        format!(
            "Rates towards the home are those of the {}, the upper end where it gives a range.",
            guide().cite.trim_start_matches("Federal Communications Commission, consumer guide: ")
        ) + " It is published by the Federal Communications Commission.",
        "Rates from the home, and the share of the busy hour that each activity runs, are assumed (common practice, no \
         source)."
            .to_owned(),
        "Hours are assumed: work 8 to 18, video and games in the afternoon and evening, the updates of computers from 1 to \
         6 at night; a telephone saves its pictures at any hour. One person does one thing at a time of those that hold \
         the attention; nobody is named for the television and the speaker."
            .to_owned(),
        "The doorbell's camera is assumed to record to a service over the line: 2 Mbit/s for a twentieth of the time, kept \
         for 14 days; what the service has room for is not known."
            .to_owned(),
        "A call bears 150 ms of delay one way (ITU-T G.114); a game 50 ms and a call 1 % of lost packets (common practice, \
         no source)."
            .to_owned(),
        "Work at a distance and its calls must stay up when something fails.".to_owned(),
    ];
    assumptions.append(&mut target_words);
    assumptions.push("No equipment is kept, no budget is set, and drilling and ceiling mounts are allowed.".to_owned());
    Household {
        people: people(&places),
        activities: activities(),
        devices,
        targets,
        thing_networks: Vec::new(),
        kept: Vec::new(),
        wishes: Wishes::default(),
        assumptions,
    }
}

/// Rooms chosen for each purpose, as indices.
struct Places<'a> {
    rooms: &'a [(Id, RoomUse, String)],
    living: usize,
    office: usize,
    entrance: usize,
    main_bedroom: usize,
    child_bedrooms: [usize; 2],
}

impl<'a> Places<'a> {
    fn of(rooms: &'a [(Id, RoomUse, String)]) -> Option<Self> {
        if rooms.is_empty() {
            return None;
        }
        let first = |uses: &[RoomUse]| {
            uses.iter().find_map(|wanted| rooms.iter().position(|(_, usage, _)| usage == wanted)).unwrap_or(0)
        };
        let living = first(&[RoomUse::Living, RoomUse::Kitchen, RoomUse::Other, RoomUse::Bedroom, RoomUse::Office]);
        let bedrooms: Vec<usize> =
            rooms.iter().enumerate().filter(|(_, room)| room.1 == RoomUse::Bedroom).map(|(i, _)| i).collect();
        let main_bedroom = bedrooms.first().copied().unwrap_or(living);
        let child = bedrooms.get(1).copied().unwrap_or(main_bedroom);
        Some(Self {
            rooms,
            living,
            office: first(&[RoomUse::Office, RoomUse::Bedroom, RoomUse::Living, RoomUse::Kitchen, RoomUse::Other]),
            entrance: first(&[RoomUse::Hall, RoomUse::Stair, RoomUse::Living, RoomUse::Kitchen, RoomUse::Other]),
            main_bedroom,
            child_bedrooms: [child, bedrooms.get(2).copied().unwrap_or(child)],
        })
    }

    fn id(&self, room: usize) -> Id {
        self.rooms.get(room).map_or_else(|| Id::from_label("room"), |(id, _, _)| id.clone())
    }

    fn name(&self, room: usize) -> String {
        self.rooms.get(room).map_or_else(String::new, |(id, _, name)| format!("{name} ({id})"))
    }
}

fn id(text: &str) -> Id {
    Id::from_label(text)
}

fn people(places: &Places<'_>) -> Vec<Person> {
    let person = |text: &str, role: &str, rooms: &[usize]| {
        let mut ids: Vec<Id> = Vec::new();
        for &room in rooms {
            if !ids.contains(&places.id(room)) {
                ids.push(places.id(room));
            }
        }
        Person { id: id(text), role: role.to_owned(), rooms: ids }
    };
    vec![
        person("adult-1", "adult 1, works at a distance", &[places.office, places.living, places.main_bedroom]),
        person("adult-2", "adult 2", &[places.living, places.main_bedroom]),
        person("child-1", "child 1", &[places.child_bedrooms[0], places.living]),
        person("child-2", "child 2", &[places.child_bedrooms[1], places.living]),
    ]
}

fn devices(places: &Places<'_>) -> Vec<Device> {
    let device = |text: &str, kind: DeviceKind, owner: Option<&str>, room: usize, attachment: Attachment| Device {
        id: id(text),
        kind,
        count: 1,
        owner: owner.map(id),
        room: places.id(room),
        at: None,
        height: None,
        attachment,
        radio: None,
        must_stay_up: false,
        has_battery: matches!(kind, DeviceKind::Phone | DeviceKind::Tablet | DeviceKind::Laptop),
        power: None,
        recording: None,
    };
    let [child_1, child_2] = places.child_bedrooms;
    use Attachment::{Either, Wireless};
    use DeviceKind as K;
    let mut all = vec![
        device("work-computer", K::Desktop, Some("adult-1"), places.office, Either),
        device("phone-1", K::Phone, Some("adult-1"), places.living, Wireless),
        device("phone-2", K::Phone, Some("adult-2"), places.main_bedroom, Wireless),
        device("phone-3", K::Phone, Some("child-1"), child_1, Wireless),
        device("phone-4", K::Phone, Some("child-2"), child_2, Wireless),
        device("laptop-1", K::Laptop, Some("adult-2"), places.living, Wireless),
        device("laptop-2", K::Laptop, Some("child-1"), child_1, Wireless),
        device("tablet-1", K::Tablet, Some("child-2"), child_2, Wireless),
        device("television-1", K::Television, None, places.living, Either),
        device("console-1", K::Console, None, places.living, Either),
        device("speaker-1", K::Speaker, None, places.living, Wireless),
        device("printer-1", K::Printer, None, places.office, Either),
        device("doorbell-1", K::Doorbell, None, places.entrance, Wireless),
        device("things-1", K::Thing, None, places.living, Wireless),
    ];
    for device in &mut all {
        match device.id.as_str() {
            "work-computer" => device.must_stay_up = true,
            "things-1" => device.count = 12,
            "doorbell-1" => {
                device.recording = Some(Recording {
                    rate: mbps(up::DOORBELL),
                    share: DOORBELL_SHARE,
                    keep: DOORBELL_KEEP,
                    store: None,
                    capacity_octets: None,
                });
            }
            _ => {}
        }
    }
    all
}

fn activities() -> Vec<Activity> {
    let activity = |text: &str, kind, device: &str, down: f64, up: f64, busy_share: f64| Activity {
        id: id(text),
        kind,
        device: id(device),
        down: mbps(down),
        up: mbps(up),
        busy_share,
        person: None,
        hours: None,
        greedy: None,
        max_delay: None,
        max_loss: None,
        local: false,
        must_stay_up: false,
    };
    use ActivityKind as K;
    let mut all = vec![
        activity("work-1", K::RemoteWork, "work-computer", fcc::REMOTE_WORK, up::REMOTE_WORK, 0.5),
        activity("work-call-1", K::VideoCall, "work-computer", fcc::TELECONFERENCE_HD, up::VIDEO_CALL, 0.3),
        activity("call-1", K::VideoCall, "laptop-1", fcc::TELECONFERENCE_HD, up::VIDEO_CALL, 0.2),
        activity("watch-1", K::Video, "television-1", fcc::VIDEO_UHD, up::REQUESTS, 0.6),
        activity("watch-2", K::Video, "tablet-1", fcc::VIDEO_HD, up::REQUESTS, 0.4),
        activity("watch-3", K::Video, "phone-3", fcc::VIDEO_HD, up::REQUESTS, 0.3),
        activity("game-1", K::Game, "console-1", fcc::GAME, up::GAME, 0.3),
        activity("browse-1", K::Browsing, "phone-1", fcc::BROWSING, up::REQUESTS, 0.2),
        activity("browse-2", K::Browsing, "phone-2", fcc::BROWSING, up::REQUESTS, 0.3),
        activity("browse-3", K::Browsing, "laptop-2", fcc::BROWSING, up::REQUESTS, 0.3),
        activity("listen-1", K::Audio, "speaker-1", fcc::AUDIO, up::REQUESTS, 0.3),
        activity("update-1", K::Download, "laptop-2", fcc::DOWNLOAD, up::REQUESTS, 0.1),
        activity("backup-1", K::Upload, "phone-4", up::REQUESTS, up::BACKUP, 0.1),
        activity("telemetry-1", K::Telemetry, "things-1", up::TELEMETRY, up::TELEMETRY, 1.0),
    ];
    for activity in &mut all {
        activity.hours = hours(activity.id.as_str());
        activity.person = person(activity.id.as_str()).map(id);
        match activity.kind {
            K::VideoCall => {
                activity.max_delay = Some(CONVERSATION_DELAY);
                activity.max_loss = Some(CONVERSATION_LOSS);
            }
            K::Game => activity.max_delay = Some(GAME_DELAY),
            _ => {}
        }
        activity.must_stay_up = activity.device.as_str() == "work-computer";
    }
    all
}

/// When each activity may run; all day where nothing is said. Common practice, no source.
fn hours(activity: &str) -> Option<Hours> {
    let (from, to) = match activity {
        "work-1" | "work-call-1" => (8.0, 18.0),
        "call-1" => (9.0, 22.0),
        "watch-1" => (17.0, 23.0),
        "watch-2" | "watch-3" | "game-1" => (14.0, 21.0),
        "browse-1" | "browse-2" | "browse-3" | "listen-1" => (7.0, 23.0),
        "update-1" => (1.0, 6.0),
        _ => return None,
    };
    Some(Hours { from, to })
}

/// Who does it. What a device does by itself, and what all watch and hear together, is nobody's.
fn person(activity: &str) -> Option<&'static str> {
    Some(match activity {
        "work-1" | "work-call-1" | "browse-1" => "adult-1",
        "call-1" | "browse-2" => "adult-2",
        "watch-3" | "browse-3" | "game-1" => "child-1",
        "watch-2" => "child-2",
        _ => return None,
    })
}

/// What a room of a use must get.
#[derive(Clone, Copy, PartialEq)]
enum Level {
    Full,
    Passing,
    Unserved,
}

fn level(usage: RoomUse) -> Level {
    match usage {
        RoomUse::Hall | RoomUse::Stair | RoomUse::Utility | RoomUse::Garage | RoomUse::Bath => Level::Passing,
        RoomUse::Outdoor => Level::Unserved,
        RoomUse::Living | RoomUse::Kitchen | RoomUse::Bedroom | RoomUse::Office | RoomUse::Other => Level::Full,
    }
}

fn targets(rooms: &[(Id, RoomUse, String)]) -> (Vec<Target>, Vec<String>) {
    let of = |wanted: Level| -> Vec<&(Id, RoomUse, String)> {
        rooms.iter().filter(|(_, usage, _)| level(*usage) == wanted).collect()
    };
    let ids = |rooms: &[&(Id, RoomUse, String)]| rooms.iter().map(|(id, _, _)| id.clone()).collect::<Vec<_>>();
    let names = |rooms: &[&(Id, RoomUse, String)]| {
        rooms.iter().map(|(id, _, name)| format!("{name} ({id})")).collect::<Vec<_>>().join(", ")
    };
    let target = |text: &str, rooms: Vec<Id>, down: f64, up: f64| Target {
        id: id(text),
        rooms,
        down: mbps(down),
        up: mbps(up),
        height: Metres(1.0),
    };
    let (full, passing, unserved) = (of(Level::Full), of(Level::Passing), of(Level::Unserved));
    let mut targets = Vec::new();
    let mut words = Vec::new();
    if !passing.is_empty() {
        targets.push(target("passing", ids(&passing), PASSING.0, PASSING.1));
        words.push(format!(
            "Rooms that people pass through or use briefly must get {} Mbit/s down and {} up, enough for a picture call \
             or standard-definition video: {}.",
            PASSING.0,
            PASSING.1,
            names(&passing)
        ));
    }
    // A target that names no room would serve outdoor rooms too, so the rooms are named where there are any.
    let named = if unserved.is_empty() { Vec::new() } else { ids(&full) };
    if unserved.is_empty() || !full.is_empty() {
        targets.push(target("default", named, FULL.0, FULL.1));
        words.push(format!(
            "All other rooms must get {} Mbit/s down, one ultra-high-definition stream, and {} up, one high-definition call \
             with room to spare; devices are held 1 m above the floor.",
            FULL.0, FULL.1
        ));
    }
    if !unserved.is_empty() {
        words.push(format!("Nothing is promised outdoors: {}.", names(&unserved)));
    }
    (targets, words)
}

/// Rates of rooms where people stay, down and up [Mbit/s]: one ultra-high-definition stream of the guide; up, one
/// high-definition call and a quarter more.
const FULL: (f64, f64) = (fcc::VIDEO_UHD, up::VIDEO_CALL * 1.25);
/// Rates of rooms that people pass through, down and up [Mbit/s]: standard-definition video of the guide (3 to 4); up,
/// the guide's personal video call, sent as received.
const PASSING: (f64, f64) = (4.0, 1.0);
