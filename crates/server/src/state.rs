//! What all requests share.

use std::net::SocketAddr;
use std::sync::Arc;

use store::{JobId, Store};
use tokio::sync::{OnceCell, broadcast, watch};
use units::Date;

use crate::problem::Problem;
use crate::routes::demos::DemoSummary;
use crate::summary::KnownFacts;
use crate::work::Works;

/// What all requests share.
pub struct App {
    /// The jobs.
    pub store: Store,
    /// What lists show of demo homes.
    pub demos: OnceCell<Vec<DemoSummary>>,
    /// What lists show of jobs.
    pub facts: KnownFacts,
    /// What is being computed or was.
    pub works: Works,
    /// Tells open pages of changes.
    pub changes: broadcast::Sender<Change>,
    own: SocketAddr,
    ended: watch::Sender<bool>,
    today: fn() -> Option<Date>,
}

/// A handle to what all requests share.
pub type Shared = Arc<App>;

/// A job was changed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Change {
    /// The job.
    pub id: JobId,
    /// Its revision now.
    pub revision: u64,
}

/// Changes that a slow page may fall behind before it is only told of the latest.
const BACKLOG: usize = 64;

impl App {
    /// What requests to a server at an address share. `today` is asked for the date that new jobs speak of.
    #[must_use]
    pub fn new(store: Store, own: SocketAddr, today: fn() -> Option<Date>) -> Shared {
        let (changes, _) = broadcast::channel(BACKLOG);
        let (ended, _) = watch::channel(false);
        let (facts, works) = (KnownFacts::default(), Works::new(store.clone()));
        Arc::new(Self { demos: OnceCell::new(), store, facts, works, changes, own, ended, today })
    }

    /// Tells open connections that the server ends.
    pub fn end(&self) {
        self.ended.send_replace(true);
    }

    /// Waits until the server ends.
    pub async fn wait_for_end(&self) {
        // The sender is here, so that it cannot be gone.
        let _ = self.ended.subscribe().wait_for(|ended| *ended).await;
    }

    /// Where the server is, for people.
    #[must_use]
    pub fn address(&self) -> String {
        format!("http://{}/", self.own)
    }

    /// Whether a host, with its port, is this server by one of its names.
    #[must_use]
    pub fn is_own_host(&self, host: &str) -> bool {
        let (name, port) = match host.rsplit_once(':') {
            // The port is left out where it is the one of the scheme; the colons of an address are within brackets.
            Some((name, port)) if !port.ends_with(']') => (name, port.parse().ok()),
            _ => (host, Some(80)),
        };
        let address = match self.own {
            SocketAddr::V4(own) => own.ip().to_string(),
            SocketAddr::V6(own) => format!("[{}]", own.ip()),
        };
        let names = ["localhost", "127.0.0.1", "[::1]", &address];
        port == Some(self.own.port()) && names.iter().any(|own| own.eq_ignore_ascii_case(name))
    }

    /// The date today.
    pub fn today(&self) -> Result<Date, Problem> {
        (self.today)().ok_or_else(|| Problem::internal(&"the machine's clock cannot be used"))
    }

    /// Tells everybody that a job was changed.
    pub fn changed(&self, id: JobId, revision: u64) {
        self.works.expect(id, revision);
        // Nobody listening is no failure.
        let _ = self.changes.send(Change { id, revision });
    }
}
