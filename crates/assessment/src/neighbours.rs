//! Neighbours' signals coming in: the level at the home's own radios of networks whose transmitters are known.

use std::borrow::Cow;

use findings::{Figure, Id};
use propagation::reliability::Shadowing;
use radio_profile::Band;
use site::{Neighbour, Site, Transmitter};
use units::{Dbm, Hertz, Point3};

use crate::coverage::frequency_shift;
use crate::gains::{self, CARRIERS, Gains};

/// The band that a frequency lies in, by the nearest carrier.
fn band(centre: Hertz) -> Band {
    let off = |band: &Band| (CARRIERS[band.index()].centre.0 - centre.0).abs();
    Band::ALL.into_iter().min_by(|a, b| off(a).total_cmp(&off(b))).unwrap_or(Band::Ghz2)
}

/// Level of a neighbour with a known transmitter at a place, through the outer walls: that of an isotropic antenna.
fn level(gains: &Gains, neighbour: &Neighbour, transmitter: Transmitter, place: Point3) -> Dbm {
    let band = band(neighbour.centre);
    let shift = frequency_shift(CARRIERS[band.index()].centre, neighbour.centre);
    Dbm(transmitter.eirp.0 + gains.at_carrier(transmitter.at, place, band).0 + shift)
}

/// The site as heard at places: a neighbour with a known transmitter has the highest of its levels there, since a channel
/// is held back by whichever radio hears it. Without places, or known transmitters, it is the site as it was given.
pub(crate) fn heard<'a>(site: &'a Site, gains: &Gains, places: &[Point3]) -> Cow<'a, Site> {
    if places.is_empty() || site.neighbours.iter().all(|n| n.transmitter.is_none()) {
        return Cow::Borrowed(site);
    }
    let mut heard = site.clone();
    for neighbour in &mut heard.neighbours {
        let Some(transmitter) = neighbour.transmitter else { continue };
        let levels = places.iter().map(|&place| level(gains, neighbour, transmitter, place));
        neighbour.level = levels.fold(Dbm(f64::NEG_INFINITY), |a, b| if b.0 > a.0 { b } else { a });
    }
    Cow::Owned(heard)
}

/// The levels that [`heard`] has put in.
pub(crate) fn figures(heard: &Site) -> Vec<Figure> {
    let known = heard.neighbours.iter().filter(|n| n.transmitter.is_some() && n.level.0.is_finite());
    known.map(|n| figure(&n.id, n.level)).collect()
}

fn figure(neighbour: &Id, level: Dbm) -> Figure {
    let shadowing = Shadowing::default();
    let spread = 1.645 * shadowing.sigma_db;
    let [paths, walls] = gains::sources();
    Figure::known("neighbour.level", neighbour.clone(), level.0, "dBm")
        .between(level.0 - spread, level.0 + spread, Some(0.9))
        .input("shadowing", shadowing.sigma_db, "dB")
        .source(paths)
        .source(walls)
        .source(Shadowing::sources()[0].clone())
}
