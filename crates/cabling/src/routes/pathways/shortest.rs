//! Shortest ways from one place, by Dijkstra's algorithm.
//!
//! Passage `p` is two arcs: `2p` from its first end to its second, and `2p + 1` back.

use std::cmp::Reverse;
use std::collections::BinaryHeap;

/// Which passages meet at each place.
#[derive(Clone, Debug)]
pub(in crate::routes) struct Graph {
    first: Vec<usize>,
    /// Arc and the place that it leads to.
    around: Vec<(usize, usize)>,
}

impl Graph {
    /// The places `0..places`; the ends must be among them.
    pub fn new(places: usize, passages: impl Iterator<Item = [usize; 2]> + Clone) -> Self {
        let mut first = vec![0; places + 1];
        for [a, b] in passages.clone() {
            first[a + 1] += 1;
            first[b + 1] += 1;
        }
        for v in 0..places {
            first[v + 1] += first[v];
        }
        let mut next = first.clone();
        let mut around = vec![(0, 0); first[places]];
        for (p, [a, b]) in passages.enumerate() {
            around[next[a]] = (2 * p, b);
            next[a] += 1;
            around[next[b]] = (2 * p + 1, a);
            next[b] += 1;
        }
        Self { first, around }
    }

    /// Arcs from a place, and the places they lead to.
    pub fn around(&self, v: usize) -> &[(usize, usize)] {
        &self.around[self.first[v]..self.first[v + 1]]
    }

    /// For each place the number of the connected part that it is in.
    pub fn parts(&self) -> Vec<usize> {
        let places = self.first.len() - 1;
        let mut part = vec![usize::MAX; places];
        for start in 0..places {
            if part[start] != usize::MAX {
                continue;
            }
            part[start] = start;
            let mut waiting = vec![start];
            while let Some(v) = waiting.pop() {
                for &(_, w) in self.around(v) {
                    if part[w] == usize::MAX {
                        part[w] = start;
                        waiting.push(w);
                    }
                }
            }
        }
        part
    }
}

/// A place that waits to be reached, nearest first. Distances are never negative, so that their bits rise as they do: one
/// comparison of whole numbers orders them, and places at the same distance by number.
fn waiting(distance: f64, place: usize) -> Reverse<u128> {
    Reverse(u128::from(distance.to_bits()) << 64 | place as u128)
}

/// The state of a search, kept between searches so that nothing is allocated anew.
pub(in crate::routes) struct Search {
    /// Distance of each place from the start; infinite where it was not reached.
    pub distance: Vec<f64>,
    /// The arc by which each place was reached, and the place before.
    pub by: Vec<(usize, usize)>,
    heap: BinaryHeap<Reverse<u128>>,
}

impl Search {
    pub fn new(places: usize) -> Self {
        Self {
            distance: vec![f64::INFINITY; places],
            by: vec![(usize::MAX, usize::MAX); places],
            heap: BinaryHeap::new(),
        }
    }

    /// Finds the shortest ways from `from`, to all places or until `to` is reached. `length` is asked for
    /// arcs; those of infinite length are shut.
    pub fn run(&mut self, graph: &Graph, from: usize, to: Option<usize>, length: impl Fn(usize) -> f64) {
        self.within(graph, from, to, f64::INFINITY, length);
    }

    /// The same, but no farther than `limit`.
    pub fn within(&mut self, graph: &Graph, from: usize, to: Option<usize>, limit: f64, length: impl Fn(usize) -> f64) {
        self.distance.fill(f64::INFINITY);
        self.heap.clear();
        self.distance[from] = 0.0;
        self.by[from] = (usize::MAX, usize::MAX);
        self.heap.push(waiting(0.0, from));
        while let Some(Reverse(next)) = self.heap.pop() {
            let (distance, place) = (f64::from_bits((next >> 64) as u64), next as u64 as usize);
            if distance > self.distance[place] {
                continue;
            }
            if to == Some(place) {
                return;
            }
            for &(arc, next) in graph.around(place) {
                let through = distance + length(arc);
                if through < self.distance[next] && through <= limit {
                    self.distance[next] = through;
                    self.by[next] = (arc, place);
                    self.heap.push(waiting(through, next));
                }
            }
        }
    }

    /// Arcs from the start to a place that was reached, in order.
    pub fn arcs(&self, from: usize, to: usize) -> Vec<usize> {
        let mut way = Vec::new();
        let mut at = to;
        while at != from && self.distance[at].is_finite() {
            let (arc, before) = self.by[at];
            way.push(arc);
            at = before;
        }
        way.reverse();
        way
    }

    /// Passages from the start to a place that was reached, in order.
    pub fn way(&self, from: usize, to: usize) -> Vec<usize> {
        self.arcs(from, to).into_iter().map(|arc| arc / 2).collect()
    }
}
