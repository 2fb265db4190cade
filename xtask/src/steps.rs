//! Running another program in plain sight.

use std::io::{BufRead, BufReader};
use std::process::{Command, ExitStatus, Stdio};

use anyhow::{Context, Result};

/// The command as a person would type it.
pub fn as_typed(command: &Command) -> String {
    let program = command.get_program().to_string_lossy().into_owned();
    // Cargo hands us its own full path; nobody types that.
    let program = if program.ends_with("/cargo") { "cargo".to_owned() } else { program };
    let arguments = command.get_args().map(|argument| argument.to_string_lossy().into_owned());
    std::iter::once(program).chain(arguments).collect::<Vec<_>>().join(" ")
}

/// Prints the command, runs it with our own terminal, and waits for it.
pub fn run(command: &mut Command) -> Result<ExitStatus> {
    let typed = as_typed(command);
    println!("$ {typed}");
    command.status().with_context(|| format!("cannot run `{typed}`"))
}

/// Runs a command as a check: anything but a clean exit fails it.
pub fn passes(name: &str, command: &mut Command) -> bool {
    match run(command) {
        Ok(status) => status.success(),
        Err(error) => {
            println!("  {name}: could not run: {error:#}");
            false
        }
    }
}

/// Runs a command and hands each line of its standard output to `look` after printing it.
pub fn run_and_look(command: &mut Command, mut look: impl FnMut(&str)) -> Result<ExitStatus> {
    let typed = as_typed(command);
    println!("$ {typed}");
    let mut child = command.stdout(Stdio::piped()).spawn().with_context(|| format!("cannot run `{typed}`"))?;
    if let Some(stdout) = child.stdout.take() {
        let mut reader = BufReader::new(stdout);
        let mut line = Vec::new();
        // Bytes, not text: a test may print what is not UTF-8.
        while reader.read_until(b'\n', &mut line)? > 0 {
            let text = String::from_utf8_lossy(&line);
            print!("{text}");
            look(text.trim_end());
            line.clear();
        }
    }
    child.wait().with_context(|| format!("lost `{typed}`"))
}
