//! Findings on ports and topology: too few, of the wrong kind, uplinks, depth, rings and parts without power.

use equipment::{Part, PartKind};
use findings::{Edit, Finding, Id};
use network::FeedSource;

use crate::loops::{cabled_bridges, rings};
use crate::port_sheet::switches_of_streams;
use crate::ports::in_use;
use crate::rules::{
    CABLED_BRIDGES, LOOP, NOT_POWERED, OVERSUBSCRIBED, PANEL_FULL, PANEL_HEAT, PANEL_NO_POWER, PANEL_SOCKETS,
    PORT_MISMATCH, PORTS_EXCEEDED, SPARE_PORTS, SWITCH_DEPTH,
};
use crate::sheet::{PanelRow, PortSheet};
use crate::view::{View, is_passive};

/// Most switches on a path (common practice, no source).
const MAX_SWITCH_DEPTH: usize = 3;
/// Most rings that are told one by one.
const MOST_RINGS: usize = 20;

/// Findings on the ports of one placed part.
pub(crate) fn check_part(view: &View, placed: &Id, part: &Part) -> Vec<Finding> {
    let mut findings = Vec::new();
    if is_passive(part.kind) {
        return findings;
    }
    let taken = in_use(view, placed);
    let ports = &part.ports;
    for (taken, there, which) in [
        (taken.lan, ports.lan, "LAN ports"),
        (taken.uplink, ports.uplink, "uplink ports"),
        (taken.fibre, ports.fibre, "fibre ports"),
    ] {
        if taken <= there {
            continue;
        }
        let has_none = there == 0 && (which == "fibre ports" || ports.lan + ports.uplink + ports.fibre > 0);
        if has_none && which != "uplink ports" {
            let kind = if which == "fibre ports" { "glass fibre" } else { "copper" };
            let message =
                format!("{taken} cables of {kind} end at {placed} ({}), which has no port for them", part.name);
            findings.push(
                Finding::of(&PORT_MISMATCH, vec![placed.clone()], message)
                    .against(f64::from(taken), 0.0, "ports")
                    .remedy("put a media converter before it, or choose a part with such ports", Vec::new()),
            );
        } else {
            findings.push(
                Finding::of(
                    &PORTS_EXCEEDED,
                    vec![placed.clone()],
                    format!("{taken} cables end at the {there} {which} of {placed} ({})", part.name),
                )
                .against(f64::from(taken), f64::from(there), "ports")
                .remedy("add a switch, or choose a part with more ports", Vec::new()),
            );
        }
    }
    let draws = part.draw.value() > 0.0 || part.poe.is_some();
    // Designs that say nothing of power are judged elsewhere.
    if draws && !view.input.design.feeds.is_empty() && view.feeds(placed).is_empty() {
        let edit = powered_edit(view, placed);
        findings.push(
            Finding::of(&NOT_POWERED, vec![placed.clone()], format!("{placed} ({}) is fed from nothing", part.name))
                .remedy("feed it from a mains outlet", edit),
        );
    }
    findings
}

fn powered_edit(view: &View, placed: &Id) -> Vec<Edit> {
    let design = view.input.design;
    let mut feeds = design.feeds.clone();
    feeds.push(network::Feed { part: placed.clone(), source: FeedSource::Mains { outlet: None } });
    vec![Edit::set(format!("designs/{}/feeds", design.id), serde_json::json!(feeds))]
}

/// Findings on how the whole hangs together.
pub(crate) fn check_topology(view: &View, sheets: &[PortSheet], depth: Option<(Id, usize)>) -> Vec<Finding> {
    let mut findings = Vec::new();
    let terms = view.input.terms;
    for sheet in sheets {
        let Some(part) = view.part(&sheet.part).filter(|p| p.kind == PartKind::Switch) else { continue };
        let used = sheet.ports.iter().filter(|p| p.link.is_some()).count();
        let wanted = (used as f64 * terms.spare_ports).ceil();
        if used > 0 && f64::from(sheet.spare) < wanted && sheet.ports.iter().all(|p| p.exists) {
            let message = format!("{} ({}) has {} free ports beside {used} in use", sheet.part, part.name, sheet.spare);
            findings.push(
                Finding::of(&SPARE_PORTS, vec![sheet.part.clone()], message)
                    .against(f64::from(sheet.spare), wanted, "ports")
                    .remedy("choose a switch with more ports if things are to be added", Vec::new()),
            );
        }
    }
    for (switch, devices) in switches_of_streams(view) {
        let ratio = sheets.iter().find(|s| s.part == switch).and_then(|s| s.oversubscription);
        let Some(ratio) = ratio.filter(|r| *r > terms.most_oversubscription) else { continue };
        let message = format!(
            "the ports in use behind {switch} add up to {ratio:.1} times its uplink, which {} shares",
            devices.iter().map(Id::as_str).collect::<Vec<_>>().join(", ")
        );
        let mut subjects = vec![switch];
        subjects.extend(devices);
        findings.push(
            Finding::of(&OVERSUBSCRIBED, subjects, message)
                .against(ratio, terms.most_oversubscription, "1")
                .remedy("use a faster uplink, or plug cameras and their store into one switch", Vec::new()),
        );
    }
    if let Some((end, depth)) = depth.filter(|(_, depth)| *depth > MAX_SWITCH_DEPTH) {
        findings.push(
            Finding::of(&SWITCH_DEPTH, vec![end.clone()], format!("{end} sits behind {depth} switches in a row"))
                .against(depth as f64, MAX_SWITCH_DEPTH as f64, "switches")
                .remedy("cable it back to the first switch", Vec::new()),
        );
    }
    findings.extend(loops(view));
    findings
}

fn loops(view: &View) -> Vec<Finding> {
    let mut findings = Vec::new();
    let rings = rings(view);
    let beyond = rings.len().saturating_sub(MOST_RINGS);
    for ring in rings.iter().take(MOST_RINGS) {
        // A managed switch on the ring can open it.
        let guard =
            ring.parts.iter().find(|id| view.part(id).is_some_and(|p| p.kind == PartKind::Switch && p.segments));
        let how = if ring.over_radio { "by cable and by radio" } else { "by cables" };
        let mut message = format!("{} are joined in a ring {how}, closed by {}", names(&ring.parts), ring.closes);
        if let Some(guard) = guard {
            message.push_str(&format!("; {guard} can open it if its loop protection is on"));
        }
        let mut subjects = vec![ring.closes.clone()];
        subjects.extend(ring.parts.iter().cloned());
        let edit = Edit::remove(format!("designs/{}/links/{}", view.input.design.id, ring.closes));
        let mut finding = Finding::of(&LOOP, subjects, message)
            .remedy(format!("take out {}", ring.closes), vec![edit])
            .remedy("or turn on loop protection (spanning tree) in a managed switch of the ring", Vec::new());
        if guard.is_some() {
            finding.severity = findings::Severity::Risk;
        }
        findings.push(finding);
    }
    if let Some(ring) = rings.get(MOST_RINGS) {
        let message = format!("{beyond} more links close rings");
        findings.push(Finding::of(&LOOP, vec![ring.closes.clone()], message));
    }
    let bridges = cabled_bridges(view);
    if !bridges.is_empty() {
        let message = format!(
            "{} are cabled and may join one another by radio as well: together they can close a ring",
            names(&bridges)
        );
        findings.push(
            Finding::of(&CABLED_BRIDGES, bridges, message).remedy(
                "cable one of them only, turn off their radio, or use a switch with loop protection",
                Vec::new(),
            ),
        );
    }
    findings
}

fn names(ids: &[Id]) -> String {
    ids.iter().map(Id::as_str).collect::<Vec<_>>().join(", ")
}

/// Findings on panels.
pub(crate) fn check_panels(view: &View, panels: &[PanelRow]) -> Vec<Finding> {
    let mut findings = Vec::new();
    let terms = &view.input.terms.panel;
    for panel in panels {
        let subject = panel.panel.clone().unwrap_or_else(|| panel.room.clone());
        let of = |rule, message: String| Finding::of(rule, vec![subject.clone()], message);
        let unknown_outlet = panel
            .rows
            .iter()
            .any(|row| view.feeds(&row.part).iter().any(|f| matches!(f, FeedSource::Mains { outlet: None })));
        if unknown_outlet {
            let message =
                format!("parts of the panel in {} draw from the mains, and no outlet is known there", panel.room);
            findings.push(
                of(&PANEL_NO_POWER, message).remedy("have a licensed electrician fit two duplex outlets", Vec::new()),
            );
        }
        if panel.plugs > terms.sockets {
            let message =
                format!("{} plugs are in the panel in {}; it has {} sockets", panel.plugs, panel.room, terms.sockets);
            findings.push(
                of(&PANEL_SOCKETS, message)
                    .against(f64::from(panel.plugs), f64::from(terms.sockets), "sockets")
                    .remedy(format!("plan {} duplex outlets", panel.duplex_outlets), Vec::new()),
            );
        }
        if panel.units_used > panel.units {
            let message = format!(
                "the parts of the panel in {} take {} units; it has {}",
                panel.room, panel.units_used, panel.units
            );
            findings.push(
                of(&PANEL_FULL, message)
                    .against(f64::from(panel.units_used), f64::from(panel.units), "units")
                    .remedy("choose a larger panel", Vec::new()),
            );
        }
        let heats = panel.heat.value.is_some_and(|h| h > 0.0);
        match panel.rise.value {
            None if heats => findings.push(
                of(&PANEL_HEAT, format!("no heat can leave the panel in {}", panel.room))
                    .remedy("give it openings above and below, or a fan", Vec::new()),
            ),
            Some(rise) if rise > terms.most_rise => findings.push(
                of(&PANEL_HEAT, format!("the panel in {} gets {rise:.0} K warmer than the room", panel.room))
                    .against(rise, terms.most_rise, "K")
                    .remedy("give it openings above and below, a fan, or move parts out of it", Vec::new()),
            ),
            _ => {}
        }
    }
    findings
}
