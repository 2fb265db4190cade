//! What the work needs care with: only what the design contains, and never instead of the local code.

use cabling::take_off::{fixed, is_fibre};
use equipment::{Access, PartKind};
use network::results::Caution;
use network::wiring::{Hole, HoleKind, Way};
use network::{FeedSource, Medium};
use site::LineKind;

use crate::quote::{Input, Quote};

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
    let (design, wiring) = (input.design, input.wiring);
    let new = || design.parts.iter().filter(|p| !p.kept);
    let kind = |id| input.catalog.get(id).map(|p| p.kind);
    let has = |wanted: PartKind| new().any(|p| kind(&p.part) == Some(wanted));
    let fixed = fixed(&input.plan());
    let holes = |wanted: &dyn Fn(&Hole) -> bool| wiring.holes.iter().any(wanted);
    let runs = |way: Way| quote.pathways.iter().any(|p| p.way == way);
    let drilled = holes(&|_| true) || fixed.any();
    let fed = |check: fn(&FeedSource) -> bool| {
        design.feeds.iter().filter(|f| new().any(|p| p.id == f.part)).any(|f| check(&f.source))
    };
    let radios = new().any(|p| input.catalog.get(&p.part).is_some_and(|part| part.radio.is_some()));
    let line_fibre = input.site.lines.iter().any(|l| l.kind == LineKind::Fibre);
    let cables = design.links.iter().any(|l| matches!(l.medium, Medium::Cable { .. }));
    let line_parts = has(PartKind::LineTermination) || has(PartKind::Gateway);
    let laid_fibre = wiring.routes.iter().any(|r| is_fibre(input.catalog.get(&r.cable)));
    let surge = quote.take_off.iter().any(|l| l.part.as_str() == equipment::id::SURGE_PROTECTOR);
    let outside = runs(Way::Facade) || holes(&|h| h.kind == HoleKind::OuterWall);
    let list = [
        (drilled, DRILLING),
        (drilled, DUST),
        (runs(Way::Chase) || quote.access.contains(&Access::Solid), MASONRY),
        (holes(&|_| true), STRUCTURE),
        (fixed.ceiling_mounts > 0, LADDER),
        (runs(Way::Attic), ATTIC),
        (runs(Way::CrawlSpace), CRAWL_SPACE),
        (runs(Way::Riser), RISER),
        (outside, OUTSIDE),
        (runs(Way::Buried), GROUND),
        (surge, SURGE),
        (cables, CABLE),
        (fed(|s| matches!(s, FeedSource::Mains { outlet: None })), NEW_OUTLET),
        (drilled || fed(|s| matches!(s, FeedSource::Mains { .. })), MAINS),
        (holes(&|h| h.fire_seal), FIRE),
        (fed(|s| matches!(s, FeedSource::Poe { .. })), POE),
        (has(PartKind::BatterySupply), BATTERY),
        (radios, RADIO),
        (laid_fibre || (line_fibre && line_parts), LASER),
        (line_parts || has(PartKind::WirelessRouter), ALARMS),
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
           stop, have it tested and leave it to a specialist. The age of this home is not stated.",
};
const STRUCTURE: Known = Known {
    work: "holes through walls and floors",
    text: "Do not notch or drill joists, studs, beams or prestressed concrete beyond what the code or an engineer allows.",
};
const LADDER: Known = Known {
    work: "work at the ceiling",
    text: "Set a leaning ladder 1 in 4, keep three points of contact and keep clear of lamps' live parts.",
};
const MASONRY: Known = Known {
    work: "masonry and concrete",
    text: "Cutting and drilling give off fine quartz dust: use extraction at the tool and a mask, eye and ear protection.",
};
const ATTIC: Known = Known {
    work: "attic",
    text: "Step on joists only; do not work alone; attics get hot, so work early, drink and rest; beware of insulation \
           fibres, nails, droppings and poor light.",
};
const CRAWL_SPACE: Known = Known {
    work: "crawl space",
    text: "A confined space: one person stays outside in touch; look for bad air, wiring, sharp things and animals first.",
};
const RISER: Known = Known {
    work: "shafts",
    text: "Know what else runs in the shaft: keep clear of flues and mains, guard the opening, let nothing fall.",
};
const OUTSIDE: Known = Known {
    work: "outside walls and roofs",
    text: "Set a ladder 1 in 4 and tie it off, keep three points of contact; nobody alone on a roof; keep well clear of \
           power lines; leave masts to competent riggers.",
};
const GROUND: Known = Known {
    work: "digging",
    text: "Have buried gas, power, water and drains located before digging, then dig by hand near them; depth and distance \
           from mains are the local code's; keep others away from the open trench.",
};
const SURGE: Known = Known {
    work: "copper that leaves the building",
    text: "Protect it against surges where it enters and bond that to the building's earth; do not open the supplier's bond; \
           never work on it while a storm is near. Glass fibre between buildings avoids all this.",
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
