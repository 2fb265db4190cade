//! Numbers with no more digits than they bear, in the units that people see.

use findings::{Figure, Quantity};
use site::UnitSystem;
use units::{Metres, SquareMetres};

/// Unit of how many times something is had over; the engines give such figures as bare numbers.
pub const RATIO: &str = "×";

/// A known value without its interval, such as `94 %`.
pub fn plain(value: f64, low: Option<f64>, high: Option<f64>, unit: &str, units: UnitSystem) -> String {
    let shown = Shown::of(value, unit, units);
    let decimals = shown.decimals(value, low, high);
    shown.with_unit(&shown.number(value, decimals))
}

/// A figure in full: `94 % (88–97)`, `about 120 m`, or that it is unknown.
pub fn figure(figure: &Figure, units: UnitSystem) -> String {
    let Some(value) = figure.value else { return "unknown".to_owned() };
    let shown = Shown::of(value, super::figures::unit(&figure.id, &figure.unit), units);
    let decimals = shown.decimals(value, figure.low, figure.high);
    let about = if figure.estimate { "about " } else { "" };
    let text = shown.with_unit(&shown.number(value, decimals));
    match interval(figure, &shown, decimals) {
        Some(interval) => format!("{about}{text} ({interval})"),
        None => format!("{about}{text}"),
    }
}

/// A figure for a table whose header names the unit: the number, and its interval on a second line.
pub fn cell(figure: &Figure, units: UnitSystem) -> String {
    let Some(value) = figure.value else { return "unknown".to_owned() };
    let shown = Shown::of(value, super::figures::unit(&figure.id, &figure.unit), units);
    let decimals = shown.decimals(value, figure.low, figure.high);
    let text = shown.number(value, decimals);
    match interval(figure, &shown, decimals) {
        Some(interval) => format!("{text}\n({interval})"),
        None => text,
    }
}

/// A measured quantity or a limit.
pub fn quantity(quantity: &Quantity, units: UnitSystem) -> String {
    plain(quantity.value, None, None, &quantity.unit, units)
}

/// A length.
pub fn length(length: Metres, units: UnitSystem) -> String {
    match units {
        UnitSystem::Metric => format!("{:.2} m", length.0),
        UnitSystem::FeetInches => feet_inches(length),
    }
}

/// A thickness.
pub fn thickness(length: Metres, units: UnitSystem) -> String {
    match units {
        UnitSystem::Metric => format!("{} mm", trim(format!("{:.1}", length.mm()))),
        UnitSystem::FeetInches => format!("{} in", trim(format!("{:.2}", length.0 / 0.0254))),
    }
}

/// An area.
pub fn area(area: SquareMetres, units: UnitSystem) -> String {
    match units {
        UnitSystem::Metric => format!("{:.1} m²", area.0),
        UnitSystem::FeetInches => format!("{:.0} sq ft", area.square_feet()),
    }
}

/// A data rate.
pub fn rate(bits_per_second: f64) -> String {
    plain(bits_per_second, None, None, "bit/s", UnitSystem::Metric)
}

/// Two figures that differ, with the fewest digits that tell them apart, two at least; the second with its unit.
pub fn apart(values: [f64; 2], unit: &str, units: UnitSystem) -> [String; 2] {
    let [this, other] = values;
    let larger = if this.abs() > other.abs() { this } else { other };
    let shown = Shown::of(larger, unit, units);
    let first = shown.decimals(larger, None, None);
    let at = |decimals: i32| values.map(|v| shown.number(v, decimals));
    let [this, other] = (first..first + 12).map(at).find(|[a, b]| a != b).unwrap_or_else(|| at(first));
    [this, shown.with_unit(&other)]
}

/// A bare number to two significant digits.
pub fn significant(value: f64) -> String {
    plain(value, None, None, "1", UnitSystem::Metric)
}

/// A time span, with the unit that suits it.
pub fn duration(seconds: f64) -> String {
    plain(seconds, None, None, "s", UnitSystem::Metric)
}

/// To the half inch, since plans in feet are read so: `11'10"`.
fn feet_inches(length: Metres) -> String {
    let sign = if length.0 < 0.0 { "-" } else { "" };
    let halves = (length.0.abs() / 0.0254 * 2.0).round();
    let (feet, rest) = ((halves / 24.0).floor(), halves % 24.0);
    let half = if rest % 2.0 == 1.0 { "½" } else { "" };
    format!("{sign}{feet:.0}'{:.0}{half}\"", (rest / 2.0).floor())
}

/// How a unit of the engines is shown to people.
struct Shown {
    factor: f64,
    unit: String,
    kind: Kind,
}

#[derive(PartialEq, Eq)]
enum Kind {
    Share,
    Ratio,
    Money,
    /// Levels and losses: a decibel's tenth is already finer than any model here.
    Decibel,
    Other,
}

impl Shown {
    fn of(value: f64, unit: &str, units: UnitSystem) -> Self {
        let size = value.abs();
        let feet = units == UnitSystem::FeetInches;
        let (factor, shown, kind) = match unit {
            "%" => (1.0, "%", Kind::Share),
            RATIO => (1.0, "", Kind::Ratio),
            "1" | "" => (1.0, "", Kind::Other),
            "m" if feet => (1.0 / 0.3048, "ft", Kind::Other),
            "m²" | "m2" if feet => (1.0 / 0.092_903_04, "sq ft", Kind::Other),
            "bit/s" if size >= 1e9 => (1e-9, "Gbit/s", Kind::Other),
            "bit/s" if size >= 1e6 => (1e-6, "Mbit/s", Kind::Other),
            "bit/s" if size >= 1e3 => (1e-3, "kbit/s", Kind::Other),
            "Hz" if size >= 1e9 => (1e-9, "GHz", Kind::Other),
            "Hz" if size >= 1e6 => (1e-6, "MHz", Kind::Other),
            "s" if size >= 2.0 * 86400.0 => (1.0 / 86400.0, "d", Kind::Other),
            "s" if size >= 5400.0 => (1.0 / 3600.0, "h", Kind::Other),
            "s" if size >= 120.0 => (1.0 / 60.0, "min", Kind::Other),
            "s" if size > 0.0 && size < 1.0 => (1e3, "ms", Kind::Other),
            "dB" | "dBm" | "dBi" => (1.0, unit, Kind::Decibel),
            code if code.len() == 3 && code.bytes().all(|b| b.is_ascii_uppercase()) => (1.0, code, Kind::Money),
            other => (1.0, other, Kind::Other),
        };
        Self { factor, unit: shown.to_owned(), kind }
    }

    /// Decimals that the value bears: the first digit of half its interval, or two significant digits without one.
    fn decimals(&self, value: f64, low: Option<f64>, high: Option<f64>) -> i32 {
        match self.kind {
            Kind::Share | Kind::Money => return 0,
            Kind::Decibel => return i32::from(value.fract() != 0.0 && low.is_none()),
            Kind::Ratio | Kind::Other => {}
        }
        let value = value * self.factor;
        // A number that people state whole, such as a limit of 100 m, stays as stated.
        let is_whole = (value - value.round()).abs() < 1e-9 && value.abs() < 1e5;
        match (low, high) {
            (Some(low), Some(high)) if high > low => {
                let half = (high - low) * self.factor / 2.0;
                let coarse = -exponent(half);
                // Wide intervals still leave two digits of the value.
                coarse.max(1 - exponent(value)).min(4)
            }
            _ if is_whole => 0,
            _ => (1 - exponent(value)).min(4),
        }
    }

    fn number(&self, value: f64, decimals: i32) -> String {
        let value = value * self.factor;
        if !value.is_finite() {
            return if value > 0.0 { "∞".to_owned() } else { value.to_string() };
        }
        if self.kind == Kind::Share {
            if value > 99.5 && value < 100.0 {
                return ">99".to_owned();
            }
            if value > 0.0 && value < 0.5 {
                return "<1".to_owned();
            }
        }
        let step = 10_f64.powi(-decimals);
        let rounded = (value / step).round() * step;
        let text = format!("{rounded:.*}", decimals.max(0) as usize);
        let text = if text.trim_start_matches('-').chars().all(|c| c == '0' || c == '.') && value == 0.0 {
            "0".to_owned()
        } else {
            text
        };
        grouped(&text)
    }

    fn with_unit(&self, number: &str) -> String {
        match self.kind {
            Kind::Ratio => format!("{number}×"),
            _ if self.unit.is_empty() => number.to_owned(),
            _ => format!("{number} {}", self.unit),
        }
    }
}

fn interval(figure: &Figure, shown: &Shown, decimals: i32) -> Option<String> {
    let (low, high) = (figure.low?, figure.high?);
    if low == high {
        return None;
    }
    // The low end may be so much smaller than the value that its digits would vanish.
    let end =
        |v: f64| shown.number(v, if v == 0.0 { decimals } else { decimals.max(-exponent(v * shown.factor)).min(4) });
    let (low, high) = (end(low), end(high));
    (low != high).then(|| format!("{low}–{high}"))
}

/// Power of ten of the first significant digit.
fn exponent(value: f64) -> i32 {
    if value == 0.0 || !value.is_finite() {
        return 0;
    }
    value.abs().log10().floor() as i32
}

/// Thousands apart by a thin gap, from five digits on.
fn grouped(text: &str) -> String {
    let (sign, rest) = text.strip_prefix('-').map_or(("", text), |rest| ("-", rest));
    let (whole, fraction) = rest.split_once('.').map_or((rest, None), |(w, f)| (w, Some(f)));
    let mut out = String::from(sign);
    if whole.len() >= 5 {
        for (i, digit) in whole.chars().enumerate() {
            if i > 0 && (whole.len() - i) % 3 == 0 {
                out.push('\u{a0}');
            }
            out.push(digit);
        }
    } else {
        out.push_str(whole);
    }
    if let Some(fraction) = fraction {
        out.push('.');
        out.push_str(fraction);
    }
    out
}

fn trim(text: String) -> String {
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text }
}

#[cfg(test)]
mod tests {
    use super::*;
    use findings::Id;

    fn of(value: f64, unit: &str, interval: Option<(f64, f64)>) -> String {
        let mut f = Figure::known(if unit == RATIO { "headroom" } else { "x" }, Id::from_label("x"), value, unit);
        if let Some((low, high)) = interval {
            f = f.between(low, high, Some(0.95));
        }
        figure(&f, UnitSystem::Metric)
    }

    #[test]
    fn digits_follow_the_interval() {
        assert_eq!(of(93.74, "%", Some((88.2, 97.4))), "94 % (88–97)");
        assert_eq!(of(2.345, RATIO, Some((1.81, 3.02))), "2.3× (1.8–3.0)");
        assert_eq!(of(132.7, "min/yr", Some((51.3, 402.0))), "130 min/yr (50–400)");
        assert_eq!(of(1240.4, "USD", Some((1100.2, 1400.0))), "1240 USD (1100–1400)");
        assert_eq!(of(12400.0, "USD", None), "12\u{a0}400 USD");
        assert_eq!(of(123.456, "m", None), "120 m");
        assert_eq!(of(100.0, "%", None), "100 %");
        assert_eq!(of(99.97, "%", None), ">99 %");
        assert_eq!(of(0.0, "min/yr", None), "0 min/yr");
        assert_eq!(of(53.4e6, "bit/s", None), "53 Mbit/s");
    }

    #[test]
    fn figures_that_differ_are_told_apart() {
        let of = |a: f64, b: f64, unit: &str| apart([a, b], unit, UnitSystem::Metric).join(" against ");
        assert_eq!(of(1449.3, 1190.2, "min/yr"), "1400 against 1200 min/yr");
        assert_eq!(of(1616.7, 1640.6, "min/yr"), "1620 against 1640 min/yr");
        assert_eq!(of(2.131, 2.134, "dB"), "2.131 against 2.134 dB");
        assert_eq!(of(3302.2, 3302.4, "USD"), "3302.2 against 3302.4 USD");
        assert_eq!(of(5.0, 5.0, "m"), "5 against 5 m");
    }

    #[test]
    fn what_is_unknown_or_estimated_says_so() {
        let unknown = Figure::unknown("x", Id::from_label("x"), "m", vec!["a price".into()]);
        assert_eq!(figure(&unknown, UnitSystem::Metric), "unknown");
        let estimate = Figure::known("x", Id::from_label("x"), 47.0, "m").estimated();
        assert_eq!(figure(&estimate, UnitSystem::FeetInches), "about 150 ft");
    }

    #[test]
    fn lengths_are_shown_as_the_site_wants() {
        assert_eq!(length(Metres(3.6068), UnitSystem::FeetInches), "11'10\"");
        assert_eq!(length(Metres(3.6), UnitSystem::Metric), "3.60 m");
        assert_eq!(thickness(Metres(0.0125), UnitSystem::Metric), "12.5 mm");
        assert_eq!(area(SquareMetres(138.2), UnitSystem::FeetInches), "1488 sq ft");
    }
}
