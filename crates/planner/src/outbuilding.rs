//! The family for homes with rooms in a building apart: an access point there, joined by radio or by a cable outdoors.

use std::collections::BTreeSet;

use assessment::buildings;
use building::MountKind;
use equipment::{Part, PartKind};
use network::{Family, Medium};

use crate::build::Builder;
use crate::families::{Draft, Reason, Workshop};
use crate::places::{self, Place, Reach};
use crate::siting::{ENOUGH, Sited, WORTH_ONE_MORE};

/// Longest fixed copper cable [m]: the permanent link of ISO/IEC 11801-1.
const LONGEST_COPPER: f64 = 90.0;

/// A building apart.
struct Apart {
    /// Indices of the places in it that are on the mains.
    places: Vec<usize>,
    /// Cells of its served floor.
    cells: Vec<u64>,
}

/// A radio at the head of the home and one in each building apart.
struct Pairing {
    /// Index of the head's place; none for the demarcation point itself.
    head: Option<usize>,
    /// Index of a place in each building apart.
    far: Vec<usize>,
    /// Cells that all of them cover.
    cells: Vec<u64>,
    /// Least share of a building apart that is covered from within it.
    served: f64,
}

impl<'a> Workshop<'a> {
    pub fn outbuilding(&self) -> Result<Vec<Draft>, Reason> {
        let building = buildings(self.home);
        let main = building[self.demarcation.spot.room];
        let apart = self.apart(&building, main)?;
        let router = self.router()?;
        let mut drafts = Vec::new();
        let mut reasons = Vec::new();
        let by_radio = self.home.catalog.of_kind(PartKind::RadioNode).map(|node| {
            self.fits_ports(router.ports.lan, "an ordinary router")?;
            self.outbuilding_by_radio(router, node, &apart, &building, main)
        });
        for draft in by_radio.chain([self.outbuilding_by_cable(router, &apart, &building, main)]) {
            match draft {
                Ok(draft) => drafts.push(draft),
                Err(reason) => reasons.push(reason),
            }
        }
        if drafts.is_empty() {
            reasons.dedup();
            return Err(reasons.join("; "));
        }
        Ok(drafts)
    }

    /// Buildings other than the one where the line enters that have served floor.
    fn apart(&self, building: &[usize], main: usize) -> Result<Vec<Apart>, Reason> {
        let served: BTreeSet<usize> =
            self.field.served.iter().map(|s| building[s.room]).filter(|b| *b != main).collect();
        if served.is_empty() {
            return Err("every served room is in the building where the line enters; there is no outbuilding".into());
        }
        let mut apart = Vec::new();
        for number in served {
            let mut cells = self.no_cells();
            for served in self.field.served.iter().filter(|s| building[s.room] == number) {
                served.cells.clone().for_each(|cell| cells[cell / 64] |= 1 << (cell % 64));
            }
            let places: Vec<usize> = (0..self.places.len())
                .filter(|&i| building[self.places[i].spot.room] == number && stands(&self.places[i]))
                .collect();
            if places.is_empty() {
                let name = self.field.served.iter().find(|s| building[s.room] == number).map(|s| s.room);
                let name = name.map_or_else(String::new, |room| self.home.resolved.rooms[room].name.clone());
                return Err(format!("no place in the building of {name} is within reach of a mains outlet"));
            }
            apart.push(Apart { places, cells });
        }
        Ok(apart)
    }

    fn outbuilding_by_radio(
        &self,
        router: &'a Part,
        node: &'a Part,
        apart: &[Apart],
        building: &[usize],
        main: usize,
    ) -> Result<Draft, Reason> {
        let (Some(near), Some(far)) = (&router.radio, &node.radio) else {
            return Err(format!("{} or {} has no radio", router.name, node.name));
        };
        let at = self.demarcation.spot.at;
        let settings = places::settings(self.evaluator, router, at)?;
        // As between a router and its nodes indoors: the highest band that both have.
        let (setting, near_radio, far_radio) = settings
            .iter()
            .rev()
            .find_map(|s| Some((s, near.band(s.band)?, far.band(s.band)?)))
            .ok_or_else(|| format!("{} and {} share no band", router.name, node.name))?;
        let node_settings = places::settings(self.evaluator, node, at)?;
        let router_needs = places::needs(self.evaluator, &self.field, router, &settings, None);
        let reach_from = |head: &Place, place: &Place| {
            let uplink = self.evaluator.radio_uplink(
                (head.spot.at, near.generation, near_radio),
                (place.spot.at, far.generation, far_radio),
                setting,
            );
            let Some((down, up)) = uplink.filter(|(down, up)| down.0 > 0.0 && up.0 > 0.0) else {
                // The lowest score that a reach can have.
                return Reach { cells: self.no_cells(), score: -2.0 };
            };
            let uplink = Some((down, up, !node.dedicated_uplink_radio));
            let needs = places::needs(self.evaluator, &self.field, node, &node_settings, uplink);
            places::reach(&self.field, place, &needs)
        };
        let root_of = |place: &Place| places::reach(&self.field, place, &router_needs).cells;
        let pair = |head: Option<usize>, root: Vec<u64>| {
            let place = head.map_or(&self.demarcation, |i| &self.places[i]);
            self.pair(head, root, apart, &|far| reach_from(place, &self.places[far]))
        };
        // The demarcation point where that does; else the place in the house from which most is covered.
        let mut best = pair(None, root_of(&self.demarcation));
        if best.served < ENOUGH {
            let may_move = |p: &Place| {
                let same_room = p.spot.room == self.demarcation.spot.room;
                stands(p) && building[p.spot.room] == main && (same_room || !self.home.household.wishes.no_drilling)
            };
            // What the radios in the buildings apart would cover if their links carried anything: no link covers more.
            let mut free = self.no_cells();
            let free_needs = places::needs(self.evaluator, &self.field, node, &node_settings, None);
            for &far in apart.iter().flat_map(|a| &a.places) {
                add(&mut free, &places::reach(&self.field, &self.places[far], &free_needs).cells);
            }
            let mut heads: Vec<(u32, usize, Vec<u64>)> = (0..self.places.len())
                .filter(|&i| may_move(&self.places[i]))
                .map(|i| {
                    let root = root_of(&self.places[i]);
                    let mut bound = free.clone();
                    add(&mut bound, &root);
                    (count(&bound), i, root)
                })
                .collect();
            heads.sort_by(|a, b| b.0.cmp(&a.0).then(a.1.cmp(&b.1)));
            for (bound, i, root) in heads {
                if best.served >= ENOUGH && bound <= count(&best.cells) {
                    break;
                }
                let other = pair(Some(i), root);
                let better = (other.served.min(ENOUGH), count(&other.cells));
                if better > (best.served.min(ENOUGH), count(&best.cells)) {
                    best = other;
                }
            }
        }
        if best.served < WORTH_ONE_MORE {
            return Err("no radio link from the house carries what the outbuilding's rooms must get".into());
        }
        let head = best.head.map_or(&self.demarcation, |i| &self.places[i]);
        self.wired_without_drilling(head.spot.room)?;
        let indoors = |p: &Place| stands(p) && building[p.spot.room] == main;
        let more = self.more(&best, &indoors, apart.len(), &|place| reach_from(head, place));
        let kind = if node.dedicated_uplink_radio {
            "a radio of its own for the link"
        } else {
            "one radio for devices and link"
        };
        let name = name("joined by radio", more.as_ref(), Some(kind));
        let mut b = Builder::new(self.home, Family::Outbuilding, name);
        let router_id = self.line_and_router(&mut b, router, &head.spot)?;
        self.wire(&mut b, &router_id, router.ports.lan, false);
        let all = best.far.iter().chain(more.iter().flat_map(|m| &m.places));
        for (i, &place) in all.enumerate() {
            let id = b.place_on_mains(&format!("node-{}", i + 1), &node.id, &self.places[place].spot);
            b.link(&router_id, &id, Medium::Radio { band: setting.band });
        }
        self.draft(b, more.map(|m| m.gap))
    }

    fn outbuilding_by_cable(
        &self,
        router: &'a Part,
        apart: &[Apart],
        building: &[usize],
        main: usize,
    ) -> Result<Draft, Reason> {
        self.may_drill()?;
        let node = self
            .home
            .catalog
            .of_kind(PartKind::RadioNode)
            .next()
            .ok_or("the catalogue has no access point that stands on furniture")?;
        let at = self.demarcation.spot.at;
        let settings = places::settings(self.evaluator, node, at)?;
        let needs = places::needs(self.evaluator, &self.field, node, &settings, None);
        let router_needs = {
            let settings = places::settings(self.evaluator, router, at)?;
            places::needs(self.evaluator, &self.field, router, &settings, None)
        };
        let reach = |place: &Place| places::reach(&self.field, place, &needs);
        let root = places::reach(&self.field, &self.demarcation, &router_needs);
        let best = self.pair(None, root.cells, apart, &|far| reach(&self.places[far]));
        for &far in &best.far {
            let to = self.places[far].spot.at;
            let run = (at.x - to.x).abs() + (at.y - to.y).abs();
            if run > LONGEST_COPPER {
                return Err(format!(
                    "the cable to the outbuilding would be {run:.0} m and more; copper carries {LONGEST_COPPER:.0} m, so glass fibre is needed"
                ));
            }
        }
        let indoors = |p: &Place| stands(p) && building[p.spot.room] == main;
        let more = self.more(&best, &indoors, apart.len(), &reach);
        let name = name("joined by a cable outdoors", more.as_ref(), None);
        let mut chosen = best.far;
        chosen.extend(more.iter().flat_map(|m| &m.places));
        let b = self.cabled(Family::Outbuilding, name, router, node, &chosen)?;
        self.draft(b, more.map(|m| m.gap))
    }

    /// The place in each building apart that covers most of it, with a head that covers `cells`.
    fn pair(&self, head: Option<usize>, cells: Vec<u64>, apart: &[Apart], reach: &dyn Fn(usize) -> Reach) -> Pairing {
        let mut pairing = Pairing { head, far: Vec::new(), cells, served: 1.0 };
        for one in apart {
            let mut best: Option<(usize, u32, Reach)> = None;
            for &place in &one.places {
                let reach = reach(place);
                let within = common(&reach.cells, &one.cells);
                let better = best.as_ref().is_none_or(|(_, most, other)| {
                    within > *most || (within == *most && reach.score > other.score + f64::EPSILON)
                });
                if better {
                    best = Some((place, within, reach));
                }
            }
            let Some((place, within, reach)) = best else { continue };
            pairing.far.push(place);
            pairing.served = pairing.served.min(f64::from(within) / f64::from(count(&one.cells)).max(1.0));
            add(&mut pairing.cells, &reach.cells);
        }
        pairing
    }

    /// More access points in the house, where it is not covered yet.
    fn more(
        &self,
        best: &Pairing,
        indoors: &dyn Fn(&Place) -> bool,
        num_far: usize,
        reach: &dyn Fn(&Place) -> Reach,
    ) -> Option<Sited> {
        let covered = self.share(count(&best.cells));
        let most = self.config.max_access_points.saturating_sub(num_far);
        if covered >= ENOUGH || most == 0 {
            return None;
        }
        let reaches: Vec<(usize, Reach)> =
            self.places.iter().enumerate().filter(|(_, p)| indoors(p)).map(|(i, p)| (i, reach(p))).collect();
        self.grow(&reaches, &best.cells, most).filter(|more| more.share - covered >= WORTH_ONE_MORE)
    }

    fn no_cells(&self) -> Vec<u64> {
        vec![0; self.field.cells.len().div_ceil(64)]
    }
}

/// Whether a part on a mains cord can stand or hang here; under a ceiling it cannot.
fn stands(place: &Place) -> bool {
    place.on_mains && place.kind != MountKind::Ceiling
}

fn add(all: &mut [u64], own: &[u64]) {
    all.iter_mut().zip(own).for_each(|(all, own)| *all |= own);
}

fn count(cells: &[u64]) -> u32 {
    cells.iter().map(|w| w.count_ones()).sum()
}

fn common(a: &[u64], b: &[u64]) -> u32 {
    a.iter().zip(b).map(|(a, b)| (a & b).count_ones()).sum()
}

fn name(joined: &str, more: Option<&Sited>, kind: Option<&str>) -> String {
    let mut name = format!("Access point in the outbuilding, {joined}");
    if let Some(num) = more.map(|m| m.places.len()) {
        name += &format!(", and {num} more in the house");
    }
    match kind {
        Some(kind) => format!("{name}; {kind}"),
        None => name,
    }
}
