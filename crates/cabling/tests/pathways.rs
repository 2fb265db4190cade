//! The search for shared pathways against enumeration, a graph library, and HiGHS.

use cabling::pathways::{Answer, Demand, Effort, Hint, Network, Passage, solve};
use petgraph::algo::dijkstra;
use petgraph::graph::{NodeIndex, UnGraph};
use proptest::prelude::*;
use proptest::strategy::ValueTree;
use proptest::test_runner::TestRunner;

fn answer(network: &Network, demands: &[Demand]) -> Answer {
    solve(network, demands, &Hint::default(), EXACT)
}

/// Goes on until cost and bound meet.
const EXACT: Effort = Effort { rounds: 400, enough: 1e-9 };

/// Whole costs, so that equal is equal; one source or several.
fn small() -> impl Strategy<Value = (Network, Vec<Demand>)> {
    (3_usize..8)
        .prop_flat_map(|places| {
            let passage = (0..places, 0..places, prop_oneof![Just(0_u32), 1_u32..30], 0_u32..12);
            let demand = (prop_oneof![3 => Just(0), 1 => 0..places], 0..places);
            (Just(places), prop::collection::vec(passage, 3..13), prop::collection::vec(demand, 1..5))
        })
        .prop_map(|(places, passages, demands)| {
            let passages = passages
                .into_iter()
                .map(|(a, b, fixed, each)| Passage { ends: [a, b], fixed: f64::from(fixed), each: f64::from(each) })
                .collect();
            let demands = demands.into_iter().map(|(from, to)| Demand { from, to }).collect();
            (Network { places, passages }, demands)
        })
}

/// Shortest distances by `petgraph` with the passages that are open.
fn distance(network: &Network, demand: Demand, open: impl Fn(usize) -> bool) -> Option<f64> {
    let mut graph = UnGraph::<(), f64>::default();
    for _ in 0..network.places {
        graph.add_node(());
    }
    for (i, p) in network.passages.iter().enumerate().filter(|(i, _)| open(*i)) {
        let _ = i;
        graph.add_edge(NodeIndex::new(p.ends[0]), NodeIndex::new(p.ends[1]), p.each);
    }
    let to = NodeIndex::new(demand.to);
    dijkstra(&graph, NodeIndex::new(demand.from), Some(to), |e| *e.weight()).get(&to).copied()
}

/// The least cost over every subset of the passages with a fixed cost.
fn enumerated(network: &Network, demands: &[Demand]) -> f64 {
    let charged: Vec<usize> = (0..network.passages.len()).filter(|&i| network.passages[i].fixed > 0.0).collect();
    let demands: Vec<Demand> = demands.iter().copied().filter(|d| distance(network, *d, |_| true).is_some()).collect();
    (0..1_u32 << charged.len())
        .filter_map(|set| {
            let open = |i: usize| charged.iter().position(|&c| c == i).is_none_or(|bit| set >> bit & 1 == 1);
            let fixed: f64 = charged.iter().filter(|&&i| open(i)).map(|&i| network.passages[i].fixed).sum();
            let each: f64 = demands.iter().map(|d| distance(network, *d, open)).sum::<Option<f64>>()?;
            Some(fixed + each)
        })
        .fold(f64::INFINITY, f64::min)
}

/// Cost of an answer's ways, added up from the network; panics if a way is broken.
fn cost(network: &Network, demands: &[Demand], answer: &Answer) -> f64 {
    let mut used = vec![false; network.passages.len()];
    let mut each = 0.0;
    for (demand, way) in demands.iter().zip(&answer.ways) {
        let Some(way) = way else { continue };
        let mut at = demand.from;
        for &p in way {
            let [a, b] = network.passages[p].ends;
            assert!(a == at || b == at, "a way is broken at {p}");
            at = if a == at { b } else { a };
            used[p] = true;
            each += network.passages[p].each;
        }
        assert_eq!(at, demand.to);
    }
    each + network.passages.iter().zip(used).filter(|(_, u)| *u).map(|(p, _)| p.fixed).sum::<f64>()
}

/// The same four hundred small questions each time: all but a few are answered with the optimum, none much dearer.
#[test]
fn nearly_all_small_questions_have_the_optimum() {
    let mut runner = TestRunner::deterministic();
    let (mut dearer, mut worst) = (0, 1.0_f64);
    for _ in 0..400 {
        let (network, demands) = small().new_tree(&mut runner).unwrap().current();
        let (found, best) = (answer(&network, &demands).cost, enumerated(&network, &demands));
        if found > best + 1e-6 {
            dearer += 1;
            worst = worst.max(found / best);
        }
    }
    assert!(dearer <= 4 && worst < 1.2, "{dearer} dearer, the worst by {worst}");
}

/// One hole for three cables that run to and fro is cheaper than a detour for each, and dearer than a detour for one.
#[test]
fn cables_to_and_fro_share_a_hole() {
    let p = |a, b, fixed, each| Passage { ends: [a, b], fixed, each };
    let network = Network { places: 3, passages: vec![p(2, 1, 0.0, 8.0), p(0, 2, 16.0, 0.0), p(1, 0, 0.0, 0.0)] };
    let demands = [(0, 2), (2, 0), (2, 0)].map(|(from, to)| Demand { from, to });
    assert!((answer(&network, &demands).cost - 16.0).abs() < 1e-9);
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, ..ProptestConfig::default() })]

    #[test]
    fn small_questions_are_answered_as_by_enumeration((network, demands) in small()) {
        let found = answer(&network, &demands);
        let best = enumerated(&network, &demands);
        prop_assert!((cost(&network, &demands, &found) - found.cost).abs() < 1e-6);
        prop_assert!(found.bound <= best + 1e-6, "bound {} over optimum {best}", found.bound);
        prop_assert!(found.cost >= best - 1e-6, "found {} below the optimum {best}", found.cost);
    }

    #[test]
    fn without_fixed_costs_ways_are_shortest((network, demands) in small()) {
        let passages = network.passages.iter().map(|p| Passage { fixed: 0.0, ..*p }).collect();
        let network = Network { passages, ..network };
        let found = answer(&network, &demands);
        let mut total = 0.0;
        for (demand, way) in demands.iter().zip(&found.ways) {
            let shortest = distance(&network, *demand, |_| true);
            prop_assert_eq!(way.is_some(), shortest.is_some());
            total += shortest.unwrap_or(0.0);
        }
        prop_assert!((found.cost - total).abs() < 1e-9 && (found.bound - total).abs() < 1e-9);
    }

    #[test]
    fn one_more_cable_never_lowers_the_cost((network, demands) in small()) {
        let fewer = answer(&network, &demands[..demands.len() - 1]);
        let all = answer(&network, &demands);
        prop_assert!(all.cost >= fewer.bound - 1e-9);
    }

    #[test]
    fn an_answer_is_a_good_hint((network, demands) in small()) {
        let found = answer(&network, &demands);
        let ways = found.ways.iter().map(|w| w.clone().unwrap_or_default()).collect();
        let hint = Hint { ways, shares: found.shares.clone() };
        let again = solve(&network, &demands, &hint, EXACT);
        prop_assert!(again.cost <= found.cost + 1e-6);
        prop_assert!(again.bound <= found.cost + 1e-6);
    }

    #[test]
    fn a_wrong_hint_does_no_harm((network, demands) in small(), noise in prop::collection::vec((0_usize..40, -5.0_f64..50.0), 0..20)) {
        let hint = Hint {
            ways: noise.iter().map(|(p, _)| vec![*p, p / 2]).collect(),
            shares: noise.iter().map(|(p, w)| vec![(*p, *w), (p / 3, f64::NAN)]).collect(),
        };
        let found = solve(&network, &demands, &hint, EXACT);
        let best = enumerated(&network, &demands);
        prop_assert!(found.bound <= best + 1e-6 && found.cost >= best - 1e-6);
    }
}

/// Proven optima of HiGHS; `tests/data/pathways/SOURCE.md` says how they were made.
#[test]
fn answers_are_within_a_hundredth_of_the_optima_of_highs() {
    let values = |text: &str| -> Vec<serde_json::Value> {
        text.lines().map(|l| serde_json::from_str(l).expect("a line of JSON")).collect()
    };
    let questions = values(include_str!("data/pathways/questions.jsonl"));
    let optima = values(include_str!("data/pathways/highs.jsonl"));
    assert_eq!((questions.len(), optima.len()), (8, 8));
    let (mut worst, mut equal) = (0.0_f64, 0);
    for (question, optimum) in questions.iter().zip(&optima) {
        assert_eq!((&question["name"], optimum["status"].as_str()), (&optimum["name"], Some("Optimal")));
        let number = |v: &serde_json::Value| v.as_u64().expect("a whole number") as usize;
        let list = |key: &str| question[key].as_array().expect("a list");
        let network = Network {
            places: number(&question["places"]),
            passages: list("passages")
                .iter()
                .map(|p| Passage {
                    ends: [number(&p[0]), number(&p[1])],
                    fixed: p[2].as_f64().expect("a number"),
                    each: p[3].as_f64().expect("a number"),
                })
                .collect(),
        };
        let demands: Vec<Demand> =
            list("demands").iter().map(|d| Demand { from: number(&d[0]), to: number(&d[1]) }).collect();
        let effort = Effort { rounds: 400, enough: 1e-4 };
        let found = solve(&network, &demands, &Hint::default(), effort);
        let best = optimum["optimum"].as_f64().expect("a number");
        assert!((cost(&network, &demands, &found) - found.cost).abs() < 1e-6 * best);
        assert!(found.bound <= best * (1.0 + 1e-6), "{}: bound {} over {best}", question["name"], found.bound);
        assert!(found.cost >= best * (1.0 - 1e-6), "{}: {} under {best}", question["name"], found.cost);
        let over = found.cost / best - 1.0;
        assert!(over < 0.01 && found.gap() < 0.03, "{}: {} and {best}, {}", question["name"], found.cost, found.gap());
        worst = worst.max(over);
        equal += usize::from(over < 1e-6);
    }
    assert!(equal >= 4, "{equal} of 8 are optimal, the worst is {worst} over");
}

#[test]
fn cables_that_gain_only_together_move_together() {
    let p = |a, b, fixed, each| Passage { ends: [a, b], fixed, each };
    let network = Network { places: 2, passages: vec![p(1, 0, 16.0, 2.0), p(0, 1, 0.0, 8.0)] };
    let demands = [Demand { from: 0, to: 1 }, Demand { from: 1, to: 0 }, Demand { from: 0, to: 1 }];
    let found = answer(&network, &demands);
    assert_eq!(found.ways, vec![Some(vec![0]); 3]);
    assert!((found.cost - 22.0).abs() < 1e-9);
}

#[test]
fn nonsense_is_left_out() {
    let p = |a, b, fixed, each| Passage { ends: [a, b], fixed, each };
    let network = Network {
        places: 3,
        passages: vec![
            p(0, 1, f64::NAN, 1.0),
            p(0, 1, -1.0, 1.0),
            p(0, 1, 1.0, f64::INFINITY),
            p(0, 9, 1.0, 1.0),
            p(1, 1, 0.0, 0.0),
            p(0, 1, 2.0, 3.0),
        ],
    };
    let demands =
        [Demand { from: 0, to: 1 }, Demand { from: 0, to: 2 }, Demand { from: 7, to: 1 }, Demand { from: 2, to: 2 }];
    let found = answer(&network, &demands);
    assert_eq!(found.ways, [Some(vec![5]), None, None, Some(vec![])]);
    assert!((found.cost - 5.0).abs() < 1e-12);
    assert_eq!(answer(&Network::default(), &[]).ways.len(), 0);
}
