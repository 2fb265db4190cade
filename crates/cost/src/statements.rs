//! What an offer rests on: assumptions, risks and exclusions that follow from the design in its home, each with its
//! reason. Nothing is said that the model does not ask for.

use std::collections::BTreeSet;

use cabling::labour::Labour;
use cabling::take_off::TakeOff;
use equipment::{Access, Terms};
use findings::{Id, SourceKind};
use network::wiring::{HoleKind, Way};
use network::{FeedSource, Medium};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::quote::Input;

/// What a statement is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum StatementKind {
    /// Taken to be so; if it is not, the price changes.
    Assumption,
    /// May turn out otherwise.
    Risk,
    /// Not part of the offer.
    Exclusion,
}

/// An assumption, a risk or an exclusion, with its reason.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Statement {
    /// What it is.
    pub kind: StatementKind,
    /// Its id, such as `mains-outlet`.
    pub id: String,
    /// What is assumed, may happen or is left out.
    pub text: String,
    /// What in the design or the home it comes from.
    pub reason: String,
    /// Parts, links, holes or elements that it is about.
    pub subjects: Vec<Id>,
}

/// Collects statements.
struct List(Vec<Statement>);

impl List {
    /// Adds a statement about some subjects, unless there are none.
    fn about(&mut self, kind: StatementKind, id: &str, subjects: Vec<Id>, text: &str, reason: String) {
        if !subjects.is_empty() {
            self.0.push(Statement { kind, id: id.into(), text: text.into(), reason, subjects });
        }
    }
}

/// Everything that the offer rests on, by kind.
pub(crate) fn statements(input: &Input, take_off: &TakeOff, work: &Labour) -> Vec<Statement> {
    let mut list = List(Vec::new());
    prices(input, take_off, &mut list);
    building(input, take_off, work, &mut list);
    lengths(input, &mut list);
    outside(input, take_off, &mut list);
    services(input, &mut list);
    list.0.sort_by_key(|s| s.kind);
    list.0
}

fn count(number: usize, one: &str, many: &str) -> String {
    if number == 1 { format!("1 {one}") } else { format!("{number} {many}") }
}

fn prices(input: &Input, take_off: &TakeOff, list: &mut List) {
    use StatementKind::{Assumption, Risk};
    let bought: BTreeSet<&Id> = take_off.items.iter().filter(|i| !i.kept).map(|i| &i.part).collect();
    let generic = |part: &&&Id| input.prices.get(part).is_some_and(|p| p.source.kind == SourceKind::GenericFigure);
    let of: Vec<Id> = bought.iter().filter(generic).map(|part| (*part).clone()).collect();
    let reason = format!("{} of {} without a price of the firm's own", of.len(), count(bought.len(), "part", "parts"));
    let text = format!("Generic prices may be off by {} either way.", input.terms.generic_price_spread);
    list.about(Assumption, "generic-prices", of, &text, reason);
    if input.rate().is_some_and(|_| input.terms.labour_rate.is_none())
        && input.prices.labour_hour().is_some_and(|p| p.source.kind == SourceKind::GenericFigure)
    {
        let subject = vec![Id::from_label(equipment::LABOUR_HOUR)];
        list.about(
            Assumption,
            "generic-rate",
            subject,
            "The price of an hour is a generic one.",
            "neither the terms nor the price list have the firm's own".into(),
        );
    }
    if *input.terms == Terms::default() {
        let text = "Overhead, margin, crew, waste and payment are stated defaults.";
        list.about(Assumption, "default-terms", vec![input.design.id.clone()], text, "no terms are given".into());
    }
    let missing: Vec<Id> =
        bought.iter().filter(|p| input.prices.get(p).is_none()).map(|part| (*part).clone()).collect();
    let reason = count(missing.len(), "part has", "parts have") + " no price in the list";
    list.about(Risk, "missing-prices", missing, "The price is unknown until these parts have one.", reason);
}

fn building(input: &Input, take_off: &TakeOff, work: &Labour, list: &mut List) {
    use StatementKind::{Assumption, Exclusion, Risk};
    let in_ways = |ways: &[Way]| -> Vec<Id> {
        let of = take_off.pathways.iter().filter(|p| ways.contains(&p.way)).filter_map(|p| p.element.clone());
        of.collect::<BTreeSet<Id>>().into_iter().collect()
    };
    let framed = in_ways(&[Way::StudBay, Way::JoistBay, Way::AcrossJoists]);
    match input.terms.access {
        None => list.about(
            Assumption,
            "walls-closed",
            framed.clone(),
            "Walls and floors are finished and closed while cables are laid.",
            format!("{} taken as closed: nothing is stated", count(framed.len(), "element is", "elements are")),
        ),
        Some(access) => list.about(
            Assumption,
            "access-stated",
            work.access.iter().map(|_| input.design.id.clone()).take(1).collect(),
            &format!("All cables are got in as in: {}.", access.name()),
            "stated in the terms".into(),
        ),
    }
    if input.terms.access != Some(Access::OpenWalls) {
        let text = "Blocking, pipes or wires hidden in these may force another way.";
        let reason =
            format!("cables run inside {} that cannot be seen into", count(framed.len(), "element", "elements"));
        list.about(Risk, "hidden-obstacles", framed, text, reason);
    }
    let holes: Vec<Id> = input.wiring.holes.iter().map(|h| h.id.clone()).collect();
    let chases = in_ways(&[Way::Chase]);
    let touched: Vec<Id> = holes.iter().cloned().chain(chases.iter().cloned()).collect();
    let dusty =
        count(holes.len(), "hole", "holes") + &format!(" and {}", count(chases.len(), "chased wall", "chased walls"));
    list.about(
        Risk,
        "hazardous-materials",
        touched.clone(),
        "Asbestos or lead paint may be found; work stops until a specialist has dealt with it.",
        format!("{dusty}; the age of the home is not stated"),
    );
    list.about(
        Exclusion,
        "making-good",
        touched,
        "Filling beyond the seals, plastering and painting are not included.",
        dusty,
    );
    let sealed: Vec<Id> = input.wiring.holes.iter().filter(|h| h.fire_seal).map(|h| h.id.clone()).collect();
    list.about(
        Assumption,
        "fire-seals",
        sealed.clone(),
        "Each is closed with a seal system tested for that wall or floor and these cables; one seal of common size is reckoned.",
        count(sealed.len(), "hole", "holes") + " through what must hold fire back",
    );
    let party: Vec<Id> =
        input.wiring.holes.iter().filter(|h| h.kind == HoleKind::PartyWall).map(|h| h.element.clone()).collect();
    list.about(
        Exclusion,
        "consent",
        party.clone(),
        "The neighbour's or the owners' consent is the customer's to get.",
        count(party.len(), "hole", "holes") + " through a wall to a neighbour",
    );
    if input.household.wishes.no_drilling {
        let drilled = input.wiring.holes.iter().map(|h| h.id.clone()).collect();
        let text = "The owner's consent to these holes is the customer's to get.";
        list.about(Exclusion, "drilling-consent", drilled, text, "nothing may be drilled, as wished".into());
    }
}

fn lengths(input: &Input, list: &mut List) {
    use StatementKind::{Assumption, Risk};
    let of_links = |wanted: &dyn Fn(&network::wiring::CableRoute) -> bool| -> Vec<Id> {
        input.wiring.routes.iter().filter(|r| wanted(r)).map(|r| r.link.clone()).collect()
    };
    let new = of_links(&|r| !r.existing);
    let off = input.wiring.routes.iter().filter(|r| !r.existing).filter_map(|r| {
        let (length, high) = (r.length.value?, r.length.high?);
        (length > 0.0).then_some(high / length - 1.0)
    });
    let off = off.fold(0.0, f64::max);
    let reason = if off > 0.0 {
        format!("lengths follow the plan and may be longer by up to {:.0} %", off * 100.0)
    } else {
        "lengths follow the plan".to_owned()
    };
    list.about(Assumption, "lengths", new, "Cables can run as drawn.", reason);
    let existing = of_links(&|r| r.existing);
    let text = "Cables that are there already pass their test; a new one is an extra.";
    list.about(
        Risk,
        "existing-cables",
        existing.clone(),
        text,
        count(existing.len(), "cable is", "cables are") + " used again",
    );
    let lost: Vec<Id> = input
        .design
        .links
        .iter()
        .filter(|l| matches!(l.medium, Medium::Cable { .. }))
        .filter(|l| !input.wiring.routes.iter().any(|r| r.link == l.id))
        .map(|l| l.id.clone())
        .collect();
    list.about(
        Risk,
        "no-route",
        lost.clone(),
        "Price and hours are unknown until these cables have a way.",
        count(lost.len(), "cable has", "cables have") + " no route",
    );
}

fn outside(input: &Input, take_off: &TakeOff, list: &mut List) {
    use StatementKind::{Exclusion, Risk};
    let along = |way: Way| -> Vec<Id> {
        let links = take_off.pathways.iter().filter(|p| p.way == way).flat_map(|p| p.links.iter().cloned());
        links.collect::<BTreeSet<Id>>().into_iter().collect()
    };
    let metres =
        |way: Way| take_off.pathways.iter().filter(|p| p.way == way).fold(0.0, |sum, p| sum + p.length.value());
    let buried = along(Way::Buried);
    let dug = format!("{:.0} m in the ground", metres(Way::Buried));
    let text = "Soft ground is dug by hand; rock, roots, paving and what is buried there unknown make it dearer.";
    list.about(Risk, "ground", buried.clone(), text, dug.clone());
    let text = "Permits, finding of buried services and making good of paving and lawn are not included.";
    list.about(Exclusion, "trench", buried, text, dug);
    let facade = along(Way::Facade);
    let text = "Scaffolding and lifts are not included; the work is done from a ladder.";
    list.about(Exclusion, "scaffolding", facade, text, format!("{:.0} m on the outside", metres(Way::Facade)));
    let parties: Vec<Id> =
        input.wiring.holes.iter().filter(|h| h.kind == HoleKind::OuterWall).map(|h| h.id.clone()).collect();
    let text = "The vapour barrier and insulation are closed again as far as they can be reached through the hole.";
    list.about(Risk, "outer-walls", parties.clone(), text, count(parties.len(), "hole", "holes") + " to the outside");
}

fn services(input: &Input, list: &mut List) {
    use StatementKind::Exclusion;
    let bare: Vec<Id> = input
        .design
        .feeds
        .iter()
        .filter(|f| matches!(f.source, FeedSource::Mains { outlet: None }))
        .filter(|f| input.design.part(&f.part).is_some_and(|p| !p.kept))
        .map(|f| f.part.clone())
        .collect();
    list.about(
        Exclusion,
        "mains-outlet",
        bare.clone(),
        "A mains outlet near these is fitted by an electrician at the customer's cost.",
        count(bare.len(), "part needs", "parts need") + " mains where no outlet is known",
    );
    if !input.design.parts.is_empty() {
        let text = "Faults of the line and of the provider's equipment are the provider's to mend.";
        let lines = count(input.site.lines.len(), "line", "lines");
        let reason = format!("the design ends at the provider's line; the job has {lines}");
        list.about(Exclusion, "provider", vec![input.design.id.clone()], text, reason);
    }
    let kept: Vec<Id> = input.design.parts.iter().filter(|p| p.kept).map(|p| p.id.clone()).collect();
    let text = "Repair, updates and warranty of what is there already are not included.";
    list.about(Exclusion, "kept-parts", kept.clone(), text, count(kept.len(), "part stays", "parts stay") + " in use");
}
