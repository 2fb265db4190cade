//! What has to be bought and done for a design, and what the work needs care with.

use cost::{Quote, StatementKind};
use network::results::Caution;

use super::number;
use super::table::{Align, Table};
use super::text::{Page, count};

/// What is bought and what is done, as two tables.
pub fn tables(page: &mut Page, quote: &Quote) {
    if !quote.take_off.is_empty() {
        page.heading("Take-off");
        let mut table = Table::new(&[
            ("part", Align::Left),
            ("quantity", Align::Right),
            ("each", Align::Right),
            ("price", Align::Right),
        ]);
        for line in &quote.take_off {
            let unit = if line.unit == "piece" { String::new() } else { format!(" {}", line.unit) };
            let money = |m: &Option<units::Money>| m.as_ref().map_or_else(|| "unknown".to_owned(), ToString::to_string);
            table.row([
                line.name.clone(),
                format!("{:.0}{unit}", line.quantity),
                money(&line.unit_price),
                money(&line.price),
            ]);
        }
        table.lines(page.width()).iter().for_each(|line| page.line(line));
    }
    if !quote.labour.is_empty() {
        page.heading("Work");
        let mut table = Table::new(&[("task", Align::Left), ("times", Align::Right), ("time", Align::Right)]);
        for line in &quote.labour {
            table.row([line.task.clone(), format!("{:.0}", line.quantity), number::duration(line.time.0)]);
        }
        table.lines(page.width()).iter().for_each(|line| page.line(line));
        crew(page, quote);
    }
    spools(page, quote);
    price(page, quote);
    statements(page, quote);
}

fn crew(page: &mut Page, quote: &Quote) {
    let days =
        |days: Option<u32>| days.map_or_else(|| "an unknown number of days".to_owned(), |d| count(d as usize, "day"));
    page.paragraph(&format!(
        "{}, {}; {} in four jobs of five.",
        if quote.crew.people == 1 { "One person".to_owned() } else { format!("{} people", quote.crew.people) },
        days(quote.crew.days),
        days(quote.crew.days_p80),
    ));
}

fn spools(page: &mut Page, quote: &Quote) {
    for cable in quote.spools.iter().filter(|s| !s.spools.is_empty()) {
        page.item(&format!(
            "{}: {} with {:.0} m, {:.0} m left over; no run is spliced",
            cable.cable,
            count(cable.spools.len(), "spool"),
            cable.bought.0,
            cable.left.0,
        ));
    }
}

fn price(page: &mut Page, quote: &Quote) {
    let Some(made_up) = &quote.price else { return };
    page.heading("Price");
    let mut table = Table::new(&[("of", Align::Left), ("sum", Align::Right)]);
    let mut row = |what: String, sum: &units::Money| table.row([what, sum.to_string()]);
    row("parts and cable".to_owned(), &made_up.parts);
    row(format!("{} h at {}", made_up.hours, made_up.rate), &made_up.labour);
    row("overhead".to_owned(), &made_up.overhead);
    row("margin".to_owned(), &made_up.margin);
    made_up.taxes.iter().for_each(|tax| row(tax.name.clone(), &tax.amount));
    row("total".to_owned(), &made_up.total);
    table.lines(page.width()).iter().for_each(|line| page.line(line));
    let until = quote.valid_until.map_or_else(String::new, |day| format!("; holds until {day}"));
    page.paragraph(&format!("Between {} and {}{until}.", made_up.low, made_up.high));
    for extra in &quote.extras {
        let price = extra.price.as_ref().map_or_else(|| "unknown".to_owned(), ToString::to_string);
        page.item(&format!("{}: {price}", extra.what));
    }
}

/// What the price rests on.
fn statements(page: &mut Page, quote: &Quote) {
    let kinds = [
        (StatementKind::Assumption, "Assumed"),
        (StatementKind::Risk, "May turn out otherwise"),
        (StatementKind::Exclusion, "Not in the price"),
    ];
    for (kind, title) in kinds {
        let of_kind: Vec<_> = quote.statements.iter().filter(|s| s.kind == kind).collect();
        if !of_kind.is_empty() {
            page.subheading(title);
            of_kind.iter().for_each(|s| page.item(&format!("{} ({})", s.text, s.reason)));
        }
    }
}

/// What the work needs care with; `of` names the designs that each caution belongs to, if there are several.
pub fn cautions(page: &mut Page, all: &[(Caution, String)]) {
    if all.is_empty() {
        return;
    }
    page.heading("Cautions of the work");
    page.paragraph("Common practice; the local code and licensed trades come first.");
    for (caution, of) in all {
        let of = if of.is_empty() { String::new() } else { format!(" ({of})") };
        page.item(&format!("{}{of}: {}", caution.work, caution.text));
    }
}
