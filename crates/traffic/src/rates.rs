//! Published rates of activities, to hold stated demand against.

use findings::{Source, SourceKind};
use household::ActivityKind;

/// A row of the guide.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ActivityRate {
    /// The guide's activity.
    pub activity: &'static str,
    /// The kind it belongs to.
    pub kind: ActivityKind,
    /// Low end of the rate towards the home [Mbit/s].
    pub low_mbps: f64,
    /// High end.
    pub high_mbps: f64,
}

const fn rate(activity: &'static str, kind: ActivityKind, low_mbps: f64, high_mbps: f64) -> ActivityRate {
    ActivityRate { activity, kind, low_mbps, high_mbps }
}

const RATES: &[ActivityRate] = &[
    rate("general browsing and e-mail", ActivityKind::Browsing, 1.0, 1.0),
    rate("social media", ActivityKind::Browsing, 1.0, 1.0),
    rate("streaming online radio", ActivityKind::Audio, 0.5, 0.5),
    rate("voice calls", ActivityKind::VoiceCall, 0.5, 0.5),
    rate("telecommuting", ActivityKind::RemoteWork, 5.0, 25.0),
    rate("student", ActivityKind::RemoteWork, 5.0, 25.0),
    rate("file downloading", ActivityKind::Download, 10.0, 10.0),
    rate("standard-definition video", ActivityKind::Video, 3.0, 4.0),
    rate("high-definition video", ActivityKind::Video, 5.0, 8.0),
    rate("ultra-high-definition video", ActivityKind::Video, 25.0, 25.0),
    rate("personal video call", ActivityKind::VideoCall, 1.0, 1.0),
    rate("personal video call in high definition", ActivityKind::VideoCall, 1.5, 1.5),
    rate("teleconference in high definition", ActivityKind::VideoCall, 6.0, 6.0),
    rate("game console joining the internet", ActivityKind::Game, 3.0, 3.0),
    rate("online multiplayer game", ActivityKind::Game, 4.0, 4.0),
];

/// Lowest and usual rates of activities towards the home; nothing is said of the way back.
///
/// # References
/// Federal Communications Commission, consumer guide "Broadband Speed Guide"; "less than 0.5" is kept as 0.5.
#[must_use]
pub const fn activity_rates() -> &'static [ActivityRate] {
    RATES
}

/// Where [`activity_rates`] come from.
#[must_use]
pub fn activity_rates_source() -> Source {
    Source::new(SourceKind::Publication, "Federal Communications Commission, consumer guide: Broadband Speed Guide")
}
