//! General-purpose checkers from outside the project, held against the running server: an OpenAPI validator and a
//! property-based tester of HTTP interfaces. They are Python programs with pinned versions, in a folder of their own.

use std::fs;
use std::path::Path;
use std::process::Command;

use anyhow::{Context, Result, bail};

use crate::count::Count;
use crate::steps;
use crate::workspace::Workspace;

/// Versions of the checkers and of all they use.
const REQUIREMENTS: &str = "crates/server/outside/requirements.txt";

/// The script that runs them; its last line is `N passed, N failed, N skipped`.
const SCRIPT: &str = "crates/server/outside/check_interface.py";

/// Installs the checkers and runs them against a program.
pub fn check_interface(workspace: &Workspace, program: &Path, count: &mut Count) -> Result<bool> {
    let folder = workspace.target.join("outside");
    let python = folder.join("bin").join("python");
    install(workspace, &folder, &python)?;
    let mut found = None;
    let mut command = Command::new(&python);
    command.arg(workspace.root.join(SCRIPT)).arg(program).current_dir(&workspace.root);
    let status = steps::run_and_look(&mut command, |line| found = closing_line(line).or(found))?;
    let mut result = found.unwrap_or_default();
    if !status.success() && result.failed == 0 {
        result.failed = 1;
    }
    count.add(result);
    Ok(result.failed == 0)
}

fn install(workspace: &Workspace, folder: &Path, python: &Path) -> Result<()> {
    let requirements = workspace.root.join(REQUIREMENTS);
    let wanted = fs::read(&requirements).with_context(|| format!("cannot read {REQUIREMENTS}"))?;
    let stamp = folder.join("installed-from.txt");
    if python.exists() && fs::read(&stamp).is_ok_and(|installed| installed == wanted) {
        return Ok(());
    }
    let mut environment = Command::new("python3");
    environment.args(["-m", "venv", "--clear"]).arg(folder);
    let mut packages = Command::new(python);
    packages.args(["-m", "pip", "install", "--quiet", "--disable-pip-version-check", "--requirement"]);
    packages.arg(&requirements);
    for mut command in [environment, packages] {
        if !steps::run(&mut command)?.success() {
            bail!("cannot install the outside checkers; what failed stands above");
        }
    }
    fs::write(&stamp, wanted).with_context(|| format!("cannot write {}", stamp.display()))
}

/// Reads `3 passed, 0 failed, 1 skipped`.
fn closing_line(line: &str) -> Option<Count> {
    let mut parts = line.trim().split(", ");
    let mut number = |word: &str| -> Option<u64> { parts.next()?.strip_suffix(word)?.trim_end().parse().ok() };
    Some(Count { passed: number("passed")?, failed: number("failed")?, skipped: number("skipped")? })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn reads_the_closing_line() {
        assert_eq!(closing_line("3 passed, 0 failed, 1 skipped"), Some(Count { passed: 3, failed: 0, skipped: 1 }));
        assert_eq!(closing_line("3 passed"), None);
        assert_eq!(closing_line("all passed, 0 failed, 1 skipped"), None);
    }
}
