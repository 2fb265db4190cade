//! Sets the contention model beside runs of a packet simulator: `cargo run --release -p wlan --example contention_cases -- FILE.json`.
//!
//! The file has the form of `tests/data/mac/cases.json`. A run without `aggregate_mbps` is predicted only.

#![expect(clippy::print_stdout, clippy::print_stderr, reason = "a program that prints a table")]
#![allow(dead_code, reason = "the tests use the rest of the reader")]

#[path = "../tests/common/cases.rs"]
mod cases;

use std::process::ExitCode;

use cases::{CaseError, beside, predict, read};

fn run(text: &str) -> Result<(), CaseError> {
    let mut errors = Vec::new();
    println!("{:34} {:10} {:>12} {:>12} {:>8}", "case", "of", "simulated", "predicted", "error");
    let mut refused = Vec::new();
    for case in read(text)? {
        let shares = match predict(&case) {
            Ok(shares) => shares,
            Err(error) => {
                println!("{error}");
                refused.push(error);
                continue;
            }
        };
        for figure in beside(&case, &shares) {
            let or_dash = |value: Option<String>| value.unwrap_or_else(|| "-".to_owned());
            println!(
                "{:34} {:10} {:>12} {:12.3} {:>8}",
                case.name,
                figure.name,
                or_dash(figure.simulated_mbps.map(|s| format!("{s:.3}"))),
                figure.predicted_mbps,
                or_dash(figure.error().map(|e| format!("{:+.2} %", 100.0 * e))),
            );
            if let Some(error) = figure.error() {
                errors.push((error.abs(), case.name.clone(), figure.name));
            }
        }
    }
    errors.sort_by(|a, b| a.0.total_cmp(&b.0));
    if let (Some(median), Some(worst)) = (errors.get(errors.len() / 2), errors.last()) {
        println!(
            "{} figures: median {:.2} %, worst {:.2} % ({}, {})",
            errors.len(),
            100.0 * median.0,
            100.0 * worst.0,
            worst.1,
            worst.2
        );
    }
    refused.into_iter().next().map_or(Ok(()), Err)
}

fn main() -> ExitCode {
    let Some(path) = std::env::args().nth(1) else {
        eprintln!("usage: contention_cases FILE.json");
        return ExitCode::from(2);
    };
    let text = match std::fs::read_to_string(&path) {
        Ok(text) => text,
        Err(error) => {
            eprintln!("{path}: {error}");
            return ExitCode::from(2);
        }
    };
    match run(&text) {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("{path}: {error}");
            ExitCode::from(2)
        }
    }
}
