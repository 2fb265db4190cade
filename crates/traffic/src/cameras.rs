//! What cameras keep: octets a day, and how long what is there lasts. Their streams are demand like any other; see `evening_entries`.

use household::{Household, Recording};
use units::Seconds;

use crate::hour::RecordingHour;

/// Share of a disk's stated octets that recordings can use (file system and decimal prefixes; common practice, seen in storage guides).
pub const USABLE: f64 = 0.9;
/// Reserve over the mean: streams vary (common practice: 1.1 to 1.2).
pub const RESERVE: f64 = 1.15;
/// Largest share of the line from the home that cameras should take, all recording at once (common practice, no source).
pub const UPSTREAM_LIMIT: f64 = 0.5;

const DAY: f64 = 86_400.0;

/// Octets a day of so many cameras: 10.8 GB for each Mbit/s that records all day.
///
/// # Example
/// ```
/// use household::Recording;
/// use units::{BitsPerSecond, Seconds};
/// let recording = Recording {
///     rate: BitsPerSecond::from_mbps(4.0), share: 1.0, keep: Seconds(14.0 * 86_400.0), store: None, capacity_octets: None,
/// };
/// assert!((traffic::octets_a_day(&recording, 1) - 43.2e9).abs() < 1.0);
/// ```
#[must_use]
pub fn octets_a_day(recording: &Recording, cameras: u32) -> f64 {
    recording.rate.0 * recording.share * DAY / 8.0 * f64::from(cameras)
}

fn sound(recording: &Recording) -> bool {
    let numbers = [recording.rate.0, recording.share, recording.keep.0];
    numbers.iter().all(|n| n.is_finite() && *n >= 0.0)
}

/// What each camera keeps, in the order of devices. What is not a number of 0 or more is left out.
pub(crate) fn recordings(household: &Household) -> Vec<RecordingHour> {
    let cameras = household.devices.iter().filter_map(|d| Some((d, d.recording.as_ref().filter(|r| sound(r))?)));
    let hour = |(device, recording): (&household::Device, &Recording)| {
        let octets_a_day = octets_a_day(recording, device.count);
        let has = recording.capacity_octets.filter(|o| o.is_finite() && *o >= 0.0);
        // Nothing recorded is kept for ever; that is no time.
        let keeps = has.filter(|_| octets_a_day > 0.0).map(|o| Seconds(o * USABLE / RESERVE / octets_a_day * DAY));
        RecordingHour {
            device: device.id.clone(),
            cameras: device.count,
            store: recording.store.clone(),
            octets_a_day,
            wanted: recording.keep,
            needed_octets: octets_a_day * recording.keep.0 / DAY * RESERVE / USABLE,
            has_octets: has,
            keeps,
        }
    };
    cameras.map(hour).collect()
}
