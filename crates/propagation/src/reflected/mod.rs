//! Maps with reflections: local-mean gain from sites to all cells of grids.
//!
//! The same paths as [`Scene::paths`] finds one pair of points at a time, found for a row of receivers at once: images
//! of the site are made once and shared by all cells, each with the walls that can stand in its light; along a row
//! everything on a path changes only at the edges of shadows, and between them the field is followed for several
//! receivers side by side. Powers only: the coherent sum belongs to a point, not to a cell.

mod bends;
mod bounds;
mod chain;
mod lanes;
mod level;
mod memory;
mod parts;
mod shadow;
mod sheet;
mod shine;
mod stage;
mod sum;
mod sweep;

use findings::{Cancelled, Progress};
use network::results::GainMap;
use rayon::prelude::*;
use units::{Db, Point3};

use crate::antenna::Site;
use crate::detour::Detour;
use crate::error::PropagationError;
use crate::grid::{Grid, MAX_CELLS};
use crate::map::empty;
use crate::paths::PathConfig;
use crate::scene::Scene;
use crate::search::face;
use crate::slab::Medium;
use crate::table::MIN_COS;

use chain::{Chain, Sequence};
use level::Levels;
use shadow::Rows;
use stage::Stage;
use sum::{power, times};
use sweep::{Powers, Scratch, World};

pub(crate) use lanes::Column;
pub use memory::MapMemory;

/// Images whose walls are kept at a time; bounds the memory in a building of any size.
const BATCH: usize = 4096;

/// Angles in the table of a block's face.
const FACE_INTERVALS: usize = 2048;

/// How maps are made.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MapConfig {
    /// Which paths are looked for.
    pub paths: PathConfig,
    /// Points along a cell's side; the map has the mean of the linear gain over their square. 1 is the centre alone.
    pub points: usize,
    /// Share of the gain at a point that paths left out may have together, proven by bounds: at most this, not about
    /// this. What is left out in fact is far less.
    pub neglect: f64,
}

impl Default for MapConfig {
    /// All reflections, 2 × 2 points a cell, and nothing left out.
    fn default() -> Self {
        Self { paths: PathConfig::default(), points: 2, neglect: 0.0 }
    }
}

/// Maps, and how sure they are.
#[derive(Clone, Debug)]
pub struct Maps {
    /// Gain over both polarisations: `[site][grid][carrier]`.
    pub gains: Vec<Vec<Vec<GainMap>>>,
    /// Largest error at any point by paths that were left out, proven.
    pub left_out: Db,
}

/// Why there are no maps.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum MapError {
    /// The grids are too large.
    #[error(transparent)]
    Grid(#[from] PropagationError),
    /// Someone asked to stop.
    #[error("the maps were cancelled")]
    Cancelled(Cancelled),
}

impl From<Cancelled> for MapError {
    fn from(cancelled: Cancelled) -> Self {
        Self::Cancelled(cancelled)
    }
}

impl Scene {
    /// Gain over both polarisations from each site to each cell, with reflections.
    ///
    /// # Model
    /// The incoherent sum of [`Scene::paths`]; the mean of the linear gain over [`MapConfig::points`]² points of each
    /// cell. Which paths there are is found at every point; how strong a path is at those points of a cell that have it is
    /// taken at the cell's centre, if it is longer than six cells, and what edges diffract always. Points within rounding of the edge of a shadow may fall on its other side. The same bits for any number of
    /// threads and on every machine. Sites that are not finite give −∞ dB.
    ///
    /// # Errors
    /// [`MapError::Cancelled`] if `progress` says so; [`MapError::Grid`] for no points or more than [`MAX_CELLS`] in a
    /// grid, before anything is allocated.
    pub fn maps_with(
        &self,
        sites: &[Site],
        grids: &[Grid],
        config: &MapConfig,
        progress: &dyn Progress,
    ) -> Result<Maps, MapError> {
        check(grids, config)?;
        let stage = Stage::new(None, self);
        let total = (sites.len() * grids.len()) as u64;
        let mut left_out = 0.0f32;
        let mut done = 0;
        let mut gains = Vec::with_capacity(sites.len());
        for site in sites {
            let mut of_site = Vec::with_capacity(grids.len());
            for grid in grids {
                let told = (progress, done, total);
                let mut powers = self.follow(&stage, (site, grid, config), told)?;
                if config.paths.diffraction && site.at.is_finite() {
                    self.diffract(site, grid, &mut powers, told)?;
                }
                for of_carrier in powers.iter().flat_map(|p| p.sums.iter().zip(&p.left_out)) {
                    for (&sum, left) in of_carrier.0.iter().zip(of_carrier.1) {
                        if sum > 0 {
                            left_out = left_out.max(left / power(sum));
                        }
                    }
                }
                done += 1;
                of_site.push((0..self.carriers.len()).map(|carrier| map_of(grid, carrier, &powers)).collect());
            }
            gains.push(of_site);
        }
        progress.step("path gain", total, total)?;
        Ok(Maps { gains, left_out: Db(10.0 * (1.0 + f64::from(left_out)).log10()) })
    }

    /// Powers by way of mirrors alone; if the stage has two scenes, what those of this one are more than those of the other.
    fn follow(
        &self,
        stage: &Stage<'_>,
        (site, grid, config): (&Site, &Grid, &MapConfig),
        told: (&dyn Progress, u64, u64),
    ) -> Result<Vec<Powers>, MapError> {
        let (progress, done, total) = told;
        progress.step("path gain", done, total)?;
        let mut powers = vec![Powers::new(self.carriers.len(), grid.columns(), config.neglect > 0.0); grid.rows()];
        if !site.at.is_finite() {
            return Ok(powers);
        }
        let points = config.points;
        let step = grid.cell() / points as f64;
        let order = config.paths.order();
        let spreads: Vec<f64> =
            self.carriers.iter().map(|c| (c.wavelength() / (4.0 * std::f64::consts::PI)).powi(2)).collect();
        let world = World {
            stage,
            spreads: &spreads,
            rows: Rows { first: grid.origin().x + 0.5 * step, step },
            count: (grid.columns() * points) as u32,
            points,
            bottom: grid.origin().y,
            ways: &Levels::all(&stage.geometry, &stage.surfaces, site.at.z, grid.z(), order),
            mounted: &site.mounted,
            most_gain: site.mounted.antenna.most_gain() as f32,
            order,
            neglect: config.neglect.clamp(0.0, 0.5) as f32,
        };
        Light { world: &world, progress: told }.all(site.at, order, &mut powers)?;
        Ok(powers)
    }

    /// Adds the paths by way of edges to the cells, taken at their centres.
    fn diffract(
        &self,
        site: &Site,
        grid: &Grid,
        powers: &mut [Powers],
        (progress, done, total): (&dyn Progress, u64, u64),
    ) -> Result<(), MapError> {
        powers.par_iter_mut().enumerate().try_for_each_init(Detour::default, |detour, (row, powers)| {
            progress.step("path gain", done, total)?;
            let ends = (grid.centre(row, 0), grid.centre(row, grid.columns().saturating_sub(1)));
            for edge in self.edges() {
                detour.aim(self, edge, site.at, ends);
                for column in 0..grid.columns() {
                    detour.powers(self, edge, (site, grid.centre(row, column)), |carrier, gain| {
                        if let Some(sum) = powers.sums.get_mut(carrier).and_then(|s| s.get_mut(column)) {
                            *sum = sum.wrapping_add(times(gain, 1));
                        }
                    });
                }
            }
            Ok(())
        })
    }
}

/// # Errors
/// [`MapError::Grid`] for no points or more than [`MAX_CELLS`] in a grid.
fn check(grids: &[Grid], config: &MapConfig) -> Result<(), MapError> {
    for grid in grids {
        let points = (grid.rows() * grid.columns()) as f64 * (config.points as f64).powi(2);
        if !(points >= 1.0 && points <= MAX_CELLS as f64) {
            let cell = grid.cell() / config.points.max(1) as f64;
            return Err(PropagationError::Grid { cells: points, cell, limit: MAX_CELLS }.into());
        }
    }
    Ok(())
}

/// What a face of a block of this reflects over the angle.
pub(crate) fn face_column(medium: Medium, frequency: f64) -> Column {
    let entries = (0..=FACE_INTERVALS).map(|i| {
        let cos = MIN_COS + (1.0 - MIN_COS) * i as f64 / FACE_INTERVALS as f64;
        let (te, tm) = face(medium, frequency, cos);
        let cross = te * tm.conj();
        [te.norm_sqr() as f32, tm.norm_sqr() as f32, cross.re as f32, cross.im as f32]
    });
    Column::new(entries.collect())
}

/// What is needed to make images and let them shine on the rows.
struct Light<'a> {
    world: &'a World<'a>,
    /// Who is told, and how many maps of how many are done.
    progress: (&'a dyn Progress, u64, u64),
}

impl Light<'_> {
    /// All images of a site, those with fewer mirrors first: what they bring lets weak ones be left out.
    fn all(&self, site: Point3, order: usize, powers: &mut [Powers]) -> Result<(), MapError> {
        let stage = self.world.stage;
        let mut sequences = vec![Sequence::site([site.x, site.y])];
        for mirrors in 0..=order {
            let mut batch = Vec::new();
            let mut next = Vec::new();
            for sequence in &sequences {
                // Sequences of the last order are never all held: their number may be large.
                if mirrors + 1 < order {
                    next.extend(sequence.longer(stage));
                }
                batch.push(sequence.clone());
                if batch.len() >= BATCH {
                    self.shine(&batch, powers)?;
                    batch.clear();
                }
            }
            self.shine(&batch, powers)?;
            if mirrors + 1 == order {
                let mut batch = Vec::new();
                for sequence in &sequences {
                    batch.extend(sequence.longer(stage));
                    if batch.len() >= BATCH {
                        self.shine(&batch, powers)?;
                        batch.clear();
                    }
                }
                self.shine(&batch, powers)?;
                break;
            }
            sequences = next;
        }
        Ok(())
    }

    fn shine(&self, batch: &[Sequence], powers: &mut [Powers]) -> Result<(), MapError> {
        let world = self.world;
        let is_touched = |chain: &Chain| world.is_touched(chain, powers.len());
        let chains: Vec<Chain> = batch
            .par_iter()
            .filter_map(|s| s.prepare(world.stage, (world.rows, world.heights(s.order())), is_touched))
            .collect();
        powers.par_iter_mut().enumerate().try_for_each_init(Scratch::default, |scratch, (row, powers)| {
            let (progress, done, total) = self.progress;
            progress.step("path gain", done, total)?;
            for chain in &chains {
                self.world.sweep(chain, row, scratch, powers);
            }
            Ok(())
        })
    }
}

fn map_of(grid: &Grid, carrier: usize, powers: &[Powers]) -> GainMap {
    let mut map = empty(grid);
    for row in powers {
        let sums = row.sums.get(carrier).into_iter().flatten();
        map.gain_db.extend(sums.map(|&sum| 10.0 * power(sum).log10()));
    }
    map
}
