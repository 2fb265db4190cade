//! What a job says that cannot be: numbers that are not finite, references to nothing, circles, doubled ids.
//!
//! The parts of a home are judged by the crates that own them; this module joins their findings and adds what only the
//! whole document shows.

use std::collections::{BTreeMap, BTreeSet};

use building::Resolved;
use equipment::Catalog;
use findings::{Edit, Finding, Id, Rule, Severity, Source};
use network::{Design, FeedSource, Medium};
use serde_json::json;

mod upkeep;

use crate::encoding::non_finite;
use crate::parse::nearest;
use crate::{FORMAT, Job};

fn document() -> Source {
    Source::model(format!("job document, `{FORMAT}`"))
}

const NOT_FINITE: Rule = Rule {
    id: "job.not-finite",
    severity: Severity::Fails,
    summary: "A number is infinite or not a number.",
    limit: "every number is finite",
    cite: document,
};
const DUPLICATE_ID: Rule = Rule {
    id: "job.duplicate-id",
    severity: Severity::Fails,
    summary: "Two things that are told apart by their id have the same one.",
    limit: "ids are unique in their list; placed parts and devices share no id",
    cite: document,
};
const UNKNOWN_REFERENCE: Rule = Rule {
    id: "job.unknown-reference",
    severity: Severity::Fails,
    summary: "A design or the household names something that the job does not have.",
    limit: "every id that is named exists",
    cite: document,
};
const UNKNOWN_PART: Rule = Rule {
    id: "job.unknown-part",
    severity: Severity::Fails,
    summary: "A part is named that is neither built in nor among the job's own.",
    limit: "every part that is named exists",
    cite: document,
};
const PART_FIGURES: Rule = Rule {
    id: "job.part-figures",
    severity: Severity::Fails,
    summary: "A part of the job's own has figures that cannot be.",
    limit: "see the message",
    cite: document,
};
const TERMS: Rule = Rule {
    id: "job.terms",
    severity: Severity::Fails,
    summary: "A term of the firm that quotes cannot be.",
    limit: "see the message",
    cite: document,
};
const CIRCLE: Rule = Rule {
    id: "job.circle",
    severity: Severity::Fails,
    summary: "Links lead round in a circle, or a part is powered from itself.",
    limit: "links lead away from the line, feeds towards the mains",
    cite: document,
};
const OUT_OF_RANGE: Rule = Rule {
    id: "job.out-of-range",
    severity: Severity::Fails,
    summary: "A setting of a radio cannot be.",
    limit: "centres 2.4 to 7.125 GHz, widths 1 to 320 MHz, EIRP -60 to 60 dBm",
    cite: document,
};

const UPKEEP: Rule = Rule {
    id: "job.upkeep",
    severity: Severity::Fails,
    summary: "A figure of what is known of staying up cannot be.",
    limit: "cells -40 to 85 °C and 0 to 50 years old, power factors above 0 to 1, times between failures above 0, \
            other times 0 or more, factors 1 or more; what is taken over a data cable within its power class",
    cite: document,
};

/// The rules of this crate.
pub const RULES: &[Rule] =
    &[NOT_FINITE, DUPLICATE_ID, UNKNOWN_REFERENCE, UNKNOWN_PART, PART_FIGURES, TERMS, CIRCLE, OUT_OF_RANGE, UPKEEP];

/// Everything that is wrong with a job: with its numbers and references, its building, site, household, parts and designs.
///
/// A finding that `fails` means that nothing can be computed on the job.
#[must_use]
pub fn validate(job: &Job) -> Vec<Finding> {
    let mut findings = Vec::new();
    for (path, id, number) in non_finite(job) {
        let subjects = vec![id.unwrap_or_else(|| Id::from_label("job"))];
        findings.push(Finding::of(&NOT_FINITE, subjects, format!("{path} is {number}; give a finite number")));
    }
    findings.extend(building::validate(&job.building));
    findings.extend(site::validate(&job.site));
    let catalog = Catalog::with(&job.equipment.parts).unwrap_or_else(|problems| {
        for problem in problems {
            findings.push(Finding::of(&PART_FIGURES, vec![problem.part.clone()], problem.to_string()));
        }
        Catalog::builtin()
    });
    for problem in job.terms.iter().flat_map(|terms| terms.problems()) {
        let stocked = problem.field.strip_prefix("stock.").and_then(|part| part.parse().ok());
        let subjects = vec![stocked.unwrap_or_else(|| Id::from_label("terms"))];
        findings.push(Finding::of(&TERMS, subjects, problem.to_string()));
    }
    let rooms = rooms(job);
    if let Some(household) = &job.household {
        findings.extend(household::validate(household, &rooms));
    }
    let mut check = Check {
        job,
        catalog: &catalog,
        rooms: rooms.iter().collect(),
        devices: job.household.iter().flat_map(|h| h.devices.iter().map(|d| &d.id)).collect(),
        outlets: job.building.outlets.iter().map(|o| &o.id).collect(),
        findings,
    };
    check.parts_named_outside_designs();
    check.ways_and_power();
    check.unique("designs", &[], job.designs.iter().map(|d| &d.id));
    for design in &job.designs {
        check.design(design);
    }
    check.findings
}

/// Ids of the rooms: the given ones, or those found from the walls if none are given and the building is sound.
fn rooms(job: &Job) -> Vec<Id> {
    if job.building.rooms.is_empty() && (job.household.is_some() || !job.designs.is_empty()) {
        return Resolved::new(&job.building)
            .map_or_else(|_| Vec::new(), |r| r.rooms.into_iter().map(|r| r.id).collect());
    }
    job.building.rooms.iter().map(|r| r.id.clone()).collect()
}

struct Check<'a> {
    job: &'a Job,
    catalog: &'a Catalog,
    rooms: BTreeSet<&'a Id>,
    devices: BTreeSet<&'a Id>,
    outlets: BTreeSet<&'a Id>,
    findings: Vec<Finding>,
}

impl<'a> Check<'a> {
    fn unique<'b>(&mut self, list: &str, subjects: &[&Id], ids: impl Iterator<Item = &'b Id>) -> BTreeSet<&'b Id> {
        let mut seen = BTreeSet::new();
        for id in ids {
            if !seen.insert(id) {
                let subjects = std::iter::once(id).chain(subjects.iter().copied()).cloned().collect();
                let message = format!("{list}: the id `{id}` occurs more than once; give each its own");
                self.findings.push(Finding::of(&DUPLICATE_ID, subjects, message));
            }
        }
        seen
    }

    fn known(&mut self, path: &str, subjects: Vec<Id>, what: &str, id: &Id, known: &BTreeSet<&Id>) {
        if known.contains(id) {
            return;
        }
        let names: Vec<&str> = known.iter().map(|id| id.as_str()).collect();
        let hint = match nearest(id.as_str(), &names) {
            Some(near) => format!("did you mean `{near}`?"),
            None if names.is_empty() => "there are none".to_owned(),
            None => format!(
                "known are {}{}",
                names[..names.len().min(8)].join(", "),
                if names.len() > 8 { " and more" } else { "" }
            ),
        };
        self.findings.push(Finding::of(
            &UNKNOWN_REFERENCE,
            subjects,
            format!("{path}: {what} `{id}` does not exist; {hint}"),
        ));
    }

    /// `edit_path` is where the part is named, for the remedy.
    fn known_part(&mut self, path: &str, edit_path: &str, mut subjects: Vec<Id>, part: &Id) {
        if self.catalog.get(part).is_some() {
            return;
        }
        subjects.push(part.clone());
        let near = self.catalog.nearest(part).cloned();
        let hint = near.as_ref().map_or_else(
            || "give it under `equipment.parts`, or name another".to_owned(),
            |near| format!("did you mean `{near}`?"),
        );
        let finding = Finding::of(&UNKNOWN_PART, subjects, format!("{path}: there is no part `{part}`; {hint}"));
        self.findings.push(match near {
            Some(near) => {
                finding.remedy(format!("take `{near}` instead"), vec![Edit::set(edit_path, json!(near.as_str()))])
            }
            None => finding,
        });
    }

    fn parts_named_outside_designs(&mut self) {
        let job = self.job;
        for line in &job.site.lines {
            if let Some(part) = &line.fixed_box {
                let edit_path = format!("site/lines/{}/fixed_box", line.id);
                self.known_part(
                    &format!("site.lines ({}).fixed_box", line.id),
                    &edit_path,
                    vec![line.id.clone()],
                    part,
                );
            }
        }
        for kept in job.household.iter().flat_map(|h| &h.kept) {
            let edit_path = format!("household/kept/{}/part", kept.id);
            self.known_part(
                &format!("household.kept ({}).part", kept.id),
                &edit_path,
                vec![kept.id.clone()],
                &kept.part,
            );
        }
        for part in job.terms.iter().flat_map(|t| t.stock.keys()).filter(|part| self.catalog.get(part).is_none()) {
            let near = self.catalog.nearest(part).map(|n| format!("; did you mean `{n}`?")).unwrap_or_default();
            let message = format!("terms.stock: no part has the id `{part}`{near}");
            self.findings.push(Finding::of(&UNKNOWN_PART, vec![part.clone()], message));
        }
    }

    fn design(&mut self, design: &'a Design) {
        let path = format!("designs ({})", design.id);
        let edit_path = format!("designs/{}", design.id);
        let subjects = |id: &Id| vec![id.clone(), design.id.clone()];
        let placed = self.unique(&format!("{path}.parts"), &[&design.id], design.parts.iter().map(|p| &p.id));
        self.unique(&format!("{path}.links"), &[&design.id], design.links.iter().map(|l| &l.id));
        self.unique(&format!("{path}.segments"), &[&design.id], design.segments.iter().map(|s| &s.id));
        self.unique(&format!("{path}.feeds, by part"), &[&design.id], design.feeds.iter().map(|f| &f.part));
        let (rooms, devices, outlets) = (self.rooms.clone(), self.devices.clone(), self.outlets.clone());
        for part in &design.parts {
            let here = format!("{path}.parts ({})", part.id);
            self.known_part(&here, &format!("{edit_path}/parts/{}/part", part.id), subjects(&part.id), &part.part);
            self.known(&here, subjects(&part.id), "the room", &part.room, &rooms);
            if devices.contains(&part.id) {
                let message = format!("{here}: a device of the household has the same id; links could mean either");
                self.findings.push(Finding::of(&DUPLICATE_ID, subjects(&part.id), message));
            }
        }
        let ends: BTreeSet<&Id> = placed.union(&devices).copied().collect();
        for link in &design.links {
            let here = format!("{path}.links ({})", link.id);
            self.known(&here, subjects(&link.id), "the placed part", &link.from, &placed);
            self.known(&here, subjects(&link.id), "the placed part or device", &link.to, &ends);
            if let Medium::Cable { part } = &link.medium {
                let edit_path = format!("{edit_path}/links/{}/medium/part", link.id);
                self.known_part(&here, &edit_path, subjects(&link.id), part);
            }
        }
        let links = design.links.iter().map(|l| (&l.from, &l.to));
        self.circle(&format!("{path}.links"), design, links, "links lead round from");
        let mut set = BTreeSet::new();
        for radio in &design.radios {
            let here = format!("{path}.radios ({})", radio.part);
            self.known(&here, subjects(&radio.part), "the placed part", &radio.part, &placed);
            if !set.insert((&radio.part, radio.band)) {
                let message = format!("{here}: the {} GHz radio is set more than once", radio.band.label());
                self.findings.push(Finding::of(&DUPLICATE_ID, subjects(&radio.part), message));
            }
            for (what, value, low, high, unit) in [
                ("centre", radio.centre.0, 2.4e9, 7.125e9, "Hz"),
                ("width", radio.width.0, 1e6, 320e6, "Hz"),
                ("eirp", radio.eirp.0, -60.0, 60.0, "dBm"),
            ] {
                if value.is_finite() && !(low..=high).contains(&value) {
                    let message =
                        format!("{here}: {what} is {value} {unit}; it must lie between {low} and {high} {unit}");
                    let limit = if value > high { high } else { low };
                    let finding = Finding::of(&OUT_OF_RANGE, subjects(&radio.part), message);
                    self.findings.push(finding.against(value, limit, unit));
                }
            }
        }
        for segment in &design.segments {
            for device in &segment.devices {
                let here = format!("{path}.segments ({})", segment.id);
                self.known(&here, subjects(&segment.id), "the device", device, &devices);
            }
        }
        for feed in &design.feeds {
            let here = format!("{path}.feeds ({})", feed.part);
            self.known(&here, subjects(&feed.part), "the placed part or device", &feed.part, &ends);
            match &feed.source {
                FeedSource::Mains { outlet: Some(outlet) } => {
                    self.known(&here, subjects(&feed.part), "the outlet", outlet, &outlets);
                }
                FeedSource::Mains { outlet: None } => {}
                FeedSource::Battery { part } | FeedSource::Poe { part } => {
                    self.known(&here, subjects(&feed.part), "the placed part", part, &placed);
                }
            }
        }
        let feeds = design.feeds.iter().filter_map(|f| match &f.source {
            FeedSource::Battery { part } | FeedSource::Poe { part } => Some((&f.part, part)),
            FeedSource::Mains { .. } => None,
        });
        self.circle(&format!("{path}.feeds"), design, feeds, "power comes round to");
        self.upkeep(design, &placed);
    }

    /// Finds what is left of directed edges when all that leads nowhere is taken away, and names one circle in it.
    fn circle<'b>(&mut self, path: &str, design: &Design, edges: impl Iterator<Item = (&'b Id, &'b Id)>, says: &str) {
        let mut next: BTreeMap<&Id, BTreeSet<&Id>> = BTreeMap::new();
        for (from, to) in edges {
            next.entry(from).or_default().insert(to);
        }
        let mut came_from: BTreeMap<&Id, usize> = BTreeMap::new();
        for ends in next.values() {
            for to in ends {
                *came_from.entry(to).or_default() += 1;
            }
        }
        let mut free: Vec<&Id> = next.keys().filter(|id| !came_from.contains_key(*id)).copied().collect();
        while let Some(id) = free.pop() {
            for to in next.remove(id).unwrap_or_default() {
                let count = came_from.entry(to).or_default();
                *count = count.saturating_sub(1);
                if *count == 0 {
                    free.push(to);
                }
            }
        }
        // What is left with a way on lies on a circle or between circles; walking on must come round.
        next.retain(|id, _| came_from.get(id).is_some_and(|count| *count > 0));
        let mut walk: Vec<&Id> = next.keys().take(1).copied().collect();
        while let Some(to) =
            walk.last().and_then(|id| next.get(id)).and_then(|ends| ends.iter().find(|e| next.contains_key(*e)))
        {
            if let Some(at) = walk.iter().position(|id| id == to) {
                walk.drain(..at);
                let names: Vec<&str> = walk.iter().chain([to]).map(|id| id.as_str()).collect();
                let subjects = walk.iter().copied().chain([&design.id]).cloned().collect();
                let message = format!("{path}: {says} `{to}` over {}; break the circle", names.join(" > "));
                self.findings.push(Finding::of(&CIRCLE, subjects, message));
                return;
            }
            walk.push(to);
        }
    }
}
