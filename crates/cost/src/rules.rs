//! What this crate checks.

use equipment::{TermProblem, Terms};
use findings::{Rule, Severity, Source};

/// The price exceeds the budget.
pub(crate) const OVER_BUDGET: Rule = Rule {
    id: "cost.over-budget",
    severity: Severity::Fails,
    summary: "The price is above the household's budget",
    limit: "the budget in the household's wishes",
    cite: stated,
};
/// The price is within the budget, its high end is not.
pub(crate) const BUDGET_MAY_NOT_HOLD: Rule = Rule {
    id: "cost.budget-may-not-hold",
    severity: Severity::Risk,
    summary: "The price is within the budget, the high end of its interval is not",
    limit: "the budget in the household's wishes",
    cite: stated,
};
/// The budget cannot be compared.
pub(crate) const BUDGET_NOT_COMPARED: Rule = Rule {
    id: "cost.budget-not-compared",
    severity: Severity::Risk,
    summary: "The budget could not be held against the price: another currency, or no price",
    limit: "",
    cite: stated,
};
/// Holes where none are wanted.
pub(crate) const DRILLING_NOT_WISHED: Rule = Rule {
    id: "cost.drilling-not-wished",
    severity: Severity::Fails,
    summary: "The design needs holes although nothing may be drilled",
    limit: "no holes, where the household's wishes say so",
    cite: stated,
};
/// A part without price.
pub(crate) const PRICE_MISSING: Rule = Rule {
    id: "cost.price-missing",
    severity: Severity::Risk,
    summary: "The price is unknown because the price list lacks a part, or something it is computed from is missing",
    limit: "",
    cite: own_model,
};
/// A cable without a way.
pub(crate) const LENGTH_MISSING: Rule = Rule {
    id: "cost.cable-length-missing",
    severity: Severity::Fails,
    summary: "The length of a cable is unknown because it has no route, so that quantities, hours and price are unknown",
    limit: "",
    cite: own_model,
};
/// A part that no catalogue knows.
pub(crate) const PART_UNKNOWN: Rule = Rule {
    id: "cost.part-unknown",
    severity: Severity::Fails,
    summary: "The design uses a part that is neither built in nor described in the job",
    limit: "",
    cite: own_model,
};
/// A term that cannot be used.
pub(crate) const TERMS_UNUSABLE: Rule = Rule {
    id: "cost.terms-unusable",
    severity: Severity::Fails,
    summary: "A term of the quote cannot be, so that the price is unknown",
    limit: "see the message",
    cite: Source::common_practice,
};
/// Stock that cannot be.
pub(crate) const STOCK_IMPOSSIBLE: Rule = Rule {
    id: "cost.stock-impossible",
    severity: Severity::Fails,
    summary: "The stock of a part is negative or no number, so that it is unknown how many have to be ordered",
    limit: "0 or more",
    cite: Source::common_practice,
};
/// Sums in several currencies.
pub(crate) const MIXED_CURRENCIES: Rule = Rule {
    id: "cost.mixed-currencies",
    severity: Severity::Fails,
    summary: "A sum in the terms is in another currency than the price list, so that the price is unknown",
    limit: "one currency",
    cite: own_model,
};
/// Tax left out.
pub(crate) const TAX_NOT_INCLUDED: Rule = Rule {
    id: "cost.tax-not-included",
    severity: Severity::Note,
    summary: "The price is without tax because no rate was stated",
    limit: "",
    cite: own_model,
};
/// Another currency than the site's.
pub(crate) const CURRENCY_DIFFERS: Rule = Rule {
    id: "cost.currency-differs",
    severity: Severity::Note,
    summary: "The price list is in another currency than the site's",
    limit: "",
    cite: own_model,
};
/// Old prices.
pub(crate) const PRICES_OLD: Rule = Rule {
    id: "cost.prices-old",
    severity: Severity::Note,
    summary: "The price list holds prices more than a year older, or newer, than the job's date",
    limit: "365 days",
    cite: Source::common_practice,
};

/// Every rule of this crate.
pub const RULES: &[Rule] = &[
    OVER_BUDGET,
    BUDGET_MAY_NOT_HOLD,
    BUDGET_NOT_COMPARED,
    DRILLING_NOT_WISHED,
    PRICE_MISSING,
    LENGTH_MISSING,
    PART_UNKNOWN,
    TERMS_UNUSABLE,
    STOCK_IMPOSSIBLE,
    MIXED_CURRENCIES,
    TAX_NOT_INCLUDED,
    CURRENCY_DIFFERS,
    PRICES_OLD,
];

/// Age of prices from which it is noted [d].
pub(crate) const OLDEST_PRICES: i64 = 365;

fn stated() -> Source {
    Source::new(findings::SourceKind::Stated, "wishes of the household")
}

pub(crate) fn own_model() -> Source {
    Source::model("take-off and work at the price list's prices")
}

/// Terms that cannot be used; what is said of the stock does not touch the price.
pub(crate) fn unusable(terms: &Terms) -> impl Iterator<Item = TermProblem> {
    terms.problems().into_iter().filter(|p| !p.field.starts_with("stock."))
}
