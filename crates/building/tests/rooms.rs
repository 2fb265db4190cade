//! Homes derived from plans whose rooms, areas and passages are known beforehand.

mod common;

use std::collections::BTreeSet;

use building::*;
use common::*;
use proptest::prelude::*;
use units::{Metres, Point2};

/// A plan of rooms between grid lines. Walls run along every grid line, one for each side of each room.
#[derive(Clone, Debug)]
struct Grid {
    xs: Vec<f64>,
    ys: Vec<f64>,
    thickness: f64,
    /// Walls stop this far before the grid points: 0 at the centre line, half a thickness at the face.
    short: f64,
    turn: f64,
    shift: (f64, f64),
}

impl Grid {
    fn place(&self, x: f64, y: f64) -> [f64; 2] {
        let (s, c) = self.turn.sin_cos();
        [c * x - s * y + self.shift.0, s * x + c * y + self.shift.1]
    }

    fn building(&self) -> Building {
        let mut walls = Vec::new();
        let mut push = |a: (f64, f64), b: (f64, f64)| {
            let name = format!("w{}", walls.len());
            walls.push(wall(&name, self.place(a.0, a.1), self.place(b.0, b.1)));
        };
        let s = self.short;
        for y in &self.ys {
            for x in self.xs.windows(2) {
                push((x[0] + s, *y), (x[1] - s, *y));
            }
        }
        for x in &self.xs {
            for y in self.ys.windows(2) {
                push((*x, y[0] + s), (*x, y[1] - s));
            }
        }
        Building {
            storeys: vec![storey("ground", 0.0)],
            walls,
            assemblies: vec![plain(self.thickness)],
            demarcation: Some(demarcation([0.0, 0.0])),
            ..Building::default()
        }
    }

    /// Inner areas, smallest first.
    fn areas(&self) -> Vec<f64> {
        let mut areas: Vec<f64> = self
            .ys
            .windows(2)
            .flat_map(|y| {
                self.xs.windows(2).map(move |x| (x[1] - x[0] - self.thickness) * (y[1] - y[0] - self.thickness))
            })
            .collect();
        areas.sort_by(f64::total_cmp);
        areas
    }
}

fn lines() -> impl Strategy<Value = Vec<f64>> {
    prop::collection::vec(1.2..6.0f64, 1..5).prop_map(|steps| {
        let mut at = 0.0;
        std::iter::once(0.0)
            .chain(steps.into_iter().map(|s| {
                at += s;
                at
            }))
            .collect()
    })
}

fn grids() -> impl Strategy<Value = Grid> {
    (lines(), lines(), 0.05..0.4f64, 0.0..1.0f64, 0.0..std::f64::consts::TAU, (-50.0..50.0f64, -50.0..50.0f64))
        .prop_map(|(xs, ys, thickness, short, turn, shift)| Grid {
            xs,
            ys,
            thickness,
            short: short * thickness / 2.0,
            turn,
            shift,
        })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 128, ..ProptestConfig::default() })]

    /// Turned, moved, and with walls drawn to the centre line, to the face or in between.
    #[test]
    fn the_rooms_of_a_grid_are_found_with_their_exact_areas(grid in grids()) {
        let home = Resolved::new(&grid.building()).unwrap();
        let mut found: Vec<f64> = home.rooms.iter().map(|r| r.area).collect();
        found.sort_by(f64::total_cmp);
        let expected = grid.areas();
        prop_assert_eq!(found.len(), expected.len());
        for (f, e) in found.iter().zip(&expected) {
            // The polygon library works on a grid of a few nanometres for a house of this size.
            prop_assert!((f - e).abs() < 1e-5, "{} against {}", f, e);
        }
        for (i, room) in home.rooms.iter().enumerate() {
            prop_assert_eq!(home.room_at(room.storey, room.inside), Some(i));
            prop_assert_eq!(room.outline.len(), 4);
        }
        let all: f64 = expected.iter().sum();
        prop_assert!((home.served_area() - all).abs() < 1e-3);
    }

    /// Whatever is written in a plan, nothing panics and an accepted plan is finite.
    #[test]
    fn wild_plans_never_panic(
        ends in prop::collection::vec(
            (prop::num::f64::ANY, -30.0..30.0f64, -30.0..30.0f64, -30.0..30.0f64, 0u8..8), 0..12),
        thickness in prop_oneof![Just(f64::NAN), Just(0.0), -1.0..8.0f64],
    ) {
        let mut b = two_rooms();
        b.assemblies[0].layers[0].thickness = Metres(thickness);
        b.rooms.clear();
        for (i, (wild, x, y, z, kind)) in ends.into_iter().enumerate() {
            match kind {
                0 => b.walls.push(wall(&format!("x{i}"), [wild, x], [y, z])),
                1 => b.openings.push(door(&format!("x{i}"), "south", wild)),
                2 => b.storeys.push(storey(&format!("x{i}"), wild)),
                3 => b.rooms.push(Room { outline: Some(vec![[wild, x].into(), [y, z].into(), [z, x].into(), [x, y].into()]), ..room(&format!("x{i}"), [x, y]) }),
                4 => b.outlets.push(outlet(&format!("x{i}"), [wild, x])),
                _ => b.walls.push(wall(&format!("x{i}"), [x, y], [z, x])),
            }
        }
        let found = validate(&b);
        match Resolved::new(&b) {
            Err(fails) => prop_assert!(!fails.is_empty() && fails.len() <= found.len()),
            Ok(home) => {
                prop_assert!(home.rooms.iter().all(|r| r.area.is_finite() && r.area > 0.0));
                prop_assert!(home.mount_points(1.0).iter().all(|m| m.at.is_finite()));
            }
        }
    }
}

#[test]
fn rooms_of_the_plan_have_the_area_between_the_faces() {
    let home = Resolved::new(&two_rooms()).unwrap();
    assert_eq!(home.rooms.len(), 2);
    for room in &home.rooms {
        assert!((room.area - 3.8 * 2.8).abs() < 1e-6, "{}", room.area);
    }
    assert_eq!(home.passages, [(0, 1)]);
    assert_eq!(home.room_at(0, Point2::new(1.0, 1.0)), Some(0));
    assert_eq!(home.room_at(0, Point2::new(4.0, 1.0)), None, "in the wall");
    assert_eq!(home.room_at(1, Point2::new(1.0, 1.0)), None, "no such storey");
    assert_eq!(home.outlets.iter().map(|o| o.room).collect::<Vec<_>>(), [Some(0), Some(1)]);
    assert_eq!(home.demarcation.map(|d| d.z), Some(1.0));
}

/// An L-shaped room around a corner of two walls: the inner corner must be filled.
#[test]
fn the_corner_that_a_room_wraps_around_is_filled() {
    let mut b = two_rooms();
    b.walls[4] = wall("middle", [4.0, 0.0], [4.0, 1.5]);
    b.walls.push(wall("turn", [4.0, 1.5], [8.0, 1.5]));
    b.openings.clear();
    b.rooms[1].inside = Point2::new(6.0, 0.7);
    let home = Resolved::new(&b).unwrap();
    // Inner box 7.8 × 2.8 less the small room with its walls' outer faces: 4.0 × 1.5 from x = 3.9, y up to 1.6.
    let expected = 7.8 * 2.8 - (7.9 - 3.9) * (1.6 - 0.1);
    assert!((home.rooms[0].area - expected).abs() < 1e-6, "{} against {expected}", home.rooms[0].area);
    assert!((home.rooms[1].area - 3.8 * 1.3).abs() < 1e-6, "{}", home.rooms[1].area);
}

#[test]
fn a_chimney_in_a_room_is_a_hole() {
    let mut b = two_rooms();
    b.walls.truncate(4);
    b.openings.clear();
    b.rooms.truncate(1);
    b.outlets.truncate(1);
    for (name, from, to) in [
        ("c1", [5.0, 1.0], [5.8, 1.0]),
        ("c2", [5.8, 1.0], [5.8, 1.8]),
        ("c3", [5.8, 1.8], [5.0, 1.8]),
        ("c4", [5.0, 1.8], [5.0, 1.0]),
    ] {
        b.walls.push(wall(name, from, to));
    }
    let home = Resolved::new(&b).unwrap();
    assert_eq!(home.rooms[0].holes.len(), 1);
    assert!((home.rooms[0].area - (7.8 * 2.8 - 1.0)).abs() < 1e-6, "{}", home.rooms[0].area);
    assert_eq!(home.room_at(0, Point2::new(5.4, 1.4)), None);
}

#[test]
fn a_parapet_does_not_part_a_room() {
    let mut b = two_rooms();
    b.walls[4].height = Some(Metres(0.9));
    b.openings.clear();
    b.rooms.truncate(1);
    let home = Resolved::new(&b).unwrap();
    assert!((home.rooms[0].area - 7.8 * 2.8).abs() < 1e-6);
}

#[test]
fn panels_meet_and_cuts_move_with_them() {
    let mut b = two_rooms();
    // Drawn from face to face.
    b.walls[4] = wall("middle", [4.0, 0.1], [4.0, 2.9]);
    b.openings[0].at = Metres(0.9);
    let home = Resolved::new(&b).unwrap();
    let panel = &home.panels[4];
    assert!(panel.a.distance(Point2::new(4.0, 0.0)) < 1e-12 && panel.b.distance(Point2::new(4.0, 3.0)) < 1e-12);
    assert!((panel.cuts[0].s0 - 1.0).abs() < 1e-12 && (panel.cuts[0].s1 - 1.9).abs() < 1e-12);
    assert_eq!((panel.z0, panel.z1), (0.0, 2.5));
}

#[test]
fn rooms_with_outlines_that_touch_are_open_to_each_other_where_no_wall_is() {
    let mut b = two_rooms();
    let outline = |x0: f64, x1: f64| Some(vec![[x0, 0.1].into(), [x1, 0.1].into(), [x1, 2.9].into(), [x0, 2.9].into()]);
    b.rooms[0].outline = outline(0.1, 4.0);
    b.rooms[1].outline = outline(4.0, 7.9);
    b.openings.clear();
    assert_eq!(Resolved::new(&b).unwrap().passages, [], "the wall between them is closed");
    b.walls[4].to = Point2::new(4.0, 2.5);
    assert_eq!(Resolved::new(&b).unwrap().passages, [], "less than half a metre is open");
    b.walls[4].to = Point2::new(4.0, 2.0);
    assert_eq!(Resolved::new(&b).unwrap().passages, [(0, 1)]);
    b.walls.pop();
    assert_eq!(Resolved::new(&b).unwrap().passages, [(0, 1)]);
}

#[test]
fn a_window_is_not_a_passage_and_a_gap_is() {
    let mut b = two_rooms();
    b.openings[0].kind = OpeningKind::Window;
    assert_eq!(Resolved::new(&b).unwrap().passages, []);
    b.openings[0].kind = OpeningKind::Gap;
    b.openings[0].assembly = None;
    assert_eq!(Resolved::new(&b).unwrap().passages, [(0, 1)]);
    b.openings[0].sill = Metres(1.0);
    b.openings[0].height = Metres(1.0);
    assert_eq!(Resolved::new(&b).unwrap().passages, [], "a hatch");
}

#[test]
fn stairs_join_storeys() {
    let mut b = two_rooms();
    b.storeys.push(storey("first", 2.8));
    for (w, name) in two_rooms().walls.into_iter().zip(["s1", "e1", "n1", "w1"]) {
        b.walls.push(Wall { id: id(name), storey: id("first"), ..w });
    }
    b.rooms.push(Room { storey: id("first"), ..room("up", [2.0, 1.5]) });
    b.stairs.push(Stair { id: id("stair"), from: id("ground"), to: id("first"), outline: square(6.0, 1.0, 1.0) });
    let home = Resolved::new(&b).unwrap();
    assert_eq!(home.passages, [(0, 1), (1, 2)]);
    assert_eq!(home.storeys[1].floor_z, 2.8);
    assert_eq!(home.panels[5].z0, 2.8);
}

#[test]
fn a_slab_hangs_below_its_upper_face() {
    let mut b = two_rooms();
    b.slabs.push(Slab {
        id: id("floor"),
        storey: id("ground"),
        kind: SlabKind::Floor,
        // Clockwise and closed, as some models write it.
        outline: [[0.0, 0.0], [0.0, 3.0], [8.0, 3.0], [8.0, 0.0], [0.0, 0.0]].map(Point2::from).to_vec(),
        holes: vec![square(1.0, 1.0, 1.0)],
        top: Metres(0.0),
        assembly: id("ground-slab-insulated"),
        joists: None,
        fire_minutes: None,
        tensioned: false,
        model_id: None,
    });
    let home = Resolved::new(&b).unwrap();
    let deck = &home.decks[0];
    assert_eq!(deck.z_top, 0.0);
    assert!((deck.z_bottom + 0.15325).abs() < 1e-12, "{}", deck.z_bottom);
    assert_eq!((deck.outline.len(), deck.holes[0].len()), (4, 4));
    let turn = |p: &[Point2]| {
        (0..p.len()).map(|i| p[i].x * p[(i + 1) % p.len()].y - p[(i + 1) % p.len()].x * p[i].y).sum::<f64>()
    };
    assert!(turn(&deck.outline) > 0.0 && turn(&deck.holes[0]) < 0.0);
}

#[test]
fn mount_places_keep_their_distances() {
    let home = Resolved::new(&two_rooms()).unwrap();
    let points = home.mount_points(1.0);
    let kinds: BTreeSet<String> = points.iter().map(|m| format!("{:?}", m.kind)).collect();
    assert_eq!(kinds.len(), 3);
    for m in &points {
        let p = m.at.plan();
        assert_eq!(home.room_at(0, p), Some(m.room));
        let (x0, x1) = if m.room == 0 { (0.1, 3.9) } else { (4.1, 7.9) };
        let clear = (p.x - x0).min(x1 - p.x).min(p.y - 0.1).min(2.9 - p.y);
        match m.kind {
            MountKind::Ceiling => assert!(clear >= 0.5 - 1e-9 && (m.at.z - 2.45).abs() < 1e-9),
            MountKind::Wall => {
                assert!((clear - 0.05).abs() < 1e-6 && (m.at.z - 2.2).abs() < 1e-9, "{m:?}");
                let over_door = (p.x - 4.0).abs() < 0.2 && p.y > 0.9 && p.y < 2.0;
                assert!(!over_door || m.at.z > 2.15, "{m:?}");
            }
            MountKind::Shelf => {
                assert!((m.at.z - 1.2).abs() < 1e-9);
                let outlet = home.outlets[m.outlet.unwrap()].at.plan();
                assert!(outlet.distance(p) <= 2.0);
            }
        }
        assert_eq!(home.outlets[m.outlet.unwrap()].room, Some(m.room));
        let straight = home.outlets[m.outlet.unwrap()].at.distance(m.at);
        assert!(m.outlet_distance >= straight - 0.06 && m.outlet_distance < 12.0, "{m:?}");
    }
    // Inner faces: 3.8 m of ceiling at 1 m gives three columns, 2.8 m gives two rows, for each of two rooms.
    assert_eq!(points.iter().filter(|m| m.kind == MountKind::Ceiling).count(), 2 * 3 * 2);
    let again = home.mount_points(1.0);
    assert_eq!(format!("{points:?}"), format!("{again:?}"));
}

#[test]
fn the_distance_to_an_outlet_runs_over_the_ceiling() {
    let mut b = two_rooms();
    b.outlets.truncate(1);
    let home = Resolved::new(&b).unwrap();
    // One ceiling place in the middle of the room, the outlet 0.3 m high on the west wall at the room's middle.
    let m = &home.mount_points(50.0)[0];
    assert!(m.at.distance(Point2::new(2.0, 1.5).at_height(2.45)) < 1e-6, "{m:?}");
    // Up the wall 2.2 m, across 1.9 m, down 0.05 m.
    assert!((m.outlet_distance - (2.2 + 1.9 + 0.05)).abs() < 1e-6, "{}", m.outlet_distance);
    let other = home.mount_points(50.0).into_iter().find(|m| m.room == 1).unwrap();
    assert_eq!((other.outlet, other.outlet_distance), (None, f64::INFINITY));
}

#[test]
fn nothing_is_mounted_on_stairs_outdoors_or_in_the_middle_of_a_door() {
    let mut b = two_rooms();
    b.rooms[0].usage = RoomUse::Stair;
    b.rooms[1].usage = RoomUse::Outdoor;
    let home = Resolved::new(&b).unwrap();
    assert!(home.mount_points(1.0).is_empty());
    assert!((home.served_area() - 3.8 * 2.8).abs() < 1e-6);
    let mut b = two_rooms();
    b.openings[0].height = Metres(2.3);
    let home = Resolved::new(&b).unwrap();
    let at_door =
        |m: &MountPoint| m.kind == MountKind::Wall && (m.at.x - 4.0).abs() < 0.2 && m.at.y > 0.86 && m.at.y < 2.04;
    assert!(!home.mount_points(0.25).iter().any(at_door));
    for odd in [f64::NAN, f64::INFINITY, 0.0, -1.0] {
        assert!(!home.mount_points(odd).is_empty());
    }
}

/// An outline along the walls' middles: wall places still stand off the face.
#[test]
fn an_outline_along_wall_middles_puts_nothing_into_a_wall() {
    let mut b = two_rooms();
    b.rooms[0].outline = Some([[0.0, 0.0], [4.0, 0.0], [4.0, 3.0], [0.0, 3.0]].map(Point2::from).to_vec());
    let home = Resolved::new(&b).unwrap();
    let walls: Vec<_> =
        home.mount_points(1.0).into_iter().filter(|m| m.room == 0 && m.kind == MountKind::Wall).collect();
    assert!(!walls.is_empty());
    for m in walls {
        let p = m.at.plan();
        assert!(p.x > 0.1 && p.x < 3.9 && p.y > 0.1 && p.y < 2.9, "{m:?}");
    }
}

/// 72 × 34 rooms: 5,002 walls, turned, drawn to their faces.
#[test]
fn five_thousand_walls_are_derived() {
    let line = |n: usize| (0..=n).map(|i| i as f64 * 3.0).collect::<Vec<_>>();
    let grid = Grid { xs: line(72), ys: line(34), thickness: 0.2, short: 0.1, turn: 0.3, shift: (5.0, 5.0) };
    let b = grid.building();
    assert_eq!(b.walls.len(), 72 * 35 + 34 * 73);
    assert!(validate(&b).is_empty());
    let home = Resolved::new(&b).unwrap();
    assert_eq!(home.rooms.len(), 72 * 34);
    assert!(home.rooms.iter().all(|r| (r.area - 2.8 * 2.8).abs() < 1e-4));
}
