//! Outlines of slabs, rooms, stairs, objects and cable spaces.

use std::collections::BTreeMap;

use findings::{Edit, Finding, Id};
use geo::{Area, BooleanOps};
use units::Point2;

use super::{MAX_ROOM_PAIRS, rules};
use crate::elements::{Building, Room};
use crate::geometry::{area, contains, edges, polygon, self_crossing, tidy};
use crate::resolve::touching;
use crate::resolved::{Resolved, ResolvedRoom};

/// Less area than this is none: 1 cm² [m²].
const MIN_AREA: f64 = 1e-4;
/// Areas that differ by more than this share are reported.
const AREA_DIFFERENCE: f64 = 0.01;
/// Rooms overlap if they share more than this share of the smaller one and this area [m²].
const ROOM_OVERLAP: (f64, f64) = (0.01, 0.1);

/// An outline of the document.
pub(super) struct Outline<'a> {
    pub kind: &'static str,
    pub id: &'a Id,
    pub field: String,
    pub storey: Option<&'a Id>,
    pub points: &'a [Point2],
}

impl Outline<'_> {
    pub(super) fn what(&self) -> String {
        format!("the `{}` of {} `{}`", self.field, self.kind, self.id)
    }
}

/// Every outline of the document, in its order.
pub(super) fn outlines(b: &Building) -> impl Iterator<Item = Outline<'_>> {
    let outline = |kind, id, storey, points| Outline { kind, id, field: "outline".to_owned(), storey, points };
    let slabs = b.slabs.iter().flat_map(move |s| {
        let holes = s.holes.iter().enumerate().map(|(i, h)| Outline {
            kind: "slab",
            id: &s.id,
            field: format!("holes[{i}]"),
            storey: Some(&s.storey),
            points: h,
        });
        std::iter::once(outline("slab", &s.id, Some(&s.storey), s.outline.as_slice())).chain(holes)
    });
    let rooms =
        b.rooms.iter().filter_map(move |r| Some(outline("room", &r.id, Some(&r.storey), r.outline.as_deref()?)));
    slabs
        .chain(rooms)
        .chain(b.stairs.iter().map(move |s| outline("stair", &s.id, Some(&s.from), &s.outline)))
        .chain(b.fixed_objects.iter().map(move |o| outline("fixed object", &o.id, Some(&o.storey), &o.outline)))
        .chain(b.cable_spaces.iter().map(move |c| outline("cable space", &c.id, c.storeys.first(), &c.outline)))
        .chain(b.no_go_zones.iter().map(move |z| outline("no-go zone", &z.id, Some(&z.storey), &z.outline)))
}

/// Most pairs of corners of rooms beside each other: every corner of one is compared with every one of the other.
const MAX_CORNER_PAIRS: usize = 20_000_000;

pub(super) fn check(b: &Building, found: &mut Vec<Finding>) {
    crowded(b, found);
    for outline in outlines(b) {
        if outline.points.iter().all(|p| p.is_finite()) {
            shape(&outline, found);
        }
    }
    for r in &b.rooms {
        let Some(outline) = r.outline.as_ref().filter(|o| o.len() >= 3) else { continue };
        if r.inside.is_finite() && outline.iter().all(|p| p.is_finite()) && !contains(outline, &[], r.inside) {
            let text =
                format!("room `{}`: its point ({:.3}, {:.3}) is outside its outline", r.id, r.inside.x, r.inside.y);
            let edits = geo::InteriorPoint::interior_point(&polygon(outline, &[]))
                .map(|p| Edit::set(format!("building/rooms/{}/inside", r.id), serde_json::json!([p.x(), p.y()])));
            found.push(
                Finding::of(rules::get("building.room-point-outside"), vec![r.id.clone()], text)
                    .at(r.storey.clone(), r.inside)
                    .remedy("move `inside` into the outline", edits.into_iter().collect()),
            );
        }
    }
    for s in &b.slabs {
        for (i, hole) in s.holes.iter().enumerate() {
            let outside = hole.iter().find(|p| p.is_finite() && !contains(&s.outline, &[], **p));
            if let Some(p) = outside {
                let text = format!("hole {i} of slab `{}` reaches outside it at ({:.3}, {:.3})", s.id, p.x, p.y);
                found.push(
                    Finding::of(rules::get("building.hole-outside"), vec![s.id.clone()], text)
                        .at(s.storey.clone(), *p)
                        .remedy("keep the hole inside the slab's outline, or take it out of the outline", Vec::new()),
                );
            }
        }
    }
}

/// Refuses rooms whose comparison would take for ever.
fn crowded(b: &Building, found: &mut Vec<Finding>) {
    let rooms: Vec<(&Id, &[Point2])> =
        b.rooms.iter().filter_map(|r| Some((&r.storey, r.outline.as_deref()?))).collect();
    let pairs = touching(&rooms, MAX_ROOM_PAIRS);
    let corners = pairs.iter().map(|&(i, j)| rooms[i].1.len() * rooms[j].1.len()).fold(0, usize::saturating_add);
    let (count, limit, what) = if pairs.len() > MAX_ROOM_PAIRS {
        (pairs.len(), MAX_ROOM_PAIRS, "pairs of rooms")
    } else if corners > MAX_CORNER_PAIRS {
        (corners, MAX_CORNER_PAIRS, "pairs of corners of rooms")
    } else {
        return;
    };
    let text = format!("at least {count} {what} lie on or beside each other and the limit is {limit}");
    found.push(
        Finding::of(rules::get("building.too-large"), Vec::new(), text)
            .against(count as f64, limit as f64, what)
            .remedy("remove rooms that repeat each other, or draw them with fewer corners", Vec::new()),
    );
}

fn shape(outline: &Outline, found: &mut Vec<Finding>) {
    let mut push = |rule: &str, text: String, at: Option<Point2>, measured: Option<(f64, f64, &str)>, remedy: &str| {
        let mut finding = Finding::of(rules::get(rule), vec![outline.id.clone()], text).remedy(remedy, Vec::new());
        if let Some((value, limit, unit)) = measured {
            finding = finding.against(value, limit, unit);
        }
        if let (Some(at), Some(storey)) = (at, outline.storey) {
            finding = finding.at(storey.clone(), at);
        }
        found.push(finding);
    };
    let points = tidy(outline.points.iter().copied(), true);
    let first = points.first().copied();
    if points.len() < 3 {
        let text = format!("{} has {} corners and needs at least 3", outline.what(), points.len());
        let measured = Some((points.len() as f64, 3.0, "corners"));
        push("building.outline-degenerate", text, first, measured, "draw the outline, or remove the element");
        return;
    }
    // Folding back leaves an area of zero too: say that it folds back only where there is an area.
    let size = area(&points, &[]);
    let span = edges(&points).map(|(a, b)| a.distance(b)).fold(0.0, f64::max);
    if let Some(at) = self_crossing(&points).filter(|_| size >= MIN_AREA || points.len() > 3 && span > 0.01) {
        let text = format!("{} crosses or touches itself at ({:.3}, {:.3})", outline.what(), at.x, at.y);
        push("building.outline-crosses-itself", text, Some(at), None, "list its corners in order around it");
    } else if size < MIN_AREA {
        let text = format!("{} has an area of {size:.6} m²", outline.what());
        push(
            "building.outline-degenerate",
            text,
            first,
            Some((size, MIN_AREA, "m²")),
            "draw the outline, or remove the element",
        );
    }
}

/// Half the thickness of a thick wall [m]: a stated area may lie this far beyond the walls' faces.
const HALF_WALL: f64 = 0.3;

/// What needs the derived home.
pub(super) fn derived(b: &Building, home: &Resolved, found: &mut Vec<Finding>) {
    let given_rooms: BTreeMap<&Id, &Room> = b.rooms.iter().map(|r| (&r.id, r)).collect();
    for room in &home.rooms {
        let Some(given) = given_rooms.get(&room.id) else { continue };
        let Some(stated) = given.stated_area.map(|a| a.0).filter(|a| *a > 0.0) else { continue };
        let difference = room.area / stated - 1.0;
        if difference.abs() > AREA_DIFFERENCE {
            let text = format!(
                "room `{}` has {:.2} m² and is stated to have {stated:.2} m² ({:+.1} %)",
                room.id,
                room.area,
                difference * 100.0
            );
            let mut finding = Finding::of(rules::get("building.area-differs"), vec![room.id.clone()], text)
                .against(difference.abs() * 100.0, AREA_DIFFERENCE * 100.0, "%")
                .at(given.storey.clone(), room.inside)
                .remedy("check its walls or outline, or correct `stated_area`", Vec::new());
            // Architects often state areas to the middle of the walls; ours are between the walls' faces.
            let ends = room.outline.iter().zip(room.outline.iter().cycle().skip(1));
            let perimeter: f64 = ends.map(|(a, b)| a.distance(*b)).sum();
            if stated > room.area && stated <= room.area + perimeter * HALF_WALL {
                finding.severity = findings::Severity::Note;
                finding.message.push_str("; it may be stated to the middle of the walls");
            }
            found.push(finding);
        }
    }
    let given = |r: &ResolvedRoom| polygon(&r.outline, &r.holes);
    for (i, j) in crate::resolve::neighbouring_rooms(&home.rooms) {
        let (one, two) = (&home.rooms[i], &home.rooms[j]);
        let shared = given(one).intersection(&given(two)).unsigned_area();
        let smaller = one.area.min(two.area);
        if shared > ROOM_OVERLAP.1 && shared > ROOM_OVERLAP.0 * smaller {
            let text = format!("rooms `{}` and `{}` overlap by {shared:.2} m²", one.id, two.id);
            found.push(
                Finding::of(rules::get("building.rooms-overlap"), vec![one.id.clone(), two.id.clone()], text)
                    .against(shared, ROOM_OVERLAP.1, "m²")
                    .at(home.storeys[one.storey].id.clone(), two.inside)
                    .remedy("correct one of the outlines: the shared floor is counted twice", Vec::new()),
            );
        }
    }
}
