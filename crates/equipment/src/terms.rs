//! The terms of a firm: what it adds to parts and hours, how it works and what it asks for.

use std::collections::BTreeMap;

use findings::Id;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use units::{Currency, Metres, Money, Percent, Seconds};

/// How hard it is to get a cable in, easiest first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Access {
    /// Walls are still open, or the way is: a new building, a full renovation, a hung ceiling, a pipe.
    OpenWalls,
    /// Along an attic or a crawl space.
    AtticOrCrawlSpace,
    /// On the outside of the building, from a ladder.
    Outside,
    /// Light walls and floors with their finish on.
    Finished,
    /// Solid walls and floors: masonry, concrete, timber of 60 mm and more.
    Solid,
}

impl Access {
    /// All, easiest first.
    pub const ALL: [Access; 5] =
        [Access::OpenWalls, Access::AtticOrCrawlSpace, Access::Outside, Access::Finished, Access::Solid];

    /// Name for people.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Access::OpenWalls => "open",
            Access::AtticOrCrawlSpace => "attic or crawl space",
            Access::Outside => "outside",
            Access::Finished => "finished walls",
            Access::Solid => "solid walls",
        }
    }
}

/// A tax on the price.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Tax {
    /// Its name.
    pub name: String,
    /// Its rate on the price without any tax.
    pub rate: Percent,
}

/// A part of the price that is paid at one time.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Stage {
    /// When it is due, such as `on order`.
    pub due: String,
    /// Its share of what is paid.
    pub share: Percent,
}

/// How material is bought and cut.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(default, deny_unknown_fields)]
pub struct Materials {
    /// Cable cut beyond what is laid.
    pub waste: Percent,
    /// Most cables that are pulled together, each from a spool of its own.
    pub pulled_at_once: u32,
    /// Lengths of cable on the spools that can be bought.
    pub spools: Vec<Metres>,
    /// True if the customer pays whole spools; else what is cut, and the rest stays with the firm.
    pub whole_spools: bool,
    /// Spare outlets and jacks beyond those that are fitted, rounded up.
    pub spares: Percent,
}

impl Default for Materials {
    /// 10 % waste, two cables at once, spools of 100 m and 305 m (1000 ft), what is cut is paid, 5 % spares (common
    /// practice, no source: 10 to 15 % waste, 5 to 10 % spares).
    fn default() -> Self {
        Self {
            waste: Percent::new(10),
            pulled_at_once: 2,
            spools: vec![Metres(100.0), Metres(305.0)],
            whole_spools: false,
            spares: Percent::new(5),
        }
    }
}

/// Terms that a quote is made on. What a document leaves out is as in [`Terms::default`].
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(default, deny_unknown_fields)]
pub struct Terms {
    /// Price of an hour of one person's work; the price list's if absent.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub labour_rate: Option<Money>,
    /// Hours that are charged are rounded up to whole multiples of this; to a hundredth of an hour if absent.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub hour_step: Option<Seconds>,
    /// Overhead as a share of parts and labour.
    pub overhead: Percent,
    /// Margin as a share of the price without tax: (price − cost) / price.
    pub margin: Percent,
    /// Least price without tax of any job.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub minimum_charge: Option<Money>,
    /// Taxes; the price is without tax if there are none.
    pub taxes: Vec<Tax>,
    /// How long a quote holds [d].
    pub valid_days: u32,
    /// When what share is paid.
    pub stages: Vec<Stage>,
    /// Share by which a part may cost more or less where the list has only a generic figure.
    pub generic_price_spread: Percent,
    /// How hard the building is to work in; judged from each cable's way if absent.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub access: Option<Access>,
    /// People who are sent where the work needs two.
    pub crew: u32,
    /// Working time of one day.
    pub day: Seconds,
    /// Visits after the work is done, where cables were fixed.
    pub return_visits: u32,
    /// How material is bought and cut.
    pub materials: Materials,
    /// What the firm has on its shelves already: pieces or metres by part.
    pub stock: BTreeMap<Id, f64>,
}

impl Default for Terms {
    /// Overhead 10 %, margin 20 %, no tax, no minimum; valid for 30 days; half on order and half when done; generic
    /// prices good to 30 %; two people, 8 h a day, one return visit (common practice, no source).
    fn default() -> Self {
        let stage = |due: &str| Stage { due: due.to_owned(), share: Percent::new(50) };
        Self {
            labour_rate: None,
            hour_step: None,
            overhead: Percent::new(10),
            margin: Percent::new(20),
            minimum_charge: None,
            taxes: Vec::new(),
            valid_days: 30,
            stages: vec![stage("on order"), stage("when done")],
            generic_price_spread: Percent::new(30),
            access: None,
            crew: 2,
            day: Seconds(8.0 * 3600.0),
            return_visits: 1,
            materials: Materials::default(),
            stock: BTreeMap::new(),
        }
    }
}

/// A term that cannot be used.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("terms, `{field}`: {message}")]
pub struct TermProblem {
    /// The field, such as `materials.waste`.
    pub field: String,
    /// What is wrong, with the value, and what is accepted.
    pub message: String,
}

/// Most spool lengths, taxes and stages; far above any firm's.
const MOST_ENTRIES: usize = 20;

impl Terms {
    /// Every term that cannot be used; limits are sanity limits (common practice, no source).
    #[must_use]
    pub fn problems(&self) -> Vec<TermProblem> {
        let mut problems = Vec::new();
        let mut fail = |field: &str, message: String| {
            problems.push(TermProblem { field: field.to_owned(), message });
        };
        for (field, value, high) in [
            ("overhead", self.overhead, 1000),
            ("margin", self.margin, 95),
            ("generic_price_spread", self.generic_price_spread, 99),
            ("materials.waste", self.materials.waste, 100),
            ("materials.spares", self.materials.spares, 100),
        ] {
            if value < Percent::new(0) || value > Percent::new(high) {
                fail(field, format!("`{value}` is not between 0 % and {high} %"));
            }
        }
        for (i, tax) in self.taxes.iter().enumerate() {
            if tax.rate < Percent::new(0) || tax.rate > Percent::new(1000) {
                fail(&format!("taxes[{i}].rate"), format!("`{}` is not between 0 % and 1000 %", tax.rate));
            }
        }
        for (field, money) in [("labour_rate", self.labour_rate), ("minimum_charge", self.minimum_charge)] {
            if let Some(money) = money.filter(|m| m.amount.is_sign_negative() && !m.amount.is_zero()) {
                fail(field, format!("`{money}` is negative"));
            }
        }
        for (i, stage) in self.stages.iter().enumerate() {
            if stage.share < Percent::new(0) || stage.share > Percent::new(100) {
                fail(&format!("stages[{i}].share"), format!("`{}` is not between 0 % and 100 %", stage.share));
            }
        }
        let paid = self.stages.iter().try_fold(rust_decimal::Decimal::ZERO, |sum, s| sum.checked_add(s.share.share()));
        if !self.stages.is_empty() && paid != Some(rust_decimal::Decimal::ONE) {
            fail("stages", "the shares do not add up to 100 %".into());
        }
        if let Some(step) = self.hour_step.filter(|s| !(s.value() >= 36.0 && s.value() <= 86_400.0)) {
            fail("hour_step", format!("`{step}` is not between 36 s and 1 d"));
        }
        if !(self.day.value() >= 7200.0 && self.day.value() <= 57_600.0) {
            fail("day", format!("`{}` is not between 2 h and 16 h", self.day));
        }
        if !(1..=20).contains(&self.crew) {
            fail("crew", format!("`{}` people are not between 1 and 20", self.crew));
        }
        if self.return_visits > 20 {
            fail("return_visits", format!("`{}` are more than 20", self.return_visits));
        }
        if !(1..=24).contains(&self.materials.pulled_at_once) {
            let message = format!("`{}` cables are not between 1 and 24", self.materials.pulled_at_once);
            fail("materials.pulled_at_once", message);
        }
        if self.materials.spools.is_empty() {
            fail("materials.spools", "there is no spool length; give one, such as `305 m`".into());
        }
        for (i, spool) in self.materials.spools.iter().enumerate() {
            if !(spool.value() >= 1.0 && spool.value() <= 10_000.0) {
                fail(&format!("materials.spools[{i}]"), format!("`{spool}` is not between 1 m and 10 km"));
            }
        }
        for (field, count) in [
            ("materials.spools", self.materials.spools.len()),
            ("taxes", self.taxes.len()),
            ("stages", self.stages.len()),
        ] {
            if count > MOST_ENTRIES {
                fail(field, format!("{count} entries are more than {MOST_ENTRIES}"));
            }
        }
        for (part, count) in &self.stock {
            if !(*count >= 0.0 && count.is_finite()) {
                fail(&format!("stock.{part}"), format!("`{count}` in stock cannot be; give 0 or more"));
            }
        }
        problems
    }

    /// Sums of money in the terms that are not in a currency, with their names.
    #[must_use]
    pub fn other_currencies(&self, currency: Currency) -> Vec<(&'static str, Money)> {
        [("labour_rate", self.labour_rate), ("minimum_charge", self.minimum_charge)]
            .into_iter()
            .filter_map(|(field, money)| money.filter(|m| m.currency != currency).map(|m| (field, m)))
            .collect()
    }
}
