//! Whatever is wrong with the input: code 2, a precise message, no panic, nothing half-written.

mod common;

use common::{Folder, TWO_ROOMS, house};

/// Checks a job in which one text was replaced by another.
#[track_caller]
fn refused(from: &str, to: &str, because: &[&str]) {
    assert!(TWO_ROOMS.contains(from), "`{from}` is not in the home");
    let folder = Folder::new();
    folder.write("home.toml", TWO_ROOMS.replacen(from, to, 1));
    folder.run(&["check", "home.toml"]).refused(because);
}

#[test]
fn the_home_itself_is_fine() {
    let folder = Folder::new();
    folder.write("home.toml", TWO_ROOMS);
    let run = folder.run(&["check", "home.toml"]);
    assert!(run.code < 2, "{run:?}");
}

#[test]
fn syntax_errors_of_every_section_name_line_and_column() {
    for (from, to) in [
        ("name = \"Two rooms\"", "name = \"Two rooms"),
        ("currency = \"EUR\"", "currency = = \"EUR\""),
        ("id = \"line-1\"", "id \"line-1\""),
        ("role = \"adult 1\"", "role = adult 1"),
        ("height = 2.5", "height = 2.5.1"),
        ("at = [0.15, 1.0]", "at = [0.15, 1.0"),
    ] {
        let line = TWO_ROOMS[..TWO_ROOMS.find(from).unwrap()].matches('\n').count() + 1;
        let near = [format!("line {line},"), format!("line {},", line + 1)];
        let folder = Folder::new();
        folder.write("home.toml", TWO_ROOMS.replacen(from, to, 1));
        let run = folder.run(&["check", "home.toml"]);
        run.refused(&["home.toml", "line "]);
        assert!(near.iter().any(|n| run.stderr.contains(n.as_str())), "{to}: {}", run.stderr);
    }
}

#[test]
fn unknown_keys_of_every_section_name_the_nearest_known_one() {
    for (from, to, key) in [
        ("name = \"Two rooms\"", "nmae = \"Two rooms\"", "name"),
        ("currency = \"EUR\"", "curency = \"EUR\"", "currency"),
        ("role = \"adult 1\"", "rle = \"adult 1\"", "role"),
        ("busy_share = 0.2", "busy_shar = 0.2", "busy_share"),
        ("elevation = 0.0", "elevatoin = 0.0", "elevation"),
        ("assembly = \"door-hollow-core\"", "asembly = \"door-hollow-core\"", "assembly"),
    ] {
        refused(from, to, &["line ", key]);
    }
}

#[test]
fn json_errors_name_line_and_column() {
    let folder = Folder::new();
    for text in ["{", "{\"format\": \"wallplate/1\", \"name\": }", "[]", "{\"format\": \"wallplate/1\",}", "nul"] {
        folder.write("home.json", text);
        folder.run(&["check", "home.json"]).refused(&["home.json"]);
    }
    folder.write("home.json", "{\n  \"format\": \"wallplate/1\",\n  \"name\": }\n");
    folder.run(&["check", "home.json"]).refused(&["line 3"]);
}

#[test]
fn files_that_are_no_text_or_no_job_are_refused() {
    let folder = Folder::new();
    folder.write("bytes.toml", b"name = \"\xff\xfe\"");
    folder.run(&["check", "bytes.toml"]).refused(&["byte offset 8"]);
    folder.write("empty.toml", "");
    folder.run(&["check", "empty.toml"]).refused(&["format"]);
    folder.write("home.yaml", "a: 1");
    folder.run(&["check", "home.yaml"]).refused(&[".toml", ".json"]);
    folder.write("home.ifc", "x");
    folder.run(&["check", "home.ifc"]).refused(&["import"]);
    folder.run(&["check", "nowhere.toml"]).refused(&["nowhere.toml"]);
    folder.run(&["check", "."]).refused(&["."]);
    folder.run_with(&["check", "-"], "nonsense").refused(&["standard input"]);
}

#[test]
fn other_versions_are_refused_by_name() {
    refused("wallplate/1", "wallplate/7", &["wallplate/7", "newer"]);
    refused("wallplate/1", "something/1", &["something/1"]);
}

#[test]
fn impossible_numbers_are_refused_with_the_element() {
    for bad in ["-2.5", "0.0", "1e300", "10000.0"] {
        refused("height = 2.5", &format!("height = {bad}"), &["ground"]);
    }
    for bad in ["nan", "inf", "-inf"] {
        refused("height = 2.5", &format!("height = {bad}"), &["building.storeys[0].height"]);
    }
    refused("to = [7.5, 0.0]", "to = [nan, 0.0]", &["building.walls[0].to"]);
    refused("to = [7.5, 0.0]", "to = [10000.0, 0.0]", &["w-south"]);
    refused("to = [7.5, 0.0]", "to = [0.0, 0.0]", &["w-south"]);
    refused("busy_share = 0.2", "busy_share = 1.2", &["call"]);
    refused("down = \"500 Mbit/s\"", "down = \"-1 Mbit/s\"", &["line-1"]);
    refused("down = \"500 Mbit/s\"", "down = \"500 furlongs\"", &["line ", "furlongs"]);
}

#[test]
fn a_wall_of_a_micrometre_or_of_ten_kilometres_is_refused() {
    let own = "\n[[building.assemblies]]\nid = \"brick-solid-215\"\nname = \"odd\"\nsource = { kind = \"stated\", cite = \
               \"test\" }\nlayers = [{ material = \"brick\", thickness = THICKNESS }]\n";
    for (thickness, named) in [
        ("1e-6", "brick-solid-215"),
        ("10000.0", "brick-solid-215"),
        ("0.0", "brick-solid-215"),
        ("-0.1", "brick-solid-215"),
        ("nan", "building.assemblies[0].layers[0].thickness"),
    ] {
        let folder = Folder::new();
        folder.write("home.toml", format!("{TWO_ROOMS}{}", own.replace("THICKNESS", thickness)));
        folder.run(&["check", "home.toml"]).refused(&[named]);
    }
}

#[test]
fn broken_references_and_ids_given_twice_are_refused() {
    refused("id = \"w-east\"", "id = \"w-south\"", &["w-south"]);
    refused("assembly = \"stud-partition-wood-89\"", "assembly = \"no-such-wall\"", &["no-such-wall"]);
    refused("wall = \"w-between\"", "wall = \"w-nowhere\"", &["w-nowhere"]);
    refused("device = \"phone\"", "device = \"telephone\"", &["telephone"]);
    refused("room = \"bed\"", "room = \"attic\"", &["attic"]);
    refused("at = 1.0\nwidth = 0.8", "at = 3.4\nwidth = 0.8", &["d1"]);
    refused("country = \"DE\"", "country = \"QQ\"", &["QQ"]);
}

#[test]
fn a_home_without_walls_is_refused() {
    let folder = Folder::new();
    let start = TWO_ROOMS.find("[[building.walls]]").unwrap();
    let end = TWO_ROOMS.find("[[building.outlets]]").unwrap();
    folder.write("home.toml", format!("{}{}", &TWO_ROOMS[..start], &TWO_ROOMS[end..]));
    // The rooms are gone with the walls, so the household has nowhere to be either.
    folder.run(&["check", "home.toml"]).refused(&["home.toml"]);
    folder.run(&["plan", "home.toml"]).refused(&["home.toml"]);
}

#[test]
fn an_emptied_household_is_refused() {
    let folder = Folder::new();
    let start = TWO_ROOMS.find("[[household.people]]").unwrap();
    let end = TWO_ROOMS.find("[building]").unwrap();
    folder.write("home.toml", format!("{}{}", &TWO_ROOMS[..start], &TWO_ROOMS[end..]));
    folder.run(&["plan", "home.toml"]).refused(&["household is empty"]);
    folder.run(&["assess", "home.toml"]).refused(&["household is empty"]);
}

#[test]
fn models_that_cannot_be_read_leave_nothing_behind() {
    let folder = Folder::new();
    let whole = std::fs::read(house("architecture.ifc")).unwrap();
    let cut = &whole[..whole.len() / 2];
    let header = "ISO-10303-21;\nHEADER;\nFILE_DESCRIPTION((''),'2;1');\nFILE_NAME('','',(''),(''),'','','');\nFILE_SCHEMA(('SCHEMA'));\nENDSEC;\nDATA;\n";
    let end = "ENDSEC;\nEND-ISO-10303-21;\n";
    let no_walls = header.replace("SCHEMA'", "IFC4'") + "#1=IFCCARTESIANPOINT((0.,0.));\n" + end;
    let other_schema = header.replace("SCHEMA'", "CONFIG_CONTROL_DESIGN'") + end;
    let circle = header.replace("SCHEMA'", "IFC4'")
        + "#1=IFCLOCALPLACEMENT(#2,$);\n#2=IFCLOCALPLACEMENT(#1,$);\n#3=IFCWALL('0aaaaaaaaaaaaaaaaaaaaa',$,'w',$,$,#1,$,$,$);\n"
        + end;
    let garbage: Vec<u8> = (0..5000_u32).map(|i| (i.wrapping_mul(2_654_435_761) >> 13) as u8).collect();
    let cases: [(&str, &[u8]); 7] = [
        ("truncated", cut),
        ("garbage", &garbage),
        ("empty", b""),
        ("text", b"hello"),
        ("no walls", no_walls.as_bytes()),
        ("schema", other_schema.as_bytes()),
        ("circle", circle.as_bytes()),
    ];
    for (what, bytes) in cases {
        folder.write("bad.ifc", bytes);
        let run = folder.run(&["import", "bad.ifc", "-o", "job.toml"]);
        run.refused(&["bad.ifc: "]);
        assert_eq!(folder.names(), ["bad.ifc"], "{what}: {run:?}");
    }
}

#[test]
fn what_import_is_asked_for_must_exist() {
    let folder = Folder::new();
    let model = house("architecture.ifc").to_str().unwrap().to_owned();
    folder.run(&["import", &model, "--dwelling", "Q", "-o", "job.toml"]).refused(&["`Q`", "A", "B"]);
    folder.run(&["import", &model, "-o", "job.toml"]).refused(&["2 dwellings"]);
    folder.run(&["import", &model, "--dwelling", "A", "-o", "job.xml"]).refused(&[".toml"]);
    folder.run(&["import", &model, "--dwelling", "A", "-o", "no/such/job.toml"]).refused(&["folder"]);
    folder.run(&["import", &model, "--dwelling", "A", "--country", "QQ", "-o", "job.toml"]).refused(&["QQ"]);
    folder.run(&["import", "none.ifc", "-o", "job.toml"]).refused(&["none.ifc"]);
    folder.run(&["import", "plan.dwg", "-o", "job.toml"]).refused(&[".ifc"]);
    assert!(folder.names().is_empty(), "{:?}", folder.names());
    folder.write("job.toml", "mine");
    folder.run(&["import", &model, "--dwelling", "A", "-o", "job.toml"]).refused(&["--force"]);
    assert_eq!(folder.read("job.toml").unwrap(), "mine");
}

#[test]
fn wrong_arguments_are_refused() {
    let folder = Folder::new();
    folder.write("home.toml", TWO_ROOMS);
    folder.run(&[]).refused(&["Usage"]);
    folder.run(&["plan", "home.toml", "--families", "castle"]).refused(&["poe-ceiling"]);
    folder.run(&["plan", "home.toml", "--top", "0"]).refused(&["--top"]);
    folder.run(&["assess", "home.toml", "--design", "none"]).refused(&["`none`"]);
    folder.run(&["rules", "--subject", "colour"]).refused(&["building"]);
}

#[test]
fn failures_are_json_too_where_json_is_asked_for() {
    let folder = Folder::new();
    folder.write("home.toml", TWO_ROOMS.replacen("nmae", "name", 1).replacen("role", "rle", 1));
    let run = folder.run(&["check", "home.toml", "--json"]);
    run.refused(&["role"]);
    let error = &run.json()["error"];
    assert_eq!(error["line"], 21);
    assert!(error["message"].as_str().unwrap().contains("role"), "{error}");
}
