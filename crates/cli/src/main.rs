//! The `wallplate` program: reads what was asked for, runs it, prints the answer and ends with its code.
//! It holds no domain logic.

mod answer;
mod args;
mod clock;
mod commands;
mod files;
mod progress;
mod render;

use std::io::{self, Write};
use std::process::ExitCode;

use answer::{Answer, End, Failure};
use args::{Cli, Command};
use clap::Parser;

fn main() -> ExitCode {
    let cli = Cli::parse();
    let json = cli.json;
    match run(cli) {
        Ok(answer) => {
            if !print(&mut io::stdout().lock(), &answer.body) {
                return ExitCode::from(2);
            }
            match answer.end {
                End::Clean => ExitCode::SUCCESS,
                End::Findings => ExitCode::from(1),
                End::Refused(why) => {
                    print(&mut io::stderr().lock(), &format!("wallplate: {why}\n"));
                    ExitCode::from(2)
                }
            }
        }
        Err(failure) => {
            if json {
                print(&mut io::stdout().lock(), &failure.json());
            }
            print(&mut io::stderr().lock(), &format!("wallplate: {}\n", failure.message.trim_end()));
            ExitCode::from(2)
        }
    }
}

fn run(cli: Cli) -> Result<Answer, Failure> {
    let json = cli.json;
    match cli.command {
        Command::Import(args) => commands::import::run(&args, json),
        Command::New(args) => commands::new::run(&args, json),
        Command::Check(args) => commands::check::run(&args, json),
        Command::Plan(args) => commands::plan::run(&args, json),
        Command::Assess(args) => commands::assess::run(&args, json),
        Command::Show(args) => commands::show::run(&args, json),
        Command::Schema => Ok(commands::schema::run()),
        Command::Rules(args) => commands::rules::run(&args, json),
        Command::Serve(args) => commands::serve::run(&args),
        Command::OpenApi => Ok(commands::openapi::run()),
        Command::Completions(args) => Ok(commands::completions::run(&args, json)),
    }
}

/// Prints whole; a reader that has gone away, such as `head`, is no failure.
fn print(to: &mut impl Write, text: &str) -> bool {
    match to.write_all(text.as_bytes()).and_then(|()| to.flush()) {
        Ok(()) => true,
        Err(error) => error.kind() == io::ErrorKind::BrokenPipe,
    }
}
