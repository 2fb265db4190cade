//! Prices against Python's decimal arithmetic, to the smallest unit (see `data/SOURCE.md`).

use cost::{Costs, Stage, Tax, Terms, breakdown};
use rust_decimal::Decimal;
use units::{Currency, Money};

#[test]
fn every_sum_is_that_of_another_decimal_arithmetic() {
    let table = include_str!("data/price_table.csv");
    let mut rows = 0;
    for row in table.lines().skip(1) {
        let cells: Vec<&str> = row.split(',').collect();
        let &[currency, lines, hours, rate, overhead, margin, minimum, taxes, stages, ref sums @ ..] = cells.as_slice()
        else {
            panic!("{row}")
        };
        let currency: Currency = currency.parse().unwrap();
        let dec = |text: &str| text.parse::<Decimal>().unwrap();
        let money = |amount: Decimal| Money { amount, currency };
        let percent = |text: &str| format!("{text} %").parse().unwrap();
        let parts = lines.split(' ').map(|line| {
            let (price, quantity) = line.split_once('x').unwrap();
            money(dec(price) * dec(quantity)).rounded().amount
        });
        let terms = Terms {
            overhead: percent(overhead),
            margin: percent(margin),
            minimum_charge: Some(money(dec(minimum))),
            taxes: taxes.split_whitespace().map(|t| Tax { name: "tax".into(), rate: percent(t) }).collect(),
            stages: stages.split_whitespace().map(|s| Stage { due: "due".into(), share: percent(s) }).collect(),
            ..Terms::default()
        };
        let hours = hours.parse().unwrap();
        let costs = Costs {
            parts: parts.sum(),
            generic_parts: Decimal::ZERO,
            hours: cabling::labour::Hours { p20: hours, p50: hours, p80: hours },
            rate: dec(rate),
        };
        let ours = breakdown(&costs, &terms, currency).unwrap();
        let text = |m: Money| m.amount.to_string();
        let list = |all: Vec<String>| all.join(" ");
        let found = [
            text(ours.parts),
            text(ours.labour),
            text(ours.overhead),
            text(ours.margin),
            text(ours.to_minimum),
            text(ours.net),
            list(ours.taxes.iter().map(|t| text(t.amount)).collect()),
            text(ours.total),
            list(ours.stages.iter().map(|s| text(s.amount)).collect()),
        ];
        assert_eq!(found, sums, "{row}");
        assert_eq!((ours.low, ours.high), (ours.total, ours.total));
        rows += 1;
    }
    assert_eq!(rows, 200);
}
