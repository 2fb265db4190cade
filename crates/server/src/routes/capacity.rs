//! What a design carries in the busy hour.

use std::sync::Arc;

use assessment::{Capacity, RadioPlan};
use axum::extract::State;
use network::Design;
use schemars::JsonSchema;
use serde::Serialize;
use traffic::hour::BusyHour;

use super::home::DesignQuery;
use crate::extract::{JobPath, Json, Query};
use crate::problem::Problem;
use crate::state::Shared;
use crate::work::Asked;

/// What a design carries.
#[derive(Debug, Serialize, JsonSchema)]
pub struct CapacityAnswer {
    /// The revision that was computed on.
    pub revision: u64,
    /// The design.
    pub design: Arc<Design>,
    /// The busy hour.
    pub capacity: BusyHour,
    /// What its radios are set to, and where they go when radar is heard.
    pub radio_plan: RadioPlan,
    /// Which access point each wireless device joins.
    pub joins: Vec<assessment::Join>,
    /// Small things beside Wi-Fi.
    pub things: Vec<assessment::ThingLink>,
}

/// `GET /api/jobs/{id}/capacity`.
pub async fn capacity(
    State(app): State<Shared>,
    JobPath(id): JobPath,
    Query(query): Query<DesignQuery>,
) -> Result<Json<CapacityAnswer>, Problem> {
    let work = app.works.of(id).await?;
    let design = work.design(&query.design).await?;
    let evaluator = work.evaluator().await?;
    let (_asked, stop) = Asked::new();
    let wanted = design.clone();
    let compute = move || evaluator.capacity(&wanted, &stop);
    let Capacity { hour, radio_plan, joins, things } = work.run(compute).await?.map_err(|e| Problem::internal(&e))?;
    Ok(Json(CapacityAnswer { revision: work.record.revision, design, capacity: hour, radio_plan, joins, things }))
}
