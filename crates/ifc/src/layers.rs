//! Material layers of elements, and the assemblies that they become.

use building::{Assembly, Framing, Layer};
use findings::{Id, Source, SourceKind};
use units::Metres;

use crate::entity::Entity;
use crate::model::Model;
use crate::report::Collector;
use crate::storeys::unique;
use crate::words::{MEMBER_SPACING, Stuff, layer, unknown_layer};

/// A layer as the model names it.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct RawLayer {
    pub name: String,
    /// [m]
    pub thickness: f64,
}

/// What a model says about an element's build-up.
#[derive(Clone, Debug, Default)]
pub(crate) struct BuildUp {
    /// Name of the set or material.
    pub name: String,
    /// Layers in the model's order; empty if only materials are named.
    pub layers: Vec<RawLayer>,
    /// Materials without thicknesses.
    pub materials: Vec<String>,
    /// Layers run against the axis (`NEGATIVE`), and where they start from the reference line or plane [m].
    pub usage: Option<(bool, f64)>,
}

impl BuildUp {
    /// Sum of the layers [m].
    pub fn thickness(&self) -> f64 {
        self.layers.iter().map(|l| l.thickness).sum()
    }
}

impl<'m> Model<'m> {
    /// The build-up of an element, its type or the whole that it is part of.
    pub fn build_up(&self, element: Entity<'m>) -> BuildUp {
        let own = self.material.get(&element.index);
        let of_type = || self.type_of.get(&element.index).and_then(|t| self.material.get(t));
        let of_whole = || self.parent.get(&element.index).and_then(|w| self.material.get(w));
        let Some(definition) = own.or_else(of_type).or_else(of_whole) else { return BuildUp::default() };
        let mut build_up = BuildUp::default();
        self.read_definition(self.entity(*definition), &mut build_up);
        build_up
    }

    fn read_definition(&self, definition: Entity<'m>, into: &mut BuildUp) {
        let named = |e: Entity<'m>| e.text(0).unwrap_or_else(|| "unnamed".to_owned());
        match definition.keyword() {
            "IFCMATERIALLAYERSETUSAGE" => {
                let offset = definition.real(3).unwrap_or(0.) * self.metre;
                into.usage = Some((definition.name(2) == "NEGATIVE", offset));
                if let Some(set) = definition.entity(0).filter(|s| s.is(&["IFCMATERIALLAYERSET"])) {
                    self.read_definition(set, into);
                }
            }
            "IFCMATERIALLAYERSET" => {
                into.name = definition.text(1).unwrap_or_default();
                for l in definition.entities(0) {
                    let name = l.entity(0).map(named).or_else(|| l.text(3)).unwrap_or_else(|| "air space".to_owned());
                    let thickness = l.real(1).unwrap_or(0.) * self.metre;
                    if thickness > 0. {
                        into.layers.push(RawLayer { name, thickness });
                    }
                }
            }
            "IFCMATERIAL" => {
                into.name = named(definition);
                into.materials.push(named(definition));
            }
            "IFCMATERIALLIST" => into.materials.extend(definition.entities(0).map(named)),
            "IFCMATERIALCONSTITUENTSET" | "IFCMATERIALPROFILESET" => {
                into.name = definition.text(0).unwrap_or_default();
                into.materials.extend(definition.entities(2).filter_map(|c| c.entity(2)).map(named));
            }
            "IFCMATERIALPROFILESETUSAGE" => {
                if let Some(set) = definition.entity(0).filter(|s| s.is(&["IFCMATERIALPROFILESET"])) {
                    self.read_definition(set, into);
                }
            }
            _ => {}
        }
    }
}

/// Assemblies made from layers; equal ones are one.
#[derive(Default)]
pub(crate) struct Assemblies {
    pub list: Vec<Assembly>,
    keys: Vec<(String, Vec<RawLayer>)>,
}

impl Assemblies {
    /// The assembly of some layers, in order from the left of a wall or the top of a floor.
    pub fn of(&mut self, name: &str, raw: &[RawLayer], is_horizontal: bool, report: &mut Collector) -> Id {
        let same = |a: &[RawLayer], b: &[RawLayer]| {
            a.len() == b.len()
                && a.iter().zip(b).all(|(x, y)| x.name == y.name && (x.thickness - y.thickness).abs() < 1e-6)
        };
        if let Some(at) = self.keys.iter().position(|(n, l)| n == name && same(l, raw)) {
            return self.list[at].id.clone();
        }
        // `Basic Wall:Exterior - Brick` is called by its last part.
        let short = name.rsplit(':').next().unwrap_or(name).trim();
        let short = if short.is_empty() { "unnamed build-up" } else { short };
        let id = unique(Id::from_label(short).as_str(), |i| {
            self.list.iter().any(|a| a.id.as_str() == i) || building::library::assembly(i).is_some()
        });
        let layers = raw.iter().map(|l| to_layer(l, is_horizontal, &id, report)).collect();
        let id = id.parse().unwrap_or_else(|_| Id::from_label(&id));
        let source = Source::new(SourceKind::Stated, format!("the architect's model, material layers `{name}`"));
        self.list.push(Assembly { id: id.clone(), name: short.to_owned(), layers, source });
        self.keys.push((name.to_owned(), raw.to_vec()));
        id
    }
}

fn to_layer(raw: &RawLayer, is_horizontal: bool, assembly: &str, report: &mut Collector) -> Layer {
    let what = format!("layer `{}`", raw.name);
    let id = |text: &str| Id::from_label(text);
    let thickness = Metres(raw.thickness);
    match layer(&raw.name, raw.thickness, is_horizontal) {
        Some(Stuff::Solid(material)) => {
            report.guessed(&what, &format!("its name is that of the material `{material}`"), assembly);
            Layer { material: id(material), thickness, framing: None }
        }
        Some(Stuff::Framing { fill, member, width }) => {
            report.guessed(
                &what,
                &format!(
                    "studs, joists and furring are a cavity ({fill}) with {member} members {:.0} mm wide every {:.0} mm, never a solid slab (spacing: common practice, no source)",
                    width * 1e3,
                    MEMBER_SPACING * 1e3
                ),
                assembly,
            );
            let framing = Framing { material: id(member), spacing: Metres(MEMBER_SPACING), width: Metres(width) };
            Layer { material: id(fill), thickness, framing: Some(framing) }
        }
        None => {
            let material = unknown_layer(raw.thickness);
            report.guessed(
                &what,
                &format!(
                    "no rule knows this name: taken as `{material}`, which rather overstates its loss; replace it"
                ),
                assembly,
            );
            Layer { material: id(material), thickness, framing: None }
        }
    }
}
