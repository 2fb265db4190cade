//! The families of designs: where each makes sense, and how it is put together and sized.

use assessment::{Evaluator, Field, Home};
use building::MountKind;
use equipment::{Part, PartKind, poe_class_watts};
use findings::{Id, Progress};
use household::{Attachment, Device};
use network::results::Gap;
use network::{Design, Family, FeedSource, Medium};
use radio_profile::RadioProfile;
use units::{BitsPerSecond, Point3, Seconds};

use crate::build::{Builder, Spot};
use crate::places::{self, Place};
use crate::siting::Sited;
use crate::{Config, PlanError};

/// How long the path that must stay up runs on battery where the household does not say (common practice, no source).
const BATTERY_RUNTIME: Seconds = Seconds(3600.0);

/// Height of a data outlet above the floor [m] (common practice, no source).
const OUTLET_HEIGHT: f64 = 0.3;

/// A design and how well it was searched.
pub(crate) struct Draft {
    pub design: Design,
    pub gap: Option<Gap>,
}

/// Why a family does not fit this home.
pub(crate) type Reason = String;

/// All that the families are made from.
pub(crate) struct Workshop<'a> {
    pub(crate) home: &'a Home,
    pub(crate) evaluator: &'a Evaluator,
    pub(crate) config: &'a Config,
    /// Cells that places are compared on.
    pub(crate) field: Field,
    /// Where a radio could be.
    pub(crate) places: Vec<Place>,
    /// The place of the demarcation point.
    pub(crate) demarcation: Place,
}

impl<'a> Workshop<'a> {
    pub fn new(
        home: &'a Home,
        evaluator: &'a Evaluator,
        config: &'a Config,
        progress: &dyn Progress,
    ) -> Result<Self, PlanError> {
        progress.step("candidate places", 0, 1)?;
        let field = Field::new(home, config.search_cell)?;
        let places = places::places(home, evaluator, &field, config.place_spacing);
        if places.is_empty() {
            return Err(PlanError::NoPlace);
        }
        let demarcation = places::demarcation(home, evaluator, &field);
        Ok(Self { home, evaluator, config, field, places, demarcation })
    }

    /// Designs of a family, or why there are none.
    pub fn drafts(&self, family: Family) -> Result<Result<Vec<Draft>, Reason>, PlanError> {
        Ok(match family {
            Family::Gateway => self.gateway()?,
            Family::OwnRouter => self.own_router(),
            Family::AccessSwitch => self.access_switch(),
            Family::ProtectedPath => self.protected_path(),
            Family::RadioBackhaul => self.radio_backhaul(),
            Family::WiredBackhaul => self.wired_backhaul(),
            Family::PoeCeiling => self.poe_ceiling(),
            Family::HomeRunPanel => self.home_run_panel(),
        })
    }

    fn gateway(&self) -> Result<Result<Vec<Draft>, Reason>, PlanError> {
        let design = gateway_design(self.home)?;
        let lan = design.parts.first().and_then(|p| self.home.catalog.get(&p.part)).map_or(0, |p| p.ports.lan);
        let fits = self
            .fits_ports(lan, "the provider's box")
            .and_then(|()| self.wired_without_drilling(self.demarcation.spot.room));
        Ok(fits.map(|()| vec![Draft { design, gap: None }]))
    }

    fn own_router(&self) -> Result<Vec<Draft>, Reason> {
        let router = self.router()?;
        self.fits_ports(router.ports.lan, "an ordinary router")?;
        let sited = self.site_router(router)?;
        let spot = &self.places[sited.places[0]].spot;
        self.wired_without_drilling(spot.room)?;
        let mut b = Builder::new(self.home, Family::OwnRouter, "Own router in the best place");
        let router_id = self.line_and_router(&mut b, router, spot)?;
        self.wire(&mut b, &router_id, router.ports.lan, false);
        Ok(vec![self.draft(b, Some(sited.gap))?])
    }

    fn access_switch(&self) -> Result<Vec<Draft>, Reason> {
        let router = self.router()?;
        let wanted = self.wireable(true).iter().map(|d| d.count).sum::<u32>();
        if wanted <= router.ports.lan {
            return Err(format!(
                "{wanted} devices can be wired and the router has {} LAN ports, so no switch is needed",
                router.ports.lan
            ));
        }
        self.may_drill()?;
        let sited = self.site_router(router)?;
        let spot = &self.places[sited.places[0]].spot;
        let switch = self.switch_with(wanted + 1)?;
        let mut b = Builder::new(self.home, Family::AccessSwitch, "Own router and a switch for wired devices");
        let router_id = self.line_and_router(&mut b, router, spot)?;
        let switch_id = b.place_on_mains("switch", &switch.id, spot);
        b.wire(&router_id, &switch_id);
        for device in self.wireable(true) {
            b.wire_device(&switch_id, device);
        }
        Ok(vec![self.draft(b, Some(sited.gap))?])
    }

    fn protected_path(&self) -> Result<Vec<Draft>, Reason> {
        let protected = self.must_stay_up();
        if protected.is_empty() {
            return Err("no device or activity must stay up".into());
        }
        let router = self.router()?;
        let spot = &self.demarcation.spot;
        let straight: Vec<&Device> = protected.into_iter().filter(|d| d.attachment != Attachment::Wireless).collect();
        let ports = straight.iter().map(|d| d.count).sum::<u32>();
        let others: Vec<&Device> = self
            .wireable(true)
            .into_iter()
            .filter(|d| d.attachment == Attachment::Wired && !straight.iter().any(|s| s.id == d.id))
            .collect();
        let other_ports = others.iter().map(|d| d.count).sum::<u32>();
        if ports > router.ports.lan || (ports == router.ports.lan && other_ports > 0) {
            return Err(format!(
                "{ports} devices must stay up and be patched straight to the router, which has {} LAN ports",
                router.ports.lan
            ));
        }
        if self.home.household.wishes.no_drilling {
            let elsewhere = straight.iter().find(|d| self.home.room(&d.room) != Some(spot.room));
            if let Some(device) = elsewhere {
                return Err(format!(
                    "{} must stay up and is not in the router's room; its cable would need drilling, which is not wanted",
                    device.id
                ));
            }
        }
        let termination = self.termination()?;
        let load = termination.draw + router.draw;
        let wanted = self.home.household.wishes.battery_runtime.unwrap_or(BATTERY_RUNTIME);
        let battery = self
            .home
            .catalog
            .of_kind(PartKind::BatterySupply)
            .filter(|p| {
                p.battery.as_ref().is_some_and(|battery| {
                    let draw = load.0 / battery.efficiency.max(f64::MIN_POSITIVE) + battery.own_draw.0;
                    load.0 <= battery.max_load.0 && battery.energy.0 / draw * 3600.0 >= wanted.0
                })
            })
            .min_by(|a, b| self.price_rank(a).total_cmp(&self.price_rank(b)))
            .ok_or_else(|| format!("no battery supply carries {:.0} W for {:.1} h", load.0, wanted.0 / 3600.0))?;
        let mut b = Builder::new(self.home, Family::ProtectedPath, "Protected path for what must stay up");
        let termination_id = b.place("termination", &termination.id, spot);
        let router_id = b.place("router", &router.id, spot);
        let battery_id = b.place_on_mains("battery", &battery.id, spot);
        for fed in [&termination_id, &router_id] {
            b.feed(fed, FeedSource::Battery { part: battery_id.clone() });
        }
        b.wire(&termination_id, &router_id);
        for device in straight {
            b.wire_device(&router_id, device);
        }
        if ports + other_ports <= router.ports.lan {
            others.iter().for_each(|d| b.wire_device(&router_id, d));
        } else {
            let switch = self.switch_with(other_ports + 1)?;
            let switch_id = b.place_on_mains("switch", &switch.id, spot);
            b.wire(&router_id, &switch_id);
            others.iter().for_each(|d| b.wire_device(&switch_id, d));
        }
        Ok(vec![self.draft(b, None)?])
    }

    fn radio_backhaul(&self) -> Result<Vec<Draft>, Reason> {
        let router = self.router()?;
        self.fits_ports(router.ports.lan, "an ordinary router")?;
        self.wired_without_drilling(self.demarcation.spot.room)?;
        let mut drafts = Vec::new();
        let mut reasons = Vec::new();
        for node in self.home.catalog.of_kind(PartKind::RadioNode) {
            match self.radio_backhaul_with(router, node) {
                Ok(draft) => drafts.push(draft),
                Err(reason) => reasons.push(reason),
            }
        }
        if drafts.is_empty() {
            return Err(reasons.into_iter().next().unwrap_or_else(|| "the catalogue has no radio node".into()));
        }
        Ok(drafts)
    }

    fn radio_backhaul_with(&self, router: &Part, node: &Part) -> Result<Draft, Reason> {
        // The router speaks to the nodes in the highest band that both have, which nodes with a radio for the
        // uplink keep to themselves.
        let (Some(root), Some(far)) = (&router.radio, &node.radio) else {
            return Err(format!("{} or {} has no radio", router.name, node.name));
        };
        let at = self.demarcation.spot.at;
        let settings = places::settings(self.evaluator, router, at)?;
        let (setting, near_radio, far_radio) = settings
            .iter()
            .rev()
            .find_map(|s| Some((s, root.band(s.band)?, far.band(s.band)?)))
            .ok_or_else(|| format!("{} and {} share no band", router.name, node.name))?;
        let shared = !node.dedicated_uplink_radio;
        let node_settings = places::settings(self.evaluator, node, at)?;
        let reach = |place: &Place| {
            let uplink = self.evaluator.radio_uplink(
                (at, root.generation, near_radio),
                (place.spot.at, far.generation, far_radio),
                setting,
            );
            let (down, up) = uplink.unwrap_or((BitsPerSecond(0.0), BitsPerSecond(0.0)));
            let needs = places::needs(self.evaluator, &self.field, node, &node_settings, Some((down, up, shared)));
            places::reach(&self.field, place, &needs)
        };
        let sited = self.site_more(router, &|place| place.on_mains && place.kind != MountKind::Ceiling, &reach)?;
        let kind = if shared { "one radio for devices and uplink" } else { "a radio of its own for the uplink" };
        let name = format!("Router and {} radio node{}, {kind}", sited.places.len(), plural(sited.places.len()));
        let mut b = Builder::new(self.home, Family::RadioBackhaul, name);
        let router_id = self.line_and_router(&mut b, router, &self.demarcation.spot)?;
        self.wire(&mut b, &router_id, router.ports.lan, false);
        for (i, &place) in sited.places.iter().enumerate() {
            let id = b.place_on_mains(&format!("node-{}", i + 1), &node.id, &self.places[place].spot);
            b.link(&router_id, &id, Medium::Radio { band: setting.band });
        }
        self.draft(b, Some(sited.gap))
    }

    fn wired_backhaul(&self) -> Result<Vec<Draft>, Reason> {
        self.may_drill()?;
        let router = self.router()?;
        let node = self
            .home
            .catalog
            .of_kind(PartKind::RadioNode)
            .next()
            .ok_or("the catalogue has no access point that stands on furniture")?;
        let settings = places::settings(self.evaluator, node, self.demarcation.spot.at)?;
        let needs = places::needs(self.evaluator, &self.field, node, &settings, None);
        let sited = self.site_more(router, &|p| p.on_mains && p.kind != MountKind::Ceiling, &|place| {
            places::reach(&self.field, place, &needs)
        })?;
        let num = sited.places.len();
        let name = format!("Router and {num} cabled access point{}", plural(num));
        let mut b = Builder::new(self.home, Family::WiredBackhaul, name);
        let spot = &self.demarcation.spot;
        let router_id = self.line_and_router(&mut b, router, spot)?;
        let devices = self.wireable(false);
        let ports = num as u32 + devices.iter().map(|d| d.count).sum::<u32>();
        let from = if ports > router.ports.lan {
            let switch = self.switch_with(ports + 1)?;
            let switch_id = b.place_on_mains("switch", &switch.id, spot);
            b.wire(&router_id, &switch_id);
            switch_id
        } else {
            router_id
        };
        for (i, &place) in sited.places.iter().enumerate() {
            let id = b.place_on_mains(&format!("ap-{}", i + 1), &node.id, &self.places[place].spot);
            b.wire(&from, &id);
        }
        devices.iter().for_each(|d| b.wire_device(&from, d));
        Ok(vec![self.draft(b, Some(sited.gap))?])
    }

    fn poe_ceiling(&self) -> Result<Vec<Draft>, Reason> {
        if self.home.household.wishes.no_ceiling_mounts {
            return Err("nothing may hang from ceilings".into());
        }
        self.may_drill()?;
        let (ap, sited) = self.powered_over_cable(&|p| p.kind == MountKind::Ceiling)?;
        let num = sited.places.len();
        let name = format!("{num} ceiling access point{} powered over the cable", plural(num));
        let mut b = Builder::new(self.home, Family::PoeCeiling, name);
        let devices = self.wireable(false);
        let ports = num as u32 + devices.iter().map(|d| d.count).sum::<u32>();
        let switch_id = self.router_and_poe_switch(&mut b, &self.demarcation.spot, ap, num, ports)?;
        self.hang(&mut b, ap, &sited, &switch_id);
        devices.iter().for_each(|d| b.wire_device(&switch_id, d));
        b.separate_segments();
        Ok(vec![self.draft(b, Some(sited.gap))?])
    }

    fn home_run_panel(&self) -> Result<Vec<Draft>, Reason> {
        self.may_drill()?;
        let ceiling = !self.home.household.wishes.no_ceiling_mounts;
        let kind = if ceiling { MountKind::Ceiling } else { MountKind::Wall };
        let (ap, sited) = self.powered_over_cable(&|p| p.kind == kind)?;
        let outlet = self.part("outlet-kit-cat6")?;
        let rooms: Vec<&building::ResolvedRoom> =
            self.field.served.iter().map(|s| &self.home.resolved.rooms[s.room]).filter(|r| has_outlets(r)).collect();
        if rooms.len() < 3 {
            return Err(format!("only {} rooms would be cabled, which needs no panel", rooms.len()));
        }
        let devices = self.wireable(true);
        let bare: Vec<_> = rooms.iter().filter(|r| !devices.iter().any(|d| d.room == r.id)).collect();
        let num = sited.places.len();
        let cables = num + bare.len() + devices.iter().map(|d| d.count as usize).sum::<usize>();
        let mut b = Builder::new(self.home, Family::HomeRunPanel, "Every room cabled to one panel");
        let spot = &Spot { mounting: network::Mounting::Panel, ..self.demarcation.spot.clone() };
        let panel = self.part("panel-structured")?;
        b.place("panel", &panel.id, &Spot { mounting: network::Mounting::Wall, ..spot.clone() });
        let patch = self
            .home
            .catalog
            .of_kind(PartKind::PatchPanel)
            .filter(|p| p.ports.lan as usize >= cables)
            .min_by_key(|p| p.ports.lan)
            .ok_or_else(|| format!("no patch panel takes {cables} cables"))?;
        b.place("patch-panel", &patch.id, spot);
        let switch_id = self.router_and_poe_switch(&mut b, spot, ap, num, cables as u32)?;
        self.hang(&mut b, ap, &sited, &switch_id);
        devices.iter().for_each(|d| b.wire_device(&switch_id, d));
        for (i, room) in bare.iter().enumerate() {
            let Some(index) = self.home.room(&room.id) else { continue };
            let floor = self.home.resolved.storeys[room.storey].floor_z;
            // Beside a mains outlet where there is one: that is where equipment stands.
            let of_room = || self.places.iter().filter(|p| p.spot.room == index);
            let beside = of_room().find(|p| p.kind == MountKind::Shelf);
            let wall = beside.or_else(|| of_room().find(|p| p.kind == MountKind::Wall));
            let Some(wall) = wall else { continue };
            let at = Spot {
                at: wall.spot.at.plan().at_height(floor + OUTLET_HEIGHT),
                mounting: network::Mounting::Wall,
                outlet: None,
                ..wall.spot.clone()
            };
            let id = b.place(&format!("outlet-{}", i + 1), &outlet.id, &at);
            b.cable(&switch_id, &id);
        }
        b.separate_segments();
        Ok(vec![self.draft(b, Some(sited.gap))?])
    }

    /// Line termination, router and PoE switch in a spot at the demarcation point; returns the switch.
    fn router_and_poe_switch(
        &self,
        b: &mut Builder,
        spot: &Spot,
        ap: &Part,
        aps: usize,
        ports: u32,
    ) -> Result<Id, Reason> {
        let router = self.part("router-wired")?;
        let router_id = self.line_and_router(b, router, spot)?;
        let class = ap.poe.as_ref().map_or(0, |p| p.class);
        let (device, port) = poe_class_watts(class).ok_or_else(|| format!("{} has no PoE class", ap.name))?;
        // Power at the switch, cable loss included.
        let draw = ap.poe.as_ref().map_or(0.0, |p| p.worst_draw.0) * aps as f64 * (port / device);
        let switch = self
            .home
            .catalog
            .of_kind(PartKind::Switch)
            .filter(|p| p.ports.lan >= ports + u32::from(p.ports.uplink == 0))
            .filter(|p| {
                p.poe_supply.as_ref().is_some_and(|s| {
                    s.class >= class && s.ports as usize >= aps && s.budget.0 * cabling::POE_USABLE_SHARE >= draw
                })
            })
            .min_by(|a, b| self.price_rank(a).total_cmp(&self.price_rank(b)))
            .ok_or_else(|| {
                format!("no PoE switch has {ports} ports and {draw:.0} W for {aps} access points of class {class}")
            })?;
        let switch_id = b.place_on_mains("switch", &switch.id, spot);
        b.wire(&router_id, &switch_id);
        Ok(switch_id)
    }

    /// Hangs access points in their places, each fed over its cable.
    fn hang(&self, b: &mut Builder, ap: &Part, sited: &Sited, switch: &Id) {
        for (i, &place) in sited.places.iter().enumerate() {
            let id = b.place(&format!("ap-{}", i + 1), &ap.id, &self.places[place].spot);
            b.wire(switch, &id);
            b.feed(&id, FeedSource::Poe { part: switch.clone() });
        }
    }

    /// Sets the radios and finishes.
    fn draft(&self, b: Builder, gap: Option<Gap>) -> Result<Draft, Reason> {
        let parts: Vec<(Id, Point3, &RadioProfile)> = b
            .design
            .parts
            .iter()
            .filter_map(|p| Some((p.id.clone(), p.at, self.home.catalog.get(&p.part)?.radio.as_ref()?)))
            .collect();
        let place_of = |id: &Id| parts.iter().position(|p| &p.0 == id);
        let joined: Vec<wlan::Joined> = b
            .design
            .links
            .iter()
            .filter_map(|link| match link.medium {
                Medium::Radio { band } => Some(wlan::Joined { a: place_of(&link.from)?, b: place_of(&link.to)?, band }),
                _ => None,
            })
            .collect();
        let radios = self.evaluator.channel_plan(&parts, &joined)?;
        Ok(Draft { design: b.finish(radios), gap })
    }

    fn line_and_router(&self, b: &mut Builder, router: &Part, spot: &Spot) -> Result<Id, Reason> {
        let termination = self.termination()?;
        let termination_id = b.place_on_mains("termination", &termination.id, &self.demarcation.spot);
        let router_id = b.place_on_mains("router", &router.id, spot);
        b.wire(&termination_id, &router_id);
        Ok(router_id)
    }

    /// Wires what must be wired, and with `all` what can be, to a part as far as its ports go.
    fn wire(&self, b: &mut Builder, from: &Id, mut ports: u32, all: bool) {
        for device in self.wireable(all) {
            if device.count <= ports {
                ports -= device.count;
                b.wire_device(from, device);
            }
        }
    }
}

/// The provider's box alone at the demarcation point, with what must be wired patched into it.
pub(crate) fn gateway_design(home: &Home) -> Result<Design, PlanError> {
    let mut b = Builder::new(home, Family::Gateway, "The provider's box alone");
    let spot = Spot::at_demarcation(home);
    let stays = home.site.lines.first().and_then(|l| l.fixed_box.clone());
    let part = stays
        .filter(|id| home.catalog.get(id).is_some_and(|p| p.kind == PartKind::Gateway))
        .or_else(|| home.catalog.of_kind(PartKind::Gateway).next().map(|p| p.id.clone()))
        .ok_or(PlanError::NoPlace)?;
    let id = b.place_on_mains("gateway", &part, &spot);
    for device in home.household.devices.iter().filter(|d| d.attachment == Attachment::Wired) {
        b.wire_device(&id, device);
    }
    let radio = home.catalog.get(&part).and_then(|p| p.radio.as_ref());
    let radios = match radio {
        Some(radio) => {
            let alone = [wlan::ApInput { part: id, radio }];
            wlan::channel_plan(&alone, &|_, _, _| units::Db(f64::NEG_INFINITY), &home.site)
                .map_err(|e| PlanError::NotComputable(assessment::NotComputable::because(e.to_string())))?
        }
        None => Vec::new(),
    };
    Ok(b.finish(radios))
}

fn has_outlets(room: &building::ResolvedRoom) -> bool {
    use building::RoomUse::{Bath, Garage, Hall, Outdoor, Stair, Utility};
    !matches!(room.usage, Bath | Garage | Hall | Outdoor | Stair | Utility)
}

fn plural(num: usize) -> &'static str {
    if num == 1 { "" } else { "s" }
}
