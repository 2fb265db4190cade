//! What a twisted-pair channel does to a signal: loss, delay, loop resistance, and how long it may be.
//!
//! Crosstalk and return loss depend on how the cable was made, pulled and ended. They are measured after installation
//! and never predicted; [`crosstalk_limit`] gives what the measurement is held against.

use equipment::{CableCore, CableSpec, Category};
use units::Metres;

use crate::conductor::{Wire, resistance_per_metre};

/// Longest permanent link: outlet to panel, without cords (TIA-568, ISO/IEC 11801-1).
pub const LONGEST_LINK: Metres = Metres(90.0);
/// Longest channel: the link and the cords at both its ends (TIA-568, ISO/IEC 11801-1).
pub const LONGEST_CHANNEL: Metres = Metres(100.0);
/// Longest loop resistance of a pair of a channel [Ω] at 20 °C (ISO/IEC 11801-1, TIA-568.2-D; from memory).
pub const MOST_LOOP_OHM: f64 = 25.0;
/// Longest delay of a channel [ns] (TIA-568.2-D, from memory).
pub const MOST_DELAY_NS: f64 = 555.0;
/// Most that the pairs of a channel may differ in delay [ns] (TIA-568.2-D, from memory).
pub const MOST_SKEW_NS: f64 = 50.0;
/// Most that the pairs of a cable of 100 m may differ in delay [ns] (TIA-568-B.2).
const CABLE_SKEW_NS: f64 = 45.0;
/// Delay skew that each connection may add [ns] (TIA-568.2-D: 1.25 ns, from memory).
const CONNECTION_SKEW_NS: f64 = 1.25;
/// Delay that each connection may add [ns] (TIA-568.2-D: 2.5 ns, from memory).
const CONNECTION_DELAY_NS: f64 = 2.5;
/// Resistance of a contact, both conductors of a pair, of one connection [Ω] (IEC 60603-7: 20 mΩ a contact when new, and as much
/// again for what it may gain; from memory).
const CONNECTION_OHM: f64 = 0.04 * 2.0;

/// A length of one cable in a channel.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Piece<'a> {
    /// The cable or cord.
    pub cable: &'a CableSpec,
    /// How long it is.
    pub length: Metres,
    /// Its temperature [°C].
    pub celsius: f64,
}

/// Highest frequency of a category [MHz] (TIA-568.2-D).
#[must_use]
pub const fn highest_mhz(category: Category) -> f64 {
    match category {
        Category::Cat5e => 100.0,
        Category::Cat6 => 250.0,
        Category::Cat6a => 500.0,
        Category::Cat8 => 2000.0,
    }
}

/// `a √f + b f + c / √f` of a category's cable, per 100 m (TIA-568.2-D; from memory, proven at the published 100 MHz).
const fn terms(category: Category) -> [f64; 3] {
    match category {
        Category::Cat5e => [1.967, 0.023, 0.05],
        Category::Cat6 => [1.808, 0.017, 0.2],
        Category::Cat6a => [1.82, 0.0091, 0.25],
        Category::Cat8 => [1.8, 0.005, 0.25],
    }
}

/// Loss of 100 m of a category's cable at 20 °C, the most that the category permits.
///
/// # Units
/// Frequency in MHz, result in dB per 100 m.
///
/// # Validity
/// 1 MHz to the category's highest frequency, both included; nothing outside.
///
/// # Example
/// ```
/// use cabling::channel::cable_loss_db_per_100m;
/// let loss = cable_loss_db_per_100m(equipment::Category::Cat6, 100.0).unwrap();
/// assert!((loss - 19.8).abs() < 0.05);
/// ```
///
/// # References
/// TIA-568.2-D, insertion loss of horizontal cable (form from memory; 22.0 dB and 19.8 dB at 100 MHz are published).
#[must_use]
pub fn cable_loss_db_per_100m(category: Category, mhz: f64) -> Option<f64> {
    if !(1.0..=highest_mhz(category)).contains(&mhz) {
        return None;
    }
    let [root, straight, inverse] = terms(category);
    Some(root * mhz.sqrt() + straight * mhz + inverse / mhz.sqrt())
}

/// Loss of one connection at a frequency [dB]: 0.04 √f for category 5e, else 0.02 √f (TIA-568.2-D, from memory).
#[must_use]
pub fn connection_loss_db(category: Category, mhz: f64) -> f64 {
    let each = if category == Category::Cat5e { 0.04 } else { 0.02 };
    each * mhz.max(0.0).sqrt()
}

/// Loss at the limit for a channel of 100 m with four connections (24 m of link and 6 m of cords with two for category 8).
///
/// # Units
/// Frequency in MHz, result in dB.
///
/// # Validity
/// 1 MHz to the category's highest frequency; nothing outside.
///
/// # References
/// TIA-568.2-D, channel insertion loss: 1.02 times the cable for categories 5e and 6 (90 m, and 10 m with 20 % more),
/// 1.05 for 6A, 1.02 of 30 m for 8; 0.0003 f^1.5 for what reflections add in category 6 (from memory; 24.0 dB and 21.3 dB
/// at 100 MHz are published).
#[must_use]
pub fn channel_loss_limit_db(category: Category, mhz: f64) -> Option<f64> {
    let cable = cable_loss_db_per_100m(category, mhz)?;
    let connection = connection_loss_db(category, mhz);
    Some(match category {
        Category::Cat5e => 1.02 * cable + 4.0 * connection,
        Category::Cat6 => 1.02 * cable + 4.0 * connection + 0.0003 * mhz.powf(1.5),
        Category::Cat6a => 1.05 * cable + 4.0 * connection,
        // 24 m and 6 m of cords with 20 % more.
        Category::Cat8 => (0.24 + 0.06 * 1.2) * cable + 2.0 * connection,
    })
}

/// Loss of ISO/IEC 11801's class E channel [dB] at a frequency [MHz], 1 to 250 MHz: it is stricter than category 6 at the top
/// (from memory).
#[must_use]
pub fn class_e_limit_db(mhz: f64) -> Option<f64> {
    (1.0..=250.0).contains(&mhz).then(|| {
        1.05 * (1.82 * mhz.sqrt() + 0.0169 * mhz + 0.25 / mhz.sqrt()) + 4.0 * connection_loss_db(Category::Cat6, mhz)
    })
}

/// Factor on loss for temperature.
///
/// # Model
/// Unscreened: 0.4 % for each kelvin from 20 to 40 °C, 0.6 % for each above. Screened: 0.2 % for each kelvin above 20 °C.
/// Below 20 °C nothing is gained, which is on the safe side.
///
/// # Validity
/// −60 to 120 °C; nothing outside.
///
/// # References
/// TIA-568.2-D, maximum horizontal cable length with temperature (from memory).
#[must_use]
pub fn loss_factor(celsius: f64, screened: bool) -> Option<f64> {
    if !(-60.0..=120.0).contains(&celsius) {
        return None;
    }
    let (warm, hot) = ((celsius.min(40.0) - 20.0).max(0.0), (celsius - 40.0).max(0.0));
    Some(if screened { 1.0 + 0.002 * (warm + hot) } else { 1.0 + 0.004 * warm + 0.006 * hot })
}

/// How much more a cord loses than cable of its category, as a share: by gauge of its strands.
///
/// 0.2 for 24 AWG and thicker, 0.5 for 26 AWG, 0.95 for 28 AWG; between the square roots of areas are followed, and
/// nothing is said of thinner ones. Solid cable loses no more than its category permits.
///
/// # References
/// TIA-568.2-D, 6.3 and its annex on 28 AWG cords: 10 m of them go with 82.5 m of cable, 6 m with 90 m.
#[must_use]
pub fn cord_derating(gauge_awg: u8, stranded: bool) -> Option<f64> {
    match (stranded, gauge_awg) {
        (_, 33..) => None,
        (false, _) | (true, 0..=21) => Some(0.0),
        (true, 22..=24) => Some(0.2),
        // 25 and 27 lie between their neighbours.
        (true, 25) => Some(0.35),
        (true, 26) => Some(0.5),
        (true, 27) => Some(0.72),
        (true, 28) => Some(0.95),
        (true, _) => None,
    }
}

/// Most cord, both ends together, that goes with a fixed link of a length.
///
/// # Model
/// `C = (102 m − H) / (1 + D)`, with the link's length H and the cord's derating D, and never more than 10 m with the longest
/// link of 90 m and cords of 24 AWG. Fixed link and cords together then lose what the longest channel loses.
///
/// # Units
/// m; share; m.
///
/// # Validity
/// Links of 0 to 90 m; nothing outside or for NaN.
///
/// # References
/// TIA-568.2-D, 6.3.1; ISO/IEC 11801-1 has the same rule as a table.
#[must_use]
pub fn most_cord(link: Metres, derating: f64) -> Option<Metres> {
    let fits = (0.0..=LONGEST_LINK.value()).contains(&link.value()) && (0.0..=2.0).contains(&derating);
    fits.then(|| Metres((102.0 - link.value()) / (1.0 + derating)))
}

/// Loss of a channel made of pieces and connections.
///
/// # Model
/// Each piece loses what its category permits for its length, times its factor of temperature, and more if it is a cord; each
/// connection adds its part. The pieces are as bad as they may be, so that a good cable loses less: this is an upper bound.
///
/// # Units
/// MHz; dB.
///
/// # Validity
/// Nothing if a piece is no twisted pair, has a length that is negative or not finite, or the frequency is outside a piece's
/// category.
#[must_use]
pub fn channel_loss_db(pieces: &[Piece], connections: u32, mhz: f64) -> Option<f64> {
    let mut loss = 0.0;
    let mut worst = Category::Cat8;
    for piece in pieces {
        let CableCore::TwistedPairs { category, gauge_awg, stranded, screened, .. } = piece.cable.core else {
            return None;
        };
        worst = worst.min(category);
        let length = checked(piece.length)?;
        let more = 1.0 + cord_derating(gauge_awg, stranded)?;
        let hot = loss_factor(piece.celsius, screened)?;
        loss += cable_loss_db_per_100m(category, mhz)? * length / 100.0 * more * hot;
    }
    Some(loss + f64::from(connections) * connection_loss_db(worst, mhz))
}

/// Delay of a channel at 10 MHz and above, and by how much its pairs may differ.
///
/// # Model
/// `534 + 36 / √f` ns for 100 m at f in MHz, at most; 2.5 ns and 1.25 ns of skew a connection.
///
/// # Units
/// m, MHz, ns.
///
/// # Validity
/// From 1 MHz on; nothing below or for lengths that are negative or not finite.
///
/// # References
/// TIA-568.2-D (from memory; skew of 45 ns for 100 m of cable is published).
#[must_use]
pub fn delay_ns(length: Metres, connections: u32, mhz: f64) -> Option<Delay> {
    let hundreds = checked(length)? / 100.0;
    (mhz.is_finite() && mhz >= 1.0).then(|| Delay {
        delay_ns: (534.0 + 36.0 / mhz.sqrt()) * hundreds + CONNECTION_DELAY_NS * f64::from(connections),
        skew_ns: CABLE_SKEW_NS * hundreds + CONNECTION_SKEW_NS * f64::from(connections),
    })
}

/// Delay of a channel.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Delay {
    /// Longest delay of a pair [ns].
    pub delay_ns: f64,
    /// Most that pairs differ [ns].
    pub skew_ns: f64,
}

/// Loop resistance of one pair of a channel, low and high.
///
/// # Model
/// Out and back along every piece, with its gauge, material and temperature, and two contacts for each connection.
///
/// # Units
/// Ω.
///
/// # Validity
/// Nothing if a piece is no twisted pair, or its length, gauge or temperature is out of range.
#[must_use]
pub fn loop_ohm(pieces: &[Piece], connections: u32) -> Option<[f64; 2]> {
    let mut sum = [CONNECTION_OHM * f64::from(connections); 2];
    for piece in pieces {
        let wire = wire_of(piece.cable)?;
        let length = checked(piece.length)?;
        let [low, high] = resistance_per_metre(wire, piece.celsius)?;
        sum[0] += 2.0 * low * length;
        sum[1] += 2.0 * high * length;
    }
    Some(sum)
}

/// The conductors of a twisted-pair cable.
#[must_use]
pub const fn wire_of(cable: &CableSpec) -> Option<Wire> {
    match cable.core {
        CableCore::TwistedPairs { gauge_awg, conductor, stranded, .. } => Some(Wire { gauge_awg, conductor, stranded }),
        CableCore::Fibre { .. } => None,
    }
}

fn checked(length: Metres) -> Option<f64> {
    (length.is_finite() && length.value() >= 0.0).then_some(length.value())
}

/// What a measurement of crosstalk and return loss of a channel is held against [dB]; it is no prediction.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MeasuredLimit {
    /// Least loss from one pair to the next at the near end.
    pub near_end_crosstalk_db: f64,
    /// Least return loss.
    pub return_loss_db: f64,
}

/// Limits for measured crosstalk and return loss of a channel at a frequency [MHz].
///
/// # Model
/// Near-end crosstalk: of the cable and of two connections added as voltages, at most 60 dB (category 5e) or 65 dB. Return loss:
/// level, then falling with frequency.
///
/// # Validity
/// Categories 5e, 6 and 6A from 1 MHz to their highest frequency; nothing else.
///
/// # References
/// TIA-568.2-D (forms from memory; proven at published points of 5e and 6). 6A at 500 MHz gives 26.3 dB where 26.1 dB is
/// remembered.
#[must_use]
pub fn crosstalk_limit(category: Category, mhz: f64) -> Option<MeasuredLimit> {
    if !(1.0..=highest_mhz(category)).contains(&mhz) {
        return None;
    }
    let decades = (mhz / 100.0).log10();
    let (cable, connection, most) = match category {
        Category::Cat5e => (35.3 - 15.0 * decades, 43.0 - 20.0 * decades, 60.0),
        Category::Cat6 | Category::Cat6a => {
            let connection = if category == Category::Cat6a && mhz > 250.0 {
                46.04 - 30.0 * (mhz / 250.0).log10()
            } else {
                54.0 - 20.0 * decades
            };
            (44.3 - 15.0 * decades, connection, 65.0)
        }
        Category::Cat8 => return None,
    };
    let voltage = |db: f64| 10_f64.powf(-db / 20.0);
    let near_end = -20.0 * (voltage(cable) + 2.0 * voltage(connection)).log10();
    let return_loss = match category {
        Category::Cat5e if mhz <= 20.0 => 17.0,
        Category::Cat5e => 17.0 - 10.0 * (mhz / 20.0).log10(),
        _ if mhz <= 10.0 => 19.0,
        _ if mhz <= 40.0 => 24.0 - 5.0 * mhz.log10(),
        _ if mhz <= 398.1 => 32.0 - 10.0 * mhz.log10(),
        _ => 6.0,
    };
    Some(MeasuredLimit { near_end_crosstalk_db: near_end.min(most), return_loss_db: return_loss })
}
