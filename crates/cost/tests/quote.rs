//! A design's take-off, work and price through the one door, against sums worked by hand.

mod common;

use common::*;
use cost::{Access, Quote, Tax, Terms, cautions};
use equipment::PriceList;
use network::wiring::HoleKind;
use network::{Feed, FeedSource, Mounting};
use rust_decimal::Decimal;
use units::{Percent, Point3};

fn value(quote: &Quote, figure: &str) -> Option<f64> {
    quote.figure(figure).unwrap_or_else(|| panic!("no figure {figure}")).value
}

fn vat() -> Vec<Tax> {
    vec![Tax { name: "VAT".into(), rate: Percent::new(19) }]
}

#[test]
fn take_off_worked_by_hand() {
    let quote = Case::new().quote();
    assert_eq!(quote.routes[0].length.value(), 15.0);
    assert_eq!((quote.routes[0].penetrations, quote.routes[0].estimate), (1, false));
    let lines: Vec<(String, f64, String)> = quote
        .take_off
        .iter()
        .map(|l| (l.part.to_string(), l.quantity, l.price.map_or("?".into(), |p| p.to_string())))
        .collect();
    let expected = [
        ("gateway-ax", 1.0, "0.00 EUR"),
        ("switch-8-poe", 1.0, "110.00 EUR"),
        ("ap-ax-2x2-ceiling", 1.0, "99.99 EUR"),
        ("cable-cat6", 17.0, "10.46 EUR"), // 15 × 1.1 = 16.5, so 17; 17 × 0.615 = 10.455
        ("outlet-kit-cat6", 3.0, "44.85 EUR"), // one at each end, one spare
        ("cord-cat6-1m", 2.0, "6.98 EUR"), // gateway to switch, at the access point
        ("cord-cat6", 1.0, "4.49 EUR"),    // at the switch
        ("mount-ap", 1.0, "12.00 EUR"),
        ("label-cable", 2.0, "0.50 EUR"),
    ];
    assert_eq!(lines, expected.map(|(a, b, c)| (a.to_owned(), b, c.to_owned())));
    // 110.00 + 99.99 + 10.46 + 44.85 + 6.98 + 4.49 + 12.00 + 0.50
    assert_eq!(quote.price.unwrap().parts.to_string(), "289.27 EUR");
    assert_eq!(quote.spools.len(), 1);
    assert_eq!((quote.spools[0].bought.value(), quote.spools[0].left.value()), (100.0, 83.5));
}

#[test]
fn work_worked_by_hand() {
    let quote = Case::new().quote();
    let lines: Vec<(&str, f64)> = quote.labour.iter().map(|l| (l.task.as_str(), l.quantity)).collect();
    let expected = [
        ("Prepare a cable run (finished walls)", 1.0),
        ("Pull cable, by the metre of way (finished walls)", 11.6),
        ("Make a hole through a wall (finished walls)", 1.0),
        ("Fit and terminate an outlet", 2.0),
        ("Test and label a cable", 1.0),
        ("Place and connect a part", 1.0),
        ("Set up a managed switch", 1.0),
        ("Mount a part on a ceiling or wall", 1.0),
        ("Set up an access point", 1.0),
        ("Plug in a cord", 3.0),
        ("Walk test of a room", 4.0),
        ("Draw up papers as built, by the cable", 1.0),
        ("Hand over and explain", 1.0),
        ("Come back once the home is lived in", 1.0),
        ("Travel, protect, clean up, by the person and day", 2.0),
    ];
    assert_eq!(lines.len(), expected.len(), "{lines:#?}");
    for ((task, quantity), (wanted, count)) in lines.iter().zip(expected) {
        assert_eq!(*task, wanted);
        assert!((quantity - count).abs() < 1e-9, "{task}: {quantity}");
    }
    let hours: f64 = quote.labour.iter().map(|l| l.time.value() / 3600.0).sum();
    assert!((hours - value(&quote, "labour.hours").unwrap()).abs() < 1e-9);
    assert!(quote.hours.p20 < quote.hours.p50 && quote.hours.p50 < quote.hours.p80);
    assert_eq!((quote.crew.people, quote.crew.days, quote.crew.days_p80), (2, Some(1), Some(1)));
    assert_eq!(value(&quote, "labour.days"), Some(1.0));
}

#[test]
fn price_adds_up_to_the_cent_and_margin_is_over_price() {
    let mut case = Case::new();
    case.terms.taxes = vat();
    let quote = case.quote();
    let sums = quote.price.clone().unwrap();
    let parts: Decimal = quote.take_off.iter().map(|l| l.price.unwrap().amount).sum();
    assert_eq!(sums.parts.amount, parts);
    let cost = sums.parts.amount + sums.labour.amount + sums.overhead.amount;
    let price = cost + sums.margin.amount;
    assert_eq!(price, sums.net.amount);
    assert_eq!(price + sums.tax.amount, sums.total.amount);
    assert_eq!(sums.stages.iter().map(|s| s.amount.amount).sum::<Decimal>(), sums.total.amount);
    // Margin is (price − cost) / price: 20 % to within half a cent of the price.
    assert!((sums.margin.amount - price * Decimal::new(20, 2)).abs() <= Decimal::new(1, 2));
    let figure = quote.figure("price").unwrap();
    assert_eq!(figure.unit, "EUR");
    assert_eq!(figure.value.unwrap().to_string(), sums.total.amount.normalize().to_string());
    assert!(figure.low.unwrap() < figure.value.unwrap() && figure.value.unwrap() < figure.high.unwrap());
    assert!(!case.rules().contains(&"cost.tax-not-included".to_owned()));
    assert_eq!(quote.valid_until.unwrap().to_string(), "2026-12-25"); // 30 days from 2026-11-25
}

#[test]
fn the_terms_rate_is_used_before_the_list_s() {
    let mut case = Case::new();
    case.terms.labour_rate = Some("100 EUR".parse().unwrap());
    assert_eq!(case.quote().price.unwrap().rate.to_string(), "100 EUR");
    case.prices = PriceList::from_csv(&PRICES.replace("labour-hour,64.00,EUR,2026-11-01,hour,own rate\n", "")).unwrap();
    assert!(case.quote().price.is_some());
}

#[test]
fn stated_access_wins() {
    let finished = Case::new().quote().hours.p50;
    let mut solid = Case::new();
    solid.home.panels[0].assembly = 1;
    assert!(solid.quote().hours.p50 > finished);
    assert!(solid.quote().labour.iter().any(|l| l.task == "Make a hole through a wall (solid walls)"));
    solid.terms.access = Some(Access::OpenWalls);
    assert!(solid.quote().hours.p50 < finished);
}

#[test]
fn a_missing_price_is_never_zero() {
    let mut case = Case::new();
    let without = PRICES.replace("ap-ax-2x2-ceiling,99.99,EUR,2026-11-01,piece,shop\n", "");
    case.prices = PriceList::from_csv(&without).unwrap();
    case.household.wishes.budget = Some("5000 EUR".parse().unwrap());
    let quote = case.quote();
    let figure = quote.figure("price").unwrap();
    assert_eq!((figure.value, quote.price.clone()), (None, None));
    assert_eq!(figure.missing, ["price of `ap-ax-2x2-ceiling`"]);
    assert_eq!(case.rules(), ["cost.price-missing", "cost.budget-not-compared"]);
    let line = quote.take_off.iter().find(|l| l.part.as_str() == "ap-ax-2x2-ceiling").unwrap();
    assert_eq!((line.unit_price, line.price), (None, None));
    // Nor is what more would cost.
    assert!(quote.extras.iter().filter(|e| e.id != "hour").all(|e| e.price.is_none() && !e.missing.is_empty()));
    // The rate of an hour is a price like any other.
    case.prices = PriceList::from_csv(&PRICES.replace("labour-hour,64.00,EUR,2026-11-01,hour,own rate\n", "")).unwrap();
    assert_eq!(case.quote().figure("price").unwrap().missing, ["price of `labour-hour`"]);
    // A price per piece is no price per metre.
    case.prices = PriceList::from_csv(&PRICES.replace("2026-11-01,m,", "2026-11-01,piece,")).unwrap();
    assert!(case.quote().figure("price").unwrap().missing[0].contains("`cable-cat6` per m; the list has it per piece"));
}

#[test]
fn a_cable_without_a_route_is_never_zero() {
    let mut case = Case::new();
    case.design.links.push(cable("l3", "switch", "desk"));
    let quote = case.quote();
    for figure in ["price", "labour.hours", "labour.days", "cable.length", "penetrations"] {
        assert_eq!(value(&quote, figure), None, "{figure}");
        assert_eq!(quote.figure(figure).unwrap().missing, ["a route of cable `l3`"], "{figure}");
    }
    assert!(case.rules().contains(&"cost.cable-length-missing".to_owned()));
    assert!(quote.route(&id("l3")).is_none());
    // A route whose length is unknown says what it lacks.
    let mut unknown = route("l3", Vec::new(), 0.0, &[]);
    unknown.length.value = None;
    unknown.length.missing = vec!["the height of the attic".into()];
    case.wiring.routes.push(unknown);
    assert_eq!(case.quote().figure("price").unwrap().missing, ["the height of the attic"]);
    case.wiring.routes[1].length.value = Some(f64::NAN);
    assert!(case.quote().figure("price").unwrap().missing[0].contains("believable length of cable `l3`"));
}

#[test]
fn unknown_parts_are_named() {
    let mut case = Case::new();
    case.design.parts[2].part = id("ap-ax-2x2-celing");
    let quote = case.quote();
    assert!(quote.findings[0].message.contains("is `ap-ax-2x2-ceiling` meant?"), "{:#?}", quote.findings);
    assert_eq!(value(&quote, "price"), None);
}

#[test]
fn kept_parts_alone_cost_nothing() {
    let mut case = Case::new();
    case.design.parts.truncate(1);
    case.design.links.clear();
    case.design.feeds.clear();
    case.wiring = network::wiring::Wiring::default();
    case.terms.minimum_charge = Some("500 EUR".parse().unwrap());
    let quote = case.quote();
    assert_eq!(value(&quote, "price"), Some(0.0));
    assert_eq!((value(&quote, "labour.hours"), value(&quote, "labour.days")), (Some(0.0), Some(0.0)));
    assert_eq!(quote.take_off.len(), 1);
    assert!(quote.labour.is_empty() && quote.orders.is_empty());
    assert!(cautions(&case.input(), &quote).is_empty());
}

#[test]
fn budget_and_drilling_are_held_against_the_wishes() {
    let mut case = Case::new();
    let total = case.quote().price.unwrap();
    case.household.wishes.no_drilling = true;
    case.household.wishes.budget = Some("100.00 EUR".parse().unwrap());
    assert_eq!(case.rules(), ["cost.drilling-not-wished", "cost.over-budget", "cost.tax-not-included"]);
    let finding = &case.quote().findings[0];
    // One wall, two outlets, one ceiling mount.
    assert_eq!(finding.measured.as_ref().unwrap().value, 4.0);
    case.household.wishes.no_drilling = false;
    case.household.wishes.budget = Some(total.total);
    assert_eq!(case.rules(), ["cost.budget-may-not-hold", "cost.tax-not-included"]);
    case.household.wishes.budget = Some(total.high);
    assert_eq!(case.rules(), ["cost.tax-not-included"]);
    case.household.wishes.budget = Some("9999 USD".parse().unwrap());
    assert_eq!(case.rules(), ["cost.budget-not-compared", "cost.tax-not-included"]);
}

#[test]
fn mixed_currencies_are_refused_by_name() {
    let mut case = Case::new();
    case.terms.labour_rate = Some("80 USD".parse().unwrap());
    case.terms.minimum_charge = Some("200 GBP".parse().unwrap());
    let quote = case.quote();
    assert_eq!(value(&quote, "price"), None);
    let finding = quote.findings.iter().find(|f| f.rule == "cost.mixed-currencies").unwrap();
    assert_eq!(
        finding.message,
        "the price list is in EUR, but in the terms `labour_rate` is 80 USD and `minimum_charge` is 200 GBP"
    );
    assert_eq!(quote.figure("price").unwrap().missing.len(), 2);
    assert!(quote.extras.iter().all(|e| e.price.is_none()));
}

#[test]
fn negative_stock_is_found_and_orders_are_unknown() {
    let mut case = Case::new();
    case.terms.stock = [(id("cord-cat6-1m"), 1.0), (id("mount-ap"), -3.0), (id("switch-8-poe"), 4.0)].into();
    let quote = case.quote();
    let order = |part: &str| quote.orders.iter().find(|o| o.part.as_str() == part).unwrap();
    assert_eq!((order("cord-cat6-1m").needed, order("cord-cat6-1m").order), (2.0, Some(1.0)));
    assert_eq!(order("switch-8-poe").order, Some(0.0));
    assert_eq!(order("mount-ap").order, None);
    // Cable is ordered on whole spools.
    assert_eq!(order("cable-cat6").order, Some(100.0));
    let finding = quote.findings.iter().find(|f| f.rule == "cost.stock-impossible").unwrap();
    assert_eq!(finding.subjects[0], id("mount-ap"));
    // What is on the shelf costs the customer what it costs.
    assert_eq!(quote.price, Case::new().quote().price);
}

#[test]
fn unusable_terms_make_the_price_unknown() {
    let mut case = Case::new();
    case.terms.margin = Percent::new(100);
    case.terms.day = units::Seconds(f64::NAN);
    let quote = case.quote();
    let missing = &quote.figure("price").unwrap().missing;
    assert!(missing[0].contains("`margin`") && missing[1].contains("`day`"), "{missing:?}");
    assert_eq!(quote.findings.iter().filter(|f| f.rule == "cost.terms-unusable").count(), 2);
    assert!(quote.hours.p50 > 0.0);
}

#[test]
fn currency_and_date_are_watched() {
    let mut case = Case::new();
    case.terms.taxes = vat();
    case.site.currency = "USD".parse().unwrap();
    case.site.date = "2027-11-02".parse().unwrap();
    assert_eq!(case.rules(), ["cost.currency-differs", "cost.prices-old"]);
    case.site.date = "2027-11-01".parse().unwrap();
    assert_eq!(case.rules(), ["cost.currency-differs"]);
}

#[test]
fn one_person_cannot_pull_cable() {
    let mut case = Case::new();
    case.terms.crew = 1;
    let quote = case.quote();
    assert!(case.rules().contains(&"cabling.crew-too-small".to_owned()));
    assert_eq!((value(&quote, "labour.days"), quote.crew.days), (None, None));
    assert!(quote.figure("labour.days").unwrap().missing[0].starts_with("a second person"));
    assert!(value(&quote, "price").is_some());
}

#[test]
fn whole_spools_cost_whole_spools() {
    let mut case = Case::new();
    case.terms.materials.whole_spools = true;
    let line = case.quote().take_off.into_iter().find(|l| l.part.as_str() == "cable-cat6").unwrap();
    assert_eq!((line.quantity, line.price.unwrap().to_string()), (100.0, "61.50 EUR".into()));
    case.terms.materials.spools = vec![units::Metres(10.0)];
    let quote = case.quote();
    assert_eq!(quote.figure("price").unwrap().missing, ["a spool of `cable-cat6` with at least 17 m for cable `l2`"]);
    assert!(case.rules().contains(&"cabling.spool-too-short".to_owned()));
}

#[test]
fn cautions_are_those_of_the_work_at_hand() {
    let works =
        |case: &Case| -> Vec<String> { cautions(&case.input(), &case.quote()).into_iter().map(|c| c.work).collect() };
    let mut case = Case::new();
    assert_eq!(
        works(&case),
        [
            "drilling",
            "drilling in old finishes",
            "holes through walls and floors",
            "work at the ceiling",
            "pulling cable",
            "mains",
            "power over data cables",
            "radios",
        ]
    );
    // One router on a shelf: no ladder, no drill.
    case.design.parts = vec![placed("r", "router-ax", "west", (1.0, 1.0, 1.0), Mounting::Shelf)];
    case.design.links.clear();
    case.wiring = network::wiring::Wiring::default();
    case.design.feeds = vec![Feed { part: id("r"), source: FeedSource::Mains { outlet: None } }];
    assert_eq!(works(&case), ["new mains outlet", "mains", "radios", "alarms and emergency calls"]);
}

#[test]
fn each_way_brings_its_own_cautions() {
    use network::wiring::Way;
    let added = |way: Way| -> Vec<String> {
        let works = |case: &Case| -> Vec<String> {
            cautions(&case.input(), &case.quote()).into_iter().map(|c| c.work).collect()
        };
        let mut case = Case::new();
        let before = works(&case);
        case.wiring.routes[0].stretches.push(stretch(way, None, (8.0, 4.0, 2.6), (8.0, 9.0, 2.6)));
        works(&case).into_iter().filter(|w| !before.contains(w)).collect()
    };
    assert_eq!(added(Way::JoistBay), [""; 0]);
    assert_eq!(added(Way::Attic), ["attic"]);
    assert_eq!(added(Way::CrawlSpace), ["crawl space"]);
    assert_eq!(added(Way::Riser), ["shafts"]);
    assert_eq!(added(Way::Chase), ["masonry and concrete"]);
    assert_eq!(added(Way::Facade), ["outside walls and roofs", "copper that leaves the building"]);
    assert_eq!(added(Way::Buried), ["digging", "copper that leaves the building"]);
    let mut case = Case::new();
    case.wiring.holes.push(hole("hole-2", HoleKind::Floor, "floor", &["l2"]));
    assert!(cautions(&case.input(), &case.quote()).iter().any(|c| c.work == "fire-rated walls and floors"));
}

#[test]
fn without_a_price_list_all_but_the_price_is_known() {
    let mut case = Case::new();
    let works = |case: &Case| cautions(&case.input(), &case.quote());
    let (quote, with_list) = (case.quote(), works(&case));
    case.prices = PriceList::empty("JPY".parse().unwrap());
    let without = case.quote();
    assert_eq!(without.figure("price").unwrap().missing, ["a price list in JPY"]);
    assert!(quote.hours.p50 > 0.0);
    assert_eq!((without.hours, without.routes.len()), (quote.hours, quote.routes.len()));
    assert_eq!(works(&case), with_list);
}

#[test]
fn the_same_input_gives_the_same_quote_and_it_survives_json() {
    let quote = Case::new().quote();
    assert_eq!(quote, Case::new().quote());
    let text = serde_json::to_string(&quote).unwrap();
    assert_eq!(serde_json::from_str::<Quote>(&text).unwrap(), quote);
}

#[test]
fn rules_have_ids_of_this_crate() {
    let mut ids: Vec<_> = cost::RULES.iter().map(|r| r.id).collect();
    assert!(ids.iter().all(|id| id.starts_with("cost.")));
    ids.sort_unstable();
    ids.dedup();
    assert_eq!(ids.len(), cost::RULES.len());
}

mod random {
    use network::wiring::{CableRoute, Way};
    use proptest::prelude::*;

    use super::*;

    const WAYS: [Way; 15] = [
        Way::StudBay,
        Way::JoistBay,
        Way::AcrossJoists,
        Way::CeilingVoid,
        Way::Attic,
        Way::CrawlSpace,
        Way::OpenCeiling,
        Way::Riser,
        Way::Conduit,
        Way::Raceway,
        Way::Chase,
        Way::Facade,
        Way::Buried,
        Way::Existing,
        Way::Open,
    ];

    proptest! {
        #![proptest_config(ProptestConfig { cases: 300, failure_persistence: None, ..ProptestConfig::default() })]

        /// Any places, finite or not, any ways: no panic; sums hold; a further cable makes the whole dearer.
        #[test]
        fn any_design_is_quoted_or_refused(
            places in prop::collection::vec(
                (prop_oneof![9 => -20.0..20.0_f64, 1 => Just(f64::NAN), 1 => Just(1e300)], -20.0..20.0_f64, -5.0..9.0_f64, 0..15_usize),
                2..8,
            ),
            parts in prop::collection::vec(0..60_usize, 8),
            kept in prop::collection::vec(any::<bool>(), 8),
            lengths in prop::collection::vec(prop_oneof![9 => 1.0..90.0_f64, 1 => Just(-1.0), 1 => Just(1e300)], 8),
        ) {
            let mut case = Case::new();
            case.prices = PriceList::generic("EUR".parse().unwrap()).unwrap();
            let all: Vec<_> = case.catalog.iter().map(|p| p.id.to_string()).collect();
            case.design.parts = places
                .iter()
                .enumerate()
                .map(|(i, (x, y, z, _))| {
                    let part = all.get(parts[i]).map_or("unknown", String::as_str);
                    let mut p = placed(&format!("p{i}"), part, "west", (*x, *y, *z), Mounting::Wall);
                    p.kept = kept[i];
                    p
                })
                .collect();
            case.design.links =
                (1..places.len()).map(|i| cable(&format!("l{i}"), &format!("p{}", i - 1), &format!("p{i}"))).collect();
            case.design.feeds.clear();
            let at = |i: usize| { let Point3 { x, y, z } = case.design.parts[i].at; (x, y, z) };
            case.wiring.routes = (1..places.len())
                .map(|i| {
                    let one = stretch(WAYS[places[i].3], None, at(i - 1), at(i));
                    route(&format!("l{i}"), vec![one], lengths[i], &[])
                })
                .collect();
            case.wiring.holes.clear();
            let quote = case.quote();
            match &quote.price {
                Some(sums) => {
                    prop_assert!(sums.low.amount <= sums.total.amount && sums.total.amount <= sums.high.amount);
                    let parts: Decimal = quote.take_off.iter().map(|l| l.price.unwrap().amount).sum();
                    prop_assert_eq!(sums.parts.amount, parts);
                    let drop = &quote.extras[0];
                    prop_assert!(drop.price.is_some_and(|p| p.amount > Decimal::ZERO), "{:?}", drop);
                }
                None => prop_assert!(!quote.figure("price").unwrap().missing.is_empty()),
            }
            prop_assert!(cautions(&case.input(), &quote).len() <= 20);
            let one: Option<CableRoute> = case.wiring.routes.pop();
            case.design.links.pop();
            let less = case.quote();
            if let (Some(more), Some(less), Some(_)) = (&quote.price, &less.price, one) {
                prop_assert!(less.total.amount < more.total.amount);
            }
        }
    }
}

#[test]
fn terms_are_stated_ones_by_default() {
    assert_eq!(Case::new().terms, Terms::default());
}
