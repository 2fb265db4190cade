//! Radio of locks and sensors in 2.4 GHz: 802.15.4 and Bluetooth Low Energy. Channels, packets and link budgets.
//! What Wi-Fi does to them: see `coexistence`. Their networks (who relays for whom) are not here.

use units::{BitsPerSecond, Db, Dbm, Hertz, Seconds};

/// A way of sending.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum LowPowerRadio {
    /// IEEE 802.15.4, O-QPSK at 2450 MHz, 250 kbit/s.
    Ieee802154,
    /// Bluetooth LE, 1 Mbit/s.
    Ble1M,
    /// Bluetooth LE, 2 Mbit/s.
    Ble2M,
    /// Bluetooth LE, coded for 500 kbit/s.
    BleCodedS2,
    /// Bluetooth LE, coded for 125 kbit/s.
    BleCodedS8,
}

/// Noise-like ratio at which uncoded Bluetooth LE has the bit error rate of its reference sensitivity, 0.1 %: `2 ln 500`.
const BLE_REFERENCE_RATIO: f64 = 12.429_216_196_844_383;

impl LowPowerRadio {
    /// Rate of the octets of a packet (IEEE 802.15.4-2020, 12.1; Bluetooth Core 5.4, volume 6, part A).
    #[must_use]
    pub const fn bit_rate(self) -> BitsPerSecond {
        BitsPerSecond(match self {
            LowPowerRadio::Ieee802154 => 250e3,
            LowPowerRadio::Ble1M => 1e6,
            LowPowerRadio::Ble2M => 2e6,
            LowPowerRadio::BleCodedS2 => 500e3,
            LowPowerRadio::BleCodedS8 => 125e3,
        })
    }

    /// Width that a receiver listens in: 2 MHz, and 1 MHz for Bluetooth at 1 million symbols a second (modulation bandwidths).
    #[must_use]
    pub const fn width(self) -> Hertz {
        Hertz(match self {
            LowPowerRadio::Ieee802154 | LowPowerRadio::Ble2M => 2e6,
            LowPowerRadio::Ble1M | LowPowerRadio::BleCodedS2 | LowPowerRadio::BleCodedS8 => 1e6,
        })
    }

    /// Sensitivity that the standard asks for: -85 dBm (IEEE 802.15.4-2020, 12.3.4); Bluetooth Core 5.4, volume 6, part A, 4.1: -70 dBm uncoded, -75 and
    /// -82 dBm coded. From memory, but for the first.
    #[must_use]
    pub const fn required_sensitivity(self) -> Dbm {
        Dbm(match self {
            LowPowerRadio::Ieee802154 => -85.0,
            LowPowerRadio::Ble1M | LowPowerRadio::Ble2M => -70.0,
            LowPowerRadio::BleCodedS2 => -75.0,
            LowPowerRadio::BleCodedS8 => -82.0,
        })
    }

    /// Sensitivity that receivers have: a generic figure, the poor end of what published data sheets give (802.15.4 -100 to -102 dBm; Bluetooth LE
    /// -95 to -99, -92 to -96, coded -98 to -103 and -102 to -108 dBm).
    #[must_use]
    pub const fn usual_sensitivity(self) -> Dbm {
        Dbm(match self {
            LowPowerRadio::Ieee802154 => -100.0,
            LowPowerRadio::Ble1M => -95.0,
            LowPowerRadio::Ble2M => -92.0,
            LowPowerRadio::BleCodedS2 => -98.0,
            LowPowerRadio::BleCodedS8 => -102.0,
        })
    }

    /// Longest payload of a packet [octets]: 127 of 802.15.4 (aMaxPhyPacketSize), 255 of Bluetooth LE.
    #[must_use]
    pub const fn longest(self) -> u32 {
        match self {
            LowPowerRadio::Ieee802154 => 127,
            _ => 255,
        }
    }

    /// Whether it listens before it sends.
    #[must_use]
    pub const fn listens_first(self) -> bool {
        matches!(self, LowPowerRadio::Ieee802154)
    }

    /// Length on the air of a packet with so many octets of payload.
    ///
    /// # Model
    /// 802.15.4: 6 octets of preamble, delimiter and length before it (12.1.1). Bluetooth LE: preamble of 8 µs, access address 4, header 2, CRC 3 octets;
    /// coded: preamble 80, address 256, coding indicator 16 and terminator 24 µs, then the rest with its 3 bits of terminator (volume 6, part B, 2).
    #[must_use]
    pub fn airtime(self, octets: u32) -> Seconds {
        let octet = 8.0 / self.bit_rate().0;
        let octets = f64::from(octets);
        Seconds(match self {
            LowPowerRadio::Ieee802154 => octet * (octets + 6.0),
            LowPowerRadio::Ble1M | LowPowerRadio::Ble2M => 8e-6 + octet * (octets + 9.0),
            LowPowerRadio::BleCodedS2 | LowPowerRadio::BleCodedS8 => {
                376e-6 + octet * (octets + 5.0) + 3.0 / self.bit_rate().0
            }
        })
    }

    /// Length of a packet with the answer to it: 802.15.4 192 µs and an acknowledgement of 5 octets, Bluetooth LE 150 µs and an empty packet.
    #[must_use]
    pub fn exchange(self, octets: u32) -> Seconds {
        let (pause, answer) = if self.listens_first() { (192e-6, 5) } else { (150e-6, 0) };
        Seconds(self.airtime(octets).0 + pause + self.airtime(answer).0)
    }

    /// Bit error rate at a ratio of signal to noise and interference in [`LowPowerRadio::width`].
    ///
    /// 802.15.4: `8/15 · 1/16 · Σ (-1)^k C(16, k) exp(20 γ (1/k - 1))`, k from 2 to 16 (IEEE 802.15.4-2006, E.4.1.8). Bluetooth LE `½ exp(-γ/2)`,
    /// binary FSK without phase; coded, γ raised by what the sensitivity is better than uncoded.
    fn bit_error_rate(self, ratio: f64) -> f64 {
        if self == LowPowerRadio::Ieee802154 {
            let (mut sum, mut choose) = (0.0, 16.0);
            for k in 2..=16u8 {
                let k = f64::from(k);
                choose *= (17.0 - k) / k;
                let sign = if k % 2.0 == 0.0 { 1.0 } else { -1.0 };
                sum += sign * choose * (20.0 * ratio * (1.0 / k - 1.0)).exp();
            }
            return (8.0 / 15.0 / 16.0 * sum).clamp(0.0, 0.5);
        }
        let gain = match self {
            LowPowerRadio::BleCodedS2 | LowPowerRadio::BleCodedS8 => {
                (LowPowerRadio::Ble1M.usual_sensitivity() - self.usual_sensitivity()).ratio()
            }
            _ => 1.0,
        };
        0.5 * (-ratio * gain / 2.0).exp()
    }

    /// Ratio at the sensitivity: 1 % loss of packets of 20 octets (802.15.4, 12.3.4 with 10.1.7), or a bit error rate of 0.1 %.
    pub(crate) fn reference_ratio(self) -> f64 {
        if self != LowPowerRadio::Ieee802154 {
            let uncoded = (LowPowerRadio::Ble1M.usual_sensitivity() - self.usual_sensitivity()).ratio();
            let is_coded = matches!(self, LowPowerRadio::BleCodedS2 | LowPowerRadio::BleCodedS8);
            return BLE_REFERENCE_RATIO / if is_coded { uncoded } else { 1.0 };
        }
        let (mut low, mut high) = (0.01, 10.0);
        while high - low > 1e-9 {
            let middle = 0.5 * (low + high);
            if self.arrives(20, middle) < 0.99 { low = middle } else { high = middle }
        }
        high
    }

    /// Chance that a packet arrives at a ratio.
    pub(crate) fn arrives(self, octets: u32, ratio: f64) -> f64 {
        let bits = self.airtime(octets).0 * self.bit_rate().0;
        (bits * (-self.bit_error_rate(ratio)).ln_1p()).exp()
    }
}

/// A channel of 2 MHz.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LowPowerChannel {
    /// Its number.
    pub number: u8,
    /// Its centre [MHz].
    pub centre_mhz: u16,
}

impl LowPowerChannel {
    /// Centre frequency.
    #[must_use]
    pub fn centre(&self) -> Hertz {
        Hertz::from_mhz(f64::from(self.centre_mhz))
    }

    /// True if its 2 MHz share spectrum with a Wi-Fi channel.
    #[must_use]
    pub fn overlaps(&self, centre: Hertz, width: Hertz) -> bool {
        (self.centre() - centre).0.abs() < width.0 / 2.0 + 1e6
    }
}

/// Channels of 802.15.4 at 2450 MHz: 11 to 26 at `2405 + 5 (k - 11)` MHz (IEEE 802.15.4-2020, 10.1.3).
#[must_use]
pub fn ieee802154_channels() -> Vec<LowPowerChannel> {
    (11..=26).map(|number| LowPowerChannel { number, centre_mhz: 2405 + 5 * (u16::from(number) - 11) }).collect()
}

/// Channels of Bluetooth LE by frequency: 0 to 36 for data, 37, 38 and 39 (2402, 2426, 2480 MHz) for advertising (Core 5.4, volume 6, part B, 1.4.1).
#[must_use]
pub fn ble_channels() -> Vec<LowPowerChannel> {
    let number = |k: u8| match k {
        0 => 37,
        1..=11 => k - 1,
        12 => 38,
        13..=38 => k - 2,
        _ => 39,
    };
    (0..40).map(|k| LowPowerChannel { number: number(k), centre_mhz: 2402 + 2 * u16::from(k) }).collect()
}

/// Powers by class, lowest first: 802.15.4 must have -3 dBm (IEEE 802.15.4-2020, 12.3.8, from memory), battery devices have about 0, hubs 8 (generic
/// figures); Bluetooth LE classes 3, 2, 1.5 and 1 have at most 0, 4, 10 and 20 dBm (Core 5.4, volume 6, part A, 3, from memory).
#[must_use]
pub const fn power_classes(radio: LowPowerRadio) -> &'static [Dbm] {
    match radio {
        LowPowerRadio::Ieee802154 => &[Dbm(-3.0), Dbm(0.0), Dbm(8.0)],
        _ => &[Dbm(0.0), Dbm(4.0), Dbm(10.0), Dbm(20.0)],
    }
}

/// One end of a link.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LowPowerEnd {
    /// Conducted power.
    pub tx_power: Dbm,
    /// Antenna gain over isotropic.
    pub antenna_gain: Db,
    /// Sensitivity.
    pub sensitivity: Dbm,
}

impl LowPowerEnd {
    /// A device on a battery: 0 dBm and an antenna of -3 dBi in its housing (generic figures).
    #[must_use]
    pub const fn battery(radio: LowPowerRadio) -> Self {
        Self { tx_power: Dbm(0.0), antenna_gain: Db(-3.0), sensitivity: radio.usual_sensitivity() }
    }

    /// A hub on the mains: 8 dBm and 0 dBi (generic figures).
    #[must_use]
    pub const fn hub(radio: LowPowerRadio) -> Self {
        Self { tx_power: Dbm(8.0), antenna_gain: Db(0.0), sensitivity: radio.usual_sensitivity() }
    }
}

/// Level at one end of what the other sends over a path gain between isotropic antennas.
#[must_use]
pub fn low_power_level(from: &LowPowerEnd, to: &LowPowerEnd, gain: Db) -> Dbm {
    from.tx_power + from.antenna_gain + to.antenna_gain + gain
}

/// What the worse direction has over its sensitivity at a path gain; not a number if one of the figures is none.
#[must_use]
pub fn low_power_margin(a: &LowPowerEnd, b: &LowPowerEnd, gain: Db) -> Db {
    let (there, back) = (low_power_level(a, b, gain) - b.sensitivity, low_power_level(b, a, gain) - a.sensitivity);
    // What is not a number in one direction makes the link unknown.
    if back.0 < there.0 || back.0.is_nan() { back } else { there }
}

/// The least path gain at which both directions have a margin; the inverse of [`low_power_margin`].
#[must_use]
pub fn low_power_required_gain(a: &LowPowerEnd, b: &LowPowerEnd, margin: Db) -> Db {
    margin - low_power_margin(a, b, Db(0.0))
}

/// True if the ends do not reach each other with a margin, so that another device must relay. A gain that is not a number needs one.
#[must_use]
pub fn needs_relay(a: &LowPowerEnd, b: &LowPowerEnd, gain: Db, margin: Db) -> bool {
    let reaches = low_power_margin(a, b, gain).0 >= margin.0;
    !reaches
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The sum with its binomials of 16 written out; at no signal it is 8/15 · 1/16 · 15 = 1/2.
    #[test]
    fn bit_errors_by_hand() {
        let bit_errors = |ratio| LowPowerRadio::Ieee802154.bit_error_rate(ratio);
        assert!((bit_errors(0.0) - 0.5).abs() < 1e-9);
        let half = [(2, 120.0), (3, -560.0), (4, 1820.0), (5, -4368.0), (6, 8008.0), (7, -11440.0), (8, 12870.0)];
        let rest = [(9, -11440.0), (10, 8008.0), (11, -4368.0), (12, 1820.0), (13, -560.0), (14, 120.0), (15, -16.0)];
        for ratio in [0.3, 1.0, 2.0] {
            let term = |(k, n): &(i32, f64)| n * (20.0 * ratio * (1.0 / f64::from(*k) - 1.0)).exp();
            let sum: f64 = half.iter().chain(&rest).chain(&[(16, 1.0)]).map(term).sum();
            assert!((bit_errors(ratio) - sum / 30.0).abs() < 1e-12, "{ratio}");
        }
    }
}
