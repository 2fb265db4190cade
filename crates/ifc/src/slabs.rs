//! Floors, ceilings, roofs and stairs.

use building::SlabKind;

use crate::ImportError;
use crate::entity::Entity;
use crate::geometry::Geometry;
use crate::layers::{BuildUp, RawLayer};
use crate::plan::{Area, P2, difference, is_sound, least_rectangle, union};
use crate::report::Collector;
use crate::shape::Shape;
use crate::storeys::Level;
use crate::walls::named_layers;
use crate::words::finish;

/// A floor, ceiling or roof of the model.
#[derive(Clone, Debug)]
pub(crate) struct Plate {
    pub id: String,
    pub global_id: String,
    pub kind: SlabKind,
    pub level: usize,
    pub area: Area,
    pub z0: f64,
    pub z1: f64,
    /// From top to bottom.
    pub layers: Vec<RawLayer>,
    pub build_up: String,
    /// A pane that fills a hole in a roof.
    pub is_glazed: bool,
}

/// A stair of the model.
#[derive(Clone, Debug)]
pub(crate) struct Flight {
    pub id: String,
    pub outline: Vec<P2>,
    /// Middle of its lowest and highest part.
    pub foot: P2,
    pub head: P2,
    pub z0: f64,
    pub z1: f64,
}

impl<'m> Geometry<'m> {
    /// Floors, ceilings and roofs, in file order.
    pub fn plates(&self, levels: &[Level], report: &mut Collector) -> Result<Vec<Plate>, ImportError> {
        let mut plates: Vec<Plate> = Vec::new();
        let wanted = ["IFCSLAB", "IFCSLABSTANDARDCASE", "IFCSLABELEMENTEDCASE", "IFCROOF", "IFCCOVERING"];
        for e in self.model.all(&wanted) {
            let what = match e.keyword() {
                "IFCROOF" => "roofs",
                "IFCCOVERING" => "coverings",
                _ => "slabs",
            };
            let kind = match (e.keyword(), e.name(8)) {
                ("IFCROOF", _) | (_, "ROOF" | "ROOFING") => SlabKind::Roof,
                ("IFCCOVERING", "CEILING") => SlabKind::Ceiling,
                ("IFCCOVERING", "FLOORING") => SlabKind::Floor,
                ("IFCCOVERING", _) => {
                    report.left_out("coverings", "they are neither ceiling nor flooring", e.global_id());
                    continue;
                }
                _ => SlabKind::Floor,
            };
            let Some(body) = self.body(e)? else {
                // The parts of a roof come as slabs of their own.
                if !self.model.parts.contains_key(&e.index) {
                    report.left_out(what, "they have no shape that can be read", e.global_id());
                }
                continue;
            };
            let Some((low, high)) = body.bounds() else { continue };
            let mut areas = body.footprint();
            areas.retain(is_sound);
            // A roof made of slabs may be voided itself, or its slabs may.
            let whole = self.model.parent.get(&e.index).filter(|w| self.model.entity(**w).is(&["IFCROOF"]));
            let mut panes: Vec<(Entity<'m>, Area)> = Vec::new();
            for voided in whole.into_iter().chain([&e.index]) {
                for opening in self.model.voids.get(voided).into_iter().flatten() {
                    let Some(cut) = self.body(self.model.entity(*opening))? else { continue };
                    let filler = self.model.filler.get(opening).map(|f| self.model.entity(*f));
                    for hole in cut.footprint() {
                        let before: f64 = areas.iter().map(Area::size).sum();
                        areas = areas.iter().flat_map(|a| difference(a, &hole)).collect();
                        let is_cut = areas.iter().map(Area::size).sum::<f64>() < before - 1e-3;
                        if let Some(f) = filler.filter(|f| is_cut && f.is(&["IFCWINDOW", "IFCWINDOWSTANDARDCASE"])) {
                            panes.push((f, hole));
                        }
                    }
                }
            }
            if areas.is_empty() {
                report.left_out(what, "their shape encloses no area seen from above", e.global_id());
                continue;
            }
            let (z0, z1) = self.faces_of(&body, &areas, (low[2], high[2]), &e.global_id(), report);
            let build_up = self.model.build_up(e);
            let layers = self.plate_layers(e, &build_up, kind, z1 - z0, report);
            let level = self.level_of(e, low[2], levels);
            let id = format!("s{}", plates.len() + 1);
            report.understood(what, id.clone());
            for (k, area) in areas.iter().enumerate() {
                plates.push(Plate {
                    id: if areas.len() > 1 { format!("{id}.{}", k + 1) } else { id.clone() },
                    global_id: e.global_id(),
                    kind,
                    level,
                    area: area.clone(),
                    z0,
                    z1,
                    layers: layers.clone(),
                    build_up: if build_up.name.is_empty() {
                        e.text(4).unwrap_or_default()
                    } else {
                        build_up.name.clone()
                    },
                    is_glazed: false,
                });
            }
            for (window, area) in panes {
                let id = format!("s{}", plates.len() + 1);
                report.guessed("roof windows", "a double pane without coating fills the hole in the roof", id.clone());
                let (global_id, layers, build_up) = (window.global_id(), Vec::new(), String::new());
                plates.push(Plate { id, global_id, kind, level, area, z0, z1, layers, build_up, is_glazed: true });
            }
        }
        Ok(plates)
    }

    /// Lower and upper face: those of the shape, or the mean of a sloping one.
    fn faces_of(
        &self,
        body: &Shape,
        areas: &[Area],
        bounds: (f64, f64),
        id: &str,
        report: &mut Collector,
    ) -> (f64, f64) {
        let mut found: Vec<(f64, f64)> = Vec::new();
        for area in areas {
            let (l, h) = crate::plan::bounds(&area.outer);
            for i in 0..6 {
                for j in 0..6 {
                    let at = |k: usize, n: f64| l[k] + (h[k] - l[k]) * (n + 0.37) / 6.;
                    let p = [at(0, f64::from(i)), at(1, f64::from(j))];
                    if area.contains(p)
                        && let (Some(a), Some(b)) = (body.spans(p).first(), body.spans(p).last())
                    {
                        found.push((a.0, b.1));
                    }
                }
            }
        }
        let n = found.len() as f64;
        let thickness = found.iter().map(|f| f.1 - f.0).sum::<f64>() / n;
        let top = found.iter().map(|f| f.1).sum::<f64>() / n;
        if found.is_empty() || !thickness.is_finite() || thickness < 1e-6 {
            return bounds;
        }
        if found.iter().any(|f| (f.1 - top).abs() > 0.05) {
            report.guessed("sloping slabs and roofs", "a level slab at the mean height stands for them", id);
        }
        (top - thickness, top)
    }

    /// Layers from top to bottom.
    fn plate_layers(
        &self,
        e: Entity<'m>,
        build_up: &BuildUp,
        kind: SlabKind,
        thickness: f64,
        report: &mut Collector,
    ) -> Vec<RawLayer> {
        if build_up.layers.is_empty() {
            let name = format!("{} {}", e.text(2).unwrap_or_default(), build_up.name);
            return named_layers(&build_up.materials, &name, thickness.max(1e-4), &e.global_id(), report);
        }
        let mut layers = build_up.layers.clone();
        // Running with the axis (upwards), the first layer is the lowest.
        if build_up.usage.is_some_and(|u| !u.0) {
            layers.reverse();
        }
        // Finishes tell which way is up where an export turned the set over.
        let weight = |layers: &[RawLayer]| -> i64 {
            let n = layers.len() as i64;
            layers.iter().enumerate().map(|(i, l)| i64::from(finish(&l.name)) * (n - 1 - 2 * i as i64)).sum()
        };
        if weight(&layers) < 0 {
            layers.reverse();
            report.guessed(
                match kind {
                    SlabKind::Floor => "floors whose layers are listed against their sense",
                    SlabKind::Ceiling => "ceilings whose layers are listed against their sense",
                    SlabKind::Roof => "roofs whose layers are listed against their sense",
                },
                "the finish lies on top and the board below",
                e.global_id(),
            );
        }
        if build_up.usage.is_none() {
            report.guessed(
                "slabs whose layers have no stated sense",
                "the set is read from top to bottom",
                e.global_id(),
            );
        }
        layers
    }

    /// Stairs and ramps.
    pub fn flights(&self, report: &mut Collector) -> Result<Vec<Flight>, ImportError> {
        let mut flights = Vec::new();
        let kinds = ["IFCSTAIR", "IFCSTAIRFLIGHT", "IFCRAMP", "IFCRAMPFLIGHT"];
        for e in self.model.all(&kinds) {
            let whole = self.model.parent.get(&e.index).map(|p| self.model.entity(*p));
            if whole.is_some_and(|w| w.is(&["IFCSTAIR", "IFCRAMP"])) {
                continue;
            }
            let mut shapes: Vec<Shape> = self.body(e)?.into_iter().collect();
            for part in self.model.parts.get(&e.index).into_iter().flatten() {
                let part = self.model.entity(*part);
                if part.is(&["IFCSTAIRFLIGHT", "IFCRAMPFLIGHT", "IFCSLAB"]) {
                    shapes.extend(self.body(part)?);
                }
            }
            let corners: Vec<_> = shapes.iter().flat_map(Shape::corners).collect();
            let z = corners.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |m, c| (m.0.min(c[2]), m.1.max(c[2])));
            if corners.is_empty() || z.1 - z.0 < 0.5 || !z.0.is_finite() {
                report.left_out("stairs", "they have no shape that rises half a metre", e.global_id());
                continue;
            }
            let middle = |near: &dyn Fn(f64) -> bool| {
                let some: Vec<P2> = corners.iter().filter(|c| near(c[2])).map(|c| [c[0], c[1]]).collect();
                let (l, h) = crate::plan::bounds(&some);
                [(l[0] + h[0]) / 2., (l[1] + h[1]) / 2.]
            };
            let foot = middle(&|c| c < z.0 + 0.1);
            let head = middle(&|c| c > z.1 - 0.1);
            let flat: Vec<P2> = corners.iter().map(|c| [c[0], c[1]]).collect();
            // A dog-leg stair keeps its own outline; a straight one is its rectangle.
            let seen = union(&shapes.iter().flat_map(Shape::footprint).collect::<Vec<_>>());
            let outline = match (seen.as_slice(), least_rectangle(&flat)) {
                ([one], _) if one.outer.len() <= 64 => one.outer.clone(),
                (_, Some(r)) => r.to_vec(),
                _ => continue,
            };
            let id = format!("stair-{}", flights.len() + 1);
            report.understood("stairs", id.clone());
            flights.push(Flight { id, outline, foot, head, z0: z.0, z1: z.1 });
        }
        Ok(flights)
    }
}
