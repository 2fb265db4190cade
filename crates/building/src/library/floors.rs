//! Floors, ceilings and roofs usual in North America and Europe, layers from top to bottom, millimetres.

use super::{framed, solid, usual};
use crate::material::{Assembly, Layer};

/// Softwood joists 38 mm wide every 406 mm (16 in), North America.
fn joists_us(fill: &str, mm: f64) -> Layer {
    framed(fill, mm, "wood", 406.4, 38.0)
}

/// Softwood joists 47 mm wide every 400 mm, Europe.
fn joists_eu(fill: &str, mm: f64) -> Layer {
    framed(fill, mm, "wood", 400.0, 47.0)
}

/// Concrete with reinforcing bars: a mat of 10 mm bars every 150 mm both ways near each face.
///
/// Members stand one way only, so that they are 20 mm wide: bars along and across together shadow twice what those of one way do.
/// An exact solution for cylinders in concrete (multipoles and lattice sums; V. Twersky, IRE Trans. AP-10, 1962; computed in the
/// propagation crate's tests) takes 0.51 to 0.63 dB from the power that goes on in all directions, from 2.4 to 6.5 GHz. This shadow
/// is 0.62 dB straight on, bars of one way alone 0.30 dB.
fn reinforced(mm: f64) -> Vec<Layer> {
    let bars = || framed("concrete", 10.0, "metal", 150.0, 20.0);
    vec![solid("concrete", 25.0), bars(), solid("concrete", mm - 70.0), bars(), solid("concrete", 25.0)]
}

fn between(above: Vec<Layer>, middle: Vec<Layer>, below: Vec<Layer>) -> Vec<Layer> {
    above.into_iter().chain(middle).chain(below).collect()
}

pub(super) fn floors() -> Vec<Assembly> {
    let mut all = timber();
    all.extend(concrete());
    all.extend(roofs());
    all
}

fn timber() -> Vec<Assembly> {
    let board = || solid("plasterboard", 12.7);
    let board_eu = || solid("plasterboard", 12.5);
    vec![
        usual(
            "joist-floor-hardwood",
            "Joist floor, hardwood, plasterboard ceiling",
            vec![solid("wood", 19.0), solid("osb", 18.0), joists_us("air", 235.0), board()],
        ),
        usual(
            "joist-floor-carpet",
            "Joist floor, carpet, plasterboard ceiling",
            vec![solid("carpet-tile", 10.0), solid("osb", 18.0), joists_us("air", 235.0), board()],
        ),
        usual(
            "joist-floor-tiled",
            "Joist floor, tiled, plasterboard ceiling",
            vec![
                solid("ceramic-tile", 9.0),
                solid("mortar", 4.0),
                solid("fibre-cement", 12.0),
                solid("osb", 18.0),
                joists_us("air", 235.0),
                board(),
            ],
        ),
        usual(
            "joist-floor-bare",
            "Joist floor over a basement without ceiling",
            vec![solid("wood", 19.0), solid("osb", 18.0), joists_us("air", 235.0)],
        ),
        usual(
            "joist-floor-chipboard",
            "Joist floor, chipboard, mineral wool, plasterboard ceiling",
            vec![solid("chipboard", 22.0), joists_eu("air", 120.0), joists_eu("mineral-wool", 100.0), board_eu()],
        ),
        usual(
            "joist-floor-plaster-ceiling",
            "Boarded joist floor, ceiling of plaster on wood lath",
            vec![
                solid("wood", 21.0),
                joists_eu("air", 200.0),
                framed("lime-plaster", 8.0, "wood", 48.0, 38.0),
                solid("lime-plaster", 15.0),
            ],
        ),
        usual(
            "joist-floor-pugged",
            "Boarded joist floor with sand pugging, plaster on wood lath",
            vec![
                solid("wood", 24.0),
                joists_eu("air", 60.0),
                framed("cement-render", 80.0, "wood", 700.0, 120.0),
                joists_eu("air", 40.0),
                solid("wood", 20.0),
                framed("lime-plaster", 8.0, "wood", 48.0, 38.0),
                solid("lime-plaster", 15.0),
            ],
        ),
        usual(
            "clt-floor-140",
            "Cross-laminated timber floor, floating screed",
            vec![solid("wood", 14.0), solid("screed", 60.0), solid("mineral-wool-rigid", 30.0), solid("wood", 140.0)],
        ),
        usual(
            "ceiling-under-attic",
            "Ceiling under an attic, 300 mm of mineral wool",
            vec![solid("mineral-wool", 200.0), framed("mineral-wool", 100.0, "wood", 609.6, 38.0), board()],
        ),
        usual(
            "ceiling-suspended",
            "Suspended ceiling of mineral boards in a steel grid",
            vec![framed("ceiling-board", 15.0, "metal", 600.0, 24.0)],
        ),
    ]
}

fn concrete() -> Vec<Assembly> {
    vec![
        usual(
            "concrete-slab-150",
            "Reinforced concrete slab, 150 mm, laminate floor",
            between(vec![solid("laminate-floor", 8.0)], reinforced(150.0), vec![]),
        ),
        usual(
            "concrete-slab-200-screed",
            "Reinforced concrete slab, 200 mm, floating screed, wood floor",
            between(
                vec![solid("wood", 14.0), solid("screed", 60.0), solid("mineral-wool-rigid", 30.0)],
                reinforced(200.0),
                vec![solid("gypsum-plaster", 8.0)],
            ),
        ),
        usual(
            "concrete-slab-heated-foil",
            "Reinforced concrete slab, heated screed on foil-faced foam, tiled",
            between(
                vec![
                    solid("ceramic-tile", 10.0),
                    solid("mortar", 5.0),
                    solid("screed", 65.0),
                    solid("aluminium-foil", 0.009),
                    solid("eps", 30.0),
                ],
                reinforced(200.0),
                vec![],
            ),
        ),
        usual(
            "beam-and-block-floor",
            "Concrete beam and block floor, screed",
            vec![
                solid("screed", 65.0),
                framed("concrete-block", 100.0, "concrete", 500.0, 120.0),
                framed("air", 50.0, "concrete", 500.0, 90.0),
                solid("plasterboard", 12.5),
            ],
        ),
        usual(
            "hollow-core-slab-200",
            "Hollow-core concrete slab, screed",
            vec![
                solid("screed", 50.0),
                solid("concrete", 30.0),
                framed("air", 140.0, "concrete", 190.0, 45.0),
                solid("concrete", 30.0),
            ],
        ),
        usual(
            "steel-deck-floor",
            "Concrete on steel deck, suspended plasterboard",
            vec![solid("concrete", 100.0), solid("metal", 0.9), solid("air", 200.0), solid("plasterboard", 12.5)],
        ),
        usual(
            "ground-slab-insulated",
            "Ground slab on insulation",
            vec![solid("vinyl-tile", 3.0), solid("concrete", 100.0), solid("polyethylene", 0.25), solid("xps", 50.0)],
        ),
    ]
}

fn roofs() -> Vec<Assembly> {
    vec![
        usual(
            "roof-pitched-shingles",
            "Pitched roof, asphalt shingles",
            vec![solid("bitumen", 6.0), solid("osb", 12.0), framed("air", 140.0, "wood", 609.6, 38.0)],
        ),
        usual(
            "roof-pitched-tiles-insulated",
            "Pitched roof, clay tiles, insulated rafters, plasterboard",
            vec![
                solid("brick", 15.0),
                framed("air", 50.0, "wood", 350.0, 50.0),
                solid("wood-fibre-board", 22.0),
                framed("mineral-wool", 200.0, "wood", 600.0, 60.0),
                solid("polyethylene", 0.2),
                solid("plasterboard", 12.5),
            ],
        ),
        usual(
            "roof-pitched-tiles-foil",
            "Pitched roof, clay tiles, foil-faced foam between rafters",
            vec![
                solid("brick", 15.0),
                framed("air", 50.0, "wood", 350.0, 50.0),
                solid("aluminium-foil", 0.009),
                framed("pur-foam", 120.0, "wood", 600.0, 47.0),
                solid("aluminium-foil", 0.009),
                solid("plasterboard", 12.5),
            ],
        ),
        usual(
            "roof-metal-sheet",
            "Sheet metal roof",
            vec![
                solid("metal", 0.7),
                solid("wood", 24.0),
                framed("mineral-wool", 200.0, "wood", 600.0, 60.0),
                solid("plasterboard", 12.5),
            ],
        ),
        usual(
            "roof-flat-membrane",
            "Flat timber roof, rubber membrane",
            vec![
                solid("rubber-membrane", 1.2),
                solid("pur-foam", 120.0),
                solid("plywood", 18.0),
                joists_eu("air", 200.0),
                solid("plasterboard", 12.5),
            ],
        ),
        usual(
            "roof-flat-concrete",
            "Flat concrete roof, bitumen sheet",
            between(
                vec![solid("bitumen", 8.0), solid("eps", 160.0)],
                reinforced(200.0),
                vec![solid("gypsum-plaster", 8.0)],
            ),
        ),
        usual(
            "roof-green",
            "Green roof on concrete, 100 mm of moist soil",
            between(
                vec![solid("soil", 100.0), solid("polyethylene", 2.0), solid("bitumen", 8.0), solid("xps", 140.0)],
                reinforced(200.0),
                vec![],
            ),
        ),
    ]
}
