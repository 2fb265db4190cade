//! The one door: a design in, its take-off, work and price out.

use building::Resolved;
use equipment::{Catalog, PriceList};
use findings::{Figure, Finding, Id, SourceKind};
use household::Household;
use network::results::{LabourLine, Route, TakeOffLine};
use network::{Design, Link, Medium};
use rust_decimal::Decimal;
use site::Site;
use units::Metres;

use crate::figures::{Totals, figures};
use crate::judge::{judge, unknown_parts};
use crate::labour::Hours;
use crate::price::{Breakdown, Costs, breakdown};
use crate::route::{Run, run};
use crate::rules;
use crate::take_off::{Item, items, line};
use crate::terms::{Access, Terms};
use crate::work::{Holes, holes, work};

/// What a quote is made from.
#[derive(Clone, Copy, Debug)]
pub struct Input<'a> {
    /// The design.
    pub design: &'a Design,
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

/// What a design takes to build, and what that costs.
#[derive(Clone, Debug, PartialEq)]
pub struct Quote {
    /// What is bought, and what is already there at no cost.
    pub take_off: Vec<TakeOffLine>,
    /// What is done; times add up to the median of the total.
    pub labour: Vec<LabourLine>,
    /// Total time.
    pub hours: Hours,
    /// Fixed cables; lengths are estimates.
    pub routes: Vec<Route>,
    /// How the price is made up; none if it is unknown.
    pub price: Option<Breakdown>,
    /// `price`, `labour.hours`, `cable.length`, `penetrations`.
    pub figures: Vec<Figure>,
    /// What is wrong, or worth knowing.
    pub findings: Vec<Finding>,
    /// How the cables are got in; for cautions.
    pub(crate) access: Vec<Access>,
    /// Holes through walls and floors, and fixings of new parts and outlets.
    pub(crate) holes: Holes,
}

/// Take-off, work and price of a design.
///
/// # Model
/// Cable: each fixed cable rises from its nearer end to the ceiling of the lower of its two storeys, runs along x and y
/// above it, and rises or drops to its other end: |dx| + |dy| + the rises + 3 m loop at the nearer end + 0.4 m at the
/// outlet; 10 % more is bought, in whole metres. Work: tasks at median times, longer where access is hard, summed as
/// distributions. Price: parts and median hours at the list's prices, overhead on both, margin on the price, tax on
/// top; each rounded to the cent. The price's interval has work at P20 and P80 and generic prices off by their spread.
///
/// # Validity
/// Whatever is missing (a price, a place, a part) makes the figure that needs it unknown and is named; nothing is
/// taken as zero. Parts marked as kept cost nothing and take no work.
#[must_use]
pub fn evaluate(input: &Input) -> Quote {
    let Input { design, resolved, catalog, prices, household, terms, .. } = *input;
    let mut findings = unknown_parts(design, catalog);
    let mut missing_lengths = Vec::new();
    let mut runs: Vec<(&Link, Run)> = Vec::new();
    for link in design.links.iter().filter(|l| matches!(l.medium, Medium::Cable { .. })) {
        match run(link, design, household, resolved) {
            Ok(mut found) => {
                found.access = terms.access.unwrap_or(found.access);
                runs.push((link, found));
            }
            Err(missing) => {
                let message = format!("cable `{}` has no length: it lacks {}", link.id, missing.join(" and "));
                findings.push(Finding::of(&rules::LENGTH_MISSING, vec![link.id.clone(), design.id.clone()], message));
                missing_lengths.extend(missing);
            }
        }
    }
    let holes = holes(design, catalog, &runs);
    let work = work(design, catalog, resolved, &runs, holes);
    let hours = work.hours();
    let items = items(design, catalog, &runs);
    let (take_off, mut missing): (Vec<_>, Vec<_>) = items.iter().map(|item| line(item, catalog, prices)).unzip();
    let mut missing: Vec<String> = missing.drain(..).flatten().collect();
    if !work.is_empty() && prices.labour_hour().is_none() {
        missing.push(format!("price of `{}`", equipment::LABOUR_HOUR));
    }
    if prices.is_empty() {
        missing = vec![format!("a price list in {}", prices.currency())];
    }
    missing.extend(missing_lengths.iter().cloned());
    missing.extend(terms.problems());
    let price = if missing.is_empty() { price(&items, &take_off, hours, input) } else { None };
    if price.is_none() && missing.is_empty() {
        missing.push("sums that can be written in decimal numbers".into());
    }

    let routes: Vec<Route> = runs
        .iter()
        .map(|(link, run)| Route {
            link: link.id.clone(),
            length: Metres(run.length),
            penetrations: run.walls + run.party_walls + run.floors,
            estimate: true,
        })
        .collect();
    findings.extend(judge(input, &routes, price.as_ref(), &missing, holes));
    let totals = Totals {
        // The sum of nothing is −0.0 where floats are summed.
        length: runs.iter().fold(0.0, |sum, (_, run)| sum + run.length),
        has_cables: design.links.iter().any(|l| matches!(l.medium, Medium::Cable { .. })),
        missing_lengths: &missing_lengths,
        price: price.as_ref(),
        missing: &missing,
        hours,
        penetrations: holes.penetrations(),
    };
    let figures = figures(input, &totals);
    let mut access: Vec<Access> = runs.iter().map(|(_, run)| run.access).collect();
    access.sort_unstable();
    access.dedup();
    Quote { take_off, labour: work.lines(), hours, routes, price, figures, findings, access, holes }
}

fn price(items: &[Item], lines: &[TakeOffLine], hours: Hours, input: &Input) -> Option<Breakdown> {
    let (mut parts, mut generic_parts) = (Decimal::ZERO, Decimal::ZERO);
    for (item, line) in items.iter().zip(lines) {
        let amount = line.price?.amount;
        parts = parts.checked_add(amount)?;
        let source = input.prices.get(&item.part).map(|p| p.source.kind);
        if !item.kept && source == Some(SourceKind::GenericFigure) {
            generic_parts = generic_parts.checked_add(amount)?;
        }
    }
    let rate = input.prices.labour_hour().map_or(Decimal::ZERO, |p| p.price.amount);
    breakdown(&Costs { parts, generic_parts, hours, rate }, input.terms, input.prices.currency())
}

impl Quote {
    /// The figure with an id.
    #[must_use]
    pub fn figure(&self, id: &str) -> Option<&Figure> {
        self.figures.iter().find(|f| f.id == id)
    }

    /// Links whose cable could not be measured have no route here.
    #[must_use]
    pub fn route(&self, link: &Id) -> Option<&Route> {
        self.routes.iter().find(|r| &r.link == link)
    }
}
