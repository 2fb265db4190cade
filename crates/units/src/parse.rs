//! Reading a number with a unit.

/// Why a text is not the quantity that was asked for.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("`{text}` is not a {what}: {reason}")]
pub struct ParseQuantityError {
    /// The text as given.
    pub text: String,
    /// What was wanted, such as "length".
    pub what: &'static str,
    /// What is wrong and which forms are understood.
    pub reason: String,
}

/// A unit's symbol and its size in base units.
pub(crate) struct Unit(pub &'static str, pub f64);

/// Reads `NUMBER UNIT`; a bare number takes `bare` as its unit's size.
pub(crate) fn parse_with_units(
    text: &str,
    what: &'static str,
    units: &[Unit],
    bare: Option<f64>,
) -> Result<f64, ParseQuantityError> {
    let fail = |reason: String| ParseQuantityError { text: text.to_owned(), what, reason };
    let trimmed = text.trim();
    let split = number_end(trimmed);
    let (number, unit) = (trimmed[..split].trim(), trimmed[split..].trim());
    let number: f64 = number
        .parse()
        .map_err(|_| fail(format!("it does not start with a number; write for example `3.5 {}`", units[0].0)))?;
    if !number.is_finite() {
        return Err(fail("the number is too large".into()));
    }
    if unit.is_empty() {
        return bare.map(|size| number * size).ok_or_else(|| fail(format!("the unit is missing ({})", list(units))));
    }
    units
        .iter()
        .find(|u| u.0 == unit)
        .or_else(|| units.iter().find(|u| u.0.eq_ignore_ascii_case(unit)))
        .map(|u| number * u.1)
        .ok_or_else(|| fail(format!("unknown unit `{unit}`; known are {}", list(units))))
}

/// Byte offset at which the leading decimal number ends.
pub(crate) fn number_end(text: &str) -> usize {
    let bytes = text.as_bytes();
    let mut end = 0;
    while end < bytes.len() {
        let c = bytes[end];
        let in_number = c.is_ascii_digit()
            || c == b'.'
            || ((c == b'-' || c == b'+') && (end == 0 || matches!(bytes[end - 1], b'e' | b'E')))
            || (matches!(c, b'e' | b'E')
                && end > 0
                && bytes.get(end + 1).is_some_and(|n| n.is_ascii_digit() || *n == b'-' || *n == b'+'));
        if !in_number {
            break;
        }
        end += 1;
    }
    end
}

fn list(units: &[Unit]) -> String {
    units.iter().map(|u| u.0).collect::<Vec<_>>().join(", ")
}
