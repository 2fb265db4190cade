//! The floor table: the one place that says on which floor a crate stands. `layers` holds the manifests to it and
//! `map` holds ARCHITECTURE.md to it.

/// A crate's place in the building.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Place {
    /// The crate's name.
    pub name: &'static str,
    /// It may use crates of lower floors only, never those of its own floor.
    pub floor: i8,
    /// Whether it may touch files, sockets, the clock and the environment.
    pub may_do_io: bool,
}

const fn engine(floor: i8, name: &'static str) -> Place {
    Place { name, floor, may_do_io: false }
}

const fn edge(floor: i8, name: &'static str) -> Place {
    Place { name, floor, may_do_io: true }
}

/// Every crate of the design. Those without content yet have their floor already, so that the first line of a new
/// crate is held to it.
pub const FLOORS: [Place; 26] = [
    // `units` stands below the ground floor because a finding has a place on a plan, which is a pair of lengths.
    engine(-1, "units"),
    engine(0, "findings"),
    engine(1, "building"),
    engine(1, "site"),
    engine(1, "radio-profile"),
    engine(2, "household"),
    engine(2, "equipment"),
    engine(3, "network"),
    engine(4, "job"),
    // `ifc` is an engine like any other: it is given the text of a model and reads no file.
    engine(5, "ifc"),
    engine(5, "propagation"),
    engine(5, "wlan"),
    engine(5, "cabling"),
    engine(5, "resilience"),
    engine(5, "addressing"),
    engine(6, "traffic"),
    engine(6, "cost"),
    engine(7, "assessment"),
    engine(8, "planner"),
    engine(8, "commissioning"),
    engine(8, "diagnosis"),
    edge(8, "rehearsal"),
    engine(9, "documents"),
    edge(9, "store"),
    edge(10, "server"),
    // The program starts the server, so it stands above it.
    edge(11, "cli"),
];

/// Members that stand beside the building: they may use anything, and nothing may use them.
pub const BESIDE: [&str; 1] = ["xtask"];

/// The place of a crate, if it has one.
pub fn place_of(name: &str) -> Option<Place> {
    FLOORS.into_iter().find(|place| place.name == name)
}
