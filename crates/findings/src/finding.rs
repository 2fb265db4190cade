//! What is wrong with a design, by how much, who says so, and what would mend it.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use units::Point2;

use crate::{Edit, Id, Source};

/// How bad a finding is, worst first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Severity {
    /// Someone can be hurt, or a law is broken.
    Unsafe,
    /// A stated target or a limit is not met.
    Fails,
    /// It may not hold in use.
    Risk,
    /// Good to know.
    Note,
}

/// A number with its unit.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Quantity {
    /// The number.
    pub value: f64,
    /// The unit's symbol.
    pub unit: String,
}

impl Quantity {
    /// A number with its unit.
    #[must_use]
    pub fn new(value: f64, unit: impl Into<String>) -> Self {
        Self { value, unit: unit.into() }
    }
}

/// Where on the plan a finding applies.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Place {
    /// The storey.
    pub storey: Id,
    /// The point in plan.
    pub at: Point2,
}

/// A change that would mend a finding.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Remedy {
    /// What it does, in words.
    pub text: String,
    /// The change as data; empty where a person has to do it.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub edits: Vec<Edit>,
}

/// One thing that is wrong, or worth knowing.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Finding {
    /// The rule that found it, such as `wlan.radar-only-plan`.
    pub rule: String,
    /// How bad it is.
    pub severity: Severity,
    /// What it is about, most specific first.
    pub subjects: Vec<Id>,
    /// What is wrong, in one sentence with the numbers.
    pub message: String,
    /// What was computed or found.
    pub measured: Option<Quantity>,
    /// The limit it was held against.
    pub limit: Option<Quantity>,
    /// Who sets the limit.
    pub source: Source,
    /// Where on the plan, if anywhere.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub place: Option<Place>,
    /// What would mend it.
    #[serde(default)]
    pub remedies: Vec<Remedy>,
}

impl Finding {
    /// A finding of a rule, with its rule's severity and source.
    #[must_use]
    pub fn of(rule: &Rule, subjects: Vec<Id>, message: impl Into<String>) -> Self {
        Self {
            rule: rule.id.to_owned(),
            severity: rule.severity,
            subjects,
            message: message.into(),
            measured: None,
            limit: None,
            source: rule.source(),
            place: None,
            remedies: Vec::new(),
        }
    }

    /// Adds what was measured and the limit.
    #[must_use]
    pub fn against(mut self, measured: f64, limit: f64, unit: &str) -> Self {
        self.measured = Some(Quantity::new(measured, unit));
        self.limit = Some(Quantity::new(limit, unit));
        self
    }

    /// Adds a remedy in words, with its edits if it can be applied by the program.
    #[must_use]
    pub fn remedy(mut self, text: impl Into<String>, edits: Vec<Edit>) -> Self {
        self.remedies.push(Remedy { text: text.into(), edits });
        self
    }

    /// Adds the place on the plan.
    #[must_use]
    pub fn at(mut self, storey: Id, at: Point2) -> Self {
        self.place = Some(Place { storey, at });
        self
    }
}

/// A rule that an engine checks. `wallplate rules` lists them all.
#[derive(Clone, Copy, Debug)]
pub struct Rule {
    /// Its id: `subject.condition`.
    pub id: &'static str,
    /// The severity of its findings, unless a finding says otherwise.
    pub severity: Severity,
    /// What it finds, in one sentence.
    pub summary: &'static str,
    /// The limit in words, if there is one.
    pub limit: &'static str,
    /// Who sets the limit.
    pub cite: fn() -> Source,
}

impl Rule {
    /// Who sets the limit.
    #[must_use]
    pub fn source(&self) -> Source {
        (self.cite)()
    }
}
