//! What a statistical model knows of a link: length, frequency, and what the straight line crosses.

use building::{Electrical, ResolvedAssembly};
use findings::Id;
use units::{Hertz, Metres, Point3};

use super::ModelError;
use crate::geometry::{Met, Ray};
use crate::scene::Scene;

/// Walls with more solid material than this are heavy \[m\].
///
/// COST 231: light are plasterboard, particle board and thin (under 10 cm) light concrete walls, heavy are load-bearing and
/// thick (over 10 cm) walls of brick or concrete (from memory). What bears load is not known here, thickness is.
pub const HEAVY_FROM: f64 = 0.10;

/// Slabs nearer to each other than this, in height, are one floor \[m\]: a floor and the ceiling hung under it. A stated
/// choice, no source.
pub const ONE_FLOOR: f64 = 0.6;

/// Permittivity under which a layer counts as air, not as wall: wool, foam and cavities are below it, boards above. A
/// stated choice, no source.
const SOLID_FROM: f64 = 1.45;

/// Walls that a straight line crosses.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Walls {
    /// With at most [`HEAVY_FROM`] of solid material; doors and panes are such walls.
    pub light: usize,
    /// With more.
    pub heavy: usize,
    /// With a layer of metal or foil over the whole face, which neither class describes.
    pub metal: Vec<Id>,
}

impl Walls {
    /// How many there are.
    #[must_use]
    pub fn count(&self) -> usize {
        self.light + self.heavy + self.metal.len()
    }
}

/// Two places and what is between them.
#[derive(Clone, Debug, PartialEq)]
pub struct Link {
    /// One end.
    pub from: Point3,
    /// The other end.
    pub to: Point3,
    /// Frequency.
    pub frequency: Hertz,
    /// Walls that the straight line crosses.
    pub walls: Walls,
    /// Floors that it crosses; none through a stairwell.
    pub floors: usize,
}

impl Link {
    /// A link with nothing in its way.
    #[must_use]
    pub fn clear(from: Point3, to: Point3, frequency: Hertz) -> Self {
        Self { from, to, frequency, walls: Walls::default(), floors: 0 }
    }

    /// A link through a home, at one of the scene's carriers.
    ///
    /// # Model
    /// A wall counts once for each time that the line crosses it; in an opening the leaf or pane counts in its stead, an
    /// empty opening does not count. The solid material of a wall is the sum of its layers' thicknesses without air, wool and
    /// foam; of a framing layer the members count with their share of the face. Slabs within [`ONE_FLOOR`] are one floor.
    /// Fixed objects do not count: furniture is part of what statistical models were measured with.
    ///
    /// # Errors
    /// Ends that are not finite, or no such carrier.
    pub fn of(scene: &Scene, from: Point3, to: Point3, carrier_idx: usize) -> Result<Self, ModelError> {
        let carriers = scene.carriers();
        let Some(carrier) = carriers.get(carrier_idx) else {
            let (value, max) = (carrier_idx as f64, carriers.len() as f64 - 1.0);
            return Err(ModelError::Range { model: "a link", what: "carrier", value, min: 0.0, max, unit: "(index)" });
        };
        let mut link = Self::clear(from, to, carrier.centre);
        link.check()?;
        let mut hits = Vec::new();
        scene.geometry.trace(&scene.geometry.all(), &Ray::new(from, to), &mut hits);
        let mut heights = Vec::new();
        for hit in &hits {
            match hit.met {
                Met::Panel(..) => {
                    let Some(assembly) = scene.assembly(hit.assembly) else { continue };
                    match solid(assembly, carrier.centre) {
                        None => link.walls.metal.push(scene.element(hit.met)),
                        Some(thickness) if thickness > HEAVY_FROM => link.walls.heavy += 1,
                        Some(_) => link.walls.light += 1,
                    }
                }
                Met::Deck(deck) => heights.extend(scene.geometry.decks.get(deck as usize).map(|d| d.z)),
                Met::Block(..) => {}
            }
        }
        heights.sort_by(f64::total_cmp);
        let apart = heights.windows(2).filter(|pair| pair[1] - pair[0] > ONE_FLOOR).count();
        link.floors = if heights.is_empty() { 0 } else { apart + 1 };
        Ok(link)
    }

    /// Length of the straight line.
    #[must_use]
    pub fn distance(&self) -> Metres {
        Metres(self.from.distance(self.to))
    }

    /// True if nothing is in the way.
    #[must_use]
    pub fn is_clear(&self) -> bool {
        self.floors == 0 && self.walls.count() == 0
    }

    pub(super) fn check(&self) -> Result<(), ModelError> {
        for (what, value) in [("length", self.distance().0), ("frequency", self.frequency.0)] {
            if !value.is_finite() {
                return Err(ModelError::NotFinite { what, value });
            }
        }
        Ok(())
    }
}

/// Thickness of a wall's solid material \[m\]; none if metal covers its face.
fn solid(assembly: &ResolvedAssembly, frequency: Hertz) -> Option<f64> {
    let mut sum = 0.0;
    for layer in &assembly.layers {
        let members = layer.framing.as_ref().map_or(0.0, |f| (f.width / f.spacing).clamp(0.0, 1.0));
        let fill = match layer.material.electrical {
            Electrical::Metal | Electrical::Sheet { .. } | Electrical::Mesh { .. } => return None,
            Electrical::Dielectric { .. } => {
                let permittivity = layer.material.electrical.permittivity(frequency).map_or(1.0, |(real, _)| real);
                if permittivity >= SOLID_FROM { 1.0 } else { members }
            }
        };
        sum += fill * layer.thickness;
    }
    Some(sum)
}
