//! What this machine must have, and getting it. It installs nothing that it has not named first.

use std::process::{Command, Stdio};

use anyhow::{Result, bail};

use crate::steps;

/// A program that must be there, how to see that it is, and how to get it.
#[derive(Debug, Clone, Copy)]
pub struct Need {
    /// The command that succeeds when it is there.
    probe: &'static [&'static str],
    /// What it is for.
    purpose: &'static str,
    get: Get,
}

#[derive(Debug, Clone, Copy)]
enum Get {
    /// A package of the system.
    Package(&'static str),
    /// A component of the Rust toolchain.
    Component(&'static str),
}

const LINKER: Need = Need {
    probe: &["cc", "--version"],
    purpose: "the C linker that Rust links programs with",
    get: Get::Package("gcc"),
};
const C_LIBRARY: Need = Need {
    // The compiler answers with the full path when it has the file, and with the bare name when not.
    probe: &["sh", "-c", "case $(cc -print-file-name=crt1.o) in */*) ;; *) exit 1 ;; esac"],
    purpose: "the C library's start files",
    get: Get::Package("libc6-dev"),
};
const FORMATTER: Need = Need {
    probe: &["cargo", "fmt", "--version"],
    purpose: "the formatter behind the check `fmt`",
    get: Get::Component("rustfmt"),
};
const LINTER: Need = Need {
    probe: &["cargo", "clippy", "--version"],
    purpose: "the lints behind the check `clippy`",
    get: Get::Component("clippy"),
};

/// What building and running the program needs.
pub const FOR_START: [Need; 2] = [LINKER, C_LIBRARY];

/// What the checks and tests need as well.
pub const FOR_CHECKS: [Need; 4] = [LINKER, C_LIBRARY, FORMATTER, LINTER];

/// Installs what is missing, or says what to ask for.
///
/// # Errors
/// When something is missing and cannot be installed from here.
pub fn prepare(needs: &[Need]) -> Result<()> {
    let missing: Vec<&Need> = needs.iter().filter(|need| !is_there(need.probe)).collect();
    if missing.is_empty() {
        return Ok(());
    }
    let mut packages = Vec::new();
    let mut components = Vec::new();
    println!("Missing on this machine:");
    for need in missing {
        let (kind, name) = match need.get {
            Get::Package(name) => {
                packages.push(name);
                ("package", name)
            }
            Get::Component(name) => {
                components.push(name);
                ("toolchain component", name)
            }
        };
        println!("  {kind} {name}: {}", need.purpose);
    }
    if !packages.is_empty() {
        if !is_there(&["apt-get", "--version"]) {
            bail!("install these packages, or what your system calls them: {}", packages.join(" "));
        }
        if !is_root() {
            bail!("ask someone with root for:  apt-get install {}", packages.join(" "));
        }
        println!("Installing: {}", packages.join(" "));
        must(Command::new("apt-get").args(["update", "-q"]))?;
        let mut install = Command::new("apt-get");
        install.env("DEBIAN_FRONTEND", "noninteractive");
        must(install.args(["install", "-y", "-q", "--no-install-recommends"]).args(&packages))?;
    }
    if !components.is_empty() {
        if !is_there(&["rustup", "--version"]) {
            bail!("install these Rust components with the tool that Rust came with: {}", components.join(" "));
        }
        println!("Installing: {}", components.join(" "));
        must(Command::new("rustup").args(["component", "add"]).args(&components))?;
    }
    Ok(())
}

fn must(command: &mut Command) -> Result<()> {
    let status = steps::run(command)?;
    if !status.success() {
        bail!("`{}` ended with {status}", steps::as_typed(command));
    }
    Ok(())
}

fn is_there(probe: &[&str]) -> bool {
    let Some((program, arguments)) = probe.split_first() else { return true };
    let mut command = Command::new(program);
    command.args(arguments).stdin(Stdio::null()).stdout(Stdio::null()).stderr(Stdio::null());
    command.status().is_ok_and(|status| status.success())
}

fn is_root() -> bool {
    Command::new("id").arg("-u").output().is_ok_and(|output| output.stdout.trim_ascii() == b"0")
}
