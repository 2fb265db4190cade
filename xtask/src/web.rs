//! The web app's own tools: packages, build, checks and tests. They are run by npm; nothing here knows a page.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use anyhow::{Context, Result, bail};

use crate::count::Count;
use crate::steps;
use crate::workspace::Workspace;

/// Folder of the web app.
const FOLDER: &str = "web";

/// Folder of the generator of the interface's types: it needs a TypeScript of its own.
const TYPES_FOLDER: &str = "web/api-types";

/// Checks that read: the name in the report, the folder, and the script.
const CHECKS: [(&str, &str, &str); 3] =
    [("web-lint", FOLDER, "lint"), ("web-types", FOLDER, "types"), ("web-interface", TYPES_FOLDER, "check")];

/// Tests: what they are, and the script, in the order in which they are run.
const TESTS: [(&str, &str); 2] = [("web tests", "test"), ("size of the first page", "size")];

/// Installs the packages, as the lock file has them.
pub fn install(workspace: &Workspace) -> Result<()> {
    for folder in [FOLDER, TYPES_FOLDER] {
        let folder = workspace.root.join(folder);
        if is_installed(&folder)? {
            continue;
        }
        let mut command = npm(&folder);
        command.args(["ci", "--no-audit", "--no-fund"]);
        if !steps::run(&mut command)?.success() {
            bail!("`npm ci` failed in {}; what it printed stands above", workspace.relative(&folder));
        }
        fs::copy(folder.join("package-lock.json"), stamp(&folder))
            .with_context(|| format!("cannot note what was installed in {}", workspace.relative(&folder)))?;
    }
    Ok(())
}

/// Builds the app that the server serves.
pub fn build(workspace: &Workspace) -> Result<bool> {
    Ok(steps::run(npm(&workspace.root.join(FOLDER)).args(["run", "--silent", "build"]))?.success())
}

/// Runs the checks, each to its end.
pub fn checks(workspace: &Workspace) -> Vec<(&'static str, bool)> {
    let run = |&(name, folder, script): &(&'static str, &str, &str)| {
        let mut command = npm(&workspace.root.join(folder));
        let has_passed = steps::passes(name, command.args(["run", "--silent", script]));
        println!("{name}: {}", if has_passed { "ok" } else { "failed" });
        (name, has_passed)
    };
    CHECKS.iter().map(run).collect()
}

/// Runs the tests of the pages' code, and adds to the count; the names of what failed.
pub fn tests(workspace: &Workspace, count: &mut Count) -> Result<Vec<&'static str>> {
    let mut failed = Vec::new();
    for (name, script) in TESTS {
        if !scripted(workspace, script, &[], count)? {
            failed.push(name);
        }
    }
    Ok(failed)
}

/// Runs the journeys in a real browser against a program.
pub fn journeys(workspace: &Workspace, program: &Path, count: &mut Count) -> Result<bool> {
    let program = program.to_string_lossy().into_owned();
    scripted(workspace, "journeys", &[("WALLPLATE", &program)], count)
}

/// Runs a script whose tests count themselves; one that prints no result counts as one test.
fn scripted(workspace: &Workspace, script: &str, environment: &[(&str, &str)], count: &mut Count) -> Result<bool> {
    let mut found: Option<Count> = None;
    let mut command = npm(&workspace.root.join(FOLDER));
    command.args(["run", "--silent", script]).env("NO_COLOR", "1").envs(environment.iter().copied());
    let status = steps::run_and_look(&mut command, |line| {
        if let Some(result) = result_line(line) {
            found.get_or_insert_default().add(result);
        }
    })?;
    let mut result = found.unwrap_or(Count { passed: u64::from(status.success()), failed: 0, skipped: 0 });
    if !status.success() && result.failed == 0 {
        result.failed = 1;
    }
    count.add(result);
    Ok(result.failed == 0)
}

/// Reads `Tests  2 failed | 14 passed | 1 skipped (17)`; `None` for any other line.
fn result_line(line: &str) -> Option<Count> {
    let rest = line.trim().strip_prefix("Tests ")?.trim().rsplit_once(" (")?.0;
    let number = |word: &str| -> u64 {
        rest.split('|').find_map(|part| part.trim().strip_suffix(word)?.trim_end().parse().ok()).unwrap_or(0)
    };
    Some(Count { passed: number("passed"), failed: number("failed"), skipped: number("skipped") + number("todo") })
}

/// True if what is installed is what the lock file asks for.
fn is_installed(folder: &Path) -> Result<bool> {
    let lock = folder.join("package-lock.json");
    let wanted = fs::read(&lock).with_context(|| format!("cannot read {}", lock.display()))?;
    Ok(fs::read(stamp(folder)).is_ok_and(|installed| installed == wanted))
}

/// The lock file that the packages were installed from; it goes when they go.
fn stamp(folder: &Path) -> PathBuf {
    folder.join("node_modules").join(".installed-from.json")
}

fn npm(folder: &Path) -> Command {
    let mut command = Command::new(if cfg!(windows) { "npm.cmd" } else { "npm" });
    command.current_dir(folder);
    command
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn reads_the_closing_line_of_the_web_tests() {
        let count = |passed, failed, skipped| Some(Count { passed, failed, skipped });
        assert_eq!(result_line("      Tests  12 passed (12)"), count(12, 0, 0));
        assert_eq!(result_line(" Tests  2 failed | 14 passed | 1 skipped (17)"), count(14, 2, 1));
        for line in ["Test Files  3 passed (3)", "Tests", "Tests  no tests", "   Duration  2.1s (transform 1s)"] {
            assert_eq!(result_line(line), None, "{line}");
        }
    }
}
