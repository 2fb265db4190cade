//! What is wrong, foreign or hostile is refused with words, and changes nothing.

mod common;

use axum::body::{Body, Bytes};
use axum::http::Method;
use common::{HOST, ORIGIN, Page, eight_answers, form, request, two_storey};
use serde_json::{Value, json};

#[tokio::test]
async fn a_foreign_host_is_sent_away() {
    let page = Page::new().await;
    for host in [
        "example.org",
        "example.org:4780",
        "127.0.0.1",
        "127.0.0.1:80",
        "localhost:4781",
        "127.0.0.1:4780.example.org",
        "[::1]",
        "",
    ] {
        for method in [Method::GET, Method::POST] {
            let request = axum::http::Request::builder().method(method).uri("/api/jobs").header("host", host);
            page.send(request.header("origin", ORIGIN).body(Body::empty()).unwrap())
                .await
                .refused(421, &["foreign-host"]);
        }
    }
    let nameless = axum::http::Request::builder().uri("/api/jobs").body(Body::empty()).unwrap();
    page.send(nameless).await.refused(421, &[]);
    let twofold = request(Method::GET, "/api/jobs").header("host", "example.org").body(Body::empty()).unwrap();
    page.send(twofold).await.refused(421, &[]);
    let absolute = request(Method::GET, "http://example.org/api/jobs").body(Body::empty()).unwrap();
    page.send(absolute).await.refused(421, &[]);
    for host in [HOST, "localhost:4780", "LocalHost:4780", "[::1]:4780"] {
        let own = axum::http::Request::builder().uri("/api/jobs").header("host", host).body(Body::empty()).unwrap();
        page.send(own).await.good(200);
    }
}

#[tokio::test]
async fn a_foreign_page_changes_and_reads_nothing() {
    let page = Page::new().await;
    let post = |origin: Option<&str>, site: Option<&str>| {
        let mut post = request(Method::POST, "/api/demos/studio").header("content-type", "application/json");
        if let Some(origin) = origin {
            post = post.header("origin", origin);
        }
        if let Some(site) = site {
            post = post.header("sec-fetch-site", site);
        }
        post.body(Body::from("{}")).unwrap()
    };
    for origin in [
        "http://example.org",
        "null",
        "https://127.0.0.1:4780",
        "http://127.0.0.1:4781",
        "http://127.0.0.1:4780.example.org",
    ] {
        page.send(post(Some(origin), Some("same-origin"))).await.refused(403, &["foreign-origin"]);
    }
    for site in [None, Some("cross-site"), Some("same-site"), Some("none")] {
        page.send(post(None, site)).await.refused(403, &["Origin: http://127.0.0.1:4780"]);
    }
    assert_eq!(page.get("/api/jobs").await.good(200), json!({ "jobs": [] }));
    page.send(post(None, Some("same-origin"))).await.good(201);
    page.send(post(Some("http://localhost:4780"), None)).await.good(201);

    let fetched = |site: &str, mode: &str, path: &str| {
        request(Method::GET, path)
            .header("sec-fetch-site", site)
            .header("sec-fetch-mode", mode)
            .body(Body::empty())
            .unwrap()
    };
    for site in ["cross-site", "same-site"] {
        page.send(fetched(site, "no-cors", "/api/jobs")).await.refused(403, &[]);
        page.send(fetched(site, "navigate", "/api/jobs")).await.refused(403, &[]);
        assert_eq!(
            page.send(fetched(site, "navigate", "/jobs/x")).await.status.as_u16(),
            200,
            "a link to the page is fine"
        );
    }
    page.send(fetched("none", "navigate", "/api/jobs")).await.good(200);
}

#[tokio::test]
async fn a_form_of_another_page_and_other_media_are_refused() {
    let page = Page::new().await;
    for media in ["text/plain", "application/x-www-form-urlencoded", "multipart/form-data", "application/jsonp", ""] {
        page.post_raw("/api/jobs/new", media, eight_answers().to_string()).await.refused(415, &["application/json"]);
    }
    page.post_raw("/api/jobs/import", "application/json", "{}").await.refused(415, &["multipart/form-data"]);
    page.post_raw("/api/jobs/upload", "image/png", "x").await.refused(415, &["application/toml"]);
    let (media, body) = form(&[("architecture", Some("a.ifc"), b"x")]);
    let foreign =
        request(Method::POST, "/api/jobs/import").header("content-type", &media).header("origin", "http://example.org");
    page.send(foreign.body(Body::from(body)).unwrap()).await.refused(403, &[]);
}

#[tokio::test]
async fn bodies_that_are_no_json_or_not_the_right_one_say_where() {
    let page = Page::new().await;
    let id = page.job().await;
    let edits = format!("/api/jobs/{id}/edits");
    for text in ["", "{", r#"{"base_revision":1,"label":"x","edits":[]}}"#, "\u{0}", "[1,", &"[".repeat(100_000)] {
        page.post_raw(&edits, "application/json", text.to_owned()).await.refused(400, &["not JSON"]);
    }
    page.post(&edits, json!([1, "x", "", []])).await.refused(422, &["object"]);
    page.post(&edits, json!({ "base_revision": 1, "label": "x" })).await.refused(422, &["edits"]);
    page.post(&edits, json!({ "base_revision": -1, "label": "x", "edits": [] })).await.refused(422, &["base_revision"]);
    page.post(&edits, json!({ "base_revision": 1, "label": "x", "edits": [{ "kind": "burn", "path": "name" }] }))
        .await
        .refused(422, &["edits[0].kind", "burn"]);
    page.post(&edits, json!({ "base_revision": 1, "label": "x", "edits": [], "extra": 1 }))
        .await
        .refused(422, &["extra"]);
    page.post(
        &edits,
        json!({ "base_revision": 1, "label": "a\nb", "edits": [{ "kind": "set", "path": "name", "value": "B" }] }),
    )
    .await
    .refused(422, &["label"]);
}

#[tokio::test]
async fn a_corrupt_upload_says_what_is_wrong_with_it() {
    let page = Page::new().await;
    let upload = async |name: &str, bytes: Vec<u8>| {
        page.post_raw(&format!("/api/jobs/upload?name={name}"), "application/octet-stream", bytes).await
    };
    upload("a.toml", vec![0xff, 0xfe, 0x00, 0x80]).await.refused(422, &["UTF-8"]);
    upload("a.toml", b"format = ".to_vec()).await.refused(422, &["line 1"]);
    upload("a.toml", two_storey().replace("[[building.walls]]", "[[building.wals]]").into_bytes())
        .await
        .refused(422, &["wals", "did you mean"]);
    upload("a.json", b"{\"format\": \"wallplate/1\"".to_vec()).await.refused(422, &["line 1"]);
    let half = two_storey();
    upload("a.toml", half.as_bytes()[..half.len() / 2].to_vec()).await.refused(422, &[]);
    for garbage in [&b"not a model"[..], b"ISO-10303-21;\nHEADER;\n", b"", b"PK\x03\x04\x00\x00"] {
        let (media, body) = form(&[("architecture", Some("house.ifc"), garbage)]);
        page.post_raw("/api/jobs/import", &media, body).await.refused(422, &["architecture"]);
    }
    let (media, body) = form(&[("dwelling", None, b"A")]);
    page.post_raw("/api/jobs/import", &media, body).await.refused(422, &["no model"]);
    let (media, mut body) = form(&[("architecture", Some("house.ifc"), b"ISO-10303-21;")]);
    body.truncate(body.len() - 30);
    page.post_raw("/api/jobs/import", &media, body).await.refused(400, &["form"]);
    let (media, body) = form(&[("roof", Some("house.ifc"), b"x")]);
    page.post_raw("/api/jobs/import", &media, body).await.refused(400, &["roof"]);
    page.post_raw("/api/jobs/import", "multipart/form-data", "x").await.refused(400, &["boundary"]);
    assert_eq!(page.get("/api/jobs").await.good(200), json!({ "jobs": [] }));
}

#[tokio::test]
async fn a_job_of_a_newer_version_is_refused_by_name() {
    let page = Page::new().await;
    let newer = two_storey().replace("wallplate/1", "wallplate/7");
    let answer = page.post_raw("/api/jobs/upload?name=a.toml", "text/plain; charset=utf-8", newer).await;
    answer.refused(422, &["wallplate/7", "newer"]);
    let mut document = serde_json::to_value(job::parse(&two_storey(), job::Encoding::Toml).unwrap()).unwrap();
    document["format"] = json!("wallplate/7");
    page.post("/api/jobs", json!({ "document": document })).await.refused(422, &["wallplate/7", "newer"]);
}

/// A body of a length that is made up as it is read, and counts how much of it was.
fn endless(length: usize) -> (Body, std::sync::Arc<std::sync::atomic::AtomicUsize>) {
    let read = std::sync::Arc::new(std::sync::atomic::AtomicUsize::new(0));
    let counter = read.clone();
    let chunk = Bytes::from(vec![b' '; 64 << 10]);
    let chunks = (0..length / chunk.len()).map(move |_| {
        counter.fetch_add(chunk.len(), std::sync::atomic::Ordering::SeqCst);
        Ok::<_, std::io::Error>(chunk.clone())
    });
    (Body::from_stream(futures_util::stream::iter(chunks)), read)
}

#[tokio::test]
async fn a_body_over_its_limit_is_refused_without_being_read() {
    const SIZE: usize = 100 << 20;
    let page = Page::new().await;
    let id = page.job().await;
    let multipart = "multipart/form-data; boundary=x";
    for (path, media, limit) in [
        ("/api/jobs/upload".to_owned(), "application/toml", 64 << 20),
        ("/api/jobs".to_owned(), "application/json", 64 << 20),
        ("/api/jobs/import".to_owned(), multipart, 64 << 20),
        ("/api/jobs/new".to_owned(), "application/json", 1 << 20),
        (format!("/api/jobs/{id}/edits"), "application/json", 1 << 20),
    ] {
        let words = format!("{} MB", limit >> 20);
        let post = || request(Method::POST, &path).header("origin", ORIGIN).header("content-type", media);
        let (body, read) = endless(SIZE);
        page.send(post().header("content-length", SIZE).body(body).unwrap()).await.refused(413, &[&words]);
        assert_eq!(
            read.load(std::sync::atomic::Ordering::SeqCst),
            0,
            "{path}: nothing is read where the length is stated"
        );
        if media != multipart {
            let (body, read) = endless(SIZE);
            page.send(post().body(body).unwrap()).await.refused(413, &[&words]);
            let read = read.load(std::sync::atomic::Ordering::SeqCst);
            assert!(read <= limit + (1 << 20), "{path}: {read} bytes were read");
        }
    }
}

#[tokio::test]
async fn a_model_over_the_limit_without_a_length_is_refused() {
    let page = Page::new().await;
    let head = "--x\r\ncontent-disposition: form-data; name=\"architecture\"; filename=\"a.ifc\"\r\n\r\n";
    let chunk = Bytes::from(vec![b' '; 64 << 10]);
    let chunks =
        std::iter::once(Bytes::from(head)).chain(std::iter::repeat_n(chunk, 1600)).map(Ok::<_, std::io::Error>);
    let body = Body::from_stream(futures_util::stream::iter(chunks));
    page.post_raw("/api/jobs/import", "multipart/form-data; boundary=x", body).await.refused(413, &["64 MB"]);
}

#[tokio::test]
async fn script_in_a_name_stays_text() {
    let page = Page::new().await;
    let script = "<script>alert(1)</script>\"'&";
    let named = two_storey().replacen("name = \"Two storeys\"", &format!("name = '''{script}'''"), 1);
    let id = page.upload(&named).await;
    let answer = page.get(&format!("/api/jobs/{id}")).await;
    assert_eq!(answer.header("content-type"), "application/json");
    assert_eq!(answer.header("x-content-type-options"), "nosniff");
    assert_eq!(answer.good(200)["job"]["name"], script);
    let toml = page.get(&format!("/api/jobs/{id}/document.toml")).await;
    assert_eq!(toml.header("content-disposition"), "attachment; filename=\"script-alert-1-script.toml\"");
    let refused = page.get(&format!("/api/jobs/{id}/assessment?design=%3Cscript%3E")).await;
    assert_eq!(refused.header("content-type"), "application/problem+json");
}

#[tokio::test]
async fn unknown_addresses_methods_and_queries_are_refused() {
    let page = Page::new().await;
    let id = page.job().await;
    page.get("/api/nothing").await.refused(404, &["/api/nothing"]);
    page.get("/api").await.refused(404, &[]);
    page.get("/api/jobs/not-an-id").await.refused(404, &["not-an-id"]);
    page.get("/api/jobs/%ff").await.refused(404, &[]);
    page.get("/api/jobs/01900000-0000-7000-8000-000000000000/house").await.refused(404, &["no job"]);
    page.get("/api/jobs?archived=perhaps").await.refused(400, &["archived"]);
    page.get("/api/jobs?archive=true").await.refused(400, &["archive"]);
    page.get(&format!("/api/jobs/{id}/map?design=x")).await.refused(400, &["storey"]);
    page.get(&format!("/api/jobs/{id}/map?design=x&storey=a%20b")).await.refused(400, &["storey"]);
    page.get(&format!("/api/jobs/{id}/map?design=x&storey=ground&band=7")).await.refused(400, &["band"]);
    page.get(&format!("/api/jobs/{id}/probe?design=x&storey=ground&x=NaN&y=0")).await.refused(400, &["finite"]);
    page.get(&format!("/api/jobs/{id}/live")).await.refused(400, &["WebSocket"]);
    for method in [Method::DELETE, Method::PUT, Method::PATCH] {
        let wrong = request(method, "/api/jobs").header("origin", ORIGIN).body(Body::empty()).unwrap();
        page.send(wrong).await.refused(405, &[]);
    }
    page.post("/jobs/x", json!({})).await.refused(405, &[]);
}

#[tokio::test]
async fn a_home_that_cannot_be_computed_on_says_everything_that_is_wrong() {
    let page = Page::new().await;
    // A home without a line into it can be drawn but not planned.
    let mut document = serde_json::to_value(job::parse(&two_storey(), job::Encoding::Toml).unwrap()).unwrap();
    document["site"]["lines"] = json!([]);
    let lineless = page.post("/api/jobs", json!({ "document": document })).await.good(201);
    let at = |id: &Value, tail: &str| format!("/api/jobs/{}/{tail}", id.as_str().unwrap());
    page.get(&at(&lineless["id"], "house")).await.good(200);
    page.get(&at(&lineless["id"], "plan")).await.refused(422, &["not-computable", "line"]);
    document["building"]["walls"][0]["assembly"] = json!("unheard-of");
    document["building"]["walls"][1]["assembly"] = json!("unheard-of");
    let broken = page.post("/api/jobs", json!({ "document": document })).await.good(201);
    assert_eq!(broken["floor_area_m2"], Value::Null);
    let problem = page.get(&at(&broken["id"], "house")).await.refused(422, &["unheard-of"]);
    assert!(problem["problems"].as_array().unwrap().len() >= 2, "{problem}");
    assert!(
        page.get(&format!("/api/jobs/{}", broken["id"].as_str().unwrap())).await.good(200)["problems"]
            .as_array()
            .unwrap()
            .len()
            >= 2
    );
}

#[tokio::test]
async fn every_answer_tells_the_browser_what_it_may_do() {
    let page = Page::new().await;
    for path in ["/", "/api/jobs", "/api/nothing", "/jobs/x/coverage"] {
        let answer = page.get(path).await;
        let policy = answer.header("content-security-policy");
        for part in [
            "default-src 'none'",
            "script-src 'self'",
            "connect-src 'self' ws://127.0.0.1:4780",
            "form-action 'none'",
            "frame-ancestors 'none'",
        ] {
            assert!(policy.contains(part), "{path}: {policy}");
        }
        assert!(!policy.contains("unsafe"), "{policy}");
        assert_eq!(answer.header("x-content-type-options"), "nosniff");
        assert_eq!(answer.header("referrer-policy"), "no-referrer");
        assert_eq!(answer.header("cross-origin-resource-policy"), "same-origin");
        assert_eq!(answer.header("cross-origin-opener-policy"), "same-origin");
        assert_eq!(answer.header("access-control-allow-origin"), "");
    }
    assert_eq!(page.get("/api/jobs").await.header("cache-control"), "no-store");
}
