//! The two encodings of one document.

use std::path::Path;

use findings::Id;

use crate::{Job, JobError};

/// How a job is written as text.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Encoding {
    /// For hands.
    Toml,
    /// For machines.
    Json,
}

impl Encoding {
    /// The encoding that a file's name says, by its extension `toml` or `json`.
    #[must_use]
    pub fn of_path(path: &Path) -> Option<Self> {
        let extension = path.extension()?.to_str()?;
        if extension.eq_ignore_ascii_case("toml") {
            Some(Self::Toml)
        } else if extension.eq_ignore_ascii_case("json") {
            Some(Self::Json)
        } else {
            None
        }
    }

    /// The encoding that a text seems to be in: JSON if it starts with `{`, else TOML, in which no document can.
    #[must_use]
    pub fn guess(text: &str) -> Self {
        let text = text.trim_start_matches('\u{feff}').trim_start();
        if text.starts_with('{') { Self::Json } else { Self::Toml }
    }
}

/// Prints a job.
///
/// # Errors
/// If a number is not finite: JSON cannot hold it, and no job with one is valid. The error names its place in the job.
pub fn print(job: &Job, encoding: Encoding) -> Result<String, JobError> {
    if let Some((path, id, number)) = non_finite(job).into_iter().next() {
        let problem = format!("{number} cannot be written; give a finite number");
        return Err(JobError { path, id, ..JobError::of_text(problem) });
    }
    match encoding {
        Encoding::Toml => toml::to_string(job).map_err(|e| JobError::of_text(format!("no TOML can hold the job: {e}"))),
        Encoding::Json => {
            serde_json::to_string_pretty(job).map_err(|e| JobError::of_text(format!("no JSON can hold the job: {e}")))
        }
    }
}

/// Every number in the job that is not finite: its path, the id of the innermost element on it, and the number.
pub(crate) fn non_finite(job: &Job) -> Vec<(String, Option<Id>, f64)> {
    let mut found = Vec::new();
    // TOML values, unlike JSON values, can hold what is looked for. The types of a job bound the depth.
    if let Ok(value) = toml::Value::try_from(job) {
        walk(&value, &mut String::new(), None, &mut found);
    }
    found
}

fn walk(value: &toml::Value, path: &mut String, id: Option<&str>, found: &mut Vec<(String, Option<Id>, f64)>) {
    let length = path.len();
    match value {
        toml::Value::Float(number) if !number.is_finite() => {
            found.push((path.clone(), id.and_then(|id| id.parse().ok()), *number));
        }
        toml::Value::Array(items) => {
            for (index, item) in items.iter().enumerate() {
                path.push_str(&format!("[{index}]"));
                walk(item, path, item.get("id").and_then(toml::Value::as_str).or(id), found);
                path.truncate(length);
            }
        }
        toml::Value::Table(table) => {
            for (key, item) in table {
                if length > 0 {
                    path.push('.');
                }
                path.push_str(key);
                walk(item, path, id, found);
                path.truncate(length);
            }
        }
        _ => {}
    }
}
