//! Stable names.

use std::borrow::Cow;
use std::fmt;
use std::str::FromStr;

use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::{Deserialize, Deserializer, Serialize, Serializer, de};

/// A stable name of something in a job, such as `w12` or `ap-1`: one or more letters, digits and `-_.$:`.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Id(String);

/// Why a text is not an [`Id`].
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("`{0}` is not an id: use 1 to 64 letters, digits and the marks - _ . $ :")]
pub struct IdError(String);

impl Id {
    /// An id from a text known to be well formed; other characters become `-`.
    ///
    /// # Example
    /// ```
    /// assert_eq!(findings::Id::from_label("Bed room 1").as_str(), "bed-room-1");
    /// ```
    #[must_use]
    pub fn from_label(label: &str) -> Self {
        let mut text = String::new();
        for c in label.chars().flat_map(char::to_lowercase) {
            if c.is_ascii_alphanumeric() || matches!(c, '_' | '.' | '$' | ':') {
                text.push(c);
            } else if !text.is_empty() && !text.ends_with('-') {
                text.push('-');
            }
        }
        text.truncate(64);
        let text = text.trim_end_matches('-');
        Self(if text.is_empty() { "x".to_owned() } else { text.to_owned() })
    }

    /// The id as text.
    #[must_use]
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl FromStr for Id {
    type Err = IdError;
    fn from_str(text: &str) -> Result<Self, IdError> {
        let fine = |c: char| c.is_ascii_alphanumeric() || matches!(c, '-' | '_' | '.' | '$' | ':');
        if text.is_empty() || text.len() > 64 || !text.chars().all(fine) {
            return Err(IdError(text.chars().take(80).collect()));
        }
        Ok(Self(text.to_owned()))
    }
}

impl fmt::Display for Id {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&self.0)
    }
}

impl Serialize for Id {
    fn serialize<S: Serializer>(&self, s: S) -> Result<S::Ok, S::Error> {
        s.serialize_str(&self.0)
    }
}

impl<'de> Deserialize<'de> for Id {
    fn deserialize<D: Deserializer<'de>>(d: D) -> Result<Self, D::Error> {
        String::deserialize(d)?.parse().map_err(de::Error::custom)
    }
}

impl JsonSchema for Id {
    fn schema_name() -> Cow<'static, str> {
        "Id".into()
    }
    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        json_schema!({"description": "stable id", "type": "string", "pattern": "^[A-Za-z0-9_.$:-]{1,64}$"})
    }
}
