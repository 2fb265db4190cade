//! Numbers that are not finite, and sizes that no home has.

use findings::{Edit, Finding, Id};
use units::Point2;

use super::rules;
use crate::elements::{Building, CableEnd, StoreyUse};
use crate::library;
use crate::material::{Electrical, Material};

/// Places farther from the origin than this are absurd [m].
const MAX_COORDINATE: f64 = 10_000.0;
/// Heights of storeys, walls, openings and objects [m].
const HEIGHTS: (f64, f64) = (0.001, 100.0);
/// Lengths of walls [m].
const WALL_LENGTHS: (f64, f64) = (0.001, 500.0);
/// Inner diameters of pipes for cables [m].
const BORES: (f64, f64) = (0.005, 0.5);
/// Widths of openings [m].
const WIDTHS: (f64, f64) = (0.001, 500.0);
/// Thicknesses of layers that are not sheets [m].
const THICKNESSES: (f64, f64) = (1e-5, 5.0);

/// Collects findings about one element at a time.
struct Element<'a> {
    found: &'a mut Vec<Finding>,
    kind: &'static str,
    list: &'static str,
    id: Option<&'a Id>,
}

impl Element<'_> {
    fn name(&self) -> String {
        self.id.map_or_else(|| self.kind.to_owned(), |id| format!("{} `{id}`", self.kind))
    }

    fn path(&self, field: &str) -> String {
        match self.id {
            Some(id) => format!("building/{}/{id}/{field}", self.list),
            None => format!("building/{}/{field}", self.list),
        }
    }

    fn push(&mut self, rule: &str, text: String, measured: Option<(f64, f64, &str)>, remedy: String, edits: Vec<Edit>) {
        let mut finding =
            Finding::of(rules::get(rule), self.id.into_iter().cloned().collect(), text).remedy(remedy, edits);
        if let Some((value, limit, unit)) = measured {
            finding = finding.against(value, limit, unit);
        }
        self.found.push(finding);
    }

    /// Reports a number that is not finite; true if it is finite.
    fn finite(&mut self, field: &str, value: f64) -> bool {
        if !value.is_finite() {
            let text = format!("{}: `{field}` is {value}, not a finite number", self.name());
            let remedy = format!("write a finite number at `{}`", self.path(field));
            self.push("building.not-finite", text, None, remedy, Vec::new());
        }
        value.is_finite()
    }

    /// A length or height between two limits [m].
    fn within(&mut self, field: &str, value: f64, (least, most): (f64, f64)) {
        if !self.finite(field, value) || (least..=most).contains(&value) {
            return;
        }
        let limit = if value < least { least } else { most };
        let side = if value < least { "least" } else { "most" };
        let text = format!("{}: `{field}` is {value} m, and the {side} possible is {limit} m", self.name());
        let remedy = format!("correct `{}`; check the unit, numbers are metres", self.path(field));
        self.push("building.absurd-size", text, Some((value, limit, "m")), remedy, Vec::new());
    }

    /// A coordinate or a height that may be of either sign [m].
    fn coordinate(&mut self, field: &str, value: f64) {
        if self.finite(field, value) && value.abs() > MAX_COORDINATE {
            let text = format!("{}: `{field}` is {value} m, more than {MAX_COORDINATE} m from the origin", self.name());
            let remedy = "move the building to the origin; check the unit, numbers are metres".to_owned();
            self.push("building.absurd-size", text, Some((value.abs(), MAX_COORDINATE, "m")), remedy, Vec::new());
        }
    }

    fn point(&mut self, field: &str, p: Point2) {
        self.coordinate(&format!("{field}[0]"), p.x);
        self.coordinate(&format!("{field}[1]"), p.y);
    }

    /// The points of an outline; only the first bad one is named.
    fn outline(&mut self, field: &str, points: &[Point2]) {
        let bad = |p: &Point2| !p.is_finite() || p.x.abs() > MAX_COORDINATE || p.y.abs() > MAX_COORDINATE;
        if let Some(i) = points.iter().position(bad) {
            self.point(&format!("{field}[{i}]"), points[i]);
        }
    }
}

pub(super) fn check(b: &Building, found: &mut Vec<Finding>) {
    let mut of = |kind, list, id, f: &dyn Fn(&mut Element)| f(&mut Element { found, kind, list, id });
    of("building", "north", None, &|e| {
        e.finite("north", b.north.0);
    });
    for s in &b.storeys {
        of("storey", "storeys", Some(&s.id), &|e| {
            e.coordinate("elevation", s.elevation.0);
            let least = if s.usage == StoreyUse::Structure { 0.0 } else { HEIGHTS.0 };
            e.within("height", s.height.0, (least, HEIGHTS.1));
        });
    }
    for w in &b.walls {
        of("wall", "walls", Some(&w.id), &|e| {
            e.point("from", w.from);
            e.point("to", w.to);
            if w.from.is_finite() && w.to.is_finite() {
                e.within("length", w.from.distance(w.to), WALL_LENGTHS);
            }
            e.coordinate("base", w.base.0);
            if let Some(height) = w.height {
                e.within("height", height.0, HEIGHTS);
            }
        });
    }
    for o in &b.openings {
        of("opening", "openings", Some(&o.id), &|e| {
            e.coordinate("at", o.at.0);
            e.within("width", o.width.0, WIDTHS);
            e.within("height", o.height.0, HEIGHTS);
            e.coordinate("sill", o.sill.0);
        });
    }
    for s in &b.slabs {
        of("slab", "slabs", Some(&s.id), &|e| {
            e.outline("outline", &s.outline);
            for (i, hole) in s.holes.iter().enumerate() {
                e.outline(&format!("holes[{i}]"), hole);
            }
            e.coordinate("top", s.top.0);
            if let Some(direction) = s.joists {
                e.finite("joists", direction.0);
            }
        });
    }
    for r in &b.rooms {
        of("room", "rooms", Some(&r.id), &|e| {
            e.point("inside", r.inside);
            e.outline("outline", r.outline.as_deref().unwrap_or_default());
            if let Some(area) = r.stated_area {
                e.finite("stated_area", area.0);
            }
        });
    }
    for s in &b.stairs {
        of("stair", "stairs", Some(&s.id), &|e| e.outline("outline", &s.outline));
    }
    for o in &b.outlets {
        of("outlet", "outlets", Some(&o.id), &|e| {
            e.point("at", o.at);
            e.coordinate("height", o.height.0);
        });
    }
    for o in &b.fixed_objects {
        of("fixed object", "fixed_objects", Some(&o.id), &|e| {
            e.outline("outline", &o.outline);
            e.coordinate("base", o.base.0);
            e.within("height", o.height.0, HEIGHTS);
        });
    }
    for s in &b.cable_spaces {
        of("cable space", "cable_spaces", Some(&s.id), &|e| {
            e.outline("outline", &s.outline);
            if let Some(bore) = s.bore {
                e.within("bore", bore.0, BORES);
            }
        });
    }
    for c in &b.existing_cables {
        of("existing cable", "existing_cables", Some(&c.id), &|e| {
            for (field, end) in [("from", &c.from), ("to", &c.to)] {
                if let CableEnd::Place { at, height, .. } = end {
                    e.point(&format!("{field}.at"), *at);
                    e.coordinate(&format!("{field}.height"), height.0);
                }
            }
        });
    }
    for z in &b.no_go_zones {
        of("no-go zone", "no_go_zones", Some(&z.id), &|e| {
            e.outline("outline", &z.outline);
            e.coordinate("base", z.base.0);
            if let Some(height) = z.height {
                e.within("height", height.0, HEIGHTS);
            }
        });
    }
    if let Some(d) = &b.demarcation {
        of("demarcation", "demarcation", None, &|e| {
            e.point("at", d.at);
            e.coordinate("height", d.height.0);
        });
    }
    for m in &b.materials {
        of("material", "materials", Some(&m.id), &|e| material(e, m));
    }
    for a in &b.assemblies {
        of("assembly", "assemblies", Some(&a.id), &|e| assembly(e, a, b));
    }
}

fn material(e: &mut Element, m: &Material) {
    let mut wrong = |what: &str, value: f64, limit: f64, unit: &str| {
        let text = format!("{}: {what} is {value} {unit} and must be at least {limit} {unit}", e.name());
        let remedy = "take the constants from a measured material, with their source".to_owned();
        e.push("building.material-constants", text, Some((value, limit, unit)), remedy, Vec::new());
    };
    match m.electrical {
        Electrical::Metal => {}
        Electrical::Sheet { ohm_per_square } => {
            if ohm_per_square <= 0.0 {
                wrong("the surface resistance", ohm_per_square, f64::MIN_POSITIVE, "Ω per square");
            }
            e.finite("ohm_per_square", ohm_per_square);
        }
        Electrical::Mesh { pitch, radius } => {
            if radius <= 0.0 {
                wrong("the radius of a wire", radius, f64::MIN_POSITIVE, "m");
            } else if pitch <= 2.0 * radius {
                wrong("the pitch of the mesh, which must exceed two radii,", pitch, 2.0 * radius, "m");
            }
            for (field, value) in [("pitch", pitch), ("radius", radius)] {
                e.finite(field, value);
            }
        }
        Electrical::Dielectric { a, b, c, d, min_ghz, max_ghz } => {
            if c < 0.0 {
                wrong("the conductivity at 1 GHz", c, 0.0, "S/m");
            }
            if min_ghz <= 0.0 {
                wrong("the lowest frequency", min_ghz, f64::MIN_POSITIVE, "GHz");
            } else if max_ghz < min_ghz {
                wrong("the highest frequency", max_ghz, min_ghz, "GHz");
            } else {
                // A power law is monotone: its least value is at an end of its range.
                let least = (a * min_ghz.powf(b)).min(a * max_ghz.powf(b));
                if least < 1.0 {
                    wrong("the least permittivity over its frequency range", least, 1.0, "");
                }
            }
            for (field, value) in [("a", a), ("b", b), ("c", c), ("d", d), ("min_ghz", min_ghz), ("max_ghz", max_ghz)] {
                e.finite(field, value);
            }
        }
    }
}

fn assembly(e: &mut Element, a: &crate::Assembly, b: &Building) {
    let is_sheet = |id: &Id| {
        library::find_material(b, id)
            .is_some_and(|m| matches!(m.electrical, Electrical::Sheet { .. } | Electrical::Mesh { .. }))
    };
    let thickness = a.thickness().0;
    if a.layers.is_empty() || thickness == 0.0 {
        let text = format!("{} has {} layers and a thickness of {thickness} m", e.name(), a.layers.len());
        let remedy = "give it at least one layer with a thickness".to_owned();
        e.push("building.zero-thickness", text, Some((thickness, THICKNESSES.0, "m")), remedy, Vec::new());
    }
    for (i, layer) in a.layers.iter().enumerate() {
        let (field, t) = (format!("layers[{i}].thickness"), layer.thickness.0);
        if t.is_finite() && t < THICKNESSES.0 && !(t >= 0.0 && is_sheet(&layer.material)) {
            let text = format!(
                "{}: `{field}` of `{}` is {t} m, and the least is {} m unless the material is a sheet or a mesh",
                e.name(),
                layer.material,
                THICKNESSES.0
            );
            let remedy = format!("correct `{}`, or remove the layer", e.path(&field));
            e.push("building.zero-thickness", text, Some((t, THICKNESSES.0, "m")), remedy, Vec::new());
        } else {
            e.within(&field, t, (0.0, THICKNESSES.1));
        }
        if let Some(f) = &layer.framing {
            let spacing = e.finite(&format!("layers[{i}].framing.spacing"), f.spacing.0);
            let width = e.finite(&format!("layers[{i}].framing.width"), f.width.0);
            if spacing && width && (f.width.0 <= 0.0 || f.width.0 >= f.spacing.0) {
                let text = format!(
                    "{}: members of layer {i} are {} m wide at a spacing of {} m",
                    e.name(),
                    f.width.0,
                    f.spacing.0
                );
                let remedy = "make the width larger than zero and smaller than the spacing; for a solid layer leave `framing` out";
                let measured = Some((f.width.0, f.spacing.0, "m"));
                e.push("building.framing", text, measured, remedy.to_owned(), Vec::new());
            }
        }
    }
}
