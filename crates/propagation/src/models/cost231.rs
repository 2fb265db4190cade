//! COST 231 multi-wall model.

use findings::{Source, SourceKind};
use units::{Db, Metres};

use super::{FARTHEST, Link, Loss, LossModel, ModelError, Validity, floor_factor, near_a_row};
use crate::free_space::free_space_loss;

/// Loss of a light wall at 1.8 GHz \[dB\].
const LIGHT_WALL: f64 = 3.4;
/// Loss of a heavy wall at 1.8 GHz \[dB\].
const HEAVY_WALL: f64 = 6.9;
/// Loss of a floor at 1.8 GHz \[dB\].
const FLOOR: f64 = 18.3;
/// How floors count less the more there are.
const B: f64 = 0.46;
/// Frequency of the figures \[GHz\].
const MEASURED_AT: f64 = 1.8;

/// Free space, every wall by its class, and floors that count less the more there are.
///
/// # Model
/// COST 231 final report (1999), section 4.7.2: `L = L_FS + L_c + k_1 3.4 + k_2 6.9 + k_f^((k_f+2)/(k_f+1) − 0.46) 18.3` dB,
/// the figures as an open system-level simulator carries them. `L_c`, what a fit to the walls leaves, is near zero (from memory)
/// and taken as zero. What a light and a heavy wall are is in [`Link::of`].
///
/// # Validity
/// The figures are for 1.8 GHz and are used within a tenth of it; 1 m or more. A wall with metal over its face has no class and is
/// refused.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub struct Cost231MultiWall;

impl LossModel for Cost231MultiWall {
    fn name(&self) -> &'static str {
        "COST 231 multi-wall"
    }

    fn validity(&self, _: &Link) -> Validity {
        let frequency = near_a_row(MEASURED_AT, MEASURED_AT);
        Validity { frequency, distance: [Metres(1.0), Metres(FARTHEST)], most_floors: None }
    }

    fn loss(&self, link: &Link) -> Result<Loss, ModelError> {
        self.validity(link).check(self.name(), link)?;
        if let Some(element) = link.walls.metal.first() {
            return Err(ModelError::NoClass { model: self.name(), element: element.clone() });
        }
        let walls = LIGHT_WALL * link.walls.light as f64 + HEAVY_WALL * link.walls.heavy as f64;
        let median = free_space_loss(link.distance(), link.frequency).0 + walls + FLOOR * floor_factor(link.floors, B);
        let source = Source::new(SourceKind::Publication, "COST 231 final report (1999), section 4.7.2, multi-wall");
        Ok(Loss { median: Db(median), spread: None, source })
    }
}
