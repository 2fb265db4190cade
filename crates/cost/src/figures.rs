//! The figures of a quote.

use cabling::labour::Labour;
use cabling::take_off::TakeOff;
use findings::{Figure, Source, SourceKind};
use network::results::TakeOffLine;

use crate::lines::to_f64;
use crate::price::Breakdown;
use crate::quote::{Input, penetrations};
use crate::rules;

/// What the figures say.
pub(crate) struct Totals<'a> {
    /// The take-off.
    pub take_off: &'a TakeOff,
    /// The work.
    pub work: &'a Labour,
    /// The price, if known.
    pub price: Option<&'a Breakdown>,
    /// What the price lacks.
    pub missing: &'a [String],
    /// Lines of the take-off with their prices.
    pub lines: &'a [TakeOffLine],
}

/// `price`, `labour.hours`, `labour.days`, `cable.length` and `penetrations` of the design.
pub(crate) fn figures(input: &Input, totals: &Totals) -> Vec<Figure> {
    let subject = || input.design.id.clone();
    let hours = totals.work.hours;
    // An estimated length of a cable that is laid makes an estimate of all that rests on it.
    let estimate = input.wiring.routes.iter().any(|r| !r.existing && r.length.estimate);
    let known_or = |mut figure: Figure| match totals.take_off.missing.as_slice() {
        [] => {
            figure.estimate = estimate;
            figure
        }
        lack => {
            Figure { sources: figure.sources, ..Figure::unknown(figure.id, figure.subject, figure.unit, lack.to_vec()) }
        }
    };
    let practice = Source::common_practice;
    let hours_figure = Figure::known("labour.hours", subject(), hours.p50, "h")
        .between(hours.p20, hours.p80, Some(0.6))
        .input("P50", hours.p50, "h")
        .input("P80", hours.p80, "h")
        .source(practice());
    vec![
        price(input, totals, estimate),
        known_or(hours_figure),
        known_or(days(input, totals.work)),
        known_or(length(input)),
        known_or(
            Figure::known("penetrations", subject(), f64::from(penetrations(input.wiring, |_| true)), "1")
                .source(ways()),
        ),
    ]
}

fn ways() -> Source {
    Source::model("ways of the cables through the building")
}

fn price(input: &Input, totals: &Totals, estimate: bool) -> Figure {
    let subject = input.design.id.clone();
    let code = input.prices.currency().code().to_owned();
    let mut figure = match totals.price {
        Some(sums) => {
            let (value, low, high) = sums.value();
            Figure::known("price", subject, value, code.clone())
                .between(low, high, None)
                .input("parts", to_f64(sums.parts.amount), code.clone())
                .input("labour", to_f64(sums.labour.amount), code.clone())
                .input("overhead", to_f64(sums.overhead.amount), code.clone())
                .input("margin", to_f64(sums.margin.amount), code.clone())
                .input("tax", to_f64(sums.tax.amount), code)
        }
        None => Figure::unknown("price", subject, code, totals.missing.to_vec()),
    };
    figure = figure.source(rules::own_model()).source(Source::common_practice());
    match (input.terms.labour_rate, input.prices.labour_hour()) {
        (Some(_), _) => figure = figure.source(Source::new(SourceKind::Stated, "terms of the firm")),
        (None, Some(rate)) => figure = figure.source(rate.source.clone()),
        (None, None) => {}
    }
    let generic =
        |l: &&TakeOffLine| input.prices.get(&l.part).is_some_and(|p| p.source.kind == SourceKind::GenericFigure);
    if let Some(price) = totals.lines.iter().find(generic).and_then(|l| input.prices.get(&l.part)) {
        figure = figure.source(price.source.clone());
    }
    figure.estimate = estimate;
    figure
}

fn days(input: &Input, work: &Labour) -> Figure {
    let subject = input.design.id.clone();
    let crew = &work.crew;
    let figure = match (crew.people, crew.days, crew.days_p80) {
        (0, ..) => Figure::known("labour.days", subject, 0.0, "d"),
        (people, Some(days), Some(p80)) => Figure::known("labour.days", subject, f64::from(days), "d")
            .between(f64::from(days), f64::from(p80), None)
            .input("people", f64::from(people), "1"),
        (people, ..) => {
            let lack = if people < 2 {
                format!("a second person for {:.1} h of work by two", crew.hours_by_two)
            } else {
                "a job that ends within the days that are counted".to_owned()
            };
            Figure::unknown("labour.days", subject, "d", vec![lack])
        }
    };
    figure.source(Source::common_practice())
}

/// Fixed cable that is laid: the sum of all lengths, and of the ends of their intervals.
fn length(input: &Input) -> Figure {
    let laid = || {
        let routes = input.wiring.routes.iter().filter(|r| !r.existing);
        routes.filter(|r| input.design.links.iter().any(|l| l.id == r.link))
    };
    let sum = |value: fn(&Figure) -> Option<f64>| laid().fold(0.0, |sum, r| sum + value(&r.length).unwrap_or(0.0));
    let middle = sum(|f| f.value);
    let figure = Figure::known("cable.length", input.design.id.clone(), middle, "m").source(ways());
    if laid().any(|r| r.length.low.is_some() || r.length.high.is_some()) {
        figure.between(sum(|f| f.low.or(f.value)), sum(|f| f.high.or(f.value)), None)
    } else {
        figure
    }
}
