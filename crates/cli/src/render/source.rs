//! Where numbers come from, in words.

use findings::{Figure, Finding, Source, SourceKind};

use super::text::Page;

/// A source in words, saying if it was written down from memory.
pub fn words(source: &Source) -> String {
    let kind = kind(source.kind);
    let cite = &source.cite;
    let text = if kind.is_empty() || cite.to_lowercase().starts_with(&kind.to_lowercase()) {
        cite.clone()
    } else {
        format!("{kind}: {cite}")
    };
    if source.from_memory { format!("{text} (from memory, not compared with the source)") } else { text }
}

/// What kind of authority a source is; empty where its citation says so itself.
fn kind(kind: SourceKind) -> &'static str {
    match kind {
        SourceKind::Standard | SourceKind::Publication | SourceKind::Regulation => "",
        SourceKind::Dataset => "data set",
        SourceKind::Measured => "measured at this home",
        SourceKind::CommonPractice => "common practice",
        SourceKind::GenericFigure => "generic figure",
        SourceKind::Stated => "stated",
        SourceKind::Model => "model",
    }
}

/// Lists each source of the figures and findings once, in their order.
pub fn list<'a>(
    page: &mut Page,
    figures: impl IntoIterator<Item = &'a Figure>,
    findings: impl IntoIterator<Item = &'a Finding>,
) {
    let mut all: Vec<String> = Vec::new();
    let mut add = |source: &Source| {
        let text = words(source);
        if !all.contains(&text) {
            all.push(text);
        }
    };
    for figure in figures {
        figure.sources.iter().for_each(&mut add);
    }
    for finding in findings {
        add(&finding.source);
    }
    if all.is_empty() {
        return;
    }
    page.heading("Sources");
    for source in &all {
        page.item(source);
    }
}
