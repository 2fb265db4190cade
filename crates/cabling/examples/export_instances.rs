//! Prints questions for the search as JSON lines, for a general-purpose solver to answer (`outside/solve.py`).
#![expect(clippy::print_stdout, reason = "an example prints")]

#[path = "../tests/common/mod.rs"]
mod common;

use building::parametric::Construction;
use cabling::pathways::{Demand, Network, Passage};
use cabling::{Prepared, RouteTerms};
use common::{input, resolved, star, three_storeys};
use household::Household;
use serde_json::json;

/// A sheet of places with passages between neighbours; costs from a fixed sequence.
fn sheet(side: usize, sources: usize, ends: usize, mut state: u64) -> (Network, Vec<Demand>) {
    let mut next = |below: u64| {
        // SplitMix64.
        state = state.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = state;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        (z ^ (z >> 31)) % below
    };
    let mut passages = Vec::new();
    for x in 0..side {
        for y in 0..side {
            let here = x * side + y;
            let mut to = |there: usize| {
                let fixed = if next(3) == 0 { 0.0 } else { (1 + next(40)) as f64 };
                passages.push(Passage { ends: [here, there], fixed, each: (1 + next(9)) as f64 });
            };
            if x + 1 < side {
                to(here + side);
            }
            if y + 1 < side {
                to(here + 1);
            }
        }
    }
    let places = side * side;
    let from: Vec<usize> = (0..sources).map(|_| next(places as u64) as usize).collect();
    let demands = (0..ends).map(|k| Demand { from: from[k % sources], to: next(places as u64) as usize }).collect();
    (Network { places, passages }, demands)
}

/// A question without passages that may not be used, dead ends and places that none of the demands can reach.
fn pruned(network: Network, demands: Vec<Demand>) -> (Network, Vec<Demand>) {
    let mut passages: Vec<Passage> = network.passages.into_iter().filter(|p| p.each.is_finite()).collect();
    loop {
        let mut degree = vec![0; network.places];
        passages.iter().flat_map(|p| p.ends).for_each(|e| degree[e] += 1);
        demands.iter().flat_map(|d| [d.from, d.to]).for_each(|e| degree[e] += 2);
        let before = passages.len();
        passages.retain(|p| p.ends[0] != p.ends[1] && p.ends.iter().all(|e| degree[*e] > 1));
        if passages.len() == before {
            return (Network { places: network.places, passages }, demands);
        }
    }
}

fn main() {
    let mut questions = Vec::new();
    for (seed, (side, sources, ends)) in [(8, 1, 12), (10, 1, 20), (9, 3, 12), (12, 1, 16)].into_iter().enumerate() {
        let name = format!("sheet-{side}-{sources}-{ends}");
        questions.push((name, sheet(side, sources, ends, 1000 + seed as u64)));
    }
    let household = Household::default();
    for (construction, name) in [(Construction::TimberFrame, "frame"), (Construction::MasonryCavity, "cavity")] {
        for drops in [8, 14] {
            let (home, terms) = (resolved(&three_storeys(construction)), RouteTerms::default());
            let design = star(&home, drops);
            let (network, demands) = Prepared::new(&home, &terms).question(&input(&design, &household));
            questions.push((format!("{name}-{drops}"), pruned(network, demands)));
        }
    }
    for (name, (network, demands)) in questions {
        let passages: Vec<_> =
            network.passages.iter().map(|p| json!([p.ends[0], p.ends[1], p.fixed, p.each])).collect();
        let demands: Vec<_> = demands.iter().map(|d| json!([d.from, d.to])).collect();
        println!("{}", json!({ "name": name, "places": network.places, "passages": passages, "demands": demands }));
    }
}
