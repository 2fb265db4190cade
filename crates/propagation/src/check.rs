//! What of a resolved home cannot be computed on, before anything is made of it.

use building::Resolved;
use findings::Id;
use units::Point2;

use crate::error::PropagationError;

/// Whether all indices hold and all coordinates are finite.
pub(crate) fn check(home: &Resolved) -> Result<(), PropagationError> {
    let count = home.assemblies.len();
    let known = |element: &Id, index: usize| {
        if index < count {
            return Ok(());
        }
        Err(PropagationError::Assembly { element: element.clone(), index, count })
    };
    let finite = |element: &Id, what: &'static str, values: &[f64]| match values.iter().find(|v| !v.is_finite()) {
        None => Ok(()),
        Some(&value) => Err(PropagationError::Geometry { element: element.clone(), what, value }),
    };
    let size = |element: &Id, what: &'static str, value: f64| {
        if value >= 0.0 {
            return Ok(());
        }
        Err(PropagationError::Geometry { element: element.clone(), what, value })
    };
    let outline = |element: &Id, points: &[Point2]| {
        points.iter().try_for_each(|p| finite(element, "a coordinate of its outline", &[p.x, p.y]))
    };
    for panel in &home.panels {
        known(&panel.wall, panel.assembly)?;
        let ends = [panel.a.x, panel.a.y, panel.b.x, panel.b.y, panel.z0, panel.z1];
        finite(&panel.wall, "a coordinate", &ends)?;
        if panel.a.distance(panel.b) <= 0.0 {
            return Err(PropagationError::Geometry { element: panel.wall.clone(), what: "its length", value: 0.0 });
        }
        size(&panel.wall, "its height", panel.z1 - panel.z0)?;
        for cut in &panel.cuts {
            finite(&cut.opening, "a coordinate", &[cut.s0, cut.s1, cut.z0, cut.z1])?;
            size(&cut.opening, "its width", cut.s1 - cut.s0)?;
            size(&cut.opening, "its height", cut.z1 - cut.z0)?;
            cut.assembly.map_or(Ok(()), |index| known(&cut.opening, index))?;
        }
    }
    for deck in &home.decks {
        known(&deck.slab, deck.assembly)?;
        finite(&deck.slab, "a height", &[deck.z_top, deck.z_bottom])?;
        size(&deck.slab, "its thickness", deck.z_top - deck.z_bottom)?;
        outline(&deck.slab, &deck.outline)?;
        deck.holes.iter().try_for_each(|hole| outline(&deck.slab, hole))?;
    }
    for block in &home.blocks {
        finite(&block.object, "a height", &[block.z0, block.z1])?;
        size(&block.object, "its height", block.z1 - block.z0)?;
        outline(&block.object, &block.outline)?;
    }
    Ok(())
}
