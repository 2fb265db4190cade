//! From text to job, and from what went wrong to a precise message.

use serde_path_to_error::{Path, Segment};

use crate::error::JobError;
use crate::migrate::{MIGRATIONS, Migration, Version, judge, migrate};
use crate::tree::{Kind, Node};
use crate::{Encoding, FORMAT, Job};

/// Largest text that is read [bytes]; a home of tens of thousands of walls takes a few.
pub const MAX_BYTES: usize = 64 * 1024 * 1024;

/// Reads a job from text.
///
/// Only the form is judged here; `validate` judges what it says.
///
/// # Errors
/// [`JobError`] with line, column, path and id if the text is over [`MAX_BYTES`], is not TOML or JSON, is nested too
/// deeply (80 levels in TOML, 128 in JSON), names no format or one that cannot be read, has an unknown or a missing key,
/// or a value of the wrong kind.
///
/// # Example
/// ```
/// let text = "format = \"wallplate/1\"\nnmae = \"Cottage\"\n";
/// let error = job::parse(text, job::Encoding::Toml).unwrap_err();
/// assert_eq!(error.to_string(), "line 2, column 1: nmae: unknown key `nmae`; did you mean `name`?");
/// ```
pub fn parse(text: &str, encoding: Encoding) -> Result<Job, JobError> {
    parse_with(text, encoding, MIGRATIONS)
}

pub(crate) fn parse_with(text: &str, encoding: Encoding, migrations: &[Migration]) -> Result<Job, JobError> {
    if text.len() > MAX_BYTES {
        return Err(JobError::of_text(format!(
            "the text has {} bytes and {MAX_BYTES} are the most that is read; split the job or leave out what it does not need",
            text.len()
        )));
    }
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let read = match encoding {
        Encoding::Toml => read_toml(text),
        Encoding::Json => read_json(text),
    };
    match read {
        Ok(job) if job.format == FORMAT => Ok(job),
        other => slowly(text, encoding, migrations, other.err()),
    }
}

/// Where the types refused the document, and why.
struct Refusal {
    path: Vec<Step>,
    message: String,
}

enum Step {
    Key(String),
    Index(usize),
}

impl Refusal {
    fn new(path: &Path, message: &str) -> Self {
        let steps = path.iter().filter_map(|segment| match segment {
            Segment::Seq { index } => Some(Step::Index(*index)),
            Segment::Map { key } => Some(Step::Key(key.clone())),
            Segment::Enum { .. } | Segment::Unknown => None,
        });
        Self { path: steps.collect(), message: message.trim().replace('\n', "; ") }
    }
}

fn read_toml(text: &str) -> Result<Job, Option<Refusal>> {
    let deserializer = toml::Deserializer::parse(text).map_err(|_| None)?;
    serde_path_to_error::deserialize(deserializer).map_err(|e| Some(Refusal::new(e.path(), e.inner().message())))
}

fn read_json(text: &str) -> Result<Job, Option<Refusal>> {
    let mut deserializer = serde_json::Deserializer::from_str(text);
    let job: Job = serde_path_to_error::deserialize(&mut deserializer).map_err(|e| {
        let message = e.inner().to_string();
        let data = e.inner().is_data();
        data.then(|| {
            Refusal::new(e.path(), message.rsplit_once(" at line ").map_or(message.as_str(), |(said, _)| said))
        })
    })?;
    deserializer.end().map_err(|_| None)?;
    Ok(job)
}

/// Reads the document as a tree, to say where it is wrong or to bring it up to the present format.
fn slowly(
    text: &str,
    encoding: Encoding,
    migrations: &[Migration],
    refusal: Option<Option<Refusal>>,
) -> Result<Job, JobError> {
    let tree = match encoding {
        Encoding::Toml => Node::of_toml(text)?,
        Encoding::Json => Node::of_json(text)?,
    };
    let Some(entry) = tree.get("format") else {
        return Err(match (&tree.kind, refusal.flatten()) {
            // A slip in the very first key is worth its own message.
            (Kind::Table(entries), Some(refusal))
                if entries.iter().any(|e| strsim::jaro_winkler(&e.key, "format") > 0.8) =>
            {
                explain(text, &tree, &refusal)
            }
            (Kind::Table(_), _) => {
                JobError::at(text, tree.start, format!("the key `format` is missing; write `format = \"{FORMAT}\"`"))
            }
            _ => JobError::at(text, tree.start, "a job is a table of keys and values"),
        });
    };
    let here = |problem: String| JobError { path: "format".into(), ..JobError::at(text, entry.node.start, problem) };
    let Some(format) = entry.node.text() else {
        return Err(here(format!("the format is a text; write `{FORMAT}`")));
    };
    match judge(format, migrations).map_err(here)? {
        Version::Present => Err(match refusal.flatten() {
            Some(refusal) => explain(text, &tree, &refusal),
            None => JobError::of_text("the document is well formed but could not be read as a job"),
        }),
        Version::Older => {
            let mut document = tree
                .to_json()
                .map_err(|at| JobError::at(text, at, "the number is not finite or too large; give another one"))?;
            migrate(&mut document, migrations).map_err(here)?;
            serde_path_to_error::deserialize(document).map_err(|e: serde_path_to_error::Error<serde_json::Error>| {
                let refusal = Refusal::new(e.path(), &e.inner().to_string());
                let explained = explain(text, &tree, &refusal);
                JobError {
                    problem: format!("after `{format}` was brought up to `{FORMAT}`: {}", explained.problem),
                    ..explained
                }
            })
        }
    }
}

/// Makes a message of a refusal: finds its place in the text, the id of the element, and the nearest known key.
fn explain(text: &str, tree: &Node, refusal: &Refusal) -> JobError {
    let mut node = tree;
    let mut start = tree.start;
    let mut id = None;
    let mut path = String::new();
    // The innermost table on the path, with the length of the path to it, to look for a key in.
    let mut table = (tree, 0);
    for step in &refusal.path {
        let next = match step {
            Step::Key(key) => {
                if !path.is_empty() {
                    path.push('.');
                }
                path.push_str(key);
                node.get(key).map(|entry| (&entry.node, entry.start))
            }
            Step::Index(index) => {
                path.push_str(&format!("[{index}]"));
                node.item(*index).map(|item| (item, item.start))
            }
        };
        let Some((next, at)) = next else { break };
        // A key is shown at the key for tables and lists, whose values may start far below, else at the value.
        (node, start) = (next, if matches!(next.kind, Kind::Table(_) | Kind::List(_)) { at } else { next.start });
        if matches!(node.kind, Kind::Table(_)) {
            table = (node, path.len());
            let own = node.get("id").and_then(|entry| entry.node.text()).and_then(|id| id.parse().ok());
            id = own.or(id);
        }
    }
    let message = refusal.message.as_str();
    let mut problem = message.to_owned();
    if let Some((key, known)) = unknown_field(message) {
        // The path may or may not name the key itself.
        if let Some(entry) = table.0.get(key) {
            start = entry.start;
            path.truncate(table.1);
        }
        problem = unknown_key(key, &known);
        if path.is_empty() {
            path.push_str(key);
        }
    } else if let Some(key) = quoted(message).first().filter(|_| message.starts_with("missing field")) {
        problem = format!("the key `{key}` is missing");
    } else if let Some(named) = Some(quoted(message)).filter(|_| message.starts_with("unknown variant")) {
        problem = match named.split_first() {
            Some((word, known)) => unknown_word(word, known),
            None => problem,
        };
    } else if let Kind::Date(date) = &node.kind {
        problem = format!("a date is written in quotes: \"{date}\"");
    }
    JobError { path, id, ..JobError::at(text, start, problem) }
}

/// The key and the known ones, of a message that says that a key is not known.
fn unknown_field(message: &str) -> Option<(&str, Vec<&str>)> {
    let rest = message.strip_prefix("unknown field `")?;
    // The key is the text's own and may hold anything; the known ones follow the last mark.
    let (key, known) = rest.rsplit_once("`, expected ").or_else(|| rest.rsplit_once("`, there are "))?;
    Some((key, quoted(known)))
}

/// What stands between backticks.
fn quoted(message: &str) -> Vec<&str> {
    message.split('`').skip(1).step_by(2).collect()
}

fn unknown_key(key: &str, known: &[&str]) -> String {
    let shown: String = key.chars().take(60).collect();
    match nearest(key, known) {
        Some(near) => format!("unknown key `{shown}`; did you mean `{near}`?"),
        None if known.is_empty() => format!("unknown key `{shown}`; no keys are known here"),
        None => format!("unknown key `{shown}`; known are {}", list(known)),
    }
}

fn unknown_word(word: &str, known: &[&str]) -> String {
    let shown: String = word.chars().take(60).collect();
    match nearest(word, known) {
        Some(near) => format!("`{shown}` is not known; did you mean `{near}`? Known are {}", list(known)),
        None => format!("`{shown}` is not known; known are {}", list(known)),
    }
}

fn list(known: &[&str]) -> String {
    known.iter().map(|k| format!("`{k}`")).collect::<Vec<_>>().join(", ")
}

/// The known word most like a given one, if any is like it; the first of equals.
pub(crate) fn nearest<'a>(word: &str, known: &[&'a str]) -> Option<&'a str> {
    // Long words are not slips of short ones; the cap also bounds the work.
    if word.len() > 100 {
        return None;
    }
    let mut best: Option<(f64, &str)> = None;
    for &candidate in known {
        let likeness =
            strsim::jaro_winkler(word, candidate).max(strsim::normalized_damerau_levenshtein(word, candidate));
        if likeness > 0.7 && best.is_none_or(|(so_far, _)| likeness > so_far) {
            best = Some((likeness, candidate));
        }
    }
    best.map(|(_, candidate)| candidate)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_older_document_is_read_through_its_steps() {
        let steps = [Migration {
            from: "wallplate/0",
            to: FORMAT,
            step: |document| {
                let map = document.as_object_mut().ok_or("not a table")?;
                let title = map.remove("title").ok_or("`title` is missing")?;
                map.insert("name".into(), title);
                Ok(())
            },
        }];
        let old = "format = 'wallplate/0'\ntitle = 'Cottage'\nsite = { country = 'US', currency = 'USD', date = '2026-11-25' }\n\
                   building = { storeys = [] }\n";
        let job = parse_with(old, Encoding::Toml, &steps).unwrap();
        assert_eq!((job.format.as_str(), job.name.as_str()), (FORMAT, "Cottage"));
        let error = parse_with(&old.replace("storeys", "stories"), Encoding::Toml, &steps).unwrap_err();
        assert_eq!(
            error.to_string(),
            "line 4, column 14: building: after `wallplate/0` was brought up to `wallplate/1`: unknown key `stories`; did \
             you mean `storeys`?"
        );
        assert!(parse_with(old, Encoding::Toml, &[]).unwrap_err().to_string().contains("older"));
    }
}
