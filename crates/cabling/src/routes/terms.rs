//! What ways and holes cost in minutes of work, and the limits that routes keep.

use std::collections::BTreeMap;

use findings::{Id, Source};
use network::wiring::{HoleKind, Way};
use site::Site;
use units::Metres;

/// Whether cables may pass rooms with water.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum WetRooms {
    /// Nothing runs in them or under their floor, where their pipes are.
    PassAround,
    /// They are rooms like others.
    PassThrough,
}

/// What routes cost and which limits they keep.
///
/// # Units
/// Costs are minutes of one person's work. They weigh ways against each other before any price is known; they are no
/// estimate of the hours of a job. All of them are common practice without a source, and all can be set.
#[derive(Clone, Debug, PartialEq)]
pub struct RouteTerms {
    /// Minutes for each metre of each cable, by what it runs in.
    pub pull: BTreeMap<Way, f64>,
    /// Minutes for each metre that is made ready once for all cables: raceway, groove, trench, run on the facade.
    pub set_up: BTreeMap<Way, f64>,
    /// Minutes for a hole, by what it goes through; masonry and concrete take [`RouteTerms::solid`] times that.
    pub hole: BTreeMap<HoleKind, f64>,
    /// How much longer a hole in masonry or concrete takes.
    pub solid: f64,
    /// Minutes for a seal against fire.
    pub seal: f64,
    /// Minutes for a cable that is there already: test and label it.
    pub existing: f64,
    /// Least distance from mains cables that run beside.
    pub separation: Metres,
    /// Who asks for that distance.
    pub separation_source: Source,
    /// Whether cables may pass rooms with water.
    pub wet_rooms: WetRooms,
    /// True if a wall to a neighbour may be drilled where the home goes on behind it.
    pub through_party_walls: bool,
    /// Loop left at the end nearer to the line.
    pub panel_loop: Metres,
    /// Loop left behind an outlet.
    pub outlet_loop: Metres,
    /// How far a length may be off before walls are closed, as a share of it.
    pub spread: f64,
    /// Most holes through joists for one cable before it is reported.
    pub most_joists: u32,
    /// Outer diameters of cables by part.
    pub diameters: BTreeMap<Id, Metres>,
    /// Outer diameter of a cable whose part is not listed.
    pub diameter: Metres,
}

impl Default for RouteTerms {
    fn default() -> Self {
        use Way::{
            AcrossJoists, Attic, Buried, CeilingVoid, Chase, Conduit, CrawlSpace, Existing, Facade, JoistBay, Open,
            OpenCeiling, Raceway, Riser, StudBay, Through, UnderDoor,
        };
        let pull = [
            (StudBay, 0.6),
            (JoistBay, 0.6),
            (AcrossJoists, 0.8),
            (CeilingVoid, 0.5),
            (Attic, 0.7),
            (CrawlSpace, 1.0),
            (OpenCeiling, 0.6),
            (Riser, 0.5),
            (Conduit, 0.3),
            (Raceway, 0.4),
            (Chase, 0.4),
            (Facade, 1.0),
            (Buried, 0.4),
            (Existing, 0.0),
            (Open, 0.2),
            (Through, 1.0),
            (UnderDoor, 1.0),
        ];
        let set_up = [(Raceway, 6.0), (Chase, 30.0), (Facade, 15.0), (Buried, 40.0), (UnderDoor, 10.0)];
        let hole = [
            (HoleKind::Wall, 10.0),
            (HoleKind::PartyWall, 30.0),
            (HoleKind::OuterWall, 25.0),
            (HoleKind::Floor, 15.0),
            (HoleKind::Plate, 10.0),
            (HoleKind::Joist, 6.0),
        ];
        Self {
            pull: pull.into(),
            set_up: set_up.into(),
            hole: hole.into(),
            solid: 2.0,
            seal: 10.0,
            existing: 5.0,
            separation: Metres(0.05),
            separation_source: Source::common_practice(),
            wet_rooms: WetRooms::PassAround,
            through_party_walls: true,
            panel_loop: Metres(3.0),
            outlet_loop: Metres(0.4),
            spread: 0.10,
            most_joists: 12,
            // Generic figures: category 6 is 5.5 to 6.5 mm thick, 6A unscreened 7 to 8 mm.
            diameters: [(Id::from_label(equipment::id::CABLE_CAT6A), Metres(0.0075))].into(),
            diameter: Metres(0.0062),
        }
    }
}

impl RouteTerms {
    /// Terms for a site: the defaults with the distance from mains that its code region asks for.
    ///
    /// North America: 50 mm between communications wires and power conductors not in raceway (NEC 800.133(A)(2), from
    /// memory). Elsewhere 100 mm, for unscreened cable beside a few circuits (EN 50174-2 tables 4 and 5, from memory, rounded up).
    #[must_use]
    pub fn for_site(site: &Site) -> Self {
        let region = site.code_region.as_deref().unwrap_or(&site.country);
        let is_in = |country: &str| region.get(..2).is_some_and(|c| c.eq_ignore_ascii_case(country));
        let (separation, source) = if is_in("US") || is_in("CA") {
            (0.05, Source::regulation("NEC 800.133(A)(2)").from_memory())
        } else {
            (0.10, Source::standard("EN 50174-2, tables 4 and 5").from_memory())
        };
        Self { separation: Metres(separation), separation_source: source, ..Self::default() }
    }

    /// Minutes for a metre of one cable; never negative, and large for what makes no sense.
    pub(crate) fn pull(&self, way: Way) -> f64 {
        sound(self.pull.get(&way).copied().unwrap_or(1.0))
    }

    /// Minutes for a metre made ready.
    pub(crate) fn set_up(&self, way: Way) -> f64 {
        sound(self.set_up.get(&way).copied().unwrap_or(0.0))
    }

    /// Minutes for a hole with its seal.
    pub(crate) fn hole(&self, kind: HoleKind, solid: bool, seal: bool) -> f64 {
        let plain = sound(self.hole.get(&kind).copied().unwrap_or(15.0));
        plain * if solid { sound(self.solid) } else { 1.0 } + if seal { sound(self.seal) } else { 0.0 }
    }

    /// Loops at the nearer end and at the outlet [m], and the spread of lengths; the usual ones for what makes no sense.
    pub(crate) fn loops(&self) -> (f64, f64, f64) {
        let usual = Self::default();
        let or = |x: f64, usual: f64| if x.is_finite() && x >= 0.0 { x } else { usual };
        (
            or(self.panel_loop.0, usual.panel_loop.0),
            or(self.outlet_loop.0, usual.outlet_loop.0),
            or(self.spread, usual.spread),
        )
    }

    /// Outer diameter of a cable part [m].
    pub(crate) fn diameter(&self, part: &Id) -> f64 {
        let d = self.diameters.get(part).unwrap_or(&self.diameter).0;
        if d.is_finite() && d > 0.0 { d } else { Self::default().diameter.0 }
    }
}

/// A cost that can be added; what is negative or not a number counts as very dear rather than as free.
fn sound(minutes: f64) -> f64 {
    if minutes.is_finite() && minutes >= 0.0 { minutes } else { 1e6 }
}

/// Largest share of a hole or pipe that cables may fill: one cable 53 %, two 31 %, more 40 % (NEC chapter 9 table 1, from
/// memory).
#[must_use]
pub(crate) fn fill(cables: usize) -> f64 {
    match cables {
        0 | 1 => 0.53,
        2 => 0.31,
        _ => 0.40,
    }
}
