//! Seeded draws of the shadowing of an area, and the share that is served at each.

use std::sync::LazyLock;

use super::area::{AreaCell, AreaConfig, DRAWS};
use super::patches::{Patches, SMOOTH};
use super::{Shadowing, quantile};

/// Generator of the lattice: coordinate `j` of draw `i` is `i aʲ/n mod 1`. P. L'Ecuyer, C. Lemieux, "Variance reduction via
/// lattice rules", Management Science 46, 2000 (Korobov, n = 1021; from memory).
const GENERATOR: usize = 76;

/// Length of the table of normal numbers that cells take their own shadowing from.
const POOL: usize = 1 << 16;

/// A value for each draw.
type Draws = Vec<f32>;

/// The served share at every draw.
pub(super) fn draw(cells: &[AreaCell<'_>], config: &AreaConfig, total: f64, patches: &Patches) -> Vec<f64> {
    let mut random = Random { state: 0x5741_4c4c, multiplier: 1 };
    let Shadowing { sigma_db, correlation } = config.shadowing;
    let rho = correlation.clamp(0.0, 1.0);
    let (alike, apart) = ((sigma_db * rho.sqrt()) as f32, (sigma_db * (1.0 - rho).sqrt()) as f32);
    let (common, own) = (patches.common.sqrt() as f32, (1.0 - patches.common).sqrt() as f32);
    let everywhere = random.lattice();
    let num_links = cells.iter().map(|c| c.margins_db.len()).max().unwrap_or(0);
    // [patch] of what all links share there, [link][patch] of the whole.
    let mut shared = field(&patches.root, &mut random);
    for values in &mut shared {
        for (value, everywhere) in values.iter_mut().zip(&everywhere) {
            *value = common * alike * *value + config.common_db as f32 * everywhere;
        }
    }
    let links: Vec<Vec<Draws>> = (0..num_links)
        .map(|_| {
            let mut link = field(&patches.root, &mut random);
            for (link, shared) in link.iter_mut().zip(&shared) {
                link.iter_mut().zip(shared).for_each(|(link, shared)| *link = common * apart * *link + shared);
            }
            link
        })
        .collect();
    let mut shares = vec![0.0; DRAWS];
    let (mut best, mut served) = (vec![0f32; DRAWS], vec![0f32; DRAWS]);
    // Single precision carries the sum of so many cells.
    let portions =
        patches.cells.iter().enumerate().flat_map(|(patch, group)| group.chunks(1024).map(move |g| (patch, g)));
    for (patch, portion) in portions {
        served.fill(0.0);
        for cell in portion.iter().filter_map(|&i| cells.get(i)) {
            best.fill(f32::NEG_INFINITY);
            for (margin, fields) in cell.margins_db.iter().zip(&links) {
                let Some(field) = fields.get(patch).filter(|_| *margin > f64::NEG_INFINITY) else { continue };
                let (margin, own) = (*margin as f32, own * apart);
                for ((best, field), noise) in best.iter_mut().zip(field).zip(random.noise()) {
                    *best = best.max(margin + field + own * noise);
                }
            }
            let (area, own) = ((cell.area / total) as f32, own * alike);
            for ((served, best), noise) in served.iter_mut().zip(&best).zip(random.noise()) {
                *served += if best + own * noise >= 0.0 { area } else { 0.0 };
            }
        }
        shares.iter_mut().zip(&served).for_each(|(share, served)| *share += f64::from(*served));
    }
    shares.iter_mut().for_each(|share| *share = share.clamp(0.0, 1.0));
    shares
}

/// A field with the covariance of the patches: `[patch][draw]`.
fn field(root: &[Vec<f32>], random: &mut Random) -> Vec<Draws> {
    let smooth: Vec<Draws> = (0..SMOOTH).map(|_| random.lattice()).collect();
    let independent: Vec<Draws> = smooth.into_iter().chain(root.iter().map(|_| random.hypercube())).collect();
    root.iter()
        .map(|row| {
            let mut values = vec![0f32; DRAWS];
            for (weight, draws) in row.iter().zip(&independent).filter(|(weight, _)| **weight != 0.0) {
                values.iter_mut().zip(draws).for_each(|(value, draw)| *value += weight * draw);
            }
            values
        })
        .collect()
}

/// Seeded numbers (SplitMix64: Steele, Lea, Flood, OOPSLA 2014, from memory), and the lattice's next multiplier.
struct Random {
    state: u64,
    multiplier: usize,
}

/// Middles of equally probable strata of the normal distribution.
static STRATA: LazyLock<Draws> =
    LazyLock::new(|| (0..DRAWS).map(|i| quantile((i as f64 + 0.5) / DRAWS as f64) as f32).collect());

/// Normal numbers by Box and Muller.
static NOISE: LazyLock<Vec<f32>> = LazyLock::new(|| {
    let mut random = Random { state: 0x004e_4f49_5345, multiplier: 1 };
    let mut uniform = || ((random.next() >> 11) as f64 + 0.5) / (1u64 << 53) as f64;
    (0..POOL).map(|_| ((-2.0 * uniform().ln()).sqrt() * (std::f64::consts::TAU * uniform()).cos()) as f32).collect()
});

impl Random {
    fn next(&mut self) -> u64 {
        self.state = self.state.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.state;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    /// Below a bound under 2³².
    fn below(&mut self, bound: usize) -> usize {
        (((self.next() >> 32) * bound as u64) >> 32) as usize
    }

    /// The next coordinate of the lattice, moved by a random step: one normal number from each stratum.
    fn lattice(&mut self) -> Draws {
        let (multiplier, step) = (self.multiplier, self.below(DRAWS));
        self.multiplier = multiplier * GENERATOR % DRAWS;
        (0..DRAWS).filter_map(|i| STRATA.get((i * multiplier + step) % DRAWS).copied()).collect()
    }

    /// One normal number from each stratum, in any order.
    fn hypercube(&mut self) -> Draws {
        let mut draws = STRATA.clone();
        for i in (1..draws.len()).rev() {
            draws.swap(i, self.below(i + 1));
        }
        draws
    }

    /// Normal numbers from a random place of the table.
    fn noise(&mut self) -> &'static [f32] {
        let start = self.below(POOL - DRAWS);
        NOISE.get(start..start + DRAWS).unwrap_or(&[])
    }
}
