//! Spots and lines: the ways through a home, before they are cut where cables enter and leave them.

use std::collections::BTreeMap;

use building::NoGoReason;
use findings::Id;
use network::wiring::{HoleKind, Way};
use units::Point3;

use super::pathways::Passage;
use super::terms::RouteTerms;

/// Why a line may not be used.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Bar {
    /// It passes a room with water, or runs under its floor.
    WetRoom(Id),
    /// It passes a zone.
    Zone(Id, NoGoReason),
    /// It passes a fixed object.
    Object(Id),
    /// It would drill a slab that nobody may drill.
    Tensioned(Id),
    /// It would drill a wall to a neighbour.
    PartyWall(Id),
}

/// A hole on a line.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Drilled {
    /// Distance from the line's first spot [m].
    pub t: f64,
    pub kind: HoleKind,
    pub element: Id,
    pub depth: f64,
    pub seal: bool,
    /// Minutes that it takes.
    pub minutes: f64,
}

/// A way along one element, from spot to spot. It costs the same all along, save for its holes.
#[derive(Clone, Debug)]
pub(super) struct Line {
    pub ends: [usize; 2],
    pub way: Way,
    pub element: Option<Id>,
    /// Length [m].
    pub length: f64,
    /// Holes by rising `t`.
    pub holes: Vec<Drilled>,
    pub bars: Vec<Bar>,
    /// True if making it marks the building: it counts as drilling.
    pub cuts: bool,
    /// Inner diameter of a pipe [m].
    pub bore: Option<f64>,
}

/// Where a cable may enter or leave a line, apart from its ends.
#[derive(Clone, Copy, Debug)]
pub(super) struct Stop {
    pub line: usize,
    pub t: f64,
    pub spot: usize,
}

/// All spots and lines.
#[derive(Clone, Debug, Default)]
pub(super) struct Ways {
    pub spots: Vec<Point3>,
    pub lines: Vec<Line>,
    pub stops: Vec<Stop>,
}

/// Stops nearer than this are one [m].
const SAME_STOP: f64 = 0.01;

impl Ways {
    pub fn spot(&mut self, at: Point3) -> usize {
        self.spots.push(at);
        self.spots.len() - 1
    }

    /// A line without holes or bars, as long as the way along the axes between its spots.
    pub fn line(&mut self, ends: [usize; 2], way: Way, element: Option<Id>) -> &mut Line {
        let [a, b] = ends.map(|e| self.spots.get(e).copied().unwrap_or_default());
        let length = a.plan().distance(b.plan()) + (a.z - b.z).abs();
        self.push(Line { ends, way, element, length, holes: Vec::new(), bars: Vec::new(), cuts: false, bore: None })
    }

    pub fn push(&mut self, line: Line) -> &mut Line {
        let i = self.lines.len();
        self.lines.push(line);
        &mut self.lines[i]
    }

    /// A spot on a line at a distance from its beginning: one of its ends, a stop that is there, or a new one.
    pub fn stop(&mut self, line: usize, t: f64) -> usize {
        let l = &self.lines[line];
        let [a, b] = l.ends;
        if t <= SAME_STOP || !t.is_finite() {
            return a;
        }
        if t >= l.length - SAME_STOP {
            return b;
        }
        if let Some(stop) = self.stops.iter().find(|s| s.line == line && (s.t - t).abs() < SAME_STOP) {
            return stop.spot;
        }
        let (p, q, share) = (self.spots[a], self.spots[b], t / l.length);
        let at = Point3::new(p.x + (q.x - p.x) * share, p.y + (q.y - p.y) * share, p.z + (q.z - p.z) * share);
        let spot = self.spot(at);
        self.stops.push(Stop { line, t, spot });
        spot
    }

    /// Cuts all lines at their stops.
    pub fn pieces(&self, terms: &RouteTerms) -> Vec<Piece> {
        let mut stops: BTreeMap<usize, Vec<(f64, usize)>> = BTreeMap::new();
        for s in &self.stops {
            stops.entry(s.line).or_default().push((s.t, s.spot));
        }
        let mut pieces = Vec::with_capacity(self.lines.len() + self.stops.len());
        for (i, line) in self.lines.iter().enumerate() {
            let mut cuts = vec![(0.0, line.ends[0])];
            if let Some(on) = stops.get_mut(&i) {
                on.sort_by(|a, b| a.0.total_cmp(&b.0));
                cuts.extend(on.iter().copied());
            }
            cuts.push((line.length, line.ends[1]));
            for pair in cuts.windows(2) {
                let [(t0, from), (t1, to)] = [pair[0], pair[1]];
                let length = t1 - t0;
                // The first piece holds a hole at its very beginning, every other only those after it.
                let holes: Vec<usize> = (0..line.holes.len())
                    .filter(|&h| line.holes[h].t <= t1 && (line.holes[h].t > t0 || t0 <= 0.0))
                    .collect();
                let fixed = terms.set_up(line.way) * length + holes.iter().map(|&h| line.holes[h].minutes).sum::<f64>();
                let each = terms.pull(line.way) * length;
                pieces.push(Piece {
                    passage: Passage { ends: [from, to], fixed, each },
                    line: i,
                    span: [t0, t1],
                    holes,
                });
            }
        }
        pieces
    }
}

/// A line between two stops.
#[derive(Clone, Debug)]
pub(super) struct Piece {
    pub passage: Passage,
    pub line: usize,
    /// Where it begins and ends on its line [m].
    pub span: [f64; 2],
    /// Numbers of the line's holes on it.
    pub holes: Vec<usize>,
}
