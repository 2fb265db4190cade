//! Data rates and minimum receiver sensitivities of 802.11n/ac/ax/be, from the standard's formula. Not what a link carries: see `goodput`.

use radio_profile::{Band, Generation};
use units::{BitsPerSecond, Dbm, Hertz, Seconds};

/// Guard interval between symbols.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum GuardInterval {
    /// 0.4 µs (HT and VHT only).
    Ns400,
    /// 0.8 µs.
    Ns800,
    /// 1.6 µs (HE and EHT only).
    Ns1600,
    /// 3.2 µs (HE and EHT only).
    Ns3200,
}

impl GuardInterval {
    /// Its length [µs].
    #[must_use]
    pub const fn micros(self) -> f64 {
        match self {
            GuardInterval::Ns400 => 0.4,
            GuardInterval::Ns800 => 0.8,
            GuardInterval::Ns1600 => 1.6,
            GuardInterval::Ns3200 => 3.2,
        }
    }
}

/// A resource unit of HE (and EHT): the share of a channel that one station gets.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum ResourceUnit {
    /// 26 tones, about 2 MHz.
    Ru26,
    /// 52 tones, about 4 MHz.
    Ru52,
    /// 106 tones, about 8 MHz.
    Ru106,
    /// 242 tones: all of 20 MHz.
    Ru242,
    /// 484 tones: all of 40 MHz.
    Ru484,
    /// 996 tones: all of 80 MHz.
    Ru996,
    /// 2 × 996 tones: all of 160 MHz.
    Ru2x996,
    /// 4 × 996 tones: all of 320 MHz (EHT only).
    Ru4x996,
}

impl ResourceUnit {
    /// Data subcarriers N_SD (IEEE 802.11ax-2021, 27.3.2.2 to 27.3.2.4; 4 × 996: IEEE 802.11be-2024).
    #[must_use]
    pub const fn data_subcarriers(self) -> u32 {
        match self {
            ResourceUnit::Ru26 => 24,
            ResourceUnit::Ru52 => 48,
            ResourceUnit::Ru106 => 102,
            ResourceUnit::Ru242 => 234,
            ResourceUnit::Ru484 => 468,
            ResourceUnit::Ru996 => 980,
            ResourceUnit::Ru2x996 => 1960,
            ResourceUnit::Ru4x996 => 3920,
        }
    }
}

/// Why a combination has no rate.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum RateError {
    /// The generation has no such width.
    #[error(
        "{generation:?} has no channels of {width_mhz} MHz; use 20 MHz times a power of two up to {widest_mhz} MHz"
    )]
    Width {
        /// The generation.
        generation: Generation,
        /// The width asked for, rounded [MHz].
        width_mhz: i64,
        /// The widest that it has [MHz].
        widest_mhz: i64,
    },
    /// Zero streams, or more than the generation has.
    #[error("{streams} spatial streams: {generation:?} has 1 to {most}")]
    Streams {
        /// The generation.
        generation: Generation,
        /// The number asked for.
        streams: u8,
        /// The most it has.
        most: u8,
    },
    /// The generation has no such modulation and coding scheme.
    #[error("MCS {mcs}: {generation:?} has 0 to {highest} for each stream")]
    Mcs {
        /// The generation.
        generation: Generation,
        /// The scheme asked for.
        mcs: u8,
        /// The highest it has.
        highest: u8,
    },
    /// The generation has no such guard interval.
    #[error("{generation:?} has no guard interval of {gi:?}")]
    GuardInterval {
        /// The generation.
        generation: Generation,
        /// The interval asked for.
        gi: GuardInterval,
    },
    /// A combination that VHT leaves out because its coded bits do not divide evenly among the encoders.
    #[error("VHT leaves out MCS {mcs} with {streams} streams at {width_mhz} MHz (IEEE 802.11-2020, 21.5)")]
    LeftOut {
        /// The scheme.
        mcs: u8,
        /// The streams.
        streams: u8,
        /// The width [MHz].
        width_mhz: i64,
    },
}

/// Coded bits a subcarrier and stream, and coding rate, of an MCS 0 to 13.
pub(crate) const fn modulation(mcs: u8) -> Option<(u32, u32, u32)> {
    Some(match mcs {
        0 => (1, 1, 2),
        1 => (2, 1, 2),
        2 => (2, 3, 4),
        3 => (4, 1, 2),
        4 => (4, 3, 4),
        5 => (6, 2, 3),
        6 => (6, 3, 4),
        7 => (6, 5, 6),
        8 => (8, 3, 4),
        9 => (8, 5, 6),
        10 => (10, 3, 4),
        11 => (10, 5, 6),
        12 => (12, 3, 4),
        13 => (12, 5, 6),
        _ => return None,
    })
}

/// Highest MCS of one stream that a generation has.
#[must_use]
pub const fn highest_mcs(generation: Generation) -> u8 {
    match generation {
        Generation::N => 7,
        Generation::Ac => 9,
        Generation::Ax => 11,
        Generation::Be => 13,
    }
}

/// Most spatial streams that a generation has: 4 for HT, else 8.
#[must_use]
pub const fn most_streams(generation: Generation) -> u8 {
    match generation {
        Generation::N => 4,
        Generation::Ac | Generation::Ax | Generation::Be => 8,
    }
}

/// Widest channel of a generation in a band [MHz]; nothing where it does not exist (HT and VHT in 6 GHz).
///
/// In 2.4 GHz a VHT radio works as HT, and HE and EHT have at most 40 MHz.
#[must_use]
pub const fn widest_mhz(generation: Generation, band: Band) -> Option<u32> {
    Some(match (generation, band) {
        (_, Band::Ghz2) => 40,
        (Generation::N, Band::Ghz5) => 40,
        (Generation::N | Generation::Ac, Band::Ghz6) => return None,
        (Generation::Be, Band::Ghz6) => 320,
        (_, Band::Ghz5 | Band::Ghz6) => 160,
    })
}

/// Width in whole megahertz if it is 20, 40, 80, 160 or 320 MHz.
pub(crate) fn width_mhz(width: Hertz) -> Option<u32> {
    [20, 40, 80, 160, 320].into_iter().find(|w| (width.mhz() - f64::from(*w)).abs() < 1e-6)
}

fn data_subcarriers(generation: Generation, width: u32) -> Option<u32> {
    Some(match (generation, width) {
        (Generation::N | Generation::Ac, 20) => 52,
        (Generation::N | Generation::Ac, 40) => 108,
        (Generation::Ac, 80) => 234,
        (Generation::Ac, 160) => 468,
        (Generation::Ax | Generation::Be, 20) => ResourceUnit::Ru242.data_subcarriers(),
        (Generation::Ax | Generation::Be, 40) => ResourceUnit::Ru484.data_subcarriers(),
        (Generation::Ax | Generation::Be, 80) => ResourceUnit::Ru996.data_subcarriers(),
        (Generation::Ax | Generation::Be, 160) => ResourceUnit::Ru2x996.data_subcarriers(),
        (Generation::Be, 320) => ResourceUnit::Ru4x996.data_subcarriers(),
        _ => return None,
    })
}

/// True for the combinations without a rate in the VHT-MCS tables (IEEE 802.11-2020, 21.5).
///
/// There the coded bits of a symbol would not fall evenly on the encoders, or an encoder's block not on whole information bits.
/// The standard lists them; its choice of the number of encoders has exceptions, so that a rule would be a table too.
const fn vht_left_out(width: u32, streams: u8, mcs: u8) -> bool {
    matches!((width, mcs, streams), (20, 9, 1 | 2 | 4 | 5 | 7 | 8) | (80, 6, 3 | 7) | (80, 9, 6) | (160, 9, 3))
}

/// Data bits a symbol (N_DBPS) and symbol length with its guard interval.
pub(crate) fn symbol(
    generation: Generation,
    width: Hertz,
    streams: u8,
    mcs: u8,
    gi: GuardInterval,
) -> Result<(f64, Seconds), RateError> {
    let most = most_streams(generation);
    if streams == 0 || streams > most {
        return Err(RateError::Streams { generation, streams, most });
    }
    let highest = highest_mcs(generation);
    let (bits, numerator, denominator) =
        modulation(mcs).filter(|_| mcs <= highest).ok_or(RateError::Mcs { generation, mcs, highest })?;
    let no_width = || RateError::Width {
        generation,
        width_mhz: width.mhz().round() as i64,
        widest_mhz: match generation {
            Generation::N => 40,
            Generation::Ac | Generation::Ax => 160,
            Generation::Be => 320,
        },
    };
    let mhz = width_mhz(width).ok_or_else(no_width)?;
    let subcarriers = data_subcarriers(generation, mhz).ok_or_else(no_width)?;
    let high_efficiency = generation >= Generation::Ax;
    let fits = if high_efficiency { gi != GuardInterval::Ns400 } else { gi <= GuardInterval::Ns800 };
    if !fits {
        return Err(RateError::GuardInterval { generation, gi });
    }
    if generation == Generation::Ac && vht_left_out(mhz, streams, mcs) {
        return Err(RateError::LeftOut { mcs, streams, width_mhz: i64::from(mhz) });
    }
    let data_bits =
        f64::from(subcarriers) * f64::from(bits) * f64::from(streams) * f64::from(numerator) / f64::from(denominator);
    let transform = if high_efficiency { 12.8 } else { 3.2 };
    Ok((data_bits, Seconds((transform + gi.micros()) * 1e-6)))
}

/// Data rate of a PPDU that fills its channel.
///
/// # Model
/// `N_SD · N_BPSCS · R · N_SS / (T_DFT + T_GI)`; IEEE 802.11-2020 clauses 19.5 (HT, MCS here counted for one stream, 0 to 7) and 21.5 (VHT),
/// 802.11ax-2021 clause 27.5, 802.11be-2024 clause 36.5. T_DFT is 3.2 µs for HT and VHT, 12.8 µs for HE and EHT.
///
/// # Errors
/// [`RateError`] for a combination that the standard does not have.
///
/// # Example
/// ```
/// use radio_profile::Generation;
/// use units::Hertz;
/// let rate = wlan::data_rate(Generation::Ax, Hertz::from_mhz(80.0), 2, 11, wlan::GuardInterval::Ns800).unwrap();
/// assert!((rate.mbps() - 1201.0).abs() < 0.05);
/// ```
pub fn data_rate(
    generation: Generation,
    width: Hertz,
    streams: u8,
    mcs: u8,
    gi: GuardInterval,
) -> Result<BitsPerSecond, RateError> {
    let (bits, time) = symbol(generation, width, streams, mcs, gi)?;
    Ok(BitsPerSecond(bits / time.0))
}

/// Data rate of one HE or EHT resource unit.
///
/// # Errors
/// [`RateError`] for streams, MCS or guard interval that the generation (HE, or EHT above MCS 11 and for 4 × 996 tones) does not have.
pub fn resource_unit_rate(
    unit: ResourceUnit,
    streams: u8,
    mcs: u8,
    gi: GuardInterval,
) -> Result<BitsPerSecond, RateError> {
    let generation = if mcs > 11 || unit == ResourceUnit::Ru4x996 { Generation::Be } else { Generation::Ax };
    // The checks are those of a full channel; only the number of tones differs.
    let (bits, time) = symbol(generation, Hertz::from_mhz(20.0), streams, mcs, gi)?;
    let share = f64::from(unit.data_subcarriers()) / f64::from(ResourceUnit::Ru242.data_subcarriers());
    Ok(BitsPerSecond(bits * share / time.0))
}

/// Minimum receiver sensitivity at 20 MHz by MCS [dBm].
///
/// MCS 0 to 9: IEEE 802.11-2020 Table 21-25; 10 and 11: 802.11ax-2021 Table 27-51; 12 and 13: 802.11be-2024. Two public sources give -46 and
/// -47 dBm for EHT-MCS 13; the higher, safer one stands here.
const SENSITIVITY_20_MHZ: [f64; 14] =
    [-82.0, -79.0, -77.0, -74.0, -70.0, -66.0, -65.0, -64.0, -59.0, -57.0, -54.0, -52.0, -49.0, -46.0];

/// The level at which a receiver must lose no more than 10 % of 4096-octet PSDUs: minimum input sensitivity, for each receive chain.
///
/// Each doubling of the width adds 3 dB, as in the tables; 320 MHz continues that step.
/// Nothing for an MCS above 13 or a width that no generation has.
#[must_use]
pub fn sensitivity(mcs: u8, width: Hertz) -> Option<Dbm> {
    let level = SENSITIVITY_20_MHZ.get(usize::from(mcs))?;
    let doublings = (width_mhz(width)? / 20).trailing_zeros();
    Some(Dbm(level + 3.0 * f64::from(doublings)))
}
