//! Calendar dates.

use std::borrow::Cow;
use std::fmt;
use std::str::FromStr;

use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::{Deserialize, Deserializer, Serialize, Serializer, de};

use crate::parse::ParseQuantityError;

/// A calendar date, written `2026-11-25`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Date(jiff::civil::Date);

impl Date {
    /// Days from another date to this one; negative if the other is later.
    ///
    /// # Example
    /// ```
    /// let day = |text: &str| text.parse::<units::Date>().unwrap();
    /// assert_eq!(day("2024-03-01").days_since(day("2024-02-28")), 2);
    /// assert_eq!(day("2025-01-01").days_since(day("2026-01-01")), -365);
    /// ```
    #[must_use]
    pub fn days_since(self, earlier: Date) -> i64 {
        self.0.duration_since(earlier.0).as_hours() / 24
    }

    /// So many days later; nothing if that is past the year 9999.
    ///
    /// # Example
    /// ```
    /// let day: units::Date = "2028-02-28".parse().unwrap();
    /// assert_eq!(day.plus_days(2).unwrap().to_string(), "2028-03-01");
    /// assert!(day.plus_days(u32::MAX).is_none());
    /// ```
    #[must_use]
    pub fn plus_days(self, days: u32) -> Option<Date> {
        let hours = i64::from(days).checked_mul(24)?;
        self.0.checked_add(jiff::SignedDuration::from_hours(hours)).ok().map(Self)
    }
}

impl FromStr for Date {
    type Err = ParseQuantityError;
    fn from_str(text: &str) -> Result<Self, ParseQuantityError> {
        text.parse().map(Self).map_err(|_| ParseQuantityError {
            text: text.chars().take(60).collect(),
            what: "date",
            reason: "write year-month-day, for example `2026-11-25`".into(),
        })
    }
}

impl fmt::Display for Date {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.fmt(f)
    }
}

impl Serialize for Date {
    fn serialize<S: Serializer>(&self, s: S) -> Result<S::Ok, S::Error> {
        s.collect_str(self)
    }
}

impl<'de> Deserialize<'de> for Date {
    fn deserialize<D: Deserializer<'de>>(d: D) -> Result<Self, D::Error> {
        String::deserialize(d)?.parse().map_err(de::Error::custom)
    }
}

impl JsonSchema for Date {
    fn schema_name() -> Cow<'static, str> {
        "Date".into()
    }
    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        json_schema!({"description": "calendar date, year-month-day", "type": "string", "format": "date"})
    }
}
