//! What has to be bought and done for a design, and what the work needs care with.

use cost::Quote;
use network::results::Caution;

use super::number;
use super::table::{Align, Table};
use super::text::Page;

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
