//! What lies at the path: nothing, something else, something broken, something newer. Nothing is ever overwritten.

mod common;

use std::fs;
use std::path::Path;

use common::{open, place, rename, says_ok, small};
use store::{Store, StoreError};

/// The error of opening, which must name the path and say what to do, and leave what lies there as it is.
async fn refused(path: &Path) -> StoreError {
    let before = fs::read(path).ok();
    let error = Store::open(path).await.expect_err("should not open");
    let said = error.to_string();
    assert!(said.contains(&path.display().to_string()), "{said}");
    assert!(said.contains("\nhint: "), "{said}");
    assert_eq!(fs::read(path).ok(), before, "{said}");
    error
}

#[tokio::test]
async fn a_folder_that_does_not_exist() {
    let (folder, _) = place();
    let path = folder.path().join("no/jobs.db");
    assert!(matches!(refused(&path).await, StoreError::NoFolder { .. }));
    assert!(!folder.path().join("no").exists());
    fs::write(folder.path().join("file"), "x").unwrap();
    assert!(matches!(refused(&folder.path().join("file/jobs.db")).await, StoreError::NoFolder { .. }));
}

#[tokio::test]
async fn a_folder_or_a_device_in_place_of_the_file() {
    let (folder, path) = place();
    fs::create_dir(&path).unwrap();
    assert!(matches!(refused(&path).await, StoreError::NotAFile { .. }));
    assert!(matches!(refused(folder.path()).await, StoreError::NotAFile { .. }));
    assert!(fs::read_dir(&path).unwrap().next().is_none());
    #[cfg(unix)]
    assert!(matches!(Store::open(Path::new("/dev/null")).await, Err(StoreError::NotAFile { .. })));
    assert!(matches!(Store::open(Path::new("")).await, Err(StoreError::NotAFile { .. })));
}

#[tokio::test]
async fn a_file_that_is_no_database() {
    let (_folder, path) = place();
    let texts: [&[u8]; 6] = [
        b"x",
        b"\n",
        b"format = \"wallplate/1\"\n",
        &[0; 8192],
        &[b'a'; 100_000],
        b"SQLite format 2\0 and no more of it than this, which is less than a header",
    ];
    for text in texts {
        fs::write(&path, text).unwrap();
        let error = refused(&path).await;
        assert!(matches!(error, StoreError::NotADatabase { .. }), "{} bytes: {error}", text.len());
        assert_eq!(fs::read_dir(path.parent().unwrap()).unwrap().count(), 1, "nothing was put beside it");
    }
}

#[tokio::test]
async fn an_empty_file_is_a_place_for_a_database() {
    let (_folder, path) = place();
    fs::write(&path, "").unwrap();
    open(&path).await.close().await;
    says_ok(&path);
}

#[tokio::test]
async fn names_that_sqlite_would_read_otherwise() {
    let (folder, _) = place();
    for name in [":memory:", "file:x?mode=memory", "a b%20#c?d&e.db", "häuser.db"] {
        let path = folder.path().join(name);
        let store = open(&path).await;
        let id = store.create(&small("A"), "", "New").await.unwrap().id;
        store.close().await;
        assert!(path.is_file(), "{name}");
        assert_eq!(open(&path).await.get(id).await.unwrap().1, small("A"));
    }
}

#[tokio::test]
async fn a_database_of_another_program() {
    let (_folder, path) = place();
    let other = rusqlite::Connection::open(&path).unwrap();
    other.execute_batch("CREATE TABLE jobs (id INTEGER); INSERT INTO jobs VALUES (1)").unwrap();
    drop(other);
    assert!(matches!(refused(&path).await, StoreError::Foreign { .. }));
    let (_folder, path) = place();
    let marked = rusqlite::Connection::open(&path).unwrap();
    marked.execute_batch("PRAGMA application_id = 7; PRAGMA user_version = 1").unwrap();
    drop(marked);
    assert!(matches!(refused(&path).await, StoreError::Foreign { .. }));
}

#[tokio::test]
async fn a_database_of_a_newer_version() {
    let (_folder, path) = place();
    let store = open(&path).await;
    store.create(&small("A"), "", "New").await.unwrap();
    store.close().await;
    let newer = rusqlite::Connection::open(&path).unwrap();
    newer
        .execute(
            "INSERT INTO _sqlx_migrations (version, description, success, checksum, execution_time) \
             VALUES (7, 'price lists', TRUE, x'00', 0)",
            [],
        )
        .unwrap();
    drop(newer);
    let error = refused(&path).await;
    assert!(matches!(error, StoreError::NewerDatabase { version: 7, known: 1, .. }), "{error}");
    assert!(error.to_string().contains("version 7 (`price lists`)"), "{error}");
}

#[tokio::test]
async fn a_database_whose_first_migration_was_another() {
    let (_folder, path) = place();
    open(&path).await.close().await;
    let other = rusqlite::Connection::open(&path).unwrap();
    other.execute("UPDATE _sqlx_migrations SET checksum = x'00'", []).unwrap();
    drop(other);
    let error = refused(&path).await;
    assert!(matches!(error, StoreError::Damaged { .. }), "{error}");
    assert!(error.to_string().contains("migration 1"), "{error}");
}

/// Fills a database, closes it, and gives its bytes.
async fn filled(path: &Path) -> Vec<u8> {
    let store = open(path).await;
    for name in ["A", "B", "C", "D"] {
        let id = store.create(&common::house(), "", "New").await.unwrap().id;
        store.edit(id, 1, "", "x", &rename(name)).await.unwrap();
    }
    store.close().await;
    fs::read(path).unwrap()
}

async fn all(store: &Store) -> Result<Vec<(store::Record, job::Job, Vec<store::Entry>)>, StoreError> {
    let mut all = Vec::new();
    for record in store.list(false).await? {
        let (record, job) = store.get(record.id).await?;
        let history = store.history(record.id).await?;
        all.push((record, job, history));
    }
    Ok(all)
}

#[tokio::test]
async fn any_damage_is_an_error_with_the_path_and_never_a_panic() {
    let (folder, path) = place();
    let sound = filled(&path).await;
    assert!(sound.len() > 20 * 4096, "{} bytes", sound.len());
    let store = open(&path).await;
    let jobs = all(&store).await.unwrap();
    store.close().await;
    let num_free: i64 = rusqlite::Connection::open(&path)
        .and_then(|database| database.query_row("PRAGMA freelist_count", [], |row| row.get(0)))
        .unwrap();
    let (mut num_found, mut num_harmless) = (0, 0);
    let mut damaged_files: Vec<(String, Vec<u8>)> = vec![
        ("cut in the header".into(), sound[..50].to_vec()),
        ("cut after one page".into(), sound[..4096].to_vec()),
        ("cut in the middle".into(), sound[..sound.len() / 2].to_vec()),
    ];
    for page in 0..sound.len() / 4096 {
        let mut bytes = sound.clone();
        // In the first page only behind the header, which has cases of its own.
        let from = if page == 0 { 100 } else { page * 4096 };
        bytes[from..(page + 1) * 4096].fill(0x5a);
        damaged_files.push((format!("page {page}"), bytes));
    }
    for (what, bytes) in damaged_files {
        let here = folder.path().join("damaged.db");
        for name in ["damaged.db", "damaged.db-wal", "damaged.db-shm"] {
            let _ = fs::remove_file(folder.path().join(name));
        }
        fs::write(&here, &bytes).unwrap();
        let found = match Store::open(&here).await {
            Err(error) => Some(error),
            Ok(store) => {
                let found = store.check_integrity().await.err();
                if found.is_none() {
                    // A page that was free holds nothing.
                    assert_eq!(all(&store).await.unwrap(), jobs, "{what}: not found");
                    num_harmless += 1;
                    continue;
                }
                // Whatever is asked of it, it answers or refuses.
                for record in store.list(false).await.unwrap_or_default() {
                    let _ = (store.get(record.id).await, store.history(record.id).await);
                    let _ = store.edit(record.id, record.revision, "", "x", &rename("E")).await;
                    let _ = store.undo(record.id, record.revision, "").await;
                }
                store.close().await;
                found
            }
        };
        let error = found.unwrap_or_else(|| panic!("{what}: not found"));
        assert!(error.to_string().contains("damaged.db"), "{what}: {error}");
        num_found += usize::from(matches!(error, StoreError::Damaged { .. }));
    }
    assert!(num_found > 20 && num_harmless <= num_free, "{num_found} found, {num_harmless} harmless, {num_free} free");
}

#[tokio::test]
async fn rows_that_do_not_fit_together_are_found() {
    let cases = [
        ("UPDATE jobs SET document = replace(document, '\"B\"', '\"C\"'), name = 'C'", "leads to another document"),
        ("UPDATE jobs SET name = 'C'", "not that of its document"),
        ("UPDATE jobs SET document = '{'", "cannot be read"),
        ("UPDATE bases SET document = replace(document, 'GBP', 'EUR')", "leads to another document"),
        ("DELETE FROM bases", "first document is not there"),
        ("DELETE FROM entries WHERE seq = 2", "does not lead to revision 3"),
        ("UPDATE entries SET edits = '[]' WHERE seq = 2", "would not be taken back"),
        ("UPDATE entries SET edits = 'x' WHERE seq = 2", "entry 2 of its log cannot be read"),
        ("UPDATE entries SET inverse = '[]' WHERE seq = 3", "entry 3 of its log would not be taken back"),
        ("UPDATE entries SET edits = replace(edits, 'name', 'nmae') WHERE seq = 2", "cannot be made"),
        ("UPDATE entries SET undo_seq = 1 WHERE seq = 3", "not in step"),
        ("UPDATE entries SET redo_seq = 2 WHERE seq = 3", "not in step"),
        ("UPDATE entries SET kind = 'edit' WHERE seq = 1", "not in step"),
        ("UPDATE entries SET job_id = 'x' WHERE seq = 3", "refer to what is not there"),
    ];
    let (folder, path) = place();
    let store = open(&path).await;
    let id = store.create(&small("A"), "", "New").await.unwrap().id;
    store.edit(id, 1, "", "x", &rename("C")).await.unwrap();
    store.edit(id, 2, "", "x", &rename("B")).await.unwrap();
    store.check_integrity().await.unwrap();
    store.close().await;
    for (sql, word) in cases {
        let here = folder.path().join("case.db");
        fs::copy(&path, &here).unwrap();
        let database = rusqlite::Connection::open(&here).unwrap();
        database.execute_batch("PRAGMA foreign_keys = OFF").unwrap();
        assert_eq!(database.execute(sql, []).unwrap(), 1, "{sql}");
        drop(database);
        let store = open(&here).await;
        let error = store.check_integrity().await.expect_err(sql);
        assert!(matches!(error, StoreError::Damaged { .. }), "{sql}: {error}");
        assert!(error.to_string().contains(word), "{sql}: {error}");
        store.close().await;
    }
}

#[tokio::test]
async fn a_document_of_a_newer_format_is_refused_by_name_and_left_alone() {
    let (_folder, path) = place();
    let store = open(&path).await;
    let id = store.create(&small("A"), "", "New").await.unwrap().id;
    store.edit(id, 1, "", "x", &rename("B")).await.unwrap();
    store.close().await;
    let database = rusqlite::Connection::open(&path).unwrap();
    let row = |database: &rusqlite::Connection| {
        database.query_row("SELECT j.document, b.document, format, revision, name, changed_at FROM jobs j JOIN bases b ON b.job_id = j.id", [], |row| {
            Ok((
                row.get::<_, String>(0)?,
                row.get::<_, String>(1)?,
                row.get::<_, String>(2)?,
                row.get::<_, i64>(3)?,
                row.get::<_, String>(4)?,
                row.get::<_, i64>(5)?,
            ))
        })
    };
    database
        .execute(
            "UPDATE jobs SET format = 'wallplate/9', document = replace(document, 'wallplate/1', 'wallplate/9')",
            [],
        )
        .unwrap();
    let before = row(&database).unwrap();
    let store = open(&path).await;
    for error in [
        store.get(id).await.map(|_| ()).unwrap_err(),
        store.edit(id, 2, "", "x", &rename("C")).await.map(|_| ()).unwrap_err(),
        store.duplicate(id, "C", "").await.map(|_| ()).unwrap_err(),
    ] {
        assert!(matches!(error, StoreError::Unreadable { .. }), "{error}");
        assert!(error.to_string().contains("`wallplate/9`, which is newer than"), "{error}");
    }
    assert!(matches!(store.undo(id, 2, "").await, Err(StoreError::NothingToUndo)));
    // It is still in the list, and the others are not held up by it.
    let listed = store.list(false).await.unwrap();
    assert_eq!((listed.len(), listed[0].can_undo()), (1, false));
    store.create(&small("C"), "", "New").await.unwrap();
    store.set_archived(id, true, "").await.unwrap();
    assert_eq!(row(&database).unwrap(), before);
}

#[tokio::test]
async fn a_document_of_an_older_format_is_brought_up_with_the_next_edit() {
    // There is one format yet, so that an older one is only claimed: what is tested is what becomes of the log, whose edits
    // are written for documents of the old format.
    let (_folder, path) = place();
    let store = open(&path).await;
    let id = store.create(&small("A"), "", "New").await.unwrap().id;
    store.edit(id, 1, "", "B", &rename("B")).await.unwrap();
    store.edit(id, 2, "", "C", &rename("C")).await.unwrap();
    store.undo(id, 3, "").await.unwrap();
    store.close().await;
    let database = rusqlite::Connection::open(&path).unwrap();
    database.execute("UPDATE jobs SET format = 'wallplate/0'", []).unwrap();
    drop(database);
    let store = open(&path).await;
    let (record, job) = store.get(id).await.unwrap();
    assert_eq!((job, record.can_undo(), record.can_redo()), (small("B"), false, false));
    assert!(matches!(store.undo(id, 4, "").await, Err(StoreError::NothingToUndo)));
    assert!(matches!(store.redo(id, 4, "").await, Err(StoreError::NothingToRedo)));
    store.check_integrity().await.unwrap();
    let head = store.edit(id, 4, "", "D", &rename("D")).await.unwrap();
    assert_eq!((head.revision, head.undo_label.as_deref()), (5, Some("D")));
    store.check_integrity().await.unwrap();
    let head = store.undo(id, 5, "").await.unwrap();
    assert_eq!((head.undo_label, head.redo_label.as_deref()), (None, Some("D")));
    assert_eq!(store.get(id).await.unwrap().1, small("B"));
    assert!(matches!(store.undo(id, 6, "").await, Err(StoreError::NothingToUndo)));
    let history = store.history(id).await.unwrap();
    assert_eq!(history.iter().map(|e| e.undone).collect::<Vec<_>>(), [false, false, true, false, true, false]);
    store.check_integrity().await.unwrap();
    let database = rusqlite::Connection::open(&path).unwrap();
    let format: String = database.query_row("SELECT format FROM jobs", [], |row| row.get(0)).unwrap();
    assert_eq!(format, job::FORMAT);
}

/// Opens the file named by the environment in a process without rights, and prints the error.
#[tokio::test]
#[ignore = "run by a_folder_that_may_not_be_written"]
#[expect(clippy::print_stdout, reason = "it tells its parent")]
async fn without_rights() {
    let Ok(path) = std::env::var("STORE_TEST_PATH") else { return };
    match Store::open(Path::new(&path)).await {
        Ok(_) => println!("SAID: opened"),
        Err(error) => println!("SAID: {}", error.to_string().replace('\n', " ")),
    }
}

#[cfg(unix)]
#[tokio::test]
async fn a_folder_that_may_not_be_written() {
    use std::os::unix::fs::PermissionsExt;
    use std::os::unix::process::CommandExt;
    let (folder, path) = place();
    let database = folder.path().join("filled.db");
    filled(&database).await;
    let set_mode = |path: &Path, mode| fs::set_permissions(path, fs::Permissions::from_mode(mode)).unwrap();
    // A copy of this program where anybody can run it: who may write everywhere must become somebody else first.
    let program = folder.path().join("program");
    fs::copy(std::env::current_exe().unwrap(), &program).unwrap();
    set_mode(&program, 0o755);
    set_mode(&database, 0o444);
    set_mode(folder.path(), 0o555);
    let is_mighty = fs::write(folder.path().join("probe"), "x").is_ok();
    let said = |path: &Path| {
        let mut command = std::process::Command::new(&program);
        command.args(["--ignored", "--exact", "without_rights", "--nocapture"]).env("STORE_TEST_PATH", path);
        if is_mighty {
            // The user that owns nothing, by convention.
            command.uid(65534).gid(65534);
        }
        let output = command.output().unwrap();
        let text = String::from_utf8_lossy(&output.stdout).into_owned();
        text.lines().find_map(|l| l.split_once("SAID: ")).map(|(_, said)| said.to_owned()).unwrap_or(text)
    };
    let (new, existing) = (said(&path), said(&database));
    set_mode(&database, 0o666);
    let beside = said(&database);
    set_mode(folder.path(), 0o755);
    for (said, path) in [(new, &path), (existing, &database), (beside, &database)] {
        assert!(said.contains("cannot be opened for reading and writing"), "{said}");
        assert!(said.contains(&path.display().to_string()) && said.contains("hint: the file and its folder"), "{said}");
    }
    assert!(!path.exists());
    says_ok(&database);
}
