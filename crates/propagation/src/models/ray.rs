//! Free space and this crate's own paths as models like the others.

use findings::Source;
use units::{Db, Hertz, Metres};

use super::{FARTHEST, Link, Loss, LossModel, ModelError, Validity};
use crate::free_space::{MIN_DISTANCE, free_space_loss};
use crate::paths::PathConfig;
use crate::reliability::Shadowing;
use crate::scene::Scene;

/// Free space, whatever is in the way.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub struct FreeSpace;

impl LossModel for FreeSpace {
    fn name(&self) -> &'static str {
        "ITU-R P.525 free space"
    }

    fn validity(&self, _: &Link) -> Validity {
        let frequency = [0.1, 100.0].map(Hertz::from_ghz);
        Validity { frequency, distance: [Metres(MIN_DISTANCE), Metres(FARTHEST)], most_floors: None }
    }

    fn loss(&self, link: &Link) -> Result<Loss, ModelError> {
        self.validity(link).check(self.name(), link)?;
        let median = free_space_loss(link.distance(), link.frequency);
        Ok(Loss { median, spread: None, source: Source::standard("ITU-R P.525-4, equation (3)") })
    }
}

/// Direct, reflected and diffracted paths through a home.
///
/// # Model
/// Minus the gain of [`Scene::paths`]: the local mean, both polarisations taken in at the receiver. The spread is that of
/// [`Shadowing::default`].
///
/// # Validity
/// The carriers that the scene was made with, which must be the link's frequency; 0.1 m or more.
#[derive(Clone, Copy, Debug)]
pub struct RayModel<'a> {
    /// The home.
    pub scene: &'a Scene,
    /// Which paths are looked for.
    pub config: PathConfig,
}

impl LossModel for RayModel<'_> {
    fn name(&self) -> &'static str {
        "rays through the home"
    }

    fn validity(&self, link: &Link) -> Validity {
        let distance = [Metres(MIN_DISTANCE), Metres(FARTHEST)];
        Validity { frequency: [link.frequency; 2], distance, most_floors: None }
    }

    fn loss(&self, link: &Link) -> Result<Loss, ModelError> {
        self.validity(link).check(self.name(), link)?;
        let of_link = |centre: Hertz| (centre.0 - link.frequency.0).abs() <= 1e-9 * centre.0;
        let no_carrier = ModelError::NoCarrier { model: self.name(), ghz: link.frequency.ghz() };
        let carrier_idx = self.scene.carriers().iter().position(|c| of_link(c.centre)).ok_or(no_carrier)?;
        let median = -self.scene.paths(link.from, link.to, carrier_idx, &self.config).gain;
        let source = Source::model("ITU-R P.2040-4 slabs on direct, reflected and diffracted paths");
        Ok(Loss { median, spread: Some(Db(Shadowing::default().sigma_db)), source })
    }
}
