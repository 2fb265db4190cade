//! Bad input: an error that says what is wrong and where, never a panic.

mod common;

use common::{METRE, Model, cottage, file};
use findings::{Cancelled, NoProgress, Progress};
use ifc::{ImportError, Limits, Options, StepError, dwellings, read};
use proptest::prelude::*;

fn import(bytes: &[u8]) -> Result<ifc::Import, ImportError> {
    read(bytes, None, &Options { dwelling: Some("1".to_owned()), ..Options::default() }, &NoProgress)
}

fn refused(text: &str, wanted: &str) {
    let error = import(text.as_bytes()).expect_err(wanted).to_string();
    assert!(error.contains(wanted), "`{wanted}` expected in: {error}");
}

fn house(name: &str) -> Vec<u8> {
    std::fs::read(format!("{}/../../demo/two-dwelling-house/{name}", env!("CARGO_MANIFEST_DIR"))).unwrap()
}

#[test]
fn every_truncation_is_refused_with_its_line() {
    let text = cottage("IFC4", METRE, 1.).finish();
    let end = text.rfind("END-ISO-10303-21;").unwrap() + "END-ISO-10303-21".len();
    for n in 0..end {
        let error = import(&text.as_bytes()[..n]).expect_err("cut off");
        assert!(matches!(error, ImportError::Step(_)), "{n}: {error}");
    }
    assert!(import(text.trim_end().as_bytes()).is_ok());
    let error = import(&text.as_bytes()[..text.len() / 2]).unwrap_err().to_string();
    assert!(error.starts_with("line ") && error.contains("cut off"), "{error}");
}

#[test]
fn truncations_of_the_house_are_refused() {
    let bytes = house("architecture.ifc");
    for n in (0..20).map(|k| bytes.len() * k / 20 + 7 * k) {
        assert!(matches!(import(&bytes[..n]), Err(ImportError::Step(_))), "{n}");
    }
}

#[test]
fn what_is_no_ifc_file_is_named() {
    refused("", "not an IFC file");
    refused("PK\u{3}\u{4}zipped", "not an IFC file in STEP form: it starts with `PK..zipped`");
    refused("<?xml version='1.0'?>", "zipped or XML");
    refused(&"\u{0}\u{1}\u{2}".repeat(1000), "not an IFC file");
    refused("ISO-10303-21;\nHEADER;\nrubbish", "line 3");
}

#[test]
fn other_schemas_are_named() {
    refused(&file("AUTOMOTIVE_DESIGN", ""), "`AUTOMOTIVE_DESIGN`; IFC2X3 and IFC4 are read");
    refused(&file("IFC2X2_FINAL", ""), "`IFC2X2_FINAL`");
}

#[test]
fn a_model_without_walls_is_refused() {
    refused(&file("IFC4", ""), "no walls");
    let mut m = Model::new("IFC4", METRE);
    m.space("1", "Living", [0., 0.], [4., 4.], 2.5);
    refused(&m.finish(), "no walls");
}

#[test]
fn syntax_errors_name_their_line() {
    let data = |text: &str| file("IFC4", &format!("#1=IFCSIUNIT(*,.LENGTHUNIT.,$,.METRE.);\n{text}\n"));
    // The header has 6 lines, the unit is on line 8.
    refused(&data("#2=IFCWALL('a',$"), "line 10: `,` or `)` expected");
    refused(&data("#2=IFCWALL('a);"), "line 9: a text `'` is not closed");
    refused(&data("#2 IFCWALL('a');"), "line 9: `=` expected after `#2`");
    refused(&data("#2=IFCWALL(1.5.2);"), "line 9: `1.5.2` is not a number");
    refused(&data("#2=IFCCARTESIANPOINT((1e999,0.));"), "line 9: `1e999` is too large");
    refused(&data("#2=IFCCARTESIANPOINT((-1.E+400,0.));"), "too large");
    refused(&data("#2=IFCCARTESIANPOINT((NaN,0.));"), "line 9");
    refused(&data("#99999999999999999999=IFCWALL();"), "line 9: an instance number is too large");
    refused(&data("#2=IFCX(123456789012345678901234567890);"), "not an integer");
    refused(&data("/* never closed"), "comment");
    refused(&data("#2=IFCX(.T);"), "`.` expected after an enumeration value");
    refused(&data(&format!("#2=IFCX({});", "(".repeat(10_000))), "nested more than 32 deep");
    refused(&data(&format!("#2=IFCX({});", "A(".repeat(100_000))), "nested more than 32 deep");
}

#[test]
fn doubled_instances_name_both_lines() {
    refused(
        &file("IFC4", "#1=IFCX();\n#2=IFCX();\n#1=IFCY();\n"),
        "line 10: instance `#1` is defined twice (first on line 8)",
    );
    // Sparse numbers take another way to the same answer.
    refused(&file("IFC4", "#1000000000=IFCX();\n#1000000000=IFCY();\n"), "defined twice");
}

#[test]
fn comments_binaries_complex_instances_and_sections_are_read_over() {
    let text = cottage("IFC2X3", METRE, 1.).finish();
    let more = "/* a comment with #1=IFC( */\n#8000=(A(1)B('x',(2,3)));\n#8001=IFCX(\"0FF\",IFCLABEL('it''s'),.UNKNOWN.,#9999);\nENDSEC;\nEND-ISO";
    let text = text.replacen("ENDSEC;\nEND-ISO", more, 1);
    let import = import(text.as_bytes()).unwrap();
    assert!(import.report.left_out.iter().any(|e| e.what == "references"), "#9999 is not in the file");
}

#[test]
fn circles_are_found() {
    // Placements.
    let mut m = cottage("IFC4", METRE, 1.);
    let axes = m.add("IFCAXIS2PLACEMENT3D(#12,$,$)");
    m.text.push_str(&format!("#7000=IFCLOCALPLACEMENT(#7001,#{axes});\n#7001=IFCLOCALPLACEMENT(#7000,#{axes});\n"));
    let body = m.prism(&[[0., 0.], [1., 0.], [1., 1.], [0., 1.]], 1.);
    let shape = m.representation("Body", body);
    let wall = m.product("IFCWALL", "wall", 7000, &[shape], ",$,$");
    m.contain(wall);
    refused(&m.finish(), "placements that `#7");
    // A chain that is longer than any model needs.
    let mut m = cottage("IFC4", METRE, 1.);
    let mut place = m.place([0., 0., 0.], 0.);
    for _ in 0..100 {
        place = m.add(format!("IFCLOCALPLACEMENT(#{place},#13)"));
    }
    let wall = m.product("IFCWALL", "wall", place, &[shape], ",$,$");
    m.contain(wall);
    refused(&m.finish(), "in a circle or nest too deep");
    // Mapped items, boolean results and composite curves.
    for (text, item) in [
        (
            "#7001=IFCREPRESENTATIONMAP(#13,#7002);\n#7002=IFCSHAPEREPRESENTATION($,'Body','',(#7000));\n#7003=IFCCARTESIANTRANSFORMATIONOPERATOR3D($,$,#12,1.,$);\n#7000=IFCMAPPEDITEM(#7001,#7003);\n",
            7000,
        ),
        ("#7000=IFCBOOLEANRESULT(.UNION.,#7000,#7000);\n", 7000),
        ("#7000=IFCCSGSOLID(#7000);\n", 7000),
        (
            "#7000=IFCEXTRUDEDAREASOLID(#7001,#13,$,1.);\n#7001=IFCARBITRARYCLOSEDPROFILEDEF(.AREA.,$,#7002);\n#7002=IFCCOMPOSITECURVE((#7003),.F.);\n#7003=IFCCOMPOSITECURVESEGMENT(.CONTINUOUS.,.T.,#7002);\n",
            7000,
        ),
        ("#7000=IFCEXTRUDEDAREASOLID(#7001,#13,$,1.);\n#7001=IFCDERIVEDPROFILEDEF(.AREA.,$,#7001,$,$);\n", 7000),
    ] {
        let mut m = cottage("IFC4", METRE, 1.);
        m.text.push_str(text);
        let shape = m.representation("Body", item);
        let place = m.place([0., 0., 0.], 0.);
        let wall = m.product("IFCWALL", "wall", place, &[shape], ",$,$");
        m.contain(wall);
        refused(&m.finish(), "shapes that `#7");
    }
    // Containment and units.
    let mut m = cottage("IFC4", METRE, 1.);
    m.text.push_str("#92=IFCRELAGGREGATES('x',$,$,$,#93,(#94));\n#95=IFCRELAGGREGATES('x',$,$,$,#94,(#93));\n#93=IFCBUILDING('b',$,$,$,$,$,$,$,.ELEMENT.,$,$,$);\n#94=IFCSITE('s',$,$,$,$,$,$,$,.ELEMENT.,$,$,$,$,$);\n");
    assert!(import(m.finish().as_bytes()).is_ok());
    refused(&cottage("IFC4", "#1=IFCCONVERSIONBASEDUNIT($,.LENGTHUNIT.,'x',#2);\n#2=IFCMEASUREWITHUNIT(IFCLENGTHMEASURE(0.),#3);\n#3=IFCSIUNIT(*,.LENGTHUNIT.,$,.METRE.);", 1.).finish(), "length unit is 0");
    assert!(
        import(
            cottage(
                "IFC4",
                "#1=IFCCONVERSIONBASEDUNIT($,.LENGTHUNIT.,'x',#2);\n#2=IFCMEASUREWITHUNIT(IFCLENGTHMEASURE(1.),#1);",
                1.
            )
            .finish()
            .as_bytes()
        )
        .is_ok()
    );
}

#[test]
fn doubling_parts_are_stopped() {
    // Thirty maps, each of the one before it twice: a thousand million boxes.
    let mut m = cottage("IFC4", METRE, 1.);
    let mut item = m.prism(&[[0., 0.], [1., 0.], [1., 1.], [0., 1.]], 1.);
    let operator = m.add("IFCCARTESIANTRANSFORMATIONOPERATOR3D($,$,#12,1.,$)");
    for _ in 0..28 {
        let mapped = m.add(format!("IFCSHAPEREPRESENTATION($,'Body','',(#{item},#{item}))"));
        let map = m.add(format!("IFCREPRESENTATIONMAP(#13,#{mapped})"));
        item = m.add(format!("IFCMAPPEDITEM(#{map},#{operator})"));
    }
    let shape = m.representation("Body", item);
    let place = m.place([0., 0., 0.], 0.);
    let wall = m.product("IFCWALL", "wall", place, &[shape], ",$,$");
    m.contain(wall);
    refused(&m.finish(), "repeats its parts");
}

#[test]
fn absurd_sizes_are_left_out_or_found_by_validation() {
    // A wall of 1 µm and one of 10 km beside a cottage.
    let mut m = cottage("IFC4", METRE, 1.);
    m.wall([0., 2.], 0., 1e-6, 0.1, 2.5);
    let import = m.read().unwrap();
    assert!(import.report.left_out.iter().any(|e| e.what == "walls" && e.why.contains("1 mm")));
    let mut m = Model::new("IFC4", METRE);
    m.wall([0., 0.], 0., 10_000., 0.3, 2.5);
    let home = m.read().unwrap().building;
    assert!(building::validate(&home).iter().any(|f| f.rule == "building.absurd-size"));
    // A wall cut down to half a micrometre; a fuzzer found that its height became zero.
    let mut m = cottage("IFC4", METRE, 1.);
    let solid = m.prism(&[[0., -0.1], [4., -0.1], [4., 0.1], [0., 0.1]], 3.);
    let (p, z) = (m.point(&[0., 0., 5e-7]), m.direction(&[0., 0., -1.]));
    let axes = m.add(format!("IFCAXIS2PLACEMENT3D(#{p},#{z},$)"));
    let plane = m.add(format!("IFCPLANE(#{axes})"));
    let half = m.add(format!("IFCHALFSPACESOLID(#{plane},.T.)"));
    let item = m.add(format!("IFCBOOLEANCLIPPINGRESULT(.DIFFERENCE.,#{solid},#{half})"));
    let shape = m.representation("Body", item);
    let place = m.place([0., 2., 0.], 0.);
    let wall = m.product("IFCWALL", "wall", place, &[shape], ",$,$");
    m.contain(wall);
    let import = m.read().unwrap();
    assert!(import.report.left_out.iter().any(|e| e.what == "walls" && e.why.contains("lower than 1 mm")));
    // Coordinates at the end of the numbers.
    let mut m = cottage("IFC4", METRE, 1.);
    m.wall([1e300, 0.], 0., 1e300, 1e300, 1e300);
    let import = m.read().unwrap();
    assert!(import.report.left_out.iter().any(|e| e.what == "walls" && e.why.contains("beyond")));
}

#[test]
fn damaged_attributes_leave_out_what_they_belong_to() {
    // Every instance of the cottage in turn loses its parameters, or gets them from another.
    let text = cottage("IFC4", METRE, 1.).finish();
    let lines: Vec<&str> = text.lines().collect();
    for (n, line) in lines.iter().enumerate().filter(|(_, l)| l.starts_with('#')) {
        let name = line.split('(').next().unwrap();
        for damage in [
            "()",
            "($,$,$,$,$,$,$,$,$,$)",
            "(#12,#12,#12,#12,#12,#12,#12,#12,#12)",
            "((1.,2.),(#10),'x',.T.,5)",
            "(-1.,-1,0.,0,-1.E300,1.E300)",
        ] {
            let mut copy = lines.clone();
            let broken = format!("{name}{damage};");
            copy[n] = &broken;
            // Whatever comes out, it is no panic.
            let _ = import(copy.join("\n").as_bytes());
        }
    }
}

#[test]
fn limits_are_stated() {
    let text = cottage("IFC4", METRE, 1.).finish();
    let with = |limits: Limits| read(text.as_bytes(), None, &Options { dwelling: None, limits }, &NoProgress);
    let bytes = with(Limits { bytes: 1000, ..Limits::default() });
    assert!(matches!(bytes, Err(ImportError::Step(StepError::TooLarge { limit: 1000, .. }))));
    assert!(bytes.unwrap_err().to_string().contains("limit of 1000"));
    let instances = with(Limits { instances: 10, ..Limits::default() });
    assert!(matches!(instances, Err(ImportError::Step(StepError::TooLarge { limit: 10, .. }))));
    assert!(dwellings(text.as_bytes(), Limits { bytes: 0, ..Limits::default() }).is_err());
}

#[test]
fn two_hundred_megabytes_are_read() {
    // Points that nothing uses, between the cottage and the end.
    let text = cottage("IFC4", METRE, 1.).finish();
    let (head, tail) = text.split_at(text.rfind("ENDSEC;").unwrap());
    let mut bytes = head.as_bytes().to_vec();
    let mut n = 1_000_000;
    while bytes.len() < 200_000_000 {
        bytes.extend_from_slice(
            format!("#{n}=IFCCARTESIANPOINT((123.4567890123,-987.6543210987,0.0000012345));/* a remark */\n")
                .as_bytes(),
        );
        n += 1;
    }
    bytes.extend_from_slice(tail.as_bytes());
    assert!(import(&bytes).is_ok());
    bytes.resize(300_000_000, b' ');
    assert!(matches!(import(&bytes), Err(ImportError::Step(StepError::TooLarge { .. }))));
}

#[test]
fn errors_of_the_electrical_model_say_so() {
    let text = cottage("IFC4", METRE, 1.).finish();
    let error = read(text.as_bytes(), Some(b"rubbish"), &Options::default(), &NoProgress).unwrap_err();
    assert!(error.to_string().starts_with("in the electrical model: this is not an IFC file"), "{error}");
}

#[test]
fn a_cancelled_import_stops() {
    struct Stop;
    impl Progress for Stop {
        fn step(&self, _: &str, done: u64, _: u64) -> Result<(), Cancelled> {
            if done > 1 { Err(Cancelled) } else { Ok(()) }
        }
    }
    let text = cottage("IFC4", METRE, 1.).finish();
    assert_eq!(read(text.as_bytes(), None, &Options::default(), &Stop).unwrap_err(), ImportError::Cancelled(Cancelled));
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, failure_persistence: None, ..ProptestConfig::default() })]

    /// Bytes of the house changed at random places: an import or an error, never a panic.
    #[test]
    fn changed_bytes_of_the_house_never_panic(changes in prop::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 1..30)) {
        let mut bytes = house("architecture.ifc");
        for (at, byte) in &changes {
            let at = at.index(bytes.len());
            bytes[at] = *byte;
        }
        let _ = import(&bytes);
    }

    /// Digits of the house changed: references that lead elsewhere, sizes that are wrong, but syntax that holds.
    #[test]
    fn changed_digits_of_the_house_never_panic(changes in prop::collection::vec((any::<prop::sample::Index>(), 0u8..10), 1..400)) {
        let mut bytes = house("architecture.ifc");
        for (at, digit) in &changes {
            let start = at.index(bytes.len());
            if let Some(n) = bytes[start..].iter().position(u8::is_ascii_digit) {
                bytes[start + n] = b'0' + digit;
            }
        }
        let _ = import(&bytes);
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 1000, failure_persistence: None, ..ProptestConfig::default() })]

    /// The same on a small model, where each change hits something.
    #[test]
    fn changed_digits_of_a_cottage_never_panic(changes in prop::collection::vec((any::<prop::sample::Index>(), 0u8..10), 1..40)) {
        let mut bytes = cottage("IFC2X3", METRE, 1.).finish().into_bytes();
        for (at, digit) in &changes {
            let start = at.index(bytes.len());
            if let Some(n) = bytes[start..].iter().position(u8::is_ascii_digit) {
                bytes[start + n] = b'0' + digit;
            }
        }
        let _ = import(&bytes);
    }

    /// Any bytes at all.
    #[test]
    fn any_bytes_never_panic(bytes in prop::collection::vec(any::<u8>(), 0..400)) {
        let mut text = b"ISO-10303-21;HEADER;FILE_SCHEMA(('IFC4'));ENDSEC;DATA;".to_vec();
        text.extend_from_slice(&bytes);
        prop_assert!(import(&bytes).is_err());
        let _ = import(&text);
    }
}
