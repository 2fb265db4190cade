//! Money: a decimal amount in a currency.

use std::borrow::Cow;
use std::fmt;
use std::str::FromStr;

use rust_decimal::{Decimal, RoundingStrategy};
use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::{Deserialize, Deserializer, Serialize, Serializer, de};

use crate::parse::ParseQuantityError;

/// A currency by its ISO 4217 code.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Currency([u8; 3]);

impl Currency {
    /// The three-letter code.
    #[must_use]
    pub fn code(&self) -> &str {
        std::str::from_utf8(&self.0).unwrap_or("???")
    }

    /// Digits behind the point of its smallest unit in use: 2 for most (ISO 4217, minor units; from memory).
    ///
    /// # Example
    /// ```
    /// let digits = |code: &str| code.parse::<units::Currency>().unwrap().minor_digits();
    /// assert_eq!((digits("EUR"), digits("JPY"), digits("KWD")), (2, 0, 3));
    /// ```
    #[must_use]
    pub fn minor_digits(&self) -> u32 {
        match self.code() {
            "BIF" | "CLP" | "DJF" | "GNF" | "ISK" | "JPY" | "KMF" | "KRW" | "PYG" | "RWF" | "UGX" | "UYI" | "VND"
            | "VUV" | "XAF" | "XOF" | "XPF" => 0,
            "BHD" | "IQD" | "JOD" | "KWD" | "LYD" | "OMR" | "TND" => 3,
            "CLF" | "UYW" => 4,
            _ => 2,
        }
    }
}

impl FromStr for Currency {
    type Err = ParseQuantityError;
    fn from_str(text: &str) -> Result<Self, ParseQuantityError> {
        match text.as_bytes() {
            [a, b, c] if text.bytes().all(|l| l.is_ascii_uppercase()) => Ok(Self([*a, *b, *c])),
            _ => Err(ParseQuantityError {
                text: text.chars().take(60).collect(),
                what: "currency",
                reason: "write the three capital letters of ISO 4217, for example `EUR`".into(),
            }),
        }
    }
}

impl fmt::Display for Currency {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.code())
    }
}

/// An amount of money in exact decimals, written `1250.00 EUR`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Money {
    /// Exact decimal amount.
    pub amount: Decimal,
    /// Its currency.
    pub currency: Currency,
}

impl Money {
    /// The sum, or nothing if the currencies differ or the sum overflows.
    ///
    /// # Example
    /// ```
    /// use units::Money;
    /// let money = |text: &str| text.parse::<Money>().unwrap();
    /// let sum = money("0.10 EUR").checked_add(money("0.20 EUR")).unwrap();
    /// assert_eq!(sum.to_string(), "0.30 EUR");
    /// assert!(sum.checked_add(money("1 USD")).is_none());
    /// ```
    #[must_use]
    pub fn checked_add(self, other: Money) -> Option<Money> {
        if self.currency != other.currency {
            return None;
        }
        Some(Money { amount: self.amount.checked_add(other.amount)?, currency: self.currency })
    }

    /// Rounded to the currency's smallest unit, halves away from zero, with all its digits written.
    ///
    /// # Example
    /// ```
    /// use units::Money;
    /// let money = |text: &str| text.parse::<Money>().unwrap();
    /// assert_eq!(money("0.125 EUR").rounded().to_string(), "0.13 EUR");
    /// assert_eq!(money("2.5 JPY").rounded().to_string(), "3 JPY");
    /// assert_eq!(money("7 KWD").rounded().to_string(), "7.000 KWD");
    /// ```
    #[must_use]
    pub fn rounded(self) -> Money {
        let digits = self.currency.minor_digits();
        let mut amount = self.amount.round_dp_with_strategy(digits, RoundingStrategy::MidpointAwayFromZero);
        amount.rescale(digits);
        Money { amount, currency: self.currency }
    }
}

impl FromStr for Money {
    type Err = ParseQuantityError;
    fn from_str(text: &str) -> Result<Self, ParseQuantityError> {
        let fail = |reason: &str| ParseQuantityError {
            text: text.chars().take(60).collect(),
            what: "sum of money",
            reason: reason.into(),
        };
        let (amount, currency) =
            text.trim().split_once(' ').ok_or_else(|| fail("write amount and currency, for example `1250.00 EUR`"))?;
        Ok(Money {
            amount: Decimal::from_str_exact(amount)
                .map_err(|_| fail("the amount is not a decimal number that can be held exactly, such as `1250.00`"))?,
            currency: currency.trim().parse()?,
        })
    }
}

impl fmt::Display for Money {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} {}", self.amount, self.currency)
    }
}

macro_rules! as_text {
    ($name:ident, $description:literal) => {
        impl Serialize for $name {
            fn serialize<S: Serializer>(&self, s: S) -> Result<S::Ok, S::Error> {
                s.collect_str(self)
            }
        }
        impl<'de> Deserialize<'de> for $name {
            fn deserialize<D: Deserializer<'de>>(d: D) -> Result<Self, D::Error> {
                String::deserialize(d)?.parse().map_err(de::Error::custom)
            }
        }
        impl JsonSchema for $name {
            fn schema_name() -> Cow<'static, str> {
                stringify!($name).into()
            }
            fn json_schema(_: &mut SchemaGenerator) -> Schema {
                json_schema!({"description": $description, "type": "string"})
            }
        }
    };
}

as_text!(Currency, "currency, three letters of ISO 4217");
as_text!(Money, "sum of money, for example `1250.00 EUR`");
