//! The server itself: a data folder, a socket on the loopback interface, and a graceful end.

use std::fs::{File, TryLockError};
use std::future::Future;
use std::io;
use std::net::{IpAddr, SocketAddr};
use std::path::{Path, PathBuf};
use std::time::Duration;

use store::{JobId, Store, StoreError};
use tokio::net::TcpListener;
use units::Date;

use crate::demos::Demo;
use crate::problem::Problem;
use crate::{App, Shared, app};

/// The port that is taken where none is asked for.
pub const DEFAULT_PORT: u16 = 4780;
/// How many ports after it are tried when it is taken.
const MORE_PORTS: u16 = 20;
/// How long requests that are being answered may take to end after the server was told to.
const GRACE: Duration = Duration::from_secs(5);

/// Where to serve from.
#[derive(Clone, Debug)]
pub struct Options {
    /// The folder that the jobs are in; it is made if it is not there.
    pub data: PathBuf,
    /// The address to listen at; one of the loopback interface.
    pub address: IpAddr,
    /// The port; the default one or the next free one where none is asked for.
    pub port: Option<u16>,
    /// The date that new jobs speak of.
    pub today: fn() -> Option<Date>,
}

/// Why the server does not run.
#[derive(Debug, thiserror::Error)]
pub enum ServeError {
    /// Others could reach it.
    #[error(
        "{0} is not an address of this machine alone; whoever can reach it could read and change every job\nhint: leave the address out, or give 127.0.0.1"
    )]
    NotLoopback(IpAddr),
    /// The port is taken.
    #[error(
        "port {port} cannot be used: {cause}\nhint: give another with --port, or leave it out for the next free one"
    )]
    Port {
        /// The port.
        port: u16,
        /// What the system says.
        cause: io::Error,
    },
    /// The folder cannot be used.
    #[error("the folder {} cannot be used: {cause}\nhint: name another with --data", path.display())]
    Folder {
        /// The folder.
        path: PathBuf,
        /// What the system says.
        cause: io::Error,
    },
    /// Another server has the folder.
    #[error("another `wallplate serve` is working on the folder {}\nhint: use that one, end it, or name another folder with --data", path.display())]
    InUse {
        /// The folder.
        path: PathBuf,
    },
    /// The jobs cannot be opened.
    #[error(transparent)]
    Store(#[from] StoreError),
    /// A demo home cannot be put into the store.
    #[error("{}", .0.detail)]
    Demo(Problem),
    /// The connection failed.
    #[error("the server failed: {0}")]
    Failed(#[from] io::Error),
}

/// A server that has its socket and its folder, and does not answer yet.
pub struct Server {
    shared: Shared,
    listener: TcpListener,
    _lock: File,
    /// The port that was taken in place of the default one.
    pub moved_to: Option<u16>,
}

impl Server {
    /// Takes the folder and the socket.
    ///
    /// # Errors
    /// [`ServeError`].
    pub async fn open(options: &Options) -> Result<Self, ServeError> {
        if !options.address.is_loopback() {
            return Err(ServeError::NotLoopback(options.address));
        }
        let lock = take_folder(&options.data)?;
        let store = Store::open(&options.data.join("jobs.db")).await?;
        let listener = listen(options.address, options.port).await?;
        let own = listener.local_addr()?;
        let moved_to = (options.port.is_none() && own.port() != DEFAULT_PORT).then_some(own.port());
        Ok(Self { shared: App::new(store, own, options.today), listener, _lock: lock, moved_to })
    }

    /// Where it is, for people.
    #[must_use]
    pub fn address(&self) -> String {
        self.shared.address()
    }

    /// Makes sure that a demo home is in the store, and says where the page shows it.
    ///
    /// # Errors
    /// [`ServeError::Demo`] if there is no such home; failures of the store.
    pub async fn demo(&self, id: &str) -> Result<String, ServeError> {
        let demo = Demo::find(id).map_err(ServeError::Demo)?;
        let job = match self.copy_of(demo).await? {
            Some(job) => job,
            None => {
                let job = demo.job().map_err(ServeError::Demo)?;
                self.shared.store.create(&job, "", &demo.label()).await?.id
            }
        };
        Ok(format!("{}jobs/{job}", self.address()))
    }

    /// The job that a demo home was put into the store as, rather one that was not put away.
    async fn copy_of(&self, demo: Demo) -> Result<Option<JobId>, StoreError> {
        for archived in [false, true] {
            for record in self.shared.store.list(archived).await? {
                let entries = self.shared.store.history(record.id).await?;
                if entries.first().is_some_and(|first| first.label == demo.label()) {
                    return Ok(Some(record.id));
                }
            }
        }
        Ok(None)
    }

    /// Answers until it is told to end; what is being answered then may take a few seconds more.
    ///
    /// # Errors
    /// [`ServeError::Failed`].
    pub async fn run(self, end: impl Future<Output = ()> + Send + 'static) -> Result<(), ServeError> {
        let (ended, mut told) = tokio::sync::watch::channel(false);
        let shared = self.shared.clone();
        let end = async move {
            end.await;
            shared.end();
            ended.send_replace(true);
        };
        let serving = axum::serve(self.listener, app(self.shared.clone())).with_graceful_shutdown(end);
        let out_of_time = async {
            // An error means that the server ended by itself.
            let _ = told.wait_for(|ended| *ended).await;
            tokio::time::sleep(GRACE).await;
        };
        tokio::select! {
            result = serving.into_future() => result?,
            () = out_of_time => tracing::warn!("some requests were still being answered and were broken off"),
        }
        self.shared.store.clone().close().await;
        Ok(())
    }
}

/// Makes the folder and keeps other servers out of it for as long as the file is open.
fn take_folder(path: &Path) -> Result<File, ServeError> {
    let unusable = |cause| ServeError::Folder { path: path.to_owned(), cause };
    std::fs::create_dir_all(path).map_err(unusable)?;
    let file =
        File::options().create(true).truncate(false).write(true).open(path.join("serve.lock")).map_err(unusable)?;
    match file.try_lock() {
        Ok(()) => Ok(file),
        Err(TryLockError::WouldBlock) => Err(ServeError::InUse { path: path.to_owned() }),
        Err(TryLockError::Error(cause)) => Err(unusable(cause)),
    }
}

/// A socket at the port that was asked for, or at the default one or the next free one.
async fn listen(address: IpAddr, port: Option<u16>) -> Result<TcpListener, ServeError> {
    let last = port.unwrap_or(DEFAULT_PORT + MORE_PORTS);
    let mut port = port.unwrap_or(DEFAULT_PORT);
    loop {
        match TcpListener::bind(SocketAddr::from((address, port))).await {
            Ok(listener) => return Ok(listener),
            Err(cause) if cause.kind() == io::ErrorKind::AddrInUse && port < last => port += 1,
            Err(cause) => return Err(ServeError::Port { port, cause }),
        }
    }
}
