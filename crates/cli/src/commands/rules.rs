//! `wallplate rules`: everything that jobs and designs are held against.

use findings::Rule;
use serde_json::{Value, json};

use crate::answer::{Answer, End, Failure, value};
use crate::args::Rules;
use crate::render::text::{Page, count};
use crate::render::{finding, source};

/// Lists the rules by subject.
pub fn run(args: &Rules, json: bool) -> Result<Answer, Failure> {
    let all = assessment::rules();
    let wanted: Vec<&Rule> = match &args.subject {
        None => all,
        Some(subject) => {
            let some: Vec<&Rule> = all.iter().copied().filter(|r| subject_of(r) == subject).collect();
            if some.is_empty() {
                let mut subjects: Vec<&str> = all.iter().map(|r| subject_of(r)).collect();
                subjects.sort_unstable();
                subjects.dedup();
                return Err(Failure::new(format!(
                    "no rule has the subject `{subject}`; subjects are {}",
                    subjects.join(", ")
                )));
            }
            some
        }
    };
    Ok(Answer::new(
        json,
        || json!({"rules": wanted.iter().map(|r| as_json(r)).collect::<Vec<_>>()}),
        || text(&wanted),
        End::Clean,
    ))
}

fn subject_of(rule: &Rule) -> &'static str {
    rule.id.split_once('.').map_or(rule.id, |(subject, _)| subject)
}

fn as_json(rule: &Rule) -> Value {
    json!({
        "id": rule.id,
        "severity": value(&rule.severity),
        "summary": rule.summary,
        "limit": rule.limit,
        "source": value(&rule.source()),
    })
}

fn text(rules: &[&Rule]) -> String {
    let mut page = Page::new();
    page.paragraph(&format!(
        "{}. Severities: unsafe, fails (a limit or target is not met), risk, note.",
        count(rules.len(), "rule")
    ));
    let mut subject = "";
    for rule in rules {
        if subject_of(rule) != subject {
            subject = subject_of(rule);
            page.heading(subject);
        }
        page.line(&format!("{:<7} {}", finding::severity(rule.severity), rule.id));
        let indent = " ".repeat(8);
        page.hanging(&indent, &indent, rule.summary);
        if !rule.limit.is_empty() {
            page.hanging(&format!("{indent}Limit: "), &format!("{indent}  "), rule.limit);
        }
        page.hanging(&format!("{indent}Source: "), &format!("{indent}  "), &source::words(&rule.source()));
    }
    page.finish()
}
