//! What a radio of a design gives the telephone that coverage is judged by, through to the router.

use std::collections::BTreeMap;
use std::sync::{Mutex, PoisonError};

use network::RadioSetting;
use propagation::reliability;
use radio_profile::{BandRadio, Generation};
use units::{BitsPerSecond, Db, Dbm, Hertz};
use wlan::{Direction, End, LinkModel};

use crate::coverage::frequency_shift;
use crate::gains::CARRIERS;
use crate::links::{self, Uplink};

/// [`reliability::fading_margin`], which takes milliseconds, kept for the few widths that channels have.
pub(crate) fn fading_margin(width: Hertz) -> Db {
    static KNOWN: Mutex<BTreeMap<u64, Db>> = Mutex::new(BTreeMap::new());
    let mut known = KNOWN.lock().unwrap_or_else(PoisonError::into_inner);
    *known.entry(width.0.to_bits()).or_insert_with(|| reliability::fading_margin(width).0)
}

/// A link from a set radio to the generic telephone, ready to be asked often.
///
/// Gains in and out are those at the carrier of the band, where walls are computed; the shift to the channel is in here.
#[derive(Clone, Debug)]
pub(crate) struct TelephoneLink {
    link: LinkModel,
    antenna_gain: Db,
    uplink: Uplink,
    is_indoor_only: bool,
    /// Small-scale fading that the link must have in hand.
    pub fading: Db,
    /// Gain at the channel less gain at the carrier [dB].
    pub shift: f64,
}

impl TelephoneLink {
    /// The link of a radio in a setting.
    ///
    /// # Errors
    /// A sentence on the rule or mode that is missing.
    pub fn new(
        country: &str,
        (generation, radio): (Generation, &BandRadio),
        setting: &RadioSetting,
        uplink: Uplink,
    ) -> Result<Self, String> {
        let band = setting.band;
        let (phone_generation, phone) = links::telephone(band)
            .ok_or_else(|| format!("the generic telephone has no radio in {} GHz", band.label()))?;
        let ends = (End { generation, radio }, End { generation: phone_generation, radio: &phone });
        let link = LinkModel::new(country, ends.0, ends.1, setting).map_err(|e| e.to_string())?;
        let fading = fading_margin(setting.width);
        let shift = frequency_shift(CARRIERS[band.index()].centre, setting.centre);
        let is_indoor_only = wlan::limits(country, band, setting.centre, setting.width, wlan::Role::Client)
            .is_ok_and(|limits| limits.indoor_only);
        Ok(Self { link, antenna_gain: phone.antenna_gain, uplink, is_indoor_only, fading, shift })
    }

    /// Least gain at which both directions carry what is asked, fading taken off [dB]; infinite where none does, and
    /// outdoors on a channel that may only be used indoors.
    pub fn needed_gain(&self, down: BitsPerSecond, up: BitsPerSecond, is_outdoors: bool) -> f64 {
        if is_outdoors && self.is_indoor_only {
            return f64::INFINITY;
        }
        self.uplink
            .needs(down, up)
            .and_then(|(down, up)| self.link.required_gain(down, up, self.fading))
            .map_or(f64::INFINITY, |needed| needed.gain_db - self.shift)
    }

    /// Local-mean level at the telephone.
    pub fn level(&self, gain: Db) -> Dbm {
        self.link.budget(Db(gain.0 + self.shift)).level_down
    }

    /// What the link itself carries in its worse direction, fading taken off; the way on to the router does not count,
    /// because a device that chooses whom to join does not know it.
    pub fn access_rate(&self, gain: Db) -> BitsPerSecond {
        let budget = self.link.budget(Db(gain.0 + self.shift) - self.fading);
        BitsPerSecond(budget.down.0.min(budget.up.0))
    }

    /// What the radio radiates in the widest mode, and what the telephone's antenna adds.
    pub fn ends(&self) -> (Dbm, Db) {
        let level_without_path = self.link.budget(Db(0.0)).level_down;
        (level_without_path - self.antenna_gain, self.antenna_gain)
    }

    /// Rates that the link can carry through to the router in a direction, by rising rate.
    pub fn rates(&self, direction: Direction) -> Vec<BitsPerSecond> {
        // The hair's breadth keeps the way back through `needs` from landing above the step that it came from.
        let steps = self.link.steps(direction).iter();
        steps.map(|step| self.uplink.carries(step.rate, direction) * (1.0 - 1e-9)).collect()
    }
}
