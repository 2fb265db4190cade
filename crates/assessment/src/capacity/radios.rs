//! What the radios of a design are set to, where they go when radar is heard, and which channel small things should use.

use findings::{Finding, Id};
use household::ThingRadio;
use network::{Design, Medium, RadioSetting};
use radio_profile::Band;
use site::Site;
use traffic::hour::BusyHour;
use units::{Db, Dbm};
use wlan::{ApInput, Joined, LowPowerEnd, LowPowerRadio, Role, ThingNetwork, WifiUse};

use super::data::{FallbackRadio, PlannedRadio, RadioPlan, ThingChannel};
use crate::gains::Gains;
use crate::home::Home;
use crate::links::SetRadio;

/// The radios of a design, and the channels of small things.
pub(crate) fn radio_plan(
    home: &Home,
    gains: &Gains,
    design: &Design,
    radios: &[SetRadio],
    heard: &Site,
    hour: &BusyHour,
) -> (RadioPlan, Option<Finding>) {
    let fallbacks = fallbacks(home, gains, design, radios, heard);
    let planned = design.radios.iter().map(|setting| {
        let channel = wlan::channel_at(setting.band, setting.centre, setting.width);
        let limits = wlan::limits(&home.site.country, setting.band, setting.centre, setting.width, Role::AccessPoint);
        let limits = limits.ok();
        let fallback = fallbacks.iter().find(|f| f.part == setting.part && f.band == setting.band);
        PlannedRadio {
            part: setting.part.clone(),
            band: setting.band,
            channel: channel.map(|c| c.number),
            centre: setting.centre,
            width: setting.width,
            eirp: setting.eirp,
            eirp_limit: limits.as_ref().map(|l| l.eirp_max),
            radar: limits.as_ref().is_some_and(|l| l.dfs.is_some()),
            rule: limits.map(|l| l.rule),
            fallback: fallback.map(|f| FallbackRadio {
                channel: f.to.as_ref().and_then(|s| wlan::channel_at(s.band, s.centre, s.width)).map(|c| c.number),
                width: f.to.as_ref().map(|s| s.width),
                eirp: f.to.as_ref().map(|s| s.eirp),
                silence: f.silence,
                why: f.why.clone(),
            }),
        }
    });
    let radios_of_design = planned.collect();
    let things = thing_channels(home, gains, radios, heard, hour);
    let plan = RadioPlan {
        radios: radios_of_design,
        thing_channels: things.channels,
        thing_channel_now: things.now,
        thing_channel_advice: things.advice,
    };
    (plan, things.finding)
}

/// Where each radio on a radar channel goes.
fn fallbacks(home: &Home, gains: &Gains, design: &Design, radios: &[SetRadio], heard: &Site) -> Vec<wlan::Fallback> {
    let mut parts: Vec<&SetRadio> = Vec::new();
    for radio in radios {
        if parts.iter().all(|p| p.placed.id != radio.placed.id) {
            parts.push(radio);
        }
    }
    let profile = |radio: &SetRadio| home.catalog.get(&radio.placed.part).and_then(|p| p.radio.as_ref());
    let known: Vec<_> = parts.iter().filter_map(|p| Some((*p, profile(p)?))).collect();
    let inputs: Vec<ApInput> = known.iter().map(|(p, radio)| ApInput { part: p.placed.id.clone(), radio }).collect();
    let place = |id: &Id| known.iter().position(|(p, _)| &p.placed.id == id);
    let joined: Vec<Joined> = design
        .links
        .iter()
        .filter_map(|link| match link.medium {
            Medium::Radio { band } => Some(Joined { a: place(&link.from)?, b: place(&link.to)?, band }),
            _ => None,
        })
        .collect();
    let coupling = |a: usize, b: usize, band: Band| match (known.get(a), known.get(b)) {
        (Some((a, _)), Some((b, _))) => gains.at_carrier(a.placed.at, b.placed.at, band),
        _ => Db(f64::NAN),
    };
    let settings: Vec<RadioSetting> = radios.iter().map(|r| r.setting.clone()).collect();
    wlan::fallbacks(&settings, &inputs, &joined, &coupling, heard, None)
}

/// The channels of IEEE 802.15.4 for the weakest link of the home's first network of things.
#[derive(Default)]
struct Things {
    /// Best first.
    channels: Vec<ThingChannel>,
    now: Option<u8>,
    advice: Option<String>,
    finding: Option<Finding>,
}

fn thing_channels(home: &Home, gains: &Gains, radios: &[SetRadio], heard: &Site, hour: &BusyHour) -> Things {
    let none = Things::default();
    let networks = || home.household.thing_networks.iter().filter(|n| n.radio == ThingRadio::Ieee802154);
    let Some(network) = networks().next() else { return none };
    let place = |id: &Id| home.household.devices.iter().find(|d| &d.id == id).and_then(|d| home.device_place(d));
    let Some(hub) = place(&network.hub) else { return none };
    let ends = (LowPowerEnd::battery(LowPowerRadio::Ieee802154), LowPowerEnd::hub(LowPowerRadio::Ieee802154));
    let levels = network.devices.iter().filter_map(&place);
    let levels = levels.map(|at| wlan::low_power_level(&ends.0, &ends.1, gains.at_carrier(at, hub, Band::Ghz2)));
    let level = levels.fold(Dbm(f64::INFINITY), Dbm::min);
    if !level.is_finite() {
        return none;
    }
    // What the hub hears of Wi-Fi in 2.4 GHz: the home's own in its busy hour, and the neighbours'.
    let mut wifi: Vec<WifiUse> = Vec::new();
    for radio in radios.iter().filter(|r| r.setting.band == Band::Ghz2) {
        let of = |c: &&traffic::hour::ChannelHour| c.part == radio.placed.id && c.band == Band::Ghz2;
        let used = hour.channels.iter().find(of).map_or(0.0, |c| c.own.poor + c.collided.poor + c.beacons);
        let level = radio.setting.eirp + gains.between(&radio.from, hub, radio.setting);
        let (centre, width) = (radio.setting.centre, radio.setting.width);
        wifi.push(WifiUse { centre, width, level, airtime: used.clamp(0.0, 1.0), burst: WifiUse::BURST });
    }
    wifi.extend(heard.neighbours.iter().filter(|n| n.centre.ghz() < 3.0).map(WifiUse::of_neighbour));
    let counts = network.devices.iter().filter_map(|id| home.household.devices.iter().find(|d| &d.id == id));
    let devices = counts.map(|d| d.count).fold(0, u32::saturating_add);
    let asked = ThingNetwork::new(level, devices, network.channel);
    let Ok(advice) = wlan::thing_channels(&wifi, &asked) else { return none };
    let finding = wlan::check_thing_channel(&network.hub, &asked, &advice);
    let channels = advice.ranked.iter().map(|c| ThingChannel {
        channel: c.number,
        success: c.first_try,
        clear: c.covered_by.is_empty(),
    });
    Things { channels: channels.collect(), now: network.channel, advice: Some(advice.why.clone()), finding }
}
