//! Lengths and areas as people write them: metric, or feet and inches.

use crate::decimal::{Decimal, LONGEST_TEXT};
use crate::parse::{Commas, ParseQuantityError, Unit, clean, finish, parse_with_units, read_number, split_number};

/// Units of length. The international foot is 0.3048 m and its inch 0.0254 m exactly (ISO 80000-3, international yard
/// and pound agreement of 1959).
const LENGTHS: [Unit; 9] = [
    Unit("m", 1, 0),
    Unit("cm", 1, -2),
    Unit("mm", 1, -3),
    Unit("km", 1, 3),
    Unit("ft", 3048, -4),
    Unit("in", 254, -4),
    Unit("feet", 3048, -4),
    Unit("metres", 1, 0),
    Unit("metre", 1, 0),
];

/// Units of area: one square foot is 0.3048² m² exactly.
const AREAS: [Unit; 12] = [
    Unit("m²", 1, 0),
    Unit("m2", 1, 0),
    Unit("sq m", 1, 0),
    Unit("sqm", 1, 0),
    Unit("square metres", 1, 0),
    Unit("sq ft", 9_290_304, -8),
    Unit("sq. ft", 9_290_304, -8),
    Unit("sq. ft.", 9_290_304, -8),
    Unit("sqft", 9_290_304, -8),
    Unit("ft2", 9_290_304, -8),
    Unit("ft²", 9_290_304, -8),
    Unit("square feet", 9_290_304, -8),
];

/// Reads an area into square metres.
pub(crate) fn parse_area(text: &str) -> Result<f64, ParseQuantityError> {
    parse_with_units(text, "area", &AREAS)
}

/// Reads a length into metres.
pub(crate) fn parse_length(text: &str) -> Result<f64, ParseQuantityError> {
    if text.len() > LONGEST_TEXT {
        return Err(ParseQuantityError::new(text, "length", format!("it is longer than {LONGEST_TEXT} bytes")));
    }
    match feet_inches(&clean(text)) {
        None => parse_with_units(text, "length", &LENGTHS),
        Some(found) => found
            .and_then(|inches| finish(&inches.times(254, -4)))
            .map_err(|reason| ParseQuantityError::new(text, "length", reason)),
    }
}

/// Words and marks for feet and inches, longest first.
const FEET: [&str; 5] = ["feet", "foot", "ft.", "ft", "'"];
const INCHES: [&str; 6] = ["inches", "inch", "in.", "in", "''", "\""];

/// Inches, if the text is written in feet, inches or both: what is wrong, if it is but cannot be read.
fn feet_inches(text: &str) -> Option<Result<Decimal, String>> {
    let (negative, text) = match text.strip_prefix('-') {
        Some(rest) => (true, rest.trim_start()),
        None => (false, text.strip_prefix('+').unwrap_or(text).trim_start()),
    };
    let lower = text.to_ascii_lowercase();
    let is_written_so = lower.contains(['\'', '"', '/'])
        || lower
            .split(|c: char| !c.is_ascii_alphabetic())
            .any(|w| matches!(w, "ft" | "feet" | "foot" | "in" | "inch" | "inches"));
    if !is_written_so {
        return None;
    }
    Some(unsigned(&lower).map(|mut inches| {
        inches.negative = negative;
        inches
    }))
}

/// `F'`, `F' I"`, `I"`, each `I` a number, a fraction or both.
fn unsigned(text: &str) -> Result<Decimal, String> {
    const FORMS: &str = "write for example `11' 10 1/2\"`, `11 ft 10 in` or `142 in`";
    if text.starts_with(['-', '+']) {
        return Err("it has two signs".into());
    }
    let (number, rest) = split_number(text);
    if number.is_empty() {
        return Err(format!("it does not start with a number; {FORMS}"));
    }
    if let Some((mark, after)) = strip_any(rest, &FEET) {
        let feet = read_number(number, Commas::Group)?;
        let after = joint(after)?;
        if after.is_empty() {
            return Ok(feet.times(12, 0));
        }
        if !feet.is_whole() {
            return Err("feet must be whole where inches follow".into());
        }
        // `5'6` is usual; `5 ft 6` could be anything.
        let inches = inches(after, mark == "'")?;
        if inches.to_f64() >= 12.0 {
            return Err("inches beside feet must be below 12".into());
        }
        return Ok(feet.times(12, 0).plus(inches));
    }
    inches(text, false).map_err(|reason| format!("{reason}; {FORMS}"))
}

/// `10"`, `10.5 in`, `10 1/2"`, `10-1/2"`, `1/2"`.
fn inches(text: &str, mark_may_lack: bool) -> Result<Decimal, String> {
    let (number, rest) = split_number(text);
    if number.starts_with(['-', '+']) {
        return Err("inches have no sign of their own".into());
    }
    let (value, rest) = if let Some(rest) = rest.strip_prefix('/') {
        fraction(number, rest)?
    } else {
        let (numerator, after) = split_number(joint(&text[number.len()..])?);
        match after.strip_prefix('/') {
            Some(after) if !numerator.is_empty() => {
                let whole = read_number(number, Commas::Group)?;
                if !whole.is_whole() {
                    return Err("a fraction can only follow a whole number".into());
                }
                let (part, rest) = fraction(numerator, after)?;
                (whole.plus(part), rest)
            }
            _ => (read_number(number, Commas::Group)?, rest),
        }
    };
    match strip_any(rest, &INCHES) {
        Some((_, after)) if after.trim().is_empty() => Ok(value),
        Some((_, after)) => Err(format!("`{}` follows the inches", after.chars().take(20).collect::<String>())),
        None if rest.is_empty() && mark_may_lack => Ok(value),
        None if rest.is_empty() => Err("the mark for feet or inches is missing".into()),
        None => Err(format!("`{}` is not a mark for inches", rest.chars().take(20).collect::<String>())),
    }
}

/// A fraction of an inch, whose numerator was read; the rest has no leading spaces.
fn fraction<'a>(numerator: &str, rest: &'a str) -> Result<(Decimal, &'a str), String> {
    let (denominator, rest) = split_number(rest.trim_start());
    // Sixty-fourths are whole multiples of 0.015625.
    let sixty_fourths: u32 = match denominator {
        "2" => 32,
        "4" => 16,
        "8" => 8,
        "16" => 4,
        "32" => 2,
        "64" => 1,
        _ => return Err("a fraction of an inch has 2, 4, 8, 16, 32 or 64 below its line".into()),
    };
    let numerator = Decimal::parse(numerator.trim()).filter(|n| n.is_whole() && !n.negative);
    let numerator = numerator.ok_or_else(|| "a fraction has a whole number above its line".to_owned())?;
    if numerator.to_f64() * f64::from(sixty_fourths) >= 64.0 {
        return Err("a fraction of an inch must be below 1".into());
    }
    Ok((numerator.times(sixty_fourths * 15_625, -6), rest))
}

/// What follows a hyphen or spaces between two numbers, as in `11'-10"` and `10 1/2"`. In `5' -3"` it would be a sign.
fn joint(text: &str) -> Result<&str, String> {
    let trimmed = text.trim_start();
    match trimmed.strip_prefix('-') {
        Some(rest) if trimmed.len() < text.len() && !rest.starts_with(' ') => Err("it has a sign inside".into()),
        Some(rest) => Ok(rest.trim_start()),
        None => Ok(trimmed),
    }
}

/// The first mark that the text starts with, and what follows it.
fn strip_any<'a>(text: &'a str, marks: &[&'static str]) -> Option<(&'static str, &'a str)> {
    // Two primes are inches, not feet.
    if marks.contains(&"'") && text.starts_with("''") {
        return None;
    }
    marks.iter().find_map(|mark| text.strip_prefix(mark).map(|rest| (*mark, rest)))
}
