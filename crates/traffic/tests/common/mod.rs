//! A home in a few lines: devices and what they do, radios, cables and the line.

#![allow(dead_code, reason = "each test file uses a part")]

use findings::{Id, NoProgress};
use household::{Activity, ActivityKind, Attachment, Device, DeviceKind, Hours, Household, Recording};
use network::results::LinkRate;
use network::{LineQueue, RadioSetting};
use radio_profile::{Band, Generation};
use site::Site;
use traffic::hour::ActivityHour;
use traffic::{AirLink, HourInput, HourOutcome, OwnRadio, Uplink, UplinkKind, WiredLink, busy_hour};
use units::{BitsPerSecond, Dbm, Hertz, Seconds};
use wlan::{GuardInterval, MacConfig, Mode};

pub fn id(text: &str) -> Id {
    text.parse().unwrap()
}

pub fn mbps(value: f64) -> BitsPerSecond {
    BitsPerSecond::from_mbps(value)
}

/// 802.11ax with one stream at a width of 20 MHz for each step of four.
pub fn mode(mhz: f64, streams: u8, mcs: u8) -> Mode {
    let (generation, gi) = (Generation::Ax, GuardInterval::Ns800);
    Mode { generation, width: Hertz::from_mhz(mhz), streams, mcs, gi }
}

/// Rate of a mode alone on its channel, as links state it.
pub fn alone(mode: &Mode, band: Band) -> f64 {
    wlan::goodput(mode, band, &MacConfig::default()).unwrap().0 * wlan::delivered_share()
}

#[derive(Clone)]
pub struct Home {
    pub household: Household,
    pub site: Site,
    pub links: Vec<AirLink>,
    pub wired: Vec<WiredLink>,
    pub radios: Vec<RadioSetting>,
    pub own: Vec<OwnRadio>,
    pub hears: Option<Vec<(usize, usize)>>,
    pub uplinks: Vec<Uplink>,
    pub queue: LineQueue,
    pub seed: u64,
    pub evenings: u32,
}

impl Home {
    pub fn new() -> Self {
        Self {
            household: Household::default(),
            site: Site::default_for("DE", "2026-11-25".parse().unwrap()),
            links: vec![],
            wired: vec![],
            radios: vec![],
            own: vec![],
            hears: None,
            uplinks: vec![],
            queue: LineQueue::Plain,
            seed: 1,
            evenings: 400,
        }
    }

    pub fn line(mut self, down: f64, up: f64) -> Self {
        (self.site.lines[0].down, self.site.lines[0].up) = (mbps(down), mbps(up));
        self
    }

    pub fn radio(mut self, part: &str, band: Band, centre: f64, width: f64) -> Self {
        let (centre, width) = (Hertz::from_mhz(centre), Hertz::from_mhz(width));
        self.radios.push(RadioSetting { part: id(part), band, centre, width, eirp: Dbm(20.0) });
        self.own.push(OwnRadio { generation: Generation::Ax, beacons: 0.0 });
        self
    }

    pub fn device(mut self, name: &str, count: u32) -> Self {
        self.household.devices.push(Device {
            id: id(name),
            kind: DeviceKind::Laptop,
            count,
            owner: None,
            room: id("r1"),
            at: None,
            height: None,
            attachment: Attachment::Either,
            radio: None,
            must_stay_up: false,
            has_battery: false,
            power: None,
            recording: None,
        });
        self
    }

    /// Of the last device; the activity is `does-n`.
    pub fn does(mut self, kind: ActivityKind, down: f64, up: f64, share: f64) -> Self {
        let device = self.household.devices.last().unwrap().id.clone();
        self.household.activities.push(Activity {
            id: id(&format!("does-{}", self.household.activities.len() + 1)),
            kind,
            device,
            down: mbps(down),
            up: mbps(up),
            busy_share: share,
            person: None,
            hours: None,
            greedy: None,
            max_delay: None,
            max_loss: None,
            local: false,
            must_stay_up: false,
        });
        self
    }

    pub fn last(&mut self) -> &mut Activity {
        self.household.activities.last_mut().unwrap()
    }

    pub fn by(mut self, person: &str) -> Self {
        self.last().person = Some(id(person));
        self
    }

    pub fn between(mut self, from: f64, to: f64) -> Self {
        self.last().hours = Some(Hours { from, to });
        self
    }

    pub fn bears(mut self, milliseconds: f64) -> Self {
        self.last().max_delay = Some(Seconds(milliseconds / 1e3));
        self
    }

    pub fn records(mut self, rate: f64, share: f64, days: f64, store: Option<&str>, octets: Option<f64>) -> Self {
        let (rate, keep) = (mbps(rate), Seconds(days * 86_400.0));
        let recording = Recording { rate, share, keep, store: store.map(id), capacity_octets: octets };
        self.household.devices.last_mut().unwrap().recording = Some(recording);
        self
    }

    /// The last device by radio, with one mode both ways.
    pub fn air(mut self, part: &str, band: Band, mode: Mode) -> Self {
        let to = self.household.devices.last().unwrap().id.clone();
        let rate = BitsPerSecond(alone(&mode, band));
        let (level_down, level_up) = (Dbm(-50.0), Dbm(-60.0));
        let rate = LinkRate { to, from: id(part), band, level_down, level_up, down: rate, up: rate };
        self.links.push(AirLink { rate, down: Some(mode), up: Some(mode) });
        self
    }

    /// The last device by cable.
    pub fn wire(mut self, rate: f64, via: &[&str]) -> Self {
        let device = self.household.devices.last().unwrap().id.clone();
        self.wired.push(WiredLink { device, rate: mbps(rate), via: via.iter().map(|v| id(v)).collect() });
        self
    }

    pub fn uplink(mut self, part: &str, parent: &str, kind: UplinkKind) -> Self {
        self.uplinks.push(Uplink { part: id(part), parent: id(parent), kind });
        self
    }

    pub fn fair(mut self) -> Self {
        self.queue = LineQueue::Fair { share: 0.9 };
        self
    }

    pub fn run(&self) -> HourOutcome {
        busy_hour(
            &HourInput {
                subject: &id("d1"),
                household: &self.household,
                site: &self.site,
                links: &self.links,
                wired: &self.wired,
                radios: &self.radios,
                own: &self.own,
                hears: self.hears.as_deref(),
                uplinks: &self.uplinks,
                line_queue: self.queue,
                rts: false,
                seed: self.seed,
                evenings: self.evenings,
            },
            &NoProgress,
        )
        .unwrap()
    }
}

pub fn activity(outcome: &HourOutcome, n: usize) -> &ActivityHour {
    outcome.hour.activities.iter().find(|a| a.id.as_str() == format!("does-{n}")).unwrap()
}

pub fn rules(outcome: &HourOutcome) -> Vec<&str> {
    outcome.findings.iter().map(|f| f.rule.as_str()).collect()
}

pub fn figure<'a>(outcome: &'a HourOutcome, name: &str, subject: &str) -> &'a findings::Figure {
    let of = |f: &&findings::Figure| f.id == name && f.subject.as_str() == subject;
    outcome.figures.iter().find(of).unwrap_or_else(|| panic!("no {name} of {subject}"))
}

/// Something that is always the same: sampled or not.
pub fn close(value: f64, expected: f64, within: f64) {
    assert!((value - expected).abs() <= within, "{value} is not {expected}");
}
