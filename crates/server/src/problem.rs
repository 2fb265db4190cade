//! What the API answers when it cannot do what was asked: problem details of RFC 9457.

use std::fmt::Display;

use assessment::{MapError, NotComputable};
use axum::http::{HeaderValue, StatusCode, header};
use axum::response::{IntoResponse, Response};
use findings::{Finding, Severity};
use job::JobError;
use planner::PlanError;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use store::StoreError;

/// Media type of every refusal.
pub const MEDIA_TYPE: &str = "application/problem+json";

/// Problem details (RFC 9457): why a request was not carried out, and what to do.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Problem {
    /// What kind of problem it is: a name that stays the same.
    #[serde(rename = "type")]
    pub kind: String,
    /// The kind in words.
    pub title: String,
    /// Status of the answer.
    pub status: u16,
    /// What is wrong this time, and what to do.
    pub detail: String,
    /// Each single thing that is wrong, by field.
    pub problems: Vec<FieldProblem>,
    /// With a stale base: the revision that the job has now.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub revision: Option<u64>,
    /// With a model of several dwellings: their names, one of which must be given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub dwellings: Option<Vec<String>>,
    /// With a failure of the program: the number under which its log tells more.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub incident: Option<String>,
}

/// One thing that is wrong.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct FieldProblem {
    /// Where: a field of the request, or a place in the job.
    pub path: String,
    /// What is wrong.
    pub message: String,
    /// What to do.
    pub hint: Option<String>,
}

impl FieldProblem {
    /// A problem of a field.
    pub fn new(path: impl Into<String>, message: impl Into<String>) -> Self {
        Self { path: path.into(), message: message.into(), hint: None }
    }
}

/// The kinds of problem: status, name, title.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Kind(pub StatusCode, &'static str, &'static str);

/// The request itself cannot be read.
pub const UNREADABLE: Kind = Kind(StatusCode::BAD_REQUEST, "unreadable", "The request cannot be read");
/// The request does not come from this server's own page.
pub const FOREIGN: Kind = Kind(StatusCode::FORBIDDEN, "foreign-origin", "The request comes from another page");
/// There is nothing at this address.
pub const MISSING: Kind = Kind(StatusCode::NOT_FOUND, "missing", "There is no such thing");
/// The address is there but not for this method.
pub const METHOD: Kind = Kind(StatusCode::METHOD_NOT_ALLOWED, "method", "The method is not for this address");
/// Somebody else changed the job.
pub const STALE: Kind = Kind(StatusCode::CONFLICT, "stale", "The job has changed in between");
/// The job was edited while something was computed for it.
pub const SUPERSEDED: Kind = Kind(StatusCode::CONFLICT, "superseded", "The job has changed in between");
/// There is nothing to undo or redo.
pub const NOTHING: Kind = Kind(StatusCode::CONFLICT, "nothing-to-do", "There is nothing to take back or make again");
/// The body is over its limit.
pub const TOO_LARGE: Kind = Kind(StatusCode::PAYLOAD_TOO_LARGE, "too-large", "The request is too large");
/// The body is of another media type.
pub const MEDIA: Kind = Kind(StatusCode::UNSUPPORTED_MEDIA_TYPE, "media-type", "The body is of the wrong media type");
/// The request is for another server.
pub const MISDIRECTED: Kind =
    Kind(StatusCode::MISDIRECTED_REQUEST, "foreign-host", "The request is for another server");
/// The request can be read but not carried out.
pub const REFUSED: Kind = Kind(StatusCode::UNPROCESSABLE_ENTITY, "refused", "The request cannot be carried out");
/// The job cannot be computed on.
pub const NOT_COMPUTABLE: Kind =
    Kind(StatusCode::UNPROCESSABLE_ENTITY, "not-computable", "The job cannot be computed on");
/// The program failed.
pub const INTERNAL: Kind = Kind(StatusCode::INTERNAL_SERVER_ERROR, "internal", "The program failed");
/// More is being computed than the machine can do.
pub const BUSY: Kind = Kind(StatusCode::SERVICE_UNAVAILABLE, "busy", "The program is busy");

impl Kind {
    /// The kind in words.
    pub const fn title(self) -> &'static str {
        self.2
    }
}

impl Problem {
    /// A problem of a kind.
    pub fn new(kind: Kind, detail: impl Into<String>) -> Self {
        Self {
            kind: format!("urn:wallplate:problem:{}", kind.1),
            title: kind.2.to_owned(),
            status: kind.0.as_u16(),
            detail: detail.into(),
            problems: Vec::new(),
            revision: None,
            dwellings: None,
            incident: None,
        }
    }

    /// Whether it is of a kind.
    pub fn is(&self, kind: Kind) -> bool {
        self.status == kind.0.as_u16() && self.kind.ends_with(kind.1)
    }

    /// Adds what is wrong with a field.
    pub fn field(mut self, problem: FieldProblem) -> Self {
        self.problems.push(problem);
        self
    }

    /// A field that is wrong, said as the detail as well.
    pub fn of_field(kind: Kind, path: impl Into<String>, message: impl Into<String>) -> Self {
        let field = FieldProblem::new(path, message);
        let detail = match field.path.as_str() {
            "" => field.message.clone(),
            path => format!("{path}: {}", field.message),
        };
        Self::new(kind, detail).field(field)
    }

    /// A failure of the program: the cause goes to the log under an incident number, and the number to the caller.
    pub fn internal(cause: &dyn Display) -> Self {
        let incident = incident();
        tracing::error!(%incident, "{cause}");
        let detail = format!(
            "The program failed. Nothing that was acknowledged is lost. Its log tells more under incident {incident}."
        );
        Self { incident: Some(incident), ..Self::new(INTERNAL, detail) }
    }

    /// Findings that keep a job from being computed on.
    pub fn of_findings(findings: &[Finding]) -> Self {
        let failing: Vec<&Finding> = findings.iter().filter(|f| f.severity <= Severity::Fails).collect();
        let detail = match failing.first() {
            Some(first) if failing.len() == 1 => first.message.clone(),
            Some(first) => format!("{} (and {} more)", first.message, failing.len() - 1),
            None => "The job cannot be computed on.".to_owned(),
        };
        let problems = failing.into_iter().map(|finding| FieldProblem {
            path: finding.subjects.first().map_or_else(|| finding.rule.clone(), ToString::to_string),
            message: format!("{} [{}]", finding.message, finding.rule),
            hint: finding.remedies.first().map(|r| r.text.clone()),
        });
        Self { problems: problems.collect(), ..Self::new(NOT_COMPUTABLE, detail) }
    }
}

/// A number to find a failure in the log by: the time in microseconds, in base 36.
fn incident() -> String {
    let since = std::time::SystemTime::now().duration_since(std::time::UNIX_EPOCH).unwrap_or_default();
    let mut left = u64::try_from(since.as_micros()).unwrap_or_default();
    let mut digits = Vec::new();
    while left > 0 || digits.is_empty() {
        digits.push(char::from_digit(u32::try_from(left % 36).unwrap_or_default(), 36).unwrap_or('0'));
        left /= 36;
    }
    digits.iter().rev().collect()
}

impl IntoResponse for Problem {
    fn into_response(self) -> Response {
        let status = StatusCode::from_u16(self.status).unwrap_or(StatusCode::INTERNAL_SERVER_ERROR);
        // A problem holds texts and numbers only, so that it can always be written.
        let body = serde_json::to_vec(&self).unwrap_or_default();
        (status, [(header::CONTENT_TYPE, HeaderValue::from_static(MEDIA_TYPE))], body).into_response()
    }
}

impl From<StoreError> for Problem {
    fn from(error: StoreError) -> Self {
        match error {
            StoreError::Missing { .. } => Self::new(MISSING, error.to_string()),
            StoreError::Stale { revision } => Self {
                revision: Some(revision),
                ..Self::new(
                    STALE,
                    format!("The job is at revision {revision} by now; read it again and make the change on that."),
                )
            },
            StoreError::Refused(refused) => Self::of_field(REFUSED, refused.path, refused.problem),
            StoreError::Invalid { field, problem } => Self::of_field(REFUSED, field, problem),
            StoreError::NothingToUndo | StoreError::NothingToRedo => Self::new(NOTHING, error.to_string()),
            // The path of the database is for the log only.
            StoreError::Unreadable { id, source, .. } => {
                Self::new(REFUSED, format!("The document of job {id} cannot be read and was left as it is: {source}"))
                    .field(FieldProblem::new(source.path.clone(), source.problem))
            }
            StoreError::DiskFull { .. } => Self {
                detail: "There is no room left on the disk; nothing was changed. Make room and try again.".into(),
                ..Self::internal(&error)
            },
            other => Self::internal(&other),
        }
    }
}

impl From<JobError> for Problem {
    fn from(error: JobError) -> Self {
        let place = error.line.map(|line| format!("line {line}, column {}", error.column.unwrap_or(1)));
        let path = if error.path.is_empty() { place.unwrap_or_default() } else { error.path.clone() };
        Self::new(REFUSED, error.to_string()).field(FieldProblem::new(path, error.problem))
    }
}

impl From<NotComputable> for Problem {
    fn from(error: NotComputable) -> Self {
        let mut problem = Self::of_findings(&error.findings);
        if let Some(first) = error.reasons.first() {
            problem.detail.clone_from(first);
        }
        problem.problems.extend(error.reasons.into_iter().map(|reason| FieldProblem::new("", reason)));
        problem
    }
}

impl From<PlanError> for Problem {
    fn from(error: PlanError) -> Self {
        match error {
            PlanError::NotComputable(error) => error.into(),
            PlanError::Cancelled => Self::new(BUSY, "The work was cancelled; ask again."),
            other => Self::new(NOT_COMPUTABLE, other.to_string()).field(FieldProblem::new("", other.to_string())),
        }
    }
}

impl From<MapError> for Problem {
    fn from(error: MapError) -> Self {
        match error {
            MapError::NoStorey { .. } => Self::of_field(MISSING, "storey", error.to_string()),
            MapError::Cancelled => Self::new(BUSY, "The work was cancelled; ask again."),
            MapError::Grid(_) => Self::new(NOT_COMPUTABLE, error.to_string()),
        }
    }
}
