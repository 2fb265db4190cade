//! What can be out for a while: the mains of an address, and a circuit of the home.

use equipment::Failure;
use findings::{Id, Source};
use site::{Site, default_mains, mains_range};
use units::Seconds;

use crate::component::{Component, ComponentKind, Law};
use crate::outages::Lengths;
use crate::regions::regional_mains;

/// Factor by which the mains' figures of a country or region may be off at one home (generic figure).
const MAINS_FACTOR: f64 = 3.0;

/// A circuit trips once in so many hours and is out for so many (generic figures, from memory: once in five years, and
/// two hours until somebody is there to find the fault).
const CIRCUIT_MTBF: f64 = 5.0 * 8760.0;
const CIRCUIT_MTTR: f64 = 2.0;

pub(crate) const YEAR: Seconds = Seconds(365.0 * 86_400.0);

/// Outages of one cause.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Interruption {
    pub id: Id,
    pub kind: ComponentKind,
    /// Share of time that it is out, and the mean length of an outage.
    pub known: Option<(f64, Seconds)>,
    /// Factors by which the share may be better and worse.
    pub best: f64,
    pub worst: f64,
    pub source: Source,
    /// What would have to be known.
    pub missing: String,
    /// How its lengths are distributed is the caller's to say.
    pub stated_lengths: bool,
}

impl Interruption {
    /// The mains of an address: as stated, else the region's, else the country's.
    pub fn mains(site: &Site) -> Self {
        let given = &site.mains;
        let country = default_mains(&site.country);
        let is_default = given.saidi.is_none() || (given.saidi == country.saidi && given.saifi == country.saifi);
        let region = site.code_region.as_deref().filter(|_| is_default);
        let region = region.and_then(|region| regional_mains(&site.country, region));
        let range = mains_range(&site.country);
        let (saidi, saifi, source, ends) = match region {
            Some(region) => {
                let mains = region.mains;
                (mains.saidi, mains.saifi, mains.source, Some(region.saidi))
            }
            None => {
                let ends = range.as_ref().filter(|_| given.saidi.is_none()).map(|r| r.saidi);
                let source = given.source.clone().or(country.source);
                (given.saidi.or(country.saidi), given.saifi.or(country.saifi), source, ends)
            }
        };
        let known = match (saidi, saifi) {
            (Some(saidi), _) if saidi.0 == 0.0 => Some((0.0, Seconds(0.0))),
            (Some(saidi), Some(saifi)) if saidi.0 > 0.0 && saidi.0 < YEAR.0 && saifi > 0.0 && saifi.is_finite() => {
                Some((saidi.0 / YEAR.0, Seconds(saidi.0 / saifi)))
            }
            _ => None,
        };
        let (best, worst) = match (ends, saidi) {
            (Some((least, most)), Some(saidi)) if saidi.0 > 0.0 && given.saidi.is_none() => {
                ((saidi.0 / least.0).max(1.0), (most.0 / saidi.0).max(1.0))
            }
            (Some((least, most)), Some(saidi)) if saidi.0 > 0.0 => {
                ((saidi.0 / least.0).max(MAINS_FACTOR), (most.0 / saidi.0).max(MAINS_FACTOR))
            }
            _ => (MAINS_FACTOR, MAINS_FACTOR),
        };
        let between = range.as_ref().map_or(String::new(), |r| {
            format!(" (published for this country: {:.0} to {:.0} min a year)", r.saidi.0.0 / 60.0, r.saidi.1.0 / 60.0)
        });
        Self {
            id: Id::from_label("mains"),
            kind: ComponentKind::Mains,
            known,
            best,
            worst,
            source: source.unwrap_or_else(Source::generic),
            missing: format!("how often and how long the mains fail here{between}: `site.mains`"),
            stated_lengths: true,
        }
    }

    /// A circuit of the home.
    pub fn circuit(id: &Id, failure: Option<&Failure>) -> Self {
        let generic = || Failure {
            mtbf: Seconds(CIRCUIT_MTBF * 3600.0),
            mttr: Seconds(CIRCUIT_MTTR * 3600.0),
            factor: MAINS_FACTOR,
            source: Source::generic().from_memory(),
        };
        let failure = failure.cloned().unwrap_or_else(generic);
        let known = match Law::of(&failure) {
            Law::Repaired { odds, .. } => Some((odds / (1.0 + odds), failure.mttr)),
            _ => None,
        };
        Self {
            id: id.clone(),
            kind: ComponentKind::Circuit,
            known,
            best: failure.factor,
            worst: failure.factor,
            source: failure.source,
            missing: format!("how often {id} trips and how long it is out"),
            stated_lengths: false,
        }
    }

    /// Its lengths' law.
    pub fn lengths(&self, stated: Lengths) -> Lengths {
        if self.stated_lengths { stated } else { Lengths::Exponential }
    }

    /// One component for each time that something outlasts, so that one outage is the same outage for all that hang on
    /// it: an outage that has gone on for longer than `t` fails the components up to `t`.
    pub fn components(&self, rides: &[f64], lengths: Lengths, quantity: usize) -> Vec<Component> {
        let lengths = self.lengths(lengths);
        let left = |ride: Option<&f64>| match (ride, self.known) {
            (Some(ride), Some((_, mean))) => lengths.left_after(mean, Seconds(*ride)),
            _ => 0.0,
        };
        let component = |(i, ride): (usize, &f64)| Component {
            id: self.id.clone(),
            kind: self.kind,
            longer_than: Some(Seconds(*ride)),
            law: match self.known {
                Some((share, _)) => Law::Interrupted {
                    share,
                    left: left(Some(ride)),
                    left_next: left(rides.get(i + 1)),
                    best: self.best,
                    worst: self.worst,
                },
                None => Law::Unknown,
            },
            quantity,
            source: self.source.clone(),
            missing: self.missing.clone(),
        };
        rides.iter().enumerate().map(component).collect()
    }
}
