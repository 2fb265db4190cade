//! A house of three storeys and 75 walls with doors, windows, a stairwell and a refrigerator on each storey.

use building::{
    Block, Cut, Deck, Electrical, Material, OpeningKind, Panel, Resolved, ResolvedAssembly, ResolvedFraming,
    ResolvedLayer, ResolvedRoom, ResolvedStorey, RoomUse, SlabKind, StoreyUse, WallKind,
};
use findings::{Id, Source};
use units::Point2;

fn id(text: &str) -> Id {
    Id::from_label(text)
}

/// ITU-R P.2040-4 Table 3.
fn material(name: &str, a: f64, c: f64, d: f64) -> Material {
    let electrical = Electrical::Dielectric { a, b: 0.0, c, d, min_ghz: 0.1, max_ghz: 100.0 };
    Material { id: id(name), name: name.into(), electrical, source: Source::standard("ITU-R P.2040-4, Table 3") }
}

fn assemblies() -> Vec<ResolvedAssembly> {
    let plain = |material: &Material, mm: f64| ResolvedLayer {
        material: material.clone(),
        thickness: mm / 1000.0,
        framing: None,
    };
    let air = material("air", 1.0, 0.0, 0.0);
    let board = material("plasterboard", 2.73, 0.0085, 0.9395);
    let wood = material("wood", 1.99, 0.0047, 1.0718);
    let brick = material("brick", 3.91, 0.0238, 0.16);
    let glass = material("glass", 6.31, 0.0036, 1.3394);
    let chipboard = material("chipboard", 2.58, 0.0217, 0.78);
    let framed = |mm: f64, width: f64| ResolvedLayer {
        framing: Some(ResolvedFraming { material: wood.clone(), spacing: 0.406, width }),
        ..plain(&air, mm)
    };
    let assembly = |name: &str, layers| ResolvedAssembly { id: id(name), name: name.into(), layers };
    vec![
        assembly("outer", vec![plain(&brick, 102.5), plain(&air, 50.0), framed(140.0, 0.038), plain(&board, 12.5)]),
        assembly("partition", vec![plain(&board, 12.5), framed(90.0, 0.038), plain(&board, 12.5)]),
        assembly("door", vec![plain(&wood, 40.0)]),
        assembly("window", vec![plain(&glass, 4.0), plain(&air, 16.0), plain(&glass, 4.0)]),
        assembly("floor", vec![plain(&chipboard, 22.0), framed(240.0, 0.045), plain(&board, 12.5)]),
    ]
}

fn rectangle(x0: f64, y0: f64, x1: f64, y1: f64) -> Vec<Point2> {
    vec![Point2::new(x0, y0), Point2::new(x1, y0), Point2::new(x1, y1), Point2::new(x0, y1)]
}

/// Centre lines of one storey, 10 m × 10 m, in pieces from joint to joint: 25 walls.
const WALLS: [([f64; 2], [f64; 2], usize); 25] = [
    ([0.0, 0.0], [4.0, 0.0], 0),
    ([4.0, 0.0], [7.0, 0.0], 0),
    ([7.0, 0.0], [10.0, 0.0], 0),
    ([10.0, 0.0], [10.0, 4.0], 0),
    ([10.0, 4.0], [10.0, 7.0], 0),
    ([10.0, 7.0], [10.0, 10.0], 0),
    ([10.0, 10.0], [6.0, 10.0], 0),
    ([6.0, 10.0], [3.0, 10.0], 0),
    ([3.0, 10.0], [0.0, 10.0], 0),
    ([0.0, 10.0], [0.0, 5.5], 0),
    ([0.0, 5.5], [0.0, 4.0], 0),
    ([0.0, 4.0], [0.0, 0.0], 0),
    ([0.0, 4.0], [4.0, 4.0], 1),
    ([4.0, 4.0], [7.0, 4.0], 1),
    ([7.0, 4.0], [10.0, 4.0], 1),
    ([4.0, 0.0], [4.0, 4.0], 1),
    ([7.0, 0.0], [7.0, 4.0], 1),
    ([0.0, 5.5], [3.0, 5.5], 1),
    ([3.0, 5.5], [6.0, 5.5], 1),
    ([6.0, 5.5], [8.0, 5.5], 1),
    ([3.0, 5.5], [3.0, 10.0], 1),
    ([6.0, 5.5], [6.0, 10.0], 1),
    ([8.0, 4.0], [8.0, 7.0], 1),
    ([8.0, 7.0], [10.0, 7.0], 1),
    ([6.0, 8.0], [10.0, 8.0], 1),
];

pub fn house() -> Resolved {
    let mut home = Resolved { assemblies: assemblies(), ..Resolved::default() };
    for storey in 0..3usize {
        let floor_z = 2.8 * storey as f64;
        let (z0, z1) = (floor_z, floor_z + 2.5);
        home.storeys.push(ResolvedStorey {
            id: id(&format!("storey-{storey}")),
            name: format!("Storey {storey}"),
            floor_z,
            ceiling_z: z1,
            usage: StoreyUse::Living,
        });
        home.rooms.push(ResolvedRoom {
            id: id(&format!("all-{storey}")),
            name: "All rooms".into(),
            storey,
            usage: RoomUse::Living,
            outline: rectangle(0.0, 0.0, 10.0, 10.0),
            holes: Vec::new(),
            area: 100.0,
            inside: Point2::new(1.0, 1.0),
        });
        for (i, (a, b, assembly)) in WALLS.into_iter().enumerate() {
            let (a, b) = (Point2::from(a), Point2::from(b));
            let opening = id(&format!("o{storey}-{i}"));
            let cuts = if assembly == 1 {
                vec![Cut { opening, kind: OpeningKind::Door, s0: 0.6, s1: 1.4, z0, z1: z0 + 2.05, assembly: Some(2) }]
            } else {
                let middle = 0.5 * a.distance(b);
                vec![Cut {
                    opening,
                    kind: OpeningKind::Window,
                    s0: middle - 0.6,
                    s1: middle + 0.6,
                    z0: z0 + 0.9,
                    z1: z0 + 2.1,
                    assembly: Some(3),
                }]
            };
            home.panels.push(Panel {
                wall: id(&format!("w{storey}-{i}")),
                storey,
                kind: if assembly == 0 { WallKind::Outer } else { WallKind::Inside },
                a,
                b,
                z0,
                z1,
                thickness: if assembly == 0 { 0.3 } else { 0.115 },
                assembly,
                cuts,
            });
        }
        home.decks.push(Deck {
            slab: id(&format!("slab-{storey}")),
            storey,
            kind: SlabKind::Floor,
            outline: rectangle(0.0, 0.0, 10.0, 10.0),
            holes: if storey == 0 { Vec::new() } else { vec![rectangle(4.0, 4.2, 6.8, 5.3)] },
            z_top: floor_z,
            z_bottom: floor_z - 0.3,
            assembly: 4,
        });
        home.blocks.push(Block {
            object: id(&format!("fridge-{storey}")),
            outline: rectangle(9.2, 0.3, 9.8, 0.9),
            z0,
            z1: z0 + 1.8,
            electrical: Electrical::Metal,
        });
    }
    home
}
