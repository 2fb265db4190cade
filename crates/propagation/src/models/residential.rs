//! The path loss of IEEE 802.11ax's residential simulation scenario.

use findings::Source;
use units::{Db, Hertz, Metres};

use super::{Link, Loss, LossModel, ModelError, Validity, floor_factor};

/// `40.05 + 20 log₁₀(f/2.4) + 20 log₁₀ min(d, 5) + [d > 5] 35 log₁₀(d/5) + 18.3 F^((F+2)/(F+1) − 0.46) + 5 W` dB, f in GHz, d
/// in metres and at least 1 m, F floors, W walls.
///
/// # Model
/// IEEE 802.11-14/0980, simulation scenarios, scenario 1 (residential); shadowing 5 dB. Every wall counts alike, doors and
/// panes too.
///
/// # Validity
/// 2.4 to 5.9 GHz, the bands of the scenario; at most 102 m, the diagonal of its building of 100 m by 20 m (from memory).
/// Nearer than 1 m is 1 m, by the document.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub struct TgaxResidential;

impl LossModel for TgaxResidential {
    fn name(&self) -> &'static str {
        "IEEE 802.11-14/0980 residential"
    }

    fn validity(&self, _: &Link) -> Validity {
        let frequency = [2.4, 5.9].map(Hertz::from_ghz);
        Validity { frequency, distance: [Metres(0.0), Metres(102.0)], most_floors: None }
    }

    fn loss(&self, link: &Link) -> Result<Loss, ModelError> {
        self.validity(link).check(self.name(), link)?;
        let distance = link.distance().0.max(1.0);
        let beyond = if distance > 5.0 { 35.0 * (distance / 5.0).log10() } else { 0.0 };
        let median = 40.05
            + 20.0 * (link.frequency.ghz() / 2.4).log10()
            + 20.0 * distance.min(5.0).log10()
            + beyond
            + 18.3 * floor_factor(link.floors, 0.46)
            + 5.0 * link.walls.count() as f64;
        let source = Source::standard("IEEE 802.11-14/0980, simulation scenarios, scenario 1 (residential)");
        Ok(Loss { median: Db(median), spread: Some(Db(5.0)), source })
    }
}
