//! The open line to a page: long work with its progress, cancelling, and news of changes.
//!
//! Each request of a page runs by itself, under a number that the page gives it and uses once, and ends when the page
//! cancels it or goes away.

use std::collections::BTreeMap;
use std::sync::Arc;

use assessment::Quantity;
use axum::extract::ws::{Message, WebSocket, WebSocketUpgrade};
use axum::extract::{FromRequestParts, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use findings::{Cancelled, Id, Progress};
use network::results::Plan;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use serde_json::json;
use store::JobId;
use tokio::sync::broadcast::error::RecvError;
use tokio::sync::mpsc;
use tokio::task::AbortHandle;

use crate::describe::{Input, Operation, Output};
use crate::extract::JobPath;
use crate::problem::{self, Problem};
use crate::routes::coverage::{MapAnswer, MapBand, MapQuery, make_map};
use crate::state::Shared;
use crate::work::{Asked, Stop};

/// Longest message of a page [bytes].
const MAX_MESSAGE: usize = 16 << 10;
/// Requests of one page that run at once.
const MAX_RUNNING: usize = 16;
/// Messages that wait for a slow page; progress beyond that is left out.
const BACKLOG: usize = 64;

/// What a page sends over the WebSocket. `request` is a number of its own choice.
#[derive(Clone, Debug, Deserialize, JsonSchema)]
#[serde(tag = "type", rename_all = "kebab-case", deny_unknown_fields)]
pub enum LiveRequest {
    /// Plan the job.
    Plan {
        /// Number of the request.
        request: u64,
    },
    /// Make a map.
    Map {
        /// Number of the request.
        request: u64,
        /// A kept design of the job by its id, or an option by its hash.
        design: String,
        /// The storey.
        storey: Id,
        /// The band.
        #[serde(default)]
        band: MapBand,
        /// What to show.
        quantity: Quantity,
    },
    /// End a request.
    Cancel {
        /// Number of the request.
        request: u64,
    },
}

/// What the server sends over the WebSocket.
#[derive(Clone, Debug, Serialize, JsonSchema)]
#[serde(tag = "type", rename_all = "kebab-case")]
pub enum LiveAnswer {
    /// How far a request has come.
    Progress {
        /// Number of the request.
        request: u64,
        /// What is being done.
        step: String,
        /// Steps of it that are finished.
        done: u64,
        /// All its steps.
        total: u64,
    },
    /// The plan.
    Plan {
        /// Number of the request.
        request: u64,
        /// The revision that was planned.
        revision: u64,
        /// The options.
        plan: Arc<Plan>,
    },
    /// The map.
    Map {
        /// Number of the request.
        request: u64,
        /// The map.
        map: MapAnswer,
    },
    /// The request was not carried out.
    Failed {
        /// Number of the request; null if the message could not be read.
        request: Option<u64>,
        /// Why.
        problem: Problem,
    },
    /// The request was ended as asked.
    Cancelled {
        /// Number of the request.
        request: u64,
    },
    /// Somebody changed the job, this page included.
    Changed {
        /// Its revision now.
        revision: u64,
    },
}

/// The wish to open a WebSocket.
pub struct Upgrade(WebSocketUpgrade);

impl<S: Send + Sync> FromRequestParts<S> for Upgrade {
    type Rejection = Problem;
    async fn from_request_parts(parts: &mut axum::http::request::Parts, state: &S) -> Result<Self, Problem> {
        WebSocketUpgrade::from_request_parts(parts, state).await.map(Self).map_err(|rejection| {
            Problem::new(problem::UNREADABLE, format!("This address is a WebSocket: {}", rejection.body_text()))
        })
    }
}

impl Input for Upgrade {
    fn describe(operation: &mut Operation<'_>) {
        operation.refuses(problem::UNREADABLE);
        operation.refuses(problem::FOREIGN);
    }
}

/// An opened WebSocket.
pub struct Opened(Response);

impl IntoResponse for Opened {
    fn into_response(self) -> Response {
        self.0
    }
}

impl Output for Opened {
    fn describe(operation: &mut Operation<'_>) {
        let text =
            "the WebSocket is open: the page sends `LiveRequest` and the server `LiveAnswer`, one JSON value a message";
        operation.answers_nothing(StatusCode::SWITCHING_PROTOCOLS, text);
    }
}

/// `GET /api/jobs/{id}/live`.
pub async fn live(
    State(app): State<Shared>,
    JobPath(id): JobPath,
    Upgrade(upgrade): Upgrade,
) -> Result<Opened, Problem> {
    app.works.of(id).await?;
    let upgrade = upgrade.max_message_size(MAX_MESSAGE).max_frame_size(MAX_MESSAGE);
    Ok(Opened(upgrade.on_upgrade(move |socket| Line::new(app, id).serve(socket))))
}

/// One page's line.
struct Line {
    app: Shared,
    id: JobId,
    answers: mpsc::Sender<LiveAnswer>,
    waiting: mpsc::Receiver<LiveAnswer>,
    running: BTreeMap<u64, AbortHandle>,
}

impl Drop for Line {
    fn drop(&mut self) {
        self.running.values().for_each(AbortHandle::abort);
    }
}

impl Line {
    fn new(app: Shared, id: JobId) -> Self {
        let (answers, waiting) = mpsc::channel(BACKLOG);
        Self { app, id, answers, waiting, running: BTreeMap::new() }
    }

    /// Serves until either side ends the line.
    async fn serve(mut self, mut socket: WebSocket) {
        let mut changes = self.app.changes.subscribe();
        let app = self.app.clone();
        let end = app.wait_for_end();
        tokio::pin!(end);
        loop {
            let answer = tokio::select! {
                message = socket.recv() => match message {
                    Some(Ok(Message::Text(text))) => self.take(text.as_str()),
                    Some(Ok(Message::Binary(_))) => Some(unreadable("messages are text, one JSON value each")),
                    Some(Ok(Message::Ping(_) | Message::Pong(_))) => None,
                    Some(Ok(Message::Close(_)) | Err(_)) | None => return,
                },
                answer = self.waiting.recv() => answer.filter(|answer| self.is_wanted(answer)),
                change = changes.recv() => match change {
                    Ok(change) => (change.id == self.id).then_some(LiveAnswer::Changed { revision: change.revision }),
                    Err(RecvError::Lagged(_)) => self.revision_now().await,
                    Err(RecvError::Closed) => return,
                },
                () = &mut end => {
                    // The page goes on trying to reach the server; that it ended is no failure.
                    let _ = socket.send(Message::Close(None)).await;
                    return;
                }
            };
            if let Some(answer) = answer
                && socket.send(Message::text(text_of(&answer))).await.is_err()
            {
                return;
            }
        }
    }

    async fn revision_now(&self) -> Option<LiveAnswer> {
        let work = self.app.works.of(self.id).await.ok()?;
        Some(LiveAnswer::Changed { revision: work.record.revision })
    }

    /// Whether an answer is still waited for. The last answer to a request ends it.
    fn is_wanted(&mut self, answer: &LiveAnswer) -> bool {
        match answer {
            LiveAnswer::Progress { request, .. } => self.running.contains_key(request),
            LiveAnswer::Plan { request, .. } | LiveAnswer::Map { request, .. } => {
                self.running.remove(request).is_some()
            }
            LiveAnswer::Failed { request: Some(request), .. } => self.running.remove(request).is_some(),
            _ => true,
        }
    }

    /// Takes a message; an answer if there is one at once.
    fn take(&mut self, text: &str) -> Option<LiveAnswer> {
        let request = match serde_json::from_str(text) {
            Ok(request) => request,
            Err(error) => return Some(unreadable(&error.to_string())),
        };
        match request {
            LiveRequest::Plan { request } => {
                self.start(request, plan(self.app.clone(), self.id, request, self.teller()))
            }
            LiveRequest::Map { request, design, storey, band, quantity } => {
                let query =
                    MapQuery { design, storey, band, quantity, coarse: false, part: None, to_x: None, to_y: None };
                self.start(request, map(self.app.clone(), self.id, request, query, self.teller()))
            }
            LiveRequest::Cancel { request } => {
                let running = self.running.remove(&request)?;
                running.abort();
                Some(LiveAnswer::Cancelled { request })
            }
        }
    }

    fn teller(&self) -> mpsc::Sender<LiveAnswer> {
        self.answers.clone()
    }

    /// Runs work for a request.
    fn start(
        &mut self,
        request: u64,
        work: impl Future<Output = Result<LiveAnswer, Problem>> + Send + 'static,
    ) -> Option<LiveAnswer> {
        let refusal = if self.running.contains_key(&request) {
            Some(Problem::of_field(
                problem::REFUSED,
                "request",
                "a request of this number is running; give each its own",
            ))
        } else {
            let busy =
                || Problem::new(problem::BUSY, format!("{MAX_RUNNING} requests of this page are running already."));
            (self.running.len() >= MAX_RUNNING).then(busy)
        };
        if let Some(problem) = refusal {
            return Some(LiveAnswer::Failed { request: None, problem });
        }
        let answers = self.answers.clone();
        let task = tokio::spawn(async move {
            let answer = work.await.unwrap_or_else(|problem| LiveAnswer::Failed { request: Some(request), problem });
            // A page that is gone is told nothing.
            let _ = answers.send(answer).await;
        });
        self.running.insert(request, task.abort_handle());
        None
    }
}

/// Plans the job as it is when planning ends: an edit in between begins it anew.
async fn plan(app: Shared, id: JobId, request: u64, answers: mpsc::Sender<LiveAnswer>) -> Result<LiveAnswer, Problem> {
    loop {
        let work = app.works.of(id).await?;
        let report = |so_far: &crate::work::Report| {
            let step = so_far.step.clone();
            let progress = LiveAnswer::Progress { request, step, done: so_far.done, total: so_far.total };
            // A page that cannot follow is told less often.
            let _ = answers.try_send(progress);
        };
        match work.plan_reported(report).await {
            Err(problem) if problem.is(problem::SUPERSEDED) => {}
            plan => return Ok(LiveAnswer::Plan { request, revision: work.record.revision, plan: plan? }),
        }
    }
}

async fn map(
    app: Shared,
    id: JobId,
    request: u64,
    query: MapQuery,
    answers: mpsc::Sender<LiveAnswer>,
) -> Result<LiveAnswer, Problem> {
    let work = app.works.of(id).await?;
    let (_asked, stop) = Asked::new();
    let map = make_map(&work, query, Arc::new(Teller { request, answers, stop })).await?;
    Ok(LiveAnswer::Map { request, map })
}

struct Teller {
    request: u64,
    answers: mpsc::Sender<LiveAnswer>,
    stop: Stop,
}

impl Progress for Teller {
    fn step(&self, work: &str, done: u64, total: u64) -> Result<(), Cancelled> {
        self.stop.step(work, done, total)?;
        // A page that cannot follow is told less often.
        let _ =
            self.answers.try_send(LiveAnswer::Progress { request: self.request, step: work.to_owned(), done, total });
        Ok(())
    }
}

fn unreadable(why: &str) -> LiveAnswer {
    let problem = Problem::new(problem::UNREADABLE, format!("The message cannot be read: {why}."));
    LiveAnswer::Failed { request: None, problem }
}

/// An answer as text. Answers hold texts, lists and finite numbers, so that writing them cannot fail.
fn text_of(answer: &LiveAnswer) -> String {
    serde_json::to_string(answer)
        .unwrap_or_else(|error| json!({ "type": "failed", "problem": error.to_string() }).to_string())
}
