//! Kinds of work with their median times, and the list of what has to be done.

use equipment::Access;

/// A kind of work.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Task {
    /// What is done.
    pub name: &'static str,
    /// Median time of one, in the open, of all people together [min] (common practice, no source).
    pub minutes: f64,
    /// True if it takes longer where cables are hard to get in.
    pub by_access: bool,
    /// True if two people do it together.
    pub by_two: bool,
}

const fn task(name: &'static str, minutes: f64) -> Task {
    Task { name, minutes, by_access: false, by_two: false }
}

impl Task {
    const fn by_access(self) -> Task {
        Task { by_access: true, ..self }
    }
    const fn by_two(self) -> Task {
        Task { by_two: true, ..self }
    }
}

pub(crate) const PULL_SET_UP: Task = task("Prepare a cable run", 12.0).by_access();
pub(crate) const PULL_METRE: Task = task("Pull cable, by the metre of way", 0.6).by_access().by_two();
pub(crate) const PULL_ALONG: Task = task("Pull further cables with it, by the metre", 0.2).by_access().by_two();
pub(crate) const WALL_HOLE: Task = task("Make a hole through a wall", 5.0).by_access();
pub(crate) const OUTER_HOLE: Task = task("Make a hole to the outside and close it", 15.0).by_access();
pub(crate) const PLATE_HOLE: Task = task("Drill through a wall's plate", 5.0).by_access();
pub(crate) const FLOOR_HOLE: Task = task("Make a hole through a floor", 10.0).by_access();
pub(crate) const JOIST_HOLE: Task = task("Drill through a joist", 2.0).by_access();
pub(crate) const SEAL: Task = task("Seal a hole against fire", 8.0);
pub(crate) const RACEWAY_METRE: Task = task("Fix surface raceway, by the metre", 6.0);
pub(crate) const PIPE_METRE: Task = task("Lay pipe, by the metre", 4.0).by_access();
/// A groove is work in masonry by itself, so its time has the factor in it.
pub(crate) const CHASE_METRE: Task = task("Cut and close a chase, by the metre", 6.0).by_access();
pub(crate) const FACADE_METRE: Task = task("Fix cable on the outside, by the metre", 4.0).by_access().by_two();
pub(crate) const TRENCH_METRE: Task = task("Dig and close a trench by hand, by the metre", 30.0);
pub(crate) const SURGE: Task = task("Fit and bond a surge protector", 25.0);
pub(crate) const OUTLET: Task = task("Fit and terminate an outlet", 20.0);
pub(crate) const JACK: Task = task("Terminate a further jack", 7.0);
pub(crate) const PANEL_END: Task = task("Terminate a cable at the patch panel", 7.0);
pub(crate) const TEST: Task = task("Test and label a cable", 6.0);
pub(crate) const FIT_PANEL: Task = task("Fit a panel", 60.0);
pub(crate) const MOUNT: Task = task("Mount a part on a ceiling or wall", 20.0);
pub(crate) const PLACE: Task = task("Place and connect a part", 10.0);
pub(crate) const PATCH: Task = task("Plug in a cord", 1.0);
pub(crate) const SET_UP_ROUTER: Task = task("Set up a router or gateway", 45.0);
pub(crate) const SET_UP_RADIO: Task = task("Set up an access point", 12.0);
pub(crate) const SET_UP_SWITCH: Task = task("Set up a managed switch", 15.0);
pub(crate) const SET_UP_SEGMENT: Task = task("Set up a segment and its rules", 15.0);
pub(crate) const WALK_ROOM: Task = task("Walk test of a room", 4.0);
pub(crate) const PAPERS: Task = task("Draw up papers as built, by the cable", 4.0);
pub(crate) const HAND_OVER: Task = task("Hand over and explain", 30.0);
pub(crate) const VISIT: Task = task("Travel, protect, clean up, by the person and day", 60.0);
pub(crate) const RETURN_VISIT: Task = task("Come back once the home is lived in", 75.0);

/// Some work: a task, how many times, under which access.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Work {
    /// What is done.
    pub task: Task,
    /// How many times.
    pub quantity: f64,
    /// Under which access, if the task depends on it.
    pub access: Option<Access>,
}

/// Collects work; equal tasks under equal access become one line.
#[derive(Clone, Debug, Default)]
pub(crate) struct WorkList {
    pub lines: Vec<Work>,
}

impl WorkList {
    /// Adds a task some number of times; nothing if that is zero.
    pub fn add(&mut self, task: Task, quantity: f64, access: Access) {
        if !(quantity > 0.0 && quantity.is_finite()) {
            return;
        }
        let access = task.by_access.then_some(access);
        match self.lines.iter_mut().find(|w| w.task.name == task.name && w.access == access) {
            Some(line) => line.quantity += quantity,
            None => self.lines.push(Work { task, quantity, access }),
        }
    }
}
