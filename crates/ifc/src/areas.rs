//! Room areas by both ways of measuring that models use: to the walls' faces and to their centre lines.

use schemars::JsonSchema;
use serde::Serialize;
use units::SquareMetres;

use crate::plan::{Area, P2, bounds, union};
use crate::spaces::Space;
use crate::walls::Piece;

/// The floor area of a room, by both ways of measuring and as the model states it.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct RoomArea {
    /// The room.
    pub id: String,
    /// Inside the walls' faces: the area of the room's outline.
    pub inside: SquareMetres,
    /// To the centre lines of the walls around it, and to the outline where it is open.
    pub to_centre_lines: SquareMetres,
    /// As the model's quantities or properties state it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub stated: Option<SquareMetres>,
}

/// Two ways of measuring agree within this share.
pub(crate) const SAME_AREA: f64 = 0.01;

/// Distance between the places at which a wall's face is looked at [m].
const STEP: f64 = 0.02;
/// How far from a face a room begins at most [m].
const AWAY: f64 = 0.03;
/// A meeting wall's centre line is at most this far from its face [m].
const JOINT: f64 = 0.7;

/// Area of a space grown to the centre lines of the walls at its edge [m²].
pub(crate) fn to_centre_lines(i: usize, spaces: &[Space], pieces: &[Piece]) -> f64 {
    let space = &spaces[i];
    let z = space.z0 + 1.0;
    let (low, high) = bounds(&space.area.outer);
    let mut parts = vec![space.area.clone()];
    let pieces: Vec<&Piece> =
        pieces.iter().filter(|p| p.z0 <= z && z <= p.z1 && p.is_near(low, high, p.thickness + JOINT)).collect();
    for piece in &pieces {
        for side in [1., -1.] {
            parts.extend(strips(space, &pieces, piece, side));
        }
    }
    union(&parts).iter().map(Area::size).sum()
}

/// The halves of a wall, from face to centre line, that lie along a space.
fn strips(space: &Space, pieces: &[&Piece], piece: &Piece, side: f64) -> Vec<Area> {
    let length = piece.length();
    let n = ((length / STEP).ceil() as usize).clamp(2, 2000);
    let step = length / n as f64;
    let face = side * piece.thickness / 2.;
    let is_along = |k: usize| {
        let p = piece.point((k as f64 + 0.5) * step, face + side * AWAY);
        space.area.contains(p)
    };
    let mut runs: Vec<(usize, usize)> = Vec::new();
    for k in (0..n).filter(|k| is_along(*k)) {
        match runs.last_mut() {
            Some(run) if run.1 == k => run.1 = k + 1,
            _ => runs.push((k, k + 1)),
        }
    }
    // Where the face runs into another wall, the room's share ends at that wall's centre line.
    let share = |s: f64, direction: f64| {
        let p = piece.point(s + direction * STEP, face + side * AWAY);
        let meets = |w: &&&Piece| !std::ptr::eq(**w, piece) && w.covers(p, 0.);
        let Some(other) = pieces.iter().find(meets) else { return 0. };
        let (u, v) = (piece.along(), other.along());
        let sine = u[0] * v[1] - u[1] * v[0];
        let o = other.point(0., other.reference);
        let d = [o[0] - piece.a[0], o[1] - piece.a[1]];
        let crossing = (d[0] * v[1] - d[1] * v[0]) / sine;
        let share = (crossing - s) * direction;
        if sine.abs() > 0.26 && share > 0. && share < JOINT { share } else { 0. }
    };
    let mut areas = Vec::new();
    for run in runs {
        let (s0, s1) = (run.0 as f64 * step, run.1 as f64 * step);
        let (s0, s1) = (s0 - share(s0, -1.), s1 + share(s1, 1.));
        // A little overlap keeps the union in one part.
        let inner = face + side * 0.001;
        let outer: Vec<P2> = [(s0, inner), (s1, inner), (s1, piece.reference), (s0, piece.reference)]
            .iter()
            .map(|(s, d)| piece.point(*s, *d))
            .collect();
        areas.push(Area { outer: crate::profile::clean(outer), holes: Vec::new() });
    }
    areas
}
