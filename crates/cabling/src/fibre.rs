//! Glass fibre instead of copper, as a change to the job.

use equipment::id;
use findings::{Edit, Id};
use network::{Design, Feed, FeedSource, Link, Medium, PlacedPart};
use serde_json::json;

/// Edits that lay glass fibre in place of a copper cable between two placed parts: a converter beside each end, a cord from each
/// to its part, and the mains for both. Nothing if the link is no cable, an end is not a placed part of the design, or the far
/// part takes its power over this cable, since glass carries none.
///
/// The job's own figures then say whether it pays: the converters and their power are in the take-off.
#[must_use]
pub fn fibre_instead(design: &Design, link: &Link) -> Option<Vec<Edit>> {
    if !matches!(link.medium, Medium::Cable { .. }) {
        return None;
    }
    let (near, far) = (design.part(&link.from)?, design.part(&link.to)?);
    let over_it = |f: &Feed| {
        matches!(&f.source, FeedSource::Poe { part }
            if (f.part == link.to && part == &link.from) || (f.part == link.from && part == &link.to))
    };
    if design.feeds.iter().any(over_it) {
        return None;
    }
    let root = format!("designs/{}", design.id);
    let mut edits = Vec::new();
    let mut feeds = design.feeds.clone();
    let mut ends = Vec::new();
    for (part, side) in [(near, "near"), (far, "far")] {
        let name = Id::from_label(&format!("fibre-{side}-{}", link.id));
        let converter = PlacedPart {
            id: name.clone(),
            part: Id::from_label(id::MEDIA_CONVERTER),
            kept: false,
            aim: None,
            ..part.clone()
        };
        edits.push(Edit::insert(format!("{root}/parts"), json!(converter)));
        feeds.push(Feed { part: name.clone(), source: FeedSource::Mains { outlet: None } });
        ends.push(name);
    }
    let [near_end, far_end] = ends.as_slice() else { return None };
    let cord = |side: &str, from: &Id, to: &Id| {
        let id = Id::from_label(&format!("cord-{side}-{}", link.id));
        Edit::insert(
            format!("{root}/links"),
            json!(Link { id, from: from.clone(), to: to.clone(), medium: Medium::Cord }),
        )
    };
    let fibre = Medium::Cable { part: Id::from_label(id::CABLE_FIBRE) };
    edits.push(Edit::set(format!("{root}/links/{}/medium", link.id), json!(fibre)));
    edits.push(Edit::set(format!("{root}/links/{}/from", link.id), json!(near_end)));
    edits.push(Edit::set(format!("{root}/links/{}/to", link.id), json!(far_end)));
    edits.push(cord("near", &link.from, near_end));
    edits.push(cord("far", far_end, &link.to));
    edits.push(Edit::set(format!("{root}/feeds"), json!(feeds)));
    Some(edits)
}

/// The edit that makes a link another cable.
#[must_use]
pub(crate) fn recable(design: &Design, link: &Link, cable: &str) -> Vec<Edit> {
    let medium = Medium::Cable { part: Id::from_label(cable) };
    vec![Edit::set(format!("designs/{}/links/{}/medium", design.id, link.id), json!(medium))]
}
