//! The two-storey house that several tests share.

use building::{Block, Electrical, Resolved};

use super::{assembly, cut, deck, framed, id, layer, panel, rectangle};

/// Two storeys: outer walls with a window, partitions with a door and a gap, one of them askew, a floor with a
/// stairwell, a metal refrigerator and a fish tank.
pub fn house() -> Resolved {
    let mut home = Resolved {
        assemblies: vec![
            assembly("outer", vec![layer("brick", 102.5), layer("air", 50.0), layer("concrete", 100.0)]),
            assembly(
                "partition",
                vec![layer("plasterboard", 12.5), framed("wood", 90.0, 406.0, 38.0), layer("plasterboard", 12.5)],
            ),
            assembly("door", vec![layer("wood", 40.0)]),
            assembly("floor", vec![layer("chipboard", 22.0), layer("air", 220.0), layer("plasterboard", 12.5)]),
            assembly("window", vec![layer("glass", 4.0), layer("air", 16.0), layer("glass", 4.0)]),
        ],
        ..Resolved::default()
    };
    for (storey, z0) in [(0, 0.0), (1, 2.8)] {
        let z = (z0, z0 + 2.5);
        let ends = [
            ([0.0, 0.0], [10.0, 0.0], 0),
            ([10.0, 0.0], [10.0, 8.0], 0),
            ([10.0, 8.0], [0.0, 8.0], 0),
            ([0.0, 8.0], [0.0, 0.0], 0),
            ([4.0, 0.0], [4.0, 8.0], 1),
            ([4.0, 3.5], [10.0, 4.4], 1),
            ([0.0, 5.0], [4.0, 5.0], 1),
        ];
        for (i, (a, b, assembly)) in ends.into_iter().enumerate() {
            let mut p = panel(&format!("w{storey}{i}"), a, b, z, assembly);
            p.storey = storey;
            match (assembly, i) {
                (1, 4) => p.cuts.push(cut(&format!("g{storey}"), (1.0, 1.9), (z0, z0 + 2.05), None)),
                (1, _) => p.cuts.push(cut(&format!("d{storey}{i}"), (1.0, 1.9), (z0, z0 + 2.05), Some(2))),
                _ => p.cuts.push(cut(&format!("v{storey}{i}"), (2.0, 4.0), (z0 + 0.9, z0 + 2.1), Some(4))),
            }
            home.panels.push(p);
        }
    }
    let mut floor = deck("floor", rectangle(0.0, 0.0, 10.0, 8.0), 2.65, 3);
    floor.holes = vec![rectangle(4.5, 4.5, 6.5, 5.5)];
    home.decks.push(floor);
    home.decks.push(deck("ground", rectangle(0.0, 0.0, 10.0, 8.0), -0.1, 3));
    let block = |name: &str, x: f64, y: f64, z1: f64, electrical| Block {
        object: id(name),
        outline: rectangle(x, y, x + 0.6, y + 0.6),
        z0: 0.0,
        z1,
        electrical,
    };
    home.blocks.push(block("fridge", 9.2, 0.3, 1.8, Electrical::Metal));
    home.blocks.push(block("tank", 1.5, 6.5, 1.3, super::material("glass").electrical));
    home
}
