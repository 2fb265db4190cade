//! Walls usual in North America and Europe, layers from outside (or left) to inside (or right), millimetres.

use super::{framed, solid, usual};
use crate::material::{Assembly, Layer};

/// North American gypsum board [mm]: 1/2 in.
const BOARD_US: f64 = 12.7;
/// European plasterboard [mm].
const BOARD_EU: f64 = 12.5;

/// Softwood studs 38 mm wide every 406 mm (16 in), North America.
fn studs_us(fill: &str, mm: f64) -> Layer {
    framed(fill, mm, "wood", 406.4, 38.0)
}

/// Softwood studs 45 mm wide every 600 mm, Europe.
fn studs_eu(fill: &str, mm: f64) -> Layer {
    framed(fill, mm, "wood", 600.0, 45.0)
}

/// Steel channel studs: to a wave the member is as wide as its flange.
fn studs_metal(fill: &str, mm: f64, spacing: f64, flange: f64) -> Layer {
    framed(fill, mm, "metal", spacing, flange)
}

/// The inner side of a North American outer wall: sheathing, insulated studs, vapour barrier, board.
fn insulated_studs_us() -> Vec<Layer> {
    vec![
        solid("osb", 11.0),
        studs_us("mineral-wool", 140.0),
        solid("polyethylene", 0.15),
        solid("plasterboard", BOARD_US),
    ]
}

fn on_studs_us(cladding: Vec<Layer>) -> Vec<Layer> {
    cladding.into_iter().chain(insulated_studs_us()).collect()
}

/// A hollow concrete block: two face shells and webs every half block (ASTM C90 has shells of at least 32 mm at 190 mm).
fn hollow_block(mm: f64, shell: f64) -> Vec<Layer> {
    let core = framed("air", mm - 2.0 * shell, "concrete-block", 200.0, 30.0);
    vec![solid("concrete-block", shell), core, solid("concrete-block", shell)]
}

pub(super) fn walls() -> Vec<Assembly> {
    let mut all = partitions();
    all.extend(outer_framed());
    all.extend(outer_masonry());
    all.extend(party());
    all
}

fn partitions() -> Vec<Assembly> {
    let board = || solid("plasterboard", BOARD_US);
    let board_eu = || solid("plasterboard", BOARD_EU);
    vec![
        usual("stud-partition-wood-89", "Wood stud partition, 89 mm", vec![board(), studs_us("air", 89.0), board()]),
        usual(
            "stud-partition-wood-89-insulated",
            "Wood stud partition, 89 mm, mineral wool",
            vec![board(), studs_us("mineral-wool", 89.0), board()],
        ),
        usual(
            "stud-partition-wood-140",
            "Wood stud partition, 140 mm (plumbing wall)",
            vec![board(), studs_us("air", 140.0), board()],
        ),
        usual(
            "stud-partition-tiled",
            "Wood stud partition, tiled on one side",
            vec![
                solid("ceramic-tile", 8.0),
                solid("mortar", 4.0),
                solid("fibre-cement", BOARD_US),
                studs_us("air", 89.0),
                board(),
            ],
        ),
        usual(
            "stud-partition-metal-64",
            "Steel stud partition, 64 mm",
            vec![board(), studs_metal("air", 64.0, 609.6, 32.0), board()],
        ),
        usual(
            "stud-partition-metal-75-double-board",
            "Steel stud partition, 75 mm, mineral wool, two boards a side",
            vec![board_eu(), board_eu(), studs_metal("mineral-wool", 75.0, 600.0, 50.0), board_eu(), board_eu()],
        ),
        usual(
            "stud-partition-wood-63-eu",
            "Timber stud partition, 63 mm, mineral wool",
            vec![board_eu(), framed("mineral-wool", 63.0, "wood", 600.0, 38.0), board_eu()],
        ),
        usual(
            "plaster-wood-lath-partition",
            "Stud partition, lime plaster on wood lath",
            // Laths 38 mm wide with keys of plaster between them, every 48 mm.
            vec![
                solid("lime-plaster", 15.0),
                framed("lime-plaster", 8.0, "wood", 48.0, 38.0),
                studs_us("air", 92.0),
                framed("lime-plaster", 8.0, "wood", 48.0, 38.0),
                solid("lime-plaster", 15.0),
            ],
        ),
        usual(
            "plaster-metal-lath-partition",
            "Stud partition, plaster on metal lath",
            vec![
                solid("lime-plaster", 19.0),
                solid("metal-lath", 0.5),
                studs_us("air", 89.0),
                solid("metal-lath", 0.5),
                solid("lime-plaster", 19.0),
            ],
        ),
        usual(
            "brick-partition-102",
            "Half-brick partition, plastered",
            vec![solid("gypsum-plaster", 13.0), solid("brick", 102.5), solid("gypsum-plaster", 13.0)],
        ),
        usual(
            "hollow-clay-partition-115",
            "Hollow clay block partition, plastered",
            vec![solid("gypsum-plaster", 12.0), solid("hollow-clay-block", 115.0), solid("gypsum-plaster", 12.0)],
        ),
        usual(
            "aerated-block-partition-100",
            "Aerated block partition, plastered",
            vec![solid("gypsum-plaster", 10.0), solid("aerated-concrete", 100.0), solid("gypsum-plaster", 10.0)],
        ),
        usual(
            "concrete-block-partition-100",
            "Dense concrete block partition, plastered",
            vec![solid("gypsum-plaster", 13.0), solid("concrete-block", 100.0), solid("gypsum-plaster", 13.0)],
        ),
        usual("concrete-wall-150", "Cast concrete wall, 150 mm", vec![solid("concrete", 150.0)]),
        usual("clt-wall-100", "Cross-laminated timber wall, 100 mm", vec![solid("wood", 100.0), board_eu()]),
    ]
}

fn outer_framed() -> Vec<Assembly> {
    vec![
        usual(
            "stud-outer-vinyl-siding",
            "Insulated stud wall, vinyl siding",
            on_studs_us(vec![solid("pvc", 1.2), solid("air", 10.0)]),
        ),
        usual("stud-outer-wood-siding", "Insulated stud wall, wood siding", on_studs_us(vec![solid("wood", 19.0)])),
        usual(
            "stud-outer-fibre-cement",
            "Insulated stud wall, fibre-cement siding",
            on_studs_us(vec![solid("fibre-cement", 8.0), solid("air", 10.0)]),
        ),
        usual(
            "stud-outer-stucco",
            "Insulated stud wall, stucco on wire mesh",
            on_studs_us(vec![solid("cement-render", 11.0), solid("wire-mesh", 0.5), solid("cement-render", 11.0)]),
        ),
        usual(
            "stud-outer-brick-veneer",
            "Insulated stud wall, brick veneer",
            on_studs_us(vec![solid("brick", 90.0), solid("air", 25.0)]),
        ),
        usual(
            "stud-outer-foil-sheathing",
            "Insulated stud wall, foil-faced foam sheathing, vinyl siding",
            on_studs_us(vec![
                solid("pvc", 1.2),
                solid("air", 10.0),
                solid("aluminium-foil", 0.009),
                solid("pur-foam", 25.0),
                solid("aluminium-foil", 0.009),
            ]),
        ),
        usual(
            "timber-frame-outer-eu",
            "Timber frame wall, wood cladding",
            vec![
                solid("wood", 20.0),
                framed("air", 25.0, "wood", 600.0, 45.0),
                solid("wood-fibre-board", 22.0),
                studs_eu("mineral-wool", 160.0),
                solid("osb", 15.0),
                framed("air", 40.0, "wood", 600.0, 45.0),
                solid("plasterboard", BOARD_EU),
            ],
        ),
        usual("log-wall-200", "Log wall, 200 mm", vec![solid("wood", 200.0)]),
    ]
}

fn outer_masonry() -> Vec<Assembly> {
    let mut block = vec![solid("cement-render", 12.0)];
    block.extend(hollow_block(190.0, 32.0));
    block.extend([framed("air", 19.0, "wood", 406.4, 38.0), solid("plasterboard", BOARD_US)]);
    vec![
        usual(
            "brick-solid-215",
            "One-brick solid wall, plastered",
            vec![solid("brick", 215.0), solid("gypsum-plaster", 13.0)],
        ),
        usual(
            "brick-cavity-empty",
            "Brick cavity wall, empty cavity",
            vec![solid("brick", 102.5), solid("air", 50.0), solid("brick", 102.5), solid("gypsum-plaster", 13.0)],
        ),
        usual(
            "brick-cavity-insulated",
            "Brick and aerated block cavity wall, full-fill mineral wool",
            vec![
                solid("brick", 102.5),
                solid("mineral-wool-rigid", 100.0),
                solid("aerated-concrete", 100.0),
                solid("gypsum-plaster", 13.0),
            ],
        ),
        usual(
            "brick-cavity-foil-board",
            "Brick and concrete block cavity wall, foil-faced foam board",
            vec![
                solid("brick", 102.5),
                solid("air", 50.0),
                solid("aluminium-foil", 0.009),
                solid("pur-foam", 75.0),
                solid("aluminium-foil", 0.009),
                solid("concrete-block", 100.0),
                solid("gypsum-plaster", 13.0),
            ],
        ),
        usual("concrete-block-hollow-190", "Hollow concrete block wall, furred and lined", block),
        usual(
            "aerated-block-outer-365",
            "Aerated block wall, rendered",
            vec![solid("cement-render", 15.0), solid("aerated-concrete", 365.0), solid("gypsum-plaster", 10.0)],
        ),
        usual(
            "hollow-clay-insulated-240",
            "Hollow clay block wall with insulating render system",
            vec![
                solid("cement-render", 8.0),
                solid("eps", 140.0),
                solid("hollow-clay-block", 240.0),
                solid("gypsum-plaster", 12.0),
            ],
        ),
        usual(
            "concrete-insulated-180",
            "Cast concrete wall with insulating render system",
            vec![
                solid("cement-render", 8.0),
                solid("eps", 140.0),
                solid("concrete", 180.0),
                solid("gypsum-plaster", 5.0),
            ],
        ),
        usual(
            "concrete-sandwich",
            "Precast concrete sandwich wall",
            vec![solid("concrete", 70.0), solid("eps", 150.0), solid("concrete", 150.0)],
        ),
        usual(
            "basement-concrete-200",
            "Basement wall: cast concrete, insulated studs",
            vec![
                solid("bitumen", 3.0),
                solid("concrete", 200.0),
                studs_us("mineral-wool", 89.0),
                solid("polyethylene", 0.15),
                solid("plasterboard", BOARD_US),
            ],
        ),
        usual(
            "stone-wall-500",
            "Solid stone wall, plastered",
            vec![solid("sandstone", 500.0), solid("lime-plaster", 20.0)],
        ),
    ]
}

fn party() -> Vec<Assembly> {
    let board = || solid("plasterboard", 15.9);
    let board_eu = || solid("plasterboard", BOARD_EU);
    vec![
        usual(
            "party-wall-double-stud",
            "Party wall: two wood stud leaves",
            vec![
                board(),
                board(),
                studs_us("mineral-wool", 89.0),
                solid("air", 25.0),
                studs_us("mineral-wool", 89.0),
                board(),
                board(),
            ],
        ),
        usual(
            "party-wall-block-cavity",
            "Party wall: two concrete block leaves, lined",
            vec![
                board_eu(),
                solid("air", 10.0),
                solid("concrete-block", 100.0),
                solid("mineral-wool", 75.0),
                solid("concrete-block", 100.0),
                solid("air", 10.0),
                board_eu(),
            ],
        ),
        usual(
            "party-wall-concrete-200",
            "Party wall: cast concrete",
            vec![solid("gypsum-plaster", 5.0), solid("concrete", 200.0), solid("gypsum-plaster", 5.0)],
        ),
    ]
}
