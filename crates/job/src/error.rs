//! Why a text is not a job: what, where in the job, and where in the text.

use std::fmt;

use findings::Id;

/// What is wrong with the text of a job.
///
/// Prints as `line 12, column 1: building.walls[3] (w4): unknown key ...`; parts that are not known are left out.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub struct JobError {
    /// Line in the text, from 1.
    pub line: Option<usize>,
    /// Column in the line, in characters, from 1.
    pub column: Option<usize>,
    /// Where in the job: fields and, in lists, positions from 0, such as `building.walls[3].assembly`.
    pub path: String,
    /// The id of the innermost element on the path that has one.
    pub id: Option<Id>,
    /// What is wrong and what to do.
    pub problem: String,
}

impl JobError {
    /// A problem of the text as a whole.
    pub(crate) fn of_text(problem: impl Into<String>) -> Self {
        Self { line: None, column: None, path: String::new(), id: None, problem: problem.into() }
    }

    /// A problem at a byte of the text.
    pub(crate) fn at(text: &str, offset: usize, problem: impl Into<String>) -> Self {
        let (line, column) = line_and_column(text, offset);
        Self { line: Some(line), column: Some(column), ..Self::of_text(problem) }
    }
}

impl fmt::Display for JobError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if let (Some(line), Some(column)) = (self.line, self.column) {
            write!(f, "line {line}, column {column}: ")?;
        }
        match (self.path.is_empty(), &self.id) {
            (true, _) => {}
            (false, Some(id)) => write!(f, "{} ({id}): ", self.path)?,
            (false, None) => write!(f, "{}: ", self.path)?,
        }
        f.write_str(&self.problem)
    }
}

/// Line and column, both from 1, of a byte offset; the column counts characters.
fn line_and_column(text: &str, offset: usize) -> (usize, usize) {
    let mut end = offset.min(text.len());
    while !text.is_char_boundary(end) {
        end -= 1;
    }
    let before = &text[..end];
    let line_start = before.rfind('\n').map_or(0, |at| at + 1);
    (before.matches('\n').count() + 1, before[line_start..].chars().count() + 1)
}
