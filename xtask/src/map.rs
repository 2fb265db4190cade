//! Keeps the documents true: ARCHITECTURE.md names exactly the crates that exist, on the floors that `floors` gives
//! them, every invariant has a guard, and every path and every test that a document mentions exists.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

use anyhow::{Context, Result};

use crate::floors::{BESIDE, place_of};
use crate::workspace::Workspace;

const DOCUMENTS: [&str; 4] = ["ARCHITECTURE.md", "README.md", "CONTRIBUTING.md", "CHANGELOG.md"];

/// Endings by which a word is taken for a file of ours.
const FILE_ENDINGS: [&str; 6] = [".rs", ".md", ".sh", ".ts", ".tsx", ".ifc"];

/// What the documents say that is not so.
pub fn problems(workspace: &Workspace) -> Result<Vec<String>> {
    let mut problems = Vec::new();
    let files: Vec<String> = workspace.files()?.iter().map(|file| format!("/{}", workspace.relative(file))).collect();
    // `SOURCE.md` and `src/lib.rs` stand for a file of that name in any folder.
    let exists = |path: &Path| {
        let ending = format!("/{}", path.display());
        workspace.root.join(path).exists() || files.iter().any(|file| file.ends_with(&ending))
    };
    for document in DOCUMENTS {
        let path = workspace.root.join(document);
        let text = fs::read_to_string(&path).with_context(|| format!("cannot read {document}"))?;
        if document == "ARCHITECTURE.md" {
            let names: Vec<&str> = workspace.members.iter().map(|member| member.name.as_str()).collect();
            problems.extend(crate_problems(&text, &names));
            problems.extend(invariant_problems(&text));
            problems.extend(test_problems(&text, &|path| fs::read_to_string(workspace.root.join(path)).ok()));
        }
        problems.extend(path_problems(document, &text, &exists));
    }
    Ok(problems)
}

/// Compares the floor table (`| floor | `name` | … |`) and the paragraphs (`**`name`** …`) with the crates.
fn crate_problems(text: &str, names: &[&str]) -> Vec<String> {
    let mut problems = Vec::new();
    let mut table = BTreeMap::new();
    let mut paragraphs = Vec::new();
    for line in text.lines() {
        if let Some(rest) = line.strip_prefix("**`")
            && let Some((name, _)) = rest.split_once("`**")
        {
            paragraphs.push(name);
        }
        let cells: Vec<&str> = line.split('|').map(str::trim).collect();
        if let [_, floor, name, ..] = cells[..]
            && let Some(name) = name.strip_prefix('`').and_then(|name| name.strip_suffix('`'))
            && let Ok(floor) = floor.replace('−', "-").parse::<i8>()
        {
            table.insert(name, floor);
        }
    }
    for name in names.iter().filter(|name| !BESIDE.contains(name)) {
        match (place_of(name), table.get(name)) {
            (Some(place), Some(floor)) if place.floor == *floor => {}
            (Some(place), Some(floor)) => problems.push(format!(
                "ARCHITECTURE.md: the table puts {name} on floor {floor}, xtask/src/floors.rs on floor {}",
                place.floor
            )),
            (_, None) => problems.push(format!("ARCHITECTURE.md: the floor table has no row for {name}")),
            // A crate without a floor is for `layers` to report.
            (None, Some(_)) => {}
        }
    }
    for name in names.iter().filter(|name| !paragraphs.contains(name)) {
        problems.push(format!("ARCHITECTURE.md: no paragraph begins with **`{name}`**"));
    }
    for name in table.keys().chain(&paragraphs).filter(|name| !names.contains(name)) {
        problems.push(format!("ARCHITECTURE.md: there is no crate {name}"));
    }
    problems
}

/// Every numbered line under `## Invariants` must say what guards it.
fn invariant_problems(text: &str) -> Vec<String> {
    let mut section = text.lines().skip_while(|line| *line != "## Invariants").skip(1);
    let section: Vec<&str> = section.by_ref().take_while(|line| !line.starts_with("## ")).collect();
    let is_numbered = |line: &&&str| line.split_once(". ").is_some_and(|(number, _)| number.parse::<u32>().is_ok());
    let invariants: Vec<&&str> = section.iter().filter(is_numbered).collect();
    if invariants.is_empty() {
        return vec!["ARCHITECTURE.md: no numbered lines under `## Invariants`".to_owned()];
    }
    let unguarded = invariants.iter().filter(|line| !line.contains("Guard: `"));
    unguarded.map(|line| format!("ARCHITECTURE.md: an invariant without `Guard: `: {line}")).collect()
}

/// Every `path.rs::name` must name a function of that file.
fn test_problems(text: &str, read: &dyn Fn(&str) -> Option<String>) -> Vec<String> {
    let mut problems = Vec::new();
    for word in text.split('`') {
        if let Some((path, name)) = word.split_once("::")
            && path.ends_with(".rs")
            && !read(path).is_some_and(|source| source.contains(&format!("fn {name}(")))
        {
            problems.push(format!("ARCHITECTURE.md: {path} has no function {name}"));
        }
    }
    problems
}

/// Every word that looks like a path of this repository, and does not exist.
fn path_problems(document: &str, text: &str, exists: &dyn Fn(&Path) -> bool) -> Vec<String> {
    let mut problems = Vec::new();
    for (idx, line) in text.lines().enumerate() {
        let words = line.split(|letter: char| letter.is_whitespace() || "`()[]|,;:\"'".contains(letter));
        for word in words.map(|word| word.trim_end_matches(['.', '/'])) {
            if is_path(word, exists) && !exists(Path::new(word)) {
                problems.push(format!("{document}:{}: {word} does not exist", idx + 1));
            }
        }
    }
    problems
}

/// A word is a path if it begins with a folder that exists, or ends like a file of ours. Patterns, addresses and what a
/// build makes are not.
fn is_path(word: &str, exists: &dyn Fn(&Path) -> bool) -> bool {
    let is_made = word.starts_with("target/") || word.starts_with('/') || word.contains("//");
    if is_made || word.contains(['<', '>', '*', '…', '{', '$', '=']) {
        return false;
    }
    let begins_well = word.split_once('/').is_some_and(|(folder, _)| !folder.is_empty() && exists(Path::new(folder)));
    begins_well || FILE_ENDINGS.iter().any(|ending| word.len() > ending.len() && word.ends_with(ending))
}

#[cfg(test)]
mod tests {
    use super::*;

    const MAP: &str = "| floor | crate | holds |\n| --- | --- | --- |\n| −1 | `units` | x |\n| 5 | `ifc` | x |\n\n\
        **`units`** holds.\n**`ifc`** reads.\n**`xtask`** checks.\n";

    #[test]
    fn a_true_map_passes() {
        assert_eq!(crate_problems(MAP, &["units", "ifc", "xtask"]), Vec::<String>::new());
    }

    #[test]
    fn missing_gone_and_moved_crates_are_found() {
        let problems = crate_problems(MAP, &["units", "ifc", "xtask", "wlan"]);
        assert_eq!(problems.len(), 2, "a row and a paragraph: {problems:?}");
        let problems = crate_problems(MAP, &["units", "xtask"]);
        assert_eq!(problems.len(), 2, "a row and a paragraph: {problems:?}");
        let problems = crate_problems(&MAP.replace("| 5 |", "| 6 |"), &["units", "ifc", "xtask"]);
        assert!(problems[0].contains("floor 6") && problems[0].contains("floor 5"), "{problems:?}");
    }

    #[test]
    fn an_invariant_needs_a_guard() {
        let good = "## Invariants\n1. A. Guard: `cargo xtask layers`.\n## Next\n1. Not one.\n";
        assert!(invariant_problems(good).is_empty());
        assert_eq!(invariant_problems("## Invariants\n1. A.\n").len(), 1);
        assert_eq!(invariant_problems("## Other\n").len(), 1);
    }

    #[test]
    fn a_test_that_is_gone_is_found() {
        let read = |path: &str| (path == "a/tests/b.rs").then(|| "#[test]\nfn holds() {}\n".to_owned());
        assert!(test_problems("Guard: `a/tests/b.rs::holds`, std::fs, `a::b`", &read).is_empty());
        assert_eq!(test_problems("Guard: `a/tests/b.rs::hold`", &read).len(), 1);
        assert_eq!(test_problems("Guard: `a/tests/c.rs::holds`", &read).len(), 1);
    }

    #[test]
    fn paths_that_do_not_exist_are_found() {
        let exists = |path: &Path| ["crates", "crates/ifc", "README.md"].iter().any(|known| path == Path::new(known));
        let found = |text: &str| path_problems("A.md", text, &exists).len();
        assert_eq!(found("see `crates/ifc`, README.md and `crates/ifc/`."), 0);
        assert_eq!(found("see `crates/gone/src/lib.rs`"), 1);
        assert_eq!(found("see [it](GONE.md)"), 1);
        assert_eq!(found("`crates/<name>/src/lib.rs`, `target/start/house.toml`, `wallplate/1`, and/or"), 0);
    }
}
