//! Path gains of a home on the paths that designs are judged on, each found once.

use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, PoisonError};

use building::Resolved;
use findings::{Cancelled, NoProgress, Progress, Source};
use network::RadioSetting;
use network::results::GainMap;
use propagation::{Carrier, Grid, MapConfig, MapError, PathConfig, Paths, Scene, Site};
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
/// long (measured in the storey of `propagation`'s validation).
const JUDGED: PathConfig = PathConfig { reflections: 2, diffraction: true };

/// The paths that candidate places are compared on before the best are judged.
const COMPARED: PathConfig = PathConfig { reflections: 1, diffraction: false };

/// Bands of a home's radios.
pub(crate) const BANDS: usize = CARRIERS.len();

/// Path gains from one site, `[carrier][cell]` [dB].
pub(crate) type SiteGains = Arc<Vec<Vec<f32>>>;

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
    sites: Mutex<BTreeMap<Place, SiteGains>>,
    /// By both ends, at each carrier.
    pairs: Mutex<BTreeMap<[Place; 2], [Db; BANDS]>>,
}

impl Gains {
    pub fn new(home: &Resolved) -> Result<Self, NotComputable> {
        let scene = Scene::new(home, &CARRIERS).map_err(|e| NotComputable::because(e.to_string()))?;
        Ok(Self { scene, sites: Mutex::default(), pairs: Mutex::default() })
    }

    /// The same for the home after an edit.
    pub fn after_edit(&self, home: &Resolved) -> Result<Self, NotComputable> {
        let scene = self.scene.after_edit(home).map_err(|e| NotComputable::because(e.to_string()))?;
        Ok(Self { scene, sites: Mutex::default(), pairs: Mutex::default() })
    }

    /// All paths between two places at the carrier of a band.
    pub fn paths(&self, from: Point3, to: Point3, band: Band) -> Paths {
        self.scene.paths(from, to, band.index(), &JUDGED)
    }

    /// Gain between two places at the carrier of a band.
    pub fn at_carrier(&self, from: Point3, to: Point3, band: Band) -> Db {
        let key = [place(from), place(to)];
        if let Some(known) = self.pairs.lock().unwrap_or_else(PoisonError::into_inner).get(&key) {
            return known[band.index()];
        }
        let found = Band::ALL.map(|band| self.paths(from, to, band).gain);
        self.pairs.lock().unwrap_or_else(PoisonError::into_inner).insert(key, found);
        found[band.index()]
    }

    /// Gain between two places at a setting's channel.
    pub fn between(&self, from: Point3, to: Point3, setting: &RadioSetting) -> Db {
        let shift = frequency_shift(CARRIERS[setting.band.index()].centre, setting.centre);
        self.at_carrier(from, to, setting.band) + Db(shift)
    }

    /// Gains from sites to the centres of the cells of grids, `[site][grid][carrier]`.
    pub fn maps(
        &self,
        sites: &[Point3],
        grids: &[Grid],
        progress: &dyn Progress,
    ) -> Result<Vec<Vec<Vec<GainMap>>>, MapError> {
        self.maps_on(JUDGED, sites, grids, progress)
    }

    fn maps_on(
        &self,
        paths: PathConfig,
        sites: &[Point3],
        grids: &[Grid],
        progress: &dyn Progress,
    ) -> Result<Vec<Vec<Vec<GainMap>>>, MapError> {
        let sites: Vec<Site> = sites.iter().map(|&at| Site::from(at)).collect();
        let config = MapConfig { paths, points: 1, neglect: 0.0 };
        self.scene.maps_with(&sites, grids, &config, progress).map(|maps| maps.gains)
    }

    /// Gains from candidate places to the cells of a field [dB], `[place][carrier][cell]`, for comparing them.
    pub fn compared(&self, field: &Field, places: &[Point3]) -> Vec<Vec<Vec<f32>>> {
        // Grids were laid out by the field, and nobody cancels.
        let maps = self.maps_on(COMPARED, places, &field.grids, &NoProgress).unwrap_or_default();
        maps.iter().map(|maps| of_cells(field, maps)).collect()
    }

    /// Gains from sites to the cells of a field, always the same one; those known already are not computed again.
    pub fn of_sites(
        &self,
        field: &Field,
        sites: &[Point3],
        progress: &dyn Progress,
    ) -> Result<Vec<SiteGains>, Cancelled> {
        let mut missing: Vec<Point3> = Vec::new();
        {
            let known = self.sites.lock().unwrap_or_else(PoisonError::into_inner);
            for &site in sites {
                if !known.contains_key(&place(site)) && !missing.iter().any(|&m| place(m) == place(site)) {
                    missing.push(site);
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
        for (&site, maps) in missing.iter().zip(&maps) {
            known.insert(place(site), Arc::new(of_cells(field, maps)));
        }
        Ok(sites.iter().filter_map(|&site| known.get(&place(site)).cloned()).collect())
    }
}

/// The cells of a field out of the maps of its grids, `[carrier][cell]`.
fn of_cells(field: &Field, maps: &[Vec<GainMap>]) -> Vec<Vec<f32>> {
    (0..BANDS).map(|c| field.cells.iter().map(|&(grid, at)| maps[grid][c].gain_db[at]).collect()).collect()
}
