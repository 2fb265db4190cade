//! What more of something costs in this home, from the same model as the price.

use cabling::labour::{Crew, labour_with};
use cabling::take_off::take_off;
use equipment::{PartKind, Terms};
use findings::Id;
use network::wiring::{CableRoute, Wiring};
use network::{Design, Link, Medium, PlacedPart};
use rust_decimal::Decimal;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use units::Money;

use crate::lines::line;
use crate::price::{Costs, breakdown};
use crate::quote::{Input, price};

/// What one more of something costs.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct UnitRate {
    /// Its id: `drop`, `access-point`, `hour`.
    pub id: String,
    /// What one is.
    pub what: String,
    /// What is paid for one more, taxes included as in the price; none if it is unknown.
    pub price: Option<Money>,
    /// What is missing, if it is unknown.
    pub missing: Vec<String>,
    /// How it was found.
    pub reason: String,
}

/// One more cable, one more access point and one more hour, while the crew is there.
pub(crate) fn extras(input: &Input, crew: &Crew, missing: &[String]) -> Vec<UnitRate> {
    // A step of hours and a minimum would make one more of something cost nothing or a whole step.
    let terms = Terms { hour_step: None, minimum_charge: None, ..input.terms.clone() };
    let input = Input { terms: &terms, ..*input };
    let base = if missing.is_empty() { total(&input, crew) } else { Err(missing.to_vec()) };
    let more = |grown: &Grown| -> Result<Money, Vec<String>> {
        let base = base.clone()?;
        let with = total(&Input { design: &grown.design, wiring: &grown.wiring, ..input }, crew)?;
        let amount = with.amount.checked_sub(base.amount).ok_or_else(unwritable)?;
        Ok(Money { amount, ..with }.rounded())
    };
    let rate = |id: &str, what: &str, grown: Result<Grown, String>| {
        let (price, reason) = match grown {
            Ok(grown) => (more(&grown), grown.reason),
            Err(lack) => (Err(vec![lack]), String::new()),
        };
        let (price, missing) = match price {
            Ok(price) => (Some(price), Vec::new()),
            Err(missing) => (None, missing),
        };
        UnitRate { id: id.to_owned(), what: what.to_owned(), price, missing, reason }
    };
    let mut rates =
        vec![rate("drop", "One more cable with its outlet, while the crew is there", one_more_cable(&input))];
    rates.push(rate(
        "access-point",
        "One more access point like the last, while the crew is there",
        one_more_radio(&input),
    ));
    rates.push(hour(&input));
    rates
}

/// A design with one more of something.
struct Grown {
    design: Design,
    wiring: Wiring,
    reason: String,
}

fn unwritable() -> Vec<String> {
    vec!["sums that can be written in decimal numbers".to_owned()]
}

/// What is paid, with the visits of a crew; else what is missing.
fn total(input: &Input, crew: &Crew) -> Result<Money, Vec<String>> {
    let plan = input.plan();
    let take_off = take_off(&plan, &input.terms.materials);
    let work = labour_with(&plan, &take_off, input.terms, crew);
    let (lines, lacks): (Vec<_>, Vec<_>) =
        take_off.items.iter().map(|item| line(item, input.catalog, input.prices)).unzip();
    let missing: Vec<String> = lacks.into_iter().flatten().chain(take_off.missing.iter().cloned()).collect();
    if !missing.is_empty() {
        return Err(missing);
    }
    price(input, &take_off, &lines, work.hours).map(|sums| sums.total).ok_or_else(unwritable)
}

/// An id that nothing in a design has.
fn fresh(design: &Design, wanted: &str) -> Id {
    let taken = |id: &Id| design.parts.iter().any(|p| &p.id == id) || design.links.iter().any(|l| &l.id == id);
    let mut id = Id::from_label(wanted);
    let mut count = 1_u32;
    while taken(&id) {
        count += 1;
        id = Id::from_label(&format!("{wanted}-{count}"));
    }
    id
}

/// New cables with routes.
fn cables<'a>(input: &Input<'a>) -> Vec<(&'a Link, &'a CableRoute)> {
    let (design, wiring) = (input.design, input.wiring);
    let links = design.links.iter().filter(|l| matches!(l.medium, Medium::Cable { .. }));
    links.filter_map(|l| Some((l, wiring.routes.iter().find(|r| r.link == l.id && !r.existing)?))).collect()
}

/// How far the end of one more cable is from the one that it follows [m]: too far to share its outlet.
const APART: f64 = 1.0;

/// A second cable along a cable's way, through the same holes, to an end of its own.
fn again(design: &mut Design, wiring: &mut Wiring, link: &Link, route: &CableRoute, to: Option<Id>) {
    let id = fresh(design, "one-more-cable");
    let mut route = route.clone();
    route.link = id.clone();
    if let Some(last) = route.stretches.last_mut() {
        last.to.x += APART;
    }
    for hole in wiring.holes.iter_mut().filter(|h| h.links.contains(&link.id)) {
        hole.links.push(id.clone());
    }
    wiring.routes.push(route);
    design.links.push(Link { id, to: to.unwrap_or_else(|| link.to.clone()), ..link.clone() });
}

fn one_more_cable(input: &Input) -> Result<Grown, String> {
    let mut all = cables(input);
    let length = |route: &CableRoute| route.length.value.unwrap_or(f64::INFINITY);
    all.sort_by(|a, b| length(a.1).total_cmp(&length(b.1)).then_with(|| a.0.id.cmp(&b.0.id)));
    let Some((link, route)) = all.get(all.len() / 2).copied() else {
        return Err("a new cable in this design to take its way from".to_owned());
    };
    let (mut design, mut wiring) = (input.design.clone(), input.wiring.clone());
    again(&mut design, &mut wiring, link, route, None);
    // It has holes of its own: only its way to them is shared.
    for (hole, place) in own_holes(input.wiring, &link.id, &design) {
        wiring.holes.push(network::wiring::Hole { id: hole, ..place });
    }
    let reason = format!(
        "the median of {} new cables (`{}`, {:.0} m) once more, along its way to an outlet of its own; ports in \
         the panel and the switch are not in it",
        all.len(),
        link.id,
        length(route)
    );
    Ok(Grown { design, wiring, reason })
}

/// Copies of the holes that only a cable passes, for one more like it.
fn own_holes(wiring: &Wiring, link: &Id, design: &Design) -> Vec<(Id, network::wiring::Hole)> {
    let own = wiring.holes.iter().filter(|h| h.links.len() == 1 && h.links.first() == Some(link));
    own.enumerate().map(|(i, hole)| (fresh(design, &format!("one-more-hole-{i}")), hole.clone())).collect()
}

fn one_more_radio(input: &Input) -> Result<Grown, String> {
    let is_point = |placed: &&PlacedPart| {
        let kind = input.catalog.get(&placed.part).map(|p| p.kind);
        !placed.kept && matches!(kind, Some(PartKind::AccessPoint | PartKind::RadioNode))
    };
    let Some(like) = input.design.parts.iter().rev().find(is_point) else {
        return Err("a new access point in this design to take as a pattern".to_owned());
    };
    let (mut design, mut wiring) = (input.design.clone(), input.wiring.clone());
    let id = fresh(&design, "one-more-point");
    design.parts.push(PlacedPart { id: id.clone(), ..like.clone() });
    let cable = cables(input).into_iter().find(|(link, _)| link.to == like.id);
    if let Some((link, route)) = cable {
        again(&mut design, &mut wiring, link, route, Some(id));
    }
    let how = if cable.is_some() { "with a cable like its own" } else { "without a cable" };
    let reason = format!("`{}` once more, {how}; ports and power in the switch are not in it", like.id);
    Ok(Grown { design, wiring, reason })
}

fn hour(input: &Input) -> UnitRate {
    let mut missing = Vec::new();
    if input.rate().is_none() {
        missing.push(format!("price of `{}`", equipment::LABOUR_HOUR));
    }
    missing.extend(crate::rules::unusable(input.terms).map(|p| p.to_string()));
    let currency = input.prices.currency();
    missing.extend(input.terms.other_currencies(currency).iter().map(|(field, _)| format!("`{field}` in {currency}")));
    let one = cabling::labour::Hours { p20: 1.0, p50: 1.0, p80: 1.0 };
    let costs =
        |rate: Money| Costs { parts: Decimal::ZERO, generic_parts: Decimal::ZERO, hours: one, rate: rate.amount };
    let sums = input.rate().filter(|_| missing.is_empty()).and_then(|r| breakdown(&costs(r), input.terms, currency));
    if sums.is_none() && missing.is_empty() {
        missing.extend(unwritable());
    }
    UnitRate {
        id: "hour".to_owned(),
        what: "One more hour of one person".to_owned(),
        price: sums.map(|s| s.total),
        missing,
        reason: "the rate with overhead, margin and tax".to_owned(),
    }
}
