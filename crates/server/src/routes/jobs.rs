//! Jobs: list, read, create.

use axum::extract::State;
use axum::http::header::{CONTENT_DISPOSITION, CONTENT_TYPE};
use axum::http::{HeaderValue, StatusCode};
use axum::response::{IntoResponse, Response};
use findings::{Finding, Id};
use job::{Encoding, Job};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use serde_json::Value;
use store::Record;

use crate::describe::{Operation, Output};
use crate::extract::{Body, Created, JobPath, Json, Query, Text};
use crate::problem::Problem;
use crate::state::Shared;
use crate::summary::{Facts, JobSummary};

/// Which jobs to list.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ListQuery {
    /// Those that were put away instead of the others.
    #[serde(default)]
    pub archived: bool,
}

/// Jobs.
#[derive(Debug, Serialize, JsonSchema)]
pub struct JobList {
    /// The newest change first.
    pub jobs: Vec<JobSummary>,
}

/// `GET /api/jobs`.
pub async fn list(State(app): State<Shared>, Query(query): Query<ListQuery>) -> Result<Json<JobList>, Problem> {
    let mut jobs = Vec::new();
    for record in app.store.list(query.archived).await? {
        jobs.push(summary(&app, record).await?);
    }
    Ok(Json(JobList { jobs }))
}

/// The summary of a record; the document is read only if nobody asked at this revision before.
pub async fn summary(app: &Shared, record: Record) -> Result<JobSummary, Problem> {
    let (id, revision) = (record.id, record.revision);
    if let Some(facts) = app.facts.get(id, revision) {
        return Ok(JobSummary::new(record, facts));
    }
    // A document that cannot be read is still a job that can be listed.
    let Ok((newest, job)) = app.store.get(id).await else { return Ok(JobSummary::new(record, Facts::default())) };
    let facts = app.works.run(move || Facts::of(&job)).await?;
    app.facts.put(id, newest.revision, &facts);
    Ok(JobSummary::new(newest, facts))
}

/// A job document to store.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct NewJob {
    /// The document.
    #[schemars(with = "Job")]
    pub document: Value,
    /// Who does this, in free text.
    #[serde(default)]
    #[schemars(length(max = 200))]
    pub who: String,
}

/// `POST /api/jobs`.
pub async fn create(State(app): State<Shared>, Body(new): Body<NewJob>) -> Result<Created<JobSummary>, Problem> {
    store_text(&app, new.document.to_string(), Encoding::Json, new.who, "Created").await.map(Created)
}

/// How a job document is uploaded.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct UploadQuery {
    /// Name of the file; its ending says how it is written. Without one it is guessed from the text.
    #[serde(default)]
    pub name: Option<String>,
    /// Who does this, in free text.
    #[serde(default)]
    #[schemars(length(max = 200))]
    pub who: String,
}

/// `POST /api/jobs/upload`.
pub async fn upload(
    State(app): State<Shared>,
    Query(query): Query<UploadQuery>,
    Text(text): Text,
) -> Result<Created<JobSummary>, Problem> {
    let by_name = query.name.as_deref().and_then(|name| Encoding::of_path(name.as_ref()));
    let encoding = by_name.unwrap_or_else(|| Encoding::guess(&text));
    store_text(&app, text, encoding, query.who, "Uploaded").await.map(Created)
}

/// Reads a document's text and stores it.
async fn store_text(
    app: &Shared,
    text: String,
    encoding: Encoding,
    who: String,
    label: &str,
) -> Result<JobSummary, Problem> {
    let job = app.works.run(move || job::parse(&text, encoding)).await??;
    store(app, job, &who, label).await
}

/// Stores a job.
pub async fn store(app: &Shared, job: Job, who: &str, label: &str) -> Result<JobSummary, Problem> {
    let record = app.store.create(&job, who, label).await?;
    summary(app, record).await
}

/// A job with its document.
#[derive(Debug, Serialize, JsonSchema)]
pub struct JobAnswer {
    /// In a few figures.
    pub job: JobSummary,
    /// The document.
    pub document: Job,
    /// Everything that is wrong with it.
    pub problems: Vec<Finding>,
    /// Whether there is an edit to take back.
    pub can_undo: bool,
    /// Whether there is an edit to make again.
    pub can_redo: bool,
    /// What an undo would take back.
    pub undo_label: Option<String>,
    /// What a redo would make again.
    pub redo_label: Option<String>,
}

/// `GET /api/jobs/{id}`.
pub async fn read(State(app): State<Shared>, JobPath(id): JobPath) -> Result<Json<JobAnswer>, Problem> {
    // Archiving changes no revision, so that the record is always read anew.
    let (record, job) = app.store.get(id).await?;
    let (job, problems, facts) = app
        .works
        .run(move || {
            let (problems, facts) = (job::validate(&job), Facts::of(&job));
            (job, problems, facts)
        })
        .await?;
    Ok(Json(JobAnswer {
        can_undo: record.can_undo(),
        can_redo: record.can_redo(),
        undo_label: record.undo_label.clone(),
        redo_label: record.redo_label.clone(),
        job: JobSummary::new(record, facts),
        document: job,
        problems,
    }))
}

/// A document as TOML.
#[derive(Debug)]
pub struct Toml {
    file_name: String,
    text: String,
}

impl IntoResponse for Toml {
    fn into_response(self) -> Response {
        let disposition = format!("attachment; filename=\"{}\"", self.file_name);
        let disposition = HeaderValue::from_str(&disposition).unwrap_or(HeaderValue::from_static("attachment"));
        let media = HeaderValue::from_static("application/toml");
        ([(CONTENT_TYPE, media), (CONTENT_DISPOSITION, disposition)], self.text).into_response()
    }
}

impl Output for Toml {
    fn describe(operation: &mut Operation<'_>) {
        let schema = serde_json::json!({ "type": "string" });
        operation.answers_content(StatusCode::OK, "the document", "application/toml", schema);
    }
}

/// `GET /api/jobs/{id}/document.toml`.
pub async fn document(State(app): State<Shared>, JobPath(id): JobPath) -> Result<Toml, Problem> {
    let (record, job) = app.store.get(id).await?;
    let text = app.works.run(move || job::print(&job, Encoding::Toml)).await??;
    Ok(Toml { file_name: file_name(&record.name), text })
}

/// A name that every file system takes: letters, digits and dashes.
fn file_name(name: &str) -> String {
    format!("{}.toml", Id::from_label(name).as_str().replace([':', '$'], "-"))
}
