//! The default household made to fit so many people, offices and wishes.
//!
//! The stated default has two adults, of whom one works at a distance, and two children. Who is not there is left out with
//! what they do; who comes on top gets the devices and activities that the default gives to an adult or a child. No rate
//! and no share is made here.

use building::RoomUse;
use findings::Id;
use household::{Activity, Device, Household, Person};

use super::NewHome;

/// People of the default household, in its order.
const DEFAULT: [(&str, bool); 4] = [("adult-1", true), ("adult-2", true), ("child-1", false), ("child-2", false)];
/// Children in a home at most; others are adults. Common practice, no source.
const CHILDREN: usize = 3;
/// What sentences of the default household's assumptions begin with that no longer hold once people are known.
const OUTDATED: [&str; 5] =
    ["The household was not asked", "Two adults", "Devices:", "Work at a distance", "No equipment is kept"];

/// Makes the default household fit the answers. `rooms` are those that it was made for.
pub(super) fn adapt(household: &mut Household, home: &NewHome, rooms: &[(Id, RoomUse, String)]) {
    let people = roles(home.people as usize);
    let adults = people.iter().filter(|(_, adult)| *adult).count();
    // Read before anyone is left out: they are what a person of each kind has.
    let (adult, child) = (belongings(household, "adult-2"), belongings(household, "child-2"));
    let kept: Vec<&str> = people.iter().map(|(id, _)| id.as_str()).collect();
    household.people.retain(|p| kept.contains(&p.id.as_str()));
    household.devices.retain(|d| d.owner.as_ref().is_none_or(|o| kept.contains(&o.as_str())));
    let bedrooms: Vec<&Id> = rooms.iter().filter(|r| r.1 == RoomUse::Bedroom).map(|r| &r.0).collect();
    let living = household.people.first().and_then(|p| p.rooms.iter().find(|r| is(rooms, r, RoomUse::Living))).cloned();
    for (number, (id, is_adult)) in people.iter().enumerate().skip(household.people.len()) {
        // The first bedroom is the couple's; the others are shared out in turn.
        let others = bedrooms.len().saturating_sub(1);
        let bedroom = match others {
            0 => bedrooms.first().copied(),
            _ => bedrooms.get(1 + (number - 2) % others).copied(),
        };
        let room = bedroom.or(living.as_ref());
        let mut rooms: Vec<Id> = room.into_iter().chain(&living).cloned().collect();
        rooms.dedup();
        let Some(room) = rooms.first().cloned() else { continue };
        household.people.push(Person { id: Id::from_label(id), role: id.replace('-', " "), rooms });
        let (devices, activities) = if *is_adult { &adult } else { &child };
        add(household, devices, activities, number + 1, id, &room);
    }
    let devices: Vec<Id> = household.devices.iter().map(|d| d.id.clone()).collect();
    household.activities.retain(|a| devices.contains(&a.device));
    // What one who is not there does on a device for all, another does.
    let first = household.people.first().map(|p| p.id.clone());
    for activity in &mut household.activities {
        if activity.person.as_ref().is_some_and(|id| household.people.iter().all(|p| &p.id != id)) {
            activity.person.clone_from(&first);
        }
    }
    let workers = work(household, home, adults, rooms);
    household.wishes.no_drilling = !home.may_drill;
    sentences(household, home, &people, workers);
}

fn is(rooms: &[(Id, RoomUse, String)], id: &Id, usage: RoomUse) -> bool {
    rooms.iter().any(|r| &r.0 == id && r.1 == usage)
}

/// Ids of so many people, and whether each is an adult: two adults first, then children, then more adults.
fn roles(count: usize) -> Vec<(String, bool)> {
    let children = count.saturating_sub(2).min(CHILDREN);
    let adults = count - children;
    let mut roles: Vec<(String, bool)> = Vec::with_capacity(count);
    roles.extend((1..=adults.min(2)).map(|n| (format!("adult-{n}"), true)));
    roles.extend((1..=children).map(|n| (format!("child-{n}"), false)));
    roles.extend((3..=adults).map(|n| (format!("adult-{n}"), true)));
    debug_assert!(count != 4 || roles.iter().zip(DEFAULT).all(|(r, d)| r.0 == d.0 && r.1 == d.1));
    roles
}

/// Devices of a person of the default household, with what is done on them.
fn belongings(household: &Household, person: &str) -> (Vec<Device>, Vec<Activity>) {
    let devices: Vec<Device> =
        household.devices.iter().filter(|d| d.owner.as_ref().is_some_and(|o| o.as_str() == person)).cloned().collect();
    let activities =
        household.activities.iter().filter(|a| devices.iter().any(|d| d.id == a.device)).cloned().collect();
    (devices, activities)
}

/// The id without its number, with another.
fn renumbered(id: &Id, number: usize) -> Id {
    let stem = id.as_str().trim_end_matches(|c: char| c.is_ascii_digit()).trim_end_matches('-');
    Id::from_label(&format!("{stem}-{number}"))
}

/// Copies devices and activities for another person in a room.
fn add(household: &mut Household, devices: &[Device], activities: &[Activity], number: usize, owner: &str, room: &Id) {
    for device in devices {
        let id = renumbered(&device.id, number);
        for activity in activities.iter().filter(|a| a.device == device.id) {
            household.activities.push(Activity {
                id: renumbered(&activity.id, number),
                device: id.clone(),
                person: activity.person.as_ref().map(|_| Id::from_label(owner)),
                ..activity.clone()
            });
        }
        household.devices.push(Device { id, owner: Some(Id::from_label(owner)), room: room.clone(), ..device.clone() });
    }
}

/// One adult works at a distance in each office; gives how many do.
fn work(household: &mut Household, home: &NewHome, adults: usize, rooms: &[(Id, RoomUse, String)]) -> usize {
    let offices: Vec<Id> = rooms.iter().filter(|r| r.1 == RoomUse::Office).map(|r| r.0.clone()).collect();
    let workers = (home.rooms.offices as usize).min(adults).min(offices.len());
    let is_work = |d: &Device| d.id.as_str().starts_with("work-computer");
    let devices: Vec<Device> = household.devices.iter().filter(|d| is_work(d)).cloned().collect();
    let activities: Vec<Activity> =
        household.activities.iter().filter(|a| devices.iter().any(|d| d.id == a.device)).cloned().collect();
    if workers == 0 {
        household.devices.retain(|d| !is_work(d));
        household.activities.retain(|a| !devices.iter().any(|d| d.id == a.device));
    }
    let adult_ids: Vec<Id> =
        household.people.iter().filter(|p| p.id.as_str().starts_with("adult")).map(|p| p.id.clone()).collect();
    for (number, (worker, office)) in adult_ids.iter().zip(&offices).enumerate().skip(1).take(workers.saturating_sub(1))
    {
        add(household, &devices, &activities, number + 1, worker.as_str(), office);
    }
    for person in &mut household.people {
        let place = adult_ids.iter().position(|a| a == &person.id).filter(|i| *i < workers);
        person.role = person.id.as_str().replace('-', " ");
        // The default lets the first adult use a room for work even where there is no office.
        if let Some(office) = place.and_then(|i| offices.get(i)) {
            person.role.push_str(", works at a distance");
            person.rooms.retain(|r| r != office);
            person.rooms.insert(0, office.clone());
        }
    }
    workers
}

/// What was assumed of people, in place of what the default said.
fn sentences(household: &mut Household, home: &NewHome, people: &[(String, bool)], workers: usize) {
    let count = |n: usize, one: &str, many: &str| match n {
        0 => format!("no {many}"),
        1 => format!("1 {one}"),
        n => format!("{n} {many}"),
    };
    let adults = people.iter().filter(|(_, adult)| *adult).count();
    let devices: u32 = household.devices.iter().map(|d| d.count).sum();
    let mut said = vec![
        format!(
            "Only the number of people was asked; {} and {} were assumed, with {devices} devices, what they do in the busy \
             hour and the rooms they use.",
            count(adults, "adult", "adults"),
            count(people.len() - adults, "child", "children")
        ),
        match workers {
            0 => {
                "Nobody was assumed to work at a distance, since no office was asked for; nothing has to stay up when \
                  something fails."
                    .to_owned()
            }
            1 => {
                "1 adult works at a distance in the office; that work and its calls must stay up when something fails."
                    .to_owned()
            }
            n => format!(
                "{n} adults work at a distance, each in an office; that work and its calls must stay up when something fails."
            ),
        },
    ];
    said.extend(household.assumptions.drain(..).filter(|s| !OUTDATED.iter().any(|o| s.starts_with(o))));
    said.push(format!(
        "No equipment is kept, no budget is set, and ceiling mounts are allowed; nothing was asked of these. Drilling {}.",
        if home.may_drill { "is allowed" } else { "is not allowed, as was said" }
    ));
    household.assumptions = said;
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fresh::make;

    fn made(people: u32, offices: u32) -> Household {
        let mut home = NewHome { people, floor_area_m2: 170.0, ..NewHome::default() };
        home.rooms.offices = offices;
        make(&home, "2026-01-31".parse().unwrap()).unwrap().job.household.unwrap()
    }

    #[test]
    fn so_many_people_have_their_own_phones_and_rooms() {
        for people in 1..=12 {
            let household = made(people, 1);
            assert_eq!(household.people.len(), people as usize);
            let phones = household.devices.iter().filter(|d| d.kind == household::DeviceKind::Phone).count();
            assert_eq!(phones, people as usize);
            assert!(household.people.iter().all(|p| !p.rooms.is_empty()));
            for device in &household.devices {
                assert!(
                    device.owner.as_ref().is_none_or(|o| household.people.iter().any(|p| &p.id == o)),
                    "{device:?}"
                );
            }
            for activity in &household.activities {
                let is_there = |id: &Id| household.people.iter().any(|p| &p.id == id);
                assert!(activity.person.as_ref().is_none_or(is_there), "{activity:?}");
            }
            assert!(household.assumptions.iter().all(|s| !OUTDATED[..4].iter().any(|o| s.starts_with(o))));
        }
    }

    #[test]
    fn each_office_has_its_work() {
        for offices in 0..=2 {
            let household = made(4, offices);
            let work: Vec<&Device> =
                household.devices.iter().filter(|d| d.id.as_str().starts_with("work-computer")).collect();
            assert_eq!(work.len(), offices as usize);
            assert!(work.iter().all(|d| d.room.as_str().starts_with("office") && d.must_stay_up));
            let busy = household.activities.iter().filter(|a| a.must_stay_up).count();
            assert_eq!(busy, 2 * offices as usize);
            let said = household.people.iter().filter(|p| p.role.ends_with("works at a distance")).count();
            assert_eq!(said, offices as usize);
        }
    }

    /// Every sentence that is taken out is one that the default really has: a changed default must not slip by.
    #[test]
    fn outdated_sentences_are_those_of_the_default() {
        let rooms = [(Id::from_label("living"), RoomUse::Living, "Living room".to_owned())];
        let household = household::default_household(&rooms);
        for start in OUTDATED {
            assert!(household.assumptions.iter().any(|s| s.starts_with(start)), "{start}");
        }
    }
}
