//! One file for each command: arguments in, answer out.

pub mod assess;
pub mod check;
pub mod completions;
pub mod import;
pub mod new;
pub mod openapi;
pub mod plan;
pub mod rules;
pub mod schema;
pub mod serve;
pub mod show;

use std::path::Path;

use assessment::{Home, NotComputable};
use job::{Encoding, Job};
use serde_json::json;

use crate::answer::{Failure, value};
use crate::files;

/// Reads and parses a job.
fn load(path: &Path) -> Result<Job, Failure> {
    let source = files::read_job(path)?;
    job::parse(&source.text, source.encoding).map_err(|error| {
        Failure::new(format!("{}: {error}", source.name))
            .fact("file", json!(source.name))
            .fact("line", json!(error.line))
            .fact("column", json!(error.column))
            .fact("path", json!(error.path))
            .fact("id", json!(error.id))
    })
}

/// Writes a job, once it is certain that it reads back as the same job.
fn write_job(job: &Job, encoding: Encoding, path: &Path, force: bool) -> Result<(), Failure> {
    let name = path.display();
    let text = job::print(job, encoding).map_err(|problem| Failure::new(format!("{name}: {problem}")))?;
    match job::parse(&text, encoding) {
        Ok(again) if &again == job => {}
        Ok(_) => {
            return Err(Failure::new(format!("{name}: the job does not read back as it was; nothing was written")));
        }
        Err(error) => {
            return Err(Failure::new(format!("{name}: the job does not read back ({error}); nothing was written")));
        }
    }
    Ok(files::write_whole(path, &text, force)?)
}

/// Resolves a job, or says everything that keeps it from being computed on.
fn resolve(job: &Job, path: &Path) -> Result<Home, Failure> {
    Home::new(job).map_err(|error| not_computable(&error, path))
}

fn not_computable(error: &NotComputable, path: &Path) -> Failure {
    Failure::new(format!("{}: {error}", path.display()))
        .fact("file", json!(path.display().to_string()))
        .fact("findings", value(&error.findings))
        .fact("reasons", json!(error.reasons))
}

fn plan_failure(error: &planner::PlanError, path: &Path) -> Failure {
    match error {
        planner::PlanError::NotComputable(error) => not_computable(error, path),
        other => Failure::new(format!("{}: {other}", path.display())).fact("file", json!(path.display().to_string())),
    }
}
