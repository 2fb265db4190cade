//! Single changes to a design, ranked by the minutes that they save per unit of money. Prices are the caller's.

use equipment::{Failure, Part};
use findings::Id;
use network::{Design, Feed, FeedSource, KnownFailure, Link, Medium, Mounting, PlacedPart};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use site::{Line, Site};
use units::{Point3, Seconds};

use crate::component::ComponentKind;
use crate::evaluate::Input;
use crate::facts::{Facts, Reach, Termination};
use crate::model::Model;
use crate::services::{Scope, ServiceKind};

/// What is changed.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(tag = "change", rename_all = "kebab-case", deny_unknown_fields)]
pub enum ChangeKind {
    /// A battery supply is placed and feeds parts.
    Battery {
        /// The equipment part.
        supply: Id,
        /// Placed parts, or devices, that it feeds.
        feeds: Vec<Id>,
    },
    /// A part or device hangs on a battery supply that is there.
    OnBattery {
        /// The placed supply.
        supply: Id,
        /// The part or device.
        part: Id,
    },
    /// A device is patched into another part.
    Patch {
        /// The device.
        device: Id,
        /// The placed part, usually the router.
        into: Id,
    },
    /// Another one lies on the shelf, so that it is mended sooner.
    Spare {
        /// The placed part.
        part: Id,
        /// Time to fit it.
        mttr: Seconds,
    },
    /// A second line, ended by a part of its own that is joined to the router.
    SecondLine {
        /// The line.
        line: Line,
        /// The equipment part that ends it.
        termination: Id,
    },
    /// Another access point on the same switch or router as the one that it doubles.
    SecondAccessPoint {
        /// The placed access point that it doubles.
        beside: Id,
        /// Rate that it gives the devices of the other, over the usual one.
        rate_share: f64,
    },
}

/// A change and its price.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Change {
    /// Id.
    pub id: Id,
    /// What is changed.
    #[serde(flatten)]
    pub kind: ChangeKind,
    /// What it costs, in the job's currency; unknown if absent.
    pub price: Option<f64>,
}

/// What a change saves.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Ranked {
    /// The change.
    pub id: Id,
    /// Minutes a year saved of the connections and activities that must stay up, all added; nothing if unknown.
    pub work_minutes: Option<f64>,
    /// Minutes a year saved of all other services, added.
    pub other_minutes: Option<f64>,
    /// Minutes of what must stay up saved per unit of money; nothing if the price is unknown.
    pub work_minutes_per_unit: Option<f64>,
    /// The same of all other services.
    pub other_minutes_per_unit: Option<f64>,
    /// The change could not be made, and why.
    pub problem: Option<String>,
}

impl<'a> Model<'a> {
    /// Ranks single changes: by the minutes a year of what must stay up that they save per unit of money, then by the
    /// others', then by id. Those without a price come after those with one, in the order of the minutes.
    ///
    /// # Model
    /// Each change is made on a copy of the design and the whole is worked out again, so that a battery's runtime, a new
    /// single point or a way that is shared count as they would.
    #[must_use]
    pub fn rank(&self, changes: &[Change]) -> Vec<Ranked> {
        let before = self.sums();
        let mut ranked: Vec<Ranked> = changes.iter().map(|c| self.ranked(c, before)).collect();
        let key = |r: &Ranked| {
            let known = |x: Option<f64>| x.unwrap_or(f64::NEG_INFINITY);
            (
                [known(r.work_minutes_per_unit), known(r.other_minutes_per_unit)],
                [known(r.work_minutes), known(r.other_minutes)],
            )
        };
        ranked.sort_by(|a, b| {
            let ((a_per, a_all), (b_per, b_all)) = (key(a), key(b));
            let priced = b_per[0].is_finite().cmp(&a_per[0].is_finite());
            let pairs = b_per.into_iter().zip(a_per).chain(b_all.into_iter().zip(a_all));
            pairs.fold(priced, |order, (b, a)| order.then_with(|| b.total_cmp(&a))).then_with(|| a.id.cmp(&b.id))
        });
        ranked
    }

    /// Minutes a year of what must stay up and of all else; unknown services are left out of both.
    fn sums(&self) -> (Option<f64>, Option<f64>) {
        let availabilities = self.availabilities(&|_| false);
        let sum = |must: bool| {
            let of = self.services.iter().zip(&availabilities).filter(|(s, _)| s.must_stay_up == must);
            of.map(|(_, a)| a.map(|a| (1.0 - a) * crate::MINUTES_A_YEAR)).sum::<Option<f64>>()
        };
        (sum(true), sum(false))
    }

    fn ranked(&self, change: &Change, before: (Option<f64>, Option<f64>)) -> Ranked {
        let mut ranked = Ranked {
            id: change.id.clone(),
            work_minutes: None,
            other_minutes: None,
            work_minutes_per_unit: None,
            other_minutes_per_unit: None,
            problem: None,
        };
        let mut copy = Copied {
            design: self.input.design.clone(),
            site: self.input.site.clone(),
            facts: self.facts.clone(),
            serving: self.input.serving.to_vec(),
        };
        if let Err(problem) = copy.make(&change.kind, self) {
            ranked.problem = Some(problem);
            return ranked;
        }
        let input = Input {
            design: &copy.design,
            household: self.input.household,
            site: &copy.site,
            parts: &|id: &Id| (self.input.parts)(id),
            serving: &copy.serving,
        };
        let after = Model::new(input, &copy.facts, Scope::All).sums();
        ranked.work_minutes = before.0.zip(after.0).map(|(b, a)| b - a);
        ranked.other_minutes = before.1.zip(after.1).map(|(b, a)| b - a);
        let price = change.price.filter(|p| p.is_finite() && *p >= 0.0);
        let per = |minutes: Option<f64>| {
            let (minutes, price) = minutes.zip(price)?;
            // What costs nothing and saves something goes before all else; what saves nothing is worth nothing.
            Some(if price > 0.0 {
                minutes / price
            } else if minutes > 0.0 {
                f64::MAX
            } else {
                0.0
            })
        };
        ranked.work_minutes_per_unit = per(ranked.work_minutes);
        ranked.other_minutes_per_unit = per(ranked.other_minutes);
        ranked
    }

    /// Changes that may be worth their price, to be priced by the caller: a battery on the whole path of what must stay
    /// up, patching it into the router, spares of parts that are single points, another access point, by what the design
    /// has. Supplies are those of the catalogue that the caller names.
    #[must_use]
    pub fn suggested(&self, supplies: &[Id], spare_mttr: Seconds) -> Vec<Change> {
        let mut changes = Vec::new();
        let mut add = |name: String, kind| changes.push(Change { id: Id::from_label(&name), kind, price: None });
        let path = self.protected_parts();
        if !path.is_empty() && !path.iter().all(|p| self.is_on_battery(p)) {
            for supply in supplies {
                let feeds: Vec<Id> = path.iter().filter(|p| !self.is_over_cable(p)).cloned().collect();
                add(format!("battery-{supply}"), ChangeKind::Battery { supply: supply.clone(), feeds });
            }
        }
        if let Some(router) = self.router {
            for device in self.protected_devices() {
                let link = self.input.design.links.iter().find(|l| l.to == device.id);
                if link.is_some_and(|l| &l.from != router) && self.has_free_port(router) {
                    let kind = ChangeKind::Patch { device: device.id.clone(), into: router.clone() };
                    add(format!("patch-{}", device.id), kind);
                }
            }
        }
        let takes_down = |index: usize| {
            self.services
                .iter()
                .any(|s| s.must_stay_up && s.ways.as_ref().is_ok_and(|w| !w.whole.holds(&|c| c != index)))
        };
        for (index, component) in self.components.iter().enumerate() {
            if component.kind == ComponentKind::Part && takes_down(index) {
                let part = component.id.clone();
                add(format!("spare-{part}"), ChangeKind::Spare { part, mttr: spare_mttr });
            }
        }
        for device in self.protected_devices() {
            let serving = self.input.serving.iter().find(|s| s.0 == device.id).map(|s| &s.1[..]);
            if let Some([only]) = serving {
                let kind = ChangeKind::SecondAccessPoint { beside: only.clone(), rate_share: 1.0 };
                add(format!("second-{only}"), kind);
            }
        }
        changes.sort_by(|a, b| a.id.cmp(&b.id));
        changes.dedup_by(|a, b| a.id == b.id);
        changes
    }

    /// The service's minutes a year, for callers that rank by one service alone.
    pub(crate) fn has_service(&self, device: &Id) -> bool {
        self.service(ServiceKind::Connection, device).is_some()
    }
}

/// What a change is made on.
struct Copied {
    design: Design,
    site: Site,
    facts: Facts,
    serving: Vec<(Id, Vec<Id>)>,
}

impl Copied {
    fn make(&mut self, change: &ChangeKind, model: &Model) -> Result<(), String> {
        let part_known = |part: &Id| -> Result<&Part, String> {
            (model.input.parts)(part).ok_or_else(|| format!("the catalogue has no part `{part}`"))
        };
        match change {
            ChangeKind::Battery { supply, feeds } => {
                part_known(supply)?;
                let id = self.place("added-battery", supply, feeds.first());
                feeds.iter().for_each(|part| self.feed(part, &id));
                Ok(())
            }
            ChangeKind::OnBattery { supply, part } => {
                self.design.part(supply).ok_or_else(|| format!("there is no part {supply}"))?;
                self.feed(part, supply);
                Ok(())
            }
            ChangeKind::Patch { device, into } => {
                self.design.part(into).ok_or_else(|| format!("there is no part {into}"))?;
                if !model.has_service(device) {
                    return Err(format!("there is no device {device}"));
                }
                match self.design.links.iter_mut().find(|l| &l.to == device) {
                    Some(link) => link.from = into.clone(),
                    None => self.link(into, device),
                }
                Ok(())
            }
            ChangeKind::Spare { part, mttr } => {
                let placed = self.design.part(part).ok_or_else(|| format!("there is no part {part}"))?;
                let known = part_known(&placed.part)?.failure.clone();
                let known = self.design.upkeep.failure(part).cloned().or(known);
                let failure = known.ok_or_else(|| format!("how often {part} fails is unknown"))?;
                let sooner = Failure { mttr: failure.mttr.min(*mttr), ..failure };
                self.design.upkeep.failures.retain(|f| &f.id != part);
                self.design.upkeep.failures.push(KnownFailure { id: part.clone(), failure: sooner });
                Ok(())
            }
            ChangeKind::SecondLine { line, termination } => {
                part_known(termination)?;
                let router = model.router.ok_or("the design has no router")?;
                if self.site.lines.iter().any(|l| l.id == line.id) {
                    return Err(format!("there is a line {} already", line.id));
                }
                // The first line's head is stated, so that the new part cannot take its place.
                let heads: Vec<Termination> = model
                    .lines
                    .iter()
                    .filter_map(|l| self.site.lines.get(*l))
                    .filter_map(|l| Some(Termination { line: l.id.clone(), part: model.head_of(l)?.clone() }))
                    .collect();
                if heads.iter().any(|h| &h.part == router) {
                    return Err(format!("{router} ends its line itself; it needs a second port towards a line"));
                }
                self.facts.terminations = heads;
                let id = self.place("added-termination", termination, Some(router));
                self.facts.terminations.push(Termination { line: line.id.clone(), part: id.clone() });
                self.site.lines.push(line.clone());
                self.link(&id, router);
                // It hangs where the router does.
                let feed = self.design.feeds.iter().find(|f| &f.part == router).map(|f| f.source.clone());
                self.design.feeds.extend(feed.map(|source| Feed { part: id, source }));
                Ok(())
            }
            ChangeKind::SecondAccessPoint { beside, rate_share } => {
                let placed = self.design.part(beside).ok_or_else(|| format!("there is no part {beside}"))?;
                let part = placed.part.clone();
                let uplink = self.design.links.iter().find(|l| &l.to == beside).map(|l| l.from.clone());
                let uplink = uplink.ok_or_else(|| format!("{beside} has no cable to a switch or router"))?;
                let id = self.place("added-ap", &part, Some(beside));
                self.link(&uplink, &id);
                let feed = self.design.feeds.iter().find(|f| &f.part == beside).map(|f| f.source.clone());
                self.design.feeds.extend(feed.map(|source| Feed { part: id.clone(), source }));
                for (device, by) in self.serving.iter_mut().filter(|s| s.1.first() == Some(beside)) {
                    by.push(id.clone());
                    let (device, by) = (device.clone(), id.clone());
                    self.facts.reach.push(Reach { device, by, rate_share: *rate_share });
                }
                Ok(())
            }
        }
    }

    /// Puts a part beside another one, under a name that is free.
    fn place(&mut self, name: &str, part: &Id, beside: Option<&Id>) -> Id {
        let taken = |id: &Id| self.design.parts.iter().any(|p| &p.id == id);
        let free = (1..).map(|i| Id::from_label(&format!("{name}-{i}"))).find(|id| !taken(id));
        let id = free.unwrap_or_else(|| Id::from_label(name));
        let at = beside.and_then(|b| self.design.part(b)).or(self.design.parts.first()).cloned();
        self.design.parts.push(PlacedPart {
            id: id.clone(),
            part: part.clone(),
            room: at.as_ref().map_or_else(|| id.clone(), |p| p.room.clone()),
            at: at.as_ref().map_or(Point3::new(0.0, 0.0, 0.0), |p| p.at),
            mounting: Mounting::Shelf,
            aim: None,
            kept: false,
        });
        id
    }

    fn feed(&mut self, part: &Id, supply: &Id) {
        self.design.feeds.retain(|f| &f.part != part);
        let source = FeedSource::Battery { part: supply.clone() };
        self.design.feeds.push(Feed { part: part.clone(), source });
    }

    fn link(&mut self, from: &Id, to: &Id) {
        let id = Id::from_label(&format!("added-{from}-{to}"));
        self.design.links.push(Link { id, from: from.clone(), to: to.clone(), medium: Medium::Cord });
    }
}
