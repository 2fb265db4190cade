//! Where a number comes from.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// What kind of authority a source is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum SourceKind {
    /// A published standard or recommendation.
    Standard,
    /// A law or a regulator's rule.
    Regulation,
    /// A paper, report or textbook.
    Publication,
    /// An open data set.
    Dataset,
    /// Measured at this home.
    Measured,
    /// What the trade does, without a citable source.
    CommonPractice,
    /// A typical value of its class of equipment, not of any product.
    GenericFigure,
    /// Stated by the user.
    Stated,
    /// Computed by a model of this program.
    Model,
}

/// Where a number or a limit comes from, precise enough to look it up.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Source {
    /// What kind of authority it is.
    pub kind: SourceKind,
    /// Title, edition and clause, for example `ITU-R P.2040-4, Table 3`.
    pub cite: String,
    /// True if the value was written down from memory and has not been compared with the source.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub from_memory: bool,
}

impl Source {
    /// A source of a kind.
    #[must_use]
    pub fn new(kind: SourceKind, cite: impl Into<String>) -> Self {
        Self { kind, cite: cite.into(), from_memory: false }
    }

    /// A published standard.
    #[must_use]
    pub fn standard(cite: impl Into<String>) -> Self {
        Self::new(SourceKind::Standard, cite)
    }

    /// A law or a regulator's rule.
    #[must_use]
    pub fn regulation(cite: impl Into<String>) -> Self {
        Self::new(SourceKind::Regulation, cite)
    }

    /// What the trade does, without a citable source.
    #[must_use]
    pub fn common_practice() -> Self {
        Self::new(SourceKind::CommonPractice, "common practice, no source")
    }

    /// A typical value of its class of equipment.
    #[must_use]
    pub fn generic() -> Self {
        Self::new(SourceKind::GenericFigure, "generic figure")
    }

    /// A model of this program.
    #[must_use]
    pub fn model(cite: impl Into<String>) -> Self {
        Self::new(SourceKind::Model, cite)
    }

    /// Marks the value as written down from memory.
    #[must_use]
    pub fn from_memory(mut self) -> Self {
        self.from_memory = true;
        self
    }
}
