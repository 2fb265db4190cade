//! The figures of a quote.

use findings::{Figure, Source};

use crate::labour::Hours;
use crate::price::Breakdown;
use crate::quote::Input;
use crate::rules;
use crate::take_off::to_f64;

/// What the figures say.
pub(crate) struct Totals<'a> {
    /// Fixed cable laid [m].
    pub length: f64,
    /// True if there is any fixed cable, so that everything rests on estimated lengths.
    pub has_cables: bool,
    /// What cable lengths lack.
    pub missing_lengths: &'a [String],
    /// The price, if known.
    pub price: Option<&'a Breakdown>,
    /// What the price lacks.
    pub missing: &'a [String],
    /// Total time.
    pub hours: Hours,
    /// Holes through walls and floors.
    pub penetrations: u32,
}

/// `price`, `labour.hours`, `cable.length` and `penetrations` of the design.
pub(crate) fn figures(input: &Input, totals: &Totals) -> Vec<Figure> {
    let hours = totals.hours;
    let subject = || input.design.id.clone();
    let practice = Source::common_practice;
    let known_or = |figure: Figure| match totals.missing_lengths {
        [] => figure,
        lack => {
            Figure { sources: figure.sources, ..Figure::unknown(figure.id, figure.subject, figure.unit, lack.to_vec()) }
        }
    };
    let price_figure = match totals.price {
        Some(sums) => {
            let (value, low, high) = sums.value();
            let code = input.prices.currency().code().to_owned();
            Figure::known("price", subject(), value, code.clone())
                .between(low, high, None)
                .input("parts", to_f64(sums.parts.amount), code.clone())
                .input("labour", to_f64(sums.labour.amount), code.clone())
                .input("overhead", to_f64(sums.overhead.amount), code.clone())
                .input("margin", to_f64(sums.margin.amount), code.clone())
                .input("tax", to_f64(sums.tax.amount), code)
        }
        None => Figure::unknown("price", subject(), input.prices.currency().code(), totals.missing.to_vec()),
    };
    let mut price_figure = price_figure.source(rules::own_model()).source(practice());
    if let Some(rate) = input.prices.labour_hour() {
        price_figure = price_figure.source(rate.source.clone());
    }
    // The price rests on estimated lengths where there are cables.
    price_figure.estimate = totals.has_cables;
    let mut hours_figure = Figure::known("labour.hours", subject(), hours.p50, "h")
        .between(hours.p20, hours.p80, Some(0.6))
        .input("P50", hours.p50, "h")
        .input("P80", hours.p80, "h")
        .source(practice());
    hours_figure.estimate = totals.has_cables;
    vec![
        price_figure,
        known_or(hours_figure),
        known_or(Figure::known("cable.length", subject(), totals.length, "m").estimated().source(practice())),
        known_or(
            Figure::known("penetrations", subject(), f64::from(totals.penetrations), "1")
                .estimated()
                .source(practice()),
        ),
    ]
}
