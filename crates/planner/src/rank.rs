//! Which option comes first, and what each beats.
//!
//! Options are ranked by how far they miss what is asked for, then by price, then by how much has to be brought and laid
//! (which decides where there is no price list), then by coverage. What is asked for: 95 % of the served floor covered,
//! and as much of each room; a link for each device that must stay up; a busy-hour headroom of 1; the budget and the battery runtime if they are given; and no finding that is unsafe.
//!
//! Outage minutes do not rank: their inputs are generic figures that may be off by a factor of three either way, and
//! differ between options by less than that. Whoever asks for a battery says so by its runtime. Each option still shows
//! in `beats` and `beaten_by` how many minutes it stands against.

use std::cmp::Ordering;

use assessment::Home;
use findings::{Finding, Id, Severity};
use household::Device;
use network::Medium;
use network::results::{Comparison, DesignOption, FigureDifference};

use crate::wants::must_stay_up;

/// Figures that options are compared in: id, whether more is better, and the least difference that counts.
const COMPARED: [(&str, bool, f64); 4] =
    [("coverage", true, 1.0), ("headroom", true, 0.05), ("outage.minutes", false, 1.0), ("price", false, 1.0)];

/// Ids of the rules that say what a room or a device misses.
const ROOM_BELOW_TARGET: &str = "coverage.room-below-target";
const DEVICE_UNSERVED: &str = "traffic.device-unserved";

/// Shortfalls closer than this are equal.
const STEP: f64 = 0.01;

/// An option's id, and value and unit of each compared figure.
type Values = (Id, Vec<Option<f64>>, Vec<String>);

pub(crate) fn rank(options: &mut [DesignOption], home: &Home) {
    let mut keyed: Vec<(f64, f64, usize, f64, usize)> = options
        .iter()
        .enumerate()
        .map(|(i, o)| {
            let price = value(o, "price").unwrap_or(f64::INFINITY);
            let missed = (shortfall(o, home) / STEP).round();
            (missed, price, effort(o), -value(o, "coverage").unwrap_or(0.0), i)
        })
        .collect();
    keyed.sort_by(|a, b| {
        a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)).then(a.2.cmp(&b.2)).then(a.3.total_cmp(&b.3)).then(a.4.cmp(&b.4))
    });
    let order: Vec<usize> = keyed.iter().map(|k| k.4).collect();
    let mut at = vec![0; order.len()];
    for (to, &from) in order.iter().enumerate() {
        at[from] = to;
    }
    apply(options, &mut at);
    let values: Vec<(Id, Vec<Option<f64>>, Vec<String>)> =
        options.iter().map(|o| (o.id.clone(), COMPARED.iter().map(|c| value(o, c.0)).collect(), units_of(o))).collect();
    for (i, option) in options.iter_mut().enumerate() {
        let (beats, beaten_by) = compare(&values, i);
        option.beats = beats;
        option.beaten_by = beaten_by;
    }
}

/// Moves each option to its place by swaps.
fn apply(options: &mut [DesignOption], at: &mut [usize]) {
    for i in 0..options.len() {
        while at[i] != i {
            let to = at[i];
            options.swap(i, to);
            at.swap(i, to);
        }
    }
}

/// How many parts have to be brought and cables laid.
fn effort(option: &DesignOption) -> usize {
    let new = option.design.parts.iter().filter(|p| !p.kept).count();
    new + option.design.links.iter().filter(|l| matches!(l.medium, Medium::Cable { .. })).count()
}

/// By how much rooms miss their targets, and devices that must stay up their links.
///
/// Rooms where something is used that must stay up count by how much they miss, others alike once by a step: a corner of
/// a bath decides between options only if one leaves no room behind.
fn missed_by_rooms_and_protected(option: &DesignOption, home: &Home) -> f64 {
    let protected: Vec<&Device> = must_stay_up(&home.household).collect();
    let below = |finding: &Finding| {
        let (covered, limit) = (finding.measured.as_ref()?.value, finding.limit.as_ref()?.value);
        let missed = (1.0 - covered / limit.max(f64::MIN_POSITIVE)).clamp(0.0, 1.0);
        let is_protected = protected.iter().any(|device| finding.subjects.contains(&device.room));
        Some(if is_protected { missed } else { missed.min(STEP) })
    };
    let rooms: f64 = option.findings.iter().filter(|f| f.rule == ROOM_BELOW_TARGET).filter_map(below).sum();
    let is_unlinked = |device: &&&Device| {
        option.findings.iter().any(|f| f.rule == DEVICE_UNSERVED && f.subjects.contains(&device.id))
    };
    rooms + protected.iter().filter(is_unlinked).count() as f64
}

/// By how much an option misses what is asked for: 0 if nothing is missed, 1 for each thing missed wholly.
fn shortfall(option: &DesignOption, home: &Home) -> f64 {
    let mut sum = 0.0;
    sum += (1.0 - value(option, "coverage").unwrap_or(0.0) / 95.0).max(0.0);
    sum += missed_by_rooms_and_protected(option, home);
    // No headroom figure means no demand: nothing is missed.
    sum += value(option, "headroom").map_or(0.0, |h| (1.0 - h).max(0.0));
    if let Some(budget) = home.household.wishes.budget {
        let limit: f64 = budget.amount.to_string().parse().unwrap_or(f64::INFINITY);
        if limit > 0.0 {
            sum += value(option, "price").map_or(1.0, |p| (p / limit - 1.0).clamp(0.0, 1.0));
        }
    }
    if let Some(wanted) = home.household.wishes.battery_runtime {
        let minutes = value(option, "battery.runtime").unwrap_or(0.0);
        let gap = option.findings.iter().any(|f| f.rule == resilience::BATTERY_GAP.id);
        sum += if gap { 1.0 } else { (1.0 - minutes * 60.0 / wanted.0.max(1.0)).max(0.0) };
    }
    let unsafe_findings = option.findings.iter().filter(|f| f.severity == Severity::Unsafe).count();
    sum + unsafe_findings as f64
}

fn value(option: &DesignOption, figure: &str) -> Option<f64> {
    option.figures.iter().find(|f| f.id == figure).and_then(|f| f.value)
}

fn units_of(option: &DesignOption) -> Vec<String> {
    COMPARED
        .iter()
        .map(|c| option.figures.iter().find(|f| f.id == c.0).map_or(String::new(), |f| f.unit.clone()))
        .collect()
}

/// In what an option is better than each other one, and in what each other one is better.
fn compare(values: &[Values], this: usize) -> (Vec<Comparison>, Vec<Comparison>) {
    let (mut beats, mut beaten_by) = (Vec::new(), Vec::new());
    for (other, (id, theirs, units)) in values.iter().enumerate() {
        if other == this {
            continue;
        }
        let (mut better, mut worse) = (Vec::new(), Vec::new());
        for (i, &(figure, more, least)) in COMPARED.iter().enumerate() {
            let (Some(mine), Some(their)) = (values[this].1[i], theirs[i]) else { continue };
            let by = if more { mine - their } else { their - mine };
            let difference =
                FigureDifference { figure: figure.to_owned(), this: mine, other: their, unit: units[i].clone() };
            match by.abs().total_cmp(&least) {
                Ordering::Less => {}
                _ if by > 0.0 => better.push(difference),
                _ => worse.push(difference),
            }
        }
        if !better.is_empty() {
            beats.push(Comparison { option: id.clone(), figures: better });
        }
        if !worse.is_empty() {
            beaten_by.push(Comparison { option: id.clone(), figures: worse });
        }
    }
    (beats, beaten_by)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_rules_that_are_read_exist() {
        for id in [ROOM_BELOW_TARGET, DEVICE_UNSERVED] {
            assert!(assessment::rules().iter().any(|rule| rule.id == id), "{id}");
        }
    }
}
