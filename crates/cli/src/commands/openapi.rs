//! `wallplate openapi`: the description of the server's interface.

use crate::answer::{Answer, End};

/// Prints it, as text and as JSON alike.
pub fn run() -> Answer {
    Answer { body: format!("{:#}\n", server::openapi()), end: End::Clean }
}
