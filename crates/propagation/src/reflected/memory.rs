//! Maps that are brought up to date instead of made anew.
//!
//! A map is a sum over paths, and what a path brings depends only on what is on it. So of a map that is known for one
//! scene and asked for another, only paths that meet something that is not the same in both are followed: as they were,
//! and taken away, and as they are, and added. Sums are whole numbers (see [`super::sum`]), so that what is left has the
//! bits of a map that is made anew. Nothing is guessed from edits: scenes are compared bit by bit (see [`super::stage`]).

use std::sync::Arc;

use findings::Progress;
use units::Db;

use crate::antenna::Site;
use crate::grid::Grid;
use crate::paths::PathConfig;
use crate::scene::{Scene, Stuff};

use super::bends::changed;
use super::stage::Stage;
use super::sum::Sum;
use super::sweep::Powers;
use super::{MapConfig, MapError, Maps, check, map_of};

/// Maps that [`Scene::maps_again`] brings up to date, bounded in memory; those not asked for longest are forgotten first.
///
/// A map takes 16 bytes for each cell and carrier. The scenes that the maps are known for are kept too; scenes made by
/// [`Scene::after_edit`] share their tables.
#[derive(Clone, Debug)]
pub struct MapMemory {
    limit: usize,
    /// The one asked for longest ago first.
    entries: Vec<Entry>,
}

/// A map of one site and grid.
#[derive(Clone, Debug)]
struct Entry {
    site: Site,
    grid: Grid,
    points: usize,
    paths: PathConfig,
    scene: Arc<Scene>,
    /// `[row][carrier][cell]`.
    powers: Vec<Powers>,
}

impl MapMemory {
    /// A memory of at most about `limit` bytes. Zero keeps nothing.
    #[must_use]
    pub const fn new(limit: usize) -> Self {
        Self { limit, entries: Vec::new() }
    }

    /// Memory that the maps and their scenes take, tables that scenes share counted once \[bytes\].
    #[must_use]
    pub fn bytes(&self) -> usize {
        let mut scenes: Vec<&Arc<Scene>> = self.entries.iter().map(|e| &e.scene).collect();
        scenes.sort_by_key(|scene| Arc::as_ptr(scene));
        scenes.dedup_by(|a, b| Arc::ptr_eq(a, b));
        let mut assemblies: Vec<&Arc<Stuff>> = scenes.iter().flat_map(|s| &s.stuff).collect();
        assemblies.sort_by_key(|assembly| Arc::as_ptr(assembly));
        assemblies.dedup_by(|a, b| Arc::ptr_eq(a, b));
        let maps = self.entries.iter().map(|e| e.grid.rows() * e.grid.columns() * e.scene.carriers.len());
        maps.sum::<usize>() * size_of::<Sum>()
            + scenes.iter().map(|s| s.bytes()).sum::<usize>()
            + assemblies.iter().map(|a| a.bytes()).sum::<usize>()
    }

    /// Number of maps, one for each site and grid.
    #[must_use]
    pub fn maps(&self) -> usize {
        self.entries.len()
    }

    fn position(&self, scene: &Scene, (site, grid, config): (&Site, &Grid, &MapConfig)) -> Option<usize> {
        let place = |site: &Site| [site.at.x, site.at.y, site.at.z].map(f64::to_bits);
        self.entries.iter().position(|e| {
            place(&e.site) == place(site)
                && e.site.mounted == site.mounted
                && e.grid == *grid
                && e.points == config.points
                && e.paths == config.paths
                && e.scene.carriers == scene.carriers
                && e.scene.tolerance == scene.tolerance
        })
    }

    /// The scenes that maps are known for, each once.
    fn scenes(&self) -> Vec<Arc<Scene>> {
        let mut out: Vec<Arc<Scene>> = Vec::new();
        for entry in &self.entries {
            if !out.iter().any(|known| Arc::ptr_eq(known, &entry.scene)) {
                out.push(entry.scene.clone());
            }
        }
        out
    }

    /// Takes a map in, or up to date, as the one that was asked for last.
    fn keep(&mut self, entry: Entry, at: Option<usize>) {
        if let Some(at) = at {
            self.entries.remove(at);
        }
        self.entries.push(entry);
        while self.bytes() > self.limit && !self.entries.is_empty() {
            self.entries.remove(0);
        }
    }
}

impl Default for MapMemory {
    /// 256 MiB.
    fn default() -> Self {
        Self::new(256 << 20)
    }
}

impl Scene {
    /// The same maps as [`Scene::maps_with`] gives, to the last bit, with what `memory` knows of them for this or another
    /// scene at the same carriers: an earlier state of the home, say.
    ///
    /// # Model
    /// Of a map that is known for another scene only the paths that meet something that is not the same in both are
    /// followed, twice. A map of a site that was not asked for before is made anew; so are all if
    /// [`MapConfig::neglect`] is not zero, since what may be left out depends on all that there is, and they are then not
    /// remembered.
    ///
    /// # Errors
    /// As [`Scene::maps_with`]. If it is cancelled the memory is as good as before.
    pub fn maps_again(
        &self,
        sites: &[Site],
        grids: &[Grid],
        config: &MapConfig,
        memory: &mut MapMemory,
        progress: &dyn Progress,
    ) -> Result<Maps, MapError> {
        if config.neglect != 0.0 {
            return self.maps_with(sites, grids, config, progress);
        }
        check(grids, config)?;
        let total = (sites.len() * grids.len()) as u64;
        let mut done = 0;
        let known = memory.scenes();
        let is_this = |scene: &&Arc<Self>| {
            scene.carriers == self.carriers && scene.tolerance == self.tolerance && changed(scene, self).is_empty()
        };
        let this = known.iter().find(is_this).cloned().unwrap_or_else(|| Arc::new(self.clone()));
        let mut stages: Vec<Option<Stage<'_>>> = known.iter().map(|_| None).collect();
        let mut whole = None;
        let mut gains = Vec::with_capacity(sites.len());
        for site in sites {
            let mut of_site = Vec::with_capacity(grids.len());
            for grid in grids {
                let (asked, told) = ((site, grid, config), (progress, done, total));
                progress.step("path gain", done, total)?;
                let at = memory.position(self, asked);
                let entry = at.and_then(|at| memory.entries.get(at));
                let old = entry.and_then(|e| known.iter().position(|scene| Arc::ptr_eq(scene, &e.scene)));
                let powers = match (entry, old.and_then(|i| Some((known.get(i)?, stages.get_mut(i)?)))) {
                    (Some(entry), _) if Arc::ptr_eq(&entry.scene, &this) => entry.powers.clone(),
                    (Some(entry), Some((old, stage))) => {
                        let stage = &*stage.get_or_insert_with(|| Stage::new(Some(old), &this));
                        let mut powers = self.follow(stage, asked, told)?;
                        if config.paths.diffraction && site.at.is_finite() {
                            self.diffract_again(old, (site, grid), &mut powers, told)?;
                        }
                        add(&mut powers, &entry.powers);
                        powers
                    }
                    _ => {
                        let stage = &*whole.get_or_insert_with(|| Stage::new(None, &this));
                        let mut powers = self.follow(stage, asked, told)?;
                        if config.paths.diffraction && site.at.is_finite() {
                            self.diffract(site, grid, &mut powers, told)?;
                        }
                        powers
                    }
                };
                of_site.push((0..self.carriers.len()).map(|carrier| map_of(grid, carrier, &powers)).collect());
                let (site, grid, scene) = (site.clone(), grid.clone(), this.clone());
                memory.keep(Entry { site, grid, points: config.points, paths: config.paths, scene, powers }, at);
                done += 1;
            }
            gains.push(of_site);
        }
        progress.step("path gain", total, total)?;
        Ok(Maps { gains, left_out: Db(0.0) })
    }
}

fn add(change: &mut [Powers], known: &[Powers]) {
    for (change, known) in change.iter_mut().zip(known) {
        for (sum, known) in change.sums.iter_mut().flatten().zip(known.sums.iter().flatten()) {
            *sum = sum.wrapping_add(*known);
        }
    }
}
