//! `wallplate check`: everything that is wrong with a job.

use findings::{Finding, Severity};
use serde_json::json;

use super::load;
use crate::answer::{Answer, End, Failure, value};
use crate::args::Check;
use crate::render::finding;
use crate::render::text::{Page, capital, count};

/// Lists the problems; what keeps the job from being computed on ends with code 2, risks with code 1.
pub fn run(args: &Check, json: bool) -> Result<Answer, Failure> {
    let job = load(&args.job)?;
    let name = args.job.display().to_string();
    let mut findings: Vec<Finding> = job::validate(&job);
    let mut reasons: Vec<String> = Vec::new();
    if !finding::any_fails(&findings)
        && let Err(error) = assessment::Home::new(&job)
    {
        findings.extend(error.findings);
        reasons = error.reasons;
    }
    let num_blocking = findings.iter().filter(|f| f.severity <= Severity::Fails).count() + reasons.len();
    let end = if num_blocking > 0 {
        let first = findings
            .iter()
            .find(|f| f.severity <= Severity::Fails)
            .map(|f| f.message.as_str())
            .or(reasons.first().map(String::as_str))
            .unwrap_or_default();
        let lead = if num_blocking == 1 { "" } else { "the first is: " };
        End::Refused(format!("{name}: {} in the way of computing; {lead}{first}", stand(num_blocking)))
    } else if findings.iter().any(|f| f.severity == Severity::Risk) {
        End::Findings
    } else {
        End::Clean
    };
    let answer = json!({"computable": num_blocking == 0, "findings": value(&findings), "reasons": reasons});
    let text = || {
        let mut page = Page::new();
        page.paragraph(&format!("{} ({name})", job.name));
        if findings.is_empty() && reasons.is_empty() {
            page.paragraph("Nothing is wrong with this job.");
            return page.finish();
        }
        page.paragraph(&format!("{}.", capital(&finding::tally(&findings))));
        page.gap();
        for reason in &reasons {
            page.hanging("  fails   ", "          ", reason);
        }
        finding::list(&mut page, &findings, job.site.units);
        if num_blocking == 0 {
            page.gap();
            page.paragraph("None of this keeps the job from being computed on.");
        }
        page.finish()
    };
    Ok(Answer::new(json, || answer.clone(), text, end))
}

fn stand(number: usize) -> String {
    let verb = if number == 1 { "stands" } else { "stand" };
    format!("{} {verb}", count(number, "problem"))
}
