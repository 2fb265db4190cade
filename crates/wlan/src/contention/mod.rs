//! Several stations on one channel: who gets how much of it. No errors but collisions.
//!
//! - [`saturated`]: throughput, airtime, collisions and delay of any mix of stations
//! - [`saturated_among`], [`Hearing`], [`hearing`], [`Radio`], [`Speaker`], [`Path`], [`needed_sinr`]: the same where not all hear all, or frames survive an
//!   overlap
//! - [`Carrier`], [`Flow`], [`Sender`], [`Burst`], [`Medium`], [`Carried`], [`Busy`]: flows with an offered load: what is carried, which queues are
//!   stable and the delay, fast enough for thousands of calls
//! - [`Channel`], [`Access`], [`Exchange`], [`Station`]: what goes in; [`Frame`] gives an exchange its times
//! - [`Shares`], [`StationShare`]: what comes out
//! - [`bianchi_2000`], [`bianchi_throughput`]: the textbook model, for comparison

mod airtime;
mod among;
mod bianchi;
mod carried;
mod carried_contend;
mod carried_delay;
mod carried_solve;
mod carried_state;
mod fixed_point;
mod hearing;
mod partial;
mod round;
mod shared;

pub use airtime::{Frame, FrameError, Phy, Protection};
pub use bianchi::{Bianchi, Slots, bianchi_2000, bianchi_throughput};
pub use carried::{Burst, Busy, Carried, Carrier, Flow, Medium, Sender};
pub use hearing::{
    ENERGY_DETECTION, Hearing, PREAMBLE_DETECTION, PREAMBLE_MARGIN, Path, Radio, SECONDARY_DETECTION, Sense, Speaker,
    Survival, hearing, needed_sinr,
};

use units::{BitsPerSecond, Seconds};

use fixed_point::{Kind, Rates, Times};
use shared::shared;

/// What all stations of a channel share.
#[derive(Clone, Debug, PartialEq)]
pub struct Channel {
    /// Slot time.
    pub slot: Seconds,
    /// Short interframe space.
    pub sifs: Seconds,
    /// aRxPHYStartDelay of a response: its preamble and PHY header. A sender waits SIFS + slot + this before it counts a frame as lost
    /// (AckTimeout, IEEE 802.11-2020, 10.3.2.11).
    pub response_start: Seconds,
    /// Ack at the lowest mandatory rate. EIFS is SIFS + this + DIFS (IEEE 802.11-2020, 10.3.2.3.7).
    pub lowest_ack: Seconds,
    /// Share of the bystanders of a collision that make out one of its frames and so wait EIFS; the others only sense energy. See [`Channel::HEARD`].
    pub heard: f64,
    /// Beacons and the like.
    pub beacons: Option<Beacons>,
}

/// Frames that come at fixed times whatever the load.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Beacons {
    /// Time between them.
    pub interval: Seconds,
    /// Length of one on the air.
    pub airtime: Seconds,
}

impl Channel {
    /// Share of bystanders that make out one of two colliding frames, if all stand at random on a circle, path gain falls with the third power of
    /// distance and a preamble is found at 4 dB above the rest: the levels a and b come by chords `2 R sin(θ/2)`, and the share is
    /// `P(|30 lg(sin α / sin β)| ≥ 4)` for independent α, β uniform in (0, π/2). A generic figure; give the share of the case where it is known.
    pub const HEARD: f64 = 0.64;

    /// 5 and 6 GHz: slot 9 µs, SIFS 16 µs (IEEE 802.11-2020, Table 17-21), lowest rate 6 Mbit/s.
    #[must_use]
    pub const fn ofdm() -> Self {
        Self {
            slot: Seconds(9e-6),
            sifs: Seconds(16e-6),
            response_start: Seconds(20e-6),
            lowest_ack: Seconds(44e-6),
            heard: Self::HEARD,
            beacons: None,
        }
    }

    /// 2.4 GHz without 802.11b stations: short slot 9 µs, SIFS 10 µs (Table 18-5), lowest rate 1 Mbit/s with the long preamble.
    #[must_use]
    pub const fn erp() -> Self {
        Self { sifs: Seconds(10e-6), lowest_ack: Seconds(304e-6), ..Self::ofdm() }
    }

    /// 802.11b: slot 20 µs, SIFS 10 µs (Table 16-4), long preamble 192 µs.
    #[must_use]
    pub const fn dsss() -> Self {
        Self {
            slot: Seconds(20e-6),
            sifs: Seconds(10e-6),
            response_start: Seconds(192e-6),
            lowest_ack: Seconds(304e-6),
            ..Self::ofdm()
        }
    }

    /// The same with beacons.
    #[must_use]
    pub const fn with_beacons(self, interval: Seconds, airtime: Seconds) -> Self {
        Self { beacons: Some(Beacons { interval, airtime }), ..self }
    }
}

/// How a backoff counts down after a busy period.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Countdown {
    /// DCF: at the end of each idle slot; the first slot after a busy period is free for fresh backoffs of zero only (IEEE 802.11-2020, 10.3.4.3).
    Dcf,
    /// EDCA: already at the end of AIFS (10.23.2.4).
    Edca,
}

/// How a station contends.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Access {
    /// Arbitration slots; 2 for DCF, whose DIFS is SIFS + 2 slots.
    pub aifsn: u32,
    /// Least contention window.
    pub cw_min: u32,
    /// Largest contention window.
    pub cw_max: u32,
    /// Failures after which the window is the least again (dot11ShortRetryLimit, 7).
    pub retry_limit: u32,
    /// How the backoff counts.
    pub countdown: Countdown,
    /// Longest time that one access may hold the channel for several exchanges; zero: one exchange.
    pub txop_limit: Seconds,
}

impl Access {
    /// DCF of OFDM PHYs: CW 15 to 1023 (IEEE 802.11-2020, Table 17-21).
    pub const DCF_OFDM: Self = Self {
        aifsn: 2,
        cw_min: 15,
        cw_max: 1023,
        retry_limit: 7,
        countdown: Countdown::Dcf,
        txop_limit: Seconds(0.0),
    };
    /// DCF of 802.11b: CW 31 to 1023 (Table 16-4).
    pub const DCF_DSSS: Self = Self { cw_min: 31, ..Self::DCF_OFDM };
    /// EDCA best effort (Table 9-155 for aCWmin 15, without a TXOP of several exchanges).
    pub const BEST_EFFORT: Self = Self { aifsn: 3, countdown: Countdown::Edca, ..Self::DCF_OFDM };
    /// EDCA background (same table).
    pub const BACKGROUND: Self = Self { aifsn: 7, ..Self::BEST_EFFORT };
    /// EDCA video (same table; TXOP limit from memory).
    pub const VIDEO: Self =
        Self { aifsn: 2, cw_min: 7, cw_max: 15, txop_limit: Seconds(4.096e-3), ..Self::BEST_EFFORT };
    /// EDCA voice (same table; TXOP limit from memory).
    pub const VOICE: Self = Self { aifsn: 2, cw_min: 3, cw_max: 7, txop_limit: Seconds(2.080e-3), ..Self::BEST_EFFORT };

    /// Number of values of the window at each stage: doubled until it has reached its largest.
    fn windows(&self) -> Vec<usize> {
        let least = u64::from(self.cw_min) + 1;
        let most = u64::from(self.cw_max) + 1;
        (0..=self.retry_limit).map(|stage| (least << stage.min(16)).min(most) as usize).collect()
    }
}

/// One frame exchange, from its first symbol to the end of the response. [`Frame::exchange`] computes it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Exchange {
    /// What is on the air in vain if two stations start at once: the RTS if there is one, else the data.
    pub first: Seconds,
    /// The whole exchange when it succeeds.
    pub success: Seconds,
    /// Payload delivered [bit].
    pub payload_bits: f64,
    /// After an aggregate without an answer the sender asks with a block ack request what has arrived (IEEE 802.11-2020, 10.25.6.5),
    /// and only then sends the data again.
    pub request: Option<Request>,
}

/// A block ack request in its own right.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Request {
    /// Length of the request.
    pub first: Seconds,
    /// With SIFS and answer.
    pub success: Seconds,
}

/// A saturated station: there is always something to send.
#[derive(Clone, Debug, PartialEq)]
pub struct Station {
    /// How it contends.
    pub access: Access,
    /// What it sends, each in turn: one for a client; for an access point one for each client it serves.
    pub exchanges: Vec<Exchange>,
}

/// What a station gets.
#[derive(Clone, Debug, PartialEq)]
pub struct StationShare {
    /// Payload rate.
    pub throughput: BitsPerSecond,
    /// Payload rate of each of its exchanges.
    pub by_exchange: Vec<BitsPerSecond>,
    /// Share of time that it holds the channel with success.
    pub airtime: f64,
    /// Share of its transmissions that collide.
    pub collision_probability: f64,
    /// Mean time from one data exchange to the next: the access delay of the frame (or aggregate, or burst) at the head of its queue.
    pub access_delay: Seconds,
}

/// How the channel is shared.
#[derive(Clone, Debug, PartialEq)]
pub struct Shares {
    /// In the order of the stations.
    pub stations: Vec<StationShare>,
    /// Share of time that the channel is busy, beacons with it.
    pub busy: f64,
    /// Share of time lost in collisions.
    pub collided: f64,
    /// Iterations used.
    pub iterations: u32,
    /// Largest relative change in the last of them.
    pub residual: f64,
    /// True if that is below 1e-8; else the figures are those of the last iteration.
    pub converged: bool,
}

impl Shares {
    /// Payload rate of all.
    #[must_use]
    pub fn aggregate(&self) -> BitsPerSecond {
        BitsPerSecond(self.stations.iter().map(|s| s.throughput.0).sum())
    }
}

/// Why there is no answer.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum ContentionError {
    /// No stations.
    #[error("no stations: give at least one")]
    NoStations,
    /// A station has nothing to send.
    #[error("station {0} has no exchange: leave out stations that send nothing")]
    NoExchange(usize),
    /// A number that cannot be.
    #[error("station {station}: {what} is {value}; it must be {must}")]
    Station {
        /// Index of the station.
        station: usize,
        /// Which number.
        what: &'static str,
        /// Its value.
        value: f64,
        /// What is allowed.
        must: &'static str,
    },
    /// A number of a flow that cannot be.
    #[error("flow {flow}: {what} is {value}; it must be {must}")]
    Flow {
        /// Index of the flow.
        flow: usize,
        /// Which number.
        what: &'static str,
        /// Its value.
        value: f64,
        /// What is allowed.
        must: &'static str,
    },
    /// A number of the channel that cannot be.
    #[error("channel: {what} is {value}; it must be {must}")]
    Channel {
        /// Which number.
        what: &'static str,
        /// Its value.
        value: f64,
        /// What is allowed.
        must: &'static str,
    },
    /// The rounds of contention came to nothing.
    #[error("the stations' shares did not settle: the windows or lengths are too far apart")]
    Unsettled,
    /// A hearing that does not fit its stations, or levels that cannot be.
    #[error("hearing: {0}")]
    Hearing(&'static str),
    /// More different stations than the engine follows.
    #[error("{count} {what}; at most {most}: round rates so that stations fall together")]
    TooMany {
        /// How many there are.
        count: usize,
        /// Of what.
        what: &'static str,
        /// Most that are allowed.
        most: usize,
    },
}

/// Most kinds of stations (same access and exchanges) and most different frame lengths: the work grows with the third power.
const KINDS_MAX: usize = 48;
/// Most stations.
const STATIONS_MAX: usize = 100_000;

fn check_channel(channel: &Channel) -> Result<(), ContentionError> {
    let time = |what, value: Seconds, least: f64, must| {
        if value.0.is_finite() && value.0 >= least && value.0 <= 0.1 {
            Ok(())
        } else {
            Err(ContentionError::Channel { what, value: value.0, must })
        }
    };
    time("slot [s]", channel.slot, 1e-6, "1 µs to 0.1 s")?;
    time("SIFS [s]", channel.sifs, 0.0, "0 to 0.1 s")?;
    time("response start [s]", channel.response_start, 0.0, "0 to 0.1 s")?;
    time("lowest ack [s]", channel.lowest_ack, 0.0, "0 to 0.1 s")?;
    if !(0.0..=1.0).contains(&channel.heard) {
        return Err(ContentionError::Channel { what: "heard", value: channel.heard, must: "0 to 1" });
    }
    if let Some(b) = channel.beacons {
        time("beacon length [s]", b.airtime, 0.0, "0 to 0.1 s")?;
        let least = b.airtime.0 + channel.sifs.0 + 2.0 * channel.slot.0;
        if !(b.interval.0.is_finite() && b.interval.0 > least) {
            let must = "longer than a beacon and its waiting time";
            return Err(ContentionError::Channel { what: "beacon interval [s]", value: b.interval.0, must });
        }
    }
    Ok(())
}

fn check_access(station: usize, a: &Access) -> Result<(), ContentionError> {
    let fail = |what, value, must| Err(ContentionError::Station { station, what, value, must });
    if a.aifsn == 0 || a.aifsn > 255 {
        return fail("AIFSN", f64::from(a.aifsn), "1 to 255");
    }
    // ECWmin and ECWmax have four bits (IEEE 802.11-2020, 9.4.2.28).
    if a.cw_min == 0 || a.cw_min > 32_767 {
        return fail("CWmin", f64::from(a.cw_min), "1 to 32,767");
    }
    if a.cw_max < a.cw_min || a.cw_max > 32_767 {
        return fail("CWmax", f64::from(a.cw_max), "CWmin to 32,767");
    }
    if a.retry_limit > 255 {
        return fail("retry limit", f64::from(a.retry_limit), "0 to 255");
    }
    if !(a.txop_limit.0.is_finite() && (0.0..=1.0).contains(&a.txop_limit.0)) {
        return fail("TXOP limit [s]", a.txop_limit.0, "0 to 1 s");
    }
    Ok(())
}

fn check_station(station: usize, s: &Station) -> Result<(), ContentionError> {
    let fail = |what, value, must| Err(ContentionError::Station { station, what, value, must });
    if s.exchanges.is_empty() {
        return Err(ContentionError::NoExchange(station));
    }
    check_access(station, &s.access)?;
    for e in &s.exchanges {
        let requests = e.request.map(|r| (r.first, r.success));
        for (first, success) in [(e.first, e.success)].into_iter().chain(requests) {
            if !(first.0.is_finite() && (1e-6..=1.0).contains(&first.0)) {
                return fail("length of the first frame [s]", first.0, "1 µs to 1 s");
            }
            if !(success.0.is_finite() && success.0 >= first.0 && success.0 <= 2.0) {
                return fail("length of the exchange [s]", success.0, "that of its first frame to 2 s");
            }
        }
        if !(e.payload_bits.is_finite() && e.payload_bits >= 0.0) {
            return fail("payload [bit]", e.payload_bits, "zero or more");
        }
    }
    Ok(())
}

fn kind(channel: &Channel, s: &Station, count: f64) -> Kind {
    Kind {
        count,
        aifs: channel.sifs.0 + f64::from(s.access.aifsn) * channel.slot.0,
        windows: s.access.windows(),
        edca: s.access.countdown == Countdown::Edca,
        data: s.exchanges.iter().map(|e| e.first.0).collect(),
        recovery: s.exchanges.iter().filter_map(|e| e.request).map(|r| r.first.0).reduce(f64::max),
        asks: s.exchanges.iter().filter(|e| e.request.is_some()).count() as f64 / s.exchanges.len().max(1) as f64,
    }
}

fn times(channel: &Channel) -> Times {
    Times {
        slot: channel.slot.0,
        timeout: channel.sifs.0 + channel.slot.0 + channel.response_start.0,
        eifs_extra: channel.sifs.0 + channel.lowest_ack.0,
        heard: channel.heard,
    }
}

/// Share of time that beacons take, each with one more waiting time.
fn beacon_share(channel: &Channel) -> f64 {
    channel.beacons.map_or(0.0, |b| (b.airtime.0 + channel.sifs.0 + 2.0 * channel.slot.0) / b.interval.0)
}

/// Time that a kind's successes take in a round on average [s].
fn held(s: &Station, rates: &Rates, sifs: f64) -> f64 {
    let data: f64 = s.exchanges.iter().map(|e| burst(&s.access, e, sifs).1).sum::<f64>() / s.exchanges.len() as f64;
    let request = s.exchanges.iter().filter_map(|e| e.request).map(|r| r.success.0).fold(0.0, f64::max);
    rates.data * data + rates.recovery * request
}

/// Exchanges in one access, and the time they take.
fn burst(access: &Access, exchange: &Exchange, sifs: f64) -> (f64, f64) {
    let one = exchange.success.0 + sifs;
    let number = ((access.txop_limit.0 + sifs) / one + 1e-9).floor().max(1.0);
    (number, number * one - sifs)
}

/// How saturated stations that hear each other share a channel.
///
/// # Model
/// A fixed point over rounds of contention; see the README's Model section. Each access sends one exchange, or as many as the TXOP limit holds. A beacon takes
/// its length and one more waiting time from all.
///
/// # Units
/// Times in seconds, rates in bit/s of payload; the answer has the order of `stations`.
///
/// # Errors
/// [`ContentionError`]: no stations, times or windows out of range, more than 48 kinds of stations or frame lengths, more than 100,000 stations.
///
/// # Example
/// ```
/// use wlan::contention::{Access, Channel, Exchange, Station, saturated};
/// use units::Seconds;
/// // 802.11a, 54 Mbit/s: data 248 µs, SIFS 16 µs, ack 28 µs; alone it waits DIFS 34 µs and 7.5 slots of 9 µs on average.
/// let exchange = Exchange { first: Seconds(248e-6), success: Seconds(292e-6), payload_bits: 11_776.0, request: None };
/// let shares = saturated(&Channel::ofdm(), &[Station { access: Access::DCF_OFDM, exchanges: vec![exchange] }]).unwrap();
/// assert!((shares.aggregate().mbps() - 11_776.0 / 393.5).abs() < 1e-4);
/// ```
///
/// # References
/// G. Bianchi, IEEE JSAC 18(3), 2000; C. H. Foh, J. W. Tantra, IEEE Commun. Lett. 9(2), 2005; I. Tinnirello, G. Bianchi, Y. Xiao,
/// IEEE Trans. Veh. Technol. 59(3), 2010; IEEE 802.11-2020 clauses 10.3 and 10.23.
pub fn saturated(channel: &Channel, stations: &[Station]) -> Result<Shares, ContentionError> {
    shared(channel, stations, None)
}

/// How saturated stations share a channel of which each hears a part.
///
/// # Model
/// If all hear each other, the rounds of [`saturated`], with the chances of [`Hearing::survives`] for frames that begin in one slot: means over each
/// kind of stations, each overlapping frame by itself; of two frames that both arrive the time counts once.
///
/// Else stations that neither hear nor harm each other are taken apart, and each part that does not hear all of itself by a fixed point for each station; see the
/// README's Model section. That is scaled by what the rounds say to the same stations if they heard all, over what the fixed point says to
/// that, so that it meets the rounds where little is hidden. A sense that is one-sided is taken as mutual; [`Sense::Secondary`] as none.
///
/// # Validity
/// A part with more than 40,000 sets of stations on the air at once, or with more than 256 stations, is refused.
///
/// # Errors
/// As [`saturated`]; [`ContentionError::Hearing`] if the hearing has not the stations' number; [`ContentionError::TooMany`] beyond the validity.
pub fn saturated_among(channel: &Channel, stations: &[Station], hearing: &Hearing) -> Result<Shares, ContentionError> {
    let exchanges: Vec<usize> = stations.iter().map(|s| s.exchanges.len()).collect();
    hearing.check(&exchanges)?;
    if hearing.is_complete() {
        return shared(channel, stations, Some(hearing));
    }
    among::in_parts(channel, stations, hearing)
}
