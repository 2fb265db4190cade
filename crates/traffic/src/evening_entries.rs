//! What may run in the busy hour: activities and recordings that can be, and what is said of those that cannot. No network loads here.

use std::collections::BTreeMap;

use findings::{Finding, Id};
use household::{Activity, ActivityKind, Attachment, Device, Household};

use crate::Uplink;
use crate::evening_network::Way;
use crate::hour::Cause;
use crate::loads::{above_link, possible};
use crate::paths::Network;
use crate::rules::{DEAD_UPLINK, DEVICE_UNSERVED, IMPOSSIBLE_DEMAND, PERSON_OVERBOOKED};

/// Something that may run.
#[derive(Clone, Debug)]
pub(crate) struct Entry<'a> {
    pub id: &'a Id,
    pub cause: Cause,
    pub kind: ActivityKind,
    pub device: &'a Device,
    /// The device whose link carries it: the hub for small things.
    pub carrier: &'a Id,
    pub down: f64,
    pub up: f64,
    /// Share of the busy hour.
    pub share: f64,
    pub person: Option<&'a Id>,
    pub greedy: bool,
    pub max_delay: Option<f64>,
    pub max_loss: Option<f64>,
    pub local: bool,
    /// Where a recording goes, if it stays in the home.
    pub store: Option<&'a Id>,
    /// False if nothing serves it: it is listed and never runs.
    pub served: bool,
}

impl Entry<'_> {
    /// True if it takes what it can get this way: the way in which it moves more, uploads from the device where both are equal. The other carries
    /// requests or answers.
    pub fn is_greedy(&self, way: Way) -> bool {
        let up = self.up > self.down || (self.up >= self.down && self.kind == ActivityKind::Upload);
        self.greedy && up == (way == Way::Up)
    }
}

/// What is found on the way, each thing once.
#[derive(Default)]
pub(crate) struct Told {
    pub findings: Vec<Finding>,
    numbers: BTreeMap<Id, usize>,
}

impl Told {
    /// A number for each device, in the order of asking.
    pub fn device_number(&mut self, device: &Id) -> usize {
        if let Some(number) = self.numbers.get(device) {
            return *number;
        }
        let number = self.numbers.len();
        self.numbers.insert(device.clone(), number);
        number
    }

    /// The devices by their numbers.
    pub fn devices(&self) -> Vec<Id> {
        let mut named: Vec<(usize, &Id)> = self.numbers.iter().map(|(id, number)| (*number, id)).collect();
        named.sort_unstable();
        named.into_iter().map(|(_, id)| id.clone()).collect()
    }

    pub fn dead(&mut self, uplink: &Uplink) {
        let known = self.findings.iter().any(|f| f.rule == DEAD_UPLINK.id && f.subjects.first() == Some(&uplink.part));
        if !known {
            let message = format!("the uplink of `{}` to `{}` carries nothing", uplink.part, uplink.parent);
            let subjects = vec![uplink.part.clone(), uplink.parent.clone()];
            self.findings.push(Finding::of(&DEAD_UPLINK, subjects, message));
        }
    }

    pub fn overbooked(&mut self, person: &str, sum: f64) {
        let message = format!(
            "`{person}` is to do things that hold the attention for {sum:.2} of the busy hour; each is scaled down so that the sum is 1"
        );
        let finding = Finding::of(&PERSON_OVERBOOKED, vec![Id::from_label(person)], message);
        self.findings.push(finding.against(sum, 1.0, "1"));
    }
}

/// Share of an activity at an hour of the day.
fn share_at(activity: &Activity, hour: Option<u8>) -> f64 {
    let inside = match (activity.hours, hour) {
        (Some(hours), Some(hour)) => hours.share_of(hour).clamp(0.0, 1.0),
        _ => 1.0,
    };
    activity.busy_share * inside
}

/// The hour of the day with the highest expected demand, both ways summed; the first of equals. Nothing if no activity has hours.
pub(crate) fn busy_hour_of(household: &Household) -> Option<u8> {
    household.activities.iter().any(|a| a.hours.is_some()).then_some(())?;
    let mut counts = BTreeMap::new();
    for device in &household.devices {
        counts.entry(&device.id).or_insert(f64::from(device.count));
    }
    let expected = |hour: u8| -> f64 {
        let of = |a: &Activity| share_at(a, Some(hour)) * (a.down.0 + a.up.0) * counts.get(&a.device).unwrap_or(&0.0);
        household.activities.iter().map(of).filter(|e| e.is_finite()).sum()
    };
    let mut best = (0, expected(0));
    for hour in 1..24 {
        let demand = expected(hour);
        if demand > best.1 * (1.0 + 1e-12) {
            best = (hour, demand);
        }
    }
    Some(best.0)
}

/// Activities in their order, then recordings in that of devices.
pub(crate) fn entries<'a>(
    household: &'a Household,
    hour: Option<u8>,
    network: &Network<'a>,
    told: &mut Told,
) -> Vec<Entry<'a>> {
    let mut devices: BTreeMap<&Id, &Device> = BTreeMap::new();
    let mut hubs: BTreeMap<&Id, &Id> = BTreeMap::new();
    for things in &household.thing_networks {
        for device in &things.devices {
            hubs.entry(device).or_insert(&things.hub);
        }
    }
    let carrier = |device: &'a Device| match (device.attachment, hubs.get(&device.id)) {
        (Attachment::ThingNetwork, Some(hub)) => *hub,
        _ => &device.id,
    };
    for device in &household.devices {
        devices.entry(&device.id).or_insert(device);
        let served = network.joined(carrier(device)).is_some();
        // Small things beside Wi-Fi that nobody gave a hub are no matter of this network.
        if !served && device.attachment != Attachment::ThingNetwork {
            let message = format!("`{}` has no link: no radio or cable of the design reaches it", device.id);
            told.findings.push(Finding::of(&DEVICE_UNSERVED, vec![device.id.clone()], message));
        }
    }
    let mut all = Vec::new();
    for activity in &household.activities {
        let device = devices.get(&activity.device).copied();
        if let Some(wrong) = activity.hours.filter(|h| !(0.0..=24.0).contains(&h.from) || !(0.0..=24.0).contains(&h.to))
        {
            let message =
                format!("`{}` is left out: its hours are {} to {}; give 0 to 24", activity.id, wrong.from, wrong.to);
            let subjects = vec![activity.id.clone(), activity.device.clone()];
            told.findings.push(Finding::of(&IMPOSSIBLE_DEMAND, subjects, message));
            continue;
        }
        let Some(device) = possible(activity, device, &mut told.findings) else { continue };
        let joined = network.joined(carrier(device));
        if let Some(joined) = joined {
            above_link(activity, joined, &mut told.findings);
        }
        all.push(Entry {
            id: &activity.id,
            cause: Cause::Activity,
            kind: activity.kind,
            device,
            carrier: carrier(device),
            down: activity.down.0,
            up: activity.up.0,
            share: share_at(activity, hour),
            person: activity.person.as_ref().or(device.owner.as_ref()),
            greedy: activity.is_greedy(),
            max_delay: activity.max_delay.map(|d| d.0),
            max_loss: activity.max_loss,
            local: activity.local,
            store: None,
            served: joined.is_some(),
        });
    }
    for device in &household.devices {
        let Some(recording) = &device.recording else { continue };
        let sound = recording.rate.0.is_finite() && recording.rate.0 >= 0.0 && (0.0..=1.0).contains(&recording.share);
        let lost = recording.store.as_ref().filter(|store| !devices.contains_key(store));
        if !sound || lost.is_some() {
            let message = format!(
                "what `{}` records is left out: give a rate of 0 or more, a share of 0 to 1 and a store of the household",
                device.id
            );
            told.findings.push(Finding::of(&IMPOSSIBLE_DEMAND, vec![device.id.clone()], message));
            continue;
        }
        let store = recording.store.as_ref();
        let served = network.joined(carrier(device)).is_some() && store.is_none_or(|s| network.joined(s).is_some());
        all.push(Entry {
            id: &device.id,
            cause: Cause::Recording,
            kind: ActivityKind::Upload,
            device,
            carrier: carrier(device),
            down: 0.0,
            up: recording.rate.0,
            share: recording.share,
            person: None,
            greedy: false,
            max_delay: None,
            max_loss: None,
            local: false,
            store,
            served,
        });
    }
    all
}
