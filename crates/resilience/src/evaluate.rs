//! The engine's one door.

use equipment::{Part, PartKind};
use findings::{Figure, Finding, Id, Rule, Severity, Source, SourceKind};
use household::{Device, Household};
use network::Design;
use site::Site;

use crate::MINUTES_A_YEAR;
use crate::chain::Chain;
use crate::structure::Structure;

/// What is judged.
pub struct Input<'a> {
    /// The design.
    pub design: &'a Design,
    /// Its household.
    pub household: &'a Household,
    /// Its address.
    pub site: &'a Site,
    /// Looks up a part of the catalogue.
    pub parts: &'a dyn Fn(&Id) -> Option<&'a Part>,
    /// For each wireless device, the placed parts that can serve it.
    pub serving: &'a [(Id, Vec<Id>)],
}

/// A service and how it stays up.
#[derive(Clone, Debug, PartialEq)]
pub struct Service {
    /// The device, or `internet` for the router's own connection.
    pub id: Id,
    /// Share of time that it is up, low and high; nothing if unknown.
    pub availability: Option<[f64; 3]>,
    /// Components without which it is down.
    pub single_points: Vec<Id>,
    /// How many components it needs or can use.
    pub num_components: usize,
}

/// What comes out.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Outcome {
    /// Figures: the design's `outage.minutes` first, then by service.
    pub figures: Vec<Figure>,
    /// Findings.
    pub findings: Vec<Finding>,
    /// Services that must stay up, then `internet`.
    pub services: Vec<Service>,
}

/// A path that must stay up is only partly on a battery.
pub const BATTERY_GAP: Rule = Rule {
    id: "resilience.battery-gap",
    severity: Severity::Fails,
    summary: "a part on a path that must stay up is on the mains while others of the path are on a battery",
    limit: "every part between the device and the line is on a battery",
    cite: Source::common_practice,
};

/// A battery does not last as long as wished.
pub const RUNTIME_SHORT: Rule = Rule {
    id: "resilience.runtime-short",
    severity: Severity::Fails,
    summary: "a battery supply carries its load for less than the household asks",
    limit: "the household's battery runtime",
    cite: || Source::new(SourceKind::Stated, "household.wishes.battery_runtime"),
};

/// Something that must stay up hangs on single parts.
pub const SINGLE_POINT: Rule = Rule {
    id: "resilience.single-point",
    severity: Severity::Note,
    summary: "a service that must stay up is down if any one of the named parts fails",
    limit: "no single point of failure",
    cite: Source::common_practice,
};

/// A device has no battery of its own though its path has one.
pub const DEVICE_OFF: Rule = Rule {
    id: "resilience.device-off",
    severity: Severity::Note,
    summary: "a device that must stay up is off in an outage though its path is on a battery",
    limit: "the device has a battery of its own, or is on one",
    cite: Source::common_practice,
};

/// Every rule of this engine.
pub const RULES: &[Rule] = &[BATTERY_GAP, RUNTIME_SHORT, SINGLE_POINT, DEVICE_OFF];

/// The figures of intervals are all inputs bad or all good at once: a bound, not a confidence.
const DAY_PARTS: &str = "steady state, independent failures, mains outages of exponential length";

/// How long the services of a design stay up.
#[must_use]
pub fn evaluate(input: &Input) -> Outcome {
    let chain = Chain::new(input.design, input.site, input.parts);
    let mut outcome = Outcome::default();
    let mut minutes: Vec<Figure> = Vec::new();
    for (id, structure) in services(input, &chain) {
        let (service, figures) = figure_out(&chain, id, structure);
        minutes.extend(figures.get(1).cloned());
        outcome.figures.extend(figures);
        outcome.services.push(service);
    }
    // The headline is the worst service that must stay up, or the router's connection where none must.
    let headline = minutes
        .iter()
        .filter(|f| minutes.len() == 1 || f.subject.as_str() != "internet")
        .max_by(|a, b| a.value.unwrap_or(f64::INFINITY).total_cmp(&b.value.unwrap_or(f64::INFINITY)));
    if let Some(worst) = headline {
        let mut figure = worst.clone();
        figure.subject = input.design.id.clone();
        outcome.figures.insert(0, figure);
    }
    outcome.findings = findings(input, &chain, &outcome.services);
    for (battery, runtime) in &chain.runtimes {
        let figure = match runtime {
            Some(runtime) => Figure::known("battery.runtime", battery.clone(), runtime.0 / 60.0, "min").estimated(),
            None => Figure::unknown(
                "battery.runtime",
                battery.clone(),
                "min",
                vec!["a load within what the supply bears, and its energy and efficiency".into()],
            ),
        };
        outcome.figures.push(figure.source(Source::model("energy × efficiency / (load + own draw), new battery")));
    }
    outcome
}

fn must_stay_up(household: &Household) -> impl Iterator<Item = &Device> {
    household
        .devices
        .iter()
        .filter(|d| d.must_stay_up || household.activities.iter().any(|a| a.must_stay_up && a.device == d.id))
}

/// Each service with what it needs; nothing where the design's links or feeds form a loop.
fn services(input: &Input, chain: &Chain) -> Vec<(Id, Option<Structure>)> {
    let none = Vec::new();
    let mut services: Vec<(Id, Option<Structure>)> = must_stay_up(input.household)
        .map(|device| {
            let serving = input.serving.iter().find(|s| s.0 == device.id).map_or(&none, |s| &s.1);
            (device.id.clone(), chain.device_up(device, serving))
        })
        .collect();
    let routing = |kind| matches!(kind, PartKind::WirelessRouter | PartKind::Router | PartKind::Gateway);
    let router = input.design.parts.iter().find(|p| (input.parts)(&p.part).is_some_and(|part| routing(part.kind)));
    if let Some(router) = router {
        services.push((Id::from_label("internet"), chain.part_up(&router.id)));
    }
    services
}

/// A service's availability and minutes of outage a year.
fn figure_out(chain: &Chain, id: Id, structure: Option<Structure>) -> (Service, Vec<Figure>) {
    let mut missing = Vec::new();
    let mut result = None;
    let (mut single_points, mut num_components) = (Vec::new(), 0);
    match &structure {
        None => missing.push("links and feeds without a loop, to known parts".to_owned()),
        Some(structure) => {
            let components = structure.components();
            num_components = components.len();
            single_points = structure.single_points().into_iter().map(|c| chain.components[c].id.clone()).collect();
            let unknown = components.iter().any(|&c| chain.components[c].availability.is_none());
            if unknown {
                missing.extend(chain.missing.iter().cloned());
            } else {
                let of = |pick: &dyn Fn(&crate::Availability) -> f64| {
                    let up: Vec<f64> =
                        chain.components.iter().map(|c| c.availability.as_ref().map_or(0.0, pick)).collect();
                    structure.probability(&up)
                };
                match (of(&|a| a.value), of(&|a| a.low), of(&|a| a.high)) {
                    (Ok(value), Ok(low), Ok(high)) => result = Some([value, low, high]),
                    (Err(e), ..) | (_, Err(e), _) | (.., Err(e)) => missing.push(e.to_string()),
                }
            }
        }
    }
    let sources = |mut figure: Figure| {
        figure = figure.source(Source::model(DAY_PARTS));
        for component in structure.iter().flat_map(Structure::components) {
            figure = figure.source(chain.components[component].source.clone());
        }
        figure
    };
    let figures = match result {
        Some([value, low, high]) => vec![
            sources(Figure::known("availability", id.clone(), value, "1").between(low, high, None)),
            sources(
                Figure::known("outage.minutes", id.clone(), (1.0 - value) * MINUTES_A_YEAR, "min/yr")
                    .between((1.0 - high) * MINUTES_A_YEAR, (1.0 - low) * MINUTES_A_YEAR, None)
                    .input("single points of failure", single_points.len() as f64, "1"),
            ),
        ],
        None => vec![
            sources(Figure::unknown("availability", id.clone(), "1", missing.clone())),
            sources(Figure::unknown("outage.minutes", id.clone(), "min/yr", missing)),
        ],
    };
    (Service { id, availability: result, single_points, num_components }, figures)
}

fn findings<'a>(input: &Input<'a>, chain: &Chain<'a>, services: &[Service]) -> Vec<Finding> {
    let mut findings = Vec::new();
    for device in must_stay_up(input.household) {
        let from = input
            .design
            .links
            .iter()
            .find(|l| l.to == device.id)
            .map(|l| &l.from)
            .or_else(|| input.serving.iter().find(|s| s.0 == device.id).and_then(|s| s.1.first()));
        let Some(from) = from else { continue };
        let way = chain.way(from);
        let on: Vec<bool> = way.iter().map(|p| chain.on_battery(p)).collect();
        if on.iter().all(|b| *b) && !device.has_battery {
            findings.push(
                Finding::of(
                    &DEVICE_OFF,
                    vec![device.id.clone()],
                    format!("{} has no battery: it is off in an outage though its connection stays", device.id),
                )
                .remedy("use a device with a battery, or feed it from a battery supply", Vec::new()),
            );
        }
        if on.iter().any(|b| *b) && !on.iter().all(|b| *b) {
            let gaps: Vec<Id> = way.iter().zip(&on).filter(|(_, b)| !**b).map(|(p, _)| (*p).clone()).collect();
            let names = gaps.iter().map(Id::as_str).collect::<Vec<_>>().join(", ");
            let mut subjects = vec![device.id.clone()];
            subjects.extend(gaps);
            findings.push(
                Finding::of(&BATTERY_GAP, subjects, format!("{} stays up only while {names} has mains", device.id))
                    .remedy("feed the whole path from the battery supply", Vec::new()),
            );
        }
    }
    if let Some(wanted) = input.household.wishes.battery_runtime {
        for (battery, runtime) in &chain.runtimes {
            if let Some(runtime) = runtime.filter(|r| r.0 < wanted.0) {
                findings.push(
                    Finding::of(
                        &RUNTIME_SHORT,
                        vec![battery.clone()],
                        format!(
                            "{battery} lasts {:.0} min; {:.0} min are asked for",
                            runtime.0 / 60.0,
                            wanted.0 / 60.0
                        ),
                    )
                    .against(runtime.0 / 60.0, wanted.0 / 60.0, "min")
                    .remedy("choose a larger battery supply, or feed fewer parts from it", Vec::new()),
                );
            }
        }
    }
    for service in services.iter().filter(|s| s.id.as_str() != "internet" && !s.single_points.is_empty()) {
        let names = service.single_points.iter().map(Id::as_str).collect::<Vec<_>>().join(", ");
        let mut subjects = vec![service.id.clone()];
        subjects.extend(service.single_points.iter().cloned());
        findings.push(
            Finding::of(&SINGLE_POINT, subjects, format!("{} is down if any one of these fails: {names}", service.id))
                .against(service.single_points.len() as f64, 0.0, "parts"),
        );
    }
    findings
}
