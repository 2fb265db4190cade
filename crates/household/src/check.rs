//! What can be wrong with a household, taken by itself and against the rooms of the home.

use std::collections::BTreeSet;

use findings::{Finding, Id, Rule, Severity, Source};

use crate::{Household, ThingRadio};

/// Largest count of one device entry; more is taken for a slip of the pen.
pub const MAX_DEVICE_COUNT: u32 = 10_000;
/// Highest rate that is believed [bit/s]: 400 Gbit/s, the fastest Ethernet in IEEE 802.3-2022.
const MAX_RATE: f64 = 400e9;
/// Longest time that recordings are kept [s]: ten years.
const MAX_KEEP: f64 = 10.0 * 365.25 * 86_400.0;

fn format_rule() -> Source {
    Source::model("job document, `wallplate/1`")
}

/// The rules of this crate.
pub const RULES: &[Rule] = &[
    Rule {
        id: "household.unknown-reference",
        severity: Severity::Fails,
        summary: "A person, device, activity, target or wish names something that the home does not have.",
        limit: "every id that is named exists",
        cite: format_rule,
    },
    Rule {
        id: "household.duplicate-id",
        severity: Severity::Fails,
        summary: "Two entries of one list have the same id.",
        limit: "ids are unique in their list",
        cite: format_rule,
    },
    Rule {
        id: "household.out-of-range",
        severity: Severity::Fails,
        summary: "A share, rate, count, delay, height or sum lies outside what is possible.",
        limit: "shares 0 to 1, rates 0 to 400 Gbit/s, counts 1 to 10 000",
        cite: format_rule,
    },
    Rule {
        id: "household.room-of-two-targets",
        severity: Severity::Risk,
        summary: "A room is named by two targets; only the first holds.",
        limit: "one target a room",
        cite: format_rule,
    },
];

fn rule(id: &str) -> &'static Rule {
    RULES.iter().find(|rule| rule.id == id).unwrap_or(&RULES[0])
}

/// Collects findings.
struct Check {
    findings: Vec<Finding>,
}

impl Check {
    fn add(&mut self, rule_id: &str, subjects: Vec<Id>, message: String) {
        self.findings.push(Finding::of(rule(rule_id), subjects, message));
    }

    fn unique<'a>(&mut self, list: &str, ids: impl Iterator<Item = &'a Id>) -> BTreeSet<&'a Id> {
        let mut seen = BTreeSet::new();
        for id in ids {
            if !seen.insert(id) {
                self.add(
                    "household.duplicate-id",
                    vec![id.clone()],
                    format!("household.{list}: the id `{id}` occurs more than once; give each entry its own"),
                );
            }
        }
        seen
    }

    fn known(&mut self, what: &str, owner: &Id, list: &str, id: &Id, known: &BTreeSet<&Id>) {
        if !known.contains(id) {
            let nearest = if known.is_empty() {
                "there are none".to_owned()
            } else {
                let names: Vec<&str> = known.iter().take(8).map(|id| id.as_str()).collect();
                format!("known are {}{}", names.join(", "), if known.len() > 8 { " and more" } else { "" })
            };
            self.add(
                "household.unknown-reference",
                vec![owner.clone(), id.clone()],
                format!("household.{list} ({owner}): {what} `{id}` does not exist; {nearest}"),
            );
        }
    }

    /// `value` must lie in `low..=high`; NaN does not.
    fn range(&mut self, path: &str, owner: &Id, value: f64, (low, high): (f64, f64), unit: &str) {
        if !(low..=high).contains(&value) {
            let limit = if value > high { high } else { low };
            let message = format!("{path} ({owner}) is {value} {unit}; it must lie between {low} and {high} {unit}");
            let finding = Finding::of(rule("household.out-of-range"), vec![owner.clone()], message);
            self.findings.push(if value.is_finite() { finding.against(value, limit, unit) } else { finding });
        }
    }
}

/// Everything that is wrong with a household of a home with these rooms.
///
/// Kept parts are checked for their ids and rooms only; whether the part exists is known to the one who has the parts.
#[must_use]
pub fn validate(household: &Household, rooms: &[Id]) -> Vec<Finding> {
    let mut check = Check { findings: Vec::new() };
    let rooms: BTreeSet<&Id> = rooms.iter().collect();
    let people = check.unique("people", household.people.iter().map(|p| &p.id));
    let devices = check.unique("devices", household.devices.iter().map(|d| &d.id));
    check.unique("activities", household.activities.iter().map(|a| &a.id));
    check.unique("targets", household.targets.iter().map(|t| &t.id));
    check.unique("thing_networks", household.thing_networks.iter().map(|n| &n.id));
    check.unique("kept", household.kept.iter().map(|k| &k.id));

    for person in &household.people {
        for room in &person.rooms {
            check.known("the room", &person.id, "people", room, &rooms);
        }
    }
    for device in &household.devices {
        check.known("the room", &device.id, "devices", &device.room, &rooms);
        if let Some(owner) = &device.owner {
            check.known("the owner", &device.id, "devices", owner, &people);
        }
        let count = (1.0, f64::from(MAX_DEVICE_COUNT));
        check.range("household.devices.count", &device.id, f64::from(device.count), count, "devices");
        if let Some(height) = device.height {
            check.range("household.devices.height", &device.id, height.0, (0.0, 20.0), "m");
        }
        if let Some(at) = device.at {
            for coordinate in [at.x, at.y] {
                check.range("household.devices.at", &device.id, coordinate, (-1e5, 1e5), "m");
            }
        }
        if let Some(power) = &device.power {
            if let Some(draw) = power.draw {
                check.range("household.devices.power.draw", &device.id, draw.0, (0.0, 10_000.0), "W");
            }
            if let Some(battery) = power.battery {
                check.range("household.devices.power.battery", &device.id, battery.0, (0.0, 100_000.0), "Wh");
            }
        }
        if let Some(recording) = &device.recording {
            let id = &device.id;
            check.range("household.devices.recording.rate", id, recording.rate.0, (0.0, MAX_RATE), "bit/s");
            check.range("household.devices.recording.share", id, recording.share, (0.0, 1.0), "");
            check.range("household.devices.recording.keep", id, recording.keep.0, (0.0, MAX_KEEP), "s");
            if let Some(octets) = recording.capacity_octets {
                check.range("household.devices.recording.capacity_octets", id, octets, (0.0, 1e18), "octets");
            }
            if let Some(store) = &recording.store {
                check.known("the store", id, "devices", store, &devices);
            }
        }
    }
    for network in &household.thing_networks {
        check.known("the hub", &network.id, "thing_networks", &network.hub, &devices);
        for device in &network.devices {
            check.known("the device", &network.id, "thing_networks", device, &devices);
        }
        if let (Some(channel), ThingRadio::Ieee802154) = (network.channel, network.radio) {
            check.range("household.thing_networks.channel", &network.id, f64::from(channel), (11.0, 26.0), "");
        }
    }
    for activity in &household.activities {
        let id = &activity.id;
        check.known("the device", id, "activities", &activity.device, &devices);
        check.range("household.activities.busy_share", id, activity.busy_share, (0.0, 1.0), "");
        if let Some(person) = &activity.person {
            check.known("the person", id, "activities", person, &people);
        }
        if let Some(hours) = activity.hours {
            check.range("household.activities.hours.from", id, hours.from, (0.0, 24.0), "h");
            check.range("household.activities.hours.to", id, hours.to, (0.0, 24.0), "h");
        }
        check.range("household.activities.down", id, activity.down.0, (0.0, MAX_RATE), "bit/s");
        check.range("household.activities.up", id, activity.up.0, (0.0, MAX_RATE), "bit/s");
        if let Some(delay) = activity.max_delay {
            check.range("household.activities.max_delay", id, delay.0, (1e-6, 86_400.0), "s");
        }
        if let Some(loss) = activity.max_loss {
            check.range("household.activities.max_loss", id, loss, (0.0, 1.0), "");
        }
    }
    let mut named = BTreeSet::new();
    let mut general: Option<&Id> = None;
    for target in &household.targets {
        check.range("household.targets.down", &target.id, target.down.0, (0.0, MAX_RATE), "bit/s");
        check.range("household.targets.up", &target.id, target.up.0, (0.0, MAX_RATE), "bit/s");
        check.range("household.targets.height", &target.id, target.height.0, (0.0, 20.0), "m");
        for room in &target.rooms {
            check.known("the room", &target.id, "targets", room, &rooms);
            if !named.insert(room) {
                let message = format!(
                    "household.targets ({}): the room `{room}` already has a target; the first one holds",
                    target.id
                );
                check.add("household.room-of-two-targets", vec![target.id.clone(), room.clone()], message);
            }
        }
        if target.rooms.is_empty() {
            if let Some(first) = general {
                let message = format!(
                    "household.targets ({}): `{first}` already holds for all other rooms; name the rooms of one of them",
                    target.id
                );
                check.add("household.room-of-two-targets", vec![target.id.clone(), first.clone()], message);
            } else {
                general = Some(&target.id);
            }
        }
    }
    for kept in &household.kept {
        if let Some(room) = &kept.room {
            check.known("the room", &kept.id, "kept", room, &rooms);
        }
    }
    let wishes = Id::from_label("wishes");
    for room in &household.wishes.rooms_without_equipment {
        check.known("the room", &wishes, "wishes.rooms_without_equipment", room, &rooms);
    }
    if let Some(runtime) = household.wishes.battery_runtime {
        check.range("household.wishes.battery_runtime", &wishes, runtime.0, (0.0, 30.0 * 86_400.0), "s");
    }
    if let Some(budget) = household.wishes.budget
        && budget.amount.is_sign_negative()
        && !budget.amount.is_zero()
    {
        let message = format!("household.wishes.budget is {budget}; it must not be negative");
        check.add("household.out-of-range", vec![wishes], message);
    }
    check.findings
}
