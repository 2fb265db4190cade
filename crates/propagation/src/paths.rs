//! All paths between two points: direct, reflected, diffracted, and what each of them meets.
//!
//! What they are and how they are asked for; how they are found is in `search`, whole maps are in `reflected`.

use findings::Id;
use network::results::Crossing;
use num_complex::Complex64;
use units::{Db, Metres, Point3};

use crate::antenna::Site;
use crate::scene::Scene;
use crate::search::{Search, Sums};

/// Most reflections that a path can have; more are not looked for.
pub const MAX_REFLECTIONS: usize = 3;

/// Which paths are looked for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PathConfig {
    /// Most reflections of one path, at most [`MAX_REFLECTIONS`].
    pub reflections: usize,
    /// Whether paths that edges diffract, once and without reflections, are looked for too.
    pub diffraction: bool,
}

impl PathConfig {
    /// The direct path alone.
    pub const DIRECT: Self = Self { reflections: 0, diffraction: false };

    pub(crate) fn order(self) -> usize {
        self.reflections.min(MAX_REFLECTIONS)
    }
}

impl Default for PathConfig {
    fn default() -> Self {
        Self { reflections: MAX_REFLECTIONS, diffraction: false }
    }
}

/// What arrives at a point.
#[derive(Clone, Debug, PartialEq)]
pub struct Paths {
    /// Local-mean gain: the sum of the paths' powers, both polarisations taken in.
    pub gain: Db,
    /// The same with a vertically polarised receiver.
    pub gain_vertical: Db,
    /// Gain at the carrier's centre, at exactly this point, with a vertically polarised receiver: the sum of the
    /// paths' fields with their phases.
    pub gain_coherent: Db,
    /// The paths, the strongest first.
    pub paths: Vec<RayPath>,
}

/// One path.
#[derive(Clone, Debug, PartialEq)]
pub struct RayPath {
    /// Local-mean gain, both polarisations taken in.
    pub gain: Db,
    /// The same with a vertically polarised receiver.
    pub gain_vertical: Db,
    /// Field at the receiver along theta and phi over that of an isotropic transmitter at one wavelength over 4π, at the
    /// carrier's centre: amplitude and phase, delay included.
    pub field: [Complex64; 2],
    /// Length of the way.
    pub length: Metres,
    /// Time of flight \[s\].
    pub delay: f64,
    /// Free-space loss over the length, positive.
    pub free_space: Db,
    /// Gains of the transmitter's and the receiver's antenna into the path's directions.
    pub antenna_gains: [Db; 2],
    /// Straight pieces, from the transmitter to the receiver.
    pub legs: Vec<Leg>,
}

/// A straight piece of a path.
#[derive(Clone, Debug, PartialEq)]
pub struct Leg {
    /// Where it starts.
    pub from: Point3,
    /// Where it ends.
    pub to: Point3,
    /// What it passes through, in order.
    pub crossings: Vec<Crossing>,
    /// What happens at its end; nothing at the receiver.
    pub end: Option<Interaction>,
}

/// What turns a path.
#[derive(Clone, Debug, PartialEq)]
pub enum Interaction {
    /// A mirror: what it is, the angle of incidence and what the reflection costs.
    Reflection(Crossing),
    /// A straight edge: a jamb, lintel or sill, a wall's end or top, a floor's or void's rim, a metal object's corner.
    Diffraction {
        /// The wall, opening, floor or object whose edge it is.
        element: Id,
        /// Angle by which the way turns in space \[°\].
        angle_deg: f64,
        /// What the diffraction costs, over free space along the whole way.
        loss: Db,
    },
}

impl RayPath {
    /// How many reflections it has.
    #[must_use]
    pub fn num_reflections(&self) -> usize {
        self.legs.iter().filter(|leg| matches!(leg.end, Some(Interaction::Reflection(_)))).count()
    }
}

impl Scene {
    /// All direct and reflected paths from a vertically polarised transmitter to a point.
    ///
    /// # Model
    /// Images in the planes of walls, floors and the faces of fixed objects; every piece of a path loses what everything
    /// in its way costs at the true angle, and the field is followed in both polarisations through every crossing and
    /// reflection. Walls stand as sheets on their centre planes. A reflection in an opening is that of its leaf or pane;
    /// an empty opening reflects nothing. A fixed object reflects as a half space of its material, from
    /// outside, with faces of at least 0.5 m by 0.5 m.
    ///
    /// Powers are means over the channel and the thickness tolerance ([`Wall`](crate::wall::Wall)); fields are those at the channel's
    /// centre and the stated thicknesses.
    ///
    /// A transmitter or receiver in a mirror's plane is not reflected by it. Surfaces within 1 µm of one plane are one
    /// mirror; where they overlap the first reflects. The rest is as for [`Scene::path`], which this equals with no
    /// reflections.
    ///
    /// # Validity
    /// Finite points, aims of antennas and an index into [`Scene::carriers`]; anything else has no path and a gain of −∞ dB. The work
    /// grows nearly as the number of planes to the power of the reflections: milliseconds in a house, about two seconds for 1,000 walls
    /// and three reflections; it cannot be stopped on its way.
    #[must_use]
    pub fn paths(&self, from: Point3, to: Point3, carrier_idx: usize, config: &PathConfig) -> Paths {
        self.paths_between(&from.into(), &to.into(), carrier_idx, config)
    }

    /// As [`Scene::paths`], with antennas at both ends.
    ///
    /// The receiver's gain into a path's direction counts in full for [`Paths::gain`], which takes in both polarisations; for
    /// the vertical and coherent gains the receiver takes what has its antenna's polarisation (an isotropic antenna's is
    /// vertical).
    #[must_use]
    pub fn paths_between(&self, from: &Site, to: &Site, carrier_idx: usize, config: &PathConfig) -> Paths {
        let is_somewhere = from.is_finite() && to.is_finite();
        let ends = [&from.mounted, &to.mounted];
        let (from, to) = (from.at, to.at);
        let nothing = Db(f64::NEG_INFINITY);
        let none = Paths { gain: nothing, gain_vertical: nothing, gain_coherent: nothing, paths: Vec::new() };
        let Some(&carrier) = self.carriers.get(carrier_idx) else { return none };
        if !is_somewhere || !from.distance(to).is_finite() {
            return none;
        }
        let mut search = Search::new(self, ends, (from, to), (carrier_idx, carrier), config.order());
        search.all(config.diffraction);
        let Search { sums, mut paths, .. } = search;
        let Sums { both, vertical, field } = sums;
        paths.sort_by(|a, b| b.gain.total_cmp(&a.gain));
        let db = |share: f64| Db(10.0 * share.log10());
        Paths { gain: db(both), gain_vertical: db(vertical), gain_coherent: db(field.norm_sqr()), paths }
    }
}
