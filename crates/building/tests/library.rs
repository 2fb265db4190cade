//! The built-in materials and assemblies against the standard's table and against their own promises.

use std::collections::BTreeMap;

use building::library::{assemblies, find_assembly, find_material, material, materials, p2040_1};
use building::{Assembly, Building, Electrical, Material, OutOfRange};
use findings::{Id, Source, SourceKind};
use units::Hertz;

/// Edition, material and its six constants.
fn table() -> Vec<(String, String, [f64; 6])> {
    let mut reader =
        csv::Reader::from_path(concat!(env!("CARGO_MANIFEST_DIR"), "/tests/data/p2040_materials.csv")).unwrap();
    reader
        .records()
        .map(|r| {
            let r = r.unwrap();
            let number = |i: usize| r[i].parse().unwrap();
            (r[0].to_owned(), r[1].to_owned(), [number(2), number(3), number(4), number(5), number(6), number(7)])
        })
        .collect()
}

fn constants(m: &Material) -> [f64; 6] {
    match m.electrical {
        Electrical::Dielectric { a, b, c, d, min_ghz, max_ghz } => [a, b, c, d, min_ghz, max_ghz],
        Electrical::Metal => [1.0, 0.0, building::METAL_CONDUCTIVITY, 0.0, 1.0, 100.0],
        Electrical::Sheet { .. } | Electrical::Mesh { .. } => panic!("no sheet in P.2040"),
    }
}

#[test]
fn every_row_of_p2040_is_there_with_its_constants() {
    let mut rows = 0;
    for (edition, name, expected) in table() {
        let id = if name == "vacuum" { "air".to_owned() } else { name.replace('_', "-") };
        let found = if edition.starts_with("P.2040-1 ") {
            if name == "metal" {
                continue;
            }
            constants(p2040_1().iter().find(|m| m.id.as_str() == id).unwrap())
        } else {
            constants(material(&id).unwrap_or_else(|| panic!("{id}")))
        };
        assert_eq!(found, expected, "{edition} {name}");
        rows += 1;
    }
    assert_eq!(rows, 15 + 8);
}

/// Published values at 9 GHz of the 2015 edition (documentation of a numerical package).
#[test]
fn the_published_9_ghz_values_of_the_2015_edition_are_reproduced() {
    let published = [
        ("concrete", 5.31, 0.19305),
        ("brick", 3.75, 0.038),
        ("plasterboard", 2.94, 0.054914),
        ("wood", 1.99, 0.049528),
        ("glass", 6.27, 0.059075),
        ("ceiling-board", 1.5, 0.0064437),
        ("chipboard", 2.58, 0.12044),
    ];
    for (id, permittivity, conductivity) in published {
        let m = p2040_1().into_iter().find(|m| m.id.as_str() == id).unwrap();
        let (a, s) = m.electrical.permittivity(Hertz::from_ghz(9.0)).unwrap();
        assert!((a - permittivity).abs() < 5e-3, "{id}: {a}");
        // Five printed digits.
        assert!((s / conductivity - 1.0).abs() < 5e-5, "{id}: {s} against {conductivity}");
    }
}

/// Published values at 9 GHz of the current table (documentation of a numerical package, for P.2040-3).
#[test]
fn the_published_9_ghz_values_of_the_current_table_are_reproduced() {
    let published = [
        ("concrete", 0.25766),
        ("brick", 0.033826),
        ("plasterboard", 0.066978),
        ("wood", 0.049528),
        ("glass", 0.068299),
    ];
    for (id, conductivity) in published {
        let (_, s) = material(id).unwrap().electrical.permittivity(Hertz::from_ghz(9.0)).unwrap();
        assert!((s / conductivity - 1.0).abs() < 5e-5, "{id}: {s}");
    }
}

#[test]
fn floorboard_is_refused_in_the_bands_of_homes() {
    let floorboard = material("floorboard").unwrap().electrical;
    for ghz in [2.4, 5.25, 7.125, 49.99, 100.01] {
        let error = floorboard.permittivity(Hertz::from_ghz(ghz)).unwrap_err();
        assert!(matches!(error, OutOfRange::Frequency { min_ghz: 50.0, max_ghz: 100.0, .. }));
        assert!(error.to_string().contains("from 50 to 100 GHz"), "{error}");
    }
    assert!(floorboard.permittivity(Hertz::from_ghz(50.0)).is_ok());
    assert!(floorboard.permittivity(Hertz::from_ghz(100.0)).is_ok());
    assert!(floorboard.permittivity(Hertz(f64::NAN)).is_err());
    let used = |a: &&Assembly| a.layers.iter().any(|l| l.material.as_str() == "floorboard");
    assert_eq!(assemblies().iter().find(used), None);
}

#[test]
fn a_sheet_has_no_permittivity_to_give() {
    let foil = material("aluminium-foil").unwrap().electrical;
    assert!(matches!(foil.permittivity(Hertz::from_ghz(5.0)), Err(OutOfRange::Sheet { .. })));
    assert!(foil.check(Hertz::from_ghz(5.0)).is_ok());
}

#[test]
fn a_mesh_has_no_permittivity_and_holds_up_to_a_pitch_of_a_wavelength() {
    let mesh = material("wire-mesh").unwrap().electrical;
    assert_eq!(mesh, Electrical::Mesh { pitch: 0.025, radius: 0.0005 });
    let error = mesh.permittivity(Hertz::from_ghz(5.0)).unwrap_err();
    assert!(matches!(error, OutOfRange::Mesh { pitch: 0.025, radius: 0.0005 }));
    assert!(error.to_string().contains("0.025 m"), "{error}");
    // 299.792 458 mm at 1 GHz over 25 mm.
    assert!(mesh.check(Hertz::from_ghz(11.99)).is_ok() && mesh.check(Hertz::from_ghz(0.4)).is_ok());
    assert!(matches!(mesh.check(Hertz::from_ghz(12.0)), Err(OutOfRange::Frequency { .. })));
    assert!(mesh.check(Hertz(f64::NAN)).is_err());
}

#[test]
fn ids_are_unique_and_sources_are_named() {
    let sourced = |id: &Id, name: &str, source: &Source| {
        assert!(!name.is_empty() && source.cite.len() >= 10, "{id}");
        Id::from_label(id.as_str())
    };
    let mut seen = std::collections::BTreeSet::new();
    for m in materials() {
        assert!(seen.insert(sourced(&m.id, &m.name, &m.source)), "{}", m.id);
    }
    let mut seen = std::collections::BTreeSet::new();
    for a in assemblies() {
        assert!(seen.insert(sourced(&a.id, &a.name, &a.source)), "{}", a.id);
    }
    let stated: Vec<_> = materials().iter().filter(|m| m.source.kind == SourceKind::Standard).collect();
    assert_eq!(stated.len(), 15, "only the rows of P.2040-4 claim a standard");
}

#[test]
fn every_assembly_answers_over_the_bands_of_homes() {
    let by_id: BTreeMap<&Id, &Material> = materials().iter().map(|m| (&m.id, m)).collect();
    for a in assemblies() {
        assert!(a.thickness().0 > 0.0, "{}", a.id);
        for layer in &a.layers {
            let ids = std::iter::once(&layer.material).chain(layer.framing.iter().map(|f| &f.material));
            for id in ids {
                let m = by_id.get(id).unwrap_or_else(|| panic!("{}: `{id}`", a.id));
                for mhz in (2400..=7125).step_by(25) {
                    let f = Hertz::from_mhz(f64::from(mhz));
                    assert!(m.electrical.check(f).is_ok(), "{} {id} {mhz}", a.id);
                    if let Ok((permittivity, conductivity)) = m.electrical.permittivity(f) {
                        assert!((1.0..100.0).contains(&permittivity), "{id}");
                        assert!(conductivity >= 0.0 && conductivity.is_finite(), "{id}");
                    }
                }
            }
            if let Some(f) = &layer.framing {
                assert!(f.width.0 > 0.0 && f.width.0 < f.spacing.0, "{}", a.id);
            }
        }
    }
}

#[test]
fn the_library_is_valid_as_a_building_s_own() {
    let b = Building { materials: materials().to_vec(), assemblies: assemblies().to_vec(), ..Building::default() };
    let about_them: Vec<_> = building::validate(&b).into_iter().filter(|f| !f.subjects.is_empty()).collect();
    assert_eq!(about_them, vec![]);
}

#[test]
fn there_are_enough_walls_floors_doors_and_windows() {
    let count =
        |words: &[&str]| assemblies().iter().filter(|a| words.iter().any(|w| a.id.as_str().contains(w))).count();
    assert!(count(&["partition", "outer", "brick-", "wall", "concrete-block", "insulated-"]) >= 15);
    assert!(count(&["floor", "roof", "slab", "ceiling-"]) >= 8);
    for id in [
        "door-hollow-core",
        "door-solid-timber",
        "door-steel-insulated",
        "door-foil-faced",
        "door-glass",
        "window-single",
        "window-double",
        "window-triple",
        "window-double-low-e",
        "stud-partition-wood-89",
        "brick-cavity-insulated",
        "joist-floor-plaster-ceiling",
    ] {
        assert!(building::library::assembly(id).is_some(), "{id}");
    }
}

/// A layer as deep as a stud or a joist that is wood throughout would be a solid wall of wood.
#[test]
fn framing_is_never_a_solid_slab() {
    for a in assemblies().iter().filter(|a| a.id.as_str().starts_with("stud") || a.id.as_str().starts_with("joist")) {
        assert!(a.layers.iter().any(|l| l.framing.is_some()), "{}", a.id);
        for l in &a.layers {
            let solid_wood = l.framing.is_none() && l.material.as_str() == "wood";
            assert!(!(solid_wood && l.thickness.0 > 0.03), "{}", a.id);
        }
    }
}

#[test]
fn the_building_s_own_come_first() {
    let mut own_material = material("brick").unwrap().clone();
    own_material.name = "own".into();
    let mut own_assembly = building::library::assembly("window-single").unwrap().clone();
    own_assembly.name = "own".into();
    let b = Building { materials: vec![own_material], assemblies: vec![own_assembly], ..Building::default() };
    let id = Id::from_label;
    assert_eq!(find_material(&b, &id("brick")).unwrap().name, "own");
    assert_eq!(find_assembly(&b, &id("window-single")).unwrap().name, "own");
    assert_eq!(find_material(&b, &id("glass")).unwrap().name, "Glass");
    assert!(find_material(&b, &id("nothing")).is_none() && find_assembly(&b, &id("nothing")).is_none());
}
