//! A home from a few wishes: floor area, storeys, construction, rooms and a seed.
//!
//! - [`Wish`], [`Construction`], [`Attached`], [`Rooms`]: what is asked for
//! - [`generate`]: the home, or everything that keeps the wish from being met, each with what does fit
//! - [`Made`], [`Problem`]
//!
//! # Model
//! All storeys share a frame: a rectangle with a strip for the hall or landing, the stair in it or in a cell beside it, and
//! bands of rooms along it. Each storey's rooms are drawn into the bands, at the ends of the strip, or across the whole home;
//! arrangements that break a least size, leave a room without door or daylight or block a stair are dropped; of those that
//! work the one with the least cost is kept. Everything comes from the seed. Footprints are rectangles.

mod assemble;
mod fabric;
mod fittings;
mod frame;
mod judge;
mod layout;
mod limits;
mod openings;
mod programme;
mod random;
mod rect;
mod search;
mod sizes;
mod usable;
mod walls;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::elements::Building;

pub use limits::{MAX_FLOOR_AREA, MAX_ROOMS_OF_A_KIND, MAX_STOREYS, MIN_FLOOR_AREA, check};

/// What a home is built of.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Construction {
    /// Timber frame.
    TimberFrame,
    /// Masonry of two leaves with a cavity.
    #[default]
    MasonryCavity,
    /// Solid masonry.
    MasonrySolid,
    /// Cast or precast concrete.
    Concrete,
}

/// How a home is joined to others.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Attached {
    /// It stands alone.
    #[default]
    Detached,
    /// One neighbour at a side.
    SemiDetached,
    /// Neighbours at both sides.
    Terraced,
    /// Neighbours at sides, above and below.
    Flat,
}

/// The rooms wanted beside a living room, a kitchen and the hall, which every home has.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Rooms {
    /// Bedrooms; with none, a home of one storey gets a room for living, cooking and sleeping.
    pub bedrooms: u32,
    /// Bathrooms and shower rooms.
    pub bathrooms: u32,
    /// Offices.
    #[serde(default)]
    pub offices: u32,
    /// True for a utility room.
    #[serde(default)]
    pub utility: bool,
    /// True if kitchen and living room are one.
    #[serde(default)]
    pub open_kitchen: bool,
}

/// A wish for a home.
#[derive(Clone, Debug, PartialEq)]
pub struct Wish {
    /// Floor area of the living storeys together, between the inner faces of the outer and party walls [m²]. A basement and
    /// an attic come on top of it.
    pub floor_area_m2: f64,
    /// Living storeys.
    pub storeys: u32,
    /// True for a basement under the whole home.
    pub basement: bool,
    /// True for an attic that cables can run in; false for a roof right over the top storey, or a neighbour over a flat.
    pub attic: bool,
    /// What it is built of.
    pub construction: Construction,
    /// How it is joined to others.
    pub attached: Attached,
    /// Rooms wanted.
    pub rooms: Rooms,
    /// The same seed gives the same home.
    pub seed: u64,
}

/// A home that was made.
#[derive(Clone, Debug)]
pub struct Made {
    /// The home.
    pub building: Building,
    /// Floor area of its living storeys, as [`Wish::floor_area_m2`] measures it [m²]; within 0.5 % of the wish.
    pub floor_area_m2: f64,
    /// What was assumed or added, in plain sentences.
    pub notes: Vec<String>,
}

/// Why a wish cannot be met.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Problem {
    /// The field, such as `rooms/bedrooms`.
    pub path: String,
    /// What is wrong.
    pub message: String,
    /// What does fit.
    pub hint: String,
}

/// Makes a home.
///
/// # Errors
/// Every problem of the wish: numbers outside what can be drawn, and rooms that do not fit, with what does.
///
/// # Example
/// ```
/// use building::parametric::{Attached, Construction, Rooms, Wish, generate};
/// let wish = Wish {
///     floor_area_m2: 95.0,
///     storeys: 2,
///     basement: false,
///     attic: true,
///     construction: Construction::MasonryCavity,
///     attached: Attached::SemiDetached,
///     rooms: Rooms { bedrooms: 3, bathrooms: 1, offices: 0, utility: false, open_kitchen: false },
///     seed: 7,
/// };
/// let made = generate(&wish).unwrap();
/// assert!((made.floor_area_m2 / 95.0 - 1.0).abs() < 0.005);
/// assert_eq!(made.building.rooms.iter().filter(|r| r.usage == building::RoomUse::Bedroom).count(), 3);
/// ```
pub fn generate(wish: &Wish) -> Result<Made, Vec<Problem>> {
    let problems = check(wish);
    if !problems.is_empty() {
        return Err(problems);
    }
    let Some(scheme) = search::search(wish, search::MOST_FRAMES) else { return Err(vec![limits::does_not_fit(wish)]) };
    let building = assemble::building(wish, &scheme);
    let floor_area_m2 = scheme.frame.inner_area() * f64::from(wish.storeys);
    Ok(Made { building, floor_area_m2, notes: notes(wish, &scheme) })
}

/// What was assumed of a home.
fn notes(wish: &Wish, scheme: &search::Scheme) -> Vec<String> {
    let mut notes = vec![format!(
        "The home was drawn by the program from {:.0} m² on {} and the seed {}; no wall of it was measured.",
        wish.floor_area_m2,
        if wish.storeys == 1 { "one storey".to_owned() } else { format!("{} storeys", wish.storeys) },
        wish.seed
    )];
    let f = &scheme.fabric;
    let name = |id: &str| crate::library::assembly(id).map_or(id, |a| a.name.as_str()).to_owned();
    notes.push(format!(
        "Assumed of its build: outer walls: {}; inside walls: {}; windows: {}; storeys {:.2} m high.",
        name(f.outer),
        name(f.inside),
        name(f.window),
        scheme.height
    ));
    let party = scheme.frame.sides.contains(&crate::WallKind::Party);
    if party {
        notes.push(format!("Assumed of the walls to neighbours: {}.", name(f.party)));
    }
    let added: Vec<String> = scheme
        .storeys
        .iter()
        .flat_map(|s| s.programme.rooms.iter().rev().take(s.programme.added))
        .map(|k| k.name().to_lowercase())
        .collect();
    if !added.is_empty() {
        notes.push(format!("Added, because the floor area holds more than the rooms asked for: {}.", added.join(", ")));
    }
    if wish.basement {
        notes.push("The basement lies under the whole home and comes on top of the floor area.".to_owned());
    }
    if wish.attic {
        notes.push(
            "The attic is not lived in; its pitched roof is drawn as one level slab at its mean height.".to_owned(),
        );
    }
    notes.push(
        "Sockets, doors, windows and appliances of metal stand where they usually do (common practice, no source)."
            .to_owned(),
    );
    notes
}
