//! Path gain from sites to all cells of grids.

use std::sync::atomic::{AtomicU64, Ordering};

use findings::{Cancelled, Progress};
use network::results::GainMap;
use rayon::prelude::*;
use units::Point3;

use crate::free_space::MIN_DISTANCE;
use crate::geometry::{Hit, Ray};
use crate::grid::Grid;
use crate::path::LEAST_SHARE;
use crate::scene::{Field, Scene};
use crate::table::LANES;

/// Rows between two reports of progress.
const ROWS_PER_REPORT: u64 = 64;

impl Scene {
    /// Gain from each site to each cell's centre: `[site][grid][carrier]`.
    ///
    /// The same value as [`Scene::path`] gives for the gain over both polarisations, to the precision of an `f32`; the
    /// same bits for any number of threads. Sites that are not finite give −∞ dB.
    ///
    /// # Errors
    /// [`Cancelled`] if `progress` says so.
    pub fn maps(
        &self,
        sites: &[Point3],
        grids: &[Grid],
        progress: &dyn Progress,
    ) -> Result<Vec<Vec<Vec<GainMap>>>, Cancelled> {
        let mut views = Vec::with_capacity(sites.len() * grids.len());
        let mut rows = Vec::new();
        for &site in sites {
            for grid in grids {
                rows.extend((0..grid.rows()).map(|row| (views.len(), row)));
                views.push(View::new(self, site, grid));
            }
        }
        let total = rows.len() as u64;
        let done = AtomicU64::new(0);
        let gains: Result<Vec<Vec<f32>>, Cancelled> = rows
            .par_iter()
            .map_init(Scratch::default, |scratch, &(view, row)| {
                let count = done.fetch_add(1, Ordering::Relaxed);
                if count.is_multiple_of(ROWS_PER_REPORT) {
                    progress.step("path gain", count, total)?;
                }
                Ok(views.get(view).map(|view| view.row(self, row, scratch)).unwrap_or_default())
            })
            .collect();
        let gains = gains?;
        progress.step("path gain", total, total)?;

        let mut next = gains.iter();
        let mut out = Vec::with_capacity(sites.len());
        for _ in sites {
            let mut of_site = Vec::with_capacity(grids.len());
            for grid in grids {
                let mut of_grid: Vec<GainMap> = self.carriers.iter().map(|_| empty(grid)).collect();
                for row in next.by_ref().take(grid.rows()) {
                    for (map, gains) in of_grid.iter_mut().zip(row.chunks_exact(grid.columns())) {
                        map.gain_db.extend_from_slice(gains);
                    }
                }
                of_site.push(of_grid);
            }
            out.push(of_site);
        }
        Ok(out)
    }
}

pub(crate) fn empty(grid: &Grid) -> GainMap {
    GainMap {
        storey: grid.storey().clone(),
        origin: grid.origin(),
        cell: grid.cell(),
        rows: grid.rows(),
        columns: grid.columns(),
        z: grid.z(),
        gain_db: Vec::with_capacity(grid.rows() * grid.columns()),
    }
}

/// Memory that rows reuse.
#[derive(Default)]
struct Scratch {
    near: Vec<u32>,
    hits: Vec<Hit>,
}

/// A site and a grid, with the walls that rays between them can meet.
struct View<'a> {
    site: Point3,
    grid: &'a Grid,
    segments: Vec<u32>,
}

impl<'a> View<'a> {
    fn new(scene: &Scene, site: Point3, grid: &'a Grid) -> Self {
        let (low, high) = (grid.centre(0, 0), grid.centre(grid.rows() - 1, grid.columns() - 1));
        let mut segments = Vec::new();
        scene.geometry.near(&scene.geometry.all(), site, low, high, &mut segments);
        Self { site, grid, segments }
    }

    /// Gains of one row: `[carrier][column]`.
    fn row(&self, scene: &Scene, row: usize, scratch: &mut Scratch) -> Vec<f32> {
        let columns = self.grid.columns();
        let mut out = vec![f32::NEG_INFINITY; columns * scene.carriers.len()];
        if !self.site.is_finite() {
            return out;
        }
        let (first, last) = (self.grid.centre(row, 0), self.grid.centre(row, columns - 1));
        scene.geometry.near(&self.segments, self.site, first, last, &mut scratch.near);
        // (λ/4π)², so that one logarithm gives the gain.
        let spread: Vec<f64> =
            scene.carriers.iter().map(|c| (c.wavelength() / (4.0 * std::f64::consts::PI)).powi(2)).collect();
        for column in 0..columns {
            let ray = Ray::new(self.site, self.grid.centre(row, column));
            scene.geometry.trace(&scratch.near, &ray, &mut scratch.hits);
            let distance = ray.length.max(MIN_DISTANCE);
            let inverse = 1.0 / (distance * distance);
            for group in 0..scene.groups() {
                let mut field = Field::VERTICAL;
                for hit in &scratch.hits {
                    scene.pass(hit, group, &mut field);
                }
                let both = field.both();
                for (lane, spread) in spread.iter().skip(group * LANES).take(LANES).enumerate() {
                    let share = both[lane].max(LEAST_SHARE) * (spread * inverse) as f32;
                    if let Some(cell) = out.get_mut((group * LANES + lane) * columns + column) {
                        *cell = 10.0 * share.log10();
                    }
                }
            }
        }
        out
    }
}
