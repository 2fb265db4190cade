//! A plan: options compared in a table, then each in words, then what was left out and why.

use assessment::Home;
use network::results::{Caution, Comparison, DesignOption, FigureDifference, Plan};
use site::UnitSystem;

use super::design::Names;
use super::table::{Align, Table};
use super::text::{Page, capital, count};
use super::{design, figures, finding, number, source, work};

/// Figures of the comparison, with the title over each.
const COLUMNS: [(&str, &str); 7] = [
    ("coverage", "any band\n%"),
    ("coverage.2.4", "2.4 GHz\n%"),
    ("coverage.5", "5 GHz\n%"),
    ("coverage.6", "6 GHz\n%"),
    ("headroom", "head-\nroom, ×"),
    ("outage.minutes", "outage,\nmin/yr"),
    ("price", "price"),
];

/// The whole plan; `shown` options at most.
pub fn page(page: &mut Page, title: &str, plan: &Plan, shown: usize, home: &Home) {
    let names = &Names { home: &home.resolved, catalog: &home.catalog };
    let units = home.site.units;
    page.heading(title);
    let options: Vec<&DesignOption> = plan.options.iter().take(shown).collect();
    if options.is_empty() {
        page.paragraph("No design can be made for this home; the reasons stand below.");
    } else {
        page.paragraph(&format!(
            "{}, best first. Coverage is the share of the served floor area where both directions of the link meet \
             the room's target with at least 95 % probability; intervals stand below the figures.",
            count(options.len(), "option")
        ));
        page.gap();
        let mut table = comparison(&options, units, true);
        if table.least_width() > page.width() {
            table = comparison(&options, units, false);
        }
        for line in table.lines(page.width()) {
            page.line(&line);
        }
    }
    for (i, option) in options.iter().enumerate() {
        one(page, i + 1, option, plan, names, units);
    }
    if plan.options.len() > options.len() {
        page.gap();
        page.paragraph(&format!("{} not shown.", count(plan.options.len() - options.len(), "more option")));
    }
    cautions(page, &options);
    if !plan.excluded.is_empty() {
        page.heading("Families left out");
        for excluded in &plan.excluded {
            page.hanging(&format!("  {:<15} ", excluded.family), &" ".repeat(18), &excluded.reason);
        }
    }
    if !plan.assumptions.is_empty() {
        page.heading("Assumptions");
        for assumption in &plan.assumptions {
            page.item(assumption);
        }
    }
    let figures: Vec<_> = options.iter().flat_map(|o| &o.figures).collect();
    let findings: Vec<_> = options.iter().flat_map(|o| &o.findings).collect();
    source::list(page, figures, findings);
}

/// One row for each option, with the intervals below the values: of all figures, or only of coverage where there is no
/// room for more. Each option's own paragraph has them all.
fn comparison(options: &[&DesignOption], units: UnitSystem, all_intervals: bool) -> Table {
    let present: Vec<(&str, String)> = COLUMNS
        .iter()
        .filter(|(id, _)| options.iter().any(|o| figures::find(&o.figures, id).is_some()))
        .map(|(id, title)| ((*id), title_of(id, title, options)))
        .collect();
    let mut columns: Vec<(&str, Align)> = vec![("#", Align::Right), ("family", Align::Left)];
    columns.extend(present.iter().map(|(_, title)| (title.as_str(), Align::Right)));
    let mut table = Table::new(&columns);
    for (i, option) in options.iter().enumerate() {
        let mut row = vec![(i + 1).to_string(), option.family.to_string()];
        for (id, _) in &present {
            row.push(figures::find(&option.figures, id).map_or_else(String::new, |f| {
                let cell = number::cell(f, units);
                let value = cell.lines().next().unwrap_or_default().to_owned();
                if all_intervals || f.id.starts_with("coverage") { cell } else { value }
            }));
        }
        table.row(row);
    }
    table
}

/// The price's title names its currency.
fn title_of(id: &str, title: &str, options: &[&DesignOption]) -> String {
    let unit = options.iter().find_map(|o| figures::find(&o.figures, id)).map(|f| f.unit.as_str());
    match (id, unit) {
        ("price", Some(currency)) => format!("{title},\n{currency}"),
        _ => title.to_owned(),
    }
}

fn one(page: &mut Page, rank: usize, option: &DesignOption, plan: &Plan, names: &Names<'_>, units: UnitSystem) {
    page.heading(&format!("{rank}  {}: {} (option {})", option.family, option.design.name, option.id));
    page.paragraph("Parts");
    design::parts(page, &option.design, names);
    // Coverage is in the table with its intervals.
    let others: Vec<String> = option
        .figures
        .iter()
        .filter(|f| f.subject == option.id && f.value.is_some() && !f.id.starts_with("coverage"))
        .map(|f| format!("{} {}", figures::label(&f.id), number::figure(f, units)))
        .collect();
    if !others.is_empty() {
        page.gap();
        page.hanging("", "  ", &format!("{}.", capital(&others.join("; "))));
    }
    for text in figures::unknown(&option.figures) {
        page.hanging("", "  ", &text);
    }
    comparisons(page, "Beats", &option.beats, plan, units);
    comparisons(page, "Beaten by", &option.beaten_by, plan, units);
    if let Some(gap) = &option.gap {
        page.gap();
        let unit = option.figures.iter().find(|f| f.id == gap.figure).map_or("", |f| f.unit.as_str());
        // A search may use a share of its own, which no figure of the assessment is.
        let unit = if unit.is_empty() && gap.figure.starts_with("coverage") { "%" } else { unit };
        page.paragraph(&format!(
            "How good it is of its kind: {} {} found; no design of this kind passes {} ({}).",
            figures::label(&gap.figure),
            number::plain(gap.found, None, None, unit, units),
            number::plain(gap.bound, None, None, unit, units),
            gap.method
        ));
    }
    if !option.findings.is_empty() {
        page.gap();
        page.paragraph(&format!("Findings: {}", finding::tally(&option.findings)));
        finding::list(page, &option.findings, units);
    }
}

/// Each caution once, with the ranks of the options that it belongs to.
fn cautions(page: &mut Page, options: &[&DesignOption]) {
    let mut all: Vec<(Caution, Vec<String>)> = Vec::new();
    for (i, option) in options.iter().enumerate() {
        for caution in &option.cautions {
            let rank = (i + 1).to_string();
            match all.iter_mut().find(|(known, _)| known == caution) {
                Some((_, ranks)) => ranks.push(rank),
                None => all.push((caution.clone(), vec![rank])),
            }
        }
    }
    let named: Vec<_> = all
        .into_iter()
        .map(|(caution, ranks)| {
            let of = match ranks.len() {
                n if n == options.len() => String::new(),
                1 => format!("option {}", ranks[0]),
                _ => format!("options {}", ranks.join(", ")),
            };
            (caution, of)
        })
        .collect();
    work::cautions(page, &named);
}

fn comparisons(page: &mut Page, verb: &str, all: &[Comparison], plan: &Plan, units: UnitSystem) {
    if all.is_empty() {
        return;
    }
    page.gap();
    page.paragraph(verb);
    for comparison in all {
        let rank = plan.options.iter().position(|o| o.id == comparison.option);
        let name = match rank.and_then(|i| plan.options.get(i).map(|o| (i + 1, o))) {
            Some((rank, option)) => format!("{rank} {}", option.family),
            None => comparison.option.to_string(),
        };
        let figures: Vec<String> = comparison.figures.iter().map(|f| difference(f, units)).collect();
        page.hanging("  ", "      ", &format!("{name}: {}", figures.join("; ")));
    }
}

fn difference(d: &FigureDifference, units: UnitSystem) -> String {
    let unit = figures::unit(&d.figure, &d.unit);
    let [this, other] = number::apart([d.this, d.other], unit, units);
    format!("{} {this} against {other}", figures::label(&d.figure))
}
