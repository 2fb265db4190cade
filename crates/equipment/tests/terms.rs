//! Terms as a document, and what makes them unusable.

use equipment::{Stage, Tax, Terms};
use units::{Metres, Percent, Seconds};

fn fields(change: impl FnOnce(&mut Terms)) -> Vec<String> {
    let mut terms = Terms::default();
    change(&mut terms);
    terms.problems().into_iter().map(|p| p.field).collect()
}

#[test]
fn the_default_is_usable_and_what_is_left_out_is_as_there() {
    assert_eq!(Terms::default().problems(), []);
    assert_eq!(serde_json::from_str::<Terms>("{}").unwrap(), Terms::default());
    let text = serde_json::to_string(&Terms::default()).unwrap();
    assert_eq!(serde_json::from_str::<Terms>(&text).unwrap(), Terms::default());
    let some: Terms = serde_json::from_str(
        r#"{"labour_rate": "64.00 EUR", "taxes": [{"name": "VAT", "rate": "19 %"}], "stock": {"cable-cat6": 120}}"#,
    )
    .unwrap();
    assert_eq!(some.taxes, [Tax { name: "VAT".into(), rate: Percent::new(19) }]);
    assert_eq!(some.overhead, Percent::new(10));
    assert!(serde_json::from_str::<Terms>(r#"{"overhed": "10 %"}"#).is_err());
    assert!(serde_json::from_str::<Terms>(r#"{"overhead": 0.1}"#).is_err());
}

#[test]
fn every_unusable_term_is_named() {
    assert_eq!(fields(|t| t.overhead = Percent::new(-1)), ["overhead"]);
    assert_eq!(fields(|t| t.margin = Percent::new(96)), ["margin"]);
    assert_eq!(fields(|t| t.margin = Percent::new(95)), Vec::<String>::new());
    assert_eq!(fields(|t| t.labour_rate = Some("-1 EUR".parse().unwrap())), ["labour_rate"]);
    assert_eq!(fields(|t| t.minimum_charge = Some("-0.01 EUR".parse().unwrap())), ["minimum_charge"]);
    assert_eq!(fields(|t| t.hour_step = Some(Seconds(0.0))), ["hour_step"]);
    assert_eq!(fields(|t| t.hour_step = Some(Seconds(f64::NAN))), ["hour_step"]);
    assert_eq!(fields(|t| t.day = Seconds(0.0)), ["day"]);
    assert_eq!(fields(|t| t.crew = 0), ["crew"]);
    assert_eq!(fields(|t| t.materials.pulled_at_once = 0), ["materials.pulled_at_once"]);
    assert_eq!(fields(|t| t.materials.spools.clear()), ["materials.spools"]);
    assert_eq!(fields(|t| t.materials.spools = vec![Metres(305.0), Metres(-1.0)]), ["materials.spools[1]"]);
    let stage = |due: &str, share| Stage { due: due.into(), share: Percent::new(share) };
    assert_eq!(fields(|t| t.stages = vec![stage("first", 30), stage("then", 60)]), ["stages"]);
    assert_eq!(fields(|t| t.stages.clear()), Vec::<String>::new());
    for count in [-1.0, f64::NAN, f64::INFINITY] {
        assert_eq!(fields(|t| t.stock = [("switch-5".parse().unwrap(), count)].into()), ["stock.switch-5"]);
    }
    // All at once, not only the first.
    assert_eq!(fields(|t| (t.crew, t.margin) = (99, Percent::new(200))), ["margin", "crew"]);
}

#[test]
fn sums_in_another_currency_are_named() {
    let mut terms = Terms { labour_rate: Some("70 USD".parse().unwrap()), ..Terms::default() };
    terms.minimum_charge = Some("100 EUR".parse().unwrap());
    let others = terms.other_currencies("EUR".parse().unwrap());
    assert_eq!(others.len(), 1);
    assert_eq!(others[0].0, "labour_rate");
}
