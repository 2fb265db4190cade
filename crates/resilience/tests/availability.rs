//! Availability against published and enumerated values.

use proptest::prelude::*;
use resilience::Structure::{self, All, Any, Part};
use resilience::{Diagram, MINUTES_A_YEAR, availability, regional_mains, ride_through};
use units::Seconds;

fn hours(hours: f64) -> Seconds {
    Seconds(hours * 3600.0)
}

#[test]
fn mean_times_give_the_worked_availabilities() {
    // A = MTBF / (MTBF + MTTR), the steady-state availability of the reliability textbooks; minutes of a 365-day year.
    for (mtbf, mttr, expected, minutes) in [
        (8760.0, 4.0, 0.999_543_59, 239.89),
        (50_000.0, 24.0, 0.999_520_23, 252.17),
        (200_000.0, 8.0, 0.999_960_00, 21.02),
        (100_000.0, 72.0, 0.999_280_52, 378.16),
    ] {
        let a = availability(hours(mtbf), hours(mttr)).expect("sound times");
        assert!((a - expected).abs() < 5e-9, "{mtbf} h / {mttr} h: {a}");
        assert!(((1.0 - a) * MINUTES_A_YEAR - minutes).abs() < 0.01);
    }
}

#[test]
fn series_and_parallel_are_the_textbook_values() {
    let series = All(vec![Part(0), Part(1), Part(2)]);
    assert!((series.probability(&[0.995, 0.999, 0.9995]).unwrap() - 0.993_507_997_5).abs() < 1e-12);
    let parallel = Any(vec![Part(0), Part(1)]);
    assert!((parallel.probability(&[0.995, 0.995]).unwrap() - 0.999_975).abs() < 1e-12);
}

/// The bridge network's minimal paths: edges s-a, s-b, a-b, a-t, b-t.
fn bridge() -> Structure {
    Any([vec![0, 3], vec![1, 4], vec![0, 2, 4], vec![1, 2, 3]]
        .into_iter()
        .map(|path| All(path.into_iter().map(Part).collect()))
        .collect())
}

#[test]
fn the_bridge_network_is_exact() {
    // Two-terminal reliability of the bridge network (tests/data/SOURCE.md).
    let data: serde_json::Value =
        serde_json::from_str(include_str!("data/bridge_reliability.json")).expect("the data file is JSON");
    for (p, expected) in data["uniform"].as_object().expect("rows by probability") {
        let p: f64 = p.parse().expect("a probability");
        let r = bridge().probability(&[p; 5]).unwrap();
        assert!((r - expected.as_f64().unwrap()).abs() < 1e-9, "p = {p}: {r}");
    }
    let p: Vec<f64> = data["het"]["p"].as_array().unwrap().iter().map(|v| v.as_f64().unwrap()).collect();
    assert!((bridge().probability(&p).unwrap() - data["het"]["R"].as_f64().unwrap()).abs() < 1e-12);
    // Birnbaum importance is the difference between the edge up and down.
    for (edge, expected) in data["het"]["birnbaum"].as_array().unwrap().iter().enumerate() {
        let with = |state: f64| {
            let mut p = p.clone();
            p[edge] = state;
            bridge().probability(&p).unwrap()
        };
        assert!((with(1.0) - with(0.0) - expected.as_f64().unwrap()).abs() < 1e-12);
    }
    assert!(bridge().single_points().is_empty());
}

#[test]
fn the_bridge_networks_importances_and_cuts_are_exact() {
    // Birnbaum and criticality importances of the bridge (tests/data/SOURCE.md).
    let diagram = Diagram::of(&bridge()).expect("a small network");
    let data: serde_json::Value =
        serde_json::from_str(include_str!("data/bridge_reliability.json")).expect("the data file is JSON");
    let p: Vec<f64> = data["het"]["p"].as_array().unwrap().iter().map(|v| v.as_f64().unwrap()).collect();
    let expected = data["het"]["birnbaum"].as_array().unwrap();
    for ((edge, birnbaum), expected) in diagram.birnbaum(&p).into_iter().zip(expected) {
        assert!((birnbaum - expected.as_f64().unwrap()).abs() < 1e-12, "edge {edge}: {birnbaum}");
    }
    let r = diagram.probability(&[0.9; 5]);
    for (edge, birnbaum) in diagram.birnbaum(&[0.9; 5]) {
        let (expected, criticality) = if edge == 2 { (0.0162, 0.075_279) } else { (0.1062, 0.493_494) };
        assert!((birnbaum - expected).abs() < 1e-12);
        assert!((birnbaum * 0.1 / (1.0 - r) - criticality).abs() < 5e-7);
    }
    let cuts = diagram.cuts(3);
    assert_eq!(cuts.sets, [vec![0, 1], vec![3, 4], vec![0, 2, 4], vec![1, 2, 3]]);
    assert_eq!(cuts.complete_to, 3);
}

#[test]
fn caidi_is_saidi_over_saifi_on_every_published_row() {
    // Form EIA-861 by state and year (tests/data/SOURCE.md); printed with one and three decimals.
    let text = include_str!("data/us_state_saidi_saifi_2013_2023.csv");
    let mut rows = csv::ReaderBuilder::new().trim(csv::Trim::All).from_reader(text.as_bytes());
    let mut checked = 0;
    for row in rows.records() {
        let row = row.expect("a row");
        let value = |column: usize| row.get(column).and_then(|v| v.parse::<f64>().ok());
        for events in 0..3 {
            let (Some(caidi), Some(saidi), Some(saifi)) = (value(2 + events), value(5 + events), value(8 + events))
            else {
                continue;
            };
            let rounding = 0.05 / saidi + 0.0005 / saifi + 0.05 / caidi;
            assert!((saidi / saifi / caidi - 1.0).abs() <= rounding, "{row:?}");
            checked += 1;
        }
    }
    assert_eq!(checked, 1667);
}

#[test]
fn the_table_of_regions_is_the_medians_of_the_rows() {
    let text = include_str!("data/us_state_saidi_saifi_2013_2023.csv");
    let mut rows = csv::ReaderBuilder::new().trim(csv::Trim::All).from_reader(text.as_bytes());
    let (mut saidi, mut saifi) = (Vec::new(), Vec::new());
    for row in rows.records().map(|r| r.expect("a row")).filter(|r| r.get(0) == Some("Vermont")) {
        saidi.extend(row.get(5).and_then(|v| v.parse::<f64>().ok()));
        saifi.extend(row.get(8).and_then(|v| v.parse::<f64>().ok()));
    }
    let middle = |values: &mut Vec<f64>| {
        values.sort_by(f64::total_cmp);
        values[values.len() / 2]
    };
    assert_eq!(saidi.len(), 11);
    let region = regional_mains("US", "VT").expect("a state");
    assert!((region.saidi.0.0 / 60.0 - saidi.iter().copied().fold(f64::MAX, f64::min)).abs() < 1e-9);
    assert!((region.mains.saidi.expect("known").0 / 60.0 - middle(&mut saidi)).abs() < 1e-9);
    assert!((region.mains.saifi.expect("known") - middle(&mut saifi)).abs() < 1e-9);
}

#[test]
fn outages_that_are_ridden_through_leave_their_tail() {
    // EIA, Electric Power Annual, table 11.3, New England 2023: SAIDI 480.5 min, SAIFI 1.398, CAIDI 343.7 min.
    let caidi = 480.5 / 1.398;
    assert!((caidi - 343.7f64).abs() < 0.05);
    assert!((ride_through(Seconds(caidi * 60.0), Seconds(0.0)) - 1.0).abs() < 1e-15);
    assert!((ride_through(Seconds(caidi * 60.0), Seconds(caidi * 60.0)) - (-1.0f64).exp()).abs() < 1e-15);
}

#[test]
fn senseless_times_give_nothing() {
    for (mtbf, mttr) in [(-1.0, 1.0), (0.0, 0.0), (f64::NAN, 1.0), (1.0, f64::INFINITY)] {
        assert_eq!(availability(Seconds(mtbf), Seconds(mttr)), None);
    }
    // Nothing to mend: always up.
    assert_eq!(availability(Seconds(10.0), Seconds(0.0)), Some(1.0));
}

fn structures() -> impl Strategy<Value = Structure> {
    let leaf = (0usize..8).prop_map(Part);
    leaf.prop_recursive(4, 24, 4, |inner| {
        prop_oneof![
            prop::collection::vec(inner.clone(), 0..4).prop_map(All),
            prop::collection::vec(inner, 0..4).prop_map(Any),
        ]
    })
}

proptest! {
    #[test]
    fn factoring_equals_enumeration(structure in structures(), up in prop::collection::vec(0.0f64..=1.0, 8)) {
        let mut whole = 0.0;
        for state in 0u32..256 {
            let weight: f64 = (0..8).map(|i| if state >> i & 1 == 1 { up[i] } else { 1.0 - up[i] }).product();
            if structure.holds(&|c| state >> c & 1 == 1) {
                whole += weight;
            }
        }
        prop_assert!((structure.probability(&up).unwrap() - whole).abs() < 1e-12);
    }

    #[test]
    fn cuts_and_importances_equal_enumeration(structure in structures(), up in prop::collection::vec(0.0f64..=1.0, 8)) {
        let diagram = Diagram::of(&structure).unwrap();
        let fails = |down: u32| !structure.holds(&|c| down >> c & 1 == 0);
        let mut minimal: Vec<Vec<usize>> = (0u32..256)
            .filter(|down| down.count_ones() <= 3 && fails(*down))
            .filter(|down| (0..8).all(|c| down >> c & 1 == 0 || !fails(down & !(1 << c))))
            .map(|down| (0..8).filter(|c| down >> c & 1 == 1).collect())
            .collect();
        minimal.sort_by(|a: &Vec<usize>, b| a.len().cmp(&b.len()).then_with(|| a.cmp(b)));
        prop_assert_eq!(diagram.cuts(3).sets, minimal);
        for (component, birnbaum) in diagram.birnbaum(&up) {
            let with = |state: f64| {
                let mut up = up.clone();
                up[component] = state;
                diagram.probability(&up)
            };
            prop_assert!((with(1.0) - with(0.0) - birnbaum).abs() < 1e-12);
        }
        for state in 0u32..256 {
            let is_up = |c: usize| state >> c & 1 == 1;
            prop_assert_eq!(diagram.holds(&is_up), structure.holds(&is_up));
        }
    }
}
