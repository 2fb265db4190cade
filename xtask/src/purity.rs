//! Engines are pure: their sources name no file, socket, clock, environment, terminal or hash map. This reads text, not
//! types, so it also stops a use that a feature flag hides; tests and comments may say what they like.

use std::fs;
use std::path::Path;

use anyhow::{Context, Result};

use crate::floors::place_of;
use crate::workspace::{Workspace, files_under};

/// What an engine must not name, and what to do instead.
const FORBIDDEN: [(&str, &str); 12] = [
    ("std::fs", "take the text or bytes as an argument"),
    ("std::net", "only the edges open sockets"),
    ("std::env::", "take the setting as an argument"),
    ("std::process", "only the edges run programs"),
    ("SystemTime::now", "take the date as an argument"),
    ("Instant::now", "limit work by counts"),
    ("Zoned::now", "take the date as an argument"),
    ("Timestamp::now", "take the date as an argument"),
    ("println!", "return it, or report it through `findings::Progress`"),
    ("print!", "return it, or report it through `findings::Progress`"),
    ("HashMap", "use a `BTreeMap`: its order is the same on every run"),
    ("HashSet", "use a `BTreeSet`: its order is the same on every run"),
];

/// Every forbidden name in the sources of crates that may not do I/O.
pub fn problems(workspace: &Workspace) -> Result<Vec<String>> {
    let mut problems = Vec::new();
    for member in &workspace.members {
        if place_of(&member.name).is_none_or(|place| place.may_do_io) {
            continue;
        }
        for file in files_under(&member.folder.join("src"))? {
            if file.extension().is_some_and(|extension| extension == "rs") && !is_test_file(&file) {
                let text = fs::read_to_string(&file).with_context(|| format!("cannot read {}", file.display()))?;
                problems.extend(forbidden_in(&workspace.relative(&file), &text));
            }
        }
    }
    Ok(problems)
}

fn is_test_file(file: &Path) -> bool {
    file.file_name().is_some_and(|name| name == "tests.rs") || file.components().any(|part| part.as_os_str() == "tests")
}

/// Judges one file. Unit tests stand at the end of a file, so everything from `#[cfg(test)]` on is left out when a
/// module follows it.
fn forbidden_in(name: &str, text: &str) -> Vec<String> {
    let mut problems = Vec::new();
    let mut follows_test_attribute = false;
    for (idx, line) in text.lines().enumerate() {
        let code = line.trim_start();
        if follows_test_attribute && code.starts_with("mod ") && !code.ends_with(';') {
            break;
        }
        follows_test_attribute = code.starts_with("#[cfg(test)]");
        let code = if code.starts_with("//") { "" } else { code.split(" // ").next().unwrap_or_default() };
        // One line may hold both `println!` and `print!`: one message is enough.
        if let Some((word, instead)) = FORBIDDEN.iter().find(|(word, _)| code.contains(word)) {
            problems.push(format!("{name}:{}: an engine must not use `{word}`: {instead}", idx + 1));
        }
    }
    problems
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_the_line_and_the_way_out() {
        let problems = forbidden_in("a.rs", "fn f() {\n    let now = std::time::Instant::now();\n}\n");
        assert_eq!(problems, ["a.rs:2: an engine must not use `Instant::now`: limit work by counts"]);
        assert_eq!(forbidden_in("a.rs", "use std::collections::{BTreeMap, HashMap};\n").len(), 1);
        assert_eq!(forbidden_in("a.rs", "eprintln!(\"x\");\n").len(), 1);
    }

    #[test]
    fn comments_and_unit_tests_are_free() {
        assert!(forbidden_in("a.rs", "//! Not std::fs.\nlet x = 1; // not println!\n").is_empty());
        assert!(forbidden_in("a.rs", "fn f() {}\n\n#[cfg(test)]\nmod tests {\n    use std::fs;\n}\n").is_empty());
    }

    #[test]
    fn code_after_a_test_only_item_is_still_read() {
        let text = "#[cfg(test)]\nmod tests;\n\nuse std::fs;\n";
        assert_eq!(forbidden_in("a.rs", text).len(), 1);
    }
}
