//! The one place that asks what time it is.

use jiff::Timestamp;

use crate::JobId;

/// Now, in whole microseconds: what the database keeps, so that a time reads back as it was written.
pub(crate) fn now() -> Timestamp {
    let now = Timestamp::now();
    Timestamp::from_microsecond(now.as_microsecond()).unwrap_or(now)
}

/// A new id. Later ids are larger, within what the clock tells.
pub(crate) fn new_id() -> JobId {
    JobId(uuid::Uuid::now_v7())
}
