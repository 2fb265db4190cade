//! `wallplate assess`: every figure and finding of one design.

use std::sync::Arc;

use assessment::{Assessment, Evaluator, Home, Stays};
use job::Job;
use network::Design;
use serde_json::json;

use super::{load, not_computable, plan_failure, resolve};
use crate::answer::{Answer, End, Failure, value};
use crate::args::Assess;
use crate::progress::Watch;
use crate::render::design::{Names, band_name, parts};
use crate::render::table::{Align, Table};
use crate::render::text::Page;
use crate::render::{capacity, figures, finding, number, source, staying, wires, work};

/// Assesses and prints; code 1 if a limit or target is not met.
pub fn run(args: &Assess, json: bool) -> Result<Answer, Failure> {
    let job = load(&args.job)?;
    if job.household.as_ref().is_some_and(household::Household::is_empty) {
        return Err(plan_failure(&planner::PlanError::EmptyHousehold, &args.job));
    }
    let home = resolve(&job, &args.job)?;
    let watch = Watch::start();
    let design = choose(args, &job, &home, &watch)?;
    let evaluator = Evaluator::new(Arc::new(home.clone())).map_err(|error| not_computable(&error, &args.job))?;
    let assessment =
        evaluator.assess(&design, &watch).map_err(|error| Failure::new(format!("{}: {error}", args.job.display())))?;
    let stays =
        evaluator.staying(&design, &watch).map_err(|error| Failure::new(format!("{}: {error}", args.job.display())))?;
    drop(watch);
    let end = if finding::any_fails(&assessment.findings) { End::Findings } else { End::Clean };
    let as_json = || {
        json!({
            "design": value(&design),
            "assumptions": home.assumptions,
            "figures": value(&assessment.figures),
            "findings": value(&assessment.findings),
            "links": value(&assessment.links),
            "capacity": value(&assessment.capacity),
            "wiring": value(&assessment.wiring),
            "wires": value(&assessment.wires),
            "quote": value(&assessment.quote),
            "staying": value(&stays.staying),
            "changes": value(&stays.changes),
            "cautions": value(&assessment.cautions),
        })
    };
    Ok(Answer::new(json, as_json, || text(args, &job, &home, &design, &assessment, &stays), end))
}

/// The design that was asked for.
fn choose(args: &Assess, job: &Job, home: &Home, watch: &Watch) -> Result<Design, Failure> {
    if let Some(hash) = &args.option {
        let plan =
            planner::plan(job, &planner::Config::default(), watch).map_err(|error| plan_failure(&error, &args.job))?;
        let matching: Vec<_> = plan.options.into_iter().filter(|o| o.id.as_str().starts_with(hash.as_str())).collect();
        return match <[_; 1]>::try_from(matching) {
            Ok([option]) => Ok(option.design),
            Err(none) if none.is_empty() => Err(Failure::new(format!(
                "{}: the plan has no option `{hash}`; `wallplate plan` lists the options that it has now",
                args.job.display()
            ))),
            Err(several) => {
                let ids: Vec<_> = several.iter().map(|o| o.id.to_string()).collect();
                Err(Failure::new(format!("`{hash}` fits several options: {}; give more of it", ids.join(", "))))
            }
        };
    }
    if let Some(id) = &args.design {
        return job.designs.iter().find(|d| d.id.as_str() == id).cloned().ok_or_else(|| {
            let ids: Vec<_> = job.designs.iter().map(|d| d.id.to_string()).collect();
            let known = if ids.is_empty() { "it has none".to_owned() } else { format!("it has {}", ids.join(", ")) };
            Failure::new(format!("{}: the job has no design `{id}`; {known}", args.job.display()))
        });
    }
    match job.designs.first() {
        Some(design) => Ok(design.clone()),
        None => planner::gateway(home).map_err(|error| plan_failure(&error, &args.job)),
    }
}

fn text(args: &Assess, job: &Job, home: &Home, design: &Design, assessment: &Assessment, stays: &Stays) -> String {
    let units = job.site.units;
    let names = Names { home: &home.resolved, catalog: &home.catalog };
    let mut page = Page::new();
    page.heading(&format!("{}: {} ({})", job.name, design.name, design.family));
    if job.designs.is_empty() && args.option.is_none() {
        page.paragraph(
            "The job keeps no design; this is the provider's box alone, at the demarcation point. `wallplate plan` \
             searches for better ones.",
        );
    }
    page.subheading("Parts");
    parts(&mut page, design, &names);
    page.gap();
    let shown: Vec<_> = assessment.figures.iter().filter(|f| !capacity::tells(&f.id)).cloned().collect();
    figures::table(&mut page, &shown, &design.id, units);
    figures::remarks(&mut page, &assessment.figures);
    if !assessment.links.is_empty() {
        page.heading("Wireless links");
        page.paragraph("Rates that each link carries alone on its channel, to and from the device.");
        let mut table = Table::new(&[
            ("device", Align::Left),
            ("served by", Align::Left),
            ("band", Align::Right),
            ("level", Align::Right),
            ("down", Align::Right),
            ("up", Align::Right),
        ]);
        for link in &assessment.links {
            table.row([
                link.to.to_string(),
                link.from.to_string(),
                band_name(link.band).to_owned(),
                format!("{:.0} dBm", link.level_down.0),
                number::rate(link.down.0),
                number::rate(link.up.0),
            ]);
        }
        table.lines(page.width()).iter().for_each(|line| page.line(line));
    }
    capacity::pages(&mut page, &assessment.capacity);
    wires::pages(&mut page, assessment, units);
    staying::pages(&mut page, stays);
    page.heading(&format!("Findings: {}", finding::tally(&assessment.findings)));
    finding::list(&mut page, &assessment.findings, units);
    work::tables(&mut page, &assessment.quote);
    let cautions: Vec<_> = assessment.cautions.iter().map(|c| (c.clone(), String::new())).collect();
    work::cautions(&mut page, &cautions);
    if !home.assumptions.is_empty() {
        page.heading("Assumptions");
        for assumption in &home.assumptions {
            page.item(assumption);
        }
    }
    source::list(&mut page, &assessment.figures, &assessment.findings);
    page.finish()
}
