//! Findings: what is wrong with how a design stays up, and what would mend it.

use equipment::PartKind;
use findings::{Edit, Finding, Id};
use network::FeedSource;
use serde_json::json;
use units::Seconds;

use crate::battery::RuntimeProblem;
use crate::builder::Trouble;
use crate::component::{ComponentKind, Law};
use crate::model::Model;
use crate::rules::{
    ACCESS_POINT_OFF, BATTERY_EMPTY, BATTERY_GAP, BATTERY_OVERLOAD, BATTERY_UNKNOWN, BEHIND_SWITCH, DEVICE_OFF,
    LINE_BACKUP_UNKNOWN, LINE_UNUSED, LINK_LOOP, MISSING_RATE, NO_REPAIR_TIME, POWER_LOOP, RUNTIME_SHORT,
    RUNTIME_WHEN_OLD, SHARED_BY_LINES, SINGLE_POINT, TERMINATION_OFF, VA_AS_ENERGY,
};
use crate::services::ServiceKind;

impl Model<'_> {
    /// Everything that is wrong or worth knowing, in a fixed order.
    pub(crate) fn findings(&self) -> Vec<Finding> {
        let mut findings = Vec::new();
        self.loops(&mut findings);
        self.paths(&mut findings);
        self.router_alone(&mut findings);
        self.batteries(&mut findings);
        self.single_points(&mut findings);
        self.lines(&mut findings);
        self.rates(&mut findings);
        findings
    }

    fn loops(&self, findings: &mut Vec<Finding>) {
        for feed in &self.input.design.feeds {
            if matches!(&feed.source, FeedSource::Battery { part } | FeedSource::Poe { part } if *part == feed.part) {
                let message = format!("{} is to feed itself", feed.part);
                findings.push(
                    Finding::of(&POWER_LOOP, vec![feed.part.clone()], message)
                        .remedy("feed it from the mains", self.on_mains(&feed.part)),
                );
            }
        }
        let mut troubles: Vec<&Trouble> = self.services.iter().filter_map(|s| s.ways.as_ref().err()).collect();
        troubles.sort();
        troubles.dedup();
        for trouble in troubles {
            match trouble {
                Trouble::PowerLoop(at) if !findings.iter().any(|f| f.subjects.contains(at)) => {
                    let message = format!("the feeds at {at} lead in a circle and never to the mains");
                    findings.push(
                        Finding::of(&POWER_LOOP, vec![at.clone()], message)
                            .remedy(format!("feed {at} from the mains"), self.on_mains(at)),
                    );
                }
                Trouble::LinkLoop(at) => {
                    let message = format!("the links at {at} lead in a circle and never to a line");
                    findings.push(
                        Finding::of(&LINK_LOOP, vec![at.clone()], message)
                            .remedy("join the line's end to one of them", vec![]),
                    );
                }
                _ => {}
            }
        }
    }

    fn on_mains(&self, part: &Id) -> Vec<Edit> {
        let mut feeds = self.input.design.feeds.clone();
        for feed in feeds.iter_mut().filter(|f| &f.part == part) {
            feed.source = FeedSource::Mains { outlet: None };
        }
        vec![Edit::set(format!("designs/{}/feeds", self.input.design.id), json!(feeds))]
    }

    /// The way of each device that must stay up.
    fn paths(&self, findings: &mut Vec<Finding>) {
        for device in self.protected_devices() {
            let Some(from) = self.joined_to(&device.id) else { continue };
            let way = self.way(from);
            let on: Vec<bool> = way.iter().map(|p| self.is_on_battery(p)).collect();
            let supply = way.iter().find_map(|p| self.battery_of(p));
            let own = device.has_battery || self.battery_of(&device.id).is_some();
            if let Some(supply) = supply.filter(|_| on.iter().all(|b| *b) && !own) {
                findings.push(
                    Finding::of(
                        &DEVICE_OFF,
                        vec![device.id.clone()],
                        format!("{} has no battery: it is off in an outage though its connection stays", device.id),
                    )
                    .remedy(
                        "use a device with a battery, or feed it from a battery supply",
                        self.feed_from(supply, std::slice::from_ref(&device.id)),
                    ),
                );
            }
            if let Some(supply) = supply.filter(|_| !on.iter().all(|b| *b)) {
                let gaps: Vec<Id> = way.iter().zip(&on).filter(|(_, b)| !**b).map(|(p, _)| (*p).clone()).collect();
                let mut subjects = vec![device.id.clone()];
                subjects.extend(gaps.iter().cloned());
                findings.push(
                    Finding::of(
                        &BATTERY_GAP,
                        subjects,
                        format!("{} stays up only while {} has mains", device.id, names(&gaps)),
                    )
                    .remedy("feed the whole path from the battery supply", self.feed_from(supply, &gaps)),
                );
            }
            let link = self.input.design.links.iter().find(|l| l.to == device.id);
            let behind_switch = self.kind_of(from) == Some(PartKind::Switch);
            if let (Some(link), Some(router), true) = (link, self.router, behind_switch)
                && way.contains(&router)
                && self.has_free_port(router)
            {
                let edit = Edit::set(format!("designs/{}/links/{}/from", self.input.design.id, link.id), json!(router));
                findings.push(
                    Finding::of(
                        &BEHIND_SWITCH,
                        vec![device.id.clone(), from.clone()],
                        format!("{} is patched into {from}, though {router} has a free port", device.id),
                    )
                    .remedy(format!("patch it into {router}"), vec![edit]),
                );
            }
        }
    }

    /// The router is on a battery: so should be what ends its line, and the access points of devices.
    fn router_alone(&self, findings: &mut Vec<Finding>) {
        let Some((router, supply)) = self.router.and_then(|r| Some((r, self.battery_of(r)?))) else { return };
        let named = |findings: &[Finding], part: &Id| {
            findings.iter().any(|f| f.rule == BATTERY_GAP.id && f.subjects.contains(part))
        };
        for part in self.way(router).into_iter().skip(1) {
            if !self.is_on_battery(part) && !named(findings, part) {
                let message = format!("{router} is on {supply} and {part} is not: there is no internet in an outage");
                findings.push(
                    Finding::of(&TERMINATION_OFF, vec![part.clone(), supply.clone()], message).remedy(
                        format!("feed {part} from {supply}"),
                        self.feed_from(supply, std::slice::from_ref(part)),
                    ),
                );
            }
        }
        let mut serving: Vec<&Id> = self.input.serving.iter().filter_map(|s| s.1.first()).collect();
        serving.sort();
        serving.dedup();
        for part in serving {
            if !self.is_on_battery(part) && !named(findings, part) {
                let message =
                    format!("{part} is on the mains: the devices that it serves lose the network in an outage");
                findings.push(
                    Finding::of(&ACCESS_POINT_OFF, vec![part.clone()], message).remedy(
                        format!("feed {part} from {supply}"),
                        self.feed_from(supply, std::slice::from_ref(part)),
                    ),
                );
            }
        }
    }

    fn batteries(&self, findings: &mut Vec<Finding>) {
        let wanted = self.input.household.wishes.battery_runtime;
        for supply in &self.supplies {
            let subject = || vec![supply.id.clone()];
            let id = &supply.id;
            let printed = supply.battery.cells.as_ref().map_or(supply.battery.energy, |c| c.printed);
            if printed.0 == 0.0 {
                let finding = Finding::of(&BATTERY_EMPTY, subject(), format!("{id} holds 0 Wh: it carries nothing"));
                findings.push(finding.remedy("state its energy, or choose another battery supply", vec![]));
            } else if let Some(rating) = supply.battery.rated_va.filter(|va| *va > 0.0 && printed.0 >= *va) {
                findings.push(
                    Finding::of(
                        &VA_AS_ENERGY,
                        subject(),
                        format!("{id} is said to hold {:.0} Wh at a rating of {rating:.0} VA", printed.0),
                    )
                    .remedy("read volts and ampere-hours off the battery and state their product", vec![]),
                );
            }
            match &supply.runtime {
                Err(
                    problem @ (RuntimeProblem::Overload { load, most }
                    | RuntimeProblem::ApparentOverload { load, most }),
                ) => {
                    let unit = if matches!(problem, RuntimeProblem::Overload { .. }) { "W" } else { "VA" };
                    findings.push(
                        Finding::of(&BATTERY_OVERLOAD, subject(), format!("{id}: {problem}"))
                            .against(*load, *most, unit)
                            .remedy("choose a larger battery supply, or feed fewer parts from it", vec![]),
                    );
                }
                Err(problem) => {
                    let finding = Finding::of(&BATTERY_UNKNOWN, subject(), format!("{id}: {problem}"));
                    findings.push(finding.remedy("correct the figure", vec![]));
                }
                Ok(runtime) => {
                    let Some(wanted) = wanted.filter(|w| w.0 > 0.0) else { continue };
                    let short = |rule, time: Seconds, when: &str| {
                        Finding::of(
                            rule,
                            subject(),
                            format!(
                                "{id} lasts {:.0} min{when}; {:.0} min are asked for",
                                time.0 / 60.0,
                                wanted.0 / 60.0
                            ),
                        )
                        .against(time.0 / 60.0, wanted.0 / 60.0, "min")
                        .remedy("choose a larger battery supply, or feed fewer parts from it", Vec::new())
                    };
                    if runtime.value.0 < wanted.0 {
                        findings.push(short(&RUNTIME_SHORT, runtime.value, ""));
                    } else if runtime.low.0 < wanted.0 {
                        findings.push(short(&RUNTIME_WHEN_OLD, runtime.low, " at the end of its life"));
                    }
                }
            }
        }
    }

    fn single_points(&self, findings: &mut Vec<Finding>) {
        for served in self.services.iter().filter(|s| s.must_stay_up && s.kind == ServiceKind::Connection) {
            let Ok(ways) = &served.ways else { continue };
            let (mut points, mut words): (Vec<Id>, Vec<String>) = (Vec::new(), Vec::new());
            for set in ways.whole.cuts(1).sets {
                let Some(component) = set.first().and_then(|c| self.components.get(*c)) else { continue };
                if matches!(component.law, Law::Held | Law::Untested) || points.contains(&component.id) {
                    continue;
                }
                points.push(component.id.clone());
                let member = set.first().and_then(|c| self.member(*c));
                words.push(match member.and_then(|m| m.longer_than_min) {
                    Some(minutes) => format!("{} (for over {minutes} min)", component.id),
                    None => component.id.to_string(),
                });
            }
            if points.is_empty() {
                continue;
            }
            let mut subjects = vec![served.id.clone()];
            subjects.extend(points.iter().cloned());
            let message = format!("{} is down if any one of these fails: {}", served.id, words.join(", "));
            findings.push(Finding::of(&SINGLE_POINT, subjects, message).against(points.len() as f64, 0.0, "parts"));
        }
    }

    fn lines(&self, findings: &mut Vec<Finding>) {
        let site = self.input.site;
        let head = self.lines.len();
        for (index, line) in site.lines.iter().enumerate().skip(1) {
            if head > 0 && !self.lines.contains(&index) {
                let message = format!("{} is ended by no part: it is no second way to the internet", line.id);
                findings.push(
                    Finding::of(&LINE_UNUSED, vec![line.id.clone()], message)
                        .remedy("place a part that ends it and join it to the router", vec![]),
                );
            }
        }
        let internet = self.services.iter().find(|s| s.kind == ServiceKind::Internet);
        let ways = internet.and_then(|s| s.ways.as_ref().ok());
        if let Some(ways) = ways.filter(|_| self.lines.len() > 1) {
            let shared: Vec<Id> = ways
                .whole
                .cuts(1)
                .sets
                .iter()
                .filter_map(|set| set.first().and_then(|c| self.components.get(*c)))
                .filter(|c| Some(&c.id) != self.router && c.kind != ComponentKind::Mains)
                .map(|c| c.id.clone())
                .collect();
            if !shared.is_empty() {
                let message = format!("both lines are down if one of these fails: {}", names(&shared));
                findings.push(
                    Finding::of(&SHARED_BY_LINES, shared, message)
                        .remedy("give the second line parts, a supply and a way of its own", vec![]),
                );
            }
        }
        // Only who outlasts an outage minds whether the far end does.
        let outlasting = self
            .services
            .iter()
            .any(|s| s.ways.as_ref().is_ok_and(|w| self.outlasts(&w.whole).is_some_and(|t| t.0 > 0.0)));
        for component in self.components.iter().filter(|c| c.kind == ComponentKind::LineBackup && outlasting) {
            let line = site.lines.iter().find(|l| component.id.as_str() == format!("{}-backup", l.id));
            let Some(line) = line else { continue };
            let message = format!("it is not known how long the far end of {} goes on with the mains out", line.id);
            findings.push(Finding::of(&LINE_BACKUP_UNKNOWN, vec![line.id.clone()], message).remedy(
                "in the next outage, or with the main switch off and the street dark, see whether the line stays",
                vec![],
            ));
        }
    }

    fn rates(&self, findings: &mut Vec<Finding>) {
        let mut seen: Vec<&str> = Vec::new();
        for component in &self.components {
            match component.law {
                Law::Unknown if !seen.contains(&component.missing.as_str()) => {
                    seen.push(&component.missing);
                    let message = format!("it is not known {}", component.missing);
                    let message = if component.missing.starts_with("the part") {
                        format!("missing: {}", component.missing)
                    } else {
                        message
                    };
                    findings.push(Finding::of(&MISSING_RATE, vec![component.id.clone()], message));
                }
                Law::Repaired { odds: 0.0, .. } => {
                    let message = format!("{} is mended in no time: it counts as always up", component.id);
                    findings.push(Finding::of(&NO_REPAIR_TIME, vec![component.id.clone()], message));
                }
                _ => {}
            }
        }
    }
}

fn names(ids: &[Id]) -> String {
    ids.iter().map(Id::as_str).collect::<Vec<_>>().join(", ")
}
