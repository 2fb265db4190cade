//! The verb `start`: from a fresh machine to the program open in the browser on a demo home.

use std::io::{BufRead, BufReader};
use std::process::{Command, Stdio};
use std::time::Instant;

use anyhow::{Context, Result};

use crate::workspace::{Workspace, cargo};
use crate::{setup, steps, web};

/// From the processor time of a cold build of the workspace, halved: see the commit that last changed it.
const COLD_BUILD: &str = "four to five minutes on two cores";

/// The demo home that is opened.
const DEMO: &str = "barn-conversion";

/// Installs what is missing, builds web app and program, and serves until it is stopped.
pub fn run() -> Result<bool> {
    setup::prepare(&setup::FOR_START)?;
    let workspace = Workspace::load()?;
    let started = Instant::now();
    web::install(&workspace)?;
    if !web::build(&workspace)? {
        println!("start stopped: the web app was not built; what is wrong stands above.");
        return Ok(false);
    }
    println!("web app: done in {:.1} s", started.elapsed().as_secs_f64());

    let program = workspace.target.join("release").join(format!("wallplate{}", std::env::consts::EXE_SUFFIX));
    if !program.exists() {
        println!("Building the program. The first build takes {COLD_BUILD}; later ones take seconds.");
    }
    let started = Instant::now();
    let mut build = cargo();
    build.args(["build", "--release", "--package", "cli", "--bin", "wallplate"]).current_dir(&workspace.root);
    if !steps::run(&mut build)?.success() {
        println!("start stopped: the program was not built; what is wrong stands above.");
        return Ok(false);
    }
    println!("program: done in {:.1} s", started.elapsed().as_secs_f64());
    println!();

    let mut serve = Command::new(&program);
    serve.args(["serve", "--demo", DEMO]).current_dir(&workspace.root);
    println!("$ {}", steps::as_typed(&serve).replace(&workspace.root.display().to_string(), "."));
    let mut child = serve.stdout(Stdio::piped()).spawn().context("cannot run the program")?;
    let mut last = None;
    if let Some(stdout) = child.stdout.take() {
        for line in BufReader::new(stdout).lines() {
            let line = line?;
            println!("{line}");
            let address = line.split_whitespace().find(|word| word.starts_with("http://"));
            // The last address that the program names is that of the demo home.
            if let Some(address) = address.filter(|_| line.contains("/jobs/") && last.is_none()) {
                show(address);
                last = Some(address.to_owned());
            }
        }
    }
    let status = child.wait().context("lost the program")?;
    Ok(status.success())
}

/// Opens an address in the browser of whoever sits here, if anybody does.
fn show(address: &str) {
    let has_screen = std::env::var_os("DISPLAY").is_some() || std::env::var_os("WAYLAND_DISPLAY").is_some();
    let opener = match std::env::consts::OS {
        "macos" => Some("open"),
        "linux" if has_screen => Some("xdg-open"),
        _ => None,
    };
    let opened = opener.is_some_and(|program| {
        Command::new(program).arg(address).stdout(Stdio::null()).stderr(Stdio::null()).spawn().is_ok()
    });
    if !opened {
        println!("Open this address in a browser. Ctrl-C stops the program.");
    }
}
