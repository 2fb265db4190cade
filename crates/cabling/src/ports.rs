//! Ports that links take, and how deep switches follow one another.

use std::collections::{BTreeMap, BTreeSet};

use equipment::PartKind;
use findings::Id;
use network::{Design, Medium};

use crate::Parts;

/// Ports of a part that are taken.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct PortUse {
    /// Ports towards the home.
    pub lan: u32,
    /// Ports towards the line.
    pub uplink: u32,
}

/// How many ports of a placed part the wired links of a design take.
///
/// A link leaves its nearer end by a LAN port and enters its farther end by the uplink port; a part without uplink
/// ports of its own, such as a plain switch, takes the cable from the line at one of its LAN ports. A line
/// termination's way out is a LAN port.
#[must_use]
pub fn ports_in_use(design: &Design, placed: &Id, parts: &Parts) -> PortUse {
    let has_uplink = design.part(placed).and_then(|p| parts(&p.part)).is_some_and(|part| part.ports.uplink > 0);
    let mut taken = PortUse::default();
    for link in &design.links {
        if matches!(link.medium, Medium::Radio { .. }) {
            continue;
        }
        if &link.from == placed {
            taken.lan += 1;
        }
        if &link.to == placed {
            if has_uplink {
                taken.uplink += 1;
            } else {
                taken.lan += 1;
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
    let is_switch =
        |id: &Id| design.part(id).and_then(|p| parts(&p.part)).is_some_and(|part| part.kind == PartKind::Switch);
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
