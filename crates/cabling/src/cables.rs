//! One row for each cable: length, loss, resistance, delay and the rate that it carries.

use equipment::{CableCore, CableSpec, Category};
use findings::{Figure, Id, Source};
use units::Metres;

use crate::channel::{
    Piece, channel_loss_db, channel_loss_limit_db, cord_derating, delay_ns, highest_mhz, loop_ohm, most_cord,
};
use crate::rate::fastest;
use crate::sheet::CableRow;
use crate::view::{Line, View};

/// Radius of bends over the cable's diameter (TIA-569 and ISO/IEC 14763-2: 4 for twisted pairs; 10 for fibre cable, from memory).
const BEND: [f64; 2] = [4.0, 10.0];
/// Strongest pull on four pairs [N] (TIA-568: 25 lbf).
const PULL_N: f64 = 110.0;
/// Frequency at which delay is stated [MHz] (TIA-568.2-D, from memory).
const DELAY_MHZ: f64 = 10.0;

/// Rows for all cables and cords, in the design's order.
pub(crate) fn cable_rows(view: &View) -> Vec<CableRow> {
    view.lines.iter().map(|line| row(view, line)).collect()
}

fn row(view: &View, line: &Line) -> CableRow {
    let link = &line.link.id;
    let channel = line.channel();
    let lacks_length = || if line.missing.is_empty() { vec!["the length".to_owned()] } else { line.missing.clone() };
    let span = |id: &str, value: Option<[f64; 3]>, unit: &str, missing: Vec<String>| match value {
        Some(value) => spanned(id, link, value, unit),
        None => Figure::unknown(id, link.clone(), unit, missing),
    };
    let lacks = || {
        let mut missing = if channel.is_none() { lacks_length() } else { Vec::new() };
        if line.spec.is_none() || line.cord.is_none() {
            missing.push(format!("what the cable of `{link}` is"));
        } else if line.is_fibre() {
            missing.push("nothing: glass fibre has none".to_owned());
        } else if missing.is_empty() {
            missing.push("a length, gauge and temperature within the models".to_owned());
        }
        missing
    };
    let category = line.spec.and_then(category);
    let ends: Option<[Vec<Piece>; 3]> = ends(view, line);
    let over = |f: &dyn Fn(&[Piece], usize) -> Option<f64>| {
        let ends = ends.as_ref()?;
        Some([f(&ends[0], 0)?, f(&ends[1], 1)?, f(&ends[2], 1)?])
    };
    let loss_margin = category.and_then(|category| {
        let mhz = highest_mhz(category);
        let limit = channel_loss_limit_db(category, mhz)?;
        over(&|pieces, _| Some(limit - channel_loss_db(pieces, line.connections(), mhz)?))
    });
    let resistance = over(&|pieces, high| loop_ohm(pieces, line.connections())?.get(high).copied());
    let delays = |pick: fn(crate::channel::Delay) -> f64| {
        let channel = channel.filter(|_| category.is_some())?;
        let at = |l: f64| delay_ns(Metres(l), line.connections(), DELAY_MHZ).map(pick);
        Some([at(channel[0])?, at(channel[1])?, at(channel[2])?])
    };
    let carries = category.zip(channel).map(|(category, length)| fastest(category, Metres(length[1])));
    let memory = || Source::standard("TIA-568.2-D").from_memory();
    CableRow {
        link: link.clone(),
        label: line.route.map(|r| r.label.clone()).unwrap_or_default(),
        cable: line.cable.map(|p| p.id.clone()),
        category: line.spec.map(words).unwrap_or_default(),
        fixed_length: span("cable.fixed-length", line.fixed, "m", lacks_length())
            .source(Source::model("way of the cable through the building")),
        channel_length: span("cable.channel-length", channel, "m", lacks_length())
            .source(Source::model("fixed cable and cords")),
        most_cord: span("cable.most-cord", cords(line), "m", lacks()).source(memory()),
        loss_margin: span("cable.loss-margin", loss_margin, "dB", lacks()).source(memory()),
        loop_resistance: span("cable.loop-resistance", resistance, "Ω", lacks())
            .source(Source::standard("ASTM B258 and IEC 60028: gauge and resistivity of copper")),
        delay: span("cable.delay", delays(|d| d.delay_ns), "ns", lacks()).source(memory()),
        skew: span("cable.skew", delays(|d| d.skew_ns), "ns", lacks()).source(memory()),
        fastest: carries.and_then(|f| f.sure),
        fastest_if_quiet: carries.and_then(|f| f.may),
        bend_radius_mm: line.spec.map(|s| {
            let [pairs, glass] = BEND;
            s.outer_diameter.value() * 1000.0 * if s.is_fibre() { glass } else { pairs }
        }),
        most_pull_n: line.spec.filter(|s| !s.is_fibre() && line.cable.is_some()).map(|_| PULL_N),
        ways: line.ways().into_iter().map(|(way, _)| way).collect(),
    }
}

/// A figure with its interval, whichever way round the ends lie.
fn spanned(id: &str, subject: &Id, value: [f64; 3], unit: &str) -> Figure {
    let [one, likely, other] = value;
    let low = one.min(likely).min(other);
    Figure::known(id, subject.clone(), likely, unit).between(low, one.max(likely).max(other), None)
}

/// The pieces at the shortest and cool, the likely length, and the longest on a hot day.
fn ends<'a>(view: &View, line: &Line<'a>) -> Option<[Vec<Piece<'a>>; 3]> {
    let at = |end| line.pieces(end, view.input.terms);
    Some([at(0)?, at(1)?, at(2)?])
}

/// Most cord that goes with the fixed cable: with its longest, likely and shortest length.
fn cords(line: &Line) -> Option<[f64; 3]> {
    line.cable?;
    let CableCore::TwistedPairs { gauge_awg, stranded, .. } = line.cord?.core else { return None };
    let derating = cord_derating(gauge_awg, stranded)?;
    let fixed = line.fixed.filter(|_| !line.is_fibre())?;
    let at = |length: f64| most_cord(Metres(length), derating).map(|m| m.value());
    Some([at(fixed[2])?, at(fixed[1])?, at(fixed[0])?])
}

/// The category of a twisted-pair cable.
pub(crate) const fn category(spec: &CableSpec) -> Option<Category> {
    match spec.core {
        CableCore::TwistedPairs { category, .. } => Some(category),
        CableCore::Fibre { .. } => None,
    }
}

/// What a cable is, in words.
fn words(spec: &CableSpec) -> String {
    match spec.core {
        CableCore::TwistedPairs { category, .. } => category.name().to_owned(),
        CableCore::Fibre { fibres, single_mode } => {
            format!("{fibres} {} fibres", if single_mode { "single-mode" } else { "multi-mode" })
        }
    }
}
