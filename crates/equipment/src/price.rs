//! Price lists: one CSV file, one currency, each price with its date and source. Taxes are not in them.

use std::collections::BTreeMap;
use std::str::FromStr;

use findings::{Id, Source, SourceKind};
use rust_decimal::Decimal;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use units::{Currency, Date, Money};

use crate::catalog::Catalog;

/// The row that holds the price of one hour of work.
pub const LABOUR_HOUR: &str = "labour-hour";

/// What one price is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum PriceUnit {
    /// One piece.
    Piece,
    /// One metre.
    #[serde(rename = "m")]
    Metre,
    /// One hour of work.
    Hour,
}

impl PriceUnit {
    /// The word in the `unit` column.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            PriceUnit::Piece => "piece",
            PriceUnit::Metre => "m",
            PriceUnit::Hour => "hour",
        }
    }
}

/// One row of a price list.
#[derive(Clone, Debug, PartialEq)]
pub struct Price {
    /// The part, or [`LABOUR_HOUR`].
    pub part: Id,
    /// Price of one unit, without tax.
    pub price: Money,
    /// What one unit is.
    pub unit: PriceUnit,
    /// When the price held.
    pub date: Date,
    /// Who says so.
    pub source: Source,
    /// Line of the file, from 1.
    pub line: u64,
}

/// What is wrong with a line of a price list.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("line {line}: {message}")]
pub struct PriceProblem {
    /// Line of the file, from 1.
    pub line: u64,
    /// What is wrong, with the value, and what is accepted.
    pub message: String,
}

/// Prices of parts and of an hour of work, in one currency.
#[derive(Clone, Debug, PartialEq)]
pub struct PriceList {
    currency: Currency,
    prices: BTreeMap<Id, Price>,
}

/// The columns, in the order in which lists are written; a file may have them in another order.
const COLUMNS: [&str; 6] = ["part", "price", "currency", "date", "unit", "source"];
/// Most rows that a list may have: far above any stock of parts for homes, so that a wrong file is refused early.
const MOST_ROWS: usize = 20_000;
/// Most problems that are listed one by one.
const MOST_PROBLEMS: usize = 100;
/// Highest price of one unit that is believed.
const HIGHEST_PRICE: i64 = 10_000_000;

impl PriceList {
    /// Reads a price list.
    ///
    /// The first line names the columns `part,price,currency,date,unit,source`. Prices are decimal numbers with a point,
    /// dates `2026-11-25`, units `piece`, `m` or `hour`. The row `labour-hour` is the price of an hour of work. A source
    /// that starts with `generic figure` marks a price that stands in for a real one.
    ///
    /// # Errors
    /// Every problem with its line: wrong header, cells that cannot be read, negative prices, a second currency, a part
    /// given twice. A part that no catalogue knows is no error; see [`PriceList::unknown_parts`].
    ///
    /// # Example
    /// ```
    /// let list = equipment::PriceList::from_csv(
    ///     "part,price,currency,date,unit,source\nswitch-5,21.90,EUR,2026-11-02,piece,shop on the corner\n",
    /// ).unwrap();
    /// let price = list.get(&"switch-5".parse().unwrap()).unwrap();
    /// assert_eq!(price.price.to_string(), "21.90 EUR");
    /// assert!(list.labour_hour().is_none());
    /// ```
    pub fn from_csv(text: &str) -> Result<Self, Vec<PriceProblem>> {
        let mut reader = csv::ReaderBuilder::new()
            .flexible(true)
            .trim(csv::Trim::All)
            .comment(Some(b'#'))
            .from_reader(text.trim_start_matches('\u{feff}').as_bytes());
        let columns = match reader.headers() {
            Ok(header) => columns(header)?,
            Err(error) => return Err(vec![PriceProblem { line: 1, message: error.to_string() }]),
        };
        let mut problems = Vec::new();
        let mut prices: BTreeMap<Id, Price> = BTreeMap::new();
        let mut currency: Option<(Currency, u64)> = None;
        for (count, row) in reader.records().enumerate() {
            let row = match row {
                Ok(row) => row,
                Err(error) => {
                    let line = error.position().map_or(0, csv::Position::line);
                    problems.push(PriceProblem { line, message: error.to_string() });
                    break;
                }
            };
            let line = row.position().map_or(0, csv::Position::line);
            if count >= MOST_ROWS {
                problems.push(PriceProblem { line, message: format!("there are more than {MOST_ROWS} rows") });
                break;
            }
            let price = match price(&row, &columns, line) {
                Ok(price) => price,
                Err(found) => {
                    problems.extend(found);
                    if problems.len() >= MOST_PROBLEMS {
                        problems.push(PriceProblem { line, message: "too many problems; reading stops here".into() });
                        break;
                    }
                    continue;
                }
            };
            match currency {
                None => currency = Some((price.price.currency, line)),
                Some((first, at)) if first != price.price.currency => problems.push(PriceProblem {
                    line,
                    message: format!(
                        "the price is in {}, but line {at} is in {first}; a list has one currency",
                        price.price.currency
                    ),
                }),
                Some(_) => {}
            }
            if let Some(first) = prices.get(&price.part) {
                let message = format!("`{}` already has a price in line {}; keep one", price.part, first.line);
                problems.push(PriceProblem { line, message });
                continue;
            }
            prices.insert(price.part.clone(), price);
        }
        if !problems.is_empty() {
            return Err(problems);
        }
        match currency {
            Some((currency, _)) => Ok(Self { currency, prices }),
            None => Err(vec![PriceProblem { line: 1, message: "there is no price below the header".into() }]),
        }
    }

    /// The built-in list of generic prices in US dollars, euros or pounds; none in other currencies.
    #[must_use]
    pub fn generic(currency: Currency) -> Option<Self> {
        let text = match currency.code() {
            "USD" => include_str!("../data/prices-usd.csv"),
            "EUR" => include_str!("../data/prices-eur.csv"),
            "GBP" => include_str!("../data/prices-gbp.csv"),
            _ => return None,
        };
        Self::from_csv(text).ok()
    }

    /// A list without a price, for where there is none: everything but the price can still be reckoned.
    #[must_use]
    pub fn empty(currency: Currency) -> Self {
        Self { currency, prices: BTreeMap::new() }
    }

    /// True if the list has no price at all.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.prices.is_empty()
    }

    /// Currency of all prices.
    #[must_use]
    pub fn currency(&self) -> Currency {
        self.currency
    }

    /// The price of a part, if the list has one.
    #[must_use]
    pub fn get(&self, part: &Id) -> Option<&Price> {
        self.prices.get(part)
    }

    /// The price of one hour of work, if the list has one.
    #[must_use]
    pub fn labour_hour(&self) -> Option<&Price> {
        Id::from_str(LABOUR_HOUR).ok().and_then(|id| self.get(&id))
    }

    /// All prices by rising id.
    pub fn iter(&self) -> impl Iterator<Item = &Price> {
        self.prices.values()
    }

    /// The oldest date in the list.
    #[must_use]
    pub fn oldest(&self) -> Option<Date> {
        self.prices.values().map(|p| p.date).min()
    }

    /// A warning for each row whose part the catalogue does not know, by line.
    #[must_use]
    pub fn unknown_parts(&self, catalog: &Catalog) -> Vec<PriceProblem> {
        let mut warnings: Vec<PriceProblem> = self
            .prices
            .values()
            .filter(|p| p.part.as_str() != LABOUR_HOUR && catalog.get(&p.part).is_none())
            .map(|p| {
                let near = catalog.nearest(&p.part).map(|n| format!("; is `{n}` meant?")).unwrap_or_default();
                PriceProblem { line: p.line, message: format!("no part has the id `{}`{near}", p.part) }
            })
            .collect();
        warnings.sort_by_key(|w| w.line);
        warnings
    }
}

/// Where each of [`COLUMNS`] stands.
fn columns(header: &csv::StringRecord) -> Result<[usize; 6], Vec<PriceProblem>> {
    let mut at = [0; 6];
    let mut problems = Vec::new();
    for (slot, name) in at.iter_mut().zip(COLUMNS) {
        let mut found = header.iter().enumerate().filter(|(_, cell)| cell.eq_ignore_ascii_case(name));
        match (found.next(), found.next()) {
            (Some((place, _)), None) => *slot = place,
            (Some(_), Some(_)) => {
                problems.push(PriceProblem { line: 1, message: format!("column `{name}` is there twice") });
            }
            (None, _) => problems.push(PriceProblem {
                line: 1,
                message: format!("column `{name}` is missing; the first line must be `{}`", COLUMNS.join(",")),
            }),
        }
    }
    for cell in header.iter().filter(|cell| !COLUMNS.iter().any(|name| cell.eq_ignore_ascii_case(name))) {
        let cell: String = cell.chars().take(40).collect();
        problems.push(PriceProblem {
            line: 1,
            message: format!("unknown column `{cell}`; known are {}", COLUMNS.join(", ")),
        });
        if problems.len() >= MOST_PROBLEMS {
            break;
        }
    }
    if problems.is_empty() { Ok(at) } else { Err(problems) }
}

/// One row as a price, or everything that is wrong with it.
fn price(row: &csv::StringRecord, columns: &[usize; 6], line: u64) -> Result<Price, Vec<PriceProblem>> {
    let mut problems = Vec::new();
    let [part, price, currency, date, unit, source] = columns.map(|at| row.get(at).unwrap_or_default());
    if row.len() > COLUMNS.len() {
        problems.push(PriceProblem {
            line,
            message: format!("{} cells instead of {}; quote a cell that holds a comma", row.len(), COLUMNS.len()),
        });
    }
    let mut keep = |name: &str, message: String| {
        problems.push(PriceProblem { line, message: format!("`{name}`: {message}") });
    };
    let part = Id::from_str(part).map_err(|e| keep("part", e.to_string())).ok();
    let amount = amount(price).map_err(|e| keep("price", e)).ok();
    let currency = Currency::from_str(currency).map_err(|e| keep("currency", e.to_string())).ok();
    let date = Date::from_str(date).map_err(|e| keep("date", e.to_string())).ok();
    let unit = unit_of(unit).map_err(|e| keep("unit", e)).ok();
    if source.is_empty() {
        keep("source", "it is empty; write who says so, or `generic figure`".into());
    }
    if let (Some(part), Some(unit)) = (&part, unit)
        && (part.as_str() == LABOUR_HOUR) != (unit == PriceUnit::Hour)
    {
        keep("unit", format!("`hour` belongs to the row `{LABOUR_HOUR}` and to no other"));
    }
    match (part, amount, currency, date, unit) {
        (Some(part), Some(amount), Some(currency), Some(date), Some(unit)) if problems.is_empty() => {
            let kind =
                if source.starts_with("generic figure") { SourceKind::GenericFigure } else { SourceKind::Stated };
            let price = Money { amount, currency };
            Ok(Price { part, price, unit, date, source: Source::new(kind, source), line })
        }
        _ => Err(problems),
    }
}

/// The cell `price`.
fn amount(text: &str) -> Result<Decimal, String> {
    if text.is_empty() {
        return Err("it is empty; leave out the row if there is no price".into());
    }
    let amount = Decimal::from_str_exact(text)
        .map_err(|_| format!("`{}` is not a decimal number such as `12.50`", short(text)))?;
    if amount.is_sign_negative() && !amount.is_zero() {
        Err(format!("`{amount}` is negative"))
    } else if amount > Decimal::from(HIGHEST_PRICE) {
        Err(format!("`{amount}` is above {HIGHEST_PRICE}"))
    } else if amount.normalize().scale() > 4 {
        Err(format!("`{amount}` has more than four digits after the point"))
    } else {
        Ok(amount)
    }
}

/// The cell `unit`.
fn unit_of(text: &str) -> Result<PriceUnit, String> {
    [PriceUnit::Piece, PriceUnit::Metre, PriceUnit::Hour]
        .into_iter()
        .find(|unit| unit.word() == text)
        .ok_or_else(|| format!("`{}` is not one of piece, m, hour", short(text)))
}

fn short(text: &str) -> String {
    text.chars().take(40).collect()
}
