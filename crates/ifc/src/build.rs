//! From what a model holds to the building of one dwelling: storeys, rooms, walls with openings, floors and stairs.

use building::{Building, Opening, OpeningKind, Room, Slab, SlabKind, Stair, Storey, StoreyUse, Wall, WallKind};
use findings::Id;
use units::{Degrees, Metres, Point2, SquareMetres};

use crate::dwelling::Dwellings;
use crate::electrical::Device;
use crate::keep::{Part, View};
use crate::layers::Assemblies;
use crate::openings::Hole;
use crate::plan::{Area, intersection};
use crate::report::Collector;
use crate::slabs::{Flight, Plate};
use crate::spaces::Space;
use crate::storeys::{Level, level_at};
use crate::walls::Piece;
use crate::words::has_word;

/// A model farther than this from its origin is moved to it [m].
const FAR_AWAY: f64 = 1_000.0;

/// Everything that a model holds, before a dwelling is chosen.
pub(crate) struct Home {
    pub levels: Vec<Level>,
    pub spaces: Vec<Space>,
    pub pieces: Vec<Piece>,
    pub holes: Vec<Hole>,
    pub plates: Vec<Plate>,
    pub flights: Vec<Flight>,
    pub dwellings: Dwellings,
    /// Clockwise from up the sheet [degrees].
    pub north: f64,
}

/// What all parts of the building are moved by [m].
#[derive(Clone, Copy)]
pub(crate) struct Shift([f64; 3]);

impl Shift {
    /// A point of the model in the building.
    pub fn plan(self, p: [f64; 2]) -> Point2 {
        Point2::new(tidy(p[0] - self.0[0]), tidy(p[1] - self.0[1]))
    }
}

/// Rounds to a micrometre, below which a model's digits are noise.
pub(crate) fn tidy(x: f64) -> f64 {
    (x * 1e6).round() / 1e6 + 0.
}

/// An id as the model names it if it can be one, else a near one.
pub(crate) fn id(text: &str) -> Id {
    text.parse().unwrap_or_else(|_| Id::from_label(text))
}

/// A building in the making.
pub(crate) struct Builder<'a> {
    pub home: &'a Home,
    pub view: View<'a>,
    /// Without rooms everything belongs to the home.
    pub is_whole: bool,
    pub shift: Shift,
    /// Storeys of the building as indices into the model's levels.
    used: Vec<usize>,
    assemblies: Assemblies,
    pub building: Building,
}

/// Builds the chosen dwelling, or everything if the model has no rooms.
pub(crate) fn build(home: &Home, chosen: Option<usize>, devices: Vec<Device>, report: &mut Collector) -> Building {
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

    /// True if a space belongs to the dwelling.
    pub fn has_space(&self, i: usize) -> bool {
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
    pub fn storey(&self, level: usize, z: f64) -> (Id, f64) {
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
                    fire_minutes: None,
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
                joists: None,
                fire_minutes: None,
                tensioned: false,
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
            let outline = f.outline.iter().map(|p| self.shift.plan(*p)).collect();
            self.building.stairs.push(Stair { id: id(&f.id), from, to, outline });
        }
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
