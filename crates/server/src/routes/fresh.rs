//! A home of one's own from eight answers: looked at first, then stored.

use axum::extract::State;
use job::fresh::{self, Made, NewHome};
use schemars::JsonSchema;
use serde::Serialize;
use units::Date;

use super::jobs::store;
use crate::extract::{Body, Created, Json};
use crate::house::{self, House};
use crate::problem::{self, FieldProblem, Problem};
use crate::state::Shared;
use crate::summary::JobSummary;

/// A home that was made and stored.
#[derive(Debug, Serialize, JsonSchema)]
pub struct NewHomeAnswer {
    /// The job.
    pub job: JobSummary,
    /// What was assumed.
    pub notes: Vec<String>,
}

/// `POST /api/jobs/new`.
pub async fn create(State(app): State<Shared>, Body(home): Body<NewHome>) -> Result<Created<NewHomeAnswer>, Problem> {
    let today = app.today()?;
    let Made { job, notes } = app.works.run(move || make(&home, today)).await??;
    let job = store(&app, job, "", "New home").await?;
    Ok(Created(NewHomeAnswer { job, notes }))
}

/// A home that was made and not stored.
#[derive(Debug, Serialize, JsonSchema)]
pub struct SketchAnswer {
    /// As drawn.
    pub house: House,
    /// What was assumed.
    pub notes: Vec<String>,
}

/// `POST /api/sketch`.
pub async fn sketch(State(app): State<Shared>, Body(home): Body<NewHome>) -> Result<Json<SketchAnswer>, Problem> {
    let today = app.today()?;
    let draw = move || {
        let Made { job, notes } = make(&home, today)?;
        let house = house::draw(&job, 0).map_err(|findings| Problem::of_findings(&findings))?;
        Ok::<_, Problem>(SketchAnswer { house, notes })
    };
    app.works.run(draw).await?.map(Json)
}

fn make(home: &NewHome, today: Date) -> Result<Made, Problem> {
    fresh::make(home, today).map_err(|problems| {
        let detail = match problems.as_slice() {
            [one] => format!("{}; {}", one.message, one.hint),
            several => format!("{} of the answers cannot be.", several.len()),
        };
        let problems = problems
            .into_iter()
            .map(|p| FieldProblem { path: p.path, message: p.message, hint: Some(p.hint) })
            .collect();
        Problem { problems, ..Problem::new(problem::REFUSED, detail) }
    })
}
