//! How the services of a design stay up, as tables.

use assessment::{Helpful, Stays};
use resilience::{ChangeKind, ComponentKind, Interval, MINUTES_A_YEAR, Member, ServiceRow, Staying};

use super::number;
use super::table::{Align, Table};
use super::text::Page;

const LEFT: Align = Align::Left;
const RIGHT: Align = Align::Right;

/// Services, what brings each down, batteries and outages.
pub fn pages(page: &mut Page, stays: &Stays) {
    let staying = &stays.staying;
    page.heading("Staying up");
    services(page, staying);
    batteries(page, staying);
    outages(page, staying);
    changes(page, &stays.changes);
    if !staying.assumptions.is_empty() {
        page.subheading("Taken for granted");
        staying.assumptions.iter().for_each(|said| page.item(said));
    }
}

fn print(page: &mut Page, table: &Table) {
    if !table.is_empty() {
        table.lines(page.width()).iter().for_each(|line| page.line(line));
    }
}

/// Minutes a year with no more digits than they bear, and their 90 % interval.
fn minutes(interval: &Interval) -> String {
    let bare = |v: f64| {
        let shown = resilience::rounded(v, interval.digits);
        if shown >= 10.0 || shown == 0.0 { format!("{shown:.0}") } else { format!("{shown:.1}") }
    };
    format!("{}\n({}–{})", bare(interval.value), bare(interval.low), bare(interval.high))
}

fn services(page: &mut Page, staying: &Staying) {
    page.paragraph("Minutes a year without service, with the 90 % interval; those that must stay up are marked *.");
    let mut table = Table::new(&[
        ("services", LEFT),
        ("min/yr", RIGHT),
        ("power out", RIGHT),
        ("any one of these stops them", LEFT),
    ]);
    let mut rows: Vec<(String, [String; 3])> = Vec::new();
    let mut services: Vec<&ServiceRow> = staying.services.iter().collect();
    services.sort_by_key(|row| !row.must_stay_up);
    for row in services {
        let name = format!("{}{}", row.id, if row.must_stay_up { "*" } else { "" });
        let told = told(row);
        // Services that fare alike and need the same share a row.
        match rows.iter_mut().find(|(names, known)| *known == told && names.contains('*') == row.must_stay_up) {
            Some((names, _)) => *names = format!("{names}, {name}"),
            None => rows.push((name, told)),
        }
    }
    for (names, [minutes, outlasts, single]) in rows {
        table.row([names, minutes, outlasts, single]);
    }
    print(page, &table);
    if staying.services.iter().any(|s| s.mains.if_line_holds) {
        page.paragraph("? if the far end of the line has power as long, which nobody has tested.");
    }
    let mut missing: Vec<&String> = staying.services.iter().flat_map(|s| &s.missing).collect();
    missing.sort();
    missing.dedup();
    missing.iter().for_each(|lack| page.item(&format!("Unknown without {lack}")));
}

/// What is told of a service: minutes a year, how long it goes on without mains, single points of failure.
fn told(row: &ServiceRow) -> [String; 3] {
    let wires = |m: &Member| matches!(m.kind, ComponentKind::Cable | ComponentKind::Radio);
    let mut single: Vec<String> = row.single_points.iter().filter(|m| !wires(m)).map(member).collect();
    if row.single_points.iter().any(wires) {
        single.push("the links between".to_owned());
    }
    let outlasts = row.mains.outlasts.map_or_else(String::new, |s| number::duration(s.0));
    let untested = if row.mains.if_line_holds { "?" } else { "" };
    match &row.minutes {
        Some(interval) if interval.least >= MINUTES_A_YEAR => ["no link".to_owned(), String::new(), String::new()],
        minutes => {
            let minutes = minutes.as_ref().map_or_else(|| "unknown".to_owned(), self::minutes);
            [minutes, format!("{outlasts}{untested}"), single.join(", ")]
        }
    }
}

fn member(member: &Member) -> String {
    let what = match member.kind {
        ComponentKind::Mains => "the mains".to_owned(),
        ComponentKind::LineBackup => format!("power at the far end of {}", member.id),
        _ => member.id.to_string(),
    };
    match member.longer_than_min {
        Some(least) if least > 0 => format!("{what} for more than {least} min"),
        _ => what,
    }
}

fn batteries(page: &mut Page, staying: &Staying) {
    for battery in &staying.batteries {
        let runs = match (battery.runtime, battery.runtime_low) {
            (Some(new), Some(old)) => format!("{} new, {} when old", number::duration(new.0), number::duration(old.0)),
            (Some(new), None) => number::duration(new.0),
            _ => battery.problem.clone().unwrap_or_else(|| "runtime unknown".to_owned()),
        };
        let items: Vec<String> = battery.items.iter().map(|item| item.id.to_string()).collect();
        page.subheading(&format!("Battery {}", battery.id));
        page.paragraph(&format!(
            "Carries {} ({:.0} W, {:.0} W from its cells): {runs}; {} to charge.",
            items.join(", "),
            battery.load.0,
            battery.drawn.0,
            battery.recharge.map_or_else(|| "unknown time".to_owned(), |s| number::duration(s.0)),
        ));
    }
}

fn outages(page: &mut Page, staying: &Staying) {
    let mut table = Table::new(&[("outages of", LEFT), ("a year", RIGHT), ("mean length", RIGHT), ("min/yr", RIGHT)]);
    for outage in &staying.outages {
        table.row([
            outage.id.to_string(),
            outage.a_year.map_or_else(|| "unknown".to_owned(), number::significant),
            outage.mean.map_or_else(|| "unknown".to_owned(), |s| number::duration(s.0)),
            outage.minutes.as_ref().map_or_else(|| "unknown".to_owned(), minutes),
        ]);
    }
    page.gap();
    print(page, &table);
}

fn changes(page: &mut Page, changes: &[Helpful]) {
    let helps = |h: &&Helpful| h.saves.work_minutes.or(h.saves.other_minutes).is_some_and(|m| m >= 1.0);
    let helpful: Vec<&Helpful> = changes.iter().filter(helps).collect();
    if helpful.is_empty() {
        return;
    }
    page.subheading("What one change saves, minutes a year of all services that must stay up together");
    let mut table = Table::new(&[("change", LEFT), ("parts", RIGHT), ("saves", RIGHT), ("a unit of money", RIGHT)]);
    for help in helpful {
        let bare = |v: Option<f64>| v.map_or_else(|| "–".to_owned(), number::significant);
        table.row([
            change(&help.change.kind),
            help.change.price.map_or_else(|| "unknown".to_owned(), |p| format!("{p:.0}")),
            bare(help.saves.work_minutes),
            bare(help.saves.work_minutes_per_unit),
        ]);
    }
    print(page, &table);
}

/// A change in words.
fn change(kind: &ChangeKind) -> String {
    let list = |ids: &[findings::Id]| ids.iter().map(ToString::to_string).collect::<Vec<_>>().join(", ");
    match kind {
        ChangeKind::Battery { supply, feeds } => format!("{supply} for {}", list(feeds)),
        ChangeKind::OnBattery { supply, part } => format!("{part} on battery {supply}"),
        ChangeKind::Patch { device, into } => format!("{device} patched into {into}"),
        ChangeKind::Spare { part, mttr } => {
            format!("spare {part} on the shelf, fitted in {}", number::duration(mttr.0))
        }
        ChangeKind::SecondLine { line, .. } => format!("second line {}", line.id),
        ChangeKind::SecondAccessPoint { beside, .. } => format!("second access point beside {beside}"),
    }
}
