//! Forty drops in a three-storey house: the time to route them, the gap, and the time to route anew after one outlet moved.
//!
//! Goals on two cores: 2 s with a gap under 1 %, and 100 ms.

#[path = "../tests/common/mod.rs"]
mod common;

use std::time::Instant;

use building::parametric::Construction;
use cabling::pathways::Effort;
use cabling::{Memory, Prepared, RouteInput, RouteTerms};
use common::{input, resolved, star, three_storeys};
use household::Household;

const DROPS: usize = 40;
const GOAL_SECONDS: f64 = 2.0;
const MOVED_GOAL_SECONDS: f64 = 0.1;
const GAP_GOAL: f64 = 0.01;

#[divan::bench(sample_count = 5)]
fn prepare(bencher: divan::Bencher) {
    let (home, terms) = (resolved(&three_storeys(Construction::TimberFrame)), RouteTerms::default());
    bencher.bench(|| Prepared::new(&home, &terms).size());
}

#[divan::bench(sample_count = 5)]
fn route_all(bencher: divan::Bencher) {
    let (home, terms) = (resolved(&three_storeys(Construction::TimberFrame)), RouteTerms::default());
    let (design, household) = (star(&home, DROPS), Household::default());
    bencher.bench(|| Prepared::new(&home, &terms).route(&input(&design, &household), &Memory::default()));
}

#[expect(clippy::print_stdout, reason = "a bench reports on the terminal")]
fn report(construction: Construction, name: &str) {
    let (home, terms) = (resolved(&three_storeys(construction)), RouteTerms::default());
    let (design, household) = (star(&home, DROPS), Household::default());
    let start = Instant::now();
    let prepared = Prepared::new(&home, &terms);
    let routing = prepared.route(&input(&design, &household), &Memory::default());
    let seconds = start.elapsed().as_secs_f64();
    let gap = routing.wiring.gap.as_ref().map_or(1.0, |g| (g.found - g.bound) / g.found);
    println!(
        "{name}: {} cables, {} holes, {} places, {} ways, {:?} left to search, {:?}",
        routing.wiring.routes.len(),
        routing.wiring.holes.len(),
        routing.wiring.graph_places,
        routing.wiring.graph_ways,
        routing.searched,
        routing.wiring.gap
    );
    println!("BENCH routes-{name} ours={seconds:.4} s limit={GOAL_SECONDS} s ratio={:.4}", seconds / GOAL_SECONDS);
    println!("BENCH routes-gap-{name} ours={gap:.6} limit={GAP_GOAL} ratio={:.4}", gap / GAP_GOAL);
    // Each outlet in turn is moved along its wall, and comes back.
    let mut times = Vec::new();
    let mut worst_gap = 0.0_f64;
    for k in 1..=DROPS {
        let mut moved = design.clone();
        let part = &mut moved.parts[k];
        let room = home.rooms.iter().find(|r| r.id == part.room);
        let Some(room) = room else { continue };
        part.at.x += (room.inside.x - part.at.x) * 0.4;
        part.at.y += (room.inside.y - part.at.y) * 0.4;
        let start = Instant::now();
        let again =
            prepared.route(&RouteInput { effort: Effort::quick(), ..input(&moved, &household) }, &routing.memory);
        times.push(start.elapsed().as_secs_f64());
        worst_gap = worst_gap.max(again.wiring.gap.map_or(1.0, |g| (g.found - g.bound) / g.found));
    }
    times.sort_by(f64::total_cmp);
    for (which, at) in [("median", times.len() / 2), ("worst", times.len() - 1)] {
        let seconds = times.get(at).copied().unwrap_or(f64::INFINITY);
        println!(
            "BENCH routes-moved-{which}-{name} ours={seconds:.4} s limit={MOVED_GOAL_SECONDS} s ratio={:.4}",
            seconds / MOVED_GOAL_SECONDS
        );
    }
    println!("BENCH routes-moved-gap-{name} ours={worst_gap:.6} limit={GAP_GOAL} ratio={:.4}", worst_gap / GAP_GOAL);
}

fn main() {
    divan::main();
    report(Construction::TimberFrame, "frame");
    report(Construction::MasonryCavity, "cavity");
    report(Construction::MasonrySolid, "solid");
    report(Construction::Concrete, "concrete");
}
