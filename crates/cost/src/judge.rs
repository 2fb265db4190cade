//! Holds a quote against the rules.

use cabling::take_off::TakeOff;
use equipment::Catalog;
use findings::{Finding, Id};
use network::{Design, Medium};

use crate::lines::to_f64;
use crate::price::Breakdown;
use crate::quote::Input;
use crate::rules;

/// Parts that no catalogue knows, with the nearest known one.
fn unknown_parts(design: &Design, catalog: &Catalog) -> Vec<Finding> {
    let cables = design.links.iter().filter_map(|l| match &l.medium {
        Medium::Cable { part } => Some((&l.id, part)),
        _ => None,
    });
    design
        .parts
        .iter()
        .map(|p| (&p.id, &p.part))
        .chain(cables)
        .filter(|(_, part)| catalog.get(part).is_none())
        .map(|(user, part)| {
            let near = catalog.nearest(part).map(|n| format!("; is `{n}` meant?")).unwrap_or_default();
            let message = format!("`{user}` is the part `{part}`, which is not known{near}");
            Finding::of(&rules::PART_UNKNOWN, vec![user.clone(), design.id.clone()], message)
        })
        .collect()
}

/// What a quote is judged by.
pub(crate) struct Judged<'a> {
    /// The take-off.
    pub take_off: &'a TakeOff,
    /// The price, if known.
    pub price: Option<&'a Breakdown>,
    /// What the price lacks.
    pub missing: &'a [String],
}

/// Findings of a whole quote.
pub(crate) fn judge(input: &Input, judged: &Judged) -> Vec<Finding> {
    let Judged { take_off, price, missing } = *judged;
    let design = &input.design.id;
    let about_design = || vec![design.clone()];
    let mut findings = unknown_parts(input.design, input.catalog);
    findings.extend(without_length(input));
    findings.extend(terms(input));
    let fixed = take_off.fixed;
    let holes = input.wiring.holes.len();
    let wishes = &input.household.wishes;
    if wishes.no_drilling && (holes > 0 || fixed.any()) {
        let message = format!(
            "nothing may be drilled, but the design needs {} holes, {} outlets and {} fixings",
            holes, fixed.outlets, fixed.mounts
        );
        let count = holes as f64 + f64::from(fixed.outlets) + f64::from(fixed.mounts);
        findings.push(Finding::of(&rules::DRILLING_NOT_WISHED, about_design(), message).against(count, 0.0, "1"));
    }
    if !missing.is_empty() {
        let message = format!("the price is unknown; missing: {}", missing.join("; "));
        findings.push(
            Finding::of(&rules::PRICE_MISSING, about_design(), message)
                .remedy("add the missing rows to the price list", Vec::new()),
        );
    }
    findings.extend(budget(input, price));
    if price.is_some() && input.terms.taxes.is_empty() {
        findings.push(Finding::of(&rules::TAX_NOT_INCLUDED, about_design(), "tax is not included"));
    }
    if input.prices.currency() != input.site.currency {
        let message =
            format!("prices are in {}, the site's currency is {}", input.prices.currency(), input.site.currency);
        findings.push(Finding::of(&rules::CURRENCY_DIFFERS, about_design(), message));
    }
    if let Some(oldest) = input.prices.oldest() {
        let age = input.site.date.days_since(oldest);
        if age.abs() > rules::OLDEST_PRICES {
            let message = format!("the oldest price is of {oldest}, {age} days before the job's date");
            findings.push(Finding::of(&rules::PRICES_OLD, about_design(), message).against(
                age as f64,
                rules::OLDEST_PRICES as f64,
                "d",
            ));
        }
    }
    findings
}

/// Fixed cables whose length is unknown.
fn without_length(input: &Input) -> Vec<Finding> {
    let links = input.design.links.iter().filter(|l| matches!(l.medium, Medium::Cable { .. }));
    links
        .filter_map(|link| {
            let route = input.wiring.routes.iter().find(|r| r.link == link.id);
            if route.is_some_and(|r| r.length.value.is_some_and(|l| l >= 0.0 && l.is_finite())) {
                return None;
            }
            let lack = match route {
                None => "a route".to_owned(),
                Some(r) if r.length.missing.is_empty() => "a believable length of its route".to_owned(),
                Some(r) => r.length.missing.join(" and "),
            };
            let message = format!("cable `{}` has no length: it lacks {lack}", link.id);
            Some(Finding::of(&rules::LENGTH_MISSING, vec![link.id.clone(), input.design.id.clone()], message))
        })
        .collect()
}

/// Terms that cannot be used, stock that cannot be, and sums in another currency.
fn terms(input: &Input) -> Vec<Finding> {
    let design = || input.design.id.clone();
    let mut findings: Vec<Finding> = Vec::new();
    for problem in input.terms.problems() {
        let stocked: Option<Id> = problem.field.strip_prefix("stock.").and_then(|part| part.parse().ok());
        findings.push(match stocked {
            Some(part) => {
                let message = format!("of `{part}` {}", problem.message);
                Finding::of(&rules::STOCK_IMPOSSIBLE, vec![part, design()], message)
            }
            None => Finding::of(&rules::TERMS_UNUSABLE, vec![design()], problem.to_string()),
        });
    }
    let currency = input.prices.currency();
    let others: Vec<String> =
        input.terms.other_currencies(currency).iter().map(|(field, money)| format!("`{field}` is {money}")).collect();
    if !others.is_empty() {
        let message = format!("the price list is in {currency}, but in the terms {}", others.join(" and "));
        findings.push(
            Finding::of(&rules::MIXED_CURRENCIES, vec![design()], message)
                .remedy(format!("give these in {currency}, or use a price list in their currency"), Vec::new()),
        );
    }
    findings
}

fn budget(input: &Input, price: Option<&Breakdown>) -> Option<Finding> {
    let budget = input.household.wishes.budget?;
    let subjects = vec![input.design.id.clone()];
    let Some(price) = price else {
        let message = format!("the budget of {budget} could not be checked because the price is unknown");
        return Some(Finding::of(&rules::BUDGET_NOT_COMPARED, subjects, message));
    };
    let currency = price.total.currency;
    if budget.currency != currency {
        let message = format!("the budget is in {}, the price in {currency}; give both in one", budget.currency);
        return Some(Finding::of(&rules::BUDGET_NOT_COMPARED, subjects, message));
    }
    let (rule, amount, text) = if price.total.amount > budget.amount {
        (&rules::OVER_BUDGET, price.total.amount, format!("the price of {} is above", price.total))
    } else if price.high.amount > budget.amount {
        let text = format!("the price of {} may rise to {}, above", price.total, price.high);
        (&rules::BUDGET_MAY_NOT_HOLD, price.high.amount, text)
    } else {
        return None;
    };
    Some(Finding::of(rule, subjects, format!("{text} the budget of {budget}")).against(
        to_f64(amount),
        to_f64(budget.amount),
        currency.code(),
    ))
}
