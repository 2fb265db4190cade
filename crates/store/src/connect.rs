//! From a path to connections: what lies there, whether it is ours, and bringing it up to the present version.
//!
//! Several processes may hold one file open. SQLite's locks keep their transactions apart, every change names the
//! revision that it builds on, and nothing of the file is kept in memory, so that none sees or overwrites a stale state.

use std::io::ErrorKind;
use std::path::{Path, PathBuf};
use std::time::Duration;

use sqlx::migrate::{MigrateError, Migrator};
use sqlx::sqlite::{SqliteConnectOptions, SqliteConnection, SqlitePool, SqlitePoolOptions, SqliteSynchronous};
use sqlx::{ConnectOptions, Connection};

use crate::StoreError;
use crate::error::is_busy;

/// Numbered migrations, never changed once released.
static MIGRATOR: Migrator = sqlx::migrate!();

/// The mark that the first migration sets in the file's header: `WPLT`.
const APPLICATION_ID: i64 = 0x5750_4C54;

/// How long a connection waits for another process to finish its transaction; one takes milliseconds.
const BUSY_TIMEOUT: Duration = Duration::from_secs(5);

/// Reads run beside each other and beside the one writer. A handful is plenty for a household's or a firm's browsers.
const MAX_READERS: u32 = 4;

/// After what pause opening is tried again while other processes open the same new file.
const OPEN_PAUSE: Duration = Duration::from_millis(50);

/// Connections to one database file.
#[derive(Debug)]
pub(crate) struct Database {
    /// The file, as an absolute path.
    pub path: PathBuf,
    /// One connection, so that changes of this process queue up in order instead of colliding.
    pub writer: SqlitePool,
    /// Connections that cannot write.
    pub readers: SqlitePool,
}

/// Opens the database at a path, or creates it.
///
/// # Errors
/// See [`StoreError`]. What lies there and is not ours, or is newer, is left as it is.
pub(crate) async fn open(path: &Path) -> Result<Database, StoreError> {
    // An absolute path is never taken for a URI or for a database in memory, whatever it is called.
    let path = std::path::absolute(path).map_err(|_| StoreError::NotAFile { path: path.to_owned() })?;
    look_at_file(&path)?;
    let fail = |error| StoreError::of(&path, error);
    let setup = prepare(&path).await?;
    let writer = pool(1).connect_with(options(&path)).await.map_err(fail)?;
    let readers = pool(MAX_READERS).connect_with(options(&path).read_only(true)).await.map_err(fail)?;
    setup.close().await.map_err(fail)?;
    Ok(Database { path, writer, readers })
}

fn pool(max_connections: u32) -> SqlitePoolOptions {
    SqlitePoolOptions::new()
        .max_connections(max_connections)
        .acquire_timeout(BUSY_TIMEOUT * 3)
        // A file does not hang up, as a server might.
        .test_before_acquire(false)
        .idle_timeout(None)
        .max_lifetime(None)
}

/// How every connection is set up. `FULL` with the write-ahead log: a commit returns when it is on disk.
fn options(path: &Path) -> SqliteConnectOptions {
    SqliteConnectOptions::new()
        .filename(path)
        .busy_timeout(BUSY_TIMEOUT)
        .synchronous(SqliteSynchronous::Full)
        .foreign_keys(true)
        // Where an ordinary flush leaves data in the drive's cache (macOS), ask for the real one; without effect elsewhere.
        .pragma("fullfsync", "ON")
        .pragma("checkpoint_fullfsync", "ON")
        .disable_statement_logging()
}

/// Judges what can be judged without opening: opening a file by other means than SQLite, and closing it, would drop the
/// locks that this process holds on it.
fn look_at_file(path: &Path) -> Result<(), StoreError> {
    let path = path.to_owned();
    match std::fs::metadata(&path) {
        Ok(found) if !found.is_file() => Err(StoreError::NotAFile { path }),
        // SQLite takes a file of one byte for an empty one.
        Ok(found) if found.len() == 1 => Err(StoreError::NotADatabase { path }),
        Ok(_) => Ok(()),
        Err(error) if error.kind() == ErrorKind::NotFound && path.parent().is_some_and(Path::is_dir) => Ok(()),
        Err(error) if matches!(error.kind(), ErrorKind::NotFound | ErrorKind::NotADirectory) => {
            Err(StoreError::NoFolder { path })
        }
        Err(error) => Err(StoreError::NotWritable { path, detail: error.to_string() }),
    }
}

/// Brings the file into shape over a connection of its own, which is given back open: while it is, no other can be the
/// last to leave and take the write-ahead log away.
async fn prepare(path: &Path) -> Result<SqliteConnection, StoreError> {
    let give_up = tokio::time::Instant::now() + BUSY_TIMEOUT;
    loop {
        match try_prepare(path).await {
            // A connection does not wait for the lock that the change to a write-ahead log needs.
            Err(Failure::Sql(error)) if is_busy(&error) && tokio::time::Instant::now() < give_up => {
                tokio::time::sleep(OPEN_PAUSE).await;
            }
            Err(Failure::Sql(error)) => return Err(StoreError::of(path, error)),
            Err(Failure::Store(error)) => return Err(error),
            Ok(connection) => return Ok(connection),
        }
    }
}

enum Failure {
    Sql(sqlx::Error),
    Store(StoreError),
}

impl From<sqlx::Error> for Failure {
    fn from(error: sqlx::Error) -> Self {
        Self::Sql(error)
    }
}

async fn try_prepare(path: &Path) -> Result<SqliteConnection, Failure> {
    let mut connection = options(path).create_if_missing(true).connect().await?;
    // In a transaction, so that what is read is of one moment.
    let mut reading = connection.begin().await?;
    check_ours(path, &mut reading).await?;
    reading.rollback().await?;
    let mode: String = sqlx::query_scalar("PRAGMA journal_mode").fetch_one(&mut connection).await?;
    if !mode.eq_ignore_ascii_case("wal") {
        let mode: String = sqlx::query_scalar("PRAGMA journal_mode = WAL").fetch_one(&mut connection).await?;
        if !mode.eq_ignore_ascii_case("wal") {
            let detail = format!("the file system gives no write-ahead log, only `{mode}`");
            return Err(Failure::Store(StoreError::NotWritable { path: path.to_owned(), detail }));
        }
    }
    // One transaction for all migrations: of two processes that open a new file, one makes them and the other waits.
    let mut transaction = connection.begin_with("BEGIN IMMEDIATE").await?;
    check_ours(path, &mut transaction).await?;
    // Not `run`: its future could not be sent to another thread.
    MIGRATOR.run_direct(None, &mut *transaction, false).await.map_err(|error| match error {
        MigrateError::Execute(error) | MigrateError::ExecuteMigration(error, _) => Failure::Sql(error),
        error => Failure::Store(StoreError::Damaged {
            path: path.to_owned(),
            problems: vec![format!("its version cannot be brought up: {error}")],
        }),
    })?;
    transaction.commit().await?;
    Ok(connection)
}

/// Whether the database is new or ours, and of a version that is known. Takes several statements, which are to see the
/// same moment.
async fn check_ours(path: &Path, connection: &mut SqliteConnection) -> Result<(), Failure> {
    let mark: i64 = sqlx::query_scalar("PRAGMA application_id").fetch_one(&mut *connection).await?;
    if mark != APPLICATION_ID {
        let num_things: i64 = sqlx::query_scalar("SELECT count(*) FROM sqlite_master").fetch_one(connection).await?;
        return if mark == 0 && num_things == 0 {
            Ok(())
        } else {
            Err(Failure::Store(StoreError::Foreign { path: path.to_owned() }))
        };
    }
    let newest: Option<(i64, String)> =
        sqlx::query_as("SELECT version, description FROM _sqlx_migrations ORDER BY version DESC LIMIT 1")
            .fetch_optional(connection)
            .await?;
    let known = MIGRATOR.iter().map(|migration| migration.version).max().unwrap_or(0);
    match newest {
        Some((version, name)) if version > known => {
            Err(Failure::Store(StoreError::NewerDatabase { path: path.to_owned(), version, name, known }))
        }
        _ => Ok(()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// An acknowledged edit is on disk because of these two settings, and a read changes nothing because of the third.
    #[tokio::test]
    async fn every_connection_flushes_and_keeps_references_and_readers_cannot_write() {
        let folder = tempfile::tempdir().unwrap();
        let database = open(&folder.path().join("jobs.db")).await.unwrap();
        for pool in [&database.writer, &database.readers] {
            let mut held = Vec::new();
            for _ in 0..pool.options().get_max_connections() {
                let mut connection = pool.acquire().await.unwrap();
                let mode: String = sqlx::query_scalar("PRAGMA journal_mode").fetch_one(&mut *connection).await.unwrap();
                let flush: i64 = sqlx::query_scalar("PRAGMA synchronous").fetch_one(&mut *connection).await.unwrap();
                let full: i64 = sqlx::query_scalar("PRAGMA fullfsync").fetch_one(&mut *connection).await.unwrap();
                let keys: i64 = sqlx::query_scalar("PRAGMA foreign_keys").fetch_one(&mut *connection).await.unwrap();
                let wait: i64 = sqlx::query_scalar("PRAGMA busy_timeout").fetch_one(&mut *connection).await.unwrap();
                // 2 is FULL: <https://www.sqlite.org/pragma.html#pragma_synchronous>.
                assert_eq!((mode.as_str(), flush, full, keys, wait), ("wal", 2, 1, 1, 5_000));
                held.push(connection);
            }
        }
        let error = sqlx::query("DELETE FROM jobs").execute(&database.readers).await.unwrap_err();
        assert!(matches!(StoreError::of(&database.path, error), StoreError::NotWritable { .. }));
    }
}
