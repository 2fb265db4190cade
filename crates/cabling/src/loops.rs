//! Loops: links that close a ring, over wires or with a radio link in it.

use std::collections::BTreeMap;

use findings::Id;
use household::DeviceKind;
use network::Medium;

use crate::view::View;

/// A ring of links.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Ring {
    /// The link that closes it: the last of the ring in the design's order.
    pub closes: Id,
    /// All its links, the closing one first.
    pub links: Vec<Id>,
    /// All parts on it.
    pub parts: Vec<Id>,
    /// True if a radio link is part of it.
    pub over_radio: bool,
}

/// Every ring that a link closes with those before it, one for each closing link.
///
/// # Model
/// Links are added in the design's order. One whose ends are joined already closes a ring with the shortest way between
/// them over the links added before. Parts forward what they get, whichever way it came; that is what makes a ring a storm.
pub(crate) fn rings(view: &View) -> Vec<Ring> {
    let links = &view.input.design.links;
    let mut number: BTreeMap<&Id, usize> = BTreeMap::new();
    for link in links {
        for end in [&link.from, &link.to] {
            let next = number.len();
            number.entry(end).or_insert(next);
        }
    }
    let ids: Vec<&Id> = {
        let mut ids: Vec<(&Id, usize)> = number.iter().map(|(id, n)| (*id, *n)).collect();
        ids.sort_by_key(|(_, n)| *n);
        ids.into_iter().map(|(id, _)| id).collect()
    };
    let mut group: Vec<usize> = (0..ids.len()).collect();
    let mut tree: Vec<Vec<(usize, usize)>> = vec![Vec::new(); ids.len()];
    let mut rings = Vec::new();
    for (i, link) in links.iter().enumerate() {
        let (Some(&a), Some(&b)) = (number.get(&link.from), number.get(&link.to)) else { continue };
        // A device does not forward: two cables to one device are two ports, not a ring.
        if a != b && (view.placed(&link.from).is_none() || view.placed(&link.to).is_none()) {
            continue;
        }
        if root(&mut group, a) == root(&mut group, b) {
            let way = way(&tree, a, b);
            let mut on = vec![i];
            on.extend(way.iter().map(|(_, link)| *link));
            let mut parts = vec![link.from.clone()];
            parts.extend(way.iter().filter_map(|(place, _)| ids.get(*place)).map(|id| (*id).clone()));
            let over_radio = on.iter().filter_map(|l| links.get(*l)).any(|l| matches!(l.medium, Medium::Radio { .. }));
            rings.push(Ring {
                closes: link.id.clone(),
                links: on.iter().filter_map(|l| links.get(*l)).map(|l| l.id.clone()).collect(),
                parts,
                over_radio,
            });
        } else {
            let (a_root, b_root) = (root(&mut group, a), root(&mut group, b));
            group[b_root] = a_root;
            tree[a].push((b, i));
            tree[b].push((a, i));
        }
    }
    rings
}

fn root(group: &mut [usize], mut at: usize) -> usize {
    while group[at] != at {
        group[at] = group[group[at]];
        at = group[at];
    }
    at
}

/// The way from `a` to `b` over the tree, as places with the link that leads to each; empty if they are one.
fn way(tree: &[Vec<(usize, usize)>], a: usize, b: usize) -> Vec<(usize, usize)> {
    let mut came: Vec<Option<(usize, usize)>> = vec![None; tree.len()];
    let mut open = std::collections::VecDeque::from([a]);
    while let Some(at) = open.pop_front() {
        if at == b {
            break;
        }
        for &(next, link) in &tree[at] {
            if next != a && came[next].is_none() {
                came[next] = Some((at, link));
                open.push_back(next);
            }
        }
    }
    let mut way = Vec::new();
    let mut at = b;
    while let Some((before, link)) = came[at] {
        way.push((at, link));
        at = before;
    }
    way.reverse();
    way
}

/// Devices that may join one another by radio and of which more than one is cabled: each can carry what the other sends back
/// into the wires.
pub(crate) fn cabled_bridges(view: &View) -> Vec<Id> {
    let Some(household) = view.input.household else { return Vec::new() };
    let mut cabled = Vec::new();
    for device in household.devices.iter().filter(|d| d.kind == DeviceKind::Speaker) {
        let wires = view.lines_at(&device.id).count();
        cabled.extend(std::iter::repeat_n(device.id.clone(), wires));
    }
    if cabled.len() < 2 {
        return Vec::new();
    }
    cabled.dedup();
    cabled
}
