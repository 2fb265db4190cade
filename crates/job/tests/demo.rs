//! The demo homes are sound, fit the schema, and survive both encodings.

use job::{Encoding, parse, print, schema, validate};

#[test]
fn the_demo_homes_are_sound() {
    let validator = jsonschema::draft202012::new(&schema()).unwrap();
    for (name, text, rooms, area) in [
        ("cottage", include_str!("../../../demo/cottage/job.toml"), 7, (100.0, 111.0)),
        ("two-storey", include_str!("../../../demo/two-storey/job.toml"), 12, (160.0, 184.0)),
        ("two-storey-basement", include_str!("../../../demo/two-storey-basement/job.toml"), 16, (240.0, 276.0)),
    ] {
        let job = parse(text, Encoding::Toml).unwrap_or_else(|e| panic!("{name}: {e}"));
        let findings = validate(&job);
        let messages: Vec<String> = findings.iter().map(|f| format!("{}: {}", f.rule, f.message)).collect();
        assert!(findings.is_empty(), "{name}: {messages:#?}");
        let resolved = building::Resolved::new(&job.building).unwrap();
        assert_eq!(resolved.rooms.len(), rooms, "{name}");
        // Rooms inside the walls: less than the outline of the home, most of it.
        let sum: f64 = resolved.rooms.iter().map(|room| room.area).sum();
        assert!(area.0 < sum && sum < area.1, "{name}: {sum} m²");
        let by_hand = serde_json::to_value(text.parse::<toml::Table>().unwrap()).unwrap();
        assert!(validator.is_valid(&by_hand), "{name}");
        for encoding in [Encoding::Toml, Encoding::Json] {
            assert_eq!(parse(&print(&job, encoding).unwrap(), encoding).unwrap(), job, "{name}");
        }
    }
}
