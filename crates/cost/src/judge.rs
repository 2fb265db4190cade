//! Holds a quote against the rules.

use equipment::Catalog;
use findings::Finding;
use network::results::Route;
use network::{Design, Medium};

use crate::price::Breakdown;
use crate::quote::Input;
use crate::rules;
use crate::take_off::to_f64;
use crate::work::Holes;

/// Parts that no catalogue knows, with the nearest known one.
pub(crate) fn unknown_parts(design: &Design, catalog: &Catalog) -> Vec<Finding> {
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

/// Findings of a whole quote.
pub(crate) fn judge(
    input: &Input,
    routes: &[Route],
    price: Option<&Breakdown>,
    missing: &[String],
    holes: Holes,
) -> Vec<Finding> {
    let design = &input.design.id;
    let about_design = || vec![design.clone()];
    let mut findings = Vec::new();
    for route in routes.iter().filter(|r| r.length.value() > rules::LONGEST_LINK) {
        let message = format!(
            "cable `{}` is {:.0} m long; a permanent link may be {:.0} m",
            route.link,
            route.length.value(),
            rules::LONGEST_LINK
        );
        findings.push(
            Finding::of(&rules::LINK_TOO_LONG, vec![route.link.clone(), design.clone()], message)
                .against(route.length.value(), rules::LONGEST_LINK, "m")
                .remedy("put a switch on the way, or use fibre", Vec::new()),
        );
    }
    let wishes = &input.household.wishes;
    if wishes.no_drilling && holes.any() {
        let message = format!(
            "nothing may be drilled, but the design needs {} holes through walls and floors, {} outlets and {} fixings",
            holes.penetrations(),
            holes.outlets,
            holes.mounts
        );
        let count = f64::from(holes.penetrations()) + f64::from(holes.outlets) + f64::from(holes.mounts);
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
    if price.is_some() && input.terms.tax.is_none() {
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
