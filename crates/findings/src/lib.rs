//! Ids, sources, figures, findings and edits as plain data, and the progress trait for long work.
//!
//! - [`Id`]: a stable name of anything in a job
//! - [`Source`]: where a number or a limit comes from
//! - [`Figure`]: a computed value with its interval, inputs and sources; unknown is a value
//! - [`Finding`], [`Rule`], [`Severity`], [`Remedy`]: what is wrong with a design and what would mend it
//! - [`Edit`]: a change to a job as data
//! - [`Progress`]: how long work reports and is cancelled
//!
//! This crate does not know what any figure means.

mod edit;
mod figure;
mod finding;
mod id;
mod progress;
mod source;

pub use edit::{Edit, EditKind};
pub use figure::{Figure, Input};
pub use finding::{Finding, Place, Quantity, Remedy, Rule, Severity};
pub use id::{Id, IdError};
pub use progress::{Cancelled, NoProgress, Progress};
pub use source::{Source, SourceKind};
