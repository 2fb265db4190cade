//! Ports that links take, and how deep switches follow one another.

use std::collections::{BTreeMap, BTreeSet};

use equipment::PartKind;
use findings::Id;
use network::{Design, Medium};

use crate::Parts;
use crate::view::View;

/// Ports of a part that are taken.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct PortUse {
    /// Ports towards the home.
    pub lan: u32,
    /// Ports towards the line.
    pub uplink: u32,
    /// Ports for glass fibre.
    pub fibre: u32,
}

/// How many ports of a placed part the wired links of a design take.
///
/// A link leaves its nearer end by a LAN port and enters its farther end by the uplink port; a part without uplink
/// ports of its own, such as a plain switch, takes the cable from the line at one of its LAN ports. A line
/// termination's way out is a LAN port. Glass fibre takes a port for glass fibre at both ends.
#[must_use]
pub fn ports_in_use(design: &Design, placed: &Id, parts: &Parts) -> PortUse {
    let has_uplink = design.part(placed).and_then(|p| parts(&p.part)).is_some_and(|part| part.ports.uplink > 0);
    let mut taken = PortUse::default();
    for link in &design.links {
        let is_fibre = match &link.medium {
            Medium::Radio { .. } => continue,
            Medium::Cord => false,
            Medium::Cable { part } => parts(part).and_then(|p| p.cable.as_ref()).is_some_and(|c| c.is_fibre()),
        };
        for (end, outwards) in [(&link.from, true), (&link.to, false)] {
            if end == placed {
                taken.count(is_fibre, outwards, has_uplink);
            }
        }
    }
    taken
}

impl PortUse {
    fn count(&mut self, is_fibre: bool, outwards: bool, has_uplink: bool) {
        let port = match side(is_fibre, outwards, has_uplink) {
            Side::Fibre => &mut self.fibre,
            Side::Lan => &mut self.lan,
            Side::Uplink => &mut self.uplink,
        };
        *port = port.saturating_add(1);
    }
}

/// Which of a part's ports a link takes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Side {
    Uplink,
    Lan,
    Fibre,
}

pub(crate) const fn side(is_fibre: bool, outwards: bool, has_uplink: bool) -> Side {
    if is_fibre {
        Side::Fibre
    } else if outwards || !has_uplink {
        Side::Lan
    } else {
        Side::Uplink
    }
}

/// [`ports_in_use`] from a view, for parts with many links.
pub(crate) fn in_use(view: &View, placed: &Id) -> PortUse {
    let has_uplink = view.part(placed).is_some_and(|part| part.ports.uplink > 0);
    let mut taken = PortUse::default();
    for line in view.lines_at(placed) {
        for (end, outwards) in [(&line.link.from, true), (&line.link.to, false)] {
            if end == placed {
                taken.count(line.is_fibre() && line.cable.is_some(), outwards, has_uplink);
            }
        }
    }
    taken
}

/// The end with most switches before it, and how many there are; nothing if there is no link.
///
/// A loop in the links ends the count at the first part met twice.
#[must_use]
pub fn switch_depth(design: &Design, parts: &Parts) -> Option<(Id, usize)> {
    let mut before: BTreeMap<&Id, &Id> = BTreeMap::new();
    for link in design.links.iter().filter(|l| !matches!(l.medium, Medium::Radio { .. })) {
        before.entry(&link.to).or_insert(&link.from);
    }
    let kinds: BTreeMap<&Id, Option<PartKind>> =
        design.parts.iter().map(|placed| (&placed.id, parts(&placed.part).map(|p| p.kind))).collect();
    let is_switch = |id: &Id| kinds.get(id).copied().flatten() == Some(PartKind::Switch);
    let mut deepest: Option<(Id, usize)> = None;
    for link in &design.links {
        let (mut at, mut depth, mut seen) = (&link.to, 0, BTreeSet::from([&link.to]));
        while let Some(next) = before.get(at) {
            if !seen.insert(next) {
                break;
            }
            depth += usize::from(is_switch(next));
            at = next;
        }
        if deepest.as_ref().is_none_or(|(_, most)| depth > *most) {
            deepest = Some((link.to.clone(), depth));
        }
    }
    deepest
}
