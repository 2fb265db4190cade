//! Link budgets: what a path gain gives each way, and the least gain that gives what is wanted. Other stations on the channel are not here.

use network::RadioSetting;
use radio_profile::{Band, BandRadio, Generation};
use units::{BitsPerSecond, Db, Dbm, Hertz};

use crate::goodput::{MacConfig, Mode, exchange};
use crate::rates::{GuardInterval, highest_mcs, most_streams, sensitivity, widest_mhz};
use crate::regulation::{Limits, RegulationError, Role, limits};

/// Noise figure that the standard's sensitivities reckon with (IEEE 802.11-2020, 17.3.10.2: 10 dB, and 5 dB of implementation margin).
pub const STANDARD_NOISE_FIGURE: Db = Db(10.0);

/// Share of full-size frames that arrive at the minimum sensitivity: 10 % of 4096-octet PSDUs may be lost there, and losses are taken to grow with
/// length, so that 1554-octet frames lose 4 %. Held at every level above too, which is on the safe side.
#[must_use]
pub fn delivered_share() -> f64 {
    0.9f64.powf(1554.0 / 4096.0)
}

/// One end of a link.
#[derive(Clone, Copy, Debug)]
pub struct End<'a> {
    /// Newest generation that it speaks.
    pub generation: Generation,
    /// Its radio in the band.
    pub radio: &'a BandRadio,
}

/// Which way.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Direction {
    /// From the access point.
    Down,
    /// To the access point.
    Up,
}

/// Why a link cannot be reckoned.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum LinkError {
    /// The country's limits.
    #[error(transparent)]
    Regulation(#[from] RegulationError),
    /// The ends do not share the band with the setting, or no generation works there.
    #[error("no common mode: {0}")]
    NoCommonMode(String),
    /// A value is not a number or a radio is impossible.
    #[error("{0}")]
    BadValue(String),
}

/// A mode and the least path gain at which its frames arrive.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Step {
    /// Least path gain between isotropic antennas.
    pub min_gain: Db,
    /// Payload rate, alone on the channel.
    pub rate: BitsPerSecond,
    /// The mode.
    pub mode: Mode,
    /// Radiated power in that mode.
    pub eirp: Dbm,
}

/// What a path gain gives.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LinkBudget {
    /// Level at the device, for each receive chain, antenna gain included.
    pub level_down: Dbm,
    /// Level at the access point.
    pub level_up: Dbm,
    /// Payload rate towards the device, alone on the channel; 0 if nothing arrives.
    pub down: BitsPerSecond,
    /// Payload rate from the device.
    pub up: BitsPerSecond,
    /// Mode towards the device, if anything arrives.
    pub mode_down: Option<Mode>,
    /// Mode from the device.
    pub mode_up: Option<Mode>,
}

/// The least path gain at which both directions meet their targets.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RequiredGain {
    /// Path gain between isotropic antennas [dB], the fading margin included.
    pub gain_db: f64,
    /// The direction that needs it.
    pub limiting: Direction,
    /// What the other direction needs [dB], with the same margin.
    pub other_gain_db: f64,
}

/// A link between an access point and a device in one setting: the modes of each direction, ready to be asked often.
///
/// # Model
/// Level at a receive chain = radiated power + path gain + the receiver's antenna gain. A mode works if the level of each of its streams meets
/// [`sensitivity`], lowered by what the receiver's noise figure is better than [`STANDARD_NOISE_FIGURE`]. Conducted power is shared by the streams;
/// a receiver with R chains (taken equal to its streams) that separates S streams gains `(R - S + 1) / S` on each over one chain that gets all
/// the power (zero forcing in rich scattering; J. H. Winters, J. Salz, R. D. Gitlin, IEEE Trans. Commun. 42(2/3/4), 1994).
/// PPDUs may be narrower than the channel; then a density limit lowers the power and the noise falls with the width. Guard interval 0.8 µs, for
/// which the sensitivities hold. Payload rate as [`exchange`] with encryption, times [`delivered_share`].
///
/// # Validity
/// Levels are local means; fading is the caller's margin. Interference: [`LinkModel::budget_under`] and [`LinkModel::select`].
#[derive(Clone, Debug, PartialEq)]
pub struct LinkModel {
    down: Vec<Step>,
    up: Vec<Step>,
    base_down: Dbm,
    base_up: Dbm,
    widest: Hertz,
    noise_figures: [Db; 2],
}

impl LinkModel {
    /// The link of two ends in a setting, the setting's power and the country's limits held.
    ///
    /// # Errors
    /// [`LinkError`] if the channel is not allowed or its limits are unknown, if the ends share no mode, or if a value is impossible.
    pub fn new(country: &str, ap: End, client: End, setting: &RadioSetting) -> Result<Self, LinkError> {
        let ap_limits = limits(country, setting.band, setting.centre, setting.width, Role::AccessPoint)?;
        let client_limits = limits(country, setting.band, setting.centre, setting.width, Role::Client)?;
        Self::with_limits(ap, client, setting, &ap_limits, &client_limits)
    }

    /// As [`LinkModel::new`], with limits that are at hand.
    ///
    /// # Errors
    /// [`LinkError`] if the ends share no mode or a value is impossible.
    pub fn with_limits(
        ap: End,
        client: End,
        setting: &RadioSetting,
        ap_limits: &Limits,
        client_limits: &Limits,
    ) -> Result<Self, LinkError> {
        let band = setting.band;
        for (who, end) in [("the access point", ap), ("the device", client)] {
            let radio = end.radio;
            if radio.band != band {
                let message =
                    format!("{who}'s radio is of band {}, the setting of band {}", radio.band.label(), band.label());
                return Err(LinkError::NoCommonMode(message));
            }
            if radio.streams == 0 {
                return Err(LinkError::BadValue(format!("{who} has 0 spatial streams; give 1 to 8")));
            }
            let finite = radio.tx_power.is_finite() && radio.antenna_gain.is_finite() && radio.noise_figure.is_finite();
            if !finite || !radio.max_width.is_finite() {
                return Err(LinkError::BadValue(format!(
                    "{who} has a power, gain, noise figure or width that is not a number"
                )));
            }
        }
        if !setting.eirp.is_finite() {
            return Err(LinkError::BadValue(format!("the radiated power of `{}` is not a number", setting.part)));
        }
        let generation = ap.generation.min(client.generation);
        // VHT does not exist in 2.4 GHz: such radios speak HT there.
        let generation = if band == Band::Ghz2 && generation == Generation::Ac { Generation::N } else { generation };
        let widest = widest_mhz(generation, band).ok_or_else(|| {
            LinkError::NoCommonMode(format!(
                "802.11 of generation {generation:?} does not exist in band {}",
                band.label()
            ))
        })?;
        let widest =
            setting.width.min(ap.radio.max_width).min(client.radio.max_width).min(Hertz::from_mhz(widest.into()));
        let ap_eirp = |width: Hertz| {
            let most = ap_limits.clip(ap.radio.tx_power, ap.radio.antenna_gain, width);
            most.min(setting.eirp)
        };
        let client_eirp = |width: Hertz| client_limits.clip(client.radio.tx_power, client.radio.antenna_gain, width);
        let down = ladder(generation, band, widest, ap.radio, client.radio, &ap_eirp);
        let up = ladder(generation, band, widest, client.radio, ap.radio, &client_eirp);
        Ok(Self {
            down,
            up,
            base_down: ap_eirp(widest) + client.radio.antenna_gain,
            base_up: client_eirp(widest) + ap.radio.antenna_gain,
            widest,
            noise_figures: [client.radio.noise_figure, ap.radio.noise_figure],
        })
    }

    /// Width of the widest mode: the setting's, or less where an end cannot.
    #[must_use]
    pub const fn widest(&self) -> Hertz {
        self.widest
    }

    /// Noise figure of a direction's receiver.
    pub(crate) const fn noise_figure(&self, direction: Direction) -> Db {
        let [down, up] = self.noise_figures;
        match direction {
            Direction::Down => down,
            Direction::Up => up,
        }
    }

    /// The modes worth using in a direction, by rising gain; each is faster than the one before.
    #[must_use]
    pub fn steps(&self, direction: Direction) -> &[Step] {
        match direction {
            Direction::Down => &self.down,
            Direction::Up => &self.up,
        }
    }

    /// What a path gain gives.
    #[must_use]
    pub fn budget(&self, gain: Db) -> LinkBudget {
        let at = |steps: &[Step]| {
            let num = steps.partition_point(|s| s.min_gain.0 <= gain.0);
            num.checked_sub(1).and_then(|idx| steps.get(idx)).copied()
        };
        let (down, up) = (at(&self.down), at(&self.up));
        let rate = |step: Option<Step>| step.map_or(BitsPerSecond(0.0), |s| s.rate);
        LinkBudget {
            level_down: self.base_down + gain,
            level_up: self.base_up + gain,
            down: rate(down),
            up: rate(up),
            mode_down: down.map(|s| s.mode),
            mode_up: up.map(|s| s.mode),
        }
    }

    /// The least path gain at which both directions meet their targets, raised by a fading margin; nothing if a target is above the top rate.
    ///
    /// The inverse of [`LinkModel::budget`]: with no margin, this gain meets both targets and any smaller one misses one.
    #[must_use]
    pub fn required_gain(&self, down: BitsPerSecond, up: BitsPerSecond, fading_margin: Db) -> Option<RequiredGain> {
        let need = |steps: &[Step], target: BitsPerSecond| {
            // Even a target of nothing needs a link.
            steps.iter().find(|s| s.rate.0 >= target.0).map(|s| s.min_gain.0 + fading_margin.0)
        };
        let (for_down, for_up) = (need(&self.down, down)?, need(&self.up, up)?);
        let limiting = if for_up > for_down { Direction::Up } else { Direction::Down };
        Some(RequiredGain { gain_db: for_down.max(for_up), limiting, other_gain_db: for_down.min(for_up) })
    }
}

/// All modes from one radio to another, reduced to those that no mode at a smaller or equal gain outruns.
fn ladder(
    generation: Generation,
    band: Band,
    widest: Hertz,
    from: &BandRadio,
    to: &BandRadio,
    eirp_at: &dyn Fn(Hertz) -> Dbm,
) -> Vec<Step> {
    let mac = MacConfig::default();
    let adjustment = STANDARD_NOISE_FIGURE - to.noise_figure;
    let most = from.streams.min(to.streams).min(most_streams(generation));
    let chains = f64::from(to.streams.min(most_streams(generation)));
    let mut steps = Vec::new();
    for width in [20.0, 40.0, 80.0, 160.0, 320.0].map(Hertz::from_mhz).into_iter().filter(|w| w.0 <= widest.0 + 1.0) {
        let eirp = eirp_at(width);
        for streams in 1..=most {
            let s = f64::from(streams);
            let combining = Db::from_ratio((chains - s + 1.0) / s);
            for mcs in 0..=highest_mcs(generation) {
                let mode = Mode { generation, width, streams, mcs, gi: GuardInterval::Ns800 };
                let (Ok(exchange), Some(level)) = (exchange(&mode, band, &mac), sensitivity(mcs, width)) else {
                    continue; // A combination that VHT leaves out.
                };
                let min_gain = level - adjustment - (eirp + to.antenna_gain + combining);
                steps.push(Step { min_gain: Db(min_gain.0), rate: exchange.goodput() * delivered_share(), mode, eirp });
            }
        }
    }
    steps.sort_by(|a, b| a.min_gain.total_cmp(&b.min_gain).then(b.rate.total_cmp(&a.rate)));
    let mut best: Vec<Step> = Vec::new();
    for step in steps {
        if best.last().is_none_or(|last| step.rate.0 > last.rate.0) {
            best.push(step);
        }
    }
    best
}

/// What a path gain gives between an access point and a device; see [`LinkModel`].
///
/// # Errors
/// As [`LinkModel::new`].
pub fn budget(country: &str, ap: End, client: End, setting: &RadioSetting, gain: Db) -> Result<LinkBudget, LinkError> {
    LinkModel::new(country, ap, client, setting).map(|link| link.budget(gain))
}

/// The least path gain at which both directions meet their targets; see [`LinkModel::required_gain`].
///
/// # Errors
/// As [`LinkModel::new`]; `Ok(None)` if a target is above the top rate of the link.
pub fn required_gain(
    country: &str,
    ap: End,
    client: End,
    setting: &RadioSetting,
    targets: (BitsPerSecond, BitsPerSecond),
    fading_margin: Db,
) -> Result<Option<RequiredGain>, LinkError> {
    LinkModel::new(country, ap, client, setting).map(|link| link.required_gain(targets.0, targets.1, fading_margin))
}
