//! Homes for tests: a rectangle of four rooms around a hall on each storey.

use building::{
    Building, Demarcation, Opening, OpeningKind, Outlet, OutletKind, Room, RoomUse, Slab, SlabKind, Stair, Storey,
    StoreyUse, Wall, WallKind,
};
use findings::Id;
use job::Job;
use site::Site;
use units::{Metres, Point2};

pub fn id(text: &str) -> Id {
    text.parse().expect("a well-formed id")
}

/// What is built of what.
pub struct Build {
    pub outer: &'static str,
    pub inner: &'static str,
    pub floor: &'static str,
    pub basement_outer: &'static str,
}

pub const LIGHT: Build = Build {
    outer: "stud-outer-vinyl-siding",
    inner: "stud-partition-wood-89",
    floor: "joist-floor-plaster-ceiling",
    basement_outer: "basement-concrete-200",
};

/// A home of a width and depth [m] with storeys above ground and perhaps a basement.
///
/// Each storey has a hall in the middle with two rooms on either side. The line enters at the end of the hall of the
/// lowest storey.
pub fn home(width: f64, depth: f64, storeys: usize, basement: bool, build: &Build) -> Job {
    let mut b = Building::default();
    let first = if basement { -1 } else { 0 };
    for level in first..storeys as i32 {
        let name = format!("s{}", level - first);
        storey(&mut b, &name, level, width, depth, build);
        if level > first {
            b.stairs.push(Stair {
                id: id(&format!("stair-{name}")),
                from: id(&format!("s{}", level - first - 1)),
                to: id(&name),
                outline: rectangle(
                    hall_left(width) + 0.1,
                    depth / 2.0 - 1.5,
                    hall_left(width) + 1.0,
                    depth / 2.0 + 1.5,
                ),
            });
        }
    }
    b.demarcation =
        Some(Demarcation { storey: id("s0"), at: Point2::new(width / 2.0, 0.4), height: Metres(1.0), model_id: None });
    Job {
        format: job::FORMAT.to_owned(),
        name: "test home".into(),
        notes: vec![],
        site: Site::default_for("US", "2026-11-25".parse().expect("a date")),
        household: None,
        equipment: job::Equipment::default(),
        terms: None,
        building: b,
        designs: vec![],
    }
}

fn hall_left(width: f64) -> f64 {
    width / 2.0 - 1.0
}

fn rectangle(x0: f64, y0: f64, x1: f64, y1: f64) -> Vec<Point2> {
    vec![Point2::new(x0, y0), Point2::new(x1, y0), Point2::new(x1, y1), Point2::new(x0, y1)]
}

fn storey(b: &mut Building, name: &str, level: i32, width: f64, depth: f64, build: &Build) {
    let below = level < 0;
    b.storeys.push(Storey {
        id: id(name),
        name: name.into(),
        elevation: Metres(f64::from(level) * 2.75),
        height: Metres(2.4),
        usage: if below { StoreyUse::Basement } else { StoreyUse::Living },
        model_id: None,
    });
    let outer = if below { build.basement_outer } else { build.outer };
    let (left, right) = (hall_left(width), hall_left(width) + 2.0);
    let middle = depth / 2.0;
    let mut wall = |key: &str, from: (f64, f64), to: (f64, f64), assembly: &str, kind: WallKind| {
        b.walls.push(Wall {
            id: id(&format!("{name}-{key}")),
            storey: id(name),
            from: Point2::new(from.0, from.1),
            to: Point2::new(to.0, to.1),
            assembly: id(assembly),
            kind,
            base: Metres(0.0),
            height: None,
            fire_minutes: None,
            model_id: None,
        });
    };
    wall("south", (0.0, 0.0), (width, 0.0), outer, WallKind::Outer);
    wall("east", (width, 0.0), (width, depth), outer, WallKind::Outer);
    wall("north", (width, depth), (0.0, depth), outer, WallKind::Outer);
    wall("west", (0.0, depth), (0.0, 0.0), outer, WallKind::Outer);
    wall("hall-left", (left, 0.0), (left, depth), build.inner, WallKind::Inside);
    wall("hall-right", (right, 0.0), (right, depth), build.inner, WallKind::Inside);
    wall("left", (0.0, middle), (left, middle), build.inner, WallKind::Inside);
    wall("right", (right, middle), (width, middle), build.inner, WallKind::Inside);
    let mut door = |wall: &str, key: &str, at: f64| {
        b.openings.push(Opening {
            id: id(&format!("{name}-door-{key}")),
            wall: id(&format!("{name}-{wall}")),
            kind: OpeningKind::Door,
            at: Metres(at),
            width: Metres(0.8),
            height: Metres(2.0),
            sill: Metres(0.0),
            assembly: Some(id("door-hollow-core")),
            model_id: None,
        });
    };
    for (wall, side) in [("hall-left", "l"), ("hall-right", "r")] {
        door(wall, &format!("{side}1"), middle / 2.0);
        door(wall, &format!("{side}2"), middle * 1.5);
    }
    for (key, x, y, usage) in [
        ("a", left / 2.0, middle / 2.0, RoomUse::Living),
        ("b", left / 2.0, middle * 1.5, RoomUse::Kitchen),
        ("c", (right + width) / 2.0, middle / 2.0, RoomUse::Bedroom),
        ("d", (right + width) / 2.0, middle * 1.5, if level == 0 { RoomUse::Office } else { RoomUse::Bedroom }),
        ("hall", width / 2.0, 1.0, RoomUse::Hall),
    ] {
        b.rooms.push(Room {
            id: id(&format!("{name}-{key}")),
            name: format!("room {key}"),
            storey: id(name),
            inside: Point2::new(x, y),
            usage,
            outline: None,
            stated_area: None,
            model_id: None,
        });
        // Two sockets in each room, on its longer wall.
        for (i, dx) in [-0.8, 0.8].into_iter().enumerate() {
            let at = if key == "hall" {
                Point2::new(width / 2.0 + dx / 2.0, 0.2)
            } else {
                Point2::new(x + dx, if y < middle { 0.2 } else { depth - 0.2 })
            };
            b.outlets.push(Outlet {
                id: id(&format!("{name}-{key}-socket-{i}")),
                kind: OutletKind::Mains,
                storey: id(name),
                at,
                height: Metres(0.3),
                circuit: None,
                model_id: None,
            });
        }
    }
    b.slabs.push(Slab {
        id: id(&format!("{name}-floor")),
        storey: id(name),
        kind: SlabKind::Floor,
        outline: rectangle(0.0, 0.0, width, depth),
        holes: vec![],
        top: Metres(0.0),
        assembly: id(build.floor),
        joists: None,
        fire_minutes: None,
        tensioned: false,
        model_id: None,
    });
}
