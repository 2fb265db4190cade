//! `wallplate schema`: the JSON Schema of the job document.

use crate::answer::{Answer, End};

/// Prints the schema; it is JSON in any case.
pub fn run() -> Answer {
    Answer { body: format!("{:#}\n", job::schema()), end: End::Clean }
}
