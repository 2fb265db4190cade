//! The default household and what validation says of bad ones.

use building::RoomUse;
use findings::Id;
use household::{Household, default_household, served_rooms, validate};

fn id(text: &str) -> Id {
    text.parse().unwrap()
}

fn rooms(uses: &[(&str, RoomUse)]) -> Vec<(Id, RoomUse, String)> {
    uses.iter().map(|(text, usage)| (id(text), *usage, format!("Room {text}"))).collect()
}

fn ids(rooms: &[(Id, RoomUse, String)]) -> Vec<Id> {
    rooms.iter().map(|(id, _, _)| id.clone()).collect()
}

const ALL_USES: [RoomUse; 11] = [
    RoomUse::Living,
    RoomUse::Kitchen,
    RoomUse::Bedroom,
    RoomUse::Bath,
    RoomUse::Office,
    RoomUse::Hall,
    RoomUse::Stair,
    RoomUse::Utility,
    RoomUse::Garage,
    RoomUse::Outdoor,
    RoomUse::Other,
];

#[test]
fn default_household_is_valid_in_any_home() {
    // Every set of uses, also homes without a living room or a bedroom.
    for mask in 1u32..(1 << ALL_USES.len()) {
        let names: Vec<String> = (0..ALL_USES.len()).map(|i| format!("r{i}")).collect();
        let chosen: Vec<(&str, RoomUse)> =
            (0..ALL_USES.len()).filter(|i| mask & (1 << i) != 0).map(|i| (names[i].as_str(), ALL_USES[i])).collect();
        let rooms = rooms(&chosen);
        let household = default_household(&rooms);
        assert_eq!(validate(&household, &ids(&rooms)), vec![], "{chosen:?}");
        assert!(!household.is_empty());
    }
}

#[test]
fn no_rooms_no_household() {
    let household = default_household(&[]);
    assert!(household.is_empty());
    assert_eq!(household.assumptions.len(), 1);
}

#[test]
fn outdoor_rooms_are_not_served_and_halls_get_less() {
    let rooms = rooms(&[("sit", RoomUse::Living), ("hall", RoomUse::Hall), ("roof", RoomUse::Outdoor)]);
    let household = default_household(&rooms);
    let ids = ids(&rooms);
    let served: Vec<(&str, f64, f64)> = served_rooms(&household, &ids)
        .into_iter()
        .map(|(room, target)| (room.as_str(), target.down.mbps(), target.up.mbps()))
        .collect();
    // 25 Mbit/s: ultra-high-definition video; 4 Mbit/s: standard definition (FCC Broadband Speed Guide).
    assert_eq!(served, [("sit", 25.0, 5.0), ("hall", 4.0, 1.0)]);
}

#[test]
fn rates_are_those_of_the_guide() {
    // FCC Broadband Speed Guide: 4K 25, HD video 5 to 8, multiplayer 4, HD teleconference 6, browsing 1, download 10.
    let household = default_household(&rooms(&[("sit", RoomUse::Living)]));
    let down = |name: &str| household.activities.iter().find(|a| a.id.as_str() == name).unwrap().down.mbps();
    assert_eq!(
        [down("watch-1"), down("watch-2"), down("game-1"), down("call-1"), down("browse-1"), down("update-1")],
        [25.0, 8.0, 4.0, 6.0, 1.0, 10.0]
    );
    assert!(household.assumptions.iter().any(|s| s.contains("Broadband Speed Guide")));
}

/// One person has one attention: shares that hold it sum to 1 at most, in the hour in which most is done.
#[test]
fn nobody_does_more_than_one_thing() {
    let household = default_household(&rooms(&[("sit", RoomUse::Living)]));
    for person in &household.people {
        let owned = |a: &&household::Activity| {
            let owner = household.devices.iter().find(|d| d.id == a.device).and_then(|d| d.owner.clone());
            a.kind.holds_attention() && a.person.clone().or(owner).as_ref() == Some(&person.id)
        };
        for hour in 0..24 {
            let share = |a: &household::Activity| a.busy_share * a.hours.map_or(1.0, |h| h.share_of(hour));
            let sum: f64 = household.activities.iter().filter(owned).map(share).sum();
            assert!(sum <= 1.0 + 1e-9, "{} at {hour}: {sum}", person.id);
        }
    }
    assert!(household.assumptions.iter().any(|s| s.contains("Hours are assumed")));
}

#[test]
fn every_defect_is_named() {
    let rooms = rooms(&[("sit", RoomUse::Living)]);
    let good = default_household(&rooms);
    let check = |break_it: &dyn Fn(&mut Household), rule: &str, word: &str| {
        let mut household = good.clone();
        break_it(&mut household);
        let findings = validate(&household, &ids(&rooms));
        assert!(findings.iter().any(|f| f.rule == rule && f.message.contains(word)), "{rule} {word}: {findings:#?}");
    };
    check(&|h| h.devices[0].room = id("attic"), "household.unknown-reference", "attic");
    check(&|h| h.devices[0].owner = Some(id("uncle")), "household.unknown-reference", "uncle");
    check(&|h| h.people[0].rooms.push(id("cave")), "household.unknown-reference", "cave");
    check(&|h| h.activities[0].device = id("fax"), "household.unknown-reference", "fax");
    check(&|h| h.targets[0].rooms.push(id("den")), "household.unknown-reference", "den");
    check(&|h| h.wishes.rooms_without_equipment.push(id("den")), "household.unknown-reference", "den");
    check(&|h| h.devices[1].id = h.devices[0].id.clone(), "household.duplicate-id", "work-computer");
    check(&|h| h.devices[0].count = 0, "household.out-of-range", "count");
    check(&|h| h.devices[0].count = 10_001, "household.out-of-range", "count");
    check(&|h| h.activities[0].busy_share = 1.5, "household.out-of-range", "busy_share");
    check(&|h| h.activities[0].busy_share = f64::NAN, "household.out-of-range", "busy_share");
    check(&|h| h.activities[0].down = units::BitsPerSecond(-1.0), "household.out-of-range", "down");
    check(&|h| h.targets[0].up = units::BitsPerSecond(f64::INFINITY), "household.out-of-range", "up");
    check(&|h| h.wishes.battery_runtime = Some(units::Seconds(-1.0)), "household.out-of-range", "battery_runtime");
    check(&|h| h.wishes.budget = Some("-5 EUR".parse().unwrap()), "household.out-of-range", "budget");
}
