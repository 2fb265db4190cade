//! Cheap ways: slope scaling for a start, then one cable, one bundle or one passage at a time.

use std::collections::BTreeMap;

use super::core::Core;
use super::lower;
use super::shortest::Search;

/// A way for each cable.
#[derive(Clone, Debug, Default)]
pub(super) struct Plan {
    /// Strands of each cable's way, in order.
    pub ways: Vec<Vec<usize>>,
    /// Cables in each strand.
    pub users: Vec<u32>,
    pub cost: f64,
}

impl Plan {
    fn of(core: &Core, ways: Vec<Vec<usize>>) -> Self {
        let mut plan = Self { ways, users: vec![0; core.passages.len()], cost: 0.0 };
        for way in &plan.ways {
            way.iter().for_each(|&p| plan.users[p] += 1);
        }
        plan.cost = plan.total(core);
        plan
    }

    fn take_up(&mut self, k: usize) -> Vec<usize> {
        let way = std::mem::take(&mut self.ways[k]);
        way.iter().for_each(|&p| self.users[p] -= 1);
        way
    }

    fn lay(&mut self, k: usize, way: Vec<usize>) {
        way.iter().for_each(|&p| self.users[p] += 1);
        self.ways[k] = way;
    }
}

/// Rounds of slope scaling for a start.
const SLOPE_ROUNDS: usize = 12;
/// Most passes over all moves.
const MOST_PASSES: usize = 20;
/// Most reroutings in which passages are opened for a try.
const MOST_OPENED: usize = 1_000;
/// Most passages that the dual shows and that are opened for a try at a time.
const SHOWN_OPENED: usize = 4;
/// How much of a fixed cost a passage seems to have that the dual always uses.
const SHOWN: f64 = 0.05;

/// A plan to begin with: the hinted ways that are whole, and the best of slope scaling for the others.
pub(super) fn first(core: &Core, hint: &[Vec<usize>]) -> Plan {
    let hinted = hinted_ways(core, hint);
    if hinted.iter().any(Option::is_some) {
        let mut plan = Plan::of(core, vec![Vec::new(); core.cables.len()]);
        for (k, way) in hinted.iter().enumerate() {
            if let Some(way) = way {
                plan.lay(k, way.clone());
            }
        }
        let mut search = Search::new(core.places);
        for k in (0..hinted.len()).filter(|&k| hinted[k].is_none()) {
            route(core, &mut plan, k, &mut search, None);
        }
        plan.cost = plan.total(core);
        return plan;
    }
    slopes(core)
}

/// Hinted ways as strands of the core; none where a passage is not in it or the way is broken.
fn hinted_ways(core: &Core, hint: &[Vec<usize>]) -> Vec<Option<Vec<usize>>> {
    if hint.iter().all(Vec::is_empty) {
        return vec![None; core.cables.len()];
    }
    let members = core.passages.iter().flat_map(|s| s.members.iter().copied()).max().map_or(0, |m| m + 1);
    let mut strand_of = vec![usize::MAX; members];
    for (p, strand) in core.passages.iter().enumerate() {
        strand.members.iter().for_each(|&m| strand_of[m] = p);
    }
    core.cables
        .iter()
        .map(|cable| {
            let way = hint.get(*cable.demands.first()?)?;
            let mut at = cable.from;
            let mut strands: Vec<usize> = Vec::new();
            for m in way {
                let p = *strand_of.get(*m).filter(|p| **p != usize::MAX)?;
                if strands.last() == Some(&p) {
                    continue;
                }
                let [a, b] = core.passages[p].ends;
                at = if a == at {
                    b
                } else if b == at {
                    a
                } else {
                    return None;
                };
                strands.push(p);
            }
            (at == cable.to).then_some(strands)
        })
        .collect()
}

/// Slope scaling: each passage's fixed cost is spread over the cables that used it last, until that settles.
fn slopes(core: &Core) -> Plan {
    let total: f64 = core.cables.iter().map(|c| c.count).sum();
    let mut slope: Vec<f64> = core.passages.iter().map(|p| p.fixed * 2.0 / total).collect();
    let mut best: Option<Plan> = None;
    let mut search = Search::new(core.places);
    for round in 0..SLOPE_ROUNDS {
        let mut ways = Vec::with_capacity(core.cables.len());
        let mut source = usize::MAX;
        for cable in &core.cables {
            // Cables come sorted by where they begin: one search serves all of a source.
            if cable.from != source {
                search.run(&core.graph, cable.from, None, |arc| core.each[arc / 2] + slope[arc / 2]);
                source = cable.from;
            }
            ways.push(search.way(cable.from, cable.to));
        }
        let mut plan = Plan::of(core, ways);
        let mut flow = vec![0.0; core.passages.len()];
        for (cable, way) in core.cables.iter().zip(&plan.ways) {
            way.iter().for_each(|&p| flow[p] += cable.count);
        }
        for (p, s) in slope.iter_mut().enumerate() {
            if flow[p] > 0.0 {
                *s = core.passages[p].fixed / flow[p];
            }
        }
        if round % 3 == 2 {
            improve(core, &mut plan, false);
        }
        if best.as_ref().is_none_or(|b| lower(plan.cost, b.cost)) {
            best = Some(plan);
        }
    }
    best.unwrap_or_default()
}

/// A plan drawn from what the dual's shortest ways show, kept if it is cheaper.
pub(super) fn from_shown(core: &Core, plan: &mut Plan, used: &[f64]) {
    let mut next = Plan::of(core, vec![Vec::new(); core.cables.len()]);
    let mut search = Search::new(core.places);
    let mut order: Vec<(f64, usize)> =
        (0..core.cables.len()).map(|k| (plan.ways[k].iter().map(|&p| core.passages[p].each).sum::<f64>(), k)).collect();
    order.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
    for (_, k) in order {
        route(core, &mut next, k, &mut search, Some(used));
    }
    next.cost = next.total(core);
    improve(core, &mut next, false);
    if lower(next.cost, plan.cost) {
        *plan = next;
        improve(core, plan, true);
    }
    let mut shown: Vec<usize> =
        (0..used.len()).filter(|&p| core.fixed[p] > 0.0 && plan.users[p] == 0 && used[p] > 0.0).collect();
    shown.sort_by(|a, b| used[*b].total_cmp(&used[*a]).then(a.cmp(b)));
    shown.truncate(SHOWN_OPENED);
    open_each(core, plan, &shown, &mut search);
}

/// Opens each of the given passages for a try: cables move into it one by one as if it were paid for.
fn open_each(core: &Core, plan: &mut Plan, passages: &[usize], search: &mut Search) {
    for &p in passages {
        if plan.users[p] > 0 {
            continue;
        }
        let kept = plan.clone();
        plan.users[p] += 1;
        for k in 0..core.cables.len() {
            reroute(core, plan, k, search);
        }
        plan.users[p] -= 1;
        plan.cost = plan.total(core);
        if !lower(plan.cost, kept.cost) {
            *plan = kept;
        }
    }
}

/// Lays a cable that has no way by the cheapest one, given what is open already.
fn route(core: &Core, plan: &mut Plan, k: usize, search: &mut Search, used: Option<&[f64]>) {
    let cable = &core.cables[k];
    search.run(&core.graph, cable.from, Some(cable.to), |arc| {
        let p = arc / 2;
        let fixed = if plan.users[p] > 0 { 0.0 } else { core.fixed[p] };
        let seems = used.map_or(1.0, |u| 1.0 - (1.0 - SHOWN) * u[p]);
        cable.count * core.each[p] + fixed * seems
    });
    plan.lay(k, search.way(cable.from, cable.to));
}

/// Betters a plan by moves until none helps: single cables, bundles from each place back to the source, and, if `thorough`,
/// shutting and opening each passage in turn.
pub(super) fn improve(core: &Core, plan: &mut Plan, thorough: bool) {
    let mut search = Search::new(core.places);
    for _ in 0..MOST_PASSES {
        let before = plan.cost;
        for k in 0..core.cables.len() {
            reroute(core, plan, k, &mut search);
        }
        bundles(core, plan, &mut search);
        plan.cost = plan.total(core);
        if thorough && !lower(plan.cost, before) {
            shut_each(core, plan, &mut search);
            let unused = (0..core.passages.len()).filter(|&p| core.fixed[p] > 0.0 && plan.users[p] == 0);
            let unused: Vec<usize> = unused.take(MOST_OPENED / core.cables.len()).collect();
            open_each(core, plan, &unused, &mut search);
        }
        if !lower(plan.cost, before) {
            return;
        }
    }
}

/// What a passage costs more if so many more cables use it.
fn marginal(core: &Core, plan: &Plan, count: f64, p: usize) -> f64 {
    count * core.each[p] + if plan.users[p] > 0 { 0.0 } else { core.fixed[p] }
}

fn reroute(core: &Core, plan: &mut Plan, k: usize, search: &mut Search) {
    let old = plan.take_up(k);
    let cable = &core.cables[k];
    let cost: f64 = old.iter().map(|&p| marginal(core, plan, cable.count, p)).sum();
    search.within(&core.graph, cable.from, Some(cable.to), cost, |arc| marginal(core, plan, cable.count, arc / 2));
    let way = if lower(search.distance[cable.to], cost) { search.way(cable.from, cable.to) } else { old };
    plan.lay(k, way);
}

/// Moves all cables of one source that pass a place together, from the source to that place.
fn bundles(core: &Core, plan: &mut Plan, search: &mut Search) {
    let mut start = 0;
    while start < core.cables.len() {
        let source = core.cables[start].from;
        let end = (start..core.cables.len()).find(|&k| core.cables[k].from != source).unwrap_or(core.cables.len());
        // Of the places that the same cables pass, the last: what comes before it goes along.
        let mut passing: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
        let ways: Vec<Vec<usize>> = (start..end).map(|k| places_on(core, plan, k)).collect();
        for (i, way) in ways.iter().enumerate() {
            way.iter().for_each(|&v| passing.entry(v).or_default().push(i));
        }
        let mut last: BTreeMap<&[usize], (usize, usize)> = BTreeMap::new();
        for (&v, cables) in passing.iter().filter(|(_, c)| c.len() > 1) {
            let along = ways[cables[0]].iter().position(|&w| w == v).unwrap_or(0);
            let known = last.entry(cables).or_insert((along, v));
            *known = (*known).max((along, v));
        }
        let shared: Vec<usize> = last.into_values().map(|(_, v)| v).collect();
        for v in shared {
            bundle(core, plan, start..end, v, search);
        }
        start = end;
    }
}

/// Places on a cable's way after its source.
fn places_on(core: &Core, plan: &Plan, k: usize) -> Vec<usize> {
    let mut at = core.cables[k].from;
    plan.ways[k]
        .iter()
        .map(|&p| {
            let [a, b] = core.passages[p].ends;
            at = if a == at { b } else { a };
            at
        })
        .collect()
}

fn bundle(core: &Core, plan: &mut Plan, cables: std::ops::Range<usize>, v: usize, search: &mut Search) {
    let through: Vec<(usize, usize)> =
        cables.filter_map(|k| Some((k, places_on(core, plan, k).iter().position(|&w| w == v)? + 1))).collect();
    let Some(&(first, _)) = through.first().filter(|_| through.len() > 1) else { return };
    let source = core.cables[first].from;
    let count: f64 = through.iter().map(|(k, _)| core.cables[*k].count).sum();
    let before: Vec<Vec<usize>> = through.iter().map(|(k, _)| plan.take_up(*k)).collect();
    // What the cables do after the place stays.
    for ((_, cut), way) in through.iter().zip(&before) {
        way[*cut..].iter().for_each(|&p| plan.users[p] += 1);
    }
    let mut old = 0.0;
    let mut seen: Vec<usize> = Vec::new();
    for ((k, cut), way) in through.iter().zip(&before) {
        for &p in &way[..*cut] {
            old += core.cables[*k].count * core.passages[p].each;
            if plan.users[p] == 0 && !seen.contains(&p) {
                old += core.passages[p].fixed;
                seen.push(p);
            }
        }
    }
    search.within(&core.graph, source, Some(v), old, |arc| marginal(core, plan, count, arc / 2));
    let better = lower(search.distance[v], old).then(|| search.way(source, v));
    for ((_, cut), way) in through.iter().zip(&before) {
        way[*cut..].iter().for_each(|&p| plan.users[p] -= 1);
    }
    for ((k, cut), way) in through.into_iter().zip(before) {
        let new = match &better {
            Some(head) => without_loops(core, source, head.iter().chain(&way[cut..]).copied()),
            None => way,
        };
        plan.lay(k, new);
    }
}

/// A way without what lies between two visits of a place.
fn without_loops(core: &Core, source: usize, way: impl Iterator<Item = usize>) -> Vec<usize> {
    let mut places = vec![source];
    let mut out: Vec<usize> = Vec::new();
    for p in way {
        let [a, b] = core.passages[p].ends;
        let next = if places.last() == Some(&a) { b } else { a };
        if let Some(back) = places.iter().position(|&v| v == next) {
            places.truncate(back + 1);
            out.truncate(back);
        } else {
            places.push(next);
            out.push(p);
        }
    }
    out
}

/// Shuts each passage with a fixed cost in turn, and keeps it shut if its cables find cheaper ways.
fn shut_each(core: &Core, plan: &mut Plan, search: &mut Search) {
    for shut in 0..core.passages.len() {
        if plan.users[shut] == 0 || core.passages[shut].fixed <= 0.0 {
            continue;
        }
        let kept = plan.clone();
        let moved: Vec<usize> = (0..core.cables.len()).filter(|&k| plan.ways[k].contains(&shut)).collect();
        for &k in &moved {
            plan.take_up(k);
        }
        let mut whole = true;
        let most = kept.cost - plan.total(core);
        for &k in &moved {
            let cable = &core.cables[k];
            // No cable may lose more than all of them can gain.
            search.within(&core.graph, cable.from, Some(cable.to), most, |arc| {
                let p = arc / 2;
                if p == shut { f64::INFINITY } else { marginal(core, plan, cable.count, p) }
            });
            if !search.distance[cable.to].is_finite() {
                whole = false;
                break;
            }
            plan.lay(k, search.way(cable.from, cable.to));
        }
        plan.cost = if whole { plan.total(core) } else { f64::INFINITY };
        if !lower(plan.cost, kept.cost) {
            *plan = kept;
        }
    }
}
