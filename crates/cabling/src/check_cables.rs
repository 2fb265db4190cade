//! Findings on single cables: length, rate, conductors, jacket, and holes that are too full.

use equipment::{CableCore, Category, Conductor, Euroclass, FireListing, Jacket, Part, id};
use findings::{Edit, Figure, Finding, Rule, Severity};
use network::wiring::Way;
use units::Metres;

use crate::bundles::most_fill;
use crate::channel::{LONGEST_CHANNEL, LONGEST_LINK, MOST_LOOP_OHM};
use crate::fibre::{fibre_instead, recable};
use crate::port_sheet::ports_rate;
use crate::rate::{Ethernet, reach};
use crate::rules::{
    CHANNEL_LOSS, CHANNEL_TOO_LONG, CLAD_ALUMINIUM, COPPER_OUTSIDE, CORDS_TOO_LONG, FILL, LOOP_RESISTANCE,
    RATE_NOT_CARRIED, STRANDED_FIXED, THIN_CORD, WRONG_JACKET,
};
use crate::sheet::CableRow;
use crate::terms::JacketCode;
use crate::view::{Line, View};

/// Thinnest cord that should carry power [AWG] (TSB-184-A advises against 28 AWG).
const THINNEST_POWERED: u8 = 26;

/// Everything that is wrong with single cables; `powered` says which links carry power.
pub(crate) fn check(view: &View, rows: &[CableRow], powered: &dyn Fn(&Line) -> bool) -> Vec<Finding> {
    let mut findings = Vec::new();
    for (line, row) in view.lines.iter().zip(rows) {
        lengths(view, line, row, &mut findings);
        conductors(view, line, powered(line), &mut findings);
        jackets(view, line, &mut findings);
    }
    holes(view, &mut findings);
    findings
}

/// A finding where a figure passes a limit: the rule's severity if its likely value does, a risk if only its far end may.
fn above(rule: &Rule, line: &Line, figure: &Figure, limit: f64, message: impl Fn(f64) -> String) -> Option<Finding> {
    let (value, most) = (figure.value?, figure.high.or(figure.value)?);
    if most <= limit {
        return None;
    }
    let is_sure = value > limit;
    let shown = if is_sure { value } else { most };
    let mut finding = Finding::of(rule, vec![line.link.id.clone()], message(shown)).against(shown, limit, &figure.unit);
    if !is_sure {
        finding.severity = finding.severity.max(Severity::Risk);
        finding.message.push_str(" at its longest");
    }
    Some(finding)
}

fn lengths(view: &View, line: &Line, row: &CableRow, findings: &mut Vec<Finding>) {
    let design = view.input.design;
    let name = format!("the cable from {} to {}", line.link.from, line.link.to);
    if line.cable.is_some() && !line.is_fibre() {
        let limit = LONGEST_LINK.value();
        let link = above(&CHANNEL_TOO_LONG, line, &row.fixed_length, limit, |l| {
            format!("{name} is {l:.0} m long; {limit:.0} m are the most without cords")
        });
        let limit = LONGEST_CHANNEL.value();
        let channel = || {
            above(&CHANNEL_TOO_LONG, line, &row.channel_length, limit, |l| {
                format!("{name} is {l:.0} m long with its cords; {limit:.0} m are the most")
            })
        };
        if let Some(finding) = link.or_else(channel) {
            let finding = finding.remedy("put a switch nearer to the far end", Vec::new());
            findings.push(match fibre_instead(design, line.link) {
                Some(edits) => finding.remedy("lay glass fibre instead, with a converter at either end", edits),
                None => finding,
            });
        }
        cords(line, row, findings);
    }
    rates(view, line, row, findings);
    if let Some(margin) = row.loss_margin.value
        && margin < -0.05
    {
        let message = format!(
            "{name} may lose {:.1} dB more than its category's channel permits, at its length and temperature",
            -margin
        );
        findings.push(
            Finding::of(&CHANNEL_LOSS, vec![line.link.id.clone()], message)
                .against(margin, 0.0, "dB")
                .remedy("shorten it, keep it out of the heat, or measure it on the day", Vec::new()),
        );
    }
    let resistance = above(&LOOP_RESISTANCE, line, &row.loop_resistance, MOST_LOOP_OHM, |ohm| {
        format!("a pair of {name} has {ohm:.1} Ω out and back; {MOST_LOOP_OHM:.0} Ω are the most")
    });
    findings
        .extend(resistance.map(|f| f.remedy("use thicker copper, or put a switch nearer to the far end", Vec::new())));
}

fn cords(line: &Line, row: &CableRow, findings: &mut Vec<Finding>) {
    let (Some(most), [_, likely, _]) = (row.most_cord.value, line.cords) else { return };
    if likely > most {
        let message = format!(
            "the cords of the cable from {} to {} are {likely:.1} m together; {most:.1} m go with its length",
            line.link.from, line.link.to
        );
        findings.push(
            Finding::of(&CORDS_TOO_LONG, vec![line.link.id.clone()], message)
                .against(likely, most, "m")
                .remedy("use shorter or thicker cords", Vec::new()),
        );
    }
}

fn rates(view: &View, line: &Line, row: &CableRow, findings: &mut Vec<Finding>) {
    let Some(CableCore::TwistedPairs { category, .. }) = line.spec.map(|s| &s.core) else { return };
    let (Some(length), Some(wanted)) = (row.channel_length.value, ports_rate(view, line, &line.link.from)) else {
        return;
    };
    let Some(wanted) = Ethernet::for_rate(wanted) else { return };
    if row.fastest.is_some_and(|f| f >= wanted) || length > LONGEST_CHANNEL.value() {
        return;
    }
    let may = row.fastest_if_quiet.is_some_and(|f| f >= wanted);
    let (from, to) = (&line.link.from, &line.link.to);
    let carries = row.fastest.map_or("no Ethernet", Ethernet::name);
    let tail = if may { ", unless few fast cables run beside it" } else { "" };
    let message = format!(
        "the ports of {from} and {to} run at {}; {length:.0} m of {} carry {carries}{tail}",
        wanted.name(),
        category.name()
    );
    let limit = reach(*category, wanted).map_or(0.0, |r| r.sure.value());
    let mut finding = Finding::of(&RATE_NOT_CARRIED, vec![line.link.id.clone()], message).against(length, limit, "m");
    if may {
        finding.severity = Severity::Note;
    }
    let reaches = |c: Category| reach(c, wanted).is_some_and(|r| length <= r.sure.value());
    if line.cable.is_some() && *category < Category::Cat6a && reaches(Category::Cat6a) {
        let edits = recable(view.input.design, line.link, id::CABLE_CAT6A);
        finding = finding.remedy("use cable of category 6A", edits);
    }
    findings.push(finding);
}

fn conductors(view: &View, line: &Line, is_powered: bool, findings: &mut Vec<Finding>) {
    let design = view.input.design;
    let subjects = || vec![line.link.id.clone(), line.link.to.clone()];
    let (from, to) = (&line.link.from, &line.link.to);
    if let (Some(part), Some(CableCore::TwistedPairs { conductor, stranded, .. })) =
        (line.cable, line.spec.map(|s| &s.core))
    {
        let edits = || recable(design, line.link, id::CABLE_CAT6);
        if *conductor == Conductor::CopperCladAluminium {
            let danger = if is_powered { " and it carries power: it heats up and breaks at its ends" } else { "" };
            let message = format!(
                "the cable from {from} to {to} ({}) has 55 to 60 % more resistance than copper{danger}",
                part.name
            );
            let mut finding = Finding::of(&CLAD_ALUMINIUM, subjects(), message);
            if is_powered {
                finding.severity = Severity::Unsafe;
            }
            findings.push(finding.remedy("replace it with cable of solid copper", edits()));
        }
        if *stranded {
            let message = format!("the fixed cable from {from} to {to} ({}) is stranded", part.name);
            findings.push(
                Finding::of(&STRANDED_FIXED, subjects(), message).remedy("use cable with solid conductors", edits()),
            );
        }
    }
    if let Some(CableCore::TwistedPairs { gauge_awg, .. }) = line.cord.map(|s| &s.core)
        && is_powered
        && *gauge_awg > THINNEST_POWERED
    {
        let message = format!("power for {to} passes a cord of {gauge_awg} AWG, which warms up in a bunch");
        findings.push(
            Finding::of(&THIN_CORD, subjects(), message)
                .against(f64::from(*gauge_awg), f64::from(THINNEST_POWERED), "AWG")
                .remedy("use cords of 24 AWG where power is carried", Vec::new()),
        );
    }
}

fn jackets(view: &View, line: &Line, findings: &mut Vec<Finding>) {
    let (Some(part), Some(spec), Some(_)) = (line.cable, line.spec, line.route) else { return };
    let terms = view.input.terms;
    let length = line.fixed.map_or(0.0, |f| f[1]);
    let ways = line.ways();
    let along = |f: fn(Way) -> bool| ways.iter().filter(|(w, _)| f(*w)).map(|(_, share)| share * length).sum::<f64>();
    let outside = along(is_outside);
    let jacket = spec.jacket;
    let mut lacks: Vec<(String, Vec<Edit>)> = Vec::new();
    let outdoor = |wanted: bool| if wanted { outdoor_edits(view, line, part) } else { Vec::new() };
    for (way, _) in &ways {
        let lack = match way {
            Way::Facade if !jacket.sunlight => Some("sun and frost on the outside of the building"),
            Way::Buried if !jacket.water => Some("water in the ground, which stands in pipes as well"),
            Way::Buried if !jacket.burial => Some("lying in the ground without a pipe"),
            _ => None,
        };
        if let Some(lack) = lack {
            lacks.push((format!("is not made for {lack}"), outdoor(true)));
        }
    }
    let inside = (length - outside).max(0.0);
    if let Some(lack) = indoors(terms.jackets, terms.ceiling_moves_air, jacket, &ways, inside) {
        lacks.push((lack, Vec::new()));
    }
    for (lack, edits) in lacks {
        let message = format!(
            "the cable from {} to {} ({}) {lack}; the local code and the inspector decide",
            line.link.from, line.link.to, part.name
        );
        findings.push(
            Finding::of(&WRONG_JACKET, vec![line.link.id.clone()], message)
                .remedy("use cable whose jacket is made for its place, or change over to it at a box", edits),
        );
    }
    if outside > 0.0 && !spec.is_fibre() {
        let message = format!(
            "{outside:.0} m of the cable from {} to {} run outside the building: protect both ends against surges, bonded to the building's earth by a licensed electrician",
            line.link.from, line.link.to
        );
        let finding = Finding::of(&COPPER_OUTSIDE, vec![line.link.id.clone()], message);
        findings.push(match fibre_instead(view.input.design, line.link) {
            Some(edits) => finding.remedy("lay glass fibre instead, which carries no surge", edits),
            None => finding.remedy("put a surge protector at each end", Vec::new()),
        });
    }
}

const fn is_outside(way: Way) -> bool {
    matches!(way, Way::Facade | Way::Buried)
}

/// Outdoor cable instead, where it is of a category that is offered.
fn outdoor_edits(view: &View, line: &Line, part: &Part) -> Vec<Edit> {
    match part.cable.as_ref().map(|c| &c.core) {
        Some(CableCore::TwistedPairs { category: Category::Cat5e | Category::Cat6, .. }) => {
            recable(view.input.design, line.link, id::CABLE_OUTDOOR)
        }
        _ => Vec::new(),
    }
}

/// What a jacket lacks indoors, by the code of the region.
fn indoors(code: JacketCode, moves_air: bool, jacket: Jacket, ways: &[(Way, f64)], inside: f64) -> Option<String> {
    let has = |wanted: Way| ways.iter().any(|(way, _)| *way == wanted);
    let outdoor = code.outdoor_cable_indoors();
    match code {
        JacketCode::NorthAmerica { riser, indoors } => {
            let (least, place) = if has(Way::CeilingVoid) && moves_air {
                (FireListing::Cmp, "a space that air is moved through")
            } else if has(Way::Riser) {
                (riser, "a shaft from floor to floor")
            } else {
                (indoors, "a dwelling")
            };
            let fits = jacket.listing.is_some_and(|listing| listing <= least);
            let name = |l: FireListing| match l {
                FireListing::Cmp => "CMP",
                FireListing::Cmr => "CMR",
                FireListing::Cm => "CM",
                FireListing::Cmx => "CMX",
            };
            let listed = jacket.listing.map_or("no known listing", name);
            let tolerated = jacket.listing.is_none() && inside <= outdoor;
            (!fits && !tolerated && inside > 0.0).then(|| format!("has {listed}; {} is usual in {place}", name(least)))
        }
        JacketCode::Europe { indoors } => {
            let fits = jacket.euroclass.is_some_and(|class| class <= indoors);
            let name = |c: Euroclass| match c {
                Euroclass::B2ca => "B2ca",
                Euroclass::Cca => "Cca",
                Euroclass::Dca => "Dca",
                Euroclass::Eca => "Eca",
                Euroclass::Fca => "Fca",
            };
            let class = jacket.euroclass.map_or("no known class", name);
            (!fits && inside > outdoor).then(|| {
                format!(
                    "has {class} and runs {inside:.0} m indoors; {} or better is asked beyond {outdoor:.0} m",
                    name(indoors)
                )
            })
        }
        JacketCode::Unknown => None,
    }
}

fn holes(view: &View, findings: &mut Vec<Finding>) {
    for hole in view.input.wiring.iter().flat_map(|w| &w.holes) {
        let mut squares = 0.0;
        let mut cables = 0;
        for line in view.lines.iter().filter(|l| hole.links.contains(&l.link.id)) {
            let Some(spec) = line.spec else { continue };
            squares += spec.outer_diameter.value() * spec.outer_diameter.value();
            cables += 1;
        }
        let bore = hole.diameter.value();
        if cables == 0 || !(bore.is_finite() && bore > 0.0) {
            continue;
        }
        let (fill, most) = (squares / (bore * bore), most_fill(cables));
        if fill > most + 1e-9 {
            let needed = Metres((squares / most).sqrt()).value() * 1000.0;
            let message = format!(
                "{cables} cables fill {:.0} % of a hole of {:.0} mm; {:.0} % are the most",
                100.0 * fill,
                1000.0 * bore,
                100.0 * most
            );
            let mut subjects = vec![hole.id.clone()];
            subjects.extend(hole.links.iter().cloned());
            findings.push(
                Finding::of(&FILL, subjects, message)
                    .against(100.0 * fill, 100.0 * most, "%")
                    .remedy(format!("drill {needed:.0} mm, or a second hole"), Vec::new()),
            );
        }
    }
}
