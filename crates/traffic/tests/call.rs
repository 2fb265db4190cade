//! The E-model against values of an independent implementation.

use traffic::call::{Codec, EModel, opinion};

#[test]
fn every_row_of_the_table() {
    let table = include_str!("data/emodel.csv");
    let mut rows = 0;
    for line in table.lines().skip(1).filter(|l| !l.is_empty()) {
        let row: Vec<f64> = line.split(',').map(|v| v.parse().unwrap()).collect();
        let [ms, impairment, percent, robustness, rating, score] = row[..] else { panic!("{line}") };
        let codec = Codec { name: "of the row", impairment, robustness };
        let found = EModel::of_call(ms / 1e3, percent / 100.0, codec).rating();
        assert!((found - rating).abs() < 0.001, "{line}: {found}");
        assert!((opinion(found) - score).abs() < 0.0001, "{line}: {}", opinion(found));
        rows += 1;
    }
    assert_eq!(rows, 14);
}

/// Published: R = 93.2 and a score of 4.41 with all defaults.
#[test]
fn the_published_default() {
    let rating = EModel::default().rating();
    assert!((rating - 93.2).abs() < 0.01 && (opinion(rating) - 4.41).abs() < 0.005);
}
