//! The verb `test`: set-up, every check, every test, one total.

use anyhow::Result;

use crate::count::{Count, result_line};
use crate::workspace::{Workspace, cargo};
use crate::{checks, outside, setup, steps, web};

/// Runs everything to its end, whatever fails on the way, and prints the total on the last line.
pub fn run() -> Result<bool> {
    let mut count = Count::default();
    let outcome = count_everything(&mut count);
    if let Err(error) = &outcome {
        // The closing line must come even then, and must not look like a success.
        println!("test: could not go on: {error:#}");
        count.failed += 1;
    }
    println!("{}", count.closing_line());
    Ok(count.failed == 0)
}

fn count_everything(count: &mut Count) -> Result<()> {
    setup::prepare(&setup::FOR_TESTS)?;
    let workspace = Workspace::load()?;
    web::install(&workspace)?;
    let mut failed_steps = Vec::new();
    for (name, has_passed) in checks::outcomes(&workspace) {
        count.add_check(has_passed);
        if !has_passed {
            failed_steps.push(name);
        }
    }
    // Before the program, which is told where the page is when it is built.
    let is_built = web::build(&workspace)?;
    count.add_check(is_built);
    if !is_built {
        failed_steps.push("web build");
    }
    let mut tests = Count::default();
    let mut command = cargo();
    command.args(["test", "--workspace", "--no-fail-fast"]).current_dir(&workspace.root);
    let status = steps::run_and_look(&mut command, |line| {
        if let Some(result) = result_line(line) {
            tests.add(result);
        }
    })?;
    if !status.success() {
        failed_steps.push("cargo test");
        // What does not compile, or is killed, prints no result line.
        if tests.failed == 0 {
            println!(
                "test: `cargo test` ended with {status} and no failed test: something did not compile or was killed"
            );
            tests.failed += 1;
        }
    }
    count.add(tests);

    failed_steps.extend(web::tests(&workspace, count)?);
    // The tests of the program have built it.
    let program = workspace.target.join("debug").join(format!("wallplate{}", std::env::consts::EXE_SUFFIX));
    if !web::journeys(&workspace, &program, count)? {
        failed_steps.push("journeys in the browser");
    }
    if !outside::check_interface(&workspace, &program, count)? {
        failed_steps.push("outside checks of the interface");
    }
    if !failed_steps.is_empty() {
        println!("test: failed: {}", failed_steps.join(", "));
    }
    Ok(())
}
