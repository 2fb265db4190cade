//! `wallplate serve`: the page and its interface, on this machine only, until it is told to end.

use std::io::{self, Write};
use std::path::PathBuf;

use anyhow::{Context, anyhow};
use server::{DEFAULT_PORT, Options, Server};
use tracing_subscriber::EnvFilter;

use crate::answer::{Answer, End, Failure};
use crate::args::Serve;
use crate::clock;

/// Serves; the answer comes when it has ended.
pub fn run(args: &Serve) -> Result<Answer, Failure> {
    // A clock that cannot be used is said now, not in the middle of a request.
    clock::today()?;
    log_to_standard_error();
    let data = match &args.data {
        Some(folder) => folder.clone(),
        None => default_folder()?,
    };
    let options = Options { data, address: args.address, port: args.port, today: || clock::today().ok() };
    let runtime = tokio::runtime::Builder::new_multi_thread().enable_all().build().context("no threads can be made")?;
    runtime.block_on(serve(args, &options))?;
    Ok(Answer { body: String::new(), end: End::Clean })
}

async fn serve(args: &Serve, options: &Options) -> Result<(), Failure> {
    let end = end().context("the signals that end the program cannot be heard")?;
    let server = Server::open(options).await.map_err(failure)?;
    if let Some(port) = server.moved_to {
        say(&format!("Port {DEFAULT_PORT} is taken; port {port} is used."))?;
    }
    if args.data.is_none() {
        say(&format!("The jobs are in {}", options.data.display()))?;
    }
    let demo = match &args.demo {
        Some(id) => Some(server.demo(id).await.map_err(failure)?),
        None => None,
    };
    say(&format!("Wallplate is at {}", server.address()))?;
    if let Some(demo) = demo {
        say(&format!("The demo home is at {demo}"))?;
    }
    server.run(end).await.map_err(failure)
}

fn failure(error: server::ServeError) -> Failure {
    Failure::new(error.to_string())
}

/// Prints a line at once, for whoever waits for it.
fn say(line: &str) -> Result<(), Failure> {
    let mut out = io::stdout().lock();
    match writeln!(out, "{line}").and_then(|()| out.flush()) {
        // A reader that has gone away is no failure.
        Err(error) if error.kind() != io::ErrorKind::BrokenPipe => Err(anyhow!(error).into()),
        _ => Ok(()),
    }
}

/// The folder for data of programs, of the account that this runs under.
fn default_folder() -> Result<PathBuf, Failure> {
    let folder = dirs::data_local_dir().map(|folder| folder.join("wallplate"));
    folder.ok_or_else(|| Failure::new("this account has no folder for data of programs; name one with --data"))
}

/// The log: warnings and worse, or what the variable `WALLPLATE_LOG` asks for.
fn log_to_standard_error() {
    let filter = EnvFilter::try_from_env("WALLPLATE_LOG").unwrap_or_else(|_| EnvFilter::new("warn"));
    // A log that is set up already is as good.
    let _ = tracing_subscriber::fmt().with_env_filter(filter).with_writer(io::stderr).with_ansi(false).try_init();
}

/// Waits for Ctrl-C, or for what a system sends to end a program. Both are heard from the call on, before anything waits.
#[cfg(unix)]
fn end() -> io::Result<impl Future<Output = ()> + Send + 'static> {
    use tokio::signal::unix::{SignalKind, signal};
    let (mut interrupt, mut terminate) = (signal(SignalKind::interrupt())?, signal(SignalKind::terminate())?);
    Ok(async move {
        tokio::select! {
            _ = interrupt.recv() => {}
            _ = terminate.recv() => {}
        }
    })
}

/// Waits for Ctrl-C. It is heard from the call on, before anything waits.
#[cfg(not(unix))]
fn end() -> io::Result<impl Future<Output = ()> + Send + 'static> {
    let mut interrupt = tokio::signal::windows::ctrl_c()?;
    Ok(async move {
        interrupt.recv().await;
    })
}
