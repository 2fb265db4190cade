//! Decimal numbers of any length, so that a unit is applied exactly and the result is rounded once. Only what parsing
//! needs: no subtraction, no division.

/// `± digits × 10^exponent`; digits from the highest, each 0 to 9.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Decimal {
    pub negative: bool,
    digits: Vec<u8>,
    exponent: i32,
}

/// Longest text that any parser of this crate reads [bytes]. Longer than any finite `f64` prints (about 1 080).
pub(crate) const LONGEST_TEXT: usize = 2000;

impl Decimal {
    /// Reads `-12.5e3` and the like: sign, digits with at most one point, exponent; all but one digit may be absent.
    pub fn parse(text: &str) -> Option<Self> {
        if text.len() > LONGEST_TEXT {
            return None;
        }
        let (negative, rest) = match text.as_bytes().first()? {
            b'-' => (true, &text[1..]),
            b'+' => (false, &text[1..]),
            _ => (false, text),
        };
        let (mantissa, power) = match rest.find(['e', 'E']) {
            Some(at) => (&rest[..at], exponent(&rest[at + 1..])?),
            None => (rest, 0),
        };
        let (whole, fraction) = mantissa.split_once('.').unwrap_or((mantissa, ""));
        let digits: Vec<u8> = whole.bytes().chain(fraction.bytes()).map(|b| b.wrapping_sub(b'0')).collect();
        if digits.is_empty() || digits.iter().any(|d| *d > 9) {
            return None;
        }
        Some(Self { negative, digits, exponent: power - fraction.len() as i32 })
    }

    /// Times a whole number and a power of ten.
    pub fn times(mut self, factor: u32, power: i32) -> Self {
        let mut carry = 0_u64;
        for digit in self.digits.iter_mut().rev() {
            let product = u64::from(*digit) * u64::from(factor) + carry;
            *digit = (product % 10) as u8;
            carry = product / 10;
        }
        while carry > 0 {
            self.digits.insert(0, (carry % 10) as u8);
            carry /= 10;
        }
        self.exponent += power;
        self
    }

    /// The sum of two numbers without exponents of their own; the sign is that of `self`.
    pub fn plus(mut self, mut other: Self) -> Self {
        let exponent = self.exponent.min(other.exponent);
        for number in [&mut self, &mut other] {
            let zeros = (number.exponent - exponent) as usize;
            number.digits.extend(std::iter::repeat_n(0, zeros));
            number.exponent = exponent;
        }
        let length = self.digits.len().max(other.digits.len()) + 1;
        for number in [&mut self, &mut other] {
            let padding = length - number.digits.len();
            number.digits.splice(0..0, std::iter::repeat_n(0, padding));
        }
        let mut carry = 0;
        for (digit, added) in self.digits.iter_mut().zip(&other.digits).rev() {
            let sum = *digit + added + carry;
            *digit = sum % 10;
            carry = sum / 10;
        }
        self
    }

    /// True if it has no digits after the point and no exponent.
    pub fn is_whole(&self) -> bool {
        self.exponent == 0
    }

    /// True if it is zero, of either sign.
    pub fn is_zero(&self) -> bool {
        self.digits.iter().all(|d| *d == 0)
    }

    /// The nearest `f64`; infinite if too large.
    pub fn to_f64(&self) -> f64 {
        let mut text = String::with_capacity(self.digits.len() + 12);
        if self.negative {
            text.push('-');
        }
        text.extend(self.digits.iter().map(|d| char::from(b'0' + d)));
        text.push_str(&format!("e{}", self.exponent));
        text.parse().unwrap_or(f64::NAN)
    }
}

/// An exponent; those beyond any `f64` are cut to a size that stays beyond.
fn exponent(text: &str) -> Option<i32> {
    let digits = text.strip_prefix(['-', '+']).unwrap_or(text);
    if digits.is_empty() || !digits.bytes().all(|b| b.is_ascii_digit()) {
        return None;
    }
    let size = digits.trim_start_matches('0').parse::<i32>().unwrap_or(if digits.contains(|c| c != '0') {
        i32::MAX
    } else {
        0
    });
    let size = size.min(100_000);
    Some(if text.starts_with('-') { -size } else { size })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str) -> Decimal {
        Decimal::parse(text).unwrap()
    }

    #[test]
    fn sums_and_products_are_exact() {
        // 11 × 12 + 10.5 = 142.5 inches; × 0.0254 = 3.6195 m.
        let inches = read("11").times(12, 0).plus(read("10.5"));
        assert_eq!(inches.times(254, -4).to_f64(), 3.6195);
        assert_eq!(read("99.95").plus(read("0.05")).to_f64(), 100.0);
        assert_eq!(read("-1").plus(read("0.5")).to_f64(), -1.5);
        assert_eq!(read("360").times(1, -2).to_f64(), 3.6);
    }

    #[test]
    fn odd_texts_are_refused() {
        for text in ["", "-", ".", "e5", "1e", "1e+", "1..2", "1.2.3", "--1", "1e5.0", "٣", "nan", "inf", "0x1"] {
            assert_eq!(Decimal::parse(text), None, "{text}");
        }
        assert_eq!(read("1e99999999999").to_f64(), f64::INFINITY);
        assert_eq!(read("1e-99999999999").to_f64(), 0.0);
        assert_eq!(read("1e-000").to_f64(), 1.0);
        assert!(read("-0").to_f64().is_sign_negative());
    }
}
