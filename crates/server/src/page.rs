//! The page: its files, carried by the program, and what stands there when it was not built.

use axum::extract::Request;
use axum::http::header::{CACHE_CONTROL, CONTENT_TYPE};
use axum::http::{HeaderValue, Method, StatusCode};
use axum::response::{IntoResponse, Response};
use rust_embed::{EmbeddedFile, RustEmbed};

use crate::problem::{self, Problem};

/// The built page.
#[derive(RustEmbed)]
#[folder = "../../web/dist"]
#[allow_missing = true]
struct Files;

/// The address of the page itself.
const INDEX: &str = "index.html";

const NOT_BUILT: &str = "The page of Wallplate was not built into this program.\n\
    From a copy of the repository, `cargo xtask start` builds it and opens it.\n\
    The interface under /api/ works all the same.\n";

/// Answers what no route of the interface answers: a file of the page, or the page itself, which shows what its address
/// names.
pub async fn page(request: Request) -> Response {
    let path = request.uri().path().trim_start_matches('/');
    if path == "api" || path.starts_with("api/") {
        let path: String = path.chars().take(120).collect();
        return Problem::new(problem::MISSING, format!("There is nothing at `/{path}`.")).into_response();
    }
    if !matches!(*request.method(), Method::GET | Method::HEAD) {
        return wrong_method().await.into_response();
    }
    if let Some(file) = Files::get(path).filter(|_| !path.is_empty()) {
        return answer(path, file);
    }
    // What has an ending is a file, and there is none; all else is an address within the page.
    let last = path.rsplit('/').next().unwrap_or_default();
    if last.contains('.') {
        return plain(StatusCode::NOT_FOUND, "There is no such file.\n");
    }
    match Files::get(INDEX) {
        Some(file) => answer(INDEX, file),
        None => plain(StatusCode::OK, NOT_BUILT),
    }
}

/// The refusal of a method that an address does not have.
pub async fn wrong_method() -> Problem {
    Problem::new(problem::METHOD, "This address does not take that method.")
}

fn answer(path: &str, file: EmbeddedFile) -> Response {
    let media = file.metadata.mimetype().to_owned();
    let media = if media.starts_with("text/") { format!("{media}; charset=utf-8") } else { media };
    let media = HeaderValue::from_str(&media).unwrap_or(HeaderValue::from_static("application/octet-stream"));
    // The build puts a hash of the content into the names of these files.
    let is_hashed = path.starts_with("assets/");
    let cache = if is_hashed { "public, max-age=31536000, immutable" } else { "no-cache" };
    let headers = [(CONTENT_TYPE, media), (CACHE_CONTROL, HeaderValue::from_static(cache))];
    (headers, file.data.into_owned()).into_response()
}

fn plain(status: StatusCode, text: &'static str) -> Response {
    (status, [(CONTENT_TYPE, HeaderValue::from_static("text/plain; charset=utf-8"))], text).into_response()
}
