//! The one document.

use building::Building;
use equipment::{Part, Terms};
use household::Household;
use network::Design;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use site::Site;

/// Format and version that this program writes.
pub const FORMAT: &str = "wallplate/1";

/// What a note of a job begins with that tells what an import guessed.
pub const GUESSED: &str = "Guessed: ";

/// A home, what comes with its address, the people in it, equipment and the designs under consideration.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Job {
    /// Always `wallplate/1`.
    pub format: String,
    /// Name for people; never a person's.
    pub name: String,
    /// How the job came about: what was imported, guessed or assumed, in plain sentences.
    #[serde(default)]
    pub notes: Vec<String>,
    /// What comes with the address.
    pub site: Site,
    /// Who lives here; a stated default is used if absent.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub household: Option<Household>,
    /// Parts beside the built-in ones.
    #[serde(default)]
    pub equipment: Equipment,
    /// Terms of the firm that quotes; stated default ones if absent.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub terms: Option<Terms>,
    /// The home.
    pub building: Building,
    /// Designs that were kept.
    #[serde(default)]
    pub designs: Vec<Design>,
}

/// Equipment of this job.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Equipment {
    /// Parts beside the built-in ones; the same id replaces a built-in part.
    #[serde(default)]
    pub parts: Vec<Part>,
}
