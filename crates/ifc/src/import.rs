//! The import: from two models to one dwelling's building.

use building::Building;
use findings::Progress;
use schemars::JsonSchema;
use serde::Serialize;
use units::SquareMetres;

use crate::areas::{RoomArea, SAME_AREA, to_centre_lines};
use crate::build::{Home, build};
use crate::dwelling::{self, Dwelling};
use crate::electrical::Device;
use crate::error::ImportError;
use crate::geometry::Geometry;
use crate::model::Model;
use crate::report::{Collector, Report};
use crate::step::Limits;
use crate::storeys::Level;
use crate::walls::join_ends;

/// What to import.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Options {
    /// The dwelling, by its label or number; needed if the model holds more than one.
    pub dwelling: Option<String>,
    /// The largest files that are read.
    pub limits: Limits,
}

/// An imported home.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Import {
    /// The home. Places are those of the architect's model, in metres, moved as the report says.
    pub building: Building,
    /// What was understood, guessed and left out.
    pub report: Report,
    /// The dwellings of the model; one of them is the building.
    pub dwellings: Vec<Dwelling>,
    /// The areas of the building's rooms, by each way of measuring.
    pub areas: Vec<RoomArea>,
}

/// Walls and rooms beyond these numbers are no single home, and pairing them takes too long.
const MAX_WALLS: usize = 20_000;
const MAX_SPACES: usize = 3_000;
/// Two models' storeys are the same if their floors are this close [m].
const SAME_STOREY: f64 = 0.1;

/// Lists the dwellings of a model.
///
/// # Errors
/// As [`read`], except that no dwelling need be chosen.
pub fn dwellings(architecture: &[u8], limits: Limits) -> Result<Vec<Dwelling>, ImportError> {
    let step = Model::step(architecture, limits)?;
    let model = Model::new(&step)?;
    let geometry = Geometry::new(&model);
    Ok(home(&geometry, &mut Collector::default(), &findings::NoProgress)?.dwellings.list)
}

/// Imports one dwelling from an architect's model and, if given, the outlets and appliances of an electrical model.
///
/// # Model
/// Walls are centre lines with the model's material layers in the model's order; they are cut where the neighbour's
/// begin. Rooms that doors, open boundaries and stairs join are one dwelling, whatever they are called. Word rules say
/// what layers, rooms and devices are; each use is listed under `guessed` with its rule.
///
/// # Units
/// Any length, area and angle unit that the files state; the building is in metres.
///
/// # Errors
/// A file that is not a STEP file of a schema that is read, is damaged, too large or refers to itself in circles; a
/// model without walls; more than one dwelling and none, or none of that name, chosen. The message says what to do next.
pub fn read(
    architecture: &[u8],
    electrical: Option<&[u8]>,
    options: &Options,
    progress: &dyn Progress,
) -> Result<Import, ImportError> {
    let mut report = Collector::default();
    progress.step("reading the model", 0, 5)?;
    let step = Model::step(architecture, options.limits)?;
    let model = Model::new(&step)?;
    let geometry = Geometry::new(&model);
    report.note(&format!(
        "schema {}, {} instances, one length unit is {} m",
        model.schema_name,
        step.len(),
        model.metre
    ));
    if step.num_missing > 0 {
        report.left_out(
            "references",
            "the instances they name are not in the file",
            format!("{} references", step.num_missing),
        );
    }
    if model.schema == crate::model::Schema::Ifc4 && !model.schema_name.eq_ignore_ascii_case("IFC4") {
        report.guess(&format!("schema {}", model.schema_name), "it is read as IFC4, which it extends");
    }
    let home = home(&geometry, &mut report, progress)?;
    let chosen = choose(&home.dwellings.list, options.dwelling.as_deref())?;
    let mut devices = geometry.devices(&mut report)?;
    progress.step("reading the electrical model", 3, 5)?;
    if let Some(bytes) = electrical {
        let more = electrical_devices(bytes, options, &home.levels, &mut report)
            .map_err(|e| ImportError::Electrical(Box::new(e)))?;
        devices.extend(more);
    }
    for (keyword, ids) in geometry.take_unread() {
        for id in ids {
            report.left_out(&format!("shapes of the kind {keyword}"), "this kind of shape is not read", id);
        }
    }
    progress.step("building the home", 4, 5)?;
    let building = build(&home, chosen, devices, &mut report);
    let areas = room_areas(&home, chosen, &mut report);
    progress.step("building the home", 5, 5)?;
    Ok(Import { building, report: report.finish(), dwellings: home.dwellings.list, areas })
}

fn home(geometry: &Geometry<'_>, report: &mut Collector, progress: &dyn Progress) -> Result<Home, ImportError> {
    let mut levels = geometry.levels(report)?;
    progress.step("reading walls", 1, 5)?;
    let mut pieces = geometry.walls(&levels, report)?;
    if pieces.is_empty() {
        return Err(ImportError::NoWalls { num_instances: geometry.model.step.len() });
    }
    if levels.iter().all(|l| l.entity.is_none()) {
        let foot = pieces.iter().map(|p| p.z0).fold(f64::INFINITY, f64::min);
        levels.iter_mut().for_each(|l| l.z = foot);
    }
    if pieces.len() > MAX_WALLS {
        return Err(ImportError::TooMany { what: "straight wall pieces", found: pieces.len(), limit: MAX_WALLS });
    }
    join_ends(&mut pieces);
    let holes = geometry.holes(&pieces, report)?;
    progress.step("reading rooms and floors", 2, 5)?;
    let spaces = geometry.spaces(&levels, report)?;
    if spaces.len() > MAX_SPACES {
        return Err(ImportError::TooMany { what: "spaces", found: spaces.len(), limit: MAX_SPACES });
    }
    let plates = geometry.plates(&levels, report)?;
    let flights = geometry.flights(report)?;
    let dwellings = dwelling::find(&spaces, &pieces, &holes, &flights, report);
    Ok(Home { levels, spaces, pieces, holes, plates, flights, dwellings, north: geometry.model.north() })
}

/// Measures the rooms of a dwelling, and says which way the model's stated areas are measured.
fn room_areas(home: &Home, chosen: Option<usize>, report: &mut Collector) -> Vec<RoomArea> {
    let mut areas = Vec::new();
    for (i, space) in home.spaces.iter().enumerate() {
        if home.dwellings.of_space[i] != chosen || chosen.is_none() {
            continue;
        }
        let (inside, centre) = (space.area.size(), to_centre_lines(i, &home.spaces, &home.pieces));
        if let Some(stated) = space.stated {
            let is_same = |a: f64| (a / stated - 1.).abs() <= SAME_AREA;
            if is_same(inside) {
                report.understood("rooms whose stated area is measured to the walls' faces", space.id.clone());
            } else if is_same(centre) {
                report.understood("rooms whose stated area is measured to the walls' centre lines", space.id.clone());
            } else {
                report.guessed(
                    "rooms whose stated area is measured in no known way",
                    "the outline is taken from the room's shape and the stated area is kept beside it",
                    space.id.clone(),
                );
            }
        }
        areas.push(RoomArea {
            id: space.id.clone(),
            inside: SquareMetres(inside),
            to_centre_lines: SquareMetres(centre),
            stated: space.stated.map(SquareMetres),
        });
    }
    areas
}

/// The dwelling asked for; none if the model has no rooms.
fn choose(list: &[Dwelling], wanted: Option<&str>) -> Result<Option<usize>, ImportError> {
    match (wanted.map(str::trim), list) {
        (None, []) => Ok(None),
        (None, [_]) => Ok(Some(0)),
        (None, many) => Err(ImportError::ChooseDwelling(many.to_vec())),
        (Some(w), list) => {
            let by_label = list.iter().position(|d| d.label.as_deref() == Some(w));
            let any_case = || list.iter().position(|d| d.label.as_ref().is_some_and(|l| l.eq_ignore_ascii_case(w)));
            let by_number = || list.iter().position(|d| d.number.to_string() == w);
            by_label
                .or_else(any_case)
                .or_else(by_number)
                .map(Some)
                .ok_or_else(|| ImportError::UnknownDwelling { wanted: w.to_owned(), dwellings: list.to_vec() })
        }
    }
}

/// Devices of the electrical model, if it overlays the architecture.
fn electrical_devices(
    bytes: &[u8],
    options: &Options,
    levels: &[Level],
    report: &mut Collector,
) -> Result<Vec<Device>, ImportError> {
    let step = Model::step(bytes, options.limits)?;
    let model = Model::new(&step)?;
    let geometry = Geometry::new(&model);
    report.note(&format!(
        "electrical model: schema {}, {} instances, one length unit is {} m",
        model.schema_name,
        step.len(),
        model.metre
    ));
    let own = geometry.levels(&mut Collector::default())?;
    for level in own.iter().filter(|l| l.entity.is_some()) {
        let nearest = levels.iter().map(|l| (l.z - level.z).abs()).fold(f64::INFINITY, f64::min);
        if nearest <= SAME_STOREY {
            report.note("storeys of the electrical model that match the architecture's elevations");
        } else {
            report.guessed(
                "storeys of the electrical model at no storey of the architecture",
                "devices keep their heights; check that both models use one zero level",
                format!("{} at {:.2} m", level.name, level.z),
            );
        }
    }
    let devices = geometry.devices(report)?;
    for (keyword, ids) in geometry.take_unread() {
        for id in ids {
            report.left_out(&format!("shapes of the kind {keyword}"), "this kind of shape is not read", id);
        }
    }
    Ok(devices)
}
