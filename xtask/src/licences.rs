//! Holds the licence of every dependency, of this platform and of the tests too, to `xtask/licences.toml`.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;

use anyhow::{Context, Result};

use crate::spdx::is_satisfied;
use crate::workspace::{Package, Workspace};

/// What npm installs for the web app and its tools.
const LOCKS: [&str; 2] = ["web/package-lock.json", "web/api-types/package-lock.json"];

struct Policy {
    allowed: BTreeSet<String>,
    /// Package name without version, to the reason.
    exceptions: BTreeMap<String, String>,
}

/// Every dependency whose licence is not allowed, as rows of a table.
pub fn problems(workspace: &Workspace) -> Result<Vec<String>> {
    let path = workspace.root.join("xtask/licences.toml");
    let text = fs::read_to_string(&path).with_context(|| format!("cannot read {}", path.display()))?;
    let policy = read_policy(&text)?;
    let mut packages = workspace.packages.clone();
    for lock in LOCKS {
        let path = workspace.root.join(lock);
        let text = fs::read_to_string(&path).with_context(|| format!("cannot read {}", path.display()))?;
        packages.extend(read_lock(&text).with_context(|| format!("cannot read {}", path.display()))?);
    }
    Ok(judge(&packages, &policy))
}

/// The packages of a lock file of npm, with their licences.
fn read_lock(text: &str) -> Result<Vec<Package>> {
    let lock: serde_json::Value = serde_json::from_str(text).context("not JSON")?;
    let packages = lock["packages"].as_object().context("no `packages`")?;
    let read = |(path, package): (&String, &serde_json::Value)| {
        // The entry without a path is the app itself.
        let (_, name) = path.rsplit_once("node_modules/")?;
        let version = package["version"].as_str().unwrap_or_default();
        Some(Package { name: format!("{name} {version}"), licence: package["license"].as_str().map(str::to_owned) })
    };
    Ok(packages.iter().filter_map(read).collect())
}

fn read_policy(text: &str) -> Result<Policy> {
    let table: toml::Table = text.parse().context("xtask/licences.toml is not TOML")?;
    let allowed = table.get("allow").and_then(toml::Value::as_array).context("xtask/licences.toml needs `allow`")?;
    let mut exceptions = BTreeMap::new();
    for exception in table.get("exception").and_then(toml::Value::as_array).into_iter().flatten() {
        let field = |key: &str| exception.get(key).and_then(toml::Value::as_str).map(str::to_owned);
        let package = field("package").context("an exception in xtask/licences.toml needs `package`")?;
        let reason = field("reason").with_context(|| format!("the exception for {package} needs `reason`"))?;
        exceptions.insert(package, reason);
    }
    Ok(Policy { allowed: allowed.iter().filter_map(toml::Value::as_str).map(str::to_owned).collect(), exceptions })
}

fn judge(packages: &[Package], policy: &Policy) -> Vec<String> {
    let mut rows = Vec::new();
    for package in packages {
        let bare_name = package.name.split(' ').next().unwrap_or_default();
        if policy.exceptions.contains_key(bare_name) {
            continue;
        }
        let licence = package.licence.as_deref().unwrap_or("");
        let verdict = match is_satisfied(licence, &policy.allowed) {
            _ if licence.is_empty() => "declares no licence expression".to_owned(),
            Ok(true) => continue,
            Ok(false) => "not on the list".to_owned(),
            Err(error) => format!("cannot be read: {error}"),
        };
        rows.push((package.name.as_str(), licence, verdict));
    }
    let name_width = rows.iter().map(|(name, ..)| name.len()).max().unwrap_or(0);
    let licence_width = rows.iter().map(|(_, licence, _)| licence.len()).max().unwrap_or(0);
    rows.iter()
        .map(|(name, licence, verdict)| format!("{name:name_width$}  {licence:licence_width$}  {verdict}"))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn package(name: &str, licence: Option<&str>) -> Package {
        Package { name: name.to_owned(), licence: licence.map(str::to_owned) }
    }

    #[test]
    fn lists_what_is_not_allowed_and_honours_exceptions() {
        let policy =
            read_policy("allow = ['MIT']\n[[exception]]\npackage = 'odd'\nreason = 'read by a person'").unwrap();
        let packages = [
            package("good 1.0.0", Some("MIT OR GPL-3.0-only")),
            package("bad 2.0.0", Some("GPL-3.0-only")),
            package("none 1.0.0", None),
            package("odd 1.0.0", None),
        ];
        let rows = judge(&packages, &policy);
        assert_eq!(
            rows,
            ["bad 2.0.0   GPL-3.0-only  not on the list", "none 1.0.0                declares no licence expression"]
        );
    }

    #[test]
    fn reads_a_lock_file_of_npm() {
        let text = r#"{"packages": {"": {"name": "app"}, "node_modules/a": {"version": "1.2.3", "license": "MIT"},
            "node_modules/a/node_modules/@b/c": {"version": "4.5.6"}}}"#;
        let expected = [package("a 1.2.3", Some("MIT")), package("@b/c 4.5.6", None)];
        assert_eq!(read_lock(text).unwrap(), expected);
        assert!(read_lock("{}").is_err());
    }

    #[test]
    fn an_exception_needs_a_reason() {
        assert!(read_policy("allow = []\n[[exception]]\npackage = 'odd'").is_err());
        assert!(read_policy("deny = []").is_err());
    }
}
