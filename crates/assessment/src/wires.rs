//! How parts and wired devices are joined, for the busy hour, and what their wires bear.

use std::collections::BTreeMap;

use equipment::PartKind;
use findings::Id;
use network::wiring::Wiring;
use network::{Design, Medium};
use traffic::{UplinkKind, WiredLink};
use units::BitsPerSecond;

use crate::home::Home;
use crate::links::Uplink;

/// What the wires of a design bear, by the code of the home's country and with the cords that are kept.
pub(crate) fn bears(home: &Home, design: &Design, wiring: &Wiring) -> cabling::Outcome {
    let is_cord = |part: &Id| home.catalog.get(part).is_some_and(|p| p.kind == PartKind::Cord);
    let mut terms = cabling::Terms {
        jackets: cabling::terms::JacketCode::for_country(&home.site.country),
        ..cabling::Terms::default()
    };
    if let Some(kept) = home.household.kept.iter().find(|k| is_cord(&k.part)) {
        terms.cord = kept.part.clone();
    }
    let parts = |id: &Id| home.catalog.get(id);
    let input =
        cabling::Input { design, parts: &parts, wiring: Some(wiring), household: Some(&home.household), terms: &terms };
    // These terms are sound: the usual ones with a cord of the catalogue.
    cabling::evaluate(&input).unwrap_or_default()
}

/// Uplinks of the parts behind the router, radio ones with what they carry.
pub(crate) fn part_uplinks(home: &Home, design: &Design, radio: &BTreeMap<Id, Uplink>) -> Vec<traffic::Uplink> {
    let behind = |kind: PartKind| {
        matches!(kind, PartKind::Switch | PartKind::AccessPoint | PartKind::RadioNode | PartKind::MediaConverter)
    };
    let mut uplinks = Vec::new();
    for link in &design.links {
        let part = design.part(&link.to).and_then(|p| home.catalog.get(&p.part));
        if !part.is_some_and(|p| behind(p.kind)) {
            continue;
        }
        let kind = match (&link.medium, radio.get(&link.to)) {
            (Medium::Radio { band }, Some(Uplink::Dedicated { down, up })) => {
                UplinkKind::Radio { band: *band, down: *down, up: *up, shared: false }
            }
            (Medium::Radio { band }, Some(Uplink::Shared { down, up })) => {
                UplinkKind::Radio { band: *band, down: *down, up: *up, shared: true }
            }
            (Medium::Radio { .. }, _) => continue,
            _ => UplinkKind::Wired { rate: wire_rate(home, design, &link.from, &link.to) },
        };
        uplinks.push(traffic::Uplink { part: link.to.clone(), parent: link.from.clone(), kind });
    }
    uplinks
}

/// Wired devices, each with the parts on its way up to the router.
pub(crate) fn wired_devices(home: &Home, design: &Design, uplinks: &[traffic::Uplink]) -> Vec<WiredLink> {
    let mut wired: Vec<WiredLink> = Vec::new();
    for link in &design.links {
        let is_device = home.household.devices.iter().any(|d| d.id == link.to);
        if !is_device || wired.iter().any(|w| w.device == link.to) {
            continue;
        }
        let mut via = Vec::new();
        let mut at = &link.from;
        while let Some(uplink) = uplinks.iter().find(|u| &u.part == at) {
            if via.contains(at) {
                break;
            }
            via.push(at.clone());
            at = &uplink.parent;
        }
        let rate = wire_rate(home, design, &link.from, &link.to);
        wired.push(WiredLink { device: link.to.clone(), rate, via });
    }
    wired
}

/// Rate of the slower of the two ports; a device's own port is taken to be as fast as the one it is patched into.
fn wire_rate(home: &Home, design: &Design, from: &Id, to: &Id) -> BitsPerSecond {
    let part = |id: &Id| design.part(id).and_then(|p| home.catalog.get(&p.part));
    let near = part(from).map_or(BitsPerSecond(0.0), |p| p.ports.lan_rate);
    match part(to) {
        Some(far) if far.ports.uplink > 0 => near.min(far.ports.uplink_rate),
        Some(far) => near.min(far.ports.lan_rate),
        None => near,
    }
}
