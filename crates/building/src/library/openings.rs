//! Doors, windows and mirrors, layers from outside to inside, millimetres. Frames are left out.

use super::{framed, solid, usual};
use crate::material::{Assembly, Layer};

/// A coating's thickness is of no account: its resistance is that of the whole sheet.
const COATING: f64 = 0.0001;

fn pane(mm: f64) -> Layer {
    solid("glass", mm)
}

fn gap(mm: f64) -> Layer {
    solid("air", mm)
}

pub(super) fn openings() -> Vec<Assembly> {
    let mut all = doors();
    all.extend(windows());
    all
}

fn doors() -> Vec<Assembly> {
    vec![
        usual(
            "door-hollow-core",
            "Hollow-core door",
            // A paper honeycomb between skins; the solid stiles and rails are a tenth of the leaf.
            vec![solid("fibreboard", 3.0), framed("air", 29.0, "wood", 380.0, 38.0), solid("fibreboard", 3.0)],
        ),
        usual("door-solid-timber", "Solid timber door", vec![solid("wood", 44.0)]),
        usual(
            "door-solid-core",
            "Solid-core door",
            vec![solid("fibreboard", 3.0), solid("chipboard", 38.0), solid("fibreboard", 3.0)],
        ),
        usual(
            "door-fire-timber",
            "Fire door of timber, mineral core",
            vec![solid("plywood", 6.0), solid("plasterboard", 32.0), solid("plywood", 6.0)],
        ),
        usual(
            "door-steel-insulated",
            "Insulated steel outer door",
            vec![solid("metal", 0.6), solid("pur-foam", 43.0), solid("metal", 0.6)],
        ),
        usual(
            "door-foil-faced",
            "Timber door with a foil moisture barrier under each face",
            vec![
                solid("wood", 5.0),
                solid("aluminium-foil", 0.009),
                solid("wood", 40.0),
                solid("aluminium-foil", 0.009),
                solid("wood", 5.0),
            ],
        ),
        usual("door-glass", "Glass door, toughened", vec![pane(10.0)]),
        usual("door-patio-double", "Sliding glass door, double, uncoated", vec![pane(5.0), gap(12.0), pane(5.0)]),
        usual(
            "door-patio-low-e",
            "Sliding glass door, double, low-emissivity",
            vec![pane(5.0), solid("low-e-coating", COATING), gap(12.0), pane(5.0)],
        ),
        usual(
            "garage-door-steel",
            "Sectional steel garage door, insulated",
            vec![solid("metal", 0.5), solid("pur-foam", 40.0), solid("metal", 0.5)],
        ),
        usual("garage-door-wood", "Wood garage door", vec![solid("plywood", 12.0)]),
    ]
}

fn windows() -> Vec<Assembly> {
    vec![
        usual("window-single", "Single window", vec![pane(4.0)]),
        usual("window-double", "Double window, uncoated", vec![pane(4.0), gap(16.0), pane(4.0)]),
        usual(
            "window-double-low-e",
            "Double window, one low-emissivity coating",
            vec![pane(4.0), gap(16.0), solid("low-e-coating", COATING), pane(4.0)],
        ),
        usual(
            "window-double-low-e-hard",
            "Double window, one hard low-emissivity coating",
            vec![pane(4.0), gap(16.0), solid("low-e-coating-hard", COATING), pane(4.0)],
        ),
        usual("window-triple", "Triple window, uncoated", vec![pane(4.0), gap(12.0), pane(4.0), gap(12.0), pane(4.0)]),
        usual(
            "window-triple-low-e",
            "Triple window, two low-emissivity coatings",
            vec![
                pane(4.0),
                solid("low-e-coating", COATING),
                gap(14.0),
                pane(4.0),
                gap(14.0),
                solid("low-e-coating", COATING),
                pane(4.0),
            ],
        ),
        usual("mirror", "Mirror", vec![pane(4.0), solid("silvering", COATING)]),
    ]
}
