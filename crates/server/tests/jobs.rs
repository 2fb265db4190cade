//! Jobs over HTTP: stored, listed, edited, undone, copied, put away.

mod common;

use common::{Page, eight_answers, file, form, two_storey};
use serde_json::{Value, json};

fn set(path: &str, value: impl Into<Value>) -> Value {
    json!({ "kind": "set", "path": path, "value": value.into() })
}

#[tokio::test]
async fn an_uploaded_job_is_listed_read_and_downloaded() {
    let page = Page::new().await;
    assert_eq!(page.get("/api/jobs").await.good(200), json!({ "jobs": [] }));
    let id = page.job().await;
    let listed = page.get("/api/jobs").await.good(200);
    let summary = &listed["jobs"][0];
    assert_eq!((&summary["id"], &summary["revision"]), (&json!(id), &json!(1)));
    assert_eq!(
        (&summary["country"], &summary["units"], &summary["storeys"]),
        (&json!("US"), &json!("feet-inches"), &json!(2))
    );
    // The comment at the head of the demo home says 184 m² over all; the rooms themselves have less.
    let area = summary["floor_area_m2"].as_f64().unwrap();
    assert!((140.0..184.0).contains(&area), "{area}");

    let read = page.get(&format!("/api/jobs/{id}")).await.good(200);
    assert_eq!(read["document"]["format"], "wallplate/1");
    assert_eq!(
        (&read["can_undo"], &read["can_redo"], &read["undo_label"]),
        (&json!(false), &json!(false), &Value::Null)
    );

    let toml = page.get(&format!("/api/jobs/{id}/document.toml")).await;
    assert_eq!(toml.header("content-disposition"), "attachment; filename=\"two-storeys.toml\"");
    let text = String::from_utf8(toml.bytes.to_vec()).unwrap();
    let again = job::parse(&text, job::Encoding::Toml).unwrap();
    assert_eq!(again, job::parse(&two_storey(), job::Encoding::Toml).unwrap());
}

#[tokio::test]
async fn a_document_is_stored_as_json() {
    let page = Page::new().await;
    let job = job::parse(&two_storey(), job::Encoding::Toml).unwrap();
    let stored = page.post("/api/jobs", json!({ "document": job, "who": "adult 1" })).await.good(201);
    let history = page.get(&format!("/api/jobs/{}/history", stored["id"].as_str().unwrap())).await.good(200);
    assert_eq!(history["entries"][0]["who"], "adult 1");
}

#[tokio::test]
async fn edits_are_undone_and_redone() {
    let page = Page::new().await;
    let id = page.job().await;
    let at = |tail: &str| format!("/api/jobs/{id}/{tail}");
    let edit =
        json!({ "base_revision": 1, "label": "Rename", "who": "adult 1", "edits": [set("name", "Corner house")] });
    let head = page.post(&at("edits"), edit).await.good(200);
    assert_eq!(
        head,
        json!({ "revision": 2, "can_undo": true, "can_redo": false, "undo_label": "Rename", "redo_label": null })
    );
    assert_eq!(page.get("/api/jobs").await.good(200)["jobs"][0]["name"], "Corner house");
    let head = page.post(&at("undo"), json!({ "base_revision": 2 })).await.good(200);
    assert_eq!((&head["can_undo"], &head["redo_label"]), (&json!(false), &json!("Rename")));
    assert_eq!(page.get("/api/jobs").await.good(200)["jobs"][0]["name"], "Two storeys");
    page.post(&at("redo"), json!({ "base_revision": 3 })).await.good(200);
    page.post(&at("redo"), json!({ "base_revision": 4 })).await.refused(409, &["nothing"]);
    let entries = page.get(&at("history")).await.good(200)["entries"].clone();
    let kinds: Vec<&str> = entries.as_array().unwrap().iter().map(|e| e["kind"].as_str().unwrap()).collect();
    assert_eq!(kinds, ["redo", "undo", "edit", "edit"]);
}

#[tokio::test]
async fn a_second_page_with_an_old_revision_is_told_the_new_one() {
    let page = Page::new().await;
    let id = page.job().await;
    let edit = |base: u64| json!({ "base_revision": base, "label": "Rename", "edits": [set("name", "A")] });
    page.post(&format!("/api/jobs/{id}/edits"), edit(1)).await.good(200);
    let problem = page.post(&format!("/api/jobs/{id}/edits"), edit(1)).await.refused(409, &["stale", "revision 2"]);
    assert_eq!(problem["revision"], 2);
    let problem =
        page.post(&format!("/api/jobs/{id}/undo"), json!({ "base_revision": 1 })).await.refused(409, &["stale"]);
    assert_eq!(problem["revision"], 2);
}

#[tokio::test]
async fn a_refused_edit_says_where_and_changes_nothing() {
    let page = Page::new().await;
    let id = page.job().await;
    let edits = [set("name", "A"), set("building/walls/nowhere/assembly", "x")];
    let edit = json!({ "base_revision": 1, "label": "Two edits", "edits": edits });
    let problem = page.post(&format!("/api/jobs/{id}/edits"), edit).await.refused(422, &["nowhere"]);
    assert_eq!(problem["problems"][0]["path"], "building/walls/nowhere/assembly");
    assert_eq!(page.get("/api/jobs").await.good(200)["jobs"][0]["name"], "Two storeys");
}

#[tokio::test]
async fn a_job_is_copied_and_put_away() {
    let page = Page::new().await;
    let id = page.job().await;
    let copy = page.post(&format!("/api/jobs/{id}/duplicate"), json!({})).await.good(201);
    assert_eq!(copy["name"], "Two storeys (copy)");
    let away = page.post(&format!("/api/jobs/{id}/archive"), json!({ "archived": true })).await.good(200);
    assert_eq!(away["archived"], true);
    let ids = |list: Value| list["jobs"].as_array().unwrap().iter().map(|j| j["id"].clone()).collect::<Vec<_>>();
    assert_eq!(ids(page.get("/api/jobs?archived=true").await.good(200)), [json!(id)]);
    assert_eq!(ids(page.get("/api/jobs?archived=false").await.good(200)), [copy["id"].clone()]);
}

#[tokio::test]
async fn the_demo_homes_are_listed_and_opened() {
    let page = Page::new().await;
    let demos = page.get("/api/demos").await.good(200)["demos"].as_array().unwrap().clone();
    assert_eq!(demos.len(), 8);
    for demo in &demos {
        assert!(demo["floor_area_m2"].as_f64().unwrap() > 15.0 && demo["rooms"].as_u64().unwrap() >= 3, "{demo}");
    }
    let first = page.post("/api/demos/studio", json!({})).await.good(201);
    let second = page.post("/api/demos/studio", json!({})).await.good(201);
    assert_ne!(first["id"], second["id"], "each is a copy");
    page.post("/api/demos/castle", json!({})).await.refused(404, &["castle", "studio"]);
}

#[tokio::test]
async fn eight_answers_make_a_home_that_is_first_looked_at() {
    let page = Page::new().await;
    let sketch = page.post("/api/sketch", eight_answers()).await.good(200);
    assert_eq!((&sketch["house"]["revision"], sketch["house"]["storeys"].as_array().unwrap().len()), (&json!(0), 2));
    assert_eq!(page.get("/api/jobs").await.good(200), json!({ "jobs": [] }), "nothing is stored");
    let made = page.post("/api/jobs/new", eight_answers()).await.good(201);
    assert!(!made["notes"].as_array().unwrap().is_empty());
    let house = page.get(&format!("/api/jobs/{}/house", made["job"]["id"].as_str().unwrap())).await.good(200);
    assert_eq!(house["storeys"], sketch["house"]["storeys"], "the same answers give the same home");
}

#[tokio::test]
async fn absurd_wishes_say_what_fits() {
    let page = Page::new().await;
    let wish = |field: &str, value: Value| {
        let mut answers = eight_answers();
        *answers.pointer_mut(field).unwrap() = value;
        answers
    };
    let mut crowded = wish("/floor_area_m2", json!(40.0));
    *crowded.pointer_mut("/rooms/bedrooms").unwrap() = json!(20);
    for path in ["/api/jobs/new", "/api/sketch"] {
        let problem = page.post(path, crowded.clone()).await.refused(422, &[]);
        let hint = problem["problems"][0]["hint"].as_str().unwrap();
        assert!(hint.contains(|c: char| c.is_ascii_digit()), "says what fits, in figures: {problem}");
        page.post(path, wish("/floor_area_m2", json!(-5))).await.refused(422, &["floor_area_m2"]);
        page.post(path, wish("/storeys", json!(0))).await.refused(422, &["storeys"]);
        page.post(path, wish("/storeys", json!(-1))).await.refused(422, &["storeys"]);
        page.post(path, wish("/construction", json!("straw"))).await.refused(422, &["construction", "straw"]);
        page.post(path, wish("/country", json!("Atlantis"))).await.refused(422, &["country"]);
    }
    assert_eq!(page.get("/api/jobs").await.good(200), json!({ "jobs": [] }));
}

#[tokio::test]
async fn a_model_of_two_dwellings_is_imported_once_one_is_named() {
    let page = Page::new().await;
    let architecture = file("demo/two-dwelling-house/architecture.ifc");
    let electrical = file("demo/two-dwelling-house/electrical.ifc");
    let files: [(&str, Option<&str>, &[u8]); 2] = [
        ("architecture", Some("C:\\models\\house.ifc"), &architecture),
        ("electrical", Some("sockets.ifc"), &electrical),
    ];
    let (media, body) = form(&files);
    let problem = page.post_raw("/api/jobs/import", &media, body).await.refused(422, &["dwelling"]);
    let dwellings = problem["dwellings"].as_array().unwrap().clone();
    assert_eq!(dwellings.len(), 2);
    let named =
        [files[0], files[1], ("dwelling", None, dwellings[0].as_str().unwrap().as_bytes()), ("country", None, b"us")];
    let (media, body) = form(&named);
    let imported = page.post_raw("/api/jobs/import", &media, body).await.good(201);
    for part in ["understood", "guessed", "left_out", "assumed"] {
        assert!(!imported["report"][part].as_array().unwrap().is_empty(), "{part}");
    }
    assert_eq!(imported["job"]["name"], format!("house, dwelling {}", dwellings[0].as_str().unwrap()));
    let house = page.get(&format!("/api/jobs/{}/house", imported["job"]["id"].as_str().unwrap())).await.good(200);
    assert!(house["storeys"].as_array().unwrap().iter().any(|s| s["outlets"].as_array().unwrap().len() > 10));
}
