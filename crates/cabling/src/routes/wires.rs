//! The answer as routes, holes and lengths.

use std::collections::BTreeMap;

use building::Resolved;
use findings::{Figure, Finding, Id, Source};
use network::results::Gap;
use network::wiring::{CableRoute, Hole, HoleKind, Made, Stretch, Way, Wiring};
use units::{Metres, Point3};

use super::ends::End;
use super::pathways::Answer;
use super::rules::{MANY_JOISTS, PERMANENT_LINK, PERMANENT_LINK_TOO_LONG};
use super::terms::fill;
use super::{Asked, Prepared, Wanted};

/// A cable that is there already serves an end this near to its own [m] (common practice, no source).
const EXISTING_REACH: f64 = 1.0;

/// The cable that is there already and can serve a link: the same part, with an end at each of the link's. It is taken.
pub(super) fn existing(home: &Resolved, taken: &mut [bool], part: &Id, ends: [&End; 2]) -> Option<usize> {
    let near = |p: Point3, q: Point3| p.distance(q) <= EXISTING_REACH;
    let found = home.existing_cables.iter().enumerate().position(|(i, c)| {
        let [a, b] = c.ends;
        let fits = near(a, ends[0].at) && near(b, ends[1].at) || near(b, ends[0].at) && near(a, ends[1].at);
        fits && &c.part == part && !taken.get(i).copied().unwrap_or(true)
    })?;
    taken[found] = true;
    Some(found)
}

/// Holes and made stretches, each once, with the links that use them.
#[derive(Default)]
struct Shared<'a> {
    /// By line and number of the hole on it.
    holes: BTreeMap<(usize, usize), Vec<usize>>,
    made: BTreeMap<usize, Vec<&'a Id>>,
}

pub(super) fn wiring(prepared: &Prepared, asked: &Asked, answer: &Answer, findings: &mut Vec<Finding>) -> Wiring {
    let labels = labels(asked);
    let mut shared = Shared::default();
    let laid: Vec<Option<&Vec<usize>>> =
        asked.wanted.iter().map(|w| w.demand.and_then(|d| answer.ways.get(d)).and_then(Option::as_ref)).collect();
    for (i, (wanted, way)) in asked.wanted.iter().zip(&laid).enumerate() {
        for &p in way.iter().copied().flatten() {
            let piece = &asked.pieces[p];
            for &h in &piece.holes {
                shared.holes.entry((piece.line, h)).or_default().push(i);
            }
            if prepared.terms.set_up(asked.ways.lines[piece.line].way) > 0.0 {
                shared.made.entry(p).or_default().push(&wanted.link.id);
            }
        }
    }
    let (holes, hole_ids) = holes(prepared, asked, &shared);
    let mut wiring = Wiring {
        holes,
        made: made(asked, &shared),
        graph_places: asked.network.places,
        graph_ways: asked.network.passages.len(),
        ..Wiring::default()
    };
    for ((wanted, way), label) in asked.wanted.iter().zip(&laid).zip(labels) {
        let route = match (wanted.existing, way) {
            (Some(cable), _) => existing_route(prepared, wanted, cable, label),
            (None, Some(way)) => laid_route(prepared, asked, wanted, way, &hole_ids, label, findings),
            (None, None) => continue,
        };
        if let Some(length) = route.length.value.filter(|l| *l > PERMANENT_LINK) {
            findings.push(
                Finding::of(
                    &PERMANENT_LINK_TOO_LONG,
                    vec![route.link.clone(), wanted.link.to.clone()],
                    format!("cable `{}` to `{}` is {length:.0} m long", route.link, wanted.link.to),
                )
                .against(length, PERMANENT_LINK, "m")
                .remedy("put a switch on the way, or use fibre", Vec::new()),
            );
        }
        wiring.routes.push(route);
    }
    if laid.iter().any(Option::is_some) {
        wiring.gap = Some(Gap {
            figure: "minutes of work for all ways and holes together".into(),
            found: answer.cost,
            bound: answer.bound,
            method: format!(
                "Lagrangian bound by dual ascent and {} subgradient rounds on {} places and {} ways that can matter",
                answer.rounds, answer.left.0, answer.left.1
            ),
        });
    }
    wiring
}

/// What stands on both ends of each cable: a letter for the part at its nearer end, and a number there. Neither depends on
/// what a room is used for.
fn labels(asked: &Asked) -> Vec<String> {
    let mut letters: Vec<&Id> = Vec::new();
    let mut ports: Vec<usize> = Vec::new();
    asked
        .wanted
        .iter()
        .map(|w| {
            let letter = letters.iter().position(|l| **l == w.link.from).unwrap_or_else(|| {
                letters.push(&w.link.from);
                ports.push(0);
                letters.len() - 1
            });
            ports[letter] += 1;
            format!("{}-{:02}", letters_of(letter), ports[letter])
        })
        .collect()
}

/// A, B, … Z, AA, AB, …
fn letters_of(mut n: usize) -> String {
    let mut text = Vec::new();
    loop {
        text.push(char::from(b'A' + (n % 26) as u8));
        if n < 26 {
            break;
        }
        n = n / 26 - 1;
    }
    text.iter().rev().collect()
}

fn on_line(asked: &Asked, line: usize, t: f64) -> Point3 {
    let l = &asked.ways.lines[line];
    let [a, b] = l.ends.map(|e| asked.ways.spots[e]);
    let share = if l.length > 0.0 { (t / l.length).clamp(0.0, 1.0) } else { 0.0 };
    Point3::new(a.x + (b.x - a.x) * share, a.y + (b.y - a.y) * share, a.z + (b.z - a.z) * share)
}

fn holes(prepared: &Prepared, asked: &Asked, shared: &Shared) -> (Vec<Hole>, BTreeMap<(usize, usize), Id>) {
    let mut list: Vec<((usize, usize), Hole)> = shared
        .holes
        .iter()
        .map(|(&(line, h), users)| {
            let hole = &asked.ways.lines[line].holes[h];
            let squares: f64 = users.iter().map(|&i| prepared.terms.diameter(asked.wanted[i].part).powi(2)).sum();
            let hole = Hole {
                id: Id::from_label("hole"),
                kind: hole.kind,
                element: hole.element.clone(),
                at: on_line(asked, line, hole.t),
                depth: Metres(hole.depth),
                diameter: Metres((squares / fill(users.len())).sqrt()),
                links: users.iter().map(|&i| asked.wanted[i].link.id.clone()).collect(),
                fire_seal: hole.seal,
            };
            ((line, h), hole)
        })
        .collect();
    // By place: storey by storey, and there from left to right and up the sheet.
    list.sort_by(|(ka, a), (kb, b)| {
        a.at.z.total_cmp(&b.at.z).then(a.at.x.total_cmp(&b.at.x)).then(a.at.y.total_cmp(&b.at.y)).then(ka.cmp(kb))
    });
    let mut ids = BTreeMap::new();
    let mut holes = Vec::with_capacity(list.len());
    for (i, (key, mut hole)) in list.into_iter().enumerate() {
        hole.id = Id::from_label(&format!("hole-{}", i + 1));
        ids.insert(key, hole.id.clone());
        holes.push(hole);
    }
    (holes, ids)
}

fn made(asked: &Asked, shared: &Shared) -> Vec<Made> {
    let mut made = Vec::new();
    for (&p, links) in &shared.made {
        let piece = &asked.pieces[p];
        let line = &asked.ways.lines[piece.line];
        let links: Vec<Id> = links.iter().map(|&l| l.clone()).collect();
        for (from, to) in legs(on_line(asked, piece.line, piece.span[0]), on_line(asked, piece.line, piece.span[1])) {
            let stretch = Stretch { way: line.way, element: line.element.clone(), from, to };
            made.push(Made { stretch, links: links.clone() });
        }
    }
    made
}

/// A way between two points in legs that are level or upright.
fn legs(from: Point3, to: Point3) -> Vec<(Point3, Point3)> {
    let corner = Point3::new(from.x, from.y, to.z);
    [(from, corner), (corner, to)].into_iter().filter(|(a, b)| a.distance(*b) > 1e-6).collect()
}

fn laid_route(
    prepared: &Prepared,
    asked: &Asked,
    wanted: &Wanted,
    way: &[usize],
    hole_ids: &BTreeMap<(usize, usize), Id>,
    label: String,
    findings: &mut Vec<Finding>,
) -> CableRoute {
    let mut stretches: Vec<Stretch> = Vec::new();
    let mut holes: Vec<Id> = Vec::new();
    let mut joists = 0;
    let mut length = 0.0;
    let mut at = wanted.demand.and_then(|d| asked.demands.get(d)).map_or(0, |d| d.from);
    for &p in way {
        let piece = &asked.pieces[p];
        let line = &asked.ways.lines[piece.line];
        let forward = piece.passage.ends[0] == at;
        at = piece.passage.ends[usize::from(forward)];
        length += piece.span[1] - piece.span[0];
        let span = if forward { piece.span } else { [piece.span[1], piece.span[0]] };
        for (from, to) in legs(on_line(asked, piece.line, span[0]), on_line(asked, piece.line, span[1])) {
            push(&mut stretches, Stretch { way: line.way, element: line.element.clone(), from, to });
        }
        let mut passed: Vec<usize> = piece.holes.clone();
        if !forward {
            passed.reverse();
        }
        joists += passed.iter().filter(|&&h| line.holes[h].kind == HoleKind::Joist).count() as u32;
        holes.extend(passed.iter().filter_map(|&h| hole_ids.get(&(piece.line, h)).cloned()));
    }
    if joists > prepared.terms.most_joists {
        findings.push(
            Finding::of(
                &MANY_JOISTS,
                vec![wanted.link.id.clone(), wanted.link.to.clone()],
                format!("cable `{}` to `{}` passes holes in {joists} joists", wanted.link.id, wanted.link.to),
            )
            .against(f64::from(joists), f64::from(prepared.terms.most_joists), "joists")
            .remedy("run it below the joists, or along them by another wall", Vec::new()),
        );
    }
    let terms = prepared.terms;
    let (panel_loop, outlet_loop, spread) = terms.loops();
    let installed = length + panel_loop + outlet_loop;
    let figure = Figure::known("cable-length", wanted.link.id.clone(), installed, "m")
        .between(installed * (1.0 - spread), installed * (1.0 + spread), None)
        .input("way", length, "m")
        .input("loop at the nearer end", panel_loop, "m")
        .input("loop at the outlet", outlet_loop, "m")
        .source(Source::model("ways laid in the resolved home"))
        .source(Source::common_practice());
    CableRoute {
        link: wanted.link.id.clone(),
        label,
        cable: wanted.part.clone(),
        stretches,
        holes,
        way_length: Metres(length),
        length: figure,
        existing: false,
    }
}

/// Adds a stretch, joined to the last one if it goes on the same way.
fn push(stretches: &mut Vec<Stretch>, next: Stretch) {
    if let Some(last) = stretches.last_mut()
        && last.way == next.way
        && last.element == next.element
        && last.to.distance(next.from) < 1e-6
    {
        let (whole, parts) = (last.from.distance(next.to), last.from.distance(last.to) + next.from.distance(next.to));
        if (whole - parts).abs() < 1e-6 {
            last.to = next.to;
            return;
        }
    }
    stretches.push(next);
}

/// The route of a cable that is there already. How it runs is not known: its length is at least the straight distance and
/// hardly more than twice the way along the axes.
fn existing_route(prepared: &Prepared, wanted: &Wanted, cable: usize, label: String) -> CableRoute {
    let [from, to] = [wanted.ends[0].at, wanted.ends[1].at];
    let element = prepared.home.existing_cables.get(cable).map(|c| c.cable.clone());
    let axes = (from.x - to.x).abs() + (from.y - to.y).abs() + (from.z - to.z).abs();
    let figure = Figure::known("cable-length", wanted.link.id.clone(), axes, "m")
        .between(from.distance(to), 2.0 * axes, None)
        .estimated()
        .source(Source::model(
            "distance between the ends along the axes; the way of a cable that is there is not known",
        ));
    CableRoute {
        link: wanted.link.id.clone(),
        label,
        cable: wanted.part.clone(),
        stretches: vec![Stretch { way: Way::Existing, element, from, to }],
        holes: Vec::new(),
        way_length: Metres(axes),
        length: figure,
        existing: true,
    }
}
