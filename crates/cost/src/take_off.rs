//! What is bought: placed parts, cables by the metre, and what fixes and joins them.

use equipment::{Catalog, PartKind, PriceList, PriceUnit, id};
use findings::Id;
use network::results::TakeOffLine;
use network::{Design, Link, Medium, Mounting, PlacedPart};
use rust_decimal::prelude::{Decimal, FromPrimitive, RoundingStrategy};
use units::{Currency, Money};

use crate::route::Run;

/// Cable bought over cable laid (common practice, no source: 1.10 to 1.15).
const WASTE: f64 = 1.10;

/// One thing on the take-off.
#[derive(Clone, Debug)]
pub(crate) struct Item {
    /// The part.
    pub part: Id,
    /// Pieces, or whole metres.
    pub quantity: Decimal,
    /// What it is counted in.
    pub unit: PriceUnit,
    /// True if it is already there.
    pub kept: bool,
}

/// Everything that a design needs, in a fixed order: parts as placed, then cables, then what fixes and joins them.
///
/// Each cable ends in a jack at either end: at the patch panel if the design has one, else in an outlet; a cord joins
/// each jack to its equipment (the channel of TIA-568 and ISO/IEC 11801). Holes through floors and to a neighbour get a
/// fire seal.
pub(crate) fn items(design: &Design, catalog: &Catalog, runs: &[(&Link, Run)]) -> Vec<Item> {
    let mut items = Items::default();
    let mut mounts = 0_u32;
    for placed in counted_parts(design, catalog) {
        items.add(placed.part.clone(), Decimal::ONE, PriceUnit::Piece, placed.kept);
        let mountable = catalog.get(&placed.part).is_some_and(|p| p.mountable);
        if !placed.kept && mountable && matches!(placed.mounting, Mounting::Ceiling | Mounting::Wall) {
            mounts = mounts.saturating_add(1);
        }
    }
    let mut cables: Vec<(&Id, f64)> = Vec::new();
    let (mut outlets, mut outlets_6a, mut seals) = (0_u32, 0_u32, 0_u32);
    // A cord between two parts that are already there is there, too.
    let kept = |end: &Id| design.part(end).is_some_and(|p| p.kept);
    let mut cords =
        design.links.iter().filter(|l| matches!(l.medium, Medium::Cord) && !(kept(&l.from) && kept(&l.to))).count();
    let at_panel = ends_at_panel(design, catalog);
    for (link, run) in runs {
        let Medium::Cable { part } = &link.medium else { continue };
        match cables.iter_mut().find(|(known, _)| *known == part) {
            Some((_, length)) => *length += run.length,
            None => cables.push((part, run.length)),
        }
        let kits = if at_panel { 1 } else { 2 };
        if part.as_str() == id::CABLE_CAT6A {
            outlets_6a += kits;
        } else {
            outlets += kits;
        }
        // Nothing is plugged into an outlet that stands by.
        cords += if ends_in_outlet(design, catalog, link) { 1 } else { 2 };
        seals = seals.saturating_add(run.floors).saturating_add(run.party_walls);
    }
    for (part, length) in cables {
        let metres = Decimal::from_f64((length * WASTE).ceil()).unwrap_or(Decimal::MAX);
        items.add(part.clone(), metres, PriceUnit::Metre, false);
    }
    let cords = u32::try_from(cords).unwrap_or(u32::MAX);
    for (part, count) in [
        (id::OUTLET_CAT6, outlets),
        (id::OUTLET_CAT6A, outlets_6a),
        (id::CORD, cords),
        (id::MOUNT, mounts),
        (id::FIRESTOP, seals),
    ] {
        if count > 0 {
            items.add(Id::from_label(part), Decimal::from(count), PriceUnit::Piece, false);
        }
    }
    items.0
}

/// The placed parts that are counted one by one: all but the outlets that end a cable, which are counted with it.
pub(crate) fn counted_parts<'a>(design: &'a Design, catalog: &'a Catalog) -> impl Iterator<Item = &'a PlacedPart> {
    let ends_cable =
        |placed: &PlacedPart| design.links.iter().any(|l| l.to == placed.id && ends_in_outlet(design, catalog, l));
    design.parts.iter().filter(move |placed| !ends_cable(placed))
}

/// True if a link is a cable to a placed outlet.
fn ends_in_outlet(design: &Design, catalog: &Catalog, link: &Link) -> bool {
    let part = design.part(&link.to).and_then(|placed| catalog.get(&placed.part));
    matches!(link.medium, Medium::Cable { .. }) && part.is_some_and(|p| p.kind == PartKind::OutletKit)
}

/// True if the design has a patch panel, where cables end without an outlet.
pub(crate) fn ends_at_panel(design: &Design, catalog: &Catalog) -> bool {
    design.parts.iter().any(|p| catalog.get(&p.part).is_some_and(|part| part.kind == PartKind::PatchPanel))
}

#[derive(Default)]
struct Items(Vec<Item>);

impl Items {
    fn add(&mut self, part: Id, quantity: Decimal, unit: PriceUnit, kept: bool) {
        match self.0.iter_mut().find(|i| i.part == part && i.unit == unit && i.kept == kept) {
            Some(item) => item.quantity = item.quantity.checked_add(quantity).unwrap_or(Decimal::MAX),
            None => self.0.push(Item { part, quantity, unit, kept }),
        }
    }
}

/// The line of an item, and what is missing for its price, if anything. What is kept costs nothing.
pub(crate) fn line(item: &Item, catalog: &Catalog, prices: &PriceList) -> (TakeOffLine, Option<String>) {
    let name = catalog.get(&item.part).map_or_else(|| item.part.to_string(), |p| p.name.clone());
    let (unit_price, missing) = match prices.get(&item.part) {
        _ if item.kept => (Some(Money { amount: Decimal::ZERO, currency: prices.currency() }), None),
        Some(price) if price.unit == item.unit => (Some(price.price), None),
        Some(price) => {
            let (has, wants) = (price.unit.word(), item.unit.word());
            (None, Some(format!("price of `{}` per {wants}; the list has it per {has}", item.part)))
        }
        None => (None, Some(format!("price of `{}`", item.part))),
    };
    let price = unit_price.and_then(|each| times(each, item.quantity));
    let missing = missing.or_else(|| price.is_none().then(|| format!("a believable quantity of `{}`", item.part)));
    let line = TakeOffLine {
        part: item.part.clone(),
        name: if item.kept { format!("{name} (already there)") } else { name },
        quantity: to_f64(item.quantity),
        unit: item.unit.word().to_owned(),
        unit_price,
        price,
    };
    (line, missing)
}

/// A quantity at a price, rounded to the cent; nothing on overflow.
pub(crate) fn times(each: Money, quantity: Decimal) -> Option<Money> {
    each.amount.checked_mul(quantity).map(|amount| cents(amount, each.currency))
}

/// Rounded to the cent, halves away from zero.
pub(crate) fn cents(amount: Decimal, currency: Currency) -> Money {
    let mut amount = amount.round_dp_with_strategy(2, RoundingStrategy::MidpointAwayFromZero);
    amount.rescale(2);
    Money { amount, currency }
}

/// The nearest number, for figures and quantities.
pub(crate) fn to_f64(decimal: Decimal) -> f64 {
    use rust_decimal::prelude::ToPrimitive;
    decimal.to_f64().unwrap_or(f64::NAN)
}
