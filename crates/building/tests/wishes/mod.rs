//! Random wishes for the tests, in the range that homes have.
#![allow(dead_code)]

use building::parametric::{Attached, Construction, Rooms, Wish};

/// A multiplicative congruential stream of its own, so that the tests do not share the generator's numbers
/// (P. L'Ecuyer, "Tables of linear congruential generators", Mathematics of Computation 68, 1999, modulus 2^64).
pub struct Stream(u64);

impl Stream {
    pub fn new(seed: u64) -> Self {
        let mut stream = Self(seed.wrapping_mul(0x9e37_79b9_7f4a_7c15) | 1);
        for _ in 0..4 {
            stream.unit();
        }
        stream
    }

    pub fn unit(&mut self) -> f64 {
        self.0 = self.0.wrapping_mul(3_935_559_000_370_003_845).wrapping_add(2_691_343_689_449_507_681);
        (self.0 >> 11) as f64 / (1_u64 << 53) as f64
    }

    pub fn below(&mut self, count: usize) -> usize {
        (self.unit() * count as f64) as usize
    }
}

/// A wish from a seed: all kinds of homes, from tight to roomy.
pub fn wish(seed: u64) -> Wish {
    let mut r = Stream::new(seed);
    let attached = [Attached::Detached, Attached::SemiDetached, Attached::Terraced, Attached::Flat][r.below(4)];
    let storeys = match attached {
        Attached::Flat => 1,
        Attached::Terraced => [2, 2, 2, 3][r.below(4)],
        _ => [1, 2, 2, 2, 3][r.below(5)],
    };
    let bedrooms = (r.below(5) as u32).max(storeys - 1);
    let bathrooms = 1 + (r.unit() * (0.6 + f64::from(bedrooms) * 0.4)) as u32;
    let offices = (r.unit() * 1.7) as u32;
    let (utility, open_kitchen) = (r.unit() < 0.35, r.unit() < 0.4);
    let base = 26.0
        + 13.0 * f64::from(bedrooms)
        + 5.0 * f64::from(bathrooms)
        + 9.0 * f64::from(offices)
        + if utility { 5.0 } else { 0.0 }
        + if open_kitchen { 0.0 } else { 6.0 };
    let stairs = if storeys > 1 { 12.0 * f64::from(storeys) } else { 0.0 };
    let floor_area_m2 = ((base + stairs) * (1.1 + 0.75 * r.unit())).clamp(28.0, 300.0);
    let construction =
        [Construction::TimberFrame, Construction::MasonryCavity, Construction::MasonrySolid, Construction::Concrete]
            [r.below(4)];
    Wish {
        floor_area_m2: (floor_area_m2 * 2.0).round() / 2.0,
        storeys,
        basement: attached != Attached::Flat && r.unit() < 0.2,
        attic: r.unit() < 0.4,
        construction,
        attached,
        rooms: Rooms { bedrooms, bathrooms, offices, utility, open_kitchen },
        seed,
    }
}
