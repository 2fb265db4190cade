//! What an offer rests on and what more costs: statements with reasons, unit rates from the model.

mod common;

use common::*;
use cost::{Quote, Statement, StatementKind, UnitRate};
use network::wiring::{HoleKind, Way};
use network::{Feed, FeedSource};
use rust_decimal::Decimal;
use units::Seconds;

fn statement<'a>(quote: &'a Quote, wanted: &str) -> Option<&'a Statement> {
    quote.statements.iter().find(|s| s.id == wanted)
}

fn extra<'a>(quote: &'a Quote, wanted: &str) -> &'a UnitRate {
    quote.extras.iter().find(|e| e.id == wanted).unwrap()
}

#[test]
fn statements_follow_from_the_model() {
    let mut case = Case::new();
    let quote = case.quote();
    let ids = |quote: &Quote| quote.statements.iter().map(|s| s.id.clone()).collect::<Vec<_>>();
    assert_eq!(
        ids(&quote),
        [
            "default-terms",
            "walls-closed",
            "lengths",
            "hidden-obstacles",
            "hazardous-materials",
            "making-good",
            "provider",
            "kept-parts"
        ]
    );
    assert!(quote.statements.iter().all(|s| !s.reason.is_empty() && !s.text.is_empty() && !s.subjects.is_empty()));
    assert!(quote.statements.is_sorted_by_key(|s| s.kind));
    assert_eq!(statement(&quote, "walls-closed").unwrap().subjects, [id("floor"), id("middle")]);
    assert_eq!(statement(&quote, "making-good").unwrap().kind, StatementKind::Exclusion);
    // Each thing that the model has more of is said, and what it has no more is not.
    case.wiring.holes.push(hole("hole-2", HoleKind::PartyWall, "party", &["l2"]));
    case.wiring.holes.push(hole("hole-3", HoleKind::OuterWall, "outer", &["l2"]));
    case.wiring.routes[0].stretches.push(stretch(Way::Buried, None, (8.0, 4.0, 0.0), (8.0, 12.0, 0.0)));
    case.wiring.routes[0].length = case.wiring.routes[0].length.clone().between(13.5, 16.5, None);
    case.design.feeds[0].source = FeedSource::Mains { outlet: None };
    case.design.feeds.push(Feed { part: id("gateway"), source: FeedSource::Mains { outlet: None } });
    let more = case.quote();
    for wanted in ["fire-seals", "consent", "outer-walls", "ground", "trench", "mains-outlet"] {
        assert!(statement(&more, wanted).is_some(), "{wanted}");
    }
    assert!(statement(&more, "lengths").unwrap().reason.contains("up to 10 %"));
    assert!(statement(&more, "trench").unwrap().reason.contains("8 m in the ground"));
    // The kept gateway has its outlet.
    assert_eq!(statement(&more, "mains-outlet").unwrap().subjects, [id("switch")]);
    case.terms.access = Some(cost::Access::OpenWalls);
    let open = case.quote();
    assert!(statement(&open, "walls-closed").is_none() && statement(&open, "hidden-obstacles").is_none());
    assert!(statement(&open, "default-terms").is_none());
}

#[test]
fn generic_prices_are_said_to_be_so() {
    let mut case = Case::new();
    case.prices = equipment::PriceList::generic("EUR".parse().unwrap()).unwrap();
    let quote = case.quote();
    let generic = statement(&quote, "generic-prices").unwrap();
    assert!(generic.text.contains("30 %") && generic.reason.starts_with("8 of 8 parts"), "{generic:?}");
    assert!(statement(&quote, "generic-rate").is_some());
    case.terms.labour_rate = Some("70 EUR".parse().unwrap());
    assert!(statement(&case.quote(), "generic-rate").is_none());
}

#[test]
fn one_more_cable_costs_what_it_adds() {
    let mut case = Case::new();
    // Two more like the first, so that the median is one of three equals; each through the same hole.
    for (link, part) in [("l3", "ap-2"), ("l4", "ap-3")] {
        let mut like = case.design.parts[2].clone();
        like.id = id(part);
        case.design.parts.push(like);
        case.design.links.push(cable(link, "switch", part));
        let mut route = joist_route();
        route.link = id(link);
        case.wiring.routes.push(route);
        case.wiring.holes[0].links.push(id(link));
    }
    let quote = case.quote();
    let drop = extra(&quote, "drop");
    let price = drop.price.unwrap();
    assert!(drop.reason.contains("the median of 3 new cables"), "{}", drop.reason);
    // By the door: the same design with the cable in it, on terms without steps and minimum; the crew comes no further
    // day, so that the difference is the cable's own.
    let mut more = Case::new();
    more.design = case.design.clone();
    more.wiring = case.wiring.clone();
    more.design.links.push(cable("l5", "switch", "ap-3"));
    let mut route = joist_route();
    route.link = id("l5");
    // To an outlet of its own, a metre away.
    route.stretches[2].to.x += 1.0;
    more.wiring.routes.push(route);
    more.wiring.holes[0].links.push(id("l5"));
    let with = more.quote();
    assert_eq!(with.crew.days, quote.crew.days);
    assert_eq!(price.amount, with.price.unwrap().total.amount - quote.price.as_ref().unwrap().total.amount);
    // Steps of hours and a minimum do not change what one more costs.
    case.terms.hour_step = Some(Seconds(3600.0));
    case.terms.minimum_charge = Some("9000 EUR".parse().unwrap());
    assert_eq!(extra(&case.quote(), "drop").price, Some(price));
}

#[test]
fn one_more_access_point_costs_more_than_its_cable() {
    let quote = Case::new().quote();
    let price = |wanted: &str| extra(&quote, wanted).price.unwrap().amount;
    assert!(price("access-point") > price("drop"));
    // Part 99.99, mount 12.00; with overhead and margin × 1.375.
    assert!(price("access-point") > Decimal::new(1539, 1));
    // 64.00; overhead 6.40; 70.40 / 0.8.
    assert_eq!(extra(&quote, "hour").price.unwrap().to_string(), "88.00 EUR");
    let mut case = Case::new();
    case.design.parts.truncate(2);
    case.design.links.truncate(1);
    case.wiring = network::wiring::Wiring::default();
    let bare = case.quote();
    for wanted in ["drop", "access-point"] {
        let rate = extra(&bare, wanted);
        assert!(rate.price.is_none() && rate.missing.len() == 1, "{rate:?}");
    }
}
