//! Items of the take-off with their prices, and what has to be ordered.

use cabling::take_off::{Item, TakeOff};
use equipment::{Catalog, PriceList, PriceUnit, Terms};
use findings::Id;
use network::results::TakeOffLine;
use rust_decimal::Decimal;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use units::Money;

/// What has to be ordered of a part.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Order {
    /// The part.
    pub part: Id,
    /// Pieces, or metres of what is on the spools.
    pub needed: f64,
    /// What the firm has.
    pub in_stock: f64,
    /// What has to be ordered; unknown if the stock cannot be.
    pub order: Option<f64>,
    /// What it is counted in.
    pub unit: PriceUnit,
}

/// What has to be ordered, beyond what the firm has.
pub(crate) fn orders(take_off: &TakeOff, terms: &Terms) -> Vec<Order> {
    take_off
        .items
        .iter()
        .filter(|item| !item.kept)
        .map(|item| {
            let on_spools = take_off.spools.iter().find(|s| s.cable == item.part && item.unit == PriceUnit::Metre);
            let needed = on_spools.map_or_else(|| to_f64(item.quantity), |s| s.bought.value());
            let in_stock = terms.stock.get(&item.part).copied().unwrap_or(0.0);
            let order = (in_stock >= 0.0 && in_stock.is_finite()).then(|| (needed - in_stock).max(0.0));
            let in_stock = if in_stock.is_finite() { in_stock } else { 0.0 };
            Order { part: item.part.clone(), needed, in_stock, order, unit: item.unit }
        })
        .collect()
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

/// A quantity at a price, rounded to the currency's smallest unit; nothing on overflow.
pub(crate) fn times(each: Money, quantity: Decimal) -> Option<Money> {
    each.amount.checked_mul(quantity).map(|amount| Money { amount, currency: each.currency }.rounded())
}

/// The nearest number, for figures and quantities.
pub(crate) fn to_f64(decimal: Decimal) -> f64 {
    use rust_decimal::prelude::ToPrimitive;
    decimal.to_f64().unwrap_or(f64::NAN)
}
