//! Metres of way: what several cables run along is one way with several cables in it.

use findings::Id;
use network::wiring::{CableRoute, Stretch, Way};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use units::{Metres, Point3};

/// A piece of way with the same cables along all of it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Pathway {
    /// What it runs in or on.
    pub way: Way,
    /// The wall, slab or cable space that it runs in, if it is one.
    pub element: Option<Id>,
    /// Where it begins [m].
    pub from: Point3,
    /// Where it ends [m].
    pub to: Point3,
    /// Its length.
    pub length: Metres,
    /// Links whose cables run along it.
    pub links: Vec<Id>,
}

/// Two lines are one if they are not farther apart than this [m]; cables are never told apart more finely.
const SAME_LINE: f64 = 0.005;
/// Pieces shorter than this are left out [m].
const SHORTEST: f64 = 1e-6;
/// Farthest place from the plan's origin that is believed [m]; NaN is not within it.
const FARTHEST: f64 = 100_000.0;

/// A line that stretches lie on, with the stretches.
struct Line<'a> {
    way: Way,
    element: Option<&'a Id>,
    origin: Point3,
    along: Point3,
    parts: Vec<(f64, f64, &'a Id)>,
}

fn minus(a: Point3, b: Point3) -> Point3 {
    Point3::new(a.x - b.x, a.y - b.y, a.z - b.z)
}

fn dot(a: Point3, b: Point3) -> f64 {
    a.x * b.x + a.y * b.y + a.z * b.z
}

fn on(line: &Line, s: f64) -> Point3 {
    let (o, d) = (line.origin, line.along);
    Point3::new(o.x + d.x * s, o.y + d.y * s, o.z + d.z * s)
}

impl Line<'_> {
    /// How far along the line a point lies, if it lies on it.
    fn at(&self, point: Point3) -> Option<f64> {
        let s = dot(minus(point, self.origin), self.along);
        (on(self, s).distance(point) <= SAME_LINE).then_some(s)
    }
}

/// True if a stretch has two different ends that are places.
fn is_sound(stretch: &Stretch) -> bool {
    let near = |p: Point3| [p.x, p.y, p.z].iter().all(|c| c.abs() <= FARTHEST);
    near(stretch.from) && near(stretch.to) && stretch.from.distance(stretch.to) > SHORTEST
}

/// The ways of the new cables, in the order in which the cables first run along them. Stretches of one kind on one line
/// are put together where they overlap, whatever their ends; each piece says which cables run along it.
#[must_use]
pub fn pathways(routes: &[CableRoute]) -> Vec<Pathway> {
    let mut lines: Vec<Line> = Vec::new();
    for route in routes.iter().filter(|r| !r.existing) {
        for stretch in route.stretches.iter().filter(|s| is_sound(s)) {
            let fits = |line: &Line| {
                (line.way == stretch.way && line.element == stretch.element.as_ref())
                    .then(|| Some((line.at(stretch.from)?, line.at(stretch.to)?)))
                    .flatten()
            };
            let known = lines.iter_mut().find_map(|line| fits(line).map(|ends| (line, ends)));
            if let Some((line, (s, t))) = known {
                line.parts.push((s.min(t), s.max(t), &route.link));
                continue;
            }
            let length = stretch.from.distance(stretch.to);
            let d = minus(stretch.to, stretch.from);
            lines.push(Line {
                way: stretch.way,
                element: stretch.element.as_ref(),
                origin: stretch.from,
                along: Point3::new(d.x / length, d.y / length, d.z / length),
                parts: vec![(0.0, length, &route.link)],
            });
        }
    }
    lines.iter().flat_map(pieces).collect()
}

/// A line cut where a cable joins or leaves it.
fn pieces(line: &Line) -> Vec<Pathway> {
    let mut cuts: Vec<f64> = line.parts.iter().flat_map(|p| [p.0, p.1]).collect();
    cuts.sort_by(f64::total_cmp);
    cuts.dedup_by(|b, a| *b - *a <= SAME_LINE);
    let mut found: Vec<Pathway> = Vec::new();
    for pair in cuts.windows(2) {
        let &[from, to] = pair else { continue };
        let middle = 0.5 * (from + to);
        let mut links: Vec<Id> =
            line.parts.iter().filter(|p| p.0 <= middle && middle <= p.1).map(|p| p.2.clone()).collect();
        links.sort();
        links.dedup();
        if links.is_empty() {
            continue;
        }
        found.push(Pathway {
            way: line.way,
            element: line.element.cloned(),
            from: on(line, from),
            to: on(line, to),
            length: Metres(to - from),
            links,
        });
    }
    found
}

#[cfg(test)]
mod tests {
    use findings::Figure;

    use super::*;

    fn route(link: &str, points: &[(f64, f64, f64)], way: Way) -> CableRoute {
        let at = |p: &(f64, f64, f64)| Point3::new(p.0, p.1, p.2);
        let stretches =
            points.windows(2).map(|w| Stretch { way, element: None, from: at(&w[0]), to: at(&w[1]) }).collect();
        let id = |text: &str| text.parse::<Id>().unwrap();
        CableRoute {
            link: id(link),
            label: link.into(),
            cable: id("cable-cat6"),
            stretches,
            holes: Vec::new(),
            way_length: Metres(0.0),
            length: Figure::known("length", id(link), 0.0, "m"),
            existing: false,
        }
    }

    #[test]
    fn what_overlaps_is_one_way() {
        let routes = [
            route("a", &[(0.0, 0.0, 0.0), (6.0, 0.0, 0.0), (6.0, 4.0, 0.0)], Way::JoistBay),
            // The other way round, and on to another end.
            route("b", &[(9.0, 0.0, 0.0), (2.0, 0.0, 0.0)], Way::JoistBay),
            route("c", &[(0.0, 0.01, 0.0), (6.0, 0.01, 0.0)], Way::JoistBay),
        ];
        let found: Vec<(f64, usize)> = pathways(&routes).iter().map(|p| (p.length.value(), p.links.len())).collect();
        let expected = [(2.0, 1), (4.0, 2), (3.0, 1), (4.0, 1), (6.0, 1)];
        assert_eq!(found.len(), expected.len(), "{found:?}");
        for ((length, links), (wanted, count)) in found.iter().zip(expected) {
            assert!((length - wanted).abs() < 1e-9 && *links == count, "{found:?}");
        }
    }

    #[test]
    fn what_is_no_place_is_no_way() {
        let mut bad = route("a", &[(0.0, 0.0, 0.0), (f64::NAN, 0.0, 0.0)], Way::Attic);
        assert_eq!(pathways(std::slice::from_ref(&bad)), []);
        bad = route("a", &[(1.0, 1.0, 1.0), (1.0, 1.0, 1.0)], Way::Attic);
        assert_eq!(pathways(std::slice::from_ref(&bad)), []);
        bad = route("a", &[(1.0, 1.0, 1.0), (1.0, 2.0, 1.0)], Way::Attic);
        bad.existing = true;
        assert_eq!(pathways(&[bad]), []);
    }
}
