//! Progress of long work, on standard error, and only where a person watches.

use std::io::IsTerminal;
use std::time::Duration;

use findings::{Cancelled, Progress};
use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};

/// A line on standard error that says how far the work has come. Nothing is drawn unless standard error is a terminal.
pub struct Watch(ProgressBar);

impl Watch {
    /// Starts watching.
    pub fn start() -> Self {
        let target = if std::io::stderr().is_terminal() {
            ProgressDrawTarget::stderr_with_hz(10)
        } else {
            ProgressDrawTarget::hidden()
        };
        let bar = ProgressBar::with_draw_target(None, target);
        if let Ok(style) = ProgressStyle::with_template("{msg} {bar:30} {pos}/{len} {elapsed}") {
            bar.set_style(style);
        }
        bar.enable_steady_tick(Duration::from_millis(250));
        Self(bar)
    }
}

impl Progress for Watch {
    fn step(&self, work: &str, done: u64, total: u64) -> Result<(), Cancelled> {
        if self.0.message() != work {
            self.0.set_message(work.to_owned());
        }
        self.0.set_length(total);
        self.0.set_position(done);
        Ok(())
    }
}

impl Drop for Watch {
    fn drop(&mut self) {
        self.0.finish_and_clear();
    }
}
