//! Spaces: rooms with their names, outlines and stated areas.

use building::RoomUse;

use crate::ImportError;
use crate::entity::Entity;
use crate::geometry::Geometry;
use crate::plan::{Area, is_sound};
use crate::report::Collector;
use crate::storeys::{Level, unique};
use crate::words::room_use;

/// A space of the model.
#[derive(Clone, Debug)]
pub(crate) struct Space {
    pub id: String,
    pub global_id: String,
    pub name: String,
    pub level: usize,
    pub usage: RoomUse,
    pub area: Area,
    /// Floor and underside of the ceiling [m].
    pub z0: f64,
    pub z1: f64,
    /// Area that the model states [m²].
    pub stated: Option<f64>,
}

impl<'m> Geometry<'m> {
    /// Every space with a shape, in file order.
    pub fn spaces(&self, levels: &[Level], report: &mut Collector) -> Result<Vec<Space>, ImportError> {
        let mut spaces: Vec<Space> = Vec::new();
        for e in self.model.all(&["IFCSPACE"]) {
            let short = e.text(2).or_else(|| e.text(7)).unwrap_or_else(|| format!("room-{}", e.id()));
            let name = e.text(7).unwrap_or_else(|| short.clone());
            if e.name(9) == "GFA" {
                report.left_out("spaces", "they measure gross floor area and are no rooms", short);
                continue;
            }
            let Some(body) = self.body(e)? else {
                report.left_out("spaces", "they have no shape that can be read", short);
                continue;
            };
            let mut areas = body.footprint();
            areas.retain(is_sound);
            areas.sort_by(|a, b| b.size().total_cmp(&a.size()));
            let (Some((low, high)), Some(area)) = (body.bounds(), areas.first().cloned()) else {
                report.left_out("spaces", "their shape encloses no area", short);
                continue;
            };
            if areas.len() > 1 {
                report.guessed("rooms of several separate parts", "the largest part is taken", short.clone());
            }
            let id = short.parse().unwrap_or_else(|_| findings::Id::from_label(&short));
            let id = unique(id.as_str(), |i| spaces.iter().any(|s| s.id == i));
            let mut usage = room_use(&name);
            if e.name(9) == "EXTERNAL" {
                usage = RoomUse::Outdoor;
            }
            spaces.push(Space {
                id,
                global_id: e.global_id(),
                name,
                level: self.level_of(e, low[2], levels),
                usage,
                area,
                z0: low[2],
                z1: high[2],
                stated: self.stated_area(e),
            });
        }
        Ok(spaces)
    }

    /// The floor area in the space's quantities or properties [m²].
    fn stated_area(&self, space: Entity<'m>) -> Option<f64> {
        // The quantity's name, best first: the base quantities of IFC, then whatever is an area of no wall or ceiling.
        let rank = |name: &str| match name.to_lowercase().as_str() {
            "netfloorarea" => Some(0),
            "grossfloorarea" => Some(1),
            n if ["wall", "ceiling", "window", "door", "volume", "side"].iter().any(|w| n.contains(w)) => None,
            n if n.contains("area") => Some(2),
            _ => Some(3),
        };
        let mut best: Option<(i32, f64)> = None;
        let mut offer = |rank: Option<i32>, value: Option<f64>| {
            if let (Some(r), Some(v)) = (rank, value.filter(|v| *v > 0.))
                && best.is_none_or(|b| r < b.0)
            {
                best = Some((r, v));
            }
        };
        for set in self.model.property_sets(space.index) {
            if set.is(&["IFCELEMENTQUANTITY"]) {
                for q in set.entities(5).filter(|q| q.is(&["IFCQUANTITYAREA"])) {
                    let value = q.real(3).map(|v| v * self.model.square_metre);
                    offer(rank(&q.text(0).unwrap_or_default()), value);
                }
            } else {
                for p in set.entities(4).filter(|p| p.at(2).type_name() == "IFCAREAMEASURE") {
                    let value = p.real(2).map(|v| v * self.model.square_metre);
                    offer(rank(&p.text(0).unwrap_or_default()).map(|r| r + 10), value);
                }
            }
        }
        best.map(|b| b.1)
    }
}
