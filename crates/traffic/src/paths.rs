//! Which resources a device's traffic passes. No probabilities, no rates.

use std::collections::BTreeMap;

use findings::{Finding, Id};
use network::RadioSetting;
use network::results::LinkRate;
use radio_profile::Band;

use crate::evening::HourInput;
use crate::rules::{CIRCULAR_UPLINK, UNSET_RADIO};
use crate::{Resource, Uplink, UplinkKind, WiredLink};

/// The resources of an input, numbered: channels by radio, then uplinks two by two (down, up; radio links use the first), then the line.
pub(crate) struct Network<'a> {
    radios: &'a [RadioSetting],
    uplinks: Vec<&'a Uplink>,
    uplink_of: BTreeMap<&'a Id, usize>,
    links: BTreeMap<&'a Id, &'a LinkRate>,
    wired: BTreeMap<&'a Id, &'a WiredLink>,
    /// For each radio, those of the home that share spectrum with it, itself included.
    sharing: Vec<Vec<usize>>,
    line: Option<&'a site::Line>,
}

pub(crate) fn unset(part: &Id, band: Band, findings: &mut Vec<Finding>) {
    let known = findings.iter().any(|f| f.rule == UNSET_RADIO.id && f.subjects.first() == Some(part));
    if !known {
        let message =
            format!("`{part}` serves devices in {} GHz but no channel is set; its time is not reckoned", band.label());
        findings.push(Finding::of(&UNSET_RADIO, vec![part.clone()], message));
    }
}

/// How a device is joined.
#[derive(Clone, Copy)]
pub(crate) enum Joined<'a> {
    Air(&'a LinkRate),
    Wire(&'a WiredLink),
}

impl<'a> Network<'a> {
    pub fn new(input: &HourInput<'a>) -> Self {
        let mut uplinks: Vec<&Uplink> = Vec::new();
        let mut uplink_of = BTreeMap::new();
        for uplink in input.uplinks {
            // The first of two uplinks of one part counts, as elsewhere.
            if !uplink_of.contains_key(&uplink.part) {
                uplink_of.insert(&uplink.part, uplinks.len());
                uplinks.push(uplink);
            }
        }
        let mut links = BTreeMap::new();
        for link in input.links {
            links.entry(&link.rate.to).or_insert(&link.rate);
        }
        let mut wired = BTreeMap::new();
        for link in input.wired {
            wired.entry(&link.device).or_insert(link);
        }
        let edges = |s: &RadioSetting| (s.centre.0 - s.width.0 / 2.0, s.centre.0 + s.width.0 / 2.0);
        let overlap = |a: &RadioSetting, b: &RadioSetting| {
            let ((c, d), (e, f)) = (edges(a), edges(b));
            c < f && e < d
        };
        let sharing = input
            .radios
            .iter()
            .enumerate()
            .map(|(i, a)| {
                let with = input.radios.iter().enumerate().filter(|(j, b)| i == *j || overlap(a, b));
                with.map(|(j, _)| j).collect()
            })
            .collect();
        Self { radios: input.radios, uplinks, uplink_of, links, wired, sharing, line: input.site.lines.first() }
    }

    pub fn joined(&self, device: &Id) -> Option<Joined<'a>> {
        let wire = self.wired.get(device).map(|w| Joined::Wire(w));
        wire.or_else(|| self.links.get(device).map(|l| Joined::Air(l)))
    }

    pub fn resources(&self) -> Vec<Resource> {
        let mut all: Vec<Resource> =
            self.radios.iter().map(|r| Resource::Channel { part: r.part.clone(), band: r.band }).collect();
        for uplink in &self.uplinks {
            let part = uplink.part.clone();
            if matches!(uplink.kind, UplinkKind::Radio { .. }) {
                all.push(Resource::RadioUplink { part: part.clone() });
            } else {
                all.push(Resource::CableDown { part: part.clone() });
            }
            all.push(Resource::CableUp { part });
        }
        if let Some(line) = self.line {
            all.push(Resource::LineDown { line: line.id.clone() });
            all.push(Resource::LineUp { line: line.id.clone() });
        }
        all
    }

    pub fn radio(&self, part: &Id, band: Band) -> Option<usize> {
        self.radios.iter().position(|r| &r.part == part && r.band == band)
    }

    /// Uplinks on the way from a part to the line, nearest first.
    fn climb(&self, from: &Id, findings: &mut Vec<Finding>) -> Vec<usize> {
        let mut way: Vec<usize> = Vec::new();
        let mut at = from;
        while let Some(idx) = self.uplink_of.get(at).copied() {
            if way.contains(&idx) {
                let message =
                    format!("the uplinks of `{from}` lead in a circle through `{at}` and never reach the line");
                let known = findings.iter().any(|f| f.rule == CIRCULAR_UPLINK.id && f.subjects.first() == Some(from));
                if !known {
                    findings.push(Finding::of(&CIRCULAR_UPLINK, vec![from.clone(), at.clone()], message));
                }
                return way;
            }
            way.push(idx);
            match self.uplinks.get(idx) {
                Some(uplink) => at = &uplink.parent,
                None => return way,
            }
        }
        way
    }

    /// Uplinks on the way from a device to the line, nearest first.
    pub fn way(&self, joined: Joined, findings: &mut Vec<Finding>) -> Vec<usize> {
        match joined {
            Joined::Air(link) => self.climb(&link.from, findings),
            Joined::Wire(wire) => {
                let mut way = wire.via.first().map_or_else(Vec::new, |first| self.climb(first, findings));
                for part in &wire.via {
                    if let Some(idx) = self.uplink_of.get(part).filter(|idx| !way.contains(idx)) {
                        way.push(*idx);
                    }
                }
                way
            }
        }
    }

    /// Radios of the home that share spectrum with one, itself included.
    pub fn sharing(&self, radio: usize) -> &[usize] {
        self.sharing.get(radio).map_or(&[], Vec::as_slice)
    }

    /// Uplinks in their order, each part's first.
    pub fn uplinks(&self) -> impl Iterator<Item = &'a Uplink> + '_ {
        self.uplinks.iter().copied()
    }

    pub fn uplink(&self, idx: usize) -> Option<&'a Uplink> {
        self.uplinks.get(idx).copied()
    }

    /// The main line.
    pub fn line(&self) -> Option<&'a site::Line> {
        self.line
    }
}
