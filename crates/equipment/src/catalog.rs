//! The built-in parts and the job's own, merged.

use std::collections::{BTreeMap, BTreeSet};

use findings::Id;

use crate::builtin::catalog;
use crate::check::{PartProblem, check_part};
use crate::part::{Part, PartKind};

/// All parts that a job can use: the built-in ones, then the job's own; a job's part with a built-in id replaces it
/// in its place. The order is always the same.
#[derive(Clone, Debug)]
pub struct Catalog {
    parts: Vec<Part>,
    index: BTreeMap<Id, usize>,
}

impl Catalog {
    /// The built-in parts alone.
    #[must_use]
    pub fn builtin() -> Self {
        let parts = catalog().to_vec();
        let index = parts.iter().enumerate().map(|(i, p)| (p.id.clone(), i)).collect();
        Self { parts, index }
    }

    /// The built-in parts and the job's own.
    ///
    /// # Errors
    /// Every problem of the job's own parts: figures that cannot be used, and ids given twice among them.
    pub fn with(own: &[Part]) -> Result<Self, Vec<PartProblem>> {
        let mut merged = Self::builtin();
        let mut problems = Vec::new();
        let mut seen = BTreeSet::new();
        for part in own {
            problems.extend(check_part(part));
            if !seen.insert(&part.id) {
                problems.push(PartProblem {
                    part: part.id.clone(),
                    field: "id".into(),
                    message: "two parts of the job have this id; rename one".into(),
                });
                continue;
            }
            match merged.index.get(&part.id) {
                Some(&at) => merged.parts[at] = part.clone(),
                None => {
                    merged.index.insert(part.id.clone(), merged.parts.len());
                    merged.parts.push(part.clone());
                }
            }
        }
        if problems.is_empty() { Ok(merged) } else { Err(problems) }
    }

    /// The part with an id.
    #[must_use]
    pub fn get(&self, id: &Id) -> Option<&Part> {
        self.index.get(id).and_then(|&at| self.parts.get(at))
    }

    /// All parts, always in the same order.
    pub fn iter(&self) -> impl Iterator<Item = &Part> {
        self.parts.iter()
    }

    /// All parts of a kind, always in the same order.
    pub fn of_kind(&self, kind: PartKind) -> impl Iterator<Item = &Part> {
        self.parts.iter().filter(move |p| p.kind == kind)
    }

    /// The known id that reads most like an unknown one, if any reads much like it.
    ///
    /// # Example
    /// ```
    /// let catalog = equipment::Catalog::builtin();
    /// let near = catalog.nearest(&"ap-ax-2x2-celing".parse().unwrap());
    /// assert_eq!(near.unwrap().as_str(), "ap-ax-2x2-ceiling");
    /// ```
    #[must_use]
    pub fn nearest(&self, id: &Id) -> Option<&Id> {
        let likeness = |p: &Part| strsim::jaro_winkler(p.id.as_str(), id.as_str());
        // The first of equals wins, so that the answer does not depend on how the maximum is searched.
        let mut best: Option<(f64, &Id)> = None;
        for part in &self.parts {
            let this = likeness(part);
            if this >= 0.75 && best.is_none_or(|(most, _)| this > most) {
                best = Some((this, &part.id));
            }
        }
        best.map(|(_, id)| id)
    }
}

impl Default for Catalog {
    fn default() -> Self {
        Self::builtin()
    }
}
