//! The exact search over places: which `k` of them cover most.

/// Places chosen by [`best_set`].
#[derive(Clone, Debug, PartialEq)]
pub struct Chosen {
    /// Indices of the chosen places, rising.
    pub places: Vec<usize>,
    /// How many cells they cover, with those that were covered already.
    pub covered: u32,
    /// No choice of as many places covers more cells than this.
    pub bound: u32,
}

/// The `k` places that cover most cells beside those already covered; among equals those with the highest sum of
/// scores, then the first in order.
///
/// # Model
/// Depth-first branch and bound. A branch is cut when the cells covered so far and the largest single additions that
/// are still open cannot reach the best choice found; that is a bound because what a place adds can only shrink as
/// others are added (coverage is submodular). The search starts from the greedy choice. With `nodes` branches visited
/// it stops, and `bound` is then above `covered` by what it could not rule out.
///
/// `cells` are bit sets of equal length, one a place; `score` ranks equals.
#[must_use]
pub fn best_set(cells: &[Vec<u64>], score: &[f64], already: &[u64], k: usize, nodes: usize) -> Chosen {
    let k = k.min(cells.len());
    let mut search = Search {
        cells,
        score,
        best: Vec::new(),
        best_covered: count(already),
        best_score: f64::NEG_INFINITY,
        nodes,
        open_bound: 0,
    };
    if k > 0 {
        search.greedy(already, k);
        let order = search.by_addition(already, &(0..cells.len()).collect::<Vec<_>>());
        search.branch(already, count(already), &order, k, &mut Vec::new(), 0.0);
    }
    let mut places = search.best.clone();
    places.sort_unstable();
    Chosen { places, covered: search.best_covered, bound: search.open_bound.max(search.best_covered) }
}

struct Search<'a> {
    cells: &'a [Vec<u64>],
    score: &'a [f64],
    best: Vec<usize>,
    best_covered: u32,
    best_score: f64,
    nodes: usize,
    open_bound: u32,
}

impl Search<'_> {
    fn greedy(&mut self, already: &[u64], k: usize) {
        let mut covered = already.to_vec();
        let mut chosen = Vec::new();
        for _ in 0..k {
            let next = (0..self.cells.len()).filter(|i| !chosen.contains(i)).max_by(|&a, &b| {
                added(&covered, &self.cells[a])
                    .cmp(&added(&covered, &self.cells[b]))
                    .then(self.score[a].total_cmp(&self.score[b]))
                    .then(b.cmp(&a))
            });
            let Some(next) = next else { break };
            unite(&mut covered, &self.cells[next]);
            chosen.push(next);
        }
        self.best_covered = count(&covered);
        self.best_score = chosen.iter().map(|&i| self.score[i]).sum();
        self.best = chosen;
    }

    /// Places with what each adds, largest first.
    fn by_addition(&self, covered: &[u64], open: &[usize]) -> Vec<(u32, usize)> {
        let mut order: Vec<(u32, usize)> = open.iter().map(|&i| (added(covered, &self.cells[i]), i)).collect();
        order.sort_by(|a, b| b.0.cmp(&a.0).then(self.score[b.1].total_cmp(&self.score[a.1])).then(a.1.cmp(&b.1)));
        order
    }

    fn branch(
        &mut self,
        covered: &[u64],
        num_covered: u32,
        order: &[(u32, usize)],
        left: usize,
        chosen: &mut Vec<usize>,
        score: f64,
    ) {
        for (at, &(_, place)) in order.iter().enumerate() {
            let reach = num_covered + order[at..].iter().take(left).map(|o| o.0).sum::<u32>();
            if reach < self.best_covered || order.len() - at < left {
                return;
            }
            if self.nodes == 0 {
                self.open_bound = self.open_bound.max(reach);
                return;
            }
            self.nodes -= 1;
            let mut with = covered.to_vec();
            unite(&mut with, &self.cells[place]);
            let (num_with, score_with) = (count(&with), score + self.score[place]);
            chosen.push(place);
            if left == 1 {
                if num_with > self.best_covered || (num_with == self.best_covered && score_with > self.best_score) {
                    self.best_covered = num_with;
                    self.best_score = score_with;
                    self.best = chosen.clone();
                }
            } else {
                let open: Vec<usize> = order[at + 1..].iter().map(|o| o.1).collect();
                let next = self.by_addition(&with, &open);
                self.branch(&with, num_with, &next, left - 1, chosen, score_with);
            }
            chosen.pop();
        }
    }
}

fn count(bits: &[u64]) -> u32 {
    bits.iter().map(|w| w.count_ones()).sum()
}

fn added(covered: &[u64], cells: &[u64]) -> u32 {
    covered.iter().zip(cells).map(|(c, n)| (n & !c).count_ones()).sum()
}

fn unite(covered: &mut [u64], cells: &[u64]) {
    for (c, n) in covered.iter_mut().zip(cells) {
        *c |= n;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// Every choice of `k`, one by one.
    fn enumerate(cells: &[Vec<u64>], already: &[u64], k: usize) -> u32 {
        let mut best = count(already);
        for choice in 0u32..1 << cells.len() {
            if choice.count_ones() as usize != k {
                continue;
            }
            let mut covered = already.to_vec();
            (0..cells.len()).filter(|i| choice >> i & 1 == 1).for_each(|i| unite(&mut covered, &cells[i]));
            best = best.max(count(&covered));
        }
        best
    }

    proptest! {
        #[test]
        fn no_choice_covers_more(
            cells in prop::collection::vec(prop::collection::vec(any::<u64>(), 2), 1..11),
            sparse in prop::collection::vec(any::<u64>(), 2),
            k in 1usize..5,
        ) {
            let cells: Vec<Vec<u64>> =
                cells.iter().map(|c| c.iter().zip(&sparse).map(|(a, b)| a & b & (a >> 7)).collect()).collect();
            let k = k.min(cells.len());
            let already = [1, 1 << 40];
            let chosen = best_set(&cells, &vec![0.0; cells.len()], &already, k, usize::MAX);
            prop_assert_eq!(chosen.covered, enumerate(&cells, &already, k));
            prop_assert_eq!(chosen.bound, chosen.covered);
            prop_assert_eq!(chosen.places.len(), k);
        }

        #[test]
        fn a_stopped_search_still_bounds_the_best(
            cells in prop::collection::vec(prop::collection::vec(any::<u64>(), 1), 5..11),
            nodes in 0usize..6,
        ) {
            let cells: Vec<Vec<u64>> = cells.iter().map(|c| vec![c[0] & (c[0] >> 9) & (c[0] << 5)]).collect();
            let chosen = best_set(&cells, &vec![0.0; cells.len()], &[0], 3, nodes);
            let best = enumerate(&cells, &[0], 3);
            prop_assert!(chosen.covered <= best && best <= chosen.bound);
        }
    }

    #[test]
    fn equals_are_told_apart_by_score() {
        let cells = vec![vec![0b11], vec![0b11], vec![0b01]];
        assert_eq!(best_set(&cells, &[0.1, 0.9, 5.0], &[0], 1, usize::MAX).places, [1]);
        assert_eq!(best_set(&cells, &[0.1, 0.9, 5.0], &[0], 0, usize::MAX).places, Vec::<usize>::new());
    }
}
