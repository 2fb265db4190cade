//! Searches for designs of a home, ranks them and says why.
//!
//! - [`plan`]: options of every family that can make sense, and the reason for each family that cannot
//! - [`gateway`]: the provider's box alone, the design that a home has before anyone designs
//! - [`assumptions`]: what was assumed because the job does not say it
//! - [`best_set`]: the exact search over places that all families use
//!
//! This crate owns no figure: it proposes designs, [`assessment`] judges them.

mod assumptions;
mod build;
mod families;
mod names;
mod outbuilding;
mod places;
mod powered;
mod protected;
mod rank;
mod search;
mod siting;
mod wants;

use std::sync::Arc;

use assessment::{Evaluator, Home, NotComputable};
use findings::{Cancelled, Progress};
use household::Household;
use job::Job;
use network::results::{DesignOption, Excluded, Plan};
use network::{Design, Family};
use site::Site;

pub use assumptions::assumptions;
use families::{Draft, Workshop};
pub use search::{Chosen, best_set};

/// What to plan, and how hard to search.
#[derive(Clone, Debug)]
pub struct Config {
    /// The families to try.
    pub families: Vec<Family>,
    /// Most access points beside the first one.
    pub max_access_points: usize,
    /// Distance between candidate places along walls and under ceilings \[m\].
    pub place_spacing: f64,
    /// Side of the cells that places are compared on \[m\]; options are assessed on the evaluator's own finer cells.
    pub search_cell: f64,
}

impl Default for Config {
    fn default() -> Self {
        Self { families: Family::ALL.to_vec(), max_access_points: 4, place_spacing: 1.5, search_cell: 0.5 }
    }
}

/// Why there is no plan.
#[derive(Debug, thiserror::Error)]
pub enum PlanError {
    /// The job cannot be computed on.
    #[error(transparent)]
    NotComputable(#[from] NotComputable),
    /// The job says that nobody lives here.
    #[error(
        "the household is empty: it names no people, devices or activities, so there is nothing to design for; add some, or delete the `household` section to plan for the stated default household"
    )]
    EmptyHousehold,
    /// The job has no line into the home.
    #[error("the site has no line into the home, so no design can reach the internet; add one under `site.lines`")]
    NoLine,
    /// No room could stand a router.
    #[error("no room can hold the equipment: every room is excluded by `household.wishes.rooms_without_equipment`")]
    NoPlace,
    /// The work was cancelled.
    #[error("cancelled")]
    Cancelled,
}

impl From<Cancelled> for PlanError {
    fn from(_: Cancelled) -> Self {
        Self::Cancelled
    }
}

/// Designs for a home, best first, and why each family that is missing is missing.
///
/// The same job gives the same plan, byte for byte.
///
/// # Errors
/// [`PlanError`]; a home for which no design meets the targets is not an error: the options then say by how much.
pub fn plan(job: &Job, config: &Config, progress: &dyn Progress) -> Result<Plan, PlanError> {
    let evaluator = Evaluator::new(Arc::new(prepare(job)?))?;
    plan_with(&evaluator, config, progress)
}

/// As [`plan`], for a home that is prepared already, so that what was computed for it is used again.
///
/// # Errors
/// [`PlanError`], but for what [`Home::new`] refuses.
pub fn plan_with(evaluator: &Evaluator, config: &Config, progress: &dyn Progress) -> Result<Plan, PlanError> {
    let home = evaluator.home();
    is_plannable(Some(&home.household), &home.site)?;
    let workshop = Workshop::new(home, evaluator, config, progress)?;
    let mut excluded = Vec::new();
    let mut drafts: Vec<Draft> = Vec::new();
    for family in Family::ALL {
        if !config.families.contains(&family) {
            continue;
        }
        progress.step("designing", family as u64, Family::ALL.len() as u64)?;
        match workshop.drafts(family)? {
            Ok(found) => drafts.extend(found),
            Err(reason) => excluded.push(Excluded { family, reason }),
        }
    }
    let mut options: Vec<DesignOption> = Vec::new();
    let mut repeated: Vec<(Family, Family)> = Vec::new();
    let total = drafts.len() as u64;
    for (done, draft) in drafts.into_iter().enumerate() {
        progress.step("assessing", done as u64, total)?;
        let design = names::with_hash(draft.design);
        if let Some(same) = options.iter().find(|o| is_same(&o.design, &design)) {
            if same.family != design.family {
                repeated.push((design.family, same.family));
            }
            continue;
        }
        let assessment = evaluator.assess(&design, progress)?;
        options.push(DesignOption {
            id: design.id.clone(),
            family: design.family,
            design,
            figures: assessment.figures,
            findings: assessment.findings,
            cautions: assessment.cautions,
            gap: draft.gap,
            beats: Vec::new(),
            beaten_by: Vec::new(),
        });
    }
    for (family, first) in repeated {
        let is_missing = !options.iter().any(|o| o.family == family) && !excluded.iter().any(|e| e.family == family);
        if is_missing {
            excluded.push(Excluded { family, reason: format!("its design is the same as that of {first}") });
        }
    }
    rank::rank(&mut options, home);
    Ok(Plan { assumptions: home.assumptions.clone(), options, excluded })
}

/// Whether two designs are the same but for their names and families.
fn is_same(a: &Design, b: &Design) -> bool {
    a.parts == b.parts
        && a.links == b.links
        && a.radios == b.radios
        && a.segments == b.segments
        && a.feeds == b.feeds
        && a.line_queue == b.line_queue
}

/// The provider's box alone, at the demarcation point.
///
/// # Errors
/// [`PlanError::NoLine`] without a line into the home; [`PlanError::NoPlace`] without a room to stand in.
pub fn gateway(home: &Home) -> Result<Design, PlanError> {
    if home.site.lines.is_empty() {
        return Err(PlanError::NoLine);
    }
    Ok(names::with_hash(families::gateway_design(home)?))
}

/// The home of a job, if designs for it can be searched.
fn prepare(job: &Job) -> Result<Home, PlanError> {
    is_plannable(job.household.as_ref(), &job.site)?;
    Ok(Home::new(job)?)
}

fn is_plannable(household: Option<&Household>, site: &Site) -> Result<(), PlanError> {
    if household.is_some_and(Household::is_empty) {
        return Err(PlanError::EmptyHousehold);
    }
    if site.lines.is_empty() {
        return Err(PlanError::NoLine);
    }
    Ok(())
}
