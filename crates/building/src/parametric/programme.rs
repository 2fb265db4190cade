//! Which rooms stand on which storey.

use super::Wish;
use super::random::Random;
use super::sizes::Kind;

/// Share of a storey that rooms can have: the rest is hall, stair and inside walls. Common practice, no source.
const NET: f64 = 0.8;
/// Most rooms that are added to a storey so that none becomes too large.
const MOST_ADDED: usize = 7;

/// The rooms of a storey.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Storey {
    pub rooms: Vec<Kind>,
    /// How many of them, at the end, nobody asked for.
    pub added: usize,
}

/// The rooms that a wish names, without where they stand.
pub(super) fn wished(wish: &Wish) -> Vec<Kind> {
    let mut rooms = Vec::new();
    let studio = is_studio(wish);
    match (studio, wish.rooms.open_kitchen) {
        (true, _) => rooms.push(Kind::Studio),
        (false, true) => rooms.push(Kind::OpenLiving),
        (false, false) => rooms.extend([Kind::Living, Kind::Kitchen]),
    }
    for i in 0..wish.rooms.bedrooms {
        rooms.push(if i == 0 { Kind::MainBedroom } else { Kind::Bedroom });
    }
    for i in 0..wish.rooms.bathrooms {
        rooms.push(if i == 0 { Kind::Bath } else { Kind::Shower });
    }
    rooms.extend((0..wish.rooms.offices).map(|_| Kind::Office));
    if wish.rooms.utility {
        rooms.push(Kind::Utility);
    }
    rooms
}

/// True if people live, cook and sleep in one room.
pub(super) fn is_studio(wish: &Wish) -> bool {
    wish.rooms.bedrooms == 0 && wish.storeys == 1
}

/// Least area of the wished rooms together [m²].
pub(super) fn least_area(wish: &Wish) -> f64 {
    wished(wish).iter().map(|k| k.size().least).sum()
}

/// Distributes the rooms over the living storeys, from the ground up, and adds what fills them.
pub(super) fn storeys(wish: &Wish, random: &mut Random) -> Vec<Storey> {
    let count = wish.storeys.max(1) as usize;
    let area = wish.floor_area_m2 / count as f64;
    let mut storeys = vec![Storey::default(); count];
    let load = |rooms: &[Kind]| rooms.iter().map(|k| k.size().usual).sum::<f64>();
    let mut bedrooms = Vec::new();
    let mut movable = Vec::new();
    for kind in wished(wish) {
        match kind {
            k if k.is_bedroom() => bedrooms.push(k),
            Kind::Bath | Kind::Shower | Kind::Office => movable.push(kind),
            _ => storeys[0].rooms.push(kind),
        }
    }
    if count == 1 {
        storeys[0].rooms.extend(bedrooms.into_iter().chain(movable));
    } else {
        let bias = random.between(0.3, 0.6);
        for kind in bedrooms {
            let fullness =
                |i: usize| (load(&storeys[i].rooms) + kind.size().usual) / area + if i == 0 { bias } else { 0.0 };
            let best = (0..count).min_by(|a, b| fullness(*a).total_cmp(&fullness(*b))).unwrap_or(0);
            storeys[best].rooms.push(kind);
        }
        // The first bathroom goes to most of the bedrooms, the next one to the ground floor, others where people sleep.
        let mut baths = 0;
        for kind in movable {
            let sleepers = |s: &Storey| s.rooms.iter().filter(|k| k.is_bedroom()).count();
            let bathrooms = |s: &Storey| s.rooms.iter().filter(|k| k.is_bathroom()).count();
            let pressure = |i: usize| {
                let full = (load(&storeys[i].rooms) + kind.size().usual) / (area * NET);
                full + 8.0 * (full - 0.95).max(0.0)
            };
            let want = |i: usize| match kind {
                Kind::Office => -pressure(i),
                _ if baths == 0 => sleepers(&storeys[i]) as f64 - 0.5 * bathrooms(&storeys[i]) as f64 - pressure(i),
                _ if baths == 1 && i == 0 => 0.9 - pressure(i),
                _ => 0.6 * sleepers(&storeys[i]) as f64 - 1.1 * bathrooms(&storeys[i]) as f64 - pressure(i),
            };
            // Not `max_by`, which takes the last of equals: of equals the lowest storey above ground is meant.
            let best = (0..count).fold(0, |best, i| if want(i) > want(best) { i } else { best });
            baths += usize::from(kind.is_bathroom());
            storeys[best].rooms.push(kind);
        }
    }
    let enough = random.between(1.0, 1.3);
    let mut added = Vec::new();
    for (i, storey) in storeys.iter_mut().enumerate() {
        fill(storey, (i, count), area, enough, &mut added, random);
    }
    storeys
}

/// The rooms of a basement.
pub(super) fn basement(wish: &Wish, random: &mut Random) -> Storey {
    let area = wish.floor_area_m2 / f64::from(wish.storeys.max(1));
    let mut rooms = vec![Kind::Cellar, Kind::Plant];
    let mut usual = 25.0;
    for kind in [Kind::Store, Kind::Cellar, Kind::Cellar, Kind::Store, Kind::Cellar, Kind::Cellar] {
        if area * NET > usual * random.between(1.5, 1.9) {
            rooms.push(kind);
            usual += kind.size().usual;
        }
    }
    Storey { rooms, added: 0 }
}

/// Adds rooms that nobody asked for until none has to be much larger than usual. `added` are those of the whole home.
fn fill(
    storey: &mut Storey,
    (level, count): (usize, usize),
    area: f64,
    enough: f64,
    added: &mut Vec<Kind>,
    random: &mut Random,
) {
    let net = area * NET;
    while storey.added < MOST_ADDED {
        let usual: f64 = storey.rooms.iter().map(|k| k.size().usual).sum();
        if !storey.rooms.is_empty() && net <= usual * enough {
            break;
        }
        let spare = net - usual * 0.95;
        let wanted: &[Kind] = if level > 0 {
            &[Kind::Store, Kind::Dressing, Kind::Hobby, Kind::Library, Kind::Play, Kind::Sitting]
        } else if count == 1 {
            &[Kind::Store, Kind::Dining, Kind::Dressing, Kind::Sitting, Kind::Hobby, Kind::Library, Kind::Play]
        } else {
            &[Kind::Dining, Kind::Store, Kind::Sitting, Kind::Library, Kind::Play]
        };
        let fits = |k: &Kind| {
            let here = |kind: Kind| storey.rooms.iter().filter(|r| **r == kind).count();
            let free = match k {
                Kind::Store => here(Kind::Store) < 2 && added.iter().filter(|a| **a == Kind::Store).count() < 3,
                Kind::Dressing => here(Kind::MainBedroom) > here(Kind::Dressing),
                Kind::Dining => here(Kind::Studio) == 0 && !added.contains(k),
                _ => !added.contains(k),
            };
            free && k.size().usual * 0.9 <= spare.max(2.5)
        };
        let able: Vec<Kind> = wanted.iter().copied().filter(fits).collect();
        // The largest that fits where much is spare, else any.
        let largest = able.iter().copied().max_by(|a, b| a.size().usual.total_cmp(&b.size().usual));
        let next = if spare > 14.0 { largest } else { random.pick(&able).copied() };
        let Some(next) = next else { break };
        storey.rooms.push(next);
        added.push(next);
        storey.added += 1;
    }
}
