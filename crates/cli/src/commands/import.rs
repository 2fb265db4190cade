//! `wallplate import`: from an architect's model to a job, with a report of how it was read.

use building::Resolved;
use findings::{Finding, Severity};
use ifc::{Entry, Import as Model, Options, Origin};
use job::Job;
use serde_json::json;
use site::Site;
use units::{Date, SquareMetres};

use super::write_job;
use crate::answer::{Answer, End, Failure, value};
use crate::args::Import;
use crate::progress::Watch;
use crate::render::text::{Page, count};
use crate::render::{finding, number};
use crate::{clock, files};

/// Imports and writes the job; code 1 if the home has risks to look at, 2 with nothing written if it cannot be computed on.
pub fn run(args: &Import, json: bool) -> Result<Answer, Failure> {
    let encoding = files::encoding_of(&args.output)?;
    files::expect_writable(&args.output, args.force)?;
    let site = site(args)?;
    let architecture = files::read_model(&args.file)?;
    let electrical = args.electrical.as_deref().map(files::read_model).transpose()?;
    let watch = Watch::start();
    let options = Options { dwelling: args.dwelling.clone(), ..Options::default() };
    let model = ifc::read(&architecture, electrical.as_deref(), &options, &watch).map_err(|error| {
        let failure = Failure::new(format!("{}: {error}", args.file.display()))
            .fact("file", json!(args.file.display().to_string()));
        match &error {
            ifc::ImportError::ChooseDwelling(dwellings) | ifc::ImportError::UnknownDwelling { dwellings, .. } => {
                failure.fact("dwellings", value(dwellings))
            }
            _ => failure,
        }
    })?;
    drop(watch);
    let (job, assumptions) = job_of(args, &model, site);
    let findings = job::validate(&job);
    if finding::any_fails(&findings) && !args.keep_invalid {
        return Err(refused(args, &findings));
    }
    write_job(&job, encoding, &args.output, args.force)?;
    let end = if findings.iter().any(|f| f.severity <= Severity::Risk) { End::Findings } else { End::Clean };
    let as_json = || {
        json!({
            "job": args.output.display().to_string(),
            "understood": value(&model.report.understood),
            "guessed": value(&model.report.guessed),
            "left_out": value(&model.report.left_out),
            "dwellings": value(&model.dwellings),
            "assumptions": assumptions,
            "findings": value(&findings),
        })
    };
    Ok(Answer::new(json, as_json, || text(args, &job, &model, &assumptions, &findings), end))
}

/// The stated default service of the country that was asked for.
fn site(args: &Import) -> Result<Site, Failure> {
    let country = args.country.to_ascii_uppercase();
    if site::country_name(&country).is_none() {
        return Err(Failure::new(format!(
            "`{}` is no country code of ISO 3166-1; give two letters, such as US, CA, GB, DE, FR or JP",
            args.country
        )));
    }
    let date: Date = match args.date {
        Some(date) => date,
        None => clock::today()?,
    };
    Ok(Site::default_for(&country, date))
}

fn job_of(args: &Import, model: &Model, site: Site) -> (Job, Vec<String>) {
    let (architecture, electrical) = (file_name(&args.file), args.electrical.as_deref().map(file_name));
    let origin =
        Origin { architecture: &architecture, electrical: electrical.as_deref(), dwelling: args.dwelling.as_deref() };
    model.to_job(origin, site)
}

fn refused(args: &Import, findings: &[Finding]) -> Failure {
    let failing: Vec<&Finding> = findings.iter().filter(|f| f.severity <= Severity::Fails).collect();
    let mut message = format!(
        "{}: the model was read, but its home cannot be computed on; nothing was written. {}:",
        args.file.display(),
        count(failing.len(), "problem")
    );
    for finding in &failing {
        message.push_str(&format!("\n  {} [{}]", finding.message, finding.rule));
        for remedy in &finding.remedies {
            message.push_str(&format!("\n    {}", remedy.text));
        }
    }
    message
        .push_str("\nMend the model and import it again, or write the job as it is with --keep-invalid and mend that.");
    Failure::new(message).fact("file", json!(args.file.display().to_string())).fact("findings", value(&failing))
}

fn text(args: &Import, job: &Job, model: &Model, assumptions: &[String], findings: &[Finding]) -> String {
    let units = job.site.units;
    let mut page = Page::new();
    let area: f64 = match Resolved::new(&job.building) {
        Ok(resolved) => resolved.rooms.iter().map(|r| r.area).sum(),
        Err(_) => job.building.rooms.iter().filter_map(|r| r.stated_area).map(|a| a.0).sum(),
    };
    page.heading(&format!("{}: imported to {}", job.name, args.output.display()));
    page.paragraph(&format!(
        "{}, {} of {}, {}, {}, {}.",
        count(job.building.storeys.len(), "storey"),
        count(job.building.rooms.len(), "room"),
        number::area(SquareMetres(area), units),
        count(job.building.walls.len(), "wall"),
        count(job.building.openings.len(), "opening"),
        count(job.building.outlets.len(), "outlet"),
    ));
    entries(&mut page, "Understood", &model.report.understood);
    entries(&mut page, "Guessed, each with its rule", &model.report.guessed);
    entries(&mut page, "Left out, each with the reason", &model.report.left_out);
    page.heading("Added, since nobody was asked");
    assumptions.iter().for_each(|a| page.item(a));
    if !findings.is_empty() {
        page.heading(&format!("Findings: {}", finding::tally(findings)));
        finding::list(&mut page, findings, units);
    }
    page.gap();
    page.paragraph(&format!("Next: wallplate plan {}", args.output.display()));
    page.finish()
}

fn entries(page: &mut Page, title: &str, entries: &[Entry]) {
    if entries.is_empty() {
        return;
    }
    page.heading(title);
    entries.iter().for_each(|entry| page.item(&entry.sentence()));
}

fn file_name(path: &std::path::Path) -> String {
    path.file_name().map_or_else(|| "the model".to_owned(), |n| n.to_string_lossy().into_owned())
}
