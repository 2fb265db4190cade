//! From parts and hours to a price, in exact decimals.

use rust_decimal::prelude::{Decimal, FromPrimitive};
use units::{Currency, Money};

use crate::labour::Hours;
use crate::take_off::{cents, to_f64};
use crate::terms::Terms;

/// How a price is made up. Every sum is rounded to the cent, and they add up to the cent.
#[derive(Clone, Debug, PartialEq)]
pub struct Breakdown {
    /// Parts and cable.
    pub parts: Money,
    /// Hours, at the median, times the rate.
    pub labour: Money,
    /// Overhead on parts and labour.
    pub overhead: Money,
    /// Margin: (price − cost) / price, where cost is parts, labour and overhead.
    pub margin: Money,
    /// Tax on all of it; zero if the price is without tax.
    pub tax: Money,
    /// What is paid.
    pub total: Money,
    /// What is paid if parts and work turn out cheap: parts less their spread, work at P20.
    pub low: Money,
    /// What is paid if parts and work turn out dear: parts and their spread, work at P80.
    pub high: Money,
}

/// What goes into a price.
pub(crate) struct Costs {
    /// Parts and cable.
    pub parts: Decimal,
    /// The share of `parts` whose price is a generic figure.
    pub generic_parts: Decimal,
    /// Total time.
    pub hours: Hours,
    /// Price of an hour.
    pub rate: Decimal,
}

/// The price; nothing if a sum overflows or a term cannot be used.
pub(crate) fn breakdown(costs: &Costs, terms: &Terms, currency: Currency) -> Option<Breakdown> {
    let spread =
        cents(costs.generic_parts.checked_mul(Decimal::from_f64(terms.generic_price_spread)?)?, currency).amount;
    let middle = sums(costs.parts, labour(costs.hours.p50, costs.rate)?, terms, currency)?;
    let low = sums(costs.parts.checked_sub(spread)?, labour(costs.hours.p20, costs.rate)?, terms, currency)?;
    let high = sums(costs.parts.checked_add(spread)?, labour(costs.hours.p80, costs.rate)?, terms, currency)?;
    Some(Breakdown { low: low.total, high: high.total, ..middle })
}

/// Hours, to a hundredth, at a rate.
fn labour(hours: f64, rate: Decimal) -> Option<Decimal> {
    Decimal::from_f64(hours)?.round_dp(2).checked_mul(rate)
}

fn sums(parts: Decimal, labour: Decimal, terms: &Terms, currency: Currency) -> Option<Breakdown> {
    let money = |amount| cents(amount, currency);
    let (parts, labour) = (money(parts), money(labour));
    let direct = parts.amount.checked_add(labour.amount)?;
    let overhead = money(direct.checked_mul(terms.overhead)?);
    let cost = direct.checked_add(overhead.amount)?;
    let price = money(cost.checked_div(Decimal::ONE.checked_sub(terms.margin)?)?);
    let margin = money(price.amount.checked_sub(cost)?);
    let tax = money(price.amount.checked_mul(terms.tax.unwrap_or_default())?);
    let total = money(price.amount.checked_add(tax.amount)?);
    Some(Breakdown { parts, labour, overhead, margin, tax, total, low: total, high: total })
}

impl Breakdown {
    /// What is paid, as a number.
    pub(crate) fn value(&self) -> (f64, f64, f64) {
        (to_f64(self.total.amount), to_f64(self.low.amount), to_f64(self.high.amount))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn dec(text: &str) -> Decimal {
        text.parse().unwrap()
    }

    #[test]
    fn a_price_worked_by_hand() {
        let costs = Costs {
            parts: dec("333.33"),
            generic_parts: dec("333.33"),
            hours: Hours { p20: 2.0, p50: 3.333, p80: 5.0 },
            rate: dec("62.50"),
        };
        let terms = Terms { tax: Some(dec("0.19")), ..Terms::default() };
        let sums = breakdown(&costs, &terms, "EUR".parse().unwrap()).unwrap();
        let text = |m: Money| m.to_string();
        assert_eq!(text(sums.labour), "208.13 EUR"); // 3.33 h × 62.50 = 208.125
        assert_eq!(text(sums.overhead), "54.15 EUR"); // 10 % of 541.46 = 54.146
        assert_eq!(text(sums.margin), "148.90 EUR"); // 595.61 / 0.8 = 744.5125; 744.51 − 595.61
        assert_eq!(text(sums.tax), "141.46 EUR"); // 19 % of 744.51 = 141.4569
        assert_eq!(text(sums.total), "885.97 EUR");
        // Low: 233.33 + 125.00 = 358.33; overhead 35.83; 394.16 / 0.8 = 492.70; tax 93.61.
        assert_eq!(text(sums.low), "586.31 EUR");
        // High: 433.33 + 312.50 = 745.83; overhead 74.58; 820.41 / 0.8 = 1025.51; tax 194.85.
        assert_eq!(text(sums.high), "1220.36 EUR");
    }

    #[test]
    fn overflow_gives_no_price() {
        let costs = Costs {
            parts: Decimal::MAX,
            generic_parts: Decimal::ZERO,
            hours: Hours { p20: 1.0, p50: 1.0, p80: 1.0 },
            rate: dec("1"),
        };
        assert!(breakdown(&costs, &Terms::default(), "EUR".parse().unwrap()).is_none());
    }
}
