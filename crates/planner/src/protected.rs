//! The family that keeps up what must stay up: its whole path on a battery supply.

use equipment::{Part, PartKind};
use findings::Id;
use household::{Attachment, Device};
use network::{Family, FeedSource};
use units::{Seconds, Watts};

use crate::build::Builder;
use crate::families::{Draft, Reason, Workshop, provider_parts};
use crate::powered::Powered;

/// How long the path that must stay up runs on battery where the household does not say (common practice, no source).
const BATTERY_RUNTIME: Seconds = Seconds(3600.0);

impl Workshop<'_> {
    /// The path at the demarcation point on a battery: once with the provider's box at its head, once with a router of
    /// one's own.
    ///
    /// Every box in the path is one more that fails, so that a box which is there anyway may stay up longer on a battery
    /// than two boxes do; both are offered where both fit.
    pub fn protected_path(&self) -> Result<Vec<Draft>, Reason> {
        if self.must_stay_up().is_empty() {
            return Err("no device or activity must stay up".into());
        }
        let provider = provider_parts(self.home).ok_or_else(|| "the catalogue has no provider's box".to_owned());
        let provider = provider.and_then(|parts| {
            self.protected("Provider's box on a battery for what must stay up", &parts, "the provider's box")
        });
        let own = self.termination().and_then(|termination| {
            let parts = [("termination", termination), ("router", self.router()?)];
            self.protected("Own router on a battery for what must stay up", &parts, "the router")
        });
        match (provider, own) {
            (Err(_), Err(reason)) => Err(reason),
            (provider, own) => Ok(provider.into_iter().chain(own).collect()),
        }
    }

    /// Parts from the line inwards on one battery; what must stay up is patched straight into the last of them.
    fn protected(&self, name: &str, parts: &[(&'static str, &Part)], what: &str) -> Result<Draft, Reason> {
        let Some((_, head)) = parts.last() else { return Err("there is nothing to protect".into()) };
        self.keeps_apart(head, what)?;
        let spot = &self.demarcation.spot;
        let straight: Vec<&Device> = self
            .must_stay_up()
            .into_iter()
            .filter(|d| matches!(d.attachment, Attachment::Wired | Attachment::Either))
            // What is powered over its cable hangs on a switch that gives power.
            .filter(|d| d.over_cable().is_none())
            .collect();
        let ports = straight.iter().map(|d| d.count).sum::<u32>();
        let others: Vec<&Device> =
            self.wireable(false).into_iter().filter(|d| !straight.iter().any(|s| s.id == d.id)).collect();
        let other_ports = others.iter().map(|d| d.count).sum::<u32>();
        if ports > head.ports.lan || (ports == head.ports.lan && other_ports > 0) {
            return Err(format!(
                "{ports} devices must stay up and be patched straight to {what}, which has {} LAN ports",
                head.ports.lan
            ));
        }
        if self.home.household.wishes.no_drilling {
            let elsewhere = straight.iter().chain(&others).find(|d| self.home.room(&d.room) != Some(spot.room));
            if let Some(device) = elsewhere {
                return Err(format!(
                    "{} would be patched straight to {what} and is not in its room; its cable would need drilling, which is not wanted",
                    device.id
                ));
            }
        }
        let battery = self.battery_for(parts.iter().map(|(_, p)| p.draw).sum())?;
        let mut b = Builder::new(self.home, Family::ProtectedPath, name);
        let ids: Vec<Id> = parts.iter().map(|(name, part)| b.place(name, &part.id, spot)).collect();
        let battery_id = b.place_on_mains("battery", &battery.id, spot);
        for id in &ids {
            b.feed(id, FeedSource::Battery { part: battery_id.clone() });
        }
        for pair in ids.windows(2) {
            b.wire(&pair[0], &pair[1]);
        }
        let Some(head_id) = ids.last() else { return Err("there is nothing to protect".into()) };
        for device in straight {
            b.wire_device(head_id, device);
        }
        if ports + other_ports <= head.ports.lan && Powered::of(&others).is_none() {
            others.iter().for_each(|d| b.wire_device(head_id, d));
        } else {
            let switch = self.switch_with(other_ports + 1, &others)?;
            let switch_id = b.place_on_mains("switch", &switch.id, spot);
            b.wire(head_id, &switch_id);
            others.iter().for_each(|d| b.wire_device(&switch_id, d));
        }
        self.draft(b, None)
    }

    /// The cheapest battery supply that carries a load for as long as is asked for.
    fn battery_for(&self, load: Watts) -> Result<&Part, Reason> {
        let wanted = self.home.household.wishes.battery_runtime.unwrap_or(BATTERY_RUNTIME);
        self.home
            .catalog
            .of_kind(PartKind::BatterySupply)
            .filter(|p| {
                let runtime = p.battery.as_ref().and_then(|battery| resilience::battery_runtime(battery, load));
                runtime.is_some_and(|runtime| runtime >= wanted)
            })
            .min_by(|a, b| self.price_rank(a).total_cmp(&self.price_rank(b)))
            .ok_or_else(|| format!("no battery supply carries {:.0} W for {:.1} h", load.0, wanted.0 / 3600.0))
    }
}
