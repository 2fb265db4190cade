//! What a supply must give over its data cables.

use findings::Id;
use network::Design;
use units::Watts;

use super::feed::{FeedPoint, MOST_PORT_VOLTS, NoFeed, class_limits, feed, powered_ohm};
use crate::Parts;
use crate::channel::loop_ohm;
use crate::terms::Terms;
use crate::view::{Input, Line, View};

/// Number of a class above all, for a part that cannot be fed over its data cable.
const NOT_FED: u8 = 9;

/// A part that is fed over its data cable.
#[derive(Clone, Debug, PartialEq)]
pub struct Fed {
    /// The placed part, or the device of the household.
    pub part: Id,
    /// Its class; 9 if it cannot be fed like that.
    pub class: u8,
    /// Highest draw at the part: at night, with heaters on, or while it starts.
    pub draw: Watts,
    /// Links from the supply to the part, nearest to the part first; empty if no cable joins them.
    pub links: Vec<Id>,
    /// Resistance that the current meets, low, likely, high [Ω]; unknown without lengths.
    pub ohm: Option<[f64; 3]>,
    /// Where the feed settles at the likely length and the lowest voltage that its class may get.
    pub likely: Option<Result<FeedPoint, NoFeed>>,
    /// Where it settles at worst: the longest length, or the class's highest resistance where lengths are unknown.
    pub worst: Option<Result<FeedPoint, NoFeed>>,
    /// Where it settles at best: the shortest length, or none where lengths are unknown, at the highest voltage.
    pub best: Option<FeedPoint>,
    /// What is missing for the likely value.
    pub missing: Vec<String>,
}

/// What hangs on one PoE supply.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct PoeLoad {
    /// Each fed part with its class, in the design's order; class 9 for a part that cannot be fed over its data cable.
    pub classes: Vec<(Id, u8)>,
    /// Each fed part in detail, in the same order.
    pub fed: Vec<Fed>,
    /// Least that all ports together give while every part takes its highest draw.
    pub least: Watts,
    /// Most likely that; unknown if a length is.
    pub likely: Option<Watts>,
    /// Most that they give: each part's highest draw at the lowest voltage, over its longest cable, or over the highest resistance
    /// that its class permits where the length is unknown (IEEE 802.3).
    pub worst: Watts,
}

/// The load on a placed part's powered ports; nothing if it feeds no part over data cables.
///
/// Without routes the lengths are unknown: the load lies between no cable and the longest that the standard permits.
#[must_use]
pub fn poe_load(design: &Design, supply: &Id, parts: &Parts) -> Option<PoeLoad> {
    let terms = Terms::default();
    let input = Input { design, parts: &|id| parts(id), wiring: None, household: None, terms: &terms };
    load_of(&View::new(&input), supply)
}

pub(crate) fn load_of(view: &View, supply: &Id) -> Option<PoeLoad> {
    let each = |part: &&Id| {
        let paths = view.feed_paths(part, supply).into_iter();
        paths.map(|path| fed(view, part, supply, path)).collect::<Vec<_>>()
    };
    let fed: Vec<Fed> = view.fed_by(supply).iter().flat_map(each).collect();
    if fed.is_empty() {
        return None;
    }
    // A feed that does not settle, or settles above what its class permits, is cut off by the port at its class's power.
    let at_port = |f: &Fed, point: Option<Result<FeedPoint, NoFeed>>| match point {
        Some(Ok(point)) => Some(point.at_port.value()),
        Some(Err(_)) => equipment::poe_class_watts(f.class).map(|(_, port)| port.value()),
        None => None,
    };
    let least = fed.iter().map(|f| f.best.map_or(f.draw.value(), |p| p.at_port.value())).sum();
    let likely: Option<f64> = fed.iter().filter(|f| f.class != NOT_FED).map(|f| at_port(f, f.likely)).sum();
    let worst = fed.iter().map(|f| at_port(f, f.worst).unwrap_or(f.draw.value())).sum();
    Some(PoeLoad {
        classes: fed.iter().map(|f| (f.part.clone(), f.class)).collect(),
        least: Watts(least),
        likely: likely.map(Watts),
        worst: Watts(worst),
        fed,
    })
}

fn fed(view: &View, part: &Id, supply: &Id, path: Option<Vec<&Line>>) -> Fed {
    let mut out = Fed {
        part: part.clone(),
        class: NOT_FED,
        draw: Watts(0.0),
        links: Vec::new(),
        ohm: None,
        likely: None,
        worst: None,
        best: None,
        missing: Vec::new(),
    };
    out.links = path.iter().flatten().map(|l| l.link.id.clone()).collect();
    let Some((class, draw)) = view.powered(part) else { return out };
    (out.class, out.draw) = (class, draw);
    let Some(limits) = class_limits(class) else { return out };
    let ends: Option<Vec<[f64; 3]>> = path
        .as_ref()
        .map(|path| {
            path.iter()
                .map(|line| {
                    let at = |end: usize, high: usize| {
                        let pieces = line.pieces(end, view.input.terms)?;
                        loop_ohm(&pieces, line.connections())?.get(high).copied()
                    };
                    Some([at(0, 0)?, at(1, 1)?, at(2, 1)?])
                })
                .collect::<Option<Vec<_>>>()
        })
        .unwrap_or_default();
    if path.is_none() {
        out.missing.push(format!("a cable from `{supply}` to `{part}`"));
    } else if ends.is_none() {
        for line in path.iter().flatten() {
            out.missing.extend(line.missing.iter().cloned());
            if line.spec.is_none() || line.cord.is_none() {
                out.missing.push(format!("what the cable of `{}` is", line.link.id));
            }
        }
        if out.missing.is_empty() {
            out.missing.push("twisted pairs all the way".to_owned());
        }
    }
    out.ohm = ends.map(|ends| {
        let sum = |end: usize| ends.iter().map(|e| e[end]).sum::<f64>();
        [sum(0), sum(1), sum(2)].map(|pair| powered_ohm(pair, limits.pairs))
    });
    let lowest = limits.least_port_volts;
    out.likely = out.ohm.map(|ohm| feed(lowest, out.draw, ohm[1]));
    out.worst = Some(feed(lowest, out.draw, out.ohm.map_or(limits.most_ohm, |ohm| ohm[2])));
    out.best = feed(MOST_PORT_VOLTS, out.draw, out.ohm.map_or(0.0, |ohm| ohm[0])).ok();
    out
}
