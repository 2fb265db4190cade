//! How the services of a design stay up, with what the home and the routes say beside it.

use std::collections::BTreeMap;

use equipment::{PartKind, PriceUnit, id};
use findings::{Cancelled, Id, Progress, Source, SourceKind};
use network::Design;
use network::wiring::{Way, Wiring};
use resilience::{
    Change, ChangeKind, Facts, Input, LineBackup, Model, Off, OutletCircuit, Ranked, Reach, Scope, SharedWay, Staying,
    WhatIf,
};
use schemars::JsonSchema;
use serde::Serialize;
use site::Line;
use units::Seconds;

use crate::evaluator::Evaluator;
use crate::home::Home;
use crate::links::{self, Reached};

/// Time to fit a part that lies on the shelf: somebody at home does it the same evening (common practice, no source).
const SPARE_MTTR: Seconds = Seconds(4.0 * 3600.0);
/// Most battery supplies that are tried.
const MOST_SUPPLIES: usize = 3;

/// How the services of a design stay up.
#[derive(Clone, Debug)]
pub struct Stays {
    /// Services, things that can fail, batteries and outages.
    pub staying: Staying,
    /// Single changes, those that save most minutes of what must stay up per unit of money first.
    pub changes: Vec<Helpful>,
}

/// A single change and what it saves.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct Helpful {
    /// The change; its price is that of the parts, without work.
    pub change: Change,
    /// What it saves.
    pub saves: Ranked,
}

impl Evaluator {
    /// Availability, weak points, batteries and outages of all services of a design, and which single changes help most.
    ///
    /// # Errors
    /// [`Cancelled`] if the work is no longer wanted.
    pub fn staying(&self, design: &Design, progress: &dyn Progress) -> Result<Stays, Cancelled> {
        self.with_model(design, progress, |model| Stays {
            staying: model.staying(),
            changes: helpful(self.home(), design, model),
        })
    }

    /// What becomes of all services of a design while things are off.
    ///
    /// # Errors
    /// [`Cancelled`] if the work is no longer wanted.
    pub fn what_if(&self, design: &Design, off: &[Off], progress: &dyn Progress) -> Result<WhatIf, Cancelled> {
        self.with_model(design, progress, |model| model.what_if(off))
    }

    fn with_model<T>(
        &self,
        design: &Design,
        progress: &dyn Progress,
        ask: impl FnOnce(&Model) -> T,
    ) -> Result<T, Cancelled> {
        progress.step("staying up", 0, 2)?;
        let radios = links::set_radios(self.home(), design);
        let reached = links::reached(self.home(), &self.gains, design, &radios);
        let served = Served::of(&reached);
        let wiring = self.wired(design).wiring;
        progress.step("staying up", 1, 2)?;
        Ok(asked(self.home(), design, &served, &wiring, Scope::All, ask))
    }
}

/// Which parts serve each wireless device.
pub(crate) struct Served {
    /// For each device, the parts that reach it, best first.
    pub serving: Vec<(Id, Vec<Id>)>,
    /// What those that are not the best give.
    pub reach: Vec<Reach>,
}

impl Served {
    pub fn of(reached: &[Reached]) -> Self {
        let serving = reached.iter().map(|r| (r.device.id.clone(), r.parts())).collect();
        let others = |r: &Reached| {
            let rates = r.rates();
            let best = rates.first().map_or(0.0, |(_, rate)| *rate);
            let device = r.device.id.clone();
            let share = move |rate: f64| if best > 0.0 { rate / best } else { 0.0 };
            let rest = rates.into_iter().skip(1);
            rest.map(move |(by, rate)| Reach { device: device.clone(), by, rate_share: share(rate) })
                .collect::<Vec<_>>()
        };
        Self { serving, reach: reached.iter().flat_map(others).collect() }
    }
}

/// Asks the model of a design.
pub(crate) fn asked<T>(
    home: &Home,
    design: &Design,
    served: &Served,
    wiring: &Wiring,
    scope: Scope,
    ask: impl FnOnce(&Model) -> T,
) -> T {
    let facts = Facts {
        circuits: home
            .circuits
            .iter()
            .map(|(outlet, circuit)| OutletCircuit { outlet: outlet.clone(), circuit: circuit.clone() })
            .collect(),
        shared_ways: shared_ways(wiring),
        line_backups: home.site.lines.iter().filter_map(backup).collect(),
        reach: served.reach.clone(),
        ..Facts::default()
    };
    let parts = |id: &Id| home.catalog.get(id);
    let input = Input { design, household: &home.household, site: &home.site, parts: &parts, serving: &served.serving };
    ask(&Model::new(input, &facts, scope))
}

/// How long the far end of a line goes on with the mains out, if the job says so.
fn backup(line: &Line) -> Option<LineBackup> {
    let source = Source::new(SourceKind::Stated, "the job: far end of the line");
    Some(LineBackup { line: line.id.clone(), runtime: line.far_end_runtime?, source })
}

/// Changes that the model suggests, priced by the list and ranked.
fn helpful(home: &Home, design: &Design, model: &Model) -> Vec<Helpful> {
    let mut supplies: Vec<_> = home.catalog.of_kind(PartKind::BatterySupply).collect();
    let energy = |part: &equipment::Part| part.battery.as_ref().map_or(0.0, |b| b.energy.0);
    supplies.sort_by(|a, b| energy(a).total_cmp(&energy(b)).then_with(|| a.id.cmp(&b.id)));
    let supplies: Vec<Id> = supplies.into_iter().take(MOST_SUPPLIES).map(|part| part.id.clone()).collect();
    let mut changes = model.suggested(&supplies, SPARE_MTTR);
    for change in &mut changes {
        change.price = price(home, design, &change.kind);
    }
    let ranked = model.rank(&changes);
    let of = |saves: Ranked| {
        let change = changes.iter().find(|c| c.id == saves.id)?.clone();
        Some(Helpful { change, saves })
    };
    ranked.into_iter().filter_map(of).collect()
}

/// Price of the parts of a change by the home's list; none if it has none.
fn price(home: &Home, design: &Design, change: &ChangeKind) -> Option<f64> {
    let placed = |part: &Id| design.part(part).map(|p| p.part.clone());
    let part = match change {
        ChangeKind::Battery { supply, .. } => supply.clone(),
        ChangeKind::Spare { part, .. } => placed(part)?,
        ChangeKind::SecondAccessPoint { beside, .. } => placed(beside)?,
        ChangeKind::Patch { .. } => Id::from_label(id::CORD),
        ChangeKind::SecondLine { termination, .. } => termination.clone(),
        ChangeKind::OnBattery { .. } => return Some(0.0),
    };
    let price = home.prices.get(&part).filter(|p| p.unit == PriceUnit::Piece)?;
    price.price.amount.to_string().parse().ok()
}

/// Pipes, shafts and trenches in which several cables can be cut at once.
fn shared_ways(wiring: &Wiring) -> Vec<SharedWay> {
    let mut ways: BTreeMap<&Id, Vec<Id>> = BTreeMap::new();
    for route in &wiring.routes {
        for stretch in &route.stretches {
            let Some(element) = &stretch.element else { continue };
            if matches!(stretch.way, Way::Conduit | Way::Buried | Way::Riser) {
                let links = ways.entry(element).or_default();
                if !links.contains(&route.link) {
                    links.push(route.link.clone());
                }
            }
        }
    }
    let shared = ways.into_iter().filter(|(_, links)| links.len() > 1);
    shared.map(|(id, links)| SharedWay { id: id.clone(), links, lines: Vec::new() }).collect()
}
