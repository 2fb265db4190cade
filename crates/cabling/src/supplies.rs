//! What each PoE supply bears: rows of the sheet, and findings on class, ports, budget, voltage and start.

use std::collections::BTreeMap;

use equipment::{Part, PoeSupply};
use findings::{Figure, Finding, Id, Rule, Severity, Source};
use units::Watts;

use crate::panel::heat;
use crate::poe::{Fed, FeedPoint, NoFeed, PoeLoad, Starter, class_limits, inrush, start_order};
use crate::rules::{POE_BUDGET, POE_CLASS, POE_NO_CABLE, POE_PORTS, POE_START, POE_UNFED, POE_VOLTAGE};
use crate::sheet::{FedRow, SupplyRow};
use crate::view::{View, other_end};

/// Share of a PoE budget that may be planned for, so that boot and night peaks fit (common practice, no source).
pub const POE_USABLE_SHARE: f64 = 0.8;

/// Voltages nearer than this are equal [V]: a class at its own worst case meets its limit exactly.
const SAME_VOLTS: f64 = 0.01;

/// One row for each supply, in the design's order.
pub(crate) fn supply_rows(view: &View, loads: &BTreeMap<Id, PoeLoad>) -> Vec<SupplyRow> {
    let placed = view.input.design.parts.iter();
    placed.filter_map(|p| Some(row(view, &p.id, view.part(&p.id)?, loads.get(&p.id)?, loads))).collect()
}

fn row(view: &View, id: &Id, part: &Part, load: &PoeLoad, loads: &BTreeMap<Id, PoeLoad>) -> SupplyRow {
    let missing: Vec<String> = {
        let mut all: Vec<String> = load.fed.iter().flat_map(|f| f.missing.iter().cloned()).collect();
        all.dedup();
        all
    };
    let bounds = |figure: Figure, low: f64, high: f64| {
        figure.between(low, high, None).source(standard()).source(Source::generic().from_memory())
    };
    let (least, worst) = (load.least.value(), load.worst.value());
    let known = |id_text: &str, value: Option<f64>, low: f64, high: f64| {
        let figure = match value {
            Some(value) => Figure::known(id_text, id.clone(), value, "W"),
            None => Figure::unknown(id_text, id.clone(), "W", missing.clone()),
        };
        bounds(figure, low, high)
    };
    let likely = load.likely.map(|w| w.value());
    let budget = part.poe_supply.as_ref().map(|s| s.budget.value());
    let margin = match budget {
        Some(budget) => known("poe.margin", likely.map(|l| budget - l), budget - worst, budget - least),
        None => Figure::unknown("poe.margin", id.clone(), "W", vec!["a budget: the part gives no PoE".to_owned()]),
    };
    let [low, value, high] = heat(id, part, loads, view.input.terms);
    SupplyRow {
        supply: id.clone(),
        budget,
        worst_draw: known("poe.worst-draw", likely, least, worst),
        margin,
        own_loss: bounds(Figure::known("poe.own-loss", id.clone(), value, "W"), low, high).input(
            "efficiency",
            view.input.terms.supply_efficiency,
            "1",
        ),
        fed: load.fed.iter().map(fed_row).collect(),
        start: start_order(&starters(load), Watts(budget.unwrap_or(0.0))),
    }
}

fn standard() -> Source {
    Source::standard("IEEE 802.3-2022, clauses 33 and 145")
}

fn fed_row(fed: &Fed) -> FedRow {
    let limits = class_limits(fed.class);
    let figure = |id: &str, unit: &str, pick: fn(&FeedPoint) -> f64| {
        let of = |point: &Option<Result<FeedPoint, NoFeed>>| point.as_ref().and_then(|p| p.as_ref().ok()).map(pick);
        let figure = match of(&fed.likely) {
            Some(value) => Figure::known(id, fed.part.clone(), value, unit),
            None => {
                let mut missing = fed.missing.clone();
                if let Some(Err(error)) = &fed.likely {
                    missing.push(error.to_string());
                }
                if missing.is_empty() {
                    missing.push("a part that can be fed over its data cable".to_owned());
                }
                Figure::unknown(id, fed.part.clone(), unit, missing)
            }
        };
        let (best, worst) = (fed.best.as_ref().map(pick), of(&fed.worst));
        let figure = match (best, worst) {
            (Some(a), Some(b)) => figure.between(a.min(b), a.max(b), None),
            _ => figure,
        };
        figure.source(standard())
    };
    FedRow {
        part: fed.part.clone(),
        class: fed.class,
        pairs: limits.map(|l| l.pairs),
        draw: fed.draw.value(),
        at_port: figure("poe.at-port", "W", |p| p.at_port.value()),
        voltage: figure("poe.voltage", "V", |p| p.device_volts),
        least_voltage: limits.map(|l| l.least_device_volts),
        current: figure("poe.current", "A", |p| p.amps),
    }
}

fn starters(load: &PoeLoad) -> Vec<Starter> {
    load.fed
        .iter()
        .filter_map(|fed| {
            let draw = match fed.likely.as_ref().or(fed.worst.as_ref()) {
                Some(Ok(point)) => point.at_port,
                _ => fed.draw,
            };
            Some(Starter { part: fed.part.clone(), rush: inrush(fed.class)?, draw })
        })
        .collect()
}

/// Everything that is wrong with one supply.
pub(crate) fn check(view: &View, supply: &Id, part: &Part, load: &PoeLoad) -> Vec<Finding> {
    let mut findings = Vec::new();
    for fed in load.fed.iter().filter(|f| f.links.is_empty() && f.class <= 8) {
        findings.push(
            Finding::of(
                &POE_NO_CABLE,
                vec![fed.part.clone(), supply.clone()],
                format!("{} is to be fed over its data cable by {supply}, and no cable joins them", fed.part),
            )
            .remedy("cable it to its supply, or feed it from the mains", Vec::new()),
        );
    }
    for fed in load.fed.iter() {
        let glass =
            |l: &Id| view.lines.iter().any(|line| &line.link.id == l && line.cable.is_some() && line.is_fibre());
        if fed.links.iter().any(glass) {
            findings.push(
                Finding::of(
                    &POE_NO_CABLE,
                    vec![fed.part.clone(), supply.clone()],
                    format!("{} is to be fed by {supply} over glass fibre, which carries no power", fed.part),
                )
                .remedy("feed it from the mains or an injector at its end", Vec::new()),
            );
        }
    }
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
    for fed in &load.fed {
        if fed.class > gives.class {
            findings.push(class_too_low(supply, fed, gives));
        }
        findings.extend(voltage(supply, fed));
    }
    let count = load.fed.len() as u32;
    if count > gives.ports {
        findings.push(
            Finding::of(
                &POE_PORTS,
                vec![supply.clone()],
                format!("{count} parts are fed by the {} powered ports of {supply}", gives.ports),
            )
            .against(f64::from(count), f64::from(gives.ports), "ports")
            .remedy("choose a supply with more powered ports, or add an injector", Vec::new()),
        );
    }
    budget(supply, load, gives, &mut findings);
    findings
}

/// Devices that take their power over their data cable and that the design feeds from nothing.
pub(crate) fn unfed(view: &View) -> Vec<Finding> {
    let devices = view.input.household.iter().flat_map(|h| &h.devices);
    let unfed = devices.filter(|d| d.over_cable().is_some() && view.feeds(&d.id).is_empty());
    let told = |device: &household::Device| {
        let class = device.over_cable().map_or(0, |o| o.class);
        let wired = view.lines_at(&device.id).next();
        let (subjects, message) = match wired.map(|line| other_end(line.link, &device.id)) {
            Some(from) => {
                let message = format!("{} takes its power over its data cable, and {from} does not feed it", device.id);
                (vec![device.id.clone(), from], message)
            }
            None => {
                let message = format!("{} takes its power over its data cable, and no cable reaches it", device.id);
                (vec![device.id.clone()], message)
            }
        };
        Finding::of(&POE_UNFED, subjects, message)
            .remedy(format!("feed it from a switch or an injector that gives class {class}"), Vec::new())
    };
    unfed.map(told).collect()
}

fn class_too_low(supply: &Id, fed: &Fed, gives: &PoeSupply) -> Finding {
    let (part, class) = (&fed.part, fed.class);
    let message = if class > 8 {
        format!("{part} is to be fed over its data cable by {supply} and takes no power over it")
    } else {
        format!("{part} asks for PoE class {class}; the ports of {supply} give class {}", gives.class)
    };
    Finding::of(&POE_CLASS, vec![part.clone(), supply.clone()], message)
        .against(f64::from(class), f64::from(gives.class), "class")
        .remedy("choose a supply of a higher class", Vec::new())
}

fn voltage(supply: &Id, fed: &Fed) -> Option<Finding> {
    let limits = class_limits(fed.class)?;
    let subjects = vec![fed.part.clone(), supply.clone()];
    let mend = "shorten the cable, use thicker copper, or put the supply nearer";
    // Without a length nothing is known of the voltage.
    fed.ohm?;
    let too_low = |point: &FeedPoint| point.device_volts < limits.least_device_volts - SAME_VOLTS;
    match (fed.likely?, fed.worst?) {
        (Err(NoFeed::NotUsable), _) | (_, Err(NoFeed::NotUsable)) => None,
        (Err(error @ NoFeed::TooLong { .. }), _) => {
            let message = format!("{} cannot be fed by {supply}: {error}; it draws {:.1}", fed.part, fed.draw);
            Some(Finding::of(&POE_VOLTAGE, subjects, message).remedy(mend, Vec::new()))
        }
        (Ok(likely), worst) => {
            let low = too_low(&likely);
            let shown = match worst {
                Ok(worst) if !low && too_low(&worst) => worst,
                Err(_) if !low => likely,
                _ if low => likely,
                _ => return None,
            };
            let at = if low { "" } else { " if its cable is as long as it may be" };
            let message = format!(
                "{} gets {:.1} V at its highest draw{at}; it needs {:.1} V",
                fed.part, shown.device_volts, limits.least_device_volts
            );
            let mut finding = Finding::of(&POE_VOLTAGE, subjects, message)
                .against(shown.device_volts, limits.least_device_volts, "V")
                .remedy(mend, Vec::new());
            if !low {
                finding.severity = Severity::Risk;
            }
            Some(finding)
        }
    }
}

fn budget(supply: &Id, load: &PoeLoad, gives: &PoeSupply, findings: &mut Vec<Finding>) {
    let usable = gives.budget.value() * POE_USABLE_SHARE;
    let worst = load.worst.value();
    if worst > usable {
        let mut finding = of_supply(
            &POE_BUDGET,
            supply,
            format!(
                "the parts fed by {supply} draw up to {worst:.1} W; {usable:.1} W of its {:.0} W are usable",
                gives.budget.value()
            ),
        )
        .against(worst, usable, "W")
        .remedy("choose a supply with a larger PoE budget", Vec::new());
        // It may still fit if the cables are short.
        let sure = load.likely.unwrap_or(load.least).value();
        if sure <= usable {
            finding.severity = Severity::Risk;
        }
        findings.push(finding);
    }
    let order = start_order(&starters(load), gives.budget);
    let together = order.together.value();
    // Where the load itself passes the budget, that is said already.
    if worst <= gives.budget.value() && (order.steps.len() > 1 || !order.fits) {
        let budget = gives.budget.value();
        let message = if order.fits {
            format!(
                "the parts fed by {supply} draw {together:.0} W if they start together; it gives {budget:.0} W, which is enough for {} groups one after the other",
                order.steps.len()
            )
        } else {
            format!("{supply} gives {budget:.0} W, not enough to start its parts even one after the other")
        };
        let mut finding = of_supply(&POE_START, supply, message).against(together, budget, "W");
        if order.fits {
            finding.severity = Severity::Note;
        }
        findings.push(
            finding.remedy("set its ports to start one after the other, those with the highest peak first", Vec::new()),
        );
    }
}

fn of_supply(rule: &Rule, supply: &Id, message: String) -> Finding {
    Finding::of(rule, vec![supply.clone()], message)
}
