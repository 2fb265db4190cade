//! Three offers from ranked options.

mod common;

use common::{design, id};
use cost::{Tier, three_of};
use findings::{Figure, Finding, Rule, Severity, Source};
use network::results::{Comparison, DesignOption, FigureDifference};

const FAILS: Rule = Rule { id: "test.fails", severity: Severity::Fails, summary: "", limit: "", cite: Source::generic };
const UNSAFE: Rule =
    Rule { id: "test.unsafe", severity: Severity::Unsafe, summary: "", limit: "", cite: Source::generic };

/// Options with a price, a coverage and a headroom, compared as the planner does.
fn options(list: &[(&str, Option<f64>, f64, f64)]) -> Vec<DesignOption> {
    let figures = |o: &(&str, Option<f64>, f64, f64)| {
        let price = match o.1 {
            Some(price) => Figure::known("price", id(o.0), price, "EUR"),
            None => Figure::unknown("price", id(o.0), "EUR", vec!["price of `x`".into()]),
        };
        vec![price, Figure::known("coverage", id(o.0), o.2, "%"), Figure::known("headroom", id(o.0), o.3, "1")]
    };
    let better = |a: &(&str, Option<f64>, f64, f64), b: &(&str, Option<f64>, f64, f64)| {
        let mut found = Vec::new();
        let mut push = |figure: &str, this, other, wins| {
            if wins {
                found.push(FigureDifference { figure: figure.into(), this, other, unit: String::new() });
            }
        };
        push("coverage", a.2, b.2, a.2 > b.2);
        push("headroom", a.3, b.3, a.3 > b.3);
        if let (Some(pa), Some(pb)) = (a.1, b.1) {
            push("price", pa, pb, pa < pb);
        }
        found
    };
    list.iter()
        .map(|o| {
            let others = || list.iter().filter(|p| p.0 != o.0);
            let beats = others().map(|p| Comparison { option: id(p.0), figures: better(o, p) });
            let turned = |d: FigureDifference| FigureDifference { this: d.other, other: d.this, ..d };
            let beaten = others()
                .map(|p| Comparison { option: id(p.0), figures: better(p, o).into_iter().map(turned).collect() });
            DesignOption {
                id: id(o.0),
                family: network::Family::Gateway,
                design: design(),
                figures: figures(o),
                findings: Vec::new(),
                cautions: Vec::new(),
                gap: None,
                beats: beats.filter(|c| !c.figures.is_empty()).collect(),
                beaten_by: beaten.filter(|c| !c.figures.is_empty()).collect(),
            }
        })
        .collect()
}

fn chosen(options: &[DesignOption]) -> Vec<(Tier, String)> {
    three_of(options).into_iter().map(|c| (c.tier, c.option.to_string())).collect()
}

fn expect(options: &[DesignOption], wanted: &[&str]) {
    let tiers = [Tier::Good, Tier::Better, Tier::Best];
    let wanted: Vec<(Tier, String)> = tiers.into_iter().zip(wanted.iter().map(|w| (*w).to_owned())).collect();
    assert_eq!(chosen(options), wanted);
}

#[test]
fn one_cheaper_and_one_better_than_the_recommended() {
    let all = options(&[
        ("middle", Some(900.0), 95.0, 1.2),
        ("dear", Some(2000.0), 99.0, 1.2),
        ("dearer-in-both", Some(2500.0), 99.0, 3.0),
        ("cheap", Some(300.0), 80.0, 0.8),
        ("cheapest", Some(100.0), 60.0, 0.5),
    ]);
    expect(&all, &["cheap", "middle", "dearer-in-both"]);
    let choices = three_of(&all);
    assert_eq!(choices.iter().map(|c| c.recommended).collect::<Vec<_>>(), [false, true, false]);
    let figures = |list: &[FigureDifference]| -> Vec<(String, f64, f64)> {
        list.iter().map(|d| (d.figure.clone(), d.this, d.other)).collect()
    };
    assert_eq!(figures(&choices[1].adds), [("coverage".to_owned(), 95.0, 80.0), ("headroom".to_owned(), 1.2, 0.8)]);
    assert_eq!(figures(&choices[1].costs), [("price".to_owned(), 900.0, 300.0)]);
    assert!(choices[0].adds.is_empty() && choices[0].costs.is_empty());
}

#[test]
fn where_nothing_is_cheaper_the_recommended_is_the_lowest() {
    let all = options(&[
        ("first", Some(300.0), 95.0, 1.0),
        ("second", Some(800.0), 99.0, 2.0),
        ("third", Some(900.0), 99.5, 3.0),
    ]);
    expect(&all, &["first", "second", "third"]);
    // Dearer and better in nothing, or worse in something, is no choice.
    expect(&options(&[("first", Some(300.0), 95.0, 1.0), ("same", Some(800.0), 95.0, 1.0)]), &["first"]);
    expect(&options(&[("first", Some(300.0), 95.0, 1.0), ("mixed", Some(800.0), 99.0, 0.9)]), &["first"]);
}

#[test]
fn unknown_prices_and_unsafe_designs_are_not_offered() {
    let mut all = options(&[
        ("unpriced", None, 99.0, 2.0),
        ("unsafe", Some(100.0), 99.0, 2.0),
        ("plain", Some(300.0), 95.0, 1.0),
    ]);
    all[1].findings.push(Finding::of(&UNSAFE, vec![id("unsafe")], "a danger"));
    expect(&all, &["plain"]);
    assert!(three_of(&all[..2]).is_empty());
    assert!(three_of(&[]).is_empty());
    // Another currency is not compared.
    let mut two = options(&[("first", Some(300.0), 95.0, 1.0), ("second", Some(800.0), 99.0, 2.0)]);
    two[1].figures[0].unit = "USD".into();
    expect(&two, &["first"]);
    two[0].figures[0].value = Some(f64::NAN);
    expect(&two, &["second"]);
}

#[test]
fn what_the_cheaper_one_fails_is_said() {
    let mut all = options(&[("middle", Some(900.0), 95.0, 1.2), ("cheap", Some(300.0), 80.0, 0.8)]);
    all[1].findings.push(Finding::of(&FAILS, vec![id("cheap")], "too little"));
    all[1].findings.push(Finding::of(&FAILS, vec![id("cheap")], "too little elsewhere"));
    let choices = three_of(&all);
    assert_eq!(choices[1].mends, ["test.fails"]);
    assert!(choices[0].mends.is_empty());
}
