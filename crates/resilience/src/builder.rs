//! From a design to what can fail in it: components, causes with their outages, and what a part needs to be up.

use std::collections::BTreeMap;

use equipment::{Failure, PartKind};
use findings::{Id, Source};
use household::DeviceKind;
use network::{FeedSource, Link, Medium};
use site::{FailureRate, Line};
use units::{Seconds, WattHours, Watts};

use crate::component::{Component, ComponentKind, Law};
use crate::evaluate::Input;
use crate::facts::Facts;
use crate::failure::{LINE_FACTOR, line_failures};
use crate::load::{DeviceLoad, LONGEST_CHAIN};
use crate::mains::Interruption;
use crate::need::Need;
use crate::supply::Supply;

/// Most steps on all ways from one device to the line; a design with more is meshed beyond use.
const MOST_STEPS: usize = 4096;

/// Why it cannot be said what a service needs.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, thiserror::Error)]
pub enum Trouble {
    /// Links lead in a circle and never to the line.
    #[error("a way to the line: the links at {0} lead in a circle")]
    LinkLoop(Id),
    /// Feeds lead in a circle and never to the mains.
    #[error("a feed from the mains: the feeds at {0} lead in a circle")]
    PowerLoop(Id),
    /// There is no line.
    #[error("a line into the home: `site.lines`")]
    NoLine,
    /// There are too many ways to follow.
    #[error("fewer ways between parts: more than {MOST_STEPS} steps from {0}")]
    TooManyWays(Id),
    /// The parts are shared in too many ways.
    #[error("a design whose parts are shared in fewer ways: {0}")]
    TooComplex(Id),
}

/// Components and how a design hangs together.
pub(crate) struct Builder<'a> {
    pub input: Input<'a>,
    pub facts: &'a Facts,
    pub components: Vec<Component>,
    by_id: BTreeMap<(ComponentKind, Id), usize>,
    /// What can be out for a while: the mains first, then circuits.
    pub causes: Vec<Interruption>,
    pub supplies: Vec<Supply>,
    /// The line that each head ends, by its index.
    heads: BTreeMap<Id, usize>,
    /// The part that routes.
    pub router: Option<&'a Id>,
    steps: usize,
}

impl<'a> Builder<'a> {
    pub fn new(input: Input<'a>, facts: &'a Facts) -> Self {
        let device_draw = |id: &Id| {
            let device = input.household.devices.iter().find(|d| &d.id == id)?;
            let over_cable = device.over_cable();
            let stated = device.power.as_ref().and_then(|p| p.draw).or(over_cable.map(|o| o.worst_draw));
            let draw = stated.or_else(|| usual_draw(device.kind))? * f64::from(device.count);
            Some(DeviceLoad { draw, class: over_cable.map(|o| o.class), count: device.count })
        };
        let supplies = Supply::all(input.design, input.parts, &device_draw);
        let routes = |kind| matches!(kind, PartKind::WirelessRouter | PartKind::Router | PartKind::Gateway);
        let kind_of = |placed: &network::PlacedPart| (input.parts)(&placed.part).map(|p| p.kind);
        let router = input.design.parts.iter().find(|p| kind_of(p).is_some_and(routes)).map(|p| &p.id);
        let mut builder = Self {
            input,
            facts,
            components: Vec::new(),
            by_id: BTreeMap::new(),
            causes: vec![Interruption::mains(input.site)],
            supplies,
            heads: BTreeMap::new(),
            router,
            steps: 0,
        };
        builder.find_heads();
        builder
    }

    /// Which placed part ends which line: as stated, then by the provider's box, then in order. A design with one head
    /// and several lines uses the main one.
    fn find_heads(&mut self) {
        let (design, site) = (self.input.design, self.input.site);
        for stated in &self.facts.terminations {
            if let Some(line) = site.lines.iter().position(|l| l.id == stated.line) {
                self.heads.insert(stated.part.clone(), line);
            }
        }
        let is_head = |id: &Id| !design.links.iter().any(|l| &l.to == id);
        let ends = |placed: &network::PlacedPart| {
            (self.input.parts)(&placed.part).is_some_and(|p| {
                matches!(
                    p.kind,
                    PartKind::LineTermination | PartKind::Gateway | PartKind::WirelessRouter | PartKind::Router
                )
            })
        };
        let candidates: Vec<_> =
            design.parts.iter().filter(|p| is_head(&p.id) && ends(p) && !self.heads.contains_key(&p.id)).collect();
        let mut left: Vec<usize> = (0..site.lines.len()).filter(|l| !self.heads.values().any(|h| h == l)).collect();
        for placed in &candidates {
            let fixed =
                |line: &&usize| site.lines.get(**line).is_some_and(|l| l.fixed_box.as_ref() == Some(&placed.part));
            if let Some(line) = left.iter().find(fixed).copied() {
                left.retain(|l| *l != line);
                self.heads.insert(placed.id.clone(), line);
            }
        }
        for placed in candidates {
            if !self.heads.contains_key(&placed.id) && !left.is_empty() {
                self.heads.insert(placed.id.clone(), left.remove(0));
            }
        }
    }

    /// The lines that a part of the design ends, by index.
    pub fn lines_in_use(&self) -> Vec<usize> {
        let mut lines: Vec<usize> = self.heads.values().copied().collect();
        lines.sort_unstable();
        lines.dedup();
        lines
    }

    /// The component of a thing, made at its first use.
    fn component(&mut self, kind: ComponentKind, id: &Id, law: impl FnOnce(&Self) -> (Law, Source, String)) -> Need {
        let key = (kind, id.clone());
        if let Some(&component) = self.by_id.get(&key) {
            return Need::Part(component);
        }
        let (law, source, missing) = match self.input.design.upkeep.failure(id) {
            Some(known) => (Law::of(known), known.source.clone(), unknown_rate(id)),
            None => law(self),
        };
        let quantity = self.components.len();
        self.components.push(Component { id: id.clone(), kind, longer_than: None, law, quantity, source, missing });
        self.by_id.insert(key, quantity);
        Need::Part(quantity)
    }

    fn placed_part(&mut self, placed: &Id) -> Need {
        self.component(ComponentKind::Part, placed, |this| {
            let Some(at) = this.input.design.part(placed) else {
                return (
                    Law::Unknown,
                    Source::generic(),
                    format!("the part {placed}, which the design does not place"),
                );
            };
            let Some(part) = (this.input.parts)(&at.part) else {
                return (Law::Unknown, Source::generic(), format!("the part `{}` of {placed}", at.part));
            };
            match &part.failure {
                Some(failure) => (Law::of(failure), failure.source.clone(), unknown_rate(placed)),
                None if is_passive(part.kind) => (Law::Held, part.source.clone(), String::new()),
                None => (Law::Unknown, part.source.clone(), unknown_rate(placed)),
            }
        })
    }

    /// A device that others need, or that is asked after by itself.
    pub fn device(&mut self, device: &Id) -> Need {
        self.component(ComponentKind::Device, device, |_| (Law::Unknown, Source::generic(), unknown_rate(device)))
    }

    fn shared_ways(&mut self, link: Option<&Id>, line: Option<&Id>) -> Vec<Need> {
        let facts = self.facts;
        let passes = |way: &&crate::facts::SharedWay| {
            link.is_some_and(|l| way.links.contains(l)) || line.is_some_and(|l| way.lines.contains(l))
        };
        let held = |_: &Self| (Law::Held, Source::common_practice(), String::new());
        facts
            .shared_ways
            .iter()
            .filter(passes)
            .map(|way| self.component(ComponentKind::SharedWay, &way.id, held))
            .collect()
    }

    /// A link: its cable or radio hop, and what it shares with others.
    pub fn link(&mut self, link: &'a Link) -> Need {
        let kind =
            if matches!(link.medium, Medium::Radio { .. }) { ComponentKind::Radio } else { ComponentKind::Cable };
        let own = self.component(kind, &link.id, |this| {
            let cable = match &link.medium {
                Medium::Cable { part } => (this.input.parts)(part),
                Medium::Cord | Medium::Radio { .. } => None,
            };
            match cable.and_then(|c| c.failure.as_ref()) {
                Some(failure) => (Law::of(failure), failure.source.clone(), unknown_rate(&link.id)),
                None => (Law::Held, Source::common_practice(), String::new()),
            }
        });
        let mut needs = vec![own];
        needs.extend(self.shared_ways(Some(&link.id), None));
        Need::all(needs)
    }

    /// A line with the supply of its far end.
    pub fn line(&mut self, line: &Line) -> Need {
        let rate: FailureRate = line.failures.clone().unwrap_or_else(|| line_failures(line.kind));
        let own = self.component(ComponentKind::Line, &line.id, |_| {
            let FailureRate { mtbf, mttr, source } = rate;
            let failure = Failure { mtbf, mttr, factor: LINE_FACTOR, source: source.clone() };
            (Law::of(&failure), source, unknown_rate(&line.id))
        });
        let mut needs = vec![own];
        needs.extend(self.shared_ways(None, Some(&line.id)));
        let tested = self.facts.line_backups.iter().find(|b| b.line == line.id && !b.runtime.0.is_nan());
        needs.push(match tested {
            Some(backup) => Need::Supply { cause: 0, ride: backup.runtime.0.max(0.0) },
            None => {
                let id = Id::from_label(&format!("{}-backup", line.id));
                let untested = |_: &Self| (Law::Untested, Source::common_practice(), String::new());
                let backup = self.component(ComponentKind::LineBackup, &id, untested);
                Need::Any(vec![Need::Supply { cause: 0, ride: 0.0 }, backup])
            }
        });
        Need::all(needs)
    }

    fn line_at(&mut self, head: &Id) -> Result<Need, Trouble> {
        let site = self.input.site;
        let line = self.heads.get(head).copied().unwrap_or(0);
        let line = site.lines.get(line).ok_or(Trouble::NoLine)?;
        Ok(self.line(line))
    }

    /// What a placed part needs to be up and joined to the line; or, with `stop`, to that part and no further.
    pub fn path(&mut self, placed: &Id, stop: Option<&Id>) -> Result<Need, Trouble> {
        self.steps = 0;
        self.path_from(placed, stop, &mut Vec::new())?.ok_or_else(|| Trouble::LinkLoop(placed.clone()))
    }

    /// Nothing where all ways lead back to parts that were passed.
    fn path_from(&mut self, at: &Id, stop: Option<&Id>, passed: &mut Vec<Id>) -> Result<Option<Need>, Trouble> {
        self.steps += 1;
        if self.steps > MOST_STEPS {
            return Err(Trouble::TooManyWays(at.clone()));
        }
        let own = self.powered(at)?;
        if stop == Some(at) {
            return Ok(Some(own));
        }
        let design = self.input.design;
        let inwards: Vec<&Link> = design.links.iter().filter(|l| &l.to == at).collect();
        if inwards.is_empty() {
            return Ok(Some(if stop.is_some() { own } else { Need::all(vec![own, self.line_at(at)?]) }));
        }
        passed.push(at.clone());
        let mut ways = Vec::new();
        for link in inwards {
            if !passed.contains(&link.from)
                && let Some(rest) = self.path_from(&link.from, stop, passed)?
            {
                ways.push(Need::all(vec![self.link(link), rest]));
            }
        }
        passed.pop();
        Ok((!ways.is_empty()).then(|| Need::all(vec![own, Need::any(ways)])))
    }

    /// The part itself and its feed.
    pub fn powered(&mut self, placed: &Id) -> Result<Need, Trouble> {
        let part = self.placed_part(placed);
        Ok(Need::all(vec![part, self.fed(placed, 0.0)?]))
    }

    /// The supply of a part or device, when outages are outlasted further down for a time [s].
    ///
    /// Most failures of a battery supply are of its battery, and a line-interactive one then still passes the mains
    /// through (common practice, no source); one that also blocks the mains is bypassed by hand.
    pub fn fed(&mut self, id: &Id, ride: f64) -> Result<Need, Trouble> {
        self.fed_through(id, id, ride, 0)
    }

    /// The supply of `id` on behalf of `who`, which hangs on it and may be switched off sooner.
    fn fed_through(&mut self, id: &Id, who: &Id, ride: f64, depth: usize) -> Result<Need, Trouble> {
        if depth > LONGEST_CHAIN {
            return Err(Trouble::PowerLoop(id.clone()));
        }
        let design = self.input.design;
        match design.feeds.iter().find(|f| &f.part == id).map(|f| &f.source) {
            None if self.needs_no_feed(id) => Ok(Need::NOTHING),
            None => {
                let device = self.input.household.devices.iter().find(|d| &d.id == id);
                let power = device.and_then(|d| d.power.as_ref());
                Ok(self.outlet(power.and_then(|p| p.outlet.as_ref()), ride))
            }
            Some(FeedSource::Mains { outlet }) => Ok(self.outlet(outlet.as_ref(), ride)),
            Some(FeedSource::Battery { part: supply }) => {
                if supply == id {
                    return Err(Trouble::PowerLoop(id.clone()));
                }
                let known = self.supplies.iter().find(|s| &s.id == supply);
                let carried = known.map_or(0.0, |s| s.carries(id).min(s.carries(who)).0);
                let through = self.fed_through(supply, who, ride, depth + 1)?;
                if carried.is_nan() || carried <= 0.0 {
                    return Ok(through);
                }
                let battery = self.placed_part(supply);
                let outlasting = self.fed_through(supply, who, ride + carried, depth + 1)?;
                Ok(Need::Any(vec![through, Need::all(vec![battery, outlasting])]))
            }
            Some(FeedSource::Poe { part: feeder }) => {
                let part = self.placed_part(feeder);
                Ok(Need::all(vec![part, self.fed_through(feeder, who, ride, depth + 1)?]))
            }
        }
    }

    fn outlet(&mut self, outlet: Option<&Id>, ride: f64) -> Need {
        let mains = Need::Supply { cause: 0, ride };
        let Some(circuit) = outlet.and_then(|o| self.facts.circuit(o)) else { return mains };
        let known = self.causes.iter().skip(1).position(|c| &c.id == circuit).map(|i| i + 1);
        let cause = known.unwrap_or_else(|| {
            self.causes.push(Interruption::circuit(circuit, self.input.design.upkeep.failure(circuit)));
            self.causes.len() - 1
        });
        Need::All(vec![mains, Need::Supply { cause, ride }])
    }

    /// Passive parts (panels, outlets) need no feed; anything else without one is taken to be on the mains.
    fn needs_no_feed(&self, id: &Id) -> bool {
        let part = self.input.design.part(id).and_then(|p| (self.input.parts)(&p.part));
        part.is_some_and(|p| is_passive(p.kind))
    }
}

fn unknown_rate(id: &Id) -> String {
    format!("how often {id} fails and how long it takes to mend")
}

pub(crate) const fn is_passive(kind: PartKind) -> bool {
    matches!(kind, PartKind::Panel | PartKind::PatchPanel | PartKind::OutletKit | PartKind::Cable | PartKind::Mount)
}

/// What kinds of devices draw in use (generic figures, from memory).
pub(crate) fn usual_draw(kind: DeviceKind) -> Option<Watts> {
    match kind {
        DeviceKind::Phone => Some(Watts(2.0)),
        DeviceKind::Tablet => Some(Watts(6.0)),
        DeviceKind::Laptop => Some(Watts(15.0)),
        DeviceKind::Desktop => Some(Watts(80.0)),
        DeviceKind::Camera | DeviceKind::Doorbell => Some(Watts(6.0)),
        DeviceKind::Storage => Some(Watts(20.0)),
        _ => None,
    }
}

/// Battery of kinds of devices that have one (generic figures, from memory).
pub(crate) fn usual_battery(kind: DeviceKind) -> Option<WattHours> {
    match kind {
        DeviceKind::Phone => Some(WattHours(15.0)),
        DeviceKind::Tablet => Some(WattHours(30.0)),
        DeviceKind::Laptop => Some(WattHours(50.0)),
        _ => None,
    }
}

/// How long a device runs on its own battery; nothing if that is unknown or it has none.
pub(crate) fn own_runtime(battery: Option<WattHours>, draw: Option<Watts>) -> Option<Seconds> {
    let (battery, draw) = battery.zip(draw)?;
    let fine = battery.is_finite() && battery.0 >= 0.0 && draw.is_finite() && draw.0 > 0.0;
    fine.then(|| Seconds(battery.0 / draw.0 * 3600.0))
}
