//! What a service needs while the runtimes that matter are still being gathered: as a [`Structure`], but with outages
//! that are outlasted for a time.

use crate::structure::Structure;

/// What must be up.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Need {
    /// A component.
    Part(usize),
    /// No outage of a cause is on that has gone on for longer than a time [s].
    Supply { cause: usize, ride: f64 },
    /// All of them.
    All(Vec<Need>),
    /// One of them.
    Any(Vec<Need>),
}

impl Need {
    /// Nothing is needed.
    pub const NOTHING: Self = Self::All(Vec::new());

    /// All of several, those that are all of several themselves taken apart.
    pub fn all(needs: Vec<Need>) -> Self {
        let mut flat = Vec::with_capacity(needs.len());
        for need in needs {
            match need {
                Self::All(inner) => flat.extend(inner),
                other => flat.push(other),
            }
        }
        if flat.len() == 1 { flat.swap_remove(0) } else { Self::All(flat) }
    }

    /// One of several; the only one if there is one.
    pub fn any(mut needs: Vec<Need>) -> Self {
        if needs.len() == 1 { needs.swap_remove(0) } else { Self::Any(needs) }
    }

    /// Adds the times for which each cause is outlasted.
    pub fn rides(&self, into: &mut [Vec<f64>]) {
        match self {
            Self::Part(_) => {}
            Self::Supply { cause, ride } => {
                if let Some(rides) = into.get_mut(*cause) {
                    rides.push(*ride);
                }
            }
            Self::All(needs) | Self::Any(needs) => needs.iter().for_each(|n| n.rides(into)),
        }
    }

    /// The structure, with the component of each level of each cause: a supply outlasted for a time is up if no component
    /// of that level or a longer one is down.
    pub fn structure(&self, levels: &[Vec<(f64, usize)>]) -> Structure {
        match self {
            Self::Part(component) => Structure::Part(*component),
            Self::Supply { cause, ride } => {
                let longer = levels.get(*cause).into_iter().flatten().filter(|level| level.0 >= *ride);
                Structure::All(longer.map(|level| Structure::Part(level.1)).collect())
            }
            Self::All(needs) => {
                // All of all is one level: plain components stand together.
                let mut flat = Vec::with_capacity(needs.len());
                for need in needs {
                    match need.structure(levels) {
                        Structure::All(inner) => flat.extend(inner),
                        other => flat.push(other),
                    }
                }
                Structure::All(flat)
            }
            Self::Any(needs) => Structure::Any(needs.iter().map(|n| n.structure(levels)).collect()),
        }
    }
}
