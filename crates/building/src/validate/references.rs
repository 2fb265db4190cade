//! Ids: no two alike in a list, and every named one exists.

use std::collections::{BTreeMap, BTreeSet};

use findings::{Edit, Finding, Id};

use super::rules;
use crate::elements::{Building, CableEnd, OpeningKind};
use crate::library;

/// Most unknown ids for which the nearest known one is looked for.
const MAX_SUGGESTIONS: usize = 50;
/// Jaro–Winkler similarity from which a known id is worth naming.
const SIMILAR: f64 = 0.7;

pub(super) fn check(b: &Building, found: &mut Vec<Finding>) {
    duplicates(b, found);
    references(b, found);
}

fn duplicates(b: &Building, found: &mut Vec<Finding>) {
    let mut list = |kind: &str, list: &str, ids: &mut dyn Iterator<Item = &Id>| {
        let mut counts: BTreeMap<&Id, usize> = BTreeMap::new();
        for id in ids {
            *counts.entry(id).or_default() += 1;
        }
        for (id, count) in counts.into_iter().filter(|(_, n)| *n > 1) {
            let text = format!("{count} elements of `building/{list}` have the id `{id}`");
            found.push(
                Finding::of(rules::get("building.duplicate-id"), vec![id.clone()], text)
                    .against(count as f64, 1.0, "elements")
                    .remedy(format!("give each {kind} its own id, and correct what names it"), Vec::new()),
            );
        }
    };
    list("storey", "storeys", &mut b.storeys.iter().map(|x| &x.id));
    list("wall", "walls", &mut b.walls.iter().map(|x| &x.id));
    list("opening", "openings", &mut b.openings.iter().map(|x| &x.id));
    list("slab", "slabs", &mut b.slabs.iter().map(|x| &x.id));
    list("room", "rooms", &mut b.rooms.iter().map(|x| &x.id));
    list("stair", "stairs", &mut b.stairs.iter().map(|x| &x.id));
    list("outlet", "outlets", &mut b.outlets.iter().map(|x| &x.id));
    list("circuit", "circuits", &mut b.circuits.iter().map(|x| &x.id));
    list("fixed object", "fixed_objects", &mut b.fixed_objects.iter().map(|x| &x.id));
    list("cable space", "cable_spaces", &mut b.cable_spaces.iter().map(|x| &x.id));
    list("existing cable", "existing_cables", &mut b.existing_cables.iter().map(|x| &x.id));
    list("no-go zone", "no_go_zones", &mut b.no_go_zones.iter().map(|x| &x.id));
    list("assembly", "assemblies", &mut b.assemblies.iter().map(|x| &x.id));
    list("material", "materials", &mut b.materials.iter().map(|x| &x.id));
}

/// Known ids of one kind, and a reporter of unknown ones.
struct Known<'a> {
    kind: &'static str,
    ids: BTreeSet<&'a str>,
    nearest: BTreeMap<String, Option<String>>,
}

impl<'a> Known<'a> {
    fn new(kind: &'static str, ids: impl Iterator<Item = &'a Id>) -> Self {
        Self { kind, ids: ids.map(Id::as_str).collect(), nearest: BTreeMap::new() }
    }

    fn nearest(&mut self, id: &Id) -> Option<String> {
        if let Some(known) = self.nearest.get(id.as_str()) {
            return known.clone();
        }
        if self.nearest.len() >= MAX_SUGGESTIONS {
            return None;
        }
        let best = self
            .ids
            .iter()
            .map(|k| (strsim::jaro_winkler(k, id.as_str()), *k))
            .filter(|(similarity, _)| *similarity >= SIMILAR)
            .max_by(|a, b| a.0.total_cmp(&b.0).then_with(|| b.1.cmp(a.1)))
            .map(|(_, k)| k.to_owned());
        self.nearest.insert(id.as_str().to_owned(), best.clone());
        best
    }

    /// Reports an id that is not known. `path` is where it stands.
    fn expect(&mut self, id: &Id, owner: &str, subject: Option<&Id>, path: &str, found: &mut Vec<Finding>) {
        if self.ids.contains(id.as_str()) {
            return;
        }
        let mut text = format!("{owner} names the {} `{id}`, which does not exist", self.kind);
        let (remedy, edits) = match self.nearest(id) {
            Some(near) => {
                text.push_str(&format!("; the nearest known is `{near}`"));
                // A path with an index is not one that edits can address.
                let edits = if path.contains('[') { Vec::new() } else { vec![Edit::set(path, near.clone().into())] };
                (format!("write `{near}` at `{path}`"), edits)
            }
            None => (format!("add the {} `{id}`, or name one that exists at `{path}`", self.kind), Vec::new()),
        };
        let subjects = subject.into_iter().chain([id]).cloned().collect();
        found.push(Finding::of(rules::get("building.unknown-reference"), subjects, text).remedy(remedy, edits));
    }
}

fn references(b: &Building, found: &mut Vec<Finding>) {
    let mut storeys = Known::new("storey", b.storeys.iter().map(|s| &s.id));
    let mut walls = Known::new("wall", b.walls.iter().map(|w| &w.id));
    let mut outlets = Known::new("outlet", b.outlets.iter().map(|o| &o.id));
    let mut circuits = Known::new("circuit", b.circuits.iter().map(|c| &c.id));
    let mut assemblies = Known::new("assembly", b.assemblies.iter().chain(library::assemblies()).map(|a| &a.id));
    let mut materials = Known::new("material", b.materials.iter().chain(library::materials()).map(|m| &m.id));

    let name = |kind: &str, id: &Id| format!("{kind} `{id}`");
    let path = |list: &str, id: &Id, field: &str| format!("building/{list}/{id}/{field}");
    for w in &b.walls {
        storeys.expect(&w.storey, &name("wall", &w.id), Some(&w.id), &path("walls", &w.id, "storey"), found);
        assemblies.expect(&w.assembly, &name("wall", &w.id), Some(&w.id), &path("walls", &w.id, "assembly"), found);
    }
    for o in &b.openings {
        let owner = name("opening", &o.id);
        walls.expect(&o.wall, &owner, Some(&o.id), &path("openings", &o.id, "wall"), found);
        if let Some(assembly) = &o.assembly {
            assemblies.expect(assembly, &owner, Some(&o.id), &path("openings", &o.id, "assembly"), found);
        }
        filling(o, found);
    }
    for s in &b.slabs {
        storeys.expect(&s.storey, &name("slab", &s.id), Some(&s.id), &path("slabs", &s.id, "storey"), found);
        assemblies.expect(&s.assembly, &name("slab", &s.id), Some(&s.id), &path("slabs", &s.id, "assembly"), found);
    }
    for r in &b.rooms {
        storeys.expect(&r.storey, &name("room", &r.id), Some(&r.id), &path("rooms", &r.id, "storey"), found);
    }
    for s in &b.stairs {
        storeys.expect(&s.from, &name("stair", &s.id), Some(&s.id), &path("stairs", &s.id, "from"), found);
        storeys.expect(&s.to, &name("stair", &s.id), Some(&s.id), &path("stairs", &s.id, "to"), found);
        if s.from == s.to {
            let text = format!("stair `{}` starts and ends on storey `{}`", s.id, s.from);
            found.push(
                Finding::of(rules::get("building.stair"), vec![s.id.clone(), s.from.clone()], text)
                    .remedy(format!("name the storey that it reaches at `building/stairs/{}/to`", s.id), Vec::new()),
            );
        }
    }
    for o in &b.outlets {
        let owner = name("outlet", &o.id);
        storeys.expect(&o.storey, &owner, Some(&o.id), &path("outlets", &o.id, "storey"), found);
        if let Some(circuit) = &o.circuit {
            circuits.expect(circuit, &owner, Some(&o.id), &path("outlets", &o.id, "circuit"), found);
        }
    }
    for o in &b.fixed_objects {
        let owner = name("fixed object", &o.id);
        storeys.expect(&o.storey, &owner, Some(&o.id), &path("fixed_objects", &o.id, "storey"), found);
        materials.expect(&o.material, &owner, Some(&o.id), &path("fixed_objects", &o.id, "material"), found);
    }
    for s in &b.cable_spaces {
        for (i, storey) in s.storeys.iter().enumerate() {
            let at = path("cable_spaces", &s.id, &format!("storeys[{i}]"));
            storeys.expect(storey, &name("cable space", &s.id), Some(&s.id), &at, found);
        }
    }
    for c in &b.existing_cables {
        let owner = name("existing cable", &c.id);
        for (field, end) in [("from", &c.from), ("to", &c.to)] {
            let at = path("existing_cables", &c.id, field);
            match end {
                CableEnd::Outlet { outlet } => {
                    outlets.expect(outlet, &owner, Some(&c.id), &format!("{at}/outlet"), found);
                }
                CableEnd::Place { storey, .. } => {
                    storeys.expect(storey, &owner, Some(&c.id), &format!("{at}/storey"), found);
                }
            }
        }
    }
    for z in &b.no_go_zones {
        let at = path("no_go_zones", &z.id, "storey");
        storeys.expect(&z.storey, &name("no-go zone", &z.id), Some(&z.id), &at, found);
    }
    if let Some(d) = &b.demarcation {
        storeys.expect(&d.storey, "the demarcation point", None, "building/demarcation/storey", found);
    }
    for a in &b.assemblies {
        let owner = name("assembly", &a.id);
        for (i, layer) in a.layers.iter().enumerate() {
            let at = path("assemblies", &a.id, &format!("layers[{i}].material"));
            materials.expect(&layer.material, &owner, Some(&a.id), &at, found);
            if let Some(framing) = &layer.framing {
                let at = path("assemblies", &a.id, &format!("layers[{i}].framing.material"));
                materials.expect(&framing.material, &owner, Some(&a.id), &at, found);
            }
        }
    }
}

fn filling(o: &crate::Opening, found: &mut Vec<Finding>) {
    match (o.kind, &o.assembly) {
        (OpeningKind::Gap, Some(assembly)) => {
            let text = format!("opening `{}` is a gap and names the assembly `{assembly}`, which is not used", o.id);
            let path = format!("building/openings/{}/assembly", o.id);
            let edit = Edit { kind: findings::EditKind::Set, path, value: None, position: None };
            found.push(
                Finding::of(rules::get("building.gap-filled"), vec![o.id.clone()], text)
                    .remedy("leave the assembly out, or make it a door or window", vec![edit]),
            );
        }
        (OpeningKind::Door | OpeningKind::Window, None) => {
            let (kind, usual) = match o.kind {
                OpeningKind::Door => ("door", "door-hollow-core"),
                _ => ("window", "window-double"),
            };
            let text = format!("opening `{}` is a {kind} and names no assembly", o.id);
            let edit = Edit::set(format!("building/openings/{}/assembly", o.id), usual.into());
            found.push(
                Finding::of(rules::get("building.opening-unfilled"), vec![o.id.clone()], text)
                    .remedy(format!("say what it is made of, for example `{usual}`"), vec![edit]),
            );
        }
        _ => {}
    }
}
