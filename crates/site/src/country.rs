//! Countries: codes, names, and the nearest one to what was written.

use std::sync::OnceLock;

const TABLE: &str = include_str!("../data/countries.tsv");

/// Every country: two letters of ISO 3166-1 and its English short name, by code.
#[must_use]
pub fn country_names() -> &'static [(&'static str, &'static str)] {
    static NAMES: OnceLock<Vec<(&'static str, &'static str)>> = OnceLock::new();
    NAMES.get_or_init(|| TABLE.lines().filter_map(|line| line.split_once('\t')).collect())
}

/// English short name of a country code.
#[must_use]
pub fn country_name(code: &str) -> Option<&'static str> {
    country_names().iter().find(|(c, _)| *c == code).map(|(_, name)| *name)
}

/// Usual names that the table does not begin with.
const OTHER_NAMES: [(&str, &str); 8] = [
    ("UK", "GB"),
    ("EN", "GB"),
    ("England", "GB"),
    ("United Kingdom", "GB"),
    ("USA", "US"),
    ("America", "US"),
    ("Deutschland", "DE"),
    ("Holland", "NL"),
];

/// The code of the country that a text most likely means; nothing if no code or name is near.
///
/// An exact code in any case, a usual name, a name, then the nearest name by edits (at most a third of its length).
#[must_use]
pub fn nearest_country(text: &str) -> Option<&'static str> {
    let text: String = text.trim().chars().take(64).collect();
    let same = |a: &str| a.eq_ignore_ascii_case(&text);
    if text.is_empty() {
        return None;
    }
    if let Some((code, _)) = country_names().iter().find(|(code, name)| same(code) || same(name)) {
        return Some(code);
    }
    if let Some((_, code)) = OTHER_NAMES.iter().find(|(name, _)| same(name)) {
        return Some(code);
    }
    let lower = text.to_lowercase();
    if lower.len() >= 4 {
        let near = |name: &str| strsim::levenshtein(&name.to_lowercase(), &lower);
        let (code, name) = country_names().iter().min_by_key(|(_, name)| near(name))?;
        return (near(name) * 3 <= name.chars().count()).then_some(code);
    }
    // Three-letter codes are mostly the two letters and one more; otherwise one letter wrong.
    country_names()
        .iter()
        .min_by_key(|(code, _)| strsim::levenshtein(&code.to_lowercase(), &lower))
        .filter(|(code, _)| strsim::levenshtein(&code.to_lowercase(), &lower) <= 1)
        .map(|(code, _)| *code)
}
