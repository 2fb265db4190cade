//! Small plans for the tests.
#![allow(dead_code)]

use building::*;
use findings::{Finding, Id, Severity};
use units::{Metres, Point2, SquareMetres};

pub fn id(text: &str) -> Id {
    Id::from_label(text)
}

pub fn storey(name: &str, elevation: f64) -> Storey {
    Storey {
        id: id(name),
        name: name.into(),
        elevation: Metres(elevation),
        height: Metres(2.5),
        usage: StoreyUse::Living,
        model_id: None,
    }
}

/// A 0.2 m solid wall of the test's own assembly.
pub fn wall(name: &str, from: [f64; 2], to: [f64; 2]) -> Wall {
    Wall {
        id: id(name),
        storey: id("ground"),
        from: from.into(),
        to: to.into(),
        assembly: id("plain"),
        kind: WallKind::Inside,
        base: Metres(0.0),
        height: None,
        fire_minutes: None,
        model_id: None,
    }
}

pub fn plain(thickness: f64) -> Assembly {
    Assembly {
        id: id("plain"),
        name: "plain".into(),
        layers: vec![Layer { material: id("brick"), thickness: Metres(thickness), framing: None }],
        source: findings::Source::common_practice(),
    }
}

pub fn door(name: &str, wall: &str, at: f64) -> Opening {
    Opening {
        id: id(name),
        wall: id(wall),
        kind: OpeningKind::Door,
        at: Metres(at),
        width: Metres(0.9),
        height: Metres(2.0),
        sill: Metres(0.0),
        assembly: Some(id("door-hollow-core")),
        model_id: None,
    }
}

pub fn room(name: &str, inside: [f64; 2]) -> Room {
    Room {
        id: id(name),
        name: name.into(),
        storey: id("ground"),
        inside: inside.into(),
        usage: RoomUse::Living,
        outline: None,
        stated_area: None,
        model_id: None,
    }
}

pub fn outlet(name: &str, at: [f64; 2]) -> Outlet {
    Outlet {
        id: id(name),
        kind: OutletKind::Mains,
        storey: id("ground"),
        at: at.into(),
        height: Metres(0.3),
        circuit: None,
        model_id: None,
    }
}

pub fn demarcation(at: [f64; 2]) -> Demarcation {
    Demarcation { storey: id("ground"), at: at.into(), height: Metres(1.0), model_id: None }
}

/// Two rooms of 4 m by 3 m on centre lines, side by side, with a door between: `left` and `right`.
pub fn two_rooms() -> Building {
    Building {
        storeys: vec![storey("ground", 0.0)],
        walls: vec![
            wall("south", [0.0, 0.0], [8.0, 0.0]),
            wall("east", [8.0, 0.0], [8.0, 3.0]),
            wall("north", [8.0, 3.0], [0.0, 3.0]),
            wall("west", [0.0, 3.0], [0.0, 0.0]),
            wall("middle", [4.0, 0.0], [4.0, 3.0]),
        ],
        openings: vec![door("door", "middle", 1.0)],
        rooms: vec![room("left", [2.0, 1.5]), room("right", [6.0, 1.5])],
        outlets: vec![outlet("o1", [0.1, 1.5]), outlet("o2", [7.9, 1.0])],
        demarcation: Some(demarcation([0.2, 0.2])),
        assemblies: vec![plain(0.2)],
        ..Building::default()
    }
}

/// The findings of one rule.
pub fn of_rule(building: &Building, rule: &str) -> Vec<Finding> {
    assert!(RULES.iter().any(|r| r.id == rule), "`{rule}` is not a rule");
    validate(building).into_iter().filter(|f| f.rule == rule).collect()
}

/// Asserts that a rule finds exactly one thing, about `subject`, with `text` in its message, and that it has a remedy.
#[track_caller]
pub fn check(building: &Building, rule: &str, severity: Severity, subject: &str, text: &str) -> Finding {
    let found = of_rule(building, rule);
    assert_eq!(found.len(), 1, "{rule}: {:#?}", validate(building));
    let finding = found.into_iter().next().unwrap();
    assert_eq!(finding.severity, severity);
    assert!(subject.is_empty() || finding.subjects.contains(&id(subject)), "{:?}", finding.subjects);
    assert!(finding.message.contains(text), "{}", finding.message);
    assert!(!finding.remedies.is_empty() && !finding.remedies[0].text.is_empty(), "no remedy");
    assert_eq!(Resolved::new(building).is_err(), severity <= Severity::Fails);
    finding
}

pub fn square(x: f64, y: f64, size: f64) -> Vec<Point2> {
    [[x, y], [x + size, y], [x + size, y + size], [x, y + size]].map(Point2::from).to_vec()
}

pub fn area(value: f64) -> Option<SquareMetres> {
    Some(SquareMetres(value))
}
