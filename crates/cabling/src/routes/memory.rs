//! What is remembered from one routing for the next.

use std::collections::BTreeMap;

use findings::Id;
use network::wiring::Way;

use super::pathways::{Answer, Hint};
use super::{Asked, Prepared};

/// A line, so that it can be found again in the next question.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Known {
    /// A line of the home itself, by its number.
    Home(usize),
    /// A line that an end brought with it, by what it is and where it runs [0.1 mm].
    End(Way, [i64; 6]),
}

/// A part of a line, what of its fixed cost a cable was held to bear, and whether against the line's direction.
type Part = (Known, [f64; 2], f64, usize);

/// Ways and shares of a design's cables, by link. It speeds a routing in the same home and never makes it wrong.
#[derive(Clone, Debug, Default)]
pub struct Memory {
    links: BTreeMap<Id, (Vec<Part>, Vec<Part>)>,
}

fn known(prepared: &Prepared, asked: &Asked, line: usize) -> Known {
    if line < prepared.ways.lines.len() {
        return Known::Home(line);
    }
    let l = &asked.ways.lines[line];
    let near = |x: f64| (x * 1e4).round() as i64;
    let [a, b] = l.ends.map(|e| asked.ways.spots[e]);
    Known::End(l.way, [near(a.x), near(a.y), near(a.z), near(b.x), near(b.y), near(b.z)])
}

impl Memory {
    pub(super) fn of(prepared: &Prepared, asked: &Asked, answer: &Answer) -> Self {
        let part = |p: usize, share: f64, against: usize| {
            let piece = &asked.pieces[p];
            (known(prepared, asked, piece.line), piece.span, share, against)
        };
        let mut links = BTreeMap::new();
        for wanted in &asked.wanted {
            let Some(d) = wanted.demand else { continue };
            let Some(Some(way)) = answer.ways.get(d) else { continue };
            let way: Vec<Part> = way.iter().map(|&p| part(p, 0.0, 0)).collect();
            let shares =
                answer.shares.get(d).into_iter().flatten().map(|&(arc, share)| part(arc / 2, share, arc % 2)).collect();
            links.insert(wanted.link.id.clone(), (way, shares));
        }
        Self { links }
    }

    /// The same in the passages of another question.
    pub(super) fn hint(&self, prepared: &Prepared, asked: &Asked) -> Hint {
        if self.links.is_empty() {
            return Hint::default();
        }
        let mut pieces: BTreeMap<Known, Vec<usize>> = BTreeMap::new();
        for (i, piece) in asked.pieces.iter().enumerate() {
            pieces.entry(known(prepared, asked, piece.line)).or_default().push(i);
        }
        let on = |part: &Part| -> Vec<usize> {
            let all = pieces.get(&part.0).map_or(&[][..], Vec::as_slice);
            let within = |p: &&usize| {
                let [t0, t1] = asked.pieces[**p].span;
                t0 < part.1[1] - 1e-6 && part.1[0] < t1 - 1e-6 || t0 == t1 && part.1[0] == part.1[1]
            };
            all.iter().filter(within).copied().collect()
        };
        let mut hint = Hint::default();
        for wanted in &asked.wanted {
            let Some(d) = wanted.demand else { continue };
            hint.ways.resize(d + 1, Vec::new());
            hint.shares.resize(d + 1, Vec::new());
            let Some((way, shares)) = self.links.get(&wanted.link.id) else { continue };
            let mut at = asked.demands[d].from;
            for part in way {
                let mut parts = on(part);
                // A line may be travelled either way.
                if parts.last().is_some_and(|&p| asked.network.passages[p].ends[1] == at) {
                    parts.reverse();
                }
                for p in parts {
                    let [a, b] = asked.network.passages[p].ends;
                    at = if a == at { b } else { a };
                    hint.ways[d].push(p);
                }
            }
            // What a cable bore on its way to another place says little of its way to this one.
            if at != asked.demands[d].to {
                hint.ways[d].clear();
                continue;
            }
            for part in shares {
                let parts = on(part);
                let total: f64 = parts.iter().map(|&p| asked.network.passages[p].fixed).sum();
                for p in parts {
                    if total > 0.0 {
                        hint.shares[d].push((2 * p + part.3, part.2 * asked.network.passages[p].fixed / total));
                    }
                }
            }
        }
        hint
    }
}
