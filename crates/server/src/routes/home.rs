//! What is drawn of a home and computed for it.

use std::sync::Arc;

use axum::extract::State;
use network::results::{DesignOption, Plan};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::extract::{JobPath, Json, Query};
use crate::house::House;
use crate::problem::{self, Problem};
use crate::state::Shared;
use crate::work::{Asked, Work};

/// Times that planning is begun again because the job was edited meanwhile.
const ATTEMPTS: usize = 5;

/// `GET /api/jobs/{id}/house`.
pub async fn house(State(app): State<Shared>, JobPath(id): JobPath) -> Result<Json<Arc<House>>, Problem> {
    app.works.of(id).await?.house().await.map(Json)
}

/// Options of a job.
#[derive(Debug, Serialize, JsonSchema)]
pub struct PlanAnswer {
    /// The revision that was planned.
    pub revision: u64,
    /// The options.
    pub plan: Arc<Plan>,
}

/// `GET /api/jobs/{id}/plan`.
pub async fn plan(State(app): State<Shared>, JobPath(id): JobPath) -> Result<Json<PlanAnswer>, Problem> {
    for _ in 1..ATTEMPTS {
        let work = app.works.of(id).await?;
        match work.plan().await {
            Err(problem) if problem.is(problem::SUPERSEDED) => {}
            result => return Ok(Json(PlanAnswer { revision: work.record.revision, plan: result? })),
        }
    }
    let work = app.works.of(id).await?;
    Ok(Json(PlanAnswer { revision: work.record.revision, plan: work.plan().await? }))
}

/// Which design to assess.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct DesignQuery {
    /// A kept design of the job by its id, or an option by its hash.
    pub design: String,
}

/// A design with all that was computed of it.
#[derive(Debug, Serialize, JsonSchema)]
pub struct AssessmentAnswer {
    /// The revision that was computed on.
    pub revision: u64,
    /// The design. A kept one is compared with nothing.
    pub option: DesignOption,
}

/// `GET /api/jobs/{id}/assessment`.
pub async fn assessment(
    State(app): State<Shared>,
    JobPath(id): JobPath,
    Query(query): Query<DesignQuery>,
) -> Result<Json<AssessmentAnswer>, Problem> {
    let work = app.works.of(id).await?;
    let option = assess(&work, &query.design).await?;
    Ok(Json(AssessmentAnswer { revision: work.record.revision, option }))
}

async fn assess(work: &Work, id: &str) -> Result<DesignOption, Problem> {
    let Some(design) = work.job.designs.iter().find(|d| d.id.as_str() == id).cloned() else {
        let plan = work.plan().await?;
        return plan.options.iter().find(|o| o.id.as_str() == id).cloned().ok_or_else(|| crate::work::no_design(id));
    };
    let evaluator = work.evaluator().await?;
    let (_asked, stop) = Asked::new();
    let assess = move || {
        let assessment = evaluator.assess(&design, &stop)?;
        Ok::<_, findings::Cancelled>(DesignOption {
            id: design.id.clone(),
            family: design.family,
            design,
            figures: assessment.figures,
            findings: assessment.findings,
            cautions: assessment.cautions,
            gap: None,
            beats: Vec::new(),
            beaten_by: Vec::new(),
        })
    };
    work.run(assess).await?.map_err(|e| Problem::internal(&e))
}
