//! How good an arrangement of a storey is: a cost that is lower for plans that people would draw.
//!
//! The weights are common practice, no source: they only rank arrangements that all work.

use super::frame::{Frame, Side, Stair};
use super::layout::{Layout, Level};
use super::rect::Rect;
use super::sizes::Kind;
use super::usable::lit_length;
use crate::elements::WallKind;

/// Cost of a layout whose rooms should have `areas` [m²], above `below`.
pub(super) fn cost(frame: &Frame, layout: &Layout, areas: &[f64], level: Level, below: Option<&Layout>) -> f64 {
    let rooms = &layout.rooms;
    let clear = |r: Rect| {
        let (u, v) = frame.clear(r);
        (u.min(v), u.max(v))
    };
    let area = |r: Rect| {
        let (s, l) = clear(r);
        s * l
    };
    let mut cost = 0.0;
    for (room, wish) in rooms.iter().zip(areas) {
        let (short, long) = clear(room.rect);
        let weight = if room.kind.size().daylight { 1.6 } else { 0.8 };
        cost += weight * (short * long / wish).ln().powi(2);
        cost += 0.9 * (long / short - 1.45).max(0.0).powi(2);
        // A room that is small for its kind, such as a tiny kitchen in a large home, is worse than one that is large.
        cost += (room.kind.size().usual * 0.75 - short * long).max(0.0) / room.kind.size().usual;
        if room.kind.is_bathroom() && !level.dark && lit_length(frame, room.rect) < 0.6 {
            cost += 0.25;
        }
    }
    let hall: f64 = layout.hall.iter().map(|r| r.gross()).sum();
    let whole = f64::from(frame.length) * f64::from(frame.breadth) * 1e-4;
    let usual = if frame.stair.is_some() { 0.15 } else { 0.1 };
    cost += 45.0 * (hall / whole - usual).max(0.0);
    if level.dark {
        return cost;
    }
    let touch = |a: Rect, b: Rect| a.shared(b).is_some_and(|e| e.hi - e.lo >= 120);
    let any_touch = |kind: Kind, of: &dyn Fn(Kind) -> bool| {
        rooms.iter().filter(|r| r.kind == kind).all(|r| rooms.iter().any(|o| of(o.kind) && touch(r.rect, o.rect)))
    };
    let has = |of: &dyn Fn(Kind) -> bool| rooms.iter().any(|r| of(r.kind));
    let eats = |k: Kind| matches!(k, Kind::Living | Kind::Dining);
    if has(&eats) && !any_touch(Kind::Kitchen, &eats) {
        cost += 1.6;
    }
    let cooks = |k: Kind| k.cooks();
    if has(&cooks) {
        if !any_touch(Kind::Dining, &cooks) {
            cost += 1.0;
        }
        if !any_touch(Kind::Utility, &cooks) {
            cost += 0.3;
        }
    }
    for (i, one) in rooms.iter().enumerate() {
        for two in &rooms[i + 1..] {
            let (day, night) = (one.kind.is_day() != two.kind.is_day(), one.kind.is_bedroom() || two.kind.is_bedroom());
            if day && night && (one.kind.is_day() || two.kind.is_day()) && touch(one.rect, two.rect) {
                cost += 0.18;
            }
            if one.kind.is_bathroom() && two.kind.cooks() && touch(one.rect, two.rect) {
                // Pipes are near, which is good; a shared door is impossible anyway.
                cost -= 0.1;
            }
        }
    }
    let largest =
        |of: &dyn Fn(Kind) -> bool| rooms.iter().filter(|r| of(r.kind)).map(|r| area(r.rect)).fold(0.0, f64::max);
    let bedroom = |k: Kind| k == Kind::Bedroom;
    let main = |k: Kind| k == Kind::MainBedroom;
    if has(&main) && largest(&bedroom) > largest(&main) {
        cost += 1.0;
    }
    let lounge = |k: Kind| matches!(k, Kind::Living | Kind::OpenLiving);
    let other = |k: Kind| {
        matches!(
            k,
            Kind::Kitchen
                | Kind::Dining
                | Kind::Bedroom
                | Kind::MainBedroom
                | Kind::Office
                | Kind::Sitting
                | Kind::Hobby
                | Kind::Library
                | Kind::Play
        )
    };
    if has(&lounge) && largest(&other) > largest(&lounge) {
        cost += 0.7;
    }
    // A bath on the street side is unusual.
    let street = |r: Rect| match frame.turn.u_is_y {
        true => {
            if frame.turn.flip_y {
                r.u1 == frame.length
            } else {
                r.u0 == 0
            }
        }
        false => {
            if frame.turn.flip_y {
                r.v1 == frame.breadth
            } else {
                r.v0 == 0
            }
        }
    };
    for room in rooms {
        if matches!(room.kind, Kind::Bath | Kind::Shower | Kind::Utility | Kind::Store) && street(room.rect) {
            cost += 0.12;
        }
    }
    if level.entrance {
        cost += entrance(frame, layout);
    }
    if let Some(below) = below {
        for room in rooms.iter().filter(|r| r.kind.is_bathroom()) {
            let over: f64 = below.rooms.iter().filter(|r| r.kind.is_wet()).map(|r| r.rect.overlap(room.rect)).sum();
            if over < 0.5 * room.rect.gross() {
                cost += 0.6;
            }
        }
    }
    cost
}

/// Day rooms should be nearer to the front door than bedrooms.
fn entrance(frame: &Frame, layout: &Layout) -> f64 {
    let door = match layout.lobby {
        Some(r) => (f64::from(r.u0 + r.u1) / 2.0, 0.0),
        None => (0.0, f64::from(frame.low + frame.high) / 2.0),
    };
    let away =
        |r: Rect| (f64::from(r.u0 + r.u1) / 2.0 - door.0).abs() + 0.3 * (f64::from(r.v0 + r.v1) / 2.0 - door.1).abs();
    let mean = |of: &dyn Fn(Kind) -> bool| {
        let all: Vec<f64> = layout.rooms.iter().filter(|r| of(r.kind)).map(|r| away(r.rect)).collect();
        if all.is_empty() { None } else { Some(all.iter().sum::<f64>() / all.len() as f64) }
    };
    let mut cost = 0.0;
    if let (Some(day), Some(night)) = (mean(&|k| k.is_day()), mean(&|k| k.is_bedroom())) {
        cost += ((day - night) / 100.0).max(0.0) * 0.08;
    }
    // A stair that faces away from the garden side is nothing; a dark hall is.
    let lit = layout.hall.iter().any(|r| lit_length(frame, *r) > 0.9);
    let through = frame.side(Side::UStart) != WallKind::Outer && frame.side(Side::VLow) != WallKind::Outer;
    if !lit && !through && !matches!(frame.stair, Some(Stair::InStrip(_))) {
        cost += 0.1;
    }
    cost
}
