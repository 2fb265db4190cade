//! How a design is built and what that costs.

use std::sync::Arc;

use assessment::Wired;
use axum::extract::State;
use cabling::WireSheet;
use cost::{Choice, Quote, three_of};
use equipment::Terms;
use network::Design;
use network::results::Caution;
use network::wiring::Wiring;
use schemars::JsonSchema;
use serde::Serialize;

use super::home::DesignQuery;
use crate::extract::{JobPath, Json, Query};
use crate::problem::Problem;
use crate::state::Shared;

/// How the cables of a design run, and what they bear.
#[derive(Debug, Serialize, JsonSchema)]
pub struct CablingAnswer {
    /// The revision that was computed on.
    pub revision: u64,
    /// The design.
    pub design: Arc<Design>,
    /// How fixed cables run.
    pub wiring: Wiring,
    /// What each cable, port, supply, bundle and panel bears.
    pub wires: WireSheet,
}

/// What a design takes to build, and what that costs.
#[derive(Debug, Serialize, JsonSchema)]
pub struct CostAnswer {
    /// The revision that was computed on.
    pub revision: u64,
    /// The design.
    pub design: Arc<Design>,
    /// Take-off, work and price.
    pub quote: Quote,
    /// What the work needs care with.
    pub cautions: Vec<Caution>,
    /// What is added to parts and hours.
    pub terms: Terms,
}

/// Up to three offers of rising price.
#[derive(Debug, Serialize, JsonSchema)]
pub struct OfferAnswer {
    /// The revision that was computed on.
    pub revision: u64,
    /// The offers, cheapest first.
    pub steps: Vec<Choice>,
}

/// `GET /api/jobs/{id}/cabling`.
pub async fn cabling(
    State(app): State<Shared>,
    JobPath(id): JobPath,
    Query(query): Query<DesignQuery>,
) -> Result<Json<CablingAnswer>, Problem> {
    let work = app.works.of(id).await?;
    let design = work.design(&query.design).await?;
    let evaluator = work.evaluator().await?;
    let wanted = design.clone();
    let Wired { wiring, wires, .. } = work.run(move || evaluator.wired(&wanted)).await?;
    Ok(Json(CablingAnswer { revision: work.record.revision, design, wiring, wires }))
}

/// `GET /api/jobs/{id}/cost`.
pub async fn cost(
    State(app): State<Shared>,
    JobPath(id): JobPath,
    Query(query): Query<DesignQuery>,
) -> Result<Json<CostAnswer>, Problem> {
    let work = app.works.of(id).await?;
    let design = work.design(&query.design).await?;
    let evaluator = work.evaluator().await?;
    let terms = evaluator.home().terms.clone();
    let wanted = design.clone();
    let (quote, cautions) = work.run(move || evaluator.quote(&wanted)).await?;
    Ok(Json(CostAnswer { revision: work.record.revision, design, quote, cautions, terms }))
}

/// `GET /api/jobs/{id}/offer`.
pub async fn offer(State(app): State<Shared>, JobPath(id): JobPath) -> Result<Json<OfferAnswer>, Problem> {
    let work = app.works.of(id).await?;
    let plan = work.plan().await?;
    Ok(Json(OfferAnswer { revision: work.record.revision, steps: three_of(&plan.options) }))
}
