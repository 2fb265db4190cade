//! What an import understood, guessed and left out.

use std::collections::BTreeMap;

use schemars::JsonSchema;
use serde::Serialize;

/// One kind of thing in the report.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Entry {
    /// What it is, such as `walls with material layers`.
    pub what: String,
    /// How many.
    pub count: usize,
    /// The rule of a guess, or why something was left out; empty for what was understood.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub why: String,
    /// Ids in the job where they exist, else ids of the model; the first hundred.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub ids: Vec<String>,
}

impl Entry {
    /// The entry as part of a sentence: what, how many, and why.
    #[must_use]
    pub fn sentence(&self) -> String {
        let times = if self.count > 1 { format!(" ({})", self.count) } else { String::new() };
        let why = if self.why.is_empty() { String::new() } else { format!(": {}", self.why) };
        format!("{}{times}{why}", self.what)
    }
}

/// The report of an import. Every element of the model that the program could use is in one of the lists.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Report {
    /// Taken from the model as it states it.
    pub understood: Vec<Entry>,
    /// Taken by a rule, which is stated.
    pub guessed: Vec<Entry>,
    /// Not taken, and why.
    pub left_out: Vec<Entry>,
}

/// Most ids that an entry lists.
const MAX_IDS: usize = 100;

/// Collects entries: equal ones are counted together, in order of first appearance.
#[derive(Default)]
pub(crate) struct Collector {
    lists: [Vec<Entry>; 3],
    at: BTreeMap<(usize, String, String), usize>,
}

impl Collector {
    pub fn understood(&mut self, what: &str, id: impl Into<String>) {
        self.add(0, what, "", Some(id.into()));
    }

    pub fn guessed(&mut self, what: &str, rule: &str, id: impl Into<String>) {
        self.add(1, what, rule, Some(id.into()));
    }

    pub fn left_out(&mut self, what: &str, why: &str, id: impl Into<String>) {
        self.add(2, what, why, Some(id.into()));
    }

    /// One thing of the whole import.
    pub fn note(&mut self, what: &str) {
        self.add(0, what, "", None);
    }

    /// One guess of the whole import.
    pub fn guess(&mut self, what: &str, rule: &str) {
        self.add(1, what, rule, None);
    }

    fn add(&mut self, list: usize, what: &str, why: &str, id: Option<String>) {
        let entries = &mut self.lists[list];
        let at = *self.at.entry((list, what.to_owned(), why.to_owned())).or_insert_with(|| {
            entries.push(Entry { what: what.to_owned(), count: 0, why: why.to_owned(), ids: Vec::new() });
            entries.len() - 1
        });
        let entry = &mut entries[at];
        entry.count += 1;
        if entry.ids.len() < MAX_IDS {
            entry.ids.extend(id);
        }
    }

    pub fn finish(self) -> Report {
        let [understood, guessed, left_out] = self.lists;
        Report { understood, guessed, left_out }
    }
}
