//! Lengths on the air of data, acknowledgements and protection, from the standard's timing. Who transmits when is not here.

use radio_profile::{Band, Generation};
use units::Seconds;

use super::{Exchange, Request};
use crate::goodput::{
    Mode, acknowledgement, aggregate_limits, control_bits_per_symbol, control_frame, preamble, sifs, signal_extension,
    training_fields,
};
use crate::rates::{GuardInterval, RateError, symbol};

/// How data is modulated.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Phy {
    /// 802.11b: 1, 2, 5.5 or 11 Mbit/s (IEEE 802.11-2020, clauses 15 and 16).
    Dsss {
        /// Data rate [Mbit/s].
        mbps: f64,
        /// Preamble and header of 96 µs in place of 192 µs (16.2.2); 1 Mbit/s has only the long one.
        short_preamble: bool,
    },
    /// 802.11a and g: 6 to 54 Mbit/s (clauses 17 and 18).
    Ofdm {
        /// Data rate [Mbit/s].
        mbps: f64,
    },
    /// 802.11n and later (clauses 19, 21, 27, 36).
    High(Mode),
}

/// Whether an RTS and a CTS come first.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Protection {
    /// Basic access.
    None,
    /// RTS and CTS at a rate of the PHY below.
    RtsCts {
        /// Rate of the RTS [Mbit/s]; the CTS has the highest basic rate that is not above.
        mbps: f64,
    },
}

/// One exchange to be timed. The constructors set the usual values; every field may be changed.
#[derive(Clone, Debug, PartialEq)]
pub struct Frame {
    /// How the data is sent.
    pub phy: Phy,
    /// Band: sets SIFS and signal extension.
    pub band: Band,
    /// UDP payload of a datagram [octets].
    pub payload: u32,
    /// UDP 8, IPv4 20, LLC/SNAP 8 [octets].
    pub upper_headers: u32,
    /// MAC header and FCS, 28, with QoS control 30; with CCMP 16 more [octets].
    pub mac_headers: u32,
    /// Frames in an A-MPDU at most; what the block ack window allows if absent.
    pub mpdus_max: Option<u32>,
    /// Longest A-MPDU [octets]; what the generation allows if absent.
    pub ampdu_max: Option<u32>,
    /// Frames of the block ack agreement, which set the size of its bitmap; the most of the generation if absent.
    pub block_ack_window: Option<u32>,
    /// Longest PPDU (aPPDUMaxTime, 5.484 ms).
    pub ppdu_max: Seconds,
    /// RTS and CTS.
    pub protection: Protection,
    /// Rate of acknowledgements [Mbit/s]; the highest basic rate not above the data's if absent.
    pub response_mbps: Option<f64>,
    /// Length of one HE or EHT long training field with its guard interval; 2× LTF and the data's guard interval if absent.
    pub training_field: Option<Seconds>,
}

/// Why an exchange has no length.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum FrameError {
    /// The mode does not exist.
    #[error(transparent)]
    Rate(#[from] RateError),
    /// A rate that the PHY does not have.
    #[error("{mbps} Mbit/s is no rate of {phy}")]
    NoRate {
        /// Rate asked for [Mbit/s].
        mbps: f64,
        /// Name of the PHY and its rates.
        phy: &'static str,
    },
    /// No payload, or a frame longer than any MPDU.
    #[error(
        "a payload of {0} octets: an MPDU holds 1 to 11,454 octets with its headers (IEEE 802.11-2020, Table 9-25)"
    )]
    Payload(u32),
    /// The frame alone is longer than a PPDU may be.
    #[error(
        "a PPDU of {micros:.0} µs, longer than the longest of {longest:.0} µs: send smaller frames or a higher rate"
    )]
    TooLong {
        /// Its length [µs].
        micros: f64,
        /// The longest [µs].
        longest: f64,
    },
}

const OFDM_RATES: [f64; 8] = [6.0, 9.0, 12.0, 18.0, 24.0, 36.0, 48.0, 54.0];
const DSSS_RATES: [f64; 4] = [1.0, 2.0, 5.5, 11.0];
/// Basic rates of 802.11b cells: 1 and 2 Mbit/s, those that every DSSS station has (common practice, no source).
const DSSS_BASIC: [f64; 2] = [1.0, 2.0];
/// Mandatory rates of OFDM (IEEE 802.11-2020, 17.2.3.4).
const OFDM_BASIC: [f64; 3] = [6.0, 12.0, 24.0];
/// Octets of RTS, CTS, Ack and block ack request (IEEE 802.11-2020, 9.3.1.2, 9.3.1.3, 9.3.1.4, 9.3.1.7).
const RTS: u32 = 20;
const CTS: u32 = 14;
const ACK: u32 = 14;
const REQUEST: u32 = 24;

fn highest_not_above(basic: &[f64], mbps: f64) -> f64 {
    basic.iter().copied().filter(|b| *b <= mbps + 1e-9).fold(basic.first().copied().unwrap_or(mbps), f64::max)
}

impl Frame {
    /// 1472 octets of UDP payload over IPv4, unencrypted, full aggregation, basic access.
    #[must_use]
    pub const fn new(phy: Phy, band: Band) -> Self {
        let mac_headers = match phy {
            Phy::High(_) => 30,
            Phy::Dsss { .. } | Phy::Ofdm { .. } => 28,
        };
        Self {
            phy,
            band,
            payload: 1472,
            upper_headers: 36,
            mac_headers,
            mpdus_max: None,
            ampdu_max: None,
            block_ack_window: None,
            ppdu_max: Seconds(5.484e-3),
            protection: Protection::None,
            response_mbps: None,
            training_field: None,
        }
    }

    /// The same with CCMP: 8 octets of header and 8 of check (IEEE 802.11-2020, 12.5.3.2).
    #[must_use]
    pub const fn encrypted(self) -> Self {
        Self { mac_headers: self.mac_headers.saturating_add(16), ..self }
    }

    fn mpdu(&self) -> Result<u32, FrameError> {
        let size = self.payload.saturating_add(self.upper_headers).saturating_add(self.mac_headers);
        if self.payload == 0 || size > 11_454 { Err(FrameError::Payload(self.payload)) } else { Ok(size) }
    }

    /// Length of a frame sent without aggregation features, at a rate of the family that this PHY's control frames use.
    fn control(&self, octets: u32, mbps: f64) -> Result<f64, FrameError> {
        match self.phy {
            Phy::Dsss { short_preamble, .. } => dsss(octets, mbps, short_preamble),
            Phy::Ofdm { .. } | Phy::High(_) => ofdm(octets, mbps, self.band),
        }
    }

    fn response_mbps(&self) -> f64 {
        self.response_mbps.unwrap_or_else(|| match self.phy {
            Phy::Dsss { mbps, .. } => highest_not_above(&DSSS_BASIC, mbps),
            Phy::Ofdm { mbps } => highest_not_above(&OFDM_BASIC, mbps),
            Phy::High(mode) => control_bits_per_symbol(mode.mcs) / 4.0,
        })
    }

    /// Frames in the PPDU and its length [s].
    ///
    /// # Errors
    /// [`FrameError`] if the mode or rate does not exist or a single frame passes the longest PPDU.
    pub fn data(&self) -> Result<(u32, Seconds), FrameError> {
        let mpdu = self.mpdu()?;
        let (mpdus, length) = match self.phy {
            Phy::Dsss { mbps, short_preamble } => (1, dsss(mpdu, mbps, short_preamble)?),
            Phy::Ofdm { mbps } => (1, ofdm(mpdu, mbps, self.band)?),
            Phy::High(mode) => self.aggregate(&mode, mpdu)?,
        };
        // The limit of 5.484 ms came with HT; DSSS frames of full size take 12 ms.
        if matches!(self.phy, Phy::High(_)) && length > self.ppdu_max.0 {
            return Err(FrameError::TooLong { micros: length * 1e6, longest: self.ppdu_max.0 * 1e6 });
        }
        Ok((mpdus, Seconds(length)))
    }

    /// As many frames as window, octets and time allow (IEEE 802.11-2020, 10.12), and the length of the PPDU.
    fn aggregate(&self, mode: &Mode, mpdu: u32) -> Result<(u32, f64), FrameError> {
        let (bits_per_symbol, symbol_time) = symbol(mode.generation, mode.width, mode.streams, mode.mcs, mode.gi)?;
        let high_efficiency = mode.generation >= Generation::Ax;
        let head = match self.training_field {
            Some(field) if high_efficiency => {
                let fixed = if mode.generation == Generation::Ax { 36e-6 } else { 44e-6 };
                fixed + f64::from(training_fields(mode.streams)) * field.0
            }
            _ => preamble(mode),
        } + signal_extension(self.band);
        let length = |octets: f64| {
            let symbols = ((22.0 + 8.0 * octets) / bits_per_symbol).ceil() * symbol_time.0;
            // With the short guard interval of HT and VHT, the PPDU ends on a boundary of 4 µs.
            head + if mode.gi == GuardInterval::Ns400 { 4e-6 * (symbols / 4e-6 - 1e-9).ceil() } else { symbols }
        };
        let subframe = f64::from(4 + mpdu.next_multiple_of(4));
        let (window, longest) = aggregate_limits(mode.generation);
        let window = window.min(self.block_ack_window.unwrap_or(window)).min(self.mpdus_max.unwrap_or(window)).max(1);
        let longest = self.ampdu_max.map_or(longest, |m| m.min(longest));
        let symbols = ((self.ppdu_max.0 - head) / symbol_time.0 + 1e-9).floor();
        let by_time = ((symbols * bits_per_symbol - 22.0) / (8.0 * subframe)).floor();
        let by_octets = (f64::from(longest) / subframe).floor();
        let mpdus = by_time.min(by_octets).clamp(1.0, f64::from(window));
        // A single frame of HT goes without a delimiter; VHT and later always send an A-MPDU.
        let octets = if mpdus < 2.0 && mode.generation == Generation::N { f64::from(mpdu) } else { mpdus * subframe };
        Ok((mpdus as u32, length(octets)))
    }

    /// Times and payload of the whole exchange.
    ///
    /// # Model
    /// `[RTS, SIFS, CTS, SIFS,] data, SIFS, Ack` or, for two frames or more, `BlockAck`. An aggregate without protection that gets no answer is followed by
    /// a block ack request.
    ///
    /// # Errors
    /// [`FrameError`] as for [`Frame::data`], and for a rate of RTS or acknowledgement that the PHY does not have.
    ///
    /// # Example
    /// ```
    /// use radio_profile::Band;
    /// use wlan::contention::{Frame, Phy};
    /// // 1536 octets at 54 Mbit/s: 20 µs and 57 symbols of 4 µs; ack of 14 octets at 24 Mbit/s: 28 µs.
    /// let exchange = Frame::new(Phy::Ofdm { mbps: 54.0 }, Band::Ghz5).exchange().unwrap();
    /// assert!((exchange.success.0 - 292e-6).abs() < 1e-12);
    /// ```
    ///
    /// # References
    /// IEEE 802.11-2020 clauses 10.3.2, 10.6.6, 10.12, 10.25, 16.3.4, 17.4.3, 19.4.3, 21.4.3; 802.11ax-2021 clause 27.4.3.
    pub fn exchange(&self) -> Result<Exchange, FrameError> {
        let sifs = sifs(self.band);
        let (mpdus, Seconds(data)) = self.data()?;
        let rate = self.response_mbps();
        let answer = if let (Phy::High(mode), true) = (self.phy, mpdus > 1) {
            let window = aggregate_limits(mode.generation).0;
            self.control(acknowledgement(window.min(self.block_ack_window.unwrap_or(window)).max(2)), rate)?
        } else {
            self.control(ACK, rate)?
        };
        let (mut first, mut success, mut request) = (data, data + sifs + answer, None);
        match self.protection {
            Protection::RtsCts { mbps } => {
                let basic = if matches!(self.phy, Phy::Dsss { .. }) { &DSSS_BASIC[..] } else { &OFDM_BASIC[..] };
                first = self.control(RTS, mbps)?;
                success += first + self.control(CTS, highest_not_above(basic, mbps))? + 2.0 * sifs;
            }
            Protection::None if mpdus > 1 => {
                let ask = self.control(REQUEST, rate)?;
                request = Some(Request { first: Seconds(ask), success: Seconds(ask + sifs + answer) });
            }
            Protection::None => {}
        }
        let payload_bits = 8.0 * f64::from(self.payload) * f64::from(mpdus);
        Ok(Exchange { first: Seconds(first), success: Seconds(success), payload_bits, request })
    }
}

/// Non-HT OFDM: 20 µs and symbols of 4 µs, with 6 µs of signal extension in 2.4 GHz (IEEE 802.11-2020, 17.4.3 and 18.5.3).
fn ofdm(octets: u32, mbps: f64, band: Band) -> Result<f64, FrameError> {
    if !OFDM_RATES.iter().any(|r| (r - mbps).abs() < 1e-9) {
        return Err(FrameError::NoRate { mbps, phy: "OFDM (6, 9, 12, 18, 24, 36, 48, 54 Mbit/s)" });
    }
    Ok(control_frame(octets, mbps * 4.0) + signal_extension(band))
}

/// DSSS and CCK: preamble and header of 192 or 96 µs, then whole microseconds (IEEE 802.11-2020, 15.4.5 and 16.3.4).
fn dsss(octets: u32, mbps: f64, short_preamble: bool) -> Result<f64, FrameError> {
    if !DSSS_RATES.iter().any(|r| (r - mbps).abs() < 1e-9) {
        return Err(FrameError::NoRate { mbps, phy: "DSSS (1, 2, 5.5, 11 Mbit/s)" });
    }
    let head = if short_preamble && mbps > 1.5 { 96e-6 } else { 192e-6 };
    Ok(head + 1e-6 * (8.0 * f64::from(octets) / mbps - 1e-9).ceil())
}
