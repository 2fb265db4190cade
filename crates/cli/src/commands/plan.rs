//! `wallplate plan`: options for a home, ranked, each with its reasons.

use std::collections::BTreeSet;

use network::results::Plan;

use super::{load, plan_failure, resolve};
use crate::answer::{Answer, End, Failure, value};
use crate::args;
use crate::progress::Watch;
use crate::render::finding;
use crate::render::plan as layout;
use crate::render::text::Page;

/// Plans and prints; code 1 if no option meets every limit and target.
pub fn run(args: &args::Plan, json: bool) -> Result<Answer, Failure> {
    let job = load(&args.job)?;
    let mut config = planner::Config::default();
    if !args.families.is_empty() {
        let wanted: BTreeSet<_> = args.families.iter().copied().collect();
        config.families = wanted.into_iter().collect();
    }
    let watch = Watch::start();
    let mut plan = planner::plan(&job, &config, &watch).map_err(|error| plan_failure(&error, &args.job))?;
    drop(watch);
    let home = resolve(&job, &args.job)?;
    plan.assumptions = planner::assumptions(&job, &home);
    let shown = args.top.map_or(usize::MAX, usize::from);
    let any_good = plan.options.iter().any(|o| !finding::any_fails(&o.findings));
    let end = if any_good { End::Clean } else { End::Findings };
    let as_json = || {
        let options = plan.options.iter().take(shown).cloned().collect();
        value(&Plan { options, ..plan.clone() })
    };
    let text = || {
        let mut page = Page::new();
        let title = format!("Network designs for {}", job.name);
        layout::page(&mut page, &title, &plan, shown, &home);
        page.finish()
    };
    Ok(Answer::new(json, as_json, text, end))
}
