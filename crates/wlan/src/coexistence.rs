//! Delivery of low-power packets beside busy Wi-Fi. Which channel to take: see `thing_channel`. Their budgets: see `low_power`.

use site::Neighbour;
use units::{Db, Dbm, Hertz, Seconds};

use crate::low_power::{LowPowerChannel, LowPowerRadio, ble_channels};
use crate::plan_share::load;

/// Wi-Fi as a low-power receiver hears it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WifiUse {
    /// Centre of its channel.
    pub centre: Hertz,
    /// Width of its channel.
    pub width: Hertz,
    /// Level at the receiver, over the whole width.
    pub level: Dbm,
    /// Share of the time that it is on the air, 0 to 1.
    pub airtime: f64,
    /// Mean length of a stretch on the air.
    pub burst: Seconds,
}

impl WifiUse {
    /// A stretch on the air where nothing is known: 1 ms, a short aggregate with its acknowledgement (generic figure).
    pub const BURST: Seconds = Seconds(1e-3);

    /// A neighbour of the site as heard there, on the air as much as its load says, or 30 % of the time where that is unknown
    /// ([`crate::ASSUMED_NEIGHBOUR_LOAD`]).
    #[must_use]
    pub fn of_neighbour(neighbour: &Neighbour) -> Self {
        let (centre, width, level) = (neighbour.centre, neighbour.width, neighbour.level);
        Self { centre, width, level, airtime: load(neighbour), burst: Self::BURST }
    }

    /// Its level in a part of the spectrum.
    ///
    /// # Model
    /// Power spread as the transmit mask allows at most: even to W/2 - 1 MHz, then straight in decibels to -20 at W/2 + 1, -28 at W and -40 dB at 3/2 W from
    /// the centre (IEEE 802.11-2020, 17.3.9.3 for 20 MHz, 21.3.17.1 for the form at other widths, with -40 for its last step), and -40 beyond.
    #[must_use]
    pub fn level_in(&self, centre: Hertz, width: Hertz) -> Dbm {
        let w = self.width.mhz();
        let points = [(w / 2.0 - 1.0, 0.0), (w / 2.0 + 1.0, -20.0), (w, -28.0), (1.5 * w, -40.0)];
        let density = |offset: f64| {
            let (mut from, mut db) = ((0.0, 0.0), -40.0);
            for to in points {
                if offset <= to.0 {
                    db = from.1 + (to.1 - from.1) * (offset - from.0) / (to.0 - from.0);
                    break;
                }
                from = to;
            }
            10f64.powf(db / 10.0)
        };
        let between = |low: f64, high: f64, num: u32| {
            let step = (high - low) / f64::from(num);
            (0..num).map(|i| density((low + (f64::from(i) + 0.5) * step).abs()) * step).sum::<f64>()
        };
        let offset = (centre - self.centre).mhz();
        let half = width.mhz() / 2.0;
        let share = between(offset - half, offset + half, 16) / (2.0 * between(0.0, 1.5 * w, 512));
        self.level + Db::from_ratio(share)
    }
}

/// Why a delivery cannot be reckoned.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum LowPowerError {
    /// The payload is too long.
    #[error("{octets} octets: {radio:?} has at most {longest}")]
    TooLong {
        /// The radio.
        radio: LowPowerRadio,
        /// What was asked for.
        octets: u32,
        /// The most it has.
        longest: u32,
    },
    /// A value is not a number or out of range.
    #[error("{0}")]
    BadValue(String),
}

/// What becomes of a packet.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Delivery {
    /// Chance that it gets onto the air at all; 1 for radios that do not listen first.
    pub access: f64,
    /// Chance that one sending is answered.
    pub per_try: f64,
    /// Chance that it is delivered within its tries.
    pub delivered: f64,
}

/// Times that a packet is sent at most: 4 (macMaxFrameRetries 3, IEEE 802.15.4-2020, 8.4.3.1); for Bluetooth LE, which goes on until the link is given
/// up, as many as a generic figure.
pub const TRIES: u32 = 4;
/// Level above which 802.15.4 finds the channel busy: 10 dB over the sensitivity that the standard asks for (10.2.8).
const CARRIER_SENSE: Dbm = Dbm(-75.0);

/// Chance that a packet of `octets` payload is delivered on a channel, beside Wi-Fi.
///
/// # Model
/// Noise is what makes the sensitivity come out; Wi-Fi adds its power in the channel to it. Wi-Fi is on and off by turns, both exponentially long.
/// 802.15.4 listens up to five times, after backoffs of 0 to 2^BE - 1 periods of 320 µs, BE from 3 to 5 (6.2.5), and gives the packet up if the channel is
/// never free; a Wi-Fi stretch that starts after that hits it, as does any that is too weak to be heard. A packet and its answer that are hit arrive as
/// at the lowered ratio; of several Wi-Fi networks each acts alone. At most [`TRIES`] sendings.
///
/// # Validity
/// Wi-Fi is taken not to hear the low-power radio, which is on the safe side where both are close. A hit is taken to last the whole packet. Levels are
/// local means. Own traffic of the low-power network is not in it.
///
/// # Errors
/// [`LowPowerError`].
pub fn delivery(
    radio: LowPowerRadio,
    channel: &LowPowerChannel,
    level: Dbm,
    sensitivity: Dbm,
    wifi: &[WifiUse],
    octets: u32,
) -> Result<Delivery, LowPowerError> {
    if octets > radio.longest() {
        return Err(LowPowerError::TooLong { radio, octets, longest: radio.longest() });
    }
    if !sensitivity.is_finite() || level.0.is_nan() || level.0 == f64::INFINITY {
        return Err(LowPowerError::BadValue("a level or sensitivity is not a number".into()));
    }
    let noise = sensitivity - Db::from_ratio(radio.reference_ratio());
    let answer = if radio.listens_first() { 5 } else { 0 };
    // Both ways at the same level: the gain is the same and the powers alike.
    let both = |ratio: f64| radio.arrives(octets, ratio) * radio.arrives(answer, ratio);
    let alone = both((level - noise).ratio());
    let time = radio.exchange(octets).0;
    let (mut per_try, mut free, mut busy_time) = (alone, 1.0, 0.0);
    for w in wifi {
        let sound = (0.0..=1.0).contains(&w.airtime) && w.burst.0 > 0.0 && w.burst.is_finite();
        if !sound || !w.width.is_finite() || w.width.mhz() < 4.0 || !w.centre.is_finite() || w.level.0.is_nan() {
            return Err(LowPowerError::BadValue(format!(
                "Wi-Fi of {} MHz at {} MHz, {} dBm, on {} of the time in stretches of {} s: give a share from 0 to 1 and numbers",
                w.width.mhz(),
                w.centre.mhz(),
                w.level.0,
                w.airtime,
                w.burst.0
            )));
        }
        let in_channel = w.level_in(channel.centre(), radio.width());
        let hit = both((level - noise).ratio() / (1.0 + (in_channel - noise).ratio()));
        let is_heard = radio.listens_first() && in_channel >= CARRIER_SENSE;
        // No gap between stretches: always on.
        let none_starts =
            if w.airtime >= 1.0 { 0.0 } else { (-time * w.airtime / (w.burst.0 * (1.0 - w.airtime))).exp() };
        let spared = if is_heard { none_starts } else { (1.0 - w.airtime) * none_starts };
        if alone > 0.0 {
            per_try *= spared + (1.0 - spared) * (hit / alone).min(1.0);
        }
        if is_heard {
            free *= 1.0 - w.airtime;
            busy_time += w.airtime * w.burst.0;
        }
    }
    let access = access_chance(free, busy_time);
    // Each sending must get onto the air first; if it does not, the packet is given up.
    let onward = access * (1.0 - per_try);
    let delivered = access * per_try * (0..TRIES).map(|k| onward.powi(k as i32)).sum::<f64>();
    Ok(Delivery { access, per_try, delivered: delivered.clamp(0.0, 1.0) })
}

/// Chance that one of five looks finds the channel free, on a share `free` of the time; `weighted` is the busy share times the mean busy stretch.
fn access_chance(free: f64, weighted: f64) -> f64 {
    let busy = 1.0 - free;
    if busy <= 0.0 {
        return 1.0;
    }
    if free <= 0.0 {
        return 0.0;
    }
    let burst = weighted / busy;
    let gap = burst * free / busy;
    // Whether it is still busy a backoff later: on-off process with exponential stretches.
    let still = |backoff: f64| busy + free * (-backoff * (1.0 / burst + 1.0 / gap)).exp();
    let mut never = busy;
    for exponent in [4, 5, 5, 5] {
        never *= still(f64::from((1 << exponent) - 1) / 2.0 * 320e-6);
    }
    1.0 - never
}

/// Chance that a Bluetooth LE packet is delivered when each sending is on another data channel.
///
/// `is_adaptive` leaves out the channels that share spectrum with Wi-Fi, as long as two remain (Core 5.4, volume 6, part B, 4.5.8.1, from memory).
///
/// # Errors
/// As [`delivery`], and for 802.15.4, which does not hop.
pub fn hopping_delivery(
    radio: LowPowerRadio,
    level: Dbm,
    sensitivity: Dbm,
    wifi: &[WifiUse],
    octets: u32,
    is_adaptive: bool,
) -> Result<Delivery, LowPowerError> {
    if radio == LowPowerRadio::Ieee802154 {
        return Err(LowPowerError::BadValue("802.15.4 stays on one channel; ask for its delivery".into()));
    }
    let data: Vec<LowPowerChannel> = ble_channels().into_iter().filter(|c| c.number < 37).collect();
    let is_clear = |c: &&LowPowerChannel| wifi.iter().all(|w| !c.overlaps(w.centre, w.width));
    let clear: Vec<LowPowerChannel> = data.iter().filter(is_clear).copied().collect();
    let used = if is_adaptive && clear.len() >= 2 { clear } else { data };
    let mut sum = 0.0;
    for channel in &used {
        sum += delivery(radio, channel, level, sensitivity, wifi, octets)?.per_try;
    }
    let per_try = sum / used.len() as f64;
    Ok(Delivery { access: 1.0, per_try, delivered: 1.0 - (1.0 - per_try).powi(TRIES as i32) })
}
