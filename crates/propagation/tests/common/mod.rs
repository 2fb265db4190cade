//! Homes made by hand for tests.
#![allow(dead_code)]

pub mod half_plane;
pub mod house;

use building::{
    Cut, Deck, Electrical, Material, OpeningKind, Panel, Resolved, ResolvedAssembly, ResolvedFraming, ResolvedLayer,
    SlabKind, WallKind,
};
use findings::{Id, Source};
use units::Point2;

pub fn id(text: &str) -> Id {
    Id::from_label(text)
}

/// A material of `p2040_materials.csv` (the -3/-4 rows).
pub fn material(name: &str) -> Material {
    let electrical = match name {
        "metal" => Electrical::Metal,
        _ => {
            let mut rows = csv::Reader::from_reader(include_str!("../data/p2040_materials.csv").as_bytes());
            let row = rows
                .records()
                .map(|r| r.unwrap())
                .find(|r| r[0].contains("-4") && r[1].replace(' ', "_") == name.replace("air", "vacuum"))
                .unwrap_or_else(|| panic!("no material {name}"));
            let n = |i: usize| row[i].parse::<f64>().unwrap();
            Electrical::Dielectric { a: n(2), b: n(3), c: n(4), d: n(5), min_ghz: n(6), max_ghz: n(7) }
        }
    };
    Material { id: id(name), name: name.into(), electrical, source: Source::standard("ITU-R P.2040-4, Table 3") }
}

pub fn sheet(ohm_per_square: f64) -> Material {
    let electrical = Electrical::Sheet { ohm_per_square };
    Material { id: id("foil"), name: "foil".into(), electrical, source: Source::common_practice() }
}

pub fn layer(name: &str, mm: f64) -> ResolvedLayer {
    ResolvedLayer { material: material(name), thickness: mm / 1000.0, framing: None }
}

/// An air cavity with members.
pub fn framed(member: &str, depth_mm: f64, spacing_mm: f64, width_mm: f64) -> ResolvedLayer {
    let framing =
        ResolvedFraming { material: material(member), spacing: spacing_mm / 1000.0, width: width_mm / 1000.0 };
    ResolvedLayer { framing: Some(framing), ..layer("air", depth_mm) }
}

pub fn assembly(name: &str, layers: Vec<ResolvedLayer>) -> ResolvedAssembly {
    ResolvedAssembly { id: id(name), name: name.into(), layers }
}

pub fn panel(name: &str, a: [f64; 2], b: [f64; 2], (z0, z1): (f64, f64), assembly: usize) -> Panel {
    Panel {
        wall: id(name),
        storey: 0,
        kind: WallKind::Inside,
        a: a.into(),
        b: b.into(),
        z0,
        z1,
        thickness: 0.1,
        assembly,
        cuts: Vec::new(),
    }
}

pub fn cut(name: &str, (s0, s1): (f64, f64), (z0, z1): (f64, f64), assembly: Option<usize>) -> Cut {
    let kind = if assembly.is_some() { OpeningKind::Door } else { OpeningKind::Gap };
    Cut { opening: id(name), kind, s0, s1, z0, z1, assembly }
}

pub fn rectangle(x0: f64, y0: f64, x1: f64, y1: f64) -> Vec<Point2> {
    vec![Point2::new(x0, y0), Point2::new(x1, y0), Point2::new(x1, y1), Point2::new(x0, y1)]
}

pub fn deck(name: &str, outline: Vec<Point2>, z: f64, assembly: usize) -> Deck {
    Deck {
        slab: id(name),
        storey: 0,
        kind: SlabKind::Floor,
        outline,
        holes: Vec::new(),
        z_top: z,
        z_bottom: z,
        assembly,
    }
}

/// A scene of sheets as a home: every wall and floor is one layer at its centre plane.
pub fn sheet_scene(json: &str) -> (Resolved, serde_json::Value) {
    let scene: serde_json::Value = serde_json::from_str(json).unwrap();
    let number = |v: &serde_json::Value| v.as_f64().unwrap();
    let mut home = Resolved::default();
    let assembly_of = |home: &mut Resolved, element: &serde_json::Value| {
        let (name, thickness) = (element["material"].as_str().unwrap(), number(&element["thickness_m"]));
        let label = format!("{name}-{}", thickness * 1000.0);
        if let Some(at) = home.assemblies.iter().position(|a| a.name == label) {
            return at;
        }
        home.assemblies.push(assembly(&label, vec![layer(name, thickness * 1000.0)]));
        home.assemblies.len() - 1
    };
    for wall in scene["walls"].as_array().unwrap() {
        let end = |key: &str| [number(&wall[key][0]), number(&wall[key][1])];
        let at = assembly_of(&mut home, wall);
        let z = (number(&wall["z0"]), number(&wall["z1"]));
        let mut panel = panel(wall["id"].as_str().unwrap(), end("a"), end("b"), z, at);
        for (i, opening) in wall["openings"].as_array().into_iter().flatten().enumerate() {
            let (offset, width) = (number(&opening["offset"]), number(&opening["width"]));
            let heights = (z.0 + number(&opening["bottom"]), z.0 + number(&opening["top"]));
            panel.cuts.push(cut(&format!("gap{i}"), (offset, offset + width), heights, None));
        }
        home.panels.push(panel);
    }
    for floor in scene["floors"].as_array().unwrap() {
        let at = assembly_of(&mut home, floor);
        let outline = rectangle(number(&floor["x0"]), number(&floor["y0"]), number(&floor["x1"]), number(&floor["y1"]));
        home.decks.push(deck(floor["id"].as_str().unwrap(), outline, number(&floor["z"]), at));
    }
    (home, scene)
}

/// A small generator for seeded trials (SplitMix64).
pub struct Seeded(pub u64);

impl Seeded {
    pub fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    /// Evenly between 0 and 1, neither included.
    pub fn uniform(&mut self) -> f64 {
        ((self.next() >> 11) as f64 + 0.5) / (1u64 << 53) as f64
    }

    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.uniform()
    }

    pub fn normal(&mut self) -> f64 {
        (-2.0 * self.uniform().ln()).sqrt() * (std::f64::consts::TAU * self.uniform()).cos()
    }
}
