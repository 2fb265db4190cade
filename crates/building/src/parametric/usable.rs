//! Whether a storey that was laid out can be lived in: every room entered, of its least size, and lit.

use super::frame::{Frame, Side};
use super::layout::{Layout, Level, Placed};
use super::rect::{Rect, Shared};
use super::sizes::Kind;
use crate::elements::WallKind;

/// Least length of wall that a door between two centre lines needs [cm]: a leaf of 0.76 m, its frame and the crossing walls.
pub(super) const CONTACT: i32 = 102;
/// Least length of an outer wall that a window needs [m].
const DAYLIGHT: f64 = 1.0;

/// The longest piece of a shared edge that a door can be in: where no flight of stairs stands against it.
pub(super) fn free_piece(frame: &Frame, edge: Shared) -> Option<(i32, i32)> {
    const NEAR: i32 = 40;
    let mut pieces = vec![(edge.lo, edge.hi)];
    if let Some(stair) = frame.stair {
        let f = stair.flight();
        let (near, lo, hi) = if edge.along_u {
            ((f.v0 - edge.at).abs() < NEAR || (f.v1 - edge.at).abs() < NEAR, f.u0, f.u1)
        } else {
            ((f.u0 - edge.at).abs() < NEAR || (f.u1 - edge.at).abs() < NEAR, f.v0, f.v1)
        };
        if near && lo < edge.hi && hi > edge.lo {
            pieces = vec![(edge.lo, lo.min(edge.hi)), (hi.max(edge.lo), edge.hi)];
        }
    }
    pieces.into_iter().filter(|(lo, hi)| hi - lo >= CONTACT).max_by_key(|(lo, hi)| hi - lo)
}

/// Whether every room can be entered, has its least size and its daylight.
pub(super) fn works(frame: &Frame, layout: &mut Layout, level: Level) -> bool {
    // The lobby and the stair's cell must open to the spine.
    let spine = layout.hall[0];
    for cell in &layout.hall[1..] {
        if cell.shared(spine).is_none_or(|e| e.hi - e.lo < CONTACT) {
            return false;
        }
    }
    let in_hall: Vec<bool> = layout
        .rooms
        .iter()
        .map(|r| layout.hall.iter().any(|h| r.rect.shared(*h).and_then(|e| free_piece(frame, e)).is_some()))
        .collect();
    for i in 0..layout.rooms.len() {
        let room = layout.rooms[i];
        let size = room.kind.size();
        let (u, v) = frame.clear(room.rect);
        let (short, long) = (u.min(v), u.max(v));
        if short < size.width + 0.001 || u * v < size.least || u * v > size.most || long > short * (size.slender + 0.02)
        {
            return false;
        }
        if !level.dark && size.daylight && lit_length(frame, room.rect) < DAYLIGHT {
            return false;
        }
        let hosts = |j: &usize| {
            in_hall[*j]
                && room.kind.may_open_off(layout.rooms[*j].kind)
                && room.rect.shared(layout.rooms[*j].rect).is_some_and(|e| e.hi - e.lo >= CONTACT)
        };
        let host = (0..layout.rooms.len()).find(hosts);
        // A shower room beside the main bedroom belongs to it, as long as others have a bathroom in the hall.
        let suite = matches!(room.kind, Kind::Shower | Kind::Dressing);
        let choice = match (in_hall[i], host) {
            (true, Some(host)) if suite => Some(host),
            (true, Some(host)) if room.kind == Kind::Utility && layout.rooms[host].kind == Kind::Kitchen => Some(host),
            (true, _) => None,
            (false, Some(host)) => Some(host),
            (false, None) => return false,
        };
        layout.rooms[i].through = choice;
    }
    // One bathroom at least is for all.
    let all = |r: &Placed| r.kind == Kind::Bath && r.through.is_none();
    let bathrooms = layout.rooms.iter().filter(|r| r.kind.is_bathroom()).count();
    if bathrooms > 0 && !layout.rooms.iter().any(all) {
        let public = layout.rooms.iter().any(|r| r.kind.is_bathroom() && r.through.is_none());
        let studio = layout.rooms.iter().any(|r| r.kind == Kind::Studio);
        if !public && !studio {
            // With one storey or one bathroom it would be the only one: let it open to the hall if it can.
            let Some(i) = (0..layout.rooms.len()).find(|i| layout.rooms[*i].kind.is_bathroom() && in_hall[*i]) else {
                return layout.rooms.iter().all(|r| r.kind != Kind::Bath) && !level.entrance;
            };
            layout.rooms[i].through = None;
        }
    }
    true
}

/// Length of a rectangle's edges on outer walls, the longest [m].
pub(super) fn lit_length(frame: &Frame, r: Rect) -> f64 {
    let (u, v) = frame.clear(r);
    let outer = |side: Side, touches: bool, length: f64| {
        if touches && frame.side(side) == WallKind::Outer { length } else { 0.0 }
    };
    outer(Side::UStart, r.u0 == 0, v)
        .max(outer(Side::UEnd, r.u1 == frame.length, v))
        .max(outer(Side::VLow, r.v0 == 0, u))
        .max(outer(Side::VHigh, r.v1 == frame.breadth, u))
}
