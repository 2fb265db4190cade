//! The demo homes, which the program carries with it.

use job::{Encoding, Job};

use crate::problem::{self, Problem};

/// A demo home.
#[derive(Clone, Copy, Debug)]
pub struct Demo {
    /// Id: the name of its folder under `demo/`.
    pub id: &'static str,
    text: &'static str,
}

macro_rules! demos {
    ($($id:literal),* $(,)?) => {
        [$(Demo { id: $id, text: include_str!(concat!("../../../demo/", $id, "/job.toml")) }),*]
    };
}

/// All of them, in the order in which they are shown.
pub const DEMOS: [Demo; 8] = demos![
    "three-generation-terrace",
    "top-floor-rental",
    "semi-detached-garden-office",
    "barn-conversion",
    "flat-with-party-wall",
    "bungalow-with-alarms",
    "split-level",
    "studio",
];

impl Demo {
    /// The demo home with an id.
    pub fn find(id: &str) -> Result<Self, Problem> {
        DEMOS.into_iter().find(|demo| demo.id == id).ok_or_else(|| {
            let known = DEMOS.map(|demo| demo.id).join(", ");
            let id: String = id.chars().take(80).collect();
            Problem::of_field(problem::MISSING, "id", format!("there is no demo home `{id}`; there are {known}"))
        })
    }

    /// Its job.
    pub fn job(self) -> Result<Job, Problem> {
        job::parse(self.text, Encoding::Toml).map_err(|e| Problem::internal(&format!("demo home {}: {e}", self.id)))
    }

    /// What a store's log says of a copy of it.
    pub fn label(self) -> String {
        format!("Demo home {}", self.id)
    }
}

/// What is special about a demo home: the first of its notes.
pub fn summary(job: &Job) -> String {
    job.notes.first().cloned().unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_demo_home_is_sound_and_says_what_it_is() {
        for demo in DEMOS {
            let job = demo.job().unwrap();
            let failing: Vec<_> =
                job::validate(&job).into_iter().filter(|f| f.severity <= findings::Severity::Fails).collect();
            assert!(failing.is_empty(), "{}: {failing:?}", demo.id);
            assert!(summary(&job).len() > 20, "{}", demo.id);
        }
    }
}
