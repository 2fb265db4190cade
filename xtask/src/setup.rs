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
    /// By hand, and how: the system's own package may be too old.
    Hand(&'static str),
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

const NODE: Need = Need {
    probe: &[
        "node",
        "-e",
        "const [a, b] = process.versions.node.split('.'); process.exit(a * 100 + +b >= 2019 ? 0 : 1)",
    ],
    purpose: "Node 20.19 or newer, which builds the web app",
    get: Get::Hand("install Node 20.19 or newer with npm, from your system or from nodejs.org"),
};
const NPM: Need = Need {
    probe: &["npm", "--version"],
    purpose: "npm, which brings the web app's packages",
    get: Get::Hand("install npm, which mostly comes with Node"),
};
const BROWSER: Need = Need {
    probe: &["sh", "-c", "chromium --version || chromium-browser --version"],
    purpose: "the browser that the pages are tested in",
    get: Get::Package("chromium"),
};
const PYTHON: Need = Need {
    // The module can be there without what it installs from.
    probe: &["python3", "-c", "import ensurepip, venv"],
    purpose: "Python, which runs the outside checkers of the server's interface",
    get: Get::Package("python3-venv"),
};

/// What building and running the program needs.
pub const FOR_START: [Need; 4] = [LINKER, C_LIBRARY, NODE, NPM];

/// What the fast checks need.
pub const FOR_CHECKS: [Need; 6] = [LINKER, C_LIBRARY, NODE, NPM, FORMATTER, LINTER];

/// What the tests need.
pub const FOR_TESTS: [Need; 8] = [LINKER, C_LIBRARY, NODE, NPM, FORMATTER, LINTER, BROWSER, PYTHON];

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
    let mut by_hand = Vec::new();
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
            Get::Hand(how) => {
                by_hand.push(how);
                ("program", need.probe[0])
            }
        };
        println!("  {kind} {name}: {}", need.purpose);
    }
    if !by_hand.is_empty() {
        bail!("{}", by_hand.join("; "));
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
