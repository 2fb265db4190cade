//! A change to a job, as data.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use serde_json::Value;

/// What an edit does at its path.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum EditKind {
    /// Sets a field to `value`; with no value, unsets it.
    Set,
    /// Inserts `value`, which has an id, into a list.
    Insert,
    /// Removes an element of a list.
    Remove,
}

/// One change to a job.
///
/// The path names fields and, in lists, the id of the element: `building/walls/w12/assembly`.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Edit {
    /// What to do.
    pub kind: EditKind,
    /// Where, from the job's root, fields and ids separated by `/`.
    pub path: String,
    /// The new value, for `set` and `insert`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub value: Option<Value>,
    /// For `insert`: the place in the list; at the end if absent.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub position: Option<usize>,
}

impl Edit {
    /// Sets a field.
    #[must_use]
    pub fn set(path: impl Into<String>, value: Value) -> Self {
        Self { kind: EditKind::Set, path: path.into(), value: Some(value), position: None }
    }

    /// Inserts an element at the end of a list.
    #[must_use]
    pub fn insert(path: impl Into<String>, value: Value) -> Self {
        Self { kind: EditKind::Insert, path: path.into(), value: Some(value), position: None }
    }

    /// Removes an element of a list.
    #[must_use]
    pub fn remove(path: impl Into<String>) -> Self {
        Self { kind: EditKind::Remove, path: path.into(), value: None, position: None }
    }
}
