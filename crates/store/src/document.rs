//! What an edit, an undo or a redo makes of a stored document. No database here.

use findings::Edit;
use job::{Encoding, FORMAT, Job, JobError, MAX_BYTES};

use crate::StoreError;

/// A document after a change, ready to be stored.
#[derive(Debug)]
pub(crate) struct Changed {
    /// Its name.
    pub name: String,
    /// The document as text.
    pub document: String,
    /// What was done, as a JSON list.
    pub edits: String,
    /// What takes it back, as a JSON list in the order in which to apply it.
    pub inverse: String,
    /// The document before the change in the present format, if it was stored in an older one.
    pub base: Option<String>,
}

/// Makes the edits, all or none.
///
/// `document` is the text as it is stored, `format` the format it is stored in.
pub(crate) fn change(document: &str, format: &str, edits: &[Edit]) -> Result<Changed, ChangeError> {
    let before = parse(document).map_err(ChangeError::Unreadable)?;
    let (after, inverse) = apply_all(&before, edits).map_err(|error| ChangeError::Store(error.into()))?;
    let base = if format == FORMAT { None } else { Some(print(&before)?) };
    Ok(Changed {
        name: after.name.clone(),
        document: print(&after)?,
        edits: to_json(&edits)?,
        inverse: to_json(&inverse)?,
        base,
    })
}

/// Why a change was not made.
#[derive(Debug)]
pub(crate) enum ChangeError {
    /// The stored document cannot be read.
    Unreadable(JobError),
    /// Anything else.
    Store(StoreError),
}

impl From<StoreError> for ChangeError {
    fn from(error: StoreError) -> Self {
        Self::Store(error)
    }
}

/// Makes edits in order, and gives their inverses in the order in which they take them back.
pub(crate) fn apply_all(before: &Job, edits: &[Edit]) -> Result<(Job, Vec<Edit>), job::EditError> {
    let mut job = before.clone();
    let mut inverse = Vec::with_capacity(edits.len());
    for edit in edits {
        let (after, back) = job::apply(&job, edit)?;
        job = after;
        inverse.push(back);
    }
    inverse.reverse();
    Ok((job, inverse))
}

/// Reads a stored document; one of an older format is brought up to the present one.
pub(crate) fn parse(document: &str) -> Result<Job, JobError> {
    job::parse(document, Encoding::Json)
}

/// Writes a document, and makes sure that it can be read again: nothing else may get into the database.
///
/// # Errors
/// [`StoreError::Invalid`].
pub(crate) fn print(job: &Job) -> Result<String, StoreError> {
    let invalid = |problem: String| StoreError::Invalid { field: "document", problem };
    let text = job::print(job, Encoding::Json).map_err(|error| invalid(error.to_string()))?;
    if text.len() > MAX_BYTES {
        return Err(invalid(format!(
            "it would have {} bytes as text, and {MAX_BYTES} are the most that is read; leave out what it does not need",
            text.len()
        )));
    }
    match parse(&text) {
        Ok(again) if again == *job => Ok(text),
        Ok(_) => Err(invalid("it reads back as another document; please report this".to_owned())),
        Err(error) => Err(invalid(error.to_string())),
    }
}

fn to_json<T: serde::Serialize>(value: &T) -> Result<String, StoreError> {
    serde_json::to_string(value)
        .map_err(|error| StoreError::Invalid { field: "edits", problem: format!("cannot be written: {error}") })
}
