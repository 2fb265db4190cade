//! Dual ascent: every raise lifts all places behind a cut until a passage into it is paid for.

use super::bound::Dual;
use super::core::Core;
use super::shortest::Search;

/// What remains to be shared of a strand is nothing below this share of its fixed cost.
const SPENT: f64 = 1e-12;

/// One cable's cut.
struct Cut {
    /// Heights of places; along each passage they rise by no more than its length.
    height: Vec<f64>,
    /// True for places behind the cut.
    behind: Vec<bool>,
    members: Vec<usize>,
    done: bool,
}

/// Raises the shares of a dual, cable by cable in turns, until no cut can be lifted.
pub(super) fn ascend(core: &Core, dual: &mut Dual) {
    let mut search = Search::new(core.places);
    let mut cuts: Vec<Cut> = core
        .cables
        .iter()
        .enumerate()
        .map(|(k, cable)| {
            let length = |arc: usize| cable.count * core.passages[arc / 2].each + dual.share(k, arc);
            search.run(&core.graph, cable.from, None, length);
            let mut behind = vec![false; core.places];
            behind[cable.to] = true;
            Cut { height: search.distance.clone(), behind, members: vec![cable.to], done: false }
        })
        .collect();
    // Every lift pays for a strand or makes a place join a cut: the count is bounded by both together.
    let most = core.cables.len() * (core.passages.len() + core.places);
    let mut lifts = 0;
    while lifts < most && cuts.iter().any(|c| !c.done) {
        for (k, cut) in cuts.iter_mut().enumerate() {
            if !cut.done {
                lift(core, dual, k, cut);
                lifts += 1;
            }
        }
    }
}

/// Lifts the places behind a cable's cut once.
fn lift(core: &Core, dual: &mut Dual, k: usize, cut: &mut Cut) {
    let cable = &core.cables[k];
    loop {
        // Passages into the cut: those that are tight must be paid for, the others become tight.
        let mut rise = f64::INFINITY;
        let mut tight: Vec<usize> = Vec::new();
        let mut joins: Vec<usize> = Vec::new();
        for &j in &cut.members {
            for &(out, i) in core.graph.around(j) {
                if cut.behind[i] {
                    continue;
                }
                // The arc into the cut.
                let arc = out ^ 1;
                let fixed = core.passages[arc / 2].fixed;
                let length = cable.count * core.passages[arc / 2].each + dual.share(k, arc);
                let slack = length - (cut.height[j] - cut.height[i]);
                if slack > 1e-9 * length.max(1.0) {
                    rise = rise.min(slack);
                } else {
                    let room = if fixed > 0.0 { dual.room(core, cable.source, arc) } else { 0.0 };
                    if room <= SPENT * fixed {
                        joins.push(i);
                    } else {
                        rise = rise.min(room);
                        tight.push(arc);
                    }
                }
            }
        }
        if joins.is_empty() {
            if !rise.is_finite() || rise <= 0.0 {
                cut.done = true;
                return;
            }
            for arc in tight {
                dual.add(k, arc, rise);
            }
            for &j in &cut.members {
                cut.height[j] += rise;
            }
            return;
        }
        for i in joins {
            if i == cable.from {
                cut.done = true;
                return;
            }
            if !cut.behind[i] {
                cut.behind[i] = true;
                cut.members.push(i);
            }
        }
    }
}
