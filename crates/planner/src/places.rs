//! Candidate places, and which cells a radio in one of them covers.

use assessment::{Evaluator, Field, Home, dependable_margin};
use building::{Deck, MountKind, MountPoint, RoomUse};
use equipment::Part;
use findings::Id;
use network::RadioSetting;
use radio_profile::Band;
use units::{BitsPerSecond, Point2, Point3};

use crate::build::Spot;

/// A part that is fed from the mains stands at most this far from an outlet [m] (common practice, no source: the
/// length of its cord).
const CORD_TO_OUTLET: f64 = 3.0;

/// A ceiling this much above a storey's height is not that storey's [m] (common practice, no source: a ceiling void and
/// a floor are thinner).
const OPEN_ABOVE: f64 = 1.0;

/// How far below a storey's height its ceiling may be drawn [m].
const CEILING_DRAWN_LOW: f64 = 0.3;

/// A place where a radio could be.
pub(crate) struct Place {
    pub spot: Spot,
    pub kind: MountKind,
    /// Whether a mains cord reaches an outlet from here; true as well if the home lists no outlets at all.
    pub on_mains: bool,
    /// Path gains to the cells of the search field [dB], `[band][cell]`.
    pub gain: Vec<Vec<f32>>,
}

/// What a radio in a place would cover.
pub(crate) struct Reach {
    /// Bit set of covered cells.
    pub cells: Vec<u64>,
    /// How much margin it has over all cells, for choosing between equals.
    pub score: f64,
}

/// The places of a home, in a fixed order.
pub(crate) fn places(home: &Home, evaluator: &Evaluator, field: &Field, spacing: f64) -> Vec<Place> {
    let forbidden = &home.household.wishes.rooms_without_equipment;
    // What hangs on a wall or ceiling is screwed to it.
    let stands_only = home.household.wishes.no_drilling;
    let any_outlets = home.resolved.outlets.iter().any(|o| o.kind == building::OutletKind::Mains);
    let mounts: Vec<_> = evaluator
        .mount_points(spacing)
        .into_iter()
        .filter(|m| {
            let room = &home.resolved.rooms[m.room];
            // Damp rooms are no place for mains equipment (common practice, no source).
            !forbidden.contains(&room.id) && !matches!(room.usage, RoomUse::Bath | RoomUse::Outdoor)
        })
        .filter(|m| !stands_only || m.kind == MountKind::Shelf)
        .filter(|m| m.kind != MountKind::Ceiling || !is_open_above(home, m))
        .collect();
    let sites: Vec<Point3> = mounts.iter().map(|m| m.at).collect();
    let gains = evaluator.compared_gains(field, &sites);
    mounts
        .iter()
        .zip(gains)
        .map(|(mount, gain)| Place {
            spot: Spot::of(home, mount),
            kind: mount.kind,
            on_mains: !any_outlets || mount.outlet_distance <= CORD_TO_OUTLET,
            gain,
        })
        .collect()
}

/// True if what is next above a place under a storey's ceiling is more than that storey's ceiling away: a hall that is
/// open to the roof. A storey over which the job draws nothing at all has a ceiling.
fn is_open_above(home: &Home, mount: &MountPoint) -> bool {
    let at = mount.at.plan();
    let lowest = home
        .resolved
        .decks
        .iter()
        .filter(|d| d.z_bottom >= mount.at.z - CEILING_DRAWN_LOW && lies_in(d, at))
        .map(|d| d.z_bottom - mount.at.z)
        .min_by(f64::total_cmp);
    lowest.is_some_and(|above| above > OPEN_ABOVE)
}

fn lies_in(deck: &Deck, at: Point2) -> bool {
    encloses(&deck.outline, at) && !deck.holes.iter().any(|hole| encloses(hole, at))
}

/// Even-odd rule.
pub(crate) fn encloses(outline: &[Point2], at: Point2) -> bool {
    let mut inside = false;
    for (i, p) in outline.iter().enumerate() {
        let q = outline[(i + 1) % outline.len()];
        if (p.y > at.y) != (q.y > at.y) && at.x < p.x + (at.y - p.y) / (q.y - p.y) * (q.x - p.x) {
            inside = !inside;
        }
    }
    inside
}

/// The place of the demarcation point itself.
pub(crate) fn demarcation(home: &Home, evaluator: &Evaluator, field: &Field) -> Place {
    let spot = Spot::at_demarcation(home);
    let gain = evaluator.compared_gains(field, &[spot.at]).into_iter().next().unwrap_or_default();
    Place { spot, kind: MountKind::Shelf, on_mains: true, gain }
}

/// Settings of a part's radios as if it were alone.
pub(crate) fn settings(evaluator: &Evaluator, part: &Part, at: Point3) -> Result<Vec<RadioSetting>, String> {
    let Some(radio) = &part.radio else { return Ok(Vec::new()) };
    evaluator.channel_plan(&[(Id::from_label("alone"), at, radio)], &[])
}

/// Least gain by band and served room of a part with settings [dB].
pub(crate) fn needs(
    evaluator: &Evaluator,
    field: &Field,
    part: &Part,
    settings: &[RadioSetting],
    uplink: Option<(BitsPerSecond, BitsPerSecond, bool)>,
) -> Vec<(Band, Vec<f64>)> {
    let Some(profile) = &part.radio else { return Vec::new() };
    settings
        .iter()
        .filter_map(|setting| {
            let radio = profile.band(setting.band)?;
            let needed = evaluator.needed_gain(field, (profile.generation, radio), setting, uplink);
            Some((setting.band, needed))
        })
        .collect()
}

/// The cells that one radio alone covers from a place, in any of its bands.
pub(crate) fn reach(field: &Field, place: &Place, needs: &[(Band, Vec<f64>)]) -> Reach {
    let mut cells = vec![0u64; field.cells.len().div_ceil(64)];
    let mut score = 0.0;
    let in_hand = dependable_margin().0;
    for (served_idx, served) in field.served.iter().enumerate() {
        for cell in served.cells.clone() {
            let margin = needs
                .iter()
                .map(|(band, needed)| f64::from(place.gain[band.index()][cell]) - needed[served_idx])
                .fold(f64::NEG_INFINITY, f64::max);
            if margin >= in_hand {
                cells[cell / 64] |= 1 << (cell % 64);
            }
            score += (margin / in_hand).clamp(-2.0, 2.0);
        }
    }
    Reach { cells, score: score / field.cells.len() as f64 }
}
