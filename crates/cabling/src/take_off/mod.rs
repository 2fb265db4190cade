//! What is bought for a design: placed parts, cable in whole runs from spools, and what joins, carries, marks and
//! protects it. No prices.

mod cable;
mod fittings;
mod pathways;
mod pipes;
mod spools;

use building::Resolved;
use equipment::{Catalog, Materials, PartKind, PriceUnit};
use findings::{Finding, Id, Rule, Severity, Source};
use household::Household;
use network::wiring::{CableRoute, Wiring};
use network::{Design, Link, Medium, Mounting, PlacedPart};
use rust_decimal::prelude::{Decimal, FromPrimitive};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

pub use cable::is_fibre;
pub(crate) use cable::{Core, core};
pub(crate) use fittings::{Ends, ends, protected_ends};
pub use pathways::{Pathway, pathways};
pub use spools::{NotCut, Spool, Spools, spools};

/// A cord does not reach.
pub const CORD_TOO_LONG: Rule = Rule {
    id: "cabling.cord-too-long",
    severity: Severity::Risk,
    summary: "Two parts that a cord is to join are farther apart than the longest cord reaches",
    limit: "10 m",
    cite: Source::generic,
};

/// A cable cannot be cut from any spool.
pub const SPOOL_TOO_SHORT: Rule = Rule {
    id: "cabling.spool-too-short",
    severity: Severity::Fails,
    summary: "A cable is longer than any spool, and cables are not spliced",
    limit: "longest spool of the terms",
    cite: Source::common_practice,
};

/// What a take-off or the work is made from.
#[derive(Clone, Copy, Debug)]
pub struct Plan<'a> {
    /// The design.
    pub design: &'a Design,
    /// How its fixed cables run.
    pub wiring: &'a Wiring,
    /// The home.
    pub home: &'a Resolved,
    /// The household, for the places of its devices.
    pub household: &'a Household,
    /// All parts.
    pub catalog: &'a Catalog,
}

/// One thing on a take-off.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Item {
    /// The part.
    pub part: Id,
    /// Pieces, or whole metres.
    #[schemars(with = "String")]
    pub quantity: Decimal,
    /// What it is counted in.
    pub unit: PriceUnit,
    /// True if it is already there.
    pub kept: bool,
}

/// What is fixed to the building besides cables.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Fixed {
    /// New outlets.
    pub outlets: u32,
    /// New parts on walls and ceilings, and new panels.
    pub mounts: u32,
    /// Those under ceilings.
    pub ceiling_mounts: u32,
}

impl Fixed {
    /// True if anything is fixed.
    #[must_use]
    pub fn any(self) -> bool {
        self.outlets > 0 || self.mounts > 0
    }
}

/// Everything that a design needs.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct TakeOff {
    /// Parts as placed, then cables, then what joins, carries, marks and protects them.
    pub items: Vec<Item>,
    /// What the cables are cut from, by kind of cable.
    pub spools: Vec<Spools>,
    /// The ways of the new cables, each with the cables that run along it.
    pub pathways: Vec<Pathway>,
    /// What is fixed to the building besides cables.
    pub fixed: Fixed,
    /// What is missing, so that quantities are not known.
    pub missing: Vec<String>,
    /// What is wrong.
    pub findings: Vec<Finding>,
}

impl<'a> Plan<'a> {
    /// Fixed cables with their routes, in the order of the links.
    pub(crate) fn routed(&self) -> Vec<(&'a Link, &'a CableRoute)> {
        self.cables().filter_map(|link| Some((link, self.route(&link.id)?))).collect()
    }

    /// Fixed cables.
    fn cables(&self) -> impl Iterator<Item = &'a Link> + use<'a> {
        self.design.links.iter().filter(|l| matches!(l.medium, Medium::Cable { .. }))
    }

    fn route(&self, link: &Id) -> Option<&'a CableRoute> {
        self.wiring.routes.iter().find(|r| &r.link == link)
    }

    /// What is missing for the lengths of all cables to be known: a cable without a route, or a route without a length.
    #[must_use]
    pub fn missing_lengths(&self) -> Vec<String> {
        self.cables()
            .flat_map(|link| match self.route(&link.id) {
                None => vec![format!("a route of cable `{}`", link.id)],
                Some(route) => match route.length.value {
                    Some(length) if length >= 0.0 && length.is_finite() => Vec::new(),
                    Some(_) => vec![format!("a believable length of cable `{}`", link.id)],
                    None if route.length.missing.is_empty() => vec![format!("the length of cable `{}`", link.id)],
                    None => route.length.missing.clone(),
                },
            })
            .collect()
    }

    /// The placed parts that are counted one by one: all but the outlets that end a cable, which are counted with it.
    pub fn counted_parts(&self) -> impl Iterator<Item = &'a PlacedPart> {
        let plan = *self;
        self.design
            .parts
            .iter()
            .filter(move |placed| !plan.cables().any(|l| l.to == placed.id && plan.ends_in_outlet(l)))
    }

    /// True if a link is a cable to a placed outlet.
    pub(crate) fn ends_in_outlet(&self, link: &Link) -> bool {
        let part = self.design.part(&link.to).and_then(|placed| self.catalog.get(&placed.part));
        matches!(link.medium, Medium::Cable { .. }) && part.is_some_and(|p| p.kind == PartKind::OutletKit)
    }

    /// True if the design has a patch panel, where cables end without an outlet.
    pub(crate) fn ends_at_panel(&self) -> bool {
        let kind = |p: &PlacedPart| self.catalog.get(&p.part).map(|part| part.kind);
        self.design.parts.iter().any(|p| kind(p) == Some(PartKind::PatchPanel))
    }
}

/// Everything that a design needs, in a fixed order.
///
/// # Model
/// Placed parts one by one, kept ones marked. Cable: each run with its loops and the waste, cut from spools without a
/// splice ([`spools`]); fibre comes in its length with plugs on. Each new cable of pairs ends in a jack at either end,
/// at the patch panel if there is one, else in an outlet; two jacks share an outlet's box and plate where two cables end
/// in one place. Cords by their length, pipes by how full cables make them, seals and sleeves by hole, two labels a
/// cable and one a port, surge protection and bonding where copper leaves the building, spares.
///
/// # Validity
/// A cable without a route or length is named in `missing`; what depends on it is left out, never taken as zero.
#[must_use]
pub fn take_off(plan: &Plan, materials: &Materials) -> TakeOff {
    let mut list = TakeOff { missing: plan.missing_lengths(), ..TakeOff::default() };
    let mut mounts = 0_u32;
    for placed in plan.counted_parts() {
        list.add(&placed.part, Decimal::ONE, PriceUnit::Piece, placed.kept);
        let mountable = plan.catalog.get(&placed.part).is_some_and(|p| p.mountable);
        if !placed.kept && mountable && matches!(placed.mounting, Mounting::Ceiling | Mounting::Wall) {
            mounts = mounts.saturating_add(1);
        }
    }
    list.fixed = fixed(plan);
    list.pathways = pathways(&plan.wiring.routes);
    cut_cables(plan, materials, &mut list);
    fittings::outlets(plan, materials, &mut list);
    fittings::cords(plan, &mut list);
    list.pieces(equipment::id::MOUNT, mounts);
    fittings::holes(plan, &mut list);
    pipes::pipes(plan, &mut list);
    fittings::labels(plan, &mut list);
    fittings::outdoors(plan, &mut list);
    list
}

/// New outlets and fixings of a design.
#[must_use]
pub fn fixed(plan: &Plan) -> Fixed {
    let mut fixed = Fixed::default();
    for placed in plan.counted_parts().filter(|p| !p.kept) {
        match placed.mounting {
            Mounting::Ceiling => {
                fixed.mounts = fixed.mounts.saturating_add(1);
                fixed.ceiling_mounts = fixed.ceiling_mounts.saturating_add(1);
            }
            Mounting::Wall => fixed.mounts = fixed.mounts.saturating_add(1),
            Mounting::Panel if plan.catalog.get(&placed.part).is_some_and(|p| p.kind == PartKind::Panel) => {
                fixed.mounts = fixed.mounts.saturating_add(1);
            }
            Mounting::Panel | Mounting::Shelf => {}
        }
    }
    fixed.outlets = ends(plan).iter().fold(0_u32, |sum, e| sum.saturating_add(e.outlets));
    fixed
}

/// Cable by kind, and the spools that it is cut from.
fn cut_cables(plan: &Plan, materials: &Materials, list: &mut TakeOff) {
    let waste = 1.0 + to_f64(materials.waste.share());
    let mut kinds: Vec<(&Id, Vec<(&CableRoute, f64)>)> = Vec::new();
    for (_, route) in plan.routed() {
        let Some(length) = route.length.value.filter(|l| !route.existing && *l >= 0.0 && l.is_finite()) else {
            continue;
        };
        // A cable that proves too short is lost whole: it is cut for the far end of its interval.
        let piece = (length * waste).max(route.length.high.filter(|h| h.is_finite()).unwrap_or(0.0));
        match kinds.iter_mut().find(|(cable, _)| *cable == &route.cable) {
            Some((_, cables)) => cables.push((route, piece)),
            None => kinds.push((&route.cable, vec![(route, piece)])),
        }
    }
    for (cable, cables) in kinds {
        let part = plan.catalog.get(cable);
        if core(part) == Core::Fibre {
            let metres = cables.iter().map(|(_, piece)| whole(*piece)).fold(Decimal::ZERO, plus);
            list.add(cable, metres, PriceUnit::Metre, false);
            continue;
        }
        let laid = cables.iter().fold(0.0, |sum, (route, _)| sum + route.length.value.unwrap_or(0.0));
        let pieces: Vec<_> = cables.iter().map(|(route, piece)| (route.link.clone(), units::Metres(*piece))).collect();
        let open = together(plan, &list.pathways, cable).min(materials.pulled_at_once);
        let cut = spools(cable, &pieces, &materials.spools, open);
        let metres = match &cut {
            Ok(cut) if materials.whole_spools => whole(cut.bought.value()),
            Ok(_) | Err(_) => whole(laid * waste),
        };
        list.add(cable, metres, PriceUnit::Metre, false);
        match cut {
            Ok(cut) => list.spools.push(cut),
            Err(reason) => {
                let subjects = match &reason {
                    NotCut::TooLong { link, .. } => vec![link.clone(), plan.design.id.clone()],
                    NotCut::Length(link) => vec![link.clone(), plan.design.id.clone()],
                };
                let message = format!("no spool takes the longest cable: it needs {reason}");
                let finding = Finding::of(&SPOOL_TOO_SHORT, subjects, message);
                list.findings
                    .push(finding.remedy("put a switch on the way, or add a longer spool to the terms", Vec::new()));
                if materials.whole_spools {
                    list.missing.push(reason.to_string());
                }
            }
        }
    }
}

/// Most cables of a kind that pass one hole or run along one way together; 1 if none do.
fn together(plan: &Plan, ways: &[Pathway], cable: &Id) -> u32 {
    let of_kind = |link: &Id| plan.route(link).is_some_and(|r| &r.cable == cable && !r.existing);
    let through_holes = plan.wiring.holes.iter().map(|h| h.links.iter().filter(|l| of_kind(l)).count());
    let along = ways.iter().map(|w| w.links.iter().filter(|l| of_kind(l)).count());
    u32::try_from(through_holes.chain(along).max().unwrap_or(1).max(1)).unwrap_or(u32::MAX)
}

impl TakeOff {
    /// Adds some of a part; equal parts become one item.
    fn add(&mut self, part: &Id, quantity: Decimal, unit: PriceUnit, kept: bool) {
        if quantity.is_zero() {
            return;
        }
        match self.items.iter_mut().find(|i| &i.part == part && i.unit == unit && i.kept == kept) {
            Some(item) => item.quantity = plus(item.quantity, quantity),
            None => self.items.push(Item { part: part.clone(), quantity, unit, kept }),
        }
    }

    /// Adds pieces of a built-in part; nothing if there are none.
    fn pieces(&mut self, part: &str, count: u32) {
        self.add(&Id::from_label(part), Decimal::from(count), PriceUnit::Piece, false);
    }

    /// Adds whole metres of a built-in part; nothing if there are none.
    fn metres(&mut self, part: &str, metres: f64) {
        if metres > 0.0 {
            self.add(&Id::from_label(part), whole(metres), PriceUnit::Metre, false);
        }
    }
}

/// A length in whole metres, rounded up; a micrometre forgives that 15 × 1.1 is a little above 16.5.
fn whole(metres: f64) -> Decimal {
    Decimal::from_f64((metres - 1e-6).ceil().max(0.0)).unwrap_or(Decimal::MAX)
}

fn plus(a: Decimal, b: Decimal) -> Decimal {
    a.checked_add(b).unwrap_or(Decimal::MAX)
}

/// The nearest number.
pub(crate) fn to_f64(decimal: Decimal) -> f64 {
    use rust_decimal::prelude::ToPrimitive;
    decimal.to_f64().unwrap_or(f64::NAN)
}
