//! Coverage of one storey as a map: a quantity in every cell, and how far the cell is from its room's target.

use building::RoomUse;
use findings::{Id, Progress};
use household::Target;
use network::Design;
use propagation::reliability::{self, Shadowing, Solver};
use propagation::{Grid, Site};
use radio_profile::Band;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use units::{BitsPerSecond, Db, Metres, Point2};
use wlan::Direction;

use crate::evaluator::{CELL, Evaluator};
use crate::home::HELD_HEIGHT;
use crate::links::{self, SetRadio, Uplink};
use crate::telephone::TelephoneLink;

/// Margins beyond this many dB say no more.
const FAR_DB: f64 = 60.0;

/// What a map shows.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Quantity {
    /// Local-mean level at a telephone [dBm].
    Level,
    /// What a telephone receives through the router 95 % of the time, alone on the channel [Mbit/s].
    Rate,
    /// Probability that both directions meet the room's target [%].
    Probability,
}

impl Quantity {
    /// The unit of its values.
    #[must_use]
    pub const fn unit(self) -> &'static str {
        match self {
            Quantity::Level => "dBm",
            Quantity::Rate => "Mbit/s",
            Quantity::Probability => "%",
        }
    }

    /// Levels at which contours tell most.
    fn levels(self) -> Vec<f64> {
        match self {
            Quantity::Level => (4..=18).rev().map(|k| f64::from(k) * -5.0).collect(),
            Quantity::Rate => vec![5.0, 10.0, 25.0, 50.0, 100.0, 200.0, 400.0, 800.0, 1600.0],
            Quantity::Probability => vec![10.0, 50.0, 80.0, 90.0, 99.0, 99.9],
        }
    }
}

/// What to map.
#[derive(Clone, Debug, PartialEq)]
pub struct MapRequest {
    /// The storey.
    pub storey: Id,
    /// The band; none for any band, the best for each place.
    pub band: Option<Band>,
    /// What to show.
    pub quantity: Quantity,
    /// Side of a cell, for a quick look, on the direct and once reflected paths alone; none for the cells and paths of the
    /// coverage figure.
    pub cell: Option<Metres>,
}

/// Why there is no map.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum MapError {
    /// No such storey.
    #[error("there is no storey `{storey}`; the storeys are {}", known.join(", "))]
    NoStorey {
        /// What was asked for.
        storey: Id,
        /// The storeys that there are.
        known: Vec<String>,
    },
    /// The storey cannot be laid out in cells.
    #[error("{0}")]
    Grid(String),
    /// The work was cancelled.
    #[error("cancelled")]
    Cancelled,
}

impl From<propagation::MapError> for MapError {
    fn from(error: propagation::MapError) -> Self {
        match error {
            propagation::MapError::Grid(error) => Self::Grid(error.to_string()),
            propagation::MapError::Cancelled(_) => Self::Cancelled,
        }
    }
}

/// A quantity over the rooms of a storey, in square cells.
///
/// Cell `(row, column)` has its centre at `origin + ((column + ½) cell, (row + ½) cell)`; row 0 is the lowest `y`.
/// Lists are row by row.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct CoverageMap {
    /// The design.
    pub design: Id,
    /// The storey.
    pub storey: Id,
    /// The band; absent for any band.
    pub band: Option<Band>,
    /// What is shown.
    pub quantity: Quantity,
    /// The unit of the values.
    pub unit: String,
    /// Lower left corner of the grid [m].
    pub origin: Point2,
    /// Side of a cell [m].
    pub cell: f64,
    /// Number of rows (along y).
    pub rows: usize,
    /// Number of columns (along x).
    pub columns: usize,
    /// The quantity; absent outside all rooms, inside fixed objects, and where it is not defined.
    pub values: Vec<Option<f64>>,
    /// How far the cell is above what the target of its room needs 95 % of the time [dB]; below zero it is not covered.
    /// Absent where the room has no target.
    pub margin_db: Vec<Option<f64>>,
    /// Which room the cell is in: its position among the storey's rooms; absent inside fixed objects.
    pub room: Vec<Option<u16>>,
    /// Levels at which contours tell most, rising.
    pub levels: Vec<f64>,
    /// What is missing where the map is empty or in part empty.
    pub missing: Vec<String>,
}

/// The radios of a design that count, each with its link to a telephone.
pub(crate) struct Radios<'a> {
    pub of: Vec<(SetRadio<'a>, TelephoneLink)>,
    /// One place for each part with radios that count, by the index in [`SetRadio::site`].
    pub sites: Vec<Site>,
    /// Radios that could not be reckoned, and why.
    pub missing: Vec<String>,
}

/// The target that counts in a room: outdoors only one that names the place.
pub(crate) fn target_of<'a>(evaluator: &'a Evaluator, room: &building::ResolvedRoom) -> Option<Asked<'a>> {
    let is_outdoors = room.usage == RoomUse::Outdoor;
    let target = evaluator.home().household.counted_target(&room.id, is_outdoors)?;
    Some(Asked { target, is_outdoors })
}

/// A target, and whether it holds outdoors.
#[derive(Clone, Copy)]
pub(crate) struct Asked<'a> {
    pub target: &'a Target,
    pub is_outdoors: bool,
}

impl Evaluator {
    pub(crate) fn radios<'a>(&'a self, design: &'a Design, band: Option<Band>) -> Radios<'a> {
        let home = self.home();
        let all = links::set_radios(home, design);
        let uplinks = links::uplinks(home, &self.gains, design, &all);
        let (mut of, mut missing) = (Vec::new(), Vec::new());
        let mut sites = Vec::new();
        for radio in all {
            // Places are kept by the index of the part, bands left out or not.
            if sites.len() <= radio.site {
                sites.resize(radio.site + 1, radio.from.clone());
            }
            if let Some(slot) = sites.get_mut(radio.site) {
                *slot = radio.from.clone();
            }
            if band.is_some_and(|band| band != radio.setting.band) {
                continue;
            }
            let uplink = uplinks.get(&radio.placed.id).copied().unwrap_or(Uplink::Free);
            match TelephoneLink::new(&home.site.country, (radio.generation, radio.radio), radio.setting, uplink) {
                Ok(link) => of.push((radio, link)),
                Err(reason) => missing.push(format!("{}: {reason}", radio.placed.id)),
            }
        }
        if of.is_empty() && missing.is_empty() {
            let which = band.map_or_else(|| "any band".to_owned(), |band| format!("{} GHz", band.label()));
            missing.push(format!("a radio in {which}: the design has none"));
        }
        Radios { of, sites, missing }
    }

    /// A quantity over a storey of a design.
    ///
    /// # Model
    /// The cells, heights and targets are those of the coverage figure, so that the covered share of the figure is the
    /// share of cells with a target whose margin is not below zero. Rooms without a target are mapped at the height at
    /// which a device is held.
    ///
    /// - Level: of the radio that a telephone joins, which is the one whose own link carries most, then the strongest.
    /// - Rate: the highest that at least one access point gives with a probability of 95 %, fading taken off.
    /// - Margin: `σ (Φ⁻¹(P) − Φ⁻¹(95 %))` with the probability `P` that the target is met by any access point; for one
    ///   access point that is what its level has in hand.
    ///
    /// # Errors
    /// [`MapError`]. A design without radios is not an error: the map is then empty and says what is missing.
    pub fn map(&self, design: &Design, request: &MapRequest, progress: &dyn Progress) -> Result<CoverageMap, MapError> {
        let home = self.home();
        let storey_idx = self.storey(&request.storey)?;
        let rooms: Vec<_> = home.resolved.rooms.iter().filter(|r| r.storey == storey_idx).collect();
        let targets: Vec<Option<Asked>> = rooms.iter().map(|room| target_of(self, room)).collect();
        // One grid for each height at which devices are held: the same cells, other rays.
        let heights: Vec<f64> = targets.iter().map(|t| t.map_or(HELD_HEIGHT, |t| t.target.height.0)).collect();
        let mut distinct = heights.clone();
        distinct.sort_by(f64::total_cmp);
        distinct.dedup();
        let grids: Result<Vec<Grid>, MapError> = distinct
            .iter()
            .map(|&height| Grid::over(&home.resolved, storey_idx, request.cell.unwrap_or(Metres(CELL)), Metres(height)))
            .map(|grid| grid.map_err(|e| MapError::Grid(e.to_string())))
            .collect();
        let grids = grids?;
        let Some(plan) = grids.first() else {
            return Err(MapError::Grid(format!("storey `{}` has no room to map", request.storey)));
        };
        let radios = self.radios(design, request.band);
        let maps = match request.cell {
            None => self.gains.maps(&radios.sites, &grids, progress)?,
            Some(_) => self.gains.quick_maps(&radios.sites, &grids, progress)?,
        };
        let mut judge = Judge::new(&radios, &targets);

        let num = plan.rows() * plan.columns();
        let mut map = CoverageMap {
            design: design.id.clone(),
            storey: request.storey.clone(),
            band: request.band,
            quantity: request.quantity,
            unit: request.quantity.unit().to_owned(),
            origin: plan.origin(),
            cell: plan.cell(),
            rows: plan.rows(),
            columns: plan.columns(),
            values: vec![None; num],
            margin_db: vec![None; num],
            room: vec![None; num],
            levels: request.quantity.levels(),
            missing: radios.missing.clone(),
        };
        let mut gains = vec![Db(f64::NEG_INFINITY); radios.of.len()];
        for row in 0..plan.rows() {
            for column in 0..plan.columns() {
                let centre = plan.centre(row, column).plan();
                let Some(room) = rooms.iter().position(|r| r.contains(centre)) else { continue };
                let at = row * plan.columns() + column;
                let grid = distinct.iter().position(|h| *h == heights[room]).unwrap_or(0);
                if !home.is_free(grids[grid].centre(row, column)) {
                    continue;
                }
                for (gain, (radio, _)) in gains.iter_mut().zip(&radios.of) {
                    *gain = Db(f64::from(maps[radio.site][grid][radio.setting.band.index()].gain_db[at]));
                }
                map.room[at] = u16::try_from(room).ok();
                let margin = judge.margin(&gains, room);
                map.margin_db[at] = margin;
                map.values[at] = match request.quantity {
                    Quantity::Level => judge.serving(&gains).map(|radio| radios.of[radio].1.level(gains[radio]).0),
                    Quantity::Rate => (!radios.of.is_empty()).then(|| judge.rate(&gains, Direction::Down).0 / 1e6),
                    Quantity::Probability => margin.map(|_| 100.0 * judge.probability(&gains, room)),
                }
                .filter(|v| v.is_finite());
            }
        }
        // Hundredths are enough; downwards, so that what is below zero stays below it.
        for value in map.values.iter_mut().chain(&mut map.margin_db).flatten() {
            *value = (*value * 100.0).floor() / 100.0;
        }
        Ok(map)
    }

    /// Index of a storey.
    pub(crate) fn storey(&self, id: &Id) -> Result<usize, MapError> {
        let storeys = &self.home().resolved.storeys;
        storeys.iter().position(|s| &s.id == id).ok_or_else(|| MapError::NoStorey {
            storey: id.clone(),
            known: storeys.iter().map(|s| s.id.to_string()).collect(),
        })
    }
}

/// Turns the gains of all radios at a place into what a telephone has there.
pub(crate) struct Judge<'a> {
    radios: &'a Radios<'a>,
    solver: Solver,
    sigma: f64,
    /// Least gains by target of a room, `[room][radio]`; nothing where there is no target.
    needed: Vec<Option<Vec<f64>>>,
    /// Rates worth asking about in each direction, rising, each with the least gains `[radio]`.
    ladders: [Vec<(BitsPerSecond, Vec<f64>)>; 2],
    margins: Vec<f64>,
}

impl<'a> Judge<'a> {
    pub fn new(radios: &'a Radios<'a>, targets: &[Option<Asked>]) -> Self {
        let least = |down, up, is_outdoors| {
            let needed = |(_, link): &(SetRadio, TelephoneLink)| link.needed_gain(down, up, is_outdoors);
            radios.of.iter().map(needed).collect::<Vec<f64>>()
        };
        let ladder = |direction: Direction| {
            let mut rates: Vec<BitsPerSecond> = radios.of.iter().flat_map(|(_, l)| l.rates(direction)).collect();
            rates.sort_by(|a, b| a.0.total_cmp(&b.0));
            rates.dedup();
            let nothing = BitsPerSecond(0.0);
            let both = |rate| if direction == Direction::Down { (rate, nothing) } else { (nothing, rate) };
            rates
                .into_iter()
                .filter(|rate| rate.0 > 0.0)
                .map(|rate| {
                    let (down, up) = both(rate);
                    (rate, least(down, up, false))
                })
                .collect()
        };
        let shadowing = Shadowing::default();
        Self {
            radios,
            solver: Solver::new(shadowing),
            sigma: shadowing.sigma_db,
            needed: targets.iter().map(|t| t.map(|t| least(t.target.down, t.target.up, t.is_outdoors))).collect(),
            ladders: [ladder(Direction::Down), ladder(Direction::Up)],
            margins: Vec::new(),
        }
    }

    /// Margins of the access points over what is needed: of each the best of its bands, as the coverage figure has it.
    fn margins(&mut self, gains: &[Db], needed: &[f64]) {
        self.margins.clear();
        self.margins.resize(self.radios.sites.len(), f64::NEG_INFINITY);
        for ((gain, needed), (radio, _)) in gains.iter().zip(needed).zip(&self.radios.of) {
            let best = &mut self.margins[radio.site];
            *best = best.max(gain.0 - needed);
        }
        self.margins.retain(|m| *m > f64::NEG_INFINITY);
    }

    /// Probability that the target of a room is met; 0 where there is none.
    pub fn probability(&mut self, gains: &[Db], room: usize) -> f64 {
        let Some(needed) = self.needed.get_mut(room).and_then(Option::take) else { return 0.0 };
        self.margins(gains, &needed);
        self.needed[room] = Some(needed);
        self.solver.probability(&self.margins)
    }

    /// What the link has in hand over the target of a room [dB]; nothing where there is no target.
    pub fn margin(&mut self, gains: &[Db], room: usize) -> Option<f64> {
        self.needed.get(room)?.as_ref()?;
        let probability = self.probability(gains, room);
        let in_hand = match self.margins.as_slice() {
            [one] => *one,
            _ => self.sigma * reliability::quantile(probability),
        };
        let margin = in_hand - self.dependable();
        // The figure's own test decides on which side of zero it is.
        let is_covered = self.solver.reaches(&self.margins, reliability::COVERED);
        let margin = if is_covered { margin.max(0.0) } else { margin.min(-1e-9) };
        Some(margin.clamp(-FAR_DB, FAR_DB))
    }

    /// What one link must have in hand over its needs to hold 95 % of the time [dB].
    pub fn dependable(&self) -> f64 {
        self.sigma * reliability::quantile(reliability::COVERED)
    }

    /// The highest rate in a direction that holds 95 % of the time; 0 if none does.
    pub fn rate(&mut self, gains: &[Db], direction: Direction) -> BitsPerSecond {
        let which = usize::from(direction == Direction::Up);
        let ladder = std::mem::take(&mut self.ladders[which]);
        let holding = ladder.partition_point(|(_, needed)| {
            self.margins(gains, needed);
            self.solver.reaches(&self.margins, reliability::COVERED)
        });
        let rate = holding.checked_sub(1).map_or(BitsPerSecond(0.0), |idx| ladder[idx].0);
        self.ladders[which] = ladder;
        rate
    }

    /// The radio that a telephone joins: the one whose own link carries most in its worse direction with what a link
    /// must have in hand, then the highest level; none if nothing arrives.
    pub fn serving(&self, gains: &[Db]) -> Option<usize> {
        let in_hand = Db(self.dependable());
        let key = |idx: &usize| {
            let (gain, link) = (gains[*idx], &self.radios.of[*idx].1);
            (link.access_rate(gain - in_hand).0, link.level(gain).0)
        };
        let arriving = (0..self.radios.of.len()).filter(|&idx| gains[idx].0 > f64::NEG_INFINITY);
        // The first of equals: `max_by` would take the last.
        arriving.rev().max_by(|a, b| {
            let (a, b) = (key(a), key(b));
            a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1))
        })
    }
}
