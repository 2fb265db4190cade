//! Changes of a job: edits, undo and redo, its history, copies, putting away.

use axum::extract::State;
use findings::Edit;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use store::{Entry, EntryKind, Head, JobId, StoreError};

use super::jobs::summary;
use crate::extract::{Body, Created, JobPath, Json};
use crate::problem::Problem;
use crate::state::Shared;
use crate::summary::JobSummary;

/// Edits to make, all or none.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Edits {
    /// The revision that they were made on.
    pub base_revision: u64,
    /// What they do, in a few words.
    #[schemars(length(min = 1, max = 200))]
    pub label: String,
    /// Who makes them, in free text.
    #[serde(default)]
    #[schemars(length(max = 200))]
    pub who: String,
    /// The edits, in order.
    pub edits: Vec<Edit>,
}

/// Where a job stands after a change that is on disk.
#[derive(Debug, PartialEq, Serialize, JsonSchema)]
pub struct HeadAnswer {
    /// The revision, to be named as the base of the next edit.
    pub revision: u64,
    /// Whether there is an edit to take back.
    pub can_undo: bool,
    /// Whether there is an edit to make again.
    pub can_redo: bool,
    /// What an undo would take back.
    pub undo_label: Option<String>,
    /// What a redo would make again.
    pub redo_label: Option<String>,
}

impl From<Head> for HeadAnswer {
    fn from(head: Head) -> Self {
        Self {
            revision: head.revision,
            can_undo: head.undo_label.is_some(),
            can_redo: head.redo_label.is_some(),
            undo_label: head.undo_label,
            redo_label: head.redo_label,
        }
    }
}

/// Makes a change and tells everybody of it. Both are done even if the page that asked goes away in between: what is
/// computed for the revision before must not be kept.
async fn change(
    app: Shared,
    id: JobId,
    made: impl Future<Output = Result<Head, StoreError>> + Send + 'static,
) -> Result<Json<HeadAnswer>, Problem> {
    let whole = tokio::spawn(async move {
        let head = made.await?;
        app.changed(id, head.revision);
        Ok::<_, StoreError>(head)
    });
    let head = whole.await.map_err(|error| Problem::internal(&error))??;
    Ok(Json(head.into()))
}

/// `POST /api/jobs/{id}/edits`.
pub async fn edit(
    State(app): State<Shared>,
    JobPath(id): JobPath,
    Body(new): Body<Edits>,
) -> Result<Json<HeadAnswer>, Problem> {
    let store = app.store.clone();
    let made = async move { store.edit(id, new.base_revision, &new.who, &new.label, &new.edits).await };
    change(app, id, made).await
}

/// What an undo or redo is made on.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Base {
    /// The revision that it is made on.
    pub base_revision: u64,
    /// Who makes it, in free text.
    #[serde(default)]
    #[schemars(length(max = 200))]
    pub who: String,
}

/// `POST /api/jobs/{id}/undo`.
pub async fn undo(
    State(app): State<Shared>,
    JobPath(id): JobPath,
    Body(base): Body<Base>,
) -> Result<Json<HeadAnswer>, Problem> {
    let store = app.store.clone();
    change(app, id, async move { store.undo(id, base.base_revision, &base.who).await }).await
}

/// `POST /api/jobs/{id}/redo`.
pub async fn redo(
    State(app): State<Shared>,
    JobPath(id): JobPath,
    Body(base): Body<Base>,
) -> Result<Json<HeadAnswer>, Problem> {
    let store = app.store.clone();
    change(app, id, async move { store.redo(id, base.base_revision, &base.who).await }).await
}

/// Everything that was done to a job.
#[derive(Debug, Serialize, JsonSchema)]
pub struct History {
    /// The newest first.
    pub entries: Vec<HistoryEntry>,
}

/// One thing that was done to a job.
#[derive(Debug, Serialize, JsonSchema)]
pub struct HistoryEntry {
    /// Its place, from 1.
    pub seq: u64,
    /// The job's revision after it.
    pub revision: u64,
    /// When (RFC 3339).
    #[schemars(extend("format" = "date-time"))]
    pub at: String,
    /// Who, as they said; may be empty.
    pub who: String,
    /// What it did.
    pub label: String,
    /// What kind it is.
    pub kind: HistoryKind,
    /// Whether it is an edit that the document no longer shows.
    pub undone: bool,
}

/// A kind of entry.
#[derive(Debug, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum HistoryKind {
    /// Edits were made, or the job itself.
    Edit,
    /// An edit was taken back.
    Undo,
    /// An edit that had been taken back was made again.
    Redo,
}

impl From<Entry> for HistoryEntry {
    fn from(entry: Entry) -> Self {
        Self {
            seq: entry.seq,
            revision: entry.revision,
            at: entry.at.to_string(),
            who: entry.who,
            label: entry.label,
            kind: match entry.kind {
                EntryKind::Edit => HistoryKind::Edit,
                EntryKind::Undo => HistoryKind::Undo,
                EntryKind::Redo => HistoryKind::Redo,
            },
            undone: entry.undone,
        }
    }
}

/// `GET /api/jobs/{id}/history`.
pub async fn history(State(app): State<Shared>, JobPath(id): JobPath) -> Result<Json<History>, Problem> {
    let entries = app.store.history(id).await?;
    Ok(Json(History { entries: entries.into_iter().rev().map(HistoryEntry::from).collect() }))
}

/// Who does something.
#[derive(Debug, Default, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Who {
    /// In free text.
    #[serde(default)]
    #[schemars(length(max = 200))]
    pub who: String,
}

/// `POST /api/jobs/{id}/duplicate`.
pub async fn duplicate(
    State(app): State<Shared>,
    JobPath(id): JobPath,
    Body(who): Body<Who>,
) -> Result<Created<JobSummary>, Problem> {
    let (record, _) = app.store.get(id).await?;
    let copy = app.store.duplicate(id, &copy_name(&record.name), &who.who).await?;
    summary(&app, copy).await.map(Created)
}

/// A name for a copy that is not longer than names may be.
fn copy_name(name: &str) -> String {
    const MARK: &str = " (copy)";
    let room = store::MAX_TEXT.saturating_sub(MARK.len());
    format!("{}{MARK}", name.chars().take(room).collect::<String>())
}

/// Whether a job is put away.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Archive {
    /// Put away, or taken back.
    pub archived: bool,
    /// Who does it, in free text.
    #[serde(default)]
    #[schemars(length(max = 200))]
    pub who: String,
}

/// `POST /api/jobs/{id}/archive`.
pub async fn archive(
    State(app): State<Shared>,
    JobPath(id): JobPath,
    Body(new): Body<Archive>,
) -> Result<Json<JobSummary>, Problem> {
    let record = app.store.set_archived(id, new.archived, &new.who).await?;
    summary(&app, record).await.map(Json)
}
