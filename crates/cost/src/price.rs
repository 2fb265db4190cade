//! From parts and hours to a price, in exact decimals.

use cabling::labour::Hours;
use equipment::Terms;
use rust_decimal::prelude::{Decimal, FromPrimitive};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use units::{Currency, Money};

use crate::lines::to_f64;
use crate::rules::unusable;

/// A tax with its sum.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct TaxSum {
    /// Its name.
    pub name: String,
    /// Its sum.
    pub amount: Money,
}

/// A sum that is paid at one time.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Due {
    /// When it is due.
    pub due: String,
    /// The sum.
    pub amount: Money,
}

/// How a price is made up. Every sum is rounded to the currency's smallest unit, and they add up exactly.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Breakdown {
    /// Parts and cable.
    pub parts: Money,
    /// Hours that are charged, of all people together.
    #[schemars(with = "String")]
    pub hours: Decimal,
    /// Price of one of them.
    pub rate: Money,
    /// Hours, at the median, times the rate.
    pub labour: Money,
    /// Overhead on parts and labour.
    pub overhead: Money,
    /// Margin: (price − cost) / price, where cost is parts, labour and overhead.
    pub margin: Money,
    /// What is added to reach the minimum charge.
    pub to_minimum: Money,
    /// The price without tax: parts, labour, overhead, margin and what is added to the minimum.
    pub net: Money,
    /// Each tax.
    pub taxes: Vec<TaxSum>,
    /// Taxes together; zero if the price is without tax.
    pub tax: Money,
    /// What is paid.
    pub total: Money,
    /// What is paid if parts and work turn out cheap: parts less their spread, work at P20.
    pub low: Money,
    /// What is paid if parts and work turn out dear: parts and their spread, work at P80.
    pub high: Money,
    /// What is paid when; adds up to the total.
    pub stages: Vec<Due>,
}

/// What goes into a price.
#[derive(Clone, Copy, Debug)]
pub struct Costs {
    /// Parts and cable.
    pub parts: Decimal,
    /// The share of `parts` whose price is a generic figure.
    pub generic_parts: Decimal,
    /// Time of all people together [h].
    pub hours: Hours,
    /// Price of an hour of one person.
    pub rate: Decimal,
}

/// Parts and hours as a price; nothing if a sum overflows or a term cannot be used.
///
/// # Model
/// Labour is the median hours, rounded up to the terms' step or else to the nearest hundredth, at the rate. Overhead is a
/// share of parts and labour. The price without tax is cost / (1 − margin), and at least the minimum charge where
/// anything is bought or done. Each tax is a share of the price without tax. Stages are shares of the total; the last
/// takes what rounding leaves. Every sum is rounded to the currency's smallest unit, halves away from zero.
#[must_use]
pub fn breakdown(costs: &Costs, terms: &Terms, currency: Currency) -> Option<Breakdown> {
    if unusable(terms).next().is_some() {
        return None;
    }
    let spread = costs.generic_parts.checked_mul(terms.generic_price_spread.share())?;
    let spread = Money { amount: spread, currency }.rounded().amount;
    let middle = sums(costs.parts, costs.hours.p50, costs.rate, terms, currency)?;
    let low = sums(costs.parts.checked_sub(spread)?, costs.hours.p20, costs.rate, terms, currency)?;
    let high = sums(costs.parts.checked_add(spread)?, costs.hours.p80, costs.rate, terms, currency)?;
    Some(Breakdown { low: low.total, high: high.total, ..middle })
}

/// Hours that are charged: up to whole steps, or to the nearest hundredth.
fn charged(hours: f64, terms: &Terms) -> Option<Decimal> {
    let Some(step) = terms.hour_step else { return Some(Decimal::from_f64(hours)?.round_dp(2).normalize()) };
    // A microsecond forgives that twice 0.1 h is a little more than 0.2 h.
    let steps = (hours * 3600.0 / step.value() - 1e-9).ceil().max(0.0);
    let seconds = Decimal::from_f64(steps)?.checked_mul(Decimal::from_f64(step.value())?)?;
    Some(seconds.checked_div(Decimal::from(3600))?.normalize())
}

fn sums(parts: Decimal, hours: f64, rate: Decimal, terms: &Terms, currency: Currency) -> Option<Breakdown> {
    let money = |amount| Money { amount, currency }.rounded();
    let hours = charged(hours, terms)?;
    let (parts, labour) = (money(parts), money(hours.checked_mul(rate)?));
    let direct = parts.amount.checked_add(labour.amount)?;
    let overhead = money(direct.checked_mul(terms.overhead.share())?);
    let cost = direct.checked_add(overhead.amount)?;
    let price = money(cost.checked_div(Decimal::ONE.checked_sub(terms.margin.share())?)?);
    let margin = money(price.amount.checked_sub(cost)?);
    let least = terms.minimum_charge.filter(|_| !direct.is_zero()).map_or(Decimal::ZERO, |m| m.amount);
    let to_minimum = money(least.checked_sub(price.amount)?.max(Decimal::ZERO));
    let net = money(price.amount.checked_add(to_minimum.amount)?);
    let mut taxes = Vec::with_capacity(terms.taxes.len());
    let mut tax = money(Decimal::ZERO);
    for each in &terms.taxes {
        let amount = money(net.amount.checked_mul(each.rate.share())?);
        tax = tax.checked_add(amount)?;
        taxes.push(TaxSum { name: each.name.clone(), amount });
    }
    let total = net.checked_add(tax)?;
    let rate = Money { amount: rate, currency };
    let stages = stages(total, terms)?;
    Some(Breakdown {
        parts,
        hours,
        rate,
        labour,
        overhead,
        margin,
        to_minimum,
        net,
        taxes,
        tax,
        total,
        low: total,
        high: total,
        stages,
    })
}

/// What is paid when.
fn stages(total: Money, terms: &Terms) -> Option<Vec<Due>> {
    let mut left = total.amount;
    let last = terms.stages.len().saturating_sub(1);
    let mut dues = Vec::with_capacity(terms.stages.len());
    for (i, stage) in terms.stages.iter().enumerate() {
        let share = Money { amount: total.amount.checked_mul(stage.share.share())?, ..total }.rounded();
        let amount = if i == last { Money { amount: left, ..total }.rounded() } else { share };
        left = left.checked_sub(amount.amount)?;
        dues.push(Due { due: stage.due.clone(), amount });
    }
    Some(dues)
}

impl Breakdown {
    /// What is paid, as a number, with the ends of its interval.
    pub(crate) fn value(&self) -> (f64, f64, f64) {
        (to_f64(self.total.amount), to_f64(self.low.amount), to_f64(self.high.amount))
    }
}

#[cfg(test)]
mod tests {
    use equipment::Tax;
    use units::{Percent, Seconds};

    use super::*;

    fn dec(text: &str) -> Decimal {
        text.parse().unwrap()
    }

    fn costs() -> Costs {
        Costs {
            parts: dec("333.33"),
            generic_parts: dec("333.33"),
            hours: Hours { p20: 2.0, p50: 3.333, p80: 5.0 },
            rate: dec("62.50"),
        }
    }

    fn vat() -> Terms {
        Terms { taxes: vec![Tax { name: "VAT".into(), rate: Percent::new(19) }], ..Terms::default() }
    }

    #[test]
    fn a_price_worked_by_hand() {
        let sums = breakdown(&costs(), &vat(), "EUR".parse().unwrap()).unwrap();
        let text = |m: Money| m.to_string();
        assert_eq!(text(sums.labour), "208.13 EUR"); // 3.33 h × 62.50 = 208.125
        assert_eq!(text(sums.overhead), "54.15 EUR"); // 10 % of 541.46 = 54.146
        assert_eq!(text(sums.margin), "148.90 EUR"); // 595.61 / 0.8 = 744.5125; 744.51 − 595.61
        assert_eq!(text(sums.net), "744.51 EUR");
        assert_eq!(text(sums.tax), "141.46 EUR"); // 19 % of 744.51 = 141.4569
        assert_eq!(text(sums.total), "885.97 EUR");
        // Half of it is 442.985, so 442.99 on order and what is left when done.
        assert_eq!(sums.stages.iter().map(|s| text(s.amount)).collect::<Vec<_>>(), ["442.99 EUR", "442.98 EUR"]);
        // Low: 233.33 + 125.00 = 358.33; overhead 35.83; 394.16 / 0.8 = 492.70; tax 93.61.
        assert_eq!(text(sums.low), "586.31 EUR");
        // High: 433.33 + 312.50 = 745.83; overhead 74.58; 820.41 / 0.8 = 1025.51; tax 194.85.
        assert_eq!(text(sums.high), "1220.36 EUR");
    }

    #[test]
    fn hours_go_up_to_whole_steps() {
        let terms = Terms { hour_step: Some(Seconds(900.0)), ..Terms::default() };
        let hours = |h: f64| charged(h, &terms).unwrap().to_string();
        assert_eq!(
            (hours(3.25), hours(3.251), hours(0.0), hours(0.01)),
            ("3.25".into(), "3.5".into(), "0".into(), "0.25".into())
        );
        let tenths = Terms { hour_step: Some(Seconds(360.0)), ..Terms::default() };
        assert_eq!(charged(0.1 + 0.2, &tenths).unwrap().to_string(), "0.3");
    }

    #[test]
    fn a_small_job_costs_the_minimum_and_nothing_costs_nothing() {
        let terms = Terms { minimum_charge: Some("1000 EUR".parse().unwrap()), ..vat() };
        let sums = breakdown(&costs(), &terms, "EUR".parse().unwrap()).unwrap();
        assert_eq!(sums.to_minimum.to_string(), "255.49 EUR");
        assert_eq!(sums.total.to_string(), "1190.00 EUR");
        let nothing = Costs { parts: dec("0"), generic_parts: dec("0"), hours: Hours::default(), rate: dec("62.50") };
        assert_eq!(breakdown(&nothing, &terms, "EUR".parse().unwrap()).unwrap().total.to_string(), "0.00 EUR");
    }

    #[test]
    fn yen_have_no_cents() {
        let sums = breakdown(&costs(), &vat(), "JPY".parse().unwrap()).unwrap();
        // 333 + 208; 54; 595 / 0.8 = 743.75, so 744; 19 % of that 141.36.
        assert_eq!((sums.net.to_string(), sums.total.to_string()), ("744 JPY".into(), "885 JPY".into()));
    }

    #[test]
    fn overflow_and_unusable_terms_give_no_price() {
        let dear = Costs { parts: Decimal::MAX, rate: dec("1"), ..costs() };
        assert!(breakdown(&dear, &Terms::default(), "EUR".parse().unwrap()).is_none());
        let terms = Terms { margin: Percent::new(100), ..Terms::default() };
        assert!(breakdown(&costs(), &terms, "EUR".parse().unwrap()).is_none());
        let lost = Costs { hours: Hours { p20: f64::NAN, p50: f64::NAN, p80: 1.0 }, ..costs() };
        assert!(breakdown(&lost, &Terms::default(), "EUR".parse().unwrap()).is_none());
    }
}
