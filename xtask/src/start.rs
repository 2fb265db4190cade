//! The verb `start`: from a fresh machine to the main job running on the house in `demo/`.

use std::fs;
use std::process::Command;
use std::time::Instant;

use anyhow::{Context, Result};

use crate::workspace::{Workspace, cargo};
use crate::{setup, steps};

/// From the processor time of a cold build of the workspace, halved: see the commit that last changed it.
const COLD_BUILD: &str = "two to three minutes on two cores";

const ARCHITECTURE: &str = "demo/two-dwelling-house/architecture.ifc";
const ELECTRICAL: &str = "demo/two-dwelling-house/electrical.ifc";

/// Installs what is missing, builds the program, imports the house and plans its network.
pub fn run() -> Result<bool> {
    setup::prepare(&setup::FOR_START)?;
    let workspace = Workspace::load()?;
    let program = workspace.target.join("release").join(format!("wallplate{}", std::env::consts::EXE_SUFFIX));
    if !program.exists() {
        println!("Building the program. The first build takes {COLD_BUILD}; later ones take seconds.");
    }
    let mut build = cargo();
    build.args(["build", "--release", "--package", "cli", "--bin", "wallplate"]).current_dir(&workspace.root);
    if !step("build", &mut build, &[0])? {
        return Ok(false);
    }

    let folder = workspace.target.join("start");
    fs::create_dir_all(&folder).with_context(|| format!("cannot make the folder {}", folder.display()))?;
    let written = folder.join("house.toml");
    // Without the job of an earlier run, a step that writes nothing cannot look like one that did.
    if written.exists() {
        fs::remove_file(&written).with_context(|| format!("cannot remove {}", written.display()))?;
    }
    let job = workspace.relative(&written);
    let wallplate = |arguments: &[&str]| {
        let mut command = Command::new(workspace.relative(&program));
        command.args(arguments).current_dir(&workspace.root);
        command
    };
    // Exit code 1 means that the program has findings to show: here that is a result, not a failure.
    let arguments = ["import", ARCHITECTURE, "--electrical", ELECTRICAL, "--dwelling", "A", "-o", &job];
    if !step("import", &mut wallplate(&arguments), &[0, 1])? {
        return Ok(false);
    }
    if !written.exists() {
        println!("start stopped: the step `import` ended well but wrote no {job}");
        return Ok(false);
    }
    if !step("plan", &mut wallplate(&["plan", &job]), &[0, 1])? {
        return Ok(false);
    }
    println!();
    println!("The job is in {job}: change it with any editor and plan again with");
    println!("  {} plan {job}", workspace.relative(&program));
    Ok(true)
}

/// Runs one step in plain sight and says how long it took, or how it failed.
fn step(name: &str, command: &mut Command, good_codes: &[i32]) -> Result<bool> {
    println!();
    let started = Instant::now();
    let status = steps::run(command)?;
    let seconds = started.elapsed().as_secs_f64();
    let is_good = status.code().is_some_and(|code| good_codes.contains(&code));
    if is_good {
        println!("{name}: done in {seconds:.1} s");
    } else {
        println!(
            "start stopped: the step `{name}` failed ({status}) after {seconds:.1} s. What it printed stands above."
        );
        println!("To run that step alone: {}", steps::as_typed(command));
    }
    Ok(is_good)
}
