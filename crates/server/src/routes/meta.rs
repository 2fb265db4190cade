//! The program itself.

use axum::extract::State;
use schemars::JsonSchema;
use serde::Serialize;
use serde_json::Value;

use crate::extract::Json;
use crate::problem::Problem;
use crate::state::Shared;

/// What the program is.
#[derive(Debug, Serialize, JsonSchema)]
pub struct Version {
    /// Version of the program.
    pub program: &'static str,
    /// Format of the job documents that it writes.
    pub format: &'static str,
}

/// `GET /api/version`.
pub async fn version() -> Result<Json<Version>, Problem> {
    Ok(Json(Version { program: env!("CARGO_PKG_VERSION"), format: job::FORMAT }))
}

/// Countries.
#[derive(Debug, Serialize, JsonSchema)]
pub struct Countries {
    /// By code.
    pub countries: Vec<Country>,
}

/// A country.
#[derive(Debug, Serialize, JsonSchema)]
pub struct Country {
    /// Two letters of ISO 3166-1.
    pub code: &'static str,
    /// English short name.
    pub name: &'static str,
}

/// `GET /api/countries`.
pub async fn countries(State(_): State<Shared>) -> Result<Json<Countries>, Problem> {
    let countries = site::country_names().iter().map(|&(code, name)| Country { code, name });
    Ok(Json(Countries { countries: countries.collect() }))
}

/// An OpenAPI document.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(inline)]
pub struct Document(#[schemars(with = "serde_json::Map<String, Value>")] Value);

/// `GET /api/openapi.json`.
pub async fn openapi() -> Result<Json<Document>, Problem> {
    Ok(Json(Document(crate::openapi())))
}
