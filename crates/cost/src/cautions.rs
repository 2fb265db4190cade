//! What the work needs care with: only what the design contains, and never instead of the local code.

use equipment::PartKind;
use network::results::Caution;
use network::{FeedSource, Medium};
use site::LineKind;

use crate::quote::{Input, Quote};
use crate::terms::Access;

/// A caution as it is kept here.
#[derive(Clone, Copy)]
struct Known {
    work: &'static str,
    text: &'static str,
}

/// Cautions for the work that a design contains, in the order of the work.
///
/// They are common practice, without a citable source.
#[must_use]
pub fn cautions(input: &Input, quote: &Quote) -> Vec<Caution> {
    let design = input.design;
    let new = || design.parts.iter().filter(|p| !p.kept);
    let kind = |id| input.catalog.get(id).map(|p| p.kind);
    let has = |wanted: PartKind| new().any(|p| kind(&p.part) == Some(wanted));
    let holes = quote.holes;
    let fed = |check: fn(&FeedSource) -> bool| {
        design.feeds.iter().filter(|f| new().any(|p| p.id == f.part)).any(|f| check(&f.source))
    };
    let radios = new().any(|p| input.catalog.get(&p.part).is_some_and(|part| part.radio.is_some()));
    let fibre = input.site.lines.iter().any(|l| l.kind == LineKind::Fibre);
    let cables = design.links.iter().any(|l| matches!(l.medium, Medium::Cable { .. }));
    let list = [
        (holes.any(), DRILLING),
        (holes.any(), DUST),
        (holes.penetrations() > 0, STRUCTURE),
        (holes.ceiling_mounts > 0, LADDER),
        (quote.access.contains(&Access::AtticOrCrawlSpace), ATTIC),
        (cables, CABLE),
        (fed(|s| matches!(s, FeedSource::Mains { outlet: None })), NEW_OUTLET),
        (holes.any() || fed(|s| matches!(s, FeedSource::Mains { .. })), MAINS),
        (holes.sealed > 0, FIRE),
        (fed(|s| matches!(s, FeedSource::Poe { .. })), POE),
        (has(PartKind::BatterySupply), BATTERY),
        (radios, RADIO),
        (fibre && (has(PartKind::LineTermination) || has(PartKind::Gateway)), LASER),
        (has(PartKind::LineTermination) || has(PartKind::Gateway) || has(PartKind::WirelessRouter), ALARMS),
    ];
    let caution = |known: Known| Caution { work: known.work.to_owned(), text: known.text.to_owned() };
    list.into_iter().filter(|(applies, _)| *applies).map(|(_, known)| caution(known)).collect()
}

const DRILLING: Known = Known {
    work: "drilling",
    text: "Find wires, pipes, gas and underfloor heating before drilling; check both sides; use a depth stop.",
};
const DUST: Known = Known {
    work: "drilling in old finishes",
    text: "Textured coatings, floor tiles and pipe lagging of older homes may hold asbestos, old paint lead: if in doubt, \
           stop, have it tested and leave it to a specialist. Extract dust from masonry and wear a mask.",
};
const STRUCTURE: Known = Known {
    work: "holes through walls and floors",
    text: "Do not notch or drill joists, studs, beams or prestressed concrete beyond what the code or an engineer allows.",
};
const LADDER: Known = Known {
    work: "work at the ceiling",
    text: "Set a leaning ladder 1 in 4, keep three points of contact and keep clear of lamps' live parts.",
};
const ATTIC: Known = Known {
    work: "attic or crawl space",
    text: "Step on joists only; do not work alone; beware of heat, bad air, insulation fibres, nails and poor light.",
};
const CABLE: Known = Known {
    work: "pulling cable",
    text: "Cable jackets must have the fire class that the code asks for; keep clear of flues, smoke shafts and escape \
           routes; never share a box or conduit with mains.",
};
const NEW_OUTLET: Known = Known {
    work: "new mains outlet",
    text: "No mains outlet is known near a part that needs one: a licensed electrician must fit it. No extension strips \
           in a row.",
};
const MAINS: Known = Known {
    work: "mains",
    text: "Take wiring as live until proved dead; circuits, bonding and panels are work for licensed electricians only.",
};
const FIRE: Known = Known {
    work: "fire-rated walls and floors",
    text: "Close every hole through a fire-rated wall or floor with a tested seal for that wall or floor.",
};
const POE: Known = Known {
    work: "power over data cables",
    text: "Use solid copper of 24 AWG or thicker for fixed cables, never copper-clad aluminium; keep bundles to 24 \
           cables; do not unplug under high load.",
};
const BATTERY: Known = Known {
    work: "battery supply",
    text: "Keep it ventilated and cool, never in a closed hot cabinet; do not put supplies or strips in a row; recycle old \
           batteries.",
};
const RADIO: Known = Known {
    work: "radios",
    text: "Keep people 20 cm or more from antennas; leave power, channels and radar detection within the local rules.",
};
const LASER: Known = Known { work: "fibre", text: "Never look into a fibre or its socket; collect cut ends." };
const ALARMS: Known = Known {
    work: "alarms and emergency calls",
    text: "List alarms, lift telephones and medical calls on the line first; have their providers test them afterwards.",
};
