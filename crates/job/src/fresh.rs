//! A whole job from eight answers: a drawn home, the default service of a country, a household of so many people.
//!
//! - [`NewHome`], [`NewLine`]: the answers
//! - [`make`]: the job with notes of everything that was assumed, or every problem with what does fit
//!
//! This module asks nobody and reads no clock: the date is given. What a home looks like is decided by
//! [`building::parametric`].

mod people;

use building::parametric::{self, Attached, Construction, Rooms, Wish};
use building::{Building, Room, RoomUse, StoreyUse};
use findings::Id;
use household::default_household;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use site::{LineKind, Site, country_name, nearest_country};
use units::{BitsPerSecond, Date};

pub use building::parametric::Problem;

use crate::{Equipment, FORMAT, Job};

/// Most people in a home.
pub const MAX_PEOPLE: u32 = 20;
/// Longest name [characters].
pub const MAX_NAME: usize = 120;
/// Highest rate of a line [bit/s]: 100 Gbit/s, far above any line to a home.
const MAX_RATE: f64 = 100e9;
/// Seeds above this are not kept exactly by every reader of JSON: 2^53 - 1 (RFC 8259, section 6).
const MAX_SEED: u64 = (1 << 53) - 1;

/// A line into a new home.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct NewLine {
    /// How it reaches the home.
    pub kind: LineKind,
    /// Rate towards the home [bit/s].
    pub down_bps: f64,
    /// Rate from the home [bit/s].
    pub up_bps: f64,
}

impl Default for NewLine {
    /// What [`Site::default_for`] assumes: fibre, 500 Mbit/s down and 100 up.
    fn default() -> Self {
        Self { kind: LineKind::Fibre, down_bps: 500e6, up_bps: 100e6 }
    }
}

/// The eight answers that a new home is made from. What is absent takes the value of [`NewHome::default`].
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct NewHome {
    /// Name for people; never a person's.
    pub name: String,
    /// Country, two letters of ISO 3166-1.
    pub country: String,
    /// Floor area of the living storeys together, between the faces of the outer walls [m²].
    pub floor_area_m2: f64,
    /// Living storeys.
    pub storeys: u32,
    /// True for a basement under the home.
    pub basement: bool,
    /// True for an attic that cables can run in.
    pub attic: bool,
    /// What it is built of.
    pub construction: Construction,
    /// How it is joined to others.
    pub attached: Attached,
    /// Rooms wanted.
    pub rooms: Rooms,
    /// People who live there.
    pub people: u32,
    /// True if walls and floors may be drilled for cables.
    pub may_drill: bool,
    /// The line into the home.
    pub line: NewLine,
    /// The same seed gives the same home.
    pub seed: u64,
}

impl Default for NewHome {
    fn default() -> Self {
        Self {
            name: "New home".to_owned(),
            country: "US".to_owned(),
            floor_area_m2: 110.0,
            storeys: 2,
            basement: false,
            attic: true,
            construction: Construction::TimberFrame,
            attached: Attached::Detached,
            rooms: Rooms { bedrooms: 3, bathrooms: 2, offices: 0, utility: false, open_kitchen: false },
            people: 4,
            may_drill: true,
            line: NewLine::default(),
            seed: 1,
        }
    }
}

/// A job that was made.
#[derive(Clone, Debug)]
pub struct Made {
    /// The whole job.
    pub job: Job,
    /// What was assumed, in plain sentences; they stand in the job too.
    pub notes: Vec<String>,
}

/// Makes a whole job.
///
/// # Errors
/// Every problem of the answers, by field, each with what is accepted or what does fit.
///
/// # Example
/// ```
/// let made = job::fresh::make(&job::fresh::NewHome::default(), "2026-01-31".parse().unwrap()).unwrap();
/// assert!(job::validate(&made.job).iter().all(|f| f.severity > findings::Severity::Fails));
/// assert_eq!(made.job.household.unwrap().people.len(), 4);
/// ```
pub fn make(home: &NewHome, date: Date) -> Result<Made, Vec<Problem>> {
    let mut problems = check(home);
    let wish = Wish {
        floor_area_m2: home.floor_area_m2,
        storeys: home.storeys,
        basement: home.basement,
        attic: home.attic,
        construction: home.construction,
        attached: home.attached,
        rooms: home.rooms,
        seed: home.seed,
    };
    problems.extend(parametric::check(&wish));
    if !problems.is_empty() {
        return Err(problems);
    }
    let made = parametric::generate(&wish)?;
    let mut notes = made.notes;
    let site = site(home, date, &mut notes);
    let rooms = rooms(&made.building);
    let mut household = default_household(&rooms);
    people::adapt(&mut household, home, &rooms);
    let job = Job {
        format: FORMAT.to_owned(),
        name: home.name.trim().to_owned(),
        notes: notes.clone(),
        site,
        household: Some(household),
        equipment: Equipment::default(),
        terms: None,
        building: made.building,
        designs: Vec::new(),
    };
    notes.extend(job.household.iter().flat_map(|h| h.assumptions.iter().cloned()));
    Ok(Made { job, notes })
}

/// Rooms in the order that the default household should look at them: those below ground last, bedrooms by their number.
fn rooms(building: &Building) -> Vec<(Id, RoomUse, String)> {
    let below = |storey: &Id| building.storeys.iter().any(|s| &s.id == storey && s.usage == StoreyUse::Basement);
    let mut rooms: Vec<&Room> = building.rooms.iter().collect();
    rooms.sort_by_key(|r| {
        let bedroom = r.usage == RoomUse::Bedroom;
        (
            below(&r.storey),
            bedroom,
            if bedroom { r.id.as_str().len() } else { 0 },
            if bedroom { r.id.as_str() } else { "" },
        )
    });
    rooms.into_iter().map(|r| (r.id.clone(), r.usage, r.name.clone())).collect()
}

/// What is wrong with the answers that are not about the building.
fn check(home: &NewHome) -> Vec<Problem> {
    let mut problems = Vec::new();
    let mut add = |path: &str, message: String, hint: String| {
        problems.push(Problem { path: path.to_owned(), message, hint });
    };
    let name = home.name.trim();
    if name.is_empty() || name.chars().count() > MAX_NAME || name.chars().any(char::is_control) {
        let message = match name.chars().count() {
            0 => "the name is empty".to_owned(),
            count if count > MAX_NAME => format!("the name has {count} characters"),
            _ => "the name has characters that cannot be printed".to_owned(),
        };
        add("name", message, format!("give 1 to {MAX_NAME} characters on one line"));
    }
    if country_name(&home.country).is_none() {
        let shown: String = home.country.chars().take(40).collect();
        let hint = match nearest_country(&home.country) {
            Some(code) => format!("the nearest is `{code}` ({})", country_name(code).unwrap_or(code)),
            None => "give two capital letters, such as `GB`, `US` or `DE`".to_owned(),
        };
        add("country", format!("`{shown}` is no country code of ISO 3166-1"), hint);
    }
    if !(1..=MAX_PEOPLE).contains(&home.people) {
        add("people", format!("{} people cannot be placed", home.people), format!("give 1 to {MAX_PEOPLE} people"));
    }
    for (path, rate) in [("line/down_bps", home.line.down_bps), ("line/up_bps", home.line.up_bps)] {
        if !(rate > 0.0 && rate <= MAX_RATE) {
            let hint = "give bits per second above 0, at most 100 Gbit/s, such as 500000000".to_owned();
            add(path, format!("the line's rate is {rate} bit/s"), hint);
        }
    }
    if home.seed > MAX_SEED {
        add("seed", format!("the seed is {}", home.seed), format!("give 0 to {MAX_SEED}"));
    }
    problems
}

/// The default service of the country with the line that was given.
fn site(home: &NewHome, date: Date, notes: &mut Vec<String>) -> Site {
    let mut site = Site::default_for(&home.country, date);
    if let Some(line) = site.lines.first_mut() {
        line.id = Id::from_label("line-1");
        line.kind = home.line.kind;
        line.down = BitsPerSecond(home.line.down_bps);
        line.up = BitsPerSecond(home.line.up_bps);
    }
    notes.push(format!(
        "Assumed for {}: prices in {}, the date {date}, and a line that is handed over as Ethernet.",
        country_name(&home.country).unwrap_or(&home.country),
        site.currency
    ));
    // The line itself was asked for; what else is assumed still holds.
    notes.extend(Site::default_assumptions().into_iter().skip(1));
    site
}

impl NewHome {
    /// What people with such a home usually have: storeys, attic, rooms and people for a floor area and a way of being
    /// joined. A start for questions; common practice, no source. Areas that cannot be drawn are taken for the nearest that can.
    #[must_use]
    pub fn usual(floor_area_m2: f64, attached: Attached) -> Self {
        let area = floor_area_m2.clamp(parametric::MIN_FLOOR_AREA, parametric::MAX_FLOOR_AREA);
        let area = if area.is_finite() { area } else { Self::default().floor_area_m2 };
        let storeys = match attached {
            Attached::Flat => 1,
            _ if area < 65.0 => 1,
            _ if area < 230.0 => 2,
            _ => 3,
        };
        let bedrooms = match area {
            a if a < 38.0 => 0,
            a if a < 56.0 => 1,
            a if a < 82.0 => 2,
            a if a < 135.0 => 3,
            a if a < 190.0 => 4,
            _ => 5,
        };
        let bathrooms = if area < 105.0 {
            1
        } else if area < 190.0 {
            2
        } else {
            3
        };
        let rooms = Rooms { bedrooms, bathrooms, offices: 0, utility: false, open_kitchen: area < 55.0 };
        Self {
            floor_area_m2,
            attached,
            storeys,
            attic: attached != Attached::Flat,
            rooms,
            people: (bedrooms + 1).min(5),
            ..Self::default()
        }
    }
}
