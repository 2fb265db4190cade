//! Why an end cannot be reached: barriers are lifted one kind at a time.

use findings::Id;

use super::Asked;
use super::graph::Bar;
use super::pathways::Demand;
use super::pathways::shortest::{Graph, Search};

/// What stands in the way.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Barrier {
    /// Nothing may be drilled, and no way without a hole leads there.
    NoDrilling,
    /// Every way passes one of these, in the order that one such way meets them.
    Bars(Vec<Bar>),
    /// No way at all leads there, whatever is lifted.
    Nothing,
}

/// A kind of barrier that can be lifted.
#[derive(Clone, Copy, PartialEq)]
enum Kind {
    Drilling,
    Wet,
    Zone,
    Object,
    Tensioned,
    Party,
}

const KINDS: [Kind; 6] = [Kind::Drilling, Kind::Wet, Kind::Zone, Kind::Object, Kind::Tensioned, Kind::Party];

/// Passing a barrier costs this much, so that as few as can be are passed [min].
const PASSING: f64 = 1e6;

impl Bar {
    fn kind(&self) -> Kind {
        match self {
            Bar::WetRoom(_) => Kind::Wet,
            Bar::Zone(..) => Kind::Zone,
            Bar::Object(_) => Kind::Object,
            Bar::Tensioned(_) => Kind::Tensioned,
            Bar::PartyWall(_) => Kind::Party,
        }
    }

    pub(super) fn element(&self) -> &Id {
        match self {
            Bar::WetRoom(id) | Bar::Zone(id, _) | Bar::Object(id) | Bar::Tensioned(id) | Bar::PartyWall(id) => id,
        }
    }
}

/// The first kind of barrier without which a demand has a way, with those of it that are met.
pub(super) fn explain(asked: &Asked, demand: Demand, no_drilling: bool) -> Barrier {
    let graph = Graph::new(asked.network.places, asked.pieces.iter().map(|p| p.passage.ends));
    let mut search = Search::new(asked.network.places);
    let mut met = |lifted: &[Kind]| -> Option<Vec<usize>> {
        search.run(&graph, demand.from, Some(demand.to), |arc| {
            let piece = &asked.pieces[arc / 2];
            let line = &asked.ways.lines[piece.line];
            let drills = no_drilling && (line.cuts || !piece.holes.is_empty());
            let shut =
                line.bars.iter().any(|b| !lifted.contains(&b.kind())) || drills && !lifted.contains(&Kind::Drilling);
            if shut {
                f64::INFINITY
            } else {
                let passed = line.bars.len() + usize::from(drills);
                1.0 + piece.passage.each + PASSING * passed as f64
            }
        });
        search.distance[demand.to].is_finite().then(|| search.way(demand.from, demand.to))
    };
    let bars = |way: Vec<usize>| {
        let mut bars: Vec<Bar> = Vec::new();
        for bar in way.into_iter().flat_map(|p| &asked.ways.lines[asked.pieces[p].line].bars) {
            if !bars.contains(bar) {
                bars.push(bar.clone());
            }
        }
        bars
    };
    for kind in KINDS {
        if let Some(way) = met(&[kind]) {
            return if kind == Kind::Drilling { Barrier::NoDrilling } else { Barrier::Bars(bars(way)) };
        }
    }
    match met(&KINDS) {
        Some(way) => Barrier::Bars(bars(way)),
        None => Barrier::Nothing,
    }
}
