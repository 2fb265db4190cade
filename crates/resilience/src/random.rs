//! Seeded numbers, so that an interval is the same on every run.

/// SplitMix64 (G. L. Steele, D. Lea, C. H. Flood, "Fast splittable pseudorandom number generators", OOPSLA 2014; the
/// constants from memory).
pub(crate) struct Random(pub u64);

impl Random {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    /// Above 0, at most 1.
    fn unit(&mut self) -> f64 {
        ((self.next() >> 11) as f64 + 1.0) / (1u64 << 53) as f64
    }

    /// A standard normal number (Box and Muller, 1958).
    pub fn normal(&mut self) -> f64 {
        let radius = libm::sqrt(-2.0 * libm::log(self.unit()));
        radius * libm::cos(std::f64::consts::TAU * self.unit())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn normal_numbers_have_mean_0_and_variance_1() {
        let mut random = Random(1);
        let numbers: Vec<f64> = (0..20_000).map(|_| random.normal()).collect();
        let mean = numbers.iter().sum::<f64>() / 20_000.0;
        let variance = numbers.iter().map(|x| x * x).sum::<f64>() / 20_000.0;
        assert!(mean.abs() < 0.03 && (variance - 1.0).abs() < 0.05, "{mean} {variance}");
    }
}
