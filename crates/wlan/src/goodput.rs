//! What one station alone on a channel carries above UDP, with the MAC's real times. Contention between stations is not here.

use radio_profile::{Band, Generation};
use units::{BitsPerSecond, Hertz, Seconds};

use crate::rates::{GuardInterval, RateError, modulation, symbol};

/// How data is sent: everything that sets the PHY rate.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Mode {
    /// Generation of the PPDU's format.
    pub generation: Generation,
    /// Its width.
    pub width: Hertz,
    /// Spatial streams.
    pub streams: u8,
    /// Modulation and coding scheme of each stream.
    pub mcs: u8,
    /// Guard interval.
    pub gi: GuardInterval,
}

/// Times and sizes of the MAC around the data.
#[derive(Clone, Debug, PartialEq)]
pub struct MacConfig {
    /// Payload of a datagram [octets].
    pub payload: u32,
    /// Octets between payload and MAC: UDP 8, IPv4 20, LLC/SNAP 8.
    pub upper_headers: u32,
    /// MAC header with QoS control 26 and FCS 4, and CCMP's header and check 8 + 8 where the link is encrypted [octets].
    pub mac_headers: u32,
    /// Arbitration slots (AIFSN): 3 for best effort, IEEE 802.11-2020 Table 9-155.
    pub aifsn: u32,
    /// Least contention window: 15 for best effort, same table.
    pub cw_min: u32,
    /// Longest PPDU: 5.484 ms (aPPDUMaxTime; IEEE 802.11-2020 Tables 19-25 and 21-29, 802.11ax-2021 Table 27-54).
    pub ppdu_max: Seconds,
    /// Frames joined in one PPDU at most; what the generation allows if absent.
    pub mpdus_max: Option<u32>,
    /// Longest A-MPDU [octets]; what the generation allows if absent.
    pub ampdu_max: Option<u32>,
}

impl Default for MacConfig {
    /// Best effort, encrypted, 1500-octet IP packets, full aggregation.
    fn default() -> Self {
        Self {
            payload: 1472,
            upper_headers: 36,
            mac_headers: 46,
            aifsn: 3,
            cw_min: 15,
            ppdu_max: Seconds(5.484e-3),
            mpdus_max: None,
            ampdu_max: None,
        }
    }
}

impl MacConfig {
    /// The same without encryption.
    #[must_use]
    pub fn open() -> Self {
        Self { mac_headers: 30, ..Self::default() }
    }
}

/// One exchange, from the medium falling idle to the end of the acknowledgement.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Exchange {
    /// Frames in the PPDU.
    pub mpdus: u32,
    /// Length of the data PPDU.
    pub ppdu: Seconds,
    /// Whole length with mean backoff, arbitration, SIFS and acknowledgement.
    pub cycle: Seconds,
    /// Payload that it carries [bit].
    pub payload_bits: f64,
}

impl Exchange {
    /// Payload over time.
    #[must_use]
    pub fn goodput(&self) -> BitsPerSecond {
        BitsPerSecond(self.payload_bits / self.cycle.0)
    }
}

const SLOT: f64 = 9e-6;

/// SIFS: 10 µs in 2.4 GHz, 16 µs above (IEEE 802.11-2020 Tables 17-21, 18-5, 19-25).
pub(crate) const fn sifs(band: Band) -> f64 {
    match band {
        Band::Ghz2 => 10e-6,
        Band::Ghz5 | Band::Ghz6 => 16e-6,
    }
}

/// Signal extension of 2.4 GHz: 6 µs of silence after each OFDM PPDU (IEEE 802.11-2020, 18.3.2.4 and 19.3.2).
pub(crate) const fn signal_extension(band: Band) -> f64 {
    match band {
        Band::Ghz2 => 6e-6,
        Band::Ghz5 | Band::Ghz6 => 0.0,
    }
}

/// Number of long training fields for a number of streams (IEEE 802.11-2020 Tables 19-13 and 21-13).
pub(crate) const fn training_fields(streams: u8) -> u32 {
    match streams {
        0 | 1 => 1,
        2 => 2,
        3 | 4 => 4,
        5 | 6 => 6,
        _ => 8,
    }
}

/// Length of everything before the data symbols.
///
/// HT mixed format 20 + 8 + 4 + 4·N_LTF µs (802.11-2020, 19.3.9); VHT 20 + 8 + 4 + 4·N_LTF + 4 (21.3.8); HE SU 20 + 4 + 8 + 4 + N_LTF·(T_LTF + T_GI)
/// (802.11ax-2021, 27.3.11) with 2× LTF of 6.4 µs, 4× of 12.8 µs at the longest guard interval; EHT 20 + 4 + 8 + 8 + 4 + as HE (802.11be-2024, 36.3.12).
pub(crate) fn preamble(mode: &Mode) -> f64 {
    let fields = f64::from(training_fields(mode.streams));
    let high_efficiency_field = match mode.gi {
        GuardInterval::Ns3200 => 12.8 + 3.2,
        gi => 6.4 + gi.micros(),
    };
    let micros = match mode.generation {
        Generation::N => 32.0 + 4.0 * fields,
        Generation::Ac => 36.0 + 4.0 * fields,
        Generation::Ax => 36.0 + high_efficiency_field * fields,
        Generation::Be => 44.0 + high_efficiency_field * fields,
    };
    micros * 1e-6
}

/// Rate of the acknowledgement by MCS: the highest mandatory non-HT rate (6, 12, 24 Mbit/s) not above the data's non-HT reference rate
/// (IEEE 802.11-2020, 10.6.6.5.2 and 10.6.11).
pub(crate) fn control_bits_per_symbol(mcs: u8) -> f64 {
    match modulation(mcs) {
        Some((1, ..)) | None => 24.0,
        Some((2, ..)) => 48.0,
        Some(_) => 96.0,
    }
}

/// Length of a non-HT control frame [s].
pub(crate) fn control_frame(octets: u32, bits_per_symbol: f64) -> f64 {
    20e-6 + 4e-6 * ((16.0 + 8.0 * f64::from(octets) + 6.0) / bits_per_symbol).ceil()
}

/// Most frames in an A-MPDU (BlockAck window) and longest A-MPDU [octets].
///
/// HT: 64 and 65 535; VHT: 64 and 1 048 575 (IEEE 802.11-2020, Tables 9-184, 9-272 and 10.25); HE: 256 and 6 500 631 (802.11ax-2021, 27.3 Table 27-54);
/// EHT: 1024 and 15 523 200 (802.11be-2024, Table 36-70).
pub(crate) const fn aggregate_limits(generation: Generation) -> (u32, u32) {
    match generation {
        Generation::N => (64, 65_535),
        Generation::Ac => (64, 1_048_575),
        Generation::Ax => (256, 6_500_631),
        Generation::Be => (1024, 15_523_200),
    }
}

/// Length of the acknowledgement of so many frames [octets]: Ack 14, BlockAck 24 and its bitmap of 64, 256, 512 or 1024 bit.
pub(crate) const fn acknowledgement(mpdus: u32) -> u32 {
    match mpdus {
        0 | 1 => 14,
        2..=64 => 24 + 8,
        65..=256 => 24 + 32,
        257..=512 => 24 + 64,
        _ => 24 + 128,
    }
}

/// One exchange of a saturated station that is alone on its channel.
///
/// # Model
/// AIFS + mean backoff of the least window + one A-MPDU as long as its limits allow + SIFS + BlockAck at a basic rate; no loss, no TXOP burst, no
/// packet extension, no beacons. A frame that alone passes the longest PPDU is still sent (the standard would fragment it).
///
/// # Errors
/// [`RateError`] if the mode does not exist.
///
/// # References
/// IEEE 802.11-2020 clauses 9.7, 10.3, 10.6, 10.23, 19.4.3, 21.4.3; 802.11ax-2021 clause 27.4.3.
pub fn exchange(mode: &Mode, band: Band, mac: &MacConfig) -> Result<Exchange, RateError> {
    let (bits_per_symbol, symbol_time) = symbol(mode.generation, mode.width, mode.streams, mode.mcs, mode.gi)?;
    let mpdu = mac.payload.saturating_add(mac.upper_headers).saturating_add(mac.mac_headers);
    // Delimiter of 4 octets, then the frame padded to 4 octets.
    let subframe = f64::from(mpdu.saturating_add(4)) + f64::from((4 - mpdu % 4) % 4);
    let data_time = |octets: f64| {
        let symbols = ((16.0 + 8.0 * octets + 6.0) / bits_per_symbol).ceil() * symbol_time.0;
        // With the short guard interval of HT and VHT, the PPDU ends on a boundary of 4 µs.
        if mode.gi == GuardInterval::Ns400 { 4e-6 * (symbols / 4e-6 - 1e-9).ceil() } else { symbols }
    };
    let (window, longest) = aggregate_limits(mode.generation);
    let window = mac.mpdus_max.map_or(window, |m| m.clamp(1, window));
    let longest = mac.ampdu_max.map_or(longest, |m| m.min(longest));
    let by_length = (f64::from(longest) / subframe).floor();
    let symbols = ((mac.ppdu_max.0 - preamble(mode)) / symbol_time.0).floor();
    let by_time = ((symbols * bits_per_symbol - 22.0) / (8.0 * subframe)).floor();
    let mpdus = by_length.min(by_time).clamp(1.0, f64::from(window));
    let octets = mpdus * subframe;
    let ppdu = preamble(mode) + data_time(octets) + signal_extension(band);
    let mpdus = mpdus as u32;
    let control = control_frame(acknowledgement(mpdus), control_bits_per_symbol(mode.mcs)) + signal_extension(band);
    let aifs = sifs(band) + f64::from(mac.aifsn) * SLOT;
    let backoff = f64::from(mac.cw_min) / 2.0 * SLOT;
    Ok(Exchange {
        mpdus,
        ppdu: Seconds(ppdu),
        cycle: Seconds(aifs + backoff + ppdu + sifs(band) + control),
        payload_bits: 8.0 * f64::from(mac.payload) * f64::from(mpdus),
    })
}

/// Payload rate of one saturated station alone on its channel; see [`exchange`].
///
/// # Errors
/// [`RateError`] if the mode does not exist.
pub fn goodput(mode: &Mode, band: Band, mac: &MacConfig) -> Result<BitsPerSecond, RateError> {
    exchange(mode, band, mac).map(|e| e.goodput())
}
