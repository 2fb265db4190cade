//! What a firm adds to parts and hours, and how hard the building is to work in.

use rust_decimal::Decimal;

/// How hard it is to get a cable in, easiest first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Access {
    /// Walls are still open: a new building or a full renovation.
    OpenWalls,
    /// Along an attic or a crawl space.
    AtticOrCrawlSpace,
    /// Light walls and ceilings with their finish on.
    Finished,
    /// Solid walls: masonry, concrete, timber of 60 mm and more.
    Solid,
}

impl Access {
    /// All, easiest first.
    pub(crate) const ALL: [Access; 4] = [Access::OpenWalls, Access::AtticOrCrawlSpace, Access::Finished, Access::Solid];

    /// The factor on the time in open walls: ends of its usual range (common practice, no source).
    #[must_use]
    pub const fn factor_range(self) -> (f64, f64) {
        match self {
            Access::OpenWalls => (1.0, 1.0),
            Access::AtticOrCrawlSpace => (1.5, 2.0),
            Access::Finished => (2.0, 4.0),
            Access::Solid => (3.0, 6.0),
        }
    }

    /// Name for people.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Access::OpenWalls => "open walls",
            Access::AtticOrCrawlSpace => "attic or crawl space",
            Access::Finished => "finished walls",
            Access::Solid => "solid walls",
        }
    }
}

/// What is added to parts and hours.
#[derive(Clone, Debug, PartialEq)]
pub struct Terms {
    /// Overhead as a share of parts and labour, 0 or more.
    pub overhead: Decimal,
    /// Margin as a share of the price without tax: (price − cost) / price, 0 to below 1.
    pub margin: Decimal,
    /// Tax as a share of the price; none if the price is to be without tax.
    pub tax: Option<Decimal>,
    /// How hard the building is to work in; judged from the walls that each cable passes if absent.
    pub access: Option<Access>,
    /// Share by which parts may cost more or less where the list has only a generic figure.
    pub generic_price_spread: f64,
}

impl Default for Terms {
    /// Overhead 10 %, margin 20 %, no tax, access judged from the walls, generic prices good to 30 %
    /// (common practice, no source).
    fn default() -> Self {
        Self {
            overhead: Decimal::new(10, 2),
            margin: Decimal::new(20, 2),
            tax: None,
            access: None,
            generic_price_spread: 0.30,
        }
    }
}

impl Terms {
    /// Every term that cannot be used, in words.
    pub(crate) fn problems(&self) -> Vec<String> {
        let mut problems = Vec::new();
        let limit = Decimal::from(10);
        if self.overhead < Decimal::ZERO || self.overhead > limit {
            problems.push(format!("an overhead between 0 and {limit}, not {}", self.overhead));
        }
        if self.margin < Decimal::ZERO || self.margin > Decimal::new(95, 2) {
            problems.push(format!("a margin between 0 and 0.95 of the price, not {}", self.margin));
        }
        if self.tax.is_some_and(|tax| tax < Decimal::ZERO || tax > limit) {
            problems.push(format!("a tax between 0 and {limit}, not {}", self.tax.unwrap_or_default()));
        }
        if !(self.generic_price_spread >= 0.0 && self.generic_price_spread < 1.0) {
            problems.push(format!("a price spread from 0 to below 1, not {}", self.generic_price_spread));
        }
        problems
    }
}
