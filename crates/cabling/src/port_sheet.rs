//! Which cable is plugged into which port, at which rate, and how an uplink compares with what it serves.

use std::collections::BTreeMap;

use equipment::Part;
use findings::Id;
use household::DeviceKind;
use units::BitsPerSecond;

use crate::ports::{Side, side};
use crate::rate::fastest;
use crate::sheet::{PortRow, PortSheet};
use crate::view::{Line, View, is_passive, other_end};

/// What a camera's port runs at: cameras have 100 Mbit/s (generic figure).
const CAMERA: BitsPerSecond = BitsPerSecond(100e6);

/// A link at a part, as it is plugged in.
struct Plug<'a, 'v> {
    line: &'v Line<'a>,
    side: Side,
    to: Id,
    rate: Option<BitsPerSecond>,
    feeds: Option<u8>,
}

/// The ports of every part that has any, in the design's order.
pub(crate) fn port_sheets(view: &View) -> Vec<PortSheet> {
    let placed = view.input.design.parts.iter();
    placed
        .filter_map(|placed| {
            let part = view.part(&placed.id).filter(|p| !is_passive(p.kind))?;
            let has_ports = part.ports.lan + part.ports.uplink + part.ports.fibre > 0;
            let is_linked = view.lines_at(&placed.id).next().is_some();
            (has_ports || is_linked).then(|| port_sheet(view, &placed.id, part))
        })
        .collect()
}

fn port_sheet(view: &View, id: &Id, part: &Part) -> PortSheet {
    let fed = view.fed_by(id);
    let mut plugs: Vec<Plug> = Vec::new();
    for line in view.lines_at(id) {
        for (end, outwards) in [(&line.link.from, true), (&line.link.to, false)] {
            if end != id {
                continue;
            }
            let to = other_end(line.link, id);
            let feeds = fed.contains(&&to).then(|| view.powered(&to).map_or(9, |(class, _)| class));
            let is_fibre = line.cable.is_some() && line.is_fibre();
            let rate = rate(view, line, id);
            plugs.push(Plug { line, side: side(is_fibre, outwards, part.ports.uplink > 0), to, rate, feeds });
        }
    }
    // Powered ports come first on a part; what is fed takes them before others do. The sort keeps the design's order.
    plugs.sort_by_key(|p| (p.side, p.feeds.is_none()));
    let powered = part.poe_supply.as_ref().map_or((0, 0), |s| (s.ports, s.class));
    let mut rows = Vec::new();
    let mut spare = 0;
    let mut beyond = Vec::new();
    let sides = [
        (Side::Uplink, "uplink", part.ports.uplink),
        (Side::Lan, "port", part.ports.lan),
        (Side::Fibre, "fibre", part.ports.fibre),
    ];
    for (side, name, count) in sides {
        let mut here = plugs.iter().filter(|p| p.side == side);
        for number in 1..=count {
            let gives = (side == Side::Lan && number <= powered.0).then_some(powered.1);
            let plug = here.next();
            spare += u32::from(plug.is_none());
            rows.push(row(format!("{name} {number}"), plug, gives, true));
        }
        beyond.extend(
            here.enumerate().map(|(i, p)| row(format!("{name} {}", count as usize + i + 1), Some(p), None, false)),
        );
    }
    rows.extend(beyond);
    let oversubscription = oversubscription(part, &plugs);
    PortSheet { part: id.clone(), ports: rows, spare, oversubscription }
}

fn row(port: String, plug: Option<&Plug>, gives_class: Option<u8>, exists: bool) -> PortRow {
    PortRow {
        port,
        exists,
        link: plug.map(|p| p.line.link.id.clone()),
        to: plug.map(|p| p.to.clone()),
        rate: plug.and_then(|p| p.rate),
        gives_class,
        feeds_class: plug.and_then(|p| p.feeds),
    }
}

/// Sum of the rates of what leads away from the line over the rate of what leads towards it.
fn oversubscription(part: &Part, plugs: &[Plug]) -> Option<f64> {
    if part.kind != equipment::PartKind::Switch {
        return None;
    }
    let (mut access, mut uplink) = (0.0, 0.0);
    for plug in plugs {
        let rate = plug.rate?.value();
        if plug.to == plug.line.link.from { uplink += rate } else { access += rate }
    }
    (uplink > 0.0).then(|| access / uplink)
}

/// What a link runs at: the slower port, and no more than its cable carries in any bundle if its length is known.
fn rate(view: &View, line: &Line, near: &Id) -> Option<BitsPerSecond> {
    let mut rate = ports_rate(view, line, near)?;
    if let Some((carries, _)) = carries(line)
        && let Some(most) = carries
    {
        rate = rate.min(most);
    }
    Some(rate)
}

/// Rate of the slower of a link's two ports; a device's own port is taken to be as fast as the one it is patched into.
pub(crate) fn ports_rate(view: &View, line: &Line, near: &Id) -> Option<BitsPerSecond> {
    let is_fibre = line.cable.is_some() && line.is_fibre();
    let of = |part: &Part, outwards: bool| match side(is_fibre, outwards, part.ports.uplink > 0) {
        Side::Fibre => part.ports.fibre_rate,
        Side::Uplink => part.ports.uplink_rate,
        Side::Lan => part.ports.lan_rate,
    };
    let far = other_end(line.link, near);
    let near_rate = of(view.part(near)?, &line.link.from == near);
    if let Some(part) = view.part(&far).filter(|p| !is_passive(p.kind)) {
        return Some(near_rate.min(of(part, line.link.from == far)));
    }
    let is_camera = view.device(&far).is_some_and(|d| matches!(d.kind, DeviceKind::Camera | DeviceKind::Doorbell));
    Some(if is_camera { near_rate.min(CAMERA) } else { near_rate })
}

/// The rate that a link's cable carries, surely and in a quiet bundle; nothing where category or length is unknown.
pub(crate) fn carries(line: &Line) -> Option<(Option<BitsPerSecond>, Option<BitsPerSecond>)> {
    let equipment::CableCore::TwistedPairs { category, .. } = line.spec?.core else { return None };
    let length = line.channel()?[1];
    let fastest = fastest(category, units::Metres(length));
    Some((fastest.sure.map(|e| e.rate()), fastest.may.map(|e| e.rate())))
}

/// Switches on the way from cameras and stores towards the line, each with the devices behind it.
pub(crate) fn switches_of_streams(view: &View) -> BTreeMap<Id, Vec<Id>> {
    let mut found: BTreeMap<Id, Vec<Id>> = BTreeMap::new();
    let Some(household) = view.input.household else { return found };
    let matters = |kind| matches!(kind, DeviceKind::Camera | DeviceKind::Doorbell | DeviceKind::Storage);
    for device in household.devices.iter().filter(|d| matters(d.kind)) {
        let mut at = device.id.clone();
        let mut seen = vec![at.clone()];
        let next = |at: &Id, seen: &[Id]| {
            let line = view.lines_at(at).find(|l| &l.link.to == at && !seen.contains(&l.link.from))?;
            Some(line.link.from.clone())
        };
        while let Some(before) = next(&at, &seen) {
            at = before;
            seen.push(at.clone());
            if view.part(&at).is_some_and(|p| p.kind == equipment::PartKind::Switch) {
                found.entry(at.clone()).or_default().push(device.id.clone());
            }
        }
    }
    found
}
