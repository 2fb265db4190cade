//! Maps with reflections: local-mean gain from sites to all cells of grids.
//!
//! The same paths as [`Scene::paths`] finds one pair of points at a time, found for a row of receivers at once: images
//! of the site are made once and shared by all cells, each with the walls that can stand in its light; along a row
//! everything on a path changes only at the edges of shadows, and between them the field is followed for several
//! receivers side by side. Powers only: the coherent sum belongs to a point, not to a cell.

mod bounds;
mod chain;
mod lanes;
mod level;
mod sheet;
mod shine;
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
use crate::table::MIN_COS;

use chain::{Chain, Rows, Sequence};
use lanes::Column;
use level::Levels;
use sweep::{Powers, Scratch, World};

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
        for grid in grids {
            let points = (grid.rows() * grid.columns()) as f64 * (config.points as f64).powi(2);
            if !(points >= 1.0 && points <= MAX_CELLS as f64) {
                let cell = grid.cell() / config.points.max(1) as f64;
                return Err(PropagationError::Grid { cells: points, cell, limit: MAX_CELLS }.into());
            }
        }
        let surfaces = self.surfaces();
        let sheets = sheet::sheets(&self.geometry, surfaces);
        let of_plane = sheet::by_plane(&sheets, surfaces.planes.len());
        let columns: Vec<Vec<Column>> = (0..self.carriers.len()).map(|carrier| self.columns(carrier)).collect();
        let spreads: Vec<f64> =
            self.carriers.iter().map(|c| (c.wavelength() / (4.0 * std::f64::consts::PI)).powi(2)).collect();
        let order = config.paths.order();
        let total = (sites.len() * grids.len()) as u64;
        let mut left_out = 0.0f32;
        let mut done = 0;
        let mut gains = Vec::with_capacity(sites.len());
        for site in sites {
            let mut of_site = Vec::with_capacity(grids.len());
            for grid in grids {
                progress.step("path gain", done, total)?;
                let points = config.points;
                let step = grid.cell() / points as f64;
                let rows = Rows { first: grid.origin().x + 0.5 * step, step };
                let mut powers = vec![Powers::new(self.carriers.len(), grid.columns()); grid.rows()];
                if site.at.is_finite() {
                    let ways = Levels::all(&self.geometry, surfaces, site.at.z, grid.z(), order);
                    let world = World {
                        scene: self,
                        sheets: &sheets,
                        columns: &columns,
                        spreads: &spreads,
                        rows,
                        count: (grid.columns() * points) as u32,
                        points,
                        bottom: grid.origin().y,
                        ways: &ways,
                        mounted: &site.mounted,
                        most_gain: site.mounted.antenna.most_gain() as f32,
                        order,
                        neglect: config.neglect.clamp(0.0, 0.5) as f32,
                    };
                    let light = Light {
                        world: &world,
                        sheets: &sheets,
                        of_plane: &of_plane,
                        progress: (progress, done, total),
                    };
                    light.all(site.at, order, &mut powers)?;
                    if config.paths.diffraction {
                        self.diffract(site, grid, &mut powers, (progress, done, total))?;
                    }
                }
                for of_carrier in powers.iter().flat_map(|p| p.power.iter().zip(&p.left_out)) {
                    for (power, left) in of_carrier.0.iter().zip(of_carrier.1) {
                        if *power > 0.0 {
                            left_out = left_out.max(left / power);
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
                        if let Some(power) = powers.power.get_mut(carrier).and_then(|p| p.get_mut(column)) {
                            *power += gain;
                        }
                    });
                }
            }
            Ok(())
        })
    }

    /// Columns of one carrier: through, from the first and from the last side for each assembly, then blocks' faces.
    fn columns(&self, carrier: usize) -> Vec<Column> {
        let mut out = Vec::new();
        for stuff in &self.stuff {
            out.extend(stuff.tables.iter().map(|table| Column::of(table, carrier)));
        }
        for block in 0..self.geometry.blocks.len() as u32 {
            let entries = (0..=FACE_INTERVALS).map(|i| {
                let cos = MIN_COS + (1.0 - MIN_COS) * i as f64 / FACE_INTERVALS as f64;
                let (te, tm) = self.medium(block, carrier).map_or_else(Default::default, |m| face(m, cos));
                let cross = te * tm.conj();
                [te.norm_sqr() as f32, tm.norm_sqr() as f32, cross.re as f32, cross.im as f32]
            });
            out.push(Column::new(entries.collect()));
        }
        out
    }
}

/// What is needed to make images and let them shine on the rows.
struct Light<'a> {
    world: &'a World<'a>,
    sheets: &'a [sheet::Sheet],
    of_plane: &'a [(usize, usize)],
    /// Who is told, and how many maps of how many are done.
    progress: (&'a dyn Progress, u64, u64),
}

impl Light<'_> {
    /// All images of a site, those with fewer mirrors first: what they bring lets weak ones be left out.
    fn all(&self, site: Point3, order: usize, powers: &mut [Powers]) -> Result<(), MapError> {
        let surfaces = self.world.scene.surfaces();
        let mut sequences = vec![Sequence::site([site.x, site.y])];
        for mirrors in 0..=order {
            let mut batch = Vec::new();
            let mut next = Vec::new();
            for sequence in &sequences {
                // Sequences of the last order are never all held: their number may be large.
                if mirrors + 1 < order {
                    next.extend(sequence.longer(surfaces, self.sheets, self.of_plane));
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
                    batch.extend(sequence.longer(surfaces, self.sheets, self.of_plane));
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
        let home = (&world.scene.geometry, world.scene.surfaces());
        let chains: Vec<Chain> = batch
            .par_iter()
            .map(|s| {
                let rows = (world.rows, world.heights(s.order()));
                s.prepare(home, (self.sheets, self.of_plane), rows, |stuff, answer| world.column(stuff, answer))
            })
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
        let power = row.power.get(carrier).into_iter().flatten();
        map.gain_db.extend(power.map(|p| 10.0 * p.log10()));
    }
    map
}
