//! `cargo xtask …`: the project's own commands. Nothing here is shipped, and nothing here knows a home.
//!
//! Each check is a function from the [`workspace::Workspace`] to a list of problems; an empty list passes.

mod bench;
mod checks;
mod count;
mod floors;
mod layers;
mod licences;
mod map;
mod outside;
mod purity;
mod setup;
mod spdx;
mod start;
mod steps;
mod test;
mod tidy;
mod web;
mod workspace;

use std::process::ExitCode;

use anyhow::{Result, bail};

use crate::workspace::Workspace;

const HELP: &str = "\
Usage: cargo xtask VERB

  start         install what is missing, build the program, open it in the browser on a demo home
  test          every check and every test: Rust, web, browser, outside checkers; the last line is
                `N passed, N failed, N skipped`
  check         the fast checks: fmt, clippy, layers, map, tidy, licences, web lint and types
  layers        no crate uses its own floor or a higher one; no engine does I/O or iterates over hash maps
  map           ARCHITECTURE.md names every crate, and every path in the documents exists
  tidy          every file says what it is for; no long file without a reason; nothing left over
  licences      every dependency's licence is on the list in xtask/licences.toml
  bench [NAME]  run the benches (all, or those of a bench or crate called NAME) and print ours, limit, ratio
  help          this text

Exit code 0: all is well; 1: a check, test or step failed; 2: xtask could not run.
";

fn main() -> ExitCode {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let words: Vec<&str> = arguments.iter().map(String::as_str).collect();
    match run(&words) {
        Ok(true) => ExitCode::SUCCESS,
        Ok(false) => ExitCode::from(1),
        Err(error) => {
            eprintln!("xtask: {error:#}");
            ExitCode::from(2)
        }
    }
}

/// Runs one verb; `Ok(false)` when it found something wrong.
fn run(words: &[&str]) -> Result<bool> {
    match words {
        [] | ["help" | "--help" | "-h"] => {
            print!("{HELP}");
            Ok(true)
        }
        ["start"] => start::run(),
        ["test"] => test::run(),
        ["check"] => checks::run_all(),
        ["bench"] => bench::run(&Workspace::load()?, None),
        ["bench", name] => bench::run(&Workspace::load()?, Some(name)),
        [verb] => match checks::READING.iter().find(|check| check.name == *verb) {
            Some(check) => Ok(check.report(&Workspace::load()?)),
            None => bail!("there is no verb `{verb}`; `cargo xtask help` lists them"),
        },
        [verb, ..] => bail!("`{verb}` does not take these arguments; `cargo xtask help` shows the usage"),
    }
}
