//! Path gains of a home on the paths that designs are judged on, each found once.

use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, PoisonError};

use building::Resolved;
use findings::{Cancelled, NoProgress, Progress, Source};
use network::RadioSetting;
use network::results::GainMap;
use propagation::antenna::Antenna;
use propagation::{Carrier, Grid, MapConfig, MapError, MapMemory, PathConfig, Paths, Scene, Site};
use radio_profile::Band;
use units::{Db, Hertz, Point3};

use crate::coverage::{Field, frequency_shift};
use crate::home::NotComputable;

/// Carrier of each band at which walls are computed; free space is taken at the channel itself.
pub(crate) const CARRIERS: [Carrier; 3] = [
    Carrier::new(Hertz::from_mhz(2437.0), Hertz::from_mhz(20.0)),
    Carrier::new(Hertz::from_mhz(5500.0), Hertz::from_mhz(80.0)),
    Carrier::new(Hertz::from_mhz(6265.0), Hertz::from_mhz(80.0)),
];

/// The paths that designs are judged on. A third reflection adds 0.2 to 0.3 dB on average and takes over ten times as
/// long (README of `propagation`).
const JUDGED: PathConfig = PathConfig { reflections: 2, diffraction: true };

/// The paths that candidate places are compared on before the best are judged.
const COMPARED: PathConfig = PathConfig { reflections: 1, diffraction: false };

/// Bands of a home's radios.
pub(crate) const BANDS: usize = CARRIERS.len();

/// Path gains from one site, `[carrier][cell]` [dB].
pub(crate) type SiteGains = Arc<Vec<Vec<f32>>>;

/// Sites whose gains are kept; a part that is moved about leaves one at every stop.
const KEPT_SITES: usize = 500;

/// A place to the millimetre.
type Place = [i64; 3];

fn place(p: Point3) -> Place {
    [p.x, p.y, p.z].map(|v| (v * 1000.0).round() as i64)
}

/// What the paths of a level are, for the sources of figures.
pub(crate) fn sources() -> [Source; 2] {
    [
        Source::model(
            "direct path, up to two reflections and one diffraction through layered slabs; both directions, 95 % of the time",
        ),
        Source::standard("ITU-R P.2040-4; ITU-R P.525"),
    ]
}

/// Path gains of a home.
pub(crate) struct Gains {
    scene: Scene,
    /// By site, to the cells that designs are assessed on.
    sites: Mutex<Vec<(Site, SiteGains)>>,
    /// Whole maps, brought up to date after edits; shared with the gains of the home before.
    memory: Arc<Mutex<MapMemory>>,
    /// By both ends without patterns, at each carrier.
    pairs: Mutex<BTreeMap<[Place; 2], [Db; BANDS]>>,
}

impl Gains {
    pub fn new(home: &Resolved) -> Result<Self, NotComputable> {
        let scene = Scene::new(home, &CARRIERS).map_err(|e| NotComputable::because(e.to_string()))?;
        Ok(Self { scene, sites: Mutex::default(), memory: Arc::default(), pairs: Mutex::default() })
    }

    /// The same for the home after an edit.
    pub fn after_edit(&self, home: &Resolved) -> Result<Self, NotComputable> {
        let scene = self.scene.after_edit(home).map_err(|e| NotComputable::because(e.to_string()))?;
        Ok(Self { scene, sites: Mutex::default(), memory: self.memory.clone(), pairs: Mutex::default() })
    }

    /// All paths from an antenna to a place at the carrier of a band; into its strongest direction the antenna has no
    /// gain of its own, since that is in what is radiated.
    pub fn paths(&self, from: &Site, to: Point3, band: Band) -> Paths {
        let mut found = self.scene.paths_between(from, &to.into(), band.index(), &JUDGED);
        let peak = peak(from);
        for gain in [&mut found.gain, &mut found.gain_vertical, &mut found.gain_coherent] {
            *gain -= peak;
        }
        for path in &mut found.paths {
            path.gain -= peak;
            path.gain_vertical -= peak;
            path.antenna_gains[0] -= peak;
        }
        found
    }

    /// Gain between two places at the carrier of a band, alike into all directions.
    pub fn at_carrier(&self, from: Point3, to: Point3, band: Band) -> Db {
        let key = [place(from), place(to)];
        if let Some(known) = self.pairs.lock().unwrap_or_else(PoisonError::into_inner).get(&key) {
            return known[band.index()];
        }
        let found = Band::ALL.map(|band| self.paths(&from.into(), to, band).gain);
        self.pairs.lock().unwrap_or_else(PoisonError::into_inner).insert(key, found);
        found[band.index()]
    }

    /// Gain from an antenna to a place at a setting's channel.
    pub fn between(&self, from: &Site, to: Point3, setting: &RadioSetting) -> Db {
        let gain = if from.mounted.antenna == Antenna::Isotropic {
            self.at_carrier(from.at, to, setting.band)
        } else {
            self.paths(from, to, setting.band).gain
        };
        gain + Db(frequency_shift(CARRIERS[setting.band.index()].centre, setting.centre))
    }

    /// Gains from sites to the centres of the cells of grids, `[site][grid][carrier]`.
    pub fn maps(
        &self,
        sites: &[Site],
        grids: &[Grid],
        progress: &dyn Progress,
    ) -> Result<Vec<Vec<Vec<GainMap>>>, MapError> {
        // Whoever else is at the memory keeps it; the bits are the same without.
        match self.memory.try_lock() {
            Ok(mut memory) => {
                let maps = self.scene.maps_again(sites, grids, &config(JUDGED), &mut memory, progress)?;
                Ok(off_peak(sites, maps.gains))
            }
            Err(_) => self.maps_on(JUDGED, sites, grids, progress),
        }
    }

    /// The same on fewer paths, for comparing places and for a quick look.
    pub fn quick_maps(
        &self,
        sites: &[Site],
        grids: &[Grid],
        progress: &dyn Progress,
    ) -> Result<Vec<Vec<Vec<GainMap>>>, MapError> {
        self.maps_on(COMPARED, sites, grids, progress)
    }

    fn maps_on(
        &self,
        paths: PathConfig,
        sites: &[Site],
        grids: &[Grid],
        progress: &dyn Progress,
    ) -> Result<Vec<Vec<Vec<GainMap>>>, MapError> {
        Ok(off_peak(sites, self.scene.maps_with(sites, grids, &config(paths), progress)?.gains))
    }

    /// Gains from candidate places to the cells of a field [dB], `[place][carrier][cell]`, for comparing them.
    pub fn compared(&self, field: &Field, places: &[Point3]) -> Vec<Vec<Vec<f32>>> {
        let places: Vec<Site> = places.iter().map(|&at| at.into()).collect();
        // Grids were laid out by the field, and nobody cancels.
        let maps = self.quick_maps(&places, &field.grids, &NoProgress).unwrap_or_default();
        maps.iter().map(|maps| of_cells(field, maps)).collect()
    }

    /// Gains from sites to the cells of a field, always the same one; those known already are not computed again.
    pub fn of_sites(
        &self,
        field: &Field,
        sites: &[Site],
        progress: &dyn Progress,
    ) -> Result<Vec<SiteGains>, Cancelled> {
        let find = |known: &[(Site, SiteGains)], site: &Site| {
            known.iter().find(|(other, _)| is_same(other, site)).map(|(_, gains)| gains.clone())
        };
        let mut missing: Vec<Site> = Vec::new();
        {
            let known = self.sites.lock().unwrap_or_else(PoisonError::into_inner);
            for site in sites {
                if find(&known, site).is_none() && !missing.iter().any(|other| is_same(other, site)) {
                    missing.push(site.clone());
                }
            }
        }
        let maps = match self.maps(&missing, &field.grids, progress) {
            Ok(maps) => maps,
            Err(MapError::Cancelled(cancelled)) => return Err(cancelled),
            // The field's grids were checked when it was made.
            Err(MapError::Grid(_)) => Vec::new(),
        };
        let mut known = self.sites.lock().unwrap_or_else(PoisonError::into_inner);
        known.extend(missing.into_iter().zip(&maps).map(|(site, maps)| (site, Arc::new(of_cells(field, maps)))));
        let gains = sites.iter().filter_map(|site| find(&known, site)).collect();
        let too_many = known.len().saturating_sub(KEPT_SITES);
        known.drain(..too_many);
        Ok(gains)
    }
}

fn config(paths: PathConfig) -> MapConfig {
    MapConfig { paths, points: 1, neglect: 0.0 }
}

/// Takes the antennas' strongest directions off their maps.
fn off_peak(sites: &[Site], mut gains: Vec<Vec<Vec<GainMap>>>) -> Vec<Vec<Vec<GainMap>>> {
    for (site, maps) in sites.iter().zip(&mut gains) {
        let peak = peak(site).0 as f32;
        if peak != 0.0 {
            maps.iter_mut().flatten().flat_map(|map| &mut map.gain_db).for_each(|gain| *gain -= peak);
        }
    }
    gains
}

/// What an antenna sends into its strongest direction.
fn peak(site: &Site) -> Db {
    Db(10.0 * site.mounted.antenna.most_gain().log10())
}

fn is_same(a: &Site, b: &Site) -> bool {
    place(a.at) == place(b.at) && a.mounted == b.mounted
}

/// The cells of a field out of the maps of its grids, `[carrier][cell]`.
fn of_cells(field: &Field, maps: &[Vec<GainMap>]) -> Vec<Vec<f32>> {
    (0..BANDS).map(|c| field.cells.iter().map(|&(grid, at)| maps[grid][c].gain_db[at]).collect()).collect()
}
