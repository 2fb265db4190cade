//! What a reader should not have to stumble over: files without a purpose, files grown too long, things left behind.
//! It reads lines, not syntax; rustfmt and clippy see to the rest.

use std::fs;
use std::path::Path;

use anyhow::{Context, Result};

use crate::workspace::Workspace;

/// Where a source file should have found a seam.
const LONG_FILE_LINES: usize = 500;

/// Text files that people write.
const WRITTEN: [&str; 13] =
    ["rs", "md", "toml", "sh", "json", "csv", "ts", "tsx", "css", "html", "yml", "yaml", "proptest-regressions"];

/// Words that mark unfinished work, and paths that only one machine has. Written apart so that this file passes itself.
const LEFT_BEHIND: [(&str, &str); 9] = [
    (concat!("TO", "DO"), "finish it, or write it down as a limit"),
    (concat!("FIX", "ME"), "finish it, or write it down as a limit"),
    (concat!("todo", "!("), "finish it"),
    (concat!("unimplemented", "!("), "finish it"),
    (concat!("dbg", "!("), "take it out"),
    (concat!("/wo", "rk/"), "a path of one machine"),
    (concat!("/ro", "ot/"), "a path of one machine"),
    (concat!("/tm", "p/"), "a path of one machine"),
    (concat!("/Us", "ers/"), "a path of one machine"),
];

/// Everything untidy, by file and line.
pub fn problems(workspace: &Workspace) -> Result<Vec<String>> {
    let mut problems = Vec::new();
    for file in workspace.files()? {
        let name = workspace.relative(&file);
        let extension = file.extension().and_then(|extension| extension.to_str()).unwrap_or_default();
        if !WRITTEN.contains(&extension) && !name.starts_with(".ci/") {
            continue;
        }
        let bytes = fs::read(&file).with_context(|| format!("cannot read {name}"))?;
        let Ok(text) = String::from_utf8(bytes) else {
            // Bytes that are no text belong to tests of bad input.
            if extension == "rs" {
                problems.push(format!("{name}: not UTF-8"));
            }
            continue;
        };
        if extension == "rs" {
            problems.extend(source_problems(&name, &text));
        }
        problems.extend(left_behind(&name, &text));
    }
    Ok(problems)
}

fn source_problems(name: &str, text: &str) -> Vec<String> {
    let mut problems = Vec::new();
    let header: Vec<&str> = text.lines().take_while(|line| line.starts_with("//!")).collect();
    if header.first().is_none_or(|line| line.trim_start_matches("//!").trim().is_empty()) {
        problems.push(format!("{name}:1: the first line must say what the file is for, after `//!`"));
    }
    if header.iter().any(|line| line.contains("Placeholder")) {
        problems.push(format!("{name}:1: a crate or file without content; create it when it has some"));
    }
    let num_lines = text.lines().count();
    let is_test = Path::new(name).components().any(|part| part.as_os_str() == "tests");
    if num_lines > LONG_FILE_LINES && !is_test && !header.iter().any(|line| line.starts_with("//! Long because ")) {
        problems.push(format!(
            "{name}: {num_lines} lines; find a seam, or say why not in a line `//! Long because …` at the top"
        ));
    }
    problems
}

fn left_behind(name: &str, text: &str) -> Vec<String> {
    let mut problems = Vec::new();
    for (idx, line) in text.lines().enumerate() {
        for (word, advice) in LEFT_BEHIND.iter().filter(|(word, _)| line.contains(word)) {
            problems.push(format!("{name}:{}: `{word}`: {advice}", idx + 1));
        }
    }
    problems
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_says_what_it_is_for() {
        assert!(source_problems("a.rs", "//! Walls.\n").is_empty());
        assert_eq!(source_problems("a.rs", "use std::fmt;\n").len(), 1);
        assert_eq!(source_problems("a.rs", "//!\n//! Walls.\n").len(), 1);
        assert_eq!(source_problems("a.rs", "").len(), 1);
    }

    #[test]
    fn a_long_file_needs_a_reason() {
        let body = "let x = 1;\n".repeat(500);
        assert_eq!(source_problems("src/a.rs", &format!("//! Walls.\n{body}")).len(), 1);
        assert!(
            source_problems("src/a.rs", &format!("//! Walls.\n//! Long because it is one table.\n{body}")).is_empty()
        );
        assert!(source_problems("tests/a.rs", &format!("//! Walls.\n{body}")).is_empty());
    }

    #[test]
    fn leftovers_are_found_with_their_line() {
        let text = format!("fine\n// {}: later\n", LEFT_BEHIND[0].0);
        assert_eq!(left_behind("a.md", &text).len(), 1);
        assert!(left_behind("a.md", &text)[0].starts_with("a.md:2: "));
        assert!(left_behind("a.md", "nothing here\n").is_empty());
    }
}
