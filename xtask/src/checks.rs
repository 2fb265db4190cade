//! The fast checks and how one is reported.

use anyhow::Result;

use crate::workspace::{Workspace, cargo};
use crate::{layers, licences, map, setup, steps, tidy, web};

/// A check that only reads: from the workspace to what is wrong with it.
pub struct Check {
    /// The verb, and the name in the report.
    pub name: &'static str,
    problems: fn(&Workspace) -> Result<Vec<String>>,
}

/// The checks that read and build nothing.
pub const READING: [Check; 4] = [
    Check { name: "layers", problems: layers::problems },
    Check { name: "map", problems: map::problems },
    Check { name: "tidy", problems: tidy::problems },
    Check { name: "licences", problems: licences::problems },
];

impl Check {
    /// Runs the check, prints what it found and says whether it passed. A check that cannot run has failed.
    pub fn report(&self, workspace: &Workspace) -> bool {
        let problems = (self.problems)(workspace).unwrap_or_else(|error| vec![format!("could not run: {error:#}")]);
        for problem in &problems {
            println!("  {problem}");
        }
        let verdict = match problems.len() {
            0 => "ok".to_owned(),
            1 => "1 problem".to_owned(),
            count => format!("{count} problems"),
        };
        println!("{}: {verdict}", self.name);
        problems.is_empty()
    }
}

/// Runs every fast check, each to its end, and returns its name and whether it passed.
pub fn outcomes(workspace: &Workspace) -> Vec<(&'static str, bool)> {
    let mut outcomes = Vec::new();
    for check in &READING {
        outcomes.push((check.name, check.report(workspace)));
    }
    for (name, arguments) in [
        ("fmt", &["fmt", "--all", "--check"][..]),
        ("clippy", &["clippy", "--workspace", "--all-targets", "--", "-D", "warnings"][..]),
    ] {
        let has_passed = steps::passes(name, cargo().args(arguments).current_dir(&workspace.root));
        println!("{name}: {}", if has_passed { "ok" } else { "failed" });
        outcomes.push((name, has_passed));
    }
    outcomes.extend(web::checks(workspace));
    outcomes
}

/// The verb `check`.
pub fn run_all() -> Result<bool> {
    setup::prepare(&setup::FOR_CHECKS)?;
    let workspace = Workspace::load()?;
    web::install(&workspace)?;
    let outcomes = outcomes(&workspace);
    let failed: Vec<&str> = outcomes.iter().filter(|(_, has_passed)| !has_passed).map(|(name, _)| *name).collect();
    if failed.is_empty() {
        println!("check: all {} ok", outcomes.len());
    } else {
        println!("check: failed: {}", failed.join(", "));
    }
    Ok(failed.is_empty())
}
