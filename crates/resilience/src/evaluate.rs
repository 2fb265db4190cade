//! The engine's one door for whole designs: figures and findings that are compared with those of other designs.

use equipment::Part;
use findings::{Figure, Finding, Id, Source};
use household::Household;
use network::Design;
use site::Site;

use crate::MINUTES_A_YEAR;
use crate::component::{Law, Take};
use crate::facts::Facts;
use crate::model::{Bounds, Model};
use crate::services::{Scope, Served, ServiceKind};

/// What is judged.
#[derive(Clone, Copy)]
pub struct Input<'a> {
    /// The design.
    pub design: &'a Design,
    /// Its household.
    pub household: &'a Household,
    /// Its address.
    pub site: &'a Site,
    /// Looks up a part of the catalogue.
    pub parts: &'a dyn Fn(&Id) -> Option<&'a Part>,
    /// For each wireless device, the placed parts that can serve it, the usual one first.
    pub serving: &'a [(Id, Vec<Id>)],
}

/// A service and how it stays up.
#[derive(Clone, Debug, PartialEq)]
pub struct Service {
    /// The device, or `internet` for the router's own connection.
    pub id: Id,
    /// Share of time that it is up, low and high; nothing if unknown.
    pub availability: Option<[f64; 3]>,
    /// Components without which it is down, those that are merely taken to hold left out.
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

/// What the figures are of; their intervals are all inputs bad or all good at once: bounds, not confidences.
const METHOD: &str = "steady state, independent failures, mains outages of exponential length";

/// How long the services of a design that must stay up do so, nothing being known beside the design.
#[must_use]
pub fn evaluate(input: &Input) -> Outcome {
    let facts = Facts::default();
    // The same input for as long as this call lasts.
    let parts = |id: &Id| (input.parts)(id);
    let input = Input {
        design: input.design,
        household: input.household,
        site: input.site,
        parts: &parts,
        serving: input.serving,
    };
    Model::new(input, &facts, Scope::Protected).outcome()
}

impl Model<'_> {
    /// Figures and findings of the connections that must stay up, of the router's, and of the battery supplies.
    #[must_use]
    pub fn outcome(&self) -> Outcome {
        let mut outcome = Outcome::default();
        let mut minutes: Vec<Figure> = Vec::new();
        let asked = |s: &&Served| match s.kind {
            ServiceKind::Internet => true,
            ServiceKind::Connection => s.must_stay_up,
            ServiceKind::Activity => false,
        };
        for served in self.services.iter().filter(asked) {
            let bounds = self.bounds(served);
            let service = self.service_of(served, bounds.as_ref().ok().copied());
            let figures = self.figures_of(served, &service, bounds);
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
            figure.subject = self.input.design.id.clone();
            outcome.figures.insert(0, figure);
        }
        outcome.findings = self.findings();
        outcome.figures.extend(self.runtime_figures());
        outcome
    }

    fn service_of(&self, served: &Served, availability: Option<Bounds>) -> Service {
        let mut service = Service { id: served.id.clone(), availability, single_points: Vec::new(), num_components: 0 };
        if let Ok(ways) = &served.ways {
            service.num_components = ways.whole.components().len();
            for set in ways.whole.cuts(1).sets {
                let Some(component) = set.first().and_then(|c| self.components.get(*c)) else { continue };
                let is_held = matches!(component.law, Law::Held | Law::Untested);
                if !is_held && !service.single_points.contains(&component.id) {
                    service.single_points.push(component.id.clone());
                }
            }
        }
        service
    }

    fn figures_of(&self, served: &Served, service: &Service, bounds: Result<Bounds, Vec<String>>) -> Vec<Figure> {
        let id = &served.id;
        let components = served.ways.as_ref().map(|w| w.whole.components()).unwrap_or_default();
        let sourced = |mut figure: Figure| {
            figure = figure.source(Source::model(METHOD));
            let rated = components.iter().filter_map(|c| self.components.get(*c));
            for component in rated.filter(|c| !matches!(c.law, Law::Held | Law::Untested)) {
                figure = figure.source(component.source.clone());
            }
            figure
        };
        match bounds {
            Ok([value, low, high]) => vec![
                sourced(Figure::known("availability", id.clone(), value, "1").between(low, high, None)),
                sourced(
                    Figure::known("outage.minutes", id.clone(), (1.0 - value) * MINUTES_A_YEAR, "min/yr")
                        .between((1.0 - high) * MINUTES_A_YEAR, (1.0 - low) * MINUTES_A_YEAR, None)
                        .input("single points of failure", service.single_points.len() as f64, "1"),
                ),
            ],
            Err(missing) => vec![
                sourced(Figure::unknown("availability", id.clone(), "1", missing.clone())),
                sourced(Figure::unknown("outage.minutes", id.clone(), "min/yr", missing)),
            ],
        }
    }

    fn runtime_figures(&self) -> Vec<Figure> {
        let figure = |supply: &crate::supply::Supply| {
            let source =
                Source::model("Peukert's law, or energy over power; new cells, and at the low end their end of life");
            match &supply.runtime {
                Ok(r) => Figure::known("battery.runtime", supply.id.clone(), r.value.0 / 60.0, "min")
                    .between(r.low.0 / 60.0, r.high.0 / 60.0, None)
                    .input("load", supply.load().0, "W")
                    .estimated()
                    .source(source),
                Err(problem) => {
                    let missing = format!("figures of {} that give a runtime: {problem}", supply.id);
                    Figure::unknown("battery.runtime", supply.id.clone(), "min", vec![missing]).source(source)
                }
            }
        };
        self.supplies.iter().map(figure).collect()
    }

    /// Availability of every service by its best figure, in order; nothing if unknown. Components may be down for good.
    pub(crate) fn availabilities(&self, is_off: &dyn Fn(usize) -> bool) -> Vec<Option<f64>> {
        let mut up = self.ups(Take::Nominal);
        for (component, p) in up.iter_mut().enumerate() {
            if is_off(component) {
                *p = 0.0;
            }
        }
        let unknown = |c: usize| !is_off(c) && self.components.get(c).is_none_or(|c| c.law == Law::Unknown);
        let of = |served: &Served| {
            let ways = served.ways.as_ref().ok()?;
            let known = !ways.whole.components().into_iter().any(unknown);
            known.then(|| ways.whole.probability(&up))
        };
        self.services.iter().map(of).collect()
    }
}
