//! What must be up, as series and parallel branches over components that may be shared between them.

use crate::diagram::Diagram;

/// What must be up: components, all of several, or one of several.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Structure {
    /// The component with this index.
    Part(usize),
    /// All of them; up if there are none.
    All(Vec<Structure>),
    /// At least one of them; down if there are none.
    Any(Vec<Structure>),
}

/// The decision diagram of a structure would need too many nodes ([`crate::MAX_NODES`]).
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
#[error("too many parts are shared in too many ways to be computed exactly")]
pub struct TooComplex;

impl Structure {
    /// Probability that the structure is up, its components being independent and up with the given probabilities.
    ///
    /// A component without a probability counts as down. To ask more than once, keep the [`Diagram`].
    ///
    /// # Errors
    /// [`TooComplex`] if its diagram is too large.
    ///
    /// # Example
    /// ```
    /// use resilience::Structure::{All, Any, Part};
    /// // A shared part in series with two parallel ones, written as two whole paths.
    /// let paths = Any(vec![All(vec![Part(0), Part(1)]), All(vec![Part(0), Part(2)])]);
    /// let up = paths.probability(&[0.9, 0.5, 0.5]).unwrap();
    /// assert!((up - 0.9 * 0.75).abs() < 1e-15);
    /// ```
    pub fn probability(&self, up: &[f64]) -> Result<f64, TooComplex> {
        Diagram::of(self).map(|d| d.probability(up))
    }

    /// The components that occur, each once, rising.
    #[must_use]
    pub fn components(&self) -> Vec<usize> {
        let mut all = Vec::new();
        self.collect(&mut all);
        all.sort_unstable();
        all.dedup();
        all
    }

    /// True if the structure is up with the given components up.
    #[must_use]
    pub fn holds(&self, is_up: &dyn Fn(usize) -> bool) -> bool {
        match self {
            Self::Part(component) => is_up(*component),
            Self::All(all) => all.iter().all(|s| s.holds(is_up)),
            Self::Any(any) => any.iter().any(|s| s.holds(is_up)),
        }
    }

    /// Components without which the structure is down though all others are up.
    #[must_use]
    pub fn single_points(&self) -> Vec<usize> {
        self.components().into_iter().filter(|&c| !self.holds(&|other| other != c)).collect()
    }

    fn collect(&self, into: &mut Vec<usize>) {
        match self {
            Self::Part(component) => into.push(*component),
            Self::All(parts) | Self::Any(parts) => parts.iter().for_each(|s| s.collect(into)),
        }
    }
}
