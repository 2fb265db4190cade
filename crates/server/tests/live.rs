//! The WebSocket over a real socket: plans with progress, maps, cancelling, news of changes.

use std::time::Duration;

use futures_util::{SinkExt, StreamExt};
use serde_json::{Value, json};
use server::{Options, Server};
use tempfile::TempDir;
use tokio::io::{AsyncReadExt, AsyncWriteExt};
use tokio::net::TcpStream;
use tokio::sync::oneshot;
use tokio_tungstenite::tungstenite::client::IntoClientRequest;
use tokio_tungstenite::tungstenite::{Error, Message};
use tokio_tungstenite::{MaybeTlsStream, WebSocketStream, connect_async};

type Socket = WebSocketStream<MaybeTlsStream<TcpStream>>;

/// A server on a port of its own.
struct Running {
    address: String,
    end: Option<oneshot::Sender<()>>,
    done: tokio::task::JoinHandle<Result<(), server::ServeError>>,
    _folder: TempDir,
}

impl Running {
    async fn new() -> Self {
        let folder = tempfile::tempdir().unwrap();
        let options = Options {
            data: folder.path().join("data"),
            address: "127.0.0.1".parse().unwrap(),
            port: Some(0),
            today: || "2026-11-25".parse().ok(),
        };
        let server = Server::open(&options).await.unwrap();
        let address = server.address().trim_start_matches("http://").trim_end_matches('/').to_owned();
        let (end, told) = oneshot::channel();
        let done = tokio::spawn(server.run(async {
            let _ = told.await;
        }));
        Self { address, end: Some(end), done, _folder: folder }
    }

    async fn post(&self, path: &str, body: Value) -> Value {
        let body = body.to_string();
        let request = format!(
            "POST {path} HTTP/1.1\r\nhost: {0}\r\norigin: http://{0}\r\ncontent-type: application/json\r\ncontent-length: {1}\r\nconnection: close\r\n\r\n{body}",
            self.address,
            body.len()
        );
        let mut stream = TcpStream::connect(&self.address).await.unwrap();
        stream.write_all(request.as_bytes()).await.unwrap();
        let mut answer = String::new();
        stream.read_to_string(&mut answer).await.unwrap();
        serde_json::from_str(answer.split_once("\r\n\r\n").unwrap().1).unwrap()
    }

    async fn demo(&self, id: &str) -> String {
        self.post(&format!("/api/demos/{id}"), json!({})).await["id"].as_str().unwrap().to_owned()
    }

    async fn connect(&self, job: &str, origin: Option<&str>) -> Result<Socket, Box<Error>> {
        let mut request = format!("ws://{}/api/jobs/{job}/live", self.address).into_client_request().unwrap();
        if let Some(origin) = origin {
            request.headers_mut().insert("origin", origin.parse().unwrap());
        }
        connect_async(request).await.map(|(socket, _)| socket).map_err(Box::new)
    }

    async fn open(&self, job: &str) -> Socket {
        self.connect(job, Some(&format!("http://{}", self.address))).await.unwrap()
    }
}

async fn send(socket: &mut Socket, message: Value) {
    socket.send(Message::text(message.to_string())).await.unwrap();
}

/// The next answer.
async fn next(socket: &mut Socket) -> Value {
    let wait = tokio::time::timeout(Duration::from_secs(120), socket.next());
    match wait.await.expect("an answer in time").expect("an open line").unwrap() {
        Message::Text(text) => serde_json::from_str(text.as_str()).unwrap(),
        other => panic!("{other:?}"),
    }
}

/// The next answer of another type than progress, with the progress before it.
async fn last(socket: &mut Socket) -> (Value, Vec<Value>) {
    let mut progress = Vec::new();
    loop {
        let answer = next(socket).await;
        if answer["type"] == "progress" { progress.push(answer) } else { return (answer, progress) }
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn a_plan_comes_with_progress_and_a_map_after_it() {
    let server = Running::new().await;
    let job = server.demo("studio").await;
    let mut socket = server.open(&job).await;
    send(&mut socket, json!({ "type": "plan", "request": 1 })).await;
    let (plan, progress) = last(&mut socket).await;
    assert_eq!((&plan["type"], &plan["request"], &plan["revision"]), (&json!("plan"), &json!(1), &json!(1)), "{plan}");
    assert!(progress.iter().any(|p| p["request"] == 1 && p["total"].as_u64() > Some(0)), "{progress:?}");
    let design = &plan["plan"]["options"][0]["id"];
    let ask =
        json!({ "type": "map", "request": 2, "design": design, "storey": "flat", "band": "any", "quantity": "rate" });
    send(&mut socket, ask).await;
    let (map, _) = last(&mut socket).await;
    assert_eq!(
        (&map["type"], &map["request"], &map["map"]["unit"]),
        (&json!("map"), &json!(2), &json!("Mbit/s")),
        "{map}"
    );
    let ask = json!({ "type": "map", "request": 3, "design": "none", "storey": "flat", "quantity": "rate" });
    send(&mut socket, ask).await;
    let (failed, _) = last(&mut socket).await;
    assert_eq!((&failed["type"], &failed["problem"]["status"]), (&json!("failed"), &json!(404)), "{failed}");
}

#[tokio::test(flavor = "multi_thread")]
async fn a_cancelled_plan_is_not_answered_and_the_next_one_is() {
    let server = Running::new().await;
    let job = server.demo("three-generation-terrace").await;
    let mut socket = server.open(&job).await;
    send(&mut socket, json!({ "type": "plan", "request": 1 })).await;
    let first = next(&mut socket).await;
    assert_eq!(first["type"], "progress");
    send(&mut socket, json!({ "type": "cancel", "request": 1 })).await;
    let (answer, _) = last(&mut socket).await;
    assert_eq!(answer, json!({ "type": "cancelled", "request": 1 }));
    // Nothing of the first one comes after that, and the line is good for other things.
    let ask = json!({ "type": "map", "request": 2, "design": "none", "storey": "x", "quantity": "rate" });
    send(&mut socket, ask).await;
    send(&mut socket, json!({ "type": "cancel", "request": 2 })).await;
    let (answer, progress) = last(&mut socket).await;
    assert_eq!(answer["request"], 2, "{answer}");
    assert!(progress.is_empty());
}

#[tokio::test(flavor = "multi_thread")]
async fn every_open_page_hears_of_a_change() {
    let server = Running::new().await;
    let (job, other) = (server.demo("studio").await, server.demo("studio").await);
    let (mut one, mut two, mut apart) = (server.open(&job).await, server.open(&job).await, server.open(&other).await);
    let edit = |base: u64, name: &str| json!({ "base_revision": base, "label": "Rename", "edits": [{ "kind": "set", "path": "name", "value": name }] });
    server.post(&format!("/api/jobs/{job}/edits"), edit(1, "B")).await;
    for socket in [&mut one, &mut two] {
        assert_eq!(next(socket).await, json!({ "type": "changed", "revision": 2 }));
    }
    server.post(&format!("/api/jobs/{other}/edits"), edit(1, "C")).await;
    assert_eq!(next(&mut apart).await, json!({ "type": "changed", "revision": 2 }), "of its own job only");
}

#[tokio::test(flavor = "multi_thread")]
async fn an_edit_during_planning_plans_what_the_job_is_now() {
    let server = Running::new().await;
    let job = server.demo("studio").await;
    let mut socket = server.open(&job).await;
    send(&mut socket, json!({ "type": "plan", "request": 1 })).await;
    assert_eq!(next(&mut socket).await["type"], "progress");
    let edit =
        json!({ "base_revision": 1, "label": "Rename", "edits": [{ "kind": "set", "path": "name", "value": "B" }] });
    server.post(&format!("/api/jobs/{job}/edits"), edit).await;
    loop {
        let (answer, _) = last(&mut socket).await;
        if answer["type"] == "plan" {
            // The plan may have been finished before the edit came; then it says which revision it is of.
            assert!(answer["revision"] == 2 || answer["revision"] == 1, "{answer}");
            break;
        }
        assert_eq!(answer["type"], "changed", "{answer}");
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn what_cannot_be_read_is_said_and_the_line_stays_open() {
    let server = Running::new().await;
    let job = server.demo("studio").await;
    let mut socket = server.open(&job).await;
    for message in
        ["", "{", "[]", r#"{"type":"dance","request":1}"#, r#"{"type":"plan"}"#, r#"{"type":"plan","request":-1}"#]
    {
        socket.send(Message::text(message)).await.unwrap();
        let answer = next(&mut socket).await;
        assert_eq!(
            (&answer["type"], &answer["request"], &answer["problem"]["status"]),
            (&json!("failed"), &Value::Null, &json!(400)),
            "{answer}"
        );
    }
    socket.send(Message::binary(vec![0, 1, 2])).await.unwrap();
    assert_eq!(next(&mut socket).await["type"], "failed");
    // The line may end while the message is still being sent.
    let _ = socket.send(Message::text("x".repeat(1 << 20))).await;
    let end = tokio::time::timeout(Duration::from_secs(30), socket.next()).await.unwrap();
    assert!(!matches!(end, Some(Ok(Message::Text(_)))), "a message that is too long ends the line: {end:?}");
}

#[tokio::test(flavor = "multi_thread")]
async fn another_page_opens_no_line() {
    let server = Running::new().await;
    let job = server.demo("studio").await;
    for origin in [None, Some("http://example.org"), Some("null")] {
        match server.connect(&job, origin).await.map_err(|e| *e) {
            Err(Error::Http(response)) => assert_eq!(response.status(), 403),
            other => panic!("{origin:?}: {other:?}"),
        }
    }
    let own = format!("http://{}", server.address);
    match server.connect("none", Some(&own)).await.map_err(|e| *e) {
        Err(Error::Http(response)) => assert_eq!(response.status(), 404),
        other => panic!("{other:?}"),
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn the_server_ends_with_lines_open_and_work_running() {
    let mut server = Running::new().await;
    let job = server.demo("three-generation-terrace").await;
    let mut socket = server.open(&job).await;
    send(&mut socket, json!({ "type": "plan", "request": 1 })).await;
    next(&mut socket).await;
    server.end.take().unwrap().send(()).unwrap();
    tokio::time::timeout(Duration::from_secs(30), &mut server.done).await.expect("in time").unwrap().unwrap();
    // The line was closed, not left hanging.
    while let Some(Ok(message)) = socket.next().await {
        assert!(matches!(message, Message::Text(_) | Message::Close(_)));
    }
}
