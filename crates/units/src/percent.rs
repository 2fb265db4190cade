//! Shares in exact decimals, written in per cent.

use std::borrow::Cow;
use std::fmt;
use std::str::FromStr;

use rust_decimal::Decimal;
use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::{Deserialize, Deserializer, Serialize, Serializer, de};

use crate::parse::ParseQuantityError;

/// A share in exact decimals, written `12.5 %`. The sign must be there: a bare `0.2` could mean 0.2 % or 20 %.
///
/// # Example
/// ```
/// use units::Percent;
/// let tax: Percent = "19 %".parse().unwrap();
/// assert_eq!(tax.share().to_string(), "0.19");
/// assert_eq!(tax.to_string(), "19 %");
/// assert!("0.19".parse::<Percent>().is_err());
/// ```
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub struct Percent(Decimal);

impl Percent {
    /// So many per cent.
    #[must_use]
    pub fn new(whole: i64) -> Self {
        Self(Decimal::from(whole))
    }

    /// As a share of one; nothing is rounded.
    #[must_use]
    pub fn share(self) -> Decimal {
        let mut share = self.0;
        // Two more digits behind the point; a number with 28 of them has none to spare and is divided instead.
        if share.scale() <= 26 && share.set_scale(share.scale() + 2).is_ok() {
            return share.normalize();
        }
        (self.0 / Decimal::ONE_HUNDRED).normalize()
    }
}

impl FromStr for Percent {
    type Err = ParseQuantityError;
    fn from_str(text: &str) -> Result<Self, ParseQuantityError> {
        text.trim()
            .strip_suffix('%')
            .and_then(|number| Decimal::from_str_exact(number.trim_end()).ok())
            .map(Self)
            .ok_or_else(|| ParseQuantityError {
                text: text.chars().take(60).collect(),
                what: "share",
                reason: "write a decimal number and the sign, for example `12.5 %`".into(),
            })
    }
}

impl fmt::Display for Percent {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} %", self.0)
    }
}

impl Serialize for Percent {
    fn serialize<S: Serializer>(&self, s: S) -> Result<S::Ok, S::Error> {
        s.collect_str(self)
    }
}

impl<'de> Deserialize<'de> for Percent {
    fn deserialize<D: Deserializer<'de>>(d: D) -> Result<Self, D::Error> {
        String::deserialize(d)?.parse().map_err(de::Error::custom)
    }
}

impl JsonSchema for Percent {
    fn schema_name() -> Cow<'static, str> {
        "Percent".into()
    }
    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        json_schema!({"description": "share in per cent, for example `12.5 %`", "type": "string"})
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shares_are_exact_and_read_back() {
        for (text, share) in [("19 %", "0.19"), ("8.875%", "0.08875"), ("0 %", "0"), ("-5 %", "-0.05"), ("100 %", "1")]
        {
            let percent: Percent = text.parse().unwrap();
            assert_eq!(percent.share(), share.parse().unwrap(), "{text}");
            assert_eq!(percent.to_string().parse::<Percent>().unwrap(), percent);
        }
        for text in ["", "%", "19", "1e2 %", "nan %", "19 % %", "١ %"] {
            assert!(text.parse::<Percent>().is_err(), "{text}");
        }
        let long: Percent = "0.0000000000000000000000000001 %".parse().unwrap();
        assert!(long.share() >= Decimal::ZERO);
    }
}
