//! Runs the built program in a folder of its own.

use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::sync::atomic::{AtomicU32, Ordering};

use serde_json::Value;

/// The hand-written home of the tests.
pub const TWO_ROOMS: &str = include_str!("../data/two-rooms.toml");

/// What a run printed and how it ended.
#[derive(Debug)]
pub struct Run {
    pub code: i32,
    pub stdout: String,
    pub stderr: String,
}

impl Run {
    /// Standard output as JSON.
    pub fn json(&self) -> Value {
        serde_json::from_str(&self.stdout).unwrap_or_else(|e| panic!("not JSON ({e}): {self:?}"))
    }

    /// It ended with code 2, said what is wrong and did not panic.
    #[track_caller]
    pub fn refused(&self, because: &[&str]) {
        assert_eq!(self.code, 2, "{self:?}");
        assert!(!self.stderr.contains("panicked"), "{}", self.stderr);
        assert!(!self.stdout.contains("panicked"), "{}", self.stdout);
        for part in because {
            assert!(self.stderr.contains(part), "`{part}` is not in: {}", self.stderr);
        }
    }
}

/// A folder that is removed afterwards.
pub struct Folder(PathBuf);

impl Folder {
    pub fn new() -> Self {
        static NEXT: AtomicU32 = AtomicU32::new(0);
        let name = format!("run-{}-{}", std::process::id(), NEXT.fetch_add(1, Ordering::Relaxed));
        let path = Path::new(env!("CARGO_TARGET_TMPDIR")).join(name);
        fs::create_dir_all(&path).unwrap();
        Self(path)
    }

    pub fn write(&self, name: &str, bytes: impl AsRef<[u8]>) -> String {
        fs::write(self.0.join(name), bytes).unwrap();
        name.to_owned()
    }

    pub fn read(&self, name: &str) -> Option<String> {
        fs::read_to_string(self.0.join(name)).ok()
    }

    /// Names of the files in it.
    pub fn names(&self) -> Vec<String> {
        let mut names: Vec<String> =
            fs::read_dir(&self.0).unwrap().map(|e| e.unwrap().file_name().to_string_lossy().into_owned()).collect();
        names.sort();
        names
    }

    pub fn run(&self, arguments: &[&str]) -> Run {
        self.run_with(arguments, "")
    }

    pub fn run_with(&self, arguments: &[&str], input: &str) -> Run {
        let mut child = Command::new(env!("CARGO_BIN_EXE_wallplate"))
            .args(arguments)
            .current_dir(&self.0)
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        // A program that does not read its input closes the pipe; that is its right.
        let _ = child.stdin.take().unwrap().write_all(input.as_bytes());
        let output = child.wait_with_output().unwrap();
        Run {
            code: output.status.code().unwrap_or(-1),
            stdout: String::from_utf8(output.stdout).unwrap(),
            stderr: String::from_utf8(output.stderr).unwrap(),
        }
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = fs::remove_dir_all(&self.0);
    }
}

/// The architect's model of the demonstration house.
pub fn house(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../demo/two-dwelling-house").join(name)
}
