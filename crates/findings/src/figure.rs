//! A computed value that carries its uncertainty and says where it comes from.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::{Id, Source};

/// A computed value of a subject, with its interval, inputs and sources.
///
/// A figure that could not be computed has no `value` and says in `missing` what it lacks.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Figure {
    /// What is measured, such as `coverage.5` or `price`; the same id means the same definition everywhere.
    pub id: String,
    /// What it is a figure of: a design, room, device, part or service.
    pub subject: Id,
    /// The value in `unit`; absent if unknown.
    pub value: Option<f64>,
    /// The unit's symbol; `1` for a bare ratio.
    pub unit: String,
    /// Low end of the interval.
    pub low: Option<f64>,
    /// High end of the interval.
    pub high: Option<f64>,
    /// Probability that the truth lies in the interval, 0 to 1; absent where the interval is a stated bound.
    pub confidence: Option<f64>,
    /// True while a simpler method stands in for the engine that will own this figure.
    #[serde(default)]
    pub estimate: bool,
    /// What is missing, if the value is unknown.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub missing: Vec<String>,
    /// What the value was computed from.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub inputs: Vec<Input>,
    /// Where method and inputs come from.
    pub sources: Vec<Source>,
}

/// A number that a figure was computed from.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Input {
    /// What it is.
    pub name: String,
    /// Its value.
    pub value: f64,
    /// Its unit.
    pub unit: String,
}

impl Figure {
    /// A known value without an interval yet.
    #[must_use]
    pub fn known(id: impl Into<String>, subject: Id, value: f64, unit: impl Into<String>) -> Self {
        Self {
            id: id.into(),
            subject,
            value: Some(value),
            unit: unit.into(),
            low: None,
            high: None,
            confidence: None,
            estimate: false,
            missing: Vec::new(),
            inputs: Vec::new(),
            sources: Vec::new(),
        }
    }

    /// A value that could not be computed, and what is missing.
    #[must_use]
    pub fn unknown(id: impl Into<String>, subject: Id, unit: impl Into<String>, missing: Vec<String>) -> Self {
        Self { value: None, missing, ..Self::known(id, subject, 0.0, unit) }
    }

    /// Adds the interval.
    #[must_use]
    pub fn between(mut self, low: f64, high: f64, confidence: Option<f64>) -> Self {
        self.low = Some(low);
        self.high = Some(high);
        self.confidence = confidence;
        self
    }

    /// Marks the value as an estimate.
    #[must_use]
    pub fn estimated(mut self) -> Self {
        self.estimate = true;
        self
    }

    /// Adds an input.
    #[must_use]
    pub fn input(mut self, name: impl Into<String>, value: f64, unit: impl Into<String>) -> Self {
        self.inputs.push(Input { name: name.into(), value, unit: unit.into() });
        self
    }

    /// Adds a source, once.
    #[must_use]
    pub fn source(mut self, source: Source) -> Self {
        if !self.sources.contains(&source) {
            self.sources.push(source);
        }
        self
    }
}
