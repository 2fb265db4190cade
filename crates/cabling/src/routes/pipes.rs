//! Pipes take cables up to their fill; those that do not fit go elsewhere.

use super::pathways::Answer;
use super::pathways::shortest::{Graph, Search};
use super::terms::fill;
use super::{Asked, Prepared};

/// Takes cables out of pipes that are too full, those first that lose least by it.
pub(super) fn fit(prepared: &Prepared, asked: &Asked, answer: &mut Answer) {
    let bored: Vec<usize> = (0..asked.ways.lines.len()).filter(|&l| asked.ways.lines[l].bore.is_some()).collect();
    if bored.is_empty() {
        return;
    }
    let sound = |p: &super::pathways::Passage| p.fixed.is_finite() && p.each.is_finite();
    let open: Vec<usize> = (0..asked.network.passages.len()).filter(|&p| sound(&asked.network.passages[p])).collect();
    let graph = Graph::new(asked.network.places, open.iter().map(|&p| asked.network.passages[p].ends));
    let mut search = Search::new(asked.network.places);
    // A pipe is looked at once for each cable at most: each look takes one cable out of it for good.
    for _ in 0..bored.len() * asked.demands.len() {
        let Some(line) = bored.iter().copied().find(|&l| is_too_full(prepared, asked, answer, l)) else { break };
        let inside = users(asked, answer, line);
        let full = |p: usize| {
            let l = asked.pieces[p].line;
            l == line || asked.ways.lines[l].bore.is_some() && !has_room(prepared, asked, answer, l)
        };
        let mut users_of = vec![0_u32; asked.network.passages.len()];
        for way in answer.ways.iter().flatten() {
            way.iter().for_each(|&p| users_of[p] += 1);
        }
        let mut best: Option<(f64, usize, Vec<usize>)> = None;
        for d in inside {
            let Some(Some(old)) = answer.ways.get(d) else { continue };
            let cost = |p: usize, own: u32| {
                let passage = &asked.network.passages[p];
                passage.each + if users_of[p] > own { 0.0 } else { passage.fixed }
            };
            let on_it: Vec<bool> = {
                let mut on = vec![false; asked.network.passages.len()];
                old.iter().for_each(|&p| on[p] = true);
                on
            };
            let demand = asked.demands[d];
            search.run(&graph, demand.from, Some(demand.to), |arc| {
                let p = open[arc / 2];
                if full(p) { f64::INFINITY } else { cost(p, u32::from(on_it[p])) }
            });
            let before: f64 = old.iter().map(|&p| cost(p, 1)).sum();
            let more = search.distance[demand.to] - before;
            if best.as_ref().is_none_or(|(least, _, _)| more < *least) {
                let way = if more.is_finite() {
                    search.way(demand.from, demand.to).into_iter().map(|i| open[i]).collect()
                } else {
                    Vec::new()
                };
                best = Some((more, d, way));
            }
        }
        let Some((more, d, way)) = best else { break };
        answer.ways[d] = more.is_finite().then_some(way);
    }
    answer.cost = cost(asked, answer);
}

/// Cost of all ways together.
fn cost(asked: &Asked, answer: &Answer) -> f64 {
    let mut used = vec![false; asked.network.passages.len()];
    let mut each = 0.0;
    for &p in answer.ways.iter().flatten().flatten() {
        used[p] = true;
        each += asked.network.passages[p].each;
    }
    each + asked.network.passages.iter().zip(used).filter(|(_, u)| *u).map(|(p, _)| p.fixed).sum::<f64>()
}

/// Demands whose cables run in a line.
fn users(asked: &Asked, answer: &Answer, line: usize) -> Vec<usize> {
    let runs = |way: &Option<Vec<usize>>| way.iter().flatten().any(|&p| asked.pieces[p].line == line);
    (0..answer.ways.len()).filter(|&d| runs(&answer.ways[d])).collect()
}

fn squares(prepared: &Prepared, asked: &Asked, demands: &[usize]) -> f64 {
    let wanted = asked.wanted.iter().filter(|w| w.demand.is_some_and(|d| demands.contains(&d)));
    wanted.map(|w| prepared.terms.diameter(w.part).powi(2)).sum()
}

fn is_too_full(prepared: &Prepared, asked: &Asked, answer: &Answer, line: usize) -> bool {
    let Some(bore) = asked.ways.lines[line].bore else { return false };
    let inside = users(asked, answer, line);
    squares(prepared, asked, &inside) > fill(inside.len()) * bore * bore
}

/// True if one more of the thickest cables fits.
fn has_room(prepared: &Prepared, asked: &Asked, answer: &Answer, line: usize) -> bool {
    let Some(bore) = asked.ways.lines[line].bore else { return true };
    let inside = users(asked, answer, line);
    let thickest = asked.wanted.iter().map(|w| prepared.terms.diameter(w.part)).fold(0.0, f64::max);
    squares(prepared, asked, &inside) + thickest * thickest <= fill(inside.len() + 1) * bore * bore
}
