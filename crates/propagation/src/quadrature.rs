//! Fixed nodes for integrals: the same on every run.

use std::f64::consts::PI;

/// Nodes with weights that sum to one.
#[derive(Clone, Debug)]
pub(crate) struct Quadrature {
    nodes: Vec<(f64, f64)>,
}

impl Quadrature {
    /// Gauss–Legendre over −1 to 1 if there is anything to average over, else the middle alone.
    pub(crate) fn over(spread: bool, count: usize) -> Self {
        if spread { Self::legendre(count) } else { Self { nodes: vec![(0.0, 1.0)] } }
    }

    /// Gauss–Legendre nodes over −1 to 1, by Newton's method on the recurrence.
    pub(crate) fn legendre(count: usize) -> Self {
        let n = count as f64;
        let mut nodes = Vec::with_capacity(count);
        for i in 0..count {
            let mut x = (PI * (i as f64 + 0.75) / (n + 0.5)).cos();
            let mut slope = 1.0;
            for _ in 0..100 {
                let (mut p0, mut p1) = (1.0, x);
                for k in 2..=count {
                    let k = k as f64;
                    (p0, p1) = (p1, ((2.0 * k - 1.0) * x * p1 - (k - 1.0) * p0) / k);
                }
                slope = n * (x * p1 - p0) / (x * x - 1.0);
                let step = p1 / slope;
                x -= step;
                if step.abs() < 1e-15 {
                    break;
                }
            }
            nodes.push((x, 1.0 / ((1.0 - x * x) * slope * slope)));
        }
        Self { nodes }
    }

    /// Gauss–Hermite nodes for a standard normal variable, by Newton's method on the normalised recurrence.
    pub(crate) fn normal(count: usize) -> Self {
        let n = count as f64;
        let mut nodes: Vec<(f64, f64)> = Vec::with_capacity(count);
        // Roots from the largest down: the usual starting values, then extrapolation from the roots found.
        let half = count.div_ceil(2);
        let mut roots: Vec<(f64, f64)> = Vec::with_capacity(half);
        let mut z: f64 = 0.0;
        for i in 0..half {
            z = match i {
                0 => (2.0 * n + 1.0).sqrt() - 1.85575 * (2.0 * n + 1.0).powf(-0.16667),
                1 => z - 1.14 * n.powf(0.426) / z,
                2 => 1.86 * z - 0.86 * roots[0].0,
                3 => 1.91 * z - 0.91 * roots[1].0,
                _ => 2.0 * z - roots[i - 2].0,
            };
            let mut slope = 1.0;
            for _ in 0..100 {
                let (mut p1, mut p2) = (PI.powf(-0.25), 0.0);
                for j in 0..count {
                    let j1 = j as f64 + 1.0;
                    (p1, p2) = (z * (2.0 / j1).sqrt() * p1 - ((j1 - 1.0) / j1).sqrt() * p2, p1);
                }
                slope = (2.0 * n).sqrt() * p2;
                let step = p1 / slope;
                z -= step;
                if step.abs() < 1e-14 {
                    break;
                }
            }
            roots.push((z, 2.0 / (slope * slope)));
        }
        for (i, &(root, weight)) in roots.iter().enumerate() {
            let (x, w) = (root * std::f64::consts::SQRT_2, weight / PI.sqrt());
            if 2 * i + 1 == count {
                nodes.push((0.0, w));
            } else {
                nodes.push((x, w));
                nodes.push((-x, w));
            }
        }
        nodes.sort_by(|a, b| a.0.total_cmp(&b.0));
        Self { nodes }
    }

    /// Moves every node.
    pub(crate) fn map(&mut self, to: impl Fn(f64) -> f64) {
        for node in &mut self.nodes {
            node.0 = to(node.0);
        }
    }

    /// Nodes with weights, in a fixed order.
    pub(crate) fn nodes(&self) -> impl Iterator<Item = (f64, f64)> + '_ {
        self.nodes.iter().copied()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn moment(q: &Quadrature, power: i32) -> f64 {
        q.nodes().map(|(x, w)| w * x.powi(power)).sum()
    }

    #[test]
    fn legendre_integrates_polynomials() {
        for n in [1, 2, 3, 16, 33, 128] {
            let q = Quadrature::legendre(n);
            assert!((moment(&q, 0) - 1.0).abs() < 1e-13, "{n}");
            assert!(n < 2 || (moment(&q, 2) - 1.0 / 3.0).abs() < 1e-13, "{n}");
        }
    }

    #[test]
    fn normal_has_the_moments_of_the_normal_distribution() {
        for n in [5, 16, 32, 64] {
            let q = Quadrature::normal(n);
            assert_eq!(q.nodes().count(), n);
            for (power, expected) in [(0, 1.0), (1, 0.0), (2, 1.0), (4, 3.0), (6, 15.0)] {
                assert!((moment(&q, power) - expected).abs() < 1e-9, "{n} {power}");
            }
        }
    }
}
