//! What handlers take: JSON bodies, queries, ids, files; each read strictly and refused with field lists.

use axum::body::Bytes;
use axum::extract::{FromRequest, FromRequestParts, OptionalFromRequest, RawPathParams, Request};
use axum::http::header::{CONTENT_LENGTH, CONTENT_TYPE};
use axum::http::request::Parts;
use axum::http::{HeaderMap, StatusCode};
use axum::response::{IntoResponse, Response};
use schemars::JsonSchema;
use serde::Serialize;
use serde::de::DeserializeOwned;
use serde_json::json;
use store::JobId;

use crate::describe::{Input, Operation, Output};
use crate::guard::BodyLimit;
use crate::problem::{self, FieldProblem, Problem};

/// The id of a job, from the path.
#[derive(Clone, Copy, Debug)]
pub struct JobPath(pub JobId);

impl<S: Send + Sync> FromRequestParts<S> for JobPath {
    type Rejection = Problem;
    async fn from_request_parts(parts: &mut Parts, state: &S) -> Result<Self, Problem> {
        let text = path_parameter(parts, state, "id").await?;
        let missing = || Problem::of_field(problem::MISSING, "id", format!("there is no job `{}`", shorten(&text)));
        text.parse().map(Self).map_err(|_| missing())
    }
}

impl Input for JobPath {
    fn describe(operation: &mut Operation<'_>) {
        operation.path_parameter("id", "the job", json!({ "type": "string", "format": "uuid" }));
        operation.refuses(problem::MISSING);
        // A stored document that only a newer version of the program can read.
        operation.refuses(problem::REFUSED);
    }
}

/// The id of a demo home, from the path.
#[derive(Clone, Debug)]
pub struct DemoPath(pub String);

impl<S: Send + Sync> FromRequestParts<S> for DemoPath {
    type Rejection = Problem;
    async fn from_request_parts(parts: &mut Parts, state: &S) -> Result<Self, Problem> {
        path_parameter(parts, state, "id").await.map(Self)
    }
}

impl Input for DemoPath {
    fn describe(operation: &mut Operation<'_>) {
        operation.path_parameter("id", "the demo home", json!({ "type": "string" }));
        operation.refuses(problem::MISSING);
    }
}

async fn path_parameter<S: Send + Sync>(parts: &mut Parts, state: &S, name: &str) -> Result<String, Problem> {
    let unreadable = |_| Problem::of_field(problem::MISSING, name, "this part of the address cannot be read");
    let all = RawPathParams::from_request_parts(parts, state).await.map_err(unreadable)?;
    Ok(all.iter().find(|(key, _)| *key == name).map(|(_, value)| value.to_owned()).unwrap_or_default())
}

/// What stands behind the question mark of the address. Unknown fields are refused, so that a slip is noticed.
#[derive(Clone, Debug)]
pub struct Query<T>(pub T);

impl<T: DeserializeOwned, S: Send + Sync> FromRequestParts<S> for Query<T> {
    type Rejection = Problem;
    async fn from_request_parts(parts: &mut Parts, _: &S) -> Result<Self, Problem> {
        let read = axum::extract::Query::<T>::try_from_uri(&parts.uri);
        read.map(|query| Self(query.0)).map_err(|rejection| {
            // The library's sentence begins with its own words and ends with the cause, which names the field.
            let text = rejection.body_text();
            let cause = text.strip_prefix("Failed to deserialize query string: ").unwrap_or(&text).to_owned();
            let (path, message) = match cause.split_once(": ") {
                Some((field, message)) if !field.contains(' ') => (field.to_owned(), message.to_owned()),
                _ => (named(&cause), cause.clone()),
            };
            Problem::new(problem::UNREADABLE, format!("The query cannot be read: {cause}."))
                .field(FieldProblem::new(path, message))
        })
    }
}

/// The field that a message names between backticks.
fn named(message: &str) -> String {
    message.split('`').nth(1).unwrap_or_default().to_owned()
}

impl<T: JsonSchema> Input for Query<T> {
    fn describe(operation: &mut Operation<'_>) {
        operation.query::<T>();
        operation.refuses(problem::UNREADABLE);
    }
}

/// A JSON body.
#[derive(Clone, Debug)]
pub struct Body<T>(pub T);

impl<T: DeserializeOwned, S: Send + Sync> FromRequest<S> for Body<T> {
    type Rejection = Problem;
    async fn from_request(request: Request, state: &S) -> Result<Self, Problem> {
        expect_media(request.headers(), "application/json")?;
        from_json(&whole_body(request, state).await?).map(Self)
    }
}

impl<T: DeserializeOwned, S: Send + Sync> OptionalFromRequest<S> for Body<T> {
    type Rejection = Problem;
    async fn from_request(request: Request, state: &S) -> Result<Option<Self>, Problem> {
        <Self as FromRequest<S>>::from_request(request, state).await.map(Some)
    }
}

impl<T: JsonSchema> Input for Body<T> {
    fn describe(operation: &mut Operation<'_>) {
        operation.json_body::<T>();
        for kind in [problem::UNREADABLE, problem::TOO_LARGE, problem::MEDIA, problem::REFUSED] {
            operation.refuses(kind);
        }
    }
}

/// A JSON value of a type from bytes.
fn from_json<T: DeserializeOwned>(bytes: &[u8]) -> Result<T, Problem> {
    let no_json =
        |error: serde_json::Error| Problem::new(problem::UNREADABLE, format!("The body is not JSON: {error}."));
    // The library would take a list of the fields' values for an object.
    if !bytes.trim_ascii_start().starts_with(b"{") {
        serde_json::from_slice::<serde::de::IgnoredAny>(bytes).map_err(no_json)?;
        return Err(Problem::new(problem::REFUSED, "The body is a JSON value, but not an object with fields."));
    }
    let mut json = serde_json::Deserializer::from_slice(bytes);
    let read = serde_path_to_error::deserialize(&mut json).map_err(|error| {
        let (path, error) = (error.path().to_string(), error.into_inner());
        let message = error.to_string();
        if error.is_data() {
            let message = message.rsplit_once(" at line ").map_or(message.as_str(), |(said, _)| said).to_owned();
            let path = if path == "." { String::new() } else { path };
            Problem::of_field(problem::REFUSED, path, message)
        } else {
            no_json(error)
        }
    })?;
    json.end().map_err(no_json)?;
    Ok(read)
}

/// Text that was uploaded as the body itself.
#[derive(Clone, Debug)]
pub struct Text(pub String);

/// Media types that text can be uploaded as; files of unknown kind are sent as the second.
const TEXTS: [&str; 4] = ["application/json", "application/octet-stream", "application/toml", "text/plain"];

impl<S: Send + Sync> FromRequest<S> for Text {
    type Rejection = Problem;
    async fn from_request(request: Request, state: &S) -> Result<Self, Problem> {
        let media = media_of(request.headers());
        if !TEXTS.contains(&media.as_str()) {
            return Err(wrong_media(&media, &TEXTS.join(", ")));
        }
        let bytes = whole_body(request, state).await?;
        String::from_utf8(bytes.into()).map(Self).map_err(|error| {
            let at = error.utf8_error().valid_up_to();
            Problem::of_field(
                problem::REFUSED,
                "body",
                format!("is not text in UTF-8: byte {at} belongs to no character"),
            )
        })
    }
}

impl Input for Text {
    fn describe(operation: &mut Operation<'_>) {
        operation.body(&TEXTS.map(|media| (media, json!({ "type": "string" }))));
        for kind in [problem::TOO_LARGE, problem::MEDIA, problem::REFUSED] {
            operation.refuses(kind);
        }
    }
}

/// Refuses a body whose length is stated and over the limit, before any of it is read.
pub fn expect_length(request: &Request) -> Result<usize, Problem> {
    let limit = BodyLimit::of(request);
    let stated =
        request.headers().get(CONTENT_LENGTH).and_then(|v| v.to_str().ok()).and_then(|v| v.parse::<u64>().ok());
    match stated {
        Some(length) if length > limit as u64 => Err(too_large(limit)),
        _ => Ok(limit),
    }
}

/// The refusal of a body over its limit.
pub fn too_large(limit: usize) -> Problem {
    let limit = if limit.is_multiple_of(1 << 20) { format!("{} MB", limit >> 20) } else { format!("{limit} bytes") };
    Problem::new(
        problem::TOO_LARGE,
        format!("The request is over the limit of {limit} for this address; nothing was changed."),
    )
}

async fn whole_body<S: Send + Sync>(request: Request, state: &S) -> Result<Bytes, Problem> {
    let limit = expect_length(&request)?;
    Bytes::from_request(request, state).await.map_err(|rejection| {
        if rejection.status() == StatusCode::PAYLOAD_TOO_LARGE {
            too_large(limit)
        } else {
            Problem::new(problem::UNREADABLE, "The body broke off before its end.")
        }
    })
}

/// The media type of a request's body, without its parameters, in small letters.
fn media_of(headers: &HeaderMap) -> String {
    let value = headers.get(CONTENT_TYPE).and_then(|v| v.to_str().ok()).unwrap_or_default();
    value.split(';').next().unwrap_or_default().trim().to_ascii_lowercase()
}

/// Refuses a body of any other media type.
pub fn expect_media(headers: &HeaderMap, media: &str) -> Result<(), Problem> {
    let found = media_of(headers);
    if found == media { Ok(()) } else { Err(wrong_media(&found, media)) }
}

fn wrong_media(found: &str, wanted: &str) -> Problem {
    let found = if found.is_empty() { "no media type".to_owned() } else { format!("`{}`", shorten(found)) };
    Problem::new(problem::MEDIA, format!("The request states {found} for its body; this address takes {wanted}."))
}

fn shorten(text: &str) -> String {
    text.chars().take(80).collect()
}

/// A JSON answer.
#[derive(Clone, Debug)]
pub struct Json<T>(pub T);

impl<T: Serialize> IntoResponse for Json<T> {
    fn into_response(self) -> Response {
        axum::Json(self.0).into_response()
    }
}

impl<T: JsonSchema> Output for Json<T> {
    fn describe(operation: &mut Operation<'_>) {
        operation.answers::<T>(StatusCode::OK, "done");
    }
}

/// A JSON answer about something that was stored.
#[derive(Clone, Debug)]
pub struct Created<T>(pub T);

impl<T: Serialize> IntoResponse for Created<T> {
    fn into_response(self) -> Response {
        (StatusCode::CREATED, axum::Json(self.0)).into_response()
    }
}

impl<T: JsonSchema> Output for Created<T> {
    fn describe(operation: &mut Operation<'_>) {
        operation.answers::<T>(StatusCode::CREATED, "stored");
    }
}
