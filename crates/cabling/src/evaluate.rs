//! The one door: from a design, its parts and its routes to the sheet of its wires and all findings.

use std::collections::BTreeMap;

use findings::{Finding, Id};
use network::Design;

use crate::Parts;
use crate::bundles::{bundles, currents};
use crate::cables::cable_rows;
use crate::check_cables;
use crate::check_ports::{check_panels, check_part, check_topology};
use crate::panel::panels;
use crate::poe::bundle::{MOST_CABLES, MOST_RISE_K};
use crate::poe::{PoeLoad, load_of};
use crate::port_sheet::port_sheets;
use crate::ports::switch_depth;
use crate::rules::{BUNDLE_HEAT, BUNDLE_SIZE};
use crate::sheet::{BundleRow, WireSheet};
use crate::supplies;
use crate::terms::{Terms, problems};
use crate::view::{Input, View};

/// Highest temperature that ordinary data cable bears [°C] (usual rating, from memory).
const RATED: f64 = 60.0;
/// Most bundles that are told one by one.
const MOST_BUNDLES: usize = 10;

/// What comes out.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Outcome {
    /// The schedule of the wires.
    pub sheet: WireSheet,
    /// Findings, in a fixed order.
    pub findings: Vec<Finding>,
}

/// Terms that cannot be used, each problem in a sentence.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("terms cannot be used: {}", .0.join("; "))]
pub struct BadTerms(pub Vec<String>);

/// Everything that the wires of a design bear, and what is wrong with them.
///
/// Crosstalk and return loss are not in it: they are measured after installation. Parts that the catalogue does not know are
/// passed over: the job's own validation names them.
///
/// # Errors
/// All problems of the terms.
pub fn evaluate<'a>(input: &'a Input<'a>) -> Result<Outcome, BadTerms> {
    let bad = problems(input.terms);
    if !bad.is_empty() {
        return Err(BadTerms(bad));
    }
    let view = View::new(input);
    let design = input.design;
    let mut loads: BTreeMap<Id, PoeLoad> = BTreeMap::new();
    for placed in &design.parts {
        if let Some(load) = load_of(&view, &placed.id) {
            loads.insert(placed.id.clone(), load);
        }
    }
    let currents = currents(&view, &loads);
    let sheet = WireSheet {
        cables: cable_rows(&view),
        ports: port_sheets(&view),
        supplies: supplies::supply_rows(&view, &loads),
        bundles: bundles(&view, &currents),
        panels: panels(&view, &loads),
        notes: notes(),
    };
    let mut findings = Vec::new();
    for placed in &design.parts {
        let Some(part) = view.part(&placed.id) else { continue };
        findings.extend(check_part(&view, &placed.id, part));
        if let Some(load) = loads.get(&placed.id) {
            findings.extend(supplies::check(&view, &placed.id, part, load));
        }
    }
    findings.extend(supplies::unfed(&view));
    findings.extend(check_topology(&view, &sheet.ports, switch_depth(design, input.parts)));
    findings.extend(check_cables::check(&view, &sheet.cables, &|line| currents.contains_key(&line.link.id)));
    findings.extend(check_bundles(&sheet.bundles));
    findings.extend(check_panels(&view, &sheet.panels));
    Ok(Outcome { sheet, findings })
}

/// Everything that is wrong with a design's wires as far as it can be said without routes, by the usual terms.
#[must_use]
pub fn check(design: &Design, parts: &Parts) -> Vec<Finding> {
    let terms = Terms::default();
    let input = Input { design, parts: &|id| parts(id), wiring: None, household: None, terms: &terms };
    evaluate(&input).map(|outcome| outcome.findings).unwrap_or_default()
}

fn notes() -> Vec<String> {
    [
        "Crosstalk and return loss are measured after installation and not predicted; loss is the most that the category permits.",
        "Pull four-pair cable with no more than 110 N and bend it to no less than four times its diameter (TIA-568, TIA-569).",
        "Local code and the inspector decide on jackets, seals and bonding; mains work is for a licensed electrician.",
    ]
    .map(str::to_owned)
    .to_vec()
}

fn check_bundles(bundles: &[BundleRow]) -> Vec<Finding> {
    let mut findings = Vec::new();
    for row in bundles.iter().filter(|b| b.powered > 0).take(MOST_BUNDLES) {
        let subjects = || row.links.clone();
        let count = row.links.len();
        let (value, high) = (row.rise.value, row.rise.high);
        let most = MOST_RISE_K.min(RATED - row.ambient).max(0.0);
        // In the heat of an attic the rating leaves less than the usual rise; a cable that is at its rating already is told of only
        // where it adds to it.
        let limit = if row.ambient >= RATED { 1.0 } else { most };
        let passes = |rise: Option<f64>| rise.is_none_or(|r| r > limit);
        if passes(value) || passes(high) {
            let shown = value.filter(|v| *v > limit).or(high);
            let how = match shown {
                Some(rise) => format!("get up to {rise:.0} K warmer than the {:.0} °C around them", row.ambient),
                None => "get hotter than can be followed".to_owned(),
            };
            let message = format!("{} of {count} cables side by side carry power and {how}", row.powered);
            let mut finding = Finding::of(&BUNDLE_HEAT, subjects(), message);
            if let Some(rise) = shown {
                finding = finding.against(rise, limit, "K");
            }
            if !passes(value) {
                finding.severity = findings::Severity::Note;
            }
            findings.push(finding.remedy(
                "let them run apart, keep them out of insulation and heat, or use category 6A rated for 75 °C",
                Vec::new(),
            ));
        }
        if count > MOST_CABLES {
            let message = format!("{count} cables run side by side and {} of them carry power", row.powered);
            findings.push(
                Finding::of(&BUNDLE_SIZE, subjects(), message)
                    .against(count as f64, MOST_CABLES as f64, "cables")
                    .remedy("split them into bundles of 24", Vec::new()),
            );
        }
    }
    findings
}
