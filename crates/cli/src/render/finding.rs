//! Findings as a list.

use findings::{Finding, Severity};
use site::UnitSystem;

use super::text::Page;
use super::{number, source};

/// The word of a severity.
pub fn severity(severity: Severity) -> &'static str {
    match severity {
        Severity::Unsafe => "unsafe",
        Severity::Fails => "fails",
        Severity::Risk => "risk",
        Severity::Note => "note",
    }
}

/// Lists findings, worst first, each with its rule, limit, source and what would mend it.
pub fn list(page: &mut Page, findings: &[Finding], units: UnitSystem) {
    let mut sorted: Vec<&Finding> = findings.iter().collect();
    // The sort is stable, so that findings of one severity stay in the engines' order.
    sorted.sort_by_key(|f| f.severity);
    for finding in sorted {
        one(page, finding, units);
    }
}

fn one(page: &mut Page, finding: &Finding, units: UnitSystem) {
    let first = format!("  {:<7} ", severity(finding.severity));
    let rest = " ".repeat(10);
    page.hanging(&first, &rest, &finding.message);
    let mut facts = Vec::new();
    if let Some(measured) = &finding.measured {
        facts.push(format!("found {}", number::quantity(measured, units)));
    }
    if let Some(limit) = &finding.limit {
        facts.push(format!("limit {}", number::quantity(limit, units)));
    }
    facts.push(format!("rule {}", finding.rule));
    facts.push(source::words(&finding.source));
    page.hanging(&rest, &rest, &format!("[{}]", facts.join("; ")));
    for remedy in &finding.remedies {
        page.hanging(&format!("{rest}To mend it: "), &format!("{rest}  "), &remedy.text);
    }
}

/// How many findings there are of each severity: `1 fails, 2 risks`.
pub fn tally(findings: &[Finding]) -> String {
    let of = |s: Severity| findings.iter().filter(|f| f.severity == s).count();
    let mut parts = Vec::new();
    for (severity, one, many) in [
        (Severity::Unsafe, "unsafe", "unsafe"),
        (Severity::Fails, "fails", "fail"),
        (Severity::Risk, "risk", "risks"),
        (Severity::Note, "note", "notes"),
    ] {
        match of(severity) {
            0 => {}
            1 => parts.push(format!("1 {one}")),
            n => parts.push(format!("{n} {many}")),
        }
    }
    if parts.is_empty() { "no findings".to_owned() } else { parts.join(", ") }
}

/// True if a finding says that a limit or target is not met, or that something is unsafe.
pub fn any_fails(findings: &[Finding]) -> bool {
    findings.iter().any(|f| f.severity <= Severity::Fails)
}
