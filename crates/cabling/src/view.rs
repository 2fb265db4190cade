//! A design with its ends looked up once: parts, links at each end, feeds and what is known of each cable.

use std::collections::BTreeMap;

use equipment::{CableSpec, Part, PartKind};
use findings::Id;
use household::{Device, Household};
use network::wiring::{CableRoute, Way, Wiring};
use network::{Design, FeedSource, Link, Medium, PlacedPart};
use units::{Metres, Watts};

use crate::Parts;
use crate::channel::Piece;
use crate::terms::Terms;

/// What is judged.
pub struct Input<'a> {
    /// The design.
    pub design: &'a Design,
    /// Looks up a part of the catalogue.
    pub parts: &'a Parts<'a>,
    /// How its fixed cables run; lengths are unknown without.
    pub wiring: Option<&'a Wiring>,
    /// Who lives there; cameras, stores and speakers are unknown without.
    pub household: Option<&'a Household>,
    /// What it is judged by.
    pub terms: &'a Terms,
}

/// Two jacks on the way of a fixed cable: one at each end.
const CONNECTIONS: u32 = 2;
/// Longest chain of panels and outlets between a device and its supply; a longer one is a loop.
const LONGEST_CHAIN: usize = 6;
/// Temperature at which limits are stated [°C].
pub(crate) const COOL: f64 = 20.0;

/// What is known of one wired link.
pub(crate) struct Line<'a> {
    pub link: &'a Link,
    /// The fixed cable's part; none for a cord.
    pub cable: Option<&'a Part>,
    /// What the fixed cable is, or the cord if the link is one.
    pub spec: Option<&'a CableSpec>,
    /// What the cords at both ends are.
    pub cord: Option<&'a CableSpec>,
    /// Length of the fixed cable, low, likely, high [m]; unknown without a route, zero for a cord.
    pub fixed: Option<[f64; 3]>,
    /// Length of all cords together, low, likely, high [m].
    pub cords: [f64; 3],
    /// How the fixed cable runs.
    pub route: Option<&'a CableRoute>,
    /// What the length of the fixed cable lacks.
    pub missing: Vec<String>,
}

impl<'a> Line<'a> {
    /// True if the link is glass fibre.
    pub fn is_fibre(&self) -> bool {
        self.spec.is_some_and(CableSpec::is_fibre)
    }

    /// Jacks on its way.
    pub fn connections(&self) -> u32 {
        if self.cable.is_some() { CONNECTIONS } else { 0 }
    }

    /// Length of the channel, low, likely, high [m].
    pub fn channel(&self) -> Option<[f64; 3]> {
        let fixed = self.fixed?;
        Some([0, 1, 2].map(|i| fixed[i] + self.cords[i]))
    }

    /// The pieces of the channel: at their shortest and cool, at the likely length or at their longest on a hot day.
    pub fn pieces(&self, end: usize, terms: &Terms) -> Option<Vec<Piece<'a>>> {
        let mut pieces = Vec::new();
        let indoors = if end == 0 { COOL } else { terms.ambient.indoors };
        if let (Some(_), Some(spec)) = (self.cable, self.spec) {
            let length = *self.fixed?.get(end)?;
            for (way, share) in self.ways() {
                let celsius = if end == 0 { COOL } else { terms.ambient.of(way) };
                pieces.push(Piece { cable: spec, length: Metres(length * share), celsius });
            }
        }
        let cords = *self.cords.get(end)?;
        pieces.push(Piece { cable: self.cord?, length: Metres(cords), celsius: indoors });
        Some(pieces)
    }

    /// The ways that the fixed cable takes, each with its share of the length, in a fixed order.
    pub fn ways(&self) -> Vec<(Way, f64)> {
        let mut lengths: BTreeMap<Way, f64> = BTreeMap::new();
        for stretch in self.route.iter().flat_map(|r| &r.stretches) {
            let length = stretch.from.distance(stretch.to);
            if length.is_finite() {
                *lengths.entry(stretch.way).or_default() += length;
            }
        }
        let all: f64 = lengths.values().sum();
        if all > 0.0 { lengths.into_iter().map(|(way, l)| (way, l / all)).collect() } else { vec![(Way::Open, 1.0)] }
    }
}

/// A design with its ends looked up.
pub(crate) struct View<'a> {
    pub input: &'a Input<'a>,
    placed: BTreeMap<&'a Id, (&'a PlacedPart, Option<&'a Part>)>,
    devices: BTreeMap<&'a Id, &'a Device>,
    /// Wired links by their ends, in the design's order.
    at: BTreeMap<&'a Id, Vec<usize>>,
    feeds: BTreeMap<&'a Id, Vec<&'a FeedSource>>,
    fed_by: BTreeMap<&'a Id, Vec<&'a Id>>,
    /// Wired links, in the design's order.
    pub lines: Vec<Line<'a>>,
}

impl<'a> View<'a> {
    pub fn new(input: &'a Input<'a>) -> Self {
        let design = input.design;
        let mut placed = BTreeMap::new();
        for part in &design.parts {
            placed.entry(&part.id).or_insert((part, (input.parts)(&part.part)));
        }
        let devices = input.household.iter().flat_map(|h| &h.devices).map(|d| (&d.id, d)).collect();
        let mut routes: BTreeMap<&Id, &CableRoute> = BTreeMap::new();
        for route in input.wiring.iter().flat_map(|w| &w.routes) {
            routes.entry(&route.link).or_insert(route);
        }
        let cord = (input.parts)(&input.terms.cord).and_then(|p| p.cable.as_ref());
        let cords = cord_length(cord, input.terms);
        let mut at: BTreeMap<&Id, Vec<usize>> = BTreeMap::new();
        let mut lines = Vec::new();
        for link in &design.links {
            let line = match &link.medium {
                Medium::Radio { .. } => continue,
                Medium::Cord => Line {
                    link,
                    cable: None,
                    spec: cord,
                    cord,
                    fixed: Some([0.0; 3]),
                    cords,
                    route: None,
                    missing: Vec::new(),
                },
                Medium::Cable { part } => fixed(link, part, input, cord, routes.get(&link.id).copied()),
            };
            at.entry(&link.from).or_default().push(lines.len());
            if link.to != link.from {
                at.entry(&link.to).or_default().push(lines.len());
            }
            lines.push(line);
        }
        let mut feeds: BTreeMap<&Id, Vec<&FeedSource>> = BTreeMap::new();
        let mut fed_by: BTreeMap<&Id, Vec<&Id>> = BTreeMap::new();
        for feed in &design.feeds {
            feeds.entry(&feed.part).or_default().push(&feed.source);
            if let FeedSource::Poe { part } = &feed.source {
                fed_by.entry(part).or_default().push(&feed.part);
            }
        }
        Self { input, placed, devices, at, feeds, fed_by, lines }
    }

    /// A placed part with what it is.
    pub fn placed(&self, id: &Id) -> Option<(&'a PlacedPart, Option<&'a Part>)> {
        self.placed.get(id).copied()
    }

    /// What a placed part is.
    pub fn part(&self, id: &Id) -> Option<&'a Part> {
        self.placed.get(id).and_then(|(_, part)| *part)
    }

    /// Class and highest draw of what is fed over its data cable: a placed part, or a device of the household.
    pub fn powered(&self, id: &Id) -> Option<(u8, Watts)> {
        let of_part = self.part(id).and_then(|p| p.poe.as_ref()).map(|poe| (poe.class, poe.worst_draw));
        of_part.or_else(|| self.device(id)?.over_cable().map(|o| (o.class, o.worst_draw)))
    }

    /// The ways from a supply to what it feeds: one, or one for each of several devices alike; none where no wire joins them.
    pub fn feed_paths(&self, fed: &Id, supply: &Id) -> Vec<Option<Vec<&Line<'a>>>> {
        let count = self.device(fed).map_or(1, |d| d.count);
        if count <= 1 {
            return vec![self.feed_path(fed, supply)];
        }
        let mut own = self.lines_at(fed).filter(|l| &other_end(l.link, fed) == supply).map(|line| vec![line]);
        (0..count).map(|_| own.next()).collect()
    }

    /// A device of the household.
    pub fn device(&self, id: &Id) -> Option<&'a Device> {
        self.devices.get(id).copied()
    }

    /// Wired links that end at a part or device, in the design's order.
    pub fn lines_at(&self, id: &Id) -> impl Iterator<Item = &Line<'a>> {
        self.at.get(id).into_iter().flatten().filter_map(|i| self.lines.get(*i))
    }

    /// What a part is fed from.
    pub fn feeds(&self, id: &Id) -> &[&'a FeedSource] {
        self.feeds.get(id).map_or(&[], Vec::as_slice)
    }

    /// The parts that a supply feeds over data cables, in the design's order.
    pub fn fed_by(&self, supply: &Id) -> &[&'a Id] {
        self.fed_by.get(supply).map_or(&[], Vec::as_slice)
    }

    /// The links from a fed part back to its supply, through panels and outlets only; nothing if no wire joins them.
    pub fn feed_path(&self, fed: &Id, supply: &Id) -> Option<Vec<&Line<'a>>> {
        let mut seen = vec![fed.clone()];
        let mut path = Vec::new();
        let mut at = fed.clone();
        for _ in 0..LONGEST_CHAIN {
            if let Some(line) = self.lines_at(&at).find(|l| &other_end(l.link, &at) == supply) {
                path.push(line);
                return Some(path);
            }
            let line = self.lines_at(&at).find(|l| {
                let next = other_end(l.link, &at);
                !seen.contains(&next) && self.part(&next).is_some_and(|p| is_passive(p.kind))
            })?;
            path.push(line);
            at = other_end(line.link, &at);
            seen.push(at.clone());
        }
        None
    }
}

/// Length of one cord, low, likely, high [m]: its part's, within what cords may be.
fn cord_length(cord: Option<&CableSpec>, terms: &Terms) -> [f64; 3] {
    let [low, likely, high] = terms.cord_length;
    let stated = cord.and_then(|c| c.piece_length).map(|l| l.value()).filter(|l| l.is_finite() && *l > 0.0);
    let likely = stated.unwrap_or(likely);
    [low.min(likely), likely, high.max(likely)]
}

/// A fixed cable.
fn fixed<'a>(
    link: &'a Link,
    part: &'a Id,
    input: &Input<'a>,
    cord: Option<&'a CableSpec>,
    route: Option<&'a CableRoute>,
) -> Line<'a> {
    let cable = (input.parts)(part);
    let mut missing = Vec::new();
    let fixed = match route {
        None if input.wiring.is_some() => {
            missing.push(format!("a way for the cable of `{}`", link.id));
            None
        }
        None => {
            missing.push("routes of the cables".to_owned());
            None
        }
        Some(route) => match route.length.value.filter(|l| l.is_finite() && *l >= 0.0) {
            Some(value) => {
                let usable = |end: Option<f64>| end.filter(|l| l.is_finite() && *l >= 0.0).unwrap_or(value);
                Some([usable(route.length.low).min(value), value, usable(route.length.high).max(value)])
            }
            None => {
                missing.extend(route.length.missing.iter().cloned());
                if missing.is_empty() {
                    missing.push(format!("the length of the cable of `{}`", link.id));
                }
                None
            }
        },
    };
    Line {
        link,
        cable,
        spec: cable.and_then(|p| p.cable.as_ref()),
        cord,
        fixed,
        // A cord at each end.
        cords: cord_length(cord, input.terms).map(|l| 2.0 * l),
        route,
        missing,
    }
}

/// The end of a link that is not the given one.
pub(crate) fn other_end(link: &Link, end: &Id) -> Id {
    if &link.from == end { link.to.clone() } else { link.from.clone() }
}

/// Outlets and panels have jacks, not ports: what passes through them ends elsewhere.
pub(crate) const fn is_passive(kind: PartKind) -> bool {
    matches!(kind, PartKind::OutletKit | PartKind::Panel | PartKind::PatchPanel)
}
