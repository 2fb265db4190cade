//! The description of the interface: current, valid, true to the answers, and no reading route writes.

mod common;

use std::path::Path;

use common::{Page, eight_answers};
use serde_json::{Value, json};

const COMMITTED: &str = "openapi.json";

#[test]
fn the_committed_description_is_current() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(COMMITTED);
    let committed = std::fs::read_to_string(&path).unwrap_or_default();
    let now = format!("{:#}\n", server::openapi());
    assert!(
        committed == now,
        "crates/server/{COMMITTED} is out of date; renew it with `cargo run -p cli -- openapi > crates/server/{COMMITTED}`"
    );
}

#[test]
fn every_reference_leads_somewhere_and_every_operation_is_complete() {
    let document = server::openapi();
    let mut left = vec![&document];
    while let Some(value) = left.pop() {
        match value {
            Value::Object(map) => {
                if let Some(Value::String(place)) = map.get("$ref") {
                    let pointer = place.strip_prefix('#').unwrap();
                    assert!(document.pointer(pointer).is_some(), "{place} leads nowhere");
                }
                left.extend(map.values());
            }
            Value::Array(list) => left.extend(list),
            _ => {}
        }
    }
    for (path, item) in document["paths"].as_object().unwrap() {
        for (method, operation) in item.as_object().unwrap() {
            let responses = operation["responses"].as_object().unwrap();
            assert!(responses.keys().any(|s| s.starts_with('2') || s == "101"), "{method} {path} answers nothing");
            assert!(responses.contains_key("421") && responses.contains_key("500"), "{method} {path}");
            assert_eq!(responses.contains_key("403"), method != "get" || path.ends_with("/live"), "{method} {path}");
            let named = operation["parameters"].as_array().map(|p| p.iter().filter(|p| p["in"] == "path").count());
            assert_eq!(named.unwrap_or(0), path.matches('{').count(), "{method} {path}");
        }
    }
    // Tagged unions say by which field they are told apart.
    assert_eq!(document["components"]["schemas"]["Medium"]["discriminator"]["propertyName"], "over");
    assert_eq!(document["components"]["schemas"]["LiveRequest"]["discriminator"]["propertyName"], "type");
    // A quantity is written as a number and may be read as a text as well.
    assert_eq!(document["components"]["schemas"]["Metres"]["type"], "number");
    assert!(document["components"]["schemas"]["MetresInput"]["anyOf"].is_array());
}

/// The schema of an answer, with the components where its references look for them.
fn schema_of(document: &Value, path: &str, method: &str, status: &str) -> Value {
    let content = &document["paths"][path][method]["responses"][status]["content"];
    let media = content.as_object().and_then(|c| c.values().next()).unwrap_or(&Value::Null);
    assert!(media["schema"].is_object(), "{method} {path} {status}: {content}");
    json!({ "allOf": [media["schema"]], "components": document["components"] })
}

#[tokio::test]
async fn answers_are_as_described_and_reading_writes_nothing() {
    let page = Page::new().await;
    let document = server::openapi();
    let opened = page.post("/api/demos/studio", json!({})).await.good(201);
    let id = opened["id"].as_str().unwrap().to_owned();
    let rename =
        json!({ "base_revision": 1, "label": "Rename", "edits": [{ "kind": "set", "path": "name", "value": "B" }] });
    page.post(&format!("/api/jobs/{id}/edits"), rename).await.good(200);
    let plan = page.get(&format!("/api/jobs/{id}/plan")).await.good(200);
    let design = plan["plan"]["options"][0]["id"].as_str().unwrap().to_owned();
    let part = plan["plan"]["options"][0]["design"]["parts"][0]["id"].as_str().unwrap().to_owned();
    let before = dump(&page);
    let mut num_reading = 0;
    for (path, item) in document["paths"].as_object().unwrap() {
        let Some(operation) = item.get("get") else { continue };
        let mut address = path.replace("{id}", &id);
        let query = |p: &Value| {
            let value = match p["name"].as_str().unwrap() {
                "design" => design.clone(),
                "storey" => "flat".to_owned(),
                "archived" => "false".to_owned(),
                "band" => "any".to_owned(),
                "quantity" => "rate".to_owned(),
                "x" | "y" | "to_x" | "to_y" => "2.0".to_owned(),
                "move" => part.clone(),
                "coarse" => "true".to_owned(),
                "off" => "mains".to_owned(),
                "minutes" => "30".to_owned(),
                other => panic!("no value for {other}: add one"),
            };
            format!("{}={value}", p["name"].as_str().unwrap())
        };
        let queries: Vec<String> = operation["parameters"]
            .as_array()
            .map(|all| all.iter().filter(|p| p["in"] == "query").map(query).collect())
            .unwrap_or_default();
        if !queries.is_empty() {
            address = format!("{address}?{}", queries.join("&"));
        }
        let answer = page.get(&address).await;
        num_reading += 1;
        if path.ends_with("/live") {
            answer.refused(400, &["WebSocket"]);
            continue;
        }
        assert_eq!(answer.status, 200, "{address}: {}", String::from_utf8_lossy(&answer.bytes));
        if answer.header("content-type") == "application/json" {
            let schema = schema_of(&document, path, "get", "200");
            let validator = jsonschema::draft202012::new(&schema).unwrap();
            let wrong: Vec<String> =
                validator.iter_errors(&answer.json()).take(3).map(|e| format!("{}: {e}", e.instance_path())).collect();
            assert!(wrong.is_empty(), "{path}: {wrong:#?}");
        }
        assert_eq!(dump(&page), before, "GET {path} changed the database");
    }
    assert!(num_reading >= 13, "{num_reading}");
    // HEAD is answered by the same routes.
    let head = common::request(axum::http::Method::HEAD, "/api/jobs").body(axum::body::Body::empty()).unwrap();
    assert_eq!(page.send(head).await.status, 200);
    assert_eq!(dump(&page), before);
    // And a changing route does change it: the comparison can fail.
    page.post("/api/jobs/new", eight_answers()).await.good(201);
    assert_ne!(dump(&page), before);
}

#[tokio::test]
async fn refusals_are_as_described() {
    let page = Page::new().await;
    let document = server::openapi();
    let id = page.job().await;
    for (path, address) in
        [("/api/jobs/{id}", "/api/jobs/none".to_owned()), ("/api/jobs/{id}/plan", "/api/jobs/none/plan".to_owned())]
    {
        let answer = page.get(&address).await.refused(404, &[]);
        let schema = schema_of(&document, path, "get", "404");
        assert!(jsonschema::draft202012::new(&schema).unwrap().is_valid(&answer), "{answer}");
    }
    let stale = json!({ "base_revision": 9, "label": "x", "edits": [{ "kind": "set", "path": "name", "value": "B" }] });
    let answer = page.post(&format!("/api/jobs/{id}/edits"), stale).await.refused(409, &[]);
    let schema = schema_of(&document, "/api/jobs/{id}/edits", "post", "409");
    assert!(jsonschema::draft202012::new(&schema).unwrap().is_valid(&answer), "{answer}");
}

#[test]
fn bodies_that_are_sent_are_as_described() {
    let document = server::openapi();
    let body = |path: &str| {
        let schema = &document["paths"][path]["post"]["requestBody"]["content"]["application/json"]["schema"];
        let schema = json!({ "allOf": [schema], "components": document["components"] });
        jsonschema::draft202012::new(&schema).unwrap()
    };
    assert!(body("/api/jobs/new").is_valid(&eight_answers()));
    let job = job::parse(&common::two_storey(), job::Encoding::Toml).unwrap();
    assert!(body("/api/jobs").is_valid(&json!({ "document": job })));
    let mut by_hand = serde_json::to_value(&job).unwrap();
    by_hand["building"]["storeys"][0]["height"] = json!("2.4 m");
    assert!(body("/api/jobs").is_valid(&json!({ "document": by_hand })), "a quantity may be a text");
    by_hand["building"]["storeys"][0]["height"] = json!(true);
    assert!(!body("/api/jobs").is_valid(&json!({ "document": by_hand })));
}

/// Every file of the database that holds content, byte by byte; what other processes share of it is left out.
fn dump(page: &Page) -> Vec<(String, Vec<u8>)> {
    let mut files: Vec<(String, Vec<u8>)> = std::fs::read_dir(page.folder.path())
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| !path.to_string_lossy().ends_with("-shm"))
        .map(|path| (path.file_name().unwrap().to_string_lossy().into_owned(), std::fs::read(&path).unwrap()))
        .collect();
    files.sort();
    files
}
