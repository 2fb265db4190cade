//! From a design to what each service needs: components with their availability, and the structure over them.

use std::collections::BTreeMap;

use equipment::{Part, PartKind};
use findings::{Id, Source};
use household::Device;
use network::{Design, FeedSource};
use site::{Site, default_mains, mains_range};
use units::Seconds;

use crate::battery::{battery_load, battery_runtime};
use crate::failure::{Availability, LINE_FACTOR, line_failures, ride_through};
use crate::structure::Structure;

/// Most steps from a device towards the line; a longer chain is a loop.
const LONGEST_CHAIN: usize = 16;

/// Factor by which the mains' figures of a country may be off at one home, where no range is published.
const MAINS_FACTOR: f64 = 3.0;

/// One thing that can fail.
#[derive(Clone, Debug)]
pub(crate) struct Component {
    /// The placed part, line or `mains`.
    pub id: Id,
    /// Its availability; nothing if unknown.
    pub availability: Option<Availability>,
    /// Where its figures come from.
    pub source: Source,
}

/// Components and how a design hangs together.
pub(crate) struct Chain<'a> {
    design: &'a Design,
    parts: &'a dyn Fn(&Id) -> Option<&'a Part>,
    pub components: Vec<Component>,
    by_id: BTreeMap<Id, usize>,
    /// Components for mains outages, by rising length that they outlast: (runtime [s], component).
    mains: Vec<(f64, usize)>,
    /// Runtime of each battery supply, unknown where its figures do not give one.
    pub runtimes: BTreeMap<Id, Option<Seconds>>,
    /// The line's components are up.
    line: Structure,
    /// What is missing where something is unknown, in words.
    pub missing: Vec<String>,
}

impl<'a> Chain<'a> {
    pub fn new(design: &'a Design, site: &Site, parts: &'a dyn Fn(&Id) -> Option<&'a Part>) -> Self {
        let mut chain = Self {
            design,
            parts,
            components: Vec::new(),
            by_id: BTreeMap::new(),
            mains: Vec::new(),
            runtimes: BTreeMap::new(),
            line: Structure::Any(Vec::new()),
            missing: Vec::new(),
        };
        for placed in &design.parts {
            let Some(part) = parts(&placed.part) else {
                chain.missing.push(format!("the part `{}` of {}", placed.part, placed.id));
                continue;
            };
            if let Some(battery) = &part.battery {
                let load = battery_load(design, &placed.id, parts);
                chain.runtimes.insert(placed.id.clone(), battery_runtime(battery, load));
            }
            let availability = part.failure.as_ref().and_then(|f| Availability::of(f.mtbf, f.mttr, f.factor));
            let source = part.failure.as_ref().map_or_else(Source::generic, |f| f.source.clone());
            let component = chain.add(placed.id.clone(), availability, source);
            chain.by_id.insert(placed.id.clone(), component);
        }
        chain.add_mains(site);
        chain.add_line(site);
        chain
    }

    fn add(&mut self, id: Id, availability: Option<Availability>, source: Source) -> usize {
        if availability.is_none() {
            self.missing.push(format!("how often {id} fails and how long it takes to mend"));
        }
        self.components.push(Component { id, availability, source });
        self.components.len() - 1
    }

    /// The mains as one component for each length that a battery outlasts, so that one outage is the same outage for
    /// all that hang on it: an outage longer than `t` fails the components up to `t`.
    fn add_mains(&mut self, site: &Site) {
        let given = &site.mains;
        let fallback = default_mains(&site.country);
        let (saidi, saifi) = (given.saidi.or(fallback.saidi), given.saifi.or(fallback.saifi));
        let source = given.source.clone().or(fallback.source);
        let range = mains_range(&site.country);
        let mut runtimes: Vec<f64> = self.runtimes.values().flatten().map(|r| r.0).filter(|r| *r > 0.0).collect();
        runtimes.push(0.0);
        runtimes.sort_by(f64::total_cmp);
        runtimes.dedup();
        let year = 365.0 * 86_400.0;
        let known = saidi.filter(|s| s.0 >= 0.0 && s.0 < year).zip(saifi.filter(|s| *s > 0.0));
        if known.is_none() {
            let between = range.as_ref().map_or(String::new(), |r| {
                format!(
                    " (published for this country: {:.0} to {:.0} min a year)",
                    r.saidi.0.0 / 60.0,
                    r.saidi.1.0 / 60.0
                )
            });
            self.missing.push(format!("how often and how long the mains fail here{between}: `site.mains`"));
        }
        for (i, &runtime) in runtimes.iter().enumerate() {
            let availability = known.map(|(saidi, saifi)| {
                let mean = Seconds(saidi.0 / saifi);
                let down = |scale: f64, t: Option<&f64>| {
                    t.map_or(0.0, |t| (saidi.0 * scale / year).min(1.0) * ride_through(mean, Seconds(*t)))
                };
                // Up given that no longer outage is on: (1 − U(t)) / (1 − U(next)).
                let up = |scale: f64| (1.0 - down(scale, Some(&runtime))) / (1.0 - down(scale, runtimes.get(i + 1)));
                let (least, most) = match (&range, given.saidi.is_none()) {
                    (Some(r), true) => (r.saidi.0.0 / saidi.0, r.saidi.1.0 / saidi.0),
                    _ => (1.0 / MAINS_FACTOR, MAINS_FACTOR),
                };
                Availability { value: up(1.0), low: up(most), high: up(least) }
            });
            let id = if i == 0 { Id::from_label("mains") } else { Id::from_label(&format!("mains-longer-{i}")) };
            let component = self.components.len();
            self.components.push(Component {
                id,
                availability,
                source: source.clone().unwrap_or_else(Source::generic),
            });
            self.mains.push((runtime, component));
        }
    }

    fn add_line(&mut self, site: &Site) {
        let mut lines = Vec::new();
        for line in &site.lines {
            let failures = line.failures.clone().unwrap_or_else(|| line_failures(line.kind));
            let availability = Availability::of(failures.mtbf, failures.mttr, LINE_FACTOR);
            let component = self.add(line.id.clone(), availability, failures.source);
            lines.push(Structure::Part(component));
        }
        // A design has one way in: the main line.
        lines.truncate(1);
        self.line = Structure::Any(lines);
    }

    /// What a placed part needs to be up and joined to the line; nothing if its links or feeds form a loop.
    pub fn part_up(&self, placed: &Id) -> Option<Structure> {
        let mut needs = Vec::new();
        let mut at = placed;
        for _ in 0..LONGEST_CHAIN {
            needs.push(self.alone(at)?);
            let Some(link) = self.design.links.iter().find(|l| &l.to == at) else {
                needs.push(self.line.clone());
                return Some(Structure::All(needs));
            };
            at = &link.from;
        }
        None
    }

    /// The part itself and its feed.
    fn alone(&self, placed: &Id) -> Option<Structure> {
        let component = *self.by_id.get(placed)?;
        Some(Structure::All(vec![Structure::Part(component), self.fed(placed, LONGEST_CHAIN)?]))
    }

    fn fed(&self, placed: &Id, left: usize) -> Option<Structure> {
        if left == 0 {
            return None;
        }
        let feed = self.design.feeds.iter().find(|f| &f.part == placed);
        match feed.map(|f| &f.source) {
            // Passive parts (panels, outlets) need no feed; anything else without one is taken to be on the mains.
            None if self.is_passive(placed) => Some(Structure::All(Vec::new())),
            None | Some(FeedSource::Mains { .. }) => Some(self.mains_up(0.0)),
            Some(FeedSource::Battery { part }) => {
                let runtime = self.runtimes.get(part).copied().flatten().map_or(0.0, |r| r.0);
                let battery = Structure::Part(*self.by_id.get(part)?);
                // Most failures are of the battery, and a line-interactive supply then still passes the mains through
                // (common practice, no source); a supply that also blocks the mains is bypassed by hand.
                Some(Structure::Any(vec![self.mains_up(0.0), Structure::All(vec![battery, self.mains_up(runtime)])]))
            }
            Some(FeedSource::Poe { part }) => {
                let supply = Structure::Part(*self.by_id.get(part)?);
                Some(Structure::All(vec![supply, self.fed(part, left - 1)?]))
            }
        }
    }

    fn is_passive(&self, placed: &Id) -> bool {
        self.design.part(placed).and_then(|p| (self.parts)(&p.part)).is_some_and(|p| {
            matches!(
                p.kind,
                PartKind::Panel | PartKind::PatchPanel | PartKind::OutletKit | PartKind::Cable | PartKind::Mount
            )
        })
    }

    /// No outage longer than a runtime is on.
    fn mains_up(&self, runtime: f64) -> Structure {
        let longer = self.mains.iter().filter(|m| m.0 >= runtime).map(|m| Structure::Part(m.1));
        Structure::All(longer.collect())
    }

    /// What a device's connection needs: one of the parts that can serve it. Its own power is not the network's.
    pub fn device_up(&self, device: &Device, serving: &[Id]) -> Option<Structure> {
        let wired = self.design.links.iter().find(|l| l.to == device.id).map(|l| &l.from);
        Some(Structure::Any(match wired {
            Some(from) => vec![self.part_up(from)?],
            None => serving.iter().map(|id| self.part_up(id)).collect::<Option<_>>()?,
        }))
    }

    /// The parts on the way from a part to the line, nearest first.
    pub fn way(&self, placed: &'a Id) -> Vec<&'a Id> {
        let mut way = vec![placed];
        while let Some(link) = way.last().and_then(|at| self.design.links.iter().find(|l| &&l.to == at)) {
            if way.len() >= LONGEST_CHAIN {
                break;
            }
            way.push(&link.from);
        }
        way
    }

    /// True if a part is fed from a battery, itself or through the part that feeds it over its cable.
    pub fn on_battery(&self, placed: &Id) -> bool {
        let mut at = placed;
        for _ in 0..LONGEST_CHAIN {
            match self.design.feeds.iter().find(|f| &f.part == at).map(|f| &f.source) {
                Some(FeedSource::Battery { .. }) => return true,
                Some(FeedSource::Poe { part }) => at = part,
                _ => return false,
            }
        }
        false
    }
}
