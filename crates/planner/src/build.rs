//! Putting a design together: parts in places, links between them, and what feeds them.

use assessment::Home;
use building::{MountKind, OutletKind};
use findings::Id;
use household::{Attachment, Device, DeviceKind};
use network::{
    Design, Family, Feed, FeedSource, LineQueue, Link, Medium, Mounting, PlacedPart, RadioSetting, Segment,
    SegmentPurpose,
};
use units::Point3;

/// Longest cord between two parts in one room [m] (common practice, no source).
const LONGEST_CORD: f64 = 5.0;

/// Share of the line's rate at which a router holds it, so that the queue is the router's (common practice: 0.85 to 0.95).
const SHAPED_SHARE: f64 = 0.9;

/// The cable that fixed runs are made of.
const CABLE: &str = "cable-cat6";

/// A place for a part.
#[derive(Clone, Debug)]
pub(crate) struct Spot {
    /// Index of the room.
    pub room: usize,
    /// Where [m].
    pub at: Point3,
    /// How it is held.
    pub mounting: Mounting,
    /// The nearest mains outlet of the room.
    pub outlet: Option<Id>,
}

impl Spot {
    /// The spot of a mount point.
    pub fn of(home: &Home, mount: &building::MountPoint) -> Self {
        Self {
            room: mount.room,
            at: mount.at,
            mounting: match mount.kind {
                MountKind::Ceiling => Mounting::Ceiling,
                MountKind::Wall => Mounting::Wall,
                MountKind::Shelf => Mounting::Shelf,
            },
            outlet: mount.outlet.and_then(|i| home.resolved.outlets.get(i)).map(|o| o.outlet.clone()),
        }
    }

    /// The spot beside the demarcation point.
    pub fn at_demarcation(home: &Home) -> Self {
        let (room, at) = (home.demarcation_room, home.demarcation);
        let outlet = home
            .resolved
            .outlets
            .iter()
            .filter(|o| o.room == Some(room) && o.kind == OutletKind::Mains)
            .min_by(|a, b| a.at.distance(at).total_cmp(&b.at.distance(at)))
            .map(|o| o.outlet.clone());
        Self { room, at, mounting: Mounting::Shelf, outlet }
    }
}

/// A design in the making.
pub(crate) struct Builder<'a> {
    home: &'a Home,
    /// What has been put together.
    pub design: Design,
}

impl<'a> Builder<'a> {
    pub fn new(home: &'a Home, family: Family, name: impl Into<String>) -> Self {
        let design = Design {
            id: Id::from_label("new"),
            name: name.into(),
            family,
            parts: Vec::new(),
            links: Vec::new(),
            radios: Vec::new(),
            segments: Vec::new(),
            feeds: Vec::new(),
            line_queue: LineQueue::Plain,
            upkeep: network::Upkeep::default(),
        };
        Self { home, design }
    }

    /// Puts a part in a place; a kept part of the same id that is not used yet is used first.
    pub fn place(&mut self, name: &str, part: &Id, spot: &Spot) -> Id {
        let id = Id::from_label(name);
        let there = self.home.household.kept.iter().filter(|k| &k.part == part).count();
        let used = self.design.parts.iter().filter(|p| p.kept && &p.part == part).count();
        let stays = self.home.site.lines.iter().any(|l| l.fixed_box.as_ref() == Some(part));
        self.design.parts.push(PlacedPart {
            id: id.clone(),
            part: part.clone(),
            room: self.home.resolved.rooms[spot.room].id.clone(),
            at: spot.at,
            mounting: spot.mounting,
            aim: None,
            kept: used < there || (stays && used == 0),
        });
        id
    }

    /// Puts a part in a place and feeds it from the mains.
    pub fn place_on_mains(&mut self, name: &str, part: &Id, spot: &Spot) -> Id {
        let id = self.place(name, part, spot);
        self.feed(&id, FeedSource::Mains { outlet: spot.outlet.clone() });
        id
    }

    pub fn feed(&mut self, part: &Id, source: FeedSource) {
        self.design.feeds.push(Feed { part: part.clone(), source });
    }

    /// Joins a part to a part or device by wire: a cord where both are near each other in one room, else a cable.
    pub fn wire(&mut self, from: &Id, to: &Id) {
        let medium = match (self.place_of(from), self.place_of(to)) {
            (Some((room, at)), Some((other_room, other_at)))
                if room == other_room && at.distance(other_at) <= LONGEST_CORD =>
            {
                Medium::Cord
            }
            _ => return self.cable(from, to),
        };
        self.link(from, to, medium);
    }

    /// Joins two parts by a fixed cable.
    pub fn cable(&mut self, from: &Id, to: &Id) {
        self.link(from, to, Medium::Cable { part: Id::from_label(CABLE) });
    }

    pub fn link(&mut self, from: &Id, to: &Id, medium: Medium) {
        let id = Id::from_label(&format!("l{}", self.design.links.len() + 1));
        self.design.links.push(Link { id, from: from.clone(), to: to.clone(), medium });
    }

    /// Wires every one of a device, and feeds it over its cable if that is how it is powered and the part gives power.
    pub fn wire_device(&mut self, from: &Id, device: &Device) {
        for _ in 0..device.count {
            self.wire(from, &device.id);
        }
        let part = self.design.part(from).and_then(|p| self.home.catalog.get(&p.part));
        if device.over_cable().is_some() && part.is_some_and(|p| p.poe_supply.is_some()) {
            self.feed(&device.id, FeedSource::Poe { part: from.clone() });
        }
    }

    /// Room and place of a part or device.
    fn place_of(&self, id: &Id) -> Option<(Id, Point3)> {
        if let Some(part) = self.design.part(id) {
            return Some((part.room.clone(), part.at));
        }
        let device = self.home.household.devices.iter().find(|d| &d.id == id)?;
        Some((device.room.clone(), self.home.device_place(device)?))
    }

    /// Keeps guests, things and cameras apart from the household's own devices.
    pub fn separate_segments(&mut self) {
        let of = |kinds: &[DeviceKind]| -> Vec<Id> {
            let ours = |d: &&Device| kinds.contains(&d.kind) && d.attachment != Attachment::ThingNetwork;
            self.home.household.devices.iter().filter(ours).map(|d| d.id.clone()).collect()
        };
        let segment = |name: &str, purpose, devices| Segment { id: Id::from_label(name), purpose, devices };
        let cameras = of(&[DeviceKind::Camera, DeviceKind::Doorbell]);
        let mut segments = vec![
            segment("home", SegmentPurpose::Home, Vec::new()),
            segment("things", SegmentPurpose::Things, of(&[DeviceKind::Thing])),
            segment("guests", SegmentPurpose::Guests, Vec::new()),
        ];
        if !cameras.is_empty() {
            segments.push(segment("cameras", SegmentPurpose::Cameras, cameras));
        }
        self.design.segments = segments;
    }

    /// The finished design, its radios set.
    pub fn finish(mut self, radios: Vec<RadioSetting>) -> Design {
        if self.home.household.wishes.separate_segments && self.design.segments.is_empty() {
            self.separate_segments();
        }
        self.design.radios = radios;
        self.design.line_queue = self.line_queue();
        self.design
    }

    /// A fair queue where the design has a router that can hold both directions of the line at once; else what the provider's box has.
    fn line_queue(&self) -> LineQueue {
        let Some(line) = self.home.site.lines.first() else { return LineQueue::Plain };
        let parts = self.design.parts.iter().filter_map(|placed| self.home.catalog.get(&placed.part));
        let most = parts.filter_map(|part| part.shapes_line).map(|rate| rate.0).fold(0.0, f64::max);
        if most >= SHAPED_SHARE * (line.down.0 + line.up.0) {
            LineQueue::Fair { share: SHAPED_SHARE }
        } else {
            LineQueue::Plain
        }
    }
}
