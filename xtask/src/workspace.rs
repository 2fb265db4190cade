//! The workspace as `cargo metadata` and the file tree show it. It judges nothing.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use anyhow::{Context, Result, bail};
use serde_json::Value;

/// Folders that hold what tools made, not what people wrote.
const GENERATED: [&str; 6] = ["target", ".git", "node_modules", "corpus", "artifacts", "dist"];

/// One crate of ours, with the crates of ours that it depends on.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Member {
    /// The crate's name.
    pub name: String,
    /// Its folder, absolute.
    pub folder: PathBuf,
    /// Names of the members that it depends on, each with the kind of dependency (`normal`, `dev`, `build`).
    pub uses: Vec<(String, String)>,
    /// Names of its bench targets.
    pub benches: Vec<String>,
}

/// One package from a registry, with the licence that it declares.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Package {
    /// Name and version, as `name 1.2.3`.
    pub name: String,
    /// The SPDX expression, if it declares one.
    pub licence: Option<String>,
}

/// Everything the checks look at.
#[derive(Debug, Clone)]
pub struct Workspace {
    /// The folder of the root `Cargo.toml`.
    pub root: PathBuf,
    /// Where cargo builds.
    pub target: PathBuf,
    /// Our crates, by name.
    pub members: Vec<Member>,
    /// The packages of others, by name.
    pub packages: Vec<Package>,
}

impl Workspace {
    /// Reads `cargo metadata` for this machine's platform.
    pub fn load() -> Result<Self> {
        let host = host_triple()?;
        let output = cargo()
            .args(["metadata", "--format-version", "1", "--filter-platform", &host])
            .current_dir(root())
            .output()
            .context("cannot run `cargo metadata`")?;
        if !output.status.success() {
            bail!("`cargo metadata` failed:\n{}", String::from_utf8_lossy(&output.stderr).trim_end());
        }
        Self::from_metadata(&serde_json::from_slice(&output.stdout).context("`cargo metadata` printed no JSON")?)
    }

    /// Picks from the metadata what the checks need.
    pub fn from_metadata(metadata: &Value) -> Result<Self> {
        let text = |value: &Value, key: &str| -> Result<String> {
            Ok(value[key].as_str().with_context(|| format!("metadata without `{key}`"))?.to_owned())
        };
        let list = |value: &Value, key: &str| value[key].as_array().cloned().unwrap_or_default();
        let ids = list(metadata, "workspace_members");
        let (ours, others): (Vec<Value>, Vec<Value>) =
            list(metadata, "packages").into_iter().partition(|package| ids.contains(&package["id"]));
        let names: Vec<String> = ours.iter().map(|package| text(package, "name")).collect::<Result<_>>()?;

        let mut members = Vec::new();
        for package in &ours {
            let mut uses = Vec::new();
            for dependency in list(package, "dependencies") {
                let name = text(&dependency, "name")?;
                // A path marks our own crate: one from a registry may have the same name.
                if dependency["path"].is_string() && names.contains(&name) {
                    uses.push((name, dependency["kind"].as_str().unwrap_or("normal").to_owned()));
                }
            }
            let benches = list(package, "targets")
                .iter()
                .filter(|target| list(target, "kind").iter().any(|kind| kind == "bench"))
                .map(|target| text(target, "name"))
                .collect::<Result<_>>()?;
            let manifest = PathBuf::from(text(package, "manifest_path")?);
            let folder = manifest.parent().context("a manifest without a folder")?.to_owned();
            members.push(Member { name: text(package, "name")?, folder, uses, benches });
        }
        members.sort_by(|a, b| a.name.cmp(&b.name));

        let mut packages = Vec::new();
        for package in &others {
            packages.push(Package {
                name: format!("{} {}", text(package, "name")?, text(package, "version")?),
                licence: package["license"].as_str().map(str::to_owned),
            });
        }
        packages.sort_by(|a, b| a.name.cmp(&b.name));
        Ok(Self {
            root: text(metadata, "workspace_root")?.into(),
            target: text(metadata, "target_directory")?.into(),
            members,
            packages,
        })
    }

    /// The path as a reader of the repository writes it.
    pub fn relative(&self, path: &Path) -> String {
        path.strip_prefix(&self.root).unwrap_or(path).display().to_string()
    }

    /// Every file that people wrote, sorted by path.
    pub fn files(&self) -> Result<Vec<PathBuf>> {
        files_under(&self.root)
    }
}

/// Every file under a folder, sorted by path, without what tools made.
pub fn files_under(folder: &Path) -> Result<Vec<PathBuf>> {
    let mut files = Vec::new();
    let mut folders = vec![folder.to_owned()];
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(&folder).with_context(|| format!("cannot list {}", folder.display()))? {
            let entry = entry?;
            let kind = entry.file_type()?;
            if kind.is_file() {
                files.push(entry.path());
            } else if kind.is_dir() && !GENERATED.iter().any(|name| entry.file_name() == *name) {
                folders.push(entry.path());
            }
        }
    }
    files.sort();
    Ok(files)
}

/// The root of the repository: the folder above xtask's own.
pub fn root() -> PathBuf {
    let own = std::env::var_os("CARGO_MANIFEST_DIR").map(PathBuf::from);
    own.and_then(|folder| folder.parent().map(Path::to_owned)).unwrap_or_else(|| PathBuf::from("."))
}

/// The cargo that called us, so that one toolchain does everything.
pub fn cargo() -> Command {
    let mut command = Command::new(std::env::var_os("CARGO").unwrap_or_else(|| "cargo".into()));
    // Whole runs gain nothing from what incremental builds keep, and it is half of what they put on the disk.
    command.env("CARGO_INCREMENTAL", "0");
    command
}

fn host_triple() -> Result<String> {
    let output = Command::new("rustc").arg("-vV").output().context("cannot run `rustc -vV`")?;
    let text = String::from_utf8_lossy(&output.stdout).into_owned();
    let host = text.lines().find_map(|line| line.strip_prefix("host: "));
    Ok(host.context("`rustc -vV` names no host")?.to_owned())
}
