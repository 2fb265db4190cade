//! How the cables of a design run and what they bear, as tables.

use assessment::Assessment;
use findings::Figure;
use network::wiring::{HoleKind, Way};
use site::UnitSystem;

use super::number;
use super::table::{Align, Table};
use super::text::{Page, count};

const LEFT: Align = Align::Left;
const RIGHT: Align = Align::Right;

/// Routes, holes, supplies and panels; nothing if nothing is joined by wire.
pub fn pages(page: &mut Page, assessment: &Assessment, units: UnitSystem) {
    if assessment.wires.cables.is_empty() {
        return;
    }
    page.heading("Cabling");
    routes(page, assessment, units);
    holes(page, assessment, units);
    channels(page, assessment, units);
    supplies(page, assessment, units);
    panels(page, assessment, units);
    assessment.wires.notes.iter().for_each(|note| page.item(note));
}

fn print(page: &mut Page, table: &Table) {
    if !table.is_empty() {
        table.lines(page.width()).iter().for_each(|line| page.line(line));
    }
}

/// A figure in one line, or a dash where it is unknown. Two digits do: these are computed from the highest losses and draws.
fn short(figure: &Figure, units: UnitSystem) -> String {
    figure.value.map_or_else(|| "–".to_owned(), |v| number::plain(v, None, None, &figure.unit, units))
}

fn routes(page: &mut Page, assessment: &Assessment, units: UnitSystem) {
    let wiring = &assessment.wiring;
    if wiring.routes.is_empty() {
        return;
    }
    let mut table =
        Table::new(&[("label", LEFT), ("cable", LEFT), ("length", RIGHT), ("holes", RIGHT), ("runs", LEFT)]);
    for route in &wiring.routes {
        let mut ways: Vec<Way> = Vec::new();
        for stretch in &route.stretches {
            if !matches!(stretch.way, Way::Open | Way::Through) && !ways.contains(&stretch.way) {
                ways.push(stretch.way);
            }
        }
        let runs: Vec<&str> = ways.into_iter().map(way).collect();
        table.row([
            route.label.clone(),
            route.link.to_string(),
            number::figure(&route.length, units),
            route.holes.len().to_string(),
            if route.existing { "a cable that is there".to_owned() } else { runs.join(", ") },
        ]);
    }
    print(page, &table);
    if let Some(gap) = &wiring.gap {
        let apart = if gap.found > 0.0 { 100.0 * (gap.found - gap.bound).max(0.0) / gap.found } else { 0.0 };
        page.paragraph(&format!(
            "All ways together cost {:.0} min of work; no ways cost less than {:.0} min ({apart:.2} % apart). Searched {} \
             places and {} ways.",
            gap.found, gap.bound, wiring.graph_places, wiring.graph_ways
        ));
    }
}

fn way(way: Way) -> &'static str {
    match way {
        Way::StudBay => "in walls",
        Way::JoistBay => "along joists",
        Way::AcrossJoists => "across joists",
        Way::CeilingVoid => "above the ceiling",
        Way::Attic => "attic",
        Way::CrawlSpace => "crawl space",
        Way::OpenCeiling => "along the open ceiling",
        Way::Riser => "shaft",
        Way::Conduit => "pipe",
        Way::Raceway => "raceway",
        Way::Chase => "groove",
        Way::Facade => "outside",
        Way::Buried => "in the ground",
        Way::Existing => "there already",
        Way::Open => "in the open",
        Way::Through => "through a hole",
        Way::UnderDoor => "under a door",
    }
}

fn holes(page: &mut Page, assessment: &Assessment, units: UnitSystem) {
    let holes = &assessment.wiring.holes;
    if holes.is_empty() {
        return;
    }
    page.subheading(&format!("{} to drill", count(holes.len(), "hole")));
    let mut table = Table::new(&[
        ("hole", LEFT),
        ("through", LEFT),
        ("wide", RIGHT),
        ("deep", RIGHT),
        ("cables", RIGHT),
        ("seal", LEFT),
    ]);
    for hole in holes {
        let what = match hole.kind {
            HoleKind::Wall => "wall",
            HoleKind::PartyWall => "party wall",
            HoleKind::OuterWall => "outer wall",
            HoleKind::Floor => "floor",
            HoleKind::Plate => "plate of",
            HoleKind::Joist => "joist of",
        };
        table.row([
            hole.id.to_string(),
            format!("{what} {}", hole.element),
            number::thickness(hole.diameter, units),
            number::thickness(hole.depth, units),
            hole.links.len().to_string(),
            if hole.fire_seal { "tested fire seal" } else { "" }.to_owned(),
        ]);
    }
    print(page, &table);
}

fn channels(page: &mut Page, assessment: &Assessment, units: UnitSystem) {
    let fixed: Vec<_> = assessment.wires.cables.iter().filter(|c| c.cable.is_some()).collect();
    if fixed.is_empty() {
        return;
    }
    page.subheading("What each cable carries, with its cords");
    let columns = [
        ("cable", LEFT),
        ("kind", LEFT),
        ("channel", RIGHT),
        ("loss in hand", RIGHT),
        ("loop", RIGHT),
        ("carries", LEFT),
    ];
    let mut table = Table::new(&columns);
    for row in fixed {
        table.row([
            row.link.to_string(),
            row.category.clone(),
            short(&row.channel_length, units),
            short(&row.loss_margin, units),
            short(&row.loop_resistance, units),
            row.fastest.map_or_else(|| "–".to_owned(), |e| e.name().to_owned()),
        ]);
    }
    print(page, &table);
}

fn supplies(page: &mut Page, assessment: &Assessment, units: UnitSystem) {
    for supply in &assessment.wires.supplies {
        let budget = supply.budget.map_or_else(
            || "gives no power over data cables".to_owned(),
            |w| {
                format!(
                    "{:.0} W, {} at worst, {} left",
                    w,
                    short(&supply.worst_draw, units),
                    short(&supply.margin, units)
                )
            },
        );
        page.subheading(&format!("Power over data cables from {}: {budget}", supply.supply));
        let columns = [
            ("part", LEFT),
            ("class", RIGHT),
            ("draws", RIGHT),
            ("at the port", RIGHT),
            ("volts there", RIGHT),
            ("least", RIGHT),
        ];
        let mut table = Table::new(&columns);
        for fed in &supply.fed {
            table.row([
                fed.part.to_string(),
                fed.class.to_string(),
                number::plain(fed.draw, None, None, "W", units),
                short(&fed.at_port, units),
                short(&fed.voltage, units),
                fed.least_voltage.map_or_else(String::new, |v| number::plain(v, None, None, "V", units)),
            ]);
        }
        print(page, &table);
    }
}

fn panels(page: &mut Page, assessment: &Assessment, units: UnitSystem) {
    for panel in &assessment.wires.panels {
        let name = panel.panel.as_ref().unwrap_or(&panel.room);
        page.subheading(&format!("In {name}"));
        page.paragraph(&format!(
            "{} of {} units of height, {} of {} ports; {} of heat, {} warmer inside; {} for {}.",
            panel.units_used,
            panel.units,
            panel.ports_used,
            panel.ports,
            short(&panel.heat, units),
            short(&panel.rise, units),
            count(panel.duplex_outlets as usize, "double outlet"),
            count(panel.plugs as usize, "plug"),
        ));
    }
}
