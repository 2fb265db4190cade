//! The parts of a design with their rooms, and how they are joined.

use building::Resolved;
use equipment::Catalog;
use findings::Id;
use network::{Design, FeedSource, Medium, Mounting, PlacedPart};

use super::text::Page;

/// Names for ids, from the home and the catalogue.
pub struct Names<'a> {
    /// The home.
    pub home: &'a Resolved,
    /// Parts.
    pub catalog: &'a Catalog,
}

impl Names<'_> {
    /// A room's name, with its storey where there are several.
    pub fn room(&self, id: &findings::Id) -> String {
        let Some(room) = self.home.rooms.iter().find(|r| &r.id == id) else { return id.to_string() };
        match self.home.storeys.get(room.storey) {
            Some(storey) if self.home.storeys.len() > 1 => format!("{} ({})", room.name, storey.name),
            _ => room.name.clone(),
        }
    }

    /// A part's name.
    pub fn part(&self, id: &findings::Id) -> String {
        self.catalog.get(id).map_or_else(|| id.to_string(), |p| p.name.clone())
    }
}

fn held(mounting: Mounting) -> &'static str {
    match mounting {
        Mounting::Ceiling => "under the ceiling",
        Mounting::Wall => "on the wall",
        Mounting::Shelf => "standing",
        Mounting::Panel => "in the panel",
    }
}

/// Lists parts in their rooms, then the links that are laid or go by radio.
pub fn parts(page: &mut Page, design: &Design, names: &Names<'_>) {
    for part in &design.parts {
        page.hanging("  ", "      ", &describe(part, design, names));
    }
    let cables = design.links.iter().filter(|l| matches!(l.medium, Medium::Cable { .. })).count();
    let cords = design.links.iter().filter(|l| matches!(l.medium, Medium::Cord)).count();
    let mut joined = Vec::new();
    if cables > 0 {
        joined.push(format!("{} laid in the building", super::text::count(cables, "cable")));
    }
    if cords > 0 {
        joined.push(super::text::count(cords, "cord"));
    }
    for link in &design.links {
        if let Medium::Radio { band } = &link.medium {
            joined.push(format!("{} to {} by radio at {}", link.from, link.to, band_name(*band)));
        }
    }
    if !joined.is_empty() {
        page.hanging("  ", "      ", &format!("Joined by {}.", joined.join(", ")));
    }
    let is_device = |id: &Id| design.part(id).is_none();
    for feed in design.feeds.iter().filter(|f| is_device(&f.part)) {
        let from = match &feed.source {
            FeedSource::Poe { part } => format!("powered over its cable by {part}"),
            FeedSource::Battery { part } => format!("on battery {part}"),
            FeedSource::Mains { .. } => continue,
        };
        page.hanging("  ", "      ", &format!("{} is {from}.", feed.part));
    }
    if !design.segments.is_empty() {
        let purposes: Vec<String> = design.segments.iter().map(|s| format!("{:?}", s.purpose).to_lowercase()).collect();
        page.hanging("  ", "      ", &format!("Segments: {}.", purposes.join(", ")));
    }
}

fn describe(part: &PlacedPart, design: &Design, names: &Names<'_>) -> String {
    let mut text =
        format!("{}  {}, {}, {}", part.id, names.part(&part.part), names.room(&part.room), held(part.mounting));
    if part.kept {
        text.push_str(", already there");
    }
    match design.feeds.iter().find(|f| f.part == part.id).map(|f| &f.source) {
        Some(FeedSource::Poe { part }) => text.push_str(&format!(", powered over its cable by {part}")),
        Some(FeedSource::Battery { part }) => text.push_str(&format!(", on battery {part}")),
        Some(FeedSource::Mains { outlet: Some(outlet) }) => text.push_str(&format!(", outlet {outlet}")),
        Some(FeedSource::Mains { outlet: None }) | None => {}
    }
    let radios: Vec<String> = design
        .radios
        .iter()
        .filter(|r| r.part == part.id)
        .map(|r| {
            format!(
                "{} at {:.0} MHz, {:.0} MHz wide, {:.0} dBm EIRP",
                band_name(r.band),
                r.centre.mhz(),
                r.width.mhz(),
                r.eirp.0
            )
        })
        .collect();
    if !radios.is_empty() {
        text.push_str(&format!(" [{}]", radios.join("; ")));
    }
    text
}

/// A band's name for people.
pub fn band_name(band: radio_profile::Band) -> &'static str {
    match band {
        radio_profile::Band::Ghz2 => "2.4 GHz",
        radio_profile::Band::Ghz5 => "5 GHz",
        radio_profile::Band::Ghz6 => "6 GHz",
    }
}
