//! Edits: one change to a job, and the one that takes it back.

use findings::{Edit, EditKind, Id};
use serde_json::{Map, Value, json};

use crate::parse::nearest;
use crate::{FORMAT, Job};

/// Why an edit was refused. The job is as it was.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("edit `{path}`: {problem}")]
pub struct EditError {
    /// The path of the edit.
    pub path: String,
    /// What is wrong and what to do.
    pub problem: String,
}

/// Makes a change and says how it is taken back.
///
/// # Model
/// A step of the path names a field; in a list it names the element's id. Elements of lists without ids (feeds, radios,
/// layers, points) are named by their position from 0, ids in lists of ids by position or by themselves.
/// - `set` gives a field or an element a value; without a value it unsets the field, which then has its default.
/// - `insert` puts a value into the list that the path names, at `position` or at the end.
/// - `remove` takes the element that the path names out of its list.
///
/// # Errors
/// [`EditError`] if the path leads nowhere, an id would occur twice in its list, or the result is not a job. Whether the
/// result makes sense is for [`validate`](crate::validate()) to say.
///
/// # Example
/// ```
/// # let text = "format = 'wallplate/1'\nname = 'A'\nsite = { country = 'US', currency = 'USD', date = '2026-11-25' }\nbuilding = { storeys = [] }";
/// # let before = job::parse(text, job::Encoding::Toml).unwrap();
/// let (after, back) = job::apply(&before, &findings::Edit::set("name", "Cottage".into())).unwrap();
/// assert_eq!(after.name, "Cottage");
/// assert_eq!(job::apply(&after, &back).unwrap().0, before);
/// ```
pub fn apply(job: &Job, edit: &Edit) -> Result<(Job, Edit), EditError> {
    let fail = |problem: String| EditError { path: shorten(&edit.path), problem };
    let mut document = serde_json::to_value(job).map_err(|e| fail(e.to_string()))?;
    if let Some((path, _, number)) = crate::encoding::non_finite(job).into_iter().next() {
        return Err(fail(format!("the job holds {number} at {path}; correct that in its text first")));
    }
    let steps: Vec<&str> = edit.path.split('/').collect();
    if steps.iter().any(|step| step.is_empty()) {
        return Err(fail(
            "a path is fields and ids separated by single `/`, such as `building/walls/w12/assembly`".into(),
        ));
    }
    let back = match edit.kind {
        EditKind::Set => set(&mut document, &steps, edit),
        EditKind::Insert => insert(&mut document, &steps, edit),
        EditKind::Remove => remove(&mut document, &steps, edit),
    }
    .map_err(fail)?;
    let after: Job = serde_path_to_error::deserialize(document).map_err(|e| {
        let at = e.path().to_string();
        fail(format!("the result is not a job: {at}: {}", e.inner()))
    })?;
    if after.format != FORMAT {
        return Err(fail(format!("the format is always `{FORMAT}`")));
    }
    Ok((after, back))
}

fn shorten(text: &str) -> String {
    text.chars().take(200).collect()
}

/// Walks down to what the steps name.
fn reach<'a>(mut value: &'a mut Value, steps: &[&str]) -> Result<&'a mut Value, String> {
    for step in steps {
        value = match value {
            Value::Object(map) => {
                if !map.contains_key(*step) {
                    return Err(no_field(map, step));
                }
                map.get_mut(*step)
            }
            Value::Array(list) => {
                let index = place(list, step)?;
                list.get_mut(index)
            }
            _ => return Err(format!("`{}` is looked for in a plain value", shorten(step))),
        }
        .ok_or_else(|| format!("`{}` does not exist", shorten(step)))?;
    }
    Ok(value)
}

fn no_field(map: &Map<String, Value>, step: &str) -> String {
    let known: Vec<&str> = map.keys().map(String::as_str).collect();
    let hint = nearest(step, &known).map_or_else(
        || format!("it is absent; present are {}", known.join(", ")),
        |near| format!("did you mean `{near}`?"),
    );
    format!("`{}` does not exist here; {hint}", shorten(step))
}

fn id_of(value: &Value) -> Option<&str> {
    value.get("id").and_then(Value::as_str)
}

/// Position in a list of what a step names.
fn place(list: &[Value], step: &str) -> Result<usize, String> {
    if list.iter().any(|item| id_of(item).is_some()) {
        return list.iter().position(|item| id_of(item) == Some(step)).ok_or_else(|| {
            let known: Vec<&str> = list.iter().filter_map(id_of).collect();
            let hint = nearest(step, &known).map_or_else(String::new, |near| format!("; did you mean `{near}`?"));
            format!("the list has no element with id `{}`{hint}", shorten(step))
        });
    }
    if let Ok(index) = step.parse::<usize>() {
        return if index < list.len() {
            Ok(index)
        } else {
            Err(format!("the list has {} elements, and positions count from 0", list.len()))
        };
    }
    let found = list.iter().position(|item| item.as_str() == Some(step));
    found.ok_or_else(|| format!("the list has no `{}`; name an element by its position from 0", shorten(step)))
}

/// The step that names the element at a position.
fn name(list: &[Value], index: usize) -> String {
    list.get(index).and_then(id_of).map_or_else(|| index.to_string(), str::to_owned)
}

/// Refuses an id that another element of the list has.
fn check_id(list: &[Value], value: &Value, except: Option<usize>) -> Result<(), String> {
    let Some(id) = id_of(value) else { return Ok(()) };
    if id.parse::<Id>().is_err() {
        return Err(format!("`{}` is not an id", shorten(id)));
    }
    if list.iter().enumerate().any(|(i, item)| Some(i) != except && id_of(item) == Some(id)) {
        return Err(format!("the list already has an element with id `{id}`; give it another"));
    }
    Ok(())
}

fn join(parents: &[&str], last: &str) -> String {
    parents.iter().chain([&last]).copied().collect::<Vec<_>>().join("/")
}

fn split<'a, 'b>(steps: &'a [&'b str]) -> Result<(&'b str, &'a [&'b str]), String> {
    steps.split_last().map(|(last, parents)| (*last, parents)).ok_or_else(|| "the path is empty".to_owned())
}

fn set(document: &mut Value, steps: &[&str], edit: &Edit) -> Result<Edit, String> {
    if edit.position.is_some() {
        return Err("`set` takes no position".into());
    }
    let (last, parents) = split(steps)?;
    // Nothing, in JSON, is the same as no value.
    let new = edit.value.as_ref().filter(|value| !value.is_null());
    // A new id changes the path by which the element is found again, and must be free in its list.
    let mut back_path = edit.path.clone();
    if last == "id"
        && let Some((element, lists)) = parents.split_last()
        && let (Value::Array(list), Some(value)) = (&*reach(document, lists)?, new)
    {
        let index = place(list, element)?;
        check_id(list, &json!({ "id": value }), Some(index))?;
        if let Some(id) = value.as_str() {
            back_path = join(lists, &format!("{id}/id"));
        }
    }
    let old = match reach(document, parents)? {
        Value::Object(map) => match new {
            Some(value) => map.insert(last.to_owned(), value.clone()),
            None => map.remove(last),
        },
        Value::Array(list) => {
            let index = place(list, last)?;
            let value = new.ok_or("an element of a list is removed, not unset")?;
            check_id(list, value, Some(index))?;
            let Some(slot) = list.get_mut(index) else { return Err("the element does not exist".into()) };
            let old = std::mem::replace(slot, value.clone());
            back_path = join(parents, &name(list, index));
            Some(old)
        }
        _ => return Err(format!("`{}` is looked for in a plain value", shorten(last))),
    };
    if old.is_none() && new.is_none() {
        is_field(document, parents, last)?;
    }
    Ok(Edit { kind: EditKind::Set, path: back_path, value: old, position: None })
}

/// Whether an absent field could be there: a null is put in its place, and what the types say of it is heard.
fn is_field(document: &Value, parents: &[&str], last: &str) -> Result<(), String> {
    let mut probe = document.clone();
    let Value::Object(map) = reach(&mut probe, parents)? else { return Ok(()) };
    let absent = no_field(map, last);
    map.insert(last.to_owned(), Value::Null);
    match serde_json::from_value::<Job>(probe) {
        Err(error) if error.to_string().starts_with("unknown field") => Err(absent),
        _ => Ok(()),
    }
}

fn insert(document: &mut Value, steps: &[&str], edit: &Edit) -> Result<Edit, String> {
    let value = edit.value.as_ref().ok_or("`insert` needs a value")?;
    let Value::Array(list) = reach(document, steps)? else {
        return Err("`insert` needs the path of a list".into());
    };
    check_id(list, value, None)?;
    let index = edit.position.unwrap_or(list.len());
    if index > list.len() {
        return Err(format!("position {index} is past the end; the list has {} elements", list.len()));
    }
    list.insert(index, value.clone());
    let path = join(steps, &name(list, index));
    Ok(Edit { kind: EditKind::Remove, path, value: None, position: None })
}

fn remove(document: &mut Value, steps: &[&str], edit: &Edit) -> Result<Edit, String> {
    if edit.value.is_some() || edit.position.is_some() {
        return Err("`remove` takes neither value nor position".into());
    }
    let (last, parents) = split(steps)?;
    let Value::Array(list) = reach(document, parents)? else {
        return Err("`remove` takes an element out of a list; a field is unset by `set` without a value".into());
    };
    let index = place(list, last)?;
    let old = list.remove(index);
    Ok(Edit { kind: EditKind::Insert, path: parents.join("/"), value: Some(old), position: Some(index) })
}
