//! Routes of a design's cables through the resolved home.
//!
//! - [`Prepared`]: the ways through a home, laid once
//! - [`RouteInput`], [`RouteTerms`]: what is asked, and what ways and holes cost
//! - [`Routing`]: ways, holes, lengths, and what is wrong with them
//! - [`pathways`]: the search, free of buildings

mod barriers;
mod bays;
mod ends;
mod fabric;
mod graph;
mod home;
mod memory;
mod outside;
pub mod pathways;
mod pipes;
mod plan;
mod rooms;
mod rules;
mod shafts;
mod spaces;
mod terms;
mod wires;

use std::collections::BTreeMap;

use building::Resolved;
use findings::{Finding, Id};
use household::Household;
use network::wiring::Wiring;
use network::{Design, Medium};

use self::bays::Bay;
use self::ends::{Bays, End, Joining};
use self::graph::{Piece, Ways};
use self::home::Home;
use self::pathways::{Demand, Effort, Network, Passage};
use self::rooms::Loops;
use self::spaces::Space;

pub use memory::Memory;
pub use rules::{END_OUTSIDE, END_WITHOUT_PLACE, MANY_JOISTS, PERMANENT_LINK_TOO_LONG, UNREACHABLE};
pub use terms::{RouteTerms, WetRooms};

/// What routes are wanted for.
#[derive(Clone, Copy, Debug)]
pub struct RouteInput<'a> {
    /// The design; its links over cable are routed.
    pub design: &'a Design,
    /// Devices that links end at, and whether anything may be drilled.
    pub household: &'a Household,
    /// How hard to search.
    pub effort: Effort,
}

/// Routes, and what is wrong with them.
#[derive(Clone, Debug, Default)]
pub struct Routing {
    /// How the cables run.
    pub wiring: Wiring,
    /// Ends without a place, cables without a way, links that are too long.
    pub findings: Vec<Finding>,
    /// What speeds the next routing of a design much like this one.
    pub memory: Memory,
    /// Places and ways that were left to search after those that cannot matter were dropped.
    pub searched: (usize, usize),
}

/// The ways through a home, laid once and used for every design in it.
#[derive(Debug)]
pub struct Prepared<'a> {
    home: &'a Resolved,
    terms: &'a RouteTerms,
    ways: Ways,
    spaces: Vec<Space>,
    loops: Vec<Loops>,
    bays: Bays,
}

/// Finds the routes of a design's cables.
///
/// See [`Prepared::route`]; this prepares the home for one design.
#[must_use]
pub fn route(home: &Resolved, terms: &RouteTerms, input: &RouteInput) -> Routing {
    Prepared::new(home, terms).route(input, &Memory::default())
}

/// A cable that is to be routed.
struct Wanted<'a> {
    link: &'a network::Link,
    part: &'a Id,
    ends: [End; 2],
    /// Index of the cable that is there already, if one serves.
    existing: Option<usize>,
    /// Number of the demand, if it is to be laid.
    demand: Option<usize>,
}

impl<'a> Prepared<'a> {
    /// Lays the ways through a home.
    ///
    /// # Model
    /// - Framed walls have a bay between each two studs, open from the plate at the foot to the plate at the head; both need
    ///   a hole. Bays with an opening, or with a mains cable nearer than the separation, are not used. Ways up that are not at
    ///   an outlet are offered every 3 m.
    /// - Solid walls have grooves, which cost by the metre.
    /// - Joist floors, hung ceilings, attics, crawl spaces and open basement ceilings are level spaces with lines over their
    ///   walls, no more than 2.5 m apart. Across joists each joist is drilled. Joists span the shorter side unless stated.
    /// - Rated walls, walls to a neighbour and solid walls reach through a floor; they need a hole, and a seal if rated.
    /// - Raceway runs round each room along the skirting and under the ceiling, through walls and floors by holes, up
    ///   stairwells, and past doors under the leaf.
    /// - Shafts and pipes run as the document says. The facade and trenches join what nothing else does.
    #[must_use]
    pub fn new(home: &'a Resolved, terms: &'a RouteTerms) -> Self {
        let context = Home::new(home, terms);
        let mut ways = Ways::default();
        let mut spaces = spaces::spaces(&context);
        for space in &mut spaces {
            spaces::lay(&context, space, &mut ways);
        }
        let loops = rooms::lay(&context, &mut ways);
        shafts::lay(&context, &spaces, &loops, &mut ways);
        outside::lay(&context, &loops, &mut ways);
        let mut bays: BTreeMap<Bay, _> = BTreeMap::new();
        for bay in bays::risers(&context) {
            if let Some(built) = bays::build(&context, &spaces, &mut ways, bay, true) {
                bays.insert(bay, Some(built));
            }
        }
        Self { home, terms, ways, spaces, loops, bays }
    }

    /// Places and ways of the home before any cable is joined to it.
    #[must_use]
    pub fn size(&self) -> (usize, usize) {
        (self.ways.spots.len(), self.ways.pieces(self.terms).len())
    }

    /// The question that a design asks of the search: all places and passages, and a demand for each cable that is to be
    /// laid. Passages that may not be used cost infinity.
    #[must_use]
    pub fn question(&self, input: &RouteInput) -> (Network, Vec<Demand>) {
        let asked = self.ask(input);
        (asked.network, asked.demands)
    }

    fn ask<'b>(&self, input: &RouteInput<'b>) -> Asked<'b> {
        let home = Home::new(self.home, self.terms);
        let mut asked = Asked { ways: self.ways.clone(), ..Asked::default() };
        let mut bays = self.bays.clone();
        let mut spots: BTreeMap<&Id, usize> = BTreeMap::new();
        let mut taken = vec![false; self.home.existing_cables.len()];
        for link in &input.design.links {
            let Medium::Cable { part } = &link.medium else { continue };
            let found = [&link.from, &link.to].map(|id| ends::find(id, input.design, input.household, &home));
            let [Ok(from), Ok(to)] = found else {
                for (id, end) in [&link.from, &link.to].into_iter().zip(found) {
                    if let Err(why) = end {
                        asked.findings.push(rules::no_end(link, id, &why, self.home));
                    }
                }
                continue;
            };
            let existing = wires::existing(self.home, &mut taken, part, [&from, &to]);
            let mut wanted = Wanted { link, part, ends: [from, to], existing, demand: None };
            if existing.is_none() {
                let mut joining = Joining {
                    home: &home,
                    spaces: &self.spaces,
                    loops: &self.loops,
                    ways: &mut asked.ways,
                    bays: &mut bays,
                };
                let mut at = [0; 2];
                for ((spot, id), end) in at.iter_mut().zip([&link.from, &link.to]).zip(&wanted.ends) {
                    *spot = match spots.get(id) {
                        Some(known) => *known,
                        None => {
                            let new = joining.join(end);
                            spots.insert(id, new);
                            new
                        }
                    };
                }
                wanted.demand = Some(asked.demands.len());
                asked.demands.push(Demand { from: at[0], to: at[1] });
            }
            asked.wanted.push(wanted);
        }
        asked.pieces = asked.ways.pieces(self.terms);
        let no_drilling = input.household.wishes.no_drilling;
        let passages = asked.pieces.iter().map(|piece| {
            let line = &asked.ways.lines[piece.line];
            let shut = !line.bars.is_empty() || no_drilling && (line.cuts || !piece.holes.is_empty());
            if shut { Passage { each: f64::INFINITY, ..piece.passage } } else { piece.passage }
        });
        asked.network = Network { places: asked.ways.spots.len(), passages: passages.collect() };
        asked
    }

    /// Finds the routes of a design's cables.
    ///
    /// # Model
    /// Each cable runs from its link's nearer end to its farther end. Cables share holes, raceway, grooves and trenches, so
    /// that the cheapest ways together are sought ([`pathways::solve`]); costs are minutes of work ([`RouteTerms`]). A cable
    /// that is there already serves a link if it is the same part and ends within 1 m of both its ends. Pipes take cables up to
    /// their fill; those that do not fit go elsewhere by the cheapest way left. With `no_drilling` only raceway, open ways and
    /// gaps under doors are used.
    ///
    /// # Units
    /// Lengths in m: the way along the axes, a loop at the nearer end and one at the outlet. The interval is
    /// [`RouteTerms::spread`] either way. The gap is in minutes.
    ///
    /// # Errors
    /// None: what cannot be routed is a finding.
    #[must_use]
    pub fn route(&self, input: &RouteInput, before: &Memory) -> Routing {
        let asked = self.ask(input);
        let hint = before.hint(self, &asked);
        let mut answer = pathways::solve(&asked.network, &asked.demands, &hint, input.effort);
        pipes::fit(self, &asked, &mut answer);
        let mut findings = asked.findings.clone();
        let wiring = wires::wiring(self, &asked, &answer, &mut findings);
        for wanted in &asked.wanted {
            let Some(demand) = wanted.demand else { continue };
            if answer.ways.get(demand).is_none_or(Option::is_none) {
                let barrier = barriers::explain(&asked, asked.demands[demand], input.household.wishes.no_drilling);
                findings.push(rules::unreachable(wanted.link, &barrier, &wanted.ends[1], self.home));
            }
        }
        let memory = Memory::of(self, &asked, &answer);
        Routing { wiring, findings, memory, searched: answer.left }
    }
}

/// A design's question, with what is needed to read the answer.
#[derive(Default)]
struct Asked<'a> {
    ways: Ways,
    pieces: Vec<Piece>,
    network: Network,
    demands: Vec<Demand>,
    wanted: Vec<Wanted<'a>>,
    findings: Vec<Finding>,
}
