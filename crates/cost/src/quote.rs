//! The one door: a design in, its take-off, work and price out.

use building::Resolved;
use equipment::{Catalog, PartKind, PriceList};
use findings::{Figure, Finding, Id, Source, SourceKind};
use household::Household;
use network::results::{LabourLine, Route, TakeOffLine};
use network::{Design, Link, Medium, Mounting};
use rust_decimal::Decimal;
use site::Site;
use units::Metres;

use crate::labour::{self, Hours, WorkList};
use crate::price::{Breakdown, Costs, breakdown};
use crate::route::{Run, run};
use crate::rules;
use crate::take_off::{Item, ends_at_panel, items, line, to_f64};
use crate::terms::{Access, Terms};

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

/// What has to be drilled.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(crate) struct Holes {
    pub walls: u32,
    pub floors: u32,
    pub sealed: u32,
    pub outlets: u32,
    pub mounts: u32,
    pub ceiling_mounts: u32,
}

impl Holes {
    pub fn penetrations(&self) -> u32 {
        self.walls.saturating_add(self.floors)
    }
    pub fn any(&self) -> bool {
        self.penetrations() > 0 || self.outlets > 0 || self.mounts > 0
    }
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
    missing.extend(missing_lengths.iter().cloned());
    if !work.is_empty() && prices.labour_hour().is_none() {
        missing.push(format!("price of `{}`", equipment::LABOUR_HOUR));
    }
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
    let figures = figures(input, &runs, &missing_lengths, price.as_ref(), &missing, hours, holes);
    let mut access: Vec<Access> = runs.iter().map(|(_, run)| run.access).collect();
    access.sort_unstable();
    access.dedup();
    Quote { take_off, labour: work.lines(), hours, routes, price, figures, findings, access, holes }
}

fn unknown_parts(design: &Design, catalog: &Catalog) -> Vec<Finding> {
    let cables = design.links.iter().filter_map(|l| match &l.medium {
        Medium::Cable { part } => Some((&l.id, part)),
        _ => None,
    });
    design
        .parts
        .iter()
        .map(|p| (&p.id, &p.part))
        .chain(cables)
        .filter(|(_, part)| catalog.get(part).is_none())
        .map(|(user, part)| {
            let near = catalog.nearest(part).map(|n| format!("; is `{n}` meant?")).unwrap_or_default();
            let message = format!("`{user}` is the part `{part}`, which is not known{near}");
            Finding::of(&rules::PART_UNKNOWN, vec![user.clone(), design.id.clone()], message)
        })
        .collect()
}

fn holes(design: &Design, catalog: &Catalog, runs: &[(&Link, Run)]) -> Holes {
    let mut holes = Holes::default();
    for placed in design.parts.iter().filter(|p| !p.kept) {
        match placed.mounting {
            Mounting::Ceiling => {
                holes.mounts += 1;
                holes.ceiling_mounts += 1;
            }
            Mounting::Wall => holes.mounts += 1,
            Mounting::Panel if catalog.get(&placed.part).is_some_and(|p| p.kind == PartKind::Panel) => {
                holes.mounts += 1;
            }
            Mounting::Panel | Mounting::Shelf => {}
        }
    }
    let kits = if ends_at_panel(design, catalog) { 1 } else { 2 };
    for (_, run) in runs {
        holes.walls += run.walls + run.party_walls;
        holes.floors += run.floors;
        holes.sealed += run.party_walls + run.floors;
        holes.outlets += kits;
    }
    holes
}

fn work(design: &Design, catalog: &Catalog, home: &Resolved, runs: &[(&Link, Run)], holes: Holes) -> WorkList {
    let mut list = WorkList::default();
    let easy = Access::OpenWalls;
    for (_, run) in runs {
        list.add(labour::PULL_SET_UP, 1.0, run.access);
        list.add(labour::PULL_METRE, run.length, run.access);
        list.add(labour::WALL_HOLE, f64::from(run.walls + run.party_walls), run.access);
        list.add(labour::FLOOR_HOLE, f64::from(run.floors), run.access);
    }
    list.add(labour::SEAL, f64::from(holes.sealed), easy);
    list.add(labour::OUTLET, f64::from(holes.outlets), easy);
    if ends_at_panel(design, catalog) {
        list.add(labour::PANEL_END, runs.len() as f64, easy);
    }
    list.add(labour::TEST, runs.len() as f64, easy);
    let mut new_parts = false;
    for placed in design.parts.iter().filter(|p| !p.kept) {
        new_parts = true;
        let kind = catalog.get(&placed.part).map(|p| p.kind);
        match placed.mounting {
            _ if matches!(kind, Some(PartKind::Panel)) => list.add(labour::FIT_PANEL, 1.0, easy),
            Mounting::Ceiling | Mounting::Wall => list.add(labour::MOUNT, 1.0, easy),
            Mounting::Shelf | Mounting::Panel => list.add(labour::PLACE, 1.0, easy),
        }
        match kind {
            Some(PartKind::Gateway | PartKind::WirelessRouter | PartKind::Router) => {
                list.add(labour::SET_UP_ROUTER, 1.0, easy);
            }
            Some(PartKind::AccessPoint | PartKind::RadioNode) => list.add(labour::SET_UP_RADIO, 1.0, easy),
            Some(PartKind::Switch) if catalog.get(&placed.part).is_some_and(|p| p.segments) => {
                list.add(labour::SET_UP_SWITCH, 1.0, easy);
            }
            _ => {}
        }
    }
    list.add(labour::SET_UP_SEGMENT, design.segments.len() as f64, easy);
    if new_parts || !list.is_empty() {
        list.add(labour::WALK_ROOM, home.rooms.len() as f64, easy);
        list.add(labour::HAND_OVER, 1.0, easy);
        list.add(labour::VISIT, 1.0, easy);
    }
    list
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

fn judge(input: &Input, routes: &[Route], price: Option<&Breakdown>, missing: &[String], holes: Holes) -> Vec<Finding> {
    let design = &input.design.id;
    let about_design = || vec![design.clone()];
    let mut findings = Vec::new();
    for route in routes.iter().filter(|r| r.length.value() > rules::LONGEST_LINK) {
        let message = format!(
            "cable `{}` is {:.0} m long; a permanent link may be {:.0} m",
            route.link,
            route.length.value(),
            rules::LONGEST_LINK
        );
        findings.push(
            Finding::of(&rules::LINK_TOO_LONG, vec![route.link.clone(), design.clone()], message)
                .against(route.length.value(), rules::LONGEST_LINK, "m")
                .remedy("put a switch on the way, or use fibre", Vec::new()),
        );
    }
    let wishes = &input.household.wishes;
    if wishes.no_drilling && holes.any() {
        let message = format!(
            "nothing may be drilled, but the design needs {} holes through walls and floors, {} outlets and {} fixings",
            holes.penetrations(),
            holes.outlets,
            holes.mounts
        );
        let count = f64::from(holes.penetrations()) + f64::from(holes.outlets) + f64::from(holes.mounts);
        findings.push(Finding::of(&rules::DRILLING_NOT_WISHED, about_design(), message).against(count, 0.0, "1"));
    }
    if !missing.is_empty() {
        let message = format!("the price is unknown; missing: {}", missing.join("; "));
        findings.push(
            Finding::of(&rules::PRICE_MISSING, about_design(), message)
                .remedy("add the missing rows to the price list", Vec::new()),
        );
    }
    findings.extend(budget(input, price));
    if price.is_some() && input.terms.tax.is_none() {
        findings.push(Finding::of(&rules::TAX_NOT_INCLUDED, about_design(), "tax is not included"));
    }
    if input.prices.currency() != input.site.currency {
        let message =
            format!("prices are in {}, the site's currency is {}", input.prices.currency(), input.site.currency);
        findings.push(Finding::of(&rules::CURRENCY_DIFFERS, about_design(), message));
    }
    if let Some(oldest) = input.prices.oldest() {
        let age = input.site.date.days_since(oldest);
        if age.abs() > rules::OLDEST_PRICES {
            let message = format!("the oldest price is of {oldest}, {age} days before the job's date");
            findings.push(Finding::of(&rules::PRICES_OLD, about_design(), message).against(
                age as f64,
                rules::OLDEST_PRICES as f64,
                "d",
            ));
        }
    }
    findings
}

fn budget(input: &Input, price: Option<&Breakdown>) -> Option<Finding> {
    let budget = input.household.wishes.budget?;
    let subjects = vec![input.design.id.clone()];
    let Some(price) = price else {
        let message = format!("the budget of {budget} could not be checked because the price is unknown");
        return Some(Finding::of(&rules::BUDGET_NOT_COMPARED, subjects, message));
    };
    let currency = price.total.currency;
    if budget.currency != currency {
        let message = format!("the budget is in {}, the price in {currency}; give both in one", budget.currency);
        return Some(Finding::of(&rules::BUDGET_NOT_COMPARED, subjects, message));
    }
    let (rule, amount, text) = if price.total.amount > budget.amount {
        (&rules::OVER_BUDGET, price.total.amount, format!("the price of {} is above", price.total))
    } else if price.high.amount > budget.amount {
        let text = format!("the price of {} may rise to {}, above", price.total, price.high);
        (&rules::BUDGET_MAY_NOT_HOLD, price.high.amount, text)
    } else {
        return None;
    };
    Some(Finding::of(rule, subjects, format!("{text} the budget of {budget}")).against(
        to_f64(amount),
        to_f64(budget.amount),
        currency.code(),
    ))
}

#[allow(clippy::too_many_arguments)]
fn figures(
    input: &Input,
    runs: &[(&Link, Run)],
    missing_lengths: &[String],
    price: Option<&Breakdown>,
    missing: &[String],
    hours: Hours,
    holes: Holes,
) -> Vec<Figure> {
    let subject = || input.design.id.clone();
    let practice = Source::common_practice;
    let length: f64 = runs.iter().map(|(_, run)| run.length).sum();
    let known_or = |figure: Figure| match missing_lengths {
        [] => figure,
        lack => {
            Figure { sources: figure.sources, ..Figure::unknown(figure.id, figure.subject, figure.unit, lack.to_vec()) }
        }
    };
    let price_figure = match price {
        Some(sums) => {
            let (value, low, high) = sums.value();
            let code = input.prices.currency().code().to_owned();
            Figure::known("price", subject(), value, code.clone())
                .between(low, high, None)
                .input("parts", to_f64(sums.parts.amount), code.clone())
                .input("labour", to_f64(sums.labour.amount), code.clone())
                .input("overhead", to_f64(sums.overhead.amount), code.clone())
                .input("margin", to_f64(sums.margin.amount), code.clone())
                .input("tax", to_f64(sums.tax.amount), code)
        }
        None => Figure::unknown("price", subject(), input.prices.currency().code(), missing.to_vec()),
    };
    let mut price_figure = price_figure.source(rules::own_model()).source(practice());
    if let Some(rate) = input.prices.labour_hour() {
        price_figure = price_figure.source(rate.source.clone());
    }
    // The price rests on estimated lengths where there are cables.
    price_figure.estimate = !runs.is_empty();
    let mut hours_figure = Figure::known("labour.hours", subject(), hours.p50, "h")
        .between(hours.p20, hours.p80, Some(0.6))
        .input("P50", hours.p50, "h")
        .input("P80", hours.p80, "h")
        .source(practice());
    hours_figure.estimate = !runs.is_empty();
    vec![
        price_figure,
        known_or(hours_figure),
        known_or(Figure::known("cable.length", subject(), length, "m").estimated().source(practice())),
        known_or(
            Figure::known("penetrations", subject(), f64::from(holes.penetrations()), "1")
                .estimated()
                .source(practice()),
        ),
    ]
}

/// Ids of the figures, for callers that look one up.
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
