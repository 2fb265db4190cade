//! The families of designs: where each makes sense, and how it is put together and sized.

use assessment::{Evaluator, Field, Home};
use building::MountKind;
use equipment::{Part, PartKind};
use findings::{Id, Progress};
use household::{Attachment, Device};
use network::results::Gap;
use network::{Design, Family, FeedSource, Medium};
use radio_profile::RadioProfile;
use units::{BitsPerSecond, Point3};

use crate::build::{Builder, Spot};
use crate::places::{self, Place};
use crate::powered::Powered;
use crate::siting::Sited;
use crate::{Config, PlanError};

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
            Family::Outbuilding => self.outbuilding(),
        })
    }

    fn gateway(&self) -> Result<Result<Vec<Draft>, Reason>, PlanError> {
        let design = gateway_design(self.home)?;
        let fits = provider_parts(self.home)
            .and_then(|parts| parts.into_iter().last())
            .ok_or_else(|| "the catalogue has no provider's box".to_owned())
            .and_then(|(_, gateway)| {
                self.fits_ports(gateway.ports.lan, "the provider's box")?;
                self.keeps_apart(gateway, "the provider's box")
            })
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
        let devices = self.wireable(true);
        let wanted = devices.iter().map(|d| d.count).sum::<u32>();
        if wanted <= router.ports.lan && Powered::of(&devices).is_none() {
            return Err(format!(
                "{wanted} devices can be wired and the router has {} LAN ports, so no switch is needed",
                router.ports.lan
            ));
        }
        self.may_drill()?;
        let sited = self.site_router(router)?;
        let spot = &self.places[sited.places[0]].spot;
        let switch = self.switch_with(wanted + 1, &devices)?;
        let mut b = Builder::new(self.home, Family::AccessSwitch, "Own router and a switch for wired devices");
        let router_id = self.line_and_router(&mut b, router, spot)?;
        let switch_id = b.place_on_mains("switch", &switch.id, spot);
        b.wire(&router_id, &switch_id);
        devices.iter().for_each(|d| b.wire_device(&switch_id, d));
        Ok(vec![self.draft(b, Some(sited.gap))?])
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
        let b = self.cabled(Family::WiredBackhaul, name, router, node, &sited.places)?;
        Ok(vec![self.draft(b, Some(sited.gap))?])
    }

    /// A router at the demarcation point and access points on mains cords, each on its own cable.
    pub(crate) fn cabled(
        &self,
        family: Family,
        name: String,
        router: &Part,
        node: &Part,
        places: &[usize],
    ) -> Result<Builder<'a>, Reason> {
        let mut b = Builder::new(self.home, family, name);
        let spot = &self.demarcation.spot;
        let router_id = self.line_and_router(&mut b, router, spot)?;
        let devices = self.wireable(false);
        let ports = places.len() as u32 + devices.iter().map(|d| d.count).sum::<u32>();
        let from = if ports > router.ports.lan || Powered::of(&devices).is_some() {
            let switch = self.switch_with(ports + 1, &devices)?;
            let switch_id = b.place_on_mains("switch", &switch.id, spot);
            b.wire(&router_id, &switch_id);
            switch_id
        } else {
            router_id
        };
        for (i, &place) in places.iter().enumerate() {
            let id = b.place_on_mains(&format!("ap-{}", i + 1), &node.id, &self.places[place].spot);
            b.wire(&from, &id);
        }
        devices.iter().for_each(|d| b.wire_device(&from, d));
        Ok(b)
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
        let switch_id = self.router_and_poe_switch(&mut b, &self.demarcation.spot, (ap, num), ports, &devices)?;
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
        let switch_id = self.router_and_poe_switch(&mut b, spot, (ap, num), cables as u32, &devices)?;
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
        (ap, aps): (&Part, usize),
        ports: u32,
        devices: &[&Device],
    ) -> Result<Id, Reason> {
        let router = self.part("router-wired")?;
        let router_id = self.line_and_router(b, router, spot)?;
        let poe = ap.poe.as_ref().ok_or_else(|| format!("{} has no PoE class", ap.name))?;
        let powered = Powered::alike(poe.class, poe.worst_draw, aps as u32);
        let powered = Powered::of(devices).map_or(powered, |others| powered.and(others));
        let switch = self
            .home
            .catalog
            .of_kind(PartKind::Switch)
            .filter(|p| p.ports.lan >= ports + u32::from(p.ports.uplink == 0))
            .filter(|p| powered.is_fed_by(p))
            .min_by(|a, b| self.price_rank(a).total_cmp(&self.price_rank(b)))
            .ok_or_else(|| format!("no PoE switch has {ports} ports and {powered}"))?;
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
    pub(crate) fn draft(&self, b: Builder, gap: Option<Gap>) -> Result<Draft, Reason> {
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

    pub(crate) fn line_and_router(&self, b: &mut Builder, router: &Part, spot: &Spot) -> Result<Id, Reason> {
        let termination = self.termination()?;
        let termination_id = b.place_on_mains("termination", &termination.id, &self.demarcation.spot);
        let router_id = b.place_on_mains("router", &router.id, spot);
        b.wire(&termination_id, &router_id);
        Ok(router_id)
    }

    /// Wires what must be wired, and with `all` what can be, to a part as far as its ports go.
    pub(crate) fn wire(&self, b: &mut Builder, from: &Id, mut ports: u32, all: bool) {
        for device in self.wireable(all) {
            if device.count <= ports {
                ports -= device.count;
                b.wire_device(from, device);
            }
        }
    }
}

/// The provider's parts from the line inwards, with their names in a design; the last one serves the home.
///
/// A termination that must stay is not part of the box: the box stands behind it. Where none must stay, the box ends the
/// line itself.
pub(crate) fn provider_parts(home: &Home) -> Option<Vec<(&'static str, &Part)>> {
    let stays = home.site.lines.first().and_then(|l| l.fixed_box.as_ref()).and_then(|id| home.catalog.get(id));
    let of_kind = |kind| stays.filter(|p| p.kind == kind);
    let gateway = of_kind(PartKind::Gateway).or_else(|| home.catalog.of_kind(PartKind::Gateway).next())?;
    let mut parts: Vec<(&'static str, &Part)> =
        of_kind(PartKind::LineTermination).map(|p| ("termination", p)).into_iter().collect();
    parts.push(("gateway", gateway));
    Some(parts)
}

/// The provider's box alone at the demarcation point, with what must be wired patched into it.
pub(crate) fn gateway_design(home: &Home) -> Result<Design, PlanError> {
    let mut b = Builder::new(home, Family::Gateway, "The provider's box alone");
    let spot = Spot::at_demarcation(home);
    let parts = provider_parts(home).ok_or(PlanError::NoPlace)?;
    let mut nearer: Option<Id> = None;
    for (name, part) in &parts {
        let id = b.place_on_mains(name, &part.id, &spot);
        if let Some(nearer) = nearer.replace(id.clone()) {
            b.wire(&nearer, &id);
        }
    }
    let (Some(id), Some((_, gateway))) = (nearer, parts.last()) else { return Err(PlanError::NoPlace) };
    for device in home.household.devices.iter().filter(|d| d.attachment == Attachment::Wired) {
        b.wire_device(&id, device);
    }
    let radios = match &gateway.radio {
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

pub(crate) fn plural(num: usize) -> &'static str {
    if num == 1 { "" } else { "s" }
}
