//! What the wires of a design must bear, and how they run: ports, PoE, and routes through the home.
//!
//! - [`check`]: findings on ports, switch depth and PoE
//! - [`ports_in_use`]: how many ports of a placed part its links take
//! - [`poe_load`]: what a placed part must give over its data cables
//! - [`Prepared`], [`route`]: routes of a design's cables, with holes and lengths
//! - [`pathways`]: the search for shared ways, free of buildings

mod poe;
mod ports;
mod routes;

use equipment::{Part, PartKind};
use findings::{Finding, Id, Rule, Severity, Source};
use network::Design;

pub use poe::{PoeLoad, poe_load};
pub use ports::{PortUse, ports_in_use, switch_depth};
pub use routes::{
    END_OUTSIDE, END_WITHOUT_PLACE, MANY_JOISTS, Memory, PERMANENT_LINK_TOO_LONG, Prepared, RouteInput, RouteTerms,
    Routing, UNREACHABLE, WetRooms, pathways, route,
};

/// Looks up a part by its id.
pub type Parts<'a> = dyn Fn(&Id) -> Option<&'a Part> + 'a;

/// More links end at a part than it has ports.
pub const PORTS_EXCEEDED: Rule = Rule {
    id: "cabling.ports-exceeded",
    severity: Severity::Fails,
    summary: "more cables end at a part than it has ports",
    limit: "ports of the part",
    cite: || Source::generic(),
};

/// A chain of switches is too deep.
pub const SWITCH_DEPTH: Rule = Rule {
    id: "cabling.switch-depth",
    severity: Severity::Risk,
    summary: "more than three switches follow one another on a path",
    limit: "3 switches between any two ends",
    cite: Source::common_practice,
};

/// A powered device needs a higher class than its port gives.
pub const POE_CLASS: Rule = Rule {
    id: "cabling.poe-class",
    severity: Severity::Fails,
    summary: "a part fed over its data cable asks for a higher PoE class than the port gives",
    limit: "class of the port",
    cite: || Source::standard("IEEE 802.3-2022, clauses 33 and 145: power classes"),
};

/// More powered devices than powered ports.
pub const POE_PORTS: Rule = Rule {
    id: "cabling.poe-ports",
    severity: Severity::Fails,
    summary: "more parts are fed over their data cables than a supply has powered ports",
    limit: "powered ports of the supply",
    cite: || Source::generic(),
};

/// The worst draw of all powered devices passes the usable budget.
pub const POE_BUDGET: Rule = Rule {
    id: "cabling.poe-budget",
    severity: Severity::Fails,
    summary: "the worst draw of all parts fed over data cables passes 80 % of the supply's budget",
    limit: "80 % of the supply's PoE budget",
    cite: Source::common_practice,
};

/// Every rule of this engine.
pub const RULES: &[Rule] = &[
    PORTS_EXCEEDED,
    SWITCH_DEPTH,
    POE_CLASS,
    POE_PORTS,
    POE_BUDGET,
    END_OUTSIDE,
    END_WITHOUT_PLACE,
    UNREACHABLE,
    PERMANENT_LINK_TOO_LONG,
    MANY_JOISTS,
];

/// Share of a PoE budget that may be planned for, so that boot and night peaks fit (common practice, no source).
pub const POE_USABLE_SHARE: f64 = 0.8;

/// Most switches on a path (common practice, no source).
const MAX_SWITCH_DEPTH: usize = 3;

/// Everything that is wrong with a design's ports and PoE feeds.
///
/// Parts that the catalogue does not know are passed over: the job's own validation names them.
#[must_use]
pub fn check(design: &Design, parts: &Parts) -> Vec<Finding> {
    let mut findings = Vec::new();
    for placed in &design.parts {
        let Some(part) = parts(&placed.part) else { continue };
        // Outlets and panels have jacks, not ports: what passes through them ends elsewhere.
        let passive = matches!(part.kind, PartKind::OutletKit | PartKind::Panel | PartKind::PatchPanel);
        let in_use = if passive { PortUse::default() } else { ports_in_use(design, &placed.id, parts) };
        for (taken, there, which) in
            [(in_use.lan, part.ports.lan, "LAN ports"), (in_use.uplink, part.ports.uplink, "uplink ports")]
        {
            if taken > there {
                findings.push(
                    Finding::of(
                        &PORTS_EXCEEDED,
                        vec![placed.id.clone()],
                        format!("{taken} cables end at the {there} {which} of {} ({})", placed.id, part.name),
                    )
                    .against(f64::from(taken), f64::from(there), "ports")
                    .remedy("add a switch, or choose a part with more ports", Vec::new()),
                );
            }
        }
        if let Some(load) = poe_load(design, &placed.id, parts) {
            findings.extend(check_poe(placed.id.clone(), part, &load));
        }
    }
    if let Some((end, depth)) = switch_depth(design, parts).filter(|(_, depth)| *depth > MAX_SWITCH_DEPTH) {
        findings.push(
            Finding::of(&SWITCH_DEPTH, vec![end.clone()], format!("{end} sits behind {depth} switches in a row"))
                .against(depth as f64, MAX_SWITCH_DEPTH as f64, "switches")
                .remedy("cable it back to the first switch", Vec::new()),
        );
    }
    findings
}

fn check_poe(supply: Id, part: &Part, load: &PoeLoad) -> Vec<Finding> {
    let mut findings = Vec::new();
    let Some(gives) = &part.poe_supply else {
        if let Some((first, class)) = load.classes.first() {
            findings.push(
                Finding::of(
                    &POE_CLASS,
                    vec![first.clone(), supply.clone()],
                    format!("{first} is to be fed over its data cable by {supply}, which gives no PoE"),
                )
                .against(f64::from(*class), 0.0, "class")
                .remedy("feed it from a PoE switch or an injector", Vec::new()),
            );
        }
        return findings;
    };
    for (fed, class) in &load.classes {
        if *class > gives.class {
            findings.push(
                Finding::of(
                    &POE_CLASS,
                    vec![fed.clone(), supply.clone()],
                    format!("{fed} asks for PoE class {class}; the ports of {supply} give class {}", gives.class),
                )
                .against(f64::from(*class), f64::from(gives.class), "class")
                .remedy("choose a supply of a higher class", Vec::new()),
            );
        }
    }
    let fed = load.classes.len() as u32;
    if fed > gives.ports {
        findings.push(
            Finding::of(
                &POE_PORTS,
                vec![supply.clone()],
                format!("{fed} parts are fed by the {} powered ports of {supply}", gives.ports),
            )
            .against(f64::from(fed), f64::from(gives.ports), "ports"),
        );
    }
    let usable = gives.budget.0 * POE_USABLE_SHARE;
    if load.worst.0 > usable {
        findings.push(
            Finding::of(
                &POE_BUDGET,
                vec![supply.clone()],
                format!(
                    "the parts fed by {supply} draw up to {:.1} W; {usable:.1} W of its {:.0} W are usable",
                    load.worst.0, gives.budget.0
                ),
            )
            .against(load.worst.0, usable, "W")
            .remedy("choose a supply with a larger PoE budget", Vec::new()),
        );
    }
    findings
}
