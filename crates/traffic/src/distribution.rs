//! The sum of independent loads that are each on or off. Knows nothing of networks.

/// `count` independent sources that each load a resource by `load` with probability `share`, else by nothing.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Source {
    /// Load while on, finite and not negative.
    pub load: f64,
    /// Probability of being on, 0 to 1.
    pub share: f64,
    /// How many.
    pub count: u32,
}

/// What is known of the sum.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Sum {
    /// Mean.
    pub mean: f64,
    /// Least value that the sum does not pass in 95 % of moments.
    pub p95: f64,
    /// Everything on at once.
    pub all: f64,
}

/// Distinct sums kept before they are put on a grid.
const MAX_ATOMS: usize = 4096;
/// Steps of the grid.
const GRID: usize = 2048;
/// Sources beyond which the sum is taken as normal.
const MAX_SOURCES: u64 = 500;
/// 95 % point of the standard normal distribution.
const Z95: f64 = 1.644_853_626_951_472_7;
const LEVEL: f64 = 0.95;

/// Mean, 95th percentile and peak of a sum of independent sources.
///
/// # Model
/// Exact convolution while there are at most 4 096 distinct sums; then sums are put on a grid of 2 048 steps, each split between its two neighbours so
/// that the mean stays. Beyond 500 sources the sum is normal with the exact mean and variance (central limit theorem), held between mean and peak.
#[must_use]
pub fn sum_of(sources: &[Source]) -> Sum {
    let active = || sources.iter().filter(|s| s.load > 0.0 && s.share > 0.0 && s.count > 0);
    let mean: f64 = active().map(|s| s.load * s.share * f64::from(s.count)).sum();
    let all: f64 = active().map(|s| s.load * f64::from(s.count)).sum();
    let num: u64 = active().map(|s| u64::from(s.count)).sum();
    if num == 0 {
        return Sum::default();
    }
    let p95 = if num > MAX_SOURCES {
        let variance: f64 = active().map(|s| s.load * s.load * s.share * (1.0 - s.share) * f64::from(s.count)).sum();
        (mean + Z95 * variance.sqrt()).min(all)
    } else {
        let mut atoms = vec![(0.0, 1.0)];
        for source in active() {
            for _ in 0..source.count {
                atoms = plus(&atoms, source.load, source.share.min(1.0));
                if atoms.len() > MAX_ATOMS {
                    atoms = on_grid(&atoms);
                }
            }
        }
        percentile(&atoms)
    };
    Sum { mean, p95, all }
}

/// Sums with one source more: two sorted lists merged, equal sums joined.
fn plus(atoms: &[(f64, f64)], load: f64, share: f64) -> Vec<(f64, f64)> {
    let mut merged: Vec<(f64, f64)> = Vec::with_capacity(2 * atoms.len());
    let mut off = atoms.iter().map(|(v, p)| (*v, p * (1.0 - share))).peekable();
    let mut on = atoms.iter().map(|(v, p)| (v + load, p * share)).peekable();
    loop {
        let next = match (off.peek(), on.peek()) {
            (Some(a), Some(b)) if a.0 <= b.0 => off.next(),
            (_, Some(_)) => on.next(),
            (Some(_), None) => off.next(),
            (None, None) => None,
        };
        let Some((value, probability)) = next else { return merged };
        // Sums that differ by rounding only are one.
        match merged.last_mut() {
            Some(last) if value - last.0 <= 1e-12 * value => last.1 += probability,
            _ => merged.push((value, probability)),
        }
    }
}

fn on_grid(atoms: &[(f64, f64)]) -> Vec<(f64, f64)> {
    let top = atoms.last().map_or(0.0, |a| a.0);
    let step = top / GRID as f64;
    let mut grid: Vec<(f64, f64)> = (0..=GRID).map(|i| (step * i as f64, 0.0)).collect();
    for (value, probability) in atoms {
        let place = (value / step).clamp(0.0, GRID as f64);
        let low = (place.floor() as usize).min(GRID - 1);
        let part = place - low as f64;
        grid[low].1 += probability * (1.0 - part);
        grid[low + 1].1 += probability * part;
    }
    grid
}

fn percentile(atoms: &[(f64, f64)]) -> f64 {
    let mut reached = 0.0;
    for (value, probability) in atoms {
        reached += probability;
        if reached >= LEVEL - 1e-12 {
            return *value;
        }
    }
    atoms.last().map_or(0.0, |a| a.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn source(load: f64, share: f64, count: u32) -> Source {
        Source { load, share, count }
    }

    /// Binomial table: of 10 sources with probability 0.2, P(X <= 3) = 0.8791 and P(X <= 4) = 0.9672.
    #[test]
    fn equal_sources_follow_the_binomial_distribution() {
        let sum = sum_of(&[source(2.0, 0.2, 10)]);
        assert!((sum.mean - 4.0).abs() < 1e-12);
        assert_eq!((sum.p95, sum.all), (8.0, 20.0));
    }

    /// By hand: 0 with 0.42, 1 with 0.28, 3 with 0.18, 4 with 0.12.
    #[test]
    fn two_unequal_sources() {
        let sum = sum_of(&[source(1.0, 0.4, 1), source(3.0, 0.3, 1)]);
        assert_eq!(sum.p95, 4.0);
        assert_eq!(sum_of(&[source(1.0, 0.4, 1), source(3.0, 0.04, 1)]).p95, 1.0);
    }

    #[test]
    fn nothing_sums_to_nothing() {
        assert_eq!(sum_of(&[]), Sum::default());
        assert_eq!(sum_of(&[source(0.0, 0.5, 3), source(1.0, 0.0, 3), source(1.0, 0.5, 0)]), Sum::default());
        assert_eq!(sum_of(&[source(1.0, 1.0, 3)]).p95, 3.0);
    }

    /// On the grid and beyond it, against the normal distribution, which many sources approach.
    #[test]
    fn many_sources_are_close_to_normal() {
        for num in [200u32, 490, 510] {
            let sources: Vec<Source> = (0..num).map(|i| source(1.0 + f64::from(i).sin() * 0.3, 0.3, 1)).collect();
            let sum = sum_of(&sources);
            let variance: f64 = sources.iter().map(|s| s.load * s.load * 0.21).sum();
            let normal = sum.mean + Z95 * variance.sqrt();
            assert!((sum.p95 / normal - 1.0).abs() < 0.015, "{num}: {} against {normal}", sum.p95);
        }
    }
}
