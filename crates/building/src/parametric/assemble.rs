//! From a laid-out scheme to the document's building.

use std::collections::BTreeMap;

use findings::Id;
use units::{Degrees, Metres, Point2};

use super::fabric::{id, thickness};
use super::fittings::Shell;
use super::openings::{Hole, Site};
use super::random::Random;
use super::rect::{Rect, metres};
use super::search::{Floor, Scheme};
use super::sizes::Kind;
use super::walls::{Span, walls};
use super::{Attached, Wish};
use crate::elements::{
    Building, CableSpace, CableSpaceKind, Circuit, Demarcation, FixedObject, Opening, OpeningKind, Outlet, OutletKind,
    Room, RoomUse, Slab, SlabKind, Stair, Storey, StoreyUse, Wall,
};

/// Clear height of an attic under the middle of a roof [m]: common practice, no source.
const ATTIC_HEIGHT: f64 = 1.8;

/// The building of a scheme.
pub(super) fn building(wish: &Wish, scheme: &Scheme) -> Building {
    let mut random = Random::new(wish.seed ^ 0x05ee_d0f0_0b1e_c75d);
    let mut made = Maker {
        wish,
        scheme,
        building: Building { north: Degrees((random.unit() * 72.0).floor() * 5.0), ..Building::default() },
        used: BTreeMap::new(),
    };
    let names = made.names();
    let mut elevation = 0.0;
    if wish.basement {
        elevation = -(scheme.height + thickness(scheme.fabric.floor));
    }
    for (i, floor) in scheme.storeys.iter().enumerate() {
        let storey = made.storey_id(i);
        made.storey(i, &storey, elevation);
        made.floor_of(i, &storey);
        made.rooms(floor, &storey, &names[i]);
        made.fill(floor, &storey, &names[i], &mut random);
        elevation += scheme.height + thickness(scheme.fabric.floor);
    }
    made.stairs();
    made.top();
    made.cable_spaces();
    made.building
}

struct Maker<'a> {
    wish: &'a Wish,
    scheme: &'a Scheme,
    building: Building,
    /// How often a label was used.
    used: BTreeMap<String, usize>,
}

/// Id and name of a room.
struct Named {
    id: String,
    name: String,
}

impl Maker<'_> {
    /// Ids and names by storey: the hall first, then the layout's rooms.
    fn names(&self) -> Vec<Vec<Named>> {
        let kinds = || self.scheme.storeys.iter().flat_map(|f| f.layout.rooms.iter().map(|r| r.kind));
        let mut next: BTreeMap<&'static str, usize> = BTreeMap::new();
        let mut landings = 0;
        // The main bedroom is the first.
        next.insert("bedroom", usize::from(kinds().any(|k| k == Kind::MainBedroom)));
        self.scheme
            .storeys
            .iter()
            .map(|floor| {
                let hall = if floor.level.dark {
                    Named { id: "basement-hall".into(), name: "Basement hall".into() }
                } else if floor.level.entrance {
                    Named { id: "hall".into(), name: "Hall".into() }
                } else {
                    landings += 1;
                    let more = landings > 1;
                    Named {
                        id: if more { format!("landing-{landings}") } else { "landing".into() },
                        name: if more { format!("Landing {landings}") } else { "Landing".into() },
                    }
                };
                let rooms = floor.layout.rooms.iter().map(|r| {
                    let label = r.kind.label();
                    let number = if r.kind == Kind::MainBedroom {
                        1
                    } else {
                        let n = next.entry(label).or_default();
                        *n += 1;
                        *n
                    };
                    let numbered = r.kind.is_bedroom() || number > 1;
                    Named {
                        id: if numbered { format!("{label}-{number}") } else { label.to_owned() },
                        name: if numbered { format!("{} {number}", r.kind.name()) } else { r.kind.name().to_owned() },
                    }
                });
                std::iter::once(hall).chain(rooms).collect()
            })
            .collect()
    }

    fn unique(&mut self, label: &str) -> Id {
        let n = self.used.entry(label.to_owned()).or_default();
        *n += 1;
        if *n == 1 { Id::from_label(label) } else { Id::from_label(&format!("{label}-{n}")) }
    }

    fn numbered(&mut self, label: &str) -> Id {
        let n = self.used.entry(label.to_owned()).or_default();
        *n += 1;
        Id::from_label(&format!("{label}-{n}"))
    }

    fn storey_id(&self, i: usize) -> Id {
        storey_label(self.wish, i)
    }

    fn storey(&mut self, i: usize, storey: &Id, elevation: f64) {
        let floor = &self.scheme.storeys[i];
        let name = match storey.as_str() {
            "basement" => "Basement",
            "flat" => "Flat",
            "ground" => "Ground floor",
            "first" => "First floor",
            "second" => "Second floor",
            _ => "Third floor",
        };
        self.building.storeys.push(Storey {
            id: storey.clone(),
            name: name.to_owned(),
            elevation: Metres(round(elevation)),
            height: Metres(self.scheme.height),
            usage: if floor.level.dark { StoreyUse::Basement } else { StoreyUse::Living },
            model_id: None,
        });
        self.building
            .circuits
            .push(Circuit { id: Id::from_label(&format!("circuit-{storey}")), name: name.to_owned() });
    }

    fn corners(&self, r: Rect) -> Vec<Point2> {
        let p = |u: i32, v: i32| self.scheme.frame.point(f64::from(u), f64::from(v));
        vec![p(r.u0, r.v0), p(r.u1, r.v0), p(r.u1, r.v1), p(r.u0, r.v1)]
    }

    fn outline(&self) -> Vec<Point2> {
        let frame = &self.scheme.frame;
        self.corners(Rect::new(0, frame.length, 0, frame.breadth))
    }

    /// The floor of a storey, with the stairwell in it where a flight arrives.
    fn floor_of(&mut self, i: usize, storey: &Id) {
        let fabric = &self.scheme.fabric;
        let floor = &self.scheme.storeys[i];
        let assembly = match (i, self.wish.attached) {
            (0, Attached::Flat) => fabric.party_floor,
            (0, _) => fabric.ground_floor,
            _ => fabric.floor,
        };
        let well = self.scheme.frame.stair.filter(|_| floor.level.arrive).map(|s| self.corners(s.flight()));
        let slab = Slab {
            id: Id::from_label(&format!("{storey}-floor")),
            storey: storey.clone(),
            kind: SlabKind::Floor,
            outline: self.outline(),
            holes: well.into_iter().collect(),
            top: Metres(0.0),
            assembly: id(assembly),
            joists: None,
            fire_minutes: None,
            tensioned: false,
            model_id: None,
        };
        self.building.slabs.push(slab);
    }

    fn rooms(&mut self, floor: &Floor, storey: &Id, names: &[Named]) {
        let frame = &self.scheme.frame;
        let centre = |r: Rect| frame.point(f64::from(r.u0 + r.u1) / 2.0, f64::from(r.v0 + r.v1) / 2.0);
        let hall = floor.layout.hall.first().map(|r| (RoomUse::Hall, centre(*r)));
        let rooms = floor.layout.rooms.iter().map(|r| (r.kind.usage(), centre(r.rect)));
        for ((usage, inside), named) in hall.into_iter().chain(rooms).zip(names) {
            self.building.rooms.push(Room {
                id: Id::from_label(&named.id),
                name: named.name.clone(),
                storey: storey.clone(),
                inside: Point2::new(round(inside.x), round(inside.y)),
                usage,
                outline: None,
                stated_area: None,
                model_id: None,
            });
        }
    }

    /// Walls, openings, sockets and things of a storey.
    fn fill(&mut self, floor: &Floor, storey: &Id, names: &[Named], random: &mut Random) {
        let (scheme, frame) = (self.scheme, &self.scheme.frame);
        let (mut spans, edges) = walls(frame, &floor.layout, floor.level, &scheme.fabric);
        let labels: Vec<String> = names.iter().map(|n| n.id.clone()).collect();
        let site = Site {
            frame,
            layout: &floor.layout,
            level: floor.level,
            fabric: &scheme.fabric,
            height: scheme.height,
            house: self.wish.attached != Attached::Flat,
            names: &labels,
        };
        let holes = site.openings(&mut spans, &edges, random);
        let wall_ids: Vec<Id> = (0..spans.len()).map(|i| Id::from_label(&format!("{storey}-wall-{}", i + 1))).collect();
        for (span, wall) in spans.iter().zip(&wall_ids) {
            self.building.walls.push(Wall {
                id: wall.clone(),
                storey: storey.clone(),
                from: span.from,
                to: span.to,
                assembly: id(span.assembly),
                kind: span.kind,
                base: Metres(0.0),
                height: None,
                fire_minutes: None,
                model_id: None,
            });
        }
        for hole in &holes {
            self.opening(hole, &spans, &wall_ids);
        }
        let shell =
            Shell { frame, layout: &floor.layout, level: floor.level, spans: &spans, edges: &edges, holes: &holes };
        for socket in shell.sockets() {
            let room = labels.get(socket.room).map_or("room", String::as_str).to_owned();
            let outlet = Outlet {
                id: self.numbered(&format!("{room}-socket")),
                kind: OutletKind::Mains,
                storey: storey.clone(),
                at: Point2::new(round(socket.at.x), round(socket.at.y)),
                height: Metres(socket.height),
                circuit: Some(Id::from_label(&format!("circuit-{storey}"))),
                model_id: None,
            };
            self.building.outlets.push(outlet);
        }
        for thing in shell.things(random) {
            let object = FixedObject {
                id: self.unique(thing.name),
                name: thing.name.to_owned(),
                storey: storey.clone(),
                outline: thing.outline,
                base: Metres(thing.base),
                height: Metres(thing.height),
                material: Id::from_label("metal"),
                model_id: None,
            };
            self.building.fixed_objects.push(object);
        }
        if floor.level.dark || (floor.level.entrance && self.building.demarcation.is_none()) {
            self.building.demarcation = shell.demarcation().map(|(at, height)| Demarcation {
                storey: storey.clone(),
                at: Point2::new(round(at.x), round(at.y)),
                height: Metres(height),
                model_id: None,
            });
        }
    }

    fn opening(&mut self, hole: &Hole, spans: &[Span], walls: &[Id]) {
        let (Some(span), Some(wall)) = (spans.get(hole.wall), walls.get(hole.wall)) else { return };
        let opening = Opening {
            id: self.unique(&hole.label),
            wall: wall.clone(),
            kind: hole.kind,
            at: Metres(round(span.along(hole.lo, hole.hi))),
            width: Metres(metres(hole.hi - hole.lo)),
            height: Metres(round(hole.height)),
            sill: Metres(round(hole.sill)),
            assembly: if hole.kind == OpeningKind::Gap { None } else { hole.assembly.map(id) },
            model_id: None,
        };
        self.building.openings.push(opening);
    }

    fn stairs(&mut self) {
        let Some(stair) = self.scheme.frame.stair else { return };
        let outline = self.corners(stair.flight());
        for i in 1..self.scheme.storeys.len() {
            let (from, to) = (self.storey_id(i - 1), self.storey_id(i));
            self.building.stairs.push(Stair {
                id: Id::from_label(&format!("stair-{i}")),
                from,
                to,
                outline: outline.clone(),
            });
        }
    }

    /// What is over the top storey: a neighbour, an attic, or the roof.
    fn top(&mut self) {
        let fabric = &self.scheme.fabric;
        let Some(top) = self.building.storeys.last().cloned() else { return };
        let (assembly, kind, label) = if self.wish.attic {
            (fabric.attic_ceiling, SlabKind::Ceiling, "ceiling")
        } else if self.wish.attached == Attached::Flat {
            (fabric.party_floor, SlabKind::Ceiling, "ceiling")
        } else {
            (fabric.roof, SlabKind::Roof, "roof")
        };
        let slab = |label: &str, storey: &Id, kind: SlabKind, top: f64, assembly: &str, outline: Vec<Point2>| Slab {
            id: Id::from_label(label),
            storey: storey.clone(),
            kind,
            outline,
            holes: Vec::new(),
            top: Metres(round(top)),
            assembly: id(assembly),
            joists: None,
            fire_minutes: None,
            tensioned: false,
            model_id: None,
        };
        let over = top.height.0 + thickness(assembly);
        self.building.slabs.push(slab(label, &top.id, kind, over, assembly, self.outline()));
        if self.wish.attic {
            let attic = Id::from_label("attic");
            self.building.storeys.push(Storey {
                id: attic.clone(),
                name: "Attic".to_owned(),
                elevation: Metres(round(top.elevation.0 + over)),
                height: Metres(ATTIC_HEIGHT),
                usage: StoreyUse::Attic,
                model_id: None,
            });
            let roof = ATTIC_HEIGHT + thickness(fabric.attic_roof);
            self.building.slabs.push(slab("roof", &attic, SlabKind::Roof, roof, fabric.attic_roof, self.outline()));
        }
    }

    fn cable_spaces(&mut self) {
        let inner = {
            let frame = &self.scheme.frame;
            let cm = |h: f64| (h * 100.0).ceil() as i32;
            self.corners(Rect::new(
                cm(frame.half_sides[0]),
                frame.length - cm(frame.half_sides[1]),
                cm(frame.half_sides[2]),
                frame.breadth - cm(frame.half_sides[3]),
            ))
        };
        let count = self.scheme.storeys.len();
        let mut space = |label: String, kind: CableSpaceKind, storeys: Vec<Id>| {
            self.building.cable_spaces.push(CableSpace {
                id: Id::from_label(&label),
                kind,
                storeys,
                outline: inner.clone(),
                bore: None,
            });
        };
        let ids: Vec<Id> = (0..count).map(|i| storey_label(self.wish, i)).collect();
        if self.scheme.fabric.joists {
            for pair in ids.windows(2) {
                space(format!("joists-{}", pair[1]), CableSpaceKind::CeilingVoid, pair.to_vec());
            }
        }
        if self.wish.attic
            && let Some(top) = ids.last()
        {
            space("attic".to_owned(), CableSpaceKind::Attic, vec![top.clone()]);
        }
    }
}

/// Id of a storey: those above the ground are numbered from it.
fn storey_label(wish: &Wish, i: usize) -> Id {
    Id::from_label(match i as i64 - i64::from(wish.basement) {
        -1 => "basement",
        0 if wish.attached == Attached::Flat => "flat",
        0 => "ground",
        1 => "first",
        2 => "second",
        _ => "third",
    })
}

/// To a tenth of a millimetre, so that the document stays readable.
fn round(metres: f64) -> f64 {
    (metres * 10_000.0).round() / 10_000.0
}
