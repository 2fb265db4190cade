//! How long work reports and is cancelled.

/// The work was cancelled by the one who asked for it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
#[error("cancelled")]
pub struct Cancelled;

/// Told how far long work has come, and asked whether to go on.
pub trait Progress: Sync {
    /// `done` of `total` steps of the named work are finished.
    ///
    /// # Errors
    /// [`Cancelled`] if the work is no longer wanted; the engine then stops and returns it.
    fn step(&self, work: &str, done: u64, total: u64) -> Result<(), Cancelled>;
}

/// Reports nothing and never cancels.
#[derive(Clone, Copy, Debug, Default)]
pub struct NoProgress;

impl Progress for NoProgress {
    fn step(&self, _: &str, _: u64, _: u64) -> Result<(), Cancelled> {
        Ok(())
    }
}
