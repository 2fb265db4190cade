//! A good, a better and a best offer from the planner's options.

use findings::{Id, Severity};
use network::results::{DesignOption, FigureDifference};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Which of the three.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Tier {
    /// The cheapest of the three.
    Good,
    /// The one in the middle.
    Better,
    /// The dearest of the three.
    Best,
}

/// An option that is offered.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Choice {
    /// Which of the three.
    pub tier: Tier,
    /// The option.
    pub option: Id,
    /// Its place in the list of options, from 0.
    pub rank: usize,
    /// True for the option that is ranked first of those that can be offered.
    pub recommended: bool,
    /// Its price.
    pub price: f64,
    /// Currency of the price.
    pub currency: String,
    /// Figures in which it is better than the choice before it: `this` is its own value, `other` that of the one before.
    pub adds: Vec<FigureDifference>,
    /// Figures in which it is worse than the choice before it, the price among them.
    pub costs: Vec<FigureDifference>,
    /// Rules that the choice before it fails and this one does not.
    pub mends: Vec<String>,
    /// Why it was chosen.
    pub reason: String,
}

/// The figure that an offer must have.
const PRICE: &str = "price";

/// An option that can be offered.
#[derive(Clone, Copy)]
struct Offer<'a> {
    rank: usize,
    option: &'a DesignOption,
    price: f64,
}

/// Up to three offers of rising price.
///
/// # Model
/// Only options with a known price and without an unsafe finding are offered. The recommended one is the first in the
/// ranking. Below it stands the first in the ranking that is cheaper. Above it stands the one that is dearer, better in
/// the most of the compared figures and worse in none but the price; of equals the cheapest. Where nothing is cheaper,
/// the recommended one is the lowest and the same rule is used once more above. Where fewer make sense, fewer are
/// offered: two options that differ in nothing but the price are no choice.
///
/// # Units
/// Prices are compared as numbers; all options of a plan have one currency, and one in another is left out.
#[must_use]
pub fn three_of(options: &[DesignOption]) -> Vec<Choice> {
    let mut offers: Vec<Offer> = Vec::new();
    let mut currency: Option<&str> = None;
    for (rank, option) in options.iter().enumerate() {
        let Some(figure) = option.figures.iter().find(|f| f.id == PRICE) else { continue };
        let Some(price) = figure.value.filter(|p| p.is_finite()) else { continue };
        let is_unsafe = option.findings.iter().any(|f| f.severity == Severity::Unsafe);
        if is_unsafe || currency.is_some_and(|known| known != figure.unit) {
            continue;
        }
        currency = Some(&figure.unit);
        offers.push(Offer { rank, option, price });
    }
    let Some(&recommended) = offers.first() else { return Vec::new() };
    let mut chosen: Vec<(Offer, &str)> = Vec::new();
    if let Some(&below) = offers.iter().find(|o| o.price < recommended.price) {
        chosen.push((below, "ranked first of those that are cheaper than the recommended one"));
    }
    chosen.push((recommended, "ranked first"));
    while chosen.len() < 3 {
        let Some((top, _)) = chosen.last() else { break };
        match above(top, &offers) {
            Some(next) => chosen.push((next, "better in the most figures for its price, and worse in no other")),
            None => break,
        }
    }
    let tiers = [Tier::Good, Tier::Better, Tier::Best];
    let currency = currency.unwrap_or_default();
    let mut before: Option<Offer> = None;
    let mut choices = Vec::with_capacity(chosen.len());
    for ((offer, reason), tier) in chosen.into_iter().zip(tiers) {
        let (adds, costs) = before.map_or_else(Default::default, |b| differences(&b, &offer));
        choices.push(Choice {
            tier,
            option: offer.option.id.clone(),
            rank: offer.rank,
            recommended: offer.rank == recommended.rank,
            price: offer.price,
            currency: currency.to_owned(),
            adds,
            costs,
            mends: before.map_or_else(Vec::new, |b| mends(&b, &offer)),
            reason: reason.to_owned(),
        });
        before = Some(offer);
    }
    choices
}

/// The offer above another.
fn above<'a>(below: &Offer<'a>, offers: &[Offer<'a>]) -> Option<Offer<'a>> {
    let gain = |o: &Offer| {
        let (adds, costs) = differences(below, o);
        let only_price = costs.iter().all(|d| d.figure == PRICE);
        (only_price && !adds.is_empty()).then_some(adds.len())
    };
    let dearer = offers.iter().filter(|o| o.price > below.price).filter_map(|o| Some((gain(o)?, *o)));
    dearer
        .max_by(|(many, a), (other, b)| many.cmp(other).then(b.price.total_cmp(&a.price)).then(b.rank.cmp(&a.rank)))
        .map(|(_, offer)| offer)
}

/// In what the second is better and worse than the first, each with the second's value first.
fn differences(first: &Offer, second: &Offer) -> (Vec<FigureDifference>, Vec<FigureDifference>) {
    let against = |list: &[network::results::Comparison]| {
        list.iter().find(|c| c.option == first.option.id).map(|c| c.figures.clone()).unwrap_or_default()
    };
    let mut worse = against(&second.option.beaten_by);
    // Prices closer than a unit are equal in the ranking; what is paid more is still said.
    if second.price != first.price && !worse.iter().any(|d| d.figure == PRICE) && second.price > first.price {
        let unit = second.option.figures.iter().find(|f| f.id == PRICE).map(|f| f.unit.clone()).unwrap_or_default();
        worse.push(FigureDifference { figure: PRICE.to_owned(), this: second.price, other: first.price, unit });
    }
    (against(&second.option.beats), worse)
}

/// Rules that the first fails and the second does not.
fn mends(first: &Offer, second: &Offer) -> Vec<String> {
    let fails =
        |o: &Offer, rule: &str| o.option.findings.iter().any(|f| f.severity <= Severity::Fails && f.rule == rule);
    let mut rules: Vec<String> = first.option.findings.iter().map(|f| f.rule.clone()).collect();
    rules.sort();
    rules.dedup();
    rules.retain(|rule| fails(first, rule) && !fails(second, rule));
    rules
}
