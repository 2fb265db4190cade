//! The import: from two models to one dwelling's building.
//!
//! Long because the steps of one import share one collector and are read in order; the report wording stands with each step.

use building::{
    Building, Circuit, Demarcation, FixedObject, Opening, OpeningKind, Outlet, OutletKind, Room, Slab, SlabKind, Stair,
    Storey, StoreyUse, Wall, WallKind,
};
use findings::{Id, Progress};
use schemars::JsonSchema;
use serde::Serialize;
use units::{Degrees, Metres, Point2, SquareMetres};

use crate::areas::{RoomArea, SAME_AREA, to_centre_lines};
use crate::dwelling::{self, Dwelling, Dwellings};
use crate::electrical::{Device, What};
use crate::error::ImportError;
use crate::geometry::Geometry;
use crate::keep::{Part, View};
use crate::layers::Assemblies;
use crate::model::Model;
use crate::openings::Hole;
use crate::plan::{Area, intersection, outline};
use crate::report::{Collector, Report};
use crate::slabs::{Flight, Plate};
use crate::spaces::Space;
use crate::step::Limits;
use crate::storeys::{Level, level_at, unique};
use crate::walls::{Piece, join_ends};
use crate::words::has_word;

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
/// Outlets this far outside a room's outline still belong to it: they sit on its walls [m].
const OUTLET_REACH: f64 = 0.3;
/// A terminal board outside the dwelling is taken for its demarcation point within this distance [m].
const BOARD_REACH: f64 = 10.0;
/// A model farther than this from its origin is moved to it [m].
const FAR_AWAY: f64 = 1_000.0;

/// Everything that a model holds, before a dwelling is chosen.
struct Home {
    levels: Vec<Level>,
    spaces: Vec<Space>,
    pieces: Vec<Piece>,
    holes: Vec<Hole>,
    plates: Vec<Plate>,
    flights: Vec<Flight>,
    dwellings: Dwellings,
    north: f64,
}

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

/// What all parts of the building are moved by [m].
#[derive(Clone, Copy)]
struct Shift([f64; 3]);

impl Shift {
    fn plan(self, p: [f64; 2]) -> Point2 {
        Point2::new(tidy(p[0] - self.0[0]), tidy(p[1] - self.0[1]))
    }
}

/// Rounds to a micrometre, below which a model's digits are noise.
fn tidy(x: f64) -> f64 {
    (x * 1e6).round() / 1e6 + 0.
}

fn id(text: &str) -> Id {
    text.parse().unwrap_or_else(|_| Id::from_label(text))
}

struct Builder<'a> {
    home: &'a Home,
    view: View<'a>,
    /// Without rooms everything belongs to the home.
    is_whole: bool,
    shift: Shift,
    /// Storeys of the building as indices into the model's levels.
    used: Vec<usize>,
    assemblies: Assemblies,
    building: Building,
}

fn build(home: &Home, chosen: Option<usize>, devices: Vec<Device>, report: &mut Collector) -> Building {
    let view = View {
        spaces: &home.spaces,
        of_space: &home.dwellings.of_space,
        pieces: &home.pieces,
        dwelling: chosen.unwrap_or(usize::MAX),
    };
    let mut builder = Builder {
        home,
        view,
        is_whole: chosen.is_none(),
        shift: Shift([0.; 3]),
        used: Vec::new(),
        assemblies: Assemblies::default(),
        building: Building { north: Degrees(home.north), ..Building::default() },
    };
    builder.set_shift(report);
    builder.storeys(report);
    builder.rooms(report);
    builder.walls(report);
    builder.slabs(report);
    builder.stairs(report);
    builder.devices(&devices, report);
    builder.building.assemblies = builder.assemblies.list;
    builder.building
}

impl Builder<'_> {
    fn set_shift(&mut self, report: &mut Collector) {
        let (mut low, mut high) = ([f64::INFINITY; 2], [f64::NEG_INFINITY; 2]);
        for p in self.home.pieces.iter().flat_map(|p| [p.a, p.b]) {
            for k in 0..2 {
                low[k] = low[k].min(p[k]);
                high[k] = high[k].max(p[k]);
            }
        }
        let lowest = self.home.levels.first().map_or(0., |l| l.z);
        if low.iter().chain(&high).any(|c| c.abs() > FAR_AWAY) {
            self.shift.0[0] = low[0].round();
            self.shift.0[1] = low[1].round();
        }
        if lowest.abs() > 50. {
            self.shift.0[2] = lowest;
        }
        if self.shift.0 != [0.; 3] {
            let [x, y, z] = self.shift.0;
            report.note(&format!("the model is far from its origin and was moved by ({}, {}, {}) m", -x, -y, -z));
        }
    }

    fn has_space(&self, i: usize) -> bool {
        self.view.has(i)
    }

    fn storeys(&mut self, report: &mut Collector) {
        let home = self.home;
        let mut used: Vec<usize> = if self.is_whole {
            home.pieces.iter().map(|p| p.level).collect()
        } else {
            (0..home.spaces.len()).filter(|i| self.has_space(*i)).map(|i| home.spaces[i].level).collect()
        };
        used.sort_unstable();
        used.dedup();
        for (n, l) in used.iter().enumerate() {
            let level = &home.levels[*l];
            let next = used.get(n + 1).map(|u| home.levels[*u].z);
            let height = self.storey_height(*l, next, report);
            self.building.storeys.push(Storey {
                id: id(&level.id),
                name: level.name.clone(),
                elevation: Metres(tidy(level.z - self.shift.0[2])),
                height: Metres(tidy(height)),
                usage: StoreyUse::Living,
                model_id: level.global_id.clone(),
            });
            report.understood("storeys", level.id.clone());
        }
        for (_, level) in home.levels.iter().enumerate().filter(|(l, _)| !used.contains(l)) {
            report.left_out("storeys", "they hold no room of the dwelling", level.name.clone());
        }
        self.used = used;
    }

    /// From the floor to the ceiling that most of the floor area has.
    fn storey_height(&self, level: usize, next: Option<f64>, report: &mut Collector) -> f64 {
        let z = self.home.levels[level].z;
        let limit = next.map_or(f64::INFINITY, |n| n - z);
        let mut heights: Vec<(f64, f64)> = (0..self.home.spaces.len())
            .filter(|i| self.has_space(*i) && self.home.spaces[*i].level == level)
            .map(|i| (self.ceiling(i) - z, self.home.spaces[i].area.size()))
            .filter(|h| h.0 > 0.5 && h.0 <= limit + 1e-6)
            .collect();
        heights.sort_by(|a, b| a.0.total_cmp(&b.0));
        let half = heights.iter().map(|h| h.1).sum::<f64>() / 2.;
        let mut sum = 0.;
        for (height, area) in &heights {
            sum += area;
            if sum >= half {
                return *height;
            }
        }
        let walls = self.home.pieces.iter().filter(|p| p.level == level).map(|p| p.z1 - z).fold(0., f64::max);
        report.guessed(
            "storey heights",
            "no room states its height: that of the walls, at most to the next floor",
            self.home.levels[level].id.clone(),
        );
        if walls > 0.5 { walls.min(limit) } else { limit.min(2.5) }
    }

    /// The underside of a room's ceiling: of the lowest hung one that covers half of it, else the top of its shape [m].
    fn ceiling(&self, i: usize) -> f64 {
        let space = &self.home.spaces[i];
        let covers = |p: &&Plate| {
            p.kind == SlabKind::Ceiling
                && p.z0 > space.z0 + 1.9
                && p.z0 < space.z1
                && intersection(&p.area, &space.area).iter().map(Area::size).sum::<f64>() > 0.5 * space.area.size()
        };
        self.home.plates.iter().filter(covers).map(|p| p.z0).fold(space.z1, f64::min)
    }

    /// The building's storey for an element: its own, else the nearest one below, else the lowest.
    fn storey(&self, level: usize, z: f64) -> (Id, f64) {
        let levels = &self.home.levels;
        let own = self.used.contains(&level).then_some(level);
        let below = || self.used.iter().copied().rfind(|u| levels[*u].z <= z + 0.5);
        let l = own.or_else(below).or_else(|| self.used.first().copied()).unwrap_or(0);
        levels.get(l).map_or((Id::from_label("storey"), 0.), |level| (id(&level.id), level.z))
    }

    fn rooms(&mut self, report: &mut Collector) {
        for (i, s) in self.home.spaces.iter().enumerate() {
            if !self.has_space(i) {
                let why = match self.home.dwellings.of_space[i] {
                    Some(d) => format!("they belong to dwelling {}", d + 1),
                    None => "they belong to no dwelling".to_owned(),
                };
                report.left_out("rooms", &why, s.id.clone());
                continue;
            }
            let inside = s.area.inner_point();
            let (storey, _) = self.storey(s.level, s.z0);
            report.understood("rooms with name and outline", s.id.clone());
            if s.usage == building::RoomUse::Other {
                report.guessed("use of rooms", "no word of its name is known: `other`", s.id.clone());
            } else {
                report.guessed("use of rooms", "by the words of their names", s.id.clone());
            }
            if s.stated.is_some() {
                report.understood("rooms with a stated area", s.id.clone());
            }
            if !s.area.holes.is_empty() {
                report.left_out(
                    "holes in rooms",
                    "a room's outline has no holes here; walls inside it still count",
                    s.id.clone(),
                );
            }
            self.building.rooms.push(Room {
                id: id(&s.id),
                name: s.name.clone(),
                storey,
                inside: self.shift.plan(inside),
                usage: s.usage,
                outline: Some(s.area.outer.iter().map(|p| self.shift.plan(*p)).collect()),
                stated_area: s.stated.map(SquareMetres),
                model_id: Some(s.global_id.clone()),
            });
        }
    }

    fn walls(&mut self, report: &mut Collector) {
        let home = self.home;
        for (i, piece) in home.pieces.iter().enumerate() {
            let whole = Part { s0: 0., s1: piece.length(), kind: WallKind::Inside };
            let parts = if self.is_whole {
                let kind = if piece.is_external == Some(true) { WallKind::Outer } else { WallKind::Inside };
                report.guessed(
                    "kinds of walls",
                    "the model has no rooms: outer walls are those it calls external",
                    piece.id.clone(),
                );
                vec![Part { kind, ..whole }]
            } else {
                self.view.parts(i)
            };
            let own_holes: Vec<&Hole> = home.holes.iter().filter(|h| h.piece == i).collect();
            if parts.is_empty() {
                report.left_out("walls", "they bound no room of the dwelling", piece.id.clone());
                for h in own_holes {
                    report.left_out("openings", "their wall bounds no room of the dwelling", h.global_id.clone());
                }
                continue;
            }
            let kept: f64 = parts.iter().map(|p| p.s1 - p.s0).sum();
            if kept < piece.length() - 0.1 {
                report.guessed(
                    "walls cut short",
                    "the part that bounds only the neighbour's rooms is left off, to the wall that meets it there",
                    piece.id.clone(),
                );
            }
            let assembly = self.wall_assembly(piece, report);
            let (storey, floor) = self.storey(piece.level, piece.z0);
            let mut placed = vec![false; own_holes.len()];
            let num_parts = parts.len();
            for (k, part) in parts.iter().enumerate() {
                let wall_id = if num_parts == 1 { piece.id.clone() } else { format!("{}-{}", piece.id, k + 1) };
                let (from, to) = (piece.point(part.s0, 0.), piece.point(part.s1, 0.));
                self.building.walls.push(Wall {
                    id: id(&wall_id),
                    storey: storey.clone(),
                    from: self.shift.plan(from),
                    to: self.shift.plan(to),
                    assembly: assembly.clone(),
                    kind: part.kind,
                    base: Metres(tidy(piece.z0 - floor)),
                    height: Some(Metres(tidy(piece.z1 - piece.z0))),
                    model_id: Some(piece.global_id.clone()),
                });
                report.understood(
                    match part.kind {
                        WallKind::Inside => "inside walls",
                        WallKind::Outer => "outer walls",
                        WallKind::Party => "walls to a neighbour",
                    },
                    wall_id.clone(),
                );
                for (n, h) in own_holes.iter().enumerate() {
                    let middle = (h.s0 + h.s1) / 2.;
                    if !placed[n] && middle >= part.s0 && middle <= part.s1 {
                        placed[n] = true;
                        self.opening(h, &wall_id, *part, floor, report);
                    }
                }
            }
            for (h, _) in own_holes.iter().zip(&placed).filter(|(_, p)| !**p) {
                report.left_out("openings", "they are in the neighbour's part of a wall", h.global_id.clone());
            }
        }
    }

    fn opening(&mut self, h: &Hole, wall: &str, part: Part, floor: f64, report: &mut Collector) {
        let n = self.building.openings.len() + 1;
        let prefix = match h.kind {
            OpeningKind::Door => "d",
            OpeningKind::Window => "win",
            OpeningKind::Gap => "gap",
        };
        let opening_id = format!("{prefix}{n}");
        let (s0, s1) = (h.s0.max(part.s0) - part.s0, h.s1.min(part.s1) - part.s0);
        let assembly = match h.kind {
            OpeningKind::Gap => None,
            kind => {
                let (assembly, rule) = filling(kind, &h.words, part.kind, h.s1 - h.s0);
                report.guessed(
                    if kind == OpeningKind::Door { "what doors are made of" } else { "what windows are made of" },
                    rule,
                    opening_id.clone(),
                );
                Some(Id::from_label(assembly))
            }
        };
        self.building.openings.push(Opening {
            id: id(&opening_id),
            wall: id(wall),
            kind: h.kind,
            at: Metres(tidy(s0)),
            width: Metres(tidy(s1 - s0)),
            height: Metres(tidy(h.z1 - h.z0)),
            sill: Metres(tidy(h.z0 - floor)),
            assembly,
            model_id: Some(h.global_id.clone()),
        });
    }

    fn wall_assembly(&mut self, piece: &Piece, report: &mut Collector) -> Id {
        if piece.is_glazed {
            report.guessed("curtain walls", "double panes without coating; frames are left out", piece.id.clone());
            return Id::from_label("window-double");
        }
        self.assemblies.of(&piece.build_up, &piece.layers, false, report)
    }

    fn slabs(&mut self, report: &mut Collector) {
        for plate in &self.home.plates {
            if !self.is_whole && !self.view.has_plate(plate) {
                report.left_out("slabs", "they lie neither under nor over a room of the dwelling", plate.id.clone());
                continue;
            }
            let assembly = if plate.is_glazed {
                Id::from_label("window-double")
            } else {
                self.assemblies.of(&plate.build_up, &plate.layers, true, report)
            };
            let (storey, floor) = self.storey(plate.level, plate.z0);
            self.building.slabs.push(Slab {
                id: id(&plate.id),
                storey,
                kind: plate.kind,
                outline: plate.area.outer.iter().map(|p| self.shift.plan(*p)).collect(),
                holes: plate.area.holes.iter().map(|h| h.iter().map(|p| self.shift.plan(*p)).collect()).collect(),
                top: Metres(tidy(plate.z1 - floor)),
                assembly,
                model_id: Some(plate.global_id.clone()),
            });
        }
    }

    fn stairs(&mut self, report: &mut Collector) {
        for f in &self.home.flights {
            if !self.is_whole && !self.view.has_flight(f) {
                report.left_out("stairs", "they end in no room of the dwelling", f.id.clone());
                continue;
            }
            let at = |z: f64| self.storey(level_at(z, &self.home.levels), z);
            // A flight's last riser ends a step below the floor that it reaches.
            let ((from, _), (to, _)) = (at(f.z0), at(f.z1));
            if from == to {
                report.left_out("stairs", "they start and end on one storey of the dwelling", f.id.clone());
                continue;
            }
            let outline = outline(&f.outline).iter().map(|p| self.shift.plan([p.x, p.y])).collect();
            self.building.stairs.push(Stair { id: id(&f.id), from, to, outline });
        }
    }

    fn devices(&mut self, devices: &[Device], report: &mut Collector) {
        let mut boards: Vec<(f64, &Device)> = Vec::new();
        for d in devices {
            let near = self.view.nearest(d.at, d.z);
            let is_here = self.is_whole || near.is_some_and(|(r, s)| r <= OUTLET_REACH && self.has_space(s));
            let level = near.filter(|n| n.0 <= OUTLET_REACH).map_or_else(
                || level_at(d.z, &self.home.levels),
                |n| level_at(d.z, &self.home.levels).max(self.home.spaces[n.1].level),
            );
            let (storey, floor) = self.storey(level, d.z);
            match &d.what {
                What::Board => {
                    let own = (0..self.home.spaces.len())
                        .filter(|i| self.has_space(*i))
                        .map(|i| {
                            let s = &self.home.spaces[i];
                            let rise = (s.z0 - d.z).max(d.z - s.z1).max(0.);
                            s.area.distance(d.at).hypot(rise)
                        })
                        .fold(if self.is_whole { 0. } else { f64::INFINITY }, f64::min);
                    boards.push((own, d));
                }
                What::Outlet(kind) if is_here => {
                    let n = self.building.outlets.len() + 1;
                    let outlet_id = format!("o{n}");
                    let name = match kind {
                        OutletKind::Mains => "mains outlets",
                        OutletKind::Data => "data outlets",
                        OutletKind::Coax => "coaxial outlets",
                        OutletKind::Phone => "telephone outlets",
                    };
                    report.understood(name, outlet_id.clone());
                    let circuit = d.circuit.as_ref().map(|c| self.circuit(c));
                    self.building.outlets.push(Outlet {
                        id: id(&outlet_id),
                        kind: *kind,
                        storey,
                        at: self.shift.plan(d.at),
                        height: Metres(tidy(d.z - floor)),
                        circuit,
                        model_id: Some(d.global_id.clone()),
                    });
                }
                What::Metal { name, outline, z0, height } if is_here => {
                    let object_id = unique(Id::from_label(name).as_str(), |i| {
                        self.building.fixed_objects.iter().any(|o| o.id.as_str() == i)
                    });
                    report.guessed(
                        "fixed things of metal",
                        "by their names; an upright metal box around their shape",
                        object_id.clone(),
                    );
                    self.building.fixed_objects.push(FixedObject {
                        id: id(&object_id),
                        name: (*name).to_owned(),
                        storey,
                        outline: outline.iter().map(|p| self.shift.plan(*p)).collect(),
                        base: Metres(tidy(z0 - floor)),
                        height: Metres(tidy(*height)),
                        material: Id::from_label("metal"),
                        model_id: Some(d.global_id.clone()),
                    });
                    if *name == "panelboard" && d.circuit.is_none() {
                        report.left_out(
                            "circuits",
                            "the model relates no outlet to this panelboard",
                            d.global_id.clone(),
                        );
                    }
                }
                What::Outlet(_) => report.left_out(
                    "outlets",
                    "they are more than 0.3 m from every room of the dwelling, or nearer to another's",
                    d.global_id.clone(),
                ),
                What::Metal { .. } => {
                    report.left_out(
                        "fixed things of metal",
                        "they stand in no room of the dwelling",
                        d.global_id.clone(),
                    );
                }
            }
        }
        self.demarcation(boards, report);
    }

    fn circuit(&mut self, name: &str) -> Id {
        let wanted = Id::from_label(name);
        if !self.building.circuits.iter().any(|c| c.id == wanted) {
            self.building.circuits.push(Circuit { id: wanted.clone(), name: name.to_owned() });
        }
        wanted
    }

    fn demarcation(&mut self, mut boards: Vec<(f64, &Device)>, report: &mut Collector) {
        boards.sort_by(|a, b| a.0.total_cmp(&b.0));
        for (distance, d) in &boards {
            if *distance <= BOARD_REACH && self.building.demarcation.is_none() {
                let (storey, floor) = self.storey(level_at(d.z, &self.home.levels), d.z);
                self.building.demarcation = Some(Demarcation {
                    storey,
                    at: self.shift.plan(d.at),
                    height: Metres(tidy(d.z - floor)),
                    model_id: Some(d.global_id.clone()),
                });
                if *distance > OUTLET_REACH {
                    report.guessed(
                        "demarcation point",
                        &format!(
                            "the telephone terminal board is outside the dwelling, {distance:.1} m from its nearest room; boards within {BOARD_REACH} m serve it"
                        ),
                        d.global_id.clone(),
                    );
                } else {
                    report.understood("demarcation point: the telephone terminal board", d.global_id.clone());
                }
            } else {
                report.left_out(
                    "terminal boards",
                    "another is nearer, or they are too far from the dwelling",
                    d.global_id.clone(),
                );
            }
        }
        if self.building.demarcation.is_none() {
            self.guess_demarcation(report);
        }
    }

    /// Beside the lowest outer door, where lines usually enter.
    fn guess_demarcation(&mut self, report: &mut Collector) {
        let outer = |o: &&Opening| {
            o.kind == OpeningKind::Door
                && self.building.walls.iter().any(|w| w.id == o.wall && w.kind == WallKind::Outer)
        };
        let height =
            |storey: &Id| self.building.storeys.iter().find(|s| s.id == *storey).map_or(0., |s| s.elevation.value());
        let door = self.building.openings.iter().filter(outer).min_by(|a, b| {
            let z = |o: &Opening| self.building.walls.iter().find(|w| w.id == o.wall).map_or(0., |w| height(&w.storey));
            z(a).total_cmp(&z(b))
        });
        let Some((door, wall)) = door.and_then(|d| Some((d, self.building.walls.iter().find(|w| w.id == d.wall)?)))
        else {
            report.left_out("demarcation point", "the models show no terminal board and no outer door", "demarcation");
            return;
        };
        let length = wall.from.distance(wall.to).max(1e-9);
        // A hand's breadth beyond the jamb, on the side with more wall.
        let after = door.at.value() + door.width.value() + 0.3;
        let s = if after < length { after } else { (door.at.value() - 0.3).max(0.) };
        let at = Point2::new(
            wall.from.x + (wall.to.x - wall.from.x) * s / length,
            wall.from.y + (wall.to.y - wall.from.y) * s / length,
        );
        report.guessed(
            "demarcation point",
            "the models show no terminal board: beside the lowest outer door, 1.2 m above the floor (common practice, no source)",
            door.id.as_str(),
        );
        self.building.demarcation =
            Some(Demarcation { storey: wall.storey.clone(), at, height: Metres(1.2), model_id: None });
    }
}

/// The built-in assembly for a leaf or pane, and the rule.
fn filling(kind: OpeningKind, words: &str, wall: WallKind, width: f64) -> (&'static str, &'static str) {
    let has = |w: &str| has_word(words, w);
    if kind == OpeningKind::Door {
        return if has("garage") || has("sectional") || has("overhead") || has("roller") {
            ("garage-door-steel", "garage doors are insulated steel")
        } else if has("glass") || has("glazed") || has("patio") {
            if wall == WallKind::Outer || width > 1.3 {
                (
                    "door-patio-double",
                    "a door with `glass` in its name in an outer wall is double glazed without coating",
                )
            } else {
                ("door-glass", "a door with `glass` in its name is of glass")
            }
        } else if has("steel") || has("metal") {
            ("door-steel-insulated", "a door named after steel is insulated steel")
        } else if has("fire") {
            ("door-fire-timber", "a door named after fire is a fire door of timber")
        } else if wall == WallKind::Inside {
            ("door-hollow-core", "inside doors whose name says no more are hollow-core")
        } else {
            ("door-solid-timber", "outer doors whose name says no more are solid timber")
        };
    }
    if has("triple") {
        ("window-triple", "a window named triple is triple glazed")
    } else if has("low-e") || has("low e") || has("coated") {
        ("window-double-low-e", "a window named after its coating has one")
    } else if has("single glazed") || has("single-glazed") || has("single pane") {
        ("window-single", "a window named single glazed is")
    } else {
        ("window-double", "windows whose name says no more are double, without coating")
    }
}
