//! The one door: a design and how its cables run in, its take-off, work and price out.

use building::Resolved;
use cabling::labour::{Crew, Hours, Labour, labour};
use cabling::take_off::{Pathway, Plan, Spools, TakeOff, take_off};
use equipment::{Access, Catalog, PriceList, Terms};
use findings::{Figure, Finding, Id, SourceKind};
use household::Household;
use network::Design;
use network::results::{LabourLine, Route, TakeOffLine};
use network::wiring::{Hole, HoleKind, Wiring};
use rust_decimal::Decimal;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use site::Site;
use units::{Date, Money};

use crate::extras::{UnitRate, extras};
use crate::figures::{Totals, figures};
use crate::judge::{Judged, judge};
use crate::lines::{Order, line, orders};
use crate::price::{Breakdown, Costs, breakdown};
use crate::rules;
use crate::statements::{Statement, statements};

/// What a quote is made from.
#[derive(Clone, Copy, Debug)]
pub struct Input<'a> {
    /// The design.
    pub design: &'a Design,
    /// How its fixed cables run.
    pub wiring: &'a Wiring,
    /// The home.
    pub resolved: &'a Resolved,
    /// All parts.
    pub catalog: &'a Catalog,
    /// Prices.
    pub prices: &'a PriceList,
    /// The household: its devices, its wishes.
    pub household: &'a Household,
    /// The address: its currency and date.
    pub site: &'a Site,
    /// What is added to parts and hours.
    pub terms: &'a Terms,
}

impl<'a> Input<'a> {
    /// What the take-off and the work are made from.
    pub(crate) fn plan(&self) -> Plan<'a> {
        Plan {
            design: self.design,
            wiring: self.wiring,
            home: self.resolved,
            household: self.household,
            catalog: self.catalog,
        }
    }

    /// Price of an hour of one person: the terms', else the list's.
    pub(crate) fn rate(&self) -> Option<Money> {
        self.terms.labour_rate.or_else(|| self.prices.labour_hour().map(|p| p.price))
    }
}

/// What a design takes to build, and what that costs.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Quote {
    /// What is bought, and what is already there at no cost.
    pub take_off: Vec<TakeOffLine>,
    /// What the cables are cut from.
    pub spools: Vec<Spools>,
    /// What has to be ordered beyond what the firm has.
    pub orders: Vec<Order>,
    /// The ways of new cables, each with the cables that run along it.
    pub pathways: Vec<Pathway>,
    /// What is drilled for cables.
    pub holes: Vec<Hole>,
    /// What is done; times add up to the median of the total.
    pub labour: Vec<LabourLine>,
    /// Hours of all people together.
    pub hours: Hours,
    /// Who does it in how many days.
    pub crew: Crew,
    /// Fixed cables that have a route with a known length.
    pub routes: Vec<Route>,
    /// How the price is made up; none if it is unknown.
    pub price: Option<Breakdown>,
    /// Last day on which the offer holds; none if that is past all calendars.
    pub valid_until: Option<Date>,
    /// Assumptions, risks and exclusions of this design in this home, each with its reason.
    pub statements: Vec<Statement>,
    /// What more of something costs.
    pub extras: Vec<UnitRate>,
    /// `price`, `labour.hours`, `labour.days`, `cable.length`, `penetrations`.
    pub figures: Vec<Figure>,
    /// What is wrong, or worth knowing.
    pub findings: Vec<Finding>,
    /// How cables are got in, easiest first.
    pub access: Vec<Access>,
}

/// Take-off, work and price of a design.
///
/// # Model
/// Take-off and work are `cabling`'s. Price: parts and median hours at the list's prices, overhead on both, margin on
/// the price, taxes on top ([`breakdown`]). The price's interval has work at P20 and P80 and generic prices off by their
/// spread.
///
/// # Validity
/// Whatever is missing (a price, a route, a part) makes the figure that needs it unknown and is named; nothing is taken
/// as zero. Parts marked as kept cost nothing and take no work.
#[must_use]
pub fn evaluate(input: &Input) -> Quote {
    let plan = input.plan();
    let take_off = take_off(&plan, &input.terms.materials);
    // Work that cannot be planned on terms that cannot be used is planned on the default ones; the price is unknown then.
    let sound = rules::unusable(input.terms).next().is_none();
    let fallback = Terms::default();
    let work = labour(&plan, &take_off, if sound { input.terms } else { &fallback });
    let (lines, lacks): (Vec<TakeOffLine>, Vec<Option<String>>) =
        take_off.items.iter().map(|item| line(item, input.catalog, input.prices)).unzip();
    let mut missing = missing(input, &take_off, &work, lacks);
    let price = if missing.is_empty() { price(input, &take_off, &lines, work.hours) } else { None };
    if price.is_none() && missing.is_empty() {
        missing.push("sums that can be written in decimal numbers".into());
    }
    let routes = routes(input);
    let extras = extras(input, &work.crew, &missing);
    let judged = Judged { take_off: &take_off, price: price.as_ref(), missing: &missing };
    let mut findings = judge(input, &judged);
    findings.extend(take_off.findings.iter().cloned());
    findings.extend(work.findings.iter().cloned());
    let totals = Totals { take_off: &take_off, work: &work, price: price.as_ref(), missing: &missing, lines: &lines };
    let figures = figures(input, &totals);
    let statements = statements(input, &take_off, &work);
    let orders = orders(&take_off, input.terms);
    Quote {
        take_off: lines,
        spools: take_off.spools,
        orders,
        pathways: take_off.pathways,
        holes: input.wiring.holes.clone(),
        labour: work.lines,
        hours: work.hours,
        crew: work.crew,
        routes,
        price,
        valid_until: input.site.date.plus_days(input.terms.valid_days),
        statements,
        extras,
        figures,
        findings,
        access: work.access,
    }
}

/// What the price lacks.
fn missing(input: &Input, take_off: &TakeOff, work: &Labour, lacks: Vec<Option<String>>) -> Vec<String> {
    let prices = input.prices;
    let mut missing: Vec<String> = lacks.into_iter().flatten().collect();
    if !work.lines.is_empty() && input.rate().is_none() {
        missing.push(format!("price of `{}`", equipment::LABOUR_HOUR));
    }
    if prices.is_empty() {
        missing = vec![format!("a price list in {}", prices.currency())];
    }
    missing.extend(take_off.missing.iter().cloned());
    missing.extend(rules::unusable(input.terms).map(|p| p.to_string()));
    let others = input.terms.other_currencies(prices.currency());
    missing.extend(others.iter().map(|(field, money)| {
        format!("`{field}` of the terms in {}, the price list's currency; it is {money}", prices.currency())
    }));
    missing
}

/// The price of items and hours.
pub(crate) fn price(input: &Input, take_off: &TakeOff, lines: &[TakeOffLine], hours: Hours) -> Option<Breakdown> {
    let (mut parts, mut generic_parts) = (Decimal::ZERO, Decimal::ZERO);
    for (item, line) in take_off.items.iter().zip(lines) {
        let amount = line.price?.amount;
        parts = parts.checked_add(amount)?;
        let source = input.prices.get(&item.part).map(|p| p.source.kind);
        if !item.kept && source == Some(SourceKind::GenericFigure) {
            generic_parts = generic_parts.checked_add(amount)?;
        }
    }
    let rate = input.rate().map_or(Decimal::ZERO, |rate| rate.amount);
    breakdown(&Costs { parts, generic_parts, hours, rate }, input.terms, input.prices.currency())
}

fn routes(input: &Input) -> Vec<Route> {
    let routes = input.wiring.routes.iter().filter(|r| input.design.links.iter().any(|l| l.id == r.link));
    routes
        .filter_map(|route| {
            let length = route.length.value.filter(|l| l.is_finite())?;
            Some(Route {
                link: route.link.clone(),
                length: units::Metres(length),
                penetrations: penetrations(input.wiring, |hole| route.holes.contains(&hole.id)),
                estimate: route.length.estimate,
            })
        })
        .collect()
}

/// Holes through walls and floors; those in plates and joists are not counted.
pub(crate) fn penetrations(wiring: &Wiring, wanted: impl Fn(&Hole) -> bool) -> u32 {
    let through = |hole: &&Hole| !matches!(hole.kind, HoleKind::Plate | HoleKind::Joist);
    u32::try_from(wiring.holes.iter().filter(through).filter(|h| wanted(h)).count()).unwrap_or(u32::MAX)
}

impl Quote {
    /// The figure with an id.
    #[must_use]
    pub fn figure(&self, id: &str) -> Option<&Figure> {
        self.figures.iter().find(|f| f.id == id)
    }

    /// Links whose cable has no known length have no route here.
    #[must_use]
    pub fn route(&self, link: &Id) -> Option<&Route> {
        self.routes.iter().find(|r| &r.link == link)
    }
}
