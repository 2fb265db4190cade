//! The HTTP interface and the page, for the person at this machine. No domain logic: parse, call, convert.
//!
//! - [`app`]: everything that is answered, as a router without a socket
//! - [`App`]: what all requests share
//! - [`Server`]: a data folder, a socket on the loopback interface, and a graceful end
//! - [`openapi`]: the description of the interface, OpenAPI 3.1
//! - [`House`], [`Problem`]: the home as drawn, and refusals
//!
//! Who may ask and what a browser may do with the answers is in `guard`.

#![expect(
    clippy::result_large_err,
    reason = "a problem is the end of its request; a copy of 168 bytes is nothing to it"
)]

mod demos;
mod describe;
mod extract;
mod guard;
pub mod house;
mod live;
mod moved;
mod page;
mod problem;
mod routes;
mod serve;
mod state;
mod summary;
mod work;

use axum::Router;
use axum::extract::DefaultBodyLimit;
use axum::middleware::from_fn_with_state;
use tower_http::catch_panic::CatchPanicLayer;
use tower_http::compression::CompressionLayer;

pub use house::House;
pub use problem::{FieldProblem, Problem};
pub use serve::{DEFAULT_PORT, Options, ServeError, Server};
pub use state::{App, Shared};
pub use summary::{Facts, JobSummary};

/// Everything that is answered.
pub fn app(shared: Shared) -> Router {
    let (api, _) = routes::api();
    api.fallback(page::page)
        .method_not_allowed_fallback(page::wrong_method)
        .layer(DefaultBodyLimit::max(guard::BODY_LIMIT))
        .layer(CatchPanicLayer::custom(guard::panicked))
        .layer(CompressionLayer::new())
        .layer(from_fn_with_state(shared.clone(), guard::guard))
        .with_state(shared)
}

/// The description of the interface, OpenAPI 3.1.
#[must_use]
pub fn openapi() -> serde_json::Value {
    routes::api().1
}

#[cfg(test)]
mod tests {
    use super::*;
    use axum::body::Body;
    use axum::http::Request;
    use axum::routing::get;
    use tower::ServiceExt;

    #[tokio::test]
    async fn a_panic_is_answered_without_its_text_and_the_next_request_is_served() {
        let panicking = get(|| async {
            if true {
                panic!("secret detail")
            }
        });
        let app = Router::new()
            .route("/bad", panicking)
            .route("/good", get(|| async { "fine" }))
            .layer(CatchPanicLayer::custom(guard::panicked));
        let ask = async |path: &str| {
            let response = app.clone().oneshot(Request::get(path).body(Body::empty()).unwrap()).await.unwrap();
            let status = response.status().as_u16();
            let bytes = axum::body::to_bytes(response.into_body(), usize::MAX).await.unwrap();
            (status, String::from_utf8(bytes.to_vec()).unwrap())
        };
        let (status, text) = ask("/bad").await;
        let problem: Problem = serde_json::from_str(&text).unwrap();
        assert_eq!((status, problem.status), (500, 500));
        assert!(problem.incident.is_some_and(|incident| problem.detail.contains(&incident)));
        assert!(!text.contains("secret"), "{text}");
        assert_eq!(ask("/good").await, (200, "fine".to_owned()));
    }
}
