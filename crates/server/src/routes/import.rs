//! An architect's model, sent as a form, becomes a job with a report of how it was read.

use axum::extract::multipart::{Field, MultipartError};
use axum::extract::{FromRequest, Multipart, Request, State};
use axum::http::StatusCode;
use findings::NoProgress;
use ifc::{Dwelling, Entry, ImportError, Options, Origin};
use job::Job;
use schemars::JsonSchema;
use serde::Serialize;
use serde_json::json;
use site::Site;
use units::Date;

use super::jobs::store;
use crate::describe::{Input, Operation};
use crate::extract::{Created, expect_length, expect_media, too_large};
use crate::problem::{self, FieldProblem, Problem};
use crate::state::Shared;
use crate::summary::JobSummary;

/// Most that both files of an import may have together [bytes]. A model of a house is under 30 MB.
pub const MAX_IMPORT: usize = 64 << 20;
/// Most that a text field may have [bytes].
const MAX_FIELD: usize = 200;
/// The country of a home where none is given.
const COUNTRY: &str = "US";

/// A form with a model.
#[derive(Debug, Default)]
pub struct Form {
    architecture: Option<Model>,
    electrical: Option<Model>,
    dwelling: Option<String>,
    country: Option<String>,
    who: String,
}

/// A file of a form.
#[derive(Debug)]
struct Model {
    name: String,
    bytes: Vec<u8>,
}

impl<S: Send + Sync> FromRequest<S> for Form {
    type Rejection = Problem;
    async fn from_request(request: Request, state: &S) -> Result<Self, Problem> {
        expect_media(request.headers(), "multipart/form-data")?;
        let limit = expect_length(&request)?;
        let unreadable = |error: MultipartError| broken(&error, limit);
        let no_parts = |_| Problem::new(problem::UNREADABLE, "The form states no boundary between its parts.");
        let mut parts = Multipart::from_request(request, state).await.map_err(no_parts)?;
        let mut form = Self::default();
        while let Some(field) = parts.next_field().await.map_err(unreadable)? {
            let name = field.name().unwrap_or_default().to_owned();
            match name.as_str() {
                "architecture" => form.architecture = Some(file(field).await.map_err(unreadable)?),
                "electrical" => {
                    // A form sends the field of a file that was not chosen, without a name and empty.
                    let file = file(field).await.map_err(unreadable)?;
                    form.electrical = (!file.bytes.is_empty()).then_some(file);
                }
                "dwelling" => form.dwelling = Some(text(field, limit).await?).filter(|t| !t.is_empty()),
                "country" => form.country = Some(text(field, limit).await?).filter(|t| !t.is_empty()),
                "who" => form.who = text(field, limit).await?,
                other => {
                    let other: String = other.chars().take(80).collect();
                    let known = "architecture, electrical, dwelling, country, who";
                    let message = format!("the form has no such field; it has {known}");
                    return Err(Problem::of_field(problem::UNREADABLE, other, message));
                }
            }
        }
        Ok(form)
    }
}

async fn file(field: Field<'_>) -> Result<Model, MultipartError> {
    // Some browsers once sent whole paths; only the last part is a name.
    let name = field.file_name().unwrap_or_default();
    let name = name.rsplit(['/', '\\']).next().unwrap_or_default();
    let name: String = name.chars().filter(|c| !c.is_control()).take(120).collect();
    Ok(Model { name: if name.is_empty() { "model.ifc".to_owned() } else { name }, bytes: field.bytes().await?.into() })
}

async fn text(field: Field<'_>, limit: usize) -> Result<String, Problem> {
    let name = field.name().unwrap_or_default().to_owned();
    let text = field.text().await.map_err(|error| broken(&error, limit))?;
    if text.len() > MAX_FIELD {
        return Err(Problem::of_field(problem::REFUSED, name, format!("is longer than {MAX_FIELD} bytes")));
    }
    Ok(text.trim().to_owned())
}

fn broken(error: &MultipartError, limit: usize) -> Problem {
    if error.status() == StatusCode::PAYLOAD_TOO_LARGE {
        too_large(limit)
    } else {
        Problem::new(problem::UNREADABLE, "The form cannot be read; it broke off or its parts are not parted well.")
    }
}

impl Input for Form {
    fn describe(operation: &mut Operation<'_>) {
        let file = json!({ "type": "string", "contentMediaType": "application/octet-stream" });
        let text = |description: &str| json!({ "type": "string", "description": description, "maxLength": MAX_FIELD });
        let schema = json!({
            "type": "object",
            "required": ["architecture"],
            "additionalProperties": false,
            "properties": {
                "architecture": file,
                "electrical": file,
                "dwelling": text("The dwelling to take, where the model holds several."),
                "country": text("Country of the home, two letters of ISO 3166-1; US if absent."),
                "who": text("Who does this, in free text."),
            },
        });
        operation.body(&[("multipart/form-data", schema)]);
        for kind in [problem::UNREADABLE, problem::TOO_LARGE, problem::MEDIA, problem::REFUSED] {
            operation.refuses(kind);
        }
    }
}

/// An imported job.
#[derive(Debug, Serialize, JsonSchema)]
pub struct Imported {
    /// The job.
    pub job: JobSummary,
    /// How the model was read.
    pub report: ImportReport,
}

/// How a model was read, in sentences.
#[derive(Debug, Serialize, JsonSchema)]
pub struct ImportReport {
    /// Taken as the model states it.
    pub understood: Vec<String>,
    /// Taken by a rule, which is stated.
    pub guessed: Vec<String>,
    /// Not taken, and why.
    pub left_out: Vec<String>,
    /// Added, since nobody was asked.
    pub assumed: Vec<String>,
}

/// `POST /api/jobs/import`.
pub async fn import(State(app): State<Shared>, form: Form) -> Result<Created<Imported>, Problem> {
    let today = app.today()?;
    let who = form.who.clone();
    let (job, report) = app.works.run_long(move || read(&form, today)).await??;
    let job = store(&app, job, &who, "Imported").await?;
    Ok(Created(Imported { job, report }))
}

fn read(form: &Form, today: Date) -> Result<(Job, ImportReport), Problem> {
    let missing = || Problem::of_field(problem::REFUSED, "architecture", "the form has no model; choose an .ifc file");
    let architecture = form.architecture.as_ref().ok_or_else(missing)?;
    let country = form.country.as_deref().unwrap_or(COUNTRY).to_ascii_uppercase();
    if site::country_name(&country).is_none() {
        let message = "is no country code of ISO 3166-1; give two letters, such as US, CA, GB, DE, FR or JP";
        return Err(Problem::of_field(problem::REFUSED, "country", message));
    }
    let options = Options { dwelling: form.dwelling.clone(), ..Options::default() };
    let electrical = form.electrical.as_ref();
    let read = ifc::read(&architecture.bytes, electrical.map(|m| m.bytes.as_slice()), &options, &NoProgress);
    let model = read.map_err(|error| not_read(&error))?;
    let origin = Origin {
        architecture: &architecture.name,
        electrical: electrical.map(|m| m.name.as_str()),
        dwelling: form.dwelling.as_deref(),
    };
    let (job, assumed) = model.to_job(origin, Site::default_for(&country, today));
    let failing: Vec<_> = job::validate(&job).into_iter().filter(|f| f.severity <= findings::Severity::Fails).collect();
    if !failing.is_empty() {
        let problem = Problem::of_findings(&failing);
        let detail = format!("The model was read, but its home cannot be computed on: {}", problem.detail);
        return Err(Problem { detail, ..problem });
    }
    let sentences = |entries: &[Entry]| entries.iter().map(Entry::sentence).collect();
    let report = ImportReport {
        understood: sentences(&model.report.understood),
        guessed: sentences(&model.report.guessed),
        left_out: sentences(&model.report.left_out),
        assumed,
    };
    Ok((job, report))
}

/// How a dwelling is called in a request: its label, or its number where it has none.
fn name(dwelling: &Dwelling) -> String {
    dwelling.label.clone().unwrap_or_else(|| dwelling.number.to_string())
}

fn not_read(error: &ImportError) -> Problem {
    let names = |dwellings: &[Dwelling]| Some(dwellings.iter().map(name).collect());
    let of = |field: &str| Problem::of_field(problem::REFUSED, field, error.to_string());
    match error {
        ImportError::ChooseDwelling(dwellings) | ImportError::UnknownDwelling { dwellings, .. } => {
            Problem { dwellings: names(dwellings), ..of("dwelling") }
        }
        ImportError::Electrical(_) => of("electrical"),
        _ => Problem::new(problem::REFUSED, error.to_string())
            .field(FieldProblem::new("architecture", error.to_string())),
    }
}
