//! Small models written by hand, each for one part of the schemas. Expected values are worked by hand from the numbers
//! in the model.

mod common;

use building::{OpeningKind, Resolved, RoomUse, WallKind};
use common::{FOOT, METRE, MILLIMETRE, Model, cottage, length, near};
use ifc::{Import, Options, dwellings};

fn check_cottage(import: &Import) {
    let home = &import.building;
    assert_eq!(home.walls.len(), 4);
    for (w, l) in home.walls.iter().zip([6., 4., 6., 4.]) {
        assert!(near(length(w), l, 1e-6), "{w:?}");
        assert!(near(w.height.unwrap().value(), 2.5, 1e-6));
        assert_eq!(w.kind, WallKind::Outer);
    }
    let room = &home.rooms[0];
    assert_eq!((room.id.as_str(), room.name.as_str(), room.usage), ("1", "Living room", RoomUse::Living));
    assert!(near(import.areas[0].inside.value(), 5.7 * 3.7, 1e-6));
    assert!(near(import.areas[0].to_centre_lines.value(), 24., 0.01), "{:?}", import.areas);
    let door = home.openings.iter().find(|o| o.kind == OpeningKind::Door).unwrap();
    assert!(
        near(door.at.value(), 1., 1e-6) && near(door.width.value(), 0.9, 1e-6) && near(door.height.value(), 2.1, 1e-6)
    );
    // The upper wall runs from x = 6 to x = 0, so that the window from x = 3 to x = 4.2 begins 1.8 m along it.
    let window = home.openings.iter().find(|o| o.kind == OpeningKind::Window).unwrap();
    assert!(near(window.at.value(), 1.8, 1e-6) && near(window.sill.value(), 0.9, 1e-6), "{window:?}");
    assert!(building::validate(home).iter().all(|f| f.severity > findings::Severity::Fails));
}

#[test]
fn units_and_schemas_give_the_same_home() {
    for schema in ["IFC2X3", "IFC4", "ifc2x3", "IFC4X3_ADD2"] {
        check_cottage(&cottage(schema, METRE, 1.).read().unwrap());
        check_cottage(&cottage(schema, MILLIMETRE, 1000.).read().unwrap());
        check_cottage(&cottage(schema, FOOT, 1. / 0.3048).read().unwrap());
    }
}

#[test]
fn layers_run_from_the_reference_line_by_their_sense() {
    // A wall along x; outside is to its left (+y). Brick 0.1 m, then block 0.2 m.
    for (sense, offset, first) in [("NEGATIVE", 0.15, "brick"), ("POSITIVE", -0.15, "concrete-block")] {
        let mut m = Model::new("IFC2X3", METRE);
        let wall = m.wall([0., 0.], 0., 5., 0.3, 2.5);
        m.layers(wall, &[("Brick", 0.1), ("Concrete block", 0.2)], "AXIS2", sense, offset);
        let home = m.read().unwrap().building;
        let w = &home.walls[0];
        assert!(w.to.x > w.from.x && near(w.from.y, 0., 1e-6));
        let layers = &home.assemblies.iter().find(|a| a.id == w.assembly).unwrap().layers;
        assert_eq!(layers[0].material.as_str(), first, "{sense}: from the left");
    }
    // Off the reference line: layers from 0 to the left give a centre line at +0.15 m.
    let mut m = Model::new("IFC4", METRE);
    let place = m.place([0., 0., 0.], 0.);
    let body = m.prism(&[[0., 0.], [5., 0.], [5., 0.3], [0., 0.3]], 2.5);
    let axis = m.polyline(&[[0., 0.], [5., 0.]]);
    let shapes = [m.representation("Axis", axis), m.representation("Body", body)];
    let wall = m.product("IFCWALL", "wall", place, &shapes, ",$,$");
    m.layers(wall, &[("Concrete", 0.3)], "AXIS2", "POSITIVE", 0.);
    m.contain(wall);
    let home = m.read().unwrap().building;
    assert!(near(home.walls[0].from.y, 0.15, 1e-6), "{:?}", home.walls);
}

#[test]
fn chained_and_turned_placements() {
    let mut m = Model::new("IFC2X3", METRE);
    let outer = m.place([10., 0., 0.], 90.);
    let p = m.point(&[2., 1., 0.]);
    let axes = m.add(format!("IFCAXIS2PLACEMENT3D(#{p},$,$)"));
    let inner = m.add(format!("IFCLOCALPLACEMENT(#{outer},#{axes})"));
    let body = m.prism(&[[0., -0.1], [3., -0.1], [3., 0.1], [0., 0.1]], 2.5);
    let shape = m.representation("Body", body);
    let wall = m.product("IFCWALL", "wall", inner, &[shape], ",$");
    m.contain(wall);
    let w = &m.read().unwrap().building.walls[0];
    // (2, 1) turned by 90 degrees is (-1, 2), moved to (9, 2); the wall runs 3 m up from there.
    let (low, high) = if w.from.y < w.to.y { (w.from, w.to) } else { (w.to, w.from) };
    assert!(near(low.x, 9., 1e-6) && near(low.y, 2., 1e-6) && near(high.y, 5., 1e-6), "{w:?}");
}

#[test]
fn curved_walls_become_chords() {
    // Half a circle of radius 3 m, as a trimmed circle and as an arc of an indexed curve.
    let mut trimmed = Model::new("IFC2X3", METRE);
    let centre = trimmed.point(&[0., 0.]);
    let axes = trimmed.add(format!("IFCAXIS2PLACEMENT2D(#{centre},$)"));
    let circle = trimmed.add(format!("IFCCIRCLE(#{axes},3.)"));
    let one = trimmed.add(format!(
        "IFCTRIMMEDCURVE(#{circle},(IFCPARAMETERVALUE(0.)),(IFCPARAMETERVALUE(3.141592653589793)),.T.,.PARAMETER.)"
    ));
    let mut indexed = Model::new("IFC4", METRE);
    let list = indexed.add("IFCCARTESIANPOINTLIST2D(((3.,0.),(0.,3.),(-3.,0.)))");
    let two = indexed.add(format!("IFCINDEXEDPOLYCURVE(#{list},(IFCARCINDEX((1,2,3))),.F.)"));
    for (mut m, axis) in [(trimmed, one), (indexed, two)] {
        let ring = |r: f64| {
            (0..=32).map(move |i| f64::from(i) / 32. * std::f64::consts::PI).map(move |t| [r * t.cos(), r * t.sin()])
        };
        let outline: Vec<[f64; 2]> = ring(3.1).chain(ring(2.9).collect::<Vec<_>>().into_iter().rev()).collect();
        let body = m.prism(&outline, 2.5);
        let place = m.place([0., 0., 0.], 0.);
        let shapes = [m.representation("Axis", axis), m.representation("Body", body)];
        let wall = m.product("IFCWALL", "wall", place, &shapes, ",$");
        m.layers(wall, &[("Concrete", 0.2)], "AXIS2", "POSITIVE", -0.1);
        m.contain(wall);
        let import = m.read().unwrap();
        let walls = &import.building.walls;
        assert!(walls.len() >= 8, "{}", walls.len());
        let sum: f64 = walls.iter().map(length).sum();
        assert!(near(sum / (3. * std::f64::consts::PI), 1., 0.01), "{sum}");
        for p in walls.iter().flat_map(|w| [w.from, w.to]) {
            assert!(near(p.x.hypot(p.y), 3., 0.01), "{p:?}");
        }
        assert!(import.report.guessed.iter().any(|e| e.what == "bent or curved walls"));
    }
}

#[test]
fn walls_without_an_axis_take_their_line_from_the_shape() {
    // The same wall, 4 m × 0.2 m × 2.5 m, as a polygonal face set, as triangles and as a faceted body.
    let corners = [[0., 0.], [4., 0.], [4., 0.2], [0., 0.2]];
    let points: Vec<String> =
        [0., 2.5].iter().flat_map(|z| corners.map(|c| format!("({:?},{:?},{z:?})", c[0], c[1]))).collect();
    let quads = [[1, 4, 3, 2], [5, 6, 7, 8], [1, 2, 6, 5], [2, 3, 7, 6], [3, 4, 8, 7], [4, 1, 5, 8]];
    let mut polygons = Model::new("IFC4", METRE);
    let list = polygons.add(format!("IFCCARTESIANPOINTLIST3D(({}))", points.join(",")));
    let faces: Vec<String> = quads
        .iter()
        .map(|q| {
            format!("#{}", polygons.add(format!("IFCINDEXEDPOLYGONALFACE(({},{},{},{}))", q[0], q[1], q[2], q[3])))
        })
        .collect();
    let a = polygons.add(format!("IFCPOLYGONALFACESET(#{list},.T.,({}),$)", faces.join(",")));
    let mut triangles = Model::new("IFC4", METRE);
    let list = triangles.add(format!("IFCCARTESIANPOINTLIST3D(({}))", points.join(",")));
    let index: Vec<String> = quads
        .iter()
        .flat_map(|q| [format!("({},{},{})", q[0], q[1], q[2]), format!("({},{},{})", q[0], q[2], q[3])])
        .collect();
    let b = triangles.add(format!("IFCTRIANGULATEDFACESET(#{list},$,.T.,({}),$)", index.join(",")));
    let mut faceted = Model::new("IFC2X3", METRE);
    let ids: Vec<usize> =
        [0., 2.5].iter().flat_map(|z| corners.map(|c| [c[0], c[1], *z])).map(|p| faceted.point(&p)).collect();
    let faces: Vec<String> = quads
        .iter()
        .map(|q| {
            let l = faceted.add(format!(
                "IFCPOLYLOOP((#{},#{},#{},#{}))",
                ids[q[0] - 1],
                ids[q[1] - 1],
                ids[q[2] - 1],
                ids[q[3] - 1]
            ));
            let bound = faceted.add(format!("IFCFACEOUTERBOUND(#{l},.T.)"));
            format!("#{}", faceted.add(format!("IFCFACE((#{bound}))")))
        })
        .collect();
    let shell = faceted.add(format!("IFCCLOSEDSHELL(({}))", faces.join(",")));
    let c = faceted.add(format!("IFCFACETEDBREP(#{shell})"));
    for (mut m, item) in [(polygons, a), (triangles, b), (faceted, c)] {
        let shape = m.representation("Body", item);
        let place = m.place([0., 0., 0.], 0.);
        let wall = m.product("IFCWALL", "wall", place, &[shape], ",$");
        m.contain(wall);
        let import = m.read().unwrap();
        let w = &import.building.walls[0];
        assert!(
            near(length(w), 4., 1e-6) && near(w.from.y, 0.1, 1e-6) && near(w.height.unwrap().value(), 2.5, 1e-6),
            "{w:?}"
        );
        let assembly = &import.building.assemblies[0];
        assert!(near(assembly.thickness().value(), 0.2, 1e-6));
        assert!(import.report.guessed.iter().any(|e| e.what == "elements without material layers"));
    }
}

#[test]
fn half_spaces_lower_walls() {
    // A level cut at 2 m; and a cut that falls from 3 m to 2 m along the wall, whose mean is 2.5 m.
    for (normal, origin, height, slopes) in
        [([0., 0., -1.], [0., 0., 2.], 2., false), ([-0.25, 0., -1.], [0., 0., 3.], 2.5, true)]
    {
        let mut m = Model::new("IFC2X3", METRE);
        let solid = m.prism(&[[0., -0.1], [4., -0.1], [4., 0.1], [0., 0.1]], 3.5);
        let (p, z) = (m.point(&origin), m.direction(&normal));
        let x = m.direction(&[0., 1., 0.]);
        let axes = m.add(format!("IFCAXIS2PLACEMENT3D(#{p},#{z},#{x})"));
        let plane = m.add(format!("IFCPLANE(#{axes})"));
        // Agreement true: the material of the half space lies against the normal, here above the plane.
        let half = m.add(format!("IFCHALFSPACESOLID(#{plane},.T.)"));
        let item = m.add(format!("IFCBOOLEANCLIPPINGRESULT(.DIFFERENCE.,#{solid},#{half})"));
        let axis = m.polyline(&[[0., 0.], [4., 0.]]);
        let shapes = [m.representation("Axis", axis), m.representation("Body", item)];
        let place = m.place([0., 0., 0.], 0.);
        let wall = m.product("IFCWALL", "wall", place, &shapes, ",$");
        m.layers(wall, &[("Brick", 0.2)], "AXIS2", "POSITIVE", -0.1);
        m.contain(wall);
        let import = m.read().unwrap();
        let w = &import.building.walls[0];
        assert!(near(w.height.unwrap().value(), height, 1e-6), "{w:?}");
        assert_eq!(import.report.guessed.iter().any(|e| e.what == "walls with a sloping head"), slopes);
    }
}

#[test]
fn mapped_openings_are_scaled_and_moved() {
    let mut m = cottage("IFC4", METRE, 1.);
    let wall = m.wall([10., 0.], 0., 5., 0.2, 2.5);
    // A box of 0.45 m × 0.4 m × 1 m, doubled, and moved to x = 11.
    let body = m.prism(&[[0., -0.2], [0.45, -0.2], [0.45, 0.2], [0., 0.2]], 1.);
    let mapped = m.representation("Body", body);
    let map = m.add(format!("IFCREPRESENTATIONMAP(#13,#{mapped})"));
    let origin = m.point(&[11., 0., 0.]);
    let operator = m.add(format!("IFCCARTESIANTRANSFORMATIONOPERATOR3D($,$,#{origin},2.,$)"));
    let item = m.add(format!("IFCMAPPEDITEM(#{map},#{operator})"));
    let shape = m.representation("Body", item);
    let place = m.place([0., 0., 0.], 0.);
    let opening = m.product("IFCOPENINGELEMENT", "opening", place, &[shape], ",$,$");
    m.add(format!("IFCRELVOIDSELEMENT('v',$,$,$,#{wall},#{opening})"));
    m.space("2", "Office", [10., 0.1], [15., 3.], 2.5);
    let import = m.read_with(&Options { dwelling: Some("2".to_owned()), ..Options::default() }).unwrap();
    let gap = import.building.openings.iter().find(|o| o.kind == OpeningKind::Gap).unwrap();
    assert!(
        near(gap.at.value(), 1., 1e-6) && near(gap.width.value(), 0.9, 1e-6) && near(gap.height.value(), 2., 1e-6),
        "{gap:?}"
    );
}

#[test]
fn recesses_are_no_openings() {
    let mut m = cottage("IFC2X3", METRE, 1.);
    let wall = m.wall([0., 0.], 0., 6., 0.3, 2.5);
    m.opening(wall, [2.5, -0.2, 0.], [3.5, -0.05, 2.], None);
    let import = m.read().unwrap();
    assert!(import.building.openings.iter().all(|o| o.kind != OpeningKind::Gap));
    assert!(import.report.left_out.iter().any(|e| e.why.contains("recesses")));
}

/// Two flats, each a kitchen and a bath, on either side of a lobby. Doors join what `doors` says.
fn two_flats(lobby_doors: bool) -> Model {
    let mut m = Model::new("IFC4", METRE);
    m.box_of_walls([0., 0.], [12., 4.], 0.2, 2.5);
    let cross: Vec<usize> = [3., 5., 7., 9.].iter().map(|x| m.wall([*x, 0.], 90., 4., 0.2, 2.5)).collect();
    let names = [("101", "Bath"), ("102", "Kitchen"), ("L", "Lobby"), ("202", "Kitchen"), ("201", "Bath")];
    for ((id, name), (a, b)) in names.iter().zip([(0., 3.), (3., 5.), (5., 7.), (7., 9.), (9., 12.)]) {
        m.space(id, name, [a + 0.1, 0.1], [b - 0.1, 3.9], 2.5);
    }
    for (k, x) in [3., 5., 7., 9.].iter().enumerate() {
        if lobby_doors || k == 0 || k == 3 {
            m.opening(cross[k], [x - 0.2, 1., 0.], [x + 0.2, 1.9, 2.1], Some("IFCDOOR"));
        }
    }
    m
}

#[test]
fn a_common_lobby_does_not_join_two_flats() {
    for lobby_doors in [false, true] {
        let list = dwellings(two_flats(lobby_doors).finish().as_bytes(), ifc::Limits::default()).unwrap();
        let rooms: Vec<Vec<&str>> = list.iter().map(|d| d.rooms.iter().map(|r| r.id.as_str()).collect()).collect();
        assert_eq!(rooms, [vec!["101", "102"], vec!["202", "201"]], "doors to the lobby: {lobby_doors}");
    }
    // The wall to the lobby is a party wall for the flat.
    let flat =
        two_flats(true).read_with(&Options { dwelling: Some("1".to_owned()), ..Options::default() }).unwrap().building;
    let party: Vec<_> = flat.walls.iter().filter(|w| w.kind == WallKind::Party).collect();
    assert_eq!(party.len(), 1);
    assert!(near(party[0].from.x, 5., 1e-6));
    // Long outer walls end at it.
    let far = flat.walls.iter().flat_map(|w| [w.from.x, w.to.x]).fold(0., f64::max);
    assert!(near(far, 5., 0.11), "{far}");
}

#[test]
fn open_plan_rooms_are_joined_without_doors() {
    let mut m = Model::new("IFC2X3", METRE);
    m.box_of_walls([0., 0.], [8., 4.], 0.2, 2.5);
    // A wall stub of 1 m leaves 2.8 m open between the rooms.
    m.wall([4., 0.], 90., 1., 0.2, 2.5);
    m.space("1", "Kitchen", [0.1, 0.1], [4., 3.9], 2.5);
    m.space("2", "Living", [4., 0.1], [7.9, 3.9], 2.5);
    let list = dwellings(m.finish().as_bytes(), ifc::Limits::default()).unwrap();
    assert_eq!(list.len(), 1);
    let resolved = Resolved::new(&m.read().unwrap().building).unwrap();
    assert_eq!(resolved.passages, [(0, 1)]);
}

#[test]
fn unknown_materials_are_named_in_the_report() {
    let mut m = Model::new("IFC2X3", METRE);
    let wall = m.wall([0., 0.], 0., 5., 0.1, 2.5);
    m.layers(wall, &[("Xyzzy 3000", 0.1)], "AXIS2", "POSITIVE", -0.05);
    let import = m.read().unwrap();
    let entry = import.report.guessed.iter().find(|e| e.what.contains("Xyzzy 3000")).unwrap();
    assert!(entry.why.contains("no rule knows this name") && entry.why.contains("concrete"), "{entry:?}");
    assert_eq!(import.building.assemblies[0].layers[0].material.as_str(), "concrete");
}

#[test]
fn far_away_models_are_moved_to_the_origin() {
    let mut m = Model::new("IFC2X3", METRE);
    m.box_of_walls([500_000., 5_000_000.], [500_006., 5_000_004.], 0.3, 2.5);
    m.space("1", "Living", [500_000.15, 5_000_000.15], [500_005.85, 5_000_003.85], 2.5);
    let import = m.read().unwrap();
    assert!(import.building.walls.iter().flat_map(|w| [w.from, w.to]).all(|p| p.x.abs() < 10. && p.y.abs() < 10.));
    assert!(near(import.areas[0].inside.value(), 5.7 * 3.7, 1e-4));
    assert!(import.report.understood.iter().any(|e| e.what.contains("moved by (-500000")));
}

#[test]
fn models_without_rooms_keep_all_walls_and_rooms_are_found() {
    let mut m = Model::new("IFC4", METRE);
    m.box_of_walls([0., 0.], [6., 4.], 0.3, 2.5);
    let import = m.read().unwrap();
    assert!(import.dwellings.is_empty() && import.building.rooms.is_empty());
    let resolved = Resolved::new(&import.building).unwrap();
    assert_eq!(resolved.rooms.len(), 1);
    assert!(near(resolved.rooms[0].area, 5.7 * 3.7, 1e-6));
}

#[test]
fn names_with_escapes_are_decoded() {
    let mut m = Model::new("IFC2X3", METRE);
    m.box_of_walls([0., 0.], [6., 4.], 0.3, 2.5);
    m.space("1", "K\\X2\\00FC\\X0\\che", [0.15, 0.15], [5.85, 3.85], 2.5);
    assert_eq!(m.read().unwrap().building.rooms[0].name, "Küche");
}

#[test]
fn stated_areas_come_from_quantities_in_their_unit() {
    let mut m = cottage("IFC4", METRE, 1.);
    let space = m.space("2", "Bedroom", [10., 0.], [13., 4.], 2.5);
    let gross = m.add("IFCQUANTITYAREA('GrossFloorArea',$,$,13.,$)");
    let net = m.add("IFCQUANTITYAREA('NetFloorArea',$,$,12.,$)");
    let wall = m.add("IFCQUANTITYAREA('GrossWallArea',$,$,99.,$)");
    let set = m.add(format!("IFCELEMENTQUANTITY('q',$,'Qto_SpaceBaseQuantities',$,$,(#{wall},#{gross},#{net}))"));
    m.add(format!("IFCRELDEFINESBYPROPERTIES('r',$,$,$,(#{space}),#{set})"));
    let import = m.read_with(&Options { dwelling: Some("2".to_owned()), ..Options::default() }).unwrap();
    assert!(near(import.building.rooms[0].stated_area.unwrap().value(), 12., 1e-9));
}
