//! Reading a number with a unit.

use crate::decimal::{Decimal, LONGEST_TEXT};

/// Why a text is not the quantity that was asked for.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("`{text}` is not a {what}: {reason}")]
pub struct ParseQuantityError {
    /// The text as given; only its beginning if it is long.
    pub text: String,
    /// What was wanted, such as "length".
    pub what: &'static str,
    /// What is wrong and which forms are understood.
    pub reason: String,
}

impl ParseQuantityError {
    /// An error about a text.
    pub(crate) fn new(text: &str, what: &'static str, reason: impl Into<String>) -> Self {
        let mut shown: String = text.chars().take(60).collect();
        if shown.len() < text.len() {
            shown.push('…');
        }
        Self { text: shown, what, reason: reason.into() }
    }
}

/// A unit's symbol and its size in base units: a whole number times a power of ten.
pub(crate) struct Unit(pub &'static str, pub u32, pub i32);

/// Reads `NUMBER UNIT`; a bare number is in base units. The result is the `f64` nearest to the exact value.
pub(crate) fn parse_with_units(text: &str, what: &'static str, units: &[Unit]) -> Result<f64, ParseQuantityError> {
    let fail = |reason: String| ParseQuantityError::new(text, what, reason);
    let first = units.first().map_or("", |u| u.0);
    if text.len() > LONGEST_TEXT {
        return Err(fail(format!("it is longer than {LONGEST_TEXT} bytes")));
    }
    let cleaned = clean(text);
    let (number, unit) = split_number(&cleaned);
    if number.is_empty() {
        return Err(fail(format!("it does not start with a number; write for example `3.5 {first}`")));
    }
    let unit = unit.split_whitespace().collect::<Vec<_>>().join(" ");
    let (factor, power) = match units.iter().find(|u| u.0 == unit) {
        _ if unit.is_empty() => (1, 0),
        Some(Unit(_, factor, power)) => (*factor, *power),
        None => {
            // `MW` and `mW` differ by their case alone, so case is forgiven only where it cannot mislead.
            let mut alike = units.iter().filter(|u| u.0.eq_ignore_ascii_case(&unit));
            match (alike.next(), alike.next()) {
                (Some(Unit(name, factor, power)), None) if !mega_for_milli(name, &unit) => (*factor, *power),
                _ => return Err(fail(format!("unknown unit `{unit}`; known are {}", list(units)))),
            }
        }
    };
    let commas = if unit.contains("ft") || unit.contains("feet") { Commas::Group } else { Commas::Ask };
    let number = read_number(number, commas).map_err(fail)?;
    finish(&number.times(factor, power)).map_err(|reason| ParseQuantityError::new(text, what, reason))
}

/// True if an `M` was written where the unit has `m`, or the other way round, which would change its size.
fn mega_for_milli(name: &str, written: &str) -> bool {
    let first = |s: &str| s.chars().next();
    name.chars().count() > 1
        && matches!((first(name), first(written)), (Some('m'), Some('M')) | (Some('M'), Some('m')))
        && !matches!(name, "min" | "mm" | "metres" | "metre")
}

/// The nearest `f64`, if it is finite and does not vanish.
pub(crate) fn finish(number: &Decimal) -> Result<f64, String> {
    let value = number.to_f64();
    if !value.is_finite() {
        Err("the number is too large".into())
    } else if value == 0.0 && !number.is_zero() {
        Err("the number is too small".into())
    } else {
        Ok(value)
    }
}

/// What a comma before three digits means.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(crate) enum Commas {
    /// Thousands: feet and inches are written so.
    Group,
    /// It could be either; refuse.
    Ask,
}

/// Reads a number as people write it: `3600`, `3.6`, `3,6`, `1,200.5`, `1 200`, `1.2e3`.
///
/// A point is always a decimal point. A lone comma is a decimal comma, unless three digits follow it.
pub(crate) fn read_number(text: &str, commas: Commas) -> Result<Decimal, String> {
    let joined: String = text.chars().filter(|c| *c != ' ').collect();
    let not_a_number = || format!("`{}` is not a number", text.chars().take(40).collect::<String>());
    let plain = match (joined.matches(',').count(), joined.contains('.')) {
        (0, _) => joined,
        (1, false) if !groups_of_three(&joined) => joined.replace(',', "."),
        (1, false) if commas == Commas::Ask && !joined.trim_start_matches(['-', '+']).starts_with('0') => {
            let (decimal, grouped) = (joined.replace(',', "."), joined.replace(',', ""));
            return Err(format!("`{joined}` could mean {decimal} or {grouped}; write one of these"));
        }
        (1, false) if commas == Commas::Ask => joined.replace(',', "."),
        _ if groups_of_three(joined.split('.').next().unwrap_or_default()) => joined.replace(',', ""),
        _ => return Err(not_a_number()),
    };
    Decimal::parse(&plain).ok_or_else(not_a_number)
}

/// True for `1,200` and `12,345,678`: one to three digits, then groups of three after commas.
fn groups_of_three(text: &str) -> bool {
    let mut groups = text.trim_start_matches(['-', '+']).split(',');
    let digits = |g: &str| g.bytes().all(|b| b.is_ascii_digit());
    groups.next().is_some_and(|g| (1..=3).contains(&g.len()) && digits(g)) && groups.all(|g| g.len() == 3 && digits(g))
}

/// Other signs for minus, primes and narrow spaces made plain; trimmed.
pub(crate) fn clean(text: &str) -> String {
    text.trim()
        .chars()
        .map(|c| match c {
            '\u{2212}' => '-',
            '\u{2032}' | '\u{2019}' => '\'',
            '\u{2033}' | '\u{201d}' => '"',
            '\u{a0}' | '\u{2009}' | '\u{202f}' | '\t' => ' ',
            other => other,
        })
        .collect()
}

/// Splits off the leading number, with its sign, exponent and groups; the rest has no leading spaces.
pub(crate) fn split_number(text: &str) -> (&str, &str) {
    let end = number_end(text);
    let (number, rest) = text.split_at(end);
    (number, rest.trim_start())
}

/// Byte offset at which the leading number ends.
fn number_end(text: &str) -> usize {
    let bytes = text.as_bytes();
    let digit = |at: usize| bytes.get(at).is_some_and(u8::is_ascii_digit);
    let (mut end, mut seen) = (0, false);
    while let Some(&c) = bytes.get(end) {
        let in_number = match c {
            b'0'..=b'9' => true,
            b'.' | b',' => true,
            b'-' | b'+' => end == 0 || (seen && matches!(bytes[end - 1], b'e' | b'E')),
            b'e' | b'E' => {
                let signed = matches!(bytes.get(end + 1), Some(b'-' | b'+'));
                seen && (digit(end + 1) || (signed && digit(end + 2)))
            }
            // A space before exactly three digits groups thousands, unless they are a fraction's.
            b' ' => {
                let run = (end + 1..).take_while(|at| digit(*at)).take(4).count();
                end > 0 && digit(end - 1) && run == 3 && bytes.get(end + 4) != Some(&b'/')
            }
            _ => false,
        };
        if !in_number {
            break;
        }
        seen |= c.is_ascii_digit();
        end += 1;
    }
    if seen { end } else { 0 }
}

fn list(units: &[Unit]) -> String {
    units.iter().map(|u| u.0).collect::<Vec<_>>().join(", ")
}
