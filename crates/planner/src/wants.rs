//! What the home and household allow and ask for, and which parts of the catalogue fit it.

use assessment::Home;
use equipment::{Part, PartKind};
use findings::Id;
use household::{Attachment, Device, Household};
use site::LineKind;

use crate::families::{Reason, Workshop};
use crate::powered::Powered;

/// Share of a port's rate that payload can take (1 538 octets on the wire for 1 500 of payload; IEEE 802.3).
const ETHERNET_EFFICIENCY: f64 = 0.949;

impl<'a> Workshop<'a> {
    pub fn part(&self, id: &str) -> Result<&'a Part, Reason> {
        self.home.catalog.get(&Id::from_label(id)).ok_or_else(|| format!("the catalogue has no part `{id}`"))
    }

    pub fn termination(&self) -> Result<&'a Part, Reason> {
        let id = termination_part(self.home).ok_or("the site has no line into the home")?;
        self.part(id.as_str())
    }

    /// A wireless router whose uplink carries the line: one that is there already, else the first of the catalogue.
    pub fn router(&self) -> Result<&'a Part, Reason> {
        let line = self.home.site.lines.first().map_or(0.0, |l| l.down.0.max(l.up.0));
        let carries = |p: &&Part| p.ports.uplink_rate.0 * ETHERNET_EFFICIENCY >= line;
        let kept = |p: &&Part| self.home.household.kept.iter().any(|k| k.part == p.id);
        let of_kind = || self.home.catalog.of_kind(PartKind::WirelessRouter);
        let first = of_kind().find(|p| kept(p) && carries(p)).or_else(|| of_kind().find(carries));
        first.or_else(|| of_kind().last()).ok_or_else(|| "the catalogue has no wireless router".into())
    }

    /// The smallest switch that has so many ports, and keeps segments apart where that is wished. One that gives power over
    /// data cables if a device that is wired to it needs that, else one that gives none.
    pub fn switch_with(&self, ports: u32, devices: &[&Device]) -> Result<&'a Part, Reason> {
        let segments = self.home.household.wishes.separate_segments;
        let fits = |p: &&Part| p.ports.lan >= ports && (p.segments || !segments);
        let of_kind = self.home.catalog.of_kind(PartKind::Switch).filter(fits);
        match Powered::of(devices) {
            None => of_kind
                .filter(|p| p.poe_supply.is_none())
                .min_by_key(|p| (p.ports.lan, p.segments))
                .ok_or_else(|| format!("no switch has {ports} ports")),
            Some(powered) => of_kind
                .filter(|p| powered.is_fed_by(p))
                .min_by(|a, b| self.price_rank(a).total_cmp(&self.price_rank(b)))
                .ok_or_else(|| format!("no PoE switch has {ports} ports and {powered}")),
        }
    }

    /// Devices that are to be wired: those that must be, and with `all` those that can be and stay in their place.
    pub fn wireable(&self, all: bool) -> Vec<&'a Device> {
        let wanted = |d: &&Device| match d.attachment {
            Attachment::Wired => true,
            Attachment::Either => all,
            Attachment::Wireless | Attachment::ThingNetwork => false,
        };
        self.home.household.devices.iter().filter(wanted).collect()
    }

    /// Devices that must stay up, by themselves or for an activity.
    pub fn must_stay_up(&self) -> Vec<&'a Device> {
        must_stay_up(&self.home.household).collect()
    }

    pub fn may_drill(&self) -> Result<(), Reason> {
        if self.home.household.wishes.no_drilling {
            return Err("its cables need drilling, which is not wanted".into());
        }
        Ok(())
    }

    pub fn fits_ports(&self, lan: u32, what: &str) -> Result<(), Reason> {
        let wired = self.wireable(false).iter().map(|d| d.count).sum::<u32>();
        if wired > lan {
            return Err(format!("{wired} devices must be wired and {what} has {lan} LAN ports; a switch is needed"));
        }
        if let Some(device) = self.wireable(false).iter().find(|d| d.over_cable().is_some()) {
            return Err(format!(
                "{} takes its power over its data cable and {what} gives none; a switch that does is needed",
                device.id
            ));
        }
        Ok(())
    }

    /// A part at the head of the home must keep segments apart where that is wished.
    pub fn keeps_apart(&self, part: &Part, what: &str) -> Result<(), Reason> {
        if self.home.household.wishes.separate_segments && !part.segments {
            return Err(format!(
                "{what} cannot keep guests and things apart from the household's devices, which is wished"
            ));
        }
        Ok(())
    }

    /// Where nothing may be drilled, what must be wired has to be in the router's room.
    pub fn wired_without_drilling(&self, room: usize) -> Result<(), Reason> {
        if !self.home.household.wishes.no_drilling {
            return Ok(());
        }
        match self.wireable(false).iter().find(|d| self.home.room(&d.room) != Some(room)) {
            Some(device) => Err(format!(
                "{} must be wired and is not in the router's room; its cable would need drilling, which is not wanted",
                device.id
            )),
            None => Ok(()),
        }
    }

    /// A part's price for choosing the cheaper of two; parts without a price come last.
    pub fn price_rank(&self, part: &Part) -> f64 {
        let kept = self.home.household.kept.iter().any(|k| k.part == part.id);
        if kept {
            return 0.0;
        }
        let price = self.home.prices.get(&part.id);
        price.and_then(|p| p.price.amount.to_string().parse().ok()).unwrap_or(f64::INFINITY)
    }
}

/// Devices that must stay up, by themselves or for an activity.
pub(crate) fn must_stay_up(household: &Household) -> impl Iterator<Item = &Device> {
    household
        .devices
        .iter()
        .filter(|d| d.must_stay_up || household.activities.iter().any(|a| a.must_stay_up && a.device == d.id))
}

/// The part that ends the main line: the provider's own box if one must stay, else the generic one of the line's kind.
fn termination_part(home: &Home) -> Option<Id> {
    let line = home.site.lines.first()?;
    if let Some(stays) = &line.fixed_box {
        return Some(stays.clone());
    }
    Some(Id::from_label(match line.kind {
        LineKind::Fibre if line.down.0.max(line.up.0) > 0.949e9 => "ont-2g5",
        LineKind::Fibre => "ont-1g",
        LineKind::Coax => "modem-cable",
        LineKind::Dsl => "modem-dsl",
        LineKind::FixedWireless | LineKind::Satellite | LineKind::Mobile => "terminal-radio",
    }))
}
