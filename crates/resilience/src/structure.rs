//! Exact availability of a structure whose components may be shared between its branches.

/// Most components that may occur more than once in one structure.
pub const MAX_REPEATED: usize = 20;

/// What must be up: components, all of several, or one of several.
#[derive(Clone, Debug, PartialEq)]
pub enum Structure {
    /// The component with this index.
    Part(usize),
    /// All of them; up if there are none.
    All(Vec<Structure>),
    /// At least one of them; down if there are none.
    Any(Vec<Structure>),
}

/// More than [`MAX_REPEATED`] components are shared between branches.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{0} components are shared between branches; up to {MAX_REPEATED} are computed exactly")]
pub struct TooComplex(pub usize);

impl Structure {
    /// Probability that the structure is up, its components being independent and up with the given probabilities.
    ///
    /// # Model
    /// Without a component that occurs twice, series multiply and parallels multiply their complements. Components that
    /// occur more than once are conditioned on one after the other (factoring), which is exact.
    ///
    /// # Errors
    /// [`TooComplex`] if too many components occur more than once. A component without a probability counts as down.
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
        let repeated = self.repeated();
        if repeated.len() > MAX_REPEATED {
            return Err(TooComplex(repeated.len()));
        }
        Ok(self.factored(&mut up.to_vec(), &repeated))
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

    fn repeated(&self) -> Vec<usize> {
        let mut all = Vec::new();
        self.collect(&mut all);
        all.sort_unstable();
        let mut repeated: Vec<usize> = all.windows(2).filter(|w| w[0] == w[1]).map(|w| w[0]).collect();
        repeated.dedup();
        repeated
    }

    fn factored(&self, up: &mut Vec<f64>, repeated: &[usize]) -> f64 {
        let Some((&component, rest)) = repeated.split_first() else { return self.independent(up) };
        let Some(&probability) = up.get(component) else { return self.factored(up, rest) };
        // A component that is certain needs no branch.
        let mut whole = 0.0;
        for (state, weight) in [(1.0, probability), (0.0, 1.0 - probability)] {
            if weight > 0.0 {
                up[component] = state;
                whole += weight * self.factored(up, rest);
            }
        }
        up[component] = probability;
        whole
    }

    /// Holds where every component that occurs twice is certain.
    fn independent(&self, up: &[f64]) -> f64 {
        match self {
            Self::Part(component) => up.get(*component).copied().unwrap_or(0.0),
            Self::All(all) => all.iter().map(|s| s.independent(up)).product(),
            Self::Any(any) => 1.0 - any.iter().map(|s| 1.0 - s.independent(up)).product::<f64>(),
        }
    }
}
