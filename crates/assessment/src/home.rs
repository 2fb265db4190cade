//! Everything of a job that designs are judged against, resolved once.

use std::fmt;

use building::{Resolved, RoomUse, StoreyUse};
use equipment::{Catalog, PriceList};
use findings::{Finding, Id, Severity};
use household::{Device, Household};
use job::Job;
use site::Site;
use units::{Point2, Point3};

use crate::antennas::{self, Antennas};

/// Height at which a device is held where the household does not say [m] (common practice, no source).
pub(crate) const HELD_HEIGHT: f64 = 1.0;

/// Height above the floor of a demarcation point that the job does not give [m] (common practice, no source).
const DEMARCATION_HEIGHT: f64 = 1.0;

/// Distance from a wall at which a part on a shelf stands [m] (common practice, no source).
const OFF_WALL: f64 = 0.15;

/// Distance kept from fixed objects [m] (common practice, no source).
const CLEARANCE: f64 = 0.3;

/// Distance between places tried along a wall [m].
const STEP: f64 = 0.1;

/// A home with its household and equipment, ready for the engines.
#[derive(Clone, Debug)]
pub struct Home {
    /// The building.
    pub resolved: Resolved,
    /// The address.
    pub site: Site,
    /// The household, the stated default if the job has none.
    pub household: Household,
    /// Built-in parts and the job's own.
    pub catalog: Catalog,
    /// Antennas of parts that do not send alike into all directions.
    pub(crate) antennas: Antennas,
    /// Prices in the site's currency; an empty list if there is none in it.
    pub prices: PriceList,
    /// Terms of a quote.
    pub terms: cost::Terms,
    /// Outlets with the circuit that each is on, where that is known.
    pub circuits: Vec<(Id, Id)>,
    /// Where the line enters [m].
    pub demarcation: Point3,
    /// Index of the room that it is in or nearest to.
    pub demarcation_room: usize,
    /// What was assumed because the job does not say it, in plain sentences.
    pub assumptions: Vec<String>,
    /// Findings on the job that do not keep it from being computed on.
    pub warnings: Vec<Finding>,
}

/// The job cannot be computed on: every reason.
#[derive(Clone, Debug)]
pub struct NotComputable {
    /// What is wrong, each with its remedy.
    pub findings: Vec<Finding>,
    /// Reasons that are not findings of a rule.
    pub reasons: Vec<String>,
}

impl NotComputable {
    /// One reason that is no finding of a rule.
    #[must_use]
    pub fn because(reason: impl Into<String>) -> Self {
        Self { findings: Vec::new(), reasons: vec![reason.into()] }
    }
}

impl fmt::Display for NotComputable {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let num = self.findings.len() + self.reasons.len();
        write!(f, "the job cannot be computed on: {num} problem{}", if num == 1 { "" } else { "s" })?;
        for reason in &self.reasons {
            write!(f, "\n  {reason}")?;
        }
        for finding in &self.findings {
            write!(f, "\n  {} [{}]", finding.message, finding.rule)?;
            for remedy in &finding.remedies {
                write!(f, "\n    hint: {}", remedy.text)?;
            }
        }
        Ok(())
    }
}

impl std::error::Error for NotComputable {}

impl Home {
    /// Resolves a job; a job without a household gets the stated default one.
    ///
    /// # Errors
    /// [`NotComputable`] with every problem that keeps the job from being computed on.
    pub fn new(job: &Job) -> Result<Self, NotComputable> {
        let (failures, warnings): (Vec<_>, Vec<_>) =
            job::validate(job).into_iter().partition(|f| f.severity <= Severity::Fails);
        if !failures.is_empty() {
            return Err(NotComputable { findings: failures, reasons: Vec::new() });
        }
        let resolved =
            Resolved::new(&job.building).map_err(|findings| NotComputable { findings, reasons: Vec::new() })?;
        if resolved.rooms.is_empty() {
            return Err(NotComputable::because(
                "no room was found: give rooms with outlines, or walls that enclose them",
            ));
        }
        let catalog = Catalog::with(&job.equipment.parts).map_err(|problems| NotComputable {
            findings: Vec::new(),
            reasons: problems.iter().map(ToString::to_string).collect(),
        })?;
        let antennas = antennas::antennas(&catalog)?;
        let mut assumptions = Vec::new();
        let household = match &job.household {
            Some(household) => household.clone(),
            None => {
                let rooms: Vec<_> = resolved.rooms.iter().map(|r| (r.id.clone(), r.usage, r.name.clone())).collect();
                household::default_household(&rooms)
            }
        };
        assumptions.extend(household.assumptions.iter().cloned());
        let currency = job.site.currency;
        let prices = PriceList::generic(currency).unwrap_or_else(|| PriceList::empty(currency));
        if prices.is_empty() {
            assumptions.push(format!("There is no generic price list in {}; prices are unknown.", currency));
        }
        let outlets = job.building.outlets.iter();
        let circuits = outlets.filter_map(|o| Some((o.id.clone(), o.circuit.clone()?)));
        let (demarcation, demarcation_room) = demarcation(&resolved, &mut assumptions);
        Ok(Self {
            resolved,
            site: job.site.clone(),
            household,
            catalog,
            antennas,
            prices,
            terms: job.terms.clone().unwrap_or_default(),
            circuits: circuits.collect(),
            demarcation,
            demarcation_room,
            assumptions,
            warnings,
        })
    }

    /// Where a device is used: its place, else the middle of its room, at its height; nothing if its room is unknown.
    #[must_use]
    pub fn device_place(&self, device: &Device) -> Option<Point3> {
        let room = self.resolved.rooms.iter().find(|r| r.id == device.room)?;
        let floor = self.resolved.storeys.get(room.storey)?.floor_z;
        let at = device.at.unwrap_or(room.inside);
        Some(at.at_height(floor + device.height.map_or(HELD_HEIGHT, |h| h.0)))
    }

    /// Whether a device can be at a point as far as fixed objects go: nobody holds a telephone inside a refrigerator.
    #[must_use]
    pub fn is_free(&self, at: Point3) -> bool {
        !self.resolved.blocks.iter().any(|block| block.contains(at))
    }

    /// Index of the room with an id.
    #[must_use]
    pub fn room(&self, id: &findings::Id) -> Option<usize> {
        self.resolved.rooms.iter().position(|r| &r.id == id)
    }
}

/// The demarcation point and its room; guessed, and said so, where the job gives none.
fn demarcation(resolved: &Resolved, assumptions: &mut Vec<String>) -> (Point3, usize) {
    if let Some(at) = resolved.demarcation {
        let inside = resolved.storey_at(at.z).and_then(|storey| resolved.room_at(storey, at.plan()));
        let nearest = || {
            let cost = |room: &building::ResolvedRoom| {
                let floor = resolved.storeys.get(room.storey).map_or(0.0, |s| s.floor_z);
                let off_storey = if at.z >= floor && at.z <= floor + 3.5 { 0.0 } else { 100.0 };
                off_storey + just_inside(resolved, room, at).1
            };
            (0..resolved.rooms.len())
                .min_by(|&a, &b| cost(&resolved.rooms[a]).total_cmp(&cost(&resolved.rooms[b])))
                .unwrap_or(0)
        };
        if let Some(room) = inside {
            return (at, room);
        }
        // The line ends outside: boards of several dwellings are in common places. Equipment stands inside.
        let room = nearest();
        let chosen = &resolved.rooms[room];
        let (spot, distance) = just_inside(resolved, chosen, at);
        let floor = resolved.storeys.get(chosen.storey).map_or(0.0, |s| s.floor_z);
        assumptions.push(format!(
            "The demarcation point is outside the rooms, {distance:.1} m from {} ({}); the line is taken on to the nearest place inside, where the equipment stands.",
            chosen.name, chosen.id
        ));
        return (spot.at_height(floor + DEMARCATION_HEIGHT), room);
    }
    // Lines mostly enter near the ground, where boxes and meters are: utility room or hall first.
    let rank = |room: &building::ResolvedRoom| {
        let storey = &resolved.storeys[room.storey];
        let by_storey = match storey.usage {
            StoreyUse::Living => 0,
            StoreyUse::Basement => 1,
            _ => 2,
        };
        let by_use = match room.usage {
            RoomUse::Utility => 0,
            RoomUse::Hall => 1,
            RoomUse::Living => 2,
            RoomUse::Outdoor => 9,
            _ => 3,
        };
        (by_storey, room.storey, by_use)
    };
    let room = (0..resolved.rooms.len()).min_by_key(|&i| (rank(&resolved.rooms[i]), i)).unwrap_or(0);
    let chosen = &resolved.rooms[room];
    assumptions.push(format!(
        "The job gives no demarcation point; it is taken to be in {} ({}), the lowest utility room or hall.",
        chosen.name, chosen.id
    ));
    (chosen.inside.at_height(resolved.storeys[chosen.storey].floor_z + DEMARCATION_HEIGHT), room)
}

/// The place in a room nearest to a point outside it, a little off the wall and clear of fixed objects, and how far the
/// wall there is from the point [m].
fn just_inside(resolved: &Resolved, room: &building::ResolvedRoom, at: Point3) -> (Point2, f64) {
    let height = resolved.storeys.get(room.storey).map_or(0.0, |s| s.floor_z) + DEMARCATION_HEIGHT;
    let mut nearest = (room.inside, f64::INFINITY);
    for (i, &from) in room.outline.iter().enumerate() {
        let to = room.outline[(i + 1) % room.outline.len()];
        let (dx, dy) = (to.x - from.x, to.y - from.y);
        let length = dx.hypot(dy);
        // Outlines run anticlockwise: the room is on the left.
        let (right, up) = (dx / length, dy / length);
        let mut along = OFF_WALL;
        while along <= length - OFF_WALL {
            let on_wall = Point2::new(from.x + right * along, from.y + up * along);
            let spot = Point2::new(on_wall.x - up * OFF_WALL, on_wall.y + right * OFF_WALL);
            let distance = on_wall.distance(at.plan());
            if distance < nearest.1 && room.contains(spot) && is_clear(resolved, spot.at_height(height)) {
                nearest = (spot, distance);
            }
            along += STEP;
        }
    }
    nearest
}

/// True if no fixed object is at a place or right beside it: a radio in or behind a refrigerator reaches nothing.
fn is_clear(resolved: &Resolved, at: Point3) -> bool {
    !resolved.blocks.iter().any(|block| {
        let within = |value: fn(&Point2) -> f64, of: f64| {
            let low = block.outline.iter().map(value).fold(f64::INFINITY, f64::min);
            let high = block.outline.iter().map(value).fold(f64::NEG_INFINITY, f64::max);
            of >= low - CLEARANCE && of <= high + CLEARANCE
        };
        at.z >= block.z0 - CLEARANCE && at.z <= block.z1 + CLEARANCE && within(|p| p.x, at.x) && within(|p| p.y, at.y)
    })
}
