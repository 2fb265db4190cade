//! The whole router in memory, on a database of its own.
#![allow(dead_code)]

use std::path::PathBuf;
use std::sync::Arc;

use axum::Router;
use axum::body::{Body, Bytes};
use axum::http::{Method, Request, StatusCode};
use serde_json::{Value, json};
use server::{App, Shared};
use store::Store;
use tempfile::TempDir;
use tower::ServiceExt;

/// Where the server under test says that it is.
pub const HOST: &str = "127.0.0.1:4780";
pub const ORIGIN: &str = "http://127.0.0.1:4780";

/// A server without a socket.
pub struct Page {
    pub app: Router,
    pub shared: Shared,
    pub folder: TempDir,
}

/// An answer, read whole.
#[derive(Debug)]
pub struct Answer {
    pub status: StatusCode,
    pub headers: axum::http::HeaderMap,
    pub bytes: Bytes,
}

impl Answer {
    #[track_caller]
    pub fn json(&self) -> Value {
        serde_json::from_slice(&self.bytes)
            .unwrap_or_else(|e| panic!("not JSON ({e}): {}", String::from_utf8_lossy(&self.bytes)))
    }

    /// The JSON of an answer that went well.
    #[track_caller]
    pub fn good(&self, status: u16) -> Value {
        assert_eq!(self.status.as_u16(), status, "{}", String::from_utf8_lossy(&self.bytes));
        self.json()
    }

    /// The problem of a refusal, which is problem details and says each of the words.
    #[track_caller]
    pub fn refused(&self, status: u16, words: &[&str]) -> Value {
        let text = String::from_utf8_lossy(&self.bytes);
        assert_eq!(self.status.as_u16(), status, "{text}");
        assert_eq!(self.header("content-type"), "application/problem+json", "{text}");
        let problem = self.json();
        assert_eq!(problem["status"], status);
        assert!(problem["title"].is_string() && problem["detail"].is_string() && problem["problems"].is_array());
        for word in words {
            assert!(text.contains(word), "`{word}` is not in: {text}");
        }
        problem
    }

    pub fn header(&self, name: &str) -> &str {
        self.headers.get(name).map(|v| v.to_str().unwrap()).unwrap_or_default()
    }
}

impl Page {
    pub async fn new() -> Self {
        let folder = tempfile::tempdir().unwrap();
        let store = Store::open(&folder.path().join("jobs.db")).await.unwrap();
        let shared = App::new(store, HOST.parse().unwrap(), || "2026-11-25".parse().ok());
        Self { app: server::app(Arc::clone(&shared)), shared, folder }
    }

    /// Sends a request as it is.
    pub async fn send(&self, request: Request<Body>) -> Answer {
        let response = self.app.clone().oneshot(request).await.unwrap();
        let (parts, body) = response.into_parts();
        let bytes = axum::body::to_bytes(body, usize::MAX).await.unwrap();
        Answer { status: parts.status, headers: parts.headers, bytes }
    }

    pub async fn get(&self, path: &str) -> Answer {
        self.send(request(Method::GET, path).body(Body::empty()).unwrap()).await
    }

    /// Posts JSON as the page does.
    pub async fn post(&self, path: &str, body: Value) -> Answer {
        self.post_raw(path, "application/json", body.to_string()).await
    }

    pub async fn post_raw(&self, path: &str, media: &str, body: impl Into<Body>) -> Answer {
        let request = request(Method::POST, path).header("origin", ORIGIN).header("content-type", media);
        self.send(request.body(body.into()).unwrap()).await
    }

    /// Stores the two-storey demo home; its id.
    pub async fn job(&self) -> String {
        self.upload(&two_storey()).await
    }

    pub async fn upload(&self, text: &str) -> String {
        let answer = self.post_raw("/api/jobs/upload?name=home.toml", "application/toml", text.to_owned()).await;
        answer.good(201)["id"].as_str().unwrap().to_owned()
    }
}

/// A request to the server under test.
pub fn request(method: Method, path: &str) -> axum::http::request::Builder {
    Request::builder().method(method).uri(path).header("host", HOST)
}

/// A file of the repository.
pub fn file(path: &str) -> Vec<u8> {
    let path = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../..").join(path);
    std::fs::read(&path).unwrap_or_else(|e| panic!("{}: {e}", path.display()))
}

pub fn two_storey() -> String {
    String::from_utf8(file("demo/two-storey/job.toml")).unwrap()
}

/// A multipart form: name, file name (none for a text), content.
pub fn form(parts: &[(&str, Option<&str>, &[u8])]) -> (String, Vec<u8>) {
    let boundary = "wallplate-test-boundary";
    let mut body = Vec::new();
    for (name, file_name, content) in parts {
        let file_name = file_name.map(|f| format!("; filename=\"{f}\"")).unwrap_or_default();
        body.extend(
            format!("--{boundary}\r\ncontent-disposition: form-data; name=\"{name}\"{file_name}\r\n\r\n").bytes(),
        );
        body.extend(*content);
        body.extend(b"\r\n");
    }
    body.extend(format!("--{boundary}--\r\n").bytes());
    (format!("multipart/form-data; boundary={boundary}"), body)
}

/// Eight answers for a new home.
pub fn eight_answers() -> Value {
    json!({
        "name": "New home", "country": "GB", "floor_area_m2": 90.0, "storeys": 2, "basement": false, "attic": false,
        "construction": "masonry-cavity", "attached": "semi-detached",
        "rooms": { "bedrooms": 3, "bathrooms": 1, "offices": 0, "utility": false, "open_kitchen": false },
        "people": 4, "may_drill": true, "line": { "kind": "fibre", "down_bps": 500e6, "up_bps": 100e6 }, "seed": 7,
    })
}
