//! Every kind of bad input, with its message, its numbers and its remedy.

mod common;

use building::*;
use common::*;
use findings::Severity::{Fails, Note, Risk};
use findings::{EditKind, Finding};
use units::{Metres, Point2};

/// A change to the good plan.
fn with(change: impl FnOnce(&mut Building)) -> Building {
    let mut b = two_rooms();
    change(&mut b);
    b
}

#[test]
fn the_good_plan_has_no_findings() {
    assert_eq!(validate(&two_rooms()), Vec::<Finding>::new());
}

#[test]
fn an_empty_building_lists_all_that_is_missing() {
    let found: Vec<String> = validate(&Building::default()).into_iter().map(|f| f.rule).collect();
    assert_eq!(found, ["building.no-storeys", "building.no-walls", "building.no-demarcation"]);
}

#[test]
fn numbers_that_are_not_finite_are_named_with_their_place() {
    for value in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
        let b = with(|b| b.walls[1].to = Point2::new(8.0, value));
        check(&b, "building.not-finite", Fails, "east", "wall `east`: `to[1]` is");
    }
    check(&with(|b| b.north.0 = f64::NAN), "building.not-finite", Fails, "", "`north` is NaN");
    check(&with(|b| b.storeys[0].height.0 = f64::NAN), "building.not-finite", Fails, "ground", "`height` is NaN");
    check(&with(|b| b.storeys[0].elevation.0 = f64::NAN), "building.not-finite", Fails, "ground", "`elevation`");
    check(&with(|b| b.openings[0].at.0 = f64::NAN), "building.not-finite", Fails, "door", "`at` is NaN");
    check(&with(|b| b.openings[0].width.0 = f64::NAN), "building.not-finite", Fails, "door", "`width` is NaN");
    check(&with(|b| b.outlets[0].at.x = f64::NAN), "building.not-finite", Fails, "o1", "`at[0]` is NaN");
    check(&with(|b| b.rooms[0].inside.y = f64::NAN), "building.not-finite", Fails, "left", "`inside[1]` is NaN");
    check(
        &with(|b| b.demarcation = Some(demarcation([f64::NAN, 0.0]))),
        "building.not-finite",
        Fails,
        "",
        "demarcation",
    );
    let mut outline = square(0.0, 0.0, 2.0);
    outline[2].x = f64::NAN;
    check(
        &with(|b| b.rooms[0].outline = Some(outline)),
        "building.not-finite",
        Fails,
        "left",
        "`outline[2][0]` is NaN",
    );
    check(
        &with(|b| b.assemblies[0].layers[0].thickness.0 = f64::NAN),
        "building.not-finite",
        Fails,
        "plain",
        "`layers[0].thickness` is NaN",
    );
}

#[test]
fn every_problem_is_listed_not_only_the_first() {
    let b = with(|b| {
        b.walls[0].from.x = f64::NAN;
        b.walls[2].assembly = id("plane");
        b.openings[0].width = Metres(5.0);
        b.rooms[1].id = id("left");
    });
    let mut rules: Vec<String> = validate(&b).into_iter().map(|f| f.rule).collect();
    rules.sort();
    rules.dedup();
    for rule in
        ["building.not-finite", "building.unknown-reference", "building.opening-beyond-wall", "building.duplicate-id"]
    {
        assert!(rules.iter().any(|r| r == rule), "{rule} not in {rules:?}");
    }
}

#[test]
fn absurd_sizes_are_refused_with_both_limits() {
    let wall_of = |length: f64| with(|b| b.walls.push(wall("long", [20.0, 20.0], [20.0 + length, 20.0])));
    check(&wall_of(1e-6), "building.absurd-size", Fails, "long", "the least possible is 0.001 m");
    check(&wall_of(501.0), "building.absurd-size", Fails, "long", "`length` is 501 m, and the most possible is 500 m");
    assert!(of_rule(&wall_of(500.0), "building.absurd-size").is_empty());
    assert!(of_rule(&wall_of(0.0011), "building.absurd-size").is_empty());
    // A wall of 10 km breaks two limits.
    assert_eq!(of_rule(&wall_of(10_000.0), "building.absurd-size").len(), 2);
    check(
        &with(|b| b.storeys[0].elevation = Metres(-10_001.0)),
        "building.absurd-size",
        Fails,
        "ground",
        "more than 10000 m from the origin",
    );
    check(&with(|b| b.storeys[0].height = Metres(0.0)), "building.absurd-size", Fails, "ground", "`height` is 0 m");
    check(&with(|b| b.walls[0].height = Some(Metres(250.0))), "building.absurd-size", Fails, "south", "100 m");
    check(
        &with(|b| b.assemblies[0].layers[0].thickness = Metres(5.1)),
        "building.absurd-size",
        Fails,
        "plain",
        "the most possible is 5 m",
    );
}

#[test]
fn a_layer_without_thickness_is_refused_unless_it_is_a_sheet() {
    let layer = |material: &str, thickness: f64| {
        with(|b| {
            b.assemblies[0].layers.push(Layer { material: id(material), thickness: Metres(thickness), framing: None })
        })
    };
    for thickness in [0.0, 9e-6, -0.1] {
        check(
            &layer("brick", thickness),
            "building.zero-thickness",
            Fails,
            "plain",
            "`layers[1].thickness` of `brick`",
        );
    }
    assert!(validate(&layer("brick", 1e-5)).is_empty());
    assert!(validate(&layer("aluminium-foil", 9e-6)).is_empty());
    assert!(validate(&layer("low-e-coating", 0.0)).is_empty());
    check(&layer("low-e-coating", -1e-7), "building.zero-thickness", Fails, "plain", "unless the material is a sheet");
    check(&with(|b| b.assemblies[0].layers.clear()), "building.zero-thickness", Fails, "plain", "has 0 layers");
}

#[test]
fn framing_as_wide_as_its_spacing_is_refused() {
    let framed = |spacing: f64, width: f64| {
        with(|b| {
            b.assemblies[0].layers[0].framing =
                Some(Framing { material: id("wood"), spacing: Metres(spacing), width: Metres(width) });
        })
    };
    check(&framed(0.4, 0.4), "building.framing", Fails, "plain", "0.4 m wide at a spacing of 0.4 m");
    check(&framed(0.4, 0.0), "building.framing", Fails, "plain", "0 m wide");
    check(&framed(f64::NAN, 0.1), "building.not-finite", Fails, "plain", "framing.spacing");
    assert!(validate(&framed(0.4, 0.038)).is_empty());
}

#[test]
fn impossible_materials_are_refused() {
    let of = |electrical: Electrical| {
        with(|b| {
            b.materials.push(Material {
                id: id("odd"),
                name: "odd".into(),
                electrical,
                source: findings::Source::generic(),
            });
        })
    };
    let law =
        |a: f64, c: f64, min_ghz: f64, max_ghz: f64| Electrical::Dielectric { a, b: 0.0, c, d: 1.0, min_ghz, max_ghz };
    let odd = |e, text| check(&of(e), "building.material-constants", Fails, "odd", text);
    odd(law(0.5, 0.1, 1.0, 10.0), "the least permittivity over its frequency range is 0.5");
    odd(law(2.0, -0.1, 1.0, 10.0), "the conductivity at 1 GHz is -0.1 S/m");
    odd(law(2.0, 0.1, 10.0, 1.0), "the highest frequency is 1 GHz");
    odd(law(2.0, 0.1, 0.0, 1.0), "the lowest frequency is 0 GHz");
    odd(Electrical::Sheet { ohm_per_square: 0.0 }, "the surface resistance is 0");
    let mesh = |pitch: f64, radius: f64| Electrical::Mesh { pitch, radius };
    odd(mesh(0.01, 0.0), "the radius of a wire is 0 m");
    odd(mesh(0.01, 0.005), "the pitch of the mesh, which must exceed two radii, is 0.01 m");
    assert!(validate(&of(mesh(0.01, 0.0005))).is_empty());
    for broken in [mesh(f64::NAN, 0.0005), mesh(0.01, f64::INFINITY), mesh(f64::INFINITY, 0.0005)] {
        assert!(!validate(&of(broken)).is_empty(), "{broken:?}");
    }
    odd(Electrical::Dielectric { a: 2.0, b: -0.5, c: 0.0, d: 0.0, min_ghz: 1.0, max_ghz: 10.0 }, "0.63");
    assert!(validate(&of(law(1.0, 0.0, 1.0, 10.0))).is_empty());
}

#[test]
fn duplicate_ids_are_counted_once_each() {
    let b = with(|b| {
        b.walls.push(wall("south", [20.0, 0.0], [24.0, 0.0]));
        b.walls.push(wall("south", [20.0, 5.0], [24.0, 5.0]));
    });
    check(&b, "building.duplicate-id", Fails, "south", "3 elements of `building/walls` have the id `south`");
}

#[test]
fn an_unknown_id_names_the_nearest_known_one() {
    let b = with(|b| b.walls[0].storey = id("grund"));
    let finding = check(&b, "building.unknown-reference", Fails, "grund", "the nearest known is `ground`");
    let edit = &finding.remedies[0].edits[0];
    assert_eq!((edit.path.as_str(), edit.kind), ("building/walls/south/storey", EditKind::Set));
    assert_eq!(edit.value, Some("ground".into()));

    let refers = |change: fn(&mut Building), text: &str| {
        check(&with(change), "building.unknown-reference", Fails, "", text);
    };
    refers(|b| b.walls[0].assembly = id("stud-partition-wood-98"), "nearest known is `stud-partition-wood-89`");
    refers(|b| b.openings[0].wall = id("midle"), "names the wall `midle`");
    refers(|b| b.openings[0].assembly = Some(id("door-hollow")), "`door-hollow-core`");
    refers(|b| b.rooms[0].storey = id("x9"), "room `left` names the storey `x9`, which does not exist");
    refers(|b| b.outlets[0].circuit = Some(id("c1")), "outlet `o1` names the circuit `c1`");
    refers(|b| b.assemblies[0].layers[0].material = id("brik"), "nearest known is `brick`");
    refers(|b| b.demarcation.as_mut().unwrap().storey = id("groud"), "the demarcation point names the storey `groud`");
    refers(
        |b| b.stairs.push(Stair { id: id("s"), from: id("ground"), to: id("first"), outline: square(1.0, 1.0, 1.0) }),
        "stair `s` names the storey `first`",
    );
}

#[test]
fn openings_stay_in_their_wall() {
    let finding = check(
        &with(|b| b.openings[0].at = Metres(2.5)),
        "building.opening-beyond-wall",
        Fails,
        "door",
        "opening `door` spans 2.500 m to 3.400 m of wall `middle`, which is 3.000 m long",
    );
    assert!((finding.measured.unwrap().value - 0.4).abs() < 1e-9);
    assert_eq!(finding.remedies[0].edits[0].value, Some(2.1.into()));
    check(&with(|b| b.openings[0].at = Metres(-0.5)), "building.opening-beyond-wall", Fails, "middle", "-0.500 m");
    check(
        &with(|b| b.openings[0].width = Metres(7.0)),
        "building.opening-beyond-wall",
        Fails,
        "door",
        "1.000 m to 8.000 m",
    );
    // Within 10 mm it is clipped.
    assert!(validate(&with(|b| b.openings[0].at = Metres(2.109))).is_empty());
    check(
        &with(|b| b.openings[0].height = Metres(2.6)),
        "building.opening-too-high",
        Fails,
        "door",
        "0.000 m to 2.600 m",
    );
    check(&with(|b| b.openings[0].sill = Metres(-0.2)), "building.opening-too-high", Fails, "door", "-0.200 m");
}

#[test]
fn openings_do_not_overlap_but_may_stand_over_each_other() {
    let second = |at: f64, sill: f64| {
        with(|b| {
            let mut o = door("second", "middle", at);
            o.kind = OpeningKind::Window;
            o.sill = Metres(sill);
            o.height = Metres(0.4);
            b.openings.push(o);
        })
    };
    check(&second(1.5, 1.0), "building.openings-overlap", Fails, "second", "overlap by 0.400 m");
    assert!(validate(&second(1.9, 1.0)).is_empty(), "side by side");
    assert!(validate(&second(1.0, 2.05)).is_empty(), "a light over the door");
}

#[test]
fn doors_need_a_leaf_and_gaps_do_not() {
    let b = with(|b| b.openings[0].assembly = None);
    check(&b, "building.opening-unfilled", Fails, "door", "opening `door` is a door and names no assembly");
    let b = with(|b| b.openings[0].kind = OpeningKind::Gap);
    check(&b, "building.gap-filled", Note, "door", "is a gap");
}

#[test]
fn outlines_that_cross_or_have_no_area_are_refused() {
    let slab = |outline: &[[f64; 2]]| {
        let outline: Vec<Point2> = outline.iter().map(|p| Point2::from(*p)).collect();
        with(|b| {
            b.slabs.push(Slab {
                id: id("slab"),
                storey: id("ground"),
                kind: SlabKind::Floor,
                outline,
                holes: vec![],
                top: Metres(0.0),
                assembly: id("concrete-slab-150"),
                joists: None,
                fire_minutes: None,
                tensioned: false,
                model_id: None,
            });
        })
    };
    let crossing = "the `outline` of slab `slab` crosses or touches itself at (2.000, 2.000)";
    check(
        &slab(&[[0.0, 0.0], [4.0, 4.0], [4.0, 0.0], [0.0, 4.0]]),
        "building.outline-crosses-itself",
        Fails,
        "slab",
        crossing,
    );
    check(&slab(&[[0.0, 0.0], [4.0, 4.0]]), "building.outline-degenerate", Fails, "slab", "has 2 corners");
    check(&slab(&[]), "building.outline-degenerate", Fails, "slab", "has 0 corners");
    check(&slab(&[[1.0, 1.0]; 5]), "building.outline-degenerate", Fails, "slab", "has 1 corners");
    check(
        &slab(&[[0.0, 0.0], [0.001, 0.0], [0.001, 0.001]]),
        "building.outline-degenerate",
        Fails,
        "slab",
        "has an area of",
    );
    assert!(validate(&slab(&[[0.0, 0.0], [4.0, 0.0], [4.0, 3.0], [0.0, 3.0]])).is_empty());
}

#[test]
fn storeys_stack() {
    let upper = |elevation: f64, dx: f64| {
        with(|b| {
            b.storeys.push(storey("first", elevation));
            let mut above = two_rooms();
            for (w, name) in above.walls.iter_mut().zip(["s1", "e1", "n1", "w1", "m1"]) {
                w.id = id(name);
                w.storey = id("first");
                w.from.x += dx;
                w.to.x += dx;
            }
            b.walls.extend(above.walls);
            let mut up = room("up", [2.0 + dx, 1.5]);
            up.storey = id("first");
            b.rooms.push(up);
        })
    };
    assert!(validate(&upper(2.8, 0.0)).is_empty());
    let finding = check(
        &upper(2.3, 0.0),
        "building.storeys-overlap",
        Fails,
        "first",
        "storey `ground` ends at 2.500 m, above the floor of storey `first` at 2.300 m",
    );
    assert!((finding.measured.unwrap().value - 0.2).abs() < 1e-9);
    check(&upper(4.0, 0.0), "building.storeys-apart", Risk, "first", "there are 1.50 m between");
    check(&upper(2.8, 6.0), "building.storeys-not-stacked", Risk, "first", "75 % of storey `first` lies outside");
    let b = with(|b| b.storeys.push(storey("first", 2.8)));
    check(&b, "building.storey-without-room", Risk, "first", "has no room");
}

#[test]
fn gaps_between_walls_are_found_and_can_be_closed() {
    let gap = |g: f64| with(|b| b.walls.push(wall("nib", [2.0, 3.0], [2.0, 1.1 + g])));
    assert!(validate(&gap(0.5)).is_empty(), "a nib that ends in the room");
    let b = with(|b| b.walls.push(wall("stub", [2.0, 0.1 + 0.12], [2.0, 1.0])));
    let finding = check(
        &b,
        "building.wall-gap",
        Risk,
        "stub",
        "wall `stub` ends at (2.000, 0.220), 120 mm short of wall `south`",
    );
    assert_eq!(finding.remedies[0].edits[0].path, "building/walls/stub/from");
    assert_eq!(finding.remedies[0].edits[0].value, Some(serde_json::json!([2.0, 0.0])));
}

#[test]
fn walls_that_run_in_each_other_are_found() {
    let b = with(|b| b.walls.push(wall("twice", [1.0, 0.05], [3.0, 0.05])));
    check(&b, "building.walls-overlap", Risk, "twice", "walls `south` and `twice` run in each other for 2.000 m");
    let b = with(|b| b.walls.push(wall("lining", [1.0, 0.2], [3.0, 0.2])));
    assert!(of_rule(&b, "building.walls-overlap").is_empty(), "side by side is not overlapping");
}

#[test]
fn rooms_must_be_findable() {
    let b = with(|b| {
        b.walls.pop();
        b.openings.clear();
    });
    check(&b, "building.rooms-share-space", Fails, "right", "rooms `left` and `right` lie in the same space");
    let b = with(|b| {
        b.walls.remove(1);
    });
    check(&b, "building.room-not-enclosed", Fails, "right", "the walls around its point are not closed");
    let b = with(|b| b.rooms[0].inside = Point2::new(4.0, 1.0));
    check(&b, "building.room-not-enclosed", Fails, "left", "its point lies in a wall");
    let b = with(|b| b.rooms[0].outline = Some(square(0.5, 0.5, 1.0)));
    let finding = check(&b, "building.room-point-outside", Fails, "left", "its point (2.000, 1.500) is outside");
    assert_eq!(finding.remedies[0].edits.len(), 1);
    let b = with(|b| {
        b.rooms.clear();
        b.walls.truncate(2);
        b.openings.clear();
        b.outlets.clear();
    });
    check(&b, "building.no-rooms", Fails, "", "the walls enclose none");
}

#[test]
fn areas_and_overlaps_are_compared() {
    // 3.8 m by 2.8 m between the faces.
    check(
        &with(|b| b.rooms[0].stated_area = area(11.0)),
        "building.area-differs",
        Note,
        "left",
        "room `left` has 10.64 m² and is stated to have 11.00 m² (-3.3 %)",
    );
    // Smaller than between the faces, or beyond any wall: something is wrong.
    for wrong in [10.0, 16.0] {
        let b = with(|b| b.rooms[0].stated_area = area(wrong));
        check(&b, "building.area-differs", Risk, "left", "is stated to have");
    }
    assert!(validate(&with(|b| b.rooms[0].stated_area = area(10.70))).is_empty());
    let b = with(|b| {
        b.rooms[0].outline = Some(square(0.1, 0.1, 2.8));
        b.rooms[0].inside = Point2::new(1.0, 1.0);
        let mut r = room("nook", [2.5, 1.5]);
        r.outline = Some(square(2.0, 0.5, 1.5));
        b.rooms.push(r);
    });
    check(&b, "building.rooms-overlap", Risk, "nook", "overlap by 1.35 m²");
}

#[test]
fn outlets_and_the_line_belong_somewhere() {
    check(
        &with(|b| b.outlets[0].at.x = -1.0),
        "building.outlet-outside",
        Risk,
        "o1",
        "mains outlet `o1` at (-1.00, 1.50)",
    );
    check(&with(|b| b.demarcation = None), "building.no-demarcation", Note, "", "it is not said where the line enters");
}

#[test]
fn too_much_is_refused_at_once() {
    let b = with(|b| {
        let o = b.outlets[0].clone();
        b.outlets.extend((0..MAX_ELEMENTS).map(|i| Outlet { id: id(&format!("x{i}")), ..o.clone() }));
    });
    let found = validate(&b);
    assert_eq!(found.len(), 1);
    assert!(found[0].message.contains("the limit is 20000"), "{}", found[0].message);
    let b = with(|b| {
        let circle = (0..=MAX_OUTLINE_POINTS).map(|i| (i as f64 / 200.0).sin_cos()).map(|(y, x)| Point2::new(x, y));
        b.rooms[0].outline = Some(circle.collect());
    });
    check(&b, "building.too-large", Fails, "left", "has 1001 points and the limit is 1000");
}

/// Walls upon walls are refused at once, not unioned for minutes.
#[test]
fn crowded_walls_are_refused() {
    for step in [1e-6, 1e-4, 1e-2] {
        let b = with(|b| {
            for i in 0..3000 {
                b.walls.push(wall(&format!("x{i}"), [1.0, 1.0 + f64::from(i) * step], [3.0, 1.0]));
            }
        });
        check(&b, "building.too-large", Fails, "", "pairs of walls");
    }
}

/// Walls drawn twice are reported and cost no area.
#[test]
fn walls_drawn_twice_are_one_wall() {
    let b = with(|b| {
        for i in 0..4 {
            let mut w = b.walls[i].clone();
            w.id = id(&format!("again{i}"));
            b.walls.push(w);
        }
    });
    assert_eq!(of_rule(&b, "building.walls-overlap").len(), 4);
    let home = Resolved::new(&b).unwrap();
    assert!(home.rooms.iter().all(|r| (r.area - 3.8 * 2.8).abs() < 1e-6));
}

/// No finding may come from a rule that is not on the list, and every rule has all its parts.
#[test]
fn rules_are_complete() {
    let mut ids: Vec<&str> = RULES.iter().map(|r| r.id).collect();
    ids.sort_unstable();
    ids.dedup();
    assert_eq!(ids.len(), RULES.len());
    for rule in RULES {
        assert!(rule.id.starts_with("building.") && !rule.summary.is_empty() && !rule.limit.is_empty());
        assert!(!rule.source().cite.is_empty());
    }
}

#[test]
fn cables_that_are_there_and_zones_are_checked() {
    let cable = |from: &str, height: f64| ExistingCable {
        id: id("old"),
        part: id("cable-cat6"),
        from: CableEnd::Outlet { outlet: id(from) },
        to: CableEnd::Place { storey: id("ground"), at: Point2::new(1.0, 1.0), height: Metres(height) },
    };
    let zone = |height: f64, outline: &[[f64; 2]]| NoGoZone {
        id: id("flue"),
        reason: NoGoReason::Flue,
        storey: id("ground"),
        outline: outline.iter().map(|p| Point2::from(*p)).collect(),
        base: Metres(0.0),
        height: Some(Metres(height)),
    };
    let square = [[1.0, 1.0], [1.5, 1.0], [1.5, 1.5], [1.0, 1.5]];
    let good = with(|b| {
        b.existing_cables.push(cable("o1", 0.3));
        b.no_go_zones.push(zone(2.0, &square));
        b.walls[0].fire_minutes = Some(60);
    });
    assert_eq!(validate(&good), Vec::<Finding>::new());
    let home = Resolved::new(&good).unwrap();
    assert_eq!(home.existing_cables[0].ends[0], home.outlets[0].at);
    assert_eq!((home.no_go_zones[0].z0, home.no_go_zones[0].z1), (0.0, 2.0));
    assert_eq!(home.fire_minutes.get(&id("south")), Some(&60));
    let with_cable = |c: ExistingCable| with(|b| b.existing_cables.push(c));
    check(&with_cable(cable("o9", 0.3)), "building.unknown-reference", Fails, "old", "names the outlet `o9`");
    check(&with_cable(cable("o1", f64::NAN)), "building.not-finite", Fails, "old", "`to.height` is NaN");
    let with_zone = |z: NoGoZone| with(|b| b.no_go_zones.push(z));
    check(&with_zone(zone(-1.0, &square)), "building.absurd-size", Fails, "flue", "`height` is -1 m");
    check(&with_zone(zone(2.0, &square[..2])), "building.outline-degenerate", Fails, "flue", "no-go zone `flue`");
    let twice = with(|b| b.no_go_zones.extend([zone(2.0, &square), zone(2.0, &square)]));
    check(&twice, "building.duplicate-id", Fails, "flue", "no_go_zones");
}
