//! Demo homes.

use axum::extract::State;
use schemars::JsonSchema;
use serde::Serialize;

use super::edits::Who;
use super::jobs::store;
use crate::demos::{DEMOS, Demo, summary};
use crate::extract::{Body, Created, DemoPath, Json};
use crate::problem::Problem;
use crate::state::Shared;
use crate::summary::{Facts, JobSummary};

/// Demo homes.
#[derive(Debug, Serialize, JsonSchema)]
pub struct DemoList {
    /// In the order in which they are shown.
    pub demos: Vec<DemoSummary>,
}

/// A demo home in a few figures.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct DemoSummary {
    /// Id.
    pub id: String,
    /// Name for people.
    pub name: String,
    /// What is special about it.
    pub summary: String,
    /// Country, two letters of ISO 3166-1.
    pub country: String,
    /// Storeys with rooms under a roof.
    pub storeys: Option<usize>,
    /// Rooms under a roof.
    pub rooms: Option<usize>,
    /// Floor area of those.
    pub floor_area_m2: Option<f64>,
}

impl DemoSummary {
    fn of(demo: Demo) -> Result<Self, Problem> {
        let job = demo.job()?;
        let facts = Facts::of(&job);
        Ok(Self {
            id: demo.id.to_owned(),
            summary: summary(&job),
            country: job.site.country,
            name: job.name,
            storeys: facts.storeys,
            rooms: facts.rooms,
            floor_area_m2: facts.floor_area_m2,
        })
    }
}

/// `GET /api/demos`.
pub async fn list(State(app): State<Shared>) -> Result<Json<DemoList>, Problem> {
    // The homes are part of the program, so that they are read once.
    let read = async || app.works.run(|| DEMOS.into_iter().map(DemoSummary::of).collect::<Result<Vec<_>, _>>()).await?;
    let demos = app.demos.get_or_try_init(read).await?.clone();
    Ok(Json(DemoList { demos }))
}

/// `POST /api/demos/{id}`.
pub async fn open(
    State(app): State<Shared>,
    DemoPath(id): DemoPath,
    Body(who): Body<Who>,
) -> Result<Created<JobSummary>, Problem> {
    let demo = Demo::find(&id)?;
    store(&app, demo.job()?, &who.who, &demo.label()).await.map(Created)
}
