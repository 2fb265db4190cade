//! How the services of a design stay up, and what happens when something is off.

use std::sync::Arc;

use assessment::{Helpful, Stays};
use axum::extract::State;
use findings::Id;
use network::Design;
use resilience::{Off, Staying, WhatIf};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use units::Seconds;

use super::home::DesignQuery;
use crate::extract::{JobPath, Json, Query};
use crate::problem::{self, Problem};
use crate::state::Shared;
use crate::work::Asked;

/// How the services of a design stay up.
#[derive(Debug, Serialize, JsonSchema)]
pub struct ResilienceAnswer {
    /// The revision that was computed on.
    pub revision: u64,
    /// The design.
    pub design: Arc<Design>,
    /// Services, things that can fail, batteries and outages.
    pub staying: Staying,
    /// Single changes, those that save most minutes of what must stay up per unit of money first.
    pub changes: Vec<Helpful>,
}

/// What happens when things are off.
#[derive(Debug, Serialize, JsonSchema)]
pub struct WhatIfAnswer {
    /// The revision that was computed on.
    pub revision: u64,
    /// The design.
    pub design: Arc<Design>,
    /// Who loses what.
    pub what_if: WhatIf,
}

/// What is off.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct WhatIfQuery {
    /// A kept design of the job by its id, or an option by its hash.
    pub design: String,
    /// Ids of what is off, separated by commas: placed parts, links, lines, circuits, devices, or `mains`.
    pub off: String,
    /// For the mains and circuits: for how many minutes they have been out, so that batteries still carry; for good if
    /// absent.
    pub minutes: Option<f64>,
}

/// `GET /api/jobs/{id}/resilience`.
pub async fn resilience(
    State(app): State<Shared>,
    JobPath(id): JobPath,
    Query(query): Query<DesignQuery>,
) -> Result<Json<ResilienceAnswer>, Problem> {
    let work = app.works.of(id).await?;
    let design = work.design(&query.design).await?;
    let evaluator = work.evaluator().await?;
    let (_asked, stop) = Asked::new();
    let wanted = design.clone();
    let compute = move || evaluator.staying(&wanted, &stop);
    let Stays { staying, changes } = work.run(compute).await?.map_err(|e| Problem::internal(&e))?;
    Ok(Json(ResilienceAnswer { revision: work.record.revision, design, staying, changes }))
}

/// `GET /api/jobs/{id}/what-if`.
pub async fn what_if(
    State(app): State<Shared>,
    JobPath(id): JobPath,
    Query(query): Query<WhatIfQuery>,
) -> Result<Json<WhatIfAnswer>, Problem> {
    let off = query.off()?;
    let work = app.works.of(id).await?;
    let design = work.design(&query.design).await?;
    let evaluator = work.evaluator().await?;
    let (_asked, stop) = Asked::new();
    let wanted = design.clone();
    let compute = move || evaluator.what_if(&wanted, &off, &stop);
    let what_if = work.run(compute).await?.map_err(|e| Problem::internal(&e))?;
    Ok(Json(WhatIfAnswer { revision: work.record.revision, design, what_if }))
}

impl WhatIfQuery {
    /// What is off, as the engine takes it.
    fn off(&self) -> Result<Vec<Off>, Problem> {
        if self.minutes.is_some_and(|m| !(m.is_finite() && m >= 0.0)) {
            return Err(Problem::of_field(problem::REFUSED, "minutes", "give minutes from 0 on"));
        }
        let since = self.minutes.map(|m| Seconds(m * 60.0));
        let names = self.off.split(',').filter(|name| !name.is_empty());
        names
            .map(|name| match name.parse::<Id>() {
                Ok(id) => Ok(Off { id, since }),
                Err(why) => Err(Problem::of_field(problem::REFUSED, "off", why.to_string())),
            })
            .collect()
    }
}
