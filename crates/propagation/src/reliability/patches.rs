//! An area cut into patches whose shadowing is drawn together.

use std::collections::BTreeMap;

use units::{Metres, Point3};

use super::area::{AreaCell, spatial_correlation};

/// Most patches whose shadowing is drawn together.
const MAX_PATCHES: usize = 128;

/// Side of a patch over the decorrelation distance, if that leaves few enough patches.
const PATCH_SHARE: f64 = 0.25;

/// Cells that stand for a patch when correlations are averaged.
const REPRESENTATIVES: usize = 9;

/// Nearer than this many sides the correlation of two patches is averaged, farther it is that of their middles.
const NEAR: f64 = 2.5;

/// Weighted means of a field that are drawn first: its level, and its slopes along x and y.
pub(super) const SMOOTH: usize = 3;

/// Cells that are drawn together.
pub(super) struct Patches {
    /// The cells of each patch.
    pub(super) cells: Vec<Vec<usize>>,
    /// Share of a cell's variance that its patch has in common.
    pub(super) common: f64,
    /// How each patch follows from independent numbers: [`SMOOTH`] ones, then one for each patch up to it.
    pub(super) root: Vec<Vec<f32>>,
}

impl Patches {
    pub(super) fn new(cells: &[AreaCell<'_>], probabilities: &[f64], decorrelation: Metres) -> Self {
        let (groups, side) = grouped(cells, PATCH_SHARE * decorrelation.0);
        let patches: Vec<Patch> = groups.iter().map(|group| Patch::new(group, cells, probabilities)).collect();
        let of_middles: Vec<Vec<f64>> = patches
            .iter()
            .enumerate()
            .map(|(i, a)| {
                let before = patches.iter().take(i).map(|b| a.middle.distance(b.middle));
                before.map(|d| spatial_correlation(Metres(d), decorrelation)).chain([1.0]).collect()
            })
            .collect();
        let (mut of_cells, mut of_patches) = (0.0, 0.0);
        for (i, (a, row)) in patches.iter().zip(&of_middles).enumerate() {
            let pairs = a.undecided * a.undecided * (1.0 - 1.0 / a.count.max(1.0));
            of_cells += pairs * a.own_correlation(decorrelation);
            of_patches += pairs;
            for (b, &middles) in patches.iter().take(i).zip(row) {
                let pairs = 2.0 * a.undecided * b.undecided;
                let is_near = a.middle.distance(b.middle) < NEAR * side;
                of_cells += pairs * if is_near { a.correlation(b, decorrelation) } else { middles };
                of_patches += pairs * middles;
            }
        }
        let common = if of_patches > 0.0 { (of_cells / of_patches).min(1.0) } else { 1.0 };
        Self { root: root(&covariance(&patches, &of_middles)), cells: groups, common }
    }
}

/// What the covariance needs of a patch.
struct Patch {
    middle: Point3,
    /// Number of cells.
    count: f64,
    /// Some of their places.
    places: Vec<Point3>,
    /// Area that its shadowing decides on: the sum of the cells' `a p (1 − p)`.
    undecided: f64,
}

impl Patch {
    fn new(group: &[usize], cells: &[AreaCell<'_>], probabilities: &[f64]) -> Self {
        let own: Vec<&AreaCell<'_>> = group.iter().filter_map(|&i| cells.get(i)).collect();
        let mean = |axis: fn(&Point3) -> f64| own.iter().map(|c| axis(&c.at)).sum::<f64>() / own.len().max(1) as f64;
        // Spread by the golden section, so that they do not fall on one row or column of a grid.
        let chosen = |k: usize| match own.len() {
            n if n <= REPRESENTATIVES => k,
            n => ((k as f64 * 0.618_033_988_749_895).fract() * n as f64) as usize,
        };
        let places = (0..own.len().min(REPRESENTATIVES)).filter_map(|k| own.get(chosen(k))).map(|c| c.at).collect();
        let undecided = |(cell, p): (&AreaCell<'_>, &f64)| cell.area * p * (1.0 - p);
        let pairs = group.iter().filter_map(|&i| Some((cells.get(i)?, probabilities.get(i)?)));
        Self {
            middle: Point3::new(mean(|p| p.x), mean(|p| p.y), mean(|p| p.z)),
            count: own.len() as f64,
            places,
            undecided: pairs.map(undecided).sum(),
        }
    }

    /// Mean correlation of two different cells.
    fn own_correlation(&self, decorrelation: Metres) -> f64 {
        let (mut sum, mut pairs) = (0.0, 0.0);
        for (i, a) in self.places.iter().enumerate() {
            for b in self.places.iter().take(i) {
                sum += spatial_correlation(Metres(a.distance(*b)), decorrelation);
                pairs += 1.0;
            }
        }
        if pairs > 0.0 { sum / pairs } else { 1.0 }
    }

    /// Mean correlation of a cell here and a cell there.
    fn correlation(&self, other: &Self, decorrelation: Metres) -> f64 {
        let pairs = self.places.iter().flat_map(|a| other.places.iter().map(|b| a.distance(*b)));
        let sum: f64 = pairs.map(|d| spatial_correlation(Metres(d), decorrelation)).sum();
        sum / (self.places.len() * other.places.len()).max(1) as f64
    }
}

/// Cells by cubic patches of at least a side, and the side; larger ones if they were too many.
fn grouped(cells: &[AreaCell<'_>], side: f64) -> (Vec<Vec<usize>>, f64) {
    let mut side = side.max(1e-3);
    loop {
        let mut groups: BTreeMap<[i64; 3], Vec<usize>> = BTreeMap::new();
        for (index, cell) in cells.iter().enumerate() {
            let key = [cell.at.x, cell.at.y, cell.at.z].map(|x| (x / side).floor() as i64);
            if !groups.contains_key(&key) && groups.len() == MAX_PATCHES {
                groups.clear();
                break;
            }
            groups.entry(key).or_default().push(index);
        }
        if !groups.is_empty() || cells.is_empty() {
            return (groups.into_values().collect(), side);
        }
        side *= 1.15;
    }
}

/// Lower triangle of the covariance of the smooth means and the patches, row by row.
///
/// The means come first, so that a lattice rule draws what decides most; they add nothing to the patches' own covariance.
fn covariance(patches: &[Patch], between: &[Vec<f64>]) -> Vec<Vec<f64>> {
    let total: f64 = patches.iter().map(|p| p.undecided).sum();
    let centre = |axis: fn(&Point3) -> f64| patches.iter().map(|p| p.undecided * axis(&p.middle)).sum::<f64>() / total;
    let (x, y) = (centre(|p| p.x), centre(|p| p.y));
    let extent = patches.iter().map(|p| (p.middle.x - x).hypot(p.middle.y - y)).fold(1.0, f64::max);
    let of_patch = |i: usize, k: usize| between.get(i.max(k)).and_then(|row| row.get(i.min(k))).copied().unwrap_or(0.0);
    let weights: Vec<[f64; SMOOTH]> = patches
        .iter()
        .map(|p| [1.0, (p.middle.x - x) / extent, (p.middle.y - y) / extent].map(|w| w * p.undecided / total))
        .map(|w| if w.iter().all(|x| x.is_finite()) { w } else { [0.0; SMOOTH] })
        .collect();
    let with_patches: Vec<Vec<f64>> = (0..SMOOTH)
        .map(|m| {
            let mean = |i: usize| weights.iter().enumerate().map(|(k, w)| w[m] * of_patch(i, k)).sum();
            (0..patches.len()).map(mean).collect()
        })
        .collect();
    let of_means = |m: usize, n: usize| {
        weights.iter().zip(with_patches.get(n).map_or(&[][..], |row| row)).map(|(w, c)| w[m] * c).sum::<f64>()
    };
    let mut rows: Vec<Vec<f64>> = (0..SMOOTH).map(|m| (0..=m).map(|n| of_means(m, n)).collect()).collect();
    rows.extend(between.iter().enumerate().map(|(i, row)| {
        let means = with_patches.iter().filter_map(|mean| mean.get(i).copied());
        means.chain(row.iter().copied()).collect::<Vec<f64>>()
    }));
    rows
}

/// Cholesky's root of a covariance, the rows of the patches. What the means leave of the last patches is nothing but
/// rounding, and counts as nothing.
fn root(covariance: &[Vec<f64>]) -> Vec<Vec<f32>> {
    let mut rows: Vec<Vec<f64>> = Vec::with_capacity(covariance.len());
    for covariances in covariance {
        let mut row: Vec<f64> = Vec::with_capacity(covariances.len());
        let Some((&variance, before)) = covariances.split_last() else { continue };
        for (k, (other, covariance)) in rows.iter().zip(before).enumerate() {
            let known: f64 = row.iter().zip(other).map(|(a, b)| a * b).sum();
            let pivot = other.get(k).copied().unwrap_or(0.0);
            row.push(if pivot > 0.0 { (covariance - known) / pivot } else { 0.0 });
        }
        let rest = variance - row.iter().map(|a| a * a).sum::<f64>();
        row.push(if rest > 1e-9 * variance { rest.sqrt() } else { 0.0 });
        rows.push(row);
    }
    rows.into_iter().skip(SMOOTH).map(|row| row.into_iter().map(|x| x as f32).collect()).collect()
}
