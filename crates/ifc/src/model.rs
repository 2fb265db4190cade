//! A model as relations: which schema and units it has, what contains, voids, fills and describes what.

use std::collections::BTreeMap;

use crate::ImportError;
use crate::entity::Entity;
use crate::step::{Limits, Step};
use crate::transform::{Transform, Vec3, add, scale};

/// How many placements may be chained, and how deep mapped items and boolean results may nest.
pub(crate) const MAX_CHAIN: usize = 64;

/// Schema generations whose attribute positions differ.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Schema {
    /// ISO/PAS 16739:2005.
    Ifc2x3,
    /// ISO 16739-1:2018 and later.
    Ifc4,
}

/// A read file with its relations by element index.
pub(crate) struct Model<'m> {
    pub step: &'m Step<'m>,
    pub schema: Schema,
    /// Name of the schema as the file states it.
    pub schema_name: String,
    /// Metres in one length unit.
    pub metre: f64,
    /// Square metres in one area unit.
    pub square_metre: f64,
    /// Radians in one plane angle unit.
    pub radian: f64,
    /// Spatial structure element or whole that an element lies in (containment and aggregation).
    pub parent: BTreeMap<u32, u32>,
    /// Parts of a whole, in file order.
    pub parts: BTreeMap<u32, Vec<u32>>,
    /// Openings that void an element.
    pub voids: BTreeMap<u32, Vec<u32>>,
    /// Door or window that fills an opening.
    pub filler: BTreeMap<u32, u32>,
    /// Material definition of an element or type.
    pub material: BTreeMap<u32, u32>,
    /// Type object of an element.
    pub type_of: BTreeMap<u32, u32>,
    /// Property sets and quantities of an element or type.
    pub definitions: BTreeMap<u32, Vec<u32>>,
    /// Groups (systems, circuits) of an element.
    pub groups: BTreeMap<u32, Vec<u32>>,
}

impl<'m> Model<'m> {
    /// Indexes the relations of a file.
    pub fn new(step: &'m Step<'m>) -> Result<Self, ImportError> {
        let schema_name = step.schemas.first().cloned().unwrap_or_default();
        let upper = schema_name.to_ascii_uppercase();
        let schema = if upper.starts_with("IFC2X3") {
            Schema::Ifc2x3
        } else if upper.starts_with("IFC4") {
            Schema::Ifc4
        } else {
            return Err(ImportError::Schema { found: schema_name });
        };
        let mut model = Self {
            step,
            schema,
            schema_name,
            metre: 1.0,
            square_metre: 1.0,
            radian: 1.0,
            parent: BTreeMap::new(),
            parts: BTreeMap::new(),
            voids: BTreeMap::new(),
            filler: BTreeMap::new(),
            material: BTreeMap::new(),
            type_of: BTreeMap::new(),
            definitions: BTreeMap::new(),
            groups: BTreeMap::new(),
        };
        model.read_units()?;
        model.read_relations();
        Ok(model)
    }

    /// Reads the exchange structure of a file; the model is made from it.
    pub fn step(bytes: &[u8], limits: Limits) -> Result<Step<'_>, ImportError> {
        Ok(Step::read(bytes, limits)?)
    }

    /// All instances of some entities, in file order.
    pub fn all(&self, keywords: &[&str]) -> Vec<Entity<'m>> {
        let mut found: Vec<u32> = keywords.iter().flat_map(|k| self.step.of_keyword(k)).copied().collect();
        found.sort_unstable();
        found.into_iter().map(|i| self.entity(i)).collect()
    }

    /// An instance by its index.
    pub fn entity(&self, index: u32) -> Entity<'m> {
        Entity::new(self.step, index)
    }

    fn read_units(&mut self) -> Result<(), ImportError> {
        let assignments = self.all(&["IFCUNITASSIGNMENT"]);
        // The project's own assignment; files with one assignment and a damaged project still read.
        let project = self.all(&["IFCPROJECT", "IFCPROJECTLIBRARY"]).into_iter().find_map(|p| p.entity(8));
        let Some(assignment) = project.or_else(|| assignments.first().copied()) else {
            return Ok(());
        };
        for unit in assignment.entities(0) {
            let Some((kind, size)) = unit_size(unit, 0) else { continue };
            match kind {
                "LENGTHUNIT" => self.metre = size,
                "AREAUNIT" => self.square_metre = size,
                "PLANEANGLEUNIT" => self.radian = size,
                _ => {}
            }
        }
        for (what, size) in [("length", self.metre), ("area", self.square_metre), ("plane angle", self.radian)] {
            if !(1e-9..=1e9).contains(&size) {
                return Err(ImportError::Unit { what, size });
            }
        }
        Ok(())
    }

    fn read_relations(&mut self) {
        for r in self.all(&["IFCRELCONTAINEDINSPATIALSTRUCTURE"]) {
            let Some(whole) = r.entity(5) else { continue };
            for part in r.entities(4) {
                self.parent.entry(part.index).or_insert(whole.index);
            }
        }
        for r in self.all(&["IFCRELAGGREGATES", "IFCRELNESTS"]) {
            let Some(whole) = r.entity(4) else { continue };
            for part in r.entities(5) {
                self.parent.entry(part.index).or_insert(whole.index);
                self.parts.entry(whole.index).or_default().push(part.index);
            }
        }
        for r in self.all(&["IFCRELVOIDSELEMENT"]) {
            if let (Some(element), Some(opening)) = (r.entity(4), r.entity(5)) {
                self.voids.entry(element.index).or_default().push(opening.index);
            }
        }
        for r in self.all(&["IFCRELFILLSELEMENT"]) {
            if let (Some(opening), Some(filler)) = (r.entity(4), r.entity(5)) {
                self.filler.insert(opening.index, filler.index);
            }
        }
        for (keyword, into) in
            [("IFCRELASSOCIATESMATERIAL", &mut self.material), ("IFCRELDEFINESBYTYPE", &mut self.type_of)]
        {
            for index in self.step.of_keyword(keyword) {
                let r = Entity::new(self.step, *index);
                let Some(definition) = r.entity(5) else { continue };
                for object in r.entities(4) {
                    into.insert(object.index, definition.index);
                }
            }
        }
        for r in self.all(&["IFCRELDEFINESBYPROPERTIES"]) {
            // IFC4 lets a set of definitions stand for one.
            let mut definitions: Vec<u32> = r.at(5).items().filter_map(|v| v.entity()).map(|e| e.index).collect();
            definitions.extend(r.entity(5).map(|e| e.index));
            for object in r.entities(4) {
                self.definitions.entry(object.index).or_default().extend(&definitions);
            }
        }
        for r in self.all(&["IFCRELASSIGNSTOGROUP", "IFCRELASSIGNSTOGROUPBYFACTOR"]) {
            let Some(group) = r.entity(6) else { continue };
            for object in r.entities(4) {
                self.groups.entry(object.index).or_default().push(group.index);
            }
        }
    }

    /// Nearest spatial element of some entities above an element.
    pub fn above(&self, element: u32, keywords: &[&str]) -> Option<Entity<'m>> {
        let mut at = element;
        for _ in 0..MAX_CHAIN {
            at = *self.parent.get(&at)?;
            let entity = self.entity(at);
            if entity.is(keywords) {
                return Some(entity);
            }
        }
        None
    }

    /// Property sets and quantities of an element, then those of its type.
    pub fn property_sets(&self, element: u32) -> Vec<Entity<'m>> {
        let own = self.definitions.get(&element).into_iter().flatten().map(|i| self.entity(*i));
        // HasPropertySets of a type object.
        let of_type = self.type_of.get(&element).map(|t| self.entity(*t));
        own.chain(of_type.into_iter().flat_map(|t| t.entities(5))).collect()
    }

    /// A single property by its name, from any set.
    pub fn property(&self, element: u32, name: &str) -> Option<crate::entity::Value<'m>> {
        self.property_sets(element)
            .into_iter()
            .filter(|s| s.is(&["IFCPROPERTYSET"]))
            .flat_map(|s| s.entities(4).collect::<Vec<_>>())
            .find(|p| p.is(&["IFCPROPERTYSINGLEVALUE"]) && p.text(0).is_some_and(|n| n.eq_ignore_ascii_case(name)))
            .map(|p| p.at(2))
    }

    /// Name, object type, type name and description of an element in one lower-case text, for the word rules.
    pub fn words(&self, element: Entity<'m>) -> String {
        let mut words = element.text(2).unwrap_or_default();
        for more in [element.text(4), element.text(3)].into_iter().flatten() {
            words.push(' ');
            words.push_str(&more);
        }
        if let Some(t) = self.type_of.get(&element.index).map(|t| self.entity(*t)) {
            words.push(' ');
            words.push_str(&t.text(2).unwrap_or_default());
        }
        words.to_lowercase()
    }

    /// The placement of a product in the world [m]; an error for cyclic or over-long chains.
    pub fn placement(&self, product: Entity<'m>) -> Result<Transform, ImportError> {
        let mut chain = Vec::new();
        let mut next = product.entity(5);
        while let Some(placement) = next {
            if chain.len() >= MAX_CHAIN {
                return Err(ImportError::Cycle { what: "placements", id: placement.id() });
            }
            if !placement.is(&["IFCLOCALPLACEMENT"]) {
                // A grid or linear placement: its parts are not chained here.
                break;
            }
            chain.push(placement.entity(1).map_or(Transform::IDENTITY, |p| self.axis_placement(p)));
            next = placement.entity(0);
        }
        Ok(chain.iter().rev().fold(Transform::IDENTITY, |outer, inner| outer.after(inner)))
    }

    /// An `IfcAxis2Placement3D`, `…2D` or `IfcAxis1Placement` [m].
    pub fn axis_placement(&self, placement: Entity<'m>) -> Transform {
        let origin = placement.entity(0).map_or([0.; 3], |p| self.point(p));
        if placement.is(&["IFCAXIS2PLACEMENT2D"]) {
            return Transform::from_axes(origin, None, placement.entity(1).map(|d| self.direction(d)));
        }
        Transform::from_axes(
            origin,
            placement.entity(1).map(|d| self.direction(d)),
            placement.entity(2).map(|d| self.direction(d)),
        )
    }

    /// An `IfcCartesianPoint` [m]; missing coordinates are zero.
    pub fn point(&self, point: Entity<'m>) -> Vec3 {
        let mut p = [0.; 3];
        for (c, v) in p.iter_mut().zip(point.at(0).items()) {
            *c = v.real().unwrap_or(0.) * self.metre;
        }
        p
    }

    /// An `IfcDirection`, not normalised.
    pub fn direction(&self, direction: Entity<'m>) -> Vec3 {
        let mut d = [0.; 3];
        for (c, v) in d.iter_mut().zip(direction.at(0).items()) {
            *c = v.real().unwrap_or(0.);
        }
        d
    }

    /// An `IfcCartesianTransformationOperator` of any kind [m].
    pub fn operator(&self, operator: Entity<'m>) -> Transform {
        let axis = |i: usize| operator.entity(i).map(|d| self.direction(d));
        let flat = operator.keyword().contains("OPERATOR2D");
        let s = operator.real(3).unwrap_or(1.0);
        // Attribute order: Axis1, Axis2, LocalOrigin, Scale, [Axis3], [Scale2, Scale3].
        let mut t = Transform::from_axes([0.; 3], if flat { None } else { axis(4) }, axis(0));
        // A mirrored operator states its second axis against the right-hand rule.
        if let Some(y) = axis(1)
            && crate::transform::dot(y, t.y) < 0.
        {
            t.y = scale(t.y, -1.);
        }
        let (sy, sz) = match operator.keyword() {
            "IFCCARTESIANTRANSFORMATIONOPERATOR3DNONUNIFORM" => {
                (operator.real(5).unwrap_or(s), operator.real(6).unwrap_or(s))
            }
            "IFCCARTESIANTRANSFORMATIONOPERATOR2DNONUNIFORM" => (operator.real(4).unwrap_or(s), s),
            _ => (s, s),
        };
        t.x = scale(t.x, s);
        t.y = scale(t.y, sy);
        t.z = scale(t.z, sz);
        t.origin = operator.entity(2).map_or([0.; 3], |p| add(self.point(p), [0.; 3]));
        t
    }

    /// Direction of true north in the model's plan, clockwise from +y [degrees].
    pub fn north(&self) -> f64 {
        self.all(&["IFCGEOMETRICREPRESENTATIONCONTEXT"])
            .into_iter()
            .find_map(|c| c.entity(5))
            .map(|d| self.direction(d))
            // It is a direction in plan; one that points up is a fault of the export and says nothing.
            .filter(|d| d[0].hypot(d[1]) > 1e-9 && d[2] == 0.)
            .map_or(0., |d| crate::build::tidy(d[0].atan2(d[1]).to_degrees()))
    }
}

/// Kind and size in SI base units of a named unit.
fn unit_size<'m>(unit: Entity<'m>, depth: usize) -> Option<(&'m str, f64)> {
    if depth > 4 {
        return None;
    }
    match unit.keyword() {
        "IFCSIUNIT" => {
            let kind = unit.name(1);
            let prefix: i32 = match unit.name(2) {
                "" => 0,
                "EXA" => 18,
                "PETA" => 15,
                "TERA" => 12,
                "GIGA" => 9,
                "MEGA" => 6,
                "KILO" => 3,
                "HECTO" => 2,
                "DECA" => 1,
                "DECI" => -1,
                "CENTI" => -2,
                "MILLI" => -3,
                "MICRO" => -6,
                "NANO" => -9,
                "PICO" => -12,
                "FEMTO" => -15,
                "ATTO" => -18,
                _ => return None,
            };
            // The prefix belongs to the metre, so that it is squared with it (IFC unit definitions, IfcSIUnitName).
            let power = match unit.name(3) {
                "SQUARE_METRE" => 2,
                "CUBIC_METRE" => 3,
                _ => 1,
            };
            Some((kind, 10f64.powi(prefix * power)))
        }
        "IFCCONVERSIONBASEDUNIT" | "IFCCONVERSIONBASEDUNITWITHOFFSET" => {
            let kind = unit.name(1);
            let measure = unit.entity(3)?;
            let (_, base) = unit_size(measure.entity(1)?, depth + 1)?;
            Some((kind, measure.real(0)? * base))
        }
        _ => None,
    }
}
