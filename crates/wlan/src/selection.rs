//! Which mode of a link delivers most, from the error model held to the standard's sensitivities. Other stations' airtime is not here.

use std::sync::OnceLock;

use units::{BitsPerSecond, Db, Dbm, Hertz};

use crate::goodput::{MacConfig, Mode};
use crate::link::{Direction, LinkBudget, LinkModel, STANDARD_NOISE_FIGURE, delivered_share};
use crate::rates::sensitivity;
use crate::success::{Modulation, noise, noise_rise, snr_for, success};

/// Share of frames below which a sender goes down to a slower mode: with seven tries (dot11ShortRetryLimit, IEEE 802.11-2020, Annex C) 99 % of the
/// frames still arrive. Common practice, no source.
const LEAST_SUCCESS: f64 = 0.5;

/// Ratio at which the error model loses 10 % of 4096-octet PSDUs, by MCS.
fn reference_snr(mcs: u8) -> Option<Db> {
    static BY_MCS: OnceLock<Vec<Option<Db>>> = OnceLock::new();
    let by_mcs =
        BY_MCS.get_or_init(|| (0..14).map(|mcs| Modulation::of_mcs(mcs).and_then(|m| snr_for(m, 4096, 0.9))).collect());
    by_mcs.get(usize::from(mcs)).copied().flatten()
}

/// What a receiver that just meets the standard loses against the error model: the ratio at the minimum sensitivity in 20 MHz, with the standard's
/// noise figure of 10 dB, less the ratio at which the model loses 10 % of 4096-octet PSDUs. Nothing above MCS 13.
///
/// # Validity
/// 1.4 to 4.8 dB (`tests/selection.rs`). The standard reckons with 5 dB; its tables are in whole decibels and the model decides bit by bit.
#[must_use]
pub fn implementation_loss(mcs: u8) -> Option<Db> {
    let width = Hertz::from_mhz(20.0);
    Some(sensitivity(mcs, width)? - noise(width, STANDARD_NOISE_FIGURE) - reference_snr(mcs)?)
}

/// A mode, and what it delivers.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Selection {
    /// The mode.
    pub mode: Mode,
    /// Share of its full-size frames that arrive at once.
    pub success: f64,
    /// Payload rate, alone on the channel: that of the exchange times `success`.
    pub goodput: BitsPerSecond,
}

/// By how much interference lifts the noise floor of each end.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct NoiseRise {
    /// At the device.
    pub down: Db,
    /// At the access point.
    pub up: Db,
}

impl NoiseRise {
    /// No interference.
    pub const NONE: NoiseRise = NoiseRise { down: Db(0.0), up: Db(0.0) };

    /// That of interferers, by their levels in the link's width (see [`LinkModel::noise`]) at the device and at the access point.
    #[must_use]
    pub fn of(link: &LinkModel, at_device: &[Dbm], at_access_point: &[Dbm]) -> Self {
        Self {
            down: noise_rise(link.noise(Direction::Down), at_device),
            up: noise_rise(link.noise(Direction::Up), at_access_point),
        }
    }

    const fn towards(self, direction: Direction) -> Db {
        match direction {
            Direction::Down => self.down,
            Direction::Up => self.up,
        }
    }
}

impl LinkModel {
    /// Noise of a direction's receiver in the widest mode of the link, noise figure included.
    #[must_use]
    pub fn noise(&self, direction: Direction) -> Dbm {
        noise(self.widest(), self.noise_figure(direction))
    }

    /// Ratio of the local-mean level to noise and interference at a receive chain, in the widest mode of the link.
    #[must_use]
    pub fn sinr(&self, direction: Direction, gain: Db, rise: NoiseRise) -> Db {
        let budget = self.budget(gain);
        let level = match direction {
            Direction::Down => budget.level_down,
            Direction::Up => budget.level_up,
        };
        level - self.noise(direction) - rise.towards(direction)
    }

    /// As [`LinkModel::budget`], with the noise floors lifted by interference. Levels are those of the signal alone.
    ///
    /// # Validity
    /// Interference spread evenly over the link's width, so that a narrower mode takes its share of it, and there for the whole frame.
    #[must_use]
    pub fn budget_under(&self, gain: Db, rise: NoiseRise) -> LinkBudget {
        let (down, up) = (self.budget(gain - rise.down), self.budget(gain - rise.up));
        let levels = self.budget(gain);
        LinkBudget { down: down.down, mode_down: down.mode_down, up: up.up, mode_up: up.mode_up, ..levels }
    }

    /// The mode that delivers most at a path gain; nothing where none gets half of its frames through.
    ///
    /// # Model
    /// The error model says how success falls with the ratio, the standard where: at the level at which [`LinkModel::budget`] takes a mode into
    /// use, the model is set to the ratio of 10 % loss of 4096-octet PSDUs ([`implementation_loss`] stands between the two). Frames of 1554 octets.
    /// Take a fading margin off `gain` first.
    ///
    /// # Validity
    /// As [`success`](crate::success()) and [`LinkModel::budget_under`]. Of the modes in [`LinkModel::steps`].
    #[must_use]
    pub fn select(&self, direction: Direction, gain: Db, rise: NoiseRise) -> Option<Selection> {
        let mac = MacConfig::default();
        let octets = mac.payload + mac.upper_headers + mac.mac_headers;
        let mut best: Option<Selection> = None;
        for step in self.steps(direction).iter().rev() {
            let full = step.rate * (1.0 / delivered_share());
            // Rates fall from here on, so that even without loss nothing better comes.
            if best.is_some_and(|b| full.0 <= b.goodput.0) {
                break;
            }
            let Some((modulation, reference)) = Modulation::of_mcs(step.mode.mcs).zip(reference_snr(step.mode.mcs))
            else {
                continue;
            };
            let over = gain - rise.towards(direction) - step.min_gain;
            let share = success(modulation, reference + over, octets);
            let goodput = full * share;
            if share >= LEAST_SUCCESS && best.is_none_or(|b| goodput.0 > b.goodput.0) {
                best = Some(Selection { mode: step.mode, success: share, goodput });
            }
        }
        best
    }
}
