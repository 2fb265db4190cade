//! Holds the manifests to the floor table. It looks at the manifests, not at what the code names: cargo sees to that.

use std::collections::{BTreeMap, VecDeque};

use anyhow::Result;

use crate::floors::{BESIDE, place_of};
use crate::purity;
use crate::workspace::{Member, Workspace};

/// Upward and sideways edges, crates without a floor, and engines that do I/O or iterate over hash maps.
pub fn problems(workspace: &Workspace) -> Result<Vec<String>> {
    let mut problems = edge_problems(&workspace.members);
    problems.extend(purity::problems(workspace)?);
    Ok(problems)
}

/// Judges the edges between members. Development dependencies count as well: a lower crate whose tests need a higher
/// one cannot be worked on alone.
fn edge_problems(members: &[Member]) -> Vec<String> {
    let mut problems = Vec::new();
    for member in members.iter().filter(|member| !BESIDE.contains(&member.name.as_str())) {
        let Some(place) = place_of(&member.name) else {
            problems.push(format!(
                "{}: this crate has no floor; give it one in xtask/src/floors.rs and in ARCHITECTURE.md",
                member.name
            ));
            continue;
        };
        for (used, kind) in &member.uses {
            let direction = match place_of(used) {
                None if BESIDE.contains(&used.as_str()) => "into a crate beside the building",
                None => continue,
                Some(other) if other.floor > place.floor => "upward",
                Some(other) if other.floor == place.floor => "sideways",
                Some(_) => continue,
            };
            let floor = |name: &str| place_of(name).map_or("none".to_owned(), |place| place.floor.to_string());
            problems.push(format!(
                "{name} (floor {from}) -> {used} (floor {to}): {direction}, {kind} dependency\n    path: {path} -> {used}",
                name = member.name,
                from = place.floor,
                to = floor(used),
                path = path_to(members, &member.name).join(" -> "),
            ));
        }
    }
    problems
}

/// The shortest way down from a member that nothing uses to the member of this name.
fn path_to(members: &[Member], goal: &str) -> Vec<String> {
    let is_used = |name: &str| members.iter().any(|member| member.uses.iter().any(|(used, _)| used == name));
    let mut came_from: BTreeMap<&str, Option<&str>> =
        members.iter().filter(|member| !is_used(&member.name)).map(|member| (member.name.as_str(), None)).collect();
    let mut queue: VecDeque<&str> = came_from.keys().copied().collect();
    while let Some(name) = queue.pop_front() {
        for member in members.iter().filter(|member| member.name == name) {
            for (used, _) in &member.uses {
                if !came_from.contains_key(used.as_str()) {
                    came_from.insert(used, Some(name));
                    queue.push_back(used);
                }
            }
        }
    }
    let mut path = vec![goal.to_owned()];
    let mut name = goal;
    while let Some(Some(above)) = came_from.get(name) {
        path.push((*above).to_owned());
        name = above;
    }
    path.reverse();
    path
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A crate and what it uses, each with the kind of dependency as cargo gives it.
    type Manifest<'a> = (&'a str, &'a [(&'a str, Option<&'a str>)]);

    /// The metadata of a workspace of these crates, as cargo prints it, with nothing but what is read.
    fn workspace(crates: &[Manifest]) -> Workspace {
        let packages: Vec<_> = crates
            .iter()
            .map(|(name, uses)| {
                let dependencies: Vec<_> = uses
                    .iter()
                    .map(|(used, kind)| serde_json::json!({"name": used, "kind": kind, "path": format!("/w/{used}")}))
                    .collect();
                serde_json::json!({
                    "id": format!("path+{name}"), "name": name, "version": "0.1.0", "license": "MIT",
                    "manifest_path": format!("/w/{name}/Cargo.toml"), "targets": [], "dependencies": dependencies,
                })
            })
            .collect();
        let ids: Vec<_> = crates.iter().map(|(name, _)| format!("path+{name}")).collect();
        let metadata = serde_json::json!({
            "packages": packages, "workspace_members": ids, "workspace_root": "/w", "target_directory": "/w/target",
        });
        Workspace::from_metadata(&metadata).unwrap()
    }

    #[test]
    fn downward_edges_pass() {
        let workspace = workspace(&[
            ("units", &[]),
            ("findings", &[("units", None)]),
            ("job", &[("findings", None)]),
            ("ifc", &[("job", None), ("units", Some("dev"))]),
            ("xtask", &[]),
        ]);
        assert_eq!(edge_problems(&workspace.members), Vec::<String>::new());
    }

    #[test]
    fn an_upward_edge_fails_and_its_path_is_printed() {
        let workspace = workspace(&[
            ("units", &[("job", None)]),
            ("job", &[]),
            ("propagation", &[("units", None)]),
            ("cli", &[("propagation", None)]),
        ]);
        let problems = edge_problems(&workspace.members);
        assert_eq!(problems.len(), 1);
        assert!(
            problems[0].starts_with("units (floor -1) -> job (floor 4): upward, normal dependency"),
            "{problems:?}"
        );
        assert!(problems[0].ends_with("path: cli -> propagation -> units -> job"), "{problems:?}");
    }

    #[test]
    fn a_sideways_development_edge_fails() {
        let workspace = workspace(&[("wlan", &[("propagation", Some("dev"))]), ("propagation", &[])]);
        let problems = edge_problems(&workspace.members);
        assert_eq!(problems.len(), 1);
        assert!(problems[0].contains("sideways, dev dependency"), "{problems:?}");
    }

    #[test]
    fn a_crate_without_a_floor_fails_and_so_does_using_xtask() {
        let workspace = workspace(&[("attic", &[]), ("units", &[("xtask", None)]), ("xtask", &[])]);
        let problems = edge_problems(&workspace.members);
        assert_eq!(problems.len(), 2);
        assert!(problems[0].starts_with("attic: this crate has no floor"), "{problems:?}");
        assert!(problems[1].contains("beside the building"), "{problems:?}");
    }

    #[test]
    fn a_registry_package_with_our_name_is_not_an_edge() {
        let mut metadata = serde_json::json!({
            "packages": [
                {"id": "a", "name": "units", "version": "0.1.0", "manifest_path": "/w/units/Cargo.toml", "targets": [],
                 "dependencies": [{"name": "job", "kind": null}]},
                {"id": "b", "name": "job", "version": "0.1.0", "manifest_path": "/w/job/Cargo.toml", "targets": [],
                 "dependencies": []},
            ],
            "workspace_members": ["a", "b"], "workspace_root": "/w", "target_directory": "/w/target",
        });
        assert!(edge_problems(&Workspace::from_metadata(&metadata).unwrap().members).is_empty());
        metadata["packages"][0]["dependencies"][0]["path"] = "/w/job".into();
        assert_eq!(edge_problems(&Workspace::from_metadata(&metadata).unwrap().members).len(), 1);
    }
}
