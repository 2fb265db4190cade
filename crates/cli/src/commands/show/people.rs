//! The household, what comes with the address, equipment and designs.

use household::{Household, Target};

use super::{Shown, put, word};
use crate::render::design::{Names, parts};
use crate::render::number;
use crate::render::table::{Align, Table};
use crate::render::text::{Page, count};

pub fn household_in_brief(shown: &Shown<'_>, page: &mut Page) {
    let (household, is_default) = shown.household();
    let devices: u32 = household.devices.iter().fold(0, |sum, d| sum.saturating_add(d.count));
    let origin = if is_default { " (the stated default, since the job has no household)" } else { "" };
    page.paragraph(&format!(
        "Household{origin}: {}, {}, {}.",
        count(household.people.len(), "role"),
        count(devices as usize, "device"),
        count(household.activities.len(), "activity")
    ));
}

pub fn household(shown: &Shown<'_>, page: &mut Page) {
    let (household, _) = shown.household();
    household_in_brief(shown, page);
    page.gap();
    let mut people = Table::new(&[("person", Align::Left), ("role", Align::Left), ("rooms", Align::Left)]);
    for person in &household.people {
        let rooms: Vec<_> = person.rooms.iter().map(ToString::to_string).collect();
        people.row([person.id.to_string(), person.role.clone(), rooms.join(", ")]);
    }
    put(page, &people, "No people.");
    page.gap();
    devices(&household, page);
    page.gap();
    activities(&household, page);
    page.gap();
    targets(&household.targets, page);
    for kept in &household.kept {
        page.item(&format!("Kept: {} ({})", kept.id, kept.part));
    }
    wishes(&household, page);
    if !household.assumptions.is_empty() {
        page.subheading("Assumptions");
        household.assumptions.iter().for_each(|a| page.item(a));
    }
}

fn devices(household: &Household, page: &mut Page) {
    let mut table = Table::new(&[
        ("device", Align::Left),
        ("kind", Align::Left),
        ("number", Align::Right),
        ("room", Align::Left),
        ("joins", Align::Left),
        ("must stay up", Align::Left),
    ]);
    for device in &household.devices {
        table.row([
            device.id.to_string(),
            word(&device.kind),
            device.count.to_string(),
            device.room.to_string(),
            word(&device.attachment),
            if device.must_stay_up { "yes".to_owned() } else { String::new() },
        ]);
    }
    put(page, &table, "No devices.");
}

fn activities(household: &Household, page: &mut Page) {
    let mut table = Table::new(&[
        ("activity", Align::Left),
        ("kind", Align::Left),
        ("device", Align::Left),
        ("down", Align::Right),
        ("up", Align::Right),
        ("busy share", Align::Right),
    ]);
    for activity in &household.activities {
        table.row([
            activity.id.to_string(),
            word(&activity.kind),
            activity.device.to_string(),
            number::rate(activity.down.0),
            number::rate(activity.up.0),
            format!("{:.0} %", activity.busy_share * 100.0),
        ]);
    }
    put(page, &table, "No activities.");
}

fn targets(targets: &[Target], page: &mut Page) {
    let mut table =
        Table::new(&[("target", Align::Left), ("rooms", Align::Left), ("down", Align::Right), ("up", Align::Right)]);
    for target in targets {
        let rooms: Vec<_> = target.rooms.iter().map(ToString::to_string).collect();
        table.row([
            target.id.to_string(),
            if rooms.is_empty() { "all others".to_owned() } else { rooms.join(", ") },
            number::rate(target.down.0),
            number::rate(target.up.0),
        ]);
    }
    put(page, &table, "No targets.");
}

fn wishes(household: &Household, page: &mut Page) {
    let wishes = &household.wishes;
    let mut said = Vec::new();
    if let Some(budget) = wishes.budget {
        said.push(format!("at most {budget}, installed"));
    }
    if wishes.no_drilling {
        said.push("no drilling".to_owned());
    }
    if wishes.no_ceiling_mounts {
        said.push("nothing on ceilings".to_owned());
    }
    if !wishes.rooms_without_equipment.is_empty() {
        let rooms: Vec<_> = wishes.rooms_without_equipment.iter().map(ToString::to_string).collect();
        said.push(format!("no equipment in {}", rooms.join(", ")));
    }
    if let Some(runtime) = wishes.battery_runtime {
        said.push(format!("{} on battery", number::duration(runtime.0)));
    }
    if wishes.separate_segments {
        said.push("guests and things kept apart".to_owned());
    }
    if !said.is_empty() {
        page.gap();
        page.paragraph(&format!("Wishes: {}.", said.join("; ")));
    }
}

pub fn site(shown: &Shown<'_>, page: &mut Page) {
    let site = &shown.job.site;
    let country = site::country_name(&site.country).unwrap_or("unknown country");
    page.paragraph(&format!("Site: {country} ({}), prices in {}, date {}.", site.country, site.currency, site.date));
    for line in &site.lines {
        page.item(&format!(
            "line {}: {}, {} down, {} up, handed over by {}",
            line.id,
            word(&line.kind),
            number::rate(line.down.0),
            number::rate(line.up.0),
            word(&line.handover)
        ));
    }
    if site.lines.is_empty() {
        page.item("no line into the home");
    }
    match (site.mains.saidi, site.mains.saifi) {
        (Some(saidi), Some(saifi)) => {
            page.item(&format!("mains: {saifi} interruptions and {} a year", number::duration(saidi.0)));
        }
        (Some(saidi), None) => page.item(&format!("mains: {} of interruption a year", number::duration(saidi.0))),
        (None, Some(saifi)) => page.item(&format!("mains: {saifi} interruptions a year")),
        (None, None) => page.item("mains: reliability not known"),
    }
    page.item(&match site.neighbours.len() {
        0 => "no neighbour's network known".to_owned(),
        n => format!("{} heard", count(n, "neighbour's network")),
    });
}

pub fn equipment(shown: &Shown<'_>, page: &mut Page) {
    let mut table = Table::new(&[
        ("part", Align::Left),
        ("name", Align::Left),
        ("kind", Align::Left),
        ("LAN ports", Align::Right),
        ("draw", Align::Right),
    ]);
    for part in shown.parts() {
        table.row([
            part.id.to_string(),
            part.name.clone(),
            word(&part.kind),
            if part.ports.lan > 0 { part.ports.lan.to_string() } else { String::new() },
            if part.draw.0 > 0.0 {
                number::plain(part.draw.0, None, None, "W", shown.job.site.units)
            } else {
                String::new()
            },
        ]);
    }
    put(page, &table, "No parts.");
}

pub fn designs(shown: &Shown<'_>, page: &mut Page) {
    if shown.job.designs.is_empty() {
        page.paragraph("The job keeps no designs; `wallplate plan` searches for some.");
    }
    let catalog = equipment::Catalog::with(&shown.job.equipment.parts).unwrap_or_default();
    let empty = building::Resolved::default();
    let names = Names { home: shown.resolved.unwrap_or(&empty), catalog: &catalog };
    for design in &shown.job.designs {
        page.subheading(&format!("{}  {} ({})", design.id, design.name, design.family));
        parts(page, design, &names);
    }
}

pub fn notes(shown: &Shown<'_>, page: &mut Page) {
    if shown.job.notes.is_empty() {
        page.paragraph("No notes.");
    }
    shown.job.notes.iter().for_each(|note| page.item(note));
}
