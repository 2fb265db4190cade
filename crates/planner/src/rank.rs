//! Which option comes first, and what each beats.
//!
//! Options are ranked by how far they miss what is asked for, then by price, then by coverage. What is asked for: 95 %
//! of the served floor covered, a busy-hour headroom of 1, the budget and the battery runtime if they are given, and no
//! finding that is unsafe.

use std::cmp::Ordering;

use assessment::Home;
use findings::{Id, Severity};
use network::results::{Comparison, DesignOption, FigureDifference};

/// Figures that options are compared in: id, whether more is better, and the least difference that counts.
const COMPARED: [(&str, bool, f64); 4] =
    [("coverage", true, 1.0), ("headroom", true, 0.05), ("outage.minutes", false, 1.0), ("price", false, 1.0)];

/// Shortfalls closer than this are equal.
const STEP: f64 = 0.01;

/// An option's id, and value and unit of each compared figure.
type Values = (Id, Vec<Option<f64>>, Vec<String>);

pub(crate) fn rank(options: &mut [DesignOption], home: &Home) {
    let mut keyed: Vec<(f64, f64, f64, usize)> = options
        .iter()
        .enumerate()
        .map(|(i, o)| {
            let price = value(o, "price").unwrap_or(f64::INFINITY);
            (((shortfall(o, home) / STEP).round()), price, -value(o, "coverage").unwrap_or(0.0), i)
        })
        .collect();
    keyed.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)).then(a.2.total_cmp(&b.2)).then(a.3.cmp(&b.3)));
    let order: Vec<usize> = keyed.iter().map(|k| k.3).collect();
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

/// By how much an option misses what is asked for: 0 if nothing is missed, 1 for each thing missed wholly.
fn shortfall(option: &DesignOption, home: &Home) -> f64 {
    let mut sum = 0.0;
    sum += (1.0 - value(option, "coverage").unwrap_or(0.0) / 95.0).max(0.0);
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
