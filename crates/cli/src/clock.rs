//! The one place that reads the clock.

use anyhow::{Context, Result};
use units::Date;

/// Today, in Universal Time: a day more or less changes no rule, and the machine's own time zone is not needed.
pub fn today() -> Result<Date> {
    let now = jiff::Timestamp::try_from(std::time::SystemTime::now())
        .context("the machine's clock cannot be used; give --date")?;
    let date = jiff::tz::Offset::UTC.to_datetime(now).date();
    date.to_string().parse().context("the machine's date cannot be used; give one with --date")
}
