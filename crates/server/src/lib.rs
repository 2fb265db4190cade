//! The HTTP interface and the page, for the person at this machine. No domain logic: parse, call, convert.
//!
//! - [`app`]: everything that is answered, as a router without a socket
//! - [`App`]: what all requests share
//! - [`Server`]: a data folder, a socket on the loopback interface, and a graceful end
//! - [`openapi`]: the description of the interface, OpenAPI 3.1
//! - [`House`], [`Problem`]: the home as drawn, and refusals
//!
//! Who may ask and what a browser may do with the answers is in `guard`.

mod demos;
mod describe;
mod extract;
mod guard;
pub mod house;
mod live;
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
#[must_use]
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
