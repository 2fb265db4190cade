//! What each service needs: the router's connection, each device's connection, and what people do with it.

use findings::Id;
use household::{Activity, Attachment, Device};
use network::RoleKind;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use site::Failover;

use crate::builder::{Builder, Trouble, own_runtime, usual_battery, usual_draw};
use crate::component::{Component, ComponentKind};
use crate::diagram::{Diagram, Maker};
use crate::need::Need;
use crate::structure::Structure;

/// What a service is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum ServiceKind {
    /// The router is joined to the line.
    Internet,
    /// A device's connection; its own power is not the network's.
    Connection,
    /// Something that is done with a device: its connection and its own power.
    Activity,
}

/// Which services are asked about.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Scope {
    /// Connections of devices that must stay up, and the router's.
    Protected,
    /// All of them.
    All,
}

/// What stands in where the usual way is down.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum AlternativeKind {
    /// Another access point in reach.
    AccessPoint,
    /// Another way to the internet.
    Failover,
}

/// Another way for a service.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Alternative {
    /// What it is.
    pub kind: AlternativeKind,
    /// The part or line that it goes by.
    pub by: Id,
    /// Rate over that of the usual way, if known.
    pub rate_share: Option<f64>,
}

/// A service ready to be asked about.
#[derive(Clone, Debug)]
pub(crate) struct Served {
    pub id: Id,
    pub kind: ServiceKind,
    pub device: Option<Id>,
    pub must_stay_up: bool,
    pub ways: Result<Ways, Trouble>,
}

/// How a service can be up.
#[derive(Clone, Debug)]
pub(crate) struct Ways {
    /// By any way.
    pub whole: Diagram,
    /// By the usual way.
    pub usual: Diagram,
    pub alternatives: Vec<(Alternative, Diagram)>,
}

/// What a service needs, before its outages are known.
struct Wanted {
    id: Id,
    kind: ServiceKind,
    device: Option<Id>,
    must_stay_up: bool,
    needs: Result<Needs, Trouble>,
}

#[derive(Clone)]
struct Needs {
    usual: Need,
    alternatives: Vec<(Alternative, Need)>,
}

/// Levels of each cause: for how long it is outlasted [s], and the component that stands for it.
pub(crate) type Levels = Vec<Vec<(f64, usize)>>;

/// Every service of the scope, and the levels of each cause. The builder's components are complete after this.
pub(crate) fn served(builder: &mut Builder, scope: Scope) -> (Vec<Served>, Levels) {
    let wanted = wanted(builder, scope);
    let mut rides = vec![Vec::new(); builder.causes.len()];
    for needs in wanted.iter().filter_map(|w| w.needs.as_ref().ok()) {
        needs.usual.rides(&mut rides);
        needs.alternatives.iter().for_each(|a| a.1.rides(&mut rides));
    }
    let mut levels = Levels::new();
    for (cause, mut rides) in builder.causes.iter().zip(rides) {
        rides.push(0.0);
        rides.sort_by(f64::total_cmp);
        rides.dedup();
        let first = builder.components.len();
        let components: Vec<Component> = cause.components(&rides, builder.facts.lengths, first);
        levels.push(rides.into_iter().zip(first..).collect());
        builder.components.extend(components);
    }
    let mut maker = Maker::over((0..builder.components.len()).collect());
    let compile = |wanted: Wanted| {
        let ways = wanted.needs.and_then(|needs| {
            let made = maker.as_mut().ok().and_then(|maker| compiled(&needs, &levels, maker));
            made.ok_or_else(|| Trouble::TooComplex(wanted.id.clone()))
        });
        Served { id: wanted.id, kind: wanted.kind, device: wanted.device, must_stay_up: wanted.must_stay_up, ways }
    };
    (wanted.into_iter().map(compile).collect(), levels)
}

fn compiled(needs: &Needs, levels: &Levels, maker: &mut Maker) -> Option<Ways> {
    let usual = needs.usual.structure(levels);
    let alternatives: Vec<(Alternative, Structure)> =
        needs.alternatives.iter().map(|(what, need)| (what.clone(), need.structure(levels))).collect();
    let usual_diagram = maker.diagram(&usual).ok()?;
    if alternatives.is_empty() {
        return Some(Ways { whole: usual_diagram.clone(), usual: usual_diagram, alternatives: Vec::new() });
    }
    let mut all = vec![usual];
    all.extend(alternatives.iter().map(|a| a.1.clone()));
    let whole = maker.diagram(&Structure::Any(all)).ok()?;
    let alternatives =
        alternatives.into_iter().map(|(what, s)| maker.diagram(&s).ok().map(|d| (what, d))).collect::<Option<_>>()?;
    Some(Ways { whole, usual: usual_diagram, alternatives })
}

fn wanted(builder: &mut Builder, scope: Scope) -> Vec<Wanted> {
    let household = builder.input.household;
    let by_activity = |device: &Device| household.activities.iter().any(|a| a.must_stay_up && a.device == device.id);
    let mut wanted = Vec::new();
    for device in &household.devices {
        let must_stay_up = device.must_stay_up || by_activity(device);
        if must_stay_up || scope == Scope::All {
            wanted.push(Wanted {
                id: device.id.clone(),
                kind: ServiceKind::Connection,
                device: Some(device.id.clone()),
                must_stay_up,
                needs: builder.connection(device, true),
            });
        }
    }
    if let Some(router) = builder.router {
        let usual = builder.path(router, None);
        wanted.push(Wanted {
            id: Id::from_label("internet"),
            kind: ServiceKind::Internet,
            device: None,
            must_stay_up: false,
            needs: usual.map(|usual| Needs { usual, alternatives: Vec::new() }),
        });
    }
    if scope == Scope::All {
        for activity in &household.activities {
            if let Some(device) = household.devices.iter().find(|d| d.id == activity.device) {
                wanted.push(Wanted {
                    id: activity.id.clone(),
                    kind: ServiceKind::Activity,
                    device: Some(device.id.clone()),
                    must_stay_up: activity.must_stay_up || device.must_stay_up,
                    needs: builder.activity(activity, device),
                });
            }
        }
    }
    wanted
}

impl Builder<'_> {
    /// A device's connection: to the line, or within the home as far as the router.
    fn connection(&mut self, device: &Device, to_line: bool) -> Result<Needs, Trouble> {
        // Within the home a way ends at the router; without one, at its head. No part has the device's name.
        let stop = (!to_line).then(|| self.router.unwrap_or(&device.id).clone());
        let roles = self.roles(device, &[RoleKind::Addresses, RoleKind::Names, RoleKind::Controller], stop.as_ref())?;
        let (design, input) = (self.input.design, self.input);
        let links: Vec<_> = design.links.iter().filter(|l| l.to == device.id).collect();
        let mut alternatives = Vec::new();
        let mut ways = Vec::new();
        if links.is_empty() {
            let serving = input.serving.iter().find(|s| s.0 == device.id).map_or(&[][..], |s| &s.1[..]);
            for (i, by) in serving.iter().enumerate() {
                let way = self.path(by, stop.as_ref());
                match (i, way) {
                    (0, way) => ways.push(way?),
                    (_, Ok(way)) => {
                        let reach = self.facts.reach.iter().find(|r| r.device == device.id && &r.by == by);
                        let rate_share = reach.map(|r| r.rate_share);
                        let what = Alternative { kind: AlternativeKind::AccessPoint, by: by.clone(), rate_share };
                        alternatives.push((what, way));
                    }
                    (_, Err(_)) => {}
                }
            }
            // A part that is named only as another in reach is one all the same.
            for reach in self.facts.reach.iter().filter(|r| r.device == device.id && !serving.contains(&r.by)) {
                if let Ok(way) = self.path(&reach.by, stop.as_ref()) {
                    let rate_share = Some(reach.rate_share);
                    let what = Alternative { kind: AlternativeKind::AccessPoint, by: reach.by.clone(), rate_share };
                    alternatives.push((what, way));
                }
            }
        }
        for link in links {
            let way = self.path(&link.from, stop.as_ref())?;
            ways.push(Need::all(vec![self.link(link), way]));
        }
        if ways.is_empty() {
            ways.extend(self.through_hub(device, to_line)?);
        }
        let with = |roles: &[Need], way: Need| Need::all(roles.iter().cloned().chain([way]).collect());
        let mut alternatives: Vec<_> = alternatives.into_iter().map(|(what, way)| (what, with(&roles, way))).collect();
        if to_line {
            // Addresses and names come with the other way.
            let roles = self.roles(device, &[RoleKind::Controller], None)?;
            alternatives.extend(self.failovers(device).into_iter().map(|(what, way)| (what, with(&roles, way))));
        }
        Ok(Needs { usual: with(&roles, Need::any(ways)), alternatives })
    }

    /// The way of a small thing that speaks to a hub: the hub with its power, and its own way. None if it has no hub that is
    /// joined to the home's network.
    fn through_hub(&mut self, device: &Device, to_line: bool) -> Result<Option<Need>, Trouble> {
        let (design, input) = (self.input.design, self.input);
        let networks = input.household.thing_networks.iter();
        let Some(hub) = networks.filter(|n| n.devices.contains(&device.id)).map(|n| &n.hub).next() else {
            return Ok(None);
        };
        let served = input.serving.iter().any(|s| &s.0 == hub && !s.1.is_empty());
        if hub == &device.id || !(served || design.links.iter().any(|l| &l.to == hub)) {
            return Ok(None);
        }
        let mut needs = vec![self.host(hub, None)?];
        if let Some(router) = self.router.filter(|_| to_line) {
            needs.push(self.path(router, None)?);
        }
        Ok(Some(Need::all(needs)))
    }

    /// Ways to the internet that are no lines of the home. A device joins one by itself, so that it needs nothing of the home.
    fn failovers(&mut self, device: &Device) -> Vec<(Alternative, Need)> {
        let site = self.input.site;
        let main = site.lines.first().map(|line| line.down.0).filter(|rate| *rate > 0.0);
        // Locks and sensors, and what has no radio, cannot join a telephone by themselves.
        let has_radio = matches!(device.attachment, Attachment::Wireless | Attachment::Either);
        let can = |f: &&Failover| f.devices.contains(&device.id) || (f.devices.is_empty() && has_radio);
        let joined = |failover: &Failover| {
            let rate_share = main.map(|main| failover.line.down.0 / main);
            let by = failover.line.id.clone();
            (Alternative { kind: AlternativeKind::Failover, by, rate_share }, self.line(&failover.line))
        };
        site.failovers.iter().filter(can).map(joined).collect()
    }

    /// One host of each of some kinds of role that the device needs.
    fn roles(&mut self, device: &Device, kinds: &[RoleKind], stop: Option<&Id>) -> Result<Vec<Need>, Trouble> {
        let roles = &self.input.design.upkeep.roles;
        let mut needs = Vec::new();
        for kind in kinds {
            let of_kind = roles.iter().filter(|r| r.kind == *kind);
            let applies = of_kind.filter(|r| r.devices.is_empty() || r.devices.contains(&device.id));
            let hosts: Vec<&Id> = applies.map(|r| &r.host).collect();
            let mut any = Vec::new();
            for host in hosts {
                any.push(self.host(host, stop)?);
            }
            if !any.is_empty() {
                needs.push(Need::any(any));
            }
        }
        Ok(needs)
    }

    /// What a role's host needs: a part with its feed, or a device with its power and its way to the router.
    fn host(&mut self, host: &Id, stop: Option<&Id>) -> Result<Need, Trouble> {
        let household = self.input.household;
        let Some(device) = household.devices.iter().find(|d| &d.id == host) else { return self.powered(host) };
        let mut needs = vec![self.device(host), self.own_power(device)?];
        let router = self.router.or(stop).unwrap_or(host).clone();
        let design = self.input.design;
        if let Some(link) = design.links.iter().find(|l| &l.to == host) {
            needs.push(self.link(link));
            needs.push(self.path(&link.from, Some(&router))?);
        } else if let Some(by) = self.input.serving.iter().find(|s| &s.0 == host).and_then(|s| s.1.first()) {
            needs.push(self.path(by, Some(&router))?);
        }
        Ok(Need::all(needs))
    }

    /// Something that is done: the device's power and its connection.
    fn activity(&mut self, activity: &Activity, device: &Device) -> Result<Needs, Trouble> {
        let power = self.own_power(device)?;
        let connection = self.connection(device, !activity.local)?;
        let with_power = |need: Need| Need::all(vec![power.clone(), need]);
        Ok(Needs {
            usual: with_power(connection.usual),
            alternatives: connection.alternatives.into_iter().map(|(what, need)| (what, with_power(need))).collect(),
        })
    }

    /// A device's own power: its feed, outlasted by its own battery.
    fn own_power(&mut self, device: &Device) -> Result<Need, Trouble> {
        let now = self.fed(&device.id, 0.0)?;
        if !device.has_battery {
            return Ok(now);
        }
        let stated = device.power.as_ref();
        let battery = stated.and_then(|o| o.battery).or_else(|| usual_battery(device.kind));
        let draw = stated.and_then(|o| o.draw).or_else(|| usual_draw(device.kind));
        match own_runtime(battery, draw) {
            Some(runtime) => self.fed(&device.id, runtime.0),
            None => Ok(Need::Any(vec![now, self.own_battery(device)])),
        }
    }

    /// A battery of which nothing is known.
    fn own_battery(&mut self, device: &Device) -> Need {
        let id = Id::from_label(&format!("{}-battery", device.id));
        let Need::Part(component) = self.device(&id) else { return Need::NOTHING };
        if let Some(component) = self.components.get_mut(component) {
            component.kind = ComponentKind::Device;
            component.missing = format!("how long {} runs on its own battery", device.id);
        }
        Need::Part(component)
    }
}
