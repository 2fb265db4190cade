//! Which cables run side by side, how warm they get there, and what pipe they need.

use std::collections::BTreeMap;

use findings::{Figure, Id, Source};
use network::FeedSource;
use network::wiring::Way;
use units::{Metres, Point3};

use crate::channel::wire_of;
use crate::conductor::Wire;
use crate::poe::PoeLoad;
use crate::poe::bundle::{Member, rise};
use crate::poe::class_limits;
use crate::sheet::BundleRow;
use crate::terms::surroundings;
use crate::view::View;

/// Ends of stretches nearer than this are one place [m].
const SAME_PLACE: f64 = 0.01;

/// Current of each link that carries power: how many of its pairs, and the current in each [A], likely and at worst.
pub(crate) struct Current {
    pub pairs: u32,
    pub amps_each: [f64; 2],
}

/// The current in each powered link.
pub(crate) fn currents(view: &View, loads: &BTreeMap<Id, PoeLoad>) -> BTreeMap<Id, Current> {
    let mut currents = BTreeMap::new();
    for feed in &view.input.design.feeds {
        let FeedSource::Poe { part } = &feed.source else { continue };
        for fed in loads.get(part).iter().flat_map(|l| &l.fed).filter(|f| f.part == feed.part) {
            let Some(limits) = class_limits(fed.class) else { continue };
            let pairs = limits.pairs.count();
            // Half of the powered pairs carry it out, the others back.
            let each = |amps: f64| amps / (f64::from(pairs) / 2.0);
            let class_most =
                equipment::poe_class_watts(fed.class).map_or(0.0, |(_, port)| port.value() / limits.least_port_volts);
            let amps = |p: Option<Result<crate::poe::FeedPoint, _>>| match p {
                Some(Ok(point)) => each(point.amps.min(class_most)),
                _ => each(class_most),
            };
            let current = [amps(fed.likely.or(fed.worst)), amps(fed.worst)];
            for link in &fed.links {
                currents.insert(link.clone(), Current { pairs, amps_each: current });
            }
        }
    }
    currents
}

type Place = (i64, i64, i64);

fn place(p: Point3) -> Place {
    let whole = |x: f64| (x / SAME_PLACE).round() as i64;
    (whole(p.x), whole(p.y), whole(p.z))
}

/// Cables that share stretches, warmest first.
///
/// Stretches with the same two ends are one; the same cables in the same way are one bundle, with their lengths added.
pub(crate) fn bundles(view: &View, currents: &BTreeMap<Id, Current>) -> Vec<BundleRow> {
    let mut stretches: BTreeMap<(Place, Place, Way), (f64, Vec<usize>)> = BTreeMap::new();
    for (i, line) in view.lines.iter().enumerate() {
        for stretch in line.route.iter().flat_map(|r| &r.stretches) {
            let (a, b) = (place(stretch.from), place(stretch.to));
            let length = stretch.from.distance(stretch.to);
            if !length.is_finite() || length <= 0.0 {
                continue;
            }
            let entry = stretches.entry((a.min(b), a.max(b), stretch.way)).or_insert((length, Vec::new()));
            if entry.1.last() != Some(&i) {
                entry.1.push(i);
            }
        }
    }
    let mut sets: BTreeMap<(Way, Vec<usize>), f64> = BTreeMap::new();
    for ((_, _, way), (length, lines)) in stretches {
        *sets.entry((way, lines)).or_default() += length;
    }
    let mut rows: Vec<BundleRow> =
        sets.into_iter().map(|((way, lines), length)| bundle(view, currents, way, &lines, length)).collect();
    let hottest = |row: &BundleRow| row.rise.high.map_or(-1.0, |rise| rise + row.ambient);
    rows.sort_by(|a, b| {
        hottest(b)
            .total_cmp(&hottest(a))
            .then_with(|| b.links.len().cmp(&a.links.len()))
            .then_with(|| a.links.cmp(&b.links))
    });
    rows
}

fn bundle(view: &View, currents: &BTreeMap<Id, Current>, way: Way, lines: &[usize], length: f64) -> BundleRow {
    let ambient = view.input.terms.ambient.of(way);
    let mut links = Vec::new();
    let mut members: [Vec<Member>; 2] = [Vec::new(), Vec::new()];
    let mut missing = Vec::new();
    let (mut powered, mut squares) = (0, 0.0);
    for line in lines.iter().filter_map(|i| view.lines.get(*i)) {
        links.push(line.link.id.clone());
        let Some(spec) = line.spec else {
            missing.push(format!("what the cable of `{}` is", line.link.id));
            continue;
        };
        squares += spec.outer_diameter.value() * spec.outer_diameter.value();
        let current = currents.get(&line.link.id);
        powered += usize::from(current.is_some());
        // Fibre and cables without power make heat no more than a cold wire does.
        let wire = wire_of(spec).unwrap_or(Wire::copper(24));
        for (end, members) in members.iter_mut().enumerate() {
            members.push(Member {
                diameter: spec.outer_diameter,
                wire,
                pairs: current.map_or(0, |c| c.pairs),
                amps_each: current.and_then(|c| c.amps_each.get(end).copied()).unwrap_or(0.0),
            });
        }
    }
    let subject = links.first().cloned().unwrap_or_else(|| Id::from_label("bundle"));
    let [usual, worst] = surroundings(way, view.input.terms.insulation);
    let [likely, most] = members;
    let figure = if powered == 0 && missing.is_empty() {
        Figure::known("bundle.rise", subject, 0.0, "K").between(0.0, 0.0, None)
    } else {
        let value = rise(&likely, usual, ambient);
        match (value, missing.is_empty()) {
            (Some(value), true) => {
                let high = rise(&most, worst, ambient);
                let mut figure = Figure::known("bundle.rise", subject, value, "K");
                figure.low = Some(value.min(high.unwrap_or(value)));
                figure.high = high.map(|h| h.max(value));
                figure
            }
            (None, true) => {
                let missing = vec!["a temperature below 120 °C: the bundle gets hotter than is followed".to_owned()];
                Figure::unknown("bundle.rise", subject, "K", missing)
            }
            _ => Figure::unknown("bundle.rise", subject, "K", missing),
        }
    };
    let figure = figure
        .source(Source::model("heat through a bundle and off its surface, fitted to one published measurement"))
        .source(Source::standard("TIA TSB-184-A: at most 15 K and 24 cables"));
    BundleRow {
        powered,
        way,
        length,
        ambient,
        rise: figure,
        section_mm2: std::f64::consts::FRAC_PI_4 * squares * 1e6,
        least_pipe_mm: least_pipe(squares, links.len()).value() * 1000.0,
        links,
    }
}

/// Share of a pipe's section that a number of cables may fill (NFPA 70, chapter 9, table 1, from memory; EN 50174-2 has 40 % for
/// any number).
#[must_use]
pub const fn most_fill(cables: usize) -> f64 {
    match cables {
        0 | 1 => 0.53,
        2 => 0.31,
        _ => 0.40,
    }
}

/// Least inner diameter of a pipe for cables whose squared diameters sum to `squares` [m²].
fn least_pipe(squares: f64, cables: usize) -> Metres {
    Metres((squares / most_fill(cables)).sqrt())
}
