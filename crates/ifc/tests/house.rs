//! The two-dwelling house of the demo, imported through the public door.
//!
//! Outside values: the model's own property sets (areas, volumes), its storeys, and counts of its records; box corners
//! computed from the same files with IfcOpenShell 0.9.0 (LGPL, used beside the project, not in it).

use std::collections::BTreeSet;

use building::{OpeningKind, OutletKind, Resolved, WallKind};
use findings::{NoProgress, Severity};
use ifc::{Import, ImportError, Limits, Options, dwellings, read};

fn load(name: &str) -> Vec<u8> {
    let path = format!("{}/../../demo/two-dwelling-house/{name}", env!("CARGO_MANIFEST_DIR"));
    std::fs::read(&path).unwrap_or_else(|e| panic!("{path}: {e}"))
}

fn import(dwelling: &str) -> Import {
    let options = Options { dwelling: Some(dwelling.to_owned()), ..Options::default() };
    read(&load("architecture.ifc"), Some(&load("electrical.ifc")), &options, &NoProgress).unwrap()
}

fn near(a: f64, b: f64, tolerance: f64) -> bool {
    (a - b).abs() <= tolerance
}

/// `Area` of each space of dwelling A in the model's property sets, which is measured to the walls' centre lines, and
/// the area of its shape seen from above, which ends at the walls' faces (IfcOpenShell, Shapely) [m²].
const ROOMS_OF_A: [(&str, &str, f64, f64); 10] = [
    ("A101", "Foyer", 17.9362, 15.5913),
    ("A102", "Living Room", 30.1416, 27.6601),
    ("A103", "Kitchen", 13.8975, 12.9541),
    ("A104", "Bathroom 1", 3.9978, 3.161),
    ("A105", "Stair", 4.9222, 3.804),
    ("A201", "Hallway", 7.8, 6.8895),
    ("A202", "Bedroom 1", 26.1193, 22.0432),
    ("A203", "Bedroom 2", 26.178, 22.0432),
    ("A204", "Bathroom 2", 5.4158, 4.7314),
    ("A205", "Utility", 1.754, 1.4194),
];

#[test]
fn storeys_in_use_are_3_1_m_apart() {
    for dwelling in ["A", "B"] {
        let home = import(dwelling).building;
        let z: Vec<f64> = home.storeys.iter().map(|s| s.elevation.value()).collect();
        assert_eq!(z.len(), 2);
        assert!(near(z[1] - z[0], 3.1, 1e-6), "{z:?}");
        for s in &home.storeys {
            // Ceilings at 2.60 m above either floor (IfcOpenShell, coverings).
            assert!(near(s.height.value(), 2.6, 1e-6), "{s:?}");
        }
    }
}

#[test]
fn rooms_have_the_areas_of_the_property_sets() {
    let a = import("A");
    assert_eq!(a.building.rooms.len(), ROOMS_OF_A.len());
    let mut sum = 0.;
    for (id, name, area, shape) in ROOMS_OF_A {
        let room = a.building.rooms.iter().find(|r| r.id.as_str() == id).unwrap();
        assert_eq!(room.name, name);
        let stated = room.stated_area.unwrap().value();
        assert!(near(stated, area, 1e-4), "{id}: {stated} is the property set's area");
        let measured = a.areas.iter().find(|m| m.id == id).unwrap();
        let centre = measured.to_centre_lines.value();
        assert!(near(centre / area, 1., 0.01), "{id}: {centre} to centre lines, {area} stated");
        let inside = measured.inside.value();
        assert!(near(inside / shape, 1., 0.001), "{id}: {inside} inside, {shape} seen from above");
        sum += centre;
    }
    assert!(near(sum, 138.2, 0.01 * 138.2), "{sum}");
}

#[test]
fn all_rooms_of_both_dwellings_agree_with_their_stated_areas() {
    for dwelling in ["A", "B"] {
        for m in import(dwelling).areas {
            let (centre, stated) = (m.to_centre_lines.value(), m.stated.unwrap().value());
            assert!(near(centre / stated, 1., 0.01), "{}: {centre} and {stated}", m.id);
        }
    }
}

#[test]
fn walls_alone_enclose_the_closed_rooms() {
    for (dwelling, closed) in
        [("A", ["A104", "A202", "A203", "A204", "A205"]), ("B", ["B104", "B202", "B203", "B204", "B205"])]
    {
        let import = import(dwelling);
        let mut home = import.building.clone();
        home.rooms.iter_mut().for_each(|r| r.outline = None);
        // Rooms that stand open to each other have no outline from walls; only the closed ones are asked for.
        home.rooms.retain(|r| closed.contains(&r.id.as_str()));
        let resolved = Resolved::new(&home).unwrap_or_else(|e| panic!("{e:#?}"));
        for room in &resolved.rooms {
            let inside = import.areas.iter().find(|m| m.id == room.id.as_str()).unwrap().inside.value();
            assert!(
                near(room.area / inside, 1., 0.01),
                "{}: {} from walls, {inside} from the space",
                room.id,
                room.area
            );
        }
    }
}

#[test]
fn the_building_can_be_computed_on() {
    for dwelling in ["A", "B"] {
        let home = import(dwelling).building;
        let bad: Vec<_> = building::validate(&home).into_iter().filter(|f| f.severity <= Severity::Fails).collect();
        assert!(bad.is_empty(), "{dwelling}: {bad:#?}");
        let resolved = Resolved::new(&home).unwrap();
        // One can walk from any room to any other.
        let mut reached = BTreeSet::from([0]);
        while let Some((a, b)) = resolved.passages.iter().find(|(a, b)| reached.contains(a) != reached.contains(b)) {
            reached.extend([*a, *b]);
        }
        assert_eq!(reached.len(), resolved.rooms.len(), "{dwelling}: {:?}", resolved.passages);
    }
}

#[test]
fn walls_have_their_layers() {
    let home = import("A").building;
    let layers = |id: &str| -> Vec<(String, i64, bool)> {
        let a = home.assemblies.iter().find(|a| a.id.as_str() == id).unwrap_or_else(|| panic!("{id}"));
        a.layers
            .iter()
            .map(|l| (l.material.to_string(), (l.thickness.value() * 1e3).round() as i64, l.framing.is_some()))
            .collect()
    };
    let list = |l: &[(&str, i64, bool)]| l.iter().map(|(m, t, f)| ((*m).to_owned(), *t, *f)).collect::<Vec<_>>();
    // IFCMATERIALLAYERSET records of the model, from outside to inside.
    assert_eq!(
        layers("exterior-brick-on-block"),
        list(&[
            ("brick", 92, false),
            ("air", 25, false),
            ("xps", 50, false),
            ("concrete-block", 193, false),
            ("air", 41, true),
            ("plasterboard", 16, false)
        ])
    );
    assert_eq!(
        layers("interior-partition-92mm-stud"),
        list(&[("plasterboard", 16, false), ("air", 92, true), ("plasterboard", 16, false)])
    );
    assert_eq!(layers("residential-wood-joist-with-subflooring"), list(&[("plywood", 19, false), ("air", 286, true)]));
    assert_eq!(layers("finish-floor-ceramic-tile"), list(&[("ceramic-tile", 10, false), ("mortar", 3, false)]));
    for a in &home.assemblies {
        for l in &a.layers {
            assert!(building::library::material(l.material.as_str()).is_some(), "{}", l.material);
            assert!(l.framing.as_ref().is_none_or(|f| building::library::material(f.material.as_str()).is_some()));
        }
    }
}

#[test]
fn outer_walls_turn_their_brick_outwards() {
    for dwelling in ["A", "B"] {
        let home = import(dwelling).building;
        let mut checked = 0;
        for w in
            home.walls.iter().filter(|w| w.kind == WallKind::Outer && w.assembly.as_str().starts_with("exterior-brick"))
        {
            let (dx, dy) = (w.to.x - w.from.x, w.to.y - w.from.y);
            let l = dx.hypot(dy);
            // The house's outer faces are x = 0, x = 8.8, y = 0 and y = -17.8 (IfcOpenShell): from the middle of the
            // first layer, on the left, the outside is nearer than the centre line is.
            let middle = ((w.from.x + w.to.x) / 2., (w.from.y + w.to.y) / 2.);
            let left = (middle.0 - dy / l * 0.15, middle.1 + dx / l * 0.15);
            let depth = |p: (f64, f64)| p.0.min(8.8 - p.0).min(-p.1).min(17.8 + p.1);
            assert!(depth(left) < depth(middle), "{}", w.id);
            checked += 1;
        }
        assert!(checked >= 5, "{checked}");
    }
}

#[test]
fn party_walls_bound_the_dwelling() {
    let home = import("A").building;
    let party: Vec<_> = home.walls.iter().filter(|w| w.kind == WallKind::Party).collect();
    assert!(party.iter().all(|w| w.assembly.as_str().starts_with("party-wall")), "{party:#?}");
    // Upstairs the party wall runs the house's whole length at x = 4.4, from y = -0.417 to y = -17.383.
    let upstairs: f64 = party.iter().filter(|w| w.storey.as_str() == "level-2").map(|w| w.from.distance(w.to)).sum();
    assert!(upstairs > 16.9, "{upstairs}");
    // Downstairs it steps: 4.2 m, 2.2 m and 3.9 m.
    let downstairs: f64 = party.iter().filter(|w| w.storey.as_str() == "level-1").map(|w| w.from.distance(w.to)).sum();
    assert!(near(downstairs, 4.19 + 2.14 + 4.19, 0.3), "{downstairs}");
    // Nothing of the neighbour's far side is kept: downstairs all lies south of the party wall, upstairs east of it.
    for w in &home.walls {
        for p in [w.from, w.to] {
            if w.storey.as_str() == "level-1" {
                assert!(p.y < -7.7, "{w:?}");
            } else {
                assert!(p.x > 4.3, "{w:?}");
            }
        }
    }
}

#[test]
fn openings_lie_in_their_walls() {
    let mut ids = BTreeSet::new();
    for (dwelling, num_doors, num_windows) in [("A", 7, 11), ("B", 7, 11)] {
        let home = import(dwelling).building;
        let count = |kind: OpeningKind| home.openings.iter().filter(|o| o.kind == kind).count();
        assert_eq!((count(OpeningKind::Door), count(OpeningKind::Window)), (num_doors, num_windows), "{dwelling}");
        for o in &home.openings {
            let w = home.walls.iter().find(|w| w.id == o.wall).unwrap();
            assert!(o.at.value() > -1e-6 && o.at.value() + o.width.value() < w.from.distance(w.to) + 1e-6, "{o:?}");
            let (base, height) = (w.base.value(), w.height.unwrap().value());
            assert!(
                o.sill.value() >= base - 1e-6 && o.sill.value() + o.height.value() <= base + height + 1e-6,
                "{o:?}"
            );
            assert!(o.assembly.as_ref().is_none_or(|a| building::library::assembly(a.as_str()).is_some()), "{o:?}");
            assert!(ids.insert(o.model_id.clone().unwrap()), "{o:?} is in both dwellings");
        }
    }
    // 14 doors and 24 windows; two of the windows are in the roof.
    assert_eq!(ids.len(), 14 + 22);
}

#[test]
fn an_outer_door_is_where_the_model_has_it() {
    // IFCDOOR 1hOSvn6df7F8_7GcBWlRGQ: box in plan x 8.358–8.825, y -16.879–-15.477 with its frame (IfcOpenShell),
    // leaf 1.25 m × 2.01 m by its own attributes.
    let home = import("A").building;
    let door = home.openings.iter().find(|o| o.model_id.as_deref() == Some("1hOSvn6df7F8_7GcBWlRGQ")).unwrap();
    let wall = home.walls.iter().find(|w| w.id == door.wall).unwrap();
    let s = (door.at.value() + door.width.value() / 2.) / wall.from.distance(wall.to);
    let (x, y) = (wall.from.x + (wall.to.x - wall.from.x) * s, wall.from.y + (wall.to.y - wall.from.y) * s);
    assert!(near(x, 8.5915, 0.001) && near(y, (-16.879 - 15.477) / 2., 0.001), "{x} {y}");
    assert!(
        near(door.width.value(), 1.25, 0.001)
            && near(door.height.value(), 2.01, 0.001)
            && near(door.sill.value(), 0., 1e-6)
    );
}

#[test]
fn outlets_of_both_dwellings_are_the_receptacles_of_the_model() {
    let (a, b) = (import("A").building, import("B").building);
    let count = |kind: OutletKind| [&a, &b].map(|home| home.outlets.iter().filter(|o| o.kind == kind).count());
    // 47 receptacles and 4 telephone outlets in all.
    assert_eq!(count(OutletKind::Mains).iter().sum::<usize>(), 47);
    assert!(count(OutletKind::Mains).iter().all(|n| *n >= 20), "{:?}", count(OutletKind::Mains));
    assert_eq!(count(OutletKind::Phone), [2, 2]);
    let ids: BTreeSet<_> = a.outlets.iter().chain(&b.outlets).map(|o| o.model_id.clone()).collect();
    assert_eq!(ids.len(), 51, "no outlet is in both");
    // A kitchen receptacle above the counter: (1.945, -10.37), middle at 1.068 m (IfcOpenShell).
    assert!(
        a.outlets
            .iter()
            .any(|o| near(o.at.x, 1.945, 0.01) && near(o.at.y, -10.346, 0.03) && near(o.height.value(), 1.068, 0.02))
    );
    for home in [&a, &b] {
        let resolved = Resolved::new(home).unwrap();
        assert!(resolved.outlets.iter().all(|o| o.room.is_some()), "every outlet is in or by a room");
    }
}

#[test]
fn appliances_are_fixed_metal_and_the_board_is_the_demarcation_point() {
    for (dwelling, x) in [("A", 0.588), ("B", 7.464)] {
        let home = import(dwelling).building;
        let fridge = home.fixed_objects.iter().find(|o| o.name == "refrigerator").unwrap();
        let low = fridge.outline.iter().map(|p| p.x).fold(f64::INFINITY, f64::min);
        // Box of the refrigerator (IfcOpenShell): 0.85 m wide, 1.83 m high.
        assert!(near(low, x, 0.001) && near(fridge.height.value(), 1.83, 0.001), "{fridge:?}");
        assert_eq!(fridge.material.as_str(), "metal");
        assert!(home.fixed_objects.iter().any(|o| o.name == "range"));
        let board = home.demarcation.unwrap();
        assert_eq!(board.model_id.as_deref(), Some("1X2juAWRHAZx7O3Qb7iaeb"));
        assert!(
            near(board.at.x, -0.022, 0.001)
                && near(board.at.y, -8.486, 0.001)
                && near(board.height.value(), 1.2, 0.001)
        );
    }
}

#[test]
fn dwellings_are_listed_and_must_be_chosen() {
    let architecture = load("architecture.ifc");
    let list = dwellings(&architecture, Limits::default()).unwrap();
    assert_eq!(list.iter().map(|d| d.label.as_deref()).collect::<Vec<_>>(), [Some("A"), Some("B")]);
    for d in &list {
        assert_eq!(d.rooms.len(), 10);
        assert!(d.rooms.iter().all(|r| r.id.starts_with(d.label.as_deref().unwrap())));
        assert!(near(d.area.value(), 138.2, 0.1), "{}", d.area.value());
    }
    let none = read(&architecture, None, &Options::default(), &NoProgress);
    assert!(matches!(&none, Err(ImportError::ChooseDwelling(d)) if d.len() == 2));
    let text = none.unwrap_err().to_string();
    assert!(text.contains("A101 Foyer") && text.contains("138.2 m²"), "{text}");
    let wrong = Options { dwelling: Some("C".to_owned()), ..Options::default() };
    assert!(matches!(read(&architecture, None, &wrong, &NoProgress), Err(ImportError::UnknownDwelling { .. })));
    let by_number = Options { dwelling: Some("2".to_owned()), ..Options::default() };
    assert!(
        read(&architecture, None, &by_number, &NoProgress)
            .unwrap()
            .building
            .rooms
            .iter()
            .all(|r| r.id.as_str().starts_with('B'))
    );
}

#[test]
fn dwellings_do_not_follow_names() {
    // The same house with every room called after the other dwelling's row: B1xx downstairs of A, and the like.
    let mut text = String::from_utf8(load("architecture.ifc")).unwrap();
    for (from, to) in [("'A101'", "'Q1'"), ("'B101'", "'Q2'"), ("'A203'", "'B999'"), ("'B203'", "'A999'")] {
        text = text.replace(from, to);
    }
    let list = dwellings(text.as_bytes(), Limits::default()).unwrap();
    assert_eq!(list.len(), 2);
    assert!(list[0].rooms.iter().any(|r| r.id == "Q1") && list[0].rooms.iter().any(|r| r.id == "B999"));
    assert_eq!(list[0].label.as_deref(), Some("A"));
}

#[test]
fn the_same_bytes_give_the_same_import() {
    let (one, two) = (import("A"), import("A"));
    assert_eq!(serde_json::to_string(&one).unwrap(), serde_json::to_string(&two).unwrap());
}

#[test]
fn the_report_accounts_for_every_wall_and_terminal() {
    let report = import("A").report;
    let count =
        |list: &[ifc::Entry], what: &str| list.iter().filter(|e| e.what == what).map(|e| e.count).sum::<usize>();
    assert_eq!(count(&report.understood, "walls with material layers"), 57);
    assert_eq!(count(&report.understood, "doors"), 14);
    assert_eq!(count(&report.understood, "windows") + count(&report.guessed, "roof windows"), 24);
    assert_eq!(count(&report.understood, "rooms with name and outline") + count(&report.left_out, "rooms"), 21);
    assert!(report.guessed.iter().all(|e| !e.why.is_empty()) && report.left_out.iter().all(|e| !e.why.is_empty()));
}
