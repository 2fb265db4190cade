//! The building's sections.

use std::collections::BTreeSet;

use building::{Assembly, Building, Electrical, Material, library};
use findings::Id;
use units::{Metres, SquareMetres};

use super::{Shown, put, word};
use crate::render::table::{Align, Table};
use crate::render::text::{Page, count};
use crate::render::{number, source};

pub fn overview(shown: &Shown<'_>, page: &mut Page) {
    let building = &shown.job.building;
    let units = shown.job.site.units;
    page.heading(&shown.job.name);
    let rooms = shown.resolved.map_or(building.rooms.len(), |r| r.rooms.len());
    let area = shown.resolved.map(|r| format!(", {} under a roof", number::area(SquareMetres(r.served_area()), units)));
    page.paragraph(&format!(
        "{}, {}{}; {}, {}, {}, {}, {}.",
        count(building.storeys.len(), "storey"),
        count(rooms, "room"),
        area.unwrap_or_default(),
        count(building.walls.len(), "wall"),
        count(building.openings.len(), "opening"),
        count(building.slabs.len(), "slab"),
        count(building.outlets.len(), "outlet"),
        count(building.fixed_objects.len(), "fixed object"),
    ));
    page.subheading("Storeys");
    storeys(shown, page);
    page.subheading("Rooms");
    self::rooms(shown, page);
    page.gap();
    super::people::site(shown, page);
    page.gap();
    super::people::household_in_brief(shown, page);
    let designs = shown.job.designs.len();
    page.paragraph(&format!("{} kept.", count(designs, "design")));
    if !shown.job.notes.is_empty() {
        page.subheading("Notes");
        super::people::notes(shown, page);
    }
}

pub fn storeys(shown: &Shown<'_>, page: &mut Page) {
    let units = shown.job.site.units;
    let mut table = Table::new(&[
        ("storey", Align::Left),
        ("name", Align::Left),
        ("use", Align::Left),
        ("floor at", Align::Right),
        ("height", Align::Right),
        ("rooms", Align::Right),
    ]);
    for storey in &shown.job.building.storeys {
        let rooms = shown.resolved.map(|r| {
            r.rooms.iter().filter(|room| r.storeys.get(room.storey).is_some_and(|s| s.id == storey.id)).count()
        });
        table.row([
            storey.id.to_string(),
            storey.name.clone(),
            word(&storey.usage),
            number::length(storey.elevation, units),
            number::length(storey.height, units),
            rooms.map_or_else(String::new, |n| n.to_string()),
        ]);
    }
    put(page, &table, "No storeys.");
}

pub fn rooms(shown: &Shown<'_>, page: &mut Page) {
    let units = shown.job.site.units;
    let mut table = Table::new(&[
        ("room", Align::Left),
        ("name", Align::Left),
        ("storey", Align::Left),
        ("use", Align::Left),
        ("between faces", Align::Right),
        ("as stated", Align::Right),
    ]);
    let Some(resolved) = shown.resolved else {
        for room in &shown.job.building.rooms {
            table.row([
                room.id.to_string(),
                room.name.clone(),
                room.storey.to_string(),
                word(&room.usage),
                "unknown".to_owned(),
                room.stated_area.map_or_else(String::new, |a| number::area(a, units)),
            ]);
        }
        return put(page, &table, "No rooms.");
    };
    let mut total = 0.0;
    for room in &resolved.rooms {
        total += room.area;
        let stated = shown.stated_area(&room.id);
        table.row([
            room.id.to_string(),
            room.name.clone(),
            resolved.storeys.get(room.storey).map_or_else(String::new, |s| s.name.clone()),
            word(&room.usage),
            number::area(SquareMetres(room.area), units),
            stated.map_or_else(String::new, |a| number::area(a, units)),
        ]);
    }
    put(page, &table, "No rooms.");
    if !resolved.rooms.is_empty() {
        let all = number::area(SquareMetres(total), units);
        let stated: Vec<SquareMetres> = resolved.rooms.iter().filter_map(|r| shown.stated_area(&r.id)).collect();
        // A sum over some rooms only would look like a difference.
        if stated.len() == resolved.rooms.len() {
            let stated = number::area(stated.into_iter().sum(), units);
            page.line(&format!("{all} between the walls' faces in all; {stated} as stated."));
        } else {
            page.line(&format!("{all} between the walls' faces in all."));
        }
    }
}

pub fn walls(shown: &Shown<'_>, page: &mut Page) {
    let units = shown.job.site.units;
    let building = &shown.job.building;
    let mut table = Table::new(&[
        ("wall", Align::Left),
        ("storey", Align::Left),
        ("kind", Align::Left),
        ("length", Align::Right),
        ("thick", Align::Right),
        ("assembly", Align::Left),
    ]);
    for wall in &building.walls {
        let thickness = library::find_assembly(building, &wall.assembly).map(Assembly::thickness);
        table.row([
            wall.id.to_string(),
            wall.storey.to_string(),
            word(&wall.kind),
            number::length(Metres(wall.from.distance(wall.to)), units),
            thickness.map_or_else(|| "unknown".to_owned(), |t| number::thickness(t, units)),
            wall.assembly.to_string(),
        ]);
    }
    put(page, &table, "No walls.");
}

pub fn openings(shown: &Shown<'_>, page: &mut Page) {
    let units = shown.job.site.units;
    let mut table = Table::new(&[
        ("opening", Align::Left),
        ("kind", Align::Left),
        ("wall", Align::Left),
        ("width", Align::Right),
        ("height", Align::Right),
        ("sill", Align::Right),
        ("assembly", Align::Left),
    ]);
    for opening in &shown.job.building.openings {
        table.row([
            opening.id.to_string(),
            word(&opening.kind),
            opening.wall.to_string(),
            number::length(opening.width, units),
            number::length(opening.height, units),
            number::length(opening.sill, units),
            opening.assembly.as_ref().map_or_else(String::new, ToString::to_string),
        ]);
    }
    put(page, &table, "No openings.");
}

pub fn slabs(shown: &Shown<'_>, page: &mut Page) {
    let units = shown.job.site.units;
    let building = &shown.job.building;
    let mut table = Table::new(&[
        ("slab", Align::Left),
        ("storey", Align::Left),
        ("kind", Align::Left),
        ("holes", Align::Right),
        ("thick", Align::Right),
        ("assembly", Align::Left),
    ]);
    for slab in &building.slabs {
        let thickness = library::find_assembly(building, &slab.assembly).map(Assembly::thickness);
        table.row([
            slab.id.to_string(),
            slab.storey.to_string(),
            word(&slab.kind),
            slab.holes.len().to_string(),
            thickness.map_or_else(|| "unknown".to_owned(), |t| number::thickness(t, units)),
            slab.assembly.to_string(),
        ]);
    }
    put(page, &table, "No slabs.");
}

pub fn outlets(shown: &Shown<'_>, page: &mut Page) {
    let units = shown.job.site.units;
    let building = &shown.job.building;
    let mut table = Table::new(&[
        ("outlet", Align::Left),
        ("gives", Align::Left),
        ("storey", Align::Left),
        ("room", Align::Left),
        ("height", Align::Right),
        ("circuit", Align::Left),
    ]);
    for outlet in &building.outlets {
        let room = shown.resolved.and_then(|r| {
            let found = r.outlets.iter().find(|o| o.outlet == outlet.id)?;
            r.rooms.get(found.room?).map(|room| room.name.clone())
        });
        table.row([
            outlet.id.to_string(),
            word(&outlet.kind),
            outlet.storey.to_string(),
            room.unwrap_or_default(),
            number::length(outlet.height, units),
            outlet.circuit.as_ref().map_or_else(String::new, ToString::to_string),
        ]);
    }
    put(page, &table, "No outlets.");
    match &building.demarcation {
        Some(d) => page.paragraph(&format!(
            "Demarcation point: storey {}, {} from the left and {} up the sheet, {} above the floor.",
            d.storey,
            number::length(Metres(d.at.x), units),
            number::length(Metres(d.at.y), units),
            number::length(d.height, units)
        )),
        None => page.paragraph("The demarcation point is not known."),
    }
}

pub fn objects(shown: &Shown<'_>, page: &mut Page) {
    let units = shown.job.site.units;
    let mut table = Table::new(&[
        ("object", Align::Left),
        ("name", Align::Left),
        ("storey", Align::Left),
        ("height", Align::Right),
        ("material", Align::Left),
    ]);
    for object in &shown.job.building.fixed_objects {
        table.row([
            object.id.to_string(),
            object.name.clone(),
            object.storey.to_string(),
            number::length(object.height, units),
            object.material.to_string(),
        ]);
    }
    put(page, &table, "No fixed objects.");
}

/// The assemblies that this home uses or brings, in the order of their ids.
pub fn used_assemblies(building: &Building) -> Vec<&Assembly> {
    let own = building.assemblies.iter().map(|a| &a.id);
    let ids: BTreeSet<&Id> = building
        .walls
        .iter()
        .map(|w| &w.assembly)
        .chain(building.slabs.iter().map(|s| &s.assembly))
        .chain(building.openings.iter().filter_map(|o| o.assembly.as_ref()))
        .chain(own)
        .collect();
    ids.into_iter().filter_map(|id| library::find_assembly(building, id)).collect()
}

/// The materials that this home uses or brings, in the order of their ids.
pub fn used_materials(building: &Building) -> Vec<&Material> {
    let mut ids: BTreeSet<&Id> = building.materials.iter().map(|m| &m.id).collect();
    ids.extend(building.fixed_objects.iter().map(|o| &o.material));
    for assembly in used_assemblies(building) {
        for layer in &assembly.layers {
            ids.insert(&layer.material);
            ids.extend(layer.framing.as_ref().map(|f| &f.material));
        }
    }
    ids.into_iter().filter_map(|id| library::find_material(building, id)).collect()
}

pub fn assemblies(shown: &Shown<'_>, page: &mut Page) {
    let units = shown.job.site.units;
    for assembly in used_assemblies(&shown.job.building) {
        page.subheading(&format!(
            "{}  {} ({})",
            assembly.id,
            assembly.name,
            number::thickness(assembly.thickness(), units)
        ));
        for layer in &assembly.layers {
            let framing = layer.framing.as_ref().map_or_else(String::new, |f| {
                format!(
                    ", with {} members {} wide every {}",
                    f.material,
                    number::thickness(f.width, units),
                    number::thickness(f.spacing, units)
                )
            });
            page.hanging(
                &format!("  {:>9}  ", number::thickness(layer.thickness, units)),
                "             ",
                &format!("{}{framing}", layer.material),
            );
        }
        page.hanging("  Source: ", "    ", &source::words(&assembly.source));
    }
}

pub fn materials(shown: &Shown<'_>, page: &mut Page) {
    let mut table = Table::new(&[
        ("material", Align::Left),
        ("name", Align::Left),
        ("constants", Align::Left),
        ("source", Align::Left),
    ]);
    for material in used_materials(&shown.job.building) {
        let constants = match material.electrical {
            Electrical::Dielectric { a, b, c, d, min_ghz, max_ghz } => {
                format!("a {a}, b {b}, c {c}, d {d}; {min_ghz} to {max_ghz} GHz")
            }
            Electrical::Sheet { ohm_per_square } => format!("sheet of {ohm_per_square} Ω per square"),
            Electrical::Mesh { pitch, radius } => {
                let size = |metres: f64| number::thickness(Metres(metres), shown.job.site.units);
                format!("mesh of wires of {} every {}", size(2.0 * radius), size(pitch))
            }
            Electrical::Metal => "metal".to_owned(),
        };
        table.row([material.id.to_string(), material.name.clone(), constants, source::words(&material.source)]);
    }
    put(page, &table, "No materials.");
    page.gap();
    page.paragraph(
        "Constants as in ITU-R P.2040: relative permittivity a f^b, conductivity c f^d in S/m, with f in GHz.",
    );
}
