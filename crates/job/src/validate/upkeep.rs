//! What is said of staying up: by a design, by a device's power, by other ways to the internet.

use std::collections::BTreeSet;

use equipment::poe_class_watts;
use findings::{Finding, Id};
use network::{Design, FeedSource};

use super::{Check, UPKEEP};

impl<'a> Check<'a> {
    /// The devices that may use another way to the internet, and how devices are powered.
    pub(super) fn ways_and_power(&mut self) {
        let job = self.job;
        let (devices, outlets) = (self.devices.clone(), self.outlets.clone());
        for failover in &job.site.failovers {
            let id = &failover.line.id;
            for device in &failover.devices {
                let path = format!("site.failovers ({id})");
                self.known(&path, vec![id.clone(), device.clone()], "the device", device, &devices);
            }
        }
        for device in job.household.iter().flat_map(|h| &h.devices) {
            if let Some(over_cable) = device.over_cable() {
                let path = format!("household.devices ({}).power.over_cable", device.id);
                let most = poe_class_watts(over_cable.class).map(|(device, _)| device.0);
                let (what, value, high) = match most {
                    Some(most) => ("worst_draw", over_cable.worst_draw.0, most),
                    None => ("class", f64::from(over_cable.class), 8.0),
                };
                self.figure(&path, vec![device.id.clone()], what, value, (0.0, high), "");
            }
            if let Some(outlet) = device.power.as_ref().and_then(|p| p.outlet.as_ref()) {
                let path = format!("household.devices ({}).power", device.id);
                self.known(&path, vec![device.id.clone(), outlet.clone()], "the outlet", outlet, &outlets);
            }
        }
    }

    pub(super) fn upkeep(&mut self, design: &'a Design, placed: &BTreeSet<&Id>) {
        let path = format!("designs ({}).upkeep", design.id);
        let upkeep = &design.upkeep;
        let subjects = |id: &Id| vec![id.clone(), design.id.clone()];
        let devices = self.devices.clone();
        let hosts: BTreeSet<&Id> = placed.union(&devices).copied().collect();
        for role in &upkeep.roles {
            let here = format!("{path}.roles");
            self.known(&here, subjects(&role.host), "the placed part or device", &role.host, &hosts);
            for device in &role.devices {
                self.known(&here, subjects(device), "the device", device, &devices);
            }
        }
        for shed in &upkeep.shedding {
            let here = format!("{path}.shedding ({})", shed.supply);
            self.known(&here, subjects(&shed.supply), "the placed part", &shed.supply, placed);
            for part in &shed.parts {
                self.known(&here, subjects(part), "the placed part", part, placed);
            }
            self.is_supply(&here, design, &shed.supply);
            for part in shed.parts.iter().filter(|p| placed.contains(*p) && !hangs_on(design, p, &shed.supply)) {
                let message = format!("{here}: `{part}` is not fed by `{}`; leave it out, or feed it so", shed.supply);
                self.findings.push(Finding::of(&UPKEEP, subjects(part), message));
            }
            self.figure(&here, subjects(&shed.supply), "after", shed.after.0, (0.0, f64::MAX), "s");
        }
        self.unique(&format!("{path}.cells, by supply"), &[&design.id], upkeep.cells.iter().map(|c| &c.supply));
        for cells in &upkeep.cells {
            let here = format!("{path}.cells ({})", cells.supply);
            self.known(&here, subjects(&cells.supply), "the placed part", &cells.supply, placed);
            self.is_supply(&here, design, &cells.supply);
            let state = cells.state;
            let figures = [
                ("temperature_c", state.temperature_c, (-40.0, 85.0), "°C"),
                ("age_years", state.age_years, (0.0, 50.0), "years"),
                ("power_factor", state.power_factor.unwrap_or(1.0), (f64::MIN_POSITIVE, 1.0), ""),
            ];
            for (what, value, range, unit) in figures {
                self.figure(&here, subjects(&cells.supply), what, value, range, unit);
            }
        }
        self.unique(&format!("{path}.failures"), &[&design.id], upkeep.failures.iter().map(|f| &f.id));
        let things = self.what_can_fail(design);
        for known in &upkeep.failures {
            let here = format!("{path}.failures ({})", known.id);
            self.known(&here, subjects(&known.id), "the part, link, line, circuit or device", &known.id, &things);
            let failure = &known.failure;
            let figures = [
                ("mtbf", failure.mtbf.0, (f64::MIN_POSITIVE, f64::MAX), "s"),
                ("mttr", failure.mttr.0, (0.0, f64::MAX), "s"),
                ("factor", failure.factor, (1.0, f64::MAX), ""),
            ];
            for (what, value, range, unit) in figures {
                self.figure(&here, subjects(&known.id), what, value, range, unit);
            }
        }
    }

    fn is_supply(&mut self, path: &str, design: &Design, id: &Id) {
        let part = design.part(id).and_then(|placed| self.catalog.get(&placed.part));
        if part.is_some_and(|part| part.battery.is_none()) {
            let message = format!("{path}: `{id}` is no battery supply; name one that the design places");
            self.findings.push(Finding::of(&UPKEEP, vec![id.clone(), design.id.clone()], message));
        }
    }

    fn what_can_fail(&self, design: &'a Design) -> BTreeSet<&'a Id> {
        let (site, building) = (&self.job.site, &self.job.building);
        let parts = design.parts.iter().map(|p| &p.id).chain(design.links.iter().map(|l| &l.id));
        let lines = site.lines.iter().map(|l| &l.id).chain(site.failovers.iter().map(|f| &f.line.id));
        let built = building.circuits.iter().map(|c| &c.id).chain(building.cable_spaces.iter().map(|s| &s.id));
        parts.chain(lines).chain(built).chain(self.devices.iter().copied()).collect()
    }

    fn figure(&mut self, path: &str, subjects: Vec<Id>, what: &str, value: f64, (low, high): (f64, f64), unit: &str) {
        // What is not finite is found where all numbers are.
        if value.is_finite() && !(low..=high).contains(&value) {
            let expected = match (low, high) {
                (low, high) if high == f64::MAX && low == f64::MIN_POSITIVE => "be above 0".to_owned(),
                (low, high) if high == f64::MAX => format!("be {low} or more"),
                (low, high) if low == f64::MIN_POSITIVE => format!("lie above 0 and be at most {high}"),
                (low, high) => format!("lie between {low} and {high}"),
            };
            let unit = if unit.is_empty() { String::new() } else { format!(" {unit}") };
            let message = format!("{path}: {what} is {value}{unit}; it must {expected}");
            self.findings.push(Finding::of(&UPKEEP, subjects, message));
        }
    }
}

/// Whether the power of a part comes from a supply, over others or not. Feeds that lead in a circle end.
fn hangs_on(design: &Design, part: &Id, supply: &Id) -> bool {
    let mut at = part;
    for _ in 0..=design.feeds.len() {
        match design.feeds.iter().find(|f| &f.part == at).map(|f| &f.source) {
            Some(FeedSource::Battery { part } | FeedSource::Poe { part }) if part == supply => return true,
            Some(FeedSource::Battery { part } | FeedSource::Poe { part }) => at = part,
            Some(FeedSource::Mains { .. }) | None => return false,
        }
    }
    false
}
