//! Findings on routes.

use building::{NoGoReason, Resolved};
use findings::{Finding, Id, Rule, Severity, Source};
use network::Link;

use super::barriers::Barrier;
use super::ends::{End, NoEnd};
use super::graph::Bar;

/// An end of a cable lies outside the home.
pub const END_OUTSIDE: Rule = Rule {
    id: "cabling.end-outside",
    severity: Severity::Fails,
    summary: "a cable ends outside the home",
    limit: "inside, or within 1 m of an outer wall",
    cite: Source::common_practice,
};

/// An end of a cable has no place.
pub const END_WITHOUT_PLACE: Rule = Rule {
    id: "cabling.end-without-place",
    severity: Severity::Fails,
    summary: "a cable ends at something that is not there, or has no place",
    limit: "both ends placed",
    cite: || Source::model("routes begin and end at places"),
};

/// No way leads to an end.
pub const UNREACHABLE: Rule = Rule {
    id: "cabling.unreachable",
    severity: Severity::Fails,
    summary: "no permitted way leads to an end of a cable",
    limit: "a way without barriers",
    cite: || Source::model("ways laid in the resolved home"),
};

/// A fixed cable is longer than a permanent link may be.
pub const PERMANENT_LINK_TOO_LONG: Rule = Rule {
    id: "cabling.permanent-link-too-long",
    severity: Severity::Fails,
    summary: "a fixed cable is longer than a permanent link may be",
    limit: "90 m",
    cite: || Source::standard("ISO/IEC 11801-1: permanent link"),
};

/// A cable passes many joists.
pub const MANY_JOISTS: Rule = Rule {
    id: "cabling.many-joists",
    severity: Severity::Risk,
    summary: "a cable passes holes in many joists, which takes floor or ceiling up",
    limit: "12 joists",
    cite: Source::common_practice,
};

/// Longest permanent link [m]: ISO/IEC 11801-1.
pub(super) const PERMANENT_LINK: f64 = 90.0;

pub(super) fn no_end(link: &Link, id: &Id, why: &NoEnd, home: &Resolved) -> Finding {
    let subjects = vec![id.clone(), link.id.clone()];
    match why {
        NoEnd::Unknown => Finding::of(
            &END_WITHOUT_PLACE,
            subjects,
            format!("cable `{}` ends at `{id}`, which is neither a placed part nor a device", link.id),
        )
        .remedy(format!("place `{id}`, or correct the link"), Vec::new()),
        NoEnd::NoPlace(missing) => Finding::of(
            &END_WITHOUT_PLACE,
            subjects,
            format!("cable `{}` ends at `{id}`, which lacks {missing}", link.id),
        ),
        NoEnd::Outside(at, wall) => {
            let behind = wall.as_ref().map_or_else(String::new, |w| format!(", behind wall `{w}`"));
            let mut finding = Finding::of(
                &END_OUTSIDE,
                subjects,
                format!("cable `{}` ends at `{id}`, which lies outside the home{behind}", link.id),
            )
            .remedy("move it into a room, or onto an outer wall", Vec::new());
            if let Some(storey) = home.storey_at(at.z).and_then(|s| home.storeys.get(s)) {
                finding = finding.at(storey.id.clone(), at.plan());
            }
            finding
        }
    }
}

pub(super) fn unreachable(link: &Link, barrier: &Barrier, end: &End, home: &Resolved) -> Finding {
    let mut subjects = vec![link.to.clone(), link.id.clone()];
    let (text, remedy) = match barrier {
        Barrier::NoDrilling => (
            format!(
                "`{}` cannot be reached from `{}` without drilling, and nothing may be drilled: no raceway or gap under a door leads there",
                link.to, link.from
            ),
            "ask for leave to drill, or join it by radio",
        ),
        Barrier::Bars(bars) => {
            subjects.extend(bars.iter().map(|b| b.element().clone()));
            let names: Vec<String> = bars.iter().map(name).collect();
            (
                format!("every way from `{}` to `{}` passes {}", link.from, link.to, names.join(" and ")),
                "move it, or join it by radio",
            )
        }
        Barrier::Nothing => (
            format!("no wall, floor or surface joins `{}` to `{}`", link.from, link.to),
            "say in the document how the spaces there are joined",
        ),
    };
    let mut finding = Finding::of(&UNREACHABLE, subjects, text).remedy(remedy, Vec::new());
    if let Some(storey) = home.storeys.get(end.storey) {
        finding = finding.at(storey.id.clone(), end.at.plan());
    }
    finding
}

fn name(bar: &Bar) -> String {
    match bar {
        Bar::WetRoom(id) => format!("the wet room `{id}`"),
        Bar::Zone(id, reason) => {
            let what = match reason {
                NoGoReason::Flue => "a flue",
                NoGoReason::Structure => "structure",
                NoGoReason::Pipes => "pipes",
                NoGoReason::Mains => "electrical equipment",
                NoGoReason::HazardousMaterial => "hazardous material",
                NoGoReason::Other => "not to be touched",
            };
            format!("the zone `{id}` ({what})")
        }
        Bar::Object(id) => format!("the fixed object `{id}`"),
        Bar::Tensioned(id) => format!("the tensioned slab `{id}`"),
        Bar::PartyWall(id) => format!("the party wall `{id}`"),
    }
}
