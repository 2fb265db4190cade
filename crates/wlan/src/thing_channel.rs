//! Which of the sixteen 802.15.4 channels of 2.4 GHz suits a home's Wi-Fi, and whether moving there is worth joining every device anew.

use site::Neighbour;
use units::{Db, Dbm, Hertz, Seconds};

use crate::plan_share::ASSUMED_NEIGHBOUR_LOAD;

/// Length of an octet at 250 kbit/s, and of preamble, delimiter and length field before a frame (IEEE 802.15.4-2020, clause 12; from memory).
const OCTET: f64 = 32e-6;
const HEAD_OCTETS: f64 = 6.0;
/// An acknowledgement has 5 octets and comes after 12 symbols of 16 µs (6.7.1, aTurnaroundTime).
const ACK_OCTETS: f64 = 5.0;
const TURNAROUND: f64 = 192e-6;
const BITS_PER_SECOND: f64 = 250e3;
/// The channel counts as busy from 10 dB above the required sensitivity of -85 dBm (10.2.8 and 12.3.4; from memory).
const BUSY_LEVEL: Dbm = Dbm(-75.0);
/// macMaxCsmaBackoffs 4: five looks at the channel; macMaxFrameRetries 3: four transmissions (Table 8-94).
const LOOKS: i32 = 5;
const TRANSMISSIONS: u32 = 4;
/// Noise of a receiver with 10 dB noise figure in 2 MHz (generic figure): -174 + 63 + 10 dBm.
const NOISE: Dbm = Dbm(-101.0);
/// Mean time on the air of a Wi-Fi frame or aggregate with its answer in 2.4 GHz (generic figure).
const BURST: Seconds = Seconds(1.5e-3);
/// More airtime than this leaves gaps no better (keeps the gaps longer than nothing).
const MOST_AIRTIME: f64 = 0.98;
/// First-try success closer than this is equal.
const EQUAL: f64 = 1e-6;

/// A Wi-Fi transmitter as heard where the things are.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WifiSource {
    /// Centre of its channel.
    pub centre: Hertz,
    /// Width of its channel.
    pub width: Hertz,
    /// Its level in all of its width.
    pub level: Dbm,
    /// Share of time that it is on the air; 30 % is taken if it is not a number (common practice, no source).
    pub airtime: f64,
}

impl WifiSource {
    /// A neighbour of the site, as heard there.
    #[must_use]
    pub fn of_neighbour(neighbour: &Neighbour) -> Self {
        let airtime = neighbour.load.unwrap_or(f64::NAN);
        Self { centre: neighbour.centre, width: neighbour.width, level: neighbour.level, airtime }
    }
}

/// A network of small things.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ThingNetwork {
    /// Level at which its frames arrive, on the weakest link that matters.
    pub level: Dbm,
    /// Octets of a frame, 1 to 127.
    pub octets: u8,
    /// The channel that it is on, 11 to 26, if there is a network already.
    pub current: Option<u8>,
    /// Devices to join again if the channel changes.
    pub devices: u32,
    /// Time to join one again [min].
    pub minutes_per_device: f64,
    /// Messages of a device each day.
    pub messages_per_day: f64,
    /// Time that a lost message costs somebody [min].
    pub minutes_per_loss: f64,
    /// A move must have paid for itself in this time [d].
    pub payback_days: f64,
    /// Power that devices give up on channel 26, next to the edge of the band.
    pub edge_loss: Db,
}

impl ThingNetwork {
    /// A network with usual values: 50 octets; 5 minutes to join a device; 100 messages a day; a lost one costs a minute; a move must pay within a
    /// year; 5 dB less on channel 26. Common practice, no source.
    #[must_use]
    pub const fn new(level: Dbm, devices: u32, current: Option<u8>) -> Self {
        Self {
            level,
            octets: 50,
            current,
            devices,
            minutes_per_device: 5.0,
            messages_per_day: 100.0,
            minutes_per_loss: 1.0,
            payback_days: 365.0,
            edge_loss: Db(5.0),
        }
    }
}

/// What is to be expected on a channel.
#[derive(Clone, Debug, PartialEq)]
pub struct ThingChannel {
    /// Its number, 11 to 26.
    pub number: u8,
    /// Its centre.
    pub centre: Hertz,
    /// Share of looks that find the channel busy.
    pub busy: f64,
    /// Chance that a message goes through at the first transmission.
    pub first_try: f64,
    /// Chance that it goes through at all.
    pub delivered: f64,
    /// Strongest Wi-Fi within its 2 MHz, if there is any.
    pub strongest: Option<Dbm>,
    /// Wi-Fi sources whose channel covers some of it, by place in the list.
    pub covered_by: Vec<usize>,
}

/// The channels in order, and whether to move.
#[derive(Clone, Debug, PartialEq)]
pub struct ThingAdvice {
    /// All sixteen, best first.
    pub ranked: Vec<ThingChannel>,
    /// Time to join every device again [min].
    pub move_minutes: f64,
    /// Messages lost each day as it is, if there is a current channel.
    pub lost_now: Option<f64>,
    /// Messages lost each day on the best channel.
    pub lost_best: f64,
    /// Days until the move has saved its own time; infinite if it saves none.
    pub payback_days: Option<f64>,
    /// True if moving is worth it; nothing if there is no current channel.
    pub is_worth_moving: Option<bool>,
    /// The advice in one sentence.
    pub why: String,
}

/// A number that cannot be.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[error("{what} is {value}; it must be {must}")]
pub struct ThingError {
    /// Which number.
    pub what: String,
    /// Its value.
    pub value: f64,
    /// What is allowed.
    pub must: &'static str,
}

/// Ranks the 802.15.4 channels 11 to 26 of 2.4 GHz for a home's Wi-Fi.
///
/// # Model
/// - Wi-Fi power within a channel's 2 MHz: the source's level spread by the transmit spectrum mask of its width (flat to 1 MHz within the edge, -20 dB 1 MHz beyond,
///   -28 dB at one width, -45 dB at one and a half: IEEE 802.11-2020, 19.3.18.1 for 20 and 40 MHz, scaled to others). The mask is the most that is
///   allowed; many transmitters are cleaner. What a receiver lets through from beside its channel is not in it.
/// - A source that is heard at -75 dBm or more keeps things from sending while it is on the air; five busy looks lose the message. Otherwise the
///   frame begins at any time. Wi-Fi does not hold back for things. It is on the air in bursts of 1.5 ms with gaps at random, and
///   meets a frame and its acknowledgement with the chance of a burst in their time.
/// - A frame that is met survives with `(1 - BER)^bits` over the mean overlap, BER of O-QPSK by IEEE 802.15.4-2006, E.4.1.8. Sources are independent, and
///   so are the up to four transmissions and the looks.
/// - Ranked by the chance of the first try, then 26 last, then the lower channel. Moving costs the time to join each device again; it saves the
///   messages that are no longer lost.
///
/// # Units
/// Levels [dBm], shares 0 to 1, times as named.
///
/// # Errors
/// [`ThingError`] for a value that cannot be.
///
/// # Example
/// ```
/// use units::{Dbm, Hertz};
/// use wlan::{ThingNetwork, WifiSource, thing_channels};
/// let wifi = WifiSource { centre: Hertz::from_mhz(2437.0), width: Hertz::from_mhz(20.0), level: Dbm(-45.0), airtime: 0.3 };
/// let advice = thing_channels(&[wifi], &ThingNetwork::new(Dbm(-75.0), 20, Some(18))).unwrap();
/// assert!(advice.is_worth_moving == Some(true) && advice.ranked[15].covered_by == [0]);
/// ```
pub fn thing_channels(wifi: &[WifiSource], network: &ThingNetwork) -> Result<ThingAdvice, ThingError> {
    check(wifi, network)?;
    let mut ranked: Vec<ThingChannel> = (11..=26).map(|number| outlook(wifi, network, number)).collect();
    let lost = |c: &ThingChannel| f64::from(network.devices) * network.messages_per_day * (1.0 - c.delivered);
    let now = network.current.and_then(|number| ranked.iter().find(|c| c.number == number).cloned());
    // Rounded so that the order is a total one.
    let first = |c: &ThingChannel| (c.first_try / EQUAL).round();
    ranked.sort_by(|a, b| {
        first(b).total_cmp(&first(a)).then((a.number == 26).cmp(&(b.number == 26))).then(a.number.cmp(&b.number))
    });
    let best = ranked.first().cloned().unwrap_or_else(|| outlook(wifi, network, 15));
    let move_minutes = f64::from(network.devices) * network.minutes_per_device;
    let (lost_now, lost_best) = (now.as_ref().map(lost), lost(&best));
    let payback_days = lost_now.map(|lost_now| {
        let saved = (lost_now - lost_best) * network.minutes_per_loss;
        if saved > 0.0 { move_minutes / saved } else { f64::INFINITY }
    });
    let is_other = network.current != Some(best.number);
    let is_worth_moving = payback_days.map(|days| is_other && days <= network.payback_days);
    let why = match (&now, lost_now, payback_days) {
        (Some(now), Some(lost_now), Some(days)) if is_other => {
            let pays = if days.is_finite() { format!("pays after {days:.1} days") } else { "saves nothing".to_owned() };
            format!(
                "channel {} loses {lost_now:.2} messages a day, channel {} {lost_best:.2}; joining {} devices again takes {move_minutes:.0} min and {pays}",
                now.number, best.number, network.devices
            )
        }
        (Some(now), ..) => format!("channel {} is the best for this Wi-Fi already", now.number),
        _ => {
            format!("channel {}: {:.1} % of messages go through at the first try", best.number, best.first_try * 100.0)
        }
    };
    Ok(ThingAdvice { ranked, move_minutes, lost_now, lost_best, payback_days, is_worth_moving, why })
}

fn check(wifi: &[WifiSource], network: &ThingNetwork) -> Result<(), ThingError> {
    let fail = |what: &str, value: f64, must| Err(ThingError { what: what.to_owned(), value, must });
    if !network.level.is_finite() {
        return fail("level of the things [dBm]", network.level.0, "a number");
    }
    if !(1..=127).contains(&network.octets) {
        return fail("octets of a frame", f64::from(network.octets), "1 to 127");
    }
    if let Some(current) = network.current.filter(|c| !(11..=26).contains(c)) {
        return fail("current channel", f64::from(current), "11 to 26");
    }
    let amounts = [
        ("minutes to join a device", network.minutes_per_device),
        ("messages a day", network.messages_per_day),
        ("minutes for a lost message", network.minutes_per_loss),
        ("days to pay back", network.payback_days),
        ("loss on channel 26 [dB]", network.edge_loss.0),
    ];
    for (what, value) in amounts {
        if !(value.is_finite() && value >= 0.0) {
            return fail(what, value, "zero or more");
        }
    }
    for (idx, source) in wifi.iter().enumerate() {
        let width = source.width.mhz();
        if !(source.centre.is_finite() && width.is_finite() && width > 2.0) {
            return fail(
                &format!("width of Wi-Fi source {idx} [MHz]"),
                width,
                "more than 2, with a centre that is a number",
            );
        }
        if source.level.0.is_nan() || source.level.0 == f64::INFINITY {
            return fail(&format!("level of Wi-Fi source {idx} [dBm]"), source.level.0, "a number");
        }
    }
    Ok(())
}

fn centre_mhz(number: u8) -> f64 {
    2405.0 + 5.0 * (f64::from(number) - 11.0)
}

/// Transmit spectrum mask at a distance from the centre [dB].
fn mask(away_mhz: f64, width_mhz: f64) -> f64 {
    let half = width_mhz / 2.0;
    let points = [(half - 1.0, 0.0), (half + 1.0, -20.0), (width_mhz, -28.0), (1.5 * width_mhz, -45.0)];
    let mut before = (0.0, 0.0);
    for point in points {
        if away_mhz <= point.0 {
            let part = if point.0 > before.0 { (away_mhz - before.0) / (point.0 - before.0) } else { 1.0 };
            return before.1 + (point.1 - before.1) * part;
        }
        before = point;
    }
    before.1
}

/// Wi-Fi power within 2 MHz about a frequency, as a share of all [dB].
fn within_2_mhz(source: &WifiSource, centre: f64) -> f64 {
    const STEPS: u32 = 20;
    let width = source.width.mhz();
    let away = centre - source.centre.mhz();
    let sum: f64 = (0..STEPS)
        .map(|k| 10f64.powf(mask((away - 1.0 + (f64::from(k) + 0.5) * 2.0 / f64::from(STEPS)).abs(), width) / 10.0))
        .sum();
    // Nearly all of the power is between the points where the mask has fallen by 3 dB, 0.15 of the way down to -20 dB.
    10.0 * (sum * 2.0 / f64::from(STEPS) / (width - 1.4)).log10()
}

/// Bit error rate of O-QPSK with 16-ary symbols at a ratio of signal to interference and noise (IEEE 802.15.4-2006, E.4.1.8).
fn bit_error_rate(ratio: f64) -> f64 {
    let mut binomial = 1.0;
    let mut sum = 0.0;
    for k in 1..=16 {
        binomial *= f64::from(17 - k) / f64::from(k);
        if k >= 2 {
            let sign = if k % 2 == 0 { 1.0 } else { -1.0 };
            sum += sign * binomial * (20.0 * ratio * (1.0 / f64::from(k) - 1.0)).exp();
        }
    }
    (8.0 / 15.0 / 16.0 * sum).clamp(0.0, 0.5)
}

fn outlook(wifi: &[WifiSource], network: &ThingNetwork, number: u8) -> ThingChannel {
    let centre = centre_mhz(number);
    let linear = |level: f64| 10f64.powf(level / 10.0);
    let signal = linear(network.level.0 - if number == 26 { network.edge_loss.0 } else { 0.0 });
    let noise = linear(NOISE.0);
    let frame = (HEAD_OCTETS + f64::from(network.octets)) * OCTET;
    // The frame and its acknowledgement must both come through.
    let exposed = frame + TURNAROUND + (HEAD_OCTETS + ACK_OCTETS) * OCTET;
    let bits = BITS_PER_SECOND * (exposed - TURNAROUND);
    let mut intact = (1.0 - bit_error_rate(signal / noise)).powf(bits);
    let mut idle = 1.0;
    let mut strongest: Option<Dbm> = None;
    let mut covered_by = Vec::new();
    for (idx, source) in wifi.iter().enumerate() {
        let away = (centre - source.centre.mhz()).abs();
        if away < source.width.mhz() / 2.0 + 1.0 {
            covered_by.push(idx);
        }
        let level = Dbm(source.level.0 + within_2_mhz(source, centre));
        strongest = Some(strongest.map_or(level, |s| s.max(level)));
        let airtime =
            if source.airtime.is_nan() { ASSUMED_NEIGHBOUR_LOAD } else { source.airtime.clamp(0.0, MOST_AIRTIME) };
        let gap = BURST.0 * (1.0 - airtime) / airtime;
        let stays_clear = if airtime > 0.0 { (-exposed / gap).exp() } else { 1.0 };
        let met = if level.0 >= BUSY_LEVEL.0 {
            idle *= 1.0 - airtime;
            1.0 - stays_clear
        } else {
            1.0 - (1.0 - airtime) * stays_clear
        };
        // Mean overlap of two intervals that meet at random.
        let overlap = exposed * BURST.0 / (exposed + BURST.0);
        let survives = (1.0 - bit_error_rate(signal / (noise + linear(level.0)))).powf(BITS_PER_SECOND * overlap);
        intact *= 1.0 - met * (1.0 - survives);
    }
    let busy = 1.0 - idle;
    let gets_on = 1.0 - busy.powi(LOOKS);
    let first_try = gets_on * intact;
    let again = gets_on * (1.0 - intact);
    let delivered = (0..TRANSMISSIONS).map(|k| again.powi(k as i32) * first_try).sum::<f64>().min(1.0);
    ThingChannel {
        number,
        centre: Hertz::from_mhz(centre),
        busy,
        first_try,
        delivered,
        strongest: strongest.filter(|s| s.is_finite()),
        covered_by,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn source(centre: f64, width: f64) -> WifiSource {
        WifiSource { centre: Hertz::from_mhz(centre), width: Hertz::from_mhz(width), level: Dbm(0.0), airtime: 0.5 }
    }

    #[test]
    fn the_mask_has_its_corners_and_its_power_adds_up() {
        for (away, level) in
            [(0.0, 0.0), (9.0, 0.0), (10.0, -10.0), (11.0, -20.0), (20.0, -28.0), (30.0, -45.0), (90.0, -45.0)]
        {
            assert!((mask(away, 20.0) - level).abs() < 1e-9, "{away}");
        }
        assert!((mask(40.0, 40.0) + 28.0).abs() < 1e-9);
        // All of the power in steps of 2 MHz.
        for width in [20.0, 40.0] {
            let all: f64 = (-60..=60)
                .map(|k| 10f64.powf(within_2_mhz(&source(2437.0, width), 2437.0 + 2.0 * f64::from(k)) / 10.0))
                .sum();
            assert!((10.0 * all.log10()).abs() < 0.3, "{width}: {all}");
        }
    }

    /// The formula's sum is over binomials of 16: at no signal it is 8/15 · 1/16 · 15 = 1/2; at 0 dB the two largest terms give 5.3e-4... by hand:
    /// k = 2: 120 e^-10, k = 3: -560 e^-13.33, k = 4: 1820 e^-15.
    #[test]
    fn bit_errors_by_hand() {
        assert!((bit_error_rate(0.0) - 0.5).abs() < 1e-9);
        let terms = [(2, 120.0), (3, -560.0), (4, 1820.0), (5, -4368.0), (6, 8008.0), (7, -11440.0), (8, 12870.0)];
        let more = [
            (9, -11440.0),
            (10, 8008.0),
            (11, -4368.0),
            (12, 1820.0),
            (13, -560.0),
            (14, 120.0),
            (15, -16.0),
            (16, 1.0),
        ];
        for ratio in [0.3, 1.0, 2.0] {
            let sum: f64 =
                terms.iter().chain(&more).map(|(k, n)| n * (20.0 * ratio * (1.0 / f64::from(*k) - 1.0)).exp()).sum();
            assert!((bit_error_rate(ratio) - sum / 30.0).abs() < 1e-12, "{ratio}");
        }
    }
}
