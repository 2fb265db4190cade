//! Every route: parse, call, convert. One file for each subject.

mod building;
pub mod capacity;
pub mod coverage;
pub mod demos;
mod edits;
mod fresh;
mod home;
mod import;
mod jobs;
mod meta;
mod probe;
mod staying;

use axum::Router;
use serde_json::Value;

use crate::describe::{Api, Says};
use crate::live;
use crate::problem::{BUSY, Kind, NOT_COMPUTABLE, STALE};
use crate::state::Shared;

/// All routes under `/api`, and the OpenAPI document that describes them.
pub fn api() -> (Router<Shared>, Value) {
    let api = coverage_routes(home_routes(edit_routes(job_routes(Api::new()))));
    api.get("/api/version", says("version", "program", "What the program is."), meta::version)
        .get("/api/countries", says("list_countries", "program", "Countries by their code."), meta::countries)
        .get("/api/openapi.json", says("openapi", "program", "This description."), meta::openapi)
        .finish()
}

/// A route whose types tell of every refusal.
fn says(id: &'static str, tag: &'static str, summary: &'static str) -> Says {
    Says { id, tag, summary, refuses: &[] }
}

/// A route with refusals beside those that its types tell of.
fn refusing(id: &'static str, tag: &'static str, summary: &'static str, refuses: &'static [Kind]) -> Says {
    Says { id, tag, summary, refuses }
}

fn job_routes(api: Api) -> Api {
    let large = job::MAX_BYTES;
    api.get("/api/jobs", says("list_jobs", "jobs", "Jobs, the newest change first."), jobs::list)
        .post_large("/api/jobs", says("create_job", "jobs", "Stores a job document."), large, jobs::create)
        .post_large(
            "/api/jobs/upload",
            says("upload_job", "jobs", "Stores a job document that is sent as a file, TOML or JSON."),
            large,
            jobs::upload,
        )
        .post_large(
            "/api/jobs/import",
            says("import_job", "jobs", "Makes a job of an architect's model (IFC2x3 or IFC4)."),
            import::MAX_IMPORT,
            import::import,
        )
        .post("/api/jobs/new", says("new_home", "jobs", "Makes and stores a home from eight answers."), fresh::create)
        .post(
            "/api/sketch",
            says("sketch", "jobs", "Draws a home from eight answers; nothing is stored."),
            fresh::sketch,
        )
        .get("/api/demos", says("list_demos", "jobs", "Demo homes."), demos::list)
        .post("/api/demos/{id}", says("open_demo", "jobs", "Stores a copy of a demo home as a job."), demos::open)
        .get(
            "/api/jobs/{id}",
            says("read_job", "jobs", "A job with its document and what is wrong with it."),
            jobs::read,
        )
        .get(
            "/api/jobs/{id}/document.toml",
            says("download_job", "jobs", "The document as TOML, as a download."),
            jobs::document,
        )
}

fn edit_routes(api: Api) -> Api {
    api.post(
        "/api/jobs/{id}/edits",
        refusing("edit_job", "edits", "Makes edits, all or none; answered once they are on disk.", &[STALE]),
        edits::edit,
    )
    .post(
        "/api/jobs/{id}/undo",
        refusing("undo", "edits", "Takes back the last edit that was not taken back.", &[STALE]),
        edits::undo,
    )
    .post(
        "/api/jobs/{id}/redo",
        refusing("redo", "edits", "Makes the edit again that was last taken back.", &[STALE]),
        edits::redo,
    )
    .get(
        "/api/jobs/{id}/history",
        says("read_history", "edits", "What was done to a job, the newest first."),
        edits::history,
    )
    .post("/api/jobs/{id}/duplicate", says("duplicate_job", "jobs", "Stores a copy of a job."), edits::duplicate)
    .post(
        "/api/jobs/{id}/archive",
        says("archive_job", "jobs", "Puts a job away, or takes it back."),
        edits::archive,
    )
}

fn home_routes(api: Api) -> Api {
    const COMPUTED: &[Kind] = &[NOT_COMPUTABLE, STALE, BUSY];
    api.get(
        "/api/jobs/{id}/house",
        refusing("read_house", "home", "The home as a plan draws it.", &[NOT_COMPUTABLE]),
        home::house,
    )
    .get(
        "/api/jobs/{id}/plan",
        refusing(
            "read_plan",
            "home",
            "Options for the home, best first; computed if they are not known yet.",
            COMPUTED,
        ),
        home::plan,
    )
    .get(
        "/api/jobs/{id}/assessment",
        refusing("read_assessment", "home", "Every figure and finding of one design or option.", COMPUTED),
        home::assessment,
    )
    .get(
        "/api/jobs/{id}/capacity",
        refusing(
            "read_capacity",
            "home",
            "What a design carries in the busy hour, and its radios' channels.",
            COMPUTED,
        ),
        capacity::capacity,
    )
    .get(
        "/api/jobs/{id}/cabling",
        refusing(
            "read_cabling",
            "home",
            "How the cables of a design run, and what cables, ports, supplies and panels bear.",
            COMPUTED,
        ),
        building::cabling,
    )
    .get(
        "/api/jobs/{id}/cost",
        refusing("read_cost", "home", "Take-off, work and price of a design, and the cautions of the work.", COMPUTED),
        building::cost,
    )
    .get(
        "/api/jobs/{id}/offer",
        refusing("read_offer", "home", "Up to three options of rising price, with what each adds.", COMPUTED),
        building::offer,
    )
    .get(
        "/api/jobs/{id}/resilience",
        refusing(
            "read_resilience",
            "home",
            "How the services of a design stay up, its batteries, outages and weak points.",
            COMPUTED,
        ),
        staying::resilience,
    )
    .get(
        "/api/jobs/{id}/what-if",
        refusing("read_what_if", "home", "Who loses what while things of a design are off.", COMPUTED),
        staying::what_if,
    )
}

fn coverage_routes(api: Api) -> Api {
    const COMPUTED: &[Kind] = &[NOT_COMPUTABLE, STALE, BUSY];
    api.get(
        "/api/jobs/{id}/map",
        refusing("read_map", "coverage", "Coverage of a storey by a design, in cells.", COMPUTED),
        coverage::map,
    )
    .get(
        "/api/jobs/{id}/probe",
        refusing("read_probe", "coverage", "What a telephone has at a point, and how its level comes about.", COMPUTED),
        probe::probe,
    )
    .get(
        "/api/jobs/{id}/live",
        says("live", "coverage", "The open line: plans and maps with progress, cancelling, news of changes."),
        live::live,
    )
    .also::<live::LiveRequest, live::LiveAnswer>()
}
