//! `wallplate serve` as a process: what was acknowledged survives its death, it ends when it is told to, and it keeps
//! others out of its folder.

use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

use serde_json::{Value, json};

/// A running server.
struct Server {
    child: Child,
    /// What it printed until it was ready.
    lines: Vec<String>,
}

impl Server {
    /// Starts one and waits for the last line that it prints.
    fn start(data: &Path, arguments: &[&str]) -> Self {
        let child = Command::new(env!("CARGO_BIN_EXE_wallplate"))
            .args(["serve", "--data"])
            .arg(data)
            .args(arguments)
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        let mut server = Self { child, lines: Vec::new() };
        let last = if arguments.contains(&"--demo") { "The demo home is at " } else { "Wallplate is at " };
        for line in BufReader::new(server.child.stdout.take().unwrap()).lines() {
            server.lines.push(line.unwrap());
            if server.lines.last().unwrap().starts_with(last) {
                return server;
            }
        }
        let mut error = String::new();
        server.child.stderr.take().unwrap().read_to_string(&mut error).unwrap();
        panic!("it did not start: {:?}\n{error}", server.lines);
    }

    fn line(&self, start: &str) -> &str {
        self.lines
            .iter()
            .find_map(|line| line.strip_prefix(start))
            .unwrap_or_else(|| panic!("no {start}: {:?}", self.lines))
    }

    /// Host and port.
    fn host(&self) -> &str {
        self.line("Wallplate is at http://").trim_end_matches('/')
    }

    fn send(&self, method: &str, path: &str, body: &Value) -> Value {
        let (host, body) = (self.host(), body.to_string());
        let mut stream = TcpStream::connect(host).unwrap();
        write!(
            stream,
            "{method} {path} HTTP/1.1\r\nhost: {host}\r\norigin: http://{host}\r\ncontent-type: application/json\r\n\
             content-length: {}\r\nconnection: close\r\n\r\n{body}",
            body.len()
        )
        .unwrap();
        let mut answer = String::new();
        stream.read_to_string(&mut answer).unwrap();
        serde_json::from_str(answer.split_once("\r\n\r\n").unwrap().1).unwrap_or_else(|e| panic!("{e}: {answer}"))
    }

    fn get(&self, path: &str) -> Value {
        self.send("GET", path, &json!({}))
    }

    /// Waits until it has ended; its exit code.
    fn wait(&mut self) -> Option<i32> {
        let started = Instant::now();
        loop {
            if let Some(status) = self.child.try_wait().unwrap() {
                return status.code();
            }
            assert!(started.elapsed() < Duration::from_secs(30), "it does not end");
            std::thread::sleep(Duration::from_millis(20));
        }
    }
}

impl Drop for Server {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

#[test]
fn every_acknowledged_edit_survives_a_kill() {
    let folder = tempfile::tempdir().unwrap();
    let data = folder.path().join("jobs");
    let mut server = Server::start(&data, &["--port", "0", "--demo", "studio"]);
    let id = server.line("The demo home is at ").rsplit('/').next().unwrap().to_owned();
    let mut revision = 1;
    for n in 0..20 {
        let edits = json!([{ "kind": "set", "path": "name", "value": format!("Name {n}") }]);
        let edit = json!({ "base_revision": revision, "label": format!("Rename {n}"), "edits": edits });
        let head = server.send("POST", &format!("/api/jobs/{id}/edits"), &edit);
        revision = head["revision"].as_u64().unwrap_or_else(|| panic!("{head}"));
    }
    // On Unix this is SIGKILL: the program has no say in it.
    server.child.kill().unwrap();
    server.wait();

    let again = Server::start(&data, &["--port", "0", "--demo", "studio"]);
    assert!(again.line("The demo home is at ").ends_with(&id), "the demo home is put there once");
    let job = again.get(&format!("/api/jobs/{id}"));
    assert_eq!((&job["job"]["revision"], &job["job"]["name"]), (&json!(21), &json!("Name 19")), "{job}");
    assert_eq!(job["undo_label"], "Rename 19");
    let undone = again.send("POST", &format!("/api/jobs/{id}/undo"), &json!({ "base_revision": 21 }));
    assert_eq!((&undone["revision"], &undone["redo_label"]), (&json!(22), &json!("Rename 19")));
    assert_eq!(again.get("/api/jobs")["jobs"].as_array().unwrap().len(), 1);
}

#[test]
fn it_ends_well_when_it_is_told_to() {
    let folder = tempfile::tempdir().unwrap();
    for signal in ["-TERM", "-INT"] {
        let mut server = Server::start(folder.path(), &["--port", "0"]);
        let sent = Command::new("kill").args([signal, &server.child.id().to_string()]).status().unwrap();
        assert!(sent.success());
        assert_eq!(server.wait(), Some(0), "{signal}");
    }
}

#[test]
fn a_folder_has_one_server() {
    let folder = tempfile::tempdir().unwrap();
    let _first = Server::start(folder.path(), &["--port", "0"]);
    let second = Command::new(env!("CARGO_BIN_EXE_wallplate"))
        .args(["serve", "--port", "0", "--data"])
        .arg(folder.path())
        .output()
        .unwrap();
    let error = String::from_utf8(second.stderr).unwrap();
    assert_eq!(second.status.code(), Some(2), "{error}");
    assert!(error.contains("another `wallplate serve`") && error.contains("--data"), "{error}");
}

#[test]
fn only_addresses_of_this_machine_and_free_ports_are_taken() {
    let folder = tempfile::tempdir().unwrap();
    let refused = |arguments: &[&str], words: &[&str]| {
        let run = Command::new(env!("CARGO_BIN_EXE_wallplate"))
            .args(["serve", "--data"])
            .arg(folder.path())
            .args(arguments)
            .output()
            .unwrap();
        let error = String::from_utf8(run.stderr).unwrap();
        assert_eq!(run.status.code(), Some(2), "{error}");
        for word in words {
            assert!(error.contains(word), "`{word}` is not in: {error}");
        }
    };
    refused(&["--address", "0.0.0.0"], &["0.0.0.0", "127.0.0.1"]);
    refused(&["--address", "192.0.2.7"], &["192.0.2.7"]);
    refused(&["--port", "0", "--demo", "castle"], &["castle", "studio"]);
    let taken = std::net::TcpListener::bind("127.0.0.1:0").unwrap();
    let port = taken.local_addr().unwrap().port().to_string();
    refused(&["--port", &port], &[&port, "--port"]);
}

#[test]
fn the_description_of_the_interface_is_printed() {
    let printed = Command::new(env!("CARGO_BIN_EXE_wallplate")).arg("openapi").output().unwrap();
    let document: Value = serde_json::from_slice(&printed.stdout).unwrap();
    assert_eq!(document["openapi"], "3.1.1");
}
