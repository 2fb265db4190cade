//! Which access point each wireless device uses, and what radio uplinks carry.

use std::collections::BTreeMap;

use findings::{Finding, Id};
use household::{Attachment, Device, DeviceKind, device_radio};
use network::results::LinkRate;
use network::{Design, Medium, PlacedPart, RadioSetting};
use propagation::{Site, reliability};
use radio_profile::{Band, BandRadio, Generation};
use units::{BitsPerSecond, Db, Dbm, Point3};
use wlan::{Association, Candidate, Direction, End, Habits, LinkModel, Mode};

use crate::antennas;
use crate::gains::Gains;
use crate::home::Home;
use crate::telephone::fading_margin;

/// A radio of a placed part as it is set.
#[derive(Clone)]
pub(crate) struct SetRadio<'a> {
    pub placed: &'a PlacedPart,
    /// Its place with its antenna.
    pub from: Site,
    /// Index among the parts with radios.
    pub site: usize,
    pub generation: Generation,
    pub radio: &'a BandRadio,
    pub setting: &'a RadioSetting,
}

/// The radios of a design that are set; a setting for a band that its part has no radio in is passed over here and
/// found by the rules of `wlan`.
pub(crate) fn set_radios<'a>(home: &'a Home, design: &'a Design) -> Vec<SetRadio<'a>> {
    let mut sites: BTreeMap<&Id, usize> = BTreeMap::new();
    let mut radios = Vec::new();
    for setting in &design.radios {
        let Some(placed) = design.part(&setting.part) else { continue };
        let Some(profile) = home.catalog.get(&placed.part).and_then(|p| p.radio.as_ref()) else { continue };
        let Some(radio) = profile.band(setting.band) else { continue };
        let num = sites.len();
        let site = *sites.entry(&placed.id).or_insert(num);
        let from = antennas::site(&home.resolved, &home.antennas, placed);
        radios.push(SetRadio { placed, from, site, generation: profile.generation, radio, setting });
    }
    radios
}

/// What an access point's way to the router does to what its devices can get.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Uplink {
    /// The router itself, or a cable as fast as needed.
    Free,
    /// A radio of its own.
    Dedicated { down: BitsPerSecond, up: BitsPerSecond },
    /// The radio that also serves the devices: each bit is on the air twice.
    Shared { down: BitsPerSecond, up: BitsPerSecond },
}

impl Uplink {
    /// What the whole way carries in a direction when the access link carries `access`.
    pub fn carries(self, access: BitsPerSecond, direction: Direction) -> BitsPerSecond {
        let hop = |down: BitsPerSecond, up: BitsPerSecond| match direction {
            Direction::Down => down.0,
            Direction::Up => up.0,
        };
        match self {
            Uplink::Free => access,
            Uplink::Dedicated { down, up } => BitsPerSecond(access.0.min(hop(down, up))),
            Uplink::Shared { down, up } => {
                let hop = hop(down, up);
                if access.0 <= 0.0 || hop <= 0.0 {
                    BitsPerSecond(0.0)
                } else {
                    BitsPerSecond(1.0 / (1.0 / access.0 + 1.0 / hop))
                }
            }
        }
    }

    /// What the access link must carry so that the whole way carries the target; nothing if it cannot.
    pub fn needs(self, down: BitsPerSecond, up: BitsPerSecond) -> Option<(BitsPerSecond, BitsPerSecond)> {
        let twice = |target: BitsPerSecond, hop: BitsPerSecond| {
            // One channel carries both hops in turn: 1/whole = 1/access + 1/uplink.
            if target.0 <= 0.0 {
                Some(target)
            } else {
                (hop.0 > target.0).then(|| BitsPerSecond(1.0 / (1.0 / target.0 - 1.0 / hop.0)))
            }
        };
        match self {
            Uplink::Free => Some((down, up)),
            Uplink::Dedicated { down: d, up: u } => (d.0 >= down.0 && u.0 >= up.0).then_some((down, up)),
            Uplink::Shared { down: d, up: u } => Some((twice(down, d)?, twice(up, u)?)),
        }
    }
}

/// Shadowing that one link alone must have in hand to hold 95 % of the time: the one-sided 95 % quantile of a normal
/// distribution, 1.645 standard deviations.
#[must_use]
pub fn dependable_margin() -> Db {
    Db(reliability::Shadowing::default().sigma_db * 1.645)
}

/// What a radio uplink carries dependably: 95 % of the time, fading taken off.
pub(crate) fn radio_uplink(
    home: &Home,
    gains: &Gains,
    near: &SetRadio,
    far: (Point3, Generation, &BandRadio),
) -> Option<(BitsPerSecond, BitsPerSecond)> {
    let (at, generation, radio) = far;
    let country = &home.site.country;
    let setting = near.setting;
    let limits = wlan::limits(country, setting.band, setting.centre, setting.width, wlan::Role::AccessPoint).ok()?;
    let link = LinkModel::with_limits(
        End { generation: near.generation, radio: near.radio },
        End { generation, radio },
        setting,
        &limits,
        &limits,
    )
    .ok()?;
    let fading = fading_margin(setting.width);
    let gain = gains.between(&near.from, at, setting) - fading - dependable_margin();
    let budget = link.budget(gain);
    Some((budget.down, budget.up))
}

/// How each part with a radio reaches the router, by its id.
pub(crate) fn uplinks(home: &Home, gains: &Gains, design: &Design, radios: &[SetRadio]) -> BTreeMap<Id, Uplink> {
    let mut found = BTreeMap::new();
    for radio in radios {
        let id = &radio.placed.id;
        let over = design.links.iter().find_map(|l| match (&l.medium, &l.to == id) {
            (Medium::Radio { band }, true) => Some((&l.from, *band)),
            _ => None,
        });
        let Some((from, band)) = over else {
            found.insert(id.clone(), Uplink::Free);
            continue;
        };
        if found.contains_key(id) {
            continue;
        }
        let rates = radios
            .iter()
            .find(|r| &r.placed.id == from && r.setting.band == band)
            .zip(radios.iter().find(|r| &r.placed.id == id && r.setting.band == band))
            .and_then(|(near, far)| radio_uplink(home, gains, near, (far.placed.at, far.generation, far.radio)));
        let (down, up) = rates.unwrap_or((BitsPerSecond(0.0), BitsPerSecond(0.0)));
        let own = home.catalog.get(&radio.placed.part).is_some_and(|p| p.dedicated_uplink_radio);
        found.insert(id.clone(), if own { Uplink::Dedicated { down, up } } else { Uplink::Shared { down, up } });
    }
    found
}

/// True if a device takes part over the air in a design: it cannot be wired, or the design does not wire it.
pub(crate) fn is_wireless(design: &Design, device: &Device) -> bool {
    matches!(device.attachment, Attachment::Wireless | Attachment::Either)
        && !design.links.iter().any(|l| l.to == device.id)
}

/// A radio that reaches a device both ways at the local mean.
#[derive(Clone, Debug)]
pub(crate) struct Reach {
    /// What the link carries.
    pub rate: LinkRate,
    /// Mode towards the device.
    pub down: Option<Mode>,
    /// Mode from it.
    pub up: Option<Mode>,
}

impl Reach {
    /// What it carries in its worse direction [bit/s].
    fn worse(&self) -> f64 {
        self.rate.down.0.min(self.rate.up.0)
    }
}

/// A wireless device with what reaches it and what it joins.
#[derive(Clone, Debug)]
pub(crate) struct Reached<'a> {
    pub device: &'a Device,
    /// The radios that reach it both ways, in the order of the design.
    pub reaches: Vec<Reach>,
    /// What it joins, by the habits of devices; nothing if no radio reaches it.
    pub joined: Option<Association>,
    /// What is wrong if it comes from elsewhere and stays there.
    pub stuck: Option<Finding>,
}

impl Reached<'_> {
    /// The link to what it joins.
    pub fn link(&self) -> Option<&Reach> {
        let joined = self.joined.as_ref()?;
        self.reaches.iter().find(|r| r.rate.from == joined.ap && r.rate.band == joined.band)
    }

    /// The parts that reach it with what each carries in its worse direction [bit/s], best first.
    pub fn rates(&self) -> Vec<(Id, f64)> {
        let mut found: Vec<&Reach> = self.reaches.iter().collect();
        found.sort_by(|a, b| b.worse().total_cmp(&a.worse()));
        let mut parts: Vec<(Id, f64)> = Vec::new();
        for reach in found {
            if !parts.iter().any(|(part, _)| part == &reach.rate.from) {
                parts.push((reach.rate.from.clone(), reach.worse()));
            }
        }
        parts
    }

    /// The parts that reach it, best first.
    pub fn parts(&self) -> Vec<Id> {
        self.rates().into_iter().map(|(part, _)| part).collect()
    }
}

/// Every wireless device of the household with what reaches it.
///
/// Only radios that carry something both ways are asked for: a device may hear one that does not hear it, but gives up on it.
pub(crate) fn reached<'a>(home: &'a Home, gains: &Gains, design: &Design, radios: &[SetRadio]) -> Vec<Reached<'a>> {
    let mut models = BTreeMap::new();
    let sigma = Db(reliability::Shadowing::default().sigma_db);
    let habits = Habits::default();
    let wireless = home.household.devices.iter().filter(|d| is_wireless(design, d));
    wireless
        .map(|device| {
            let reaches = reaches(home, gains, device, radios, &mut models);
            let candidates: Vec<Candidate> = reaches
                .iter()
                .map(|reach| Candidate {
                    ap: reach.rate.from.clone(),
                    band: reach.rate.band,
                    level: reach.rate.level_down,
                    basic_rate: None,
                })
                .collect();
            // A device that no radio reaches above the level at which devices join still takes the best that there is.
            let any = Habits { least_level: Dbm(f64::NEG_INFINITY), ..Habits::default() };
            let joined = wlan::associate(&candidates, None, &habits, sigma)
                .or_else(|| wlan::associate(&candidates, None, &any, sigma));
            let stuck =
                is_carried_about(device).then(|| stuck(device, &candidates, joined.as_ref(), &habits)).flatten();
            Reached { device, reaches, joined, stuck }
        })
        .collect()
}

/// Level from which a device is served well enough wherever it is joined (common practice, no source).
pub(crate) const GOOD_LEVEL: Dbm = Dbm(-67.0);

/// Whether a device comes from elsewhere at times.
fn is_carried_about(device: &Device) -> bool {
    matches!(device.kind, DeviceKind::Phone | DeviceKind::Tablet | DeviceKind::Laptop)
}

/// What is wrong if a device that comes from the next access point stays there, and is served badly by it.
fn stuck(device: &Device, candidates: &[Candidate], joined: Option<&Association>, habits: &Habits) -> Option<Finding> {
    let (next, _) = joined?.next.as_ref()?;
    let best_of_next = candidates.iter().filter(|c| &c.ap == next).map(|c| c.level.0).fold(f64::NEG_INFINITY, f64::max);
    if best_of_next >= GOOD_LEVEL.0 {
        return None;
    }
    wlan::check_stuck(&device.id, candidates, habits, Db(reliability::Shadowing::default().sigma_db))
}

/// Links of generic devices by radio and kind, made once.
type Models = BTreeMap<(usize, DeviceKind), Option<LinkModel>>;

fn reaches(home: &Home, gains: &Gains, device: &Device, radios: &[SetRadio], models: &mut Models) -> Vec<Reach> {
    let (Some(at), Some(profile)) = (home.device_place(device), device_radio(device)) else { return Vec::new() };
    let mut found = Vec::new();
    for (idx, radio) in radios.iter().enumerate() {
        let Some(client) = profile.band(radio.setting.band) else { continue };
        let make = || {
            let ap = End { generation: radio.generation, radio: radio.radio };
            let end = End { generation: profile.generation, radio: client };
            LinkModel::new(&home.site.country, ap, end, radio.setting).ok()
        };
        // Devices with a radio of their own are not of their kind's generic model.
        let own;
        let model = if device.radio.is_some() {
            own = make();
            own.as_ref()
        } else {
            models.entry((idx, device.kind)).or_insert_with(make).as_ref()
        };
        let Some(model) = model else { continue };
        let budget = model.budget(gains.between(&radio.from, at, radio.setting));
        if budget.down.0.min(budget.up.0) <= 0.0 {
            continue;
        }
        let rate = LinkRate {
            to: device.id.clone(),
            from: radio.placed.id.clone(),
            band: radio.setting.band,
            level_down: budget.level_down,
            level_up: budget.level_up,
            down: budget.down,
            up: budget.up,
        };
        found.push(Reach { rate, down: budget.mode_down, up: budget.mode_up });
    }
    found
}

/// The band that devices are judged by in coverage: the generic telephone, the weakest common radio.
pub(crate) fn telephone(band: Band) -> Option<(Generation, BandRadio)> {
    let phone = radio_profile::generic::phone();
    phone.band(band).map(|radio| (phone.generation, radio.clone()))
}
