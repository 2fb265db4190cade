//! What the antennas of placed parts send where: their pattern, held as the part is mounted.

use std::collections::BTreeMap;

use building::Resolved;
use equipment::{Catalog, Part};
use findings::Id;
use network::{Mounting, PlacedPart};
use propagation::Site;
use propagation::antenna::{Antenna, Mounted, Pattern};
use radio_profile::AntennaPattern;
use units::Point2;

use crate::home::NotComputable;

/// Antennas by part, of those that do not send alike into all directions.
pub(crate) type Antennas = BTreeMap<Id, Antenna>;

/// Reads the patterns of a catalogue.
pub(crate) fn antennas(catalog: &Catalog) -> Result<Antennas, NotComputable> {
    let mut out = Antennas::new();
    for part in catalog.iter() {
        let Some(antenna) = antenna(part)? else { continue };
        out.insert(part.id.clone(), antenna);
    }
    Ok(out)
}

fn antenna(part: &Part) -> Result<Option<Antenna>, NotComputable> {
    Ok(match part.radio.as_ref().map(|radio| &radio.pattern) {
        None | Some(AntennaPattern::Even) => None,
        Some(AntennaPattern::HalfWaveDipole) => Some(Antenna::HalfWaveDipole),
        Some(AntennaPattern::CeilingPatch) => Some(Antenna::CeilingPatch),
        Some(AntennaPattern::Measured(csv)) => {
            let pattern = Pattern::from_csv(csv)
                .map_err(|e| NotComputable::because(format!("the antenna pattern of part {}: {e}", part.id)))?;
            Some(Antenna::Pattern(pattern))
        }
    })
}

/// A placed part as a place with an antenna.
///
/// An aim that the design gives counts. Without one a patch looks down from a ceiling, away from the nearest wall where
/// it hangs on one, and up where it stands; a measured pattern looks away from the wall with its forward direction.
pub(crate) fn site(home: &Resolved, antennas: &Antennas, placed: &PlacedPart) -> Site {
    let Some(antenna) = antennas.get(&placed.part) else { return placed.at.into() };
    let is_patch = *antenna == Antenna::CeilingPatch;
    let (azimuth_deg, downtilt_deg) = match (placed.aim, placed.mounting) {
        (Some(aim), _) => (aim.azimuth_deg, aim.downtilt_deg),
        (None, Mounting::Wall) => (off_wall(home, placed), if is_patch { -90.0 } else { 0.0 }),
        (None, Mounting::Ceiling) => (0.0, 0.0),
        (None, Mounting::Shelf | Mounting::Panel) => (0.0, if is_patch { 180.0 } else { 0.0 }),
    };
    Site { at: placed.at, mounted: Mounted { antenna: antenna.clone(), azimuth_deg, downtilt_deg } }
}

/// Direction from the nearest wall to a part [°].
fn off_wall(home: &Resolved, placed: &PlacedPart) -> f64 {
    let at = placed.at.plan();
    let mut nearest = (f64::INFINITY, 0.0);
    for panel in home.panels.iter().filter(|p| (p.z0..=p.z1).contains(&placed.at.z)) {
        let (dx, dy) = (panel.b.x - panel.a.x, panel.b.y - panel.a.y);
        let along = ((at.x - panel.a.x) * dx + (at.y - panel.a.y) * dy) / (dx * dx + dy * dy);
        let along = along.clamp(0.0, 1.0);
        let foot = Point2::new(panel.a.x + along * dx, panel.a.y + along * dy);
        let distance = at.distance(foot);
        if distance < nearest.0 {
            nearest = (distance, (at.y - foot.y).atan2(at.x - foot.x).to_degrees());
        }
    }
    nearest.1
}
