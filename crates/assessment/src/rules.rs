//! Every rule of every engine.

use findings::Rule;

/// Every rule, by its engine.
#[must_use]
pub fn rules() -> Vec<&'static Rule> {
    [
        job::RULES,
        building::RULES,
        site::RULES,
        household::RULES,
        crate::coverage::RULES,
        crate::enclosed::RULES,
        crate::capacity::RULES,
        wlan::RULES,
        traffic::RULES,
        cabling::RULES,
        crate::buildings::RULES,
        resilience::RULES,
        cost::RULES,
    ]
    .into_iter()
    .flatten()
    .collect()
}
