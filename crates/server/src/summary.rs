//! A job in a few figures, as lists show it.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::{Mutex, PoisonError};

use building::{Resolved, RoomUse};
use job::Job;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use site::UnitSystem;
use store::{JobId, Record};

/// A job in a few figures. What cannot be derived is null.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct JobSummary {
    /// Id.
    pub id: String,
    /// Name for people.
    pub name: String,
    /// Grows by one with every change.
    pub revision: u64,
    /// Whether it was put away.
    pub archived: bool,
    /// When it came into the store (RFC 3339).
    #[schemars(extend("format" = "date-time"))]
    pub created_at: String,
    /// When it last changed (RFC 3339).
    #[schemars(extend("format" = "date-time"))]
    pub changed_at: String,
    /// What its document says.
    #[serde(flatten)]
    pub facts: Facts,
}

/// What a job's document says, in figures.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Facts {
    /// Country, two letters of ISO 3166-1.
    pub country: Option<String>,
    /// Units that people see.
    pub units: UnitSystem,
    /// Floor area of the rooms under a roof.
    pub floor_area_m2: Option<f64>,
    /// Storeys with rooms under a roof.
    pub storeys: Option<usize>,
    /// Rooms under a roof.
    pub rooms: Option<usize>,
    /// People of the household.
    pub people: Option<usize>,
    /// Designs that were kept.
    pub designs: Option<usize>,
}

impl Facts {
    /// Reads them off a document.
    #[must_use]
    pub fn of(job: &Job) -> Self {
        let resolved = Resolved::new(&job.building).ok();
        let rooms = resolved.as_ref().map(|r| r.rooms.iter().filter(|r| r.usage != RoomUse::Outdoor));
        Self {
            country: Some(job.site.country.clone()),
            units: job.site.units,
            floor_area_m2: resolved.as_ref().map(Resolved::served_area),
            storeys: rooms.clone().map(|rooms| rooms.map(|r| r.storey).collect::<BTreeSet<_>>().len()),
            rooms: rooms.map(Iterator::count),
            people: job.household.as_ref().map(|h| h.people.len()),
            designs: Some(job.designs.len()),
        }
    }
}

impl JobSummary {
    /// Puts a record and the facts of its document together.
    #[must_use]
    pub fn new(record: Record, facts: Facts) -> Self {
        Self {
            id: record.id.to_string(),
            name: record.name,
            revision: record.revision,
            archived: record.archived,
            created_at: record.created_at.to_string(),
            changed_at: record.changed_at.to_string(),
            facts,
        }
    }
}

/// Facts of documents that were read before, by job and revision.
#[derive(Default)]
pub struct KnownFacts(Mutex<BTreeMap<JobId, (u64, Facts)>>);

impl KnownFacts {
    /// The facts of a job at a revision, if they are known.
    pub fn get(&self, id: JobId, revision: u64) -> Option<Facts> {
        let known = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        known.get(&id).filter(|(at, _)| *at == revision).map(|(_, facts)| facts.clone())
    }

    /// Notes the facts of a job at a revision.
    pub fn put(&self, id: JobId, revision: u64, facts: &Facts) {
        self.0.lock().unwrap_or_else(PoisonError::into_inner).insert(id, (revision, facts.clone()));
    }
}
