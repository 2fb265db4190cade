//! Plain questions about a design: what lies on the way, what is on which battery.

use equipment::PartKind;
use findings::{Edit, Id};
use household::Device;
use network::{Feed, FeedSource};
use serde_json::json;
use site::Line;

use crate::load::LONGEST_CHAIN;
use crate::model::Model;

impl<'a> Model<'a> {
    /// Devices that must stay up, by themselves or for what is done with them.
    pub(crate) fn protected_devices(&self) -> Vec<&'a Device> {
        let household = self.input.household;
        let by_activity = |d: &Device| household.activities.iter().any(|a| a.must_stay_up && a.device == d.id);
        household.devices.iter().filter(|d| d.must_stay_up || by_activity(d)).collect()
    }

    /// The part that a device is joined to: by cable, or the first that can serve it.
    pub(crate) fn joined_to(&self, device: &Id) -> Option<&'a Id> {
        let input = self.input;
        let by_cable = input.design.links.iter().find(|l| &l.to == device).map(|l| &l.from);
        by_cable.or_else(|| input.serving.iter().find(|s| &s.0 == device).and_then(|s| s.1.first()))
    }

    /// The parts on the first way from a part to the line, nearest first.
    pub(crate) fn way(&self, placed: &'a Id) -> Vec<&'a Id> {
        let design = self.input.design;
        let mut way = vec![placed];
        while let Some(link) = way.last().and_then(|at| design.links.iter().find(|l| &&l.to == at)) {
            if way.len() >= LONGEST_CHAIN || way.contains(&&link.from) {
                break;
            }
            way.push(&link.from);
        }
        way
    }

    /// All parts that something that must stay up needs, each once.
    pub(crate) fn protected_parts(&self) -> Vec<Id> {
        let mut parts: Vec<Id> = Vec::new();
        for device in self.protected_devices() {
            for part in self.joined_to(&device.id).map(|p| self.way(p)).unwrap_or_default() {
                if !parts.contains(part) && !self.is_passive(part) {
                    parts.push(part.clone());
                }
            }
        }
        parts
    }

    /// The battery supply that a part or device hangs on, itself or through the part that feeds it over its cable.
    pub(crate) fn battery_of(&self, id: &Id) -> Option<&'a Id> {
        let mut at = id;
        for _ in 0..LONGEST_CHAIN {
            match self.input.design.feeds.iter().find(|f| &f.part == at).map(|f| &f.source) {
                Some(FeedSource::Battery { part }) => return Some(part),
                Some(FeedSource::Poe { part }) => at = part,
                _ => return None,
            }
        }
        None
    }

    /// True if a part is fed from a battery, or needs no feed.
    pub(crate) fn is_on_battery(&self, id: &Id) -> bool {
        self.battery_of(id).is_some() || self.is_passive(id)
    }

    /// True if a part is fed over its data cable.
    pub(crate) fn is_over_cable(&self, id: &Id) -> bool {
        self.input.design.feeds.iter().any(|f| &f.part == id && matches!(f.source, FeedSource::Poe { .. }))
    }

    pub(crate) fn is_passive(&self, id: &Id) -> bool {
        self.kind_of(id).is_some_and(crate::builder::is_passive)
    }

    pub(crate) fn kind_of(&self, id: &Id) -> Option<PartKind> {
        self.input.design.part(id).and_then(|p| (self.input.parts)(&p.part)).map(|p| p.kind)
    }

    /// True if a part has a port towards the home that no link uses.
    pub(crate) fn has_free_port(&self, placed: &Id) -> bool {
        let part = self.input.design.part(placed).and_then(|p| (self.input.parts)(&p.part));
        let used = self.input.design.links.iter().filter(|l| &l.from == placed).count();
        part.is_some_and(|p| used < p.ports.lan as usize)
    }

    /// The part that ends a line on the router's way: the last of it.
    pub(crate) fn head_of(&self, line: &Line) -> Option<&'a Id> {
        let stated = self.facts.terminations.iter().find(|t| t.line == line.id);
        match stated {
            Some(stated) => Some(&stated.part),
            None => self.way(self.router?).last().copied(),
        }
    }

    /// Feeds with these parts moved to a battery supply, as one edit of the job. Parts fed over their data cables get
    /// their feeder moved.
    pub(crate) fn feed_from(&self, supply: &Id, parts: &[Id]) -> Vec<Edit> {
        let mut feeds = self.input.design.feeds.clone();
        for part in parts {
            let mut at = part;
            for _ in 0..LONGEST_CHAIN {
                match self.input.design.feeds.iter().find(|f| &f.part == at).map(|f| &f.source) {
                    Some(FeedSource::Poe { part }) => at = part,
                    _ => break,
                }
            }
            if at == supply {
                continue;
            }
            feeds.retain(|f| &f.part != at);
            feeds.push(Feed { part: at.clone(), source: FeedSource::Battery { part: supply.clone() } });
        }
        vec![Edit::set(format!("designs/{}/feeds", self.input.design.id), json!(feeds))]
    }
}
