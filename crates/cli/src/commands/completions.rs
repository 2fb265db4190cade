//! `wallplate completions`: a script for a shell.

use clap::CommandFactory;
use serde_json::json;

use crate::answer::{Answer, End};
use crate::args::{Cli, Completions};

/// Prints the script.
pub fn run(args: &Completions, json: bool) -> Answer {
    let mut script = Vec::new();
    clap_complete::generate(args.shell, &mut Cli::command(), "wallplate", &mut script);
    let script = String::from_utf8_lossy(&script).into_owned();
    let value = json!({"shell": args.shell.to_string(), "script": script});
    Answer::new(json, || value, || script, End::Clean)
}
