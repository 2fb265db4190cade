//! What stands in a panel or rack: units, ports, heat, warmth and sockets.

use std::collections::BTreeMap;

use equipment::{Part, PartKind};
use findings::{Figure, Id, Source};
use network::{FeedSource, Mounting};

use crate::poe::PoeLoad;
use crate::sheet::{PanelPlace, PanelRow};
use crate::terms::{PanelTerms, Terms};
use crate::view::View;

/// British thermal units an hour in a watt.
pub const BTU_H_PER_WATT: f64 = 3.412_142;

/// Heat capacity of a cubic metre of air [J/(m³·K)] at 20 °C (textbook).
const AIR: f64 = 1.2e3;

/// Sockets of a duplex outlet.
const DUPLEX: u32 = 2;

/// How much warmer than its room a panel gets inside.
///
/// # Model
/// `P / (U A + 1.2·10³ V̇)`: heat leaves through the walls and with the air that flows through. The air inside is one temperature.
///
/// # Units
/// W, m², W/(m²·K), m³/s, K.
///
/// # Validity
/// Nothing where a number cannot be used or no heat can leave.
///
/// # Example
/// ```
/// use cabling::panel::rise;
/// use cabling::terms::PanelTerms;
/// let open = PanelTerms { surface_m2: 1.0, passes: 4.0, air_flow: 0.005, ..PanelTerms::default() };
/// assert_eq!(rise(100.0, &open), Some(10.0));
/// let walled_in = PanelTerms { passes: 0.0, air_flow: 0.0, ..open };
/// assert_eq!(rise(100.0, &walled_in), None);
/// ```
#[must_use]
pub fn rise(heat_w: f64, panel: &PanelTerms) -> Option<f64> {
    let leaves = panel.passes * panel.surface_m2 + AIR * panel.air_flow;
    (leaves > 0.0 && leaves.is_finite() && heat_w.is_finite() && heat_w >= 0.0).then(|| heat_w / leaves)
}

/// Units of height that a part takes in a rack: a panel of 24 ports or a switch takes one, what stands on a shelf two (common
/// practice, no source).
const fn height(kind: PartKind) -> u32 {
    match kind {
        PartKind::PatchPanel | PartKind::Switch | PartKind::Injector | PartKind::MediaConverter => 1,
        PartKind::BatterySupply
        | PartKind::Router
        | PartKind::WirelessRouter
        | PartKind::Gateway
        | PartKind::LineTermination => 2,
        _ => 0,
    }
}

/// Where a part stands, from the top: what cables end at, then what is patched to it, then what is heavy.
const fn order(kind: PartKind) -> u8 {
    match kind {
        PartKind::PatchPanel => 0,
        PartKind::Switch => 1,
        PartKind::Injector | PartKind::MediaConverter => 2,
        PartKind::BatterySupply => 4,
        _ => 3,
    }
}

/// Heat that a part gives off where it stands [W]: what it draws, and what it loses of what it passes on.
pub(crate) fn heat(id: &Id, part: &Part, loads: &BTreeMap<Id, PoeLoad>, terms: &Terms) -> [f64; 3] {
    let own = part.draw.value();
    let loss = 1.0 / terms.supply_efficiency - 1.0;
    let lost = |watts: f64| own + watts * loss;
    loads.get(id).filter(|_| part.poe_supply.is_some()).map_or([own; 3], |load| {
        let [least, worst] = [load.least.value(), load.worst.value()];
        [lost(least), lost(load.likely.map_or(f64::midpoint(least, worst), |w| w.value())), lost(worst)]
    })
}

/// Panels and racks: one for each room in which a part is mounted in one.
pub(crate) fn panels(view: &View, loads: &BTreeMap<Id, PoeLoad>) -> Vec<PanelRow> {
    let terms = view.input.terms;
    let mut rooms: Vec<&Id> = Vec::new();
    for placed in &view.input.design.parts {
        let is_panel = view.part(&placed.id).is_some_and(|p| p.kind == PartKind::Panel);
        if (is_panel || placed.mounting == Mounting::Panel) && !rooms.contains(&&placed.room) {
            rooms.push(&placed.room);
        }
    }
    rooms.into_iter().map(|room| panel(view, loads, terms, room)).collect()
}

fn panel(view: &View, loads: &BTreeMap<Id, PoeLoad>, terms: &Terms, room: &Id) -> PanelRow {
    let mut panel = None;
    let mut inside: Vec<(&Id, &Part)> = Vec::new();
    for placed in view.input.design.parts.iter().filter(|p| &p.room == room) {
        let Some(part) = view.part(&placed.id) else { continue };
        if part.kind == PartKind::Panel {
            panel.get_or_insert_with(|| placed.id.clone());
        } else if placed.mounting == Mounting::Panel {
            inside.push((&placed.id, part));
        }
    }
    inside.sort_by_key(|(_, part)| order(part.kind));
    let mut rows = Vec::new();
    let (mut units, mut ports, mut used, mut plugs) = (0, 0_u32, 0_u32, 0);
    let mut sum = [0.0; 3];
    for (id, part) in inside {
        let heat = heat(id, part, loads, terms);
        for (sum, heat) in sum.iter_mut().zip(heat) {
            *sum += heat;
        }
        let high = height(part.kind);
        rows.push(PanelPlace { unit: units + 1, height: high, part: id.clone(), heat_w: heat[1] });
        units += high;
        if matches!(part.kind, PartKind::Switch | PartKind::PatchPanel) {
            let has = part.ports.lan.saturating_add(part.ports.uplink).saturating_add(part.ports.fibre);
            ports = ports.saturating_add(has);
            let links = u32::try_from(view.lines_at(id).count()).unwrap_or(u32::MAX);
            used = used.saturating_add(links.min(has));
        }
        plugs += u32::from(part.draw.value() > 0.0 && takes_socket(view, id));
    }
    let [low, likely, high] = sum;
    let subject = panel.clone().unwrap_or_else(|| room.clone());
    let figure = |id: &str, unit: &str, each: f64| {
        Figure::known(id, subject.clone(), likely * each, unit)
            .between(low * each, high * each, None)
            .source(Source::model("draw of the parts and loss of what they pass on"))
            .source(Source::generic())
    };
    let rise = match [low, likely, high].map(|w| rise(w, &terms.panel)) {
        [Some(low), Some(value), Some(high)] => Figure::known("panel.rise", subject.clone(), value, "K")
            .between(low, high, None)
            .input("surface", terms.panel.surface_m2, "m²")
            .input("heat through the walls", terms.panel.passes, "W/(m²·K)")
            .input("air flow", terms.panel.air_flow, "m³/s"),
        _ => Figure::unknown("panel.rise", subject.clone(), "K", vec!["a way for heat to leave the panel".to_owned()]),
    }
    .source(Source::model("P / (U·A + 1.2·10³·V̇)"));
    let with_spares = (f64::from(plugs) * (1.0 + terms.spare_ports)).ceil();
    PanelRow {
        room: room.clone(),
        heat: figure("panel.heat", "W", 1.0),
        heat_btu_h: figure("panel.heat", "BTU/h", BTU_H_PER_WATT),
        panel,
        rows,
        units_used: units,
        units: terms.panel.units,
        ports,
        ports_used: used,
        rise,
        plugs,
        // Two at least (common practice).
        duplex_outlets: (with_spares as u32).div_ceil(DUPLEX).max(2),
    }
}

/// True if a part has a plug of its own in a socket of the house.
fn takes_socket(view: &View, id: &Id) -> bool {
    let feeds = view.feeds(id);
    feeds.is_empty() || feeds.iter().any(|f| matches!(f, FeedSource::Mains { .. }))
}
