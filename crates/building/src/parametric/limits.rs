//! What can be drawn at all, and what fits where a wish does not.

use super::programme::{least_area, wished};
use super::search::search;
use super::sizes::Kind;
use super::{Attached, Problem, Rooms, Wish};

/// Smallest and largest floor area that is drawn [m²].
pub const MIN_FLOOR_AREA: f64 = 18.0;
/// See [`MIN_FLOOR_AREA`].
pub const MAX_FLOOR_AREA: f64 = 600.0;
/// Most living storeys.
pub const MAX_STOREYS: u32 = 4;
/// Most rooms of one kind.
pub const MAX_ROOMS_OF_A_KIND: u32 = 12;
/// Share of the floor that halls and inside walls take at least: a wish above it is not even tried.
const LEAST_HALL: f64 = 0.08;
/// Steps in which a fitting floor area is looked for.
const AREA_STEP: f64 = 1.05;
/// Frames that are drawn to see what fits instead: fewer than for the wish itself, so that the answer comes at once.
const FRAMES: usize = 120;

/// Every number of a wish that is outside what can be drawn; whether its rooms fit is only known once it is tried.
#[must_use]
pub fn check(wish: &Wish) -> Vec<Problem> {
    let mut problems = Vec::new();
    let mut add = |path: &str, message: String, hint: String| {
        problems.push(Problem { path: path.to_owned(), message, hint });
    };
    let area = wish.floor_area_m2;
    let area_ok = (MIN_FLOOR_AREA..=MAX_FLOOR_AREA).contains(&area);
    if !area_ok {
        let message = if area.is_finite() {
            format!("the floor area is {area} m²")
        } else {
            "the floor area is not a finite number".to_owned()
        };
        add("floor_area_m2", message, format!("give {MIN_FLOOR_AREA} to {MAX_FLOOR_AREA} m²"));
    }
    let most_storeys = if wish.attached == Attached::Flat { 1 } else { MAX_STOREYS };
    if !(1..=most_storeys).contains(&wish.storeys) {
        let hint = if most_storeys == 1 {
            "a flat has 1 storey; for more, choose `terraced`, `semi-detached` or `detached`".to_owned()
        } else {
            format!("give 1 to {MAX_STOREYS} storeys; a basement and an attic are asked for by themselves")
        };
        add("storeys", format!("{} storeys cannot be drawn", wish.storeys), hint);
    }
    if wish.attached == Attached::Flat && wish.basement {
        add("basement", "a flat has no basement of its own".to_owned(), "set `basement` to false".to_owned());
    }
    let rooms = wish.rooms;
    for (path, count, least) in [
        ("rooms/bedrooms", rooms.bedrooms, 0),
        ("rooms/bathrooms", rooms.bathrooms, 1),
        ("rooms/offices", rooms.offices, 0),
    ] {
        let what = path.trim_start_matches("rooms/");
        if !(least..=MAX_ROOMS_OF_A_KIND).contains(&count) {
            let mut hint = format!("give {least} to {MAX_ROOMS_OF_A_KIND}");
            if area_ok && count > MAX_ROOMS_OF_A_KIND && (1..=most_storeys).contains(&wish.storeys) {
                hint.push_str(&format!("; {}", what_fits(wish)));
            }
            add(path, format!("{count} {what} cannot be drawn"), hint);
        }
    }
    problems
}

/// The problem of a wish whose numbers are fine and whose rooms do not fit.
pub(super) fn does_not_fit(wish: &Wish) -> Problem {
    let rooms = wished(wish);
    let least = least_area(wish);
    let area = wish.floor_area_m2;
    let storeys = if wish.storeys == 1 { "one storey".to_owned() } else { format!("{} storeys", wish.storeys) };
    if least <= area * (1.0 - LEAST_HALL) && fitting_area(wish, false).is_some_and(|larger| larger > area * 3.0)
        || too_large(wish)
    {
        let hint = match fitting_area(wish, true) {
            Some(smaller) => format!("these rooms fit into at most {smaller:.0} m²; or ask for more rooms or storeys"),
            None => "ask for more rooms, or fewer storeys".to_owned(),
        };
        return Problem {
            path: "floor_area_m2".into(),
            message: format!("{} would be too large in {area:.0} m² on {storeys}", list(&rooms)),
            hint,
        };
    }
    let hint = match fitting_area(wish, false) {
        Some(larger) => format!("{}; all of these rooms fit from {larger:.0} m²", what_fits(wish)),
        None => what_fits(wish),
    };
    Problem {
        path: "rooms".into(),
        message: format!(
            "{} do not fit into {area:.0} m² on {storeys}: the rooms alone need at least {least:.0} m² and halls and walls come on top",
            list(&rooms)
        ),
        hint,
    }
}

/// Whether rooms at their largest leave floor over.
fn too_large(wish: &Wish) -> bool {
    let smaller = Wish { floor_area_m2: wish.floor_area_m2 * 0.6, ..wish.clone() };
    least_area(wish) < wish.floor_area_m2 * 0.35 && fits(&smaller)
}

fn fits(wish: &Wish) -> bool {
    least_area(wish) <= wish.floor_area_m2 * (1.0 - LEAST_HALL) && search(wish, FRAMES).is_some()
}

/// The nearest larger, or smaller, floor area that the rooms fit into.
fn fitting_area(wish: &Wish, smaller: bool) -> Option<f64> {
    let mut area = wish.floor_area_m2.max(if smaller { 0.0 } else { least_area(wish) });
    loop {
        area = if smaller { (area / AREA_STEP).floor() } else { (area * AREA_STEP).ceil() };
        if !(MIN_FLOOR_AREA..=MAX_FLOOR_AREA).contains(&area) {
            return None;
        }
        if fits(&Wish { floor_area_m2: area, ..wish.clone() }) {
            return Some(area);
        }
    }
}

/// The most rooms of a wish that do fit, as a sentence: extra rooms are given up one by one, bedrooms last but one.
fn what_fits(wish: &Wish) -> String {
    let cap = |n: u32| n.min(MAX_ROOMS_OF_A_KIND);
    let rooms = wish.rooms;
    let mut rooms = Rooms {
        bedrooms: cap(rooms.bedrooms),
        bathrooms: cap(rooms.bathrooms).max(1),
        offices: cap(rooms.offices),
        ..rooms
    };
    let basement = wish.basement && wish.attached != Attached::Flat;
    loop {
        let tried = Wish { rooms, basement, ..wish.clone() };
        if fits(&tried) {
            let fitting = wished(&tried);
            return format!(
                "{:.0} m² hold at most {} rooms beside the hall: {}",
                wish.floor_area_m2,
                fitting.len(),
                list(&fitting)
            );
        }
        if rooms.offices > 0 {
            rooms.offices -= 1;
        } else if rooms.bathrooms > 1 && rooms.bathrooms * 2 > rooms.bedrooms {
            rooms.bathrooms -= 1;
        } else if rooms.bedrooms > 1 {
            rooms.bedrooms -= 1;
        } else if rooms.utility {
            rooms.utility = false;
        } else if !rooms.open_kitchen {
            rooms.open_kitchen = true;
        } else if rooms.bathrooms > 1 {
            rooms.bathrooms -= 1;
        } else if rooms.bedrooms > 0 {
            rooms.bedrooms -= 1;
        } else {
            return format!(
                "{:.0} m² on {} storeys are too small for any home; a larger floor area or fewer storeys may do",
                wish.floor_area_m2, wish.storeys
            );
        }
    }
}

/// Rooms with their numbers: `living room, kitchen, 2 bedrooms`.
fn list(rooms: &[Kind]) -> String {
    let mut counted: Vec<(&'static str, usize)> = Vec::new();
    for name in rooms.iter().map(|k| k.name()) {
        match counted.iter_mut().find(|(n, _)| *n == name) {
            Some((_, count)) => *count += 1,
            None => counted.push((name, 1)),
        }
    }
    let words: Vec<String> = counted
        .iter()
        .map(
            |(name, count)| if *count == 1 { name.to_lowercase() } else { format!("{count} {}s", name.to_lowercase()) },
        )
        .collect();
    words.join(", ")
}
