//! Sums of power that do not depend on the order of what is added.
//!
//! Powers are whole numbers of 2⁻¹⁰⁰, so that adding is exact: what a path brought can be taken away again, and a map that
//! is brought up to date has the bits of one that is made anew. Floating-point numbers would remember the order.

/// A power in units of [`UNIT`].
pub(super) type Sum = i128;

/// Nothing weaker is told apart: 301 dB below one. Single precision has 2⁻²⁴ of a value.
const UNIT: f64 = 1.0 / (1u128 << 100) as f64;

/// A path has no more than this many binary places before the point, 48 dB: no antenna at a tenth of a metre has.
const MOST: u32 = 127 + 16;

/// A power that is not negative, rounded down but never to nothing, some number of times.
#[inline(always)]
pub(super) fn times(value: f32, count: i32) -> Sum {
    let bits = value.to_bits();
    let exponent = (bits >> 23 & 0xff).min(MOST);
    let mantissa = bits & 0x7f_ffff | 0x80_0000;
    // The value is mantissa · 2^(exponent − 150).
    if exponent >= 50 {
        return i128::from(i64::from(mantissa) * i64::from(count)) << (exponent - 50);
    }
    let least = mantissa.checked_shr(50 - exponent).unwrap_or(0) | u32::from(value > 0.0);
    i128::from(i64::from(least) * i64::from(count))
}

/// Quickly, no more than the sum.
pub(super) fn at_least(sum: Sum) -> f32 {
    // Of what is not weaker than 180 dB below one.
    const PLACES: u32 = 60;
    i64::try_from(sum >> (100 - PLACES))
        .map_or(0.0, |high| high as f32 * ((1.0 - f32::EPSILON) / (1u64 << PLACES) as f32))
}

/// The sum as a number.
pub(super) fn power(sum: Sum) -> f32 {
    (sum as f64 * UNIT) as f32
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn values_are_kept() {
        for value in [1.0f32, 0.3, 1e-7, 2.5e-20, 1.2345e-22, 30.0] {
            assert_eq!(power(times(value, 1)), value);
        }
        assert_eq!(power(times(0.0, 1)), 0.0);
        assert_eq!(times(0.3, 5) + times(0.3, -4), times(0.3, 1));
        assert_eq!(times(1e-33, 5) + times(1e-33, -4), times(1e-33, 1));
        // Where single precision goes on and the unit does not.
        let weak = 3.3e-26f32;
        assert!((power(times(weak, 1)) / weak - 1.0).abs() < 1e-4);
        assert!(power(times(1e-38, 1)) > 0.0 && power(times(1e-44, 1)) > 0.0);
        assert!(power(times(f32::INFINITY, 1)) > 6e4 && power(times(f32::NAN, 1)) > 6e4);
    }
}
