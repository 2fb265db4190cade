//! From the document's parts to the home as engines see it.

mod faces;
pub(crate) mod joints;
mod mounts;
mod passages;
mod rooms;
mod spaces;

use std::collections::BTreeMap;

use findings::{Finding, Id, Severity};
use units::Point2;

use crate::elements::{Building, Wall};
use crate::geometry::{add, direction, tidy};
use crate::library;
use crate::material::{Electrical, Material};
use crate::resolved::{
    Block, Cut, Deck, Panel, Resolved, ResolvedAssembly, ResolvedFraming, ResolvedLayer, ResolvedOutlet, ResolvedStorey,
};
use crate::validate::structural;
use joints::{Bodies, Body};

pub use joints::JOIN_TOLERANCE;
pub(crate) use passages::{neighbours as neighbouring_rooms, touching};

/// An outlet this far outside every room still belongs to the nearest one: sockets are drawn on or in walls [m].
const OUTLET_REACH: f64 = 0.3;

impl Resolved {
    /// Derives a home from its building.
    ///
    /// # Model
    /// - A wall stands from its storey's floor plus `base` to its stated height, or to the ceiling.
    /// - Wall ends that meet other walls are extended so that centre lines meet ([`JOIN_TOLERANCE`]).
    /// - A slab's assembly hangs below its upper face.
    /// - A room without an outline is the face between the walls that contains its point; if no rooms are given, every
    ///   enclosed face of at least 0.5 m² and 0.3 m wide is a room.
    /// - Rooms are joined by doors and gaps, by a shared boundary of more than 0.5 m with no wall on it, and by stairs.
    ///
    /// # Errors
    /// Every finding of severity `fails` or worse that [`validate`](crate::validate) lists.
    pub fn new(building: &Building) -> Result<Self, Vec<Finding>> {
        let mut found = structural(building);
        found.retain(|f| f.severity <= Severity::Fails);
        if !found.is_empty() {
            return Err(found);
        }
        let (resolved, mut found) = derive(building);
        found.retain(|f| f.severity <= Severity::Fails);
        if found.is_empty() { Ok(resolved) } else { Err(found) }
    }

    /// Index of the room of a storey that contains a point; the first if outlines overlap.
    #[must_use]
    pub fn room_at(&self, storey: usize, at: Point2) -> Option<usize> {
        self.rooms.iter().position(|r| r.storey == storey && r.contains(at))
    }

    /// Floor area of every room under a roof [m²].
    #[must_use]
    pub fn served_area(&self) -> f64 {
        self.rooms.iter().filter(|r| r.usage != crate::RoomUse::Outdoor).map(|r| r.area).sum()
    }

    /// Index of the storey whose floor is nearest below a height; the lowest storey if it is below all.
    #[must_use]
    pub fn storey_at(&self, z: f64) -> Option<usize> {
        let below = self.storeys.iter().rposition(|s| s.floor_z <= z);
        below.or(if self.storeys.is_empty() { None } else { Some(0) })
    }
}

/// Derives a home from a building in which [`structural`] found nothing that fails.
pub(crate) fn derive(building: &Building) -> (Resolved, Vec<Finding>) {
    let mut resolved = Resolved { storeys: storeys(building), ..Resolved::default() };
    let storey_idx: BTreeMap<Id, usize> = resolved.storeys.iter().enumerate().map(|(i, s)| (s.id.clone(), i)).collect();
    let mut parts = Parts { building, storey_idx, assembly_idx: BTreeMap::new(), assemblies: Vec::new() };
    resolved.panels = parts.panels(&resolved.storeys);
    resolved.decks = parts.decks(&resolved.storeys);
    resolved.blocks = parts.blocks(&resolved.storeys);
    let bodies = Bodies::new(resolved.panels.iter().map(Body::from).collect());
    let mut found = Vec::new();
    resolved.rooms = rooms::rooms(building, &resolved.storeys, &parts.storey_idx, &bodies, &mut found);
    resolved.outlets = parts.outlets(&resolved);
    resolved.demarcation = building.demarcation.as_ref().and_then(|d| {
        let storey = parts.storey(&d.storey)?;
        Some(d.at.at_height(resolved.storeys[storey].floor_z + d.height.0))
    });
    spaces::add(building, &parts.storey_idx, &mut resolved);
    resolved.passages = passages::passages(building, &resolved, &bodies, &parts.storey_idx);
    resolved.assemblies = parts.assemblies;
    (resolved, found)
}

impl From<&Panel> for Body {
    fn from(p: &Panel) -> Self {
        Self { a: p.a, b: p.b, thickness: p.thickness, z0: p.z0, z1: p.z1 }
    }
}

fn storeys(building: &Building) -> Vec<ResolvedStorey> {
    let mut storeys: Vec<ResolvedStorey> = building
        .storeys
        .iter()
        .map(|s| ResolvedStorey {
            id: s.id.clone(),
            name: s.name.clone(),
            floor_z: s.elevation.0,
            ceiling_z: s.elevation.0 + s.height.0,
            usage: s.usage,
        })
        .collect();
    storeys.sort_by(|a, b| a.floor_z.total_cmp(&b.floor_z).then_with(|| a.id.cmp(&b.id)));
    storeys
}

/// Foot and head of a wall above its storey's floor [m].
pub(crate) fn wall_extent(wall: &Wall, storey_height: f64) -> (f64, f64) {
    (wall.base.0, wall.height.map_or(storey_height, |h| wall.base.0 + h.0))
}

/// The building with its ids looked up. Everything that `structural` lets pass resolves; what does not is left out.
struct Parts<'a> {
    building: &'a Building,
    storey_idx: BTreeMap<Id, usize>,
    assembly_idx: BTreeMap<Id, usize>,
    assemblies: Vec<ResolvedAssembly>,
}

impl Parts<'_> {
    fn storey(&self, id: &Id) -> Option<usize> {
        self.storey_idx.get(id).copied()
    }

    /// Index and thickness [m] of an assembly, put on the list at its first use.
    fn assembly(&mut self, id: &Id) -> Option<(usize, f64)> {
        let index = match self.assembly_idx.get(id) {
            Some(&index) => index,
            None => {
                let resolved = resolve_assembly(self.building, id)?;
                self.assemblies.push(resolved);
                self.assembly_idx.insert(id.clone(), self.assemblies.len() - 1);
                self.assemblies.len() - 1
            }
        };
        Some((index, self.assemblies[index].layers.iter().map(|l| l.thickness).sum()))
    }

    fn panels(&mut self, storeys: &[ResolvedStorey]) -> Vec<Panel> {
        let mut panels: Vec<Panel> = Vec::new();
        for wall in &self.building.walls {
            let (Some(storey), Some((assembly, thickness))) =
                (self.storey(&wall.storey), self.assembly(&wall.assembly))
            else {
                continue;
            };
            let at = &storeys[storey];
            let (foot, head) = wall_extent(wall, at.ceiling_z - at.floor_z);
            panels.push(Panel {
                wall: wall.id.clone(),
                storey,
                kind: wall.kind,
                a: wall.from,
                b: wall.to,
                z0: at.floor_z + foot,
                z1: at.floor_z + head,
                thickness,
                assembly,
                cuts: Vec::new(),
            });
        }
        self.cut(&mut panels, storeys);
        let extensions = joints::extensions(&Bodies::new(panels.iter().map(Body::from).collect()));
        for (panel, (at_a, at_b)) in panels.iter_mut().zip(extensions) {
            let along = direction(panel.a, panel.b);
            panel.a = add(panel.a, along, -at_a);
            panel.b = add(panel.b, along, at_b);
            for cut in &mut panel.cuts {
                cut.s0 += at_a;
                cut.s1 += at_a;
            }
        }
        panels
    }

    fn cut(&mut self, panels: &mut [Panel], storeys: &[ResolvedStorey]) {
        let panel_idx: BTreeMap<Id, usize> = panels.iter().enumerate().map(|(i, p)| (p.wall.clone(), i)).collect();
        for opening in &self.building.openings {
            let Some(&index) = panel_idx.get(&opening.wall) else { continue };
            let assembly = opening.assembly.as_ref().and_then(|id| self.assembly(id)).map(|(index, _)| index);
            let panel = &mut panels[index];
            let floor = storeys[panel.storey].floor_z;
            let length = panel.a.distance(panel.b);
            let lower = floor + opening.sill.0;
            panel.cuts.push(Cut {
                opening: opening.id.clone(),
                kind: opening.kind,
                // Within the tolerance of `validate` an opening may stick out of its wall: it is clipped.
                s0: opening.at.0.clamp(0.0, length),
                s1: (opening.at.0 + opening.width.0).clamp(0.0, length),
                z0: lower.clamp(panel.z0, panel.z1),
                z1: (lower + opening.height.0).clamp(panel.z0, panel.z1),
                assembly: if opening.kind == crate::OpeningKind::Gap { None } else { assembly },
            });
        }
        for panel in panels {
            panel.cuts.sort_by(|a, b| {
                a.s0.total_cmp(&b.s0).then(a.z0.total_cmp(&b.z0)).then_with(|| a.opening.cmp(&b.opening))
            });
        }
    }

    fn decks(&mut self, storeys: &[ResolvedStorey]) -> Vec<Deck> {
        let mut decks = Vec::new();
        for slab in &self.building.slabs {
            let (Some(storey), Some((assembly, thickness))) =
                (self.storey(&slab.storey), self.assembly(&slab.assembly))
            else {
                continue;
            };
            let z_top = storeys[storey].floor_z + slab.top.0;
            decks.push(Deck {
                slab: slab.id.clone(),
                storey,
                kind: slab.kind,
                outline: tidy(slab.outline.iter().copied(), true),
                holes: slab.holes.iter().map(|h| tidy(h.iter().copied(), false)).collect(),
                z_top,
                z_bottom: z_top - thickness,
                assembly,
            });
        }
        decks
    }

    fn blocks(&self, storeys: &[ResolvedStorey]) -> Vec<Block> {
        let block = |object: &crate::FixedObject| {
            let floor = storeys[self.storey(&object.storey)?].floor_z;
            let electrical: Electrical = library::find_material(self.building, &object.material)?.electrical;
            Some(Block {
                object: object.id.clone(),
                outline: tidy(object.outline.iter().copied(), true),
                z0: floor + object.base.0,
                z1: floor + object.base.0 + object.height.0,
                electrical,
            })
        };
        self.building.fixed_objects.iter().filter_map(block).collect()
    }

    fn outlets(&self, resolved: &Resolved) -> Vec<ResolvedOutlet> {
        let outlet = |outlet: &crate::Outlet| {
            let storey = self.storey(&outlet.storey)?;
            Some(ResolvedOutlet {
                outlet: outlet.id.clone(),
                kind: outlet.kind,
                room: rooms::room_near(resolved, storey, outlet.at, OUTLET_REACH),
                at: outlet.at.at_height(resolved.storeys[storey].floor_z + outlet.height.0),
            })
        };
        self.building.outlets.iter().filter_map(outlet).collect()
    }
}

fn resolve_assembly(building: &Building, id: &Id) -> Option<ResolvedAssembly> {
    let assembly = library::find_assembly(building, id)?;
    let material = |id: &Id| -> Option<Material> { library::find_material(building, id).cloned() };
    let layers = assembly
        .layers
        .iter()
        .map(|layer| {
            let framing = match &layer.framing {
                None => None,
                Some(f) => {
                    Some(ResolvedFraming { material: material(&f.material)?, spacing: f.spacing.0, width: f.width.0 })
                }
            };
            Some(ResolvedLayer { material: material(&layer.material)?, thickness: layer.thickness.0, framing })
        })
        .collect::<Option<Vec<_>>>()?;
    Some(ResolvedAssembly { id: assembly.id.clone(), name: assembly.name.clone(), layers })
}
