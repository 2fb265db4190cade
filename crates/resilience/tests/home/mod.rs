//! Small designs and households for the tests of this crate.
#![allow(dead_code)]

use equipment::{Catalog, Part};
use findings::Id;
use household::{Activity, ActivityKind, Attachment, Device, DeviceKind, Household};
use network::{Design, Family, Feed, FeedSource, Link, Medium, Mounting, PlacedPart};
use resilience::{Facts, Input, Model, Outcome, Scope, Staying, evaluate};
use site::Site;
use units::{BitsPerSecond, Point3};

pub fn id(text: &str) -> Id {
    text.parse().expect("a well-formed id")
}

pub fn placed(name: &str, part: &str) -> PlacedPart {
    PlacedPart {
        id: id(name),
        part: id(part),
        room: id("hall"),
        at: Point3::new(0.0, 0.0, 1.0),
        mounting: Mounting::Shelf,
        aim: None,
        kept: false,
    }
}

pub fn design(parts: &[(&str, &str)], links: &[(&str, &str)], feeds: Vec<(&str, FeedSource)>) -> Design {
    Design {
        id: id("d"),
        name: "test".into(),
        family: Family::ProtectedPath,
        parts: parts.iter().map(|(name, part)| placed(name, part)).collect(),
        links: links
            .iter()
            .enumerate()
            .map(|(i, (from, to))| Link { id: id(&format!("l{i}")), from: id(from), to: id(to), medium: Medium::Cord })
            .collect(),
        radios: vec![],
        segments: vec![],
        feeds: feeds.into_iter().map(|(part, source)| Feed { part: id(part), source }).collect(),
        line_queue: network::LineQueue::Plain,
        upkeep: network::Upkeep::default(),
    }
}

pub fn device(name: &str, kind: DeviceKind, must_stay_up: bool, has_battery: bool) -> Device {
    Device {
        id: id(name),
        kind,
        count: 1,
        owner: None,
        room: id("hall"),
        at: None,
        height: None,
        attachment: Attachment::Either,
        radio: None,
        must_stay_up,
        has_battery,
        power: None,
        recording: None,
    }
}

pub fn activity(name: &str, device: &str, local: bool) -> Activity {
    Activity {
        id: id(name),
        kind: ActivityKind::RemoteWork,
        device: id(device),
        down: BitsPerSecond(1e6),
        up: BitsPerSecond(1e6),
        busy_share: 0.5,
        person: None,
        hours: None,
        greedy: None,
        max_delay: None,
        max_loss: None,
        local,
        must_stay_up: false,
    }
}

pub fn laptop() -> Household {
    Household {
        devices: vec![device("laptop", DeviceKind::Laptop, true, true)],
        activities: vec![activity("work", "laptop", false)],
        ..Household::default()
    }
}

pub fn site() -> Site {
    Site::default_for("US", "2026-11-25".parse().expect("a date"))
}

pub fn on_battery(part: &str) -> FeedSource {
    FeedSource::Battery { part: id(part) }
}

pub fn over_cable(part: &str) -> FeedSource {
    FeedSource::Poe { part: id(part) }
}

/// All that a model is made of, to change before asking.
pub struct Home {
    pub design: Design,
    pub household: Household,
    pub site: Site,
    pub serving: Vec<(Id, Vec<Id>)>,
    pub facts: Facts,
    pub catalog: Catalog,
    /// Parts that go before the catalogue's, unchecked.
    pub own: Vec<Part>,
}

impl Home {
    pub fn new(design: Design, household: Household) -> Self {
        Self {
            design,
            household,
            site: site(),
            serving: vec![],
            facts: Facts::default(),
            catalog: Catalog::builtin(),
            own: vec![],
        }
    }

    pub fn evaluate(&self) -> Outcome {
        let parts =
            |id: &Id| -> Option<&Part> { self.own.iter().find(|p| &p.id == id).or_else(|| self.catalog.get(id)) };
        evaluate(&Input {
            design: &self.design,
            household: &self.household,
            site: &self.site,
            parts: &parts,
            serving: &self.serving,
        })
    }

    pub fn ask<T>(&self, question: impl FnOnce(&Model) -> T) -> T {
        let parts =
            |id: &Id| -> Option<&Part> { self.own.iter().find(|p| &p.id == id).or_else(|| self.catalog.get(id)) };
        let input = Input {
            design: &self.design,
            household: &self.household,
            site: &self.site,
            parts: &parts,
            serving: &self.serving,
        };
        question(&Model::new(input, &self.facts, Scope::All))
    }

    pub fn staying(&self) -> Staying {
        self.ask(|model| model.staying())
    }
}

/// A home with two access points, a PoE switch and a battery: every kind of sharing in one.
pub fn full() -> Home {
    let design = design(
        &[
            ("ont", "ont-1g"),
            ("router", "router-ax"),
            ("switch", "switch-8-poe"),
            ("ap-1", "ap-ax-2x2-ceiling"),
            ("ap-2", "ap-ax-2x2-ceiling"),
            ("ups", "battery-ac-900va"),
            ("shed", "switch-5"),
        ],
        &[
            ("ont", "router"),
            ("router", "switch"),
            ("switch", "ap-1"),
            ("switch", "ap-2"),
            ("switch", "shed"),
            ("switch", "desktop"),
            ("shed", "camera"),
            ("router", "tv"),
        ],
        vec![
            ("ont", on_battery("ups")),
            ("router", on_battery("ups")),
            ("switch", on_battery("ups")),
            ("ap-1", over_cable("switch")),
            ("ap-2", over_cable("switch")),
            ("shed", FeedSource::Mains { outlet: Some(id("outlet-shed")) }),
        ],
    );
    let household = Household {
        devices: vec![
            device("laptop", DeviceKind::Laptop, true, true),
            device("desktop", DeviceKind::Desktop, true, false),
            device("camera", DeviceKind::Camera, false, false),
            device("tv", DeviceKind::Television, false, false),
        ],
        activities: vec![
            activity("work", "laptop", false),
            activity("backup", "laptop", true),
            activity("desk", "desktop", false),
            activity("watch", "tv", false),
        ],
        ..Household::default()
    };
    let mut home = Home::new(design, household);
    home.serving = vec![(id("laptop"), vec![id("ap-1"), id("ap-2")])];
    home
}
