//! Where the radios of a design go.

use building::MountKind;
use equipment::{Part, PartKind};
use network::results::Gap;

use crate::families::{Reason, Workshop};
use crate::places::{self, Place};
use crate::search::{Chosen, best_set};

/// Share of the served floor from which no more access points are added (common practice, no source).
pub(crate) const ENOUGH: f64 = 0.95;

/// An access point more must cover at least this much more of the served floor.
pub(crate) const WORTH_ONE_MORE: f64 = 0.01;

/// Branches that one search may visit.
const SEARCH_NODES: usize = 400_000;

/// Radios in places: what was chosen and how good it is.
pub(crate) struct Sited {
    /// Indices of the places.
    pub places: Vec<usize>,
    /// Share of the served floor that radios alone cover.
    pub share: f64,
    /// How far the choice may be from the best.
    pub gap: Gap,
}

impl<'a> Workshop<'a> {
    /// Sites for access points that are powered over their cable, so that no outlet is asked for.
    pub fn powered_over_cable(&self, allowed: &dyn Fn(&Place) -> bool) -> Result<(&'a Part, Sited), Reason> {
        let ap = self
            .home
            .catalog
            .of_kind(PartKind::AccessPoint)
            .filter(|p| p.poe.is_some() && p.mountable && p.radio.is_some())
            .min_by(|a, b| self.price_rank(a).total_cmp(&self.price_rank(b)))
            .ok_or("the catalogue has no access point that is powered over its cable")?;
        let settings = places::settings(self.evaluator, ap, self.demarcation.spot.at)?;
        let needs = places::needs(self.evaluator, &self.field, ap, &settings, None);
        let reaches: Vec<(usize, places::Reach)> = self
            .places
            .iter()
            .enumerate()
            .filter(|(_, p)| allowed(p))
            .map(|(i, p)| (i, places::reach(&self.field, p, &needs)))
            .collect();
        let nothing = vec![0u64; self.field.cells.len().div_ceil(64)];
        let sited = self
            .grow(&reaches, &nothing, self.config.max_access_points)
            .ok_or("no room has a place for an access point")?;
        Ok((ap, sited))
    }

    /// The best place for the one router.
    pub fn site_router(&self, router: &Part) -> Result<Sited, Reason> {
        let stay = self.home.household.wishes.no_drilling;
        let settings = places::settings(self.evaluator, router, self.demarcation.spot.at)?;
        let needs = places::needs(self.evaluator, &self.field, router, &settings, None);
        let reaches: Vec<(usize, places::Reach)> = self
            .places
            .iter()
            .enumerate()
            .filter(|(_, p)| p.on_mains && p.kind != MountKind::Ceiling)
            .filter(|(_, p)| !stay || p.spot.room == self.demarcation.spot.room)
            .map(|(i, p)| (i, places::reach(&self.field, p, &needs)))
            .collect();
        let nothing = vec![0u64; self.field.cells.len().div_ceil(64)];
        self.choose(&reaches, &nothing, 1).ok_or_else(|| "no place for a router is within reach of an outlet".into())
    }

    /// Places for access points beside a router at the demarcation point.
    pub fn site_more(
        &self,
        router: &Part,
        allowed: &dyn Fn(&Place) -> bool,
        reach: &dyn Fn(&Place) -> places::Reach,
    ) -> Result<Sited, Reason> {
        let settings = places::settings(self.evaluator, router, self.demarcation.spot.at)?;
        let needs = places::needs(self.evaluator, &self.field, router, &settings, None);
        let root = places::reach(&self.field, &self.demarcation, &needs);
        let alone = self.share(root.cells.iter().map(|w| w.count_ones()).sum());
        if alone >= ENOUGH {
            return Err(format!("the router alone covers {:.0} % of the served floor", 100.0 * alone));
        }
        let reaches: Vec<(usize, places::Reach)> =
            self.places.iter().enumerate().filter(|(_, p)| allowed(p)).map(|(i, p)| (i, reach(p))).collect();
        let sited = self
            .grow(&reaches, &root.cells, self.config.max_access_points)
            .ok_or("no place is within reach of an outlet")?;
        if sited.share - alone < WORTH_ONE_MORE {
            return Err(format!(
                "the router covers {:.0} % of the served floor and no place for another access point adds {:.0} %",
                100.0 * alone,
                100.0 * WORTH_ONE_MORE
            ));
        }
        Ok(sited)
    }

    /// As few places as cover enough; fewer where one more adds little.
    pub fn grow(&self, reaches: &[(usize, places::Reach)], already: &[u64], most: usize) -> Option<Sited> {
        let mut best = self.choose(reaches, already, 1)?;
        for k in 2..=most {
            if best.share >= ENOUGH {
                break;
            }
            let next = self.choose(reaches, already, k)?;
            if next.share - best.share < WORTH_ONE_MORE {
                break;
            }
            best = next;
        }
        Some(best)
    }

    pub fn choose(&self, reaches: &[(usize, places::Reach)], already: &[u64], k: usize) -> Option<Sited> {
        if reaches.len() < k {
            return None;
        }
        let cells: Vec<Vec<u64>> = reaches.iter().map(|r| r.1.cells.clone()).collect();
        let score: Vec<f64> = reaches.iter().map(|r| r.1.score).collect();
        let Chosen { places, covered, bound } = best_set(&cells, &score, already, k, SEARCH_NODES);
        let (share, bound) = (self.share(covered), self.share(bound));
        Some(Sited {
            places: places.iter().map(|&i| reaches[i].0).collect(),
            share,
            gap: Gap {
                figure: "coverage by one radio alone".into(),
                found: 100.0 * share,
                bound: 100.0 * bound,
                method: format!("branch and bound over {} places, {k} chosen", reaches.len()),
            },
        })
    }

    pub fn share(&self, cells: u32) -> f64 {
        f64::from(cells) / self.field.cells.len() as f64
    }
}
