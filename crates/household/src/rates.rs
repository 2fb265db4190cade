//! Rates that activities need, from one published table. What share of the busy hour they run is not in it.

use findings::{Source, SourceKind};
use units::BitsPerSecond;

/// Lowest rates towards the home [Mbit/s]: Federal Communications Commission, consumer guide "Broadband Speed Guide".
/// Where the guide gives a range, the upper end is taken.
pub(crate) mod fcc {
    /// General browsing and e-mail.
    pub const BROWSING: f64 = 1.0;
    /// Streaming online radio, "less than 0.5".
    pub const AUDIO: f64 = 0.5;
    /// Streaming high-definition video, 5 to 8.
    pub const VIDEO_HD: f64 = 8.0;
    /// Streaming ultra-high-definition (4K) video.
    pub const VIDEO_UHD: f64 = 25.0;
    /// High-definition teleconferencing.
    pub const TELECONFERENCE_HD: f64 = 6.0;
    /// Telecommuting, 5 to 25.
    pub const REMOTE_WORK: f64 = 25.0;
    /// File downloading.
    pub const DOWNLOAD: f64 = 10.0;
    /// Online multiplayer game.
    pub const GAME: f64 = 4.0;
}

/// Rates from the home [Mbit/s]. The guide gives none: common practice, no source.
pub(crate) mod up {
    /// Requests and acknowledgements beside a stream or a page.
    pub const REQUESTS: f64 = 0.5;
    /// A high-definition call sends about what it receives, less its overhead; "under 4" is often stated.
    pub const VIDEO_CALL: f64 = 4.0;
    /// Work at a distance: shared screen and files.
    pub const REMOTE_WORK: f64 = 5.0;
    /// Positions and actions of a player.
    pub const GAME: f64 = 0.5;
    /// Backup of pictures.
    pub const BACKUP: f64 = 5.0;
    /// A doorbell's picture while something moves.
    pub const DOORBELL: f64 = 2.0;
    /// Messages of a small thing: a dozen short ones a second, which is many.
    pub const TELEMETRY: f64 = 0.01;
}

/// Where the rates towards the home come from.
pub(crate) fn guide() -> Source {
    Source::new(SourceKind::Publication, "Federal Communications Commission, consumer guide: Broadband Speed Guide")
}

/// Megabits per second.
pub(crate) const fn mbps(rate: f64) -> BitsPerSecond {
    BitsPerSecond::from_mbps(rate)
}
