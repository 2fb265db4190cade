//! Figures as a table, with the words that people read for their ids.

use findings::Figure;
use site::UnitSystem;

use super::number;
use super::table::{Align, Table};
use super::text::Page;

/// What a figure's id means in words.
pub fn label(id: &str) -> String {
    let known = match id {
        "coverage" => "coverage, any band",
        "coverage.2.4" => "coverage, 2.4 GHz",
        "coverage.5" => "coverage, 5 GHz",
        "coverage.6" => "coverage, 6 GHz",
        "airtime.2.4" => "airtime, 2.4 GHz",
        "airtime.5" => "airtime, 5 GHz",
        "airtime.6" => "airtime, 6 GHz",
        "headroom" => "headroom in the busy hour",
        "tier.down" => "service that suffices, towards the home",
        "tier.up" => "service that suffices, from the home",
        "line-load.down" => "line in use, towards the home",
        "line-load.up" => "line in use, from the home",
        "uplink-load" => "uplink in use",
        "recording.days" => "days that recordings last",
        "call-rating" => "rating of a call",
        "goodput.down" => "goodput, towards the device",
        "goodput.up" => "goodput, from the device",
        "outage.minutes" => "outage",
        "served.area" => "share of the floor that has service",
        "neighbour.level" => "level of a neighbour",
        "battery.runtime" => "runtime on battery",
        "price" => "price",
        "labour.hours" => "labour",
        "cable.length" => "cable",
        "labour.days" => "days of work",
        "penetrations" => "holes through walls and floors",
        other => return other.replace('.', ", ").replace('-', " "),
    };
    known.to_owned()
}

/// The unit that people see for a figure's id.
pub fn unit<'a>(id: &str, unit: &'a str) -> &'a str {
    if id == "headroom" && unit == "1" { number::RATIO } else { unit }
}

/// What each unknown figure lacks; figures that lack the same are named together.
pub fn unknown(figures: &[Figure]) -> Vec<String> {
    let mut groups: Vec<(String, Vec<String>)> = Vec::new();
    for figure in figures.iter().filter(|f| f.value.is_none()) {
        let missing = match figure.missing.is_empty() {
            true => "not stated".to_owned(),
            false => figure.missing.join("; "),
        };
        let name = label(&figure.id);
        match groups.iter_mut().find(|(known, _)| *known == missing) {
            Some((_, names)) if names.contains(&name) => {}
            Some((_, names)) => names.push(name),
            None => groups.push((missing, vec![name])),
        }
    }
    groups.into_iter().map(|(missing, names)| format!("Unknown: {}. Missing: {missing}", names.join(", "))).collect()
}

/// The first figure with an id.
pub fn find<'a>(figures: &'a [Figure], id: &str) -> Option<&'a Figure> {
    figures.iter().find(|f| f.id == id)
}

/// All figures as a table; `design` names the subject that needs no mention.
pub fn table(page: &mut Page, figures: &[Figure], design: &findings::Id, units: UnitSystem) {
    let mut table = Table::new(&[
        ("figure", Align::Left),
        ("of", Align::Left),
        ("value", Align::Right),
        ("interval", Align::Right),
    ]);
    for figure in figures {
        let text = number::figure(figure, units);
        let (value, interval) = match text.split_once(" (") {
            Some((value, interval)) => (value.to_owned(), interval.trim_end_matches(')').to_owned()),
            None => (text, String::new()),
        };
        let of = if &figure.subject == design { String::new() } else { figure.subject.to_string() };
        table.row([label(&figure.id), of, value, interval]);
    }
    for line in table.lines(page.width()) {
        page.line(&line);
    }
}

/// What unknown figures lack, and what stands behind the intervals.
pub fn remarks(page: &mut Page, figures: &[Figure]) {
    for text in unknown(figures) {
        page.item(&text);
    }
    if figures.iter().any(|f| f.estimate) {
        page.item("\"about\" marks an estimate: a simpler method stands in for the one that will own the figure.");
    }
    let mut confidences: Vec<f64> = figures.iter().filter(|f| f.low.is_some()).filter_map(|f| f.confidence).collect();
    confidences.sort_by(f64::total_cmp);
    confidences.dedup();
    match (confidences.first(), confidences.last()) {
        (Some(least), Some(most)) if least == most => {
            page.item(&format!("Intervals hold with {:.0} % probability, or are stated bounds.", least * 100.0));
        }
        (Some(least), Some(most)) => page.item(&format!(
            "Intervals hold with {:.0} to {:.0} % probability, or are stated bounds.",
            least * 100.0,
            most * 100.0
        )),
        _ => {}
    }
}
