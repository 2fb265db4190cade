//! Printing lengths in feet and inches and areas in square feet, so that reading the text gives the same number again.

use std::fmt::Write as _;

/// Metres as feet and inches; none if the number is not finite.
///
/// Sixty-fourths of an inch are written as a fraction where they give the number back exactly; else the inches are
/// written with as few decimals as give it back.
pub(crate) fn feet_inches(metres: f64, reads_back: impl Fn(&str) -> bool) -> Option<String> {
    if !metres.is_finite() {
        return None;
    }
    // An approximation is enough here, because the text is read back.
    let sixty_fourths = (metres.abs() / 0.0254 * 64.0).round();
    if sixty_fourths < 1e15 {
        let text = in_fractions(metres.is_sign_negative(), sixty_fourths as u64);
        if reads_back(&text) {
            return Some(text);
        }
    }
    // One inch is 127/5000 m.
    shortest(metres, 5000, 127, |n, power| in_decimals(metres.is_sign_negative(), n, power), reads_back)
}

/// Metres to the nearest sixteenth of an inch, for people; none if the number is not finite or absurdly large.
pub(crate) fn feet_inches_nearest(metres: f64) -> Option<String> {
    let sixteenths = (metres.abs() / 0.0254 * 16.0).round();
    (sixteenths < 1e15).then(|| in_fractions(metres < 0.0 && sixteenths > 0.0, sixteenths as u64 * 4))
}

/// Square metres as square feet; none if the number is not finite.
pub(crate) fn square_feet(area: f64, reads_back: impl Fn(&str) -> bool) -> Option<String> {
    if !area.is_finite() {
        return None;
    }
    let sign = if area.is_sign_negative() { "-" } else { "" };
    shortest(area, 100_000_000, 9_290_304, |n, power| format!("{sign}{} sq ft", decimal(n, power)), reads_back)
}

/// `-11' 10 1/2"` from sixty-fourths of an inch.
fn in_fractions(negative: bool, sixty_fourths: u64) -> String {
    let (feet, rest) = (sixty_fourths / (12 * 64), sixty_fourths % (12 * 64));
    let (inches, mut top) = (rest / 64, rest % 64);
    let mut bottom = 64;
    while top > 0 && top.is_multiple_of(2) {
        (top, bottom) = (top / 2, bottom / 2);
    }
    let mut text = String::from(if negative { "-" } else { "" });
    let mut parts = Vec::new();
    if feet > 0 {
        parts.push(format!("{feet}'"));
    }
    match (inches, top) {
        (0, 0) if feet > 0 => {}
        (_, 0) => parts.push(format!("{inches}\"")),
        (0, _) => parts.push(format!("{top}/{bottom}\"")),
        (_, _) => parts.push(format!("{inches} {top}/{bottom}\"")),
    }
    text.push_str(&parts.join(" "));
    text
}

/// `-11' 9.7322"` from `n × 10^power` inches; very large and very small ones in inches with a power of ten.
fn in_decimals(negative: bool, n: u128, power: i32) -> String {
    let sign = if negative { "-" } else { "" };
    let scale = u32::try_from(-power).ok().filter(|p| *p <= 30).map(|p| 10_u128.pow(p));
    match scale {
        Some(scale) if n / scale >= 12 => {
            let (feet, rest) = (n / (12 * scale), n % (12 * scale));
            if rest == 0 { format!("{sign}{feet}'") } else { format!("{sign}{feet}' {}\"", decimal(rest, power)) }
        }
        _ => format!("{sign}{}\"", decimal(n, power)),
    }
}

/// `n × 10^power`, plain where that is short.
fn decimal(mut n: u128, mut power: i32) -> String {
    while n > 0 && n.is_multiple_of(10) {
        (n, power) = (n / 10, power + 1);
    }
    if n == 0 {
        return "0".into();
    }
    let mut text = n.to_string();
    match power {
        0..=15 => (0..power).for_each(|_| text.push('0')),
        -20..=-1 => {
            let places = (-power) as usize;
            if text.len() <= places {
                text = format!("{}{text}", "0".repeat(places + 1 - text.len()));
            }
            text.insert(text.len() - places, '.');
        }
        _ => {
            let _ = write!(text, "e{power}");
        }
    }
    text
}

/// The text with fewest digits of `value × top / bottom` that reads back.
///
/// Twenty significant digits always suffice: half the distance to the next `f64` is at least 2⁻⁵⁴ of the number, and
/// twenty digits are good to 10⁻¹⁹ of it.
fn shortest(
    value: f64,
    top: u128,
    bottom: u128,
    text: impl Fn(u128, i32) -> String,
    reads_back: impl Fn(&str) -> bool,
) -> Option<String> {
    // Thirty exact digits of the number, times at most 10⁸: below 2¹²⁸.
    let digits = format!("{:.29e}", value.abs());
    let (mantissa, power) = digits.split_once('e')?;
    let mantissa: u128 = mantissa.replace('.', "").parse().ok()?;
    let power: i32 = power.parse::<i32>().ok()? - 29;
    let scaled = mantissa * top / bottom;
    let length = scaled.checked_ilog10().map_or(1, |l| l + 1);
    (1..=20).find_map(|keep: u32| {
        let drop = length.saturating_sub(keep);
        let unit = 10_u128.pow(drop);
        let text = text((scaled + unit / 2) / unit, power + drop as i32);
        reads_back(&text).then_some(text)
    })
}
