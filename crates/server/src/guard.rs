//! What stands around every route: who may ask, how much may be sent, and what a browser may do with the answer.
//!
//! The server is for the person at this machine. It listens on the loopback interface only; but any page that the
//! person's browser shows can send requests there, so that
//! - the `Host` must be this server's, which stops names of others that are made to lead here (DNS rebinding);
//! - what changes something, and the WebSocket, must come from this server's own page: an `Origin` of this server, or
//!   `Sec-Fetch-Site: same-origin`. Browsers send both by themselves; any other program has to state the `Origin`;
//! - what another page makes the browser fetch is refused before any work is done for it.

use axum::extract::{Request, State};
use axum::http::header::{
    CACHE_CONTROL, CONTENT_SECURITY_POLICY, HOST, ORIGIN, REFERRER_POLICY, UPGRADE, X_CONTENT_TYPE_OPTIONS,
};
use axum::http::{HeaderMap, HeaderName, HeaderValue, Method};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};

use crate::problem::{self, Problem};
use crate::state::Shared;

/// Most that a request may send where nothing else is said [bytes].
pub const BODY_LIMIT: usize = 1 << 20;

const SEC_FETCH_SITE: HeaderName = HeaderName::from_static("sec-fetch-site");
const SEC_FETCH_MODE: HeaderName = HeaderName::from_static("sec-fetch-mode");

/// The limit of a route's body [bytes], for the extractors.
#[derive(Clone, Copy, Debug)]
pub struct BodyLimit(pub usize);

impl BodyLimit {
    /// The limit that holds for a request.
    pub fn of(request: &Request) -> usize {
        request.extensions().get::<Self>().map_or(BODY_LIMIT, |limit| limit.0)
    }
}

/// Refuses what is not for this server or not from its page, and adds the headers that every answer has.
pub async fn guard(State(app): State<Shared>, request: Request, next: Next) -> Response {
    let host = match own_host(&app, &request) {
        Ok(host) => host,
        Err(problem) => return with_headers(problem.into_response(), None),
    };
    if let Err(problem) = from_own_page(&app, &request) {
        return with_headers(problem.into_response(), Some(&host));
    }
    with_headers(next.run(request).await, Some(&host))
}

/// The host that the request names, if it is this server.
fn own_host(app: &Shared, request: &Request) -> Result<String, Problem> {
    let foreign = |named: &str| {
        let named: String = named.chars().take(80).collect();
        let detail = format!("The request names the host `{named}`; this server is at {}.", app.address());
        Problem::new(problem::MISDIRECTED, detail)
    };
    let mut hosts = request.headers().get_all(HOST).iter().map(|h| h.to_str().unwrap_or_default());
    let stated = hosts.next();
    if hosts.next().is_some() {
        return Err(foreign("several"));
    }
    // A request can name its host in its first line as well; both must be ours.
    let in_line = request.uri().authority().map(axum::http::uri::Authority::as_str);
    match (stated, in_line) {
        (None, None) => Err(foreign("")),
        (stated, in_line) => match [stated, in_line].into_iter().flatten().find(|host| !app.is_own_host(host)) {
            Some(host) => Err(foreign(host)),
            None => Ok(stated.or(in_line).unwrap_or_default().to_owned()),
        },
    }
}

/// Whether the request may come from where it comes from.
fn from_own_page(app: &Shared, request: &Request) -> Result<(), Problem> {
    let headers = request.headers();
    let refuse = |why: String| {
        let origin = app.address();
        let detail = format!("{why} Send it from the page, or state `Origin: {}`.", origin.trim_end_matches('/'));
        Err(Problem::new(problem::FOREIGN, detail))
    };
    let text = |name: HeaderName| headers.get(name).map(|v| v.to_str().unwrap_or("?"));
    let reads = matches!(*request.method(), Method::GET | Method::HEAD | Method::OPTIONS) && !is_upgrade(headers);
    if reads {
        // A page that another site leads the person to may be shown; what another page fetches is refused.
        let elsewhere = matches!(text(SEC_FETCH_SITE), Some("cross-site" | "same-site"));
        let shown = text(SEC_FETCH_MODE) == Some("navigate") && !request.uri().path().starts_with("/api/");
        return if elsewhere && !shown { refuse("Another page asked for this.".to_owned()) } else { Ok(()) };
    }
    match (text(ORIGIN), text(SEC_FETCH_SITE)) {
        (Some(origin), _) if origin.strip_prefix("http://").is_some_and(|host| app.is_own_host(host)) => Ok(()),
        (Some(origin), _) => {
            let origin: String = origin.chars().take(80).collect();
            refuse(format!("The request comes from `{origin}`."))
        }
        (None, Some("same-origin")) => Ok(()),
        (None, _) => refuse("The request does not say that it comes from this server's page.".to_owned()),
    }
}

fn is_upgrade(headers: &HeaderMap) -> bool {
    headers.contains_key(UPGRADE)
}

/// The headers of every answer.
fn with_headers(mut response: Response, host: Option<&str>) -> Response {
    let headers = response.headers_mut();
    // The page's own scripts, styles, pictures and fonts, and nothing from elsewhere; no frames, no forms.
    let socket = host.map(|host| format!(" ws://{host}")).unwrap_or_default();
    let policy = format!(
        "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; font-src 'self'; \
         connect-src 'self'{socket}; manifest-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
    );
    if let Ok(policy) = HeaderValue::from_str(&policy) {
        headers.insert(CONTENT_SECURITY_POLICY, policy);
    }
    for (name, value) in [
        (X_CONTENT_TYPE_OPTIONS, "nosniff"),
        (REFERRER_POLICY, "no-referrer"),
        (HeaderName::from_static("cross-origin-opener-policy"), "same-origin"),
        (HeaderName::from_static("cross-origin-resource-policy"), "same-origin"),
    ] {
        headers.insert(name, HeaderValue::from_static(value));
    }
    headers.entry(CACHE_CONTROL).or_insert(HeaderValue::from_static("no-store"));
    response
}

/// Turns a panic of one request into an answer.
pub fn panicked(cause: Box<dyn std::any::Any + Send>) -> Response {
    let text = cause.downcast_ref::<String>().map(String::as_str).or_else(|| cause.downcast_ref::<&str>().copied());
    Problem::internal(&format!("a request panicked: {}", text.unwrap_or("no message"))).into_response()
}
